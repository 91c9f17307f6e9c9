"""Identities, round trips, limits and refusals that hold for all values."""

from collections.abc import Callable
from dataclasses import FrozenInstanceError, dataclass, field
from itertools import pairwise, product
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from acpower import battery, charger, distorted, pilot, power, rms
from acpower.charger import Cable, ChargingLimit, Station, Supply, Vehicle, charging_limit

volts = st.floats(1.0, 1000.0)
amperes = st.floats(0.0, 500.0)
watts = st.floats(0.0, 1e6)
power_factors = st.floats(0.01, 1.0)
levels = st.floats(-1000.0, 1000.0)
sample_lists = st.lists(levels, min_size=1, max_size=30)
live_sample_lists = sample_lists.filter(lambda samples: max(map(abs, samples)) > 1e-3)
magnitude_lists = st.lists(amperes, min_size=1, max_size=10)


# ---- Every formula: how it is called, and what it must refuse


@dataclass(frozen=True)
class Formula:
    """A formula with valid arguments, arrays that broadcast, and the range of each argument."""

    call: Callable[..., Any]
    valid: dict[str, float]
    signed: tuple[str, ...] = ()  # arguments that may be negative
    above_zero: tuple[str, ...] = ()
    fractions: tuple[str, ...] = ()
    too_much: dict[str, float] = field(default_factory=dict)
    last_axis: tuple[str, ...] = ()  # arguments whose last axis the formula works over

    @property
    def name(self) -> str:
        return self.call.__name__


FORMULAS = [
    Formula(rms.rms, {"samples": 5.0}, signed=("samples",), last_axis=("samples",)),
    Formula(rms.peak_to_rms, {"peak": 325.0}),
    Formula(rms.rms_to_peak, {"rms": 230.0}),
    Formula(
        rms.pulse_rms, {"high": 9.0, "duty": 0.5, "low": -12.0}, signed=("high", "low"), fractions=("duty",)
    ),
    Formula(rms.combined_rms, {"components": 12.0}, last_axis=("components",)),
    Formula(
        rms.total_harmonic_distortion,
        {"fundamental": 10.0, "harmonics": 0.5},
        above_zero=("fundamental",),
        last_axis=("harmonics",),
    ),
    Formula(rms.crest_factor, {"samples": 5.0}, signed=("samples",), last_axis=("samples",)),
    Formula(rms.form_factor, {"samples": 5.0}, signed=("samples",), last_axis=("samples",)),
    Formula(
        power.single_phase_power,
        {"voltage": 230.0, "current": 16.0, "power_factor": 0.9},
        fractions=("power_factor",),
    ),
    Formula(
        power.three_phase_power,
        {"line_voltage": 400.0, "current": 16.0, "power_factor": 0.9},
        fractions=("power_factor",),
    ),
    Formula(
        power.single_phase_current,
        {"power": 3680.0, "voltage": 230.0, "power_factor": 0.9},
        above_zero=("voltage", "power_factor"),
        fractions=("power_factor",),
    ),
    Formula(
        power.three_phase_current,
        {"power": 11000.0, "line_voltage": 400.0, "power_factor": 0.9},
        above_zero=("line_voltage", "power_factor"),
        fractions=("power_factor",),
    ),
    Formula(power.line_to_phase, {"line_voltage": 400.0}),
    Formula(power.phase_to_line, {"phase_voltage": 230.0}),
    Formula(
        power.reactive_power, {"apparent_power": 2300.0, "power_factor": 0.8}, fractions=("power_factor",)
    ),
    Formula(
        distorted.true_power_factor,
        {"displacement_factor": 0.9, "distortion": 0.3},
        fractions=("displacement_factor",),
    ),
    Formula(pilot.current_from_duty, {"duty_percent": 50.0}, too_much={"duty_percent": 100.1}),
    Formula(pilot.duty_from_current, {"current": 16.0}, too_much={"current": 80.1}),
    Formula(pilot.cable_rating, {"resistance": 220.0}),
    Formula(
        charger.battery_power,
        {"ac_power": 11000.0, "efficiency": 0.9},
        above_zero=("efficiency",),
        fractions=("efficiency",),
    ),
    Formula(
        charger.grid_power,
        {"battery_power": 9900.0, "efficiency": 0.9},
        above_zero=("efficiency",),
        fractions=("efficiency",),
    ),
    Formula(
        battery.charge_time,
        {"energy_kwh": 40.0, "power_kw": 11.0, "efficiency": 0.9},
        above_zero=("power_kw", "efficiency"),
        fractions=("efficiency",),
    ),
]
each_formula = pytest.mark.parametrize("formula", FORMULAS, ids=lambda formula: formula.name)
each_argument = pytest.mark.parametrize(
    ("formula", "argument"),
    [
        pytest.param(formula, name, id=f"{formula.name}-{name}")
        for formula in FORMULAS
        for name in formula.valid
    ],
)

