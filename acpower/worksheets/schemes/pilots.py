"""Mark scheme of the worksheet ``pilots``: cable, duty, states, faults, and who acts first."""

from math import sqrt
from typing import Any

from acpower.pilot import cable_rating, current_from_duty, duty_from_current, duty_meaning, state_from_voltage
from acpower.proximity import proximity_condition
from acpower.rms import pulse_rms
from acpower.worksheets.cards import Entry
from acpower.worksheets.scheme import Choice, KnownError, Number, Ordering, Text, Worksheet, show

PERIOD_US = 1000  # the pulse signal has 1000 periods in a second
RATINGS = ("13", "20", "32", "63")
CODINGS = {f"{ohms} Ω": ohms for ohms in (98, 103, 214, 226, 665, 690, 1460, 1530)}
PLUGS = {"not plugged": "no plug", "button pressed": "button pressed", "latched": "plug latched"}

DUTIES = {f"{percent:g} %": percent for percent in (1.5, 2, 4.6, 5, 5.4, 34, 72, 91, 98, 99)}
MEANINGS = {
    "charging allowed": "allowed",
    "digital communication required": "digital",
    "charging not allowed": "forbidden",
}

STATES = "ABCDEF"
LEVELS = {
    "+11.9 V, steady": 11.9,
    "+12.2 V, steady": 12.2,
    "+9.1 V and −11.9 V": 9.1,
    "+8.8 V, steady": 8.8,
    "+6.1 V and −12.0 V": 6.1,
    "+5.8 V, steady": 5.8,
    "+3.1 V and −12.1 V": 3.1,
    "+2.8 V and −11.8 V": 2.8,
    "0.0 V, steady": 0.0,
    "+0.2 V, steady": 0.2,
    "−11.8 V, steady": -11.8,
    "−12.1 V, steady": -12.1,
}

BROKEN, SHORTED, NO_DIODE = "wire broken", "short circuit", "no diode"
FAULTS = {
    "+12.1 V, steady": BROKEN,
    "+11.8 V, steady": BROKEN,
    "0.0 V, steady": SHORTED,
    "+0.1 V, steady": SHORTED,
    "+8.8 V and −8.8 V": NO_DIODE,
    "+5.6 V and −5.6 V": NO_DIODE,
}

# A plug comes out, B contactor opens, C current stops, D pilot signal changes.
ENDS = {
    "the battery is full, and the vehicle ends the charge": "CDBA",
    "the driver presses the release button": "CDBA",
    "the station pauses, and the vehicle follows in time": "DCBA",
    "the pilot wire breaks, and the vehicle is too slow to react": "DBCA",
}

# Those limits of the lesson that were read in a document; the two from memory are in no question.
LIMITS = {
    "the vehicle has left state C: the contactor must be open after at most": "0.1",
    "the station has changed the duty: the vehicle must follow after at most": "5",
    "the pulse signal has stopped and the vehicle still draws: the contactor stays closed for at least": "6",
}

ENTRIES = (
    Entry("site", "Site", "", ("Kiln Lane works", "Weir bridge garage", "Poplar estate", "Signal box yard")),
    Entry("coding", "Detachable cable: coding resistor", "", tuple(CODINGS)),
    Entry("contact_resistance", "Detachable cable: dirty contact, in series", "Ω", (20, 35, 60, 85, 120)),
    Entry(
        "plug_voltage",
        "Attached cable: voltage at the proximity contact",
        "V",
        (1.48, 1.51, 1.54, 2.73, 2.76, 2.79, 4.43, 4.46, 4.49),
    ),
    Entry("high_time", "Bay 1: time at the high level", "µs", (165, 185, 215, 265, 315, 385, 435)),
    Entry("high_level", "Bay 1: high level", "V", (5.7, 5.8, 5.9, 6.1, 6.2)),
    Entry("low_level", "Bay 1: low level", "V", (-11.7, -11.8, -11.9, -12.1, -12.2)),
    Entry("upper_duty", "Bay 2: duty", "%", (86.5, 87.5, 88.5, 90.5, 92.5, 94.5)),
    Entry("offer", "Bay 3: current to be offered", "A", (13, 16, 20, 25, 32, 40)),
    Entry("odd_duty", "Bay 4: duty", "", tuple(DUTIES)),
    Entry("levels", "Bay 5: levels of the pilot", "", tuple(LEVELS)),
    Entry("fault", "Bay 6: levels with a vehicle plugged in", "", tuple(FAULTS)),
    Entry("end", "Bay 7: the charge runs, then", "", tuple(ENDS)),
    Entry("limit", "Bay 8", "", tuple(LIMITS)),
)


