"""Panel of the feeder: voltages of all phases, neutral, unbalance; words, picture, refusals, regions."""

import math
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from acpower import tables
from acpower.figures.scene import Box
from acpower.panels import unbalance_panel
from acpower.panels.unbalance import UNBALANCE_LIMIT_PERCENT, feeder, feeder_words
from acpower.region import REGIONS


@pytest.fixture(autouse=True)
def _europe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")


def test_one_charger_lowers_its_phase_and_lifts_the_others() -> None:
    """Own calculation with an unbalanced power flow: 96.71 % and 100.83 % of a stiff 400 V source."""
    numbers = feeder(400 / math.sqrt(3), 4.6, 0, 0, length_m=40, area_mm2=4)
    assert numbers.changes_percent == pytest.approx((96.71 - 100, 100.83 - 100, 100.83 - 100), abs=0.005)
    assert numbers.currents[1:] == (0, 0)
    assert numbers.neutral == pytest.approx(numbers.currents[0])


@given(
    st.floats(0.1, 7.4),
    st.floats(5, 100),
    st.sampled_from([(4.0, 4.61), (6.0, 3.08), (16.0, 1.15), (35.0, 0.524)]),
)
def test_loaded_phase_follows_the_closed_form(kw: float, metres: float, copper: tuple[float, float]) -> None:
    """E V − V² = 2 R P for one load; resistance per kilometre as printed in IEC 60228, class 2."""
    area, ohm_per_km = copper
    loop = 2 * ohm_per_km * metres / 1000
    volts = (230 + math.sqrt(230**2 - 4000 * kw * loop)) / 2
    numbers = feeder(230, kw, 0, 0, metres, area)
    assert numbers.voltages[0] == pytest.approx(volts, abs=1e-6)
    assert numbers.currents[0] == pytest.approx(1000 * kw / volts, abs=1e-6)


@given(st.floats(0, 7.4), st.floats(5, 100))
def test_equal_chargers_leave_neutral_and_balance_alone(kw: float, metres: float) -> None:
    numbers = feeder(230, kw, kw, kw, metres, 4)
    assert numbers.neutral == pytest.approx(0, abs=1e-6)
    assert numbers.unbalance_percent == pytest.approx(0, abs=1e-6)
    assert max(numbers.voltages) == pytest.approx(min(numbers.voltages), abs=1e-6)


@pytest.mark.parametrize("turns", [0, 1, 2])
def test_each_control_belongs_to_its_phase(turns: int) -> None:
    powers = [4.6, 2.3, 0]
    one = feeder(230, *powers, length_m=40, area_mm2=4)
    turned = feeder(230, *powers[turns:], *powers[:turns], length_m=40, area_mm2=4)
    assert turned.voltages == pytest.approx((*one.voltages[turns:], *one.voltages[:turns]), abs=1e-6)
    assert turned.unbalance_percent == pytest.approx(one.unbalance_percent, abs=1e-6)


def test_words_say_all_three_phases_and_the_limit() -> None:
    panel = unbalance_panel()
    assert panel.words == (
        "Voltage at the end: L1 222.4 V (−3.3 %), L2 231.9 V (+0.8 %), L3 231.9 V (+0.8 %). Current: L1 20.7 A, "
        "L2 0.0 A, L3 0.0 A, neutral 20.7 A. Voltage unbalance 0.56 %, within the 2 % of EN 50160."
    )
    assert "0.56 %, within 2 %" in panel.svg()
    panel.set(l1_kw=7.4, length_m=100)
    assert panel.words.endswith("Voltage unbalance 2.60 %, above the 2 % of EN 50160.")
    assert "2.60 %, ABOVE 2 %" in panel.svg()


def test_limit_is_the_one_of_the_document_and_belongs_to_the_good_side() -> None:
    """User manual of a power monitor, appendix H on EN 50160: unbalance 0 to 2 %."""
    assert "voltage unbalance (0 to 2 %)" in tables.sources()["power-monitor-manual"]["note"]
    numbers = feeder(230, 4.6, 0, 0, 40, 4)
    assert UNBALANCE_LIMIT_PERCENT == 2
    assert not replace(numbers, unbalance_percent=2.0).too_unequal
    assert replace(numbers, unbalance_percent=2.001).too_unequal


