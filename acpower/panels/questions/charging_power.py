"""Quick questions of the lesson "Work out charging power"."""

from math import sqrt

from acpower.charger import Cable, Station, Supply, Vehicle, battery_power, charging_limit, grid_power
from acpower.panels.questions.question import Question
from acpower.power import (
    phase_to_line,
    single_phase_current,
    single_phase_power,
    three_phase_power,
)
from acpower.unbalanced import star_with_neutral


def _power_factor() -> Question:
    right = f"{single_phase_power(230, 16, 0.9) / 1000:.2f} kW"
    return Question(
        "A charger takes 16 A at 230 V. The power factor is 0.90. What is the power?",
        {
            f"{single_phase_power(230, 16) / 1000:.2f} kW": "That is voltage × current, counted in VA.",
            right: "230 V × 16 A × 0.90.",
            f"{single_phase_power(230, 16) / 0.9 / 1000:.2f} kW": "You divided. A power factor makes power smaller.",
        },
        right,
        outcome="use the power factor",
    )


def _one_phase_and_three() -> Question:
    return Question(
        "A vehicle charges with 16 A on one phase. Another takes 16 A from each of three. How much more power is that?",
        {
            "3 times": "Each phase brings its own power. The voltage to neutral is the same for all.",
            "√3 times": "√3 goes with the line voltage. Here it is one phase against three equal ones.",
            "as much": "The current in each line is the same, but there are three lines.",
        },
        "3 times",
        outcome="work out single-phase and three-phase charging power",
    )


def _three_phase() -> Question:
    right = f"{three_phase_power(400, 32) / 1000:.1f} kW"
    return Question(
        "Your meter shows 400 V between two lines. Each line carries 32 A. Power factor 1. What is the power?",
        {
            f"{single_phase_power(400, 32) / 1000:.1f} kW": "√3 is missing. Three lines carry the current.",
            f"{3 * single_phase_power(400, 32) / 1000:.1f} kW": "3 needs the phase voltage. This is the line voltage.",
            right: "√3 × line voltage × current.",
            f"{single_phase_power(230, 32) / 1000:.1f} kW": "That is one phase of the three.",
        },
        right,
        outcome="show where √3 comes from, and choose between √3 and 3",
    )


def _limiting_link() -> Question:
    ratings = (25.0, 32.0, 20.0, 16.0)
    limit = charging_limit(
        Supply(230, phases=3, current=ratings[0]),
        Station(phases=3, current=ratings[1]),
        Cable(phases=3, current=ratings[2]),
        Vehicle(phases=1, current=ratings[3]),
    )
    right = f"{limit.power / 1000:.2f} kW"
    three_phases = f"{3 * single_phase_power(230, limit.current) / 1000:.2f} kW"
    largest = f"{single_phase_power(230, max(ratings)) / 1000:.2f} kW"
    mean = f"{single_phase_power(230, sum(ratings) / len(ratings)) / 1000:.2f} kW"
    return Question(
        "Supply 3 × 25 A, station 3 × 32 A, cable 3 × 20 A, vehicle 1 × 16 A, 230 V to neutral, "
        "power factor 1. What is the power?",
        {
            three_phases: "The vehicle uses one phase only.",
            largest: "You took the largest rating. The smallest one holds.",
            right: f"{limit.current:.0f} A on {limit.phases} phase. The vehicle limits both.",
            mean: "You took the mean of the ratings. The smallest one holds.",
        },
        right,
        outcome="find the link of the chain that limits the charge",
    )


def _efficiency() -> Question:
    right = f"{grid_power(9_000, 0.90) / 1000:.2f} kW"
    return Question(
        "9.00 kW must reach the battery. The efficiency is 0.90. What must the grid give?",
        {
            f"{battery_power(9_000, 0.90) / 1000:.2f} kW": "That is less than the battery gets. Divide instead.",
            right: "9.00 kW ÷ 0.90. The grid side is the larger one.",
            f"{9.00 * 1.10:.2f} kW": "You added 10 % of the battery side. The loss is 10 % of the grid side.",
        },
        right,
        outcome="go from grid power to battery power, and back",
    )


def _two_phases() -> Question:
    right = f"{2 * single_phase_power(230, 16) / 1000:.2f} kW"
    return Question(
        "A vehicle takes 16 A from each of two phases. 230 V to neutral, power factor 1. What is the power?",
        {
            f"{single_phase_power(230, 16) / 1000:.2f} kW": "That is one phase. Two phases add their powers.",
            f"{sqrt(2) * single_phase_power(230, 16) / 1000:.2f} kW": "Two phases do not bring √2. Just add.",
            right: "2 × 230 V × 16 A. Each phase brings its own power.",
            f"{3 * single_phase_power(230, 16) / 1000:.2f} kW": "The third phase is idle.",
        },
        right,
        outcome="work out the power and the neutral current of two phases",
    )


def _neutral_of_two_phases() -> Question:
    right = f"{star_with_neutral(230, [230 * 16, 230 * 16, 0]).neutral_current:.0f} A"
    return Question(
        "A vehicle takes 16 A from each of two phases. The third is idle. What does the neutral carry?",
        {
            "0 A": "That needs three equal currents. The third one is missing.",
            right: "Two arrows of 16 A, 120° apart, add up to 16 A.",
            f"{phase_to_line(16):.1f} A": "√3 is for the difference of two arrows. The neutral carries their sum.",
            "32 A": "The currents peak at different times. They do not simply add.",
        },
        right,
        outcome="work out the power and the neutral current of two phases",
    )


def _current_for_power() -> Question:
    right = f"{single_phase_current(3680, 230, 0.8):.0f} A"
    return Question(
        "A load takes 3.68 kW at 230 V. The power factor is 0.80. What is the current?",
        {
            f"{single_phase_current(3680, 230):.0f} A": "The power factor is missing.",
            f"{0.8 * single_phase_current(3680, 230):.1f} A": "You multiplied. A poor power factor needs more current.",
            right: "3680 W ÷ (230 V × 0.80).",
        },
        right,
        outcome="go from power back to current",
    )


def _other_phases() -> Question:
    return Question(
        "One charger on L1 stands at the end of a long four-wire cable. What happens to the voltage of L2 there?",
        {
            "It falls as much as L1": "L2 carries no current. So its own wire loses no voltage.",
            "It stays the same": "The current comes back in the neutral. That wire loses voltage too.",
            "It rises a little": "The loss in the neutral moves the neutral point: nearer to L1, away from L2 and L3.",
        },
        "It rises a little",
        outcome="say what one charger does to the voltage of the other phases",
    )


QUESTIONS = {
    "power factor": _power_factor,
    "one phase and three": _one_phase_and_three,
    "three-phase power": _three_phase,
    "limiting link": _limiting_link,
    "efficiency": _efficiency,
    "two phases": _two_phases,
    "neutral of two phases": _neutral_of_two_phases,
    "current for power": _current_for_power,
    "other phases": _other_phases,
}
