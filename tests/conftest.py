"""What test files share: no silent skips in CI, a course open in JupyterLab, a browser and axe-core."""

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from hypothesis import HealthCheck, settings
from npm_package import npm_package

# An example of what an instructor writes; tests/test_own_worksheet.py takes it the whole way.
collect_ignore = ["own_worksheet", "fuzz_reading.py"]

# The same examples on every machine, and no complaint on a slow one.
settings.register_profile(
    "acpower", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("acpower")

# Whoever starts this run in the background, a test worker too, may have switched Ctrl-C off, and every process
# started from here would inherit that.
if (
    threading.current_thread() is threading.main_thread()
    and signal.getsignal(signal.SIGINT) is signal.SIG_IGN
):
    signal.signal(signal.SIGINT, signal.default_int_handler)

CHROMIUM = shutil.which("chromium")
QUIET = (
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-features=AutofillServerCommunication",
)
AXE_VERSION = "4.14.1"


class OpenCourse(NamedTuple):
    """A course open in JupyterLab: the process that runs it, its address with token, its log."""

    process: "subprocess.Popen[bytes]"
    address: str
    log: Path


@pytest.fixture
def open_course(tmp_path: Path) -> Iterator[Callable[[Path], OpenCourse]]:
    """Start ``study(directory)``, and end it after the test."""
    with courses(tmp_path) as start:
        yield start


@contextmanager
def courses(scratch: Path) -> Iterator[Callable[[Path], OpenCourse]]:
    """Start ``study(directory)`` in a process of its own, without a browser, and end it at last.

    The server must not know that it is tested: a worksheet raises on a wrong answer when its
    kernel finds ``PYTEST_VERSION``, where an apprentice sees a verdict.
    """
    settings = scratch / "settings"
    settings.mkdir()
    server = {"ServerApp": {"open_browser": False}}
    (settings / "jupyter_server_config.json").write_text(json.dumps(server), encoding="utf-8")
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    environment["JUPYTER_CONFIG_DIR"] = str(settings)
    started: list[subprocess.Popen[bytes]] = []

    def start(directory: Path) -> OpenCourse:
        log = scratch / "log.txt"
        script = (
            "import pathlib, sys; from acpower.study import study; sys.exit(study(pathlib.Path(sys.argv[1])))"
        )
        with log.open("wb") as output:
            process = subprocess.Popen(
                [sys.executable, "-c", script, str(directory)],
                env=environment,
                stdin=subprocess.DEVNULL,
                stdout=output,
                stderr=output,
                start_new_session=True,
            )
        started.append(process)
        deadline = time.monotonic() + 60
        while not (found := re.search(r"http://127\.0\.0\.1:\d+/lab/tree/\S+", log.read_text("utf-8"))):
            assert process.poll() is None, log.read_text("utf-8")
            assert time.monotonic() < deadline, log.read_text("utf-8")
            time.sleep(0.2)
        return OpenCourse(process, found[0], log)

    try:
        yield start
    finally:
        for process in started:
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGTERM)
                process.wait(timeout=30)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Return a headless Chromium."""
    if CHROMIUM is None:
        pytest.skip("needs Debian's package chromium: apt-get install chromium")
    playwright = pytest.importorskip("playwright.sync_api", reason="needs the package playwright")
    as_root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    with playwright.sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=CHROMIUM, args=[*QUIET, *as_root])
        yield started
        started.close()


class Finding(NamedTuple):
    """What axe-core finds wrong on a page: the rule, how grave it is, and the first places."""

    rule: str
    impact: str
    places: list[str]


@pytest.fixture(scope="session")
def axe(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Any], list[Finding]]:
    """Return a check of a page with axe-core; a machine without npm or its registry skips, which CI refuses."""
    package = npm_package("axe-core", AXE_VERSION, tmp_path_factory.mktemp("npm"))
    source = (package / "axe.min.js").read_text(encoding="utf-8")

    def findings(page: Any) -> list[Finding]:
        page.evaluate(source)
        # What is in order is not listed place by place, which would take six times as long.
        found = page.evaluate("axe.run({resultTypes: ['violations']})")
        assert len(found["passes"]) > 5
        return [
            Finding(rule["id"], rule["impact"], [node["html"][:150] for node in rule["nodes"][:3]])
            for rule in found["violations"]
        ]

    return findings


def pytest_sessionfinish(session: pytest.Session) -> None:
    """In CI, name each skipped test and fail the run: a skip there hides a missing install step."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    skipped = reporter.getreports("skipped") if reporter else []
    if "CI" not in os.environ or not skipped:
        return
    reporter.write_sep("=", "skipped tests fail the run in CI", red=True)
    for report in skipped:
        reporter.write_line(f"{report.nodeid}: {report.longrepr[-1]}")
    if session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
