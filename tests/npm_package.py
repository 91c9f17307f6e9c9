"""Packages of the npm registry, for what is only tested with them."""

import shutil
import subprocess
from pathlib import Path

import pytest


def npm_package(name: str, version: str, place: Path) -> Path:
    """Return the folder of a package; a machine without npm or its registry skips, which CI refuses."""
    npm = shutil.which("npm")
    if npm is None:
        pytest.skip("needs npm: apt-get install npm")
    install = [npm, "install", "--no-save", "--ignore-scripts", "--no-audit", "--no-fund"]
    done = subprocess.run(
        [*install, "--prefix", str(place), f"{name}@{version}"],
        cwd=place,
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode != 0:
        pytest.skip(f"npm could not install {name} {version}: {done.stderr[-300:]}")
    return place / "node_modules" / name
