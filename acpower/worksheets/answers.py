"""Answers as bounded text, and the one grammar by which numbers are read from it.

An answer leaves the notebook as text only. Whoever judges it reads the text with
:func:`read_number` and never meets an object from the notebook.
"""

import fractions
import math
import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import numpy as np

LONGEST_TEXT = 200
CODES = ("", "answer-not-a-number", "function-stopped")
# What Python writes for a whole number, a float or a decimal.
_COMPUTED = re.compile(r"-?(\d+(\.\d*)?([eE][+-]?\d+)?|[iI]nf(inity)?|[nN]a[nN])", re.ASCII)
_DECIMAL_FIGURES = 40  # more than any question asks for, and few enough for the longest text
MOST_TRIALS = 50
_LARGEST_WHOLE_NUMBER = 10**18
_NO_ANSWER: Mapping[type, str] = {
    tuple: "Two values stand there. Write decimals with a point: 229.5, not 229,5.",
    list: "A list is no answer. Record one value.",
    np.ndarray: "Several values are no answer. Record one.",
    bool: "True or False is no answer here.",
    str: f"A text of more than {LONGEST_TEXT} characters is no answer.",
}
_MOST_SHOWN = 10  # numbers of a tuple or a list that are repeated
_TOO_LONG = "a number of more than 18 whole digits"
_IN_WORDS: Mapping[type, str] = {
    tuple: "several values",
    list: "a list",
    np.ndarray: "several values",
    int: _TOO_LONG,
    fractions.Fraction: _TOO_LONG,
}
_KINDS = ("blank", "number", "text", "refused", "function")


@dataclass(frozen=True)
class Answer:
    """What was recorded for one question: a kind and at most 200 characters.

    ``number`` is a value that the notebook computed, ``text`` was typed, ``blank`` is a question
    not yet worked on, ``refused`` is something that is no answer (``code`` says why, and ``was``
    shows what it was), and ``function`` carries the results of a recorded function, one answer per
    trial.
    """

    kind: str
    text: str = ""
    code: str = ""
    trials: tuple["Answer", ...] = ()
    was: str = ""

    def as_data(self) -> dict[str, Any]:
        """Return the answer as plain JSON data."""
        data = {"kind": self.kind, "text": self.text, "code": self.code}
        was = {"was": self.was} if self.was else {}
        return {**data, "trials": tuple(trial.as_data() for trial in self.trials), **was}


def answer_from_data(data: Any) -> Answer:
    """Read an answer back from JSON data that may come from anywhere; refuse what is no answer.

    >>> answer_from_data({"kind": "number", "text": "11.08", "code": "", "trials": []}).text
    '11.08'
    """
    if not isinstance(data, dict) or data.get("kind") not in _KINDS:
        raise ValueError("not an answer: a kind and a text are needed")
    text, code, trials = data.get("text", ""), data.get("code", ""), data.get("trials", [])
    was = data.get("was", "")
    if not (all(isinstance(words, str) for words in (text, code, was)) and isinstance(trials, list)):
        raise ValueError("not an answer: text, code, was or trials have the wrong form")
    if any(isinstance(trial, dict) and trial.get("trials") for trial in trials):
        raise ValueError("not an answer: a trial has trials of its own")
    if data["kind"] == "number" and not (len(text) <= LONGEST_TEXT and _COMPUTED.fullmatch(text)):
        raise ValueError("not an answer: a computed number does not look like that")
    if code not in CODES:
        raise ValueError("not an answer: there is no such reason")
    results = tuple(answer_from_data(trial) for trial in trials[:MOST_TRIALS])
    return Answer(data["kind"], shortened(text), code, results, shortened(was))


def shortened(text: str) -> str:
    """Return at most 200 printable characters of ``text``, with its length noted if it was cut.

    Every kind of space in a line becomes the plain one: a narrow or a no-break space is how
    keyboards and pages part thousands and units.
    """
    clean = "".join(_printable(character) for character in text[: LONGEST_TEXT + 1])
    if len(text) <= LONGEST_TEXT:
        return clean
    note = f"… ({len(text)} characters)"
    return clean[: LONGEST_TEXT - len(note)] + note


def _printable(character: str) -> str:
    if unicodedata.category(character) == "Zs":
        return " "
    return character if character.isprintable() else "?"


