"""Quick questions of the lesson "Plan a charging point"."""

from acpower.circuit import conductor_resistance, design_current, next_breaker, voltage_drop
from acpower.load_sharing import share_current
from acpower.panels.questions.question import Question
from acpower.protection import check_overload, residual_current_device
from acpower.region import region_in_use

LOAD = "find the design current of a charging point and the next breaker"
CABLE = "work out the resistance of a conductor and the voltage drop along a cable"
CHECK = "check load, breaker and cable against each other"
RESIDUAL = "say what the types of residual-current device detect"
SHARING = "share a spare current among stations"
WHOLE_SITE = "follow one site from the supply to the charge time"


def _continuous_load() -> Question:
    region = region_in_use()
    needed = float(
        design_current(32 * region.single_phase_v, region.single_phase_v, rule=region.breaker_series)
    )
    right = f"{next_breaker(needed, region.breaker_series):g} A"
    if region.breaker_series == "nec":
        why = "Charging is a continuous load: 1.25 × 32 A = 40 A."
        wrong = {
            "35 A": "That is the next size above 32 A. But the load runs for hours: 125 % comes first.",
            "45 A": "One size too many. 125 % of 32 A is a standard size already.",
        }
    else:
        why = "Equal rating is common practice here, without a source. The local code decides."
        wrong = {
            "25 A": "That is below the load. The breaker would trip.",
            "63 A": "That is far above the load. The cable would have to carry 63 A.",
        }
    return Question(
        f"A station takes 32 A for hours. Which breaker is usual in this region: {region.name}?",
        dict(sorted((wrong | {right: why}).items())),
        right,
        outcome=LOAD,
    )


def _next_size() -> Question:
    series = region_in_use().breaker_series
    right = f"{next_breaker(52, series):g} A"
    return Question(
        "A circuit needs 52 A or more. Which is the next breaker of the series?",
        {
            "50 A": "That is below 52 A.",
            "55 A": "There is no such size. The series does not go in steps of 5 A.",
            right: "The smallest size of the series that is not below 52 A.",
            "100 A": "Far too large. The cable would have to carry 100 A.",
        },
        right,
        outcome=LOAD,
    )


def _both_ways() -> Question:
    one_way = 32 * float(conductor_resistance(6, 25, temperature_c=70))
    right = f"{voltage_drop(32, 25, 6, phases=1, temperature_c=70):.2f} V"
    return Question(
        f"One conductor of a cable has {one_way / 32:.4f} Ω. A single-phase charger takes 32 A. "
        "What is the voltage drop?",
        {
            f"{one_way:.2f} V": "That is one conductor. The current flows back through a second one.",
            right: "Current × resistance, out and back.",
            f"{3 * one_way:.2f} V": "One phase uses two conductors, not three.",
            f"{32 * one_way:.0f} V": "That is current² × resistance: the heat in watts.",
        },
        right,
        outcome=CABLE,
    )


def _overload_check() -> Question:
    check = check_overload(32, 40, 36)
    holds = {
        "Ib ≤ In": check.breaker_carries_load,
        "In ≤ Iz": check.cable_carries_breaker,
    }
    right = next(name for name, held in holds.items() if not held)
    return Question(
        "The load is 32 A, the breaker 40 A, and the cable may carry 36 A. Which condition fails?",
        {
            "Ib ≤ In": "32 A ≤ 40 A holds. The breaker carries the load.",
            right: "40 A is more than 36 A. The breaker lets through more than the cable can carry.",
            "none": "The load is below 36 A today. But the breaker would not stop 40 A.",
        },
        right,
        outcome=CHECK,
    )


def _overloaded_cable() -> Question:
    return Question(
        "A cable carries far more current than it may. All of it flows back through the other conductor. "
        "Which device has to open the circuit?",
        {
            "the RCD": "What flows out flows back. The RCD sees no difference.",
            "the breaker": "It opens on too much current. That is why its rating must fit the cable.",
            "the control pilot": "It tells the vehicle a limit. It does not guard the cable.",
        },
        "the breaker",
        outcome=CHECK,
    )


def _paused_station() -> Question:
    offers = share_current(20, [16, 16, 16, 16], rule="equal")
    right = f"{offers[3]:g} A, it pauses"
    return Question(
        "20 A are to spare. Four vehicles could use 16 A each. All get equal parts. What does the fourth get?",
        {
            "5 A": "20 A ÷ 4. But a station cannot offer less than 6 A.",
            right: "Three stations get 6 A. The 2 A that are left are too few for a fourth.",
            "2 A": "That is what is left. A station cannot offer less than 6 A.",
            "16 A": "Then the sum would be more than 20 A.",
        },
        right,
        outcome=SHARING,
    )


def _plain_type_a() -> Question:
    devices = [residual_current_device(f"type-{letters}") for letters in ("ac", "a", "f", "b")]
    asked = residual_current_device("type-a")
    return Question(
        f"What does a plain {asked.designation} detect, without a detector for DC beside it?",
        {", ".join(device.detects): f"This is what an {device.designation} detects." for device in devices},
        ", ".join(asked.detects),
        outcome=RESIDUAL,
    )


def _half_the_current() -> Question:
    right = "the charge time: it doubles"
    return Question(
        "Sharing leaves our vehicle half of its current for the whole night. What changes?",
        {
            "the energy to add: it halves": "The battery still needs the same energy. It comes more slowly.",
            "the breaker: a smaller one is needed": "The circuit stays laid out for the station. "
            "The next vehicle may get all of its current.",
            right: "Half the current is half the power. The same energy takes twice the time.",
        },
        right,
        outcome=WHOLE_SITE,
    )


QUESTIONS = {
    "continuous load": _continuous_load,
    "next size": _next_size,
    "both ways": _both_ways,
    "overload check": _overload_check,
    "overloaded cable": _overloaded_cable,
    "paused station": _paused_station,
    "plain type A": _plain_type_a,
    "half the current": _half_the_current,
}
