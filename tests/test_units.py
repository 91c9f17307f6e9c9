"""Every public formula against the same formula with units, worked out by pint.

The units come from the docstrings: each argument is given to pint in some other unit, turned into the
documented one for the formula, and the result must be what pint gets from its own expression, in the
documented unit of the result. So a wrong factor of 1000 and a wrong unit in a docstring both show.
"""

import importlib
import inspect
import re
from collections.abc import Callable
from itertools import combinations
from typing import Any, NamedTuple

import numpy as np
import pint
import pytest

from acpower import (
    ac_ceiling,
    battery,
    charger,
    circuit,
    conductors,
    distorted,
    feeder,
    front_end,
    harmonic_limits,
    harmonics,
    load_sharing,
    meters,
    pilot,
    pilot_circuit,
    power,
    protection,
    proximity,
    rms,
    unbalanced,
    waveforms,
)
from acpower.efficiency import ChargerLosses, FixedEfficiency, MeasuredEfficiency
from acpower.tariff import Tariff

UNITS = pint.UnitRegistry()
Q = UNITS.Quantity
ROOT_3, TURN = np.sqrt(3), np.exp(-2j * np.pi / 3)

# What docstrings write, where pint writes something else. Where a formula serves volts and amperes alike,
# volts stand for both.
SPELLING = {
    "V or A": "V", "%": "percent", "mm2": "mm**2", "ohm mm2/m": "ohm*mm**2/m", "var": "V*A", "VA": "V*A",
    "A per phase": "A", "degC": "degC",
}  # fmt: skip


class Check(NamedTuple):
    """One formula, its arguments with units, and the same in pint; ``read`` picks a value of a record."""

    formula: Callable[..., Any]
    given: dict[str, Any]
    expected: Callable[..., Any]
    read: str = ""
    unit: str = ""


def rms_of(samples: Any) -> Any:
    return np.sqrt(np.mean(samples**2))


SAMPLES = Q(np.array([0.3, 0.1, -0.2, -0.25]), "kV")
PHASORS = Q(np.array([9e3, 4e3 * TURN, 5e3 / TURN]), "mA")
POWERS = Q(np.array([4.6 + 1j, 2.3, 0.5]), "kW")
SINE = np.sin(2 * np.pi * np.arange(64) / 64)

