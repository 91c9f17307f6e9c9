"""Hostile files, answers, names and packages: each costs its own apprentice at most, and is told.

The attacks are those of ``attacks_files.py``, marked in one class by the real command; the invariants
I1 to I8 are the project's own promises. ``attack_results_files.csv`` holds what came of each attack.
"""

import csv
import hashlib
import json
import os
import re
import shutil
import stat
import tempfile
import time
from collections.abc import Iterator
from math import isfinite
from pathlib import Path
from typing import Any

import pytest
from attacks_files import (
    ATTACKS,
    CANARY,
    COLUMNS,
    ELEMENT,
    FULL,
    HONEST,
    MOST_MEMORY,
    PAPER,
    SLIPS,
    TABLE,
    Outcome,
    honest_files,
    hostile_class,
    mark,
    results_table,
)
from bs4 import BeautifulSoup
from classroom import WORKSHEET, hand_in, right, write_register
from hostile_runs import ORDINARY_USER

from acpower.marking import handed_in_file
from acpower.marking.handed_in_file import read_file
from acpower.marking.register import read_register
from acpower.marking.scratch import remove
from acpower.marking.sheets import cell_text
from acpower.marking.submission import NotUsable
from acpower.marking.take_in import RECORD_NAME, normal_name, take_in
from acpower.marking.term_key import read_term_key
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.answers import LONGEST_TEXT

pytestmark = pytest.mark.skipif(
    not hasattr(os, "mkfifo"), reason="this system has no pipes and links in folders"
)
ACTIVE = (
    "script",
    "iframe",
    "object",
    "embed",
    "link",
    "base",
    "form",
    "a",
    "audio",
    "video",
    "foreignobject",
)
LOADS = re.compile(r"url\(|@import|javascript:|https?:", re.IGNORECASE)
SCHEMA_OF_SVG = "http://www.w3.org/2000/svg"
MOST_DISK = 20 * 2**20  # bytes of all that is written for the class


def tree(folder: Path) -> dict[str, Any]:
    """Return what stands below a folder, links and devices too, with the hash of each file of usual size."""
    found: dict[str, Any] = {}
    for place, folders, files in os.walk(folder):
        for name in folders + files:
            path = Path(place, name)
            about = path.lstat()
            usual = stat.S_ISREG(about.st_mode) and about.st_size < 20 * 2**20
            digest = hashlib.sha256(path.read_bytes()).hexdigest() if usual else ""
            target = os.readlink(path) if path.is_symlink() else ""
            found[str(path)] = (
                about.st_mode,
                about.st_size,
                about.st_mtime_ns,
                about.st_nlink,
                digest,
                target,
            )
    return found


