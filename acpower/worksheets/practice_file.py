"""What is kept of practising: a small file beside the notebook, with counts and without names or ids."""

import json
import os
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

NAME = "my-practice.json"
_LARGEST = 10**9


@dataclass(frozen=True)
class Count:
    """For one question: on how many cards it was right, and the number of its next card."""

    right: int = 0
    next_card: int = 1


class PracticeFile:
    """Progress in one folder, read at the start and written at each step.

    A file that is damaged is set aside under another name. Where nothing can be read or written,
    progress lasts as long as this object. Each such case is said once, through `notices`, and is
    never an exception.

    Parameters
    ----------
    folder
        Where the file is kept.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     PracticeFile(Path(folder)).keep("charging-power", "time_h", Count(right=2, next_card=4))
    ...     PracticeFile(Path(folder)).count("charging-power", "time_h")
    Count(right=2, next_card=4)
    """

    def __init__(self, folder: Path) -> None:
        self._path = folder.absolute() / NAME
        self._counts: dict[str, dict[str, Count]] = {}
        self._kept = True
        self.notices: list[str] = []
        self._read()

    def count(self, worksheet: str, question: str) -> Count:
        """Return the progress of a question."""
        return self._counts.get(worksheet, {}).get(question, Count())

    def worksheets(self) -> Iterable[str]:
        """Return the names of the worksheets with progress."""
        return self._counts.keys()

    def keep(self, worksheet: str, question: str, count: Count) -> None:
        """Keep the progress of a question."""
        self._counts.setdefault(worksheet, {})[question] = count
        if not self._kept:
            return
        self._read()  # another panel may have written since
        if self._kept:
            self._write()

    def _read(self) -> None:
        """Take over what the file holds, where it is further than what is known."""
        try:
            found = _counts(json.loads(self._path.read_text(encoding="utf-8")))
        except FileNotFoundError:
            return
        except OSError as problem:
            self._give_up("read", problem)
            return
        except (ValueError, RecursionError):
            self._set_aside()
            return
        for worksheet, questions in found.items():
            for question, count in questions.items():
                known = self.count(worksheet, question)
                further = Count(max(count.right, known.right), max(count.next_card, known.next_card))
                self._counts.setdefault(worksheet, {})[question] = further

    def _set_aside(self) -> None:
        stem, number = f"{self._path.stem}-damaged", 1
        aside = self._path.with_name(f"{stem}.json")
        while aside.exists():
            number += 1
            aside = self._path.with_name(f"{stem}-{number}.json")
        try:
            self._path.rename(aside)
        except OSError as problem:
            self._give_up("read", problem)
            return
        self.notices.append(
            f"{NAME} is damaged and could not be read. It is now called {aside.name}, and a new file begins."
        )

    def _write(self) -> None:
        data = {
            worksheet: {question: asdict(count) for question, count in questions.items()}
            for worksheet, questions in self._counts.items()
        }
        new = self._path.with_name(f"{NAME}.{os.getpid()}.new")  # the old file stays whole until this one is
        try:
            new.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8", newline="\n")
            new.replace(self._path)
        except OSError as problem:
            with suppress(OSError):
                new.unlink(missing_ok=True)
            self._give_up("written", problem)

    def _give_up(self, what: str, problem: OSError) -> None:
        self._kept = False
        self.notices.append(
            f"Your progress is not kept: {NAME} cannot be {what} here ({problem.strerror}). You can go on practising."
        )


def _counts(data: Any) -> dict[str, dict[str, Count]]:
    """Return what a file holds; refuse anything that this module would not have written."""
    if not isinstance(data, dict) or not all(isinstance(questions, dict) for questions in data.values()):
        raise ValueError("not worksheets with questions")
    return {
        worksheet: {question: _count(count) for question, count in questions.items()}
        for worksheet, questions in data.items()
    }


def _count(data: Any) -> Count:
    if not isinstance(data, dict) or set(data) != {"right", "next_card"}:
        raise ValueError("not the counts of a question")
    count = Count(**data)
    if not (_is_count(count.right, 0) and _is_count(count.next_card, 1)):
        raise ValueError("not the counts of a question")
    return count


def _is_count(value: Any, lowest: int) -> bool:
    return type(value) is int and lowest <= value <= _LARGEST
