"""Mark scheme of the worksheet ``follow-the-power``: parts, AC and DC, modes, commands, protection, danger."""

from math import exp, nan
from typing import Any

from acpower import tables
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

NAME_THE_PARTS = "name the parts of the chain from socket to battery, in their order"
WHERE_DC_BEGINS = "say where AC ends and DC begins"
TELL_THE_MODES = "tell the four charging modes apart"
WHO_COMMANDS = "say who commands the current, and who only measures"
WHAT_OPENS = "say which part opens when something goes wrong"
WHAT_STAYS = "name what stays dangerous after switching off"

# What stands on the card, and what is right for it.
DIRECTIONS = ("from the supply to the battery", "from the battery to the supply")
TASKS = {
    "turns the negative half of each wave upward": "rectifier",
    "gives the current the shape of the voltage": "power factor stage",
    "separates battery and mains with a transformer": "DC/DC",
    "stores charge between the halves of the charger": "DC link",
    "opens when the current is too large for the cable": "breaker",
    "closes only when a vehicle asks for energy": "station contactor",
}
PLACES = {
    "in the cable": "AC",
    "behind the station contactor": "AC",
    "right behind the rectifier": "pulsating DC",
    "at the DC link": "DC with ripple",
    "at the battery": "smooth DC",
}
TOPS_PER_WAVE = {"whole": 2, "one half broken": 1}
WAYS_TO_CHARGE = {
    "plain socket of a farm, a box in the cable": "mode 2",
    "plain socket of a garage, the cable has a box": "mode 2",
    "station on the wall, with a cable of its own": "mode 3",
    "AC station on a post, the driver brings a cable": "mode 3",
}
CHANGES = {
    "the site can spare less, the offer sinks": "station",
    "a second vehicle plugs in, the offer sinks": "station",
    "a clock in the car delays the start": "vehicle",
    "the driver ends the charge from the seat": "vehicle",
    "a cell gets too warm, it may take less": "battery management",
    "the cells are nearly full, they may take less": "battery management",
    "a short circuit in the cable": "nobody",
    "a current goes to earth through a person": "nobody",
}
FAULTS = {
    "a short circuit in the cable, line to neutral": "breaker",
    "AC goes to earth through a wet plug": "RCD",
    "AC goes to earth through a person": "RCD",
    "the pilot wire breaks": "station contactor",
    "the pilot says that the vehicle is gone": "station contactor",
    "the station lowers its offer": "nothing",
    "the battery asks for less": "nothing",
}
STOPS = {
    "the battery is full": "DCAEB",
    "the driver ends the charge from the seat": "DCAEB",
    "the pilot wire breaks": "DACEB",
}
REMAINS = {
    "a minute ago: the power failed during a charge": "DC link",
    "a minute ago: the charge ended, the plug was pulled": "DC link",
    "weeks ago: the vehicle has stood in a shed since": "battery",
    "last winter: the vehicle waits for the scrapyard": "battery",
}
DC_LINK_SPELLINGS = (
    "DC link capacitor",
    "DC link capacitors",
    "link capacitor",
    "capacitor",
    "capacitors",
    "capacitor of the DC link",
    "DC bus",
    "DC bus capacitor",
    "intermediate circuit",
)
BATTERY_SPELLINGS = (
    "traction battery",
    "high-voltage battery",
    "HV battery",
    "drive battery",
    "vehicle battery",
    "batteries",
)
RCD_TYPES = tuple(
    row for row in tables.rows("residual_current_devices") if row["key"] in ("type-a", "type-f", "type-b")
)

