"""Powers and unequal loads: identities, equivalences, other routes, broadcasting, refusals."""

from collections.abc import Callable
from dataclasses import FrozenInstanceError
from itertools import product
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_formulas_properties import NO_NUMBERS

from acpower.distorted import NeutralHarmonics, neutral_harmonics, true_power_factor
from acpower.power import (
    PowerComponents,
    neutral_current,
    power_components,
    reactive_power,
    single_phase_current,
    three_phase_current,
)
from acpower.rms import combined_rms, rms, total_harmonic_distortion
from acpower.unbalanced import (
    UnbalancedLoads,
    delta,
    power_of_impedance,
    split_phase,
    star_with_neutral,
    star_without_neutral,
)

TURN = np.exp(-2j * np.pi / 3)
STAR = np.array([1, TURN, TURN**2])

volts = st.floats(50.0, 500.0)
amperes = st.floats(0.0, 100.0)
angles = st.floats(-np.pi, np.pi)
phasors = st.builds(lambda size, angle: size * np.exp(1j * angle), amperes, angles)
loads = st.builds(complex, st.floats(0.0, 20_000.0), st.floats(-10_000.0, 10_000.0))
live_loads = st.builds(complex, st.floats(100.0, 20_000.0), st.floats(-10_000.0, 10_000.0))
three_loads = st.tuples(loads, loads, loads)
three_live_loads = st.tuples(live_loads, live_loads, live_loads)

Connection = Callable[..., UnbalancedLoads]
CONNECTIONS = {star_with_neutral: "phase_voltage", star_without_neutral: "phase_voltage",
               delta: "line_voltage", split_phase: "leg_voltage"}  # fmt: skip
each_connection = pytest.mark.parametrize("connection", CONNECTIONS, ids=lambda function: function.__name__)


def close(value: Any, expected: Any, size: float = 0.0) -> bool:
    """Tell whether two results agree as measured on their size, or on that of what went in."""
    largest = float(np.max(np.abs(expected), initial=max(size, 1e-3)))
    return bool(np.allclose(value, expected, rtol=0, atol=1e-9 * largest))


def complex_power(parts: PowerComponents) -> Any:
    return np.asarray(parts.active) + 1j * np.asarray(parts.reactive)


# ---- Power components


@given(volts, phasors)
def test_power_triangle_closes(voltage: float, current: complex) -> None:
    parts = power_components(voltage, current)
    assert parts.apparent == pytest.approx(voltage * abs(current))
    assert np.hypot(parts.active, parts.reactive) == pytest.approx(parts.apparent)
    assert parts.power_factor * parts.apparent == pytest.approx(parts.active, abs=1e-9)
    assert -1 <= parts.power_factor <= 1
    assert abs(parts.reactive) == pytest.approx(
        reactive_power(parts.apparent, min(abs(parts.power_factor), 1)), abs=1e-6 * (1 + parts.apparent)
    )


@given(volts, amperes, angles, angles)
def test_common_turn_of_both_phasors_changes_nothing(
    voltage: float, current: float, angle: float, turn: float
) -> None:
    turned = np.exp(1j * turn)
    before = power_components(voltage, current * np.exp(1j * angle))
    after = power_components(voltage * turned, current * np.exp(1j * angle) * turned)
    assert after.active == pytest.approx(before.active, abs=1e-7)
    assert after.reactive == pytest.approx(before.reactive, abs=1e-7)


def test_lagging_current_has_positive_reactive_power_and_feeding_back_negative_active() -> None:
    assert power_components(100, -2j) == PowerComponents(0.0, 200.0, 200.0, 0.0)
    assert power_components(100, 2j).reactive == -200.0
    assert power_components(100, -3.0) == PowerComponents(-300.0, 0.0, 300.0, -1.0)


def test_power_factor_without_power_is_one_beside_others() -> None:
    assert power_components(230, 0).power_factor == 1.0
    assert power_components(0, 16j) == PowerComponents(0.0, 0.0, 0.0, 1.0)
    assert power_components(230, [0, 16j, 16]).power_factor.tolist() == [1.0, 0.0, 1.0]


