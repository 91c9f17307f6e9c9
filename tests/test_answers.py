"""Answers leave the notebook as bounded text, and one grammar reads numbers from it."""

import enum
import json
from decimal import Decimal
from fractions import Fraction
from typing import Any

import numpy as np
import pytest

from acpower.worksheets.answers import (
    LONGEST_TEXT,
    MOST_TRIALS,
    Answer,
    NotReadable,
    answer_from_data,
    answer_from_value,
    read_number,
    shortened,
)

KILOWATTS = {"kW": 1.0, "W": 0.001}


class ShownAsAnother(float):
    def __repr__(self) -> str:
        return "22.08"


class AgreesWithEverything:
    def __eq__(self, other: object) -> bool:
        return True

    def __hash__(self) -> int:
        return 0

    def __float__(self) -> float:
        return 22.08

    def __sub__(self, other: object) -> int:
        return 0

    __rsub__ = __sub__

    def __repr__(self) -> str:
        return "22.08"


class Level(enum.IntEnum):
    HIGH = 12


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (22.08, "22.08"),
        (22, "22"),
        (-7.2, "-7.2"),
        (10**18 - 1, "999999999999999999"),
        (np.float64(22.08), "22.08"),
        (np.int64(22), "22"),
        (np.array(22.08), "22.08"),
        (Decimal("22.080"), "22.080"),
        (Fraction(1, 8), "0.125"),
        (Fraction(1, 10**400), "0.0"),
        (1e22, "1e+22"),
    ],
)
def test_numbers_leave_with_every_figure(value: Any, text: str) -> None:
    assert answer_from_value(value) == Answer("number", text)


@pytest.mark.parametrize("value", [..., None, "", "   ", np.array(None)])
def test_nothing_recorded_is_blank(value: Any) -> None:
    assert answer_from_value(value) == Answer("blank")


def test_typed_text_leaves_without_its_margins() -> None:
    assert answer_from_value("  22,08 kW\n") == Answer("text", "22,08 kW")
    assert answer_from_value(np.str_("vehicle")) == Answer("text", "vehicle")


@pytest.mark.parametrize(
    "value",
    [
        True,
        np.bool_(True),
        3 + 0j,
        np.complex128(3),
        [22.08],
        (22.08,),
        {"power": 22.08},
        np.array([22.08]),
        b"22.08",
        10**18,
        10**400,
        Fraction(10**400, 3),
        ShownAsAnother(1.0),
        AgreesWithEverything(),
        Level.HIGH,
        float,
        type("x" * 5000, (), {})(),
    ],
)
def test_what_is_no_number_is_refused_with_a_reason(value: Any) -> None:
    answer = answer_from_value(value)
    assert (answer.kind, answer.code) == ("refused", "answer-not-a-number")
    assert answer.text.endswith(
        (" no answer.", " no answer here.", "Record one.", "Record one value.", "not 229,5.", "characters)")
    )
    assert len(answer.text) <= LONGEST_TEXT


def test_text_is_bounded_printable_and_notes_its_length() -> None:
    answer = answer_from_value("9" * 10_000)
    assert (answer.kind, answer.text) == ("refused", "A text of more than 200 characters is no answer.")
    assert len(shortened("9" * 10_000)) == LONGEST_TEXT
    assert shortened("9" * 10_000).endswith("(10000 characters)")
    assert shortened("a\x00b\ud800c\x1b[31m") == "a?b?c?[31m"
    assert shortened("x" * LONGEST_TEXT) == "x" * LONGEST_TEXT


def test_a_function_is_tried_and_its_failures_stay_its_own() -> None:
    def half(value: float) -> float:
        return 1 / value

    answer = answer_from_value(half, [(4,), (0,)])
    assert answer.kind == "function"
    assert answer.trials[0] == Answer("number", "0.25")
    assert (answer.trials[1].kind, answer.trials[1].code) == ("refused", "function-stopped")
    assert "ZeroDivisionError" in answer.trials[1].text


def test_a_function_that_returns_a_function_is_refused() -> None:
    (trial,) = answer_from_value(lambda value: half_of, [(4,)]).trials
    assert (trial.kind, trial.code) == ("refused", "answer-not-a-number")


def half_of(value: float) -> float:
    return value / 2


@pytest.mark.parametrize("value", [22.08, ..., True, "22,08 kW", "ä" * 500, "\ud800", 10**400])
def test_an_answer_crosses_the_border_as_json_and_comes_back_equal(value: Any) -> None:
    answer = answer_from_value(value)
    assert answer_from_data(json.loads(json.dumps(answer.as_data()).encode())) == answer


def test_the_trials_of_a_function_cross_the_border() -> None:
    answer = answer_from_value(half_of, [(4,), (5,)])
    assert answer_from_data(json.loads(json.dumps(answer.as_data()))) == answer


