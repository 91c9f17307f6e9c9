"""Couplers against the limits that public documents print."""

from dataclasses import FrozenInstanceError

import pytest

from acpower import tables
from acpower.connectors import CONNECTORS, connector

# Source, connector, quantity, number of phases (None for any), value as printed.
LIMITS = [
    ("j1772-article", "type-1", "voltage", None, 240),
    ("j1772-article", "type-1", "current", 1, 80),
    ("j1772-article", "type-1", "current", 3, None),
    ("iec-62196-2-catalogue", "type-2", "voltage", None, 480),
    ("iec-62196-2-catalogue", "type-2", "current", 1, 70),
    ("iec-62196-2-catalogue", "type-2", "current", 3, 63),
    ("station-bring-up-guide", "type-2", "current", 1, 70),
    ("station-bring-up-guide", "type-2", "current", 3, 63),
    ("j1772-basics", "type-2", "current", 1, 63),
    ("connector-glossary", "type-3a", "power", 3, 22),
    ("connector-glossary", "type-3c", "power", None, 22),
    ("ground-fault-thread", "sae-j3400", "voltage", None, 277),
    ("gb-t-20234-pages", "gb-t-20234.2", "voltage", None, 440),
    ("gb-t-20234-pages", "gb-t-20234.2", "current", None, 63),
    ("gb-t-20234-pages", "gb-t-20234.2", "current", None, 32),
]

# What comes from memory: connector, quantity, number of phases, value, whether it is unconfirmed.
REMEMBERED = [
    ("type-1", "voltage", None, 250, False),
    ("type-1", "current", 1, 32, True),
    ("type-3a", "voltage", None, 250, True),
    ("type-3a", "current", 1, 16, True),
    ("type-3c", "voltage", None, 480, True),
    ("type-3c", "current", None, 63, True),
    ("sae-j3400", "current", 1, 80, True),
    ("sae-j3400", "current", 3, None, False),
]


@pytest.mark.parametrize(
    ("source", "key", "quantity", "phases", "value"),
    [pytest.param(*row, id=f"{row[0]}, {row[1]}, {row[2]} {row[4]}") for row in LIMITS],
)
def test_published_limit(source: str, key: str, quantity: str, phases: int | None, value: float) -> None:
    assert source in tables.sources()
    (rating,) = (
        rating
        for rating in connector(key).ratings
        if (rating.source, rating.quantity, rating.phases, rating.value) == (source, quantity, phases, value)
    )
    assert rating.status == "read"
    assert rating.unit == {"voltage": "V", "current": "A", "power": "kW"}[quantity]


def test_every_other_rating_says_that_it_comes_from_memory() -> None:
    others = [
        (key, rating.quantity, rating.phases, rating.value, rating.status == "from memory; unconfirmed")
        for key, record in CONNECTORS.items()
        for rating in record.ratings
        if rating.status != "read"
    ]
    assert others == REMEMBERED
    every = [rating for record in CONNECTORS.values() for rating in record.ratings]
    assert len(every) == len(LIMITS) + len(REMEMBERED) == len(tables.rows("connector_ratings"))
    assert all((rating.status == "read") != (rating.source == "trade-memory") for rating in every)


# What was read: voltage, single-phase and three-phase currents.
READ = {
    "type-1": (240, (80,), ()),
    "type-2": (480, (63, 70), (63,)),
    "type-3a": (None, (), ()),
    "type-3c": (None, (), ()),
    "sae-j3400": (277, (), ()),
    "gb-t-20234.2": (440, (32, 63), (32, 63)),
}


@pytest.mark.parametrize("key", CONNECTORS)
def test_unconfirmed_ratings_are_left_out_of_what_a_record_gives(key: str) -> None:
    record = connector(key)
    assert (record.voltage_v, record.single_phase_a, record.three_phase_a) == READ[key]


@pytest.mark.parametrize(
    ("key", "quantity", "phases", "words"),
    [
        ("type-1", "current", 1, "80 A"),
        ("type-1", "current", 3, "not applicable"),
        ("type-1", "voltage", 3, "not applicable"),
        ("type-2", "current", 1, "63 or 70 A"),
        ("type-2", "voltage", 3, "480 V"),
        ("type-2", "power", 3, "not known"),
        ("type-3a", "current", 1, "not known"),
        ("type-3a", "current", 3, "not known"),
        ("type-3a", "power", 3, "22 kW"),
        ("type-3a", "power", 1, "not known"),
        ("type-3c", "power", 1, "22 kW"),
        ("sae-j3400", "current", 1, "not known"),
        ("sae-j3400", "current", 3, "not applicable"),
        ("gb-t-20234.2", "current", 3, "32 or 63 A"),
    ],
)
def test_not_applicable_is_told_from_not_known(key: str, quantity: str, phases: int, words: str) -> None:
    assert connector(key).describe(quantity, phases) == words


