"""Control pilot and proximity against public documents that reproduce IEC 61851-1 and SAE J1772."""

from collections.abc import Callable, Mapping
from itertools import pairwise
from math import inf, nextafter

import pytest
from published import case, check, half_of_last_digit

from acpower import tables
from acpower.pilot import (
    DUTY_RULES,
    WINDOW_SETS,
    cable_rating,
    current_from_duty,
    duty_from_current,
    duty_meaning,
    state_from_voltage,
)
from acpower.pilot_circuit import (
    negative_plateau,
    plateau_limits,
    plateau_voltage,
    recognition_limits,
    vehicle_resistance,
)
from acpower.proximity import proximity_condition, proximity_limits, proximity_voltage

# Duty in percent and current in amperes, both as printed in Table 4 of the test-adapter manual.
PAIRS = {
    "8": "6.0", "10": "6.0", "12": "7.2", "15": "9.0", "16": "9.6", "18": "10.8", "20": "12.0",
    "25": "15.0", "30": "18.0", "35": "21.0", "40": "24.0", "45": "27.0", "50": "30.0", "55": "33.0",
    "60": "36.0", "65": "39.0", "70": "42.0", "75": "45.0", "80": "48.0", "85": "51.0", "86": "55.0",
    "87": "57.5", "88": "60.0", "90": "65.0", "92": "70.0", "94": "75.0", "96": "80.0", "97": "80.0",
}  # fmt: skip

# In these rows several duties stand for one current; a station sends another one of them.
_SHARED = ("8", "97")

_ADAPTER = "test-adapter-manual"
DUTY = [
    *(
        case(_ADAPTER, f"Table 4, {duty} %", current_from_duty, {"duty_percent": float(duty)}, amperes)
        for duty, amperes in PAIRS.items()
    ),
    *(
        case(_ADAPTER, f"Table 4 inverse, {amperes} A", duty_from_current, {"current": float(amperes)}, duty)
        for duty, amperes in PAIRS.items()
        if duty not in _SHARED
    ),
    case("charge-port-log", "measured 13.1 %", current_from_duty, {"duty_percent": 13.1}, "7.86"),
]  # fmt: skip


@pytest.mark.parametrize(("source", "formula", "inputs", "printed", "input_digits"), DUTY)
def test_published_duty_and_current(
    source: str, formula: object, inputs: Mapping[str, object], printed: str, input_digits: float
) -> None:
    check(source, formula, inputs, printed, input_digits)


def test_table_of_pairs_holds_the_printed_pairs() -> None:
    assert {row["duty_percent"]: row["current_a"] for row in tables.rows("pilot_duty")} == PAIRS


_NOT_ALLOWED, _DIGITAL, _ALLOWED = (
    "charging not allowed",
    "digital communication required",
    "charging allowed",
)

# The edges of the law and the nearest duty beyond each, as in the M525B instructions, page 12.
EDGES = [
    ("in-line-tester-manual", "iec", 0, 0.0, _NOT_ALLOWED),
    ("in-line-tester-manual", "iec", 2.999, 0.0, _NOT_ALLOWED),
    ("in-line-tester-manual", "iec", 3, 0.0, _DIGITAL),
    ("pilot-logic-tests", "iec", 5, 0.0, _DIGITAL),
    ("charge-port-log", "iec", 4.8, 0.0, _DIGITAL),
    ("in-line-tester-manual", "iec", 7, 0.0, _DIGITAL),
    ("in-line-tester-manual", "iec", 7.001, 0.0, _NOT_ALLOWED),
    ("in-line-tester-manual", "iec", 7.999, 0.0, _NOT_ALLOWED),
    ("in-line-tester-manual", "iec", 8, 6.0, _ALLOWED),
    ("in-line-tester-manual", "iec", 9.999, 6.0, _ALLOWED),
    ("in-line-tester-manual", "iec", 10, 6.0, _ALLOWED),
    ("in-line-tester-manual", "iec", 85, 51.0, _ALLOWED),
    ("in-line-tester-manual", "iec", 85.001, 52.5025, _ALLOWED),
    ("in-line-tester-manual", "iec", 96, 80.0, _ALLOWED),
    ("in-line-tester-manual", "iec", 96.001, 80.0, _ALLOWED),
    ("in-line-tester-manual", "iec", 97, 80.0, _ALLOWED),
    ("in-line-tester-manual", "iec", 97.001, 0.0, _NOT_ALLOWED),
    ("in-line-tester-manual", "iec", 100, 0.0, _NOT_ALLOWED),
    ("j1772-basics", "sae", 5, 0.0, _DIGITAL),
    ("j1772-basics", "sae", 8, 0.0, _NOT_ALLOWED),
    ("j1772-basics", "sae", 9.999, 0.0, _NOT_ALLOWED),
    ("j1772-basics", "sae", 10, 6.0, _ALLOWED),
    ("j1772-basics", "sae", 96, 80.0, _ALLOWED),
    ("j1772-basics", "sae", 96.001, 0.0, "error"),
    ("j1772-basics", "sae", 100, 0.0, "error"),
]


