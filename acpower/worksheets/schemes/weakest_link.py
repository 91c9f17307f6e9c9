"""Mark scheme of the worksheet ``weakest-link``: four ratings, one current, and what it does to the cable."""

from math import nan, sqrt
from typing import Any

from acpower.pilot import cable_rating, duty_from_current
from acpower.power import line_to_phase, single_phase_power, three_phase_power
from acpower.worksheets.cards import Entry
from acpower.worksheets.scheme import (
    COMMON_PRACTICE,
    Choice,
    KnownError,
    Number,
    Ordering,
    Text,
    Worksheet,
    show,
)
from acpower.worksheets.schemes.shared_checks import numbers_stand_apart

LINKS = ("supply", "station", "cable", "vehicle")
# The letters under which the statements of the ordering name the links.
LETTERS = {"vehicle": "A", "cable": "B", "station": "C", "supply": "D"}

CLUES = {
    "its breaker and its wires in the wall have a rated current": "supply",
    "it names the highest current with the duty of the control pilot": "station",
    "a resistor in its plug stands for its rated current": "cable",
    "it turns AC into DC": "vehicle",
}

ENTRIES = (
    Entry("site", "Site", "", ("Tannery yard", "Lock keeper's house", "Hilltop clinic", "Old brewery")),
    Entry("clue", "Link of question 1", "", tuple(CLUES)),
    Entry("supply_current", "Supply: rated current per phase", "A", (10, 25, 35, 40, 50)),
    Entry("station_current", "Station: highest current that it can be set to", "A", (12, 18, 28, 36)),
    Entry(
        "coding_ohm",
        "Cable: resistance measured at the code of its plug",
        "Ω",
        (254, 266, 278, 696, 712, 728, 1490, 1510, 1520),
    ),
    Entry("vehicle_current", "Vehicle: on-board charger, current per phase", "A", (16, 24, 30, 48)),
    Entry(
        "phases",
        "Phases of supply, station, cable, vehicle",
        "",
        ("1, 3, 3, 3", "3, 1, 3, 3", "3, 3, 1, 3", "3, 3, 3, 1"),
    ),
    Entry("line_voltage", "Line voltage at the main board", "V", (388, 392, 396, 404, 408, 412)),
    Entry("sag_percent", "Busy evening: the voltage sags by", "%", (6, 7, 8, 9)),
    Entry("conductor_mohm", "Cable: resistance of one conductor", "mΩ", (22, 24, 26, 28)),
)


def possible(card: Any) -> bool:
    """Refuse cards whose ratings stand in the order of the list, or too far apart, and chance hits."""
    ratings = _ratings(card).values()
    return (
        _by_rating(_ratings(card)) != "ABCD"
        and min(ratings) <= 24
        and 1.3 < sum(ratings) / len(ratings) / min(ratings) < 2.7
        and numbers_stand_apart(WORKSHEET, card, chosen=("offer_a",))
    )


def _ratings(card: Any, cable: float | None = None) -> dict[str, float]:
    """Return the rated current of each link, with the cable's own rating unless another is given."""
    if cable is None:
        cable = float(cable_rating(card.coding_ohm))
    return dict(
        zip(LINKS, (card.supply_current, card.station_current, cable, card.vehicle_current), strict=True)
    )


def _weakest(card: Any) -> str:
    ratings = _ratings(card)
    return min(LINKS, key=ratings.__getitem__)


def _strongest(card: Any) -> str:
    ratings = _ratings(card)
    return max(LINKS, key=ratings.__getitem__)


def _fewest_phases(card: Any) -> str:
    return LINKS[card.phases.split(", ").index("1")]


def _by_rating(ratings: dict[str, float]) -> str:
    return "".join(LETTERS[link] for link in sorted(ratings, key=ratings.__getitem__))


def _mean(card: Any, cable: float | None = None) -> float:
    return sum(_ratings(card, cable).values()) / len(LINKS)


def _chain_current(card: Any, earlier: Any) -> float:
    return float(min(earlier.offer_a, card.supply_current, card.vehicle_current))


def _one_phase_kw(card: Any, current: float) -> float:
    return float(single_phase_power(line_to_phase(card.line_voltage), current)) / 1000


def _three_phases_kw(card: Any, current: float) -> float:
    return float(three_phase_power(card.line_voltage, current)) / 1000


# What the code of a cable becomes when it is read the other way round, or one row beside the right one.
READ_TURNED_ROUND = {13: 63, 20: 32, 32: 20}
READ_ONE_ROW_OFF = {13: 20, 20: 13, 32: 63}

