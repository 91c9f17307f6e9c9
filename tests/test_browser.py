"""Lessons and panels in a real browser: run all cells, turn controls, see number and picture follow.

Screenshots go to ``.artifacts/``, for a look after the run.
"""

import json
import os
import re
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from math import sqrt
from pathlib import Path
from typing import Any
from urllib.parse import SplitResult, urlsplit

import nbformat
import pytest

from acpower import panels as all_panels
from acpower.panels import charge_time_panel, power_panel, waveform_panel
from acpower.worksheets.schemes import WORKSHEETS

LESSON = "course/06-work-out-charging-power.ipynb"
PANELS = tuple(getattr(all_panels, name) for name in all_panels.__all__ if name.endswith("_panel"))
ARTIFACTS = Path(__file__).parents[1] / ".artifacts"
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
OUTSIDE_THE_PICTURE = """() => [...document.querySelectorAll("svg[role=img]")].flatMap((picture) => {
  const edge = picture.getBoundingClientRect();
  return [...picture.querySelectorAll("text")].filter((text) => {
    const box = text.getBoundingClientRect();
    return box.left < edge.left || box.right > edge.right || box.top < edge.top || box.bottom > edge.bottom;
  }).map((text) => picture.getAttribute("aria-labelledby") + ": " + text.textContent);
})"""

# Each text has a little air of its own around its letters, so boxes may meet by 2 pixels.
ON_ONE_ANOTHER = """() => [...document.querySelectorAll("svg[role=img]")].flatMap((picture) => {
  const texts = [...picture.querySelectorAll("text")].map((text) => [text.textContent, text.getBoundingClientRect()]);
  return texts.flatMap(([word, box], at) => texts.slice(at + 1).filter(([, other]) =>
    Math.min(box.right, other.right) - Math.max(box.left, other.left) > 2 &&
    Math.min(box.bottom, other.bottom) - Math.max(box.top, other.top) > 2
  ).map(([other]) => `${picture.getAttribute("aria-labelledby")}: ${word} / ${other}`));
})"""


@pytest.fixture
def page() -> Iterator[Any]:
    """Return a page of the size of a school projector in a Chromium with a new, empty profile."""
    if CHROMIUM is None:
        pytest.skip("needs Debian's package chromium: apt-get install chromium")
    playwright = pytest.importorskip("playwright.sync_api", reason="needs the package playwright")
    as_root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    with playwright.sync_playwright() as driver:
        playwright.expect.set_options(timeout=30_000)
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=[*QUIET, *as_root])
        yield browser.new_page(viewport={"width": 1366, "height": 768})
        browser.close()


@pytest.fixture
def quiet_page(page: Any) -> Iterator[Any]:
    """Return the page; a call to another computer or an error in the page fails the test."""
    hosts: set[str | None] = set()
    errors: list[str] = []
    page.on("request", lambda request: hosts.add(urlsplit(request.url).hostname))
    page.on("websocket", lambda socket: hosts.add(urlsplit(socket.url).hostname))
    page.on("console", lambda message: message.type == "error" and errors.append(message.text))
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield page
    assert hosts <= {"127.0.0.1", None}  # None: pictures and code that are part of the page
    # What builds the site puts an extension into this environment that JupyterLab loads and can do nothing with.
    assert [error for error in errors if "pyodide-kernel-extension" not in error] == []


def run_notebook(page: Any, course: SplitResult, notebook: str) -> None:
    """Open a notebook and press Run All Cells once the kernel listens: pressed earlier, it is silently lost."""
    from playwright.sync_api import expect

    server = f"{course.scheme}://{course.netloc}"
    page.goto(f"{server}/lab/tree/{notebook}?{course.query}")
    expect(page.locator(".jp-Notebook")).to_be_visible()
    deadline = time.monotonic() + 60
    while not [
        kernel
        for kernel in page.request.get(f"{server}/api/kernels?{course.query}").json()
        if kernel["execution_state"] == "idle" and kernel["connections"] >= 1
    ]:
        assert time.monotonic() < deadline, "the kernel of the notebook was not ready within a minute"
        time.sleep(0.2)
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).click()


def take_picture(page: Any, name: str) -> None:
    ARTIFACTS.mkdir(exist_ok=True)
    page.screenshot(path=ARTIFACTS / f"{name}.png")


