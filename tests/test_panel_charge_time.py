"""The panel of charge time: course, taper, cold, tariff and where AC ends."""

from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from test_panels import text_alternative

from acpower.figures.charge_time import ac_end, charge_time_figure, usual_ac_kw
from acpower.figures.scene import Box, Chart
from acpower.panels import charge_time_panel
from acpower.panels.charge_time import ACCEPTANCES, Plan, plan_charge
from acpower.region import REGIONS

COLD = "cold (3 °C), less from 80 %"
WARM = "warm, less from 80 %"


@pytest.fixture(autouse=True)
def _europe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")


def planned(acceptance: str = "full power to the end", **values: float) -> Plan:
    usual: dict[str, Any] = {
        "first_kwh": 30, "second_kwh": 100, "start_percent": 20, "target_percent": 80, "power_kw": 11,
        "efficiency_percent": 90, "plugged_in_h": 18,
    }  # fmt: skip
    return plan_charge(**usual | values, acceptance=ACCEPTANCES[acceptance])


def charts(**values: Any) -> tuple[Chart, Chart]:
    panel = charge_time_panel()
    panel.set(**values)
    by_power, by_clock = panel._scene(panel.numbers).charts
    return by_power, by_clock


def test_constant_power_gives_time_energy_and_cost_by_hand() -> None:
    """30 kWh × 0.6 = 18 kWh; ÷ 9.9 kW = 1.818 h; 20 kWh at 0.40. Own numbers."""
    panel = charge_time_panel()
    panel.set(power_kw=11)
    assert (
        "30 kWh battery: 18.0 kWh to add, 1 h 49 min (1.8 h), until 19:49; 20.0 kWh from the grid cost 8.00."
    ) in panel.words
    assert "until 00:04 (+1 day)" in panel.words
    # four hours at the high price, the rest at the low one
    assert f"cost {4 * 11 * 0.40 + (60 / 0.9 - 44) * 0.20:.2f}." in panel.words


@pytest.mark.parametrize("start", [22.0, 0.0, 3.0])
def test_charge_within_the_cheap_hours_costs_the_low_price(start: float) -> None:
    plan = planned(plugged_in_h=start)
    assert np.asarray(plan.charges.cost)[0] == pytest.approx(20 * 0.20)


def test_times_in_the_taper_agree_with_a_differential_equation() -> None:
    """d(soc)/dt = min(P, A (1 − soc) / (1 − knee)) / E, solved by scipy."""
    plan = planned(COLD, target_percent=95)
    for battery, time in zip((30.0, 100.0), plan.times_h, strict=True):
        accepted = 0.2 * battery  # a fifth of 1 kW per kWh at 3 °C: 3 ÷ 15

        def rise(_: float, soc: Any, full: float = accepted, energy: float = battery) -> Any:
            return min(9.9, full, full * (1 - soc[0]) / 0.2) / energy * np.ones(1)

        solved = solve_ivp(rise, (0, time), [0.20], rtol=1e-9, atol=1e-12, max_step=0.02)
        assert solved.y[0, -1] == pytest.approx(0.95, abs=1e-5)


def test_curve_passes_through_the_working_point() -> None:
    for acceptance in ACCEPTANCES:
        by_power, _ = charts(acceptance=acceptance, power_kw=7.4)
        plan = planned(acceptance, power_kw=7.4)
        curves = [thing for thing in by_power.things if type(thing).__name__ == "Line" and len(thing.x) > 2]  # type: ignore[union-attr,arg-type]
        for curve, time in zip(curves, plan.times_h, strict=True):
            assert np.interp(7.4, curve.x, curve.y) == pytest.approx(time, rel=0.01)  # type: ignore[union-attr]


def test_words_say_what_the_battery_accepts() -> None:
    panel = charge_time_panel()
    panel.set(acceptance=COLD, power_kw=11, target_percent=95)
    # 30 kWh accept 6 kW, from the grid 6 ÷ 0.9; 100 kWh accept 20 kW, 9.9 kW from 1 − 0.2 × 9.9 ÷ 20 on
    assert "30 kWh battery, draws only 6.7 kW, less and less from 80 %: " in panel.words
    assert "100 kWh battery, less and less from 90 %: " in panel.words
    panel.set(target_percent=80)
    assert "less and less" not in panel.words
    assert "30 kWh battery, draws only 6.7 kW: " in panel.words
    panel.set(acceptance="full power to the end", target_percent=100, power_kw=50)
    assert "draws only" not in panel.words