def test_components_are_floats_or_arrays_of_the_broadcast_shape() -> None:
    single = power_components(230, 16)
    assert all(type(part) is float for part in vars(single).values())
    many = power_components([[230], [240j]], [16, 8 - 8j, 0])
    for row, column in product(range(2), range(3)):
        one = power_components([230, 240j][row], [16, 8 - 8j, 0][column])
        for name, value in vars(one).items():
            assert getattr(many, name).shape == (2, 3)
            assert getattr(many, name)[row, column] == pytest.approx(value)
    with pytest.raises(FrozenInstanceError):
        single.active = 0.0


REAL_TOO = {"complex", "complex in an array"}


@pytest.mark.parametrize("name", ["voltage", "current"])
@pytest.mark.parametrize("bad", [value for key, value in NO_NUMBERS.items() if key not in REAL_TOO])
def test_phasor_that_is_no_number_is_refused_by_name(name: str, bad: object) -> None:
    unit = {"voltage": "V", "current": "A"}[name]
    with pytest.raises(
        ValueError, match=rf"^{name}(\[[\d, ]+\])?: .+ was given; allowed is complex numbers in {unit}\."
    ):
        power_components(**{"voltage": 230, "current": 16} | {name: bad})


def test_phasors_may_be_as_large_as_any_quantity() -> None:
    assert power_components(1e100j, 1e100j).active == pytest.approx(1e200)
    with pytest.raises(ValueError, match=r"^current\[1\]: .*1e\+101j A was given"):
        power_components(230, [1, 1e101j])
    with pytest.raises(ValueError, match=r"^voltage and current: shape \(2,\) with \(3,\) was given"):
        power_components([230, 240], [1, 2, 3])


# ---- Unequal loads, equal


@given(volts, loads)
def test_equal_loads_are_the_balanced_circuit(voltage: float, load: complex) -> None:
    line_voltage = voltage * 3**0.5
    size, factor = abs(load), load.real / abs(load) if load.real > 1e-3 else 0.0
    for found in (
        star_with_neutral(voltage, [load] * 3),
        delta(line_voltage, [load] * 3),
        *([star_without_neutral(voltage, [load] * 3)] if size else []),
    ):
        assert close(complex_power(found.total), 3 * load)
        assert close(found.total.apparent, 3 * size)
        if factor:
            balanced = three_phase_current(3 * load.real, line_voltage, factor)
            assert abs(found.line_currents) == pytest.approx(balanced)
            assert close(found.line_currents * np.conj(STAR), found.line_currents[0])
        assert close(neutral_current(found.line_currents) + size, size)


@given(volts, st.builds(complex, st.floats(0.1, 50), st.floats(-20, 20)))
def test_delta_of_three_times_the_impedance_takes_the_same_line_currents_as_the_star(
    voltage: float, ohms: complex
) -> None:
    line_voltage = voltage * 3**0.5
    star = star_without_neutral(voltage, np.full(3, power_of_impedance(voltage, ohms)))
    same = delta(line_voltage, np.full(3, power_of_impedance(line_voltage, 3 * ohms)))
    assert close(same.line_currents, star.line_currents)
    assert close(star.load_currents[0], voltage / ohms)
    assert same.load_currents[0] == pytest.approx(star.load_currents[0] * np.exp(1j * np.pi / 6) / 3**0.5)


@given(volts, three_live_loads)
def test_star_without_neutral_is_a_delta_with_transformed_impedances(
    voltage: float, powers: tuple[complex, ...]
) -> None:
    """The star-delta transformation: the admittance of L1-L2 is Y1 Y2 / (Y1 + Y2 + Y3)."""
    y = np.conj(powers) / voltage**2
    between = y * np.roll(y, -1) / np.sum(y)
    line_voltage = voltage * 3**0.5
    transformed = delta(line_voltage, np.conj(between) * line_voltage**2)
    star = star_without_neutral(voltage, powers)
    assert close(transformed.line_currents, star.line_currents)
    assert close(transformed.total.apparent, star.total.apparent)


@given(volts, three_live_loads)
def test_star_point_against_a_system_of_equations(voltage: float, powers: tuple[complex, ...]) -> None:
    """Kirchhoff: three meshes and one node, solved by numpy.linalg."""
    ohms = voltage**2 / np.conj(powers)
    source = voltage * STAR
    equations = np.array(
        [[ohms[0], 0, 0, 1], [0, ohms[1], 0, 1], [0, 0, ohms[2], 1], [1, 1, 1, 0]], dtype=complex
    )
    *currents, star_point = np.linalg.solve(equations, [*source, 0])
    found = star_without_neutral(voltage, powers)
    assert close(found.load_currents, currents)
    assert found.star_point_voltage == pytest.approx(abs(star_point), abs=1e-7 * voltage)
    assert close(found.load_voltages, source - star_point)
    assert found.neutral_current is None


