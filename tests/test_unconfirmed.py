"""What is from memory and unconfirmed is told so, and no marked question rests on it."""

import ast
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import acpower
from acpower import tables
from acpower.connectors import CONNECTORS

PACKAGE = Path(acpower.__file__).parent
SCHEMES = sorted((PACKAGE / "worksheets" / "schemes").glob("*.py"))

# This room gives scheme and lesson only what was read in a document: the second test looks at that.
FILTERS_ITSELF = {"connectors"}


def unconfirmed_rows() -> list[Any]:
    return [
        pytest.param(name, row, id=f"{name} {number}")
        for name in tables.names()
        for number, row in enumerate(tables.rows(name))
        if any("unconfirmed" in row.get(column, "") for column in ("status", "arrangement"))
    ]


@cache
def rooms_used(path: Path) -> frozenset[str]:
    """Return the formula rooms that a module imports, with those that they import."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("acpower"):
            parts = node.module.split(".")[1:]
            found |= {parts[0]} if parts else {alias.name for alias in node.names}
    files = {PACKAGE / f"{name}.py" for name in found} - {path}
    return frozenset(found).union(*(rooms_used(file) for file in files if file.is_file()))


def tables_read(room: str) -> set[str]:
    path = PACKAGE / f"{room}.py"
    if not path.is_file():
        return set()
    calls = [
        node for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(node, ast.Call)
    ]
    return {
        str(call.args[0].value)
        for call in calls
        if isinstance(call.func, ast.Attribute)
        and call.func.attr == "rows"
        and isinstance(call.args[0], ast.Constant)
    }


@pytest.mark.parametrize("path", SCHEMES, ids=lambda path: path.stem)
def test_no_mark_scheme_reads_a_table_with_unconfirmed_rows(path: Path) -> None:
    unconfirmed = {param.values[0] for param in unconfirmed_rows()}
    rooms = rooms_used(path) - FILTERS_ITSELF
    assert {room: tables_read(room) & unconfirmed for room in rooms if tables_read(room) & unconfirmed} == {}


def test_the_check_sees_a_room_that_reads_such_a_table() -> None:
    assert "pilot_timing" in tables_read("sequence")
    assert "sequence" in rooms_used(PACKAGE / "figures" / "sequence.py")


@pytest.mark.parametrize("key", CONNECTORS)
def test_ratings_of_a_connector_are_those_that_were_read(key: str) -> None:
    coupler = CONNECTORS[key]
    read = {rating.value for rating in coupler.ratings if rating.status == "read"}
    assert set(coupler.single_phase_a) | set(coupler.three_phase_a) <= read
    assert coupler.voltage_v is None or coupler.voltage_v in read


@pytest.mark.parametrize(("name", "row"), unconfirmed_rows())
def test_an_unconfirmed_row_says_that_it_is_from_memory(name: str, row: dict[str, str]) -> None:
    assert "from memory" in row["status"] + row.get("arrangement", "")
