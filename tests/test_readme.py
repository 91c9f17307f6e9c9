"""Every command of README.md is run here, in the order of the page, or named with the place where it is."""

import csv
import json
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from command import environment

from acpower import notebooks
from acpower.marking.demo import RIGHT, fill_in

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "README.md").read_text(encoding="utf-8")


class Run(NamedTuple):
    """A command that is run: what stands on the screen afterwards, what is made, what comes before."""

    says: str
    makes: str = ""
    before: Callable[[Path], object] = lambda folder: None
    exit_code: int = 0


def commands(page: str) -> list[str]:
    """Return the lines of the blocks of commands, and what begins like a command inside a sentence."""
    found = re.findall(
        r"^ *```sh\n(.*?)^ *```$|`((?:\.venv|acpower-env)/bin/[^`\s]+ [^`]+)`", page, re.DOTALL | re.MULTILINE
    )
    lines = [line.strip() for block, inline in found for line in (block or inline).splitlines()]
    return [command for line in lines for command in line.split(" && ")]


def csv_blocks() -> list[str]:
    blocks = re.findall(r"^ *```csv\n(.*?)^ *```$", PAGE, re.DOTALL | re.MULTILINE)
    return ["".join(f"{line.strip()}\n" for line in block.splitlines()) for block in blocks]


def write_class_list(folder: Path) -> None:
    (folder / "class.csv").write_text(csv_blocks()[0], encoding="utf-8")


def write_settled(folder: Path) -> None:
    (folder / "settled.csv").write_text(csv_blocks()[1], encoding="utf-8")


def filled_in(handed_out: Path, taken_in: Path, **slips: str) -> None:
    """Fill in what was handed out; A07's worksheet has the slips."""
    taken_in.mkdir()
    for path in handed_out.glob("*.ipynb"):
        answers = {**RIGHT, **(slips if "A07" in path.name else {})}
        notebook = fill_in(json.loads(path.read_text(encoding="utf-8")), answers)
        (taken_in / path.name).write_text(notebooks.canonical(notebook), encoding="utf-8", newline="\n")


def take_in(folder: Path) -> None:
    """A02's file is damaged on its way; it lies beside the folder."""
    filled_in(folder / "handed-out", folder / "taken-in", line_current_a='"31,459"')
    (folder / "taken-in" / "charging-power_A02.ipynb").rename(folder / "good.ipynb")
    (folder / "taken-in" / "charging-power_A02.ipynb").write_text("{", encoding="utf-8")


def take_in_the_good_file(folder: Path) -> None:
    shutil.copy(folder / "good.ipynb", folder / "taken-in" / "charging-power_A02.ipynb")


def fill_in_second_marks(folder: Path) -> None:
    """The second marker gives full marks for everything, and says why."""
    path = folder / "marked-again" / "second-marks.csv"
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows({**row, "second_mark": row["out_of"], "why": "method seen"} for row in rows)


def keep_two_years(folder: Path) -> None:
    shutil.copytree(folder / "marked-again", folder / "autumn")
    shutil.copytree(folder / "marked-for-marks", folder / "spring")


RUN = {
    ".venv/bin/acpower hand-out charging-power --register class.csv --to handed-out": Run(
        "3 worksheets", "handed-out/charging-power_A07.ipynb", write_class_list
    ),
    ".venv/bin/acpower mark taken-in --register class.csv --to marked": Run(
        "A07, charging-power: Question 4", "marked/reports/A07.html", take_in, exit_code=1
    ),
    ".venv/bin/acpower second-marks marked settled.csv --who MK": Run(
        "A07, line_current_a: 0 → 2 (A07 writes a decimal comma)", "marked/changes-by-hand.csv", write_settled
    ),
    ".venv/bin/acpower mark taken-in --register class.csv --to marked-again --changes marked/changes-by-hand.csv": (
        Run("Marked: 3 of 3 worksheets.", "marked-again/changes-by-hand.csv", take_in_the_good_file)
    ),
    ".venv/bin/acpower sample marked-again --seed autumn": Run("20 answers", "marked-again/second-marks.csv"),
    ".venv/bin/acpower second-marks marked-again marked-again/second-marks.csv --who LT": Run(
        "Second marks: 20", "", fill_in_second_marks
    ),
    ".venv/bin/acpower export marked-again --names class.csv": Run(
        "Written", "marked-again/mark-sheet-with-names.csv"
    ),
    ".venv/bin/acpower export marked-again --one-roster SCHOOL CLASS SESSION"
    " --assigned 2026-11-02 --due 2026-12-01": Run("Written", "marked-again/one-roster.zip"),
    ".venv/bin/acpower recompute marked-again/marking-record.json": Run("Every decision comes out as it is"),
    ".venv/bin/acpower hand-out charging-power --register class.csv --to for-marks --term-key my-term.key": Run(
        "A new term key", "my-term.key"
    ),
    ".venv/bin/acpower mark taken-in-for-marks --register class.csv --to marked-for-marks --term-key my-term.key": (
        Run(
            "Marked: 3 of 3",
            "marked-for-marks/class-picture.html",
            lambda folder: filled_in(folder / "for-marks", folder / "taken-in-for-marks"),
        )
    ),
    ".venv/bin/acpower history autumn/marking-record.json spring/marking-record.json --to history.html": Run(
        "counts only", "history.html", keep_two_years
    ),
    ".venv/bin/acpower check own/bench-heater.py": Run(
        "is in order", "", lambda folder: shutil.copytree(ROOT / "tests" / "own_worksheet", folder / "own")
    ),
    ".venv/bin/pytest --nbval-lax taken-in/charging-power_A07.ipynb": Run(
        "31,459 can be read in two ways", exit_code=1
    ),
}

