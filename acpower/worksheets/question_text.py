"""A question on its own, away from its notebook: its prose, and the numbers that it needs."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import mistune
from bs4 import BeautifulSoup

from acpower.worksheets.cards import JobCard
from acpower.worksheets.own import notebook_of
from acpower.worksheets.scheme import Function, Number, Question, Worded, Worksheet, show

_ON_THE_SCREEN = "three dots"
"""A paragraph of a question with these words tells how to fill in a cell."""

_KEPT = {
    *("p", "ul", "ol", "li", "br", "strong", "em", "sub", "sup"),
    *("table", "caption", "thead", "tbody", "tr", "th", "td"),
}
"""Elements of a question that stay as they are; of others only the words stay."""

_ACTIVE = ("script", "style")
_MARKDOWN = mistune.create_markdown(escape=False, plugins=["strikethrough", "table"])

_CARDS_WATCHED = 20


@dataclass(frozen=True)
class Given:
    """One number, or one word, that a question gives: what it is, its value, its unit."""

    label: str
    value: str
    unit: str


def question_html(worksheet: Worksheet, question: Question) -> str:
    """Return the prose of a question as HTML, without its heading and without what only a notebook needs.

    It is inert: plain elements without attributes.

    >>> from acpower.worksheets.schemes import find_worksheet
    >>> sheet = find_worksheet("charging-power")
    >>> print(question_html(sheet, sheet.question("limiting_link")))
    <p>Which link limits the charge? Record one word: supply, station, cable or vehicle.</p>
    """
    source = _cells(notebook_of(worksheet.name))[f"{question.name.replace('_', '-')}-question"]
    soup = BeautifulSoup(str(_MARKDOWN(source)), "html.parser")
    for heading in soup.find_all("h2"):
        heading.decompose()
    for paragraph in soup.find_all("p"):
        if _ON_THE_SCREEN in paragraph.get_text():
            paragraph.decompose()
    for part in soup.find_all(_ACTIVE):
        part.decompose()
    words = soup.find_all("code")
    quoted = [word for word in words if word.get_text() != word.get_text().strip('"')]
    # Without marks, nobody sees where an answer of several words ends.
    apart = any(" " in word.get_text() for word in quoted)
    for word in words:
        bare = word.get_text().strip('"')
        word.replace_with(f"“{bare}”" if apart and word in quoted else bare)
    for part in soup.find_all(True):
        part.attrs = {}
        if part.name not in _KEPT:
            part.unwrap()
    return str(soup).strip()


def needed_numbers(worksheet: Worksheet, question: Question, card: JobCard) -> tuple[Given, ...]:
    """Return what of a card a question needs: lines of the card, and the answers that it goes on from.

    Parameters
    ----------
    worksheet, question
        The mark scheme and one of its questions.
    card
        The card whose numbers are given.

    Returns
    -------
    tuple of Given
        Lines of the card in their order, then earlier answers, as `rounded_answers` has them. Which
        ones these are is found by watching the key and the working while they read this card and
        several others. A function question needs none.

    Examples
    --------
    >>> from acpower.worksheets.schemes import find_worksheet
    >>> sheet = find_worksheet("charging-power")
    >>> for given in needed_numbers(sheet, sheet.question("battery_power_kw"), sheet.card("A07")):
    ...     print(given.label)
    Efficiency of the charger
    From question 7: Power from the grid on two phases
    """
    lines: set[str] = set()
    before: set[str] = set()
    if not isinstance(question, Function):
        assert isinstance(question, Number | Worded)
        keys = vars(rounded_answers(worksheet, card))
        for values, answers in (*_other_cards(worksheet), (card.values, keys)):
            watched = _Watched(values, lines), _Watched(answers, before)
            question.key(*watched)
            question.working(*watched)
    return (
        *(
            Given(entry.label, str(card.values[entry.name]), entry.unit)
            for entry in worksheet.entries
            if entry.name in lines
        ),
        *(
            Given(
                f"From question {number}: {one.title}",
                _as_given(one, keys[one.name]),
                one.unit if isinstance(one, Number) else "",
            )
            for number, one in enumerate(worksheet.questions, start=1)
            if one.name in before
        ),
    )


def rounded_answers(worksheet: Worksheet, card: JobCard) -> SimpleNamespace:
    """Return the right answers for a card as they are given to go on from: one figure more than required.

    A key or a working that goes on from them comes to what a person gets who types these numbers.
    """
    keys = vars(worksheet.keys(card))
    return SimpleNamespace(
        **{name: _rounded(worksheet.question(name), value) for name, value in keys.items()}
    )


class _Watched:
    """Stands in for a job card, or for the earlier answers, and notes which names are read."""

    def __init__(self, values: Mapping[str, Any], read: set[str]) -> None:
        self._values, self._read = values, read

    def __getattr__(self, name: str) -> Any:
        if name not in self._values:
            raise AttributeError(name)
        self._read.add(name)
        return self._values[name]


@cache
def _other_cards(worksheet: Worksheet) -> tuple[tuple[Mapping[str, Any], Mapping[str, Any]], ...]:
    """Return a few cards and their right answers: a key may look at a line on some cards only."""
    cards = [worksheet.card(f"watched-{number}") for number in range(_CARDS_WATCHED)]
    return tuple((card.values, vars(worksheet.keys(card))) for card in cards)


def _as_given(question: Question, value: Any) -> str:
    if not isinstance(question, Number):
        return str(value)
    shown = show(float(value), question.figures + 1)
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def _rounded(question: Question, value: Any) -> Any:
    return float(_as_given(question, value).replace("\u202f", "")) if isinstance(value, float) else value


@cache
def _cells(notebook: Path) -> dict[str, str]:
    """Return the text of each cell of a notebook by its id."""
    content: dict[str, Any] = json.loads(notebook.read_text(encoding="utf-8"))
    return {cell["id"]: "".join(cell["source"]) for cell in content["cells"]}
