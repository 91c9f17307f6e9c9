"""The words in which a mark scheme is written: questions, keys, tolerances, known errors.

A mark scheme is one readable file that builds a :class:`Worksheet`. Keys and known errors are
small functions of the job card and of earlier answers, so the same lines serve every card and
carry an apprentice's own earlier value forward.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import isfinite
from types import SimpleNamespace
from typing import Any

from acpower.worksheets.cards import PRACTICE_TERM_KEY, Draw, Entry, JobCard, draw_card

# Units as people write them out; the letter case does not matter, see read_number.
WRITTEN_OUT = {
    "V": ("volt", "volts"),
    "A": ("amp", "amps", "ampere", "amperes"),
    "W": ("watt", "watts"),
    "kW": ("kilowatt", "kilowatts"),
    "kWh": ("kilowatt-hour", "kilowatt-hours", "kilowatt hours"),
    "h": ("hr", "hrs", "hour", "hours"),
    "min": ("mins", "minute", "minutes"),
    "%": ("percent", "per cent"),
}

Formula = Callable[[Any, Any], Any]  # (job card, earlier answers) -> value

_SHORT, _LONGEST_SHOWN = 8, 24  # signs of a number: what stays as it is, and what is written out at most

COMMON_PRACTICE = "common practice, no source"
LEVELS = {1: "formula given", 2: "choose the formula", 3: "chain of steps"}


@dataclass(frozen=True, kw_only=True)
class KnownError:
    """A named wrong computation.

    ``formula`` gives the value that the error produces, from (card, earlier): a number, the chosen
    option, the text, the order of letters; for a function question it *is* the wrong function.
    ``says`` completes "Your answer fits a known error: …". ``hint`` says what to do next and never
    gives the answer away. ``keeps`` marks stay with the apprentice, where the method was right.
    ``misconception`` is a name from :mod:`acpower.worksheets.misconceptions`, if it is one of those.
    """

    name: str
    says: str
    hint: str
    formula: Callable[..., Any]
    keeps: int = 0
    misconception: str = ""


HINTS = ("what to look at", "which relation holds", "how to begin")
"""What the three hints of a question say, in this order."""


@dataclass(frozen=True, kw_only=True)
class Question:
    """What every kind of question has.

    ``level`` is 1 where the formula is given, 2 where it has to be chosen, 3 for a chain of steps.
    ``outcome`` repeats an outcome of the lesson, word for word. ``hints`` are three, in the order of
    :data:`HINTS`; none of them gives the answer away. ``sources`` are keys of
    ``tables/sources.toml`` or :data:`COMMON_PRACTICE`.
    """

    name: str
    title: str
    marks: int
    level: int
    outcome: str
    hints: tuple[str, str, str]
    sources: tuple[str, ...]
    known_errors: tuple[KnownError, ...] = ()
    needs: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Number(Question):
    """A question for one number.

    An answer is right within ``relative`` of the key (a fraction of the key) or ``absolute`` (in
    the question's unit), or if it is the key rounded to at least ``figures`` figures. ``working``
    writes the steps with the apprentice's own numbers. ``also`` holds other right ways to the
    value. ``needs`` names the earlier questions from which the key goes on. A right step from the
    apprentice's own earlier values counts, by any of these ways.
    """

    unit: str
    key: Formula
    working: Callable[[Any, Any], str]
    also: tuple[Formula, ...] = ()
    units: Mapping[str, float] = field(default_factory=dict)
    figures: int = 3
    relative: float = 0.005
    absolute: float = 0.0

    @property
    def accepted_units(self) -> Mapping[str, float]:
        """The question's own unit and the others that may be typed, with their factors."""
        units = {self.unit: 1.0, **self.units}
        written_out = {word: units[unit] for unit in units for word in WRITTEN_OUT.get(unit, ())}
        return units | written_out


@dataclass(frozen=True, kw_only=True)
class Choice(Question):
    """A question for one word of a short list."""

    options: tuple[str, ...]
    key: Formula
    working: Callable[[Any, Any], str]


@dataclass(frozen=True, kw_only=True)
class Text(Question):
    """A question for a word or a short designation that has to be known, not chosen.

    ``key`` gives the right text. ``spellings`` holds, for a right or a wrong text, other ways to
    write the same. Letter case, spaces, hyphens and a leading “the” do not matter.
    """

    key: Formula
    working: Callable[[Any, Any], str]
    spellings: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Ordering(Question):
    """A question for the right order of a few statements, which bear the letters A, B, C and so on.

    ``statements`` stand in the order in which the worksheet lists them. ``key`` gives the right
    order as letters, such as "CABD".
    """

    statements: tuple[str, ...]
    key: Formula
    working: Callable[[Any, Any], str]

    @property
    def letters(self) -> str:
        """The letters of the statements in the order of the list."""
        return "ABCDEFGH"[: len(self.statements)]


Worded = Choice | Text | Ordering


@dataclass(frozen=True, kw_only=True)
class Function(Question):
    """A question for a function, judged on inputs that the apprentice has not seen.

    ``key`` is the right function of the same inputs, ``inputs`` draws one set of them.
    """

    unit: str
    key: Callable[..., Any]
    inputs: Callable[[Draw], tuple[float, ...]]
    working: str
    relative: float = 0.005
    trials: int = 6

    def draw_trials(self, card: JobCard, term_key: str) -> list[list[float]]:
        """Draw the inputs on which the function of the card's owner is tried."""
        draw = Draw(term_key, card.version, f"{card.worksheet}/{self.name}/trials", card.apprentice)
        return [list(self.inputs(draw)) for _ in range(self.trials)]


@dataclass(frozen=True, kw_only=True, eq=False)
class Worksheet:
    """One worksheet: its job card and its questions, in order. It equals none but itself.

    ``features`` name what may differ in kind between two cards, such as which link limits; the
    class picture looks whether one of them is harder.
    """

    name: str
    version: str
    title: str
    lesson: str
    entries: tuple[Entry, ...]
    questions: tuple[Question, ...]
    possible: Callable[[Any], bool] = lambda card: True
    features: Mapping[str, Callable[[Any], str]] = field(default_factory=dict)

    @property
    def marks(self) -> int:
        """The marks of a perfect worksheet."""
        return sum(question.marks for question in self.questions)

    def question(self, name: str) -> Question:
        """Return the question ``name``; refuse a name that the worksheet does not have."""
        for question in self.questions:
            if question.name == name:
                return question
        listed = ", ".join(question.name for question in self.questions)
        raise ValueError(f"This worksheet has no question {name!r}. Its questions are: {listed}")

    def card(self, apprentice: str, term_key: str = PRACTICE_TERM_KEY) -> JobCard:
        """Draw the job card of one apprentice."""
        card = draw_card(
            worksheet=self.name,
            version=self.version,
            apprentice=apprentice,
            entries=self.entries,
            possible=self.possible,
            term_key=term_key,
        )
        trials = {
            question.name: question.draw_trials(card, term_key)
            for question in self.questions
            if isinstance(question, Function)
        }
        return replace(card, trials=trials)

    @lru_cache(maxsize=32)  # noqa: B019 - worksheets live as long as the program; judging asks again and again
    def keys(self, card: JobCard) -> SimpleNamespace:
        """Return the right answers for a card; each key may use the keys before it."""
        keys = SimpleNamespace()
        for question in self.questions:
            if not isinstance(question, Function):
                assert isinstance(question, Number | Worded)
                setattr(keys, question.name, question.key(card, keys))
        return keys


def counted(number: int, one: str) -> str:
    """Write how many there are of something.

    >>> counted(1, "worksheet"), counted(0, "worksheet")
    ('1 worksheet', '0 worksheets')
    """
    return f"{number} {one}" if number == 1 else f"{number} {one}s"


def in_marks(marks: int) -> str:
    """Write a number of marks for a person.

    >>> in_marks(1), in_marks(2)
    ('1 mark', '2 marks')
    """
    return counted(marks, "mark")


def show(value: float, figures: int = 4) -> str:
    r"""Write a number with so many significant figures and no exponent.

    A narrow space parts the thousands.

    >>> show(11.0851), show(0.0325), show(11085.1252) == "11\u202f090"
    ('11.09', '0.03250', True)
    """
    if value == 0:
        return "0"
    rounded = float(f"{value:.{figures - 1}e}")
    exponent = int(f"{rounded:e}".split("e")[1])
    return f"{rounded:,.{max(0, figures - 1 - exponent)}f}".replace(",", "\u202f")


def show_computed(text: str) -> str:
    """Write a number as Python wrote it, or with six figures where that has more than eight signs.

    What is not finite, or too large to be written out, stays as it is.

    >>> show_computed("18.02060872464108"), show_computed("16"), show_computed("1.2345678e+300")
    ('18.0206', '16', '1.2345678e+300')
    """
    if len(text) <= _SHORT or not isfinite(float(text)):
        return text
    shown = show(float(text), 6)
    return shown if len(shown) <= _LONGEST_SHOWN else text
