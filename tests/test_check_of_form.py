"""What `acpower check` says about the form of a question, sentence by sentence."""

from dataclasses import replace
from typing import Any

import pytest

from acpower.worksheets.check import _form_of
from acpower.worksheets.schemes import find_worksheet

QUESTION = next(one for one in find_worksheet("charging-power").questions if one.known_errors)
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
