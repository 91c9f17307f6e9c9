"""Circuits and protection: refusals, limits, identities and independent routes for all values."""

from collections.abc import Callable
from dataclasses import FrozenInstanceError, dataclass, field
from fractions import Fraction
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from test_formulas_properties import NO_NUMBERS

from acpower import circuit, conductors, protection, tables
from acpower.circuit import cable_loss, design_current, next_breaker, voltage_drop, voltage_drop_limit
from acpower.conductors import conductor_resistance, resistance_at_temperature, wire_resistance
from acpower.power import single_phase_current, three_phase_current

AREAS = [1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95]
areas = st.sampled_from(AREAS)
classes = st.sampled_from([1, 2, 5])
phase_counts = st.sampled_from([1, 3])
metres = st.floats(0.0, 500.0)
amperes = st.floats(0.0, 500.0)
temperatures = st.floats(-50.0, 250.0)
power_factors = st.floats(0.0, 1.0)


# ---- Every formula: what it takes and what it must refuse


@dataclass(frozen=True)
class Formula:
    """A formula with valid arguments, and values just outside the range of each with that range."""

    call: Callable[..., Any]
    valid: dict[str, float]
    outside: dict[str, tuple[list[float], str]]
    scalars: tuple[str, ...] = ()  # arguments that take no array
    no_float: bool = field(default=False)  # the result is a record


