"""Mark scheme of the worksheet ``charging-power``: from line voltage and current to the battery."""

from cmath import rect
from functools import cache
from math import nan, pi, sqrt
from typing import Any

from acpower.feeder import feeder_end
from acpower.power import (
    line_to_phase,
    neutral_current,
    single_phase_power,
    three_phase_current,
    three_phase_power,
)
from acpower.worksheets.cards import Draw, Entry
from acpower.worksheets.scheme import (
    COMMON_PRACTICE,
    Choice,
    Formula,
    Function,
    KnownError,
    Number,
    Worksheet,
    show,
)
from acpower.worksheets.schemes.shared_checks import numbers_stand_apart
from acpower.worksheets.schemes.shared_errors import efficiency_errors

LINKS = ("supply", "station", "cable", "vehicle")
PHASES = ("L1", "L2", "L3")
# Which chargers stand at the far end of the feeder, by what the card says.
CHARGERS = {
    "one on L1": (1, 0, 0),
    "one on L2": (0, 1, 0),
    "one on L3": (0, 0, 1),
    "three equal ones, one on each line": (1, 1, 1),
}
RISES, ONE_WIRE, TWO_WIRES = "rises", "falls by one wire", "falls by two wires"

# Readings of a 400 V supply that are clearly not 400 V itself.
LINE_VOLTAGES = (*range(385, 394), *range(405, 415))

ENTRIES = (
    Entry("site", "Site", "", ("Mill Lane depot", "Harbour workshop", "Orchard school", "Canal boatyard")),
    Entry("line_voltage", "Line voltage, measured between two lines", "V", LINE_VOLTAGES),
    Entry("supply_current", "Supply: rated current per phase", "A", (10, 16, 20, 25, 32)),
    Entry("station_current", "Station: highest current per phase", "A", (10, 16, 20, 25, 32)),
    Entry("cable_current", "Cable: rated current", "A", (13, 20, 32)),
    Entry("vehicle_current", "Vehicle: on-board charger, current per phase", "A", (13, 16, 20, 24, 32)),
    Entry("power_factor", "Power factor of the charger", "", (0.88, 0.9, 0.92, 0.94, 0.95)),
    Entry("efficiency_percent", "Efficiency of the charger", "%", (84, 85, 86, 87, 88, 89)),
    Entry("busbar_power", "Power of the workshop's other load, three-phase", "kW", (9, 12, 14, 18, 21)),
    Entry("chargers", "Long feeder: chargers at its far end", "", tuple(CHARGERS)),
    Entry("phase_in_question", "Long feeder: phase in question", "", PHASES),
)


def possible(card: Any) -> bool:
    """Refuse cards on which two links limit, numbers meet by chance, or errors cannot be told apart."""
    ratings = _ratings(card)
    return (
        ratings.count(min(ratings)) == 1
        and sum(ratings) / len(ratings) not in ratings
        and numbers_stand_apart(WORKSHEET, card, chosen=("charging_current_a", "neutral_current_a"))
    )


def _ratings(card: Any) -> list[float]:
    return [getattr(card, f"{link}_current") for link in LINKS]


def _limit(card: Any, earlier: Any) -> float:
    return min(_ratings(card))


def _limiting_link(card: Any, earlier: Any) -> str:
    return LINKS[_ratings(card).index(min(_ratings(card)))]


def _efficiency(card: Any) -> float:
    return float(card.efficiency_percent / 100)


def _far_end_voltage(card: Any, earlier: Any) -> str:
    return _voltages_at_the_far_end(card.chargers)[PHASES.index(card.phase_in_question)]


