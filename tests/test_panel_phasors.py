"""Panel of the phasors: star and delta, lag, neutral; numbers, words, picture, refusals, regions."""

import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from acpower.figures.scene import Text
from acpower.panels import phasor_panel
from acpower.panels.panel import Panel
from acpower.panels.phasors import Currents, _labels, currents, currents_words
from acpower.region import REGIONS
from acpower.supply import nominal_supply

EUROPE = nominal_supply("iec-230-400")
amperes = st.floats(0, 32)
lags = st.floats(-90, 90)


@pytest.fixture(autouse=True)
def _europe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")


@pytest.mark.parametrize(
    ("loads", "neutral"),
    [((20, 10, 10), "10.0 A"), ((32, 16, 0), "27.7 A"), ((32, 32, 0), "32.0 A"), ((16, 16, 16), "0.0 A")],
)
def test_neutral_of_unequal_loads(loads: tuple[float, float, float], neutral: str) -> None:
    """Own calculation with phasors: √(a² + b² + c² − ab − bc − ca), here 10.0, 27.7 and 32.0 A."""
    panel = phasor_panel()
    panel.set(first=loads[0], second=loads[1], third=loads[2])
    assert f"The neutral carries {neutral}. Power" in panel.words


def test_line_current_of_a_published_delta() -> None:
    """Lessons In Electric Circuits, volume II chapter 10: 83.33 A in each branch of 120 V, 144.34 A in each line."""
    found = currents(replace(EUROPE, line_voltage_v=120.0), "delta", 83.33, 83.33, 83.33, lag=0)
    for line in found.lines.values():
        assert abs(line) == pytest.approx(144.34, abs=0.015)  # half of the last digit, of 83.33 times √3
    assert found.power_kw == pytest.approx(30, abs=0.005)


@given(amperes, amperes, amperes, lags)
def test_star_against_sampled_waves(first: float, second: float, third: float, lag: float) -> None:
    """Another route: instantaneous values over one period, their mean power and their sum."""
    angles = np.linspace(0, 2 * np.pi, 240, endpoint=False)
    thirds = 2 * np.pi / 3 * np.arange(3)[:, None]
    sizes = np.array([[first], [second], [third]])
    waves = np.sqrt(2) * sizes * np.sin(angles - thirds - np.radians(lag))
    volts = np.sqrt(2) * 230 * np.sin(angles - thirds)
    found = currents(EUROPE, "star", first, second, third, lag)
    assert found.neutral == pytest.approx(float(np.sqrt(np.mean(waves.sum(axis=0) ** 2))), abs=1e-9)
    assert found.power_kw == pytest.approx(float(np.mean((volts * waves).sum(axis=0))) / 1000, abs=1e-9)
    assert [abs(line) for line in found.lines.values()] == pytest.approx([first, second, third], abs=1e-9)


@given(amperes, amperes, amperes, lags)
def test_delta_has_no_neutral_and_its_lines_add_to_nothing(
    first: float, second: float, third: float, lag: float
) -> None:
    found = currents(EUROPE, "delta", first, second, third, lag)
    assert found.neutral is None
    assert abs(sum(found.lines.values())) == pytest.approx(0, abs=1e-9)
    one, two, three = found.loads.values()
    assert list(found.lines.values()) == pytest.approx([one - three, two - one, three - two], abs=1e-9)
    total = 400 * (first + second + third) * np.cos(np.radians(lag)) / 1000
    assert found.power_kw == pytest.approx(total, abs=1e-9)


@pytest.mark.parametrize("connection", ["star", "delta"])
@pytest.mark.parametrize(("lag", "said"), [(30, "lags by 30°"), (-30, "leads by 30°"), (0, "lags by 0°")])
def test_current_comes_after_its_voltage_by_the_lag(connection: str, lag: float, said: str) -> None:
    found = currents(EUROPE, connection, 16, 10, 10, lag)
    load = next(iter(found.loads.values()))
    assert np.degrees(np.angle(found.load_voltage / load)) == pytest.approx(lag, abs=1e-9)
    assert said in currents_words(found)
    assert f"power factor {np.cos(np.radians(lag)):.2f}." in currents_words(found)


def test_words_say_star_and_delta() -> None:
    panel = phasor_panel()
    assert panel.words == (
        "Star, 230 V across each load, the current lags by 20°, power factor 0.94. Lines L1 16.0 A, L2 16.0 A, "
        "L3 6.0 A. The neutral carries 10.0 A. Power together: 8.21 kW."
    )
    panel.set(connection="delta", third=16, lag=0)
    assert panel.words == (
        "Delta, 400 V across each load, the current lags by 0°, power factor 1.00. Loads L1-L2 16.0 A, "
        "L2-L3 16.0 A, L3-L1 16.0 A. Lines L1 27.7 A, L2 27.7 A, L3 27.7 A. There is no neutral. "
        "Power together: 19.20 kW."
    )


