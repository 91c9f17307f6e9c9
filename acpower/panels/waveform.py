"""Panel: a waveform, its RMS value, and what two kinds of meter show."""

from functools import partial

import numpy as np

from acpower.figures.look import BLACK, BLUE, GREEN, SKY_BLUE, VERMILLION, YELLOW, spread
from acpower.figures.scene import THIN, Axis, Chart, Line, Pen, Scene, Text, Thing, level
from acpower.figures.waveforms import Readings, read_waveform
from acpower.panels.controls import Choice, Knob
from acpower.panels.meters import display
from acpower.panels.panel import Panel
from acpower.region import region_in_use
from acpower.rms import rms_to_peak
from acpower.waveforms import SHAPES, waveform

_SCALES = (25.0, 50.0, 100.0, 200.0, 400.0)
_TURNS = np.linspace(0, 2, 401)


def waveform_panel() -> Panel[Readings]:
    """Return the panel: shape, peak and duty in; RMS, factors and two meter readings out.

    Frequency, and the peak at first, are those of a socket of the region in use.
    """
    region = region_in_use()
    peak = round(float(rms_to_peak(region.single_phase.phase_voltage_v)))
    return Panel(
        f"Waveform at {region.frequency_hz} Hz over two periods with peak, RMS and rectified mean, and two meters",
        {
            "shape": Choice("Shape", {shape: shape for shape in SHAPES}),
            "peak": Knob("Peak voltage", "V", value=peak, low=1, high=400, step=1),
            "duty_percent": Knob("Pulse: time high", "%", value=25, low=1, high=99, step=1),
        },
        calculate=_calculate,
        scene=partial(_scene, frequency_hz=region.frequency_hz),
        words=waveform_words,
        idle=lambda readings: () if readings.shape == "pulse" else ("duty_percent",),
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


def _scene(readings: Readings, frequency_hz: float) -> Scene:
    """Draw the curve with its levels, and below it the displays of the two meters."""
    meters = [
        display(meter, f"{volts:.1f} V", colour, (left, 0.79, 0.47, 0.2), size=1.5)
        for meter, volts, colour, left in (
            ("true-RMS meter", readings.true_rms_meter, SKY_BLUE, 0.02),
            ("average-responding meter", readings.average_responding_meter, YELLOW, 0.51),
        )
    ]
    return Scene([_curve(readings, frequency_hz), *meters])


def _curve(readings: Readings, frequency_hz: float) -> Chart:
    scale = next(scale for scale in _SCALES if scale >= readings.peak)
    times = _TURNS * 1000 / frequency_hz
    x, y = (
        Axis(0, times[-1], f"Time (ms), {frequency_hz:g} Hz"),
        Axis(-1.1 * scale, 1.1 * scale, "Voltage (V)"),
    )
    curve = readings.peak * waveform(readings.shape, _TURNS, readings.duty)
    things: list[Thing] = [level(x, 0, THIN), Line(times, curve, Pen(BLACK))]
    # in rising order, so that the labels of equal levels stand in this order too
    levels = {
        "rect. mean": (readings.rectified_mean, Pen(GREEN, (9, 3, 2, 3), 2)),
        "RMS": (readings.rms, Pen(BLUE, (7, 4), 2)),
        "peak": (readings.peak, Pen(VERMILLION, (2, 2), 2)),
    }
    places = spread([height for height, _ in levels.values()], gap=0.22 * scale)
    too_high = max(places[-1] - scale, 0)
    for (name, (height, pen)), place in zip(levels.items(), places, strict=True):
        label = Text(
            x.high, place - too_high, f"{name} {height:.1f} V", shift=(1.6, 0), leader=(x.high, height)
        )
        things += [level(x, height, pen), label]
    return Chart(x, y, things, (0, 0, 1, 0.76), beside=18)
