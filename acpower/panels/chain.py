"""Panel: the chain from socket to battery, what voltage stands behind each part, and what opens when."""

from dataclasses import dataclass
from functools import partial

import numpy as np

from acpower import tables
from acpower.figures.look import BLACK, BLUE, ORANGE, VERMILLION
from acpower.figures.scene import GUIDE, Axis, Box, Chart, Fill, Line, Pen, Scene, Text, Thing, level
from acpower.panels.controls import Choice
from acpower.panels.panel import Panel
from acpower.protection import RESIDUAL_CURRENT_DEVICES, ResidualCurrentDevice
from acpower.region import region_in_use
from acpower.waveforms import waveform

PARTS = (
    "supply",
    "breaker",
    "RCD or CCID",
    "station contactor",
    "cable",
    "rectifier",
    "power factor stage",
    "DC link",
    "DC/DC",
    "battery",
)
"""The chain in its order; behind each part stands a form of voltage."""

_STAGES = {row["name"]: row for row in tables.rows("charger_stages")}
_FORMS = {
    **dict.fromkeys(PARTS[:5], _STAGES["EMI filter"]["after"]),
    **{part: _STAGES[part]["after"] for part in ("rectifier", "power factor stage", "DC link")},
    "DC/DC": _STAGES["output filter"]["after"],
    "battery": _STAGES["battery"]["before"],
}
_OPENS_S = {row["limit"]: row["value_s"] for row in tables.rows("pilot_timing")}["contactor opens"]
_TURNS = np.linspace(0, 3, 121)
NO_VOLTAGE, STORED, UNSEEN = "no voltage", "still charged: DANGER", "does NOT see it"


@dataclass(frozen=True)
class Event:
    """Something that happens to a charge.

    Attributes
    ----------
    told
        What happens and who commands, in plain sentences.
    opens
        The part that opens, or has opened; empty if none does.
    commands
        The part that commands; empty if none of the chain does.
    charges
        Whether energy still flows.
    residual
        The form of a current that goes astray; empty if none does.
    was_live
        Whether the charger was live before, so that its DC link is still charged.
    """

    told: str
    opens: str = ""
    commands: str = ""
    charges: bool = False
    residual: str = ""
    was_live: bool = True


EVENTS = {
    "charging, nothing wrong": Event(
        "The station offers a current by the control pilot; the on-board charger takes no more than that.",
        charges=True,
        commands="station contactor",
    ),
    "plugged in, not ready": Event(
        "The vehicle commands: it has not asked for energy, so the contactor stays open.",
        "station contactor",
        was_live=False,
    ),
    "station lowers its offer": Event(
        "The station commands by the control pilot, and the on-board charger takes less.",
        charges=True,
        commands="station contactor",
    ),
    "battery asks for less": Event(
        "The battery management commands, and the on-board charger takes less.",
        charges=True,
        commands="battery",
    ),
    "battery is full": Event(
        "The battery management commands: the charger stops first, then the station opens without load.",
        "station contactor",
        commands="battery",
    ),
    "release button pressed": Event(
        "The proximity contact commands: the vehicle stops first, then the station opens without load.",
        "station contactor",
        commands="cable",
    ),
    "pilot wire breaks": Event(
        f"The station commands: it sees no vehicle and opens within {_OPENS_S} s, even under load.",
        "station contactor",
        commands="station contactor",
    ),
    "short circuit in the cable": Event(
        "Nobody commands: the breaker measures the current itself and trips.", "breaker"
    ),
    "AC goes astray": Event("A current flows to earth.", residual="AC"),
    "pulsating DC goes astray": Event("A current flows to earth.", residual="pulsating DC"),
    "smooth DC goes astray": Event("A current flows to earth.", residual="smooth DC"),
    "power cut": Event(
        "Nobody commands: the supply is gone, and the contactor of the station drops out.",
        "station contactor",
    ),
}
"""What can be chosen, in the order of the list."""


@dataclass(frozen=True)
class ChainState:
    """The chain after an event.

    Attributes
    ----------
    opens
        The part that is open; empty if none is.
    behind
        What stands behind each part: a form of voltage, `NO_VOLTAGE` or `STORED`.
    missed
        Whether a current goes astray and nothing opens.
    """

    happens: str
    event: Event
    device: ResidualCurrentDevice
    opens: str
    behind: dict[str, str]
    missed: bool


def chain_panel() -> Panel[ChainState]:
    """Return the panel: what happens, and the residual-current device, in; voltages and what opens out.

    Frequency, and the device at first, are those of the region in use.
    """
    region = region_in_use()
    usual = "ccid20" if region.breaker_series == "nec" else "type-a-6ma"
    devices = sorted(RESIDUAL_CURRENT_DEVICES, key=lambda key: key != usual)
    return Panel(
        "The chain from socket to battery, and the voltage behind each part",
        {
            "happens": Choice("What happens", {name: name for name in EVENTS}),
            "device": Choice("Device", {_short(key): key for key in devices}),
        },
        calculate=follow,
        scene=partial(_scene, frequency_hz=region.frequency_hz),
        words=chain_words,
        idle=lambda state: () if state.event.residual else ("device",),
    )


