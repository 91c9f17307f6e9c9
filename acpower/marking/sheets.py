"""The plain CSV files of a marked class: the mark sheet and the answers."""

import csv
import re
from collections.abc import Iterable, Mapping, Sequence
from math import isfinite
from pathlib import Path
from typing import Any

from acpower.marking.judge import Marked
from acpower.marking.result import ClassResult

# A spreadsheet runs a cell that begins with one of these as a formula; full-width signs count in some languages.
_FORMULA_STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠", "\t", "\n")
# Where a spreadsheet parts columns by semicolons, a new cell begins after each, and in a new line.
_FORMULA_WITHIN = re.compile(r'(?<=[;\t\n])(?=[\s"]*[=+\-@＝＋－＠])')
# A spreadsheet on Windows takes a CSV for the local code page unless it begins with the byte order mark.
FOR_A_SPREADSHEET = "utf-8-sig"
_PLAIN_NUMBER = re.compile(r"[+-]?[0-9]+([.,][0-9]*)?([eE][+-]?[0-9]+)?")


def cell_text(text: str) -> str:
    """Return text from outside as a spreadsheet may show it, and not run it.

    >>> cell_text("=1+1")
    "'=1+1"
    """
    text = _FORMULA_WITHIN.sub("'", text.replace("\r", "\n"))  # the csv module sets no marks around a lone \r
    return f"'{text}" if text.lstrip(" ").startswith(_FORMULA_STARTS) else text


def write_mark_sheet(class_result: ClassResult, path: Path) -> None:
    """Write one line per apprentice and worksheet; the last columns are the marks per question."""
    write_csv(path, *_mark_sheet(class_result))


def write_named_mark_sheet(class_result: ClassResult, names: Mapping[str, str], path: Path) -> None:
    """Write the mark sheet with a column of names: for the instructor's own machine, and nobody else's."""
    header, rows = _mark_sheet(class_result)
    named = [[row[0], cell_text(names.get(str(row[0]), "")), *row[1:]] for row in rows]
    write_csv(path, [header[0], "name", *header[1:]], named, FOR_A_SPREADSHEET)


def _mark_sheet(class_result: ClassResult) -> tuple[list[str], list[list[Any]]]:
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
                *([one.marks for one in marked.questions] if marked else []),
            ]
        )
    return [*header, *(f"q{number}" for number in range(1, most + 1))], rows


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
        "changed_by_hand",
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
            one.marks,
            one.question.marks,
            one.verdict.code,
            cell_text(one.change.why) if one.change else "",
        ]
        for result in class_result.results
        if result.marked
        for one in result.marked.questions
    ]
    write_csv(path, header, rows)


def _recorded_cell(one: Marked) -> str:
    """Numbers arrive as numbers, so a negative one is not mistaken for a formula."""
    text = one.answer.was or one.answer.text
    is_number = _PLAIN_NUMBER.fullmatch(text) and isfinite(float(text.replace(",", ".")))
    return text if is_number else cell_text(text)


def write_csv(
    path: Path, header: Sequence[str], rows: Iterable[Sequence[Any]], encoding: str = "utf-8"
) -> None:
    """Write a CSV file in UTF-8 with a header; short rows are filled up."""
    width = len(header)
    with path.open("w", encoding=encoding, newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(header)
        writer.writerows([*row, *[""] * (width - len(row))] for row in rows)
