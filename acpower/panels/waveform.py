"""Panel: a waveform, its RMS value, and what two kinds of meter show."""

from typing import Any

import numpy as np

from acpower.figures.look import (
    BLACK,
    BLUE,
    GREEN,
    LINE_WIDTH,
    SKY_BLUE,
    TEXT_SIZE,
    VERMILLION,
    YELLOW,
    blank_figure,
    plain_axes,
    spread,
)
from acpower.figures.waveforms import SHAPES, Readings, read_waveform
from acpower.panels.board import Board
from acpower.panels.controls import choice, knob
from acpower.panels.panel import PICTURE_HEIGHT, PICTURE_WIDTH, Panel

_SCALES = (25.0, 50.0, 100.0, 200.0, 400.0)
_TURNS = np.linspace(0, 2, 801)


def waveform_panel() -> Panel[Readings]:
    """Return the panel: shape, peak and duty in; RMS, factors and two meter readings out."""
    return Panel(
        controls={
            "shape": choice("Shape", {shape: shape for shape in SHAPES}),
            "peak": knob("Peak voltage (V)", value=325, low=1, high=400, step=1),
            "duty_percent": knob("Pulse: time high (%)", value=25, low=1, high=99, step=1),
        },
        calculate=_calculate,
        drawing=_Drawing(),
        words=waveform_words,
        alt=lambda _: "Curve of the waveform over two periods, with lines at peak, RMS and rectified mean.",
    )


def _calculate(shape: str, peak: float, duty_percent: float) -> Readings:
    return read_waveform(shape, peak, duty_percent / 100)


def waveform_words(readings: Readings) -> str:
    """Say the readings in plain sentences.

    >>> print(waveform_words(read_waveform("square", 100.0)))
    Square, peak 100 V: RMS 100.0 V, rectified mean 100.0 V, crest factor 1.00, form factor 1.00. \
A true-RMS meter shows 100.0 V. An average-responding meter shows 111.1 V: 11.1 % too much.
    """
    name = readings.shape.capitalize()
    if readings.shape == "pulse":
        name += f", {100 * readings.duty:.0f} % high"
    return (
        f"{name}, peak {readings.peak:g} V: RMS {readings.rms:.1f} V, "
        f"rectified mean {readings.rectified_mean:.1f} V, crest factor {readings.crest_factor:.2f}, "
        f"form factor {readings.form_factor:.2f}. A true-RMS meter shows {readings.true_rms_meter:.1f} V. "
        f"An average-responding meter shows {readings.average_responding_meter:.1f} V: {_verdict(readings)}."
    )


def _verdict(readings: Readings) -> str:
    error = 100 * (readings.average_responding_meter / readings.true_rms_meter - 1)
    if abs(error) < 0.05:
        return "correct"
    return f"{abs(error):.1f} % too {'much' if error > 0 else 'little'}"


class _Drawing:
    """The curve with its levels, and below it the displays of the two meters."""

    def __init__(self) -> None:
        figure = blank_figure(PICTURE_WIDTH / 100, PICTURE_HEIGHT / 100)
        self._axes = plain_axes(figure.add_axes((0.17, 0.37, 0.49, 0.6)), y_label="Voltage (V)")
        self._axes.set_xlabel("Time (periods)", fontsize=TEXT_SIZE)
        self._axes.set_xlim(0, 2)
        self._axes.axhline(0, color=BLACK, linewidth=1)
        (self._curve,) = self._axes.plot(_TURNS, _TURNS, color=BLACK, linewidth=LINE_WIDTH)
        styles = {"peak": (VERMILLION, ":"), "RMS": (BLUE, "--"), "rect. mean": (GREEN, "-.")}
        self._levels = {
            name: self._axes.axhline(0, color=colour, linestyle=style, linewidth=2)
            for name, (colour, style) in styles.items()
        }
        across = self._axes.get_yaxis_transform()
        self._labels = {
            name: self._axes.text(1.06, 0, "", transform=across, va="center", fontsize=TEXT_SIZE - 2)
            for name in styles
        }
        self._leaders = {
            name: self._axes.plot([1, 1.05], [0, 0], color=colour, transform=across, clip_on=False)[0]
            for name, (colour, _) in styles.items()
        }
        self._displays = {}
        for kind, left, colour in (
            ("true-RMS meter", 0.02, SKY_BLUE),
            ("average-responding meter", 0.52, YELLOW),
        ):
            box = figure.add_axes((left, 0.02, 0.46, 0.18), facecolor=colour, xticks=[], yticks=[])
            box.text(0.5, 0.78, kind, ha="center", va="center", fontsize=TEXT_SIZE - 2)
            self._displays[kind] = box.text(0.5, 0.34, "", ha="center", va="center", fontsize=TEXT_SIZE + 6)
        moving: list[Any] = [
            self._curve,
            *self._levels.values(),
            *self._leaders.values(),
            *self._labels.values(),
            *self._displays.values(),
        ]
        self._board = Board(figure, moving)

    def png(self, readings: Readings) -> bytes:
        """Draw the readings; return the picture."""
        scale = next(scale for scale in _SCALES if scale >= readings.peak)
        self._axes.set_ylim(-1.1 * scale, 1.1 * scale)
        self._curve.set_ydata(readings.peak * SHAPES[readings.shape](_TURNS, readings.duty))
        # in rising order, so that the labels of equal levels stand in this order too
        levels = {"rect. mean": readings.rectified_mean, "RMS": readings.rms, "peak": readings.peak}
        places = spread(list(levels.values()), gap=0.22 * scale)
        too_high = max(places[-1] - scale, 0)
        for (name, level), place in zip(levels.items(), places, strict=True):
            self._levels[name].set_ydata([level, level])
            self._leaders[name].set_ydata([level, place - too_high])
            self._labels[name].set(y=place - too_high, text=f"{name} {level:.1f} V")
        self._displays["true-RMS meter"].set_text(f"{readings.true_rms_meter:.1f} V")
        self._displays["average-responding meter"].set_text(f"{readings.average_responding_meter:.1f} V")
        return self._board.png()
