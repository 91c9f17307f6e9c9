"""The charging sequence: scripted timelines, invariants of random ones, refusals."""

from dataclasses import FrozenInstanceError
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_formulas_properties import NO_NUMBERS

from acpower import tables
from acpower.pilot import current_from_duty, state_from_voltage
from acpower.sequence import EVENTS, ChargingStep, charging_sequence

# Limits in seconds: 0.1 and 6 from a public bring-up guide of a station, 5 from the data classes of
# a charging simulation, both 3 from memory and unconfirmed.
OPENS, UNDER_LOAD, FOLLOWS, STOPS, CLOSES = 0.1, 6.0, 5.0, 3.0, 3.0

CHARGING = [(1, "plug in"), (2, "vehicle ready")]  # draws from 5 s on


def rows(events: list[tuple[Any, ...]], **station: Any) -> list[tuple[Any, ...]]:
    """Return time, state, offered and drawn current and the contactor of each step."""
    return [
        (
            round(s.time_s, 9),
            s.state,
            round(s.offered_current, 9),
            round(s.drawn_current, 9),
            s.contactor_closed,
        )
        for s in charging_sequence(events, **station)
    ]


def after_charging(*events: tuple[Any, ...], **station: Any) -> list[tuple[Any, ...]]:
    """Return the rows that follow a vehicle which has charged since 5 s."""
    whole = rows([*CHARGING, *events], **station)
    assert whole[:4] == [
        (0, "A", 0, 0, False),
        (1, "B2", 16, 0, False),
        (2, "C2", 16, 0, False),
        (2 + CLOSES, "C2", 16, 16, True),
    ]
    return whole[4:]


# ---- Scripted timelines


def test_without_events_the_station_waits() -> None:
    (step,) = charging_sequence([])
    assert step == ChargingStep(0.0, "A", 12.0, None, 100.0, 0.0, 0.0, False, "No vehicle is connected.")


def test_a_charge_from_plug_in_to_unplug() -> None:
    assert after_charging((60, "vehicle not ready"), (70, "unplug")) == [
        (60, "B2", 16, 0, True),
        (60 + OPENS, "B2", 16, 0, False),
        (70, "A", 0, 0, False),
    ]


def test_station_that_pauses_at_first_offers_with_its_first_limit() -> None:
    events = [(1, "plug in"), (2, "vehicle ready"), (10, "current limit", 10)]
    assert rows(events, offered_current=None) == [
        (0, "A", 0, 0, False),
        (1, "B1", 0, 0, False),
        (2, "C1", 0, 0, False),
        (10, "C2", 10, 0, False),
        (10 + CLOSES, "C2", 10, 10, True),
    ]


def test_vehicle_draws_no_more_than_it_can() -> None:
    assert rows(CHARGING, vehicle_current=13)[-1] == (5, "C2", 16, 13, True)
    assert rows(CHARGING, vehicle_current=100, offered_current=63)[-1] == (5, "C2", 63, 63, True)
    assert rows(CHARGING, offered_current=63)[-1] == (5, "C2", 63, 32, True)


def test_changed_offer_is_followed_at_the_end_of_the_limit() -> None:
    assert after_charging((20, "current limit", 10), (40, "current limit", 40)) == [
        (20, "C2", 10, 16, True),
        (20 + FOLLOWS, "C2", 10, 10, True),
        (40, "C2", 40, 10, True),
        (40 + FOLLOWS, "C2", 40, 32, True),
    ]


def test_second_change_does_not_put_off_the_limit_of_the_first() -> None:
    assert after_charging((20, "current limit", 10), (23, "current limit", 6)) == [
        (20, "C2", 10, 16, True),
        (23, "C2", 6, 16, True),
        (20 + FOLLOWS, "C2", 6, 6, True),
    ]


def test_change_that_is_taken_back_leaves_nothing_to_follow() -> None:
    assert after_charging((20, "current limit", 10), (23, "current limit", 16)) == [
        (20, "C2", 10, 16, True),
        (23, "C2", 16, 16, True),
    ]


