"""Check a worksheet before it is handed out: many job cards, every known error, the notebook.

Each check says in plain words what is wrong and what to do. The worksheets of the course have to
pass the same checks, on more cards.
"""

import json
import re
from collections.abc import Callable, Iterator
from math import isfinite
from pathlib import Path
from types import SimpleNamespace

from acpower.worksheets.answers import Answer, answer_from_value
from acpower.worksheets.cards import JobCard
from acpower.worksheets.scheme import (
    LEVELS,
    Choice,
    Function,
    KnownError,
    Number,
    Ordering,
    Question,
    Worded,
    Worksheet,
    in_marks,
)
from acpower.worksheets.verdict import Verdict
from acpower.worksheets.verdicts import judge

CARDS = 200
_TITLE = re.compile(r"^## (\d+)\. (.+) \((\d+) marks?\)$", re.MULTILINE)
_RECORDED = re.compile(r"^job\.record\(\"(\w+)\", (\w+)\)$", re.MULTILINE)
_PICTURE = re.compile(r"!\[|<img\b", re.IGNORECASE)


def problems(worksheet: Worksheet, notebook: Path, cards: int = CARDS) -> list[str]:
    """Return one sentence for each thing that is wrong with a worksheet; none if all is well.

    Parameters
    ----------
    worksheet
        The mark scheme.
    notebook
        The notebook that apprentices will fill in.
    cards
        How many job cards are drawn.

    Examples
    --------
    >>> from acpower.notebooks import folder
    >>> from acpower.worksheets.schemes import find_worksheet
    >>> problems(find_worksheet("read-ac"), folder("exercises") / "read-ac.ipynb", cards=3)
    []
    """
    found = [*_kinds(worksheet)]
    if found:  # what is not of its kind cannot be looked at any further
        return found
    found = [*_form(worksheet), *_notebook(worksheet, notebook)]
    try:
        drawn = [worksheet.card(f"card-{number}") for number in range(cards)]
    except Exception as problem:
        return [*found, f"No job card can be drawn: {problem}."]
    seen: set[tuple[str, str]] = set()
    for card in drawn:
        for about, kind, says in _on_card(worksheet, card):
            if (about, kind) not in seen:  # the first card that shows it is enough
                seen.add((about, kind))
                found.append(f"{about}: {says} {_numbers(card)}")
    return found


def _numbers(card: JobCard) -> str:
    listed = ", ".join(f"{name} {value}" for name, value in card.values.items())
    return f"(Job card “{card.apprentice}”: {listed}.)"


# ---- The form of the scheme


def _kinds(worksheet: Worksheet) -> Iterator[str]:
    """Say what is a text where a number belongs, or the other way round."""
    for field in ("version", "title", "lesson"):
        if not isinstance(getattr(worksheet, field), str):
            yield f"The worksheet's {field} must be a text in quotation marks."
    for entry in worksheet.entries:
        if not (isinstance(entry.values, tuple) and entry.values):
            yield f"The entry {entry.name} needs a list of values in brackets, with a comma: (12, 24)."
    for question in worksheet.questions:
        about = f"Question {question.name}:"
        for field in ("marks", "level"):
            if not isinstance(getattr(question, field), int):
                yield f"{about} its {field} must be a whole number, without quotation marks."
        for field in ("hints", "sources", "needs", "known_errors"):
            if not isinstance(getattr(question, field), tuple):
                yield f"{about} its {field} must be a list in brackets; a single one has a comma after it."
        if isinstance(question, Number) and not all(
            isinstance(worth, int | float) for worth in question.units.values()
        ):
            yield f"{about} each of its units needs a number: what one of it is worth in {question.unit}."


def _form(worksheet: Worksheet) -> Iterator[str]:
    names = [question.name for question in worksheet.questions]
    if not names:
        yield "The worksheet has no questions."
    for name in sorted({name for name in names if names.count(name) > 1}):
        yield f"Question {name}: two questions have this name."
    if not re.fullmatch(r"[a-z][a-z0-9-]*", worksheet.name):
        yield f"The name “{worksheet.name}” will not do. Use small letters, digits and hyphens."
    before: set[str] = set()
    for question in worksheet.questions:
        for says in _form_of(question, before):
            yield f"Question {question.name}: {says}"
        before.add(question.name)


