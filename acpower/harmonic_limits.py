"""Limits of harmonic currents to IEC 61000-3-2, class A, up to 16 A per phase.

Arithmetic, not a conformity test: the standard also says how equipment is set up, loaded and measured,
and it was not opened; the figures come from documents that reproduce its table. Above 16 A, up to 75 A
per phase, IEC 61000-3-12 takes over; its figures are from memory, unconfirmed, and left out.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower import tables
from acpower._checks import Numbers, answer, magnitude, real, refusal, refuse_where

__all__ = ["ClassACheck", "check_class_a", "class_a_limit"]

_ORDERS = np.arange(2, 41)


def _limits() -> NDArray[np.float64]:
    """Return the limits of all orders [A]; a row of the table holds for every second order."""
    limits = np.full(_ORDERS[-1] + 1, np.nan)
    for row in tables.rows("harmonic_limits"):
        if row["equipment_class"] == "A":
            lowest = int(row["lowest_order"])
            orders = np.arange(lowest, int(row["highest_order"]) + 1, 2)
            limits[orders] = float(row["limit_a"]) * lowest / orders
    return limits


_LIMITS = _limits()


@dataclass(frozen=True, eq=False)
class ClassACheck:
    """Harmonic currents beside their limits, as returned by `check_class_a`.

    Attributes
    ----------
    order : ndarray
        Orders 2 to the highest given, shape (n,).
    current : ndarray
        Effective values of these harmonics [A], shape (..., n).
    limit : ndarray
        Limits of class A [A], shape (n,).
    share : ndarray
        Current over limit, a fraction, shape (..., n).
    within : ndarray of bool
        Whether the current does not exceed the limit, shape (..., n).
    """

    order: NDArray[np.int_]
    current: NDArray[np.float64]
    limit: NDArray[np.float64]
    share: NDArray[np.float64]
    within: NDArray[np.bool_]


def class_a_limit(order: ArrayLike) -> Numbers:
    """Return the largest harmonic current that class A of IEC 61000-3-2 allows.

    Parameters
    ----------
    order : array_like
        Order of the harmonic, a whole number from 2 to 40.

    Returns
    -------
    float or ndarray
        Limit of the effective value [A], shape of the input.

    Raises
    ------
    ValueError
        If an order is not a whole number from 2 to 40.

    Notes
    -----
    Table of limits of IEC 61000-3-2, as reproduced in a test report and a data-set card (table
    `harmonic_limits`). From the 15th on, odd orders fall as 0.15 A times 15 / n; from the 8th on, even
    orders as 0.23 A times 8 / n. For equipment up to 16 A per phase. The limits are amperes and not
    percentages, so a small current may be more distorted than a large one.

    Examples
    --------
    >>> class_a_limit(3)
    2.3
    >>> round(class_a_limit(25), 3)
    0.09
    """
    allowed = "a whole number from 2 to 40"
    check = "the order: the fundamental is 1 and has no limit"
    orders = real("order", order, low=2.0, high=40.0, allowed=allowed, check=check)
    refuse_where(orders != np.round(orders), "order", orders, "", allowed=allowed, check=check)
    return answer(_LIMITS[orders.astype(int)])


def check_class_a(harmonic_currents: ArrayLike) -> ClassACheck:
    """Compare harmonic currents with the limits of class A of IEC 61000-3-2.

    Parameters
    ----------
    harmonic_currents : array_like
        Effective values of the current per phase [A], each 0 or more, shape (..., n): the fundamental
        first, then the 2nd and so on up to the 40th or fewer, as `acpower.harmonics.harmonics` gives
        them.

    Returns
    -------
    ClassACheck
        For each order from 2 on: current, limit, share of the limit, and whether it is kept.

    Raises
    ------
    ValueError
        If a current is negative or not a finite real number, there are fewer than 2 or more than 40,
        or the fundamental no longer rounds to 16 A.

    Notes
    -----
    Arithmetic, not a conformity test. For equipment rated up to 16 A per phase. The rating is not known
    here, so a fundamental that rounds to more than 16 A is refused instead: IEC 61000-3-12 takes over
    there, whose limits are unconfirmed and left out. Source of the limits as for `class_a_limit`.

    Examples
    --------
    >>> result = check_class_a([15.7, 0.1, 2.4])
    >>> [(int(n), bool(within)) for n, within in zip(result.order, result.within)]
    [(2, True), (3, False)]
    """
    check = "the sign: effective values have none"
    values = np.atleast_1d(magnitude("harmonic_currents", harmonic_currents, "A", check=check))
    count = values.shape[-1]
    if not 2 <= count <= _ORDERS[-1]:
        allowed = "2 to 40 on the last axis: the fundamental, then the 2nd to 40th harmonic"
        given = f"{count} of them"
        raise refusal("harmonic_currents", given, allowed, "that the fundamental stands first")
    fundamental = values[..., 0]
    allowed = "a fundamental up to 16 A per phase"
    check = "the rating: above it IEC 61000-3-12 applies, not IEC 61000-3-2"
    refuse_where(fundamental > 16.5, "harmonic_currents", fundamental, "A", allowed=allowed, check=check)
    currents, limits = values[..., 1:], _LIMITS[2 : count + 1]
    return ClassACheck(
        order=_ORDERS[: count - 1].copy(),
        current=currents,
        limit=limits.copy(),
        share=currents / limits,
        within=currents <= limits,
    )