UNITS = {
    "resistivity": "ohm mm2/m", "length_m": "m", "area_mm2": "mm2", "resistance_20": "ohm",
    "temperature_c": "degC", "coefficient": "1/K", "current": "A", "reactance_per_m": "ohm/m",
    "drop": "V", "voltage": "V", "power": "W", "design_current": "A", "breaker_rating": "A",
    "cable_capacity": "A", "residual_ma": "mA", "touch_voltage": "V", "load_resistance": "ohm",
    "electrode_resistance": "ohm", "current_ma": "mA",
}  # fmt: skip
NOT_NEGATIVE, ABOVE_ZERO = [-0.001], [-0.001, 0.0]
LISTED = "one of 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95 mm2"
CABLE = {
    "length_m": (NOT_NEGATIVE, "0 m or more"),
    "area_mm2": ([-1, 0, 3, 1.49, 96, 120], LISTED),
    "temperature_c": ([-50.001, 250.001], "-50 to 250 degC"),
    "conductor_class": ([0, 3, 4, 6, 1.5, -1], "1, 2 or 5"),
}
ON_PHASES = CABLE | {
    "current": (NOT_NEGATIVE, "0 A or more"),
    "phases": ([0, 2, 1.5, 4, -1], "1 or 3"),
}
FORMULAS = [
    Formula(
        wire_resistance,
        {"resistivity": 0.0168, "length_m": 20, "area_mm2": 4},
        {
            "resistivity": (NOT_NEGATIVE, "0 ohm mm2/m or more"),
            "length_m": (NOT_NEGATIVE, "0 m or more"),
            "area_mm2": (ABOVE_ZERO, "above 0 mm2"),
        },
    ),
    Formula(
        resistance_at_temperature,
        {"resistance_20": 4.61, "temperature_c": 70, "coefficient": 0.00393},
        {
            "resistance_20": (NOT_NEGATIVE, "0 ohm or more"),
            "temperature_c": ([-50.001, 250.001], "-50 to 250 degC"),
            "coefficient": ([-0.0001, 0.01001, 0.4], "0 to 0.01 1/K"),
        },
    ),
    Formula(
        conductor_resistance,
        {"area_mm2": 4, "length_m": 20, "temperature_c": 70, "conductor_class": 5},
        CABLE,
        scalars=("conductor_class",),
    ),
    Formula(
        voltage_drop,
        {
            "current": 16, "length_m": 20, "area_mm2": 4, "phases": 3, "power_factor": 0.9,
            "temperature_c": 70, "conductor_class": 5, "reactance_per_m": 1e-4,
        },
        ON_PHASES | {
            "power_factor": ([-0.001, 1.001, 80], "0 to 1"),
            "reactance_per_m": (NOT_NEGATIVE, "0 ohm/m or more"),
        },
        scalars=("conductor_class",),
    ),
    Formula(
        circuit.voltage_drop_percent,
        {"drop": 3.5, "voltage": 230},
        {"drop": (NOT_NEGATIVE, "0 V or more"), "voltage": (ABOVE_ZERO, "above 0 V")},
    ),
    Formula(voltage_drop_limit, {"length_m": 140}, {"length_m": (NOT_NEGATIVE, "0 m or more")}),
    Formula(
        cable_loss,
        {
            "current": 16, "length_m": 20, "area_mm2": 4, "phases": 3, "temperature_c": 70,
            "conductor_class": 5,
        },
        ON_PHASES,
        scalars=("conductor_class",),
    ),
    Formula(
        design_current,
        {"power": 11_000, "voltage": 400, "phases": 3, "power_factor": 0.9},
        {
            "power": (NOT_NEGATIVE, "0 W or more"),
            "voltage": (ABOVE_ZERO, "above 0 V"),
            "phases": ([0, 2, 4], "1 or 3"),
            "power_factor": ([0.0, -0.001, 1.001, 80], "above 0, up to 1"),
        },
    ),
    Formula(next_breaker, {"current": 33}, {"current": ([-0.001, 6000.001], "0 to 6000 A")}),
    Formula(
        protection.check_overload,
        {"design_current": 32, "breaker_rating": 40, "cable_capacity": 46, "tripping_factor": 1.45},
        {
            "design_current": (NOT_NEGATIVE, "0 A or more"),
            "breaker_rating": (ABOVE_ZERO, "above 0 A"),
            "cable_capacity": (ABOVE_ZERO, "above 0 A"),
            "tripping_factor": ([0.999, 3.001], "1 to 3"),
        },
        scalars=("design_current", "breaker_rating", "cable_capacity", "tripping_factor"),
        no_float=True,
    ),
    Formula(
        protection.electrode_resistance_limit,
        {"residual_ma": 30, "touch_voltage": 25},
        {"residual_ma": (ABOVE_ZERO, "above 0 mA"), "touch_voltage": (NOT_NEGATIVE, "0 V or more")},
    ),
    Formula(
        protection.broken_pen_voltage,
        {"voltage": 230, "load_resistance": 15, "electrode_resistance": 20},
        {
            "voltage": (NOT_NEGATIVE, "0 V or more"),
            "load_resistance": (ABOVE_ZERO, "above 0 ohm"),
            "electrode_resistance": (NOT_NEGATIVE, "0 ohm or more"),
        },
    ),
    Formula(
        protection.ground_fault_trip_time,
        {"current_ma": 30},
        {"current_ma": ([-1, 0, 5.999, 264.001], "6 to 264 mA")},
    ),
]  # fmt: skip
each_formula = pytest.mark.parametrize("formula", FORMULAS, ids=lambda formula: formula.call.__name__)
each_argument = pytest.mark.parametrize(
    ("formula", "argument"),
    [
        pytest.param(formula, name, id=f"{formula.call.__name__}-{name}")
        for formula in FORMULAS
        for name in formula.valid
    ],
)


@each_formula
def test_every_argument_has_a_range_that_is_tested(formula: Formula) -> None:
    assert formula.outside.keys() == formula.valid.keys()


@each_argument
@pytest.mark.parametrize("bad", NO_NUMBERS.values(), ids=NO_NUMBERS)
def test_what_is_no_number_is_refused_by_name(formula: Formula, argument: str, bad: object) -> None:
    with pytest.raises(ValueError, match=rf"^{argument}(\[[\d, ]+\])?: .+ was given; allowed is .+\. Check "):
        formula.call(**formula.valid | {argument: bad})


@each_argument
def test_value_outside_the_range_is_refused_with_name_value_and_range(
    formula: Formula, argument: str
) -> None:
    values, allowed = formula.outside[argument]
    for bad in values:
        with pytest.raises(ValueError) as refusal:  # noqa: PT011  the text is compared below
            formula.call(**formula.valid | {argument: bad})
        given = f"{bad:.12g} {UNITS.get(argument, '')}".rstrip()
        assert str(refusal.value).startswith(f"{argument}: {given} was given; allowed is {allowed}. Check ")
        if argument not in formula.scalars:
            good = formula.valid[argument]
            with pytest.raises(ValueError) as refusal:  # noqa: PT011
                formula.call(**formula.valid | {argument: [good, bad, good]})
            assert str(refusal.value).startswith(f"{argument}[1]: {given} was given")


