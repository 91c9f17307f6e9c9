"""Attacks A56 to A79, and more of their kind: files, answers, names and packages that are handed in.

``python tests/attacks_files.py`` marks a class of them and writes ``attack_results_files.csv`` anew. Each
apprentice has the attack's name for an id, and each file that tells no id has it in its name or folder.
But for the attack a worksheet is filled in right, so its honest twin gets full marks.
"""

import csv
import gzip
import io
import json
import os
import resource
import socket
import stat
import subprocess
import sys
import tarfile
import tempfile
import time
import zipfile
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from classroom import WORKSHEET, hand_in, right, with_cell, write_register

from acpower import notebooks
from acpower.marking.hand_out import file_name
from acpower.marking.take_in import RECORD_NAME

TABLE = Path(__file__).parent / "attack_results_files.csv"
COLUMNS = ("number", "name", "reason", "marks", "safe")
OUTER_SECONDS = 300
DUE = "2037-01-01T12:00"
SAVED_AHEAD = 2_145_916_800  # the year 2038, and no later than every file system can tell
MOST_MEMORY = 1536  # MiB, of the marker or of any process that it waited for
FULL = tuple(question.marks for question in WORKSHEET.questions)
NOT_MARKED: tuple[int, ...] = ()
FEWER = (-1,)  # marked, by the own numbers, with fewer marks
CANARY = "canary"
ELEMENT = f"<img src=x onerror={CANARY}()>"
HONEST, SLIPS, PAPER = "honest", "honest-with-slips", "honest-on-paper"
QUESTIONS = [question.name for question in WORKSHEET.questions]
# Lucky whatever it is compared with.
_LUCKY = "type('Lucky', (float,), {'__eq__': lambda *a: True, '__sub__': lambda *a: 0.0, '__repr__': lambda s: '9'})(1)"
_MINIMAL = b'{"cells": [], "metadata": {}, "nbformat": 4}'
Write = Callable[[Path, str], None]


def without(*questions: str) -> tuple[int, ...]:
    """Return full marks but for these questions."""
    return tuple(0 if name in questions else marks for name, marks in zip(QUESTIONS, FULL, strict=True))


@dataclass(frozen=True)
class HandedIn:
    """One attack by what is handed in under an apprentice's name.

    ``write`` writes it into the given folder, or ``cell`` is put into a right worksheet after question
    4. ``codes`` are the reasons that must be on record; ``marks`` are those of each question, None for
    full marks, which an honest worksheet with the same true answers would get.
    """

    number: str
    name: str
    cell: str = ""
    write: Callable[[Path, str], None] | None = None
    codes: tuple[str, ...] = ()
    marks: tuple[int, ...] | None = None


def content(number: str, name: str, made: Callable[[str], bytes], *codes: str, **more: Any) -> HandedIn:
    """Return an attack that is the content of the worksheet's file."""
    return HandedIn(
        number,
        name,
        write=lambda folder, who: _write(folder / file_name(WORKSHEET.name, who), made(who)),
        codes=codes,
        **more,
    )


def tampered(
    number: str, name: str, change: Callable[[dict[str, Any]], Any], *codes: str, **more: Any
) -> HandedIn:
    """Return an attack that changes a right notebook."""

    def made(who: str) -> bytes:
        notebook = json.loads(notebooks.canonical(right(who)))
        change(notebook)
        return json.dumps(notebook).encode()

    return content(number, name, made, *codes, **more)


def answer(number: str, name: str, expression: str, *codes: str) -> HandedIn:
    """Return an attack that is the answer to question 9, on which no other goes on."""
    marks = without("loss_power_kw") if codes else FULL
    codes = tuple(code for code in codes if code != WRONG)
    return content(
        number, name, lambda who: _bytes(right(who, loss_power_kw=expression)), *codes, marks=marks
    )


