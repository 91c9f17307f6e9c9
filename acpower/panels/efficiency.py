"""Panel: efficiency of a charger against its power, and where the power from the grid goes."""

from dataclasses import dataclass
from functools import partial

import numpy as np

from acpower.efficiency import ChargerLosses
from acpower.figures.charge_time import usual_ac_kw
from acpower.figures.look import BLUE, ORANGE, SKY_BLUE, VERMILLION, YELLOW
from acpower.figures.scene import (
    FIRST,
    GUIDE,
    SECOND,
    THIN,
    Area,
    Axis,
    Chart,
    Fill,
    Line,
    Mark,
    Scene,
    Text,
    Thing,
    upright,
)
from acpower.panels.controls import Knob
from acpower.panels.panel import Panel
from acpower.region import region_in_use

_LOWEST_KW = 1.4
_SCALES_KW = (8.0, 12.0, 16.0)
_FLOORS_PERCENT = (80, 60, 20)
_WIDTHS_KW = (3.0, 6.0, 12.0)
_ALONG = np.linspace(0, 1, 25)
_BEND = 0.5 - 0.5 * np.cos(np.pi * _ALONG)
"""From 0 to 1 in the form of an S: the way of a branch."""


@dataclass(frozen=True)
class PowerFlow:
    """Where the power from the grid goes: into the charger's heat, the auxiliaries and the battery [kW]."""

    charger: ChargerLosses
    auxiliaries_w: float
    grid_kw: float
    heat_kw: float
    battery_kw: float

    @property
    def whole(self) -> ChargerLosses:
        """Charger and auxiliaries together: the auxiliaries are one more fixed loss."""
        fixed = float(self.charger.fixed) + self.auxiliaries_w  # type: ignore[arg-type]
        return ChargerLosses(self.charger.rated_power, fixed, self.charger.linear, self.charger.quadratic)

    @property
    def charger_efficiency(self) -> float:
        """Efficiency from the grid to the output of the charger, a fraction."""
        return 1 - self.heat_kw / self.grid_kw

    @property
    def efficiency(self) -> float:
        """Efficiency from the grid to the battery, a fraction."""
        return self.battery_kw / self.grid_kw

    @property
    def best_kw(self) -> float:
        """Power from the grid at which the whole is most efficient [kW]; full load where more is better."""
        rated = float(self.charger.rated_power)  # type: ignore[arg-type]
        best = float(self.whole.best_power()) if self.charger.quadratic else rated
        return min(best, rated) / 1000


def efficiency_panel() -> Panel[PowerFlow]:
    """Return the panel: power, three losses, auxiliaries in; efficiency and flow of the power out.

    Full load is the power of a usual charging point at home in the region in use.
    """
    rated_w = round(1000 * usual_ac_kw(region_in_use()), -2)
    return Panel(
        f"Efficiency of a charger up to {rated_w / 1000:g} kW against power from the grid, and the flow of power",
        {
            "grid_kw": Knob(
                "Grid power", "kW", value=rated_w / 1000, low=_LOWEST_KW, high=rated_w / 1000, step=0.1
            ),
            "fixed_w": Knob("Fixed loss", "W", value=80, low=10, high=300, step=10),
            "linear_w": Knob("Linear loss at full load", "W", value=250, low=0, high=600, step=10),
            "quadratic_w": Knob("Quadratic loss at full load", "W", value=400, low=0, high=1000, step=10),
            "auxiliaries_w": Knob("Auxiliaries", "W", value=100, low=0, high=400, step=10),
        },
        calculate=partial(flow, rated_w=rated_w),
        scene=_scene,
        words=flow_words,
    )


def flow(
    grid_kw: float,
    fixed_w: float,
    linear_w: float,
    quadratic_w: float,
    auxiliaries_w: float,
    rated_w: float,
) -> PowerFlow:
    """Return where the power goes; the auxiliaries are fed behind the charger.

    >>> round(flow(3.68, 80, 250, 400, 0, rated_w=11_000).efficiency, 3)
    0.943
    """
    charger = ChargerLosses(rated_w, fixed_w, linear_w, quadratic_w)
    behind_kw = float(charger.battery_power(1000 * grid_kw)) / 1000
    return PowerFlow(
        charger=charger,
        auxiliaries_w=auxiliaries_w,
        grid_kw=grid_kw,
        heat_kw=grid_kw - behind_kw,
        battery_kw=behind_kw - auxiliaries_w / 1000,
    )


