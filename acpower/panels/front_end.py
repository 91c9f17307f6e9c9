"""Panel: what a charger draws from the mains, without and with a power factor stage.

A new combination of values costs 10 to 30 ms, because the circuit is stepped until it repeats itself.
"""

from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np
from numpy.typing import NDArray

from acpower.figures.front_end import FRONT_ENDS, front_end
from acpower.figures.look import GREY, ORANGE, SKY_BLUE
from acpower.figures.scene import FIRST, THIN, Axis, Box, Chart, Fill, Line, Pen, Scene, Text, Thing, level
from acpower.front_end import FrontEndPeriod
from acpower.harmonic_limits import ClassACheck, check_class_a
from acpower.panels.controls import Choice, Knob
from acpower.panels.panel import Panel
from acpower.region import region_in_use

Array = NDArray[np.float64]

_ORDERS = np.arange(3, 20, 2)
_CURRENTS_A = (5.0, 10.0, 25.0, 50.0, 100.0)
_HARMONICS_A = (3.0, 6.0, 12.0, 20.0)
_LIMIT = Pen("#000000", width=4)
_EVERY = 5  # of the 1000 samples, enough for the width of the picture


@dataclass(frozen=True)
class FrontEnd:
    """A front end at work: its load and capacitor, one period of the mains, its harmonics beside their limits."""

    name: str
    load_power_w: float
    capacitor_uf: float
    voltage: float
    frequency_hz: float
    period: FrontEndPeriod
    check: ClassACheck

    @property
    def peak_current(self) -> float:
        """Highest value of the mains current [A]."""
        return float(np.max(self.period.mains_current))

    @property
    def over(self) -> list[int]:
        """Orders above their limit."""
        return [int(order) for order in self.check.order[~self.check.within]]


def front_end_panel() -> Panel[FrontEnd]:
    """Return the panel: front end, load, capacitor in; mains current, DC link, harmonics, power factor out.

    Voltage and frequency are those of a single-phase charger in the region in use.
    """
    region = region_in_use()
    return Panel(
        f"Mains current, DC link and harmonics of a charger at {region.single_phase_v:g} V, {region.frequency_hz} Hz",
        {
            "name": Choice("Front end", {name: name for name in FRONT_ENDS}),
            "load_power": Knob("Load power", "W", value=1000, low=200, high=3000, step=100),
            "capacitor_uf": Knob("DC-link capacitor", "µF", value=1000, low=500, high=4000, step=100),
        },
        calculate=partial(run, voltage=region.single_phase_v, frequency_hz=region.frequency_hz),
        scene=_scene,
        words=front_end_words,
    )


@lru_cache(maxsize=256)
def run(name: str, load_power: float, capacitor_uf: float, voltage: float, frequency_hz: float) -> FrontEnd:
    """Return a front end at work; what has been worked out before is kept.

    Refuses what `acpower.front_end` refuses, and a fundamental above 16 A, where class A ends.
    """
    period = front_end(name, load_power, voltage, frequency_hz, capacitor_uf / 1e6)
    check = check_class_a(period.harmonic_currents)
    return FrontEnd(name, load_power, capacitor_uf, voltage, frequency_hz, period, check)


def front_end_words(numbers: FrontEnd) -> str:
    """Say current, power factor, distortion, ripple and the verdict on the harmonics.

    >>> print(front_end_words(run("Bridge with capacitor", 200, 1000, 230, 50)))
    Bridge with capacitor, 200 W: mains current 1.73 A RMS, peak 6.1 A. Power factor 0.510, THD 167 %. \
DC link 315 to 320 V, ripple 5 V. Harmonics above the limit of class A: 9, 11, 13.
    """
    period = numbers.period
    first, more = ", ".join(map(str, numbers.over[:5])), len(numbers.over[5:])
    verdict = (
        f"Harmonics above the limit of class A: {first}{f' and {more} more' if more else ''}."
        if numbers.over
        else "Every harmonic keeps the limit of class A."
    )
    return (
        f"{numbers.name}, {numbers.load_power_w:g} W: mains current {period.rms_current:.2f} A RMS, "
        f"peak {numbers.peak_current:.1f} A. Power factor {period.power_factor:.3f}, "
        f"THD {100 * np.asarray(period.distortion):.0f} %. DC link {np.min(period.dc_link_voltage):.0f} to "
        f"{np.max(period.dc_link_voltage):.0f} V, ripple {period.ripple:.0f} V. {verdict}"
    )


