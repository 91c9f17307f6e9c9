"""The formulas listed here: how each is called, what it must refuse, and how it treats arrays.

The list is kept by hand, since ranges stand in no signature: formulas that give one number for one
number of each argument. `test_units` and `test_refusals` go through every public formula.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import product
from typing import Any

import numpy as np
import pytest

from acpower import battery, charger, distorted, pilot, power, rms


@dataclass(frozen=True)
class Formula:
    """A formula with valid arguments, arrays that broadcast, and the range of each argument."""

    call: Callable[..., Any]
    valid: dict[str, float]
    signed: tuple[str, ...] = ()  # arguments that may be negative
    above_zero: tuple[str, ...] = ()
    fractions: tuple[str, ...] = ()
    too_much: dict[str, float] = field(default_factory=dict)
    last_axis: tuple[str, ...] = ()  # arguments whose last axis the formula works over

    @property
    def name(self) -> str:
        return self.call.__name__


FORMULAS = [
    Formula(rms.rms, {"samples": 5.0}, signed=("samples",), last_axis=("samples",)),
    Formula(rms.peak_to_rms, {"peak": 325.0}),
    Formula(rms.rms_to_peak, {"rms": 230.0}),
    Formula(
        rms.pulse_rms, {"high": 9.0, "duty": 0.5, "low": -12.0}, signed=("high", "low"), fractions=("duty",)
    ),
    Formula(rms.combined_rms, {"components": 12.0}, last_axis=("components",)),
    Formula(
        rms.total_harmonic_distortion,
        {"fundamental": 10.0, "harmonics": 0.5},
        above_zero=("fundamental",),
        last_axis=("harmonics",),
    ),
    Formula(rms.crest_factor, {"samples": 5.0}, signed=("samples",), last_axis=("samples",)),
    Formula(rms.form_factor, {"samples": 5.0}, signed=("samples",), last_axis=("samples",)),
    Formula(
        power.single_phase_power,
        {"voltage": 230.0, "current": 16.0, "power_factor": 0.9},
        fractions=("power_factor",),
    ),
    Formula(
        power.three_phase_power,
        {"line_voltage": 400.0, "current": 16.0, "power_factor": 0.9},
        fractions=("power_factor",),
    ),
    Formula(
        power.single_phase_current,
        {"power": 3680.0, "voltage": 230.0, "power_factor": 0.9},
        above_zero=("voltage", "power_factor"),
        fractions=("power_factor",),
    ),
    Formula(
        power.three_phase_current,
        {"power": 11000.0, "line_voltage": 400.0, "power_factor": 0.9},
        above_zero=("line_voltage", "power_factor"),
        fractions=("power_factor",),
    ),
    Formula(power.line_to_phase, {"line_voltage": 400.0}),
    Formula(power.phase_to_line, {"phase_voltage": 230.0}),
    Formula(
        power.reactive_power, {"apparent_power": 2300.0, "power_factor": 0.8}, fractions=("power_factor",)
    ),
    Formula(
        distorted.true_power_factor,
        {"displacement_factor": 0.9, "distortion": 0.3},
        fractions=("displacement_factor",),
    ),
    Formula(pilot.current_from_duty, {"duty_percent": 50.0}, too_much={"duty_percent": 100.1}),
    Formula(pilot.duty_from_current, {"current": 16.0}, too_much={"current": 80.1}),
    Formula(pilot.cable_rating, {"resistance": 220.0}),
    Formula(
        charger.battery_power,
        {"ac_power": 11000.0, "efficiency": 0.9},
        above_zero=("efficiency",),
        fractions=("efficiency",),
    ),
    Formula(
        charger.grid_power,
        {"battery_power": 9900.0, "efficiency": 0.9},
        above_zero=("efficiency",),
        fractions=("efficiency",),
    ),
    Formula(
        battery.charge_time,
        {"energy_kwh": 40.0, "power_kw": 11.0, "efficiency": 0.9},
        above_zero=("power_kw", "efficiency"),
        fractions=("efficiency",),
    ),
]
each_formula = pytest.mark.parametrize("formula", FORMULAS, ids=lambda formula: formula.name)
each_argument = pytest.mark.parametrize(
    ("formula", "argument"),
    [
        pytest.param(formula, name, id=f"{formula.name}-{name}")
        for formula in FORMULAS
        for name in formula.valid
    ],
)

NO_NUMBERS = {
    "NaN": float("nan"),
    "infinity": float("inf"),
    "minus infinity": float("-inf"),
    "True": True,
    "numpy False": np.False_,
    "True in a list": [1.0, True],
    "True in a nested list": [[0.5], [True]],
    "array of bool": np.array([True, False]),
    "bool in an object array": np.array([True, 0.5], dtype=object),
    "NaN in an array": np.array([0.5, np.nan]),
    "NaN as the last of several": [[0.5, 0.5], [0.5, float("nan")]],
    "text": "0.5",
    "text in a list": ["0.5", "1"],
    "text beside a number": [0.5, "1"],
    "bytes": b"0.5",
    "None": None,
    "None in a list": [0.5, None],
    "complex": 0.5 + 0j,
    "complex in an array": np.array([0.5, 0.5j]),
    "empty list": [],
    "empty array": np.zeros((2, 0)),
    "rows of unequal length": [[0.5, 0.5], [0.5]],
    "integer beyond any float": 10**400,
    "integer beyond any float in a list": [0.5, 10**400],
    "number beyond any quantity": 1e200,
    "dictionary": {"value": 0.5},
    "set": {0.5},
    "object": object(),
    "date": np.datetime64("2025-01-01"),
    "largest long double": np.finfo(np.longdouble).max,
    "masked value": np.ma.array([0.5, 0.5], mask=[False, True]),
}


@each_argument
@pytest.mark.parametrize("bad", NO_NUMBERS.values(), ids=NO_NUMBERS)
def test_what_is_no_number_is_refused_by_name(formula: Formula, argument: str, bad: object) -> None:
    with pytest.raises(ValueError, match=rf"^{argument}(\[[\d, ]+\])?: .+ was given; allowed is .+\. Check "):
        formula.call(**formula.valid | {argument: bad})


@each_argument
def test_value_outside_the_range_is_refused_by_name_and_value(formula: Formula, argument: str) -> None:
    outside = []
    if argument not in formula.signed:
        outside.append(-0.5)
    if argument in formula.above_zero:
        outside.append(0.0)
    if argument in formula.fractions:
        outside += [1.0000001, 92.0]
    if argument in formula.too_much:
        outside.append(formula.too_much[argument])
    for bad in outside:
        with pytest.raises(ValueError, match=rf"^{argument}: {bad:.12g}.* was given; allowed is "):
            formula.call(**formula.valid | {argument: bad})
        good = formula.valid[argument]
        with pytest.raises(ValueError, match=rf"^{argument}\[1\]: {bad:.12g}.* was given; allowed is "):
            formula.call(**formula.valid | {argument: [good, bad, good]})


@pytest.mark.parametrize(
    ("formula", "argument"),
    [(formula, name) for formula in FORMULAS for name in formula.fractions],
    ids=lambda part: getattr(part, "name", part),
)
def test_percentage_is_told_to_be_a_fraction(formula: Formula, argument: str) -> None:
    with pytest.raises(ValueError, match=r"it is a fraction: 0\.92, not 92\."):
        formula.call(**formula.valid | {argument: 92})
    with pytest.raises(ValueError, match=r"it is a fraction: 0\.85, not 85\."):
        formula.call(**formula.valid | {argument: 85})


@each_formula
def test_shapes_that_do_not_broadcast_are_refused_by_name(formula: Formula) -> None:
    if len(formula.valid) == 1:
        return
    first, second = list(formula.valid)[:2]
    arrays = {first: np.full(3, formula.valid[first]), second: np.full((2, 2), formula.valid[second])}
    with pytest.raises(ValueError, match=rf"{first} and {second}: shape .*\(3,\)"):
        formula.call(**formula.valid | arrays)


@each_formula
def test_scalar_gives_a_float_and_array_an_array_equal_to_the_loop(formula: Formula) -> None:
    single = formula.call(**formula.valid)
    assert type(single) is float
    factors = np.array([[1.0], [0.98], [0.96]])
    many = {name: value * factors for name, value in formula.valid.items()}
    if "fundamental" in many:
        many["fundamental"] = many["fundamental"][:, 0]
    result = formula.call(**many)
    assert isinstance(result, np.ndarray)
    assert result.dtype == np.float64
    loop = [
        formula.call(**{name: float(value * factor) for name, value in formula.valid.items()})
        for factor in factors[:, 0]
    ]
    assert result.ravel() == pytest.approx(loop, rel=1e-12)
    assert result.shape == ((3,) if formula.last_axis else (3, 1))


@each_formula
def test_arguments_broadcast_against_one_another(formula: Formula) -> None:
    if formula.last_axis or len(formula.valid) == 1:
        return
    first, *others = formula.valid
    rows = formula.valid[first] * np.array([[1.0], [0.9]])
    columns = {name: formula.valid[name] * np.array([1.0, 0.9, 0.8]) for name in others}
    result = formula.call(**{first: rows}, **columns)
    assert result.shape == (2, 3)
    for row in range(2):
        for column in range(3):
            one = {first: float(rows[row, 0])} | {name: float(columns[name][column]) for name in others}
            assert result[row, column] == pytest.approx(formula.call(**one), rel=1e-12)


@each_argument
def test_every_argument_counts(formula: Formula, argument: str) -> None:
    if formula.name in {"crest_factor", "form_factor"}:  # ratios of one and the same sample
        before, after = formula.call([3.0, 1.0]), formula.call([3.0, 2.0])
    elif formula.name == "cable_rating":
        before, after = formula.call(220.0), formula.call(680.0)
    else:
        before = formula.call(**formula.valid)
        after = formula.call(**formula.valid | {argument: 0.9 * formula.valid[argument]})
    assert before != pytest.approx(after, rel=1e-3)


@each_formula
def test_integers_and_their_arrays_count_as_numbers(formula: Formula) -> None:
    whole = {name: 1 if name in formula.fractions else int(value) for name, value in formula.valid.items()}
    as_float = formula.call(**{name: float(value) for name, value in whole.items()})
    assert formula.call(**whole) == as_float
    assert formula.call(**{name: np.int64(value) for name, value in whole.items()}) == as_float
    assert formula.call(**{name: np.float32(value) for name, value in whole.items()}) == as_float


@each_formula
def test_input_arrays_stay_as_they_were(formula: Formula) -> None:
    inputs = {name: np.full(3, value) for name, value in formula.valid.items()}
    if "fundamental" in inputs:
        inputs["fundamental"] = np.float64(10.0)
    copies = {name: value.copy() for name, value in inputs.items()}
    formula.call(**inputs)
    assert all(np.array_equal(inputs[name], copies[name]) for name in inputs)


@each_formula
def test_no_result_is_infinite_within_the_bounds(formula: Formula) -> None:
    if formula.too_much:
        return  # the range of the pilot law is narrow
    ends = [(1e-100, 1.0 if name in formula.fractions else 1e100) for name in formula.valid]
    for values in product(*ends):
        assert np.isfinite(formula.call(*values))
