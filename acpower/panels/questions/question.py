"""What a quick question is, and how its answers are written."""

from collections.abc import Mapping
from dataclasses import dataclass

from acpower._checks import Numbers


@dataclass(frozen=True)
class Question:
    """A question with its answers.

    Attributes
    ----------
    asked
        The question.
    answers
        Each answer with the reaction to it: why it holds, or what was probably mixed up.
    right
        The right one of the answers.
    outcome
        The outcome of the lesson that it practises, word for word.
    """

    asked: str
    answers: Mapping[str, str]
    right: str
    outcome: str = ""


def volts(volts: Numbers) -> str:
    """Return a voltage as an answer writes it."""
    return f"{float(volts):.1f} V".replace("-", "−")


def amperes(amperes: Numbers) -> str:
    """Return a current as an answer writes it."""
    return f"{float(amperes):.3g} A"
