"""Panel of the charging sequence: each event, its limit of time, what is parted under load, picture."""

import xml.etree.ElementTree as ElementTree
from itertools import pairwise, product
from typing import Any

import pytest

from acpower import tables
from acpower.panels.sequence import Told, sequence_panel, tell, told_words
from acpower.sequence import EVENTS

# Limits in seconds: 0.1 and 6 from a public bring-up guide of a station, 5 from the data classes of a
# charging simulation, both 3 from memory and unconfirmed.
OPENS, UNDER_LOAD, FOLLOWS, STOPS, CLOSES = 0.1, 6.0, 5.0, 3.0, 3.0
NOT_NEEDED, VENTILATED, UNVENTILATED = (False, False), (True, True), (True, False)


@pytest.fixture(autouse=True)
def _europe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")


def at(
    event: str, event_s: float = 20, limit: float = 10, offer: float = 16, car: float = 32,
    ventilation: tuple[bool, bool] = NOT_NEEDED,
) -> Told:  # fmt: skip
    return tell(event, event_s, limit, offer, car, ventilation)


def reaction(told: Told) -> list[tuple[float, str, float, bool]]:
    """Return seconds since the event, state, drawn current and contactor of each step."""
    start = told.reaction[0].time_s
    return [
        (round(step.time_s - start, 9), step.state, round(step.drawn_current, 9), step.contactor_closed)
        for step in told.reaction
    ]


@pytest.mark.parametrize(
    ("event", "steps", "under_load"),
    [
        ("vehicle not ready", [(0, "B2", 0, True), (OPENS, "B2", 0, False)], ()),
        ("interlock opens", [(0, "B2", 0, True), (OPENS, "B2", 0, False)], ()),
        ("pilot lost", [(0, "A", 16, True), (OPENS, "A", 0, False)], (20 + OPENS,)),
        ("station fault", [(0, "F", 0, False)], (20,)),
        ("current limit", [(0, "C2", 16, True), (FOLLOWS, "C2", 10, True)], ()),
        ("station pauses", [(0, "C1", 16, True), (STOPS, "C1", 0, True), (UNDER_LOAD, "C1", 0, False)], ()),
        ("unplug", [(0, "A", 0, True), (OPENS, "A", 0, False)], (20,)),
    ],
)  # fmt: skip
def test_reaction_to_each_event(
    event: str, steps: list[tuple[float, str, float, bool]], under_load: tuple[float, ...]
) -> None:
    told = at(event)
    assert reaction(told) == steps
    assert told.under_load == pytest.approx(under_load)
    assert (told.before.state, told.before.drawn_current, told.before.contactor_closed) == ("C2", 16, True)


@pytest.mark.parametrize(
    "event", ["vehicle not ready", "interlock opens", "pilot lost", "station fault", "unplug"]
)
def test_event_before_the_contactor_closes_parts_nothing(event: str) -> None:
    told = at(event, 5 + CLOSES - 0.5)
    assert len(told.reaction) == 1
    assert told.under_load == ()
    assert (told.before.state, told.before.contactor_closed) == ("C2", False)
    assert not any(step.contactor_closed for step in told.steps)


def test_limit_changed_before_the_contactor_closes_does_not_put_it_off() -> None:
    assert reaction(at("current limit", 7)) == [(0, "C2", 0, False), (1, "C2", 10, True)]


def test_event_at_the_very_moment_of_ready_and_of_closing() -> None:
    assert reaction(at("unplug", 5)) == [(0, "A", 0, False)]
    told = at("unplug", 5 + CLOSES)
    assert told.before.contactor_closed
    assert told.under_load == (8,)


def test_ventilation() -> None:
    assert reaction(at("vehicle not ready", ventilation=VENTILATED)) == [
        (0, "B2", 0, True),
        (OPENS, "B2", 0, False),
    ]
    assert at("vehicle not ready", ventilation=VENTILATED).before.state == "D2"
    told = at("vehicle not ready", ventilation=UNVENTILATED)
    assert not any(step.contactor_closed for step in told.steps)
    assert (told.unventilated, told.before.state) == (True, "D2")
    assert told_words(told).startswith(
        "Before: state D2, contactor open, 0 A; the station cannot ventilate and must not supply. At 20 s:"
    )
    assert not at("vehicle not ready", ventilation=VENTILATED).unventilated


def test_words_say_before_reaction_with_its_limit_and_after() -> None:
    assert told_words(at("vehicle not ready")) == (
        "Before: state C2, contactor closed, 16 A. At 20 s: The vehicle stops drawing and is not ready any more. "
        "Limit: contactor opens within 0.1 s (read). 0.1 s later: The contactor opens. "
        "After: state B2, contactor open, 0 A."
    )
    assert told_words(at("station fault")).endswith("After: state F, contactor open, 0 A.")
    assert "(read second-hand). 5 s later: The vehicle draws 10 A." in told_words(at("current limit"))
    assert "Danger: the plug parts under load" in told_words(at("unplug"))