def answer_from_value(value: Any, trials: Sequence[Sequence[Any]] = ()) -> Answer:
    """Turn whatever an apprentice recorded into an answer. Runs inside the notebook.

    >>> answer_from_value(11.08).kind, answer_from_value("11,08 kW").kind
    ('number', 'text')
    >>> answer_from_value(True).code
    'answer-not-a-number'
    """
    if isinstance(value, np.floating):
        value = float(value)  # the widest of numpy's kinds has no Python twin
    if isinstance(value, np.generic) or (isinstance(value, np.ndarray) and value.ndim == 0):
        value = "masked" if np.ma.is_masked(value) else value.item()
    if value is None or value is Ellipsis:
        return Answer("blank")
    if type(value) is str and len(value) <= LONGEST_TEXT:
        return Answer("text", shortened(value.strip())) if value.strip() else Answer("blank")
    if type(value) in (int, fractions.Fraction) and abs(value) >= _LARGEST_WHOLE_NUMBER:
        words = "A number of more than 18 whole digits is no answer."
        return Answer("refused", words, "answer-not-a-number", was=_as_it_was(value))
    if type(value) in (int, float):
        return Answer("number", repr(value))
    if type(value) is Decimal:
        return Answer("number", "nan" if value.is_nan() else f"{value:.{_DECIMAL_FIGURES}g}")
    if type(value) is fractions.Fraction:
        return Answer("number", repr(value.numerator / value.denominator))
    if callable(value) and not isinstance(value, type):
        return Answer("function", trials=tuple(_trial(value, inputs) for inputs in trials))
    words = _NO_ANSWER.get(type(value), f"A value of the kind {type(value).__name__} is no answer.")
    return Answer("refused", shortened(words), "answer-not-a-number", was=_as_it_was(value))


def _as_it_was(value: Any) -> str:
    """Show a value that is no answer as it was typed where it is plain, and else say what it was.

    >>> _as_it_was((229, 5)), _as_it_was({})
    ('229, 5', 'a value of the kind dict')
    """
    if type(value) in (bool, str):
        return shortened(str(value))
    if type(value) in (tuple, list) and len(value) <= _MOST_SHOWN and all(map(_is_plain, value)):
        listed = ", ".join(map(str, value))
        return listed if type(value) is tuple else f"[{listed}]"
    return shortened(_IN_WORDS.get(type(value), f"a value of the kind {type(value).__name__}"))


def _is_plain(value: Any) -> bool:
    return type(value) is float or (type(value) is int and abs(value) < _LARGEST_WHOLE_NUMBER)


def _trial(function: Callable[..., Any], inputs: Sequence[Any]) -> Answer:
    try:
        value = function(*inputs)
    except Exception as problem:
        return Answer("refused", shortened(f"{type(problem).__name__}: {problem}"), "function-stopped")
    if value is None:
        return Answer(
            "refused", "it gives nothing back. Its last line must begin with return", "function-stopped"
        )
    result = answer_from_value(value)
    return (
        Answer("refused", "it gave a function", "answer-not-a-number")
        if result.kind == "function"
        else result
    )


@dataclass(frozen=True)
class Reading:
    """A number read from an answer, in the unit of the question, with the figures it was given with."""

    value: Decimal
    figures: int
    last_place: Decimal


