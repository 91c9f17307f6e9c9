"""The CSV files of oscilloscopes and power analysers: what `acpower.recording` reads.

The quantity of a column follows from its unit. The row of column names is the first line, among the
first hundred, in which every cell has a known unit; what stands above it is not looked at. Tab, then
semicolon, then comma is tried as what parts the columns. The guessing of the csv module is not used
here: a comma as decimal sign misleads it.
"""

import csv
import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from acpower._checks import LARGEST, SMALLEST, refusal, shorten

LARGEST_FILE = 10_000_000
"""Bytes of the largest file that is read: about 300 000 rows."""

UNITS = {
    "s": ("time_s", 1.0),
    "ms": ("time_s", 1e-3),
    "us": ("time_s", 1e-6),
    "\N{MICRO SIGN}s": ("time_s", 1e-6),
    "\N{GREEK SMALL LETTER MU}s": ("time_s", 1e-6),
    "mV": ("voltage_v", 1e-3),
    "V": ("voltage_v", 1.0),
    "kV": ("voltage_v", 1e3),
    "mA": ("current_a", 1e-3),
    "A": ("current_a", 1.0),
    "kA": ("current_a", 1e3),
}
"""Each unit with the column that it makes and the factor to s, V or A."""

_DELIMITERS = {"\t": "tab", ";": "semicolon", ",": "comma"}
_HEADER_WITHIN = 100
_ALLOWED_UNITS = (
    "a unit in s, ms, us, µs, mV, V, kV, mA, A or kA, written like u [mV], u (mV), u in mV or u_mV"
)
_ALLOWED_FILE = (
    "two or three columns of time, voltage and current, one of each, under names such as t [ms];u [V];i [A]"
)
_UNIT = re.compile(r"(?:\[([^\[\]]*)\]|\(([^()]*)\)|(?:^|\s)in\s+(\S+)|[_/]([^\s_/]+))\s*$")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?")
_NOT_TEXT = re.compile(r"[\x00-\x08\x0e-\x1f]")


def read_columns(path: Path) -> dict[str, NDArray[np.float64]]:
    """Return the columns of a file in s, V and A, under the names of `UNITS`."""
    lines = re.split(r"\r\n|\r|\n", _text(path))
    header, delimiter, names = _header(path, lines)
    factors = [UNITS[_unit(name)][1] for name in names]
    rows, numbers = [], []
    for number, cells in _rows(path, lines, header, delimiter, names):
        numbers.append(number)
        rows.append(cells)
    if not rows:
        raise _refusal(path, header, "no number below it", "one row for each instant", "the end of the file")
    table = np.array(rows) * factors
    columns = {UNITS[_unit(name)][0]: table[:, index] for index, name in enumerate(names)}
    if "time_s" in columns:
        _refuse_time_that_stands_still(path, columns["time_s"], numbers)
    return columns


def _text(path: Path) -> str:
    """Return the text of a file in UTF-8 or, where that fails, Latin-1."""
    try:
        if path.is_dir():
            raise refusal(str(path), "a folder", "a CSV file", "that the path ends with the name of a file")
        data = _beginning(path) if path.is_file() else None
    except OSError as problem:
        check = "the path, that you may read the file, and that no other program holds it open"
        raise OSError(f"{path}: the file cannot be read ({problem.strerror}). Check {check}.") from None
    if data is None:
        check = "the spelling, and the folder that the notebook runs in"
        raise FileNotFoundError(f"{path}: there is no such file. Check {check}.")
    allowed = "text in UTF-8 or Latin-1, as an instrument saves it as CSV"
    if len(data) > LARGEST_FILE:
        check = "that it is the right file, or export fewer periods"
        raise refusal(path.name, "a larger file", f"up to {LARGEST_FILE:_} bytes".replace("_", " "), check)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    if not text.strip():
        raise refusal(path.name, "an empty file", allowed, "that the instrument had finished saving")
    if _NOT_TEXT.search(text):
        check = "that it was exported as CSV, not as a picture, a spreadsheet or UTF-16"
        raise refusal(path.name, "a file that is not text", allowed, check)
    return text


def _beginning(path: Path) -> bytes:
    """Return the bytes of a file, at most one more than is allowed."""
    with path.open("rb") as file:
        return file.read(LARGEST_FILE + 1)


