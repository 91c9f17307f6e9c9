"""Mark scheme of the worksheet ``charging-point``: from the rated power to breaker, cable and charge time.

The North American series of breakers and the rule of 125 % are used because they were read in
documents; the question says so. The types of RCD are those of the table ``residual_current_devices``.
"""

from functools import cache
from math import floor, nan, sqrt
from typing import Any

from acpower import tables
from acpower.battery import charge_time
from acpower.circuit import conductor_resistance, design_current, next_breaker, voltage_drop_percent
from acpower.load_sharing import share_current
from acpower.power import line_to_phase, single_phase_current, three_phase_current, three_phase_power
from acpower.worksheets.cards import Entry
from acpower.worksheets.scheme import (
    COMMON_PRACTICE,
    Choice,
    KnownError,
    Number,
    Text,
    Worksheet,
    show,
)
from acpower.worksheets.schemes.shared_checks import numbers_stand_apart

LOAD = "find the design current of a charging point and the next breaker"
CABLE = "work out the resistance of a conductor and the voltage drop along a cable"
CHECK = "check load, breaker and cable against each other"
RESIDUAL = "say what the types of residual-current device detect"
SHARING = "share a spare current among stations"
WHOLE_SITE = "follow one site from the supply to the charge time"

# Nominal voltage between line and neutral that belongs to each nominal line voltage.
PHASE_VOLTAGES = {380: 220, 400: 230, 480: 277}
BREAKERS = [float(row["rating_a"]) for row in tables.rows("breaker_sizes") if row["series"] == "nec"]
FIRST, SECOND, NONE = "first", "second", "none"
# The types of RCD in the order of what they detect: each detects what the one before it does, and more.
RCD_TYPES = {
    "alternating current only": "AC",
    "pulsating DC as well": "A",
    "mixed frequencies as well": "F",
    "smooth DC as well": "B",
}

ENTRIES = (
    Entry(
        "site",
        "Site",
        "",
        ("Quarry Road yard", "Lantern Street garage", "Brickfield market", "Well Lane stables"),
    ),
    Entry("line_voltage", "Supply: nominal voltage between two lines", "V", tuple(PHASE_VOLTAGES)),
    Entry("station_kw", "Three-phase station: rated power", "kW", (16.8, 17.6, 18.4, 19.2, 20.8, 21.6)),
    Entry("other_load", "Old plan of another circuit: design current Ib", "A", (29, 36, 44, 53, 58)),
    Entry("other_breaker", "Old plan: rating of the breaker In", "A", (32, 50, 63)),
    Entry("other_capacity", "Old plan: current-carrying capacity of the cable Iz", "A", (38, 47, 57, 68)),
    Entry("area_mm2", "Cable to the station: cross-section of a conductor", "mm²", (10, 16, 25)),
    Entry("length_m", "Cable to the station: length, one way", "m", (42, 48, 54, 58, 66, 72)),
    Entry("conductor_celsius", "Cable to the station: temperature in service", "°C", (55, 60, 65, 70)),
    Entry("single_current", "Vehicle on one phase: its current", "A", (16, 17, 18, 19)),
    Entry("residual_current", "RCD: residual current to detect", "", tuple(RCD_TYPES)),
    Entry("spare_current", "At night: spare current of each phase", "A", (46, 53, 57, 62, 67, 71, 73)),
    Entry("stations", "At night: stations in use", "", (4, 5, 6)),
    Entry("vehicle_current", "Our vehicle: on-board charger, current per phase", "A", (9, 11, 12, 13, 15)),
    Entry("need_kwh", "Our vehicle: energy to get into the battery", "kWh", (21, 24, 27, 32, 36, 43)),
    Entry(
        "efficiency_percent",
        "Our vehicle: efficiency of the charge, grid to battery",
        "%",
        (84, 85, 86, 87, 88, 89),
    ),
)


def possible(card: Any) -> bool:
    """Refuse cards with two failing conditions, an even share, or numbers that meet by chance."""
    if (
        card.other_load == card.other_breaker
        or card.other_load > card.other_breaker > card.other_capacity
        or card.spare_current % card.stations == 0
        or abs(_share(card) - card.vehicle_current) < 1
    ):
        return False
    keys = WORKSHEET.keys(card)
    return (
        40 <= keys.cable_loss_w <= 350
        # The 3 of √3, which stands in the hints, is no answer.
        and abs(keys.charge_time_h - 3) > 0.02
        and numbers_stand_apart(WORKSHEET, card)
    )