# What is tried in another place, with folders of its own: its file, and words that stand there.
ELSEWHERE = {
    "python3 -m venv .venv": (".ci/run", "documented 'python3 -m venv .venv'"),
    '.venv/bin/pip install -e ".[test]"': (".ci/run", "documented '.venv/bin/pip install"),
    ".venv/bin/acpower demo": (".ci/run", '/bin/acpower" demo'),
    ".venv/bin/pytest -n 2 --dist loadfile": (".ci/run", "documented '.venv/bin/pytest"),
    ".venv/bin/acpower study my-course": ("tests/test_study.py", "test_a_copy_is_opened"),
    ".venv/bin/acpower print charging-power --register class.csv --to printed": (
        "tests/test_printing.py",
        'acpower("print", "read-ac", "--register", "class.csv", "--to", "out"',
    ),
    ".venv/bin/acpower print --to printed": (
        "tests/test_printing.py",
        "test_every_lesson_is_whole_on_its_page",
    ),
    ".venv/bin/pip wheel . --wheel-dir wheels": (".ci/run", ".venv/bin/pip wheel . --no-deps --wheel-dir"),
    "python3 -m venv acpower-env": (".ci/run", '"$newest" -m venv "$scratch/venv"'),
    "acpower-env/bin/pip install --no-index --find-links wheels acpower": (
        ".ci/run",
        '"$scratch/venv/bin/pip" install "$scratch"/acpower-*.whl',
    ),
    "acpower-env/bin/acpower study my-course": (".ci/run", '"$scratch/venv/bin/acpower" study'),
    '.venv/bin/pip install -e ".[site]"': ("pyproject.toml", "\nsite = ["),
    ".venv/bin/acpower site my-site --pyodide pyodide": ("tests/test_site.py", 'main(["site", str(place)'),
    ".venv/bin/python -m http.server --bind 127.0.0.1 --directory my-site": (
        "tests/test_site.py",
        "ThreadingHTTPServer",
    ),
}


def test_every_command_is_run_here_or_named_with_its_place() -> None:
    there = commands(PAGE)
    assert set(there) - RUN.keys() == ELSEWHERE.keys()
    assert [command for command in there if command in RUN] == list(RUN)
    for place, words in ELSEWHERE.values():
        assert words in (ROOT / place).read_text(encoding="utf-8")


def test_the_commands_work_one_after_the_other(tmp_path: Path) -> None:
    (tmp_path / ".venv").symlink_to(sys.prefix)
    for command, run in RUN.items():
        run.before(tmp_path)
        done = subprocess.run(
            shlex.split(command),
            cwd=tmp_path,
            env=environment(),
            capture_output=True,
            encoding="utf-8",
            check=False,
        )
        told = f"{command}\n{done.stdout}{done.stderr}"
        assert done.returncode == run.exit_code, told
        assert run.says in done.stdout, told
        assert (tmp_path / run.makes).exists(), told


def test_pictures_are_there_small_and_told_in_words() -> None:
    shown = re.findall(r"!\[([^\]]*)\]\(([^)]+)\)", PAGE)
    assert {path for _, path in shown} == {
        path.relative_to(ROOT).as_posix() for path in (ROOT / "tests" / "readme_pictures").iterdir()
    }
    assert all(len(words) > 60 for words, _ in shown)
    assert all((ROOT / path).stat().st_size < 60_000 for _, path in shown)


def test_links_lead_to_headings_of_the_page() -> None:
    headings = {words.lower().replace(" ", "-") for words in re.findall(r"^#+ (.*)$", PAGE, re.MULTILINE)}
    links = set(re.findall(r"\]\(#([^)]+)\)", PAGE))
    assert links
    assert links <= headings
