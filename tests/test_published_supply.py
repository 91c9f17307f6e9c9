"""Supply systems against the printed nominal voltages and bands."""

import pytest
from published import half_of_last_digit

from acpower import tables
from acpower.power import line_to_phase, phase_to_line
from acpower.supply import SUPPLIES, nominal_supply

# Source, key, volts to neutral and between lines, hertz: as printed.
NOMINAL = [
    ("mains-electricity-article", "iec-230-400", 230, 400, (50,)),
    ("en-50160-thread", "europe-230-400", 230, 400, (50,)),
    ("wiring-regulations-thread", "united-kingdom-230-400", 230, 400, (50,)),
    ("australian-networks-notes", "australia-230-400", 230, 400, (50,)),
    ("mains-electricity-article", "north-america-120-240", 120, 240, (60,)),
    ("electric-circuits-ac", "north-america-208", 120, 208, (60,)),
    ("japan-electrician-questions", "japan-100-200", 100, 200, (50, 60)),
    ("china-voltage-notes", "china-220-380", 220, 380, (50,)),
    ("india-voltage-notes", "india-230-400", 230, 400, (50,)),
]


@pytest.mark.parametrize(
    ("source", "key", "phase", "line", "hertz"),
    [pytest.param(*row, id=f"{row[0]}, {row[1]}") for row in NOMINAL],
)
def test_published_nominal_voltage(
    source: str, key: str, phase: float, line: float, hertz: tuple[int, ...]
) -> None:
    supply = nominal_supply(key)
    assert source in tables.sources()
    assert source in supply.source.split(";")
    assert (supply.phase_voltage_v, supply.line_voltage_v) == (phase, line)
    assert supply.frequencies_hz == hertz


# Nominal voltages are rounded: those of IEC 60038 to tens of volts (240/415 V to fives), the North
# American ones to volts. Source, volts to neutral, volts between lines, step of rounding.
STARS = [
    ("mains-electricity-article", 230, 400, 10),
    ("mains-electricity-article", 220, 380, 10),
    ("mains-electricity-article", 240, 415, 5),
    ("electric-circuits-ac", 120, 208, 1),
]


@pytest.mark.parametrize(
    ("source", "phase", "line", "step"),
    [pytest.param(*row, id=f"{row[0]}, {row[1]}/{row[2]} V") for row in STARS],
)
def test_published_line_voltage_is_root_three_times_the_phase_voltage(
    source: str, phase: float, line: float, step: float
) -> None:
    assert source in tables.sources()
    assert phase_to_line(phase) == pytest.approx(line, abs=step / 2)
    assert line_to_phase(line) == pytest.approx(phase, abs=step / 2)


# Source, key, band, ends in volts as printed, reference and ends in percent as printed.
BANDS = [
    ("en-50160-thread", "europe-230-400", "all 10-minute means", "195.5", "253", 230, -15, 10),
    ("wiring-regulations-thread", "united-kingdom-230-400", "before 1995", "225.6", "254.4", 240, -6, 6),
    ("wiring-regulations-thread", "united-kingdom-230-400", "since 1995", "216.2", "253", 230, -6, 10),
    ("australian-networks-notes", "australia-230-400", "supply", "216.2", "253", 230, -6, 10),
    ("ansi-c84-notes", "north-america-120-240", "service range A", "114", "126", 120, -5, 5),
    ("ansi-c84-notes", "north-america-120-240", "service range B", "110", "127", 120, -8.3, 5.8),
    (
        "japan-electrician-questions",
        "japan-100-200",
        "100 V",
        "95",
        "107",
        101,
        -100 * 6 / 101,
        100 * 6 / 101,
    ),
    (
        "japan-electrician-questions",
        "japan-100-200",
        "200 V",
        "182",
        "222",
        202,
        -100 * 20 / 202,
        100 * 20 / 202,
    ),
    ("china-voltage-notes", "china-220-380", "single phase", "198", "235.4", 220, -10, 7),
]