@cache
def _voltages_at_the_far_end(chargers: str) -> tuple[str, ...]:
    """Say for each phase what chargers of 16 A do to it behind four wires of 0.2 ohm each."""
    source, power, wire = 230.0, 230.0 * 16, 0.2
    end = feeder_end(source, [power * count for count in CHARGERS[chargers]], wire, wire)
    falls = (source - abs(end.phase_voltages)).tolist()
    drops = (wire * abs(end.line_currents)).tolist()
    return tuple(
        RISES if fall < 0 else TWO_WIRES if fall > 1.5 * drop else ONE_WIRE
        for fall, drop in zip(falls, drops, strict=True)
    )


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
            misconception="power-factor-forgotten",
        ),
        KnownError(
            name="power-factor-divided",
            says="it was divided by the power factor",
            hint="Real power is never more than apparent power. Which way must the power factor go?",
            formula=lambda card, earlier: apparent_power_kva(card, earlier) / card.power_factor,
            misconception="power-factor-divided",
        ),
        KnownError(
            name="watts-for-kilowatts",
            says="the value is in watts, the question asks for kilowatts",
            hint=DIVIDE_BY_1000,
            formula=lambda card, earlier: 1000 * apparent_power_kva(card, earlier) * card.power_factor,
            keeps=1,
            misconception="factor-1000",
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
    outcome="show where √3 comes from, and choose between √3 and 3",
    hints=(
        "Draw the phases as three arrows from one point, 120° apart. One arrow is line to neutral. "
        "Which is longer: one arrow, or the line between two tips?",
        "One line voltage goes from tip to tip. Its length is 2 × cos 30° times one arrow.",
        "Take the line voltage on your card and decide whether to multiply or to divide by the root.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="line-voltage-as-it-is",
            says="the line voltage was recorded as it is",
            hint="Your meter showed it between two lines. Between one line and neutral the voltage is smaller.",
            formula=lambda card, earlier: card.line_voltage,
        ),
        KnownError(
            name="line-to-phase-multiplied",
            says="the line voltage was multiplied by √3",
            hint="Line to neutral is the smaller of the two voltages. Which way must √3 go?",
            formula=lambda card, earlier: card.line_voltage * sqrt(3),
            misconception="line-to-phase-multiplied",
        ),
        KnownError(
            name="line-to-phase-divided-by-3",
            says="the line voltage was divided by 3",
            hint="The phases are 120° apart, so their voltages do not simply add up to the line voltage.",
            formula=lambda card, earlier: card.line_voltage / 3,
            misconception="line-to-phase-by-3",
        ),
        KnownError(
            name="line-to-phase-divided-by-2",
            says="the line voltage was halved",
            hint="Halving belongs to a split-phase supply. This one has three phases, 120° apart.",
            formula=lambda card, earlier: card.line_voltage / 2,
            misconception="line-to-phase-halved",
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
            misconception="line-to-phase-halved",
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
    level=1,
    outcome="use the power factor",
    hints=(
        "Look at which two conductors feed this vehicle, and which voltage lies between them.",
        "Voltage times current gives volt-amperes. The power factor turns them into watts.",
        "Write down your own answer to question 1, the vehicle current and the power factor. Multiply them. "
        "The watts then become kilowatts.",
    ),
    sources=(
        "electric-circuits-ac",
        "university-physics-2",
    ),
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
            misconception="sine-for-cosine",
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
            misconception="root-3-missing",
        ),
        KnownError(
            name="3-with-line-voltage",
            says="3 was used together with the line voltage",
            hint="With the line voltage, three phases need √3. With the phase voltage they need 3.",
            formula=lambda card, earlier: 3 * apparent(card, earlier) * card.power_factor,
            misconception="3-with-line-voltage",
        ),
        KnownError(
            name="one-phase-only",
            says="only one phase was counted",
            hint="Three phases carry the current. How much does each of them bring?",
            formula=lambda card, earlier: apparent(card, earlier) / sqrt(3) * card.power_factor,
            misconception="one-phase-for-three",
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
            misconception="root-2-for-root-3",
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
        f"P = √3 · U line · I · power factor = √3 × {card.line_voltage} V × {card.vehicle_current} A × "
        f"{card.power_factor} = {show(three_phase.key(card, earlier) * 1000)} W = "
        f"{show(three_phase.key(card, earlier))} kW"
    ),
    level=2,
    outcome="show where √3 comes from, and choose between √3 and 3",
    hints=(
        "Decide first which voltage you use, line or phase.",
        "The line voltage goes with √3, the phase voltage with 3. The power factor stays in both.",
        "Start with the line voltage and the vehicle current on your card. The watts then become kilowatts.",
    ),
    sources=("electric-circuits-ac",),
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
        f"I = P / (√3 · U line · power factor) = {card.busbar_power} kW × 1000 / (√3 × {card.line_voltage} V × "
        f"{card.power_factor}) = {show(line_current.key(card, earlier))} A"
    ),
    level=2,
    outcome="go from power back to current",
    hints=(
        "You know the power and look for the current. So the formula of the power has to be turned round.",
        "Start from P = √3 · U · I · power factor and solve it for I.",
        "Put the kilowatts of your card in as watts. Then work out what stands below the line, in brackets.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="root-3-missing",
            says="√3 is missing, or √3 was used together with the phase voltage",
            hint="With the line voltage, three phases need √3 below the line. With the phase voltage they need 3.",
            formula=lambda card, earlier: card.busbar_power * 1000 / (card.line_voltage * card.power_factor),
            misconception="current-root-3-missing",
        ),
        KnownError(
            name="all-power-in-one-phase",
            says="all the power was put into one phase",
            hint="Three phases share this power equally. Put that into the formula.",
            formula=lambda card, earlier: (
                card.busbar_power * 1000 * sqrt(3) / (card.line_voltage * card.power_factor)
            ),
            misconception="all-power-in-one-phase",
        ),
        KnownError(
            name="power-factor-forgotten",
            says="the power factor is missing",
            hint="A load with a power factor below 1 needs more current for the same power.",
            formula=lambda card, earlier: card.busbar_power * 1000 / (sqrt(3) * card.line_voltage),
            misconception="power-factor-forgotten",
        ),
        KnownError(
            name="power-factor-multiplied",
            says="the power factor stands above the line where it belongs below",
            hint="A load with a power factor below 1 needs more current, not less.",
            formula=lambda card, earlier: (
                card.busbar_power * 1000 * card.power_factor / (sqrt(3) * card.line_voltage)
            ),
            misconception="power-factor-divided",
        ),
        KnownError(
            name="root-3-cut-off",
            says="√3 was cut to 1.7",
            hint="Keep all figures of √3: sqrt(3) does it for you.",
            formula=lambda card, earlier: line_current.key(card, earlier) * sqrt(3) / 1.7,
            keeps=1,
            misconception="root-3-cut-off",
        ),
        KnownError(
            name="kilowatts-for-watts",
            says="the power went in as kilowatts where watts belong",
            hint="Volts times amperes gives watts. Multiply the kilowatts by 1000 first.",
            formula=lambda card, earlier: line_current.key(card, earlier) / 1000,
            keeps=1,
            misconception="factor-1000",
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
    outcome="find the link of the chain that limits the charge",
    hints=(
        "Look at the four ratings on your card. The same current flows through all of them.",
        "A rating is a highest value: no link may carry more than its own.",
        "Write the four ratings in a row. Strike out each one that another link could not stand.",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="largest-instead-of-smallest",
            says="the largest rating was taken",
            hint="Would the weakest link stand that current?",
            formula=lambda card, earlier: max(_ratings(card)),
            misconception="largest-instead-of-smallest",
        ),
        KnownError(
            name="mean-instead-of-smallest",
            says="the mean of the ratings was taken",
            hint="A chain does not average. Would the weakest link stand that current?",
            formula=lambda card, earlier: sum(_ratings(card)) / len(LINKS),
            misconception="largest-instead-of-smallest",
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

limiting_link: Choice = Choice(
    name="limiting_link",
    title="Link that limits the charge",
    marks=1,
    options=LINKS,
    key=_limiting_link,
    working=lambda card, earlier: f"The {_limiting_link(card, earlier)} has the smallest rating of the chain",
    level=2,
    outcome="find the link of the chain that limits the charge",
    hints=(
        "Look at the four ratings once more, and at your own answer to question 5.",
        "The link that gives in first holds back all the others.",
        "Find the line of your card on which the current of question 5 stands.",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="largest-instead-of-smallest",
            says="this is the strongest link",
            hint="The strongest link never limits. Which one gives in first?",
            formula=lambda card, earlier: LINKS[_ratings(card).index(max(_ratings(card)))],
            misconception="largest-instead-of-smallest",
        ),
    ),
)


def _one_phase_kva(card: Any, earlier: Any) -> float:
    return float(earlier.phase_voltage_v * earlier.charging_current_a / 1000)


grid_power: Number = Number(
    name="grid_power_kw",
    title="Power from the grid on two phases",
    marks=2,
    unit="kW",
    units=KILOWATT,
    needs=("phase_voltage_v", "charging_current_a"),
    key=lambda card, earlier: (
        2 * single_phase_power(earlier.phase_voltage_v, earlier.charging_current_a, card.power_factor) / 1000
    ),
    also=(
        lambda card, earlier: (
            2 / 3 * three_phase_power(card.line_voltage, earlier.charging_current_a, card.power_factor) / 1000
        ),
    ),
    working=lambda card, earlier: (
        f"P = 2 · U · I · power factor = 2 × {show(earlier.phase_voltage_v)} V × "
        f"{show(earlier.charging_current_a)} A × {card.power_factor} = {show(grid_power.key(card, earlier))} kW"
    ),
    level=3,
    outcome="work out the power and the neutral current of two phases",
    hints=(
        "How many phases does this vehicle use, and between which conductors?",
        "Each phase in use brings voltage to neutral × current × power factor. Powers simply add.",
        "Work out one phase with your own answers to questions 1 and 5. Then count the phases in use.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="three-phases-for-two",
            says="three phases were counted, but this vehicle uses two",
            hint="The third phase is idle. How much power does it bring?",
            formula=lambda card, earlier: 3 * _one_phase_kva(card, earlier) * card.power_factor,
        ),
        KnownError(
            name="one-phase-for-two",
            says="only one phase was counted",
            hint="Each phase in use brings its own power. How many does this vehicle use?",
            formula=lambda card, earlier: _one_phase_kva(card, earlier) * card.power_factor,
        ),
        KnownError(
            name="root-2-for-two-phases",
            says="√2 was used for the two phases",
            hint="A root belongs to voltages at an angle. Powers have no angle between them: just add.",
            formula=lambda card, earlier: sqrt(2) * _one_phase_kva(card, earlier) * card.power_factor,
            misconception="two-phases-by-root",
        ),
        KnownError(
            name="root-3-with-phase-voltage",
            says="√3 was used together with the phase voltage, or the line voltage was used once",
            hint="Both phases stand between a line and neutral. Work out one of them first.",
            formula=lambda card, earlier: sqrt(3) * _one_phase_kva(card, earlier) * card.power_factor,
            misconception="root-3-with-phase-voltage",
        ),
        KnownError(
            name="line-voltage-twice",
            says="the line voltage was used for two phases that stand between a line and neutral",
            hint="Which voltage lies between one line and neutral? You have worked it out in question 1.",
            formula=lambda card, earlier: (
                2 * card.line_voltage * earlier.charging_current_a * card.power_factor / 1000
            ),
        ),
        KnownError(
            name="vehicle-current-used",
            says="the vehicle's own current was used, though another link limits",
            hint="Use the current of question 5.",
            formula=lambda card, earlier: (
                2 * earlier.phase_voltage_v * card.vehicle_current * card.power_factor / 1000
                if _limiting_link(card, earlier) != "vehicle"
                else nan
            ),
        ),
        *_power_factor_errors(lambda card, earlier: 2 * _one_phase_kva(card, earlier)),
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
    level=1,
    outcome="go from grid power to battery power, and back",
    hints=(
        "Which side of the charger is the battery on? Power gets lost on the way there.",
        "Turn the formula in the question round, so that the battery power stands alone.",
        "Write the percentage on your card as a fraction. Then use your own answer to question 7.",
    ),
    sources=("charger-efficiency-article",),
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
    outcome="go from grid power to battery power, and back",
    hints=(
        "Compare your own answers to questions 7 and 8. Which of the two must be larger?",
        "What goes into the charger either reaches the battery or becomes heat.",
        "Start with the power from the grid, and take away what arrives.",
    ),
    sources=("charger-efficiency-article",),
    known_errors=(
        KnownError(
            name="output-for-loss",
            says="this is the power that reaches the battery, not the loss",
            hint="The question asks for the rest, the part that warms the charger.",
            formula=lambda card, earlier: earlier.battery_power_kw,
            misconception="loss-for-output",
        ),
        KnownError(
            name="loss-below-zero",
            says="by the answers before it, at least as much comes out of the charger as goes in",
            hint="A charger cannot do that, so an earlier value is wrong. Look at question 8 once more.",
            formula=lambda card, earlier: (
                earlier.grid_power_kw - earlier.battery_power_kw
                if earlier.battery_power_kw >= earlier.grid_power_kw
                else nan
            ),
        ),
        KnownError(
            name="loss-turned-round",
            says="the grid power was taken from the battery power",
            hint="Heat is what goes in and does not come out. Which of the two do you start from?",
            formula=lambda card, earlier: (
                earlier.battery_power_kw - earlier.grid_power_kw
                if earlier.battery_power_kw < earlier.grid_power_kw
                else nan
            ),
        ),
        KnownError(
            name="loss-from-battery-power",
            says="the loss percentage was taken from the battery power",
            hint="Efficiency is measured against the power from the grid. Take the loss from the same side.",
            formula=lambda card, earlier: earlier.battery_power_kw * (1 - _efficiency(card)),
        ),
    ),
)


neutral: Number = Number(
    name="neutral_current_a",
    title="Current in the neutral",
    marks=1,
    unit="A",
    figures=2,
    needs=("charging_current_a",),
    key=lambda card, earlier: neutral_current(
        [earlier.charging_current_a, earlier.charging_current_a * rect(1, -2 * pi / 3), 0]
    ),
    working=lambda card, earlier: (
        f"Two arrows of {show(earlier.charging_current_a)} A, 120° apart, add up to one of the same length: "
        f"{show(neutral.key(card, earlier))} A"
    ),
    level=2,
    outcome="work out the power and the neutral current of two phases",
    hints=(
        "Two lines carry a current, and both currents come back in the neutral. Do they peak together?",
        "Currents at an angle add as arrows, tip to tail. Here the angle is 120°.",
        "Draw two arrows of the length of your own answer to question 5. Measure the way from start to end.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="neutral-taken-as-empty",
            says="the neutral was taken as empty",
            hint="It is empty only when three equal currents cancel. Which of them is missing here?",
            formula=lambda card, earlier: 0,
        ),
        KnownError(
            name="currents-added",
            says="the two currents were simply added",
            hint="They do not peak at the same time. Add them as arrows.",
            formula=lambda card, earlier: 2 * earlier.charging_current_a,
        ),
        KnownError(
            name="root-3-for-the-neutral",
            says="√3 was used, which belongs to the difference of two arrows",
            hint="The neutral carries the sum of the two arrows, not their difference.",
            formula=lambda card, earlier: sqrt(3) * earlier.charging_current_a,
        ),
        KnownError(
            name="root-2-for-the-neutral",
            says="√2 was used, which belongs to two arrows at a right angle",
            hint="How large is the angle between two of three phases?",
            formula=lambda card, earlier: sqrt(2) * earlier.charging_current_a,
            misconception="two-phases-by-root",
        ),
    ),
)

