"""Records that can be worked out again, second marks, and changes by hand that outlive a new marking."""

import csv
import json
from collections import Counter
from pathlib import Path

import pytest
from classroom import RIGHT, fill_in, issued, write_register

from acpower import notebooks
from acpower.cli import main
from acpower.marking.changes import CHANGES, read_changes
from acpower.marking.demo import EFFICIENCY_DIVIDED, ROOT_3_MISSING
from acpower.marking.hand_out import file_name
from acpower.marking.moderation import marked_class, sample
from acpower.marking.record import differences, load_record, read_record, write_record
from acpower.marking.run import Limits
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.schemes import find_worksheet

NAME = "charging-power"
FILLED = {"A01": {}, "A02": ROOT_3_MISSING, "A03": EFFICIENCY_DIVIDED, "A04": {"line_current_a": "123.4"}}


@pytest.fixture(scope="module")
def class_place(tmp_path_factory) -> Path:
    """Mark a class of five, of whom one has handed nothing in."""
    place = tmp_path_factory.mktemp("moderation")
    write_register(place / "class.csv", *FILLED, "A05")
    (place / "in").mkdir()
    for apprentice, slips in FILLED.items():
        content = fill_in(issued(apprentice), {**RIGHT, **slips})
        (place / "in" / file_name(NAME, apprentice)).write_text(
            notebooks.canonical(content), encoding="utf-8"
        )
    assert mark(place, "marked") == 1
    return place


def mark(place: Path, to: str, *more: str) -> int:
    call = ["mark", str(place / "in"), "--register", str(place / "class.csv"), "--to", str(place / to)]
    return main([*call, *more])


@pytest.fixture
def marked(class_place, tmp_path) -> Path:
    """Return a copy of the results that a test may change."""
    folder = tmp_path / "marked"
    for path in (class_place / "marked").rglob("*"):
        if path.is_file():
            target = folder / path.relative_to(class_place / "marked")
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(path.read_bytes())
    return folder


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


# ---- The record


def test_a_record_comes_out_again_bit_for_bit(marked, capsys):
    assert differences(marked / "marking-record.json") == []
    assert main(["recompute", str(marked / "marking-record.json")]) == 0
    assert "Every decision comes out" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("where", "value"),
    [
        (("questions", 0, "marks"), 0),
        (("questions", 0, "answer", "text"), "229.9"),
        (("questions", 1, "expected"), "1 kW"),
        (("job_card", "line_voltage"), 401),
        (("questions", -1, "inputs", 0, 0), 401),
        (("marks",), 3),
    ],
)
def test_a_record_that_was_touched_is_told(marked, capsys, where, value):
    path = marked / "marking-record.json"
    record = json.loads(path.read_text(encoding="utf-8"))
    part = record["worksheets"][0]
    for step in where[:-1]:
        part = part[step]
    assert part[where[-1]] != value
    part[where[-1]] = value
    path.write_text(json.dumps(record), encoding="utf-8")
    assert main(["recompute", str(path)]) == 1
    assert "A01, charging-power" in capsys.readouterr().out


def test_a_class_read_from_its_record_is_the_class_that_was_marked(class_place):
    again = read_record(class_place / "marked" / "marking-record.json")
    rows = table(class_place / "marked" / "mark-sheet.csv")
    assert again.register.ids == ("A01", "A02", "A03", "A04", "A05")
    assert [one.status for one in again.results] == [row["status"] for row in rows]
    assert [str(one.marked.marks) if one.marked else "" for one in again.results] == [
        row["marks"] for row in rows
    ]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda record: record.update(format="0"), "has the format 0"),
        (lambda record: record.pop("format"), "is no marking record"),
        (lambda record: record["worksheets"][0].update(version="0"), "Install the version"),
        (
            lambda record: record["worksheets"][0].update(worksheet="no-such"),
            "another version of the package",
        ),
    ],
)
def test_a_record_that_cannot_be_read_says_why(marked, change, says):
    path = marked / "marking-record.json"
    record = load_record(path)
    change(record)
    path.write_text(json.dumps(record), encoding="utf-8")
    with pytest.raises(UserMistake, match=says):
        differences(path)


