"""Pilot and proximity circuits: Kirchhoff's laws as a second route, round trips, limits, refusals."""

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from published import half_of_last_digit
from scipy import optimize
from test_formulas_properties import NO_NUMBERS

from acpower import tables
from acpower.pilot import state_from_voltage
from acpower.pilot_circuit import (
    diode_found,
    negative_plateau,
    plateau_limits,
    plateau_voltage,
    recognition_limits,
    resistance_from_plateau,
    vehicle_resistance,
)
from acpower.proximity import (
    PROXIMITY_CONDITIONS,
    proximity_condition,
    proximity_limits,
    proximity_voltage,
)

ohms = st.floats(1.0, 1e6)
supplies = st.floats(5.0, 20.0)
drops = st.floats(0.0, 2.0)


# ---- Kirchhoff's laws, solved as linear equations


def pilot_by_node_equations(
    resistors: list[float], source: float = 12.0, series: float = 1000.0, drop: float = 0.7
) -> float:
    """Solve for the pilot, the node behind the diode and the current through the diode.

    Resistors lie in parallel behind the diode; the diode is a voltage source while it conducts. A
    current against its direction means that it blocks, and the pilot floats up to the source.
    """
    behind = sum(1 / resistor for resistor in resistors)
    equations = np.array([[1 / series, 0.0, 1.0], [0.0, behind, -1.0], [1.0, -1.0, 0.0]])
    pilot, _, current = np.linalg.solve(equations, [source / series, 0.0, drop])
    return float(pilot) if current > 0 else source


def proximity_by_node_equations(
    plug: list[float], supply: float = 5.0, pull_up: float = 330.0, pull_down: float = 2700.0
) -> float:
    """Solve for the contact and the nodes between the resistors of the plug, which lie in series."""
    nodes = max(len(plug), 1)
    conductances = np.zeros((nodes, nodes))
    conductances[0, 0] = 1 / pull_up + 1 / pull_down
    for node, resistor in enumerate(plug):
        conductances[node, node] += 1 / resistor
        if node + 1 < nodes:
            conductances[node + 1, node + 1] += 1 / resistor
            conductances[node, node + 1] = conductances[node + 1, node] = -1 / resistor
    feeds = np.zeros(nodes)
    feeds[0] = supply / pull_up
    return float(np.linalg.solve(conductances, feeds)[0])


BRANCHES = {"B": [2740.0], "C": [2740.0, 1300.0], "D": [2740.0, 270.0]}
PLUGS = {"not plugged": [], "button pressed": [150.0, 330.0], "latched": [150.0]}


@given(ohms, st.floats(-20.0, 20.0), st.floats(100.0, 1e4), drops)
def test_plateau_against_node_equations(vehicle: float, source: float, series: float, drop: float) -> None:
    assert plateau_voltage(vehicle, source, series, drop) == pytest.approx(
        pilot_by_node_equations([vehicle], source, series, drop), abs=1e-6
    )


@pytest.mark.parametrize("state", BRANCHES)
def test_nominal_level_of_each_state_against_node_equations(state: str) -> None:
    level = pilot_by_node_equations(BRANCHES[state])
    assert plateau_voltage(vehicle_resistance(state)) == pytest.approx(level, rel=1e-12)
    assert plateau_limits(state).nominal == pytest.approx(level, rel=1e-12)
    assert state_from_voltage(level) == state
    (row,) = (row for row in tables.rows("pilot_states") if row["state"] == state)
    assert level == pytest.approx(float(row["positive_v"]), abs=0.1)
    assert vehicle_resistance(state) == pytest.approx(
        float(row["vehicle_ohm"]), abs=half_of_last_digit(row["vehicle_ohm"])
    )