def _efficiency(card: Any) -> float:
    return float(card.efficiency_percent / 100)


def _phase_voltage(card: Any) -> float:
    """Return the nominal voltage between line and neutral, as people know it by heart."""
    return float(PHASE_VOLTAGES[card.line_voltage])


def _share(card: Any) -> float:
    return _equal_part(card.spare_current, card.stations)


@cache
def _equal_part(spare_current: float, stations: int) -> float:
    """Return what each of the stations may offer [A]; each could use more than its part."""
    return float(share_current(spare_current, [32] * stations, rule="equal")[0])


def _failing_condition(card: Any) -> str:
    if card.other_load > card.other_breaker:
        return FIRST
    return SECOND if card.other_breaker > card.other_capacity else NONE


def _what_limits_at_night(card: Any) -> str:
    return "share" if _share(card) < card.vehicle_current else "vehicle"


station_current: Number = Number(
    name="station_current_a",
    title="Current of the station",
    marks=2,
    level=2,
    outcome=LOAD,
    unit="A",
    key=lambda card, earlier: three_phase_current(1000 * card.station_kw, card.line_voltage),
    also=(lambda card, earlier: single_phase_current(1000 * card.station_kw / 3, _phase_voltage(card)),),
    working=lambda card, earlier: (
        f"I = P / (√3 · line voltage) = {1000 * card.station_kw:g} W / (√3 × {card.line_voltage} V) = "
        f"{show(station_current.key(card, earlier))} A"
    ),
    hints=(
        "Three equal phases share the rated power. Which voltage does your card give?",
        "P = √3 · line voltage · I at power factor 1. Turn this round until I stands alone.",
        "Begin with the rated power in watts. Put everything that belongs to the voltage below the line.",
    ),
    sources=("electric-circuits-ac",),
    known_errors=(
        KnownError(
            name="root-3-missing",
            says="√3 is missing, so one pair of lines was given all the power",
            hint="With the line voltage, three phases need √3.",
            misconception="current-root-3-missing",
            formula=lambda card, earlier: 1000 * card.station_kw / card.line_voltage,
        ),
        KnownError(
            name="3-with-line-voltage",
            says="3 was used together with the line voltage",
            hint="With the line voltage, three phases need √3. With the phase voltage they need 3.",
            misconception="3-with-line-voltage",
            formula=lambda card, earlier: 1000 * card.station_kw / (3 * card.line_voltage),
        ),
        KnownError(
            name="all-power-in-one-phase",
            says="all the power was put into one phase",
            hint="How many phases share the power of this station?",
            misconception="all-power-in-one-phase",
            formula=lambda card, earlier: 1000 * card.station_kw / line_to_phase(card.line_voltage),
        ),
        KnownError(
            name="voltage-forgotten",
            says="the power was divided by 3, but not by a voltage",
            hint="That is still power: watts of one phase. What turns watts into amperes?",
            misconception="voltage-forgotten",
            formula=lambda card, earlier: 1000 * card.station_kw / 3,
        ),
        KnownError(
            name="kilowatts-for-watts",
            says="kilowatts were used as watts",
            hint="Volts and amperes give watts. Write the rated power in watts first.",
            misconception="factor-1000",
            formula=lambda card, earlier: card.station_kw / (sqrt(3) * card.line_voltage),
            keeps=1,
        ),
    ),
)

