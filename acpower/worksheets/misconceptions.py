"""The misconceptions that known errors stand for, by a short name, each with what it rests on.

A known error of a mark scheme names its misconception; the class picture and the history then
count the same misunderstanding over questions, worksheets and classes. Of the documents named
below the abstract or the opening pages were read: they describe the confusion, not these numbers.
"""

from dataclasses import dataclass

from acpower.worksheets.scheme import COMMON_PRACTICE

_TERMS = "Systematic literature review of misconceptions in linear circuit analysis, ASEE 2018"
_AC = "Notes for instructors to the chapter on AC circuits of a physics textbook"
_PHASE = "Understanding phase as a key concept in physics and electrical engineering (article)"
_LINE = "Line and phase quantities in per-unit teaching, IJEEE 37(2), doi 10.7227/IJEEE.37.2.7"
_ENERGY = "Notes on watts per hour and on kilowatt-hours read as a rate (teachers' web pages)"
_DECIMALS = "The numerical abilities of industrial trainee apprentices (study, abstract)"
_BIGGER = "Multiplication makes bigger, division makes smaller (teachers' guides)"
_CLOCK = "Decimal time: note for teachers (web page)"


@dataclass(frozen=True)
class Misconception:
    """What was misunderstood, in a few words, and which publication describes the confusion."""

    what: str
    basis: str


