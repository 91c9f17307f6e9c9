"""What is to be run and what came out of it: cells in, claims out, both as plain text.

The answers are bounded and read strictly; nothing else of the notebook comes back.
"""

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import isfinite
from typing import Any

from acpower.marking.kernel_ended import WORKSHEET_TIME_UP
from acpower.worksheets.answering import MARKING_VARIABLE
from acpower.worksheets.answers import LONGEST_TEXT, Answer, answer_from_data, shortened
from acpower.worksheets.cards import JobCard
from acpower.worksheets.own import scheme_file
from acpower.worksheets.scheme import Worksheet

MOST_NUMBERS = 50  # lines of a job card that are read back
# An ordinary error of Python's costs its own cell only; the other reasons may cost the cells after it.
ORDINARY = "stopped"
NOT_STARTED = "kernel-not-started"
WITHOUT_THIS_CELL = "Ask for the worksheet without this cell."
_RECORDED = re.compile(r"""\brecord\(\s*["'](\w+)["']""")
_LONGEST_FIRST_LINE = 60
REASONS = (
    NOT_STARTED,
    "timeout",
    "kernel-died",
    "output-limit",
    "memory",
    "channel-misused",
    "exited",
    ORDINARY,
)


@dataclass(frozen=True)
class Limits:
    """How long a cell and a whole worksheet may take, in seconds."""

    cell_seconds: float = 20.0
    worksheet_seconds: float = 120.0


Data = dict[str, Any]
"""A worksheet as plain data, for the process that runs it: ``cells``, ``variables``, ``files``."""


@dataclass(frozen=True)
class Told:
    """What the process that ran a worksheet has told: a line for each cell, and its last words if it died."""

    lines: list[Any]
    last_words: str = ""


@dataclass(frozen=True)
class Stop:
    """A cell that did not run to its end, and why."""

    cell: int
    code: str
    says: str


@dataclass
class Run:
    """What came out of one worksheet: claims, to be judged."""

    recorded: dict[str, list[Answer]] = field(default_factory=dict)
    opened: str = ""
    opened_for: str = ""
    numbers: dict[str, str] = field(default_factory=dict)
    """The numbers of the job card that the notebook opened, as it showed them."""
    stops: list[Stop] = field(default_factory=list)
    code: str = ""
    says: str = ""
    seconds: float = 0.0


@dataclass(frozen=True)
class Job:
    """One worksheet to be run: its code cells, for an apprentice's card.

    For practice an own worksheet's mark scheme lies beside the notebook, which judges by it;
    ``for_marks`` keeps it away, since a cell could read the answers off it.
    """

    worksheet: Worksheet
    card: JobCard
    cells: tuple[str, ...]
    for_marks: bool

    def as_data(self) -> Data:
        """Return what the process needs that runs it; no id, no name, no key."""
        scheme = None if self.for_marks else scheme_file(self.worksheet.name)
        return {
            "cells": list(self.cells),
            "variables": {MARKING_VARIABLE: json.dumps(dict(self.card.trials))},
            "files": {scheme.name: scheme.read_text(encoding="utf-8")} if scheme else {},
        }


def order_for(worksheets: Sequence[Data], limits: Limits) -> dict[str, Any]:
    """Return the order by which a worker runs worksheets."""
    return {
        "worksheets": list(worksheets),
        "cell_seconds": limits.cell_seconds,
        "worksheet_seconds": limits.worksheet_seconds,
    }


def run_from(job: Job, told: Told, limits: Limits) -> Run:
    """Read what was told of a run; whatever is not in order is left out."""
    run = Run()
    for line in told.lines:
        _take_line(line, run, len(job.cells))
    _name_reason(run, limits, len(told.lines), [cell_words(job.worksheet, source) for source in job.cells])
    if not told.lines and told.last_words:
        run.says += f" The last words of the run: {shortened(told.last_words)}"
    return run


