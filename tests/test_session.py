"""Sessions against scipy's solver for differential equations, and what holds for every session."""

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from acpower.battery import Session, c_rate, charge_time, session, temperature_limit, usable_energy
from acpower.efficiency import ChargerEfficiency, ChargerLosses, FixedEfficiency, MeasuredEfficiency
from acpower.tariff import Tariff

FIXED = FixedEfficiency(0.9)
LOSSES = ChargerLosses(11_000, fixed=80, linear=250, quadratic=400)
MEASURED = MeasuredEfficiency([1_400, 3_700, 11_000, 22_000], [0.80, 0.90, 0.92, 0.91])
CHEAP_AT_NIGHT = Tariff(from_h=(6, 22), price=(0.40, 0.20))

# Energy, power from the grid, start, end, auxiliaries, accepted power, knee.
CHARGES = {
    "no taper": (50.0, 10.0, 0.2, 1.0, 0.0, None, 1.0),
    "taper from the knee": (50.0, 10.0, 0.2, 0.95, 0.2, None, 0.8),
    "late taper on AC": (30.0, 7.4, 0.1, 0.98, 0.25, 40.0, 0.7),
    "battery limits from the start": (30.0, 11.0, 0.1, 0.97, 0.3, 5.0, 0.6),
    "starts in the taper": (100.0, 11.0, 0.9, 0.99, 0.1, 30.0, 0.5),
    "ends before the taper": (100.0, 3.7, 0.0, 0.5, 0.1, 60.0, 0.8),
}


def charge(case: str, charger: ChargerEfficiency, **more: Any) -> Session:
    energy, grid, start, end, auxiliary, accepted, knee = CHARGES[case]
    return session(
        energy, grid, start, end,
        efficiency=charger, auxiliary_kw=auxiliary, acceptance_kw=accepted, knee=knee, **more,
    )  # fmt: skip


def solved(case: str, charger: ChargerEfficiency) -> tuple[float, float, Callable[[float], Any]]:
    """Return time, energy from the grid and the course of (soc, grid energy), by scipy."""
    energy, grid, start, end, auxiliary, accepted, knee = CHARGES[case]
    offered = float(charger.battery_power(1e3 * grid)) / 1e3 - auxiliary
    accepted = accepted or offered

    def power(soc: float) -> float:
        fall = 1.0 if soc <= knee or knee == 1.0 else (1.0 - soc) / (1.0 - knee)
        return float(min(offered, accepted * fall))

    def slopes(_: float, state: Any) -> list[float]:
        battery = power(state[0])
        drawn = grid if battery == offered else float(charger.grid_power(1e3 * (battery + auxiliary))) / 1e3
        return [battery / energy, drawn]

    def full(_: float, state: Any) -> float:
        return float(state[0] - end)

    full.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(
        slopes, (0, 500), [start, 0], events=full, rtol=1e-9, atol=1e-11, max_step=0.05, dense_output=True
    )
    return float(run.t_events[0][0]), float(run.y_events[0][0][1]), run.sol


@pytest.mark.parametrize("charger", [FIXED, LOSSES, MEASURED], ids=["fixed", "losses", "measured"])
@pytest.mark.parametrize("case", CHARGES)
def test_session_against_the_differential_equation(case: str, charger: ChargerEfficiency) -> None:
    hours, drawn, course = solved(case, charger)
    own = charge(case, charger)
    assert own.time_h == pytest.approx(hours, rel=1e-6)
    # The straight pieces of a measured table leave kinks that twenty points do not follow exactly.
    assert own.grid_energy_kwh == pytest.approx(drawn, rel=1e-3 if charger is MEASURED else 1e-6)
    times = np.linspace(0.0, 0.999 * hours, 40)
    soc, energy = course(times)
    assert own.at(times).soc == pytest.approx(soc, abs=1e-6)
    assert own.at(times).grid_energy_kwh == pytest.approx(energy, rel=1e-3 if charger is MEASURED else 1e-6)