def extremes(level: Callable[[np.ndarray], float], bounds: list[tuple[float, float]]) -> tuple[float, float]:
    """Let scipy search the box of tolerances for the lowest and the highest level."""
    scale = np.array(bounds)
    middle = scale.mean(axis=1)

    def scaled(x: np.ndarray) -> float:
        return level(middle + x * (scale[:, 1] - middle))

    box = [(-1.0, 1.0)] * len(bounds)
    lowest = optimize.minimize(scaled, np.zeros(len(bounds)), bounds=box)
    highest = optimize.minimize(lambda x: -scaled(x), np.zeros(len(bounds)), bounds=box)
    return float(lowest.fun), float(-highest.fun)


@pytest.mark.parametrize("state", BRANCHES)
def test_worst_case_of_the_pilot_against_a_search_with_scipy(state: str) -> None:
    bounds = [(11.4, 12.6), (970, 1030), (0.55, 0.85), *((0.97 * r, 1.03 * r) for r in BRANCHES[state])]
    low, high = extremes(lambda x: pilot_by_node_equations(list(x[3:]), x[0], x[1], x[2]), bounds)
    limits = plateau_limits(state)
    assert (limits.low, limits.high) == pytest.approx((low, high), abs=1e-6)
    # the window set "component" is this, rounded
    (row,) = (
        row
        for row in tables.rows("pilot_windows")
        if (row["window_set"], row["state"]) == ("component", state)
    )
    assert limits.low == pytest.approx(float(row["low_v"]), abs=half_of_last_digit(row["low_v"]))
    assert limits.high == pytest.approx(float(row["high_v"]), abs=half_of_last_digit(row["high_v"]))


@pytest.mark.parametrize("condition", PROXIMITY_CONDITIONS)
def test_worst_case_of_the_proximity_against_a_search_with_scipy(condition: str) -> None:
    plug = PLUGS[condition]
    bounds = [(4.75, 5.25), (297, 363), (2430, 2970), *((0.9 * r, 1.1 * r) for r in plug)]
    low, high = extremes(lambda x: proximity_by_node_equations(list(x[3:]), x[0], x[1], x[2]), bounds)
    limits = proximity_limits(condition)
    assert (limits.low, limits.high) == pytest.approx((low, high), abs=1e-6)
    assert limits.nominal == pytest.approx(proximity_by_node_equations(plug), rel=1e-9)


@pytest.mark.parametrize(
    ("state", "branch", "beside"), [("B", (1870, 2740, 4610), []), ("C", (909, 1300, 1723), [2740])]
)
def test_recognition_limits_against_node_equations(
    state: str, branch: tuple[float, ...], beside: list[float]
) -> None:
    limits = recognition_limits(state)
    levels = [pilot_by_node_equations([resistor, *beside]) for resistor in branch]
    assert [limits.low, limits.nominal, limits.high] == pytest.approx(levels, rel=1e-12)
    # wider than what sound parts make, and within the detection window of 1 V on either side
    assert limits.low < plateau_limits(state).low
    assert state_from_voltage([limits.low, limits.high]).tolist() == [state, state]


@given(ohms, st.floats(1.0, 12.0), st.floats(10.0, 1e4), st.floats(100.0, 1e5))
def test_proximity_against_node_equations(plug: float, supply: float, up: float, down: float) -> None:
    assert proximity_voltage(plug, supply, up, down) == pytest.approx(
        proximity_by_node_equations([plug], supply, up, down), rel=1e-9
    )


# ---- Round trips and limits


@given(st.floats(10.0, 1e5), supplies, st.floats(100.0, 1e4), drops)
def test_resistance_and_plateau_are_a_round_trip(
    vehicle: float, source: float, series: float, drop: float
) -> None:
    level = plateau_voltage(vehicle, source, series, drop)
    assert resistance_from_plateau(level, source, series, drop) == pytest.approx(vehicle, rel=1e-6)


@given(st.lists(ohms, min_size=2, max_size=6, unique=True))
def test_more_resistance_means_a_higher_level(resistances: list[float]) -> None:
    for level in (plateau_voltage, proximity_voltage):
        levels = level(np.sort(resistances))
        assert all(low <= high for low, high in pairwise(levels))


