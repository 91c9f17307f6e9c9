"""Every lesson also runs where the mains have 60 Hz; the ordinary test run has it with the default, 50 Hz."""

import subprocess
import sys
from pathlib import Path

import pytest
from command import environment

from acpower.notebooks import folder
from acpower.region import REGIONS

LESSONS = sorted(folder("course").glob("[01]*.ipynb"))


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda path: path.stem)
def test_lesson_runs_from_a_fresh_kernel_in_north_america(lesson: Path, tmp_path: Path) -> None:
    assert REGIONS["north-america"].frequency_hz == 60
    copy = tmp_path / lesson.name
    copy.write_bytes(lesson.read_bytes())
    words = ["-q", "-p", "no:cacheprovider", "--nbval-lax", "--nbval-current-env", "--nbval-cell-timeout=60"]
    run = subprocess.run(
        [sys.executable, "-m", "pytest", *words, str(copy)],
        env=environment() | {"ACPOWER_REGION": "north-america"},
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert run.returncode == 0, run.stdout[-3000:] + run.stderr[-1000:]
