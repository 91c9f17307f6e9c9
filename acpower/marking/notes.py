"""What a person should know about a worksheet beside its marks. None of it changes a mark."""

import re
from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from scipy.stats import binom

from acpower.marking.judge import MarkedWorksheet
from acpower.marking.paper import by_hand
from acpower.marking.result import NOTHING_RECORDED, Note, Result
from acpower.marking.run import ORDINARY, Run
from acpower.marking.submission import Submission
from acpower.worksheets.answers import Reading, read_number
from acpower.worksheets.scheme import Number, Worksheet
from acpower.worksheets.verdicts import accepts

_SCHEME = re.compile(
    r"find_worksheet|worksheet_to_practise|job\s*\.\s*_worksheet|"
    r"worksheets\s*\.\s*(schemes|own|practice|verdicts)|import\s+(schemes|own|practice|verdicts)"
)
_LONGEST_QUOTED = 60
# What a person may still read where the rules for answers cannot: "about 54", "3 phases" for "three phases".
_PERHAPS_READABLE = ("answer-not-a-number", "answer-not-a-choice", "answer-not-an-order", "answer-not-a-word")
_SETTLED_BY_HAND = ("by-hand", "answer-ambiguous", "answer-not-read")
_SETTLED_WITH_THE_BLANKS = (NOTHING_RECORDED, ORDINARY)
# An answer fits the card of somebody else by chance about once in a hundred; cards that share a value do so
# more often, which the class itself shows. Marks are never touched, so the bar may be high.
LEAST_MATCHES = 3
LEAST_CHANCE = 0.01
HIGHEST_PROBABILITY = 0.001  # over the whole class, by chance alone


def notes_on_run(submission: Submission, run: Run, marked: MarkedWorksheet) -> list[Note]:
    """Return why the worksheet did not run to its end, and what it has changed of what was handed out."""
    notes = [(run.code, run.says)] if run.code else []
    notes += [("structure-changed", says) for says in _changed(submission, run, marked)]
    if any(_SCHEME.search(source) for source in submission.cells):
        says = "A cell looks into the mark schemes of the package or its judging. Ask how the answers came about."
        notes.append(("scheme-opened", says))
    if not notes and all(one.verdict.outcome == "blank" for one in marked.questions):
        says = "Nothing is recorded. Was the worksheet saved? Ask for the file again."
        notes.append((NOTHING_RECORDED, says))
    return notes


def notes_on_answers(apprentice: str, marked: MarkedWorksheet) -> list[Note]:
    """Return the answers that only a person can settle: they are asked about, not guessed at.

    A mark that was given by hand has settled its question.
    """
    open_ = [
        (f"{number} ({one.question.title})", one)
        for number, one in enumerate(marked.questions, start=1)
        if one.change is None
    ]
    notes = [
        (
            one.verdict.code,
            f"Question {which}: {one.verdict.says} Ask {apprentice}, and settle it with acpower second-marks.",
        )
        for which, one in open_
        if one.verdict.code == "answer-ambiguous"
    ]
    not_read = [
        f"question {which}: “{_beginning(one.answer.text)}”"
        for which, one in open_
        if one.verdict.code in _PERHAPS_READABLE and one.answer.kind == "text"
    ]
    if not_read:
        says = (
            f"Not read, and so without marks: {'; '.join(not_read)}. If a person can read it, give the marks with "
            "acpower second-marks."
        )
        notes.append(("answer-not-read", says))
    return notes


def _beginning(text: str) -> str:
    return text if len(text) <= _LONGEST_QUOTED else f"{text[:_LONGEST_QUOTED].rstrip()} …"


def notes_on_paper(worksheet: Worksheet, marked: MarkedWorksheet) -> list[Note]:
    """Return what of a paper is left for a person to mark."""
    settled = [one.question for one in marked.questions if one.change]
    left = [
        f"{worksheet.questions.index(one) + 1} ({one.title})"
        for one in by_hand(worksheet)
        if one not in settled
    ]
    if not left:
        return []
    says = f"Question {', '.join(left)} asks for a function. On paper, mark it by hand: acpower second-marks."
    return [("by-hand", says)]


def without_settled(result: Result) -> Result:
    """Return a result without the notes that marks given by hand have settled.

    That nothing is recorded, or that a cell stopped, is settled when every blank question has a mark by hand.
    """
    if result.marked is None or all(one.change is None for one in result.marked.questions):
        return result
    settled: tuple[str, ...] = _SETTLED_BY_HAND
    if all(one.change or one.verdict.outcome != "blank" for one in result.marked.questions):
        settled += _SETTLED_WITH_THE_BLANKS
    on_paper = any(code == "by-hand" for code, _ in result.notes)
    notes = [
        *(note for note in result.notes if note[0] not in settled),
        *(notes_on_paper(result.worksheet, result.marked) if on_paper else []),
        *notes_on_answers(result.submission.apprentice, result.marked),
    ]
    return replace(result, notes=notes)


