"""Mark scheme of an own worksheet: a heater on the bench. An example; the place and the numbers are invented."""

from acpower.worksheets.cards import Entry
from acpower.worksheets.scheme import COMMON_PRACTICE, KnownError, Number, Ordering, Text, Worksheet, show

POWER, ORDER, WORDS = "work out power", "put the steps in order", "name the parts"


def current(card, earlier):
    return card.power / card.voltage


current_a = Number(
    name="current_a",
    title="Current of the heater",
    marks=2,
    level=1,
    outcome=POWER,
    unit="A",
    key=current,
    working=lambda card, earlier: (
        f"I = P / U = {card.power} W / {card.voltage} V = {show(current(card, earlier))} A"
    ),
    hints=(
        "Look at the two ratings on the card.",
        "Power is voltage times current.",
        "Divide the power by the voltage.",
    ),
    sources=("electric-circuits-dc",),
    known_errors=(
        KnownError(
            name="turned-round",
            says="the voltage was divided by the power",
            hint="Which of the two is bigger, and what does that make of the current?",
            formula=lambda card, earlier: card.voltage / card.power,
        ),
        KnownError(
            name="multiplied",
            says="power and voltage were multiplied",
            hint="Power is voltage times current. Solve it for the current.",
            formula=lambda card, earlier: card.voltage * card.power,
        ),
    ),
)

energy_wh = Number(
    name="energy_wh",
    title="Energy in a lesson",
    marks=3,
    level=3,
    outcome=POWER,
    unit="Wh",
    units={"kWh": 1000},
    key=lambda card, earlier: card.power * card.minutes / 60,
    working=lambda card, earlier: (
        f"E = P · t = {card.power} W × {card.minutes} min / 60 = {show(card.power * card.minutes / 60)} Wh"
    ),
    hints=(
        "Look at the unit of the time.",
        "Energy is power times hours.",
        "Turn the minutes into hours first.",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="minutes-not-converted",
            says="the minutes went in as hours",
            hint="How many hours are that?",
            formula=lambda card, earlier: card.power * card.minutes,
            keeps=1,
            misconception="minutes-not-converted",
        ),
    ),
)

connecting = Ordering(
    name="connecting",
    title="Connect the meter",
    marks=2,
    level=2,
    outcome=ORDER,
    statements=("switch on", "connect the meter in series", "read the meter", "set the range of the meter"),
    key=lambda card, earlier: "DBAC",
    working=lambda card, earlier: "Range, connection, switch, reading: DBAC",
    hints=(
        "Think of the first thing that you touch.",
        "Nothing is live while you connect.",
        "The reading ends it.",
    ),
    sources=(COMMON_PRACTICE,),
)

part = Text(
    name="part",
    title="What turns the current into heat",
    marks=1,
    level=2,
    outcome=WORDS,
    key=lambda card, earlier: "resistor",
    spellings={"resistor": ("resistance", "heating resistor")},
    working=lambda card, earlier: "The resistor",
    hints=("Look at the symbol.", "It opposes the current.", "Its value is in ohms."),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="switch",
            says="a switch only opens and closes",
            hint="Which part gets hot?",
            formula=lambda card, earlier: "switch",
        ),
    ),
)

WORKSHEET = Worksheet(
    name="bench-heater",
    version="1",
    title="A heater on the bench",
    lesson="own",
    entries=(
        Entry("voltage", "Voltage of the bench supply", "V", (12, 24)),
        Entry("power", "Power of the heater", "W", (30, 40, 55, 65, 70)),
        Entry("minutes", "Time that it is on", "min", (25, 35, 40, 50)),
    ),
    questions=(current_a, energy_wh, connecting, part),
)