def test_slider_of_a_lesson_moves_number_and_picture_offline(
    quiet_page: Any, tmp_path: Path, open_course: Callable[[Path], Any]
) -> None:
    from playwright.sync_api import expect

    page = quiet_page
    run_notebook(page, urlsplit(open_course(tmp_path / "mine").address), LESSON)
    panel = page.locator(".acpower-panel").first
    panel.scroll_into_view_if_needed()
    number = panel.locator(".acpower-result").inner_text()
    panel.get_by_role("slider").first.press("ArrowLeft")
    expect(panel.locator(".acpower-result")).not_to_have_text(number)
    take_picture(page, "lesson")

    expect(page.locator(".jp-InputPrompt", has_text="[*]")).to_have_count(0)  # every cell has been run
    assert page.locator(FAILED_OUTPUT).all_text_contents() == []
    assert page.locator(".Toastify__toast").all_inner_texts() == []


def test_arrow_keys_stay_in_a_quick_question(
    quiet_page: Any, tmp_path: Path, open_course: Callable[[Path], Any]
) -> None:
    from playwright.sync_api import expect

    page, course = quiet_page, open_course(tmp_path / "mine")
    asked = "from acpower.panels import quick_question\n\nquick_question('clock time')"
    notebook = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell(cell) for cell in (asked, asked, "1 + 1")],
        metadata={"kernelspec": {"name": "python3", "display_name": "Python 3"}},
    )
    nbformat.write(notebook, tmp_path / "mine" / "asked.ipynb")
    run_notebook(page, urlsplit(course.address), "asked.ipynb")
    question = page.locator(".acpower-question").first
    ticks = question.get_by_role("radio")
    expect(ticks).to_have_count(3)
    expect(page.locator(".acpower-question label").first).to_have_css("font-size", "15px")
    ticks.nth(0).check()
    expect(question).to_contain_text("0.40 h is not 40 min")
    for place, reaction in ((1, "0.40 h is not 4 min"), (2, "✔ Right.")):
        page.keyboard.press("ArrowDown")
        expect(ticks.nth(place)).to_be_focused()
        expect(ticks.nth(place)).to_be_checked()
        expect(question).to_contain_text(reaction)
    expect(page.locator(".jp-Cell.jp-mod-active")).to_contain_text("Right.")  # the cell of the question
    take_picture(page, "quick-question")