def flow_words(numbers: PowerFlow) -> str:
    """Say the powers, the efficiency between both pairs of points, the loss on both bases, the best power."""
    lost_kw = numbers.grid_kw - numbers.battery_kw
    return (
        f"{numbers.grid_kw:.2f} kW from the grid − {numbers.heat_kw:.2f} kW heat in the charger − "
        f"{numbers.auxiliaries_w / 1000:.2f} kW auxiliaries = {numbers.battery_kw:.2f} kW into the battery. "
        f"Efficiency from grid to battery {100 * numbers.efficiency:.1f} %, of the charger alone "
        f"{100 * numbers.charger_efficiency:.1f} %. The loss of {lost_kw:.2f} kW is "
        f"{100 * lost_kw / numbers.grid_kw:.1f} % of the grid side and "
        f"{100 * lost_kw / numbers.battery_kw:.1f} % of the battery side. "
        f"Best power from the grid: {numbers.best_kw:.1f} kW."
    )


def _scene(numbers: PowerFlow) -> Scene:
    """Draw both efficiencies against the power, and below it the flow as a band."""
    return Scene(
        [_curves(numbers), _band(numbers)],
        description=(
            "Above: efficiency against power from the grid, with and without auxiliaries. Below: a band as "
            "wide as the power; heat and auxiliaries branch off."
        ),
    )


def _curves(numbers: PowerFlow) -> Chart:
    rated_kw = float(numbers.charger.rated_power) / 1000  # type: ignore[arg-type]
    scale = next(scale for scale in _SCALES_KW if scale >= rated_kw)
    lowest, highest = 100 * numbers.efficiency, 100 * numbers.charger_efficiency
    floor = next(floor for floor in _FLOORS_PERCENT if floor < lowest - 1)
    x, y = Axis(0, scale, "Power from the grid (kW)"), Axis(floor, 100, "Efficiency (%)")
    powers = np.linspace(0.02 * rated_kw, rated_kw, 150)
    best_kw = numbers.best_kw
    things: list[Thing] = [
        upright(y, numbers.grid_kw, GUIDE),
        Line(powers, 100 * np.asarray(numbers.charger.at(1000 * powers)), SECOND),
        Line(powers, 100 * np.asarray(numbers.whole.at(1000 * powers)), FIRST),
        Mark(best_kw, 100 * float(numbers.whole.at(1000 * best_kw)), "diamond", YELLOW),
        Mark(numbers.grid_kw, highest, "square", VERMILLION),
        Mark(numbers.grid_kw, lowest, "circle", BLUE),
        Text(0, 100, f"■ dashed: charger alone {highest:.1f} %", shift=(0, 2.0)),
        Text(0, 100, f"● solid: grid to battery {lowest:.1f} %", shift=(0, 0.8)),
        Text(scale, 100, f"◆ best\n{best_kw:.1f} kW", "end", shift=(0, 1.4)),
    ]
    return Chart(x, y, things, (0, 0, 1, 0.56), above=2.4)


def _band(numbers: PowerFlow) -> Chart:
    width = next(width for width in _WIDTHS_KW if width >= numbers.grid_kw)
    along, across = Axis(0, 1), Axis(-0.74 * width, 1.04 * width)
    auxiliaries_kw = numbers.auxiliaries_w / 1000
    edges = np.cumsum([0.0, numbers.heat_kw, auxiliaries_kw, numbers.battery_kw])
    branches = {  # from below: fill, way down, label
        "heat": (Fill(ORANGE, hatch=True), 0.56 * width, f"heat {numbers.heat_kw:.2f} kW"),
        "auxiliaries": (Fill(YELLOW), 0.28 * width, f"auxiliaries {auxiliaries_kw:.2f} kW"),
        "battery": (Fill(SKY_BLUE), 0.0, f"battery\n{numbers.battery_kw:.2f} kW"),
    }
    things: list[Thing] = [Area([0, 0.36], 0, numbers.grid_kw, Fill(SKY_BLUE))]
    for (fill, down, label), low, high in zip(branches.values(), edges[:-1], edges[1:], strict=True):
        if high == low:
            continue
        things += [
            Area(0.36 + 0.64 * _ALONG, low - down * _BEND, high - down * _BEND, fill),
            Text(1, (low + high) / 2 - down, label, shift=(0.8, 0)),
        ]
    things += [
        Line([0.36, 0.36], [0, numbers.grid_kw], THIN),
        Text(0.02, numbers.grid_kw / 2, f"grid\n{numbers.grid_kw:.2f} kW", halo=0),
        Text(0.36, 0, "charger", "middle", shift=(0, -0.9)),
    ]
    return Chart(along, across, things, (0, 0.57, 1, 0.43), grid=False, above=0.2, beside=20)
