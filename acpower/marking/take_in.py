"""Take worksheets in: every file lands in exactly one class, with a reason in plain words."""

import hashlib
import json
import os
import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from acpower.marking.hand_out import LIST_NAME, file_name
from acpower.marking.handed_in_file import check_is_file, read_file
from acpower.marking.paper import is_paper, take_in_paper
from acpower.marking.register import Register
from acpower.marking.submission import NotUsable, Submission, check_term
from acpower.worksheets.answers import shortened
from acpower.worksheets.own import scheme_file
from acpower.worksheets.scheme import Worksheet
from acpower.worksheets.schemes import WORKSHEETS

RECORD_NAME = "marking-record.json"
# Each piece begins with a sign of its own, so that there is one way to read a name and no long search.
_COPY = re.compile(r"(\s*\(\d+\)|\s*-\s*copy\d*)+$", re.IGNORECASE)
MOST_CELLS = 500  # a worksheet has some thirty; each one costs time even if it is empty
LONGEST_CODE = 1024**2  # characters of all code cells together
_MOST_NAMED = 5  # files that a sentence lists
_FILE_NAME = re.compile(r"(?P<worksheet>[a-z0-9-]+)_(?P<apprentice>[a-z0-9-]+)\.ipynb", re.IGNORECASE)


def take_in(
    folder: Path, register: Register, leave_out: tuple[Path, ...] = (), term_key: str | None = None
) -> list[Submission]:
    """Look at every file of a folder and below it, without running anything.

    ``term_key`` is the one under which worksheets for marks were handed out. ``leave_out`` names
    files and folders that are not taken in, such as the register. Links are never followed.
    """
    submissions: list[Submission] = []
    folder = folder.resolve()
    for path in _files(folder, leave_out):
        if is_paper(path):
            file = shortened(path.relative_to(folder).as_posix())
            submissions += take_in_paper(path, file, register, term_key)
        else:
            submissions.append(_look_at(path, folder, register, term_key))
    submissions = _settle_duplicates(submissions)
    seen = {(s.worksheet.name, s.apprentice) for s in submissions if s.worksheet and s.apprentice}
    due = sorted({worksheet for worksheet, _ in seen})
    for worksheet in due:
        for apprentice in register.ids:
            if (worksheet, apprentice) not in seen:
                submissions.append(
                    Submission(
                        file="",
                        status="missing",
                        apprentice=apprentice,
                        worksheet=WORKSHEETS[worksheet],
                        code="not-handed-in",
                        says=f"Nothing was handed in. A file named {file_name(worksheet, apprentice)} is expected.",
                    )
                )
    order = {apprentice: place for place, apprentice in enumerate(register.ids)}
    return sorted(
        submissions,
        key=lambda s: (s.worksheet.name if s.worksheet else "~", order.get(s.apprentice, len(order)), s.file),
    )


def _files(folder: Path, leave_out: tuple[Path, ...]) -> Iterator[Path]:
    """Yield the files to look at, with links and with folders that cannot be opened; follow no link.

    What an earlier marking wrote is no submission. But whoever hands in a file of the record's name
    does not hide a notebook beside it.
    """
    left_out = {path.resolve() for path in leave_out}
    own_schemes = {file.name for worksheet in WORKSHEETS if (file := scheme_file(worksheet))}
    waiting = [(folder, False)]
    while waiting:  # without recursion: folders may be nested as deep as the system allows
        here, marked_before = waiting.pop()
        try:
            entries = sorted(os.scandir(here), key=lambda entry: entry.name)
        except OSError:
            yield here
            continue
        marked_before |= here != folder and any(entry.name == RECORD_NAME for entry in entries)
        folders = []
        for entry in entries:
            path = here / entry.name
            if entry.name.startswith(".") or path in left_out:
                continue
            if entry.is_dir(follow_symlinks=False):
                folders.append((path, marked_before))
            elif not (
                entry.name.endswith(f"_{LIST_NAME}")
                or entry.name in own_schemes
                or (marked_before and not _is_notebook(path))
            ):
                yield path
        waiting += reversed(folders)