KILOWATT = {"W": 0.001}
WEAKEST_STANDS_IT = "Would the weakest link stand that current for hours?"
DIVIDE_BY_1000 = "Divide by 1000 to get from watts to kilowatts."

link_of_the_clue = Text(
    name="link_of_the_clue",
    title="Which link is it",
    marks=1,
    level=2,
    outcome="name the four links of the charging chain and their ratings",
    key=lambda card, earlier: CLUES[card.clue],
    spellings={
        "supply": (
            "circuit",
            "supply circuit",
            "power supply",
            "mains supply",
            "mains",
            "grid",
            "house supply",
        ),
        "station": ("charging station", "charge station", "charging point", "charge point", "EVSE"),
        "cable": ("charging cable", "charge cable", "lead", "charging lead", "cord"),
        "vehicle": (
            "on-board charger",
            "charger",
            "OBC",
            "car",
            "EV",
            "electric vehicle",
            "electric car",
            "vehicle's on-board charger",
        ),
    },
    working=lambda card, earlier: f"“{card.clue}”: this is the {CLUES[card.clue]}",
    hints=(
        "Read the line of question 1 on your card. What does this link do, and where does it sit?",
        "Four links carry the same current one after the other. Each does one thing that no other does.",
        "Walk with the current from the wall to the battery. Stop where your line of the card holds.",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="charger-and-its-feeder-mixed-up",
            says="the box on the wall and the charger were taken for one another",
            hint="One of them only switches AC and tells a number. The other makes DC. Which one does your card mean?",
            formula=lambda card, earlier: {"station": "vehicle", "vehicle": "station"}.get(CLUES[card.clue]),
        ),
        KnownError(
            name="wires-mixed-up",
            says="the wires in the wall and the wires outside were taken for one another",
            hint="One of them can be unplugged and carried away. Does your card mean that one?",
            formula=lambda card, earlier: {"supply": "cable", "cable": "supply"}.get(CLUES[card.clue]),
        ),
    ),
)

cable_rating_a: Number = Number(
    name="cable_rating_a",
    title="Rating of the cable from its code",
    marks=1,
    level=1,
    outcome="read the rating of a cable from its coding resistor",
    unit="A",
    figures=2,
    key=lambda card, earlier: cable_rating(card.coding_ohm),
    working=lambda card, earlier: (
        f"{card.coding_ohm} Ω lies in the band of the cable for {cable_rating(card.coding_ohm):g} A"
    ),
    hints=(
        "Look for the resistance of your card in the table of the question.",
        "Each row is a band from lowest to highest resistance. The measured value lies in one of them.",
        "Begin with the middle column: is your resistance above or below it? Go to the row that holds it.",
    ),
    sources=("station-bring-up-guide", "charge-controller-manual"),
    known_errors=(
        KnownError(
            name="code-turned-round",
            says="the code was read the other way round",
            hint="A small resistance stands for a thick cable. Is yours one of the small ones?",
            formula=lambda card, earlier: READ_TURNED_ROUND[int(cable_rating(card.coding_ohm))],
        ),
        KnownError(
            name="row-beside",
            says="the row beside the right one was read",
            hint="Put a finger on the row. Are both ends of the band on the proper side of your resistance?",
            formula=lambda card, earlier: READ_ONE_ROW_OFF[int(cable_rating(card.coding_ohm))],
        ),
        KnownError(
            name="ohms-for-amperes",
            says="this is the resistance itself",
            hint="The resistance is a code. Which current stands beside its band?",
            formula=lambda card, earlier: card.coding_ohm,
        ),
    ),
)

order_of_ratings = Ordering(
    name="order_of_ratings",
    title="The links by their rating",
    marks=2,
    level=2,
    outcome="name the four links of the charging chain and their ratings",
    statements=("the vehicle", "the cable", "the station", "the supply"),
    key=lambda card, earlier: _by_rating(_ratings(card)),
    working=lambda card, earlier: (
        ", ".join(f"{link} {amperes:g} A" for link, amperes in _ratings(card).items())
        + f": from the smallest up {_by_rating(_ratings(card))}"
    ),
    hints=(
        "Write the four rated currents of your card beside the letters.",
        "The smallest current comes first. The rating of one link is hidden in a resistance.",
        "Turn the resistance into amperes first. Then pick the smallest of the four, and go up from there.",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="order-along-the-chain",
            says="this is the order along the way of the current",
            hint="The question asks for the size of the ratings. Which of them is the smallest?",
            formula=lambda card, earlier: "DCBA" if _by_rating(_ratings(card)) != "DCBA" else None,
        ),
        KnownError(
            name="code-turned-round",
            says="the code of the plug was read the other way round",
            hint="A small resistance stands for a thick cable. Look at question 2 again.",
            keeps=1,
            formula=lambda card, earlier: _order_with_code_turned_round(card),
        ),
    ),
)