def _scene(numbers: FrontEnd) -> Scene:
    """Draw mains current and DC link side by side, the harmonics below."""
    return Scene(
        [_current(numbers), _dc_link(numbers), _harmonics(numbers)],
        description=(
            "The dotted curve is the mains voltage, not to scale. "
            + " ".join(
                f"Harmonic {order}: {current:.2f} A, limit {limit:.2f} A."
                for order, current, limit in zip(_ORDERS, *_beside(numbers), strict=True)
            )
        ),
    )


def _beside(numbers: FrontEnd) -> tuple[Array, Array]:
    """Return the currents of the orders shown, and their limits [A]."""
    return numbers.check.current[_ORDERS - 2], numbers.check.limit[_ORDERS - 2]


def _current(numbers: FrontEnd) -> Chart:
    period = numbers.period
    scale = next(scale for scale in _CURRENTS_A if scale >= numbers.peak_current)
    times = 1000 * period.time_s[::_EVERY]
    x, y = Axis(0, 1000 / numbers.frequency_hz, "Time (ms)"), Axis(-scale, scale, "Mains current (A)")
    voltage = 0.9 * scale * np.sin(2 * np.pi * numbers.frequency_hz * period.time_s[::_EVERY])
    things: list[Thing] = [
        level(x, 0, THIN),
        Line(times, voltage, Pen(GREY, (2, 3), 1.5)),
        Line(times, period.mains_current[::_EVERY], FIRST),
        Text(x.high, scale, "dotted: voltage", "end", shift=(0, 0.8), colour=GREY),
    ]
    return Chart(x, y, things, (0, 0, 0.5, 0.48), above=1.3)


def _dc_link(numbers: FrontEnd) -> Chart:
    link = numbers.period.dc_link_voltage
    low, high = 50 * np.floor((np.min(link) - 5) / 50), 50 * np.ceil((np.max(link) + 5) / 50)
    x, y = Axis(0, 1000 / numbers.frequency_hz, "Time (ms)"), Axis(low, high, "DC link (V)")
    times = 1000 * numbers.period.time_s[::_EVERY]
    note = f"ripple {numbers.period.ripple:.0f} V"
    things: list[Thing] = [
        Line(times, link[::_EVERY], FIRST),
        Text(x.high, high, note, "end", shift=(0, 0.8)),
    ]
    return Chart(x, y, things, (0.5, 0, 0.5, 0.48), above=1.3)


def _harmonics(numbers: FrontEnd) -> Chart:
    currents, limits = _beside(numbers)
    scale = next(scale for scale in _HARMONICS_A if scale >= 1.02 * np.max(currents))
    places = range(len(_ORDERS))
    x = Axis(-0.5, len(_ORDERS) - 0.5, "Order of the harmonic", tuple(enumerate(map(str, _ORDERS))))
    y = Axis(0, scale, "Current (A)")
    period = numbers.period
    summary = f"power factor {period.power_factor:.3f}, THD {100 * np.asarray(period.distortion):.0f} %"
    things: list[Thing] = []
    for place, current, limit in zip(places, currents, limits, strict=True):
        over = current > limit
        things += [
            Box(Fill(ORANGE, hatch=True) if over else Fill(SKY_BLUE), place - 0.3, place + 0.3, 0, current),
            Line([place - 0.45, place + 0.45], [limit, limit], _LIMIT),
            Text(
                place, max(current, limit), _times(current / limit), "middle", shift=(0, 0.9), bold=bool(over)
            ),
        ]
    things += [
        Text(x.high, scale, summary, "end", shift=(0, -0.2), bold=True),
        Text(
            x.high,
            scale,
            "bar: harmonic; thick line: limit\nnumber: harmonic ÷ limit",
            "end",
            shift=(0, -2.2),
        ),
    ]
    return Chart(x, y, things, (0, 0.49, 1, 0.51), grid=False, above=1.0)


def _times(share: float) -> str:
    return f"{share:.0f}×" if share >= 9.95 else f"{share:.1f}×"
