"""What leaves a marked class: the record by its schema, OneRoster files, a mark sheet with names.

OneRoster: field names and their order as in the tables of the CSV binding 1.2 (1EdTech), written down here from
a public transcription of these tables; the normative page itself was not read.
"""

import csv
import io
import json
import zipfile
from datetime import date
from pathlib import Path

import jsonschema
import pytest
from classroom import RIGHT, fill_in, issued

import acpower
from acpower import notebooks
from acpower.cli import main
from acpower.marking.demo import ROOT_3_MISSING
from acpower.marking.hand_out import file_name
from acpower.marking.sheets import cell_text

NAME = "charging-power"
SCHEMA = json.loads(
    (Path(acpower.__file__).parent / "marking" / "marking-record.schema.json").read_text(encoding="utf-8")
)
LINE_ITEMS = (
    "sourcedId",
    "status",
    "dateLastModified",
    "title",
    "description",
    "assignDate",
    "dueDate",
    "classSourcedId",
    "categorySourcedId",
    "academicSessionSourcedId",
    "resultValueMin",
    "resultValueMax",
    "schoolSourcedId",
)
RESULTS = (
    "sourcedId",
    "status",
    "dateLastModified",
    "lineItemSourcedId",
    "studentSourcedId",
    "scoreStatus",
    "score",
    "scoreDate",
    "comment",
    "textScore",
    "classSourcedId",
    "inProgress",
    "incomplete",
    "late",
    "missing",
)
SCORE_STATUS = {"exempt", "fully graded", "not submitted", "partially graded", "submitted"}
CALL = ["--one-roster", "school-1", "class-7", "term-3", "--assigned", "2026-11-02", "--due", "2026-11-30"]


@pytest.fixture(scope="module")
def marked(tmp_path_factory) -> Path:
    """Mark a class in which one worksheet is right, one has errors, one is broken and one is missing."""
    place = tmp_path_factory.mktemp("exports")
    (place / "class.csv").write_text(
        "id,name\nA01,Invented One\nA02,=1+1\nA03,Invented Three\nA04,-2\n", encoding="utf-8"
    )
    (place / "in").mkdir()
    for apprentice, slips in (("A01", {"loss_power_kw": "-2.0"}), ("A02", ROOT_3_MISSING)):
        text = notebooks.canonical(fill_in(issued(apprentice), {**RIGHT, **slips}))
        (place / "in" / file_name(NAME, apprentice)).write_text(text, encoding="utf-8")
    (place / "in" / file_name(NAME, "A03")).write_text("{", encoding="utf-8")
    (place / "in" / "notes.txt").write_text("not a notebook", encoding="utf-8")
    call = ["mark", str(place / "in"), "--register", str(place / "class.csv"), "--to", str(place / "marked")]
    assert main(call) == 1
    return place / "marked"


@pytest.fixture(scope="module")
def roster(marked) -> zipfile.ZipFile:
    assert main(["export", str(marked), *CALL]) == 0
    return zipfile.ZipFile(marked / "one-roster.zip")


def table(archive: zipfile.ZipFile, name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(archive.read(f"{name}.csv").decode(), newline="")))


# ---- The record


def test_the_schema_is_one_and_the_record_keeps_to_it(marked):
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    record = json.loads((marked / "marking-record.json").read_text(encoding="utf-8"))
    assert {one["status"] for one in record["worksheets"]} == {"marked", "refused", "missing"}
    assert record["not_of_the_register"][0]["file"] == "notes.txt"
    jsonschema.validate(record, SCHEMA, format_checker=jsonschema.FormatChecker())


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("worksheets", 0, "questions", 0, "marks"), -1),
        (("worksheets", 0, "questions", 0, "outcome"), "nearly"),
        (("worksheets", 0, "questions", 0, "answer", "text"), "x" * 201),
        (("worksheets", 0, "name"), "Invented One"),
        (("worksheets", 0, "id"), "../A01"),
        (("worksheets", 3, "marks"), 3),
        (("format",), "2"),
        (("isolation",), "none"),
    ],
)
def test_the_schema_refuses_what_is_no_record(marked, path, value):
    record = json.loads((marked / "marking-record.json").read_text(encoding="utf-8"))
    part = record
    for step in path[:-1]:
        part = part[step]
    part[path[-1]] = value
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(record, SCHEMA)


# ---- OneRoster


def test_the_zip_holds_a_manifest_that_names_every_file_there_could_be(roster):
    assert sorted(roster.namelist()) == ["categories.csv", "lineItems.csv", "manifest.csv", "results.csv"]
    manifest = {row["propertyName"]: row["value"] for row in table(roster, "manifest")}
    assert (manifest["manifest.version"], manifest["oneroster.version"]) == ("1.0", "1.2")
    files = {
        name.removeprefix("file."): value for name, value in manifest.items() if name.startswith("file.")
    }
    assert {name for name, value in files.items() if value == "bulk"} == {
        "categories",
        "lineItems",
        "results",
    }
    assert set(files.values()) == {"bulk", "absent"}
    assert {"users", "orgs", "classes", "enrollments", "academicSessions"} <= set(files)


