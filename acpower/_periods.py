"""The whole periods in a recorded voltage: what `acpower.recording.power_readings` cuts out."""

import numpy as np
from numpy.typing import NDArray

from acpower._checks import real, refusal, single

Array = NDArray[np.float64]

_LOWEST_HZ, _HIGHEST_HZ = 35.0, 75.0
_ALLOWED_HZ = f"{_LOWEST_HZ:g} to {_HIGHEST_HZ:g} Hz"
_HYSTERESIS = 0.2  # share of the RMS value of the voltage
_LARGEST_MISFIT = 0.02  # between the frequency given and the one found


def between_crossings(instants: Array, voltage: Array) -> tuple[float, float, int]:
    """Return the first and the last rising zero crossing of the voltage, and the periods in between."""
    crossings = rising_crossings(instants, voltage)
    if len(crossings) < 2:
        raise refusal(
            "voltage_v",
            f"a voltage with {len(crossings)} rising zero crossings",
            "at least 2, which is one whole period",
            "that the recording is long enough, and that this column is the mains voltage",
        )
    return float(crossings[0]), float(crossings[-1]), len(crossings) - 1


def from_the_start(instants: Array, voltage: Array, frequency: float) -> tuple[float, float, int]:
    """Return the first instant, the end of the last whole period of a given frequency, and the periods."""
    given = real("frequency_hz", frequency, "Hz", low=_LOWEST_HZ, high=_HIGHEST_HZ, allowed=_ALLOWED_HZ)
    expected = single("frequency_hz", given)
    crossings = rising_crossings(instants, voltage)
    if len(crossings) > 1:
        found = (len(crossings) - 1) / (crossings[-1] - crossings[0])
        if abs(found / expected - 1.0) > _LARGEST_MISFIT:
            allowed = f"the frequency of the recorded voltage, {found:.4g} Hz"
            check = "the frequency and the unit of the time column"
            raise refusal("frequency_hz", f"{expected:g} Hz", allowed, check)
    whole = (instants[-1] - instants[0]) * expected
    periods = int(whole + 1e-9)  # a recording of whole periods must not lose one to rounding
    if periods < 1:
        check = "that the recording is long enough, and the unit of the time column"
        raise refusal("time_s", f"{whole:.3g} periods of {expected:g} Hz", "one whole period or more", check)
    return float(instants[0]), min(float(instants[0]) + periods / expected, float(instants[-1])), periods


def plausible_frequency(found: float) -> float:
    """Return the frequency of a voltage, or refuse one that no mains has."""
    if not _LOWEST_HZ <= found <= _HIGHEST_HZ:
        check = "the unit of the time column, and that the voltage is the mains voltage"
        raise refusal("time_s", f"a voltage of {found:.4g} Hz", _ALLOWED_HZ, check)
    return found


def rising_crossings(instants: Array, voltage: Array) -> Array:
    """Return the instants at which the voltage rises through zero, each once however noisy it is.

    A crossing counts once the voltage has come from below the lower to above the upper threshold. Its
    instant is the end of this rise less the time that the voltage is positive in it, which for a clean
    voltage is the crossing of the straight line and for a noisy one a mean of its crossings.
    """
    threshold = _HYSTERESIS * np.sqrt(np.mean(voltage**2))
    beyond = np.flatnonzero(np.abs(voltage) >= threshold)
    rises = np.flatnonzero((voltage[beyond[:-1]] < 0.0) & (voltage[beyond[1:]] > 0.0))
    below, above = beyond[rises], beyond[rises + 1]
    upper = np.maximum(voltage, 0.0)
    twice = np.abs(voltage[:-1]) + np.abs(voltage[1:])
    share = np.divide(upper[:-1] + upper[1:], twice, out=np.zeros_like(twice), where=twice > 0.0)
    positive_until = np.concatenate([[0.0], np.cumsum(share * np.diff(instants))])
    return np.asarray(instants[above] - (positive_until[above] - positive_until[below]))
