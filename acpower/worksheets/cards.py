"""Job cards: the apprentice's own numbers, the same on every machine and in every year."""

import hashlib
import hmac
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

# Handed-out practice worksheets use this key, so that an apprentice's own copy can draw the same card.
PRACTICE_TERM_KEY = "practice"

Value = TypeVar("Value")

_FIELD_END = "\x1f"
_LARGEST = 2**64
_MOST_DRAWS = 10_000


class Draw:
    """A repeatable stream of choices for one worksheet and one apprentice.

    Each choice comes from HMAC-SHA-256 with the term key over version, item, apprentice and a
    counter (RFC 2104, FIPS 180-4): integer arithmetic only, so the platform, the Python version
    and numpy make no difference. Every value of a list is equally likely.

    >>> draw = Draw("term key", "1", "charging-power", "A07")
    >>> draw.choose((10, 16, 20)) in (10, 16, 20)
    True
    """

    def __init__(self, term_key: str, version: str, item: str, apprentice: str) -> None:
        self._key = term_key.encode()
        self._message = _FIELD_END.join((version, item, apprentice, ""))
        self._counter = 0

    def choose(self, values: Sequence[Value]) -> Value:
        """Return one of ``values``; the next call continues the stream."""
        # Numbers from here on would make the first values of the list likelier than the last.
        limit = _LARGEST // len(values) * len(values)
        while True:
            message = self._message + str(self._counter)
            number = int.from_bytes(hmac.digest(self._key, message.encode(), hashlib.sha256)[:8])
            self._counter += 1
            if number < limit:
                return values[number % len(values)]


@dataclass(frozen=True)
class Entry:
    """One line of a job card: its name in formulas, its label, its unit and the workshop values."""

    name: str
    label: str
    unit: str
    values: tuple[float | str, ...]


@dataclass(frozen=True, eq=False)
class JobCard:
    """The drawn numbers. Each is an attribute under its name: ``card.line_voltage``.

    ``trials`` holds, for each function question, the inputs on which the function is tried.
    """

    worksheet: str
    version: str
    apprentice: str
    entries: tuple[Entry, ...]
    values: Mapping[str, Any]
    trials: Mapping[str, Sequence[Sequence[float]]] = field(default_factory=dict, repr=False)

    def __getattr__(self, name: str) -> Any:
        """Return the value of the entry ``name``."""
        if name.startswith("__") or name not in self.values:
            listed = ", ".join(entry.name for entry in self.entries)
            raise AttributeError(f"the job card has no entry {name!r}; it has: {listed}")
        return self.values[name]


def draw_card(
    *,
    worksheet: str,
    version: str,
    apprentice: str,
    entries: tuple[Entry, ...],
    possible: Callable[[Any], bool],
    term_key: str = PRACTICE_TERM_KEY,
) -> JobCard:
    """Draw the job card of one apprentice.

    ``possible`` refuses combinations that no electrician would meet, or that have no single
    answer; the draw is then repeated further along the same stream.

    >>> entry = Entry("current", "Current", "A", (10, 16, 20))
    >>> card = draw_card(worksheet="demo", version="1", apprentice="A07",
    ...                  entries=(entry,), possible=lambda card: card.current > 10)
    >>> card.current in (16, 20)
    True
    """
    draw = Draw(term_key, version, worksheet, apprentice)
    for _ in range(_MOST_DRAWS):
        values = {entry.name: draw.choose(entry.values) for entry in entries}
        card = JobCard(worksheet, version, apprentice, entries, values)
        if possible(card):
            return card
    raise ValueError(
        f"worksheet {worksheet}: {_MOST_DRAWS} draws gave no possible job card. Check `possible` and the values of "
        "the entries."
    )