def _order_with_code_turned_round(card: Any) -> str | None:
    order = _by_rating(_ratings(card, READ_TURNED_ROUND[int(cable_rating(card.coding_ohm))]))
    return order if order not in (_by_rating(_ratings(card)), "DCBA") else None


offer_a: Number = Number(
    name="offer_a",
    title="What the station may offer with this cable",
    marks=1,
    level=2,
    outcome="say what a station may offer with a given cable",
    unit="A",
    figures=2,
    needs=("cable_rating_a",),
    key=lambda card, earlier: min(card.station_current, earlier.cable_rating_a),
    working=lambda card, earlier: (
        f"The smaller of station {card.station_current} A and cable {show(earlier.cable_rating_a)} A is "
        f"{show(offer_a.key(card, earlier))} A"
    ),
    hints=(
        "Two numbers count here: what the station can be set to, and what the cable can carry.",
        "The station must never offer more than the cable can carry, nor more than it can give.",
        "Write the current of the station and the rating of the cable side by side. Which of them must hold?",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="largest-instead-of-smallest",
            says="the larger of the two was taken",
            hint="Would both of them stand that current for hours?",
            misconception="largest-instead-of-smallest",
            formula=lambda card, earlier: max(card.station_current, earlier.cable_rating_a),
        ),
        KnownError(
            name="mean-instead-of-smallest",
            says="the mean of the two was taken",
            hint="A chain does not average. Would both of them stand that current for hours?",
            misconception="largest-instead-of-smallest",
            formula=lambda card, earlier: (card.station_current + earlier.cable_rating_a) / 2,
        ),
        KnownError(
            name="other-links-counted",
            says="a link was counted that this question leaves aside",
            hint="The station reads the plug of the cable. It knows nothing yet about what is behind it.",
            formula=lambda card, earlier: (
                least if (least := min(_ratings(card).values())) < offer_a.key(card, earlier) else nan
            ),
        ),
        KnownError(
            name="duty-for-current",
            says="this is the duty of the pilot in percent",
            hint="The pilot carries the offer as a duty. The question asks for the offer in amperes.",
            formula=lambda card, earlier: duty_from_current(
                min(card.station_current, earlier.cable_rating_a)
            ),
        ),
    ),
)

current_link = Choice(
    name="current_link",
    title="Link that limits the current",
    marks=1,
    level=2,
    outcome="find the link that limits the current, and the link that limits the phases",
    options=LINKS,
    key=lambda card, earlier: _weakest(card),
    working=lambda card, earlier: (
        "Of "
        + ", ".join(f"{link} {amperes:g} A" for link, amperes in _ratings(card).items())
        + f" the {_weakest(card)} has the smallest current"
    ),
    hints=(
        "Look at the four rated currents. The order of question 3 helps.",
        "The same current runs through all four, one after the other. The one that stands least holds the rest.",
        "Write the four currents in a row and strike out the largest, then the next. Which one is left?",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="largest-instead-of-smallest",
            says="this is the strongest link",
            hint="The strongest link never limits. Which one gives in first?",
            misconception="largest-instead-of-smallest",
            formula=lambda card, earlier: _strongest(card),
        ),
        KnownError(
            name="phases-for-current",
            says="this link has the fewest phases, but it does not have the smallest current",
            hint="Phases are a question of their own. Look at the amperes only.",
            formula=lambda card, earlier: (
                _fewest_phases(card)
                if _fewest_phases(card) not in (_weakest(card), _strongest(card))
                else None
            ),
        ),
    ),
)