def test_offer_at_the_jump_of_the_pilot_law_is_read_as_51_amperes() -> None:
    assert rows(CHARGING, offered_current=52.5, vehicle_current=80)[-1] == (5, "C2", 51, 51, True)


def test_pause_lets_the_vehicle_stop_before_the_contactor_opens() -> None:
    assert after_charging((20, "station pauses"), (40, "current limit", 16)) == [
        (20, "C1", 0, 16, True),
        (20 + STOPS, "C1", 0, 0, True),
        (20 + UNDER_LOAD, "C1", 0, 0, False),
        (40, "C2", 16, 0, False),
        (40 + CLOSES, "C2", 16, 16, True),
    ]


def test_pause_that_ends_before_the_contactor_opens_keeps_it_closed() -> None:
    assert after_charging((20, "station pauses"), (24, "current limit", 16)) == [
        (20, "C1", 0, 16, True),
        (20 + STOPS, "C1", 0, 0, True),
        (24, "C2", 16, 0, True),
        (24 + FOLLOWS, "C2", 16, 16, True),
    ]


def test_vehicle_that_leaves_state_c_in_a_pause_ends_it() -> None:
    assert after_charging((20, "station pauses"), (21, "vehicle not ready")) == [
        (20, "C1", 0, 16, True),
        (21, "B1", 0, 0, True),
        (21 + OPENS, "B1", 0, 0, False),
    ]


def test_reaction_that_is_due_at_the_moment_of_an_event_comes_first() -> None:
    assert after_charging((20, "station pauses"), (23, "vehicle not ready"))[1] == (23, "C1", 0, 0, True)


def test_released_plug_ends_the_current_before_it_is_out() -> None:
    assert after_charging((20, "interlock opens"), (21, "unplug"), (22, "plug in")) == [
        (20, "B2", 16, 0, True),
        (20 + OPENS, "B2", 16, 0, False),
        (21, "A", 0, 0, False),
        (22, "B2", 16, 0, False),
    ]


def test_lost_pilot_opens_the_contactor_under_load() -> None:
    assert after_charging((20, "pilot lost"), (30, "unplug"), (31, "plug in")) == [
        (20, "A", 0, 16, True),
        (20 + OPENS, "A", 0, 0, False),
        (30, "A", 0, 0, False),
        (31, "B2", 16, 0, False),
    ]


def test_unplugging_while_current_flows_leaves_the_contactor_closed_for_a_moment() -> None:
    assert after_charging((20, "unplug")) == [(20, "A", 0, 0, True), (20 + OPENS, "A", 0, 0, False)]


def test_station_fault_opens_at_once_and_stays() -> None:
    steps = charging_sequence([*CHARGING, (20, "station fault"), (30, "unplug"), (40, "plug in")])
    assert [(s.time_s, s.state, s.drawn_current, s.contactor_closed) for s in steps[4:]] == [
        (20, "F", 0, False),
        (30, "F", 0, False),
        (40, "F", 0, False),
    ]
    for step in steps[4:]:
        assert (step.positive_level, step.negative_level, step.duty_percent) == (None, -12.0, 0.0)
        assert step.offered_current == 0.0


@pytest.mark.parametrize("ventilation", [True, False])
def test_state_d_is_supplied_only_with_ventilation(ventilation: bool) -> None:
    events = [(1, "plug in"), (2, "vehicle ready with ventilation"), (20, "vehicle ready")]
    with_supply = [(5, "D2", 16, 16, True), (20, "C2", 16, 16, True)]
    without = [(20, "C2", 16, 0, False), (23, "C2", 16, 16, True)]
    assert rows(events, ventilation=ventilation)[3:] == (with_supply if ventilation else without)


def test_call_for_ventilation_that_a_station_lacks_opens_under_load() -> None:
    event = (20, "vehicle ready with ventilation")
    assert after_charging(event) == [(20, "D2", 16, 16, True), (20 + OPENS, "D2", 16, 0, False)]
    assert after_charging(event, ventilation=True) == [(20, "D2", 16, 16, True)]


