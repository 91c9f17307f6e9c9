"""Helpers for tests that need a small class: a register, handed-out worksheets, filled-in ones."""

import hashlib
import json
from pathlib import Path
from typing import Any

from acpower import notebooks
from acpower.marking.demo import RIGHT, fill_in
from acpower.marking.hand_out import file_name, personal_notebook
from acpower.worksheets.schemes import find_worksheet

WORKSHEET = find_worksheet("charging-power")


def write_register(path: Path, *ids: str) -> Path:
    path.write_text("id\n" + "".join(f"{one}\n" for one in ids), encoding="utf-8")
    return path


def issued(apprentice: str) -> dict[str, Any]:
    """Return the worksheet as it is handed out to one apprentice."""
    path = notebooks.folder("exercises") / f"{WORKSHEET.name}.ipynb"
    return personal_notebook(json.loads(path.read_text(encoding="utf-8")), WORKSHEET, apprentice)


def right(apprentice: str, **changes: str) -> dict[str, Any]:
    """Return a worksheet filled in right, but for the expressions given by question."""
    return fill_in(issued(apprentice), {**RIGHT, **changes})


def with_cell(
    notebook: dict[str, Any], source: str, before: str = "charging-current-a-question"
) -> dict[str, Any]:
    """Return the notebook with a code cell of the apprentice's own in front of the cell ``before``."""
    cells = list(notebook["cells"])
    place = [cell["id"] for cell in cells].index(before)
    cells.insert(place, {"cell_type": "code", "id": "own-cell", "metadata": {}, "source": source})
    return {**notebook, "cells": cells}


def hand_in(folder: Path, apprentice: str, notebook: dict[str, Any]) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / file_name(WORKSHEET.name, apprentice)
    path.write_text(notebooks.canonical(notebook), encoding="utf-8", newline="\n")
    return path


def hashes(folder: Path) -> dict[str, str]:
    """Return the hash of every file below a folder."""
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }
