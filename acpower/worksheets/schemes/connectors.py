"""Mark scheme of the worksheet ``connectors``: contacts, ratings with their document, power, fit, coding."""

from math import nan, sqrt
from typing import Any

from acpower import tables
from acpower.connectors import connector
from acpower.pilot import CABLE_BANDS, cable_rating
from acpower.power import line_to_phase, single_phase_current, single_phase_power, three_phase_power
from acpower.proximity import PROXIMITY_CONDITIONS, proximity_condition
from acpower.worksheets.cards import Entry
from acpower.worksheets.scheme import (
    COMMON_PRACTICE,
    Choice,
    Formula,
    KnownError,
    Number,
    Text,
    Worksheet,
    show,
)
from acpower.worksheets.schemes.shared_checks import numbers_stand_apart

THE_CONTACTS = "name the contacts of a coupler and say what each one does"
CURRENT_CONTACTS = "say which contacts carry current with one phase and with three"
RATING = "read a rating together with the document it comes from"
GREATEST_POWER = "work out the greatest power of a coupler on a supply"
WHAT_FITS = "say which couplers do not fit each other"
CODING = "read the rating of a detachable cable from its resistor"
ATTACHED = "say what the vehicle learns from an attached cable"

# What stands on the card, and what is right for it.
TASKS = {
    "tells the state of the vehicle and the offer": "CP",
    "tells that the plug is in, or how big the cable is": "PP",
    "carries a fault current to earth": "PE",
    "takes the current of one phase back": "N",
}
CHARGERS = {
    "Type 2, charger with one phase": "L1 and N",
    "GB/T 20234.2, charger with one phase": "L1 and N",
    "Type 2, charger with three equal phases": "L1, L2 and L3",
    "GB/T 20234.2, charger with three equal phases": "L1, L2 and L3",
    "Type 1, charger between two lines": "L1 and L2/N",
    "Type 1, charger between line and neutral": "L1 and L2/N",
}
# Coupler, phases, and the document with a word from the place in it.
RATINGS = {
    "Type 1 by SAE J1772, one phase": ("type-1", 1, "j1772-article", "charging levels"),
    "Type 2 by IEC 62196-2, one phase": ("type-2", 1, "iec-62196-2-catalogue", "scope"),
    "Type 2 by IEC 62196-2, three phases": ("type-2", 3, "iec-62196-2-catalogue", "scope"),
    "GB/T 20234.2, edition of 2015, three phases": ("gb-t-20234.2", 3, "gb-t-20234-pages", "2015"),
    "GB/T 20234.2, edition of 2011, three phases": ("gb-t-20234.2", 3, "gb-t-20234-pages", "2011"),
}
PAIRS = {
    "Type 2 plug, GB/T 20234.2 inlet": "no charge",
    "Type 1 plug, Type 2 inlet": "no charge",
    "Type 2 cable for one phase, three-phase charger": "one phase",
    "Type 2 cable for three phases, one-phase charger": "one phase",
    "Type 2 cable for three phases, three-phase charger": "three phases",
}
PROXIMITY = {volts: str(proximity_condition(volts)) for volts in (1.47, 1.52, 2.73, 2.79, 4.44, 4.49)}
CODES = {
    float(row["three_phase_a"]): float(row["nominal_ohm"])
    for row in tables.rows("cable_bands")
    if row["band_set"] == CABLE_BANDS[0]
}
"""Rating of a detachable cable [A] and its nominal coding resistor [ohm], from the smallest cable on."""