@pytest.mark.parametrize(
    "data",
    [
        None,
        [],
        "22.08",
        {},
        {"kind": "right", "text": "22.08"},
        {"kind": ["number"], "text": "22.08"},
        {"kind": "number", "text": 22.08},
        {"kind": "number", "text": "22.08", "code": 1},
        {"kind": "function", "trials": "many"},
        {"kind": "function", "trials": [{"kind": "marks", "text": "3"}]},
    ],
)
def test_forged_data_is_no_answer(data: Any) -> None:
    with pytest.raises(ValueError, match="not an answer"):
        answer_from_data(data)


def test_data_from_outside_is_cut_to_size() -> None:
    answer = answer_from_data({"kind": "text", "text": "9" * 10_000})
    assert len(answer.text) == LONGEST_TEXT
    many = {"kind": "function", "trials": [{"kind": "blank"}] * 10_000}
    assert len(answer_from_data(many).trials) == MOST_TRIALS


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("22.08", "22.08"),
        ("22,08", "22.08"),
        ("22.08 kW", "22.08"),
        ("22.08kW", "22.08"),
        ("22.08 KW", "22.08"),
        ("22080 w", "22.08"),
        ("22 080 W", "22.08"),
        ("22\u202f080\u00a0W", "22.08"),
        ("1 234 567", "1234567"),
        ("+5", "5"),
        ("-7.2", "-7.2"),
        ("−7,2", "-7.2"),
        (".5", "0.5"),
        ("0.345", "0.345"),
        ("1234.567", "1234.567"),
        ("2.2080e1", "22.08"),
        ("22080E-3", "22.08"),
        ("2.2080e+4 W", "22.08"),
    ],
)
def test_spellings_of_one_number(text: str, value: str) -> None:
    assert read_number(Answer("text", text), KILOWATTS).value == Decimal(value)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("nan", "answer-not-finite"),
        ("-inf", "answer-not-finite"),
        ("+Infinity", "answer-not-finite"),
        ("1e400", "answer-not-finite"),
        ("-1e4000", "answer-not-finite"),
        ("1,234", "answer-ambiguous"),
        ("1.234", "answer-ambiguous"),
        ("123,456 W", "answer-ambiguous"),
        ("1.234,5", "answer-ambiguous"),
        ("1,234,567", "answer-ambiguous"),
        ("7.4 or 22.1", "answer-ambiguous"),
        ("7.4; 22.1", "answer-ambiguous"),
        ("22.1 22.1", "answer-ambiguous"),
        ("1/2", "answer-ambiguous"),
        ("1_000", "answer-ambiguous"),
        ("0x10", "answer-ambiguous"),
        ("22 08", "answer-ambiguous"),
        ("22.08 A", "answer-not-a-number"),
        ("22.08 kWh", "answer-not-a-number"),
        ("22.08 %", "answer-not-a-number"),
        ("twenty-two", "answer-not-a-number"),
        ("about 22", "answer-not-a-number"),
        ("--5", "answer-not-a-number"),
        ("kW", "answer-not-a-number"),
        ("True", "answer-not-a-number"),
        ("[22.08]", "answer-not-a-number"),
        ("<script>22.08</script>", "answer-not-a-number"),
        ("=22.08", "answer-not-a-number"),
        ("9" * LONGEST_TEXT + "…", "answer-not-a-number"),
    ],
)
def test_what_the_grammar_refuses(text: str, code: str) -> None:
    with pytest.raises(NotReadable) as problem:
        read_number(Answer("text", text), KILOWATTS)
    assert problem.value.code == code
    assert str(problem.value)


def test_an_accepted_unit_that_is_not_the_questions_own_is_listed() -> None:
    with pytest.raises(NotReadable, match="Accepted units: kW, W"):
        read_number(Answer("text", "22.08 mW"), KILOWATTS)
    with pytest.raises(NotReadable, match="none, this one has no unit"):
        read_number(Answer("text", "0.5 kW"), {"": 1.0})


@pytest.mark.parametrize(
    ("text", "worth"), [("22 MJ", 22), ("22 mj", 22), ("22 Mj", 22), ("22 kj", 0.022), ("22 mJ", None)]
)
def test_milli_and_mega_are_not_taken_for_each_other(text: str, worth: float | None) -> None:
    """Prefixes: SI Brochure, 9th edition, 2019, table 7: M is 10**6, m is 10**-3."""
    units = {"MJ": 1.0, "J": 1e-6, "kJ": 1e-3}
    if worth is None:
        with pytest.raises(NotReadable, match="mJ in “22 mJ” is not MJ") as problem:
            read_number(Answer("text", text), units)
        assert problem.value.code == "answer-ambiguous"
    else:
        assert float(read_number(Answer("text", text), units).value) == pytest.approx(worth, rel=1e-12)


