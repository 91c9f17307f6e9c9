"""What a worksheet for marks uses: numbers that were handed out, answers without a verdict.

The numbers stand in the notebook itself. They were drawn with a term key that only the instructor
has, so nobody can draw a card, or the inputs of a function question, from an id. Nothing here
knows a mark scheme.
"""

from collections.abc import Sequence
from typing import Any

from acpower.worksheets.answering import (
    NotYet,
    being_marked,
    card_opened,
    given,
    hand_out_answer,
    show_block,
    under_pytest,
)
from acpower.worksheets.answers import answer_from_value
from acpower.worksheets.block import BLUE, GREY, VERMILLION
from acpower.worksheets.card_table import card_html, card_text
from acpower.worksheets.cards import Entry, JobCard

_TITLE = "for marks"


def marked_card(
    worksheet: str,
    *,
    version: str,
    apprentice: str,
    numbers: Sequence[tuple[str, Any, str, str]],
    questions: Sequence[str],
) -> "MarkedJob":
    """Open a job card that was handed out for marks.

    Parameters
    ----------
    worksheet, version, apprentice
        Whose card it is, as handed out.
    numbers
        The lines of the card: name in a formula, value, unit, label.
    questions
        The names under which answers are recorded.

    Returns
    -------
    MarkedJob
        As for practice, but ``job.record(...)`` only repeats what it has recorded.

    Examples
    --------
    >>> lines = [("line_voltage", 398, "V", "Line voltage")]
    >>> job = marked_card("demo", version="1", apprentice="A07", numbers=lines, questions=["phase_voltage_v"])
    >>> job.card.line_voltage
    398
    """
    entries = tuple(Entry(name, label, unit, (value,)) for name, value, unit, label in numbers)
    card = JobCard(worksheet, version, apprentice, entries, {name: value for name, value, *_ in numbers})
    card_opened(card)
    return MarkedJob(card, tuple(questions))


class MarkedJob:
    """A job card for marks, and which questions have an answer."""

    def __init__(self, card: JobCard, questions: tuple[str, ...]) -> None:
        self.card = card
        self._questions = questions
        self._recorded: set[str] = set()

    def record(self, question: str, value: Any) -> None:
        """Record an answer. It is repeated, and not judged: that is your instructor's part."""
        if being_marked():
            hand_out_answer(question, value)
            return
        if question not in self._questions:
            listed = ", ".join(self._questions)
            raise NotYet(f"This worksheet has no question {question!r}. Its questions are: {listed}")
        answer = answer_from_value(value)
        if under_pytest():
            return
        if answer.kind == "blank":
            self._recorded.discard(question)
            show_block(question, "Nothing is recorded here yet.", self._progress(), sign="…", colour=GREY)
        elif answer.kind == "refused":
            self._recorded.discard(question)
            show_block(question, answer.text, self._progress(), sign="?", colour=VERMILLION)
        else:
            self._recorded.add(question)
            what = "A function is recorded." if answer.kind == "function" else f"Recorded.{given(answer)}"
            show_block(question, what, self._progress(), sign="✎", colour=BLUE)

    def hint(self, question: str) -> None:
        """Say that a worksheet for marks gives no hints."""
        if not being_marked():
            raise NotYet(f"{question}: this worksheet is for marks, so it gives no hints.")

    def _progress(self) -> str:
        recorded = f"{len(self._recorded)} of {len(self._questions)} questions"
        return f"Recorded so far: {recorded}. Save the notebook before you hand it in."

    def _repr_html_(self) -> str:
        return card_html(self.card, _TITLE)

    def __repr__(self) -> str:
        return card_text(self.card, _TITLE)
