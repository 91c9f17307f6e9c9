"""Charger, charge time and the weakest link: what holds for all values."""

from dataclasses import FrozenInstanceError

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_formulas_properties import NO_NUMBERS

from acpower import battery, charger, power
from acpower.charger import Cable, ChargingLimit, Station, Supply, Vehicle, charging_limit

watts = st.floats(0.0, 1e6)


@given(watts, st.floats(0.01, 1))
def test_battery_and_grid_power_are_a_round_trip(ac_power: float, efficiency: float) -> None:
    into_battery = charger.battery_power(ac_power, efficiency)
    assert into_battery <= ac_power
    assert charger.grid_power(into_battery, efficiency) == pytest.approx(ac_power, rel=1e-12)


@given(st.floats(0, 200), st.floats(0.5, 50), st.floats(0.1, 1))
def test_charge_time_times_power_gives_the_energy(energy: float, kilowatts: float, efficiency: float) -> None:
    hours = battery.charge_time(energy, kilowatts, efficiency)
    assert hours * charger.battery_power(1000 * kilowatts, efficiency) / 1000 == pytest.approx(energy)


def test_nothing_to_charge_takes_no_time() -> None:
    assert battery.charge_time(0, 11, 0.9) == 0.0


phases = st.integers(1, 3)
ratings = st.sampled_from([6.0, 10.0, 13.0, 16.0, 20.0, 32.0, 63.0])
NAMES = ("supply", "station", "cable", "vehicle")


@given(st.tuples(phases, phases, phases, phases), st.tuples(ratings, ratings, ratings, ratings))
def test_limit_is_the_least_of_each_and_names_who_holds_it_down(
    phase_counts: tuple[int, ...], currents: tuple[float, ...]
) -> None:
    def limit(counts: tuple[int, ...], amps: tuple[float, ...]) -> ChargingLimit:
        return charging_limit(
            Supply(230, counts[0], amps[0], 0.95),
            *(link(n, i) for link, n, i in zip((Station, Cable, Vehicle), counts[1:], amps[1:], strict=True)),
        )

    result = limit(phase_counts, currents)
    assert result.current == min(currents)
    assert result.phases == min(phase_counts)
    expected_power = result.phases * power.single_phase_power(230, result.current, 0.95)
    assert result.power == pytest.approx(expected_power)

    # Freed together, the named links allow more power; any one of them, left as it was among
    # links without limit, still holds current or phases down; the others do neither.
    named = [NAMES.index(name) for name in result.limited_by]
    assert named == sorted(set(named))
    assert named
    freed = limit(
        tuple(3 if k in named else n for k, n in enumerate(phase_counts)),
        tuple(100.0 if k in named else i for k, i in enumerate(currents)),
    )
    assert freed.power > result.power
    for k in named:
        held = limit(
            tuple(n if j == k else 3 for j, n in enumerate(phase_counts)),
            tuple(i if j == k else 100.0 for j, i in enumerate(currents)),
        )
        assert held.current == result.current or held.phases == result.phases
    for k in set(range(4)) - set(named):
        assert phase_counts[k] > result.phases or len(set(phase_counts)) == 1
        assert currents[k] > result.current or len(set(currents)) == 1


@pytest.mark.parametrize(
    ("phase_counts", "currents", "limited_by"),
    [
        ((3, 3, 3, 3), (32, 32, 32, 32), NAMES),
        ((1, 1, 1, 1), (16, 16, 16, 16), NAMES),
        ((3, 3, 3, 1), (32, 32, 32, 32), ("vehicle",)),
        ((3, 3, 3, 3), (32, 16, 32, 32), ("station",)),
        ((3, 3, 3, 3), (32, 16, 20, 16), ("station", "vehicle")),
        ((3, 3, 3, 1), (32, 16, 32, 32), ("station", "vehicle")),
        ((1, 3, 1, 3), (63, 63, 20, 32), ("supply", "cable")),
        ((3, 3, 3, 2), (16, 32, 32, 32), ("supply", "vehicle")),
    ],
)
def test_limiting_links_in_typical_chains(
    phase_counts: tuple[int, ...], currents: tuple[float, ...], limited_by: tuple[str, ...]
) -> None:
    supply = Supply(230, phase_counts[0], currents[0])
    station, cable, vehicle = (
        link(count, current)
        for link, count, current in zip(
            (Station, Cable, Vehicle), phase_counts[1:], currents[1:], strict=True
        )
    )
    assert charging_limit(supply, station, cable, vehicle).limited_by == limited_by


LINKS = {
    Supply: {"phase_voltage": 230, "phases": 3, "current": 32, "power_factor": 1.0},
    Station: {"phases": 3, "current": 32},
    Cable: {"phases": 3, "current": 32},
    Vehicle: {"phases": 3, "current": 32},
}
BAD_LINK_VALUES = {
    "phases": [0, 4, 1.5, -1],
    "current": [5.99, 0, -16],
    "phase_voltage": [0, -230],
    "power_factor": [1.1, -0.1, 95],
}


@pytest.mark.parametrize("link", LINKS)
def test_link_refuses_bad_values_by_name(link: type) -> None:
    for name in LINKS[link]:
        for bad in [*BAD_LINK_VALUES[name], *NO_NUMBERS.values(), [LINKS[link][name]] * 2]:
            with pytest.raises(ValueError, match=rf"^{name}(\[[\d, ]+\])?: .+ was given; allowed is "):
                link(**LINKS[link] | {name: bad})


@pytest.mark.parametrize("link", LINKS)
def test_link_below_six_amperes_is_told_of_the_floor_of_the_pilot_law(link: type) -> None:
    with pytest.raises(ValueError, match=r"^current: 5 A was given; allowed is 6 A or more\. .*IEC 61851-1"):
        link(**LINKS[link] | {"current": 5})


@pytest.mark.parametrize("link", LINKS)
def test_link_keeps_plain_numbers_and_cannot_be_changed(link: type) -> None:
    made = link(**{name: np.float64(value) for name, value in LINKS[link].items()})
    assert made == link(**LINKS[link])
    assert type(made.phases) is int
    assert type(made.current) is float
    with pytest.raises(FrozenInstanceError):
        made.current = 63.0


def test_links_in_the_wrong_order_are_refused_by_name() -> None:
    station, cable, vehicle = Station(3, 32), Cable(3, 32), Vehicle(3, 32)
    with pytest.raises(
        ValueError, match=r"^station: Cable\(.* was given; allowed is a Station\. Check the order"
    ):
        charging_limit(Supply(230, 3, 32), cable, station, vehicle)
    with pytest.raises(ValueError, match=r"^supply: None was given; allowed is a Supply"):
        charging_limit(None, station, cable, vehicle)
