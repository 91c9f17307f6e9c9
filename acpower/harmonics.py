"""Harmonics of a sampled voltage or current.

The numbers go on to `acpower.rms.total_harmonic_distortion` and `acpower.rms.combined_rms`; three
phasors of the same order, one for each phase, go on to `acpower.power.neutral_current`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import refusal, signed_samples, whole

__all__ = ["harmonic_phasors", "harmonics"]


def harmonics(samples: ArrayLike, periods: int = 1, highest: int = 40) -> NDArray[np.float64]:
    """Return the effective values of the fundamental and the harmonics.

    Parameters
    ----------
    samples : array_like
        Signed instantaneous values [V or A], shape (..., n), at even steps of time. They cover
        ``periods`` whole periods exactly; the end point must not repeat the start.
    periods : int, optional
        Whole periods of the fundamental in the samples, 1 or more.
    highest : int, optional
        Order of the last harmonic wanted, 1 or more. Each period needs more than ``2 * highest``
        samples.

    Returns
    -------
    ndarray
        Effective values [V or A], shape (..., highest). The fundamental comes first; the harmonic of
        order k stands at index k - 1. A DC part is in none of them: see `acpower.rms.mean`.

    Raises
    ------
    ValueError
        If a sample is not a finite real number, there are too few samples per period, or ``periods``
        or ``highest`` is not a whole number of 1 or more.

    Notes
    -----
    Discrete Fourier transform over whole periods. What lies above half the sampling rate appears at a
    wrong order: the instrument has to keep it out. Forty orders are what IEC 61000-3-2 counts (from
    memory).

    Examples
    --------
    >>> turn = np.arange(200) / 200
    >>> current = 20 * np.sin(2 * np.pi * turn) + 4 * np.sin(6 * np.pi * turn)
    >>> [round(float(value), 3) for value in harmonics(current, highest=3)]
    [14.142, 0.0, 2.828]
    """
    return np.abs(harmonic_phasors(samples, periods, highest))


def harmonic_phasors(samples: ArrayLike, periods: int = 1, highest: int = 40) -> NDArray[np.complex128]:
    """Return the fundamental and the harmonics with their phase angles.

    Parameters
    ----------
    samples, periods, highest
        As for `harmonics`.

    Returns
    -------
    ndarray of complex
        RMS phasors [V or A], shape (..., highest). The angle is 0 for a cosine, that is for a crest at
        the first sample, and -90 degrees for a sine.

    Raises
    ------
    ValueError
        As `harmonics`.

    Notes
    -----
    The angle of order k turns k times as fast as that of the fundamental when the start moves.

    Examples
    --------
    >>> turn = np.arange(200) / 200
    >>> fundamental = harmonic_phasors(20 * np.cos(2 * np.pi * turn - np.pi / 3))[0]
    >>> print(f"{abs(fundamental):.2f} A at {np.degrees(np.angle(fundamental)):.0f} degrees")
    14.14 A at -60 degrees
    """
    values = signed_samples("samples", samples)
    whole_periods = whole("periods", periods)
    last = whole("highest", highest)
    count = values.shape[-1]
    if count <= 2 * last * whole_periods:
        raise refusal(
            "samples",
            f"{count} of them for {whole_periods} periods",
            f"more than {2 * last} per period for {last} harmonics",
            "the number of periods, or ask for fewer harmonics",
        )
    orders = whole_periods * np.arange(1, last + 1)
    return np.asarray(np.sqrt(2.0) / count * np.fft.rfft(values, axis=-1)[..., orders])
