"""Mark scheme of the worksheet ``read-ac``: peak, mean and RMS, and what they do in a cable."""

from math import pi, sqrt
from typing import Any

import numpy as np

from acpower.power import single_phase_power
from acpower.rms import combined_rms, form_factor, peak_to_rms, pulse_rms, rms, rms_to_peak
from acpower.worksheets.cards import Draw, Entry
from acpower.worksheets.scheme import (
    COMMON_PRACTICE,
    Choice,
    Function,
    KnownError,
    Number,
    Text,
    Worksheet,
    show,
)
from acpower.worksheets.schemes.shared_checks import numbers_stand_apart

TELL_APART = "tell the peak, the RMS value and the rectified mean of a voltage apart"
PEAK_AND_RMS = "work out the peak of a sine from its RMS value, and back"
METERS = "say what a true-RMS meter and an average-responding meter show, with and without DC"
HALF_WAVE = "avoid the half-wave trap"
CONTROL_PILOT = "find mean and RMS value of the control pilot, and name the instrument that reads it"
HARMONICS = "add harmonics to the RMS value of a current"

PEAK, RMS_VALUE, RECTIFIED_MEAN, MEAN = "peak", "RMS value", "rectified mean", "mean"
DESCRIPTIONS = {
    "what the insulation has to stand in every period": PEAK,
    "the highest point of the curve, counted from zero": PEAK,
    "the number on the label of a socket": RMS_VALUE,
    "the DC voltage that heats a resistor just as much": RMS_VALUE,
    "what an averaging meter measures before it multiplies by 1.11": RECTIFIED_MEAN,
    "the average height once the negative halves are turned upward": RECTIFIED_MEAN,
    "what the DC range of a meter shows": MEAN,
    "the average over a whole period, signs kept; zero for a sine": MEAN,
}

DC_RANGE, AVERAGING, TRUE_RMS, TRUE_RMS_WITH_DC = "DC range", "averaging", "true RMS", "true RMS with DC"
SIGNALS = {
    "steady voltage of a battery": DC_RANGE,
    "smooth DC of a power supply": DC_RANGE,
    "clean sine of the mains": AVERAGING,
    "clean sine behind a transformer": AVERAGING,
    "square wave, as high above zero as below": TRUE_RMS,
    "current in short pulses, positive and negative by turns": TRUE_RMS,
    "sine behind one diode": TRUE_RMS_WITH_DC,
    "signal of the control pilot": TRUE_RMS_WITH_DC,
}

OSCILLOSCOPE, TEST_ADAPTER, PEAK_FUNCTION, DUTY_FUNCTION = "oscilloscope", "test adapter", "peak", "duty"
PILOT_TASKS = {
    "see both levels and the times as one curve": OSCILLOSCOPE,
    "read the pilot at the plug, with nothing opened": TEST_ADAPTER,
    "read the high level alone, with a handheld meter": PEAK_FUNCTION,
    "read the share of time at high level alone, with a handheld meter": DUTY_FUNCTION,
}

ENTRIES = (
    Entry(
        "site", "Site", "", ("Ferry Road garage", "Quarry workshop", "Meadow school", "Lighthouse car park")
    ),
    Entry("description", "Value to name", "", tuple(DESCRIPTIONS)),
    Entry("line_voltage", "Voltage between two lines, RMS", "V", (*range(385, 394), *range(405, 415))),
    Entry("divisions", "Transformer: height of the whole trace", "div", (5.2, 5.6, 6.4, 6.8, 7.2, 7.6)),
    Entry("volts_per_division", "Transformer: setting of the oscilloscope", "V/div", (2, 5)),
    Entry("lamp_peak", "Lamp on the transformer: peak of the current", "A", (1.3, 1.7, 1.9, 2.3, 2.6, 2.9)),
    Entry(
        "half_wave_peak",
        "Heater behind one diode: peak of the voltage",
        "V",
        (26, 28, 32, 34, 36, 38, 42, 44, 46),
    ),
    Entry("pulse_peak", "Pulse current: height of the pulses", "A", (24, 27, 29, 31, 36)),
    Entry("pulse_percent", "Pulse current: share of the time that it flows", "%", (12, 15, 18, 21, 24, 28)),
    Entry("signal", "Signal to measure", "", tuple(SIGNALS)),
    Entry("pilot_high", "Control pilot: high level", "V", (5.7, 5.8, 5.9, 6.1, 6.2, 6.3)),
    Entry("pilot_low", "Control pilot: low level", "V", (-11.7, -11.8, -11.9, -12.1, -12.2, -12.3)),
    Entry("pilot_percent", "Control pilot: share of the time at high level", "%", (16, 18, 21, 27, 32, 36)),
    Entry("pilot_task", "Control pilot: what you want", "", tuple(PILOT_TASKS)),
    Entry(
        "fundamental", "Charger: fundamental of the current, RMS", "A", (11.6, 12.2, 12.8, 13.4, 13.8, 14.2)
    ),
    Entry("third_harmonic", "Charger: 3rd harmonic of the current, RMS", "A", (3.1, 3.3, 3.5, 3.7)),
    Entry("fifth_harmonic", "Charger: 5th harmonic of the current, RMS", "A", (2.5, 2.6, 2.7, 2.9)),
    Entry("conductor_resistance", "Supply cable: resistance of one conductor", "Ω", (0.12, 0.14, 0.16, 0.18)),
)