ENTRIES = (
    Entry("site", "Site", "", ("Ferry quay garage", "Hilltop bakery", "Flax mill yard", "Reed lake camp")),
    Entry("direction", "Direction of the list", "", DIRECTIONS),
    Entry("task", "Task of a part", "", tuple(TASKS)),
    Entry("place", "Place in the chain", "", tuple(PLACES)),
    Entry("rectifier", "Bench chain: rectifier", "", tuple(TOPS_PER_WAVE)),
    Entry("frequency", "Bench chain: frequency of the generator", "Hz", (42, 44, 46, 52, 54, 56, 58, 62)),
    Entry("way_to_charge", "Way to charge", "", tuple(WAYS_TO_CHARGE)),
    Entry("change", "What changes a charge", "", tuple(CHANGES)),
    Entry("offer", "Station: current on offer", "A", (14, 18, 22, 26, 30)),
    Entry("charger_limit", "On-board charger: most that it can take", "A", (12, 16, 20, 24, 32)),
    Entry("battery_limit", "Battery management: allows as much as", "A", (11, 15, 19, 23, 28)),
    Entry("fault", "What happens in a charge", "", tuple(FAULTS)),
    Entry(
        "residual",
        "What goes to earth at another site",
        "",
        ("pulsating DC", "mixed frequencies", "smooth DC"),
    ),
    Entry("stop", "What ends a charge", "", tuple(STOPS)),
    Entry("switched_off", "Switched off", "", tuple(REMAINS)),
    Entry("bench_voltage", "Bench chain: voltage of the capacitor", "V", (4.2, 4.4, 4.6, 4.8, 5.2)),
    Entry("bench_resistor", "Bench chain: resistor", "kΩ", (8.2, 12, 15, 18)),
    Entry("bench_capacitor", "Bench chain: capacitor", "µF", (330, 470, 680)),
    Entry("bench_wait", "Bench chain: time without the generator", "s", (2, 3, 4, 5, 6)),
)


def possible(card: Any) -> bool:
    """Refuse cards whose capacitor is nearly full or nearly empty, or on which numbers meet by chance."""
    return 0.2 < _share_left(card) < 0.7 and numbers_stand_apart(WORKSHEET, card, chosen=("drawn_current_a",))


def _limits(card: Any) -> list[float]:
    return [card.offer, card.charger_limit, card.battery_limit]


def _tops(card: Any) -> int:
    return TOPS_PER_WAVE[card.rectifier]


def _time_constant(card: Any) -> float:
    """Return R · C in seconds: kilohms times microfarads are milliseconds."""
    return float(card.bench_resistor * card.bench_capacitor / 1000)


def _share_left(card: Any) -> float:
    return exp(-card.bench_wait / _time_constant(card))


def _simplest_rcd(card: Any) -> int:
    """Return the place of the simplest type that sees what goes astray: A, F and B see more and more."""
    return next(at for at, row in enumerate(RCD_TYPES) if card.residual in row["detects"].split(";"))


def _rcd_type(at: int) -> str | None:
    return RCD_TYPES[at]["designation"].removeprefix("RCD ") if 0 <= at < len(RCD_TYPES) else None


def _along(card: Any, from_the_supply: str) -> str:
    """Return an order of the chain as the card wants it listed."""
    return from_the_supply if card.direction == DIRECTIONS[0] else from_the_supply[::-1]


chain_order: Ordering = Ordering(
    name="chain_order",
    title="The chain in order",
    marks=2,
    statements=(
        "power factor stage",
        "station contactor",
        "battery",
        "breaker",
        "DC link",
        "rectifier",
        "supply",
        "DC/DC stage",
    ),
    key=lambda card, earlier: _along(card, "GDBFAEHC"),
    working=lambda card, earlier: (
        f"{card.direction}: "
        + ", ".join(
            chain_order.statements[chain_order.letters.index(letter)]
            for letter in chain_order.key(card, earlier)
        )
    ),
    level=2,
    outcome=NAME_THE_PARTS,
    hints=(
        "Read the direction on your card. Which part of the list stands at each end?",
        "Power passes the building, then the station, then the inlet of the vehicle. Sort the parts into these.",
        "Write the letters of both ends first. Then ask of each part in between what it gets from its neighbour.",
    ),
    sources=("charger-theory-chapter", "trade-memory"),
    known_errors=(
        KnownError(
            name="contactor-in-the-vehicle",
            says="the station contactor has got into the vehicle",
            hint="Whose switch is it? The inlet of the vehicle stands behind it.",
            formula=lambda card, earlier: _along(card, "GDFBAEHC"),
            keeps=1,
        ),
        KnownError(
            name="power-factor-stage-before-rectifier",
            says="the power factor stage stands on the side of the mains",
            hint="It works with pulses that point upward. Which part makes them?",
            formula=lambda card, earlier: _along(card, "GDBAFEHC"),
            keeps=1,
        ),
        KnownError(
            name="dc-link-at-the-battery",
            says="the DC link and its neighbour on the side of the battery have changed places",
            hint="The DC link stands between the two halves of the charger. What is the second half?",
            formula=lambda card, earlier: _along(card, "GDBFAHEC"),
            keeps=1,
        ),
        KnownError(
            name="breaker-behind-the-contactor",
            says="breaker and station contactor have changed places",
            hint="One of them protects the cable to the station. Where does that cable begin?",
            formula=lambda card, earlier: _along(card, "GBDFAEHC"),
            keeps=1,
        ),
    ),
)

