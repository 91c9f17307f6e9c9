"""Couplers against the limits that public documents print."""

import pytest

from acpower import tables
from acpower.connectors import CONNECTORS, connector

# Source, key, field, value as printed.
LIMITS = [
    ("j1772-article", "type-1", "voltage_v", 240),
    ("j1772-article", "type-1", "single_phase_a", (80,)),
    ("j1772-article", "type-1", "phases", (1,)),
    ("iec-62196-2-catalogue", "type-2", "voltage_v", 480),
    ("iec-62196-2-catalogue", "type-2", "single_phase_a", (63, 70)),
    ("iec-62196-2-catalogue", "type-2", "three_phase_a", (63,)),
    ("iec-62196-2-catalogue", "type-2", "phases", (1, 3)),
    ("ground-fault-thread", "sae-j3400", "voltage_v", 277),
    ("gb-t-20234-pages", "gb-t-20234.2", "voltage_v", 440),
    ("gb-t-20234-pages", "gb-t-20234.2", "single_phase_a", (32, 63)),
    ("gb-t-20234-pages", "gb-t-20234.2", "three_phase_a", (32, 63)),
]


@pytest.mark.parametrize(
    ("source", "key", "field", "value"),
    [pytest.param(*row, id=f"{row[0]}, {row[1]}, {row[2]}") for row in LIMITS],
)
def test_published_limit(source: str, key: str, field: str, value: object) -> None:
    assert source in tables.sources()
    assert source in connector(key).source.split(";")
    assert getattr(connector(key), field) == value


def test_unconfirmed_ratings_are_left_empty() -> None:
    for key in ("type-3a", "type-3c"):
        assert CONNECTORS[key].voltage_v is None
        assert CONNECTORS[key].phases == CONNECTORS[key].contacts == ()
        assert CONNECTORS[key].single_phase_a == CONNECTORS[key].three_phase_a == ()
    assert CONNECTORS["sae-j3400"].single_phase_a == ()