_SINE = np.sin(2 * np.pi * np.arange(10_000) / 10_000)
SINE_FORM_FACTOR = form_factor(_SINE)
# Per volt of peak: one half of each period gets through, the other half is zero.
HALF_WAVE_RMS = rms(np.maximum(_SINE, 0))


def possible(card: Any) -> bool:
    """Refuse cards on which numbers meet by chance, or errors cannot be told apart."""
    return numbers_stand_apart(WORKSHEET, card)


def _value_named(card: Any, earlier: Any) -> str:
    return DESCRIPTIONS[card.description]


def _meter_that_will_do(card: Any, earlier: Any) -> str:
    return SIGNALS[card.signal]


def _pilot_tool(card: Any, earlier: Any) -> str:
    return PILOT_TASKS[card.pilot_task]


def _peak_to_peak(card: Any) -> float:
    return float(card.divisions * card.volts_per_division)


def _pulse_share(card: Any) -> float:
    return float(card.pulse_percent / 100)


def _pilot_share(card: Any) -> float:
    return float(card.pilot_percent / 100)


def _pilot_mean(card: Any, low: float, share: float) -> float:
    return float(share * card.pilot_high + (1 - share) * low)


value_named: Choice = Choice(
    name="value_named",
    title="Name the value",
    marks=1,
    options=(PEAK, RMS_VALUE, RECTIFIED_MEAN, MEAN),
    key=_value_named,
    working=lambda card, earlier: f"“{card.description}” is the {_value_named(card, earlier)}",
    level=2,
    outcome=TELL_APART,
    hints=(
        "Read the value to name on your card. Is it one moment of the curve, or does it sum up a whole period?",
        "Of those that sum up: one keeps the signs, one turns the negative halves upward, one squares.",
        "Try each of the four words on a sine of the mains. Which of them fits what your card says?",
    ),
    sources=("electric-circuits-ac", "university-physics-2"),
    known_errors=(
        KnownError(
            name="peak-for-rms",
            says="this is one moment of the curve, and your card speaks of heat or of a label",
            hint="Which of the four is DC worth as much as, in heat?",
            formula=lambda card, earlier: PEAK if _value_named(card, earlier) == RMS_VALUE else None,
            misconception="peak-for-rms",
        ),
        KnownError(
            name="rectified-mean-for-rms",
            says="this value squares nothing, so it does not tell the heat",
            hint="Heat follows the square of the voltage. Which of the four takes squares?",
            formula=lambda card, earlier: (
                RECTIFIED_MEAN if _value_named(card, earlier) == RMS_VALUE else None
            ),
            misconception="rectified-mean-for-rms",
        ),
        KnownError(
            name="rms-for-peak",
            says="this value sums up a whole period, and your card speaks of one moment",
            hint="For a short time in each period the voltage is higher. Which of the four tells how high?",
            formula=lambda card, earlier: RMS_VALUE if _value_named(card, earlier) == PEAK else None,
        ),
        KnownError(
            name="rms-for-rectified-mean",
            says="this value squares the curve, and your card speaks of no squares",
            hint="The negative halves are turned upward here, without squaring. Which of the four is that?",
            formula=lambda card, earlier: (
                RMS_VALUE if _value_named(card, earlier) == RECTIFIED_MEAN else None
            ),
        ),
        KnownError(
            name="sign-lost",
            says="this value turns the negative halves upward, and your card keeps the signs",
            hint="Positive and negative halves may cancel here. Which of the four lets them?",
            formula=lambda card, earlier: RECTIFIED_MEAN if _value_named(card, earlier) == MEAN else None,
        ),
    ),
)

