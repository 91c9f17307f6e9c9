"""Imports point one way, and the picture of the rooms in DEVELOPERS.md is what is there."""

import ast
import re
from collections.abc import Iterator
from graphlib import TopologicalSorter
from itertools import pairwise
from pathlib import Path

import pytest

import acpower

PACKAGE = Path(acpower.__file__).parent
MODULES = {
    ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__"): path
    for path in sorted(PACKAGE.rglob("*.py"))
}

# What each room stands on; it may use what that stands on, too. `_checks` is the ground of all.
STANDS_ON = {
    "_checks": [],
    "notebooks": [],
    "tables": ["_checks"],
    "formulas": ["tables"],
    "figures": ["formulas"],
    "panels": ["figures"],
    "worksheets": ["formulas", "notebooks"],
    "marking": ["worksheets"],
    "printing": ["marking"],
    "plan": ["panels", "worksheets"],
    "study": ["formulas", "notebooks"],
    "site": ["marking"],
    "commands": ["printing", "site", "study"],
    "cli": ["commands"],
}

# The few modules that need more than their room; DEVELOPERS.md names each of them.
NEEDS_MORE = {
    "acpower.panels.marking_panel": "marking",
    "acpower.panels.practise_panel": "worksheets",
    "acpower.marking.class_figures": "figures",
    "acpower.printing.lesson": "panels",
}


def room(module: str) -> str:
    """Return the room of a module: a folder, ``formulas``, or a module that stands alone."""
    name = module.removeprefix("acpower").lstrip(".").partition(".")[0]
    inner = name.startswith("_") and name != "_checks"
    return "formulas" if inner or name in acpower.__all__ else name


def imported(path: Path) -> Iterator[str]:
    """Yield the modules of the package that a module imports anywhere in it."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name} imports with dots"
            inner = (f"{node.module}.{alias.name}" for alias in node.names)
            yield from (name if name in MODULES else str(node.module) for name in inner)
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)


def allowed(name: str) -> set[str]:
    return {name}.union(*(allowed(ground) for ground in STANDS_ON[name]))


def rooms_used(module: str) -> set[str]:
    return {room(name) for name in imported(MODULES[module]) if name.startswith("acpower.")}


@pytest.mark.parametrize("module", sorted(MODULES.keys() - {"acpower"}))
def test_a_module_imports_from_its_room_and_what_that_stands_on(module: str) -> None:
    beyond = rooms_used(module) - allowed(room(module))
    if module in NEEDS_MORE:
        assert beyond
        beyond -= allowed(NEEDS_MORE[module])
    assert beyond == set()


def test_no_module_imports_itself_in_a_circle() -> None:
    graph = {module: set(imported(path)) & MODULES.keys() for module, path in MODULES.items()}
    assert len(list(TopologicalSorter(graph).static_order())) == len(MODULES)


def test_only_panels_import_widgets() -> None:
    users = {
        module
        for module, path in MODULES.items()
        if {name.partition(".")[0] for name in imported(path)} & {"ipywidgets", "anywidget"}
    }
    assert users
    assert {room(module) for module in users} == {"panels"}


def rooms_on_the_page() -> str:
    page = (PACKAGE.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    return page.partition("## Rooms\n")[2].partition("\n## ")[0]


def test_the_picture_of_the_rooms_shows_what_is_there() -> None:
    picture = rooms_on_the_page().split("```")[1]
    shown = re.findall(r"^  (\w+/|\w+\.py(?: \w+\.py)*)", picture, re.MULTILINE)
    there = {f"{path.name}/" for path in PACKAGE.iterdir() if path.is_dir()}
    there |= {f"{name}.py" for name in map(room, MODULES) if (PACKAGE / f"{name}.py").is_file()}
    public = {name for name in there if not name.startswith("_")}
    assert sorted(" ".join(shown).split()) == sorted(public)
    beside = re.findall(r"^(?:\w+/ *)+", picture, re.MULTILINE)
    assert all((PACKAGE.parent / name).is_dir() for name in " ".join(beside).split())


def test_the_table_of_the_rooms_names_every_formula_module_once() -> None:
    rows = re.findall(r"^\|[^|]+\|(.+)\|$", rooms_on_the_page(), re.MULTILINE)[2:]
    assert sorted(name for row in rows for name in re.findall(r"`(\w+)`", row)) == sorted(acpower.__all__)


def test_the_page_says_in_which_order_the_rooms_stand_and_who_needs_more() -> None:
    words = rooms_on_the_page()
    for way in re.findall(r"\w+(?: → \w+)+", words):
        assert all(lower in allowed(upper) for lower, upper in pairwise(way.split(" → ")))
    names = {module.removeprefix("acpower.").replace(".", "/") for module in NEEDS_MORE}
    assert set(re.findall(r"`(?!tests/)(\w+/\w+)\.py`", words)) == names
