"""Mark a class of hostile worksheets with the real command, as root, as an ordinary user, with limits only.

While the command runs, its processes are watched: how many there are, what they hold in memory and on
disk, and which of them are left when it has ended.
"""

import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

import psutil

import acpower
from acpower.marking import sandbox

AS_ROOT, AS_USER, LIMITS_ONLY = "root", "ordinary user", "limits only"
BY_ROOT = hasattr(os, "geteuid") and os.geteuid() == 0
ROUTES = (AS_ROOT, AS_USER, LIMITS_ONLY) if BY_ROOT else (AS_USER, LIMITS_ONLY)
ORDINARY_USER = 4000
"""A user number without an account, for runs as an ordinary user where the tests are run by root."""
SECRET = "of-the-instructor-8d2f61"
SECONDS = {AS_ROOT: (4, 14), AS_USER: (4, 14), LIMITS_ONLY: (6, 60)}
"""The limits of time for a cell and for a worksheet; an ordinary kernel takes longer to import anything."""
_TESTS = Path(__file__).parent
_LOOK_AGAIN = 0.2
_GONE_SECONDS = 2.0
_YOUNG_SECONDS = 3.0  # later no process is given other words


@dataclass
class Peak:
    """The most that was seen at one time while a command ran."""

    processes: int = 0
    memory: int = 0
    disk: int = 0
    seconds: float = 0.0
    ages: dict[str, float] = field(default_factory=dict)
    """How long the oldest process with a tag in its words was seen, in seconds."""


@dataclass
class Outcome:
    """What one command came to."""

    status: int
    said: str
    peak: Peak
    left: list[str]


def new_place() -> Path:
    """Return a new folder that belongs to the ordinary user and that this user can reach."""
    place = Path(tempfile.mkdtemp(prefix="hostile-", dir="/tmp"))
    place.chmod(0o755)
    return place


def give(place: Path) -> None:
    """Give everything in a folder to the ordinary user, so that nothing but isolation protects it."""
    if BY_ROOT:
        for path in (place, *place.rglob("*")):
            os.chown(path, ORDINARY_USER, ORDINARY_USER, follow_symlinks=False)


def run_command(route: str, words: Sequence[str], place: Path, timeout: float) -> Outcome:
    """Run ``acpower`` with some words on a route, and watch it."""
    script = (
        _TESTS / "limits_only_command.py" if route == LIMITS_ONLY else Path(sys.executable).parent / "acpower"
    )
    (place / "tmp").mkdir(exist_ok=True)
    (place / "home").mkdir(exist_ok=True)
    if route != AS_ROOT:
        give(place)
    process = subprocess.Popen(
        [*_as_user(route), sys.executable, str(script), *words],
        env={
            "PATH": os.environ["PATH"],
            "HOME": str(place / "home"),
            "TMPDIR": str(place / "tmp"),
            "MPLCONFIGDIR": str(place / "matplotlib"),
            "LANG": "C.UTF-8",
            "ACPOWER_SECRET": SECRET,
        },
        cwd=place,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        start_new_session=True,
    )
    watch = _Watch(process.pid, place / "tmp")
    try:
        said, _ = process.communicate(timeout=timeout)
    finally:
        watch.end()
        if process.poll() is None:
            watch.kill()
            process.communicate()
    return Outcome(process.returncode, said.decode("utf-8", "replace"), watch.peak, watch.left())


def _as_user(route: str) -> list[str]:
    """Return the words that make a command one of an ordinary user's, who may look into what Python needs."""
    if route == AS_ROOT or not BY_ROOT:
        return []
    words = [
        "setpriv",
        f"--reuid={ORDINARY_USER}",
        f"--regid={ORDINARY_USER}",
        "--clear-groups",
        "--inh-caps=-all",
    ]
    needed = {Path(sys.prefix), Path(sys.base_prefix), Path(acpower.__file__).parent, _TESTS}
    hidden = sorted(path for path in needed if not _open_to_all(path))
    if not hidden:
        return words
    launcher = sandbox.bubblewrap()
    assert launcher is not None
    view = [launcher, "--dev-bind", "/", "/"]
    for top in sorted({Path(*path.parts[:2]) for path in hidden}):
        view += ["--perms", "0755", "--tmpfs", str(top)]
    for path in hidden:
        for parent in reversed(path.parents[:-2]):
            view += ["--perms", "0755", "--dir", str(parent)]
        view += ["--ro-bind", str(path), str(path)]
    return [*view, "--", *words]


