"""The plan of the unit, read from lessons, quick questions and mark schemes: nothing is written twice.

For each outcome of a lesson: the quick questions that practise it, without a mark, and the
questions of the worksheet that are marked.
"""

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from acpower import notebooks
from acpower.panels.questions import QUESTIONS
from acpower.worksheets.scheme import Worksheet, in_marks
from acpower.worksheets.schemes import WORKSHEETS, find_worksheet

_MINUTES = re.compile(r"About (\d+) minutes")
_OUTCOMES_FOLLOW = "you can"


@dataclass(frozen=True)
class LessonPlan:
    """One lesson: its file name, title, length [minutes], outcomes and worksheets."""

    name: str
    title: str
    minutes: int
    outcomes: tuple[str, ...]
    worksheets: tuple[Worksheet, ...]


@dataclass(frozen=True)
class PlanTable:
    """A table of texts that a notebook shows; a cell with several texts is a list."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[Sequence[str], ...], ...]

    def _repr_html_(self) -> str:
        head = "".join(
            f'<th scope="col" style="text-align: left">{escape(words)}</th>' for words in self.head
        )
        body = "".join(
            '<tr><th scope="row" style="text-align: left; vertical-align: top">'
            f"{_texts(first)}</th>"
            + "".join(
                f'<td style="text-align: left; vertical-align: top">{_texts(cell)}</td>' for cell in rest
            )
            + "</tr>"
            for first, *rest in self.rows
        )
        return (
            f'<table style="font-size: 15px"><caption>{escape(self.caption)}</caption>'
            f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
        )


def unit_plan() -> list[LessonPlan]:
    """Return the numbered lessons in their order, with the worksheets that belong to each.

    >>> [plan.title for plan in unit_plan() if plan.name == "02-read-ac"]
    ['Read AC: peak, RMS and meters that mislead']
    """
    return [
        read_lesson(path.stem, path.read_text(encoding="utf-8"))
        for path in sorted(notebooks.folder("course").glob("[0-9]*.ipynb"))
    ]


def read_lesson(name: str, notebook: str) -> LessonPlan:
    """Return the plan of one lesson, read from the first cell of its notebook.

    Parameters
    ----------
    name
        File name of the lesson without its ending; mark schemes name their lesson by it.
    notebook
        The text of the notebook.

    Raises
    ------
    ValueError
        If title, length or outcomes are missing.
    """
    first = "".join(json.loads(notebook)["cells"][0]["source"])
    title = first.splitlines()[0].removeprefix("# ").strip()
    minutes = _MINUTES.search(first)
    _, follows, listed = first.partition(_OUTCOMES_FOLLOW)
    outcomes = tuple(
        line.removeprefix("- ").rstrip(" ,.;") for line in listed.splitlines() if line.startswith("- ")
    )
    if not (first.startswith("# ") and minutes and follows and outcomes):
        raise ValueError(
            f"lesson {name}: its first cell needs a title, “About 45 minutes” and a list after “you can”. "
            "Look at another lesson."
        )
    worksheets = tuple(worksheet for worksheet in WORKSHEETS.values() if worksheet.lesson == name)
    return LessonPlan(name, title, int(minutes[1]), outcomes, worksheets)


def practice_questions(outcome: str) -> tuple[str, ...]:
    """Return the names of the quick questions that practise an outcome.

    >>> practice_questions("tell the four charging modes apart") != ()
    True
    """
    return tuple(name for name, ask in QUESTIONS.items() if ask().outcome == outcome)


def marked_questions(plan: LessonPlan, outcome: str) -> tuple[str, ...]:
    """Return the worksheet's questions for an outcome, with level and marks.

    >>> first = unit_plan()[0]
    >>> marked_questions(first, first.outcomes[0]) != ()
    True
    """
    return tuple(
        f"{number}. {question.title} (level {question.level}, {in_marks(question.marks)})"
        for worksheet in plan.worksheets
        for number, question in enumerate(worksheet.questions, start=1)
        if question.outcome == outcome
    )


def plan_table() -> PlanTable:
    """Return the plan as a table with one row for each outcome.

    >>> plan_table().head
    ('Lesson', 'After it they can', 'Quick questions', 'Questions of the worksheet')
    """
    rows = []
    for plan in unit_plan():
        marks = sum(worksheet.marks for worksheet in plan.worksheets)
        title = f"{plan.name[:2].lstrip('0')}. {plan.title} ({plan.minutes} minutes; {in_marks(marks)})"
        for place, outcome in enumerate(plan.outcomes):
            rows.append(
                (
                    [title if place == 0 else ""],
                    [outcome],
                    practice_questions(outcome) or ["none"],
                    marked_questions(plan, outcome) or ["none"],
                )
            )
    head = ("Lesson", "After it they can", "Quick questions", "Questions of the worksheet")
    return PlanTable("Plan of the unit", head, tuple(rows))


def known_errors_table(worksheet: str) -> PlanTable:
    """Return the known errors of one worksheet: what to provoke in the lesson, and what to ask then.

    Parameters
    ----------
    worksheet
        Its name, such as ``charging-power``.

    Raises
    ------
    ValueError
        If there is no such worksheet; the message lists those that there are.

    Examples
    --------
    >>> known_errors_table("charging-power").rows[0][1]
    ['the line voltage was recorded as it is']
    """
    scheme = find_worksheet(worksheet)
    rows = tuple(
        ([f"{number}. {question.title}"], [error.says], [error.hint])
        for number, question in enumerate(scheme.questions, start=1)
        for error in question.known_errors
    )
    return PlanTable(
        f"Known errors: {scheme.title}", ("Question", "What goes wrong", "What to ask or say then"), rows
    )


def _texts(cell: Sequence[str]) -> str:
    if len(cell) == 1:
        return escape(cell[0])
    return (
        '<ul style="margin: 0; padding-left: 1.2em">'
        + "".join(f"<li>{escape(text)}</li>" for text in cell)
        + "</ul>"
    )