line_peak: Number = Number(
    name="line_peak_v",
    title="Peak between two lines",
    marks=1,
    unit="V",
    key=lambda card, earlier: rms_to_peak(card.line_voltage),
    working=lambda card, earlier: (
        f"peak = √2 · U = √2 × {card.line_voltage} V = {show(line_peak.key(card, earlier))} V"
    ),
    level=1,
    outcome=PEAK_AND_RMS,
    hints=(
        "Your meter shows the RMS value. Is the highest point of the sine above it or below it?",
        "The formula stands in the question. It holds for a clean sine only.",
        "Take the line voltage on your card as the RMS value.",
    ),
    sources=(
        "electric-circuits-ac",
        "university-physics-2",
    ),
    known_errors=(
        KnownError(
            name="rms-to-peak-divided",
            says="the RMS was divided by √2",
            hint="The peak is the larger of the two. Which way must √2 go?",
            formula=lambda card, earlier: card.line_voltage / sqrt(2),
            misconception="rms-to-peak-divided",
        ),
        KnownError(
            name="rms-as-peak",
            says="this is the RMS itself",
            hint="The meter shows the RMS. For a short moment of each period the voltage is higher.",
            formula=lambda card, earlier: card.line_voltage,
        ),
        KnownError(
            name="root-3-for-root-2",
            says="√3 was used where √2 belongs",
            hint="√3 goes between line and phase. Which root goes between RMS and peak?",
            formula=lambda card, earlier: card.line_voltage * sqrt(3),
        ),
        KnownError(
            name="peak-to-peak-for-peak",
            says="this is the distance from peak to peak",
            hint="The question asks for the peak, counted from zero.",
            formula=lambda card, earlier: card.line_voltage * 2 * sqrt(2),
            misconception="peak-to-peak-for-peak",
        ),
    ),
)

transformer_rms: Number = Number(
    name="transformer_rms_v",
    title="RMS from an oscilloscope trace",
    marks=2,
    unit="V",
    key=lambda card, earlier: peak_to_rms(_peak_to_peak(card) / 2),
    working=lambda card, earlier: (
        f"peak to peak = {card.divisions} div × {card.volts_per_division} V/div = {show(_peak_to_peak(card))} V, "
        f"peak = half of it = {show(_peak_to_peak(card) / 2)} V, "
        f"U = peak / √2 = {show(transformer_rms.key(card, earlier))} V"
    ),
    level=3,
    outcome=PEAK_AND_RMS,
    hints=(
        "The trace was measured from its lowest to its highest point, in divisions.",
        "From peak to peak is twice the peak. For a sine a root leads from the peak to the RMS value.",
        "Multiply the divisions by the volts of one division. Halve that. Then comes the step to the RMS value.",
    ),
    sources=(
        "electric-circuits-ac",
        "university-physics-2",
    ),
    known_errors=(
        KnownError(
            name="peak-to-peak-as-peak",
            says="the peak-to-peak value was taken as the peak",
            hint="The trace was measured from its lowest to its highest point. Where does the peak start?",
            formula=lambda card, earlier: _peak_to_peak(card) / sqrt(2),
            misconception="peak-to-peak-for-peak",
        ),
        KnownError(
            name="peak-as-rms",
            says="this is the peak, not the RMS",
            hint="You have found the peak of the sine. One more step leads to its RMS.",
            formula=lambda card, earlier: _peak_to_peak(card) / 2,
            keeps=1,
            misconception="peak-for-rms",
        ),
        KnownError(
            name="peak-to-peak-as-rms",
            says="this is the peak-to-peak value",
            hint="You have the volts of the whole trace. Two more steps lead to the RMS.",
            formula=lambda card, earlier: _peak_to_peak(card),
        ),
        KnownError(
            name="half-the-peak",
            says="the peak was halved",
            hint="The first halving is right, it leads to the peak. From there another factor leads to the RMS.",
            formula=lambda card, earlier: _peak_to_peak(card) / 4,
            misconception="rms-as-half-the-peak",
        ),
        KnownError(
            name="mean-for-rms",
            says="this is the rectified mean, 2/π of the peak",
            hint="Which value heats a resistor as much as DC would?",
            formula=lambda card, earlier: _peak_to_peak(card) / pi,
            misconception="rectified-mean-for-rms",
        ),
        KnownError(
            name="mean-of-a-period",
            says="this is the mean over a whole period, where the two halves cancel",
            hint="Square first: then nothing cancels, and the mean of the squares tells the heating.",
            formula=lambda card, earlier: 0,
            misconception="rms-of-a-sine-zero",
        ),
        KnownError(
            name="divisions-for-volts",
            says="the divisions were taken as volts",
            hint="Look at the setting of the oscilloscope. How many volts is one division?",
            formula=lambda card, earlier: card.divisions / (2 * sqrt(2)),
            keeps=1,
        ),
    ),
)

