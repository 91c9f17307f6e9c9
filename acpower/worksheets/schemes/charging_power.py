"""Mark scheme of the worksheet ``charging-power``: from line voltage and current to the battery."""

from math import nan, sqrt
from typing import Any

from acpower.power import line_to_phase, single_phase_power, three_phase_current, three_phase_power
from acpower.worksheets.cards import Draw, Entry
from acpower.worksheets.scheme import Choice, Formula, Function, KnownError, Number, Worksheet, show
from acpower.worksheets.schemes.shared_errors import efficiency_errors

LINKS = ("supply", "station", "cable", "vehicle")

ENTRIES = (
    Entry("site", "Site", "", ("Mill Lane depot", "Harbour workshop", "Orchard school", "Canal boatyard")),
    Entry("line_voltage", "Line voltage, measured between two lines", "V", (388, 392, 396, 404, 408, 412)),
    Entry("supply_current", "Supply: rated current per phase", "A", (16, 20, 25, 32, 40)),
    Entry("station_current", "Station: highest current per phase", "A", (10, 16, 20, 25, 32)),
    Entry("cable_current", "Cable: rated current", "A", (13, 20, 32, 63)),
    Entry("vehicle_current", "Vehicle: on-board charger, current per phase", "A", (13, 16, 20, 24, 32)),
    Entry("power_factor", "Power factor of the charger", "", (0.88, 0.9, 0.92, 0.94, 0.95)),
    Entry("efficiency_percent", "Efficiency of the charger", "%", (84, 85, 86, 87, 88, 89)),
    Entry("busbar_power", "Power of the workshop's other load, three-phase", "kW", (9, 12, 14, 18, 21)),
)


def possible(card: Any) -> bool:
    """Refuse cards on which two links limit, or numbers meet by chance."""
    ratings = _ratings(card)
    keys = vars(WORKSHEET.keys(card))
    given = [value for value in card.values.values() if not isinstance(value, str)]
    worked_out = [keys[name] for name in keys if name not in ("charging_current_a", "limiting_link")]
    return (
        ratings.count(min(ratings)) == 1
        and sum(ratings) / len(ratings) not in ratings
        and all(abs(answer - number) > 0.005 * answer for answer in worked_out for number in given)
    )


def _ratings(card: Any) -> list[float]:
    return [getattr(card, f"{link}_current") for link in LINKS]


def _limit(card: Any, earlier: Any) -> float:
    return min(_ratings(card))


def _limiting_link(card: Any, earlier: Any) -> str:
    return LINKS[_ratings(card).index(min(_ratings(card)))]


def _efficiency(card: Any) -> float:
    return float(card.efficiency_percent / 100)


KILOWATT = {"W": 0.001}
DIVIDE_BY_1000 = "Divide by 1000 to get from watts to kilowatts."


def _power_factor_errors(apparent_power_kva: Formula) -> tuple[KnownError, ...]:
    """Return the known errors of power = apparent power · power factor, asked for in kilowatts.

    ``apparent_power_kva`` works the apparent power out from the card and earlier answers.
    """
    return (
        KnownError(
            name="power-factor-forgotten",
            says="the power factor is missing, so this is apparent power",
            hint="Volts times amperes gives VA. What makes it watts?",
            formula=apparent_power_kva,
        ),
        KnownError(
            name="power-factor-divided",
            says="it was divided by the power factor",
            hint="Real power is never more than apparent power. Which way must the power factor go?",
            formula=lambda card, earlier: apparent_power_kva(card, earlier) / card.power_factor,
        ),
        KnownError(
            name="watts-for-kilowatts",
            says="the value is in watts, the question asks for kilowatts",
            hint=DIVIDE_BY_1000,
            formula=lambda card, earlier: 1000 * apparent_power_kva(card, earlier) * card.power_factor,
            keeps=1,
        ),
    )


