"""How one answer is judged: edges of the tolerance, rounding, known errors and follow-through.

The chain of three questions below has numbers that can be checked by hand: 400 V, 16 A and power
factor 0.98 give 10.863 kW, at an efficiency of 0.9 9.777 kW reach the battery, and 24 kWh take
2.4548 h.
"""

from collections.abc import Callable, Mapping, Sequence
from math import nan, sqrt
from typing import Any

import pytest

from acpower.worksheets.answers import Answer, answer_from_value
from acpower.worksheets.cards import Entry, JobCard
from acpower.worksheets.scheme import Choice, Function, KnownError, Number, Worksheet
from acpower.worksheets.schemes import WORKSHEETS
from acpower.worksheets.verdict import Verdict
from acpower.worksheets.verdicts import judge

POWER = sqrt(3) * 400 * 16 * 0.98 / 1000
ROOT_3_MISSING = 400 * 16 * 0.98 / 1000


def error(name: str, formula: Callable[..., Any], keeps: int = 0) -> KnownError:
    return KnownError(name=name, says=f"slip {name}", hint=f"Look at {name}.", formula=formula, keeps=keeps)


def number(name: str, key: Callable[..., Any], **more: Any) -> Number:
    return Number(
        **{
            "name": name,
            "title": name,
            "marks": 2,
            "unit": "kW",
            "level": 2,
            "outcome": "",
            "sources": (),
            "hints": ("Try.", "", ""),
            "key": key,
        }
        | {"working": lambda card, earlier: "", **more}
    )


CHAIN = Worksheet(
    name="chain",
    version="1",
    title="Chain",
    lesson="none",
    entries=(Entry("link", "Link", "", ("cable",)),),
    questions=(
        number(
            "power",
            lambda card, earlier: POWER,
            units={"W": 0.001},
            known_errors=(
                error("root-3-missing", lambda card, earlier: POWER / sqrt(3)),
                error("3-for-root-3", lambda card, earlier: POWER * sqrt(3)),
                error("watts", lambda card, earlier: POWER * 1000, keeps=1),
            ),
        ),
        number(
            "battery",
            lambda card, earlier: earlier.power * 0.9,
            needs=("power",),
            known_errors=(
                error("divided", lambda card, earlier: earlier.power / 0.9),
                error("forgotten", lambda card, earlier: earlier.power),
            ),
        ),
        number(
            "time",
            lambda card, earlier: 24 / earlier.battery,
            unit="h",
            needs=("battery",),
            known_errors=(
                error("upside-down", lambda card, earlier: earlier.battery / 24),
                error("multiplied", lambda card, earlier: earlier.battery * 24),
            ),
        ),
        Choice(
            name="link",
            title="Link",
            marks=1,
            level=2,
            outcome="",
            sources=(),
            hints=("Compare.", "", ""),
            options=("supply", "cable", "vehicle"),
            key=lambda card, earlier: card.link,
            working=lambda card, earlier: "",
            known_errors=(error("strongest", lambda card, earlier: "supply"),),
        ),
        Function(
            name="half",
            title="Half",
            marks=3,
            level=2,
            outcome="",
            sources=(),
            hints=("Divide.", "", ""),
            unit="kW",
            key=lambda whole: whole / 2,
            inputs=lambda draw: (draw.choose((4, 6, 10)),),
            working="return whole / 2",
            known_errors=(
                error("doubled", lambda whole: whole * 2),
                error("squared-half", lambda whole: whole**2 / 2, keeps=2),
            ),
        ),
    ),
)
CARD = CHAIN.card("A01")
INPUTS = [whole for (whole,) in CARD.trials["half"]]


def answer(value: Any) -> Answer:
    return answer_from_value(value, CARD.trials["half"])


def verdict(question: str, value: Any, **earlier: Any) -> Verdict:
    known = {name: answer(given) for name, given in earlier.items()}
    return judge(CHAIN, CHAIN.question(question), answer(value), CARD, known)


