"""An ordinary Jupyter kernel with limits, for machines that give no full isolation.

The limits are those that the system has: Linux and macOS limit each process, Windows none here. The
whole tree of processes is ended from outside, see `limits_only`.
"""

import ctypes
import json
import os
import sys
import time
from contextlib import suppress
from pathlib import Path
from queue import Empty
from typing import Any

import psutil
from nbval.kernel import CURRENT_ENV_KERNEL_NAME, RunningKernel

from acpower.marking.kernel_ended import LARGEST_OUTPUT, STARTUP_SECONDS, KernelEnded

LARGEST_MEMORY = 2 * 1024**3  # bytes of address space for each process
LARGEST_WRITTEN_FILE = 64 * 1024**2
_SET_CHILD_SUBREAPER = 36  # prctl(2), linux/prctl.h
_LOOK_AGAIN = 0.25  # seconds between two looks at whether the kernel still lives


def set_limits() -> None:
    """Set limits for this process and all that it starts, where the system has them."""
    if sys.platform == "win32":
        return
    import resource

    for kind, limit in (
        (resource.RLIMIT_AS, LARGEST_MEMORY),
        (resource.RLIMIT_FSIZE, LARGEST_WRITTEN_FILE),
        (resource.RLIMIT_CORE, 0),
    ):
        with suppress(ValueError, OSError):  # macOS refuses a limit on address space
            resource.setrlimit(kind, (limit, limit))
    if sys.platform == "linux":
        # What a worksheet leaves running comes back to this process, which can then end it.
        ctypes.CDLL(None).prctl(_SET_CHILD_SUBREAPER, 1, 0, 0, 0)


def end_children() -> None:
    """End whatever the worksheet has left running."""
    left = psutil.Process().children(recursive=True)
    for process in left:
        with suppress(psutil.Error):
            process.kill()
    psutil.wait_procs(left, timeout=1)


class OrdinaryKernel(RunningKernel):  # type: ignore[misc]
    """nbval's own kernel, with an eye on its life, its output and the time of the worksheet."""

    def __init__(self, worksheet: dict[str, Any], seconds: float) -> None:
        for name, text in worksheet["files"].items():
            Path(name).write_text(text, encoding="utf-8")
        os.environ.update(worksheet["variables"])
        self._received: dict[str, int] = {}
        super().__init__(CURRENT_ENV_KERNEL_NAME, cwd=os.getcwd(), startup_timeout=STARTUP_SECONDS)

    def get_message(self, stream: str, timeout: float | None = None) -> dict[str, Any]:
        """Return the next message, or tell at once that none will come."""
        ends = time.monotonic() + (timeout if timeout is not None else float("inf"))
        while True:
            try:
                message: dict[str, Any] = super().get_message(stream, timeout=_LOOK_AGAIN)
            except Empty:
                if not self.is_alive():
                    raise KernelEnded("kernel-died", "the notebook's process ended") from None
                if time.monotonic() >= ends:
                    raise
                continue
            cell = str(message["parent_header"].get("msg_id"))
            self._received[cell] = self._received.get(cell, 0) + len(
                json.dumps(message["content"], default=str)
            )
            if self._received[cell] > LARGEST_OUTPUT:
                self.stop()
                raise KernelEnded("output-limit", f"the cell printed more than {LARGEST_OUTPUT} characters")
            return message