lamp_power: Number = Number(
    name="lamp_power_w",
    title="Power of a lamp on the transformer",
    marks=2,
    unit="W",
    units={"kW": 1000.0},
    needs=("transformer_rms_v",),
    key=lambda card, earlier: single_phase_power(earlier.transformer_rms_v, peak_to_rms(card.lamp_peak)),
    working=lambda card, earlier: (
        f"I = peak / √2 = {card.lamp_peak} A / √2 = {show(float(peak_to_rms(card.lamp_peak)))} A, "
        f"P = U · I = {show(earlier.transformer_rms_v)} V × {show(float(peak_to_rms(card.lamp_peak)))} A = "
        f"{show(lamp_power.key(card, earlier))} W"
    ),
    level=3,
    outcome=PEAK_AND_RMS,
    hints=(
        "Which kind of value is the current on your card, and which kind does power need?",
        "Power is voltage times current, if both are RMS values and in step.",
        "Turn the peak of the current into its RMS value. Then take your own answer to question 3.",
    ),
    sources=("university-physics-2", "electric-circuits-ac"),
    known_errors=(
        KnownError(
            name="peaks-multiplied",
            says="the two peaks were multiplied",
            hint="Both reach their peak for a moment only. Which values tell the heat?",
            formula=lambda card, earlier: sqrt(2) * earlier.transformer_rms_v * card.lamp_peak,
            misconception="peaks-multiplied",
        ),
        KnownError(
            name="peak-current-for-rms",
            says="the peak of the current went in together with the RMS value of the voltage",
            hint="You have the RMS value of the voltage. The current needs the same step.",
            formula=lambda card, earlier: earlier.transformer_rms_v * card.lamp_peak,
            misconception="peak-for-rms",
        ),
        KnownError(
            name="half-the-peak-current",
            says="the peak of the current was halved",
            hint="Half belongs to the mean of the squares. Which step comes after the mean?",
            formula=lambda card, earlier: earlier.transformer_rms_v * card.lamp_peak / 2,
            misconception="rms-as-half-the-peak",
        ),
        KnownError(
            name="rectified-mean-of-the-current",
            says="the rectified mean of the current went in",
            hint="Which value of the current heats a resistor as much as DC would?",
            formula=lambda card, earlier: earlier.transformer_rms_v * card.lamp_peak * 2 / pi,
            misconception="rectified-mean-for-rms",
        ),
    ),
)

half_wave_rms: Number = Number(
    name="half_wave_rms_v",
    title="RMS behind one diode",
    marks=2,
    unit="V",
    key=lambda card, earlier: card.half_wave_peak * HALF_WAVE_RMS,
    working=lambda card, earlier: (
        "half of the power of a full sine, so U = (peak / √2) / √2 = "
        f"({card.half_wave_peak} V / √2) / √2 = {show(half_wave_rms.key(card, earlier))} V"
    ),
    level=2,
    outcome=HALF_WAVE,
    hints=(
        "Which part of each period gets through the diode? What does that do to the power?",
        "Power goes with the square of the voltage. So half the power is not half the RMS value.",
        "Start with the RMS value that the full sine would have, from the peak on your card.",
    ),
    sources=(
        "form-factor-tutorial",
        "own-calculation",
    ),
    known_errors=(
        KnownError(
            name="diode-forgotten",
            says="this is the RMS of a full sine",
            hint="The diode lets only every other half wave through. Less power means a lower RMS.",
            formula=lambda card, earlier: card.half_wave_peak / sqrt(2),
        ),
        KnownError(
            name="rms-halved-with-the-power",
            says="the RMS of a full sine was halved",
            hint="The power is halved. Power goes with the square of the voltage, so by what is the RMS divided?",
            formula=lambda card, earlier: card.half_wave_peak / (2 * sqrt(2)),
        ),
        KnownError(
            name="mean-for-rms",
            says="this is the mean of the half waves",
            hint="The mean is not the RMS. Which value heats a resistor as much as DC would?",
            formula=lambda card, earlier: card.half_wave_peak / pi,
            misconception="rectified-mean-for-rms",
        ),
        KnownError(
            name="full-wave-mean-for-rms",
            says="this is the mean that both half waves together would have",
            hint="The diode lets only every other half wave through, and the mean is not the RMS.",
            formula=lambda card, earlier: 2 * card.half_wave_peak / pi,
            misconception="rectified-mean-for-rms",
        ),
        KnownError(
            name="peak-as-rms",
            says="this is the peak itself",
            hint="The voltage is at its peak for a moment only. The RMS must be much lower.",
            formula=lambda card, earlier: card.half_wave_peak,
            misconception="peak-for-rms",
        ),
    ),
)

