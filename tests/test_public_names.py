"""The public names of the formula rooms, and what ``import acpower`` costs."""

import importlib
import inspect
import re
import subprocess
import sys
from typing import Any

import pytest

import acpower

NAMES = {
    "acpower": [
        "ac_ceiling", "battery", "charger", "circuit", "conductors", "connectors", "distorted", "efficiency",
        "feeder", "front_end", "harmonic_limits", "harmonics", "load_sharing", "meters", "pilot",
        "pilot_circuit", "power", "protection", "proximity", "recording", "region", "rms", "sequence",
        "supply", "tariff", "unbalanced", "waveforms",
    ],
    "acpower.ac_ceiling": ["AcCeiling", "ac_ceiling"],
    "acpower.battery": [
        "Session", "SessionSeries", "c_rate", "charge_time", "session", "temperature_limit", "usable_energy",
    ],
    "acpower.charger": [
        "Cable", "ChargingLimit", "Station", "Supply", "Vehicle",
        "battery_power", "charging_limit", "grid_power",
    ],
    "acpower.circuit": [
        "BREAKER_SERIES", "cable_loss", "conductor_resistance", "design_current", "next_breaker",
        "voltage_drop", "voltage_drop_limit", "voltage_drop_percent",
    ],
    "acpower.conductors": ["conductor_resistance", "resistance_at_temperature", "wire_resistance"],
    "acpower.connectors": ["CONNECTORS", "Connector", "Contact", "Rating", "connector"],
    "acpower.distorted": ["NeutralHarmonics", "neutral_harmonics", "true_power_factor"],
    "acpower.efficiency": ["ChargerEfficiency", "ChargerLosses", "FixedEfficiency", "MeasuredEfficiency"],
    "acpower.feeder": ["FeederEnd", "feeder_end", "voltage_unbalance"],
    "acpower.front_end": ["FrontEndPeriod", "bridge_with_capacitor", "power_factor_corrected"],
    "acpower.harmonic_limits": ["ClassACheck", "check_class_a", "class_a_limit"],
    "acpower.harmonics": ["harmonic_phasors", "harmonics"],
    "acpower.load_sharing": ["CONNECTIONS", "SHARING_RULES", "share_current"],
    "acpower.meters": ["AVERAGE_RESPONDING_FACTOR", "MeterReadings", "meter_readings"],
    "acpower.pilot": [
        "CABLE_BANDS", "DUTY_RULES", "WINDOW_SETS", "cable_rating", "current_from_duty", "duty_from_current",
        "duty_meaning", "state_from_voltage",
    ],
    "acpower.pilot_circuit": [
        "Limits", "diode_found", "negative_plateau", "plateau_limits", "plateau_voltage",
        "recognition_limits", "resistance_from_plateau", "vehicle_resistance",
    ],
    "acpower.power": [
        "PowerComponents", "line_to_phase", "neutral_current", "phase_to_line", "power_components",
        "reactive_power", "single_phase_current", "single_phase_power", "three_phase_current",
        "three_phase_power",
    ],
    "acpower.protection": [
        "CHARGING_MODES", "RESIDUAL_CURRENT_DEVICES", "ChargingMode", "OverloadCheck", "ResidualCurrentDevice",
        "broken_pen_voltage", "charging_mode", "check_overload", "electrode_resistance_limit",
        "ground_fault_trip_time", "residual_current_device",
    ],
    "acpower.proximity": [
        "PROXIMITY_CONDITIONS", "proximity_condition", "proximity_limits", "proximity_voltage",
    ],
    "acpower.recording": ["PowerReadings", "Recording", "power_readings", "read_recording"],
    "acpower.region": ["REGIONS", "Region", "choose_region", "region_in_use"],
    "acpower.rms": [
        "combined_rms", "crest_factor", "form_factor", "mean", "peak_to_rms", "pulse_rms", "rectified_mean", "rms",
        "rms_to_peak", "total_harmonic_distortion",
    ],
    "acpower.sequence": ["EVENTS", "ChargingStep", "charging_sequence"],
    "acpower.supply": ["SUPPLIES", "NominalSupply", "StationBreaker", "VoltageBand", "nominal_supply"],
    "acpower.tables": ["names", "rows", "sources"],
    "acpower.tariff": ["Tariff"],
    "acpower.unbalanced": [
        "UnbalancedLoads", "delta", "power_of_impedance", "split_phase", "star_with_neutral",
        "star_without_neutral",
    ],
    "acpower.waveforms": ["SHAPES", "two_level", "waveform"],
}  # fmt: skip

