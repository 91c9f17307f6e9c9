"""The marking record: what was read, under which rule, and what was decided. It can be worked out again.

The record holds every number that a decision rests on: the job card, the inputs on which a
function was tried, the answers as text. So a year later `read_record` judges it anew without
notebook and without term key, and `differences` says where that gives anything else.
"""

import json
import platform
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from datetime import date, datetime
from importlib.metadata import version
from pathlib import Path
from typing import Any

from acpower.marking.judge import Marked, MarkedWorksheet, judge_worksheet
from acpower.marking.register import Register, is_id
from acpower.marking.result import ClassResult, Result
from acpower.marking.run import Limits, Stop
from acpower.marking.submission import Submission
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.answers import answer_from_data, shortened
from acpower.worksheets.cards import JobCard
from acpower.worksheets.scheme import Worksheet
from acpower.worksheets.schemes import find_worksheet

FORMAT = "1"


def write_record(class_result: ClassResult, limits: Limits, path: Path) -> None:
    """Write the record of a marked class into a file that is not there yet."""
    text = json.dumps(marking_record(class_result, limits), ensure_ascii=False, indent=1)
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text + "\n")
    except FileExistsError:
        raise UserMistake(
            f"{path.parent} holds the record of another marking. Choose a new folder."
        ) from None


def marking_record(class_result: ClassResult, limits: Limits) -> dict[str, Any]:
    """Return the audit record of a marked class."""
    return {
        "format": FORMAT,
        "marked_at": class_result.marked_at.isoformat(timespec="seconds"),
        "versions": {name: version(name) for name in ("acpower", "nbval", "pytest", "numpy")}
        | {"python": platform.python_version(), "system": platform.platform()},
        "isolation": class_result.isolation,
        "limits": asdict(limits),
        "register": list(class_result.register.ids),
        "register_problems": list(class_result.register.problems),
        "not_of_the_register": [
            {
                "file": stray.file,
                "status": stray.status,
                "sha256": stray.sha256,
                "reason": stray.code,
                "says": stray.says,
            }
            for stray in class_result.strays
        ],
        "worksheets": [record_of(result) for result in class_result.results],
        "changes_by_hand": [
            asdict(one.change)
            for result in class_result.results
            if result.marked
            for one in result.marked.questions
            if one.change
        ],
    }


def record_of(result: Result) -> dict[str, Any]:
    """Return the part of the record for one apprentice and worksheet."""
    submission, marked = result.submission, result.marked
    record: dict[str, Any] = {
        "id": submission.apprentice,
        "worksheet": result.worksheet.name,
        "version": result.worksheet.version,
        "file": submission.file,
        "sha256": submission.sha256,
        "status": result.status,
        "notes": [{"reason": code, "says": says} for code, says in result.notes],
    }
    if marked:
        record["seconds"] = result.seconds
        record["stopped_cells"] = [asdict(stop) for stop in result.stops]
        record["job_card"] = dict(marked.card.values)
        record["marks"] = sum(one.verdict.marks for one in marked.questions)
        record["out_of"] = result.worksheet.marks
        record["questions"] = [_question_record(one, marked.card) for one in marked.questions]
    return record


def _question_record(one: Marked, card: JobCard) -> dict[str, Any]:
    question = one.question
    return {
        "question": question.name,
        "answer": one.answer.as_data(),
        "expected": one.expected,
        "tolerance": {
            name: getattr(question, name)
            for name in ("relative", "absolute", "figures")
            if hasattr(question, name)
        },
        "inputs": [list(given) for given in card.trials.get(question.name, ())],
        "outcome": one.verdict.outcome,
        "known_errors": [error.name for error in one.verdict.known_errors],
        "says": one.verdict.says,
        "reason": one.verdict.code,
        "marks": one.verdict.marks,
        "out_of": question.marks,
    }


def read_record(path: Path) -> ClassResult:
    """Read a record and judge every answer in it anew.

    Raises
    ------
    UserMistake
        The file is no record or a damaged one, or the installed package has another version of a
        worksheet.
    """
    record = load_record(path)
    with _damage_told(path):
        return _class_of(record)


