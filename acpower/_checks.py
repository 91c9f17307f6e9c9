"""Refuse bad input with a sentence that teaches, and give results their form.

Every refusal is a ``ValueError`` that names the quantity, the value given, what is allowed and
what to check. It reads well on a worksheet, where nobody should have to understand a traceback.
"""

import reprlib
from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Numbers = float | NDArray[np.float64]

# No electrical quantity lies beyond these. Within them no formula of this package overflows or
# divides by zero, so that no result is ever infinite or NaN.
LARGEST = 1e100
SMALLEST = 1e-100

# What floating-point arithmetic adds is no reason for a bigger breaker, or to lose an ampere: 1.25 times
# 32 A stays 40 A, and a spare current of 31.999999999 A is 32 A.
DUST = 1e-9

_NO_NUMBER = {
    "b": "that no True or False stands where a number belongs",
    "U": "that the number stands without quotation marks",
    "S": "that the number stands without quotation marks",
    "c": "that a magnitude is meant: abs() of a phasor is its RMS value",
    "O": "that it is a number, or rows of numbers that are equally long",
}


def refusal(quantity: str, given: str, allowed: str, check: str) -> ValueError:
    """Return the error that every check of this package raises."""
    return ValueError(f"{quantity}: {given} was given; allowed is {allowed}. Check {check}.")


def refuse_where(
    bad: NDArray[np.bool_], quantity: str, array: NDArray[Any], unit: str, *, allowed: str, check: str
) -> None:
    """Refuse an array that is bad anywhere, naming the first bad value and its place."""
    if bad.any():
        index = tuple(int(i) for i in np.argwhere(bad)[0])
        place = f"{quantity}{list(index)}" if index else quantity
        raise refusal(place, f"{array[index]:.12g} {unit}".rstrip(), allowed, check)


def real(
    quantity: str,
    value: ArrayLike,
    unit: str = "",
    *,
    low: float = -LARGEST,
    high: float = LARGEST,
    allowed: str = "any real number",
    check: str = "the unit and the power of ten",
) -> NDArray[np.float64]:
    """Return the value as an array of real numbers from low to high."""
    if _is_plain_number(value, low, high):
        return np.array(value, dtype=np.float64)
    array = _finite(quantity, value, "iuf", allowed)
    beyond = np.abs(array) > LARGEST
    size, power_of_ten = _join("up to 1e100", unit), "the unit and the power of ten"
    refuse_where(beyond, quantity, array, unit, allowed=size, check=power_of_ten)
    refuse_where((array < low) | (array > high), quantity, array, unit, allowed=allowed, check=check)
    return array


def magnitude(
    quantity: str,
    value: ArrayLike,
    unit: str = "",
    *,
    check: str = "the sign and the unit: a magnitude has no sign",
) -> NDArray[np.float64]:
    """Return the value as an array of numbers that are not negative."""
    return real(quantity, value, unit, low=0.0, allowed=_join("0", unit, "or more"), check=check)


def positive(quantity: str, value: ArrayLike, unit: str = "") -> NDArray[np.float64]:
    """Return the value as an array of numbers above zero."""
    check = "the value and the unit: the formula divides by it"
    return real(quantity, value, unit, low=SMALLEST, allowed=_join("above 0", unit), check=check)


def fraction(quantity: str, value: ArrayLike, *, above_zero: bool = False) -> NDArray[np.float64]:
    """Return the value as an array of fractions up to 1."""
    low, allowed = (SMALLEST, "above 0, up to 1") if above_zero else (0.0, "0 to 1")
    if _is_plain_number(value, low, 1.0):
        return np.array(value, dtype=np.float64)
    array = _finite(quantity, value, "iuf", allowed)
    outside = (array < low) | (array > 1.0)
    # A percentage is the usual mistake: repeat the very number where it can be one.
    percent = next((given for given in array[outside][:1] if 10.0 <= given <= 100.0), 92.0)
    check = f"that it is a fraction: {percent / 100.0:.12g}, not {percent:.12g}"
    refuse_where(outside, quantity, array, "", allowed=allowed, check=check)
    return array


def signed_samples(quantity: str, value: ArrayLike) -> NDArray[np.float64]:
    """Return samples with an axis of their own at the end; a scalar counts as one sample."""
    return np.atleast_1d(real(quantity, value))


def three_phasors(quantity: str, value: ArrayLike, unit: str) -> NDArray[np.complex128]:
    """Return complex numbers, one for each of three phases on the last axis."""
    allowed = f"three complex numbers in {unit} on the last axis"
    array = _finite(quantity, value, "iufc", allowed)
    if array.shape[-1:] != (3,):
        raise refusal(quantity, f"shape {array.shape}", allowed, "that there is one phasor for each phase")
    outside = np.maximum(np.abs(array.real), np.abs(array.imag)) > LARGEST
    refuse_where(outside, quantity, array, unit, allowed=allowed, check="the unit and the power of ten")
    return array