part_of_the_task: Text = Text(
    name="part_of_the_task",
    title="The part that does it",
    marks=1,
    key=lambda card, earlier: TASKS[card.task],
    spellings={
        "rectifier": ("bridge", "bridge rectifier", "diode bridge", "diode rectifier", "full-wave rectifier"),
        "power factor stage": (
            "power factor correction",
            "PFC",
            "PFC stage",
            "power factor correction stage",
            "power factor corrector",
            "PFC circuit",
            "active PFC",
        ),
        "DC/DC": (
            "DC/DC stage",
            "DC/DC converter",
            "DC-DC",
            "DC-DC stage",
            "DC-DC converter",
            "DC to DC converter",
            "isolated DC/DC",
            "isolated DC/DC converter",
        ),
        "DC link": DC_LINK_SPELLINGS,
        "battery": BATTERY_SPELLINGS,
        "breaker": ("circuit breaker", "MCB", "miniature circuit breaker", "overcurrent breaker"),
        "RCD": ("residual-current device", "RCCB", "CCID", "GFCI"),
        "station contactor": (
            "contactor",
            "contactors",
            "contactor of the station",
            "main contactor",
            "relay",
        ),
    },
    working=lambda card, earlier: f"what {card.task} is the {TASKS[card.task]}",
    level=2,
    outcome=NAME_THE_PARTS,
    hints=(
        "Is the task one of the building, of the station, or of the charger in the vehicle?",
        "A part is known by what it changes, or by when it opens and closes.",
        "Go through the ten parts of section 2 of the lesson. Ask of each: does it do what the card says?",
    ),
    sources=("trade-memory",),
    known_errors=(
        KnownError(
            name="neighbour-in-the-charger",
            says="this is another part of the charger",
            hint="What does that part do? Compare it with the task on your card.",
            formula=lambda card, earlier: {
                "rectifier": "DC/DC",
                "power factor stage": "rectifier",
                "DC/DC": "power factor stage",
                "DC link": "battery",
            }.get(TASKS[card.task]),
        ),
        KnownError(
            name="switches-mixed-up",
            says="this part opens for another reason",
            hint="There is a switch that obeys a signal, one that measures a large current, "
            "and one that compares what goes out with what comes back. Which is yours?",
            formula=lambda card, earlier: {"breaker": "RCD", "station contactor": "breaker"}.get(
                TASKS[card.task]
            ),
        ),
    ),
)

form_of_voltage: Choice = Choice(
    name="form_of_voltage",
    title="What stands at this place",
    marks=1,
    options=("AC", "pulsating DC", "DC with ripple", "smooth DC"),
    key=lambda card, earlier: PLACES[card.place],
    working=lambda card, earlier: f"{card.place}: {PLACES[card.place]}",
    level=2,
    outcome=WHERE_DC_BEGINS,
    hints=(
        "Find the place on your card in the picture of the chain. Is it in front of the rectifier or behind it?",
        "Behind the rectifier the voltage gets calmer and calmer, part by part.",
        "Follow the four forms from the supply on. Stop at the place on your card.",
    ),
    sources=("trade-memory",),
    known_errors=(
        KnownError(
            name="charger-put-into-the-station",
            says="the station was taken for the charger",
            hint="What does a station for this kind of cable turn into something else, and what does it only switch?",
            formula=lambda card, earlier: {"AC": "smooth DC"}.get(PLACES[card.place]),
        ),
        KnownError(
            name="rectifier-smooths",
            says="this place was taken for calmer than it is",
            hint="Which part fills the gaps between the tops, and is it in front of this place?",
            formula=lambda card, earlier: {
                "pulsating DC": "DC with ripple",
                "DC with ripple": "smooth DC",
            }.get(PLACES[card.place]),
        ),
        KnownError(
            name="border-too-late",
            says="the border was put too close to the battery",
            hint="Which part turns the negative half of each wave upward? Does it come before this place?",
            formula=lambda card, earlier: {
                "pulsating DC": "AC",
                "DC with ripple": "pulsating DC",
                "smooth DC": "DC with ripple",
            }.get(PLACES[card.place]),
        ),
    ),
)