def alone(
    value: Any,
    key: float,
    errors: Mapping[str, float] | None = None,
    keeps: Sequence[int] = (0, 0, 0),
    **more: Any,
) -> Verdict:
    """Judge an answer to a worksheet of one question with a fixed key and fixed wrong values."""
    named = tuple(
        error(name, lambda card, earlier, at=at: at, kept)
        for (name, at), kept in zip((errors or {}).items(), keeps, strict=False)
    )
    asked = number("one", lambda card, earlier: key, known_errors=named, **more)
    sheet = Worksheet(name="one", version="1", title="", lesson="", entries=(), questions=(asked,))
    return judge(sheet, asked, answer(value), JobCard("one", "1", "A01", (), {}), {})


# ---- Tolerance


@pytest.mark.parametrize("value", ["22.3008", 22.3008, "21.8592", 21.8592, 22.08, "22,08 kW"])
def test_the_edge_of_the_tolerance_is_inside(value: Any) -> None:
    # Binary arithmetic says no: 22.3008 - 22.08 is 0.22080000000000055 there, and 1 % of 22.08 is 0.2208.
    assert alone(value, 22.08, relative=0.01).outcome == "right"


@pytest.mark.parametrize("value", ["22.30081", 22.30081, "21.85919", 21.85919, "-22.08", -22.08])
def test_just_beyond_the_edge_is_outside(value: Any) -> None:
    assert alone(value, 22.08, relative=0.01).outcome == "not yet"


def test_the_tolerance_is_relative_to_the_key_never_to_the_answer() -> None:
    assert alone(1e300, 22.08).outcome == "not yet"
    assert alone(22.08 / (1 - 0.0099), 22.08, relative=0.0099).outcome == "not yet"


def test_a_key_with_binary_noise_does_not_narrow_the_tolerance() -> None:
    key = 0.1 + 0.2
    assert repr(key) == "0.30000000000000004"
    assert alone("0.3", key, relative=0.0).outcome == "right"
    assert alone("0.2985", key).outcome == alone("0.30150", key).outcome == "right"


def test_near_zero_an_absolute_tolerance_counts() -> None:
    assert alone("0.04", 0.0, absolute=0.05).outcome == "right"
    assert alone("-0.05", 0.0, absolute=0.05).outcome == "right"
    assert alone("0.051", 0.0, absolute=0.05).outcome == "not yet"


@pytest.mark.parametrize("value", ["2.67", "2.68", 2.675, "2.6750"])
def test_a_half_may_be_rounded_either_way(value: Any) -> None:
    assert alone(value, 2.675, relative=0.0).outcome == "right"


@pytest.mark.parametrize("value", ["2.66", "2.69", "2.70", "3", 2.674, 2.676])
def test_a_wrong_last_figure_or_a_single_figure_is_not_the_rounded_key(value: Any) -> None:
    assert alone(value, 2.675, relative=0.0).outcome == "not yet"


def test_cut_off_is_told_from_rounded() -> None:
    assert alone("10.9", POWER).outcome == "right"
    assert alone("10.8", POWER).outcome == "not yet"


def test_two_figures_are_enough_where_two_are_required() -> None:
    assert alone("11", POWER, figures=2).outcome == "right"
    assert alone("11", POWER).outcome == "too few figures"


# ---- Known errors


def test_a_known_error_is_named_with_its_hint_and_keeps_its_marks() -> None:
    found = verdict("power", POWER * 1000)
    assert (found.outcome, found.marks, found.passed) == ("known error", 1, False)
    assert [known.name for known in found.known_errors] == ["watts"]
    assert found.says == "Not yet. Your answer fits a known error: slip watts. Look at watts."


@pytest.mark.parametrize("value", [ROOT_3_MISSING, 6.272, "6.27", "6.3"])
def test_a_known_error_is_found_rounded_too(value: Any) -> None:
    assert [known.name for known in verdict("power", value).known_errors] == ["root-3-missing"]


@pytest.mark.parametrize("value", ["6", "7", "6.1", "6.28", "6.3000"])
def test_a_value_that_is_too_coarse_or_too_far_names_nothing(value: Any) -> None:
    assert verdict("power", value).outcome == "not yet"


def test_two_errors_that_fit_are_both_named_and_the_smaller_part_is_kept() -> None:
    found = alone(5.0, 22.08, {"first": 5.0, "second": 5.001}, keeps=(1, 0))
    assert (found.outcome, found.marks) == ("known error", 0)
    assert found.says == (
        "Not yet. Your answer fits a known error: slip first, or slip second. Look at first. Look at second."
    )