@each_formula
def test_array_where_one_number_belongs_is_refused(formula: Formula) -> None:
    for argument in formula.scalars:
        with pytest.raises(ValueError, match=rf"^{argument}: shape \(2,\) was given; allowed is one number"):
            formula.call(**formula.valid | {argument: [formula.valid[argument]] * 2})


@each_formula
def test_shapes_that_do_not_broadcast_are_refused(formula: Formula) -> None:
    names = [name for name in formula.valid if name not in formula.scalars]
    for first, second in pairwise(names):
        arrays = {first: np.full(3, formula.valid[first]), second: np.full(2, formula.valid[second])}
        with pytest.raises(
            ValueError, match=r"shape .*allowed is scalars, or arrays of shapes that broadcast"
        ):
            formula.call(**formula.valid | arrays)


@each_formula
def test_scalar_gives_a_float_and_arrays_broadcast_like_the_loop(formula: Formula) -> None:
    if formula.no_float:
        return
    assert type(formula.call(**formula.valid)) is float
    for argument in formula.valid.keys() - set(formula.scalars):
        column = np.full((2, 1), formula.valid[argument])
        rows = {
            name: np.full(3, value)
            for name, value in formula.valid.items()
            if name not in (argument, *formula.scalars)
        }
        result = formula.call(**formula.valid | rows | {argument: column})
        assert isinstance(result, np.ndarray)
        assert result.dtype == np.float64
        assert result.shape == ((2, 3) if rows else (2, 1))
        assert result == pytest.approx(formula.call(**formula.valid), rel=1e-12)


@each_formula
def test_input_arrays_stay_as_they_were(formula: Formula) -> None:
    inputs = {
        name: value if name in formula.scalars else np.full(3, float(value))
        for name, value in formula.valid.items()
    }
    copies = {name: np.copy(value) for name, value in inputs.items()}
    formula.call(**inputs)
    assert all(np.array_equal(inputs[name], copies[name]) for name in inputs)


def test_ends_of_the_ranges_are_accepted() -> None:
    assert resistance_at_temperature(1.0, -50) == pytest.approx(0.72)
    assert resistance_at_temperature(1.0, 250) == pytest.approx(1.92)
    assert resistance_at_temperature(1.0, 70, 0) == 1.0
    assert resistance_at_temperature(1.0, -50, 0.01) == pytest.approx(0.3)
    assert protection.check_overload(0, 10, 20, 1.0).passed
    assert not protection.check_overload(0, 10, 20, 3.0).passed
    assert wire_resistance(1e100, 1e100, 1e-100) == pytest.approx(1e300)
    assert np.isfinite(circuit.voltage_drop_percent(1e100, 1e-100))
    assert np.isfinite(protection.electrode_resistance_limit(1e-100, 1e100))
    assert protection.broken_pen_voltage(1e100, 1e-100, 1e100) == pytest.approx(1e100)
    assert np.isfinite(cable_loss(1e100, 1e100, 1.5, 3, 250, 5))
    assert np.isfinite(voltage_drop(1e100, 1e100, 1.5, 1, 0.5, 250, 5, 1e100))


# ---- Conductors


@given(areas, metres, temperatures, classes)
def test_conductor_is_a_wire_with_the_resistivity_of_its_row(
    area: float, length: float, temperature: float, number: int
) -> None:
    one_metre_of_one_mm2 = conductor_resistance(area, 1.0, 20.0, number) * area
    cold = wire_resistance(one_metre_of_one_mm2, length, area)
    assert conductor_resistance(area, length, temperature, number) == pytest.approx(
        cold * (230 + temperature) / 250, rel=1e-12
    )


def test_conductor_is_stranded_and_at_20_degrees_unless_said_otherwise() -> None:
    assert conductor_resistance(50, 1000) == 0.387
    assert conductor_resistance(50, 1000, 20, 2) == 0.387
    assert conductor_resistance(50, 1000, conductor_class=5) == 0.386


