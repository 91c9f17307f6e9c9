"""Read a CSV file that a person has made, with a spreadsheet or by hand."""

import csv
import io
from itertools import zip_longest
from pathlib import Path

from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.answers import shortened

LARGEST_FILE = 10 * 1024 * 1024
_NAMES = {",": "comma", ";": "semicolon", "\t": "tab"}


def read_table(path: Path, what: str, needed: tuple[str, ...]) -> list[tuple[int, dict[str, str]]]:
    """Read a CSV file with a header row; commas, semicolons or tabs part the columns.

    Parameters
    ----------
    path
        A file in UTF-8.
    what
        What the file is for the person, such as "The register".
    needed
        Columns that must be there. The letter case of a header does not matter.

    Returns
    -------
    list of (int, dict)
        The number of the line and the cells by column, without spaces around them.

    Raises
    ------
    UserMistake
        The file is missing, is no CSV text, has a column twice or lacks one, or a row has more cells
        than there are columns.
    """
    file = f"{what} {shortened(str(path))}"
    try:
        if path.exists() and not path.is_file():
            raise UserMistake(f"{file} is not a file. Give the CSV file.")
        if path.stat().st_size > LARGEST_FILE:
            raise UserMistake(f"{file} is larger than any list of a class. Give the CSV file.")
        content = path.read_bytes()
    except OSError as problem:
        raise UserMistake(f"{file} cannot be read ({problem.strerror}). Check the path.") from None
    return rows_of(content, file, needed)


def rows_of(content: bytes, file: str, needed: tuple[str, ...]) -> list[tuple[int, dict[str, str]]]:
    """Return the rows of a CSV file from what it holds, as `read_table` does."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UserMistake(
            f"{file} is not UTF-8 text. In the spreadsheet choose “save as CSV UTF-8”."
        ) from None
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(_NAMES, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        lines = [(reader.line_num, cells) for cells in reader if cells]
    except csv.Error as problem:
        raise UserMistake(
            f"{file} is damaged near line {reader.line_num} ({problem}). Look for a quotation mark "
            "that is not closed."
        ) from None
    columns = [name.strip().casefold() for name in lines[0][1]] if lines else []
    named = [column for column in columns if column]  # a spreadsheet may save empty columns beside the list
    if len(set(named)) < len(named):
        raise UserMistake(f"{file} has two columns of the same name. Give each column its own name.")
    missing = [column for column in needed if column not in named]
    if missing:
        raise UserMistake(
            f"{file} has no column “{missing[0]}” in its first line: “{shortened(first)[:80]}”."
        )
    if not lines[1:]:
        raise UserMistake(f"{file} has no rows.")
    for number, cells in lines[1:]:
        if len(cells) > len(columns):  # which cell belongs to which column is not guessed
            raise UserMistake(
                f"{file} has more cells in line {number} than columns. Put a cell that holds a {_NAMES[delimiter]} "
                "in quotation marks."
            )
    return [
        (
            number,
            {column: cell.strip() for column, cell in zip_longest(columns, cells, fillvalue="") if column},
        )
        for number, cells in lines[1:]
    ]
