"""Quick questions of the lesson "Choose the connector"."""

from acpower.ac_ceiling import ac_ceiling
from acpower.panels.questions.question import Question
from acpower.pilot import cable_rating
from acpower.power import (
    single_phase_power,
)


def _one_phase_contacts() -> Question:
    right = "L1, N, PE, CP and PP"
    return Question(
        "A Type 2 coupler charges with one phase. Which contacts are in use?",
        {
            "L1 and N": "Power alone is not enough. What keeps people safe, and what carries the signals?",
            "L1, L2, L3, N and PE": "L2 and L3 stay idle. And the signals are missing.",
            right: "One line and neutral for power, the protective earth, and both signals.",
        },
        right,
    )


def _coupler_power() -> Question:
    ceiling = ac_ceiling("type-2", "europe-230-400")
    right = f"{ceiling.power / 1000:.2f} kW"
    return Question(
        "Type 2, three phases, 63 A in each line, 230 V to neutral, power factor 1. What is the greatest power?",
        {
            f"{ceiling.power / 3000:.2f} kW": "That is one phase of the three.",
            f"{3 * single_phase_power(400, 63) / 1000:.2f} kW": "3 needs the phase voltage. 400 V is the line voltage.",
            right: "3 × 230 V × 63 A. Few stations and vehicles come near it.",
        },
        right,
    )


def _cable_coding() -> Question:
    right = f"{cable_rating(680.0):.0f} A"
    return Question(
        "A detachable cable has 680 Ω between PP and PE. What is its rating?",
        {
            "680 A": "The ohms are a code. They are not the current.",
            f"{cable_rating(1500.0):.0f} A": "That cable has 1500 Ω. The bigger cable has the smaller one.",
            right: "680 Ω is the second of the four codes.",
            f"{cable_rating(220.0):.0f} A": "That cable has 220 Ω.",
        },
        right,
    )


def _same_count() -> Question:
    right = "no"
    return Question(
        "Type 2 and GB/T 20234.2 both have 7 contacts for AC. Do they fit each other?",
        {
            "yes, they have the same contacts": "The count is the same. The couplers are not interchangeable.",
            "yes, but with one phase only": "A coupler that does not fit has no phase at all.",
            right: "They are not interchangeable. Read the designation, do not count contacts.",
        },
        right,
    )


QUESTIONS = {
    "contacts of one phase": _one_phase_contacts,
    "power of a coupler": _coupler_power,
    "coding of a cable": _cable_coding,
    "same number of contacts": _same_count,
}
