"""The front end of a charger: power balance, limits, closed forms, cases side by side, refusals."""

from collections.abc import Callable
from dataclasses import FrozenInstanceError
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from acpower._settled_period import settle
from acpower.front_end import FrontEndPeriod, bridge_with_capacitor, power_factor_corrected
from acpower.harmonic_limits import check_class_a
from acpower.harmonics import harmonics

# Invented working points.
BRIDGE: dict[str, Any] = {
    "voltage": 230.0, "frequency": 50.0, "capacitance": 1e-3, "source_resistance": 0.4,
    "source_inductance": 8e-4, "diode_drop": 1.0, "load_power": 1000.0,
}  # fmt: skip
CORRECTED: dict[str, Any] = {
    "voltage": 230.0, "frequency": 50.0, "load_power": 3600.0, "dc_link_voltage": 400.0,
    "dc_link_capacitance": 1e-3, "inductance": 4e-4, "current_bandwidth": 5000.0, "voltage_bandwidth": 10.0,
}  # fmt: skip
MODELS = [(bridge_with_capacitor, BRIDGE), (power_factor_corrected, CORRECTED)]
each_model = pytest.mark.parametrize(("model", "circuit"), MODELS, ids=["bridge", "corrected"])
each_argument = pytest.mark.parametrize(
    ("model", "circuit", "argument"),
    [
        pytest.param(model, circuit, name, id=f"{model.__name__}-{name}")
        for model, circuit in MODELS
        for name in circuit
    ],
)
MAY_BE_NOUGHT = {"source_resistance", "source_inductance", "diode_drop"}
Model = Callable[..., FrontEndPeriod]


# ---- Power balance and limits


@pytest.mark.parametrize("load", [{"load_power": 1000.0}, {"load_resistance": 80.0}])
def test_power_of_the_bridge_is_that_of_load_resistance_and_diodes(load: dict[str, float]) -> None:
    period = bridge_with_capacitor(230, 50, 1e-3, 0.4, 8e-4, 1.5, **load)
    used = load.get("load_power") or np.mean(period.dc_link_voltage**2) / load["load_resistance"]
    lost = 0.4 * period.rms_current**2 + 2 * 1.5 * np.mean(np.abs(period.mains_current))
    assert period.active_power == pytest.approx(used + lost, rel=2e-4)
    assert lost > 0.01 * used


def test_power_factor_stage_takes_what_the_load_takes() -> None:
    assert power_factor_corrected(**CORRECTED).active_power == pytest.approx(3600, rel=1e-5)


@given(st.floats(200, 3000), st.floats(5e-4, 2e-3))
@settings(max_examples=8)
def test_every_bridge_delivers_its_load(watts: float, farads: float) -> None:
    period = bridge_with_capacitor(230, 50, farads, 0.4, load_power=watts)
    lost = 0.4 * period.rms_current**2 + 2 * 1.0 * np.mean(np.abs(period.mains_current))
    assert period.active_power == pytest.approx(watts + lost, rel=1e-3)
    assert period.dc_link_voltage.max() < np.sqrt(2) * 230 - 2
    assert 0.3 < period.power_factor < 0.9


@given(st.floats(100, 3600), st.floats(3, 20))
@settings(max_examples=8)
def test_every_power_factor_stage_follows_its_closed_forms(watts: float, bandwidth: float) -> None:
    """Power balance of the DC link: ripple P / (2 ω C V) to either side, and the 3rd harmonic from it."""
    period = power_factor_corrected(230, 50, watts, 400, 1e-3, voltage_bandwidth=bandwidth)
    assert period.active_power == pytest.approx(watts, rel=1e-4)
    amplitude = watts / (2 * 2 * np.pi * 50 * 1e-3 * 400)
    assert period.ripple == pytest.approx(2 * amplitude, rel=1e-2)
    third = period.harmonic_currents[2] / period.harmonic_currents[0]
    assert third == pytest.approx(bandwidth / (4 * 50), rel=0.03, abs=1e-3)


def test_ripple_swings_at_twice_the_mains_frequency() -> None:
    link = power_factor_corrected(**CORRECTED).dc_link_voltage
    swing = harmonics(link, highest=6)
    assert np.argmax(swing) == 1
    assert np.sqrt(2) * swing[1] == pytest.approx(3600 / (2 * 100 * np.pi * 1e-3 * 400), rel=1e-2)
    assert swing[[0, 2, 4]] == pytest.approx(0, abs=1e-9)