ENTRIES = (
    Entry("site", "Site", "", ("Lighthouse inn", "Gravel pit office", "Tram museum", "Glasshouse nursery")),
    Entry("contact_task", "Task of a contact", "", tuple(TASKS)),
    Entry("charger", "Coupler and charger", "", tuple(CHARGERS)),
    Entry("document", "Coupler, document and phases", "", tuple(RATINGS)),
    Entry("phase_voltage", "Voltage across one phase of a charger", "V", (228, 229, 231, 232, 233, 234)),
    Entry(
        "two_line_voltage", "Type 1: voltage between its two lines", "V", (203, 206, 209, 211, 236, 242, 246)
    ),
    Entry("two_line_current", "Type 1: rated current on its label", "A", (24, 30, 36, 40, 48)),
    Entry("line_voltage", "Type 2: line voltage at the station", "V", (392, 394, 396, 404, 406, 408)),
    Entry("label_current", "Type 2: rated current on the label of the cable", "A", (16, 20, 32)),
    Entry("station_current", "Type 2: setting of the station", "A", (12, 14, 18, 22, 26, 28)),
    Entry(
        "van_power",
        "Van: power with three phases",
        "kW",
        (10.5, 11.5, 12.5, 15.5, 17.5, 19.5, 24.5, 31.5, 37.5),
    ),
    Entry("pair", "What is put together", "", tuple(PAIRS)),
    Entry("coding_resistor", "Coding resistor of a cable", "Ω", (97, 98, 102, 103, 216, 218, 223, 226)),
    Entry("dirt", "Its contact is dirty and adds", "Ω", (120, 130, 140, 150, 160)),
    Entry(
        "proximity_voltage",
        "Type 1: proximity to PE at the vehicle",
        "V",
        tuple(PROXIMITY),
    ),
)


def possible(card: Any) -> bool:
    """Refuse cards on which documents disagree, a cable just fits, or numbers meet by chance."""
    ratings = [cable_rating(card.coding_resistor + card.dirt, bands) for bands in CABLE_BANDS]
    current = WORKSHEET.keys(card).line_current_a
    return (
        len(set(ratings)) == 1
        and all(abs(current / rating - 1) > 0.03 for rating in CODES)
        and numbers_stand_apart(WORKSHEET, card)
    )


def _phases(card: Any) -> int:
    return RATINGS[card.document][1]


def _rating(card: Any, earlier: Any) -> float:
    """Return what the document on the card prints for the coupler."""
    key, phases, source, place = RATINGS[card.document]
    return next(
        rating.value
        for rating in connector(key).ratings
        if rating.quantity == "current"
        and rating.phases in (phases, None)
        and rating.source == source
        and place in rating.place
        and rating.value is not None
    )


def _smaller(card: Any) -> float:
    return float(min(card.label_current, card.station_current))


def _cable_at_least(current: float) -> int:
    """Return the place of the smallest cable that carries a current; after the last if none does."""
    return sum(rating < current for rating in CODES)


def _code(place: int) -> float:
    """Return the coding resistor of the cable at a place [ohm]; not a number where there is none."""
    ohms = list(CODES.values())
    return ohms[place] if 0 <= place < len(ohms) else nan


KILOWATT = {"W": 0.001}


def _factor_1000(power_kw: Formula) -> KnownError:
    return KnownError(
        name="watts-for-kilowatts",
        says="the value is in watts, the question asks for kilowatts",
        hint="Divide by 1000 to get from watts to kilowatts.",
        formula=lambda card, earlier: 1000 * power_kw(card, earlier),
        keeps=1,
        misconception="factor-1000",
    )


