"""Published values with their sources, printed from the tables of the package."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from html import escape

from acpower import tables

_UNITS = {f"_{row['suffix']}": row["unit"] for row in tables.rows("nomenclature")}
_UNITS |= {"_square_mm": "mm²", "_ohm_per_km": "Ω/km"}
_MINUS = re.compile(r"(?<![\w.)])-(?=\d)")  # before a number, and not within a designation


@dataclass(frozen=True)
class SourcedTable:
    """Some columns of a table, each row with the document that it comes from.

    Parameters
    ----------
    table
        Name of the table, one of `acpower.tables.names`.
    columns
        The columns to show, by the names in the table.
    only
        Tells of a row whether it is shown; without it, every row is.

    Examples
    --------
    >>> "Lessons In Electric Circuits" in SourcedTable("waveforms", ("waveform", "rms"))._repr_html_()
    True
    """

    table: str
    columns: tuple[str, ...]
    only: Callable[[dict[str, str]], bool] = lambda row: True

    def _repr_html_(self) -> str:
        head = "".join(
            f'<th scope="col" style="text-align: left">{escape(_heading(name))}</th>'
            for name in (*self.columns, "source")
        )
        rows = tables.rows(self.table)
        shown = [row for row in rows if self.only(row)]
        count = "" if len(shown) == len(rows) else f", {len(shown)} of {len(rows)} rows"
        body = "".join(f"<tr>{_cells(row, self.columns)}</tr>" for row in shown)
        return (
            '<div style="overflow-x: auto"><table style="font-size: 15px">'
            f"<caption>From the table {escape(self.table)}{count}</caption>"
            f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
        )


def _heading(column: str) -> str:
    """Turn a column name into words and a unit.

    >>> _heading("phase_voltage_v"), _heading("max_ohm_per_km")
    ('phase voltage (V)', 'max (Ω/km)')
    """
    end = next((end for end in _UNITS if column.endswith(end) and not column.endswith(f"_per{end}")), "")
    text = f"{column.removesuffix(end)} ({_UNITS[end]})" if end else column
    return text.replace("_", " ").replace("rms", "RMS")


def _cells(row: dict[str, str], columns: tuple[str, ...]) -> str:
    values = [
        _MINUS.sub("−", ", ".join(map(str.strip, row[name].split(";"))))
        or ("none" if name == "note" else "not known")
        for name in columns
    ]
    first = f'<th scope="row" style="text-align: left">{escape(values[0])}</th>'
    return first + "".join(
        f'<td style="text-align: left">{escape(value)}</td>' for value in (*values[1:], _origin(row))
    )


def _origin(row: dict[str, str]) -> str:
    documents = [tables.sources()[key] for key in row["source"].split(";")]
    named = "; ".join(f"{document['title']}, {document['issuer']}" for document in documents)
    return f"{named} ({'; '.join(map(str.strip, row['place'].split(';')))})"
