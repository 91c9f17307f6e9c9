"""Panel: the charge time of two batteries."""

from dataclasses import dataclass

import numpy as np

from acpower.battery import charge_time
from acpower.figures.charge_time import (
    BATTERY_STYLES,
    COMMON_AC_CURRENT,
    HIGHEST_AC_CURRENT,
    ac_power_kw,
    clock_time,
)
from acpower.figures.look import BLACK, LINE_WIDTH, TEXT_SIZE, blank_figure, plain_axes, spread
from acpower.panels.board import Board
from acpower.panels.controls import knob
from acpower.panels.panel import PICTURE_HEIGHT, PICTURE_WIDTH, Panel

_SCALES_H = (2.0, 6.0, 12.0, 24.0, 48.0, 96.0, 240.0)
_LOWEST_KW, _HIGHEST_KW = 1.4, 50.0
_POWERS = np.linspace(_LOWEST_KW, _HIGHEST_KW, 400)


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
    """Return the panel: batteries, states of charge, power, efficiency in; two charge times out."""
    return Panel(
        controls={
            "first_kwh": knob("Battery 1 (kWh)", value=30, low=5, high=150, step=1),
            "second_kwh": knob("Battery 2 (kWh)", value=100, low=5, high=150, step=1),
            "start_percent": knob("Start state of charge (%)", value=20, low=0, high=100, step=1),
            "target_percent": knob("Target state of charge (%)", value=80, low=0, high=100, step=1),
            "power_kw": knob("Grid power (kW)", value=11, low=_LOWEST_KW, high=_HIGHEST_KW, step=0.1),
            "efficiency_percent": knob("Efficiency (%)", value=90, low=50, high=100, step=1),
        },
        calculate=plan_charge,
        drawing=_Drawing(),
        words=plan_words,
        alt=lambda _: (
            "Two curves of charge time against grid power, with a mark on each at the chosen power."
        ),
    )


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
        f"{battery:g} kWh battery: {energy:.1f} kWh to add, {time:.2f} h = {clock_time(time)}."
        for battery, energy, time in zip(plan.batteries_kwh, plan.energies_kwh, plan.times_h, strict=True)
    )
    return (
        f"From {plan.start_percent:g} % to {plan.target_percent:g} % with {plan.power_kw:g} kW from the "
        f"grid, efficiency {plan.efficiency:.2f}. {each}"
    )


class _Drawing:
    """A curve per battery with its working point, and where AC ends."""

    def __init__(self) -> None:
        figure = blank_figure(PICTURE_WIDTH / 100, PICTURE_HEIGHT / 100)
        self._axes = plain_axes(
            figure.add_axes((0.145, 0.14, 0.835, 0.75)),
            x_label="Power from the grid (kW)",
            y_label="Charge time (h)",
        )
        self._axes.set_xlim(0, _HIGHEST_KW)
        for current in (COMMON_AC_CURRENT, HIGHEST_AC_CURRENT):
            power = ac_power_kw(3, current)
            self._axes.axvline(power, color=BLACK, linewidth=1, linestyle="-.")
            self._axes.text(
                power,
                1.02,
                f"AC {power:.0f} kW\n3 × {current:.0f} A",
                transform=self._axes.get_xaxis_transform(),
                ha="center",
                fontsize=TEXT_SIZE - 1,
            )
        self._curves = [
            self._axes.plot(_POWERS, _POWERS, linewidth=LINE_WIDTH, **style | {"marker": ""})[0]
            for style in BATTERY_STYLES
        ]
        self._points = [
            self._axes.plot([0], [0], markersize=11, markeredgecolor=BLACK, **style | {"linestyle": ""})[0]
            for style in BATTERY_STYLES
        ]
        self._labels = [
            self._axes.text(
                0, 0, "", va="center", fontsize=TEXT_SIZE, bbox={"facecolor": "white", "alpha": 0.8, "pad": 1}
            )
            for _ in BATTERY_STYLES
        ]
        self._drop = self._axes.axvline(0, color=BLACK, linewidth=1, linestyle=":")
        self._board = Board(figure, [self._drop, *self._curves, *self._points, *self._labels])

    def png(self, plan: Plan) -> bytes:
        """Draw the plan; return the picture."""
        scale = next(scale for scale in _SCALES_H if scale >= 1.1 * max(plan.times_h))
        self._axes.set_ylim(0, scale)
        self._drop.set_xdata([plan.power_kw] * 2)
        places = spread([time + 0.07 * scale for time in plan.times_h], gap=0.09 * scale)
        left = plan.power_kw > 0.6 * _HIGHEST_KW
        for at, (battery, energy, time) in enumerate(
            zip(plan.batteries_kwh, plan.energies_kwh, plan.times_h, strict=True)
        ):
            self._curves[at].set_ydata(charge_time(energy, _POWERS, plan.efficiency))
            self._points[at].set_data([plan.power_kw], [time])
            self._labels[at].set_text(f"{battery:g} kWh: {clock_time(time)}")
            self._labels[at].set_position((plan.power_kw + (-1 if left else 1), places[at]))
            self._labels[at].set_horizontalalignment("right" if left else "left")
        return self._board.png()
