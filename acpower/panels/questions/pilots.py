"""Quick questions of the lesson "Listen to the pilots"."""

from acpower.panels.questions.question import Question, amperes
from acpower.pilot import cable_rating, current_from_duty, duty_meaning
from acpower.pilot_circuit import plateau_voltage


def _dirty_contact() -> Question:
    right = f"as {amperes(cable_rating(680 + 400))}"
    return Question(
        "A cable for 20 A has a coding resistor of 680 Ω. A dirty contact adds 400 Ω. How is the cable read?",
        {
            f"as {amperes(cable_rating(680))}": "680 Ω + 400 Ω = 1080 Ω. That is outside its band.",
            f"as {amperes(cable_rating(220))}": "A bigger cable has fewer ohms. Dirt adds ohms.",
            right: "More ohms stand for a smaller cable: dirt errs to the safe side.",
        },
        right,
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
    )


QUESTIONS = {
    "dirty contact": _dirty_contact,
    "duty to current": _duty_to_current,
    "upper duty": _upper_duty,
    "five percent": _five_percent,
    "diode": _diode,
}
