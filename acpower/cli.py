"""The command line: what can be asked for, and in which words."""

import argparse
import io
import sys
from collections.abc import Callable, Sequence
from datetime import date, datetime, time
from pathlib import Path

from acpower import commands
from acpower.commands import WRONG_CALL
from acpower.marking.user_mistake import UserMistake

_DESCRIPTION = """\
Teach how electric vehicles are charged from alternating current.

  acpower study                     open the lessons and worksheets in JupyterLab
  acpower hand-out charging-power --register class.csv --to handed-out
  acpower mark taken-in --register class.csv --to marked
                                    the same for marks: add --term-key my-term.key to both
  acpower sample marked --seed autumn
  acpower second-marks marked marked/second-marks.csv --who MK
  acpower export marked --names class.csv
  acpower recompute marked/marking-record.json
  acpower history autumn/marking-record.json spring/marking-record.json --to history.html
  acpower check own/cable-heat.py   your own worksheet; then add --own own to the other commands
  acpower print                     lessons as HTML and PDF, for rooms without computers
  acpower print charging-power --register class.csv --to printed
  acpower site my-site --pyodide pyodide
                                    lessons and worksheets for a web server; apprentices install nothing
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
        if getattr(options, "own", None):
            commands.use_own(options.own)
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
    added_to = parser.add_subparsers(required=True, metavar="COMMAND")

    def command(name: str, run: Callable[[argparse.Namespace], int], text: str) -> argparse.ArgumentParser:
        added = added_to.add_parser(
            name,
            help=text,
            description=f"{text[0].upper()}{text[1:]}.",
            epilog=_EXIT_CODES,
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        added.set_defaults(run=run)
        return added

    _study_options(command("study", commands.study, "open the course in JupyterLab"))
    _hand_out_options(command("hand-out", commands.hand_out, "make one worksheet per apprentice"))
    _mark_options(command("mark", commands.mark, "mark a class"))
    _check_options(command("check", commands.check, "check an own worksheet before it is handed out"))
    _sample_options(
        command("sample", commands.sample, "draw answers for a second marker who does not see the marks")
    )
    _second_marks_options(
        command("second-marks", commands.second_marks, "take in second marks and other changes by hand")
    )
    _export_options(command("export", commands.export, "write marks for the school's own system"))
    _recompute_options(command("recompute", commands.recompute, "judge a marking record again and compare"))
    _history_options(command("history", commands.history, "see how questions went over several classes"))
    _print_options(
        command("print", commands.print_pages, "make HTML and PDF of lessons and personal worksheets")
    )
    _site_options(
        command("site", commands.site, "build a site whose lessons and worksheets run in the browser")
    )
    _demo_options(command("demo", commands.demo, "hand out, fill in and mark an invented class of 24"))
    return parser


def _study_options(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "directory", nargs="?", type=Path, metavar="DIR", help="folder for your own copy of the course"
    )
    command.add_argument(
        "--region", metavar="NAME", help="region that all lessons follow, such as north-america"
    )


def _hand_out_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("worksheet", metavar="WORKSHEET", help="its name, such as charging-power")
    _add_register_and_to(command, "folder for the worksheets")
    _add_term_key(command, "for marks, not for practice: file with the term key, made if it is missing")
    _add_own(command)


def _mark_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("folder", type=_path, metavar="FOLDER", help="the filled-in worksheets")
    _add_register_and_to(command, "new folder for mark sheet, reports, class picture and marking record")
    _add_term_key(command, "file with the term key, for worksheets that were handed out for marks")
    command.add_argument(
        "--due",
        type=_moment,
        metavar="TIME",
        help="a file saved after it is noted as late, such as 2026-12-01T12:00; a date alone is all of that day",
    )
    command.add_argument(
        "--limits-only",
        action="store_true",
        help="mark even where this machine gives no full isolation",
    )
    command.add_argument(
        "--cluster",
        metavar="ADDRESS",
        help="run the worksheets on a Dask cluster, such as tcp://10.0.0.5:8786",
    )
    command.add_argument(
        "--cell-seconds", type=_seconds, default=20.0, metavar="S", help="time limit for a cell (default: 20)"
    )
    command.add_argument(
        "--worksheet-seconds",
        type=_seconds,
        default=120.0,
        metavar="S",
        help="time limit for a worksheet (default: 120)",
    )
    command.add_argument(
        "--changes", type=_path, metavar="CSV", help="changes-by-hand.csv of an earlier marking, to be kept"
    )
    _add_large_print(command, "write the reports in 18 point letters, for people with low vision")
    _add_own(command)


def _check_options(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "scheme", type=_path, metavar="FILE", help="its mark scheme, such as own/cable-heat.py"
    )


def _sample_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("marked", type=_path, metavar="MARKED", help="the results of a marked class")
    command.add_argument(
        "--seed", required=True, metavar="TEXT", help="any text; the same text draws the same sample again"
    )
    command.add_argument(
        "--size", type=_count, default=20, metavar="N", help="how many answers (default: 20)"
    )
    _add_own(command)


def _second_marks_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("marked", type=_path, metavar="MARKED", help="the results of a marked class")
    command.add_argument(
        "filled_in",
        type=_path,
        metavar="CSV",
        help="with the columns id, worksheet, question (as in answers.csv), second_mark, why",
    )
    command.add_argument("--who", required=True, metavar="NAME", help="who gave these marks")
    _add_large_print(command, "write the reports again in 18 point letters")
    _add_own(command)


def _export_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("marked", type=_path, metavar="MARKED", help="the results of a marked class")
    command.add_argument(
        "--names",
        type=_path,
        metavar="CSV",
        help="class list with a column “name”: write a mark sheet with names",
    )
    command.add_argument(
        "--one-roster",
        nargs=3,
        metavar=("SCHOOL", "CLASS", "SESSION"),
        help="write a OneRoster 1.2 zip file; these are the ids in the school's own system",
    )
    command.add_argument("--assigned", type=_day, metavar="DATE", help="when the worksheets were handed out")
    command.add_argument("--due", type=_day, metavar="DATE", help="when they were due")
    _add_own(command)


def _recompute_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("record", type=_path, metavar="RECORD", help="the file marking-record.json")
    _add_own(command)


def _history_options(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "records",
        nargs="+",
        type=_path,
        metavar="RECORD",
        help="files marking-record.json, one for each class",
    )
    command.add_argument(
        "--to", type=_path, required=True, metavar="PLACE", help="page that ends in .html, or a folder for it"
    )
    _add_own(command)


def _print_options(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "names",
        nargs="*",
        metavar="NAME",
        help="a lesson such as 02-read-ac, or a worksheet such as charging-power (default: the whole course)",
    )
    command.add_argument(
        "--register", type=_path, metavar="CSV", help="class list with a column “id”; worksheets need it"
    )
    command.add_argument(
        "--to",
        type=_path,
        default=Path("acpower-print"),
        metavar="DIR",
        help="folder (default: acpower-print)",
    )
    command.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="size of paper (default: a4)"
    )
    _add_large_print(command, "18 point letters, for people with low vision")
    command.add_argument(
        "--region", metavar="NAME", help="region that the lessons follow, such as north-america"
    )
    _add_term_key(command, "file with the term key, for worksheets for marks")
    _add_own(command)


def _site_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("directory", type=_path, metavar="DIR", help="new folder for the site")
    command.add_argument(
        "--pyodide", type=_path, required=True, metavar="DIR", help="folder into which Pyodide was unpacked"
    )


def _demo_options(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "directory", nargs="?", type=Path, metavar="DIR", help="new folder (default: acpower-demo)"
    )


def _add_register_and_to(command: argparse.ArgumentParser, text: str) -> None:
    command.add_argument(
        "--register", type=_path, required=True, metavar="CSV", help="class list with a column “id”"
    )
    command.add_argument("--to", type=_path, required=True, metavar="DIR", help=text)


def _add_term_key(command: argparse.ArgumentParser, text: str) -> None:
    command.add_argument("--term-key", type=_path, metavar="FILE", help=text)


def _add_large_print(command: argparse.ArgumentParser, text: str) -> None:
    command.add_argument("--large-print", action="store_true", help=text)


def _add_own(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--own",
        type=_path,
        metavar="DIR",
        help="folder with your own worksheets: mark schemes and notebooks",
    )


def _count(text: str) -> int:
    if not (text.isdecimal() and 1 <= int(text) <= 1000):
        raise argparse.ArgumentTypeError(f"a whole number from 1 to 1000 is needed, not “{text}”")
    return int(text)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"a date such as 2026-12-01 is needed, not “{text}”") from None


def _moment(text: str) -> datetime:
    """Read a time; a date alone is the end of that day.

    >>> _moment("2026-12-01T12:00").hour, _moment("2026-12-01").hour
    (12, 23)
    """
    try:
        if len(text) == len("2026-12-01"):  # a day is over at midnight
            return datetime.combine(date.fromisoformat(text), time.max)
        moment = datetime.fromisoformat(text)
        return moment.astimezone().replace(tzinfo=None) if moment.tzinfo else moment  # the clock here
    except (ValueError, OverflowError):
        raise argparse.ArgumentTypeError(f"a time such as 2026-12-01T12:00 is needed, not “{text}”") from None


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


if __name__ == "__main__":
    sys.exit(main())
