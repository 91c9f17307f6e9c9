"""Judge one answer: right, carried forward, a known error, not yet, blank or refused.

The same rules serve the apprentice who practises and the instructor who marks. Numbers are
compared as decimals, so an answer on the very edge of the tolerance is inside it.
"""

import math
from collections.abc import Mapping, Sequence
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

from acpower.worksheets.answers import Answer, NotReadable, Reading, read_number
from acpower.worksheets.cards import JobCard
from acpower.worksheets.scheme import Function, KnownError, Number, Question, Worded, Worksheet
from acpower.worksheets.verdict import Verdict, wrong
from acpower.worksheets.worded import judge_worded, read_worded

# A value fits a known error within 0.1 % of the error's own value, or half of the last place given
# where that place is fine enough (1 %) to tell one error from another.
CLOSEST_FIT = Decimal("0.001")
COARSEST_FIT = Decimal("0.01")
# Two figures are within 5 % of the value; one figure says too little about it.
COARSEST_ROUNDING = Decimal("0.05")
# The most common error with a function has nothing to do with the formula in it.
INPUTS_NOT_USED = KnownError(
    name="inputs-not-used",
    says="the function gives the same result whatever goes in",
    hint="Use the names in the brackets of your function in the formula, not numbers from your card.",
    formula=lambda *inputs: None,
)
# A figure from a calculator may differ from the key in its last bit; that is not an error.
_LAST_BIT = Decimal("1e-12")


def judge(
    worksheet: Worksheet, question: Question, answer: Answer, card: JobCard, earlier: Mapping[str, Answer]
) -> Verdict:
    """Judge an answer against the mark scheme.

    Parameters
    ----------
    worksheet, question, card
        The mark scheme and the apprentice's own numbers.
    answer
        What was recorded.
    earlier
        The apprentice's answers to other questions, for follow-through.

    Returns
    -------
    Verdict
        With the marks earned and a line that names the known error, never the right answer.
    """
    if answer.kind == "blank":
        return Verdict("blank", 0, "Nothing is recorded here yet.", code="answer-missing")
    if answer.kind == "refused":
        return Verdict("refused", 0, answer.text, code=answer.code)
    if isinstance(question, Function):
        return _judge_function(question, answer, card)
    if answer.kind == "function":
        return Verdict(
            "refused",
            0,
            "A function was recorded, but the question asks for a value. Call the function first.",
            code="answer-not-a-number",
        )
    keys = worksheet.keys(card)
    if isinstance(question, Worded):
        return judge_worded(question, answer, card, keys)
    assert isinstance(question, Number)
    try:
        reading = read_number(answer, question.accepted_units)
    except NotReadable as problem:
        return Verdict("refused", 0, str(problem), code=problem.code)
    return _judge_number(question, reading, card, keys, _OwnAnswers(worksheet, earlier, card, keys))


class _OwnAnswers:
    """The apprentice's own earlier answers as attributes, for the formulas of later questions.

    ``all_right`` tells whether every answer that was used so far was right. An answer that is
    missing, or that no later step can rest on, is no attribute.
    """

    def __init__(
        self, worksheet: Worksheet, earlier: Mapping[str, Answer], card: JobCard, keys: SimpleNamespace
    ) -> None:
        self._worksheet, self._earlier, self._card, self._keys = worksheet, earlier, card, keys
        self.all_right = True

    def __getattr__(self, name: str) -> Any:
        question, answer = self._worksheet.question(name), self._earlier.get(name, Answer("blank"))
        if isinstance(question, Worded):
            given = read_worded(question, answer)
            if given is None:
                raise AttributeError(name)
            self.all_right &= given == getattr(self._keys, name)
            return given
        assert isinstance(question, Number)
        try:
            reading = read_number(answer, question.accepted_units)
        except NotReadable:
            raise AttributeError(name) from None
        # A step that divides by nothing, or runs backwards, has lost its difficulty.
        if reading.value <= 0:
            raise AttributeError(name)
        self.all_right &= any(
            accepts(question, reading, value) for value in _right_values(question, self._card, self._keys)
        )
        return float(reading.value)


def _judge_number(
    question: Number, reading: Reading, card: JobCard, keys: SimpleNamespace, own: _OwnAnswers
) -> Verdict:
    right = Verdict("right", question.marks, "Right.")
    expected = _right_values(question, card, keys)
    if any(accepts(question, reading, value) for value in expected):
        return right
    followed = []
    for way in (question.key, *question.also) if question.needs else ():
        own.all_right = True
        value = _value(way, card, own)
        # A result that no installation could have, such as a negative loss, carries nothing forward.
        if value is None or value * expected[0] <= 0:
            continue
        followed.append(value)
        if accepts(question, reading, value):
            return (
                right
                if own.all_right
                else Verdict(
                    "carried forward",
                    question.marks,
                    "Right from your own earlier value. That earlier value still needs a look.",
                    followed=value,
                )
            )
    if any(_rounded_too_far(question, reading, value) for value in expected + followed):
        return Verdict(
            "too few figures",
            question.marks - 1,
            f"Not yet: this is the right value, but rounded too far. Give at least {question.figures} figures.",
        )
    return wrong(question, _fitting(question, reading, card, (keys, own) if question.needs else (keys,)))


