"""An invented cohort of 200 with planted slips, through every worksheet: who is found, who is accused.

No published source: these are the project's own promises. ``confusion_table.csv`` holds the agreement of what was
planted with what was named; ``python tests/cohort.py`` writes it.
"""

import csv
import random
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from cohort import APPRENTICES, COLUMNS, TABLE, Filled, cohort, confusion_table

from acpower.marking.judge import judge_worksheet
from acpower.marking.mark import mark_class
from acpower.marking.paper import by_hand, write_paper_form
from acpower.worksheets.scheme import Number, Worksheet
from acpower.worksheets.schemes import WORKSHEETS

each_worksheet = pytest.mark.parametrize("worksheet", WORKSHEETS.values(), ids=WORKSHEETS)
# It names the step before, where the slip is: more out of a charger than into it.
POINTS_BACK = "loss-below-zero"
FILLED: dict[str, list[Filled]] = {}


def filled_in(worksheet: Worksheet) -> list[Filled]:
    if worksheet.name not in FILLED:
        FILLED[worksheet.name] = list(cohort(worksheet))
    return FILLED[worksheet.name]


@each_worksheet
def test_whoever_makes_no_slip_gets_all_marks_and_is_not_accused(worksheet: Worksheet) -> None:
    clean = [filled for filled in filled_in(worksheet) if not filled.planted]
    assert len(clean) >= 40
    for filled in clean:
        judged = filled.judged()
        assert judged.marks == worksheet.marks, filled.card.apprentice
        assert {one.verdict.outcome for one in judged.questions} == {"right"}


@each_worksheet
def test_a_right_step_is_never_called_a_known_error(worksheet: Worksheet) -> None:
    """Whatever slips stand before it: it is right, carried forward, or, where nothing can follow, not yet."""
    outcomes: Counter[str] = Counter()
    for filled in filled_in(worksheet):
        for one in filled.judged().questions:
            if one.question.name not in filled.planted:
                outcomes[one.verdict.outcome] += 1
                accused = {error.name for error in one.verdict.known_errors}
                assert not accused or POINTS_BACK in accused, (filled.card.apprentice, one.question.name)
    assert outcomes["right"] + outcomes["carried forward"] >= 0.99 * sum(outcomes.values()), outcomes


def test_every_planted_slip_is_found_and_the_table_says_how() -> None:
    with TABLE.open(encoding="utf-8", newline="") as file:
        header, *rows = [tuple(row) for row in csv.reader(file)]
    assert header == COLUMNS
    assert rows == confusion_table()
    total = Counter({name: sum(int(row[at]) for row in rows) for at, name in enumerate(COLUMNS) if at > 2})
    assert total["planted"] > 2000
    assert total["not_named"] == 0
    # A slip that cancels an earlier one gives the right value: there is nothing to name.
    assert total["cancelled"] <= 0.01 * total["planted"]
    assert total["named_alone"] >= 0.99 * total["planted"]
    planted = [row for row in rows if row[3] != "0"]
    assert len(planted) >= 0.97 * len(rows)


@each_worksheet
def test_marks_do_not_depend_on_the_id(worksheet: Worksheet) -> None:
    for filled in filled_in(worksheet)[:50]:
        other = judge_worksheet(worksheet, replace(filled.card, apprentice="somebody-else"), filled.answers)
        assert [one.marks for one in other.questions] == [one.marks for one in filled.judged().questions]


def test_marks_do_not_depend_on_names_or_on_the_order_of_the_class(tmp_path: Path) -> None:
    """The whole way from the typed answers to the class result, twice."""
    worksheet = WORKSHEETS["charging-power"]
    class_marks = []
    for run, seed in enumerate((1, 2)):
        place = tmp_path / str(run)
        place.mkdir()
        order = list(APPRENTICES)
        random.Random(seed).shuffle(order)
        (place / "class.csv").write_text(
            "id,name\n" + "".join(f"{one},Invented {seed * number}\n" for number, one in enumerate(order)),
            encoding="utf-8",
        )
        (place / "in").mkdir()
        type_in(write_paper_form(worksheet, order, place / "in"), worksheet, seed)
        result = mark_class(place / "in", place / "class.csv")
        class_marks.append({one.submission.apprentice: one.marked.marks for one in result.results})
    assert class_marks[0] == class_marks[1]
    assert len(class_marks[0]) == len(APPRENTICES)
    assert len(set(class_marks[0].values())) > 5


def type_in(form: Path, worksheet: Worksheet, seed: int) -> None:
    """Type the cohort's answers into the form, the lines in an order of their own."""
    answers = {filled.card.apprentice: filled.answers for filled in filled_in(worksheet)}
    with form.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    random.Random(-seed).shuffle(rows)
    for row in rows:
        for number, question in enumerate(worksheet.questions, start=1):
            if question not in by_hand(worksheet):
                text = answers[row["id"]][question.name].text
                if isinstance(question, Number) and text:
                    text = f"{float(text):.9e}"  # no form that could be read in two ways
                row[f"q{number}"] = text
    with form.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