def test_a_folder_and_a_missing_file_are_no_record(marked):
    with pytest.raises(UserMistake, match=r"is a folder\. Give the file marking-record\.json in it"):
        load_record(marked)
    with pytest.raises(UserMistake, match=r"none\.json cannot be read \(.+\)\. Check the path"):
        load_record(marked / "none.json")


def test_a_record_is_never_written_over_another_one(marked):
    path = marked / "marking-record.json"
    before = path.read_bytes()
    with pytest.raises(UserMistake, match="holds the record of another marking"):
        write_record(marked_class(marked), Limits(), path)
    assert path.read_bytes() == before


# ---- The sample


def test_a_sample_is_the_same_for_the_same_seed_and_another_for_another(class_place):
    class_result = marked_class(class_place / "marked")

    def names(drawn):
        return [(result.submission.apprentice, one.question.name) for result, one in drawn]

    first = names(sample(class_result, "autumn", 12))
    assert names(sample(class_result, "autumn", 12)) == first
    assert names(sample(class_result, "spring", 12)) != first
    assert names(sample(class_result, "autumn", 5)) == first[:5]
    assert len(set(first)) == 12


def test_a_sample_holds_what_is_rare_as_well(class_place):
    class_result = marked_class(class_place / "marked")
    outcomes = Counter(
        one.verdict.outcome
        for result in class_result.results
        if result.marked
        for one in result.marked.questions
    )
    drawn = sample(class_result, "autumn", 2 * len(outcomes))
    assert {one.verdict.outcome for _, one in drawn} == set(outcomes)
    assert 1 <= outcomes["not yet"] <= 2


def test_the_sheet_for_the_second_marker_shows_no_first_mark(marked):
    assert main(["sample", str(marked), "--seed", "autumn", "--size", "8"]) == 0
    path = marked / "second-marks.csv"
    assert path.read_bytes().startswith(b"\xef\xbb\xbfid,")  # for spreadsheets on Windows
    rows = table(path)
    assert len(rows) == 8
    assert list(rows[0]) == [
        "id", "worksheet", "question", "title", "out_of", "job_card", "recorded", "own_earlier", "expected",
        "second_mark", "why",
    ]  # fmt: skip
    assert {row["second_mark"] for row in rows} == {""}
    assert main(["sample", str(marked), "--seed", "autumn"]) == 2  # what may be filled in is not overwritten


def test_the_second_marker_sees_the_earlier_answers_that_a_step_goes_on_from(marked):
    assert main(["sample", str(marked), "--seed", "autumn", "--size", "500"]) == 0
    rows = {(row["id"], row["question"]): row for row in table(marked / "second-marks.csv")}
    worksheet = find_worksheet(NAME)
    loss = rows["A03", "loss_power_kw"]
    for name in worksheet.question("loss_power_kw").needs:
        assert f"{worksheet.question(name).title}: {rows['A03', name]['recorded']}" in loss["own_earlier"]
    assert rows["A03", worksheet.questions[0].name]["own_earlier"] == ""


def test_the_second_marker_sees_what_a_function_gave_and_what_was_expected(marked):
    assert main(["sample", str(marked), "--seed", "autumn", "--size", "500"]) == 0
    recorded = {
        row["id"]: row["recorded"]
        for row in table(marked / "second-marks.csv")
        if row["question"] == "charging_power_kw"
    }
    assert all(words == "nothing" or words.count(" it gives ") == 6 for words in recorded.values())
    assert any(" it gives " in words and " expected " in words for words in recorded.values())


# ---- Second marks and changes by hand