CHECKS = [
    Check(rms.rms, {"samples": SAMPLES}, rms_of),
    Check(rms.mean, {"samples": SAMPLES}, lambda samples: np.mean(samples)),
    Check(rms.rectified_mean, {"samples": SAMPLES}, lambda samples: np.mean(np.abs(samples))),
    Check(rms.peak_to_rms, {"peak": Q(0.325, "kV")}, lambda peak: peak / np.sqrt(2)),
    Check(rms.rms_to_peak, {"rms": Q(0.23, "kV")}, lambda rms: rms * np.sqrt(2)),
    Check(
        rms.pulse_rms,
        {"high": Q(9e3, "mV"), "duty": 0.3, "low": Q(-12e3, "mV")},
        lambda high, duty, low: np.sqrt(duty * high**2 + (1 - duty) * low**2),
    ),
    Check(
        rms.combined_rms,
        {"components": Q(np.array([12e3, 5e3]), "mV")},
        lambda components: np.sqrt(np.sum(components**2)),
    ),
    Check(
        rms.total_harmonic_distortion,
        {"fundamental": Q(1e4, "mV"), "harmonics": Q(np.array([0.3e-3, 0.4e-3]), "kV")},
        lambda fundamental, harmonics: np.sqrt(np.sum(harmonics**2)) / fundamental,
        unit="",
    ),
    Check(rms.crest_factor, {"samples": SAMPLES}, lambda samples: np.max(np.abs(samples)) / rms_of(samples)),
    Check(rms.form_factor, {"samples": SAMPLES}, lambda samples: rms_of(samples) / np.mean(np.abs(samples))),
    Check(
        harmonics.harmonics,
        {"samples": Q(0.3 * SINE, "kV"), "highest": 2},
        lambda samples, highest: np.array([1, 0]) * np.max(samples) / np.sqrt(2),
    ),
    Check(
        harmonics.harmonic_phasors,
        {"samples": Q(0.3 * SINE, "kV"), "highest": 1},
        lambda samples, highest: np.array([-1j]) * np.max(samples) / np.sqrt(2),
    ),
    Check(meters.meter_readings, {"samples": SAMPLES}, lambda samples: np.mean(samples), "dc", "V"),
    Check(
        waveforms.two_level,
        {"turn": 0.7, "duty": 0.5, "high": Q(9e3, "mV"), "low": Q(-0.012, "kV")},
        lambda turn, duty, high, low: low,
    ),
    Check(
        power.single_phase_power,
        {"voltage": Q(0.23, "kV"), "current": Q(16e3, "mA"), "power_factor": 0.9},
        lambda voltage, current, power_factor: voltage * current * power_factor,
    ),
    Check(
        power.three_phase_power,
        {"line_voltage": Q(0.4, "kV"), "current": Q(16e3, "mA"), "power_factor": 0.9},
        lambda line_voltage, current, power_factor: ROOT_3 * line_voltage * current * power_factor,
    ),
    Check(
        power.single_phase_current,
        {"power": Q(3.68, "kW"), "voltage": Q(0.23, "kV"), "power_factor": 0.9},
        lambda power, voltage, power_factor: power / voltage / power_factor,
    ),
    Check(
        power.three_phase_current,
        {"power": Q(11, "kW"), "line_voltage": Q(0.4, "kV"), "power_factor": 0.9},
        lambda power, line_voltage, power_factor: power / ROOT_3 / line_voltage / power_factor,
    ),
    Check(power.line_to_phase, {"line_voltage": Q(0.4, "kV")}, lambda line_voltage: line_voltage / ROOT_3),
    Check(power.phase_to_line, {"phase_voltage": Q(0.23, "kV")}, lambda phase_voltage: phase_voltage * ROOT_3),
    Check(power.neutral_current, {"phasors": PHASORS}, lambda phasors: abs(np.sum(phasors))),
    Check(
        power.reactive_power,
        {"apparent_power": Q(2.3, "kV*A"), "power_factor": 0.8},
        lambda apparent_power, power_factor: 0.6 * apparent_power,
    ),
    Check(
        power.power_components,
        {"voltage": Q(0.23, "kV"), "current": Q(16e3, "mA")},
        lambda voltage, current: voltage * current,
        "active",
        "W",
    ),
    Check(
        unbalanced.star_with_neutral,
        {"phase_voltage": Q(0.23, "kV"), "powers": POWERS},
        lambda phase_voltage, powers: abs(np.sum(np.conj(powers / phase_voltage) * [1, TURN, 1 / TURN])),
        "neutral_current",
        "A",
    ),
    Check(
        unbalanced.star_without_neutral,
        {"phase_voltage": Q(0.23, "kV"), "powers": Q(np.array([2.3, 2.3, 2.3]), "kW")},
        lambda phase_voltage, powers: powers / phase_voltage * [1, TURN, 1 / TURN],
        "line_currents",
        "A",
    ),
    Check(
        unbalanced.delta,
        {"line_voltage": Q(0.4, "kV"), "powers": POWERS},
        lambda line_voltage, powers: abs(powers / line_voltage),
        "abs load_currents",
        "A",
    ),
    Check(
        unbalanced.split_phase,
        {"leg_voltage": Q(0.12, "kV"), "powers": POWERS},
        lambda leg_voltage, powers: abs(np.conj(powers[0] - powers[1]) / leg_voltage),
        "neutral_current",
        "A",
    ),
    Check(
        unbalanced.power_of_impedance,
        {"voltage": Q(0.23, "kV"), "impedance": Q(0.01 + 0.002j, "kohm")},
        lambda voltage, impedance: voltage**2 / np.conj(impedance),
    ),
    Check(
        distorted.neutral_harmonics,
        {"currents": {1: Q(10e3, "mA"), 3: Q(2e3, "mA")}},
        lambda currents: 3 * currents[3],
        "neutral_current",
        "A",
    ),
    Check(
        distorted.true_power_factor,
        {"displacement_factor": 0.95, "distortion": Q(20, "percent")},
        lambda displacement_factor, distortion: displacement_factor / np.sqrt(1 + distortion**2),
    ),
    Check(
        feeder.feeder_end,
        {
            "phase_voltage": Q(0.23, "kV"), "powers": Q(np.zeros(3), "kW"),
            "line_impedance": Q(184, "mohm"), "neutral_impedance": Q(184, "mohm"),
        },
        lambda phase_voltage, **others: phase_voltage * np.ones(3),
        "abs phase_voltages",
        "V",
    ),
    Check(
        feeder.voltage_unbalance,
        {"phasors": Q(np.array([0.23, 0.23 * TURN, 0.22 / TURN]), "kV")},
        lambda phasors: abs(np.sum(phasors * [1, TURN, 1 / TURN])) / abs(np.sum(phasors * [1, 1 / TURN, TURN])),
    ),
    Check(
        pilot.current_from_duty,
        {"duty_percent": Q(0.3, "")},
        lambda duty_percent: duty_percent * Q(0.6, "A/percent"),
    ),
    Check(
        pilot.duty_from_current,
        {"current": Q(16e3, "mA")},
        lambda current: current / Q(0.6, "A/percent"),
    ),
    Check(pilot.cable_rating, {"resistance": Q(0.22, "kohm")}, lambda resistance: Q(32, "A")),
    Check(
        pilot_circuit.plateau_voltage,
        {
            "vehicle_resistance": Q(2.74, "kohm"), "source_voltage": Q(12e3, "mV"),
            "source_resistance": Q(1, "kohm"), "diode_drop": Q(700, "mV"),
        },
        lambda vehicle_resistance, source_voltage, source_resistance, diode_drop: diode_drop
        + (source_voltage - diode_drop) * vehicle_resistance / (vehicle_resistance + source_resistance),
    ),
    Check(
        pilot_circuit.resistance_from_plateau,
        {
            "positive_level": Q(9e3, "mV"), "source_voltage": Q(12e3, "mV"),
            "source_resistance": Q(1, "kohm"), "diode_drop": Q(700, "mV"),
        },
        lambda positive_level, source_voltage, source_resistance, diode_drop: source_resistance
        * (positive_level - diode_drop) / (source_voltage - positive_level),
    ),
    Check(
        pilot_circuit.negative_plateau,
        {"vehicle_resistance": Q(2.74, "kohm"), "diode_shorted": True},
        lambda vehicle_resistance, **_: Q(-12, "V") * vehicle_resistance / (vehicle_resistance + Q(1, "kohm")),
    ),
    Check(
        proximity.proximity_voltage,
        {"plug_resistance": Q(0.15, "kohm")},
        lambda plug_resistance: Q(5, "V") / (1 + Q(330, "ohm") * (1 / plug_resistance + 1 / Q(2.7, "kohm"))),
    ),
    Check(
        charger.battery_power, {"ac_power": Q(11, "kW"), "efficiency": 0.9},
        lambda ac_power, efficiency: ac_power * efficiency,
    ),
    Check(
        charger.grid_power, {"battery_power": Q(9.9, "kW"), "efficiency": 0.9},
        lambda battery_power, efficiency: battery_power / efficiency,
    ),
    Check(
        charger.Supply,
        {"phase_voltage": Q(0.23, "kV"), "phases": 3, "current": Q(16e3, "mA"), "power_factor": 0.9},
        lambda **inputs: inputs["current"],
        "current",
        "A",
    ),
    Check(
        FixedEfficiency(0.9).grid_power, {"battery_power": Q(9, "kW")}, lambda battery_power: battery_power / 0.9,
    ),
    Check(
        ChargerLosses(11_000, 80, 250, 400).battery_power,
        {"ac_power": Q(5.5, "kW")},
        lambda ac_power: ac_power - Q(80, "W") - Q(250, "W") / 2 - Q(400, "W") / 4,
    ),
    Check(
        MeasuredEfficiency([1_000, 3_000], [0.8, 0.9]).battery_power,
        {"ac_power": Q(3, "kW")},
        lambda ac_power: 0.9 * ac_power,
    ),
    Check(
        battery.charge_time,
        {"energy_kwh": Q(144, "MJ"), "power_kw": Q(11e3, "W"), "efficiency": 0.9},
        lambda energy_kwh, power_kw, efficiency: energy_kwh / (power_kw * efficiency),
    ),
    Check(
        battery.usable_energy,
        {"gross_kwh": Q(288, "MJ"), "usable_share": Q(95, "percent")},
        lambda gross_kwh, usable_share: gross_kwh * usable_share,
    ),
    Check(
        battery.c_rate,
        {"power_kw": Q(11e3, "W"), "usable_kwh": Q(180, "MJ")},
        lambda power_kw, usable_kwh: power_kw / usable_kwh,
    ),
    Check(
        battery.temperature_limit,
        {"temperature_c": Q(278.15, "K"), "cold_c": Q(273.15, "K"), "warm_c": Q(293.15, "K")},
        lambda temperature_c, cold_c, warm_c: (temperature_c - cold_c) / (warm_c - cold_c),
    ),
    Check(
        battery.session,
        {
            "usable_kwh": Q(180, "MJ"), "grid_kw": Q(10e3, "W"), "start_soc": Q(20, "percent"), "end_soc": 0.9,
            "efficiency": 0.9, "auxiliary_kw": Q(250, "W"), "acceptance_kw": Q(40e3, "W"), "knee": 0.99,
            "start_h": Q(90, "min"),
        },
        lambda usable_kwh, grid_kw, start_soc, end_soc, efficiency, auxiliary_kw, **others: usable_kwh
        * (end_soc - start_soc) / (grid_kw * efficiency - auxiliary_kw),
        "time_h",
        "h",
    ),
    Check(
        Tariff((6, 22), (0.4, 0.2)).price_at,
        {"clock_h": Q(360, "min")},
        lambda clock_h: Q(0.4, ""),
        unit="dimensionless",
    ),
    Check(
        conductors.conductor_resistance,
        {"area_mm2": Q(2.5e-6, "m**2"), "length_m": Q(0.02, "km"), "temperature_c": Q(293.15, "K")},
        lambda area_mm2, length_m, temperature_c: Q(7.41, "ohm/km") * length_m,
    ),
    Check(
        conductors.resistance_at_temperature,
        {"resistance_20": Q(1e3, "mohm"), "temperature_c": Q(343.15, "K"), "coefficient": Q(0.004, "1/K")},
        lambda resistance_20, temperature_c, coefficient: resistance_20
        * (1 + coefficient * (temperature_c - Q(293.15, "K"))),
    ),
    Check(
        conductors.wire_resistance,
        {"resistivity": Q(1.68e-8, "ohm*m"), "length_m": Q(0.02, "km"), "area_mm2": Q(2.5e-6, "m**2")},
        lambda resistivity, length_m, area_mm2: resistivity * length_m / area_mm2,
    ),
    Check(
        circuit.voltage_drop,
        {
            "current": Q(16e3, "mA"), "length_m": Q(0.02, "km"), "area_mm2": Q(2.5e-6, "m**2"), "phases": 1,
            "power_factor": 0.8, "reactance_per_m": Q(0.08, "ohm/km"),
        },
        lambda current, length_m, area_mm2, phases, power_factor, reactance_per_m: 2 * current * length_m
        * (Q(7.41, "ohm/km") * power_factor + reactance_per_m * 0.6),
    ),
    Check(
        circuit.voltage_drop_percent,
        {"drop": Q(4.6e3, "mV"), "voltage": Q(0.23, "kV")},
        lambda drop, voltage: drop / voltage,
    ),
    Check(
        circuit.voltage_drop_limit,
        {"length_m": Q(0.14, "km")},
        lambda length_m: Q(5, "percent") + Q(0.005, "percent/m") * (length_m - Q(100, "m")),
    ),
    Check(
        circuit.cable_loss,
        {"current": Q(16e3, "mA"), "length_m": Q(0.02, "km"), "area_mm2": Q(2.5e-6, "m**2"), "phases": 1},
        lambda current, length_m, area_mm2, phases: 2 * current**2 * Q(7.41, "ohm/km") * length_m,
    ),
    Check(
        circuit.design_current,
        {"power": Q(7.36, "kW"), "voltage": Q(0.23, "kV"), "power_factor": 0.9},
        lambda power, voltage, power_factor: 1.25 * power / voltage / power_factor,
    ),
    Check(circuit.next_breaker, {"current": Q(40e3, "mA")}, lambda current: current),
    Check(
        protection.broken_pen_voltage,
        {"voltage": Q(0.23, "kV"), "load_resistance": Q(0.015, "kohm"), "electrode_resistance": Q(2e4, "mohm")},
        lambda voltage, load_resistance, electrode_resistance: voltage * electrode_resistance
        / (load_resistance + electrode_resistance),
    ),
    Check(
        protection.electrode_resistance_limit,
        {"residual_ma": Q(0.03, "A"), "touch_voltage": Q(0.05, "kV")},
        lambda residual_ma, touch_voltage: touch_voltage / residual_ma,
    ),
    Check(
        protection.ground_fault_trip_time,
        {"current_ma": Q(0.03, "A")},
        lambda current_ma: Q(1, "s") * (Q(20, "mA") / current_ma) ** 1.43,
    ),
    Check(
        protection.check_overload,
        {"design_current": Q(16e3, "mA"), "breaker_rating": Q(16e3, "mA"), "cable_capacity": Q(0.02, "kA")},
        lambda breaker_rating, cable_capacity, **others: Q(float(breaker_rating <= cable_capacity), ""),
        "cable_carries_breaker",
    ),
    Check(
        load_sharing.share_current,
        {"available": Q(32e3, "mA"), "requests": Q(np.array([0.016, 0.016]), "kA")},
        lambda available, requests: requests,
    ),
    Check(harmonic_limits.class_a_limit, {"order": 15}, lambda order: Q(150, "mA")),
    Check(
        harmonic_limits.check_class_a,
        {"harmonic_currents": Q(np.array([16e3, 0, 1150]), "mA")},
        lambda harmonic_currents: harmonic_currents[1:],
        "current",
        "A",
    ),
    Check(
        front_end.power_factor_corrected,
        {
            "voltage": Q(0.23, "kV"), "frequency": Q(0.05, "kHz"), "load_power": Q(3, "kW"),
            "dc_link_voltage": Q(0.4, "kV"), "dc_link_capacitance": Q(2000, "uF"),
        },
        lambda load_power, **others: load_power,
        "active_power",
        "W",
    ),
    Check(
        front_end.bridge_with_capacitor,
        {
            "voltage": Q(0.23, "kV"), "frequency": Q(0.05, "kHz"), "load_resistance": Q(0.1, "kohm"),
            "capacitance": Q(1000, "uF"), "diode_drop": Q(0, "mV"), "source_resistance": Q(500, "mohm"),
        },
        lambda voltage, **others: voltage * np.sqrt(2),
        "max dc_link_voltage",
        "V",
    ),
    Check(
        ac_ceiling.ac_ceiling,
        {"coupler": "type-1", "supply": "north-america-120-240"},
        lambda coupler, supply: Q(0.24, "kV") * Q(80, "A"),
        "power",
        "W",
    ),
]  # fmt: skip

