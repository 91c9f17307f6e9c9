"""Mark scheme of the worksheet ``losses``: efficiencies with their points, losses in watts, a distorted current."""

from math import prod, sqrt
from typing import Any

from acpower.charger import grid_power
from acpower.distorted import true_power_factor
from acpower.efficiency import ChargerLosses
from acpower.harmonic_limits import class_a_limit
from acpower.worksheets.cards import Entry
from acpower.worksheets.scheme import COMMON_PRACTICE, Choice, KnownError, Number, Text, Worksheet, show
from acpower.worksheets.schemes.shared_checks import numbers_stand_apart

# From the shortest way to the longest: each takes in the losses of the one before and more.
POINTS = (
    "socket to output of the charger",
    "house meter to battery",
    "house meter to what the battery gives back",
)
REPORTS = (
    "X 81 %, Y 94 %, Z 88 %",
    "X 81 %, Y 88 %, Z 94 %",
    "X 88 %, Y 81 %, Z 94 %",
    "X 88 %, Y 94 %, Z 81 %",
    "X 94 %, Y 81 %, Z 88 %",
    "X 94 %, Y 88 %, Z 81 %",
)
CLUES = {
    "it weighs most when the charge is slow": "fixed",
    "it takes the same share at every power": "linear",
    "it weighs most at full load": "quadratic",
}
HARMONICS = {"third": 3, "fifth": 5, "seventh": 7}

ENTRIES = (
    Entry("site", "Site", "", ("Ropewalk garage", "Clay pit nursery", "Riverside library", "Sawmill yard")),
    Entry("points", "Points of question 1", "", POINTS),
    Entry("reports", "Three efficiencies of one vehicle", "", REPORTS),
    Entry("wiring_percent", "Chain: efficiency from meter to inlet", "%", (94, 95, 96)),
    Entry("charger_percent", "Chain: efficiency of the charger", "%", (84, 85, 86, 87, 88)),
    Entry("battery_percent", "Chain: efficiency of the battery, in and out", "%", (89, 91, 92, 93)),
    Entry("meter_kwh", "Chain: energy at the meter", "kWh", (38, 43, 47, 53, 57)),
    Entry("rated_kw", "Charger: power at full load", "kW", (6.6, 7.2, 7.4)),
    Entry("part_kw", "Charger: power of a slow charge", "kW", (1.8, 2.3, 2.7)),
    Entry("fixed_w", "Charger: fixed loss", "W", (65, 75, 85, 95)),
    Entry("linear_w", "Charger: linear loss at full load", "W", (140, 160, 180, 220)),
    Entry("quadratic_w", "Charger: quadratic loss at full load", "W", (320, 340, 360, 420)),
    Entry("loss_clue", "Loss of question 5", "", tuple(CLUES)),
    Entry("slow_percent", "Table: efficiency of the slow charge", "%", (63, 66, 68, 71)),
    Entry("fast_percent", "Table: efficiency of the fast charge", "%", (89, 91, 92, 93)),
    Entry("slow_kwh", "Energy stored by the slow charge", "kWh", (12, 13, 14, 16)),
    Entry("fast_kwh", "Energy stored by the fast charge", "kWh", (24, 26, 28, 32)),
    Entry("auxiliaries_w", "Auxiliaries awake during a charge", "W", (180, 210, 230, 260, 290)),
    Entry("charge_hours", "Length of the charge: full hours", "h", (6, 7, 8, 9)),
    Entry("charge_minutes", "Length of the charge: minutes on top", "min", (18, 24, 36, 42, 48)),
    Entry("standby_w", "Standby of the station", "W", (2.2, 2.6, 2.9, 3.4, 3.8, 4.2)),
    Entry("third_a", "Mains current: 3rd harmonic", "A", (1.86, 2.04, 2.12, 2.48, 2.62)),
    Entry("fifth_a", "Mains current: 5th harmonic", "A", (0.88, 0.96, 1.02, 1.26, 1.34)),
    Entry("seventh_a", "Mains current: 7th harmonic", "A", (0.58, 0.64, 0.68, 0.84, 0.92)),
    Entry("displacement", "Displacement factor, cos φ of the fundamental", "", (0.93, 0.94, 0.96, 0.97)),
    Entry("thd_percent", "THD of the mains current", "%", (46, 54, 62, 74, 86)),
)


