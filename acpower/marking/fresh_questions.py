"""Fresh questions on the weak points of an apprentice: the same question, numbers of new cards."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from inspect import signature

from acpower.marking.judge import MarkedWorksheet, expected_and_working
from acpower.worksheets.cards import JobCard
from acpower.worksheets.question_text import Given, needed_numbers, question_html, rounded_answers
from acpower.worksheets.scheme import Function, Question, Worksheet, show
from acpower.worksheets.verdicts import show_input

_ON_EACH_POINT = 2
_CARDS_LOOKED_AT = 20
"""Where a question has few sets of numbers, the first cards may all bring the apprentice's own again."""


@dataclass(frozen=True)
class Again:
    """One question once more with the numbers of one card, and its solution."""

    card: str
    """The id for which the card was drawn: it opens the same card in a worksheet for practice."""
    given: tuple[Given, ...]
    expected: str
    working: str


@dataclass(frozen=True)
class WeakPoint:
    """A question that is not right yet: its number, its prose as inert HTML, and fresh numbers."""

    number: int
    question: Question
    asked: str
    again: tuple[Again, ...]

    @property
    def by_function(self) -> bool:
        """Whether the question asks for a function, which is then tried on other inputs."""
        return isinstance(self.question, Function)

    @property
    def rows(self) -> list[tuple[str, list[str], str]]:
        """What is given, line by line: label, the value on each card, unit."""
        found: dict[tuple[str, str], list[str]] = {}
        for place, one in enumerate(self.again):
            for given in one.given:
                values = found.setdefault((given.label, given.unit), ["–"] * len(self.again))
                values[place] = given.value
        return [(label, values, unit) for (label, unit), values in found.items()]


def weak_points(worksheet: Worksheet, marked: MarkedWorksheet) -> list[WeakPoint]:
    """Return fresh questions, two where the numbers allow, for each question that is not right yet.

    The cards are drawn with the practice key, whatever the worksheet was handed out with, so they
    tell nothing about questions for marks. They differ from the apprentice's own numbers and from
    each other. A question whose text is not in the notebook is left out.
    """
    weak = [(number, one) for number, one in enumerate(marked.questions, start=1) if one.weak]
    if not weak:
        return []
    own = marked.card

    @cache
    def card(number: int) -> JobCard:
        return worksheet.card(f"{own.apprentice}-again-{number}")

    return [
        WeakPoint(number, one.question, asked, again)
        for number, one in weak
        if (asked := _asked(worksheet, one.question))
        and (again := _again(worksheet, one.question, own, card))
    ]


def _asked(worksheet: Worksheet, question: Question) -> str:
    try:
        return question_html(worksheet, question)
    except (OSError, ValueError, KeyError):  # the notebook of an own worksheet is not there, or is another
        return ""


def _again(
    worksheet: Worksheet, question: Question, own: JobCard, card: Callable[[int], JobCard]
) -> tuple[Again, ...]:
    seen = [_given(worksheet, question, own)]
    chosen: list[Again] = []
    for number in range(1, _CARDS_LOOKED_AT + 1):
        given = _given(worksheet, question, card(number))
        if given not in seen:
            seen.append(given)
            solution = _solution(worksheet, question, card(number))
            chosen.append(Again(card(number).apprentice, given, *solution))
        if len(chosen) == _ON_EACH_POINT:
            break
    return tuple(chosen)


def _given(worksheet: Worksheet, question: Question, card: JobCard) -> tuple[Given, ...]:
    if isinstance(question, Function):
        return (Given("Inputs, in the order of the brackets", _inputs(question, card), ""),)
    return needed_numbers(worksheet, question, card)


def _solution(worksheet: Worksheet, question: Question, card: JobCard) -> tuple[str, str]:
    if isinstance(question, Function):
        value = question.key(*card.trials[question.name][0])
        return f"{show(float(value))} {question.unit}".strip(), question.working
    return expected_and_working(question, card, rounded_answers(worksheet, card))


def _inputs(question: Function, card: JobCard) -> str:
    """Write the inputs with the names that they have in the right function, if each has one there."""
    given = [show_input(number) for number in card.trials[question.name][0]]
    try:
        names = list(signature(question.key).parameters)
    except ValueError:  # some functions that are not written in Python tell none
        names = []
    named = [f"{name}\xa0=\xa0{value}" for name, value in zip(names, given, strict=False)]
    return ", ".join(named if len(names) == len(given) else given)
