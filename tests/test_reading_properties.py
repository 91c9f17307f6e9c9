"""Whatever people hand in or type is read as it was meant, or refused as documented; it is never guessed."""

import copy
import csv
import io
import json
import re
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from classroom import WORKSHEET, issued
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from invented_class import YARD
from readers import LONGEST_MESSAGE, READERS, REGISTER, check_submission, check_text, examples

from acpower import notebooks
from acpower.cli import main
from acpower.marking.changes import append_changes, read_changes
from acpower.marking.hand_out import file_name, hand_out_class
from acpower.marking.judge import Change, judge_worksheet
from acpower.marking.paper import take_in_paper
from acpower.marking.record import differences, read_record
from acpower.marking.register import Register, read_register
from acpower.marking.result import ClassResult, Result
from acpower.marking.sheets import cell_text, write_answers, write_csv
from acpower.marking.submission import Submission
from acpower.marking.take_in import normal_name, take_in
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.answers import (
    LONGEST_TEXT,
    Answer,
    NotReadable,
    answer_from_data,
    answer_from_value,
    read_number,
)
from acpower.worksheets.practice_file import Count, PracticeFile

ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(st.characters(), max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)
ENCODINGS = st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "latin-1"])
TABLE_SIGNS = st.sampled_from('id,name;version\tterm q1q2"=+-@01;5\r\n\n,;\x00\x0b\u2028é')
UNITS = {"kW": 1.0, "W": 0.001, "%": 1.0}
KEPT_BELOW_20 = settings(max_examples=20)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("reading")


@pytest.fixture(scope="module")
def valid(place: Path) -> dict[str, list[bytes]]:
    return dict(examples(place / "examples"))


def scratch(place: Path, name: str) -> Path:
    folder = place / name
    folder.mkdir(exist_ok=True)
    return folder


