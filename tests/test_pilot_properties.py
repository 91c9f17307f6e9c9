"""Control pilot and coding resistor: what holds for every duty, level and resistance."""

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_formulas_properties import NO_NUMBERS

from acpower import pilot


@given(st.floats(8, 97), st.floats(8, 97))
def test_more_duty_never_means_less_current(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert pilot.current_from_duty(low) <= pilot.current_from_duty(high)


@given(st.floats(10, 85))
def test_lower_branch_gives_sixty_hundredths_of_an_ampere_per_percent(duty: float) -> None:
    assert pilot.current_from_duty(duty) == pytest.approx(0.6 * duty)
    assert pilot.current_from_duty(duty, "sae") == pilot.current_from_duty(duty)


@given(st.floats(6, 51) | st.floats(52.6, 80))
def test_offer_is_read_by_the_vehicle_as_it_was_meant(current: float) -> None:
    assert pilot.current_from_duty(pilot.duty_from_current(current)) == pytest.approx(current, rel=1e-12)


@given(st.floats(0, 100), st.sampled_from(pilot.DUTY_RULES))
def test_meaning_and_current_agree(duty: float, rule: str) -> None:
    allowed = pilot.duty_meaning(duty, rule) == "charging allowed"
    assert allowed == (6 <= pilot.current_from_duty(duty, rule) <= 80)
    assert allowed == (pilot.current_from_duty(duty, rule) > 0)


def test_offer_at_the_upper_edge_of_the_jump_is_read_as_51_amperes() -> None:
    assert pilot.duty_from_current(52.5) == 85.0
    assert pilot.current_from_duty(85.0) == 51.0


@pytest.mark.parametrize("current", [51.0001, 52.0, 52.4999, [16, 52]])
def test_offer_in_the_jump_is_refused_with_the_reason(current: object) -> None:
    with pytest.raises(
        ValueError, match=r"^current(\[1\])?: 5\d.* A was given; .*6 to 51 A.* the pilot law jumps here"
    ):
        pilot.duty_from_current(current)


@pytest.mark.parametrize("current", [0, 5.999, 80.001])
def test_offer_outside_the_law_is_refused_with_the_reason(current: float) -> None:
    with pytest.raises(
        ValueError, match=r"below 6 A the station pauses charging, above 80 A the pilot law ends"
    ):
        pilot.duty_from_current(current)


@pytest.mark.parametrize("function", [pilot.current_from_duty, pilot.duty_meaning])
@pytest.mark.parametrize("rule", ["IEC", "", None, 1, ["iec"], True])
def test_unknown_rule_lists_the_rules(function: Callable[..., Any], rule: object) -> None:
    with pytest.raises(ValueError, match=r"^rule: .* was given; allowed is one of 'iec', 'sae'\."):
        function(16, rule)


@pytest.mark.parametrize("bands", ["first", "", None, 2, ["accept"]])
def test_unknown_set_of_bands_lists_the_sets(bands: object) -> None:
    with pytest.raises(ValueError, match=r"^bands: .* was given; allowed is one of 'accept', 'touching'\."):
        pilot.cable_rating(220, bands)


@given(st.floats(75, 1e5), st.floats(75, 1e5), st.sampled_from(pilot.CABLE_BANDS))
def test_more_resistance_never_means_a_bigger_cable(one: float, other: float, bands: str) -> None:
    low, high = sorted((one, other))
    if pilot.cable_rating(low, bands) > 0:
        assert pilot.cable_rating(low, bands) >= pilot.cable_rating(high, bands)


@pytest.mark.parametrize(("ohms", "amperes"), [(150, 32), (330, 20), (1000, 13)])
def test_where_two_bands_touch_the_lower_rating_is_taken(ohms: float, amperes: float) -> None:
    assert pilot.cable_rating(ohms, "touching") == amperes
    assert pilot.cable_rating(np.nextafter(ohms, 0), "touching") > amperes


@pytest.mark.parametrize(
    ("gap", "amperes"),
    [((0, 79.9), 0), ((140.1, 163.9), 32), ((308.1, 399.9), 20), ((936.1, 1099.9), 13), ((2460.1, 1e6), 0)],
)
def test_gap_takes_the_lower_rating_and_beyond_the_bands_nothing_charges(
    gap: tuple[float, float], amperes: float
) -> None:
    assert set(pilot.cable_rating(np.linspace(*gap, 50))) == {amperes}


def test_states_and_meanings_come_as_text_or_as_arrays_of_text() -> None:
    assert type(pilot.state_from_voltage(9)) is str
    assert type(pilot.duty_meaning(9)) is str
    assert pilot.state_from_voltage([[12, 9], [6, 3]]).tolist() == [["A", "B"], ["C", "D"]]
    assert pilot.duty_meaning([[5], [50]]).tolist() == [
        ["digital communication required"],
        ["charging allowed"],
    ]


@pytest.mark.parametrize("level", [13.01, 10.5, 7.5, 4.99, 1.5, -1.01, -10.9, -13.1, -5])
def test_level_between_the_windows_is_refused_with_advice(level: float) -> None:
    expected = (
        rf"^positive_level: {level:g} V was given; allowed is A 11 to 13 V, .* the positive plateau was read"
    )
    with pytest.raises(ValueError, match=expected):
        pilot.state_from_voltage(level)
    with pytest.raises(ValueError, match=r"^positive_level\[1\]: "):
        pilot.state_from_voltage([9, level])


@pytest.mark.parametrize("bad", NO_NUMBERS.values(), ids=NO_NUMBERS)
def test_pilot_level_that_is_no_number_is_refused(bad: object) -> None:
    with pytest.raises(ValueError, match=r"^positive_level(\[[\d, ]+\])?: .+ was given; allowed is "):
        pilot.state_from_voltage(bad)


@pytest.mark.parametrize("bad", NO_NUMBERS.values(), ids=NO_NUMBERS)
def test_meaning_of_a_duty_that_is_no_number_is_refused(bad: object) -> None:
    with pytest.raises(ValueError, match=r"^duty_percent(\[[\d, ]+\])?: .+ was given; allowed is "):
        pilot.duty_meaning(bad)


def test_duty_law_jumps_up_at_its_edges_and_never_down() -> None:
    edges = [8, 10, 85, 96, 97]
    inside = [pilot.current_from_duty(edge) for edge in edges]
    assert inside == pytest.approx([6.0, 6.0, 51.0, 80.0, 80.0])
    assert all(low <= high for low, high in pairwise(inside))
    assert pilot.current_from_duty(np.nextafter(85, 100)) == pytest.approx(52.5)
