"""History over classes: pooled counts from records, classes apart, changes by hand included, no ids."""

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from bs4 import BeautifulSoup
from invented_class import SHED, YARD, invented_class
from scipy import stats
from test_class_picture import check_page, rows_below, text_of

from acpower.cli import main
from acpower.marking.changes import CHANGES, append_changes
from acpower.marking.judge import Change
from acpower.marking.record import write_record
from acpower.marking.result import ClassResult
from acpower.marking.run import Limits
from acpower.worksheets.misconceptions import MISCONCEPTIONS
from acpower.worksheets.schemes import WORKSHEETS

DIVIDED = {"battery_power_kw": "divided"}
AUTUMN = invented_class(
    (
        YARD,
        {"A01": {}, "A02": DIVIDED, "A03": DIVIDED | {"word": "two"}, "A04": None, "A05": {"word": "blank"}},
    ),
    (SHED, {"A01": {"more_kw": "divided-again"}, "A03": {}}),
)
SPRING = invented_class((YARD, {"A01": DIVIDED, "B02": {}}))


@pytest.fixture(autouse=True)
def known(monkeypatch) -> None:
    """Let the package know the invented worksheets."""
    for worksheet in (YARD, SHED):
        monkeypatch.setitem(WORKSHEETS, worksheet.name, worksheet)


def recorded(folder: Path, class_result: ClassResult, marked_at: str) -> Path:
    folder.mkdir(parents=True)
    path = folder / "marking-record.json"
    write_record(class_result, Limits(), path)
    record = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps({**record, "marked_at": marked_at}), encoding="utf-8")
    return path


@pytest.fixture
def records(tmp_path) -> list[str]:
    """Return the records of two classes, the later one first."""
    spring = recorded(tmp_path / "a-spring", SPRING, "2027-03-02T09:00:00+00:00")
    autumn = recorded(tmp_path / "z-autumn", AUTUMN, "2026-11-03T09:00:00+00:00")
    return [str(spring), str(autumn)]


def history(tmp_path: Path, *records: str) -> BeautifulSoup:
    path = tmp_path / "history.html"
    assert main(["history", *records, "--to", str(path)]) == 0
    return BeautifulSoup(path.read_text(encoding="utf-8"), "html.parser")


def test_classes_stand_side_by_side_by_date_and_together(tmp_path, records):
    soup = history(tmp_path, *records)
    classes = rows_below(soup, "History over classes")
    assert [row[:3] for row in classes] == [["Class 1", "2026-11-03", "5"], ["Class 2", "2027-03-02", "2"]]
    assert classes[0][4].endswith("marking-record.json")
    rows = rows_below(soup, "Share of the marks earned")
    assert soup.find("h2", string="An invented shed, version 3: n = 2") is not None
    cells = rows_below(soup, "An invented yard, version 1: n = 6")[0]
    low, high = stats.binomtest(3, 6).proportion_ci(method="wilson")
    assert cells == [
        "1. Power at the battery", "0.50 (0.15 to 0.85; n = 4)", "0.50 (0.09 to 0.91; n = 2)",
        f"0.50 ({low:.2f} to {high:.2f}; n = 6)",
    ]  # fmt: skip
    assert [row[2] for row in rows] == ["–", "–"]  # the second class did not have the shed


def test_blank_counts_nought_and_not_handed_in_is_left_out(tmp_path, records):
    soup = history(tmp_path, *records)
    assert rows_below(soup, "An invented yard")[2][1] == "0.50 (0.15 to 0.85; n = 4)"
    assert "A question left blank counts 0." in text_of(soup)


def test_known_errors_and_misconceptions_over_time(tmp_path, records):
    soup = history(tmp_path, *records)
    (shed,) = rows_below(soup, "Known errors")
    assert shed[2:] == ["1 of 2", "–", "1 of 2"]
    soup.find("h3", string=re.compile("Known errors")).decompose()
    assert rows_below(soup, "Known errors") == [
        [
            "Question 1, it was divided by the efficiency", MISCONCEPTIONS["efficiency-divided"].what,
            "2 of 4", "1 of 2", "3 of 6",
        ],
        ["Question 3, there is no such supply here", "none named", "1 of 4", "0 of 2", "1 of 6"],
    ]  # fmt: skip
    # A02 and A03 in the yard, A01 in the shed; of four with a marked worksheet.
    assert rows_below(soup, "Misconceptions over all worksheets") == [
        [MISCONCEPTIONS["efficiency-divided"].what, "3 of 4", "1 of 2", "4 of 6"]
    ]


def test_the_most_frequent_error_over_all_classes_comes_first(tmp_path):
    slips = {"A01": {"battery_power_kw": "in-watts"}, "A02": {"word": "two"}, "A03": {"word": "two"}}
    path = recorded(tmp_path / "one", invented_class((YARD, slips)), "2026-11-03T09:00:00+00:00")
    assert [row[0] for row in rows_below(history(tmp_path, str(path)), "Known errors")] == [
        "Question 3, there is no such supply here",
        "Question 1, the value is in watts",
    ]


def test_versions_are_kept_apart_and_an_old_one_is_read(tmp_path, records):
    older = replace(YARD, version="0", questions=YARD.questions[:1])
    path = recorded(tmp_path / "old", invented_class((older, {"A01": {}})), "2025-11-03T09:00:00+00:00")
    soup = history(tmp_path, str(path), *records)
    assert soup.find("h2", string="An invented yard, version 0: n = 1") is not None
    assert soup.find("h2", string="An invented yard, version 1: n = 6") is not None