def _form_of(question: Question, before: set[str]) -> Iterator[str]:
    if not question.name.isidentifier():
        yield "its name must be one word of letters, digits and underscores."
    if question.marks < 1:
        yield "it needs at least 1 mark."
    if question.level not in LEVELS:
        yield "its level must be 1 (formula given), 2 (choose the formula) or 3 (chain of steps)."
    if len(set(question.hints)) != 3 or not all(question.hints):
        yield "it needs three different hints."
    if not question.sources:
        yield "it names no source. Where nothing is published, write COMMON_PRACTICE."
    for name in set(question.needs) - before:
        yield f"it goes on from {name}, which is no question before it."
    errors = [error.name for error in question.known_errors]
    for name in sorted({name for name in errors if errors.count(name) > 1}):
        yield f"two known errors have the name {name}."
    for error in question.known_errors:
        if not 0 <= error.keeps < question.marks:
            yield f"the known error {error.name} keeps {error.keeps} of {question.marks} marks; at least one is lost."
    if isinstance(question, Ordering) and not 3 <= len(question.statements) <= 8:
        yield "an order needs three to eight statements."


# ---- What holds on each card: (question, kind of problem, sentence)

_Found = Iterator[tuple[str, str, str]]


def _on_card(worksheet: Worksheet, card: JobCard) -> _Found:
    keys = SimpleNamespace()
    for question in worksheet.questions:
        if isinstance(question, Number | Worded):
            try:
                setattr(keys, question.name, question.key(card, keys))
            except Exception as problem:
                yield (
                    f"Question {question.name}",
                    "key",
                    f"its key stops: {type(problem).__name__}: {problem}.",
                )
                return
    for question in worksheet.questions:
        about = f"Question {question.name}"
        try:
            for kind, says in _question_on_card(worksheet, question, card, keys):
                yield about, kind, says
        except Exception as problem:  # of the scheme; its file has more than one formula for a question
            yield about, "stops", f"{_which(problem)} stops: {type(problem).__name__}: {problem}."


def _which(problem: Exception) -> str:
    """Say which formula of the scheme has stopped, as far as its line tells."""
    trace, line = problem.__traceback__, 0
    while trace is not None:
        if not trace.tb_frame.f_code.co_filename.startswith(str(Path(__file__).parent)):
            line = trace.tb_lineno
        trace = trace.tb_next
    return f"what stands in line {line}" if line else "its working, or a formula of its known errors,"


def _question_on_card(
    worksheet: Worksheet, question: Question, card: JobCard, keys: SimpleNamespace
) -> Iterator[tuple[str, str]]:
    if isinstance(question, Number):
        return _number_on_card(worksheet, question, card, keys)
    if isinstance(question, Function):
        return _function_on_card(worksheet, question, card)
    assert isinstance(question, Worded)
    return _words_on_card(worksheet, question, card, keys)


def _number_on_card(
    worksheet: Worksheet, question: Number, card: JobCard, keys: SimpleNamespace
) -> Iterator[tuple[str, str]]:
    key = float(getattr(keys, question.name))
    if not isfinite(key):
        yield "key", f"its key is {key}. Refuse such cards in `possible`."
        return
    named = SimpleNamespace(**{name: value for name, value in vars(keys).items() if name in question.needs})
    try:
        question.key(card, named)
    except AttributeError as problem:
        yield (
            "needs",
            f'its key goes on from {problem.name}. Write needs=("{problem.name}",), or an error there costs marks '
            "here as well.",
        )
    judged = _judge_with(worksheet, question, card)
    for text in (repr(key), f"{key:.{question.figures - 1}e}"):
        if judged(Answer("number", text)).outcome != "right":
            yield (
                "rounding",
                f"the right answer, written as {text}, is not counted as right. Widen the tolerance.",
            )
    last = re.findall(r"-?\d+(?:\u202f\d{3})*(?:\.\d+)?", question.working(card, keys))
    if not last or judged(Answer("number", last[-1].replace("\u202f", ""))).outcome != "right":
        yield "working", "the last number of its working is not the right answer."
    for error in question.known_errors:
        value = error.formula(card, keys)
        if isfinite(value):  # not a number: the error gives no value of its own on this card
            yield from _error_named(error, judged(Answer("number", repr(float(value)))), f"{value:.6g}")


