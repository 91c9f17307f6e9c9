"""Marks as OneRoster 1.2 CSV files, for a school's own system of classes and marks.

Field names, their order and the manifest follow the OneRoster CSV binding 1.2.1 of 1EdTech; they
were taken from a public transcription of its tables, not from the normative page. All references
to apprentices are the ids of the register, so names never leave the instructor's machine.
"""

import csv
import io
import uuid
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from acpower.marking.report_notes import notes_for_report
from acpower.marking.result import ClassResult, Result
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.scheme import Worksheet

VERSION = "1.2"
_FILES = (
    "academicSessions",
    "categories",
    "classes",
    "classResources",
    "courses",
    "courseResources",
    "demographics",
    "enrollments",
    "lineItemLearningObjectiveIds",
    "lineItems",
    "lineItemScoreScales",
    "orgs",
    "resources",
    "resultLearningObjectiveIds",
    "results",
    "resultScoreScales",
    "roles",
    "scoreScales",
    "userProfiles",
    "userResources",
    "users",
)
_WRITTEN = ("categories", "lineItems", "results")
CATEGORIES = ("sourcedId", "status", "dateLastModified", "title", "weight")
LINE_ITEMS = (
    "sourcedId",
    "status",
    "dateLastModified",
    "title",
    "description",
    "assignDate",
    "dueDate",
    "classSourcedId",
    "categorySourcedId",
    "academicSessionSourcedId",
    "resultValueMin",
    "resultValueMax",
    "schoolSourcedId",
)
RESULTS = (
    "sourcedId",
    "status",
    "dateLastModified",
    "lineItemSourcedId",
    "studentSourcedId",
    "scoreStatus",
    "score",
    "scoreDate",
    "comment",
    "textScore",
    "classSourcedId",
    "inProgress",
    "incomplete",
    "late",
    "missing",
)
_SCORE_STATUS = {"marked": "fully graded", "missing": "not submitted"}
_CATEGORY = "worksheets"
_NAMESPACE = uuid.UUID("6e1f8e0c-4c3e-5c0d-9a53-8a4a3f8f7a11")  # made once, for the ids of this export


@dataclass(frozen=True)
class Place:
    """Where the marks belong in the school's own system: its ids, and the dates of the worksheet."""

    school: str
    class_: str
    session: str
    assigned: date
    due: date


def write_one_roster(class_result: ClassResult, place: Place, marked_on: date, path: Path) -> None:
    """Write a zip file with manifest, categories, line items and results.

    A worksheet is a line item; its total is the score. A worksheet that nobody could mark yet, a
    query for instance, has the status "submitted" and no score. The comment holds the reason codes
    that the apprentice's report tells as well: a mere suspicion stays with the instructor.

    Raises
    ------
    UserMistake
        The file is there already, or the dates are in the wrong order.
    """
    if path.exists():
        raise UserMistake(f"{path} is there already. Move it away first.")
    if place.due < place.assigned:
        raise UserMistake(
            f"The worksheet is due on {place.due}, before it was handed out on {place.assigned}. Check the dates."
        )
    tables: dict[str, tuple[Sequence[str], Sequence[Sequence[str]]]] = {
        "manifest": (("propertyName", "value"), _manifest()),
        "categories": (CATEGORIES, [(_CATEGORY, "", "", "Worksheets", "")]),
        "lineItems": (LINE_ITEMS, [_line_item(one, place) for one in class_result.worksheets]),
        "results": (RESULTS, [_result(one, place, marked_on) for one in class_result.results]),
    }
    path.parent.mkdir(parents=True, exist_ok=True)
    with zipfile.ZipFile(path, "x", zipfile.ZIP_DEFLATED) as archive:
        for name, (header, rows) in tables.items():
            entry = zipfile.ZipInfo(
                f"{name}.csv", date_time=(2000, 1, 1, 0, 0, 0)
            )  # the same bytes every time
            archive.writestr(entry, _csv(header, rows), zipfile.ZIP_DEFLATED)


def _manifest() -> list[tuple[str, str]]:
    files = [(f"file.{name}", "bulk" if name in _WRITTEN else "absent") for name in _FILES]
    return [
        ("manifest.version", "1.0"),
        ("oneroster.version", VERSION),
        *files,
        ("source.systemName", "acpower"),
        ("source.systemCode", "acpower"),
    ]


def _line_item(worksheet: Worksheet, place: Place) -> Sequence[str]:
    return _row(
        LINE_ITEMS,
        {
            "sourcedId": _id(place, worksheet),
            "title": worksheet.title,
            "description": f"worksheet {worksheet.name}, version {worksheet.version}",
            "assignDate": place.assigned.isoformat(),
            "dueDate": place.due.isoformat(),
            "classSourcedId": place.class_,
            "categorySourcedId": _CATEGORY,
            "academicSessionSourcedId": place.session,
            "resultValueMin": "0",
            "resultValueMax": str(worksheet.marks),
            "schoolSourcedId": place.school,
        },
    )


def _result(result: Result, place: Place, marked_on: date) -> Sequence[str]:
    codes = [code for code, _ in result.notes]
    return _row(
        RESULTS,
        {
            "sourcedId": _id(place, result.worksheet, result.submission.apprentice),
            "lineItemSourcedId": _id(place, result.worksheet),
            "studentSourcedId": result.submission.apprentice,
            "scoreStatus": _SCORE_STATUS.get(result.status, "submitted"),
            "score": str(result.marked.marks) if result.marked else "",
            "scoreDate": marked_on.isoformat(),
            "comment": " ".join(dict.fromkeys(code for code, _ in notes_for_report(result))),
            "classSourcedId": place.class_,
            "inProgress": "false",
            "incomplete": "false",
            "late": str("late" in codes).lower(),
            "missing": str(result.status == "missing").lower(),
        },
    )


def _row(header: Sequence[str], values: Mapping[str, str]) -> Sequence[str]:
    return [values.get(column, "") for column in header]


def _id(place: Place, worksheet: Worksheet, apprentice: str = "") -> str:
    """Return an id that stays the same when the class is exported again."""
    parts = (place.school, place.class_, place.session, worksheet.name, worksheet.version, apprentice)
    return str(uuid.uuid5(_NAMESPACE, "\x1f".join(parts)))


def _csv(header: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(header)
    writer.writerows(rows)
    return text.getvalue()
