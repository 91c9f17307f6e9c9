"""An instructor's own worksheet, from the check to the mark sheet; and what the check says of faults."""

import json
import shutil
from pathlib import Path

import pytest
from classroom import fill_in, write_register

from acpower import notebooks
from acpower.cli import main
from acpower.marking.hand_out import hand_out_class
from acpower.marking.mark import mark_class
from acpower.marking.register import read_register
from acpower.marking.term_key import make_term_key
from acpower.worksheets import job_card
from acpower.worksheets.check import problems
from acpower.worksheets.own import _OWN, NotAWorksheet, load_worksheet, use_own_worksheets
from acpower.worksheets.schemes import WORKSHEETS

EXAMPLE = Path(__file__).parent / "own_worksheet"
NAME = "bench-heater"
RIGHT = {
    "current_a": "job.card.power / job.card.voltage",
    "energy_wh": "job.card.power * job.card.minutes / 60",
    "connecting": '"D, B, A, C"',
    "part": '"the resistor"',
}
SWAPPED = {**RIGHT, "connecting": '"DBCA"', "energy_wh": "job.card.power * job.card.minutes"}


@pytest.fixture
def own(tmp_path) -> Path:
    """Return a copy of the example that a test may change; the course is as before afterwards."""
    before = dict(WORKSHEETS)
    shutil.copytree(EXAMPLE, tmp_path / "own")
    yield tmp_path / "own"
    WORKSHEETS.clear()
    WORKSHEETS.update(before)
    _OWN.clear()


def edited(own: Path, old: str, new: str, suffix: str = ".py") -> Path:
    path = own / f"{NAME}{suffix}"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    return own / f"{NAME}.py"


def found(own: Path) -> list[str]:
    path = own / f"{NAME}.py"
    return problems(load_worksheet(path), path.with_suffix(".ipynb"), cards=40)


def test_the_example_is_in_order(own, capsys):
    assert found(own) == []
    assert main(["check", str(own / f"{NAME}.py")]) == 0
    assert "is in order: 4 questions" in capsys.readouterr().out


@pytest.mark.parametrize("for_marks", [False, True], ids=["practice", "marks"])
def test_it_is_handed_out_filled_in_and_marked_as_any_other(own, tmp_path, for_marks, capsys):
    place = tmp_path
    write_register(place / "class.csv", "A01", "A02")
    more = ["--own", str(own), *(["--term-key", str(place / "term.key")] if for_marks else [])]
    where = ["--register", str(place / "class.csv"), "--to"]
    assert main(["hand-out", NAME, *where, str(place / "out"), *more]) == 0
    assert (place / "out" / f"{NAME}.py").exists() is not for_marks
    for apprentice, answers in (("A01", RIGHT), ("A02", SWAPPED)):
        path = place / "out" / f"{NAME}_{apprentice}.ipynb"
        filled = fill_in(json.loads(path.read_text(encoding="utf-8")), answers)
        path.write_text(notebooks.canonical(filled), encoding="utf-8")
    assert main(["mark", str(place / "out"), *where, str(place / "marked"), *more]) == 0
    rows = (place / "marked" / "mark-sheet.csv").read_text(encoding="utf-8").splitlines()
    assert [row.split(",")[4] for row in rows[1:]] == ["8", "5"]
    answers = (place / "marked" / "answers.csv").read_text(encoding="utf-8")
    assert "neighbours-swapped" in answers
    assert "minutes-not-converted" in answers
    assert main(["recompute", str(place / "marked" / "marking-record.json"), "--own", str(own)]) == 0


@pytest.mark.parametrize("for_marks", [False, True], ids=["practice", "marks"])
def test_a_cell_of_a_worksheet_for_marks_finds_no_mark_scheme_beside_it(own, tmp_path, for_marks):
    register = write_register(tmp_path / "class.csv", "A01")
    use_own_worksheets(own)
    term_key = make_term_key(tmp_path / "term.key") if for_marks else None
    hand_out_class(WORKSHEETS[NAME], read_register(register), tmp_path / "out", term_key)
    path = tmp_path / "out" / f"{NAME}_A01.ipynb"
    look = '"resistor" if __import__("pathlib").Path("bench-heater.py").exists() else "switch"'
    filled = fill_in(json.loads(path.read_text(encoding="utf-8")), {**RIGHT, "part": look})
    path.write_text(notebooks.canonical(filled), encoding="utf-8")
    result = mark_class(tmp_path / "out", register, term_key=term_key).results[0]
    assert result.marked.questions[-1].answer.text == ("switch" if for_marks else "resistor")