MISCONCEPTIONS: dict[str, Misconception] = {
    # ---- three phases
    "root-3-missing": Misconception("√3 is left out with the line voltage", _LINE),
    "3-with-line-voltage": Misconception("3 is used together with the line voltage", _LINE),
    "root-3-with-phase-voltage": Misconception("√3 is used together with the phase voltage", _LINE),
    "one-phase-for-three": Misconception("the formula of one phase is used for three", _LINE),
    "root-2-for-root-3": Misconception("√2 is used where √3 belongs", _AC),
    "root-3-cut-off": Misconception("√3 is cut to 1.7 or 1.73", COMMON_PRACTICE),
    "line-to-phase-multiplied": Misconception("line voltage to phase voltage: multiplied by √3", _LINE),
    "line-to-phase-by-3": Misconception("line voltage to phase voltage: divided by 3", _LINE),
    "line-to-phase-halved": Misconception(
        "line voltage to phase voltage: divided by 2 or √2", COMMON_PRACTICE
    ),
    "phase-to-line-divided": Misconception("phase voltage to line voltage: divided by √3", _LINE),
    "current-root-3-missing": Misconception("current from three-phase power: √3 is left out", _LINE),
    "all-power-in-one-phase": Misconception("all the power is put into one phase", _LINE),
    "voltage-forgotten": Misconception("the power is divided without the voltage", COMMON_PRACTICE),
    "star-for-delta": Misconception("star and delta are mixed up", COMMON_PRACTICE),
    "two-phases-by-root": Misconception("two of three phases are taken as √2 or two thirds", COMMON_PRACTICE),
    # ---- peak, mean and RMS
    "peak-for-rms": Misconception("the peak is used as the RMS value", _AC),
    "rms-to-peak-divided": Misconception("RMS value to peak: divided by √2", _AC),
    "rms-as-half-the-peak": Misconception("the RMS value is taken as half the peak", _AC),
    "rectified-mean-for-rms": Misconception("the rectified mean is taken for the RMS value", _AC),
    "peak-to-peak-for-peak": Misconception("peak to peak is used as the peak", _AC),
    "peaks-multiplied": Misconception("the peaks are multiplied for the power", _AC),
    "rms-of-a-sine-zero": Misconception("the mean of a sine, zero, is taken for the RMS value", _AC),
    "rms-of-a-pulse-as-mean": Misconception("the RMS value of a pulse is taken as its mean", _AC),
    "sine-factor-on-a-pulse": Misconception("√2 of the sine is used on a pulse", _AC),
    # ---- power factor
    "power-factor-forgotten": Misconception("the power factor is left out", _PHASE),
    "power-factor-divided": Misconception("the power factor is on the wrong side of the fraction", _BIGGER),
    "sine-for-cosine": Misconception("sin φ is used for cos φ", _PHASE),
    "reactive-by-subtraction": Misconception("reactive power is apparent minus active power", _PHASE),
    # ---- efficiency
    "efficiency-divided": Misconception("towards the battery it is divided by the efficiency", _BIGGER),
    "efficiency-multiplied": Misconception("towards the grid it is multiplied by the efficiency", _BIGGER),
    "percent-as-factor": Misconception("a percentage is used as a factor", _DECIMALS),
    "loss-for-output": Misconception("the loss and what gets through are mixed up", COMMON_PRACTICE),
    "loss-added": Misconception("the loss is added or taken off instead of dividing", _BIGGER),
    "losses-added-in-a-chain": Misconception("the losses of a chain are added", _DECIMALS),
    "efficiencies-averaged": Misconception("the efficiencies of a chain are averaged", _DECIMALS),
    "efficiency-by-output-share": Misconception(
        "efficiencies are averaged by shares of the output", COMMON_PRACTICE
    ),
    "efficiency-forgotten": Misconception("the efficiency is left out", COMMON_PRACTICE),
    "efficiency-wrong-way-in-time": Misconception("the efficiency is on the wrong side of the time", _BIGGER),
    # ---- time and energy
    "time-upside-down": Misconception("time as power divided by energy", _TERMS),
    "energy-times-power": Misconception("energy is multiplied by power for the time", f"{_TERMS}; {_ENERGY}"),
    "minutes-as-decimals": Misconception("minutes are written as decimals of an hour", _CLOCK),
    "decimals-as-minutes": Misconception("the decimals of an hour are read as minutes", _CLOCK),
    "minutes-not-converted": Misconception("minutes are used where hours belong", _CLOCK),
    "seconds-for-hours": Misconception("seconds are used where hours belong", _ENERGY),
    "power-for-energy": Misconception("the power is given as the energy", _ENERGY),
    "energy-as-power-by-time": Misconception("energy as power divided by time", _ENERGY),
    "joules-wrong-factor": Misconception("kilowatt-hours to megajoules: divided, or without 3.6", _ENERGY),
    "factor-1000": Misconception("watts and kilowatts are mixed up", _DECIMALS),
    "minor-for-major-currency": Misconception("the hundredth is given for the price unit", _DECIMALS),
    "target-for-difference": Misconception("the target state of charge is used as the rise", COMMON_PRACTICE),
    "start-or-remainder": Misconception("the start or the rest is used as the rise", COMMON_PRACTICE),
    "percent-points-as-energy": Misconception("percent points are given as energy", _DECIMALS),
    # ---- limits, pilot, cable
    "largest-instead-of-smallest": Misconception(
        "of several limits the largest or the mean is taken", COMMON_PRACTICE
    ),
    "off-time-for-duty": Misconception("the time at the low level is taken for the duty", COMMON_PRACTICE),
    "duty-as-fraction": Misconception("the duty goes in as a fraction where percent belong", COMMON_PRACTICE),
    "duty-divided": Misconception("the duty is divided by the factor of its rule", COMMON_PRACTICE),
    "lower-duty-rule": Misconception("the rule up to 85 % is used above it", COMMON_PRACTICE),
    "low-level-as-zero": Misconception("a negative low level is taken as nought", COMMON_PRACTICE),
    "loss-without-square": Misconception("the loss of a cable as I · R", _TERMS),
    "return-conductor-forgotten": Misconception(
        "the return conductor, or two of three conductors, are forgotten", COMMON_PRACTICE
    ),
    "drop-as-fraction": Misconception("a percentage is left as a fraction", _DECIMALS),
    "early-rounding": Misconception("a value is rounded within a chain of steps", COMMON_PRACTICE),
}
