"""Panel: the charge time of two batteries."""

from dataclasses import dataclass
from functools import partial

import numpy as np

from acpower.ac_ceiling import AcCeiling, ac_ceiling
from acpower.battery import charge_time
from acpower.figures.charge_time import COMMON_AC_CURRENT, clock_time
from acpower.figures.look import spread
from acpower.figures.scene import (
    FIRST,
    GUIDE,
    LIMIT,
    SECOND,
    Axis,
    Chart,
    Line,
    Mark,
    MarkShape,
    Pen,
    Scene,
    Text,
    Thing,
    upright,
)
from acpower.panels.controls import Knob
from acpower.panels.panel import Panel
from acpower.region import Region, region_in_use

_SCALES_H = (2.0, 6.0, 12.0, 24.0, 48.0, 96.0, 240.0)
_LOWEST_KW, _HIGHEST_KW = 1.4, 50.0
_POWERS = np.linspace(_LOWEST_KW, _HIGHEST_KW, 200)
_LOOKS: tuple[tuple[Pen, MarkShape], ...] = ((FIRST, "circle"), (SECOND, "square"))
_USUAL_A = {1: 32.0, 3: 16.0}
"""Usual current per phase of a charging point at home, by number of phases; common practice, no source."""


@dataclass(frozen=True)
class Plan:
    """A charge of two batteries in numbers: energy to add [kWh] and time [h] of each."""

    batteries_kwh: tuple[float, float]
    start_percent: float
    target_percent: float
    power_kw: float
    efficiency: float
    energies_kwh: tuple[float, float]
    times_h: tuple[float, float]


def charge_time_panel() -> Panel[Plan]:
    """Return the panel: batteries, states of charge, power, efficiency in; two charge times out.

    Power at first and the marks where AC ends are those of the region in use.
    """
    ceiling = _ceiling(region_in_use())
    usual_kw = ceiling.phases * ceiling.voltage * _USUAL_A[ceiling.phases] / 1000
    return Panel(
        "Charge time of two batteries against power from the grid",
        {
            "first_kwh": Knob("Battery 1", "kWh", value=30, low=5, high=150, step=1),
            "second_kwh": Knob("Battery 2", "kWh", value=100, low=5, high=150, step=1),
            "start_percent": Knob("Start state of charge", "%", value=20, low=0, high=100, step=1),
            "target_percent": Knob("Target state of charge", "%", value=80, low=0, high=100, step=1),
            "power_kw": Knob(
                "Grid power", "kW", value=round(usual_kw, 1), low=_LOWEST_KW, high=_HIGHEST_KW, step=0.1
            ),
            "efficiency_percent": Knob("Efficiency", "%", value=90, low=50, high=100, step=1),
        },
        calculate=plan_charge,
        scene=partial(_scene, ceiling=ceiling),
        words=plan_words,
    )


def _ceiling(region: Region) -> AcCeiling:
    """Return the most that the usual coupler passes on from the usual supplies."""
    ways = [
        ac_ceiling(region.coupler.key, supply.key) for supply in (region.single_phase, region.three_phase)
    ]
    return max(ways, key=lambda way: way.power)


def plan_charge(
    first_kwh: float,
    second_kwh: float,
    start_percent: float,
    target_percent: float,
    power_kw: float,
    efficiency_percent: float,
) -> Plan:
    """Return energy and time of both charges; a target below the start adds nothing.

    >>> plan = plan_charge(30, 100, 20, 80, 11, 90)
    >>> [clock_time(time) for time in plan.times_h]
    ['1 h 49 min', '6 h 04 min']
    """
    share = max(target_percent - start_percent, 0) / 100
    efficiency = efficiency_percent / 100
    energies = (share * first_kwh, share * second_kwh)
    return Plan(
        batteries_kwh=(first_kwh, second_kwh),
        start_percent=start_percent,
        target_percent=target_percent,
        power_kw=power_kw,
        efficiency=efficiency,
        energies_kwh=energies,
        times_h=(
            float(charge_time(energies[0], power_kw, efficiency)),
            float(charge_time(energies[1], power_kw, efficiency)),
        ),
    )


def plan_words(plan: Plan) -> str:
    """Say energies and times in plain sentences."""
    if plan.target_percent <= plan.start_percent:
        return (
            f"Nothing to charge: the target, {plan.target_percent:g} %, must be above the start, "
            f"{plan.start_percent:g} %."
        )
    each = " ".join(
        f"{battery:g} kWh battery: {energy:.1f} kWh to add, {clock_time(time)} ({time:.1f} h)."
        for battery, energy, time in zip(plan.batteries_kwh, plan.energies_kwh, plan.times_h, strict=True)
    )
    return (
        f"From {plan.start_percent:g} % to {plan.target_percent:g} % with {plan.power_kw:g} kW from the "
        f"grid, efficiency {plan.efficiency:.2f}. {each}"
    )


def _scene(plan: Plan, ceiling: AcCeiling) -> Scene:
    """Draw a curve per battery with its working point, and where AC ends."""
    scale = next(scale for scale in _SCALES_H if scale >= 1.1 * max(plan.times_h))
    x, y = Axis(0, _HIGHEST_KW, "Power from the grid (kW)"), Axis(0, scale, "Charge time (h)")
    things: list[Thing] = [upright(y, plan.power_kw, GUIDE)]
    ends = []
    for current in (COMMON_AC_CURRENT, ceiling.current):
        power = ceiling.phases * ceiling.voltage * current / 1000
        ends.append(f"AC {power:.0f} kW\n{ceiling.phases} × {current:.0f} A")
        things += [upright(y, power, LIMIT), Text(power, scale, ends[-1], "middle", shift=(0, 1.3))]
    left = plan.power_kw > 0.6 * _HIGHEST_KW
    places = spread([time + 0.07 * scale for time in plan.times_h], gap=0.09 * scale)
    both = zip(plan.batteries_kwh, plan.energies_kwh, plan.times_h, places, _LOOKS, strict=True)
    for battery, energy, time, place, (pen, shape) in both:
        label = f"{battery:g} kWh: {clock_time(time)}"
        things += [
            Line(_POWERS, charge_time(energy, _POWERS, plan.efficiency), pen),
            Mark(plan.power_kw, time, shape, pen.colour),
            Text(plan.power_kw, place, label, "end" if left else "start", shift=(-1.5 if left else 1.5, 0)),
        ]
    marked = " and ".join(ends).replace("\n", ", ")
    return Scene([Chart(x, y, things, above=2.4)], description=f"Upright lines mark {marked} per phase.")
