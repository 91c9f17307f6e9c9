"""Mark scheme of the worksheet ``supplies``: kinds of supply, star and delta, the neutral, the band."""

from collections.abc import Callable
from itertools import pairwise
from math import nan, sqrt
from typing import Any

from acpower.power import (
    line_to_phase,
    phase_to_line,
    single_phase_power,
    three_phase_current,
    three_phase_power,
)
from acpower.unbalanced import split_phase
from acpower.worksheets.cards import Entry
from acpower.worksheets.scheme import (
    Choice,
    Formula,
    KnownError,
    Number,
    Ordering,
    Text,
    Worksheet,
    show,
)

KINDS = ("single-phase", "split-phase", "three-phase")
# From each line to neutral, and from line to line [V].
_READINGS = {
    "single-phase": ((118, 0), (232, 0)),
    "split-phase": ((118, 236), (101, 202)),
    "three-phase": ((118, 204), (232, 402)),
}
# The neutral is Z, Y or X: the odd reading is that between the two others.
_PLACES = (
    "X–Y {1} V, X–Z {0} V, Y–Z {0} V",
    "X–Y {0} V, X–Z {1} V, Y–Z {0} V",
    "X–Y {0} V, X–Z {0} V, Y–Z {1} V",
)
BOARDS = {
    place.format(*pair): kind for kind, pairs in _READINGS.items() for pair in pairs for place in _PLACES
}

SPLIT_LEGS, TWO_LINES = "two legs of a split-phase supply", "two lines of a three-phase supply"

CIRCUITS = {
    "both legs of a split-phase supply, 120 V from each to neutral": "240 V",
    "two lines of a three-phase supply, 120 V from each to neutral": "208 V",
    "three lines and neutral, 230 V from each line to neutral": "400 V",
}

HEATERS = {
    "402 V from line to line, 232 V across each heater": "star",
    "15.6 A in each line, 15.6 A in each heater": "star",
    "402 V from line to line, 402 V across each heater": "delta",
    "15.6 A in each line, 9.0 A in each heater": "delta",
}

TO_A_COMMON_POINT, LINE_TO_LINE = "from each line to one common point", "from line to line"

ENTRIES = (
    Entry(
        "site", "Site", "", ("Tannery Row garage", "Beacon Hill bakery", "Millpond campus", "Juniper yard")
    ),
    Entry("board", "Old board: readings between the wires X, Y and Z", "", tuple(BOARDS)),
    Entry("line_voltage", "Workshop: voltage between two lines", "V", (386, 390, 394, 402, 406, 410)),
    Entry("bay_supply", "Bay: its two wires are", "", (SPLIT_LEGS, TWO_LINES)),
    Entry("bay_voltage", "Bay: voltage from each wire to neutral", "V", (112, 116, 118, 122, 124, 126)),
    Entry("circuit", "New circuit", "", tuple(CIRCUITS)),
    Entry("charger_parts", "Workshop: parts of the charger in use", "", (2, 3)),
    Entry("charger_current", "Workshop: current of each part of the charger", "A", (10, 13, 16, 20, 25, 32)),
    Entry("heaters", "Drying room: readings at three equal heaters", "", tuple(HEATERS)),
    Entry("bank", "Paint shop: each heater runs", "", (TO_A_COMMON_POINT, LINE_TO_LINE)),
    Entry("bank_resistance", "Paint shop: resistance of each heater", "Ω", (24, 28, 32, 36, 42, 48)),
    Entry("leg_1_current", "Home: current from leg 1 to neutral", "A", (18.3, 19.6, 21.4, 22.7, 24.2)),
    Entry("leg_2_current", "Home: current from leg 2 to neutral", "A", (6.8, 7.5, 8.9, 9.3, 10.6)),
    Entry("home_charger", "Home: current of the charger from leg to leg", "A", (12, 16, 24, 32)),
    Entry("rows_1_and_3_current", "Car park: chargers in rows 1 and 3, each", "A", (7, 10, 14, 18, 21)),
    Entry("row_2_current", "Car park: chargers in row 2, each", "A", (6, 8, 11, 13, 15)),
    Entry("nominal_voltage", "Village: nominal voltage", "V", (220, 230, 240)),
    Entry("band_below", "Village: the band goes down by", "%", (12, 13, 14, 15)),
    Entry("band_above", "Village: the band goes up by", "%", (8, 9, 10)),
    Entry("village_reading", "Village: voltage at the last house", "V", (181, 198, 214, 227, 243, 262, 271)),
)


