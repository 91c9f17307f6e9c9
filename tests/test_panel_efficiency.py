"""Panel of the efficiency: the power balance, both bases of the loss, the best power, curve and band."""

import re
from typing import Any

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from acpower.figures.scene import Area, Line, Mark
from acpower.panels import efficiency_panel
from acpower.panels.controls import Knob
from acpower.panels.efficiency import PowerFlow, flow
from acpower.panels.panel import Panel

each_size = pytest.mark.parametrize("large", [False, True], ids=["normal", "large"])
STATES = [
    {},
    {"grid_kw": 1.4},
    {"grid_kw": 1.4, "fixed_w": 300, "linear_w": 600, "quadratic_w": 1000, "auxiliaries_w": 400},
    {"fixed_w": 10, "linear_w": 0, "quadratic_w": 0, "auxiliaries_w": 0},
    {"fixed_w": 300, "linear_w": 600, "quadratic_w": 1000, "auxiliaries_w": 400},
]
each_state = pytest.mark.parametrize("values", STATES)


@pytest.fixture(autouse=True)
def _europe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")


def shown(panel: Panel[PowerFlow], *, large: bool = False) -> str:
    return " ".join(re.findall(r">([^<>\n]+)</(?:text|tspan)>", panel.svg(large=large)))


@pytest.mark.parametrize("auxiliaries_w", [0, 250])
@pytest.mark.parametrize("grid_kw", [1.38, 3.68, 7.36, 11.0])
def test_losses_are_fixed_linear_and_quadratic_in_the_power(grid_kw: float, auxiliaries_w: float) -> None:
    """Form of the losses as in a public charging simulation; worked out here in plain arithmetic."""
    numbers = flow(grid_kw, 80, 250, 400, auxiliaries_w, rated_w=11_000)
    share = grid_kw / 11
    heat_w = 80 + 250 * share + 400 * share**2
    assert numbers.heat_kw == pytest.approx(heat_w / 1000)
    assert numbers.battery_kw == pytest.approx(grid_kw - (heat_w + auxiliaries_w) / 1000)
    assert numbers.charger_efficiency == pytest.approx(1 - heat_w / 1000 / grid_kw)
    assert numbers.efficiency == pytest.approx(numbers.battery_kw / grid_kw)


@pytest.mark.parametrize("auxiliaries_w", [0, 100, 200])
def test_best_power_is_where_a_search_finds_it(auxiliaries_w: float) -> None:
    found = minimize_scalar(
        lambda kw: -flow(kw, 80, 250, 400, auxiliaries_w, rated_w=11_000).efficiency,
        bounds=(1, 11),
        method="bounded",
    )
    assert flow(5, 80, 250, 400, auxiliaries_w, rated_w=11_000).best_kw == pytest.approx(found.x, rel=1e-3)


def test_best_power_is_full_load_where_more_is_always_better() -> None:
    assert flow(5, 80, 250, 0, 100, rated_w=11_000).best_kw == 11
    assert flow(5, 300, 250, 400, 400, rated_w=11_000).best_kw == 11


def test_words_give_the_loss_on_both_bases() -> None:
    """10 of 60 are 16.7 %, 10 of 50 are 20 %: the same loss, as in a news article on charging losses."""
    panel = efficiency_panel()
    panel.set(grid_kw=6, fixed_w=300, linear_w=550, quadratic_w=0, auxiliaries_w=400)
    assert panel.numbers.battery_kw == pytest.approx(5)
    assert (
        panel.words
        == "6.00 kW from the grid − 0.60 kW heat in the charger − 0.40 kW auxiliaries = 5.00 kW into the battery. "
        "Efficiency from grid to battery 83.3 %, of the charger alone 90.0 %. The loss of 1.00 kW is 16.7 % of "
        "the grid side and 20.0 % of the battery side. Best power from the grid: 11.0 kW."
    )


@each_size
@each_state
def test_picture_says_what_the_words_say(values: dict[str, Any], large: bool) -> None:
    panel = efficiency_panel()
    panel.set(**values)
    numbers, seen = panel.numbers, shown(panel, large=large)
    assert f"charger alone {100 * numbers.charger_efficiency:.1f} %" in seen
    assert f"grid to battery {100 * numbers.efficiency:.1f} %" in seen
    assert f"heat {numbers.heat_kw:.2f} kW" in seen
    assert ("auxiliaries" in seen) == (numbers.auxiliaries_w > 0)
    assert f"{numbers.best_kw:.1f} kW" in seen
    assert not re.search("nan|inf", panel.svg(large=large).split("</desc>")[1])


@each_state
def test_working_points_lie_on_their_curves_and_within_the_scales(values: dict[str, Any]) -> None:
    panel = efficiency_panel()
    panel.set(**values)
    chart, _ = panel._scene(panel.numbers).charts
    _, alone, whole = [thing for thing in chart.things if isinstance(thing, Line)]
    best, square, circle = [thing for thing in chart.things if isinstance(thing, Mark)]
    for mark, curve in ((best, whole), (square, alone), (circle, whole)):
        assert chart.y.low <= mark.y <= chart.y.high
        assert 0 <= mark.x <= chart.x.high
        # a straight line between two of the 150 points lies a little below the curve
        assert np.interp(mark.x, np.asarray(curve.x), np.asarray(curve.y)) == pytest.approx(mark.y, abs=0.5)


@each_state
def test_width_of_the_band_is_the_power(values: dict[str, Any]) -> None:
    panel = efficiency_panel()
    panel.set(**values)
    numbers = panel.numbers
    _, chart = panel._scene(numbers).charts
    widths = [np.ptp([area.low, area.high], axis=0) for area in chart.things if isinstance(area, Area)]
    expected = [numbers.grid_kw, numbers.heat_kw, numbers.auxiliaries_w / 1000, numbers.battery_kw]
    expected = [power for power in expected if power > 0]
    for width, power in zip(widths, expected, strict=True):
        assert width == pytest.approx(np.broadcast_to(power, np.shape(width)))
    assert sum(expected[1:]) == pytest.approx(numbers.grid_kw)


@pytest.mark.parametrize(
    ("key", "full_kw"),
    [("europe", 11.0), ("north-america", 7.7)],  # 3 x 230 V x 16 A; 240 V x 32 A; common practice, no source
)
def test_full_load_follows_the_region(key: str, full_kw: float, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", key)
    panel = efficiency_panel()
    assert panel.numbers.grid_kw == full_kw
    assert f"up to {full_kw:g} kW" in panel.title
    assert panel.numbers.heat_kw == pytest.approx(0.73)  # 80 + 250 + 400 W at full load


def test_every_end_of_every_control_can_be_drawn() -> None:
    for name, knob in efficiency_panel().controls.items():
        assert isinstance(knob, Knob)
        for end in (knob.low, knob.high):
            panel = efficiency_panel()
            panel.set(**{name: end})
            assert "nan" not in panel.svg() + panel.svg(large=True)
    with pytest.raises(ValueError, match=r"Grid power: 12 kW was given; allowed is 1\.4 to 11 kW"):
        efficiency_panel().set(grid_kw=12)