def _short(key: str) -> str:
    """Return the name of a device as it fits the list."""
    return RESIDUAL_CURRENT_DEVICES[key].designation.removesuffix(" to IEC 62955").removeprefix("RCD ")


def follow(happens: str, device: str) -> ChainState:
    """Return what opens, and what stands behind each part.

    >>> follow("smooth DC goes astray", "type-a").missed
    True
    >>> follow("smooth DC goes astray", "type-b").opens
    'RCD or CCID'
    """
    event, kind = EVENTS[happens], RESIDUAL_CURRENT_DEVICES[device]
    seen = event.residual in kind.detects
    device_opens = "station contactor" if kind.key.startswith("ccid") else "RCD or CCID"
    opens = device_opens if seen else event.opens
    dead_from = PARTS.index("supply" if happens == "power cut" else opens) if opens else len(PARTS)
    behind = {part: _FORMS[part] if at < dead_from else NO_VOLTAGE for at, part in enumerate(PARTS)}
    behind["battery"] = _FORMS["battery"]  # it has its own
    if opens and event.was_live:
        behind["DC link"] = STORED
    return ChainState(happens, event, kind, opens, behind, bool(event.residual) and not seen)


def chain_words(state: ChainState) -> str:
    """Say what happens, who commands, what opens and where danger stays.

    >>> chain_words(follow("AC goes astray", "type-a")).split(". ")[2]
    'RCD type A detects AC (from memory): it opens'
    """
    event, kind = state.event, state.device.designation
    says = [f"{state.happens[0].upper()}{state.happens[1:]}.", event.told]
    if state.missed:
        says.append(f"{kind} does not detect {event.residual} (from memory). DANGER: nothing opens.")
    elif event.residual:
        who = "the station contactor" if state.opens == "station contactor" else "it"
        says.append(f"{kind} detects {event.residual} (from memory): {who} opens.")
    elif event.charges:
        says.append("Nothing opens.")
    if state.behind["DC link"] == STORED:
        says.append("The DC link stays charged for a while, and the battery keeps its own voltage.")
    elif state.opens:
        says.append("The battery keeps its own voltage.")
    return " ".join(says)


def _scene(state: ChainState, frequency_hz: float) -> Scene:
    """Draw a lane for each part: the form of the voltage behind it, in a curve and in words."""
    rows = Axis(len(PARTS) - 0.5, -0.5, ticks=tuple(enumerate(PARTS)))
    lane = Axis(0, 1)
    things: list[Thing] = [level(lane, PARTS.index("rectifier") - 0.5, GUIDE)]
    said = []
    for row, part in enumerate(PARTS):
        form, text = state.behind[part], _say(state, part, frequency_hz)
        if part == state.opens:
            things.append(Box(Fill(ORANGE, hatch=True), 0, 1, row - 0.4, row + 0.4))
        elif form != NO_VOLTAGE:
            things.append(_curve(form, row))
        stands_out = part in (state.opens, state.event.commands) or text in (STORED, UNSEEN)
        things.append(Text(1, row, text, shift=(0.8, 0), bold=stands_out))
        said.append(f"{part}: {text}")
    inlet = "The vehicle begins at the rectifier; a dashed line marks its inlet."
    chart = Chart(lane, rows, things, grid=False, beside=23)
    return Scene([chart], description=f"{inlet} Behind each part: {'; '.join(said)}.")


def _say(state: ChainState, part: str, frequency_hz: float) -> str:
    text = "OPEN" if part == state.opens else state.behind[part]
    if state.missed and part == "RCD or CCID":
        text = UNSEEN
    for words, frequency in (("twice the mains", 2 * frequency_hz), ("mains", frequency_hz)):
        text = text.replace(f" of {words} frequency", f", {frequency:g} Hz")
    return f"{text}, commands" if part == state.event.commands else text


def _curve(form: str, row: int) -> Line:
    """Return the curve of a voltage in its lane; the scale of the lanes runs downward."""
    foot, height = row + 0.36, 0.72
    if form.startswith("AC"):
        return Line(_TURNS / 3, row - 0.36 * waveform("sine", _TURNS), Pen(BLACK))
    if form == STORED:
        return Line(_TURNS / 3, foot - height * np.exp(-0.5 * _TURNS), Pen(VERMILLION, (9, 4)))
    if form.startswith("pulsating"):
        curve = waveform("full-wave rectified sine", _TURNS)
    elif "ripple" in form:
        curve = 0.8 + 0.15 * waveform("sine", 2 * _TURNS)
    else:
        curve = np.full_like(_TURNS, 0.8)
    return Line(_TURNS / 3, foot - height * curve, Pen(BLUE))