@pytest.mark.parametrize(
    ("source", "key", "name", "low", "high", "reference", "below", "above"),
    [pytest.param(*row, id=f"{row[0]}, {row[1]}, {row[2]}") for row in BANDS],
)
def test_published_band(
    source: str, key: str, name: str, low: str, high: str, reference: float, below: float, above: float
) -> None:
    (band,) = (band for band in SUPPLIES[key].bands if band.band == name)
    assert band.source == source
    assert (band.low_v, band.high_v) == (float(low), float(high))
    assert band.reference_v == reference
    assert reference * (1 + below / 100) == pytest.approx(float(low), rel=1e-12, abs=half_of_last_digit(low))
    assert reference * (1 + above / 100) == pytest.approx(
        float(high), rel=1e-12, abs=half_of_last_digit(high)
    )


# Bands that are printed in percent only.
PERCENT_BANDS = [
    ("en-50160-thread", "europe-230-400", "95 % of the 10-minute means of a week", 207.0, 253.0),
    ("china-voltage-notes", "china-220-380", "three phase", 353.4, 406.6),
    ("india-voltage-notes", "india-230-400", "plus or minus 6 %", 216.2, 243.8),
    ("india-voltage-notes", "india-230-400", "plus or minus 10 %", 207.0, 253.0),
]


@pytest.mark.parametrize(
    ("source", "key", "name", "low", "high"),
    [pytest.param(*row, id=f"{row[0]}, {row[1]}, {row[2]}") for row in PERCENT_BANDS],
)
def test_published_band_in_percent(source: str, key: str, name: str, low: float, high: float) -> None:
    (band,) = (band for band in SUPPLIES[key].bands if band.band == name)
    assert band.source == source
    assert (band.low_v, band.high_v) == pytest.approx((low, high))


# Source, practice, and pairs of charging current and breaker [A], as printed or remembered.
BREAKERS = [
    ("own-calculation", "nec", [(12, 15)]),
    ("level-2-wiring-table", "nec", [(16, 20), (24, 30), (32, 40), (40, 50), (48, 60), (80, 100)]),
    ("nec-625-summary", "nec", [(40, 50)]),
    ("trade-memory", "iec", [(16, 16), (20, 20), (32, 32)]),
    ("station-protection-article", "one maker", [(10, 13), (16, 20), (32, 40)]),
]
# Whose practice is known on which supply; nothing was found for the others.
PRACTICES = {
    "iec-230-400": {"iec", "one maker"},
    "europe-230-400": {"iec", "one maker"},
    "united-kingdom-230-400": {"iec", "one maker"},
    "australia-230-400": {"iec", "one maker"},
    "india-230-400": {"iec", "one maker"},
    "north-america-120-240": {"nec"},
    "north-america-208": {"nec"},
    "north-america-480-277": set(),
    "japan-100-200": set(),
    "china-220-380": set(),
}


@pytest.mark.parametrize(
    ("source", "practice", "pairs"), [pytest.param(*row, id=f"{row[0]}, {row[1]}") for row in BREAKERS]
)
def test_published_breakers_in_use(source: str, practice: str, pairs: list[tuple[int, int]]) -> None:
    for key, practices in PRACTICES.items():
        found = [
            (breaker.load_a, breaker.breaker_a)
            for breaker in nominal_supply(key).breakers
            if breaker.practice == practice and source in breaker.source.split(";")
        ]
        assert found == (pairs if practice in practices else [])


def test_each_supply_has_the_breakers_of_its_own_practice_only() -> None:
    assert set(SUPPLIES) == set(PRACTICES)
    for key, practices in PRACTICES.items():
        assert {breaker.practice for breaker in nominal_supply(key).breakers} == practices


def test_breaker_follows_the_rule_of_its_practice() -> None:
    """NEC article 625 as summarised: 125 % of the load, next size of 240.6(A); elsewhere equal."""
    nec_sizes = [15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100]
    for breaker in nominal_supply("north-america-120-240").breakers:
        assert breaker.breaker_a == min(size for size in nec_sizes if size >= 1.25 * breaker.load_a)
    for breaker in nominal_supply("europe-230-400").breakers:
        assert (breaker.breaker_a == breaker.load_a) == (breaker.practice == "iec")


def test_breaker_record_says_how_it_is_known() -> None:
    first, second, *_ = nominal_supply("north-america-120-240").breakers
    assert (first.status, second.status) == ("computed", "read")
    assert (second.place, second.note) == ("loads and devices", "")
    assert first.note == "everyday load of a 120 V outlet"
    assert {breaker.status for breaker in nominal_supply("india-230-400").breakers} == {"from memory", "read"}
