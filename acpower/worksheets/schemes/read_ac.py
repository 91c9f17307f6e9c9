"""Mark scheme of the worksheet ``read-ac``: peak, mean and RMS, and what they do in a cable."""

from math import pi, sqrt
from typing import Any

import numpy as np

from acpower.rms import (
    combined_rms,
    form_factor,
    peak_to_rms,
    pulse_rms,
    rms,
    rms_to_peak,
    total_harmonic_distortion,
)
from acpower.worksheets.cards import Draw, Entry
from acpower.worksheets.scheme import Function, KnownError, Number, Worksheet, show

ENTRIES = (
    Entry(
        "site", "Site", "", ("Ferry Road garage", "Quarry workshop", "Meadow school", "Lighthouse car park")
    ),
    Entry("mains_peak", "Mains: peak of the voltage", "V", (316, 319, 322, 328, 331, 334)),
    Entry(
        "line_voltage", "Building next door: voltage between two lines, RMS", "V", (388, 392, 396, 404, 408)
    ),
    Entry("divisions", "Transformer: height of the whole trace", "div", (5.2, 5.6, 6.4, 6.8, 7.2, 7.6)),
    Entry("volts_per_division", "Transformer: setting of the oscilloscope", "V/div", (2, 5)),
    Entry("half_wave_peak", "Heater behind one diode: peak of the voltage", "V", (26, 28, 34, 38, 46)),
    Entry("pulse_peak", "Pulse current: height of the pulses", "A", (24, 27, 29, 31, 36)),
    Entry("pulse_percent", "Pulse current: share of the time that it flows", "%", (12, 15, 18, 21, 24, 28)),
    Entry("pilot_high", "Control pilot: high level", "V", (5.7, 5.8, 5.9, 6.1, 6.2, 6.3)),
    Entry("pilot_low", "Control pilot: low level", "V", (-11.7, -11.8, -11.9, -12.1, -12.2, -12.3)),
    Entry("pilot_percent", "Control pilot: share of the time at high level", "%", (16, 18, 21, 27, 32, 36)),
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
    """No answer stands on the card already as some other number."""
    given = [value for value in card.values.values() if not isinstance(value, str)]
    return all(
        abs(key - number) > 0.005 * abs(key)
        for key in vars(WORKSHEET.keys(card)).values()
        for number in given
    )


def _peak_to_peak(card: Any) -> float:
    return float(card.divisions * card.volts_per_division)


def _pulse_share(card: Any) -> float:
    return float(card.pulse_percent / 100)


def _pilot_share(card: Any) -> float:
    return float(card.pilot_percent / 100)


def _pilot_mean(card: Any, low: float, share: float) -> float:
    return float(share * card.pilot_high + (1 - share) * low)


mains_rms: Number = Number(
    name="mains_rms_v",
    title="RMS of the mains from its peak",
    marks=1,
    unit="V",
    key=lambda card, earlier: peak_to_rms(card.mains_peak),
    working=lambda card, earlier: (
        f"U = peak / √2 = {card.mains_peak} V / √2 = {show(mains_rms.key(card, earlier))} V"
    ),
    level=2,
    outcome="",
    hints=("For a sine the peak and the RMS differ by one fixed root. Which of the two is larger?", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="peak-as-rms",
            says="this is the peak itself",
            hint="The voltage is at its peak for a moment only. The RMS must be lower.",
            formula=lambda card, earlier: card.mains_peak,
        ),
        KnownError(
            name="half-the-peak",
            says="the peak was halved",
            hint="Half belongs to the mean of the squares. Which step comes after the mean?",
            formula=lambda card, earlier: card.mains_peak / 2,
        ),
        KnownError(
            name="mean-for-rms",
            says="this is the mean of the half waves, 2/π of the peak",
            hint="The mean is not the RMS. Which value heats a resistor as much as DC would?",
            formula=lambda card, earlier: 2 * card.mains_peak / pi,
        ),
        KnownError(
            name="mean-of-a-period",
            says="this is the mean over a whole period, where the two halves cancel",
            hint="Square first: then nothing cancels, and the mean of the squares tells the heating.",
            formula=lambda card, earlier: 0,
        ),
        KnownError(
            name="peak-to-rms-multiplied",
            says="the peak was multiplied by √2",
            hint="The RMS of a sine is never above its peak. Which way must √2 go?",
            formula=lambda card, earlier: card.mains_peak * sqrt(2),
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
    level=2,
    outcome="",
    hints=("Your meter shows RMS. Which factor leads from the RMS of a sine back to its peak?", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="rms-to-peak-divided",
            says="the RMS was divided by √2",
            hint="The peak is the larger of the two. Which way must √2 go?",
            formula=lambda card, earlier: card.line_voltage / sqrt(2),
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
    level=2,
    outcome="",
    hints=("Go in three steps: divisions to volts, peak-to-peak to peak, peak to RMS.", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="peak-to-peak-as-peak",
            says="the peak-to-peak value was taken as the peak",
            hint="The trace was measured from its lowest to its highest point. Where does the peak start?",
            formula=lambda card, earlier: _peak_to_peak(card) / sqrt(2),
        ),
        KnownError(
            name="peak-as-rms",
            says="this is the peak, not the RMS",
            hint="You have found the peak of the sine. One more step leads to its RMS.",
            formula=lambda card, earlier: _peak_to_peak(card) / 2,
            keeps=1,
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
    outcome="",
    hints=("Start from the power: what share of it is left, and what does that do to the RMS?", "", ""),
    sources=(),
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
        ),
        KnownError(
            name="full-wave-mean-for-rms",
            says="this is the mean that both half waves together would have",
            hint="The diode lets only every other half wave through, and the mean is not the RMS.",
            formula=lambda card, earlier: 2 * card.half_wave_peak / pi,
        ),
        KnownError(
            name="peak-as-rms",
            says="this is the peak itself",
            hint="The voltage is at its peak for a moment only. The RMS must be much lower.",
            formula=lambda card, earlier: card.half_wave_peak,
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
    level=2,
    outcome="",
    hints=(
        "First find the mean of the current without its sign. Then do what the meter does with it.",
        "",
        "",
    ),
    sources=(),
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
    outcome="",
    hints=("Weigh each level with its share of the time, and keep the sign of each.", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="low-level-as-zero",
            says="the low level was taken as zero",
            hint="In the rest of the period the signal is not at zero. Read the low level on your card.",
            formula=lambda card, earlier: _pilot_mean(card, 0, _pilot_share(card)),
        ),
        KnownError(
            name="off-time-for-on-time",
            says="the two shares of the time were swapped",
            hint="The share on the card is the time at the high level. Which share is left for the low level?",
            formula=lambda card, earlier: _pilot_mean(card, card.pilot_low, 1 - _pilot_share(card)),
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

pilot_rms: Number = Number(
    name="pilot_rms_v",
    title="RMS of the control pilot",
    marks=2,
    unit="V",
    key=lambda card, earlier: pulse_rms(card.pilot_high, _pilot_share(card), card.pilot_low),
    working=lambda card, earlier: (
        f"U = √({_pilot_share(card):g} × ({card.pilot_high} V)² + {1 - _pilot_share(card):g} × "
        f"({card.pilot_low} V)²) = {show(pilot_rms.key(card, earlier))} V"
    ),
    level=2,
    outcome="",
    hints=(
        "Read RMS from back to front: square each level, take the mean over the time, then the root.",
        "",
        "",
    ),
    sources=(),
    known_errors=(
        KnownError(
            name="low-level-forgotten",
            says="only the high level was counted",
            hint="A negative voltage heats a resistor as well. Add the low level with its share of the time.",
            formula=lambda card, earlier: pulse_rms(card.pilot_high, _pilot_share(card)),
        ),
        KnownError(
            name="mean-for-rms",
            says="this is the mean of the signal",
            hint="Square each level before you take the mean, and take the root at the end.",
            formula=lambda card, earlier: _pilot_mean(card, card.pilot_low, _pilot_share(card)),
        ),
        KnownError(
            name="mean-without-sign-for-rms",
            says="this is the mean of the signal without its sign",
            hint="Square each level before you take the mean, and take the root at the end.",
            formula=lambda card, earlier: -_pilot_mean(card, card.pilot_low, _pilot_share(card)),
        ),
        KnownError(
            name="mean-of-the-sizes",
            says="the sizes of the two levels were averaged without squaring them",
            hint="Square each level before you take the mean, and take the root at the end.",
            formula=lambda card, earlier: _pilot_mean(card, -card.pilot_low, _pilot_share(card)),
        ),
        KnownError(
            name="sine-factor-on-pulse",
            says="the high level was divided by √2, as for a sine",
            hint="√2 belongs to a sine. This signal has two levels: square them.",
            formula=lambda card, earlier: peak_to_rms(card.pilot_high),
        ),
        KnownError(
            name="off-time-for-on-time",
            says="the two shares of the time were swapped",
            hint="The share on the card is the time at the high level. Which share is left for the low level?",
            formula=lambda card, earlier: pulse_rms(card.pilot_high, 1 - _pilot_share(card), card.pilot_low),
        ),
        KnownError(
            name="root-forgotten",
            says="the root is missing",
            hint="You have the mean of the squares, in square volts. One step is left.",
            formula=lambda card, earlier: pilot_rms.key(card, earlier) ** 2,
            keeps=1,
        ),
    ),
)

harmonic_current: Number = Number(
    name="harmonic_current_a",
    title="Both harmonics together",
    marks=1,
    unit="A",
    key=lambda card, earlier: combined_rms([card.third_harmonic, card.fifth_harmonic]),
    working=lambda card, earlier: (
        f"I_h = √(I_3² + I_5²) = √(({card.third_harmonic} A)² + ({card.fifth_harmonic} A)²) = "
        f"{show(harmonic_current.key(card, earlier))} A"
    ),
    level=2,
    outcome="",
    hints=(
        "Currents of different frequency do not reach their peaks together. What adds up is the heat.",
        "",
        "",
    ),
    sources=(),
    known_errors=(
        KnownError(
            name="rms-values-added",
            says="the amperes were simply added",
            hint="RMS values of different frequencies add as squares. Take the root of the sum.",
            formula=lambda card, earlier: card.third_harmonic + card.fifth_harmonic,
        ),
        KnownError(
            name="fundamental-included",
            says="the fundamental was counted as a harmonic too",
            hint="This question asks only for what comes on top of the fundamental.",
            formula=lambda card, earlier: combined_rms(
                [card.fundamental, card.third_harmonic, card.fifth_harmonic]
            ),
        ),
        KnownError(
            name="fifth-harmonic-forgotten",
            says="this is the 3rd harmonic alone",
            hint="Your card has two harmonics. Take both.",
            formula=lambda card, earlier: card.third_harmonic,
        ),
        KnownError(
            name="root-forgotten",
            says="the root is missing",
            hint="You have the sum of the squares, in square amperes. One step is left.",
            formula=lambda card, earlier: card.third_harmonic**2 + card.fifth_harmonic**2,
        ),
    ),
)

distortion: Number = Number(
    name="distortion_percent",
    title="Total harmonic distortion",
    marks=2,
    unit="%",
    needs=("harmonic_current_a",),
    key=lambda card, earlier: 100 * total_harmonic_distortion(card.fundamental, [earlier.harmonic_current_a]),
    working=lambda card, earlier: (
        f"THD = 100 % · I_h / I_1 = 100 % × {show(earlier.harmonic_current_a)} A / {card.fundamental} A = "
        f"{show(distortion.key(card, earlier))} %"
    ),
    level=2,
    outcome="",
    hints=("Set the harmonics against the fundamental, and write the result in percent.", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="fraction-for-percent",
            says="this is a fraction, the question asks for percent",
            hint="Per cent means of every hundred. Write your fraction that way.",
            formula=lambda card, earlier: earlier.harmonic_current_a / card.fundamental,
            keeps=1,
        ),
        KnownError(
            name="total-current-as-base",
            says="the total current was used as the base",
            hint="Some meters do that, but here the base is the fundamental alone.",
            formula=lambda card, earlier: (
                100
                * earlier.harmonic_current_a
                / combined_rms([card.fundamental, earlier.harmonic_current_a])
            ),
        ),
        KnownError(
            name="distortion-upside-down",
            says="the fundamental was divided by the harmonics",
            hint="The base stands below the line. Which current is the base?",
            formula=lambda card, earlier: 100 * card.fundamental / earlier.harmonic_current_a,
        ),
        KnownError(
            name="rms-values-added",
            says="the amperes of the harmonics were simply added",
            hint="Use the two harmonics together as you found them in the question before.",
            formula=lambda card, earlier: (
                100 * (card.third_harmonic + card.fifth_harmonic) / card.fundamental
            ),
        ),
        KnownError(
            name="total-over-fundamental",
            says="the total current was divided by the fundamental",
            hint="Only the harmonics belong above the line.",
            formula=lambda card, earlier: (
                100 * combined_rms([card.fundamental, earlier.harmonic_current_a]) / card.fundamental
            ),
        ),
    ),
)

total_current: Number = Number(
    name="total_current_a",
    title="RMS of the whole current",
    marks=1,
    unit="A",
    needs=("harmonic_current_a",),
    key=lambda card, earlier: combined_rms([card.fundamental, earlier.harmonic_current_a]),
    working=lambda card, earlier: (
        f"I = √(I_1² + I_h²) = √(({card.fundamental} A)² + ({show(earlier.harmonic_current_a)} A)²) = "
        f"{show(total_current.key(card, earlier))} A"
    ),
    level=2,
    outcome="",
    hints=(
        "The fundamental and the harmonics have different frequencies. How did you add the harmonics?",
        "",
        "",
    ),
    sources=(),
    known_errors=(
        KnownError(
            name="rms-values-added",
            says="the harmonics were simply added to the fundamental",
            hint="RMS values of different frequencies add as squares. Take the root of the sum.",
            formula=lambda card, earlier: card.fundamental + earlier.harmonic_current_a,
        ),
        KnownError(
            name="all-rms-values-added",
            says="the amperes of all three parts were simply added",
            hint="RMS values of different frequencies add as squares. Take the root of the sum.",
            formula=lambda card, earlier: card.fundamental + card.third_harmonic + card.fifth_harmonic,
        ),
        KnownError(
            name="fifth-harmonic-forgotten",
            says="the 5th harmonic is missing",
            hint="Take in both harmonics: your answer to question 8 holds them together.",
            formula=lambda card, earlier: combined_rms([card.fundamental, card.third_harmonic]),
        ),
        KnownError(
            name="third-harmonic-forgotten",
            says="the 3rd harmonic is missing",
            hint="Take in both harmonics: your answer to question 8 holds them together.",
            formula=lambda card, earlier: combined_rms([card.fundamental, card.fifth_harmonic]),
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
            formula=lambda card, earlier: card.fundamental**2 + earlier.harmonic_current_a**2,
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
    level=2,
    outcome="",
    hints=(
        "Every conductor that carries the current gets warm. How does the heat go with the current?",
        "",
        "",
    ),
    sources=(),
    known_errors=(
        KnownError(
            name="return-conductor-forgotten",
            says="only one conductor was counted",
            hint="The current also has to come back. How many conductors get warm?",
            formula=lambda card, earlier: card.conductor_resistance * earlier.total_current_a**2,
            keeps=1,
        ),
        KnownError(
            name="current-not-squared",
            says="the current was not squared, so this is the voltage drop",
            hint="Ohms times amperes gives volts. What makes it watts?",
            formula=lambda card, earlier: 2 * card.conductor_resistance * earlier.total_current_a,
        ),
        KnownError(
            name="voltage-drop-of-one-conductor",
            says="this is the voltage drop along one conductor",
            hint="Ohms times amperes gives volts. What makes it watts, and how many conductors carry the current?",
            formula=lambda card, earlier: card.conductor_resistance * earlier.total_current_a,
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
        draw.choose((5, 9, 14, 24, 48, 90)),
        draw.choose((0.12, 0.2, 0.3, 0.4, 0.65, 0.85)),
    )


pulse_rms_v: Function = Function(
    name="pulse_rms_v",
    title="A function for the RMS of a pulse",
    marks=3,
    unit="V",
    key=pulse_rms,
    inputs=_trial,
    working="return high * sqrt(duty)",
    level=2,
    outcome="",
    hints=("Think of the power first: for what share of the time does it flow? Then take the root.", "", ""),
    sources=(),
    known_errors=(
        KnownError(
            name="mean-for-rms",
            says="the function returns the mean",
            hint="Square the level before you take the mean, and take the root at the end.",
            formula=lambda high, duty: high * duty,
        ),
        KnownError(
            name="sine-factor-on-mean",
            says="the mean was divided by √2, as for a sine",
            hint="√2 belongs to a sine. Square the level, take the mean, then the root.",
            formula=lambda high, duty: high * duty / sqrt(2),
        ),
        KnownError(
            name="sine-factor-on-pulse",
            says="the high level was divided by √2, as for a sine",
            hint="√2 belongs to a sine. Your function gets the duty as its second input: use it.",
            formula=lambda high, duty: high / sqrt(2),
        ),
        KnownError(
            name="duty-as-percent",
            says="the duty was divided by 100",
            hint="The duty comes in as a fraction. Use it as it stands.",
            formula=lambda high, duty: high * sqrt(duty / 100),
            keeps=2,
        ),
        KnownError(
            name="off-time-for-on-time",
            says="the time at zero was taken for the time at the high level",
            hint="The duty is the share of the time at the high level. Use it as it stands.",
            formula=lambda high, duty: high * sqrt(1 - duty),
        ),
        KnownError(
            name="root-forgotten",
            says="the root is missing",
            hint="The mean of the squares is in square volts. One step is left.",
            formula=lambda high, duty: high**2 * duty,
            keeps=1,
        ),
        KnownError(
            name="square-forgotten",
            says="the root was taken, but the level was not squared",
            hint="Square the level before you take the mean.",
            formula=lambda high, duty: sqrt(high * duty),
        ),
    ),
)

WORKSHEET = Worksheet(
    name="read-ac",
    version="1",
    title="Read AC",
    lesson="02-read-ac",
    entries=ENTRIES,
    possible=possible,
    questions=(
        mains_rms,
        line_peak,
        transformer_rms,
        half_wave_rms,
        meter_reading,
        pilot_mean,
        pilot_rms,
        harmonic_current,
        distortion,
        total_current,
        cable_loss,
        pulse_rms_v,
    ),
)
