"""Power, current and voltage of single-phase and balanced three-phase circuits.

Volts and amperes are effective values (RMS), power is active power in watts, the power factor is
a fraction. Scalars and arrays may be mixed and broadcast; a scalar result is a Python float.
"""

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import (
    Numbers,
    answer,
    fraction,
    magnitude,
    phasors,
    positive,
    three_phasors,
    together,
)

__all__ = [
    "PowerComponents",
    "line_to_phase",
    "neutral_current",
    "phase_to_line",
    "power_components",
    "reactive_power",
    "single_phase_current",
    "single_phase_power",
    "three_phase_current",
    "three_phase_power",
]


@dataclass(frozen=True)
class PowerComponents:
    """The power of a load, taken apart; floats, or arrays of one shape.

    Attributes
    ----------
    active : float or ndarray
        Active power [W]; negative where the load feeds back.
    reactive : float or ndarray
        Reactive power [var]; positive where the current lags behind the voltage.
    apparent : float or ndarray
        Apparent power [VA].
    power_factor : float or ndarray
        Active over apparent power, from -1 to 1; by common practice 1 where no power flows.
    """

    active: Numbers
    reactive: Numbers
    apparent: Numbers
    power_factor: Numbers

    @classmethod
    def of(cls, power: NDArray[np.complex128]) -> Self:
        """Take apart complex powers that a formula has worked out; they are not checked again.

        Parameters
        ----------
        power : ndarray of complex
            Active + j reactive power [VA], any shape.

        Returns
        -------
        PowerComponents
            Each of the shape of the powers.

        Examples
        --------
        >>> PowerComponents.of(np.array(1840 + 1380j)).apparent
        2300.0
        """
        apparent = np.abs(power)
        factor = np.divide(power.real, apparent, out=np.ones_like(apparent), where=apparent > 0.0)
        return cls(answer(power.real), answer(power.imag), answer(apparent), answer(factor))


def single_phase_power(voltage: ArrayLike, current: ArrayLike, power_factor: ArrayLike = 1.0) -> Numbers:
    """Return the active power of a single-phase circuit.

    Parameters
    ----------
    voltage : array_like
        Voltage across the load [V], 0 or more.
    current : array_like
        Current through the load [A], 0 or more.
    power_factor : array_like, optional
        Active over apparent power, a fraction from 0 to 1.

    Returns
    -------
    float or ndarray
        Active power [W], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If a value is negative, not a finite real number, or the power factor exceeds 1.

    Notes
    -----
    P = U I cos phi; with distorted current the true power factor takes the place of cos phi.
    Lessons In Electric Circuits, volume II, chapter 11.

    Examples
    --------
    >>> single_phase_power(230, 16)
    3680.0
    """
    volts = magnitude("voltage", voltage, "V")
    amperes = magnitude("current", current, "A")
    factor = fraction("power_factor", power_factor)
    together(voltage=volts, current=amperes, power_factor=factor)
    return answer(volts * amperes * factor)


def three_phase_power(line_voltage: ArrayLike, current: ArrayLike, power_factor: ArrayLike = 1.0) -> Numbers:
    """Return the active power of a balanced three-phase circuit.

    Parameters
    ----------
    line_voltage : array_like
        Voltage between two line conductors [V], 0 or more.
    current : array_like
        Current in each line conductor [A], 0 or more.
    power_factor : array_like, optional
        Active over apparent power, a fraction from 0 to 1.

    Returns
    -------
    float or ndarray
        Active power of all three phases together [W], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If a value is negative, not a finite real number, or the power factor exceeds 1.

    Notes
    -----
    P = sqrt 3 U_line I cos phi, for star and delta alike, if the three phases are loaded equally.
    With 400 V it gives 0.4 % more than three times 230 V: the nominal voltages are rounded.
    Lessons In Electric Circuits, volume II, chapter 10.

    Examples
    --------
    >>> round(three_phase_power(400, 16))
    11085
    """
    volts = magnitude("line_voltage", line_voltage, "V")
    amperes = magnitude("current", current, "A")
    factor = fraction("power_factor", power_factor)
    together(line_voltage=volts, current=amperes, power_factor=factor)
    return answer(np.sqrt(3.0) * volts * amperes * factor)


def single_phase_current(power: ArrayLike, voltage: ArrayLike, power_factor: ArrayLike = 1.0) -> Numbers:
    """Return the current that a single-phase load of given active power takes.

    Parameters
    ----------
    power : array_like
        Active power [W], 0 or more.
    voltage : array_like
        Voltage across the load [V], above 0.
    power_factor : array_like, optional
        Active over apparent power, a fraction above 0, up to 1.

    Returns
    -------
    float or ndarray
        Current [A], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If the power is negative, voltage or power factor is not above 0, or one is not finite.

    Notes
    -----
    The inverse of `single_phase_power`. Lessons In Electric Circuits, volume II, chapter 11.

    Examples
    --------
    >>> single_phase_current(3680, 230)
    16.0
    """
    watts = magnitude("power", power, "W")
    volts = positive("voltage", voltage, "V")
    factor = fraction("power_factor", power_factor, above_zero=True)
    together(power=watts, voltage=volts, power_factor=factor)
    return answer(watts / (volts * factor))