def _fitting(question: Number, reading: Reading, card: JobCard, earlier: Sequence[Any]) -> list[KnownError]:
    """Return the known errors that a reading fits, by the card's keys or by the own earlier values.

    A reading that is too coarse to tell one error from another names none: at least one must be
    close to it. If one is, all within half of its last place are as good an explanation.
    """
    values = {
        error.name: [value for own in earlier if (value := _value(error.formula, card, own)) is not None]
        for error in question.known_errors
    }
    close = {name for name, found in values.items() if any(fits(reading, value) for value in found)}
    if not close:
        return []
    rounded = {name for name, found in values.items() if any(_rounds_to(reading, value) for value in found)}
    return [error for error in question.known_errors if error.name in close | rounded]


def accepts(question: Number, reading: Reading, key: float) -> bool:
    """Tell whether a reading is the key within the question's tolerance.

    The tolerance is relative to the key, never to the answer. A reading that is the key rounded
    to at least the required figures is right as well, halves rounded either way.
    """
    exact = _exact(key)
    difference = abs(reading.value - exact)
    tolerance = max(_exact(question.relative) * abs(exact), _exact(question.absolute))
    if reading.figures >= question.figures:
        tolerance = max(tolerance, reading.last_place / 2)
    return difference <= tolerance + _LAST_BIT * abs(exact)


def _rounded_too_far(question: Number, reading: Reading, value: float) -> bool:
    """Tell whether a reading is the value with too few figures, though with enough to know it by."""
    exact = _exact(value)
    half_place = reading.last_place / 2
    return (
        reading.figures < question.figures
        and half_place <= COARSEST_ROUNDING * abs(exact)
        and abs(reading.value - exact) <= half_place
    )


def _rounds_to(reading: Reading, value: float) -> bool:
    return abs(reading.value - _exact(value)) <= reading.last_place / 2


def fits(reading: Reading, value: float) -> bool:
    """Tell whether a reading is the value that a known error produces."""
    exact = _exact(value)
    rounding = min(reading.last_place / 2, COARSEST_FIT * abs(exact))
    return abs(reading.value - exact) <= max(CLOSEST_FIT * abs(exact), rounding)


def _right_values(question: Number, card: JobCard, keys: SimpleNamespace) -> list[float]:
    """Return what each right way gives."""
    ways = (question.key, *question.also)
    return [value for way in ways if (value := _value(way, card, keys)) is not None]


def _exact(value: float) -> Decimal:
    """Return a float as the decimal that Python writes for it."""
    return Decimal(repr(float(value)))


def _value(formula: Any, card: JobCard, earlier: Any) -> float | None:
    """Return the formula's value; None where the apprentice's own numbers leave it none."""
    try:
        value = float(formula(card, earlier))
    except (AttributeError, ArithmeticError, ValueError, TypeError):
        # An earlier value was not recorded (AttributeError), or a root of a negative one is complex (TypeError).
        return None
    return value if math.isfinite(value) else None


def _judge_function(question: Function, answer: Answer, card: JobCard) -> Verdict:
    if answer.kind != "function":
        return Verdict(
            "refused",
            0,
            "A value was recorded, but the question asks for a function. Record its name without brackets.",
            code="answer-not-a-function",
        )
    inputs = card.trials[question.name]
    results = answer.trials[: len(inputs)]
    if len(results) < len(inputs):
        return Verdict("refused", 0, "The function was not tried on every input.", code="answer-missing")
    if all(result.kind == "blank" for result in results):
        return Verdict("blank", 0, "The function returns nothing yet.", code="answer-missing")
    readings: list[Reading] = []
    for given, result in zip(inputs, results, strict=True):
        at = ", ".join(show_input(number) for number in given)
        if result.kind != "number":
            says = {
                "blank": "it gave nothing",
                "text": f"it gave “{result.text}”, which is text. Return a number",
            }.get(result.kind, result.text.removesuffix("."))
            return Verdict(
                "refused",
                0,
                f"For the inputs ({at}) the function gave no number: {says}.",
                code=result.code or "answer-not-a-number",
            )
        try:
            readings.append(read_number(result, {question.unit: 1.0}))
        except NotReadable as problem:
            return Verdict("refused", 0, f"For the inputs ({at}): {problem}", code=problem.code)

    def agrees(function: Any) -> bool:
        tolerance = _exact(question.relative)
        return all(
            abs(reading.value - (key := _exact(function(*given)))) <= tolerance * abs(key)
            for given, reading in zip(inputs, readings, strict=True)
        )

    values = {reading.value for reading in readings}
    if len(values) == 1 and len({question.key(*given) for given in inputs}) > 1:
        return wrong(question, [INPUTS_NOT_USED])
    if agrees(question.key):
        return Verdict("right", question.marks, f"Right on {len(inputs)} inputs that you had not seen.")
    return wrong(question, [error for error in question.known_errors if agrees(error.formula)])


def show_input(number: float) -> str:
    """Write an input of a function the way a person would type it."""
    return f"{number:g}"