def _open_to_all(path: Path) -> bool:
    return all(parent.stat().st_mode & 0o005 == 0o005 for parent in (path, *path.parents))


class _Watch:
    """Looks at a command and all its descendants again and again, in a thread of its own."""

    def __init__(self, pid: int, folder: Path) -> None:
        self.peak = Peak()
        self._root = psutil.Process(pid)
        self._folder = folder
        self._seen: dict[psutil.Process, float] = {self._root: time.monotonic()}
        self._tags: dict[psutil.Process, str] = {}
        self._began = time.monotonic()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        while not self._stop.wait(_LOOK_AGAIN):
            self._look()

    def _look(self) -> None:
        now = time.monotonic()
        alive = []
        for process in self._tree():
            self._seen.setdefault(process, now)
            young = now - self._seen[process] < _YOUNG_SECONDS
            if young and process not in self._tags and (tag := _tag(process)):
                self._tags[process] = tag
            alive.append(process)
            if tag := self._tags.get(process):
                age = now - self._seen[process]
                self.peak.ages[tag] = max(age, self.peak.ages.get(tag, 0.0))
        self.peak.processes = max(self.peak.processes, len(alive))
        self.peak.memory = max(self.peak.memory, sum(map(_memory, alive)))
        self.peak.disk = max(self.peak.disk, _size(self._folder))

    def _tree(self) -> list[psutil.Process]:
        with suppress(psutil.Error):
            return [self._root, *self._root.children(recursive=True)]
        return []

    def end(self) -> None:
        """Stop watching."""
        self.peak.seconds = time.monotonic() - self._began
        self._stop.set()
        self._thread.join()

    def left(self) -> list[str]:
        """Return the words of all that still runs after a short time, and end it."""
        deadline = time.monotonic() + _GONE_SECONDS
        while (left := self._still_running()) and time.monotonic() < deadline:
            time.sleep(0.05)
        words = [f"{process.pid} {' '.join(_cmdline(process))}" for process in left]
        for process in left:
            with suppress(psutil.Error):
                process.kill()
        return words

    def kill(self) -> None:
        """End the command and all its descendants."""
        for process in self._tree():
            with suppress(psutil.Error):
                process.kill()

    def _still_running(self) -> list[psutil.Process]:
        """Return what was seen and still runs, and what runs as somebody who only runs worksheets here."""
        running = [process for process in self._seen if runs(process)]
        if BY_ROOT:
            for process in psutil.process_iter():
                with suppress(psutil.Error):
                    if process.uids().real == ORDINARY_USER and runs(process) and process not in running:
                        running.append(process)
        for process in psutil.process_iter():
            if _tag(process) and process not in running:
                running.append(process)
        return running


def runs(process: psutil.Process) -> bool:
    """Tell whether a process runs; one that has ended and is still listed does not."""
    with suppress(psutil.Error):
        return bool(process.is_running() and process.status() != psutil.STATUS_ZOMBIE)
    return False


def _tag(process: psutil.Process) -> str:
    return next((word for word in _cmdline(process) if word.startswith("hostile-tag-")), "")


def _cmdline(process: psutil.Process) -> list[str]:
    with suppress(psutil.Error):
        return list(process.cmdline())
    return []


def _memory(process: psutil.Process) -> int:
    with suppress(psutil.NoSuchProcess):
        try:
            return int(process.memory_full_info().pss)
        except psutil.AccessDenied:
            return int(process.memory_info().rss)
    return 0


def _size(folder: Path) -> int:
    """Return what a folder takes on disk, however deep it is and whatever goes away meanwhile."""
    total, waiting = 0, [str(folder)]
    while waiting:
        with suppress(OSError), os.scandir(waiting.pop()) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    waiting.append(entry.path)
                with suppress(OSError):
                    total += entry.stat(follow_symlinks=False).st_blocks * 512
    return total