def test_panels_follow_refuse_and_grow(
    quiet_page: Any, tmp_path: Path, open_course: Callable[[Path], Any]
) -> None:
    from playwright.sync_api import expect

    page, course = quiet_page, open_course(tmp_path / "mine")
    cells = [f"from acpower.panels import {make.__name__}\n\n{make.__name__}()" for make in PANELS]
    notebook = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell(cell) for cell in cells],
        metadata={"kernelspec": {"name": "python3", "display_name": "Python 3"}},
    )
    nbformat.write(notebook, tmp_path / "mine" / "panels.ipynb")
    run_notebook(page, urlsplit(course.address), "panels.ipynb")
    panels = page.locator(".acpower-panel")
    expect(panels).to_have_count(len(PANELS))
    waveform, power, charge_time = (
        panels.nth(PANELS.index(make)) for make in (waveform_panel, power_panel, charge_time_panel)
    )

    # Each first control moves number, picture and text alternative.
    for at, make in enumerate(PANELS):
        panel = panels.nth(at)
        panel.scroll_into_view_if_needed()
        take_picture(page, make.__name__)
        result, picture = panel.locator(".acpower-result"), panel.locator(".acpower-picture")
        number, drawn = result.inner_text(), picture.inner_html()
        if panel.get_by_role("slider").count():
            slider = panel.get_by_role("slider").first
            at_its_end = slider.evaluate("slider => slider.value === slider.max")
            slider.press("ArrowLeft" if at_its_end else "ArrowRight")
        else:
            panel.get_by_role("combobox").first.select_option(index=1)
        expect(result).not_to_have_text(number)
        assert picture.inner_html() != drawn
        assert str(picture.locator("desc").text_content()).endswith(result.inner_text())

    # What cannot be used is said beside the control; the picture stays until it is put right.
    charge_time.scroll_into_view_if_needed()
    field = charge_time.get_by_role("textbox", name="Battery 1 (kWh)")
    drawn = charge_time.locator(".acpower-picture").inner_html()
    field.fill("900")
    field.press("Enter")
    expect(charge_time.get_by_role("alert")).to_contain_text("900 kWh was given; allowed is 5 to 150 kWh")
    assert charge_time.locator(".acpower-picture").inner_html() == drawn
    assert (field.input_value(), field.get_attribute("aria-invalid")) == ("900", "true")
    take_picture(page, "refused")
    field.fill("37,5")
    field.press("Enter")
    expect(field).to_have_value("37.5")
    expect(charge_time.get_by_role("alert")).to_have_count(0)
    expect(charge_time.locator(".acpower-result")).to_contain_text("37.5 kWh battery")

    # A control that has no effect cannot be turned.
    duty = waveform.get_by_role("slider", name="Pulse: time high (%)")
    expect(duty).to_be_disabled()
    waveform.get_by_role("combobox", name="Shape").select_option("pulse")
    expect(duty).to_be_enabled()

    # Keys in a panel turn the panel and are no commands of the notebook; a held key ends where it should.
    slider = power.get_by_role("slider", name="Station (A)")
    for key in ("d", "d", "x", "Escape", "d", "d", *["ArrowRight"] * 30):
        slider.press(key)
    expect(power.get_by_role("textbox", name="Station (A)")).to_have_value("62")
    expect(panels).to_have_count(len(PANELS))

    # One switch for all panels, and the whole panel stays on the page of a projector or a small window.
    waveform.get_by_role("button", name="Large text").click()
    for at, make in enumerate(PANELS):
        panels.nth(at).scroll_into_view_if_needed()
        expect(panels.nth(at).locator(".acpower-picture svg[font-size='18']")).to_be_visible()
        expect(panels.nth(at).get_by_role("button", name="Large text")).to_have_attribute(
            "aria-pressed", "true"
        )
        take_picture(page, f"{make.__name__}-large")
    page.set_viewport_size({"width": 1000, "height": 768})
    for large in (True, False):
        for at, make in enumerate(PANELS):
            panels.nth(at).scroll_into_view_if_needed()
            take_picture(page, f"{make.__name__}-{'large-' if large else ''}narrow")
            box = panels.nth(at).locator(".acpower-picture").bounding_box()
            assert box["width"] >= 500
        panels.nth(0).get_by_role("button", name="Large text").click()

    assert page.evaluate(OUTSIDE_THE_PICTURE) == []
    assert page.locator(FAILED_OUTPUT).all_text_contents() == []


@pytest.mark.parametrize("large", [False, True], ids=["normal", "large"])
def test_no_label_is_cut_off_or_stands_on_another(page: Any, large: bool) -> None:
    """Widths of text are estimated where pictures are made; here they are measured."""
    pictures = []
    for make in PANELS:
        for name, control in make().controls.items():
            plan = control.plan()
            for end in plan.get("options") or (str(plan["low"]), str(plan["high"])):
                panel = make()
                with suppress(
                    ValueError
                ):  # refused beside the other controls as they stand: the picture stays
                    panel.set(**{name: end})
                pictures.append(panel.svg(large=large, name=f"{make.__name__} {name} {end}"))
    panel = power_panel()
    panel.set(vehicle_phases=1, vehicle_current=8)  # one link limits current and phases
    pictures.append(panel.svg(large=large, name="limits both"))
    page.set_content("".join(f'<div style="width: 512px">{picture}</div>' for picture in pictures))
    assert page.locator("svg[role=img]").count() == len(pictures) > 30
    assert page.evaluate(OUTSIDE_THE_PICTURE) == []
    assert page.evaluate(ON_ONE_ANOTHER) == []


