"""Run one worksheet through pytest and nbval, apart from everything else, and bring its answers out."""

import json
import re
import sys
import threading
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import IO, Any

from acpower import notebooks
from acpower.marking import isolate
from acpower.marking.scratch import scratch_folder
from acpower.worksheets.answering import MARKING_VARIABLE
from acpower.worksheets.answers import LONGEST_TEXT, Answer, answer_from_data, shortened
from acpower.worksheets.cards import JobCard
from acpower.worksheets.own import scheme_file
from acpower.worksheets.scheme import Worksheet

STARTUP_SECONDS = 30
MOST_TRIES = 3
MOST_NUMBERS = 50  # lines of a job card that are read back
LARGEST_ANSWERS_FILE = 4 * 1024 * 1024
# An ordinary error of Python's costs its own cell only; the other reasons may cost the cells after it.
ORDINARY = "stopped"
NOT_STARTED = "kernel-not-started"
_RECORDED = re.compile(r"""\brecord\(\s*["'](\w+)["']""")
_LONGEST_FIRST_LINE = 60
REASONS = (NOT_STARTED, "timeout", "kernel-died", "output-limit", "memory", "exited", ORDINARY)


@dataclass(frozen=True)
class Limits:
    """How long a cell and a whole worksheet may take, in seconds."""

    cell_seconds: float = 20.0
    worksheet_seconds: float = 120.0


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


def run_worksheet(
    worksheet: Worksheet,
    card: JobCard,
    cells: Sequence[str],
    limits: Limits,
    stop: threading.Event,
    *,
    for_marks: bool = False,
) -> Run:
    """Execute the code cells of one worksheet and return what they recorded.

    Where kernels share the machine's ports, two that start at once may take the same one. A kernel
    that did not start has run nothing of the worksheet, so it is tried again.

    The answers are text, bounded and read strictly; nothing else of the notebook comes back. Setting
    ``stop`` ends the run. For practice an own worksheet's mark scheme lies beside the notebook,
    which judges by it; ``for_marks`` keeps it away, since a cell could read the answers off it.
    """
    for _ in range(MOST_TRIES):
        run = _run_once(worksheet, card, cells, limits, stop, for_marks=for_marks)
        if run.code != NOT_STARTED or stop.is_set():
            break
    return run


def _run_once(
    worksheet: Worksheet,
    card: JobCard,
    cells: Sequence[str],
    limits: Limits,
    stop: threading.Event,
    *,
    for_marks: bool,
) -> Run:
    with (
        scratch_folder() as scratch,
        (scratch / "answers.jsonl").open("w+b") as answers,
        (scratch / "log.txt").open("w+b") as log,
    ):
        (scratch / "worksheet.ipynb").write_text(_notebook(cells), encoding="utf-8")
        (scratch / "pytest.ini").write_text("[pytest]\n", encoding="utf-8")
        scheme = scheme_file(worksheet.name)
        if scheme is not None and not for_marks:
            (scratch / scheme.name).write_bytes(scheme.read_bytes())
        ended = isolate.run(
            _command(limits),
            scratch,
            {
                MARKING_VARIABLE: json.dumps(dict(card.trials)),
                "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1",
            },
            limits.worksheet_seconds,
            log,
            stop,
        )
        # Both files were opened before the run, so whatever stands under their names now does not matter.
        lines, last_words = _read(answers), _read(log)[-1:]
    run = Run(seconds=ended.seconds)
    for line in lines:
        _take_line(line, run, len(cells))
    _name_reason(run, ended, limits, len(lines), [cell_words(worksheet, source) for source in cells])
    if not lines and last_words:
        run.says += f" The last words of the run: {shortened(last_words[0])}"
    return run


def _read(file: IO[bytes]) -> list[str]:
    """Return the lines of a file, up to a limit."""
    file.seek(0)
    return file.read(LARGEST_ANSWERS_FILE).decode("utf-8", "replace").strip().splitlines()


def _notebook(cells: Sequence[str]) -> str:
    """Return a clean notebook with nothing of the one handed in but the source of its code cells."""
    return notebooks.canonical(
        {
            "cells": [
                {"cell_type": "code", "id": f"cell-{number}", "metadata": {}, "source": source}
                for number, source in enumerate(cells)
            ],
            "metadata": {},
        }
    )


def _command(limits: Limits) -> list[str]:
    return [
        sys.executable,
        "-P",  # nothing that lies in the folder is imported in place of a library
        "-m",
        "pytest",
        "-c",
        "pytest.ini",
        "--rootdir=.",
        "--noconftest",
        "-p",
        "no:cacheprovider",
        "-p",
        "acpower.marking.plugin",
        "-p",
        "nbval.plugin",
        "--nbval-lax",
        "--nbval-current-env",
        f"--nbval-cell-timeout={limits.cell_seconds}",
        f"--nbval-kernel-startup-timeout={STARTUP_SECONDS}",
        "--acpower-answers=answers.jsonl",
        "--tb=no",
        "worksheet.ipynb",
    ]


def _take_line(text: str, run: Run, cells: int) -> None:
    """Take one line of the answers file; whatever is not in order is left out."""
    try:
        line = json.loads(text)
        cell, code, says, records = line["cell"], line["code"], line["says"], line["records"]
    except (ValueError, TypeError, KeyError, RecursionError):
        return
    if not (
        type(cell) is int
        and 0 <= cell < cells
        and isinstance(code, str)
        and isinstance(says, str)
        and isinstance(records, list)
    ):
        return
    if code in REASONS:
        run.stops.append(Stop(cell + 1, code, shortened(says)))
    for record in records:
        _take_record(record, run)


def _take_record(record: Any, run: Run) -> None:
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


def _name_reason(
    run: Run, ended: isolate.Ended, limits: Limits, cells_run: int, cells: Sequence[str]
) -> None:
    """Say in one line what kept the worksheet from running to its end, if anything did.

    ``cells`` says of each cell which one it is.
    """
    if ended.exit_code is None:
        run.code = "timeout"
        run.says = f"The worksheet was still running after {limits.worksheet_seconds:g} s and was ended."
        return
    if run.stops:
        first = min(run.stops, key=lambda one: (one.code == ORDINARY, one.cell))
        run.code = first.code
        which = cells[first.cell - 1]
        says = {
            NOT_STARTED: "Python did not start for this worksheet. Mark it again when the machine is less busy.",
            "timeout": f"{which} was still running after {limits.cell_seconds:g} s and was stopped.",
            "kernel-died": f"Python ended in {which}; later cells did not run.",
            "output-limit": f"{which} printed too much and was ended; later cells did not run.",
            "memory": f"{which} asked for more memory than there is for a worksheet.",
            "exited": f"{which} asked Python to exit.",
            ORDINARY: f"{which} stopped: {first.says}",
        }[first.code]
        run.says = f"{says[0].upper()}{says[1:]}"
        return
    if cells_run < len(cells):
        run.code = "kernel-died"
        run.says = f"The run ended before {cells[cells_run]}; this cell and those after it did not run."