circuit_current: Number = Number(
    name="design_current_a",
    title="Design current of its circuit",
    marks=1,
    level=1,
    outcome=LOAD,
    unit="A",
    needs=("station_current_a",),
    key=lambda card, earlier: design_current(
        three_phase_power(card.line_voltage, earlier.station_current_a),
        card.line_voltage,
        phases=3,
        rule="nec",
    ),
    working=lambda card, earlier: (
        f"Ib = 1.25 · I = 1.25 × {show(earlier.station_current_a)} A = {show(circuit_current.key(card, earlier))} A"
    ),
    hints=(
        "A vehicle draws its current for hours. What does the rule in the question add for that?",
        "A continuous load counts with 125 % of its current.",
        "Begin with your current from question 1. The result must be a quarter larger.",
    ),
    sources=("nec-625-summary", "nec-2023-changes"),
    known_errors=(
        KnownError(
            name="continuous-load-left-out",
            says="this is the current itself, without the rule for a load that runs for hours",
            hint="The rule of this question asks for more than the current of the load.",
            formula=lambda card, earlier: earlier.station_current_a,
        ),
        KnownError(
            name="divided-by-the-factor",
            says="it was divided by 1.25",
            hint="A circuit for a long load must be laid out for more, not for less.",
            formula=lambda card, earlier: earlier.station_current_a / 1.25,
        ),
        KnownError(
            name="addition-alone",
            says="this is the addition alone, a quarter of the current",
            hint="The current of the load itself flows too. Add the two.",
            formula=lambda card, earlier: 0.25 * earlier.station_current_a,
        ),
        KnownError(
            name="percent-as-factor",
            says="the percentage was used as a factor",
            hint="125 % means 125 of every 100. Turn the percentage into a factor first.",
            misconception="percent-as-factor",
            formula=lambda card, earlier: 125 * earlier.station_current_a,
        ),
    ),
)

breaker: Number = Number(
    name="breaker_a",
    title="The next breaker",
    marks=1,
    level=2,
    outcome=LOAD,
    unit="A",
    figures=2,
    relative=0.001,
    needs=("design_current_a",),
    key=lambda card, earlier: next_breaker(earlier.design_current_a, "nec"),
    working=lambda card, earlier: (
        f"the smallest rating that is not below {show(earlier.design_current_a)} A: In = "
        f"{breaker.key(card, earlier):g} A"
    ),
    hints=(
        "Only ratings of the series can be bought. Look between which two of them your current lies.",
        "The breaker must carry the design current: Ib ≤ In.",
        "Begin at the low end of the series. Go up until a rating is not below your design current.",
    ),
    sources=("nec-240-6-lists",),
    known_errors=(
        KnownError(
            name="rating-below-the-load",
            says="this rating is below the design current",
            hint="Would this breaker carry the design current for hours?",
            formula=lambda card, earlier: max(
                rating for rating in BREAKERS if rating < earlier.design_current_a
            ),
        ),
        KnownError(
            name="one-size-too-large",
            says="a smaller rating of the series is enough",
            hint="The cable has to carry what the breaker lets through. Take no more than needed.",
            formula=lambda card, earlier: next_breaker(
                next_breaker(earlier.design_current_a, "nec") + 1, "nec"
            ),
        ),
        KnownError(
            name="no-rating-of-the-series",
            says="this is the design current, not a rating",
            hint="Breakers come in fixed ratings. Look at the series in the question.",
            formula=lambda card, earlier: earlier.design_current_a,
        ),
    ),
)

overload_check: Choice = Choice(
    name="overload_check",
    title="Load, breaker and cable of another circuit",
    marks=2,
    level=2,
    outcome=CHECK,
    options=(FIRST, SECOND, NONE),
    key=lambda card, earlier: _failing_condition(card),
    working=lambda card, earlier: (
        f"Ib ≤ In: {card.other_load} A ≤ {card.other_breaker} A {_holds(card.other_load <= card.other_breaker)}. "
        f"In ≤ Iz: {card.other_breaker} A ≤ {card.other_capacity} A "
        f"{_holds(card.other_breaker <= card.other_capacity)}"
    ),
    hints=(
        "Three currents belong to this circuit. Which of them are compared with each other?",
        "Load, breaker, cable: each must be no smaller than the one before it.",
        "Begin with the design current and the rating of the breaker. Then take the rating and the cable.",
    ),
    sources=("overload-rule-notes",),
    known_errors=(
        KnownError(
            name="load-compared-with-cable",
            says="the load fits the cable, but the breaker was left out",
            hint="A larger load may come one day. What does the breaker let through all the time?",
            formula=lambda card, earlier: (
                NONE
                if _failing_condition(card) == SECOND and card.other_load <= card.other_capacity
                else None
            ),
        ),
        KnownError(
            name="breaker-smaller-than-load",
            says="the cable is safe, but the breaker would trip in normal service",
            hint="Compare the design current with the rating of the breaker.",
            formula=lambda card, earlier: NONE if _failing_condition(card) == FIRST else None,
        ),
        KnownError(
            name="conditions-mixed-up",
            says="the two conditions were mixed up",
            hint="Write both of them down with the numbers of the card. Which one does not hold?",
            formula=lambda card, earlier: {FIRST: SECOND, SECOND: FIRST}.get(_failing_condition(card)),
        ),
    ),
)


