"""How fast a panel follows a key beside the usual way: `ipywidgets.interactive` with inline matplotlib.

Run ``python tests/benchmark_panels.py``. One notebook in one Chromium shows the charge time of two batteries
both ways. Their first sliders take turns; measured is the time from the key to the first frame of the screen
in which number and picture have both changed. Milliseconds depend on the machine and on what else it does,
the ratio much less. Nothing here is a timed test.
"""

import os
import statistics
import tempfile
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import nbformat
from conftest import courses
from playwright.sync_api import sync_playwright
from test_browser import CHROMIUM, QUIET, run_notebook

MOVES = 40
OURS = "from acpower.panels import charge_time_panel\n\ncharge_time_panel()"
USUAL = """
%matplotlib inline
import ipywidgets
import matplotlib.pyplot as plt
import numpy as np
from acpower.panels.charge_time import ACCEPTANCES, plan_charge, plan_words

POWERS = np.geomspace(1.4, 50, 60)


def show(**values):
    plan = plan_charge(**values)
    figure, (axes, clock) = plt.subplots(2, figsize=(5.12, 4), dpi=100)
    courses = plan.charges.series(41)
    for at, (curve, time, style) in enumerate(zip(plan.curves_h, plan.times_h, ("-o", "--s"))):
        axes.plot(POWERS, curve, style[:-1])
        axes.plot(plan.power_kw, time, style[-1])
        axes.text(plan.power_kw + 1, time, f"{time:.2f} h")
        clock.plot(plan.plugged_in_h + courses.time_h[at], 100 * courses.soc[at], style[:-1])
        clock.plot(plan.plugged_in_h + time, plan.target_percent, style[-1])
    for power in (22.08, 43.47):
        axes.axvline(power, linestyle="-.")
    axes.axvline(plan.power_kw, linestyle=":")
    axes.set(xlim=(0, 50), ylim=(0, 12), xlabel="Power from the grid (kW)", ylabel="Time (h)")
    clock.axvspan(22, 30, color="#DDDDDD")
    clock.set(xlim=(18, 30), ylim=(0, 130), xlabel="Clock (h)", ylabel="Charge (%)")
    plt.show()
    print(plan_words(plan))


box = ipywidgets.interactive(
    show,
    first_kwh=ipywidgets.FloatSlider(value=30, min=5, max=150, step=1),
    second_kwh=ipywidgets.FloatSlider(value=100, min=5, max=150, step=1),
    start_percent=ipywidgets.FloatSlider(value=20, min=0, max=100, step=1),
    target_percent=ipywidgets.FloatSlider(value=80, min=0, max=100, step=1),
    power_kw=ipywidgets.FloatSlider(value=11, min=1.4, max=50, step=0.1),
    efficiency_percent=ipywidgets.FloatSlider(value=90, min=50, max=100, step=1),
    acceptance=ipywidgets.Dropdown(options=dict(ACCEPTANCES)),
    plugged_in_h=ipywidgets.FloatSlider(value=18, min=0, max=23.5, step=0.5),
)
box.add_class("usual")
box
"""
# panel, number and picture in the page
WAYS = {
    "panel": (".acpower-panel", ".acpower-result", ".acpower-picture"),
    "interactive": (".usual", "pre", "img"),
}
# A new picture is a new element. To read its text at every frame would itself cost some milliseconds.
WATCH = """([panel, number, picture]) => {
  const look = () => {
    const root = document.querySelector(panel), drawn = root?.querySelector(picture);
    return [root?.querySelector(number)?.textContent, drawn?.src ?? drawn?.firstElementChild, drawn?.complete ?? true];
  };
  const [number0, picture0] = look();
  let pressed = 0;
  addEventListener("keydown", (event) => (pressed = event.timeStamp), { capture: true, once: true });
  window.moved = new Promise((resolve) => {
    const frame = () => {
      const [now, drawn, ready] = look();
      const both = pressed && now && drawn && ready && now !== number0 && drawn !== picture0;
      both ? resolve(performance.now() - pressed) : requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  });
}"""


def move(page: Any, way: str) -> float:
    """Press a key once; return the milliseconds until the change is on the screen."""
    slider = page.locator(WAYS[way][0]).get_by_role("slider").first
    slider.scroll_into_view_if_needed()
    slider.focus()
    page.wait_for_timeout(250)
    page.evaluate(WATCH, WAYS[way])
    page.keyboard.press("ArrowRight")
    return float(page.evaluate("() => window.moved"))


def main() -> None:
    """Print median, 95th percentile and their ratios."""
    with (
        tempfile.TemporaryDirectory() as scratch,
        courses(Path(scratch)) as start,
        sync_playwright() as driver,
    ):
        address = urlsplit(start(Path(scratch) / "mine").address)
        notebook = nbformat.v4.new_notebook(
            cells=[nbformat.v4.new_code_cell(OURS), nbformat.v4.new_code_cell(USUAL)],
            metadata={"kernelspec": {"name": "python3", "display_name": "Python 3"}},
        )
        nbformat.write(notebook, Path(scratch) / "mine" / "both.ipynb")
        as_root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=[*QUIET, *as_root])
        page = browser.new_page(viewport={"width": 1366, "height": 768})
        run_notebook(page, address, "both.ipynb")
        page.locator(".usual img").wait_for()
        times: dict[str, list[float]] = {way: [] for way in WAYS}
        for way in WAYS:
            move(page, way)  # the first move wakes the page up and is not counted
        for _ in range(MOVES):
            for way in WAYS:
                times[way].append(move(page, way))
        browser.close()
    median = {way: statistics.median(found) for way, found in times.items()}
    high = {way: statistics.quantiles(found, n=20)[-1] for way, found in times.items()}
    for way in WAYS:
        print(f"{way}: median {median[way]:.1f} ms, 95th percentile {high[way]:.1f} ms, {MOVES} moves")
    print(
        f"the panel is faster by {median['interactive'] / median['panel']:.1f} times in the median "
        f"and {high['interactive'] / high['panel']:.1f} times at the 95th percentile"
    )


if __name__ == "__main__":
    main()
