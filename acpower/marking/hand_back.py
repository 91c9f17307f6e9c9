"""Write what goes back: mark sheet, answers, reports, class picture, marking record."""

from collections.abc import Sequence
from functools import cache
from pathlib import Path

import jinja2

from acpower.marking.class_picture import class_picture_page
from acpower.marking.judge import recorded_words
from acpower.marking.record import load_record, marked_on, write_record
from acpower.marking.result import ClassResult, Result
from acpower.marking.run import Limits
from acpower.marking.sheets import write_answers, write_mark_sheet
from acpower.marking.take_in import RECORD_NAME

MARK_SHEET, ANSWERS, CLASS_PICTURE, RECORD, REPORTS = (
    "mark-sheet.csv",
    "answers.csv",
    "class-picture.html",
    RECORD_NAME,
    "reports",
)


def hand_back(class_result: ClassResult, to: Path, limits: Limits) -> None:
    """Write all files of one marked class into the folder ``to``; the record first, and only once.

    A folder that has a record is refused: what another marking wrote is not overwritten.
    """
    to.mkdir(parents=True, exist_ok=True)
    write_record(class_result, limits, to / RECORD)
    write_pages(class_result, to)


def write_pages(class_result: ClassResult, to: Path) -> None:
    """Write everything but the record: what can be written again from the record at any time."""
    (to / REPORTS).mkdir(parents=True, exist_ok=True)
    write_mark_sheet(class_result, to / MARK_SHEET)
    write_answers(class_result, to / ANSWERS)
    for apprentice in class_result.register.ids:
        results = [result for result in class_result.results if result.submission.apprentice == apprentice]
        if results:
            page = report_page(apprentice, results)
            (to / REPORTS / f"{apprentice}.html").write_text(page, encoding="utf-8", newline="\n")
    record = load_record(to / RECORD)
    page = class_picture_page(class_result, marked_on(record), record["versions"]["acpower"], templates())
    (to / CLASS_PICTURE).write_text(page, encoding="utf-8", newline="\n")


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