NO_NUMBERS = {
    "NaN": float("nan"),
    "infinity": float("inf"),
    "minus infinity": float("-inf"),
    "True": True,
    "numpy False": np.False_,
    "True in a list": [1.0, True],
    "True in a nested list": [[0.5], [True]],
    "array of bool": np.array([True, False]),
    "bool in an object array": np.array([True, 0.5], dtype=object),
    "NaN in an array": np.array([0.5, np.nan]),
    "NaN as the last of several": [[0.5, 0.5], [0.5, float("nan")]],
    "text": "0.5",
    "text in a list": ["0.5", "1"],
    "text beside a number": [0.5, "1"],
    "bytes": b"0.5",
    "None": None,
    "None in a list": [0.5, None],
    "complex": 0.5 + 0j,
    "complex in an array": np.array([0.5, 0.5j]),
    "empty list": [],
    "empty array": np.zeros((2, 0)),
    "rows of unequal length": [[0.5, 0.5], [0.5]],
    "integer beyond any float": 10**400,
    "integer beyond any float in a list": [0.5, 10**400],
    "number beyond any quantity": 1e200,
    "dictionary": {"value": 0.5},
    "set": {0.5},
    "object": object(),
    "date": np.datetime64("2025-01-01"),
    "largest long double": np.finfo(np.longdouble).max,
    "masked value": np.ma.array([0.5, 0.5], mask=[False, True]),
}


@each_argument
@pytest.mark.parametrize("bad", NO_NUMBERS.values(), ids=NO_NUMBERS)
def test_what_is_no_number_is_refused_by_name(formula: Formula, argument: str, bad: object) -> None:
    with pytest.raises(ValueError, match=rf"^{argument}(\[[\d, ]+\])?: .+ was given; allowed is .+\. Check "):
        formula.call(**formula.valid | {argument: bad})


@each_argument
def test_value_outside_the_range_is_refused_by_name_and_value(formula: Formula, argument: str) -> None:
    outside = []
    if argument not in formula.signed:
        outside.append(-0.5)
    if argument in formula.above_zero:
        outside.append(0.0)
    if argument in formula.fractions:
        outside += [1.0000001, 92.0]
    if argument in formula.too_much:
        outside.append(formula.too_much[argument])
    for bad in outside:
        with pytest.raises(ValueError, match=rf"^{argument}: {bad:.12g}.* was given; allowed is "):
            formula.call(**formula.valid | {argument: bad})
        good = formula.valid[argument]
        with pytest.raises(ValueError, match=rf"^{argument}\[1\]: {bad:.12g}.* was given; allowed is "):
            formula.call(**formula.valid | {argument: [good, bad, good]})


@pytest.mark.parametrize(
    ("formula", "argument"),
    [(formula, name) for formula in FORMULAS for name in formula.fractions],
    ids=lambda part: getattr(part, "name", part),
)
def test_percentage_is_told_to_be_a_fraction(formula: Formula, argument: str) -> None:
    with pytest.raises(ValueError, match=r"it is a fraction: 0\.92, not 92\."):
        formula.call(**formula.valid | {argument: 92})
    with pytest.raises(ValueError, match=r"it is a fraction: 0\.85, not 85\."):
        formula.call(**formula.valid | {argument: 85})


