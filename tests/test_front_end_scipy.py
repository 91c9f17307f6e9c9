"""Both front ends against scipy: other equations, another method, another way of finding the diodes."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from acpower.front_end import FrontEndPeriod, bridge_with_capacitor, power_factor_corrected

SAMPLES = 1000
Waves = tuple[np.ndarray, np.ndarray]


def bridge_by_events(
    voltage: float, frequency: float, capacitance: float, source_resistance: float,
    source_inductance: float, diode_drop: float, load: Callable[[float], float], periods: int,
) -> Waves:  # fmt: skip
    """Integrate from one diode event to the next: conducting one way, the other way, or not at all."""
    end, times = periods / frequency, sample_times(frequency, periods)
    current, link = np.zeros(SAMPLES), np.zeros(SAMPLES)

    def source(t: float) -> float:
        return float(np.sqrt(2) * voltage * np.sin(2 * np.pi * frequency * t))

    def blocking(t: float, state: np.ndarray) -> list[float]:
        return [0.0, -load(state[1]) / capacitance]

    def starts(t: float, state: np.ndarray) -> float:
        return abs(source(t)) - state[1] - 2 * diode_drop

    def conducting(t: float, state: np.ndarray) -> list[float]:
        amperes, volts = state
        across = source(t) - source_resistance * amperes - way * (volts + 2 * diode_drop)
        return [across / source_inductance, (way * amperes - load(volts)) / capacitance]

    def stops(t: float, state: np.ndarray) -> float:
        return way * state[0]

    starts.terminal = stops.terminal = True
    starts.direction, stops.direction = 1, -1
    t, state, way = 0.0, [0.0, np.sqrt(2) * voltage - 2 * diode_drop], 0
    while t < end - 1e-12:
        slope, event = (conducting, stops) if way else (blocking, starts)
        run = solve_ivp(
            slope, (t, end), state, events=event, rtol=1e-8, atol=1e-8, max_step=0.05 / frequency,
            dense_output=True,
        )  # fmt: skip
        inside = (times >= t) & (times <= run.t[-1])
        if inside.any():
            current[inside], link[inside] = run.sol(times[inside])
        t, state = run.t[-1], [0.0, run.y[1, -1]]
        # The other pair of diodes may take over at once.
        drives = way == 0 or starts(t, np.array(state)) > 0
        way = int(np.sign(source(t))) if run.status == 1 and drives else 0
        state[0] = way * 1e-9  # off the event that has just been found
    return current, link


def bridge_without_inductance(
    voltage: float, frequency: float, capacitance: float, source_resistance: float, diode_drop: float,
    load: Callable[[float], float], periods: int,
) -> Waves:  # fmt: skip
    """Without inductance the current follows from the voltages, and one stiff equation is left."""

    def taken(t: Any, link: Any) -> Any:
        source = np.sqrt(2) * voltage * np.abs(np.sin(2 * np.pi * frequency * t))
        return np.maximum(source - 2 * diode_drop - link, 0) / source_resistance

    times = sample_times(frequency, periods)
    run = solve_ivp(
        lambda t, link: (taken(t, link) - load(link[0])) / capacitance,
        (0, periods / frequency), [np.sqrt(2) * voltage - 2 * diode_drop],
        method="LSODA", rtol=1e-8, atol=1e-8, max_step=0.002 / frequency, t_eval=times,
    )  # fmt: skip
    return np.sign(np.sin(2 * np.pi * frequency * run.t)) * taken(run.t, run.y[0]), run.y[0]


def corrected_by_lsoda(
    voltage: float, frequency: float, load_power: float, dc_link_voltage: float, dc_link_capacitance: float,
    inductance: float, current_bandwidth: float, voltage_bandwidth: float, periods: int,
) -> Waves:  # fmt: skip
    """Integrate inductor current and DC-link voltage; the duty of the switch stays between 0 and 1."""
    gain = 2 * np.pi * voltage_bandwidth * dc_link_capacitance * dc_link_voltage

    def slopes(t: float, state: np.ndarray) -> list[float]:
        amperes, link = state
        mains = np.sqrt(2) * voltage * abs(np.sin(2 * np.pi * frequency * t))
        asked = (load_power + gain * (dc_link_voltage - link)) / voltage**2 * mains
        wanted = 2 * np.pi * current_bandwidth * (asked - amperes) * inductance  # voltage of the inductor
        duty = np.clip(1 - (mains - wanted) / link, 0, 1)
        rise = (mains - (1 - duty) * link) / inductance
        if amperes <= 0:
            rise = max(rise, 0.0)
        return [rise, ((1 - duty) * amperes - load_power / link) / dc_link_capacitance]

    times = sample_times(frequency, periods)
    run = solve_ivp(
        slopes, (0, periods / frequency), [0.0, dc_link_voltage],
        method="LSODA", rtol=1e-7, atol=1e-7, max_step=0.01 / frequency, t_eval=times,
    )  # fmt: skip
    way = np.where(np.arange(SAMPLES) < SAMPLES // 2, 1, -1)
    return way * run.y[0], run.y[1]


def sample_times(frequency: float, periods: int) -> np.ndarray:
    """Return the times of the samples of the last of the periods."""
    return (periods - 1 + np.arange(SAMPLES) / SAMPLES) / frequency


def assert_same(period: FrontEndPeriod, waves: Waves, voltage: float, *, of_peak: float) -> None:
    """Compare samples within a share of the peak, and what follows from them within 0.2 %."""
    current, link = waves
    assert np.abs(period.mains_current - current).max() < of_peak * np.abs(current).max()
    assert np.abs(period.dc_link_voltage - link).max() < of_peak * link.max()
    spectrum = np.abs(np.fft.rfft(current)) * np.sqrt(2) / SAMPLES
    effective = np.sqrt(np.mean(current**2))
    power = np.mean(np.sqrt(2) * voltage * np.sin(2 * np.pi * np.arange(SAMPLES) / SAMPLES) * current)
    assert period.rms_current == pytest.approx(effective, rel=2e-3)
    assert period.active_power == pytest.approx(power, rel=2e-3)
    assert period.power_factor == pytest.approx(power / voltage / effective, rel=2e-3)
    assert period.displacement_factor == pytest.approx(power / voltage / spectrum[1], rel=2e-3)
    assert period.distortion == pytest.approx(np.sqrt(np.sum(spectrum[2:41] ** 2)) / spectrum[1], rel=2e-3)
    assert period.ripple == pytest.approx(np.ptp(link), rel=2e-3)
    assert period.harmonic_currents == pytest.approx(spectrum[1:41], abs=1e-3 * spectrum[1])


BRIDGES = {  # invented
    "230 V, 2 kW behind resistance and inductance": (
        {"voltage": 230.0, "frequency": 50.0, "capacitance": 1e-3, "source_resistance": 0.4,
         "source_inductance": 8e-4, "diode_drop": 1.0}, {"load_power": 2000.0},
    ),
    "120 V, 50 ohm behind resistance and inductance": (
        {"voltage": 120.0, "frequency": 60.0, "capacitance": 5e-4, "source_resistance": 0.2,
         "source_inductance": 3e-4, "diode_drop": 0.7}, {"load_resistance": 50.0},
    ),
    "230 V, 20 ohm, current beyond the zero crossing": (
        {"voltage": 230.0, "frequency": 50.0, "capacitance": 1e-4, "source_resistance": 2.0,
         "source_inductance": 3e-2, "diode_drop": 1.0}, {"load_resistance": 20.0},
    ),
    "230 V, 1 kW behind resistance only": (
        {"voltage": 230.0, "frequency": 50.0, "capacitance": 1e-3, "source_resistance": 0.4,
         "source_inductance": 0.0, "diode_drop": 1.0}, {"load_power": 1000.0},
    ),
    "24 V, 10 ohm behind resistance only": (
        {"voltage": 24.0, "frequency": 50.0, "capacitance": 2e-3, "source_resistance": 0.3,
         "source_inductance": 0.0, "diode_drop": 0.9}, {"load_resistance": 10.0},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", BRIDGES)
def test_bridge_against_an_adaptive_integration(name: str) -> None:
    circuit, given = BRIDGES[name]

    def load(volts: float) -> float:
        return given["load_power"] / volts if "load_power" in given else volts / given["load_resistance"]

    if circuit["source_inductance"]:
        waves = bridge_by_events(**circuit, load=load, periods=16)
    else:
        resistive = {key: value for key, value in circuit.items() if key != "source_inductance"}
        waves = bridge_without_inductance(**resistive, load=load, periods=6)
    assert_same(bridge_with_capacitor(**circuit, **given), waves, circuit["voltage"], of_peak=3e-3)


@pytest.mark.parametrize("capacitance", [1e-4, 1e-3])
def test_ideal_bridge_against_its_closed_form(capacitance: float) -> None:
    """Without impedance the capacitor follows the sine, then the load alone: an exponential."""
    ohms, omega = 50.0, 100 * np.pi
    peak = np.sqrt(2) * 230.0
    period = bridge_with_capacitor(230, 50, capacitance, 0, 0, 0, load_resistance=ohms)
    decay = omega * ohms * capacitance
    stop = np.pi - np.arctan(decay)
    start = brentq(
        lambda angle: np.sin(angle) - np.sin(stop) * np.exp(-(np.pi + angle - stop) / decay), 0, np.pi / 2
    )

    def current(angle: float) -> float:
        return float(peak * (omega * capacitance * np.cos(angle) + np.sin(angle) / ohms))

    assert period.ripple == pytest.approx(peak * (1 - np.sin(start)), rel=3e-3)
    square, _ = quad(lambda angle: current(angle) ** 2, start, stop)
    assert period.rms_current == pytest.approx(np.sqrt(square / np.pi), rel=1e-2)
    power, _ = quad(lambda angle: peak * np.sin(angle) * current(angle), start, stop)
    assert period.active_power == pytest.approx(power / np.pi, rel=3e-3)


CORRECTED = {  # invented
    "230 V, 3.6 kW": {
        "voltage": 230.0, "frequency": 50.0, "load_power": 3600.0, "dc_link_voltage": 400.0,
        "dc_link_capacitance": 1e-3, "inductance": 4e-4, "current_bandwidth": 5000.0,
        "voltage_bandwidth": 10.0,
    },
    "120 V, 1.4 kW, quick voltage loop, slow current loop": {
        "voltage": 120.0, "frequency": 60.0, "load_power": 1400.0, "dc_link_voltage": 200.0,
        "dc_link_capacitance": 2e-3, "inductance": 3e-4, "current_bandwidth": 1500.0,
        "voltage_bandwidth": 25.0,
    },
    "230 V, 3 kW, large inductor": {
        "voltage": 230.0, "frequency": 50.0, "load_power": 3000.0, "dc_link_voltage": 380.0,
        "dc_link_capacitance": 6e-4, "inductance": 8e-3, "current_bandwidth": 3000.0,
        "voltage_bandwidth": 15.0,
    },
    "230 V, 4 kW, ripple below the crest of the mains": {
        "voltage": 230.0, "frequency": 50.0, "load_power": 4000.0, "dc_link_voltage": 328.0,
        "dc_link_capacitance": 5e-4, "inductance": 2e-3, "current_bandwidth": 3000.0,
        "voltage_bandwidth": 15.0,
    },
}  # fmt: skip


@pytest.mark.parametrize("name", CORRECTED)
def test_power_factor_stage_against_an_adaptive_integration(name: str) -> None:
    circuit = CORRECTED[name]
    waves = corrected_by_lsoda(**circuit, periods=16)
    assert_same(power_factor_corrected(**circuit), waves, circuit["voltage"], of_peak=3e-3)