def test_star_without_neutral_and_one_load_has_no_current() -> None:
    found = star_without_neutral(230, [2300, 0, 0])
    assert found.star_point_voltage == pytest.approx(230)
    assert abs(found.load_voltages) == pytest.approx([0, 230 * 3**0.5, 230 * 3**0.5], abs=1e-9)
    assert found.total.apparent == pytest.approx(0, abs=1e-9)


def test_star_without_neutral_and_two_loads_puts_them_in_series_between_two_lines() -> None:
    found = star_without_neutral(230, power_of_impedance(230, [10, 30, 1e12]))
    assert abs(found.load_currents) == pytest.approx([230 * 3**0.5 / 40] * 2 + [0], abs=1e-6)
    assert abs(found.load_voltages[0]) == pytest.approx(230 * 3**0.5 / 4)


# ---- Unequal loads: power, current law, angles


@each_connection
@given(volts, three_loads)
def test_powers_voltages_and_currents_agree(
    connection: Connection, voltage: float, powers: tuple[complex, ...]
) -> None:
    size = float(np.sum(np.abs(powers)))
    if connection is star_without_neutral and abs(sum(powers)) <= 0.01 * size:
        return  # near a resonance, see below
    found = connection(voltage, powers)
    taken = found.load_voltages * np.conj(found.load_currents)
    assert close(complex_power(found.powers), taken, size)
    assert close(complex_power(found.total), np.sum(complex_power(found.powers)), size)
    assert found.total.apparent == pytest.approx(abs(complex_power(found.total)))
    assert found.total.apparent <= np.sum(found.powers.apparent) + 1e-9 * size
    if connection is not star_without_neutral:
        assert close(taken, powers, size)
    # What the source gives on its lines is what the loads take.
    source = voltage * np.array([1, -1]) if connection is split_phase else voltage * STAR
    if connection is delta:
        source = source / 3**0.5
    assert close(np.sum(source * np.conj(found.line_currents)), np.sum(taken), size)


@given(volts, three_loads)
def test_star_with_neutral_holds_its_phase_voltages(voltage: float, powers: tuple[complex, ...]) -> None:
    found = star_with_neutral(voltage, powers)
    assert close(found.load_voltages, voltage * STAR)
    assert close(found.line_currents, found.load_currents)
    assert found.neutral_current == pytest.approx(abs(np.sum(found.line_currents)), abs=1e-9)
    assert found.star_point_voltage == 0.0
    for current, power in zip(abs(found.line_currents), powers, strict=True):
        assert current == pytest.approx(abs(power) / voltage)


@given(volts, three_loads)
def test_delta_is_fed_by_the_line_voltages_of_the_same_star(
    voltage: float, powers: tuple[complex, ...]
) -> None:
    found = delta(voltage * 3**0.5, powers)
    star = voltage * STAR
    assert close(found.load_voltages, [star[0] - star[1], star[1] - star[2], star[2] - star[0]])
    one, two, three = found.load_currents
    assert close(found.line_currents, [one - three, two - one, three - two])
    assert close(np.sum(found.line_currents) + 1, 1)
    assert found.neutral_current is None
    assert found.star_point_voltage is None


@given(volts, three_loads)
def test_split_phase_carries_the_difference_in_its_neutral(
    voltage: float, powers: tuple[complex, ...]
) -> None:
    found = split_phase(voltage, powers)
    assert close(found.load_voltages, [voltage, -voltage, 2 * voltage])
    first, second, between = found.load_currents
    assert close(found.line_currents, [first + between, second - between])
    assert found.neutral_current == pytest.approx(abs(first + second), abs=1e-9)
    assert found.neutral_current == pytest.approx(abs(powers[0] - powers[1]) / voltage, abs=1e-9)
    assert found.star_point_voltage is None


def test_load_between_the_legs_leaves_the_neutral_idle() -> None:
    found = split_phase(120, [0, 0, 7680])
    assert found.neutral_current == 0.0
    assert found.line_currents == pytest.approx([32, -32])
    assert found.load_voltages[2] == 240
    assert abs(found.line_currents[0]) == single_phase_current(7680, 240)


