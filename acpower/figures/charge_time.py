"""Charge time against power."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from acpower.ac_ceiling import AcCeiling, ac_ceiling
from acpower.battery import charge_time
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
from acpower.region import Region, region_in_use

BATTERY_STYLES: tuple[dict[str, Any], ...] = (
    {"color": BLUE, "linestyle": "-", "marker": "o"},
    {"color": VERMILLION, "linestyle": "--", "marker": "s"},
)
"""The first and the second battery, the same in figure and panel."""

COMMON_AC_CURRENT = 32.0
"""Where three-phase AC charging ends in common practice [A per phase]; no source."""

_USUAL_A = {1: 32.0, 3: 16.0}
"""Usual current per phase of a charging point at home, by number of phases; common practice, no source."""

_PLAIN_SOCKET_A = {1: 12.0, 3: 10.0}
"""Current that a plain socket gives for hours, by number of phases of the site; common practice, no source."""

_DC_KW = 150.0
"""Power of an invented DC station."""

_LOWEST_KW, _HIGHEST_KW = 0.85, 230.0
_SHORTEST_H, _LONGEST_H = 0.1, 200.0


def clock_time(hours: float) -> str:
    """Say decimal hours as hours and minutes, rounded to the minute.

    >>> clock_time(2.4)
    '2 h 24 min'
    >>> clock_time(0.999)
    '1 h 00 min'
    """
    whole, minutes = divmod(round(60 * hours), 60)
    return f"{whole} h {minutes:02d} min"


def ac_end(region: Region) -> AcCeiling:
    """Return the most that the usual coupler of a region passes on from its usual supplies.

    >>> from acpower.region import REGIONS
    >>> ac_end(REGIONS["europe"]).power, ac_end(REGIONS["north-america"]).power
    (43470.0, 19200.0)
    """
    ways = [
        ac_ceiling(region.coupler.key, supply.key) for supply in (region.single_phase, region.three_phase)
    ]
    return max(ways, key=lambda way: way.power)


def usual_ac_kw(region: Region) -> float:
    """Return the power [kW] of a usual charging point at home; common practice, no source.

    >>> from acpower.region import REGIONS
    >>> usual_ac_kw(REGIONS["europe"]), usual_ac_kw(REGIONS["north-america"])
    (11.04, 7.68)
    """
    phases = ac_end(region).phases
    return phases * region.single_phase_v * _USUAL_A[phases] / 1000


def charge_time_figure(
    first_kwh: float = 30.0, second_kwh: float = 100.0, region: Region | None = None
) -> Still:
    """Show the time of a charge from 0 to 100 % against power for two batteries, and where AC ends.

    Parameters
    ----------
    first_kwh, second_kwh
        Usable energy of each battery [kWh], the smaller one first; losses are left out.
    region
        Whose voltages and coupler to take; left out, the region in use.
    """
    region = region or region_in_use()
    end = ac_end(region)
    per_ampere = end.phases * end.voltage / 1000
    usual, highest = COMMON_AC_CURRENT * per_ampere, end.power / 1000
    socket = region.single_phase.phase_voltage_v * _PLAIN_SOCKET_A[end.phases] / 1000
    one_phase = region.single_phase_v / 1000
    powers = np.unique([socket, 16 * one_phase, 32 * one_phase, usual_ac_kw(region), usual, highest, _DC_KW])
    figure = blank_figure(9.5, 5.4)
    axes = plain_axes(
        figure.subplots(), x_label="Charging power (kW), losses left out", y_label="Time from 0 to 100 % (h)"
    )
    figure.subplots_adjust(left=0.09, right=0.87, bottom=0.13, top=0.9)
    axes.set_xscale("log")
    axes.set_yscale("log")
    axes.set_xlim(_LOWEST_KW, _HIGHEST_KW)
    axes.set_ylim(_SHORTEST_H, _LONGEST_H)
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
    way = "three-phase" if end.phases == 3 else "single-phase"
    common, most = f"{COMMON_AC_CURRENT:.0f} A {way}", f"{end.current:.0f} A {way}"
    coupler = region.coupler.designation
    return Still(
        figure,
        alt=(
            f"Time of a charge from 0 to 100 % against power, for a battery of {first_kwh:.0f} kWh and one of "
            f"{second_kwh:.0f} kWh. On both scales equal steps are equal factors, so the curves are two "
            f"straight lines that fall side by side. Double the power, half the time. {times} Common AC "
            f"practice ends at {usual:.1f} kW, {common}. The coupler {coupler} ends at {highest:.1f} kW, "
            f"{most}. Above that there is DC only; DC stations of less power exist as well."
        ),
        caption=(
            f"Charges from 0 to 100 %: each doubling of the power halves the time. AC commonly ends at "
            f"{usual:.0f} kW ({common}), {coupler} at {highest:.0f} kW ({most}). DC stations of less power exist "
            f"as well. Losses and the slow end of a charge are left out."
        ),
    )


def _mark_regions(axes: Axes, usual: float, highest: float) -> None:
    axes.axvspan(_LOWEST_KW, usual, color=SKY_BLUE, alpha=0.35, linewidth=0)
    axes.axvspan(highest, _HIGHEST_KW, color=YELLOW, alpha=0.45, linewidth=0)
    axes.axvline(usual, color=BLACK, linewidth=1.5)
    axes.axvline(highest, color=BLACK, linewidth=1.5, linestyle="--")
    for left, right, words in (
        (_LOWEST_KW, usual, "AC: common practice"),
        (usual, highest, "AC: less\nusual"),
        (highest, _HIGHEST_KW, "DC only"),
    ):
        axes.text(
            np.sqrt(left * right), 1.08 * _LONGEST_H, words, ha="center", va="bottom", fontsize=TEXT_SIZE
        )


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