def possible(card: Any) -> bool:
    """Refuse cards on which not just one harmonic passes its limit, and chance hits."""
    return sum(share > 1 for share in _shares_of_limits(card)) == 1 and numbers_stand_apart(WORKSHEET, card)


def _efficiency_between_the_points(card: Any) -> tuple[str, str]:
    """Return the letter that belongs to the points of the card, and the one of the way turned round."""
    found = {part.split()[0]: int(part.split()[1]) for part in card.reports.split(", ")}
    rank = POINTS.index(card.points)
    falling = sorted(found, key=found.__getitem__, reverse=True)
    return falling[rank], falling[-1 - rank]


def _chain_shares(card: Any) -> list[float]:
    return [card.wiring_percent / 100, card.charger_percent / 100, card.battery_percent / 100]


def _charge_hours(card: Any) -> float:
    return float(card.charge_hours + card.charge_minutes / 60)


def _stored_kwh(card: Any) -> float:
    return float(card.slow_kwh + card.fast_kwh)


def _standby_kwh(card: Any) -> float:
    return float(card.standby_w * 24 * 365 / 1000)


def _shares_of_limits(card: Any) -> list[float]:
    currents = (card.third_a, card.fifth_a, card.seventh_a)
    return [
        current / float(class_a_limit(order))
        for current, order in zip(currents, HARMONICS.values(), strict=True)
    ]


def _load(card: Any) -> float:
    return float(card.part_kw / card.rated_kw)


def _charger(card: Any) -> ChargerLosses:
    return ChargerLosses(1000 * card.rated_kw, card.fixed_w, card.linear_w, card.quadratic_w)


WATT_HOURS = {"Wh": 0.001}
PERCENT_TO_FRACTION = "Per cent means of every hundred. Turn each percentage into a fraction first."
FRACTION_TO_PERCENT = "The question asks for percent. How many of every hundred are that?"

efficiency_points = Choice(
    name="efficiency_points",
    title="Whose efficiency is it",
    marks=1,
    level=2,
    outcome="say between which two points an efficiency holds",
    options=("X", "Y", "Z"),
    key=lambda card, earlier: _efficiency_between_the_points(card)[0],
    working=lambda card, earlier: (
        f"Of {card.reports}, {_efficiency_between_the_points(card)[0]} belongs to “{card.points}”: "
        "the longer the way, the more is lost on it"
    ),
    hints=(
        "Which of the three ways does your card name: the short one, the middle one or the long one?",
        "Each longer way has all losses of the shorter one, and some more.",
        "Write the three efficiencies from high to low. Then write the three ways from short to long beside them.",
    ),
    sources=("charging-losses-article", COMMON_PRACTICE),
    known_errors=(
        KnownError(
            name="longest-way-best",
            says="the longest way was given the highest efficiency, or the shortest the lowest",
            hint="On a longer way more becomes heat. What does that do to the efficiency?",
            formula=lambda card, earlier: (
                turned
                if (turned := _efficiency_between_the_points(card)[1])
                != _efficiency_between_the_points(card)[0]
                else None
            ),
        ),
    ),
)

