"""Moderation: a sample for a second marker who does not see the first mark, and what comes of it."""

import hashlib
import hmac
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import zip_longest
from pathlib import Path

from acpower.marking.changes import CHANGES, append_changes, read_changes, whole_mark, with_changes
from acpower.marking.hand_back import ANSWERS, write_pages
from acpower.marking.judge import Change, Marked, MarkedWorksheet, recorded_words
from acpower.marking.record import read_record
from acpower.marking.result import ClassResult, Result
from acpower.marking.sheets import FOR_A_SPREADSHEET, cell_text, write_csv
from acpower.marking.table_file import read_table
from acpower.marking.take_in import RECORD_NAME
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.answers import shortened
from acpower.worksheets.scheme import Function, show
from acpower.worksheets.verdicts import show_input

SECOND_MARKS = "second-marks.csv"
_BORDERLINE = (0.4, 0.6)
"""Totals between these shares of the marks: here a single mark may decide."""
_COLUMNS = (
    "id",
    "worksheet",
    "question",
    "title",
    "out_of",
    "job_card",
    "recorded",
    "own_earlier",
    "expected",
    "second_mark",
    "why",
)
_NEEDED = ("id", "worksheet", "question", "second_mark", "why")


@dataclass(frozen=True)
class Agreement:
    """How two markers agree: pairs of marks, and the changes that followed."""

    pairs: tuple[tuple[int, int], ...]
    changes: tuple[Change, ...]

    @property
    def exact(self) -> int:
        """In how many pairs both marks are the same."""
        return sum(first == second for first, second in self.pairs)

    @property
    def mean_difference(self) -> float:
        """Second mark less first mark, in the mean: above nought, the second marker is milder."""
        return sum(second - first for first, second in self.pairs) / len(self.pairs)


def marked_class(folder: Path) -> ClassResult:
    """Return a class from the folder of its results, with the changes by hand."""
    changes = read_changes(folder / CHANGES) if (folder / CHANGES).exists() else []
    return with_changes(read_record(folder / RECORD_NAME), changes)


def sample(class_result: ClassResult, seed: str, size: int) -> list[tuple[Result, Marked]]:
    """Draw decisions for a second marker: the same for the same seed, whatever the order of the class.

    The decisions are parted by what the marker found, and right ones of worksheets near half of the
    marks stand apart. Each part gives one in turn, so rare findings are not left out.
    """
    parts: dict[str, list[tuple[bytes, Result, Marked]]] = defaultdict(list)
    for result in class_result.results:
        for one in result.marked.questions if result.marked else ():
            name = "/".join((result.worksheet.name, one.question.name, result.submission.apprentice))
            place = hmac.digest(seed.encode(), name.encode(), hashlib.sha256)
            parts[_part(result, one)].append((place, result, one))
    ordered = [sorted(parts[part], key=lambda drawn: drawn[0]) for part in sorted(parts)]
    in_turn = [drawn for turn in zip_longest(*ordered) for drawn in turn if drawn is not None]
    return [(result, one) for _, result, one in in_turn[:size]]


def _part(result: Result, one: Marked) -> str:
    assert result.marked is not None
    low, high = _BORDERLINE
    if one.verdict.outcome == "right" and low <= result.marked.marks / result.worksheet.marks <= high:
        return "right, total near half"
    return one.verdict.outcome


def write_sample(drawn: Sequence[tuple[Result, Marked]], path: Path) -> None:
    """Write the sample as a CSV to fill in: the answer and what was expected, not the mark given.

    A later step may be right from an earlier answer that is not, so those answers stand beside it.
    """
    rows = []
    for result, one in drawn:
        assert result.marked is not None
        card = "; ".join(
            f"{entry.label} {result.marked.card.values[entry.name]} {entry.unit}".strip()
            for entry in result.marked.card.entries
        )
        rows.append(
            [
                result.submission.apprentice,
                result.worksheet.name,
                one.question.name,
                one.question.title,
                one.question.marks,
                cell_text(card),
                cell_text(recorded_words(one.question, one.answer) + _trials(result.marked, one)),
                cell_text(_own_earlier(result.marked, one)),
                cell_text(f"{one.expected}: {one.working}"),
                "",
                "",
            ]
        )
    write_csv(path, _COLUMNS, rows, FOR_A_SPREADSHEET)