def test_smaller_capacitor_brings_the_bridge_to_a_resistor() -> None:
    factors = bridge_with_capacitor(
        230, 50, [1e-3, 1e-4, 1e-5, 1e-6], 0.1, diode_drop=0.0, load_resistance=50.0
    ).power_factor
    assert (np.diff(factors) > 0).all()
    assert factors[0] < 0.6
    assert factors[-1] == pytest.approx(1, abs=2e-4)


def test_weaker_mains_draws_the_current_out() -> None:
    """More resistance or inductance ahead of the bridge: less distortion, as in common practice."""
    by_resistance = bridge_with_capacitor(**BRIDGE | {"source_resistance": [0.3, 0.4, 1.0]})
    by_inductance = bridge_with_capacitor(**BRIDGE | {"source_inductance": [0.0, 4e-4, 8e-4]})
    assert (np.diff(by_resistance.distortion) < 0).all()
    assert (np.diff(by_inductance.distortion) < 0).all()


def test_slow_loop_makes_a_clean_current() -> None:
    period = power_factor_corrected(**CORRECTED | {"voltage_bandwidth": [1.0, 10.0, 30.0]})
    assert (np.diff(period.distortion) > 0).all()
    assert period.power_factor[0] > 0.9998
    assert np.max(period.dc_link_voltage) < 420


def test_slow_loop_is_stepped_ahead_instead_of_waited_for() -> None:
    """A loop of 0.05 Hz would need thousands of half periods to settle by itself."""
    period = power_factor_corrected(**CORRECTED | {"voltage_bandwidth": 0.05})
    assert period.active_power == pytest.approx(3600, rel=1e-5)


def test_one_kilowatt_behind_a_plain_bridge_passes_the_limit_and_a_corrected_one_does_not() -> None:
    plain = check_class_a(bridge_with_capacitor(**BRIDGE).harmonic_currents)
    corrected = check_class_a(power_factor_corrected(**CORRECTED | {"load_power": 1000.0}).harmonic_currents)
    assert not plain.within[plain.order == 3].item()
    assert corrected.within.all()


# ---- The record


@each_model
def test_period_is_sampled_evenly_and_turns_round_at_its_half(model: Model, circuit: dict[str, Any]) -> None:
    period = model(**circuit)
    assert period.time_s == pytest.approx(np.arange(1000) * 2e-5)
    assert period.mains_voltage == pytest.approx(np.sqrt(2) * 230 * np.sin(100 * np.pi * period.time_s))
    assert period.mains_current[500:] == pytest.approx(-period.mains_current[:500])
    assert period.dc_link_voltage[500:] == pytest.approx(period.dc_link_voltage[:500])
    assert period.harmonic_currents.shape == (40,)
    assert period.harmonic_currents[1::2] == pytest.approx(0, abs=1e-9)
    with pytest.raises(FrozenInstanceError):
        period.time_s = None


def test_derived_values_of_a_current_made_to_measure() -> None:
    turn = 2 * np.pi * np.arange(200) / 200
    current = np.sqrt(2) * (10 * np.sin(turn - np.arccos(0.8)) + 3 * np.sin(2 * turn) + 4 * np.sin(5 * turn))
    period = FrontEndPeriod(turn, np.sqrt(2) * 230 * np.sin(turn), current, 400 + 5 * np.sin(2 * turn))
    assert period.rms_current == pytest.approx(np.sqrt(125))
    assert period.active_power == pytest.approx(230 * 10 * 0.8)
    assert period.displacement_factor == pytest.approx(0.8)
    assert period.distortion == pytest.approx(0.5)
    assert period.power_factor == pytest.approx(0.8 / np.sqrt(1.25))
    assert period.ripple == pytest.approx(10)
    assert period.harmonic_currents[:6] == pytest.approx([10, 3, 0, 0, 4, 0], abs=1e-9)
    for name in (
        "rms_current",
        "active_power",
        "power_factor",
        "displacement_factor",
        "distortion",
        "ripple",
    ):
        assert type(getattr(period, name)) is float


