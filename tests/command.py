"""The command ``acpower`` in a process of its own, as a person starts it and ends it."""

import os
import signal
import subprocess
import sys
from pathlib import Path

COMMAND = [sys.executable, "-m", "acpower.cli"]


def environment() -> dict[str, str]:
    """Return the environment without the variables by which pytest would know itself in a process."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    return {**kept, "PYTHONUTF8": "1"}


def acpower(*words: object, cwd: Path) -> "subprocess.CompletedProcess[str]":
    """Call the command in a folder and wait for its end."""
    return subprocess.run(
        [*COMMAND, *map(str, words)],
        cwd=cwd,
        env=environment(),
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


def start_acpower(*words: str, cwd: Path) -> "subprocess.Popen[str]":
    """Start the command in a folder that also holds what it writes for itself."""
    return subprocess.Popen(
        [*COMMAND, *words],
        cwd=cwd,
        env={**environment(), "TMPDIR": str(cwd)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
        start_new_session=True,
    )


def check_that_ctrl_c_ends(process: "subprocess.Popen[str]") -> None:
    """Press Ctrl-C: the command says in a sentence that it was stopped, and nothing else."""
    process.send_signal(signal.SIGINT)
    output, errors = process.communicate(timeout=60)
    assert process.returncode == 2
    assert "acpower: stopped." in errors
    assert "Traceback" not in errors + output
