"""Power and current against the worked examples of an open textbook and public charging pages."""

from collections.abc import Mapping

import numpy as np
import pytest
from published import case, check

from acpower.power import (
    neutral_current,
    phase_to_line,
    single_phase_current,
    single_phase_power,
    three_phase_current,
    three_phase_power,
)
from acpower.rms import total_harmonic_distortion

_TURN = np.exp(2j * np.pi / 3)
_POLYPHASE = "volume II, chapter 10"


def _kilowatts(**inputs: float) -> float:
    return single_phase_power(**inputs) / 1000


CASES = [
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, one 10 kW load at 120 V",
        single_phase_current, {"power": 10_000, "voltage": 120}, "83.33",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, two 10 kW loads at 120 V",
        single_phase_current, {"power": 20_000, "voltage": 120}, "166.7",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, two 10 kW loads in series at 240 V",
        single_phase_current, {"power": 20_000, "voltage": 240}, "83.33",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, three 10 kW loads, single-phase",
        single_phase_current, {"power": 30_000, "voltage": 120}, "250",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, three 10 kW loads, split-phase",
        single_phase_current, {"power": 30_000, "voltage": 240}, "125",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, three 10 kW loads, three-phase star of 120 V",
        lambda power, phase_voltage: three_phase_current(power, phase_to_line(phase_voltage)),
        {"power": 30_000, "phase_voltage": 120}, "83.33",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, 30 kW delta at 120 V, branch",
        single_phase_current, {"power": 30_000 / 3, "voltage": 120}, "83.33",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, 30 kW delta at 120 V, line",
        three_phase_current, {"power": 30_000, "line_voltage": 120}, "144.34",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, power of the delta from its line current, kW",
        lambda line_voltage, current: three_phase_power(line_voltage, current) / 1000,
        {"line_voltage": 120, "current": 144.34}, "30",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, power of the star from its line current, kW",
        lambda line_voltage, current: three_phase_power(line_voltage, current) / 1000,
        {"line_voltage": 208, "current": 83.33}, "30",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, line voltage of a 120 V star",
        phase_to_line, {"phase_voltage": 120}, "208",
    ),
    # The example gives the harmonics of one line as "about 50 mA" each: half a milliampere of
    # 50 mA is 1 %, which is 0.83 in the distortion and 1.5 mA in the neutral.
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, harmonics of a star feeder, line distortion in percent",
        lambda fundamental, harmonics: 100 * total_harmonic_distortion(fundamental, harmonics),
        {"fundamental": 119.8, "harmonics": [50, 50, 50, 50]}, "83.2", input_digits=0.83,
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, harmonics of a star feeder, 3rd in the neutral in mA",
        neutral_current, {"phasors": [50, 50, 50]}, "149.3", input_digits=1.5,
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, harmonics of a star feeder, fundamental in the neutral in A",
        neutral_current, {"phasors": [0.1198, 0.1198 * _TURN, 0.1198 / _TURN]}, "0.000",
    ),
    case("j1772-plug-page", "level 1, kW", _kilowatts, {"voltage": 120, "current": 16}, "1.92"),
    case("j1772-article", "level 1 in daily use, kW", _kilowatts, {"voltage": 120, "current": 12}, "1.44"),
    case("j1772-article", "level 2, kW", _kilowatts, {"voltage": 240, "current": 80}, "19.2"),
    case(
        "city-utility-charging-page", "level 2 at home, kW",
        _kilowatts, {"voltage": 240, "current": 30}, "7.2",
    ),
    case(
        "level-2-wiring-table", "208 V instead of 240 V, loss of power in percent",
        lambda low, high: 100 * (1 - single_phase_power(low, 32) / single_phase_power(high, 32)),
        {"low": 208, "high": 240}, "13.3",
    ),
    case(
        "undervoltage-thread", "three phases of 16 A at 210 V, kW",
        lambda voltage, current: 3 * single_phase_power(voltage, current) / 1000,
        {"voltage": 210, "current": 16}, "10",
    ),
    case(
        "undervoltage-thread", "three phases of 16 A at 230 V, kW",
        lambda voltage, current: 3 * single_phase_power(voltage, current) / 1000,
        {"voltage": 230, "current": 16}, "11",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("source", "formula", "inputs", "printed", "input_digits"), CASES)
def test_published_power(
    source: str, formula: object, inputs: Mapping[str, object], printed: str, input_digits: float
) -> None:
    check(source, formula, inputs, printed, input_digits)
