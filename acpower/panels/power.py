"""Panel: supply, station, cable and vehicle share one current; the smallest rating sets it."""

from collections.abc import Mapping
from dataclasses import dataclass

from acpower.charger import Cable, ChargingLimit, Station, Supply, Vehicle, battery_power, charging_limit
from acpower.figures.look import BLACK, ORANGE, SKY_BLUE, YELLOW
from acpower.figures.scene import Axis, Box, Chart, Fill, Pen, Scene, Text, Thing, upright
from acpower.panels.controls import Choice, Knob
from acpower.panels.panel import Panel
from acpower.region import Region, region_in_use
from acpower.supply import nominal_supply

_LINKS = ("supply", "station", "cable", "vehicle")
_SCALES_KW = (6.0, 12.0, 24.0, 60.0)
_HIGHEST_CURRENT = 80
_SUPPLIES = ("iec-230-400", "china-220-380", "north-america-120-240", "north-america-208", "japan-100-200")


@dataclass(frozen=True)
class Connection:
    """A voltage that a charger can be connected to, and the number of phases."""

    voltage: float
    phases: int


@dataclass(frozen=True)
class Charging:
    """The chain in numbers: rating and phases of each link, what limits, and the power."""

    connection: Connection
    currents: dict[str, float]
    phases: dict[str, int]
    power_factor: float
    efficiency: float
    limit: ChargingLimit
    grid_kw: float
    battery_kw: float

    def rating(self, link: str) -> str:
        """Say the rating of a link."""
        phases = self.phases[link]
        return f"{self.currents[link]:g} A, {phases} phase{'s' if phases > 1 else ''}"

    def reasons(self, link: str) -> list[str]:
        """Return what a link limits: current, phases, both or nothing."""
        if link not in self.limit.limited_by:
            return []
        rated: dict[str, Mapping[str, float]] = {"current": self.currents, "phases": self.phases}
        return [what for what, of in rated.items() if min(of.values()) == of[link] < max(of.values())]


def connections(region: Region) -> dict[str, Connection]:
    """Return the connections to choose from, with voltages from the table of supplies; the region's first.

    >>> from acpower.region import REGIONS
    >>> next(iter(connections(REGIONS["europe"]).items()))
    ('230/400 V, three-phase', Connection(voltage=230.0, phases=3))
    """
    found: dict[str, Connection] = {}
    for supply in (region.single_phase, region.three_phase, *map(nominal_supply, _SUPPLIES)):
        pair = f"{supply.phase_voltage_v:g}/{supply.line_voltage_v:g} V"
        if supply.charger_between_lines:
            found[f"{pair}, {supply.region}, line to line"] = Connection(supply.charger_voltage_v, 1)
        else:
            found[f"{pair}, three-phase"] = Connection(supply.phase_voltage_v, 3)
            found[f"{pair}, line to neutral"] = Connection(supply.phase_voltage_v, 1)
    return found


def power_panel(**start: float) -> Panel[Charging]:
    """Return the panel: ratings of the four links in; grid power, battery power, limiting link out.

    It begins with a supply of the region in use, and a vehicle of as many phases as its coupler has.

    Parameters
    ----------
    start
        Controls that begin elsewhere, by the names of the arguments of `charging`.

    Examples
    --------
    >>> power_panel(cable_current=13).numbers.limit.limited_by
    ('cable',)
    """
    region = region_in_use()
    uses = {"three phases": 3, "two phases": 2, "one phase": 1}
    if region.coupler.phases == (1,):
        uses = dict(reversed(uses.items()))

    def rating(label: str, amperes: float) -> Knob:
        return Knob(label, "A", value=amperes, low=6, high=_HIGHEST_CURRENT, step=1)

    panel = Panel(
        "Rated current of each link, one bar per phase, and the power that results",
        {
            "connection": Choice("Connection", connections(region)),
            "supply_current": rating("Supply", 16),
            "station_current": rating("Station", 32),
            "cable_current": rating("Cable", 32),
            "vehicle_current": rating("Vehicle", 20),
            "vehicle_phases": Choice("Vehicle uses", uses),
            "power_factor": Knob("Power factor", "", value=1, low=0.5, high=1, step=0.01),
            "efficiency_percent": Knob("Efficiency", "%", value=90, low=50, high=100, step=1),
        },
        calculate=charging,
        scene=_scene,
        words=charging_words,
    )
    panel.set(**start)
    return panel