time_between_tops: Number = Number(
    name="time_between_tops_ms",
    title="Time from top to top",
    marks=2,
    unit="ms",
    units={"s": 1000.0},
    key=lambda card, earlier: 1000 / (_tops(card) * card.frequency),
    working=lambda card, earlier: (
        f"{card.frequency} waves a second with {_tops(card)} top(s) each: t = 1000 ms / "
        f"({_tops(card)} × {card.frequency}) = {show(time_between_tops.key(card, earlier))} ms"
    ),
    level=3,
    outcome=WHERE_DC_BEGINS,
    hints=(
        "Draw two waves of the generator. Then draw below what comes out of your rectifier, and mark its tops.",
        "First the number of tops in a second, then the time for one of them. A second has a thousand milliseconds.",
        "How many tops does one wave leave behind your rectifier? Multiply the frequency on your card by it.",
    ),
    sources=("university-physics-2", COMMON_PRACTICE),
    known_errors=(
        KnownError(
            name="tops-miscounted",
            says="the tops of one wave were not counted as this rectifier leaves them",
            hint="A whole rectifier turns the lower halves upward. A broken one lets them fall out. What is yours?",
            formula=lambda card, earlier: 1000 / ((3 - _tops(card)) * card.frequency),
        ),
        KnownError(
            name="seconds-for-milliseconds",
            says="the time is in seconds, the question asks for milliseconds",
            hint="A second has a thousand milliseconds. Convert the result.",
            formula=lambda card, earlier: 1 / (_tops(card) * card.frequency),
            keeps=1,
            misconception="factor-1000",
        ),
        KnownError(
            name="count-for-time",
            says="this is the number of tops in a second",
            hint="The more tops there are in a second, the shorter is the time for one. Take that step.",
            formula=lambda card, earlier: _tops(card) * card.frequency,
        ),
        KnownError(
            name="period-too-long",
            says="it was multiplied by two where the number of tops divides",
            hint="More tops must give a shorter time from one to the next.",
            formula=lambda card, earlier: 2000 / card.frequency,
        ),
    ),
)

mode: Text = Text(
    name="charging_mode",
    title="The charging mode",
    marks=1,
    key=lambda card, earlier: WAYS_TO_CHARGE[card.way_to_charge],
    spellings={
        f"mode {number}": (str(number), f"mode {word}", f"mode {roman}", f"charging mode {number}")
        for number, word, roman in zip(
            range(1, 5), ("one", "two", "three", "four"), ("I", "II", "III", "IV"), strict=True
        )
    },
    working=lambda card, earlier: f"{card.way_to_charge}: {WAYS_TO_CHARGE[card.way_to_charge]}",
    level=2,
    outcome=TELL_THE_MODES,
    hints=(
        "Two things tell the modes apart: what the cable is connected to, and what watches over the charge.",
        "Count the modes by what watches: nothing at all, something in the cable, a station, a station with charger.",
        "Look for the thing that watches in the line of your card. Where does it sit?",
    ),
    sources=("standards-notes", "iec-62752-catalogue", "trade-memory"),
    known_errors=(
        KnownError(
            name="box-overlooked",
            says="nothing watches over such a charge, but here something does",
            hint="Look at the cable on your card once more. What is it for?",
            formula=lambda card, earlier: {"mode 2": "mode 1"}.get(WAYS_TO_CHARGE[card.way_to_charge]),
        ),
        KnownError(
            name="station-taken-for-charger",
            says="the station was taken for the charger",
            hint="What comes out of the station on your card: what the mains gives, or what the battery takes?",
            formula=lambda card, earlier: {"mode 3": "mode 4"}.get(WAYS_TO_CHARGE[card.way_to_charge]),
        ),
        KnownError(
            name="box-and-station-mixed-up",
            says="a box in the cable and a station were mixed up",
            hint="Is there a plain socket, or something on the wall that is made for charging?",
            formula=lambda card, earlier: {"mode 2": "mode 3", "mode 3": "mode 2"}[
                WAYS_TO_CHARGE[card.way_to_charge]
            ],
        ),
    ),
)

