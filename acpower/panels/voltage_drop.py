"""Panel: the voltage along the cable of a charging point, and which cross-sections keep the limit."""

from dataclasses import dataclass
from functools import partial

import numpy as np

from acpower import tables
from acpower._checks import refusal
from acpower.circuit import voltage_drop, voltage_drop_limit, voltage_drop_percent
from acpower.figures.look import ORANGE, SKY_BLUE, spread
from acpower.figures.scene import (
    FIRST,
    GUIDE,
    LIMIT,
    Axis,
    Box,
    Chart,
    Fill,
    Line,
    Mark,
    Scene,
    Text,
    Thing,
    level,
)
from acpower.panels.controls import Choice, Knob
from acpower.panels.panel import Panel
from acpower.region import Region, region_in_use

AREAS = tuple(
    float(row["area_square_mm"]) for row in tables.rows("conductors") if row["conductor_class"] == "2"
)
"""Cross-sections to choose from [mm2]: stranded copper of IEC 60228."""

_SCALES_PERCENT = (4.0, 8.0, 16.0, 32.0, 64.0, 100.0)
_FIRST_AREA = 6.0
_COLD_C = 20.0


@dataclass(frozen=True)
class Connection:
    """A voltage across one phase of the load [V], and the number of phases."""

    voltage: float
    phases: int


@dataclass(frozen=True)
class Drop:
    """The voltage along a cable in numbers; drops in percent of the voltage at the board."""

    connection: Connection
    area_mm2: float
    length_m: float
    current: float
    temperature_c: float
    drop: float
    percent: float
    cold_percent: float
    limit_percent: float
    percents: tuple[float, ...]

    @property
    def end_voltage(self) -> float:
        """Voltage at the charging point [V]."""
        return self.connection.voltage - self.drop

    @property
    def smallest_mm2(self) -> float | None:
        """The smallest cross-section that keeps the limit [mm2]; none if even the largest does not."""
        shares = zip(AREAS, self.percents, strict=True)
        return next((area for area, share in shares if share <= self.limit_percent), None)


def connections(region: Region) -> dict[str, Connection]:
    """Return the connections of a charging point in a region; the usual one first.

    >>> from acpower.region import REGIONS
    >>> list(connections(REGIONS["europe"])), list(connections(REGIONS["north-america"]))
    (['three phases, 230 V to neutral', 'one phase, 230 V'], ['one phase, 240 V', 'one phase, 208 V'])
    """
    one = {f"one phase, {region.single_phase_v:g} V": Connection(region.single_phase_v, 1)}
    site = region.three_phase
    if 3 in region.coupler.phases:
        volts = site.phase_voltage_v
        return {f"three phases, {volts:g} V to neutral": Connection(volts, 3)} | one
    return one | {f"one phase, {site.line_voltage_v:g} V": Connection(site.line_voltage_v, 1)}


def voltage_drop_panel() -> Panel[Drop]:
    """Return the panel: cable, current and temperature in; voltage along the cable and the limit out.

    Connections and the rule of the limit are those of the region in use.
    """
    region = region_in_use()
    sizes = sorted(AREAS, key=lambda area: area != _FIRST_AREA)  # the first one is chosen
    return Panel(
        "Voltage along the cable from the board to the charging point, and the drop of every cross-section",
        {
            "connection": Choice("Connection", connections(region)),
            "area_mm2": Choice("Copper", {f"{area:g} mm²": area for area in sizes}),
            "length_m": Knob("Length, one way", "m", value=40, low=1, high=250, step=1),
            "current": Knob("Current", "A", value=32, low=6, high=80, step=1),
            "temperature_c": Knob("Conductor temperature", "°C", value=70, low=_COLD_C, high=90, step=5),
        },
        calculate=partial(cable_drop, rule=region.breaker_series),
        scene=_scene,
        words=drop_words,
    )


def cable_drop(
    connection: Connection,
    area_mm2: float,
    length_m: float,
    current: float,
    temperature_c: float,
    rule: str,
) -> Drop:
    """Return the voltage drop in numbers at power factor 1; refuse a current that no voltage could drive."""
    drops = np.asarray(
        voltage_drop(current, length_m, AREAS, connection.phases, temperature_c=[[_COLD_C], [temperature_c]])
    )
    percents = np.asarray(voltage_drop_percent(drops, connection.voltage))
    at = AREAS.index(area_mm2)
    if percents[1, at] >= 100:
        allowed = f"less than the {connection.voltage:g} V of the supply"
        raise refusal("voltage drop", f"{drops[1, at]:.0f} V", allowed, "cross-section, length and current")
    return Drop(
        connection=connection,
        area_mm2=area_mm2,
        length_m=length_m,
        current=current,
        temperature_c=temperature_c,
        drop=float(drops[1, at]),
        percent=float(percents[1, at]),
        cold_percent=float(percents[0, at]),
        limit_percent=float(voltage_drop_limit(length_m, rule=rule)),
        percents=tuple(percents[1].tolist()),
    )


