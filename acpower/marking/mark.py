"""Mark a class: take in, run, judge, and write what goes back."""

import os
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass, replace
from pathlib import Path

from acpower.marking.judge import MarkedWorksheet, judge_worksheet
from acpower.marking.register import Register, UserMistake, read_register
from acpower.marking.run import Limits, Run, run_worksheet
from acpower.marking.take_in import Submission, take_in
from acpower.worksheets.answers import shortened
from acpower.worksheets.scheme import Worksheet


@dataclass(frozen=True)
class Result:
    """One apprentice's worksheet: how it was taken in, how it ran, how it was judged."""

    submission: Submission
    run: Run | None = None
    marked: MarkedWorksheet | None = None

    @property
    def worksheet(self) -> Worksheet:
        """The worksheet that this result belongs to."""
        assert self.submission.worksheet is not None
        return self.submission.worksheet

    @property
    def status(self) -> str:
        """``marked``, ``query``, ``refused`` or ``missing``."""
        return "marked" if self.marked else self.submission.status

    @property
    def notes(self) -> list[tuple[str, str]]:
        """Everything that a person should know about it: reason codes with their words."""
        notes = []
        if self.submission.code:
            notes.append((self.submission.code, self.submission.says))
        if self.run and self.run.code:
            notes.append((self.run.code, self.run.says))
        notes += self._structure_notes()
        return notes

    def _structure_notes(self) -> list[tuple[str, str]]:
        """Return what the notebook itself has changed of what was handed out."""
        if self.run is None:
            return []
        notes = []
        unasked = [
            f"{number} ({question.title})"
            for number, question in enumerate(self.worksheet.questions, start=1)
            if not any(question.name in source for source in self.submission.cells)
        ]
        if unasked:
            notes.append(
                f"No cell records an answer to question {', '.join(unasked)}: the cell was deleted or changed."
            )
        opened, opened_for = self.run.opened, self.run.opened_for
        if not opened and not self.run.code:
            notes.append("The job card was not opened: its cell was deleted or changed.")
        if opened and opened != self.worksheet.name:
            notes.append(f"The notebook opened the job card of another worksheet (“{opened}”).")
        if opened_for and opened_for.casefold() != self.submission.apprentice.casefold():
            own = self.submission.apprentice
            notes.append(
                f"The notebook opened the job card of “{opened_for}”, but the file is {own}'s. It was marked "
                f"with the numbers of {own}."
            )
        return [("structure-changed", says) for says in notes]


@dataclass(frozen=True)
class ClassResult:
    """Everything about one marked class, in the order of the register."""

    register: Register
    results: tuple[Result, ...]
    strays: tuple[Submission, ...]
    """Files that belong to no apprentice of the register."""

    @property
    def worksheets(self) -> list[Worksheet]:
        """The worksheets that were marked, each once."""
        return list({result.worksheet.name: result.worksheet for result in self.results}.values())

    def of(self, worksheet: Worksheet) -> list[Result]:
        """Return the results of one worksheet."""
        return [result for result in self.results if result.worksheet.name == worksheet.name]

    @property
    def needs_attention(self) -> bool:
        """Whether anything is left for a person to decide or to ask for."""
        return bool(self.strays or self.register.problems) or any(
            result.status != "marked" or result.notes for result in self.results
        )


def mark_class(
    folder: Path,
    register_file: Path,
    *,
    leave_out: Sequence[Path] = (),
    limits: Limits | None = None,
    progress: Callable[[int, int, Result], None] = lambda done, due, result: None,
) -> ClassResult:
    """Mark every worksheet in a folder, each in a process of its own.

    Parameters
    ----------
    folder
        Where the filled-in worksheets are, with the file names under which they were handed out.
    register_file
        The class list.
    leave_out
        Files and folders that are not submissions.
    limits
        Time limits per cell and per worksheet.
    progress
        Called after each worksheet with how many are done, how many are due, and the result.

    Returns
    -------
    ClassResult
        One result for every apprentice and every worksheet of which at least one was handed in.

    Raises
    ------
    UserMistake
        The register cannot be used, or the folder holds nothing to mark.
    """
    register = read_register(register_file)
    if not folder.is_dir():
        raise UserMistake(
            f"There is no folder {folder}. Give the folder that holds the filled-in worksheets."
        )
    submissions = take_in(folder, register, (register_file, *leave_out))
    if not any(submission.file for submission in submissions):
        raise UserMistake(
            f"The folder {folder} is empty. Put the filled-in worksheets in it, with the names under which they "
            "were handed out, such as charging-power_A07.ipynb."
        )
    chosen, strays = _one_for_each(submissions)
    results = _mark_all(chosen, limits or Limits(), progress)
    return ClassResult(register, tuple(results), tuple(strays))


def _one_for_each(submissions: Sequence[Submission]) -> tuple[list[Submission], list[Submission]]:
    """Choose one submission for each apprentice and worksheet; the accepted one, if there is one."""
    chosen: dict[tuple[str, str], Submission] = {}
    strays = []
    for submission in submissions:
        if submission.worksheet is None or not submission.apprentice:
            strays.append(submission)
            continue
        place = submission.worksheet.name, submission.apprentice
        if place not in chosen:
            chosen[place] = submission
            continue
        first, second = chosen[place], submission
        if second.status == "accepted":
            first, second = second, first
        chosen[place] = first
        strays.append(second)
    return list(chosen.values()), strays


def _mark_all(
    submissions: Sequence[Submission], limits: Limits, progress: Callable[[int, int, Result], None]
) -> list[Result]:
    results: dict[int, Result] = {}
    stop = threading.Event()
    with ThreadPoolExecutor(max_workers=os.cpu_count() or 1) as pool:
        due = {pool.submit(_mark_one, one, limits, stop): place for place, one in enumerate(submissions)}
        try:
            for ended in as_completed(due):
                result = results[due[ended]] = ended.result()
                progress(len(results), len(submissions), result)
        except BaseException:
            stop.set()  # Ctrl-C waits for no worksheet
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    return [results[place] for place in range(len(submissions))]


def _mark_one(submission: Submission, limits: Limits, stop: threading.Event) -> Result:
    if submission.status != "accepted" or submission.worksheet is None:
        return Result(submission)
    try:
        run = run_worksheet(submission.worksheet, submission.apprentice, submission.cells, limits, stop)
        return Result(submission, run, judge_worksheet(submission.worksheet, submission.apprentice, run))
    except Exception as problem:  # whatever a worksheet brings about, the rest of the class is marked
        says = f"This worksheet could not be judged ({shortened(repr(problem))}). Mark it by hand and report this."
        return Result(replace(submission, status="query", code="not-judged", says=says))
