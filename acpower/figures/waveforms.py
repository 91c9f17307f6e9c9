"""Waveforms, and what two kinds of meter show for them."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from acpower.figures.look import (
    BLACK,
    BLUE,
    GREEN,
    GREY,
    LINE_WIDTH,
    SKY_BLUE,
    TEXT_SIZE,
    VERMILLION,
    YELLOW,
    Still,
    blank_figure,
    plain_axes,
    spread,
)
from acpower.meters import meter_readings
from acpower.rms import crest_factor, form_factor, rectified_mean, rms_to_peak
from acpower.waveforms import SHAPES, waveform

Samples = npt.NDArray[np.float64]

SAMPLES_PER_PERIOD = 1000


@dataclass(frozen=True)
class Readings:
    """One waveform in numbers, and the readings of two meters.

    All voltages in volts. Both meters measure AC and DC together; many meters keep DC out of
    their AC range and then show less for a waveform with a DC part: see `acpower.meters`.
    """

    shape: str
    peak: float
    duty: float
    rms: float
    rectified_mean: float
    crest_factor: float
    form_factor: float
    true_rms_meter: float
    average_responding_meter: float


def one_period(shape: str, peak: float, duty: float = 0.5) -> Samples:
    """Return the samples of one period [V], at equal steps of time; the peak is one of them."""
    turn = np.arange(SAMPLES_PER_PERIOD) / SAMPLES_PER_PERIOD
    return np.asarray(peak * waveform(shape, turn, duty))


def read_waveform(shape: str, peak: float, duty: float = 0.5) -> Readings:
    """Return what a waveform measures.

    An average-responding meter takes the rectified mean and multiplies by the form factor of a
    sine, 1.111. It is right for a sine and wrong for most other shapes.

    Parameters
    ----------
    shape
        One of `acpower.waveforms.SHAPES`.
    peak
        The highest value [V], above zero.
    duty
        The share of the period for which a pulse is high, above 0 and below 1.

    Examples
    --------
    >>> readings = read_waveform("half-wave rectified sine", peak=100.0)
    >>> print(f"{readings.true_rms_meter:.1f} V, {readings.average_responding_meter:.1f} V")
    50.0 V, 35.4 V
    """
    samples = one_period(shape, peak, duty)
    meters = meter_readings(samples)
    return Readings(
        shape=shape,
        peak=peak,
        duty=duty,
        rms=float(meters.true_rms_ac_dc),
        rectified_mean=float(rectified_mean(samples)),
        crest_factor=float(crest_factor(samples)),
        form_factor=float(form_factor(samples)),
        true_rms_meter=float(meters.true_rms_ac_dc),
        average_responding_meter=float(meters.average_responding_ac_dc),
    )


def sine_figure(voltage: float = 230.0, frequency: float = 50.0) -> Still:
    """Show two periods of a sine with its peak, its RMS value and its rectified mean.

    Parameters
    ----------
    voltage
        RMS voltage [V].
    frequency
        Frequency [Hz].
    """
    readings = read_waveform("sine", float(rms_to_peak(voltage)))
    milliseconds = np.linspace(0, 2000 / frequency, 401)
    wave = np.asarray(readings.peak * waveform("sine", milliseconds * frequency / 1000))
    figure = blank_figure(9, 4.6)
    axes = plain_axes(figure.subplots(), x_label="Time (ms)", y_label="Voltage (V)")
    figure.subplots_adjust(left=0.1, right=0.73, bottom=0.14, top=0.97)
    axes.plot(milliseconds, np.abs(wave), color=GREY, linewidth=1.2, linestyle=(0, (1, 2)))
    axes.plot(milliseconds, wave, color=BLACK, linewidth=LINE_WIDTH)
    axes.axhline(0, color=BLACK, linewidth=1)
    levels = {
        f"peak {readings.peak:.1f} V": (readings.peak, VERMILLION, ":"),
        f"RMS {readings.rms:.1f} V": (readings.rms, BLUE, "--"),
        f"rectified mean {readings.rectified_mean:.1f} V": (readings.rectified_mean, GREEN, "-."),
    }
    places = spread([level for level, _, _ in levels.values()], gap=0.15 * readings.peak)
    for (label, (level, colour, style)), place in zip(levels.items(), places, strict=True):
        axes.axhline(level, color=colour, linestyle=style, linewidth=2)
        axes.annotate(
            label,
            (1, level),
            (1.03, place),
            xycoords=axes.get_yaxis_transform(),
            textcoords=axes.get_yaxis_transform(),
            va="center",
            fontsize=TEXT_SIZE + 1,
            arrowprops={"arrowstyle": "-", "color": colour},
        )
    axes.set_xlim(0, milliseconds[-1])
    axes.set_ylim(-1.1 * readings.peak, 1.1 * readings.peak)
    return Still(
        figure,
        alt=(
            f"Two periods of a {frequency:.0f} Hz sine voltage. It swings between {readings.peak:.1f} V and "
            f"−{readings.peak:.1f} V, the peak. Its RMS value, {readings.rms:.1f} V, lies lower. The "
            f"rectified mean, the mean with every negative half turned upward, is lower still: "
            f"{readings.rectified_mean:.1f} V."
        ),
        caption=(
            f"A socket of {voltage:.0f} V: the voltage swings to {readings.peak:.1f} V both ways. "
            "Dotted: the negative halves turned upward."
        ),
    )


def meters_figure(peak: float = 100.0, duty: float = 0.25) -> Still:
    """Show the readings of a true-RMS and an average-responding meter for six shapes of equal peak.

    Parameters
    ----------
    peak
        Peak of every shape [V].
    duty
        Duty of the pulse, a fraction.
    """
    every = [read_waveform(shape, peak, duty) for shape in SHAPES]
    figure = blank_figure(9, 4.8)
    axes = plain_axes(figure.subplots(), x_label=f"Reading (V), peak {peak:.0f} V for every shape")
    figure.subplots_adjust(left=0.24, right=0.96, bottom=0.14, top=0.9)
    rows = np.arange(len(every))
    kinds = {
        "true-RMS meter": ([r.true_rms_meter for r in every], -0.2, SKY_BLUE, ""),
        "average-responding meter": ([r.average_responding_meter for r in every], 0.2, YELLOW, "///"),
    }
    for kind, (values, shift, colour, hatch) in kinds.items():
        bars = axes.barh(rows + shift, values, 0.38, label=kind, color=colour, hatch=hatch, edgecolor=BLACK)
        axes.bar_label(bars, [f"{value:.1f} V" for value in values], padding=4, fontsize=TEXT_SIZE)
    names = [f"pulse, {100 * duty:.0f} % high" if r.shape == "pulse" else r.shape for r in every]
    axes.set_yticks(rows, [name.replace(" rectified", "\nrectified") for name in names])
    axes.invert_yaxis()
    axes.grid(False, axis="y")
    axes.set_xlim(0, 1.25 * peak)
    figure.legend(loc="upper center", ncols=2, fontsize=TEXT_SIZE, frameon=False)
    return Still(
        figure,
        alt=(
            f"Bars: what two meters show for six waveforms, each with a peak of {peak:.0f} V. "
            "The readings agree for the sine and the full-wave rectified sine only. "
            + " ".join(
                f"{name.capitalize()}: true-RMS {r.true_rms_meter:.1f} V, "
                f"average-responding {r.average_responding_meter:.1f} V."
                for name, r in zip(names, every, strict=True)
            )
        ),
        caption="Same peak, six shapes: only a true-RMS meter shows the RMS value of each.",
    )