commander: Choice = Choice(
    name="commander",
    title="Who commands",
    marks=1,
    options=("station", "vehicle", "battery management", "nobody"),
    key=lambda card, earlier: CHANGES[card.change],
    working=lambda card, earlier: f"{card.change}: {CHANGES[card.change]}",
    level=2,
    outcome=WHO_COMMANDS,
    hints=(
        "Who is the first to know of the change on your card?",
        "Protection measures for itself and waits for no command. All other changes begin with a message.",
        "Say the change aloud as a sentence with a person in it: who tells whom to do what?",
    ),
    sources=("level-2-design-guide", "test-adapter-manual", "trade-memory"),
    known_errors=(
        KnownError(
            name="protection-taken-for-command",
            says="a device that measures and opens by itself was taken for a command",
            hint="Does a breaker or an RCD wait until somebody tells it to open?",
            formula=lambda card, earlier: {"nobody": "station"}.get(CHANGES[card.change]),
        ),
        KnownError(
            name="station-pushes",
            says="the side that offers was taken for the side that decides here",
            hint="One side says the most that may flow. Who says that less is wanted, or that it is not yet time?",
            formula=lambda card, earlier: {"vehicle": "station", "battery management": "station"}.get(
                CHANGES[card.change]
            ),
        ),
        KnownError(
            name="offer-and-demand-mixed-up",
            says="the offer was taken for a wish of the other side",
            hint="By the control pilot two things are said. Who says how much there is?",
            formula=lambda card, earlier: {"station": "vehicle"}.get(CHANGES[card.change]),
        ),
    ),
)

drawn_current: Number = Number(
    name="drawn_current_a",
    title="The current that flows",
    marks=1,
    unit="A",
    figures=2,
    key=lambda card, earlier: min(_limits(card)),
    working=lambda card, earlier: (
        f"The smallest of offer {card.offer} A, charger {card.charger_limit} A and battery management "
        f"{card.battery_limit} A is {min(_limits(card))} A"
    ),
    level=1,
    outcome=WHO_COMMANDS,
    hints=(
        "Three parts have a say in the current. Find their three numbers on your card.",
        "Nobody can push: each of the three says the most that it allows.",
        "Put the three numbers in a row by size. Which of them keeps within all three limits?",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="largest-instead-of-smallest",
            says="the largest of the three was taken",
            hint="Would the other two allow that much?",
            formula=lambda card, earlier: max(_limits(card)),
            misconception="largest-instead-of-smallest",
        ),
        KnownError(
            name="mean-instead-of-smallest",
            says="the mean of the three was taken",
            hint="Limits do not meet in the middle. Would each of the three allow that much?",
            formula=lambda card, earlier: sum(_limits(card)) / 3,
            misconception="largest-instead-of-smallest",
        ),
        KnownError(
            name="middle-instead-of-smallest",
            says="the middle one of the three was taken",
            hint="One of the three allows less than that. Which one?",
            formula=lambda card, earlier: sorted(_limits(card))[1],
            misconception="largest-instead-of-smallest",
        ),
    ),
)

what_opens: Choice = Choice(
    name="what_opens",
    title="What opens",
    marks=2,
    options=("breaker", "RCD", "station contactor", "nothing"),
    key=lambda card, earlier: FAULTS[card.fault],
    working=lambda card, earlier: f"{card.fault}: what opens is {FAULTS[card.fault]}",
    level=2,
    outcome=WHAT_OPENS,
    hints=(
        "Is the line on your card a fault, a signal, or only a wish for less current?",
        "A very large current, a current that does not come back, a missing signal: each has a part of its own.",
        "Write down what is unusual in your case: the size of the current, its way, or the pilot.",
    ),
    sources=("station-bring-up-guide", "residual-current-documents", "trade-memory"),
    known_errors=(
        KnownError(
            name="overcurrent-and-residual-current",
            says="a large current and a current that goes astray were mixed up",
            hint="One part compares what goes out with what comes back. The other one only feels the size. Which fits?",
            formula=lambda card, earlier: {"breaker": "RCD", "RCD": "breaker"}.get(FAULTS[card.fault]),
        ),
        KnownError(
            name="opened-for-less-current",
            says="something was opened only to charge slower",
            hint="How does a charger take less: by a switch, or by its own control?",
            formula=lambda card, earlier: {"nothing": "station contactor"}.get(FAULTS[card.fault]),
        ),
        KnownError(
            name="pilot-fault-unnoticed",
            says="the lost signal was not seen as a reason to open",
            hint="What must be open while no vehicle is there? What does the pilot say now?",
            formula=lambda card, earlier: {"station contactor": "nothing"}.get(FAULTS[card.fault]),
            keeps=1,
        ),
    ),
)

