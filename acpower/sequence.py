"""The charging sequence of a Mode 3 station as a small machine of states, told step by step.

Times are in seconds, levels in volts, currents in amperes per phase, the duty cycle in percent.
Limits of time stand in the table ``pilot_timing``; some of them are unconfirmed, and it says so.

This is arithmetic of states for teaching. It is not meant for building or testing stations: that is
licensed practice, with the standards and local codes at hand.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from acpower import tables
from acpower._checks import choice, positive, real, refusal, shorten, single
from acpower.pilot import current_from_duty, duty_from_current

__all__ = ["EVENTS", "ChargingStep", "charging_sequence"]

EVENTS = (
    "plug in",
    "vehicle ready",
    "vehicle ready with ventilation",
    "vehicle not ready",
    "current limit",
    "station pauses",
    "interlock opens",
    "pilot lost",
    "station fault",
    "unplug",
)

_TIMING = {row["limit"]: row for row in tables.rows("pilot_timing")}
_NEVER = float("inf")
_STATES = {row["state"]: row for row in tables.rows("pilot_states")}


@dataclass(frozen=True)
class ChargingStep:
    """What station and vehicle do from one moment until the next step.

    Attributes
    ----------
    time_s : float
        When the step begins [s].
    state : str
        State of the control pilot as the station sees it: "A" or "F", or "B", "C", "D" followed by
        1 without and by 2 with the pulse signal.
    positive_level, negative_level : float or None
        Nominal levels of the pilot at the station [V]; None where there is none.
    duty_percent : float
        Share of time at the positive level [%]; 100 for a steady positive level, 0 for a steady
        negative one.
    offered_current, drawn_current : float
        What the pilot allows, and what the vehicle draws per phase [A].
    contactor_closed : bool
        Whether the station connects the supply.
    sentence : str
        What happens, and which limit of time applies.
    """

    time_s: float
    state: str
    positive_level: float | None
    negative_level: float | None
    duty_percent: float
    offered_current: float
    drawn_current: float
    contactor_closed: bool
    sentence: str


def charging_sequence(
    events: Iterable[tuple[Any, ...]],
    offered_current: float | None = 16.0,
    vehicle_current: float = 32.0,
    ventilation: bool = False,
) -> tuple[ChargingStep, ...]:
    """Return what control pilot, contactor and current do while things happen.

    Parameters
    ----------
    events : iterable of tuple
        What happens, in the order of time: time [s] and one of ``EVENTS``; "current limit" has the
        new offer [A] as a third entry, and also ends a pause.
    offered_current : float or None, optional
        What the station offers per phase at first [A]; None if it pauses.
    vehicle_current : float, optional
        What the vehicle draws per phase if it may [A], above 0.
    ventilation : bool, optional
        Whether the station can ventilate, as it must for state D.

    Returns
    -------
    tuple of ChargingStep
        The first step is state A at 0 s; then one for each event and for each change that follows.

    Raises
    ------
    ValueError
        If an event is unknown or cannot happen, time runs backwards, or no duty cycle stands for an
        offer.

    Notes
    -----
    Between event and reaction the timeline shows the worst case: what may take up to a limit takes
    all of it, and a station opens under load as soon as it may. Until then the vehicle may draw
    more than is offered. Levels are those of the table ``pilot_states``. A vehicle that sees its
    plug released or its pilot gone asks for nothing more until it is plugged in again ("interlock
    opens" stands for the release button as well as for an unlocked connector); a station fault
    stays. Limits by IEC 61851-1 Table A.6 as quoted in public documents or from memory: the
    table ``pilot_timing`` tells which, and only those read may stand in a marked question.

    Caution: a contactor is not made to open under load, and a plug must never part under load.

    Examples
    --------
    >>> steps = charging_sequence([(1, "plug in"), (2, "vehicle ready"), (60, "vehicle not ready")])
    >>> [(step.time_s, step.state, step.drawn_current) for step in steps]
    [(0.0, 'A', 0.0), (1.0, 'B2', 0.0), (2.0, 'C2', 0.0), (5.0, 'C2', 16.0), (60.0, 'B2', 0.0), (60.1, 'B2', 0.0)]
    """
    if isinstance(events, str) or not isinstance(events, Iterable):
        raise refusal("events", shorten(events), "a list of events", "the brackets around the events")
    if not isinstance(ventilation, bool):
        raise refusal(
            "ventilation", shorten(ventilation), "True or False", "that no quotation marks stand there"
        )
    wanted = single("vehicle_current", positive("vehicle_current", vehicle_current, "A"))
    now = _Situation(0.0, _duty(offered_current), wanted, ventilation)
    steps = [_step(now, "No vehicle is connected.")]
    for index, event in enumerate(events):
        time, word, offer = _read(f"events[{index}]", event, now.time_s)
        now = _let_limits_run_out(now, time, steps)
        _refuse_impossible(f"events[{index}]", word, now)
        before, now = now, _await_limits(_after(word, offer, replace(now, time_s=time)))
        steps.append(_step(now, _tell(word, before, now)))
    _let_limits_run_out(now, float("inf"), steps)
    return tuple(steps)


@dataclass(frozen=True)
class _Situation:
    """Everything that the future depends on."""

    time_s: float
    duty: float | None  # None while the station pauses
    vehicle_current: float
    ventilation: bool
    plugged: bool = False
    asks: str = "B"  # state that the resistors of the vehicle make: B, C or D
    hindered: str = ""  # the event after which the vehicle asks for nothing more
    closed: bool = False
    drawn: float = 0.0
    contactor_due: float | None = None  # when the contactor changes over
    current_due: float | None = None  # when the vehicle follows the pilot

    @property
    def state(self) -> str:
        if self.hindered == "station fault":
            return "F"
        if not self.plugged or self.hindered == "pilot lost":
            return "A"
        return self.asks + ("1" if self.duty is None else "2")

    @property
    def offered(self) -> float:
        return float(current_from_duty(self.duty)) if self.duty and self.state[1:] == "2" else 0.0

    @property
    def may_close(self) -> bool:
        return self.state == "C2" or (self.state == "D2" and self.ventilation)

    @property
    def allowed(self) -> float:
        """What the vehicle draws once it has followed the pilot."""
        return min(self.offered, self.vehicle_current) if self.closed and self.may_close else 0.0


_ASKS = {"vehicle not ready": "B", "vehicle ready": "C", "vehicle ready with ventilation": "D"}
_STATION = ("current limit", "station pauses", "station fault")  # possible without a vehicle

_SAY = {
    "plug in": "The plug is in.",
    "vehicle ready": "The vehicle is ready.",
    "vehicle ready with ventilation": "The vehicle is ready and asks for ventilation.",
    "vehicle not ready": "The vehicle stops drawing and is not ready any more.",
    "current limit": "The station changes its offer.",
    "station pauses": "The station stops the pulse signal.",
    "interlock opens": "The release button is pressed or the connector unlocked: the vehicle stops drawing.",
    "pilot lost": "The pilot wire breaks: the station sees no vehicle.",
    "station fault": "The station finds a fault and opens its contactor at once.",
    "unplug": "The plug is out.",
}
_UNDER_LOAD = "Caution: it opens under load, which wears it out and may weld it."
_ARC = "Danger: the plug parts under load and draws an arc."


def _read(place: str, event: object, now_s: float) -> tuple[float, str, Any]:
    """Return time, word and offer of an event."""
    if not isinstance(event, tuple | list) or len(event) < 2:
        allowed = "a time in seconds and a word, such as (2, 'vehicle ready')"
        raise refusal(place, shorten(event), allowed, "the brackets around the event")
    word = choice(f"{place} word", event[1], EVENTS)
    if len(event) != (3 if word == "current limit" else 2):
        allowed = f"(time, '{word}')" if word != "current limit" else f"(time, '{word}', current in A)"
        raise refusal(place, shorten(event), allowed, "how many values the event has")
    time = real(
        f"{place} time",
        event[0],
        "s",
        low=now_s,
        allowed=f"{now_s:g} s or later",
        check="the order of the events: time does not run backwards",
    )
    return single(f"{place} time", time), word, event[2] if word == "current limit" else None


def _refuse_impossible(place: str, word: str, now: _Situation) -> None:
    """Refuse an event that cannot happen after what went before."""
    if word == "plug in" and now.plugged:
        allowed, check = "after 'unplug'", "the order of the events: the plug is in already"
    elif word not in (*_STATION, "plug in") and not now.plugged:
        allowed, check = "after 'plug in'", "the order of the events: no vehicle is connected"
    elif now.hindered == "station fault" and word in _STATION:
        allowed, check = "before 'station fault'", "the order of the events: the fault stays"
    elif now.hindered and word not in (*_STATION, "plug in", "unplug"):
        allowed = f"before '{now.hindered}'"
        check = "the order of the events: the vehicle asks for nothing more until it is plugged in again"
    elif _ASKS.get(word) == now.asks or (word == "station pauses" and now.duty is None):
        allowed, check = "a change", "the order of the events: it is so already"
    else:
        return
    raise refusal(place, f"'{word}'", allowed, check)


def _after(word: str, offer: Any, now: _Situation) -> _Situation:
    """Return the situation right after an event, before anything reacts to it."""
    if word in ("vehicle not ready", "interlock opens", "station fault", "unplug"):
        now = replace(now, drawn=0.0)
    if word == "plug in":
        return replace(now, plugged=True)
    if word == "unplug":
        stays = now.hindered if now.hindered == "station fault" else ""
        return replace(now, plugged=False, asks="B", hindered=stays)
    if word in _ASKS:
        return replace(now, asks=_ASKS[word])
    if word == "current limit":
        return replace(now, duty=_duty(offer))
    if word == "station pauses":
        return replace(now, duty=None)
    return replace(now, asks="B", hindered=word, closed=now.closed and word != "station fault")


def _duty(offer: Any) -> float | None:
    return None if offer is None else single("current", np.asarray(duty_from_current(offer)))


def _contactor_limit(now: _Situation) -> str:
    """Return the limit for what the contactor has to do, or nothing if it stays."""
    if now.may_close == now.closed:
        return ""
    if now.may_close:
        return "contactor closes"
    return "opens under load" if now.state in ("C1", "D1") else "contactor opens"


def _current_limit(now: _Situation) -> str:
    """Return the limit for what the vehicle has to do, or nothing if it goes on as it is."""
    if now.allowed == now.drawn:
        return ""
    return "vehicle stops drawing" if now.state in ("C1", "D1") else "vehicle follows the duty"


def _await_limits(now: _Situation) -> _Situation:
    """Set when contactor and vehicle react at the latest; a limit that runs already is not put off."""

    def due(limit: str, running: float | None) -> float | None:
        if not limit:
            return None
        end = now.time_s + float(_TIMING[limit]["value_s"])
        return end if running is None else min(running, end)

    return replace(
        now,
        contactor_due=due(_contactor_limit(now), now.contactor_due),
        current_due=due(_current_limit(now), now.current_due),
    )


def _let_limits_run_out(now: _Situation, until: float, steps: list[ChargingStep]) -> _Situation:
    """Let contactor and vehicle react until a moment, each at the end of its limit; add the steps."""
    while True:
        contactor_due, current_due = now.contactor_due or _NEVER, now.current_due or _NEVER
        time = min(contactor_due, current_due)
        if time > until or time == _NEVER:
            return now
        now = replace(now, time_s=time)
        if current_due < contactor_due:  # at the same moment: the contactor, the worst case
            now = replace(now, drawn=now.allowed)
            sentence = f"The vehicle draws {now.drawn:g} A." if now.drawn else "The vehicle draws nothing."
        elif now.closed:
            sentence = "The contactor opens." + (f" {_UNDER_LOAD}" if now.drawn else "")
            now = replace(now, closed=False, drawn=0.0)
        else:
            now = replace(now, closed=True)
            now = replace(now, drawn=now.allowed)
            sentence = f"The contactor closes and the vehicle draws {now.drawn:g} A."
        now = _await_limits(now)
        steps.append(_step(now, sentence))


def _tell(word: str, before: _Situation, now: _Situation) -> str:
    """Say what has happened and what must follow."""
    said = [_SAY[word]]
    if before.drawn and word in ("unplug", "station fault"):
        said.append(_ARC if word == "unplug" else _UNDER_LOAD)
    if now.state == "D2" and not now.ventilation:
        said.append("The station cannot ventilate and must not supply it.")
    if now.offered and word in ("plug in", "current limit"):
        said.append(f"Duty {now.duty:.1f} % offers {now.offered:g} A.")
    contactor_due, current_due = now.contactor_due or _NEVER, now.current_due or _NEVER
    if current_due < contactor_due and now.current_due != before.current_due:
        said.append(_limit(_current_limit(now)))
    if now.contactor_due and now.contactor_due != before.contactor_due:
        said.append(_limit(_contactor_limit(now)))
    return " ".join(said)


def _limit(name: str) -> str:
    row = _TIMING[name]
    when = "within" if row["kind"] == "at most" else "not before"
    return f"Limit: {name} {when} {row['value_s']} s ({row['status'].replace(';', ',')})."


def _step(now: _Situation, sentence: str) -> ChargingStep:
    levels = _STATES[now.state[0]]
    pulsed = now.state[1:] == "2"
    steady = 0.0 if now.state == "F" else 100.0
    return ChargingStep(
        time_s=now.time_s,
        state=now.state,
        positive_level=None if now.state == "F" else float(levels["positive_v"]),
        negative_level=float(levels["negative_v"]) if pulsed or now.state == "F" else None,
        duty_percent=now.duty if pulsed and now.duty else steady,
        offered_current=now.offered,
        drawn_current=now.drawn,
        contactor_closed=now.closed,
        sentence=sentence,
    )