def possible(card: Any) -> bool:
    """Refuse cards with neutrals that are nearly alike, a reading near an end, or numbers that meet by chance."""
    keys = vars(WORKSHEET.keys(card))
    given = [value for value in card.values.values() if not isinstance(value, str)]
    answers = [key for key in keys.values() if not isinstance(key, str)]
    neutrals = sorted(_neutrals(card).values())
    bands = (_band(card), _band_in_volts(card), _band_turned(card))
    return (
        all(higher - lower > 1 for lower, higher in pairwise(neutrals))
        and all(abs(card.village_reading - end) > 2 for band in bands for end in band)
        and all(abs(answer - number) > 0.006 * answer for answer in answers for number in given)
    )


def _in_star(card: Any) -> bool:
    return bool(card.bank == TO_A_COMMON_POINT)


def _bank_power(voltage: float, card: Any) -> float:
    return float(3 * single_phase_power(voltage, voltage / card.bank_resistance) / 1000)


def _heater_voltage(card: Any) -> float:
    return float(line_to_phase(card.line_voltage) if _in_star(card) else card.line_voltage)


def _neutrals(card: Any) -> dict[str, float]:
    """Return the current in the neutral of each statement, under its letter."""
    return {
        "A": float(card.rows_1_and_3_current),
        "B": float(2 * card.row_2_current),
        "C": 0.0,
        "D": float(home_neutral.key(card, None)),
    }


def _ordered(neutrals: dict[str, float]) -> str:
    return "".join(sorted(neutrals, key=lambda letter: neutrals[letter]))


def _wrong_neutrals(card: Any) -> dict[str, dict[str, float]]:
    """Return what each known error takes for the four currents."""
    right = _neutrals(card)
    return {
        "two-lines-added": right | {"A": 2 * right["A"]},
        "legs-added": right | {"D": card.leg_1_current + card.leg_2_current},
        "three-lines-added": right | {"C": 3 * right["A"]},
    }


def _wrong_order(name: str) -> Formula:
    """Return the order that an error makes, where it tells this error from the others."""

    def order(card: Any, earlier: Any) -> str | None:
        orders = {error: _ordered(currents) for error, currents in _wrong_neutrals(card).items()}
        others = {orders[error] for error in orders if error != name} | {_ordered(_neutrals(card))}
        return None if orders[name] in others else orders[name]

    return order


def _band(card: Any) -> tuple[float, float]:
    return (
        card.nominal_voltage * (1 - card.band_below / 100),
        card.nominal_voltage * (1 + card.band_above / 100),
    )


def _band_in_volts(card: Any) -> tuple[float, float]:
    """Return the band of somebody who takes percent for volts."""
    return card.nominal_voltage - card.band_below, card.nominal_voltage + card.band_above


def _band_turned(card: Any) -> tuple[float, float]:
    """Return the band of somebody who swaps the two percentages."""
    return (
        card.nominal_voltage * (1 - card.band_above / 100),
        card.nominal_voltage * (1 + card.band_below / 100),
    )


def _place(card: Any, band: Callable[[Any], tuple[float, float]]) -> str:
    low, high = band(card)
    return (
        "too low" if card.village_reading < low else "too high" if card.village_reading > high else "inside"
    )


def _wrong_place(
    band: Callable[[Any], tuple[float, float]], other: Callable[[Any], tuple[float, float]]
) -> Formula:
    """Return where a wrong band puts the reading, where it tells this error from the other one."""

    def place(card: Any, earlier: Any) -> str | None:
        given, others = _place(card, band), {_place(card, _band), _place(card, other)}
        return None if given in others else given

    return place