@given(amperes, st.permutations([0, 1, 2]))
def test_two_phases_of_a_star_load_the_neutral_like_a_line(current: float, order: list[int]) -> None:
    powers = np.array([current * 230, current * 230, 0])[order]
    assert star_with_neutral(230, powers).neutral_current == pytest.approx(current, abs=1e-9)


@pytest.mark.parametrize("place", [0, 1, 2])
def test_one_load_between_two_lines_of_208_volts(place: int) -> None:
    found = delta(208, 6656 * np.eye(3)[place])
    expected = {0: [32, 32, 0], 1: [0, 32, 32], 2: [32, 0, 32]}[place]
    assert abs(found.line_currents) == pytest.approx(expected)
    assert abs(found.line_currents[place] + found.line_currents[(place + 1) % 3]) == pytest.approx(
        0, abs=1e-12
    )


def test_line_currents_of_two_kinds_of_load_add_on_one_supply() -> None:
    """208Y/120: 16 A from L1 to neutral and 32 A from L1 to L2, 30 degrees apart."""
    together = star_with_neutral(120, [1920, 0, 0]).line_currents
    together = together + delta(120 * 3**0.5, [32 * 120 * 3**0.5, 0, 0]).line_currents
    assert abs(together[0]) == pytest.approx(np.sqrt(16**2 + 32**2 + 2 * 16 * 32 * np.cos(np.pi / 6)))
    assert neutral_current(together) == pytest.approx(16)


@pytest.mark.parametrize("factor", [1.0, 0.8])
def test_lagging_load_draws_a_lagging_current(factor: float) -> None:
    load = 2300 * (factor + 1j * np.sqrt(1 - factor**2))
    for connection in CONNECTIONS:
        found = connection(230, [load, load, load])
        angle = np.angle(found.load_voltages / found.load_currents)
        assert angle == pytest.approx(np.arccos(factor))


@each_connection
def test_leading_axes_broadcast_and_equal_the_loop(connection: Connection) -> None:
    voltages = np.array([[230.0], [120.0]])
    powers = np.array([[1000, 2000, 3000 + 500j], [500, 0, 700], [0, 100 + 5j, 9000]])
    many = connection(voltages, powers)
    lines = 2 if connection is split_phase else 3
    assert many.load_voltages.shape == many.load_currents.shape == many.powers.active.shape == (2, 3, 3)
    assert many.line_currents.shape == (2, 3, lines)
    assert many.total.active.shape == (2, 3)
    for row, column in product(range(2), range(3)):
        one = connection(voltages[row, 0], powers[column])
        for name in (
            "load_voltages",
            "load_currents",
            "line_currents",
            "neutral_current",
            "star_point_voltage",
        ):
            if getattr(one, name) is None:
                assert getattr(many, name) is None
            else:
                assert getattr(many, name)[row, column] == pytest.approx(getattr(one, name), abs=1e-9)
        for name, value in vars(one.total).items():
            assert type(value) is float
            assert getattr(many.total, name)[row, column] == pytest.approx(value)
        for name in ("neutral_current", "star_point_voltage"):
            assert type(getattr(one, name)) in (float, type(None))
    with pytest.raises(FrozenInstanceError):
        many.total = None


# ---- Unequal loads: refusals


@each_connection
@pytest.mark.parametrize(
    "bad", [1000, [1000, 1000], np.zeros((3, 2)), [1000, True, 0], ["1", "0", "0"], [np.nan, 0, 0], None, []]
)
def test_there_must_be_three_powers(connection: Connection, bad: object) -> None:
    with pytest.raises(
        ValueError, match=r"^powers(\[\d\])?: .+ was given; allowed is three complex numbers in VA"
    ):
        connection(230, bad)


@each_connection
@pytest.mark.parametrize("bad", [0, -230, 230j, np.inf, "230", [230, 0]])
def test_voltage_must_be_above_zero(connection: Connection, bad: object) -> None:
    with pytest.raises(
        ValueError, match=rf"^{CONNECTIONS[connection]}(\[1\])?: .+ was given; allowed is above 0"
    ):
        connection(bad, [1000, 0, 0])


@each_connection
def test_shapes_must_broadcast(connection: Connection) -> None:
    with pytest.raises(
        ValueError, match=rf"^{CONNECTIONS[connection]} and powers: shape \(2, 1\) with \(3, 3\)"
    ):
        connection([230, 240], np.full((3, 3), 1000))


