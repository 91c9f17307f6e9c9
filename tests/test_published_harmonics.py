"""Harmonic limits and true power factors against published tables and worked figures."""

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
import pytest
from published import case, check

from acpower import tables
from acpower.front_end import FrontEndPeriod
from acpower.harmonic_limits import check_class_a, class_a_limit

# IEC 61000-3-2, class A, as printed in a test report (page 34) and on a data-set card.
ODD = {3: "2.30", 5: "1.14", 7: "0.77", 9: "0.40", 11: "0.33", 13: "0.21"}
EVEN = {2: "1.08", 4: "0.43", 6: "0.30"}


def class_d_third(power: float) -> float:
    """Return the limit of the 3rd harmonic in class D [A]: milliamperes per watt, capped by class A."""
    (row,) = (row for row in tables.rows("harmonic_limits") if row["equipment_class"] == "D")
    orders = (row["lowest_order"], row["highest_order"])
    assert orders == ("3", "3")
    return min(float(row["limit_ma_per_w"]) / 1000 * power, class_a_limit(3))


def factor_of_class_b() -> float:
    (row,) = (row for row in tables.rows("harmonic_limits") if row["equipment_class"] == "B")
    return float(row["class_a_factor"])


def third_in_percent(current: float) -> float:
    return 100 * class_a_limit(3) / current


def true_power_factor(displacement: float, distortion: float) -> float:
    """Return the power factor of samples that are made to have this displacement and distortion."""
    turn = 2 * np.pi * np.arange(400) / 400
    current = np.sin(turn - np.arccos(displacement)) + distortion * np.sin(3 * turn)
    return FrontEndPeriod(turn, np.sin(turn), current, np.ones(400)).power_factor


CASES = [
    *(
        case("class-a-test-report", f"page 34, order {order}", class_a_limit, {"order": order}, printed)
        for order, printed in (ODD | EVEN).items()
    ),
    *(
        case("class-a-data-set", f"card, order {order}", class_a_limit, {"order": order}, printed)
        for order, printed in (ODD | EVEN).items()
    ),
    # The rules 0.15 x 15/n and 0.23 x 8/n, at their first order and as printed for all others.
    case("class-a-test-report", "page 34, odd orders from 15", class_a_limit, {"order": 15}, "0.15"),
    case("class-a-test-report", "page 34, even orders from 8", class_a_limit, {"order": 8}, "0.23"),
    *(
        case(
            "class-a-test-report", f"page 34, 0.15 x 15/n at order {order}",
            lambda order: class_a_limit(order) * order / 15, {"order": order}, "0.15",
        )
        for order in range(15, 40, 2)
    ),
    *(
        case(
            "class-a-test-report", f"page 34, 0.23 x 8/n at order {order}",
            lambda order: class_a_limit(order) * order / 8, {"order": order}, "0.23",
        )
        for order in range(8, 41, 2)
    ),
    case("class-a-test-report", "page 34, class B over class A", factor_of_class_b, {}, "1.5"),
    case("emc-list-message", "message 11114, class D, 500 W", class_d_third, {"power": 500}, "1.7"),
    case("emc-list-message", "message 11114, class D capped, 1000 W", class_d_third, {"power": 1000}, "2.30"),
    case("own-calculation", "3rd harmonic at 16 A, percent", third_in_percent, {"current": 16}, "14"),
    case("own-calculation", "3rd harmonic at 6 A, percent", third_in_percent, {"current": 6}, "38"),
    *(
        case(
            "own-calculation", f"true power factor, {displacement} and {distortion}", true_power_factor,
            {"displacement": displacement, "distortion": distortion}, printed,
        )
        for displacement, distortion, printed in [
            (1.00, 0.05, "0.9988"), (0.99, 0.05, "0.9888"), (0.98, 0.10, "0.9751"), (0.95, 0.20, "0.9316"),
        ]
    ),
]  # fmt: skip


@pytest.mark.parametrize(("source", "formula", "inputs", "printed", "input_digits"), CASES)
def test_published_harmonics(
    source: str, formula: Callable[..., Any], inputs: Mapping[str, Any], printed: str, input_digits: float
) -> None:
    check(source, formula, inputs, printed, input_digits)


@pytest.mark.parametrize("order", range(2, 41))
def test_rules_hold_to_the_last_digit(order: int) -> None:
    """Class A of IEC 61000-3-2 as a formula, from the test report named in the table."""
    rules = {1: 0.15 * 15 / order, 0: 0.23 * 8 / order}
    printed = (ODD | EVEN).get(order)
    assert class_a_limit(order) == pytest.approx(float(printed) if printed else rules[order % 2], rel=1e-12)


# ---- Limits and what is set against them


