"""Charge time against power."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from acpower.battery import charge_time
from acpower.charger import Cable, Station, Supply, Vehicle, charging_limit
from acpower.connectors import connector
from acpower.figures.look import (
    BLACK,
    BLUE,
    LINE_WIDTH,
    SKY_BLUE,
    TEXT_SIZE,
    VERMILLION,
    YELLOW,
    Still,
    blank_figure,
    plain_axes,
)
from acpower.supply import nominal_supply

BATTERY_STYLES: tuple[dict[str, Any], ...] = (
    {"color": BLUE, "linestyle": "-", "marker": "o"},
    {"color": VERMILLION, "linestyle": "--", "marker": "s"},
)
"""The first and the second battery, the same in figure and panel."""

COMMON_AC_CURRENT = 32.0
"""Where three-phase AC charging ends in common practice [A per phase]; no source."""

HIGHEST_AC_CURRENT = connector("type-2").three_phase_a[0]
"""The highest three-phase current of IEC 62196-2 Type 2 [A per phase], from the table of connectors."""

_LOWEST_KW, _HIGHEST_KW = 1.3, 230.0


def clock_time(hours: float) -> str:
    """Say decimal hours as hours and minutes, rounded to the minute.

    >>> clock_time(2.4)
    '2 h 24 min'
    >>> clock_time(0.999)
    '1 h 00 min'
    """
    whole, minutes = divmod(round(60 * hours), 60)
    return f"{whole} h {minutes:02d} min"


def ac_power_kw(phases: int, current: float) -> float:
    """Return the power [kW] of an AC point at 230 V to neutral, every link rated alike.

    >>> round(ac_power_kw(3, 32), 2)
    22.08
    """
    voltage = nominal_supply("iec-230-400").phase_voltage_v
    limit = charging_limit(
        Supply(voltage, phases, current),
        Station(phases, current),
        Cable(phases, current),
        Vehicle(phases, current),
    )
    return limit.power / 1000


def charge_time_figure(first_kwh: float = 30.0, second_kwh: float = 100.0) -> Still:
    """Show charge time against power for two batteries, and where AC ends and DC begins.

    Parameters
    ----------
    first_kwh, second_kwh
        Energy that each battery takes in [kWh], the smaller one first; losses are left out.
    """
    usual, highest = ac_power_kw(3, COMMON_AC_CURRENT), ac_power_kw(3, HIGHEST_AC_CURRENT)
    powers = np.array([ac_power_kw(1, 10), ac_power_kw(1, 32), ac_power_kw(3, 16), usual, highest, 150.0])
    figure = blank_figure(9.5, 5.4)
    axes = plain_axes(
        figure.subplots(), x_label="Charging power (kW), losses left out", y_label="Charge time (h)"
    )
    figure.subplots_adjust(left=0.09, right=0.87, bottom=0.13, top=0.9)
    axes.set_xscale("log")
    axes.set_yscale("log")
    axes.set_xlim(_LOWEST_KW, _HIGHEST_KW)
    axes.set_ylim(0.1, 100)
    axes.set_xticks(powers, [f"{power:.1f}" for power in powers])
    hours = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100)
    axes.set_yticks(hours, [f"{hour:g}" for hour in hours])
    axes.minorticks_off()
    _mark_regions(axes, usual, highest)
    _draw_battery(axes, powers, first_kwh, BATTERY_STYLES[0], above=False)
    _draw_battery(axes, powers, second_kwh, BATTERY_STYLES[1], above=True)
    times = " ".join(
        f"At {power:.1f} kW: {clock_time(float(charge_time(first_kwh, power)))} and "
        f"{clock_time(float(charge_time(second_kwh, power)))}."
        for power in powers
    )
    return Still(
        figure,
        alt=(
            f"Charge time against power for a battery that takes {first_kwh:.0f} kWh and one that takes "
            f"{second_kwh:.0f} kWh. On both scales equal steps are equal factors, so the curves are two "
            f"straight lines that fall side by side. Double the power, half the time. {times} Common AC "
            f"practice ends at {usual:.1f} kW, {COMMON_AC_CURRENT:.0f} A three-phase. The Type 2 connector "
            f"ends at {highest:.1f} kW, {HIGHEST_AC_CURRENT:.0f} A three-phase. DC charging goes on from there."
        ),
        caption=(
            f"Each doubling of the power halves the time. AC commonly ends at {usual:.0f} kW "
            f"({COMMON_AC_CURRENT:.0f} A three-phase), the Type 2 connector at {highest:.0f} kW "
            f"({HIGHEST_AC_CURRENT:.0f} A). Losses and the slow end of a charge are left out."
        ),
    )


def _mark_regions(axes: Axes, usual: float, highest: float) -> None:
    axes.axvspan(_LOWEST_KW, usual, color=SKY_BLUE, alpha=0.35, linewidth=0)
    axes.axvspan(highest, _HIGHEST_KW, color=YELLOW, alpha=0.45, linewidth=0)
    axes.axvline(usual, color=BLACK, linewidth=1.5)
    axes.axvline(highest, color=BLACK, linewidth=1.5, linestyle="--")
    for left, right, words in (
        (_LOWEST_KW, usual, "AC: common practice"),
        (usual, highest, "AC:\nrare"),
        (highest, _HIGHEST_KW, "DC"),
    ):
        axes.text(np.sqrt(left * right), 108, words, ha="center", va="bottom", fontsize=TEXT_SIZE)


def _draw_battery(
    axes: Axes,
    powers: np.typing.NDArray[np.float64],
    energy_kwh: float,
    style: dict[str, Any],
    *,
    above: bool,
) -> None:
    ends = np.array([_LOWEST_KW, _HIGHEST_KW])
    axes.plot(ends, charge_time(energy_kwh, ends), linewidth=LINE_WIDTH, **style | {"marker": ""})
    axes.plot(
        powers,
        charge_time(energy_kwh, powers),
        markersize=8,
        markeredgecolor=BLACK,
        **style | {"linestyle": ""},
    )
    away = 6 if above else -6
    for power in powers:
        time = float(charge_time(energy_kwh, power))
        axes.annotate(
            f"{time:.1f} h",
            (power, time),
            (away, away),
            textcoords="offset points",
            ha="left" if above else "right",
            va="bottom" if above else "top",
            fontsize=TEXT_SIZE,
        )
    last = float(charge_time(energy_kwh, _HIGHEST_KW))
    axes.text(1.03 * _HIGHEST_KW, last, f"{energy_kwh:.0f} kWh", va="center", fontsize=TEXT_SIZE + 2)
