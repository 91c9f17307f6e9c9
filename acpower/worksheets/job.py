"""What an apprentice's notebook uses to practise: open a job card, record answers, read the reaction.

Three situations, one notebook:

* In JupyterLab ``record`` shows a friendly block at once.
* Under ``pytest --nbval-lax`` a wrong or missing answer fails its cell with one line to act on.
* While a class is marked ``record`` hands the answer out as bounded text and says nothing; the
  marker's own process judges it.
"""

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
from acpower.worksheets.answers import Answer, answer_from_value
from acpower.worksheets.block import BLUE, GREY, VERMILLION
from acpower.worksheets.card_table import card_html, card_text
from acpower.worksheets.cards import JobCard
from acpower.worksheets.own import NotAWorksheet, worksheet_to_practise
from acpower.worksheets.scheme import HINTS, Question, Worksheet
from acpower.worksheets.verdicts import judge

PRACTICE_APPRENTICE = "practice"

LOOK = {
    # outcome: (sign, border colour)
    "right": ("✔", BLUE),
    "carried forward": ("✔", BLUE),
    "known error": ("➜", VERMILLION),
    "too few figures": ("➜", VERMILLION),
    "not yet": ("➜", VERMILLION),
    "refused": ("?", VERMILLION),
    "blank": ("…", GREY),
}


def job_card(worksheet: str, *, version: str, apprentice: str = PRACTICE_APPRENTICE) -> "Job":
    """Open the job card of one apprentice.

    Parameters
    ----------
    worksheet, version
        Name and version of the worksheet, as printed in its first code cell.
    apprentice
        The id from the register. Any id gives a card of its own for practice.

    Returns
    -------
    Job
        Show it to see the numbers; use ``job.card.NAME`` in a formula; ``job.record(...)`` answers
        and ``job.hint(...)`` helps on.

    Examples
    --------
    >>> version = worksheet_to_practise("charging-power").version
    >>> job_card("charging-power", version=version, apprentice="A07").card.apprentice
    'A07'
    """
    if not isinstance(apprentice, str) or not apprentice.strip():
        raise NotYet(
            "Write your id between the quotation marks, such as apprentice='A07', and run the cell again."
        )
    try:
        scheme = worksheet_to_practise(worksheet)
    except (ValueError, NotAWorksheet) as problem:
        raise NotYet(str(problem)) from None
    if version != scheme.version:
        raise NotYet(
            f"This worksheet is version {version} of {worksheet}; the installed package has version "
            f"{scheme.version}. Ask your instructor for the worksheet that belongs to the package."
        )
    job = Job(scheme, scheme.card(apprentice.strip()))
    card_opened(job.card)
    return job


class Job:
    """A job card and what has been recorded on it."""

    def __init__(self, worksheet: Worksheet, card: JobCard) -> None:
        self.card = card
        self._worksheet = worksheet
        self._answers: dict[str, Answer] = {}
        self._right: set[str] = set()
        self._hints: dict[str, int] = {}

    def record(self, question: str, value: Any) -> None:
        """Record an answer on the job card.

        ``question`` is the name printed with the question. ``value`` is a number, a text, a
        function where one is asked for, or ``...`` for not yet.
        """
        asked = self._asked(question)
        if being_marked():
            hand_out_answer(question, value)
            return
        trials = self.card.trials.get(question, ())
        answer = self._answers[question] = answer_from_value(value, trials)
        verdict = judge(self._worksheet, asked, answer, self.card, self._answers)
        (self._right.add if verdict.passed else self._right.discard)(question)
        if under_pytest():
            if not verdict.passed:
                raise NotYet(f"{question}: {verdict.says}{given(answer)}")
            return
        sign, colour = LOOK[verdict.outcome]
        show_block(asked.title, verdict.says + given(answer), self._progress(), sign=sign, colour=colour)

    def hint(self, question: str) -> None:
        """Show the next hint to a question: what to look at, which relation holds, how to begin."""
        asked = self._asked(question)
        if being_marked():
            return
        step = self._hints[question] = min(self._hints.get(question, 0) + 1, len(asked.hints))
        more = "Run the cell again for the next one." if step < len(asked.hints) else "This is the last one."
        show_block(
            f"Hint to “{asked.title}”: {HINTS[step - 1]}",
            asked.hints[step - 1],
            more,
            sign="➜",
            colour=GREY,
        )

    def _asked(self, question: str) -> Question:
        if not isinstance(question, str):
            raise NotYet(
                "The name of the question stands between quotation marks, as in "
                f'job.hint("{self._worksheet.questions[0].name}").'
            )
        try:
            return self._worksheet.question(question)
        except ValueError as problem:
            raise NotYet(str(problem)) from None

    def _progress(self) -> str:
        """Say how far the worksheet is, and what to do next."""
        questions = self._worksheet.questions
        says = f"Right so far: {len(self._right)} of {len(questions)} questions."
        left = [number for number, one in enumerate(questions, 1) if one.name not in self._right]
        if not left:
            return f"{says} The worksheet is complete."
        return f"{says} Next: question {left[0]}."

    def _repr_html_(self) -> str:
        return card_html(self.card, self._worksheet.title)

    def __repr__(self) -> str:
        return card_text(self.card, self._worksheet.title)