def test_a_capital_letter_that_is_no_prefix_is_read() -> None:
    assert read_number(Answer("text", "5 Min"), {"h": 60.0, "min": 1.0}).value == 5
    assert read_number(Answer("text", "5 Milliohm"), {"mΩ": 1.0, "milliohm": 1.0, "ohm": 1000.0}).value == 5
    with pytest.raises(NotReadable, match="MΩ in “5 MΩ” is not mΩ"):
        read_number(Answer("text", "5 MΩ"), {"mΩ": 1.0, "Ω": 1000.0})


def test_an_ambiguous_number_says_how_to_write_each_reading() -> None:
    with pytest.raises(NotReadable, match=r"Write 1234 or 1\.2340"):
        read_number(Answer("text", "1,234"), KILOWATTS)


@pytest.mark.parametrize(
    ("text", "minutes", "hours"),
    [
        ("5 h 20 min", 20, "5.333"),
        ("5:20", 20, "5.333"),
        ("5h20", 20, "5.333"),
        ("12 Hours 6 Minutes", 6, "12.1"),
        ("0:45", 45, "0.75"),
    ],
)
def test_a_time_by_the_clock_is_told_how_hours_are_written(text: str, minutes: int, hours: str) -> None:
    with pytest.raises(NotReadable) as problem:
        read_number(Answer("text", text), {"h": 1.0, "min": 1 / 60})
    assert problem.value.code == "answer-ambiguous"
    assert str(problem.value) == (
        f"Hours as one number are asked: {minutes} min are {minutes} ÷ 60 h. Write {hours} for “{text}”."
    )


@pytest.mark.parametrize("text", ["5:70", "5 h 20 min 3", "5:20:00", "5 or 6 h"])
def test_what_is_no_time_by_the_clock_is_still_more_than_one_number(text: str) -> None:
    with pytest.raises(NotReadable, match="more than one number"):
        read_number(Answer("text", text), {"h": 1.0, "min": 1 / 60})


def test_a_clock_is_read_only_where_hours_are_asked() -> None:
    with pytest.raises(NotReadable, match="more than one number"):
        read_number(Answer("text", "5:20"), {"min": 1.0, "h": 60.0})


@pytest.mark.parametrize("text", ["1.234", "123.456"])
def test_three_decimals_of_a_computed_number_are_decimals(text: str) -> None:
    assert read_number(Answer("number", text), KILOWATTS).value == Decimal(text)


@pytest.mark.parametrize(
    ("text", "figures", "last_place"),
    [
        ("22.08", 4, "0.01"),
        ("22.080", 5, "0.001"),
        ("0.050", 2, "0.001"),
        ("22080 W", 5, "0.001"),
        ("2.21e4 W", 3, "0.1"),
        ("007", 1, "1"),
    ],
)
def test_figures_are_counted_as_written(text: str, figures: int, last_place: str) -> None:
    reading = read_number(Answer("number", text), KILOWATTS)
    assert (reading.figures, reading.last_place) == (figures, Decimal(last_place))


def test_answers_inside_answers_inside_answers_are_refused() -> None:
    nested: dict[str, object] = {"kind": "function", "trials": [{"kind": "blank"}]}
    for _ in range(900):
        nested = {"kind": "function", "trials": [nested]}
    with pytest.raises(ValueError, match="trials of its own"):
        answer_from_data(nested)


def test_an_exponent_leaves_no_doubt_about_the_decimal_mark_and_a_closing_mark_is_read() -> None:
    assert read_number(Answer("text", "2.208e1"), {"kW": 1}).value == Decimal("22.08")
    assert read_number(Answer("text", "5."), {"kW": 1}).value == 5


def test_a_masked_value_is_no_number() -> None:
    assert answer_from_value(np.ma.masked).kind == "text"
    with pytest.raises(NotReadable):
        read_number(answer_from_value(np.ma.masked), {"kW": 1})


@pytest.mark.parametrize(
    "text", ['=HYPERLINK("http://192.0.2.1")', "@SUM(1)", "1,5", "1 234", "+5", "--5", ""]
)
def test_a_claimed_number_that_python_would_not_write_is_no_answer(text: str) -> None:
    with pytest.raises(ValueError, match="does not look like that"):
        answer_from_data({"kind": "number", "text": text})


def test_a_claimed_reason_that_does_not_exist_is_no_answer() -> None:
    with pytest.raises(ValueError, match="no such reason"):
        answer_from_data({"kind": "refused", "code": "=cmd|' /c calc'!A1"})


@pytest.mark.parametrize(
    ("value", "says"),
    [
        ((229, 5), "Write decimals with a point"),
        ([1], "A list is no answer"),
        (True, "True or False"),
        ({}, "dict"),
    ],
)
def test_what_is_no_answer_says_what_to_do(value: Any, says: str) -> None:
    assert says in answer_from_value(value).text