def drop_words(numbers: Drop) -> str:
    """Say the drop, the limit, and the smallest cross-section that keeps it."""
    kept = "keeps" if numbers.percent <= numbers.limit_percent else "exceeds"
    smallest = numbers.smallest_mm2
    least = f"{smallest:g} mm² or more keeps it" if smallest else "No cross-section of the table keeps it"
    return (
        f"{numbers.area_mm2:g} mm², {numbers.length_m:g} m, {numbers.current:g} A, "
        f"{numbers.temperature_c:g} °C: drop {numbers.drop:.2f} V = {numbers.percent:.2f} % "
        f"({numbers.cold_percent:.2f} % at {_COLD_C:g} °C), {numbers.end_voltage:.1f} V of "
        f"{numbers.connection.voltage:g} V arrive. That {kept} the limit of {numbers.limit_percent:.4g} %. "
        f"{least}; the current that the cable may carry decides as well."
    )


def _scene(numbers: Drop) -> Scene:
    """Draw the voltage from board to charging point; below, the drop of every cross-section."""
    listed = ", ".join(
        f"{area:g} mm² {share:.3g} %" for area, share in zip(AREAS, numbers.percents, strict=True)
    )
    return Scene(
        [_along_chart(numbers), _areas_chart(numbers)],
        description=f"Drop of every cross-section: {listed}. Bars above the limit are orange and hatched.",
    )


def _along_chart(numbers: Drop) -> Chart:
    volts = numbers.connection.voltage
    lowest = max(numbers.percent, numbers.limit_percent)
    scale = next(scale for scale in _SCALES_PERCENT if scale >= 1.25 * lowest or scale == 100)
    x = Axis(0, numbers.length_m, "Length of the cable (m)")
    y = Axis(volts * (1 - scale / 100), volts * (1 + 0.06 * scale / 100), "Voltage (V)")
    limit = volts * (1 - numbers.limit_percent / 100)
    cold = volts * (1 - numbers.cold_percent / 100)
    end, label_gap = numbers.length_m, (y.high - y.low) / 7
    places = spread([numbers.end_voltage, cold], label_gap)
    above = max(places[1] - volts, 0)
    things: list[Thing] = [
        level(x, limit, LIMIT),
        Text(0, limit, f"limit {numbers.limit_percent:.4g} %: {limit:.1f} V", shift=(0.5, -0.8)),
        Line([0, end], [volts, cold], GUIDE),
        Line([0, end], [volts, numbers.end_voltage], FIRST),
        Mark(end, numbers.end_voltage, "circle", FIRST.colour),
        Text(end, places[0] - above, f"{numbers.end_voltage:.1f} V", shift=(1.6, 0), bold=True),
    ]
    if numbers.temperature_c > _COLD_C:
        things.append(Text(end, places[1] - above, f"at {_COLD_C:g} °C", shift=(1.6, 0), leader=(end, cold)))
    return Chart(x, y, things, (0, 0, 1, 0.58), beside=9)


def _areas_chart(numbers: Drop) -> Chart:
    highest = 2.2 * numbers.limit_percent
    x = Axis(-0.7, len(AREAS) - 0.3, "Copper (mm²)", [(at, f"{area:g}") for at, area in enumerate(AREAS)])
    y = Axis(0, highest, "Drop (%)")
    things: list[Thing] = []
    for at, (area, share) in enumerate(zip(AREAS, numbers.percents, strict=True)):
        fill = Fill(SKY_BLUE) if share <= numbers.limit_percent else Fill(ORANGE, hatch=True)
        things.append(Box(fill, at - 0.32, at + 0.32, 0, min(share, highest)))
        if area == numbers.area_mm2:
            # The label of the first bar begins with it: in the middle it would reach the words of the scale.
            label, top = f"{share:.2f} %", min(share, highest)
            things.append(
                Text(at - 0.32, top, label, "start", shift=(0, 0.7), bold=True)
                if at == 0
                else Text(at, top, label, "middle", shift=(0, 0.7), bold=True)
            )
    things.append(level(x, numbers.limit_percent, LIMIT))
    things.append(Text(x.high, numbers.limit_percent, "limit", shift=(0.4, 0)))
    return Chart(x, y, things, (0, 0.6, 1, 0.4), grid=False, above=1.1, beside=5)