supply_kind: Choice = Choice(
    name="supply_kind",
    title="What feeds the old board",
    marks=1,
    level=2,
    outcome="tell single-phase, split-phase and three-phase supplies apart",
    options=KINDS,
    key=lambda card, earlier: BOARDS[card.board],
    working=lambda card, earlier: (
        f"the odd one of {card.board}, over one of the two equal ones, tells the angle"
    ),
    hints=(
        "Look for the one reading that differs from the two others. It lies between the two lines.",
        "Two equal arrows give twice their length end to end, √3 times at 120°, and 0 side by side.",
        "Divide the odd reading by one of the two equal readings. Which angle belongs to your factor?",
    ),
    sources=("electric-circuits-ac", "mains-electricity-article"),
    known_errors=(
        KnownError(
            name="half-a-turn-for-a-third",
            says="the two arrows were taken to lie end to end",
            hint="Divide the odd reading by one of the others once more. Is it really 2?",
            formula=lambda card, earlier: KINDS[1] if BOARDS[card.board] == KINDS[2] else None,
        ),
        KnownError(
            name="a-third-for-half-a-turn",
            says="the two arrows were taken to be 120° apart",
            hint="Divide the odd reading by one of the others once more. Is it really √3?",
            formula=lambda card, earlier: KINDS[2] if BOARDS[card.board] == KINDS[1] else None,
        ),
        KnownError(
            name="same-line-twice",
            says="two lines were taken for two waves",
            hint="How much lies between the two lines? What does that say about their waves?",
            formula=lambda card, earlier: KINDS[1] if BOARDS[card.board] == KINDS[0] else None,
        ),
    ),
)

phase_voltage: Number = Number(
    name="phase_voltage_v",
    title="Phase voltage in the workshop",
    marks=1,
    unit="V",
    level=1,
    outcome="say which voltage lies between which two wires",
    key=lambda card, earlier: line_to_phase(card.line_voltage),
    working=lambda card, earlier: (
        f"U phase = U line / √3 = {card.line_voltage} V / √3 = {show(phase_voltage.key(card, earlier))} V"
    ),
    hints=(
        "Look at what you have and what you want: you have line to line, you want line to neutral.",
        "The line voltage is √3 times the phase voltage, so it is the larger one.",
        "Take the voltage between two lines from your card and divide it by √3.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="line-to-phase-multiplied",
            says="it was multiplied by √3",
            hint="From a line to neutral there is less than from line to line. Which way must √3 go?",
            formula=lambda card, earlier: card.line_voltage * sqrt(3),
            misconception="line-to-phase-multiplied",
        ),
        KnownError(
            name="line-to-phase-by-3",
            says="it was divided by 3",
            hint="Three lines do not mean a third of the voltage. Which root belongs to 120°?",
            formula=lambda card, earlier: card.line_voltage / 3,
            misconception="line-to-phase-by-3",
        ),
        KnownError(
            name="line-to-phase-halved",
            says="it was halved",
            hint="Half belongs to two legs that are 180° apart. Here the lines are 120° apart.",
            formula=lambda card, earlier: card.line_voltage / 2,
            misconception="line-to-phase-halved",
        ),
        KnownError(
            name="root-2-for-root-3",
            says="√2 was used where √3 belongs",
            hint="√2 goes between RMS and peak. Which root goes between line and phase?",
            formula=lambda card, earlier: card.line_voltage / sqrt(2),
            misconception="root-2-for-root-3",
        ),
    ),
)