@pytest.mark.parametrize(
    ("source", "rule", "duty", "amperes", "meaning"),
    [pytest.param(*edge, id=f"{edge[0]}, {edge[1]}, {edge[2]} %") for edge in EDGES],
)
def test_published_edges_of_the_duty_law(
    source: str, rule: str, duty: float, amperes: float, meaning: str
) -> None:
    assert source in tables.sources()
    assert current_from_duty(duty, rule) == pytest.approx(amperes, abs=1e-9)
    assert duty_meaning(duty, rule) == meaning


# What the column "current" of the table of ranges means, written out once more.
CURRENTS: dict[str, Callable[[float], float]] = {
    "none": lambda _: 0.0,
    "6 A": lambda _: 6.0,
    "80 A": lambda _: 80.0,
    "duty × 0.6 A": lambda duty: duty * 0.6,
    "(duty − 64) × 2.5 A": lambda duty: (duty - 64) * 2.5,
}
RANGES = {rule: [row for row in tables.rows("duty_ranges") if row["rule"] == rule] for rule in DUTY_RULES}


def holds(row: Mapping[str, str], duty: float) -> bool:
    low, high = float(row["from_percent"]), float(row["to_percent"])
    above = duty >= low if row["from_included"] == "yes" else duty > low
    below = duty <= high if row["to_included"] == "yes" else duty < high
    return above and below


@pytest.mark.parametrize(
    ("rule", "edge"),
    [
        (rule, edge)
        for rule, rows in RANGES.items()
        for edge in sorted({float(row[end]) for row in rows for end in ("from_percent", "to_percent")})
    ],
)
def test_code_agrees_with_the_table_of_ranges_at_and_beside_every_edge(rule: str, edge: float) -> None:
    for duty in (edge - 0.5, edge - 0.001, nextafter(edge, -inf), edge, nextafter(edge, inf), edge + 0.001):
        if 0 <= duty <= 100:
            (row,) = (row for row in RANGES[rule] if holds(row, duty))
            assert current_from_duty(duty, rule) == pytest.approx(CURRENTS[row["current"]](duty), rel=1e-12)
            assert duty_meaning(duty, rule) == row["meaning"]


@pytest.mark.parametrize("rule", DUTY_RULES)
def test_ranges_of_a_rule_join_without_gap_from_0_to_100_percent(rule: str) -> None:
    rows = RANGES[rule]
    assert (rows[0]["from_percent"], rows[0]["from_included"]) == ("0", "yes")
    assert (rows[-1]["to_percent"], rows[-1]["to_included"]) == ("100", "yes")
    for row, following in pairwise(rows):
        assert row["to_percent"] == following["from_percent"]
        assert {row["to_included"], following["from_included"]} == {"yes", "no"}


def test_upper_end_of_the_gb_t_rule_stands_in_the_table_only() -> None:
    (row,) = (row for row in tables.rows("duty_ranges") if row["rule"] == "gb-t")
    assert (row["from_percent"], row["to_percent"]) == ("85", "90")
    assert row["current"].endswith("at most 63 A")
    assert row["source"] == "gb-t-18487-firmware"
    assert "gb-t" not in DUTY_RULES


# For each set of bands: rating in amperes (three-phase, single-phase), lowest, nominal and highest
# resistance in ohms, all as printed.
CABLE_BANDS = {
    ("station-bring-up-guide", "accept"): [
        ("13", "13", "1100", "1500", "2460"),
        ("20", "20", "400", "680", "936"),
        ("32", "32", "164", "220", "308"),
        ("63", "70", "80", "100", "140"),
    ],
    ("charge-controller-manual", "touching"): [
        ("13", "13", "1000", "1500", "2200"),
        ("20", "20", "330", "680", "1000"),
        ("32", "32", "150", "220", "330"),
        ("63", "70", "75", "100", "150"),
    ],
}

