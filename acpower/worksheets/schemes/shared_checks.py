"""What more than one mark scheme asks of a card before it hands it out."""

from itertools import pairwise
from math import isfinite
from types import SimpleNamespace
from typing import Any

from acpower.worksheets.scheme import Number, Worksheet

# Rounding to three figures moves a value by up to 0.5 %, and a key accepts another 0.5 %.
APART = 0.011
MET_BY_CHANCE = 0.005


def numbers_stand_apart(worksheet: Worksheet, card: Any, chosen: tuple[str, ...] = ()) -> bool:
    """Tell whether nothing wrong passes for an answer: no number of the card, and no known error.

    Nor may two known errors of a question pass for one another. ``chosen`` names the answers that
    are numbers of the card, because to choose the right one is the question.
    """
    keys = worksheet.keys(card)
    given = [value for value in card.values.values() if not isinstance(value, str)]
    for question in worksheet.questions:
        if isinstance(question, Number):
            key = getattr(keys, question.name)
            by_chance = any(abs(key - number) <= MET_BY_CHANCE * abs(key) for number in given)
            if (by_chance and question.name not in chosen) or not _errors_differ(question, card, keys):
                return False
    return True


def _errors_differ(question: Number, card: Any, keys: SimpleNamespace) -> bool:
    key = float(getattr(keys, question.name))
    wrong = [float(error.formula(card, keys)) for error in question.known_errors]
    values = sorted(value for value in (key, *wrong) if isfinite(value))
    # An error of two figures, such as 3.0, must not be what a key of 3.04 is when it is rounded too far.
    # From 100 on a whole number has three figures.
    too_far = float(f"{key:.1e}")
    return not (abs(too_far) < 100 and too_far in wrong) and all(
        high - low > APART * max(abs(low), abs(high)) for low, high in pairwise(values)
    )
