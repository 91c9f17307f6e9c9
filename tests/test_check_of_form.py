"""What `acpower check` says about the form of a question, sentence by sentence."""

from dataclasses import replace
from typing import Any

import pytest

from acpower.worksheets.check import _form, _form_of, _words_on_card
from acpower.worksheets.scheme import Choice, Ordering
from acpower.worksheets.schemes import WORKSHEETS, find_worksheet

SHEET = find_worksheet("charging-power")
QUESTION = next(one for one in SHEET.questions if one.known_errors)
ERROR = QUESTION.known_errors[0]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"name": "phase voltage"}, "its name must be one word of letters, digits and underscores."),
        ({"marks": 0, "known_errors": ()}, "it needs at least 1 mark."),
        ({"level": 4}, "its level must be 1 (formula given), 2 (choose the formula) or 3 (chain of steps)."),
        ({"hints": ("Look.", "Look.", "Begin.")}, "it needs three different hints."),
        ({"sources": ()}, "it names no source. Where nothing is published, write COMMON_PRACTICE."),
        (
            {"needs": ("no_such_question",)},
            "it goes on from no_such_question, which is no question before it.",
        ),
        ({"known_errors": (ERROR, ERROR)}, f"two known errors have the name {ERROR.name}."),
    ],
)
def test_one_thing_that_is_wrong_is_one_sentence(change: dict[str, Any], says: str) -> None:
    right = replace(QUESTION, needs=())
    assert list(_form_of(right, set())) == []
    assert list(_form_of(replace(right, **change), set())) == [says]


def test_a_worksheet_without_questions_is_told() -> None:
    assert list(_form(replace(SHEET, questions=()))) == ["The worksheet has no questions."]


@pytest.mark.parametrize("statements", [("one", "two"), tuple("abcdefghi")], ids=len)
def test_an_order_of_too_few_or_too_many_statements_is_told(statements: tuple[str, ...]) -> None:
    question = next(
        one for sheet in WORKSHEETS.values() for one in sheet.questions if isinstance(one, Ordering)
    )
    changed = replace(question, statements=statements, needs=())
    assert list(_form_of(changed, set())) == ["an order needs three to eight statements."]


def test_a_key_that_is_no_option_is_told() -> None:
    question = next(one for one in SHEET.questions if isinstance(one, Choice))
    card = SHEET.card("A01")
    keys = SHEET.keys(card)
    setattr(keys, question.name, "plug")
    changed = replace(question, key=lambda card, earlier: "plug")
    found = list(_words_on_card(SHEET, changed, card, keys))
    assert ("key", "its key “plug” is not one of the options.") in found
