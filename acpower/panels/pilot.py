"""Panel: the control pilot on an oscilloscope, what station and vehicle read from it, and what meters show."""

from dataclasses import dataclass

import numpy as np

from acpower import tables
from acpower.figures.look import BLACK, ORANGE, YELLOW, spread
from acpower.figures.scene import THIN, Axis, Box, Chart, Fill, Line, Pen, Scene, Text, Thing, level
from acpower.meters import MeterReadings, meter_readings
from acpower.panels.controls import Choice, Knob
from acpower.panels.meters import Signal, display, displays, pilot_signal, readings_words, said
from acpower.panels.panel import Panel
from acpower.pilot import DUTY_RULES, WINDOW_SETS, current_from_duty, duty_meaning, state_from_voltage
from acpower.pilot_circuit import diode_found, negative_plateau, plateau_voltage, vehicle_resistance

_BY_HAND = "resistance by hand"
_VEHICLES = {
    "B: connected": "B",
    "C: ready": "C",
    "D: ready, wants ventilation": "D",
    "A: no vehicle": "A",
    _BY_HAND: _BY_HAND,
}
_FAULTS = ("none", "diode shorted", "pilot wire broken", "pilot wire shorted to earth")
_OPEN = 1e12  # ohm
_WINDOWS = {
    name: [row for row in tables.rows("pilot_windows") if row["window_set"] == name] for name in WINDOW_SETS
}
_SHORT = {
    "charging not allowed": "not allowed",
    "digital communication required": "digital",
    "error": "error",
}
_CONTACTOR = {"B": "stays open", "C": "may close", "D": "if vented"}
_STAYS_OPEN, _NO_STATE = _CONTACTOR["B"], "–"
_VOLTS = [(volts, f"{volts:+g}".replace("-", "−").replace("+0", "0")) for volts in (-12, -6, 0, 6, 12)]


@dataclass(frozen=True, eq=False)
class Listened:
    """What is on the pilot, and what each side makes of it.

    Attributes
    ----------
    vehicle, fault, windows
        What was chosen.
    ohms
        Resistance of the vehicle [ohm]; a large one stands for none.
    signal
        One period at the station.
    high, low
        Levels at the station [V]; None where the signal never is at that level.
    duty_percent
        Share of the time at the high level [%].
    states
        State by each set of windows, by its positive level; a dash where no window holds it.
    meanings, currents
        What the duty means to the vehicle by the rules "iec" and "sae", and the current [A] it allows.
    diode
        Whether the negative level shows a sound diode; None without a negative level.
    contactor
        What the station may do: "may close", "if vented" or "stays open".
    readings
        What five meters show.
    """

    vehicle: str
    fault: str
    windows: str
    ohms: float
    signal: Signal
    high: float | None
    low: float | None
    duty_percent: float
    states: dict[str, str]
    meanings: dict[str, str]
    currents: dict[str, float]
    diode: bool | None
    contactor: str
    readings: MeterReadings

    @property
    def state(self) -> str:
        """State by the chosen windows, with 1 for a steady level and 2 for the pulse signal."""
        state = self.states[self.windows]
        return state + ("1" if self.low is None else "2") if state in ("B", "C", "D") else state


def pilot_panel() -> Panel[Listened]:
    """Return the panel: duty, vehicle and fault in; levels, state, current and five meters out."""
    return Panel(
        "Control pilot at the station, 1000 Hz, with windows of the states, what is read from it, and five meters",
        {
            "duty_percent": Knob("Duty", "%", value=25, low=0, high=100, step=1),
            "vehicle": Choice("Vehicle", _VEHICLES),
            "ohms": Knob("Resistance", "Ω", value=2740, low=0, high=10000, step=10),
            "fault": Choice("Fault", {fault: fault for fault in _FAULTS}),
            "windows": Choice("Windows", {name: name for name in WINDOW_SETS}),
        },
        calculate=listen,
        scene=_scene,
        words=listened_words,
        idle=_idle,
    )


def _idle(heard: Listened) -> tuple[str, ...]:
    """Name the controls without effect: a broken or shorted wire hides the vehicle, an absent one the duty."""
    cut = heard.fault.startswith("pilot wire")
    shorted = heard.fault == "pilot wire shorted to earth"
    steady = shorted or (heard.ohms == _OPEN and heard.duty_percent > 0)
    return (
        *(("duty_percent",) if steady else ()),
        *(("vehicle",) if cut else ()),
        *(("ohms",) if cut or heard.vehicle != _BY_HAND else ()),
    )


