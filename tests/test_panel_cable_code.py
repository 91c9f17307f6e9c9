"""Panel of the cable code: what the plug tells, what the station offers, and that both are shown and said."""

import re

import numpy as np
import pytest

from acpower import tables
from acpower.figures.scene import Box, Line, Text
from acpower.panels import cable_code_panel
from acpower.panels.cable_code import CableCode, read_code
from acpower.panels.panel import Panel

each_size = pytest.mark.parametrize("large", [False, True], ids=["normal", "large"])
BANDS = tables.rows("cable_bands")


def shown(panel: Panel[CableCode], *, large: bool = False) -> str:
    return " ".join(re.findall(r">([^<>\n]+)</(?:text|tspan)>", panel.svg(large=large)))


@pytest.mark.parametrize("row", BANDS, ids=lambda row: f"{row['band_set']}-{row['three_phase_a']}")
def test_nominal_resistor_gets_the_published_rating_in_both_sets(row: dict[str, str]) -> None:
    """Table of cable bands: bring-up guide for stations, and manual of a charge controller, Table 5-1."""
    numbers = read_code(float(row["nominal_ohm"]), 0, row["band_set"], 63)
    assert numbers.cable_a == float(row["three_phase_a"])
    assert numbers.offer_a == numbers.cable_a


@pytest.mark.parametrize(
    ("ohms", "station", "offer", "duty", "limits"),
    [  # IEC 61851-1 Annex A, station side, as in the manual of a test adapter: I / 0.6, from 52.5 A I / 2.5 + 64
        (680, 32, 20, 33.3, "cable"),
        (220, 16, 16, 26.7, "station"),
        (1500, 6, 6, 10.0, "station"),
        (100, 63, 63, 89.2, ""),
        (220, 32, 32, 53.3, ""),
    ],
)
def test_offer_is_the_smaller_and_its_duty_follows(
    ohms: float, station: float, offer: float, duty: float, limits: str
) -> None:
    numbers = read_code(ohms, 0, "accept", station)
    assert (numbers.offer_a, numbers.limits) == (offer, limits)
    assert numbers.duty_percent == pytest.approx(duty, abs=0.05)


@each_size
def test_panel_says_and_shows_what_limits(large: bool) -> None:
    panel = cable_code_panel()
    assert "Station and cable agree: the pilot offers 32 A, a duty of 53.3 %." in panel.words
    assert "LIMITS" not in shown(panel, large=large)
    panel.set(coding_ohm=680)
    assert "reads 680 Ω: a cable for 20 A" in panel.words
    assert "The cable limits: the pilot offers 20 A" in panel.words
    assert "20 A LIMITS" in shown(panel, large=large)
    assert "20 A, duty 33.3 %" in shown(panel, large=large)
    panel.set(station_a=10)
    assert "The station limits: the pilot offers 10 A" in panel.words
    assert "10 A LIMITS" in shown(panel, large=large)


def test_dirty_contact_adds_and_errs_to_the_safe_side() -> None:
    panel = cable_code_panel()
    panel.set(contact_ohm=200)
    assert panel.numbers.read_ohm == 420
    assert panel.numbers.cable_a == 20
    assert "read: 420 Ω" in shown(panel)
    ratings = [
        [read_code(ohms, dirt, bands, 63).cable_a for dirt in range(0, 1001, 10)]
        for bands in ("accept", "touching")
        for ohms in (100, 220, 680, 1500)
    ]
    assert all(np.all(np.diff(row) <= 0) for row in ratings)


@pytest.mark.parametrize(
    ("ohms", "accept", "touching"), [(960, 13, 20), (140, 63, 63), (320, 20, 32), (2300, 13, 0)]
)
def test_both_sets_of_bands_can_be_chosen(ohms: float, accept: float, touching: float) -> None:
    """The ends of the bands as printed in the two documents; a gap takes the lower rating."""
    panel = cable_code_panel()
    panel.set(coding_ohm=ohms)
    assert panel.numbers.cable_a == accept
    panel.set(bands="touching")
    assert panel.numbers.cable_a == touching


def test_every_band_is_drawn_at_its_ends_and_the_one_in_use_is_bold() -> None:
    panel = cable_code_panel()
    chart = panel._scene(panel.numbers).charts[0]
    boxes = [thing for thing in chart.things if isinstance(thing, Box)]
    drawn = [(10 ** float(box.left or 0), 10 ** float(box.right or 0)) for box in boxes]
    printed = [(float(row["low_ohm"]), float(row["high_ohm"])) for row in BANDS]
    assert np.array(drawn) == pytest.approx(np.array(printed))
    labels = [thing for thing in chart.things if isinstance(thing, Text)]
    assert [label.text for label in labels if label.bold] == ["32 A"]
    (pointer,) = [thing for thing in chart.things if isinstance(thing, Line)]
    assert 10 ** np.asarray(pointer.x) == pytest.approx(220)


@each_size
@pytest.mark.parametrize("ohms", [50, 5000])
def test_plug_without_a_known_code_gets_no_offer(ohms: float, large: bool) -> None:
    panel = cable_code_panel()
    panel.set(coding_ohm=ohms, contact_ohm=0 if ohms == 50 else 1000)
    assert panel.numbers.offer_a == 0
    assert panel.words.endswith("the station offers nothing and no charge starts.")
    assert "0 A LIMITS" in shown(panel, large=large)
    assert "duty" not in shown(panel, large=large)


def test_a_current_that_no_duty_stands_for_is_refused_and_the_picture_stays() -> None:
    """The pilot law jumps from 51 A to 52.5 A."""
    panel = cable_code_panel()
    panel.set(coding_ohm=100)
    before = panel.svg()
    with pytest.raises(ValueError, match=r"52 A was given; allowed is 6 to 51 A, and 52\.5 to 80 A"):
        panel.set(station_a=52)
    assert panel.svg() == before


def test_every_end_of_every_control_can_be_drawn() -> None:
    for name, control in cable_code_panel().controls.items():
        plan = control.plan()
        for end in plan.get("options") or (str(plan["low"]), str(plan["high"])):
            panel = cable_code_panel()
            panel.set(**{name: end})
            for large in (False, True):
                assert not re.search("nan|inf", panel.svg(large=large).split("</desc>")[1])