def possible(card: Any) -> bool:
    """Refuse cables that the two published sets of bands read differently, and numbers that meet by chance."""
    ohms = _ohms(card)
    keys = vars(WORKSHEET.keys(card))
    given = [value for value in card.values.values() if not isinstance(value, str)]
    answers = [key for key in keys.values() if not isinstance(key, str)]
    return cable_rating(ohms) == cable_rating(ohms, "touching") and all(
        abs(answer - number) > 0.006 * answer for answer in answers for number in given
    )


def _ohms(card: Any) -> float:
    return float(CODINGS[card.coding] + card.contact_resistance)


def _rating(ohms: float) -> str:
    return f"{cable_rating(ohms):.0f}"


def _rating_without_dirt(card: Any, earlier: Any) -> str | None:
    """Return the rating by the coding resistor alone, if the dirt makes another one of it."""
    rating = _rating(CODINGS[card.coding])
    return None if rating == _rating(_ohms(card)) else rating


def _turned_rating(card: Any, earlier: Any) -> str | None:
    """Return the rating if more ohms meant a bigger cable, where it tells this error from the other one."""
    rating = RATINGS[-1 - RATINGS.index(_rating(_ohms(card)))]
    return None if rating == _rating_without_dirt(card, earlier) else rating


def _neighbour(state: str, step: int) -> str | None:
    place = STATES.index(state) + step
    return STATES[place] if 0 <= place < len(STATES) else None


def _state(card: Any, earlier: Any) -> str:
    return str(state_from_voltage(LEVELS[card.levels]))


def _meaning(card: Any) -> str:
    return MEANINGS[str(duty_meaning(DUTIES[card.odd_duty]))]


def _mean(card: Any, earlier: Any) -> float:
    share = earlier.duty_percent / 100
    return float(share * card.high_level + (1 - share) * card.low_level)


cable_question: Choice = Choice(
    name="cable_rating",
    title="What the station takes the cable for",
    marks=2,
    level=2,
    outcome="say what the proximity contact tells, with a detachable and with an attached cable",
    options=RATINGS,
    key=lambda card, earlier: _rating(_ohms(card)),
    working=lambda card, earlier: (
        f"{card.coding} and {card.contact_resistance} Ω in series: {_ohms(card):g} Ω, read as "
        f"{_rating(_ohms(card))} A"
    ),
    hints=(
        "The station measures one resistance. What is in it besides the coding resistor?",
        "Resistances in series add up. The nominal ones are 1500 Ω, 680 Ω, 220 Ω and 100 Ω, from small cable to big.",
        "Add the two resistances on your card. Then look in the table for the place where the sum belongs.",
    ),
    sources=("station-bring-up-guide", "charge-controller-manual"),
    known_errors=(
        KnownError(
            name="more-ohms-bigger-cable",
            says="more ohms were taken for a bigger cable",
            hint="Which of two cables is coded with fewer ohms, the thick one or the thin one?",
            formula=_turned_rating,
        ),
        KnownError(
            name="dirt-forgotten",
            says="the dirty contact was left out",
            hint="The station cannot tell dirt from resistor. Which resistance does it measure in all?",
            formula=_rating_without_dirt,
        ),
    ),
)

