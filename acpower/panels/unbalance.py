"""Panel: single-phase chargers on a four-wire feeder move the voltages of all three phases."""

from dataclasses import dataclass
from functools import partial

import numpy as np

from acpower.conductors import conductor_resistance
from acpower.feeder import feeder_end
from acpower.figures import three_phase_supply
from acpower.figures.look import BLACK, ORANGE, SKY_BLUE, YELLOW
from acpower.figures.scene import LIMIT, Axis, Box, Chart, Fill, Pen, Scene, Text, Thing, upright
from acpower.panels.controls import Choice, Knob
from acpower.panels.panel import Panel
from acpower.region import region_in_use

UNBALANCE_LIMIT_PERCENT = 2.0
"""Of EN 50160, as quoted in a power monitor's manual (key power-monitor-manual); the standard was not opened."""

_AREAS_MM2 = (4.0, 6.0, 10.0, 16.0, 25.0, 35.0)
_HIGHEST_A, _USUAL_A = 32, 20
_PHASES = ("L1", "L2", "L3")
_SCALES_PERCENT = (5.0, 10.0, 20.0, 60.0)
_SCALES_A = (40.0, 80.0)
_SCALES_UNBALANCE = (4.0, 8.0, 32.0)


@dataclass(frozen=True)
class Feeder:
    """The end of the feeder in numbers; a voltage change is against the source."""

    voltages: tuple[float, ...]
    changes_percent: tuple[float, ...]
    currents: tuple[float, ...]
    neutral: float
    unbalance_percent: float

    @property
    def too_unequal(self) -> bool:
        """Whether the unbalance lies above the limit of EN 50160."""
        return self.unbalance_percent > UNBALANCE_LIMIT_PERCENT


def unbalance_panel() -> Panel[Feeder]:
    """Return the panel: power on each phase and feeder in; voltages, currents and unbalance at its end out.

    The source has the line-to-neutral voltage of the three-phase supply of the region in use.
    """
    volts = three_phase_supply(region_in_use()).phase_voltage_v
    highest_kw = round(volts * _HIGHEST_A / 1000, 1)

    def charger(phase: str, kw: float) -> Knob:
        return Knob(f"Charger on {phase}", "kW", value=kw, low=0, high=highest_kw, step=0.1)

    return Panel(
        f"Voltages and currents at the end of a four-wire copper feeder at 20 °C, source {volts:g} V to neutral",
        {
            "l1_kw": charger("L1", round(volts * _USUAL_A / 1000, 1)),
            "l2_kw": charger("L2", 0),
            "l3_kw": charger("L3", 0),
            "length_m": Knob("Length", "m", value=40, low=5, high=100, step=1),
            "area_mm2": Choice("Cross-section", {f"{area:g} mm²": area for area in _AREAS_MM2}),
        },
        calculate=partial(feeder, volts),
        scene=_scene,
        words=feeder_words,
    )


def feeder(
    source_v: float, l1_kw: float, l2_kw: float, l3_kw: float, length_m: float, area_mm2: float
) -> Feeder:
    """Return voltages and currents at the end of the feeder.

    Chargers run from one line to neutral at power factor 1. Line and neutral have the same
    cross-section, copper of class 2 at 20 degC.

    >>> [round(volts, 1) for volts in feeder(230, 4.6, 0, 0, length_m=40, area_mm2=4).voltages]
    [222.4, 231.9, 231.9]
    """
    ohms = conductor_resistance(area_mm2, length_m)
    end = feeder_end(source_v, 1000 * np.array([l1_kw, l2_kw, l3_kw]), ohms, ohms)
    voltages = np.abs(end.phase_voltages)
    return Feeder(
        voltages=tuple(voltages.tolist()),
        changes_percent=tuple((100 * (voltages / source_v - 1)).tolist()),
        currents=tuple(np.abs(end.line_currents).tolist()),
        neutral=float(end.neutral_current),
        unbalance_percent=100 * float(end.unbalance),
    )