def _words_on_card(
    worksheet: Worksheet, question: Worded, card: JobCard, keys: SimpleNamespace
) -> Iterator[tuple[str, str]]:
    judged = _judge_with(worksheet, question, card)
    right = getattr(keys, question.name)
    question.working(card, keys)  # the report writes it for every card
    if isinstance(question, Choice) and right not in question.options:
        yield "key", f"its key “{right}” is not one of the options."
    elif judged(Answer("text", right)).outcome != "right":
        yield "key", f"its key “{right}” is not counted as right. For an order, use each letter once."
    if isinstance(question, Ordering) and right == question.letters:
        yield "order", "the statements are listed in the right order already. List them in another one."
    for error in question.known_errors:
        value = error.formula(card, keys)
        if value is not None:
            yield from _error_named(error, judged(Answer("text", value)), f"“{value}”")


def _function_on_card(worksheet: Worksheet, question: Function, card: JobCard) -> Iterator[tuple[str, str]]:
    trials = card.trials[question.name]
    judged = _judge_with(worksheet, question, card)
    if judged(answer_from_value(question.key, trials)).outcome != "right":
        yield "key", f"its key is not counted as right on the inputs {trials}."
    for error in question.known_errors:
        verdict = judged(answer_from_value(error.formula, trials))
        yield from _error_named(error, verdict, f"what it gives on {trials[0]} and the other inputs")


def _error_named(error: KnownError, verdict: Verdict, value: str) -> Iterator[tuple[str, str]]:
    names = [one.name for one in verdict.known_errors]
    if verdict.passed:
        yield (
            f"right {error.name}",
            f"the known error {error.name} gives {value}, and that counts as right. Choose other values for the "
            "card, or a smaller tolerance.",
        )
    elif error.name not in names:
        yield (
            f"unnamed {error.name}",
            f"the known error {error.name} gives {value}, and is not named ({verdict.says})",
        )
    elif names != [error.name]:
        others = ", ".join(name for name in names if name != error.name)
        yield (
            f"shared {error.name}",
            f"the known errors {error.name} and {others} both give {value}. Choose other values for the card, or "
            "leave one of them out.",
        )


def _judge_with(worksheet: Worksheet, question: Question, card: JobCard) -> Callable[[Answer], Verdict]:
    return lambda answer: judge(worksheet, question, answer, card, {})


# ---- The notebook


def _notebook(worksheet: Worksheet, path: Path) -> Iterator[str]:
    try:
        notebook = json.loads(path.read_text(encoding="utf-8"))
        cells = {cell["id"]: "".join(cell["source"]) for cell in notebook["cells"]}
    except OSError as problem:
        yield f"The notebook {path} cannot be read ({problem.strerror}). It must have the worksheet's name."
        return
    except (ValueError, KeyError, TypeError):
        yield f"{path} is no notebook whose cells have ids. Save it anew with JupyterLab."
        return
    if "job-card" not in cells:
        yield f"{path.name}: no cell has the id job-card. That cell opens the job card."
    elif f'job_card("{worksheet.name}", version="{worksheet.version}"' not in cells["job-card"]:
        yield (
            f"{path.name}: the cell job-card does not open this worksheet. Write: "
            f'job = job_card("{worksheet.name}", version="{worksheet.version}", apprentice="practice").'
        )
    for name, source in cells.items():
        if _PICTURE.search(source):
            yield (
                f"{path.name}: the cell {name} shows a picture. On paper and in reports it is missing, and a picture "
                "file does not go out with the worksheet: describe it in words instead."
            )
    text = "\n".join(cells.values())
    titles = {title: (int(number), int(marks)) for number, title, marks in _TITLE.findall(text)}
    recorded = {name for name, _ in _RECORDED.findall(text)}
    for number, question in enumerate(worksheet.questions, start=1):
        if titles.get(question.title) != (number, question.marks):
            yield f"{path.name}: no heading “## {number}. {question.title} ({in_marks(question.marks)})”."
        stem = question.name.replace("_", "-")
        for cell in (f"{stem}-question", f"{stem}-answer"):
            if cell not in cells:
                yield f"{path.name}: no cell has the id {cell}."
        if question.name not in recorded:
            yield f'{path.name}: no line job.record("{question.name}", {question.name}).'
        if isinstance(question, Ordering):
            for letter, statement in zip(question.letters, question.statements, strict=True):
                if f"- **{letter}** {statement}" not in text:
                    yield f"{path.name}: question {question.name} lacks the line “- **{letter}** {statement}”."
