"""The controls of a panel as plain data, and the reading of what was typed into them."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from acpower._checks import refusal

_NUMBER = re.compile(r"[+-]?(\d+[.,]?\d*|[.,]\d+)([eE][+-]?\d{1,3})?")
_TWO_WAYS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")  # a decimal comma, or one between thousands


@dataclass(frozen=True)
class Knob:
    """A number with a field to type in and a slider beside it.

    A typed value may lie between the steps of the slider. A decimal comma is read as a decimal
    point, and a unit may follow. Nothing that was typed is changed silently.

    Attributes
    ----------
    label, unit
        What the number is, and its unit; empty if it has none.
    value
        Where it stands at first.
    low, high, step
        Ends and steps of the slider; nothing outside the ends is read.

    Examples
    --------
    >>> current = Knob("Current", "A", value=16, low=6, high=63, step=1)
    >>> current.read("13,5 A")
    13.5
    >>> current.read("900")
    Traceback (most recent call last):
        ...
    ValueError: Current: 900 A was given; allowed is 6 to 63 A. Check the number and its unit.
    """

    label: str
    unit: str
    value: float
    low: float
    high: float
    step: float

    @property
    def start(self) -> str:
        """The value at first, as it stands in the field."""
        return self.write(self.value)

    def read(self, typed: str) -> float:
        """Return the number; refuse what is none, can be read in two ways or lies outside the ends."""
        text = typed.strip().replace("−", "-").removesuffix(self.unit).strip()
        allowed = self.say(f"{self.low:g} to {self.high:g}")
        if not _NUMBER.fullmatch(text):
            given = f"“{text}”" if text else "nothing"
            raise refusal(self.label, given, allowed, "that one number stands there")
        if _TWO_WAYS.fullmatch(text):
            ways = f"{text.replace(',', '')} or {text.replace(',', '.')}"
            raise refusal(self.label, text, allowed, f"the comma: write {ways}")
        number = float(text.replace(",", "."))
        if not self.low <= number <= self.high:
            raise refusal(self.label, self.say(text), allowed, "the number and its unit")
        return number

    def write(self, number: float) -> str:
        """Return the number as it stands in the field."""
        return f"{number:.10g}"

    def say(self, text: str) -> str:
        """Return a number in words: with its unit."""
        return f"{text} {self.unit}".strip()

    def plan(self) -> dict[str, Any]:
        """Return what the page needs to build the control."""
        label = f"{self.label} ({self.unit})" if self.unit else self.label
        return {"label": label, "low": self.low, "high": self.high, "step": self.step}


@dataclass(frozen=True)
class Choice:
    """One of a list; the first entry is chosen.

    Attributes
    ----------
    label
        What is chosen.
    options
        Each entry with the value that it stands for.

    Examples
    --------
    >>> phases = Choice("Vehicle uses", {"three phases": 3, "one phase": 1})
    >>> phases.read("one phase"), phases.write(3)
    (1, 'three phases')
    """

    label: str
    options: Mapping[str, Any]

    @property
    def start(self) -> str:
        """The entry chosen at first."""
        return next(iter(self.options))

    def read(self, typed: str) -> Any:
        """Return the value of an entry."""
        if typed not in self.options:
            raise self._refusal(typed)
        return self.options[typed]

    def write(self, value: Any) -> str:
        """Return the entry that stands for a value."""
        for entry, option in self.options.items():
            if option == value:
                return entry
        raise self._refusal(repr(value))

    def say(self, text: str) -> str:
        """Return an entry in words: it is one already."""
        return text

    def plan(self) -> dict[str, Any]:
        """Return what the page needs to build the control."""
        return {"label": self.label, "options": list(self.options)}

    def _refusal(self, given: str) -> ValueError:
        return refusal(self.label, given, f"one of {', '.join(self.options)}", "the spelling")


Control = Knob | Choice
