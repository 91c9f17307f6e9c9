"""Control pilot and proximity against public documents that reproduce IEC 61851-1 and SAE J1772."""

from collections.abc import Mapping

import pytest
from published import case, check

from acpower import tables
from acpower.pilot import cable_rating, current_from_duty, duty_from_current, duty_meaning, state_from_voltage

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
    ("A", "12", "", ""),
    ("B", "9", "-12", "2740"),
    ("C", "6", "-12", "882"),
    ("D", "3", "-12", "246"),
    ("E", "0", "0", ""),
    ("F", "", "-12", ""),
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