@each_argument
def test_cases_side_by_side_are_the_cases_one_by_one(
    model: Model, circuit: dict[str, Any], argument: str
) -> None:
    values = circuit[argument] * np.array([1.0, 0.95])
    side_by_side = model(**circuit | {argument: values})
    assert side_by_side.mains_current.shape == side_by_side.mains_voltage.shape == (2, 1000)
    assert side_by_side.dc_link_voltage.shape == (2, 1000)
    for index, value in enumerate(values):
        single = model(**circuit | {argument: float(value)})
        assert type(single.rms_current) is float
        assert side_by_side.mains_current[index] == pytest.approx(single.mains_current, abs=1e-3)
        assert side_by_side.mains_voltage[index] == pytest.approx(single.mains_voltage)
        assert side_by_side.dc_link_voltage[index] == pytest.approx(single.dc_link_voltage, abs=1e-2)
        assert side_by_side.power_factor[index] == pytest.approx(single.power_factor, abs=1e-5)
        time = side_by_side.time_s[index] if argument == "frequency" else side_by_side.time_s
        assert time == pytest.approx(single.time_s)
    assert not np.array_equal(*side_by_side.mains_current)


@each_model
def test_arguments_broadcast_against_one_another(model: Model, circuit: dict[str, Any]) -> None:
    load = circuit["load_power"] * np.array([[1.0], [0.5]])
    voltage = np.array([220.0, 230.0, 240.0])
    period = model(**circuit | {"load_power": load, "voltage": voltage})
    assert period.mains_voltage.shape == period.mains_current.shape == (2, 3, 1000)
    assert period.power_factor.shape == (2, 3)
    single = model(**circuit | {"load_power": float(load[1, 0]), "voltage": 240.0})
    assert period.rms_current[1, 2] == pytest.approx(single.rms_current, rel=1e-4)


# ---- How a period is found


def drifting(change: float) -> Callable[[Any], Any]:
    """Return a circuit whose largest sample changes by a share of itself in every half period."""

    def half_period(state: tuple[np.ndarray, ...]) -> Any:
        calls.append(state)
        grown = state[0] * (1 + change)
        samples = np.array([0.5, 1.0, 0.1])[:, np.newaxis] * grown
        return samples, samples, (grown,)

    calls: list[Any] = []
    half_period.calls = calls
    return half_period


def test_period_has_settled_when_a_millionth_of_the_largest_sample_is_left() -> None:
    settle(drifting(0.999e-6), (np.ones(2),), ("load_power", np.array(5.0), "W"))
    unsettled = drifting(1.001e-6)
    with pytest.raises(ValueError, match=r"^load_power\[0\]: 5 W was given; allowed is a load under which"):
        settle(unsettled, (np.ones(2),), ("load_power", np.array(5.0), "W"))
    assert len(unsettled.calls) == 200


@pytest.mark.parametrize("still", ["current", "link"])
def test_period_has_settled_only_when_current_and_voltage_have(still: str) -> None:
    def half_period(state: tuple[np.ndarray, ...]) -> Any:
        grown = state[0] * 1.001
        steady = np.ones((3, 1))
        pair = (steady, steady * grown) if still == "current" else (steady * grown, steady)
        return *pair, (grown,)

    with pytest.raises(ValueError, match=r"^load_power"):
        settle(half_period, (np.ones(1),), ("load_power", np.array(5.0), "W"))


@pytest.mark.parametrize("change", [-2.0, -1.0])
def test_empty_capacitor_ends_the_search_at_once(change: float) -> None:
    falling = drifting(change)
    with pytest.raises(ValueError, match=r"^load_power\[0\]: 5 W was given"):
        settle(falling, (np.ones(2),), ("load_power", np.array(5.0), "W"))
    assert len(falling.calls) == 1


def test_capacitor_at_a_low_voltage_is_not_empty() -> None:
    currents, links = settle(drifting(0.0), (np.full(2, 1e-3),), ("load_power", np.array(5.0), "W"))
    assert links.min() == currents.min() == pytest.approx(1e-4)


def test_load_beyond_the_mains_is_refused_with_its_place() -> None:
    with pytest.raises(ValueError, match=r"^load_power\[1\]: 40000 W was given; allowed is a load"):
        bridge_with_capacitor(**BRIDGE | {"load_power": [1000.0, 40_000.0]})
    with pytest.raises(ValueError, match=r"^load_power: 3600 W was given; allowed is a load"):
        power_factor_corrected(**CORRECTED | {"dc_link_capacitance": 1e-5})


def test_circuit_that_swings_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^load_power: 3500 W was given; .+ the circuit swings"):
        bridge_with_capacitor(230, 50, 1e-3, 0.1, 3e-3, load_power=3500.0)