def test_three_errors_that_fit_say_nothing() -> None:
    found = alone(5.0, 22.08, {"first": 5.0, "second": 5.001, "third": 4.999})
    assert (found.outcome, found.marks, found.known_errors) == ("not yet", 0, ())
    assert found.says == "Not yet. This fits no known error. Try."


def test_the_key_goes_before_an_error_with_the_same_value() -> None:
    assert alone(22.08, 22.08, {"lucky": 22.08}).outcome == "right"


def test_an_error_without_a_value_fits_nothing() -> None:
    assert alone(5.0, 22.08, {"no value": nan, "found": 5.0}).known_errors[0].name == "found"


def test_zero_fits_an_error_that_gives_zero_and_nothing_else() -> None:
    assert alone(0, 22.08, {"cancelled": 0.0}).outcome == "known error"
    assert alone("0.00", 22.08, {"cancelled": 0.0}).outcome == "known error"
    assert alone("0.01", 22.08, {"cancelled": 0.0}).outcome == "not yet"


# ---- Follow-through

STEPS = {
    # what is done at each step: from the value before it to the value recorded, and its known error
    "power": {"right": (POWER, None), "wrong": (ROOT_3_MISSING, "root-3-missing")},
    "battery": {"right": (lambda power: power * 0.9, None), "wrong": (lambda power: power / 0.9, "divided")},
    "time": {
        "right": (lambda battery: 24 / battery, None),
        "wrong": (lambda battery: battery / 24, "upside-down"),
    },
}


@pytest.mark.parametrize("rounded", [False, True], ids=["all figures", "three figures"])
@pytest.mark.parametrize("at_time", ["right", "wrong"])
@pytest.mark.parametrize("at_battery", ["right", "wrong"])
@pytest.mark.parametrize("at_power", ["right", "wrong"])
def test_one_error_costs_once(at_power: str, at_battery: str, at_time: str, rounded: bool) -> None:
    """Every mixture of right steps and errors: a right step earns its marks whatever went before."""
    done = {"power": at_power, "battery": at_battery, "time": at_time}
    given: dict[str, Any] = {}
    before: Any = None
    all_right = True
    for question, how in done.items():
        step, name = STEPS[question][how]
        value = step(before) if callable(step) else step
        before = given[question] = float(f"{value:.3g}") if rounded else value
        found = verdict(question, given[question], **given)
        if how == "wrong":
            assert [known.name for known in found.known_errors] == [name]
            assert (found.outcome, found.marks) == ("known error", 0)
        else:
            assert (found.outcome, found.marks) == ("right" if all_right else "carried forward", 2)
        all_right = all_right and how == "right"


def test_what_carried_forward_says_so_and_holds_the_value_expected() -> None:
    found = verdict("battery", 5.645, power=6.272)
    assert found.outcome == "carried forward"
    assert found.says == "Right from your own earlier value. That earlier value still needs a look."
    assert found.followed == pytest.approx(6.272 * 0.9)


def test_errors_that_cancel_cost_only_the_earlier_step() -> None:
    assert verdict("battery", POWER * 0.9, power=ROOT_3_MISSING).outcome == "right"
    assert verdict("time", 24 / (POWER * 0.9), battery=ROOT_3_MISSING).outcome == "right"


def test_a_known_error_is_found_from_the_own_value_and_from_the_key() -> None:
    own, from_key = ROOT_3_MISSING / 0.9, POWER / 0.9
    for value in (own, from_key):
        found = verdict("battery", value, power=ROOT_3_MISSING)
        assert [known.name for known in found.known_errors] == ["divided"]
    assert verdict("battery", own).outcome == "not yet"


def test_the_step_follows_the_value_as_it_was_typed() -> None:
    # From 6 kW it is 5.4 kW; from the 6.272 kW that were meant it would be 5.645 kW.
    assert verdict("battery", "5.4", power="6 kW").outcome == "carried forward"
    assert verdict("battery", "5.64 kW", power="6272 W").outcome == "carried forward"
    assert verdict("battery", "5.4", power="6272 W").outcome == "not yet"