@pytest.mark.parametrize("charger", [FIXED, LOSSES], ids=["fixed", "losses"])
@pytest.mark.parametrize("case", CHARGES)
def test_power_over_time_is_the_energy(case: str, charger: ChargerEfficiency) -> None:
    own = charge(case, charger)
    parts = list(pairwise([0.0, own.constant_h, own.time_h]))
    for column, total in (("battery_kw", own.battery_energy_kwh), ("grid_kw", own.grid_energy_kwh)):
        energy = sum(quad(lambda t, c=column: getattr(own.at(t), c)[0], *part)[0] for part in parts)
        assert energy == pytest.approx(total, rel=1e-6)
    series = own.series(7)
    assert series.time_h == pytest.approx(np.linspace(0, own.time_h, 7))
    assert series.loss_kw == pytest.approx(series.grid_kw - series.battery_kw)
    assert own.loss_kwh == pytest.approx(own.grid_energy_kwh - own.battery_energy_kwh)


@pytest.mark.parametrize("charger", [FIXED, LOSSES], ids=["fixed", "losses"])
@pytest.mark.parametrize("start_h", [0.0, 5.0, 15.5, 21.9, 23.99])
def test_cost_against_price_times_power_over_time(charger: ChargerEfficiency, start_h: float) -> None:
    own = charge("late taper on AC", charger, tariff=CHEAP_AT_NIGHT, start_h=start_h)
    changes = [6.0, 22.0, 30.0, 46.0, 54.0]
    edges = sorted(
        {0.0, own.constant_h, own.time_h} | {t - start_h for t in changes if 0 < t - start_h < own.time_h}
    )
    cost = sum(
        CHEAP_AT_NIGHT.price_at(start_h + (a + b) / 2) * quad(lambda t: own.at(t).grid_kw[0], a, b)[0]
        for a, b in pairwise(edges)
    )
    assert own.cost == pytest.approx(cost, rel=1e-6)


def test_cost_over_several_days_and_without_tariff() -> None:
    own = session(100, 1.0, 0, 1, tariff=CHEAP_AT_NIGHT, start_h=23)
    days = own.time_h // 24  # four whole days of 16 dear and 8 cheap hours, then 4 hours of night
    assert (own.time_h, days) == (100.0, 4)
    assert own.cost == pytest.approx(4 * (16 * 0.4 + 8 * 0.2) + 4 * 0.2)
    assert session(100, 1.0, 0, 1).cost is None
    assert session(10, 10, 0, 1, tariff=CHEAP_AT_NIGHT).cost == pytest.approx(10 * 0.2)  # starts at midnight


def test_a_session_that_would_cost_for_months_is_a_slip() -> None:
    longest = session(744, 1, 0, 1, tariff=CHEAP_AT_NIGHT)
    assert longest.time_h == 744
    with pytest.raises(ValueError, match=r"time of the session: 745 h was given; allowed is up to 744 h"):
        session(745, 1, 0, 1, tariff=CHEAP_AT_NIGHT)


def test_before_and_after_the_charge_nothing_flows() -> None:
    own = session(40, 10, 0.1, 0.6, efficiency=0.8, auxiliary_kw=0.5)
    outside = own.at([-1, own.time_h + 1e-6, 99])
    assert outside.battery_kw.tolist() == [0, 0, 0]
    assert outside.grid_kw.tolist() == [0, 0, 0]
    assert outside.soc == pytest.approx([0.1, 0.6, 0.6])
    assert outside.grid_energy_kwh == pytest.approx([0, own.grid_energy_kwh, own.grid_energy_kwh])
    edges = own.at([0, own.time_h])
    assert edges.grid_kw == pytest.approx([10, 10])
    assert edges.battery_kw == pytest.approx([7.5, 7.5])


