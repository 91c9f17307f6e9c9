"""Marks changed by hand: who, when, from what to what, and why. The file only ever grows."""

import csv
import re
from collections.abc import Sequence
from dataclasses import astuple, fields, replace
from pathlib import Path

from acpower.marking.judge import Change
from acpower.marking.notes import without_settled
from acpower.marking.result import ClassResult, Result
from acpower.marking.sheets import cell_text
from acpower.marking.table_file import read_table
from acpower.marking.user_mistake import UserMistake

CHANGES = "changes-by-hand.csv"
_HEADER = tuple(field.name for field in fields(Change))


def read_changes(path: Path) -> list[Change]:
    """Read the changes by hand from a file."""
    rows = read_table(path, "The list of changes by hand", _HEADER)
    for number, row in rows:
        if whole_mark(row["old"]) is None or whole_mark(row["new"]) is None:
            raise UserMistake(f"{path}, line {number}: old and new must be whole marks.")
    return [
        Change(
            row["when"],
            row["who"],
            row["id"],
            row["worksheet"],
            row["question"],
            int(row["old"]),
            int(row["new"]),
            row["why"],
        )
        for _, row in rows
    ]


def whole_mark(text: str) -> int | None:
    """Return a whole mark that was typed, or None if it is none.

    >>> whole_mark("3"), whole_mark("2.5"), whole_mark("-1")
    (3, None, None)
    """
    return int(text) if re.fullmatch(r"\d{1,4}", text) else None


def append_changes(changes: Sequence[Change], path: Path) -> None:
    """Add changes at the end of a file; what stands there already stays as it is."""
    if not changes:
        return
    new = not path.exists()
    with path.open("a", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        if new:
            writer.writerow(_HEADER)
        writer.writerows(
            [cell_text(value) if isinstance(value, str) else value for value in astuple(change)]
            for change in changes
        )


def with_changes(class_result: ClassResult, changes: Sequence[Change]) -> ClassResult:
    """Return the class with its marks changed by hand; of several changes to one mark the last counts.

    A change holds as long as the apprentice's worksheet and the question are there; marking again
    keeps it, whatever the verdict is then. A note on an answer that a change has settled goes.
    """
    latest = {(one.id, one.worksheet, one.question): one for one in changes}
    return replace(class_result, results=tuple(_changed(result, latest) for result in class_result.results))


def _changed(result: Result, latest: dict[tuple[str, str, str], Change]) -> Result:
    if result.marked is None:
        return result
    whose = result.submission.apprentice, result.worksheet.name
    questions = tuple(
        replace(one, change=latest.get((*whose, one.question.name), one.change))
        for one in result.marked.questions
    )
    return without_settled(replace(result, marked=replace(result.marked, questions=questions)))