contact_of_the_task: Text = Text(
    name="contact_of_the_task",
    title="The contact that does it",
    marks=1,
    key=lambda card, earlier: TASKS[card.contact_task],
    spellings={
        "CP": ("control pilot", "control pilot contact", "CP contact", "pilot", "pilot contact"),
        "PP": (
            "proximity",
            "proximity contact",
            "proximity pilot",
            "proximity pilot contact",
            "plug present",
            "PP contact",
            "prox",
            "CC",
        ),
        "PE": (
            "protective earth",
            "protective conductor",
            "PE contact",
            "earth",
            "earth contact",
            "ground",
            "ground contact",
            "G",
        ),
        "N": ("neutral", "neutral conductor", "neutral contact", "N contact", "L2/N"),
        "L1": ("L2", "L3", "L", "line", "line 1", "phase"),
    },
    working=lambda card, earlier: f"what {card.contact_task} is {TASKS[card.contact_task]}",
    level=2,
    outcome=THE_CONTACTS,
    hints=(
        "Is it the task of a large contact or of a small one?",
        "Large contacts bring power, take it back, or protect. Small ones carry signals.",
        "Go through the letters in section 2 of the lesson. Ask of each: does it do what the card says?",
    ),
    sources=("j1772-article", "trade-memory"),
    known_errors=(
        KnownError(
            name="signals-swapped",
            says="the two signal contacts were mixed up",
            hint="One of them tells about the plug, the other one about vehicle and current.",
            formula=lambda card, earlier: {"CP": "PP", "PP": "CP"}.get(TASKS[card.contact_task]),
        ),
        KnownError(
            name="earth-and-return-swapped",
            says="the contact that protects and the one that takes the current back were mixed up",
            hint="One of them carries current in every charge, the other one only when something is wrong.",
            formula=lambda card, earlier: {"PE": "N", "N": "PE"}.get(TASKS[card.contact_task]),
        ),
        KnownError(
            name="line-taken",
            says="this is a line, and the lines bring the power",
            hint="What does the contact on your card do instead?",
            formula=lambda card, earlier: "L1",
        ),
    ),
)

current_contacts: Choice = Choice(
    name="current_contacts",
    title="The contacts that carry the charging current",
    marks=1,
    options=("L1 and N", "L1, L2 and L3", "L1 and L2/N"),
    key=lambda card, earlier: CHARGERS[card.charger],
    working=lambda card, earlier: f"{card.charger}: {CHARGERS[card.charger]}",
    level=2,
    outcome=CURRENT_CONTACTS,
    hints=(
        "Read the designation first, then the number of phases.",
        "One phase needs a way there and a way back. Three equal phases close the ring among themselves.",
        "Look up the letters of your coupler in section 2 of the lesson. Cross out those that have no part in it.",
    ),
    sources=("j1772-article", "electric-circuits-ac", "trade-memory"),
    known_errors=(
        KnownError(
            name="all-lines-for-one-phase",
            says="lines were counted that stay idle",
            hint="How many lines does this charger use?",
            formula=lambda card, earlier: {"L1 and N": "L1, L2 and L3", "L1 and L2/N": "L1, L2 and L3"}.get(
                CHARGERS[card.charger]
            ),
        ),
        KnownError(
            name="way-back-for-three-phases",
            says="a way back was added, and lines were left out",
            hint="Three equal currents add up to zero. What is left for a way back, and what do all lines carry?",
            formula=lambda card, earlier: {"L1, L2 and L3": "L1 and N"}.get(CHARGERS[card.charger]),
        ),
        KnownError(
            name="letters-of-another-coupler",
            says="these are the letters of another coupler",
            hint="One coupler has a single contact for the second line or the neutral. Is it the one on your card?",
            formula=lambda card, earlier: {"L1 and N": "L1 and L2/N", "L1 and L2/N": "L1 and N"}.get(
                CHARGERS[card.charger]
            ),
        ),
    ),
)

rating: Number = Number(
    name="rating_a",
    title="The rated current in this document",
    marks=1,
    unit="A",
    figures=2,
    key=_rating,
    working=lambda card, earlier: f"{card.document}: {show(_rating(card, earlier), 2)} A",
    level=2,
    outcome=RATING,
    hints=(
        "A rating has three parts: the number, the phases and the document. Two of them stand on your card.",
        "The list of ratings in section 3 of the lesson gives one line for each document.",
        "Find the coupler, then the number of phases, then the document or its year. Read the number in that line.",
    ),
    sources=("j1772-article", "iec-62196-2-catalogue", "gb-t-20234-pages"),
    known_errors=(
        KnownError(
            name="another-line-of-the-list",
            says="this is the number of other phases or of another edition",
            hint="Compare phases and year with your card once more.",
            formula=lambda card, earlier: {
                "Type 2 by IEC 62196-2, one phase": 63,
                "Type 2 by IEC 62196-2, three phases": 70,
                "GB/T 20234.2, edition of 2015, three phases": 32,
                "GB/T 20234.2, edition of 2011, three phases": 63,
            }.get(card.document, nan),
        ),
        KnownError(
            name="another-coupler",
            says="this is the number of another coupler",
            hint="Find the designation on your card in the list first.",
            formula=lambda card, earlier: nan if _rating(card, earlier) == 80 else 80,
        ),
        KnownError(
            name="usual-station",
            says="this is the current of a usual station, not that of the document",
            hint="Many stations give less than the coupler may carry. What does the document say?",
            formula=lambda card, earlier: 16,
        ),
    ),
)

