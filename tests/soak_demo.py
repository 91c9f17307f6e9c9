"""Whether marking stays the same and stays small: the invented class of the demo, marked again and again.

Run ``python tests/soak_demo.py`` (50 times, a minute or two each on two cores) or ``python tests/soak_demo.py 3``.
All runs happen in one process and must write the same bytes: mark sheet, answers, reports and class picture as
they are, and the record without what a clock gives (``marked_at`` and the ``seconds`` of each worksheet; pages
show the day, so a run over midnight counts as other). After each run it notes the resident memory of this process
with its children, and the numbers of its open files and of its processes. It ends with exit code 1 where

- a file differs from the first run, or
- memory grows: the straight line through all runs but the first rises by more than 1 MB a run and by more than
  20 MB in all, or
- after a run more files or processes are open than after the first.

The first run is left out of the line: it imports and fills caches. Nothing here is a timed test.
"""

import argparse
import hashlib
import json
import sys
import tempfile
from pathlib import Path
from typing import NamedTuple

import numpy as np
import psutil
from tqdm import tqdm

from acpower.marking.demo import DEMO_LIMITS, mark_demo
from acpower.marking.hand_back import RECORD, hand_back

MOST_MB_A_RUN, MOST_MB = 1.0, 20.0


class Held(NamedTuple):
    """What the process holds after a run."""

    megabytes: float
    files: int
    processes: int


def held() -> Held:
    """Return what this process and its children hold now."""
    this = psutil.Process()
    every = [this, *this.children(recursive=True)]
    return Held(
        sum(one.memory_info().rss for one in every) / 2**20,
        this.num_fds() if hasattr(this, "num_fds") else this.num_handles(),
        len(every),
    )


def mark_once() -> dict[str, str]:
    """Mark the class in a new folder; return the hash of every file that was written."""
    with tempfile.TemporaryDirectory(prefix="acpower-soak-") as scratch:
        place = Path(scratch) / "class"
        hand_back(mark_demo(place, lambda done, due, result: None), place / "marked", DEMO_LIMITS)
        marked = place / "marked"
        contents = {
            path.relative_to(marked).as_posix(): path.read_bytes()
            for path in sorted(marked.rglob("*"))
            if path.is_file()
        }
    contents[RECORD] = without_clock(contents[RECORD])
    return {name: hashlib.sha256(content).hexdigest() for name, content in contents.items()}


def without_clock(content: bytes) -> bytes:
    """Return a record without the time of marking and the seconds of each worksheet."""
    record = json.loads(content)
    del record["marked_at"]
    for worksheet in record["worksheets"]:
        worksheet.pop("seconds", None)
    return json.dumps(record).encode()


def problems(first: dict[str, str], last: dict[str, str], seen: list[Held]) -> list[str]:
    """Say what did not stay as it was."""
    found = [
        f"{name} differs from the first run." for name in first | last if first.get(name) != last.get(name)
    ]
    for what, before, now in zip(Held._fields[1:], seen[0][1:], seen[-1][1:], strict=True):
        if now > before:
            found.append(f"{now} {what} are open; after the first run it was {before}.")
    return found


def rise(seen: list[Held]) -> float:
    """Return by how many megabytes a run the memory rises, on the straight line without the first run."""
    settled = [one.megabytes for one in seen[1:]]
    return float(np.polyfit(range(len(settled)), settled, 1)[0]) if len(settled) > 1 else 0.0


def main() -> int:
    """Mark as often as asked, say what was held, and return 1 where something did not stay as it was."""
    parser = argparse.ArgumentParser(description="Mark the class of the demo again and again.")
    parser.add_argument("runs", nargs="?", type=int, default=50, help="how many times (default: 50)")
    runs = parser.parse_args().runs
    first: dict[str, str] = {}
    seen: list[Held] = []
    for _ in tqdm(range(runs), unit=" runs"):
        written = mark_once()
        first = first or written
        seen.append(held())
        if found := problems(first, written, seen):
            print(f"Run {len(seen)}: {' '.join(found)}")
            return 1
    for name in Held._fields:
        values = [getattr(one, name) for one in seen]
        print(f"{name}: first {values[0]:.6g}, last {values[-1]:.6g}, most {max(values):.6g}")
    each = rise(seen)
    print(f"{len(first)} files written each time, all the same. Memory rises by {each:+.3f} MB a run.")
    return int(each > MOST_MB_A_RUN and each * (runs - 1) > MOST_MB)


if __name__ == "__main__":
    sys.exit(main())
