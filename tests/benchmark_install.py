"""How large an installation is, and how long it takes to the first lesson.

Run ``python tests/benchmark_install.py``. It installs the wheel into an empty environment with pip, counts what
pip has put there, starts ``study`` and waits until Chromium shows the first lesson. Seconds depend on the
machine, on what else it does and on its network. Nothing here is a timed test.
"""

import os
import subprocess
import sys
import tempfile
import time
from importlib.metadata import Distribution, distributions
from pathlib import Path
from typing import Any

from conftest import CHROMIUM, QUIET, courses
from playwright.sync_api import sync_playwright

ROOT = Path(__file__).parents[1]
LARGEST = 15
ROUNDS = 5


def main() -> None:
    """Print megabytes by package and seconds to the first lesson."""
    with tempfile.TemporaryDirectory() as scratch:
        site = install(Path(scratch))
        packages = list(distributions(path=[str(site)]))
        sizes = sorted(((megabytes(package), package) for package in packages), key=lambda one: -one[0])
        print(f"{sum(size for size, _ in sizes):.0f} MB in {len(sizes)} packages, the largest:")
        print(", ".join(f"{one.name} {one.version} {size:.0f}" for size, one in sizes[:LARGEST]))
    with sync_playwright() as driver:
        as_root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=[*QUIET, *as_root])
        seconds = sorted(first_lesson(browser) for _ in range(ROUNDS))
        browser.close()
    print(f"from study to the first lesson: {', '.join(f'{one:.1f}' for one in seconds)} s")


def install(scratch: Path) -> Path:
    """Install the wheel into a new environment and return where its packages are."""
    pip = [sys.executable, "-m", "pip", "--quiet"]
    subprocess.run([*pip, "wheel", str(ROOT), "--no-deps", "--wheel-dir", str(scratch)], check=True)
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(scratch / "venv")], check=True)
    (wheel,) = scratch.glob("acpower-*.whl")
    begin = time.perf_counter()
    subprocess.run([*pip, "--python", str(scratch / "venv"), "install", str(wheel)], check=True)
    print(f"pip install of the wheel: {time.perf_counter() - begin:.0f} s")
    (site,) = (scratch / "venv").glob("[Ll]ib/**/site-packages")
    return site


def megabytes(package: Distribution) -> float:
    """Return the size of the files of a package."""
    files = (Path(str(file.locate())) for file in package.files or ())
    return sum(file.stat().st_size for file in files if file.is_file()) / 1e6


def first_lesson(browser: Any) -> float:
    """Start ``study`` in a new folder; return the seconds until the lesson's heading is on the screen."""
    with tempfile.TemporaryDirectory() as scratch, courses(Path(scratch)) as start:
        begin = time.perf_counter()
        page = browser.new_page(viewport={"width": 1366, "height": 768})
        page.goto(start(Path(scratch) / "mine").address)
        page.locator(".jp-Notebook h1").first.wait_for()
        taken = time.perf_counter() - begin
        page.close()
    return taken


if __name__ == "__main__":
    main()
