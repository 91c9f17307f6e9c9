"""The region of the lessons: which supply, coupler, breakers and rules they speak of.

A region names rows of other tables (``supplies``, ``connector_ratings``, ``breaker_sizes``); the numbers live
there. Which region is in use is a setting of the process, so that all cells of a notebook follow it.
"""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from acpower import tables
from acpower._checks import choice
from acpower.connectors import Connector, connector
from acpower.supply import NominalSupply, nominal_supply

__all__ = ["REGIONS", "Region", "choose_region", "region_in_use"]

_SETTING = "ACPOWER_REGION"
_DEFAULT = "europe"


@dataclass(frozen=True)
class Region:
    """What charging with AC looks like in one part of the world.

    Attributes
    ----------
    key, name : str
        Name for the setting, and the name that people read.
    single_phase, three_phase : NominalSupply
        The supplies of a home and of a bigger site; where there are no three phases, the same.
    frequency_hz : int
        Frequency [Hz].
    coupler : Connector
        The usual coupler for AC.
    breaker_series : str
        Series of `acpower.circuit.next_breaker`; it also names the rule of `acpower.circuit.design_current`.
    rules : str
        The rules that decide there, as part of a sentence.
    line_colours : tuple of str
        Colours of the line conductors in words.
    neutral_colour, earth_colour : str
        Colours of neutral and protective conductor in words.
    status, source, place, note : str
        How far the row was read in a document, key in ``acpower/tables/sources.toml``, place, remark.
    """

    key: str
    name: str
    single_phase: NominalSupply
    three_phase: NominalSupply
    frequency_hz: int
    coupler: Connector
    breaker_series: str
    rules: str
    line_colours: tuple[str, ...]
    neutral_colour: str
    earth_colour: str
    status: str
    source: str
    place: str
    note: str

    @property
    def single_phase_v(self) -> float:
        """Voltage across a single-phase charger [V]."""
        return self.single_phase.charger_voltage_v

    @property
    def phases(self) -> int:
        """Greatest number of phases that a charging point can use here."""
        return self.three_phase.phases

    @property
    def caution(self) -> str:
        """The usual caution, in lines that a page does not break inside a word."""
        return (
            "Work on an installation is for licensed electricians: isolate, lock off, prove dead.\n"
            f"Follow {self.rules}."
        )


def region_in_use() -> Region:
    """Return the region that lessons and panels follow in this process.

    Returns
    -------
    Region
        The one chosen with `choose_region` or with ``acpower study --region``; Europe if none was.

    Raises
    ------
    ValueError
        If the setting from outside names no region.

    Notes
    -----
    The choice holds for this process and those that it starts, such as the kernels of the lessons.
    Sources as for `choose_region`.

    Examples
    --------
    >>> region_in_use().frequency_hz
    50
    """
    return REGIONS[choice(f"region in {_SETTING}", os.environ.get(_SETTING, _DEFAULT), REGIONS)]


def choose_region(key: str) -> Region:
    """Make lessons and panels of this process follow a region.

    Parameters
    ----------
    key : str
        One of the keys of ``REGIONS``.

    Returns
    -------
    Region
        The region that is in use from now on; panels that are already shown stay as they are.

    Raises
    ------
    ValueError
        If the key is unknown; the message lists the keys that there are.

    Notes
    -----
    Supplies and couplers come from the tables that name their sources; which of them is usual in a
    region, and the colours of conductors, are common practice, no source. The local code prevails.

    Examples
    --------
    >>> region = choose_region("north-america")
    >>> region.single_phase_v, region.breaker_series
    (240.0, 'nec')
    >>> _ = choose_region("europe")
    """
    chosen = REGIONS[choice("region", key, REGIONS)]
    os.environ[_SETTING] = chosen.key
    return chosen


def _region(row: Mapping[str, str]) -> Region:
    return Region(
        key=row["region"],
        name=row["name"],
        single_phase=nominal_supply(row["single_phase_supply"]),
        three_phase=nominal_supply(row["three_phase_supply"]),
        frequency_hz=int(row["frequency_hz"]),
        coupler=connector(row["coupler"]),
        breaker_series=row["breaker_series"],
        rules=row["rules"],
        line_colours=tuple(row["line_colours"].split(";")),
        neutral_colour=row["neutral_colour"],
        earth_colour=row["earth_colour"],
        status=row["status"],
        source=row["source"],
        place=row["place"],
        note=row["note"],
    )


REGIONS: Mapping[str, Region] = MappingProxyType(
    {row["region"]: _region(row) for row in tables.rows("regions")}
)
