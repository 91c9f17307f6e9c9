"""Panel: which contacts of a coupler are in use on a supply, who says what it may carry, and the power."""

import textwrap
from dataclasses import dataclass

import numpy as np

from acpower import tables
from acpower.ac_ceiling import AcCeiling, ac_ceiling
from acpower.connectors import CONNECTORS, Connector, Contact, Rating, connector
from acpower.figures.connector import CAUTION, contact_place, contact_radius, contacts_listed
from acpower.figures.look import BLACK, GREY, SKY_BLUE
from acpower.figures.scene import Area, Axis, Chart, Fill, Line, Pen, Scene, Text, Thing
from acpower.panels.controls import Choice
from acpower.panels.panel import Panel
from acpower.region import Region, region_in_use
from acpower.supply import NominalSupply, nominal_supply

_SUPPLIES = (
    "iec-230-400",
    "china-220-380",
    "north-america-120-240",
    "north-america-208",
    "north-america-480-277",
    "japan-100-200",
)
_LETTERS = {"function": 25, "note": 30, "document": 42, "caution": 60}
"""Letters that fit on a line of each kind, with large text."""


@dataclass(frozen=True)
class Coupling:
    """A coupler on a supply: the contacts in use, and the most that they pass on.

    Attributes
    ----------
    phases
        Number of phases in use.
    in_use
        Names of the contacts in use.
    ceiling
        The greatest power; None if no current of the coupler was read in a document.
    """

    record: Connector
    supply: NominalSupply
    phases: int
    in_use: tuple[str, ...]
    ceiling: AcCeiling | None

    @property
    def second_line(self) -> str:
        """Name of the neutral contact where it carries a second line; empty elsewhere."""
        between_lines = self.ceiling is not None and self.ceiling.voltage > self.supply.phase_voltage_v
        neutral = [contact.name for contact in self.record.contacts if contact.kind == "neutral"]
        return neutral[0] if neutral and between_lines else ""


def connector_panel() -> Panel[Coupling]:
    """Return the panel: coupler, supply and phases in; contacts in use, ratings and greatest power out.

    It begins with the usual coupler and supply of the region in use.
    """
    region = region_in_use()
    usual_first = sorted(CONNECTORS, key=lambda key: key != region.coupler.key)
    return Panel(
        "Contacts of a coupler with those in use, and its ratings with their documents",
        {
            "coupler": Choice("Coupler", {connector(key).designation: key for key in usual_first}),
            "supply": Choice("Supply", supplies(region)),
            "phases": Choice("Phases in use", {"as many as there are": None, "one only": 1}),
        },
        calculate=couple,
        scene=_scene,
        words=coupling_words,
    )


def supplies(region: Region) -> dict[str, str]:
    """Return the supplies to choose from, each voltage once; those of the region come first.

    >>> from acpower.region import REGIONS
    >>> list(supplies(REGIONS["north-america"]))[:2]
    ['120/240 V, split-phase', '120/208 V, three-phase']
    """
    found: dict[str, str] = {}
    for supply in (region.single_phase, region.three_phase, *map(nominal_supply, _SUPPLIES)):
        found.setdefault(_say_supply(supply), supply.key)
    return found


def couple(coupler: str, supply: str, phases: int | None) -> Coupling:
    """Return the contacts in use and the greatest power; `phases` is 1, or None for as many as there are.

    A supply whose voltage is above that of the coupler is refused.

    >>> couple("type-2", "europe-230-400", 1).in_use
    ('L1', 'N', 'PE', 'CP', 'PP')
    """
    record, grid = connector(coupler), nominal_supply(supply)
    number = phases or (3 if 3 in record.phases and grid.phases == 3 else 1)
    known = record.single_phase_a or record.three_phase_a
    ceiling = ac_ceiling(coupler, supply, number) if known else None
    return Coupling(record, grid, number, _in_use(record, number), ceiling)


def _in_use(record: Connector, phases: int) -> tuple[str, ...]:
    lines = sorted(contact.name for contact in record.contacts if contact.kind == "power")
    has_neutral = any(contact.kind == "neutral" for contact in record.contacts)
    idle = lines[phases:] if has_neutral else []  # without a neutral of its own the current returns by a line
    return tuple(contact.name for contact in contacts_listed(record) if contact.name not in idle)