meter_reading: Number = Number(
    name="meter_reading_a",
    title="What a simple meter shows on a pulse current",
    marks=2,
    unit="A",
    key=lambda card, earlier: SINE_FORM_FACTOR * card.pulse_peak * _pulse_share(card),
    working=lambda card, earlier: (
        f"mean without sign = {card.pulse_peak} A × {_pulse_share(card):g} = "
        f"{show(card.pulse_peak * _pulse_share(card))} A, "
        f"reading = 1.111 × mean = {show(meter_reading.key(card, earlier))} A"
    ),
    level=1,
    outcome=METERS,
    hints=(
        "This meter takes no squares. Look at what the question says that it does.",
        "With flat tops, the mean without its sign is height × share of the time.",
        "Turn the percentage on your card into a fraction. Find the mean first, then multiply it by the form factor.",
    ),
    sources=(
        "electric-circuits-ac",
        "form-factor-article",
    ),
    known_errors=(
        KnownError(
            name="true-rms-for-reading",
            says="this is the true RMS of the pulses",
            hint="This meter cannot square. It takes the mean and adds the factor that would suit a sine.",
            formula=lambda card, earlier: pulse_rms(card.pulse_peak, _pulse_share(card)),
        ),
        KnownError(
            name="mean-for-reading",
            says="this is the mean, without the factor that the meter adds",
            hint="The scale of the meter is drawn for a sine. Which factor is built into it?",
            formula=lambda card, earlier: card.pulse_peak * _pulse_share(card),
            keeps=1,
        ),
        KnownError(
            name="sine-factor-on-pulse",
            says="the peak was divided by √2, as for a sine",
            hint="This meter does not look at the peak. Start from the mean.",
            formula=lambda card, earlier: peak_to_rms(card.pulse_peak),
            misconception="sine-factor-on-a-pulse",
        ),
        KnownError(
            name="form-factor-divided",
            says="the mean was divided by the factor of the meter",
            hint="For a sine the RMS is larger than the mean. Which way must the factor go?",
            formula=lambda card, earlier: card.pulse_peak * _pulse_share(card) / SINE_FORM_FACTOR,
        ),
        KnownError(
            name="pulse-share-forgotten",
            says="the peak was used, as if the current flowed all the time",
            hint="In between there is no current. What share of the time is there one?",
            formula=lambda card, earlier: SINE_FORM_FACTOR * card.pulse_peak,
        ),
    ),
)

meter_that_will_do: Choice = Choice(
    name="meter_that_will_do",
    title="Choose the meter",
    marks=1,
    options=(DC_RANGE, AVERAGING, TRUE_RMS, TRUE_RMS_WITH_DC),
    key=_meter_that_will_do,
    working=lambda card, earlier: (
        f"For “{card.signal}” the first in the list that shows the RMS value is: {_meter_that_will_do(card, earlier)}"
    ),
    level=2,
    outcome=METERS,
    hints=(
        "Look at the signal on your card. Does it change at all? Is it a sine? Has it a DC part?",
        "Without squares a meter is right on a sine only. An AC range drops the DC part of a signal.",
        "Go through the list from the top. Ask of each line whether the signal on your card fits it.",
    ),
    sources=("electric-circuits-ac", COMMON_PRACTICE),
    known_errors=(
        KnownError(
            name="zero-on-a-sine",
            says="this setting shows the plain average, which is zero for a sine",
            hint="Go on down the list: the signal swings to both sides.",
            formula=lambda card, earlier: (
                DC_RANGE if _meter_that_will_do(card, earlier) == AVERAGING else None
            ),
            misconception="rms-of-a-sine-zero",
        ),
        KnownError(
            name="shape-overlooked",
            says="this meter multiplies by the form factor of a sine, and the signal is none",
            hint="Which meters square the curve, whatever its shape?",
            formula=lambda card, earlier: (
                AVERAGING if _meter_that_will_do(card, earlier) == TRUE_RMS else None
            ),
            misconception="rectified-mean-for-rms",
        ),
        KnownError(
            name="dc-part-overlooked",
            says="this range drops the DC part, and the signal has one",
            hint="Is the signal as long and as high above zero as below?",
            formula=lambda card, earlier: (
                TRUE_RMS if _meter_that_will_do(card, earlier) == TRUE_RMS_WITH_DC else None
            ),
        ),
        KnownError(
            name="more-than-needed",
            says="this one shows the right value, but one further up in the list does so too",
            hint="Read the list from the top and stop at the first that fits.",
            formula=lambda card, earlier: (
                TRUE_RMS_WITH_DC if _meter_that_will_do(card, earlier) != TRUE_RMS_WITH_DC else None
            ),
        ),
    ),
)