def _take_line(line: Any, run: Run, cells: int) -> None:
    try:
        cell, code, says, records = line["cell"], line["code"], line["says"], line["records"]
        seconds = float(line["seconds"])
    except (ValueError, TypeError, KeyError, OverflowError):
        return
    if not (
        type(cell) is int
        and 0 <= cell < cells
        and isinstance(code, str)
        and isinstance(says, str)
        and isinstance(records, list)
        and isfinite(seconds)
    ):
        return
    run.seconds = max(run.seconds, seconds)
    if code in REASONS:
        run.stops.append(Stop(cell + 1, code, shortened(says)))
    for record in records:
        _take_record(record, run)


def _take_record(text: Any, run: Run) -> None:
    try:
        record = json.loads(text)
    except (ValueError, TypeError, RecursionError):
        return
    if not isinstance(record, dict):
        return
    if isinstance(record.get("opened"), str):
        run.opened = shortened(record["opened"])
        run.opened_for = shortened(str(record.get("apprentice", "")))
        numbers = record.get("numbers")
        if isinstance(numbers, dict):
            shown = list(numbers.items())[:MOST_NUMBERS]
            run.numbers = {shortened(str(name)): shortened(str(value)) for name, value in shown}
        return
    question = record.get("question")
    try:
        answer = answer_from_data(record.get("answer"))
    except ValueError:
        return
    if isinstance(question, str) and len(run.recorded) < LONGEST_TEXT:
        run.recorded.setdefault(question, []).append(answer)


def cell_words(worksheet: Worksheet, source: str) -> str:
    r"""Say which cell this is, so that a person finds it: JupyterLab numbers no cells.

    >>> from acpower.worksheets.schemes import find_worksheet
    >>> cell_words(find_worksheet("charging-power"), 'job.record("loss_power_kw", 1 / 0)')
    'the cell of question 9 (Power that becomes heat in the charger)'
    >>> cell_words(find_worksheet("charging-power"), "while True:\n    pass")
    'the cell that begins with “while True:”'
    """
    for name in _RECORDED.findall(source):
        for number, question in enumerate(worksheet.questions, start=1):
            if question.name == name:
                return f"the cell of question {number} ({question.title})"
    first = shortened(next((line for line in source.splitlines() if line.strip()), "").strip())
    if len(first) > _LONGEST_FIRST_LINE:
        first = f"{first[:_LONGEST_FIRST_LINE].rstrip()} …"
    return f"the cell that begins with “{first}”" if first else "an empty cell"


def _name_reason(run: Run, limits: Limits, cells_run: int, cells: Sequence[str]) -> None:
    """Say in one line what kept the worksheet from running to its end, if anything did.

    ``cells`` says of each cell which one it is.
    """
    if run.stops:
        first = min(run.stops, key=lambda one: (one.code == ORDINARY, one.cell))
        run.code = first.code
        which = cells[first.cell - 1]
        if first.says == WORKSHEET_TIME_UP:
            run.says = f"The worksheet was still running after {limits.worksheet_seconds:g} s and was ended."
            return
        says = {
            NOT_STARTED: "Python did not start for this worksheet. Mark it again when the machine is less busy.",
            "timeout": f"{which} was still running after {limits.cell_seconds:g} s and was stopped. "
            f"{WITHOUT_THIS_CELL}",
            "kernel-died": f"Python ended in {which}; later cells did not run.",
            "output-limit": f"{which} printed too much and was ended; later cells did not run.",
            "memory": f"{which} asked for more memory than there is for a worksheet.",
            "channel-misused": f"{which} meddled with the way answers leave a worksheet, and was ended; later "
            "cells did not run. Look at it.",
            "exited": f"{which} asked Python to exit.",
            ORDINARY: f"{which} stopped: {first.says}",
        }[first.code]
        run.says = f"{says[0].upper()}{says[1:]}"
        return
    if cells_run < len(cells):
        run.code = "kernel-died"
        run.says = f"The run ended before {cells[cells_run]}; this cell and those after it did not run."
