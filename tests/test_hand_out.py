"""Handing out: one worksheet per apprentice, the same bytes every time, nothing overwritten."""

import csv
import json

import pytest
from classroom import WORKSHEET, hashes, write_register

from acpower import notebooks
from acpower.marking.hand_out import chosen_worksheet, hand_out_class, job_card_source
from acpower.marking.register import read_register
from acpower.marking.term_key import make_term_key
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.schemes import WORKSHEETS


@pytest.fixture
def register(tmp_path):
    return read_register(write_register(tmp_path / "class.csv", "A01", "A02", "B-3"))


def test_each_apprentice_gets_one_worksheet_of_their_own(tmp_path, register):
    done = hand_out_class(WORKSHEET, register, tmp_path / "out")
    assert [path.name for path in done.files] == [
        "charging-power_A01.ipynb",
        "charging-power_A02.ipynb",
        "charging-power_B-3.ipynb",
    ]
    for apprentice, path in zip(register.ids, done.files, strict=True):
        notebook = json.loads(path.read_text(encoding="utf-8"))
        assert notebook["metadata"]["acpower"] == {
            "worksheet": "charging-power",
            "version": WORKSHEET.version,
            "apprentice": apprentice,
        }
        first = next(cell for cell in notebook["cells"] if cell["id"] == "job-card")
        assert f'apprentice="{apprentice}"' in "".join(first["source"])


def test_repeating_a_hand_out_changes_no_byte(tmp_path, register):
    hand_out_class(WORKSHEET, register, tmp_path / "out")
    first = hashes(tmp_path / "out")
    assert hand_out_class(WORKSHEET, register, tmp_path / "out").kept == ()
    assert hashes(tmp_path / "out") == first
    hand_out_class(WORKSHEET, register, tmp_path / "elsewhere")
    assert hashes(tmp_path / "elsewhere") == first


def test_the_list_names_every_file_with_the_hash_that_it_was_handed_out_with(tmp_path, register):
    hand_out_class(WORKSHEET, register, tmp_path / "out")
    with (tmp_path / "out" / "charging-power_handed-out.csv").open(encoding="utf-8", newline="") as file:
        listed = {row["file"]: row["sha256"] for row in csv.DictReader(file)}
    found = hashes(tmp_path / "out")
    found.pop("charging-power_handed-out.csv")
    assert listed == found


def test_a_worksheet_that_holds_answers_is_kept(tmp_path, register):
    done = hand_out_class(WORKSHEET, register, tmp_path / "out")
    done.files[0].write_text("somebody's answers", encoding="utf-8")
    again = hand_out_class(WORKSHEET, register, tmp_path / "out")
    assert again.kept == (done.files[0],)
    assert done.files[0].read_text(encoding="utf-8") == "somebody's answers"


def test_a_folder_where_a_worksheet_belongs_stops_the_hand_out_before_a_file_is_written(tmp_path, register):
    (tmp_path / "out" / "charging-power_A02.ipynb").mkdir(parents=True)
    with pytest.raises(
        UserMistake, match=r"A02\.ipynb is a folder where a worksheet belongs\. Choose another"
    ):
        hand_out_class(WORKSHEET, register, tmp_path / "out")
    assert hashes(tmp_path / "out") == {}


def test_practice_marks_and_two_terms_do_not_meet_in_one_folder(tmp_path, register):
    first, second = (make_term_key(tmp_path / f"{name}.key") for name in ("first", "second"))
    for number, (before, after) in enumerate([(None, first), (first, None), (first, second)]):
        to = tmp_path / f"out-{number}"
        hand_out_class(WORKSHEET, register, to, before)
        was = hashes(to)
        with pytest.raises(UserMistake, match="is there from another hand-out"):
            hand_out_class(WORKSHEET, register, to, after)
        assert hashes(to) == was


def test_names_of_apprentices_are_in_no_worksheet(tmp_path):
    path = tmp_path / "class.csv"
    path.write_text("id,name\nA01,Invented Surname\n", encoding="utf-8")
    done = hand_out_class(WORKSHEET, read_register(path), tmp_path / "out")
    assert "Invented Surname" not in done.files[0].read_text(encoding="utf-8")


@pytest.mark.parametrize("name", WORKSHEETS)
def test_every_worksheet_opens_with_the_cell_that_is_made_out_to_apprentices(name):
    for folder in ("exercises", "solutions"):
        path = notebooks.folder(folder) / f"{name}.ipynb"
        notebook = json.loads(path.read_text(encoding="utf-8"))
        first = next(cell for cell in notebook["cells"] if cell["id"] == "job-card")
        assert "".join(first["source"]) == job_card_source(WORKSHEETS[name])


def test_a_worksheet_is_named_by_its_name_or_its_notebook():
    assert chosen_worksheet("charging-power") is chosen_worksheet("exercises/charging-power.ipynb")
    with pytest.raises(UserMistake, match=r"The worksheets are: .*charging-power"):
        chosen_worksheet("charging")