pilot_mean: Number = Number(
    name="pilot_mean_v",
    title="Mean of the control pilot",
    marks=2,
    unit="V",
    key=lambda card, earlier: _pilot_mean(card, card.pilot_low, _pilot_share(card)),
    working=lambda card, earlier: (
        f"mean = {_pilot_share(card):g} × {card.pilot_high} V + {1 - _pilot_share(card):g} × ({card.pilot_low} V) = "
        f"{show(pilot_mean.key(card, earlier))} V"
    ),
    level=2,
    outcome=CONTROL_PILOT,
    hints=(
        "The signal has two levels, on different sides of zero. On which side does it stay longer?",
        "The mean weighs each level with its share of the time and keeps the sign of each.",
        "Write the share at the high level as a fraction. What is left of 1 belongs to the low level.",
    ),
    sources=("own-calculation",),
    known_errors=(
        KnownError(
            name="low-level-as-zero",
            says="the low level was taken as zero",
            hint="In the rest of the period the signal is not at zero. Read the low level on your card.",
            formula=lambda card, earlier: _pilot_mean(card, 0, _pilot_share(card)),
            misconception="low-level-as-zero",
        ),
        KnownError(
            name="off-time-for-on-time",
            says="the two shares of the time were swapped",
            hint="The share on the card is the time at the high level. Which share is left for the low level?",
            formula=lambda card, earlier: _pilot_mean(card, card.pilot_low, 1 - _pilot_share(card)),
            misconception="off-time-for-duty",
        ),
        KnownError(
            name="sign-of-low-level-lost",
            says="the low level went in without its sign",
            hint="The two levels lie on different sides of zero. What does that do to the mean?",
            formula=lambda card, earlier: _pilot_mean(card, -card.pilot_low, _pilot_share(card)),
        ),
        KnownError(
            name="sign-of-mean-lost",
            says="the sign of the mean is missing",
            hint="On which side of zero is the signal most of the time? Record the mean with its sign.",
            formula=lambda card, earlier: -_pilot_mean(card, card.pilot_low, _pilot_share(card)),
            keeps=1,
        ),
        KnownError(
            name="shares-forgotten",
            says="this is the middle between the two levels",
            hint="The signal does not stay equally long at both levels. Weigh them with their time.",
            formula=lambda card, earlier: _pilot_mean(card, card.pilot_low, 0.5),
        ),
        KnownError(
            name="rms-for-mean",
            says="this is the RMS of the signal",
            hint="A meter on its DC range shows the plain mean. Nothing is squared.",
            formula=lambda card, earlier: pulse_rms(card.pilot_high, _pilot_share(card), card.pilot_low),
        ),
    ),
)

pilot_tool: Text = Text(
    name="pilot_tool",
    title="The instrument for the control pilot",
    marks=1,
    key=_pilot_tool,
    working=lambda card, earlier: f"To {card.pilot_task}: {_pilot_tool(card, earlier)}",
    spellings={
        OSCILLOSCOPE: (
            "scope",
            "an oscilloscope",
            "oscilloscopes",
            "oscillograph",
            "digital oscilloscope",
            "handheld oscilloscope",
            "storage oscilloscope",
        ),
        TEST_ADAPTER: (
            "a test adapter",
            "test adaptor",
            "adapter",
            "adaptor",
            "station test adapter",
            "charging station test adapter",
            "test adapter for stations",
            "test adapters",
            "charging test adapter",
            "pilot test adapter",
            "EVSE test adapter",
            "station tester",
            "EVSE tester",
        ),
        PEAK_FUNCTION: (
            "peak function",
            "peak value",
            "peak hold",
            "peak mode",
            "peak range",
            "peak detection",
            "peak measurement",
        ),
        DUTY_FUNCTION: (
            "duty function",
            "duty cycle",
            "duty cycle function",
            "duty cycle measurement",
            "duty mode",
            "duty range",
            "duty factor",
            "duty ratio",
            "duty %",
            "% duty",
        ),
        "DC range": ("DC", "DC function", "DC voltage", "DC voltage range", "DC voltage function"),
        "true-RMS meter": ("true RMS", "RMS", "true RMS function", "true RMS multimeter", "RMS function"),
        "multimeter": ("meter", "a multimeter", "handheld meter", "voltmeter"),
    },
    level=2,
    outcome=CONTROL_PILOT,
    hints=(
        "Read what you want on your card. Is it a picture, a check at the plug, or one number from a meter?",
        "The state of the vehicle is in the high level. The current is in the share of the time.",
        "Section 6 of the lesson lists three ways to keep the two apart. One of the four names there fits.",
    ),
    sources=(COMMON_PRACTICE, "test-adapter-manual"),
    known_errors=(
        KnownError(
            name="mean-of-the-pilot",
            says="this shows the mean of both levels, which is neither of them",
            hint="You need something that keeps the two levels apart.",
            formula=lambda card, earlier: "DC range",
        ),
        KnownError(
            name="rms-of-the-pilot",
            says="this mixes both levels with their shares of the time",
            hint="You need something that keeps the two levels apart.",
            formula=lambda card, earlier: "true-RMS meter",
        ),
        KnownError(
            name="function-not-named",
            says="a meter has several functions, and most of them mix the two levels",
            hint="If a meter can do it, name the function. If not, name the instrument.",
            formula=lambda card, earlier: "multimeter",
        ),
        KnownError(
            name="functions-swapped",
            says="this function reads the other one of the two",
            hint="One function finds a voltage, the other a share of the time. Which one does your card want?",
            formula=lambda card, earlier: {
                PEAK_FUNCTION: DUTY_FUNCTION,
                DUTY_FUNCTION: PEAK_FUNCTION,
            }.get(_pilot_tool(card, earlier)),
        ),
    ),
)

