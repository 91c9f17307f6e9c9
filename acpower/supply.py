"""Nominal supply systems of the world, with the bands in which their voltage may lie.

The numbers live in the tables ``supplies`` and ``voltage_bands``; this module gives them names.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from acpower import tables
from acpower._checks import choice

__all__ = ["SUPPLIES", "NominalSupply", "VoltageBand", "nominal_supply"]


@dataclass(frozen=True)
class VoltageBand:
    """A band in which a supply voltage may lie.

    Attributes
    ----------
    band : str
        What the band applies to.
    reference_v : float
        Voltage that the band refers to [V]; not always the nominal one.
    low_v, high_v : float
        Ends of the band [V]: as printed, or computed where the source prints percentages only.
    source, place, note : str
        Key in ``acpower/tables/sources.toml``, place in that source, remark.
    """

    band: str
    reference_v: float
    low_v: float
    high_v: float
    source: str
    place: str
    note: str


@dataclass(frozen=True)
class NominalSupply:
    """A low-voltage supply system with its nominal voltages.

    Attributes
    ----------
    key, region, system, standard : str
        Name for look-ups, where it is used, "three-phase" or "split-phase", who defines it.
    phases : int
        Number of phases that a charging point can use.
    phase_voltage_v : float
        From a line conductor to neutral [V].
    line_voltage_v : float
        Between two line conductors, or between the two legs of a split phase [V].
    frequencies_hz : tuple of int
        Frequencies in use [Hz].
    bands : tuple of VoltageBand
        Published bands, several where sources or purposes differ, none if not known.
    source, place, note : str
        Keys in ``acpower/tables/sources.toml`` (several are separated by ";"), place, remark.
    """

    key: str
    region: str
    system: str
    phases: int
    phase_voltage_v: float
    line_voltage_v: float
    frequencies_hz: tuple[int, ...]
    standard: str
    bands: tuple[VoltageBand, ...]
    source: str
    place: str
    note: str


def nominal_supply(key: str) -> NominalSupply:
    """Return a supply system by its key.

    Parameters
    ----------
    key : str
        One of the keys of ``SUPPLIES``.

    Returns
    -------
    NominalSupply
        The record with voltages [V], frequencies [Hz], bands and source.

    Raises
    ------
    ValueError
        If the key is unknown; the message lists the keys that there are.

    Notes
    -----
    Values as printed in the sources that each record names; no standard was opened itself.

    Examples
    --------
    >>> supply = nominal_supply("north-america-120-240")
    >>> supply.system, supply.phase_voltage_v, supply.line_voltage_v
    ('split-phase', 120.0, 240.0)
    """
    return SUPPLIES[choice("key", key, SUPPLIES)]


def _band(row: dict[str, str]) -> VoltageBand:
    reference = float(row["reference_v"])
    if row["low_v"]:
        low, high = float(row["low_v"]), float(row["high_v"])
    else:
        low = reference * (1.0 - float(row["below_percent"]) / 100.0)
        high = reference * (1.0 + float(row["above_percent"]) / 100.0)
    return VoltageBand(row["band"], reference, low, high, row["source"], row["place"], row["note"])


def _supply(row: dict[str, str], bands: list[dict[str, str]]) -> NominalSupply:
    return NominalSupply(
        key=row["key"],
        region=row["region"],
        system=row["system"],
        phases=int(row["phases"]),
        phase_voltage_v=float(row["phase_voltage_v"]),
        line_voltage_v=float(row["line_voltage_v"]),
        frequencies_hz=tuple(int(hertz) for hertz in row["frequency_hz"].split(";")),
        standard=row["standard"],
        bands=tuple(_band(band) for band in bands if band["supply"] == row["key"]),
        source=row["source"],
        place=row["place"],
        note=row["note"],
    )


def _read() -> Mapping[str, NominalSupply]:
    bands = tables.rows("voltage_bands")
    return MappingProxyType({row["key"]: _supply(row, bands) for row in tables.rows("supplies")})


SUPPLIES = _read()