def _changed(submission: Submission, run: Run, marked: MarkedWorksheet) -> list[str]:
    assert submission.worksheet is not None
    worksheet, own = submission.worksheet, submission.apprentice
    says = []
    unasked = [
        f"{number} ({question.title})"
        for number, question in enumerate(worksheet.questions, start=1)
        if not any(question.name in source for source in submission.cells)
    ]
    if unasked:
        says.append(
            f"No cell records an answer to question {', '.join(unasked)}: the cell was deleted or changed."
        )
    if not run.opened and not run.code:
        says.append("The job card was not opened: its cell was deleted or changed.")
    if run.opened and run.opened != worksheet.name:
        says.append(f"The notebook opened the job card of another worksheet (“{run.opened}”).")
    if run.opened_for and run.opened_for.casefold() != own.casefold():
        says.append(
            f"The notebook opened the job card of “{run.opened_for}”, but the file is {own}'s. It was marked "
            f"with the numbers of {own}."
        )
    elif submission.issued_to and submission.issued_to.casefold() != own.casefold():
        says.append(
            f"The file was handed out to “{submission.issued_to}”, but by its name it is {own}'s. It was marked with "
            f"the numbers of {own}."
        )
    elif run.numbers and run.numbers != {name: str(value) for name, value in marked.card.values.items()}:
        says.append(
            "The job card in the notebook shows other numbers than were handed out. It was marked with those "
            "that were handed out."
        )
    return says


def note_late(results: Sequence[Result], due: datetime | None) -> list[Result]:
    """Note files that were saved after the worksheets were due; the clock is that of the file."""
    if due is None:
        return list(results)
    return [
        _noted(
            result,
            "late",
            f"The file was last saved on {saved:%Y-%m-%d at %H:%M}; it was due on {due:%Y-%m-%d at %H:%M}.",
        )
        if result.submission.saved and (saved := datetime.fromtimestamp(result.submission.saved)) > due
        else result
        for result in results
    ]


def note_other_cards(results: Sequence[Result]) -> list[Result]:
    """Note wrong answers that are right for the job card of another apprentice of the class.

    An answer that fits a known error of the own card is left out: two people with the same
    misconception are not copying.
    """
    classes: dict[str, list[Result]] = defaultdict(list)
    for result in results:
        classes[result.worksheet.name].append(result)
    cards = {name: _Cards(of_one) for name, of_one in classes.items()}
    return [_compared(result, cards[result.worksheet.name]) for result in results]


class _Cards:
    """The right answers on every card of a class, sorted, so that whose card a value fits is found at once."""

    def __init__(self, results: Sequence[Result]) -> None:
        marked = [
            (one.submission.apprentice, one.worksheet.keys(one.marked.card)) for one in results if one.marked
        ]
        self.apprentices = [apprentice for apprentice, _ in marked]
        self._keys = {
            question.name: sorted(
                (getattr(keys, question.name), place) for place, (_, keys) in enumerate(marked)
            )
            for question in (results[0].worksheet.questions if results else ())
            if isinstance(question, Number)
        }

    def fitting(self, question: Number, reading: Reading) -> list[int]:
        """Return the places of the apprentices for whose card a value is right."""
        value, keys = float(reading.value), self._keys[question.name]
        # Wider than any tolerance, which is relative to the key and not to the value.
        reach = (
            2 * question.relative * abs(value)
            + question.absolute
            + float(reading.last_place)
            + 1e-9 * abs(value)
        )
        near = keys[bisect_left(keys, (value - reach,)) : bisect_right(keys, (value + reach, len(keys)))]
        return [place for key, place in near if accepts(question, reading, key)]


def _compared(result: Result, cards: _Cards) -> Result:
    """Note the card that most of the unexplained wrong answers fit, if that can hardly be chance."""
    unknown, own = _unknown(result), result.submission.apprentice
    others = len(cards.apprentices) - 1
    if len(unknown) < LEAST_MATCHES or not others:
        return result
    counts = Counter(
        place
        for question, reading in unknown
        for place in cards.fitting(question, reading)
        if cards.apprentices[place] != own
    )
    if not counts:
        return result
    place = max(counts, key=lambda one: (counts[one], -one))
    count = counts[place]
    chance = max(LEAST_CHANCE, (counts.total() - count) / (len(unknown) * max(1, others - 1)))
    probability = others * float(binom.sf(count - 1, len(unknown), min(1.0, chance)))
    if count < max(LEAST_MATCHES, len(unknown) / 2) or probability > HIGHEST_PROBABILITY:
        return result
    says = (
        f"{count} of {len(unknown)} wrong answers fit the job card of {cards.apprentices[place]}. The marks are not "
        "changed; it may be worth a conversation."
    )
    return _noted(result, "other-card", says)


def _unknown(result: Result) -> list[tuple[Number, Reading]]:
    """Return the numbers that are wrong and fit no known error, with their questions."""
    return [
        (one.question, read_number(one.answer, one.question.accepted_units))
        for one in (result.marked.questions if result.marked else ())
        if isinstance(one.question, Number) and one.verdict.outcome == "not yet"
    ]


def _noted(result: Result, code: str, says: str) -> Result:
    return replace(result, notes=[*result.notes, (code, says)])