phase_voltage: Number = Number(
    name="phase_voltage_v",
    title="Voltage between line and neutral",
    marks=1,
    unit="V",
    key=lambda card, earlier: line_to_phase(card.line_voltage),
    working=lambda card, earlier: (
        f"U = line voltage / √3 = {card.line_voltage} V / √3 = {show(phase_voltage.key(card, earlier))} V"
    ),
    level=2,
    outcome="",
    hints=("Draw the three phases as a star. One line voltage spans two of its arms.", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="line-to-phase-multiplied",
            says="the line voltage was multiplied by √3",
            hint="Line to neutral is the smaller of the two voltages. Which way must √3 go?",
            formula=lambda card, earlier: card.line_voltage * sqrt(3),
        ),
        KnownError(
            name="line-to-phase-divided-by-3",
            says="the line voltage was divided by 3",
            hint="The phases are 120° apart, so their voltages do not simply add up to the line voltage.",
            formula=lambda card, earlier: card.line_voltage / 3,
        ),
        KnownError(
            name="line-to-phase-divided-by-2",
            says="the line voltage was halved",
            hint="Halving belongs to a split-phase supply. This one has three phases, 120° apart.",
            formula=lambda card, earlier: card.line_voltage / 2,
        ),
        KnownError(
            name="nominal-voltage",
            says="230 V is the nominal voltage, not the one at this site",
            hint="Start from the line voltage that was measured.",
            formula=lambda card, earlier: 230,
        ),
        KnownError(
            name="line-to-phase-divided-by-root-2",
            says="the line voltage was divided by √2",
            hint="√2 goes between peak and RMS. Which root belongs to three phases?",
            formula=lambda card, earlier: card.line_voltage / sqrt(2),
        ),
    ),
)

single_phase: Number = Number(
    name="single_phase_power_kw",
    title="Power of a single-phase vehicle",
    marks=2,
    unit="kW",
    units=KILOWATT,
    needs=("phase_voltage_v",),
    key=lambda card, earlier: (
        single_phase_power(earlier.phase_voltage_v, card.vehicle_current, card.power_factor) / 1000
    ),
    working=lambda card, earlier: (
        f"P = U · I · power factor = {show(earlier.phase_voltage_v)} V × {card.vehicle_current} A × "
        f"{card.power_factor} = {show(single_phase.key(card, earlier) * 1000)} W = "
        f"{show(single_phase.key(card, earlier))} kW"
    ),
    level=2,
    outcome="",
    hints=("Write down U, I and power factor with their units first, then multiply.", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="line-voltage-on-one-phase",
            says="the line voltage or √3 was used for a load between line and neutral",
            hint="Which two conductors feed a single-phase vehicle? Take the voltage between those.",
            formula=lambda card, earlier: card.line_voltage * card.vehicle_current * card.power_factor / 1000,
        ),
        KnownError(
            name="three-phases-for-one",
            says="three phases were counted, but this vehicle uses one",
            hint="How many lines carry current to a single-phase vehicle?",
            formula=lambda card, earlier: (
                3 * earlier.phase_voltage_v * card.vehicle_current * card.power_factor / 1000
            ),
        ),
        KnownError(
            name="sine-for-cosine",
            says="sin φ was used where cos φ belongs, so this is reactive power",
            hint="The power factor on the card is cos φ itself. Use it as it stands.",
            formula=lambda card, earlier: (
                earlier.phase_voltage_v * card.vehicle_current * sqrt(1 - card.power_factor**2) / 1000
            ),
        ),
        *_power_factor_errors(lambda card, earlier: earlier.phase_voltage_v * card.vehicle_current / 1000),
    ),
)


def _three_phase_errors(current: Any) -> tuple[KnownError, ...]:
    """Return the known errors of √3·U·I·pf; ``current`` picks the current from card and earlier answers."""

    def apparent(card: Any, earlier: Any) -> float:
        return float(card.line_voltage * current(card, earlier) / 1000)

    return (
        KnownError(
            name="root-3-missing",
            says="√3 is missing, or √3 was used together with the phase voltage",
            hint="With the line voltage, three phases need √3. With the phase voltage they need 3.",
            formula=lambda card, earlier: apparent(card, earlier) * card.power_factor,
        ),
        KnownError(
            name="3-with-line-voltage",
            says="3 was used together with the line voltage",
            hint="With the line voltage, three phases need √3. With the phase voltage they need 3.",
            formula=lambda card, earlier: 3 * apparent(card, earlier) * card.power_factor,
        ),
        KnownError(
            name="one-phase-only",
            says="only one phase was counted",
            hint="Three phases carry the current. How much does each of them bring?",
            formula=lambda card, earlier: apparent(card, earlier) / sqrt(3) * card.power_factor,
        ),
        KnownError(
            name="nominal-voltage",
            says="400 V is the nominal voltage, not the one at this site",
            hint="Use the line voltage that was measured.",
            formula=lambda card, earlier: sqrt(3) * 400 * current(card, earlier) * card.power_factor / 1000,
        ),
        KnownError(
            name="root-2-for-root-3",
            says="√2 was used where √3 belongs",
            hint="√2 goes between peak and RMS. Which root belongs to three phases?",
            formula=lambda card, earlier: sqrt(2) * apparent(card, earlier) * card.power_factor,
        ),
        *_power_factor_errors(lambda card, earlier: sqrt(3) * apparent(card, earlier)),
    )