def feeder_words(numbers: Feeder) -> str:
    """Say voltages, currents and unbalance in plain sentences."""
    volts = ", ".join(f"{phase} {_voltage(numbers, place)}" for place, phase in enumerate(_PHASES))
    amperes = ", ".join(
        f"{phase} {current:.1f} A" for phase, current in zip(_PHASES, numbers.currents, strict=True)
    )
    where = "above" if numbers.too_unequal else "within"
    return (
        f"Voltage at the end: {volts}. Current: {amperes}, neutral {numbers.neutral:.1f} A. Voltage unbalance "
        f"{numbers.unbalance_percent:.2f} %, {where} the {UNBALANCE_LIMIT_PERCENT:g} % of EN 50160."
    )


def _voltage(numbers: Feeder, place: int) -> str:
    change = f"{round(numbers.changes_percent[place], 1) + 0.0:+.1f}".replace("-", "−")  # no −0.0
    return f"{numbers.voltages[place]:.1f} V ({change} %)"


def _scene(numbers: Feeder) -> Scene:
    return Scene([_voltage_chart(numbers), _current_chart(numbers), _unbalance_chart(numbers)])


def _voltage_chart(numbers: Feeder) -> Chart:
    """Draw how far each phase lies below (hatched) or above (plain) the source."""
    farthest = max(map(abs, numbers.changes_percent))
    scale = next(scale for scale in _SCALES_PERCENT if scale >= farthest)
    x = Axis(-scale, scale, "Voltage against the source (%)")
    rows = Axis(2.6, -0.6, ticks=tuple(enumerate(_PHASES)))
    things: list[Thing] = [upright(rows, 0, Pen(BLACK, width=1.5))]
    for row, change in enumerate(numbers.changes_percent):
        fill = Fill(ORANGE, hatch=True) if change < 0 else Fill(SKY_BLUE)
        things += [
            Box(fill, 0, change, row - 0.32, row + 0.32),
            Text(x.high, row, _voltage(numbers, row), shift=(1, 0)),
        ]
    return Chart(x, rows, things, (0, 0, 1, 0.4), beside=18)


def _current_chart(numbers: Feeder) -> Chart:
    scale = next(scale for scale in _SCALES_A if scale >= max(*numbers.currents, numbers.neutral))
    x = Axis(0, scale, "Current (A)")
    rows = Axis(3.6, -0.6, ticks=((0, "L1"), (1, "L2"), (2, "L3"), (3, "N")))
    things: list[Thing] = []
    for row, current in enumerate((*numbers.currents, numbers.neutral)):
        fill = Fill(YELLOW, hatch=True) if row == len(_PHASES) else Fill(SKY_BLUE)
        things += [
            Box(fill, 0, current, row - 0.32, row + 0.32),
            Text(x.high, row, f"{current:.1f} A", shift=(1, 0)),
        ]
    return Chart(x, rows, things, (0, 0.4, 1, 0.38), beside=18)


def _unbalance_chart(numbers: Feeder) -> Chart:
    scale = next(scale for scale in _SCALES_UNBALANCE if scale >= numbers.unbalance_percent)
    x = Axis(0, scale, "Voltage unbalance (%)")
    row = Axis(0, 1)
    verdict = "ABOVE 2 %" if numbers.too_unequal else "within 2 %"
    things: list[Thing] = [
        Box(
            Fill(ORANGE, hatch=True) if numbers.too_unequal else Fill(SKY_BLUE),
            0,
            numbers.unbalance_percent,
            0.15,
            0.85,
        ),
        upright(row, UNBALANCE_LIMIT_PERCENT, LIMIT),
        Text(
            x.high,
            0.5,
            f"{numbers.unbalance_percent:.2f} %, {verdict}",
            shift=(1, 0),
            bold=numbers.too_unequal,
        ),
    ]
    return Chart(x, row, things, (0.035, 0.78, 0.965, 0.22), beside=18)
