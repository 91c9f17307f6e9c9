"""Power and current of one and of three equal phases, and their neutral, for all values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from acpower import power

volts = st.floats(1.0, 1000.0)
amperes = st.floats(0.0, 500.0)
watts = st.floats(0.0, 1e6)
power_factors = st.floats(0.01, 1.0)


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
