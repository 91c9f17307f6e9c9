"""Mark scheme of the worksheet ``charge-time``: from the battery's need to hours, energy and cost."""

from itertools import pairwise
from math import floor
from typing import Any

from acpower.battery import charge_time, temperature_limit
from acpower.charger import battery_power, grid_power
from acpower.power import phase_to_line, single_phase_power, three_phase_power
from acpower.tariff import Tariff
from acpower.worksheets.cards import Draw, Entry
from acpower.worksheets.scheme import (
    COMMON_PRACTICE,
    Choice,
    Function,
    KnownError,
    Number,
    Worksheet,
    show,
)
from acpower.worksheets.schemes.shared_errors import efficiency_errors

ENERGY = "work out the energy to add from two states of charge and the usable energy"
TIME = "work out the charge time from energy, power and efficiency"
CLOCK = "turn decimal hours into hours and minutes, and back"
COST = "work out the energy from the grid and its cost, with cheap hours as well"
SLOWER = "say when a charge slows down"
END_OF_AC = "say where AC charging ends and what DC does beyond it"
COLD = "say what cold does to a charge"

LINKS = ("supply", "station", "vehicle")
WAYS = ("one phase", "three phases", "DC")
NEITHER, SMALLER, BOTH = "neither", "smaller", "both"

# The battery of the questions: it accepts 1 kW for each kWh, less above the knee and when cold.
KNEE_PERCENT = 80
PHASE_VOLTAGE = 230

ENTRIES = (
    Entry("site", "Site", "", ("Bridge Street depot", "Windmill farm", "Station hotel", "Market car park")),
    Entry("battery_kwh", "Battery: usable energy", "kWh", (37, 42, 47, 53, 58, 63, 68, 74)),
    Entry("start_percent", "State of charge at the start", "%", (12, 14, 16, 18, 22)),
    Entry("target_percent", "State of charge to reach", "%", (76, 78, 82, 84, 86, 88)),
    Entry("station_power", "First station: power from the grid", "kW", (3.6, 4.4, 4.6, 5.2, 5.8, 6.6, 7.2)),
    Entry("efficiency_percent", "Efficiency of the charge, grid to battery", "%", (84, 85, 86, 87, 88, 89)),
    Entry("price", "Price of one kilowatt-hour", "hundredths", (23, 26, 27, 31, 34, 38)),
    Entry("stay_hours", "Short stay: full hours", "h", (2, 3)),
    Entry("stay_minutes", "Short stay: minutes on top", "min", (18, 24, 36, 42, 48)),
    Entry("supply_limit", "Second station: the supply has left for it", "kW", (9.4, 11.4, 19.2, 21.6)),
    Entry("station_limit", "Second station: the station itself can give", "kW", (9.6, 17.4, 20.8, 22.2)),
    Entry("vehicle_limit", "Second station: the vehicle can take", "kW", (10.4, 11.6, 17.8, 18.8)),
    Entry(
        "charger_kw",
        "Another charger: power that it can bring into a battery",
        "kW",
        (9.2, 10.8, 14.6, 18.4, 21.2),
    ),
    Entry("smaller_kwh", "Other vehicle, smaller battery: usable energy", "kWh", (18, 21, 24, 26)),
    Entry("cells_celsius", "Winter day: temperature of the cells", "°C", (3, 4, 6, 8, 12)),
    Entry("coupler_current", "Journey: highest current of coupler and station", "A", (32, 40, 63)),
    Entry("stop_kwh", "Journey: energy to get into the battery", "kWh", (11, 15, 19, 23, 27, 33)),
    Entry("stop_minutes", "Journey: time for it", "min", (36, 42, 54, 72, 84, 108, 132)),
)


def possible(card: Any) -> bool:
    """Refuse cards with an endless charge, a time near a full hour, or numbers that meet by chance."""
    keys = WORKSHEET.keys(card)
    part_of_an_hour = keys.time_h % 1
    limits = _limits(card)
    # What the known errors of the second station take for its power: none may pass for another.
    powers = (
        card.station_power,
        min(limits),
        min(limits) / _efficiency(card),
        min(limits) / _efficiency(card) ** 2,
        sum(limits) / len(limits),
        sorted(limits)[1],
        max(limits),
    )
    rise, charger_share = _rise(card), card.charger_kw / card.battery_kwh
    return (
        4 < keys.time_h < 12
        and card.start_percent + card.target_percent != 100
        and abs(card.battery_kwh - 100 * rise) > 1
        and 0.25 < part_of_an_hour < 0.9
        # The minutes of the clock and the hours rounded would be the same.
        and abs(part_of_an_hour - 0.6) > 0.01
        and all(higher / lower > 1.015 for lower, higher in pairwise(sorted(powers)))
        # At a share of one half, both ends of the fall would lead to the same state of charge.
        and charger_share < 0.7
        and abs(charger_share - 0.5) > 0.02
        and all(abs(accepted / card.charger_kw - 1) > 0.05 for accepted in _accepted_when_cold(card))
        and all(abs(_stop_power(card) / end - 1) > 0.05 for end in _ends_of_ac(card))
        and not _stands_on_the_card(card, keys)
    )


