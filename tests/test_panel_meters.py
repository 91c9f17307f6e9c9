"""Panel of five meters: readings of the pilot and of what a socket gives, words, picture."""

import xml.etree.ElementTree as ElementTree
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from acpower.panels.meters import mains_signals, metered, metered_words, meters_panel, pilot_signal
from acpower.region import REGIONS

NOT_READY, READY = "control pilot, vehicle not ready", "control pilot, vehicle ready"
MAINS = mains_signals(REGIONS["europe"])


@pytest.fixture(autouse=True)
def _europe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")


@pytest.mark.parametrize(
    ("name", "duty", "rms", "mean"),
    [
        # Worked out with numpy from the levels of the states: RMS = sqrt(D a² + (1 - D) b²)
        (NOT_READY, 10, 11.735, -9.900),
        (NOT_READY, 50, 10.607, -1.500),
        (NOT_READY, 85, 9.511, 5.850),
        (READY, 10, 11.541, -10.200),
        (READY, 50, 9.487, -3.000),
        (READY, 85, 7.225, 3.300),
    ],
)
def test_readings_of_the_pilot(name: str, duty: float, rms: float, mean: float) -> None:
    shown = metered(name, duty, MAINS)
    assert shown.readings.true_rms_ac_dc == pytest.approx(rms, abs=5e-4)
    assert shown.readings.dc == pytest.approx(mean, abs=5e-4)
    assert shown.highest == (9 if name == NOT_READY else 6)


@given(st.floats(0, 1), st.floats(-15, 15), st.floats(-15, 15))
def test_pilot_signal_has_the_duty_that_was_asked_for(duty: float, high: float, low: float) -> None:
    signal = pilot_signal(high, low, duty)
    mean = np.trapezoid(signal.samples, signal.turn)
    assert mean == pytest.approx(duty * high + (1 - duty) * low, abs=1e-6)
    assert np.all(np.diff(signal.turn) > 0)


def test_signals_of_the_mains_follow_the_region() -> None:
    for key, volts, hertz in (("europe", 230, 50), ("north-america", 120, 60), ("japan", 100, 50)):
        signals = mains_signals(REGIONS[key])
        shown = metered("socket", 25, signals)
        assert shown.signal.frequency_hz == hertz
        assert shown.readings.true_rms_ac_dc == pytest.approx(volts, rel=1e-3)
        assert shown.highest == pytest.approx(volts * np.sqrt(2), rel=1e-9)
        assert shown.duty_percent is None
        half = metered("socket behind one diode", 25, signals)
        assert half.readings.true_rms_ac_dc == pytest.approx(volts / np.sqrt(2), rel=1e-3)
        assert half.readings.dc == pytest.approx(volts * np.sqrt(2) / np.pi, rel=1e-3)


def test_pulsed_current_fools_the_averaging_meter() -> None:
    shown = metered("current of a simple charger", 25, MAINS)
    assert shown.signal.unit == "A"
    assert shown.readings.average_responding_ac_dc < 0.6 * shown.readings.true_rms_ac_dc
    # 500 W at 230 V take at least 2.17 A
    assert shown.readings.true_rms_ac_dc > 500 / 230


def test_words() -> None:
    panel = meters_panel()
    assert panel.words == (
        "Control pilot, vehicle not ready, 25 % of the time high. True-RMS meter: AC + DC 11.32 V, AC range 9.09 V. "
        "Average-responding meter: AC + DC 12.50 V, AC range 8.75 V. DC range: −6.75 V. The pilot carries two "
        "numbers, the high level 9.00 V and the duty 25 %: every display mixes them."
    )
    panel.set(duty_percent=100)
    assert panel.words.startswith(
        "Control pilot, vehicle not ready, steady. True-RMS meter: AC + DC 9.00 V, AC range 0.00 V."
    )
    assert panel.words.endswith("DC range: 9.00 V. The DC range shows the steady level.")
    panel.set(duty_percent=0)
    assert "DC range: −12.00 V. The DC range shows the steady level." in panel.words
    panel.set(name="socket")
    assert panel.words.endswith(
        "The RMS value, 230.0 V, stands on: true RMS AC + DC, true RMS AC range, average AC + DC, average AC range."
    )
    panel.set(name="socket behind one diode")
    assert panel.words.endswith("The RMS value, 162.6 V, stands on: true RMS AC + DC.")


@pytest.mark.parametrize("region", ["europe", "north-america"])
@pytest.mark.parametrize("large", [False, True], ids=["normal", "large"])
def test_every_signal_is_drawn_with_its_displays(
    region: str, large: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ACPOWER_REGION", region)
    panel = meters_panel()
    for name in panel.controls["name"].plan()["options"]:
        for duty in (0, 50, 100):
            panel.set(name=name, duty_percent=duty)
            root = ElementTree.fromstring(panel.svg(large=large))
            shown = [part.text for part in root.iter() if part.tag.endswith("}tspan")]
            assert {"true RMS", "average", "AC + DC", "AC range", "mean", "DC range"} <= set(shown)
            assert "nan" not in panel.svg(large=large).split("</desc>")[1]
            readings: Any = panel.numbers.readings
            unit = "A" if name.startswith("current") else "V"
            digits = 1 if readings.true_rms_ac_dc >= 100 else 2
            assert shown.count(f"{readings.true_rms_ac_dc:.{digits}f} {unit}") >= 1


def test_duty_counts_for_the_pilot_only() -> None:
    panel = meters_panel()
    assert panel.face.shown["idle"] == []
    panel.set(name="socket")
    assert panel.face.shown["idle"] == ["duty_percent"]
    with pytest.raises(ValueError, match="Pilot: time high: 101 % was given; allowed is 0 to 100 %"):
        panel.set(duty_percent=101)


def test_words_come_from_the_numbers() -> None:
    shown = metered(READY, 10, MAINS)
    assert "10 % of the time high" in metered_words(shown)
    assert "DC range: −10.20 V" in metered_words(shown)
