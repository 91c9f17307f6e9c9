"""Quick questions of the lesson "Know the supplies of the world"."""

from acpower.panels.questions.question import Question
from acpower.power import (
    line_to_phase,
    phase_to_line,
    single_phase_power,
    three_phase_power,
)
from acpower.rms import rms_to_peak
from acpower.supply import nominal_supply
from acpower.unbalanced import star_with_neutral


def _split_phase() -> Question:
    split = nominal_supply("north-america-120-240")
    right = f"{split.line_voltage_v:g} V"
    return Question(
        "Two legs of a split-phase supply have 120 V each to neutral. What is the voltage between the legs?",
        {
            "0 V": "The legs point opposite ways, 180° apart. Only equal arrows would leave nothing.",
            f"{phase_to_line(120):.0f} V": "√3 belongs to 120°. These legs are 180° apart.",
            right: "180° apart: the two arrows lie end to end, 2 × 120 V.",
            f"{rms_to_peak(120):.0f} V": "That is the peak of one leg. All voltages here are RMS values.",
        },
        right,
        outcome="say which voltage lies between which two wires",
    )


def _two_legs() -> Question:
    right = f"{nominal_supply('north-america-208').line_voltage_v:g} V"
    return Question(
        "Two lines of a three-phase supply have 120 V each to neutral. What is the voltage between them?",
        {
            "240 V": "That is split-phase, 180° apart. Here the angle is 120°.",
            right: "120° apart: √3 × 120 V.",
            f"{line_to_phase(120):.0f} V": "You divided by √3. From line to line there is more, not less.",
            "120 V": "That is from one line to neutral.",
        },
        right,
        outcome="say which voltage lies between which two wires",
    )


def _star_to_delta() -> Question:
    return Question(
        "Three equal heaters are changed from star to delta on the same supply. What happens to the power?",
        {
            "It stays the same": "Each heater gets √3 times the voltage now. So its power rises.",
            "√3 times as much": "The voltage is √3 times as high, and so is the current. Multiply both.",
            "3 times as much": "Voltage and current of each heater rise by √3. √3 × √3 = 3.",
            "A third": "That is the way from delta to star.",
        },
        "3 times as much",
        outcome="tell star from delta, and say what each does to voltage and current",
    )


def _lowest_voltage() -> Question:
    usual, every = nominal_supply("europe-230-400").bands
    right = f"{usual.low_v:g} V"
    return Question(
        "A European supply has 230 V, and 10 % less or more is allowed. What is the lowest voltage?",
        {
            "220 V": "You took away 10 V. 10 % of 230 V is 23 V.",
            f"{230 / 1.1:.0f} V": "You divided by 1.10. Take 10 % of 230 V away instead.",
            right: "230 V × 0.90. 95 % of the 10-minute means of a week must lie above it.",
            f"{every.low_v:g} V": "That is 15 % less: the wider band, for all 10-minute means of a week.",
        },
        right,
        outcome="find the band in which a supply voltage may lie",
    )


def _charger_on_208() -> Question:
    right = f"{single_phase_power(208, 32) / 1000:.2f} kW"
    return Question(
        "A 32 A single-phase charger stands between two lines of a 208 V supply. What power does it take? "
        "Power factor 1.",
        {
            f"{single_phase_power(240, 32) / 1000:.2f} kW": "That is the power at 240 V. Here there are 208 V.",
            f"{three_phase_power(208, 32) / 1000:.2f} kW": "√3 is for three lines. This charger uses two.",
            f"{single_phase_power(120, 32) / 1000:.2f} kW": "That is from one line to neutral.",
            right: "208 V × 32 A. Two lines, one current.",
        },
        right,
        outcome="say what a 240 V, a 208 V and a 400 V circuit is",
    )


def _kind_of_supply() -> Question:
    right = "three-phase"
    return Question(
        "At a board you read 120 V, 120 V and 208 V between two lines and neutral. Which kind of supply is it?",
        {
            "single-phase": "Then the two lines would have the same wave, with 0 V between them.",
            "split-phase": "Then there would be 240 V from line to line: 2 × 120 V.",
            right: "208 V is √3 × 120 V: the two lines are 120° apart.",
        },
        right,
        outcome="tell single-phase, split-phase and three-phase supplies apart",
    )


def _neutral_of_two() -> Question:
    right = f"{star_with_neutral(230, [3680, 3680, 0]).neutral_current:.0f} A"
    return Question(
        "Two chargers of 16 A stand on L1 and L2 of a three-phase supply, each to neutral. L3 is idle. "
        "What does the neutral carry?",
        {
            "0 A": "It takes three equal currents to leave the neutral empty.",
            right: "Two arrows 120° apart: from start to end it is as far as one of them is long.",
            "27.7 A": "√3 is for the distance from tip to tip. In the neutral the two arrows add up.",
            "32 A": "They would add up in full on the same line only.",
        },
        right,
        outcome="say what the neutral carries",
    )


QUESTIONS = {
    "kind of supply": _kind_of_supply,
    "neutral of two": _neutral_of_two,
    "split-phase": _split_phase,
    "two legs of three-phase": _two_legs,
    "star to delta": _star_to_delta,
    "lowest voltage": _lowest_voltage,
    "charger on 208 V": _charger_on_208,
}
