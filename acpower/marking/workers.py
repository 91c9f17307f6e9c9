"""Run many worksheets at once, each worker one after the other."""

import json
import os
import queue
import select
import subprocess
import sys
import tempfile
import threading
from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Any, Protocol

from acpower.marking import limits_only
from acpower.marking.clean_environment import clean_environment
from acpower.marking.run import Data, Limits, Told, order_for

MOST_AT_ONCE = 50  # worksheets of one order; pytest starts anew for each order
_SILENT_SECONDS = 60.0  # beyond the time of a worksheet, until a worker counts as dead
_LARGEST_READ = 1024**2


class Worker(Protocol):
    """Runs worksheets one after the other."""

    def run(self, worksheets: Sequence[Data], limits: Limits) -> Iterator[tuple[int, Told]]:
        """Yield the place of each worksheet and what was told of its run, as soon as it has run."""

    def end(self) -> None:
        """End the worker at once; may be called while another thread runs worksheets."""

    def close(self) -> None:
        """Give back what the worker has taken of the machine, when it has ended."""


def run_all(
    worksheets: Sequence[Data], limits: Limits, new_worker: Callable[[], Worker]
) -> Generator[tuple[int, Told], None, None]:
    """Run all worksheets on all cores; yield the place of each and what was told, as they end.

    Whoever closes this generator early ends the worksheets that still run.
    """
    waiting = deque(range(len(worksheets)))
    ended: queue.Queue[tuple[int, Told] | BaseException] = queue.Queue()
    at_once = min(cores(), len(worksheets))
    lock = threading.Lock()

    def take() -> list[int]:
        with lock:  # smaller orders towards the end, so that all workers end at about the same time
            size = max(1, min(MOST_AT_ONCE, len(waiting) // (2 * at_once)))
            return [waiting.popleft() for _ in range(min(size, len(waiting)))]

    def work(worker: Worker) -> None:
        try:
            while places := take():
                for place, told in worker.run([worksheets[one] for one in places], limits):
                    ended.put((places[place], told))
        except BaseException as problem:
            ended.put(problem)

    with ExitStack() as at_the_end:
        for _ in range(at_once):
            worker = new_worker()
            thread = threading.Thread(target=work, args=(worker,), daemon=True)
            at_the_end.callback(worker.close)
            at_the_end.callback(thread.join)
            at_the_end.callback(worker.end)
            thread.start()
        at_the_end.callback(waiting.clear)
        for _ in worksheets:
            outcome = ended.get()
            if isinstance(outcome, BaseException):
                raise outcome
            yield outcome


def cores() -> int:
    """Return how many worksheets run at once on this machine."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


class LimitsOnlyWorker:
    """Runs each worksheet in an ordinary kernel, in a process of its own that is thrown away."""

    def __init__(self) -> None:
        self._stop = threading.Event()

    def run(self, worksheets: Sequence[Data], limits: Limits) -> Iterator[tuple[int, Told]]:
        """Yield the place of each worksheet and what was told of its run."""
        for place, worksheet in enumerate(worksheets):
            if not self._stop.is_set():
                yield place, limits_only.run_worksheet(worksheet, limits, self._stop)

    def end(self) -> None:
        """End the worksheet that runs."""
        self._stop.set()

    def close(self) -> None:
        """Do nothing: each worksheet has cleaned up behind itself."""


class WarmWorker:
    """Runs worksheets in full isolation, in a process that stays, and that is replaced if it dies."""

    def __init__(self, *, for_marks: bool) -> None:
        self._route = "marks" if for_marks else "practice"
        self._ended = False
        self._start()

    def _start(self) -> None:
        self._home = tempfile.TemporaryDirectory(prefix="acpower-", ignore_cleanup_errors=True)
        home = Path(self._home.name)
        self._log = (home / "log").open("w+b")
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", "acpower.marking.worker", self._route],
            cwd=home,
            env=clean_environment(home),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self._log,
            start_new_session=True,
        )

    def run(self, worksheets: Sequence[Data], limits: Limits) -> Iterator[tuple[int, Told]]:
        """Yield the place of each worksheet and what was told of its run.

        What a lost process has not finished is run once more, each worksheet alone.
        """
        again = []
        for place, lines, all_told in self._order(worksheets, limits):
            if all_told:
                yield place, Told(lines)
            else:
                again.append(place)
        for place in again:
            if not self._ended:
                ((_, lines, all_told),) = self._order([worksheets[place]], limits)
                yield place, Told(lines, "" if all_told else self._last_words())

    def _order(self, worksheets: Sequence[Data], limits: Limits) -> Iterator[tuple[int, list[Any], bool]]:
        """Give one order; yield place, lines, and whether the process has told all there is to tell."""
        if self._process.poll() is not None and not self._ended:
            self.close()
            self._start()
        order = order_for(worksheets, limits)
        lines: dict[int, list[Any]] = {place: [] for place in range(len(worksheets))}
        done = False
        for line in self._lines(order, limits.worksheet_seconds + _SILENT_SECONDS):
            if done := "done" in line:
                break
            place = line["worksheet"]
            lines[place].append(line)
            if len(lines[place]) == len(worksheets[place]["cells"]):
                yield place, lines.pop(place), True
        for place, some in lines.items():
            yield place, some, done

    def _lines(self, order: dict[str, Any], silent_seconds: float) -> Iterator[Any]:
        """Write an order and yield the lines that answer it, until the process dies or falls silent."""
        assert self._process.stdin
        assert self._process.stdout
        try:
            self._process.stdin.write(json.dumps(order).encode() + b"\n")
            self._process.stdin.flush()
        except BrokenPipeError:
            return
        text = b""
        while select.select([self._process.stdout], [], [], silent_seconds)[0]:
            more = os.read(self._process.stdout.fileno(), _LARGEST_READ)
            if not more:
                return
            *whole, text = (text + more).split(b"\n")
            yield from map(json.loads, whole)
        self._process.kill()

    def _last_words(self) -> str:
        self._log.seek(0)
        words = self._log.read().decode("utf-8", "replace").strip().splitlines()
        return words[-1] if words else ""

    def end(self) -> None:
        """End the process and all worksheets that it runs."""
        self._ended = True
        self._process.kill()

    def close(self) -> None:
        """Wait for the end of the process, and remove its folder."""
        assert self._process.stdin
        assert self._process.stdout
        self._process.wait()
        with suppress(BrokenPipeError):
            self._process.stdin.close()
        self._process.stdout.close()
        self._log.close()
        self._home.cleanup()