rated_power: Number = Number(
    name="rated_power_kw",
    title="The greatest power of this coupler",
    marks=3,
    unit="kW",
    units=KILOWATT,
    needs=("rating_a",),
    key=lambda card, earlier: _phases(card) * single_phase_power(card.phase_voltage, earlier.rating_a) / 1000,
    working=lambda card, earlier: (
        f"P = phases · U · I = {_phases(card)} × {card.phase_voltage} V × {show(earlier.rating_a, 2)} A = "
        f"{show(rated_power.key(card, earlier) * 1000)} W = {show(rated_power.key(card, earlier))} kW"
    ),
    level=3,
    outcome=GREATEST_POWER,
    hints=(
        "How many phases stand in the line of your card, and what voltage does the card give for one phase?",
        "Each phase brings voltage × current. All phases together bring that many times as much.",
        "Put your rated current and the voltage across one phase together first. Then count the phases.",
    ),
    sources=("electric-circuits-ac", "j1772-article", "iec-62196-2-catalogue", "gb-t-20234-pages"),
    known_errors=(
        KnownError(
            name="one-phase-for-three",
            says="one phase was counted where there are three",
            hint="Read the phases on your card. What does each of them bring?",
            formula=lambda card, earlier: (
                card.phase_voltage * earlier.rating_a / 1000 if _phases(card) == 3 else nan
            ),
            keeps=1,
            misconception="one-phase-for-three",
        ),
        KnownError(
            name="three-phases-for-one",
            says="three phases were counted where there is one",
            hint="Read the phases on your card. How many lines bring power?",
            formula=lambda card, earlier: (
                3 * card.phase_voltage * earlier.rating_a / 1000 if _phases(card) == 1 else nan
            ),
            keeps=1,
        ),
        KnownError(
            name="root-3-with-phase-voltage",
            says="√3 was used together with the voltage of one phase",
            hint="√3 belongs to the line voltage. What belongs to the voltage across one phase?",
            formula=lambda card, earlier: sqrt(3) * card.phase_voltage * earlier.rating_a / 1000,
            misconception="root-3-with-phase-voltage",
        ),
        KnownError(
            name="3-with-line-voltage",
            says="the voltage was made a line voltage, and the phases were counted as well",
            hint="Counting the phases goes with the voltage across one of them. Leave it as it stands on the card.",
            formula=lambda card, earlier: (
                3 * sqrt(3) * card.phase_voltage * earlier.rating_a / 1000 if _phases(card) == 3 else nan
            ),
            misconception="3-with-line-voltage",
        ),
        _factor_1000(lambda card, earlier: _phases(card) * card.phase_voltage * earlier.rating_a / 1000),
    ),
)

