"""What each command of the command line does; every function returns an exit code.

A command imports what it needs when it runs, so that none waits for what another one uses.
"""

import argparse
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from acpower.marking.user_mistake import UserMistake

if TYPE_CHECKING:
    from acpower.marking.machines import Machines
    from acpower.marking.result import ClassResult

DONE, NEEDS_ATTENTION, WRONG_CALL = 0, 1, 2


def use_own(folder: Path) -> None:
    """Know the instructor's own worksheets beside those of the course."""
    from acpower.worksheets.own import NotAWorksheet, use_own_worksheets

    try:
        use_own_worksheets(folder)
    except NotAWorksheet as problem:
        raise UserMistake(str(problem)) from None


def check(options: argparse.Namespace) -> int:
    """Check an own worksheet."""
    from acpower.worksheets.check import CARDS, problems
    from acpower.worksheets.own import NotAWorksheet, load_worksheet
    from acpower.worksheets.scheme import counted

    try:
        worksheet = load_worksheet(options.scheme)
    except NotAWorksheet as problem:
        raise UserMistake(str(problem)) from None
    found = problems(worksheet, options.scheme.with_suffix(".ipynb"))
    for sentence in found:
        print(f"- {sentence}")
    if found:
        return NEEDS_ATTENTION
    questions = counted(len(worksheet.questions), "question")
    print(f"“{worksheet.title}” is in order: {questions}, {CARDS} job cards drawn.")
    return DONE


def study(options: argparse.Namespace) -> int:
    """Open the course in JupyterLab."""
    from acpower.study import study as open_course

    try:
        # JupyterLab has said on the screen why it did not start.
        return DONE if open_course(options.directory, options.region) == 0 else WRONG_CALL
    except ValueError as problem:
        raise UserMistake(str(problem)) from None


def hand_out(options: argparse.Namespace) -> int:
    """Make one worksheet per apprentice, for practice or for marks."""
    from acpower.marking.hand_out import chosen_worksheet, hand_out_class
    from acpower.marking.places import check_place
    from acpower.marking.register import read_register
    from acpower.worksheets.scheme import counted

    check_place(options.to)
    worksheet = chosen_worksheet(options.worksheet)
    register = read_register(options.register)
    term_key = _term_key_for_hand_out(options)
    done = hand_out_class(worksheet, register, options.to, term_key)
    kind = "practice" if term_key is None else "marks"
    print(f"In {options.to}: {counted(len(done.files), 'worksheet')} “{worksheet.title}” for {kind}.")
    for problem in register.problems:
        print(problem)
    for path in done.kept:
        print(
            f"Kept as it is, since it differs and may hold answers: {path}. Move it away to hand out a fresh one."
        )
    return NEEDS_ATTENTION if register.problems or done.kept else DONE


def _term_key_for_hand_out(options: argparse.Namespace) -> str | None:
    from acpower.marking.term_key import make_term_key, read_term_key

    path: Path | None = options.term_key
    if path is None:
        return None
    if path.resolve().is_relative_to(options.to.resolve()):
        raise UserMistake(
            f"The term key {path} would lie among the worksheets that go out. Keep it in another folder."
        )
    if path.exists():
        return read_term_key(path)
    term_key = make_term_key(path)
    print(f"A new term key is in {path}. Keep it, and keep it to yourself: marking needs it.")
    return term_key


def mark(options: argparse.Namespace) -> int:
    """Mark a class and write what goes back."""
    from acpower.marking import so_far
    from acpower.marking.changes import CHANGES, append_changes, read_changes, with_changes
    from acpower.marking.hand_back import hand_back
    from acpower.marking.mark import mark_class, register_for
    from acpower.marking.places import check_results_place
    from acpower.marking.run import Limits
    from acpower.marking.term_key import read_term_key

    check_results_place(options.to, options.folder)
    limits = Limits(options.cell_seconds, options.worksheet_seconds)
    term_key = read_term_key(options.term_key) if options.term_key else None
    changes = read_changes(options.changes) if options.changes else []
    register_for(options.folder, options.register)
    with _machines(options) as machines, _progress_bar("Marking", "worksheets") as progress:
        result = mark_class(
            options.folder,
            options.register,
            term_key=term_key,
            due=options.due,
            leave_out=(options.to, *([options.term_key] if options.term_key else [])),
            limits=limits,
            so_far=options.to / so_far.NAME,
            machines=machines,
            progress=progress,
        )
    result = with_changes(result, changes)
    hand_back(result, options.to, limits, large_print=options.large_print)
    append_changes(changes, options.to / CHANGES)
    _say_result(result, options.to)
    return NEEDS_ATTENTION if result.needs_attention else DONE


