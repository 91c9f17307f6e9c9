"""Mark a class: take in, run, judge, and write what goes back."""

import os
import threading
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from acpower.marking.judge import judge_worksheet, standing_answer
from acpower.marking.notes import (
    note_late,
    note_other_cards,
    notes_on_answers,
    notes_on_paper,
    notes_on_run,
)
from acpower.marking.register import read_register
from acpower.marking.result import ClassResult, Result
from acpower.marking.run import Limits, run_worksheet
from acpower.marking.submission import Submission
from acpower.marking.take_in import take_in
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.answers import answer_from_value, shortened
from acpower.worksheets.cards import PRACTICE_TERM_KEY, JobCard
from acpower.worksheets.scheme import Worksheet


def mark_class(
    folder: Path,
    register_file: Path,
    *,
    term_key: str | None = None,
    due: datetime | None = None,
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
    term_key
        The term key of worksheets that were handed out for marks; without it they are for practice.
    due
        When the worksheets were due. A file that was saved later is marked and noted.
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
    submissions = take_in(folder, register, (register_file, *leave_out), term_key)
    if not any(submission.file for submission in submissions):
        raise UserMistake(
            f"The folder {folder} is empty. Put the filled-in worksheets in it, with the names under which they "
            "were handed out, such as charging-power_A07.ipynb."
        )
    chosen, strays = _one_for_each(submissions)
    results = _mark_all(chosen, limits or Limits(), term_key or PRACTICE_TERM_KEY, progress)
    noted = note_late(note_other_cards(results), due)
    return ClassResult(register, tuple(noted), tuple(strays))


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
    submissions: Sequence[Submission],
    limits: Limits,
    term_key: str,
    progress: Callable[[int, int, Result], None],
) -> list[Result]:
    results: dict[int, Result] = {}
    stop = threading.Event()
    with ThreadPoolExecutor(max_workers=os.cpu_count() or 1) as pool:
        due = {
            pool.submit(_mark_one, one, limits, term_key, stop): place
            for place, one in enumerate(submissions)
        }
        try:
            for ended in as_completed(due):
                result = results[due[ended]] = ended.result()
                progress(len(results), len(submissions), result)
        except BaseException:
            stop.set()  # Ctrl-C waits for no worksheet
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    return [results[place] for place in range(len(submissions))]


def _mark_one(submission: Submission, limits: Limits, term_key: str, stop: threading.Event) -> Result:
    if submission.status != "accepted" or submission.worksheet is None:
        return Result(submission, notes=[(submission.code, submission.says)])
    try:
        card = submission.worksheet.card(submission.apprentice, term_key)
        if submission.typed is not None:
            return _mark_paper(submission, submission.worksheet, card, submission.typed)
        for_marks = term_key != PRACTICE_TERM_KEY
        run = run_worksheet(submission.worksheet, card, submission.cells, limits, stop, for_marks=for_marks)
        answers = {name: standing_answer(given) for name, given in run.recorded.items()}
        marked = judge_worksheet(submission.worksheet, card, answers)
        notes = [*notes_on_run(submission, run, marked), *notes_on_answers(submission.apprentice, marked)]
        return Result(submission, marked, notes, tuple(run.stops), round(run.seconds, 2))
    except Exception as problem:  # whatever a worksheet brings about, the rest of the class is marked
        says = f"This worksheet could not be judged ({shortened(repr(problem))}). Mark it by hand and report this."
        submission = replace(submission, status="query", code="not-judged", says=says)
        return Result(submission, notes=[("not-judged", says)])


def _mark_paper(
    submission: Submission, worksheet: Worksheet, card: JobCard, typed: Mapping[str, str]
) -> Result:
    answers = {name: answer_from_value(text) for name, text in typed.items()}
    marked = judge_worksheet(worksheet, card, answers)
    notes = [*notes_on_paper(worksheet, marked), *notes_on_answers(submission.apprentice, marked)]
    return Result(submission, marked, notes)