def cell(number: str, name: str, source: str, *codes: str, **more: Any) -> HandedIn:
    """Return an attack that is a cell of the apprentice's own."""
    return content(number, name, lambda who: _bytes(with_cell(right(who), source)), *codes, **more)


def function(number: str, name: str, source: str, *codes: str, marks: tuple[int, ...]) -> HandedIn:
    """Return an attack by the function that question 12 asks for."""
    call = "hostile(line_voltage, current, power_factor)"
    return content(
        number,
        name,
        lambda who: _bytes(with_cell(right(who, charging_power_kw=call), source)),
        *codes,
        marks=marks,
    )


def stray(number: str, name: str, path: str, made: bytes = _MINIMAL, code: str = "unsafe-name") -> HandedIn:
    """Return an attack that is a file which tells no id; ``path`` may have the id in it."""
    return HandedIn(
        number,
        name,
        write=lambda folder, who: _write(folder / path.format(who=who), made),
        codes=("not-handed-in", code),
        marks=NOT_MARKED,
    )


def placed(
    number: str, name: str, write: Write, *codes: str, marks: tuple[int, ...] | None = NOT_MARKED
) -> HandedIn:
    """Return an attack that writes whatever it likes."""
    return HandedIn(number, name, write=write, codes=codes, marks=marks)


