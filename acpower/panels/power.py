"""Panel: supply, station, cable and vehicle share one current; the smallest rating sets it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from acpower.charger import Cable, ChargingLimit, Station, Supply, Vehicle, battery_power, charging_limit
from acpower.figures.look import BLACK, ORANGE, SKY_BLUE, TEXT_SIZE, YELLOW, blank_figure, plain_axes
from acpower.panels.board import Board
from acpower.panels.controls import Control, choice, knob
from acpower.panels.panel import PICTURE_HEIGHT, PICTURE_WIDTH, Panel
from acpower.supply import nominal_supply

_LINKS = ("supply", "station", "cable", "vehicle")
_SCALES_KW = (6.0, 12.0, 24.0, 60.0)
_HIGHEST_CURRENT = 80


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


def connections() -> dict[str, Connection]:
    """Return the connections to choose from, with voltages from the table of supplies.

    >>> connections()["230/400 V, three-phase"]
    Connection(voltage=230.0, phases=3)
    """
    found = {}
    for key in ("iec-230-400", "china-220-380"):
        supply = nominal_supply(key)
        pair = f"{supply.phase_voltage_v:g}/{supply.line_voltage_v:g} V"
        found[f"{pair}, three-phase"] = Connection(supply.phase_voltage_v, 3)
        found[f"{pair}, line to neutral"] = Connection(supply.phase_voltage_v, 1)
    for key in ("north-america-120-240", "north-america-208", "japan-100-200"):
        supply = nominal_supply(key)
        pair = f"{supply.phase_voltage_v:g}/{supply.line_voltage_v:g} V, {supply.region}"
        found[f"{pair}, line to line"] = Connection(supply.line_voltage_v, 1)
    return found


def power_panel() -> Panel[Charging]:
    """Return the panel: ratings of the four links in; grid power, battery power, limiting link out."""

    def rating(label: str, amperes: float) -> Control:
        return knob(label, value=amperes, low=6, high=_HIGHEST_CURRENT, step=1)

    return Panel(
        controls={
            "connection": choice("Supply", connections()),
            "supply_current": rating("Supply (A)", 16),
            "station_current": rating("Station (A)", 32),
            "cable_current": rating("Cable (A)", 32),
            "vehicle_current": rating("Vehicle (A)", 20),
            "vehicle_phases": choice("Vehicle uses", {"three phases": 3, "two phases": 2, "one phase": 1}),
            "power_factor": knob("Power factor", value=1, low=0.5, high=1, step=0.01),
            "efficiency_percent": knob("Efficiency (%)", value=90, low=50, high=100, step=1),
        },
        calculate=charging,
        drawing=_Drawing(),
        words=charging_words,
        alt=_charging_alt,
    )


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


def _charging_alt(numbers: Charging) -> str:
    ratings = "; ".join(f"{link} {numbers.rating(link)}" for link in _LINKS)
    return f"Bars: the rated current of each link, one bar per phase: {ratings}. Below, the power."


class _Drawing:
    """Above, a bar per link and phase; below, power from the grid and into the battery."""

    def __init__(self) -> None:
        figure = blank_figure(PICTURE_WIDTH / 100, PICTURE_HEIGHT / 100)
        links = _bar_axes(figure, (0.15, 0.44, 0.5, 0.53), _LINKS, x_label="Current per phase (A)")
        links.set_xlim(0, _HIGHEST_CURRENT)
        self._bars = {
            link: [_bar(links, row - 0.27 + 0.27 * lane, 0.24) for lane in range(3)]
            for row, link in enumerate(_LINKS)
        }
        across = links.get_yaxis_transform()
        self._notes = {
            link: links.text(1.03, row, "", transform=across, va="center", fontsize=TEXT_SIZE - 1)
            for row, link in enumerate(_LINKS)
        }
        self._line = links.axvline(0, color=BLACK, linewidth=2, linestyle="--")

        self._power = _bar_axes(figure, (0.15, 0.13, 0.8, 0.16), ("grid", "battery"), x_label="Power (kW)")
        self._grid, self._battery, self._lost = (_bar(self._power, row, 0.8) for row in (0, 1, 1))
        self._lost.set(facecolor=YELLOW, hatch="....")
        self._values = [self._power.text(0, row, "", va="center", fontsize=TEXT_SIZE) for row in (0, 1)]
        bars = [bar for lanes in self._bars.values() for bar in lanes]
        powers = [self._grid, self._battery, self._lost, *self._values]
        self._board = Board(figure, [*bars, *self._notes.values(), self._line, *powers])

    def png(self, numbers: Charging) -> bytes:
        """Draw the chain; return the picture."""
        for link, bars in self._bars.items():
            current, phases, reasons = numbers.currents[link], numbers.phases[link], numbers.reasons(link)
            for lane, bar in enumerate(bars):
                bar.set(visible=lane < phases, width=current)
                bar.set(facecolor=ORANGE if reasons else SKY_BLUE, hatch="////" if reasons else "")
            note = numbers.rating(link)
            self._notes[link].set_text(f"{note}\nLIMITS {' and '.join(reasons)}" if reasons else note)
            self._notes[link].set_fontweight("bold" if reasons else "normal")
        self._line.set_xdata([numbers.limit.current] * 2)

        scale = next(scale for scale in _SCALES_KW if scale >= numbers.grid_kw)
        self._power.set_xlim(0, 1.6 * scale)
        self._grid.set_width(numbers.grid_kw)
        self._battery.set_width(numbers.battery_kw)
        self._lost.set(x=numbers.battery_kw, width=numbers.grid_kw - numbers.battery_kw)
        words = (f"{numbers.grid_kw:.2f} kW", f"{numbers.battery_kw:.2f} kW, rest heat")
        for value, text in zip(self._values, words, strict=True):
            value.set(x=numbers.grid_kw + 0.02 * scale, text=text)
        return self._board.png()


def _bar_axes(
    figure: Figure, place: tuple[float, float, float, float], names: Sequence[str], *, x_label: str
) -> Axes:
    axes = plain_axes(figure.add_axes(place), x_label=x_label)
    axes.set_ylim(len(names) - 0.45, -0.55)
    axes.set_yticks(range(len(names)), names)
    axes.tick_params(axis="y", length=0)
    axes.grid(False, axis="y")
    return axes


def _bar(axes: Axes, middle: float, height: float) -> Rectangle:
    bar = Rectangle((0, middle - height / 2), 1, height, facecolor=SKY_BLUE, edgecolor=BLACK)
    axes.add_patch(bar)
    return bar
