"""Quick questions of the lesson "Predict the charge time"."""

import numpy as np

from acpower.battery import charge_time, session
from acpower.figures import clock_time
from acpower.panels.questions.question import Question
from acpower.tariff import Tariff


def _energy() -> Question:
    return Question(
        "A 50 kWh battery goes from 20 % to 80 %. How much energy must be added?",
        {
            "40 kWh": "You took the target alone. 10 kWh are in the battery already.",
            "60 kWh": "That is the difference in percent. It is a share of 50 kWh.",
            "30 kWh": "50 kWh × (0.80 − 0.20).",
            "10 kWh": "That is what the battery held at the start.",
        },
        "30 kWh",
    )


def _clock() -> Question:
    right = clock_time(2.40)
    return Question(
        "Your calculator says 2.40 h. What does the clock say?",
        {
            "2 h 40 min": "0.40 h is not 40 min. Multiply by 60.",
            "2 h 04 min": "0.40 h is not 4 min. Multiply by 60.",
            right: "0.40 × 60 min = 24 min.",
        },
        right,
    )


def _time_with_loss() -> Question:
    right = clock_time(float(charge_time(18, 11, 0.90)))
    without = float(charge_time(18, 11))
    return Question(
        "18 kWh must be added. Grid power 11 kW, efficiency 0.90. How long does it take?",
        {
            clock_time(without): "The loss is missing. Not all of the 11 kW reaches the battery.",
            right: "18 kWh ÷ (11 kW × 0.90).",
            clock_time(0.90 * without): "A loss cannot make the charge faster. Divide by the efficiency.",
        },
        right,
    )


def _usable_capacity() -> Question:
    usable, gross, left = 75, 80, 0.60
    right = f"{usable * left:.0f} kWh"
    return Question(
        f"The gross energy of a battery is {gross} kWh, its usable energy {usable} kWh. The display shows "
        f"{100 * left:.0f} %. How much energy can the driver still use?",
        {
            f"{gross * left:.0f} kWh": "You took what the cells hold. The display counts the usable energy.",
            right: f"{usable} kWh × {left:.2f}.",
            f"{usable * (1 - left):.0f} kWh": "That is what is missing. The display shows what is there.",
        },
        right,
    )


def _cheap_hours() -> Question:
    tariff = Tariff(from_h=(6, 22), price=(0.40, 0.20))
    cost = session(50, 5, 0.2, 0.6, tariff=tariff, start_h=20).cost
    right = f"{float(np.asarray(cost)):.2f}"
    return Question(
        "A charge takes 5 kW from the grid for 4 h, from 20:00 on. A kilowatt-hour costs 0.40, from 22:00 on 0.20. "
        "What does the charge cost?",
        {
            f"{20 * 0.40:.2f}": "Half of the energy is charged after 22:00, at the low price.",
            f"{20 * 0.20:.2f}": "The first two hours lie before 22:00, at the high price.",
            right: "10 kWh × 0.40 + 10 kWh × 0.20.",
            f"{4 * 0.30:.2f}": "You multiplied hours by a price. The price is per kilowatt-hour.",
        },
        right,
    )


def _taper() -> Question:
    charge = session(50, 10, 0.2, 0.98, acceptance_kw=50, knee=0.80)
    right = f"at {100 * float(np.asarray(charge.taper_soc)):.0f} %"
    return Question(
        "A battery accepts 50 kW up to 80 %. From there its acceptance falls in a straight line to 0 at 100 %. "
        "An AC charger gives 10 kW. When does the charge slow down?",
        {
            "at 80 %": "There the battery still accepts 50 kW. The charger gives 10 kW only.",
            right: "There the acceptance has fallen to 10 kW, a fifth of 50 kW.",
            "at 20 %": "10 kW is a fifth of 50 kW. But the battery accepts least when it is nearly full.",
        },
        right,
    )


QUESTIONS = {
    "energy to add": _energy,
    "clock time": _clock,
    "time with loss": _time_with_loss,
    "usable capacity": _usable_capacity,
    "cheap hours": _cheap_hours,
    "taper": _taper,
}
