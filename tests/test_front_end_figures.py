"""The figures of the front end say what the models and the limits say."""

import numpy as np
import pytest

from acpower.figures.front_end import front_end_figure, front_ends, harmonics_figure
from acpower.harmonic_limits import class_a_limit

LOADS = [400.0, 1000.0, 3000.0]


def test_both_front_ends_carry_the_same_load() -> None:
    """By the power balance of the circuit: resistance 0.4 ohm, two diodes of 1 V."""
    bridge, corrected = front_ends(800.0).values()
    lost = 0.4 * bridge.rms_current**2 + 2 * np.mean(np.abs(bridge.mains_current))
    assert bridge.active_power - lost == pytest.approx(800, rel=1e-3)
    assert corrected.active_power == pytest.approx(800, rel=1e-3)


@pytest.mark.parametrize("load", LOADS)
def test_waveforms_are_drawn_and_told(load: float) -> None:
    still = front_end_figure(load)
    assert f"draws {load:.0f} W" in still.alt
    assert still.caption.startswith(f"{load:.0f} W both times")
    for column, (name, period) in enumerate(front_ends(load).items()):
        current, link = still.figure.axes[column], still.figure.axes[2 + column]
        assert name in current.get_title()
        assert f"power factor {period.power_factor:.3f}" in current.get_title()
        assert f"THD {100 * period.distortion:.0f} %" in current.get_title()
        drawn = [line.get_ydata() for line in current.lines if len(line.get_ydata()) == 1000]
        assert drawn[0] == pytest.approx(drawn[0].max() * np.sin(100 * np.pi * period.time_s))
        assert drawn[1] == pytest.approx(period.mains_current)
        assert link.lines[0].get_xdata() == pytest.approx(np.arange(1000) / 50)
        assert link.lines[0].get_ydata() == pytest.approx(period.dc_link_voltage)
        low, high = link.get_ylim()
        assert low < period.dc_link_voltage.min() < period.dc_link_voltage.max() < high
        (note,) = link.texts
        assert note.get_text() == f"ripple {period.ripple:.0f} V peak to peak"
        height = low + note.get_position()[1] * (high - low)
        assert np.abs(period.dc_link_voltage - height).min() > 0.1 * (high - low)
        for words in (
            f"{period.rms_current:.2f} A", f"{period.mains_current.max():.1f} A",
            f"{period.dc_link_voltage.min():.0f} V and {period.dc_link_voltage.max():.0f} V",
        ):  # fmt: skip
            assert words in still.alt


@pytest.mark.parametrize("load", LOADS)
def test_bars_and_limits_are_drawn_and_told(load: float) -> None:
    still = harmonics_figure(load)
    (axes,) = still.figure.axes
    orders = [int(label.get_text()) for label in axes.get_xticklabels()]
    assert orders == [3, 5, 7, 9, 11, 13, 15, 17, 19]
    for bars, period in zip(axes.containers, front_ends(load).values(), strict=True):
        heights = [bar.get_height() for bar in bars]
        assert heights == pytest.approx([period.harmonic_currents[order - 1] for order in orders])
    levels = [segment[0, 1] for segment in axes.collections[0].get_segments()]
    assert levels == pytest.approx([class_a_limit(order) for order in orders])
    assert f"at {load:.0f} W" in still.alt
    for order in orders:
        currents = [period.harmonic_currents[order - 1] for period in front_ends(load).values()]
        assert (
            f"Order {order}: bridge {currents[0]:.2f} A, power factor stage {currents[1]:.2f} A, "
            f"limit {class_a_limit(order):.2f} A." in still.alt
        )


def test_verdict_names_the_orders_above_their_limit() -> None:
    """Own numbers: at 50 W even the bridge keeps its limits, at 1 kW the 3rd to 25th do not."""
    assert "above" not in harmonics_figure(50.0).alt
    assert harmonics_figure(50.0).alt.count("every harmonic up to the 40th keeps its limit") == 2
    alt = harmonics_figure(1000.0).alt
    over = "Bridge with capacitor: above the limit at orders 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23, 25."
    assert over in alt
    assert alt.endswith("With power factor stage: every harmonic up to the 40th keeps its limit.")


def test_figures_follow_the_mains_of_a_region() -> None:
    """At 60 Hz a period lasts 1000 / 60 ms; the models are checked elsewhere."""
    still = front_end_figure(1000.0, voltage=240, frequency=60)
    assert still.alt.startswith("One mains period of 240 V, 60 Hz;")
    assert still.figure.axes[2].get_xlim() == pytest.approx((0, 1000 / 60))
    bridge, corrected = front_ends(1000.0, 240, 60).values()
    assert f"its RMS value is {bridge.rms_current:.2f} A" in still.alt
    alt = harmonics_figure(1000.0, voltage=240, frequency=60).alt
    assert "at 1000 W, 240 V, 60 Hz" in alt
    thirds = [period.harmonic_currents[2] for period in (bridge, corrected)]
    assert f"Order 3: bridge {thirds[0]:.2f} A, power factor stage {thirds[1]:.2f} A" in alt
