"""Worksheets that misbehave: each costs its own apprentice at most, and is on record with a reason.

Every hostile worksheet records the right answers to questions 1 to 4, then misbehaves, then records
the right answers to the rest. Its honest twin does the same without the hostile cell.
"""

import os
import re
import time

import psutil
import pytest
from classroom import WORKSHEET, hand_in, hashes, right, with_cell, write_register

from acpower.marking import isolate
from acpower.marking.hand_back import hand_back
from acpower.marking.mark import mark_class
from acpower.marking.run import Limits

LIMITS = Limits(cell_seconds=6.0, worksheet_seconds=40.0)
TAG = "acpower-test-stray"

# name: (hostile cell, reason on record, is everything after the cell still marked?)
CELLS = {
    "endless": ("while True: pass", "timeout", True),
    "deaf": (
        "import signal\nsignal.signal(signal.SIGINT, signal.SIG_IGN)\nwhile True: pass",
        "timeout",
        False,
    ),
    "asleep": ("import time\ntime.sleep(1e9)", "timeout", True),
    "leaves": ("import os\nos._exit(0)", "kernel-died", False),
    "kills-itself": ("import os\nos.kill(os.getpid(), 9)", "kernel-died", False),
    "kills-parent": ("import os\nos.kill(os.getppid(), 9)", "kernel-died", False),
    "exits": ("import sys\nsys.exit(0)", "exited", True),
    "memory": ("x = bytearray(64 << 30)", "memory", True),
    "claims-much": (
        "open('answers.jsonl', 'a').write('{\"cell\": ' + '9' * 4000 + ', \"code\": \"timeout\", \"says\": \"x\", '\n"
        '    \'"records": []}\\n[[[[{"cell": -5, "code": "exited", "says": "", "records": []}\\n\')',
        "",
        True,
    ),
    "digs": ("import os\nfor _ in range(3000):\n    os.mkdir('d')\n    os.chdir('d')", "", True),
    "closes": (
        "import os\ntry:\n    os.chmod(os.environ['HOME'], 0)\nexcept PermissionError:\n    pass",
        "",
        True,
    ),
    "opens": (
        "kept = []\ntry:\n    while True: kept.append(open('/dev/null'))\nexcept OSError:\n    pass",
        "",
        True,
    ),
    "fills": (
        "for n in range(40):\n    open(f'big-{n}', 'wb').write(b'x' * (8 << 20))",
        "stopped" if isolate.level() == isolate.FULL else "",
        True,
    ),
    "prints": ("for _ in range(400): print('x' * 10_000)", "output-limit", False),
    "raises": ("1 / 0", "stopped", True),
    "deep": ("def f(n): return f(n + 1)\nf(0)", "stopped", True),
    "stray": (
        "import os, subprocess, sys\n"
        f"subprocess.Popen([sys.executable, '-c', 'import time; time.sleep(600)', '{TAG}'], start_new_session=True)",
        "",
        True,
    ),
    "patches": (
        "import builtins, math, sys, types\nbuiltins.abs = lambda x: 0\nmath.isclose = lambda *a, **k: True\n"
        "sys.modules['acpower.worksheets.verdicts'] = types.ModuleType('fake')",
        "scheme-opened",
        True,
    ),
    "shadows": (
        "for name in ('json', 'numpy', 'pytest', 'sitecustomize'):\n    open(name + '.py', 'w').write('1 / 0')",
        "",
        True,
    ),
}


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    """Mark one class of hostile worksheets, one honest one and some that lie."""
    place = tmp_path_factory.mktemp("hostile")
    folder = place / "in"
    for name, (source, _, _) in CELLS.items():
        hand_in(folder, name, with_cell(right(name), source))
    hand_in(folder, "honest", right("honest"))
    wrong = dict.fromkeys(("three_phase_power_kw", "line_current_a"), "1234567")
    forge = (
        "from IPython.display import display\n"
        "display({'application/x-acpower-answer+json': {'question': 'three_phase_power_kw', 'marks': 2, "
        "'verdict': 'right'}}, raw=True)\nprint('12 passed, 19 of 19 marks')"
    )
    hand_in(folder, "forges", with_cell(right("forges", **wrong), forge))
    hand_in(
        folder,
        "lies",
        right(
            "lies",
            phase_voltage_v="type('Lucky', (), {'__eq__': lambda *a: True, '__float__': lambda s: 230.0})()",
            single_phase_power_kw="float('nan')",
            three_phase_power_kw="float('inf')",
            line_current_a="True",
            charging_current_a="[6, 10, 13, 16, 20, 25, 32]",
            limiting_link="'<script>alert(1)</script>'",
            grid_power_kw="'=1+1'",
            battery_power_kw="'7.4 or 22.1'",
            loss_power_kw="'x' * 10_000",
            neutral_current_a="{}",
            far_end_voltage="'rises, or falls by one wire'",
        ),
    )
    once_more = "job.record('line_current_a', {})\n"
    twice = once_more.format("1") + once_more.format("line_current_a") + once_more.format("...")
    hand_in(folder, "twice", with_cell(right("twice"), twice))
    formula = (
        "from IPython.display import display\n"
        "display({'application/x-acpower-answer+json': {'question': 'phase_voltage_v', 'answer': "
        "{'kind': 'number', 'text': '=HYPERLINK(1)', 'code': '=1+1', 'trials': []}}}, raw=True)"
    )
    hand_in(folder, "injects", with_cell(right("injects", phase_voltage_v="..."), formula))
    parts = right("parts")
    parts["cells"] = [cell for cell in parts["cells"] if not cell["id"].startswith("loss-power-kw")]
    hand_in(folder, "parts", parts)
    cardless = right("cardless")
    cardless["cells"] = [cell for cell in cardless["cells"] if cell["id"] != "job-card"]
    hand_in(folder, "cardless", cardless)
    hand_in(folder, "swapped", right("honest"))  # somebody else's job card under this name
    register = write_register(
        place / "class.csv",
        *CELLS,
        "honest",
        "forges",
        "lies",
        "twice",
        "swapped",
        "injects",
        "parts",
        "cardless",
    )
    before = hashes(folder)
    result = mark_class(folder, register, limits=LIMITS)
    assert hashes(folder) == before, "marking changed a file that was handed in"
    hand_back(result, place / "marked", LIMITS)
    return {one.submission.apprentice: one for one in result.results}, place / "marked"


