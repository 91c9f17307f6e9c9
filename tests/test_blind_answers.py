"""A hundred answers as people write them, with the marks that were fixed before the judge saw them.

``blind_answers.csv`` was written from the rules and the mark schemes alone. A row that the rules
leave open says "unclear" and is not compared. When the judge saw it for the first time, it agreed on
81 rows of 88; five of the others were mended in the judge, two in the file, each in a commit of its own.
"""

import csv
from pathlib import Path

import pytest

from acpower.worksheets.answers import answer_from_value
from acpower.worksheets.schemes import find_worksheet
from acpower.worksheets.verdicts import judge

with (Path(__file__).parent / "blind_answers.csv").open(encoding="utf-8", newline="") as blind:
    ROWS = list(csv.DictReader(blind))


def verdict_on(row):
    """Judge a row's answer and the answers before it as typed text, on the card of the row."""
    worksheet = find_worksheet(row["worksheet"])
    recorded = (one.split("=", 1) for one in row["earlier"].split("; ") if one)
    return judge(
        worksheet,
        worksheet.question(row["question"]),
        answer_from_value(row["answer"]),
        worksheet.card(row["apprentice"]),
        {name: answer_from_value(typed) for name, typed in recorded},
    )


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(row, id=f"{row['number']}-{row['question']}")
        for row in ROWS
        if row["expected_outcome"] != "unclear"
    ],
)
def test_the_judge_gives_the_marks_that_the_rules_give(row):
    verdict = verdict_on(row)
    errors = {error.name for error in verdict.known_errors}
    expected_errors = set(filter(None, row["expected_errors"].split(" or ")))
    assert (verdict.outcome, verdict.marks, errors) == (
        row["expected_outcome"],
        int(row["expected_marks"]),
        expected_errors,
    ), row["why"]


def test_a_row_that_the_rules_leave_open_says_why_and_fixes_no_marks():
    left_open = [row for row in ROWS if row["expected_outcome"] == "unclear"]
    assert left_open
    assert all(row["why"] and not row["expected_marks"] and not row["expected_errors"] for row in left_open)


def test_there_are_a_hundred_rows_numbered_in_order():
    assert [row["number"] for row in ROWS] == [str(number) for number in range(1, 101)]
