"""Every row of every table: source, place, size, order."""

import re
import tomllib
from collections import Counter
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from acpower import tables
from acpower.connectors import CONNECTORS, connector
from acpower.supply import SUPPLIES, nominal_supply

FOLDER = Path(tables.__file__).parent

# What makes a row unique in its table.
KEYS = {
    "breaker_sizes": ("series", "rating_a"),
    "charging_modes": ("key",),
    "conductors": ("conductor_class", "area_square_mm"),
    "residual_current_devices": ("key",),
    "station_breakers": ("practice", "load_a"),
    "temperature_coefficients": ("material", "per_kelvin"),
    "voltage_drop_limits": ("rule", "supply", "use"),
    "cable_bands": ("band_set", "nominal_ohm"),
    "circuit_parts": ("circuit", "part"),
    "connector_ratings": ("connector", "quantity", "phases", "value", "source"),
    "connectors": ("key",),
    "contacts": ("connector", "contact"),
    "duty_ranges": ("rule", "from_percent"),
    "pilot_duty": ("duty_percent",),
    "charger_stages": ("stage",),
    "nomenclature": ("quantity",),
    "harmonic_limits": ("equipment_class", "lowest_order", "highest_order"),
    "pilot_states": ("state",),
    "pilot_timing": ("limit",),
    "pilot_windows": ("window_set", "state"),
    "proximity_levels": ("condition", "source"),
    "regions": ("region",),
    "supplies": ("key",),
    "voltage_bands": ("supply", "band"),
    "waveforms": ("waveform",),
}

# Plausible range of a column by its unit; a column that is not listed by name falls under its unit.
RANGES = {
    "area_square_mm": (1.5, 95),
    "breaker_a": (10, 100),
    "limit_percent": (3, 8),
    "load_a": (6, 80),
    "max_ohm_per_km": (0.1, 14),
    "per_kelvin": (0.0039, 0.0041),
    "rating_a": (6, 6000),
    "duty_percent": (0, 100),
    "from_percent": (0, 97),
    "to_percent": (3, 100),
    "tolerance_percent": (3, 10),
    "below_percent": (0, 20),
    "above_percent": (0, 20),
    "frequency_hz": (50, 60),
    "single_phase_a": (10, 80),
    "three_phase_a": (10, 80),
    "current_a": (6, 80),
    "limit_a": (0.1, 2.5),
    "phase_voltage_v": (100, 300),
    "line_voltage_v": (200, 500),
    "reference_v": (100, 400),
    "voltage_v": (200, 500),
    "positive_v": (0, 12),
    "negative_v": (-12, 0),
    "low_ohm": (75, 2500),
    "nominal_ohm": (100, 1500),
    "high_ohm": (140, 2500),
    "vehicle_ohm": (200, 3000),
    "plug_ohm": (150, 480),
    "level_v": (1.5, 4.5),
    "value_s": (0.1, 6),
    "phases": (1, 3),
    "rms": (0.3, 1.0),
    "rectified_mean": (0.2, 1.0),
    "crest_factor": (1.0, 2.5),
    "form_factor": (1.0, 2.5),
}
# In these tables the column means something of another size.
WINDOW_RANGE, BAND_RANGE = (-13, 13), (90, 420)


def all_rows() -> list[Any]:
    """Return every row as a test case that is named after table and key."""
    return [
        pytest.param(name, row, id=f"{name}[{' '.join(row[column] for column in KEYS[name])}]")
        for name in tables.names()
        for row in tables.rows(name)
    ]


def rows_of(name: str) -> Callable[..., object]:
    """Return the decorator that runs a test for every row of one table."""
    cases = [
        pytest.param(row, id=" ".join(row[column] for column in KEYS[name])) for row in tables.rows(name)
    ]
    return pytest.mark.parametrize("row", cases)


def test_tables_are_these_and_the_readme_describes_each() -> None:
    assert tables.names() == tuple(sorted(KEYS))
    readme = (FOLDER / "README.md").read_text(encoding="utf-8")
    described = re.findall(r"^\| `(\w+\.\w+)`", readme, flags=re.MULTILINE)
    assert sorted(described) == sorted(
        path.name for path in FOLDER.iterdir() if path.suffix in {".csv", ".toml"}
    )


@pytest.mark.parametrize("name", tables.names())
def test_header_is_the_first_line_and_ends_with_source_place_note(name: str) -> None:
    header = (FOLDER / f"{name}.csv").read_text(encoding="utf-8").splitlines()[0].split(",")
    assert header[-3:] == ["source", "place", "note"]
    assert all(re.fullmatch(r"[a-z_]+", column) for column in header)