class NotReadable(Exception):
    """The text is no number. ``code`` is the reason for the record; the message is for the person."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code


_NUMBER = re.compile(
    r"(?P<sign>[+\-−–]?) ?"
    r"(?P<whole>\d{1,3}(?:[ \u00a0\u2009\u202f]\d{3})+|\d*)"
    r"(?:(?P<mark>[.,])(?P<decimals>\d*))?"
    r"(?:[eE](?P<exponent>[+\-−–]?\d{1,5}))?"
    r"\s*(?P<rest>.*)"
)
# A time as clocks and people say it, where hours as one number are asked: 5 h 20 min, 5:20, 5h20.
_BY_THE_CLOCK = re.compile(
    r"(?P<hours>\d{1,3}) ?(?::|h|hrs?|hours?) ?(?P<minutes>[0-5]?\d) ?(?:min|mins|minutes?)?",
    re.ASCII | re.IGNORECASE,
)


def read_number(answer: Answer, units: Mapping[str, float]) -> Reading:
    """Read an answer as one number in the question's own unit.

    Parameters
    ----------
    answer
        Kind ``number`` or ``text``.
    units
        Accepted unit spellings and what one of each is worth in the question's unit. The letter
        case does not matter, but for m (milli) and M (mega) before a unit, and a missing unit means
        the question's own.

    Returns
    -------
    Reading
        A finite number.

    Raises
    ------
    NotReadable
        No number, not finite, several numbers, a time by the clock, a unit that is not accepted, or a text such as
        ``1,234`` or ``22 mJ`` for megajoules that may be read in two ways.

    Examples
    --------
    >>> read_number(Answer("text", "11,08 kW"), {"kW": 1, "W": 0.001}).value
    Decimal('11.08')
    >>> read_number(Answer("text", "1,234"), {"kW": 1})
    Traceback (most recent call last):
        ...
    acpower.worksheets.answers.NotReadable: 1,234 can be read in two ways. Write 1234 or 1.2340.
    """
    text = re.sub(r"\d", lambda digit: str(int(digit[0])), unquoted(answer.text))  # digits of any script
    if text.lower().lstrip("+-−–") in ("nan", "inf", "infinity"):
        raise NotReadable(
            "answer-not-finite", f"{text} is not a finite number. Check for a division by zero."
        )
    clock = _BY_THE_CLOCK.fullmatch(text) if units.get("h") == 1 else None
    if clock:
        hours, minutes = int(clock["hours"]), int(clock["minutes"])
        raise NotReadable(
            "answer-ambiguous",
            f"Hours as one number are asked: {minutes} min are {minutes} ÷ 60 h. "
            f"Write {hours + minutes / 60:.4g} for “{text}”.",
        )
    match = _NUMBER.fullmatch(text)
    if match is None or not (match["whole"] or match["decimals"]):
        raise NotReadable(
            "answer-not-a-number", f"“{text}” is not a number. Record one number, such as 11.08."
        )
    if any(character.isdigit() for character in match["rest"]) and match["rest"] not in units:
        raise NotReadable(
            "answer-ambiguous", f"“{text}” holds more than one number. Decide on one and record that."
        )
    whole = re.sub(r"\D", "", match["whole"])
    decimals = match["decimals"] or ""
    if answer.kind == "text" and _reads_two_ways(match):
        raise NotReadable(
            "answer-ambiguous",
            f"{text} can be read in two ways. Write {whole}{decimals} or {whole}.{decimals}0.",
        )
    factor = _unit_factor(match["rest"], units, text)
    exponent = int((match["exponent"] or "0").replace("−", "-").replace("–", "-"))
    place = Decimal(1).scaleb(exponent - len(decimals))
    number = Decimal(whole + decimals) * place
    if not math.isfinite(float(number)):
        raise NotReadable("answer-not-finite", f"{text} is too large for a number on a job card.")
    if match["sign"] in tuple("-−–"):
        number = -number
    return Reading(number * factor, len((whole + decimals).lstrip("0")), place * factor)


def unquoted(text: str) -> str:
    """Return a text without the quotation marks that a worksheet asks for and a hand may double.

    >>> unquoted(' "cable" ')
    'cable'
    """
    return text.strip().strip("\"'“”„‘’").strip()


def _reads_two_ways(match: re.Match[str]) -> bool:
    """Tell whether one mark and three digits after it may be thousands as well as decimals."""
    whole, decimals = match["whole"], match["decimals"] or ""
    return (
        len(decimals) == 3
        and not match["exponent"]
        and whole.isdigit()
        and whole.strip("0") != ""
        and len(whole) <= 3
    )


def _unit_factor(unit: str, units: Mapping[str, float], text: str) -> Decimal:
    if not unit or unit in units:
        return Decimal(repr(units.get(unit, 1)))
    spelled = {spelling.casefold(): spelling for spelling in units}.get(unit.casefold())
    if spelled is None:
        listed = ", ".join(spelling for spelling in units if spelling) or "none, this one has no unit"
        raise NotReadable(
            "answer-not-a-number", f"The unit in “{text}” is not accepted here. Accepted units: {listed}."
        )
    if unit[1:] == spelled[1:] and unit[1:] in units and {unit[0], spelled[0]} == {"m", "M"}:
        raise NotReadable(
            "answer-ambiguous",
            f"{unit} in “{text}” is not {spelled}: m is a thousandth and M a million. Write the one you mean.",
        )
    return Decimal(repr(units[spelled]))