def test_vehicle_that_is_not_ready_any_more_has_nothing_to_follow() -> None:
    assert after_charging((15, "current limit", 10), (19.95, "vehicle not ready")) == [
        (15, "C2", 10, 16, True),
        (19.95, "B2", 10, 0, True),
        (19.95 + OPENS, "B2", 10, 0, False),
    ]


def test_contactor_that_is_due_with_the_vehicle_opens_under_load() -> None:
    assert after_charging((20, "current limit", 10), (24.9, "vehicle ready with ventilation")) == [
        (20, "C2", 10, 16, True),
        (24.9, "D2", 10, 16, True),
        (25, "D2", 10, 0, False),
    ]


def test_pause_in_state_d_is_like_one_in_state_c() -> None:
    events = (20, "vehicle ready with ventilation"), (30, "station pauses")
    assert after_charging(*events, ventilation=True)[1:] == [
        (30, "D1", 0, 16, True),
        (30 + STOPS, "D1", 0, 0, True),
        (30 + UNDER_LOAD, "D1", 0, 0, False),
    ]


def test_levels_and_duty_of_each_state() -> None:
    """Levels of the design guide TIDUF04, Table 2-3; duty of 16 A by IEC 61851-1 Annex A: 16 / 0.6."""
    events = [
        (1, "plug in"), (2, "vehicle ready"), (3, "vehicle ready with ventilation"), (4, "station pauses"),
        (5, "vehicle ready"), (6, "vehicle not ready"), (7, "station fault"),
    ]  # fmt: skip
    steps = charging_sequence(events)
    assert [(s.state, s.positive_level, s.negative_level, round(s.duty_percent, 2)) for s in steps] == [
        ("A", 12, None, 100),
        ("B2", 9, -12, 26.67),
        ("C2", 6, -12, 26.67),
        ("D2", 3, -12, 26.67),
        ("D1", 3, None, 100),
        ("C1", 6, None, 100),
        ("B1", 9, None, 100),
        ("F", None, -12, 0),
    ]


# ---- Sentences


def sentences(*events: tuple[Any, ...], **station: Any) -> list[str]:
    return [step.sentence for step in charging_sequence([*CHARGING, *events], **station)][1:]


def test_limits_are_told_with_their_status() -> None:
    said = sentences((20, "current limit", 10), (40, "station pauses"), (60, "unplug"))
    assert said == [
        "The plug is in. Duty 26.7 % offers 16 A.",
        "The vehicle is ready. Limit: contactor closes within 3 s (from memory, unconfirmed).",
        "The contactor closes and the vehicle draws 16 A.",
        "The station changes its offer. Duty 16.7 % offers 10 A. "
        "Limit: vehicle follows the duty within 5 s (read second-hand).",
        "The vehicle draws 10 A.",
        "The station stops the pulse signal. Limit: vehicle stops drawing within 3 s (from memory, unconfirmed). "
        "Limit: opens under load not before 6 s (read).",
        "The vehicle draws nothing.",
        "The contactor opens.",
        "The plug is out.",
    ]


def test_limit_that_runs_already_is_not_told_again() -> None:
    said = sentences((20, "current limit", 10), (21, "current limit", 6))
    assert said[4] == "The station changes its offer. Duty 10.0 % offers 6 A."
    said = sentences((20, "station pauses"), (22, "vehicle ready with ventilation"))
    assert "Limit" not in said[4]


@pytest.mark.parametrize(
    ("event", "step", "words"),
    [
        ("unplug", 3, "Danger: the plug parts under load and draws an arc."),
        ("station fault", 3, "Caution: it opens under load"),
        ("pilot lost", 4, "Caution: it opens under load"),
        ("vehicle ready with ventilation", 4, "Caution: it opens under load"),
    ],
)
def test_breaking_a_current_is_told_with_a_caution(event: str, step: int, words: str) -> None:
    loaded = sentences((20, event))
    assert [words in said for said in loaded] == [index == step for index in range(len(loaded))]
    idle = [step.sentence for step in charging_sequence([*CHARGING, (4, event)])]
    assert not any("aution" in said or "anger" in said for said in idle)


