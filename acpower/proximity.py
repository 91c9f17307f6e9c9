"""The proximity contact of a vehicle, with the cable attached to the station (SAE J1772).

Voltages are in volts, resistances in ohms. Published parts and tolerances stand in the table
``circuit_parts``; the functions carry the nominal values as defaults. The contact of a detachable
cable works in another way: `acpower.pilot.cable_rating`.

This is arithmetic of circuits for teaching. It is not meant for building or testing stations: that
is licensed practice, with the standards and local codes at hand.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import (
    LARGEST,
    Numbers,
    answer,
    choice,
    magnitude,
    positive,
    real,
    refuse_where,
    together,
)
from acpower._parts import PARTS, Limits, worst_case

__all__ = ["PROXIMITY_CONDITIONS", "proximity_condition", "proximity_limits", "proximity_voltage"]

PROXIMITY_CONDITIONS = ("not plugged", "button pressed", "latched")


def proximity_voltage(
    plug_resistance: ArrayLike,
    supply_voltage: ArrayLike = 5.0,
    pull_up: ArrayLike = 330.0,
    pull_down: ArrayLike = 2700.0,
) -> Numbers:
    """Return the voltage at the vehicle's proximity contact, cable attached to the station.

    Parameters
    ----------
    plug_resistance : array_like
        Resistance from proximity contact to protective conductor in the plug [ohm], 0 or more: 150
        latched, 480 with the release button pressed. Without a plug enter a large one.
    supply_voltage : array_like, optional
        Supply of the circuit in the vehicle [V], 0 or more.
    pull_up, pull_down : array_like, optional
        Resistors of the vehicle [ohm], above 0.

    Returns
    -------
    float or ndarray
        Voltage to protective conductor [V], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If a value is negative, not above 0 where it must be, or not a finite real number.

    Notes
    -----
    SAE J1772 as shown in public schematics. For a latched plug these resistors give 1.505 V, where
    one document prints 1.53 V; the table ``proximity_levels`` keeps both. The contact tells nothing
    about the rating of the cable: `acpower.pilot.cable_rating` is for detachable cables.

    Examples
    --------
    >>> proximity_voltage([150, 480, 1e9]).round(3)
    array([1.505, 2.763, 4.455])
    """
    plug = magnitude("plug_resistance", plug_resistance, "ohm")
    volts = magnitude("supply_voltage", supply_voltage, "V")
    up, down = positive("pull_up", pull_up, "ohm"), positive("pull_down", pull_down, "ohm")
    together(plug_resistance=plug, supply_voltage=volts, pull_up=up, pull_down=down)
    lower = plug * (down / (plug + down))
    return answer(volts * (lower / (up + lower)))


def proximity_limits(condition: str) -> Limits:
    """Return the band of voltages at the proximity contact in a condition: the worst case.

    Parameters
    ----------
    condition : {"not plugged", "button pressed", "latched"}
        One of ``PROXIMITY_CONDITIONS``.

    Returns
    -------
    Limits
        Lowest, nominal and highest voltage [V].

    Raises
    ------
    ValueError
        If the condition is unknown.

    Notes
    -----
    All corners of resistors within 10 % and a supply within 5 %; the tolerances are from memory.
    The three bands do not touch.

    Examples
    --------
    >>> limits = proximity_limits("button pressed")
    >>> round(limits.low, 2), round(limits.high, 2)
    (2.39, 3.16)
    """
    plug = {
        "not plugged": (),
        "button pressed": ("plug resistor", "button resistor"),
        "latched": ("plug resistor",),
    }[choice("condition", condition, PROXIMITY_CONDITIONS)]

    def level(supply: float, pull_up: float, pull_down: float, *plug: float) -> Numbers:
        return proximity_voltage(sum(plug) if plug else LARGEST, supply, pull_up, pull_down)

    parts = ("vehicle supply", "vehicle pull-up", "vehicle pull-down", *plug)
    return worst_case(level, *(PARTS[name] for name in parts))


def proximity_condition(voltage: ArrayLike) -> str | NDArray[np.str_]:
    """Return what the proximity contact of the vehicle tells, cable attached to the station.

    Parameters
    ----------
    voltage : array_like
        Voltage from proximity contact to protective conductor [V].

    Returns
    -------
    str or ndarray of str
        One of ``PROXIMITY_CONDITIONS``; shape of the input.

    Raises
    ------
    ValueError
        If a voltage lies between the bands or beyond them.

    Notes
    -----
    Bands of `proximity_limits`, ends included.

    Examples
    --------
    >>> proximity_condition(1.53)
    'latched'
    """
    volts = real("voltage", voltage, "V")
    bands = [proximity_limits(condition) for condition in PROXIMITY_CONDITIONS]
    inside = [(volts >= band.low) & (volts <= band.high) for band in bands]
    allowed = ", ".join(
        f"{band.low:.2f} to {band.high:.2f} V ({condition})"
        for band, condition in zip(bands, PROXIMITY_CONDITIONS, strict=True)
    )
    check = "supply and resistors of the circuit, and that the plug sits where it is thought to be"
    refuse_where(~np.any(inside, axis=0), "voltage", volts, "V", allowed=allowed, check=check)
    told = np.select(inside, PROXIMITY_CONDITIONS, default="")
    return str(told) if told.ndim == 0 else told
