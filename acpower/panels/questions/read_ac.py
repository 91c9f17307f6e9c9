"""Quick questions of the lesson "Read AC"."""

from acpower.figures import read_waveform
from acpower.panels.questions.question import Question, amperes, volts
from acpower.rms import combined_rms, peak_to_rms, pulse_rms


def _value_that_heats() -> Question:
    return Question(
        "A heater runs on 230 V AC. Which value of this voltage would DC need, to heat it just as much?",
        {
            "the peak": "The voltage is that high for a moment only. DC would be so all the time.",
            "the RMS value": "That is what the RMS value means. Labels give it.",
            "the rectified mean": "It squares nothing. Heat follows the square of the voltage.",
            "the mean": "The mean of a sine is zero. The heater gets warm all the same.",
        },
        "the RMS value",
        outcome="tell the peak, the RMS value and the rectified mean of a voltage apart",
    )


def _peak_to_rms() -> Question:
    sine = read_waveform("sine", peak=325.0)
    right = f"{sine.rms:.0f} V"
    return Question(
        "A sine has a peak of 325 V. What is its RMS value?",
        {
            f"{sine.peak:.0f} V": "That is the peak itself. Which way must √2 go?",
            right: "325 V ÷ √2. A European label shows this number.",
            f"{sine.rectified_mean:.0f} V": "That is the rectified mean. RMS squares the curve first.",
            f"{sine.peak / 2:.1f} V": "You took half the peak. A sine needs √2, not 2.",
        },
        right,
        outcome="work out the peak of a sine from its RMS value, and back",
    )


def _half_wave() -> Question:
    right = f"{peak_to_rms(230.0):.0f} V"
    return Question(
        "A diode cuts a 230 V sine to half-waves. What is the RMS value now?",
        {
            f"{230 / 2:.0f} V": "That is the trap. Half the power is not half the voltage.",
            "230 V": "Half of each period is missing. The heat must go down.",
            right: "230 V ÷ √2: half the power, so the voltage falls by √2.",
        },
        right,
        outcome="avoid the half-wave trap",
    )


def _square_wave() -> Question:
    square = read_waveform("square", peak=100.0)
    factor = read_waveform("sine", peak=100.0).form_factor
    shown, right = f"{square.average_responding_meter:.0f} V", f"{square.true_rms_meter:.0f} V"
    return Question(
        f"An average-responding meter shows {shown} on a square wave. What would a true-RMS meter show?",
        {
            shown: "The two agree on a sine. This is not a sine.",
            f"{factor * square.average_responding_meter:.0f} V": "The meter has multiplied already. Undo it.",
            right: "Divide by 1.11. A square wave has the same RMS value and rectified mean.",
        },
        right,
        outcome="say what a true-RMS meter and an average-responding meter show, with and without DC",
    )


def _pilot_mean() -> Question:
    right = volts(0.5 * 9 + 0.5 * -12)
    return Question(
        "The pilot switches between +9 V and −12 V, half the time each. What does a meter show in its DC range?",
        {
            volts(0.5 * 9): "You counted the low level as 0. It is −12 V.",
            right: "0.5 × 9 V − 0.5 × 12 V. The mean keeps the sign of each level.",
            volts(pulse_rms(9, 0.5, low=-12)): "That is the RMS value. A DC range shows the mean.",
            "9.0 V": "That is the high level. The meter is too slow to see it.",
        },
        right,
        outcome="find mean and RMS value of the control pilot, and name the instrument that reads it",
    )


def _harmonics() -> Question:
    right = amperes(combined_rms([12, 5]))
    return Question(
        "A current has a fundamental of 12 A and one harmonic of 5 A, both RMS. What is the whole current?",
        {
            amperes(12 + 5): "They have different frequencies. Square them first.",
            right: "√(12² + 5²). The squares add.",
            amperes(12): "That is the fundamental alone. The harmonic flows in the same wire.",
            amperes(combined_rms([12, 5]) ** 2): "The root is missing.",
        },
        right,
        outcome="add harmonics to the RMS value of a current",
    )


QUESTIONS = {
    "value that heats": _value_that_heats,
    "peak to RMS": _peak_to_rms,
    "half-wave": _half_wave,
    "square wave": _square_wave,
    "pilot mean": _pilot_mean,
    "harmonics": _harmonics,
}
