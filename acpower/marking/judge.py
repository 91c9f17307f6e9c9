"""Judge what a worksheet handed out, question by question, in the marker's own process."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from acpower.worksheets.answers import Answer, NotReadable, read_number
from acpower.worksheets.cards import JobCard
from acpower.worksheets.scheme import Function, Number, Question, Worded, Worksheet, show, show_computed
from acpower.worksheets.verdict import Verdict
from acpower.worksheets.verdicts import judge


@dataclass(frozen=True)
class Change:
    """A mark changed by hand: when (ISO 8601, UTC), by whom, whose, from what to what, and why."""

    when: str
    who: str
    id: str
    worksheet: str
    question: str
    old: int
    new: int
    why: str


@dataclass(frozen=True)
class Marked:
    """One question of one apprentice: what was recorded, what was expected, and the decision."""

    question: Question
    answer: Answer
    verdict: Verdict
    expected: str
    working: str
    change: Change | None = None
    """The latest change by hand; the verdict stays on record beside it."""

    @property
    def marks(self) -> int:
        """The marks that count: those of the verdict, or those that were given by hand."""
        return self.verdict.marks if self.change is None else self.change.new

    @property
    def weak(self) -> bool:
        """Whether something is left to practise here; marks given by hand decide over the verdict."""
        return not self.verdict.passed if self.change is None else self.marks < self.question.marks

    @property
    def verdict_told(self) -> bool:
        """Whether a report still tells the verdict: a mark by hand may say otherwise, or have settled the answer."""
        return self.change is None or (
            self.weak and not self.verdict.passed and self.verdict.code != "answer-ambiguous"
        )

    @property
    def followed(self) -> str:
        """What was expected from the apprentice's own earlier values, if those carried forward."""
        value = self.verdict.followed
        return (
            in_unit(value, self.question) if value is not None and isinstance(self.question, Number) else ""
        )


@dataclass(frozen=True)
class MarkedWorksheet:
    """All questions of one worksheet, with the sum."""

    card: JobCard
    questions: tuple[Marked, ...]

    @property
    def marks(self) -> int:
        """The marks earned."""
        return sum(one.marks for one in self.questions)


def judge_worksheet(worksheet: Worksheet, card: JobCard, answers: Mapping[str, Answer]) -> MarkedWorksheet:
    """Judge every question of a worksheet against the apprentice's own job card.

    The card comes from the id in the register, whatever the notebook says it was opened for.
    ``answers`` holds the answer that stands for each question.
    """
    keys = worksheet.keys(card)
    marked = []
    for question in worksheet.questions:
        answer = answers.get(question.name, Answer("blank"))
        verdict = judge(worksheet, question, answer, card, answers)
        expected, working = expected_and_working(question, card, keys)
        marked.append(Marked(question, answer, verdict, expected, working))
    return MarkedWorksheet(card, tuple(marked))


def standing_answer(recorded: Sequence[Answer]) -> Answer:
    """Return the answer that stands on the job card in the end: the last one that is not blank."""
    return next((answer for answer in reversed(recorded) if answer.kind != "blank"), recorded[-1])


def expected_and_working(question: Question, card: JobCard, earlier: Any) -> tuple[str, str]:
    """Return the right answer in words and the steps to it, from a card and the answers before it."""
    if isinstance(question, Function):
        return f"a function that returns {question.unit}", question.working
    assert isinstance(question, Number | Worded)
    key = question.key(card, earlier)
    words = in_unit(key, question) if isinstance(question, Number) else str(key)
    return words, question.working(card, earlier)


def in_unit(value: float, question: Number) -> str:
    """Write a value with one figure more than the question requires, and its unit."""
    return f"{show(value, question.figures + 1)} {question.unit}".strip()


def recorded_words(question: Question, answer: Answer) -> str:
    """Write an answer for a person: a computed number with six figures, all else as it was typed."""
    if answer.kind == "number" and isinstance(question, Number):
        try:
            read_number(answer, question.accepted_units)
        except NotReadable:
            return answer.text
        return f"{show_computed(answer.text)} {question.unit}"
    if answer.kind == "function":
        blank = all(trial.kind == "blank" for trial in answer.trials)
        return "nothing" if blank else "a function"
    if answer.kind == "refused":
        return answer.was or "something that is no answer"
    return answer.text or "nothing"