@given(classes)
def test_bigger_conductors_have_less_resistance_but_never_as_little_as_pure_copper(number: int) -> None:
    ohms = conductor_resistance(AREAS, 1000, conductor_class=number)
    assert np.all(np.diff(ohms) < 0)
    assert np.all(ohms > wire_resistance(0.0168, 1000, AREAS))


@given(st.floats(0.0, 100.0), temperatures, st.floats(0.0, 0.01))
def test_temperature_rule_is_a_straight_line_through_20_degrees(
    ohms: float, temperature: float, coefficient: float
) -> None:
    assert resistance_at_temperature(ohms, 20, coefficient) == ohms
    away = temperature - 20
    assume(-70 <= -away <= 230)
    both = resistance_at_temperature(ohms, [20 + away, 20 - away], coefficient)
    assert both.mean() == pytest.approx(ohms, rel=1e-12)
    assert both[0] - both[1] == pytest.approx(2 * away * coefficient * ohms, rel=1e-9, abs=1e-9)


# ---- Voltage drop and losses


@given(amperes, metres, areas, phase_counts, power_factors, classes, st.floats(20, 90))
def test_drop_is_that_of_the_phasors_along_the_load_voltage(
    current: float, length: float, area: float, phases: int, factor: float, number: int, celsius: float
) -> None:
    impedance = conductor_resistance(area, length, celsius, number) + 1j * 0.08e-3 * length
    phasor = current * np.exp(-1j * np.arccos(factor))
    expected = (impedance * phasor).real * (2 if phases == 1 else 1)
    drop = voltage_drop(current, length, area, phases, factor, celsius, number)
    assert drop == pytest.approx(expected, rel=1e-9, abs=1e-9)


@given(amperes, metres, areas, phase_counts, st.floats(0.8, 1.0), classes, st.floats(20, 90))
def test_what_the_formula_leaves_out_stays_below_a_twentieth_of_a_percent(
    current: float, length: float, area: float, phases: int, factor: float, number: int, celsius: float
) -> None:
    drop = voltage_drop(current, length, area, phases, factor, celsius, number)
    assume(drop < 0.04 * 230)
    conductor = conductor_resistance(area, length, celsius, number) + 1j * 0.08e-3 * length
    path = conductor * (2 if phases == 1 else 1)
    exact = abs(230 + path * current * np.exp(-1j * np.arccos(factor))) - 230
    assert -1e-9 <= exact - drop < 0.0005 * 230


def test_defaults_of_the_drop_are_power_factor_one_20_degrees_stranded_and_the_usual_reactance() -> None:
    assert voltage_drop(16, 20, 50, 1) == voltage_drop(16, 20, 50, 1, 1.0, 20, 2)
    assert voltage_drop(16, 20, 50, 1) == pytest.approx(2 * 16 * 0.02 * 0.387)
    assert voltage_drop(100, 200, 50, 3, 0.0) == pytest.approx(100 * 200 * 0.08e-3)
    assert voltage_drop(100, 200, 50, 1, 0.0) == pytest.approx(2 * 100 * 200 * 0.08e-3)
    assert cable_loss(10, 1000, 50, 3) == cable_loss(10, 1000, 50, 3, 20, 2) == pytest.approx(300 * 0.387)


@given(amperes, metres, areas)
def test_single_phase_has_twice_the_drop_of_a_balanced_three_phase_circuit(
    current: float, length: float, area: float
) -> None:
    single, three = voltage_drop(current, length, area, [1, 3])
    assert single == pytest.approx(2 * three, rel=1e-12)


@given(amperes, metres, areas, phase_counts, st.floats(20, 90), classes)
def test_loss_is_drop_times_current_at_power_factor_one(
    current: float, length: float, area: float, phases: int, celsius: float, number: int
) -> None:
    drop = voltage_drop(current, length, area, phases, 1.0, celsius, number)
    loss = cable_loss(current, length, area, phases, celsius, number)
    assert loss == pytest.approx((1 if phases == 1 else 3) * drop * current, rel=1e-9, abs=1e-12)


