"""nbval's kernel interface over a warm process: each worksheet in a fresh copy, in a sandbox of its own.

nbval sends cells and reads messages as from any kernel. What comes out of the sandbox is bounded
packets of JSON; one that `warm_process` would not have sent ends the worksheet.
"""

import json
import os
import random
import select
import signal
import socket
import subprocess
import sys
import time
from collections import deque
from contextlib import suppress
from pathlib import Path
from queue import Empty
from typing import Any, NoReturn

import psutil

from acpower.marking import sandbox
from acpower.marking.clean_environment import clean_environment
from acpower.marking.kernel_ended import LARGEST_OUTPUT, STARTUP_SECONDS, WORKSHEET_TIME_UP, KernelEnded
from acpower.marking.warm_process import LONGEST_MESSAGE
from acpower.worksheets.answering import ANSWER_FORMAT

LARGEST_TREE = 1024**3  # bytes of memory of all processes of one worksheet
_SEND_SECONDS = 5.0
_LOOK_AGAIN = 0.1  # seconds between two looks at the memory of a worksheet
_PIECE = 8 * 1024  # characters of a cell in one message
_PACKAGE = Path(sandbox.__file__).parent.parent
# By whether the worksheets are for marks: what the first cell of each does, and what none must find.
_REHEARSAL = {
    False: """
from acpower.worksheets import job_card
from acpower.worksheets.schemes import WORKSHEETS
for worksheet in WORKSHEETS.values():
    job = job_card(worksheet.name, version=worksheet.version)
    job.record(worksheet.questions[0].name, 1.5)
job
""",
    True: """
from acpower.worksheets import marked_card
job = marked_card(
    "rehearsal", version="1", apprentice="A01", numbers=[("voltage", 230, "V", "Voltage")], questions=["power"]
)
job.record("power", 1.5)
job
""",
}
_HIDDEN = {
    False: [_PACKAGE / "marking"],
    True: [_PACKAGE / "marking", _PACKAGE / "worksheets" / "schemes"],
}
Message = dict[str, Any]


class WarmPython:
    """A Python that stands ready, and the next sandbox, which is made while a worksheet still runs."""

    def __init__(self, home: Path, *, for_marks: bool) -> None:
        self._hidden = _HIDDEN[for_marks]
        self._orders, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        with theirs:
            self._process = subprocess.Popen(
                [
                    sys.executable,
                    "-P",
                    "-m",
                    "acpower.marking.warm_process",
                    str(theirs.fileno()),
                    _REHEARSAL[for_marks],
                ],
                env=clean_environment(home),
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                pass_fds=(theirs.fileno(),),
            )
        self._next = sandbox.Sandbox(self._hidden)

    def start(self, prepare: Message, seconds: float) -> "WarmKernel":
        """Start a kernel for one worksheet, which may take so many seconds."""
        ready, self._next = self._next, sandbox.Sandbox(self._hidden)
        return WarmKernel(ready, self._orders, prepare, seconds)


