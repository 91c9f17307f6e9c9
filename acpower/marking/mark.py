"""Mark a class: take in, run, judge, and write what goes back."""

from collections.abc import Callable, Generator, Mapping, Sequence
from contextlib import closing
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from acpower.marking import isolation
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
from acpower.marking.run import Job, Limits, Run, run_from
from acpower.marking.so_far import SoFar, run_key
from acpower.marking.submission import Submission
from acpower.marking.take_in import take_in
from acpower.marking.user_mistake import UserMistake
from acpower.marking.workers import run_all
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
    so_far: Path | None = None,
    accept_limits_only: bool = False,
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
    so_far
        A file to keep what has been run; a marking that was ended goes on from it.
    accept_limits_only
        Mark even where this machine gives no full isolation.
    progress
        Called after each worksheet with how many are done, how many are due, and the result.

    Returns
    -------
    ClassResult
        One result for every apprentice and every worksheet of which at least one was handed in.

    Raises
    ------
    UserMistake
        The register cannot be used, the folder holds nothing to mark, or the isolation is not enough.
    """
    isolation.check(accept_limits_only=accept_limits_only)
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
    results = _mark_all(chosen, limits or Limits(), term_key or PRACTICE_TERM_KEY, SoFar(so_far), progress)
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
    so_far: SoFar,
    progress: Callable[[int, int, Result], None],
) -> list[Result]:
    """Mark all submissions; what has to be run runs in other processes and is judged as it comes in."""
    results: dict[int, Result] = {}

    def done(place: int, result: Result) -> None:
        results[place] = result
        progress(len(results), len(submissions), result)

    jobs: dict[int, Job] = {}
    for place, submission in enumerate(submissions):
        if submission.status != "accepted" or submission.worksheet is None:
            done(place, Result(submission, notes=[(submission.code, submission.says)]))
            continue
        card = submission.worksheet.card(submission.apprentice, term_key)
        if submission.typed is not None:
            done(place, _mark_paper(submission, submission.worksheet, card, submission.typed))
        else:
            for_marks = term_key != PRACTICE_TERM_KEY
            jobs[place] = Job(submission.worksheet, card, submission.cells, for_marks)
    with closing(_runs(jobs, limits, so_far)) as runs:
        for place, run in runs:
            done(place, _judge(submissions[place], jobs[place], run))
    return [results[place] for place in range(len(submissions))]


def _runs(jobs: Mapping[int, Job], limits: Limits, so_far: SoFar) -> Generator[tuple[int, Run], None, None]:
    """Yield the place of each job and what came out: first what was run before, then the rest as it ends."""
    left = []
    for place, job in jobs.items():
        worksheet = job.as_data()
        key = run_key(worksheet, limits, isolation.level())
        told = so_far.find(key)
        if told is None:
            left.append((place, worksheet, key))
        else:
            yield place, run_from(job, told, limits)
    if not left:
        return
    for_marks = jobs[left[0][0]].for_marks
    worksheets = [worksheet for _, worksheet, _ in left]
    with closing(run_all(worksheets, limits, lambda: isolation.new_worker(for_marks=for_marks))) as runs:
        for number, told in runs:
            place, _, key = left[number]
            so_far.keep(key, told)
            yield place, run_from(jobs[place], told, limits)


def _judge(submission: Submission, job: Job, run: Run) -> Result:
    try:
        answers = {name: standing_answer(given) for name, given in run.recorded.items()}
        marked = judge_worksheet(job.worksheet, job.card, answers)
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