@pytest.mark.parametrize("name", tables.names())
def test_no_key_stands_twice(name: str) -> None:
    counted = Counter(tuple(row[column] for column in KEYS[name]) for row in tables.rows(name))
    assert [key for key, count in counted.items() if count > 1] == []


@pytest.mark.parametrize(("name", "row"), all_rows())
def test_row_has_a_cell_for_each_column_without_stray_blanks(name: str, row: dict[str, str]) -> None:
    assert None not in row
    assert None not in row.values()
    assert all(cell == cell.strip() for cell in row.values())


@pytest.mark.parametrize(("name", "row"), all_rows())
def test_row_names_a_known_source_and_a_place(name: str, row: dict[str, str]) -> None:
    assert row["source"]
    assert set(row["source"].split(";")) <= set(tables.sources())
    assert row["place"]


@pytest.mark.parametrize(("name", "row"), all_rows())
def test_numbers_are_of_plausible_size(name: str, row: dict[str, str]) -> None:
    ranges = dict(RANGES)
    if name == "pilot_windows":
        ranges |= {"low_v": WINDOW_RANGE, "high_v": WINDOW_RANGE}
    if name == "voltage_bands":
        ranges |= {"low_v": BAND_RANGE, "high_v": BAND_RANGE}
    for column in ranges.keys() & row.keys():
        low, high = ranges[column]
        for cell in set(row[column].split(";")) - {"", "any", "none", "open"}:
            assert low <= float(cell) <= high, f"{column} = {cell}"


@pytest.mark.parametrize("name", tables.names())
def test_every_column_of_numbers_has_a_plausible_range(name: str) -> None:
    units = re.compile(r".*_(v|a|ohm|hz|percent)")
    unchecked = {column for column in tables.rows(name)[0] if units.fullmatch(column)} - RANGES.keys()
    assert unchecked <= ({"low_v", "high_v"} if name in {"pilot_windows", "voltage_bands"} else set())


@pytest.mark.parametrize(
    ("name", "row"),
    [row for row in all_rows() if "status" in row.values[1]],
)
def test_status_agrees_with_the_source(name: str, row: dict[str, str]) -> None:
    seen = {tables.sources()[key]["seen"] for key in row["source"].split(";")}
    assert ("computed" in seen) == (row["status"] == "computed")


@rows_of("supplies")
def test_line_voltage_fits_the_phase_voltage(row: dict[str, str]) -> None:
    ratio = float(row["line_voltage_v"]) / float(row["phase_voltage_v"])
    if row["system"] == "split-phase":
        assert (ratio, row["phases"]) == (2.0, "1")
    else:
        assert row["system"] == "three-phase"
        assert row["phases"] == "3"
        assert ratio == pytest.approx(3**0.5, rel=0.005)  # nominal voltages are rounded


@rows_of("supplies")
def test_supply_key_ends_with_its_voltages(row: dict[str, str]) -> None:
    voltages = {row["phase_voltage_v"], row["line_voltage_v"]}
    assert {part for part in row["key"].split("-") if part.isdigit()} <= voltages


@rows_of("voltage_bands")
def test_band_brackets_its_reference_and_belongs_to_a_supply(row: dict[str, str]) -> None:
    (band,) = (band for band in nominal_supply(row["supply"]).bands if band.band == row["band"])
    assert band.low_v < band.reference_v < band.high_v
    assert all(row[column] for column in ("low_v", "high_v", "below_percent", "above_percent"))
    assert (row["low_v"] == "none") == (row["high_v"] == "none")
    assert (row["below_percent"] == "none") == (row["above_percent"] == "none")
    assert (row["low_v"], row["below_percent"]) != ("none", "none")


@rows_of("voltage_bands")
def test_percent_and_volts_of_a_band_agree(row: dict[str, str]) -> None:
    if "none" not in (row["low_v"], row["below_percent"]):
        reference = float(row["reference_v"])
        low = reference * (1 - float(row["below_percent"]) / 100)
        high = reference * (1 + float(row["above_percent"]) / 100)
        assert (float(row["low_v"]), float(row["high_v"])) == pytest.approx((low, high), abs=0.05)


@rows_of("cable_bands")
def test_cable_band_brackets_its_nominal_resistance(row: dict[str, str]) -> None:
    assert float(row["low_ohm"]) < float(row["nominal_ohm"]) < float(row["high_ohm"])
    assert float(row["single_phase_a"]) >= float(row["three_phase_a"])


