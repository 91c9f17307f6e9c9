"""Worksheets for marks: own numbers, no verdict, and nothing that could be worked out from an id."""

import json
import os
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from classroom import RIGHT, fill_in

from acpower import notebooks
from acpower.cli import main
from acpower.marking.mark import mark_class
from acpower.marking.run import Limits
from acpower.marking.take_in import normal_name
from acpower.marking.term_key import make_term_key, read_term_key, term_mark
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets import NotYet, answering, marked_card
from acpower.worksheets.schemes import find_worksheet

NAME = "charging-power"
WORKSHEET = find_worksheet(NAME)
LIMITS = Limits(cell_seconds=20, worksheet_seconds=60)


@pytest.fixture
def handed_out(tmp_path, capsys):
    """Hand a worksheet out for marks to a class of four."""
    (tmp_path / "class.csv").write_text("id\nA01\nA02\nA03\nA04\n", encoding="utf-8")
    assert main(hand_out_call(tmp_path)) == 0
    assert "keep it to yourself" in capsys.readouterr().out
    return tmp_path


def hand_out_call(place: Path) -> list[str]:
    where = ["--register", str(place / "class.csv"), "--to", str(place / "out")]
    return ["hand-out", NAME, *where, "--term-key", str(place / "own" / "term.key")]


def notebook(place: Path, apprentice: str) -> dict:
    return json.loads((place / "out" / f"{NAME}_{apprentice}.ipynb").read_text(encoding="utf-8"))


def hand_in(place: Path, apprentice: str, content: dict, name: str | None = None) -> Path:
    (place / "in").mkdir(exist_ok=True)
    path = place / "in" / (name or f"{NAME}_{apprentice}.ipynb")
    path.write_text(notebooks.canonical(content), encoding="utf-8")
    return path


def marked(place: Path, **more):
    return mark_class(
        place / "in",
        place / "class.csv",
        term_key=read_term_key(place / "own" / "term.key"),
        limits=LIMITS,
        **more,
    )


def test_a_hand_out_for_marks_tells_how_words_are_written(handed_out):
    how = next(cell for cell in notebook(handed_out, "A01")["cells"] if cell["id"] == "how-to-work")
    assert "in words or letters in quotation marks" in "".join(how["source"])


def test_the_numbers_of_a_hand_out_for_marks_are_not_those_of_practice(handed_out):
    term_key = read_term_key(handed_out / "own" / "term.key")
    own = WORKSHEET.card("A01", term_key)
    assert own.values != WORKSHEET.card("A01").values
    assert own.trials != WORKSHEET.card("A01").trials
    text = json.dumps(notebook(handed_out, "A01"))
    for entry in own.entries:
        assert repr(own.values[entry.name]) in text.replace('\\"', '"')
    # Neither the key of the term nor the way to a practice card or a hint is in the file.
    assert term_key not in text
    assert "job_card" not in text
    assert "reaction comes at once" not in text
    assert "for marks" in text


def test_handing_out_again_changes_no_byte_and_another_term_gives_other_numbers(handed_out, tmp_path):
    before = (handed_out / "out" / f"{NAME}_A02.ipynb").read_bytes()
    assert main(hand_out_call(handed_out)) == 0
    assert (handed_out / "out" / f"{NAME}_A02.ipynb").read_bytes() == before
    other = make_term_key(tmp_path / "other.key")
    assert (
        WORKSHEET.card("A02", other).values
        != WORKSHEET.card("A02", read_term_key(handed_out / "own" / "term.key")).values
    )


def test_a_worksheet_for_marks_is_marked_by_its_own_numbers(handed_out):
    hand_in(handed_out, "A01", fill_in(notebook(handed_out, "A01"), RIGHT))
    result = marked(handed_out)
    first = result.results[0]
    assert (first.status, first.marked.marks, first.notes) == ("marked", WORKSHEET.marks, [])
    assert [one.status for one in result.results[1:]] == ["missing"] * 3


@pytest.mark.parametrize("mode", ["practice as marks", "marks as practice", "another term"])
def test_what_was_handed_out_otherwise_is_a_query(handed_out, mode):
    filled = fill_in(notebook(handed_out, "A01"), RIGHT)
    key = handed_out / "own" / "term.key"
    if mode == "practice as marks":
        call = [
            "hand-out",
            NAME,
            "--register",
            str(handed_out / "class.csv"),
            "--to",
            str(handed_out / "practice"),
        ]
        assert main(call) == 0
        filled = json.loads((handed_out / "practice" / f"{NAME}_A01.ipynb").read_text(encoding="utf-8"))
    if mode == "another term":
        key.unlink()
        make_term_key(key)
    hand_in(handed_out, "A01", filled)
    term_key = None if mode == "marks as practice" else read_term_key(key)
    result = mark_class(handed_out / "in", handed_out / "class.csv", term_key=term_key, limits=LIMITS)
    assert (result.results[0].status, result.results[0].notes[0][0]) == ("query", "other-hand-out")


def test_numbers_changed_in_the_notebook_are_noted_and_do_not_count(handed_out):
    content = fill_in(notebook(handed_out, "A01"), RIGHT)
    own = WORKSHEET.card("A01", read_term_key(handed_out / "own" / "term.key"))
    old, new = f"'line_voltage', {own.line_voltage}", f"'line_voltage', {own.line_voltage + 40}"
    for cell in content["cells"]:
        cell["source"] = "".join(cell["source"]).replace(old, new)
    hand_in(handed_out, "A01", content)
    first = marked(handed_out).results[0]
    assert [code for code, _ in first.notes] == ["structure-changed"]
    assert "other numbers than were handed out" in first.notes[0][1]
    assert first.marked.marks < WORKSHEET.marks