def test_the_lower_the_power_the_later_the_taper() -> None:
    powers = np.array([3.7, 7.4, 11.0, 22.0])
    many = session(60, powers, 0.1, 0.99, acceptance_kw=80, knee=0.75)
    assert many.taper_soc == pytest.approx(1 - 0.25 * powers / 80)
    assert session(60, 100, 0.1, 0.5, acceptance_kw=80, knee=0.75).taper_soc == 0.75
    assert session(60, 100, 0.1, 0.5, acceptance_kw=80).taper_soc == 1.0


def test_a_battery_that_accepts_less_takes_less_from_the_grid() -> None:
    own = session(60, 11, 0.1, 0.5, efficiency=0.8, auxiliary_kw=0.4, acceptance_kw=4)
    assert (own.battery_kw, own.grid_kw) == pytest.approx((4.0, 4.4 / 0.8))
    assert session(60, 11, 0.1, 0.5, efficiency=0.8, acceptance_kw=8.8).grid_kw == 11


def test_without_taper_it_is_the_charge_time() -> None:
    energy, power = np.array([[30.0], [100.0]]), np.array([3.7, 11.0, 22.0])
    assert session(energy, power, 0.2, 0.8, efficiency=0.92).time_h == pytest.approx(
        charge_time(0.6 * energy, power, 0.92)
    )


batteries = st.floats(10, 120)
powers = st.floats(1.4, 10.9)
socs = st.floats(0, 0.99)


@given(batteries, powers, socs, socs, socs, st.floats(0.1, 1), st.floats(0, 0.3), st.floats(2, 200))
def test_two_sessions_one_after_the_other_are_one(
    energy: float, power: float, a: float, b: float, c: float, knee: float, auxiliary: float, accepted: float
) -> None:
    a, b, c = sorted((a, b, c))
    whole, first, second = (
        session(
            energy, power, *ends, efficiency=LOSSES, auxiliary_kw=auxiliary, acceptance_kw=accepted, knee=knee
        )
        for ends in ((a, c), (a, b), (b, c))
    )
    assert whole.time_h == pytest.approx(first.time_h + second.time_h, rel=1e-9, abs=1e-9)
    assert whole.grid_energy_kwh == pytest.approx(
        first.grid_energy_kwh + second.grid_energy_kwh, rel=1e-6, abs=1e-9
    )
    assert whole.battery_energy_kwh == pytest.approx(energy * (c - a))
    assert whole.loss_kwh >= -1e-9
    assert 0 <= whole.constant_h <= whole.time_h


@pytest.mark.parametrize("charger", [0.9, np.array([0.8, 0.9, 0.95]), LOSSES, MEASURED], ids=str)
def test_arrays_give_what_single_sessions_give(charger: Any) -> None:
    energy, power = np.array([[30.0], [100.0]]), np.array([3.7, 7.4, 11.0])
    start, knee = np.array([[0.1], [0.85]]), np.array([0.5, 0.8, 1.0])
    ways = {"auxiliary_kw": 0.2, "acceptance_kw": 20.0, "tariff": CHEAP_AT_NIGHT}
    many = session(energy, power, start, 0.9, efficiency=charger, knee=knee, start_h=[20, 21, 22], **ways)
    course = many.at([0.0, 1.0, 5.0, 9.0])
    for row in range(2):
        for column in range(3):
            one = session(
                energy[row, 0], power[column], start[row, 0], 0.9,
                efficiency=charger[column] if isinstance(charger, np.ndarray) else charger,
                knee=knee[column], start_h=20 + column, **ways,
            )  # fmt: skip
            for name in (
                "time_h",
                "constant_h",
                "battery_kw",
                "grid_kw",
                "taper_soc",
                "grid_energy_kwh",
                "cost",
            ):
                assert np.broadcast_to(getattr(many, name), (2, 3))[row, column] == pytest.approx(
                    getattr(one, name)
                )
            for name in ("soc", "battery_kw", "grid_kw", "grid_energy_kwh"):
                expected = getattr(one.at([0.0, 1.0, 5.0, 9.0]), name)
                assert getattr(course, name)[row, column] == pytest.approx(expected)