def test_practising_with_the_keyboard_hints_progress_and_resume(
    quiet_page: Any, tmp_path: Path, open_course: Callable[[Path], Any]
) -> None:
    from playwright.sync_api import expect

    page, course = quiet_page, urlsplit(open_course(tmp_path / "mine").address)
    progress_file = tmp_path / "mine" / "course" / "my-practice.json"
    run_notebook(page, course, "course/practise.ipynb")
    panel = page.get_by_role("group", name="Practise")
    panel.scroll_into_view_if_needed()
    panel.get_by_label("Worksheet").select_option("charging-power")
    expect(panel.get_by_role("heading", name="1. Voltage between line and neutral")).to_be_visible()
    card = WORKSHEETS["charging-power"].card("practise-1")
    expect(panel.get_by_role("row")).to_have_text([re.compile(rf"Line voltage.*{card.line_voltage}\sV")])
    take_picture(page, "practise")

    # Nothing moves while answers are typed, as fast as keys can be; the keys are no commands of the notebook.
    field, reaction = panel.get_by_label("Your answer (V)"), panel.locator(".acpower-reaction")
    new_card = panel.get_by_role("button", name="New job card")
    places = [field.bounding_box(), new_card.bounding_box(), panel.bounding_box()]
    field.press_sequentially(f"{card.line_voltage * sqrt(3):.1f}")
    field.press("Enter")
    expect(reaction).to_have_text(re.compile("^➜ Not yet. .*the line voltage was multiplied by √3"))
    take_picture(page, "practise-not-yet")
    panel.get_by_role("button", name="Hint: what to look at").press("Enter")
    expect(panel.locator(".acpower-help")).to_contain_text(
        "Hint, what to look at: Draw the phases as three arrows"
    )
    expect(panel.get_by_role("button", name="Show the working")).to_be_disabled()
    field.fill("")
    field.press_sequentially(f"{card.line_voltage / sqrt(3):.1f}")
    field.press("Enter")
    expect(reaction).to_have_text("✔ Right.")
    expect(panel).to_contain_text("This question: right on 1 card.")
    assert places[:2] == [field.bounding_box(), new_card.bounding_box()]
    assert places[2] == panel.bounding_box()
    panel.get_by_role("button", name="Show the working").press("Enter")
    expect(panel.locator(".acpower-help")).to_contain_text("U = line voltage / √3")
    take_picture(page, "practise-right")

    # Another card, with the keyboard where the answer is typed.
    new_card.press("Enter")
    expect(panel.locator("caption")).not_to_have_text(re.compile("Job card 1 "))
    expect(field).to_be_focused()
    expect(field).to_have_value("")

    # Answers in words: typed or chosen from the menu.
    questions = panel.get_by_label("Question")
    for _ in range(5):
        questions.press("ArrowDown")
    expect(panel.get_by_role("heading", name="6. Link that limits the charge")).to_be_visible()
    expect(questions).to_be_focused()
    expect(questions).to_have_value("limiting_link")
    choice = panel.get_by_label("or choose")
    choice.select_option(str(WORKSHEETS["charging-power"].keys(card).limiting_link))
    panel.get_by_role("button", name="Record").press("Enter")
    expect(reaction).to_have_text("✔ Right.")
    take_picture(page, "practise-choice")
    panel.get_by_label("Worksheet").select_option("weakest-link")
    expect(panel.get_by_role("heading", name="1. Which link is it")).to_be_visible()
    questions.select_option("cable_rating_a")
    expect(panel.get_by_role("heading", name="2. Rating of the cable from its code")).to_be_visible()
    take_picture(page, "practise-table")

    # Large letters, a small window: all stays on the page.
    panel.get_by_role("button", name="Large text").click()
    page.set_viewport_size({"width": 1000, "height": 768})
    take_picture(page, "practise-large")
    smallest, over = panel.evaluate(
        """panel => [
          Math.min(...[...panel.querySelectorAll("*")].map((one) => parseFloat(getComputedStyle(one).fontSize))),
          panel.scrollWidth - panel.clientWidth]"""
    )
    assert smallest >= 21
    assert over <= 0
    panel.get_by_role("button", name="Large text").click()
    smallest = panel.evaluate(
        """panel => Math.min(...[...panel.querySelectorAll("*")].map(
          (one) => parseFloat(getComputedStyle(one).fontSize)))"""
    )
    assert smallest >= 16
    page.set_viewport_size({"width": 1366, "height": 768})

    # Closed and opened again: the progress is there.
    assert set(json.loads(progress_file.read_text(encoding="utf-8"))) == {"charging-power"}
    run_notebook(page, course, "course/practise.ipynb")
    expect(panel.get_by_label("Worksheet")).to_have_value("charging-power")
    expect(panel).to_contain_text(re.compile(r"Worksheet: 2 of \d+ questions right on a card"))
    assert page.locator(FAILED_OUTPUT).all_text_contents() == []