plug: Choice = Choice(
    name="plug_condition",
    title="What the vehicle learns from an attached cable",
    marks=1,
    level=2,
    outcome="say what the proximity contact tells, with a detachable and with an attached cable",
    options=tuple(PLUGS.values()),
    key=lambda card, earlier: PLUGS[str(proximity_condition(card.plug_voltage))],
    working=lambda card, earlier: (
        f"{card.plug_voltage} V: {PLUGS[str(proximity_condition(card.plug_voltage))]}"
    ),
    hints=(
        "Compare your reading with the three voltages that the lesson prints.",
        "The vehicle feeds 5 V through a resistor. The more ohms lie in parallel, the higher the voltage.",
        "Begin with the empty inlet: nothing lies in parallel, so its voltage is the highest. Is yours?",
    ),
    sources=("solar-car-firmware", "j1772-button-page", "vehicle-proximity-schematic"),
    known_errors=(
        KnownError(
            name="turned-round",
            says="a high voltage was taken for a plug that sits tight, or the other way round",
            hint="The plug puts a resistor in parallel. Does that raise the voltage or lower it?",
            formula=lambda card, earlier: {"no plug": "plug latched", "plug latched": "no plug"}.get(
                plug.key(card, earlier)
            ),
        ),
        KnownError(
            name="button-switch-turned-round",
            says="the switch of the button was taken to close when it is pressed",
            hint="The button opens a switch, and a second resistor comes in series. Are there more ohms then?",
            formula=lambda card, earlier: (
                "plug latched" if plug.key(card, earlier) == "button pressed" else None
            ),
        ),
    ),
)

duty: Number = Number(
    name="duty_percent",
    title="Duty from the oscilloscope",
    marks=2,
    unit="%",
    level=1,
    outcome="go from the duty of the control pilot to the current, and back",
    key=lambda card, earlier: 100 * card.high_time / PERIOD_US,
    working=lambda card, earlier: (
        f"duty = {card.high_time} µs / {PERIOD_US} µs × 100 = {show(duty.key(card, earlier))} %"
    ),
    hints=(
        "The trace is high for one part of the period and low for the rest. Which part is on your card?",
        "The duty is the share of the time at the high level, in percent.",
        "Divide the time on your card by the time of the whole period, then multiply by 100.",
    ),
    sources=("test-adapter-manual", "electric-circuits-ac"),
    known_errors=(
        KnownError(
            name="off-time-for-duty",
            says="the time at the low level was taken",
            hint="The duty counts the time at the high level. Which of the two is on your card?",
            formula=lambda card, earlier: 100 - duty.key(card, earlier),
            misconception="off-time-for-duty",
        ),
        KnownError(
            name="fraction-for-percent",
            says="this is a fraction, the question asks for percent",
            hint="Per cent means of every hundred. Write your fraction that way.",
            formula=lambda card, earlier: card.high_time / PERIOD_US,
            keeps=1,
            misconception="drop-as-fraction",
        ),
        KnownError(
            name="low-time-as-base",
            says="the time at the high level was divided by the time at the low level",
            hint="The base is the whole period: both times together.",
            formula=lambda card, earlier: 100 * card.high_time / (PERIOD_US - card.high_time),
        ),
    ),
)