three_phase: Number = Number(
    name="three_phase_power_kw",
    title="Power of a three-phase vehicle",
    marks=2,
    unit="kW",
    units=KILOWATT,
    also=(
        lambda card, earlier: (
            3 * single_phase_power(earlier.phase_voltage_v, card.vehicle_current, card.power_factor) / 1000
        ),
    ),
    key=lambda card, earlier: (
        three_phase_power(card.line_voltage, card.vehicle_current, card.power_factor) / 1000
    ),
    working=lambda card, earlier: (
        f"P = √3 · U_L · I · power factor = √3 × {card.line_voltage} V × {card.vehicle_current} A × "
        f"{card.power_factor} = {show(three_phase.key(card, earlier) * 1000)} W = "
        f"{show(three_phase.key(card, earlier))} kW"
    ),
    level=2,
    outcome="",
    hints=(
        "Decide first which voltage you use, line or phase. That settles whether √3 or 3 goes with it.",
        "",
        "",
    ),
    sources=(),
    known_errors=_three_phase_errors(lambda card, earlier: card.vehicle_current),
)

line_current: Number = Number(
    name="line_current_a",
    title="Line current of the other load",
    marks=2,
    unit="A",
    also=(
        lambda card, earlier: card.busbar_power * 1000 / (3 * earlier.phase_voltage_v * card.power_factor),
    ),
    key=lambda card, earlier: three_phase_current(
        card.busbar_power * 1000, card.line_voltage, card.power_factor
    ),
    working=lambda card, earlier: (
        f"I = P / (√3 · U_L · power factor) = {card.busbar_power} kW × 1000 / (√3 × {card.line_voltage} V × "
        f"{card.power_factor}) = {show(line_current.key(card, earlier))} A"
    ),
    level=2,
    outcome="",
    hints=("Start from P = √3 · U · I · power factor and solve it for I. Put P in watts.", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="root-3-missing",
            says="√3 is missing, or √3 was used together with the phase voltage",
            hint="With the line voltage, three phases need √3 below the line. With the phase voltage they need 3.",
            formula=lambda card, earlier: card.busbar_power * 1000 / (card.line_voltage * card.power_factor),
        ),
        KnownError(
            name="all-power-in-one-phase",
            says="all the power was put into one phase",
            hint="Three phases share this power equally. Put that into the formula.",
            formula=lambda card, earlier: (
                card.busbar_power * 1000 * sqrt(3) / (card.line_voltage * card.power_factor)
            ),
        ),
        KnownError(
            name="power-factor-forgotten",
            says="the power factor is missing",
            hint="A load with a power factor below 1 needs more current for the same power.",
            formula=lambda card, earlier: card.busbar_power * 1000 / (sqrt(3) * card.line_voltage),
        ),
        KnownError(
            name="power-factor-multiplied",
            says="the power factor stands above the line where it belongs below",
            hint="A load with a power factor below 1 needs more current, not less.",
            formula=lambda card, earlier: (
                card.busbar_power * 1000 * card.power_factor / (sqrt(3) * card.line_voltage)
            ),
        ),
        KnownError(
            name="kilowatts-for-watts",
            says="the power went in as kilowatts where watts belong",
            hint="Volts times amperes gives watts. Multiply the kilowatts by 1000 first.",
            formula=lambda card, earlier: line_current.key(card, earlier) / 1000,
            keeps=1,
        ),
    ),
)