def _stands_on_the_card(card: Any, keys: Any) -> bool:
    return any(
        abs(getattr(keys, question.name) - card.values[entry.name]) <= 0.005 * getattr(keys, question.name)
        for question in WORKSHEET.questions
        if isinstance(question, Number)
        for entry in ENTRIES
        if entry.unit == question.unit
    )


def _efficiency(card: Any) -> float:
    return float(card.efficiency_percent / 100)


def _rise(card: Any) -> float:
    return float((card.target_percent - card.start_percent) / 100)


def _price(card: Any) -> float:
    return float(card.price / 100)


def _stay(card: Any) -> float:
    return float(card.stay_hours + card.stay_minutes / 60)


def _limits(card: Any) -> list[float]:
    return [getattr(card, f"{link}_limit") for link in LINKS]


def _limiting_link(card: Any) -> str:
    return LINKS[_limits(card).index(min(_limits(card)))]


def _accepted_when_cold(card: Any) -> list[float]:
    """Return the power that the smaller and the larger battery accept on the winter day [kW]."""
    share = float(temperature_limit(card.cells_celsius))
    return [share * card.smaller_kwh, share * card.battery_kwh]


def _slower_when_cold(card: Any, earlier: Any) -> str:
    slower = [accepted < card.charger_kw for accepted in _accepted_when_cold(card)]
    return BOTH if all(slower) else SMALLER if any(slower) else NEITHER


def _stop_power(card: Any) -> float:
    """Return the power from the grid that the stop on the journey needs [kW]."""
    into_battery = 1000 * card.stop_kwh / (card.stop_minutes / 60)
    return float(grid_power(into_battery, _efficiency(card)) / 1000)


def _ends_of_ac(card: Any) -> tuple[float, float]:
    """Return the end of AC with one phase and with three [kW]."""
    return (
        float(single_phase_power(PHASE_VOLTAGE, card.coupler_current) / 1000),
        float(three_phase_power(phase_to_line(PHASE_VOLTAGE), card.coupler_current) / 1000),
    )


def _way_to_charge(card: Any, earlier: Any) -> str:
    return WAYS[sum(_stop_power(card) > end for end in _ends_of_ac(card))]


WATT_HOURS = {"Wh": 0.001}
HUNDREDTHS = {"hundredths": 0.01, "cents": 0.01, "pence": 0.01}
PERCENT_TO_FRACTION = "Per cent means of every hundred. Turn the percentage into a fraction first."

energy_needed: Number = Number(
    name="energy_needed_kwh",
    title="Energy that the battery needs",
    marks=2,
    unit="kWh",
    units=WATT_HOURS,
    key=lambda card, earlier: card.battery_kwh * _rise(card),
    working=lambda card, earlier: (
        f"E = usable energy · rise = {card.battery_kwh} kWh × ({card.target_percent} % − {card.start_percent} %) = "
        f"{card.battery_kwh} kWh × {_rise(card):g} = {show(energy_needed.key(card, earlier))} kWh"
    ),
    level=1,
    outcome=ENERGY,
    hints=(
        "How far does the state of charge rise? Take that share of the whole battery.",
        "Energy = usable energy · rise. The rise is the difference of two percentages, as a fraction.",
        "Begin with the state of charge to reach, take the one at the start from it, and divide by 100.",
    ),
    sources=("battery-size-articles", "charging-time-guide"),
    known_errors=(
        KnownError(
            name="target-for-rise",
            says="the state of charge to reach was taken for the rise",
            misconception="target-for-difference",
            hint="The battery is not empty at the start. How much is in it already?",
            formula=lambda card, earlier: card.battery_kwh * card.target_percent / 100,
        ),
        KnownError(
            name="start-for-rise",
            says="this is the energy that is in the battery at the start",
            misconception="start-or-remainder",
            hint="The question asks for what has to be added to it.",
            formula=lambda card, earlier: card.battery_kwh * card.start_percent / 100,
        ),
        KnownError(
            name="remainder-for-rise",
            says="this is the part of the battery that the charge does not fill",
            misconception="start-or-remainder",
            hint="The rise itself is the share you need. What is left of the whole is not asked for.",
            formula=lambda card, earlier: card.battery_kwh * (1 - _rise(card)),
        ),
        KnownError(
            name="whole-battery",
            says="the whole battery was taken",
            hint="The battery is neither empty at the start nor full in the end. What share is added?",
            formula=lambda card, earlier: card.battery_kwh,
        ),
        KnownError(
            name="percent-points-as-energy",
            says="the percent points were taken as kilowatt-hours",
            misconception="percent-points-as-energy",
            hint="A percentage is a share of something. Of how many kilowatt-hours is it a share here?",
            formula=lambda card, earlier: 100 * _rise(card),
        ),
        KnownError(
            name="percent-as-factor",
            says="the percentage was used as a factor",
            misconception="percent-as-factor",
            hint=PERCENT_TO_FRACTION,
            formula=lambda card, earlier: card.battery_kwh * 100 * _rise(card),
            keeps=1,
        ),
    ),
)