# One ohm inside each end, because the bands of the second set share their ends.
CABLES = [
    (source, band_set, ohms, float(three_phase))
    for (source, band_set), bands in CABLE_BANDS.items()
    for three_phase, _, low, nominal, high in bands
    for ohms in (float(low) + 1, float(nominal), float(high) - 1)
] + [
    # the error ranges, and the outer ends of the bands themselves
    ("station-bring-up-guide", "accept", 59, 0),
    ("station-bring-up-guide", "accept", 80, 63),
    ("station-bring-up-guide", "accept", 2460, 13),
    ("station-bring-up-guide", "accept", 4501, 0),
    ("charge-controller-manual", "touching", 74, 0),
    ("charge-controller-manual", "touching", 75, 63),
    ("charge-controller-manual", "touching", 2200, 13),
    ("charge-controller-manual", "touching", 2201, 0),
    # the inner ends where the first set has gaps
    *(("station-bring-up-guide", "accept", *end) for end in ((140, 63), (164, 32), (308, 32), (400, 20))),
    *(("station-bring-up-guide", "accept", *end) for end in ((936, 20), (1100, 13))),
    # where the two sets disagree; in a gap of the first one the lower rating wins
    *(
        ("station-bring-up-guide", "accept", *value)
        for value in ((960, 13), (145, 32), (320, 20), (2300, 13))
    ),
    *(
        ("charge-controller-manual", "touching", *value)
        for value in ((960, 20), (145, 63), (320, 32), (2300, 0))
    ),
]


@pytest.mark.parametrize(
    ("source", "band_set"), CABLE_BANDS, ids=[f"{source}, {band_set}" for source, band_set in CABLE_BANDS]
)
def test_table_of_cable_bands_holds_the_printed_bands(source: str, band_set: str) -> None:
    columns = ("three_phase_a", "single_phase_a", "low_ohm", "nominal_ohm", "high_ohm")
    rows = [row for row in tables.rows("cable_bands") if row["band_set"] == band_set]
    assert [tuple(row[column] for column in columns) for row in rows] == CABLE_BANDS[source, band_set]
    assert {row["source"] for row in rows} == {source}


@pytest.mark.parametrize(
    ("source", "bands", "ohms", "amperes"),
    [pytest.param(*cable, id=f"{cable[0]}, {cable[1]}, {cable[2]} ohm") for cable in CABLES],
)
def test_published_cable_coding(source: str, bands: str, ohms: float, amperes: float) -> None:
    assert source in tables.sources()
    assert cable_rating(ohms, bands) == amperes


def test_first_set_of_bands_is_the_default() -> None:
    assert [cable_rating(ohms) for ohms in (960, 145, 320, 2300)] == [13, 32, 20, 13]


# For each source and state the levels in volts as printed: nominal values, or ends of a window.
LEVELS = {
    "level-2-design-guide": {"A": [12], "B": [9], "C": [6], "D": [3], "E": [0], "F": [-12]},
    "station-state-windows": {
        "A": [11, 13], "B": [8, 10], "C": [5, 7], "D": [2, 4], "E": [-1, 1], "F": [-13, -11],
    },
    "pilot-logic-tests": {"A": [11.40, 12.60], "B": [8.36, 9.56], "C": [5.48, 6.53], "D": [2.62, 3.25]},
}  # fmt: skip
STATES = [
    (source, volts, state)
    for source, states in LEVELS.items()
    for state, levels in states.items()
    for volts in levels
]


@pytest.mark.parametrize(
    ("source", "volts", "state"), [pytest.param(*row, id=f"{row[0]}, {row[1]} V") for row in STATES]
)
def test_published_pilot_level(source: str, volts: float, state: str) -> None:
    assert source in tables.sources()
    assert state_from_voltage(volts) == state


# State, positive and negative level in volts, resistance of the vehicle in ohms: as printed.
PILOT_STATES = [
    ("A", "12", "none", "open"),
    ("B", "9", "-12", "2740"),
    ("C", "6", "-12", "882"),
    ("D", "3", "-12", "246"),
    ("E", "0", "0", "none"),
    ("F", "none", "-12", "none"),
]


def test_table_of_pilot_states_holds_the_printed_levels() -> None:
    columns = ("state", "positive_v", "negative_v", "vehicle_ohm")
    rows = tables.rows("pilot_states")
    assert [tuple(row[column] for column in columns) for row in rows] == PILOT_STATES
    assert {row["source"] for row in rows} == {"level-2-design-guide"}


