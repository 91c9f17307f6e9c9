"""Named waveforms with a peak of 1, as functions of the turn: 1 turn is one period.

Multiply by the peak to get volts or amperes. For the RMS value and the factors of each there is the
table ``waveforms.csv``; for any set of samples there are `acpower.rms` and `acpower.meters`.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import Numbers, answer, choice, fraction, real, together

__all__ = ["SHAPES", "two_level", "waveform"]

Array = NDArray[np.float64]


def waveform(shape: str, turn: ArrayLike, duty: ArrayLike = 0.5) -> Numbers:
    """Return the instantaneous value of a named waveform with a peak of 1.

    Parameters
    ----------
    shape : str
        One of `SHAPES`: "sine", "full-wave rectified sine", "half-wave rectified sine", "square",
        "triangle" or "pulse".
    turn : array_like
        Place in the period, any real number: 0 is the start, 0.25 a quarter, 1 the start again.
    duty : array_like, optional
        Share of the period for which a pulse is high, a fraction from 0 to 1; no other shape uses it.

    Returns
    -------
    float or ndarray
        Value without unit, from -1 to 1, broadcast shape of turn and duty.

    Raises
    ------
    ValueError
        If the shape is unknown, the turn is not a finite real number, or the duty lies outside 0 to 1.

    Notes
    -----
    Every shape starts with its positive half; sine and triangle rise from 0. The pulse goes from 0
    to 1. The square and the pulse are at their first level at the start and at their second at the edge.

    Examples
    --------
    >>> waveform("triangle", [0, 0.125, 0.25, 0.75])
    array([ 0. ,  0.5,  1. , -1. ])
    >>> waveform("pulse", 0.3, duty=0.25)
    0.0
    """
    name = choice("shape", shape, SHAPES)
    place, share = real("turn", turn), fraction("duty", duty)
    together(turn=place, duty=share)
    place, share = np.broadcast_arrays(place, share)
    return answer(_CURVES[name](_in_period(place), share))


def two_level(turn: ArrayLike, high: ArrayLike, duty: ArrayLike, low: ArrayLike = 0.0) -> Numbers:
    """Return the instantaneous value of a signal that switches between two levels.

    Parameters
    ----------
    turn : array_like
        Place in the period, any real number.
    high : array_like
        Level during the first share ``duty`` of each period [V or A], with its sign.
    duty : array_like
        Share of the period at ``high``, a fraction from 0 to 1.
    low : array_like, optional
        Level during the rest of the period [V or A], with its sign.

    Returns
    -------
    float or ndarray
        Level [V or A], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If a turn or level is not a finite real number, the duty lies outside 0 to 1, or shapes disagree.

    Notes
    -----
    The control pilot has this form; `acpower.rms.pulse_rms` gives its effective value.

    Examples
    --------
    >>> two_level([0.0, 0.4, 0.5, 0.9, 1.0], high=9, duty=0.5, low=-12)
    array([  9.,   9., -12., -12.,   9.])
    """
    place, share = real("turn", turn), fraction("duty", duty)
    upper, lower = real("high", high), real("low", low)
    together(turn=place, high=upper, duty=share, low=lower)
    return answer(np.where(_in_period(place) < share, upper, lower))


def _in_period(turn: Array) -> Array:
    """Return the place within one period, from 0 to just below 1.

    The remainder of a tiny negative number rounds to 1, which the second one makes 0.
    """
    return turn % 1.0 % 1.0


def _sine(place: Array, duty: Array) -> Array:
    return np.sin(2.0 * np.pi * place)


_CURVES: dict[str, Callable[[Array, Array], Array]] = {
    "sine": _sine,
    "full-wave rectified sine": lambda place, duty: np.abs(_sine(place, duty)),
    "half-wave rectified sine": lambda place, duty: np.maximum(_sine(place, duty), 0.0),
    "square": lambda place, duty: np.where(place < 0.5, 1.0, -1.0),
    "triangle": lambda place, duty: np.abs((4.0 * place - 1.0) % 4.0 - 2.0) - 1.0,
    "pulse": lambda place, duty: np.where(place < duty, 1.0, 0.0),
}

SHAPES = tuple(_CURVES)
"""The names of the waveforms."""
