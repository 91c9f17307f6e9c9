"""Quick questions of the lesson "Choose the connector"."""

from acpower.ac_ceiling import ac_ceiling
from acpower.connectors import connector
from acpower.panels.questions.question import Question
from acpower.pilot import cable_rating
from acpower.power import single_phase_power
from acpower.proximity import PROXIMITY_CONDITIONS, proximity_limits


def _signal_contact() -> Question:
    right = "CP"
    return Question(
        "Which contact of a coupler tells the station that the vehicle is ready?",
        {
            "PE": "It protects: it carries a fault current to earth.",
            "PP": "It tells about the plug: whether it is in, or how big the cable is.",
            right: "The control pilot carries the state of the vehicle, and the current on offer.",
            "N": "With one phase it takes the current back.",
        },
        right,
        "name the contacts of a coupler and say what each one does",
    )


def _two_ratings() -> Question:
    small, large = (f"{amperes:g} A" for amperes in connector("type-2").single_phase_a)
    right = "both, each in its own document"
    return Question(
        f"For Type 2 with one phase, one document gives {small} and another one {large}. Which number is right?",
        {
            f"{small}, as the smaller one is safe": "On the job the label counts, not the smaller document.",
            f"{large}, as the bigger one allows more": "A document allows nothing. The label of the part counts.",
            right: "Say the number, the phases and the document. Then read the label.",
        },
        right,
        "read a rating together with the document it comes from",
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
        "say which contacts carry current with one phase and with three",
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
        "work out the greatest power of a coupler on a supply",
    )


def _cable_coding() -> Question:
    right, smaller, bigger = (f"{cable_rating(ohms):.0f} A" for ohms in (210.0, 680.0, 100.0))
    return Question(
        "A station measures 210 Ω between PP and PE of a detachable cable. What is the rating of the cable?",
        {
            "210 A": "The ohms are a code. They are not the current.",
            smaller: "That cable has about 680 Ω. Fewer ohms stand for a bigger cable.",
            right: "It lies in the band around 220 Ω.",
            bigger: "That cable has about 100 Ω.",
        },
        right,
        "read the rating of a detachable cable from its resistor",
    )


def _release_button() -> Question:
    unplugged, pressed, latched = (
        f"{proximity_limits(condition).nominal:.2f} V" for condition in PROXIMITY_CONDITIONS
    )
    right = "The release button is pressed"
    return Question(
        f"A vehicle with Type 1 reads {pressed} at its proximity contact. What does it learn?",
        {
            "The plug is out": f"Then the vehicle would read {unplugged}. Something pulls the voltage down.",
            right: "The plug has 480 Ω now. The vehicle stops drawing before the plug moves.",
            "The plug is in and latched": f"Then 150 Ω would pull the voltage down to {latched}.",
            "The cable is a small one": "The proximity contact of Type 1 carries no rating.",
        },
        right,
        "say what the vehicle learns from an attached cable",
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
        "say which couplers do not fit each other",
    )


QUESTIONS = {
    "signal contact": _signal_contact,
    "two ratings": _two_ratings,
    "contacts of one phase": _one_phase_contacts,
    "power of a coupler": _coupler_power,
    "coding of a cable": _cable_coding,
    "release button": _release_button,
    "same number of contacts": _same_count,
}
