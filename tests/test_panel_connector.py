"""Panel of the connector: contacts in use, ratings with their documents, greatest power."""

import xml.etree.ElementTree as ElementTree

import pytest

from acpower import tables
from acpower.connectors import CONNECTORS, connector
from acpower.figures.connector import CAUTION
from acpower.panels import connector_panel
from acpower.panels.connector import couple, coupling_words, supplies
from acpower.region import REGIONS
from acpower.supply import SUPPLIES

SVG = "{http://www.w3.org/2000/svg}"
each_size = pytest.mark.parametrize("large", [False, True], ids=["normal", "large"])
TYPE_1, TYPE_2 = connector("type-1").designation, connector("type-2").designation


@pytest.fixture(autouse=True)
def _europe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")


def written(svg: str) -> list[str]:
    """Return each text of the picture, its lines joined."""
    root = ElementTree.fromstring(svg)
    return [" ".join(part for part in text.itertext() if part.strip()) for text in root.iter(f"{SVG}text")]


def hatched(svg: str) -> int:
    return sum(
        "hatch" in str(shape.get("fill")) for shape in ElementTree.fromstring(svg).iter(f"{SVG}polygon")
    )


@pytest.mark.parametrize(
    ("coupler", "supply", "phases", "in_use"),
    [
        # contacts of one and of three phases: common practice, no source
        ("type-2", "europe-230-400", None, ("L1", "L2", "L3", "N", "PE", "CP", "PP")),
        ("type-2", "europe-230-400", 1, ("L1", "N", "PE", "CP", "PP")),
        ("type-2", "north-america-120-240", None, ("L1", "N", "PE", "CP", "PP")),
        ("gb-t-20234.2", "china-220-380", 1, ("L1", "N", "PE", "CP", "CC")),
        ("type-1", "north-america-120-240", None, ("L1", "L2/N", "PE", "CP", "PP")),
        ("type-1", "europe-230-400", 1, ("L1", "L2/N", "PE", "CP", "PP")),
        ("sae-j3400", "north-america-208", None, ("P1", "P2", "G", "CP", "PP")),
        ("type-3c", "europe-230-400", None, ()),
    ],
)
def test_contacts_in_use(coupler: str, supply: str, phases: int | None, in_use: tuple[str, ...]) -> None:
    assert couple(coupler, supply, phases).in_use == in_use


@pytest.mark.parametrize(
    ("coupler", "supply", "phases", "said"),
    [
        # Encyclopedia article on SAE J1772, charging levels: 80 A at 240 V are 19.2 kW
        ("type-1", "north-america-120-240", None, "240 V × 80 A = 19.20 kW"),
        # IEC 62196-2:2022, scope: 63 A three-phase and 70 A single-phase
        ("type-2", "europe-230-400", None, "3 × 230 V × 63 A = 43.47 kW"),
        ("type-2", "europe-230-400", 1, "230 V × 70 A = 16.10 kW"),
        # GB/T 20234.2-2015, scope: 63 A
        ("gb-t-20234.2", "china-220-380", None, "3 × 220 V × 63 A = 41.58 kW"),
    ],
)
def test_greatest_power_by_the_documents(coupler: str, supply: str, phases: int | None, said: str) -> None:
    words = coupling_words(couple(coupler, supply, phases))
    assert f"Greatest power {said} at power factor 1, by the highest rating that was read." in words


def test_both_values_are_said_where_documents_differ() -> None:
    panel = connector_panel()
    assert "documents differ" not in panel.words
    panel.set(phases="one only")
    assert panel.words.endswith("The documents differ: 63 or 70 A.")
    panel.set(coupler="GB/T 20234.2-2015")
    assert panel.words.endswith("The documents differ: 32 or 63 A.")


@pytest.mark.parametrize("key", ["type-3a", "type-3c", "sae-j3400"])
def test_no_power_without_a_current_that_was_read(key: str) -> None:
    panel = connector_panel()
    panel.set(coupler=connector(key).designation)
    assert panel.numbers.ceiling is None
    assert panel.words.endswith("No power is given: no current of it was read in a document.")


def test_supply_above_the_coupler_is_refused_and_the_picture_stays() -> None:
    panel = connector_panel()
    panel.set(coupler=TYPE_1)
    before = panel.svg()
    with pytest.raises(ValueError, match=r"supply: 277 V was given; allowed is up to 240 V"):
        panel.set(supply="277/480 V, three-phase")
    assert panel.svg() == before