@each_formula
def test_shapes_that_do_not_broadcast_are_refused_by_name(formula: Formula) -> None:
    if len(formula.valid) == 1:
        return
    first, second = list(formula.valid)[:2]
    arrays = {first: np.full(3, formula.valid[first]), second: np.full((2, 2), formula.valid[second])}
    with pytest.raises(ValueError, match=rf"{first} and {second}: shape .*\(3,\)"):
        formula.call(**formula.valid | arrays)


@each_formula
def test_scalar_gives_a_float_and_array_an_array_equal_to_the_loop(formula: Formula) -> None:
    single = formula.call(**formula.valid)
    assert type(single) is float
    factors = np.array([[1.0], [0.98], [0.96]])
    many = {name: value * factors for name, value in formula.valid.items()}
    if "fundamental" in many:
        many["fundamental"] = many["fundamental"][:, 0]
    result = formula.call(**many)
    assert isinstance(result, np.ndarray)
    assert result.dtype == np.float64
    loop = [
        formula.call(**{name: float(value * factor) for name, value in formula.valid.items()})
        for factor in factors[:, 0]
    ]
    assert result.ravel() == pytest.approx(loop, rel=1e-12)
    assert result.shape == ((3,) if formula.last_axis else (3, 1))


@each_formula
def test_arguments_broadcast_against_one_another(formula: Formula) -> None:
    if formula.last_axis or len(formula.valid) == 1:
        return
    first, *others = formula.valid
    rows = formula.valid[first] * np.array([[1.0], [0.9]])
    columns = {name: formula.valid[name] * np.array([1.0, 0.9, 0.8]) for name in others}
    result = formula.call(**{first: rows}, **columns)
    assert result.shape == (2, 3)
    for row in range(2):
        for column in range(3):
            one = {first: float(rows[row, 0])} | {name: float(columns[name][column]) for name in others}
            assert result[row, column] == pytest.approx(formula.call(**one), rel=1e-12)


@each_argument
def test_every_argument_counts(formula: Formula, argument: str) -> None:
    if formula.name in {"crest_factor", "form_factor"}:  # ratios of one and the same sample
        before, after = formula.call([3.0, 1.0]), formula.call([3.0, 2.0])
    elif formula.name == "cable_rating":
        before, after = formula.call(220.0), formula.call(680.0)
    else:
        before = formula.call(**formula.valid)
        after = formula.call(**formula.valid | {argument: 0.9 * formula.valid[argument]})
    assert before != pytest.approx(after, rel=1e-3)


@each_formula
def test_integers_and_their_arrays_count_as_numbers(formula: Formula) -> None:
    whole = {name: 1 if name in formula.fractions else int(value) for name, value in formula.valid.items()}
    as_float = formula.call(**{name: float(value) for name, value in whole.items()})
    assert formula.call(**whole) == as_float
    assert formula.call(**{name: np.int64(value) for name, value in whole.items()}) == as_float
    assert formula.call(**{name: np.float32(value) for name, value in whole.items()}) == as_float


@each_formula
def test_input_arrays_stay_as_they_were(formula: Formula) -> None:
    inputs = {name: np.full(3, value) for name, value in formula.valid.items()}
    if "fundamental" in inputs:
        inputs["fundamental"] = np.float64(10.0)
    copies = {name: value.copy() for name, value in inputs.items()}
    formula.call(**inputs)
    assert all(np.array_equal(inputs[name], copies[name]) for name in inputs)


@each_formula
def test_no_result_is_infinite_within_the_bounds(formula: Formula) -> None:
    if formula.too_much:
        return  # the range of the pilot law is narrow
    ends = [(1e-100, 1.0 if name in formula.fractions else 1e100) for name in formula.valid]
    for values in product(*ends):
        assert np.isfinite(formula.call(*values))


# ---- Effective values


@given(sample_lists)
def test_rms_lies_between_zero_and_the_peak(samples: list[float]) -> None:
    assert 0 <= rms.rms(samples) <= max(map(abs, samples)) * (1 + 1e-12)


