"""Every sentence with which a formula refuses, as people read it.

``tests/refusals.json`` holds the sentences. A changed one turns this test red: read it, and if it is meant,
write the file anew with ``python tests/test_refusals.py``.
"""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from test_units import CHECKS, inputs_of, measured

from acpower import (
    ac_ceiling,
    battery,
    charger,
    connectors,
    harmonic_limits,
    pilot,
    protection,
    region,
    supply,
)
from acpower.efficiency import ChargerLosses, FixedEfficiency, MeasuredEfficiency
from acpower.tariff import Tariff

FILE = Path(__file__).with_name("refusals.json")

BAD: dict[str, Any] = {
    "minus one": -1.0, "nought": 0.0, "huge": 1e200, "no number": float("nan"), "text": "16", "empty": [],
    "ninety-two": 92.0, "yes": True,
}  # fmt: skip

NEVER_A_MAGNITUDE = ("huge", "no number", "text", "empty", "yes")  # whatever the formula

MORE: dict[str, Callable[[], Any]] = {
    "tariff of unequal rows": lambda: Tariff((6, 22), (0.3,)),
    "tariff with an hour too late": lambda: Tariff((6, 24), (0.3, 0.2)),
    "tariff with an hour too early": lambda: Tariff((-1, 6), (0.3, 0.2)),
    "tariff out of order": lambda: Tariff((22, 6), (0.3, 0.2)),
    "tariff without a price": lambda: Tariff((6,), (None,)),
    "tariff without an hour": lambda: Tariff((None,), (0.3,)),
    "clock without a number": lambda: Tariff(6, 0.3).price_at("six"),
    "block that begins without a number": lambda: Tariff(6, 0.3).blocks(float("nan"), 2),
    "block that ends before it begins": lambda: Tariff(6, 0.3).blocks(8, 7),
    "many hours at which blocks end": lambda: Tariff(6, 0.3).blocks(8, [9, 10]),
    "cold above warm": lambda: battery.temperature_limit(5, 10, 5),
    "too cold": lambda: battery.temperature_limit(-61),
    "too hot": lambda: battery.temperature_limit(81),
    "end below start": lambda: battery.session(50, 10, 0.8, 0.2),
    "full with a knee": lambda: battery.session(50, 10, 0.2, 1, knee=0.8),
    "nothing reaches the battery": lambda: battery.session(50, 1, 0.2, 0.8, auxiliary_kw=1),
    "midnight as 24": lambda: battery.session(50, 1, 0.2, 0.8, start_h=24),
    "months": lambda: battery.session(800, 1, 0, 1, tariff=Tariff(0, 0.3)),
    "hours that fall": lambda: battery.session(50, 10, 0, 1).total_load(0, [2, 1]),
    "no point of a course": lambda: battery.session(50, 10, 0, 1).series(0),
    "half a point of a course": lambda: battery.session(50, 10, 0, 1).series(2.5),
    "start without a number": lambda: battery.session(50, 10, 0, 1).total_load("eight", [1, 2]),
    "time without a number": lambda: battery.session(50, 10, 0, 1).at("noon"),
    "losses that eat the power": lambda: ChargerLosses(1_000, 80, 600, 200),
    "power beyond the turn": lambda: ChargerLosses(11_000, 80, 250, 400).battery_power(147_900),
    "more than the charger can give": lambda: ChargerLosses(11_000, 80, 250, 400).grid_power(80_000),
    "no best power": lambda: ChargerLosses(11_000, 80).best_power(),
    "efficiency in percent": lambda: FixedEfficiency(92),
    "fixed efficiencies and powers of other shapes": lambda: FixedEfficiency([0.9, 0.8]).at([1, 2, 3]),
    "losses and powers of other shapes": lambda: ChargerLosses(11_000, [80, 90]).battery_power([1, 2, 3]),
    "losses and needs of other shapes": lambda: ChargerLosses(11_000, [80, 90]).grid_power([1, 2, 3]),
    "points of unequal rows": lambda: MeasuredEfficiency([1, 2], [0.9]),
    "points out of order": lambda: MeasuredEfficiency([2, 1], [0.9, 0.9]),
    "points that give less": lambda: MeasuredEfficiency([10, 11], [0.9, 0.8]),
    "beyond the last point": lambda: MeasuredEfficiency([10, 20], [0.8, 0.8]).battery_power(21),
    "phases of a link": lambda: charger.Station(4, 16),
    "half a phase": lambda: charger.Station(1.5, 16),
    "too little current": lambda: charger.Cable(1, 5),
    "many currents": lambda: charger.Vehicle(1, [16, 32]),
    "voltage of a supply": lambda: charger.Supply(0, 1, 16),
    "power factor of a supply": lambda: charger.Supply(230, 1, 16, 95),
    "links in the wrong order": lambda: charger.charging_limit(
        charger.Station(1, 16), charger.Supply(230, 1, 16), charger.Cable(1, 16), charger.Vehicle(1, 16)
    ),
    "level between the windows": lambda: pilot.state_from_voltage(7.5),
    "level beyond the windows": lambda: pilot.state_from_voltage(14, windows="component"),
    "set of windows": lambda: pilot.state_from_voltage(9, windows="wide"),
    "rule of the pilot": lambda: pilot.current_from_duty(50, "gb"),
    "bands of the cable": lambda: pilot.cable_rating(220, "wide"),
    "current in the jump": lambda: pilot.duty_from_current(52),
    "coupler without a current": lambda: ac_ceiling.ac_ceiling("sae-j3400", "north-america-480-277"),
    "supply above the coupler": lambda: ac_ceiling.ac_ceiling("type-1", "north-america-480-277"),
    "unknown coupler": lambda: connectors.connector("type-9"),
    "unknown quantity": lambda: connectors.connector("type-2").describe("colour", 1),
    "unknown supply": lambda: supply.nominal_supply("mars"),
    "unknown region": lambda: region.choose_region("mars"),
    "unknown device": lambda: protection.residual_current_device("type-x"),
    "unknown mode": lambda: protection.charging_mode("mode-5"),
    "order of a harmonic": lambda: harmonic_limits.class_a_limit(41),
    "half an order": lambda: harmonic_limits.class_a_limit(2.5),
    "fundamental alone": lambda: harmonic_limits.check_class_a([16]),
    "fundamental above 16 A": lambda: harmonic_limits.check_class_a([17, 0]),
}