def _holds(condition: bool) -> str:
    return "holds" if condition else "fails"


conductor: Number = Number(
    name="conductor_mohm",
    title="Resistance of one conductor in service",
    marks=2,
    level=1,
    outcome=CABLE,
    unit="mΩ",
    units={"milliohm": 1.0, "milliohms": 1.0, "mohm": 1.0, "Ω": 1000.0, "ohm": 1000.0, "ohms": 1000.0},
    key=lambda card, earlier: (
        1000 * conductor_resistance(card.area_mm2, card.length_m, card.conductor_celsius)
    ),
    working=lambda card, earlier: (
        f"R = {_ohm_per_km(card):g} Ω/km × {card.length_m} m × (1 + 0.004 × ({card.conductor_celsius} − 20)) = "
        f"{show(conductor.key(card, earlier))} mΩ"
    ),
    hints=(
        "Three things make the resistance: the cross-section, the length and the temperature.",
        "Ohms per kilometre are the same number as milliohms per metre.",
        "Begin with the table and the length on your card. That is the cold conductor; then warm it up.",
    ),
    sources=("conductor-specification-page", "conductor-correction-page", "university-physics-2"),
    known_errors=(
        KnownError(
            name="cold-conductor",
            says="this is the resistance at 20 °C",
            hint="A loaded cable is warm, and warm copper has more resistance.",
            formula=lambda card, earlier: _ohm_per_km(card) * card.length_m,
            keeps=1,
        ),
        KnownError(
            name="counted-from-0-degrees",
            says="the whole temperature was taken for the rise",
            hint="The table holds at 20 °C. By how many degrees is the conductor warmer?",
            formula=lambda card, earlier: (
                _ohm_per_km(card) * card.length_m * (1 + 0.004 * card.conductor_celsius)
            ),
            keeps=1,
        ),
        KnownError(
            name="both-conductors",
            says="this is out and back, so two conductors",
            hint="The question asks for one conductor.",
            formula=lambda card, earlier: 2 * conductor.key(card, earlier),
            keeps=1,
        ),
        KnownError(
            name="ohms-for-milliohms",
            says="the value is in ohms, the question asks for milliohms",
            hint="One ohm is a thousand milliohms. Convert the result.",
            formula=lambda card, earlier: conductor.key(card, earlier) / 1000,
            keeps=1,
        ),
        KnownError(
            name="kilometre-not-converted",
            says="metres were multiplied by ohms per kilometre as if these were ohms per metre",
            hint="How many kilometres is your cable long?",
            formula=lambda card, earlier: 1000 * conductor.key(card, earlier),
            keeps=1,
        ),
    ),
)


def _ohm_per_km(card: Any) -> float:
    return float(conductor_resistance(card.area_mm2, 1000))


