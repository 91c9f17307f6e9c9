"""Quick questions of the lesson "Find the weakest link"."""

from acpower.panels.questions.question import Question
from acpower.pilot import cable_rating


def _links_of_the_chain() -> Question:
    right = "The on-board charger in the vehicle"
    return Question(
        "A link of the chain has a largest current and a number of phases, and it makes DC. Which one is it?",
        {
            "The station": "The station passes AC on and tells the vehicle a current. It makes no DC here.",
            "The cable": "The wires of the cable have a rated current, but they change nothing.",
            right: "It turns AC into DC. Its largest current is its rating.",
            "The supply": "Breaker and wires of the circuit have a rated current. They carry AC.",
        },
        right,
        outcome="name the four links of the charging chain and their ratings",
    )


def _dirty_contact() -> Question:
    coded, measured = 220.0, 420.0
    right = f"{float(cable_rating(measured)):g} A"
    return Question(
        f"The plug of a cable holds {coded:g} Ω. Dirt adds {measured - coded:g} Ω. Which rating does the station read?",
        {
            f"{float(cable_rating(coded)):g} A": f"That is the rating of {coded:g} Ω. The station measures more.",
            right: f"{measured:g} Ω lies in the band of a thinner cable. The error goes to the safe side.",
            f"{float(cable_rating(100.0)):g} A": "Dirt adds resistance. More ohms stand for a thinner cable.",
        },
        right,
        outcome="read the rating of a cable from its coding resistor",
    )


def _mean_of_the_ratings() -> Question:
    weakest, strongest = 16.0, 32.0
    mean = (weakest + strongest) / 2
    right = f"{(mean / weakest) ** 2:.2f} times"
    return Question(
        f"A cable for {weakest:g} A gets {mean:g} A, the mean of its rating and the {strongest:g} A of the station. "
        "How much heat is that, compared with its rated current?",
        {
            f"{mean / weakest:.2f} times": "That is how much more current it is. Heat goes with its square.",
            right: f"1.5 × 1.5: heat follows the square of the current. So {weakest:g} A count, not the mean.",
            f"{(strongest / weakest) ** 2:.0f} times": f"That is the heat at {strongest:g} A. The mean is less.",
            "As much as before": "The cable does not know that the station is stronger. It carries the whole current.",
        },
        right,
        outcome="say why the smallest rating counts, and not the mean",
    )


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
        outcome="say what a station may offer with a given cable",
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
        outcome="say what a sagging voltage does to the power",
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
        outcome="find the link that limits the current, and the link that limits the phases",
    )


QUESTIONS = {
    "links of the chain": _links_of_the_chain,
    "dirt in the plug": _dirty_contact,
    "mean of the ratings": _mean_of_the_ratings,
    "cable code": _cable_code,
    "voltage sag": _voltage_sag,
    "stronger station": _stronger_station,
}
