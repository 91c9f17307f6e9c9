"""Vehicle couplers for AC charging, by the designation of their standard.

The numbers live in the table ``connectors``; this module gives them names. What could not be
confirmed is left empty there, and where documents disagree both values stand.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from acpower import tables
from acpower._checks import choice

__all__ = ["CONNECTORS", "Connector", "connector"]


@dataclass(frozen=True)
class Connector:
    """A coupler for AC charging.

    Attributes
    ----------
    key, designation : str
        Name for look-ups and designation of the standard.
    contacts : tuple of str
        Names of the contacts; empty if unconfirmed.
    phases : tuple of int
        Numbers of phases possible with AC; empty if unconfirmed.
    voltage_v : float or None
        Largest AC voltage [V]; None if unconfirmed.
    single_phase_a, three_phase_a : tuple of float
        Largest current per phase [A]; several values where documents differ (the note tells
        which is which), none if unconfirmed or not possible.
    regions : tuple of str
        Where it is used.
    status : str
        How far the values were read in a document and how far they come from memory.
    source, place, note : str
        Keys in ``acpower/tables/sources.toml`` (several are separated by ";"), place, remark.
    """

    key: str
    designation: str
    contacts: tuple[str, ...]
    phases: tuple[int, ...]
    voltage_v: float | None
    single_phase_a: tuple[float, ...]
    three_phase_a: tuple[float, ...]
    regions: tuple[str, ...]
    status: str
    source: str
    place: str
    note: str


def connector(key: str) -> Connector:
    """Return a coupler by its key.

    Parameters
    ----------
    key : str
        One of the keys of ``CONNECTORS``.

    Returns
    -------
    Connector
        The record with contacts, phases, voltage [V], currents [A] and source.

    Raises
    ------
    ValueError
        If the key is unknown; the message lists the keys that there are.

    Notes
    -----
    Values as printed in the sources that each record names; no standard was opened itself.

    Examples
    --------
    >>> connector("type-2").single_phase_a
    (63.0, 70.0)
    """
    return CONNECTORS[choice("key", key, CONNECTORS)]


def _several(cell: str) -> tuple[str, ...]:
    return tuple(cell.split(";")) if cell else ()


def _connector(row: dict[str, str]) -> Connector:
    return Connector(
        key=row["key"],
        designation=row["designation"],
        contacts=_several(row["contacts"]),
        phases=tuple(int(count) for count in _several(row["phases"])),
        voltage_v=float(row["voltage_v"]) if row["voltage_v"] else None,
        single_phase_a=tuple(float(amperes) for amperes in _several(row["single_phase_a"])),
        three_phase_a=tuple(float(amperes) for amperes in _several(row["three_phase_a"])),
        regions=_several(row["regions"]),
        status=row["status"],
        source=row["source"],
        place=row["place"],
        note=row["note"],
    )


CONNECTORS: Mapping[str, Connector] = MappingProxyType(
    {row["key"]: _connector(row) for row in tables.rows("connectors")}
)
