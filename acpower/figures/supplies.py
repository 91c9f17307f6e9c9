"""The supplies of the world as arrows, and the two ways to connect three loads."""

from collections.abc import Mapping
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from acpower.figures.look import (
    BLACK,
    GREEN,
    LINE_WIDTH,
    PHASE_ANGLES,
    TEXT_SIZE,
    YELLOW,
    Still,
    blank_figure,
    phase_arrow,
)
from acpower.region import Region
from acpower.supply import NominalSupply, nominal_supply

_BETWEEN: dict[str, Any] = {"color": GREEN, "linewidth": LINE_WIDTH, "linestyle": "-."}
_WIRE: dict[str, Any] = {"color": BLACK, "linewidth": 1.8}
_LOAD_LENGTH, _LOAD_HALF_WIDTH = 0.5, 0.1


def three_phase_supply(region: Region) -> NominalSupply:
    """Return the three-phase supply of a region; that of IEC 60038 where chargers get one phase only.

    >>> from acpower.region import REGIONS
    >>> [three_phase_supply(REGIONS[key]).line_voltage_v for key in ("north-america", "japan")]
    [208.0, 400.0]
    """
    return region.three_phase if region.phases == 3 else nominal_supply("iec-230-400")


def supplies_figure() -> Still:
    """Show the voltages of four kinds of supply as arrows from the neutral."""
    star, split = nominal_supply("iec-230-400"), nominal_supply("north-america-120-240")
    two_legs = nominal_supply("north-america-208")
    figure = blank_figure(10, 3.4)
    each = figure.subplots(1, 4)
    figure.subplots_adjust(left=0.005, right=0.995, bottom=0.02, top=0.88, wspace=0.04)
    _draw_supply(each[0], "Single-phase", {"L1": 90.0}, star)
    _draw_supply(each[1], "Split-phase", {"L1": 90.0, "L2": -90.0}, split)
    _draw_supply(each[2], "Three-phase", PHASE_ANGLES, star)
    legs = {name: PHASE_ANGLES[name] for name in ("L1", "L2")}
    _draw_supply(each[3], "Two legs of three-phase", legs, two_legs)
    one, between = f"{star.phase_voltage_v:g} V", f"{star.line_voltage_v:g} V"
    leg, legs_apart = f"{split.phase_voltage_v:g} V", f"{split.line_voltage_v:g} V"
    return Still(
        figure,
        alt=(
            f"Four supplies as arrows from the neutral, N. Single-phase: one arrow of {one}. Split-phase: two "
            f"arrows of {leg} that point opposite ways, so from leg to leg there are {legs_apart}, twice as "
            f"much. Three-phase: three arrows of {one}, 120° apart; from line to line there are {between}, "
            f"√3 times as much. Two legs of a three-phase supply of {two_legs.phase_voltage_v:g} V: two arrows "
            f"120° apart; from line to line there are {two_legs.line_voltage_v:g} V and not {legs_apart}."
        ),
        caption=(
            "The voltage between two lines depends on the angle between their arrows: 180° doubles, "
            "120° brings √3."
        ),
    )


def _draw_supply(axes: Axes, title: str, angles: Mapping[str, float], supply: NominalSupply) -> None:
    axes.set_title(title, fontsize=TEXT_SIZE + 1)
    tips = {name: np.exp(1j * np.radians(angle)) for name, angle in angles.items()}
    for name, tip in tips.items():
        phase_arrow(axes, name, tip)
        axes.text(1.2 * tip.real, 1.17 * tip.imag, name, ha="center", va="center", fontsize=TEXT_SIZE)
    axes.text(-0.1, 0.5, f"{supply.phase_voltage_v:g} V", ha="right", va="center", fontsize=TEXT_SIZE)
    axes.text(-0.1, 0.0, "N", ha="right", va="center", fontsize=TEXT_SIZE)
    if "L2" in tips:
        _draw_between(axes, tips["L1"], tips["L2"], f"{supply.line_voltage_v:g} V")
    axes.set_aspect("equal")
    axes.set_xlim(-1.25, 1.35)
    axes.set_ylim(-1.35, 1.35)
    axes.axis("off")