def test_a_picture_that_was_pasted_into_a_question_is_handed_out(own, tmp_path):
    notebook = json.loads((own / f"{NAME}.ipynb").read_text(encoding="utf-8"))
    picture = {"wires.png": {"image/png": "iVBORw0KGgo="}}
    for cell in notebook["cells"]:
        if cell["id"] == "current-a-question":
            cell["attachments"] = picture
    (own / f"{NAME}.ipynb").write_text(notebooks.canonical(notebook), encoding="utf-8")
    use_own_worksheets(own)
    register = read_register(write_register(tmp_path / "class.csv", "A01"))
    (file,) = hand_out_class(WORKSHEETS[NAME], register, tmp_path / "out").files
    cells = {cell["id"]: cell for cell in json.loads(file.read_text(encoding="utf-8"))["cells"]}
    assert cells["current-a-question"]["attachments"] == picture


def test_an_apprentice_practises_it_with_the_scheme_beside_the_notebook(own, monkeypatch):
    monkeypatch.chdir(own)
    job = job_card(NAME, version="1", apprentice="A01")
    job.record("current_a", job.card.power / job.card.voltage)


# ---- What the check says

FAULTS = {
    "error inside the tolerance": (
        "card.power * card.minutes,",
        "card.power * card.minutes / 60 * 1.002,",
        "counts as right",
    ),
    "two errors, one value": (
        "lambda card, earlier: card.voltage * card.power",
        "lambda card, earlier: card.voltage / card.power",
        "both give",
    ),
    "key stops": ("return card.power / card.voltage", "return card.power / 0", "its key stops: ZeroDivision"),
    "key not finite": (
        "return card.power / card.voltage",
        'return float("inf")',
        "Question current_a: its key is inf. Refuse such cards in `possible`.",
    ),
    "no such entry": ("card.minutes / 60,\n    working", "card.hours,\n    working", "has no entry 'hours'"),
    "working": (
        "W / {card.voltage} V = {show(current(card, earlier))} A",
        "W / {card.voltage} V",
        "last number of its working",
    ),
    "listed in order": ('"DBAC"', '"ABCD"', "listed in the right order already"),
    "no permutation": ('"DBAC"', '"DBAA"', "use each letter once"),
    "hints": (
        '"Divide the power by the voltage.",',
        '"Power is voltage times current.",',
        "three different hints",
    ),
    "keeps": ("keeps=1", "keeps=3", "keeps 3 of 3 marks"),
    "level": ("level=3", "level=4", "its level must be"),
    "needs": ("level=3,", 'level=3,\n    needs=("no_such",),', "goes on from no_such"),
    "name twice": ('name="part"', 'name="connecting"', "two questions have this name"),
    "marks as text": ("marks=3", 'marks="3"', "Question energy_wh: its marks must be a whole number"),
    "one source": ("sources=(COMMON_PRACTICE,)", "sources=COMMON_PRACTICE", "its sources must be a list"),
    "unit as text": ('"kWh": 1000', '"kWh": "1000"', "what one of it is worth in Wh"),
    "no values": ('"V", (12, 24)', '"V", ()', "The entry voltage needs a list of values"),
    "lesson": ('lesson="own"', "lesson=None", "lesson must be a text"),
    "working stops": (
        'working=lambda card, earlier: "The resistor"',
        "working=lambda card, earlier: card.part",
        "Question part: what stands in line 101 stops: AttributeError: the job card has no entry 'part'",
    ),
    "error stops": (
        "lambda card, earlier: card.voltage * card.power",
        "lambda card: card.voltage * card.power",
        "Question current_a: its working, or a formula of its known errors, stops: TypeError",
    ),
    "error of another card": (
        "lambda card, earlier: card.voltage * card.power",
        "lambda card, earlier: card.volts * card.power",
        "Question current_a: what stands in line 41 stops: AttributeError",
    ),
    "needs left out": (
        "key=lambda card, earlier: card.power * card.minutes / 60,",
        "key=lambda card, earlier: earlier.current_a * card.voltage * card.minutes / 60,",
        'Question energy_wh: its key goes on from current_a. Write needs=("current_a",)',
    ),
    "no card": (
        "questions=(current_a",
        "possible=lambda card: False,\n    questions=(current_a",
        "no possible job card",
    ),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_in_the_scheme_is_told_in_words(own, fault):
    old, new, says = FAULTS[fault]
    edited(own, old, new)
    assert says in "\n".join(found(own))


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("(2 marks)\\n", "(3 marks)\\n", "no heading “## 1. Current of the heater (2 marks)”"),
        ("current-a-answer", "other-answer", "no cell has the id current-a-answer"),
        ('"job-card"', '"card"', "no cell has the id job-card"),
        ("- **B** connect", "- **B** link", "lacks the line “- **B** connect the meter in series”"),
        ("version=\\\"1\\\"", "version=\\\"2\\\"", "the cell job-card does not open this worksheet"),
        ("= job_card(", "= card(", "the cell job-card does not open this worksheet"),
        ("job.record(\\\"part\\\", part)", "job.record(\\\"parts\\\", part)", 'no line job.record("part", part)'),
    ],
)  # fmt: skip
def test_a_fault_in_the_notebook_is_told_in_words(own, old, new, says):
    edited(own, old, new, ".ipynb")
    assert says in "\n".join(found(own))