between_wires: Number = Number(
    name="between_wires_v",
    title="Voltage between the two wires of the bay",
    marks=2,
    unit="V",
    level=2,
    outcome="say which voltage lies between which two wires",
    key=lambda card, earlier: (
        float(abs(split_phase(card.bay_voltage, [0, 0, 1]).load_voltages[2]))
        if card.bay_supply == SPLIT_LEGS
        else phase_to_line(card.bay_voltage)
    ),
    working=lambda card, earlier: (
        f"{'180° apart: 2' if card.bay_supply == SPLIT_LEGS else '120° apart: √3'} × {card.bay_voltage} V = "
        f"{show(between_wires.key(card, earlier))} V"
    ),
    hints=(
        "Look at the line of your card that names the two wires. How far apart are their arrows?",
        "End to end, 180° apart, two equal arrows add up in full. At 120° they give √3 times one of them.",
        "Take the voltage from one wire to neutral and multiply it by the factor of your angle.",
    ),
    sources=("electric-circuits-ac", "mains-electricity-article"),
    known_errors=(
        KnownError(
            name="angle-of-the-other-supply",
            says="the factor of the other angle was used",
            hint="Read on your card which wires feed the bay. Are they half a turn or a third of a turn apart?",
            formula=lambda card, earlier: (
                card.bay_voltage * (sqrt(3) if card.bay_supply == SPLIT_LEGS else 2)
            ),
        ),
        KnownError(
            name="phase-to-line-divided",
            says="it was divided by √3",
            hint="Between the two wires there is more than from one of them to neutral. Which way must you go?",
            formula=lambda card, earlier: card.bay_voltage / sqrt(3),
            misconception="phase-to-line-divided",
        ),
        KnownError(
            name="root-2-for-root-3",
            says="it was multiplied by √2",
            hint="√2 goes between RMS and peak. Which factor belongs to the angle between the wires?",
            formula=lambda card, earlier: card.bay_voltage * sqrt(2),
            misconception="root-2-for-root-3",
        ),
        KnownError(
            name="one-wire-to-neutral",
            says="this is the voltage from one wire to neutral",
            hint="The question asks for the voltage from one wire to the other.",
            formula=lambda card, earlier: card.bay_voltage,
        ),
    ),
)

circuit_name: Text = Text(
    name="circuit_name",
    title="Name of the new circuit",
    marks=1,
    level=2,
    outcome="say what a 240 V, a 208 V and a 400 V circuit is",
    key=lambda card, earlier: CIRCUITS[card.circuit],
    working=lambda card, earlier: f"{card.circuit}: a {CIRCUITS[card.circuit]} circuit",
    spellings={
        name: (
            volts,
            f"{name} circuit",
            f"{name} AC",
            f"{volts} VAC",
            f"{volts} volt",
            f"{volts} volts",
            f"{volts} volt circuit",
            *pairs,
        )
        for name, pairs in {
            "240 V": ("120/240 V", "240/120 V", "120/240"),
            "208 V": ("120/208 V", "208/120 V", "208Y/120 V", "208Y/120"),
            "400 V": ("230/400 V", "400/230 V", "230/400"),
            "120 V": (),
            "230 V": (),
        }.items()
        for volts in [name.removesuffix(" V")]
    },
    hints=(
        "A circuit bears the name of the highest voltage between two of its wires.",
        "That is twice the voltage to neutral at 180°, and √3 times at 120°.",
        "Take the voltage to neutral on your card times your factor, and round to the nominal voltage.",
    ),
    sources=("mains-electricity-article", "electric-circuits-ac"),
    known_errors=(
        KnownError(
            name="angle-mixed-up",
            says="this circuit has the same voltage to neutral and another angle",
            hint="Are the two wires of your circuit half a turn or a third of a turn apart?",
            formula=lambda card, earlier: {"240 V": "208 V", "208 V": "240 V"}.get(CIRCUITS[card.circuit]),
        ),
        KnownError(
            name="voltage-to-neutral",
            says="this is the voltage from a line to neutral",
            hint="The name tells the voltage from line to line.",
            formula=lambda card, earlier: "230 V" if CIRCUITS[card.circuit] == "400 V" else "120 V",
        ),
    ),
)

