"""Taking in: every file lands in exactly one class, and nothing is run to find out."""

import json
import os
import re

import pytest
from classroom import WORKSHEET, hand_in, issued, write_register

from acpower import notebooks
from acpower.marking import handed_in_file
from acpower.marking import take_in as taking_in
from acpower.marking.register import read_register


@pytest.fixture
def register(tmp_path):
    return read_register(write_register(tmp_path / "class.csv", "A01", "A02", "A03"))


def looked_at(folder, register):
    return {one.file or f"({one.apprentice})": one for one in taking_in.take_in(folder, register)}


def test_a_worksheet_is_accepted_and_whoever_handed_in_nothing_is_missing(tmp_path, register):
    hand_in(tmp_path / "in", "A01", issued("A01"))
    taken = looked_at(tmp_path / "in", register)
    assert taken["charging-power_A01.ipynb"].status == "accepted"
    assert taken["(A02)"].status == taken["(A03)"].status == "missing"
    assert "charging-power_A02.ipynb is expected" in taken["(A02)"].says


def test_letter_case_of_the_file_name_does_not_matter(tmp_path, register):
    hand_in(tmp_path / "in", "a01", issued("A01"))
    assert looked_at(tmp_path / "in", register)["charging-power_a01.ipynb"].apprentice == "A01"


BROKEN = {
    "empty": b"",
    "cut off": b'{"cells": [',
    "a list": b"[1, 2]",
    "a number": b"3",
    "cells are an object": b'{"cells": {}, "metadata": {}, "nbformat": 4}',
    "an old format": b'{"cells": [], "metadata": {}, "nbformat": 3}',
    "a future format": b'{"cells": [], "metadata": {}, "nbformat": 99}',
    "UTF-16": '{"cells": [], "metadata": {}, "nbformat": 4}'.encode("utf-16"),
    "a key twice": b'{"cells": [], "cells": [], "metadata": {}, "nbformat": 4}',
    "NaN": b'{"cells": [], "metadata": {"x": NaN}, "nbformat": 4}',
    "5000 digits": b'{"cells": [], "metadata": {"x": ' + b"9" * 5000 + b'}, "nbformat": 4}',
    "nested deep": b"[" * 100_000 + b"]" * 100_000,
    "a lone surrogate": b'{"cells": [{"cell_type": "code", "source": "\\ud800"}], "metadata": {}, "nbformat": 4}',
    "a cell without source": b'{"cells": [{"cell_type": "code"}], "metadata": {}, "nbformat": 4}',
}


@pytest.mark.parametrize("content", BROKEN.values(), ids=BROKEN)
def test_a_broken_file_is_refused_with_advice_and_the_rest_is_taken(tmp_path, register, content):
    hand_in(tmp_path / "in", "A01", issued("A01"))
    (tmp_path / "in" / "charging-power_A02.ipynb").write_bytes(content)
    taken = looked_at(tmp_path / "in", register)
    broken = taken["charging-power_A02.ipynb"]
    assert (broken.status, broken.code) == ("refused", "bad-file")
    assert ("hand it in again" in broken.says) == (not broken.says.endswith("Ask for it again."))
    assert taken["charging-power_A01.ipynb"].status == "accepted"


