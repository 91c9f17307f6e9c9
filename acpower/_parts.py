"""Parts of the pilot and the proximity circuit with their tolerances, and the worst case of several."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import product
from types import MappingProxyType

from acpower import tables
from acpower._checks import Numbers


@dataclass(frozen=True)
class Limits:
    """The lowest, the nominal and the highest value of a part or a level [V or ohm].

    Attributes
    ----------
    low, nominal, high : float
        In the unit of the quantity.
    """

    low: float
    nominal: float
    high: float


def _limits(row: dict[str, str]) -> Limits:
    nominal = float(row["nominal"])
    if row["tolerance_percent"] != "none":
        spread = nominal * float(row["tolerance_percent"]) / 100
        return Limits(nominal - spread, nominal, nominal + spread)
    return Limits(float(row["low"]), nominal, float(row["high"]))


PARTS: Mapping[str, Limits] = MappingProxyType(
    {row["part"]: _limits(row) for row in tables.rows("circuit_parts")}
)
"""Parts of both circuits by their name in the table ``circuit_parts``, where status and source stand."""


def worst_case(level: Callable[..., Numbers], *parts: Limits) -> Limits:
    """Return the extremes of a level over all corners of its parts, and its nominal value."""
    corners = [float(level(*corner)) for corner in product(*((part.low, part.high) for part in parts))]
    return Limits(min(corners), float(level(*(part.nominal for part in parts))), max(corners))
