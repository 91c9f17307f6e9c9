"""Practise one question again and again, each time with the numbers of a fresh job card.

Nobody's id is needed: the cards are numbered, so a card can be drawn again and the next one is new.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from acpower.worksheets.answers import Answer, answer_from_value, unquoted
from acpower.worksheets.cards import JobCard
from acpower.worksheets.question_text import Given, needed_numbers, rounded_answers
from acpower.worksheets.scheme import Number, Worded, Worksheet
from acpower.worksheets.verdict import Verdict
from acpower.worksheets.verdicts import judge

Practised = Number | Worded
"""What can be practised outside a notebook: every question that does not ask for a function."""

_MOST_CARDS_ALIKE = 100
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
    lines: tuple[Given, ...]
    working: str
    _card: JobCard
    _given: Mapping[str, Answer]

    def judge(self, typed: str) -> Verdict:
        """Judge what was typed as if it had been recorded in a cell of the worksheet's notebook.

        A text may stand with quotation marks or without. A bare number is one, with a decimal point:
        3.125 is not asked about, while 3,125 and 3.125 kW are texts that may be read in two ways.
        """
        bare = unquoted(typed)
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
    [('Efficiency of the charger', '%'), ('From question 7: Power from the grid on two phases', 'kW')]
    >>> task.judge("900 kW").passed
    False
    """

    def __init__(self, worksheet: Worksheet, question: Practised) -> None:
        self.worksheet, self.question = worksheet, question

    def task(self, number: int) -> Task:
        """Return the question with the numbers of the card ``number``, the same each time."""
        card = self.worksheet.card(f"practise-{number}")
        earlier = rounded_answers(self.worksheet, card)
        return Task(
            worksheet=self.worksheet,
            question=self.question,
            number=number,
            lines=needed_numbers(self.worksheet, self.question, card),
            working=self.question.working(card, earlier),
            _card=card,
            _given={name: answer_from_value(getattr(earlier, name)) for name in self.question.needs},
        )

    def next_number(self, number: int) -> int:
        """Return the number of the next card on which the question has other numbers."""
        before = self.task(number).lines
        for following in range(number + 1, number + _MOST_CARDS_ALIKE):
            if self.task(following).lines != before:
                return following
        return number + 1
