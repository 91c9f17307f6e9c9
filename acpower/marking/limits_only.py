"""Run one worksheet with limits only: a process and folder of its own, and the end of all that it starts.

This is for machines that give no full isolation. What a worksheet starts carries the name of its
job in its environment, and is found by that even where it has slipped away from its parent.
"""

import json
import os
import signal
import subprocess
import sys
import threading
import time
import uuid
from contextlib import suppress
from functools import cache
from typing import IO, Any

import psutil

from acpower.marking.clean_environment import clean_environment
from acpower.marking.kernel_ended import WORKSHEET_TIME_UP
from acpower.marking.run import NOT_STARTED, Data, Limits, Told, order_for
from acpower.marking.scratch import scratch_folder

LARGEST_ANSWERS = 4 * 1024**2  # bytes
_JOB_VARIABLE = "ACPOWER_JOB"
_MOST_TRIES = 3
_KILL_SECONDS = 5.0
_LOOK_AGAIN = 0.05  # seconds between two looks at whether a worksheet has ended


def run_worksheet(worksheet: Data, limits: Limits, stop: threading.Event) -> Told:
    """Run one worksheet in an ordinary Jupyter kernel; setting ``stop`` ends it.

    Kernels share the machine's ports, and two that start at once may take the same one. A kernel
    that did not start has run nothing of the worksheet, so it is tried again.
    """
    for _ in range(_MOST_TRIES):
        told = _run_once(worksheet, limits, stop)
        if stop.is_set() or not any(line.get("code") == NOT_STARTED for line in told.lines):
            break
    return told


def _run_once(worksheet: Data, limits: Limits, stop: threading.Event) -> Told:
    with (
        scratch_folder() as scratch,
        (scratch / "order").open("w+b") as order,
        (scratch / "answers").open("w+b") as answers,
        (scratch / "log").open("w+b") as log,
    ):
        order.write(json.dumps(order_for([worksheet], limits)).encode() + b"\n")
        order.seek(0)
        user = ordinary_user()
        if user is not None:
            os.chown(scratch, user, user)
        name = uuid.uuid4().hex
        process = subprocess.Popen(
            [sys.executable, "-P", "-m", "acpower.marking.worker", "ordinary"],
            cwd=scratch,
            env={**clean_environment(scratch), _JOB_VARIABLE: name},
            stdin=order,
            stdout=answers,
            stderr=log,
            start_new_session=True,
            **_becoming(user),
        )
        in_time = _ended_in_time(process, name, limits.worksheet_seconds, stop)
        # All three files were opened before the run, so whatever stands under their names now does not matter.
        lines, last_words = _lines(answers), _read(log)[-1:]
    if not in_time:
        lines.append(
            {"cell": len(lines), "code": "timeout", "says": WORKSHEET_TIME_UP, "records": [], "seconds": 0}
        )
    return Told(lines, "".join(last_words))


@cache
def ordinary_user() -> int | None:
    """Return the number of the user that a worksheet becomes where it is run by root, if that user can run it."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        return None
    user = 1_900_000_000  # no account has this number
    asked = [sys.executable, "-c", "import acpower, ipykernel, nbval"]
    with suppress(OSError, subprocess.TimeoutExpired):
        tried = subprocess.run(
            asked, cwd="/", capture_output=True, timeout=60, check=False, **_becoming(user)
        )
        return user if tried.returncode == 0 else None
    return None


def _becoming(user: int | None) -> dict[str, Any]:
    return {} if user is None else {"user": user, "group": user, "extra_groups": []}


def _ended_in_time(
    process: "subprocess.Popen[bytes]", name: str, seconds: float, stop: threading.Event
) -> bool:
    ends_at = time.monotonic() + seconds
    try:
        while process.poll() is None and time.monotonic() < ends_at:
            if stop.wait(_LOOK_AGAIN):
                break
        return process.poll() is not None
    finally:
        _end_everything(process, name)


def _read(file: IO[bytes]) -> list[str]:
    """Return the lines of a file, up to a limit."""
    file.seek(0)
    return file.read(LARGEST_ANSWERS).decode("utf-8", "replace").strip().splitlines()


def _lines(file: IO[bytes]) -> list[Any]:
    """Return what was told of the cells."""
    lines = []
    for text in _read(file):
        with suppress(ValueError, RecursionError):
            lines.append(json.loads(text))
    return [line for line in lines if isinstance(line, dict) and "cell" in line]


def _end_everything(process: "subprocess.Popen[bytes]", name: str) -> None:
    """End the process, its descendants, and whatever slipped away but still carries the job's name."""
    with suppress(psutil.Error):
        for child in psutil.Process(process.pid).children(recursive=True):
            with suppress(psutil.Error):
                child.kill()
    if hasattr(os, "killpg"):
        with suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
    process.kill()
    process.wait()
    deadline = time.monotonic() + _KILL_SECONDS
    while (left := _still_running(name)) and time.monotonic() < deadline:
        for stray in left:
            with suppress(psutil.Error):
                stray.kill()
        psutil.wait_procs(left, timeout=0.2)


def _still_running(name: str) -> list[psutil.Process]:
    found = []
    for process in psutil.process_iter():
        with suppress(psutil.Error, OSError):
            if process.environ().get(_JOB_VARIABLE) == name and process.status() != psutil.STATUS_ZOMBIE:
                found.append(process)
    return found
