"""The plan of the unit follows from lessons and mark schemes, and says nothing else."""

import importlib
import json
from pkgutil import iter_modules

import pytest
from bs4 import BeautifulSoup

from acpower.notebooks import folder
from acpower.panels import questions
from acpower.panels.questions import QUESTIONS
from acpower.plan import (
    known_errors_table,
    marked_questions,
    plan_table,
    practice_questions,
    read_lesson,
    unit_plan,
)
from acpower.worksheets.schemes import WORKSHEETS


def lesson(first_cell: str) -> str:
    return json.dumps(
        {"cells": [{"cell_type": "markdown", "id": "title", "source": first_cell.splitlines(True)}]}
    )


def test_every_numbered_lesson_is_planned_once_and_in_order() -> None:
    names = [plan.name for plan in unit_plan()]
    assert names == sorted(path.stem for path in folder("course").glob("[0-9]*.ipynb"))
    assert all(plan.minutes == 45 for plan in unit_plan())
    assert all(len(plan.outcomes) >= 3 for plan in unit_plan())


def test_every_worksheet_belongs_to_one_lesson_of_the_course() -> None:
    planned = [worksheet.name for plan in unit_plan() for worksheet in plan.worksheets]
    assert sorted(planned) == sorted(WORKSHEETS)


def test_a_lesson_is_read_from_its_first_cell() -> None:
    text = "# Read AC\n\nAbout 40 minutes.\n\nAfter this lesson you can\n\n- tell a peak,\n- find an RMS value.\n"
    plan = read_lesson("02-read-ac", lesson(text))
    assert (plan.title, plan.minutes) == ("Read AC", 40)
    assert plan.outcomes == ("tell a peak", "find an RMS value")
    assert [worksheet.name for worksheet in plan.worksheets] == ["read-ac"]
    assert read_lesson("11-more", lesson(text)).worksheets == ()


@pytest.mark.parametrize(
    "text",
    [
        "Read AC\n\nAbout 45 minutes. you can\n\n- tell a peak\n",
        "# Read AC\n\nAfter this lesson you can\n\n- tell a peak\n",
        "# Read AC\n\nAbout 45 minutes.\n\n- tell a peak\n",
        "# Read AC\n\nAbout 45 minutes. After this lesson you can\n",
    ],
    ids=["no title", "no length", "no list", "no outcomes"],
)
def test_a_lesson_without_its_opening_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="lesson 02-x: its first cell needs a title"):
        read_lesson("02-x", lesson(text))


def test_plan_table_shows_every_outcome_with_its_questions_and_marks() -> None:
    rows = iter(BeautifulSoup(plan_table()._repr_html_(), "html.parser").select("tbody tr"))
    for plan in unit_plan():
        (scheme,) = plan.worksheets
        for place, outcome in enumerate(plan.outcomes):
            lesson_cell, said, _, asked = (cell.get_text(" ") for cell in next(rows).find_all(["th", "td"]))
            assert said == outcome
            if place == 0:
                assert lesson_cell == (
                    f"{int(plan.name[:2])}. {plan.title} ({plan.minutes} minutes; "
                    f"{sum(question.marks for question in scheme.questions)} marks)"
                )
            for question in scheme.questions:
                assert (question.title in asked) == (question.outcome == outcome)
    assert next(rows, None) is None


def test_every_outcome_has_a_practice_and_a_marked_question() -> None:
    gaps = [
        (plan.name, outcome, kind)
        for plan in unit_plan()
        for outcome in plan.outcomes
        for kind, found in (
            ("practice", practice_questions(outcome)),
            ("marked", marked_questions(plan, outcome)),
        )
        if not found
    ]
    assert gaps == []


def test_every_quick_question_serves_an_outcome_of_the_course() -> None:
    outcomes = {outcome for plan in unit_plan() for outcome in plan.outcomes}
    astray = [name for name, ask in QUESTIONS.items() if ask().outcome not in outcomes]
    assert astray == []


@pytest.mark.parametrize("name", list(WORKSHEETS))
def test_known_errors_table_lists_every_known_error_and_no_key(name: str) -> None:
    table = known_errors_table(name)
    known = [
        (f"{number}. {question.title}", error.says, error.hint)
        for number, question in enumerate(WORKSHEETS[name].questions, start=1)
        for error in question.known_errors
    ]
    assert [tuple(cell[0] for cell in row) for row in table.rows] == known
    assert len(known) > 20
    text = table._repr_html_()
    assert text.count("<tr>") == len(known) + 1
    assert "<script" not in text


def test_an_unknown_worksheet_is_refused() -> None:
    with pytest.raises(ValueError, match="there is no worksheet 'welding'"):
        known_errors_table("welding")


def test_the_page_for_instructors_shows_every_worksheet_and_the_glossary_is_there() -> None:
    text = (folder("course") / "instructor.ipynb").read_text(encoding="utf-8")
    missing = [name for name in WORKSHEETS if f'known_errors_table(\\"{name}\\")' not in text]
    assert missing == []
    assert (folder("course") / "glossary.ipynb").is_file()


def test_no_quick_question_hides_another_of_the_same_name() -> None:
    modules = [
        importlib.import_module(f"{questions.__name__}.{found.name}")
        for found in iter_modules(questions.__path__)
    ]
    names = [name for module in modules for name in getattr(module, "QUESTIONS", ())]
    assert sorted(names) == sorted(QUESTIONS)
