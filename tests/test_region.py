"""Regions fit the tables that they name, and one setting moves them all."""

import pytest

from acpower import tables
from acpower.circuit import next_breaker
from acpower.region import REGIONS, choose_region, region_in_use
from acpower.supply import SUPPLIES


@pytest.fixture(autouse=True)
def _europe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")


@pytest.mark.parametrize("key", REGIONS)
def test_profile_fits_the_tables(key: str) -> None:
    region = REGIONS[key]
    assert region.single_phase in SUPPLIES.values()
    assert region.phases == region.three_phase.phases
    assert region.frequency_hz in region.single_phase.frequencies_hz
    assert region.frequency_hz in region.three_phase.frequencies_hz
    assert region.single_phase_v in (region.single_phase.phase_voltage_v, region.single_phase.line_voltage_v)
    assert region.single_phase_v >= 200
    assert next_breaker(16, series=region.breaker_series) >= 16
    assert len(region.line_colours) in (2, 3)
    assert {"rules", "section", "code", "Act", "standards"} & set(
        region.rules.split()
    ) or "regulations" in region.rules
    assert region.caution.endswith(f"Follow {region.rules}.")
    assert max(map(len, region.caution.splitlines())) <= 100  # JupyterLab breaks longer lines inside a word
    assert region.source in tables.sources()


def test_voltage_of_a_single_phase_charger() -> None:
    """Common practice, no source: between two lines where a line has 100 to 127 V to neutral."""
    volts = {key: region.single_phase_v for key, region in REGIONS.items()}
    assert volts == {
        "europe": 230, "united-kingdom": 230, "north-america": 240, "japan": 200, "china": 220, "australia": 230,
    }  # fmt: skip
    assert SUPPLIES["north-america-208"].charger_voltage_v == 208
    assert SUPPLIES["north-america-480-277"].charger_voltage_v == 277


def test_there_are_regions_of_both_frequencies_and_of_each_connection() -> None:
    assert {region.frequency_hz for region in REGIONS.values()} == {50, 60}
    assert {region.three_phase.system for region in REGIONS.values()} == {"three-phase", "split-phase"}


def test_choosing_a_region_lasts() -> None:
    assert region_in_use().key == "europe"
    assert choose_region("north-america") is region_in_use()
    assert region_in_use().frequency_hz == 60


def test_without_a_setting_it_is_europe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("ACPOWER_REGION")
    assert region_in_use().key == "europe"


def test_unknown_regions_are_told() -> None:
    with pytest.raises(ValueError, match=r"^region: 'mars' was given; allowed is one of 'europe', "):
        choose_region("mars")
    assert region_in_use().key == "europe"


def test_a_wrong_setting_from_outside_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "mars")
    with pytest.raises(ValueError, match=r"^region in ACPOWER_REGION: 'mars' was given"):
        region_in_use()
