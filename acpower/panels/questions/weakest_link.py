"""Quick questions of the lesson "Find the weakest link"."""

from acpower.panels.questions.question import Question
from acpower.pilot import cable_rating


def _cable_code() -> Question:
    station = 63.0
    cable = float(cable_rating(220.0))
    right = f"{min(station, cable):g} A"
    return Question(
        f"The station is set to {station:g} A. It reads 220 Ω in the plug of the cable. What may it offer?",
        {
            f"{station:g} A": "The station would overload the cable. The resistor stands for less.",
            f"{(station + cable) / 2:g} A": "You took the mean. It is more than the cable can carry.",
            right: f"220 Ω stands for {cable:g} A. The smaller of the two is offered.",
            f"{float(cable_rating(680.0)):g} A": "That is the next thinner cable, coded with 680 Ω.",
        },
        right,
    )


def _voltage_sag() -> Question:
    right = "It falls by 5 %"
    return Question(
        "A charger draws a constant current. The voltage sags by 5 %. What happens to the power?",
        {
            "It stays the same": "The current is held, not the power. Less voltage gives less power.",
            right: "Power = voltage × current. The current stays, so the power falls like the voltage.",
            "It falls by 10 %": "That fits a resistor: its current falls too. A charger holds the current.",
            "It rises by 5 %": "Then the current would have to rise. The charger holds it.",
        },
        right,
    )


def _stronger_station() -> Question:
    right = "Nothing"
    return Question(
        "Supply 32 A, station 16 A, cable 20 A, vehicle 16 A. The station is changed for one of 32 A. "
        "What does the owner gain?",
        {
            "Twice the power": "The station was not alone. Which other link has 16 A?",
            "A quarter more power": "You went on to the cable, 20 A. Another link still has 16 A.",
            right: "The vehicle takes 16 A as before. Two links were equally weak.",
        },
        right,
    )


QUESTIONS = {
    "cable code": _cable_code,
    "voltage sag": _voltage_sag,
    "stronger station": _stronger_station,
}