def _trials(marked: MarkedWorksheet, one: Marked) -> str:
    """Say what a recorded function gave for each input it was tried on, and what was expected there."""
    if not isinstance(one.question, Function) or one.verdict.outcome == "blank":
        return ""
    unit, key = one.question.unit, one.question.key
    return "".join(
        f"; for ({', '.join(map(show_input, given))}) it gives "
        f"{show(float(trial.text)) if trial.kind == 'number' else trial.text or 'nothing'}, "
        f"expected {show(float(key(*given)))} {unit}"
        for given, trial in zip(marked.card.trials[one.question.name], one.answer.trials, strict=False)
    )


def _own_earlier(marked: MarkedWorksheet, one: Marked) -> str:
    """Say what the apprentice recorded for the questions that this one goes on from."""
    return "; ".join(
        f"{earlier.question.title}: {recorded_words(earlier.question, earlier.answer)}"
        for earlier in marked.questions
        if earlier.question.name in one.question.needs
    )


def second_marks(folder: Path, filled_in: Path, who: str, *, large_print: bool = False) -> Agreement:
    """Take second marks into a marked class: differing ones become changes by hand, with their reason.

    What is on file already is not added again, so a call that was broken off may be given once more.

    Parameters
    ----------
    folder
        The results of the class; its mark sheet, reports and class picture are written anew.
    filled_in
        A CSV with the columns id, worksheet, question, second_mark and why. Rows without a second
        mark are left out.
    who
        Who marked the second time.
    large_print
        Whether the reports are written in large print.

    Raises
    ------
    UserMistake
        A row does not fit the class, a mark is not possible or a change has no reason. Then nothing
        is changed, and the message names every such row.
    """
    if not who.strip():
        raise UserMistake("A change by hand needs the name or initials of the person who makes it.")
    class_result = marked_class(folder)
    known = {
        (result.submission.apprentice, result.worksheet.name, one.question.name): one
        for result in class_result.results
        for one in (result.marked.questions if result.marked else ())
    }
    now = datetime.now(UTC).isoformat(timespec="seconds")
    problems, pairs, changes = [], [], []
    for number, row in read_table(filled_in, "The list of second marks", _NEEDED):
        second, why = row["second_mark"], row["why"]
        if not second:
            continue
        mark = whole_mark(second)
        whose = row["id"], row["worksheet"], row["question"]
        one = known.get(whose)
        if one is None:
            problems.append(
                f"Line {number}: there is no marked answer of {shortened(' / '.join(whose))}. Write id, "
                f"worksheet and question as they stand in {ANSWERS}."
            )
        elif mark is None or mark > one.question.marks:
            problems.append(
                f"Line {number}: the second mark “{shortened(second)}” is not possible. Write a whole number from 0 to "
                f"{one.question.marks}."
            )
        elif mark != one.marks and not why:
            problems.append(
                f"Line {number}: the mark changes from {one.marks} to {mark}. Write into the column “why” why."
            )
        else:
            change = _on_file(one, who, mark, why) or Change(now, who.strip(), *whose, one.marks, mark, why)
            pairs.append((change.old, mark))
            if mark != change.old or why:  # a mark that stays for a reason is settled, too
                changes.append(change)
    if problems:
        raise UserMistake("Nothing was changed. " + " ".join(problems))
    if not pairs:
        raise UserMistake(f"{filled_in} holds no second mark. Fill in the column “second_mark”.")
    on_file = {one.change for one in known.values()}
    append_changes([change for change in changes if change not in on_file], folder / CHANGES)
    write_pages(with_changes(class_result, changes), folder, large_print=large_print)
    return Agreement(tuple(pairs), tuple(changes))


def _on_file(one: Marked, who: str, mark: int, why: str) -> Change | None:
    """Return the change that stands for a question, if it is this one."""
    was, given = one.change, (cell_text(who.strip()), mark, cell_text(why))
    return was if was and (was.who, was.new, was.why) == given else None