@given(st.floats(0, 100), st.floats(1, 1000))
def test_percent_and_volts_are_a_round_trip(drop: float, voltage: float) -> None:
    assert circuit.voltage_drop_percent(drop, voltage) * voltage / 100 == pytest.approx(drop, rel=1e-12)


@given(st.floats(0, 1000))
def test_limit_never_falls_with_length_and_gains_half_a_percent_at_most(length: float) -> None:
    low, middle, high = voltage_drop_limit([0, length, 1000])
    assert low == 5.0
    assert high == 5.5
    assert low <= middle <= high
    if length <= 100:
        assert middle == 5.0


def test_limit_is_for_other_uses_from_the_public_network_unless_said_otherwise() -> None:
    assert voltage_drop_limit(10) == 5.0
    assert voltage_drop_limit(10, "lighting") == 3.0
    assert voltage_drop_limit(10, supply="private") == 8.0
    with pytest.raises(
        ValueError, match=r"^use: 'heating' was given; allowed is one of 'lighting', 'other'\."
    ):
        voltage_drop_limit(10, "heating")
    with pytest.raises(
        ValueError, match=r"^supply: 'own' was given; allowed is one of 'public', 'private'\."
    ):
        voltage_drop_limit(10, supply="own")


# ---- Design current and breaker


@given(st.floats(0, 1e5), st.floats(50, 500), st.floats(0.1, 1.0))
def test_design_current_is_the_load_with_its_factor(watts: float, volts: float, factor: float) -> None:
    single, three = (f(watts, volts, factor) for f in (single_phase_current, three_phase_current))
    assert design_current(watts, volts, 1, factor, "iec") == pytest.approx(single, rel=1e-12)
    assert design_current(watts, volts, 3, factor, "iec") == pytest.approx(three, rel=1e-12)
    assert design_current(watts, volts, [1, 3], factor, "nec") == pytest.approx([1.25 * single, 1.25 * three])


def test_design_current_is_single_phase_with_125_percent_unless_said_otherwise() -> None:
    assert design_current(2300, 230) == 12.5
    with pytest.raises(ValueError, match=r"^rule: 'vde' was given; allowed is one of 'nec', 'iec'\."):
        design_current(2300, 230, rule="vde")


@given(st.integers(0, 48_000))
def test_floating_point_dust_never_asks_for_a_bigger_breaker(tenths: int) -> None:
    """Against exact fractions, for every load in tenths of an ampere, by several ways of arithmetic."""
    exact = Fraction(tenths, 10) * Fraction(5, 4)
    sizes = [int(row["rating_a"]) for row in tables.rows("breaker_sizes") if row["series"] == "nec"]
    expected = min(size for size in sizes if size >= exact)
    load = tenths / 10
    for current in (1.25 * load, load + load / 4, load / 0.8, load * 125 / 100, load * 1.1 / 1.1 * 1.25):
        assert next_breaker(current) == expected
    assert next_breaker(design_current(load * 240, 240)) == expected


@pytest.mark.parametrize("series", circuit.BREAKER_SERIES)
def test_a_billionth_above_a_size_is_that_size_and_no_more(series: str) -> None:
    sizes = np.array(
        [float(row["rating_a"]) for row in tables.rows("breaker_sizes") if row["series"] == series]
    )
    assert next_breaker(sizes * (1 + 5e-10), series).tolist() == sizes.tolist()
    assert next_breaker(sizes[:-1] * (1 + 2e-9), series).tolist() == sizes[1:].tolist()
    with pytest.raises(ValueError, match=rf"^current: .* A was given; allowed is 0 to {sizes[-1]:g} A"):
        next_breaker(sizes[-1] * (1 + 2e-9), series)
    assert next_breaker(0, series) == sizes[0]


def test_breaker_series_are_two_and_nec_unless_said_otherwise() -> None:
    assert circuit.BREAKER_SERIES == ("nec", "iec")
    assert next_breaker(33) == next_breaker(33, "nec") == 35
    assert next_breaker(33, "iec") == 40
    with pytest.raises(ValueError, match=r"^series: 'bs' was given; allowed is one of 'nec', 'iec'\."):
        next_breaker(33, "bs")