power_into_battery: Number = Number(
    name="battery_power_kw",
    title="Power that reaches the battery",
    marks=2,
    unit="kW",
    units={"W": 0.001},
    key=lambda card, earlier: battery_power(card.station_power * 1000, _efficiency(card)) / 1000,
    working=lambda card, earlier: (
        f"P battery = P grid · efficiency = {card.station_power} kW × {_efficiency(card):g} = "
        f"{show(power_into_battery.key(card, earlier))} kW"
    ),
    level=2,
    outcome=TIME,
    hints=(
        "Part of the power becomes heat on the way. Which side of the loss is the battery on?",
        "The efficiency is the share of the power from the grid that gets through.",
        "Begin with the efficiency on your card. Write it as a fraction. It acts on the power of the station.",
    ),
    sources=("on-board-charger-measurements", COMMON_PRACTICE),
    known_errors=efficiency_errors(lambda card, earlier: card.station_power),
)

time_hours: Number = Number(
    name="time_h",
    title="Charge time in hours",
    marks=2,
    unit="h",
    units={"min": 1 / 60},
    needs=("energy_needed_kwh", "battery_power_kw"),
    key=lambda card, earlier: charge_time(earlier.energy_needed_kwh, earlier.battery_power_kw),
    working=lambda card, earlier: (
        f"t = E / P battery = {show(earlier.energy_needed_kwh)} kWh / {show(earlier.battery_power_kw)} kW = "
        f"{show(time_hours.key(card, earlier))} h"
    ),
    level=2,
    outcome=TIME,
    hints=(
        "One kilowatt brings one kilowatt-hour in one hour. How many hours does your energy take?",
        "Power = energy / time. Turn this round until the time stands alone.",
        "Begin with your energy from question 1. Put the power that reaches the battery below the line.",
    ),
    sources=("charging-time-guide",),
    known_errors=(
        KnownError(
            name="efficiency-forgotten",
            says="the power from the grid was used, so the efficiency is missing",
            misconception="efficiency-forgotten",
            hint="The energy that you need must arrive in the battery. Which power arrives there?",
            formula=lambda card, earlier: earlier.energy_needed_kwh / card.station_power,
        ),
        KnownError(
            name="efficiency-on-the-wrong-side",
            says="the efficiency stands on the wrong side, so the loss makes the charge faster",
            misconception="efficiency-wrong-way-in-time",
            hint="A loss makes a charge longer. Use the power that reaches the battery.",
            formula=lambda card, earlier: earlier.energy_needed_kwh * _efficiency(card) / card.station_power,
        ),
        KnownError(
            name="efficiency-twice",
            says="the efficiency was taken into account twice",
            hint="It is already in the power that reaches the battery.",
            formula=lambda card, earlier: (
                earlier.energy_needed_kwh / (earlier.battery_power_kw * _efficiency(card))
            ),
        ),
        KnownError(
            name="loss-added",
            says="the lost share was added to the time",
            misconception="loss-added",
            hint="The loss is a share of what comes from the grid. Divide by the power that reaches the battery.",
            formula=lambda card, earlier: (
                earlier.energy_needed_kwh * (2 - _efficiency(card)) / card.station_power
            ),
        ),
        KnownError(
            name="time-upside-down",
            says="the power was divided by the energy",
            misconception="time-upside-down",
            hint="More energy must give a longer time. What belongs above the line?",
            formula=lambda card, earlier: earlier.battery_power_kw / earlier.energy_needed_kwh,
        ),
        KnownError(
            name="energy-times-power",
            says="energy and power were multiplied",
            misconception="energy-times-power",
            hint="More power must give a shorter time. Where does the power belong?",
            formula=lambda card, earlier: earlier.energy_needed_kwh * earlier.battery_power_kw,
        ),
    ),
)