def test_answers_that_fit_somebody_elses_card_are_remarked_and_keep_their_marks(handed_out):
    lent = notebook(handed_out, "A02")
    numbers = next(cell["source"] for cell in lent["cells"] if cell["id"] == "job-card")
    copied = fill_in(notebook(handed_out, "A01"), RIGHT)
    for cell in copied["cells"]:
        if cell["id"] == "job-card":
            cell["source"] = numbers
    hand_in(handed_out, "A01", copied)
    hand_in(handed_out, "A02", fill_in(lent, RIGHT))
    first, second = marked(handed_out).results[:2]
    assert "other-card" in [code for code, _ in first.notes]
    assert any("wrong answers fit the job card of A02" in says for _, says in first.notes)
    assert second.notes == []


@pytest.mark.parametrize(
    "cell",
    [
        "from acpower.worksheets.schemes import find_worksheet",
        "from acpower.worksheets import schemes",
        "from acpower.worksheets.job import worksheet_to_practise as of",
        "import acpower.worksheets.verdicts",
    ],
)
def test_a_cell_that_looks_into_the_mark_schemes_is_noted(handed_out, cell):
    content = fill_in(notebook(handed_out, "A01"), RIGHT)
    own = {"cell_type": "code", "id": "own-cell", "metadata": {}, "source": cell}
    hand_in(handed_out, "A01", {**content, "cells": [*content["cells"], own]})
    (code, says) = marked(handed_out).results[0].notes[-1]
    assert (code, "looks into the mark schemes" in says) == ("scheme-opened", True)


def test_a_file_saved_after_it_was_due_is_marked_and_noted(handed_out):
    due = datetime(2026, 11, 20, 12, 0)
    for apprentice, minutes in (("A01", 1), ("A02", -1)):
        path = hand_in(handed_out, apprentice, fill_in(notebook(handed_out, apprentice), RIGHT))
        saved = (due + timedelta(minutes=minutes)).timestamp()
        os.utime(path, (saved, saved))
    late, in_time = marked(handed_out, due=due).results[:2]
    assert [code for code, _ in late.notes] == ["late"]
    assert "2026-11-20 at 12:01" in late.notes[0][1]
    assert late.status == "marked"
    assert in_time.notes == []


@pytest.mark.parametrize(
    "name", ["_A01 (1)", "_A01(2)", "_A01-Copy1", "_A01 - Copy", "_A01 - Copy (2)", "_a01", "_A01 "]
)
def test_a_second_copy_is_taken_for_what_it_is(name):
    assert normal_name(f"{NAME}{name}.ipynb").casefold() == f"{NAME}_a01.ipynb"


def test_a_name_keeps_what_is_its_own():
    assert normal_name("charging-power_COPY-1.ipynb") == "charging-power_COPY-1.ipynb"
    assert normal_name("charging-power_B-3.ipynb") == "charging-power_B-3.ipynb"


# ---- The term key


def test_a_term_key_is_never_overwritten_and_never_among_the_worksheets(handed_out, capsys):
    with pytest.raises(FileExistsError):
        make_term_key(handed_out / "own" / "term.key")
    call = hand_out_call(handed_out)
    call[-1] = str(handed_out / "out" / "term.key")
    assert main(call) == 2
    assert "would lie among the worksheets" in capsys.readouterr().err
    assert not (handed_out / "out" / "term.key").exists()


@pytest.mark.parametrize("content", ["", "summer2026", "ä", "0" * 63, "G" * 64, None])
def test_what_is_no_term_key_is_refused(tmp_path, content):
    path = tmp_path / "term.key"
    if content is not None:
        path.write_text(content, encoding="utf-8")
    with pytest.raises(UserMistake, match="holds no term key"):
        read_term_key(path)


def test_keys_differ_and_so_do_their_marks(tmp_path):
    keys = {make_term_key(tmp_path / f"{number}.key") for number in range(20)}
    assert len(keys) == len({term_mark(key) for key in keys}) == 20
    assert not any(term_mark(key) in key for key in keys)


# ---- In the notebook


@pytest.fixture
def shown(monkeypatch):
    blocks = []
    monkeypatch.delenv("PYTEST_VERSION")
    monkeypatch.setattr(answering, "display", lambda block, **_: blocks.append(block.data))
    return blocks


def test_an_answer_is_repeated_and_not_judged(shown):
    job = marked_card(
        NAME,
        version="2",
        apprentice="A01",
        numbers=[("line_voltage", 398, "V", "Line voltage")],
        questions=[question.name for question in WORKSHEET.questions],
    )
    job.record("phase_voltage_v", 398 / 3)
    job.record("limiting_link", "cable")
    job.record("charging_power_kw", lambda u, i, pf: u * i * pf)
    job.record("line_current_a", [1, 2])
    job.record("grid_power_kw", ...)
    assert "132.66" in shown[0]
    assert f"Recorded so far: 3 of {len(WORKSHEET.questions)} questions" in shown[2]
    assert "A list is no answer" in shown[3]
    assert "Nothing is recorded here yet" in shown[4]
    assert not any("ight" in block.replace("font-weight", "") for block in shown)
    with pytest.raises(NotYet, match=r"no question 'nonsense'\. Its questions are: phase_voltage_v"):
        job.record("nonsense", 4)
    with pytest.raises(NotYet, match="no hints"):
        job.hint("phase_voltage_v")
    assert "Line voltage" in job._repr_html_()
    assert "398 V" in repr(job)
