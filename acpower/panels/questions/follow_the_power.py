"""Quick questions of the lesson "Follow the power"."""

from acpower.charger import Cable, Station, Supply, Vehicle, charging_limit
from acpower.panels.questions.question import Question
from acpower.protection import RESIDUAL_CURRENT_DEVICES
from acpower.region import region_in_use


def _which_mode() -> Question:
    right = "mode 2"
    return Question(
        "A cable with a box in it is plugged into a plain socket. Which charging mode is it?",
        {
            "mode 1": "In mode 1 nothing watches. What is the box for?",
            right: "A plain socket, and the box in the cable watches.",
            "mode 3": "In mode 3 a station watches. Here is a plain socket.",
            "mode 4": "In mode 4 the station gives DC. A plain socket gives AC.",
        },
        right,
        "tell the four charging modes apart",
    )


def _in_between() -> Question:
    right = "power factor stage"
    return Question(
        "Which part stands between the rectifier and the DC link?",
        {
            "station contactor": "That one is in the station, in front of the vehicle.",
            "DC/DC": "That is the second half of the charger, behind the DC link.",
            right: "It takes the pulses of the rectifier and fills the DC link.",
        },
        right,
        "name the parts of the chain from socket to battery, in their order",
    )


def _who_decides() -> Question:
    station, vehicle = Station(phases=1, current=32), Vehicle(phases=1, current=16)
    limit = charging_limit(Supply(230, phases=1, current=40), station, Cable(phases=1, current=32), vehicle)
    right = f"{limit.current:.0f} A: the vehicle takes no more than it can"
    return Question(
        "The station offers 32 A. The on-board charger can take 16 A. How much flows, and why?",
        {
            "32 A: the station pushes it": "A station cannot push. It offers, and the vehicle takes.",
            "24 A: the two meet in the middle": "The mean of two ratings means nothing.",
            right: "The offer is an upper limit. The charger may always take less.",
        },
        right,
        "say who commands the current, and who only measures",
    )


def _behind_the_rectifier() -> Question:
    frequency = region_in_use().frequency_hz
    right = f"DC that pulsates {2 * frequency} times a second"
    return Question(
        f"The mains has {frequency} Hz. What comes out of the rectifier?",
        {
            f"AC of {frequency} Hz": "That goes into it. A rectifier turns the negative halves upward.",
            "smooth DC": "Not yet. A rectifier alone smooths nothing.",
            right: "Each period has two halves, and both point upward now.",
        },
        right,
        "say where AC ends and DC begins",
    )


def _still_charged() -> Question:
    right = "the battery, and for a while the DC link"
    return Question(
        "The station is off and the cable is unplugged. What in the vehicle still has voltage?",
        {
            "nothing": "A battery cannot be switched off inside. And there is a capacitor in the charger.",
            "the battery alone": "The capacitor of the DC link keeps its charge for a while.",
            right: "Both are dangerous. High-voltage parts of a vehicle are for trained people only.",
        },
        right,
        "name what stays dangerous after switching off",
    )


def _smooth_dc() -> Question:
    blind, helped, right = (RESIDUAL_CURRENT_DEVICES[f"type-{kind}"].designation for kind in ("ac", "a", "b"))
    return Question(
        "A fault in a charger sends smooth DC to earth. Which of these devices sees it?",
        {
            blind: "It sees AC alone. Smooth DC even makes it blind.",
            helped: "It sees AC and pulsating DC. It needs help for smooth DC.",
            right: "It sees all four forms: AC, mixed frequencies, pulsating DC and smooth DC.",
        },
        right,
        "say which part opens when something goes wrong",
    )


QUESTIONS = {
    "box in the cable": _which_mode,
    "part in between": _in_between,
    "who decides": _who_decides,
    "behind the rectifier": _behind_the_rectifier,
    "still charged": _still_charged,
    "smooth DC": _smooth_dc,
}
