"""Answers in words: choices, designations, orders. The rules are the project's own, no published source."""

from itertools import permutations
from typing import Any

import pytest

from acpower.worksheets.answers import answer_from_value
from acpower.worksheets.cards import JobCard
from acpower.worksheets.scheme import Choice, KnownError, Ordering, Text, Worksheet
from acpower.worksheets.verdict import Verdict
from acpower.worksheets.verdicts import judge


def error(name: str, gives: str | None, keeps: int = 0) -> KnownError:
    return KnownError(
        name=name, says=name, hint="Look again.", formula=lambda card, earlier: gives, keeps=keeps
    )


def question(kind: Any, key: str, *errors: KnownError, **more: Any) -> Any:
    return kind(
        name="asked",
        title="Asked",
        level=2,
        outcome="",
        hints=("Look.", "Think.", "Begin."),
        sources=("none",),
        key=lambda card, earlier: key,
        working=lambda card, earlier: key,
        known_errors=errors,
        **{"marks": 2, **more},
    )


LINK = question(
    Choice, "cable", error("strongest", "supply"), options=("supply", "cable", "the vehicle itself")
)
RATING = question(Choice, "0.1", options=("0.1", "5", "13"))
PLUG = question(
    Text,
    "Type 2",
    error("other region", "Type 1"),
    spellings={"Type 2": ("IEC 62196-2 Type 2",), "Type 1": ("J1772",)},
)
ORDER = question(
    Ordering,
    "CADB",
    error("meter first", "CBDA", keeps=1),
    statements=("switch on", "read", "connect", "set"),
    marks=3,
)


def verdict(asked: Any, value: Any) -> Verdict:
    sheet = Worksheet(name="one", version="1", title="", lesson="", entries=(), questions=(asked,))
    return judge(sheet, asked, answer_from_value(value), JobCard("one", "1", "A01", (), {}), {})


def outcome(asked: Any, value: Any) -> tuple[str, int, list[str]]:
    found = verdict(asked, value)
    return found.outcome, found.marks, [one.name for one in found.known_errors]


@pytest.mark.parametrize("value", ["cable", " Cable ", "THE CABLE", '"cable"', "“cable”", "ca-ble", "cable."])
def test_a_choice_is_read_whatever_its_dress(value: str) -> None:
    assert outcome(LINK, value) == ("right", 2, [])


def test_a_wrong_choice_is_named_and_what_is_no_choice_is_refused_with_the_choices() -> None:
    assert outcome(LINK, "supply") == ("known error", 0, ["strongest"])
    assert outcome(LINK, "The vehicle itself") == ("not yet", 0, [])
    refused = verdict(LINK, "cables and supply")
    assert (refused.outcome, refused.code) == ("refused", "answer-not-a-choice")
    assert "“supply”, “cable”, “the vehicle itself”" in refused.says


@pytest.mark.parametrize("value", ["0.1", "0,1", "0.1 s", "0,1s", 0.1])
def test_a_choice_of_numbers_takes_a_comma_and_a_unit(value: Any) -> None:
    assert outcome(RATING, value) == ("right", 2, [])


@pytest.mark.parametrize("value", ["13 A", "5"])
def test_another_number_of_the_list_is_another_choice(value: str) -> None:
    assert verdict(RATING, value).outcome == "not yet"


@pytest.mark.parametrize("value", ["1", "0.10 seconds", "0.1 or 5", "1.3"])
def test_a_number_that_is_not_in_the_list_is_refused(value: str) -> None:
    assert verdict(RATING, value).code == "answer-not-a-choice"


@pytest.mark.parametrize(
    "value", ["Type 2", "type2", "TYPE-2", "the Type 2", "iec 62196-2 type 2", "Type\u00a02"]
)
def test_a_designation_is_read_in_any_of_its_spellings(value: str) -> None:
    assert outcome(PLUG, value) == ("right", 2, [])


@pytest.mark.parametrize("value", ["Type 1", "j1772", "J-1772"])
def test_a_wrong_designation_is_named_in_any_of_its_spellings(value: str) -> None:
    assert outcome(PLUG, value) == ("known error", 0, ["other region"])


@pytest.mark.parametrize("value", ["Type 22", "Type 2 or Type 1", "2"])
def test_anything_else_is_not_yet_right(value: str) -> None:
    assert outcome(PLUG, value) == ("not yet", 0, [])


@pytest.mark.parametrize("value", [".", "--", '""'])
def test_a_text_without_a_word_is_refused(value: str) -> None:
    assert verdict(PLUG, value).code == "answer-not-a-word"


@pytest.mark.parametrize("value", ["CADB", "c a d b", "C, A, D, B", "C-A-D-B", "C → A → D → B", "c;a;d;b"])
def test_an_order_is_read_with_or_without_signs_between(value: str) -> None:
    assert outcome(ORDER, value) == ("right", 3, [])


@pytest.mark.parametrize("value", ["CAD", "CADBB", "CADE", "C A D B E", "first C", 3])
def test_what_is_no_order_of_the_letters_is_refused(value: Any) -> None:
    refused = verdict(ORDER, value)
    assert (refused.outcome, refused.code) == ("refused", "answer-not-an-order")
    assert "A, B, C, D" in refused.says


def test_every_order_but_the_right_one_loses_at_least_a_mark() -> None:
    for letters in map("".join, permutations("ABCD")):
        found = outcome(ORDER, letters)
        if letters == "CADB":
            assert found == ("right", 3, [])
        elif letters == "CBDA":  # a named error goes before the general ones
            assert found == ("known error", 1, ["meter first"])
        elif letters in ("ACDB", "CDAB", "CABD"):
            assert found == ("known error", 2, ["neighbours-swapped"])
        elif letters == "BDAC":
            assert found == ("known error", 0, ["order-turned-round"])
        else:
            assert found == ("not yet", 0, [])


def test_a_value_where_a_word_is_asked_for_is_refused() -> None:
    assert verdict(LINK, lambda: "cable").outcome == "refused"
    assert verdict(ORDER, ["C", "A", "D", "B"]).outcome == "refused"
    assert verdict(PLUG, ...).outcome == "blank"
