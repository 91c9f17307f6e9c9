"""The control pilot: its circuit, and the current that a duty stands for."""

import numpy as np

from acpower import tables
from acpower.figures.look import (
    BLACK,
    LINE_WIDTH,
    SKY_BLUE,
    TEXT_SIZE,
    VERMILLION,
    Still,
    blank_figure,
    plain_axes,
)
from acpower.pilot import current_from_duty, duty_meaning

_PARTS = {row["part"]: row for row in tables.rows("circuit_parts")}
_STATES = {row["state"]: row for row in tables.rows("pilot_states")}
_DUTIES = np.arange(0, 100.001, 0.05).round(2)
_TOP, _BOTTOM = 3.0, 0.3  # height of the pilot wire and of the protective conductor


def pilot_circuit_figure() -> Still:
    """Show the circuit of the control pilot: source and resistor in the station, diode and resistors in the vehicle."""
    station, always, ready, ventilated = (
        f"{float(_PARTS[name]['nominal']):g} Ω"
        for name in ("station resistor", "vehicle resistor B", "vehicle resistor C", "vehicle resistor D")
    )
    figure = blank_figure(9.5, 4.6)
    axes = figure.add_axes((0.01, 0.01, 0.98, 0.98))
    axes.set_axis_off()
    axes.set_xlim(0, 11.5)
    axes.set_ylim(-0.5, 4.6)
    for left, right, name in ((0.2, 4.0, "Station"), (5.4, 11.3, "Vehicle")):
        axes.plot([left, right, right, left, left], [-0.3, -0.3, 3.8, 3.8, -0.3], color=BLACK, linewidth=1)
        axes.text((left + right) / 2, 4.1, name, ha="center", fontsize=TEXT_SIZE + 2, weight="bold")

    def wire(*corners: tuple[float, float]) -> None:
        axes.plot(*zip(*corners, strict=True), color=BLACK, linewidth=LINE_WIDTH)

    wire((1.1, _BOTTOM), (1.1, _TOP), (1.6, _TOP))
    wire(*_rectangle(1.6, 2.8, _TOP - 0.18, _TOP + 0.18))
    axes.text(2.2, _TOP + 0.3, station, ha="center", va="bottom", fontsize=TEXT_SIZE)
    wire((2.8, _TOP), (5.7, _TOP))
    wire((6.2, _TOP), (9.5, _TOP))
    wire((1.1, _BOTTOM), (9.5, _BOTTOM))
    axes.text(
        1.1, 1.6, "+12 V\nand\n−12 V", ha="center", va="center", fontsize=TEXT_SIZE,
        bbox={"boxstyle": "round", "facecolor": "white", "edgecolor": BLACK, "linewidth": 1.5},
    )  # fmt: skip
    axes.plot([3.4], [_TOP], "o", color=BLACK, markersize=8)
    axes.text(3.4, _TOP - 0.25, "level\nread here", ha="center", va="top", fontsize=TEXT_SIZE)
    axes.text(4.7, _TOP + 0.15, "control\npilot", ha="center", va="bottom", fontsize=TEXT_SIZE)
    axes.text(4.7, _BOTTOM + 0.12, "protective\nconductor", ha="center", va="bottom", fontsize=TEXT_SIZE)
    wire((5.7, _TOP - 0.25), (5.7, _TOP + 0.25), (6.2, _TOP), (5.7, _TOP - 0.25))  # diode, and its bar
    wire((6.2, _TOP - 0.25), (6.2, _TOP + 0.25))
    axes.text(5.95, _TOP - 0.4, "diode", ha="center", va="top", fontsize=TEXT_SIZE)
    branches = (
        (6.9, always, "always"),
        (8.2, ready, "ready"),
        (9.5, ventilated, "ready, wants\nventilation"),
    )
    for place, ohms, when in branches:
        switched = when != "always"
        wire((place, _BOTTOM), (place, 0.6))
        wire(*_rectangle(place - 0.15, place + 0.15, 0.6, 1.4))
        wire((place, 1.4), (place, 2.2 if switched else _TOP))
        if switched:  # an open switch
            wire((place, 2.2), (place - 0.3, 2.7))
            wire((place, 2.75), (place, _TOP))
        axes.text(place + 0.25, 1.0, ohms, va="center", fontsize=TEXT_SIZE)
        axes.text(place + 0.15, 1.85, when, va="center", fontsize=TEXT_SIZE)
    levels = ", ".join(f"state {state} {_STATES[state]['positive_v']} V" for state in "ABCD")
    return Still(
        figure,
        alt=(
            f"Circuit of the control pilot. In the station a source of +12 V and −12 V feeds the pilot wire "
            f"through {station}; the station reads the level behind this resistor. In the vehicle a diode leads "
            f"to {always}, which is always there. A switch puts {ready} beside it when the vehicle is ready, "
            f"another one {ventilated} when it wants ventilation too. The protective conductor leads back. "
            f"Positive levels: {levels}. The diode blocks the negative half, so that stays at −12 V."
        ),
        caption="The vehicle pulls the positive half down. The diode blocks the negative half.",
    )