simplest_rcd: Choice = Choice(
    name="simplest_rcd",
    title="The device that sees it",
    marks=1,
    options=("type A", "type F", "type B"),
    key=lambda card, earlier: _rcd_type(_simplest_rcd(card)),
    working=lambda card, earlier: (
        f"of A, F and B the first that detects {card.residual} is {_rcd_type(_simplest_rcd(card))}"
    ),
    level=2,
    outcome=WHAT_OPENS,
    hints=(
        "Look at the table of devices in section 5 of the lesson, in the column of what each detects.",
        "Each of the three sees all that the one before sees, and one form more.",
        "Find the form on your card in that column. Go down the table until it is there for the first time.",
    ),
    sources=("residual-current-documents", "trade-memory"),
    known_errors=(
        KnownError(
            name="device-is-blind",
            says="this device does not see what goes to earth here",
            hint="Read once more what it detects. Is the form on your card there?",
            formula=lambda card, earlier: _rcd_type(_simplest_rcd(card) - 1),
        ),
        KnownError(
            name="more-than-needed",
            says="this device sees it, but a simpler one sees it too",
            hint="The question asks for the simplest of the three. Is there one with a shorter list?",
            formula=lambda card, earlier: _rcd_type(_simplest_rcd(card) + 1),
        ),
    ),
)

stop_order: Ordering = Ordering(
    name="stop_order",
    title="From the end of the charge to work on the vehicle",
    marks=3,
    statements=(
        "The contactor of the station opens.",
        "The DC link is proved dead.",
        "The current goes to zero.",
        "What your card names happens.",
        "The waiting time in the manual of the vehicle begins.",
    ),
    key=lambda card, earlier: STOPS[card.stop],
    working=lambda card, earlier: f"{card.stop}: {', '.join(STOPS[card.stop])}",
    level=3,
    outcome=WHAT_OPENS,
    hints=(
        "Who notices first what your card names: the vehicle or the station?",
        "A vehicle that is asked to stop stops gently. A station that has lost the vehicle waits for nobody.",
        "Begin with the event itself. Then decide: does the contactor open with load or without?",
    ),
    sources=("station-bring-up-guide", COMMON_PRACTICE),
    known_errors=(
        KnownError(
            name="opened-with-or-without-load",
            says="contactor and current stand in the order of the other kind of stop",
            hint="Can the vehicle still be told to take less here? Who acts first if it cannot?",
            formula=lambda card, earlier: {"DCAEB": "DACEB", "DACEB": "DCAEB"}[STOPS[card.stop]],
            keeps=1,
        ),
        KnownError(
            name="proved-dead-at-once",
            says="the DC link is proved dead before the waiting time",
            hint="What does a capacitor do after switching off, and what is the time for?",
            formula=lambda card, earlier: STOPS[card.stop].replace("EB", "BE"),
            keeps=1,
        ),
    ),
)

stays_live: Text = Text(
    name="stays_live",
    title="What still has voltage",
    marks=1,
    key=lambda card, earlier: REMAINS[card.switched_off],
    spellings={
        "DC link": DC_LINK_SPELLINGS,
        "battery": BATTERY_SPELLINGS,
        "cable": ("charging cable", "charge cable", "cables"),
    },
    working=lambda card, earlier: f"{card.switched_off}: {REMAINS[card.switched_off]}",
    level=2,
    outcome=WHAT_STAYS,
    hints=(
        "Two parts of the chain hold a voltage without any supply. One of them loses it with time.",
        "One part stores charge for a moment, the other one is made to keep energy for months.",
        "How long ago was it switched off on your card: minutes, or far longer?",
    ),
    sources=("trade-memory",),
    known_errors=(
        KnownError(
            name="storage-mixed-up",
            says="the part that keeps its voltage for good and the one that keeps it for a while were mixed up",
            hint="How long ago was it? Read in the question which of the two is asked for.",
            formula=lambda card, earlier: {"DC link": "battery", "battery": "DC link"}[
                REMAINS[card.switched_off]
            ],
        ),
        KnownError(
            name="cable-for-storage",
            says="a cable stores no charge worth speaking of",
            hint="The contactor is open, so the cable hangs on no source. Which parts in the vehicle store something?",
            formula=lambda card, earlier: "cable",
        ),
    ),
)

