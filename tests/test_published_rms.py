"""Effective values and waveform factors against open textbooks and a public table."""

from collections.abc import Mapping

import numpy as np
import pytest
from published import case, check

from acpower.power import single_phase_power
from acpower.rms import crest_factor, form_factor, peak_to_rms, rms, rms_to_peak

# 10 000 samples cover one whole period evenly and hit the peaks; the end point is not repeated.
_SHARE = np.arange(10_000) / 10_000
SINE = np.sin(2 * np.pi * _SHARE)
RECTIFIED_SINE = np.abs(SINE)
SQUARE = np.where(_SHARE < 0.5, 1.0, -1.0)
TRIANGLE = 4 * np.abs(_SHARE - 0.5) - 1
SAWTOOTH = 2 * _SHARE - 1

_TEXTBOOK, _AC = "electric-circuits-ac", "volume II, chapter 1"


def _rectified_mean(samples: np.ndarray) -> float:
    return rms(samples) / form_factor(samples)


WAVEFORMS = [
    case(_TEXTBOOK, f"{_AC}, sine, RMS", rms, {"samples": SINE}, "0.7071"),
    case(_TEXTBOOK, f"{_AC}, sine, mean", _rectified_mean, {"samples": SINE}, "0.6366"),
    case(_TEXTBOOK, f"{_AC}, sine, crest factor", crest_factor, {"samples": SINE}, "1.4142"),
    case(_TEXTBOOK, f"{_AC}, sine, form factor", form_factor, {"samples": SINE}, "1.1107"),
    case(_TEXTBOOK, f"{_AC}, square, RMS", rms, {"samples": SQUARE}, "1.0000"),
    case(_TEXTBOOK, f"{_AC}, square, mean", _rectified_mean, {"samples": SQUARE}, "1.0000"),
    case(_TEXTBOOK, f"{_AC}, square, crest factor", crest_factor, {"samples": SQUARE}, "1.0000"),
    case(_TEXTBOOK, f"{_AC}, square, form factor", form_factor, {"samples": SQUARE}, "1.0000"),
    case(_TEXTBOOK, f"{_AC}, triangle, RMS", rms, {"samples": TRIANGLE}, "0.5774"),
    case(_TEXTBOOK, f"{_AC}, triangle, mean", _rectified_mean, {"samples": TRIANGLE}, "0.5000"),
    case(_TEXTBOOK, f"{_AC}, triangle, crest factor", crest_factor, {"samples": TRIANGLE}, "1.7321"),
    case(_TEXTBOOK, f"{_AC}, sawtooth, RMS", rms, {"samples": SAWTOOTH}, "0.5774"),
    case("form-factor-tutorial", "table, full-wave", form_factor, {"samples": RECTIFIED_SINE}, "1.1107"),
    case("form-factor-tutorial", "table, triangle", form_factor, {"samples": TRIANGLE}, "1.1547"),
]  # fmt: skip

EXAMPLES = [
    case("university-physics-2", "110 V outlet, peak", rms_to_peak, {"rms": 110}, "156"),
    case("university-physics-2", "series circuit, 4.00 V source, RMS", peak_to_rms, {"peak": 4.00}, "2.83"),
    case(
        "university-physics-2", "series circuit, 2.83 V at 7.07 ohm with 5.00 ohm in it, power",
        single_phase_power, {"voltage": 2.83, "current": 2.83 / 7.07, "power_factor": 5.00 / 7.07}, "0.801",
    ),
    case(
        "university-physics-2", "100 V peak at 50 ohm, RMS current",
        lambda peak, ohms: peak_to_rms(peak) / ohms, {"peak": 100, "ohms": 50}, "1.4",
    ),
    case(
        "university-physics-2", "100 V peak at 20 mH and 200 pi rad/s, RMS current",
        lambda peak, ohms: peak_to_rms(peak) / ohms, {"peak": 100, "ohms": 200 * np.pi * 20e-3}, "5.6",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("source", "formula", "inputs", "printed", "input_digits"), WAVEFORMS + EXAMPLES)
def test_published_effective_value(
    source: str, formula: object, inputs: Mapping[str, object], printed: str, input_digits: float
) -> None:
    check(source, formula, inputs, printed, input_digits)
