"""Panel of the control pilot: levels, state, current by both rules, faults, meters, picture."""

import xml.etree.ElementTree as ElementTree
from collections.abc import Callable
from itertools import product
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from acpower import tables
from acpower.panels.pilot import Listened, listen, listened_words, pilot_panel
from acpower.region import REGIONS

DUTY_TABLE = [(float(row["duty_percent"]), float(row["current_a"])) for row in tables.rows("pilot_duty")]
STATES = {row["state"]: row for row in tables.rows("pilot_states")}


def at(
    duty: float = 25, vehicle: str = "B", ohms: float = 2740, fault: str = "none", windows: str = "detection"
) -> Listened:
    return listen(duty, vehicle, ohms, fault, windows)


def labels(svg: str) -> list[str]:
    """Return the texts of a picture, line by line."""
    root = ElementTree.fromstring(svg)
    return [text.text or "" for text in root.iter() if text.tag.endswith(("}tspan", "}text")) and text.text]


# ---- What is on the wire and what it means


@pytest.mark.parametrize("state", ["B", "C", "D"])
def test_levels_are_those_of_the_table_of_states(state: str) -> None:
    """Design guide TIDUF04, Table 2-3: +9, +6, +3 V and -12 V; the circuit comes within 0.1 V of them."""
    heard = at(vehicle=state)
    assert heard.high == pytest.approx(float(STATES[state]["positive_v"]), abs=0.1)
    assert heard.low == float(STATES[state]["negative_v"])
    assert heard.state == f"{state}2"
    assert heard.ohms == pytest.approx(float(STATES[state]["vehicle_ohm"]), abs=0.5)
    assert heard.diode is True


@pytest.mark.parametrize(("duty", "current"), DUTY_TABLE, ids=[f"{duty:g} %" for duty, _ in DUTY_TABLE])
def test_current_by_the_iec_rule_is_as_printed(duty: float, current: float) -> None:
    """Manual of a charging-station test adapter, Table 4, printed to 0.1 A."""
    heard = at(duty, "C")
    assert heard.currents["iec"] == pytest.approx(current, abs=0.05)
    assert f"IEC rule: {current:g} A" in listened_words(heard)


@pytest.mark.parametrize(
    ("duty", "iec", "sae"),
    [
        (5, "digital communication required", "digital communication required"),
        (7.5, "charging not allowed", "charging not allowed"),
        (9, "6 A", "charging not allowed"),
        (85, "51 A", "51 A"),
        (85.2, "53 A", "53 A"),
        (96.5, "80 A", "error"),
        (98, "charging not allowed", "error"),
        (100, "charging not allowed", "charging not allowed"),
        (0, "charging not allowed", "charging not allowed"),
    ],
)
def test_two_rules_read_the_same_duty(duty: float, iec: str, sae: str) -> None:
    """Ranges of the table duty_ranges: two manuals for IEC, a public page for SAE."""
    assert listened_words(at(duty, "C")).endswith(f"IEC rule: {iec}. SAE rule: {sae}.")


