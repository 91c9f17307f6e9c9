"""Loads that are not equal: split phase, star with and without neutral, delta.

Voltages and currents are phasors: complex effective values, of which ``abs()`` is what a meter shows.
The supply is stiff and balanced, with L1 at 0 degrees, so that line currents of several loads on one
supply may be added. A load is told by its power P + jQ [VA]: a real number is active power alone, a
positive reactive part lags, 0 is an idle phase. Leading axes broadcast.

The arithmetic of a circuit as drawn; work on a neutral belongs to a licensed electrician.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import (
    SMALLEST,
    Numbers,
    answer,
    impedances,
    magnitude,
    positive,
    refuse_where,
    three_phasors,
    together,
)
from acpower.power import PowerComponents, neutral_current, power_components

__all__ = [
    "UnbalancedLoads",
    "delta",
    "power_of_impedance",
    "split_phase",
    "star_with_neutral",
    "star_without_neutral",
]

Phasors = NDArray[np.complex128]

# L2 follows L1 by a third of a turn, L3 by two thirds.
_STAR = np.exp(-2j * np.pi / 3 * np.arange(3))
# From line to line: L1-L2, L2-L3, L3-L1, for a line voltage of 1.
_DELTA = (_STAR - np.roll(_STAR, -1)) / np.sqrt(3.0)
# L1 to neutral, L2 to neutral, L1 to L2, for a leg voltage of 1.
_SPLIT = np.array([1.0, -1.0, 2.0])


@dataclass(frozen=True)
class UnbalancedLoads:
    """Three loads on one supply, as returned by the functions of this module.

    Attributes
    ----------
    load_voltages, load_currents : ndarray
        Phasors across [V] and through [A] each load, shape (..., 3).
    line_currents : ndarray
        Phasors in the line conductors towards the loads [A], shape (..., 3), or (..., 2) for the
        two legs of a split phase.
    neutral_current : float, ndarray or None
        Effective value in the neutral [A]; None where the loads have no neutral.
    star_point_voltage : float, ndarray or None
        Effective value from the star point of the loads to the neutral of the supply [V]; None
        where the loads have no star point.
    powers : PowerComponents
        Of each load, shape (..., 3).
    total : PowerComponents
        Of the three together. The apparent power is that of the summed active and reactive powers,
        which is less than the sum of the three where their power factors differ.
    """

    load_voltages: Phasors
    load_currents: Phasors
    line_currents: Phasors
    neutral_current: Numbers | None
    star_point_voltage: Numbers | None
    powers: PowerComponents
    total: PowerComponents


def star_with_neutral(phase_voltage: ArrayLike, powers: ArrayLike) -> UnbalancedLoads:
    """Return the currents of three loads from line to neutral.

    Parameters
    ----------
    phase_voltage : array_like
        From each line to neutral [V], above 0.
    powers : array_like
        Of the loads on L1, L2 and L3 as P + jQ [VA], shape (..., 3).

    Returns
    -------
    UnbalancedLoads
        Line currents equal load currents; the neutral carries their sum.

    Raises
    ------
    ValueError
        If the voltage is not above 0, or there are not three finite powers.

    Notes
    -----
    The neutral holds each load at the phase voltage. Of a vehicle that charges with two phases the
    two currents are 120 degrees apart: the neutral carries as much as one line. Lessons In Electric
    Circuits, volume II, chapter 10.

    Examples
    --------
    >>> round(star_with_neutral(230, [3680, 3680, 0]).neutral_current, 6)
    16.0
    """
    volts, watts = _stiff("phase_voltage", phase_voltage, powers)
    voltages, currents = _loads(volts * _STAR, watts)
    unshifted = answer(np.zeros(currents.shape[:-1]))
    return _result(voltages, currents, currents, neutral_current(currents), unshifted)


def star_without_neutral(phase_voltage: ArrayLike, powers: ArrayLike) -> UnbalancedLoads:
    """Return voltages and currents of three loads in star whose star point is not connected.

    Parameters
    ----------
    phase_voltage : array_like
        From each line to the neutral of the supply [V], above 0.
    powers : array_like
        What the loads on L1, L2 and L3 would take at this voltage as P + jQ [VA], shape (..., 3),
        no active power negative. Each load is the fixed impedance that belongs to this power.

    Returns
    -------
    UnbalancedLoads
        The star point shifts away from the neutral of the supply, and each load gets another
        voltage and takes another power than rated.

    Raises
    ------
    ValueError
        If the voltage is not above 0, there are not three finite powers, one active power is
        negative, all three loads are idle, or their reactances cancel one another (resonance).

    Notes
    -----
    Millman's theorem: the star point lies at the mean of the line voltages, weighted with the
    admittances of the loads. The same happens behind a broken neutral, where the smallest load gets
    the highest voltage. A charger holds its power and not its impedance, so that it fares
    differently. The theorem is in Lessons In Electric Circuits, volume I, chapter 10 (from memory).

    Examples
    --------
    >>> abs(star_without_neutral(230, [2000, 1000, 1000]).load_voltages).round(1)
    array([172.5, 263.5, 263.5])
    """
    volts, watts = _stiff("phase_voltage", phase_voltage, powers)
    check = "the sign: here a load is an impedance, which cannot feed back"
    refuse_where(watts.real < 0.0, "powers", watts, "VA", allowed="active power of 0 W or more", check=check)
    together_watts, sizes = np.sum(watts, axis=-1, keepdims=True), np.sum(np.abs(watts), axis=-1)
    cancelled = np.abs(together_watts[..., 0]) <= 1e-9 * sizes
    allowed = "three of which the sum is not 0 VA"
    check = "that a load is connected, and that coils and capacitors do not cancel one another"
    refuse_where(cancelled, "sum of powers", together_watts[..., 0], "VA", allowed=allowed, check=check)
    # Admittances stand to one another as the conjugates of the rated powers.
    star_point = volts * np.sum(_STAR * np.conj(watts) / np.conj(together_watts), axis=-1, keepdims=True)
    voltages = volts * _STAR - star_point
    currents = voltages * np.conj(watts / volts) / volts
    return _result(voltages, currents, currents, None, answer(np.abs(star_point[..., 0])))


def delta(line_voltage: ArrayLike, powers: ArrayLike) -> UnbalancedLoads:
    """Return the currents of three loads from line to line.

    Parameters
    ----------
    line_voltage : array_like
        Between two line conductors [V], above 0.
    powers : array_like
        Of the loads L1-L2, L2-L3 and L3-L1 as P + jQ [VA], shape (..., 3).

    Returns
    -------
    UnbalancedLoads
        Each line carries the difference of the currents of its two loads.

    Raises
    ------
    ValueError
        If the voltage is not above 0, or there are not three finite powers.

    Notes
    -----
    With equal loads the line current is sqrt 3 times the load current, and only then. One load
    between two lines, as a North American 208 V circuit, loads these two lines equally. Lessons In
    Electric Circuits, volume II, chapter 10.

    Examples
    --------
    >>> abs(delta(208, [6656, 0, 0]).line_currents).round(6)
    array([32., 32.,  0.])
    """
    volts, watts = _stiff("line_voltage", line_voltage, powers)
    voltages, currents = _loads(volts * _DELTA, watts)
    return _result(voltages, currents, currents - np.roll(currents, 1, axis=-1), None, None)


def split_phase(leg_voltage: ArrayLike, powers: ArrayLike) -> UnbalancedLoads:
    """Return the currents of loads on the two legs of a split phase, and between them.

    Parameters
    ----------
    leg_voltage : array_like
        From each leg to neutral [V], above 0; between the legs there is twice as much.
    powers : array_like
        Of the loads L1 to neutral, L2 to neutral and L1 to L2 as P + jQ [VA], shape (..., 3).

    Returns
    -------
    UnbalancedLoads
        Two line currents; the neutral carries the difference of the two loads to neutral.

    Raises
    ------
    ValueError
        If the voltage is not above 0, or there are not three finite powers.

    Notes
    -----
    The legs are 180 degrees apart. A 240 V load between them leaves the neutral idle. Lessons In
    Electric Circuits, volume II, chapter 10.

    Examples
    --------
    >>> kitchen_and_car = split_phase(120, [2400, 1200, 7680])
    >>> abs(kitchen_and_car.line_currents).round(6), kitchen_and_car.neutral_current
    (array([52., 42.]), 10.0)
    """
    volts, watts = _stiff("leg_voltage", leg_voltage, powers)
    voltages, currents = _loads(volts * _SPLIT, watts)
    to_neutral, between = currents[..., :2], currents[..., 2:]
    in_neutral = answer(np.abs(np.sum(to_neutral, axis=-1)))
    return _result(voltages, currents, to_neutral + between * np.array([1.0, -1.0]), in_neutral, None)


def power_of_impedance(voltage: ArrayLike, impedance: ArrayLike) -> complex | Phasors:
    """Return the power that an impedance takes at a voltage, as the other functions want it.

    Parameters
    ----------
    voltage : array_like
        Effective value across the impedance [V], 0 or more.
    impedance : array_like
        R + jX [ohm], not 0, R not negative; X is positive for a coil and negative for a capacitor.

    Returns
    -------
    complex or ndarray
        P + jQ = U^2 / Z* [VA], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If the voltage is negative, the impedance is 0 or has a negative resistance, or one is not
        finite.

    Notes
    -----
    Ohm's law and P + jQ = U I*. Lessons In Electric Circuits, volume II, chapter 11.

    Examples
    --------
    >>> power_of_impedance(240, 32 + 24j)
    (1152+864j)
    """
    volts = magnitude("voltage", voltage, "V")
    ohms = impedances("impedance", impedance)
    check = "that it is no short circuit: the formula divides by it"
    refuse_where(np.abs(ohms) < SMALLEST, "impedance", ohms, "ohm", allowed="not 0 ohm", check=check)
    together(voltage=volts, impedance=ohms)
    power = np.asarray(volts * (volts / np.conj(ohms)), dtype=np.complex128)
    return power if power.ndim else complex(power)


def _stiff(name: str, voltage: ArrayLike, powers: ArrayLike) -> tuple[NDArray[np.float64], Phasors]:
    """Return the checked voltage, with an axis for the three loads, and their powers."""
    volts = positive(name, voltage, "V")[..., np.newaxis]
    watts = three_phasors("powers", powers, "VA")
    together(**{name: volts}, powers=watts)
    return volts, watts


def _loads(voltages: Phasors, powers: Phasors) -> tuple[Phasors, Phasors]:
    """Return the voltages in the common shape, and the currents of loads with these powers."""
    currents = np.conj(powers / voltages)
    return np.broadcast_to(voltages, currents.shape), currents


def _result(
    voltages: Phasors, currents: Phasors, lines: Phasors, neutral: Numbers | None, star_point: Numbers | None
) -> UnbalancedLoads:
    total = np.asarray(np.sum(voltages * np.conj(currents), axis=-1))
    return UnbalancedLoads(
        load_voltages=voltages,
        load_currents=currents,
        line_currents=lines,
        neutral_current=neutral,
        star_point_voltage=star_point,
        powers=power_components(voltages, currents),
        total=PowerComponents.of(total),
    )
