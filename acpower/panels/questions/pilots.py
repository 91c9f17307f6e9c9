"""Quick questions of the lesson "Listen to the pilots"."""

from acpower.panels.questions.question import Question, amperes
from acpower.pilot import cable_rating, current_from_duty, duty_meaning, state_from_voltage
from acpower.pilot_circuit import plateau_voltage


def _dirty_contact() -> Question:
    right = amperes(cable_rating(680 + 400))
    return Question(
        "A cable for 20 A is coded with 680 Ω. A dirty contact adds 400 Ω. Which rating does the station read?",
        {
            amperes(cable_rating(680)): "680 Ω + 400 Ω = 1080 Ω. That is outside its band.",
            amperes(cable_rating(220)): "A bigger cable has fewer ohms. Dirt adds ohms.",
            right: "More ohms stand for a smaller cable: dirt errs to the safe side.",
        },
        right,
        outcome="say what the proximity contact tells, with a detachable and with an attached cable",
    )


def _duty_to_current() -> Question:
    right = amperes(current_from_duty(40))
    return Question(
        "The pilot is high for 40 % of the time. What current may the vehicle take?",
        {
            amperes(0.6 * 0.40): "The rule takes the duty in percent: 40, not 0.40.",
            right: "40 × 0.6 A.",
            amperes(current_from_duty(60)): "You took the time at the low level.",
            amperes(40 / 0.6): "You divided by 0.6. That is the way from current to duty.",
        },
        right,
        outcome="go from the duty of the control pilot to the current, and back",
    )


def _upper_duty() -> Question:
    right = amperes(current_from_duty(90))
    return Question(
        "The pilot is high for 90 % of the time. What current may the vehicle take?",
        {
            amperes(0.6 * 90): "That is the rule up to 85 %. Above it there is another one.",
            amperes(90 - 64): "2.5 A for each percent is missing.",
            right: "(90 − 64) × 2.5 A.",
        },
        right,
        outcome="go from the duty of the control pilot to the current, and back",
    )


def _five_percent() -> Question:
    right = "none until digital messages set it"
    return Question(
        "The pilot is high for 5 % of the time. What current may the vehicle take?",
        {
            amperes(0.6 * 5): "0.6 A for each percent starts at 10 %. A duty of 5 % is a sign of its own.",
            amperes(current_from_duty(8)): "6 A is for 8 to 10 %, and by the IEC rule only.",
            right: f"From 3 to 7 % the duty means: {duty_meaning(5)}.",
        },
        right,
        outcome="go from the duty of the control pilot to the current, and back",
    )


def _diode() -> Question:
    level = float(plateau_voltage(2740, diode_drop=0.0))
    right = "that there is no sound diode"
    return Question(
        f"The pilot jumps between +{level:.1f} V and −{level:.1f} V. What does the station learn?",
        {
            "that a sound vehicle is connected": "The high level fits state B. Look at the low level.",
            right: "A sound diode leaves −12 V. The contactor must stay open.",
            "that its own source is weak": "A weak source would lower the +12 V of state A as well.",
        },
        right,
        outcome="find a broken wire, a short circuit and a missing diode",
    )


def _state_by_level() -> Question:
    right = f"state {state_from_voltage(6.2)}"
    return Question(
        "The pilot jumps between +6.2 V and −12.0 V. Which state is it?",
        {
            f"state {state_from_voltage(9)}": "That is +9 V: connected, but not ready.",
            right: "+6 V: the vehicle is ready.",
            f"state {state_from_voltage(3)}": "That is +3 V: ready, in a ventilated room.",
            f"state {state_from_voltage(-12)}": "That is −12 V all the time. Look at the positive level.",
        },
        right,
        outcome="tell the states A to F by their levels",
    )


def _who_acts_first() -> Question:
    right = "current stops, then contactor opens, then plug comes out"
    return Question(
        "The battery is full. In which order does the charge end?",
        {
            right: "The contactor opens without current, and the plug parts without voltage.",
            "contactor opens, then current stops, then plug comes out": "Then it would open under load and wear out.",
            "current stops, then plug comes out, then contactor opens": "Then the plug would part with voltage on it.",
        },
        right,
        outcome="say in which order station and vehicle act, and how long each may take",
    )


QUESTIONS = {
    "state by level": _state_by_level,
    "who acts first": _who_acts_first,
    "dirty contact": _dirty_contact,
    "duty to current": _duty_to_current,
    "upper duty": _upper_duty,
    "five percent": _five_percent,
    "diode": _diode,
}
