"""Sharing of a spare current: limits, floor, order and fairness, against search and optimisation.

The floor of 6 A comes from the control pilot (IEC 61851-1 Annex A), the sum that stays within the
limit from NEC 2023 625.42(A), managed groups. No worked example of a sharing was found in print, so
the checks here are definitions, a search through all possible offers, and scipy's optimisers.
"""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from test_formulas_properties import NO_NUMBERS

from acpower.figures import load_sharing_figure
from acpower.load_sharing import CONNECTIONS, SHARING_RULES, share_current
from acpower.pilot import current_from_duty, duty_from_current

spare_currents = st.one_of(st.floats(0, 250), st.integers(0, 250))
request_lists = st.lists(st.one_of(st.floats(0, 80), st.integers(0, 80)), min_size=1, max_size=6)
rules = st.sampled_from(SHARING_RULES)
each_rule = pytest.mark.parametrize("rule", SHARING_RULES)


@st.composite
def three_phase_sites(draw: st.DrawFn) -> tuple[list[float], list[float], list[str]]:
    """Return spare currents of L1, L2, L3, the requests, and the phases of each station."""
    requests = draw(request_lists)
    connections = st.sampled_from(list(CONNECTIONS))
    phases = draw(st.lists(connections, min_size=len(requests), max_size=len(requests)))
    return draw(st.lists(st.floats(0, 120), min_size=3, max_size=3)), requests, phases


def loads_of(phases: list[str]) -> np.ndarray:
    """Return 1 where a station loads L1, L2, L3, by reading its name."""
    return np.array([[name in phase.split() for name in ("L1", "L2", "L3")] for phase in phases], dtype=int)


# ---- What holds for every rule


@given(three_phase_sites(), rules)
def test_no_phase_is_overloaded_and_every_offer_can_be_coded(
    site: tuple[list[float], list[float], list[str]], rule: str
) -> None:
    available, requests, phases = site
    offers = share_current(available, requests, rule, phases)
    assert np.all(offers @ loads_of(phases) <= np.array(available) + 1e-8)
    assert np.all(offers <= np.array(requests) + 1e-8)
    assert np.all((offers == 0) | (offers >= 6))
    assert np.all(offers == np.round(offers))


@given(spare_currents, request_lists, rules)
def test_stations_without_phases_share_one_conductor(
    available: float, requests: list[float], rule: str
) -> None:
    offers = share_current(available, requests, rule)
    on_one = share_current([available, 0, 0], requests, rule, ["L1"] * len(requests))
    on_all = share_current([available] * 3, requests, rule, ["L1 L2 L3"] * len(requests))
    assert offers.tolist() == on_one.tolist() == on_all.tolist()
    assert offers.sum() <= available + 1e-8


@given(three_phase_sites(), st.sampled_from(["priority", "filling"]))
def test_no_ampere_is_left_that_a_station_could_take(
    site: tuple[list[float], list[float], list[str]], rule: str
) -> None:
    available, requests, phases = site
    offers = share_current(available, requests, rule, phases)
    left = np.array(available) - offers @ loads_of(phases)
    for offer, request, on in zip(offers, requests, loads_of(phases), strict=True):
        room = left[on == 1].min()
        if offer > 0:
            assert request < offer + 1 or room < 1
        else:
            assert request < 6 or room < 6


@given(three_phase_sites())
def test_who_is_paused_came_when_no_floor_was_left(site: tuple[list[float], list[float], list[str]]) -> None:
    available, requests, phases = site
    loads = loads_of(phases)
    equal, filled = (share_current(available, requests, rule, phases) for rule in ("equal", "filling"))
    assert ((equal > 0) == (filled > 0)).all()
    for station, request in enumerate(requests):
        earlier = 6 * (filled[:station] > 0) @ loads[:station]
        room = (np.floor(np.array(available) + 1e-9) - earlier)[loads[station] == 1].min()
        assert (filled[station] > 0) == (request >= 6 - 1e-9 and room >= 6)