type_1_power: Number = Number(
    name="type_1_power_kw",
    title="Type 1 between two lines",
    marks=2,
    unit="kW",
    units=KILOWATT,
    key=lambda card, earlier: single_phase_power(card.two_line_voltage, card.two_line_current) / 1000,
    working=lambda card, earlier: (
        f"P = U · I = {card.two_line_voltage} V × {card.two_line_current} A = "
        f"{show(card.two_line_voltage * card.two_line_current)} W = {show(type_1_power.key(card, earlier))} kW"
    ),
    level=1,
    outcome=GREATEST_POWER,
    hints=(
        "The formula stands in the question. Find both values of Type 1 on your card.",
        "The charger stands between two lines, so the voltage between them is the voltage across it.",
        "Put both values into the formula. Look at the unit of the result before you record it.",
    ),
    sources=("electric-circuits-ac", "j1772-article"),
    known_errors=(
        KnownError(
            name="root-3-on-one-phase",
            says="√3 was used for a charger with one phase",
            hint="√3 belongs to three phases. How many does this charger have?",
            formula=lambda card, earlier: sqrt(3) * card.two_line_voltage * card.two_line_current / 1000,
        ),
        KnownError(
            name="voltage-halved",
            says="the voltage was halved",
            hint="Which two contacts feed the charger? Take the voltage between those.",
            formula=lambda card, earlier: card.two_line_voltage * card.two_line_current / 2000,
        ),
        KnownError(
            name="lines-counted-as-phases",
            says="each line was counted as a phase of its own",
            hint="The current of one line comes back in the other one. How often does it do its work?",
            formula=lambda card, earlier: card.two_line_voltage * card.two_line_current / 500,
        ),
        _factor_1000(lambda card, earlier: card.two_line_voltage * card.two_line_current / 1000),
    ),
)


def _at_line_voltage(factor: float) -> Formula:
    """Return factor · line voltage · the smaller current, in kilowatts."""
    return lambda card, earlier: factor * card.line_voltage * _smaller(card) / 1000


three_phase: Number = Number(
    name="three_phase_power_kw",
    title="Type 2 with three phases",
    marks=2,
    unit="kW",
    units=KILOWATT,
    key=lambda card, earlier: three_phase_power(card.line_voltage, _smaller(card)) / 1000,
    also=(
        lambda card, earlier: 3 * single_phase_power(line_to_phase(card.line_voltage), _smaller(card)) / 1000,
    ),
    working=lambda card, earlier: (
        f"the smaller of label {card.label_current} A and setting {card.station_current} A counts: "
        f"P = √3 · U line · I = √3 × {card.line_voltage} V × {show(_smaller(card), 2)} A = "
        f"{show(three_phase.key(card, earlier) * 1000)} W = {show(three_phase.key(card, earlier))} kW"
    ),
    level=3,
    outcome=GREATEST_POWER,
    hints=(
        "Two currents belong to this station, and the voltage is measured from line to line.",
        "Nothing in the chain may carry more than its own rating. And √3 belongs to a voltage from line to line.",
        "Decide on the current first. Then write down line voltage and current, and what three phases need on top.",
    ),
    sources=("electric-circuits-ac", COMMON_PRACTICE),
    known_errors=(
        KnownError(
            name="largest-instead-of-smallest",
            says="the larger of the two currents was taken",
            hint="Would the other one stand that current?",
            formula=lambda card, earlier: (
                sqrt(3) * card.line_voltage * max(card.label_current, card.station_current) / 1000
            ),
            misconception="largest-instead-of-smallest",
        ),
        KnownError(
            name="root-3-missing",
            says="√3 is missing",
            hint="With the line voltage, three phases need a factor. Which one?",
            formula=_at_line_voltage(1),
            misconception="root-3-missing",
        ),
        KnownError(
            name="3-with-line-voltage",
            says="3 was used together with the line voltage",
            hint="3 belongs to the phase voltage. What belongs to the voltage from line to line?",
            formula=_at_line_voltage(3),
            misconception="3-with-line-voltage",
        ),
        KnownError(
            name="one-phase-for-three",
            says="only one phase was counted",
            hint="Three phases carry the current. How much does each of them bring?",
            formula=_at_line_voltage(1 / sqrt(3)),
            misconception="one-phase-for-three",
        ),
        KnownError(
            name="root-3-cut-off",
            says="√3 was cut off behind its first decimal",
            hint="Let the calculator, or the notebook, take the root with all its figures.",
            formula=_at_line_voltage(1.7),
            keeps=1,
            misconception="root-3-cut-off",
        ),
        _factor_1000(_at_line_voltage(sqrt(3))),
    ),
)


