"""Effective values (RMS) of voltages and currents, and what describes a waveform.

Every function takes volts or amperes and gives back the same unit; ratios have none. Functions
of samples or components work over the last axis: shape (..., n) becomes (...), and a scalar
counts as a single sample. A scalar result is a Python float.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import (
    Numbers,
    answer,
    fraction,
    magnitude,
    positive,
    real,
    refusal,
    signed_samples,
    together,
)

__all__ = [
    "combined_rms",
    "crest_factor",
    "form_factor",
    "peak_to_rms",
    "pulse_rms",
    "rms",
    "rms_to_peak",
    "total_harmonic_distortion",
]


def rms(samples: ArrayLike) -> Numbers:
    """Return the effective value of evenly spaced samples.

    Parameters
    ----------
    samples : array_like
        Signed instantaneous values [V or A], shape (..., n). They must cover one or more whole
        periods evenly; half a period, or an end point that repeats the start, gives a wrong value.

    Returns
    -------
    float or ndarray
        Square root of the mean of the squares [V or A], shape (...).

    Raises
    ------
    ValueError
        If a sample is not a finite real number, or there is none.

    Notes
    -----
    The definition of the effective value, as in University Physics Volume 2, modules on alternating
    current.

    Examples
    --------
    >>> rms([10, -10, 10, -10])
    10.0
    """
    shares, peak = _shares_of_peak(signed_samples("samples", samples))
    return answer(peak * _root_mean_square(shares))


def peak_to_rms(peak: ArrayLike) -> Numbers:
    """Return the effective value of a sine from its peak.

    Parameters
    ----------
    peak : array_like
        Peak of a sine without DC part [V or A], 0 or more.

    Returns
    -------
    float or ndarray
        Peak divided by the square root of 2 [V or A], shape of the input.

    Raises
    ------
    ValueError
        If the peak is negative or not a finite real number.

    Notes
    -----
    Holds for a pure sine only; other waveforms have another `crest_factor`. University Physics
    Volume 2, modules on alternating current.

    Examples
    --------
    >>> round(peak_to_rms(325.3), 1)
    230.0
    """
    return answer(magnitude("peak", peak) / np.sqrt(2.0))


def rms_to_peak(rms: ArrayLike) -> Numbers:
    """Return the peak of a sine from its effective value.

    Parameters
    ----------
    rms : array_like
        Effective value of a sine without DC part [V or A], 0 or more.

    Returns
    -------
    float or ndarray
        Effective value times the square root of 2 [V or A], shape of the input.

    Raises
    ------
    ValueError
        If the effective value is negative or not a finite real number.

    Notes
    -----
    Holds for a pure sine only. University Physics Volume 2,
    modules on alternating current.

    Examples
    --------
    >>> round(rms_to_peak(230), 1)
    325.3
    """
    return answer(magnitude("rms", rms) * np.sqrt(2.0))


def pulse_rms(high: ArrayLike, duty: ArrayLike, low: ArrayLike = 0.0) -> Numbers:
    """Return the effective value of a signal that switches between two levels.

    Parameters
    ----------
    high : array_like
        Level during the share ``duty`` of each period [V or A], with its sign.
    duty : array_like
        Share of the period at ``high``, a fraction from 0 to 1.
    low : array_like, optional
        Level during the rest of the period [V or A], with its sign.

    Returns
    -------
    float or ndarray
        Effective value [V or A], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If a level is not a finite real number, ``duty`` lies outside 0 to 1, or shapes disagree.

    Notes
    -----
    Holds for steep edges. It is what a DC-coupled true-RMS meter shows on the control pilot, and
    why such a reading gives neither the state nor the current. The row "pulse wave" of the public
    article on the form factor has the case ``low = 0``.

    Examples
    --------
    >>> pulse_rms(12, 0.25)
    6.0
    >>> round(pulse_rms(9, 0.5, low=-12), 3)
    10.607
    """
    upper = real("high", high)
    share = fraction("duty", duty)
    lower = real("low", low)
    together(high=upper, duty=share, low=lower)
    return answer(np.hypot(np.sqrt(share) * upper, np.sqrt(1.0 - share) * lower))


def combined_rms(components: ArrayLike) -> Numbers:
    """Return the effective value of a sum of components of different frequencies.

    Parameters
    ----------
    components : array_like
        Effective values of the components [V or A], shape (..., n), each 0 or more. A DC part is
        entered as its magnitude.

    Returns
    -------
    float or ndarray
        Square root of the sum of the squares [V or A], shape (...).

    Raises
    ------
    ValueError
        If a component is negative or not a finite real number, or there is none.

    Notes
    -----
    Holds for components of different frequencies (DC counts as one), whose products have no mean.
    Two parts of the same frequency add as phasors instead.

    Examples
    --------
    >>> combined_rms([12, 5])
    13.0
    """
    return answer(_root_of_squares(components, "components"))


def total_harmonic_distortion(fundamental: ArrayLike, harmonics: ArrayLike) -> Numbers:
    """Return the total harmonic distortion with the fundamental as its base.

    Parameters
    ----------
    fundamental : array_like
        Effective value of the fundamental [V or A], above 0, shape (...).
    harmonics : array_like
        Effective values of the 2nd, 3rd and higher harmonics [V or A], shape (..., n), each 0 or
        more; their order does not matter.

    Returns
    -------
    float or ndarray
        Distortion as a fraction of the fundamental (0.05 is 5 %), shape (...). It can exceed 1.

    Raises
    ------
    ValueError
        If the fundamental is not above 0, a harmonic is negative, or shapes disagree.

    Notes
    -----
    Some meters use the total effective value as the base and show a smaller figure; state the
    base with the result.

    Examples
    --------
    >>> total_harmonic_distortion(10, [0.3, 0.4])
    0.05
    """
    base = positive("fundamental", fundamental)
    distortion = _root_of_squares(harmonics, "harmonics")
    together(fundamental=base, harmonics=distortion)
    return answer(distortion / base)


def crest_factor(samples: ArrayLike) -> Numbers:
    """Return the peak of a waveform divided by its effective value.

    Parameters
    ----------
    samples : array_like
        Signed instantaneous values [V or A], shape (..., n), evenly over whole periods and dense
        enough to catch the peak.

    Returns
    -------
    float or ndarray
        Crest factor, at least 1, without unit, shape (...).

    Raises
    ------
    ValueError
        If a sample is not a finite real number, or all samples of a waveform are 0.

    Notes
    -----
    The larger of the positive and the negative peak counts. Definition as in Lessons In Electric
    Circuits, volume II, chapter 1.

    Examples
    --------
    >>> crest_factor([5, -5, 5, -5])
    1.0
    """
    return answer(1.0 / _root_mean_square(_shape_of_wave(samples)))


def form_factor(samples: ArrayLike) -> Numbers:
    """Return the effective value of a waveform divided by its rectified mean.

    Parameters
    ----------
    samples : array_like
        Signed instantaneous values [V or A], shape (..., n), evenly over whole periods.

    Returns
    -------
    float or ndarray
        Form factor, at least 1, without unit, shape (...).

    Raises
    ------
    ValueError
        If a sample is not a finite real number, or all samples of a waveform are 0.

    Notes
    -----
    A meter that responds to the mean multiplies it by 1.1107, the form factor of a sine, and is
    wrong for every other waveform. Lessons In Electric Circuits, volume II, chapter 1.

    Examples
    --------
    >>> form_factor([5, -5, 5, -5])
    1.0
    """
    shape = _shape_of_wave(samples)
    return answer(_root_mean_square(shape) / np.mean(np.abs(shape), axis=-1))


def _shares_of_peak(values: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return samples divided by their peak, whose squares neither vanish nor overflow, and the peak."""
    peak = np.max(np.abs(values), axis=-1, keepdims=True)
    return values / np.where(peak > 0.0, peak, 1.0), peak[..., 0]


def _root_mean_square(values: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(np.sqrt(np.mean(values**2, axis=-1)))


def _root_of_squares(components: ArrayLike, quantity: str) -> NDArray[np.float64]:
    check = "the sign: effective values have none, and a DC part is entered as its magnitude"
    values = np.atleast_1d(magnitude(quantity, components, check=check))
    return np.asarray(np.hypot.reduce(values, axis=-1))


def _shape_of_wave(samples: ArrayLike) -> NDArray[np.float64]:
    """Return samples with a peak of 1, or refuse those that are all 0."""
    shares, peak = _shares_of_peak(signed_samples("samples", samples))
    if (peak == 0.0).any():
        allowed = "samples of which at least one is not 0"
        raise refusal("samples", "only 0", allowed, "that the signal is there: zero has no waveform")
    return shares
