"""Still figures of the supplies: the text alternatives say the numbers of the published tables."""

import pytest
from matplotlib.text import Text

from acpower.figures import (
    root_three_triangle_figure,
    star_delta_figure,
    supplies_figure,
    three_phase_supply,
)
from acpower.figures.look import Still
from acpower.region import REGIONS


def texts(still: Still) -> list[str]:
    return [text.get_text() for text in still.figure.findobj(Text) if text.get_text()]


def test_supplies_are_told_by_angle_and_voltage() -> None:
    """Table of supplies; Lessons In Electric Circuits, volume II chapter 10: 208 V and not 240 V."""
    still = supplies_figure()
    for said in (
        "two arrows of 120 V that point opposite ways", "240 V, twice as much", "three arrows of 230 V",
        "400 V, √3 times as much", "208 V and not 240 V",
    ):  # fmt: skip
        assert said in still.alt
    titles = [text for text in texts(still) if "phase" in text]
    assert titles == ["Single-phase", "Split-phase", "Three-phase", "Two legs of three-phase"]
    assert [text for text in texts(still) if text.endswith(" V")] == [
        "230 V", "120 V", "240 V", "230 V", "400 V", "120 V", "208 V",
    ]  # fmt: skip


def test_arrows_of_split_phase_lie_opposite_and_those_of_three_phases_120_degrees_apart() -> None:
    split, two_legs = supplies_figure().figure.axes[1], supplies_figure().figure.axes[3]
    (between,) = split.lines
    assert between.get_ydata() == pytest.approx([1, -1])
    (between,) = two_legs.lines
    length = sum((ends[1] - ends[0]) ** 2 for ends in (between.get_xdata(), between.get_ydata())) ** 0.5
    assert length == pytest.approx(3**0.5)


@pytest.mark.parametrize(("key", "star", "delta"), [("europe", 230, 400), ("north-america", 120, 208)])
def test_star_and_delta_name_the_voltages_of_the_supply(key: str, star: int, delta: int) -> None:
    supply = three_phase_supply(REGIONS[key])
    still = star_delta_figure(supply.phase_voltage_v, supply.line_voltage_v)
    assert f"Across each load there are {star} V." in still.alt
    assert f"Across each load there are {delta} V." in still.alt
    assert f"in star each load gets {star} V, in delta {delta} V" in still.caption
    assert {f"{star} V", f"{delta} V", "N", "L1", "L2", "L3"} <= set(texts(still))


def test_half_of_the_triangle_makes_root_three() -> None:
    """Lessons In Electric Circuits, volume II chapter 10: 120 V × √3 = 208 V (207.8 V)."""
    still = root_three_triangle_figure(120)
    assert "120 V × cos 30° = 103.9 V" in still.alt
    assert "The whole side is 207.8 V" in still.alt
    assert "L1 to L2: 2 × 120 V × cos 30° = 207.8 V" in texts(still)


@pytest.mark.parametrize("key", REGIONS)
def test_there_is_always_a_three_phase_supply_to_work_with(key: str) -> None:
    supply = three_phase_supply(REGIONS[key])
    assert supply.system == "three-phase"
    assert supply.line_voltage_v == pytest.approx(3**0.5 * supply.phase_voltage_v, rel=0.005)
