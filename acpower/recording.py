"""Recordings of an oscilloscope or power analyser: read from CSV, and worked out.

The arithmetic of a power analyser, for teaching; a reading is no better than the instrument and its
probes. Measuring on live parts is licensed work: local codes come first, isolate and prove dead before
a probe or a clamp goes on.
"""

from dataclasses import dataclass, fields
from os import PathLike
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import real, refusal, shorten
from acpower._periods import between_crossings, from_the_start, plausible_frequency
from acpower._recording_file import read_columns
from acpower._samples import Curve, curve, rising_times
from acpower.harmonics import harmonic_phasors
from acpower.rms import rms, total_harmonic_distortion

__all__ = ["PowerReadings", "Recording", "power_readings", "read_recording"]

Array = NDArray[np.float64]

_FEWEST_PER_PERIOD = 100
_HIGHEST_HARMONIC = 40
_POINTS_PER_SAMPLE = 4
_SMALLEST_FUNDAMENTAL = 1e-3  # share of the effective value: less is no alternating voltage or current


@dataclass(frozen=True, eq=False)
class Recording:
    """Samples of a voltage, a current or both, taken together.

    Parameters
    ----------
    time_s : array_like or None
        Time stamps [s], each later than the one before; None for even steps of unknown length.
    voltage_v : array_like or None
        Voltage [V] with its sign, or None if it was not recorded.
    current_a : array_like or None
        Current [A] with its sign, or None if it was not recorded.

    Raises
    ------
    ValueError
        If a column is not one row of finite real numbers, the columns are not equally long, the times
        do not rise, or there is neither voltage nor current.

    Examples
    --------
    >>> Recording(time_s=[0, 0.005, 0.015, 0.02], voltage_v=[0, 325, -325, 0], current_a=None).voltage_v
    array([   0.,  325., -325.,    0.])
    """

    time_s: Array | None
    voltage_v: Array | None
    current_a: Array | None

    def __post_init__(self) -> None:
        """Refuse columns that do not fit together."""
        lengths = {}
        for name in (field.name for field in fields(self)):
            given: ArrayLike | None = getattr(self, name)
            if given is None:
                continue
            column = rising_times(name, given) if name == "time_s" else real(name, given, name[-1].upper())
            if column.ndim != 1:
                raise refusal(name, f"shape {column.shape}", "one row of samples", "that it is a plain list")
            object.__setattr__(self, name, column)
            lengths[name] = len(column)
        if not lengths.keys() - {"time_s"}:
            allowed = "voltage_v, current_a or both"
            raise refusal("recording", "neither", allowed, "that the channels were exported")
        if len(set(lengths.values())) > 1:
            given_lengths = " and ".join(f"{length} of {name}" for name, length in lengths.items())
            raise refusal("recording", given_lengths, "columns of one length", "that no sample is missing")


@dataclass(frozen=True)
class PowerReadings:
    """What a power analyser shows for a recording. Volts and amperes are effective values.

    Attributes
    ----------
    voltage, current : float
        Effective values [V] and [A], with all harmonics, noise and the DC part.
    active : float
        Active power P [W], the mean of voltage times current. Negative where power flows back, or the
        clamp sits the wrong way round.
    apparent : float
        Apparent power S [VA], voltage times current.
    nonactive : float
        Nonactive power N [var], the root of S² - P²: it holds reactive and distortion power.
    fundamental_reactive : float
        Reactive power of the fundamental Q1 [var]; positive where the current lags behind the voltage.
    power_factor : float
        True power factor, P / S.
    displacement_factor : float
        Cosine of the angle between the fundamentals of voltage and current.
    distortion_factor : float
        Fundamental of the current over its effective value.
    voltage_distortion, current_distortion : float
        Total harmonic distortion up to the 40th order, as a fraction of the fundamental.
    frequency_hz : float or None
        Frequency [Hz]; None if the recording has no times.
    periods : int
        Whole periods that were used.
    """

    voltage: float
    current: float
    active: float
    apparent: float
    nonactive: float
    fundamental_reactive: float
    power_factor: float
    displacement_factor: float
    distortion_factor: float
    voltage_distortion: float
    current_distortion: float
    frequency_hz: float | None
    periods: int


