"""Where charging with AC ends: the most that a coupler can pass on from a supply.

What lies above it comes from a DC station, whose rectifier stands outside the vehicle.
"""

from dataclasses import dataclass

from acpower._checks import refusal, shorten
from acpower.connectors import connector
from acpower.supply import NominalSupply, nominal_supply

__all__ = ["AcCeiling", "ac_ceiling"]


@dataclass(frozen=True)
class AcCeiling:
    """The most that a coupler can pass on, as returned by `ac_ceiling`.

    Attributes
    ----------
    power : float
        Active power at unity power factor [W].
    phases : int
        Number of phases in use.
    voltage : float
        Voltage across one phase of the load [V].
    current : float
        Current per phase [A].
    """

    power: float
    phases: int
    voltage: float
    current: float


def ac_ceiling(coupler: str, supply: str, phases: int | None = None) -> AcCeiling:
    """Return the greatest AC power that a coupler can pass on from a nominal supply.

    Parameters
    ----------
    coupler : str
        A key of `acpower.connectors.CONNECTORS`.
    supply : str
        A key of `acpower.supply.SUPPLIES`.
    phases : {1, 3}, optional
        Number of phases in use; left out, whichever gives more.

    Returns
    -------
    AcCeiling
        Power [W], phases, voltage [V] and current [A].

    Raises
    ------
    ValueError
        If a key is unknown, the voltage of the supply is above that of the coupler, no current of
        the coupler was read in a document, or coupler and supply do not have as many phases.

    Notes
    -----
    The highest rating that was read for the coupler with that number of phases; the table
    ``connector_ratings`` names the document of each. With one phase in systems of 100 to 127 V the
    charger is connected between two lines. Vehicles and sites stay below it, mostly far below: 11 kW
    is a usual on-board charger, common practice, no source. A coupler rating allows nothing by
    itself; the local code and a licensed electrician decide.

    Examples
    --------
    >>> ac_ceiling("type-1", "north-america-120-240").power
    19200.0
    >>> ac_ceiling("type-2", "europe-230-400")
    AcCeiling(power=43470.0, phases=3, voltage=230.0, current=63.0)
    >>> ac_ceiling("type-2", "europe-230-400", phases=1).current
    70.0
    """
    plug, grid = connector(coupler), nominal_supply(supply)
    currents = {1: plug.single_phase_a, 3: plug.three_phase_a if grid.phases == 3 else ()}
    ways = [_way(grid, count, max(amperes)) for count, amperes in currents.items() if amperes]
    if not ways:
        allowed = "one whose current was read in a document"
        raise refusal("coupler", repr(coupler), allowed, "the ratings and their status in the table")
    if phases is not None:
        possible = [str(way.phases) for way in ways]
        if str(phases) not in possible:
            check = "the contacts of the coupler and the phases of the supply"
            raise refusal("phases", shorten(phases), " or ".join(possible), check)
        ways = [way for way in ways if way.phases == phases]
    best = max(ways, key=lambda way: way.power)
    volts = grid.line_voltage_v if best.phases == 3 else best.voltage  # what stands between two contacts
    highest = plug.voltage_v
    if highest is not None and volts > highest:
        raise refusal("supply", f"{volts:.12g} V", f"up to {highest:.12g} V", "the rating of the coupler")
    return best


def _way(grid: NominalSupply, phases: int, amperes: float) -> AcCeiling:
    volts = grid.charger_voltage_v if phases == 1 else grid.phase_voltage_v
    return AcCeiling(power=phases * volts * amperes, phases=phases, voltage=volts, current=amperes)