phase_link = Choice(
    name="phase_link",
    title="Link that limits the phases",
    marks=1,
    level=2,
    outcome="find the link that limits the current, and the link that limits the phases",
    options=LINKS,
    key=lambda card, earlier: _fewest_phases(card),
    working=lambda card, earlier: (
        f"Phases {card.phases} in the order {', '.join(LINKS)}: the {_fewest_phases(card)} has one"
    ),
    hints=(
        "Look at the line with the phases on your card. The names stand there in the same order as the numbers.",
        "A phase is of use only if all four links have it. The smallest number of phases counts.",
        "Write each of the four numbers under its name. Which name has the smallest number?",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="current-for-phases",
            says="this link has the smallest current, but it does not have the fewest phases",
            hint="Leave the amperes aside. Look at the line with the phases.",
            formula=lambda card, earlier: _weakest(card) if _weakest(card) != _fewest_phases(card) else None,
        ),
    ),
)

charging_power: Number = Number(
    name="charging_power_kw",
    title="Power of the chain today",
    marks=3,
    level=3,
    outcome="find the link that limits the current, and the link that limits the phases",
    unit="kW",
    units=KILOWATT,
    needs=("offer_a",),
    key=lambda card, earlier: _one_phase_kw(card, _chain_current(card, earlier)),
    working=lambda card, earlier: (
        f"I = smallest of offer {show(earlier.offer_a)} A, supply {card.supply_current} A, vehicle "
        f"{card.vehicle_current} A = {_chain_current(card, earlier):g} A, U = {card.line_voltage} V / √3 = "
        f"{show(card.line_voltage / sqrt(3))} V, P = U · I = {show(charging_power.key(card, earlier))} kW"
    ),
    hints=(
        "Three things have to be found: the current, the number of phases and the voltage of one phase.",
        "Smallest current, fewest phases. One phase lies between line and neutral: U = line voltage / √3.",
        "Take the smallest of your offer, the supply and the vehicle. Then find the voltage of one phase.",
    ),
    sources=("electric-circuits-ac", COMMON_PRACTICE),
    known_errors=(
        KnownError(
            name="largest-instead-of-smallest",
            says="the largest current of the chain was used",
            hint=WEAKEST_STANDS_IT,
            misconception="largest-instead-of-smallest",
            formula=lambda card, earlier: _one_phase_kw(card, max(_ratings(card).values())),
        ),
        KnownError(
            name="mean-instead-of-smallest",
            says="the mean of the four currents was used",
            hint=WEAKEST_STANDS_IT,
            misconception="largest-instead-of-smallest",
            formula=lambda card, earlier: _one_phase_kw(card, _mean(card)),
        ),
        KnownError(
            name="offer-only",
            says="only the offer was looked at",
            hint="Supply and vehicle carry the same current. Do both of them stand the offer?",
            keeps=1,
            formula=lambda card, earlier: (
                _one_phase_kw(card, earlier.offer_a)
                if earlier.offer_a > _chain_current(card, earlier)
                else nan
            ),
        ),
        KnownError(
            name="three-phases-for-one",
            says="three phases were counted",
            hint="One link has fewer phases than the others. How many are left for the charge?",
            keeps=1,
            formula=lambda card, earlier: _three_phases_kw(card, _chain_current(card, earlier)),
        ),
        KnownError(
            name="line-voltage-on-one-phase",
            says="the line voltage was used for a single phase",
            hint="Which two conductors feed a single phase? Take the voltage between those.",
            keeps=1,
            formula=lambda card, earlier: card.line_voltage * _chain_current(card, earlier) / 1000,
        ),
        KnownError(
            name="watts-for-kilowatts",
            says="the value is in watts, the question asks for kilowatts",
            hint=DIVIDE_BY_1000,
            keeps=2,
            misconception="factor-1000",
            formula=lambda card, earlier: 1000 * _one_phase_kw(card, _chain_current(card, earlier)),
        ),
    ),
)