@pytest.mark.parametrize(
    ("values", "state", "high", "low", "contactor"),
    [
        ({}, "B2", 8.979, -12, "stays open"),
        ({"vehicle": "C"}, "C2", 5.995, -12, "may close"),
        ({"vehicle": "D"}, "D2", 2.929, -12, "if vented"),
        ({"vehicle": "C", "duty": 100}, "C1", 5.995, None, "stays open"),
        ({"vehicle": "C", "duty": 0}, "F", None, -12, "stays open"),
        ({"vehicle": "A"}, "A", 12, None, "stays open"),
        ({"vehicle": "A", "duty": 0}, "F", None, -12, "stays open"),
        ({"vehicle": "C", "fault": "pilot wire broken"}, "A", 12, None, "stays open"),
        ({"vehicle": "C", "fault": "pilot wire shorted to earth"}, "E", 0, None, "stays open"),
        ({"vehicle": "B", "fault": "diode shorted"}, "B2", 8.791, -8.791, "stays open"),
        ({"vehicle": "C", "fault": "diode shorted"}, "C2", 5.623, -5.623, "stays open"),
        ({"vehicle": "resistance by hand", "ohms": 0}, "E", 0.7, -12, "stays open"),
        ({"vehicle": "resistance by hand", "ohms": 1600}, "–", 7.654, -12, "stays open"),
        ({"vehicle": "resistance by hand", "ohms": 882}, "C2", 5.996, -12, "may close"),
    ],
)  # fmt: skip
def test_state_levels_and_contactor(
    values: dict[str, Any], state: str, high: float | None, low: float | None, contactor: str
) -> None:
    """Divider worked out by hand: 0.7 + 11.3 R / (1000 + R); with the diode shorted 12 R / (1000 + R)."""
    heard = at(**values)
    assert (heard.state, heard.contactor) == (state, contactor)
    assert heard.high == (None if high is None else pytest.approx(high, abs=6e-4))
    assert heard.low == (None if low is None else pytest.approx(low, abs=6e-4))


@pytest.mark.parametrize("vehicle", ["B", "C", "D"])
def test_shorted_diode_is_seen_in_every_state(vehicle: str) -> None:
    heard = at(vehicle=vehicle, fault="diode shorted")
    assert heard.diode is False
    assert "NO DIODE" in listened_words(heard)
    assert "Diode found" in listened_words(at(vehicle=vehicle))


def test_three_sets_of_windows_judge_one_level_in_three_ways() -> None:
    """9.58 V: above 9.56 V of the set "test", below 9.59 V of "component"; 3300 ohm give 9.37 V, inside all."""
    ohms = 1000 * (9.58 - 0.7) / (12 - 9.58)
    heard = at(vehicle="resistance by hand", ohms=ohms)
    assert heard.states == {"detection": "B", "test": "–", "component": "B"}
    assert "other sets: test –, component B" in listened_words(heard)
    narrow = at(vehicle="resistance by hand", ohms=ohms, windows="test")
    assert listened_words(narrow).startswith(
        "9.58 V and −12.00 V at the station, 25 % of the time high: no state, since no test window"
    )
    assert set(at(vehicle="resistance by hand", ohms=3300).states.values()) == {"B"}


@given(st.floats(0, 100), st.sampled_from("ABCD"), st.booleans())
def test_meters_show_what_a_sampled_signal_gives(duty: float, vehicle: str, shorted: bool) -> None:
    """Mean and root of the mean square of 100 000 samples, taken with numpy alone."""
    heard = at(duty, vehicle, fault="diode shorted" if shorted else "none")
    high = heard.low if heard.high is None else heard.high
    low = heard.high if heard.low is None else heard.low
    place = (np.arange(100_000) + 0.5) / 100_000
    samples = np.where(place < heard.duty_percent / 100, high, low)
    assert heard.readings.dc == pytest.approx(np.mean(samples), abs=5e-4)
    assert heard.readings.true_rms_ac_dc == pytest.approx(np.sqrt(np.mean(samples**2)), abs=5e-4)
    assert heard.readings.true_rms_ac == pytest.approx(np.std(samples), abs=0.1)


# ---- The panel


def test_words_at_first() -> None:
    assert pilot_panel().words == (
        "8.98 V and −12.00 V at the station, 25 % of the time high: state B2 by the detection windows (other sets: "
        "test B, component B). Diode found. The contactor stays open. IEC rule: 15 A. SAE rule: 15 A."
    )


def test_words_of_a_vehicle_that_wants_ventilation_and_of_a_steady_level() -> None:
    assert "The contactor may close if the station ventilates." in listened_words(at(vehicle="D"))
    assert "The contactor may close." in listened_words(at(vehicle="C"))
    assert listened_words(at(duty=0)).startswith("Steady −12.00 V at the station: state F by the detection")


