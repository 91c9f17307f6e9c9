"""Where AC ends, against printed figures."""

import pytest
from published import half_of_last_digit

from acpower import tables
from acpower.ac_ceiling import AcCeiling, ac_ceiling

# Source, place, coupler, supply, kilowatts as printed. The figure of the second row is our own: 3 times 230 V
# times the 63 A of the scope.
PRINTED = [
    ("j1772-article", "charging levels: 80 A at 240 V", "type-1", "north-america-120-240", "19.2"),
    ("iec-62196-2-catalogue", "scope: 63 A three-phase", "type-2", "europe-230-400", "43.470"),
    ("gb-t-20234-pages", "scope of 2015: 63 A", "gb-t-20234.2", "china-220-380", "41.580"),
]


@pytest.mark.parametrize(
    ("source", "coupler", "supply", "printed"),
    [pytest.param(row[0], *row[2:], id=f"{row[0]}, {row[1]}") for row in PRINTED],
)
def test_printed_ceiling(source: str, coupler: str, supply: str, printed: str) -> None:
    assert source in tables.sources()
    kilowatts = ac_ceiling(coupler, supply).power / 1000
    assert kilowatts == pytest.approx(float(printed), abs=half_of_last_digit(printed))


def test_one_phase_coupler_takes_the_voltage_that_is_in_use() -> None:
    assert ac_ceiling("type-1", "north-america-208") == AcCeiling(208 * 80, 1, 208, 80)
    assert ac_ceiling("type-1", "japan-100-200") == AcCeiling(200 * 80, 1, 200, 80)
    assert ac_ceiling("type-1", "europe-230-400") == AcCeiling(230 * 80, 1, 230, 80)


def test_three_phases_give_more_than_one_only_where_there_are_three() -> None:
    assert ac_ceiling("type-2", "north-america-120-240") == AcCeiling(240 * 70, 1, 240, 70)
    assert ac_ceiling("type-2", "north-america-480-277") == AcCeiling(3 * 277 * 63, 3, 277, 63)


def test_number_of_phases_can_be_chosen_where_there_are_two_ways() -> None:
    assert ac_ceiling("type-2", "europe-230-400", phases=1) == AcCeiling(230 * 70, 1, 230, 70)
    assert ac_ceiling("type-2", "europe-230-400", phases=3) == ac_ceiling("type-2", "europe-230-400")
    # one phase of 208 V between two lines gives less than three phases of 120 V to neutral
    assert ac_ceiling("type-2", "north-america-208", phases=1) == AcCeiling(208 * 70, 1, 208, 70)
    assert ac_ceiling("type-2", "north-america-208") == AcCeiling(3 * 120 * 63, 3, 120, 63)


@pytest.mark.parametrize(
    ("coupler", "supply", "phases", "allowed"),
    [
        ("type-1", "europe-230-400", 3, "1"),
        ("type-2", "north-america-120-240", 3, "1"),
        ("type-2", "europe-230-400", 2, "1 or 3"),
        ("type-2", "europe-230-400", True, "1 or 3"),
    ],
)
def test_number_of_phases_that_coupler_and_supply_do_not_have_is_refused(
    coupler: str, supply: str, phases: int, allowed: str
) -> None:
    said = f"^phases: {phases} was given; allowed is {allowed}\\. Check the contacts"
    with pytest.raises(ValueError, match=said):
        ac_ceiling(coupler, supply, phases)


def test_what_is_not_known_or_does_not_fit_is_refused() -> None:
    with pytest.raises(
        ValueError, match=r"^coupler: 'sae-j3400' was given; allowed is one whose current was read"
    ):
        ac_ceiling("sae-j3400", "north-america-480-277")
    with pytest.raises(ValueError, match=r"^supply: 277 V was given; allowed is up to 240 V"):
        ac_ceiling("type-1", "north-america-480-277")
    with pytest.raises(ValueError, match=r"^supply: 480 V was given; allowed is up to 440 V"):
        ac_ceiling("gb-t-20234.2", "north-america-480-277")
    with pytest.raises(ValueError, match=r"^key: 'type-9' was given"):
        ac_ceiling("type-9", "europe-230-400")