def test_nothing_connected_changes_nothing() -> None:
    panel = unbalance_panel()
    panel.set(l1_kw=0)
    assert "L1 230.0 V (+0.0 %), L2 230.0 V (+0.0 %), L3 230.0 V (+0.0 %)" in panel.words
    assert "−0.0" not in panel.svg()


def test_no_minus_before_a_nought() -> None:
    numbers = feeder(230, 0.1, 0.1, 0.1, length_m=5, area_mm2=35)
    assert -0.05 < numbers.changes_percent[0] < 0
    assert "(+0.0 %)" in feeder_words(numbers)
    assert "−" not in feeder_words(numbers)


def test_lower_phases_are_hatched_and_higher_ones_are_not() -> None:
    panel = unbalance_panel()
    voltages, loads, unbalance = panel._scene(panel.numbers).charts
    bars = [thing for thing in voltages.things if isinstance(thing, Box)]
    assert [bar.fill.hatch for bar in bars] == [True, False, False]
    assert [bar.right for bar in bars] == list(panel.numbers.changes_percent)
    bars = [thing for thing in loads.things if isinstance(thing, Box)]
    assert [bar.right for bar in bars] == [*panel.numbers.currents, panel.numbers.neutral]
    (bar,) = [thing for thing in unbalance.things if isinstance(thing, Box)]
    assert (bar.right, bar.fill.hatch) == (panel.numbers.unbalance_percent, False)
    panel.set(l1_kw=7.4, length_m=100)
    (bar,) = [t for t in panel._scene(panel.numbers).charts[2].things if isinstance(t, Box)]
    assert bar.fill.hatch


@pytest.mark.parametrize("large", [False, True], ids=["normal", "large"])
@pytest.mark.parametrize("key", ["europe", "north-america"])
def test_every_corner_of_the_controls_is_drawn(
    key: str, large: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ACPOWER_REGION", key)
    panel = unbalance_panel()
    highest = panel.controls["l1_kw"].high  # type: ignore[union-attr]
    for at in range(8):
        powers = {f"l{phase}_kw": highest * (at >> phase - 1 & 1) for phase in (1, 2, 3)}
        for length in (5, 100):
            for area in (4.0, 35.0):
                panel.set(**powers, length_m=length, area_mm2=area)
                drawn = panel.svg(large=large).split("</desc>")[1]
                assert "nan" not in drawn
                assert "inf" not in drawn
                ElementTree.fromstring(panel.svg(large=large))


def test_feeder_that_cannot_carry_the_load_is_refused() -> None:
    """Maximum power transfer: E² ÷ 4R; 230 V and 2 × 100 m of 4 mm² copper take 14.3 kW at most."""
    with pytest.raises(ValueError, match="powers: 15000 VA together was given"):
        feeder(230, 15, 0, 0, 100, 4)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"l2_kw": "8"}, r"Charger on L2: 8 kW was given; allowed is 0 to 7\.4 kW"),
        ({"length_m": "4"}, r"Length: 4 m was given; allowed is 5 to 100 m"),
        ({"area_mm2": "5 mm²"}, r"Cross-section: 5 mm² was given; allowed is one of 4 mm², 6 mm²"),
    ],
)
def test_refusals_keep_the_picture(values: dict[str, str], said: str) -> None:
    panel = unbalance_panel()
    before = panel.svg()
    with pytest.raises(ValueError, match=said):
        panel.set(**values)
    assert panel.svg() == before


@pytest.mark.parametrize(
    ("key", "source", "start", "highest"),
    [("europe", "230 V", 4.6, 7.4), ("north-america", "120 V", 2.4, 3.8), ("japan", "230 V", 4.6, 7.4)],
)
def test_source_and_powers_follow_the_region(
    key: str, source: str, start: float, highest: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """20 A at first and 32 A at most, from line to neutral."""
    monkeypatch.setenv("ACPOWER_REGION", key)
    panel = unbalance_panel()
    assert panel.title.endswith(f"source {source} to neutral")
    knob = panel.controls["l1_kw"]
    assert (knob.value, knob.high) == (start, highest)  # type: ignore[union-attr]
    assert panel.numbers.currents[0] == pytest.approx(20, rel=0.1)


@pytest.mark.parametrize("key", REGIONS)
def test_every_region_has_the_panel(key: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", key)
    assert unbalance_panel().numbers.unbalance_percent > 0