charging_current: Number = Number(
    name="charging_current_a",
    title="Current that the whole chain allows",
    marks=1,
    unit="A",
    figures=2,
    key=_limit,
    working=lambda card, earlier: (
        "The smallest of "
        + ", ".join(f"{link} {getattr(card, f'{link}_current')} A" for link in LINKS)
        + f" is {_limit(card, earlier)} A"
    ),
    level=2,
    outcome="",
    hints=("Every link of the chain carries the same current. Which of them gives in first?", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="largest-instead-of-smallest",
            says="the largest rating was taken",
            hint="Would the weakest link stand that current?",
            formula=lambda card, earlier: max(_ratings(card)),
        ),
        KnownError(
            name="mean-instead-of-smallest",
            says="the mean of the ratings was taken",
            hint="A chain does not average. Would the weakest link stand that current?",
            formula=lambda card, earlier: sum(_ratings(card)) / len(LINKS),
        ),
        KnownError(
            name="ratings-added",
            says="the ratings were added",
            hint="The links stand one behind the other, so the same current flows through all of them.",
            formula=lambda card, earlier: sum(_ratings(card)),
        ),
        KnownError(
            name="second-smallest",
            says="the second smallest rating was taken",
            hint="Go through all four ratings once more.",
            formula=lambda card, earlier: (
                sorted(_ratings(card))[1] if sorted(_ratings(card))[1] < max(_ratings(card)) else nan
            ),
        ),
        KnownError(
            name="vehicle-rating-only",
            says="only the vehicle's rating was looked at",
            hint="Look at every link before the vehicle too.",
            formula=lambda card, earlier: (
                card.vehicle_current
                if sorted(_ratings(card))[1] < card.vehicle_current < max(_ratings(card))
                else nan
            ),
        ),
    ),
)

limiting_link = Choice(
    name="limiting_link",
    title="Link that limits the charge",
    marks=1,
    options=LINKS,
    key=_limiting_link,
    working=lambda card, earlier: f"The {_limiting_link(card, earlier)} has the smallest rating of the chain",
    level=2,
    outcome="",
    hints=("Compare the four ratings on the card. Which one is the smallest?", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="largest-instead-of-smallest",
            says="this is the strongest link",
            hint="The strongest link never limits. Which one gives in first?",
            formula=lambda card, earlier: LINKS[_ratings(card).index(max(_ratings(card)))],
        ),
    ),
)

grid_power: Number = Number(
    name="grid_power_kw",
    title="Power from the grid at that current",
    marks=2,
    unit="kW",
    units=KILOWATT,
    needs=("charging_current_a",),
    also=(
        lambda card, earlier: (
            3
            * single_phase_power(earlier.phase_voltage_v, earlier.charging_current_a, card.power_factor)
            / 1000
        ),
    ),
    key=lambda card, earlier: (
        three_phase_power(card.line_voltage, earlier.charging_current_a, card.power_factor) / 1000
    ),
    working=lambda card, earlier: (
        f"P = √3 · U_L · I · power factor = √3 × {card.line_voltage} V × {show(earlier.charging_current_a)} A × "
        f"{card.power_factor} = {show(grid_power.key(card, earlier))} kW"
    ),
    level=2,
    outcome="",
    hints=("Use the current that the chain allows, on all three phases.", "", ""),
    sources=(),
    known_errors=(
        *_three_phase_errors(lambda card, earlier: earlier.charging_current_a),
        KnownError(
            name="vehicle-current-used",
            says="the vehicle's own current was used, though another link limits",
            hint="Use the current of question 5.",
            formula=lambda card, earlier: (
                three_phase.key(card, earlier) if _limiting_link(card, earlier) != "vehicle" else nan
            ),
        ),
    ),
)

battery_power: Number = Number(
    name="battery_power_kw",
    title="Power that reaches the battery",
    marks=2,
    unit="kW",
    units=KILOWATT,
    needs=("grid_power_kw",),
    key=lambda card, earlier: earlier.grid_power_kw * _efficiency(card),
    working=lambda card, earlier: (
        f"P battery = P grid · efficiency = {show(earlier.grid_power_kw)} kW × {_efficiency(card):g} = "
        f"{show(battery_power.key(card, earlier))} kW"
    ),
    level=2,
    outcome="",
    hints=("The charger turns part of the power into heat. Which side of it is the battery on?", "", ""),
    sources=(),
    known_errors=efficiency_errors(lambda card, earlier: earlier.grid_power_kw),
)

