"""The register: the class list, a CSV of pseudonymous ids and, if wanted, names."""

import re
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from acpower.marking.table_file import read_table
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.answers import shortened

_ID = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9-]{0,30}[A-Za-z0-9])?")

_MOST_TOLD = 3  # where no row can be used, the first few show what is wrong


@dataclass(frozen=True)
class Register:
    """The class. ``names`` stay on the instructor's machine; ``problems`` are sentences for people."""

    ids: tuple[str, ...]
    names: dict[str, str]
    problems: tuple[str, ...]

    def find(self, apprentice: str) -> str | None:
        """Return the id as the register spells it, whatever the letter case, or None."""
        return self._spelled.get(apprentice.casefold())

    @cached_property
    def _spelled(self) -> dict[str, str]:
        return {known.casefold(): known for known in reversed(self.ids)}


def is_id(text: str) -> bool:
    """Whether a text may be an apprentice's id: it becomes part of file names.

    >>> is_id("A07"), is_id("../A07")
    (True, False)
    """
    return _ID.fullmatch(text) is not None


def read_register(path: Path) -> Register:
    """Read a register.

    Parameters
    ----------
    path
        A CSV file in UTF-8 with a header row, a column ``id`` and, optionally, a column ``name``.
        Commas, semicolons or tabs part the columns.

    Returns
    -------
    Register
        Ids in the order of the file. A row that cannot be used is set aside and told in
        ``problems``; the rest of the class is not held up by it.

    Raises
    ------
    UserMistake
        The file is missing, is no CSV text, has no ``id`` column or lists nobody.
    """
    rows = read_table(path, "The register", ("id",))
    found: dict[str, str] = {}
    counts: dict[str, int] = {}
    problems = []
    for number, row in rows:
        apprentice, name = row["id"], row.get("name", "")
        if not apprentice and not name:
            continue
        if not is_id(apprentice):
            problems.append(
                f"Register line {number}: the id “{shortened(apprentice)[:40]}” cannot be used. Use up to 32 letters "
                "from A to Z, digits and hyphens, such as A07."
            )
            continue
        counts[apprentice.casefold()] = counts.get(apprentice.casefold(), 0) + 1
        found[apprentice] = shortened(name)
    for apprentice in [a for a in found if counts[a.casefold()] > 1]:
        del found[apprentice]
    for apprentice, count in counts.items():
        if count > 1:
            problems.append(
                f"The register lists the id “{apprentice.upper()}” {count} times, so nobody can tell whose "
                "worksheet it is. It was set aside: give each apprentice an id of their own, then run this again."
            )
    if not found:
        told = " ".join(problems[:_MOST_TOLD])
        raise UserMistake(
            f"The register {shortened(str(path))} lists no apprentice that can be used. {told}".strip()
        )
    return Register(tuple(found), found, tuple(problems))
