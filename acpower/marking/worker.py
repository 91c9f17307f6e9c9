"""The process in which pytest and nbval run worksheets.

It reads orders, one line of JSON each, and writes one line for every cell and one when an order is
done. ``python -m acpower.marking.worker practice`` (or ``marks``) runs worksheets in full isolation,
in copies of a Python that stands ready, order after order. With ``ordinary`` an order has one
worksheet, which runs in a Jupyter kernel with limits only; this whole process is ended after it.
"""

import json
import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import chdir, contextmanager
from pathlib import Path
from typing import IO, Any

import pytest

from acpower import notebooks
from acpower.marking.plugin import CellWatch  # before nbval: it keeps away what jsonschema loads without need

import nbval.plugin  # isort: skip

Order = dict[str, Any]
StartKernel = Callable[[Order, float], Any]
"""Starts a kernel for one worksheet, which may take so many seconds."""
FOR_MARKS, FOR_PRACTICE, ORDINARY = "marks", "practice", "ordinary"
_STARTUP_SECONDS = 30
_NOTEBOOK = "worksheet.ipynb"


def main(route: str) -> None:
    """Carry out orders until there is no more input."""
    # No worksheet inherits this file; and what pytest says nobody reads.
    lines = os.fdopen(os.dup(1), "w", encoding="utf-8", buffering=1)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    with _ordinary() if route == ORDINARY else _warm(route) as start_kernel:
        for text in sys.stdin:
            _carry_out(json.loads(text), start_kernel, lines)


@contextmanager
def _warm(route: str) -> Iterator[StartKernel]:
    from acpower.marking.warm_kernel import WarmPython

    with tempfile.TemporaryDirectory() as home:
        warm = WarmPython(Path(home), for_marks=route == FOR_MARKS)
        yield warm.start
        warm.end()


@contextmanager
def _ordinary() -> Iterator[StartKernel]:
    from acpower.marking.ordinary_kernel import OrdinaryKernel, end_children, set_limits

    set_limits()
    yield OrdinaryKernel
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
                "-p",
                "no:cacheprovider",
                "-p",
                "nbval.plugin",
                "--nbval-lax",
                "--nbval-current-env",
                f"--nbval-cell-timeout={order['cell_seconds']}",
                f"--nbval-kernel-startup-timeout={_STARTUP_SECONDS}",
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