total_current: Number = Number(
    name="total_current_a",
    title="RMS of the whole current",
    marks=2,
    unit="A",
    key=lambda card, earlier: combined_rms([card.fundamental, card.third_harmonic, card.fifth_harmonic]),
    working=lambda card, earlier: (
        f"I = √(I_1² + I_3² + I_5²) = √(({card.fundamental} A)² + ({card.third_harmonic} A)² + "
        f"({card.fifth_harmonic} A)²) = {show(total_current.key(card, earlier))} A"
    ),
    level=2,
    outcome=HARMONICS,
    hints=(
        "Three currents of different frequency flow in one conductor. They do not reach their peaks together.",
        "What adds up is the heat, and heat follows the square of the current.",
        "Square each of the three currents on your card and add the squares. One step is left then.",
    ),
    sources=("own-calculation",),
    known_errors=(
        KnownError(
            name="rms-values-added",
            says="the amperes of all three parts were simply added",
            hint="RMS values of different frequencies add as squares. Take the root of the sum.",
            formula=lambda card, earlier: card.fundamental + card.third_harmonic + card.fifth_harmonic,
        ),
        KnownError(
            name="harmonics-added-first",
            says="the two harmonics were simply added before they were squared",
            hint="Each frequency gets its own square. Which two frequencies did you put together?",
            formula=lambda card, earlier: combined_rms(
                [card.fundamental, card.third_harmonic + card.fifth_harmonic]
            ),
        ),
        KnownError(
            name="fifth-harmonic-forgotten",
            says="the 5th harmonic is missing",
            hint="Your card has two harmonics. Take both.",
            formula=lambda card, earlier: combined_rms([card.fundamental, card.third_harmonic]),
        ),
        KnownError(
            name="third-harmonic-forgotten",
            says="the 3rd harmonic is missing",
            hint="Your card has two harmonics. Take both.",
            formula=lambda card, earlier: combined_rms([card.fundamental, card.fifth_harmonic]),
        ),
        KnownError(
            name="fundamental-forgotten",
            says="these are the harmonics alone",
            hint="The question asks for the whole current. Which part is the largest?",
            formula=lambda card, earlier: combined_rms([card.third_harmonic, card.fifth_harmonic]),
        ),
        KnownError(
            name="harmonics-forgotten",
            says="this is the fundamental alone",
            hint="The harmonics flow through the same conductor. Take them in.",
            formula=lambda card, earlier: card.fundamental,
        ),
        KnownError(
            name="root-forgotten",
            says="the root is missing",
            hint="You have the sum of the squares, in square amperes. One step is left.",
            formula=lambda card, earlier: total_current.key(card, earlier) ** 2,
            keeps=1,
        ),
    ),
)

cable_loss: Number = Number(
    name="cable_loss_w",
    title="Power that the supply cable turns into heat",
    marks=2,
    unit="W",
    needs=("total_current_a",),
    key=lambda card, earlier: 2 * card.conductor_resistance * earlier.total_current_a**2,
    working=lambda card, earlier: (
        f"P = 2 · R · I² = 2 × {card.conductor_resistance} Ω × ({show(earlier.total_current_a)} A)² = "
        f"{show(cable_loss.key(card, earlier))} W"
    ),
    level=3,
    outcome=HARMONICS,
    hints=(
        "Which conductors does the current flow through, on its way out and back?",
        "The heat in one conductor is its resistance times the square of the current.",
        "Square your own answer to question 10 and multiply by the resistance on your card. Then count the conductors.",
    ),
    sources=(
        "university-physics-2",
        "electric-circuits-dc",
    ),
    known_errors=(
        KnownError(
            name="return-conductor-forgotten",
            says="only one conductor was counted",
            hint="The current also has to come back. How many conductors get warm?",
            formula=lambda card, earlier: card.conductor_resistance * earlier.total_current_a**2,
            keeps=1,
            misconception="return-conductor-forgotten",
        ),
        KnownError(
            name="current-not-squared",
            says="the current was not squared, so this is the voltage drop",
            hint="Ohms times amperes gives volts. What makes it watts?",
            formula=lambda card, earlier: 2 * card.conductor_resistance * earlier.total_current_a,
            misconception="loss-without-square",
        ),
        KnownError(
            name="voltage-drop-of-one-conductor",
            says="this is the voltage drop along one conductor",
            hint="Ohms times amperes gives volts. What makes it watts, and how many conductors carry the current?",
            formula=lambda card, earlier: card.conductor_resistance * earlier.total_current_a,
            misconception="loss-without-square",
        ),
        KnownError(
            name="fundamental-only",
            says="only the fundamental was counted",
            hint="The harmonics warm the cable as well. Which current holds all of them?",
            formula=lambda card, earlier: 2 * card.conductor_resistance * card.fundamental**2,
        ),
        KnownError(
            name="resistance-squared",
            says="the resistance was squared instead of the current",
            hint="Write down P = U · I and put U = R · I into it. What comes twice?",
            formula=lambda card, earlier: 2 * card.conductor_resistance**2 * earlier.total_current_a,
        ),
    ),
)


