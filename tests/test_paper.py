"""Answers given on paper, typed into a CSV, are marked by the same rules as those of a notebook."""

import csv
from datetime import datetime
from pathlib import Path

import pytest
from classroom import RIGHT, WORKSHEET, fill_in, issued, write_register

from acpower import notebooks
from acpower.cli import main
from acpower.marking.hand_out import file_name
from acpower.marking.mark import mark_class
from acpower.marking.paper import by_hand, take_in_paper, write_paper_form
from acpower.marking.register import read_register
from acpower.marking.term_key import make_term_key
from acpower.worksheets.scheme import Number

NAME = WORKSHEET.name
FUNCTIONS = by_hand(WORKSHEET)
MARKS_ON_PAPER = WORKSHEET.marks - sum(question.marks for question in FUNCTIONS)


@pytest.fixture
def place(tmp_path) -> Path:
    write_register(tmp_path / "class.csv", "A01", "A02", "A03")
    (tmp_path / "in").mkdir()
    write_paper_form(WORKSHEET, ("A01", "A02", "A03"), tmp_path / "in")
    return tmp_path


def form(place: Path) -> Path:
    return place / "in" / f"{NAME}_paper.csv"


def answers(apprentice: str, term_key: str | None = None) -> dict[str, str]:
    """Write right answers the way a person would: three figures, a decimal comma, a unit."""
    card = WORKSHEET.card(apprentice, *([term_key] if term_key else []))
    keys = WORKSHEET.keys(card)
    written = {}
    for number, question in enumerate(WORKSHEET.questions, start=1):
        if isinstance(question, Number):
            text = f"{getattr(keys, question.name):.3g}".replace(".", ",")
            written[f"q{number}"] = f"{text} {question.unit}".strip()
        elif question not in FUNCTIONS:
            written[f"q{number}"] = getattr(keys, question.name)
    return written


def type_in(path: Path, filled: dict[str, dict[str, str]]) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row.update(filled.get(row["id"], {}))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)


def marked(place: Path, term_key: str | None = None):
    return mark_class(place / "in", place / "class.csv", term_key=term_key)


def test_the_form_has_a_line_for_each_apprentice_and_a_column_for_each_question(place):
    header, *lines = form(place).read_text(encoding="utf-8").splitlines()
    columns = header.split(",")
    assert columns[:3] == ["id", "version", "term"]
    assert len(columns) == 3 + len(WORKSHEET.questions) - len(FUNCTIONS)
    assert [line.split(",")[0] for line in lines] == ["A01", "A02", "A03"]


def test_a_form_that_is_there_is_kept(place):
    type_in(form(place), {"A01": {"q1": "230"}})
    before = form(place).read_bytes()
    write_paper_form(WORKSHEET, ("A01",), place / "in")
    assert form(place).read_bytes() == before


def test_answers_from_paper_are_judged_by_the_same_rules(place):
    wrong = {**answers("A02"), "q1": "", "q3": "11 or 12"}
    type_in(form(place), {"A01": answers("A01"), "A02": wrong})
    first, second, third = marked(place).results
    assert (first.status, first.marked.marks) == ("marked", MARKS_ON_PAPER)
    assert [code for code, _ in first.notes] == ["by-hand"]
    assert second.marked.questions[0].verdict.outcome == "blank"
    assert second.marked.questions[2].verdict.code == "answer-ambiguous"
    assert third.status == "missing"


def test_a_number_that_can_be_read_in_two_ways_is_asked_about(place):
    type_in(form(place), {"A01": {**answers("A01"), "q3": "11,085"}})
    first = marked(place).results[0]
    assert first.notes[-1] == (
        "answer-ambiguous",
        "Question 3 (Power of a three-phase vehicle): 11,085 can be read in two ways. Write 11085 or 11.0850. Ask "
        "A01, and settle it with acpower second-marks.",
    )


