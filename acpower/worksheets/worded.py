"""Judge the answers that are words: a choice, a text, an order of letters."""

import re
from dataclasses import replace
from types import SimpleNamespace

from acpower.worksheets.answers import Answer, unquoted
from acpower.worksheets.cards import JobCard
from acpower.worksheets.scheme import Choice, KnownError, Ordering, Text, Worded
from acpower.worksheets.verdict import Verdict, wrong

_NUMBER_WITH_UNIT = re.compile(r"(\d+(?:[.,]\d+)?)[a-zµω%°]{0,3}")
# Two errors that any order may show. Of these, the second costs one mark only.
TURNED_ROUND = KnownError(
    name="order-turned-round",
    says="the order is turned round",
    hint="Read the question once more: which of them comes first?",
    formula=lambda card, earlier: None,
)
NEIGHBOURS_SWAPPED = KnownError(
    name="neighbours-swapped",
    says="two neighbours have changed places, the rest is in order",
    hint="Go through the order once more, one pair of neighbours at a time.",
    formula=lambda card, earlier: None,
)


def judge_worded(question: Worded, answer: Answer, card: JobCard, keys: SimpleNamespace) -> Verdict:
    """Judge an answer in words against the card's key and the known errors."""
    given = read_worded(question, answer)
    if given is None:
        return _refused(question, answer)
    key = getattr(keys, question.name)
    if _same(question, given, key):
        return Verdict("right", question.marks, "Right.")
    errors = [error for error in question.known_errors if _same(question, given, error.formula(card, keys))]
    if not errors and isinstance(question, Ordering):
        errors = _order_slips(question, given, key)
    return wrong(question, errors)


def read_worded(question: Worded, answer: Answer) -> str | None:
    """Return what was recorded as the scheme would write it; None if it is no answer to the question.

    >>> from acpower.worksheets.schemes import find_worksheet
    >>> link = find_worksheet("charging-power").question("limiting_link")
    >>> read_worded(link, Answer("text", "The Cable"))
    'cable'
    """
    text = unquoted(answer.text)
    words = _plain(text)
    if isinstance(question, Choice):
        return next((option for option in question.options if _means(words, option)), None)
    if isinstance(question, Ordering):
        letters = re.sub(r"[\s,;.>→-]", "", text).upper()
        return letters if sorted(letters) == sorted(question.letters) else None
    return text if words else None


def _means(words: str, option: str) -> bool:
    """Whether somebody who wrote these words chose the option: a number may have a comma and a unit."""
    number = _NUMBER_WITH_UNIT.fullmatch(words)
    return words == _plain(option) or (number is not None and number[1].replace(",", ".") == option)


def _same(question: Worded, given: str, value: str | None) -> bool:
    if value is None or not isinstance(question, Text):
        return given == value
    return _plain(given) in {_plain(spelling) for spelling in (value, *question.spellings.get(value, ()))}


def _plain(text: str) -> str:
    """Return a text without what does not matter: case, spaces, hyphens, a leading “the”."""
    return re.sub(r"[\s\-‐‑–_]", "", re.sub(r"^\s*the\s+", "", text.casefold())).rstrip(".")


def _order_slips(question: Ordering, given: str, key: str) -> list[KnownError]:
    if given == key[::-1]:
        return [TURNED_ROUND]
    swaps = (key[:at] + key[at + 1] + key[at] + key[at + 2 :] for at in range(len(key) - 1))
    return [replace(NEIGHBOURS_SWAPPED, keeps=question.marks - 1)] if given in swaps else []


def _refused(question: Worded, answer: Answer) -> Verdict:
    if isinstance(question, Choice):
        listed = ", ".join(f"“{option}”" for option in question.options)
        says, code = f"“{answer.text}” is not one of the choices: {listed}.", "answer-not-a-choice"
    elif isinstance(question, Ordering):
        listed = ", ".join(question.letters)
        says = f"“{answer.text}” is not an order of {listed}. Write each of these letters once, with nothing else."
        code = "answer-not-an-order"
    else:
        says, code = f"“{answer.text}” holds no word. Write the word that is asked for.", "answer-not-a-word"
    return Verdict("refused", 0, says, code=code)
