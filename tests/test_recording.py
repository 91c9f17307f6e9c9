"""Recordings made by hand, and the readings of a power analyser.

Every recording here is invented and made by the test.
"""

from collections.abc import Callable
from dataclasses import FrozenInstanceError
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, optimize
from test_formulas_properties import NO_NUMBERS
from test_recording_file import written

from acpower._samples import curve
from acpower.recording import PowerReadings, Recording, power_readings, read_recording

# ---- Recordings made by hand


def test_recording_keeps_arrays_and_cannot_be_changed() -> None:
    recording = Recording([0, 1], [2, 3], None)
    assert isinstance(recording.time_s, np.ndarray)
    assert recording.voltage_v.dtype == np.float64
    with pytest.raises(FrozenInstanceError):
        recording.voltage_v = None


@pytest.mark.parametrize(
    ("columns", "message"),
    [
        (([0, 1], None, None), r"^recording: neither was given; allowed is voltage_v, current_a or both"),
        ((None, None, None), r"^recording: neither was given"),
        (([0, 1], [1, 2, 3], None), r"^recording: 2 of time_s and 3 of voltage_v was given"),
        ((None, [1, 2, 3], [1, 2]), r"^recording: 3 of voltage_v and 2 of current_a was given"),
        (([0, 0], [1, 2], None), r"^time_s\[1\]: 0 s was given; allowed is two stamps or more"),
        ((None, [[1, 2]], None), r"^voltage_v: shape \(1, 2\) was given; allowed is one row of samples"),
        ((None, None, 5.0), r"^current_a: shape \(\) was given"),
        (([[0, 1]], [1, 2], None), r"^time_s: shape \(1, 2\) was given"),
        ((None, [1e101, 0], None), r"^voltage_v\[0\]: 1e\+101 V was given"),
        ((None, None, [0, 1e101]), r"^current_a\[1\]: 1e\+101 A was given"),
    ],
)
def test_columns_that_do_not_fit_are_refused(columns: tuple[Any, Any, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        Recording(*columns)


@pytest.mark.parametrize("bad", [bad for bad in NO_NUMBERS.values() if bad is not None])
@pytest.mark.parametrize("name", ["time_s", "voltage_v", "current_a"])
def test_column_that_is_no_number_is_refused_by_name(name: str, bad: object) -> None:
    columns = {"time_s": None, "voltage_v": None, "current_a": None} | {name: bad}
    with pytest.raises(ValueError, match=rf"^{name}(\[[\d, ]+\])?: .+ was given; allowed is .+\. Check "):
        Recording(**columns)


# ---- The readings of a power analyser

Parts = dict[int, tuple[float, float]]  # order: effective value and angle of a sine


def wave(parts: Parts, turn: np.ndarray | float, dc: float = 0.0) -> Any:
    return dc + sum(
        2**0.5 * size * np.sin(2 * np.pi * order * turn + angle) for order, (size, angle) in parts.items()
    )


def recorded(
    voltage: Parts,
    current: Parts,
    *,
    frequency: float = 50.0,
    periods: float = 5.2,
    per_period: float = 1000.0,
    start: float = -0.1,
    jitter: float = 0.0,
    noise: float = 0.0,
    dc: float = 0.0,
    clock: float = 0.0,
) -> Recording:
    """Return a recording of known components; jitter in steps, noise in shares of the RMS values."""
    random = np.random.default_rng(20_240_611)
    turn = start + np.arange(int(periods * per_period) + 1) / per_period
    turn = turn + jitter * random.uniform(-0.5, 0.5, turn.size) / per_period
    columns = []
    for parts, offset in ((voltage, 0.0), (current, dc)):
        spread = noise * np.sqrt(sum(size**2 for size, _ in parts.values()))
        columns.append(wave(parts, turn, offset) + spread * random.standard_normal(turn.size))
    return Recording(clock + turn / frequency, *columns)


SINE: Parts = {1: (230.0, 0.0)}
DISTORTED: Parts = {1: (230.0, 0.0), 3: (8.0, 0.4), 5: (12.0, -1.0)}
LAGGING: Parts = {1: (10.0, -0.5)}
RECTIFIER: Parts = {1: (10.0, -0.5), 3: (3.0, 0.2), 5: (1.0, 1.0), 40: (0.2, 0.0)}


def expected(voltage: Parts, current: Parts, dc: float = 0.0) -> dict[str, float]:
    """Return the readings from the components, each by its definition."""
    volts = np.sqrt(sum(size**2 for size, _ in voltage.values()))
    amperes = np.sqrt(dc**2 + sum(size**2 for size, _ in current.values()))
    powers = {k: voltage[k][0] * current[k][0] for k in voltage.keys() & current.keys()}
    active = sum(power * np.cos(voltage[k][1] - current[k][1]) for k, power in powers.items())
    angle = voltage[1][1] - current[1][1]
    return {
        "voltage": volts,
        "current": amperes,
        "active": active,
        "apparent": volts * amperes,
        "nonactive": np.sqrt((volts * amperes) ** 2 - active**2),
        "fundamental_reactive": powers[1] * np.sin(angle),
        "power_factor": active / (volts * amperes),
        "displacement_factor": np.cos(angle),
        "distortion_factor": current[1][0] / amperes,
        "voltage_distortion": np.sqrt(sum(size**2 for k, (size, _) in voltage.items() if k > 1))
        / voltage[1][0],
        "current_distortion": np.sqrt(sum(size**2 for k, (size, _) in current.items() if k > 1))
        / current[1][0],
    }


def assert_shown(shown: PowerReadings, wanted: dict[str, float], rel: float, small: float = 1e-3) -> None:
    for name, value in wanted.items():
        assert getattr(shown, name) == pytest.approx(value, rel=rel, abs=small), name


@pytest.mark.parametrize("frequency", [40, 50, 60, 70])
@pytest.mark.parametrize(("voltage", "current"), [(SINE, LAGGING), (SINE, RECTIFIER), (DISTORTED, RECTIFIER)])
def test_readings_agree_with_the_components(frequency: float, voltage: Parts, current: Parts) -> None:
    recording = recorded(voltage, current, frequency=frequency)
    shown = power_readings(recording)
    assert_shown(shown, expected(voltage, current), rel=2e-3, small=5e-4)
    assert shown.frequency_hz == pytest.approx(frequency, rel=1e-6)
    assert shown.periods == 5
    assert all(type(getattr(shown, name)) is float for name in expected(voltage, current))
    given_frequency = power_readings(recording, frequency)
    assert_shown(given_frequency, expected(voltage, current), rel=2e-3, small=5e-4)
    assert given_frequency.frequency_hz == pytest.approx(frequency, rel=1e-12)


def test_active_and_reactive_power_against_integrals() -> None:
    """Active power as the mean of u i; reactive power as that of u a quarter of a period later."""
    active, _ = integrate.quad(lambda t: wave(DISTORTED, t) * wave(RECTIFIER, t), 0, 1, limit=200)
    shown = power_readings(recorded(DISTORTED, RECTIFIER))
    assert shown.active == pytest.approx(active, rel=2e-4)
    fundamentals = [{1: parts[1]} for parts in (DISTORTED, RECTIFIER)]
    reactive, _ = integrate.quad(
        lambda t: wave(fundamentals[0], t - 0.25) * wave(fundamentals[1], t), 0, 1, limit=200
    )
    assert shown.fundamental_reactive == pytest.approx(reactive, rel=2e-4)


def test_product_of_straight_lines_is_integrated_exactly() -> None:
    stamps = np.array([0.0, 1.0, 1.5, 4.0])
    one, other = np.array([1.0, -2.0, 3.0, 0.5]), np.array([2.0, 5.0, -1.0, 0.3])
    parts = [
        integrate.quad(lambda t: np.interp(t, stamps, one) * np.interp(t, stamps, other), *ends)[0]
        for ends in pairwise(stamps)
    ]
    product = curve(one, stamps).mean_product(curve(other, stamps))
    assert product == pytest.approx(sum(parts) / 4)


def test_fundamental_against_a_fitted_sine() -> None:
    recording = recorded(SINE, RECTIFIER, noise=0.01)

    def miss(unknown: np.ndarray) -> np.ndarray:
        size, angle, hertz = unknown
        return size * np.sin(2 * np.pi * hertz * recording.time_s + angle) - recording.voltage_v

    size, _, hertz = optimize.least_squares(miss, [300, 0.1, 49.9], x_scale=[100, 1, 1]).x
    shown = power_readings(recording)
    assert shown.frequency_hz == pytest.approx(hertz, rel=1e-3)
    assert shown.voltage == pytest.approx(abs(size) / 2**0.5, rel=1e-3)


@pytest.mark.parametrize(
    ("displacement", "distortion", "factor"),
    [(1.00, 0.05, 0.9988), (0.99, 0.05, 0.9888), (0.98, 0.10, 0.9751), (0.95, 0.20, 0.9316)],
)
def test_power_factor_is_displacement_times_distortion_for_a_clean_voltage(
    displacement: float, distortion: float, factor: float
) -> None:
    """Product rule: SAE J2894-1:2019, introduction, preview page. The four figures: own calculation."""
    current = {1: (16.0, -np.arccos(displacement)), 3: (16.0 * distortion, 0.3)}
    shown = power_readings(recorded(SINE, current))
    assert shown.power_factor == pytest.approx(factor, abs=1e-4)
    assert shown.displacement_factor == pytest.approx(displacement, abs=1e-4)
    assert shown.current_distortion == pytest.approx(distortion, abs=1e-4)
    assert shown.power_factor == pytest.approx(shown.displacement_factor * shown.distortion_factor, rel=1e-4)


def test_power_factor_is_not_that_product_for_a_distorted_voltage() -> None:
    resistive = {order: (size / 23, angle) for order, (size, angle) in DISTORTED.items()}
    shown = power_readings(recorded(DISTORTED, resistive))
    assert shown.power_factor == pytest.approx(1.0, abs=1e-9)
    assert shown.nonactive == pytest.approx(0.0, abs=0.1)
    assert shown.displacement_factor * shown.distortion_factor < 0.9985


@pytest.mark.parametrize(("angle", "sign"), [(-0.5, 1), (0.5, -1)])
def test_reactive_power_is_positive_for_a_lagging_current(angle: float, sign: int) -> None:
    shown = power_readings(recorded(SINE, {1: (10.0, angle)}))
    assert shown.fundamental_reactive == pytest.approx(sign * 2300 * np.sin(0.5), rel=1e-3)
    assert shown.active > 0


def test_reversed_clamp_shows_as_negative_power() -> None:
    shown = power_readings(recorded(SINE, {1: (10.0, np.pi)}))
    assert shown.active == pytest.approx(-2300, rel=1e-4)
    assert (shown.power_factor, shown.displacement_factor) == pytest.approx((-1, -1), abs=1e-6)


def test_dc_part_counts_in_the_current_and_in_no_harmonic() -> None:
    shown = power_readings(recorded(SINE, RECTIFIER, dc=4.0))
    assert_shown(shown, expected(SINE, RECTIFIER, dc=4.0), rel=1e-3)


def test_offset_of_the_voltage_does_not_spoil_the_cut() -> None:
    clean = recorded(SINE, LAGGING)
    shown = power_readings(Recording(clean.time_s, clean.voltage_v + 30, clean.current_a))
    assert shown.frequency_hz == pytest.approx(50, rel=1e-6)
    assert shown.voltage == pytest.approx(np.hypot(230, 30), rel=1e-4)
    assert shown.active == pytest.approx(2300 * np.cos(0.5), rel=1e-4)


@pytest.mark.parametrize("noise", [0.01, 0.05])
@pytest.mark.parametrize("per_period", [100, 400])
@pytest.mark.parametrize("frequency", [50, 60])
def test_noise_makes_no_periods_and_little_error(noise: float, per_period: float, frequency: float) -> None:
    recording = recorded(
        SINE, RECTIFIER, noise=noise, per_period=per_period, frequency=frequency, periods=20.2
    )
    shown = power_readings(recording)
    assert shown.periods == 20
    assert shown.frequency_hz == pytest.approx(frequency, rel=0.1 * noise)
    wanted = expected(SINE, RECTIFIER)
    for name in ("active", "fundamental_reactive", "displacement_factor", "current_distortion"):
        assert getattr(shown, name) == pytest.approx(wanted[name], rel=0.02)
    assert shown.voltage == pytest.approx(230 * np.hypot(1, noise), rel=0.1 * noise)


@pytest.mark.parametrize(("share", "periods"), [(0.05, 5), (0.15, 5)])
def test_wiggles_within_the_hysteresis_make_no_crossings(share: float, periods: int) -> None:
    """A fast wiggle on the voltage crosses zero several times in each rise."""
    wiggle = {1: (230.0, 0.0), 201: (230 * share, 0.0)}
    recording = recorded(wiggle, LAGGING, per_period=4000)
    assert np.sum((recording.voltage_v[:-1] < 0) & (recording.voltage_v[1:] >= 0)) > 6
    shown = power_readings(recording)
    assert shown.periods == periods
    assert shown.frequency_hz == pytest.approx(50, rel=1e-4)
    assert shown.active == pytest.approx(2300 * np.cos(0.5), rel=1e-3)


def test_notch_counts_as_a_crossing_from_a_fifth_of_the_rms_value() -> None:
    """One deep and narrow notch in a positive crest; six periods counted in five leave no fundamental."""
    full = recorded(SINE, LAGGING)

    def with_notch(depth: float) -> Recording:
        notched = full.voltage_v.copy()
        notched[2348:2353] = -depth * 230  # the third crest stands at sample 2350
        return Recording(full.time_s, notched, full.current_a)

    assert power_readings(with_notch(0.19)).periods == 5
    with pytest.raises(ValueError, match=r"^current_a: 10 A without a fundamental was given"):
        power_readings(with_notch(0.21))


def test_wiggle_beyond_the_hysteresis_is_refused_rather_than_misread() -> None:
    wiggle = {1: (230.0, 0.0), 21: (230 * 0.6, 0.0)}
    with pytest.raises(ValueError, match=r"^time_s: a voltage of .+ Hz was given; allowed is 35 to 75 Hz"):
        power_readings(recorded(wiggle, LAGGING))


def test_uneven_steps_and_another_start_of_the_clock_change_nothing() -> None:
    wanted = expected(SINE, RECTIFIER)
    uneven = power_readings(recorded(SINE, RECTIFIER, jitter=0.9))
    assert_shown(uneven, wanted, rel=1e-3)
    assert_shown(power_readings(recorded(SINE, RECTIFIER, clock=-7.0)), wanted, rel=1e-3)


@given(st.floats(40, 70), st.floats(-0.6, 0.4), st.floats(2.05, 6.0), st.floats(150, 900))
@settings(max_examples=30)
def test_wherever_and_however_long_one_records(
    frequency: float, start: float, periods: float, per_period: float
) -> None:
    recording = recorded(
        SINE, RECTIFIER, frequency=frequency, start=start, periods=periods, per_period=per_period
    )
    wanted = expected(SINE, RECTIFIER)
    crossings = np.floor(start + periods - 0.05) - np.ceil(start - 0.05)
    shown = power_readings(recording)
    assert shown.periods in (crossings - 1, crossings, crossings + 1)
    assert_shown(shown, wanted, rel=4e-3)
    assert_shown(power_readings(recording, frequency), wanted, rel=4e-3)


def test_samples_are_low_by_the_stated_share() -> None:
    for per_period, share in ((100, 3.3e-4), (200, 0.8e-4)):
        shown = power_readings(recorded(SINE, {1: (10.0, 0.0)}, per_period=per_period))
        assert 1 - shown.voltage / 230 == pytest.approx(share, rel=0.05)
        assert 1 - shown.active / 2300 == pytest.approx(2 * share, rel=0.05)
        assert shown.voltage_distortion < 1e-4


def test_recording_without_times_gives_everything_but_the_frequency() -> None:
    timed = recorded(SINE, RECTIFIER)
    shown = power_readings(Recording(None, timed.voltage_v, timed.current_a))
    assert shown.frequency_hz is None
    assert shown.periods == 5
    assert_shown(shown, expected(SINE, RECTIFIER), rel=1e-3)


def test_whole_periods_of_a_given_frequency_start_with_the_first_sample() -> None:
    for periods, used in ((1.0, 1), (1.99, 1), (2.0, 2), (7.3, 7)):
        shown = power_readings(recorded(SINE, LAGGING, periods=periods, start=0.1), 50)
        assert shown.periods == used
        assert_shown(shown, expected(SINE, LAGGING), rel=1e-3)


def test_fortieth_harmonic_counts_and_the_next_does_not() -> None:
    for order, counted in ((40, 0.3), (41, 0.0)):
        shown = power_readings(recorded(SINE, {1: (10.0, 0.0), order: (3.0, 0.0)}))
        assert shown.current_distortion == pytest.approx(counted, abs=2e-3)


def test_file_goes_all_the_way_to_readings(tmp_path: Path) -> None:
    recording = recorded(SINE, RECTIFIER, per_period=400)
    rows = zip(1e3 * recording.time_s, recording.voltage_v, 1e3 * recording.current_a, strict=True)
    lines = ["Invented recording", "t [ms];u [V];i [mA]", *(f"{t:.6f};{u:.2f};{i:.1f}" for t, u, i in rows)]
    path = written(tmp_path, "\r\n".join(lines).replace(".", ","))
    assert_shown(power_readings(read_recording(path)), expected(SINE, RECTIFIER), rel=2e-3)


@pytest.mark.parametrize(
    ("options", "frequency", "message"),
    [
        ({"periods": 0.9}, None, r"^voltage_v: a voltage with 1 rising zero crossings was given; allowed is at least"),
        ({"periods": 0.9}, 50, r"^time_s: 0\.9 periods of 50 Hz was given; allowed is one whole period or more"),
        ({"periods": 0.999}, 50, r"^time_s: 0\.999 periods of 50 Hz was given"),
        ({"per_period": 98}, None, r"^recording: 98 samples per period .* was given; allowed is 100 or more"),
        ({"per_period": 98}, 50, r"^recording: 98 samples per period"),
        ({"frequency": 34.9}, None, r"^time_s: a voltage of 34\.9 Hz was given; allowed is 35 to 75 Hz"),
        ({"frequency": 75.1}, None, r"^time_s: a voltage of 75\.1 Hz was given; allowed is 35 to 75 Hz"),
        ({"frequency": 50_000}, None, r"^time_s: a voltage of 5e\+04 Hz .* the unit of the time column"),
        ({}, 34.9, r"^frequency_hz: 34\.9 Hz was given; allowed is 35 to 75 Hz"),
        ({}, 75.1, r"^frequency_hz: 75\.1 Hz was given; allowed is 35 to 75 Hz"),
        ({}, 60, r"^frequency_hz: 60 Hz was given; allowed is the frequency of the recorded voltage, 50 Hz"),
        ({"periods": 1.2}, 60, r"^frequency_hz: 60 Hz was given; allowed is the frequency of the recorded"),
        ({}, 51.1, r"^frequency_hz: 51\.1 Hz was given; allowed is the frequency of the recorded"),
        ({}, 48.9, r"^frequency_hz: 48\.9 Hz was given; allowed is the frequency of the recorded"),
        ({}, [50, 50], r"^frequency_hz: shape \(2,\) was given; allowed is one number"),
    ],
)  # fmt: skip
def test_recording_that_gives_no_readings_says_why(
    options: dict[str, float], frequency: Any, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        power_readings(recorded(SINE, LAGGING, **options), frequency)


@pytest.mark.parametrize(
    ("options", "frequency"),
    [
        ({"frequency": 35.1}, None), ({"frequency": 74.9}, None), ({"frequency": 35}, 35), ({"frequency": 75}, 75),
        ({"per_period": 100}, None), ({"per_period": 100}, 50), ({}, 50.9), ({}, 49.1),
        ({"periods": 1.2}, None), ({"periods": 1.0}, 50),
    ],
)  # fmt: skip
def test_recording_within_the_limits_gives_readings(
    options: dict[str, float], frequency: float | None
) -> None:
    assert power_readings(recorded(SINE, LAGGING, **options), frequency).periods >= 1


def test_one_wide_gap_is_told_by_its_width() -> None:
    full = recorded(SINE, LAGGING)
    keep = np.ones(full.time_s.size, dtype=bool)
    keep[2000:2100] = False
    gap = Recording(full.time_s[keep], full.voltage_v[keep], full.current_a[keep])
    with pytest.raises(ValueError, match=r"^recording: 10 samples per period where they lie widest apart"):
        power_readings(gap)


def test_missing_channel_and_dead_channel_are_told() -> None:
    full = recorded(SINE, LAGGING)
    dead, steady = np.zeros(full.time_s.size), np.full(full.time_s.size, 5.0)
    cases: list[tuple[Callable[[], Any], str]] = [
        (lambda: Recording(full.time_s, None, full.current_a), r"^recording: no voltage was given"),
        (lambda: Recording(full.time_s, full.voltage_v, None), r"^recording: no current was given"),
        (lambda: Recording(full.time_s, dead, full.current_a), r"^voltage_v: .* 0 rising zero crossings"),
        (lambda: Recording(full.time_s, full.voltage_v, dead), r"^current_a: 0 A without a fundamental was given"),
        (lambda: Recording(full.time_s, full.voltage_v, steady), r"^current_a: 5 A without a fundamental"),
        (lambda: Recording(full.time_s, full.voltage_v[:1].repeat(dead.size), dead), r"^voltage_v: .* 0 rising"),
    ]  # fmt: skip
    for make, message in cases:
        with pytest.raises(ValueError, match=message):
            power_readings(make())
    with pytest.raises(ValueError, match=r"^voltage_v: 5 V without a fundamental was given"):
        power_readings(Recording(full.time_s, steady, full.current_a), 50)


def test_frequency_needs_times() -> None:
    full = recorded(SINE, LAGGING)
    with pytest.raises(
        ValueError, match=r"^frequency_hz: 50 was given; allowed is None for a recording without"
    ):
        power_readings(Recording(None, full.voltage_v, full.current_a), 50)


@pytest.mark.parametrize("bad", [None, 5, "scope.csv", [1, 2], PowerReadings])
def test_what_is_no_recording_is_refused(bad: object) -> None:
    with pytest.raises(ValueError, match=r"^recording: .+ was given; allowed is a Recording"):
        power_readings(bad)


@pytest.mark.parametrize("bad", [bad for bad in NO_NUMBERS.values() if bad is not None])
def test_frequency_that_is_no_number_is_refused(bad: object) -> None:
    with pytest.raises(
        ValueError, match=r"^frequency_hz(\[[\d, ]+\])?: .+ was given; allowed is .+\. Check "
    ):
        power_readings(recorded(SINE, LAGGING), bad)


def test_readings_cannot_be_changed() -> None:
    with pytest.raises(FrozenInstanceError):
        power_readings(recorded(SINE, LAGGING)).active = 0.0
