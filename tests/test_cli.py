"""The command line from outside: exit codes, sentences, and nothing lost."""

import os
import subprocess
import sys
import time
from datetime import UTC, datetime

import psutil
import pytest
from classroom import hand_in, hashes, issued, right, with_cell, write_register
from command import acpower, check_that_ctrl_c_ends, environment, start_acpower

from acpower.cli import main


def marks_of(folder):
    lines = (folder / "mark-sheet.csv").read_text(encoding="utf-8").splitlines()
    return {line.split(",")[0]: line.split(",")[4] for line in lines[1:]}


def test_hand_out_then_mark_ends_with_0_when_nothing_is_left_to_decide(tmp_path):
    write_register(tmp_path / "class.csv", "A01", "A02")
    done = acpower("hand-out", "charging-power", "--register", "class.csv", "--to", "out", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "In out: 2 worksheets “Work out charging power” for practice." in done.stdout
    for apprentice in ("A01", "A02"):
        hand_in(tmp_path / "in", apprentice, right(apprentice))
    marked = acpower("mark", "in", "--register", "class.csv", "--to", "marked", cwd=tmp_path)
    assert marked.returncode == 0, marked.stdout + marked.stderr
    assert "Marked: 2 of 2 worksheets." in marked.stdout
    assert "2/2 worksheets" in marked.stderr  # the progress bar
    assert marks_of(tmp_path / "marked") == {"A01": "19", "A02": "19"}


def test_bad_files_and_a_bad_register_end_with_1_and_the_rest_is_marked(tmp_path):
    write_register(tmp_path / "class.csv", "A01", "A02", "A03", "A03", "A04")
    hand_in(tmp_path / "in", "A01", right("A01"))
    (tmp_path / "in" / "charging-power_A02.ipynb").write_text("not a notebook", encoding="utf-8")
    hand_in(tmp_path / "in", "A03", right("A03"))
    (tmp_path / "in" / "notes.txt").write_text("hello", encoding="utf-8")
    before = hashes(tmp_path / "in")
    marked = acpower("mark", "in", "--register", "class.csv", "--to", "marked", cwd=tmp_path)
    assert marked.returncode == 1
    assert "Traceback" not in marked.stderr
    assert marks_of(tmp_path / "marked") == {"A01": "19", "A02": "", "A04": ""}
    for sentence in (
        "lists the id “A03” 2 times",
        "A02, charging-power: The file is not a readable notebook",
        "A04, charging-power: Nothing was handed in",
        "notes.txt: This is not a notebook",
        "charging-power_A03.ipynb: The id in the file name is not in the register",
    ):
        assert sentence in marked.stdout
    assert hashes(tmp_path / "in") == before


def test_a_folder_that_the_system_refuses_is_told_with_what_to_check(tmp_path, capsys):
    register = write_register(tmp_path / "class.csv", "A01")
    too_long = tmp_path / ("a" * 300)  # longer than any file system of ours allows
    assert main(["hand-out", "charging-power", "--register", str(register), "--to", str(too_long)]) == 2
    says = capsys.readouterr().err
    assert f"acpower: {too_long} cannot be used (" in says
    assert "Check also the path" in says


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["mark", "empty", "--register", "class.csv", "--to", "marked"], "The folder empty is empty"),
        (["mark", "nowhere", "--register", "class.csv", "--to", "marked"], "There is no folder nowhere"),
        (["mark", "in", "--register", "none.csv", "--to", "marked"], "The register none.csv cannot be read"),
        (
            ["hand-out", "welding", "--register", "class.csv", "--to", "out"],
            "The worksheets are|the worksheets are",
        ),
        (
            ["mark", "in", "--register", "class.csv", "--to", "marked", "--cell-seconds", "0"],
            "from 1 to 3600 seconds",
        ),
        (["mark", "in"], "required: --register, --to"),
        (["mark", "in", "--register", "class.csv", "--to", ""], "a path is needed"),
        (["mark", "in", "--register", "class.csv", "--to", "in"], "a folder of their own"),
        (
            ["mark", "in", "--register", "class.csv", "--to", "class.csv"],
            "is a file where a folder is needed",
        ),
        (["mark", "in", "--register", "in", "--to", "marked"], "is not a file"),
        (["demo", "in"], "in is there already"),
    ],
)
def test_a_wrong_call_ends_with_2_a_sentence_and_nothing_written(tmp_path, words, says):
    write_register(tmp_path / "class.csv", "A01")
    (tmp_path / "empty").mkdir()
    hand_in(tmp_path / "in", "A01", issued("A01"))
    before = hashes(tmp_path)
    done = acpower(*words, cwd=tmp_path)
    assert done.returncode == 2
    assert any(part in done.stderr for part in says.split("|")), done.stderr
    assert "Traceback" not in done.stderr
    assert hashes(tmp_path) == before


@pytest.mark.parametrize(("folder", "register"), [("nowhere", "class.csv"), ("in", "none.csv")])
def test_a_mistyped_path_is_told_before_the_isolation_is_tried_out(
    tmp_path, monkeypatch, capsys, folder, register
):
    write_register(tmp_path / "class.csv", "A01")
    hand_in(tmp_path / "in", "A01", issued("A01"))

    def tried(**_):
        raise AssertionError("the isolation was tried out")

    monkeypatch.setattr("acpower.marking.isolation.check", tried)
    monkeypatch.chdir(tmp_path)
    assert main(["mark", folder, "--register", register, "--to", "marked"]) == 2
    said = capsys.readouterr()
    assert "nowhere" in said.err or "none.csv" in said.err
    assert "Isolation" not in said.out