def test_ends_of_the_pilot_divider() -> None:
    assert plateau_voltage(0.0) == 0.7  # the diode alone
    assert plateau_voltage(0.0, diode_drop=0.0) == 0.0  # a short before the diode: state E
    assert plateau_voltage(1e12) == pytest.approx(12.0)
    assert plateau_voltage(1000.0, diode_drop=0.0) == 6.0
    assert plateau_voltage(1000.0, 0.5) == 0.5  # below the forward voltage nothing flows
    assert plateau_voltage(1000.0, 0.7) == 0.7
    assert plateau_voltage([1.0, 1e6], -12.0).tolist() == [-12.0, -12.0]


def test_ends_of_the_inverse() -> None:
    assert resistance_from_plateau(0.7) == 0.0
    assert resistance_from_plateau(6.0, diode_drop=0.0) == 1000.0
    allowed = "allowed is from the forward voltage of the diode up to below the source voltage"
    for level in (0.69, 12.0, 12.6, -12.0):
        with pytest.raises(ValueError, match=rf"^positive_level: {level:g} V was given; {allowed}"):
            resistance_from_plateau(level)
    with pytest.raises(ValueError, match=r"^positive_level\[1\]: 0.1 V"):
        resistance_from_plateau([6.0, 0.1])
    assert resistance_from_plateau(np.nextafter(12.0, 0.0)) > 1e12


def test_ends_of_the_proximity_divider() -> None:
    assert proximity_voltage(0.0) == 0.0
    assert proximity_voltage(150.0, 0.0) == 0.0
    assert proximity_voltage(1e12) == pytest.approx(5 * 2700 / 3030)
    assert proximity_voltage(660.0, 6.0, 330.0, 660.0) == pytest.approx(3.0)


def test_diode_shows_in_the_negative_half() -> None:
    assert negative_plateau(2740) == -12.0
    assert negative_plateau([0, 882, 1e6]).tolist() == [-12.0] * 3
    for state, resistors in BRANCHES.items():
        shorted = negative_plateau(vehicle_resistance(state), diode_shorted=True)
        conducting = np.linalg.solve([[1 / 1000 + sum(1 / r for r in resistors)]], [-12 / 1000])[0]
        assert shorted == pytest.approx(float(conducting))
        assert diode_found(shorted) is False
    assert negative_plateau(0, diode_shorted=True) == 0.0
    assert negative_plateau(1e12, diode_shorted=True) == pytest.approx(-12.0)
    assert diode_found(negative_plateau(2740)) is True


def test_diode_is_found_from_the_lowest_to_the_highest_level_of_an_unloaded_station() -> None:
    """-12.6 to -11.4 V: public bring-up guide of a station, section Control Pilot."""
    levels = [np.nextafter(-12.6, -20), -12.6, -12, -11.4, np.nextafter(-11.4, 0), 12.0]
    assert diode_found(levels).tolist() == [False, True, True, True, False, False]


def test_bands_of_the_proximity_contact_do_not_touch() -> None:
    bands = [proximity_limits(condition) for condition in PROXIMITY_CONDITIONS]
    assert PROXIMITY_CONDITIONS == ("not plugged", "button pressed", "latched")
    for higher, lower in pairwise(bands):
        assert lower.low < lower.nominal < lower.high < higher.low
    for band, condition in zip(bands, PROXIMITY_CONDITIONS, strict=True):
        assert proximity_condition([band.low, band.nominal, band.high]).tolist() == [condition] * 3
        for outside in (np.nextafter(band.low, -1), np.nextafter(band.high, 9)):
            with pytest.raises(
                ValueError, match=r"^voltage: .* V was given; allowed is 4.13 to 4.77 V \(not plu"
            ):
                proximity_condition(outside)
    assert type(proximity_condition(1.5)) is str