chain_efficiency: Number = Number(
    name="chain_efficiency_percent",
    title="Efficiency of a whole chain",
    marks=2,
    level=2,
    outcome="work with a fixed efficiency, with losses in watts and with a measured table",
    unit="%",
    key=lambda card, earlier: 100 * prod(_chain_shares(card)),
    working=lambda card, earlier: (
        " × ".join(f"{share:g}" for share in _chain_shares(card))
        + f" = {show(chain_efficiency.key(card, earlier) / 100)}, in percent: "
        + show(chain_efficiency.key(card, earlier))
    ),
    hints=(
        "Three things stand one after the other. Each passes on a share of what it gets.",
        "The share of the second is taken of what the first has passed on, not of the whole.",
        "Let 100 kWh go in. How many leave the wiring, how many of those leave the charger, and then the battery?",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="losses-added-in-a-chain",
            says="the three losses were added and taken from 100 %",
            hint="The second loss is a share of what is left after the first. What does that do to the shares?",
            misconception="losses-added-in-a-chain",
            formula=lambda card, earlier: 100 * (sum(_chain_shares(card)) - 2),
        ),
        KnownError(
            name="efficiencies-averaged",
            says="this is the mean of the three efficiencies",
            hint="Can more come out of the chain than out of its worst part?",
            misconception="efficiencies-averaged",
            formula=lambda card, earlier: 100 * sum(_chain_shares(card)) / 3,
        ),
        KnownError(
            name="loss-for-output",
            says="this is the share that is lost",
            hint="The efficiency is the share that gets through.",
            keeps=1,
            misconception="loss-for-output",
            formula=lambda card, earlier: 100 - chain_efficiency.key(card, earlier),
        ),
        KnownError(
            name="percent-as-factor",
            says="the percentages were multiplied as they stand",
            hint=PERCENT_TO_FRACTION,
            keeps=1,
            misconception="percent-as-factor",
            formula=lambda card, earlier: 10_000 * chain_efficiency.key(card, earlier),
        ),
        KnownError(
            name="percent-left-as-fraction",
            says="this is the efficiency as a fraction",
            hint=FRACTION_TO_PERCENT,
            keeps=1,
            misconception="drop-as-fraction",
            formula=lambda card, earlier: chain_efficiency.key(card, earlier) / 100,
        ),
    ),
)

given_back: Number = Number(
    name="given_back_kwh",
    title="What the chain gives back",
    marks=2,
    level=2,
    outcome="work with a fixed efficiency, with losses in watts and with a measured table",
    unit="kWh",
    units=WATT_HOURS,
    needs=("chain_efficiency_percent",),
    key=lambda card, earlier: card.meter_kwh * earlier.chain_efficiency_percent / 100,
    working=lambda card, earlier: (
        f"E = {card.meter_kwh} kWh × {show(earlier.chain_efficiency_percent)} / 100 = "
        f"{show(given_back.key(card, earlier))} kWh"
    ),
    hints=(
        "The energy at the meter goes in. On which side of the losses is the answer?",
        "out = in × efficiency, with the efficiency as a fraction.",
        "Turn your efficiency of question 2 into a fraction. Then go from the energy at the meter to the far end.",
    ),
    sources=("on-board-charger-measurements",),
    known_errors=(
        KnownError(
            name="efficiency-divided",
            says="it was divided by the efficiency",
            hint="Less comes out of a chain than goes in. Which way must the efficiency go?",
            misconception="efficiency-divided",
            formula=lambda card, earlier: 100 * card.meter_kwh / earlier.chain_efficiency_percent,
        ),
        KnownError(
            name="loss-for-output",
            says="this is what is lost on the way",
            hint="The question asks for what comes out at the far end.",
            misconception="loss-for-output",
            formula=lambda card, earlier: card.meter_kwh * (1 - earlier.chain_efficiency_percent / 100),
        ),
        KnownError(
            name="loss-added",
            says="the loss was added on top",
            hint="Less comes out of a chain than goes in.",
            misconception="loss-added",
            formula=lambda card, earlier: card.meter_kwh * (2 - earlier.chain_efficiency_percent / 100),
        ),
        KnownError(
            name="percent-as-factor",
            says="the percentage was used as a factor",
            hint=PERCENT_TO_FRACTION,
            keeps=1,
            misconception="percent-as-factor",
            formula=lambda card, earlier: card.meter_kwh * earlier.chain_efficiency_percent,
        ),
    ),
)

