"""The command line: study, hand-out, mark, print, demo."""

import argparse
import io
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from acpower.marking.register import UserMistake

if TYPE_CHECKING:  # at run time each command imports only what it needs
    from acpower.marking.mark import ClassResult

DONE, NEEDS_ATTENTION, WRONG_CALL = 0, 1, 2

_DESCRIPTION = """\
Teach how electric vehicles are charged from alternating current.

  acpower study                     open the lessons and worksheets in JupyterLab
  acpower hand-out charging-power --register class.csv --to handed-out
  acpower mark taken-in --register class.csv --to marked
  acpower print                     lessons as HTML and PDF, for rooms without computers
  acpower print charging-power --register class.csv --to printed
  acpower demo                      see all of it with an invented class
"""
_EXIT_CODES = """\
exit codes:
  0  done, nothing is left to decide
  1  done, but something needs a look: it is listed, and all the rest was done
  2  the call could not be carried out: the message says why, and nothing was written
"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code.

    >>> main(["hand-out", "no-such-worksheet", "--register", "class.csv", "--to", "out"])
    2
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a screen that lacks a sign shows another in its place
    options = _parser().parse_args(arguments)
    try:
        return int(options.run(options))
    except UserMistake as mistake:
        print(f"acpower: {mistake}", file=sys.stderr)
        return WRONG_CALL
    except OSError as problem:
        from acpower.marking.places import problem_in_words

        print(f"acpower: {problem_in_words(problem)}", file=sys.stderr)
        return WRONG_CALL
    except KeyboardInterrupt:
        print("acpower: stopped.", file=sys.stderr)
        return WRONG_CALL


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="acpower",
        description=_DESCRIPTION,
        epilog=_EXIT_CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    def command(name: str, run: Callable[[argparse.Namespace], int], text: str) -> argparse.ArgumentParser:
        added = commands.add_parser(
            name,
            help=text,
            description=f"{text[0].upper()}{text[1:]}.",
            epilog=_EXIT_CODES,
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        added.set_defaults(run=run)
        return added

    study = command("study", _study, "open the course in JupyterLab")
    study.add_argument(
        "directory", nargs="?", type=Path, metavar="DIR", help="folder for your own copy of the course"
    )
    study.add_argument(
        "--region", metavar="NAME", help="country profile that all lessons follow, such as north-america"
    )

    hand_out = command("hand-out", _hand_out, "make one worksheet per apprentice")
    hand_out.add_argument("worksheet", metavar="WORKSHEET", help="its name, such as charging-power")
    _add_register_and_to(hand_out, "folder for the worksheets")

    mark = command("mark", _mark, "mark a class")
    mark.add_argument("folder", type=_path, metavar="FOLDER", help="the filled-in worksheets")
    _add_register_and_to(mark, "new folder for mark sheet, reports, class picture and marking record")
    mark.add_argument(
        "--cell-seconds", type=_seconds, default=20.0, metavar="S", help="time limit for a cell (default: 20)"
    )
    mark.add_argument(
        "--worksheet-seconds",
        type=_seconds,
        default=120.0,
        metavar="S",
        help="time limit for a worksheet (default: 120)",
    )

    printing = command("print", _print, "make HTML and PDF of lessons and personal worksheets")
    printing.add_argument(
        "names",
        nargs="*",
        metavar="NAME",
        help="a lesson such as 02-read-ac, or a worksheet such as charging-power (default: the whole course)",
    )
    printing.add_argument(
        "--register", type=_path, metavar="CSV", help="class list with a column “id”; worksheets need it"
    )
    printing.add_argument(
        "--to",
        type=_path,
        default=Path("acpower-print"),
        metavar="DIR",
        help="folder (default: acpower-print)",
    )
    printing.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="size of paper (default: a4)"
    )
    printing.add_argument(
        "--large-print", action="store_true", help="18 point letters, for people with low vision"
    )
    printing.add_argument(
        "--region", metavar="NAME", help="country profile that the lessons follow, such as north-america"
    )

    demo = command("demo", _demo, "hand out, fill in and mark an invented class of 24")
    demo.add_argument(
        "directory", nargs="?", type=Path, metavar="DIR", help="new folder (default: acpower-demo)"
    )
    return parser


def _add_register_and_to(command: argparse.ArgumentParser, text: str) -> None:
    command.add_argument(
        "--register", type=_path, required=True, metavar="CSV", help="class list with a column “id”"
    )
    command.add_argument("--to", type=_path, required=True, metavar="DIR", help=text)


def _path(text: str) -> Path:
    if not text.strip():
        raise argparse.ArgumentTypeError("a path is needed here")
    return Path(text)


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = 0.0
    if not 1 <= seconds <= 3600:
        raise argparse.ArgumentTypeError(f"a time limit from 1 to 3600 seconds is needed, not “{text}”")
    return seconds


def _study(options: argparse.Namespace) -> int:
    from acpower.study import study

    try:
        # JupyterLab has said on the screen why it did not start.
        return DONE if study(options.directory, options.region) == 0 else WRONG_CALL
    except ValueError as problem:
        raise UserMistake(str(problem)) from None


def _hand_out(options: argparse.Namespace) -> int:
    from acpower.marking.hand_out import chosen_worksheet, hand_out
    from acpower.marking.places import check_place
    from acpower.marking.register import read_register

    check_place(options.to)
    worksheet = chosen_worksheet(options.worksheet)
    register = read_register(options.register)
    done = hand_out(worksheet, register, options.to)
    print(f"{len(done.files)} worksheets “{worksheet.title}” are in {options.to}.")
    for problem in register.problems:
        print(problem)
    for path in done.kept:
        print(
            f"Kept as it is, since it differs and may hold answers: {path}. Move it away to hand out a fresh one."
        )
    return NEEDS_ATTENTION if register.problems or done.kept else DONE


def _mark(options: argparse.Namespace) -> int:
    from acpower.marking.hand_back import hand_back
    from acpower.marking.mark import mark_class
    from acpower.marking.places import check_results_place
    from acpower.marking.run import Limits

    check_results_place(options.to, options.folder)
    limits = Limits(options.cell_seconds, options.worksheet_seconds)
    _say_isolation()
    with _progress_bar("Marking", "worksheets") as progress:
        result = mark_class(
            options.folder, options.register, leave_out=(options.to,), limits=limits, progress=progress
        )
    hand_back(result, options.to, limits)
    _say_result(result, options.to)
    return NEEDS_ATTENTION if result.needs_attention else DONE


def _print(options: argparse.Namespace) -> int:
    from acpower._checks import choice
    from acpower.marking.places import check_place
    from acpower.marking.register import read_register
    from acpower.printing.page import Look
    from acpower.printing.print_out import chosen, print_out
    from acpower.region import REGIONS

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
            progress=progress,
        )
    print(f"{len(done.pages)} HTML pages and {len(done.pdfs)} PDF files are in {options.to.resolve()}.")
    problems = [*(register.problems if register else ()), *done.problems]
    for says in problems:
        print(says)
    return NEEDS_ATTENTION if problems else DONE


def _demo(options: argparse.Namespace) -> int:
    from acpower.demo import DEMO_LIMITS, mark_demo
    from acpower.marking.hand_back import hand_back

    place = options.directory or _free_folder("acpower-demo")
    if place.exists():
        raise UserMistake(f"{place} is there already. Give the name of a new folder.")
    print(f"An invented class of 24 at an invented school, in {place}.")
    _say_isolation()
    with _progress_bar("Marking", "worksheets") as progress:
        result = mark_demo(place, progress)
    hand_back(result, place / "marked", DEMO_LIMITS)
    _say_result(result, place / "marked")
    print(
        "One worksheet holds a loop that never ends, one file is broken and one was not handed in, to show that "
        "the rest of the class is marked all the same."
    )
    return DONE


def _free_folder(name: str) -> Path:
    number = 1
    while (place := Path(name if number == 1 else f"{name}-{number}")).exists():
        number += 1
    return place


def _say_isolation() -> None:
    from acpower.marking import isolate

    print(f"Isolation: {isolate.IN_WORDS[isolate.level()]}", flush=True)


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

    marked = sum(one.status == "marked" for one in result.results)
    print(f"\nMarked: {marked} of {len(result.results)} worksheets.")
    for problem in result.register.problems:
        print(f"  {problem}")
    for one in result.results:
        for code, says in one.notes:
            print(f"  {one.submission.apprentice} ({code}): {says}")
    for stray in result.strays:
        print(f"  {stray.file} ({stray.code}): {stray.says}")
    print("\nOpen these in a browser:")
    print(f"  class picture  {(to / CLASS_PICTURE).resolve()}")
    print(f"  reports        {(to / REPORTS).resolve()}")
    print("For the files:")
    print(f"  mark sheet     {(to / MARK_SHEET).resolve()}")
    print(f"  answers        {(to / ANSWERS).resolve()}")
    print(f"  record         {(to / RECORD).resolve()}")


if __name__ == "__main__":
    sys.exit(main())