charger_power: Number = Number(
    name="charger_power_kw",
    title="Power of a charger on the workshop's circuit",
    marks=3,
    unit="kW",
    units={"W": 0.001},
    level=3,
    outcome="say what a 240 V, a 208 V and a 400 V circuit is",
    needs=("phase_voltage_v",),
    key=lambda card, earlier: (
        card.charger_parts * single_phase_power(earlier.phase_voltage_v, card.charger_current) / 1000
    ),
    also=(
        lambda card, earlier: (
            three_phase_power(card.line_voltage, card.charger_current) / 1000
            if card.charger_parts == 3
            else nan
        ),
    ),
    working=lambda card, earlier: (
        f"P = parts · U phase · I = {card.charger_parts} × {show(earlier.phase_voltage_v)} V × "
        f"{card.charger_current} A / 1000 = {show(charger_power.key(card, earlier))} kW"
    ),
    hints=(
        "Each part of the charger is connected from one line to neutral. Which voltage does it get?",
        "The power of one part is voltage times current. The parts in use add up.",
        "Take your phase voltage times the current of one part, then times the parts in use, then go to kilowatts.",
    ),
    sources=("electric-circuits-ac", "charger-theory-chapter"),
    known_errors=(
        KnownError(
            name="one-part-only",
            says="only one part of the charger was counted",
            hint="Read on your card how many parts are in use. Each of them takes power.",
            formula=lambda card, earlier: earlier.phase_voltage_v * card.charger_current / 1000,
            misconception="one-phase-for-three",
        ),
        KnownError(
            name="line-voltage-across-each-part",
            says="each part was given the voltage from line to line",
            hint="Between which two wires does one part of the charger lie?",
            formula=lambda card, earlier: (
                card.charger_parts * card.line_voltage * card.charger_current / 1000
            ),
            misconception="3-with-line-voltage",
        ),
        KnownError(
            name="two-phases-by-root",
            says="two parts were counted as √2",
            hint="Powers have no direction, so they simply add up. No root is needed for two parts.",
            formula=lambda card, earlier: (
                sqrt(2) * earlier.phase_voltage_v * card.charger_current / 1000
                if card.charger_parts == 2
                else nan
            ),
            misconception="two-phases-by-root",
        ),
        KnownError(
            name="third-part-counted",
            says="all three lines were counted",
            hint="The circuit has three lines. How many of them does this charger use?",
            formula=lambda card, earlier: (
                3 * earlier.phase_voltage_v * card.charger_current / 1000 if card.charger_parts == 2 else nan
            ),
        ),
        KnownError(
            name="line-voltage-times-current",
            says="the line voltage was multiplied by the current, and that was all",
            hint="Each part lies from line to neutral. Work out one part first, then count the parts.",
            formula=lambda card, earlier: card.line_voltage * card.charger_current / 1000,
            misconception="root-3-missing",
        ),
        KnownError(
            name="watts-for-kilowatts",
            says="this is in watts, the question asks for kilowatts",
            hint="Divide by 1000 to get from watts to kilowatts.",
            formula=lambda card, earlier: card.charger_parts * earlier.phase_voltage_v * card.charger_current,
            keeps=2,
            misconception="factor-1000",
        ),
    ),
)

heater_connection: Text = Text(
    name="heater_connection",
    title="How the heaters of the drying room are connected",
    marks=1,
    level=2,
    outcome="tell star from delta, and say what each does to voltage and current",
    key=lambda card, earlier: HEATERS[card.heaters],
    working=lambda card, earlier: f"{card.heaters}: {HEATERS[card.heaters]}",
    spellings={
        "star": ("wye", "Y", "star connection", "star connected", "in star", "wye connection"),
        "delta": ("Δ", "D", "delta connection", "delta connected", "in delta", "triangle", "mesh"),
    },
    hints=(
        "Compare the two readings on your card: are they equal, or is one of them √3 times the other?",
        "One way gives each heater the whole line voltage. The other way gives it the whole line current.",
        "Say first whether your card gives voltages or currents. Then ask which way leaves them equal.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="connections-mixed-up",
            says="the two ways to connect are mixed up",
            hint="Draw three lines and three heaters. Where would your two readings be equal?",
            formula=lambda card, earlier: "star" if HEATERS[card.heaters] == "delta" else "delta",
            misconception="star-for-delta",
        ),
    ),
)