def three_phase_current(power: ArrayLike, line_voltage: ArrayLike, power_factor: ArrayLike = 1.0) -> Numbers:
    """Return the line current that a balanced three-phase load of given active power takes.

    Parameters
    ----------
    power : array_like
        Active power of all three phases together [W], 0 or more.
    line_voltage : array_like
        Voltage between two line conductors [V], above 0.
    power_factor : array_like, optional
        Active over apparent power, a fraction above 0, up to 1.

    Returns
    -------
    float or ndarray
        Current in each line conductor [A], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If the power is negative, voltage or power factor is not above 0, or one is not finite.

    Notes
    -----
    The inverse of `three_phase_power`; holds for equally loaded phases in star or delta. Lessons
    In Electric Circuits, volume II, chapter 10.

    Examples
    --------
    >>> round(three_phase_current(22_000, 400), 2)
    31.75
    """
    watts = magnitude("power", power, "W")
    volts = positive("line_voltage", line_voltage, "V")
    factor = fraction("power_factor", power_factor, above_zero=True)
    together(power=watts, line_voltage=volts, power_factor=factor)
    return answer(watts / (np.sqrt(3.0) * volts * factor))


def line_to_phase(line_voltage: ArrayLike) -> Numbers:
    """Return the voltage from a line conductor to neutral in a balanced star system.

    Parameters
    ----------
    line_voltage : array_like
        Voltage between two line conductors [V], 0 or more.

    Returns
    -------
    float or ndarray
        Line voltage divided by the square root of 3 [V], shape of the input.

    Raises
    ------
    ValueError
        If the voltage is negative or not a finite real number.

    Notes
    -----
    Holds for three phases 120 degrees apart, not for a split-phase supply, whose two legs are
    180 degrees apart. Lessons In Electric Circuits, volume II, chapter 10.

    Examples
    --------
    >>> round(line_to_phase(208), 1)
    120.1
    """
    return answer(magnitude("line_voltage", line_voltage, "V") / np.sqrt(3.0))


def phase_to_line(phase_voltage: ArrayLike) -> Numbers:
    """Return the voltage between two line conductors in a balanced star system.

    Parameters
    ----------
    phase_voltage : array_like
        Voltage from a line conductor to neutral [V], 0 or more.

    Returns
    -------
    float or ndarray
        Phase voltage times the square root of 3 [V], shape of the input.

    Raises
    ------
    ValueError
        If the voltage is negative or not a finite real number.

    Notes
    -----
    Holds for three phases 120 degrees apart, not for a split-phase supply. Lessons In Electric
    Circuits, volume II, chapter 10.

    Examples
    --------
    >>> round(phase_to_line(230), 1)
    398.4
    """
    return answer(magnitude("phase_voltage", phase_voltage, "V") * np.sqrt(3.0))


def neutral_current(phasors: ArrayLike) -> Numbers:
    """Return the current in the neutral from the three line currents.

    Parameters
    ----------
    phasors : array_like
        Line currents as complex effective values [A] of one frequency, shape (..., 3). A real
        number is a phasor at 0 degrees: three equal real numbers are currents in phase with one
        another, as third harmonics are, and not a balanced load.

    Returns
    -------
    float or ndarray
        Effective value of the neutral current [A], shape (...).

    Raises
    ------
    ValueError
        If there are not three phasors on the last axis, or one is not finite.

    Notes
    -----
    The current law at the star point. Currents of several frequencies are taken one frequency
    after the other and joined with `acpower.rms.combined_rms`. Lessons In Electric Circuits,
    volume II, chapter 10.

    Examples
    --------
    >>> import numpy as np
    >>> turn = np.exp(-2j * np.pi / 3)
    >>> round(neutral_current([20, 10 * turn, 10 / turn]), 3)
    10.0
    """
    return answer(np.abs(np.sum(three_phasors("phasors", phasors, "A"), axis=-1)))


def power_components(voltage: ArrayLike, current: ArrayLike) -> PowerComponents:
    """Return active, reactive and apparent power and the power factor from two phasors.

    Parameters
    ----------
    voltage : array_like
        Voltage across the load as a complex effective value [V]; a real number is at 0 degrees.
    current : array_like
        Current through the load as a complex effective value [A], of the same frequency.

    Returns
    -------
    PowerComponents
        P [W], Q [var], S [VA] and P / S, each of the broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If a value is not a finite complex number, or the shapes do not broadcast.

    Notes
    -----
    P + jQ = U I*, so that Q is positive for a lagging current. Holds for one frequency; for distorted
    currents see `acpower.distorted`. Lessons In Electric Circuits, volume II, chapter 11.

    Examples
    --------
    >>> power_components(230, 8 - 6j)
    PowerComponents(active=1840.0, reactive=1380.0, apparent=2300.0, power_factor=0.8)
    """
    volts = phasors("voltage", voltage, "V")
    amperes = phasors("current", current, "A")
    together(voltage=volts, current=amperes)
    return PowerComponents.of(np.asarray(volts * np.conj(amperes)))


def reactive_power(apparent_power: ArrayLike, power_factor: ArrayLike) -> Numbers:
    """Return the size of the reactive power from apparent power and power factor.

    Parameters
    ----------
    apparent_power : array_like
        Voltage times current [VA], 0 or more.
    power_factor : array_like
        Active over apparent power, a fraction from 0 to 1.

    Returns
    -------
    float or ndarray
        Reactive power [var], 0 or more, broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If a value is negative, not a finite real number, or the power factor exceeds 1.

    Notes
    -----
    Q = sqrt(S^2 - P^2) for sinusoidal voltage and current. A power factor does not tell lagging
    from leading. Lessons In Electric Circuits, volume II, chapter 11.

    Examples
    --------
    >>> round(reactive_power(2300, 0.8), 6)
    1380.0
    """
    voltamperes = magnitude("apparent_power", apparent_power, "VA")
    factor = fraction("power_factor", power_factor)
    together(apparent_power=voltamperes, power_factor=factor)
    return answer(voltamperes * np.sqrt((1.0 - factor) * (1.0 + factor)))