offered_current: Number = Number(
    name="offered_current_a",
    title="Current at this duty",
    marks=2,
    unit="A",
    level=2,
    outcome="go from the duty of the control pilot to the current, and back",
    needs=("duty_percent",),
    key=lambda card, earlier: current_from_duty(earlier.duty_percent),
    working=lambda card, earlier: (
        f"I = duty × 0.6 A = {show(earlier.duty_percent)} × 0.6 A = "
        f"{show(offered_current.key(card, earlier))} A"
    ),
    hints=(
        "There are two rules, one up to 85 % and one above. Which of them holds for your duty?",
        "Up to 85 % each percent stands for 0.6 A.",
        "Write your duty in percent and multiply it by what one percent stands for.",
    ),
    sources=("test-adapter-manual", "in-line-tester-manual"),
    known_errors=(
        KnownError(
            name="duty-divided",
            says="the duty was divided by 0.6",
            hint="One percent stands for 0.6 A. What do all your percents stand for?",
            formula=lambda card, earlier: earlier.duty_percent / 0.6,
            misconception="duty-divided",
        ),
        KnownError(
            name="duty-as-fraction",
            says="the duty went in as a fraction",
            hint="The rule takes the duty in percent: write 16, not 0.16.",
            formula=lambda card, earlier: 0.6 * earlier.duty_percent / 100,
            keeps=1,
            misconception="duty-as-fraction",
        ),
        KnownError(
            name="off-time-for-duty",
            says="the time at the low level was used",
            hint="The current goes with the time at the high level.",
            formula=lambda card, earlier: 0.6 * (100 - earlier.duty_percent),
            misconception="off-time-for-duty",
        ),
        KnownError(
            name="upper-rule",
            says="the rule for more than 85 % was used",
            hint="Look at your duty once more. On which side of 85 % does it lie?",
            formula=lambda card, earlier: (earlier.duty_percent - 64) * 2.5,
        ),
    ),
)

upper_current: Number = Number(
    name="upper_current_a",
    title="Current at a high duty",
    marks=2,
    unit="A",
    level=2,
    outcome="go from the duty of the control pilot to the current, and back",
    key=lambda card, earlier: current_from_duty(card.upper_duty),
    working=lambda card, earlier: (
        f"I = (duty − 64) × 2.5 A = ({card.upper_duty} − 64) × 2.5 A = "
        f"{show(upper_current.key(card, earlier))} A"
    ),
    hints=(
        "There are two rules, one up to 85 % and one above. Which of them holds for this duty?",
        "Above 85 % one percent makes much more than below. First 64 is taken away, then 2.5 A come in.",
        "Work out what stands in the brackets first: the duty on your card, less 64.",
    ),
    sources=("test-adapter-manual", "in-line-tester-manual"),
    known_errors=(
        KnownError(
            name="lower-duty-rule",
            says="the rule up to 85 % was used",
            hint="Look at your duty once more. On which side of 85 % does it lie?",
            formula=lambda card, earlier: 0.6 * card.upper_duty,
            misconception="lower-duty-rule",
        ),
        KnownError(
            name="factor-forgotten",
            says="the factor of 2.5 A is missing",
            hint="You have the percents above 64. How many amperes does each of them stand for?",
            formula=lambda card, earlier: card.upper_duty - 64,
            keeps=1,
        ),
        KnownError(
            name="brackets-forgotten",
            says="it was multiplied before 64 was taken away",
            hint="What stands in brackets comes first. Python needs the brackets too.",
            formula=lambda card, earlier: 2.5 * card.upper_duty - 64,
        ),
        KnownError(
            name="brackets-forgotten-at-the-end",
            says="64 was multiplied by 2.5 before it was taken away",
            hint="What stands in brackets comes first. Python needs the brackets too.",
            formula=lambda card, earlier: card.upper_duty - 64 * 2.5,
        ),
        KnownError(
            name="duty-divided",
            says="it was divided by 2.5",
            hint="Each percent above 64 stands for 2.5 A. What do all of them stand for?",
            formula=lambda card, earlier: (card.upper_duty - 64) / 2.5,
            misconception="duty-divided",
        ),
        KnownError(
            name="off-time-for-duty",
            says="the time at the low level was used",
            hint="The current goes with the time at the high level.",
            formula=lambda card, earlier: 0.6 * (100 - card.upper_duty),
            misconception="off-time-for-duty",
        ),
    ),
)