def _at_phase_voltage(factor: float) -> Formula:
    """Return factor · phase voltage · setting of the station, in kilowatts."""
    return lambda card, earlier: factor * card.phase_voltage * card.station_current / 1000


two_phase: Number = Number(
    name="two_phase_power_kw",
    title="A charger that uses two of the three phases",
    marks=2,
    unit="kW",
    units=KILOWATT,
    key=lambda card, earlier: 2 * single_phase_power(card.phase_voltage, card.station_current) / 1000,
    working=lambda card, earlier: (
        f"P = 2 · U · I = 2 × {card.phase_voltage} V × {card.station_current} A = "
        f"{show(two_phase.key(card, earlier) * 1000)} W = {show(two_phase.key(card, earlier))} kW"
    ),
    level=2,
    outcome=GREATEST_POWER,
    hints=(
        "How many phases bring power here, and what voltage stands across each of them?",
        "The rule of the lesson counts phases. It holds for any number of them.",
        "Work out what one phase brings from voltage and setting. Then count the phases in use.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="two-phases-by-root",
            says="√2 was used for two phases",
            hint="Powers of phases are simply added. Is there a root in that?",
            formula=_at_phase_voltage(sqrt(2)),
            misconception="two-phases-by-root",
        ),
        KnownError(
            name="root-3-with-phase-voltage",
            says="√3 was used together with the phase voltage",
            hint="√3 belongs to the line voltage and to all phases. How many are in use here?",
            formula=_at_phase_voltage(sqrt(3)),
            misconception="root-3-with-phase-voltage",
        ),
        KnownError(
            name="one-phase-for-two",
            says="only one phase was counted",
            hint="How many phases does this charger use?",
            formula=_at_phase_voltage(1),
        ),
        KnownError(
            name="three-phases-for-two",
            says="all phases of the coupler were counted",
            hint="The coupler could do more. How many phases does this charger use?",
            formula=_at_phase_voltage(3),
        ),
        _factor_1000(_at_phase_voltage(2)),
    ),
)

line_current: Number = Number(
    name="line_current_a",
    title="The current that the van needs",
    marks=2,
    unit="A",
    key=lambda card, earlier: single_phase_current(card.van_power * 1000 / 3, card.phase_voltage),
    working=lambda card, earlier: (
        f"I = P / (3 · U) = {card.van_power} kW × 1000 / (3 × {card.phase_voltage} V) = "
        f"{show(line_current.key(card, earlier))} A"
    ),
    level=2,
    outcome=GREATEST_POWER,
    hints=(
        "Three equal phases share the power of the van. What does one of them bring?",
        "Power = phases × voltage × current. Here the power is known and the current is asked for.",
        "Write the power of the van in watts. Then divide by everything that stands beside the current.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="all-power-in-one-phase",
            says="all the power was put into one phase",
            hint="Three phases share this power equally. Put that into the formula.",
            formula=lambda card, earlier: card.van_power * 1000 / card.phase_voltage,
            misconception="all-power-in-one-phase",
        ),
        KnownError(
            name="root-3-with-phase-voltage",
            says="√3 was used together with the phase voltage",
            hint="√3 belongs to the line voltage. What belongs to the voltage across one phase?",
            formula=lambda card, earlier: card.van_power * 1000 / (sqrt(3) * card.phase_voltage),
            misconception="root-3-with-phase-voltage",
        ),
        KnownError(
            name="voltage-forgotten",
            says="the power was shared among the phases, but the voltage is missing",
            hint="Watts divided by a number of phases are still watts. What makes them amperes?",
            formula=lambda card, earlier: card.van_power / 3,
            misconception="voltage-forgotten",
        ),
        KnownError(
            name="kilowatts-for-watts",
            says="the power went in as kilowatts where watts belong",
            hint="Volts times amperes gives watts. Multiply the kilowatts by 1000 first.",
            formula=lambda card, earlier: card.van_power / (3 * card.phase_voltage),
            keeps=1,
            misconception="factor-1000",
        ),
    ),
)

