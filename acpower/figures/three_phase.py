"""Why three phases bring √3."""

import numpy as np
from matplotlib.axes import Axes

from acpower.figures.look import (
    BLACK,
    GREEN,
    LINE_WIDTH,
    PHASE_ANGLES,
    PHASE_STYLES,
    TEXT_SIZE,
    Still,
    blank_figure,
    phase_arrow,
    plain_axes,
)
from acpower.power import phase_to_line
from acpower.rms import rms_to_peak


def root_three_figure(phase_voltage: float = 230.0) -> Still:
    """Show two phase voltages and the line voltage between them, as arrows and as waves.

    Parameters
    ----------
    phase_voltage
        RMS voltage between line and neutral [V].
    """
    line_voltage = float(phase_to_line(phase_voltage))
    figure = blank_figure(10, 4.6)
    arrows, waves = figure.subplots(1, 2, width_ratios=(1, 1.25))
    figure.subplots_adjust(left=0.01, right=0.88, bottom=0.14, top=0.96, wspace=0.22)
    _draw_arrows(arrows, phase_voltage, line_voltage)
    _draw_waves(waves, phase_voltage, line_voltage)
    return Still(
        figure,
        alt=(
            f"Left: three arrows of {phase_voltage:.0f} V from one point, the neutral, 120° apart: a star. "
            f"The line from the tip of L1 to the tip of L2 is the line voltage, {line_voltage:.0f} V. It is "
            f"shorter than two arrows end to end ({2 * phase_voltage:.0f} V) because they do not lie in one "
            f"line: it is √3 = {line_voltage / phase_voltage:.3f} times one arrow. Right: the waves of L1 "
            f"and L2 peak at {rms_to_peak(phase_voltage):.0f} V at different times. Their difference, "
            f"L1 to L2, peaks at {rms_to_peak(line_voltage):.0f} V, also √3 times as high."
        ),
        caption=(
            f"Line to neutral {phase_voltage:.0f} V, line to line {line_voltage:.0f} V: the phases peak at "
            "different times, so two of them make √3 times one, not twice."
        ),
    )


def root_three_triangle_figure(phase_voltage: float = 230.0) -> Still:
    """Show the line voltage as the long side of a triangle, and its half as phase voltage times cos 30°.

    Parameters
    ----------
    phase_voltage
        RMS voltage between line and neutral [V].
    """
    line_voltage = float(phase_to_line(phase_voltage))
    half = line_voltage / 2
    figure = blank_figure(9, 3.6)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(-1.25, 1.25)
    axes.set_ylim(-0.28, 0.72)
    axes.set_aspect("equal")
    axes.axis("off")
    reach = np.sqrt(3) / 2  # with a phase voltage of 1, the neutral above the middle of the line voltage
    axes.plot([-reach, 0], [0, 0.5], linewidth=LINE_WIDTH, **PHASE_STYLES["L1"])
    axes.plot([0, reach], [0.5, 0], linewidth=LINE_WIDTH, **PHASE_STYLES["L2"])
    axes.plot([-reach, reach], [0, 0], color=GREEN, linewidth=LINE_WIDTH + 1, linestyle="-.")
    axes.plot([0, 0], [0, 0.5], color=BLACK, linewidth=1, linestyle=":")
    axes.plot([0, 0.06, 0.06], [0.06, 0.06, 0], color=BLACK, linewidth=1)  # a right angle
    volts, halves = f"{phase_voltage:.0f} V", f"{half:.1f} V"
    for x, y, words in (
        (-reach - 0.07, 0, "L1"), (reach + 0.07, 0, "L2"), (0, 0.57, "N"), (0, 0.34, "120°"),
        (-0.6, 0.055, "30°"), (0.6, 0.055, "30°"), (-0.56, 0.3, volts), (0.56, 0.3, volts),
        (-0.43, -0.07, halves), (0.43, -0.07, halves),
        (0, -0.2, f"L1 to L2: 2 × {volts} × cos 30° = {line_voltage:.1f} V"),
    ):  # fmt: skip
        ground = {"facecolor": "white", "edgecolor": "none", "pad": 1.5}
        axes.text(x, y, words, ha="center", va="center", fontsize=TEXT_SIZE + 1, bbox=ground)
    return Still(
        figure,
        alt=(
            f"A flat triangle with the neutral N on top. Two sides of {phase_voltage:.0f} V run down to L1 and "
            f"to L2; the angle between them is 120°. The long side at the bottom is the line voltage, L1 to L2. "
            f"A dotted line from N cuts the triangle into two halves, each with an angle of 30° at the bottom. "
            f"Half of the long side is {phase_voltage:.0f} V × cos 30° = {half:.1f} V. The whole side is "
            f"{line_voltage:.1f} V, and 2 × cos 30° is √3."
        ),
        caption="Cut the triangle into halves: cos 30° is half of √3, so the long side is √3 times one arrow.",
    )


