"""Panel of the front end: what the models and the limits say is shown and said."""

import re
from typing import Any

import numpy as np
import pytest

from acpower.distorted import true_power_factor
from acpower.figures.front_end import FRONT_ENDS, front_end, front_end_figure
from acpower.figures.scene import Box, Line
from acpower.harmonic_limits import class_a_limit
from acpower.panels import front_end_panel
from acpower.panels.front_end import FrontEnd, run
from acpower.panels.panel import Panel
from acpower.region import region_in_use

each_size = pytest.mark.parametrize("large", [False, True], ids=["normal", "large"])
BRIDGE, CORRECTED = FRONT_ENDS
STATES = [
    {},
    {"name": CORRECTED},
    {"load_power": 200},
    {"load_power": 3000},
    {"load_power": 3000, "capacitor_uf": 500},
    {"load_power": 3000, "capacitor_uf": 500, "name": CORRECTED},
    {"load_power": 200, "capacitor_uf": 4000, "name": CORRECTED},
]
each_state = pytest.mark.parametrize("values", STATES)


@pytest.fixture(autouse=True)
def _europe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")


def state(values: dict[str, Any]) -> Panel[FrontEnd]:
    panel = front_end_panel()
    panel.set(**values)
    return panel


def shown(panel: Panel[FrontEnd], *, large: bool = False) -> str:
    return " ".join(re.findall(r">([^<>\n]+)</(?:text|tspan)>", panel.svg(large=large)))


@each_state
def test_numbers_are_those_of_the_model_and_the_power_factor_adds_up(values: dict[str, Any]) -> None:
    """Power factor by voltage times current, and by displacement and distortion (SAE J2894-1, introduction)."""
    panel = state(values)
    numbers, period = panel.numbers, panel.numbers.period
    other = front_end(
        numbers.name, numbers.load_power_w, 230, 50, capacitance=numbers.capacitor_uf / 1e6
    ).mains_current
    assert period.mains_current == pytest.approx(other)
    by_harmonics = true_power_factor(period.displacement_factor, period.distortion)
    assert period.power_factor == pytest.approx(by_harmonics, abs=0.005)  # up to the 40th harmonic
    assert f"{numbers.name}, {numbers.load_power_w:g} W" in panel.words
    assert (
        f"mains current {period.rms_current:.2f} A RMS, peak {period.mains_current.max():.1f} A"
        in panel.words
    )
    assert f"Power factor {period.power_factor:.3f}, THD {100 * period.distortion:.0f} %" in panel.words
    assert f"ripple {np.ptp(period.dc_link_voltage):.0f} V" in panel.words


@each_size
@each_state
def test_picture_says_what_the_words_say(values: dict[str, Any], large: bool) -> None:
    panel = state(values)
    period, seen = panel.numbers.period, shown(panel, large=large)
    assert f"power factor {period.power_factor:.3f}, THD {100 * period.distortion:.0f} %" in seen
    assert f"ripple {period.ripple:.0f} V" in seen
    assert not re.search("nan|inf", panel.svg(large=large).split("</desc>")[1])


@each_state
def test_bars_stand_beside_the_limits_of_class_a(values: dict[str, Any]) -> None:
    """Limits: table of harmonic limits, as printed in a test report and a data-set card."""
    panel = state(values)
    numbers = panel.numbers
    chart = panel._scene(numbers).charts[2]
    bars = [thing for thing in chart.things if isinstance(thing, Box)]
    limits = [thing for thing in chart.things if isinstance(thing, Line)]
    orders = range(3, 20, 2)
    for bar, limit, order in zip(bars, limits, orders, strict=True):
        current = numbers.period.harmonic_currents[order - 1]
        assert bar.top == pytest.approx(current)
        assert limit.y == pytest.approx([class_a_limit(order)] * 2)
        assert bar.fill.hatch == (current > class_a_limit(order))
        assert max(float(bar.top or 0), class_a_limit(order)) <= chart.y.high
        assert f"Harmonic {order}: {current:.2f} A, limit {class_a_limit(order):.2f} A." in panel.svg()
    every = range(2, 41)
    assert numbers.over == [n for n in every if numbers.period.harmonic_currents[n - 1] > class_a_limit(n)]