bank_power: Number = Number(
    name="bank_power_kw",
    title="Power of the heaters in the paint shop",
    marks=3,
    unit="kW",
    units={"W": 0.001},
    level=3,
    outcome="tell star from delta, and say what each does to voltage and current",
    key=lambda card, earlier: _bank_power(_heater_voltage(card), card),
    also=(
        # By the apprentice's own phase voltage, where the heaters get that.
        lambda card, earlier: _bank_power(earlier.phase_voltage_v, card) if _in_star(card) else nan,
    ),
    working=lambda card, earlier: (
        f"{f'U = {card.line_voltage} V / √3' if _in_star(card) else 'U'} = {show(_heater_voltage(card))} V, "
        f"P = 3 · U² / R = 3 × ({show(_heater_voltage(card))} V)² / {card.bank_resistance} Ω / 1000 = "
        f"{show(bank_power.key(card, earlier))} kW"
    ),
    hints=(
        "Look first at how the heaters run. Which voltage lies across each of them?",
        "The power of one heater is its voltage squared, divided by its resistance. There are three heaters.",
        "Begin with the line voltage of the workshop and the resistance on your card. Work out one heater.",
    ),
    sources=("electric-circuits-ac", "university-physics-2"),
    known_errors=(
        KnownError(
            name="connections-mixed-up",
            says="the heaters were taken as connected the other way, or not all of them were counted",
            hint="Which voltage lies across each heater here? And how many heaters are there?",
            formula=lambda card, earlier: _bank_power(
                card.line_voltage if _in_star(card) else float(line_to_phase(card.line_voltage)), card
            ),
            misconception="star-for-delta",
        ),
        KnownError(
            # From line to line this gives the same as the error above, which is then the one to name.
            name="one-heater-only",
            says="only one heater was counted",
            hint="How many heaters take power?",
            formula=lambda card, earlier: bank_power.key(card, earlier) / 3 if _in_star(card) else nan,
            keeps=1,
        ),
        KnownError(
            name="root-3-for-three-heaters",
            says="the power of one heater was multiplied by √3",
            hint="Powers simply add up. How many heaters are there?",
            formula=lambda card, earlier: bank_power.key(card, earlier) / sqrt(3),
        ),
        KnownError(
            name="root-2-for-root-3",
            says="the line voltage was divided by √2",
            hint="√2 goes between RMS and peak. Which root goes between line and phase?",
            formula=lambda card, earlier: (
                _bank_power(card.line_voltage / sqrt(2), card) if _in_star(card) else nan
            ),
            misconception="root-2-for-root-3",
        ),
        KnownError(
            name="watts-for-kilowatts",
            says="this is in watts, the question asks for kilowatts",
            hint="Divide by 1000 to get from watts to kilowatts.",
            formula=lambda card, earlier: 1000 * bank_power.key(card, earlier),
            keeps=2,
            misconception="factor-1000",
        ),
    ),
)

bank_current: Number = Number(
    name="bank_current_a",
    title="Line current of the paint shop",
    marks=2,
    unit="A",
    level=2,
    outcome="tell star from delta, and say what each does to voltage and current",
    needs=("bank_power_kw",),
    key=lambda card, earlier: three_phase_current(earlier.bank_power_kw * 1000, card.line_voltage),
    working=lambda card, earlier: (
        f"I = P / (√3 · U line) = {show(earlier.bank_power_kw)} kW × 1000 / (√3 × {card.line_voltage} V) = "
        f"{show(bank_current.key(card, earlier))} A"
    ),
    hints=(
        "Each line feeds one heater, or two of them. Look at your sketch of the connection.",
        "One heater takes a third of the power. Its current is that power over its own voltage.",
        "Begin with your power in watts and divide it by three. Where two heaters share a line, √3 comes in.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="current-root-3-missing",
            says="the power was divided by the line voltage alone",
            hint="Three lines share the work. Which root belongs to the line voltage?",
            formula=lambda card, earlier: earlier.bank_power_kw * 1000 / card.line_voltage,
            misconception="current-root-3-missing",
        ),
        KnownError(
            name="all-power-in-one-phase",
            says="one line was given all the power",
            hint="Three lines share the work. How much of it falls to one?",
            formula=lambda card, earlier: earlier.bank_power_kw * 1000 / line_to_phase(card.line_voltage),
            misconception="all-power-in-one-phase",
        ),
        KnownError(
            name="heater-current-for-line-current",
            says="a third of the power was divided by the line voltage",
            hint="Draw the connection. Does a heater lie across that voltage, and does a line feed one heater or two?",
            formula=lambda card, earlier: earlier.bank_power_kw * 1000 / (3 * card.line_voltage),
            misconception="star-for-delta",
        ),
        KnownError(
            name="root-2-for-root-3",
            says="√2 was used where √3 belongs",
            hint="√2 goes between RMS and peak. Which root belongs to three lines?",
            formula=lambda card, earlier: earlier.bank_power_kw * 1000 / (sqrt(2) * card.line_voltage),
            misconception="root-2-for-root-3",
        ),
        KnownError(
            name="kilowatts-not-converted",
            says="the power went in as kilowatts",
            hint="Volts and amperes go with watts. Convert your power first.",
            formula=lambda card, earlier: bank_current.key(card, earlier) / 1000,
            keeps=1,
            misconception="factor-1000",
        ),
    ),
)

