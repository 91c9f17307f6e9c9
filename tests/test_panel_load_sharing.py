"""The panel of load sharing: offers, pauses, the sum within the spare current."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_panels import text_alternative

from acpower.figures.scene import Box, Text
from acpower.panels import load_sharing_panel
from acpower.panels.load_sharing import sharing, sharing_words

CURRENTS = st.integers(min_value=0, max_value=80)


@pytest.mark.parametrize(
    ("rule", "offers"),
    [
        # worked by hand: 6 A each are 24 A; rounds of 1 A until station 2 has its 8 A, then the rest
        ("all rise together", (11, 8, 11, 10)),
        ("equal parts", (10, 8, 10, 10)),
        ("first come, first served", (32, 8, 0, 0)),
    ],
)
def test_rules_share_forty_amperes(rule: str, offers: tuple[float, ...]) -> None:
    panel = load_sharing_panel()
    panel.set(rule=rule)
    assert panel.numbers.offers == offers
    assert panel.numbers.used == sum(offers)
    assert f"Together {sum(offers)} A of 40 A per phase; {40 - sum(offers)} A unused." in panel.words


def test_words_name_offer_pause_and_free_station() -> None:
    numbers = sharing(20, 32, 0, 20, 16, "priority")
    assert sharing_words(numbers) == (
        "Station 1: 20 A of 32 A, station 2: free, station 3: paused, station 4: paused. Together 20 A of "
        "20 A per phase; 0 A unused. A station pauses where less than 6 A would be left for it."
    )
    assert "pauses" not in sharing_words(sharing(160, 32, 0, 20, 16, "equal"))


@pytest.mark.parametrize(("request_a", "said"), [(5, "station 4: paused"), (6, "station 4: 6 A of 6 A")])
def test_six_amperes_are_the_least(request_a: float, said: str) -> None:
    """IEC 61851-1 Annex A: the control pilot ends at 6 A."""
    panel = load_sharing_panel()
    panel.set(request_4=request_a)
    assert said in panel.words


@given(
    CURRENTS,
    st.tuples(CURRENTS, CURRENTS, CURRENTS, CURRENTS),
    st.sampled_from(["filling", "equal", "priority"]),
)
def test_sum_stays_within_the_spare_current_and_no_offer_lies_below_six(
    available: int, requests: tuple[int, int, int, int], rule: str
) -> None:
    numbers = sharing(available, *requests, rule)
    assert numbers.used <= available
    assert all(
        offer == 0 or 6 <= offer <= request for offer, request in zip(numbers.offers, requests, strict=True)
    )


def test_bars_are_as_high_as_the_offers_and_lie_end_to_end_in_the_sum() -> None:
    panel = load_sharing_panel()
    panel.set(rule="first come, first served", available=50)  # 32, 8, 10, 0
    stations, together = panel._scene(panel.numbers).charts
    assert [thing.top for thing in stations.things if isinstance(thing, Box)] == [32, 8, 10]
    parts = [(thing.left, thing.right) for thing in together.things if isinstance(thing, Box)]
    assert parts == [(0, 32), (32, 40), (40, 50)]
    assert [thing.text for thing in together.things if isinstance(thing, Text)] == ["1", "2", "3"]
    labels = [thing.text for thing in stations.things if isinstance(thing, Text)]
    assert labels == ["6 A", "32 A", "8 A", "10 A", "paused"]


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("available", [0, 5, 6, 160])
@pytest.mark.parametrize("request_a", [0, 5, 80])
def test_extremes_are_drawn(available: float, request_a: float, large: bool) -> None:
    panel = load_sharing_panel()
    panel.set(available=available, **{f"request_{number}": request_a for number in range(1, 5)})
    assert "nan" not in panel.svg(large=large)
    stations, together = panel._scene(panel.numbers).charts
    assert stations.y.high > request_a
    assert together.x.high > max(available, panel.numbers.used)
    assert np.isfinite(together.x.high)


def test_request_beyond_the_control_pilot_is_refused() -> None:
    panel = load_sharing_panel()
    with pytest.raises(ValueError, match="Station 1 could use: 81 A was given; allowed is 0 to 80 A"):
        panel.set(request_1="81")


def test_picture_says_what_its_outlines_mean() -> None:
    said = text_alternative(load_sharing_panel().svg())
    assert "Dashed outlines show what the stations could use, filled bars what they may offer." in said
