"""A four-wire feeder with unequal loads: what one charger does to the voltages of all three phases.

Voltages and currents are phasors: complex effective values, of which ``abs()`` is what a meter shows.
Loads hold their power, as chargers do. The source is stiff and balanced, with L1 at 0 degrees.

The arithmetic of a drawn circuit; whether a feeder may carry a load is decided by the local code and
a licensed electrician.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import (
    Numbers,
    answer,
    impedances,
    positive,
    refuse_where,
    three_phasors,
    together,
)
from acpower.power import neutral_current

__all__ = ["FeederEnd", "feeder_end", "voltage_unbalance"]

Phasors = NDArray[np.complex128]

# Voltages are found when a step moves none by more than this share of the source voltage. The nearer
# a load comes to the maximum power transfer, the less a step gains: 1000 reach 99.98 % of it.
_TOLERANCE = 1e-12
_STEPS = 1000

_STAR = np.exp(-2j * np.pi / 3 * np.arange(3))
_TURN = np.exp(2j * np.pi / 3)
_POSITIVE_SEQUENCE = np.array([1.0, _TURN, _TURN**2]) / 3.0
_NEGATIVE_SEQUENCE = np.array([1.0, _TURN**2, _TURN]) / 3.0


@dataclass(frozen=True)
class FeederEnd:
    """The end of a four-wire feeder, as returned by `feeder_end`.

    Attributes
    ----------
    phase_voltages : ndarray
        Phasors from L1, L2 and L3 to neutral at the end of the feeder [V], shape (..., 3).
    line_currents : ndarray
        Phasors in the line conductors towards the end [A], shape (..., 3).
    neutral_current : float or ndarray
        Effective value in the neutral [A].
    unbalance : float or ndarray
        `voltage_unbalance` at the end, a fraction.
    """

    phase_voltages: Phasors
    line_currents: Phasors
    neutral_current: Numbers
    unbalance: Numbers


def feeder_end(
    phase_voltage: ArrayLike, powers: ArrayLike, line_impedance: ArrayLike, neutral_impedance: ArrayLike
) -> FeederEnd:
    """Return voltages and currents at the end of a four-wire feeder with three single-phase loads.

    Parameters
    ----------
    phase_voltage : array_like
        From line to neutral at the source [V], above 0.
    powers : array_like
        Of the loads on L1, L2 and L3 as P + jQ [VA], shape (..., 3): a real number is active power
        alone, a positive reactive part lags, 0 is an idle phase, negative active power feeds back.
    line_impedance, neutral_impedance : array_like
        Of each line conductor and of the neutral, one way, as R + jX [ohm], R not negative.

    Returns
    -------
    FeederEnd
        Voltages, currents and unbalance; leading axes broadcast.

    Raises
    ------
    ValueError
        If a value lies outside its range, or the feeder cannot carry the loads: beyond the maximum
        power transfer there are no voltages at which they would settle.

    Notes
    -----
    U_s = U + Z_line I + Z_neutral (I_1 + I_2 + I_3) for each phase with I = (S / U)*, solved by repeated
    substitution from U = U_s on, until no voltage moves by more than 1e-12 of U_s. Holds for conductors
    without mutual coupling. Equal loads are refused where the smallest difference between them would
    grow without end: with a neutral as thick as the lines, from a drop of one third on.

    The current of one charger moves the neutral as well: its own phase falls by the drop on line and
    neutral, and the other two rise a little. At the same current one charger on a single phase has
    twice the drop of a balanced load, if the neutral is as thick as the lines.

    Examples
    --------
    A charger of 4.6 kW on L1 behind 40 m of 4 mm2 copper at 20 degC (4.61 ohm/km):

    >>> end = feeder_end(230.94, [4600, 0, 0], 0.1844, 0.1844)
    >>> (abs(end.phase_voltages) / 230.94 * 100).round(2)
    array([ 96.71, 100.83, 100.83])
    """
    volts = positive("phase_voltage", phase_voltage, "V")[..., np.newaxis]
    watts = three_phasors("powers", powers, "VA")
    line = impedances("line_impedance", line_impedance)[..., np.newaxis]
    neutral = impedances("neutral_impedance", neutral_impedance)[..., np.newaxis]
    together(phase_voltage=volts, powers=watts, line_impedance=line, neutral_impedance=neutral)

    source = volts * _STAR
    shape = np.broadcast_shapes(source.shape, watts.shape, line.shape, neutral.shape)
    voltages = np.broadcast_to(source, shape)
    with np.errstate(all="ignore"):  # beyond the maximum the steps run away, which is refused below
        for _ in range(_STEPS):
            currents = np.conj(watts / voltages)
            before = voltages
            voltages = source - line * currents - neutral * np.sum(currents, axis=-1, keepdims=True)
            settled = np.all(np.abs(voltages - before) <= _TOLERANCE * volts, axis=-1)
            if settled.all():
                break
        # One load alone takes most when its impedance is as big as that of line and neutral together.
        loop = (line + neutral)[..., 0]
        most = np.broadcast_to(volts[..., 0] ** 2 / (2.0 * (np.abs(loop) + loop.real)), settled.shape)
    total = np.broadcast_to(np.sum(np.abs(watts), axis=-1), settled.shape)
    if not settled.all():
        limit = f"one phase alone takes at most {most[~settled][0]:.6g} W at power factor 1"
        allowed = f"what the feeder can carry; {limit}"
        check = "that the powers are in W, and the length and cross-section of the feeder"
        refuse_where(~settled, "powers", total, "VA together", allowed=allowed, check=check)
    currents = np.conj(watts / voltages)
    return FeederEnd(
        phase_voltages=voltages,
        line_currents=currents,
        neutral_current=neutral_current(currents),
        unbalance=voltage_unbalance(voltages),
    )


def voltage_unbalance(phasors: ArrayLike) -> Numbers:
    """Return the voltage unbalance factor of three phases.

    Parameters
    ----------
    phasors : array_like
        Voltages of L1, L2 and L3, to neutral or from line to line, as complex effective values [V],
        shape (..., 3), in the order of a right-handed phase sequence.

    Returns
    -------
    float or ndarray
        Negative over positive sequence voltage, a fraction, shape (...).

    Raises
    ------
    ValueError
        If there are not three phasors, one is not finite, or they have no positive sequence.

    Notes
    -----
    The definition by symmetrical components (from memory). EN 50160 allows 0 to 2 %, as quoted in the
    manual of a power monitor, appendix H; the standard was not opened. A shift of the neutral alone
    is no unbalance: it is a zero sequence.

    Examples
    --------
    >>> import numpy as np
    >>> turn = np.exp(-2j * np.pi / 3)
    >>> round(voltage_unbalance([220, 230 * turn, 230 / turn]), 4)
    0.0147
    """
    volts = three_phasors("phasors", phasors, "V")
    forward = np.abs(np.sum(_POSITIVE_SEQUENCE * volts, axis=-1))
    backward = np.abs(np.sum(_NEGATIVE_SEQUENCE * volts, axis=-1))
    check = "the order of the phases: L2 follows L1 by 120 degrees, L3 follows L2"
    none = forward <= 1e-9 * np.max(np.abs(volts), axis=-1)
    refuse_where(none, "positive sequence of phasors", forward, "V", allowed="above 0 V", check=check)
    return answer(backward / forward)
