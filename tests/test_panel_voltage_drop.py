"""The panel of the voltage drop: numbers of the tables, the limit with its rule of length, refusals."""

from typing import Any

import numpy as np
import pytest
from test_panels import text_alternative

from acpower.circuit import voltage_drop_limit
from acpower.figures.scene import Box, Chart, Line
from acpower.panels import voltage_drop_panel
from acpower.panels.voltage_drop import AREAS, connections
from acpower.region import REGIONS

ONE_PHASE = "one phase, 230 V"


@pytest.fixture(autouse=True)
def _europe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")


def charts(**values: Any) -> tuple[Chart, Chart]:
    panel = voltage_drop_panel()
    panel.set(**values)
    along, areas = panel._scene(panel.numbers).charts
    return along, areas


@pytest.mark.parametrize(
    ("area", "ohm_per_km"),
    # IEC 60228 class 2, ohm/km at 20 °C, as reproduced by cable makers
    [(1.5, 12.1), (4.0, 4.61), (10.0, 1.83), (95.0, 0.193)],
)
@pytest.mark.parametrize(("connection", "ways"), [(ONE_PHASE, 2), ("three phases, 230 V to neutral", 1)])
def test_drop_is_current_times_printed_resistance(
    area: float, ohm_per_km: float, connection: str, ways: int
) -> None:
    panel = voltage_drop_panel()
    panel.set(connection=connection, area_mm2=area, length_m=20, current=16, temperature_c=70)
    cold = ways * ohm_per_km * 0.020 * 16
    assert panel.numbers.drop == pytest.approx(1.2 * cold)  # 1 + 0.004 × 50
    assert panel.numbers.percent == pytest.approx(1.2 * cold / 2.3)
    assert panel.numbers.cold_percent == pytest.approx(cold / 2.3)
    assert panel.numbers.end_voltage == pytest.approx(230 - 1.2 * cold)


def test_words_repeat_the_result_and_judge_it() -> None:
    panel = voltage_drop_panel()
    assert panel.words == (
        "6 mm², 40 m, 32 A, 70 °C: drop 4.73 V = 2.06 % (1.71 % at 20 °C), 225.3 V of 230 V arrive. "
        "That keeps the limit of 5 %. 2.5 mm² or more keeps it; the current that the cable may carry "
        "decides as well."
    )
    panel.set(length_m=140, connection=ONE_PHASE)
    assert "That exceeds the limit of 5.2 %. 25 mm² or more keeps it" in panel.words
    panel.set(length_m=250, current=80, temperature_c=90, area_mm2=95.0)
    assert "limit of 5.5 %. 95 mm² or more keeps it" in panel.words


def test_no_cross_section_may_be_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "north-america")
    panel = voltage_drop_panel()
    panel.set(length_m=250, current=80, temperature_c=90, area_mm2=95.0)
    assert "No cross-section of the table keeps it" in panel.words
    assert panel.numbers.smallest_mm2 is None


@pytest.mark.parametrize(
    ("length", "percent"),
    # IEC 60364-5-52 Table G.52.1: 5 %, 0.005 % per metre beyond 100 m, 0.5 % at most
    [(100, 5.0), (101, 5.005), (150, 5.25), (200, 5.5), (250, 5.5)],
)
def test_limit_grows_with_the_length_where_iec_rules(length: float, percent: float) -> None:
    panel = voltage_drop_panel()
    panel.set(length_m=length)
    assert panel.numbers.limit_percent == pytest.approx(percent)


def test_limit_of_north_america_knows_no_length(monkeypatch: pytest.MonkeyPatch) -> None:
    """Advice on voltage drop: 3 % for a branch circuit."""
    monkeypatch.setenv("ACPOWER_REGION", "north-america")
    panel = voltage_drop_panel()
    for length in (40, 250):
        panel.set(length_m=length)
        assert panel.numbers.limit_percent == 3
    assert voltage_drop_limit([1, 200], rule="nec").tolist() == [3, 3]  # type: ignore[union-attr]
    assert isinstance(voltage_drop_limit(1, rule="nec"), float)
    assert voltage_drop_limit(1) == voltage_drop_limit(1, rule="iec") == 5
    with pytest.raises(ValueError, match=r"rule: 'IEC' was given; allowed is one of 'nec', 'iec'"):
        voltage_drop_limit(1, rule="IEC")


@pytest.mark.parametrize(
    ("key", "voltage", "phases"),
    [("europe", 230, 3), ("china", 220, 3), ("north-america", 240, 1), ("japan", 200, 1)],
)
def test_first_connection_is_the_usual_one_of_the_region(key: str, voltage: float, phases: int) -> None:
    first = next(iter(connections(REGIONS[key]).values()))
    assert (first.voltage, first.phases) == (voltage, phases)


def test_current_that_no_voltage_could_drive_is_refused() -> None:
    panel = voltage_drop_panel()
    before = panel.svg()
    said = r"voltage drop: 496 V was given; allowed is less than the 230 V of the supply"
    with pytest.raises(ValueError, match=said):  # 2 × 12.1 Ω/km × 0.25 km × 1.28 × 64 A
        panel.set(connection=ONE_PHASE, area_mm2=1.5, length_m=250, current=64, temperature_c=90)
    assert panel.svg() == before


def test_line_falls_from_the_board_to_the_charging_point() -> None:
    along, _ = charts(length_m=60)
    curve = next(thing for thing in along.things if isinstance(thing, Line) and not thing.pen.dashes)
    assert np.asarray(curve.x).tolist() == [0, 60]
    assert np.asarray(curve.y) == pytest.approx([230, 230 - 32 * 3.08 * 0.060 * 1.2])
    assert along.y.low < 230 * 0.95 < 230 < along.y.high


def test_bars_above_the_limit_are_hatched() -> None:
    _, areas = charts(connection=ONE_PHASE, length_m=100)
    bars = [thing for thing in areas.things if isinstance(thing, Box)]
    assert len(bars) == len(AREAS) == 11
    panel = voltage_drop_panel()
    panel.set(connection=ONE_PHASE, length_m=100)
    assert [bar.fill.hatch for bar in bars] == [share > 5 for share in panel.numbers.percents]
    assert {bar.fill.hatch for bar in bars} == {True, False}


def test_scale_holds_the_whole_drop_and_cold_label_stands_for_warm_cables_only() -> None:
    for area in (1.5, 6.0, 95.0):
        along, _ = charts(area_mm2=area, current=60, length_m=100)
        panel = voltage_drop_panel()
        panel.set(area_mm2=area, current=60, length_m=100)
        assert along.y.low <= panel.numbers.end_voltage
    assert "at 20 °C</tspan>" in voltage_drop_panel().svg()
    panel.set(temperature_c=20)
    assert "at 20 °C</tspan>" not in panel.svg()


@pytest.mark.parametrize("large", [False, True])
def test_extremes_are_drawn(large: bool) -> None:
    panel = voltage_drop_panel()
    for values in (
        {"area_mm2": 1.5, "length_m": 1, "current": 6, "temperature_c": 20},
        {"area_mm2": 1.5, "length_m": 125, "current": 80, "temperature_c": 90},
        {"area_mm2": 95.0, "length_m": 250, "current": 80, "temperature_c": 90},
    ):
        panel.set(**values)
        assert "nan" not in panel.svg(large=large)


def test_picture_lists_the_drop_of_every_cross_section() -> None:
    said = text_alternative(voltage_drop_panel().svg())
    assert "Drop of every cross-section: 1.5 mm² 8.08 %, 2.5 mm² 4.95 %, " in said
    assert "orange and hatched" in said