loss: Number = Number(
    name="loss_w",
    title="Losses of a slow charge in watts",
    marks=2,
    level=1,
    outcome="work with a fixed efficiency, with losses in watts and with a measured table",
    unit="W",
    units={"kW": 1000.0},
    key=lambda card, earlier: 1000 * card.part_kw - _charger(card).battery_power(1000 * card.part_kw),
    working=lambda card, earlier: (
        f"p = {card.part_kw} kW / {card.rated_kw} kW = {show(_load(card))}, loss = {card.fixed_w} W + "
        f"{card.linear_w} W × p + {card.quadratic_w} W × p² = {show(loss.key(card, earlier))} W"
    ),
    hints=(
        "First find p, the power of the slow charge as a share of full load. It is below 1.",
        "The fixed part stays as it is, the linear part goes with p, the quadratic part with p².",
        "Divide the two powers of your charger. Then work out the three parts one by one, and add them.",
    ),
    sources=("charging-simulation-losses",),
    known_errors=(
        KnownError(
            name="square-missing",
            says="the quadratic part was taken with p instead of p²",
            hint="Half the power is half the linear loss, but a quarter of the quadratic loss.",
            keeps=1,
            formula=lambda card, earlier: card.fixed_w + _load(card) * (card.linear_w + card.quadratic_w),
        ),
        KnownError(
            name="losses-of-full-load",
            says="these are the losses at full load",
            hint="The slow charge has less power. Which parts become smaller with it?",
            formula=lambda card, earlier: card.fixed_w + card.linear_w + card.quadratic_w,
        ),
        KnownError(
            name="fixed-part-scaled",
            says="the fixed part was made smaller together with the linear part",
            hint="Which part is there as soon as the charger runs, at any power?",
            keeps=1,
            formula=lambda card, earlier: (
                _load(card) * (card.fixed_w + card.linear_w + _load(card) * card.quadratic_w)
            ),
        ),
        KnownError(
            name="fixed-part-forgotten",
            says="the fixed part is missing",
            hint="The formula has three parts. Which one is there at any power?",
            keeps=1,
            formula=lambda card, earlier: loss.key(card, earlier) - card.fixed_w,
        ),
        KnownError(
            name="share-upside-down",
            says="full load was divided by the power of the charge",
            hint="A slow charge is less than full load. Should p be above or below 1?",
            formula=lambda card, earlier: (
                card.fixed_w + card.linear_w / _load(card) + card.quadratic_w / _load(card) ** 2
            ),
        ),
    ),
)

loss_part = Text(
    name="loss_part",
    title="Which part of the loss is it",
    marks=1,
    level=2,
    outcome="say why slow charging wastes energy, and find the best power",
    key=lambda card, earlier: CLUES[card.loss_clue],
    spellings={
        "fixed": (
            "fixed loss",
            "fixed losses",
            "fixed part",
            "fix",
            "fix loss",
            "constant",
            "constant loss",
            "constant part",
        ),
        "linear": ("linear loss", "linear losses", "linear part", "proportional"),
        "quadratic": (
            "quadratic loss",
            "quadratic losses",
            "quadratic part",
            "square",
            "squared",
            "square loss",
        ),
    },
    working=lambda card, earlier: f"“{card.loss_clue}”: this is the {CLUES[card.loss_clue]} loss",
    hints=(
        "Read the line of question 5 on your card. It tells what this part does as a share of the power.",
        "A part that stays the same in watts is a large share of a small power.",
        "Work out each part of your charger as a share: once at a tenth of full load, once at full load.",
    ),
    sources=("charging-simulation-losses",),
    known_errors=(
        KnownError(
            name="slow-and-full-load-turned-round",
            says="slow charge and full load were taken for one another",
            hint="Which part stays in watts, and so becomes a larger share when the power is small?",
            formula=lambda card, earlier: {"fixed": "quadratic", "quadratic": "fixed"}.get(
                CLUES[card.loss_clue]
            ),
        ),
        KnownError(
            name="watts-for-share",
            says="a part that stays the same in watts was taken for one that stays the same as a share",
            hint="The same watts are a smaller share of a larger power. Which part grows in step with the power?",
            formula=lambda card, earlier: {"linear": "fixed"}.get(CLUES[card.loss_clue]),
        ),
    ),
)

