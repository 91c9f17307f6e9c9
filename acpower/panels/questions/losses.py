"""Quick questions of the lesson "Account for losses"."""

from acpower.distorted import true_power_factor
from acpower.efficiency import ChargerLosses
from acpower.harmonic_limits import class_a_limit
from acpower.panels.questions.question import Question


def _two_efficiencies() -> Question:
    right = "Nothing yet: ask for the points"
    return Question(
        "Two reports on one vehicle give 93 % and 86 %. Which of them is wrong?",
        {
            "The 93 %": "It may hold for a short way, such as from the socket to the output of the charger.",
            "The 86 %": "It may hold for a long way, such as from the house meter to the battery.",
            right: "A longer way has more losses. Both numbers may be right, each between its own points.",
        },
        right,
        outcome="say between which two points an efficiency holds",
    )


def _measured_table() -> Question:
    first, second = 0.87, 0.93
    right = "Nobody knows"
    return Question(
        f"A meter has shown {100 * first:.0f} % at 1.4 kW and {100 * second:.0f} % at 7.4 kW. "
        "What does this table say about 22 kW?",
        {
            f"{100 * second:.0f} %": "At 22 kW the quadratic loss weighs more. Nothing was measured there.",
            f"{100 * (first + second) / 2:.0f} %": "That is a mean of two points. It belongs to no power.",
            right: "Between two points a straight line is drawn. Beyond the last point nothing is known.",
        },
        right,
        outcome="work with a fixed efficiency, with losses in watts and with a measured table",
    )


def _standby_of_a_year() -> Question:
    watts, hours = 5, 24 * 365
    right = f"{watts * hours / 1000:.0f} kWh"
    return Question(
        f"A station takes {watts} W while no vehicle charges. What is that in a year?",
        {
            f"{watts * 365 / 1000:.1f} kWh": "You counted the days. Each of them has 24 hours.",
            right: f"{watts} W × {hours} h = {watts * hours} Wh.",
            f"{watts * hours} kWh": "That is in watt-hours. Divide by 1000.",
            f"{watts} W": "That is the power. How long does it flow?",
        },
        right,
        outcome="count standby and auxiliaries",
    )


def _class_a() -> Question:
    currents = {3: 2.0, 5: 1.0, 7: 0.9}
    limits = {order: float(class_a_limit(order)) for order in currents}
    (over,) = (order for order in currents if currents[order] > limits[order])
    names = {3: "The third, 2.0 A", 5: "The fifth, 1.0 A", 7: "The seventh, 0.9 A"}
    return Question(
        "A charger draws these harmonics. Which of them is above its limit of class A?",
        {
            names[order]: f"Its limit is {limit:.2f} A. "
            + ("It is the smallest of the three, and yet too much." if order == over else "It stays below.")
            for order, limit in limits.items()
        },
        names[over],
        outcome="read the harmonics of a charger beside the limits of class A",
    )


def _loss_base() -> Question:
    bought, stored = 40.0, 32.0
    lost = bought - stored
    right = f"{100 * lost / bought:.1f} %"
    return Question(
        f"The meter counts {bought:g} kWh. The battery stores {stored:g} kWh of it. What share of the "
        "bought energy is lost?",
        {
            f"{100 * lost / stored:.1f} %": f"{lost:g} kWh of {stored:g} kWh: that base is the stored energy. "
            "Take the bought.",
            right: f"{lost:g} kWh of {bought:g} kWh. The efficiency is the rest.",
            f"{100 * stored / bought:.1f} %": "That is the efficiency. The loss is what is missing to 100 %.",
            f"{lost:.1f} %": f"{lost:g} kWh are lost. As a share of {bought:g} kWh that is more than {lost:g} %.",
        },
        right,
        outcome="tell a loss of the bought energy from a loss of the stored energy",
    )


def _slow_charge() -> Question:
    losses = ChargerLosses(11_000, fixed=300)
    fast, right = (f"{100 * float(losses.at(watts)):.0f} %" for watts in (11_000, 1_400))
    return Question(
        f"A charger loses 300 W at any power. At 11 kW its efficiency is {fast}. What is it at 1.4 kW?",
        {
            fast: "The 300 W stay. At 1.4 kW they are a larger share.",
            right: "1.1 kW of 1.4 kW. The fixed loss weighs more when the power is low.",
            f"{100 * 0.3 / 1.4:.0f} %": "That is the share that is lost. The efficiency is the rest.",
        },
        right,
        outcome="say why slow charging wastes energy, and find the best power",
    )


def _distorted_current() -> Question:
    right = f"{float(true_power_factor(1.0, 1.0)):.2f}"
    return Question(
        "The fundamental of the current is in phase with a clean voltage. The THD is 100 %. "
        "What is the power factor?",
        {
            "1.00": "cos φ is 1, but only for the fundamental. The harmonics add current and no power.",
            right: "1 ÷ √(1 + THD²) = 1 ÷ √2.",
            "0.50": "Fundamental and harmonics do not simply add. Square, add, take the root.",
            "0.00": "The fundamental still carries all of the power.",
        },
        right,
        outcome="work out the true power factor",
    )


QUESTIONS = {
    "two efficiencies": _two_efficiencies,
    "measured table": _measured_table,
    "standby of a year": _standby_of_a_year,
    "class A": _class_a,
    "loss base": _loss_base,
    "slow charge": _slow_charge,
    "distorted current": _distorted_current,
}