left_voltage: Number = Number(
    name="left_voltage_v",
    title="What the capacitor of the bench has left",
    marks=2,
    unit="V",
    key=lambda card, earlier: card.bench_voltage * _share_left(card),
    working=lambda card, earlier: (
        f"R · C = {card.bench_resistor} kΩ × {card.bench_capacitor} µF = {show(_time_constant(card))} s, "
        f"U = {card.bench_voltage} V × exp(−{card.bench_wait} s / {show(_time_constant(card))} s) = "
        f"{show(left_voltage.key(card, earlier))} V"
    ),
    level=1,
    outcome=WHAT_STAYS,
    hints=(
        "The formula stands in the question. Which four numbers of the bench chain go into it?",
        "Ohms times farads are seconds. Kilohms times microfarads are milliseconds: turn them into seconds.",
        "Work out R × C in seconds first. Then the time on your card ÷ R × C, with a minus sign, goes into exp.",
    ),
    sources=("university-physics-2",),
    known_errors=(
        KnownError(
            name="lost-for-left",
            says="this is what the capacitor has lost",
            hint="The question asks for the rest. How much was there at the start?",
            formula=lambda card, earlier: card.bench_voltage * (1 - _share_left(card)),
        ),
        KnownError(
            name="share-for-volts",
            says="this is the share that is left, as a fraction",
            hint="A share of what? One number of your card has not been used yet.",
            formula=lambda card, earlier: _share_left(card),
            keeps=1,
        ),
        KnownError(
            name="minus-forgotten",
            says="the minus sign is missing, so the voltage grows",
            hint="Without the generator, can the voltage rise? Look at the sign in the formula.",
            formula=lambda card, earlier: card.bench_voltage / _share_left(card),
        ),
        KnownError(
            name="milliseconds-for-seconds",
            says="the product R × C went in as milliseconds, and the time as seconds",
            hint="Kilohms times microfarads are milliseconds. Turn R × C into seconds first.",
            formula=lambda card, earlier: (
                card.bench_voltage * exp(-card.bench_wait / (1000 * _time_constant(card)))
            ),
            keeps=1,
            misconception="factor-1000",
        ),
        KnownError(
            name="straight-line",
            says="the voltage was taken to fall along a straight line",
            hint="It falls fast at first and slower later. Use the formula of the question.",
            formula=lambda card, earlier: (
                card.bench_voltage * (1 - card.bench_wait / _time_constant(card))
                if card.bench_wait < 0.95 * _time_constant(card)
                else nan
            ),
        ),
        KnownError(
            name="time-upside-down",
            says="time and R × C have changed places",
            hint="A longer wait must leave less. What belongs above the line?",
            formula=lambda card, earlier: card.bench_voltage * exp(-_time_constant(card) / card.bench_wait),
        ),
    ),
)

WORKSHEET = Worksheet(
    name="follow-the-power",
    version="1",
    title="Follow the power from socket to battery",
    lesson="01-follow-the-power",
    entries=ENTRIES,
    possible=possible,
    questions=(
        chain_order,
        part_of_the_task,
        form_of_voltage,
        time_between_tops,
        mode,
        commander,
        drawn_current,
        what_opens,
        simplest_rcd,
        stop_order,
        stays_live,
        left_voltage,
    ),
    features={
        "direction": lambda card: str(card.direction),
        "rectifier": lambda card: str(card.rectifier),
        "mode": lambda card: WAYS_TO_CHARGE[card.way_to_charge],
        "what opens": lambda card: FAULTS[card.fault],
        "stop": lambda card: "under load" if STOPS[card.stop].startswith("DA") else "without load",
        "what stays live": lambda card: REMAINS[card.switched_off],
    },
)
