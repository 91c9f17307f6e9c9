"""A class of attackers and honest apprentices, its twin without the attacks, and what marking each came to."""

import csv
import json
import shutil
import socket
import sys
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from attacks import Attack
from attacks_inside import ATTACKS
from bs4 import BeautifulSoup
from classroom import hand_in, hashes, right, with_cell, write_register
from hostile_runs import (
    AS_USER,
    LIMITS_ONLY,
    SECONDS,
    SECRET,
    Outcome,
    new_place,
    run_command,
)

import acpower

HONEST = ("a-honest", "m-honest", "z-honest")  # among the attackers, as names are sorted
_LONGEST_RUN = 600


@dataclass
class MarkedClass:
    """Both classes as one route has marked them."""

    hostile: Outcome
    twins: Outcome
    refused: Outcome | None
    results: dict[str, dict[str, Any]]
    before: dict[str, str]
    after: dict[str, str]
    left_in_temporary_folder: list[str]

    def record(self, which: str, name: str) -> dict[str, Any]:
        """Return what the marking record says of one worksheet."""
        (record,) = [one for one in self.results[which]["record"]["worksheets"] if one["id"] == name]
        return dict(record)

    def marks(self, which: str, name: str) -> list[int]:
        """Return the marks of one worksheet, question by question."""
        return [question["marks"] for question in self.record(which, name)["questions"]]

    def report(self, which: str, name: str) -> str:
        """Return the report of one apprentice."""
        return str(self.results[which]["pages"][f"reports/{name}.html"])

    def line(self, which: str, name: str) -> dict[str, str]:
        """Return the line of one apprentice in the mark sheet."""
        (line,) = [one for one in self.results[which]["sheet"] if name in one.values()]
        return dict(line)

    def pages(self, which: str) -> Iterator[BeautifulSoup]:
        """Return all pages that were written."""
        return (BeautifulSoup(page, "html.parser") for page in self.results[which]["pages"].values())


def attacks_on(route: str) -> tuple[Attack, ...]:
    """Return the attacks that a route promises to stand."""
    return tuple(one for one in ATTACKS if route != LIMITS_ONLY or one.limits_only is not None)


@cache
def marked_class(route: str) -> MarkedClass:
    """Mark the class on a route, once."""
    place = new_place()
    try:
        return _marked(route, place)
    finally:
        shutil.rmtree(place, ignore_errors=True)


def _marked(route: str, place: Path) -> MarkedClass:
    with closing(socket.socket(socket.AF_UNIX)) as service:
        name = f"hostile-service-{place.name}"
        if sys.platform == "linux":
            service.bind(f"\0{name}")
            service.listen()
        _write_neighbours(place)
        _hand_in_all(route, place, name)
        before = _hashes(place)
        refused = _mark(route, place, "hostile", said_so=False) if route == LIMITS_ONLY else None
        # Twins do nothing that isolation is for, and so they are run where they start fastest.
        outcomes = {
            "hostile": _mark(route, place, "hostile"),
            "twins": _mark(AS_USER if route == LIMITS_ONLY else route, place, "twins"),
        }
        after = _hashes(place)
    left = [path.name for path in (place / "tmp").iterdir()]
    results = {which: _results(place / f"{which}-marked") for which in outcomes}
    return MarkedClass(outcomes["hostile"], outcomes["twins"], refused, results, before, after, left)


def _write_neighbours(place: Path) -> None:
    """Write what an instructor may keep beside a class."""
    (place / "home" / ".config").mkdir(parents=True)
    (place / "home" / ".profile").write_text(SECRET, encoding="utf-8")
    (place / "neighbour").mkdir()
    for name in ("mark-book.csv", "term-key.txt", "solutions.ipynb"):
        (place / "neighbour" / name).write_text(SECRET, encoding="utf-8")


def _hand_in_all(route: str, place: Path, service: str) -> None:
    attacks = attacks_on(route)
    values = {
        "IN": str(place / "hostile"),
        "NEIGHBOUR": str(place / "neighbour"),
        "HOME": str(place / "home"),
        "PLACE": str(place),
        "SECRET": SECRET,
        "SOCKET": service,
    }
    for attack in attacks:
        twin = right(attack.name, **attack.changes)
        hand_in(place / "twins", attack.name, twin)
        cell = attack.cell
        for word, value in {**values, "TAG": f"hostile-tag-{attack.name}"}.items():
            cell = cell.replace(f"@{word}@", value)
        hostile = with_cell(twin, cell)
        if attack.then:
            hostile = with_cell(hostile, attack.then)
            hostile["cells"] = [
                {**one, "id": "own-cell-2"} if one["source"] == attack.then else one
                for one in hostile["cells"]
            ]
        hand_in(place / "hostile", attack.name, hostile)
    for name in HONEST:
        hand_in(place / "twins", name, right(name))
        hand_in(place / "hostile", name, right(name))
    write_register(place / "class.csv", *(attack.name for attack in attacks), *HONEST)


def _mark(route: str, place: Path, which: str, *, said_so: bool = True) -> Outcome:
    words = ["mark", str(place / which), "--register", str(place / "class.csv")]
    words += ["--to", str(place / f"{which}-marked")]
    cell_seconds, worksheet_seconds = map(str, SECONDS[route])
    words += ["--cell-seconds", cell_seconds, "--worksheet-seconds", worksheet_seconds]
    if route == LIMITS_ONLY and said_so:
        words.append("--limits-only")
    return run_command(route, words, place, _LONGEST_RUN)


def _hashes(place: Path) -> dict[str, str]:
    """Return the hash of every file that no worksheet may change."""
    folders = [place / name for name in ("hostile", "twins", "neighbour", "home")]
    folders += [Path(acpower.__file__).parent, Path(sys.executable).parent]
    found = {f"{folder}/{name}": value for folder in folders for name, value in hashes(folder).items()}
    return {name: value for name, value in found.items() if "__pycache__" not in name}


def _results(folder: Path) -> dict[str, Any]:
    with (folder / "mark-sheet.csv").open(encoding="utf-8-sig", newline="") as file:
        sheet = list(csv.DictReader(file))
    pages = {
        path.relative_to(folder).as_posix(): path.read_text(encoding="utf-8")
        for path in folder.rglob("*.html")
    }
    record = json.loads((folder / "marking-record.json").read_text(encoding="utf-8"))
    return {"sheet": sheet, "pages": pages, "record": record}