def listen(duty_percent: float, vehicle: str, ohms: float, fault: str, windows: str) -> Listened:
    """Return levels, states, currents and readings.

    A duty of 0 % is the steady negative level. Where it finds no vehicle, as with a broken wire, the
    station keeps its positive level steady: so says the table ``pilot_states`` of state A.

    >>> heard = listen(16, "C", 0, "none", "detection")
    >>> heard.state, heard.currents["iec"], heard.contactor
    ('C2', 9.6, 'may close')
    """
    if vehicle == "A" or fault == "pilot wire broken":
        ohms = _OPEN
    elif vehicle != _BY_HAND:
        ohms = vehicle_resistance(vehicle)
    duty = duty_percent if ohms != _OPEN or duty_percent == 0 else 100.0
    if fault == "pilot wire shorted to earth":
        high = low = 0.0
    elif fault == "diode shorted":
        high = float(plateau_voltage(ohms, diode_drop=0.0))
        low = float(negative_plateau(ohms, diode_shorted=True))
    else:
        high, low = float(plateau_voltage(ohms)), float(negative_plateau(ohms))
    signal = pilot_signal(high, low, duty / 100)
    pulsed = not signal.steady
    states = {name: _state(float(signal.samples[0]), name) for name in WINDOW_SETS}
    state = states[windows]
    diode = bool(diode_found(low)) if pulsed else None
    heeded = duty if pulsed and state in _CONTACTOR else 0.0  # no pulse signal, no current
    return Listened(
        vehicle=vehicle,
        fault=fault,
        windows=windows,
        ohms=ohms,
        signal=signal,
        high=high if pulsed or signal.samples[0] >= 0 else None,
        low=low if pulsed or signal.samples[0] < 0 else None,
        duty_percent=duty,
        states=states,
        meanings={rule: str(duty_meaning(heeded, rule)) for rule in DUTY_RULES},
        currents={rule: float(current_from_duty(heeded, rule)) for rule in DUTY_RULES},
        diode=diode,
        contactor=_CONTACTOR.get(state, _STAYS_OPEN) if diode else _STAYS_OPEN,
        readings=meter_readings(signal.samples, signal.turn),
    )


def _state(volts: float, windows: str) -> str:
    """Return the state by a set of windows, or a dash where no window holds the level."""
    try:
        return str(state_from_voltage(volts, windows))
    except ValueError:
        return _NO_STATE


def listened_words(heard: Listened) -> str:
    """Say levels, state, diode, contactor and the current by both rules."""
    levels = " and ".join(said(volts, "V") for volts in (heard.high, heard.low) if volts is not None)
    if heard.high is None or heard.low is None:
        signal = f"Steady {levels} at the station"
    else:
        signal = f"{levels} at the station, {heard.duty_percent:g} % of the time high"
    others = ", ".join(f"{name} {state}" for name, state in heard.states.items() if name != heard.windows)
    diode = {None: "", True: " Diode found.", False: " NO DIODE: this is no sound vehicle."}[heard.diode]
    contactor = heard.contactor.replace("vented", "the station ventilates")
    rules = ". ".join(f"{rule.upper()} rule: {_current(heard, rule)}" for rule in DUTY_RULES)
    return (
        f"{signal}: {_read_state(heard)} (other sets: {others}).{diode} "
        f"The contactor {contactor.replace('if', 'may close if')}. {rules}."
    )


def _read_state(heard: Listened) -> str:
    if heard.state == _NO_STATE:
        return f"no state, since no {heard.windows} window holds this level"
    return f"state {heard.state} by the {heard.windows} windows"


def _current(heard: Listened, rule: str) -> str:
    return f"{heard.currents[rule]:.4g} A" if heard.currents[rule] else heard.meanings[rule]


def _scene(heard: Listened) -> Scene:
    """Draw the trace over the windows; below, what is read, and the displays of the meters."""
    fault = heard.diode is False or heard.state in (_NO_STATE, "E", "F")
    read = {"state": heard.state, "contactor": heard.contactor}
    for rule in DUTY_RULES:
        read[f"{rule.upper()} rule"] = _SHORT.get(_current(heard, rule), _current(heard, rule))
    strip = [
        display(
            label,
            shown,
            ORANGE if fault and label == "state" else "#FFFFFF",
            (at / 4 + 0.004, 0.655, 0.242, 0.13),
            hatch=fault and label == "state",
        )
        for at, (label, shown) in enumerate(read.items())
    ]
    return Scene(
        [_screen(heard), *strip, *displays(heard.readings, "V", top=0.8, height=0.195)],
        description=f"What meters show: {readings_words(heard.readings, 'V')}",
    )


def _screen(heard: Listened) -> Chart:
    """Draw two periods of the signal over the chosen windows; the one that holds the level stands out."""
    turns = np.concatenate([heard.signal.turn, heard.signal.turn + 1])
    x, y = Axis(0, 2, "Time (ms)"), Axis(-15, 15, "Voltage (V)", _VOLTS)
    things: list[Thing] = []
    for row in _WINDOWS[heard.windows]:
        low, high = float(row["low_v"]), float(row["high_v"])
        read = row["state"] == heard.states[heard.windows]
        things.append(Box(Fill(YELLOW if read else "#DDDDDD", outline=read), bottom=low, top=high))
        things.append(Text(2, (low + high) / 2, row["state"], shift=(0.6, 0), bold=read))
    things += [level(x, 0, THIN), Line(turns, np.tile(heard.signal.samples, 2), Pen(BLACK))]
    levels = [volts for volts in (heard.high, heard.low) if volts is not None]
    no_diode = heard.diode is False
    for volts, place in zip(levels, spread(levels, gap=7 if no_diode else 3.5), strict=True):
        warning = "\nno diode" if no_diode and volts == heard.low else ""
        things.append(Text(2, place, said(volts, "V") + warning, shift=(2.6, 0), bold=True))
    return Chart(x, y, things, (0, 0, 1, 0.65), beside=12.5)
