"""What the meters of a workshop show for the same voltage or current.

Ideal meters: no limit of crest factor or bandwidth, no error of their own. What a real meter does
stands in its manual.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from acpower._checks import Numbers, answer
from acpower._samples import curve

__all__ = ["AVERAGE_RESPONDING_FACTOR", "MeterReadings", "meter_readings"]

AVERAGE_RESPONDING_FACTOR = float(np.pi / (2.0 * np.sqrt(2.0)))
"""The form factor of a sine, 1.1107, by which an average-responding meter multiplies the rectified mean."""


@dataclass(frozen=True)
class MeterReadings:
    """What five meters show for one waveform [V or A]; floats, or arrays of one shape.

    Attributes
    ----------
    true_rms_ac_dc : float or ndarray
        True-RMS meter that takes AC and DC together: the effective value.
    true_rms_ac : float or ndarray
        True-RMS meter in a range with AC coupling: the effective value without the DC part.
    average_responding_ac_dc : float or ndarray
        Rectifier and moving coil without a capacitor: 1.1107 times the rectified mean.
    average_responding_ac : float or ndarray
        Average-responding meter with AC coupling: 1.1107 times the rectified mean of what is left
        without the DC part.
    dc : float or ndarray
        DC range: the mean, with its sign.
    """

    true_rms_ac_dc: Numbers
    true_rms_ac: Numbers
    average_responding_ac_dc: Numbers
    average_responding_ac: Numbers
    dc: Numbers


def meter_readings(samples: ArrayLike, times: ArrayLike | None = None) -> MeterReadings:
    """Return what true-RMS and average-responding meters, and a DC range, show for a waveform.

    Parameters
    ----------
    samples : array_like
        Signed instantaneous values [V or A], shape (..., n), over whole periods, as for `acpower.rms.rms`.
    times : array_like, optional
        Strictly rising time stamps [s], one for each sample; without them the steps are even.

    Returns
    -------
    MeterReadings
        The readings [V or A], each of shape (...).

    Raises
    ------
    ValueError
        If a sample is not a finite real number, there is none, or the stamps do not rise.

    Notes
    -----
    AC coupling is taken as ideal: a capacitor keeps the whole mean out and lets everything else
    through. Many meters couple their AC ranges so; the manual says which (common practice, no source).

    The factor 1.1107 is right for a sine only: it shows 11 % too much for a square wave, and 29 %
    too little for a half-wave rectified sine with its DC part. Lessons In Electric Circuits,
    volume II, chapter 1.

    None of the five shows the state or the current of a control pilot: the state is the positive
    plateau, the current is the duty.

    Examples
    --------
    >>> square = [100, 100, -100, -100]
    >>> print(f"{meter_readings(square).average_responding_ac:.1f} V")
    111.1 V
    >>> pilot = meter_readings([9, -12])
    >>> print(f"{pilot.true_rms_ac_dc:.3f} V, {pilot.true_rms_ac} V, {pilot.dc} V")
    10.607 V, 10.5 V, -1.5 V
    """
    whole, peak = curve(samples, times).normalised()
    alternating = whole.without_mean()
    return MeterReadings(
        true_rms_ac_dc=answer(peak * np.sqrt(whole.mean_square())),
        true_rms_ac=answer(peak * np.sqrt(alternating.mean_square())),
        average_responding_ac_dc=answer(peak * AVERAGE_RESPONDING_FACTOR * whole.mean_magnitude()),
        average_responding_ac=answer(peak * AVERAGE_RESPONDING_FACTOR * alternating.mean_magnitude()),
        dc=answer(peak * whole.mean()),
    )