@given(three_phase_sites(), st.integers(2, 5), rules)
def test_times_are_shared_one_by_one(
    site: tuple[list[float], list[float], list[str]], times: int, rule: str
) -> None:
    available, requests, phases = site
    over_time = np.outer(np.linspace(0, 1, times), available)
    offers = share_current(over_time, requests, rule, phases)
    loop = [share_current(one, requests, rule, phases).tolist() for one in over_time]
    assert offers.tolist() == loop
    single = share_current(over_time[:, 0], requests, rule)
    assert single.tolist() == [share_current(one, requests, rule).tolist() for one in over_time[:, 0]]


@each_rule
def test_axes_before_the_last_broadcast(rule: str) -> None:
    available = np.array([20.0, 40.0, 60.0])
    requests = np.array([[[16.0, 32.0]], [[32.0, 10.0]]])
    offers = share_current(available, requests, rule)
    assert offers.shape == (2, 3, 2)
    for i, j in product(range(2), range(3)):
        assert offers[i, j].tolist() == share_current(available[j], requests[i, 0], rule).tolist()
    per_phase = np.stack([available] * 3, axis=-1)
    assert share_current(per_phase, requests, rule, ["L1", "L3"]).shape == (2, 3, 2)


@each_rule
def test_inputs_stay_as_they_were_and_the_result_is_an_array(rule: str) -> None:
    available, requests = np.array([40.0]), np.array([[16.0, 20.0, 32.0]])
    offers = share_current(available, requests, rule)
    assert (available.tolist(), requests.tolist()) == ([40.0], [[16.0, 20.0, 32.0]])
    assert (offers.shape, offers.dtype) == ((1, 3), np.float64)
    assert share_current(10, 8, rule).tolist() == [8]


@given(st.sampled_from([6, 51, 53, 80]))
def test_whole_amperes_reach_the_vehicle(amperes: float) -> None:
    (offer,) = share_current(amperes, [80])
    assert current_from_duty(duty_from_current(offer)) == pytest.approx(amperes)


# ---- Edges


@each_rule
@pytest.mark.parametrize(
    ("available", "requests", "offers"),
    [
        (0, [16, 16], [0, 0]),
        (5.9, [16], [0]),
        (6, [16], [6]),
        (6, [5.9], [0]),
        (80, [6], [6]),
        (100, [80], [80]),
        (11.9, [6, 6], [6, 0]),
        (12, [16, 16], [6, 6]),
        (18, [32, 0, 32, 32], [6, 0, 6, 6]),
        (16, [15.9], [15]),
        (15.9, [16], [15]),
        (0.1 + 0.2 + 6.7, [7.0], [7]),
        (1e100, [10, 20], [10, 20]),
    ],
)  # fmt: skip
def test_edges_where_all_rules_agree(
    rule: str, available: float, requests: list[float], offers: list[int]
) -> None:
    if rule == "priority" and offers in ([6, 6], [6, 0, 6, 6]):
        offers = {2: [12, 0], 4: [18, 0, 0, 0]}[len(offers)]
    assert share_current(available, requests, rule).tolist() == offers


def test_dust_is_less_than_a_millionth_of_an_ampere() -> None:
    assert share_current(np.nextafter(32, 0), [np.nextafter(16, 0), 16]).tolist() == [16, 16]
    assert share_current(32 - 1e-6, [16, 16]).tolist() == [16, 15]
    assert share_current(32, [16 - 1e-6, 16]).tolist() == [15, 16]


def test_rules_differ_as_they_are_meant_to() -> None:
    assert share_current(40, [32, 8, 32], "priority").tolist() == [32, 8, 0]
    assert share_current(40, [32, 8, 32], "equal").tolist() == [13, 8, 13]
    assert share_current(40, [32, 8, 32], "filling").tolist() == [16, 8, 16]
    assert share_current(40, [32, 8, 32]).tolist() == [16, 8, 16]
    assert share_current(41, [32, 8, 32], "filling").tolist() == [17, 8, 16]  # the odd one to the first