home_neutral: Number = Number(
    name="home_neutral_a",
    title="What the neutral of the home carries",
    marks=2,
    unit="A",
    level=2,
    outcome="say what the neutral carries",
    # The voltage of a leg drops out: the powers are made of it and of the currents on the card.
    key=lambda card, earlier: (
        split_phase(
            120, [120 * card.leg_1_current, 120 * card.leg_2_current, 240 * card.home_charger]
        ).neutral_current
    ),
    working=lambda card, earlier: (
        f"I N = I leg 1 − I leg 2 = {card.leg_1_current} A − {card.leg_2_current} A = "
        f"{show(home_neutral.key(card, earlier))} A"
    ),
    hints=(
        "Look at which loads are connected to the neutral, and which one is not.",
        "The legs are 180° apart: what one pushes into the neutral, the other pulls out of it.",
        "Write down the two currents to neutral from your card. Do they add up or work against each other?",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="legs-added",
            says="the currents of the two legs were added",
            hint="The two legs are half a turn apart. When one current flows in, which way does the other flow?",
            formula=lambda card, earlier: card.leg_1_current + card.leg_2_current,
        ),
        KnownError(
            name="charger-counted",
            says="the charger from leg to leg was counted too",
            hint="Draw the way of the charger's current. Does it pass through the neutral?",
            formula=lambda card, earlier: card.leg_1_current + card.home_charger - card.leg_2_current,
        ),
        KnownError(
            name="larger-leg-alone",
            says="this is the current of leg 1 alone",
            hint="Leg 2 has a load to neutral as well. What does it do to the current in the neutral?",
            formula=lambda card, earlier: card.leg_1_current,
        ),
        KnownError(
            name="angle-of-three-phases",
            says="the two currents were taken to be 120° apart",
            hint="This home has a split phase. How far apart are its two legs?",
            formula=lambda card, earlier: sqrt(
                card.leg_1_current**2 + card.leg_2_current**2 - card.leg_1_current * card.leg_2_current
            ),
        ),
    ),
)

neutral_order: Ordering = Ordering(
    name="neutral_order",
    title="Four neutrals in order",
    marks=2,
    level=3,
    outcome="say what the neutral carries",
    statements=(
        "Row 1, three-phase: two equal chargers, one from L1 to neutral, one from L2 to neutral.",
        "Row 2, three-phase: two equal chargers, both from L1 to neutral.",
        "Row 3, three-phase: three equal chargers, one from each line to neutral.",
        "The home of question 9.",
    ),
    key=lambda card, earlier: _ordered(_neutrals(card)),
    working=lambda card, earlier: ", ".join(
        f"{letter} {show(_neutrals(card)[letter], 3)} A" for letter in _ordered(_neutrals(card))
    ),
    hints=(
        "Write a current beside each letter first. The order then follows by itself.",
        "Equal currents on the same line add up. Three equal ones, 120° apart, cancel. What do two leave?",
        "For the rows take the currents of the chargers from your card; for the home take your own answer.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="two-lines-added",
            says="two currents 120° apart were simply added",
            hint="Put the two arrows of row 1 tip to tail. How far is it from the start to the end?",
            formula=_wrong_order("two-lines-added"),
        ),
        KnownError(
            name="legs-added",
            says="the currents of the two legs were added",
            hint="The legs of the home are half a turn apart. Which way do the two currents flow in the neutral?",
            formula=_wrong_order("legs-added"),
        ),
        KnownError(
            name="three-lines-added",
            says="three equal currents were taken to add up",
            hint="Put the three arrows of row 3 tip to tail. Where do you end?",
            formula=_wrong_order("three-lines-added"),
        ),
    ),
)