time_minutes: Number = Number(
    name="time_min",
    title="The same time in minutes",
    marks=1,
    unit="min",
    units={"h": 60.0},
    needs=("time_h",),
    key=lambda card, earlier: 60 * earlier.time_h,
    working=lambda card, earlier: (
        f"t = {show(earlier.time_h)} h × 60 min/h = {show(time_minutes.key(card, earlier))} min"
    ),
    level=1,
    outcome=CLOCK,
    hints=(
        "Turn the whole time into minutes, the part behind the decimal point too.",
        "Every hour has as many minutes as the clock has. A tenth of an hour has a tenth of them.",
        "Begin with all figures of your time in hours. Multiply once, and round only at the end.",
    ),
    sources=("charging-time-guide",),
    known_errors=(
        KnownError(
            name="decimals-read-as-minutes",
            says="the figures behind the decimal point were read as minutes",
            misconception="decimals-as-minutes",
            hint="Half an hour is 0.5 h. How many minutes is that, and how many is 0.1 h?",
            formula=lambda card, earlier: 60 * floor(earlier.time_h) + 100 * (earlier.time_h % 1),
        ),
        KnownError(
            name="full-hours-left-out",
            says="only the minutes beyond the full hours were counted",
            hint="Count the minutes of the full hours too.",
            formula=lambda card, earlier: 60 * (earlier.time_h % 1),
        ),
        KnownError(
            name="hour-of-100-minutes",
            says="the hours were multiplied by 100",
            hint="How many minutes does the clock count until the next hour?",
            formula=lambda card, earlier: 100 * earlier.time_h,
        ),
        KnownError(
            name="hours-rounded-first",
            says="the hours were rounded to a whole number before they became minutes",
            misconception="early-rounding",
            hint="Keep all figures until the end. How many minutes does the part behind the decimal point hold?",
            formula=lambda card, earlier: 60 * floor(earlier.time_h + 0.5),
        ),
        KnownError(
            name="hours-for-minutes",
            says="this is the time in hours",
            hint="The question asks for minutes.",
            formula=lambda card, earlier: earlier.time_h,
        ),
        KnownError(
            name="hours-divided",
            says="the hours were divided where they must be multiplied",
            hint="A time has more minutes than hours. Which way must you go?",
            formula=lambda card, earlier: earlier.time_h / 60,
        ),
        KnownError(
            name="seconds-for-minutes",
            says="this is the time in seconds",
            hint="The question asks for minutes.",
            formula=lambda card, earlier: 3600 * earlier.time_h,
        ),
    ),
)

grid_energy: Number = Number(
    name="grid_energy_kwh",
    title="Energy from the grid",
    marks=2,
    unit="kWh",
    units=WATT_HOURS,
    needs=("energy_needed_kwh",),
    # Over the same time, energies are to one another as powers are.
    key=lambda card, earlier: grid_power(earlier.energy_needed_kwh, _efficiency(card)),
    working=lambda card, earlier: (
        f"E grid = E / efficiency = {show(earlier.energy_needed_kwh)} kWh / {_efficiency(card):g} = "
        f"{show(grid_energy.key(card, earlier))} kWh"
    ),
    level=2,
    outcome=COST,
    hints=(
        "Think backwards: the energy in the battery is only a share of what comes from the grid.",
        "Efficiency = energy into the battery / energy from the grid.",
        "Begin with this relation and your energy from question 1. Then solve it for the energy from the grid.",
    ),
    sources=("on-board-charger-measurements", "charging-losses-article"),
    known_errors=(
        KnownError(
            name="efficiency-multiplied",
            says="it was multiplied by the efficiency",
            misconception="efficiency-multiplied",
            hint="The grid must give more than the battery gets. Which way must the efficiency go?",
            formula=lambda card, earlier: earlier.energy_needed_kwh * _efficiency(card),
        ),
        KnownError(
            name="loss-added",
            says="the loss was taken as a share of the energy in the battery and added",
            misconception="loss-added",
            hint="Efficiency is measured against the energy from the grid. Solve for that energy.",
            formula=lambda card, earlier: earlier.energy_needed_kwh * (2 - _efficiency(card)),
        ),
        KnownError(
            name="efficiency-forgotten",
            says="this is the energy that the battery needs",
            misconception="efficiency-forgotten",
            hint="The meter at the grid also counts what becomes heat.",
            formula=lambda card, earlier: earlier.energy_needed_kwh,
        ),
        KnownError(
            name="loss-for-energy",
            says="this is the loss alone",
            misconception="loss-for-output",
            hint="The question asks for all of the energy, that for the battery and the loss.",
            formula=lambda card, earlier: earlier.energy_needed_kwh * (1 / _efficiency(card) - 1),
        ),
        KnownError(
            name="percent-as-factor",
            says="the percentage was used as it stands",
            misconception="percent-as-factor",
            hint=PERCENT_TO_FRACTION,
            formula=lambda card, earlier: earlier.energy_needed_kwh / card.efficiency_percent,
            keeps=1,
        ),
    ),
)