@pytest.mark.parametrize(
    "picture",
    ["![image.png](attachment:image.png)", "![the circuit](wires.png)", "<img src='wires.png' width='300'>"],
    ids=["pasted", "file", "html"],
)
def test_a_picture_that_paper_and_report_would_lack_is_told_in_one_sentence(own, picture):
    edited(
        own,
        "## 1. Current of the heater (2 marks)\\n",
        f"## 1. Current of the heater (2 marks)\\n{picture}\\n",
        ".ipynb",
    )
    [says] = found(own)
    assert says.startswith(f"{NAME}.ipynb: the cell current-a-question shows a picture.")
    assert says.endswith("describe it in words instead.")


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('name="bench-heater"', 'name="heater"', "must have the same name"),
        ("WORKSHEET = ", "OTHER = ", "defines no WORKSHEET"),
        ("ORDER, WORDS =", "ORDER WORDS =", "line 6, SyntaxError"),
        ("    level=1,\n", "", "missing 1 required keyword-only argument: 'level'"),
    ],
)
def test_a_file_that_is_no_scheme_is_refused_with_the_line(own, capsys, old, new, says):
    path = edited(own, old, new)
    assert main(["check", str(path)]) == 2
    assert says in capsys.readouterr().err


def test_an_ordinary_python_file_among_own_worksheets_is_refused_with_what_to_do(own, tmp_path, capsys):
    (own / "timetable.py").write_text("LESSONS = 10\n", encoding="utf-8")
    write_register(tmp_path / "class.csv", "A01")
    places = ["--register", str(tmp_path / "class.csv"), "--to", str(tmp_path / "out"), "--own", str(own)]
    assert main(["hand-out", NAME, *places]) == 2
    says = capsys.readouterr().err
    assert "timetable.py defines no WORKSHEET = Worksheet(...)." in says
    assert "if not, move it out of the folder of your own worksheets." in says


def test_a_missing_file_a_missing_notebook_and_a_name_of_the_course_are_refused(own, tmp_path):
    with pytest.raises(NotAWorksheet, match="There is no file"):
        load_worksheet(tmp_path / "none.py")
    with pytest.raises(NotAWorksheet, match="is not a Python file"):
        load_worksheet(tmp_path)
    with pytest.raises(NotAWorksheet, match="holds no Python file"):
        use_own_worksheets(tmp_path / "nowhere")
    (own / f"{NAME}.ipynb").unlink()
    assert "cannot be read" in found(own)[0]
    (own / f"{NAME}.py").rename(own / "charging-power.py")
    path = own / "charging-power.py"
    path.write_text(path.read_text(encoding="utf-8").replace(NAME, "charging-power"), encoding="utf-8")
    with pytest.raises(NotAWorksheet, match="the course has a worksheet of this name"):
        use_own_worksheets(own)