def _write(path: Path, what: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(what)


def _bytes(notebook: dict[str, Any]) -> bytes:
    return notebooks.canonical(notebook).encode()


def _own(folder: Path, who: str) -> Path:
    return folder / file_name(WORKSHEET.name, who)


def _many(count: int, source: str) -> bytes:
    code = {"cell_type": "code", "metadata": {}, "source": source}
    return json.dumps({"cells": [code] * count, "metadata": {}, "nbformat": 4}).encode()


def _metadata(text: str) -> Callable[[str], bytes]:
    """Put raw JSON into the metadata of a right notebook."""
    return lambda who: _bytes(right(who)).replace(
        b'"metadata": {\n  "acpower"', b'"metadata": {"x": ' + text.encode() + b', "acpower"'
    )


def _sparse(size: int) -> Write:
    def write(folder: Path, who: str) -> None:
        with _own(folder, who).open("wb") as file:
            file.truncate(size)

    return write


def _saved_far_ahead(folder: Path, who: str) -> None:
    os.utime(hand_in(folder, who, right(who)), (SAVED_AHEAD, SAVED_AHEAD))


def _upper_and_lower(folder: Path, who: str) -> None:
    hand_in(folder, who, right(who))
    hand_in(folder, who.upper(), with_cell(right(who), "1"))


def _linked_folder(folder: Path, who: str) -> None:
    outside = folder.parent / "outside"
    hand_in(outside, who, right(who))
    (folder / who).symlink_to(outside)


def _socket(folder: Path, who: str) -> None:
    with closing(socket.socket(socket.AF_UNIX)) as one, _in(folder):
        one.bind(file_name(WORKSHEET.name, who))  # a socket's whole path would be too long


class _in:  # noqa: N801 - contextlib.chdir, which also gives the place back
    def __init__(self, folder: Path) -> None:
        self._folder, self._before = folder, Path.cwd()

    def __enter__(self) -> None:
        os.chdir(self._folder)

    def __exit__(self, *_: object) -> None:
        os.chdir(self._before)


def _device(folder: Path, who: str) -> None:
    try:
        os.mknod(_own(folder, who), stat.S_IFCHR | 0o600, os.makedev(1, 5))
    except PermissionError:  # an ordinary user makes no devices, but may link to one
        _own(folder, who).symlink_to("/dev/zero")


def _hard_link(folder: Path, who: str) -> None:
    os.link(hand_in(folder.parent / "elsewhere", HONEST, right(HONEST)), _own(folder, who))


def _hard_link_to_register(folder: Path, who: str) -> None:
    os.link(folder.parent / "class.csv", _own(folder, who))


def _like_results(folder: Path, who: str) -> None:
    hand_in(folder / who, who, right(who))
    for name in (RECORD_NAME, "run-so-far.jsonl", "mark-sheet.csv", "answers.csv"):
        (folder / who / name).write_text(f"{ELEMENT}\n", encoding="utf-8")


def _paper(**typed: str) -> Write:
    """Type answers in for oneself; ``id``, ``version`` and ``end`` may be typed as well."""

    def write(folder: Path, who: str) -> None:
        columns = [f"q{number}" for number in range(1, 12)]
        row = {"id": who, "version": WORKSHEET.version, "term": "", "q1": "1"} | typed
        text = io.StringIO()
        writer = csv.writer(text)
        writer.writerow(["id", "version", "term", *columns, ""])
        writer.writerow([row.get(column, "") for column in ("id", "version", "term", *columns)])
        whole = text.getvalue().rstrip("\r\n") + typed.get("end", "") + "\n"
        _write(folder / who / f"{WORKSHEET.name}_paper.csv", whole.encode())

    return write


def _zipped(*names: str) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as package:
        for name in names:
            package.writestr(name, b"0" * 2**20)
    return packed.getvalue()


def _tar() -> bytes:
    packed = io.BytesIO()
    with tarfile.open(fileobj=packed, mode="w") as package:
        link = tarfile.TarInfo("../../link")
        link.type, link.linkname = tarfile.SYMTYPE, "/etc/passwd"
        package.addfile(link)
    return packed.getvalue()


def _decoy(notebook: dict[str, Any]) -> None:
    cells = notebook["cells"]
    place = next(n for n, one in enumerate(cells) if one["id"] == "loss-power-kw-answer")
    cells.insert(place, {**cells[place], "source": "job.record('loss_power_kw', 1e6)"})


def _delete(*ids: str) -> Callable[[dict[str, Any]], None]:
    def change(notebook: dict[str, Any]) -> None:
        notebook["cells"] = [one for one in notebook["cells"] if one["id"] not in ids]

    return change


def _no_ids(notebook: dict[str, Any]) -> None:
    for one in notebook["cells"]:
        del one["id"]


def _merged(notebook: dict[str, Any]) -> None:
    code = ["".join(one["source"]) for one in notebook["cells"] if one["cell_type"] == "code"]
    notebook["cells"] = [{"cell_type": "code", "metadata": {}, "source": "\n".join(code)}]


def _issued(**entries: Any) -> Callable[[dict[str, Any]], None]:
    return lambda notebook: notebook["metadata"]["acpower"].update(entries)


def _says_all_right(notebook: dict[str, Any]) -> None:
    for one in notebook["cells"]:
        if one["id"] == "loss-power-kw-answer":
            one["source"] = "job.record('loss_power_kw', ...)"
            one["outputs"] = [{"output_type": "stream", "name": "stdout", "text": "Right."}]


WRONG = "wrong"  # a number like any other, and so without a reason code
_NOT_NUMBER, _NOT_FINITE, _TWO_WAYS = "answer-not-a-number", "answer-not-finite", "answer-ambiguous"
_SPELLED = "f'{grid_power_kw - battery_power_kw:.4f}'"
_RIGHT_FUNCTION = "3 ** 0.5 * v * a * p / 1000"

ATTACKS: tuple[HandedIn, ...] = (
    content("A56", "empty-file", lambda who: b"", "bad-file", marks=NOT_MARKED),
    content("A56", "cut-off", lambda who: _bytes(right(who))[:-900], "bad-file", marks=NOT_MARKED),
    content("A56", "not-json", lambda who: ELEMENT.encode(), "bad-file", marks=NOT_MARKED),
    content(
        "A56",
        "utf-16",
        lambda who: notebooks.canonical(right(who)).encode("utf-16"),
        "bad-file",
        marks=NOT_MARKED,
    ),
    content(
        "A56",
        "utf-7",
        lambda who: notebooks.canonical(right(who)).encode("utf-7"),
        "bad-file",
        marks=NOT_MARKED,
    ),
    content("A56", "byte-order-mark", lambda who: b"\xef\xbb\xbf" + _bytes(right(who))),
    content("A56", "nul-at-the-end", lambda who: _bytes(right(who)) + b"\0", "bad-file", marks=NOT_MARKED),
    cell("A56", "nul-in-a-cell", "x = 1\0", "stopped"),
    content("A57", "a-list", lambda who: b"[1, 2]", "bad-file", marks=NOT_MARKED),
    content("A57", "a-number", lambda who: b"3", "bad-file", marks=NOT_MARKED),
    content(
        "A57",
        "cells-an-object",
        lambda who: b'{"cells": {}, "metadata": {}, "nbformat": 4}',
        "bad-file",
        marks=NOT_MARKED,
    ),
    placed("A58", "300-mb", _sparse(300 * 2**20), "too-large"),
    placed("A58", "sparse-100-gb", _sparse(100 * 2**30), "too-large"),
    content("A58", "20000-cells", lambda who: _many(20_000, ""), "too-large", marks=NOT_MARKED),
    content("A58", "long-source", lambda who: _many(1, "#" * 5_000_000), "too-large", marks=NOT_MARKED),
    content(
        "A58",
        "many-keys",
        lambda who: _metadata("{" + ", ".join(f'"k{n}": 0' for n in range(600_000)) + "}")(who),
    ),
    content("A58", "many-lists", lambda who: _metadata("[" + "[]," * 3_000_000 + "0]")(who)),
    content(
        "A59",
        "nested-deep",
        lambda who: _metadata("[" * 100_000 + "]" * 100_000)(who),
        "bad-file",
        marks=NOT_MARKED,
    ),
    tampered("A60", "format-3", lambda one: one.update(nbformat=3), "bad-file", marks=NOT_MARKED),
    tampered("A60", "format-99", lambda one: one.update(nbformat=99), "bad-file", marks=NOT_MARKED),
    tampered("A60", "no-format", lambda one: one.pop("nbformat"), "bad-file", marks=NOT_MARKED),
    tampered("A61", "decoy-cell", _decoy),
    tampered("A62", "no-cell-ids", _no_ids),
    tampered("A63", "other-id-inside", _issued(apprentice=HONEST), "structure-changed"),
    tampered("A63", "version-inside", _issued(version=ELEMENT), "structure-changed", marks=NOT_MARKED),
    tampered("A63", "other-worksheet", _issued(worksheet="=cmd()"), "structure-changed", marks=NOT_MARKED),
    tampered("A63", "more-marks", _issued(marks=1000, locked=False)),
    content(
        "A63", "other-card", lambda who: _bytes(right(HONEST)), "structure-changed", "other-card", marks=FEWER
    ),
    tampered(
        "A64",
        "deleted-cell",
        _delete("loss-power-kw-answer"),
        "structure-changed",
        "answer-missing",
        marks=without("loss_power_kw"),
    ),
    tampered("A64", "merged-cells", _merged),
    tampered(
        "A64",
        "reversed-cells",
        lambda one: one["cells"].reverse(),
        "stopped",
        "answer-missing",
        marks=without(*QUESTIONS),
    ),
    tampered("A32", "stored-outputs", _says_all_right, "answer-missing", marks=without("loss_power_kw")),
    content(
        "A65",
        "key-twice",
        lambda who: b'{"cells": [], "cells": [], "metadata": {}, "nbformat": 4}',
        "bad-file",
        marks=NOT_MARKED,
    ),
    content("A65", "nan-metadata", _metadata("NaN"), "bad-file", marks=NOT_MARKED),
    content("A65", "5000-digits-metadata", _metadata("9" * 5000), "bad-file", marks=NOT_MARKED),
    content("A65", "numbers-at-the-edge", _metadata("[1e999, -0, -0.0, 1e-99999]")),
    content(
        "A65",
        "lone-surrogate",
        lambda who: b'{"cells": [{"cell_type": "code", "source": "\\ud800"}], "metadata": {}, "nbformat": 4}',
        "bad-file",
        marks=NOT_MARKED,
    ),
    answer("A66", "nan-answer", "float('nan')", _NOT_FINITE),
    answer("A66", "signalling-nan", "__import__('decimal').Decimal('sNaN')", _NOT_FINITE),
    answer("A67", "infinite", "float('inf')", _NOT_FINITE),
    answer("A67", "minus-infinity", "-1e400", _NOT_FINITE),
    answer("A67", "infinity-typed", "'-1e400'", _NOT_FINITE),
    answer("A67", "nearly-infinity", "1.2345678e300", WRONG),
    answer("A68", "lucky-object", _LUCKY.replace("(float,)", "()").replace("})(1)", "})()"), _NOT_NUMBER),
    answer("A69", "lucky-float", _LUCKY, _NOT_NUMBER),
    answer("A70", "true-answer", "True", _NOT_NUMBER),
    answer("A70", "numpy-true", "__import__('numpy').True_", _NOT_NUMBER),
    answer("A71", "complex", "(grid_power_kw - battery_power_kw) + 0j", _NOT_NUMBER),
    answer("A71", "list-of-one", "[grid_power_kw - battery_power_kw]", _NOT_NUMBER),
    answer(
        "A71", "array-of-one", "__import__('numpy').array([grid_power_kw - battery_power_kw])", _NOT_NUMBER
    ),
    answer("A71", "decimal-value", "__import__('decimal').Decimal(grid_power_kw - battery_power_kw)"),
    answer("A71", "fraction", "__import__('fractions').Fraction(grid_power_kw - battery_power_kw)"),
    answer("A72", "400-digits", "10 ** 400", _NOT_NUMBER),
    answer("A72", "5000-digits-answer", "10 ** 5000", _NOT_NUMBER),
    answer("A72", "5000-digits-typed", "'9' * 5000", _NOT_NUMBER),
    answer("A72", "200-digits-typed", "'9' * 199", WRONG),
    answer("A73", "decimal-comma", f"{_SPELLED}.replace('.', ',')"),
    answer("A73", "with-unit", f"{_SPELLED} + ' kW'"),
    answer("A73", "other-unit", f"{_SPELLED} + ' kVA'", _NOT_NUMBER, "answer-not-read"),
    answer("A73", "two-ways", "'1,234'", _TWO_WAYS),
    answer("A74", "two-numbers", f"{_SPELLED} + ' or 22.1'", _TWO_WAYS),
    answer("A74", "every-number", "' '.join(f'{n / 1000}' for n in range(30))", _TWO_WAYS),
    answer("A75", "image-answer", f"'{ELEMENT}'", _NOT_NUMBER, "answer-not-read"),
    answer("A75", "script-answer", f"'</td><script>{CANARY}()</script>'", _NOT_NUMBER, "answer-not-read"),
    answer("A75", "javascript", f"'<a href=javascript:{CANARY}()>x</a>'", _NOT_NUMBER, "answer-not-read"),
    answer(
        "A75", "style", f"'<style>body{{background:url(//{CANARY})}}</style>'", _NOT_NUMBER, "answer-not-read"
    ),
    answer("A75", "right-to-left", f"'\\u202e{CANARY}\\u2066'", _NOT_NUMBER, "answer-not-read"),
    answer("A75", "kind-of-value", f"type('{ELEMENT}', (), {{}})()", _NOT_NUMBER),
    cell("A75", "error-message", f"raise ValueError('{ELEMENT}')", "stopped"),
    cell("A75", "first-line", f"'{ELEMENT}' + 1", "stopped"),
    content(
        "A75",
        "card-of-an-element",
        lambda who: _bytes(right(ELEMENT)),
        "structure-changed",
        marks=FEWER,
    ),
    stray("A75", "name-with-markup", "{who} " + ELEMENT + ".ipynb"),
    answer("A76", "equals-sign", f"'=HYPERLINK({CANARY})'", _NOT_NUMBER, "answer-not-read"),
    answer("A76", "plus-sign", f"'+{CANARY}'", _NOT_NUMBER, "answer-not-read"),
    answer("A76", "minus-sign", f"'-{CANARY}'", _NOT_NUMBER, "answer-not-read"),
    answer("A76", "at-sign", f"'@{CANARY}'", _NOT_NUMBER, "answer-not-read"),
    answer("A76", "tab-sign", f"'\\t={CANARY}'", _NOT_NUMBER, "answer-not-read"),
    answer("A76", "full-width", f"'＝{CANARY}'", _NOT_NUMBER, "answer-not-read"),
    answer("A76", "two-lines", f"'1\\r\\n={CANARY}'", _NOT_NUMBER, "answer-not-read"),
    answer("A76", "negative-number", "battery_power_kw - grid_power_kw", WRONG),
    stray("A76", "name-to-calculate", "={who}.ipynb"),
    answer("A77", "long-answer", "'x' * 10_000", _NOT_NUMBER),
    stray("A77", "long-name", "{who}" + "x" * 220 + ".ipynb"),
    stray("A77", "long-path", "{who}/" + ("d" * 200 + "/") * 15 + "x.ipynb"),
    placed(
        "A78",
        "link-to-a-worksheet",
        lambda folder, who: _own(folder, who).symlink_to(_own(folder, HONEST)),
        "unsafe-name",
    ),
    placed(
        "A78",
        "link-to-the-register",
        lambda folder, who: _own(folder, who).symlink_to("../class.csv"),
        "unsafe-name",
    ),
    placed(
        "A78", "link-to-nothing", lambda folder, who: _own(folder, who).symlink_to("nowhere"), "unsafe-name"
    ),
    placed(
        "A78",
        "link-to-itself",
        lambda folder, who: _own(folder, who).symlink_to(_own(folder, who)),
        "unsafe-name",
    ),
    placed(
        "A78",
        "link-to-a-device",
        lambda folder, who: _own(folder, who).symlink_to("/dev/zero"),
        "unsafe-name",
    ),
    placed("A78", "linked-folder", _linked_folder, "not-handed-in", "unsafe-name"),
    placed("A78", "hard-link-to-other", _hard_link, "structure-changed", "other-card", marks=FEWER),
    placed("A78", "hard-link-to-register", _hard_link_to_register, "bad-file"),
    placed(
        "A78",
        "linked-paper",
        lambda folder, who: (folder / f"{who}_paper.csv").symlink_to("../class.csv"),
        "not-handed-in",
        "unsafe-name",
    ),
    placed("A78", "pipe", lambda folder, who: os.mkfifo(_own(folder, who)), "unsafe-name"),
    placed("A78", "socket", _socket, "unsafe-name"),
    placed("A78", "device-node", _device, "unsafe-name"),
    stray("A79", "zip-file", "{who}.zip", _zipped("../../x", "/x"), "bad-file"),
    content("A79", "zip-bomb", lambda who: _zipped(*map(str, range(50))), "bad-file", marks=NOT_MARKED),
    stray("A79", "tar", "{who}.tar", _tar(), "bad-file"),
    content("A79", "gzip", lambda who: gzip.compress(_bytes(right(who))), "bad-file", marks=NOT_MARKED),
    stray("more", "line-feed-in-a-name", "{who}\n" + CANARY + "\r\n=1.ipynb"),
    stray("more", "name-from-the-right", "{who}\u202e" + CANARY + ".ipynb"),
    stray("more", "emoji-in-a-name", "{who}\U0001f600.ipynb"),
    stray("more", "dots-in-a-name", "..{who}...ipynb".replace("..{", "_..{")),
    stray("more", "dot-at-the-end", WORKSHEET.name + "_{who}.ipynb.", code="bad-file"),
    stray("more", "named-con", "{who}/CON", code="bad-file"),
    stray("more", "many-copy-marks", "{who}" + "-copy(1)" * 27 + "x.ipynb"),
    stray("more", "no-utf-8-in-a-name", "{who}\udcff_paper.csv"),
    placed("more", "saved-far-ahead", _saved_far_ahead, "late", marks=FULL),
    placed("more", "upper-and-lower", _upper_and_lower, "handed-in-twice"),
    stray("more", "folder-of-this-name", WORKSHEET.name + "_{who}.ipynb/notes.txt", code="bad-file"),
    placed("more", "named-like-results", _like_results, marks=FULL),
    placed(
        "more",
        "paper-formula",
        _paper(q9=f"={CANARY}()", q6=ELEMENT),
        "answer-missing",
        "answer-not-a-choice",
        _NOT_NUMBER,
        "answer-not-read",
        "by-hand",
        marks=FEWER,
    ),
    placed(
        "more",
        "paper-10000-signs",
        _paper(q9="9" * 10_000),
        "answer-missing",
        _NOT_NUMBER,
        "by-hand",
        marks=FEWER,
    ),
    placed("more", "paper-unknown-id", _paper(id=ELEMENT), "not-handed-in", "unsafe-name"),
    placed("more", "paper-other-version", _paper(version="=1+1"), "structure-changed"),
    placed("more", "paper-longer-row", _paper(end=",,," + CANARY), "not-handed-in", "bad-file"),
    placed(
        "more",
        "paper-large",
        lambda folder, who: _write(folder / who / f"{WORKSHEET.name}_paper.csv", b"id,\n" * 3_000_000),
        "not-handed-in",
        "too-large",
    ),
    function(
        "A35",
        "right-every-second-time",
        f"n = 0\ndef hostile(v, a, p):\n    global n\n    n += 1\n    return {_RIGHT_FUNCTION} * (n % 2 + 1)",
        marks=without("charging_power_kw"),
    ),
    function(
        "A68",
        "lucky-result",
        f"def hostile(v, a, p): return {_LUCKY}",
        _NOT_NUMBER,
        marks=without("charging_power_kw"),
    ),
    function(
        "A66",
        "nan-result",
        "def hostile(v, a, p): return float('nan')",
        _NOT_FINITE,
        marks=without("charging_power_kw"),
    ),
    function(
        "A01",
        "endless-third-time",
        f"n = 0\ndef hostile(v, a, p):\n    global n\n    n += 1\n    while n == 3: pass\n    return {_RIGHT_FUNCTION}",
        "timeout",
        "answer-missing",
        marks=without("charging_power_kw"),
    ),
    function(
        "A15",
        "exits-when-tried",
        "def hostile(v, a, p): raise SystemExit",
        "exited",
        "answer-missing",
        marks=without("charging_power_kw"),
    ),
    function(
        "A31",
        "records-when-tried",
        f"def hostile(v, a, p):\n    job.record('phase_voltage_v', 1)\n    return {_RIGHT_FUNCTION}",
        marks=without("phase_voltage_v"),
    ),
    function(
        "A75",
        "element-when-tried",
        f"def hostile(v, a, p): raise ValueError('{ELEMENT}')",
        "function-stopped",
        marks=without("charging_power_kw"),
    ),
)


@dataclass(frozen=True)
class Outcome:
    """A class that was marked by the command: what came out, and what it took."""

    status: int
    log: str
    seconds: float
    megabytes: float
    results: Path

    @cached_property
    def record(self) -> dict[str, Any]:
        """The marking record."""
        data: dict[str, Any] = json.loads((self.results / RECORD_NAME).read_text(encoding="utf-8"))
        return data

    def told_of(self, who: str) -> tuple[set[str], list[int] | None]:
        """Return the reasons on record for an apprentice, and the marks of each question if there are any."""
        (own,) = (one for one in self.record["worksheets"] if one["id"] == who)
        questions = own.get("questions", [])
        reasons = {note["reason"] for note in own["notes"]} | {one["reason"] for one in questions}
        strays = {
            one["reason"] for one in self.record["not_of_the_register"] if who in one["file"].split("/")[0]
        }
        return (reasons | strays) - {""}, [one["marks"] for one in questions] or None

    def is_safe(self, attack: HandedIn) -> bool:
        """Whether all reasons are on record, none that is not expected, and the marks are those expected."""
        codes, marks = self.told_of(attack.name)
        if attack.marks == FEWER:
            as_expected = marks is not None and sum(marks) < sum(FULL)
        elif attack.marks == NOT_MARKED:
            as_expected = marks is None
        else:
            as_expected = marks == list(attack.marks or FULL)
        return as_expected and codes == set(attack.codes)


def honest_files(folder: Path) -> None:
    """Hand in what the honest ones have done."""
    hand_in(folder, HONEST, right(HONEST))
    hand_in(folder, SLIPS, right(SLIPS, phase_voltage_v="job.card.line_voltage / 2", loss_power_kw="-1.5"))
    keys = WORKSHEET.keys(WORKSHEET.card(PAPER))
    typed = [getattr(keys, name) for name in QUESTIONS[:-1]]
    with (folder / f"{WORKSHEET.name}_paper.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["id", "version", "term", *(f"q{number}" for number in range(1, len(FULL)))])
        words = [f"{one:.9e}" if isinstance(one, float | int) else one for one in typed]
        writer.writerow([PAPER, WORKSHEET.version, "", *words])


def mark(place: Path, folder: Path, register: Path) -> Outcome:
    """Mark a folder with the real command, in a process of its own under an outer limit."""
    call = [sys.executable, "-P", "-m", "acpower.cli", "mark", str(folder), "--register", str(register)]
    log = place / "log.txt"
    began = time.monotonic()
    with log.open("wb") as output:
        process = subprocess.Popen(
            [*call, "--to", str(place / "marked"), "--cell-seconds", "6", "--due", DUE],
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=output,
        )
        while process.poll() is None and time.monotonic() - began < OUTER_SECONDS:
            time.sleep(0.1)
        if process.poll() is None:
            process.kill()
            process.wait()
            raise AssertionError(
                f"not done after {OUTER_SECONDS} s: {log.read_text('utf-8', 'replace')[-500:]}"
            )
    most = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    words = log.read_text("utf-8", "replace")
    return Outcome(process.returncode, words, time.monotonic() - began, most, place / "marked")


def hostile_class(place: Path) -> tuple[Path, Path]:
    """Write the folder of a class with every attack and the honest ones; return it and the register."""
    folder = place / "in"
    folder.mkdir(parents=True)
    register = write_register(place / "class.csv", HONEST, SLIPS, PAPER, *(one.name for one in ATTACKS))
    honest_files(folder)
    for attack in ATTACKS:
        assert attack.write
        attack.write(folder, attack.name)
    return folder, register


def results_table(outcome: Outcome) -> list[tuple[str, ...]]:
    """Return what came of each attack."""
    rows = []
    for attack in ATTACKS:
        codes, marks = outcome.told_of(attack.name)
        kept = "not marked" if marks is None else f"{sum(marks)} of {sum(FULL)}"
        safe = "yes" if outcome.is_safe(attack) else "no"
        rows.append((attack.number, attack.name, " ".join(sorted(codes)), kept, safe))
    return rows


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as scratch:
        found = results_table(mark(Path(scratch), *hostile_class(Path(scratch))))
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows([COLUMNS, *found])
