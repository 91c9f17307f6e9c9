"""What has been run so far, on disk: a marking that was ended goes on where it stopped.

The file holds what each run has told, not marks. What was run by another package, in another
isolation, with other limits or from another file is run again.
"""

import hashlib
import json
import os
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import asdict
from importlib.metadata import version
from pathlib import Path

from acpower.marking.run import Data, Limits, Told
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.answers import shortened

NAME = "run-so-far.jsonl"


class SoFar:
    """The runs of one class that have ended; without a ``path`` they are kept nowhere."""

    def __init__(self, path: Path | None = None) -> None:
        self._path = path
        self._told: dict[str, Told] = dict(_read(path)) if path and os.path.lexists(path) else {}

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
    """Yield the runs that are kept whole; a damaged line is left out, so that its worksheet is run again."""
    if path.is_symlink() or not path.is_file():
        raise UserMistake(
            f"{shortened(str(path))} is not a file that a marking has written. Move it away, then mark again."
        )
    content = path.read_bytes()
    whole = content.rfind(b"\n") + 1
    if whole < len(content):  # the last line was cut off when the run was ended
        os.truncate(path, whole)
    for line in content[:whole].splitlines():
        with suppress(ValueError, KeyError, TypeError, RecursionError):
            kept = json.loads(line.decode("utf-8"))
            key, lines, last_words = kept["key"], kept["lines"], kept["last_words"]
            if isinstance(key, str) and isinstance(lines, list) and isinstance(last_words, str):
                yield key, Told(lines, last_words)