loss_power: Number = Number(
    name="loss_power_kw",
    title="Power that becomes heat in the charger",
    marks=1,
    unit="kW",
    units=KILOWATT,
    needs=("grid_power_kw", "battery_power_kw"),
    key=lambda card, earlier: earlier.grid_power_kw - earlier.battery_power_kw,
    also=(lambda card, earlier: earlier.grid_power_kw * (1 - _efficiency(card)),),
    working=lambda card, earlier: (
        f"P loss = P grid − P battery = {show(earlier.grid_power_kw)} kW − {show(earlier.battery_power_kw)} kW = "
        f"{show(loss_power.key(card, earlier))} kW"
    ),
    level=2,
    outcome="",
    hints=("What goes in either reaches the battery or becomes heat.", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="output-for-loss",
            says="this is the power that reaches the battery, not the loss",
            hint="The question asks for the rest, the part that warms the charger.",
            formula=lambda card, earlier: earlier.battery_power_kw,
        ),
        KnownError(
            name="loss-turned-round",
            says="the grid power was taken from the battery power",
            hint="If more comes out of a charger than goes in, look at the step before this one.",
            formula=lambda card, earlier: earlier.battery_power_kw - earlier.grid_power_kw,
        ),
        KnownError(
            name="loss-from-battery-power",
            says="the loss percentage was taken from the battery power",
            hint="Efficiency is measured against the power from the grid. Take the loss from the same side.",
            formula=lambda card, earlier: earlier.battery_power_kw * (1 - _efficiency(card)),
        ),
    ),
)


def _trial(draw: Draw) -> tuple[float, ...]:
    return (
        draw.choose((208, 380, 400, 415, 480)),
        draw.choose((6, 10, 13, 16, 20, 25, 32, 63)),
        draw.choose((0.86, 0.9, 0.93, 0.95)),
    )


charging_power = Function(
    name="charging_power_kw",
    title="A function for three-phase charging power",
    marks=3,
    unit="kW",
    key=lambda line_voltage, current, power_factor: (
        three_phase_power(line_voltage, current, power_factor) / 1000
    ),
    inputs=_trial,
    working="return sqrt(3) * line_voltage * current * power_factor / 1000",
    level=2,
    outcome="",
    hints=(
        "Try your function on numbers that you can follow: 400 V, 10 A and power factor 1 give 6.93 kW.",
        "",
        "",
    ),
    sources=(),
    known_errors=(
        KnownError(
            name="root-3-missing",
            says="√3 is missing",
            hint="With the line voltage, three phases need √3.",
            formula=lambda line_voltage, current, power_factor: line_voltage * current * power_factor / 1000,
        ),
        KnownError(
            name="3-with-line-voltage",
            says="3 was used together with the line voltage",
            hint="With the line voltage, three phases need √3. With the phase voltage they need 3.",
            formula=lambda line_voltage, current, power_factor: (
                3 * line_voltage * current * power_factor / 1000
            ),
        ),
        KnownError(
            name="power-factor-forgotten",
            says="the power factor is missing, so this is apparent power",
            hint="Your function gets the power factor as its third input. Use it.",
            formula=lambda line_voltage, current, power_factor: sqrt(3) * line_voltage * current / 1000,
        ),
        KnownError(
            name="watts-for-kilowatts",
            says="the function returns watts, the question asks for kilowatts",
            hint=DIVIDE_BY_1000,
            formula=lambda line_voltage, current, power_factor: three_phase_power(
                line_voltage, current, power_factor
            ),
            keeps=2,
        ),
    ),
)

WORKSHEET = Worksheet(
    name="charging-power",
    version="1",
    title="Work out charging power",
    lesson="06-work-out-charging-power",
    entries=ENTRIES,
    possible=possible,
    questions=(
        phase_voltage,
        single_phase,
        three_phase,
        line_current,
        charging_current,
        limiting_link,
        grid_power,
        battery_power,
        loss_power,
        charging_power,
    ),
)