cost: Number = Number(
    name="cost_units",
    title="Cost of the charge",
    marks=2,
    unit="price units",
    units=HUNDREDTHS,
    needs=("grid_energy_kwh",),
    key=lambda card, earlier: earlier.grid_energy_kwh * _price(card),
    working=lambda card, earlier: (
        f"cost = E grid · price = {show(earlier.grid_energy_kwh)} kWh × {card.price} hundredths / 100 = "
        f"{show(cost.key(card, earlier))} price units"
    ),
    level=2,
    outcome=COST,
    hints=(
        "The meter counts kilowatt-hours from the grid. Which number on the card belongs to one of them?",
        "Cost = energy from the grid · price of one kilowatt-hour. A price unit has a hundred hundredths.",
        "Begin with your energy from question 5 and the price on the card. Convert at the end.",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="hundredths-not-converted",
            says="the cost is in hundredths, the question asks for price units",
            misconception="minor-for-major-currency",
            hint="A hundred hundredths are one price unit. Convert the result.",
            formula=lambda card, earlier: earlier.grid_energy_kwh * card.price,
            keeps=1,
        ),
        KnownError(
            name="battery-energy-paid",
            says="only the energy in the battery was paid for",
            misconception="efficiency-forgotten",
            hint="The loss has to be paid for too. Where does the meter stand?",
            formula=lambda card, earlier: earlier.grid_energy_kwh * _efficiency(card) * _price(card),
        ),
        KnownError(
            name="power-for-energy",
            says="the power was multiplied by the price",
            misconception="power-for-energy",
            hint="The price is for a kilowatt-hour, not for a kilowatt. Use the energy.",
            formula=lambda card, earlier: card.station_power * _price(card),
        ),
    ),
)


def _stay_cost(card: Any, stay: float, dear: float, cheap: float) -> float:
    """Return the cost of a stay whose first hour has the dear price and the rest the cheap one."""
    cost, begin = 0.0, 0.0
    for end, price in Tariff(from_h=(0, 1), price=(dear, cheap)).blocks(0, stay):
        cost += card.station_power * (end - begin) * price
        begin = end
    return cost


def _cheap(card: Any) -> float:
    return _price(card) / 2


