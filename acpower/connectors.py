"""Vehicle couplers for AC charging, by the designation of their standard.

The values live in the tables ``connectors``, ``connector_ratings`` and ``contacts``; this module
gives them names. Where documents disagree all values stand, each with its own document. What could
not be confirmed stands there too, with a status that says so.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from acpower import tables
from acpower._checks import choice

__all__ = ["CONNECTORS", "Connector", "Contact", "Rating", "connector"]


@dataclass(frozen=True)
class Contact:
    """A contact of a coupler.

    Attributes
    ----------
    name, function : str
        Letters on the contact and what it is for, in plain words.
    kind : str
        "power", "neutral", "earth", "pilot" or "proximity".
    row, column : int
        Place in a schematic drawing, from the top and from the left, beginning at 1.
    status, arrangement : str
        How far the contact, and its place in the drawing, were read in a document.
    source, place, note : str
        Keys in ``acpower/tables/sources.toml`` (several are separated by ";"), place, remark.
    """

    name: str
    function: str
    kind: str
    row: int
    column: int
    status: str
    arrangement: str
    source: str
    place: str
    note: str


@dataclass(frozen=True)
class Rating:
    """What one document says about the largest voltage, current or power of a coupler.

    Attributes
    ----------
    quantity, unit : str
        "voltage", "current" (per phase) or "power", and its unit.
    phases : int or None
        Number of phases that the rating belongs to; None for any number.
    value : float or None
        The rating; None if there is none, as for three phases where there is one conductor only.
    status : str
        "read", or how far it comes from memory.
    source, place, note : str
        Key in ``acpower/tables/sources.toml``, place in that source, remark.
    """

    quantity: str
    phases: int | None
    value: float | None
    unit: str
    status: str
    source: str
    place: str
    note: str


@dataclass(frozen=True)
class Connector:
    """A coupler for AC charging.

    Attributes
    ----------
    key, designation : str
        Name for look-ups and designation of the standard.
    phases : tuple of int
        Numbers of phases possible with AC; empty if unconfirmed.
    contacts : tuple of Contact
        The contacts, row by row; empty if unconfirmed.
    ratings : tuple of Rating
        One record per value and document, also those that are not confirmed.
    regions : tuple of str
        Where it is used.
    status : str
        How far number of phases and regions were read in a document or come from memory.
    source, place, note : str
        Keys in ``acpower/tables/sources.toml`` (several are separated by ";"), place, remark.
    """

    key: str
    designation: str
    phases: tuple[int, ...]
    contacts: tuple[Contact, ...]
    ratings: tuple[Rating, ...]
    regions: tuple[str, ...]
    status: str
    source: str
    place: str
    note: str

    @property
    def voltage_v(self) -> float | None:
        """Largest AC voltage that was read in a document [V]; None if not known."""
        return next(iter(self._read("voltage", None)), None)

    @property
    def single_phase_a(self) -> tuple[float, ...]:
        """Largest single-phase currents that were read in a document [A], rising; empty if not known."""
        return self._read("current", 1)

    @property
    def three_phase_a(self) -> tuple[float, ...]:
        """Largest three-phase currents that were read [A], rising; empty if not known, or none.

        `describe` tells the two apart.
        """
        return self._read("current", 3)

    def describe(self, quantity: str, phases: int) -> str:
        """Return in words what is known of a rating.

        Parameters
        ----------
        quantity : {"voltage", "current", "power"}
            What is rated.
        phases : {1, 3}
            Number of phases in use.

        Returns
        -------
        str
            The values that were read, "not applicable" if there can be none, or "not known". What
            is not confirmed is left out.

        Raises
        ------
        ValueError
            If quantity or number of phases is not one of those named above.

        Examples
        --------
        >>> connector("type-2").describe("current", 1)
        '63 or 70 A'
        >>> connector("type-1").describe("current", 3), connector("type-3c").describe("current", 3)
        ('not applicable', 'not known')
        """
        choice("quantity", quantity, _UNITS)
        number = int(choice("phases", str(phases), ("1", "3")))
        values = self._read(quantity, number)
        if self.phases and number not in self.phases:
            return "not applicable"
        if not values:
            return "not known"
        return " or ".join(f"{value:g}" for value in values) + f" {_UNITS[quantity]}"

    def _read(self, quantity: str, phases: int | None) -> tuple[float, ...]:
        values = {
            rating.value
            for rating in self.ratings
            if rating.quantity == quantity
            and rating.phases in (None, phases)
            and rating.value is not None
            and rating.status == "read"
        }
        return tuple(sorted(values))


def connector(key: str) -> Connector:
    """Return a coupler by its key.

    Parameters
    ----------
    key : str
        One of the keys of ``CONNECTORS``.

    Returns
    -------
    Connector
        The record with phases, contacts, ratings and sources.

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
    >>> [contact.name for contact in connector("type-1").contacts]
    ['L1', 'L2/N', 'PP', 'PE', 'CP']
    """
    return CONNECTORS[choice("key", key, CONNECTORS)]


_UNITS = {"voltage": "V", "current": "A", "power": "kW"}


def _several(cell: str) -> tuple[str, ...]:
    return tuple(cell.split(";")) if cell else ()


def _contact(row: dict[str, str]) -> Contact:
    return Contact(
        name=row["contact"],
        function=row["function"],
        kind=row["kind"],
        row=int(row["row"]),
        column=int(row["column"]),
        status=row["status"],
        arrangement=row["arrangement"],
        source=row["source"],
        place=row["place"],
        note=row["note"],
    )


def _rating(row: dict[str, str]) -> Rating:
    return Rating(
        quantity=row["quantity"],
        phases=None if row["phases"] == "any" else int(row["phases"]),
        value=None if row["value"] == "none" else float(row["value"]),
        unit=row["unit"],
        status=row["status"],
        source=row["source"],
        place=row["place"],
        note=row["note"],
    )


def _connector(row: dict[str, str]) -> Connector:
    return Connector(
        key=row["key"],
        designation=row["designation"],
        phases=tuple(int(count) for count in _several(row["phases"])),
        contacts=tuple(map(_contact, _rows_of("contacts", row["key"]))),
        ratings=tuple(map(_rating, _rows_of("connector_ratings", row["key"]))),
        regions=_several(row["regions"]),
        status=row["status"],
        source=row["source"],
        place=row["place"],
        note=row["note"],
    )


def _rows_of(table: str, key: str) -> list[dict[str, str]]:
    return [row for row in tables.rows(table) if row["connector"] == key]


CONNECTORS: Mapping[str, Connector] = MappingProxyType(
    {row["key"]: _connector(row) for row in tables.rows("connectors")}
)
