"""Distorted currents: the power factor and the neutral with harmonics.

Currents are effective values of each order in amperes, the distortion is a fraction.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import Numbers, answer, fraction, magnitude, refusal, shorten, together
from acpower.power import neutral_current
from acpower.rms import combined_rms

__all__ = ["NeutralHarmonics", "neutral_harmonics", "true_power_factor"]

# The three phases of a harmonic, by the remainder of its order divided by 3: in phase, in the order
# L1 L2 L3, or in the order L1 L3 L2.
_TURNS = np.exp(-2j * np.pi / 3 * np.outer(range(3), range(3)))


def true_power_factor(displacement_factor: ArrayLike, distortion: ArrayLike) -> Numbers:
    """Return the power factor of a load whose current is shifted and distorted.

    Parameters
    ----------
    displacement_factor : array_like
        Cosine of the angle between the voltage and the fundamental current, a fraction from 0 to 1.
    distortion : array_like
        Total harmonic distortion of the current over its fundamental, as a fraction, 0 or more.

    Returns
    -------
    float or ndarray
        Active over apparent power, broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If a value is negative, not a finite real number, or the displacement factor exceeds 1.

    Notes
    -----
    Displacement factor times distortion factor, and the latter is 1 / sqrt(1 + THD^2). Holds for a
    clean voltage. The product is that of SAE J2894-1:2019, introduction, as its preview shows it.

    Examples
    --------
    >>> round(true_power_factor(0.98, 0.10), 4)
    0.9751
    """
    cosine = fraction("displacement_factor", displacement_factor)
    thd = magnitude("distortion", distortion)
    together(displacement_factor=cosine, distortion=thd)
    return answer(cosine / np.hypot(1.0, thd))


@dataclass(frozen=True)
class NeutralHarmonics:
    """Currents of a star with distorted currents, as returned by `neutral_harmonics`.

    Attributes
    ----------
    phase_currents : ndarray
        Effective value of each phase current with all its harmonics [A], shape (..., 3).
    by_order : mapping of int to float or ndarray
        Effective value in the neutral for each order [A].
    neutral_current : float or ndarray
        Effective value in the neutral with all orders [A].
    """

    phase_currents: NDArray[np.float64]
    by_order: Mapping[int, Numbers]
    neutral_current: Numbers


def neutral_harmonics(currents: Mapping[int, ArrayLike]) -> NeutralHarmonics:
    """Return what the harmonics of three phase currents add up to in the neutral.

    Parameters
    ----------
    currents : mapping of int to array_like
        For each order (1 is the fundamental) the effective value [A], 0 or more: one number for
        three equal phases, or values for L1, L2 and L3 on the last axis, shape (..., 3).

    Returns
    -------
    NeutralHarmonics
        Phase currents, neutral current for each order, and neutral current [A].

    Raises
    ------
    ValueError
        If there is no order, an order is not a whole number from 1 on, or a current is negative,
        not a finite real number, or neither one value nor three.

    Notes
    -----
    Holds where the phases carry the same waveform, one third of a period apart, in whatever size.
    The orders 3, 9, 15 ... (triplen) are then in phase and add as plain numbers; of equal phases
    all other orders cancel. With a third harmonic of k times the fundamental the neutral carries
    3 k / sqrt(1 + k^2) times the phase current, more than it from 35.4 % on. Lessons In Electric
    Circuits, volume II, chapter 10.

    Examples
    --------
    >>> found = neutral_harmonics({1: 16, 3: 4, 5: 2})
    >>> round(found.by_order[3], 6), round(found.by_order[5], 6), round(found.neutral_current, 6)
    (12.0, 0.0, 12.0)
    """
    if not isinstance(currents, Mapping) or not currents:
        example = "a dictionary such as {1: 16, 3: 4}"
        raise refusal("currents", shorten(currents), example, "that each order has its current")
    amperes = {
        f"currents[{shorten(order)}]": _three_phases(order, value) for order, value in currents.items()
    }
    together(**amperes)
    same_shape = np.broadcast_arrays(*amperes.values())
    by_order = {
        order: neutral_current(values * _TURNS[order % 3])
        for order, values in zip(currents, same_shape, strict=True)
    }
    return NeutralHarmonics(
        phase_currents=np.asarray(combined_rms(np.stack(same_shape, axis=-1))),
        by_order=MappingProxyType(by_order),
        neutral_current=combined_rms(np.stack(list(by_order.values()), axis=-1)),
    )


def _three_phases(order: object, value: ArrayLike) -> NDArray[np.float64]:
    if isinstance(order, bool) or not isinstance(order, int | np.integer) or order < 1:
        allowed = "whole numbers from 1 on"
        raise refusal(
            "order", shorten(order), allowed, "that the fundamental counts as 1, a third harmonic as 3"
        )
    amperes = magnitude(f"currents[{order}]", value, "A")
    if amperes.ndim and amperes.shape[-1] != 3:
        allowed = "one value, or three on the last axis"
        raise refusal(
            f"currents[{order}]", f"shape {amperes.shape}", allowed, "that each phase has its current"
        )
    return np.broadcast_to(amperes, (*amperes.shape[:-1], 3))