three_phase: Number = Number(
    name="three_phase_power_kw",
    title="Power after the change",
    marks=2,
    level=2,
    outcome="find the link that limits the current, and the link that limits the phases",
    unit="kW",
    units=KILOWATT,
    needs=("offer_a",),
    key=lambda card, earlier: _three_phases_kw(card, _chain_current(card, earlier)),
    also=(lambda card, earlier: 3 * earlier.charging_power_kw,),
    working=lambda card, earlier: (
        f"P = √3 · U line · I = √3 × {card.line_voltage} V × {_chain_current(card, earlier):g} A = "
        f"{show(three_phase.key(card, earlier))} kW"
    ),
    hints=(
        "The current of the chain stays. What changes is the number of phases.",
        "Three phases: √3 with the line voltage, or 3 with the voltage of one phase.",
        "Write down the smallest current of your chain and the line voltage of your card. What belongs before them?",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="root-3-missing",
            says="√3 is missing, or √3 was used together with the phase voltage",
            hint="With the line voltage, three phases need √3. With the phase voltage they need 3.",
            misconception="root-3-missing",
            formula=lambda card, earlier: card.line_voltage * _chain_current(card, earlier) / 1000,
        ),
        KnownError(
            name="one-phase-for-three",
            says="only one phase was counted",
            hint="After the change every link has three phases. How much does each of them bring?",
            misconception="one-phase-for-three",
            formula=lambda card, earlier: _one_phase_kw(card, _chain_current(card, earlier)),
        ),
        KnownError(
            name="3-with-line-voltage",
            says="3 was used together with the line voltage",
            hint="With the line voltage, three phases need √3. With the phase voltage they need 3.",
            misconception="3-with-line-voltage",
            formula=lambda card, earlier: 3 * card.line_voltage * _chain_current(card, earlier) / 1000,
        ),
        KnownError(
            name="largest-instead-of-smallest",
            says="the largest current of the chain was used",
            hint=WEAKEST_STANDS_IT,
            misconception="largest-instead-of-smallest",
            formula=lambda card, earlier: _three_phases_kw(card, max(_ratings(card).values())),
        ),
        KnownError(
            name="watts-for-kilowatts",
            says="the value is in watts, the question asks for kilowatts",
            hint=DIVIDE_BY_1000,
            keeps=1,
            misconception="factor-1000",
            formula=lambda card, earlier: 1000 * _three_phases_kw(card, _chain_current(card, earlier)),
        ),
    ),
)

sagged_power: Number = Number(
    name="sagged_power_kw",
    title="Power while the voltage sags",
    marks=2,
    level=2,
    outcome="say what a sagging voltage does to the power",
    unit="kW",
    units=KILOWATT,
    needs=("three_phase_power_kw",),
    # The current is held, so the power keeps the same share as the voltage.
    key=lambda card, earlier: earlier.three_phase_power_kw * (1 - card.sag_percent / 100),
    working=lambda card, earlier: (
        f"P = {show(earlier.three_phase_power_kw)} kW × (100 − {card.sag_percent}) / 100 = "
        f"{show(sagged_power.key(card, earlier))} kW"
    ),
    hints=(
        "What does the charger hold constant, and what falls?",
        "Power goes with voltage times current. The current stays as it is.",
        "Find the share of the voltage that is left when your percentage is gone. Take that share of the power.",
    ),
    sources=("undervoltage-thread",),
    known_errors=(
        KnownError(
            name="power-held",
            says="the power was left as it is",
            hint="The charger holds its current. What happens to voltage times current when the voltage falls?",
            formula=lambda card, earlier: earlier.three_phase_power_kw,
        ),
        KnownError(
            name="square-of-the-voltage",
            says="the power was taken to fall with the square of the voltage",
            hint="That fits a heater: its current falls too. Which of the two does a charger hold?",
            formula=lambda card, earlier: earlier.three_phase_power_kw * (1 - card.sag_percent / 100) ** 2,
        ),
        KnownError(
            name="sag-added",
            says="the power was taken to rise",
            hint="The current stays, the voltage falls. Which way must the power go?",
            formula=lambda card, earlier: earlier.three_phase_power_kw * (1 + card.sag_percent / 100),
        ),
        KnownError(
            name="fall-for-rest",
            says="this is by how much the power falls",
            hint="The question asks for the power that is left.",
            keeps=1,
            formula=lambda card, earlier: earlier.three_phase_power_kw * card.sag_percent / 100,
        ),
        KnownError(
            name="percent-as-factor",
            says="the percentage was used as a factor",
            hint="Per cent means of every hundred. Turn what is left into a fraction first.",
            keeps=1,
            misconception="percent-as-factor",
            formula=lambda card, earlier: earlier.three_phase_power_kw * (100 - card.sag_percent),
        ),
    ),
)


def _ohms(card: Any) -> float:
    return float(card.conductor_mohm / 1000)