def test_panel_is_the_same_everywhere(monkeypatch: pytest.MonkeyPatch) -> None:
    pictures = set()
    for region in REGIONS:
        monkeypatch.setenv("ACPOWER_REGION", region)
        pictures.add(pilot_panel().svg())
    assert len(pictures) == 1


@pytest.mark.parametrize(
    ("values", "idle"),
    [
        ({}, ["ohms"]),
        ({"vehicle": "resistance by hand"}, []),
        ({"vehicle": "A: no vehicle"}, ["duty_percent", "ohms"]),
        ({"vehicle": "A: no vehicle", "duty_percent": 0}, ["ohms"]),
        ({"fault": "diode shorted"}, ["ohms"]),
        ({"fault": "pilot wire broken"}, ["duty_percent", "vehicle", "ohms"]),
        ({"fault": "pilot wire shorted to earth", "duty_percent": 0}, ["duty_percent", "vehicle", "ohms"]),
    ],
)
def test_controls_without_effect_are_idle(values: dict[str, Any], idle: list[str]) -> None:
    panel = pilot_panel()
    panel.set(**values)
    assert panel.face.shown["idle"] == idle


@pytest.mark.parametrize(
    ("values", "names"),
    [
        ({"ohms": 10_001}, "Resistance: 10001 Ω was given; allowed is 0 to 10000 Ω"),
        ({"duty_percent": 101}, "Duty: 101 % was given; allowed is 0 to 100 %"),
        ({"duty_percent": -1}, "Duty: -1 % was given; allowed is 0 to 100 %"),
    ],
)  # fmt: skip
def test_refusals_name_quantity_value_and_range(values: dict[str, Any], names: str) -> None:
    with pytest.raises(ValueError, match=names):
        pilot_panel().set(**values)


@pytest.mark.parametrize("large", [False, True], ids=["normal", "large"])
def test_every_combination_of_extremes_is_drawn(large: bool) -> None:
    panel = pilot_panel()
    menus = [panel.controls[name].plan()["options"] for name in ("vehicle", "fault", "windows")]
    for duty, ohms, (vehicle, fault, windows) in product((0, 50, 100), (0, 10_000), product(*menus)):
        panel.set(duty_percent=duty, ohms=ohms, vehicle=vehicle, fault=fault, windows=windows)
        drawn = panel.svg(large=large).split("</desc>")[1]
        assert "nan" not in drawn
        assert "inf" not in drawn


def test_picture_names_what_it_shows() -> None:
    panel = pilot_panel()
    shown = labels(panel.svg())
    for word in ("A", "B", "C", "D", "E", "F", "8.98 V", "−12.00 V", "B2", "stays open", "15 A", "11.32 V"):
        assert word in shown
    assert "no diode" not in shown
    panel.set(fault="diode shorted", duty_percent=5)
    shown = labels(panel.svg())
    assert "no diode" in shown
    assert shown.count("digital") == 2
    assert "-hatch)" in panel.svg()
    assert "What meters show: True-RMS meter: AC + DC" in panel.svg()
    panel.set(windows="component")
    assert "F" not in labels(panel.svg())


def test_trace_jumps_where_the_duty_says(read_trace: Callable[[str], np.ndarray]) -> None:
    panel = pilot_panel()
    panel.set(duty_percent=40)
    x, y = read_trace(panel.svg()).T
    width = x.max()
    top = x[y == y.min()]
    assert top.min() == 0
    assert sorted(set((top / width).round(2))) == [0, 0.2, 0.5, 0.7]


@pytest.fixture
def read_trace() -> Callable[[str], np.ndarray]:
    """Return the corners of the curve that has the most of them."""

    def read(svg: str) -> np.ndarray:
        lines = [part for part in ElementTree.fromstring(svg).iter() if part.tag.endswith("}polyline")]
        corners = [np.array(str(line.get("points")).split(), float).reshape(-1, 2) for line in lines]
        return max(corners, key=len)

    return read