SIGNATURES = {
    "acpower.circuit": {
        "conductor_resistance": ["area_mm2", "length_m", "temperature_c=20.0", "conductor_class=2"],
        "voltage_drop": [
            "current",
            "length_m",
            "area_mm2",
            "phases",
            "power_factor=1.0",
            "temperature_c=20.0",
            "conductor_class=2",
            "reactance_per_m=8e-05",
        ],
        "voltage_drop_percent": ["drop", "voltage"],
        "voltage_drop_limit": ["length_m", "use='other'", "supply='public'", "rule='iec'"],
        "cable_loss": [
            "current",
            "length_m",
            "area_mm2",
            "phases",
            "temperature_c=20.0",
            "conductor_class=2",
        ],
        "design_current": ["power", "voltage", "phases=1", "power_factor=1.0", "rule='nec'"],
        "next_breaker": ["current", "series='nec'"],
    },
    "acpower.conductors": {
        "conductor_resistance": ["area_mm2", "length_m", "temperature_c=20.0", "conductor_class=2"],
        "wire_resistance": ["resistivity", "length_m", "area_mm2"],
        "resistance_at_temperature": ["resistance_20", "temperature_c", "coefficient=0.004"],
    },
    "acpower.connectors": {"connector": ["key"]},
    "acpower.supply": {"nominal_supply": ["key"]},
    "acpower.load_sharing": {"share_current": ["available", "requests", "rule='filling'", "phases=None"]},
    "acpower.protection": {
        "check_overload": ["design_current", "breaker_rating", "cable_capacity", "tripping_factor=1.45"],
        "electrode_resistance_limit": ["residual_ma", "touch_voltage=50.0"],
        "broken_pen_voltage": ["voltage", "load_resistance", "electrode_resistance"],
        "ground_fault_trip_time": ["current_ma"],
        "residual_current_device": ["key"],
        "charging_mode": ["key"],
    },
    "acpower.rms": {
        "rms": ["samples", "times=None"],
        "mean": ["samples", "times=None"],
        "rectified_mean": ["samples", "times=None"],
        "peak_to_rms": ["peak"],
        "rms_to_peak": ["rms"],
        "pulse_rms": ["high", "duty", "low=0.0"],
        "combined_rms": ["components"],
        "total_harmonic_distortion": ["fundamental", "harmonics"],
        "crest_factor": ["samples", "times=None"],
        "form_factor": ["samples", "times=None"],
    },
    "acpower.harmonics": {
        "harmonics": ["samples", "periods=1", "highest=40"],
        "harmonic_phasors": ["samples", "periods=1", "highest=40"],
    },
    "acpower.meters": {"meter_readings": ["samples", "times=None"]},
    "acpower.recording": {
        "Recording": ["time_s", "voltage_v", "current_a"],
        "read_recording": ["path"],
        "power_readings": ["recording", "frequency_hz=None"],
    },
    "acpower.waveforms": {
        "waveform": ["shape", "turn", "duty=0.5"],
        "two_level": ["turn", "high", "duty", "low=0.0"],
    },
    "acpower.power": {
        "single_phase_power": ["voltage", "current", "power_factor=1.0"],
        "three_phase_power": ["line_voltage", "current", "power_factor=1.0"],
        "single_phase_current": ["power", "voltage", "power_factor=1.0"],
        "three_phase_current": ["power", "line_voltage", "power_factor=1.0"],
        "line_to_phase": ["line_voltage"],
        "phase_to_line": ["phase_voltage"],
        "neutral_current": ["phasors"],
        "power_components": ["voltage", "current"],
        "reactive_power": ["apparent_power", "power_factor"],
    },
    "acpower.unbalanced": {
        "star_with_neutral": ["phase_voltage", "powers"],
        "star_without_neutral": ["phase_voltage", "powers"],
        "delta": ["line_voltage", "powers"],
        "split_phase": ["leg_voltage", "powers"],
        "power_of_impedance": ["voltage", "impedance"],
    },
    "acpower.distorted": {
        "neutral_harmonics": ["currents"],
        "true_power_factor": ["displacement_factor", "distortion"],
    },
    "acpower.feeder": {
        "feeder_end": ["phase_voltage", "powers", "line_impedance", "neutral_impedance"],
        "voltage_unbalance": ["phasors"],
    },
    "acpower.pilot": {
        "current_from_duty": ["duty_percent", "rule='iec'"],
        "duty_meaning": ["duty_percent", "rule='iec'"],
        "duty_from_current": ["current"],
        "cable_rating": ["resistance", "bands='accept'"],
        "state_from_voltage": ["positive_level", "windows='detection'"],
    },
    "acpower.pilot_circuit": {
        "plateau_voltage": [
            "vehicle_resistance",
            "source_voltage=12.0",
            "source_resistance=1000.0",
            "diode_drop=0.7",
        ],
        "resistance_from_plateau": [
            "positive_level",
            "source_voltage=12.0",
            "source_resistance=1000.0",
            "diode_drop=0.7",
        ],
        "negative_plateau": ["vehicle_resistance", "diode_shorted=False"],
        "diode_found": ["negative_level"],
        "vehicle_resistance": ["state"],
        "plateau_limits": ["state"],
        "recognition_limits": ["state"],
    },
    "acpower.proximity": {
        "proximity_voltage": ["plug_resistance", "supply_voltage=5.0", "pull_up=330.0", "pull_down=2700.0"],
        "proximity_limits": ["condition"],
        "proximity_condition": ["voltage"],
    },
    "acpower.sequence": {
        "charging_sequence": [
            "events",
            "offered_current=16.0",
            "vehicle_current=32.0",
            "ventilation=False",
        ],
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
    "acpower.front_end": {
        "bridge_with_capacitor": [
            "voltage",
            "frequency",
            "capacitance",
            "source_resistance",
            "source_inductance=0.0",
            "diode_drop=1.0",
            "load_power=None",
            "load_resistance=None",
        ],
        "power_factor_corrected": [
            "voltage",
            "frequency",
            "load_power",
            "dc_link_voltage",
            "dc_link_capacitance",
            "inductance=0.0004",
            "current_bandwidth=5000.0",
            "voltage_bandwidth=10.0",
        ],
    },
    "acpower.harmonic_limits": {"class_a_limit": ["order"], "check_class_a": ["harmonic_currents"]},
    "acpower.ac_ceiling": {"ac_ceiling": ["coupler", "supply", "phases=None"]},
    "acpower.battery": {
        "charge_time": ["energy_kwh", "power_kw", "efficiency=1.0"],
        "usable_energy": ["gross_kwh", "usable_share"],
        "c_rate": ["power_kw", "usable_kwh"],
        "temperature_limit": ["temperature_c", "cold_c=0.0", "warm_c=15.0"],
        "session": [
            "usable_kwh",
            "grid_kw",
            "start_soc",
            "end_soc",
            "efficiency=1.0",
            "auxiliary_kw=0.0",
            "acceptance_kw=None",
            "knee=1.0",
            "tariff=None",
            "start_h=0.0",
        ],
    },
    "acpower.efficiency": {
        "FixedEfficiency": ["efficiency"],
        "ChargerLosses": ["rated_power", "fixed", "linear=0.0", "quadratic=0.0"],
        "MeasuredEfficiency": ["ac_power", "efficiency"],
    },
    "acpower.region": {"region_in_use": [], "choose_region": ["key"]},
    "acpower.tariff": {"Tariff": ["from_h", "price"]},
}

FUNCTIONS_AND_RECORDS = {
    f"{module}.{name}": thing
    for module in acpower.__all__
    for name in NAMES[f"acpower.{module}"]
    if inspect.isroutine(thing := getattr(getattr(acpower, module), name)) or inspect.isclass(thing)
}

RECORDS = {name: thing for name, thing in FUNCTIONS_AND_RECORDS.items() if inspect.isclass(thing)}

METHODS = {
    f"{name}.{method}": getattr(record, method)
    for name, record in RECORDS.items()
    for method, thing in vars(record).items()
    if not method.startswith("_") and (inspect.isfunction(thing) or isinstance(thing, classmethod))
}

PROPERTIES = {
    f"{name}.{key}": thing
    for name, record in RECORDS.items()
    for key, thing in vars(record).items()
    if not key.startswith("_") and isinstance(thing, property)
}

# Serves the formulas, which have checked what it is made of.
REFUSES_NOTHING = {"power.PowerComponents.of"}


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


def test_the_arguments_of_every_function_and_of_every_record_to_fill_in_are_agreed() -> None:
    agreed = {f"{module}.{name}" for module, names in SIGNATURES.items() for name in names}
    called = {
        f"acpower.{name}"
        for name, thing in FUNCTIONS_AND_RECORDS.items()
        if inspect.isroutine(thing) or "Parameters" in parts(thing)
    }
    assert agreed == called


def arguments(thing: Any) -> list[str]:
    return [name for name in inspect.signature(thing).parameters if name[0] != "_" and name != "self"]


def parts(thing: Any) -> set[str]:
    """Return the headings of a docstring: Parameters, Returns and so on."""
    return set(re.findall(r"^(\w+)\n-+$", inspect.getdoc(thing) or "", re.MULTILINE))


@pytest.mark.parametrize("module", acpower.__all__)
def test_a_public_name_is_all_that_has_no_underscore(module: str) -> None:
    room = importlib.import_module(f"acpower.{module}")
    own = {
        name
        for name, thing in vars(room).items()
        if (inspect.isfunction(thing) or inspect.isclass(thing)) and thing.__module__ == room.__name__
    }
    assert {name for name in own if not name.startswith("_")} <= set(room.__all__)


@pytest.mark.parametrize("name", FUNCTIONS_AND_RECORDS)
def test_a_docstring_says_what_goes_in_and_comes_out_what_is_refused_where_it_holds_and_shows_an_example(
    name: str,
) -> None:
    thing = FUNCTIONS_AND_RECORDS[name]
    if inspect.isroutine(thing):
        needed = {"Returns", "Notes", "Examples"} | ({"Parameters", "Raises"} if arguments(thing) else set())
    elif "Parameters" in parts(thing):  # made by whoever uses it
        needed = {"Raises", "Examples"}
    else:  # made by a function, which refuses what is bad
        needed = {"Attributes"}
    assert needed - parts(thing) == set()
    assert ("Examples" in needed) == (">>>" in thing.__doc__)


def entries(text: str, part: str) -> list[tuple[str, str]]:
    """Return the entries of a part of a docstring: the line at the margin, and what is said below it."""
    body = re.search(rf"^{part}\n-+\n(.*?)(?=\n\n\w+\n-+\n|\Z)", text, re.M | re.S)
    return re.findall(r"^(\S.*)\n((?:    .*\n?)+)", body[1] if body else "", re.M)


@pytest.mark.parametrize("name", METHODS)
def test_the_docstring_of_a_method_says_as_much_as_that_of_a_function(name: str) -> None:
    needed = {"Returns"}
    if arguments(METHODS[name]):
        needed |= {"Parameters", "Raises", "Examples"}
    assert needed - parts(METHODS[name]) == ({"Raises"} if name in REFUSES_NOTHING else set())
    text = inspect.getdoc(METHODS[name]) or ""
    assert ("Examples" in parts(METHODS[name])) == (">>>" in text)
    results = entries(text, "Returns")
    for head, says in entries(text, "Parameters") + results:
        if re.search("float|array", head):
            assert re.search(r"\[.+\]|fraction", says), head
    assert all("shape" in says for head, says in results if "array" in head)


@pytest.mark.parametrize("name", PROPERTIES)
def test_the_docstring_of_a_property_says_the_unit_of_a_number(name: str) -> None:
    text = inspect.getdoc(PROPERTIES[name])
    assert text
    if "float" in str(PROPERTIES[name].fget.__annotations__["return"]):
        assert re.search(r"\[.+\]|fraction", text)


@pytest.mark.parametrize("name", FUNCTIONS_AND_RECORDS | METHODS)
def test_a_docstring_tells_of_each_argument(name: str) -> None:
    thing = (FUNCTIONS_AND_RECORDS | METHODS)[name]
    told = re.findall(r"^(\w[\w, ]*?)(?: : .*)?$", inspect.getdoc(thing) or "", re.MULTILINE)
    assert set(arguments(thing)) - {word for line in told for word in line.split(", ")} == set()


def test_every_room_is_listed_here() -> None:
    assert {f"acpower.{name}" for name in acpower.__all__} <= set(NAMES)
    with pytest.raises(AttributeError, match="module 'acpower' has no attribute 'powr'"):
        _ = acpower.powr


def brought_by(code: str) -> set[str]:
    """Return the modules that a piece of code brings into a fresh interpreter."""
    shown = f"import sys; before = set(sys.modules); {code}; print(*set(sys.modules) - before)"
    return set(
        subprocess.run(
            [sys.executable, "-c", shown], capture_output=True, text=True, check=True
        ).stdout.split()
    )


def test_the_front_door_alone_brings_no_room() -> None:
    assert {name for name in brought_by("import acpower") if name.startswith(("acpower", "numpy"))} == {
        "acpower"
    }


def test_formulas_bring_numpy_and_the_standard_library_only() -> None:
    brought = brought_by("import acpower; [getattr(acpower, name) for name in acpower.__all__]")
    packages = {name.partition(".")[0] for name in brought}
    assert packages - set(sys.stdlib_module_names) == {"acpower", "numpy"}