def test_scalars_give_floats_and_series_an_axis_at_the_end() -> None:
    one = session(40, 10, 0.1, 0.6, tariff=CHEAP_AT_NIGHT)
    assert all(
        type(getattr(one, name)) is float for name in ("time_h", "grid_kw", "loss_kwh", "cost", "taper_soc")
    )
    assert one.series().soc.shape == (201,)
    assert session([40, 50], 10, [[0.1], [0.2], [0.3]], 0.6).series(5).soc.shape == (3, 2, 5)
    assert session(40, 10, 0.1, 0.6, efficiency=[0.8, 0.9]).time_h.shape == (2,)
    losses = ChargerLosses([11_000, 22_000], 80)
    assert session(40, 10, 0.1, 0.6, efficiency=losses).time_h.shape == (2,)


# ---- The load of many sessions


@pytest.mark.parametrize(
    "charger",
    [
        0.9,
        np.linspace(0.8, 0.95, 20),
        LOSSES,
        ChargerLosses(np.linspace(11e3, 22e3, 20), 80, 250, 400),
        MEASURED,
    ],
    ids=["fixed", "fixed each", "losses", "losses each", "measured"],
)
def test_total_load_is_the_sum_of_the_sessions(charger: Any) -> None:
    random = np.random.default_rng(3)
    many = session(
        random.uniform(20, 80, 20), random.choice([3.7, 7.4, 11.0], 20), random.uniform(0, 0.8, 20), 0.98,
        efficiency=charger, auxiliary_kw=0.2, acceptance_kw=30, knee=0.7,
    )  # fmt: skip
    start, clock = random.integers(0, 40, 20) / 2.0, np.append(np.arange(0, 30, 0.5), 36.0)
    energy = many.at(clock - start[:, np.newaxis]).grid_energy_kwh.sum(axis=0)
    assert many.total_load(start, clock) == pytest.approx(
        np.diff(energy) / np.diff(clock), rel=2e-3, abs=1e-9
    )
    if charger is not MEASURED:  # its kinks fall differently into the twenty points of each taper
        assert many.total_load(start, clock) == pytest.approx(
            np.diff(energy) / np.diff(clock), rel=1e-6, abs=1e-9
        )


def test_total_load_of_scalars_and_grids() -> None:
    one = session(40, 10, 0.1, 0.6)
    assert one.total_load(8, [7, 8, 9, 11]) == pytest.approx([0, 10, 5])
    assert one.total_load([8, 9], [7, 8, 9, 11]) == pytest.approx([0, 10, 15])
    grid = session([40, 20], [[10], [5]], 0.1, 0.6)
    assert grid.total_load(0, [0, 100]) == pytest.approx([(20 + 10 + 20 + 10) / 100])
    assert grid.total_load([[0], [1]], [0, 1, 100]) == pytest.approx([20, 40 / 99])


@pytest.mark.parametrize("clock_h", [[1], 5, [1, 1], [2, 1], [[1, 2], [3, 4]]])
def test_total_load_refuses_hours_that_do_not_rise(clock_h: Any) -> None:
    with pytest.raises(ValueError, match=r"^clock_h: .* was given; allowed is two or more hours that rise"):
        session(40, 10, 0.1, 0.6).total_load(0, clock_h)


def test_total_load_refuses_starts_that_do_not_fit() -> None:
    with pytest.raises(ValueError, match=r"^start_h and session: shape \(3,\) with \(2,\) was given"):
        session([40, 50], 10, 0.1, 0.6).total_load([1, 2, 3], [0, 1])
    with pytest.raises(ValueError, match=r"^time_h and session: shape"):
        session([40, 50], 10, 0.1, 0.6).at([[1, 2], [3, 4], [5, 6]])


