"""Formulas against independent routes: integrals, Fourier transforms, sums in the time domain."""

from collections.abc import Callable

import numpy as np
import pytest
from published import half_of_last_digit
from scipy import fft, integrate, signal

from acpower import tables
from acpower.battery import charge_time
from acpower.power import neutral_current, single_phase_power, three_phase_power
from acpower.rms import combined_rms, crest_factor, form_factor, pulse_rms, rms, total_harmonic_distortion

Wave = Callable[[float], float]


def integral_rms(wave: Wave, jumps: tuple[float, ...] = ()) -> float:
    """Return the effective value over one period from 0 to 1, by adaptive quadrature."""
    square, _ = integrate.quad(lambda t: wave(t) ** 2, 0, 1, points=jumps or None, limit=200)
    return float(np.sqrt(square))


def integral_mean(wave: Wave, jumps: tuple[float, ...] = ()) -> float:
    """Return the rectified mean over one period from 0 to 1, by adaptive quadrature."""
    mean, _ = integrate.quad(lambda t: abs(wave(t)), 0, 1, points=jumps or None, limit=200)
    return float(mean)


def sampled(wave: Wave, count: int = 20_000) -> np.ndarray:
    return np.array([wave(t) for t in np.arange(count) / count])


def sine(t: float) -> float:
    return float(np.sin(2 * np.pi * t))


def pulse(duty: float) -> tuple[Wave, tuple[float, ...]]:
    return lambda t: 1.0 if t < duty else 0.0, (duty,)


# The waveforms of the table, each with the places where it jumps or bends.
WAVEFORMS: dict[str, tuple[Wave, tuple[float, ...]]] = {
    "sine": (sine, (0.5,)),
    "full-wave rectified sine": (lambda t: abs(sine(t)), (0.5,)),
    "half-wave rectified sine": (lambda t: max(sine(t), 0.0), (0.5,)),
    "square": (lambda t: 1.0 if t < 0.5 else -1.0, (0.5,)),
    "triangle": (lambda t: 4 * abs(t - 0.5) - 1, (0.25, 0.5, 0.75)),
    "pulse 25 %": pulse(0.25),
    "pulse 50 %": pulse(0.50),
    "pulse 75 %": pulse(0.75),
}


@pytest.mark.parametrize("row", tables.rows("waveforms"), ids=lambda row: row["waveform"])
def test_table_of_waveforms_against_integrals(row: dict[str, str]) -> None:
    wave, jumps = WAVEFORMS[row["waveform"]]
    effective, mean = integral_rms(wave, jumps), integral_mean(wave, jumps)
    integrals = {
        "rms": effective,
        "rectified_mean": mean,
        "crest_factor": 1 / effective,
        "form_factor": effective / mean,
    }
    for column, value in integrals.items():
        assert value == pytest.approx(float(row[column]), abs=half_of_last_digit(row[column]))


@pytest.mark.parametrize("name", WAVEFORMS)
def test_sampled_waveform_against_integrals(name: str) -> None:
    wave, jumps = WAVEFORMS[name]
    effective, mean = integral_rms(wave, jumps), integral_mean(wave, jumps)
    assert rms(sampled(wave)) == pytest.approx(effective, rel=1e-4)
    assert form_factor(sampled(wave)) == pytest.approx(effective / mean, rel=1e-4)
    assert crest_factor(sampled(wave)) == pytest.approx(1 / effective, rel=1e-4)


@pytest.mark.parametrize("high", [9.0, 6.0, 3.0, -5.0])
@pytest.mark.parametrize("duty", [0.0, 0.10, 0.5, 0.85, 1.0])
def test_two_level_pulse_against_integral_and_scipy_square_wave(high: float, duty: float) -> None:
    low = -12.0
    value = pulse_rms(high, duty, low)
    jumps = (duty,) if 0 < duty < 1 else ()
    assert value == pytest.approx(integral_rms(lambda t: high if t < duty else low, jumps), rel=1e-9)
    steps = signal.square(2 * np.pi * (np.arange(2000) + 0.5) / 2000, duty)
    assert value == pytest.approx(rms(np.where(steps > 0, high, low)), rel=1e-9)


def test_combined_components_against_integral_of_their_sum() -> None:
    dc, first, third, fifth = 3.0, 10.0, 4.0, 2.0  # RMS each; the phase angles must not matter

    def wave(t: float) -> float:
        return dc + np.sqrt(2) * (
            first * np.sin(2 * np.pi * t)
            + third * np.sin(6 * np.pi * t + 0.7)
            + fifth * np.cos(10 * np.pi * t)
        )

    assert combined_rms([dc, first, third, fifth]) == pytest.approx(integral_rms(wave), rel=1e-9)