best_power: Number = Number(
    name="best_power_kw",
    title="Best power of this charger",
    marks=2,
    level=2,
    outcome="say why slow charging wastes energy, and find the best power",
    unit="kW",
    units={"W": 0.001},
    key=lambda card, earlier: _charger(card).best_power() / 1000,
    working=lambda card, earlier: (
        f"fixed = quadratic · p²: p = √({card.fixed_w} / {card.quadratic_w}) = "
        f"{show(sqrt(card.fixed_w / card.quadratic_w))}, P = {card.rated_kw} kW × p = "
        f"{show(best_power.key(card, earlier))} kW"
    ),
    hints=(
        "At the best power two of the three parts of the loss are equal. Which two does the lesson name?",
        "The linear part takes the same share at every power. So set the fixed part equal to quadratic × p².",
        "Divide the fixed loss by the quadratic loss of your card: that is p². Go on to p, and to the power.",
    ),
    sources=("charging-simulation-losses", "own-calculation"),
    known_errors=(
        KnownError(
            name="root-missing",
            says="p² was used as p",
            hint="What has to be done to p² to get p?",
            keeps=1,
            formula=lambda card, earlier: card.rated_kw * card.fixed_w / card.quadratic_w,
        ),
        KnownError(
            name="fraction-upside-down",
            says="the quadratic loss was divided by the fixed loss",
            hint="The best power lies below full load. Should p be above or below 1?",
            keeps=1,
            formula=lambda card, earlier: card.rated_kw * sqrt(card.quadratic_w / card.fixed_w),
        ),
        KnownError(
            name="linear-for-quadratic",
            says="the fixed part was set equal to the linear part",
            hint="The linear part takes the same share everywhere. Which part grows faster than the power?",
            formula=lambda card, earlier: card.rated_kw * card.fixed_w / card.linear_w,
        ),
        KnownError(
            name="share-for-power",
            says="this is the share of full load, not the power",
            hint="A share of what? The question asks for kilowatts.",
            keeps=1,
            formula=lambda card, earlier: sqrt(card.fixed_w / card.quadratic_w),
        ),
    ),
)


def _bought(card: Any, slow: float, fast: float) -> float:
    """Return the energy bought for both charges at these two efficiencies."""
    return float(grid_power(card.slow_kwh, slow) + grid_power(card.fast_kwh, fast))


def _slow(card: Any) -> float:
    return float(card.slow_percent / 100)


def _fast(card: Any) -> float:
    return float(card.fast_percent / 100)


bought: Number = Number(
    name="bought_kwh",
    title="Energy bought for two charges",
    marks=3,
    level=3,
    outcome="work with a fixed efficiency, with losses in watts and with a measured table",
    unit="kWh",
    units=WATT_HOURS,
    key=lambda card, earlier: _bought(card, _slow(card), _fast(card)),
    working=lambda card, earlier: (
        f"{card.slow_kwh} kWh / {_slow(card):g} + {card.fast_kwh} kWh / {_fast(card):g} = "
        f"{show(bought.key(card, earlier))} kWh"
    ),
    hints=(
        "Two charges, two rows of the table: each has its own efficiency.",
        "stored = bought × efficiency. Here the stored energy is known, and the bought energy is asked for.",
        "Take the slow charge alone: how much must be bought for what it stored? Do the other one, and add.",
    ),
    sources=("charger-efficiency-article",),
    known_errors=(
        KnownError(
            name="efficiency-multiplied",
            says="the stored energy was multiplied by the efficiency",
            hint="More must be bought than is stored. Which way must the efficiency go?",
            misconception="efficiency-multiplied",
            formula=lambda card, earlier: card.slow_kwh * _slow(card) + card.fast_kwh * _fast(card),
        ),
        KnownError(
            name="loss-added",
            says="the lost share was taken of the stored energy and added",
            hint="The efficiency is a share of the bought energy. Solve for that energy.",
            keeps=1,
            misconception="loss-added",
            formula=lambda card, earlier: (
                card.slow_kwh * (2 - _slow(card)) + card.fast_kwh * (2 - _fast(card))
            ),
        ),
        KnownError(
            name="efficiencies-averaged",
            says="the mean of the two efficiencies was used for both charges",
            hint="Each charge has an efficiency of its own. Work them out one by one.",
            keeps=1,
            misconception="efficiencies-averaged",
            formula=lambda card, earlier: 2 * _stored_kwh(card) / (_slow(card) + _fast(card)),
        ),
        KnownError(
            name="efficiency-by-output-share",
            says="the efficiencies were averaged by the shares of the stored energy",
            hint="An efficiency is a share of what is bought. Work the charges out one by one.",
            keeps=1,
            misconception="efficiency-by-output-share",
            formula=lambda card, earlier: (
                _stored_kwh(card) ** 2 / (card.slow_kwh * _slow(card) + card.fast_kwh * _fast(card))
            ),
        ),
        KnownError(
            name="percent-as-factor",
            says="it was divided by the percentages as they stand",
            hint=PERCENT_TO_FRACTION,
            keeps=2,
            misconception="percent-as-factor",
            formula=lambda card, earlier: _bought(card, _slow(card), _fast(card)) / 100,
        ),
    ),
)

