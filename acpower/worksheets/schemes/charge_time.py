"""Mark scheme of the worksheet ``charge-time``: from the battery's need to hours, energy and cost."""

from itertools import pairwise
from math import floor
from typing import Any

from acpower.battery import charge_time
from acpower.charger import battery_power, grid_power
from acpower.worksheets.cards import Draw, Entry
from acpower.worksheets.scheme import Choice, Function, KnownError, Number, Worksheet, show
from acpower.worksheets.schemes.shared_errors import efficiency_errors

LINKS = ("supply", "station", "vehicle")

ENTRIES = (
    Entry("site", "Site", "", ("Bridge Street depot", "Windmill farm", "Station hotel", "Market car park")),
    Entry("battery_kwh", "Battery: usable capacity", "kWh", (28, 34, 42, 53, 58, 63, 94, 98)),
    Entry("start_percent", "State of charge at the start", "%", (12, 14, 16, 18, 22)),
    Entry("target_percent", "State of charge to reach", "%", (76, 78, 82, 84, 86, 88)),
    Entry("station_power", "First station: power from the grid", "kW", (3.4, 3.6, 4.4, 4.6, 5.8, 6.6, 7.2)),
    Entry("efficiency_percent", "Efficiency of the charge, grid to battery", "%", (84, 85, 86, 87, 88, 89)),
    Entry("price", "Price of one kilowatt-hour", "hundredths", (23, 26, 27, 31, 34, 38)),
    Entry("stay_hours", "Short stay: full hours", "h", (2, 3)),
    Entry("stay_minutes", "Short stay: minutes on top", "min", (18, 24, 36, 42, 48)),
    Entry("supply_limit", "Second station: the supply has left for it", "kW", (10.6, 12.8, 15.2, 18.4)),
    Entry("station_limit", "Second station: the station itself can give", "kW", (10.4, 13.6, 16.8, 21.6)),
    Entry("vehicle_limit", "Second station: the vehicle can take", "kW", (10.2, 12.2, 14.4, 19.6)),
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
    given = [value for value in card.values.values() if not isinstance(value, str)]
    answers = [key for key in vars(keys).values() if not isinstance(key, str)]
    return (
        4 < keys.time_h < 12
        and card.start_percent + card.target_percent != 100
        and abs(card.battery_kwh - 100 * _rise(card)) > 1
        and 0.25 < part_of_an_hour < 0.9
        and all(higher / lower > 1.015 for lower, higher in pairwise(sorted(powers)))
        and all(abs(answer - number) > 0.005 * answer for answer in answers for number in given)
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


def _limiting_link(card: Any, earlier: Any) -> str:
    return LINKS[_limits(card).index(min(_limits(card)))]


WATT_HOURS = {"Wh": 0.001}
PERCENT_TO_FRACTION = "Per cent means of every hundred. Turn the percentage into a fraction first."

energy_needed: Number = Number(
    name="energy_needed_kwh",
    title="Energy that the battery needs",
    marks=2,
    unit="kWh",
    units=WATT_HOURS,
    key=lambda card, earlier: card.battery_kwh * _rise(card),
    working=lambda card, earlier: (
        f"E = capacity · rise = {card.battery_kwh} kWh × ({card.target_percent} % − {card.start_percent} %) = "
        f"{card.battery_kwh} kWh × {_rise(card):g} = {show(energy_needed.key(card, earlier))} kWh"
    ),
    level=2,
    outcome="",
    hints=("How far does the state of charge rise? Take that share of the whole battery.", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="target-for-rise",
            says="the state of charge to reach was taken for the rise",
            hint="The battery is not empty at the start. How much is in it already?",
            formula=lambda card, earlier: card.battery_kwh * card.target_percent / 100,
        ),
        KnownError(
            name="start-for-rise",
            says="this is the energy that is in the battery at the start",
            hint="The question asks for what has to be added to it.",
            formula=lambda card, earlier: card.battery_kwh * card.start_percent / 100,
        ),
        KnownError(
            name="remainder-for-rise",
            says="this is the part of the battery that the charge does not fill",
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
            hint="A percentage is a share of something. Of how many kilowatt-hours is it a share here?",
            formula=lambda card, earlier: 100 * _rise(card),
        ),
        KnownError(
            name="percent-as-factor",
            says="the percentage was used as a factor",
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
    outcome="",
    hints=("Part of the power becomes heat on the way. Which side of the loss is the battery on?", "", ""),
    sources=(),
    known_errors=efficiency_errors(lambda card, earlier: card.station_power),
)

time_hours: Number = Number(
    name="time_h",
    title="Charge time in hours",
    marks=2,
    unit="h",
    needs=("energy_needed_kwh", "battery_power_kw"),
    key=lambda card, earlier: charge_time(earlier.energy_needed_kwh, earlier.battery_power_kw),
    working=lambda card, earlier: (
        f"t = E / P battery = {show(earlier.energy_needed_kwh)} kWh / {show(earlier.battery_power_kw)} kW = "
        f"{show(time_hours.key(card, earlier))} h"
    ),
    level=2,
    outcome="",
    hints=(
        "One kilowatt brings one kilowatt-hour in one hour. How many hours does your energy take?",
        "",
        "",
    ),
    sources=(),
    known_errors=(
        KnownError(
            name="efficiency-forgotten",
            says="the power from the grid was used, so the efficiency is missing",
            hint="The energy that you need must arrive in the battery. Which power arrives there?",
            formula=lambda card, earlier: earlier.energy_needed_kwh / card.station_power,
        ),
        KnownError(
            name="efficiency-on-the-wrong-side",
            says="the efficiency stands on the wrong side, so the loss makes the charge faster",
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
            hint="The loss is a share of what comes from the grid. Divide by the power that reaches the battery.",
            formula=lambda card, earlier: (
                earlier.energy_needed_kwh * (2 - _efficiency(card)) / card.station_power
            ),
        ),
        KnownError(
            name="time-upside-down",
            says="the power was divided by the energy",
            hint="More energy must give a longer time. What belongs above the line?",
            formula=lambda card, earlier: earlier.battery_power_kw / earlier.energy_needed_kwh,
        ),
        KnownError(
            name="energy-times-power",
            says="energy and power were multiplied",
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
    level=2,
    outcome="",
    hints=("Turn the whole time into minutes, the part behind the decimal point too.", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="decimals-read-as-minutes",
            says="the figures behind the decimal point were read as minutes",
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
    outcome="",
    hints=("Think backwards: the energy in the battery is only a share of what comes from the grid.", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="efficiency-multiplied",
            says="it was multiplied by the efficiency",
            hint="The grid must give more than the battery gets. Which way must the efficiency go?",
            formula=lambda card, earlier: earlier.energy_needed_kwh * _efficiency(card),
        ),
        KnownError(
            name="loss-added",
            says="the loss was taken as a share of the energy in the battery and added",
            hint="Efficiency is measured against the energy from the grid. Solve for that energy.",
            formula=lambda card, earlier: earlier.energy_needed_kwh * (2 - _efficiency(card)),
        ),
        KnownError(
            name="efficiency-forgotten",
            says="this is the energy that the battery needs",
            hint="The meter at the grid also counts what becomes heat.",
            formula=lambda card, earlier: earlier.energy_needed_kwh,
        ),
        KnownError(
            name="loss-for-energy",
            says="this is the loss alone",
            hint="The question asks for all of the energy, that for the battery and the loss.",
            formula=lambda card, earlier: earlier.energy_needed_kwh * (1 / _efficiency(card) - 1),
        ),
        KnownError(
            name="percent-as-factor",
            says="the percentage was used as it stands",
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
    units={"hundredths": 0.01, "cents": 0.01, "pence": 0.01},
    needs=("grid_energy_kwh",),
    key=lambda card, earlier: earlier.grid_energy_kwh * _price(card),
    working=lambda card, earlier: (
        f"cost = E grid · price = {show(earlier.grid_energy_kwh)} kWh × {card.price} hundredths / 100 = "
        f"{show(cost.key(card, earlier))} price units"
    ),
    level=2,
    outcome="",
    hints=("The meter counts kilowatt-hours from the grid. Multiply them by the price of one.", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="hundredths-not-converted",
            says="the cost is in hundredths, the question asks for whole price units",
            hint="A hundred hundredths are one price unit. Convert the result.",
            formula=lambda card, earlier: earlier.grid_energy_kwh * card.price,
            keeps=1,
        ),
        KnownError(
            name="battery-energy-paid",
            says="only the energy in the battery was paid for",
            hint="The loss has to be paid for too. Where does the meter stand?",
            formula=lambda card, earlier: earlier.grid_energy_kwh * _efficiency(card) * _price(card),
        ),
        KnownError(
            name="power-for-energy",
            says="the power was multiplied by the price",
            hint="The price is for a kilowatt-hour, not for a kilowatt. Use the energy.",
            formula=lambda card, earlier: card.station_power * _price(card),
        ),
    ),
)

stay_energy: Number = Number(
    name="stay_energy_kwh",
    title="Energy in a short stay",
    marks=2,
    unit="kWh",
    units=WATT_HOURS,
    needs=("battery_power_kw",),
    key=lambda card, earlier: earlier.battery_power_kw * _stay(card),
    working=lambda card, earlier: (
        f"t = {card.stay_hours} h + {card.stay_minutes} min / 60 min/h = {_stay(card):g} h, "
        f"E = P battery · t = {show(earlier.battery_power_kw)} kW × {_stay(card):g} h = "
        f"{show(stay_energy.key(card, earlier))} kWh"
    ),
    level=2,
    outcome="",
    hints=(
        "Write the stay in decimal hours first. Then multiply it by the power that reaches the battery.",
        "",
        "",
    ),
    sources=(),
    known_errors=(
        KnownError(
            name="minutes-written-as-decimals",
            says="the minutes were written behind the decimal point",
            hint="An hour has 60 minutes, not a hundred. Which part of an hour are your minutes?",
            formula=lambda card, earlier: (
                earlier.battery_power_kw * (card.stay_hours + card.stay_minutes / 100)
            ),
        ),
        KnownError(
            name="minutes-dropped",
            says="only the full hours were counted",
            hint="The charge goes on after the last full hour. Add the minutes as part of an hour.",
            formula=lambda card, earlier: earlier.battery_power_kw * card.stay_hours,
        ),
        KnownError(
            name="time-in-minutes",
            says="the power was multiplied by minutes",
            hint="A kilowatt-hour is a kilowatt for one hour. Write the time in hours.",
            formula=lambda card, earlier: earlier.battery_power_kw * 60 * _stay(card),
        ),
        KnownError(
            name="power-for-energy",
            says="this is the power itself",
            hint="How long does this power flow? The question asks for energy.",
            formula=lambda card, earlier: earlier.battery_power_kw,
        ),
        KnownError(
            name="power-over-time",
            says="the power was divided by the time",
            hint="A longer stay must bring more energy. Which way must the time go?",
            formula=lambda card, earlier: earlier.battery_power_kw / _stay(card),
        ),
        KnownError(
            name="efficiency-forgotten",
            says="the power from the grid was used, so the efficiency is missing",
            hint="Which power arrives in the battery? You have worked it out above.",
            formula=lambda card, earlier: card.station_power * _stay(card),
        ),
    ),
)

limiting_link: Choice = Choice(
    name="limiting_link",
    title="What sets the power at the second station",
    marks=1,
    options=LINKS,
    key=_limiting_link,
    working=lambda card, earlier: (
        f"Of {', '.join(f'{link} {limit} kW' for link, limit in zip(LINKS, _limits(card), strict=True))} "
        f"the {_limiting_link(card, earlier)} has the smallest"
    ),
    level=2,
    outcome="",
    hints=("Compare the three powers on your card. Which of them cannot be exceeded?", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="largest-instead-of-smallest",
            says="this is the strongest link",
            hint="The strongest link never limits. Which one gives in first?",
            formula=lambda card, earlier: LINKS[_limits(card).index(max(_limits(card)))],
        ),
    ),
)

second_time: Number = Number(
    name="second_time_h",
    title="Charge time at the second station",
    marks=2,
    unit="h",
    needs=("energy_needed_kwh",),
    key=lambda card, earlier: charge_time(earlier.energy_needed_kwh, min(_limits(card)), _efficiency(card)),
    also=(
        lambda card, earlier: charge_time(earlier.grid_energy_kwh, min(_limits(card))),
        lambda card, earlier: charge_time(
            earlier.energy_needed_kwh, getattr(card, f"{earlier.limiting_link}_limit"), _efficiency(card)
        ),
    ),
    working=lambda card, earlier: (
        f"t = E / (P grid · efficiency) = {show(earlier.energy_needed_kwh)} kWh / ({min(_limits(card))} kW × "
        f"{_efficiency(card):g}) = {show(second_time.key(card, earlier))} h"
    ),
    level=2,
    outcome="",
    hints=(
        "Find the power that the weakest of the three allows. Then go on as at the first station.",
        "",
        "",
    ),
    sources=(),
    known_errors=(
        KnownError(
            name="largest-instead-of-smallest",
            says="the largest of the three powers was used",
            hint="Would the weakest of the three stand that power?",
            formula=lambda card, earlier: (
                earlier.energy_needed_kwh / (max(_limits(card)) * _efficiency(card))
            ),
        ),
        KnownError(
            name="mean-instead-of-smallest",
            says="the mean of the three powers was used",
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
            hint="With losses the charge takes longer. Which way must the efficiency go?",
            formula=lambda card, earlier: earlier.energy_needed_kwh * _efficiency(card) / min(_limits(card)),
        ),
        KnownError(
            name="efficiency-forgotten",
            says="the power from the grid was used, so the efficiency is missing",
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
    level=2,
    outcome="",
    hints=("Try your function on your own card: it must give the same as your charge time above.", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="efficiency-forgotten",
            says="the efficiency is missing",
            hint="Your function gets the efficiency as its third input. Use it.",
            formula=lambda energy_kwh, power_kw, efficiency: energy_kwh / power_kw,
        ),
        KnownError(
            name="efficiency-on-the-wrong-side",
            says="the efficiency stands on the wrong side, so the loss makes the charge faster",
            hint="A loss makes a charge longer. Where must the efficiency stand? Check your brackets too.",
            formula=lambda energy_kwh, power_kw, efficiency: energy_kwh / power_kw * efficiency,
        ),
        KnownError(
            name="loss-added",
            says="the lost share was added on top",
            hint="The loss is a share of the power from the grid. First find the power that reaches the battery.",
            formula=lambda energy_kwh, power_kw, efficiency: energy_kwh / power_kw * (2 - efficiency),
        ),
        KnownError(
            name="time-upside-down",
            says="the power was divided by the energy",
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
    version="1",
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
        stay_energy,
        limiting_link,
        second_time,
        charge_time_function,
    ),
)
