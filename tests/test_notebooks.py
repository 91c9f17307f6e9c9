"""The notebooks of the repository: their form in git, their structure, their links and their access."""

import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import mistune
import pytest
from bs4 import BeautifulSoup

from acpower.notebooks import canonical, folder, main

FOLDERS = ("course", "exercises", "solutions")
NOTEBOOKS = [path for name in FOLDERS for path in sorted(folder(name).glob("*.ipynb"))]
each_notebook = pytest.mark.parametrize(
    "path", NOTEBOOKS, ids=[f"{path.parent.name}/{path.stem}" for path in NOTEBOOKS]
)
each_worksheet = pytest.mark.parametrize(
    "name", [path.name for path in NOTEBOOKS if path.parent.name == "exercises"]
)

MEANINGFUL_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
RANDOM_ID = re.compile(r"[0-9a-f]{8}(-|$)")  # what Jupyter gives a new cell: eight digits, or a UUID
ABSOLUTE_PATH = re.compile(r"(?<![\w.:/])(/(home|Users|root|tmp|var|usr|opt|mnt|work)/|[A-Za-z]:\\|file:|~/)")
RECORDED = re.compile(r"""\.record\(\s*["'](\w+)["']""")


def cells(path: Path) -> list[dict[str, Any]]:
    return list(json.loads(path.read_text(encoding="utf-8"))["cells"])


def source(cell: dict[str, Any]) -> str:
    return "".join(cell["source"])


def prose(path: Path) -> BeautifulSoup:
    """Return the notebook's Markdown cells as one HTML page, in their order."""
    markdown = [source(cell) for cell in cells(path) if cell["cell_type"] == "markdown"]
    return BeautifulSoup("\n".join(str(mistune.html(text)) for text in markdown), "html.parser")


def recorded(path: Path) -> dict[str, list[str]]:
    """Return the keys that each answer cell records, by cell id."""
    keys = {cell["id"]: RECORDED.findall(source(cell)) for cell in cells(path) if cell["cell_type"] == "code"}
    return {name: found for name, found in keys.items() if found}


@pytest.mark.parametrize("name", FOLDERS)
def test_every_folder_has_notebooks(name: str) -> None:
    assert any(path.parent.name == name for path in NOTEBOOKS)


@each_notebook
def test_file_is_in_canonical_form(path: Path) -> None:
    text = path.read_bytes().decode("utf-8")
    if text != canonical(json.loads(text)):
        repair = f".venv/bin/python -m acpower.notebooks {path}"
        pytest.fail(f"not in canonical form; repair it with:\n  {repair}", pytrace=False)


def test_what_is_no_notebook_is_named_and_the_others_are_rewritten(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    without_ids, broken, run = (tmp_path / f"{name}.ipynb" for name in ("without-ids", "broken", "run"))
    cell = {"cell_type": "code", "metadata": {}, "source": "1", "outputs": [], "execution_count": 3}
    without_ids.write_text(json.dumps({"cells": [cell], "metadata": {}}), encoding="utf-8")
    broken.write_text('{"cells": [', encoding="utf-8")
    run.write_text(json.dumps({"cells": [{**cell, "id": "one"}], "metadata": {}}), encoding="utf-8")
    paths = [tmp_path / "missing.ipynb", without_ids, broken, run]
    assert main([str(path) for path in paths]) == 1
    said = capsys.readouterr()
    assert said.out == f"rewritten: {run}\n"
    assert [line.partition(" ")[0] for line in said.err.splitlines()] == [str(path) for path in paths[:3]]
    assert main([str(run)]) == 0
    assert json.loads(run.read_text(encoding="utf-8"))["cells"][0]["execution_count"] is None


@each_notebook
def test_cell_ids_are_unique_and_mean_something(path: Path) -> None:
    ids = [cell["id"] for cell in cells(path)]
    assert sorted(set(ids)) == sorted(ids)
    assert [name for name in ids if not MEANINGFUL_ID.fullmatch(name) or RANDOM_ID.match(name)] == []


@each_notebook
def test_headings_start_with_one_title_and_skip_no_level(path: Path) -> None:
    first = cells(path)[0]
    assert first["cell_type"] == "markdown"
    assert source(first).startswith("# ")
    levels = [int(heading.name[1]) for heading in prose(path).find_all(re.compile("^h[1-6]$"))]
    assert levels.count(1) == 1
    skipped = [(above, below) for above, below in pairwise(levels) if below > above + 1]
    assert skipped == []


@each_notebook
def test_every_picture_in_the_prose_has_a_text_alternative(path: Path) -> None:
    assert [str(image) for image in prose(path).find_all("img") if not image.get("alt", "").strip()] == []


@each_notebook
def test_no_path_of_one_machine_alone(path: Path) -> None:
    assert [cell["id"] for cell in cells(path) if ABSOLUTE_PATH.search(source(cell))] == []


@each_notebook
def test_links_lead_to_files_that_travel_along(path: Path) -> None:
    targets = [link["href"] for link in prose(path).find_all("a", href=True)]
    targets += [image["src"] for image in prose(path).find_all("img", src=True)]
    relative = [unquote(urlsplit(target).path) for target in targets if not urlsplit(target).scheme]
    files = [(path.parent / target).resolve() for target in relative if target]
    assert [file for file in files if not file.is_file()] == []
    # Lessons and worksheets are handed out without the worked sheets and the rest of the repository.
    handed_out = [folder("course").resolve(), folder("exercises").resolve()]
    if path.parent.name != "solutions":
        assert [file for file in files if file.parent not in handed_out] == []


def test_worksheets_and_worked_sheets_match_one_to_one() -> None:
    worksheets, worked = (
        [path.name for path in NOTEBOOKS if path.parent.name == name] for name in ("exercises", "solutions")
    )
    assert worksheets == worked


@each_worksheet
def test_worked_sheet_follows_its_worksheet_cell_by_cell(name: str) -> None:
    worked = iter([cell["id"] for cell in cells(folder("solutions") / name)])
    missing = [cell["id"] for cell in cells(folder("exercises") / name) if cell["id"] not in worked]
    assert missing == [], "these cells are missing in the worked sheet, or stand in another order"


@each_worksheet
def test_answer_cells_that_belong_together_share_their_id(name: str) -> None:
    worksheet, worked = recorded(folder("exercises") / name), recorded(folder("solutions") / name)
    assert worksheet
    assert worked == worksheet