@each_state
def test_curves_stay_within_their_scales(values: dict[str, Any]) -> None:
    panel = state(values)
    for chart in panel._scene(panel.numbers).charts[:2]:
        for line in (thing for thing in chart.things if isinstance(thing, Line)):
            assert chart.y.low <= np.min(line.y) <= np.max(line.y) <= chart.y.high


def test_words_name_the_harmonics_above_their_limit() -> None:
    """At 1 kW the 3rd to 25th of the bridge lie above: the case of the still figure."""
    panel = front_end_panel()
    assert panel.words.endswith("Harmonics above the limit of class A: 3, 5, 7, 9, 11 and 7 more.")
    panel.set(load_power=200)
    assert panel.words.endswith("Harmonics above the limit of class A: 9, 11, 13.")
    panel.set(name=CORRECTED)
    assert panel.words.endswith("Every harmonic keeps the limit of class A.")


def test_more_capacitor_less_ripple() -> None:
    """Power balance of the DC link: P / (omega C V) from peak to peak behind a power factor stage."""
    swings = []
    for microfarads in (500, 1000, 4000):
        period = state({"name": CORRECTED, "capacitor_uf": microfarads}).numbers.period
        expected = 1000 / (2 * np.pi * 50 * microfarads / 1e6 * np.mean(period.dc_link_voltage))
        assert period.ripple == pytest.approx(expected, rel=0.03)
        swings.append(period.ripple)
    assert swings == sorted(swings, reverse=True)


@pytest.mark.parametrize(
    ("key", "mains", "period_ms"),
    [("europe", "230 V, 50 Hz", 20), ("north-america", "240 V, 60 Hz", 1000 / 60)],
)
def test_mains_follow_the_region(
    key: str, mains: str, period_ms: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ACPOWER_REGION", key)
    panel = front_end_panel()
    assert mains in panel.title
    assert panel._scene(panel.numbers).charts[0].x.high == pytest.approx(period_ms)
    volts = float(mains.split()[0])
    assert np.max(panel.numbers.period.mains_voltage) == pytest.approx(volts * np.sqrt(2), rel=1e-4)


def test_current_above_16_a_is_refused_and_the_picture_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    """Class A ends at 16 A per phase; at 200 V a bridge with a small capacitor takes more."""
    monkeypatch.setenv("ACPOWER_REGION", "japan")
    panel = front_end_panel()
    panel.set(capacitor_uf=500)
    before = panel.svg()
    with pytest.raises(ValueError, match="allowed is a fundamental up to 16 A per phase"):
        panel.set(load_power=3000)
    assert panel.svg() == before
    panel.set(capacitor_uf=1500)
    assert panel.numbers.load_power_w == 3000


def test_what_was_worked_out_before_is_kept() -> None:
    first = run(BRIDGE, 700, 1000, 230, 50)
    assert run(BRIDGE, 700, 1000, 230, 50) is first
    assert run(BRIDGE, 700, 1000, 230, 60) is not first


@pytest.mark.parametrize("key", ["europe", "north-america"])
@pytest.mark.parametrize("name", FRONT_ENDS)
def test_every_corner_of_the_controls_can_be_run(
    key: str, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ACPOWER_REGION", key)
    for load_power in (200, 3000):
        for capacitor_uf in (500, 4000):
            panel = state({"name": name, "load_power": load_power, "capacitor_uf": capacitor_uf})
            assert "nan" not in panel.svg() + panel.svg(large=True)


def test_panel_and_figure_of_the_lesson_give_the_same_power_factor() -> None:
    found = re.search(r"Power factor ([\d.]+)", front_end_panel().words)
    assert found is not None
    region = region_in_use()
    still = front_end_figure(1000, voltage=region.single_phase_v, frequency=region.frequency_hz)
    assert f"power factor {found[1]}," in still.figure.axes[0].get_title()
