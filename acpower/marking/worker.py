"""The process in which pytest and nbval run worksheets.

It reads orders, one line of JSON each, and writes one line for every cell and one when an order is
done. ``python -m acpower.marking.worker practice`` (or ``marks``) runs worksheets in full isolation,
in copies of a Python that stands ready, order after order. With ``ordinary`` an order has one
worksheet, which runs in a Jupyter kernel with limits only; this whole process is ended after it.
"""

import json
import os
import queue
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from contextlib import chdir
from pathlib import Path
from typing import IO, Any, NoReturn

import pytest

from acpower import notebooks
from acpower.marking.plugin import CellWatch  # before nbval: it keeps away what jsonschema loads without need

import nbval.plugin  # isort: skip

Order = dict[str, Any]
StartKernel = Callable[[Order, float], Any]
"""Starts a kernel for one worksheet, which may take so many seconds."""
FOR_MARKS, ORDINARY = "marks", "ordinary"
# Parts of pytest that cost time for each cell and bring nothing to a worksheet.
_NOT_NEEDED = ("cacheprovider", "capture", "logging", "threadexception", "unraisableexception", "warnings")
_NOTEBOOK = "worksheet.ipynb"
nbval.plugin.comment_markers.clear()  # a comment in a cell does not hide that it stopped


def main(route: str) -> None:
    """Carry out orders until there is no more input."""
    # No worksheet inherits this file; and what pytest says nobody reads.
    lines = os.fdopen(os.dup(1), "w", encoding="utf-8", buffering=1)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    if route == ORDINARY:
        _run_ordinary(lines)
    else:
        _run_warm(lines, for_marks=route == FOR_MARKS)


def _run_warm(lines: IO[str], *, for_marks: bool) -> NoReturn:
    from acpower.marking.warm_kernel import WarmPython

    orders: queue.SimpleQueue[str] = queue.SimpleQueue()

    def read() -> None:
        for text in sys.stdin:
            orders.put(text)
        os._exit(0)  # whoever gave orders is gone, so nobody waits for a worksheet that still runs

    warm = WarmPython(Path(tempfile.mkdtemp()), for_marks=for_marks)
    threading.Thread(target=read, daemon=True).start()
    while True:
        _carry_out(json.loads(orders.get()), warm.start, lines)


def _run_ordinary(lines: IO[str]) -> None:
    from acpower.marking.ordinary_kernel import OrdinaryKernel, end_children, set_limits

    set_limits()
    _carry_out(json.loads(sys.stdin.readline()), OrdinaryKernel, lines)
    end_children()


def _carry_out(order: Order, start_kernel: StartKernel, lines: IO[str]) -> None:
    """Run the worksheets of one order through pytest, each in a folder of its own."""
    started: dict[str, float] = {}

    def kernel(_name: str, *, cwd: str, **_: Any) -> Any:
        folder = Path(cwd).name
        started[folder] = time.monotonic()
        return start_kernel(order["worksheets"][int(folder)], order["worksheet_seconds"])

    def tell(folder: str, line: dict[str, Any]) -> None:
        seconds = round(time.monotonic() - started[folder], 2)
        lines.write(json.dumps({"worksheet": int(folder), "seconds": seconds, **line}) + "\n")

    nbval.plugin.RunningKernel = kernel
    with tempfile.TemporaryDirectory() as place, chdir(place):
        Path("pytest.ini").write_text("[pytest]\n", encoding="utf-8")
        for number, worksheet in enumerate(order["worksheets"]):
            Path(str(number)).mkdir()
            Path(str(number), _NOTEBOOK).write_text(_notebook(worksheet["cells"]), encoding="utf-8")
        pytest.main(
            [
                "-c",
                "pytest.ini",
                "--rootdir=.",
                "--noconftest",
                *(word for name in _NOT_NEEDED for word in ("-p", f"no:{name}")),
                "-p",
                "nbval.plugin",
                "--nbval-lax",
                "--nbval-current-env",
                f"--nbval-cell-timeout={order['cell_seconds']}",
                "--tb=no",
                *(f"{number}/{_NOTEBOOK}" for number in range(len(order["worksheets"]))),
            ],
            plugins=[CellWatch(tell)],
        )
    lines.write(json.dumps({"done": True}) + "\n")


def _notebook(cells: list[str]) -> str:
    """Return a clean notebook with nothing of the one handed in but the source of its code cells."""
    return notebooks.canonical(
        {
            "cells": [
                {"cell_type": "code", "id": f"cell-{number}", "metadata": {}, "source": source}
                for number, source in enumerate(cells)
            ],
            "metadata": {},
        }
    )


if __name__ == "__main__":
    main(sys.argv[1])
