"""Mark a class: take in, run, judge, and write what goes back."""

from collections.abc import Callable, Generator, Mapping, Sequence
from contextlib import closing
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from acpower.marking.judge import judge_worksheet, standing_answer
from acpower.marking.machines import Machines, ThisMachine
from acpower.marking.notes import (
    note_late,
    note_other_cards,
    notes_on_answers,
    notes_on_paper,
    notes_on_run,
)
from acpower.marking.register import Register, read_register
from acpower.marking.result import ClassResult, Result
from acpower.marking.run import Job, Limits, Run, run_from
from acpower.marking.so_far import SoFar, run_key
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
    so_far: Path | None = None,
    machines: Machines | None = None,
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
        Files and folders that are not taken in.
    limits
        Time limits per cell and per worksheet.
    so_far
        A file to keep what has been run; a marking that was ended goes on from it.
    machines
        Where the worksheets are run; without it on this machine, in full isolation.
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
    register = register_for(folder, register_file)
    machines = machines or ThisMachine()
    submissions = take_in(folder, register, (register_file, *leave_out), term_key)
    if not any(submission.file for submission in submissions):
        raise UserMistake(
            f"The folder {folder} is empty. Put the filled-in worksheets in it, with the names under which they "
            "were handed out, such as charging-power_A07.ipynb."
        )
    chosen, strays = _one_for_each(submissions)
    for_marks = term_key is not None
    results: dict[int, Result] = {}

    def done(place: int, result: Result) -> None:
        results[place] = result
        progress(len(results), len(chosen), result)

    jobs: dict[int, Job] = {}
    for place, submission in enumerate(chosen):
        ready = _ready(submission, term_key or PRACTICE_TERM_KEY, for_marks=for_marks)
        if isinstance(ready, Job):
            jobs[place] = ready
        else:
            done(place, ready)
    with closing(_runs(jobs, limits or Limits(), machines, SoFar(so_far), for_marks=for_marks)) as runs:
        for place, run in runs:
            done(place, _judge(chosen[place], jobs[place], run))
    noted = note_late(note_other_cards([results[place] for place in range(len(chosen))]), due)
    return ClassResult(register, tuple(noted), tuple(strays), machines.isolation)


def register_for(folder: Path, register_file: Path) -> Register:
    """Return the register of a class whose folder is there.

    It takes no time, so whoever starts machines asks it first: a mistyped path is told at once.
    """
    register = read_register(register_file)
    if not folder.is_dir():
        raise UserMistake(
            f"There is no folder {folder}. Give the folder that holds the filled-in worksheets."
        )
    return register


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


def _ready(submission: Submission, term_key: str, *, for_marks: bool) -> Job | Result:
    """Return what has to be run of a submission, or its result where nothing has to be."""
    if submission.status != "accepted" or submission.worksheet is None:
        return Result(submission, notes=[(submission.code, submission.says)])
    card = submission.worksheet.card(submission.apprentice, term_key)
    if submission.typed is not None:
        return _mark_paper(submission, submission.worksheet, card, submission.typed)
    return Job(submission.worksheet, card, submission.cells, for_marks)


def _runs(
    jobs: Mapping[int, Job], limits: Limits, machines: Machines, so_far: SoFar, *, for_marks: bool
) -> Generator[tuple[int, Run], None, None]:
    """Yield the place of each job and what came out: first what was run before, then the rest as it ends."""
    left = []
    for place, job in jobs.items():
        worksheet = job.as_data()
        key = run_key(worksheet, limits, machines.isolation)
        told = so_far.find(key)
        if told is None:
            left.append((place, worksheet, key))
        else:
            yield place, run_from(job, told, limits)
    if not left:
        return
    worksheets = [worksheet for _, worksheet, _ in left]
    with closing(machines.run_all(worksheets, limits, for_marks=for_marks)) as runs:
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