def read_recording(path: str | PathLike[str]) -> Recording:
    r"""Read the CSV file that an oscilloscope or power analyser has saved.

    Parameters
    ----------
    path : str or path
        File of at most 10 000 000 bytes, UTF-8 or Latin-1. It has a column of voltage and one of
        current, or a column of time and one or both of them, in any order. Each column name carries its
        unit, s, ms, us, µs, mV, V, kV, mA, A or kA, written like ``u [mV]``, ``i (A)``, ``time in ms``,
        ``Voltage_V`` or ``u/V``. Lines above the column names, and empty ones, are skipped.

    Returns
    -------
    Recording
        The columns in s, V and A; None for those that the file does not have.

    Raises
    ------
    ValueError
        If the content does not fit. The sentence names file, line, what stands there and what to check.
    OSError
        If the file does not exist or cannot be read.

    Notes
    -----
    Columns are parted by tab, semicolon or comma. The decimal sign is point or comma, the same throughout;
    a comma as decimal sign needs semicolon or tab between columns. No sign parts thousands.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder, "socket.csv")
    ...     _ = file.write_text("t [ms];u [V];i [mA]\n0,0;0;0\n2,5;325,3;1500\n", encoding="utf-8")
    ...     read_recording(file)
    Recording(time_s=array([0.    , 0.0025]), voltage_v=array([  0. , 325.3]), current_a=array([0. , 1.5]))
    """
    if not isinstance(path, str | PathLike):
        raise refusal("path", shorten(path), "the path of a CSV file", "that it stands in quotation marks")
    columns = read_columns(Path(path))
    return Recording(columns.get("time_s"), columns.get("voltage_v"), columns.get("current_a"))


