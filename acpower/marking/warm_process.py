"""A Python that stands ready with all that worksheets import: each worksheet runs in a copy of it.

``python -m acpower.marking.warm_process SOCKET REHEARSAL`` runs a cell as a rehearsal, then waits for
orders. For each it forks twice. The first child enters the sandbox and gives up its rights, but keeps
its place among the processes outside, where it can tell when the worksheet has ended. The second child
is inside and runs the cells. Nothing of a worksheet comes into this process: cells go straight there.

A message is one packet of JSON. Inwards: the ``variables`` and ``files`` of the worksheet, then pieces of
``source`` and whether each is the ``last``. Outwards: what was ``printed``, an ``answer``, an ``error``
with its words, and that a cell has ``ended``. The other end is `warm_kernel`, which believes none of it.
"""

import builtins
import gc
import io
import json
import os
import resource
import signal
import socket
import sys
import tempfile
from pathlib import Path
from typing import Any, NoReturn

from IPython.core.displaypub import DisplayPublisher
from IPython.core.error import StdinNotImplementedError
from IPython.core.interactiveshell import InteractiveShell
from traitlets import Type
from traitlets.config import Config

from acpower.marking import sandbox
from acpower.worksheets.answering import ANSWER_FORMAT, MARKING_VARIABLE

LONGEST_MESSAGE = 128 * 1024  # bytes
_LONGEST_PRINTED = 8 * 1024  # characters; as JSON each takes up to twelve bytes
_LONGEST_NAME, _LONGEST_WORDS = 100, 2000  # characters of an error
_LIMITS = (
    (resource.RLIMIT_AS, 1024**3),  # bytes of address space for each process
    (resource.RLIMIT_FSIZE, sandbox.SCRATCH_BYTES),
    (resource.RLIMIT_CORE, 0),
    (resource.RLIMIT_NOFILE, 64),  # what sockets and pipes hold is in no process's memory
    (resource.RLIMIT_NPROC, 32),  # processes and threads of one worksheet
)


def main(socket_file: int, rehearsal: str) -> None:
    """Wait for orders until the other end of the socket is closed."""
    with tempfile.TemporaryDirectory() as settings:
        os.environ["IPYTHONDIR"] = settings  # else the shell makes a folder in the home folder
        shell: Any = WorksheetShell.instance(config=Config(HistoryManager={"enabled": False}))
        os.environ[MARKING_VARIABLE] = "{}"
        shell.run_cell(rehearsal).raise_error()  # loads and prepares what each worksheet needs again
        shell.reset(new_session=False)
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # children that have ended are forgotten
    gc.collect()
    gc.freeze()  # a copy shares memory with the original for longer
    with socket.socket(fileno=socket_file) as orders:
        while True:
            order, files, _, _ = socket.recv_fds(orders, LONGEST_MESSAGE, 2)
            if not order:
                return
            if os.fork() == 0:
                orders.close()
                _run_worksheet(shell, json.loads(order), *files)
            for file in files:
                os.close(file)


def _run_worksheet(shell: "WorksheetShell", order: dict[str, Any], link: int, life: int) -> NoReturn:
    """Enter the sandbox and execute a worksheet there; ``life`` is closed when that has ended."""
    try:
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        os.dup2(0, 2)  # the null device; nothing but messages comes out
        sandbox.enter(order["first_process"], order["user"])
        inside = os.fork()
        if inside:
            os.close(link)
            signal.signal(signal.SIGINT, lambda *_: os.kill(inside, signal.SIGINT))
            os.write(life, str(os.getpid()).encode())
            os.waitpid(inside, 0)
        else:
            os.setsid()  # else kill(0, ...) inside ends or stops the whole group of processes outside
            os.close(life)
            _execute(shell, socket.socket(fileno=link))
    finally:
        os._exit(0)


def _execute(shell: Any, link: socket.socket) -> None:
    for kind, limit in _LIMITS:
        resource.setrlimit(kind, (limit, limit))
    shell.link = link
    prepare = json.loads(link.recv(LONGEST_MESSAGE))
    os.environ.update(prepare["variables"], HOME=sandbox.SCRATCH, TMPDIR=sandbox.SCRATCH)
    tempfile.tempdir = None  # the one outside, which it remembers, is not there
    for name, text in prepare["files"].items():
        Path(name).write_text(text, encoding="utf-8")
    number = 0
    while (source := _source(link)) is not None:
        try:
            signal.signal(signal.SIGINT, signal.default_int_handler)
            shell.run_cell(source)
        except KeyboardInterrupt:  # it came while the shell was at work, not the cell
            shell.send({"error": "KeyboardInterrupt", "says": ""})
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # one that comes late ends no cell
        sys.stdout.flush()
        shell.send({"ended": number})
        number += 1


def _source(link: socket.socket) -> str | None:
    """Return the source of the next cell, which may be longer than a message; None after the last one."""
    pieces = []
    while piece := link.recv(LONGEST_MESSAGE):
        message = json.loads(piece)
        pieces.append(message["source"])
        if message["last"]:
            return "".join(pieces)
    return None


class _Answers(DisplayPublisher):
    """Sends answers on; what else a cell displays nobody will look at."""

    def publish(self, data: dict[str, Any], *_: Any, **__: Any) -> None:
        if ANSWER_FORMAT in data:
            self.shell.send({"answer": json.dumps(data[ANSWER_FORMAT])})


class WorksheetShell(InteractiveShell):
    """IPython's shell, with what matters of its output sent over a socket."""

    display_pub_class = Type(_Answers)
    system = InteractiveShell.system_raw  # the other one wants a terminal
    link: socket.socket | None = None

    def __init__(self, **settings: Any) -> None:
        super().__init__(**settings)  # type: ignore[no-untyped-call]
        self.InteractiveTB.set_mode("Minimal")
        sys.stdout = sys.stderr = _Printed(self)
        builtins.input = _no_input

    def send(self, message: dict[str, Any]) -> None:
        """Send one message while a worksheet runs; one that is too long raises an OSError in its cell."""
        if self.link is not None:
            self.link.sendall(json.dumps(message).encode("ascii"))

    def ask_exit(self) -> None:
        """Take ``exit()`` for what it is: only its own cell ends."""
        raise SystemExit

    def _showtraceback(self, kind: type[BaseException], problem: BaseException, _lines: list[str]) -> None:
        try:
            words = str(problem)
        except Exception:
            words = ""
        self.send({"error": kind.__name__[:_LONGEST_NAME], "says": words[:_LONGEST_WORDS]})


class _Printed(io.TextIOBase):
    """What a cell prints, sent on in pieces."""

    def __init__(self, shell: WorksheetShell) -> None:
        self._shell = shell
        self._text = ""

    def write(self, text: str) -> int:
        self._text += text
        if len(self._text) >= _LONGEST_PRINTED:
            self.flush()
        return len(text)

    def flush(self) -> None:
        text, self._text = self._text, ""
        for start in range(0, len(text), _LONGEST_PRINTED):
            self._shell.send({"printed": text[start : start + _LONGEST_PRINTED]})


def _no_input(_prompt: object = "") -> NoReturn:
    raise StdinNotImplementedError("A worksheet that is marked has nobody to ask for input.")


if __name__ == "__main__":
    main(int(sys.argv[1]), sys.argv[2])