class WarmKernel:
    """What nbval asks of a kernel, for one worksheet."""

    def __init__(
        self, inside: sandbox.Sandbox, orders: socket.socket, prepare: Message, seconds: float
    ) -> None:
        self._sandbox = inside
        self._link, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        read, life = os.pipe()
        self._life = os.fdopen(read, "rb", buffering=0)
        self._first_process = inside.first_process()
        order = {
            "first_process": self._first_process,
            "user": sandbox.user_for(random.getrandbits(32)),
        }
        socket.send_fds(orders, [json.dumps(order).encode()], [theirs.fileno(), life])
        theirs.close()
        os.close(life)
        ready, _, _ = select.select([self._life], [], [], STARTUP_SECONDS)
        words = self._life.read(32) if ready else b""
        self._alive = bool(words)
        if not words:
            self.stop()
            raise KernelEnded("kernel-not-started", "the copy of the warm Python did not start")
        self._stands_by = int(words)
        self._ends_at = time.monotonic() + seconds
        self._look_at = time.monotonic() + _LOOK_AGAIN
        self._cell = -1
        self._received = 0
        self._messages: deque[Message] = deque()
        self._send({name: prepare[name] for name in ("variables", "files")})

    def execute_cell_input(self, source: str, allow_stdin: bool | None = None) -> str:
        """Send the source of a cell; return the name by which messages belong to it."""
        self._cell += 1
        self._received = 0
        self._messages.clear()
        for start in range(0, len(source) or 1, _PIECE):
            self._send({"source": source[start : start + _PIECE], "last": start + _PIECE >= len(source)})
        return str(self._cell)

    def await_reply(self, cell: str, timeout: float) -> None:
        """Wait until the cell has ended, and keep what comes before."""
        self._await_ended(timeout)

    def await_idle(self, cell: str, timeout: float) -> None:
        """Wait until the cell has ended, and drop what comes before."""
        self._await_ended(timeout)
        self._messages.clear()

    def get_message(self, stream: str, timeout: float) -> Message:
        """Return the next message of the cell."""
        if not self._messages:
            self._read(time.monotonic() + timeout)
        return self._messages.popleft()

    def is_alive(self) -> bool:
        """Whether the worksheet can still run cells."""
        return self._alive

    def interrupt(self) -> None:
        """Ask the cell to stop."""
        with suppress(ProcessLookupError):
            os.kill(self._stands_by, signal.SIGINT)

    def stop(self) -> None:
        """End the worksheet and all that it has started."""
        self._alive = False
        self._sandbox.end()
        self._link.close()
        self._life.close()

    def _end(self, code: str, says: str) -> NoReturn:
        self.stop()
        raise KernelEnded(code, says)

    def _send(self, message: Message) -> None:
        """Send a message; a worksheet that reads none any more is ended."""
        gives_up_at = time.monotonic() + _SEND_SECONDS
        while not select.select([], [self._link], [], _LOOK_AGAIN)[1]:
            self._look_after()
            if time.monotonic() >= gives_up_at:
                self._end("channel-misused", "it took no more cells")
        self._look_after()
        try:
            self._link.sendall(json.dumps(message).encode("ascii"))
        except OSError:
            self._end("kernel-died", "the notebook's process ended")

    def _await_ended(self, timeout: float) -> None:
        ends_at = time.monotonic() + timeout
        while not (self._messages and self._messages[-1]["msg_type"] == "status"):
            self._read(ends_at)

    def _read(self, ends_at: float) -> None:
        """Wait for one message and keep it; raise Empty when the time is up."""
        while True:
            self._look_after()
            now = time.monotonic()
            wait = max(0.0, min(ends_at - now, _LOOK_AGAIN))
            ready, _, _ = select.select([self._link.fileno(), self._life.fileno()], [], [], wait)
            if self._link.fileno() in ready:
                packet = self._link.recv(LONGEST_MESSAGE)
                if packet:
                    self._take(packet)
                    return
            if ready:  # one of the two is closed, and so no message will come
                self._end("kernel-died", "the notebook's process ended")
            if now >= ends_at:
                raise Empty

    def _look_after(self) -> None:
        """End a worksheet whose time is up, or that takes too much memory."""
        if time.monotonic() >= self._ends_at:
            self._end("timeout", WORKSHEET_TIME_UP)
        if time.monotonic() >= self._look_at:
            self._look_at_memory()
            self._look_at = time.monotonic() + _LOOK_AGAIN

    def _take(self, packet: bytes) -> None:
        self._received += len(packet)
        if self._received > LARGEST_OUTPUT:
            self._end("output-limit", f"the cell printed more than {LARGEST_OUTPUT} characters")
        try:
            message = json.loads(packet)
            kind, content = _in_nbval_terms(message, self._cell)
        except (ValueError, AttributeError, TypeError, RecursionError):
            self._end("channel-misused", "it sent what is no message of a worksheet")
        self._messages.append(
            {"msg_type": kind, "parent_header": {"msg_id": str(self._cell)}, "content": content}
        )

    def _look_at_memory(self) -> None:
        """End a worksheet whose processes together take too much: the system's limits are for each alone."""
        # A process whose parent has ended becomes a child of the first process inside.
        processes = [*_descendants(self._stands_by), *_descendants(self._first_process)]
        # What copies of one process share is counted in each of them; so count again, more slowly.
        if sum(map(_memory, processes)) > LARGEST_TREE and sum(map(_own_memory, processes)) > LARGEST_TREE:
            self._end("memory", f"it took more than {LARGEST_TREE // 2**20} MiB of memory")


def _descendants(process: int) -> list[psutil.Process]:
    with suppress(psutil.Error):
        return list(psutil.Process(process).children(recursive=True))
    return []


def _memory(process: psutil.Process) -> int:
    with suppress(psutil.Error):
        return int(process.memory_info().rss)
    return 0


def _own_memory(process: psutil.Process) -> int:
    """Return the memory of a process with its part of what it shares; all, where it hides that."""
    try:
        return int(process.memory_full_info().pss)
    except psutil.Error:
        return _memory(process)


def _in_nbval_terms(message: Message, cell: int) -> tuple[str, Message]:
    """Return kind and content of a message as nbval reads them; refuse what is no message.

    >>> _in_nbval_terms({"printed": "12"}, 0)
    ('stream', {'name': 'stdout', 'text': '12'})
    >>> _in_nbval_terms({"ended": 1}, 0)
    Traceback (most recent call last):
    ...
    ValueError: no message of this cell
    """
    if message == {"ended": cell} and type(message["ended"]) is int:
        return "status", {"execution_state": "idle"}
    if all(isinstance(words, str) for words in message.values()):
        if set(message) == {"printed"}:
            return "stream", {"name": "stdout", "text": message["printed"]}
        if set(message) == {"answer"}:
            return "display_data", {"data": {ANSWER_FORMAT: message["answer"]}, "metadata": {}}
        if set(message) == {"error", "says"}:
            return "error", {"ename": message["error"], "evalue": message["says"], "traceback": []}
    raise ValueError("no message of this cell")