def test_line_items_and_results_have_the_fields_of_the_standard(roster):
    (item,), results = table(roster, "lineItems"), table(roster, "results")
    assert tuple(item) == LINE_ITEMS
    assert (item["classSourcedId"], item["academicSessionSourcedId"]) == ("class-7", "term-3")
    assert (item["schoolSourcedId"], item["assignDate"], item["dueDate"]) == (
        "school-1",
        "2026-11-02",
        "2026-11-30",
    )
    assert all(tuple(row) == RESULTS for row in results)
    assert {row["scoreStatus"] for row in results} <= SCORE_STATUS
    assert {row["lineItemSourcedId"] for row in results} == {item["sourcedId"]}
    assert item["categorySourcedId"] in {row["sourcedId"] for row in table(roster, "categories")}
    assert len({row["sourcedId"] for row in results}) == len(results)
    # In a bulk file these two stay empty.
    assert {(row["status"], row["dateLastModified"]) for row in [item, *results]} == {("", "")}


def test_the_scores_are_those_of_the_mark_sheet_and_go_out_under_pseudonyms(roster, marked):
    with (marked / "mark-sheet.csv").open(encoding="utf-8", newline="") as file:
        sheet = {row["id"]: row for row in csv.DictReader(file)}
    for row in table(roster, "results"):
        own = sheet[row["studentSourcedId"]]
        assert row["score"] == own["marks"]
        assert row["scoreStatus"] == {"marked": "fully graded", "missing": "not submitted"}.get(
            own["status"], "submitted"
        )
        assert date.fromisoformat(row["scoreDate"])
        assert row["missing"] == str(own["status"] == "missing").lower()
    assert not any(b"Invented" in roster.read(name) for name in roster.namelist())


def test_the_same_class_gives_the_same_bytes(roster, marked, tmp_path):
    first = Path(roster.filename).read_bytes()
    moved = Path(roster.filename).rename(marked / "before.zip")
    assert main(["export", str(marked), *CALL]) == 0
    assert (marked / "one-roster.zip").read_bytes() == first == moved.read_bytes()


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ([], "Say what to write"),
        (CALL[:4], "OneRoster needs two dates"),
        ([*CALL[:-1], "2026-11-01"], "before it was handed out"),
    ],
)
def test_an_export_that_cannot_be_says_what_is_missing(marked, capsys, tmp_path, more, says):
    (tmp_path / "marked").mkdir()
    (tmp_path / "marked" / "marking-record.json").write_bytes((marked / "marking-record.json").read_bytes())
    assert main(["export", str(tmp_path / "marked"), *more]) == 2
    assert says in capsys.readouterr().err


def test_an_export_that_is_there_already_stays_as_it_is(marked, capsys, tmp_path):
    (tmp_path / "marking-record.json").write_bytes((marked / "marking-record.json").read_bytes())
    (tmp_path / "one-roster.zip").write_bytes(b"an older export")
    assert main(["export", str(tmp_path), *CALL]) == 2
    assert "one-roster.zip is there already. Move it away first." in capsys.readouterr().err
    assert (tmp_path / "one-roster.zip").read_bytes() == b"an older export"


# ---- Names


def test_names_are_joined_on_this_machine_only_and_run_nothing(marked):
    assert main(["export", str(marked), "--names", str(marked.parent / "class.csv")]) == 0
    named = marked / "mark-sheet-with-names.csv"
    assert named.read_bytes().startswith(b"\xef\xbb\xbfid,")  # for spreadsheets on Windows
    assert (marked / "mark-sheet.csv").read_bytes().startswith(b"id,")
    with named.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["name"] for row in rows] == ["Invented One", "'=1+1", "Invented Three", "'-2"]
    for path in marked.rglob("*"):
        if path.is_file() and "with-names" not in path.name:
            assert b"Invented One" not in path.read_bytes(), path


def test_the_list_of_another_class_is_told(marked, capsys, tmp_path):
    (tmp_path / "other.csv").write_text("id,name\nB01,Invented Five\n", encoding="utf-8")
    assert main(["export", str(marked), "--names", str(tmp_path / "other.csv")]) == 1
    assert " for 4 of 4 ids. Check that" in capsys.readouterr().out


def test_a_negative_number_stays_a_number_and_a_formula_stays_text(marked):
    with (marked / "answers.csv").open(encoding="utf-8", newline="") as file:
        recorded = [row["recorded"] for row in csv.DictReader(file) if row["question"] == "loss_power_kw"]
    assert recorded[0] == "-2.0"
    for text in ("=1", "+1", "-x", "@a", "\tx", "\nx"):
        assert cell_text(text) == f"'{text}"
    assert cell_text("\rx") == "'\nx"