@given(sample_lists, st.floats(-100, 100))
def test_rms_scales_with_the_signal(samples: list[float], gain: float) -> None:
    assert rms.rms(gain * np.array(samples)) == pytest.approx(abs(gain) * rms.rms(samples), abs=1e-9)


@given(sample_lists, st.integers(2, 4))
def test_rms_of_several_periods_is_that_of_one(samples: list[float], periods: int) -> None:
    assert rms.rms(samples * periods) == pytest.approx(rms.rms(samples), rel=1e-12)


@given(amperes)
def test_peak_and_rms_of_a_sine_are_a_round_trip(peak: float) -> None:
    assert rms.rms_to_peak(rms.peak_to_rms(peak)) == pytest.approx(peak, rel=1e-12)


@given(levels, st.integers(0, 40), levels)
def test_pulse_equals_its_samples(high: float, count: int, low: float) -> None:
    assert rms.pulse_rms(high, count / 40, low) == pytest.approx(
        rms.rms([high] * count + [low] * (40 - count))
    )


@given(levels, st.floats(0, 1), levels)
def test_pulse_can_be_told_from_either_level(high: float, duty: float, low: float) -> None:
    assert rms.pulse_rms(high, duty, low) == pytest.approx(rms.pulse_rms(low, 1 - duty, high), abs=1e-6)


@given(magnitude_lists)
def test_combined_rms_grows_with_each_component_and_ignores_their_order(components: list[float]) -> None:
    total = rms.combined_rms(components)
    assert total >= max(components) * (1 - 1e-12)
    assert total <= sum(components) * (1 + 1e-12)
    assert rms.combined_rms(components[::-1]) == pytest.approx(total)


@given(st.floats(1, 100), magnitude_lists)
def test_distortion_and_total_rms_agree(fundamental: float, harmonics: list[float]) -> None:
    thd = rms.total_harmonic_distortion(fundamental, harmonics)
    assert rms.combined_rms([fundamental, *harmonics]) == pytest.approx(fundamental * np.sqrt(1 + thd**2))


@given(live_sample_lists)
def test_crest_and_form_factor_are_at_least_one(samples: list[float]) -> None:
    assert rms.crest_factor(samples) >= 1 - 1e-12
    assert rms.form_factor(samples) >= 1 - 1e-12


@given(live_sample_lists, st.floats(0.1, 100))
def test_crest_and_form_factor_do_not_depend_on_size_or_sign(samples: list[float], gain: float) -> None:
    scaled = -gain * np.array(samples)
    assert rms.crest_factor(scaled) == pytest.approx(rms.crest_factor(samples))
    assert rms.form_factor(scaled) == pytest.approx(rms.form_factor(samples))


@pytest.mark.parametrize("factor", [rms.crest_factor, rms.form_factor])
@pytest.mark.parametrize("samples", [0.0, [0.0, 0.0], [[1.0, 2.0], [0.0, 0.0]]])
def test_factors_of_silence_are_refused(factor: Callable[..., Any], samples: object) -> None:
    with pytest.raises(
        ValueError, match=r"^samples: only 0 was given; allowed is samples of which at least one"
    ):
        factor(samples)


def test_negative_component_is_told_to_be_a_magnitude() -> None:
    with pytest.raises(
        ValueError, match=r"^components\[1\]: -5 was given; .* a DC part is entered as its magnitude"
    ):
        rms.combined_rms([12, -5])


def test_last_axis_is_worked_over() -> None:
    samples = np.array([[[1.0, -1.0], [2.0, -2.0]], [[3.0, 3.0], [0.0, 4.0]]])
    assert rms.rms(samples).shape == (2, 2)
    assert rms.rms(samples) == pytest.approx(np.array([[1.0, 2.0], [3.0, 8.0**0.5]]))
    assert rms.total_harmonic_distortion([10.0, 20.0], [[3.0, 4.0], [6.0, 8.0]]) == pytest.approx([0.5, 0.5])


# ---- Power


