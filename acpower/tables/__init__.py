"""Published values, one CSV file per table, each row with its source.

``rows`` reads a table, ``sources`` the bibliography that its ``source`` column points to.
The README beside the files says what each one is and where it came from.
"""

import csv
import tomllib
from functools import cache
from importlib.resources import files

from acpower._checks import choice

__all__ = ["names", "rows", "sources"]


@cache
def names() -> tuple[str, ...]:
    """Return the names of all tables in alphabetical order.

    >>> "supplies" in names()
    True
    """
    found = (entry.name for entry in files(__name__).iterdir())
    return tuple(sorted(name.removesuffix(".csv") for name in found if name.endswith(".csv")))


def rows(table: str) -> list[dict[str, str]]:
    """Return the rows of a table as dictionaries of text, in the order of the file.

    Parameters
    ----------
    table : str
        Name of the file without ``.csv``, one of `names`.

    Returns
    -------
    list of dict
        One dictionary per row; its keys are the column headers, an empty text means unknown.

    Raises
    ------
    ValueError
        If there is no such table; the message lists those that there are.

    Examples
    --------
    >>> rows("supplies")[0]["phase_voltage_v"]
    '230'
    """
    name = choice("table", table, names())
    text = files(__name__).joinpath(f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines(), strict=True))


@cache
def sources() -> dict[str, dict[str, str]]:
    """Return the bibliography: for each source key title, issuer, edition, how it was seen, note.

    >>> sources()["electric-circuits-ac"]["seen"]
    'itself'
    """
    return tomllib.loads(files(__name__).joinpath("sources.toml").read_text(encoding="utf-8"))