@pytest.mark.parametrize(
    ("function", "quantity", "allowed", "bad"),
    [
        *(
            (vehicle_resistance, "state", "'B', 'C', 'D'", bad)
            for bad in ("A", "E", "F", "b", "B2", "", None, 2)
        ),
        *((plateau_limits, "state", "'B', 'C', 'D'", bad) for bad in ("A", "E", "BC", None)),
        *((recognition_limits, "state", "'B', 'C'", bad) for bad in ("A", "D", "E", None)),
        *(
            (proximity_limits, "condition", "'not plugged', 'button pressed', 'latched'", bad)
            for bad in ("plugged", "", None, ["latched"])
        ),
    ],
)
def test_unknown_state_or_condition_lists_those_that_there_are(
    function: Callable[[Any], object], quantity: str, allowed: str, bad: object
) -> None:
    with pytest.raises(ValueError, match=rf"^{quantity}: .* was given; allowed is one of {allowed}\."):
        function(bad)


# ---- Arrays and refusals

PILOT = {"source_voltage": 12.0, "source_resistance": 1000.0, "diode_drop": 0.7}
ARGUMENTS = {
    plateau_voltage: {"vehicle_resistance": 2740.0, **PILOT},
    resistance_from_plateau: {"positive_level": 9.0, **PILOT},
    negative_plateau: {"vehicle_resistance": 2740.0},
    diode_found: {"negative_level": -12.0},
    proximity_voltage: {
        "plug_resistance": 150.0, "supply_voltage": 5.0, "pull_up": 330.0, "pull_down": 2700.0,
    },
    proximity_condition: {"voltage": 1.5},
}  # fmt: skip
each_argument = pytest.mark.parametrize(
    ("function", "argument"),
    [(function, name) for function, arguments in ARGUMENTS.items() for name in arguments],
    ids=lambda part: getattr(part, "__name__", part),
)


@each_argument
def test_what_is_no_number_is_refused_by_name(function: Callable[..., object], argument: str) -> None:
    for bad in NO_NUMBERS.values():
        with pytest.raises(ValueError, match=rf"^{argument}(\[[\d, ]+\])?: .+ was given; allowed is "):
            function(**ARGUMENTS[function] | {argument: bad})


@each_argument
def test_value_below_its_range_is_refused(function: Callable[..., object], argument: str) -> None:
    if argument in ("source_voltage", "negative_level"):
        return  # with its sign
    zero = argument in ("source_resistance", "pull_up", "pull_down")
    for bad in (-1.0, 0.0) if zero else (-1.0,):
        with pytest.raises(ValueError, match=rf"^{argument}: {bad:g} (V|ohm) was given; allowed is "):
            function(**ARGUMENTS[function] | {argument: bad})


@pytest.mark.parametrize("function", [plateau_voltage, resistance_from_plateau, proximity_voltage])
def test_arguments_broadcast_and_equal_the_loop(function: Callable[..., Any]) -> None:
    first, *others = ARGUMENTS[function]
    factors = np.array([1.0, 1.01, 1.02])
    column = ARGUMENTS[function][first] * np.array([[1.0], [1.03]])
    rows = {name: ARGUMENTS[function][name] * factors for name in others}
    result = function(**{first: column}, **rows)
    assert result.shape == (2, 3)
    for i in range(2):
        for j in range(3):
            one = function(float(column[i, 0]), *(float(rows[name][j]) for name in others))
            assert type(one) is float
            assert result[i, j] == pytest.approx(one, rel=1e-12)
    with pytest.raises(ValueError, match=rf"^{first} and {others[0]}: shape .*\(3,\)"):
        function(np.full((2, 2), ARGUMENTS[function][first]), rows[others[0]])


def test_result_is_finite_at_the_bounds_of_any_quantity() -> None:
    for vehicle in (0.0, 1e-100, 1e100):
        for source in (-1e100, 1e100):
            for series in (1e-100, 1e100):
                assert np.isfinite(plateau_voltage(vehicle, source, series, 1e100))
                assert np.isfinite(proximity_voltage(vehicle, abs(source), series, series))


@pytest.mark.parametrize("diode", [True, False])
def test_negative_plateau_keeps_the_shape(diode: bool) -> None:
    assert type(negative_plateau(100, diode_shorted=diode)) is float
    assert negative_plateau([[100.0, 200.0]], diode_shorted=diode).shape == (1, 2)
