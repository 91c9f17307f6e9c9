"""Records are made when a room is loaded. Made again from the same rows they are the same."""

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
import pytest

from acpower import _parts, connectors, harmonic_limits, protection, region, supply, tables

# Made by, from table, its column of keys, the records that the room keeps.
RECORDS: dict[str, tuple[Callable[[dict[str, str]], Any], str, str, Mapping[str, Any]]] = {
    "connectors": (connectors._connector, "connectors", "key", connectors.CONNECTORS),
    "parts": (_parts._limits, "circuit_parts", "part", _parts.PARTS),
    "regions": (region._region, "regions", "region", region.REGIONS),
    "residual-current devices": (
        protection._device, "residual_current_devices", "key", protection.RESIDUAL_CURRENT_DEVICES,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", RECORDS)
def test_records_made_again_are_the_same(name: str) -> None:
    make, table, key, records = RECORDS[name]
    assert {row[key]: make(dict(row)) for row in tables.rows(table)} == dict(records)


def test_supplies_read_again_are_the_same() -> None:
    assert supply._read() == supply.SUPPLIES


def test_limits_read_again_are_the_same() -> None:
    assert np.array_equal(harmonic_limits._limits(), harmonic_limits._LIMITS, equal_nan=True)
