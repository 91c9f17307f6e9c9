"""The contacts of a coupler, drawn from the table of contacts."""

import textwrap
from typing import Any

from matplotlib.axes import Axes
from matplotlib.patches import Circle, FancyBboxPatch

from acpower.connectors import Connector, Contact, connector
from acpower.figures.look import (
    BLACK,
    GREY,
    ORANGE,
    SKY_BLUE,
    TEXT_SIZE,
    YELLOW,
    Still,
    blank_figure,
)

KIND_STYLES: dict[str, dict[str, Any]] = {
    "power": {"facecolor": SKY_BLUE},
    "neutral": {"facecolor": "white"},
    "earth": {"facecolor": YELLOW, "hatch": "//"},
    "pilot": {"facecolor": ORANGE, "hatch": ".."},
    "proximity": {"facecolor": "#DDDDDD", "hatch": "xx"},
}
"""One style per kind of contact; the letters inside tell them apart as well."""

CAUTION = "schematic, not to scale, arrangement from memory: not for identification"

_LARGE, _SMALL = 0.44, 0.3  # radius of a contact for power and for a signal [inches]
_PITCH = 1.05
_MIDDLE = (2.2, 2.45)


def connector_figure(key: str = "type-2") -> Still:
    """Show the contacts of a coupler with their letters and functions.

    Parameters
    ----------
    key
        One of the keys of `acpower.connectors.CONNECTORS`.
    """
    record = connector(key)
    rows = max((contact.row for contact in record.contacts), default=2)
    figure = blank_figure(9, 5)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, 9)
    axes.set_ylim(0, 5)
    axes.axis("off")
    axes.text(0.3, 4.7, record.designation, fontsize=TEXT_SIZE + 4, va="center")
    height = _PITCH * rows + 0.3
    outline: dict[str, Any] = {"facecolor": "none", "edgecolor": GREY, "linewidth": 2}
    axes.add_patch(
        FancyBboxPatch(
            (_MIDDLE[0] - 1.7, _MIDDLE[1] - height / 2),
            3.4,
            height,
            boxstyle="round,pad=0,rounding_size=0.5",
            **outline,
        )
    )
    for contact in record.contacts:
        _draw_contact(axes, contact, record)
    if record.contacts:
        _write_legend(axes, record)
    else:
        axes.text(*_MIDDLE, "not known", ha="center", va="center", fontsize=TEXT_SIZE + 2)
        axes.text(4.3, _MIDDLE[1], textwrap.fill(record.note, 48), va="center", fontsize=TEXT_SIZE)
    axes.text(0.3, 0.25, CAUTION, fontsize=TEXT_SIZE, va="center")
    listed = "; ".join(f"row {c.row}, place {c.column}: {c.name}, {c.function}" for c in record.contacts)
    return Still(
        figure,
        alt=(
            f"Contacts of {record.designation}, {CAUTION}. "
            + (f"{len(record.contacts)} contacts. {listed}. " if listed else f"Not known: {record.note}. ")
            + f"Contacts: {_status(record)}."
        ),
        caption=(
            f"{record.designation}: {_count(record)}. Single-phase {record.describe('current', 1)}, "
            f"three-phase {record.describe('current', 3)}. Contacts: {_status(record)}."
        ),
    )


def contact_place(contact: Contact, record: Connector) -> tuple[float, float]:
    """Return where a contact stands in the schematic drawing, right of and above the middle [inches].

    >>> contact_place(connector("type-1").contacts[0], connector("type-1"))
    (-0.525, 0.525)
    """
    rows = max(other.row for other in record.contacts)
    in_row = max(other.column for other in record.contacts if other.row == contact.row)
    return _PITCH * (contact.column - (in_row + 1) / 2), _PITCH * ((rows + 1) / 2 - contact.row)


def contact_radius(contact: Contact) -> float:
    """Return the radius of a contact in the schematic drawing [inches]: signals are smaller than power."""
    return _SMALL if contact.kind in ("pilot", "proximity") else _LARGE


def contacts_listed(record: Connector) -> list[Contact]:
    """Return the contacts in the order in which they are named: lines first, signals last.

    >>> [contact.name for contact in contacts_listed(connector("type-2"))]
    ['L1', 'L2', 'L3', 'N', 'PE', 'CP', 'PP']
    """
    kinds = list(KIND_STYLES)
    return sorted(record.contacts, key=lambda contact: (kinds.index(contact.kind), contact.name))


def _draw_contact(axes: Axes, contact: Contact, record: Connector) -> None:
    right, up = contact_place(contact, record)
    x, y = _MIDDLE[0] + right, _MIDDLE[1] + up
    radius = contact_radius(contact)
    axes.add_patch(Circle((x, y), radius, edgecolor=BLACK, linewidth=2, **KIND_STYLES[contact.kind]))
    ground = {"facecolor": "white", "edgecolor": "none", "pad": 1.5}
    axes.text(x, y, contact.name, ha="center", va="center", fontsize=TEXT_SIZE, bbox=ground)


def _write_legend(axes: Axes, record: Connector) -> None:
    step = 3.4 / len(record.contacts)
    for place, contact in enumerate(contacts_listed(record)):
        y = _MIDDLE[1] + step * ((len(record.contacts) - 1) / 2 - place)
        axes.text(4.4, y, contact.name, fontsize=TEXT_SIZE, va="center", fontweight="bold")
        axes.text(5.15, y, contact.function, fontsize=TEXT_SIZE, va="center")


def _count(record: Connector) -> str:
    return f"{len(record.contacts)} contacts" if record.contacts else "contacts not known"


def _status(record: Connector) -> str:
    words = dict.fromkeys(contact.status for contact in record.contacts) or (record.status,)
    return ", ".join(words).replace(";", ",")
