"""Figure of the weakest link: the openings are the ratings, and the smallest one sets the current."""

import pytest
from matplotlib.patches import Rectangle

from acpower.figures import weakest_link_figure
from acpower.panels import power_panel


def test_openings_are_the_ratings_and_the_current_fits_the_smallest() -> None:
    still = weakest_link_figure(supply=25, station=32, cable=13, vehicle=20)
    current, *walls = [patch for patch in still.figure.axes[0].patches if isinstance(patch, Rectangle)]
    assert current.get_height() == 13
    openings = [
        upper.get_y() - (lower.get_y() + lower.get_height())
        for upper, lower in zip(walls[::2], walls[1::2], strict=True)
    ]
    assert openings == pytest.approx([25, 32, 13, 20])
    assert [wall.get_hatch() or ".." for wall in walls[::2]] == ["..", "..", "///", ".."]
    assert "The weakest is the cable: 13 A fit through." in still.alt
    assert "mean of the ratings, 22.5 A. It does not fit through." in still.alt
    assert "22.5 A, does not fit through" in still.caption


def test_two_equally_weak_links_and_four_equal_ones_are_named() -> None:
    assert "The weakest is the station and vehicle: 16 A" in weakest_link_figure(32, 16, 20, 16).alt
    equal = weakest_link_figure(16, 16, 16, 16)
    assert "16 A, fits through" in equal.caption
    with pytest.raises(ValueError, match="allowed is 6 A or more"):
        weakest_link_figure(cable=5)


def test_power_panel_begins_where_a_lesson_wants(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")
    panel = power_panel(supply_current=32, cable_current=13)
    assert panel.numbers.currents == {"supply": 32, "station": 32, "cable": 13, "vehicle": 20}
    assert panel.face.shown["values"]["cable_current"] == "13"
    with pytest.raises(ValueError, match="Cable: 900 A was given"):
        power_panel(cable_current=900)