def test_an_earlier_marking_is_not_overwritten(tmp_path):
    write_register(tmp_path / "class.csv", "A01")
    hand_in(tmp_path / "in", "A01", right("A01"))
    (tmp_path / "marked").mkdir()
    (tmp_path / "marked" / "marking-record.json").write_text("{}", encoding="utf-8")
    done = acpower("mark", "in", "--register", "class.csv", "--to", "marked", cwd=tmp_path)
    assert done.returncode == 2
    assert "Choose a new folder, or delete this one, if nothing in it counts." in done.stderr


def test_a_folder_with_nothing_but_strays_is_told_and_recorded(tmp_path):
    write_register(tmp_path / "class.csv", "A01")
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "photo.jpg").write_bytes(b"x")
    done = acpower("mark", "in", "--register", "class.csv", "--to", "marked", cwd=tmp_path)
    assert done.returncode == 1, done.stderr
    assert "Check that folder and class list are of the same class." in done.stdout
    assert "photo.jpg: This is not a notebook" in done.stdout
    assert "photo.jpg" in (tmp_path / "marked" / "class-picture.html").read_text(encoding="utf-8")


def at_work_in(scratch: str) -> list[psutil.Process]:
    """Return the processes that run a worksheet below a folder; the marker itself works in the folder."""
    found = psutil.process_iter(["cwd"])
    return [p for p in found if (p.info["cwd"] or "").startswith(scratch + os.sep)]


def test_ctrl_c_ends_everything_at_once_and_without_a_traceback(tmp_path):
    write_register(tmp_path / "class.csv", "A01")
    hand_in(
        tmp_path / "in", "A01", with_cell(right("A01"), "import time\ntime.sleep(600)  # acpower-test-ctrl-c")
    )
    scratch = str(tmp_path)
    process = start_acpower("mark", "in", "--register", "class.csv", "--to", "marked", cwd=tmp_path)
    deadline = time.monotonic() + 60
    while not at_work_in(scratch) and time.monotonic() < deadline:
        time.sleep(0.2)
    assert at_work_in(scratch)
    check_that_ctrl_c_ends(process)
    assert not (tmp_path / "marked").exists()
    assert not at_work_in(scratch)


def test_help_names_every_command_and_every_exit_code(tmp_path):
    text = acpower("--help", cwd=tmp_path).stdout
    for word in ("study", "hand-out", "mark", "demo", "  0  done", "  1  done, but", "  2  the call"):
        assert word in text


def test_marking_by_both_routes_gives_the_same_verdicts(tmp_path):
    """The plain pytest + nbval route passes exactly the cells whose answers are marked right."""
    hand_in(
        tmp_path / "in",
        "A01",
        right("A01", phase_voltage_v="job.card.line_voltage / 2", loss_power_kw="99", limiting_link="..."),
    )
    write_register(tmp_path / "class.csv", "A01")
    acpower("mark", "in", "--register", "class.csv", "--to", "marked", cwd=tmp_path)
    lines = (tmp_path / "marked" / "answers.csv").read_text(encoding="utf-8").splitlines()[1:]
    right_when_marked = [line.split(",")[5] in ("right", "carried forward") for line in lines]
    options = f"-c {os.devnull} --rootdir . -p no:cacheprovider --color=no -v --nbval-lax --nbval-current-env"
    plain = subprocess.run(
        [sys.executable, "-m", "pytest", *options.split(), "in/charging-power_A01.ipynb"],
        cwd=tmp_path,
        env=environment(),
        capture_output=True,
        encoding="utf-8",
        check=False,
    ).stdout
    cells = [
        line for line in plain.splitlines() if "::Cell" in line and ("PASSED" in line or "FAILED" in line)
    ]
    in_order = [line for line in cells if not line.startswith("FAILED")][2:]
    assert ["PASSED" in line for line in in_order] == right_when_marked
    assert right_when_marked == [False, True, True, True, True, False, True, True, False, True, True, True]
    assert "phase_voltage_v: Not yet. Your answer fits a known error: the line voltage was halved." in plain
    assert "limiting_link: Nothing is recorded here yet." in plain


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["sample", "marked", "--size", "0"], "a whole number from 1 to 1000 is needed, not “0”"),
        (["export", "marked", "--due", "soon"], "a date such as 2026-12-01 is needed, not “soon”"),
        (["mark", "in", "--due", "noon"], "a time such as 2026-12-01T12:00 is needed, not “noon”"),
        (["mark", "in", "--cell-seconds", "0"], "a time limit from 1 to 3600 seconds is needed, not “0”"),
        (
            ["mark", "in", "--cell-seconds", "long"],
            "a time limit from 1 to 3600 seconds is needed, not “long”",
        ),
    ],
)
def test_a_number_or_date_that_will_not_do_is_told_what_is_needed(words, says, capsys):
    with pytest.raises(SystemExit) as ended:
        main(words)
    assert ended.value.code == 2
    assert says in capsys.readouterr().err


def test_a_due_time_with_an_offset_is_that_time_on_the_clock_here(monkeypatch):
    asked = []
    monkeypatch.setattr("acpower.commands.mark", lambda options: asked.append(options.due) or 0)
    for due in ("2026-12-01T12:00", "2026-12-01T12:00+09:00", "2026-12-01T12:00Z"):
        assert main(["mark", "in", "--register", "class.csv", "--to", "out", "--due", due]) == 0
    plain, tokyo, utc = asked
    assert plain == datetime(2026, 12, 1, 12)
    assert tokyo.astimezone(UTC) == datetime(2026, 12, 1, 3, tzinfo=UTC)
    assert utc.astimezone(UTC) == datetime(2026, 12, 1, 12, tzinfo=UTC)
