"""Prices by the clock."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from acpower.tariff import Tariff

TARIFF = Tariff(from_h=(6, 9.5, 22), price=(0.40, 0.30, -0.05))


@pytest.mark.parametrize(
    ("clock_h", "price"),
    [
        (0, -0.05),
        (5.99, -0.05),
        (6, 0.4),
        (9.49, 0.4),
        (9.5, 0.3),
        (21.9, 0.3),
        (22, -0.05),
        (30, 0.4),
        (-2, -0.05),
    ],
)
def test_price_at_the_clock(clock_h: float, price: float) -> None:
    assert TARIFF.price_at(clock_h) == price
    assert Tariff(from_h=0, price=0.3).price_at(clock_h) == 0.3


@given(st.floats(0, 60), st.floats(0.01, 60))
def test_blocks_follow_one_another_and_carry_their_price(begin: float, length: float) -> None:
    ends = list(TARIFF.blocks(begin, begin + length))
    edges = [begin, *(end for end, _ in ends)]
    assert edges == sorted(set(edges))
    assert edges[-1] == begin + length
    for start, (end, price) in zip(edges, ends, strict=False):
        assert price == TARIFF.price_at(start) == TARIFF.price_at((start + end) / 2)
        assert end == begin + length or (end % 24) in (6, 9.5, 22)


def test_blocks_of_more_than_a_day() -> None:
    assert list(TARIFF.blocks(23, 47)) == [(30, -0.05), (33.5, 0.4), (46, 0.3), (47, -0.05)]
    assert list(TARIFF.blocks(6, 9.5)) == [(9.5, 0.4)]
    assert list(TARIFF.blocks(7, 7)) == [(7, 0.4)]


def test_blocks_around_midnight_and_of_less_than_an_hour() -> None:
    short = Tariff((0, 6, 6.5), (0.1, 0.2, 0.3))
    assert list(short.blocks(23, 24.5)) == [(24, 0.3), (24.5, 0.1)]
    assert list(short.blocks(47.5, 54.25)) == [(48, 0.3), (54, 0.1), (54.25, 0.2)]


@pytest.mark.parametrize(
    ("from_h", "price", "message"),
    [
        ((6, 22), (0.3,), r"tariff: shape \(2,\) of the hours with \(1,\) of the prices was given"),
        ([[6]], [[0.3]], r"tariff: shape"),
        ((6, 24), (0.3, 0.2), r"from_h\[1\]: 24 h was given; allowed is 0 h or more, below 24 h"),
        ((-1, 6), (0.3, 0.2), r"from_h\[0\]: -1 h was given"),
        ((6, 6), (0.3, 0.2), r"from_h\[1\]: 6 h was given; allowed is later than the hour before it"),
        ((22, 6), (0.3, 0.2), r"from_h\[1\]: 6 h was given"),
        ((6,), (float("nan"),), r"price\[0\]: nan was given"),
    ],
)
def test_refusals(from_h: Any, price: Any, message: str) -> None:
    with pytest.raises(ValueError, match=f"^{message}"):
        Tariff(from_h, price)