def test_a_worksheet_or_an_error_that_is_gone_keeps_its_name(tmp_path, records, monkeypatch):
    monkeypatch.delitem(WORKSHEETS, "invented-shed")
    slimmer = replace(YARD, questions=(replace(YARD.questions[0], known_errors=()), *YARD.questions[1:2]))
    monkeypatch.setitem(WORKSHEETS, "invented-yard", slimmer)
    text = text_of(history(tmp_path, *records))
    assert "invented-shed, version 3" in text
    assert "Question 1, divided none named" in text
    assert "Question 2, divided again none named" in text
    assert "3. word" in text
    assert "Misconceptions over all worksheets" not in text


@pytest.mark.parametrize("where", ["beside the record", "in the record"])
def test_changes_by_hand_count(tmp_path, records, where):
    change = Change(
        "2026-11-04T08:00:00+00:00", "MK", "A02", "invented-yard", "battery_power_kw", 0, 1, "a reason"
    )
    autumn = Path(records[1])
    if where == "beside the record":
        append_changes([replace(change, new=2), change], autumn.parent / CHANGES)
    else:
        record = json.loads(autumn.read_text(encoding="utf-8"))
        record["changes_by_hand"] = [change.__dict__]
        autumn.write_text(json.dumps(record), encoding="utf-8")
    soup = history(tmp_path, *records)
    assert rows_below(soup, "An invented yard")[0][1].startswith("0.62 (")  # (2 + 1 + 0 + 2) of 8


def test_a_single_small_class_is_not_refused_and_n_is_said(tmp_path, records):
    text = text_of(history(tmp_path, records[0]))
    assert "An invented yard, version 1: n = 2" in text
    assert "Only 2 apprentices: below 30" in text


def test_from_30_apprentices_on_there_is_no_warning(tmp_path):
    paths = []
    for name, day in (("A", "2026-11-03"), ("B", "2027-03-02")):
        fifteen = invented_class((YARD, {f"{name}{number:02}": {} for number in range(15)}))
        paths.append(recorded(tmp_path / name, fifteen, f"{day}T09:00:00+00:00"))
    text = text_of(history(tmp_path, *map(str, paths)))
    assert "version 1: n = 30" in text
    assert "Please note" not in text
    assert "Known errors" not in text


def test_the_page_holds_no_id_and_nothing_active(tmp_path, records):
    soup = history(tmp_path, *records)
    assert not re.search(r"\b[AB]0\d\b", soup.get_text())
    assert soup.select("script, link, iframe, object, form, img, [onclick]") == []


def test_only_the_most_frequent_errors_are_listed(tmp_path, records, monkeypatch):
    monkeypatch.setattr("acpower.marking.history.MOST_ERRORS", 1)
    text = text_of(history(tmp_path, *records))
    assert "it was divided by the efficiency" in text
    assert "there is no such supply here" not in text


def test_a_folder_gets_the_page_and_nothing_is_overwritten(tmp_path, records, capsys):
    assert main(["history", *records, "--to", str(tmp_path / "new" / "folder")]) == 0
    path = tmp_path / "new" / "folder" / "history.html"
    before = path.read_bytes()
    assert str(path) in capsys.readouterr().out
    assert main(["history", *records, "--to", str(path)]) == 2
    assert "is there already" in capsys.readouterr().err
    assert path.read_bytes() == before


def spoilt(record: dict[str, Any], change: str) -> None:
    if change == "no versions":
        del record["versions"]
    elif change == "no worksheets":
        record["worksheets"] = 5
    elif change == "out of nothing":
        record["worksheets"][0]["questions"][0]["out_of"] = 0
    elif change == "strange share":
        record["worksheets"][0]["questions"][0]["marks"] = 7
    else:
        record["changes_by_hand"] = [{"who": "MK"}]


@pytest.mark.parametrize(
    "change", ["no versions", "no worksheets", "out of nothing", "strange share", "half a change"]
)
def test_a_damaged_record_is_refused_by_name(tmp_path, records, capsys, change):
    record = json.loads(Path(records[1]).read_text(encoding="utf-8"))
    spoilt(record, change)
    Path(records[1]).write_text(json.dumps(record), encoding="utf-8")
    assert main(["history", *records, "--to", str(tmp_path / "h.html")]) == 2
    error = capsys.readouterr().err
    assert f"{records[1]} is a damaged marking record" in error
    assert not (tmp_path / "h.html").exists()


@pytest.mark.parametrize(("shared", "code"), [(0, 0), (1, 0), (2, 2)])
def test_a_class_that_was_marked_again_counts_once(tmp_path, capsys, shared, code):
    """More than half of the files of the smaller class, here two, decide; a file may be the same by chance."""
    first = {"A01": {}, "A02": DIVIDED, "A03": DIVIDED}
    again = {
        name: first[name] if number < shared else {"word": "two"}
        for number, name in enumerate(["A01", "A02"])
    }
    records = [
        str(recorded(tmp_path / name, invented_class((YARD, work)), f"2026-11-0{day}T09:00:00+00:00"))
        for day, (name, work) in enumerate([("first", first), ("again", again)], start=1)
    ]
    assert main(["history", *records, "--to", str(tmp_path / "h.html")]) == code
    assert ("marked again. Give each class once" in capsys.readouterr().err) == (code == 2)


def test_what_is_no_record_and_what_is_given_twice_is_refused(tmp_path, records, capsys):
    to = str(tmp_path / "h.html")
    copy = tmp_path / "copy.json"
    copy.write_bytes(Path(records[0]).read_bytes())
    for call, says in [
        ([str(tmp_path / "none.json")], "cannot be read"),
        ([records[0], str(copy)], "holds the same record as"),
    ]:
        assert main(["history", *call, "--to", to]) == 2
        assert says in capsys.readouterr().err


def test_the_history_fits_screen_and_paper_and_is_accessible(tmp_path, records, browser, axe):
    history(tmp_path, *records)
    check_page(tmp_path / "history.html", browser, axe)
