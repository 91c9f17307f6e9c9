"""A question on its own, away from its notebook: its prose, and the numbers that it needs."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from bs4 import BeautifulSoup
from nbconvert.filters import markdown2html

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

_CARDS_TRIED = 20
"""A key may look at a line of the card on some cards only, so it is watched on several."""


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
    soup = BeautifulSoup(markdown2html(source), "html.parser")
    for heading in soup.find_all("h2"):
        heading.decompose()
    for paragraph in soup.find_all("p"):
        if _ON_THE_SCREEN in paragraph.get_text():
            paragraph.decompose()
    for part in soup.find_all(_ACTIVE):
        part.decompose()
    for word in soup.find_all("code"):
        word.replace_with(word.get_text().strip('"'))
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
        Lines of the card in their order, then earlier answers with one figure more than they
        require. Which lines these are is the same on every card: the key and the working are
        watched while they read several cards. A function question needs none.

    Examples
    --------
    >>> from acpower.worksheets.schemes import find_worksheet
    >>> sheet = find_worksheet("charging-power")
    >>> for given in needed_numbers(sheet, sheet.question("battery_power_kw"), sheet.card("A07")):
    ...     print(given.label)
    Efficiency of the charger
    From question 7, power from the grid at that current
    """
    lines, before = _read_by(worksheet, question)
    earlier = vars(given_answers(worksheet, question, card))
    return (
        *(
            Given(entry.label, str(card.values[entry.name]), entry.unit)
            for entry in worksheet.entries
            if entry.name in lines
        ),
        *(
            Given(
                f"From question {number}, {one.title[0].lower()}{one.title[1:]}",
                _as_given(one, earlier[one.name]),
                one.unit if isinstance(one, Number) else "",
            )
            for number, one in enumerate(worksheet.questions, start=1)
            if one.name in before
        ),
    )


def given_answers(worksheet: Worksheet, question: Question, card: JobCard) -> SimpleNamespace:
    """Return the earlier answers that a question goes on from, rounded as `needed_numbers` gives them.

    Its key and its working, used with them, give what a person gets who works with these numbers.
    """
    _, before = _read_by(worksheet, question)
    keys = vars(worksheet.keys(card))
    return SimpleNamespace(**{name: _rounded(worksheet.question(name), keys[name]) for name in before})


class _Watched:
    """Stands in for a job card, or for the earlier answers, and notes which names are read."""

    def __init__(self, values: Mapping[str, Any], read: set[str]) -> None:
        self._values, self._read = values, read

    def __getattr__(self, name: str) -> Any:
        if name not in self._values:
            raise AttributeError(name)
        self._read.add(name)
        return self._values[name]


def _read_by(worksheet: Worksheet, question: Question) -> tuple[set[str], set[str]]:
    """Return which lines of a card, and which earlier answers, a question reads."""
    lines: set[str] = set()
    before: set[str] = set()
    if isinstance(question, Function):
        return lines, before
    assert isinstance(question, Number | Worded)
    for number in range(_CARDS_TRIED):
        card = worksheet.card(f"watched-{number}")
        watched = _Watched(card.values, lines), _Watched(vars(worksheet.keys(card)), before)
        question.key(*watched)
        question.working(*watched)
    return lines, before


def _as_given(question: Question, value: Any) -> str:
    if not isinstance(question, Number):
        return str(value)
    shown = show(float(value), question.figures + 1)
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def _rounded(question: Question, value: Any) -> Any:
    """Return an answer as a person reads it off; a whole number stays one."""
    if not isinstance(value, float):
        return value
    return float(_as_given(question, value).replace("\u202f", ""))


@cache
def _cells(notebook: Path) -> dict[str, str]:
    """Return the text of each cell of a notebook by its id."""
    content: dict[str, Any] = json.loads(notebook.read_text(encoding="utf-8"))
    return {cell["id"]: "".join(cell["source"]) for cell in content["cells"]}