def _rectangle(left: float, right: float, bottom: float, top: float) -> list[tuple[float, float]]:
    """Return the corners of a resistor, the first one again at the end."""
    return [(left, bottom), (right, bottom), (right, top), (left, top), (left, bottom)]


def pilot_law_figure() -> Still:
    """Show the current that each duty stands for, by the IEC and by the SAE rule."""
    figure = blank_figure(9.5, 4.8)
    axes = plain_axes(figure.subplots(), x_label="Duty (%)", y_label="Current allowed (A)")
    figure.subplots_adjust(left=0.08, right=0.97, bottom=0.13, top=0.96)
    digital = _DUTIES[duty_meaning(_DUTIES) == "digital communication required"]
    axes.axvspan(digital[0], digital[-1], facecolor=SKY_BLUE, edgecolor=BLACK, hatch="//", linewidth=1)
    for rule, style, colour, width in (("iec", "-", BLACK, 2), ("sae", "--", VERMILLION, 5)):
        currents = np.asarray(current_from_duty(_DUTIES, rule))
        shown = np.where(currents > 0, currents, np.nan)
        shown[np.flatnonzero(np.diff(currents, prepend=0) > 1)] = np.nan  # a jump is no slope
        axes.plot(_DUTIES, shown, style, color=colour, linewidth=width, zorder=5 - width)
    notes = (
        ("3 to 7 %: no current,\nthe current is agreed\nby digital messages", (7, 15), (11, 58)),
        ("8 to 10 %: 6 A,\nIEC only", (9, 6), (15, 26)),
        ("0.6 A for each percent", (50, 30), (33, 10)),
        ("at 85 %: 51 A", (85, 51), (55, 51)),
        ("just above: 52.5 A,\n2.5 A for each percent", (85.2, 53), (50, 69)),
        ("96 to 97 %: 80 A,\nIEC only", (96.5, 80), (70, 82)),
    )
    for words, place, at in notes:
        axes.annotate(
            words, place, at, fontsize=TEXT_SIZE, va="center", arrowprops={"arrowstyle": "-", "color": BLACK}
        )
    axes.text(72, 22, "solid: IEC rule\ndashed: SAE rule", fontsize=TEXT_SIZE)
    axes.set_xlim(0, 100)
    axes.set_xticks(range(0, 101, 10))
    axes.set_ylim(0, 90)
    return Still(
        figure,
        alt=(
            "Current against duty. From 3 to 7 % no current stands for the duty: digital messages set it, so 5 % "
            "is not 3 A. From 8 to 10 % the IEC rule allows 6 A. From 10 to 85 % both rules allow 0.6 A for each "
            "percent: 16 % is 9.6 A, 50 % is 30 A, 85 % is 51 A. There the line jumps: just above 85 % it starts "
            "at 52.5 A and rises by 2.5 A for each percent to 80 A at 96 %. From 96 to 97 % the IEC rule keeps "
            "80 A, the SAE rule calls it an error. All other duties allow nothing."
        ),
        caption="No duty stands for 51 to 52.5 A. Where a line is missing, no charging is allowed.",
    )
