"""Panel: phasors and waves of three line currents, in star with neutral and in delta."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np

from acpower.figures import three_phase_supply
from acpower.figures.look import GREY, spread
from acpower.figures.scene import (
    GUIDE,
    L1,
    L2,
    L3,
    NEUTRAL,
    THIN,
    Arrow,
    Axis,
    Chart,
    Line,
    Pen,
    Scene,
    Text,
    Thing,
    arc,
    circle,
    level,
)
from acpower.panels.controls import Choice, Knob
from acpower.panels.panel import Panel
from acpower.region import region_in_use
from acpower.supply import NominalSupply
from acpower.unbalanced import delta, star_with_neutral

_HIGHEST_A = 32
_PENS = {"L1": L1, "L2": L2, "L3": L3, "N": Pen(NEUTRAL.colour, NEUTRAL.dashes, 4)}
_LOADS = {"star": ("L1", "L2", "L3"), "delta": ("L1-L2", "L2-L3", "L3-L1")}
_BETWEEN_LINES, _VOLTAGE = Pen(GREY, width=1.5), Pen(GREY, (3, 3), 1.5)
_SCALES_A = (10.0, 20.0, 32.0, 56.0)
"""Radius of the outer circle; 56 A hold √3 times the highest load current."""

_TURNS = np.linspace(0, 2, 161)
_TOO_SMALL_A = 0.05


@dataclass(frozen=True)
class Currents:
    """Three loads in numbers: RMS voltage [V], currents as phasors [A], power of all three [kW].

    Load voltages and currents are complex effective values with the voltage of L1 at 0 degrees.
    """

    connection: str
    lag: float
    load_voltage: complex
    loads: Mapping[str, complex]
    lines: Mapping[str, complex]
    neutral: float | None
    power_kw: float


def phasor_panel() -> Panel[Currents]:
    """Return the panel: three load currents, their lag and star or delta in; line and neutral currents out.

    Voltages and frequency are those of the three-phase supply of the region in use.
    """
    region = region_in_use()
    supply = three_phase_supply(region)

    def amperes(label: str, value: float) -> Knob:
        return Knob(label, "A", value=value, low=0, high=_HIGHEST_A, step=1)

    return Panel(
        f"Phasors and waves of three line currents, {supply.phase_voltage_v:g}/{supply.line_voltage_v:g} V, "
        f"{region.frequency_hz} Hz",
        {
            "connection": Choice("Connection", {"star with neutral": "star", "delta": "delta"}),
            "first": amperes("Load 1", 16),
            "second": amperes("Load 2", 16),
            "third": amperes("Load 3", 6),
            "lag": Knob("Lag behind the voltage", "°", value=20, low=-90, high=90, step=1),
        },
        calculate=partial(currents, supply),
        scene=partial(_scene, frequency_hz=region.frequency_hz),
        words=currents_words,
    )


def currents(
    supply: NominalSupply, connection: str, first: float, second: float, third: float, lag: float
) -> Currents:
    """Return line currents and neutral current of three loads.

    In star the loads run from L1, L2 and L3 to neutral, in delta from L1 to L2, L2 to L3 and L3 to
    L1. Load currents in [A]; each lags behind the voltage across its load by the same angle
    [degrees], a negative one leads.

    >>> from acpower.supply import nominal_supply
    >>> unequal = currents(nominal_supply("iec-230-400"), "star", 20, 10, 10, lag=0)
    >>> round(unequal.neutral, 3), round(unequal.power_kw, 3)
    (10.0, 9.2)
    """
    turned = np.exp(1j * np.radians(lag)) * np.array([first, second, third])
    if connection == "star":
        found = star_with_neutral(supply.phase_voltage_v, supply.phase_voltage_v * turned)
    else:
        found = delta(supply.line_voltage_v, supply.line_voltage_v * turned)
    return Currents(
        connection=connection,
        lag=lag,
        load_voltage=complex(found.load_voltages[0]),
        loads=dict(zip(_LOADS[connection], map(complex, found.load_currents), strict=True)),
        lines=dict(zip(_LOADS["star"], map(complex, found.line_currents), strict=True)),
        neutral=None if found.neutral_current is None else float(found.neutral_current),
        power_kw=float(found.total.active) / 1000,
    )


def currents_words(numbers: Currents) -> str:
    """Say connection, currents and power in plain sentences."""
    angle = f"{'lags' if numbers.lag >= 0 else 'leads'} by {abs(numbers.lag):g}°"
    power_factor = np.cos(np.radians(numbers.lag))
    lines = _say(numbers.lines)
    if numbers.neutral is None:
        result = f"Loads {_say(numbers.loads)}. Lines {lines}. There is no neutral"
    else:
        result = f"Lines {lines}. The neutral carries {numbers.neutral:.1f} A"
    return (
        f"{numbers.connection.capitalize()}, {abs(numbers.load_voltage):.0f} V across each load, the current "
        f"{angle}, power factor {power_factor:.2f}. {result}. Power together: {numbers.power_kw:.2f} kW."
    )


def _say(phasors: Mapping[str, complex]) -> str:
    return ", ".join(f"{name} {abs(phasor):.1f} A" for name, phasor in phasors.items())


def _scene(numbers: Currents, frequency_hz: float) -> Scene:
    """Draw the arrows left and the waves of the same currents right."""
    shown = dict(numbers.lines)
    if numbers.neutral is not None:
        shown["N"] = sum(numbers.lines.values(), 0j)
    shown = {name: phasor for name, phasor in shown.items() if abs(phasor) > _TOO_SMALL_A}
    arrows = "Arrows from one point: the line currents"
    arrows += ", and thin ones for the load currents" if numbers.neutral is None else " and their sum, N"
    highest = max(map(abs, [*shown.values(), *numbers.loads.values()]))
    reach = next(scale for scale in _SCALES_A if scale >= highest - 1e-9)
    return Scene(
        [_wheel(numbers, shown, reach), _waves(shown, reach, frequency_hz)],
        description=f"{arrows}; U1 is the voltage across load 1. Beside them two periods of each line current.",
    )


def _wheel(numbers: Currents, shown: Mapping[str, complex], reach: float) -> Chart:
    side = Axis(-1.35 * reach, 1.35 * reach)
    voltage = reach * numbers.load_voltage / abs(numbers.load_voltage)
    things: list[Thing] = [
        circle((0, 0), reach, GUIDE),
        circle((0, 0), reach / 2, GUIDE),
        Arrow((0, 0), (voltage.real, voltage.imag), _VOLTAGE),
    ]
    tips = {"U1": voltage}
    if numbers.neutral is None:
        thin = {
            name.replace("L", ""): load for name, load in numbers.loads.items() if abs(load) > _TOO_SMALL_A
        }
        things += [Arrow((0, 0), (load.real, load.imag), _BETWEEN_LINES) for load in thin.values()]
        tips |= thin
    things += [
        Arrow((0, 0), (line.real, line.imag), _PENS[name]) for name, line in reversed(list(shown.items()))
    ]
    if abs(numbers.lag) > 1 and abs(next(iter(numbers.loads.values()))) > _TOO_SMALL_A:
        start = float(np.degrees(np.angle(voltage)))
        things.append(arc((0, 0), 0.3 * reach, start, start - numbers.lag, THIN))
    things.append(Text(0, -1.27 * reach, f"outer circle {reach:g} A", "middle", size=0.85))
    return Chart(
        side, side, [*things, *_labels({**tips, **shown}, reach)], (0, 0, 0.54, 1), equal=True, grid=False
    )


def _labels(tips: Mapping[str, complex], reach: float) -> list[Thing]:
    """Name each arrow beyond its tip, or a little farther round where another name stands already."""
    gap = 0.22 * reach
    places: dict[str, complex] = {}
    for name, tip in tips.items():
        place = tip * (1 + 0.14 * reach / abs(tip))
        while any(abs(place - other) < gap for other in places.values()):
            place *= 1.02 * np.exp(1j * min(gap / abs(place), 1))
        places[name] = place
    return [
        Text(place.real, place.imag, name, "middle", size=1.0 if name in _PENS else 0.85)
        for name, place in places.items()
    ]


def _waves(shown: Mapping[str, complex], reach: float, frequency_hz: float) -> Chart:
    times = _TURNS * 1000 / frequency_hz
    highest = 1.5 * reach
    x, y = Axis(0, times[-1], f"Time (ms), {frequency_hz:g} Hz"), Axis(-highest, highest, "Current (A)")
    waves = {name: np.sqrt(2) * (phasor * np.exp(2j * np.pi * _TURNS)).imag for name, phasor in shown.items()}
    things: list[Thing] = [level(x, 0, THIN)]
    things += [Line(times, wave, _PENS[name]) for name, wave in reversed(list(waves.items()))]
    # One peak of each lies in the middle period; its name stands above it, level with the others.
    middle = slice(_TURNS.size // 4, 3 * _TURNS.size // 4)
    peaks = [int(np.argmax(wave[middle])) + middle.start for wave in waves.values()]
    places = spread([float(times[peak]) for peak in peaks], gap=0.17 * float(times[-1]))
    things += [
        Text(place, y.high, name, "middle", shift=(0, 0.8), leader=(float(times[peak]), float(wave[peak])))
        for place, peak, (name, wave) in zip(places, peaks, waves.items(), strict=True)
    ]
    return Chart(x, y, things, (0.54, 0.08, 0.46, 0.84), above=1.4)