@pytest.mark.parametrize("band_set", ["accept", "touching"])
def test_smaller_resistance_means_bigger_cable_and_bands_do_not_overlap(band_set: str) -> None:
    rows = [row for row in tables.rows("cable_bands") if row["band_set"] == band_set]
    assert [(row["nominal_ohm"], row["three_phase_a"]) for row in rows] == [
        ("1500", "13"), ("680", "20"), ("220", "32"), ("100", "63"),
    ]  # fmt: skip
    for smaller, bigger in pairwise(rows):
        assert float(bigger["high_ohm"]) <= float(smaller["low_ohm"])
        assert (bigger["high_ohm"] == smaller["low_ohm"]) == (band_set == "touching")


def test_duty_and_current_rise_together() -> None:
    pairs = [(float(row["duty_percent"]), float(row["current_a"])) for row in tables.rows("pilot_duty")]
    assert all(a < b and i <= j for (a, i), (b, j) in pairwise(pairs))


@rows_of("pilot_windows")
def test_window_holds_the_nominal_level_of_its_state(row: dict[str, str]) -> None:
    (state,) = (state for state in tables.rows("pilot_states") if state["state"] == row["state"])
    level = state["negative_v"] if state["positive_v"] == "none" else state["positive_v"]
    assert float(row["low_v"]) < float(level) < float(row["high_v"])


@rows_of("pilot_windows")
def test_detection_window_is_the_widest(row: dict[str, str]) -> None:
    (widest,) = (
        other
        for other in tables.rows("pilot_windows")
        if (other["window_set"], other["state"]) == ("detection", row["state"])
    )
    assert float(widest["low_v"]) <= float(row["low_v"])
    assert float(row["high_v"]) <= float(widest["high_v"])


def test_the_rows_of_class_a_hold_each_order_of_a_harmonic_once() -> None:
    rows = [row for row in tables.rows("harmonic_limits") if row["equipment_class"] == "A"]
    ends = [(int(row["lowest_order"]), int(row["highest_order"])) for row in rows]
    assert [end for end in ends if (end[1] - end[0]) % 2] == [], "a row holds for every second order"
    assert sorted(order for low, high in ends for order in range(low, high + 1, 2)) == list(range(2, 41))


@rows_of("waveforms")
def test_waveform_factors_agree_with_its_values(row: dict[str, str]) -> None:
    effective, mean = float(row["rms"]), float(row["rectified_mean"])
    assert float(row["crest_factor"]) == pytest.approx(1 / effective, rel=2e-4)
    assert float(row["form_factor"]) == pytest.approx(effective / mean, rel=2e-4)


@rows_of("connectors")
def test_contacts_fit_the_phases(row: dict[str, str]) -> None:
    record = connector(row["key"])
    names = [contact.name for contact in record.contacts]
    if names:
        assert record.phases == ((1, 3) if "L3" in names else (1,))
    assert not record.three_phase_a or 3 in record.phases


@rows_of("connectors")
def test_only_standard_designations_are_used(row: dict[str, str]) -> None:
    assert re.fullmatch(r"(SAE J\d+|IEC 62196-2 Type \w+|GB/T 20234\.2-2015|/|\s)+", row["designation"])
    assert row["status"]


@pytest.mark.parametrize("key", tables.sources())
def test_source_is_described(key: str) -> None:
    source = tables.sources()[key]
    assert re.fullmatch(r"[a-z0-9-]+", key)
    assert list(source) == ["title", "issuer", "edition", "seen", "note"]
    assert all(source.values())
    assert source["seen"] in {"itself", "second-hand", "from memory", "computed"}


def test_sources_file_has_no_key_twice() -> None:
    text = (FOLDER / "sources.toml").read_text(encoding="utf-8")
    assert tomllib.loads(text) == tables.sources()  # tomllib refuses a repeated table


def test_unknown_table_lists_the_tables() -> None:
    with pytest.raises(ValueError, match=r"table: 'suplies' was given; allowed is one of .*'supplies'"):
        tables.rows("suplies")


@pytest.mark.parametrize(("look_up", "records"), [(nominal_supply, SUPPLIES), (connector, CONNECTORS)])
@pytest.mark.parametrize("key", ["type-9", "", None, 3, ["type-1"]])
def test_unknown_key_lists_the_keys(
    look_up: Callable[[object], object], records: dict[str, object], key: object
) -> None:
    with pytest.raises(ValueError, match=r"key: .* was given; allowed is one of") as refusal:
        look_up(key)
    assert all(known in str(refusal.value) for known in records)


def test_records_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        SUPPLIES["iec-230-400"] = None
    with pytest.raises(AttributeError):
        CONNECTORS["type-2"].voltage_v = 1000.0