drop: Number = Number(
    name="drop_percent",
    title="Voltage drop with one vehicle on one phase",
    marks=3,
    level=3,
    outcome=CABLE,
    unit="%",
    needs=("conductor_mohm",),
    key=lambda card, earlier: voltage_drop_percent(_drop(card, earlier), line_to_phase(card.line_voltage)),
    also=(lambda card, earlier: voltage_drop_percent(_drop(card, earlier), _phase_voltage(card)),),
    working=lambda card, earlier: (
        f"drop = 2 · I · R = 2 × {card.single_current} A × {show(earlier.conductor_mohm)} mΩ = "
        f"{show(_drop(card, earlier))} V; of {card.line_voltage} V / √3 = "
        f"{show(float(line_to_phase(card.line_voltage)))} V that is {show(drop.key(card, earlier))} %"
    ),
    hints=(
        "Follow the current of this vehicle through the cable. Through which conductors does it flow?",
        "The drop is current · resistance, over all conductors on the way. Its percentage counts from the voltage "
        "across the load.",
        "Begin with your resistance in ohms. Work out the drop in volts, then the voltage between line and neutral.",
    ),
    sources=("iec-60364-5-52-page", "voltage-drop-faq"),
    known_errors=(
        KnownError(
            name="return-conductor-forgotten",
            says="the way back was forgotten",
            hint="The current comes back through the neutral. Does that conductor have a resistance too?",
            misconception="return-conductor-forgotten",
            formula=lambda card, earlier: drop.key(card, earlier) / 2,
            keeps=1,
        ),
        KnownError(
            name="line-voltage-for-phase-voltage",
            says="the drop was taken as a share of the voltage between two lines",
            hint="Between which two conductors is this vehicle connected? Take the voltage between those.",
            misconception="root-3-missing",
            formula=lambda card, earlier: drop.key(card, earlier) / sqrt(3),
            keeps=1,
        ),
        KnownError(
            name="drop-as-fraction",
            says="this is a fraction, the question asks for percent",
            hint="Per cent means of every hundred. Convert the result.",
            misconception="drop-as-fraction",
            formula=lambda card, earlier: drop.key(card, earlier) / 100,
            keeps=2,
        ),
        KnownError(
            name="drop-in-volts",
            says="this is the drop in volts",
            hint="How much is that of the voltage between line and neutral?",
            formula=lambda card, earlier: _drop(card, earlier),
            keeps=1,
        ),
        KnownError(
            name="three-conductors",
            says="three conductors were counted",
            hint="This vehicle uses one phase. How many conductors carry its current?",
            formula=lambda card, earlier: 1.5 * drop.key(card, earlier),
            keeps=1,
        ),
        KnownError(
            name="milliohms-as-ohms",
            says="milliohms were used as ohms",
            hint="Amperes and ohms give volts. Write the resistance in ohms first.",
            formula=lambda card, earlier: 1000 * drop.key(card, earlier),
            keeps=2,
        ),
    ),
)


def _drop(card: Any, earlier: Any) -> float:
    """Return the voltage that the vehicle on one phase loses along the cable, out and back [V]."""
    return float(2 * card.single_current * earlier.conductor_mohm / 1000)


loss: Number = Number(
    name="cable_loss_w",
    title="Heat in the cable at full power",
    marks=2,
    level=2,
    outcome=CABLE,
    unit="W",
    units={"kW": 1000.0},
    needs=("station_current_a", "conductor_mohm"),
    key=lambda card, earlier: 3 * earlier.station_current_a**2 * earlier.conductor_mohm / 1000,
    working=lambda card, earlier: (
        f"P = 3 · I² · R = 3 × ({show(earlier.station_current_a)} A)² × {show(earlier.conductor_mohm)} mΩ = "
        f"{show(loss.key(card, earlier))} W"
    ),
    hints=(
        "Three equal phases: which conductors carry current, and does the neutral?",
        "A conductor turns I² · R into heat.",
        "Begin with one conductor: your current from question 1 and your resistance in ohms.",
    ),
    sources=("electric-circuits-ac", "university-physics-2"),
    known_errors=(
        KnownError(
            name="square-missing",
            says="the current was not squared, so this is a voltage",
            hint="Current times resistance is the lost voltage. What does the same current make of it?",
            misconception="loss-without-square",
            formula=lambda card, earlier: 3 * earlier.station_current_a * earlier.conductor_mohm / 1000,
        ),
        KnownError(
            name="one-conductor-only",
            says="one conductor was counted",
            hint="In how many conductors does the current of the station flow?",
            misconception="return-conductor-forgotten",
            formula=lambda card, earlier: loss.key(card, earlier) / 3,
            keeps=1,
        ),
        KnownError(
            name="two-conductors",
            says="two conductors were counted, as for one phase",
            hint="This time the station uses all its phases. In how many conductors does current flow?",
            formula=lambda card, earlier: loss.key(card, earlier) * 2 / 3,
            keeps=1,
        ),
        KnownError(
            name="neutral-counted",
            says="the neutral was counted as well",
            hint="Three equal currents, a third of a turn apart: what is left for the neutral?",
            formula=lambda card, earlier: loss.key(card, earlier) * 4 / 3,
            keeps=1,
        ),
        KnownError(
            name="milliohms-as-ohms",
            says="milliohms were used as ohms",
            hint="Amperes squared and ohms give watts. Write the resistance in ohms first.",
            formula=lambda card, earlier: 1000 * loss.key(card, earlier),
            keeps=1,
        ),
    ),
)


