"""Take the pictures of README.md anew: python tests/take_readme_pictures.py (two minutes; needs Chromium).

They show the invented class of ``acpower demo`` and a course of its own, on the screen of a school projector.
Look at each of them before you commit it.
"""

import shutil
import tempfile
from io import BytesIO
from pathlib import Path
from typing import Any
from urllib.parse import SplitResult, urlsplit

from conftest import CHROMIUM, QUIET, courses
from PIL import Image, ImageOps
from playwright.sync_api import expect, sync_playwright
from test_browser import LESSON, run_notebook

from acpower.marking.demo import DEMO_LIMITS, mark_demo
from acpower.marking.hand_back import CLASS_PICTURE, REPORTS, hand_back

PICTURES = Path(__file__).with_name("readme_pictures")
COLOURS = 64  # few colours make small files
MARGIN = 12
WORKSHEET = "charging-power_F02.ipynb"  # its answer to question 3 lacks √3


def take(page: Any, name: str, first: Any, last: Any) -> None:
    """Save what is on the screen from the top of one element to the bottom of another."""
    for _ in range(3):  # JupyterLab draws cells when they come into sight, and others move
        first.evaluate("element => element.scrollIntoView({block: 'start'})")
        page.wait_for_timeout(1000)
    start, end = first.bounding_box(), last.bounding_box()
    bottom = min(end["y"] + end["height"], page.viewport_size["height"])
    clip = {"x": start["x"], "y": start["y"], "width": start["width"] + 1, "height": bottom + 1 - start["y"]}
    image = Image.open(BytesIO(page.screenshot(clip=clip))).convert("RGB")
    image = ImageOps.expand(image, MARGIN, "white")
    path = PICTURES / f"{name}.png"
    image.quantize(COLOURS, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(path, optimize=True)
    print(f"{path}: {image.width} × {image.height}, {path.stat().st_size / 1000:.0f} kB")


def open_and_run(page: Any, course: SplitResult, notebook: str) -> None:
    """Open a notebook alone, and wait until all its cells have run."""
    server = f"{course.scheme}://{course.netloc}/api/kernels"
    for kernel in page.request.get(f"{server}?{course.query}").json():
        page.request.delete(f"{server}/{kernel['id']}?{course.query}")
    run_notebook(page, course._replace(query=f"{course.query}&reset"), notebook)
    expect(page.locator(".jp-OutputArea-output").first).to_be_visible(timeout=60_000)
    expect(page.locator(".jp-InputPrompt", has_text="[*]")).to_have_count(0, timeout=60_000)


def take_all(page: Any, course: SplitResult, marked: Path) -> None:
    """Take the four pictures."""
    open_and_run(page, course, LESSON)
    page.keyboard.press("Control+b")  # the list of files goes
    panel = page.locator(".acpower-panel", has_text="Station (A)")
    take(page, "lesson", panel, panel)

    open_and_run(page, course, f"exercises/{WORKSHEET}")
    cells = page.locator(".jp-Notebook .jp-Cell")
    question = cells.filter(has_text="3. Power of a three-phase vehicle")
    take(page, "worksheet", question, cells.filter(has_text="line_current_a ="))

    page.goto((marked / REPORTS / "F02.html").as_uri())
    third = page.locator(".question").nth(2)
    take(page, "report", third, page.locator(".question").nth(3))

    page.set_viewport_size({"width": 1366, "height": 900})  # the whole figure
    page.goto((marked / CLASS_PICTURE).as_uri())
    figure = page.locator("figure").first
    take(page, "class-picture", figure, figure)


def main() -> None:
    """Mark the demo class, open the course, take the pictures."""
    with (
        tempfile.TemporaryDirectory() as name,
        courses(Path(name)) as open_course,
        sync_playwright() as driver,
    ):
        demo, mine = Path(name, "demo"), Path(name, "mine")
        hand_back(mark_demo(demo, lambda *_: None), demo / "marked", DEMO_LIMITS)
        course = urlsplit(open_course(mine).address)
        shutil.copy(demo / "taken-in" / WORKSHEET, mine / "exercises")
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=[*QUIET, "--no-sandbox"])
        take_all(browser.new_page(viewport={"width": 1366, "height": 768}), course, demo / "marked")
        browser.close()


if __name__ == "__main__":
    main()
