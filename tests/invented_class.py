"""An invented class that is judged without notebooks, on two small invented worksheets.

Every apprentice answers right, by the key, but for the slips given: a question by the name of a
known error, as "blank", or as "wrong" by no known error.
"""

import hashlib
from collections.abc import Mapping
from typing import Any

from acpower.marking.judge import judge_worksheet
from acpower.marking.register import Register
from acpower.marking.result import ClassResult, Result
from acpower.marking.take_in import Submission
from acpower.worksheets.answers import Answer
from acpower.worksheets.cards import Entry
from acpower.worksheets.scheme import COMMON_PRACTICE, Choice, KnownError, Number, Question, Worksheet

Slips = Mapping[str, str] | None  # None: nothing was handed in
HINTS = ("Look at the arrow.", "Less comes out than goes in.", "Write the relation first.")


def _number(name: str, title: str, marks: int, key: Any, *errors: KnownError) -> Number:
    return Number(
        name=name, title=title, marks=marks, unit="kW", level=1, outcome="an invented outcome", hints=HINTS,
        sources=(COMMON_PRACTICE,), key=key, working=lambda card, earlier: "as on the card", known_errors=errors,
    )  # fmt: skip


def _error(name: str, says: str, formula: Any, misconception: str = "") -> KnownError:
    return KnownError(
        name=name, says=says, hint=f"About {name}.", formula=formula, misconception=misconception
    )


YARD = Worksheet(
    name="invented-yard",
    version="1",
    title="An invented yard",
    lesson="no-lesson",
    entries=(
        Entry("power", "Power at the socket", "kW", (3.1, 4.7, 6.3)),
        Entry("efficiency", "Efficiency", "", (0.8, 0.86)),
        Entry("phases", "Phases", "", ("one", "three")),
    ),
    questions=(
        _number(
            "battery_power_kw", "Power at the battery", 2,
            lambda card, earlier: card.power * card.efficiency,
            _error("divided", "it was divided by the efficiency",
                   lambda card, earlier: card.power / card.efficiency, "efficiency-divided"),
            _error("in-watts", "the value is in watts",
                   lambda card, earlier: 1000 * card.power * card.efficiency, "factor-1000"),
        ),
        _number(
            "grid_power_kw", "Power from the grid for 5 kW", 1,
            lambda card, earlier: 5 / card.efficiency,
            _error("multiplied", "it was multiplied by the efficiency",
                   lambda card, earlier: 5 * card.efficiency, "efficiency-multiplied"),
            _error("by-heart", "7 kW stands on the poster, not on the card", lambda card, earlier: 7),
        ),
        Choice(
            name="word", title="Phases of the yard", marks=1, level=1, outcome="an invented outcome",
            hints=HINTS, sources=(COMMON_PRACTICE,), options=("one", "three", "two"),
            key=lambda card, earlier: card.phases, working=lambda card, earlier: "as on the card",
            known_errors=(_error("two", "there is no such supply here", lambda card, earlier: "two"),),
        ),
    ),
    features={"phases": lambda card: card.phases},
)  # fmt: skip

SHED = Worksheet(
    name="invented-shed",
    version="3",
    title="An invented shed",
    lesson="no-lesson",
    entries=(Entry("power", "Power at the socket", "kW", (2.3, 3.7)),),
    questions=(
        _number(
            "heat_kw", "Power that reaches the shed", 1,
            lambda card, earlier: card.power * 0.9,
            _error("divided-here", "it was divided here",
                   lambda card, earlier: card.power / 0.9, "efficiency-divided"),
        ),
        _number(
            "more_kw", "Power one step further", 1,
            lambda card, earlier: card.power * 0.7,
            _error("divided-again", "it was divided again",
                   lambda card, earlier: card.power / 0.7, "efficiency-divided"),
        ),
    ),
)  # fmt: skip


def invented_class(*work: tuple[Worksheet, Mapping[str, Slips]]) -> ClassResult:
    """Judge a class: pairs of a worksheet and, for each apprentice, the slips."""
    results, ids = [], {}
    for worksheet, apprentices in work:
        for apprentice, slips in apprentices.items():
            ids[apprentice] = None
            results.append(_result(worksheet, apprentice, slips))
    return ClassResult(Register(tuple(ids), {}, ()), tuple(results), ())


def _result(worksheet: Worksheet, apprentice: str, slips: Slips) -> Result:
    if slips is None:
        submission = Submission("", "missing", apprentice, worksheet, code="not-handed-in", says="Nothing.")
        return Result(submission, notes=[("not-handed-in", "Nothing was handed in.")])
    card = worksheet.card(apprentice)
    keys = worksheet.keys(card)
    answers = {
        question.name: _answer(question, slips.get(question.name, ""), card, keys)
        for question in worksheet.questions
    }
    sha256 = hashlib.sha256(repr((apprentice, worksheet.name, worksheet.version, slips)).encode()).hexdigest()
    submission = Submission(f"{apprentice}.ipynb", "accepted", apprentice, worksheet, sha256=sha256)
    return Result(submission, judge_worksheet(worksheet, card, answers))


def _answer(question: Question, slip: str, card: Any, keys: Any) -> Answer:
    if slip == "blank":
        return Answer("blank")
    if slip == "wrong":
        value = 0.123 if isinstance(question, Number) else "three" if card.phases == "one" else "one"
    elif slip:
        (error,) = (error for error in question.known_errors if error.name == slip)
        value = error.formula(card, keys)
    else:
        value = question.key(card, keys)  # type: ignore[attr-defined]
    return Answer("number", repr(float(value))) if isinstance(question, Number) else Answer("text", value)
