"""What has been run so far, on disk: a marking that was ended goes on where it stopped.

The file holds what each run has told, not marks. What was run by another package, in another
isolation, with other limits or from another file is run again.
"""

import hashlib
import json
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import asdict
from importlib.metadata import version
from pathlib import Path

from acpower.marking.run import Data, Limits, Told

NAME = "run-so-far.jsonl"


class SoFar:
    """The runs of one class that have ended; without a ``path`` they are kept nowhere."""

    def __init__(self, path: Path | None = None) -> None:
        self._path = path
        self._told: dict[str, Told] = dict(_read(path)) if path and path.exists() else {}

    def find(self, key: str) -> Told | None:
        """Return what an earlier run has told, if there was one."""
        return self._told.get(key)

    def keep(self, key: str, told: Told) -> None:
        """Write down what a run has told, at once."""
        if self._path is not None:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            with self._path.open("a", encoding="utf-8", newline="\n") as file:
                file.write(json.dumps({"key": key, **asdict(told)}) + "\n")


def run_key(worksheet: Data, limits: Limits, isolation: str) -> str:
    """Return the key of a run: equal cells, run under equal conditions, have the same one."""
    text = json.dumps([version("acpower"), isolation, asdict(limits), worksheet], sort_keys=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _read(path: Path) -> Iterator[tuple[str, Told]]:
    text = path.read_text(encoding="utf-8", errors="replace")
    if not text.endswith("\n"):  # the last line was cut off when the run was ended
        text = text[: text.rfind("\n") + 1]
        path.write_text(text, encoding="utf-8", newline="\n")
    for line in text.splitlines():
        with suppress(ValueError, KeyError, TypeError):
            kept = json.loads(line)
            yield kept["key"], Told(kept["lines"], kept["last_words"])