def names(svg: str) -> list[str]:
    return [text for text in ("".join(e.itertext()) for e in ElementTree.fromstring(svg).iter()) if text]


def test_picture_names_what_flows_and_nothing_else() -> None:
    panel = phasor_panel()
    assert {"U1", "L1", "L2", "L3", "N", "outer circle 20 A", "Time (ms), 50 Hz"} <= set(names(panel.svg()))
    panel.set(second=0, third=0)
    assert {"L1", "N"} <= set(names(panel.svg()))
    assert not {"L2", "L3"} & set(names(panel.svg()))
    panel.set(connection="delta", second=10)
    assert {"1-2", "2-3", "L1", "L2", "L3"} <= set(names(panel.svg()))
    assert not {"3-1", "N"} & set(names(panel.svg()))
    panel.set(first=0, second=0)
    assert not {"L1", "L2", "L3", "N", "1-2"} & set(names(panel.svg()))


def test_angle_is_marked_only_where_there_is_one() -> None:
    """The angle is the one solid thin line of the left picture."""

    def lines(**values: float) -> int:
        panel = phasor_panel()
        panel.set(**values)
        return len(panel._scene(panel.numbers).charts[0].things)

    assert lines(lag=20) == lines(lag=-20) == lines(lag=0) + 1
    assert lines(lag=20, first=0, second=16) == lines(lag=0, first=0, second=16)


@pytest.mark.parametrize("large", [False, True], ids=["normal", "large"])
@pytest.mark.parametrize("connection", ["star with neutral", "delta"])
def test_every_corner_of_the_controls_can_be_drawn_with_labels_apart(connection: str, large: bool) -> None:
    panel = phasor_panel()
    for first, second, third, lag in product((0, 1, 32), (0, 32), (0, 32), (-90, 0, 45, 90)):
        panel.set(connection=connection, first=first, second=second, third=third, lag=lag)
        drawn = panel.svg(large=large).split("</desc>")[1]
        assert "nan" not in drawn
        assert "inf" not in drawn
        places = [(text.x, text.y) for text in labels_of_arrows(panel)]
        reach = panel._scene(panel.numbers).charts[0].x.high / 1.35
        for (x, y), (other_x, other_y) in combinations(places, 2):
            assert np.hypot(x - other_x, y - other_y) >= 0.22 * reach - 1e-9
        assert all(np.hypot(x, y) <= 1.3 * reach for x, y in places)


def labels_of_arrows(panel: Panel[Currents]) -> list[Text]:
    things = panel._scene(panel.numbers).charts[0].things
    return [thing for thing in things if isinstance(thing, Text) and not thing.text.startswith("outer")]


def test_second_name_at_the_same_tip_steps_aside() -> None:
    first, second = _labels({"L1": 20 + 0j, "N": 20 + 0j}, reach=20.0)
    assert (first.x, first.y) == pytest.approx((22.8, 0))
    assert abs(complex(second.x, second.y) - 22.8) >= 4.4


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"first": "33"}, r"Load 1: 33 A was given; allowed is 0 to 32 A"),
        ({"third": "-1"}, r"Load 3: -1 A was given; allowed is 0 to 32 A"),
        ({"lag": "120"}, r"Lag behind the voltage: 120 ° was given; allowed is -90 to 90 °"),
        (
            {"connection": "triangle"},
            r"Connection: triangle was given; allowed is one of star with neutral, delta",
        ),
    ],
)
def test_refusals_keep_the_picture(values: dict[str, str], said: str) -> None:
    panel = phasor_panel()
    before = panel.svg()
    with pytest.raises(ValueError, match=said):
        panel.set(**values)
    assert panel.svg() == before


@pytest.mark.parametrize(
    ("key", "title", "period_ms", "star", "delta"),
    [
        ("europe", "230/400 V, 50 Hz", 20, "230 V", "400 V"),
        ("north-america", "120/208 V, 60 Hz", 1000 / 60, "120 V", "208 V"),
        ("japan", "230/400 V, 50 Hz", 20, "230 V", "400 V"),  # chargers get one phase there
    ],
)
def test_voltages_and_frequency_follow_the_region(
    key: str, title: str, period_ms: float, star: str, delta: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ACPOWER_REGION", key)
    panel = phasor_panel()
    assert panel.title.endswith(title)
    assert panel._scene(panel.numbers).charts[1].x.high == pytest.approx(2 * period_ms)
    assert f"Star, {star} across each load" in panel.words
    panel.set(connection="delta")
    assert f"Delta, {delta} across each load" in panel.words


@pytest.mark.parametrize("key", REGIONS)
def test_every_region_has_the_panel(key: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", key)
    assert f"{REGIONS[key].frequency_hz} Hz" in phasor_panel().title


def test_text_alternative_tells_the_arrows_apart() -> None:
    panel = phasor_panel()
    assert "the line currents and their sum, N; U1 is the voltage across load 1." in panel.svg()
    panel.set(connection="delta")
    assert "the line currents, and thin ones for the load currents; U1" in panel.svg()