offer_duty: Number = Number(
    name="offer_duty_percent",
    title="Duty for a current",
    marks=2,
    unit="%",
    level=2,
    outcome="go from the duty of the control pilot to the current, and back",
    key=lambda card, earlier: duty_from_current(card.offer),
    working=lambda card, earlier: (
        f"duty = I / 0.6 A = {card.offer} A / 0.6 A = {show(offer_duty.key(card, earlier))} %"
    ),
    hints=(
        "This is the way back: the current is known, the duty is asked for.",
        "One percent stands for 0.6 A. How often does that fit into your current?",
        "Take the current to be offered from your card and divide it by what one percent stands for.",
    ),
    sources=("test-adapter-manual",),
    known_errors=(
        KnownError(
            name="current-multiplied",
            says="the current was multiplied by 0.6",
            hint="That is the way from duty to current. Which step turns it round?",
            formula=lambda card, earlier: 0.6 * card.offer,
        ),
        KnownError(
            name="fraction-for-percent",
            says="this is a fraction, the question asks for percent",
            hint="Per cent means of every hundred. Write your fraction that way.",
            formula=lambda card, earlier: card.offer / 60,
            keeps=1,
            misconception="duty-as-fraction",
        ),
        KnownError(
            name="off-time-for-duty",
            says="this is the time at the low level",
            hint="The duty counts the time at the high level.",
            formula=lambda card, earlier: 100 - duty_from_current(card.offer),
            misconception="off-time-for-duty",
        ),
        KnownError(
            name="upper-rule",
            says="the rule for more than 51 A was used",
            hint="Look at your current once more. Which of the two rules reaches it?",
            formula=lambda card, earlier: card.offer / 2.5 + 64,
        ),
    ),
)

duty_question: Choice = Choice(
    name="duty_meaning",
    title="May the vehicle draw current?",
    marks=1,
    level=2,
    outcome="go from the duty of the control pilot to the current, and back",
    options=tuple(MEANINGS.values()),
    key=lambda card, earlier: _meaning(card),
    working=lambda card, earlier: f"{card.odd_duty}: {_meaning(card)}",
    hints=(
        "Find the range of duties in which yours lies before you multiply anything.",
        "The rule for the amperes begins at 8 % and ends at 97 %. One narrow range below it has its own meaning.",
        "Draw a line from 0 % to 100 %, mark the ranges of the lesson on it, and set a cross at your duty.",
    ),
    sources=("test-adapter-manual", "in-line-tester-manual"),
    known_errors=(
        KnownError(
            name="rule-used-beyond-its-range",
            says="the duty was turned into amperes outside the range of the rule",
            hint="At which duty does the rule for the amperes begin, and where does it end?",
            formula=lambda card, earlier: None if _meaning(card) == "allowed" else "allowed",
        ),
    ),
)

state: Text = Text(
    name="pilot_state",
    title="State of the pilot",
    marks=1,
    level=2,
    outcome="tell the states A to F by their levels",
    key=_state,
    working=lambda card, earlier: f"{card.levels}: state {_state(card, earlier)}",
    # A digit behind the letter tells whether the pulse signal is there; the letter is what is asked for.
    spellings={
        name: (f"state {name}", *(f"{word}{name}{digit}" for word in ("", "state ") for digit in "12"))
        for name in STATES
    },
    hints=(
        "Look at the positive level alone, with its sign. Where there is no pulse, take the steady level.",
        "The six states go down in steps of 3 V, from no vehicle to short circuit. The last one is negative.",
        "Round your positive level to the next step, then count the letters down from 12 V.",
    ),
    sources=("level-2-design-guide", "station-state-windows"),
    known_errors=(
        KnownError(
            name="one-state-too-early",
            says="this is the state before, one step of 3 V higher",
            hint="Compare your level with the list of the states once more.",
            formula=lambda card, earlier: _neighbour(_state(card, earlier), -1),
        ),
        KnownError(
            name="one-state-too-late",
            says="this is the state after, one step lower",
            hint="Compare your level with the list of the states once more.",
            formula=lambda card, earlier: _neighbour(_state(card, earlier), 1),
        ),
        KnownError(
            name="sign-lost",
            says="the sign of the level was lost",
            hint="Plus and minus 12 V do not mean the same. Which of them stands on your card?",
            formula=lambda card, earlier: {"A": "F", "F": "A"}.get(_state(card, earlier)),
        ),
    ),
)