bought_loss: Number = Number(
    name="bought_loss_percent",
    title="Loss as a share of the bought energy",
    marks=2,
    level=2,
    outcome="tell a loss of the bought energy from a loss of the stored energy",
    unit="%",
    needs=("bought_kwh",),
    key=lambda card, earlier: 100 * (earlier.bought_kwh - _stored_kwh(card)) / earlier.bought_kwh,
    working=lambda card, earlier: (
        f"({show(earlier.bought_kwh)} kWh − {_stored_kwh(card):g} kWh) / {show(earlier.bought_kwh)} kWh × 100 = "
        f"{show(bought_loss.key(card, earlier))} %"
    ),
    hints=(
        "The loss is what was bought and not stored. Which of the two energies is called 100 % here?",
        "share in percent = 100 × part / base. The question names the base.",
        "Add what the two charges stored. Take it from your energy of question 7, then compare with the base.",
    ),
    sources=("charging-losses-article",),
    known_errors=(
        KnownError(
            name="stored-energy-as-base",
            says="the stored energy was taken as 100 %",
            hint="Read the question again: of which energy is the loss a share?",
            keeps=1,
            formula=lambda card, earlier: 100 * (earlier.bought_kwh / _stored_kwh(card) - 1),
        ),
        KnownError(
            name="efficiency-for-loss",
            says="this is the efficiency, the share that was stored",
            hint="The question asks for the rest, the share that became heat.",
            keeps=1,
            misconception="loss-for-output",
            formula=lambda card, earlier: 100 * _stored_kwh(card) / earlier.bought_kwh,
        ),
        KnownError(
            name="percent-left-as-fraction",
            says="this is the share as a fraction",
            hint=FRACTION_TO_PERCENT,
            keeps=1,
            misconception="drop-as-fraction",
            formula=lambda card, earlier: bought_loss.key(card, earlier) / 100,
        ),
        KnownError(
            name="energy-for-share",
            says="this is the lost energy itself",
            hint="A share needs a base. Which energy is 100 %?",
            formula=lambda card, earlier: earlier.bought_kwh - _stored_kwh(card),
        ),
    ),
)

auxiliaries: Number = Number(
    name="auxiliaries_kwh",
    title="What the auxiliaries take in one charge",
    marks=2,
    level=2,
    outcome="count standby and auxiliaries",
    unit="kWh",
    units=WATT_HOURS,
    key=lambda card, earlier: card.auxiliaries_w / 1000 * _charge_hours(card),
    working=lambda card, earlier: (
        f"t = {card.charge_hours} h + {card.charge_minutes} min / 60 = {_charge_hours(card):g} h, E = P · t = "
        f"{card.auxiliaries_w / 1000:g} kW × {_charge_hours(card):g} h = {show(auxiliaries.key(card, earlier))} kWh"
    ),
    hints=(
        "How much power do the auxiliaries take, and how long are they awake?",
        "energy = power × time. Kilowatts and hours give kilowatt-hours.",
        "Write the length of your charge in decimal hours, and the power of the auxiliaries in kilowatts.",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="watt-hours-for-kilowatt-hours",
            says="the value is in watt-hours",
            hint="The question asks for kilowatt-hours. How many watt-hours is one of them?",
            keeps=1,
            misconception="factor-1000",
            formula=lambda card, earlier: card.auxiliaries_w * _charge_hours(card),
        ),
        KnownError(
            name="seconds-for-hours",
            says="the time went in as seconds",
            hint="A kilowatt-hour is a kilowatt for one hour. Write the time in hours.",
            keeps=1,
            misconception="seconds-for-hours",
            formula=lambda card, earlier: card.auxiliaries_w / 1000 * 3600 * _charge_hours(card),
        ),
        KnownError(
            name="minutes-not-converted",
            says="the time went in as minutes",
            hint="A kilowatt-hour is a kilowatt for one hour. Write the time in hours.",
            keeps=1,
            misconception="minutes-not-converted",
            formula=lambda card, earlier: card.auxiliaries_w / 1000 * 60 * _charge_hours(card),
        ),
        KnownError(
            name="minutes-as-decimals",
            says="the minutes were written behind the decimal point",
            hint="An hour has 60 minutes, not a hundred. Which part of an hour are your minutes?",
            keeps=1,
            misconception="minutes-as-decimals",
            formula=lambda card, earlier: (
                card.auxiliaries_w / 1000 * (card.charge_hours + card.charge_minutes / 100)
            ),
        ),
        KnownError(
            name="energy-as-power-by-time",
            says="the power was divided by the time",
            hint="A longer charge must take more energy. Which way must the time go?",
            misconception="energy-as-power-by-time",
            formula=lambda card, earlier: card.auxiliaries_w / 1000 / _charge_hours(card),
        ),
    ),
)

