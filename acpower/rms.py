"""Effective values (RMS) of voltages and currents, and what describes a waveform.

Every function takes volts or amperes and gives back the same unit; ratios have none. Functions
of samples or components work over the last axis: shape (..., n) becomes (...), and a scalar
counts as a single sample. A scalar result is a Python float.

Functions of samples take them in two ways. Without ``times`` the samples are evenly spaced over whole
periods, and the end point does not repeat the start. With ``times`` [s], shape (n,) or (..., n), the
curve is straight from one sample to the next, and the first to the last stamp covers whole periods;
the result is the exact integral of that curve.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import Numbers, answer, fraction, magnitude, positive, real, refusal, together
from acpower._samples import Curve, curve

__all__ = [
    "combined_rms",
    "crest_factor",
    "form_factor",
    "mean",
    "peak_to_rms",
    "pulse_rms",
    "rectified_mean",
    "rms",
    "rms_to_peak",
    "total_harmonic_distortion",
]


def rms(samples: ArrayLike, times: ArrayLike | None = None) -> Numbers:
    """Return the effective value of samples.

    Parameters
    ----------
    samples : array_like
        Signed instantaneous values [V or A], shape (..., n). Half a period, or at even steps an end
        point that repeats the start, gives a wrong value.
    times : array_like, optional
        Strictly rising time stamps [s], one for each sample; without them the steps are even.

    Returns
    -------
    float or ndarray
        Square root of the mean of the squares [V or A], shape (...).

    Raises
    ------
    ValueError
        If a sample is not a finite real number, there is none, or the stamps do not rise.

    Notes
    -----
    The definition of the effective value, as in University Physics Volume 2, modules on alternating
    current. A straight line from a to b has the mean square (a² + a b + b²) / 3. A sine sampled N
    times per period and joined by straight lines comes out (pi / N)² / 3 too low: 0.03 % for 100.

    Examples
    --------
    >>> rms([10, -10, 10, -10])
    10.0
    >>> round(rms([10, -10, 10], times=[0, 0.012, 0.02]), 3)
    5.774
    """
    shape, peak = curve(samples, times).normalised()
    return answer(peak * np.sqrt(shape.mean_square()))


def mean(samples: ArrayLike, times: ArrayLike | None = None) -> Numbers:
    """Return the mean of samples, the DC part of a voltage or current.

    Parameters
    ----------
    samples, times
        As for `rms`.

    Returns
    -------
    float or ndarray
        Mean with its sign [V or A], shape (...).

    Raises
    ------
    ValueError
        As `rms`.

    Notes
    -----
    Holds over whole periods, as `rms` does. The integral over one period divided by the period, the
    definition of an average: University Physics Volume 2, modules on alternating current.

    Examples
    --------
    >>> mean([9, -12])
    -1.5
    >>> mean([0, 12, 0], times=[0, 0.001, 0.004])
    6.0
    """
    return answer(curve(samples, times).mean())


def rectified_mean(samples: ArrayLike, times: ArrayLike | None = None) -> Numbers:
    """Return the mean of the magnitude of samples, with every negative part turned upward.

    Parameters
    ----------
    samples, times
        As for `rms`.

    Returns
    -------
    float or ndarray
        Rectified mean [V or A], 0 or more, shape (...).

    Raises
    ------
    ValueError
        As `rms`.

    Notes
    -----
    With ``times`` a step from a to b through zero counts as the two triangles on either side of the
    crossing, (a² + b²) / (2 (abs a + abs b)), which is exact. Without, only the samples count, wherever
    the curve crosses zero between them. Lessons In Electric Circuits, volume II, chapter 1.

    Examples
    --------
    >>> rectified_mean([5, -5])
    5.0
    >>> rectified_mean([5, -5], times=[0, 0.01])
    2.5
    """
    shape, peak = curve(samples, times).normalised()
    return answer(peak * shape.mean_magnitude())


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


def crest_factor(samples: ArrayLike, times: ArrayLike | None = None) -> Numbers:
    """Return the peak of a waveform divided by its effective value.

    Parameters
    ----------
    samples, times
        As for `rms`; dense enough to catch the peak.

    Returns
    -------
    float or ndarray
        Crest factor, at least 1, without unit, shape (...).

    Raises
    ------
    ValueError
        As `rms`, and if all samples of a waveform are 0.

    Notes
    -----
    The larger of the positive and the negative peak counts. Definition as in Lessons In Electric
    Circuits, volume II, chapter 1.

    Examples
    --------
    >>> crest_factor([5, -5, 5, -5])
    1.0
    """
    return answer(1.0 / np.sqrt(_shape_of_wave(samples, times).mean_square()))


def form_factor(samples: ArrayLike, times: ArrayLike | None = None) -> Numbers:
    """Return the effective value of a waveform divided by its rectified mean.

    Parameters
    ----------
    samples, times
        As for `rms`.

    Returns
    -------
    float or ndarray
        Form factor, at least 1, without unit, shape (...).

    Raises
    ------
    ValueError
        As `rms`, and if all samples of a waveform are 0.

    Notes
    -----
    A meter that responds to the mean multiplies it by 1.1107, the form factor of a sine, and is
    wrong for every other waveform: see `acpower.meters`. Lessons In Electric Circuits, volume II,
    chapter 1.

    Examples
    --------
    >>> form_factor([5, -5, 5, -5])
    1.0
    """
    shape = _shape_of_wave(samples, times)
    return answer(np.sqrt(shape.mean_square()) / shape.mean_magnitude())


def _root_of_squares(components: ArrayLike, quantity: str) -> NDArray[np.float64]:
    check = "the sign: effective values have none, and a DC part is entered as its magnitude"
    values = np.atleast_1d(magnitude(quantity, components, check=check))
    return np.asarray(np.hypot.reduce(values, axis=-1))


def _shape_of_wave(samples: ArrayLike, times: ArrayLike | None) -> Curve:
    """Return the curve with a peak of 1, or refuse one that is 0 throughout."""
    shape, peak = curve(samples, times).normalised()
    if (peak == 0.0).any():
        allowed = "samples of which at least one is not 0"
        raise refusal("samples", "only 0", allowed, "that the signal is there: zero has no waveform")
    return shape