pilot_rms: Number = Number(
    name="pilot_rms_v",
    title="What a true-RMS meter shows",
    marks=3,
    unit="V",
    level=3,
    outcome="tell the states A to F by their levels",
    needs=("duty_percent",),
    key=lambda card, earlier: pulse_rms(card.high_level, earlier.duty_percent / 100, card.low_level),
    working=lambda card, earlier: (
        f"U = √({show(earlier.duty_percent / 100)} × ({card.high_level} V)² + "
        f"{show(1 - earlier.duty_percent / 100)} × ({card.low_level} V)²) = "
        f"{show(pilot_rms.key(card, earlier))} V"
    ),
    hints=(
        "The meter sees both levels, each for its own share of the time.",
        "Read RMS from back to front: square each level, take the mean over the time, then the root.",
        "Begin with your duty as a share of 1. What is left of the period belongs to the low level.",
    ),
    sources=("electric-circuits-ac", "university-physics-2"),
    known_errors=(
        KnownError(
            name="low-level-as-zero",
            says="the low level was taken as 0 V",
            hint="The low level is negative, and it heats a resistor as well. Add it with its share of the time.",
            formula=lambda card, earlier: card.high_level * sqrt(earlier.duty_percent / 100),
            misconception="low-level-as-zero",
        ),
        KnownError(
            name="mean-for-rms",
            says="this is the mean of the signal",
            hint="Square each level before you take the mean, and take the root at the end.",
            formula=_mean,
            misconception="rms-of-a-pulse-as-mean",
        ),
        KnownError(
            name="mean-without-sign-for-rms",
            says="this is the mean of the signal without its sign",
            hint="Square each level before you take the mean, and take the root at the end.",
            formula=lambda card, earlier: -_mean(card, earlier),
            misconception="rms-of-a-pulse-as-mean",
        ),
        KnownError(
            name="sine-factor-on-a-pulse",
            says="the high level was divided by √2, as for a sine",
            hint="√2 belongs to a sine. This signal has two levels: square them.",
            formula=lambda card, earlier: card.high_level / sqrt(2),
            misconception="sine-factor-on-a-pulse",
        ),
        KnownError(
            name="off-time-for-duty",
            says="the two shares of the time were swapped",
            hint="Your duty belongs to the high level. Which share is left for the low level?",
            formula=lambda card, earlier: pulse_rms(
                card.high_level, 1 - earlier.duty_percent / 100, card.low_level
            ),
            misconception="off-time-for-duty",
        ),
        KnownError(
            name="root-forgotten",
            says="the root is missing",
            hint="You have the mean of the squares, in square volts. One step is left.",
            formula=lambda card, earlier: pilot_rms.key(card, earlier) ** 2,
            keeps=2,
        ),
    ),
)

fault: Choice = Choice(
    name="pilot_fault",
    title="What is wrong in bay 6",
    marks=1,
    level=2,
    outcome="find a broken wire, a short circuit and a missing diode",
    options=(BROKEN, SHORTED, NO_DIODE),
    key=lambda card, earlier: FAULTS[card.fault],
    working=lambda card, earlier: f"{card.fault}: {FAULTS[card.fault]}",
    hints=(
        "Look at both levels: the high one, and the low one if there is any.",
        "With a sound vehicle the high level falls below 12 V and the low one stays at −12 V.",
        "Ask what the station sees without any vehicle. Then compare with the levels on your card.",
    ),
    sources=("level-2-design-guide", "diode-check-thread"),
    known_errors=(
        KnownError(
            name="open-and-closed-mixed-up",
            says="an open way and a closed way to PE are mixed up",
            hint="What is left of the 12 V when nothing loads the pilot? And when it is tied to PE?",
            formula=lambda card, earlier: {BROKEN: SHORTED, SHORTED: BROKEN}.get(FAULTS[card.fault]),
        ),
        KnownError(
            name="low-level-overlooked",
            says="the low level was overlooked",
            hint="The high level looks like that of a sound vehicle. What about the low one?",
            formula=lambda card, earlier: SHORTED if FAULTS[card.fault] == NO_DIODE else None,
        ),
    ),
)