@pytest.mark.parametrize(
    ("source", "window_set"), [("station-state-windows", "detection"), ("pilot-logic-tests", "test")]
)
def test_table_of_pilot_windows_holds_the_printed_ends(source: str, window_set: str) -> None:
    rows = [row for row in tables.rows("pilot_windows") if row["window_set"] == window_set]
    assert {row["state"]: [float(row["low_v"]), float(row["high_v"])] for row in rows} == {
        state: sorted(ends) for state, ends in LEVELS[source].items()
    }
    assert {row["source"] for row in rows} == {source}


@pytest.mark.parametrize(
    "row", tables.rows("pilot_windows"), ids=lambda row: f"{row['window_set']}-{row['state']}"
)
def test_window_ends_where_the_table_says(row: dict[str, str]) -> None:
    low, high = float(row["low_v"]), float(row["high_v"])
    for volts in (low, high):
        assert state_from_voltage(volts, row["window_set"]) == row["state"]
    for volts in (nextafter(low, -inf), nextafter(high, inf)):
        with pytest.raises(ValueError, match=rf"{row['state']} {row['low_v']} to {row['high_v']} V"):
            state_from_voltage(volts, row["window_set"])


def test_three_sets_of_windows_differ_where_they_say() -> None:
    assert WINDOW_SETS == ("detection", "test", "component")
    assert state_from_voltage(9.58) == state_from_voltage(9.58, "component") == "B"
    with pytest.raises(
        ValueError, match=r"^positive_level: 9.58 V was given; allowed is A 11.40 to 12.60 V, B 8.36"
    ):
        state_from_voltage(9.58, "test")
    with pytest.raises(ValueError, match=r"^positive_level: 12 V was given"):
        state_from_voltage(12.0, "component")


# ---- The circuits


def _end(limits: Callable[[str], object], end: str) -> Callable[..., float]:
    return lambda key: getattr(limits(key), end)


def ends(
    source: str, place: str, limits: Callable[[str], object], printed: dict[str, tuple[str, str]]
) -> list[object]:
    """Return a case for the lower and one for the upper end of each key."""
    return [
        case(source, f"{place}, {key} {end}", _end(limits, end), {"key": key}, volts)
        for key, pair in printed.items()
        for end, volts in zip(("low", "high"), pair, strict=True)
    ]


# Levels of the pilot in volts. The limits of SAE J1772 are from memory, the others follow from
# printed resistances and voltages and were worked out for the sources named.
CIRCUITS = [
    case("level-2-design-guide", "Table 2-3, state C, ohm", vehicle_resistance, {"state": "C"}, "882"),
    case("level-2-design-guide", "Table 2-3, state D, ohm", vehicle_resistance, {"state": "D"}, "246"),
    case("level-2-design-guide", "Table 2-3, state B, ohm", vehicle_resistance, {"state": "B"}, "2740"),
    *(
        case("own-calculation", f"pilot divider, {ohms} ohm", plateau_voltage, {"vehicle_resistance": ohms}, volts)
        for ohms, volts in ((2740, "8.979"), (1 / (1 / 2740 + 1 / 1300), "5.995"), (1 / (1 / 2740 + 1 / 270), "2.929"))
    ),
    *ends(
        "own-calculation", "pilot divider worst case", plateau_limits,
        {"B": ("8.370", "9.594"), "C": ("5.472", "6.531"), "D": ("2.589", "3.282")},
    ),
    *ends(
        "trade-memory", "limits of SAE J1772", plateau_limits,
        {"B": ("8.37", "9.59"), "C": ("5.47", "6.53"), "D": ("2.59", "3.28")},
    ),
    *ends(
        "station-bring-up-guide", "section Control Pilot", recognition_limits,
        {"B": ("8.06", "9.99"), "C": ("5.28", "6.51")},
    ),
    case("station-bring-up-guide", "1723 ohm alone", plateau_voltage, {"vehicle_resistance": 1723}, "7.85"),
    case(
        "own-calculation", "pilot divider, diode shorted",
        negative_plateau, {"vehicle_resistance": 2740, "diode_shorted": True}, "-8.79",
    ),
    *(
        case("own-calculation", f"proximity divider, {ohms} ohm", proximity_voltage, {"plug_resistance": ohms}, volts)
        for ohms, volts in ((1e12, "4.455"), (480, "2.763"), (150, "1.505"))
    ),
    *ends(
        "own-calculation", "proximity divider", proximity_limits,
        {"not plugged": ("4.13", "4.77"), "button pressed": ("2.39", "3.16"), "latched": ("1.24", "1.81")},
    ),
    case("solar-car-firmware", "not plugged", proximity_voltage, {"plug_resistance": 1e12}, "4.46"),
    # 2.763 V rounds to 2.76 V; the document prints 2.77 V
    case(
        "solar-car-firmware", "button pressed",
        proximity_voltage, {"plug_resistance": 480}, "2.77", input_digits=0.005,
    ),
]  # fmt: skip