def places_in(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the way to every part of JSON data, but for the whole."""
    inside = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [way for key, part in inside for way in ((*path, key), *places_in(part, (*path, key)))]


def changed(data: Any, way: tuple[Any, ...], value: Any) -> Any:
    data = copy.deepcopy(data)
    part = data
    for step in way[:-1]:
        part = part[step]
    if value is ...:
        del part[way[-1]]
    else:
        part[way[-1]] = value
    return data


# ---- Nothing but the documented refusal


@pytest.mark.parametrize("name", READERS)
@given(content=st.binary(max_size=60))
def test_any_bytes_are_read_or_refused_as_documented(place: Path, name: str, content: bytes) -> None:
    READERS[name](scratch(place, name), content)


@pytest.mark.parametrize("name", ["register", "paper", "changes", "recording", "number"])
@given(start=st.booleans(), text=st.text(TABLE_SIGNS, max_size=60), encoding=ENCODINGS)
def test_any_text_in_any_encoding_is_read_or_refused_as_documented(
    place: Path, valid: dict[str, list[bytes]], name: str, start: bool, text: str, encoding: str
) -> None:
    text = (valid[name][0].decode("utf-8") if start else "") + text
    READERS[name](scratch(place, name), text.encode(encoding, "replace"))


@pytest.mark.parametrize("name", ["notebook", "record", "practice", "answer"])
@given(data=st.data())
@settings(max_examples=60)
def test_valid_data_with_any_part_changed_is_read_or_refused_as_documented(
    place: Path, valid: dict[str, list[bytes]], name: str, data: st.DataObject
) -> None:
    content = json.loads(valid[name][0])
    for _ in range(data.draw(st.integers(1, 3))):
        if ways := places_in(content):
            content = changed(content, data.draw(st.sampled_from(ways)), data.draw(ANYTHING | st.just(...)))
    READERS[name](scratch(place, name), json.dumps(content).encode())


@pytest.mark.parametrize("name", ["notebook", "record", "practice", "answer"])
@pytest.mark.parametrize("content", [b"[" * 100_000, b'{"a":' * 100_000, b"9" * 5000], ids=["[", "{", "9"])
def test_data_nested_or_long_without_end_is_refused_as_documented(
    place: Path, name: str, content: bytes
) -> None:
    READERS[name](scratch(place, name), content)


def test_a_damaged_record_is_a_sentence_on_the_command_line(
    tmp_path: Path, valid: dict[str, list[bytes]], capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "marking-record.json"
    record = json.loads(valid["record"][0])
    path.write_text(json.dumps({**record, "register": 3}), encoding="utf-8")
    assert main(["recompute", str(path)]) == 2
    assert main(["sample", str(tmp_path), "--seed", "autumn"]) == 2
    assert capsys.readouterr().err.count("is a damaged marking record. Take it from the backup.") == 2


def test_a_record_that_lacks_an_answer_comes_out_otherwise(
    tmp_path: Path, valid: dict[str, list[bytes]]
) -> None:
    path = tmp_path / "marking-record.json"
    record = json.loads(valid["record"][0])
    assert differences(_with(path, record)) == []
    del record["worksheets"][0]["questions"][-1]
    assert differences(_with(path, record)) == ["A01, charging-power: comes out otherwise."]
    assert read_record(path).register.ids == ("A01",)


def _with(path: Path, record: Any) -> Path:
    path.write_text(json.dumps(record), encoding="utf-8")
    return path


def test_a_record_cannot_write_outside_its_folder(tmp_path: Path, valid: dict[str, list[bytes]]) -> None:
    record = json.loads(valid["record"][0]) | {"register": ["../A01"]}
    with pytest.raises(UserMistake, match="is a damaged marking record"):
        read_record(_with(tmp_path / "marking-record.json", record))


def test_a_worksheet_nested_without_end_that_is_in_the_way_is_told(tmp_path: Path) -> None:
    (tmp_path / file_name(WORKSHEET.name, "A01")).write_text("[" * 100_000, encoding="utf-8")
    assert len(hand_out_class(WORKSHEET, REGISTER, tmp_path).kept) == 1


# ---- File names


@given(name=st.binary(min_size=1, max_size=60).filter(lambda name: not {0, ord("/")} & set(name)))
@example(name=b"\xff_paper.csv")
@example(name=b"charging-power_A01\xff.ipynb")
def test_whatever_a_file_is_called_it_lands_in_one_class(
    tmp_path_factory: pytest.TempPathFactory, name: bytes
) -> None:
    assume(name not in (b".", b".."))
    folder = tmp_path_factory.mktemp("in")
    path = folder / Path(name.decode("utf-8", "surrogateescape"))
    path.write_bytes(b"{}")
    taken = [one for one in take_in(folder, REGISTER) if one.status != "missing"]
    assert len(taken) == (0 if name.startswith(b".") or name.endswith(b"_handed-out.csv") else 1)
    for one in taken:
        check_submission(one)
        assert one.status in ("query", "refused")
    path.unlink()


@pytest.mark.parametrize("copied", ["-copy(1)", " (1)", "-Copy1", " - copy (2)", "-"])
def test_a_file_name_of_many_copies_is_read_at_once(copied: str) -> None:
    name = f"charging-power_A01{copied * 28}"
    assert normal_name(f"{name}!.ipynb") == f"{name}!.ipynb"
    assert normal_name(f"{name}.ipynb") == (f"{name}.ipynb" if copied == "-" else "charging-power_A01.ipynb")


def test_many_files_of_one_apprentice_are_told_in_short_sentences(tmp_path: Path) -> None:
    for number in range(200):
        folder = tmp_path / f"copy-{number}"
        folder.mkdir()
        (folder / file_name(WORKSHEET.name, "A01")).write_text(
            json.dumps({"cells": [], "metadata": {"number": number}, "nbformat": 4}), encoding="utf-8"
        )
    taken = take_in(tmp_path, REGISTER)
    assert {(one.status, one.code) for one in taken} == {("query", "handed-in-twice")}
    assert max(len(one.says) for one in taken) <= LONGEST_MESSAGE
    assert "and 195 more. Keep the one that counts." in taken[0].says


def test_a_link_to_answers_from_paper_is_not_followed(tmp_path: Path, valid: dict[str, list[bytes]]) -> None:
    outside = tmp_path / "outside.csv"
    outside.write_bytes(valid["paper"][0])
    folder = tmp_path / "in"
    folder.mkdir()
    try:
        (folder / f"{WORKSHEET.name}_paper.csv").symlink_to(outside)
    except OSError:
        pytest.skip("this system lets nobody make links")
    (one,) = take_in(folder, REGISTER)
    assert (one.status, one.code) == ("refused", "unsafe-name")


# ---- Notebooks


@given(data=st.data())
@settings(max_examples=40)
def test_harmless_changes_to_a_notebook_leave_its_cells_as_they_are(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    notebook = issued("A01")
    folder = tmp_path_factory.mktemp("in")
    path = folder / file_name(WORKSHEET.name, "A01")
    path.write_text(notebooks.canonical(notebook), encoding="utf-8")
    (before,) = take_in(folder, REGISTER)
    for cell in notebook["cells"]:
        source = "".join(cell["source"])
        cell["source"] = source.splitlines(keepends=True) if data.draw(st.booleans()) else source
        if data.draw(st.booleans()):
            cell.pop("id")
        cell["metadata"] = {"anything": data.draw(st.text(st.characters(codec="utf-8"), max_size=5))}
        if cell["cell_type"] == "code":
            cell |= {"outputs": [{"output_type": "stream", "text": "42"}], "execution_count": 7}
    shuffled = {key: notebook[key] for key in data.draw(st.permutations(list(notebook)))}
    indent = data.draw(st.sampled_from([None, 0, 1, "\t"]))
    text = json.dumps(shuffled, indent=indent, ensure_ascii=data.draw(st.booleans()))
    text = text.replace("\n", data.draw(st.sampled_from(["\n", "\r\n"])))
    path.write_bytes(text.encode(data.draw(st.sampled_from(["utf-8", "utf-8-sig"]))))
    (after,) = take_in(folder, REGISTER)
    assert (before.status, after.status) == ("accepted", "accepted")
    assert after.cells == before.cells
    assert len(after.cells) >= len(WORKSHEET.questions)


# ---- Numbers


DIGITS = st.text("0123456789", min_size=1, max_size=7)
SPACES = st.sampled_from([" ", "\u00a0", "\u2009", "\u202f"])


@st.composite
def written_numbers(draw: st.DrawFn) -> tuple[str, Decimal, bool]:
    """Draw a number as people write it, its value, and whether it can be read in two ways."""
    minus = draw(st.sampled_from(["", "", "+", "-", "−", "–"]))
    whole, decimals = draw(DIGITS), draw(st.just("") | DIGITS)
    mark = draw(st.sampled_from(".,")) if decimals else ""
    exponent = draw(st.just("") | st.integers(-30, 30).map(str))
    unit = draw(st.sampled_from(["", *UNITS]))
    shown = whole
    if len(whole) > 3 and draw(st.booleans()):
        space = draw(SPACES)
        shown = f"{int(whole):,}".replace(",", space) if whole[0] != "0" else whole
    text = f"{minus}{shown}{mark}{decimals}{'e' + exponent if exponent else ''}"
    text += (draw(st.just("") | SPACES) + unit) if unit else ""
    sign = "-" if minus in ("-", "−", "–") else ""
    value = Decimal(f"{sign}{whole}.{decimals or 0}e{exponent or 0}")
    two_ways = len(decimals) == 3 and not exponent and shown == whole and len(whole) <= 3 and int(whole) > 0
    return text, value * Decimal(repr(UNITS.get(unit, 1.0))), two_ways


@given(written_numbers())
@settings(max_examples=500)
def test_a_number_is_read_as_python_reads_it_however_it_is_written(
    written: tuple[str, Decimal, bool],
) -> None:
    text, value, two_ways = written
    if two_ways:
        with pytest.raises(NotReadable) as problem:
            read_number(Answer("text", text), UNITS)
        assert problem.value.code == "answer-ambiguous"
    else:
        assert read_number(answer_from_value(text), UNITS).value == value


@given(st.text(st.sampled_from("00112359.,,. eE+-−–kWw%x/_"), max_size=12))
@settings(max_examples=1000)
def test_whatever_is_taken_as_a_number_has_no_second_reading(text: str) -> None:
    try:
        reading = read_number(Answer("text", text), UNITS)
    except NotReadable as problem:
        check_text(str(problem))
        return
    bare = text.strip().casefold()
    unit = next((unit for unit in ("kw", "w", "%") if bare.endswith(unit)), "")
    bare = bare.removesuffix(unit).strip().replace("−", "-").replace("–", "-")
    assert bare.count(".") + bare.count(",") <= 1
    thousands = re.fullmatch(r"[+-]? ?([0-9]{1,3})[.,][0-9]{3}", bare)
    assert thousands is None or int(thousands[1]) == 0
    factor = Decimal(repr({unit.casefold(): worth for unit, worth in UNITS.items()}.get(unit, 1.0)))
    assert reading.value == Decimal(bare.replace(" ", "").replace(",", ".")) * factor


@given(st.floats())
def test_a_computed_number_crosses_the_border_with_its_value(value: float) -> None:
    answer = answer_from_data(json.loads(json.dumps(answer_from_value(value).as_data())))
    if np.isfinite(value):
        assert read_number(answer, UNITS).value == Decimal(repr(value))
    else:
        with pytest.raises(NotReadable) as problem:
            read_number(answer, UNITS)
        assert problem.value.code == "answer-not-finite"


@given(st.decimals(allow_nan=True, allow_infinity=True) | st.integers(1, 10**300).map(Decimal))
@example(Decimal("sNaN"))
@example(Decimal("NaN123"))
@example(Decimal("0." + "3" * 500))
def test_a_decimal_crosses_the_border_with_its_value(value: Decimal) -> None:
    answer = answer_from_data(json.loads(json.dumps(answer_from_value(value).as_data())))
    assert answer.kind == "number"
    if value.is_finite():
        assert float(read_number(answer, UNITS).value) == pytest.approx(float(value), rel=1e-15)
    else:
        with pytest.raises(NotReadable) as problem:
            read_number(answer, UNITS)
        assert problem.value.code == "answer-not-finite"


@pytest.mark.parametrize("script", [0x660, 0x966, 0xFF10])
def test_digits_of_other_scripts_are_read_with_their_figures(script: int) -> None:
    def written(text: str) -> str:
        return "".join(chr(script + int(sign)) if sign.isdigit() else sign for sign in text)

    plain, other = (read_number(Answer("text", text), UNITS) for text in ("0.050", written("0.050")))
    assert plain == other
    with pytest.raises(NotReadable, match="two ways"):
        read_number(Answer("text", written("1,234")), UNITS)
    with pytest.raises(ValueError, match="does not look like that"):
        answer_from_data({"kind": "number", "text": written("1")})


def test_a_claimed_number_longer_than_any_answer_is_refused() -> None:
    with pytest.raises(ValueError, match="does not look like that"):
        answer_from_data({"kind": "number", "text": "-" + "9" * LONGEST_TEXT})


# ---- Tables


IDS = st.text("ABCabc0123456789", min_size=1, max_size=8)
PRINTABLE = st.characters(exclude_categories=["C", "Z"], include_characters=" ")
NAMES = st.text(PRINTABLE, max_size=LONGEST_TEXT).map(str.strip)


@given(
    class_list=st.lists(
        st.tuples(IDS, NAMES), min_size=1, max_size=5, unique_by=lambda row: row[0].casefold()
    ),
    delimiter=st.sampled_from(",;\t"),
    end=st.sampled_from(["\n", "\r\n"]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig"]),
    quoting=st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
    empty=st.integers(0, 2),
)
def test_a_register_in_any_dialect_comes_back_the_same(
    place: Path,
    class_list: list[tuple[str, str]],
    delimiter: str,
    end: str,
    encoding: str,
    quoting: Any,
    empty: int,
) -> None:
    text = io.StringIO()
    writer = csv.writer(text, delimiter=delimiter, lineterminator=end, quoting=quoting)
    writer.writerows([*row, *[""] * empty] for row in [("id", "name"), *class_list])
    path = place / "class.csv"
    path.write_bytes(text.getvalue().encode(encoding))
    read = read_register(path)
    assert read == Register(tuple(one for one, _ in class_list), dict(class_list), ())


@pytest.mark.parametrize(
    "text",
    ["id,name,\nA1,One,x,y\n", "id,name\nA1,One,Two\n", "id;name\nA1;One;Two\n", "id\tname\nA1\tb\tc\n"],
)
def test_a_row_with_more_cells_than_columns_is_refused_with_its_line(tmp_path: Path, text: str) -> None:
    path = tmp_path / "class.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(UserMistake, match="more cells in line 2 than columns"):
        read_register(path)


def test_a_table_larger_than_any_class_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "class.csv"
    with path.open("wb") as file:
        file.truncate(2**40)
    with pytest.raises(UserMistake, match="larger than any list of a class"):
        read_register(path)
    path.unlink()


def test_a_register_of_a_thousand_bad_rows_is_told_in_a_few_sentences(tmp_path: Path) -> None:
    path = tmp_path / "class.csv"
    path.write_text("id\n" + "A 1\n" * 1000, encoding="utf-8")
    with pytest.raises(UserMistake) as mistake:
        read_register(path)
    check_text(str(mistake.value))


def test_two_lines_of_one_apprentice_on_paper_are_a_query_unless_they_are_the_same(
    tmp_path: Path, valid: dict[str, list[bytes]]
) -> None:
    header, line = valid["paper"][0].decode().splitlines()
    path = tmp_path / f"{WORKSHEET.name}_paper.csv"
    for second, statuses in ((line, ["accepted", "query"]), (line.replace("230", "400"), ["query", "query"])):
        path.write_text("\n".join((header, line, second)) + "\n", encoding="utf-8")
        assert [one.status for one in take_in(tmp_path, REGISTER)] == statuses


def test_a_decimal_comma_that_moves_the_answers_on_paper_is_refused(
    tmp_path: Path, valid: dict[str, list[bytes]]
) -> None:
    path = tmp_path / f"{WORKSHEET.name}_paper.csv"
    path.write_bytes(valid["paper"][0].replace(b'"11,08 kW"', b"11,08"))
    (one,) = take_in_paper(path, path.name, REGISTER, None)
    assert (one.status, one.code) == ("refused", "bad-file")
    assert "more cells in line 2 than columns" in one.says


MARKS = st.integers(0, 99)
WORDS = st.text("abc =+-@;,\"'\n", max_size=12).map(str.strip)


@given(st.lists(st.builds(Change, WORDS, WORDS, IDS, IDS, IDS, MARKS, MARKS, WORDS), min_size=1, max_size=4))
@KEPT_BELOW_20
def test_changes_by_hand_come_back_as_they_were_written(
    tmp_path_factory: pytest.TempPathFactory, changes: list[Change]
) -> None:
    path = tmp_path_factory.mktemp("changes") / "changes.csv"
    append_changes(changes, path)
    read = read_changes(path)
    assert [(one.id, one.question, one.old, one.new) for one in read] == [
        (one.id, one.question, one.old, one.new) for one in changes
    ]
    assert [one.why for one in read] == [cell_text(one.why) for one in changes]
    append_changes(read, path)
    assert read_changes(path) == [*read, *read]


@pytest.mark.parametrize("mark", ["9" * 5000, "²", "-1", "1.0"])
def test_a_mark_that_is_no_whole_number_of_a_worksheet_is_a_sentence(
    tmp_path: Path, valid: dict[str, list[bytes]], mark: str, capsys: pytest.CaptureFixture[str]
) -> None:
    changes = tmp_path / "changes.csv"
    changes.write_text(
        f"when,who,id,worksheet,question,old,new,why\nt,MK,A01,w,q,1,{mark},x\n", encoding="utf-8"
    )
    with pytest.raises(UserMistake, match="line 2: old and new must be whole marks"):
        read_changes(changes)
    (tmp_path / "marking-record.json").write_bytes(valid["record"][0])
    filled = tmp_path / "filled.csv"
    filled.write_text(
        f"id,worksheet,question,second_mark,why\nA01,{WORKSHEET.name},phase_voltage_v,{mark},x\n",
        encoding="utf-8",
    )
    assert main(["second-marks", str(tmp_path), str(filled), "--who", "MK"]) == 2
    said = capsys.readouterr().err
    assert "is not possible. Write a whole number from 0 to 1." in said
    check_text(said)


# ---- The practice file


@given(
    st.dictionaries(
        st.text(max_size=8),
        st.dictionaries(
            st.text(max_size=8), st.builds(Count, st.integers(0, 10**9), st.integers(1, 10**9)), max_size=3
        ),
        max_size=3,
    )
)
@KEPT_BELOW_20
def test_progress_that_is_kept_is_found_again(
    tmp_path_factory: pytest.TempPathFactory, progress: dict[str, dict[str, Count]]
) -> None:
    folder = tmp_path_factory.mktemp("practice")
    file = PracticeFile(folder)
    for worksheet, questions in progress.items():
        for question, count in questions.items():
            file.keep(worksheet, question, count)
    again = PracticeFile(folder)
    assert again.notices == file.notices == []
    for worksheet, questions in progress.items():
        for question, count in questions.items():
            assert again.count(worksheet, question) == count


# ---- Spreadsheets


def runs_as_formula(cell: str) -> bool:
    """Whether a spreadsheet would run a cell, or at least try to."""
    if not cell.lstrip().startswith(tuple("=+-@＝＋－＠")):
        return False
    try:
        return not np.isfinite(float(cell.replace(",", ".")))
    except ValueError:
        return True


RISKY = st.text(st.sampled_from("=+-@＝x1a;;,\t\r\n \"'(|!"), max_size=14)


def cells_of(path: Path, delimiter: str) -> list[str]:
    with path.open(encoding="utf-8", newline="") as file:
        return [cell for row in csv.reader(file, delimiter=delimiter) for cell in row]


@given(RISKY)
@settings(max_examples=500)
def test_no_text_becomes_a_formula_whatever_parts_the_columns(place: Path, text: str) -> None:
    path = place / "sheet.csv"
    write_csv(path, ("id", "recorded", "unit"), [("A01", cell_text(text), "kW")])
    for delimiter in ",;\t":
        assert not any(map(runs_as_formula, cells_of(path, delimiter)))
    assert cells_of(path, ",")[4].replace("'", "") == text.replace("'", "").replace("\r", "\n")


@given(
    RISKY
    | st.floats()
    | st.integers()
    | st.sampled_from(["-5", "-5,3", "-inf", "-5 kW", "+1", "-1e-05", "-1e400"])
)
@settings(max_examples=200)
def test_a_recorded_number_arrives_as_a_number_and_nothing_as_a_formula(place: Path, value: Any) -> None:
    card = YARD.card("A01")
    marked = judge_worksheet(YARD, card, {"battery_power_kw": answer_from_value(value)})
    submission = Submission("A01.ipynb", "accepted", "A01", YARD)
    path = place / "answers.csv"
    write_answers(ClassResult(REGISTER, (Result(submission, marked),), ()), path)
    for delimiter in ",;\t":
        assert not any(map(runs_as_formula, cells_of(path, delimiter)))
    with path.open(encoding="utf-8", newline="") as file:
        recorded = next(csv.DictReader(file))["recorded"]
    if isinstance(value, float) and np.isfinite(value):
        assert float(recorded) == value
    elif isinstance(value, int) and abs(value) < 10**18:
        assert int(recorded) == value