def _header(path: Path, lines: list[str]) -> tuple[int, str, list[str]]:
    """Return the index of the line with the column names, what parts them, and the names."""
    for index, line in enumerate(lines[:_HEADER_WITHIN]):
        for delimiter in _DELIMITERS:
            names = _cells(line, delimiter)
            if len(names) >= 2 and all(_unit(name) in UNITS for name in names):
                quantities = [UNITS[_unit(name)][0] for name in names]
                if len(set(quantities)) < len(quantities):
                    check = "the units, or delete the columns that are not needed"
                    raise _refusal(path, index, shorten(line), _ALLOWED_FILE, check)
                return index, delimiter, names
    raise _what_is_wrong_with_the_header(path, lines)


def _what_is_wrong_with_the_header(path: Path, lines: list[str]) -> ValueError:
    """Return a refusal of the line above the first row of numbers, which should name the columns."""
    above = None
    for index, line in enumerate(lines[:_HEADER_WITHIN]):
        for delimiter in _DELIMITERS:
            cells = _cells(line, delimiter)
            if len(cells) < 2 or not all(map(_NUMBER.fullmatch, cells)):
                continue
            if above is None:
                check = "that the export includes the names of the columns"
                return _refusal(path, index, "numbers without names above them", _ALLOWED_FILE, check)
            for name in _cells(lines[above], delimiter):
                if _unit(name) not in UNITS:
                    unit = f"with the unit {shorten(_unit(name))}" if _unit(name) else "without a unit"
                    check = "capital and small letters too: mV is a thousandth, MV a million volts"
                    return _refusal(path, above, f"{shorten(name)} {unit}", _ALLOWED_UNITS, check)
        if line.strip():
            above = index
    check = f"the names of the columns in the first {_HEADER_WITHIN} lines, and what parts the columns"
    return refusal(path.name, "a file without such columns", _ALLOWED_FILE, check)


def _rows(
    path: Path, lines: list[str], header: int, delimiter: str, names: list[str]
) -> Iterator[tuple[int, list[float]]]:
    """Give the index of the line and the numbers of each row below the header."""
    reader = csv.reader(lines[header + 1 :], delimiter=delimiter, strict=True)
    decimal_sign = ""
    try:
        for row in reader:
            index = header + reader.line_num
            cells = _without_empty_end(row)
            if not cells:
                continue
            if len(cells) != len(names):
                check = "that none is missing; a comma as decimal sign needs semicolon or tab between columns"
                allowed = f"{len(names)} columns parted by {_DELIMITERS[delimiter]}"
                raise _refusal(path, index, f"{len(cells)} columns", allowed, check)
            numbers = []
            for name, cell in zip(names, cells, strict=True):
                sign = "," if "," in cell else "." if "." in cell else ""
                decimal_sign = decimal_sign or sign
                if not _NUMBER.fullmatch(cell) or sign not in ("", decimal_sign):
                    allowed = "a plain number, with the same decimal sign throughout"
                    check = f"the column {shorten(name)}: no overload and no unit may stand among the numbers"
                    raise _refusal(path, index, shorten(cell), allowed, check)
                numbers.append(float(cell.replace(",", ".")))
                if abs(numbers[-1]) > LARGEST:
                    raise _refusal(path, index, shorten(cell), f"up to {LARGEST:g}", "the power of ten")
            yield index, numbers
    except csv.Error as problem:
        check = "that each quotation mark is closed again"
        raise _refusal(path, header + reader.line_num, str(problem), "rows of CSV", check) from None


def _refuse_time_that_stands_still(path: Path, times: NDArray[np.float64], numbers: list[int]) -> None:
    """Refuse the first row whose time is not later than that of the row above."""
    standing = np.flatnonzero(np.diff(times) < SMALLEST)
    if standing.size:
        row = int(standing[0]) + 1
        allowed = f"later than {times[row - 1]:.12g} s, the row above"
        check = "the order of the rows, and that the times were saved with enough digits to differ"
        raise _refusal(path, numbers[row], f"the time {times[row]:.12g} s", allowed, check)


def _cells(line: str, delimiter: str) -> list[str]:
    try:
        return _without_empty_end(next(csv.reader([line], delimiter=delimiter), []))
    except csv.Error:  # a cell beyond any sensible length
        return []


def _without_empty_end(cells: list[str]) -> list[str]:
    """Return the cells without blanks around them and without the empty ones that some instruments add."""
    stripped = [cell.strip() for cell in cells]
    while stripped and not stripped[-1]:
        stripped.pop()
    return stripped


def _unit(name: str) -> str:
    """Return the unit in a column name, or nothing if it has none."""
    found = _UNIT.search(name)
    return "".join(filter(None, found.groups())).strip() if found else ""


def _refusal(path: Path, index: int, given: str, allowed: str, check: str) -> ValueError:
    return refusal(f"{path.name}, line {index + 1}", given, allowed, check)