@pytest.mark.parametrize("event", ["vehicle not ready", "interlock opens", "station pauses"])
def test_current_that_the_vehicle_ends_needs_no_caution(event: str) -> None:
    assert not any("aution" in said or "anger" in said for said in sentences((20, event)))


def test_each_event_has_a_sentence_of_its_own() -> None:
    said = {
        "vehicle ready with ventilation": "asks for ventilation. The station cannot ventilate and must not",
        "vehicle not ready": "The vehicle stops drawing and is not ready any more. Limit: contactor opens within",
        "interlock opens": "The release button is pressed or the connector unlocked: the vehicle stops drawing. Li",
        "pilot lost": "The pilot wire breaks: the station sees no vehicle. Limit: contactor opens within 0.1 s (read).",
        "station fault": "The station finds a fault and opens its contactor at once.",
    }
    for event, words in said.items():
        assert words in sentences((20, event))[3]
    assert "cannot ventilate" not in sentences((20, "vehicle ready with ventilation"), ventilation=True)[3]


# ---- Whatever happens


@st.composite
def happenings(draw: st.DrawFn) -> list[tuple[Any, ...]]:
    """Return a list of events that can follow one another; what cannot happen is left out."""
    events: list[tuple[Any, ...]] = []
    time = 0.0
    for _ in range(draw(st.integers(0, 12))):
        time += draw(st.sampled_from([0.0, 0.05, 0.5, 1.0, 2.0, 2.5, 4.0, 10.0]))
        word = draw(st.sampled_from(EVENTS))
        offer = (draw(st.sampled_from([6.0, 10.0, 16.0, 32.0, 63.0])),) if word == "current limit" else ()
        try:
            charging_sequence([*events, (time, word, *offer)])
        except ValueError as refusal:
            assert "the order of the events" in str(refusal)  # noqa: PT017
        else:
            events.append((time, word, *offer))
    return events


def runs(steps: tuple[ChargingStep, ...], holds: list[bool]) -> list[float]:
    """Return how long each unbroken run lasts in which something holds."""
    lengths, since = [], None
    for step, held in zip(steps, holds, strict=True):
        if held and since is None:
            since = step.time_s
        if not held and since is not None:
            lengths.append(step.time_s - since)
            since = None
    assert since is None, "the last step leaves something undone"
    return lengths


@settings(max_examples=150)
@given(
    happenings(), st.sampled_from([None, 6.0, 16.0, 52.5]), st.sampled_from([4.0, 13.0, 32.0]), st.booleans()
)
def test_invariants_of_any_sequence(
    events: list[tuple[Any, ...]], offer: float | None, vehicle: float, ventilation: bool
) -> None:
    if events and offer is None and events[0][1] == "station pauses":
        return  # a station that pauses already
    try:
        steps = charging_sequence(events, offer, vehicle, ventilation)
    except ValueError as refusal:
        assert "it is so already" in str(refusal)  # noqa: PT017  # an earlier pause
        return
    assert (steps[0].time_s, steps[0].state) == (0.0, "A")
    assert all(before.time_s <= after.time_s for before, after in pairwise(steps))
    assert {event[0] for event in events} <= {step.time_s for step in steps}
    supplied = ("C2", "D2") if ventilation else ("C2",)
    for step in steps:
        assert step.drawn_current == 0.0 or step.contactor_closed
        assert 0.0 <= step.drawn_current <= vehicle
        pulsed = step.state.endswith("2")
        assert (step.offered_current > 0) == pulsed
        if pulsed:
            assert step.offered_current == current_from_duty(step.duty_percent)
        level = step.negative_level if step.state == "F" else step.positive_level
        assert state_from_voltage(level) == step.state[0]
        assert (step.negative_level == -12.0) == (pulsed or step.state == "F")
        assert step.sentence.endswith(".")
    # Closed where it should not be: only within the opening times.
    wrong = [step.contactor_closed and step.state not in supplied for step in steps]
    assert max(runs(steps, wrong), default=0.0) <= UNDER_LOAD + 1e-9
    left = [bad and step.state not in ("C1", "D1") for bad, step in zip(wrong, steps, strict=True)]
    assert max(runs(steps, left), default=0.0) <= OPENS + 1e-9
    # More drawn than offered: only until the vehicle has to follow.
    excess = [step.drawn_current > step.offered_current for step in steps]
    assert max(runs(steps, excess), default=0.0) <= FOLLOWS + 1e-9
    paused = [bad and step.state in ("C1", "D1") for bad, step in zip(excess, steps, strict=True)]
    assert max(runs(steps, paused), default=0.0) <= STOPS + 1e-9
    # At the end everything has come to rest.
    last = steps[-1]
    assert last.contactor_closed == (last.state in supplied)
    assert last.drawn_current == (min(vehicle, last.offered_current) if last.contactor_closed else 0.0)