# ---- What is refused


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"usable_kwh": 0}, r"usable_kwh: 0 kWh was given; allowed is above 0 kWh"),
        ({"grid_kw": -1}, r"grid_kw: -1 kW was given; allowed is above 0 kW"),
        ({"start_soc": 20}, r"start_soc: 20 was given; allowed is 0 to 1"),
        ({"end_soc": 0.1}, r"end_soc: 0.1 was given; allowed is start_soc or more"),
        ({"efficiency": 92}, r"efficiency: 92 was given; allowed is above 0, up to 1"),
        ({"auxiliary_kw": -0.1}, r"auxiliary_kw: -0.1 kW was given; allowed is 0 kW or more"),
        ({"auxiliary_kw": 10}, r"grid_kw: 10 kW was given; allowed is more than losses and auxiliaries take"),
        ({"acceptance_kw": 0}, r"acceptance_kw: 0 kW was given; allowed is above 0 kW"),
        ({"knee": 0}, r"knee: 0 was given; allowed is above 0, up to 1"),
        (
            {"knee": 0.8, "end_soc": 1},
            r"end_soc: 1 was given; allowed is below 1 where the battery has a knee",
        ),
        ({"start_h": 24}, r"start_h: 24 h was given; allowed is 0 h or more, below 24 h"),
        ({"start_h": -0.1}, r"start_h: -0.1 h was given"),
        ({"grid_kw": [1, 2], "usable_kwh": [1, 2, 3]}, r"usable_kwh and grid_kw: shape"),
        (
            {"efficiency": ChargerLosses([1e4, 2e4], 80), "grid_kw": [1, 2, 3]},
            r"grid_kw and rated_power: shape",
        ),
        (
            {"efficiency": MEASURED, "grid_kw": 23},
            r"ac_power: 23000 W was given; allowed is up to 22000 W",
        ),
    ],
)
def test_session_refuses(changed: dict[str, Any], message: str) -> None:
    inputs = {"usable_kwh": 50, "grid_kw": 10, "start_soc": 0.2, "end_soc": 0.8, "start_h": 0.0} | changed
    with pytest.raises(ValueError, match=f"^{message}"):
        session(**inputs)


def test_session_allows_the_ends_of_its_ranges() -> None:
    assert session(50, 10, 0, 1, start_h=23.999).time_h == 5.0
    assert session(50, 10, 0.5, 0.5, knee=0.4).time_h == 0.0
    assert session(50, 10, 1, 1).grid_energy_kwh == 0.0


# ---- The smaller formulas


@given(st.floats(-60, 80), st.floats(-20, 10), st.floats(0.1, 30))
def test_a_cold_battery_accepts_a_share(cells: float, cold: float, span: float) -> None:
    share = temperature_limit(cells, cold, cold + span)
    assert share == pytest.approx(min(max((cells - cold) / span, 0), 1), abs=1e-9)


def test_temperature_limit_has_its_defaults_and_ends() -> None:
    assert temperature_limit([0, 7.5, 15, 80, -60]).tolist() == [0, 0.5, 1, 1, 0]
    for refused in ((80.1,), (-60.1,), (10, 5, 5), (10, 6, 5)):
        with pytest.raises(ValueError, match="was given; allowed is"):
            temperature_limit(*refused)


def test_usable_energy_and_c_rate() -> None:
    assert usable_energy([80, 100], 0.9) == pytest.approx([72, 90])
    assert c_rate([7.4, 11, 22], 50) == pytest.approx([0.148, 0.22, 0.44])
    assert c_rate(0, 50) == 0
    for formula, refused in (
        (usable_energy, (80, 0)),
        (usable_energy, (0, 0.9)),
        (c_rate, (-1, 5)),
        (c_rate, (1, 0)),
    ):
        with pytest.raises(ValueError, match="was given; allowed is"):
            formula(*refused)
