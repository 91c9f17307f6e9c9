"""What protects a charging point: overload, earth fault, residual current; and the charging modes.

Currents of circuits are in amperes, residual currents in milliamperes as the trade says them. The
tables ``residual_current_devices`` and ``charging_modes`` hold the devices and modes; this module
gives them names.

This is arithmetic. It approves no installation: local codes and a licensed electrician decide.
Nobody tests protection by touching anything; a circuit is isolated, secured and proved dead first.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from numpy.typing import ArrayLike

from acpower import tables
from acpower._checks import DUST, Numbers, answer, choice, magnitude, positive, real, single, together

__all__ = [
    "CHARGING_MODES",
    "RESIDUAL_CURRENT_DEVICES",
    "ChargingMode",
    "OverloadCheck",
    "ResidualCurrentDevice",
    "broken_pen_voltage",
    "charging_mode",
    "check_overload",
    "electrode_resistance_limit",
    "ground_fault_trip_time",
    "residual_current_device",
]


@dataclass(frozen=True)
class OverloadCheck:
    """The three conditions between load, breaker and cable.

    Attributes
    ----------
    breaker_carries_load : bool
        Ib <= In: the breaker does not trip in normal service.
    cable_carries_breaker : bool
        In <= Iz: the cable carries for ever what the breaker lets through for ever.
    overload_trips_in_time : bool
        I2 <= 1.45 Iz: a small overload that lasts is cleared before the cable suffers.
    """

    breaker_carries_load: bool
    cable_carries_breaker: bool
    overload_trips_in_time: bool

    @property
    def passed(self) -> bool:
        """Whether all three conditions hold."""
        return self.breaker_carries_load and self.cable_carries_breaker and self.overload_trips_in_time


def check_overload(
    design_current: float, breaker_rating: float, cable_capacity: float, tripping_factor: float = 1.45
) -> OverloadCheck:
    """Return whether a breaker fits its load and protects its cable against overload.

    Parameters
    ----------
    design_current : float
        Current of the circuit in normal service, Ib [A], 0 or more.
    breaker_rating : float
        Rating of the breaker, In [A], above 0.
    cable_capacity : float
        Current that the cable carries as it is laid, Iz [A], above 0: from the local code, after all
        corrections for heat, grouping and insulation. This package has no table of it.
    tripping_factor : float, optional
        I2 / In, the multiple of its rating at which the breaker surely trips, 1 to 3. 1.45 for
        miniature circuit-breakers, by memory; a fuse may have 1.6.

    Returns
    -------
    OverloadCheck
        One answer for each condition, and ``passed`` for all of them.

    Raises
    ------
    ValueError
        If a value lies outside its range or is not one single number.

    Notes
    -----
    Ib <= In <= Iz and I2 <= 1.45 Iz, HD 60364-4-43 as cited in public documentation of a cable
    check; the standard was not opened. A difference of a billionth counts as none.

    Examples
    --------
    >>> check_overload(32, 40, 36)
    OverloadCheck(breaker_carries_load=True, cable_carries_breaker=False, overload_trips_in_time=False)
    >>> check_overload(32, 32, 36).passed
    True
    """
    load = single("design_current", magnitude("design_current", design_current, "A"))
    rating = single("breaker_rating", positive("breaker_rating", breaker_rating, "A"))
    capacity = single("cable_capacity", positive("cable_capacity", cable_capacity, "A"))
    factor = real(
        "tripping_factor",
        tripping_factor,
        low=1.0,
        high=3.0,
        allowed="1 to 3",
        check="that it is the tripping current divided by the rating",
    )
    tripping = rating * single("tripping_factor", factor)
    slack = 1.0 + DUST
    return OverloadCheck(
        breaker_carries_load=load <= rating * slack,
        cable_carries_breaker=rating <= capacity * slack,
        overload_trips_in_time=tripping <= 1.45 * capacity * slack,
    )


def electrode_resistance_limit(residual_ma: ArrayLike, touch_voltage: ArrayLike = 50.0) -> Numbers:
    """Return the largest resistance of the earth electrode in a TT system.

    Parameters
    ----------
    residual_ma : array_like
        Rated residual current of the RCD [mA], above 0.
    touch_voltage : array_like, optional
        Touch voltage that may stay [V], 0 or more.

    Returns
    -------
    float or ndarray
        Largest resistance from electrode and protective conductor to earth [ohm], broadcast shape.

    Raises
    ------
    ValueError
        If the residual current is not above 0, the touch voltage is negative, or one is not finite.

    Notes
    -----
    R_A I_dn <= 50 V, IEC 60364-4-41 by memory. It is the end of theory: soil dries and freezes, and
    practice asks for far less. 200 ohm is a figure in use: from memory, unconfirmed.

    Examples
    --------
    >>> round(electrode_resistance_limit(30))
    1667
    """
    milliamperes = positive("residual_ma", residual_ma, "mA")
    volts = magnitude("touch_voltage", touch_voltage, "V")
    together(residual_ma=milliamperes, touch_voltage=volts)
    return answer(1000.0 * (volts / milliamperes))


def broken_pen_voltage(
    voltage: ArrayLike, load_resistance: ArrayLike, electrode_resistance: ArrayLike
) -> Numbers:
    """Return the voltage that a broken PEN conductor puts on everything that is earthed.

    Parameters
    ----------
    voltage : array_like
        Voltage from line conductor to the star point of the source [V], 0 or more.
    load_resistance : array_like
        Resistance of the load that hangs on this phase behind the break [ohm], above 0.
    electrode_resistance : array_like
        Resistance from the earthing terminal through the electrode back to the source [ohm], 0 or
        more.

    Returns
    -------
    float or ndarray
        Voltage of the earthing terminal against distant earth [V], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If a value is negative or not finite, or the load resistance is not above 0.

    Notes
    -----
    Current law for a single load on one phase: U R_A / (R_A + R_load). Above 50 V it is dangerous to
    touch. An RCD does not see it, since no current goes astray; a vehicle on a charging cable stands
    outdoors with its body at this voltage. What a site needs against it is for the local code and a
    licensed electrician to say.

    Examples
    --------
    >>> broken_pen_voltage(230, 15, 5)
    57.5
    """
    volts = magnitude("voltage", voltage, "V")
    load = positive("load_resistance", load_resistance, "ohm")
    electrode = magnitude("electrode_resistance", electrode_resistance, "ohm")
    together(voltage=volts, load_resistance=load, electrode_resistance=electrode)
    return answer(volts * (electrode / (electrode + load)))


def ground_fault_trip_time(current_ma: ArrayLike) -> Numbers:
    """Return the longest time that North American protection of people may take to trip.

    Parameters
    ----------
    current_ma : array_like
        Current to ground [mA], 6 to 264.

    Returns
    -------
    float or ndarray
        Time [s], shape of the input.

    Raises
    ------
    ValueError
        If the current lies outside 6 to 264 mA.

    Notes
    -----
    t = (20 / I)^1.43, UL 943 (2006) as quoted in a trade forum; the standard was not opened. The ends
    of the range come from memory. It says nothing about an RCD to IEC standards, nor about CCID20.

    Examples
    --------
    >>> ground_fault_trip_time(20)
    1.0
    """
    milliamperes = real(
        "current_ma",
        current_ma,
        "mA",
        low=6.0,
        high=264.0,
        allowed="6 to 264 mA",
        check="that the current is entered in milliamperes; the curve ends there",
    )
    return answer((20.0 / milliamperes) ** 1.43)


@dataclass(frozen=True)
class ResidualCurrentDevice:
    """A device that trips on current that goes astray.

    Attributes
    ----------
    key, designation : str
        Name for look-ups and name of the type.
    detects : tuple of str
        Forms of residual current that it detects.
    charging_point : str
        Whether and how it serves a charging point.
    status : str
        What was read in a document and what comes from memory.
    source, place, note : str
        Keys in ``acpower/tables/sources.toml`` (several are separated by ";"), place, remark.
    """

    key: str
    designation: str
    detects: tuple[str, ...]
    charging_point: str
    status: str
    source: str
    place: str
    note: str


@dataclass(frozen=True)
class ChargingMode:
    """One of the four charging modes.

    Attributes
    ----------
    key : str
        Name for look-ups.
    current : str
        "AC" or "DC" in the charging cable.
    connection, device : str
        What the cable is connected to, and what watches over charging.
    status : str
        What was read in a document and what comes from memory.
    source, place, note : str
        Keys in ``acpower/tables/sources.toml`` (several are separated by ";"), place, remark.
    """

    key: str
    current: str
    connection: str
    device: str
    status: str
    source: str
    place: str
    note: str


def residual_current_device(key: str) -> ResidualCurrentDevice:
    """Return a residual-current device by its key.

    Parameters
    ----------
    key : str
        One of the keys of ``RESIDUAL_CURRENT_DEVICES``.

    Returns
    -------
    ResidualCurrentDevice
        The record with what it detects, its use, status and source.

    Raises
    ------
    ValueError
        If the key is unknown; the message lists the keys that there are.

    Notes
    -----
    Mostly from memory, as the status of each record says; no standard was opened.

    Examples
    --------
    >>> residual_current_device("type-b").detects[-1]
    'smooth DC'
    """
    return RESIDUAL_CURRENT_DEVICES[choice("key", key, RESIDUAL_CURRENT_DEVICES)]


def charging_mode(key: str) -> ChargingMode:
    """Return a charging mode by its key.

    Parameters
    ----------
    key : str
        One of the keys of ``CHARGING_MODES``: "mode-1" to "mode-4".

    Returns
    -------
    ChargingMode
        The record with connection, device, status and source.

    Raises
    ------
    ValueError
        If the key is unknown; the message lists the keys that there are.

    Notes
    -----
    Definitions from memory, devices of modes 2 and 3 as read; IEC 61851-1 was not opened.

    Examples
    --------
    >>> charging_mode("mode-3").connection
    'dedicated station'
    """
    return CHARGING_MODES[choice("key", key, CHARGING_MODES)]


def _device(row: dict[str, str]) -> ResidualCurrentDevice:
    return ResidualCurrentDevice(detects=tuple(row.pop("detects").split(";")), **row)


RESIDUAL_CURRENT_DEVICES: Mapping[str, ResidualCurrentDevice] = MappingProxyType(
    {row["key"]: _device(row) for row in tables.rows("residual_current_devices")}
)
CHARGING_MODES: Mapping[str, ChargingMode] = MappingProxyType(
    {row["key"]: ChargingMode(**row) for row in tables.rows("charging_modes")}
)