def test_capacitor_that_never_needs_charge_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^load_resistance: 50 ohm was given; allowed is a load"):
        bridge_with_capacitor(230, 50, 1e6, 0.4, load_resistance=50.0)


# ---- Refusals


@each_argument
@pytest.mark.parametrize("bad", [-1.0, float("nan"), float("inf"), True, "5", None, [], 1j])
def test_what_is_no_magnitude_is_refused_by_name(
    model: Model, circuit: dict[str, Any], argument: str, bad: object
) -> None:
    if bad is None and argument == "load_power" and model is bridge_with_capacitor:
        argument = "load_power or load_resistance"
        circuit = {name: value for name, value in circuit.items() if name != "load_power"}
        with pytest.raises(ValueError, match=rf"^{argument}: none was given; allowed is exactly one"):
            model(**circuit)
        return
    with pytest.raises(ValueError, match=rf"^{argument}: .+ was given; allowed is .+\. Check "):
        model(**circuit | {argument: bad})


@each_argument
def test_nought_is_refused_where_the_circuit_needs_a_value(
    model: Model, circuit: dict[str, Any], argument: str
) -> None:
    if argument in MAY_BE_NOUGHT:  # an inductance alone would swing
        assert model(**circuit | {"source_inductance": 0.0, argument: 0.0}).rms_current > 1
    else:
        with pytest.raises(ValueError, match=rf"^{argument}: 0 .+ was given; allowed is above 0"):
            model(**circuit | {argument: 0.0})


@pytest.mark.parametrize("bad", [0.0, -50.0, float("nan"), "50"])
def test_load_resistance_is_checked(bad: object) -> None:
    with pytest.raises(ValueError, match=r"^load_resistance: .+ was given; allowed is above 0 ohm"):
        bridge_with_capacitor(230, 50, 1e-3, 0.4, load_resistance=bad)


def test_two_loads_are_refused() -> None:
    with pytest.raises(
        ValueError, match=r"^load_power or load_resistance: both was given; allowed is exactly"
    ):
        bridge_with_capacitor(**BRIDGE, load_resistance=50.0)


@each_model
def test_shapes_that_do_not_broadcast_are_refused_by_name(model: Model, circuit: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=r"^voltage and load_power: shape .*\(3,\) with \(2,\)"):
        model(**circuit | {"voltage": [230.0] * 3, "load_power": [500.0] * 2})


def test_diode_drop_stays_below_half_the_peak() -> None:
    half = 0.5 * np.sqrt(2) * 230
    barely = bridge_with_capacitor(230, 50, 1e-3, 0.4, 0, half - 0.02, load_resistance=50.0)
    assert 0 < barely.dc_link_voltage.max() < 0.04
    for drop in (half, [1.0, 200.0]):
        with pytest.raises(
            ValueError, match=r"^diode_drop.*: (162\.6|200).* V was given; allowed is less than"
        ):
            bridge_with_capacitor(230, 50, 1e-3, 0.4, 0, drop, load_resistance=50.0)


def test_boost_stage_needs_more_than_the_peak() -> None:
    assert power_factor_corrected(230, 50, 100, 325.5, 1e-3).rms_current > 0.1
    for volts in (325.0, [400.0, 325.0], np.sqrt(2) * 230):
        with pytest.raises(
            ValueError, match=r"^dc_link_voltage.*: 325.* V was given; allowed is more than the"
        ):
            power_factor_corrected(230, 50, 100, volts, 1e-3)


def test_voltage_loop_is_not_faster_than_the_mains() -> None:
    assert power_factor_corrected(230, 50, 100, 400, 1e-3, voltage_bandwidth=50).rms_current > 0.1
    with pytest.raises(
        ValueError, match=r"^voltage_bandwidth: 50\.1 Hz was given; allowed is .* up to the mains"
    ):
        power_factor_corrected(230, 50, 100, 400, 1e-3, voltage_bandwidth=50.1)


@each_argument
@pytest.mark.parametrize("extreme", [1e-99, 1e99])
def test_extreme_values_end_in_a_period_or_a_refusal(
    model: Model, circuit: dict[str, Any], argument: str, extreme: float
) -> None:
    try:
        period = model(**circuit | {argument: extreme})
        found = [period.power_factor, period.distortion, period.ripple]
        outcome = f"finite: {np.isfinite(found).all()}"
    except ValueError as refusal:
        outcome = str(refusal)
    assert outcome == "finite: True" or " was given; allowed is " in outcome
