"""Read a CSV file that a person has made, with a spreadsheet or by hand."""

import csv
import io
from pathlib import Path

from acpower.marking.user_mistake import UserMistake


def read_table(path: Path, what: str, needed: tuple[str, ...]) -> list[tuple[int, dict[str, str]]]:
    """Read a CSV file with a header row; commas or semicolons part the columns.

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
        The file is missing, is no CSV text, has a column twice or lacks one.
    """
    if path.exists() and not path.is_file():
        raise UserMistake(f"{what} {path} is not a file. Give the CSV file.")
    try:
        content = path.read_bytes()
    except OSError as problem:
        raise UserMistake(f"{what} {path} cannot be read ({problem.strerror}). Check the path.") from None
    return rows_of(content, f"{what} {path}", needed)


def rows_of(content: bytes, what: str, needed: tuple[str, ...]) -> list[tuple[int, dict[str, str]]]:
    """Return the rows of a CSV file from what it holds, as `read_table` does."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UserMistake(
            f"{what} is not UTF-8 text. In the spreadsheet choose “save as CSV UTF-8”."
        ) from None
    header = text.partition("\n")[0]
    delimiter = ";" if header.count(";") > header.count(",") else ","
    reader = csv.DictReader(io.StringIO(text, newline=""), delimiter=delimiter, restval="", strict=True)
    try:
        rows = [(reader.line_num, row) for row in reader]
    except csv.Error as problem:
        raise UserMistake(
            f"{what} is damaged near line {reader.line_num} ({problem}). Look for a quotation mark "
            "that is not closed."
        ) from None
    columns = [column.strip().casefold() for column in reader.fieldnames or ()]
    if len(set(columns)) < len(columns):
        raise UserMistake(f"{what} has two columns of the same name. Give each column its own name.")
    missing = [column for column in needed if column not in columns]
    if missing or not rows:
        raise UserMistake(f"{what} has no column “{missing[0]}”." if missing else f"{what} has no rows.")
    return [
        (
            number,
            {
                column: row[name].strip()
                for column, name in zip(columns, reader.fieldnames or (), strict=True)
            },
        )
        for number, row in rows
    ]
