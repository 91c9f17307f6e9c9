"""Answers that lie, cells that forge them, worksheets with parts missing: judged as what they are, and told.

Worksheets that attack the marker itself are in test_attacks_inside.py.
"""

import json

import pytest
from classroom import RIGHT, WORKSHEET, fill_in, hand_in, hashes, right, with_cell, write_register

from acpower.cli import main
from acpower.marking import mark
from acpower.marking.hand_back import hand_back
from acpower.marking.judge import judge_worksheet
from acpower.marking.mark import mark_class
from acpower.marking.run import Limits
from acpower.marking.term_key import read_term_key

LIMITS = Limits(cell_seconds=20.0, worksheet_seconds=60.0)


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    """Mark one class of worksheets that lie, beside an honest one."""
    place = tmp_path_factory.mktemp("hostile")
    folder = place / "in"
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
    assert "There is no job card yet" in says


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


# Inside the worksheet everything that could tell right answers is looked for; what is found stops the cell.
SEARCH = """
import gc, importlib, pathlib, sys
import acpower
seen = [name for name in sys.modules if name.startswith(("acpower.marking.judge", "acpower.worksheets.schemes."))]
seen += [type(one).__name__ for one in gc.get_objects() if type(one).__name__ in ("Worksheet", "KnownError", "Number")]
frame = sys._getframe()
while frame:
    seen += [name for name in frame.f_locals if "key" in name.casefold() and "keyboard" not in name.casefold()]
    frame = frame.f_back
for name in ("acpower.worksheets.schemes.charging_power", "acpower.marking.judge"):
    try:
        importlib.import_module(name)
        seen.append(name)
    except ImportError:
        pass
package = pathlib.Path(acpower.__file__).parent
seen += [str(path) for place in ("worksheets/schemes", "marking") for path in (package / place).iterdir()]
seen += [str(path) for path in package.rglob("*solution*")]
if seen:
    raise ValueError(seen)
"""


def test_in_a_worksheet_for_marks_no_right_answer_is_to_be_found(tmp_path):
    """Attacks A30, A36 and A40: neither in memory nor on disk."""
    register = write_register(tmp_path / "class.csv", "A01")
    key = tmp_path / "own" / "term.key"
    where = ["--register", str(register), "--to", str(tmp_path / "out"), "--term-key", str(key)]
    assert main(["hand-out", WORKSHEET.name, *where]) == 0
    (handed_out,) = (tmp_path / "out").glob("*.ipynb")
    notebook = fill_in(json.loads(handed_out.read_text(encoding="utf-8")), RIGHT)
    hand_in(tmp_path / "in", "A01", with_cell(notebook, SEARCH))
    (result,) = mark_class(tmp_path / "in", register, term_key=read_term_key(key), limits=LIMITS).results
    assert [says for code, says in result.notes if code != "scheme-opened"] == []
    assert result.marked.marks == WORKSHEET.marks


def test_what_cannot_be_judged_is_for_a_person_and_the_rest_is_marked(tmp_path, monkeypatch):
    """A fault of our own, such as a formula of a mark scheme that stops on a card."""
    for name in ("A01", "A02"):
        hand_in(tmp_path / "in", name, right(name))

    def stops(worksheet, card, answers):
        if card.apprentice == "A01":
            raise ZeroDivisionError("division by zero")
        return judge_worksheet(worksheet, card, answers)

    monkeypatch.setattr(mark, "judge_worksheet", stops)
    register = write_register(tmp_path / "class.csv", "A01", "A02")
    first, second = mark_class(tmp_path / "in", register, limits=LIMITS).results
    assert (first.status, first.marked) == ("query", None)
    ((code, says),) = first.notes
    assert code == "not-judged"
    assert "division by zero" in says
    assert "Mark it by hand" in says
    assert second.marked.marks == WORKSHEET.marks
