"""Make one worksheet per apprentice from the register: for practice, or for marks under a term key."""

import csv
import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from acpower import notebooks
from acpower.marking.register import Register
from acpower.marking.term_key import term_mark
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.cards import JobCard
from acpower.worksheets.job import PRACTICE_APPRENTICE
from acpower.worksheets.own import notebook_of, scheme_file
from acpower.worksheets.scheme import Worksheet
from acpower.worksheets.schemes import find_worksheet

JOB_CARD_CELL = "job-card"
HOW_TO_WORK_CELL = "how-to-work"
LIST_NAME = "handed-out.csv"

HOW_TO_WORK_FOR_MARKS = Path(__file__).parent / "templates" / "how-to-work.md"


@dataclass(frozen=True)
class HandedOut:
    """What one hand-out did: the files, and those left alone because they hold other content."""

    files: tuple[Path, ...]
    kept: tuple[Path, ...]


def file_name(worksheet: str, apprentice: str) -> str:
    """Return the name of an apprentice's worksheet; marking finds the apprentice by it.

    >>> file_name("charging-power", "A07")
    'charging-power_A07.ipynb'
    """
    return f"{worksheet}_{apprentice}.ipynb"


def job_card_source(worksheet: Worksheet, apprentice: str = PRACTICE_APPRENTICE) -> str:
    """Return the first code cell of a worksheet for practice."""
    return (
        "from acpower.worksheets import job_card\n\n"
        f'job = job_card("{worksheet.name}", version="{worksheet.version}", apprentice="{apprentice}")\n'
        "job"
    )


def marked_card_source(worksheet: Worksheet, card: JobCard) -> str:
    """Return the first code cell of a worksheet for marks: the numbers, and nothing they follow from."""
    questions = [f"        {question.name!r}," for question in worksheet.questions]
    lines = [
        f"        ({entry.name!r}, {card.values[entry.name]!r}, {entry.unit!r}, {entry.label!r}),"
        for entry in card.entries
    ]
    return "\n".join(
        [
            "from acpower.worksheets import marked_card",
            "",
            "job = marked_card(",
            f'    "{card.worksheet}",',
            f'    version="{card.version}",',
            f'    apprentice="{card.apprentice}",',
            "    numbers=[",
            *lines,
            "    ],",
            "    questions=[",
            *questions,
            "    ],",
            ")",
            "job",
        ]
    )


def chosen_worksheet(name: str) -> Worksheet:
    """Return the worksheet that a person named by its name or by the path of its notebook."""
    try:
        return find_worksheet(Path(name).stem)
    except ValueError as problem:
        raise UserMistake(
            f"{str(problem)[0].upper()}{str(problem)[1:]}. For one of your own, add --own and its folder."
        ) from None


def personal_notebook(
    notebook: dict[str, Any], worksheet: Worksheet, apprentice: str, term_key: str | None = None
) -> dict[str, Any]:
    """Return a notebook made out to one apprentice; the notebook given is left as it is.

    With a term key it is one for marks: it holds the drawn numbers and gives no verdict.
    """
    issued = {"worksheet": worksheet.name, "version": worksheet.version, "apprentice": apprentice}
    changed = {JOB_CARD_CELL: job_card_source(worksheet, apprentice)}
    if term_key is not None:
        issued["term"] = term_mark(term_key)
        changed[JOB_CARD_CELL] = marked_card_source(worksheet, worksheet.card(apprentice, term_key))
        changed[HOW_TO_WORK_CELL] = HOW_TO_WORK_FOR_MARKS.read_text(encoding="utf-8").strip()
    cells = [{**cell, "source": changed.get(cell["id"], cell["source"])} for cell in notebook["cells"]]
    return {**notebook, "cells": cells, "metadata": {**notebook["metadata"], "acpower": issued}}


def hand_out_class(
    worksheet: Worksheet, register: Register, to: Path, term_key: str | None = None
) -> HandedOut:
    """Write one worksheet per apprentice and the list of them; repeating it changes no byte.

    With a term key the worksheets are for marks.

    A file that is there already and differs may hold somebody's answers: it is kept. One of another
    hand-out, such as practice where these are for marks, is refused: nobody could tell them apart.
    """
    notebook = json.loads(notebook_of(worksheet.name).read_text(encoding="utf-8"))
    in_the_way = [path for a in register.ids if (path := to / file_name(worksheet.name, a)).is_dir()]
    if in_the_way:
        raise UserMistake(f"{in_the_way[0]} is a folder where a worksheet belongs. Choose another folder.")
    term = None if term_key is None else term_mark(term_key)
    for path in (to / file_name(worksheet.name, apprentice) for apprentice in register.ids):
        if path.exists() and _term_of(path, term) != term:
            raise UserMistake(
                f"{path} is there from another hand-out: for practice, for marks or of another term. Choose another "
                "folder."
            )
    to.mkdir(parents=True, exist_ok=True)
    scheme = scheme_file(worksheet.name)
    if scheme and term_key is None:  # to practise, the notebook needs the scheme beside it
        (to / scheme.name).write_bytes(scheme.read_bytes())
    files, kept, rows = [], [], []
    for apprentice in register.ids:
        path = to / file_name(worksheet.name, apprentice)
        content = notebooks.canonical(personal_notebook(notebook, worksheet, apprentice, term_key)).encode()
        if path.exists() and path.read_bytes() != content:
            kept.append(path)
        else:
            path.write_bytes(content)
        files.append(path)
        rows.append((apprentice, worksheet.version, path.name, hashlib.sha256(content).hexdigest()))
    with (to / f"{worksheet.name}_{LIST_NAME}").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("id", "version", "file", "sha256"))
        writer.writerows(rows)
    return HandedOut(tuple(files), tuple(kept))


def _term_of(path: Path, unknown: str | None) -> str | None:
    """Return the term mark of a worksheet, None if it is for practice; ``unknown`` if it does not say."""
    try:
        issued = json.loads(path.read_text(encoding="utf-8"))["metadata"]["acpower"]
        term = issued.get("term")
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return unknown
    return term if term is None else str(term)