stay_cost: Number = Number(
    name="stay_cost_units",
    title="Cost of a short stay with cheap hours",
    marks=2,
    unit="price units",
    units=HUNDREDTHS,
    key=lambda card, earlier: _stay_cost(card, _stay(card), _price(card), _cheap(card)),
    working=lambda card, earlier: (
        f"t = {card.stay_hours} h + {card.stay_minutes} min / 60 min/h = {_stay(card):g} h, cost = P grid · (1 h · "
        f"price + rest · price / 2) = {card.station_power} kW × (1 h × {_price(card):g} + {_stay(card) - 1:g} h × "
        f"{_cheap(card):g}) = {show(stay_cost.key(card, earlier))} price units"
    ),
    level=3,
    outcome=COST,
    hints=(
        "Draw the stay as a line of time, and mark on it where the price changes.",
        "Cost = power from the grid · time · price, for each part of the stay on its own. Then add the parts.",
        "Begin with the minutes of your stay: which part of an hour are they? Then take the first hour off.",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="minutes-written-as-decimals",
            says="the minutes were written behind the decimal point",
            misconception="minutes-as-decimals",
            hint="An hour has 60 minutes, not a hundred. Which part of an hour are your minutes?",
            formula=lambda card, earlier: _stay_cost(
                card, card.stay_hours + card.stay_minutes / 100, _price(card), _cheap(card)
            ),
        ),
        KnownError(
            name="cheap-hours-left-out",
            says="the whole stay was paid at the full price",
            hint="After the first hour a kilowatt-hour costs less. Split the stay there.",
            formula=lambda card, earlier: _stay_cost(card, _stay(card), _price(card), _price(card)),
        ),
        KnownError(
            name="first-hour-cheap-too",
            says="the whole stay was paid at the cheap price",
            hint="When do the cheap hours begin? Split the stay there.",
            formula=lambda card, earlier: _stay_cost(card, _stay(card), _cheap(card), _cheap(card)),
        ),
        KnownError(
            name="prices-turned-round",
            says="the two prices have changed places",
            hint="Which of the two prices holds in the first hour, and which one later?",
            formula=lambda card, earlier: _stay_cost(card, _stay(card), _cheap(card), _price(card)),
        ),
        KnownError(
            name="battery-energy-paid",
            says="only the energy in the battery was paid for",
            misconception="efficiency-forgotten",
            hint="The loss has to be paid for too. Which power does the meter see?",
            formula=lambda card, earlier: _efficiency(card) * stay_cost.key(card, earlier),
        ),
        KnownError(
            name="hundredths-not-converted",
            says="the cost is in hundredths, the question asks for price units",
            misconception="minor-for-major-currency",
            hint="A hundred hundredths are one price unit. Convert the result.",
            formula=lambda card, earlier: 100 * stay_cost.key(card, earlier),
            keeps=1,
        ),
    ),
)

second_time: Number = Number(
    name="second_time_h",
    title="Charge time at the second station",
    marks=2,
    unit="h",
    units={"min": 1 / 60},
    needs=("energy_needed_kwh",),
    key=lambda card, earlier: charge_time(earlier.energy_needed_kwh, min(_limits(card)), _efficiency(card)),
    also=(lambda card, earlier: charge_time(earlier.grid_energy_kwh, min(_limits(card))),),
    working=lambda card, earlier: (
        f"t = E / (P grid · efficiency) = {show(earlier.energy_needed_kwh)} kWh / ({min(_limits(card))} kW × "
        f"{_efficiency(card):g}) = {show(second_time.key(card, earlier))} h"
    ),
    level=3,
    outcome=TIME,
    hints=(
        "Find the power that the weakest of the three allows. Then go on as at the first station.",
        "Time = energy / (power from the grid · efficiency).",
        "Begin with the smallest limit of the second station and the efficiency on your card.",
    ),
    sources=("charging-time-guide",),
    known_errors=(
        KnownError(
            name="largest-instead-of-smallest",
            says="the largest of the three powers was used",
            misconception="largest-instead-of-smallest",
            hint="Would the weakest of the three stand that power?",
            formula=lambda card, earlier: (
                earlier.energy_needed_kwh / (max(_limits(card)) * _efficiency(card))
            ),
        ),
        KnownError(
            name="mean-instead-of-smallest",
            says="the mean of the three powers was used",
            misconception="largest-instead-of-smallest",
            hint="A chain does not average. Would the weakest of the three stand that power?",
            formula=lambda card, earlier: (
                earlier.energy_needed_kwh * len(LINKS) / (sum(_limits(card)) * _efficiency(card))
            ),
        ),
        KnownError(
            name="middle-instead-of-smallest",
            says="the middle one of the three powers was used",
            hint="Go through the three powers once more. Which one is the smallest?",
            formula=lambda card, earlier: (
                earlier.energy_needed_kwh / (sorted(_limits(card))[1] * _efficiency(card))
            ),
        ),
        KnownError(
            name="efficiency-on-the-wrong-side",
            says="the energy was multiplied by the efficiency",
            misconception="efficiency-wrong-way-in-time",
            hint="With losses the charge takes longer. Which way must the efficiency go?",
            formula=lambda card, earlier: earlier.energy_needed_kwh * _efficiency(card) / min(_limits(card)),
        ),
        KnownError(
            name="efficiency-forgotten",
            says="the power from the grid was used, so the efficiency is missing",
            misconception="efficiency-forgotten",
            hint="The energy that you need must arrive in the battery. Which power arrives there?",
            formula=lambda card, earlier: earlier.energy_needed_kwh / min(_limits(card)),
        ),
        KnownError(
            name="first-station-again",
            says="this is the time at the first station",
            hint="The second station has another power. Which of its three limits counts?",
            formula=lambda card, earlier: (
                earlier.energy_needed_kwh / (card.station_power * _efficiency(card))
            ),
        ),
    ),
)