# The time-domain models come out of steps: their power and voltage are near the simple figure, no more.
ROUGH = {"power_factor_corrected": 0.03, "bridge_with_capacitor": 0.1}

# No formula: look-ups that return text or records, and what has a test file of its own with a clock in it.
LOOK_UPS = {
    "charging_limit", "charging_mode", "charging_sequence", "connector", "diode_found", "duty_meaning",
    "nominal_supply", "plateau_limits", "power_readings", "proximity_condition", "proximity_limits",
    "read_recording", "recognition_limits", "residual_current_device", "state_from_voltage",
    "vehicle_resistance", "waveform",
}  # fmt: skip

ROOMS = [
    ac_ceiling, battery, charger, circuit, conductors, distorted, feeder, front_end, harmonic_limits, harmonics,
    load_sharing, meters, pilot, pilot_circuit, power, protection, proximity, rms, unbalanced, waveforms,
]  # fmt: skip


def documented(formula: Callable[..., Any]) -> tuple[dict[str, str], str]:
    """Return the unit of each argument and of the result as the docstring writes them."""
    text = inspect.getdoc(formula) or ""
    parts = dict(re.findall(r"^(Parameters|Returns)\n-+\n(.*?)(?=\n\w+\n-+\n|\Z)", text, re.M | re.S))
    units: dict[str, str] = {}
    entry = r"^([\w, ]+?)(?: : [^\n]*)?\n((?:    .*\n?|\n)+)"
    for names, description in re.findall(entry, parts.get("Parameters", ""), re.M):
        unit = re.search(r"\[([^\]]+)\]", description)
        other = re.search(r"As for `(\w+)`", description)
        same = documented(getattr(inspect.getmodule(formula), other[1]))[0] if other else {}
        units |= {name: unit[1] if unit else same.get(name, "") for name in names.split(", ")}
    unit = re.search(r"\[([^\]]+)\]", parts.get("Returns", ""))
    return units, unit[1] if unit else ""


