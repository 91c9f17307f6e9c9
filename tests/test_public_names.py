"""The public names of the formula rooms, and what ``import acpower`` costs."""

import importlib
import inspect
import subprocess
import sys

import pytest

import acpower

NAMES = {
    "acpower": ["battery", "charger", "connectors", "pilot", "power", "rms", "supply"],
    "acpower.battery": ["charge_time"],
    "acpower.charger": [
        "Cable", "ChargingLimit", "Station", "Supply", "Vehicle",
        "battery_power", "charging_limit", "grid_power",
    ],
    "acpower.connectors": ["CONNECTORS", "Connector", "connector"],
    "acpower.pilot": [
        "CABLE_BANDS", "DUTY_RULES", "cable_rating", "current_from_duty", "duty_from_current", "duty_meaning",
        "state_from_voltage",
    ],
    "acpower.power": [
        "line_to_phase", "neutral_current", "phase_to_line", "single_phase_current", "single_phase_power",
        "three_phase_current", "three_phase_power",
    ],
    "acpower.rms": [
        "combined_rms", "crest_factor", "form_factor", "peak_to_rms", "pulse_rms", "rms", "rms_to_peak",
        "total_harmonic_distortion",
    ],
    "acpower.supply": ["SUPPLIES", "NominalSupply", "VoltageBand", "nominal_supply"],
    "acpower.tables": ["names", "rows", "sources"],
}  # fmt: skip

SIGNATURES = {
    "acpower.rms": {
        "rms": ["samples"],
        "peak_to_rms": ["peak"],
        "rms_to_peak": ["rms"],
        "pulse_rms": ["high", "duty", "low=0.0"],
        "combined_rms": ["components"],
        "total_harmonic_distortion": ["fundamental", "harmonics"],
        "crest_factor": ["samples"],
        "form_factor": ["samples"],
    },
    "acpower.power": {
        "single_phase_power": ["voltage", "current", "power_factor=1.0"],
        "three_phase_power": ["line_voltage", "current", "power_factor=1.0"],
        "single_phase_current": ["power", "voltage", "power_factor=1.0"],
        "three_phase_current": ["power", "line_voltage", "power_factor=1.0"],
        "line_to_phase": ["line_voltage"],
        "phase_to_line": ["phase_voltage"],
        "neutral_current": ["phasors"],
    },
    "acpower.pilot": {
        "current_from_duty": ["duty_percent", "rule='iec'"],
        "duty_meaning": ["duty_percent", "rule='iec'"],
        "duty_from_current": ["current"],
        "cable_rating": ["resistance", "bands='accept'"],
        "state_from_voltage": ["positive_level"],
    },
    "acpower.charger": {
        "battery_power": ["ac_power", "efficiency"],
        "grid_power": ["battery_power", "efficiency"],
        "charging_limit": ["supply", "station", "cable", "vehicle"],
        "Supply": ["phase_voltage", "phases", "current", "power_factor=1.0"],
        "Station": ["phases", "current"],
        "Cable": ["phases", "current"],
        "Vehicle": ["phases", "current"],
    },
    "acpower.battery": {"charge_time": ["energy_kwh", "power_kw", "efficiency=1.0"]},
}


@pytest.mark.parametrize("module", NAMES)
def test_public_names_are_these_and_no_others(module: str) -> None:
    assert sorted(importlib.import_module(module).__all__) == sorted(NAMES[module])
    assert all(hasattr(importlib.import_module(module), name) for name in NAMES[module])


def test_front_door_shows_the_formula_rooms_only() -> None:
    assert dir(acpower) == NAMES["acpower"]


@pytest.mark.parametrize(
    ("module", "name"), [(module, name) for module, functions in SIGNATURES.items() for name in functions]
)
def test_arguments_have_the_agreed_names_and_defaults(module: str, name: str) -> None:
    parameters = inspect.signature(getattr(importlib.import_module(module), name)).parameters.values()
    shown = [
        p.name if p.default is inspect.Parameter.empty else f"{p.name}={p.default!r}" for p in parameters
    ]
    assert shown == SIGNATURES[module][name]


@pytest.mark.parametrize("module", [name for name in NAMES if name != "acpower"])
def test_every_public_function_and_record_explains_itself(module: str) -> None:
    room = importlib.import_module(module)
    for name in NAMES[module]:
        thing = getattr(room, name)
        if inspect.isroutine(thing) or inspect.isclass(thing):
            assert thing.__doc__, f"{module}.{name} has no docstring"
        if inspect.isroutine(thing) or "Parameters\n" in (thing.__doc__ or ""):
            assert ">>>" in (thing.__doc__ or ""), f"{module}.{name} shows no example"


def test_import_brings_numpy_and_the_standard_library_only() -> None:
    code = (
        "import sys, numpy; before = set(sys.modules); import acpower; "
        "print(*{name.partition('.')[0] for name in set(sys.modules) - before})"
    )
    brought = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert set(brought.split()) - set(sys.stdlib_module_names) <= {"acpower", "numpy"}