def test_a_right_step_from_a_rounded_right_value_is_right() -> None:
    # 10.9 is right for 10.863; 9.81 is 0.34 % from the key and exactly 10.9 times 0.9.
    found = verdict("battery", 9.81, power=10.9)
    assert (found.outcome, found.marks) == ("right", 2)
    found = verdict("time", 24 / 9.82, battery=9.82)
    assert found.outcome == "right"


@pytest.mark.parametrize("power", [0, -10.0, "0 kW", "-10,9"])
def test_nothing_or_less_than_nothing_carries_nothing_forward(power: Any) -> None:
    own = float(str(power).replace(",", ".").split()[0])
    assert verdict("battery", own * 0.9, power=power).outcome == "not yet"


@pytest.mark.parametrize(
    "power", [..., "", "7.4 or 6.272", "1,234", True, [6.272], float("nan"), float("inf")]
)
def test_an_earlier_answer_that_is_no_number_carries_nothing_forward(power: Any) -> None:
    assert verdict("battery", 6.272 * 0.9, power=power).outcome == "not yet"
    assert verdict("battery", POWER * 0.9, power=power).outcome == "right"


def test_a_missing_earlier_answer_carries_nothing_forward() -> None:
    assert verdict("battery", 5.645).outcome == "not yet"


def test_only_the_answers_that_are_needed_carry_forward() -> None:
    assert verdict("time", 24 / 5.645, power=6.272, battery=5.645).outcome == "carried forward"
    assert verdict("time", 24 / 5.645, power=6.272).outcome == "not yet"


@pytest.mark.parametrize("own", [1e-300, 1e300, 1.7e308])
def test_own_values_beyond_all_reason_are_judged_all_the_same(own: float) -> None:
    assert verdict("time", 2.0, battery=own).outcome == "not yet"
    assert verdict("battery", 2.0, power=own).outcome == "not yet"


def test_a_later_step_with_two_needs_is_blocked_by_one_that_is_missing() -> None:
    first = number("first", lambda card, earlier: 5.0)
    second = number("second", lambda card, earlier: 2.0)
    rest = number("rest", lambda card, earlier: earlier.first - earlier.second, needs=("first", "second"))
    sheet = Worksheet(
        name="rest", version="1", title="", lesson="", entries=(), questions=(first, second, rest)
    )
    card = JobCard("rest", "1", "A01", (), {})

    def outcome(value: float, **earlier: float) -> str:
        known = {name: answer(given) for name, given in earlier.items()}
        return judge(sheet, rest, answer(value), card, known).outcome

    assert outcome(4.0, first=6.0, second=2.0) == "carried forward"
    assert outcome(4.0, first=6.0) == "not yet"
    assert outcome(3.0) == "right"
    # A remainder below nothing is physically impossible and earns nothing.
    assert outcome(-1.0, first=1.0, second=2.0) == "not yet"


# ---- Choices, functions and what is no answer


def test_a_choice_is_read_whatever_its_letters() -> None:
    assert verdict("link", " Cable ").outcome == "right"
    assert verdict("link", "supply").known_errors[0].name == "strongest"
    assert (verdict("link", "vehicle").outcome, verdict("link", "vehicle").marks) == ("not yet", 0)


@pytest.mark.parametrize("value", ["a cable", "cable or vehicle", "plug", 2])
def test_what_is_not_on_the_list_is_refused_with_the_list(value: Any) -> None:
    found = verdict("link", value)
    assert (found.outcome, found.code) == ("refused", "answer-not-a-choice")
    assert "“supply”, “cable”, “vehicle”" in found.says


def test_a_function_is_judged_on_every_input() -> None:
    assert verdict("half", lambda whole: whole / 2).outcome == "right"
    assert verdict("half", lambda whole: whole / 2 * 1.004).outcome == "right"
    assert verdict("half", lambda whole: whole / 2 * 1.006).outcome == "not yet"
    assert verdict("half", lambda whole: whole * 2).known_errors[0].name == "doubled"
    assert (found := verdict("half", lambda whole: whole**2 / 2)).known_errors[0].name == "squared-half"
    assert found.marks == 2