# ---- Refusals

VEHICLE_WORDS = [word for word in EVENTS if word.startswith("vehicle")] + ["interlock opens", "pilot lost"]
ORDER = "Check the order of the events: "


@pytest.mark.parametrize(
    ("events", "words"),
    [
        *(
            (
                [(1, word)],
                rf"^events\[0\]: '{word}' was given; allowed is after 'plug in'\. {ORDER}no vehicle",
            )
            for word in [*VEHICLE_WORDS, "unplug"]
        ),
        (
            [(1, "plug in"), (2, "plug in")],
            rf"^events\[1\]: 'plug in' was given; allowed is after 'unplug'\. {ORDER}the plug is in already",
        ),
        *(
            (
                [*CHARGING, (3, cause), (4, word)],
                rf"^events\[3\]: '{word}' was given; allowed is before '{cause}'\. {ORDER}the vehicle asks for nothing",
            )
            for cause in ("interlock opens", "pilot lost", "station fault")
            for word in VEHICLE_WORDS
        ),
        *(
            (
                [(1, "station fault"), (2, word, *offer)],
                rf"^events\[1\]: '{word}' was given; allowed is before 'station fault'\. {ORDER}the fault stays",
            )
            for word, offer in (("current limit", (10,)), ("station pauses", ()), ("station fault", ()))
        ),
        *(
            (
                [(1, "plug in"), *before, (3, word)],
                rf"'{word}' was given; allowed is a change\. {ORDER}it is so already",
            )
            for before, word in (
                ([(2, "vehicle ready")], "vehicle ready"),
                ([(2, "vehicle ready with ventilation")], "vehicle ready with ventilation"),
                ([], "vehicle not ready"),
                ([(2, "station pauses")], "station pauses"),
            )
        ),
    ],
)
def test_event_that_cannot_happen_is_refused_with_the_reason(events: list[Any], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        charging_sequence(events)


def test_pilot_lost_does_not_keep_the_station_from_acting() -> None:
    events = [*CHARGING, (10, "pilot lost"), (11, "current limit", 10), (12, "station pauses")]
    assert [step.state for step in charging_sequence(events)][4:] == ["A"] * 4
    assert charging_sequence([*events, (13, "station fault")])[-1].state == "F"


def test_time_does_not_run_backwards() -> None:
    with pytest.raises(
        ValueError, match=r"^events\[1\] time: 0.5 s was given; allowed is 1 s or later\. .*backwards"
    ):
        charging_sequence([(1, "plug in"), (0.5, "unplug")])
    with pytest.raises(ValueError, match=r"^events\[0\] time: -1 s was given; allowed is 0 s or later"):
        charging_sequence([(-1, "plug in")])
    # a reaction in between does not count
    with pytest.raises(ValueError, match=r"^events\[2\] time: 1.9 s was given; allowed is 2 s or later"):
        charging_sequence([*CHARGING[:2], (1.9, "unplug")])
    assert rows([(0, "plug in"), (0, "unplug")])[1:] == [(0, "B2", 16, 0, False), (0, "A", 0, 0, False)]


@pytest.mark.parametrize("bad", NO_NUMBERS.values(), ids=NO_NUMBERS)
def test_what_is_no_number_is_refused(bad: object) -> None:
    with pytest.raises(
        ValueError,
        match=r"^events\[0\] time(\[[\d, ]+\])?: .+ was given; allowed is (0 s or later|up to 1e100 s)",
    ):
        charging_sequence([(bad, "plug in")])
    with pytest.raises(
        ValueError,
        match=r"^vehicle_current(\[[\d, ]+\])?: .+ was given; allowed is (above 0 A|up to 1e100 A)",
    ):
        charging_sequence([], vehicle_current=bad)
    if bad is not None:
        with pytest.raises(
            ValueError,
            match=r"^current(\[[\d, ]+\])?: .+ was given; allowed is (6 to 51 A, and|up to 1e100 A)",
        ):
            charging_sequence([], offered_current=bad)


def test_offer_without_a_duty_cycle_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^current: 52 A was given; .* the pilot law jumps here"):
        charging_sequence([(1, "current limit", 52)])
    with pytest.raises(ValueError, match=r"^current: 5 A was given; allowed is 6 to 51 A, and 52.5 to 80 A"):
        charging_sequence([], offered_current=5)
    with pytest.raises(ValueError, match=r"^current: shape \(2,\) was given; allowed is one number"):
        charging_sequence([(1, "current limit", [6, 10])])
    with pytest.raises(ValueError, match=r"^vehicle_current: 0 A was given; allowed is above 0 A"):
        charging_sequence([], vehicle_current=0)


@pytest.mark.parametrize(
    ("events", "words"),
    [
        ([(1, "jump")], r"^events\[0\] word: 'jump' was given; allowed is one of 'plug in', 'vehicle ready'"),
        ([(1, ["unplug"])], r"^events\[0\] word: \['unplug'\] was given; allowed is one of"),
        ([(1,)], r"^events\[0\]: \(1,\) was given; allowed is a time in seconds and a word, such as"),
        ([()], r"^events\[0\]: \(\) was given"),
        ([5], r"^events\[0\]: 5 was given; allowed is a time in seconds and a word"),
        (["plug in"], r"^events\[0\]: 'plug in' was given"),
        (
            [(1, "plug in", 3)],
            r"^events\[0\]: \(1, 'plug in', 3\) was given; allowed is \(time, 'plug in'\)\. Check how",
        ),
        (
            [(1, "current limit")],
            r"\(1, 'current limit'\) was given; allowed is \(time, 'current limit', current in A\)",
        ),
        ([(1, "current limit", 6, 10)], r"allowed is \(time, 'current limit', current in A\)\."),
        ("plug in", r"^events: 'plug in' was given; allowed is a list of events"),
        (None, r"^events: None was given; allowed is a list of events"),
    ],
)
def test_what_is_no_event_is_refused(events: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        charging_sequence(events)


@pytest.mark.parametrize("bad", [None, 1, "no", [True]])
def test_ventilation_is_true_or_false(bad: Any) -> None:
    with pytest.raises(ValueError, match=r"^ventilation: .* was given; allowed is True or False\."):
        charging_sequence([], ventilation=bad)


def test_any_iterable_of_pairs_will_do_and_steps_cannot_be_changed() -> None:
    steps = charging_sequence(list(event) for event in CHARGING)
    assert steps == charging_sequence(CHARGING)
    with pytest.raises(FrozenInstanceError):
        steps[0].state = "B1"


def test_limits_of_the_timeline_are_those_of_the_table() -> None:
    values = {row["limit"]: row["value_s"] for row in tables.rows("pilot_timing")}
    assert [float(values[name]) for name in (
        "contactor opens", "opens under load", "vehicle follows the duty", "vehicle stops drawing", "contactor closes",
    )] == [OPENS, UNDER_LOAD, FOLLOWS, STOPS, CLOSES]  # fmt: skip
