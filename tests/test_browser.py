"""A lesson in a real browser: run all cells, move a slider by keyboard, see number and picture follow."""

import os
import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

LESSON = "02-work-out-charging-power.ipynb"
CHROMIUM = shutil.which("chromium")
QUIET = (  # no calls home, no start page
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
FAILED_OUTPUT = ".jp-OutputArea-output:is([data-mime-type$='.stderr'], [data-mime-type$='.error'])"


@pytest.fixture
def page() -> Iterator[Any]:
    """Return a page of the size of a school projector in a Chromium with a new, empty profile."""
    if CHROMIUM is None:
        pytest.skip("needs Debian's package chromium: apt-get install chromium")
    playwright = pytest.importorskip("playwright.sync_api", reason="needs the package playwright")
    as_root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    with playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=[*QUIET, *as_root])
        yield browser.new_page(viewport={"width": 1366, "height": 768})
        browser.close()


def run_all_cells(page: Any, kernels: str) -> None:
    """Press Run All Cells once the kernel listens: pressed earlier, the command is silently lost."""
    deadline = time.monotonic() + 60
    while not [
        kernel
        for kernel in page.request.get(kernels).json()
        if kernel["execution_state"] == "idle" and kernel["connections"] >= 1
    ]:
        assert time.monotonic() < deadline, "the kernel of the lesson was not ready within a minute"
        time.sleep(0.2)
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).click()


def test_slider_moves_number_and_picture_offline(
    page: Any, tmp_path: Path, open_course: Callable[[Path], Any]
) -> None:
    from playwright.sync_api import expect

    expect.set_options(timeout=30_000)
    course = urlsplit(open_course(tmp_path / "mine").address)
    hosts: set[str | None] = set()
    page.on("request", lambda request: hosts.add(urlsplit(request.url).hostname))
    page.on("websocket", lambda socket: hosts.add(urlsplit(socket.url).hostname))
    server = f"{course.scheme}://{course.netloc}"

    page.goto(f"{server}/lab/tree/course/{LESSON}?{course.query}")
    expect(page.locator(".jp-Notebook")).to_be_visible()
    run_all_cells(page, f"{server}/api/kernels?{course.query}")

    panel = page.locator(".acpower-panel").first
    slider = panel.get_by_role("slider").first
    slider.scroll_into_view_if_needed()
    result, picture = panel.locator(".acpower-result"), panel.locator(".acpower-picture img")
    number, source, alt = result.inner_text(), picture.get_attribute("src"), picture.get_attribute("alt")
    slider.focus()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    expect(result).not_to_have_text(number)
    expect(picture).not_to_have_attribute("src", source)
    expect(picture).not_to_have_attribute("alt", alt)
    page.screenshot(path=tmp_path / "lesson.png")

    expect(page.locator(".jp-InputPrompt", has_text="[*]")).to_have_count(0)  # every cell has been run
    assert page.locator(FAILED_OUTPUT).all_text_contents() == []
    assert page.locator(".Toastify__toast").all_inner_texts() == []
    assert hosts <= {"127.0.0.1", None}  # None: pictures that are part of the page
