"""Panel: the charging sequence over time, with something that happens on the way, and the reaction to it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import TypeVar

from acpower.figures.look import BLACK, BLUE, ORANGE, SKY_BLUE, VERMILLION
from acpower.figures.scene import GUIDE, Axis, Box, Chart, Fill, Line, Mark, Pen, Scene, Text, Thing, upright
from acpower.panels.controls import Choice, Knob
from acpower.panels.panel import Panel
from acpower.region import region_in_use
from acpower.sequence import ChargingStep, charging_sequence

T = TypeVar("T")

_PLUG_IN_S, _READY_S, _END_S = 2.0, 5.0, 40.0
_EVENTS = {
    "vehicle stops by itself": "vehicle not ready",
    "interlock opens": "interlock opens",
    "pilot wire breaks": "pilot lost",
    "station finds a fault": "station fault",
    "current limit changed": "current limit",
    "station pauses": "station pauses",
    "plug torn out": "unplug",
}
_VENTILATION = {
    "not needed": (False, False),
    "needed, station ventilates": (True, True),
    "needed, station cannot": (True, False),
}
_USUAL_A = {"iec": 16.0, "nec": 32.0}
"""Usual offer of a charging point at home [A per phase], by series of breakers; common practice, no source."""
_SCALES_A = (12.0, 24.0, 48.0, 72.0, 120.0)
_HIGH, _LOW = Pen(BLACK), Pen(VERMILLION, (9, 4))
_DRAWN, _OFFERED = Pen(BLACK), Pen(BLUE, (2.5, 3))


@dataclass(frozen=True)
class Told:
    """The whole sequence, and the steps around the event.

    Attributes
    ----------
    event, event_s
        What happens, one of `acpower.sequence.EVENTS`, and when [s].
    unventilated
        Whether the vehicle asks for ventilation and the station has none.
    steps
        All steps.
    before, reaction
        The step in which things stood before the event; the step of the event and those that follow it.
    under_load
        Times at which contactor or plug parts a current [s].
    """

    event: str
    event_s: float
    unventilated: bool
    steps: tuple[ChargingStep, ...]
    before: ChargingStep
    reaction: tuple[ChargingStep, ...]
    under_load: tuple[float, ...]


def sequence_panel() -> Panel[Told]:
    """Return the panel: offer, vehicle and an event in; the sequence and the reaction out.

    The offer at first is the usual one of a charging point at home in the region in use.
    """
    usual = _USUAL_A[region_in_use().breaker_series]
    return Panel(
        "Charging sequence over 40 s: pilot at the station, current, contactor; worst case of every time limit",
        {
            "event": Choice("What happens", _EVENTS),
            "event_s": Knob("It happens at", "s", value=20, low=5, high=30, step=0.5),
            "new_limit": Knob("New limit", "A", value=10, low=6, high=80, step=1),
            "offered_current": Knob("Station offers", "A", value=usual, low=6, high=80, step=1),
            "vehicle_current": Knob("Vehicle can draw", "A", value=32, low=6, high=80, step=1),
            "ventilation": Choice("Ventilation", _VENTILATION),
        },
        calculate=tell,
        scene=_scene,
        words=told_words,
        idle=lambda told: () if told.event == "current limit" else ("new_limit",),
    )


def tell(
    event: str,
    event_s: float,
    new_limit: float,
    offered_current: float,
    vehicle_current: float,
    ventilation: tuple[bool, bool],
) -> Told:
    """Return the sequence: plug in at 2 s, vehicle ready at 5 s, then the event.

    >>> told = tell("vehicle not ready", 20, 10, 16, 32, (False, False))
    >>> [(step.time_s, step.drawn_current, step.contactor_closed) for step in told.reaction]
    [(20.0, 0.0, True), (20.1, 0.0, False)]
    """
    needed, possible = ventilation
    ready = "vehicle ready with ventilation" if needed else "vehicle ready"
    happens = (event_s, event, new_limit) if event == "current limit" else (event_s, event)
    before = ((_PLUG_IN_S, "plug in"), (_READY_S, ready))
    steps = charging_sequence((*before, happens), offered_current, vehicle_current, ventilation=possible)
    undisturbed = charging_sequence(before, offered_current, vehicle_current, ventilation=possible)
    at = sum(step.time_s <= event_s for step in undisturbed)
    parted = (step.time_s for step in steps if "Caution:" in step.sentence or "Danger:" in step.sentence)
    return Told(event, event_s, needed and not possible, steps, steps[:at][-1], steps[at:], tuple(parted))


def told_words(told: Told) -> str:
    """Say how things stood, what happens, and each reaction with the time that it took."""
    before, (first, *later) = told.before, told.reaction
    said = [f"Before: state {before.state}, {_contactor(before)}, {before.drawn_current:g} A"]
    said[0] += "; the station cannot ventilate and must not supply." if told.unventilated else "."
    said.append(f"At {first.time_s:g} s: {first.sentence}")
    said += [f"{step.time_s - first.time_s:.3g} s later: {step.sentence}" for step in later]
    after = told.steps[-1]
    said.append(f"After: state {after.state}, {_contactor(after)}, {after.drawn_current:g} A.")
    return " ".join(said)


def _contactor(step: ChargingStep) -> str:
    return f"contactor {'closed' if step.contactor_closed else 'open'}"


def _scene(told: Told) -> Scene:
    """Draw pilot, current and contactor one below the other on one scale of time."""
    each = " ".join(
        f"{step.time_s:g} s: state {step.state}, duty {step.duty_percent:.1f} %, offered "
        f"{step.offered_current:g} A, drawn {step.drawn_current:g} A, {_contactor(step)}."
        for step in told.steps
    )
    return Scene([_pilot_chart(told), _current_chart(told), _contactor_chart(told)], description=each)


def _stretches(told: Told, of: Callable[[ChargingStep], T]) -> list[tuple[T, float, float]]:
    """Return each value as long as it stays the same, with start and end [s]."""
    grouped = [(value, next(steps).time_s) for value, steps in groupby(told.steps, of)]
    ends = [*(start for _, start in grouped[1:]), _END_S]
    return [(value, start, end) for (value, start), end in zip(grouped, ends, strict=True)]


def _lines(told: Told, height: Callable[[ChargingStep], float | None], pen: Pen) -> list[Thing]:
    """Return a stepped line, with gaps where there is no value."""
    lines: list[Thing] = []
    for there, stretches in groupby(_stretches(told, height), lambda stretch: stretch[0] is not None):
        if there:
            corners = [(time, value) for value, *ends in stretches if value is not None for time in ends]
            lines.append(Line([time for time, _ in corners], [value for _, value in corners], pen))
    return lines


def _chart(told: Told, y: Axis, things: Sequence[Thing], top: float, height: float, above: float) -> Chart:
    """Return one of the charts; all have the same margins, so that their times stand in line."""
    words = "Time (s)" if top + height > 0.99 else ""
    guide = upright(y, told.event_s, GUIDE)
    return Chart(Axis(0, _END_S, words), y, [guide, *things], (0, top, 1, height), above=above, beside=8)


def _ticks(*places: float) -> tuple[tuple[float, str], ...]:
    return tuple((place, f"{place:g}".replace("-", "−").rjust(3)) for place in places)


def _pilot_chart(told: Told) -> Chart:
    y = Axis(-15, 15, "Pilot (V)", _ticks(-12, 0, 6, 12))
    things: list[Thing] = [
        *_lines(told, lambda step: step.positive_level, _HIGH),
        *_lines(told, lambda step: step.negative_level, _LOW),
        Text(_END_S, 8, "high:\nsolid", shift=(0.8, 0)),
        Text(_END_S, -8, "low:\ndashed", shift=(0.8, 0)),
    ]
    for state, start, end in _stretches(told, lambda step: step.state):
        if end - start >= _PLUG_IN_S:  # else there is no room for the word
            things.append(Text((start + end) / 2, 15, state, "middle", shift=(0, 0.6)))
    return _chart(told, y, things, 0, 0.39, above=1.3)


def _current_chart(told: Told) -> Chart:
    highest = max(max(step.offered_current, step.drawn_current) for step in told.steps)
    scale = next(scale for scale in _SCALES_A if scale >= 1.35 * highest)
    y = Axis(-0.04 * scale, scale, "Current (A)", _ticks(0, scale / 3, 2 * scale / 3, scale))
    first, last = told.reaction[0].time_s, told.reaction[-1].time_s
    things: list[Thing] = []
    if last > first:
        took = Text(last, 0.93 * scale, f"{last - first:.3g} s", shift=(0.6, -0.2), bold=True)
        things += [Box(Fill(ORANGE, hatch=True), first, last, bottom=0.92 * scale), took]
    things += [
        *_lines(told, lambda step: step.offered_current, _OFFERED),
        *_lines(told, lambda step: step.drawn_current, _DRAWN),
        Text(_END_S, 0.75 * scale, "offered:\ndotted", shift=(0.8, 0)),
        Text(_END_S, 0.25 * scale, "drawn:\nsolid", shift=(0.8, 0)),
    ]
    return _chart(told, y, things, 0.39, 0.32, above=0.6)


def _contactor_chart(told: Told) -> Chart:
    """Draw when the contactor is closed, and where a current is parted under load."""
    y = Axis(0, 1, " ", ((0.5, "   "),))
    closed = _stretches(told, lambda step: step.contactor_closed)
    things: list[Thing] = [Box(Fill(SKY_BLUE), start, end) for filled, start, end in closed if filled]
    for time in told.under_load:
        things += [
            Mark(time, 0.5, "diamond", ORANGE),
            Text(time, 0.5, "under load!", shift=(1.4, 0), bold=True),
        ]
    things.append(Text(0, 1, "contactor, filled: closed", shift=(0.3, 0.7)))
    return _chart(told, y, things, 0.71, 0.29, above=1.3)