def power_readings(recording: Recording, frequency_hz: float | None = None) -> PowerReadings:
    """Return effective values, powers, factors and distortions of a recording.

    Parameters
    ----------
    recording : Recording
        Voltage and current over at least one whole period of 35 to 75 Hz, at least 100 samples in each.
    frequency_hz : float, optional
        Frequency of the mains [Hz], 35 to 75, if it is known. Then the whole periods are counted from the
        first sample; without it they reach from the first to the last rising zero crossing of the voltage.

    Returns
    -------
    PowerReadings
        The readings over these whole periods.

    Raises
    ------
    ValueError
        If voltage or current is missing or has no fundamental, there is less than one whole period or too
        few samples in it, or the frequency lies outside 35 to 75 Hz or does not fit the recording.

    Notes
    -----
    The curves are straight between samples, and the means are exact integrals of them. A sine sampled
    100 times per period comes out 0.03 % low for that reason and its power 0.07 %, at 200 times a quarter
    of that. Harmonics are taken from the same straight lines at four times as many points; with few
    samples the high orders come out low.

    A zero crossing counts once the voltage has come from below -20 % to above +20 % of its effective
    value, and the time above zero in between, counted back from the end, gives the instant: noise makes no
    crossings of its own. Noise is not filtered out: it counts in effective values and in apparent power,
    next to nothing of it in active power and in the fundamentals.

    For a clean voltage the power factor is the product of displacement and distortion factor (SAE
    J2894-1:2019, introduction, as its preview shows it). With a distorted voltage it is not: harmonics
    carry power of their own. The terms are those of IEEE 1459, from memory.

    Examples
    --------
    >>> turn = np.linspace(-0.1, 5.1, 2601)
    >>> voltage, current = 325 * np.sin(2 * np.pi * turn), 20 * np.sin(2 * np.pi * turn - np.pi / 3)
    >>> shown = power_readings(Recording(turn / 50, voltage, current))
    >>> print(f"{shown.active:.0f} W, {shown.apparent:.0f} VA, {shown.fundamental_reactive:.0f} var")
    1625 W, 3250 VA, 2815 var
    >>> print(f"power factor {shown.power_factor:.3f} at {shown.frequency_hz:.2f} Hz")
    power factor 0.500 at 50.00 Hz
    """
    if not isinstance(recording, Recording):
        raise refusal("recording", shorten(recording), "a Recording", "that read_recording() has read it")
    if recording.voltage_v is None or recording.current_a is None:
        missing = "no voltage" if recording.voltage_v is None else "no current"
        raise refusal("recording", missing, "voltage and current", "that both channels were exported")
    instants = np.arange(float(len(recording.voltage_v)))
    if recording.time_s is not None:
        instants = recording.time_s
    elif frequency_hz is not None:
        check = "that the export includes the time, or leave the frequency out"
        raise refusal("frequency_hz", shorten(frequency_hz), "None for a recording without times", check)
    if frequency_hz is None:
        start, end, periods = between_crossings(instants, recording.voltage_v)
    else:
        start, end, periods = from_the_start(instants, recording.voltage_v, frequency_hz)
    frequency = None if recording.time_s is None else plausible_frequency(periods / (end - start))

    inside = instants[(instants > start) & (instants < end)]
    stamps = np.concatenate([[start], inside, [end]])
    _refuse_few_samples((end - start) / periods / float(np.max(np.diff(stamps))))
    volts = _channel("voltage_v", recording.voltage_v, instants, stamps, periods)
    amperes = _channel("current_a", recording.current_a, instants, stamps, periods)
    active = float(volts.curve.mean_product(amperes.curve))
    apparent = volts.effective * amperes.effective
    fundamental_power = volts.fundamental * amperes.fundamental.conjugate()
    return PowerReadings(
        voltage=volts.effective,
        current=amperes.effective,
        active=active,
        apparent=apparent,
        nonactive=float(np.sqrt(max(apparent**2 - active**2, 0.0))),
        fundamental_reactive=fundamental_power.imag,
        power_factor=active / apparent,
        displacement_factor=fundamental_power.real / abs(fundamental_power),
        distortion_factor=abs(amperes.fundamental) / amperes.effective,
        voltage_distortion=volts.distortion,
        current_distortion=amperes.distortion,
        frequency_hz=frequency,
        periods=periods,
    )


@dataclass(frozen=True, eq=False)
class _Channel:
    """One column over whole periods: its curve, effective value, fundamental phasor and distortion."""

    curve: Curve
    effective: float
    fundamental: complex
    distortion: float


def _channel(name: str, column: Array, instants: Array, stamps: Array, periods: int) -> _Channel:
    """Return what the column is between the first and the last of the stamps."""
    samples = np.interp(stamps, instants, column)
    effective = float(rms(samples, stamps))
    points = _POINTS_PER_SAMPLE * periods * (len(stamps) // periods)
    even = stamps[0] + (stamps[-1] - stamps[0]) * np.arange(points) / points
    phasors = harmonic_phasors(np.interp(even, instants, column), periods, _HIGHEST_HARMONIC)
    sizes = np.abs(phasors)
    if sizes[0] <= _SMALLEST_FUNDAMENTAL * effective:
        allowed = "a voltage and a current of the same frequency"
        check = "that the channel was connected and the current flowed"
        raise refusal(name, f"{effective:.3g} {name[-1].upper()} without a fundamental", allowed, check)
    distortion = float(total_harmonic_distortion(sizes[0], sizes[1:]))
    return _Channel(curve(samples, stamps), effective, complex(phasors[0]), distortion)


def _refuse_few_samples(per_period: float) -> None:
    if round(per_period) < _FEWEST_PER_PERIOD:
        given = f"{per_period:.0f} samples per period where they lie widest apart"
        check = "the sampling rate: 10 kHz gives 200 per period at 50 Hz"
        raise refusal("recording", given, f"{_FEWEST_PER_PERIOD} or more, for 40 harmonics", check)
