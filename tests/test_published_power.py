"""Power and current against the worked examples of an open textbook and public charging pages."""

from collections.abc import Mapping

import numpy as np
import pytest
from published import case, check, half_of_last_digit
from scipy.optimize import brentq

from acpower.distorted import neutral_harmonics, true_power_factor
from acpower.feeder import feeder_end
from acpower.power import (
    neutral_current,
    phase_to_line,
    power_components,
    reactive_power,
    single_phase_current,
    single_phase_power,
    three_phase_current,
    three_phase_power,
)
from acpower.rms import total_harmonic_distortion
from acpower.unbalanced import delta, split_phase, star_with_neutral

_TURN = np.exp(2j * np.pi / 3)
_POLYPHASE = "volume II, chapter 10"


def _kilowatts(**inputs: float) -> float:
    return single_phase_power(**inputs) / 1000


def _neutral(currents: list[float]) -> object:
    """Return the neutral current of three resistive loads on a 230 V star."""
    return star_with_neutral(230, 230 * np.array(currents)).neutral_current


def _neutral_ratio(third_percent: float) -> object:
    """Return the neutral current over the phase current from the third over the first harmonic."""
    found = neutral_harmonics({1: 100, 3: third_percent})
    return found.neutral_current / found.phase_currents[0]


def _end_percent(phase: int) -> float:
    """Return a voltage at the end of 40 m of 4 mm2 (4.61 ohm/km) with 4.6 kW on L1, in percent."""
    source, ohms = 400 / np.sqrt(3), 4.61 * 0.040
    return float(100 * abs(feeder_end(source, [4600, 0, 0], ohms, ohms).phase_voltages[phase - 1]) / source)


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
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, two 10 kW loads at 120 V, each on its own leg",
        lambda powers: abs(split_phase(120, powers).line_currents[0]),
        {"powers": [10_000, 10_000, 0]}, "83.33",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, two 10 kW loads at 120 V, neutral of the split phase",
        lambda powers: split_phase(120, powers).neutral_current,
        {"powers": [10_000, 10_000, 0]}, "0.00",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, three 10 kW loads, three-phase star of 120 V, line by line",
        lambda powers: abs(star_with_neutral(120, powers).line_currents[2]), {"powers": [10_000] * 3}, "83.33",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, 30 kW delta at 120 V, branch by branch",
        lambda powers: abs(delta(120, powers).load_currents[1]), {"powers": [10_000] * 3}, "83.33",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, 30 kW delta at 120 V, line by line",
        lambda powers: abs(delta(120, powers).line_currents[2]), {"powers": [10_000] * 3}, "144.34",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, two equal loads of a star, neutral over line",
        lambda powers: star_with_neutral(120, powers).neutral_current / 20, {"powers": [2400, 0, 2400]}, "1",
    ),
    # As above: "about 50 mA" each.
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, harmonics of a star feeder, 3rd in the neutral in mA, by order",
        lambda currents: neutral_harmonics(currents).by_order[3],
        {"currents": {1: 119.8, 3: 50, 5: 50, 7: 50, 9: 50}}, "149.3", input_digits=1.5,
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, harmonics of a star feeder, 9th in the neutral in mA",
        lambda currents: neutral_harmonics(currents).by_order[9],
        {"currents": {1: 119.8, 3: 50, 5: 50, 7: 50, 9: 50}}, "149.3", input_digits=1.5,
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, harmonics of a star feeder, fundamental in the neutral in mA",
        lambda currents: neutral_harmonics(currents).by_order[1],
        {"currents": {1: 119.8, 3: 50, 5: 50, 7: 50, 9: 50}}, "0.0",
    ),
    case(
        "electric-circuits-ac", f"{_POLYPHASE}, harmonics of a star feeder, 5th and 7th in the neutral in mA",
        lambda currents: sum(neutral_harmonics(currents).by_order[order] for order in (5, 7)),
        {"currents": {1: 119.8, 3: 50, 5: 50, 7: 50, 9: 50}}, "0.0",
    ),
    # Calculated for this package, so not from outside: the tests below take another route to them.
    *(
        case("own-calculation", f"neutral of a star with {currents} A", _neutral, {"currents": currents}, printed)
        for currents, printed in [([20, 10, 10], "10.0"), ([32, 16, 0], "27.7"), ([32, 32, 0], "32.0")]
    ),
    *(
        case(
            "own-calculation", f"neutral over phase current, third harmonic of {percent} %",
            _neutral_ratio, {"third_percent": percent}, printed,
        )
        for percent, printed in [(5, "0.150"), (10, "0.299"), (20, "0.588"), (33, "0.940"), (40, "1.114")]
    ),
    case(
        "own-calculation", "third harmonic in percent from which the neutral carries more than a phase",
        lambda ratio: 100 * brentq(lambda k: _neutral_ratio(100 * k) - ratio, 0.1, 0.9), {"ratio": 1}, "35.4",
    ),
    *(
        case(
            "own-calculation", f"true power factor, displacement {displacement}, distortion {percent} %",
            true_power_factor, {"displacement_factor": displacement, "distortion": percent / 100}, printed,
        )
        for displacement, percent, printed in [
            (1.00, 5, "0.9988"), (0.99, 5, "0.9888"), (0.98, 10, "0.9751"), (0.95, 20, "0.9316"),
        ]
    ),
    # tests/test_feeder_pandapower.py has the same circuit in a power-flow program.
    *(
        case(
            "own-calculation", f"charger of 4.6 kW on L1, L{phase} in percent",
            _end_percent, {"phase": phase}, printed,
        )
        for phase, printed in [(1, "96.71"), (2, "100.83"), (3, "100.83")]
    ),
]  # fmt: skip