@pytest.fixture(scope="module")
def places(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Give a folder that is gone afterwards, whatever is in it."""
    place = tmp_path_factory.mktemp("attacks-files")
    yield place
    remove(place)


@pytest.fixture(scope="module")
def marked(places: Path) -> Outcome:
    """Mark the class with every attack in it."""
    folder, register = hostile_class(places / "hostile")
    before = tree(places / "hostile")
    outcome = mark(places / "hostile", folder, register)
    after = tree(places / "hostile")
    written = {path for path in after.keys() - before.keys() if "marked" not in Path(path).parts}
    assert written == {str(places / "hostile" / "log.txt")}, "I4: something else was written"
    assert {path: after.get(path) for path in before} == before, "I4: something was changed"
    return outcome


@pytest.fixture(scope="module")
def undisturbed(places: Path) -> Outcome:
    """Mark the same class where only the honest ones hand something in."""
    place = places / "undisturbed"
    (place / "in").mkdir(parents=True)
    honest_files(place / "in")
    register = write_register(place / "class.csv", HONEST, SLIPS, PAPER, *(one.name for one in ATTACKS))
    return mark(place, place / "in", register)


def test_the_marker_ends_by_itself_and_nobody_sees_a_traceback(marked: Outcome) -> None:
    assert marked.status == 1, marked.log[-2000:]
    assert "Traceback" not in marked.log
    assert f"Marked: {sum(one['status'] == 'marked' for one in marked.record['worksheets'])} of" in marked.log


def test_the_honest_ones_get_to_the_byte_what_they_get_without_the_attackers(
    marked: Outcome, undisturbed: Outcome
) -> None:
    for who in (HONEST, SLIPS, PAPER):
        report = Path("reports", f"{who}.html")
        assert (marked.results / report).read_bytes() == (undisturbed.results / report).read_bytes()
        for sheet in ("mark-sheet.csv", "answers.csv"):
            lines = [
                [
                    line
                    for line in (one.results / sheet).read_text("utf-8").splitlines()
                    if line.startswith(f"{who},")
                ]
                for one in (marked, undisturbed)
            ]
            assert lines[0] == lines[1] != []


def test_the_honest_twin_of_every_attack_gets_full_marks(undisturbed: Outcome) -> None:
    assert undisturbed.told_of(HONEST) == (set(), list(FULL))
    assert undisturbed.told_of(PAPER)[1] == [*FULL[:-1], 0], "a function on paper is marked by hand"


@pytest.mark.parametrize("attack", ATTACKS, ids=lambda attack: f"{attack.number}-{attack.name}")
def test_an_attack_brings_no_mark_and_is_on_record_with_its_reason(marked: Outcome, attack: Any) -> None:
    assert marked.is_safe(attack), (marked.told_of(attack.name), attack.codes, attack.marks)
    (own,) = (one for one in marked.record["worksheets"] if one["id"] == attack.name)
    assert all(note["says"] for note in own["notes"])
    assert own["notes"] or own["status"] == "marked"


def test_the_table_says_what_comes_of_each_attack(marked: Outcome) -> None:
    with TABLE.open(encoding="utf-8", newline="") as file:
        header, *rows = [tuple(row) for row in csv.reader(file)]
    assert header == COLUMNS
    assert {row[-1] for row in rows} == {"yes"}
    assert rows == results_table(marked)


def test_everything_handed_in_is_inert_text_in_reports_and_pages(marked: Outcome) -> None:
    seen = 0
    for page in [*(marked.results / "reports").iterdir(), marked.results / "class-picture.html"]:
        text = page.read_text(encoding="utf-8")
        soup = BeautifulSoup(text, "html.parser")
        assert not soup.find_all(ACTIVE), page.name
        assert not soup.find_all("img") or page.name == "class-picture.html"
        for element in soup.find_all(True):
            assert CANARY not in element.name
            for name, value in element.attrs.items():
                assert not name.startswith("on"), (page.name, name)
                assert name not in ("href", "xlink:href", "action", "srcdoc"), (page.name, name)
                assert name != "src" or value.startswith("data:image/png;base64,"), (page.name, value)
                assert CANARY not in f"{name}{value}", (page.name, name)
                assert value == SCHEMA_OF_SVG or not LOADS.search(str(value)), (page.name, value)
        for style in soup.find_all("style"):
            assert not LOADS.search(style.get_text())
            assert CANARY not in style.get_text()
        assert not re.search(r"(x|d|9)\1{200}", text), (
            f"{page.name} holds something longer than {LONGEST_TEXT} signs"
        )
        assert not re.search("[\0-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069]", text), page.name
        seen += ELEMENT in soup.get_text()
    assert seen >= 6, "the attack did not arrive, so nothing was tested"


def test_no_cell_of_a_sheet_is_run_as_a_formula(marked: Outcome) -> None:
    neutralised = negative = 0
    for sheet in ("mark-sheet.csv", "answers.csv"):
        with (marked.results / sheet).open(encoding="utf-8", newline="") as file:
            for cell in (cell for row in csv.reader(file) for cell in row):
                if cell.strip(" ")[:1] in tuple("=+-@\t\r\n＝＋－＠"):
                    assert isfinite(float(cell)), cell
                    negative += 1
                assert len(cell) < 2000, cell
                assert cell.isprintable(), cell
                neutralised += cell.startswith("'")
    assert neutralised >= 6
    assert negative >= 1, "a negative number arrives as a number"


@pytest.mark.parametrize("text", [*(f"{sign}1+1" for sign in "=+-@\t\r\n＝＋－＠"), "  =1+1"])
def test_a_text_that_a_spreadsheet_would_run_is_neutralised(text: str) -> None:
    assert cell_text(text) == f"'{text}".replace("\r", "\n")


def test_time_memory_and_disk_stay_inside_their_limits(marked: Outcome) -> None:
    assert marked.megabytes < MOST_MEMORY, marked.megabytes
    written = sum(path.stat().st_size for path in marked.results.rglob("*") if path.is_file())
    assert written < MOST_DISK, written
    assert len(marked.log) < 200_000


def test_a_flood_of_files_costs_seconds_and_the_honest_one_is_marked(places: Path) -> None:
    place = places / "flood"
    hand_in(place / "in", HONEST, right(HONEST))
    for number in range(10_000):
        (place / "in" / f"{number}.txt").touch()
    for number in range(2_000):
        copy = place / "in" / f"{WORKSHEET.name}_flood ({number}).ipynb"
        copy.write_text('{"cells": [], "metadata": {}, "nbformat": 4}' + " " * number, encoding="utf-8")
    outcome = mark(place, place / "in", write_register(place / "class.csv", HONEST, "flood"))
    assert (outcome.status, "Traceback" in outcome.log) == (1, False)
    assert outcome.told_of(HONEST) == (set(), list(FULL))
    assert len(outcome.record["not_of_the_register"]) == 10_000 + 1_999
    assert (outcome.results / RECORD_NAME).stat().st_size < MOST_DISK


@pytest.mark.parametrize(("name", "depth"), [("d", 1500), ("d" * 250, 20)])
def test_folders_nested_as_deep_as_the_system_allows_are_told(tmp_path: Path, name: str, depth: int) -> None:
    folder = tmp_path / "in"
    hand_in(folder, "A01", right("A01"))
    before = Path.cwd()
    try:
        os.chdir(folder)
        for _ in range(depth):
            os.mkdir(name)
            os.chdir(name)
        Path("x" * 100).touch()
    finally:
        os.chdir(before)
    try:
        first, deep = take_in(folder, read_register(write_register(tmp_path / "class.csv", "A01")))
    finally:
        remove(folder / name)
    assert (first.file, first.status) == ("charging-power_A01.ipynb", "accepted")
    assert deep.file.startswith(f"{name}/{name}"[:100])
    assert deep.status == "refused"
    assert deep.says


def test_whoever_uses_the_name_of_another_is_not_marked_in_silence(tmp_path: Path) -> None:
    hand_in(tmp_path / "in", "A01", right("A01"))
    hand_in(tmp_path / "in" / "A02", "A01", right("A01", loss_power_kw="1"))
    taken = take_in(tmp_path / "in", read_register(write_register(tmp_path / "class.csv", "A01", "A02")))
    assert [one.code for one in taken] == ["handed-in-twice", "handed-in-twice", "not-handed-in"]
    assert "A02/charging-power_A01.ipynb" in taken[0].says + taken[1].says


def test_two_lines_of_one_id_on_paper_are_both_a_query(tmp_path: Path) -> None:
    columns = ",".join(f"q{number}" for number in range(1, 12))
    lines = [f"A01,{WORKSHEET.version},,{value}{',' * 10}" for value in (1, 2)]
    path = tmp_path / "in" / f"{WORKSHEET.name}_paper.csv"
    path.parent.mkdir()
    path.write_text("\n".join([f"id,version,term,{columns}", *lines, ""]), encoding="utf-8")
    taken = take_in(path.parent, read_register(write_register(tmp_path / "class.csv", "A01")))
    assert [(one.status, one.code) for one in taken] == [("query", "handed-in-twice")] * 2


def test_a_name_with_many_copy_marks_is_read_at_once() -> None:
    began = time.monotonic()
    assert normal_name("x" + "-copy(1)" * 30 + "y.ipynb") == "x" + "-copy(1)" * 30 + "y.ipynb"
    assert normal_name("x" + "-copy(1)" * 30 + ".ipynb") == "x.ipynb"
    assert time.monotonic() - began < 1


@pytest.fixture
def no_look_before(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a file pass as one: another takes its place between the look and the reading."""
    monkeypatch.setattr(handed_in_file, "check_is_file", lambda path: None)


@pytest.mark.usefixtures("no_look_before")
@pytest.mark.parametrize(
    "take_its_place",
    [
        lambda path: path.symlink_to(__file__),
        lambda path: path.symlink_to("/dev/zero"),
        os.mkfifo,
        os.mkdir,
        lambda path: None,
    ],
    ids=["a link", "a link to a device", "a pipe", "a folder", "nothing"],
)
def test_what_takes_the_place_of_a_file_is_refused_and_not_waited_for(
    tmp_path: Path, take_its_place: Any
) -> None:
    path = tmp_path / "x.ipynb"
    take_its_place(path)
    with pytest.raises(NotUsable) as refused:
        read_file(path)
    assert refused.value.code == "bad-file"


def test_a_file_that_grows_while_it_is_read_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "x.ipynb"
    path.write_bytes(b"x" * 100)
    about = os.stat_result((*path.stat()[:6], 10, *path.stat()[7:]))  # its size as it was before
    monkeypatch.setattr(handed_in_file, "LARGEST_FILE", 50)
    monkeypatch.setattr(os, "fstat", lambda descriptor: about)
    with pytest.raises(NotUsable) as refused:
        read_file(path)
    assert refused.value.code == "too-large"


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system has no copies of processes")
@pytest.mark.filterwarnings("ignore:.*fork:DeprecationWarning")  # threads of the runner; the copy needs none
def test_an_ordinary_user_is_told_of_files_and_folders_that_are_closed() -> None:
    place = Path(tempfile.mkdtemp())
    try:
        place.chmod(0o755)
        hand_in(place / "in", "A01", right("A01"))
        hand_in(place / "in", "A02", right("A02")).chmod(0)
        hand_in(place / "in" / "closed", "A03", right("A03"))
        hand_in(place / "in" / "listed", "A04", right("A04"))
        (place / "in" / "listed").chmod(0o644)  # its names can be seen, and nothing else of its files
        (place / "in" / "closed").chmod(0)
        register = read_register(write_register(place / "class.csv", "A01"))
        read, write = os.pipe()
        if os.fork() == 0:
            try:
                if os.geteuid() == 0:
                    os.setgroups([])
                    os.setgid(ORDINARY_USER)
                    os.setuid(ORDINARY_USER)
                told = {one.file: one.code for one in take_in(place / "in", register)}
                os.write(write, json.dumps(told).encode())
            finally:
                os._exit(0)
        os.close(write)
        os.wait()
        with os.fdopen(read, "rb") as answer:
            told = json.loads(answer.read())
    finally:
        for name in ("closed", "listed"):
            (place / "in" / name).chmod(0o755)
        shutil.rmtree(place)
    assert told["charging-power_A01.ipynb"] == ""
    assert told["charging-power_A02.ipynb"] == told["closed"] == "bad-file"
    assert told["listed/charging-power_A04.ipynb"] in ("bad-file", "unsafe-name")


@pytest.mark.parametrize(
    ("text", "ids"),
    [
        ("id,name\nA1,=cmd()\n", ("A1",)),
        (f"id,name\nA1,{'x' * 100_000}\n", ("A1",)),
        (f"id\nA1\n{ELEMENT}\n=1+1\n../x\n\u202eA2\nCON.txt\n", ("A1",)),
        ("id\nA1\n\0\n", ("A1",)),
        ("id\n" + "".join(f"B{number}\n" for number in range(100_000)), None),
    ],
    ids=["formula", "long name", "ids", "nul", "100000 lines"],
)
def test_a_hostile_register_sets_aside_what_it_cannot_use(tmp_path: Path, text: str, ids: Any) -> None:
    path = tmp_path / "class.csv"
    path.write_text(text, encoding="utf-8")
    began = time.monotonic()
    register = read_register(path)
    assert all(register.find(one.lower()) == one for one in register.ids)
    assert time.monotonic() - began < 20
    assert len(register.ids) == 100_000 if ids is None else register.ids == ids
    assert all(len(one) <= LONGEST_TEXT and one.isprintable() for one in register.names.values())
    assert all(one.isprintable() for one in register.problems)


@pytest.mark.parametrize(
    "held",
    [b"", b"0" * 64 + b"\n" + b"1" * 64, b"\xff" * 64, b"\xef\xbb\xbf" + b"0" * 64, b"\0" * 64, b"key"],
)
def test_what_is_no_term_key_is_refused_in_words_that_do_not_repeat_it(tmp_path: Path, held: bytes) -> None:
    path = tmp_path / "term.key"
    path.write_bytes(held)
    with pytest.raises(UserMistake, match="holds no term key") as refused:
        read_term_key(path)
    assert "0" * 64 not in str(refused.value)


def test_a_folder_as_term_key_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UserMistake, match="holds no term key"):
        read_term_key(tmp_path)
