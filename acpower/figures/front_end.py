"""What a charger draws from the mains, without and with a power factor stage."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from acpower.figures.look import (
    BLACK,
    BLUE,
    GREY,
    LINE_WIDTH,
    SKY_BLUE,
    TEXT_SIZE,
    VERMILLION,
    YELLOW,
    Still,
    blank_figure,
    plain_axes,
)
from acpower.front_end import FrontEndPeriod, bridge_with_capacitor, power_factor_corrected
from acpower.harmonic_limits import check_class_a

FRONT_ENDS = _BRIDGE, _CORRECTED = "Bridge with capacitor", "With power factor stage"
_STYLES: dict[str, dict[str, Any]] = {
    _BRIDGE: {"color": BLUE, "linestyle": "-"},
    _CORRECTED: {"color": VERMILLION, "linestyle": "--"},
}
_BARS = {_BRIDGE: (SKY_BLUE, ""), _CORRECTED: (YELLOW, "///")}
_ORDERS = np.arange(3, 20, 2)


def front_end(
    name: str, load_power: float, voltage: float = 230.0, frequency: float = 50.0, capacitance: float = 1e-3
) -> FrontEndPeriod:
    """Return one mains period of one of ``FRONT_ENDS`` [W, V, Hz, F]; mains and all parts are invented."""
    if name == _BRIDGE:
        return bridge_with_capacitor(voltage, frequency, capacitance, 0.4, 8e-4, load_power=load_power)
    return power_factor_corrected(voltage, frequency, load_power, 400.0, capacitance)


def front_ends(
    load_power: float, voltage: float = 230.0, frequency: float = 50.0
) -> dict[str, FrontEndPeriod]:
    """Return one mains period of both front ends at the same load [W]."""
    return {name: front_end(name, load_power, voltage, frequency) for name in FRONT_ENDS}


def front_end_figure(load_power: float = 1000.0, voltage: float = 230.0, frequency: float = 50.0) -> Still:
    """Show mains current and DC-link voltage of a charger without and with a power factor stage.

    Parameters
    ----------
    load_power
        Power that the DC/DC stage draws [W], the same for both.
    voltage, frequency
        Effective value [V] and frequency [Hz] of the mains.
    """
    periods = front_ends(load_power, voltage, frequency)
    figure = blank_figure(10, 5.6)
    rows = figure.subplots(2, 2, sharex=True, sharey="row")
    figure.subplots_adjust(left=0.085, right=0.985, bottom=0.115, top=0.87, wspace=0.1, hspace=0.14)
    highest = max(float(np.max(period.mains_current)) for period in periods.values())
    links = [period.dc_link_voltage for period in periods.values()]
    for place, (name, period) in enumerate(periods.items()):
        milliseconds = 1000 * period.time_s
        current, link = (plain_axes(axes) for axes in rows[:, place])
        in_height = 0.9 * highest / float(np.max(period.mains_voltage))
        current.axhline(0, color=BLACK, linewidth=1)
        current.plot(milliseconds, in_height * period.mains_voltage, color=GREY, linewidth=1.5, linestyle=":")
        current.plot(milliseconds, period.mains_current, linewidth=LINE_WIDTH, **_STYLES[name])
        current.set_ylim(-1.15 * highest, 1.15 * highest)
        current.set_title(
            f"{name}\npower factor {period.power_factor:.3f}, THD {100 * np.asarray(period.distortion):.0f} %",
            fontsize=TEXT_SIZE,
        )
        link.plot(milliseconds, period.dc_link_voltage, linewidth=LINE_WIDTH, **_STYLES[name])
        link.set_ylim(float(np.min(links)) - 15, float(np.max(links)) + 15)
        link.set_xlabel("Time (ms)", fontsize=TEXT_SIZE)
        link.set_xlim(0, 1000 / frequency)
        link.text(
            0.98, _free_place(period.dc_link_voltage, link), f"ripple {period.ripple:.0f} V peak to peak",
            ha="right", va="center", transform=link.transAxes, fontsize=TEXT_SIZE,
        )  # fmt: skip
    rows[0, 0].set_ylabel("Mains current (A)", fontsize=TEXT_SIZE)
    rows[1, 0].set_ylabel("DC link (V)", fontsize=TEXT_SIZE)
    rows[0, 1].text(
        0.98, 0.94, "dotted: mains voltage,\nnot to scale", color=GREY, fontsize=TEXT_SIZE,
        ha="right", va="top", transform=rows[0, 1].transAxes,
    )  # fmt: skip
    return Still(
        figure,
        alt=(
            f"One mains period of {voltage:g} V, {frequency:g} Hz; a charger whose DC/DC stage draws "
            f"{load_power:.0f} W, with invented parts. "
            + " ".join(_in_words(name, period) for name, period in periods.items())
        ),
        caption=(
            f"{load_power:.0f} W both times. The bridge draws short pulses near the crest of the voltage; the "
            "power factor stage draws a current of the voltage's own form. All parts are invented."
        ),
    )


def harmonics_figure(load_power: float = 1000.0, voltage: float = 230.0, frequency: float = 50.0) -> Still:
    """Show the odd harmonics of both front ends beside the limits of class A of IEC 61000-3-2.

    Parameters
    ----------
    load_power
        Power that the DC/DC stage draws [W], the same for both.
    voltage, frequency
        Effective value [V] and frequency [Hz] of the mains.
    """
    periods = front_ends(load_power, voltage, frequency)
    checks = {name: check_class_a(period.harmonic_currents) for name, period in periods.items()}
    figure = blank_figure(9.5, 4.8)
    axes = plain_axes(figure.subplots(), x_label="Order of the harmonic", y_label="Current (A)")
    figure.subplots_adjust(left=0.08, right=0.98, bottom=0.14, top=0.9)
    places = np.arange(len(_ORDERS))
    for shift, (name, check) in zip((-0.2, 0.2), checks.items(), strict=True):
        colour, hatch = _BARS[name]
        axes.bar(
            places + shift, check.current[_ORDERS - 2], 0.38, label=name, color=colour, hatch=hatch,
            edgecolor=BLACK,
        )  # fmt: skip
    limits = checks[_BRIDGE].limit[_ORDERS - 2]
    axes.hlines(limits, places - 0.45, places + 0.45, color=BLACK, linewidth=3, label="limit of class A")
    axes.set_xticks(places, [str(order) for order in _ORDERS])
    axes.grid(False, axis="x")
    figure.legend(loc="upper center", ncols=3, fontsize=TEXT_SIZE, frameon=False)
    bridge, corrected = (check.current[_ORDERS - 2] for check in checks.values())
    over = {name: check.order[~check.within] for name, check in checks.items()}
    return Still(
        figure,
        alt=(
            f"Bars: odd harmonics of the mains current at {load_power:.0f} W, {voltage:g} V, {frequency:g} Hz, "
            "without and with a power factor stage, and the limits of IEC 61000-3-2 class A. "
            + " ".join(
                f"Order {order}: bridge {plain:.2f} A, power factor stage {clean:.2f} A, limit {limit:.2f} A."
                for order, plain, clean, limit in zip(_ORDERS, bridge, corrected, limits, strict=True)
            )
            + "".join(f" {name}: {_over_in_words(orders)}." for name, orders in over.items())
        ),
        caption=(
            f"Harmonics at {load_power:.0f} W beside the limits of IEC 61000-3-2 class A (up to 16 A per phase). "
            "Arithmetic on invented chargers, not a conformity test."
        ),
    )


def _in_words(name: str, period: FrontEndPeriod) -> str:
    return (
        f"{name}: the current reaches {np.max(period.mains_current):.1f} A, its RMS value is "
        f"{period.rms_current:.2f} A, power factor {period.power_factor:.3f}, THD "
        f"{100 * np.asarray(period.distortion):.0f} %. The DC link swings between "
        f"{np.min(period.dc_link_voltage):.0f} V and {np.max(period.dc_link_voltage):.0f} V, twice per period."
    )


def _over_in_words(orders: np.typing.NDArray[np.int_]) -> str:
    if not orders.size:
        return "every harmonic up to the 40th keeps its limit"
    return "above the limit at orders " + ", ".join(map(str, orders))


def _free_place(link: np.typing.NDArray[np.float64], axes: Axes) -> float:
    """Return a height in the axes that a curve in the other half leaves free."""
    low, high = axes.get_ylim()
    return 0.15 if np.mean(link) > (low + high) / 2 else 0.85