slows_down: Number = Number(
    name="slows_down_percent",
    title="Where the charge slows down",
    marks=2,
    unit="%",
    relative=0.001,
    key=lambda card, earlier: 100 - (100 - KNEE_PERCENT) * card.charger_kw / card.battery_kwh,
    working=lambda card, earlier: (
        f"the share {card.charger_kw} kW / {card.battery_kwh} kW = {show(card.charger_kw / card.battery_kwh)} is left "
        f"at 100 % − {show(card.charger_kw / card.battery_kwh)} × 20 % = {show(slows_down.key(card, earlier))} %"
    ),
    level=3,
    outcome=SLOWER,
    hints=(
        "Compare two powers: what the charger brings and what the battery accepts. When are they equal?",
        "The acceptance falls in a straight line over the last 20 percent points, from all to nothing.",
        "Begin with the power of this charger as a share of the full acceptance of your battery.",
    ),
    sources=("charging-simulator-battery",),
    known_errors=(
        KnownError(
            name="knee-for-slowing-down",
            says="this is where the acceptance begins to fall",
            hint="Does the battery accept less than the charger brings there already?",
            formula=lambda card, earlier: KNEE_PERCENT,
        ),
        KnownError(
            name="measured-from-the-knee",
            says="the share was counted from the beginning of the fall",
            hint="At the beginning of the fall the battery still accepts all. From which end does the share count?",
            formula=lambda card, earlier: (
                KNEE_PERCENT + (100 - KNEE_PERCENT) * card.charger_kw / card.battery_kwh
            ),
        ),
        KnownError(
            name="fall-over-the-whole-battery",
            says="the acceptance was taken to fall over the whole battery",
            hint="Over which part of the charge does the acceptance fall?",
            formula=lambda card, earlier: 100 - 100 * card.charger_kw / card.battery_kwh,
        ),
        KnownError(
            name="share-of-power-for-state",
            says="this is the power as a share of the acceptance",
            hint="The question asks for the state of charge at which this share of the acceptance is left.",
            formula=lambda card, earlier: 100 * card.charger_kw / card.battery_kwh,
        ),
    ),
)

slower_when_cold: Choice = Choice(
    name="slower_when_cold",
    title="Who charges slower on a winter day",
    marks=1,
    options=(NEITHER, SMALLER, BOTH),
    key=_slower_when_cold,
    working=lambda card, earlier: (
        f"at {card.cells_celsius} °C the batteries accept "
        f"{' and '.join(f'{show(accepted)} kW' for accepted in _accepted_when_cold(card))}, the charger brings "
        f"{card.charger_kw} kW: {_slower_when_cold(card, earlier)}"
    ),
    level=2,
    outcome=COLD,
    hints=(
        "Work out what each battery still accepts in the cold. Then look at what the charger brings.",
        "The accepted share goes in a straight line from nothing at 0 °C to everything at 15 °C.",
        "Begin with the temperature on your card as a share of 15 °C. Multiply each full acceptance by it.",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="cold-left-out",
            says="the batteries were taken as warm, or what they accept was not compared",
            hint="What does each battery accept at the temperature on your card? Is that enough for the charger?",
            formula=lambda card, earlier: NEITHER if _slower_when_cold(card, earlier) != NEITHER else None,
        ),
        KnownError(
            name="cold-always-slows",
            says="a battery that accepts less was taken to charge slower in any case",
            hint="The charger sets the power as long as the battery accepts more than it brings. Compare once more.",
            formula=lambda card, earlier: BOTH if _slower_when_cold(card, earlier) != BOTH else None,
        ),
    ),
)