def test_second_line_on_the_neutral_contact_is_said_to_be_unconfirmed() -> None:
    panel = connector_panel()
    unconfirmed = "Contact N carries a second line here: from memory, unconfirmed."
    panel.set(supply="120/240 V, split-phase")
    assert unconfirmed in panel.words
    assert "second line here" in written(panel.svg())
    panel.set(supply="230/400 V, three-phase")
    assert unconfirmed not in panel.words
    panel.set(coupler=TYPE_1, supply="120/240 V, split-phase")  # it has a contact for either
    assert "second line" not in panel.words


@each_size
@pytest.mark.parametrize("key", CONNECTORS)
def test_picture_writes_every_contact_and_every_rating_with_its_document(key: str, large: bool) -> None:
    panel = connector_panel()
    record = connector(key)
    panel.set(coupler=record.designation)
    svg = panel.svg(large=large)
    texts = written(svg)
    assert hatched(svg) == len(record.contacts)
    for contact in record.contacts:
        assert texts.count(contact.name) == 2  # on the face and in the list
        assert contact.function in texts
    alternative = ElementTree.fromstring(svg).findtext(f"{SVG}desc") or ""
    for rating in record.ratings:
        told = (
            tables.sources()[rating.source]["title"]
            if rating.status == "read"
            else rating.status.replace(";", ",")
        )
        assert told in alternative
        assert any(told.startswith(text.removesuffix(" …")) for text in texts if len(text) > 8), told
        if rating.value is not None:
            assert any(f"{rating.value:g} {rating.unit}" in text for text in texts)
    assert f"Picture: {CAUTION}" in texts
    assert CAUTION in alternative


def test_idle_contacts_lose_hatch_and_are_said() -> None:
    panel = connector_panel()
    panel.set(phases="one only")
    assert hatched(panel.svg()) == 5
    assert [text for text in written(panel.svg()) if text.startswith("idle")] == [
        "idle: line conductor 2",
        "idle: line conductor 3",
    ]


@pytest.mark.parametrize("phases", ["as many as there are", "one only"])
@pytest.mark.parametrize("coupler", [record.designation for record in CONNECTORS.values()])
def test_list_of_contacts_ends_above_the_ratings(coupler: str, phases: str) -> None:
    panel = connector_panel()
    panel.set(coupler=coupler, phases=phases)
    texts = list(ElementTree.fromstring(panel.svg()).iter(f"{SVG}text"))
    begin, end = (
        next(at for at, text in enumerate(texts) if (text[0].text or "").startswith(title))
        for title in ("hatched", "Ratings")
    )
    functions = texts[begin + 2 : end : 2]  # a name, its function, the next name
    assert sum(len(function) for function in functions) <= 9  # lines that the list has room for


@pytest.mark.parametrize(
    ("region", "coupler", "supply"),
    [("europe", TYPE_2, "230/400 V, three-phase"), ("north-america", TYPE_1, "120/240 V, split-phase")],
)
def test_panel_begins_with_coupler_and_supply_of_the_region(
    region: str, coupler: str, supply: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ACPOWER_REGION", region)
    values = connector_panel().face.shown["values"]
    assert (values["coupler"], values["supply"]) == (coupler, supply)


@pytest.mark.parametrize("key", REGIONS)
def test_each_pair_of_voltages_can_be_chosen_once(key: str) -> None:
    found = supplies(REGIONS[key])
    assert (
        len({(SUPPLIES[name].phase_voltage_v, SUPPLIES[name].line_voltage_v) for name in found.values()}) == 6
    )
    assert len(found) == 6


@pytest.mark.parametrize("supply", SUPPLIES)
@pytest.mark.parametrize("coupler", ["type-1", "type-2", "gb-t-20234.2"])
def test_number_of_phases_is_the_one_that_gives_most(coupler: str, supply: str) -> None:
    from acpower.ac_ceiling import ac_ceiling

    try:
        best = ac_ceiling(coupler, supply)
    except ValueError:
        with pytest.raises(ValueError, match="rating of the coupler"):
            couple(coupler, supply, None)
        return
    assert couple(coupler, supply, None).ceiling == best