@pytest.mark.parametrize(
    "idle", [[0, 0, 0], [1000j, -1000j, 0], [1000j, 500j, -1500j], [1000j, -1000.0000005j, 0]]
)
def test_star_point_of_nothing_or_of_a_resonance_is_refused(idle: list[complex]) -> None:
    with pytest.raises(
        ValueError, match=r"^sum of powers: .+ VA was given; .*the sum is not 0 VA\. .* a load is"
    ):
        star_without_neutral(230, idle)
    with pytest.raises(ValueError, match=r"^sum of powers\[1\]: "):
        star_without_neutral(230, [[1000, 0, 0], idle])


def test_near_resonance_is_worked_out() -> None:
    found = star_without_neutral(230, [1000j, -1000.00001j, 0])
    assert found.star_point_voltage > 230 * 1e6


def test_impedance_that_feeds_back_is_refused_in_a_free_star_only() -> None:
    with pytest.raises(
        ValueError, match=r"^powers\[0, 2\]: -1\+0j VA was given; .*active power of 0 W or more"
    ):
        star_without_neutral(230, [[1000, 1000, -1]])
    assert star_with_neutral(230, [-2300, 0, 0]).total.active == pytest.approx(-2300)


# ---- Impedances


@given(st.floats(0, 500), st.builds(complex, st.floats(0.1, 1e3), st.floats(-1e3, 1e3)))
def test_power_of_impedance_is_voltage_times_current(voltage: float, ohms: complex) -> None:
    power = power_of_impedance(voltage, ohms)
    parts = power_components(voltage, voltage / ohms)
    assert type(power) is complex
    assert power.real == pytest.approx(parts.active)
    assert power.imag == pytest.approx(parts.reactive)
    assert (power.imag > 0) == (ohms.imag > 0 and parts.reactive > 0)


def test_power_of_impedance_broadcasts() -> None:
    found = power_of_impedance([[230], [115]], [10, 20j, -5j])
    assert found == pytest.approx(np.array([[5290, 2645j, -10580j], [1322.5, 661.25j, -2645j]]))


@pytest.mark.parametrize(
    ("bad", "allowed"),
    [
        ([10, 0], "not 0 ohm"),
        ([10, 1e-101j], "not 0 ohm"),
        ([10, -1 + 5j], "a resistance of 0 ohm or more"),
        ([10, np.nan], "complex numbers in ohm"),
    ],
)
def test_impedance_out_of_range_is_refused(bad: list[complex], allowed: str) -> None:
    with pytest.raises(ValueError, match=rf"^impedance\[1\]: .+ was given; allowed is {allowed}"):
        power_of_impedance(230, bad)
    assert power_of_impedance(1, 1e-100) == pytest.approx(1e100)
    with pytest.raises(ValueError, match=r"^voltage: -1 V was given"):
        power_of_impedance(-1, 1)
    with pytest.raises(ValueError, match=r"^voltage and impedance: shape"):
        power_of_impedance([1, 2], [1, 2, 3])


# ---- Distorted currents


@given(st.floats(0, 1), st.floats(0, 3), st.floats(0.1, 100))
def test_true_power_factor_against_its_definition(cosine: float, thd: float, fundamental: float) -> None:
    """Active power is that of the fundamental, apparent power has the whole current."""
    harmonics = [0.8 * thd * fundamental, 0.6 * thd * fundamental]
    whole = combined_rms([fundamental, *harmonics])
    expected = 230 * fundamental * cosine / (230 * whole)
    assert true_power_factor(cosine, total_harmonic_distortion(fundamental, harmonics)) == pytest.approx(
        expected
    )
    assert true_power_factor(cosine, 0) == cosine


currents_by_order = st.dictionaries(
    st.sampled_from([1, 2, 3, 5, 7, 9, 11, 13, 15]), st.tuples(amperes, amperes, amperes), min_size=1
)


@given(currents_by_order)
def test_neutral_with_harmonics_against_the_time_domain(currents: dict[int, tuple[float, ...]]) -> None:
    time = np.arange(720) / 720
    lines = [
        sum(
            np.sqrt(2) * values[phase] * np.cos(2 * np.pi * order * (time - phase / 3) + 0.1 * order)
            for order, values in currents.items()
        )
        for phase in range(3)
    ]
    found = neutral_harmonics(currents)
    assert found.neutral_current == pytest.approx(rms(np.sum(lines, axis=0)), abs=1e-9)
    assert found.phase_currents == pytest.approx([rms(line) for line in lines], abs=1e-9)
    assert found.neutral_current == pytest.approx(combined_rms(list(found.by_order.values())), abs=1e-9)
    assert list(found.by_order) == list(currents)


