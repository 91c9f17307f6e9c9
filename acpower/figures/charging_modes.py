"""The four charging modes side by side, drawn from their table."""

import textwrap
from typing import Any

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from acpower.figures.look import BLACK, ORANGE, SKY_BLUE, TEXT_SIZE, YELLOW, Still, blank_figure
from acpower.protection import CHARGING_MODES, ChargingMode

_COLUMNS = {"connected to": (1.2, 2.0), "watched over by": (3.7, 2.3), "in the vehicle": (6.9, 1.9)}
"""Heading, left edge and width [inches] of each column."""


def charging_modes_figure() -> Still:
    """Show for each mode what the cable is connected to, what watches over it, and where the charger is."""
    figure = blank_figure(9, 4.9)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, 9)
    axes.set_ylim(4.05, -0.85)
    axes.axis("off")
    for heading, (left, width) in _COLUMNS.items():
        axes.text(
            left + width / 2, -0.6, heading, ha="center", va="center", fontsize=TEXT_SIZE, fontweight="bold"
        )
    for row, mode in enumerate(CHARGING_MODES.values()):
        _draw_mode(axes, 1.12 * row + 0.1, mode)
    told = " ".join(
        f"{_name(mode)}: {mode.connection}; {_watched(mode)}; {mode.current} in the cable; "
        f"in the vehicle {_vehicle(mode)}."
        for mode in CHARGING_MODES.values()
    )
    unconfirmed = " and ".join(
        _name(mode) for mode in CHARGING_MODES.values() if "unconfirmed" in mode.status
    )
    return Still(
        figure,
        alt=f"Four rows, one for each charging mode. {told}",
        caption=(
            "In modes 1 to 3 the vehicle carries the charger, and the cable carries AC. In mode 4 the "
            f"station holds the charger, and the cable carries DC. From memory, unconfirmed: {unconfirmed}."
        ),
    )


def _draw_mode(axes: Axes, middle: float, mode: ChargingMode) -> None:
    axes.text(0.15, middle, _name(mode), va="center", fontsize=TEXT_SIZE, fontweight="bold")
    nothing: dict[str, Any] = {"facecolor": "white", "linestyle": "--"}
    looks: list[tuple[str, dict[str, Any]]] = [
        (mode.connection, {"facecolor": "white"}),
        (_watched(mode), nothing if mode.device == "none" else {"facecolor": ORANGE, "hatch": ".."}),
        (
            _vehicle(mode),
            {"facecolor": SKY_BLUE} if mode.current == "AC" else {"facecolor": YELLOW, "hatch": "//"},
        ),
    ]
    ends = []
    for (text, look), (left, width) in zip(looks, _COLUMNS.values(), strict=True):
        axes.add_patch(Rectangle((left, middle - 0.45), width, 0.9, edgecolor=BLACK, linewidth=1.5, **look))
        lines = "\n".join(textwrap.wrap(text, round(width / 0.125)))
        ground = {"facecolor": "white", "edgecolor": "none", "pad": 1}
        box = ground if "hatch" in look else None
        axes.text(left + width / 2, middle, lines, ha="center", va="center", fontsize=TEXT_SIZE - 1, bbox=box)
        ends.append((left, left + width))
    first, second, third = ends
    axes.plot([first[1], second[0]], [middle, middle], color=BLACK, linewidth=2)
    dashes = "-" if mode.current == "AC" else (0, (3, 2))
    axes.plot([second[1], third[0]], [middle, middle], color=BLACK, linewidth=2, linestyle=dashes)
    axes.text(
        (second[1] + third[0]) / 2, middle - 0.1, mode.current, ha="center", va="bottom", fontsize=TEXT_SIZE
    )


def _name(mode: ChargingMode) -> str:
    return mode.key.replace("-", " ").capitalize()


def _watched(mode: ChargingMode) -> str:
    return "nothing" if mode.device == "none" else mode.device


def _vehicle(mode: ChargingMode) -> str:
    return "on-board charger and battery" if mode.current == "AC" else "battery"
