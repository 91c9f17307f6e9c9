"""The quick questions of the lessons: answers with a reaction to each, worked out by the formulas.

They stand here and not in the lessons, where the code would give the answer away. No mark depends
on them.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import sqrt

import numpy as np

from acpower._checks import Numbers
from acpower.ac_ceiling import ac_ceiling
from acpower.battery import charge_time, session
from acpower.charger import Cable, Station, Supply, Vehicle, battery_power, charging_limit, grid_power
from acpower.circuit import conductor_resistance, design_current, next_breaker, voltage_drop
from acpower.distorted import true_power_factor
from acpower.efficiency import ChargerLosses
from acpower.figures import clock_time, read_waveform
from acpower.load_sharing import share_current
from acpower.pilot import cable_rating, current_from_duty, duty_meaning
from acpower.pilot_circuit import plateau_voltage
from acpower.power import (
    line_to_phase,
    phase_to_line,
    single_phase_current,
    single_phase_power,
    three_phase_power,
)
from acpower.protection import RESIDUAL_CURRENT_DEVICES, check_overload
from acpower.region import region_in_use
from acpower.rms import peak_to_rms, pulse_rms, rms_to_peak
from acpower.supply import nominal_supply
from acpower.tariff import Tariff
from acpower.unbalanced import star_with_neutral


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


def _split_phase() -> Question:
    split = nominal_supply("north-america-120-240")
    right = f"{split.line_voltage_v:g} V"
    return Question(
        "Two legs of a split-phase supply have 120 V each to neutral. What lies between the legs?",
        {
            "0 V": "The legs point opposite ways, 180° apart. Only equal arrows would leave nothing.",
            f"{phase_to_line(120):.0f} V": "√3 belongs to 120°. These legs are 180° apart.",
            right: "180° apart: the two arrows lie end to end, 2 × 120 V.",
            f"{rms_to_peak(120):.0f} V": "That is the peak of one leg. All voltages here are RMS values.",
        },
        right,
    )


def _two_legs() -> Question:
    right = f"{nominal_supply('north-america-208').line_voltage_v:g} V"
    return Question(
        "Two lines of a three-phase supply have 120 V each to neutral. What lies between them?",
        {
            "240 V": "That is split-phase, 180° apart. Here the angle is 120°.",
            right: "120° apart: √3 × 120 V.",
            f"{line_to_phase(120):.0f} V": "You divided by √3. From line to line there is more, not less.",
            "120 V": "That is from one line to neutral.",
        },
        right,
    )


def _star_to_delta() -> Question:
    return Question(
        "Three equal heaters are changed from star to delta on the same supply. What happens to the power?",
        {
            "It stays the same": "Each heater gets √3 times the voltage now. So its power rises.",
            "√3 times as much": "The voltage is √3 times as high, and so is the current. Multiply both.",
            "3 times as much": "Voltage and current of each heater rise by √3. √3 × √3 = 3.",
            "A third": "That is the way from delta to star.",
        },
        "3 times as much",
    )


def _lowest_voltage() -> Question:
    usual, every = nominal_supply("europe-230-400").bands
    right = f"{usual.low_v:g} V"
    return Question(
        "A European supply has 230 V, and 10 % less or more is allowed. What is the lowest voltage?",
        {
            "220 V": "You took away 10 V. 10 % of 230 V is 23 V.",
            f"{230 / 1.1:.0f} V": "You divided by 1.10. Take 10 % of 230 V away instead.",
            right: "230 V × 0.90. 95 % of the 10-minute means of a week must lie above it.",
            f"{every.low_v:g} V": "That is 15 % less: the wider band, for all 10-minute means of a week.",
        },
        right,
    )


def _charger_on_208() -> Question:
    right = f"{single_phase_power(208, 32) / 1000:.2f} kW"
    return Question(
        "A 32 A single-phase charger stands between two lines of a 208 V supply. What power does it take? "
        "Power factor 1.",
        {
            f"{single_phase_power(240, 32) / 1000:.2f} kW": "That is the power at 240 V. Here there are 208 V.",
            f"{three_phase_power(208, 32) / 1000:.2f} kW": "√3 is for three lines. This charger uses two.",
            f"{single_phase_power(120, 32) / 1000:.2f} kW": "That is from one line to neutral.",
            right: "208 V × 32 A. Two lines, one current.",
        },
        right,
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
    )


def _other_phases() -> Question:
    return Question(
        "One charger on L1 stands at the end of a long four-wire cable. What happens to the voltage of L2 there?",
        {
            "It falls as much as L1": "L2 carries no current. There is no drop in its own wire.",
            "It stays the same": "The current comes back in the neutral. That wire has a drop too.",
            "It rises a little": "The drop in the neutral moves the neutral point: nearer to L1, away from L2 and L3.",
        },
        "It rises a little",
    )


def _cable_code() -> Question:
    station = 32.0
    cable = float(cable_rating(680.0))
    right = f"{min(station, cable):g} A"
    return Question(
        f"The station is set to {station:g} A. It reads 680 Ω in the plug of the cable. What may it offer?",
        {
            f"{station:g} A": "The station would overload the cable. The resistor stands for less.",
            f"{(station + cable) / 2:g} A": "You took the mean. It is more than the cable can carry.",
            right: f"680 Ω stands for {cable:g} A. The smaller of the two is offered.",
            "13 A": "That is the next smaller cable, coded with 1500 Ω.",
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


def _loss_base() -> Question:
    bought, stored = 60.0, 50.0
    lost = bought - stored
    right = f"{100 * lost / bought:.1f} %"
    return Question(
        f"The meter counts {bought:g} kWh. The battery stores {stored:g} kWh of it. What share of the "
        "bought energy is lost?",
        {
            f"{100 * lost / stored:.1f} %": "10 kWh of 50 kWh: that base is the stored energy. Take the bought.",
            right: "10 kWh of 60 kWh. The efficiency is the rest.",
            f"{100 * stored / bought:.1f} %": "That is the efficiency. The loss is what is missing to 100 %.",
            f"{lost:.1f} %": "10 kWh are lost. As a share of 60 kWh that is more than 10 %.",
        },
        right,
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
    )


def _behind_the_rectifier() -> Question:
    frequency = region_in_use().frequency_hz
    right = f"DC that pulsates {2 * frequency} times a second"
    return Question(
        f"The mains has {frequency} Hz. What stands right behind the rectifier?",
        {
            f"AC of {frequency} Hz": "That stands in front of it. A rectifier turns the negative halves upward.",
            "smooth DC": "Not yet. A rectifier alone smooths nothing.",
            right: "Each period has two halves, and both point upward now.",
        },
        right,
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


def _usable_capacity() -> Question:
    usable, gross = 75, 80
    right = f"{usable * 0.60:.0f} kWh"
    return Question(
        "The cells of a battery hold 80 kWh. The driver can use 75 kWh. It goes from 20 % to 80 %. "
        "How much energy must be added?",
        {
            f"{gross * 0.60:.0f} kWh": "You took what the cells hold. The display counts the usable energy.",
            right: "75 kWh × (0.80 − 0.20).",
            f"{usable * 0.80:.0f} kWh": "You took the target alone. Some energy is in the battery already.",
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


def _continuous_load() -> Question:
    region = region_in_use()
    needed = float(
        design_current(32 * region.single_phase_v, region.single_phase_v, rule=region.breaker_series)
    )
    right = f"{next_breaker(needed, region.breaker_series):g} A"
    if region.breaker_series == "nec":
        why = "Charging is a continuous load: 1.25 × 32 A = 40 A."
        wrong = {
            "35 A": "That is the next size above 32 A. But the load runs for hours: 125 % comes first.",
            "45 A": "One size too many. 125 % of 32 A is a standard size already.",
        }
    else:
        why = "Equal rating is common practice here, without a source. The local code decides."
        wrong = {
            "25 A": "That is below the load. The breaker would trip.",
            "63 A": "That is far above the load. The cable would have to carry 63 A.",
        }
    return Question(
        f"A station takes 32 A for hours. Which breaker is usual in this region: {region.name}?",
        dict(sorted((wrong | {right: why}).items())),
        right,
    )


def _next_size() -> Question:
    series = region_in_use().breaker_series
    right = f"{next_breaker(52, series):g} A"
    return Question(
        "A circuit needs 52 A or more. Which is the next breaker of the series?",
        {
            "50 A": "That is below 52 A.",
            "55 A": "There is no such size. The series does not go in steps of 5 A.",
            right: "The smallest size of the series that is not below 52 A.",
            "100 A": "Far too large. The cable would have to carry 100 A.",
        },
        right,
    )


def _both_ways() -> Question:
    one_way = 32 * float(conductor_resistance(6, 25, temperature_c=70))
    right = f"{voltage_drop(32, 25, 6, phases=1, temperature_c=70):.2f} V"
    return Question(
        f"One conductor of a cable has {one_way / 32:.4f} Ω. A single-phase charger takes 32 A. "
        "What is the voltage drop?",
        {
            f"{one_way:.2f} V": "That is one conductor. The current flows back through a second one.",
            right: "Current × resistance, out and back.",
            f"{3 * one_way:.2f} V": "One phase uses two conductors, not three.",
            f"{32 * one_way:.0f} V": "That is current² × resistance: the heat in watts.",
        },
        right,
    )


def _overload_check() -> Question:
    check = check_overload(32, 40, 36)
    holds = {
        "Ib ≤ In": check.breaker_carries_load,
        "In ≤ Iz": check.cable_carries_breaker,
    }
    right = next(name for name, held in holds.items() if not held)
    return Question(
        "The load is 32 A, the breaker 40 A, and the cable may carry 36 A. Which condition fails?",
        {
            "Ib ≤ In": "32 A ≤ 40 A holds. The breaker carries the load.",
            right: "40 A is more than 36 A. The breaker lets through more than the cable can carry.",
            "none": "The load is below 36 A today. But the breaker would not stop 40 A.",
        },
        right,
    )


def _overloaded_cable() -> Question:
    return Question(
        "A cable carries far more current than it may. All of it flows back through the neutral. "
        "Which device has to open the circuit?",
        {
            "the RCD": "What flows out flows back. The RCD sees no difference.",
            "the breaker": "It opens on too much current. That is why its rating must fit the cable.",
            "the control pilot": "It tells the vehicle a limit. It does not guard the cable.",
        },
        "the breaker",
    )


def _paused_station() -> Question:
    offers = share_current(20, [16, 16, 16, 16], rule="equal")
    right = f"{offers[3]:g} A, it pauses"
    return Question(
        "20 A are to spare. Four vehicles could use 16 A each. All get equal parts. What does the fourth get?",
        {
            "5 A": "20 A ÷ 4. But a station cannot offer less than 6 A.",
            right: "Three stations get 6 A. The 2 A that are left are too few for a fourth.",
            "2 A": "That is what is left. A station cannot offer less than 6 A.",
            "16 A": "Then the sum would be more than 20 A.",
        },
        right,
    )


def _pilot_mean() -> Question:
    right = _volts(0.5 * 9 + 0.5 * -12)
    return Question(
        "The pilot switches between +9 V and −12 V, half the time each. What does a DC range show?",
        {
            _volts(0.5 * 9): "You counted the low level as 0. It is −12 V.",
            right: "0.5 × 9 V − 0.5 × 12 V. The mean keeps the sign of each level.",
            _volts(pulse_rms(9, 0.5, low=-12)): "That is the RMS value. A DC range shows the mean.",
            "9.0 V": "That is the high level. The meter is too slow to see it.",
        },
        right,
    )


def _dirty_contact() -> Question:
    right = f"as {_amperes(cable_rating(680 + 400))}"
    return Question(
        "A cable for 20 A has a coding resistor of 680 Ω. A dirty contact adds 400 Ω. How is the cable read?",
        {
            f"as {_amperes(cable_rating(680))}": "680 Ω + 400 Ω = 1080 Ω. That is outside its band.",
            f"as {_amperes(cable_rating(220))}": "A bigger cable has fewer ohms. Dirt adds ohms.",
            right: "More ohms stand for a smaller cable: dirt errs to the safe side.",
        },
        right,
    )


def _duty_to_current() -> Question:
    right = _amperes(current_from_duty(40))
    return Question(
        "The pilot is high for 40 % of the time. What current may the vehicle take?",
        {
            _amperes(0.6 * 0.40): "The rule takes the duty in percent: 40, not 0.40.",
            right: "40 × 0.6 A.",
            _amperes(current_from_duty(60)): "You took the time at the low level.",
            _amperes(40 / 0.6): "You divided by 0.6. That is the way from current to duty.",
        },
        right,
    )


def _upper_duty() -> Question:
    right = _amperes(current_from_duty(90))
    return Question(
        "The pilot is high for 90 % of the time. What current may the vehicle take?",
        {
            _amperes(0.6 * 90): "That is the rule up to 85 %. Above it there is another one.",
            _amperes(90 - 64): "2.5 A for each percent is missing.",
            right: "(90 − 64) × 2.5 A.",
        },
        right,
    )


def _five_percent() -> Question:
    right = "none until digital messages set it"
    return Question(
        "The pilot is high for 5 % of the time. What current may the vehicle take?",
        {
            _amperes(0.6 * 5): "0.6 A for each percent starts at 10 %. A duty of 5 % is a sign of its own.",
            _amperes(current_from_duty(8)): "6 A is for 8 to 10 %, and by the IEC rule only.",
            right: f"From 3 to 7 % the duty means: {duty_meaning(5)}.",
        },
        right,
    )


def _diode() -> Question:
    level = float(plateau_voltage(2740, diode_drop=0.0))
    right = "that there is no sound diode"
    return Question(
        f"The pilot jumps between +{level:.1f} V and −{level:.1f} V. What does the station learn?",
        {
            "that a sound vehicle is connected": "The high level fits state B. Look at the low level.",
            right: "A sound diode leaves −12 V. The contactor must stay open.",
            "that its own source is weak": "A weak source would lower the +12 V of state A as well.",
        },
        right,
    )


def _volts(volts: Numbers) -> str:
    return f"{float(volts):.1f} V".replace("-", "−")


def _amperes(amperes: Numbers) -> str:
    return f"{float(amperes):.3g} A"


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
    "usable capacity": _usable_capacity,
    "cheap hours": _cheap_hours,
    "taper": _taper,
    "continuous load": _continuous_load,
    "next size": _next_size,
    "both ways": _both_ways,
    "overload check": _overload_check,
    "overloaded cable": _overloaded_cable,
    "paused station": _paused_station,
    "cable code": _cable_code,
    "voltage sag": _voltage_sag,
    "stronger station": _stronger_station,
    "loss base": _loss_base,
    "slow charge": _slow_charge,
    "distorted current": _distorted_current,
    "split-phase": _split_phase,
    "two legs of three-phase": _two_legs,
    "star to delta": _star_to_delta,
    "lowest voltage": _lowest_voltage,
    "charger on 208 V": _charger_on_208,
    "two phases": _two_phases,
    "neutral of two phases": _neutral_of_two_phases,
    "current for power": _current_for_power,
    "other phases": _other_phases,
    "who decides": _who_decides,
    "behind the rectifier": _behind_the_rectifier,
    "still charged": _still_charged,
    "smooth DC": _smooth_dc,
    "contacts of one phase": _one_phase_contacts,
    "power of a coupler": _coupler_power,
    "coding of a cable": _cable_coding,
    "same number of contacts": _same_count,
    "pilot mean": _pilot_mean,
    "dirty contact": _dirty_contact,
    "duty to current": _duty_to_current,
    "upper duty": _upper_duty,
    "five percent": _five_percent,
    "diode": _diode,
}
"""Each question by the name that a lesson calls it by."""