far_end_voltage: Choice = Choice(
    name="far_end_voltage",
    title="Voltage at the end of a long feeder",
    marks=1,
    options=(RISES, ONE_WIRE, TWO_WIRES),
    key=_far_end_voltage,
    working=lambda card, earlier: (
        f"Chargers: {card.chargers}. The voltage of {card.phase_in_question} {_far_end_voltage(card, earlier)}"
    ),
    level=3,
    outcome="say what one charger does to the voltage of the other phases",
    hints=(
        "Which wires carry a current here: the line of the phase in question, the neutral, or both?",
        "Each wire with a current loses some voltage. In the neutral this moves the neutral point towards the "
        "loaded phase. Three equal currents leave the neutral empty.",
        "Draw the three arrows of the phases. Mark the chargers of your card, and shift the point in the middle.",
    ),
    sources=("own-calculation",),
    known_errors=(
        KnownError(
            name="neutral-forgotten",
            says="the way back through the neutral was left out",
            hint="One charger alone: through which wires does its current flow?",
            formula=lambda card, earlier: ONE_WIRE if _far_end_voltage(card, earlier) == TWO_WIRES else None,
            misconception="return-conductor-forgotten",
        ),
        KnownError(
            name="neutral-counted-without-current",
            says="the neutral was counted, though nothing flows in it",
            hint="What do three equal currents leave in the neutral?",
            formula=lambda card, earlier: TWO_WIRES if _far_end_voltage(card, earlier) == ONE_WIRE else None,
        ),
        KnownError(
            name="idle-phase-pulled-down",
            says="an idle phase was pulled down, though its own wire carries no current",
            hint="Only the neutral point moves here. Does it come nearer to this phase, or does it go away?",
            formula=lambda card, earlier: ONE_WIRE if _far_end_voltage(card, earlier) == RISES else None,
        ),
        KnownError(
            name="idle-phase-for-loaded-one",
            says="the charger was put on the phase in question, but it stands on another one",
            hint="Read the last two lines of your card once more.",
            formula=lambda card, earlier: TWO_WIRES if _far_end_voltage(card, earlier) == RISES else None,
        ),
        KnownError(
            name="neutral-point-the-wrong-way",
            says="the neutral point was moved away from the loaded phase",
            hint="A load pulls its own phase down. Where does the neutral point go then?",
            formula=lambda card, earlier: RISES if _far_end_voltage(card, earlier) == TWO_WIRES else None,
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
    outcome="work out single-phase and three-phase charging power",
    hints=(
        "Which voltage does your function get, line or phase? That settles which factor goes with it.",
        "It is the formula of question 3, with names in place of the numbers of your card.",
        "Try your function on numbers that you can follow: 400 V, 10 A and power factor 1 give 6.93 kW.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="root-3-missing",
            says="√3 is missing",
            hint="With the line voltage, three phases need √3.",
            formula=lambda line_voltage, current, power_factor: line_voltage * current * power_factor / 1000,
            misconception="root-3-missing",
        ),
        KnownError(
            name="3-with-line-voltage",
            says="3 was used together with the line voltage",
            hint="With the line voltage, three phases need √3. With the phase voltage they need 3.",
            formula=lambda line_voltage, current, power_factor: (
                3 * line_voltage * current * power_factor / 1000
            ),
            misconception="3-with-line-voltage",
        ),
        KnownError(
            name="power-factor-forgotten",
            says="the power factor is missing, so this is apparent power",
            hint="Your function gets the power factor as its third input. Use it.",
            formula=lambda line_voltage, current, power_factor: sqrt(3) * line_voltage * current / 1000,
            misconception="power-factor-forgotten",
        ),
        KnownError(
            name="root-3-cut-off",
            says="√3 was cut to 1.7",
            hint="Keep all figures of √3: sqrt(3) does it for you.",
            formula=lambda line_voltage, current, power_factor: (
                1.7 * line_voltage * current * power_factor / 1000
            ),
            keeps=2,
            misconception="root-3-cut-off",
        ),
        KnownError(
            name="watts-for-kilowatts",
            says="the function returns watts, the question asks for kilowatts",
            hint=DIVIDE_BY_1000,
            formula=lambda line_voltage, current, power_factor: three_phase_power(
                line_voltage, current, power_factor
            ),
            keeps=2,
            misconception="factor-1000",
        ),
    ),
)

WORKSHEET = Worksheet(
    name="charging-power",
    version="2",
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
        neutral,
        far_end_voltage,
        charging_power,
    ),
    features={
        "limiting link": lambda card: _limiting_link(card, None),
        "voltage at the far end": lambda card: _far_end_voltage(card, None),
    },
)