standby: Number = Number(
    name="standby_mj",
    title="Heat from the standby of a year",
    marks=2,
    level=3,
    outcome="count standby and auxiliaries",
    unit="MJ",
    units={"J": 0.000001, "kJ": 0.001, "GJ": 1000.0},
    key=lambda card, earlier: 3.6 * _standby_kwh(card),
    working=lambda card, earlier: (
        f"E = {card.standby_w / 1000:g} kW × 24 h × 365 = {show(_standby_kwh(card))} kWh, in megajoules × 3.6: "
        f"{show(standby.key(card, earlier))} MJ"
    ),
    hints=(
        "How many hours has a year of 365 days? All of that time the standby runs.",
        "First energy in kilowatt-hours: power × time. Then megajoules: one kilowatt-hour is 3.6 MJ.",
        "Turn the standby of your card into kilowatts. Multiply by the hours of the year, then change the unit.",
    ),
    sources=(COMMON_PRACTICE,),
    known_errors=(
        KnownError(
            name="divided-by-3.6",
            says="the kilowatt-hours were divided by 3.6",
            hint="A megajoule is less than a kilowatt-hour. So does it take more of them, or fewer?",
            keeps=1,
            misconception="joules-wrong-factor",
            formula=lambda card, earlier: _standby_kwh(card) / 3.6,
        ),
        KnownError(
            name="kilowatt-hours-for-megajoules",
            says="the value is in kilowatt-hours",
            hint="The question asks for megajoules. One step is left.",
            keeps=1,
            misconception="joules-wrong-factor",
            formula=lambda card, earlier: _standby_kwh(card),
        ),
        KnownError(
            name="1000-for-3.6",
            says="1000 was used to go from kilowatt-hours to megajoules",
            hint="An hour has 3600 seconds. How many kilojoules is one kilowatt-hour, and how many megajoules?",
            keeps=1,
            misconception="joules-wrong-factor",
            formula=lambda card, earlier: 1000 * _standby_kwh(card),
        ),
        KnownError(
            name="one-day-only",
            says="only one day was counted",
            hint="The standby runs all year. How many days is that?",
            keeps=1,
            formula=lambda card, earlier: 3.6 * _standby_kwh(card) / 365,
        ),
        KnownError(
            name="watts-for-kilowatts",
            says="the watts were used as kilowatts",
            hint="A thousand watts are one kilowatt. Convert before you multiply.",
            keeps=1,
            misconception="factor-1000",
            formula=lambda card, earlier: 3600 * _standby_kwh(card),
        ),
    ),
)