lowest_voltage: Number = Number(
    name="lowest_voltage_v",
    title="Lower end of the band",
    marks=1,
    unit="V",
    level=1,
    outcome="find the band in which a supply voltage may lie",
    key=lambda card, earlier: _band(card)[0],
    working=lambda card, earlier: (
        f"U = {card.nominal_voltage} V × (100 − {card.band_below}) / 100 = "
        f"{show(lowest_voltage.key(card, earlier))} V"
    ),
    hints=(
        "Look for two values on your card: the nominal voltage, and by how much the band goes down.",
        "Per cent means of every hundred volts of the nominal voltage, not volts.",
        "Take the percentage from 100, divide by 100, and multiply the nominal voltage by that.",
    ),
    sources=("en-50160-thread", "ansi-c84-notes"),
    known_errors=(
        KnownError(
            name="percent-as-volts",
            says="the percentage was taken off as volts",
            hint="Per cent is a share. How many volts is this share of the nominal voltage?",
            formula=lambda card, earlier: _band_in_volts(card)[0],
        ),
        KnownError(
            name="nominal-voltage-divided",
            says="the nominal voltage was divided by 1 plus the share",
            hint="The share belongs to the nominal voltage. Take it away from that.",
            formula=lambda card, earlier: card.nominal_voltage / (1 + card.band_below / 100),
        ),
        KnownError(
            name="percentages-swapped",
            says="the percentage of the other end was used",
            hint="Your card has two percentages. Which of them goes down?",
            formula=lambda card, earlier: _band_turned(card)[0],
        ),
        KnownError(
            name="upper-end",
            says="this is the upper end of the band",
            hint="The question asks for the lower end.",
            formula=lambda card, earlier: _band(card)[1],
        ),
        KnownError(
            name="share-for-the-rest",
            says="this is the share that is taken away",
            hint="One step is left: what remains of the nominal voltage?",
            formula=lambda card, earlier: card.nominal_voltage * card.band_below / 100,
            misconception="loss-for-output",
        ),
    ),
)

band_verdict: Choice = Choice(
    name="band_verdict",
    title="Is the last house inside the band?",
    marks=1,
    level=2,
    outcome="find the band in which a supply voltage may lie",
    options=("inside", "too low", "too high"),
    key=lambda card, earlier: _place(card, _band),
    working=lambda card, earlier: (
        f"{card.village_reading} V, band {show(_band(card)[0])} V to {show(_band(card)[1])} V: "
        f"{_place(card, _band)}"
    ),
    hints=(
        "Compare the reading with both ends of the band. You know the lower end already.",
        "The upper end follows like the lower one, with the other percentage and a plus.",
        "Begin with the nominal voltage and add the share by which the band goes up.",
    ),
    sources=("en-50160-thread", "ansi-c84-notes"),
    known_errors=(
        KnownError(
            name="percent-as-volts",
            says="the percentages were taken as volts",
            hint="Per cent is a share. How many volts is it of the nominal voltage?",
            formula=_wrong_place(_band_in_volts, _band_turned),
        ),
        KnownError(
            name="percentages-swapped",
            says="the two percentages were swapped",
            hint="Your card has two percentages. Which goes down, which goes up?",
            formula=_wrong_place(_band_turned, _band_in_volts),
        ),
    ),
)

WORKSHEET = Worksheet(
    name="supplies",
    version="1",
    title="Know the supplies of the world",
    lesson="03-know-the-supplies",
    entries=ENTRIES,
    possible=possible,
    questions=(
        supply_kind,
        phase_voltage,
        between_wires,
        circuit_name,
        charger_power,
        heater_connection,
        bank_power,
        bank_current,
        home_neutral,
        neutral_order,
        lowest_voltage,
        band_verdict,
    ),
    features={
        "supply of the old board": lambda card: BOARDS[card.board],
        "wires of the bay": lambda card: str(card.bay_supply),
        "new circuit": lambda card: CIRCUITS[card.circuit],
        "parts of the charger": lambda card: str(card.charger_parts),
        "heaters of the drying room": lambda card: HEATERS[card.heaters],
        "heaters of the paint shop": lambda card: str(card.bank),
        "last house": lambda card: _place(card, _band),
    },
)
