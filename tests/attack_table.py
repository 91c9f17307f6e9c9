"""``python tests/attack_table.py`` writes attack_results.csv: what came of each attack, run as whom.

It is run by root, so that all routes are there. The rows I8 hold the most that was seen at one time; they are
for people, and no test compares them.
"""

import csv
from collections.abc import Sequence
from pathlib import Path

from attacks import Attack
from attacks_inside import ATTACKS
from hostile_class import attacks_on, marked_class
from hostile_runs import AS_ROOT, AS_USER, LIMITS_ONLY, ROUTES

TABLE = Path(__file__).parent / "attack_results.csv"
COLUMNS = ("number", "name", AS_ROOT, AS_USER, LIMITS_ONLY)


def rows_of(routes: Sequence[str]) -> list[dict[str, str]]:
    """Return what came of each attack: the reason on record and the marks, of those of the honest twin."""
    rows = []
    for attack in sorted(ATTACKS, key=lambda one: one.number):
        row = {"number": attack.number, "name": attack.name}
        for route in routes:
            row[route] = _came_of(route, attack) if attack in attacks_on(route) else "not promised"
        rows.append(row)
    return rows


def _came_of(route: str, attack: Attack) -> str:
    marked = marked_class(route)
    reasons = "+".join(note["reason"] for note in marked.record("hostile", attack.name)["notes"]) or "-"
    marks, twin = (marked.marks(which, attack.name) for which in ("hostile", "twins"))
    safe = "safe" if all(own <= other for own, other in zip(marks, twin, strict=True)) else "NOT SAFE"
    got = "up to" if attack.rest is None else f"{sum(marks)} of"
    return f"{reasons}; {got} {sum(twin)}; {safe}"


def read_table() -> list[dict[str, str]]:
    """Return the stored rows, without the peaks."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["number"] != "I8"]


def _peaks() -> list[dict[str, str]]:
    peaks = {route: marked_class(route).hostile.peak for route in ROUTES}
    return [
        {"number": "I8", "name": "peak of memory, MiB"}
        | {r: f"{p.memory / 2**20:.0f}" for r, p in peaks.items()},
        {"number": "I8", "name": "peak of processes"} | {r: str(p.processes) for r, p in peaks.items()},
        {"number": "I8", "name": "peak on disk, MiB"}
        | {r: f"{p.disk / 2**20:.1f}" for r, p in peaks.items()},
        {"number": "I8", "name": "seconds"} | {r: f"{p.seconds:.0f}" for r, p in peaks.items()},
    ]


if __name__ == "__main__":
    with TABLE.open("w", encoding="utf-8", newline="") as table:
        writer = csv.DictWriter(table, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows([*rows_of(ROUTES), *_peaks()])
