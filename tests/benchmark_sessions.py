"""How much faster `acpower.battery.session` is than a plain loop and than a general solver.

Run ``python tests/benchmark_sessions.py``. It works the same sessions out three ways in one run, checks that
they agree within 0.1 %, and prints the ratios of their times per session. The two slower ways work on a
sample, whose size is printed: a million sessions would take them hours. ``tests/test_benchmark_sessions.py``
checks the agreement on a small number; nothing here is a timed test.
"""

import argparse
import time
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from tqdm import tqdm

from acpower.battery import session

Array = NDArray[np.float64]
Columns = dict[str, Array]

AGREEMENT = 1e-3
STEP_H = 1 / 60  # of the plain loop: one minute, the coarsest usual step that agrees within 0.1 %
DAY_MIN, SLOT_MIN = 24 * 60, 5
EDGES = np.arange(0, DAY_MIN + 1, SLOT_MIN) / 60  # of the day, in hours


def draw(count: int) -> Columns:
    """Return invented sessions, the same for each count."""
    random = np.random.default_rng(20)
    return {
        "usable_kwh": random.uniform(30, 100, count),
        "grid_kw": random.choice([2.3, 3.7, 7.4, 11.0, 22.0], count),
        "start_soc": random.uniform(0.05, 0.5, count),
        "end_soc": random.uniform(0.7, 0.97, count),
        "efficiency": random.uniform(0.85, 0.95, count),
        "acceptance_kw": random.uniform(40, 120, count),
        "knee": random.uniform(0.6, 0.9, count),
    }


def rows(columns: Columns) -> Iterable[tuple[float, ...]]:
    """Give the sessions one by one as plain floats."""
    return zip(*(column.tolist() for column in columns.values()), strict=True)


def plain_loop(
    energy: float, grid: float, start: float, end: float, efficiency: float, accepted: float, knee: float,
    note: Callable[[float], None] = lambda drawn: None,
) -> tuple[float, float]:  # fmt: skip
    """Return time and energy from the grid by small steps, as one writes it at first."""
    hours = drawn = 0.0
    soc = start
    while True:
        # The midpoint rule: the power in the middle of the step stands for the whole step.
        middle = soc
        for part in (0.5, 1.0):
            fall = 1.0 if middle <= knee else (1.0 - middle) / (1.0 - knee)
            battery = min(grid * efficiency, accepted * fall)
            middle = soc + part * STEP_H * battery / energy
        step = STEP_H if middle < end else (end - soc) * energy / battery
        note(step * battery / efficiency)
        soc, hours, drawn = middle, hours + step, drawn + step * battery / efficiency
        if middle >= end:
            return hours, drawn


def general_solver(
    energy: float, grid: float, start: float, end: float, efficiency: float, accepted: float, knee: float,
    times: Array | None = None,
) -> Any:  # fmt: skip
    """Return scipy's solution of the same session, ended by an event."""

    def power(soc: float) -> float:
        fall = 1.0 if soc <= knee else (1.0 - soc) / (1.0 - knee)
        return min(grid * efficiency, accepted * fall)

    def slopes(_: float, state: Array) -> list[float]:
        battery = power(state[0])
        return [battery / energy, battery / efficiency]

    def full(_: float, state: Array) -> float:
        return float(state[0] - end)

    full.terminal = True  # type: ignore[attr-defined]
    return solve_ivp(slopes, (0.0, 200.0), [start, 0.0], events=full, rtol=1e-6, atol=1e-8, t_eval=times)


def solved_session(*row: float) -> tuple[float, float]:
    """Return time and energy from the grid by scipy."""
    course = general_solver(*row)
    return float(course.t_events[0][0]), float(course.y_events[0][0][1])


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Return the seconds that a piece of work took, and its result."""
    begin = time.perf_counter()
    result = work()
    return time.perf_counter() - begin, result


def compare_sessions(count: int, looped: int, solved: int) -> dict[str, tuple[float, float]]:
    """Return for each slower way the ratio of times per session and the greatest disagreement."""
    columns = draw(count)
    seconds, own = timed(lambda: session(**columns))
    found = np.stack([np.asarray(own.time_h), np.asarray(own.grid_energy_kwh)], axis=-1)
    ways: dict[str, tuple[int, Callable[..., tuple[float, float]]]] = {
        "plain Python loop": (looped, plain_loop),
        "scipy solve_ivp": (solved, solved_session),
    }
    results = {}
    for name, (sample, way) in ways.items():
        some = list(rows({key: column[:sample] for key, column in columns.items()}))
        slow, numbers = timed(lambda way=way, some=some, name=name: [way(*row) for row in tqdm(some, name)])
        difference = float(np.max(np.abs(found[:sample] / np.array(numbers) - 1.0)))
        results[name] = ((slow / sample) / (seconds / count), difference)
    return results


def compare_day(count: int, sample: int) -> dict[str, tuple[float, float]]:
    """Compare the load of many vehicles over one day, in steps of five minutes, with the slower ways."""
    columns = draw(count)
    arrival_min = np.random.default_rng(21).integers(0, 20 * 60, count)

    def own_day(number: int) -> Array:
        some = session(**{key: column[:number] for key, column in columns.items()})
        return some.total_load(arrival_min[:number] / 60, EDGES)

    def loop_day() -> Array:
        energy = np.zeros(DAY_MIN // SLOT_MIN)
        for row, minute in tqdm(sampled, "plain Python loop"):
            course: list[float] = []
            plain_loop(*row, note=course.append)
            for step, drawn in enumerate(course[: DAY_MIN - minute]):
                energy[(minute + step) // SLOT_MIN] += drawn
        return energy * 60 / SLOT_MIN

    def solver_day() -> Array:
        energy = np.zeros(EDGES.size)
        for row, minute in tqdm(sampled, "scipy solve_ivp"):
            times = EDGES[minute / 60 <= EDGES] - minute / 60
            course = general_solver(*row, times=times)
            so_far = np.full(times.size, course.y_events[0][0][1] if course.y_events[0].size else 0.0)
            so_far[: course.t.size] = course.y[1]
            energy[EDGES.size - times.size :] += so_far
        return np.diff(energy) * 60 / SLOT_MIN

    sampled = list(
        zip(
            rows({key: column[:sample] for key, column in columns.items()}),
            arrival_min.tolist(),
            strict=False,
        )
    )
    seconds, _ = timed(lambda: own_day(count))
    own = own_day(sample)
    results = {}
    for name, way in {"plain Python loop": loop_day, "scipy solve_ivp": solver_day}.items():
        slow, load = timed(way)
        difference = float(np.max(np.abs(load - own)) / np.max(own))
        results[name] = ((slow / sample) / (seconds / count), difference)
    return results


def main() -> None:
    """Print both comparisons."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sessions", type=int, default=1_000_000)
    parser.add_argument("--vehicles", type=int, default=10_000)
    parser.add_argument("--looped", type=int, default=2_000, help="sessions of the sample for the plain loop")
    parser.add_argument("--solved", type=int, default=300, help="sessions of the sample for solve_ivp")
    wishes = parser.parse_args()
    jobs = {
        f"{wishes.sessions} sessions": lambda: compare_sessions(
            wishes.sessions, wishes.looped, wishes.solved
        ),
        f"day of {wishes.vehicles} vehicles": lambda: compare_day(wishes.vehicles, wishes.solved),
    }
    for job, compare in jobs.items():
        for name, (ratio, difference) in compare().items():
            print(
                f"{job}: {ratio:.0f} times as fast as {name}, greatest disagreement {100 * difference:.4f} %"
            )


if __name__ == "__main__":
    main()