def _neighbour(card: Any, step: int) -> str | None:
    """Return the type of RCD so many steps from the right one, in the order of what they detect."""
    types = list(RCD_TYPES.values())
    at = types.index(RCD_TYPES[card.residual_current]) + step
    return types[at] if 0 <= at < len(types) else None


residual_type: Text = Text(
    name="rcd_type",
    title="The type of residual-current device",
    marks=1,
    level=2,
    outcome=RESIDUAL,
    key=lambda card, earlier: RCD_TYPES[card.residual_current],
    working=lambda card, earlier: f"{card.residual_current}: type {RCD_TYPES[card.residual_current]}",
    spellings={
        letters: (f"type {letters}", f"RCD type {letters}", f"type {letters} RCD", f"{letters} type")
        for letters in RCD_TYPES.values()
    },
    hints=(
        "Look at the last kind of current that the card adds. From which type on is it detected?",
        "There are four types. Each detects what the one before it does, and one kind of current more.",
        "Begin with the plainest type, which detects alternating current. Go up until your kind is reached.",
    ),
    sources=("trade-memory", "residual-current-documents"),
    known_errors=(
        KnownError(
            name="blind-to-it",
            says="this type does not detect the last kind of current on the card",
            hint="Go one step further in the order of the types.",
            formula=lambda card, earlier: _neighbour(card, -1),
        ),
        KnownError(
            name="detects-more-than-needed",
            says="this type detects one kind of current more than the card asks for",
            hint="Go one step back in the order of the types.",
            formula=lambda card, earlier: _neighbour(card, 1),
        ),
    ),
)

share: Number = Number(
    name="share_a",
    title="Equal parts of the spare current",
    marks=2,
    level=2,
    outcome=SHARING,
    unit="A",
    figures=2,
    relative=0.001,
    key=lambda card, earlier: _share(card),
    working=lambda card, earlier: (
        f"{card.spare_current} A / {card.stations} = {show(card.spare_current / card.stations)} A, in whole amperes "
        f"and not more: {_share(card):g} A"
    ),
    hints=(
        "The sum of all parts must stay within the spare current of each phase.",
        "Equal parts: the spare current over the number of stations. An offer is a whole number of amperes.",
        "Begin with the spare current on your card and divide. Then ask which whole number keeps the sum small enough.",
    ),
    sources=("nec-2023-changes", COMMON_PRACTICE),
    known_errors=(
        KnownError(
            name="no-whole-amperes",
            says="this is no whole number of amperes",
            hint="The stations offer whole amperes only. Which number keeps the sum within the spare current?",
            formula=lambda card, earlier: card.spare_current / card.stations,
            keeps=1,
        ),
        KnownError(
            name="rounded-up",
            says="it was rounded up",
            hint="Add up the parts of all stations. Is the sum within the spare current?",
            formula=lambda card, earlier: _share(card) + 1,
            keeps=1,
        ),
        KnownError(
            name="not-shared",
            says="this is the spare current for all the stations together",
            hint="How many stations have to live on it?",
            formula=lambda card, earlier: card.spare_current,
        ),
        KnownError(
            name="phases-added",
            says="the spare currents of the three phases were added",
            hint="A three-phase station takes its current from each phase at once. What is there in one phase?",
            formula=lambda card, earlier: 3 * card.spare_current / card.stations,
        ),
        KnownError(
            name="own-station-left-out",
            says="one station too few was counted",
            hint="Does our own station take a part as well?",
            formula=lambda card, earlier: floor(card.spare_current / (card.stations - 1)),
        ),
        KnownError(
            name="smallest-offer",
            says="this is the smallest current that a station can offer",
            hint="There is more to spare than that. Divide it.",
            formula=lambda card, earlier: 6 if _share(card) > 7 else nan,
        ),
    ),
)