def second(folder: Path, *rows: str) -> Path:
    path = folder / "filled.csv"
    path.write_text("\n".join(["id,worksheet,question,second_mark,why", *rows]) + "\n", encoding="utf-8")
    return path


def test_a_change_by_hand_has_the_name_of_a_person(marked, capsys):
    filled = second(marked, f"A02,{NAME},three_phase_power_kw,1,The relation is right in the note beside it")
    assert main(["second-marks", str(marked), str(filled), "--who", " "]) == 2
    assert "needs the name or initials of the person who makes it" in capsys.readouterr().err
    assert not (marked / CHANGES).exists()


def test_second_marks_change_marks_with_who_when_old_new_and_why(marked, capsys):
    filled = second(
        marked,
        f"A02,{NAME},three_phase_power_kw,1,The relation is right in the note beside it",
        f"A01,{NAME},three_phase_power_kw,2,",
        f"A04,{NAME},line_current_a,,",
    )
    assert main(["second-marks", str(marked), str(filled), "--who", "MK"]) == 0
    out = capsys.readouterr().out
    assert "Second marks: 2; the same as the first: 1; on average +0.50 marks from the first." in out
    (change,) = read_changes(marked / CHANGES)
    assert (change.who, change.id, change.old, change.new) == ("MK", "A02", 0, 1)
    assert change.when.endswith("+00:00")
    before, after = (
        read_record(marked / "marking-record.json").results[1],
        table(marked / "mark-sheet.csv")[1],
    )
    assert int(after["marks"]) == before.marked.marks + 1
    report = (marked / "reports" / "A02.html").read_text(encoding="utf-8")
    assert "Changed by hand" in report
    assert "The relation is right in the note beside it" in report
    assert differences(marked / "marking-record.json") == []  # the record itself is as it was
    row = next(
        r
        for r in table(marked / "answers.csv")
        if (r["id"], r["question"]) == ("A02", "three_phase_power_kw")
    )
    assert (row["marks"], row["changed_by_hand"]) == ("1", "The relation is right in the note beside it")


def test_a_mark_of_nought_that_stays_for_a_reason_is_settled(tmp_path, capsys):
    write_register(tmp_path / "class.csv", "A01")
    (tmp_path / "in").mkdir()
    content = fill_in(issued("A01"), {**RIGHT, "line_current_a": "'31,459'"})
    (tmp_path / "in" / file_name(NAME, "A01")).write_text(notebooks.canonical(content), encoding="utf-8")
    assert mark(tmp_path, "marked") == 1
    assert "31,459 can be read in two ways" in capsys.readouterr().out
    filled = second(tmp_path / "marked", f"A01,{NAME},line_current_a,0,A01 meant thirty-one thousand")
    assert main(["second-marks", str(tmp_path / "marked"), str(filled), "--who", "MK"]) == 0
    out = capsys.readouterr().out
    assert "Marks changed by hand: 0." in out
    assert "A01, line_current_a: 0 stays (A01 meant thirty-one thousand)" in out
    report = (tmp_path / "marked" / "reports" / "A01.html").read_text(encoding="utf-8")
    assert "can be read in two ways" not in report
    assert report.count('class="question wrong"') == 1  # no mark was given
    assert mark(tmp_path, "again", "--changes", str(tmp_path / "marked" / CHANGES)) == 0