def marks(result):
    return [one.verdict.marks for one in result.marked.questions]


def test_the_honest_worksheet_beside_them_gets_full_marks(marked):
    results, _ = marked
    assert results["honest"].marked.marks == WORKSHEET.marks
    assert results["honest"].notes == []


@pytest.mark.parametrize("name", CELLS)
def test_a_hostile_cell_costs_its_own_worksheet_at_most(marked, name):
    results, _ = marked
    _, reason, rest_is_marked = CELLS[name]
    result = results[name]
    assert [code for code, _ in result.notes] == ([reason] if reason else [])
    full = [question.marks for question in WORKSHEET.questions]
    assert marks(result) == (full if rest_is_marked else full[:4] + [0] * 8)
    if not rest_is_marked:
        assert {one.verdict.code for one in result.marked.questions[4:]} == {"answer-missing"}


def test_no_process_is_left_behind(marked):
    deadline = time.monotonic() + 2
    while left := [p for p in psutil.process_iter(["cmdline"]) if TAG in (p.info["cmdline"] or [])]:
        assert time.monotonic() < deadline, left
        time.sleep(0.1)


def test_forged_output_brings_no_mark(marked):
    results, _ = marked
    assert marks(results["forges"]) == [1, 2, 0, 0, 1, 1, 2, 2, 1, 1, 1, 3]


def test_what_is_no_answer_is_refused_with_its_reason(marked):
    results, _ = marked
    codes = [one.verdict.code for one in results["lies"].marked.questions]
    assert codes == [
        "answer-not-a-number",
        "answer-not-finite",
        "answer-not-finite",
        "answer-not-a-number",
        "answer-not-a-number",
        "answer-not-a-choice",
        "answer-not-a-number",
        "answer-ambiguous",
        "answer-not-a-number",
        "answer-not-a-number",
        "answer-not-a-choice",
        "",
    ]
    assert marks(results["lies"]) == [0] * 11 + [3]


def test_the_last_result_on_the_job_card_counts(marked):
    results, _ = marked
    assert marks(results["twice"]) == [question.marks for question in WORKSHEET.questions]


def test_another_apprentices_job_card_is_noticed_and_judged_by_the_own_one(marked):
    results, _ = marked
    swapped = results["swapped"]
    assert [code for code, _ in swapped.notes] == ["structure-changed", "other-card"]
    assert "opened the job card of “honest”" in swapped.notes[0][1]
    assert swapped.notes[1][1].startswith("7 of 7 wrong answers fit the job card of honest.")
    assert swapped.marked.marks < WORKSHEET.marks


def test_a_cell_or_a_job_card_that_is_missing_is_told(marked):
    results, _ = marked
    assert results["parts"].notes == [
        (
            "structure-changed",
            "No cell records an answer to question 9 (Power that becomes heat in the charger): the cell was "
            "deleted or changed.",
        )
    ]
    assert results["parts"].marked.marks == WORKSHEET.marks - 1
    ((code, says),) = results["cardless"].notes
    assert code == "stopped"
    assert "The name “job” is not known here" in says