def _trial(draw: Draw) -> tuple[float, ...]:
    return (
        draw.choose((4, 6, 9, 14, 24)),
        draw.choose((-3, -5, -10, -15, -20)),
        draw.choose((0.12, 0.2, 0.3, 0.4, 0.65, 0.85)),
    )


two_level_rms: Function = Function(
    name="two_level_rms_v",
    title="A function for the RMS of two levels",
    marks=3,
    unit="V",
    key=lambda high, low, duty: pulse_rms(high, duty, low),
    inputs=_trial,
    working="return sqrt(duty * high**2 + (1 - duty) * low**2)",
    level=2,
    outcome=CONTROL_PILOT,
    hints=(
        "Read RMS from back to front. Which step comes first, and which comes last?",
        "Each level heats for its own share of the time, and a negative level heats as well.",
        "Square high and square low. Weigh each with its share of the time. What is left of 1 belongs to low.",
    ),
    sources=("own-calculation",),
    known_errors=(
        KnownError(
            name="mean-for-rms",
            says="the function returns the mean",
            hint="Square each level before you take the mean, and take the root at the end.",
            formula=lambda high, low, duty: duty * high + (1 - duty) * low,
            misconception="rms-of-a-pulse-as-mean",
        ),
        KnownError(
            name="mean-of-the-sizes",
            says="the sizes of the two levels were averaged without squaring them",
            hint="Square each level before you take the mean, and take the root at the end.",
            formula=lambda high, low, duty: duty * high - (1 - duty) * low,
            misconception="rms-of-a-pulse-as-mean",
        ),
        KnownError(
            name="low-level-as-zero",
            says="only the high level was counted",
            hint="A negative voltage heats a resistor as well. Add the low level with its share of the time.",
            formula=lambda high, low, duty: high * sqrt(duty),
            misconception="low-level-as-zero",
        ),
        KnownError(
            name="sine-factor-on-pulse",
            says="the high level was divided by √2, as for a sine",
            hint="√2 belongs to a sine. This signal has two levels: square them.",
            formula=lambda high, low, duty: high / sqrt(2),
            misconception="sine-factor-on-a-pulse",
        ),
        KnownError(
            name="off-time-for-on-time",
            says="the two shares of the time were swapped",
            hint="The duty is the share of the time at the high level. Use it as it stands.",
            formula=lambda high, low, duty: pulse_rms(high, 1 - duty, low),
            misconception="off-time-for-duty",
        ),
        KnownError(
            name="shares-forgotten",
            says="both levels were taken as equally long",
            hint="Your function gets the duty as its third input. Use it.",
            formula=lambda high, low, duty: pulse_rms(high, 0.5, low),
        ),
        KnownError(
            name="duty-as-percent",
            says="the duty was divided by 100",
            hint="The duty comes in as a fraction. Use it as it stands.",
            formula=lambda high, low, duty: pulse_rms(high, duty / 100, low),
            keeps=2,
        ),
        KnownError(
            name="root-forgotten",
            says="the root is missing",
            hint="The mean of the squares is in square volts. One step is left.",
            formula=lambda high, low, duty: duty * high**2 + (1 - duty) * low**2,
            keeps=1,
        ),
    ),
)

WORKSHEET = Worksheet(
    name="read-ac",
    version="2",
    title="Read AC",
    lesson="02-read-ac",
    entries=ENTRIES,
    possible=possible,
    questions=(
        value_named,
        line_peak,
        transformer_rms,
        lamp_power,
        half_wave_rms,
        meter_reading,
        meter_that_will_do,
        pilot_mean,
        pilot_tool,
        total_current,
        cable_loss,
        two_level_rms,
    ),
    features={
        "value to name": lambda card: _value_named(card, None),
        "meter that will do": lambda card: _meter_that_will_do(card, None),
        "tool for the pilot": lambda card: _pilot_tool(card, None),
    },
)
