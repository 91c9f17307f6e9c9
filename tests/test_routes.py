"""The ways by which worksheets are run come to the same verdicts, and a marking that was killed goes on."""

import json
import os
import re
import signal
import subprocess
import sys
import time

import psutil
import pytest
from classroom import hand_in, right, with_cell, write_register

from acpower.marking import isolation, so_far
from acpower.marking.demo import DEMO_LIMITS, prepare
from acpower.marking.hand_out import hand_out_class
from acpower.marking.machines import ThisMachine
from acpower.marking.mark import mark_class
from acpower.marking.record import record_of
from acpower.marking.register import read_register
from acpower.marking.run import Limits, Told
from acpower.marking.term_key import make_term_key
from acpower.marking.user_mistake import UserMistake
from acpower.marking.workers import LimitsOnlyWorker, run_all
from acpower.worksheets.schemes import find_worksheet


class WithLimitsOnly:
    """This machine, run as one that gives no full isolation."""

    isolation = isolation.LIMITS_ONLY

    def run_all(self, worksheets, limits, *, for_marks):
        return run_all(worksheets, limits, LimitsOnlyWorker)


class Counting(ThisMachine):
    """This machine, and how many worksheets it has run."""

    ran = 0

    def run_all(self, worksheets, limits, *, for_marks):
        self.ran += len(worksheets)
        return super().run_all(worksheets, limits, for_marks=for_marks)


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """Mark the invented class in full isolation."""
    register, folder = prepare(tmp_path_factory.mktemp("routes") / "demo")
    return register, folder, mark_class(folder, register, limits=DEMO_LIMITS)


def without_seconds(result):
    return {name: value for name, value in record_of(result).items() if name != "seconds"}


def test_copies_of_a_warm_python_and_ordinary_kernels_give_the_same_record(demo):
    register, folder, warm = demo
    ordinary = mark_class(folder, register, limits=DEMO_LIMITS, machines=WithLimitsOnly())
    assert warm.isolation == isolation.FULL, "the other route is what this test compares with"
    assert ordinary.isolation == isolation.LIMITS_ONLY
    assert list(map(without_seconds, ordinary.results)) == list(map(without_seconds, warm.results))


def test_pytest_with_nbval_alone_comes_to_the_same_verdicts(demo):
    _, folder, warm = demo
    files = {one.submission.apprentice: folder / one.submission.file for one in warm.results if one.marked}
    del files["F12"]  # its loop would take the time that nbval gives a cell by itself
    options = ["-q", "-c", "/dev/null", "--rootdir", str(folder), "-p", "no:cacheprovider", "--tb=no", "-rA"]
    options += ["--color=no", "-n", "2", "--dist", "loadfile"]
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "pytest",
            *options,
            "--nbval-lax",
            "--nbval-current-env",
            *map(str, files.values()),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    passed = set(
        re.findall(r"^(PASSED|FAILED) \S*?charging-power_(F\d\d)\.ipynb::Cell (\d+)", done.stdout, re.M)
    )
    for result in warm.results:
        apprentice = result.submission.apprentice
        if apprentice not in files:
            continue
        cells = [re.search(r'record\("(\w+)"', source) for source in result.submission.cells]
        for number, found in enumerate(cells):
            if found:
                (one,) = [one for one in result.marked.questions if one.question.name == found[1]]
                word = "PASSED" if one.verdict.passed else "FAILED"
                assert (word, apprentice, str(number)) in passed, (apprentice, found[1])


