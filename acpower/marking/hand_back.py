"""Write what goes back: mark sheet, answers, reports, class picture, marking record."""

import re
from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from functools import cache
from importlib.metadata import version
from pathlib import Path

import jinja2

from acpower.marking.class_picture import class_picture_page
from acpower.marking.fresh_questions import weak_points
from acpower.marking.judge import recorded_words
from acpower.marking.record import load_record, marked_on, write_record
from acpower.marking.report_notes import notes_for_report
from acpower.marking.result import ClassResult, Result
from acpower.marking.run import Limits
from acpower.marking.sheets import write_answers, write_mark_sheet
from acpower.marking.so_far import NAME as SO_FAR
from acpower.marking.take_in import RECORD_NAME
from acpower.worksheets.own import scheme_file

MARK_SHEET, ANSWERS, CLASS_PICTURE, RECORD, REPORTS = (
    "mark-sheet.csv",
    "answers.csv",
    "class-picture.html",
    RECORD_NAME,
    "reports",
)
# A short word behind a number; that some are no units does no harm.
_BEFORE_A_UNIT = re.compile(r"(?<=\d) (?=%|°|[^\W\d_]{1,4}\b)")


def hand_back(class_result: ClassResult, to: Path, limits: Limits, *, large_print: bool = False) -> None:
    """Write all files of one marked class into the folder ``to``; the record first, and only once.

    ``large_print`` is for the reports. It changes nothing but the size of their letters.
    A folder that has a record is refused: what another marking wrote is not overwritten.
    """
    to.mkdir(parents=True, exist_ok=True)
    write_record(class_result, limits, to / RECORD)
    (to / SO_FAR).unlink(missing_ok=True)  # the record has taken its place
    write_pages(class_result, to, large_print=large_print)


def write_pages(class_result: ClassResult, to: Path, *, large_print: bool = False) -> None:
    """Write everything but the record: what can be written again from the record at any time."""
    (to / REPORTS).mkdir(parents=True, exist_ok=True)
    write_mark_sheet(class_result, to / MARK_SHEET)
    write_answers(class_result, to / ANSWERS)
    results: dict[str, list[Result]] = defaultdict(list)
    for result in class_result.results:
        results[result.submission.apprentice].append(result)
    for apprentice in class_result.register.ids:
        if apprentice in results:
            page = report_page(
                apprentice, results[apprentice], class_result.marked_at, large_print=large_print
            )
            (to / REPORTS / f"{apprentice}.html").write_text(page, encoding="utf-8", newline="\n")
    record = load_record(to / RECORD)
    page = class_picture_page(class_result, marked_on(record), record["versions"]["acpower"], templates())
    (to / CLASS_PICTURE).write_text(page, encoding="utf-8", newline="\n")


def unparted(text: str) -> str:
    r"""Return text in which no line ends between a number and its unit.

    >>> unparted("√3 × 400 V × 16 A = 11.1 kW")
    '√3 × 400\xa0V × 16\xa0A = 11.1\xa0kW'
    """
    return _BEFORE_A_UNIT.sub("\xa0", text)


@cache
def templates() -> jinja2.Environment:
    """Return the page templates; everything put into them is escaped."""
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("acpower.marking"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )
    environment.filters["unparted"] = unparted
    return environment


def report_page(
    apprentice: str, results: Sequence[Result], marked_at: datetime, *, large_print: bool = False
) -> str:
    """Return the report of one apprentice as a page without active content, fit for any paper.

    Fresh questions on what is not right yet stand at its end, their solutions on a page after them.
    A worksheet in which nothing is recorded can still be handed in: nothing of its answers is shown.
    """
    practise = [
        (result.worksheet, points)
        for result in results
        if result.marked and not result.untouched and (points := weak_points(result.worksheet, result.marked))
    ]
    return (
        templates()
        .get_template("report.html")
        .render(
            apprentice=apprentice,
            results=results,
            practise=practise,
            recorded_words=recorded_words,
            notes_for_report=notes_for_report,
            of_the_course=lambda worksheet: scheme_file(worksheet.name) is None,
            marked_on=f"{marked_at.astimezone():%Y-%m-%d}",
            package_version=version("acpower"),
            foot=f"Report of {apprentice}",
            paper="",
            large=large_print,
        )
    )
