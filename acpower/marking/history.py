"""History over classes: what marking records say together about the questions of a worksheet.

A single class is too small to say how hard a question is; several together may do. The history
takes the decisions as they are on record, changes by hand included, and judges nothing anew, so it
reads records of older versions of a worksheet as well. It holds counts only: no id, no name.
"""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import jinja2

from acpower.marking.changes import CHANGES, read_changes
from acpower.marking.item_statistics import MISSING_RULE, Statistic, facility, warning
from acpower.marking.judge import Change
from acpower.marking.places import check_place
from acpower.marking.record import load_record, marked_on
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.misconceptions import MISCONCEPTIONS
from acpower.worksheets.scheme import KnownError, Question
from acpower.worksheets.schemes import WORKSHEETS
from acpower.worksheets.verdicts import INPUTS_NOT_USED

HISTORY = "history.html"
MOST_ERRORS = 10


@dataclass(frozen=True)
class Decision:
    """One answer on record: whose, to what, the marks that count, and the known errors it fits."""

    apprentice: str
    worksheet: str
    version: str
    question: str
    share: float
    known_errors: tuple[str, ...]

    @property
    def edition(self) -> tuple[str, str]:
        """The worksheet and its version: other versions may ask other questions."""
        return self.worksheet, self.version


@dataclass(frozen=True)
class RecordedClass:
    """One marking record: where it is, when it was made, its decisions and the hashes of its worksheets."""

    file: str
    marked_on: date
    acpower: str
    registered: int
    decisions: tuple[Decision, ...]
    worksheets: frozenset[str]

    def same_class_as(self, other: "RecordedClass") -> bool:
        """Whether most of the worksheets are the very same files: the class was marked again."""
        shared = len(self.worksheets & other.worksheets)
        return 2 * shared > min(len(self.worksheets), len(other.worksheets))


@dataclass(frozen=True)
class Count:
    """How many apprentices of how many; ``out_of`` is 0 where a class did not have the worksheet."""

    number: int
    out_of: int

    def __str__(self) -> str:
        """Write it for a person."""
        return f"{self.number}\u00a0of\u00a0{self.out_of}" if self.out_of else "–"


@dataclass(frozen=True)
class Line:
    """One line of a table: what it is about, a cell for each class, and all classes together."""

    what: str
    classes: tuple[Count | Statistic | str, ...]
    together: Count | Statistic
    misconception: str = ""


@dataclass(frozen=True)
class Edition:
    """One version of a worksheet over the classes."""

    title: str
    version: str
    marked: int
    warning: str
    questions: tuple[Line, ...]
    errors: tuple[Line, ...]


def write_history(records: Sequence[Path], to: Path, templates: jinja2.Environment) -> Path:
    """Write the history of several classes as one page and return its path.

    Parameters
    ----------
    records
        Files ``marking-record.json``, one for each class. A file of changes by hand that lies beside
        a record is read with it.
    to
        A file that ends in ``.html``, or a folder in which ``history.html`` is written.

    Raises
    ------
    UserMistake
        A record cannot be read or is given twice, or the page is there already.
    """
    path = to if to.suffix.lower() == ".html" else to / HISTORY
    if path.exists():
        raise UserMistake(f"{path} is there already and is not overwritten. Choose another name.")
    check_place(path.parent)
    page = history_page(read_classes(records), templates)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(page, encoding="utf-8", newline="\n")
    return path


def read_classes(records: Sequence[Path]) -> list[RecordedClass]:
    """Read marking records, the oldest first."""
    seen: dict[str, Path] = {}
    classes: list[RecordedClass] = []
    for path in records:
        read = _read_class(path)
        content = hashlib.sha256(path.read_bytes()).hexdigest()
        if content in seen:
            raise UserMistake(
                f"{path} holds the same record as {seen[content]}. Give each class once, or it counts twice."
            )
        seen[content] = path
        for other in classes:
            if read.same_class_as(other):
                raise UserMistake(
                    f"{path} holds the same worksheets as {other.file}, marked again. Give each class once, or it "
                    "counts twice."
                )
        classes.append(read)
    return sorted(classes, key=lambda one: (one.marked_on, one.file))


def _read_class(path: Path) -> RecordedClass:
    record = load_record(path)
    beside = path.parent / CHANGES
    try:
        changes = (
            read_changes(beside)
            if beside.exists()
            else [Change(**change) for change in record["changes_by_hand"]]
        )
        return RecordedClass(
            str(path),
            marked_on(record),
            record["versions"]["acpower"],
            len(record["register"]),
            tuple(_decisions(record, changes)),
            frozenset(one["sha256"] for one in record["worksheets"] if one["sha256"]),
        )
    except (KeyError, TypeError, ValueError, AttributeError, ZeroDivisionError):
        raise UserMistake(f"{path} is a damaged marking record. Take it from the backup.") from None