harmonic_over_limit = Choice(
    name="harmonic_over_limit",
    title="Harmonic above its limit",
    marks=1,
    level=2,
    outcome="read the harmonics of a charger beside the limits of class A",
    options=tuple(HARMONICS),
    key=lambda card, earlier: _over_limit(card),
    working=lambda card, earlier: (
        ", ".join(
            f"{name}: {show(share, 3)} times its limit"
            for name, share in zip(HARMONICS, _shares_of_limits(card), strict=True)
        )
        + f". Only the {_over_limit(card)} is above 1"
    ),
    hints=(
        "Put each of the three currents of your card beside the limit of its order.",
        "The limits are amperes, and each order has its own. A large current may be allowed, a small one not.",
        "Divide each current by its limit. Which result is above 1?",
    ),
    sources=("class-a-test-report", "class-a-data-set"),
    known_errors=(
        KnownError(
            name="largest-current",
            says="the largest current was taken",
            hint="Each order has a limit of its own. Compare each current with that, not with the others.",
            formula=lambda card, earlier: (
                "third" if max(_shares_of_limits(card)) != _shares_of_limits(card)[0] else None
            ),
        ),
        KnownError(
            name="furthest-below-its-limit",
            says="this one stays furthest below its limit",
            hint="Divide the current by the limit, not the limit by the current.",
            formula=lambda card, earlier: (
                name if (name := _harmonic(card, min(_shares_of_limits(card)))) != "third" else None
            ),
        ),
    ),
)


def _over_limit(card: Any) -> str:
    return _harmonic(card, max(_shares_of_limits(card)))


def _harmonic(card: Any, share: float) -> str:
    return list(HARMONICS)[_shares_of_limits(card).index(share)]


def _thd(card: Any) -> float:
    return float(card.thd_percent / 100)


power_factor: Number = Number(
    name="true_power_factor",
    title="True power factor",
    marks=2,
    level=1,
    outcome="work out the true power factor",
    unit="",
    key=lambda card, earlier: true_power_factor(card.displacement, _thd(card)),
    working=lambda card, earlier: (
        f"{card.displacement} / √(1 + {_thd(card):g}²) = {show(power_factor.key(card, earlier))}"
    ),
    hints=(
        "The card gives the displacement factor, and the THD in percent. Both belong into the formula.",
        "true power factor = displacement factor ÷ √(1 + THD²), with the THD as a fraction.",
        "Turn your THD into a fraction, square it, add 1 and take the root. What is done with that root?",
    ),
    sources=("sae-j2894-1-preview",),
    known_errors=(
        KnownError(
            name="distortion-forgotten",
            says="this is the displacement factor alone",
            hint="Harmonics add current, but no power. Take the THD into account.",
            formula=lambda card, earlier: card.displacement,
        ),
        KnownError(
            name="displacement-forgotten",
            says="the displacement factor is missing",
            hint="The fundamental has a cos φ of its own. Where does it stand in the formula?",
            keeps=1,
            formula=lambda card, earlier: true_power_factor(1, _thd(card)),
        ),
        KnownError(
            name="sine-for-cosine",
            says="sin φ was used where cos φ belongs",
            hint="The displacement factor on your card is cos φ itself. Use it as it stands.",
            misconception="sine-for-cosine",
            formula=lambda card, earlier: true_power_factor(sqrt(1 - card.displacement**2), _thd(card)),
        ),
        KnownError(
            name="power-factor-divided",
            says="it was divided by the displacement factor",
            hint="Both shift and harmonics make the power factor smaller. Which way must cos φ go?",
            misconception="power-factor-divided",
            formula=lambda card, earlier: true_power_factor(1, _thd(card)) / card.displacement,
        ),
        KnownError(
            name="distortion-added",
            says="fundamental and harmonics were added as plain numbers",
            hint="Fundamental and harmonics do not simply add. Square, add, take the root.",
            formula=lambda card, earlier: card.displacement / (1 + _thd(card)),
        ),
        KnownError(
            name="percent-as-factor",
            says="the THD went in as percent",
            hint=PERCENT_TO_FRACTION,
            keeps=1,
            misconception="percent-as-factor",
            formula=lambda card, earlier: true_power_factor(card.displacement, card.thd_percent),
        ),
    ),
)

WORKSHEET = Worksheet(
    name="losses",
    version="1",
    title="Account for losses",
    lesson="08-account-for-losses",
    entries=ENTRIES,
    possible=possible,
    features={
        "points of the efficiency": lambda card: str(card.points),
        "part of the loss": lambda card: CLUES[card.loss_clue],
        "harmonic above its limit": lambda card: _over_limit(card),
    },
    questions=(
        efficiency_points,
        chain_efficiency,
        given_back,
        loss,
        loss_part,
        best_power,
        bought,
        bought_loss,
        auxiliaries,
        standby,
        harmonic_over_limit,
        power_factor,
    ),
)
