"""Panel: one signal, and what five meters show for it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from acpower import tables
from acpower.figures.look import BLACK, BLUE, GREEN, SKY_BLUE, VERMILLION, YELLOW, spread
from acpower.figures.scene import THIN, Axis, Box, Chart, Fill, Line, Pen, Scene, Text, Thing, level
from acpower.front_end import bridge_with_capacitor
from acpower.meters import MeterReadings, meter_readings
from acpower.panels.controls import Choice, Knob
from acpower.panels.panel import Panel
from acpower.region import Region, region_in_use
from acpower.rms import rms_to_peak
from acpower.waveforms import waveform

Array = NDArray[np.float64]

PILOT_HZ = 1000.0
"""Nominal frequency of the control pilot; a public bring-up guide of a station accepts 980 to 1020 Hz."""

_PILOTS = {"control pilot, vehicle not ready": "B", "control pilot, vehicle ready": "C"}
_STATES = {row["state"]: row for row in tables.rows("pilot_states")}
_TURN = np.linspace(0, 1, 201)
_EDGE = 1e-9  # how long a change between two levels takes, as a share of the period
_SCALES = (15.0, 25.0, 50.0, 100.0, 200.0, 400.0)
_METERS = {
    "true_rms_ac_dc": ("true RMS\nAC + DC", SKY_BLUE),
    "true_rms_ac": ("true RMS\nAC range", SKY_BLUE),
    "average_responding_ac_dc": ("average\nAC + DC", YELLOW),
    "average_responding_ac": ("average\nAC range", YELLOW),
    "dc": ("mean\nDC range", "#DDDDDD"),
}
"""Label and colour of each display, by its name in `acpower.meters.MeterReadings`."""


@dataclass(frozen=True, eq=False)
class Signal:
    """One period of a signal: its corners, joined by straight lines.

    Attributes
    ----------
    unit
        V or A.
    frequency_hz
        Frequency [Hz].
    turn, samples
        Places in the period from 0 to 1, and the value there [V or A].
    """

    unit: str
    frequency_hz: float
    turn: Array
    samples: Array

    @property
    def steady(self) -> bool:
        """Whether it never changes."""
        return bool(np.ptp(self.samples) == 0)


@dataclass(frozen=True, eq=False)
class Metered:
    """A signal and what five meters show for it; a duty [%] only for the control pilot."""

    name: str
    signal: Signal
    duty_percent: float | None
    highest: float
    readings: MeterReadings


def meters_panel() -> Panel[Metered]:
    """Return the panel: a signal in; the displays of five meters out.

    The mains signals are those of a socket of the region in use.
    """
    mains = mains_signals(region_in_use())
    return Panel(
        "One signal over two periods, and the displays of five meters",
        {
            "name": Choice("Signal", {name: name for name in (*_PILOTS, *mains)}),
            "duty_percent": Knob("Pilot: time high", "%", value=25, low=0, high=100, step=1),
        },
        calculate=partial(metered, mains=mains),
        scene=_scene,
        words=metered_words,
        idle=lambda shown: ("duty_percent",) if shown.duty_percent is None else (),
    )


def mains_signals(region: Region) -> dict[str, Signal]:
    """Return what can be seen at a socket of a region: its voltage in two forms, and a current.

    The current is that of an invented supply of 500 W without a power factor stage, worked out by
    `acpower.front_end.bridge_with_capacitor`; all its parts are invented.
    """
    volts, hertz = region.single_phase.phase_voltage_v, float(region.frequency_hz)
    peak = float(rms_to_peak(volts))
    period = bridge_with_capacitor(volts, hertz, 1e-3, 0.4, 8e-4, load_power=500)
    closed = np.append(period.mains_current, period.mains_current[0])
    return {
        "socket": Signal("V", hertz, _TURN, np.asarray(peak * waveform("sine", _TURN))),
        "socket behind one diode": Signal(
            "V", hertz, _TURN, np.asarray(peak * waveform("half-wave rectified sine", _TURN))
        ),
        "current of a simple charger": Signal("A", hertz, np.linspace(0, 1, len(closed)), closed),
    }


def pilot_signal(high: float, low: float, duty: float) -> Signal:
    """Return a control pilot that is at its high level [V] for a share of the time; 0 and 1 are steady."""
    if not _EDGE < duty < 1 - _EDGE:
        steady = high if duty > _EDGE else low
        return Signal("V", PILOT_HZ, np.array([0.0, 1.0]), np.array([steady, steady]))
    corners = np.array([0.0, duty, duty + _EDGE, 1.0])
    return Signal("V", PILOT_HZ, corners, np.array([high, high, low, low]))


def metered(name: str, duty_percent: float, mains: Mapping[str, Signal]) -> Metered:
    """Return the signal of a name with its readings; the duty [%] counts for the control pilot only."""
    signal, duty = mains.get(name), None
    if signal is None:
        row, duty = _STATES[_PILOTS[name]], duty_percent
        signal = pilot_signal(float(row["positive_v"]), float(row["negative_v"]), duty / 100)
    return Metered(
        name, signal, duty, float(np.max(signal.samples)), meter_readings(signal.samples, signal.turn)
    )


def metered_words(shown: Metered) -> str:
    """Say the five readings, and what they are worth."""
    if shown.duty_percent is None:
        rms = said(float(shown.readings.true_rms_ac_dc), shown.signal.unit)
        right = [
            _METERS[meter][0].replace("\n", " ")
            for meter, value in by_meter(shown.readings)
            if said(value, shown.signal.unit) == rms
        ]
        name, worth = shown.name, f"The RMS value, {rms}, stands on: {', '.join(right)}."
    elif not shown.signal.steady:
        name = f"{shown.name}, {shown.duty_percent:g} % of the time high"
        worth = (
            f"The pilot carries two numbers, the high level {said(shown.highest, 'V')} and the duty "
            f"{shown.duty_percent:g} %: every display mixes them."
        )
    else:
        name, worth = f"{shown.name}, steady", "The DC range shows the steady level."
    return f"{name[0].upper()}{name[1:]}. {readings_words(shown.readings, shown.signal.unit)} {worth}"


def readings_words(readings: MeterReadings, unit: str) -> str:
    """Say the five readings."""
    true, true_ac, average, average_ac, mean = (said(value, unit) for _, value in by_meter(readings))
    return (
        f"True-RMS meter: AC + DC {true}, AC range {true_ac}. "
        f"Average-responding meter: AC + DC {average}, AC range {average_ac}. DC range: {mean}."
    )


def by_meter(readings: MeterReadings) -> Iterator[tuple[str, float]]:
    """Yield the name of each meter and its reading."""
    for meter in _METERS:
        yield meter, float(getattr(readings, meter))


def said(value: float, unit: str) -> str:
    """Return a reading as a display shows it.

    >>> said(-0.001, "V"), said(-10.2, "V"), said(325.269, "V")
    ('0.00 V', '−10.20 V', '325.3 V')
    """
    digits = 1 if abs(value) >= 100 else 2
    return f"{round(value, digits) + 0.0:.{digits}f} {unit}".replace("-", "−")


def displays(readings: MeterReadings, unit: str, top: float, height: float) -> list[Chart]:
    """Return the displays of the five meters side by side, in a strip of the picture."""
    return [
        display(label, said(value, unit), colour, (at / 5 + 0.003, top, 0.194, height))
        for at, ((label, colour), (_, value)) in enumerate(
            zip(_METERS.values(), by_meter(readings), strict=True)
        )
    ]


def display(
    label: str,
    shown: str,
    colour: str,
    place: tuple[float, float, float, float],
    *,
    size: float = 1.0,
    hatch: bool = False,
) -> Chart:
    """Return one display: a label, and below it what it shows, larger by a factor if wanted."""
    one = Axis(0, 1)
    lines = label.count("\n") + 1
    return Chart(
        one,
        one,
        [
            Box(Fill(colour, hatch)),
            Text(0.5, 0.75 if lines == 1 else 0.68, label, "middle", halo=hatch),
            Text(0.5, 0.3 if lines == 1 else 0.2, shown, "middle", bold=True, size=size, halo=hatch),
        ],
        place,
        grid=False,
        above=0,
        beside=0,
    )


def _scene(shown: Metered) -> Scene:
    """Draw two periods with high level, RMS value and mean; below them the displays."""
    return Scene([_curve(shown), *displays(shown.readings, shown.signal.unit, top=0.8, height=0.19)])


def _curve(shown: Metered) -> Chart:
    signal, unit = shown.signal, shown.signal.unit
    highest = float(np.max(np.abs(signal.samples)))
    scale = next(scale for scale in _SCALES if scale >= highest)
    times = np.concatenate([signal.turn, signal.turn + 1]) * 1000 / signal.frequency_hz
    quantity = "Voltage" if unit == "V" else "Current"
    x = Axis(0, times[-1], f"Time (ms), {signal.frequency_hz:g} Hz")
    y = Axis(-1.1 * scale, 1.1 * scale, f"{quantity} ({unit})")
    things: list[Thing] = [level(x, 0, THIN), Line(times, np.tile(signal.samples, 2), Pen(BLACK))]
    # in rising order, so that the labels of equal levels stand in this order too
    levels = {
        "mean": (float(shown.readings.dc), Pen(GREEN, (9, 3, 2, 3), 2)),
        "RMS": (float(shown.readings.true_rms_ac_dc), Pen(BLUE, (7, 4), 2)),
        "highest": (shown.highest, Pen(VERMILLION, (2, 2), 2)),
    }
    places = spread([height for height, _ in levels.values()], gap=0.22 * scale)
    too_high = max(max(places) - scale, 0)
    for (name, (height, pen)), place in zip(levels.items(), places, strict=True):
        label = Text(
            x.high, place - too_high, f"{name} {said(height, unit)}", shift=(1.6, 0), leader=(x.high, height)
        )
        things += [level(x, height, pen), label]
    return Chart(x, y, things, (0, 0, 1, 0.79), beside=18)