def test_what_a_person_may_still_read_is_shown_and_a_mark_by_hand_settles_it(place, capsys):
    number = 1 + [question.name for question in WORKSHEET.questions].index("limiting_link")
    link = answers("A01")[f"q{number}"]
    typed = {"q1": f"about {'x' * 60}", f"q{number}": f"{link} (the smallest)", "q3": "11,085"}
    type_in(form(place), {"A01": {**answers("A01"), **typed}})
    to, call = place / "marked", ["--register", str(place / "class.csv"), "--to"]
    assert main(["mark", str(place / "in"), *call, str(to)]) == 1
    said = capsys.readouterr().out
    assert "second-marks" in (to / "class-picture.html").read_text(encoding="utf-8")
    assert f"A01, {NAME}: Not read, and so without marks: question 1 (" in said
    assert f"“about {'x' * 54} …”; question {number} (" in said
    assert f"“{link} (the smallest)”" in said
    settled = [("phase_voltage_v", 1), ("limiting_link", 1), ("three_phase_power_kw", 2)]
    settled += [(question.name, question.marks) for question in FUNCTIONS]
    rows = [f"A01,{NAME},{name},{marks},said so" for name, marks in settled]
    filled = place / "filled.csv"
    filled.write_text("\n".join(["id,worksheet,question,second_mark,why", *rows]) + "\n", encoding="utf-8")
    assert main(["second-marks", str(to), str(filled), "--who", "MK"]) == 0
    with (to / "mark-sheet.csv").open(encoding="utf-8", newline="") as file:
        first = next(csv.DictReader(file))
    assert (first["marks"], first["reason"], first["what_to_do"]) == (str(WORKSHEET.marks), "", "")
    assert "second-marks" not in (to / "class-picture.html").read_text(encoding="utf-8")
    # one of them settled leaves the others open
    filled.write_text("\n".join(["id,worksheet,question,second_mark,why", rows[0]]) + "\n", encoding="utf-8")
    assert main(["mark", str(place / "in"), *call, str(place / "again")]) == 1
    assert main(["second-marks", str(place / "again"), str(filled), "--who", "MK"]) == 0
    with (place / "again" / "mark-sheet.csv").open(encoding="utf-8", newline="") as file:
        first = next(csv.DictReader(file))
    assert first["reason"] == "by-hand answer-ambiguous answer-not-read"
    assert "about x" not in first["what_to_do"]


def test_a_paper_is_not_late_because_it_was_typed_in_later(place):
    type_in(form(place), {"A01": answers("A01")})
    result = mark_class(place / "in", place / "class.csv", due=datetime(2020, 1, 1))
    assert [code for code, _ in result.results[0].notes] == ["by-hand"]


def test_paper_and_notebook_of_the_same_answers_get_the_same_marks(place):
    type_in(form(place), {"A01": answers("A01")})
    content = fill_in(issued("A02"), RIGHT)
    (place / "in" / file_name(NAME, "A02")).write_text(notebooks.canonical(content), encoding="utf-8")
    first, second, _ = marked(place).results
    on_paper = [one for one in first.marked.questions if one.question not in FUNCTIONS]
    in_notebook = [one for one in second.marked.questions if one.question not in FUNCTIONS]
    assert [one.marks for one in on_paper] == [one.marks for one in in_notebook]


def test_paper_and_notebook_of_one_apprentice_are_a_query(place):
    type_in(form(place), {"A01": answers("A01")})
    content = fill_in(issued("A01"), RIGHT)
    (place / "in" / file_name(NAME, "A01")).write_text(notebooks.canonical(content), encoding="utf-8")
    result = marked(place)
    assert result.results[0].status == "query"
    assert result.results[0].notes[0][0] == "handed-in-twice"


def test_paper_for_marks_needs_its_term_key(place, tmp_path):
    term_key = make_term_key(tmp_path / "term.key")
    form(place).unlink()
    write_paper_form(WORKSHEET, ("A01", "A02", "A03"), place / "in", term_key)
    type_in(form(place), {"A01": answers("A01", term_key)})
    assert marked(place, term_key).results[0].marked.marks == MARKS_ON_PAPER
    assert marked(place).results[0].notes[0][0] == "other-hand-out"


@pytest.mark.parametrize(
    ("change", "status", "says"),
    [
        ({"id": "Z99"}, "query", "is not in the register"),
        ({"version": "0"}, "query", "answers to version 0"),
        ({"term": "0123456789ab"}, "query", "handed out for marks"),
    ],
)
def test_a_line_that_fits_nobody_is_a_query_and_the_others_are_marked(place, change, status, says):
    type_in(form(place), {"A01": {**answers("A01"), **change}, "A02": answers("A02")})
    result = marked(place)
    told = [(one.status, one.notes[0][1]) for one in result.results if one.status != "missing" and one.notes]
    told += [(stray.status, stray.says) for stray in result.strays]
    assert any(one == status and says in words for one, words in told)
    assert sum(one.status == "marked" for one in result.results) == 1


@pytest.mark.parametrize(
    ("name", "text", "status"),
    [
        ("no-such_paper.csv", "id,version,term\nA01,1,\n", "query"),
        (f"{NAME}_paper.csv", "id,answer\nA01,3\n", "refused"),
        (f"{NAME}_paper.csv", 'id,"version\n', "refused"),
        (f"{NAME}_paper.csv", "", "refused"),
    ],
)
def test_a_file_that_is_no_form_is_told(tmp_path, name, text, status):
    register = read_register(write_register(tmp_path / "class.csv", "A01"))
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    (submission,) = take_in_paper(path, path.name, register, None)
    assert submission.status == status
    assert submission.says


def test_printing_writes_the_form_and_marking_the_folder_takes_it(place):
    to = place / "printed"
    call = ["print", NAME, "--register", str(place / "class.csv"), "--to", str(to)]
    assert main(call) in (0, 1)  # 1 where no browser makes PDF files
    assert (to / f"{NAME}_paper.csv").read_text(encoding="utf-8").startswith("id,version,term,q1")