def test_full_battery_with_a_taper_is_refused_and_99_percent_is_not() -> None:
    panel = charge_time_panel()
    panel.set(acceptance=WARM, target_percent=99)
    before = panel.svg()
    with pytest.raises(ValueError, match="Target state of charge: 100 % was given; allowed is below 100 %"):
        panel.set(target_percent=100)
    assert panel.svg() == before
    panel.set(acceptance="full power to the end")
    assert "to 100 %" in panel.words


def test_shaded_hours_are_the_cheap_ones() -> None:
    """From 18:00 on over 12 h, and over days: 22 to 6 o'clock."""
    _, by_clock = charts(power_kw=11)
    assert (by_clock.x.low, by_clock.x.high) == (18, 30)
    assert [(thing.left, thing.right) for thing in by_clock.things if isinstance(thing, Box)] == [(22, 30)]
    _, by_clock = charts(plugged_in_h=4, power_kw=7, efficiency_percent=100)
    assert [(thing.left, thing.right) for thing in by_clock.things if isinstance(thing, Box)] == [(4, 6)]
    _, by_clock = charts(plugged_in_h=12, power_kw=2.5)
    shaded = [(thing.left, thing.right) for thing in by_clock.things if isinstance(thing, Box)]
    assert shaded == [(22, 30), (46, 54)]
    assert dict(by_clock.x.ticks or ())[24] == "0"


def test_long_charges_are_marked_by_days() -> None:
    _, by_clock = charts(power_kw=1.4, second_kwh=150, efficiency_percent=50, start_percent=0)
    assert dict(by_clock.x.ticks or ())[48] == "day 3"


def test_courses_begin_at_the_start_and_end_at_the_target() -> None:
    _, by_clock = charts(start_percent=30, target_percent=90, power_kw=11, acceptance=WARM)
    courses = [thing for thing in by_clock.things if type(thing).__name__ == "Line"]
    assert len(courses) == 2
    for course in courses:
        heights = np.asarray(course.y)  # type: ignore[union-attr]
        assert heights[[0, -1]] == pytest.approx([30, 90])
        assert (np.diff(heights) > 0).all()


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("acceptance", ACCEPTANCES)
def test_extremes_are_drawn(acceptance: str, large: bool) -> None:
    panel = charge_time_panel()
    for values in (
        {"first_kwh": 5, "power_kw": 50, "plugged_in_h": 23.5},
        {
            "second_kwh": 150,
            "power_kw": 1.4,
            "efficiency_percent": 50,
            "start_percent": 0,
            "target_percent": 99,
        },
        {"start_percent": 99, "target_percent": 99, "plugged_in_h": 0},
    ):
        panel.set(acceptance=acceptance, **values)
        drawn = panel.svg(large=large).split("</desc>")[1]
        assert "nan" not in drawn
        assert "inf" not in drawn


@pytest.mark.parametrize(
    ("key", "end_kw", "usual"),
    # 3 × 230 V × 63 A; 240 V × 80 A: Encyclopedia article on SAE J1772. 3 × 16 A, 1 × 32 A: common practice
    [("europe", 43.47, 11.04), ("north-america", 19.2, 7.68), ("japan", 16.0, 6.4), ("china", 41.58, 10.56)],
)
def test_ac_ends_and_begins_at_the_power_of_the_region(key: str, end_kw: float, usual: float) -> None:
    assert ac_end(REGIONS[key]).power / 1000 == pytest.approx(end_kw)
    assert usual_ac_kw(REGIONS[key]) == pytest.approx(usual)


@pytest.mark.parametrize("key", REGIONS)
def test_figure_follows_the_region_and_says_that_dc_is_not_only_above(
    key: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ACPOWER_REGION", key)
    still, end = charge_time_figure(), ac_end(REGIONS[key])
    assert still.alt == charge_time_figure(30, 100, REGIONS[key]).alt
    assert f"ends at {end.power / 1000:.1f} kW, {end.current:.0f} A" in still.alt
    assert REGIONS[key].coupler.designation in still.alt
    assert still.caption.startswith("Charges from 0 to 100 %")
    assert "DC stations of less power exist" in still.caption
    assert "DC stations of less power exist" in still.alt


def test_description_says_prices_and_cheap_hours() -> None:
    said = "between 22:00 and 06:00 a kilowatt-hour costs 0.20, at other hours 0.40, invented."
    assert said in text_alternative(charge_time_panel().svg())
