"""An invented cohort of 200 that fills every worksheet in, with slips planted and known.

``python tests/cohort.py`` writes the confusion table anew: for each known error how often it was planted, and
what the judge named. Everybody and every slip here is made up; the draw is the package's own, with a key of
its own, so the cohort is the same on every machine.
"""

import csv
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from acpower.marking.judge import MarkedWorksheet, judge_worksheet
from acpower.worksheets.answers import Answer, answer_from_value
from acpower.worksheets.cards import Draw, JobCard
from acpower.worksheets.scheme import Function, KnownError, Number, Question, Worksheet
from acpower.worksheets.schemes import WORKSHEETS
from acpower.worksheets.verdict import Verdict

APPRENTICES = tuple(f"C{number:03d}" for number in range(1, 201))
TABLE = Path(__file__).parent / "confusion_table.csv"
COLUMNS = (
    "worksheet",
    "question",
    "known_error",
    "planted",
    "named_alone",
    "named_with_another",
    "cancelled",
    "not_named",
)
KEY = "an invented cohort"
# One in four has everything right; the others have one to four slips.
SLIPS = (0, 1, 2, 4)
# Full figures, or rounded as by hand: one figure more than the question asks for, four at least.
ROUNDED = (False, True)


@dataclass(frozen=True)
class Filled:
    """One worksheet of one apprentice: the answers, and the slips behind them by question."""

    worksheet: Worksheet
    card: JobCard
    answers: dict[str, Answer]
    planted: dict[str, KnownError]

    def judged(self) -> MarkedWorksheet:
        """Judge the worksheet as a class is judged."""
        return judge_worksheet(self.worksheet, self.card, self.answers)


def cohort(worksheet: Worksheet) -> Iterator[Filled]:
    """Fill a worksheet in for everybody."""
    for apprentice in APPRENTICES:
        yield fill_in(worksheet, apprentice)


def fill_in(worksheet: Worksheet, apprentice: str) -> Filled:
    """Answer one question after the other, each going on from the own answers before it."""
    draw = Draw(KEY, worksheet.version, worksheet.name, apprentice)
    card = worksheet.card(apprentice)
    slips, rounded = draw.choose(SLIPS), draw.choose(ROUNDED)
    slipped = {draw.choose(worksheet.questions).name for _ in range(slips)}
    own = SimpleNamespace()
    answers: dict[str, Answer] = {}
    planted: dict[str, KnownError] = {}
    for question in worksheet.questions:
        value = None
        if question.name in slipped and question.known_errors:
            error = draw.choose(question.known_errors)
            value = _slip(question, error, card, own)
            if value is not None:
                planted[question.name] = error
        if value is None:
            value = _right(question, card, own)
        if isinstance(question, Number) and rounded and value is not None:
            value = float(f"{value:.{max(3, question.figures)}e}")
        if value is not None:
            setattr(own, question.name, value)
        answers[question.name] = answer_from_value(value, card.trials.get(question.name, ()))
    return Filled(worksheet, card, answers, planted)


def _right(question: Question, card: JobCard, own: SimpleNamespace) -> Any:
    """Return the right step from the own answers before it; None where an earlier slip leaves it none."""
    if isinstance(question, Function):
        return question.key
    try:
        return question.key(card, own)
    except (ArithmeticError, AttributeError, TypeError, ValueError):
        return None


def _slip(question: Question, error: KnownError, card: JobCard, own: SimpleNamespace) -> Any:
    """Return what an error gives; None where it gives no answer of its own, or one that no next step can rest on."""
    if isinstance(question, Function):
        return error.formula
    try:
        value = error.formula(card, own)
    except (ArithmeticError, AttributeError, TypeError, ValueError):
        return None
    return value if not isinstance(question, Number) or (isfinite(value) and value > 0) else None


def _how(verdict: Verdict, error: KnownError) -> str:
    """Return the column of the table: a slip that cancels an earlier one gives the right value."""
    named = [found.name for found in verdict.known_errors]
    if error.name in named:
        return "named_with_another" if named[1:] else "named_alone"
    return "cancelled" if verdict.passed else "not_named"


def confusion_table() -> list[tuple[str, ...]]:
    """Return how often each known error was planted, and what was named."""
    rows = []
    for worksheet in WORKSHEETS.values():
        counts: Counter[tuple[str, str, str]] = Counter()
        for filled in cohort(worksheet):
            for one in filled.judged().questions:
                error = filled.planted.get(one.question.name)
                if error is not None:
                    how = _how(one.verdict, error)
                    counts[one.question.name, error.name, how] += 1
        for question in worksheet.questions:
            for error in question.known_errors:
                found = [counts[question.name, error.name, how] for how in COLUMNS[4:]]
                rows.append((worksheet.name, question.name, error.name, *map(str, [sum(found), *found])))
    return rows


if __name__ == "__main__":
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(COLUMNS)
        writer.writerows(confusion_table())