def phasors(quantity: str, value: ArrayLike, unit: str) -> NDArray[np.complex128]:
    """Return complex numbers of any shape; a real number is a phasor at 0 degrees."""
    allowed = f"complex numbers in {unit}"
    array = _finite(quantity, value, "iufc", allowed)
    outside = np.maximum(np.abs(array.real), np.abs(array.imag)) > LARGEST
    refuse_where(outside, quantity, array, unit, allowed=allowed, check="the unit and the power of ten")
    return array


def impedances(quantity: str, value: ArrayLike) -> NDArray[np.complex128]:
    """Return complex impedances, of which none has a negative resistance."""
    array = phasors(quantity, value, "ohm")
    allowed = "a resistance of 0 ohm or more, with or without a reactance"
    check = "the sign: only the reactance may be negative"
    refuse_where(array.real < 0.0, quantity, array, "ohm", allowed=allowed, check=check)
    return array


def single(quantity: str, checked: NDArray[np.float64]) -> float:
    """Return a checked value as one Python float, where an array makes no sense."""
    if checked.ndim:
        raise refusal(quantity, f"shape {checked.shape}", "one number", "that no list or array stands there")
    return float(checked)


def choice(quantity: str, value: object, words: Iterable[str]) -> str:
    """Return the value if it is one of the words."""
    known = tuple(words)
    if not isinstance(value, str) or value not in known:
        raise refusal(quantity, shorten(value), "one of " + ", ".join(map(repr, known)), "the spelling")
    return value


def whole(quantity: str, value: object) -> int:
    """Return the value if it counts something: a whole number of 1 or more."""
    if isinstance(value, bool | np.bool_) or not isinstance(value, int | np.integer) or value < 1:
        raise refusal(quantity, shorten(value), "a whole number of 1 or more", "that it counts whole things")
    return int(value)


def together(**quantities: NDArray[Any]) -> None:
    """Refuse arrays whose shapes do not broadcast."""
    shapes = [array.shape for array in quantities.values() if array.ndim]
    if len(shapes) < 2:
        return
    try:
        np.broadcast_shapes(*shapes)
    except ValueError:
        raise refusal(
            " and ".join(name for name, array in quantities.items() if array.ndim),
            "shape " + " with ".join(map(str, shapes)),
            "scalars, or arrays of shapes that broadcast",
            "that there are as many values of the one as of the other",
        ) from None


def answer(result: Any) -> Numbers:
    """Return a result without axes as a Python float, any other as the array that it is."""
    return float(result) if np.ndim(result) == 0 else np.asarray(result, dtype=np.float64)


def shorten(value: object) -> str:
    """Return a description of any object that fits into one line."""
    return " ".join(reprlib.repr(value).split())


def _is_plain_number(value: object, low: float, high: float) -> bool:
    """Tell whether a value can be taken as it is: marking works with hundreds of thousands of such numbers."""
    low, high = float(max(low, -LARGEST)), float(min(high, LARGEST))
    return type(value) in (int, float) and low <= value <= high  # type: ignore[operator]


def _finite(quantity: str, value: ArrayLike, kinds: str, allowed: str) -> NDArray[Any]:
    try:
        array = np.asarray(value)
        kind = "b" if _holds_bool(value) else array.dtype.kind
    except (TypeError, ValueError, OverflowError):  # rows of unequal length, integers beyond any float
        kind = "O"
    if kind not in kinds or np.ma.is_masked(value):
        raise refusal(quantity, shorten(value), allowed, _NO_NUMBER.get(kind, _NO_NUMBER["O"]))
    if array.size == 0:
        raise refusal(quantity, "an empty array", allowed, "that there is at least one value")
    with np.errstate(over="ignore"):  # a wider type may hold more than a float: that becomes infinity
        array = array.astype(np.complex128 if "c" in kinds else np.float64)
    check = "the reading or the step before: this is not a finite number"
    refuse_where(~np.isfinite(array), quantity, array, "", allowed=allowed, check=check)
    return array


def _holds_bool(value: object) -> bool:
    """Tell whether a bool hides in nested lists, where numpy would turn it into 0 or 1."""
    if isinstance(value, list | tuple):
        return any(map(_holds_bool, value))
    if isinstance(value, np.ndarray):
        return bool(value.dtype.kind == "b")
    return isinstance(value, bool | np.bool_)


def _join(*words: str) -> str:
    return " ".join(filter(None, words))