def test_a_function_that_is_right_on_some_inputs_only_is_not_right() -> None:
    assert len(set(INPUTS)) > 1
    assert verdict("half", lambda whole: whole / (2 if whole == INPUTS[0] else 3)).outcome == "not yet"


@pytest.mark.parametrize(
    ("function", "code"),
    [
        (lambda whole: whole / 0, "function-stopped"),
        (lambda: 1, "function-stopped"),
        (lambda whole: float("nan"), "answer-not-finite"),
        (lambda whole: True, "answer-not-a-number"),
        (lambda whole: [whole / 2], "answer-not-a-number"),
        (lambda whole: f"{whole / 2}", "answer-not-a-number"),
        (lambda whole: ... if whole == INPUTS[0] else whole / 2, "answer-not-a-number"),
    ],
)
def test_a_function_without_numbers_is_refused_with_the_input(function: Any, code: str) -> None:
    found = verdict("half", function)
    assert (found.outcome, found.code, found.marks) == ("refused", code, 0)
    assert "For the inputs (" in found.says


def test_a_function_that_still_has_its_three_dots_is_blank() -> None:
    assert verdict("half", lambda whole: ...).outcome == "blank"


def test_a_function_that_was_not_tried_on_every_input_is_refused() -> None:
    short = Answer("function", trials=answer(lambda whole: whole / 2).trials[:2])
    assert judge(CHAIN, CHAIN.question("half"), short, CARD, {}).code == "answer-missing"


def test_value_and_function_are_not_taken_for_one_another() -> None:
    assert verdict("half", 2.0).code == "answer-not-a-function"
    assert "Call the function first" in verdict("power", lambda whole: POWER).says


@pytest.mark.parametrize("question", ["power", "time", "link", "half"])
def test_nothing_recorded_is_blank(question: str) -> None:
    found = verdict(question, ...)
    assert (found.outcome, found.code, found.marks) == ("blank", "answer-missing", 0)
    assert found.says == "Nothing is recorded here yet."


@pytest.mark.parametrize("question", ["power", "time", "link", "half"])
@pytest.mark.parametrize("value", [True, [1.0], 3 + 0j, 10**400])
def test_what_is_no_answer_is_refused_everywhere(question: str, value: Any) -> None:
    found = verdict(question, value)
    assert (found.outcome, found.code, found.marks) == ("refused", "answer-not-a-number", 0)


@pytest.mark.parametrize(
    ("value", "code"),
    [
        (float("nan"), "answer-not-finite"),
        (float("inf"), "answer-not-finite"),
        ("1e400", "answer-not-finite"),
        ("7.4 or 10.9", "answer-ambiguous"),
        ("10.9 A", "answer-not-a-number"),
    ],
)
def test_a_number_that_cannot_be_read_is_refused_with_its_reason(value: Any, code: str) -> None:
    found = verdict("power", value)
    assert (found.outcome, found.code, found.marks) == ("refused", code, 0)


@pytest.mark.parametrize("value", [ROOT_3_MISSING, 1.0, float("nan"), ..., "7.4 or 22.1", True])
def test_no_verdict_gives_the_key_away(value: Any) -> None:
    says = verdict("power", value).says
    assert "10.8" not in says
    assert "10.9" not in says


@pytest.mark.parametrize("value", ["2.7", 2.7, "2,7 kW"])
def test_the_right_value_with_too_few_figures_loses_one_mark_and_is_told_so(value: Any) -> None:
    judged = alone(value, 2.675, {"near": 2.71}, relative=0.001)
    assert (judged.outcome, judged.marks, judged.passed) == ("too few figures", 1, False)
    assert "Give at least 3 figures" in judged.says


