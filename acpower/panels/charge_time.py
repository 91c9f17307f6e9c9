"""Panel: the charge of two batteries: time against power, and course and cost by the clock."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from acpower._checks import refusal
from acpower.ac_ceiling import AcCeiling
from acpower.battery import Session, session, temperature_limit
from acpower.figures.charge_time import COMMON_AC_CURRENT, ac_end, clock_time, usual_ac_kw
from acpower.figures.look import spread
from acpower.figures.scene import (
    FIRST,
    GUIDE,
    LIMIT,
    SECOND,
    Axis,
    Box,
    Chart,
    Fill,
    Line,
    Mark,
    MarkShape,
    Pen,
    Scene,
    Text,
    Thing,
    upright,
)
from acpower.panels.controls import Choice, Knob
from acpower.panels.panel import Panel
from acpower.region import region_in_use
from acpower.tariff import Tariff

_SCALES_H = (2.0, 6.0, 12.0, 24.0, 48.0, 96.0, 280.0)
_LOWEST_KW, _HIGHEST_KW = 1.4, 50.0
_POWERS = np.geomspace(_LOWEST_KW, _HIGHEST_KW, 60)
_SHADE = "#DDDDDD"
_LOOKS: tuple[tuple[Pen, MarkShape], ...] = ((FIRST, "circle"), (SECOND, "square"))

CHEAP_FROM, CHEAP_TO = 22.0, 6.0
PRICE, CHEAP_PRICE = 0.40, 0.20
"""An invented tariff: hours of the clock between which energy is cheap, and the two prices per kWh."""

_TARIFF = Tariff(from_h=(CHEAP_TO, CHEAP_FROM), price=(PRICE, CHEAP_PRICE))


@dataclass(frozen=True)
class Acceptance:
    """What a battery accepts: up to `rate` times its energy per hour, and less from the knee on; invented."""

    rate: float
    knee: float


ACCEPTANCES: Mapping[str, Acceptance] = MappingProxyType(
    {
        "full power to the end": Acceptance(rate=10.0, knee=1.0),
        "warm, less from 80 %": Acceptance(rate=1.0, knee=0.8),
        "warm, less from 50 %": Acceptance(rate=1.0, knee=0.5),
        "cold (3 °C), less from 80 %": Acceptance(rate=float(temperature_limit(3.0)), knee=0.8),
    }
)
"""Batteries to choose from; ten times its energy per hour is more than any power of the panel."""


@dataclass(frozen=True)
class Plan:
    """A charge of two batteries in numbers.

    Attributes
    ----------
    charges
        Both charges with their times, energies and costs.
    curves_h
        Charge time [h] at each power of the panel, shape (2, powers).
    """

    batteries_kwh: tuple[float, float]
    start_percent: float
    target_percent: float
    power_kw: float
    efficiency: float
    plugged_in_h: float
    charges: Session
    curves_h: NDArray[np.float64]

    @property
    def times_h(self) -> list[float]:
        """Charge times [h]."""
        return [float(time) for time in np.asarray(self.charges.time_h)]


def charge_time_panel() -> Panel[Plan]:
    """Return the panel: two batteries, power, acceptance and hour in; time, energy and cost of both out.

    Power at first and the marks where AC ends are those of the region in use.
    """
    region = region_in_use()
    usual = round(usual_ac_kw(region), 1)
    return Panel(
        "Charge time of two batteries against power from the grid, and their charge by the clock",
        {
            "first_kwh": Knob("Battery 1", "kWh", value=30, low=5, high=150, step=1),
            "second_kwh": Knob("Battery 2", "kWh", value=100, low=5, high=150, step=1),
            "start_percent": Knob("Start state of charge", "%", value=20, low=0, high=100, step=1),
            "target_percent": Knob("Target state of charge", "%", value=80, low=0, high=100, step=1),
            "power_kw": Knob("Grid power", "kW", value=usual, low=_LOWEST_KW, high=_HIGHEST_KW, step=0.1),
            "efficiency_percent": Knob("Efficiency", "%", value=90, low=50, high=100, step=1),
            "acceptance": Choice("Battery takes", ACCEPTANCES),
            "plugged_in_h": Knob("Charge begins", "h of the clock", value=18, low=0, high=23.5, step=0.5),
        },
        calculate=plan_charge,
        scene=partial(_scene, ceiling=ac_end(region)),
        words=plan_words,
    )


def plan_charge(
    first_kwh: float,
    second_kwh: float,
    start_percent: float,
    target_percent: float,
    power_kw: float,
    efficiency_percent: float,
    acceptance: Acceptance,
    plugged_in_h: float,
) -> Plan:
    """Return both charges in numbers; a target below the start adds nothing.

    With a taper a target of 100 % is refused, for it is never reached.

    >>> plan = plan_charge(30, 100, 20, 80, 11, 90, ACCEPTANCES["full power to the end"], 18)
    >>> [clock_time(time) for time in plan.times_h]
    ['1 h 49 min', '6 h 04 min']
    """
    if target_percent >= 100 and acceptance.knee < 1:
        allowed = "below 100 % where the battery takes less and less"
        raise refusal("Target state of charge", "100 %", allowed, "99 %: the last percent never comes")
    batteries, efficiency = np.array([first_kwh, second_kwh]), efficiency_percent / 100
    charge = partial(
        session,
        start_soc=start_percent / 100,
        end_soc=max(target_percent, start_percent) / 100,
        efficiency=efficiency,
        knee=acceptance.knee,
    )
    rows = batteries[:, np.newaxis]
    return Plan(
        batteries_kwh=(first_kwh, second_kwh),
        start_percent=start_percent,
        target_percent=target_percent,
        power_kw=power_kw,
        efficiency=efficiency,
        plugged_in_h=plugged_in_h,
        charges=charge(
            batteries,
            power_kw,
            acceptance_kw=acceptance.rate * batteries,
            tariff=_TARIFF,
            start_h=plugged_in_h,
        ),
        curves_h=np.asarray(charge(rows, _POWERS, acceptance_kw=acceptance.rate * rows).time_h),
    )


def plan_words(plan: Plan) -> str:
    """Say energies, times and costs in plain sentences."""
    if plan.target_percent <= plan.start_percent:
        return (
            f"Nothing to charge: the target, {plan.target_percent:g} %, must be above the start, "
            f"{plan.start_percent:g} %."
        )
    each = " ".join(_battery_words(plan, at) for at in range(len(plan.batteries_kwh)))
    return (
        f"From {plan.start_percent:g} % to {plan.target_percent:g} % with {plan.power_kw:g} kW from the "
        f"grid, efficiency {plan.efficiency:.2f}, from {_by_the_clock(plan.plugged_in_h)} on. {each}"
    )


def _battery_words(plan: Plan, at: int) -> str:
    added, drawn, cost, grid_kw, taper = (
        float(np.asarray(values)[at])
        for values in (
            plan.charges.battery_energy_kwh,
            plan.charges.grid_energy_kwh,
            plan.charges.cost,
            plan.charges.grid_kw,
            plan.charges.taper_soc,
        )
    )
    less = f", draws only {grid_kw:.1f} kW" if grid_kw < plan.power_kw - 1e-9 else ""
    if taper < plan.target_percent / 100:
        less += f", less and less from {100 * taper:.0f} %"
    time = plan.times_h[at]
    return (
        f"{plan.batteries_kwh[at]:g} kWh battery{less}: {added:.1f} kWh to add, {clock_time(time)} "
        f"({time:.1f} h), until {_by_the_clock(plan.plugged_in_h + time)}; {drawn:.1f} kWh from the grid "
        f"cost {cost:.2f}."
    )


def _by_the_clock(hours: float) -> str:
    """Say an hour since midnight as a clock shows it; later days are counted.

    >>> _by_the_clock(18.5), _by_the_clock(25)
    ('18:30', '01:00 (+1 day)')
    """
    days, minutes = divmod(round(60 * hours), 24 * 60)
    later = f" (+{days} day{'s' if days > 1 else ''})" if days else ""
    return f"{minutes // 60:02d}:{minutes % 60:02d}{later}"


def _scene(plan: Plan, ceiling: AcCeiling) -> Scene:
    """Draw time against power, with where AC ends, and below it the state of charge by the clock."""
    scale = next(scale for scale in _SCALES_H if scale >= 1.25 * max(plan.times_h))
    usual, highest = (_ac_kw(ceiling, current) for current in (COMMON_AC_CURRENT, ceiling.current))
    marked = " and ".join(
        f"AC {power:.0f} kW, {ceiling.phases} × {current:.0f} A"
        for power, current in ((usual, COMMON_AC_CURRENT), (highest, ceiling.current))
    )
    return Scene(
        [_by_power(plan, scale, (usual, highest)), _by_clock(plan, scale)],
        description=(
            f"Upright lines mark {marked} per phase. Below, the state of charge by the clock; between "
            f"{_by_the_clock(CHEAP_FROM)} and {_by_the_clock(CHEAP_TO)} a kilowatt-hour costs "
            f"{CHEAP_PRICE:.2f}, at other hours {PRICE:.2f}, invented."
        ),
    )


def _ac_kw(ceiling: AcCeiling, current: float) -> float:
    return ceiling.phases * ceiling.voltage * current / 1000


def _by_power(plan: Plan, scale: float, ac_ends_kw: tuple[float, float]) -> Chart:
    x, y = Axis(0, _HIGHEST_KW, "Power from the grid (kW)"), Axis(0, scale, "Time (h)")
    things: list[Thing] = [upright(y, plan.power_kw, GUIDE)]
    for power in ac_ends_kw:
        label = Text(power, scale, f"AC {power:.0f} kW", "middle", shift=(0, 0.7))
        things += [upright(y, power, LIMIT), label]
    left = plan.power_kw > 0.6 * _HIGHEST_KW
    places = spread([max(time, 0.12 * scale) + 0.08 * scale for time in plan.times_h], gap=0.2 * scale)
    every = zip(plan.batteries_kwh, plan.times_h, plan.curves_h, places, _LOOKS, strict=True)
    for battery, time, curve, place, (pen, shape) in every:
        label = Text(
            plan.power_kw,
            place,
            f"{battery:g} kWh: {clock_time(time)}",
            "end" if left else "start",
            shift=(-1.5 if left else 1.5, 0),
            halo=2,
        )
        things += [Line(_POWERS, curve, pen), label, Mark(plan.power_kw, time, shape, pen.colour)]
    return Chart(x, y, things, (0, 0, 1, 0.53), above=1.3)


def _by_clock(plan: Plan, scale: float) -> Chart:
    begin, end = plan.plugged_in_h, plan.plugged_in_h + scale
    x = Axis(
        begin, end, f"Clock (h); shaded: {CHEAP_PRICE:.2f} per kWh, else {PRICE:.2f}", _ticks(begin, end)
    )
    y = Axis(0, 130, "Charge (%)", ((0, "0"), (50, "50"), (100, "100")))
    things: list[Thing] = [
        Box(Fill(_SHADE, outline=False), max(hour, begin), min(until, end))
        for hour, until in _cheap_hours(begin, end)
    ]
    courses = plan.charges.series(41)
    ends = [begin + time for time in plan.times_h]
    places = spread(ends, gap=0.2 * scale)
    over = max(max(places) - (end - 0.1 * scale), 0) + min(min(places) - (begin + 0.1 * scale), 0)
    target = max(plan.target_percent, plan.start_percent)
    for at, (pen, shape) in enumerate(_LOOKS):
        label = Text(places[at] - over, target, _short(ends[at]), "middle", shift=(0, 1))
        things += [
            Line(begin + courses.time_h[at], 100 * courses.soc[at], pen),
            Mark(ends[at], target, shape, pen.colour),
            label,
        ]
    return Chart(x, y, things, (0, 0.54, 1, 0.46))


def _short(hours: float) -> str:
    """Say an hour as a clock shows it, without the day."""
    return _by_the_clock(hours % 24)[:5]


def _cheap_hours(begin: float, end: float) -> Iterator[tuple[float, float]]:
    """Give beginning and end of each stretch of cheap hours between two hours of the clock."""
    length = (CHEAP_TO - CHEAP_FROM) % 24
    for day in range(-1, int(end // 24) + 1):
        hour = 24 * day + CHEAP_FROM
        if hour < end and hour + length > begin:
            yield hour, hour + length


def _ticks(begin: float, end: float) -> list[tuple[float, str]]:
    """Return round hours of the clock, or midnights by number of the day where many days are shown."""
    step = next(step for step in (0.5, 1, 2, 4, 6, 12, 24, 48) if (end - begin) / step <= 6)
    first = math.ceil(begin / step)
    hours = [step * count for count in range(first, math.floor(end / step) + 1)]
    if step < 24:
        return [(hour, f"{hour % 24:g}") for hour in hours]
    return [(hour, f"day {hour / 24 + 1:.0f}") for hour in hours]
