"""The quick questions of the lessons: answers with a reaction to each, worked out by the formulas.

They stand here and not in the lessons, where the code would give the answer away. No mark depends
on them.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from acpower.battery import charge_time
from acpower.charger import Cable, Station, Supply, Vehicle, battery_power, charging_limit, grid_power
from acpower.figures import clock_time, read_waveform
from acpower.power import single_phase_power, three_phase_power
from acpower.rms import peak_to_rms


@dataclass(frozen=True)
class Question:
    """A question with its answers.

    Attributes
    ----------
    asked
        The question.
    answers
        Each answer with the reaction to it: why it holds, or what was probably mixed up.
    right
        The right one of the answers.
    """

    asked: str
    answers: Mapping[str, str]
    right: str


def _peak_to_rms() -> Question:
    sine = read_waveform("sine", peak=325.0)
    right = f"{sine.rms:.0f} V"
    return Question(
        "A sine has a peak of 325 V. What is its RMS value?",
        {
            f"{sine.peak:.0f} V": "That is the peak itself. Which way must √2 go?",
            right: "325 V ÷ √2. This is the number on the label.",
            f"{sine.rectified_mean:.0f} V": "That is the rectified mean. RMS squares the curve first.",
            f"{sine.peak / 2:.1f} V": "You took half the peak. A sine needs √2, not 2.",
        },
        right,
    )


def _half_wave() -> Question:
    right = f"{peak_to_rms(230.0):.0f} V"
    return Question(
        "A diode cuts a 230 V sine to half-waves. What is the RMS value now?",
        {
            f"{230 / 2:.0f} V": "That is the trap. Half the power is not half the voltage.",
            "230 V": "Half of each period is missing. The heat must go down.",
            right: "230 V ÷ √2: half the power, so the voltage falls by √2.",
        },
        right,
    )


def _square_wave() -> Question:
    square = read_waveform("square", peak=100.0)
    factor = read_waveform("sine", peak=100.0).form_factor
    shown, right = f"{square.average_responding_meter:.0f} V", f"{square.true_rms_meter:.0f} V"
    return Question(
        f"An average-responding meter shows {shown} on a square wave. What would a true-RMS meter show?",
        {
            shown: "The two agree on a sine. This is not a sine.",
            f"{factor * square.average_responding_meter:.0f} V": "The meter has multiplied already. Undo it.",
            right: "Divide by 1.11. A square wave has the same RMS value and rectified mean.",
        },
        right,
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
    )


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


QUESTIONS: dict[str, Callable[[], Question]] = {
    "peak to RMS": _peak_to_rms,
    "half-wave": _half_wave,
    "square wave": _square_wave,
    "three-phase power": _three_phase,
    "limiting link": _limiting_link,
    "efficiency": _efficiency,
    "energy to add": _energy,
    "clock time": _clock,
    "time with loss": _time_with_loss,
}
"""Each question by the name that a lesson calls it by."""
