"""A small pytest plugin that writes down what each cell of a worksheet handed out.

It is loaded by name when a class is marked, and only then. nbval executes the cells; this file
watches the kernel while it does, and appends one line of JSON per cell to the file named by
``--acpower-answers``. A run that is ended early keeps the lines already written.
"""

import ctypes
import json
import os
import sys
import time
from collections.abc import Generator
from contextlib import suppress
from pathlib import Path
from queue import Empty
from typing import Any, TextIO

import psutil
import pytest

from acpower.marking.isolate import CONFINED_VARIABLE
from acpower.worksheets.answering import ANSWER_FORMAT
from acpower.worksheets.plain_errors import in_plain_words

# jsonschema, which nbval brings along, imports this module if it is there and does well without it. It
# checks web addresses, and building its grammar takes longer than running a worksheet.
sys.modules["rfc3987_syntax"] = None  # type: ignore[assignment]

from nbval.kernel import RunningKernel  # noqa: E402
from nbval.plugin import IPyNbCell, IPyNbFile  # noqa: E402

ANSWERS = pytest.StashKey[TextIO]()
LARGEST_OUTPUT = 1024 * 1024  # characters that one cell may print
LARGEST_MEMORY = 2 * 1024**3  # bytes of address space for each process
LARGEST_WRITTEN_FILE = 64 * 1024**2
MOST_PROCESSES = 64  # processes and threads of one worksheet
MOST_RECORDS = 100
_SET_CHILD_SUBREAPER = 36  # prctl(2), linux/prctl.h
_LOOK_AGAIN = 0.25  # seconds between two looks at whether the kernel still lives


class KernelDied(RuntimeError):
    """The notebook's process ended while a cell was running."""


class TooMuchOutput(RuntimeError):
    """A cell printed more than is read."""


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the one option of this plugin."""
    parser.addoption("--acpower-answers", type=Path, help="file to which each cell's answers are appended")


def pytest_configure(config: pytest.Config) -> None:
    """Open the file for the answers, then set limits for this process and all that it starts."""
    config.stash[ANSWERS] = config.getoption("--acpower-answers").open("a", encoding="utf-8")
    if sys.platform == "win32":
        return
    import resource

    limits = [
        (resource.RLIMIT_AS, LARGEST_MEMORY),
        (resource.RLIMIT_FSIZE, LARGEST_WRITTEN_FILE),
        (resource.RLIMIT_CORE, 0),
    ]
    user = os.environ.get(CONFINED_VARIABLE)
    # Inside, the count starts at nought; outside it would count all that the account runs.
    if user is not None:
        limits.append((resource.RLIMIT_NPROC, MOST_PROCESSES))
    for kind, limit in limits:
        with suppress(ValueError, OSError):  # macOS refuses a limit on address space
            resource.setrlimit(kind, (limit, limit))
    if sys.platform == "linux":
        # What a worksheet leaves running comes back to this process, which can then end it.
        ctypes.CDLL(None).prctl(_SET_CHILD_SUBREAPER, 1, 0, 0, 0)
    if user:
        os.setgroups([])
        os.setgid(int(user))
        os.setuid(int(user))


def pytest_unconfigure(config: pytest.Config) -> None:
    """Close the file, and end whatever the worksheet has left running."""
    config.stash[ANSWERS].close()
    left = psutil.Process().children(recursive=True)
    for process in left:
        with suppress(psutil.Error):
            process.kill()
    psutil.wait_procs(left, timeout=1)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Generator[None, object, object]:
    """Watch the kernel while the first cell runs, and all the cells after it."""
    if isinstance(item, IPyNbCell):
        kernel = item.parent.kernel
        if "get_message" not in vars(kernel):
            kernel.get_message = _watched(kernel)
    return (yield)


def _watched(kernel: RunningKernel) -> Any:
    """Return the kernel's ``get_message`` with an eye on its life and on the amount of output."""
    wait_for_message = kernel.get_message
    printed: dict[str, int] = {}

    def get_message(stream: str, timeout: float | None = None) -> dict[str, Any]:
        ends = time.monotonic() + (timeout if timeout is not None else float("inf"))
        while True:
            try:
                message: dict[str, Any] = wait_for_message(stream, timeout=_LOOK_AGAIN)
            except Empty:
                if not kernel.is_alive():
                    raise KernelDied("the notebook's process ended") from None
                if time.monotonic() >= ends:
                    raise
                continue
            cell = str(message["parent_header"].get("msg_id"))
            printed[cell] = printed.get(cell, 0) + _length(message["content"])
            if printed[cell] > LARGEST_OUTPUT:
                kernel.stop()
                raise TooMuchOutput(f"the cell printed more than {LARGEST_OUTPUT} characters")
            return message

    return get_message


def _length(content: dict[str, Any]) -> int:
    return len(str(content.get("text", ""))) + sum(
        len(str(part)) for part in content.get("data", {}).values()
    )


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Append what the cell handed out, and why it stopped if it did."""
    report = yield
    if isinstance(item, IPyNbCell) and (call.when == "call" or (call.when == "setup" and call.excinfo)):
        outputs = getattr(item, "test_outputs", None) or []
        code, says = _stop(item.parent, call, outputs)
        records = [o["data"][ANSWER_FORMAT] for o in outputs if ANSWER_FORMAT in o.get("data", {})]
        line = {"cell": item.cell_num, "code": code, "says": says[:500], "records": records[:MOST_RECORDS]}
        answers = item.config.stash[ANSWERS]
        answers.write(json.dumps(line) + "\n")
        answers.flush()
    return report


def _stop(notebook: IPyNbFile, call: pytest.CallInfo[None], outputs: list[Any]) -> tuple[str, str]:
    """Return the reason code and the words for a cell that did not run to its end."""
    if call.excinfo is None:
        return "", ""
    problem = call.excinfo.value
    words = str(problem)
    if call.when == "setup":
        return "kernel-not-started", words
    if isinstance(problem, TooMuchOutput):
        return "output-limit", words
    if words.startswith("Timeout of"):
        return "timeout", words
    if isinstance(problem, KernelDied) or notebook.kernel is None or not notebook.kernel.is_alive():
        return "kernel-died", words
    for output in outputs:
        if output["output_type"] == "error":
            code = {"SystemExit": "exited", "MemoryError": "memory"}.get(output["ename"], "stopped")
            return code, in_plain_words(output["ename"], output["evalue"])
    return "stopped", words