def test_full_marks_by_hand_leave_nothing_open_in_the_report(tmp_path):
    write_register(tmp_path / "class.csv", "A01")
    (tmp_path / "in").mkdir()
    slips = {"line_current_a": "'31,459'", "three_phase_power_kw": "job.card.line_voltage * 32 / 1000"}
    content = fill_in(issued("A01"), {**RIGHT, **slips})
    (tmp_path / "in" / file_name(NAME, "A01")).write_text(notebooks.canonical(content), encoding="utf-8")
    assert mark(tmp_path, "marked") == 1
    report = tmp_path / "marked" / "reports" / "A01.html"
    assert report.read_text(encoding="utf-8").count('class="question wrong"') == 2
    for power, words, open_ in ((1, "➜", 1), (2, "", 0)):
        filled = second(
            tmp_path / "marked",
            f"A01,{NAME},line_current_a,2,A01 writes a decimal comma",
            f"A01,{NAME},three_phase_power_kw,{power},seen",
        )
        assert main(["second-marks", str(tmp_path / "marked"), str(filled), "--who", "MK"]) == 0
        text = report.read_text(encoding="utf-8")
        assert "can be read in two ways" not in text
        assert text.count('class="question wrong"') == open_
        assert ("➜" in text) == bool(words)  # what was wrong is told as long as a mark is missing


def test_a_worksheet_without_any_answer_is_asked_for_until_every_question_has_a_mark(tmp_path, capsys):
    write_register(tmp_path / "class.csv", "A01")
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / file_name(NAME, "A01")).write_text(
        notebooks.canonical(issued("A01")), encoding="utf-8"
    )
    assert mark(tmp_path, "marked") == 1
    assert "Nothing is recorded. Was the worksheet saved? Ask for the file again." in capsys.readouterr().out
    folder = tmp_path / "marked"
    by_hand = [f"A01,{NAME},{one.name},0,A01 was ill" for one in find_worksheet(NAME).questions]
    for rows, reason in ((by_hand[:-1], "nothing-recorded"), (by_hand[-1:], "")):
        assert main(["second-marks", str(folder), str(second(folder, *rows)), "--who", "MK"]) == 0
        (row,) = table(folder / "mark-sheet.csv")
        assert (row["marks"], row["reason"]) == ("0", reason)
        report = (folder / "reports" / "A01.html").read_text(encoding="utf-8")
        assert ("With your numbers" in report) == (reason == "")


def test_an_error_of_pythons_is_settled_when_what_it_left_blank_has_a_mark(tmp_path, capsys):
    write_register(tmp_path / "class.csv", "A01")
    (tmp_path / "in").mkdir()
    content = fill_in(issued("A01"), {**RIGHT, "line_current_a": "1 / 0", "loss_power_kw": "9 / 0"})
    (tmp_path / "in" / file_name(NAME, "A01")).write_text(notebooks.canonical(content), encoding="utf-8")
    assert mark(tmp_path, "marked") == 1
    folder = tmp_path / "marked"
    for question, reason in (("line_current_a", "stopped"), ("loss_power_kw", "")):
        filled = second(folder, f"A01,{NAME},{question},1,the way is right")
        assert main(["second-marks", str(folder), str(filled), "--who", "MK"]) == 0
        (row,) = table(folder / "mark-sheet.csv")
        assert row["reason"] == reason
    assert mark(tmp_path, "again", "--changes", str(folder / CHANGES)) == 0


def test_the_file_that_sample_writes_is_taken_back(marked):
    assert main(["sample", str(marked), "--seed", "autumn", "--size", "2"]) == 0
    path = marked / "second-marks.csv"
    header, *lines = path.read_text(encoding="utf-8").splitlines()
    filled = "\n".join([header, *(f"{line.removesuffix(',,')},0,no working" for line in lines)])
    path.write_text(f"{filled}\n", encoding="utf-8")
    assert main(["second-marks", str(marked), str(path), "--who", "MK"]) == 0
    assert len(read_changes(marked / CHANGES)) == 2


def test_a_later_change_to_the_same_mark_counts_and_both_stay_on_file(marked):
    for mark_given in ("1", "0"):
        filled = second(marked, f"A02,{NAME},three_phase_power_kw,{mark_given},second thoughts")
        assert main(["second-marks", str(marked), str(filled), "--who", "MK"]) == 0
    assert [(one.old, one.new) for one in read_changes(marked / CHANGES)] == [(0, 1), (1, 0)]
    assert (
        marked_class(marked).results[1].marked.marks
        == read_record(marked / "marking-record.json").results[1].marked.marks
    )