@pytest.mark.parametrize("key", CONNECTORS)
def test_a_rating_that_cannot_be_belongs_to_a_number_of_phases_that_cannot_be(key: str) -> None:
    record = connector(key)
    none = {rating.phases for rating in record.ratings if rating.value is None}
    assert none == ({1, 3} - set(record.phases) if record.phases else set())


@pytest.mark.parametrize(
    ("quantity", "phases", "refused"),
    [("amperes", 1, "quantity: 'amperes'"), (None, 1, "quantity: None"), ("current", 2, "phases: '2'")],
)
def test_what_cannot_be_described_is_refused(quantity: str, phases: int, refused: str) -> None:
    with pytest.raises(ValueError, match=rf"^{refused} was given; allowed is one of '"):
        connector("type-2").describe(quantity, phases)


@pytest.mark.parametrize("row", tables.rows("connector_ratings"), ids=lambda row: row["connector"])
def test_rating_is_of_plausible_size(row: dict[str, str]) -> None:
    low, high = {"voltage": (200, 500), "current": (10, 80), "power": (2, 50)}[row["quantity"]]
    assert row["value"] == "none" or low <= float(row["value"]) <= high
    assert row["connector"] in CONNECTORS


# Contacts as printed in the document or, where it says so, from memory; row by row.
CONTACTS = {
    "type-1": ("read", "j1772-article", [["L1", "L2/N"], ["PP", "PE", "CP"]]),
    "type-2": ("from memory", "trade-memory", [["PP", "CP"], ["N", "PE", "L1"], ["L3", "L2"]]),
    "type-3a": ("", "", []),
    "type-3c": ("", "", []),
    "sae-j3400": ("from memory", "trade-memory", [["P1", "P2"], ["CP", "G", "PP"]]),
    "gb-t-20234.2": ("from memory", "trade-memory", [["CC", "CP"], ["N", "PE", "L1"], ["L3", "L2"]]),
}


@pytest.mark.parametrize("key", CONNECTORS)
def test_contacts_of_each_coupler(key: str) -> None:
    status, source, layout = CONTACTS[key]
    contacts = connector(key).contacts
    assert [(contact.row, contact.column, contact.name) for contact in contacts] == [
        (row, column, name)
        for row, names in enumerate(layout, start=1)
        for column, name in enumerate(names, start=1)
    ]
    assert {contact.status for contact in contacts} <= {status}
    assert {contact.source for contact in contacts} <= {source}
    assert {contact.arrangement for contact in contacts} <= {"from memory; unconfirmed"}


@pytest.mark.parametrize(
    "row", tables.rows("contacts"), ids=lambda row: f"{row['connector']}-{row['contact']}"
)
def test_kind_of_a_contact_fits_its_letters_and_its_function(row: dict[str, str]) -> None:
    kinds = {"L": "power", "P": "power", "N": "neutral", "G": "earth"} | {
        "PE": "earth", "CP": "pilot", "PP": "proximity", "CC": "proximity",
    }  # fmt: skip
    assert row["kind"] == (kinds.get(row["contact"]) or kinds[row["contact"][0]])
    words = {
        "power": "conductor", "neutral": "neutral", "earth": "protective earth",
        "pilot": "control pilot", "proximity": "the",
    }  # fmt: skip
    assert words[row["kind"]] in row["function"]
    assert row["connector"] in CONNECTORS


@pytest.mark.parametrize("key", CONNECTORS)
def test_each_coupler_has_one_earth_one_pilot_and_one_proximity_contact(key: str) -> None:
    kinds = [contact.kind for contact in connector(key).contacts]
    assert [kinds.count(kind) for kind in ("earth", "pilot", "proximity")] == (
        [1, 1, 1] if kinds else [0, 0, 0]
    )


def test_records_of_a_coupler_cannot_be_changed() -> None:
    record = connector("type-2")
    for part, name in ((record.ratings[0], "value"), (record.contacts[0], "name"), (record, "ratings")):
        with pytest.raises(FrozenInstanceError):
            setattr(part, name, None)


def test_records_carry_what_the_tables_say() -> None:
    for row in tables.rows("connectors"):
        record = connector(row["key"])
        assert (record.designation, record.status, record.source) == (
            row["designation"],
            row["status"],
            row["source"],
        )
        assert (record.place, record.note) == (row["place"], row["note"])
        assert ";".join(record.regions) == row["regions"]
        assert ";".join(map(str, record.phases)) == row["phases"]
    read = [(r.place, r.note) for record in CONNECTORS.values() for r in record.ratings]
    assert read == [(row["place"], row["note"]) for row in tables.rows("connector_ratings")]
    read = [(c.function, c.place, c.note) for record in CONNECTORS.values() for c in record.contacts]
    assert read == [(row["function"], row["place"], row["note"]) for row in tables.rows("contacts")]
