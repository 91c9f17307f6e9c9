"""Panel of the chain: what opens, what stays live, who commands; and the lessons that show it."""

import xml.etree.ElementTree as ElementTree

import pytest

from acpower import tables
from acpower.figures import charging_modes_figure
from acpower.panels import chain_panel
from acpower.panels.chain import EVENTS, NO_VOLTAGE, PARTS, STORED, chain_words, follow
from acpower.protection import RESIDUAL_CURRENT_DEVICES
from acpower.sequence import charging_sequence

SVG = "{http://www.w3.org/2000/svg}"
USUAL = "type-a-6ma"
each_event = pytest.mark.parametrize("happens", EVENTS)


@pytest.fixture(autouse=True)
def _europe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")


def written(svg: str) -> list[str]:
    return ["".join(text.itertext()) for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def test_form_of_the_voltage_follows_the_stages_of_the_charger() -> None:
    """The form behind a part is the form in front of the next one: table of charger stages."""
    behind = follow("charging, nothing wrong", USUAL).behind
    stages = {row["name"]: row for row in tables.rows("charger_stages")}
    assert behind["cable"] == stages["rectifier"]["before"]
    assert behind["rectifier"] == stages["power factor stage"]["before"]
    assert behind["power factor stage"] == stages["DC link"]["before"]
    assert behind["DC link"] == stages["isolated DC/DC"]["before"]
    assert behind["DC/DC"] == behind["battery"] == stages["battery"]["before"]


@pytest.mark.parametrize(
    ("happens", "opens", "dead_from"),
    [
        # common practice, no source; the pilot cases also by the charging sequence below
        ("charging, nothing wrong", "", None),
        ("station lowers its offer", "", None),
        ("battery asks for less", "", None),
        ("plugged in, not ready", "station contactor", "station contactor"),
        ("battery is full", "station contactor", "station contactor"),
        ("release button pressed", "station contactor", "station contactor"),
        ("pilot wire breaks", "station contactor", "station contactor"),
        ("short circuit in the cable", "breaker", "breaker"),
        ("AC goes astray", "RCD or CCID", "RCD or CCID"),
        ("pulsating DC goes astray", "RCD or CCID", "RCD or CCID"),
        ("smooth DC goes astray", "RCD or CCID", "RCD or CCID"),
        ("power cut", "station contactor", "supply"),
    ],
)
def test_what_opens_and_from_where_on_there_is_no_voltage(
    happens: str, opens: str, dead_from: str | None
) -> None:
    state = follow(happens, USUAL)
    assert state.opens == opens
    dead = [part for part in PARTS if state.behind[part] == NO_VOLTAGE]
    expected = list(PARTS[PARTS.index(dead_from) :]) if dead_from else []
    assert dead == [part for part in expected if part != "battery" and state.behind[part] != STORED]
    assert (state.behind["DC link"] == STORED) == (bool(opens) and happens != "plugged in, not ready")


@pytest.mark.parametrize(
    ("happens", "events"),
    [
        ("plugged in, not ready", [(1, "plug in")]),
        ("charging, nothing wrong", [(1, "plug in"), (2, "vehicle ready")]),
        ("station lowers its offer", [(1, "plug in"), (2, "vehicle ready"), (9, "current limit", 8)]),
        ("battery is full", [(1, "plug in"), (2, "vehicle ready"), (9, "vehicle not ready")]),
        ("release button pressed", [(1, "plug in"), (2, "vehicle ready"), (9, "interlock opens")]),
        ("pilot wire breaks", [(1, "plug in"), (2, "vehicle ready"), (9, "pilot lost")]),
    ],
)
def test_contactor_is_where_the_charging_sequence_leaves_it(
    happens: str, events: list[tuple[float, str]]
) -> None:
    closed = charging_sequence(events)[-1].contactor_closed
    assert (follow(happens, USUAL).opens != "station contactor") == closed


@pytest.mark.parametrize("key", RESIDUAL_CURRENT_DEVICES)
@pytest.mark.parametrize("form", ["AC", "pulsating DC", "smooth DC"])
def test_device_opens_only_on_what_it_detects(key: str, form: str) -> None:
    state = follow(f"{form} goes astray", key)
    words = chain_words(state)
    if form in RESIDUAL_CURRENT_DEVICES[key].detects:
        # a CCID is a part of the station and opens its contactor: from memory
        assert state.opens == ("station contactor" if key in ("ccid5", "ccid20") else "RCD or CCID")
        assert not state.missed
        assert "DANGER" not in words
    else:
        assert state.opens == ""
        assert state.missed
        assert words.endswith("DANGER: nothing opens.")


def test_time_in_which_the_contactor_opens_is_the_one_of_the_table() -> None:
    """Bring-up guide for stations, quoting IEC 61851-1 Table A.6 sequence 8.1: 100 ms."""
    assert "opens within 0.1 s" in chain_words(follow("pilot wire breaks", USUAL))


@each_event
@pytest.mark.parametrize("large", [False, True], ids=["normal", "large"])
def test_picture_says_each_part_and_what_stands_behind_it(happens: str, large: bool) -> None:
    panel = chain_panel()
    panel.set(happens=happens)
    svg = panel.svg(large=large)
    texts = written(svg)
    assert [text for text in texts if text in PARTS] == list(PARTS)
    opened = [text for text in texts if text.startswith("OPEN")]
    assert len(opened) == svg.count("-hatch)") == (1 if panel.numbers.opens else 0)
    commands = [text for text in texts if text.endswith(", commands")]
    assert len(commands) == (1 if EVENTS[happens].commands else 0)
    assert (STORED in texts) == (panel.numbers.behind["DC link"] == STORED)
    description = ElementTree.fromstring(svg).findtext(f"{SVG}desc") or ""
    assert description.endswith(panel.words)
    assert panel.words.startswith(f"{happens[0].upper()}{happens[1:]}. ")


def test_device_that_sees_nothing_says_so_in_the_picture() -> None:
    panel = chain_panel()
    panel.set(happens="smooth DC goes astray", device="type A")
    assert "does NOT see it" in written(panel.svg())
    panel.set(device="type B")
    assert "does NOT see it" not in written(panel.svg())


def test_device_can_only_be_turned_where_a_current_goes_astray() -> None:
    panel = chain_panel()
    for happens in EVENTS:
        panel.set(happens=happens)
        assert panel.face.shown["idle"] == ([] if happens.endswith("astray") else ["device"])


@pytest.mark.parametrize(
    ("region", "mains", "pulses", "device"),
    [
        ("europe", "AC, 50 Hz", "pulsating DC, 100 Hz", "type A with detection of 6 mA DC"),
        ("north-america", "AC, 60 Hz", "pulsating DC, 120 Hz", "CCID20"),
    ],
)
def test_panel_speaks_of_the_region(
    region: str, mains: str, pulses: str, device: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ACPOWER_REGION", region)
    panel = chain_panel()
    assert mains in written(panel.svg())
    assert pulses in written(panel.svg())
    assert panel.face.shown["values"]["device"] == device


def test_modes_figure_tells_every_row_of_the_table() -> None:
    alt = charging_modes_figure().alt
    for row in tables.rows("charging_modes"):
        assert row["connection"] in alt
        assert row["device"] == "none" or row["device"] in alt
    assert "Mode 1: plain socket; nothing; AC in the cable" in alt
    assert (
        "Mode 4: dedicated station; station with the charger inside; DC in the cable; in the vehicle battery."
        in alt
    )
    assert charging_modes_figure().caption.endswith("From memory, unconfirmed: Mode 1 and Mode 4.")