@pytest.mark.parametrize(("source", "formula", "inputs", "printed", "input_digits"), CASES)
def test_published_power(
    source: str, formula: object, inputs: Mapping[str, object], printed: str, input_digits: float
) -> None:
    check(source, formula, inputs, printed, input_digits)


# Power for a pilot current in kW, power factor 1: calculated for this package, so not from outside.
# Phases, and volts across each of them (between the lines where the name says so).
CONNECTIONS = {
    "230 V": (1, 230), "3 x 230 V": (3, 230), "400 V line to line": (3, 400 / 3**0.5), "240 V": (1, 240),
    "208 V": (1, 208), "120 V": (1, 120), "220 V": (1, 220), "380 V line to line": (3, 380 / 3**0.5),
}  # fmt: skip
POWER_TABLE = {
    6: "1.380 4.140 4.157 1.440 1.248 0.720 1.320 3.949",
    10: "2.300 6.900 6.928 2.400 2.080 1.200 2.200 6.582",
    13: "2.990 8.970 9.007 3.120 2.704 1.560 2.860 8.556",
    16: "3.680 11.040 11.085 3.840 3.328 1.920 3.520 10.531",
    20: "4.600 13.800 13.856 4.800 4.160 2.400 4.400 13.164",
    32: "7.360 22.080 22.170 7.680 6.656 3.840 7.040 21.062",
    63: "14.490 43.470 43.648 15.120 13.104 7.560 13.860 41.465",
}


@pytest.mark.parametrize(
    ("current", "connection", "printed"),
    [
        pytest.param(current, connection, printed, id=f"own-calculation, {current} A, {connection}")
        for current, line in POWER_TABLE.items()
        for connection, printed in zip(CONNECTIONS, line.split(), strict=True)
    ],
)
def test_power_for_a_pilot_current(current: int, connection: str, printed: str) -> None:
    phases, volts = CONNECTIONS[connection]
    near = pytest.approx(1000 * float(printed), rel=1e-12, abs=1000 * half_of_last_digit(printed))
    formula = single_phase_power if phases == 1 else three_phase_power
    assert formula(volts if phases == 1 else phase_to_line(volts), current) == near
    # The other route: the mean of voltage times current over one period, phase after phase.
    angles = 2 * np.pi * np.arange(360) / 360
    instants = [
        np.sqrt(2) * volts * np.cos(angles - shift) * np.sqrt(2) * current * np.cos(angles - shift)
        for shift in 2 * np.pi / 3 * np.arange(phases)
    ]
    assert np.mean(np.sum(instants, axis=0)) == near


@pytest.mark.parametrize(
    ("percent", "printed"), [(5, "0.150"), (10, "0.299"), (20, "0.588"), (33, "0.940"), (40, "1.114")]
)
def test_neutral_with_third_harmonic_in_the_time_domain(percent: float, printed: str) -> None:
    """own-calculation: the same ratios from the sum of three sampled currents."""
    angles = 2 * np.pi * np.arange(720) / 720
    lines = [
        np.cos(angles - shift) + percent / 100 * np.cos(3 * (angles - shift))
        for shift in 2 * np.pi / 3 * np.arange(3)
    ]
    ratio = np.sqrt(np.mean(np.sum(lines, axis=0) ** 2) / np.mean(lines[0] ** 2))
    assert ratio == pytest.approx(float(printed), abs=half_of_last_digit(printed))


@pytest.mark.parametrize(("size", "angle"), [(10, 0.6435011), (16, 0.3), (32, -0.2)])
def test_power_triangle_of_the_textbook_closes(size: float, angle: float) -> None:
    """electric-circuits-ac, volume II, chapter 11: S^2 = P^2 + Q^2; P and Q in the time domain."""
    parts = power_components(230, size * np.exp(-1j * angle))
    angles = 2 * np.pi * np.arange(360) / 360
    voltage = np.sqrt(2) * 230 * np.cos(angles)
    quarter_later = np.sqrt(2) * 230 * np.cos(angles - np.pi / 2)
    current = np.sqrt(2) * size * np.cos(angles - angle)
    assert parts.active == pytest.approx(np.mean(voltage * current))
    assert parts.reactive == pytest.approx(np.mean(quarter_later * current))
    assert parts.apparent**2 == pytest.approx(parts.active**2 + parts.reactive**2)
    assert parts.power_factor == pytest.approx(np.cos(angle))
    assert reactive_power(parts.apparent, parts.power_factor) == pytest.approx(abs(parts.reactive))
