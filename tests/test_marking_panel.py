"""Marking from a notebook, without a browser: the same results and sentences as the command line."""

import json
import os
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from classroom import RIGHT, WORKSHEET, fill_in, hand_in, hashes, right, write_register

from acpower import notebooks
from acpower.marking.hand_out import hand_out_class
from acpower.marking.register import read_register
from acpower.marking.term_key import make_term_key
from acpower.panels.marking_panel import MarkingPanel


@pytest.fixture
def school(tmp_path: Path) -> Path:
    write_register(tmp_path / "class.csv", "A01", "A02")
    hand_in(tmp_path / "in", "A01", right("A01", loss_power_kw="99"))
    hand_in(tmp_path / "in", "A02", right("A02"))
    return tmp_path


def test_choose_press_progress_class_picture(school: Path) -> None:
    panel = MarkingPanel(school)
    assert panel.term_key.label == "(none: the worksheets are for practice)"
    assert (panel.folder.label, panel.register.value, panel.results.value) == (
        "(choose it)",
        "class.csv",
        "marked",
    )
    panel.folder.value = "in"
    steps: list[tuple[int, int]] = []
    panel.bar.observe(lambda change: steps.append((change["new"], panel.bar.max)), names="value")
    before = hashes(school / "in")
    panel.mark.click()
    assert steps == [(1, 2), (2, 2)]
    assert "Marked: 2 of 2 worksheets." in panel.says.value
    sheet = (school / "marked" / "mark-sheet.csv").read_text(encoding="utf-8").splitlines()
    assert [line.split(",")[4] for line in sheet[1:]] == ["18", "19"]
    frame = BeautifulSoup(panel.picture.value, "html.parser").iframe
    assert frame is not None
    assert 'sandbox=""' in panel.picture.value
    assert frame["title"] == "Class picture"
    picture = (school / "marked" / "class-picture.html").read_text(encoding="utf-8")
    assert str(frame["srcdoc"]).strip() == picture.strip()
    assert not panel.mark.disabled
    assert hashes(school / "in") == before

    # the panel offers a new folder, and an earlier marking stays as it is
    assert panel.results.value == "marked-2"
    panel.results.value = "marked"
    record = (school / "marked" / "marking-record.json").read_bytes()
    panel.mark.click()
    assert "is not overwritten. Choose a new folder, or delete this one" in panel.says.value
    assert panel.picture.value == ""
    assert panel.bar.value == 0
    assert (school / "marked" / "marking-record.json").read_bytes() == record


def test_what_needs_a_look_is_said(school: Path) -> None:
    write_register(school / "class.csv", "A01", "A02", "A03")
    (school / "in" / "charging-power_A02.ipynb").write_text("broken", encoding="utf-8")
    panel = MarkingPanel(school)
    panel.folder.value = "in"
    panel.mark.click()
    assert "Marked: 1 of 3 worksheets. Something is left for you to settle" in panel.says.value
    assert "A03" in panel.picture.value


def test_buttons_lead_up_and_down(school: Path) -> None:
    panel = MarkingPanel(school / "in")
    assert panel.folder.value is None
    panel.into.click()  # nothing to go into
    assert Path(panel.place.value) == school / "in"
    panel.up.click()
    assert Path(panel.place.value) == school.resolve()
    assert panel.folder.value is None
    panel.into.click()  # nothing is chosen
    assert Path(panel.place.value) == school.resolve()
    panel.folder.value = "in"
    panel.into.click()
    assert Path(panel.place.value) == school.resolve() / "in"
    assert panel.register.value is None


def test_a_choice_stays_while_the_place_is_looked_at_again(school: Path) -> None:
    (school / "another").mkdir()
    panel = MarkingPanel(school)
    assert panel.folder.value is None
    panel.folder.value = "in"
    panel.place.value = f"{school}{os.sep}"
    assert panel.folder.value == "in"


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"place": "nowhere"}, "There is no folder nowhere. Correct the place at the top."),
        ({"results": " "}, "The results need a folder. Write a name for a new one."),
        ({"results": "in"}, "The results need a folder of their own"),
        ({"results": "class.csv"}, "is a file where a folder is needed"),
        ({"folder": "empty"}, "is empty. Put the filled-in worksheets in it"),
        ({"register": "no-ids.csv"}, "has no column “id”"),
    ],
)
def test_a_wrong_choice_is_a_sentence_and_nothing_is_written(
    school: Path, change: dict[str, str], says: str
) -> None:
    (school / "empty").mkdir()
    (school / "no-ids.csv").write_text("name\nsomebody\n", encoding="utf-8")
    panel = MarkingPanel(school)
    panel.folder.value, panel.register.value = "in", "class.csv"
    before = hashes(school)
    for name, value in change.items():
        getattr(panel, name).value = value
    panel.mark.click()
    assert says in panel.says.value
    assert panel.picture.value == ""
    assert not panel.mark.disabled
    assert hashes(school) == before


def test_a_place_without_folder_or_list_is_told(tmp_path: Path) -> None:
    panel = MarkingPanel(tmp_path)
    panel.mark.click()
    assert "holds no folder" in panel.says.value
    (tmp_path / "in").mkdir()
    panel = MarkingPanel(tmp_path)
    panel.mark.click()
    assert panel.says.value == "<p>Choose the folder that holds the filled-in worksheets.</p>"
    panel.folder.value = "in"
    panel.mark.click()
    assert "holds no CSV file" in panel.says.value


def test_names_from_outside_are_no_markup(school: Path) -> None:
    panel = MarkingPanel(school)
    panel.place.value = "<img src=x>"
    panel.mark.click()
    assert "&lt;img src=x&gt;" in panel.says.value


def test_a_disk_that_refuses_is_a_sentence(school: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device", "marked")

    monkeypatch.setattr("acpower.panels.marking_panel.hand_back", full)
    panel = MarkingPanel(school)
    panel.folder.value = "in"
    panel.mark.click()
    assert (
        "marked cannot be used (No space left on device). If it is open in another program"
        in panel.says.value
    )


def test_a_page_without_a_kernel_shows_a_sentence(school: Path) -> None:
    bundle = MarkingPanel(school)._repr_mimebundle_()
    assert "running notebook" in bundle["text/html"]
    assert "application/vnd.jupyter.widget-view+json" in bundle


def test_worksheets_for_marks_are_marked_with_the_term_key_that_is_chosen(tmp_path: Path) -> None:
    term_key = make_term_key(tmp_path / "autumn.key")
    register = read_register(write_register(tmp_path / "class.csv", "A01"))
    (path,) = hand_out_class(WORKSHEET, register, tmp_path / "in", term_key).files
    path.write_text(
        notebooks.canonical(fill_in(json.loads(path.read_text(encoding="utf-8")), RIGHT)), encoding="utf-8"
    )
    panel = MarkingPanel(tmp_path)
    assert panel.term_key.value is None
    panel.folder.value = "in"
    panel.mark.click()
    assert "Marked: 0 of 1 worksheet. Something is left for you to settle" in panel.says.value
    panel.term_key.value = "autumn.key"
    panel.mark.click()
    assert "Marked: 1 of 1 worksheet." in panel.says.value
    (tmp_path / "autumn.key").write_text("no key", encoding="utf-8")
    panel.mark.click()
    assert "holds no term key" in panel.says.value
