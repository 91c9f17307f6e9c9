"""Say in plain words why a cell stopped, in place of Python's traceback.

Only where people work: in a notebook that has opened a job card, and in every one that `acpower
study` has opened, from its first cell on. Whoever runs a worksheet under pytest gets Python's own
report.
"""

import re
from html import escape
from traceback import extract_tb, format_exception
from types import TracebackType
from typing import Any

from IPython.core.getipython import get_ipython
from IPython.display import HTML, display

from acpower.worksheets.block import VERMILLION, block


def use_plain_errors() -> None:
    """From now on, show a short block when a cell of this notebook stops."""
    shell = get_ipython()
    if shell is not None:
        load_ipython_extension(shell)


def load_ipython_extension(shell: Any) -> None:
    """Do the same when a kernel starts: ``jupyter/kernels`` names this module as an extension."""
    shell.set_custom_exc((Exception,), _show)


def _show(
    shell: Any,
    kind: type[BaseException],
    problem: BaseException,
    trace: TracebackType | None,
    tb_offset: int | None = None,
) -> None:
    display(HTML(error_block(problem, trace)))


def error_block(problem: BaseException, trace: TracebackType | None) -> str:
    """Return the block: what happened, where, what to do, and the full report folded away.

    >>> try:
    ...     curent * 230
    ... except NameError as problem:
    ...     "Check its spelling" in error_block(problem, problem.__traceback__)
    True
    """
    words = in_plain_words(type(problem).__name__, str(problem))
    full = "".join(format_exception(type(problem), problem, trace))
    inside = (
        f"<div>{escape(words)}</div>"
        f"<details><summary>Python's own report</summary><pre>{escape(full)}</pre></details>"
    )
    return block(f"This cell stopped{_line(problem, trace)}.", inside, sign="➜", colour=VERMILLION)


def _line(problem: BaseException, trace: TracebackType | None) -> str:
    if isinstance(problem, SyntaxError):
        return f" before it began, at line {problem.lineno}" if problem.lineno else ""
    # The lines of the cell itself; what lies below them is a library's business.
    own = [frame.lineno for frame in extract_tb(trace) if "ipykernel" in frame.filename and frame.lineno]
    return f" at line {own[-1]}" if own and "acpower" not in type(problem).__module__ else ""


def in_plain_words(kind: str, text: str) -> str:
    """Say what went wrong and what to check, from the kind of Python's error and its text.

    >>> in_plain_words("ZeroDivisionError", "division by zero")
    'It divides by zero. Check the number below the line.'
    >>> in_plain_words("NameError", "name 'sqrt' is not defined")[:83]
    'Python does not know sqrt yet. Run the cell with “from math import” above first, th'
    >>> in_plain_words("TypeError", "hint() missing 1 required positional argument: 'question'")[:49]
    "Between the brackets something is missing: 'quest"
    """
    unknown = re.match(r"name '(\w+)' is not defined", text)
    if kind == "NameError" and unknown and unknown[1] == "job":
        return "There is no job card yet. Run the first code cell of this page, then this one again."
    if kind == "NameError" and unknown and unknown[1] in ("sqrt", "pi"):
        return (
            f"Python does not know {unknown[1]} yet. Run the cell with “from math import” above first, then this one "
            f"again. If this page has no such cell, write as first line here: from math import {unknown[1]}"
        )
    if kind == "NameError" and unknown:
        return (
            f"The name “{unknown[1]}” is not known here. Check its spelling, and run the cells above it first. "
            "A word as an answer stands between quotation marks."
        )
    if kind == "ZeroDivisionError":
        return "It divides by zero. Check the number below the line."
    if kind in ("SyntaxError", "IndentationError", "_IncompleteInputError"):
        return (
            f"Python cannot read what is written there ({text.split(' (')[0]}). Check brackets, quotation marks "
            "and commas. Multiply with *, divide with /, write √3 as sqrt(3), and decimals with a point. "
            "A number with its unit stands between quotation marks."
        )
    if kind == "TypeError" and "ellipsis" in text:
        return "An earlier answer that goes in here is still three dots. Fill it in and run its cell first."
    if kind == "TypeError" and ("sequence" in text or "str" in text):
        return "A text stands where a number belongs. Take the quotation marks away, and write decimals with a point."
    if kind == "NotYet":
        return text
    if kind == "AttributeError" and text.startswith("the job card"):
        return text.replace("the", "The", 1)
    missing = re.search(r"missing \d+ required positional arguments?: (.+)", text)
    if kind == "TypeError" and missing:
        return (
            f"Between the brackets something is missing: {missing[1]}. A line with job.record has the name of the "
            "question and the answer. A function is recorded by its name, without brackets."
        )
    return f"{kind}: {text}" if text else kind
