"""The circuit behind the control pilot: two levels, three resistors, a diode.

Voltages are in volts, resistances in ohms. The vehicle loads the pilot through a diode, so that it
pulls down the positive half of the signal only. Published parts and tolerances stand in the table
``circuit_parts``; the functions carry the nominal values as defaults.

This is arithmetic of circuits for teaching. It is not meant for building or testing stations: that
is licensed practice, with the standards and local codes at hand.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import Numbers, answer, choice, magnitude, positive, real, refuse_where, together
from acpower._parts import PARTS, Limits, worst_case

__all__ = [
    "Limits",
    "diode_found",
    "negative_plateau",
    "plateau_limits",
    "plateau_voltage",
    "recognition_limits",
    "resistance_from_plateau",
    "vehicle_resistance",
]


# What the vehicle connects from the pilot to the protective conductor: always the first resistor,
# and beside it the one that it switches on when it is ready.
_BRANCHES = {"B": ("B",), "C": ("B", "C"), "D": ("B", "D")}


def plateau_voltage(
    vehicle_resistance: ArrayLike,
    source_voltage: ArrayLike = 12.0,
    source_resistance: ArrayLike = 1000.0,
    diode_drop: ArrayLike = 0.7,
) -> Numbers:
    """Return the level of the control pilot at the station while its source is at the given voltage.

    Parameters
    ----------
    vehicle_resistance : array_like
        Resistance from pilot to protective conductor in the vehicle [ohm], 0 or more. For an open
        contact enter a large one.
    source_voltage : array_like, optional
        Open-circuit voltage of the station [V], with its sign.
    source_resistance : array_like, optional
        Resistor of the station [ohm], above 0.
    diode_drop : array_like, optional
        Forward voltage of the vehicle's diode [V], 0 or more.

    Returns
    -------
    float or ndarray
        Level [V], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If a resistance is out of range, the drop is negative, or a value is not a finite number.

    Notes
    -----
    U = U_d + (U_s - U_d) R_v / (R_s + R_v) while the diode conducts; below its forward voltage it
    blocks, and the level is that of the source, as in the negative half. Circuit of SAE J1772 and
    IEC 61851-1 Annex A from memory; the resistors are those of the table ``circuit_parts``.

    Examples
    --------
    >>> round(plateau_voltage(2740), 3)
    8.979
    >>> plateau_voltage(2740, source_voltage=-12)
    -12.0
    """
    ohms = magnitude("vehicle_resistance", vehicle_resistance, "ohm")
    source = real("source_voltage", source_voltage, "V")
    series = positive("source_resistance", source_resistance, "ohm")
    drop = magnitude("diode_drop", diode_drop, "V")
    together(vehicle_resistance=ohms, source_voltage=source, source_resistance=series, diode_drop=drop)
    return answer(np.minimum(source, drop + (source - drop) * (ohms / (series + ohms))))


def resistance_from_plateau(
    positive_level: ArrayLike,
    source_voltage: ArrayLike = 12.0,
    source_resistance: ArrayLike = 1000.0,
    diode_drop: ArrayLike = 0.7,
) -> Numbers:
    """Return the resistance of the vehicle that makes a positive level of the control pilot.

    Parameters
    ----------
    positive_level : array_like
        Level of the positive plateau at the station [V], from the forward voltage of the diode up
        to just below the source voltage.
    source_voltage, source_resistance, diode_drop : array_like, optional
        As for `plateau_voltage`.

    Returns
    -------
    float or ndarray
        Resistance [ohm], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If no resistance makes the level: it is below the forward voltage of the diode or not below
        the source voltage.

    Notes
    -----
    R_v = R_s (U - U_d) / (U_s - U), the inverse of `plateau_voltage`.

    Examples
    --------
    >>> round(resistance_from_plateau(9.0))
    2767
    """
    volts = real("positive_level", positive_level, "V")
    source = real("source_voltage", source_voltage, "V")
    series = positive("source_resistance", source_resistance, "ohm")
    drop = magnitude("diode_drop", diode_drop, "V")
    together(positive_level=volts, source_voltage=source, source_resistance=series, diode_drop=drop)
    refuse_where(
        (volts < drop) | (volts >= source),
        "positive_level",
        volts,
        "V",
        allowed="from the forward voltage of the diode up to below the source voltage",
        check="that the plateau was read with a vehicle connected, and that its diode is sound",
    )
    return answer(series * ((volts - drop) / (source - volts)))


def negative_plateau(vehicle_resistance: ArrayLike, *, diode_shorted: bool = False) -> Numbers:
    """Return the level of the control pilot in the negative half of the pulse signal.

    Parameters
    ----------
    vehicle_resistance : array_like
        Resistance from pilot to protective conductor in the vehicle [ohm], 0 or more.
    diode_shorted : bool, optional
        True for a vehicle whose diode is shorted, or a plain resistor in its place.

    Returns
    -------
    float or ndarray
        Level [V] with nominal source and resistor, shape of the input.

    Raises
    ------
    ValueError
        If the resistance is negative or not a finite real number.

    Notes
    -----
    A sound diode blocks and leaves -12 V. Without it the vehicle loads the negative half as well,
    and the station knows that something other than a vehicle hangs on its cable.

    Examples
    --------
    >>> negative_plateau(2740)
    -12.0
    >>> round(negative_plateau(2740, diode_shorted=True), 2)
    -8.79
    """
    ohms = magnitude("vehicle_resistance", vehicle_resistance, "ohm")
    source, series = PARTS["station level low"].nominal, PARTS["station resistor"].nominal
    loaded = source * ohms / (series + ohms)
    return answer(loaded if diode_shorted else np.full_like(ohms, source))


def diode_found(negative_level: ArrayLike) -> bool | NDArray[np.bool_]:
    """Tell whether a negative level of the control pilot shows a sound diode in the vehicle.

    Parameters
    ----------
    negative_level : array_like
        Level of the negative plateau at the station [V], with its sign.

    Returns
    -------
    bool or ndarray of bool
        True from -12.6 to -11.4 V, ends included; shape of the input.

    Raises
    ------
    ValueError
        If a level is not a finite real number.

    Notes
    -----
    The station looks at least once before its contactor closes, as a public issue thread quotes
    from SAE J1772 and IEC 61851-1. The band is that of the unloaded station, from a public bring-up
    guide; both are described in ``acpower/tables/sources.toml``.

    Examples
    --------
    >>> diode_found([-12.0, -8.79])
    array([ True, False])
    """
    volts = real("negative_level", negative_level, "V")
    band = PARTS["station level low"]
    found = (volts >= band.low) & (volts <= band.high)
    return bool(found) if found.ndim == 0 else found


def vehicle_resistance(state: str) -> float:
    """Return the nominal resistance with which a vehicle makes a state of the control pilot.

    Parameters
    ----------
    state : {"B", "C", "D"}
        State of the vehicle. A is an open contact; E and F are not made by a resistance.

    Returns
    -------
    float
        Resistance from pilot to protective conductor [ohm].

    Raises
    ------
    ValueError
        If the state is none of these.

    Notes
    -----
    2740 ohm, in state C parallel to 1300 ohm, in state D to 270 ohm: Table 2-3 of the design guide
    TIDUF04, which prints 882 and 246 ohm.

    Examples
    --------
    >>> vehicle_resistance("B"), round(vehicle_resistance("C"), 1), round(vehicle_resistance("D"), 1)
    (2740.0, 881.7, 245.8)
    """
    return _parallel(*(part.nominal for part in _vehicle_parts(state)))


def plateau_limits(state: str) -> Limits:
    """Return the positive levels that sound parts can make in a state: the worst case of tolerances.

    Parameters
    ----------
    state : {"B", "C", "D"}
        State of the vehicle.

    Returns
    -------
    Limits
        Lowest, nominal and highest level [V].

    Raises
    ------
    ValueError
        If the state is none of these.

    Notes
    -----
    Every part in turn at either end, all corners together: source 11.4 to 12.6 V and 970 to 1030
    ohm (public bring-up guide), resistors of the vehicle within 3 % and a diode of 0.55 to 0.85 V
    (from memory). The ends are those of the window set "component".

    Examples
    --------
    >>> limits = plateau_limits("C")
    >>> round(limits.low, 2), round(limits.high, 2)
    (5.47, 6.53)
    """
    source, series, drop = (
        PARTS[name] for name in ("station level high", "station resistor", "vehicle diode")
    )

    def level(source: float, series: float, drop: float, *resistors: float) -> Numbers:
        return plateau_voltage(_parallel(*resistors), source, series, drop)

    return worst_case(level, source, series, drop, *_vehicle_parts(state))


def recognition_limits(state: str) -> Limits:
    """Return the positive levels that a station must still recognise as a state.

    Parameters
    ----------
    state : {"B", "C"}
        State of the vehicle.

    Returns
    -------
    Limits
        Lowest, nominal and highest level [V].

    Raises
    ------
    ValueError
        If the state is none of these.

    Notes
    -----
    From the resistances in a public bring-up guide, with nominal source and diode: 1870 to 4610 ohm
    in state B; in state C 909 to 1723 ohm, parallel to 2740 ohm.

    Examples
    --------
    >>> limits = recognition_limits("B")
    >>> round(limits.low, 2), round(limits.high, 2)
    (8.06, 9.99)
    """
    part = PARTS[f"recognised resistor {choice('state', state, ('B', 'C'))}"]
    beside = () if state == "B" else (PARTS["vehicle resistor B"].nominal,)
    levels = (
        float(plateau_voltage(_parallel(ohms, *beside))) for ohms in (part.low, part.nominal, part.high)
    )
    return Limits(*levels)


def _vehicle_parts(state: str) -> list[Limits]:
    return [PARTS[f"vehicle resistor {branch}"] for branch in _BRANCHES[choice("state", state, _BRANCHES)]]


def _parallel(*resistances: float) -> float:
    return 1.0 / sum(1.0 / ohms for ohms in resistances)
