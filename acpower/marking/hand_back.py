"""Write what goes back: mark sheet, answers, reports, class picture, marking record."""

import csv
import json
import platform
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import UTC, datetime
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

import jinja2

from acpower.marking import isolate
from acpower.marking.class_picture import class_picture_page
from acpower.marking.judge import Marked, recorded_words
from acpower.marking.register import UserMistake
from acpower.marking.result import ClassResult, Result
from acpower.marking.run import Limits
from acpower.marking.take_in import RECORD_NAME

MARK_SHEET, ANSWERS, CLASS_PICTURE, RECORD, REPORTS = (
    "mark-sheet.csv",
    "answers.csv",
    "class-picture.html",
    RECORD_NAME,
    "reports",
)
# A spreadsheet runs a cell that begins with one of these as a formula.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def hand_back(class_result: ClassResult, to: Path, limits: Limits) -> None:
    """Write all files of one marked class into the folder ``to``; the record first, and only once.

    A folder that has a record is refused: what another marking wrote is not overwritten.
    """
    (to / REPORTS).mkdir(parents=True, exist_ok=True)
    record = json.dumps(marking_record(class_result, limits), ensure_ascii=False, indent=1)
    try:
        with (to / RECORD).open("x", encoding="utf-8", newline="\n") as file:
            file.write(record + "\n")
    except FileExistsError:
        raise UserMistake(f"{to} holds the record of another marking. Choose a new folder.") from None
    write_mark_sheet(class_result, to / MARK_SHEET)
    write_answers(class_result, to / ANSWERS)
    for apprentice in class_result.register.ids:
        results = [result for result in class_result.results if result.submission.apprentice == apprentice]
        if results:
            page = report_page(apprentice, results)
            (to / REPORTS / f"{apprentice}.html").write_text(page, encoding="utf-8", newline="\n")
    page = class_picture_page(class_result, templates())
    (to / CLASS_PICTURE).write_text(page, encoding="utf-8", newline="\n")


def cell_text(text: str) -> str:
    """Return text from outside as a spreadsheet may show it, and not run it.

    >>> cell_text("=1+1")
    "'=1+1"
    """
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text


def write_mark_sheet(class_result: ClassResult, path: Path) -> None:
    """Write one line per apprentice and worksheet; the last columns are the marks per question."""
    most = max((len(worksheet.questions) for worksheet in class_result.worksheets), default=0)
    header = ["id", "worksheet", "version", "status", "marks", "out_of", "percent", "reason", "what_to_do"]
    rows = []
    for result in class_result.results:
        marked = result.marked
        total: list[Any] = ["", "", ""]
        if marked:
            total = [
                marked.marks,
                result.worksheet.marks,
                f"{100 * marked.marks / result.worksheet.marks:.1f}",
            ]
        rows.append(
            [
                result.submission.apprentice,
                result.worksheet.name,
                result.worksheet.version,
                result.status,
                *total,
                " ".join(code for code, _ in result.notes),
                cell_text(" ".join(says for _, says in result.notes)),
                *([one.verdict.marks for one in marked.questions] if marked else []),
            ]
        )
    _write_csv(path, [*header, *(f"q{number}" for number in range(1, most + 1))], rows)


def write_answers(class_result: ClassResult, path: Path) -> None:
    """Write one line per apprentice and question."""
    header = [
        "id",
        "worksheet",
        "question",
        "recorded",
        "unit",
        "outcome",
        "known_error",
        "marks",
        "out_of",
        "reason",
    ]
    rows = [
        [
            result.submission.apprentice,
            result.worksheet.name,
            one.question.name,
            _recorded_cell(one),
            getattr(one.question, "unit", ""),
            one.verdict.outcome,
            " or ".join(error.name for error in one.verdict.known_errors),
            one.verdict.marks,
            one.question.marks,
            one.verdict.code,
        ]
        for result in class_result.results
        if result.marked
        for one in result.marked.questions
    ]
    _write_csv(path, header, rows)


def _recorded_cell(one: Marked) -> str:
    """Numbers arrive as numbers, so a negative one is not mistaken for a formula."""
    return one.answer.text if one.answer.kind == "number" else cell_text(one.answer.text)


def _write_csv(path: Path, header: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    width = len(header)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(header)
        writer.writerows([*row, *[""] * (width - len(row))] for row in rows)


@cache
def templates() -> jinja2.Environment:
    """Return the page templates; everything put into them is escaped."""
    return jinja2.Environment(
        loader=jinja2.PackageLoader("acpower.marking"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )


def report_page(apprentice: str, results: Sequence[Result]) -> str:
    """Return the report of one apprentice as a page without active content."""
    return (
        templates()
        .get_template("report.html")
        .render(apprentice=apprentice, results=results, recorded_words=recorded_words)
    )


def marking_record(class_result: ClassResult, limits: Limits) -> dict[str, Any]:
    """Return the audit record: what was read, under which rule, and what was decided."""
    return {
        "marked_at": datetime.now(UTC).isoformat(timespec="seconds"),
        "versions": {name: version(name) for name in ("acpower", "nbval", "pytest", "numpy")}
        | {"python": platform.python_version(), "system": platform.platform()},
        "isolation": isolate.level(),
        "limits": asdict(limits),
        "register_problems": list(class_result.register.problems),
        "not_of_the_register": [
            {"file": stray.file, "status": stray.status, "reason": stray.code, "says": stray.says}
            for stray in class_result.strays
        ],
        "worksheets": [_record_of(result) for result in class_result.results],
        "changes_by_hand": [],
    }


def _record_of(result: Result) -> dict[str, Any]:
    submission, marked = result.submission, result.marked
    record: dict[str, Any] = {
        "id": submission.apprentice,
        "worksheet": result.worksheet.name,
        "version": result.worksheet.version,
        "file": submission.file,
        "sha256": submission.sha256,
        "status": result.status,
        "notes": [{"reason": code, "says": says} for code, says in result.notes],
    }
    if marked and result.run:
        record["seconds"] = round(result.run.seconds, 2)
        record["stopped_cells"] = [asdict(stop) for stop in result.run.stops]
        record["job_card"] = dict(marked.card.values)
        record["marks"] = marked.marks
        record["out_of"] = result.worksheet.marks
        record["questions"] = [_question_record(one) for one in marked.questions]
    return record


def _question_record(one: Marked) -> dict[str, Any]:
    return {
        "question": one.question.name,
        "answer": one.answer.as_data(),
        "expected": one.expected,
        "tolerance": {
            name: getattr(one.question, name)
            for name in ("relative", "absolute", "figures")
            if hasattr(one.question, name)
        },
        "outcome": one.verdict.outcome,
        "known_errors": [error.name for error in one.verdict.known_errors],
        "says": one.verdict.says,
        "reason": one.verdict.code,
        "marks": one.verdict.marks,
        "out_of": one.question.marks,
    }