def _decisions(record: dict[str, Any], changes: Iterable[Change]) -> Iterable[Decision]:
    latest = {(one.id, one.worksheet, one.question): one.new for one in changes}
    for worksheet in record["worksheets"]:
        for one in worksheet.get("questions", ()):
            whose = worksheet["id"], worksheet["worksheet"], one["question"]
            marks, out_of = latest.get(whose, one["marks"]), one["out_of"]
            if not 0 <= marks <= out_of:
                raise ValueError(f"{marks} of {out_of} marks")
            yield Decision(
                worksheet["id"],
                worksheet["worksheet"],
                worksheet["version"],
                one["question"],
                marks / out_of,
                tuple(one["known_errors"]),
            )


def history_page(classes: Sequence[RecordedClass], templates: jinja2.Environment) -> str:
    """Return the history as one page without active content."""
    every = {decision.edition: None for one in classes for decision in one.decisions}
    return templates.get_template("history.html").render(
        classes=classes,
        editions=[_edition(classes, *edition) for edition in sorted(every)],
        misconceptions=misconception_lines(classes),
        most_errors=MOST_ERRORS,
        missing_rule=MISSING_RULE,
    )


def _edition(classes: Sequence[RecordedClass], worksheet: str, version: str) -> Edition:
    """Return what the classes say about one version of a worksheet."""
    of_it = [[one for one in each.decisions if one.edition == (worksheet, version)] for each in classes]
    marked = sum(len({one.apprentice for one in decisions}) for decisions in of_it)
    scheme = WORKSHEETS.get(worksheet)
    return Edition(
        scheme.title if scheme else worksheet,
        version,
        marked,
        warning(marked),
        question_lines(of_it),
        error_lines(of_it)[:MOST_ERRORS],
    )


def question_lines(of_it: Sequence[Sequence[Decision]]) -> tuple[Line, ...]:
    """Return the facility of each question of one version, for each class and over all of them."""
    lines = []
    for number, question in enumerate(_questions(of_it), start=1):
        shares = [[one.share for one in each if one.question == question.question] for each in of_it]
        title = f"{number}. {_title(question)}"
        cells = tuple(facility(each) if each else "–" for each in shares)
        lines.append(Line(title, cells, facility([share for each in shares for share in each])))
    return tuple(lines)


def error_lines(of_it: Sequence[Sequence[Decision]]) -> tuple[Line, ...]:
    """Return the known errors of one version, the most frequent over all classes first."""
    numbers = {one.question: number for number, one in enumerate(_questions(of_it), start=1)}
    found = {(one.question, name): one for each in of_it for one in each for name in one.known_errors}
    lines = []
    for (question, name), decision in found.items():
        asked = [[one for one in each if one.question == question] for each in of_it]
        cells = [Count(sum(name in one.known_errors for one in each), len(each)) for each in asked]
        error = _known_error(decision, name)
        lines.append(
            Line(
                f"Question {numbers[question]}, {error.says if error else name.replace('-', ' ')}",
                tuple(cells),
                _sum(cells),
                _misconception(error),
            )
        )
    return tuple(sorted(lines, key=lambda line: (-_number(line), line.what)))


def misconception_lines(classes: Sequence[RecordedClass]) -> tuple[Line, ...]:
    """Return how many apprentices of each class show a misconception, over all their worksheets."""
    shown = {what for each in classes for one in each.decisions for what in _misconceptions_of(one)}
    lines = []
    for what in shown:
        counts = tuple(
            Count(
                len({one.apprentice for one in each.decisions if what in _misconceptions_of(one)}),
                len({one.apprentice for one in each.decisions}),
            )
            for each in classes
        )
        lines.append(Line(what, counts, _sum(counts)))
    return tuple(sorted(lines, key=lambda line: (-_number(line), line.what)))


def _questions(of_it: Sequence[Sequence[Decision]]) -> list[Decision]:
    """Return one decision for each question, in the order of the worksheet."""
    return list({one.question: one for each in of_it for one in each}.values())


def _scheme_question(decision: Decision) -> Question | None:
    """Return the question as the installed package has it, if it still does."""
    scheme = WORKSHEETS.get(decision.worksheet)
    return next((one for one in scheme.questions if one.name == decision.question), None) if scheme else None


def _title(decision: Decision) -> str:
    question = _scheme_question(decision)
    return question.title if question else decision.question


def _known_error(decision: Decision, name: str) -> KnownError | None:
    question = _scheme_question(decision)
    known = (*(question.known_errors if question else ()), INPUTS_NOT_USED)
    return next((error for error in known if error.name == name), None)


def _misconception(error: KnownError | None) -> str:
    found = MISCONCEPTIONS.get(error.misconception) if error else None
    return found.what if found else ""


def _misconceptions_of(decision: Decision) -> set[str]:
    named = (_misconception(_known_error(decision, name)) for name in decision.known_errors)
    return {what for what in named if what}


def _sum(counts: Sequence[Count]) -> Count:
    return Count(sum(one.number for one in counts), sum(one.out_of for one in counts))


def _number(line: Line) -> int:
    assert isinstance(line.together, Count)
    return line.together.number