way_to_charge: Choice = Choice(
    name="way_to_charge",
    title="AC or DC on a journey",
    marks=1,
    options=WAYS,
    key=_way_to_charge,
    working=lambda card, earlier: (
        f"the stop needs {card.stop_kwh} kWh / ({show(card.stop_minutes / 60)} h × {_efficiency(card):g}) = "
        f"{show(_stop_power(card))} kW; AC ends at {show(_ends_of_ac(card)[0])} kW with one phase and at "
        f"{show(_ends_of_ac(card)[1])} kW with three: {_way_to_charge(card, earlier)}"
    ),
    level=3,
    outcome=END_OF_AC,
    hints=(
        "Two things to find: the power that the stop needs, and the power at which each connection ends.",
        "Power from the grid = energy / (time · efficiency). The end is phases · voltage · highest current.",
        "Begin with the minutes on your card as hours. Then put energy, hours and efficiency together.",
    ),
    sources=("iec-62196-2-catalogue", COMMON_PRACTICE),
    known_errors=(
        KnownError(
            name="one-phase-for-three",
            says="the end of AC was worked out with a single phase only",
            misconception="one-phase-for-three",
            hint="How many lines can carry the highest current at the same time?",
            formula=lambda card, earlier: WAYS[2] if _way_to_charge(card, earlier) == WAYS[1] else None,
        ),
        KnownError(
            name="beyond-the-end-of-ac",
            says="this connection cannot bring the power that the stop needs",
            hint="Work out the power that the stop needs, from the grid. Is it below the end of this connection?",
            formula=lambda card, earlier: {WAYS[1]: WAYS[0], WAYS[2]: WAYS[1]}.get(
                _way_to_charge(card, earlier)
            ),
        ),
        KnownError(
            name="more-than-needed",
            says="a weaker connection is enough",
            hint="The question asks for the weakest one that will do. Work out where each of them ends.",
            formula=lambda card, earlier: WAYS[1] if _way_to_charge(card, earlier) == WAYS[0] else None,
        ),
    ),
)


def _trial(draw: Draw) -> tuple[float, ...]:
    return (
        draw.choose((12, 18, 27, 36, 45, 54)),
        draw.choose((2.3, 3.7, 7.4, 11, 22)),
        draw.choose((0.78, 0.82, 0.85, 0.9)),
    )


charge_time_function: Function = Function(
    name="charge_time_h",
    title="A function for the charge time",
    marks=3,
    unit="h",
    key=charge_time,
    inputs=_trial,
    working="return energy_kwh / (power_kw * efficiency)",
    level=3,
    outcome=TIME,
    hints=(
        "Try your function on your own card: it must give the same as your charge time above.",
        "Two steps in one line: first the power that reaches the battery, then the time.",
        "Begin with what goes into the brackets below the line. Use the three names, no numbers.",
    ),
    sources=("charging-time-guide",),
    known_errors=(
        KnownError(
            name="efficiency-forgotten",
            says="the efficiency is missing",
            misconception="efficiency-forgotten",
            hint="Your function gets the efficiency as its third input. Use it.",
            formula=lambda energy_kwh, power_kw, efficiency: energy_kwh / power_kw,
        ),
        KnownError(
            name="efficiency-on-the-wrong-side",
            says="the efficiency stands on the wrong side, so the loss makes the charge faster",
            misconception="efficiency-wrong-way-in-time",
            hint="A loss makes a charge longer. Where must the efficiency stand? Check your brackets too.",
            formula=lambda energy_kwh, power_kw, efficiency: energy_kwh / power_kw * efficiency,
        ),
        KnownError(
            name="loss-added",
            says="the lost share was added on top",
            misconception="loss-added",
            hint="The loss is a share of the power from the grid. First find the power that reaches the battery.",
            formula=lambda energy_kwh, power_kw, efficiency: energy_kwh / power_kw * (2 - efficiency),
        ),
        KnownError(
            name="time-upside-down",
            says="the power was divided by the energy",
            misconception="time-upside-down",
            hint="More energy must give a longer time. What belongs above the line?",
            formula=lambda energy_kwh, power_kw, efficiency: power_kw * efficiency / energy_kwh,
        ),
        KnownError(
            name="efficiency-as-percent",
            says="the efficiency was divided by 100",
            hint="The efficiency comes in as a fraction. Use it as it stands.",
            formula=lambda energy_kwh, power_kw, efficiency: energy_kwh / (power_kw * efficiency / 100),
            keeps=2,
        ),
        KnownError(
            name="minutes-for-hours",
            says="the function returns minutes, the question asks for hours",
            hint="Kilowatt-hours over kilowatts are hours already.",
            formula=lambda energy_kwh, power_kw, efficiency: 60 * energy_kwh / (power_kw * efficiency),
            keeps=2,
        ),
    ),
)

WORKSHEET = Worksheet(
    name="charge-time",
    version="2",
    title="Predict the charge time",
    lesson="09-predict-the-charge-time",
    entries=ENTRIES,
    possible=possible,
    questions=(
        energy_needed,
        power_into_battery,
        time_hours,
        time_minutes,
        grid_energy,
        cost,
        stay_cost,
        second_time,
        slows_down,
        slower_when_cold,
        way_to_charge,
        charge_time_function,
    ),
    features={"link that limits at the second station": _limiting_link},
)