def _is_notebook(path: Path) -> bool:
    return path.suffix.casefold() == ".ipynb"


def _look_at(path: Path, folder: Path, register: Register, term_key: str | None) -> Submission:
    file = shortened(path.relative_to(folder).as_posix())
    sha256 = ""
    match = _FILE_NAME.fullmatch(normal_name(path.name))
    known = register.find(match["apprentice"]) if match else None
    worksheet = WORKSHEETS.get(match["worksheet"].casefold()) if match else None
    apprentice = known or ""
    try:
        check_is_file(path)
        if not _is_notebook(path):
            raise NotUsable(
                "refused",
                "bad-file",
                "This is not a notebook (.ipynb). Ask the apprentice for the worksheet.",
            )
        content, saved = read_file(path)
        sha256 = hashlib.sha256(content).hexdigest()
        issued, cells = _parse(content)
        if not (known and worksheet):
            raise NotUsable("query", "unsafe-name", _whose(known, worksheet, issued, register))
        if issued.get("worksheet", worksheet.name) != worksheet.name:
            raise NotUsable(
                "query",
                "structure-changed",
                f"By its name this is “{worksheet.name}”, but inside it says "
                f"“{issued['worksheet']}”. Find out which of the two it is, and name it so.",
            )
        if issued.get("version", worksheet.version) != worksheet.version:
            raise NotUsable(
                "query",
                "structure-changed",
                f"This is version {issued['version']} of the worksheet; the installed package "
                f"marks version {worksheet.version}. Mark it with the package that handed it out, or hand out "
                "the present version.",
            )
        check_term(issued, term_key)
        return Submission(
            file,
            "accepted",
            known,
            worksheet,
            cells,
            sha256,
            saved=saved,
            issued_to=issued.get("apprentice", ""),
        )
    except NotUsable as problem:
        return Submission(file, problem.status, apprentice, worksheet, (), sha256, problem.code, str(problem))


def normal_name(name: str) -> str:
    """Return a file name without what mail programs, browsers and JupyterLab add to a second copy.

    This is the one rule for names: also, letters with accents are put together from their parts.

    >>> normal_name("charging-power_A07 (1).ipynb"), normal_name("charging-power_A07-Copy2.ipynb")
    ('charging-power_A07.ipynb', 'charging-power_A07.ipynb')
    """
    stem, dot, suffix = unicodedata.normalize("NFC", name).strip().rpartition(".")
    return _COPY.sub("", stem).strip() + dot + suffix


def _parse(content: bytes) -> tuple[dict[str, str], tuple[str, ...]]:
    """Return what a notebook says it was issued as, and its code cells.

    The JSON is read strictly: no duplicate keys, no NaN, no text that cannot be written again.
    """

    def unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        if len({key for key, _ in pairs}) < len(pairs):
            raise ValueError("a key stands twice")
        return dict(pairs)

    def finite(constant: str) -> float:
        raise ValueError(f"{constant} is no JSON")

    if not content.strip():
        raise NotUsable(
            "refused",
            "bad-file",
            "The file is empty. Ask the apprentice to save the worksheet and hand it in again.",
        )
    try:
        notebook = json.loads(content.decode("utf-8-sig"), object_pairs_hook=unique, parse_constant=finite)
        if not (
            isinstance(notebook, dict)
            and notebook.get("nbformat") == 4
            and isinstance(notebook.get("metadata"), dict)
            and isinstance(notebook.get("cells"), list)
        ):
            raise ValueError("no notebook of format 4")
        return _issued(notebook), _code_cells(notebook)
    except (ValueError, RecursionError) as problem:
        advice = "Ask the apprentice to open it in JupyterLab, save it and hand it in again."
        if isinstance(problem, json.JSONDecodeError) and _is_cut_off(problem):
            advice = "Ask for it again."  # no program opens it
        raise NotUsable(
            "refused", "bad-file", f"The file is not a readable notebook: {_in_words(problem)}. {advice}"
        ) from None