def test_phases_limit_one_another_only_where_they_meet() -> None:
    phases = ["L1", "L2", "L1 L2 L3"]
    assert share_current([20, 32, 32], [32, 32, 32], "filling", phases).tolist() == [10, 22, 10]
    assert share_current([20, 32, 32], [32, 32, 32], "equal", phases).tolist() == [10, 16, 10]
    assert share_current([20, 32, 32], [32, 32, 32], "priority", phases).tolist() == [20, 32, 0]
    assert share_current([32, 32, 5], [16, 16, 16], "filling", phases).tolist() == [16, 16, 0]
    for phase, offers in {"L1": [7], "L2": [8], "L3": [9], "L1 L2 L3": [7]}.items():
        assert share_current([7, 8, 9], [32], phases=[phase]).tolist() == offers
    assert share_current([9, 7, 8], [32], phases=("L1 L2 L3",)).tolist() == [7]


# ---- Each rule against another route


def possible_offers(available: list[int], requests: list[int], loads: np.ndarray) -> list[tuple[int, ...]]:
    """Return all combinations of offers that keep the limits."""
    choices = [[0, *range(6, request + 1)] for request in requests]
    return [offers for offers in product(*choices) if np.all(np.array(offers) @ loads <= np.array(available))]


small_requests = st.lists(st.integers(0, 14), min_size=1, max_size=4)


@given(st.lists(st.integers(0, 30), min_size=3, max_size=3), small_requests, st.data())
def test_priority_is_the_best_that_the_first_can_get_then_the_second(
    available: list[int], requests: list[int], data: st.DataObject
) -> None:
    phases = [data.draw(st.sampled_from(list(CONNECTIONS))) for _ in requests]
    best = max(possible_offers(available, requests, loads_of(phases)))  # tuples compare from the first on
    assert share_current(available, requests, "priority", phases).tolist() == list(best)


@given(st.integers(0, 40), small_requests)
def test_filling_is_the_fairest_of_all_possible_offers(available: int, requests: list[int]) -> None:
    """Among those who take part, the smallest offer is as large as can be, then the next smallest."""
    offers = share_current(available, requests, "filling").astype(int)
    one_conductor = np.ones((len(requests), 1), dtype=int)
    possible = possible_offers([available], requests, one_conductor)
    served = offers > 0
    assert served.sum() == max(np.count_nonzero(other) for other in possible)
    same_stations = [other for other in possible if np.array_equal(np.array(other) > 0, served)]
    fairest = max(sorted(other) for other in same_stations)
    assert sorted(offers) == fairest
    # Among equally fair ones the earlier station has the odd ampere.
    assert tuple(offers) == max(other for other in same_stations if sorted(other) == fairest)


@given(three_phase_sites())
def test_filling_leaves_each_station_at_its_request_or_at_a_full_phase_where_it_is_among_the_largest(
    site: tuple[list[float], list[float], list[str]],
) -> None:
    """This is what max-min fair means on several conductors, up to the last whole ampere."""
    available, requests, phases = site
    loads = loads_of(phases)
    offers = share_current(available, requests, "filling", phases)
    left = np.array(available) - offers @ loads
    for offer, request, on in zip(offers, requests, loads, strict=True):
        if 0 < offer <= request - 1:
            full = (on == 1) & (left < 1)
            largest_on = [offers[loads[:, line] == 1].max() for line in np.flatnonzero(full)]
            assert min(largest_on) <= max(offer + 1, 6)