@given(st.integers(1, 60), st.floats(0.1, 100))
def test_harmonics_of_equal_phases_add_or_cancel(order: int, current: float) -> None:
    found = neutral_harmonics({order: current}).by_order[order]
    assert found == pytest.approx(3 * current if order % 3 == 0 else 0, abs=1e-9)


@given(st.floats(0, 2))
def test_third_harmonic_in_the_neutral_against_the_closed_form(k: float) -> None:
    """own-calculation: 3 k / sqrt(1 + k^2), equal to 1 at k = 1 / sqrt 8."""
    found = neutral_harmonics({1: 16, 3: 16 * k})
    ratio = found.neutral_current / found.phase_currents[0]
    assert ratio == pytest.approx(3 * k / np.sqrt(1 + k**2), abs=1e-9)
    assert (ratio > 1) == (k > 8**-0.5) or k == pytest.approx(8**-0.5)


def test_one_value_stands_for_three_phases_beside_orders_with_three() -> None:
    found = neutral_harmonics({1: [20, 10, 10], 3: 2})
    assert isinstance(found, NeutralHarmonics)
    assert found.phase_currents == pytest.approx(np.hypot([20, 10, 10], 2))
    assert dict(found.by_order) == {1: pytest.approx(10), 3: pytest.approx(6)}
    assert type(found.neutral_current) is float
    assert found.neutral_current == pytest.approx(np.hypot(10, 6))
    with pytest.raises(TypeError):
        found.by_order[3] = 0.0


def test_neutral_harmonics_work_over_leading_axes() -> None:
    fundamental = np.array([[[20, 10, 10]], [[16, 16, 16]]])
    third = np.array([[1, 2, 3], [4, 4, 4]])
    many = neutral_harmonics({1: fundamental, 3: third, 9: 1})
    assert many.phase_currents.shape == (2, 2, 3)
    assert many.neutral_current.shape == (2, 2)
    for row, column in product(range(2), range(2)):
        one = neutral_harmonics({1: fundamental[row, 0], 3: third[column], 9: 1})
        assert many.neutral_current[row, column] == pytest.approx(one.neutral_current)
        assert many.phase_currents[row, column] == pytest.approx(one.phase_currents)
        assert many.by_order[3][row, column] == pytest.approx(one.by_order[3])


@pytest.mark.parametrize("bad", [{}, None, [16, 4], 16, "16", {1, 3}])
def test_harmonics_must_come_by_their_order(bad: object) -> None:
    with pytest.raises(
        ValueError, match=r"^currents: .+ was given; allowed is a dictionary such as \{1: 16, 3: 4\}"
    ):
        neutral_harmonics(bad)


@pytest.mark.parametrize("order", [0, -1, 1.5, "3", True, None, 3.0])
def test_order_must_be_a_whole_number(order: object) -> None:
    with pytest.raises(ValueError, match=r"^order: .+ was given; allowed is whole numbers from 1 on"):
        neutral_harmonics({order: 16})


def test_order_may_be_of_any_kind_of_integer_and_any_size() -> None:
    assert neutral_harmonics({np.int64(3): 1}).neutral_current == pytest.approx(3)
    assert neutral_harmonics({3 * 10**30: 1}).neutral_current == pytest.approx(3)


@pytest.mark.parametrize("bad", [-1, [1, -1, 1], [1, 2], [[1, 2, 3, 4]], True, None, "16", 1j, np.nan, []])
def test_current_of_an_order_must_be_one_or_three_magnitudes(bad: object) -> None:
    with pytest.raises(ValueError, match=r"^currents\[3\](\[\d\])?: .+ was given; allowed is "):
        neutral_harmonics({1: 16, 3: bad})


def test_shapes_of_the_orders_must_broadcast() -> None:
    with pytest.raises(ValueError, match=r"currents\[1\] and currents\[3\]: shape \(2, 3\) with \(3, 3\)"):
        neutral_harmonics({1: np.ones((2, 3)), 3: np.ones((3, 3))})
