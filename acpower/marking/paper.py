"""Answers given on paper: typed into a CSV file, then marked by the same rules as a notebook's.

`acpower print` writes the file to fill in beside the printed worksheets: one line per apprentice,
one column per question. Functions are not typed in; they are marked by hand.
"""

import hashlib
from collections.abc import Sequence
from pathlib import Path

from acpower.marking.handed_in_file import read_file
from acpower.marking.register import Register
from acpower.marking.sheets import write_csv
from acpower.marking.submission import NotUsable, Submission, check_term
from acpower.marking.table_file import rows_of
from acpower.marking.term_key import term_mark
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.answers import shortened
from acpower.worksheets.scheme import Function, Question, Worksheet
from acpower.worksheets.schemes import WORKSHEETS

ENDING = "_paper.csv"


def is_paper(path: Path) -> bool:
    """Whether a file is one of answers from paper, by its name.

    >>> is_paper(Path("taken-in/charging-power_paper.csv"))
    True
    """
    return path.name.casefold().endswith(ENDING)


def write_paper_form(
    worksheet: Worksheet, apprentices: Sequence[str], to: Path, term_key: str | None = None
) -> Path:
    """Write the empty file for answers from paper; one that is there already is kept."""
    path = to / f"{worksheet.name}{ENDING}"
    if not path.exists():
        term = "" if term_key is None else term_mark(term_key)
        rows = [(apprentice, worksheet.version, term) for apprentice in apprentices]
        write_csv(path, ("id", "version", "term", *_columns(worksheet)), rows)
    return path


def take_in_paper(path: Path, file: str, register: Register, term_key: str | None) -> list[Submission]:
    """Take every line of a file of answers from paper in as a worksheet of its own.

    A line without any answer is taken as not handed in. No line is late: the file is typed in when
    the papers have long been handed in. ``file`` is the name under which the file is told.
    """
    worksheet = WORKSHEETS.get(path.name.casefold().removesuffix(ENDING))
    if worksheet is None:
        says = f"There is no worksheet of this name. The worksheets are {', '.join(WORKSHEETS)}."
        return [Submission(file, "query", code="unsafe-name", says=says)]
    columns = _columns(worksheet)
    try:
        content, _ = read_file(path)
        rows = rows_of(content, "The file of answers from paper", ("id", "version", "term", *columns))
    except NotUsable as problem:
        return [Submission(file, problem.status, code=problem.code, says=str(problem))]
    except UserMistake as problem:
        return [Submission(file, "refused", code="bad-file", says=str(problem))]
    sha256 = hashlib.sha256(content).hexdigest()
    submissions = []
    for line, row in rows:
        typed = {question.name: row[column] for column, question in columns.items()}
        if not any(typed.values()):
            continue
        apprentice = register.find(row["id"])
        try:
            if apprentice is None:
                says = f"The id “{shortened(row['id'])[:40]}” is not in the register. Correct it, or add it there."
                raise NotUsable("query", "unsafe-name", says)
            if row["version"] != worksheet.version:
                says = (
                    f"These are answers to version {shortened(row['version'])[:20]} of the worksheet; the installed "
                    f"package marks version {worksheet.version}. Mark them with the package that printed it."
                )
                raise NotUsable("query", "structure-changed", says)
            check_term({"term": row["term"]} if row["term"] else {"worksheet": worksheet.name}, term_key)
            status, code, says = "accepted", "", ""
        except NotUsable as problem:
            status, code, says = problem.status, problem.code, str(problem)
        submissions.append(
            Submission(
                f"{file}, line {line}",
                status,
                apprentice or "",
                worksheet,
                sha256=sha256,
                code=code,
                says=says,
                typed=typed,
            )
        )
    return submissions


def by_hand(worksheet: Worksheet) -> list[Question]:
    """Return the questions that a person has to mark on paper.

    >>> from acpower.worksheets.schemes import find_worksheet
    >>> [question.name for question in by_hand(find_worksheet("charge-time"))]
    ['charge_time_h']
    """
    return [question for question in worksheet.questions if isinstance(question, Function)]


def _columns(worksheet: Worksheet) -> dict[str, Question]:
    """Return the column of each question that can be typed in."""
    left_out = by_hand(worksheet)
    return {
        f"q{number}": question
        for number, question in enumerate(worksheet.questions, start=1)
        if question not in left_out
    }