def test_limits_of_many_orders_come_as_an_array() -> None:
    assert type(class_a_limit(3)) is float
    limits = class_a_limit([[3, 5], [2, 40]])
    assert limits == pytest.approx(np.array([[2.30, 1.14], [1.08, 0.046]]))
    assert (np.diff(class_a_limit(np.arange(3, 40, 2))) < 0).all()
    assert (np.diff(class_a_limit(np.arange(2, 41, 2))) < 0).all()


@pytest.mark.parametrize("bad", [1, 41, 0, -3, 2.5, float("nan"), True, "3", None, [], [3, 41]])
def test_order_is_a_whole_number_from_2_to_40(bad: object) -> None:
    with pytest.raises(ValueError, match=r"^order.*: .+ was given; allowed is a whole number from 2 to 40"):
        class_a_limit(bad)


def test_each_order_is_set_against_its_limit() -> None:
    currents = np.zeros(40)
    currents[[0, 1, 2, 4, 39]] = 10.0, 0.54, 2.30, 1.141, 0.046
    result = check_class_a(currents)
    assert result.order.tolist() == list(range(2, 41))
    assert result.current == pytest.approx(currents[1:])
    assert result.limit == pytest.approx(class_a_limit(result.order))
    assert result.share[[0, 1, 2, 38]] == pytest.approx([0.5, 1.0, 0.0, 1.0])
    assert result.share[3] == pytest.approx(1.141 / 1.14)
    assert [int(n) for n in result.order[~result.within]] == [5]


def test_fewer_orders_and_many_cases() -> None:
    result = check_class_a([[10.0, 1.0, 2.0], [12.0, 1.2, 2.4]])
    assert result.order.tolist() == [2, 3]
    assert result.limit == pytest.approx([1.08, 2.30])
    assert result.within.tolist() == [[True, True], [False, False]]
    assert result.share == pytest.approx(np.array([[1 / 1.08, 2 / 2.3], [1.2 / 1.08, 2.4 / 2.3]]))


def test_result_of_one_check_does_not_reach_into_the_next() -> None:
    first = check_class_a([10.0, 1.0])
    first.limit[:] = first.order[:] = 0
    second = check_class_a([10.0, 1.0])
    assert (second.order.tolist(), second.limit.tolist()) == ([2], [1.08])
    assert class_a_limit(2) == 1.08


@pytest.mark.parametrize("count", [1, 41])
def test_number_of_harmonics_is_checked(count: int) -> None:
    with pytest.raises(
        ValueError, match=rf"^harmonic_currents: {count} of them was given; allowed is 2 to 40"
    ):
        check_class_a(np.ones(count))
    for allowed in (2, 40):
        assert len(check_class_a(np.ones(allowed)).order) == allowed - 1


def test_class_a_ends_at_16_amperes() -> None:
    """A rating of 16 A stands for whole amperes: 16.4 A of fundamental still round to it."""
    assert check_class_a([16.5, 0.1]).within.all()
    with pytest.raises(
        ValueError, match=r"^harmonic_currents: 16\.51 A was given; .* up to 16 A .*61000-3-12"
    ):
        check_class_a([16.51, 0.1])
    with pytest.raises(
        ValueError, match=r"^harmonic_currents\[1\]: 32 A was given; allowed is a fundamental"
    ):
        check_class_a([[10.0, 0.1], [32.0, 0.1]])


@pytest.mark.parametrize("bad", [-0.1, float("nan"), float("inf"), True, "1", None, 1j])
def test_harmonic_currents_are_magnitudes(bad: object) -> None:
    with pytest.raises(ValueError, match=r"^harmonic_currents.*: .+ was given; allowed is 0 A or more"):
        check_class_a([10.0, bad])


# ---- The tables


def test_class_a_rows_hold_each_order_once() -> None:
    rows = [row for row in tables.rows("harmonic_limits") if row["equipment_class"] == "A"]
    spans = [range(int(row["lowest_order"]), int(row["highest_order"]) + 1, 2) for row in rows]
    assert sorted(order for span in spans for order in span) == list(range(2, 41))
    assert {(row["class_a_factor"], row["limit_ma_per_w"]) for row in rows} == {("none", "none")}


def test_class_b_row_holds_for_all_orders() -> None:
    (row,) = (row for row in tables.rows("harmonic_limits") if row["equipment_class"] == "B")
    assert (row["lowest_order"], row["highest_order"]) == ("2", "40")


def test_each_stage_of_the_charger_takes_up_what_the_one_before_hands_on() -> None:
    stages = tables.rows("charger_stages")
    assert [row["stage"] for row in stages] == [str(number) for number in range(1, len(stages) + 1)]
    names = [row["name"] for row in stages]
    assert names == [
        "mains input", "EMI filter", "rectifier", "power factor stage", "DC link", "isolated DC/DC",
        "output filter", "battery",
    ]  # fmt: skip
    assert [row["after"] for row in stages[:-1]] == [row["before"] for row in stages[1:]]
    assert (stages[0]["before"], stages[-1]["after"]) == ("none", "none")
    assert all(row["task"] for row in stages)