def _draw_arrows(axes: Axes, phase_voltage: float, line_voltage: float) -> None:
    tips = {name: np.exp(1j * np.radians(angle)) for name, angle in PHASE_ANGLES.items()}
    for name, tip in tips.items():
        phase_arrow(axes, name, tip)
        axes.text(1.17 * tip.real, 1.17 * tip.imag, name, ha="center", va="center", fontsize=TEXT_SIZE + 2)
    ends = np.array([tips["L1"], tips["L2"]])
    axes.plot(ends.real, ends.imag, color=GREEN, linewidth=LINE_WIDTH + 1, linestyle="-.")
    middle = ends.mean()
    axes.text(
        middle.real + 0.1,
        middle.imag + 0.1,
        f"L1 to L2:\n{line_voltage:.0f} V",
        va="bottom",
        fontsize=TEXT_SIZE,
    )
    axes.text(-0.08, 0.5, f"{phase_voltage:.0f} V", ha="right", va="center", fontsize=TEXT_SIZE)
    axes.text(-0.1, 0.08, "N", ha="right", va="bottom", fontsize=TEXT_SIZE)
    axes.text(0, -0.22, "120°", ha="center", va="top", fontsize=TEXT_SIZE)
    axes.set_aspect("equal")
    axes.set_xlim(-1.1, 1.25)
    axes.set_ylim(-0.75, 1.25)
    axes.axis("off")


def _draw_waves(axes: Axes, phase_voltage: float, line_voltage: float) -> None:
    plain_axes(axes, x_label="Angle (degrees)", y_label="Voltage (V)")
    degrees = np.linspace(0, 360, 361)
    l1 = rms_to_peak(phase_voltage) * np.sin(np.radians(degrees))
    l2 = rms_to_peak(phase_voltage) * np.sin(np.radians(degrees - 120))
    axes.axhline(0, color=BLACK, linewidth=1)
    axes.plot(degrees, l1, linewidth=LINE_WIDTH, **PHASE_STYLES["L1"])
    axes.plot(degrees, l2, linewidth=LINE_WIDTH, **PHASE_STYLES["L2"])
    axes.plot(degrees, l1 - l2, color=GREEN, linewidth=LINE_WIDTH + 1, linestyle="-.")
    for name, wave in {"L1": l1, "L2": l2, "L1 to L2": l1 - l2}.items():
        axes.text(366, wave[-1], name, va="center", fontsize=TEXT_SIZE + 1)
    for peak, at in ((rms_to_peak(phase_voltage), 90), (rms_to_peak(line_voltage), 60)):
        axes.annotate(
            f"{peak:.0f} V", (at, float(peak)), (at, float(peak) + 25), ha="center", fontsize=TEXT_SIZE
        )
    axes.set_xticks(range(0, 361, 60))
    axes.set_xlim(0, 360)
    axes.set_ylim(-1.15 * float(rms_to_peak(line_voltage)), 1.25 * float(rms_to_peak(line_voltage)))
