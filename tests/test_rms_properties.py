"""Effective values: identities, round trips and refusals that hold for all values."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from acpower import rms

amperes = st.floats(0.0, 500.0)
levels = st.floats(-1000.0, 1000.0)
sample_lists = st.lists(levels, min_size=1, max_size=30)
live_sample_lists = sample_lists.filter(lambda samples: max(map(abs, samples)) > 1e-3)
magnitude_lists = st.lists(amperes, min_size=1, max_size=10)


@given(sample_lists)
def test_rms_lies_between_zero_and_the_peak(samples: list[float]) -> None:
    assert 0 <= rms.rms(samples) <= max(map(abs, samples)) * (1 + 1e-12)


@given(sample_lists, st.floats(-100, 100))
def test_rms_scales_with_the_signal(samples: list[float], gain: float) -> None:
    assert rms.rms(gain * np.array(samples)) == pytest.approx(abs(gain) * rms.rms(samples), abs=1e-9)


@given(sample_lists, st.integers(2, 4))
def test_rms_of_several_periods_is_that_of_one(samples: list[float], periods: int) -> None:
    assert rms.rms(samples * periods) == pytest.approx(rms.rms(samples), rel=1e-12)


@given(amperes)
def test_peak_and_rms_of_a_sine_are_a_round_trip(peak: float) -> None:
    assert rms.rms_to_peak(rms.peak_to_rms(peak)) == pytest.approx(peak, rel=1e-12)


@given(levels, st.integers(0, 40), levels)
def test_pulse_equals_its_samples(high: float, count: int, low: float) -> None:
    assert rms.pulse_rms(high, count / 40, low) == pytest.approx(
        rms.rms([high] * count + [low] * (40 - count))
    )


@given(levels, st.floats(0, 1), levels)
def test_pulse_can_be_told_from_either_level(high: float, duty: float, low: float) -> None:
    assert rms.pulse_rms(high, duty, low) == pytest.approx(rms.pulse_rms(low, 1 - duty, high), abs=1e-6)


@given(magnitude_lists)
def test_combined_rms_grows_with_each_component_and_ignores_their_order(components: list[float]) -> None:
    total = rms.combined_rms(components)
    assert total >= max(components) * (1 - 1e-12)
    assert total <= sum(components) * (1 + 1e-12)
    assert rms.combined_rms(components[::-1]) == pytest.approx(total)


@given(st.floats(1, 100), magnitude_lists)
def test_distortion_and_total_rms_agree(fundamental: float, harmonics: list[float]) -> None:
    thd = rms.total_harmonic_distortion(fundamental, harmonics)
    assert rms.combined_rms([fundamental, *harmonics]) == pytest.approx(fundamental * np.sqrt(1 + thd**2))


@given(live_sample_lists)
def test_crest_and_form_factor_are_at_least_one(samples: list[float]) -> None:
    assert rms.crest_factor(samples) >= 1 - 1e-12
    assert rms.form_factor(samples) >= 1 - 1e-12


@given(live_sample_lists, st.floats(0.1, 100))
def test_crest_and_form_factor_do_not_depend_on_size_or_sign(samples: list[float], gain: float) -> None:
    scaled = -gain * np.array(samples)
    assert rms.crest_factor(scaled) == pytest.approx(rms.crest_factor(samples))
    assert rms.form_factor(scaled) == pytest.approx(rms.form_factor(samples))


@pytest.mark.parametrize("factor", [rms.crest_factor, rms.form_factor])
@pytest.mark.parametrize("samples", [0.0, [0.0, 0.0], [[1.0, 2.0], [0.0, 0.0]]])
def test_factors_of_silence_are_refused(factor: Callable[..., Any], samples: object) -> None:
    with pytest.raises(
        ValueError, match=r"^samples: only 0 was given; allowed is samples of which at least one"
    ):
        factor(samples)


def test_negative_component_is_told_to_be_a_magnitude() -> None:
    with pytest.raises(
        ValueError, match=r"^components\[1\]: -5 was given; .* a DC part is entered as its magnitude"
    ):
        rms.combined_rms([12, -5])


def test_last_axis_is_worked_over() -> None:
    samples = np.array([[[1.0, -1.0], [2.0, -2.0]], [[3.0, 3.0], [0.0, 4.0]]])
    assert rms.rms(samples).shape == (2, 2)
    assert rms.rms(samples) == pytest.approx(np.array([[1.0, 2.0], [3.0, 8.0**0.5]]))
    assert rms.total_harmonic_distortion([10.0, 20.0], [[3.0, 4.0], [6.0, 8.0]]) == pytest.approx([0.5, 0.5])