def plain(value: Any, unit: str) -> Any:
    """Return a value in the documented unit as the formula wants it, without a unit."""
    if isinstance(value, dict):
        return {key: plain(one, unit) for key, one in value.items()}
    if not isinstance(value, Q):
        return value
    result = value.to(SPELLING.get(unit, unit)).magnitude
    return result if np.ndim(result) else complex(result) if np.iscomplexobj(result) else float(result)


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.formula.__qualname__)
def test_formula_agrees_with_pint(check: Check) -> None:
    units, result_unit = documented(check.formula)
    result = check.formula(**{name: plain(value, units.get(name, "")) for name, value in check.given.items()})
    *how, name = check.read.split() or [""]
    for each in [name, *how]:
        result = (
            {"abs": np.abs, "max": np.max}[each](result)
            if each in ("abs", "max")
            else getattr(result, each, result)
        )
    unit = check.unit or result_unit
    expected = Q(check.expected(**check.given)).to(SPELLING.get(unit, unit)).magnitude
    assert result == pytest.approx(expected, rel=ROUGH.get(check.formula.__name__, 1e-4))


def measured(check: Check) -> list[str]:
    """Return the arguments of a check that are single numbers with or without a unit."""
    return [
        name
        for name, value in check.given.items()
        if np.ndim(getattr(value, "magnitude", value)) == 0
        and isinstance(getattr(value, "magnitude", value), int | float | complex)
        and not isinstance(value, bool)
    ]


