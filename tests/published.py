"""How a published value is tested: as printed, within half of its last digit.

Used by ``test_published_*.py`` only. Every case names its source and place, and its id repeats
them, so that a failing line already says which document, table and row disagree.
"""

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

import pytest

from acpower import tables


def case(
    source: str,
    place: str,
    formula: Callable[..., Any],
    inputs: Mapping[str, Any],
    printed: str,
    *,
    input_digits: float = 0.0,
) -> Any:
    """Return one published value as a case for ``check``.

    ``input_digits`` widens the tolerance by what the last printed digits of the inputs are worth;
    it needs a reason beside the case.
    """
    return pytest.param(source, formula, inputs, printed, input_digits, id=f"{source}, {place}")


def check(
    source: str, formula: Callable[..., Any], inputs: Mapping[str, Any], printed: str, input_digits: float
) -> None:
    """Assert that the formula gives the printed figure, and that the source is known."""
    assert source in tables.sources()
    tolerance = half_of_last_digit(printed) + input_digits
    assert formula(**inputs) == pytest.approx(float(printed), rel=1e-12, abs=tolerance)


def half_of_last_digit(printed: str) -> float:
    """Return half of the place value of the last printed digit.

    >>> half_of_last_digit("2.83"), half_of_last_digit("156")
    (0.005, 0.5)
    """
    exponent = Decimal(printed).as_tuple().exponent
    assert isinstance(exponent, int)
    return 0.5 * 10.0**exponent