def test_every_unconfirmed_limit_that_is_told_says_so() -> None:
    unconfirmed = [row["limit"] for row in tables.rows("pilot_timing") if "unconfirmed" in row["status"]]
    assert sorted(unconfirmed) == ["contactor closes", "vehicle stops drawing"]
    words = told_words(at("station pauses"))
    assert "vehicle stops drawing within 3 s (from memory, unconfirmed)" in words
    (ready,) = (step for step in at("station pauses").steps if step.time_s == 5)
    assert "contactor closes within 3 s (from memory, unconfirmed)" in ready.sentence


def test_offer_between_the_two_branches_is_refused_and_the_picture_stays() -> None:
    panel = sequence_panel()
    drawn = panel.face.shown["picture"]
    with pytest.raises(ValueError, match=r"current: 52 A was given; allowed is 6 to 51 A, and 52\.5 to 80 A"):
        panel.set(offered_current=52)
    assert panel.face.shown["picture"] == drawn
    with pytest.raises(ValueError, match="It happens at: 31 s was given; allowed is 5 to 30 s"):
        panel.set(offered_current=16, event_s=31)


@pytest.mark.parametrize(("region", "offer"), [("europe", 16), ("north-america", 32)])
def test_offer_at_first_follows_the_region(
    region: str, offer: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ACPOWER_REGION", region)
    panel = sequence_panel()
    assert panel.numbers.before.offered_current == pytest.approx(offer)
    assert f"Before: state C2, contactor closed, {offer} A." in panel.words


def test_new_limit_counts_for_its_event_only() -> None:
    panel = sequence_panel()
    assert panel.face.shown["idle"] == ["new_limit"]
    panel.set(event="current limit changed")
    assert panel.face.shown["idle"] == []


def test_choices_reach_every_event_after_the_plug_is_in_but_getting_ready() -> None:
    options = set(sequence_panel().controls["event"].options.values())  # type: ignore[union-attr]
    assert set(EVENTS) - options == {"plug in", "vehicle ready", "vehicle ready with ventilation"}


@pytest.mark.parametrize("large", [False, True], ids=["normal", "large"])
def test_every_event_at_the_extremes_is_drawn_in_line(large: bool) -> None:
    panel = sequence_panel()
    menus = [panel.controls[name].plan()["options"] for name in ("event", "ventilation")]
    for event, ventilation, when, amperes in product(*menus, (5, 30), (6, 80)):
        panel.set(
            event=event, ventilation=ventilation, event_s=when,
            new_limit=amperes, offered_current=amperes, vehicle_current=amperes,
        )  # fmt: skip
        svg = panel.svg(large=large)
        assert "nan" not in svg.split("</desc>")[1]
        frames = [
            part
            for part in ElementTree.fromstring(svg).iter()
            if part.tag.endswith("}svg") and part.get("width")
        ]
        assert len({frame.get("width") for frame in frames}) == 1  # one scale of time for all three charts
        lefts = [part.get("transform") for part in ElementTree.fromstring(svg) if part.tag.endswith("}g")]
        assert len({str(left).split()[0] for left in lefts}) == 1


def test_picture_names_states_span_and_load() -> None:
    panel = sequence_panel()

    def labels(**values: Any) -> list[str]:
        panel.set(**values)
        root = ElementTree.fromstring(panel.svg())
        return [part.text or "" for part in root.iter() if part.tag.endswith("}tspan")]

    assert {"A", "B2", "C2", "0.1 s"} <= set(labels(event="vehicle stops by itself"))
    assert "under load!" not in labels()
    assert {"under load!", "0.1 s", "A"} <= set(labels(event="pilot wire breaks"))
    assert {"6 s", "C1"} <= set(labels(event="station pauses"))
    assert "under load!" not in labels()
    shown = labels(event="station finds a fault")
    assert "F" in shown
    assert not [word for word in shown if word.endswith(" s")]
    # no room for the state of a stretch below 2 s
    assert "C2" not in labels(event="plug torn out", event_s=5.5)


def test_description_tells_every_step() -> None:
    panel = sequence_panel()
    description = panel.svg().split("</desc>")[0]
    for step in panel.numbers.steps:
        assert f"{step.time_s:g} s: state {step.state}, duty {step.duty_percent:.1f} %" in description
    assert all(a.time_s <= b.time_s for a, b in pairwise(panel.numbers.steps))