CASES: dict[str, Callable[[], Any]] = {
    f"{check.formula.__qualname__}, {name}: {word}": (
        lambda check=check, name=name, bad=bad: check.formula(**inputs_of(check) | {name: bad})
    )
    for check in CHECKS
    for name in measured(check)
    for word, bad in BAD.items()
} | MORE


def sentence(call: Callable[[], Any]) -> str | None:
    """Return the sentence with which a call is refused; None if it is not."""
    try:
        with np.errstate(all="raise"):
            call()
    except ValueError as refusal:
        return str(refusal)
    return None


@pytest.mark.parametrize("case", CASES)
def test_sentence_is_the_known_one(case: str) -> None:
    assert sentence(CASES[case]) == json.loads(FILE.read_text("utf-8")).get(case)


def test_what_is_no_number_is_refused_by_every_formula() -> None:
    known = json.loads(FILE.read_text("utf-8"))
    ends = tuple(f": {word}" for word in NEVER_A_MAGNITUDE)
    assert [case for case in CASES if case.endswith(ends) and case not in known] == []


def test_no_sentence_is_left_over() -> None:
    assert json.loads(FILE.read_text("utf-8")).keys() <= CASES.keys()


@pytest.mark.parametrize("case", MORE)
def test_each_of_these_is_refused_in_full(case: str) -> None:
    text = sentence(MORE[case])
    assert text is not None
    assert all(part in text for part in (": ", " was given; allowed is ", ". Check "))
    assert text.endswith(".")


if __name__ == "__main__":
    found = {case: text for case, call in CASES.items() if (text := sentence(call)) is not None}
    FILE.write_text(json.dumps(found, indent=1, ensure_ascii=False) + "\n", "utf-8")
