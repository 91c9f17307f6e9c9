"""Quick questions of the lesson "Predict the charge time"."""

import numpy as np

from acpower.battery import charge_time, session, temperature_limit
from acpower.figures import clock_time
from acpower.panels.questions.question import Question
from acpower.power import phase_to_line, three_phase_power
from acpower.tariff import Tariff

ENERGY = "work out the energy to add from two states of charge and the usable energy"
TIME = "work out the charge time from energy, power and efficiency"
CLOCK = "turn decimal hours into hours and minutes, and back"
COST = "work out the energy from the grid and its cost, with cheap hours as well"
SLOWER = "say when a charge slows down"
END_OF_AC = "say where AC charging ends and what DC does beyond it"
COLD = "say what cold does to a charge"


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
        outcome=ENERGY,
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
        outcome=CLOCK,
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
        outcome=TIME,
    )


def _usable_energy() -> Question:
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
        outcome=ENERGY,
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
        outcome=COST,
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
        outcome=SLOWER,
    )


def _end_of_ac() -> Question:
    end = f"{three_phase_power(phase_to_line(230), 63) / 1000:.1f} kW"
    return Question(
        "The contacts of a coupler carry at most 63 A, on three phases of 230 V. A driver needs 60 kW. What helps?",
        {
            "a stronger AC station": f"AC ends at {end} here: 3 × 230 V × 63 A. The contacts carry no more.",
            "a stronger on-board charger": f"Its current would come through the same contacts. They end at {end}.",
            "DC charging": "60 kW is beyond the end of AC. The station turns AC into DC and feeds the battery.",
        },
        "DC charging",
        outcome=END_OF_AC,
    )


def _cold_battery() -> Question:
    accepted = 60 * float(temperature_limit(3))
    right = "7 kW"
    return Question(
        "A warm battery accepts 60 kW. At 3 °C it accepts a fifth of that. The charger can bring 7 kW. "
        "What flows into the cold battery?",
        {
            f"{7 * float(temperature_limit(3)):.1f} kW": "The fifth is of what the battery accepts, not of the 7 kW.",
            right: f"The battery still accepts {accepted:.0f} kW. That is more than the charger can bring.",
            f"{accepted:.0f} kW": "So much it would accept. But the charger can bring 7 kW only.",
            "nothing": "That holds below freezing, where lithium-ion cells are not charged at all.",
        },
        right,
        outcome=COLD,
    )


QUESTIONS = {
    "energy to add": _energy,
    "clock time": _clock,
    "time with loss": _time_with_loss,
    "usable energy": _usable_energy,
    "cheap hours": _cheap_hours,
    "taper": _taper,
    "end of AC": _end_of_ac,
    "cold battery": _cold_battery,
}
