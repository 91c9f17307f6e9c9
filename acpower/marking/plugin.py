"""A small pytest plugin that writes down what each cell of a worksheet handed out.

nbval executes the cells; this plugin watches, and passes on one line of data per cell at once, so
that a run that is ended early keeps what was there before.
"""

import json
import sys
from collections.abc import Callable, Generator
from typing import Any

import pytest

from acpower.marking.kernel_ended import KernelEnded
from acpower.worksheets.answering import ANSWER_FORMAT
from acpower.worksheets.plain_errors import in_plain_words

# jsonschema, which nbval brings along, imports this module if it is there and does well without it. It
# checks web addresses, and building its grammar takes longer than running a worksheet.
sys.modules["rfc3987_syntax"] = None  # type: ignore[assignment]

from nbval.plugin import IPyNbCell, IPyNbFile  # noqa: E402

MOST_RECORDS = 100
_MOST_WORDS = 500


class CellWatch:
    """Calls ``tell`` with the name of the notebook's folder and what one of its cells handed out."""

    def __init__(self, tell: Callable[[str, dict[str, Any]], None]) -> None:
        self._tell = tell

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_makereport(
        self, item: pytest.Item, call: pytest.CallInfo[None]
    ) -> Generator[None, pytest.TestReport, pytest.TestReport]:
        """Pass on what the cell handed out, and why it stopped if it did."""
        report = yield
        if isinstance(item, IPyNbCell) and (call.when == "call" or (call.when == "setup" and call.excinfo)):
            outputs = getattr(item, "test_outputs", None) or []
            code, says = _stop(item.parent, call, outputs)
            records = [
                _as_text(o["data"][ANSWER_FORMAT]) for o in outputs if ANSWER_FORMAT in o.get("data", {})
            ]
            line = {"cell": item.cell_num, "code": code, "says": says[:_MOST_WORDS]}
            self._tell(item.path.parent.name, {**line, "records": records[:MOST_RECORDS]})
        return report


def _as_text(record: Any) -> str:
    """Return a record as JSON text: an ordinary kernel sends data, a warm one sends text."""
    if isinstance(record, str):
        return record
    try:
        return json.dumps(record)
    except RecursionError:
        return ""


def _stop(notebook: IPyNbFile, call: pytest.CallInfo[None], outputs: list[Any]) -> tuple[str, str]:
    """Return the reason code and the words for a cell that did not run to its end."""
    if call.excinfo is None:
        return "", ""
    problem = call.excinfo.value
    words = str(problem)
    if isinstance(problem, KernelEnded):
        return problem.code, words
    if call.when == "setup":
        return "kernel-not-started", words
    if words.startswith("Timeout of"):
        return "timeout", words
    if notebook.kernel is None or not notebook.kernel.is_alive():
        return "kernel-died", words
    for output in outputs:
        if output["output_type"] == "error":
            code = {"SystemExit": "exited", "MemoryError": "memory"}.get(output["ename"], "stopped")
            return code, in_plain_words(output["ename"], output["evalue"])
    return "stopped", words