@pytest.mark.parametrize(("source", "formula", "inputs", "printed", "input_digits"), CIRCUITS)
def test_published_circuit(
    source: str, formula: object, inputs: Mapping[str, object], printed: str, input_digits: float
) -> None:
    check(source, formula, inputs, printed, input_digits)


@pytest.mark.parametrize(
    "row", tables.rows("proximity_levels"), ids=lambda row: f"{row['source']}-{row['condition']}"
)
def test_both_values_of_each_proximity_level_stand_and_tell_the_same_condition(row: dict[str, str]) -> None:
    assert proximity_condition(float(row["level_v"])) == row["condition"]
    if row["status"] == "computed":
        ohms = 1e12 if row["plug_ohm"] == "open" else float(row["plug_ohm"])
        assert proximity_voltage(ohms) == pytest.approx(
            float(row["level_v"]), abs=half_of_last_digit(row["level_v"])
        )
        assert proximity_limits(row["condition"]).nominal == pytest.approx(proximity_voltage(ohms))


def test_table_of_proximity_levels_holds_the_printed_levels_beside_the_computed_ones() -> None:
    levels = {(row["source"], row["condition"]): row["level_v"] for row in tables.rows("proximity_levels")}
    assert levels == {
        ("solar-car-firmware", "not plugged"): "4.46",
        ("solar-car-firmware", "button pressed"): "2.77",
        ("solar-car-firmware", "latched"): "1.53",  # does not follow from the resistors
        ("own-calculation", "not plugged"): "4.455",
        ("own-calculation", "button pressed"): "2.763",
        ("own-calculation", "latched"): "1.505",
    }


# Low, nominal, high as printed, or nominal and tolerance in percent.
PARTS = {
    "station level high": ("11.4", "12", "12.6", "none"),
    "station level low": ("-12.6", "-12", "-11.4", "none"),
    "station resistor": ("970", "1000", "1030", "none"),
    "vehicle diode": ("0.55", "0.7", "0.85", "none"),
    "vehicle resistor B": ("none", "2740", "none", "3"),
    "vehicle resistor C": ("none", "1300", "none", "3"),
    "vehicle resistor D": ("none", "270", "none", "3"),
    "recognised resistor B": ("1870", "2740", "4610", "none"),
    "recognised resistor C": ("909", "1300", "1723", "none"),
    "vehicle supply": ("none", "5", "none", "5"),
    "vehicle pull-up": ("none", "330", "none", "10"),
    "vehicle pull-down": ("none", "2700", "none", "10"),
    "plug resistor": ("none", "150", "none", "10"),
    "button resistor": ("none", "330", "none", "10"),
}


def test_table_of_parts_holds_the_printed_values() -> None:
    columns = ("low", "nominal", "high", "tolerance_percent")
    rows = tables.rows("circuit_parts")
    assert {row["part"]: tuple(row[column] for column in columns) for row in rows} == PARTS
    # what only memory gives is never called read
    assert all(("trade-memory" in row["source"]) == ("from memory" in row["status"]) for row in rows)


# Limit in seconds, kind, status and source, as in the documents.
TIMING = {
    "contactor opens": ("0.1", "at most", "read", "station-bring-up-guide"),
    "opens under load": ("6", "at least", "read", "station-bring-up-guide"),
    "vehicle follows the duty": ("5", "at most", "read second-hand", "charging-simulation"),
    "vehicle stops drawing": ("3", "at most", "from memory; unconfirmed", "trade-memory"),
    "contactor closes": ("3", "at most", "from memory; unconfirmed", "trade-memory"),
    "diode check": ("none", "before the contactor closes", "read", "diode-check-thread"),
}


def test_table_of_timing_holds_the_printed_limits() -> None:
    columns = ("value_s", "kind", "status", "source")
    rows = tables.rows("pilot_timing")
    assert {row["limit"]: tuple(row[column] for column in columns) for row in rows} == TIMING