def test_a_forged_record_brings_no_formula_into_the_files(marked):
    results, folder = marked
    assert results["injects"].marked.questions[0].verdict.outcome == "blank"
    for name in ("answers.csv", "mark-sheet.csv"):
        text = (folder / name).read_text(encoding="utf-8")
        assert "HYPERLINK" not in text
        assert ",=" not in text


def test_what_was_recorded_appears_as_harmless_text(marked):
    _, folder = marked
    report = (folder / "reports" / "lies.html").read_text(encoding="utf-8")
    assert "<script" not in report
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in report
    assert "x" * 500 not in report
    assert "'=1+1" in (folder / "answers.csv").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def tried(tmp_path_factory):
    """Mark a class whose worksheets try what full isolation forbids."""
    place = tmp_path_factory.mktemp("isolation")
    folder = place / "in"
    secret = place / "secret.txt"
    secret.write_text("the instructor's own", encoding="utf-8")
    tries = {
        "reads": f"open({str(secret)!r}).read()",
        "lists": f"import os\nos.listdir({str(folder)!r})",
        "writes": "import acpower\nopen(acpower.__file__, 'a').write('# changed')",
        "kernel": "open('/proc/sys/kernel/core_pattern', 'w')",
        "network": "import socket\nsocket.create_connection(('192.0.2.1', 53), 2)",
        "forks": "import os\nfor _ in range(2000):\n    if os.fork() == 0:\n        import time; time.sleep(60)",
        "environment": (
            "import os\nfound = open('/proc/1/environ').read() if os.access('/proc/1/environ', os.R_OK) else ''\n"
            "assert 'ACPOWER_SECRET' not in found + str(dict(os.environ)), 'seen'\nassert False, 'unseen'"
        ),
    }
    for name, source in tries.items():
        hand_in(folder, name, with_cell(right(name), source))
    register = write_register(place / "class.csv", *tries)
    os.environ["ACPOWER_SECRET"] = "of the launcher"
    try:
        result = mark_class(folder, register, limits=LIMITS)
    finally:
        del os.environ["ACPOWER_SECRET"]
    return {one.submission.apprentice: one for one in result.results}


@pytest.mark.skipif(
    isolate.level() != isolate.FULL, reason="bubblewrap does not run here, so there are limits only"
)
@pytest.mark.parametrize(
    ("name", "stopped_by"),
    [
        ("reads", "FileNotFoundError"),
        ("lists", "FileNotFoundError"),
        ("writes", "(PermissionError|OSError)"),
        ("kernel", "(PermissionError|OSError)"),
        ("network", "OSError"),
        ("forks", "BlockingIOError"),
        ("environment", "AssertionError: unseen"),
    ],
)
def test_it_is_refused_inside_and_the_worksheet_is_marked(tried, name, stopped_by):
    ((code, says),) = tried[name].notes
    assert code == "stopped"
    assert re.search(f"The cell that begins with “.+” stopped: {stopped_by}", says)
    assert tried[name].marked.marks == WORKSHEET.marks


@pytest.mark.parametrize(
    "replacement",
    [
        "os.symlink(os.sys.executable, 'answers.jsonl')",
        "os.mkfifo('answers.jsonl')",
        "os.mkdir('answers.jsonl')",
    ],
)
def test_replacing_the_answers_file_changes_nothing(tmp_path, monkeypatch, replacement):
    monkeypatch.setattr(
        isolate, "level", lambda: isolate.LIMITS_ONLY
    )  # inside full isolation it stays in place
    source = f"import os\nos.remove('answers.jsonl')\n{replacement}"
    hand_in(tmp_path / "in", "A01", with_cell(right("A01"), source))
    register = write_register(tmp_path / "class.csv", "A01")
    (result,) = mark_class(tmp_path / "in", register, limits=LIMITS).results
    assert result.marked.marks == WORKSHEET.marks
    assert result.notes == []


@pytest.mark.parametrize("name", ["deaf", "kills-parent", "stray", "leaves"])
def test_with_limits_only_a_hostile_cell_still_costs_its_own_worksheet_at_most(tmp_path, monkeypatch, name):
    monkeypatch.setattr(isolate, "level", lambda: isolate.LIMITS_ONLY)
    source, reason, rest_is_marked = CELLS[name]
    tag = f"{TAG}-limits-only"
    hand_in(tmp_path / "in", name, with_cell(right(name), source.replace(TAG, tag)))
    hand_in(tmp_path / "in", "honest", right("honest"))
    register = write_register(tmp_path / "class.csv", name, "honest")
    hostile, honest = mark_class(tmp_path / "in", register, limits=LIMITS).results
    assert honest.notes == []
    assert honest.marked.marks == WORKSHEET.marks
    assert [code for code, _ in hostile.notes] == ([reason] if reason else [])
    assert (hostile.marked.marks == WORKSHEET.marks) == rest_is_marked
    assert not [p for p in psutil.process_iter(["cmdline"]) if tag in (p.info["cmdline"] or [])]