def test_a_marking_that_was_killed_goes_on_and_loses_nothing(tmp_path):
    tag = f"acpower-killed-{tmp_path.name}"
    slow = f"import subprocess, sys, time\nsubprocess.Popen(['sleep', '300', '{tag}'][:2])\ntime.sleep(1)"
    ids = [f"K{number}" for number in range(8)]
    for one in ids:
        hand_in(tmp_path / "in", one, with_cell(right(one), slow))
    register = write_register(tmp_path / "class.csv", *ids)
    kept = tmp_path / "marked" / so_far.NAME
    where = ["--register", str(register), "--to", str(tmp_path / "marked")]
    begun = subprocess.Popen(
        [sys.executable, "-m", "acpower.cli", "mark", str(tmp_path / "in"), *where],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        deadline = time.monotonic() + 60
        while not kept.exists() or len(kept.read_text(encoding="utf-8").splitlines()) < 3:
            assert begun.poll() is None
            assert time.monotonic() < deadline
            time.sleep(0.05)
        below = psutil.Process(begun.pid).children(recursive=True)
        begun.send_signal(signal.SIGKILL)
    finally:
        begun.kill()
        begun.wait()
    _, left = psutil.wait_procs(below, timeout=10)  # two seconds where no other test runs beside it
    assert not left, "with the marker everything ends that it has started"
    with kept.open("a", encoding="utf-8") as file:
        file.write('{"key": "cut of')  # what a machine that goes down leaves
    before = len(kept.read_text(encoding="utf-8").splitlines()) - 1
    machine = Counting()
    result = mark_class(tmp_path / "in", register, so_far=kept, machines=machine)
    assert machine.ran == len(ids) - before
    assert [one.marked.marks for one in result.results] == [19] * len(ids)
    assert [one.notes for one in result.results] == [[]] * len(ids)
    keys = [json.loads(line)["key"] for line in kept.read_text(encoding="utf-8").splitlines()]
    assert len(keys) == len(set(keys)) == len(ids)


@pytest.mark.parametrize("change", ["file", "limits"])
def test_what_was_run_otherwise_is_run_again(tmp_path, change):
    hand_in(tmp_path / "in", "A01", right("A01"))
    register = write_register(tmp_path / "class.csv", "A01")
    kept = tmp_path / "kept"
    machine = Counting()
    for limits in (Limits(), Limits(), Limits(30, 60) if change == "limits" else Limits()):
        mark_class(tmp_path / "in", register, so_far=kept, limits=limits, machines=machine)
        if machine.ran == 1 and change == "file":
            continue
    assert machine.ran == (2 if change == "limits" else 1)
    if change == "file":
        hand_in(tmp_path / "in", "A01", right("A01", line_current_a="5"))
        mark_class(tmp_path / "in", register, so_far=kept, machines=machine)
        assert machine.ran == 2


@pytest.mark.parametrize(
    "damage",
    [
        lambda line: line.replace(b'"lines": [', b'"lines": 3, "x": ['),
        lambda line: line.replace(b'"lines": [', b'"lines": "3", "x": ['),
        lambda line: line.replace(b'"lines": [', b'"x": ['),
        lambda line: line.replace(b'"last_words": ""', b'"last_words": null'),
        lambda line: line.replace(b'"key": ', b'"key": [], "x": '),
        lambda line: line.replace(b"22", b"\xff", 1),
        lambda line: b"[" * 100_000 + b"\n",
        lambda line: b"9" * 5000 + b"\n",
        lambda line: b"\0" * 512 + line,
        lambda line: b"[1]\n",
    ],
    ids=[
        "lines a number",
        "lines a text",
        "no lines",
        "no last words",
        "key a list",
        "not UTF-8",
        "nested",
        "long number",
        "NUL",
        "a list",
    ],
)
def test_of_a_damaged_file_of_runs_only_whole_lines_count(tmp_path, damage):
    path = tmp_path / so_far.NAME
    told = Told([{"cell": 0, "code": "", "says": "", "records": ["22"], "seconds": 0.5}])
    for key in ("first", "second"):
        so_far.SoFar(path).keep(key, told)
    first, second = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(damage(first) + second)
    kept = so_far.SoFar(path)
    assert (kept.find("first"), kept.find("second")) == (None, told)


def test_what_is_run_again_because_of_a_damaged_line_gets_its_marks(tmp_path):
    hand_in(tmp_path / "in", "A01", right("A01"))
    register = write_register(tmp_path / "class.csv", "A01")
    kept = tmp_path / "kept"
    machine = Counting()
    mark_class(tmp_path / "in", register, so_far=kept, machines=machine)
    kept.write_bytes(kept.read_bytes().replace(b'"lines": [', b'"lines": "", "x": ['))
    (result,) = mark_class(tmp_path / "in", register, so_far=kept, machines=machine).results
    assert (machine.ran, result.marked.marks, result.notes) == (2, 19, [])


@pytest.mark.parametrize("stands_there", ["folder", "link", "link to nothing", "pipe"])
def test_what_is_no_file_of_runs_is_told_and_left_as_it_was(tmp_path, stands_there):
    path, other = tmp_path / so_far.NAME, tmp_path / "other"
    if stands_there == "folder":
        path.mkdir()
    elif stands_there == "pipe":
        os.mkfifo(path)
    else:
        path.symlink_to(other)
    if stands_there == "link":
        other.write_bytes(b"not the marker's")
    hand_in(tmp_path / "in", "A01", right("A01"))
    with pytest.raises(UserMistake, match=r"not a file that a marking has written\. Move it away"):
        mark_class(tmp_path / "in", write_register(tmp_path / "class.csv", "A01"), so_far=path)
    assert not other.exists() or other.read_bytes() == b"not the marker's"


def test_without_full_isolation_nothing_is_marked_unless_somebody_says_so(tmp_path, monkeypatch):
    hand_in(tmp_path / "in", "A01", right("A01"))
    register = write_register(tmp_path / "class.csv", "A01")
    monkeypatch.setattr(isolation, "_probed", lambda: (isolation.LIMITS_ONLY, "it is a test"))
    with pytest.raises(
        UserMistake, match=r"no full isolation \(it is a test\), and nothing was.*--limits-only"
    ):
        mark_class(tmp_path / "in", register)
    assert ThisMachine(accept_limits_only=True).isolation == isolation.LIMITS_ONLY


def test_a_machine_that_cannot_end_what_a_worksheet_leaves_behind_marks_nothing(monkeypatch):
    monkeypatch.setattr(isolation, "_seen", lambda worker, expected: "a process still runs")
    with pytest.raises(UserMistake, match=r"cannot be run apart .* \(a process still runs\)"):
        isolation._probed.__wrapped__()


def test_the_probe_sees_a_sandbox_with_a_hole(monkeypatch):
    monkeypatch.setitem(isolation._INSIDE, "see a file outside", "done")
    saw = isolation._seen(lambda: isolation.WarmWorker(for_marks=False), isolation._INSIDE)
    assert saw == "a worksheet that tried to see a file outside: refused"


def test_a_probe_that_failed_once_is_tried_again(monkeypatch):
    found = iter(["the machine is busy", ""])
    monkeypatch.setattr(isolation, "_seen", lambda worker, expected: next(found))
    assert isolation._probed.__wrapped__() == (isolation.FULL, "")


LOOKS = """
import sys
from pathlib import Path
import acpower
found = [name for name in sys.modules if any(part in name for part in ("schemes", "verdict", "judge", "worked"))]
folder = Path(acpower.__file__).parent
found += list((folder / "worksheets" / "schemes").iterdir()) + list((folder / "marking").iterdir())
try:
    import acpower.worksheets.schemes.charging_power
    found.append("imported")
except ImportError:
    pass
try:
    from acpower.worksheets import job_card
    found.append("job_card")
except ImportError:
    pass
"""


def test_a_worksheet_for_marks_finds_no_mark_scheme_where_it_runs(tmp_path):
    worksheet = find_worksheet("charging-power")
    register = write_register(tmp_path / "class.csv", "A01")
    term_key = make_term_key(tmp_path / "term.key")
    hand_out_class(worksheet, read_register(register), tmp_path / "in", term_key)
    path = tmp_path / "in" / "charging-power_A01.ipynb"
    notebook = json.loads(path.read_text(encoding="utf-8"))
    for cell in notebook["cells"]:
        if cell["id"] == "limiting-link-answer":
            cell["source"] = f'{LOOKS}\njob.record("limiting_link", "found: " + repr(found))'
    path.write_text(json.dumps(notebook), encoding="utf-8")
    (result,) = mark_class(tmp_path / "in", register, term_key=term_key).results
    (answer,) = [one.answer for one in result.marked.questions if one.question.name == "limiting_link"]
    assert answer.text == "found: []", result.notes