@given(three_phase_sites())
def test_equal_parts_are_the_largest_whole_ones(site: tuple[list[float], list[float], list[str]]) -> None:
    available, requests, phases = site
    offers = share_current(available, requests, "equal", phases)
    sharing = (offers > 0) @ loads_of(phases)
    for offer, request, on in zip(offers, requests, loads_of(phases), strict=True):
        if offer > 0:
            parts = [
                int((limit + 1e-9) // count)
                for limit, count, loaded in zip(available, sharing, on, strict=True)
                if loaded
            ]
            assert offer == min(int(request + 1e-9), *parts)


@given(spare_currents, request_lists)
def test_total_of_filling_is_the_optimum_of_a_linear_programme(
    available: float, requests: list[float]
) -> None:
    offers = share_current(available, requests, "filling")
    most = np.where(offers > 0, np.floor(np.array(requests) + 1e-9), 0)
    least = np.where(offers > 0, 6, 0)
    best = linprog(
        -np.ones(len(requests)),
        A_ub=np.ones((1, len(requests))),
        b_ub=[np.floor(available + 1e-9)],
        bounds=np.column_stack([least, most]),
    )
    assert offers.sum() == pytest.approx(-best.fun, abs=1e-6)


@given(spare_currents, request_lists)
def test_as_many_stations_are_served_as_an_integer_programme_can(
    available: float, requests: list[float]
) -> None:
    """Variables: the offers, then 0 or 1 for each station; an offer lies from 6 A to the request if 1."""
    count = len(requests)
    one, none = np.eye(count), np.zeros(count)
    best = milp(
        np.concatenate([none, -np.ones(count)]),
        integrality=np.ones(2 * count),
        bounds=Bounds(0, np.concatenate([np.full(count, 80), np.ones(count)])),
        constraints=[
            LinearConstraint(np.concatenate([np.ones(count), none]), ub=available + 1e-9),
            LinearConstraint(np.hstack([one, -6 * one]), lb=0),
            LinearConstraint(np.hstack([one, -np.diag(np.floor(np.array(requests) + 1e-9))]), ub=0),
        ],
    )
    for rule in ("equal", "filling"):
        served = np.count_nonzero(share_current(available, requests, rule))
        assert served == pytest.approx(-best.fun, abs=1e-6)


# ---- Refusals


@pytest.mark.parametrize("bad", NO_NUMBERS.values(), ids=NO_NUMBERS)
@pytest.mark.parametrize("quantity", ["available", "requests"])
def test_what_is_no_number_is_refused_by_name(quantity: str, bad: object) -> None:
    with pytest.raises(ValueError, match=rf"^{quantity}(\[[\d, ]+\])?: .+ was given; allowed is .+\. Check "):
        share_current(**{"available": 32.0, "requests": [16.0]} | {quantity: bad})


@pytest.mark.parametrize(
    ("inputs", "text"),
    [
        ({"available": -1}, r"^available: -1 A was given; allowed is 0 A or more"),
        ({"requests": [16, -1]}, r"^requests\[1\]: -1 A was given; allowed is 0 to 80 A"),
        ({"requests": [80.1]}, r"^requests\[0\]: 80\.1 A was given; allowed is 0 to 80 A"),
        ({"rule": "fair"}, r"^rule: 'fair' was given; allowed is one of 'equal', 'priority', 'filling'"),
        ({"phases": ["L1"]}, r"^phases: \['L1'\] was given; allowed is a list with one entry for each of 2"),
        ({"phases": "L1"}, r"^phases: 'L1' was given; allowed is a list with one entry for each of 2"),
        ({"phases": 12}, r"^phases: 12 was given; allowed is a list"),
        (
            {"phases": ["L1", "L4"]},
            r"^phases: 'L4' was given; allowed is one of 'L1', 'L2', 'L3', 'L1 L2 L3'",
        ),
        (
            {"phases": ["L1", "L2"]},
            r"^available: shape \(\) was given; allowed is L1, L2, L3 on the last axis",
        ),
        (
            {"available": [1, 2], "phases": ["L1", "L2"]},
            r"^available: shape \(2,\) was given; allowed is L1, L2, L3 on the last axis",
        ),
        (
            {"available": [1, 2, 3], "requests": [[16, 16]] * 2},
            r"^available and requests: shape \(3,\) with \(2,\) before the last axis was given; allowed is",
        ),
    ],
)
def test_refusal_names_quantity_value_and_range(inputs: dict[str, object], text: str) -> None:
    with pytest.raises(ValueError, match=text):
        share_current(**{"available": 32, "requests": [16, 16]} | inputs)


def test_connections_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        CONNECTIONS["L4"] = (True, True, False)


# ---- The still figure


def test_text_alternative_of_the_figure_gives_all_three_sharings() -> None:
    """Own numbers: 40 A for requests of 32, 8, 20 and 32 A; 40 / 4 = 10; 8 A leave 32 A for three."""
    alt = load_sharing_figure().alt
    assert "Equal parts: 10 A, 8 A, 10 A, 10 A; together 38 A." in alt
    assert "First come, first served: 32 A, 8 A, paused, paused; together 40 A." in alt
    assert "All rise together: 11 A, 8 A, 11 A, 10 A; together 40 A." in alt
