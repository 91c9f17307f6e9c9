"""Open the course in JupyterLab, on this computer alone.

Whatever an apprentice has written stays: a file that is there already is never overwritten.
"""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

from acpower.notebooks import canonical, folder
from acpower.region import choose_region

_PACKAGE = Path(__file__).parent


def study(directory: Path | None = None, region: str | None = None) -> int:
    """Open the course in JupyterLab and wait until it is closed.

    Parameters
    ----------
    directory
        Where the lessons and worksheets are copied to before they are opened: ``acpower-course`` in
        the current folder without it. The course's own files are never opened, since JupyterLab
        writes into what it opens.
    region
        Region that the lessons follow, a key of `acpower.region.REGIONS`. Without it, the
        one in use stays.

    Returns
    -------
    int
        JupyterLab's exit code: 0 when it was ended with Ctrl-C or from its File menu.

    Raises
    ------
    ValueError
        If ``directory`` is, or lies below, a file, or there is no such region.
    """
    if region is not None:
        choose_region(region)  # the kernels inherit it with the environment
    directory = directory or Path("acpower-course")
    _say_what_was_kept(copy_course(directory))
    print(
        f"The course is in {directory.resolve()}. File > Shut Down, or Ctrl-C in this window, ends JupyterLab.",
        flush=True,
    )
    with subprocess.Popen(study_command(directory), env=study_environment()) as server:
        # JupyterLab gets the same Ctrl-C and answers it: it asks, closes its kernels and ends.
        answer_to_ctrl_c = signal.signal(signal.SIGINT, signal.SIG_IGN)
        try:
            return server.wait()
        finally:
            signal.signal(signal.SIGINT, answer_to_ctrl_c)


def copy_course(directory: Path) -> list[Path]:
    """Copy the lessons and worksheets and return the files that were kept instead.

    Parameters
    ----------
    directory
        The folder that will hold ``course`` and ``exercises``; made where it is missing.

    Returns
    -------
    list of Path
        Files that were there before and hold something else than the package's: they may hold
        answers and stay as they are. Results of running a notebook do not count. Paths are relative
        to ``directory``.

    Raises
    ------
    ValueError
        If ``directory`` is, or lies below, a file.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as place:
    ...     copy_course(Path(place))
    ...     answered = Path(place, "course", "02-read-ac.ipynb")
    ...     _ = answered.write_text("230 V is an RMS value", encoding="utf-8")
    ...     [path.as_posix() for path in copy_course(Path(place))]
    []
    ['course/02-read-ac.ipynb']
    """
    kept = []
    for name in ("course", "exercises"):
        for source in _files(folder(name)):
            path = name / source.relative_to(folder(name))
            target = directory / path
            try:
                target.parent.mkdir(parents=True, exist_ok=True)
                with target.open("xb") as copy:
                    copy.write(source.read_bytes())
            except (FileExistsError, NotADirectoryError) as error:
                if not target.is_file():
                    raise ValueError(
                        f"course folder: {target} cannot be written, since a file or folder is in its "
                        f"place. Give a folder, new or from an earlier start, as in: acpower study my-course"
                    ) from error
                if _content(target) != _content(source):
                    kept.append(path)
    return kept


def study_command(directory: Path) -> list[str]:
    """Return the command that serves the course in ``directory`` on 127.0.0.1, first lesson open.

    JupyterLab takes the next free port if its usual one is in use.

    >>> study_command(Path("my-course"))[1:4]
    ['-m', 'jupyterlab', '--ServerApp.ip=127.0.0.1']
    """
    first_lesson = min(path.name for path in folder("course").glob("*.ipynb"))
    return [
        sys.executable,
        "-m",
        "jupyterlab",
        "--ServerApp.ip=127.0.0.1",
        # Whoever works as root has chosen to; JupyterLab would only refuse and not help.
        f"--ServerApp.allow_root={hasattr(os, 'geteuid') and os.geteuid() == 0}",
        f"--ServerApp.root_dir={directory.resolve()}",
        f"--LabApp.default_url=/lab/tree/course/{first_lesson}",
        # These three keep the server from asking the internet, even for someone whose own settings want it.
        "--LabApp.news_url=None",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        "--LabApp.extension_manager=readonly",
    ]


def study_environment() -> dict[str, str]:
    """Return this process's environment with the package's JupyterLab defaults added.

    The defaults in ``acpower/jupyter`` are what keeps JupyterLab from asking whether it may fetch
    news: its command line has no switch for that question. They also start Python so that a cell
    which stops says so in plain words.
    """
    return {
        **os.environ,
        **{
            name: os.pathsep.join(filter(None, (str(_PACKAGE / "jupyter"), os.environ.get(name, ""))))
            for name in ("JUPYTER_CONFIG_PATH", "JUPYTER_PATH")
        },
    }


def _files(root: Path) -> list[Path]:
    """Return the files below ``root`` except those in hidden folders such as JupyterLab's checkpoints."""
    below = (path.relative_to(root) for path in sorted(root.rglob("*")) if path.is_file())
    return [root / path for path in below if not any(part.startswith(".") for part in path.parts)]


def _content(file: Path) -> str | bytes:
    """Return a notebook without results, which running it changes; anything else as it is."""
    raw = file.read_bytes()
    try:
        return canonical(json.loads(raw))
    except (ValueError, LookupError, TypeError, AttributeError):  # not a notebook, or a damaged one
        return raw


def _say_what_was_kept(kept: list[Path]) -> None:
    if kept:
        print("Kept as they are, since they may hold your answers (the course's own copies differ):")
        for path in kept:
            print(f"  {path}")