def charging(
    connection: Connection,
    supply_current: float,
    station_current: float,
    cable_current: float,
    vehicle_current: float,
    vehicle_phases: int,
    power_factor: float,
    efficiency_percent: float,
) -> Charging:
    """Return the chain in numbers.

    Station and cable have as many phases as the supply or the vehicle asks for, so that only
    those two can limit the phases. All currents are per phase [A].
    """
    currents = {
        "supply": supply_current,
        "station": station_current,
        "cable": cable_current,
        "vehicle": vehicle_current,
    }
    most = max(connection.phases, vehicle_phases)
    phases = {"supply": connection.phases, "station": most, "cable": most, "vehicle": vehicle_phases}
    limit = charging_limit(
        Supply(connection.voltage, phases["supply"], supply_current, power_factor),
        Station(phases["station"], station_current),
        Cable(phases["cable"], cable_current),
        Vehicle(phases["vehicle"], vehicle_current),
    )
    efficiency = efficiency_percent / 100
    return Charging(
        connection=connection,
        currents=currents,
        phases=phases,
        power_factor=power_factor,
        efficiency=efficiency,
        limit=limit,
        grid_kw=limit.power / 1000,
        battery_kw=float(battery_power(limit.power, efficiency)) / 1000,
    )


def charging_words(numbers: Charging) -> str:
    """Say what limits and what power results."""
    limit = numbers.limit
    limiting = [f"{link} ({' and '.join(numbers.reasons(link))})" for link in _LINKS if numbers.reasons(link)]
    return (
        f"{'Limiting: ' + ', '.join(limiting) if limiting else 'All links are equal'}. "
        f"{limit.phases} × {numbers.connection.voltage:g} V × {limit.current:g} A × power factor "
        f"{numbers.power_factor:.2f} = {numbers.grid_kw:.2f} kW from the grid. "
        f"Times efficiency {numbers.efficiency:.2f}: {numbers.battery_kw:.2f} kW into the battery; "
        f"{numbers.grid_kw - numbers.battery_kw:.2f} kW becomes heat."
    )


def _scene(numbers: Charging) -> Scene:
    """Draw a bar per link and phase; below, power from the grid and into the battery."""
    ratings = "; ".join(f"{link} {numbers.rating(link)}" for link in _LINKS)
    return Scene([_links_chart(numbers), _power_chart(numbers)], description=f"Ratings: {ratings}.")


def _links_chart(numbers: Charging) -> Chart:
    amperes = Axis(0, _HIGHEST_CURRENT, "Current per phase (A)")
    rows = Axis(len(_LINKS) - 0.45, -0.55, ticks=tuple(enumerate(_LINKS)))
    things: list[Thing] = []
    for row, link in enumerate(_LINKS):
        reasons = numbers.reasons(link)
        fill = Fill(ORANGE, hatch=True) if reasons else Fill(SKY_BLUE)
        for lane in range(numbers.phases[link]):
            middle = row - 0.27 + 0.27 * lane
            things.append(Box(fill, 0, numbers.currents[link], middle - 0.12, middle + 0.12))
        limits = f"\nLIMITS {reasons[0] if len(reasons) == 1 else 'both'}" if reasons else ""
        note = numbers.rating(link) + limits
        things.append(Text(_HIGHEST_CURRENT, row, note, shift=(1, 0), bold=bool(reasons)))
    things.append(upright(rows, numbers.limit.current, Pen(BLACK, (9, 4), 2)))
    return Chart(amperes, rows, things, (0, 0, 1, 0.66), beside=18)


def _power_chart(numbers: Charging) -> Chart:
    scale = next(scale for scale in _SCALES_KW if scale >= numbers.grid_kw)
    rows = Axis(1.55, -0.55, ticks=((0, "grid"), (1, "battery")))
    things: list[Thing] = [
        Box(Fill(SKY_BLUE), 0, numbers.grid_kw, -0.4, 0.4),
        Box(Fill(SKY_BLUE), 0, numbers.battery_kw, 0.6, 1.4),
        Box(Fill(YELLOW, hatch=True), numbers.battery_kw, numbers.grid_kw, 0.6, 1.4),
        Text(numbers.grid_kw, 0, f"{numbers.grid_kw:.2f} kW", shift=(1, 0)),
        Text(numbers.grid_kw, 1, f"{numbers.battery_kw:.2f} kW, rest heat", shift=(1, 0)),
    ]
    return Chart(Axis(0, 1.7 * scale, "Power (kW)"), rows, things, (0, 0.68, 1, 0.32))