def test_a_file_that_was_cut_off_is_asked_for_and_a_damaged_one_saved_anew(tmp_path, register):
    whole = notebooks.canonical(issued("A02")).encode("utf-8")
    path = tmp_path / "charging-power_A02.ipynb"
    ends = (whole.index(b'"cells"') + 3, whole.index(b":") + 1, len(whole) // 2, len(whole.rstrip()) - 1)
    for end in ends:  # within a word, before a value, half, the last bracket
        path.write_bytes(whole[:end])
        says = looked_at(tmp_path, register)[path.name].says
        assert re.search(r"its text is cut off near line \d+\. Ask for it again\.$", says), end
    path.write_bytes(whole.replace(b",", b"", 1))
    says = looked_at(tmp_path, register)[path.name].says
    assert "its text is damaged near line" in says
    assert says.endswith("open it in JupyterLab, save it and hand it in again.")


def test_an_empty_file_is_called_empty(tmp_path, register):
    (tmp_path / "charging-power_A02.ipynb").touch()
    assert "The file is empty." in looked_at(tmp_path, register)["charging-power_A02.ipynb"].says


def test_a_byte_order_mark_does_no_harm(tmp_path, register):
    path = hand_in(tmp_path / "in", "A01", issued("A01"))
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    assert looked_at(tmp_path / "in", register)["charging-power_A01.ipynb"].status == "accepted"


def test_another_worksheet_under_this_name_is_a_query(tmp_path, register):
    notebook = issued("A01")
    notebook["metadata"]["acpower"]["worksheet"] = "charge-time"
    hand_in(tmp_path / "in", "A01", notebook)
    taken = looked_at(tmp_path / "in", register)["charging-power_A01.ipynb"]
    assert (taken.status, taken.code) == ("query", "structure-changed")
    assert "inside it says “charge-time”" in taken.says


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="this system has no such permissions")
def test_a_file_or_folder_that_may_not_be_read_is_told(tmp_path, register, monkeypatch):
    hand_in(tmp_path / "in", "A01", issued("A01"))
    closed = hand_in(tmp_path / "in", "A02", issued("A02"))
    hand_in(tmp_path / "in" / "closed", "A03", issued("A03"))
    if os.geteuid() == 0:  # nothing is closed to root, so the refusal is put in the way
        os_open, scandir = os.open, os.scandir
        monkeypatch.setattr(
            os, "open", lambda path, *how: _refuse(path) if str(path) == str(closed) else os_open(path, *how)
        )
        monkeypatch.setattr(
            os, "scandir", lambda place: _refuse(place) if str(place).endswith("closed") else scandir(place)
        )
    else:
        closed.chmod(0)
        (tmp_path / "in" / "closed").chmod(0)
    taken = looked_at(tmp_path / "in", register)
    assert taken["charging-power_A02.ipynb"].code == taken["closed"].code == "bad-file"
    assert "Check who may read it" in taken["charging-power_A02.ipynb"].says
    assert "nothing in it was marked" in taken["closed"].says
    (tmp_path / "in" / "closed").chmod(0o700)


def _refuse(place):
    raise PermissionError(13, "Permission denied", str(place))


def test_a_file_that_is_no_notebook_or_too_large_is_refused(tmp_path, register, monkeypatch):
    hand_in(tmp_path / "in", "A01", issued("A01"))
    (tmp_path / "in" / "photo.jpg").write_bytes(b"\xff\xd8")
    monkeypatch.setattr(handed_in_file, "LARGEST_FILE", 1024)
    taken = looked_at(tmp_path / "in", register)
    assert taken["photo.jpg"].code == "bad-file"
    assert "not a notebook" in taken["photo.jpg"].says
    assert taken["charging-power_A01.ipynb"].code == "too-large"


def test_another_version_is_a_query_that_says_both_versions(tmp_path, register):
    notebook = issued("A01")
    notebook["metadata"]["acpower"]["version"] = "0"
    hand_in(tmp_path / "in", "A01", notebook)
    taken = looked_at(tmp_path / "in", register)["charging-power_A01.ipynb"]
    assert (taken.status, taken.code) == ("query", "structure-changed")
    assert (
        f"version 0 of the worksheet; the installed package marks version {WORKSHEET.version}" in taken.says
    )


def test_a_renamed_file_is_a_query_that_says_its_right_name(tmp_path, register):
    path = hand_in(tmp_path / "in", "A01", issued("A01"))
    path.rename(path.with_name("my homework (2).ipynb"))
    stray = looked_at(tmp_path / "in", register)["my homework (2).ipynb"]
    assert (stray.status, stray.code) == ("query", "unsafe-name")
    assert "rename it to charging-power_A01.ipynb" in stray.says


def test_an_id_that_the_register_does_not_have_is_a_query(tmp_path, register):
    hand_in(tmp_path / "in", "Z99", issued("Z99"))
    stray = looked_at(tmp_path / "in", register)["charging-power_Z99.ipynb"]
    assert stray.status == "query"
    assert "not in the register" in stray.says


