"""The chain from socket to battery: which link sets the charging power, and what arrives.

Powers are in watts, currents in amperes per phase (RMS), the efficiency is a fraction.
"""

from dataclasses import dataclass

from numpy.typing import ArrayLike

from acpower._checks import (
    Numbers,
    answer,
    fraction,
    magnitude,
    positive,
    real,
    refusal,
    shorten,
    single,
    together,
)

__all__ = [
    "Cable",
    "ChargingLimit",
    "Station",
    "Supply",
    "Vehicle",
    "battery_power",
    "charging_limit",
    "grid_power",
]


def battery_power(ac_power: ArrayLike, efficiency: ArrayLike) -> Numbers:
    """Return the DC power into the battery from the AC power taken from the grid.

    Parameters
    ----------
    ac_power : array_like
        Active power from the grid [W], 0 or more.
    efficiency : array_like
        Power into the battery over power from the grid, a fraction above 0, up to 1.

    Returns
    -------
    float or ndarray
        Power into the battery [W], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If the power is negative, or the efficiency is not above 0 and up to 1.

    Notes
    -----
    Holds at one working point: a charger is less efficient at low power. Always say between which
    two points an efficiency was measured.

    Examples
    --------
    >>> round(battery_power(11_000, 0.9), 6)
    9900.0
    """
    watts = magnitude("ac_power", ac_power, "W")
    share = fraction("efficiency", efficiency, above_zero=True)
    together(ac_power=watts, efficiency=share)
    return answer(watts * share)


def grid_power(battery_power: ArrayLike, efficiency: ArrayLike) -> Numbers:
    """Return the AC power taken from the grid from the DC power into the battery.

    Parameters
    ----------
    battery_power : array_like
        Power into the battery [W], 0 or more.
    efficiency : array_like
        Power into the battery over power from the grid, a fraction above 0, up to 1.

    Returns
    -------
    float or ndarray
        Active power from the grid [W], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If the power is negative, or the efficiency is not above 0 and up to 1.

    Notes
    -----
    The inverse of `battery_power`. The loss is a share of the power from the grid, so adding it as
    a percentage to the power into the battery gives too little.

    Examples
    --------
    >>> grid_power(9900, 0.9)
    11000.0
    """
    watts = magnitude("battery_power", battery_power, "W")
    share = fraction("efficiency", efficiency, above_zero=True)
    together(battery_power=watts, efficiency=share)
    return answer(watts / share)


@dataclass(frozen=True)
class Supply:
    """The circuit that feeds the station; scalars only.

    Parameters
    ----------
    phase_voltage : float
        Voltage across one phase of the load [V], above 0. In a star system it is the voltage from
        line to neutral; a North American 240 V or 208 V circuit is one phase of that voltage.
    phases : int
        Number of phases, 1 to 3.
    current : float
        Largest continuous current per phase [A], 6 A or more.
    power_factor : float, optional
        Power factor of the charger, a fraction from 0 to 1.

    Raises
    ------
    ValueError
        If a value lies outside its range. Below 6 A the control pilot of IEC 61851-1 Annex A can
        offer nothing.

    Examples
    --------
    >>> Supply(230, 3, 32)
    Supply(phase_voltage=230.0, phases=3, current=32.0, power_factor=1.0)
    """

    phase_voltage: float
    phases: int
    current: float
    power_factor: float = 1.0

    def __post_init__(self) -> None:
        """Check the values and keep them as plain numbers."""
        voltage = single("phase_voltage", positive("phase_voltage", self.phase_voltage, "V"))
        factor = single("power_factor", fraction("power_factor", self.power_factor))
        object.__setattr__(self, "phase_voltage", voltage)
        object.__setattr__(self, "power_factor", factor)
        _check_link(self)


@dataclass(frozen=True)
class _Link:
    phases: int
    current: float

    def __post_init__(self) -> None:
        _check_link(self)


@dataclass(frozen=True)
class Station(_Link):
    """The charging station; scalars only.

    Parameters
    ----------
    phases : int
        Number of phases that it connects, 1 to 3.
    current : float
        Largest current per phase that it offers on the control pilot [A], 6 A or more.

    Raises
    ------
    ValueError
        If a value lies outside its range; 6 A is the floor of IEC 61851-1 Annex A.

    Examples
    --------
    >>> Station(3, 16)
    Station(phases=3, current=16.0)
    """


