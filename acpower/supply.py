"""Nominal supply systems of the world, with the bands of their voltage and the breakers in use.

The numbers live in the tables ``supplies``, ``voltage_bands`` and ``station_breakers``; this module
gives them names.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from acpower import tables
from acpower._checks import choice

__all__ = ["SUPPLIES", "NominalSupply", "StationBreaker", "VoltageBand", "nominal_supply"]


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
class StationBreaker:
    """A breaker as it is used for a charging station; the local code decides.

    Attributes
    ----------
    practice : str
        Whose practice it is: "nec" (125 % of a continuous load), "iec" (equal rating), "one maker"
        (one size up). The practices disagree, and stand side by side.
    load_a, breaker_a : float
        Charging current and rating of the breaker [A].
    status : str
        Whether the pair was read, computed, or comes from memory.
    source, place, note : str
        Keys in ``acpower/tables/sources.toml`` (several are separated by ";"), place, remark.
    """

    practice: str
    load_a: float
    breaker_a: float
    status: str
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
        Published bands, several where sources or purposes differ; empty if not known.
    breakers : tuple of StationBreaker
        Breakers that are in use for charging stations on this supply; empty if not known.
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
    breakers: tuple[StationBreaker, ...]
    source: str
    place: str
    note: str

    @property
    def charger_between_lines(self) -> bool:
        """Whether a single-phase charger stands between two lines: where a line has less than 200 V to neutral.

        Common practice, no source.
        """
        return self.phase_voltage_v < 200.0

    @property
    def charger_voltage_v(self) -> float:
        """Voltage across a single-phase charger [V].

        >>> nominal_supply("north-america-208").charger_voltage_v
        208.0
        """
        return self.line_voltage_v if self.charger_between_lines else self.phase_voltage_v


def nominal_supply(key: str) -> NominalSupply:
    """Return a supply system by its key.

    Parameters
    ----------
    key : str
        One of the keys of ``SUPPLIES``.

    Returns
    -------
    NominalSupply
        The record with voltages [V], frequencies [Hz], bands, breakers and source.

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
    >>> [(breaker.load_a, breaker.breaker_a) for breaker in supply.breakers][:2]
    [(12.0, 15.0), (16.0, 20.0)]
    """
    return SUPPLIES[choice("key", key, SUPPLIES)]


def _band(row: dict[str, str]) -> VoltageBand:
    reference = float(row["reference_v"])
    if row["low_v"] != "none":
        low, high = float(row["low_v"]), float(row["high_v"])
    else:
        low = reference * (1.0 - float(row["below_percent"]) / 100.0)
        high = reference * (1.0 + float(row["above_percent"]) / 100.0)
    return VoltageBand(row["band"], reference, low, high, row["source"], row["place"], row["note"])


def _breaker(row: dict[str, str]) -> StationBreaker:
    load, breaker = float(row["load_a"]), float(row["breaker_a"])
    return StationBreaker(
        row["practice"], load, breaker, row["status"], row["source"], row["place"], row["note"]
    )


def _supply(
    row: dict[str, str], bands: list[dict[str, str]], breakers: list[dict[str, str]]
) -> NominalSupply:
    practices = row["breaker_practice"].split(";")
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
        breakers=tuple(_breaker(breaker) for breaker in breakers if breaker["practice"] in practices),
        source=row["source"],
        place=row["place"],
        note=row["note"],
    )


def _read() -> Mapping[str, NominalSupply]:
    bands, breakers = tables.rows("voltage_bands"), tables.rows("station_breakers")
    return MappingProxyType({row["key"]: _supply(row, bands, breakers) for row in tables.rows("supplies")})


SUPPLIES = _read()