def inputs_of(check: Check) -> dict[str, Any]:
    units, _ = documented(check.formula)
    return {name: plain(value, units.get(name, "")) for name, value in check.given.items()}


@pytest.mark.parametrize(
    ("check", "name"),
    [pytest.param(c, name, id=f"{c.formula.__qualname__}-{name}") for c in CHECKS for name in measured(c)],
)
def test_a_number_beyond_everything_is_refused_with_name_and_unit(check: Check, name: str) -> None:
    unit = documented(check.formula)[0].get(name, "")
    shown = "" if unit == "V or A" else unit.replace(" per phase", "")
    with pytest.raises(ValueError, match=rf"^{name}(\[[\d, ]+\])?: [^;]* was given; allowed is ") as refused:
        check.formula(**inputs_of(check) | {name: 1e200})
    given = str(refused.value).partition(" was given")[0].partition(": ")[2]
    assert given.replace("+0j", "") == f"1e+200 {shown}".strip()


@pytest.mark.parametrize(
    ("check", "first", "second"),
    [
        pytest.param(c, *pair, id=f"{c.formula.__qualname__}-{'-'.join(pair)}")
        for c in CHECKS
        for pair in combinations(measured(c), 2)
    ],
)
def test_rows_of_different_length_are_refused(check: Check, first: str, second: str) -> None:
    inputs = inputs_of(check)
    inputs |= {first: np.full(2, inputs[first]), second: np.full(3, inputs[second])}
    with pytest.raises(ValueError, match="was given; allowed is "):
        check.formula(**inputs)


def test_every_public_formula_is_checked_or_is_a_look_up() -> None:
    functions = {
        name
        for room in ROOMS
        for name in room.__all__
        if inspect.isfunction(getattr(room, name)) and getattr(room, name).__module__ == room.__name__
    }
    checked = {check.formula.__name__ for check in CHECKS}
    assert functions - checked - LOOK_UPS == set()
    assert checked & LOOK_UPS == set()


def test_every_room_of_formulas_is_looked_at() -> None:
    import acpower

    rooms = {room.__name__.partition(".")[2] for room in ROOMS}
    others = {
        "connectors",
        "efficiency",
        "recording",
        "region",
        "sequence",
        "supply",
        "tariff",
    }  # records and methods
    assert rooms | others == set(acpower.__all__)
    assert all(importlib.import_module(f"acpower.{name}").__all__ for name in acpower.__all__)