cable_resistor: Number = Number(
    name="cable_ohm",
    title="The coding resistor of its cable",
    marks=2,
    unit="Ω",
    units={"ohm": 1.0, "ohms": 1.0, "kΩ": 1000.0},
    figures=2,
    needs=("line_current_a",),
    # From an own current that no cable carries nothing follows.
    key=lambda card, earlier: (
        _code(_cable_at_least(earlier.line_current_a)) if earlier.line_current_a <= max(CODES) else 0.0
    ),
    working=lambda card, earlier: (
        f"the smallest cable for {show(earlier.line_current_a)} A is the one of "
        f"{list(CODES)[_cable_at_least(earlier.line_current_a)]:.0f} A; its resistor has "
        f"{cable_resistor.key(card, earlier):.0f} Ω"
    ),
    level=3,
    outcome=CODING,
    hints=(
        "Detachable cables come in four sizes. Which of them may carry the current of the van?",
        "The rating must not be smaller than the current. And each rating has a resistor of its own.",
        "Put your current between two of the four ratings. Take the upper one, then look up its nominal ohms.",
    ),
    sources=("station-bring-up-guide", "charge-controller-manual"),
    known_errors=(
        KnownError(
            name="cable-too-small",
            says="this is the resistor of a cable that is too small for the van",
            hint="What happens to a cable that carries more than its rating? Which size is the first that is enough?",
            formula=lambda card, earlier: _code(_cable_at_least(earlier.line_current_a) - 1),
        ),
        KnownError(
            name="cable-bigger-than-needed",
            says="this is the resistor of a cable one size bigger than needed",
            hint="The question asks for the smallest one. Is the size below it still enough?",
            formula=lambda card, earlier: _code(_cable_at_least(earlier.line_current_a) + 1),
            keeps=1,
        ),
        KnownError(
            name="rating-for-ohms",
            says="this is the rating of the cable, the question asks for the ohms of its code",
            hint="You have the right size. Which resistor stands for it?",
            formula=lambda card, earlier: dict(enumerate(CODES)).get(
                _cable_at_least(earlier.line_current_a), nan
            ),
            keeps=1,
        ),
    ),
)

dirty_cable: Number = Number(
    name="dirty_cable_a",
    title="A dirty contact",
    marks=2,
    unit="A",
    figures=2,
    key=lambda card, earlier: cable_rating(card.coding_resistor + card.dirt),
    working=lambda card, earlier: (
        f"{card.coding_resistor} Ω + {card.dirt} Ω = {card.coding_resistor + card.dirt} Ω: "
        f"{dirty_cable.key(card, earlier):.0f} A"
    ),
    level=3,
    outcome=CODING,
    hints=(
        "The dirt lies in the way of the measuring current, as the resistor does. What does the station measure?",
        "Resistances in series add up. More ohms stand for a smaller cable.",
        "Add the ohms of the dirt first. Then look for the sum in the table, from the top or from the bottom.",
    ),
    sources=("station-bring-up-guide", "charge-controller-manual"),
    known_errors=(
        KnownError(
            name="dirt-forgotten",
            says="this is the rating of the cable with a clean contact",
            hint="The station cannot see the dirt. What does it measure now?",
            formula=lambda card, earlier: cable_rating(card.coding_resistor),
        ),
        KnownError(
            name="dirt-for-the-cable",
            says="this is what the dirt alone would stand for",
            hint="Dirt and resistor lie in series. What do they come to together?",
            formula=lambda card, earlier: (
                rating if (rating := cable_rating(card.dirt)) != cable_rating(card.coding_resistor) else nan
            ),
        ),
        KnownError(
            name="smallest-cable",
            says="this is the smallest of all cables, which is too careful",
            hint="Dirt makes a cable look smaller. By how much does it move your ohms?",
            formula=lambda card, earlier: min(CODES),
            keeps=1,
        ),
        KnownError(
            name="ohms-for-amperes",
            says="these are the ohms that the station measures",
            hint="The ohms are a code. Which current do they stand for?",
            formula=lambda card, earlier: card.coding_resistor + card.dirt,
            keeps=1,
        ),
    ),
)