def test_two_different_files_of_one_apprentice_are_both_a_query(tmp_path, register):
    hand_in(tmp_path / "in", "A01", issued("A01"))
    notebook = issued("A01")
    notebook["cells"].append({"cell_type": "code", "id": "more", "metadata": {}, "source": "1"})
    hand_in(tmp_path / "in" / "late", "A01", notebook)
    taken = looked_at(tmp_path / "in", register)
    first, second = taken["charging-power_A01.ipynb"], taken["late/charging-power_A01.ipynb"]
    assert first.status == second.status == "query"
    assert first.code == "handed-in-twice"
    assert "late/charging-power_A01.ipynb" in first.says


def test_the_same_file_twice_is_marked_once(tmp_path, register):
    hand_in(tmp_path / "in", "A01", issued("A01"))
    hand_in(tmp_path / "in" / "again", "A01", issued("A01"))
    taken = looked_at(tmp_path / "in", register)
    assert sorted(one.status for one in taken.values() if one.apprentice == "A01") == ["accepted", "query"]


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="this system has no links")
def test_links_are_never_followed(tmp_path, register):
    outside = hand_in(tmp_path / "outside", "A02", issued("A02"))
    hand_in(tmp_path / "in", "A01", issued("A01"))
    (tmp_path / "in" / "charging-power_A02.ipynb").symlink_to(outside)
    (tmp_path / "in" / "folder").symlink_to(tmp_path / "outside")
    (tmp_path / "in" / "loop.ipynb").symlink_to("loop.ipynb")
    taken = looked_at(tmp_path / "in", register)
    assert taken["charging-power_A02.ipynb"].code == taken["folder"].code == "unsafe-name"
    assert taken["loop.ipynb"].code == "unsafe-name"
    assert "(A02)" not in taken, "whoever handed in a link did hand something in"
    assert not any("outside" in file or file.startswith("folder/") for file in taken)


def test_the_register_the_results_and_hidden_files_are_not_taken_in(tmp_path):
    register_file = write_register(tmp_path / "class.csv", "A01")
    hand_in(tmp_path, "A01", issued("A01"))
    (tmp_path / ".DS_Store").write_bytes(b"x")
    hand_in(tmp_path / ".ipynb_checkpoints", "A01", issued("A01"))
    hand_in(tmp_path / "marked", "A01", issued("A01"))
    (tmp_path / "charging-power_handed-out.csv").write_text("id\n", encoding="utf-8")
    register = read_register(register_file)
    taken = taking_in.take_in(tmp_path, register, (register_file, tmp_path / "marked"))
    assert [one.file for one in taken] == ["charging-power_A01.ipynb"]


def test_a_file_name_of_ten_thousand_characters_is_cut_and_its_length_noted():
    from acpower.worksheets.answers import LONGEST_TEXT, shortened

    cut = shortened("x" * 10_000)
    assert len(cut) == LONGEST_TEXT
    assert cut.endswith("(10000 characters)")


def test_only_source_of_code_cells_is_taken_over(tmp_path, register):
    notebook = issued("A01")
    path = hand_in(tmp_path / "in", "A01", notebook)
    data = json.loads(path.read_text(encoding="utf-8"))
    data["cells"][2]["outputs"] = [{"output_type": "stream", "name": "stdout", "text": "all correct"}]
    path.write_text(json.dumps(data), encoding="utf-8")
    taken = looked_at(tmp_path / "in", register)["charging-power_A01.ipynb"]
    assert "all correct" not in "".join(taken.cells)
    assert len(taken.cells) == sum(cell["cell_type"] == "code" for cell in notebook["cells"])


@pytest.mark.parametrize("value", [[], {}, None, 1, 10**40])
def test_whatever_the_notebook_says_of_itself_is_read_as_text(tmp_path, register, value):
    notebook = issued("A01")
    notebook["metadata"]["acpower"] |= {"worksheet": value, "version": value}
    path = hand_in(tmp_path / "in", "A01", notebook)
    path.with_name("other name.ipynb").write_bytes(path.read_bytes())
    taken = looked_at(tmp_path / "in", register)
    assert taken["charging-power_A01.ipynb"].code == "structure-changed"
    assert taken["other name.ipynb"].code == "unsafe-name"