cable_heat: Number = Number(
    name="cable_heat_w",
    title="Heat in the cable today",
    marks=2,
    level=2,
    outcome="say why the smallest rating counts, and not the mean",
    unit="W",
    units={"kW": 1000.0},
    needs=("offer_a",),
    key=lambda card, earlier: 2 * _ohms(card) * _chain_current(card, earlier) ** 2,
    working=lambda card, earlier: (
        f"P = 2 · R · I² = 2 × {_ohms(card):g} Ω × ({_chain_current(card, earlier):g} A)² = "
        f"{show(cable_heat.key(card, earlier))} W"
    ),
    hints=(
        "Which conductors of the cable carry the current of a single phase, and which current is it?",
        "Each conductor gets warm with R · I². Put R in ohms.",
        "Turn the milliohms of your card into ohms. Then work out one conductor with the current of the whole chain.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="return-conductor-forgotten",
            says="only one conductor was counted",
            hint="The current also has to come back. How many conductors get warm?",
            keeps=1,
            misconception="return-conductor-forgotten",
            formula=lambda card, earlier: _ohms(card) * _chain_current(card, earlier) ** 2,
        ),
        KnownError(
            name="loss-without-square",
            says="the current was not squared, so this is a voltage",
            hint="Ohms times amperes gives volts. What makes it watts?",
            misconception="loss-without-square",
            formula=lambda card, earlier: 2 * _ohms(card) * _chain_current(card, earlier),
        ),
        KnownError(
            name="three-conductors",
            says="three conductors were counted, as with three phases",
            hint="Today the chain has a single phase. Through which conductors does its current run?",
            keeps=1,
            formula=lambda card, earlier: 3 * _ohms(card) * _chain_current(card, earlier) ** 2,
        ),
        KnownError(
            name="milliohms-as-ohms",
            says="the milliohms were used as ohms",
            hint="A thousand milliohms are one ohm. Convert before you multiply.",
            keeps=1,
            formula=lambda card, earlier: 2 * card.conductor_mohm * _chain_current(card, earlier) ** 2,
        ),
    ),
)

heat_factor: Number = Number(
    name="heat_factor",
    title="What the mean would do to the weakest link",
    marks=2,
    level=1,
    outcome="say why the smallest rating counts, and not the mean",
    unit="times",
    needs=("cable_rating_a",),
    key=lambda card, earlier: (
        (_mean(card, earlier.cable_rating_a) / min(_ratings(card, earlier.cable_rating_a).values())) ** 2
    ),
    working=lambda card, earlier: (
        f"mean = {show(_mean(card, earlier.cable_rating_a))} A, smallest = "
        f"{min(_ratings(card, earlier.cable_rating_a).values()):g} A, (mean / smallest)² = "
        f"{show(heat_factor.key(card, earlier))}"
    ),
    hints=(
        "Two currents are compared here: the mean of the four ratings, and the smallest of them.",
        "Heat goes with the square of the current: heat factor = (mean / smallest)².",
        "Add supply, station, your rating of the cable and vehicle, and share by four. Then find the smallest.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="loss-without-square",
            says="the square is missing",
            hint="Twice the current is four times the heat. What is missing in your last step?",
            keeps=1,
            misconception="loss-without-square",
            formula=lambda card, earlier: sqrt(heat_factor.key(card, earlier)),
        ),
        KnownError(
            name="doubled-for-squared",
            says="it was doubled where it must be squared",
            hint="The square of a number is the number times itself.",
            keeps=1,
            formula=lambda card, earlier: 2 * sqrt(heat_factor.key(card, earlier)),
        ),
        KnownError(
            name="ratio-upside-down",
            says="the smallest was divided by the mean",
            hint="The mean brings more heat than the link is made for. Should the factor be above or below 1?",
            formula=lambda card, earlier: 1 / heat_factor.key(card, earlier),
        ),
        KnownError(
            name="largest-instead-of-mean",
            says="the largest rating was used where the mean is asked for",
            hint="The mean is the sum of the four, shared by four.",
            misconception="largest-instead-of-smallest",
            formula=lambda card, earlier: (
                (
                    max(_ratings(card, earlier.cable_rating_a).values())
                    / min(_ratings(card, earlier.cable_rating_a).values())
                )
                ** 2
            ),
        ),
    ),
)

WORKSHEET = Worksheet(
    name="weakest-link",
    version="1",
    title="Find the weakest link",
    lesson="07-find-the-weakest-link",
    entries=ENTRIES,
    possible=possible,
    features={
        "link that limits the current": _weakest,
        "link that limits the phases": _fewest_phases,
        "rating of the cable": lambda card: f"{cable_rating(card.coding_ohm):g} A",
    },
    questions=(
        link_of_the_clue,
        cable_rating_a,
        order_of_ratings,
        offer_a,
        current_link,
        phase_link,
        charging_power,
        three_phase,
        sagged_power,
        cable_heat,
        heat_factor,
    ),
)