def test_another_right_way_counts_with_the_keys_and_with_own_values() -> None:
    phase = number("phase", lambda card, earlier: 230.0, unit="V")
    power = number(
        "power",
        lambda card, earlier: 11.04,
        also=(lambda card, earlier: 3 * earlier.phase * 16 / 1000,),
        needs=("phase",),
        known_errors=(error("one-phase", lambda card, earlier: earlier.phase * 16 / 1000),),
    )
    sheet = Worksheet(name="ways", version="1", title="Ways", lesson="", entries=(), questions=(phase, power))
    card = sheet.card("A01")

    def judged(value: float, own_phase: float) -> Verdict:
        return judge(sheet, power, answer_from_value(value), card, {"phase": answer_from_value(own_phase)})

    assert judged(11.04, 230).outcome == "right"
    assert judged(6.384, 133).outcome == "carried forward"  # 3 × 133 V × 16 A
    assert judged(11.04, 133).outcome == "right"  # by the first way, which does not need the phase voltage
    assert judged(2.128, 133).known_errors[0].name == "one-phase"


def test_a_function_that_ignores_its_inputs_is_named() -> None:
    assert verdict("half", lambda whole: 2.0).known_errors[0].name == "inputs-not-used"


def test_a_function_that_prints_or_gives_text_is_told_about_return() -> None:
    assert "must begin with return" in verdict("half", lambda whole: None).says
    assert "gave “2 kW”, which is text. Return a number." in verdict("half", lambda whole: "2 kW").says


@pytest.mark.parametrize("value", ["Cable", " the cable ", "CABLE"])
def test_a_choice_is_read_whatever_its_case_and_article(value: str) -> None:
    assert verdict("link", value).outcome == "right"


@pytest.mark.parametrize("value", ["10.9 kilowatts", "10863 Watts", "10,9 KW"])
def test_units_may_be_written_out(value: str) -> None:
    assert verdict("power", value).outcome == "right"


@pytest.mark.parametrize(
    ("text", "outcome"),
    [
        ("300 min", "right"),
        ("298.5 min", "right"),  # 0.5 % below 5 h: the very edge, though 1 / 60 is no exact decimal
        ("301.5 Minutes", "right"),
        ("298.4 min", "not yet"),
        ("301.6 min", "not yet"),
        ("5 h 0 min", "refused"),
    ],
)
def test_minutes_with_their_unit_are_read_where_hours_are_asked(text: str, outcome: str) -> None:
    time = number("time", lambda card, earlier: 5.0, unit="h", units={"min": 1 / 60})
    sheet = Worksheet(name="times", version="1", title="Times", lesson="", entries=(), questions=(time,))
    assert judge(sheet, time, answer_from_value(text), sheet.card("A01"), {}).outcome == outcome


def test_every_question_of_the_course_in_hours_takes_minutes() -> None:
    hours = [
        question
        for sheet in WORKSHEETS.values()
        for question in sheet.questions
        if isinstance(question, Number) and question.unit == "h"
    ]
    assert len(hours) == 3
    assert all(question.accepted_units["min"] == 1 / 60 for question in hours)


def test_the_line_voltage_as_it_is_is_named() -> None:
    sheet = WORKSHEETS["charging-power"]
    card = sheet.card("A01")
    found = judge(sheet, sheet.questions[0], answer_from_value(card.line_voltage), card, {})
    assert [slip.name for slip in found.known_errors] == ["line-voltage-as-it-is"]


# ---- Going on from an answer in words


@pytest.mark.parametrize(
    ("phases", "power", "outcome"),
    [
        ("three", 11.04, "right"),
        ("one", 3.68, "carried forward"),
        ("one", 11.04, "right"),
        ("none", 3.68, "not yet"),
    ],
)
def test_a_step_goes_on_from_an_answer_in_words(phases: str, power: float, outcome: str) -> None:
    """230 V x 16 A x number of phases: 3.68 kW and 11.04 kW."""
    choice = Choice(
        **{
            "name": "phases",
            "title": "",
            "marks": 1,
            "level": 2,
            "outcome": "",
            "sources": (),
            "hints": ("", "", ""),
        },
        options=("one", "three"),
        key=lambda card, earlier: "three",
        working=lambda card, earlier: "",
    )
    step = number(
        "power",
        lambda card, earlier: 3.68 * {"one": 1, "three": 3}[earlier.phases],
        needs=("phases",),
    )
    sheet = Worksheet(name="two", version="1", title="", lesson="", entries=(), questions=(choice, step))
    card = JobCard("two", "1", "A01", (), {})
    earlier = {"phases": answer_from_value(phases)}
    assert judge(sheet, step, answer_from_value(power), card, earlier).outcome == outcome