def _night_current(card: Any, earlier: Any) -> float:
    return float(min(earlier.share_a, card.vehicle_current))


def _night_power_kw(card: Any, current: float) -> float:
    return float(three_phase_power(card.line_voltage, current) / 1000)


def _night_time(card: Any, current: float) -> float:
    return float(charge_time(card.need_kwh, _night_power_kw(card, current), _efficiency(card)))


night_time: Number = Number(
    name="charge_time_h",
    title="Charge time of our vehicle at night",
    marks=3,
    level=3,
    outcome=WHOLE_SITE,
    unit="h",
    units={"min": 1 / 60},
    needs=("share_a",),
    key=lambda card, earlier: _night_time(card, _night_current(card, earlier)),
    also=(
        lambda card, earlier: charge_time(
            card.need_kwh, 3 * _phase_voltage(card) * _night_current(card, earlier) / 1000, _efficiency(card)
        ),
    ),
    working=lambda card, earlier: (
        f"P grid = √3 × {card.line_voltage} V × {_night_current(card, earlier):g} A = "
        f"{show(_night_power_kw(card, _night_current(card, earlier)))} kW, t = "
        f"{card.need_kwh} kWh / (P grid × {_efficiency(card):g}) = {show(night_time.key(card, earlier))} h"
    ),
    hints=(
        "Follow the chain: the part of the station, the vehicle, the power, the battery. What sets the current?",
        "P = √3 · line voltage · I, and time = energy / (power from the grid · efficiency).",
        "Begin with two currents: your part and what the vehicle can take. Only one of them counts.",
    ),
    sources=("electric-circuits-ac", "charging-time-guide"),
    known_errors=(
        KnownError(
            name="largest-instead-of-smallest",
            says="the larger of the two currents was used",
            hint="Would the other link stand that current?",
            misconception="largest-instead-of-smallest",
            formula=lambda card, earlier: _night_time(card, max(earlier.share_a, card.vehicle_current)),
            keeps=1,
        ),
        KnownError(
            name="root-3-missing",
            says="√3 is missing",
            hint="With the line voltage, three phases need √3.",
            misconception="root-3-missing",
            formula=lambda card, earlier: sqrt(3) * night_time.key(card, earlier),
            keeps=1,
        ),
        KnownError(
            name="one-phase-for-three",
            says="the power of one phase only was used",
            hint="This vehicle charges on three phases. How many times the power of one is that?",
            misconception="one-phase-for-three",
            formula=lambda card, earlier: 3 * night_time.key(card, earlier),
            keeps=1,
        ),
        KnownError(
            name="efficiency-forgotten",
            says="the efficiency is missing",
            hint="The energy must arrive in the battery. Which power arrives there?",
            misconception="efficiency-forgotten",
            formula=lambda card, earlier: night_time.key(card, earlier) * _efficiency(card),
            keeps=1,
        ),
        KnownError(
            name="efficiency-on-the-wrong-side",
            says="the efficiency stands on the wrong side, so the loss makes the charge faster",
            hint="A loss makes a charge longer. Use the power that reaches the battery.",
            misconception="efficiency-wrong-way-in-time",
            formula=lambda card, earlier: night_time.key(card, earlier) * _efficiency(card) ** 2,
            keeps=1,
        ),
        KnownError(
            name="time-upside-down",
            says="the power was divided by the energy",
            hint="More energy must give a longer time. What belongs above the line?",
            misconception="time-upside-down",
            formula=lambda card, earlier: 1 / night_time.key(card, earlier),
        ),
    ),
)

WORKSHEET = Worksheet(
    name="charging-point",
    version="1",
    title="Plan a charging point",
    lesson="10-plan-a-charging-point",
    entries=ENTRIES,
    possible=possible,
    questions=(
        station_current,
        circuit_current,
        breaker,
        overload_check,
        conductor,
        drop,
        loss,
        residual_type,
        share,
        night_time,
    ),
    features={
        "condition that fails": _failing_condition,
        "what limits at night": _what_limits_at_night,
    },
)
