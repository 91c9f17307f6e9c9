"""Which isolation this machine gives to worksheets that are marked: probed, told in words, put on record.

The probe is a worksheet that tries, harmlessly, what a hostile one would: to see a file outside, to
change the Python installation, to reach the network, to leave a process behind.
"""

import json
import os
import socket
import tempfile
import time
import uuid
from collections.abc import Callable
from contextlib import closing
from functools import cache

import psutil

from acpower.marking import limits_only, sandbox
from acpower.marking.run import Limits
from acpower.marking.user_mistake import UserMistake
from acpower.marking.workers import LimitsOnlyWorker, WarmWorker, Worker
from acpower.worksheets.answering import MARKING_VARIABLE
from acpower.worksheets.answers import shortened

FULL, LIMITS_ONLY = "full", "limits only"
_FULL_IN_WORDS = (
    "full: worksheets run without network, see the Python installation read-only and write to one scratch "
    "folder each."
)
_LIMITS_IN_WORDS = (
    "limits only: each worksheet runs in a process and folder of its own with limits of time and size, but it "
    "could read and write what {account} can. Mark worksheets only from people you know."
)
_PROBE_LIMITS = Limits(cell_seconds=20.0, worksheet_seconds=60.0)
_GONE_SECONDS = 2.0
_TRIES_OF_PROBE = 3
_TRIES = """
import os, socket, subprocess, sys
import acpower
from acpower.worksheets.answering import hand_out_answer

def attempt(what, how):
    try:
        how()
        hand_out_answer(what, "done")
    except OSError:
        hand_out_answer(what, "refused")

attempt("see a file outside", lambda: open(os.environ["OUTSIDE"]).close())
attempt("change the Python installation", lambda: open(acpower.__file__, "a").close())
attempt("reach the network", lambda: socket.create_connection(("127.0.0.1", int(os.environ["PORT"])), 2).close())
attempt("start a process", lambda: subprocess.Popen(
    [sys.executable, "-c", "import time; time.sleep(60)", os.environ["TAG"]], start_new_session=True))
"""
_INSIDE = {
    "see a file outside": "refused",
    "change the Python installation": "refused",
    "reach the network": "refused",
    "start a process": "done",
}


@cache
def _probed() -> tuple[str, str]:
    """Return the level of isolation, and what the probe saw where it is not the full one."""
    saw = "bubblewrap is not there"
    if sandbox.bubblewrap() is not None:
        for _ in range(_TRIES_OF_PROBE):  # a machine that is too busy for a probe may be full of worksheets
            saw = _seen(lambda: WarmWorker(for_marks=False), _INSIDE)
            if not saw:
                return FULL, ""
    if outside := _seen(LimitsOnlyWorker, {"start a process": "done"}):
        raise UserMistake(
            "Worksheets cannot be run apart from everything else on this machine, and so nothing is marked here "
            f"({outside}). Look whether “acpower demo” works on another one."
        )
    return LIMITS_ONLY, saw


def level() -> str:
    """Return which isolation this machine gives; the first call tries it out.

    Raises
    ------
    UserMistake
        Not even the limits hold here: a process that a worksheet leaves behind is not ended.
    """
    return _probed()[0]


def in_words(isolation: str) -> str:
    """Say what a level of isolation means."""
    if isolation == FULL:
        return _FULL_IN_WORDS
    root = hasattr(os, "geteuid") and os.geteuid() == 0 and limits_only.ordinary_user() is None
    return _LIMITS_IN_WORDS.format(account="root" if root else "this account")


def check(*, accept_limits_only: bool) -> None:
    """Refuse to mark without full isolation, unless the instructor has said so."""
    if level() != FULL and not accept_limits_only:
        raise UserMistake(
            f"This machine gives no full isolation ({_probed()[1]}), and nothing was marked. It gives "
            f"{in_words(LIMITS_ONLY)} If that will do, add --limits-only to the command, or tick the box in the "
            "panel. Full isolation needs Linux with bubblewrap."
        )


def new_worker(*, for_marks: bool) -> Worker:
    """Start a worker in the isolation that is in force."""
    return WarmWorker(for_marks=for_marks) if level() == FULL else LimitsOnlyWorker()


def _seen(new_worker: Callable[[], Worker], expected: dict[str, str]) -> str:
    """Run the probe; say what came otherwise than expected, if anything did."""
    tag = f"acpower-probe-{uuid.uuid4().hex}"
    with tempfile.NamedTemporaryFile() as outside, closing(socket.create_server(("127.0.0.1", 0))) as server:
        variables = {
            MARKING_VARIABLE: "{}",
            "OUTSIDE": outside.name,
            "PORT": str(server.getsockname()[1]),
            "TAG": tag,
        }
        worker = new_worker()
        try:
            ((_, told),) = worker.run(
                [{"cells": [_TRIES], "variables": variables, "files": {}}], _PROBE_LIMITS
            )
        finally:
            worker.end()
            worker.close()
    records = [json.loads(record) for line in told.lines for record in line["records"]]
    found = {record["question"]: record["answer"]["text"] for record in records}
    for attempt, outcome in expected.items():
        if found.get(attempt) != outcome:
            stopped = [line["says"] for line in told.lines if line["code"]] or [told.last_words]
            return f"a worksheet that tried to {attempt}: {found.get(attempt) or shortened(stopped[0])}"
    deadline = time.monotonic() + _GONE_SECONDS
    while _is_running(tag):
        if time.monotonic() >= deadline:
            return "a process that a worksheet has left still runs"
        time.sleep(0.05)
    return ""


def _is_running(tag: str) -> bool:
    return any(tag in (process.info["cmdline"] or ()) for process in psutil.process_iter(["cmdline"]))