@given(volts, amperes, power_factors)
def test_three_phase_power_is_three_single_phases(voltage: float, current: float, factor: float) -> None:
    whole = power.three_phase_power(voltage, current, factor)
    single = power.single_phase_power(power.line_to_phase(voltage), current, factor)
    assert whole == pytest.approx(3 * single, rel=1e-12)


@given(volts)
def test_line_and_phase_voltage_are_a_round_trip(voltage: float) -> None:
    assert power.line_to_phase(power.phase_to_line(voltage)) == pytest.approx(voltage, rel=1e-12)


@given(watts, volts, power_factors)
def test_power_and_current_are_a_round_trip(given_power: float, voltage: float, factor: float) -> None:
    single = power.single_phase_current(given_power, voltage, factor)
    assert power.single_phase_power(voltage, single, factor) == pytest.approx(given_power, rel=1e-12)
    three = power.three_phase_current(given_power, voltage, factor)
    assert power.three_phase_power(voltage, three, factor) == pytest.approx(given_power, rel=1e-12)


def test_power_factor_zero_gives_no_power_but_no_current_either() -> None:
    assert power.single_phase_power(230, 16, 0) == power.three_phase_power(400, 16, 0) == 0.0
    for current in (power.single_phase_current, power.three_phase_current):
        with pytest.raises(ValueError, match=r"^power_factor: 0 was given; allowed is above 0"):
            current(3680, 230, 0)


@given(amperes, st.floats(-np.pi, np.pi))
def test_balanced_load_leaves_the_neutral_idle_and_third_harmonics_add(current: float, angle: float) -> None:
    turn = np.exp(2j * np.pi / 3)
    phasor = current * np.exp(1j * angle)
    assert power.neutral_current([phasor, phasor * turn, phasor / turn]) == pytest.approx(0, abs=1e-9)
    assert power.neutral_current([phasor] * 3) == pytest.approx(3 * current)


@given(amperes)
def test_neutral_of_a_single_phase_load_carries_its_current(current: float) -> None:
    assert power.neutral_current([0, current, 0]) == pytest.approx(current)


def test_two_equal_legs_of_a_star_leave_one_current_in_the_neutral() -> None:
    assert power.neutral_current([16, 16 * np.exp(-2j * np.pi / 3), 0]) == pytest.approx(16)


def test_neutral_current_works_over_the_last_axis() -> None:
    phasors = np.array([[1, 1j, 0], [1, 1, 1]])
    assert type(power.neutral_current(phasors[0])) is float
    assert power.neutral_current(phasors) == pytest.approx([2**0.5, 3])
    assert power.neutral_current(phasors[np.newaxis]).shape == (1, 2)


@pytest.mark.parametrize(
    "bad",
    [
        16, [16, 16], np.zeros((3, 2)), [16, True, 0], ["16", "0", "0"], [np.nan, 0, 0],
        [complex(0, np.inf), 0, 0], None, [], [16, None, 0], "16", [1e200, 0, 0], [0, 1e200j, 0],
    ],
)  # fmt: skip
def test_neutral_current_needs_three_phasors(bad: object) -> None:
    with pytest.raises(
        ValueError, match=r"^phasors(\[\d\])?: .+ was given; allowed is three complex numbers in A"
    ):
        power.neutral_current(bad)


# ---- Pilot and proximity


