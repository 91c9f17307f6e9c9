"""A folder for one run, removed whatever the run has left in it."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path


@contextmanager
def scratch_folder() -> Iterator[Path]:
    """Give a new folder, and remove it afterwards with all that is in it."""
    place = Path(tempfile.mkdtemp(prefix="acpower-")).resolve()
    try:
        yield place
    finally:
        remove(place)


def remove(folder: Path) -> None:
    """Remove a folder, however deep, without recursion and without following links.

    Each folder inside is first moved to the top, so that no path grows longer than the system
    allows.
    """
    waiting = [folder]
    count = 0
    while waiting:
        here = waiting.pop()
        try:
            here.chmod(0o700)  # a worksheet may have closed it
            entries = list(os.scandir(here))
        except OSError:
            continue
        for entry in entries:
            with suppress(OSError):
                if not entry.is_dir(follow_symlinks=False):
                    os.unlink(entry.path)
                elif here == folder:
                    waiting.append(Path(entry.path))
                else:
                    count += 1
                    lifted = folder / f"lifted-{count}"
                    os.rename(entry.path, lifted)
                    waiting.append(lifted)
        if here != folder:
            with suppress(OSError):
                here.rmdir()
    with suppress(OSError):
        folder.rmdir()
