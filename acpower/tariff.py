"""What energy costs when its price depends on the time of day.

Times are hours of the clock, prices are per kilowatt-hour in any one currency.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from acpower._checks import Numbers, answer, real, refusal, refuse_where, single

__all__ = ["Tariff"]


@dataclass(frozen=True, eq=False)
class Tariff:
    """Prices of energy that change at fixed hours of the day, the same every day.

    Parameters
    ----------
    from_h : array_like
        Hours of the clock at which a price begins [h], shape (n,), 0 or more, below 24, rising.
    price : array_like
        Price from each of these hours on [currency per kWh], shape (n,). Before the first hour of a
        day the last price still holds. A price may be negative.

    Raises
    ------
    ValueError
        If the hours lie outside the day or do not rise, or a price is missing.

    Notes
    -----
    Prices of energy only; standing charges and charges for peak power are not in it. Every day has
    24 hours: the two days on which the clock changes are left out.

    Examples
    --------
    An invented tariff, cheap from 22 to 6 o'clock:

    >>> tariff = Tariff(from_h=(6, 22), price=(0.40, 0.20))
    >>> tariff.price_at([5.9, 6, 23])
    array([0.2, 0.4, 0.2])
    """

    from_h: ArrayLike
    price: ArrayLike

    def __post_init__(self) -> None:
        """Check the hours and prices and keep them as rows."""
        hours = np.atleast_1d(real("from_h", self.from_h, "h"))
        prices = np.atleast_1d(real("price", self.price, "per kWh"))
        if hours.ndim > 1 or hours.shape != prices.shape:
            given = f"shape {hours.shape} of the hours with {prices.shape} of the prices"
            raise refusal("tariff", given, "two rows of one length", "that every hour has its price")
        outside = (hours < 0.0) | (hours >= 24.0)
        check = "the hours of the clock: midnight is 0, 6.5 is half past six"
        refuse_where(outside, "from_h", hours, "h", allowed="0 h or more, below 24 h", check=check)
        falls = np.append(False, np.diff(hours) <= 0.0)
        allowed = "later than the hour before it"
        refuse_where(falls, "from_h", hours, "h", allowed=allowed, check="the order of the hours")
        object.__setattr__(self, "from_h", hours)
        object.__setattr__(self, "price", prices)

    def price_at(self, clock_h: ArrayLike) -> Numbers:
        """Return the price at hours of the clock.

        Parameters
        ----------
        clock_h : array_like
            Hours of the clock [h]; 25 is one o'clock the next day.

        Returns
        -------
        float or ndarray
            Price [currency per kWh], shape of the hours.

        Raises
        ------
        ValueError
            If an hour is not a finite real number.

        Examples
        --------
        >>> Tariff((6, 22), (0.40, 0.20)).price_at(25)
        0.2
        """
        hours = np.mod(real("clock_h", clock_h, "h"), 24.0)
        block = np.searchsorted(np.asarray(self.from_h), hours, side="right") - 1
        return answer(np.asarray(self.price)[block])  # -1 is the last price, from the evening before

    def blocks(self, begin_h: float, end_h: float) -> Iterator[tuple[float, float]]:
        """Give the blocks of one price between two hours of the clock.

        Parameters
        ----------
        begin_h, end_h : float
            First and last hour of the clock [h]; they may lie beyond 24.

        Returns
        -------
        iterator of (float, float)
            End [h] and price [currency per kWh] of each block, one after the other.

        Raises
        ------
        ValueError
            If an hour is not one finite real number, or the last lies before the first.

        Examples
        --------
        >>> list(Tariff((6, 22), (0.40, 0.20)).blocks(20, 25))
        [(22.0, 0.4), (25.0, 0.2)]
        """
        begin, end = (
            single(name, real(name, hour, "h")) for name, hour in (("begin_h", begin_h), ("end_h", end_h))
        )
        if end < begin:
            raise refusal("end_h", f"{end:.12g} h", f"{begin:.12g} h or later", "the order of the hours")
        return self._blocks(begin, end)

    def _blocks(self, begin: float, end: float) -> Iterator[tuple[float, float]]:
        hours = np.asarray(self.from_h)
        first_day, last_day = (int(np.floor(hour / 24.0)) for hour in (begin, end))
        changes = (24.0 * day + hour for day in range(first_day, last_day + 1) for hour in hours)
        for change in changes:
            if begin < change < end:
                yield float(change), float(self.price_at(begin))
                begin = change
        yield end, float(self.price_at(begin))