# ---- Protection


@given(st.floats(0.1, 100), st.floats(0.1, 100), st.floats(0.1, 100), st.floats(1, 3))
def test_overload_conditions_are_the_three_comparisons(
    ib: float, i_n: float, iz: float, factor: float
) -> None:
    close = [abs(a / b - 1) < 1e-8 for a, b in ((ib, i_n), (i_n, iz), (factor * i_n, 1.45 * iz))]
    assume(not any(close))
    result = protection.check_overload(ib, i_n, iz, factor)
    assert result == protection.OverloadCheck(ib <= i_n, i_n <= iz, factor * i_n <= 1.45 * iz)
    assert result.passed == (ib <= i_n <= iz and factor * i_n <= 1.45 * iz)


def test_dust_fails_no_circuit_but_a_millionth_does() -> None:
    up, more = 1 + 5e-10, 1 + 1e-6
    assert protection.check_overload(32 * up, 32, 32).breaker_carries_load
    assert not protection.check_overload(32 * more, 32, 32).breaker_carries_load
    assert protection.check_overload(32, 32 * up, 32).cable_carries_breaker
    assert not protection.check_overload(32, 32 * more, 32).cable_carries_breaker
    assert protection.check_overload(32, 32, 32, 1.45 * up).overload_trips_in_time
    assert not protection.check_overload(32, 32, 32, 1.45 * more).overload_trips_in_time
    assert protection.check_overload(32, 32, 32).passed  # the default is 1.45
    assert not protection.check_overload(32, 32.01, 32).overload_trips_in_time


@given(st.floats(1, 1000), st.floats(1, 100))
def test_electrode_at_its_limit_holds_the_touch_voltage(milliamperes: float, volts: float) -> None:
    limit = protection.electrode_resistance_limit(milliamperes, volts)
    assert limit * milliamperes / 1000 == pytest.approx(volts, rel=1e-12)


@given(st.floats(1, 500), st.floats(0.1, 1000), st.floats(0, 1000))
def test_broken_pen_divides_the_voltage(volts: float, load: float, electrode: float) -> None:
    on_earth = protection.broken_pen_voltage(volts, load, electrode)
    current = (volts - on_earth) / load  # the same current passes load and electrode
    assert on_earth == pytest.approx(current * electrode, rel=1e-9, abs=1e-6)
    assert 0 <= on_earth < volts


@given(st.floats(6, 132))
def test_twice_the_ground_current_is_cleared_in_the_same_share_of_time(milliamperes: float) -> None:
    once, twice = protection.ground_fault_trip_time([milliamperes, 2 * milliamperes])
    assert once / twice == pytest.approx(2**1.43, rel=1e-12)


@pytest.mark.parametrize("key", ["type-z", "", None, 3])
def test_unknown_device_or_mode_lists_the_keys(key: object) -> None:
    for look_up, records in [
        (protection.residual_current_device, protection.RESIDUAL_CURRENT_DEVICES),
        (protection.charging_mode, protection.CHARGING_MODES),
    ]:
        with pytest.raises(ValueError, match=r"^key: .* was given; allowed is one of") as refusal:
            look_up(key)
        assert all(known in str(refusal.value) for known in records)


def test_records_cannot_be_changed() -> None:
    for records in (protection.RESIDUAL_CURRENT_DEVICES, protection.CHARGING_MODES):
        with pytest.raises(TypeError):
            records["other"] = None
        record = next(iter(records.values()))
        with pytest.raises(FrozenInstanceError):
            record.status = "read"
    with pytest.raises(FrozenInstanceError):
        protection.check_overload(32, 32, 32).breaker_carries_load = False


def test_records_say_where_each_cell_comes_from() -> None:
    for records in (protection.RESIDUAL_CURRENT_DEVICES, protection.CHARGING_MODES):
        for key, record in records.items():
            assert record.key == key
            sources = record.source.split(";")
            assert len(record.place.split(";")) == len(sources)
            assert ("from memory" in record.status) == ("trade-memory" in sources)


def test_rooms_offer_what_they_say() -> None:
    assert circuit.conductor_resistance is conductors.conductor_resistance