@given(st.floats(8, 97), st.floats(8, 97))
def test_more_duty_never_means_less_current(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert pilot.current_from_duty(low) <= pilot.current_from_duty(high)


@given(st.floats(10, 85))
def test_lower_branch_gives_sixty_hundredths_of_an_ampere_per_percent(duty: float) -> None:
    assert pilot.current_from_duty(duty) == pytest.approx(0.6 * duty)
    assert pilot.current_from_duty(duty, "sae") == pilot.current_from_duty(duty)


@given(st.floats(6, 51) | st.floats(52.6, 80))
def test_offer_is_read_by_the_vehicle_as_it_was_meant(current: float) -> None:
    assert pilot.current_from_duty(pilot.duty_from_current(current)) == pytest.approx(current, rel=1e-12)


@given(st.floats(0, 100), st.sampled_from(pilot.DUTY_RULES))
def test_meaning_and_current_agree(duty: float, rule: str) -> None:
    allowed = pilot.duty_meaning(duty, rule) == "charging allowed"
    assert allowed == (6 <= pilot.current_from_duty(duty, rule) <= 80)
    assert allowed == (pilot.current_from_duty(duty, rule) > 0)


def test_offer_at_the_upper_edge_of_the_jump_is_read_as_51_amperes() -> None:
    assert pilot.duty_from_current(52.5) == 85.0
    assert pilot.current_from_duty(85.0) == 51.0


@pytest.mark.parametrize("current", [51.0001, 52.0, 52.4999, [16, 52]])
def test_offer_in_the_jump_is_refused_with_the_reason(current: object) -> None:
    with pytest.raises(
        ValueError, match=r"^current(\[1\])?: 5\d.* A was given; .*6 to 51 A.* the pilot law jumps here"
    ):
        pilot.duty_from_current(current)


@pytest.mark.parametrize("current", [0, 5.999, 80.001])
def test_offer_outside_the_law_is_refused_with_the_reason(current: float) -> None:
    with pytest.raises(
        ValueError, match=r"below 6 A the station pauses charging, above 80 A the pilot law ends"
    ):
        pilot.duty_from_current(current)


@pytest.mark.parametrize("function", [pilot.current_from_duty, pilot.duty_meaning])
@pytest.mark.parametrize("rule", ["IEC", "", None, 1, ["iec"], True])
def test_unknown_rule_lists_the_rules(function: Callable[..., Any], rule: object) -> None:
    with pytest.raises(ValueError, match=r"^rule: .* was given; allowed is one of 'iec', 'sae'\."):
        function(16, rule)


@pytest.mark.parametrize("bands", ["first", "", None, 2, ["accept"]])
def test_unknown_set_of_bands_lists_the_sets(bands: object) -> None:
    with pytest.raises(ValueError, match=r"^bands: .* was given; allowed is one of 'accept', 'touching'\."):
        pilot.cable_rating(220, bands)


@given(st.floats(75, 1e5), st.floats(75, 1e5), st.sampled_from(pilot.CABLE_BANDS))
def test_more_resistance_never_means_a_bigger_cable(one: float, other: float, bands: str) -> None:
    low, high = sorted((one, other))
    if pilot.cable_rating(low, bands) > 0:
        assert pilot.cable_rating(low, bands) >= pilot.cable_rating(high, bands)


@pytest.mark.parametrize(("ohms", "amperes"), [(150, 32), (330, 20), (1000, 13)])
def test_where_two_bands_touch_the_lower_rating_is_taken(ohms: float, amperes: float) -> None:
    assert pilot.cable_rating(ohms, "touching") == amperes
    assert pilot.cable_rating(np.nextafter(ohms, 0), "touching") > amperes


@pytest.mark.parametrize(
    ("gap", "amperes"),
    [((0, 79.9), 0), ((140.1, 163.9), 32), ((308.1, 399.9), 20), ((936.1, 1099.9), 13), ((2460.1, 1e6), 0)],
)
def test_gap_takes_the_lower_rating_and_beyond_the_bands_nothing_charges(
    gap: tuple[float, float], amperes: float
) -> None:
    assert set(pilot.cable_rating(np.linspace(*gap, 50))) == {amperes}


def test_states_and_meanings_come_as_text_or_as_arrays_of_text() -> None:
    assert type(pilot.state_from_voltage(9)) is str
    assert type(pilot.duty_meaning(9)) is str
    assert pilot.state_from_voltage([[12, 9], [6, 3]]).tolist() == [["A", "B"], ["C", "D"]]
    assert pilot.duty_meaning([[5], [50]]).tolist() == [
        ["digital communication required"],
        ["charging allowed"],
    ]


@pytest.mark.parametrize("level", [13.01, 10.5, 7.5, 4.99, 1.5, -1.01, -10.9, -13.1, -5])
def test_level_between_the_windows_is_refused_with_advice(level: float) -> None:
    expected = (
        rf"^positive_level: {level:g} V was given; allowed is A 11 to 13 V, .* the positive plateau was read"
    )
    with pytest.raises(ValueError, match=expected):
        pilot.state_from_voltage(level)
    with pytest.raises(ValueError, match=r"^positive_level\[1\]: "):
        pilot.state_from_voltage([9, level])


@pytest.mark.parametrize("bad", NO_NUMBERS.values(), ids=NO_NUMBERS)
def test_pilot_level_that_is_no_number_is_refused(bad: object) -> None:
    with pytest.raises(ValueError, match=r"^positive_level(\[[\d, ]+\])?: .+ was given; allowed is "):
        pilot.state_from_voltage(bad)


@pytest.mark.parametrize("bad", NO_NUMBERS.values(), ids=NO_NUMBERS)
def test_meaning_of_a_duty_that_is_no_number_is_refused(bad: object) -> None:
    with pytest.raises(ValueError, match=r"^duty_percent(\[[\d, ]+\])?: .+ was given; allowed is "):
        pilot.duty_meaning(bad)


# ---- Charger and battery


@given(watts, st.floats(0.01, 1))
def test_battery_and_grid_power_are_a_round_trip(ac_power: float, efficiency: float) -> None:
    into_battery = charger.battery_power(ac_power, efficiency)
    assert into_battery <= ac_power
    assert charger.grid_power(into_battery, efficiency) == pytest.approx(ac_power, rel=1e-12)


@given(st.floats(0, 200), st.floats(0.5, 50), st.floats(0.1, 1))
def test_charge_time_times_power_gives_the_energy(energy: float, kilowatts: float, efficiency: float) -> None:
    hours = battery.charge_time(energy, kilowatts, efficiency)
    assert hours * charger.battery_power(1000 * kilowatts, efficiency) / 1000 == pytest.approx(energy)


def test_nothing_to_charge_takes_no_time() -> None:
    assert battery.charge_time(0, 11, 0.9) == 0.0


phases = st.integers(1, 3)
ratings = st.sampled_from([6.0, 10.0, 13.0, 16.0, 20.0, 32.0, 63.0])
NAMES = ("supply", "station", "cable", "vehicle")


@given(st.tuples(phases, phases, phases, phases), st.tuples(ratings, ratings, ratings, ratings))
def test_limit_is_the_least_of_each_and_names_who_holds_it_down(
    phase_counts: tuple[int, ...], currents: tuple[float, ...]
) -> None:
    def limit(counts: tuple[int, ...], amps: tuple[float, ...]) -> ChargingLimit:
        return charging_limit(
            Supply(230, counts[0], amps[0], 0.95),
            *(link(n, i) for link, n, i in zip((Station, Cable, Vehicle), counts[1:], amps[1:], strict=True)),
        )

    result = limit(phase_counts, currents)
    assert result.current == min(currents)
    assert result.phases == min(phase_counts)
    expected_power = result.phases * power.single_phase_power(230, result.current, 0.95)
    assert result.power == pytest.approx(expected_power)

    # Freed together, the named links allow more power; any one of them, left as it was among
    # links without limit, still holds current or phases down; the others do neither.
    named = [NAMES.index(name) for name in result.limited_by]
    assert named == sorted(set(named))
    assert named
    freed = limit(
        tuple(3 if k in named else n for k, n in enumerate(phase_counts)),
        tuple(100.0 if k in named else i for k, i in enumerate(currents)),
    )
    assert freed.power > result.power
    for k in named:
        held = limit(
            tuple(n if j == k else 3 for j, n in enumerate(phase_counts)),
            tuple(i if j == k else 100.0 for j, i in enumerate(currents)),
        )
        assert held.current == result.current or held.phases == result.phases
    for k in set(range(4)) - set(named):
        assert phase_counts[k] > result.phases or len(set(phase_counts)) == 1
        assert currents[k] > result.current or len(set(currents)) == 1


@pytest.mark.parametrize(
    ("phase_counts", "currents", "limited_by"),
    [
        ((3, 3, 3, 3), (32, 32, 32, 32), NAMES),
        ((1, 1, 1, 1), (16, 16, 16, 16), NAMES),
        ((3, 3, 3, 1), (32, 32, 32, 32), ("vehicle",)),
        ((3, 3, 3, 3), (32, 16, 32, 32), ("station",)),
        ((3, 3, 3, 3), (32, 16, 20, 16), ("station", "vehicle")),
        ((3, 3, 3, 1), (32, 16, 32, 32), ("station", "vehicle")),
        ((1, 3, 1, 3), (63, 63, 20, 32), ("supply", "cable")),
        ((3, 3, 3, 2), (16, 32, 32, 32), ("supply", "vehicle")),
    ],
)
def test_limiting_links_in_typical_chains(
    phase_counts: tuple[int, ...], currents: tuple[float, ...], limited_by: tuple[str, ...]
) -> None:
    supply = Supply(230, phase_counts[0], currents[0])
    station, cable, vehicle = (
        link(count, current)
        for link, count, current in zip(
            (Station, Cable, Vehicle), phase_counts[1:], currents[1:], strict=True
        )
    )
    assert charging_limit(supply, station, cable, vehicle).limited_by == limited_by


LINKS = {
    Supply: {"phase_voltage": 230, "phases": 3, "current": 32, "power_factor": 1.0},
    Station: {"phases": 3, "current": 32},
    Cable: {"phases": 3, "current": 32},
    Vehicle: {"phases": 3, "current": 32},
}
BAD_LINK_VALUES = {
    "phases": [0, 4, 1.5, -1],
    "current": [5.99, 0, -16],
    "phase_voltage": [0, -230],
    "power_factor": [1.1, -0.1, 95],
}


@pytest.mark.parametrize("link", LINKS)
def test_link_refuses_bad_values_by_name(link: type) -> None:
    for name in LINKS[link]:
        for bad in [*BAD_LINK_VALUES[name], *NO_NUMBERS.values(), [LINKS[link][name]] * 2]:
            with pytest.raises(ValueError, match=rf"^{name}(\[[\d, ]+\])?: .+ was given; allowed is "):
                link(**LINKS[link] | {name: bad})


@pytest.mark.parametrize("link", LINKS)
def test_link_below_six_amperes_is_told_of_the_floor_of_the_pilot_law(link: type) -> None:
    with pytest.raises(ValueError, match=r"^current: 5 A was given; allowed is 6 A or more\. .*IEC 61851-1"):
        link(**LINKS[link] | {"current": 5})


@pytest.mark.parametrize("link", LINKS)
def test_link_keeps_plain_numbers_and_cannot_be_changed(link: type) -> None:
    made = link(**{name: np.float64(value) for name, value in LINKS[link].items()})
    assert made == link(**LINKS[link])
    assert type(made.phases) is int
    assert type(made.current) is float
    with pytest.raises(FrozenInstanceError):
        made.current = 63.0


def test_links_in_the_wrong_order_are_refused_by_name() -> None:
    station, cable, vehicle = Station(3, 32), Cable(3, 32), Vehicle(3, 32)
    with pytest.raises(
        ValueError, match=r"^station: Cable\(.* was given; allowed is a Station\. Check the order"
    ):
        charging_limit(Supply(230, 3, 32), cable, station, vehicle)
    with pytest.raises(ValueError, match=r"^supply: None was given; allowed is a Supply"):
        charging_limit(None, station, cable, vehicle)


def test_duty_law_jumps_up_at_its_edges_and_never_down() -> None:
    edges = [8, 10, 85, 96, 97]
    inside = [pilot.current_from_duty(edge) for edge in edges]
    assert inside == pytest.approx([6.0, 6.0, 51.0, 80.0, 80.0])
    assert all(low <= high for low, high in pairwise(inside))
    assert pilot.current_from_duty(np.nextafter(85, 100)) == pytest.approx(52.5)
