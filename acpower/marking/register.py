"""The register: the class list, a CSV of pseudonymous ids and, if wanted, names."""

import csv
import re
from dataclasses import dataclass
from pathlib import Path

from acpower.worksheets.answers import shortened

_ID = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9-]{0,30}[A-Za-z0-9])?")


class UserMistake(Exception):
    """Something that the person at the keyboard can put right; the message says how."""


@dataclass(frozen=True)
class Register:
    """The class. ``names`` stay on the instructor's machine; ``problems`` are sentences for people."""

    ids: tuple[str, ...]
    names: dict[str, str]
    problems: tuple[str, ...]

    def find(self, apprentice: str) -> str | None:
        """Return the id as the register spells it, whatever the letter case, or None."""
        return next((known for known in self.ids if known.casefold() == apprentice.casefold()), None)


def read_register(path: Path) -> Register:
    """Read a register.

    Parameters
    ----------
    path
        A CSV file in UTF-8 with a header row, a column ``id`` and, optionally, a column ``name``.
        Commas or semicolons part the columns.

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
    if path.exists() and not path.is_file():
        raise UserMistake(f"The register {path} is not a file. Give the CSV file with the class list.")
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as problem:
        raise UserMistake(
            f"The register {path} cannot be read ({problem.strerror}). Check the path."
        ) from None
    except UnicodeDecodeError:
        raise UserMistake(
            f"The register {path} is not UTF-8 text. In the spreadsheet choose “save as CSV UTF-8”."
        ) from None
    lines = text.splitlines()
    delimiter = ";" if lines and lines[0].count(";") > lines[0].count(",") else ","
    try:
        reader = csv.DictReader(lines, delimiter=delimiter, restkey="", restval="", strict=True)
        rows = list(reader)
    except csv.Error as problem:
        raise UserMistake(
            f"The register {path} is damaged near line {reader.line_num} ({problem}). Look for a quotation mark "
            "that is not closed."
        ) from None
    named = [column.strip().casefold() for column in reader.fieldnames or ()]
    if len(set(named)) < len(named):
        raise UserMistake(
            f"The register {path} has two columns of the same name. Give each column its own name."
        )
    columns = dict(zip(named, reader.fieldnames or (), strict=True)) if rows else {}
    if "id" not in columns:
        raise UserMistake(
            f"The register {path} has no column “id”, or no rows. The first line must be “id” or “id,name”, "
            "and each apprentice needs a row."
        )
    found: dict[str, str] = {}
    counts: dict[str, int] = {}
    problems = []
    for number, row in enumerate(rows, start=2):
        apprentice = row[columns["id"]].strip()
        name = row[columns["name"]].strip() if "name" in columns else ""
        if not apprentice and not name:
            continue
        if not _ID.fullmatch(apprentice):
            problems.append(
                f"Register line {number}: the id “{shortened(apprentice)[:40]}” cannot be used. Use up to 32 letters, "
                "digits and hyphens, such as A07."
            )
            continue
        counts[apprentice.casefold()] = counts.get(apprentice.casefold(), 0) + 1
        found[apprentice] = name
    for apprentice in [a for a in found if counts[a.casefold()] > 1]:
        del found[apprentice]
    for apprentice, count in counts.items():
        if count > 1:
            problems.append(
                f"The register lists the id “{apprentice.upper()}” {count} times, so nobody can tell whose "
                "worksheet it is. It was set aside: give each apprentice an id of their own, then run this again."
            )
    if not found:
        raise UserMistake(f"The register {path} lists no apprentice that can be used. " + " ".join(problems))
    return Register(tuple(found), found, tuple(problems))
