"""The three models of a charger's efficiency: round trips, identities, ends of their ranges."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq, minimize_scalar

from acpower import charger
from acpower.efficiency import ChargerLosses, FixedEfficiency, MeasuredEfficiency

LOSSES = ChargerLosses(11_000, fixed=80, linear=250, quadratic=400)
MEASURED = MeasuredEfficiency([1_400, 3_700, 11_000], [0.80, 0.90, 0.92])
MODELS = [FixedEfficiency(0.9), LOSSES, ChargerLosses(7_400, 60), MEASURED]


@pytest.mark.parametrize("model", MODELS)
@given(st.floats(50, 10_000))
def test_there_and_back(model: Any, watts: float) -> None:
    passed = model.battery_power(watts)
    assert 0 <= passed < watts
    assert model.at(watts) == pytest.approx(passed / watts)
    if passed > 0:
        assert model.grid_power(passed) == pytest.approx(watts, rel=1e-9)


@pytest.mark.parametrize("model", MODELS)
def test_arrays_and_scalars(model: Any) -> None:
    watts = np.array([[500.0, 1_000.0], [2_000.0, 9_000.0]])
    for ask in (model.battery_power, model.grid_power, model.at):
        assert ask(watts) == pytest.approx(np.array([[ask(watt) for watt in row] for row in watts]))
        assert type(ask(500)) is float


@given(st.floats(1, 9_000))
def test_losses_are_inverted_as_a_root_finder_does_it(watts: float) -> None:
    root = brentq(
        lambda grid: grid - 80 - 250 * grid / 11_000 - 400 * (grid / 11_000) ** 2 - watts, 0, 50_000
    )
    assert LOSSES.grid_power(watts) == pytest.approx(root, rel=1e-9)


def test_best_power_is_where_a_minimiser_finds_it() -> None:
    best = minimize_scalar(lambda watts: -LOSSES.at(watts), bounds=(500, 11_000), options={"xatol": 1e-6})
    assert LOSSES.best_power() == pytest.approx(best.x, rel=1e-4)
    assert LOSSES.best_power() == pytest.approx(11_000 * np.sqrt(80 / 400))


def test_below_its_own_losses_a_charger_gives_nothing() -> None:
    assert LOSSES.battery_power([0, 50, 80]).tolist() == [0, 0, 0]
    assert LOSSES.battery_power(100) > 0
    assert LOSSES.grid_power(0) == pytest.approx(81.88, abs=0.01)
    assert ChargerLosses(7_400, 60).grid_power(0) == 60
    assert MEASURED.battery_power([0, 280]).tolist() == [0, 0]
    assert MEASURED.grid_power(0) == pytest.approx(280)


def test_a_measured_point_is_kept_and_the_line_between_two_is_straight() -> None:
    assert MEASURED.at([1_400, 3_700, 11_000]) == pytest.approx([0.80, 0.90, 0.92])
    middle = (1_400 * 0.80 + 3_700 * 0.90) / 2
    assert MEASURED.battery_power((1_400 + 3_700) / 2) == pytest.approx(middle)
    assert MEASURED.battery_power(1_000) == pytest.approx(1_000 - 280)  # the loss of the first point stays
    assert MeasuredEfficiency(2_000, 0.9).battery_power(2_000) == pytest.approx(1_800)


@given(st.floats(0, 1e5), st.floats(0.01, 1))
def test_fixed_efficiency_is_the_arithmetic_of_one_point(watts: float, share: float) -> None:
    model = FixedEfficiency(share)
    assert model.battery_power(watts) == charger.battery_power(watts, share)
    assert model.grid_power(watts) == charger.grid_power(watts, share)
    assert FixedEfficiency([0.8, share]).at(1) == pytest.approx([0.8, share])


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: FixedEfficiency(0), r"efficiency: 0 was given; allowed is above 0, up to 1"),
        (lambda: FixedEfficiency(92), r"efficiency: 92 was given"),
        (lambda: FixedEfficiency(0.9).battery_power(-1), r"ac_power: -1 W was given; allowed is 0 W or more"),
        (lambda: FixedEfficiency(0.9).at(0), r"ac_power: 0 W was given; allowed is above 0 W"),
        (lambda: ChargerLosses(0, 80), r"rated_power: 0 W was given; allowed is above 0 W"),
        (lambda: ChargerLosses(1e4, -1), r"fixed: -1 W was given; allowed is 0 W or more"),
        (lambda: ChargerLosses(1e4, 80, linear=-1), r"linear: -1 W"),
        (lambda: ChargerLosses(1e4, 80, quadratic=-1), r"quadratic: -1 W"),
        (lambda: ChargerLosses([1, 2, 3], [1, 2]), r"rated_power and fixed: shape"),
        (
            lambda: ChargerLosses(1_000, 80, 600, 200),
            r"\(linear \+ 2 \* quadratic\) / rated_power: 1 was given",
        ),
        (lambda: LOSSES.battery_power(-1), r"ac_power: -1 W"),
        (
            lambda: LOSSES.battery_power(147_900),
            r"ac_power: 147900 W was given; allowed is up to 147812 W",
        ),
        (lambda: LOSSES.grid_power(80_000), r"battery_power: 80000 W was given"),
        (lambda: LOSSES.grid_power(-1), r"battery_power: -1 W"),
        (lambda: LOSSES.at(0), r"ac_power: 0 W was given; allowed is above 0 W"),
        (lambda: ChargerLosses(1e4, 80).best_power(), r"quadratic: 0 W was given; allowed is above 0 W"),
        (
            lambda: MeasuredEfficiency([1, 2], [0.9]),
            r"measured points: shape \(2,\) of the power with \(1,\)",
        ),
        (lambda: MeasuredEfficiency([[1, 2]], [[0.9, 0.9]]), r"measured points: shape"),
        (
            lambda: MeasuredEfficiency([2, 1], [0.9, 0.9]),
            r"ac_power\[1\]: 1 W was given; allowed is above the point",
        ),
        (lambda: MeasuredEfficiency([1, 1], [0.8, 0.9]), r"ac_power\[1\]: 1 W"),
        (lambda: MeasuredEfficiency([10, 11], [0.9, 0.8]), r"ac_power \* efficiency\[1\]: 8.8 W"),
        (
            lambda: MeasuredEfficiency([0, 1], [0.9, 0.8]),
            r"ac_power\[0\]: 0 W was given; allowed is above 0 W",
        ),
        (lambda: MEASURED.battery_power(11_001), r"ac_power: 11001 W was given; allowed is up to 11000 W"),
        (
            lambda: MEASURED.grid_power(10_121),
            r"battery_power: 10121 W was given; allowed is up to 10120 W",
        ),
        (lambda: MEASURED.at(0), r"ac_power: 0 W"),
    ],
)
def test_refusals(make: Any, message: str) -> None:
    with pytest.raises(ValueError, match=f"^{message}"):
        make()


def test_ends_that_are_allowed() -> None:
    assert FixedEfficiency(1).grid_power(5) == 5
    assert ChargerLosses(1_000, 0, 599, 200).battery_power(1_000) == pytest.approx(201)
    assert ChargerLosses(1_000, 0).at(1_000) == 1
    assert MEASURED.battery_power(11_000) == pytest.approx(10_120)
    turn = (11_000 - 250) / 800 * 11_000
    assert LOSSES.grid_power(LOSSES.battery_power(turn)) == pytest.approx(turn, rel=1e-5)


def test_a_table_is_kept_as_rows_and_begins_where_nothing_passes() -> None:
    measured = MeasuredEfficiency([1_400, 3_700], [0.80, 0.90])
    assert np.array_equal(measured.ac_power, [1_400, 3_700])
    assert np.array_equal(measured.efficiency, [0.80, 0.90])
    assert measured.battery_power([0, 280, 290]) == pytest.approx([0, 0, 10])
    assert measured.grid_power(0) == pytest.approx(280)
    for share in (0, 80):
        with pytest.raises(ValueError, match=rf"^efficiency: {share} was given; allowed is above 0, up to 1"):
            MeasuredEfficiency(1_400, share)
    losses = ChargerLosses(11_000, 80, 250, 400)
    assert (losses.rated_power, losses.fixed, losses.linear, losses.quadratic) == (11_000, 80, 250, 400)
