"""Practise one question again and again, each time with the numbers of a fresh job card.

Nobody's id is needed: the cards are numbered, so a card can be drawn again and the next one is new.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

from acpower.worksheets.answers import Answer, answer_from_value
from acpower.worksheets.cards import JobCard
from acpower.worksheets.scheme import Number, Worded, Worksheet, show
from acpower.worksheets.verdict import Verdict
from acpower.worksheets.verdicts import judge

Practised = Number | Worded
"""What can be practised outside a notebook: every question that does not ask for a function."""

GIVEN_FIGURES = 5
"""Figures of an earlier answer that a card gives: enough for any answer that goes on from it."""

_CARDS_LOOKED_AT = 12  # a key that turns off early on one card shows on another what else it needs
_MOST_CARDS_ALIKE = 100
_QUOTATION_MARKS = "\"'“”„"
_WITH_POINT = re.compile(r"-?\d{1,18}(\.\d{0,18})?")


def practised_questions(worksheet: Worksheet) -> list[Practised]:
    """Return the questions of a worksheet that can be practised outside a notebook.

    >>> from acpower.worksheets.schemes import find_worksheet
    >>> worksheet = find_worksheet("charging-power")
    >>> len(worksheet.questions) - len(practised_questions(worksheet))  # the last one asks for a function
    1
    """
    return [question for question in worksheet.questions if isinstance(question, Number | Worded)]


@dataclass(frozen=True)
class CardLine:
    """One line that a question needs: what it is, its value as text, its unit."""

    label: str
    value: str
    unit: str


@dataclass(frozen=True)
class Task:
    """A question with the numbers of one card.

    Attributes
    ----------
    number
        The number of the card, from 1.
    lines
        What the question needs and nothing else: lines of the card, and earlier answers where it
        goes on from them.
    working
        The steps with these numbers.
    """

    worksheet: Worksheet
    question: Practised
    number: int
    lines: tuple[CardLine, ...]
    working: str
    _card: JobCard
    _given: Mapping[str, Answer]

    def judge(self, typed: str) -> Verdict:
        """Judge what was typed as if it had been recorded in a cell of the worksheet's notebook.

        A text may stand with quotation marks or without. A bare number is one, with a decimal point:
        3.125 is not asked about, while 3,125 and 3.125 kW are texts that may be read in two ways.
        """
        bare = typed.strip().strip(_QUOTATION_MARKS)
        answer = Answer("number", bare) if _WITH_POINT.fullmatch(bare) else answer_from_value(bare)
        return judge(self.worksheet, self.question, answer, self._card, self._given)


class Practice:
    """The cards of one question.

    Parameters
    ----------
    worksheet, question
        What is practised.

    Examples
    --------
    >>> from acpower.worksheets.schemes import find_worksheet
    >>> worksheet = find_worksheet("charging-power")
    >>> practice = Practice(worksheet, worksheet.question("battery_power_kw"))
    >>> task = practice.task(1)
    >>> [(line.label, line.unit) for line in task.lines]
    [('Efficiency of the charger', '%'), ('Answer to question 7', 'kW')]
    >>> task.judge("900 kW").passed
    False
    """

    def __init__(self, worksheet: Worksheet, question: Practised) -> None:
        self.worksheet, self.question = worksheet, question
        self._needed = {
            name
            for number in range(1, _CARDS_LOOKED_AT + 1)
            for name in self._looked_up(worksheet.card(_name(number)))
        }

    def task(self, number: int) -> Task:
        """Return the question with the numbers of the card ``number``, the same each time."""
        card = self.worksheet.card(_name(number))
        earlier = self.worksheet.keys(card)
        given = {}
        for name in self.question.needs:
            value = _rounded(getattr(earlier, name))
            setattr(earlier, name, value)
            given[name] = answer_from_value(value)
        return Task(
            worksheet=self.worksheet,
            question=self.question,
            number=number,
            lines=(*self._card_lines(card), *self._given_lines(earlier)),
            working=self.question.working(card, earlier),
            _card=card,
            _given=given,
        )

    def next_number(self, number: int) -> int:
        """Return the number of the next card on which the question has other numbers."""
        before = self.task(number).lines
        for following in range(number + 1, number + _MOST_CARDS_ALIKE):
            if self.task(following).lines != before:
                return following
        return number + 1

    def _looked_up(self, card: JobCard) -> set[str]:
        """Return the entries of a card that the key looks up."""
        looked_up: set[str] = set()
        self.question.key(_Watched(card, looked_up), self.worksheet.keys(card))
        return looked_up

    def _card_lines(self, card: JobCard) -> Iterator[CardLine]:
        needed = self._needed | self._looked_up(card)
        for entry in card.entries:
            if entry.name in needed:
                yield CardLine(entry.label, str(card.values[entry.name]), entry.unit)

    def _given_lines(self, earlier: SimpleNamespace) -> Iterator[CardLine]:
        for at, question in enumerate(self.worksheet.questions, start=1):
            if question.name in self.question.needs:
                value = getattr(earlier, question.name)
                text = value if isinstance(value, str) else _written(value)
                yield CardLine(f"Answer to question {at}", text, getattr(question, "unit", ""))


class _Watched:
    """Stands in for a job card and notes which of its entries are looked up."""

    def __init__(self, card: JobCard, looked_up: set[str]) -> None:
        self._card, self._looked_up = card, looked_up

    def __getattr__(self, name: str) -> Any:
        self._looked_up.add(name)
        return getattr(self._card, name)


def _name(number: int) -> str:
    return f"practise-{number}"


def _rounded(value: Any) -> Any:
    return value if isinstance(value, str) else float(f"{value:.{GIVEN_FIGURES - 1}e}")


def _written(value: float) -> str:
    """Write a number with the figures of an earlier answer, without noughts at its end."""
    text = show(value, GIVEN_FIGURES)
    return text.rstrip("0").rstrip(".") if "." in text else text