@contextmanager
def _machines(options: argparse.Namespace) -> Iterator["Machines"]:
    """Give the machines on which worksheets run, and say how they are isolated there."""
    from acpower.marking import isolation
    from acpower.marking.cluster import Cluster
    from acpower.marking.machines import ThisMachine

    with ExitStack() as at_the_end:
        machines: Machines
        if options.cluster:
            cluster = Cluster(options.cluster, accept_limits_only=options.limits_only)
            machines = at_the_end.enter_context(closing(cluster))
        else:
            machines = ThisMachine(accept_limits_only=options.limits_only)
        print(f"Isolation: {isolation.in_words(machines.isolation)}", flush=True)
        yield machines


def sample(options: argparse.Namespace) -> int:
    """Draw a sample for a second marker."""
    from acpower.marking.moderation import SECOND_MARKS, marked_class, write_sample
    from acpower.marking.moderation import sample as draw
    from acpower.worksheets.scheme import counted

    path = options.marked / SECOND_MARKS
    if path.exists():
        raise UserMistake(f"{path} is there already and may hold second marks. Move it away first.")
    drawn = draw(marked_class(options.marked), options.seed, options.size)
    write_sample(drawn, path)
    print(
        f"In {path.resolve()}: {counted(len(drawn), 'answer')}. Fill in the column “second_mark”, and “why” where a "
        f"mark should change. Then: acpower second-marks {options.marked} {path} --who NAME"
    )
    return DONE


def second_marks(options: argparse.Namespace) -> int:
    """Take in second marks."""
    from acpower.marking.moderation import second_marks as take_second_marks

    found = take_second_marks(options.marked, options.filled_in, options.who, large_print=options.large_print)
    changed = sum(change.old != change.new for change in found.changes)
    print(
        f"Second marks: {len(found.pairs)}; the same as the first: {found.exact}; on average "
        f"{found.mean_difference:+.2f} marks from the first. Marks changed by hand: {changed}."
    )
    for change in found.changes:
        mark = f"{change.old} → {change.new}" if change.old != change.new else f"{change.new} stays"
        print(f"  {change.id}, {change.question}: {mark} ({change.why})")
    return DONE


def export(options: argparse.Namespace) -> int:
    """Write marks for the school's own system."""
    from acpower.marking.moderation import marked_class
    from acpower.marking.one_roster import Place, write_one_roster
    from acpower.marking.record import load_record, marked_on
    from acpower.marking.register import read_register
    from acpower.marking.sheets import write_named_mark_sheet
    from acpower.marking.take_in import RECORD_NAME
    from acpower.worksheets.scheme import counted

    if not (options.names or options.one_roster):
        raise UserMistake("Say what to write: --names CSV, or --one-roster SCHOOL CLASS SESSION.")
    if options.one_roster and not (options.assigned and options.due):
        raise UserMistake("OneRoster needs two dates: --assigned and --due, such as --due 2026-12-01.")
    class_result = marked_class(options.marked)
    written, nameless = [], 0
    if options.names:
        path = options.marked / "mark-sheet-with-names.csv"
        names = read_register(options.names).names
        write_named_mark_sheet(class_result, names, path)
        written.append(path)
        nameless = sum(not names.get(apprentice) for apprentice in class_result.register.ids)
    if options.one_roster:
        path = options.marked / "one-roster.zip"
        school, class_, session = options.one_roster
        place = Place(school, class_, session, options.assigned, options.due)
        write_one_roster(class_result, place, marked_on(load_record(options.marked / RECORD_NAME)), path)
        written.append(path)
    for path in written:
        print(f"Written: {path.resolve()}")
    if nameless:
        count = counted(len(class_result.register.ids), "id")
        print(
            f"No name in {options.names} for {nameless} of {count}. Check that it is the list of this class."
        )
    return NEEDS_ATTENTION if nameless else DONE


def recompute(options: argparse.Namespace) -> int:
    """Judge a marking record again."""
    from acpower.marking.record import differences

    found = differences(options.record)
    for sentence in found:
        print(sentence)
    if not found:
        print("Every decision comes out as it is on record.")
    return NEEDS_ATTENTION if found else DONE


def history(options: argparse.Namespace) -> int:
    """Pool what the marking records of several classes say about the questions."""
    from acpower.marking.hand_back import templates
    from acpower.marking.history import write_history

    path = write_history(options.records, options.to, templates())
    print(f"Written: {path.resolve()}. It holds counts only, no ids and no names.")
    return DONE