@dataclass(frozen=True)
class Cable(_Link):
    """The charging cable; scalars only.

    Parameters
    ----------
    phases : int
        Number of phases that it carries, 1 to 3.
    current : float
        Rating per phase [A], 6 A or more; see `acpower.pilot.cable_rating`.

    Raises
    ------
    ValueError
        If a value lies outside its range.

    Examples
    --------
    >>> Cable(1, 20)
    Cable(phases=1, current=20.0)
    """


@dataclass(frozen=True)
class Vehicle(_Link):
    """The vehicle with its on-board charger; scalars only.

    Parameters
    ----------
    phases : int
        Number of phases that the on-board charger uses, 1 to 3.
    current : float
        Largest current per phase that it draws [A], 6 A or more.

    Raises
    ------
    ValueError
        If a value lies outside its range; 6 A is the floor of IEC 61851-1 Annex A.

    Examples
    --------
    >>> Vehicle(1, 32)
    Vehicle(phases=1, current=32.0)
    """


@dataclass(frozen=True)
class ChargingLimit:
    """What the chain allows, as returned by `charging_limit`.

    Attributes
    ----------
    current : float
        Current per phase [A].
    phases : int
        Number of phases in use.
    power : float
        Active power from the grid [W].
    limited_by : tuple of str
        The limiting links, of "supply", "station", "cable" and "vehicle", in this order.
    """

    current: float
    phases: int
    power: float
    limited_by: tuple[str, ...]


def charging_limit(supply: Supply, station: Station, cable: Cable, vehicle: Vehicle) -> ChargingLimit:
    """Return how much current and power a chain of supply, station, cable and vehicle allows.

    Parameters
    ----------
    supply, station, cable, vehicle : Supply, Station, Cable, Vehicle
        The four links in the order of the chain; scalars only.

    Returns
    -------
    ChargingLimit
        Current per phase [A], phases in use, power from the grid [W], and the limiting links.

    Raises
    ------
    ValueError
        If a link is of the wrong kind. A link below 6 A is refused when it is made.

    Notes
    -----
    The smallest current and the smallest number of phases win, each for itself; the power is
    phases times phase voltage times current times power factor.

    A link limits the current if it has the smallest one and another link has more; likewise for
    the phases. If nothing stands out because all four links are equal, all four limit. So with
    32 A everywhere and a single-phase vehicle on a three-phase chain only the vehicle limits.

    Arithmetic of ratings; whether an installation may carry the current is decided by the local
    code and a licensed electrician.

    Examples
    --------
    >>> limit = charging_limit(Supply(230, 3, 32), Station(3, 32), Cable(3, 20), Vehicle(1, 32))
    >>> limit.current, limit.phases, limit.power, limit.limited_by
    (20.0, 1, 4600.0, ('cable', 'vehicle'))
    """
    links: dict[str, Supply | _Link] = {
        "supply": supply,
        "station": station,
        "cable": cable,
        "vehicle": vehicle,
    }
    for kind, (name, link) in zip((Supply, Station, Cable, Vehicle), links.items(), strict=True):
        if not isinstance(link, kind):
            raise refusal(
                name, shorten(link), f"a {kind.__name__}", "the order: supply, station, cable, vehicle"
            )
    currents = {name: link.current for name, link in links.items()}
    phases = {name: link.phases for name, link in links.items()}
    limiting = _holding_down(currents) | _holding_down(phases) or set(links)
    current, phase_count = min(currents.values()), min(phases.values())
    return ChargingLimit(
        current=current,
        phases=phase_count,
        power=phase_count * supply.phase_voltage * current * supply.power_factor,
        limited_by=tuple(name for name in links if name in limiting),
    )


def _holding_down(values: dict[str, float] | dict[str, int]) -> set[str]:
    """Return the names with the smallest value, or none if all values are equal."""
    least = min(values.values())
    return {name for name, value in values.items() if value == least < max(values.values())}


def _check_link(link: Supply | _Link) -> None:
    check = "the number of phases that carry the charging current"
    phases = single("phases", real("phases", link.phases, low=1, high=3, allowed="1, 2 or 3", check=check))
    if not phases.is_integer():
        raise refusal("phases", f"{phases:.12g}", "1, 2 or 3", check)
    check = "the rating: the pilot law of IEC 61851-1 Annex A starts at 6 A, below it nothing charges"
    current = real("current", link.current, "A", low=6.0, allowed="6 A or more", check=check)
    object.__setattr__(link, "phases", int(phases))
    object.__setattr__(link, "current", single("current", current))