def test_distortion_against_fourier_transform_of_a_clipped_sine() -> None:
    samples = np.clip(sampled(sine, 4096), -0.6, 0.6)
    spectrum = np.abs(fft.rfft(samples)) / len(samples) * np.sqrt(2)
    thd = total_harmonic_distortion(spectrum[1], spectrum[2:-1])
    # The other way round: what the total effective value has beyond the fundamental.
    assert thd == pytest.approx(np.sqrt((rms(samples) / spectrum[1]) ** 2 - 1), rel=1e-9)
    assert 0.05 < thd < 0.3


def test_distortion_of_a_square_wave_against_its_known_series() -> None:
    """Harmonics of a square wave are 1/n for odd n; the full sum gives sqrt(pi^2/8 - 1) = 48.34 %."""
    samples = np.where(np.arange(4096) < 2048, 1.0, -1.0)
    spectrum = np.abs(fft.rfft(samples))
    assert total_harmonic_distortion(spectrum[1], spectrum[2:]) == pytest.approx(
        np.sqrt(np.pi**2 / 8 - 1), rel=1e-3
    )


@pytest.mark.parametrize(
    ("currents", "angles"),
    [
        ((20, 10, 10), (0, 0, 0)),
        ((32, 16, 0), (0, 0, 0)),
        ((32, 32, 0), (0, 0, 0)),
        ((16, 16, 16), (0, 0, 0)),
        ((25, 13, 6), (10, -20, 35)),
    ],
)
@pytest.mark.parametrize("harmonic", [1, 2, 3, 5, 9])
def test_neutral_current_against_sum_in_the_time_domain(
    currents: tuple[float, ...], angles: tuple[float, ...], harmonic: int
) -> None:
    time = np.arange(1200) / 1200
    phase_angles = harmonic * np.radians([0, -120, -240]) + np.radians(angles)
    instants = [
        np.sqrt(2) * current * np.cos(2 * np.pi * harmonic * time + angle)
        for current, angle in zip(currents, phase_angles, strict=True)
    ]
    phasors = np.array(currents) * np.exp(1j * phase_angles)
    assert neutral_current(phasors) == pytest.approx(rms(np.sum(instants, axis=0)), abs=1e-9)


@pytest.mark.parametrize("currents", [(20, 10, 10), (32, 16, 0), (32, 32, 0), (25, 13, 6)])
def test_neutral_current_of_resistive_loads_against_closed_form(currents: tuple[float, ...]) -> None:
    a, b, c = currents
    phasors = np.array(currents) * np.exp(-2j * np.pi / 3 * np.arange(3))
    closed_form = np.sqrt(a * a + b * b + c * c - a * b - b * c - c * a)
    assert neutral_current(phasors) == pytest.approx(closed_form)


@pytest.mark.parametrize("angle", [0.0, 0.3, 1.0])
def test_power_against_mean_of_voltage_times_current(angle: float) -> None:
    voltage, current = 230.0, 16.0

    def instant(t: float, shift: float) -> float:
        volts = np.sqrt(2) * voltage * np.cos(2 * np.pi * t - shift)
        amperes = np.sqrt(2) * current * np.cos(2 * np.pi * t - shift - angle)
        return float(volts * amperes)

    single, _ = integrate.quad(instant, 0, 1, args=(0.0,))
    assert single_phase_power(voltage, current, np.cos(angle)) == pytest.approx(single, rel=1e-9)
    # In the balanced circuit the sum does not even pulsate: any instant gives the whole power.
    at_any_instant = sum(instant(0.123, shift) for shift in np.radians([0, 120, 240]))
    line_voltage = abs(voltage - voltage * np.exp(-2j * np.pi / 3))
    assert three_phase_power(line_voltage, current, np.cos(angle)) == pytest.approx(at_any_instant, rel=1e-9)


def test_charge_time_against_integrated_energy() -> None:
    def full(_: float, energy: np.ndarray) -> float:
        return float(energy[0] - 40.0)

    full.terminal = True
    charge = integrate.solve_ivp(lambda t, e: [0.9 * 11.0], (0, 10), [0.0], events=full, rtol=1e-10)
    assert charge_time(40, 11, 0.9) == pytest.approx(charge.t_events[0][0], rel=1e-9)