@contextmanager
def _damage_told(path: Path) -> Iterator[None]:
    try:
        yield
    except UserMistake:
        raise
    except Exception as problem:  # the formulas of a worksheet meet whatever a damaged record holds
        raise UserMistake(f"{path} is a damaged marking record. Take it from the backup.") from problem


def _class_of(record: dict[str, Any]) -> ClassResult:
    if not all(map(is_id, record["register"])):  # reports are written under these names
        raise ValueError("an id that no register has")
    register = Register(tuple(record["register"]), {}, tuple(record["register_problems"]))
    strays = tuple(
        Submission(one["file"], one["status"], sha256=one["sha256"], code=one["reason"], says=one["says"])
        for one in record["not_of_the_register"]
    )
    results = tuple(_judged_anew(one) for one in record["worksheets"])
    return ClassResult(
        register, results, strays, record["isolation"], datetime.fromisoformat(record["marked_at"])
    )


def load_record(path: Path) -> dict[str, Any]:
    """Read the JSON of a record; refuse what is none."""
    if path.is_dir():
        raise UserMistake(f"{path} is a folder. Give the file marking-record.json in it.")
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
        if record["format"] != FORMAT:
            raise UserMistake(
                f"{path} has the format {shortened(str(record['format']))}; this version of the package reads {FORMAT}."
            )
    except OSError as problem:
        raise UserMistake(f"{path} cannot be read ({problem.strerror}). Check the path.") from None
    except (ValueError, KeyError, TypeError, RecursionError):
        raise UserMistake(f"{path} is no marking record. Give the file marking-record.json.") from None
    assert isinstance(record, dict)
    return record


def marked_on(record: dict[str, Any]) -> date:
    """Return the day on which a class was marked."""
    return datetime.fromisoformat(record["marked_at"]).date()


def differences(path: Path) -> list[str]:
    """Work a record out again; return one sentence for each decision that comes out otherwise."""
    again = read_record(path)
    found = []
    with _damage_told(path):
        worked_out = json.loads(json.dumps([record_of(result) for result in again.results]))
        for old, new in zip(load_record(path)["worksheets"], worked_out, strict=True):
            whose = f"{old['id']}, {old['worksheet']}"
            questions = zip(old.get("questions", ()), new.get("questions", ()), strict=False)
            changed = [one["question"] for one, other in questions if one != other]
            found += [f"{whose}, {question}: comes out otherwise." for question in changed]
            if not changed and old != new:
                found.append(f"{whose}: comes out otherwise.")
    return found


def _judged_anew(record: dict[str, Any]) -> Result:
    worksheet = _worksheet_of(record)
    notes = [(note["reason"], note["says"]) for note in record["notes"]]
    status = "accepted" if record["status"] == "marked" else record["status"]
    submission = Submission(record["file"], status, record["id"], worksheet, sha256=record["sha256"])
    if "questions" not in record:
        return Result(submission, notes=notes)
    stops = tuple(Stop(**stop) for stop in record["stopped_cells"])
    return Result(submission, _marked_anew(record, worksheet), notes, stops, record["seconds"])


def _marked_anew(record: dict[str, Any], worksheet: Worksheet) -> MarkedWorksheet:
    trials = {one["question"]: one["inputs"] for one in record["questions"] if one["inputs"]}
    card = JobCard(
        worksheet.name, worksheet.version, record["id"], worksheet.entries, record["job_card"], trials
    )
    answers = {one["question"]: answer_from_data(one["answer"]) for one in record["questions"]}
    return judge_worksheet(worksheet, card, answers)


def _worksheet_of(record: dict[str, Any]) -> Worksheet:
    try:
        worksheet = find_worksheet(record["worksheet"])
    except ValueError as problem:
        raise UserMistake(
            f"The record needs another version of the package, or your own worksheet (--own): {problem}."
        ) from None
    if worksheet.version != record["version"]:
        raise UserMistake(
            f"The record was made with version {record['version']} of {worksheet.name}; the installed package has "
            f"version {worksheet.version}. Install the version of the package that the record names."
        )
    return worksheet
