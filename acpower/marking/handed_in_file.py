"""Read one file that was handed in: no link and no device, no more than there may be, and no waiting."""

import os
import stat
from pathlib import Path

from acpower.marking.submission import NotUsable

LARGEST_FILE = 10 * 1024 * 1024
# A link that takes the file's place in between is refused, and a pipe is not waited for. Windows has neither.
_CAREFULLY = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)


def check_is_file(path: Path) -> None:
    """Refuse what is no file of its own."""
    if os.path.isdir(path) and not os.path.islink(path):
        raise NotUsable(
            "refused",
            "bad-file",
            "This folder cannot be opened, so nothing in it was marked. Check who may read it.",
        )
    if os.path.islink(path) or not os.path.isfile(path):
        raise NotUsable(
            "refused", "unsafe-name", "This is a link or a device, not a file. Ask for the file itself."
        )


def read_file(path: Path) -> tuple[bytes, float]:
    """Return what a file holds and when it was saved, in seconds since 1970."""
    check_is_file(path)
    try:
        with open(path, "rb", opener=lambda name, flags: os.open(name, flags | _CAREFULLY)) as file:
            about = os.fstat(file.fileno())
            if not stat.S_ISREG(about.st_mode):
                raise OSError(0, "it is no file")
            content = b"" if about.st_size > LARGEST_FILE else file.read(LARGEST_FILE + 1)
    except OSError as problem:
        raise NotUsable(
            "refused", "bad-file", f"The file cannot be read ({problem.strerror}). Check who may read it."
        ) from None
    size = max(about.st_size, len(content))
    if size > LARGEST_FILE:
        raise NotUsable(
            "refused",
            "too-large",
            f"The file has {size // 2**20} MB; at most {LARGEST_FILE // 2**20} MB are taken in. Ask for a copy "
            "with the outputs cleared.",
        )
    return content, about.st_mtime