def coupling_words(coupling: Coupling) -> str:
    """Say contacts in use, greatest power and where documents differ."""
    record, ceiling = coupling.record, coupling.ceiling
    names = ", ".join(coupling.in_use) if coupling.in_use else "not known"
    says = [
        f"{record.designation} on {_say_supply(coupling.supply)}, {_say_phases(coupling.phases)}: "
        f"contacts in use {names}."
    ]
    if coupling.second_line:
        says.append(f"Contact {coupling.second_line} carries a second line here: from memory, unconfirmed.")
    if ceiling is None:
        says.append("No power is given: no current of it was read in a document.")
    else:
        times = f"{ceiling.phases} × " if ceiling.phases > 1 else ""
        says.append(
            f"Greatest power {times}{ceiling.voltage:g} V × {ceiling.current:g} A = "
            f"{ceiling.power / 1000:.2f} kW at power factor 1, by the highest rating that was read."
        )
        currents = record.describe("current", ceiling.phases)
        if " or " in currents:
            says.append(f"The documents differ: {currents}.")
    return " ".join(says)


def _say_supply(supply: NominalSupply) -> str:
    return f"{supply.phase_voltage_v:g}/{supply.line_voltage_v:g} V, {supply.system}"


def _say_phases(number: int) -> str:
    return f"{number} phase{'s' if number > 1 else ''}"


def _scene(coupling: Coupling) -> Scene:
    """Draw the face of the coupler, the list of its contacts, and below them its ratings."""
    record = coupling.record
    places = "; ".join(f"row {c.row}, place {c.column}: {c.name}, {c.function}" for c in record.contacts)
    ratings = "; ".join(f"{_say_rating(r)}: {_document(r)}, {r.place}" for r in record.ratings)
    return Scene(
        [_face(coupling), _list(coupling), _ratings(record)],
        description=f"{CAUTION}. Contacts: {places or record.note}. Ratings: {ratings}.",
    )


def _face(coupling: Coupling) -> Chart:
    record = coupling.record
    turn = np.linspace(0, 2 * np.pi, 97)
    x, y = (1.75 * np.sign(wave(turn)) * np.abs(wave(turn)) ** 0.45 for wave in (np.cos, np.sin))
    things: list[Thing] = [Line(x, y, Pen(GREY))]
    for contact in record.contacts:
        right, up = contact_place(contact, record)
        radius = contact_radius(contact)
        across = radius * np.sin(np.linspace(-np.pi / 2, np.pi / 2, 25))
        half = np.sqrt(radius**2 - across**2)
        used = contact.name in coupling.in_use
        fill = Fill(SKY_BLUE, hatch=True) if used else Fill("#ffffff")
        things += [
            Area(right + across, up - half, up + half, fill),
            Text(right, up, contact.name, "middle", bold=used),
        ]
    if not record.contacts:
        things.append(Text(0, 0, "not known", "middle"))
    span = Axis(-1.85, 1.85)
    return Chart(span, span, things, (0, 0, 0.39, 0.54), equal=True, grid=False, above=0, beside=0)


def _list(coupling: Coupling) -> Chart:
    record = coupling.record
    things: list[Thing] = [Text(0, 0, "hatched: in use", bold=True)]
    row = 1.2
    for contact in contacts_listed(record):
        lines = textwrap.wrap(_function(contact, coupling), _LETTERS["function"])
        middle = row + (len(lines) - 1) / 2
        used = contact.name in coupling.in_use
        things += [Text(0, row, contact.name, bold=used), Text(0.17, middle, "\n".join(lines))]
        row += len(lines)
    if not record.contacts:
        note = textwrap.wrap(record.note, _LETTERS["note"])
        things.append(Text(0, row + (len(note) - 1) / 2, "\n".join(note)))
    return Chart(Axis(0, 1), Axis(9.7, -0.6), things, (0.41, 0, 0.59, 0.54), grid=False, above=0, beside=0)


def _function(contact: Contact, coupling: Coupling) -> str:
    if contact.name == coupling.second_line:
        return "second line here"
    return contact.function if contact.name in coupling.in_use else f"idle: {contact.function}"


def _ratings(record: Connector) -> Chart:
    things: list[Thing] = [Text(0, 0, "Ratings, and the document of each", bold=True)]
    for row, rating in enumerate(record.ratings, 1):
        document = textwrap.shorten(_document(rating), _LETTERS["document"], placeholder=" …")
        read = rating.status == "read"
        things += [
            Text(0, row, _say_rating(rating), bold=read, size=0.85),
            Text(0.3, row, document, size=0.85, colour=BLACK if read else GREY),
        ]
    caution = "\n".join(textwrap.wrap(f"Picture: {CAUTION}", _LETTERS["caution"]))
    things.append(Text(0, 7.55, caution, size=0.85))
    return Chart(Axis(0, 1), Axis(8.5, -0.5), things, (0, 0.55, 1, 0.45), grid=False, above=0, beside=0)


def _say_rating(rating: Rating) -> str:
    value = "none" if rating.value is None else f"{rating.value:g} {rating.unit}"
    return value if rating.phases is None else f"{_say_phases(rating.phases)}: {value}"


def _document(rating: Rating) -> str:
    if rating.status != "read":
        return rating.status.replace(";", ",")
    return tables.sources()[rating.source]["title"]