fit: Choice = Choice(
    name="fit",
    title="Does it charge?",
    marks=1,
    options=("no charge", "one phase", "three phases"),
    key=lambda card, earlier: PAIRS[card.pair],
    working=lambda card, earlier: f"{card.pair}: {PAIRS[card.pair]}",
    level=2,
    outcome=WHAT_FITS,
    hints=(
        "Compare the two designations first. Only then look at the phases.",
        "A plug fits the inlet of its own designation. Then the side with fewer phases decides.",
        "Are both names on your card the same? If so, count the phases of either side, and take the smaller count.",
    ),
    sources=("gb-t-20234-pages", "j1772-article", COMMON_PRACTICE),
    known_errors=(
        KnownError(
            name="contacts-counted",
            says="two couplers of different designation were put together",
            hint="Does a number of contacts say anything about the shape?",
            formula=lambda card, earlier: {
                "Type 2 plug, GB/T 20234.2 inlet": "three phases",
                "Type 1 plug, Type 2 inlet": "one phase",
            }.get(card.pair),
        ),
        KnownError(
            name="most-phases-instead-of-fewest",
            says="the side with more phases was taken",
            hint="Can a line carry current if one side does not use it?",
            formula=lambda card, earlier: {"one phase": "three phases"}.get(PAIRS[card.pair]),
            misconception="largest-instead-of-smallest",
        ),
        KnownError(
            name="wired-otherwise-does-not-fit",
            says="the couplers fit: their designation is the same",
            hint="What fits may be wired for fewer lines. What is left to charge with?",
            formula=lambda card, earlier: {"one phase": "no charge", "three phases": "no charge"}.get(
                PAIRS[card.pair]
            ),
        ),
    ),
)

attached_cable: Choice = Choice(
    name="attached_cable",
    title="What the vehicle learns",
    marks=1,
    options=PROXIMITY_CONDITIONS,
    key=lambda card, earlier: PROXIMITY[card.proximity_voltage],
    working=lambda card, earlier: (
        f"{card.proximity_voltage} V at the vehicle: {PROXIMITY[card.proximity_voltage]}"
    ),
    level=2,
    outcome=ATTACHED,
    hints=(
        "The vehicle feeds this circuit itself. What pulls the voltage down?",
        "Fewer ohms in parallel pull the voltage further down. The button adds ohms to those of the plug.",
        "Compare the voltage on your card with the three in section 6 of the lesson. Which one is near?",
    ),
    sources=("solar-car-firmware", "j1772-basics", "vehicle-proximity-schematic"),
    known_errors=(
        KnownError(
            name="voltage-turned-round",
            says="high and low voltage were mixed up",
            hint="Does a plug add a way to PE, or does it take one away? What does that do to the voltage?",
            formula=lambda card, earlier: {"not plugged": "latched", "latched": "not plugged"}.get(
                PROXIMITY[card.proximity_voltage]
            ),
        ),
        KnownError(
            name="button-overlooked",
            says="the switch in the plug was overlooked",
            hint="This voltage lies between the two others. What adds ohms to the plug?",
            formula=lambda card, earlier: {"button pressed": "latched"}.get(
                PROXIMITY[card.proximity_voltage]
            ),
        ),
    ),
)

WORKSHEET = Worksheet(
    name="connectors",
    version="1",
    title="Choose the connector",
    lesson="04-choose-the-connector",
    entries=ENTRIES,
    possible=possible,
    questions=(
        contact_of_the_task,
        current_contacts,
        rating,
        rated_power,
        type_1_power,
        three_phase,
        two_phase,
        line_current,
        cable_resistor,
        dirty_cable,
        fit,
        attached_cable,
    ),
    features={
        "phases of the rated coupler": lambda card: str(_phases(card)),
        "smaller current": lambda card: "label" if card.label_current < card.station_current else "setting",
        "fit": lambda card: PAIRS[card.pair],
        "proximity": lambda card: PROXIMITY[card.proximity_voltage],
    },
)