end_order: Ordering = Ordering(
    name="end_order",
    title="The end of a charge in order",
    marks=2,
    level=3,
    outcome="say in which order station and vehicle act, and how long each may take",
    statements=(
        "The plug comes out.",
        "The contactor opens.",
        "The current stops.",
        "The pilot signal changes.",
    ),
    key=lambda card, earlier: ENDS[card.end],
    working=lambda card, earlier: f"{card.end}: {ENDS[card.end]}",
    hints=(
        "Ask first who begins: the vehicle, the station, or nobody because something breaks.",
        "A planned end spares the contactor. Only where the vehicle is too slow must it open under load.",
        "Start with what is said about bay 7 on your card. Which of the four is the first to follow from it?",
    ),
    sources=("station-bring-up-guide", "charging-simulation"),
    known_errors=(
        KnownError(
            name="contactor-under-load",
            says="the contactor opens while the current still flows",
            hint="The vehicle on your card acts in time. What does it do before the contactor opens?",
            formula=lambda card, earlier: {"CDBA": "BCDA", "DCBA": "DBCA"}.get(ENDS[card.end]),
        ),
        KnownError(
            name="vehicle-in-time",
            says="the vehicle acts in time here, as in a planned end",
            hint="Your card says how fast the vehicle is. What cuts off the current then?",
            formula=lambda card, earlier: "DCBA" if ENDS[card.end] == "DBCA" else None,
        ),
        KnownError(
            name="plug-out-under-load",
            says="the plug comes out first, and draws an arc",
            hint="A plug must never part under load. When is it safe to pull it?",
            formula=lambda card, earlier: "A" + ENDS[card.end].removesuffix("A"),
        ),
    ),
)

limit: Choice = Choice(
    name="time_limit_s",
    title="How long it may take",
    marks=1,
    level=2,
    outcome="say in which order station and vehicle act, and how long each may take",
    options=tuple(LIMITS.values()),
    key=lambda card, earlier: LIMITS[card.limit],
    working=lambda card, earlier: f"{card.limit} {LIMITS[card.limit]} s",
    hints=(
        "Ask who has to act, the vehicle or the contactor, and whether current still flows.",
        "The contactor is quick where no current flows, and waits long where it would open under load.",
        "Look for the limits where the lesson follows the charging sequence. Which fits bay 8 on your card?",
    ),
    sources=("station-bring-up-guide", "charging-simulation"),
    known_errors=(
        KnownError(
            name="limits-of-the-contactor-mixed-up",
            says="the two limits of the contactor are mixed up",
            hint="Does current still flow on your card? What would that do to the contacts?",
            formula=lambda card, earlier: {"0.1": "6", "6": "0.1"}.get(LIMITS[card.limit]),
        ),
        KnownError(
            name="vehicle-and-contactor-mixed-up",
            says="this limit belongs to the other of the two, vehicle and contactor",
            hint="Who has to act on your card: the vehicle or the contactor?",
            formula=lambda card, earlier: "6" if LIMITS[card.limit] == "5" else "5",
        ),
    ),
)

WORKSHEET = Worksheet(
    name="pilots",
    version="1",
    title="Listen to the pilots",
    lesson="05-listen-to-the-pilots",
    entries=ENTRIES,
    possible=possible,
    questions=(
        cable_question,
        plug,
        duty,
        offered_current,
        upper_current,
        offer_duty,
        duty_question,
        state,
        pilot_rms,
        fault,
        end_order,
        limit,
    ),
    features={
        "plug of the attached cable": lambda card: str(proximity_condition(card.plug_voltage)),
        "duty in bay 4": _meaning,
        "state in bay 5": lambda card: _state(card, None),
        "fault in bay 6": lambda card: FAULTS[card.fault],
        "end in bay 7": lambda card: str(card.end),
    },
)
