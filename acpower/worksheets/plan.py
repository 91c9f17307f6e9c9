"""The plan of the unit, read from the lessons and the mark schemes: nothing in it is written twice."""

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from acpower import notebooks
from acpower.worksheets.scheme import Worksheet
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


def plan_table() -> PlanTable:
    """Return the plan as a table: outcomes, lesson, worksheet, questions, marks.

    >>> plan_table().head
    ('Lesson', 'Minutes', 'After it they can', 'Worksheet', 'Questions (marks)', 'Marks')
    """
    rows = tuple(
        (
            [f"{plan.name[:2].lstrip('0')}. {plan.title}"],
            [str(plan.minutes)],
            plan.outcomes,
            [worksheet.name for worksheet in plan.worksheets] or ["none"],
            [
                f"{question.title} ({question.marks})"
                for worksheet in plan.worksheets
                for question in worksheet.questions
            ],
            [str(worksheet.marks) for worksheet in plan.worksheets],
        )
        for plan in unit_plan()
    )
    head = ("Lesson", "Minutes", "After it they can", "Worksheet", "Questions (marks)", "Marks")
    return PlanTable("Plan of the unit", head, rows)


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
    ['the line voltage was multiplied by √3']
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
        if cell
        else "none"
    )