def test_second_marks_given_once_more_add_no_line_and_write_the_pages(marked, capsys, monkeypatch):
    rows = (
        f"A02,{NAME},three_phase_power_kw,1,=the relation is right",
        f"A01,{NAME},three_phase_power_kw,2,",
        f"A04,{NAME},line_current_a,0,no working",
    )
    call = ["second-marks", str(marked), str(second(marked, *rows)), "--who", "MK"]

    def held(*_):
        raise PermissionError(13, "Permission denied", "mark-sheet.csv")

    with monkeypatch.context() as patched:  # a spreadsheet on Windows holds the mark sheet
        patched.setattr("acpower.marking.hand_back.write_mark_sheet", held)
        assert main(call) == 2
    assert "give the command again" in capsys.readouterr().err
    on_file = (marked / CHANGES).read_bytes()
    before = int(table(marked / "mark-sheet.csv")[1]["marks"])
    assert main(call) == 0
    said = capsys.readouterr().out
    assert "Second marks: 3; the same as the first: 2;" in said
    assert "A02, three_phase_power_kw: 0 → 1" in said
    assert int(table(marked / "mark-sheet.csv")[1]["marks"]) == before + 1
    assert main(call) == 0
    assert capsys.readouterr().out == said
    assert (marked / CHANGES).read_bytes() == on_file


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (f"A02,{NAME},three_phase_power_kw,3,more", "whole number from 0 to 2"),
        (f"A02,{NAME},three_phase_power_kw,-1,less", "whole number from 0 to 2"),
        (f"A02,{NAME},three_phase_power_kw,1.5,half", "whole number from 0 to 2"),
        (f"A02,{NAME},three_phase_power_kw,1,", "Write into the column “why” why"),
        (f"A09,{NAME},three_phase_power_kw,1,who", "there is no marked answer of A09"),
        (
            f"A05,{NAME},three_phase_power_kw,1,nothing handed in",
            "there is no marked answer of A05 / charging-power / three_phase_power_kw. Write id,",
        ),
        (f"A02,{NAME},three_phase_power_kw,,", "holds no second mark"),
    ],
)
def test_second_marks_that_cannot_be_change_nothing(marked, capsys, row, says):
    good = (
        f"A04,{NAME},line_current_a,1,good reason" if "second mark" not in says or "no marked" in says else ""
    )
    before = (marked / "mark-sheet.csv").read_bytes()
    assert (
        main(["second-marks", str(marked), str(second(marked, *filter(None, [good, row]))), "--who", "MK"])
        == 2
    )
    assert says in capsys.readouterr().err
    assert (marked / "mark-sheet.csv").read_bytes() == before
    assert not (marked / CHANGES).exists()


def test_marking_again_keeps_the_changes_by_hand(class_place, marked, tmp_path):
    filled = second(marked, f"A04,{NAME},line_current_a,1,=HYPERLINK and a reason")
    assert main(["second-marks", str(marked), str(filled), "--who", "MK"]) == 0
    to = tmp_path / "again"
    assert mark(class_place, str(to), "--changes", str(marked / CHANGES)) == 1
    assert read_changes(to / CHANGES) == read_changes(marked / CHANGES)
    assert table(to / "mark-sheet.csv") == table(marked / "mark-sheet.csv")
    assert load_record(to / "marking-record.json")["changes_by_hand"][0]["why"] == "'=HYPERLINK and a reason"


@pytest.mark.parametrize(
    "text", ["", "id\n1\n", "when,who,id,worksheet,question,old,new,why\n,,,,,x,1,\n", None]
)
def test_what_is_no_list_of_changes_is_refused(tmp_path, text):
    path = tmp_path / CHANGES
    if text is not None:
        path.write_text(text, encoding="utf-8")
    with pytest.raises(UserMistake):
        read_changes(path)