def print_pages(options: argparse.Namespace) -> int:
    """Make HTML and PDF of lessons and worksheets."""
    from acpower._checks import choice
    from acpower.marking.places import check_place
    from acpower.marking.register import read_register
    from acpower.marking.term_key import read_term_key
    from acpower.printing.page import Look
    from acpower.printing.print_out import chosen, print_out
    from acpower.region import REGIONS
    from acpower.worksheets.scheme import counted

    check_place(options.to)
    try:
        region = None if options.region is None else choice("region", options.region, REGIONS)
    except ValueError as problem:
        raise UserMistake(str(problem)) from None
    register = read_register(options.register) if options.register else None
    lessons, worksheets = chosen(options.names, register)
    with _progress_bar("Printing", "pages") as progress:
        done = print_out(
            lessons,
            worksheets,
            register.ids if register else (),
            options.to,
            Look(options.paper, options.large_print),
            region=region,
            term_key=read_term_key(options.term_key) if options.term_key else None,
            progress=progress,
        )
    pages, pdfs = counted(len(done.pages), "HTML page"), counted(len(done.pdfs), "PDF file")
    print(f"In {options.to.resolve()}: {pages} and {pdfs}.")
    for worksheet in worksheets:
        print(f"Type answers from paper into {worksheet.name}_paper.csv, and mark it like a notebook.")
    problems = [*(register.problems if register else ()), *done.problems]
    for says in problems:
        print(says)
    return NEEDS_ATTENTION if problems else DONE


def site(options: argparse.Namespace) -> int:
    """Build the site whose lessons and worksheets run in the browser."""
    from acpower.site.build import build_site

    size = build_site(options.directory, options.pyodide)
    print(f"The site is in {options.directory.resolve()}: {size / 1e6:.0f} MB. To look at it here, type")
    print(f"  {Path(sys.executable).name} -m http.server --bind 127.0.0.1 --directory {options.directory}")
    print("and open http://127.0.0.1:8000 in a browser.")
    return DONE


def demo(options: argparse.Namespace) -> int:
    """Hand out, fill in and mark an invented class."""
    from acpower.marking import isolation
    from acpower.marking.demo import DEMO_LIMITS, mark_demo
    from acpower.marking.hand_back import hand_back

    place = options.directory or _free_folder("acpower-demo")
    if place.exists():
        raise UserMistake(f"{place} is there already. Give the name of a new folder.")
    print(f"An invented class of 24 at an invented school, in {place}.")
    print(f"Isolation: {isolation.in_words(isolation.level())}", flush=True)
    with _progress_bar("Marking", "worksheets") as progress:
        result = mark_demo(place, progress)
    hand_back(result, place / "marked", DEMO_LIMITS)
    _say_result(result, place / "marked")
    print(
        "One worksheet holds a loop that never ends, in one nothing is recorded, one file is broken and one was not "
        "handed in, to show that the rest of the class is marked all the same."
    )
    return DONE


def _free_folder(name: str) -> Path:
    number = 1
    while (place := Path(name if number == 1 else f"{name}-{number}")).exists():
        number += 1
    return place


@contextmanager
def _progress_bar(doing: str, things: str) -> Iterator[Callable[..., None]]:
    from tqdm import tqdm

    with tqdm(
        desc=doing, unit=f" {things}", bar_format="{l_bar}{bar:30}| {n_fmt}/{total_fmt}{unit} {elapsed}"
    ) as bar:

        def progress(done: int, due: int, _result: object = None) -> None:
            bar.total = due
            bar.update(done - bar.n)

        yield progress


def _say_result(result: "ClassResult", to: Path) -> None:
    from acpower.marking.hand_back import ANSWERS, CLASS_PICTURE, MARK_SHEET, RECORD, REPORTS
    from acpower.marking.result import NOBODYS
    from acpower.worksheets.scheme import counted

    marked = sum(one.status == "marked" for one in result.results)
    print(f"\nMarked: {marked} of {counted(len(result.results), 'worksheet')}.")
    if not result.results:
        print(NOBODYS)
    for problem in result.register.problems:
        print(f"  {problem}")
    for one in result.results:
        for _, says in one.notes:
            print(f"  {one.submission.apprentice}, {one.worksheet.name}: {says}")
    for stray in result.strays:
        print(f"  {stray.file}: {stray.says}")
    print("\nOpen these in a browser:")
    print(f"  class picture  {(to / CLASS_PICTURE).resolve()}")
    print(f"  reports        {(to / REPORTS).resolve()}")
    print("For the files:")
    print(f"  mark sheet     {(to / MARK_SHEET).resolve()}")
    print(f"  answers        {(to / ANSWERS).resolve()}")
    print(f"  record         {(to / RECORD).resolve()}")