def _is_cut_off(problem: json.JSONDecodeError) -> bool:
    """Say whether the text ends where it should go on."""
    at_its_end = problem.pos >= len(problem.doc.rstrip())
    return at_its_end or problem.msg.startswith("Unterminated string")


def _in_words(problem: Exception) -> str:
    if isinstance(problem, RecursionError):
        return "it is nested too deeply"
    if isinstance(problem, UnicodeError):
        return "it is not UTF-8 text"
    if isinstance(problem, json.JSONDecodeError):
        return f"its text is {'cut off' if _is_cut_off(problem) else 'damaged'} near line {problem.lineno}"
    return str(problem).splitlines()[0][:80]


def _code_cells(notebook: dict[str, Any]) -> tuple[str, ...]:
    sources = []
    for cell in notebook["cells"]:
        source = cell.get("source") if isinstance(cell, dict) else None
        if isinstance(source, list) and all(isinstance(line, str) for line in source):
            source = "".join(source)
        if not isinstance(source, str):
            raise ValueError("a cell has no source")
        source.encode("utf-8")  # a lone surrogate cannot be written again
        if cell.get("cell_type") == "code":
            sources.append(source)
    if len(sources) > MOST_CELLS or sum(map(len, sources)) > LONGEST_CODE:
        raise NotUsable(
            "refused",
            "too-large",
            f"The notebook has {len(sources)} code cells with {sum(map(len, sources))} characters; at most "
            f"{MOST_CELLS} cells with {LONGEST_CODE} characters are run. Ask for the worksheet itself.",
        )
    return tuple(sources)


def _issued(notebook: dict[str, Any]) -> dict[str, str]:
    """Return the entry that the hand-out made, as text whatever has become of it."""
    issued = notebook["metadata"].get("acpower")
    return {key: shortened(str(value)) for key, value in issued.items()} if isinstance(issued, dict) else {}


def _whose(known: str | None, worksheet: Worksheet | None, issued: dict[str, str], register: Register) -> str:
    """Say what to do with a file whose name does not tell whose worksheet it is."""
    if worksheet and not known:
        return "The id in the file name is not in the register. Correct the file name, or add the id to the register."
    inside = register.find(issued.get("apprentice", ""))
    if inside and issued.get("worksheet") in WORKSHEETS:
        return (
            f"The file name does not tell whose worksheet this is. Inside, it says {inside}: if that is right, "
            f"rename it to {file_name(issued['worksheet'], inside)}."
        )
    return (
        "The file name does not tell whose worksheet this is. Names look like charging-power_A07.ipynb; the "
        f"worksheets are {', '.join(WORKSHEETS)}. For one of your own, mark with --own and its folder."
    )


def _settle_duplicates(submissions: list[Submission]) -> list[Submission]:
    """Put all but one of several equal files aside, and all of them where they differ."""
    groups = defaultdict(list)
    for submission in submissions:
        if submission.status == "accepted" and submission.worksheet:
            groups[submission.worksheet.name, submission.apprentice].append(submission)
    settled = []
    for submission in submissions:
        group = (
            groups.get((submission.worksheet.name, submission.apprentice)) if submission.worksheet else None
        )
        if submission.status != "accepted" or not group or len(group) == 1:
            settled.append(submission)
            continue
        same = all((one.sha256, one.typed) == (group[0].sha256, group[0].typed) for one in group)
        if same and submission is group[0]:
            settled.append(submission)
            continue
        files = _listed([one.file for one in group[:_MOST_NAMED]], len(group))
        says = (
            f"The same content as {group[0].file}, which is marked."
            if same
            else f"More than one file for {submission.apprentice}: {files}. Keep the one that counts."
        )
        settled.append(replace(submission, status="query", code="handed-in-twice", says=says))
    return settled


def _listed(names: list[str], count: int) -> str:
    """Write names in a line, and how many more there are.

    >>> _listed(["a", "b"], 9)
    'a, b and 7 more'
    """
    some = names[:_MOST_NAMED]
    return ", ".join(some) + (f" and {count - len(some)} more" if count > len(some) else "")