def _draw_between(axes: Axes, first: complex, second: complex, label: str) -> None:
    """Draw the voltage from line to line; beside the arrows where they lie in one line."""
    opposite = abs(first + second) < 0.1
    aside = 0.3 if opposite else 0.0
    ends = np.array([first, second]) + aside
    axes.plot(ends.real, ends.imag, **_BETWEEN)
    middle = ends.mean()
    axes.text(
        middle.real + 0.08,
        middle.imag + (0.0 if opposite else 0.12),
        label,
        va="center" if opposite else "bottom",
        fontsize=TEXT_SIZE,
    )


def star_delta_figure(phase_voltage: float = 230.0, line_voltage: float = 400.0) -> Still:
    """Show three loads in star and in delta on the same supply, with voltages and currents.

    Parameters
    ----------
    phase_voltage, line_voltage
        RMS voltages of the supply, from line to neutral and from line to line [V].
    """
    figure = blank_figure(10, 4.6)
    star, delta = figure.subplots(1, 2)
    figure.subplots_adjust(left=0.01, right=0.99, bottom=0.01, top=0.9, wspace=0.04)
    corners = {name: np.exp(1j * np.radians(angle)) for name, angle in PHASE_ANGLES.items()}
    for axes, title in ((star, "Star with neutral"), (delta, "Delta")):
        axes.set_title(title, fontsize=TEXT_SIZE + 3)
        axes.set_aspect("equal")
        axes.set_xlim(-2.1, 2.1)
        axes.set_ylim(-1.5, 1.6)
        axes.axis("off")
        for name, corner in corners.items():
            _draw_wire(axes, corner, 1.3 * corner)
            axes.text(
                1.42 * corner.real, 1.42 * corner.imag, name, ha="center", va="center", fontsize=TEXT_SIZE + 2
            )
    for corner in corners.values():
        _draw_load(star, corner, 0j)
    _draw_wire(star, 0j, -1.25j)
    star.text(0.08, -1.2, "N", va="center", fontsize=TEXT_SIZE + 2)
    star.text(0.2, 0.5, f"{phase_voltage:.0f} V", va="center", fontsize=TEXT_SIZE)
    star.text(0, -1.45, "line current = load current", ha="center", va="center", fontsize=TEXT_SIZE)
    ends = list(corners.values())
    for first, second in zip(ends, [*ends[1:], ends[0]], strict=True):
        _draw_load(delta, first, second)
    delta.text(0.62, 0.38, f"{line_voltage:.0f} V", va="center", fontsize=TEXT_SIZE)
    delta.text(0, -1.05, "line current = √3 × load current,", ha="center", va="center", fontsize=TEXT_SIZE)
    delta.text(0, -1.32, "if the loads are equal", ha="center", va="center", fontsize=TEXT_SIZE)
    return Still(
        figure,
        alt=(
            f"Left, star: three loads run from L1, L2 and L3 to one point, the star point, where the neutral N "
            f"begins. Across each load there are {phase_voltage:.0f} V. The line current is the load current. "
            f"Right, delta: the three loads form a triangle between L1, L2 and L3; there is no neutral. Across "
            f"each load there are {line_voltage:.0f} V. With equal loads the line current is √3 times the load "
            "current, because each line feeds two loads."
        ),
        caption=(
            f"Same supply: in star each load gets {phase_voltage:.0f} V, in delta {line_voltage:.0f} V. "
            "Only the star has a neutral."
        ),
    )


def _draw_wire(axes: Axes, start: complex, end: complex) -> None:
    axes.plot([start.real, end.real], [start.imag, end.imag], **_WIRE)


def _draw_load(axes: Axes, start: complex, end: complex) -> None:
    """Draw a wire with a load, a box, in its middle."""
    _draw_wire(axes, start, end)
    along = (end - start) / abs(end - start)
    middle = (start + end) / 2
    half = along * _LOAD_LENGTH / 2
    side = 1j * along * _LOAD_HALF_WIDTH
    corners = [middle - half - side, middle + half - side, middle + half + side, middle - half + side]
    axes.add_patch(
        Polygon(
            [(corner.real, corner.imag) for corner in corners],
            facecolor=YELLOW,
            edgecolor=BLACK,
            linewidth=1.5,
            zorder=3,
        )
    )
