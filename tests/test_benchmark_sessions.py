"""The ways that the benchmark compares agree within 0.1 %, on a small number of sessions."""

import pytest
from benchmark_sessions import AGREEMENT, compare_day, compare_sessions


@pytest.mark.parametrize("way", ["plain Python loop", "scipy solve_ivp"])
def test_the_ways_agree_for_sessions_and_for_a_day(way: str) -> None:
    assert compare_sessions(60, looped=60, solved=60)[way][1] < AGREEMENT
    assert compare_day(60, sample=60)[way][1] < AGREEMENT
