"""An instructor's own worksheets: one Python file with the mark scheme, one notebook beside it.

The file is a program of the instructor's and is run as such. Files that apprentices hand in are
never loaded here: the marker takes own worksheets only from where the instructor says.
"""

import runpy
from pathlib import Path

from acpower import notebooks
from acpower.worksheets.scheme import Worksheet
from acpower.worksheets.schemes import WORKSHEETS, find_worksheet

_OWN: dict[str, Path] = {}  # the file of each own worksheet in use, by its name


class NotAWorksheet(Exception):
    """The file cannot be used as a worksheet; the message says what is wrong with it."""


def load_worksheet(path: Path) -> Worksheet:
    """Run a file that defines ``WORKSHEET`` and return it.

    Raises
    ------
    NotAWorksheet
        There is no such file, it stops, it defines no worksheet, or its names do not agree.
    """
    if not path.exists():
        raise NotAWorksheet(f"There is no file {path}. Check the path.")
    if path.suffix != ".py" or not path.is_file():
        raise NotAWorksheet(f"{path} is not a Python file (.py). Give the file with the mark scheme.")
    try:
        worksheet = runpy.run_path(str(path)).get("WORKSHEET")
    except Exception as problem:
        raise NotAWorksheet(
            f"{path} stops: {_where(problem, path)}{type(problem).__name__}: {problem}."
        ) from None
    if not isinstance(worksheet, Worksheet):
        raise NotAWorksheet(
            f"{path} defines no WORKSHEET = Worksheet(...). If it is a mark scheme, let it end with that line; if not, "
            "move it out of the folder of your own worksheets."
        )
    if worksheet.name != path.stem:
        raise NotAWorksheet(
            f"{path} defines the worksheet “{worksheet.name}”. File and worksheet must have the same name."
        )
    return worksheet


def use_own_worksheets(folder: Path) -> None:
    """From now on, know the worksheets of a folder by their names, beside those of the course."""
    files = sorted(folder.glob("*.py"))
    if not files:
        raise NotAWorksheet(f"{folder} holds no Python file (.py). Give the folder with your own worksheets.")
    for path in files:
        worksheet = load_worksheet(path)
        if worksheet.name in WORKSHEETS and worksheet.name not in _OWN:
            raise NotAWorksheet(f"{path}: the course has a worksheet of this name. Choose another one.")
        WORKSHEETS[worksheet.name], _OWN[worksheet.name] = worksheet, path


def scheme_file(name: str) -> Path | None:
    """Return the file of an own worksheet; None for a worksheet of the course."""
    return _OWN.get(name)


def notebook_of(name: str) -> Path:
    """Return the notebook of a worksheet as it is before it is made out to anybody."""
    own = _OWN.get(name)
    return own.with_suffix(".ipynb") if own else notebooks.folder("exercises") / f"{name}.ipynb"


def worksheet_to_practise(name: str) -> Worksheet:
    """Return a worksheet of the course, or one whose file lies beside the notebook that asks for it."""
    beside = Path(f"{name}.py")
    if name not in WORKSHEETS and name.replace("-", "").isalnum() and beside.is_file():
        return load_worksheet(beside)
    return find_worksheet(name)


def _where(problem: Exception, path: Path) -> str:
    if isinstance(problem, SyntaxError):
        return f"line {problem.lineno}, "
    lines = []
    trace = problem.__traceback__
    while trace is not None:
        if trace.tb_frame.f_code.co_filename == str(path):
            lines.append(trace.tb_lineno)
        trace = trace.tb_next
    return f"line {lines[-1]}, " if lines else ""
