"""How much of the power from the grid a charger passes on, told in three ways.

A fixed value, losses that grow with the power, or a measured table: all three answer the same
questions, so that one can stand for another. Powers are in watts, efficiencies are fractions.
``battery_power`` and ``grid_power`` of `acpower.charger` are the arithmetic of one working point;
the models here know how the efficiency changes with the power.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower import charger
from acpower._checks import (
    Numbers,
    answer,
    fraction,
    magnitude,
    positive,
    refusal,
    refuse_where,
    together,
)

__all__ = ["ChargerEfficiency", "ChargerLosses", "FixedEfficiency", "MeasuredEfficiency"]


@dataclass(frozen=True, eq=False)
class FixedEfficiency:
    """The same efficiency at every power.

    Parameters
    ----------
    efficiency : array_like
        Power from the charger over power from the grid, a fraction above 0, up to 1.

    Raises
    ------
    ValueError
        If the efficiency is not above 0 and up to 1.

    Notes
    -----
    Good enough near the rated power, where 0.90 to 0.95 is common practice, no source. At low power
    it flatters: a charger needs some power before the first watt reaches the battery.

    Examples
    --------
    >>> FixedEfficiency(0.9).grid_power(9_000)
    10000.0
    """

    efficiency: ArrayLike

    def __post_init__(self) -> None:
        """Check the value."""
        _keep(self, efficiency=fraction("efficiency", self.efficiency, above_zero=True))

    def battery_power(self, ac_power: ArrayLike) -> Numbers:
        """Return the DC power that leaves the charger.

        Parameters
        ----------
        ac_power : array_like
            Power from the grid [W], 0 or more.

        Returns
        -------
        float or ndarray
            DC power [W], broadcast shape of the power and the model.

        Raises
        ------
        ValueError
            If the power is negative, or the shapes do not broadcast.

        Examples
        --------
        >>> FixedEfficiency(0.9).battery_power(10_000)
        9000.0
        """
        return charger.battery_power(ac_power, self.efficiency)

    def grid_power(self, battery_power: ArrayLike) -> Numbers:
        """Return the power from the grid that a power behind the charger needs.

        Parameters
        ----------
        battery_power : array_like
            Power that leaves the charger [W], 0 or more.

        Returns
        -------
        float or ndarray
            Power from the grid [W], broadcast shape of the power and the model.

        Raises
        ------
        ValueError
            If the power is negative, or the shapes do not broadcast.

        Examples
        --------
        >>> FixedEfficiency(0.9).grid_power(9_000)
        10000.0
        """
        return charger.grid_power(battery_power, self.efficiency)

    def at(self, ac_power: ArrayLike) -> Numbers:
        """Return the efficiency at a power from the grid.

        Parameters
        ----------
        ac_power : array_like
            Power from the grid [W], above 0.

        Returns
        -------
        float or ndarray
            Power behind the charger over power from the grid, a fraction, broadcast shape of the power and the model.

        Raises
        ------
        ValueError
            If the power is not above 0, or the shapes do not broadcast.

        Examples
        --------
        >>> FixedEfficiency(0.9).at([1_000, 10_000])
        array([0.9, 0.9])
        """
        watts, share = positive("ac_power", ac_power, "W"), np.asarray(self.efficiency)
        together(ac_power=watts, efficiency=share)
        return answer(np.broadcast_arrays(watts, share)[1])


@dataclass(frozen=True, eq=False)
class ChargerLosses:
    """Losses with a fixed part, a part that grows with the power and a part with its square.

    Parameters
    ----------
    rated_power : array_like
        Power from the grid at full load [W], above 0.
    fixed : array_like
        Loss that is there as soon as the charger runs [W], 0 or more.
    linear, quadratic : array_like, optional
        What full load adds in proportion to the power and to its square [W], 0 or more each.

    Raises
    ------
    ValueError
        If a value lies outside its range, or the losses at full load would grow faster than the
        power, so that more from the grid would give less to the battery.

    Notes
    -----
    Loss = fixed + linear * p + quadratic * p^2 with p = power from the grid / rated power: the form
    that a public charging simulation uses for its chargers. The fixed part makes slow charging
    wasteful, the square full load; in between lies `best_power`. Below the power that the losses
    take for themselves nothing reaches the battery.

    Examples
    --------
    An invented charger:

    >>> charger = ChargerLosses(11_000, fixed=80, linear=250, quadratic=400)
    >>> [round(100 * charger.at(watts), 1) for watts in (1_380, 3_680, 11_040)]
    [91.5, 94.3, 93.4]
    """

    rated_power: ArrayLike
    fixed: ArrayLike
    linear: ArrayLike = 0.0
    quadratic: ArrayLike = 0.0

    def __post_init__(self) -> None:
        """Check the values and that they fit together."""
        rated = positive("rated_power", self.rated_power, "W")
        parts = {name: magnitude(name, getattr(self, name), "W") for name in ("fixed", "linear", "quadratic")}
        together(rated_power=rated, **parts)
        _keep(self, rated_power=rated, **parts)
        steepness = np.asarray((parts["linear"] + 2.0 * parts["quadratic"]) / rated)
        refuse_where(
            steepness >= 1.0,
            "(linear + 2 * quadratic) / rated_power",
            steepness,
            "",
            allowed="below 1",
            check="the losses: near full load more power from the grid would give less to the battery",
        )

    def battery_power(self, ac_power: ArrayLike) -> Numbers:
        """Return the DC power that leaves the charger.

        Parameters
        ----------
        ac_power : array_like
            Power from the grid [W], 0 or more.

        Returns
        -------
        float or ndarray
            DC power [W], broadcast shape of the power and the model.

        Raises
        ------
        ValueError
            If the power is negative, or so high that more of it would give less to the battery.

        Examples
        --------
        >>> ChargerLosses(10_000, fixed=100, linear=200, quadratic=300).battery_power(5_000)
        4725.0
        """
        watts = self._below_the_turn(self._fitting("ac_power", ac_power))
        share = watts / self._rated
        loss = self.fixed + share * (self.linear + share * np.asarray(self.quadratic))
        return answer(np.maximum(watts - loss, 0.0))

    def grid_power(self, battery_power: ArrayLike) -> Numbers:
        """Return the power from the grid that a power behind the charger needs.

        Parameters
        ----------
        battery_power : array_like
            Power that leaves the charger [W], 0 or more.

        Returns
        -------
        float or ndarray
            Power from the grid [W], broadcast shape of the power and the model.

        Raises
        ------
        ValueError
            If the power is negative, or more than the charger can give.

        Examples
        --------
        >>> ChargerLosses(10_000, fixed=100, linear=200, quadratic=300).grid_power(4_725)
        5000.0
        """
        needed = self._fitting("battery_power", battery_power) + np.asarray(self.fixed)
        slope = 1.0 - np.asarray(self.linear) / self._rated
        bend = np.asarray(self.quadratic) / self._rated**2
        room = np.asarray(slope**2 - 4.0 * bend * needed)
        refuse_where(
            room < 0.0,
            "battery_power",
            np.broadcast_to(battery_power, room.shape),
            "W",
            allowed="what the charger can give before its losses grow faster than its power",
            check="the power against the rated power of the charger",
        )
        # This form of the root also holds without a quadratic part.
        return answer(2.0 * needed / (slope + np.sqrt(room)))

    def at(self, ac_power: ArrayLike) -> Numbers:
        """Return the efficiency at a power from the grid.

        Parameters
        ----------
        ac_power : array_like
            Power from the grid [W], above 0.

        Returns
        -------
        float or ndarray
            Power behind the charger over power from the grid, a fraction, broadcast shape of the power and the model.

        Raises
        ------
        ValueError
            If the power is not above 0, or too high as for `battery_power`.

        Examples
        --------
        >>> ChargerLosses(10_000, fixed=100, linear=200, quadratic=300).at(5_000)
        0.945
        """
        return answer(self.battery_power(ac_power) / positive("ac_power", ac_power, "W"))

    def best_power(self) -> Numbers:
        """Return the power from the grid at which the efficiency is highest.

        There the fixed and the quadratic loss are equal.

        Returns
        -------
        float or ndarray
            Power from the grid [W], shape of the losses.

        Raises
        ------
        ValueError
            If there is no quadratic loss: the efficiency then rises without end.

        Examples
        --------
        >>> round(ChargerLosses(11_000, 80, 250, 400).best_power())
        4919
        """
        quadratic = np.asarray(self.quadratic)
        refuse_where(
            quadratic == 0.0,
            "quadratic",
            quadratic,
            "W",
            allowed="above 0 W",
            check="the losses: without a quadratic part more power is always more efficient",
        )
        return answer(self._rated * np.sqrt(np.asarray(self.fixed) / quadratic))

    @property
    def _rated(self) -> NDArray[np.float64]:
        return np.asarray(self.rated_power)

    def _fitting(self, quantity: str, value: ArrayLike) -> NDArray[np.float64]:
        """Return powers whose shape goes with that of the losses."""
        watts = magnitude(quantity, value, "W")
        names = ("rated_power", "fixed", "linear", "quadratic")
        together(**{quantity: watts}, **{name: np.asarray(getattr(self, name)) for name in names})
        return watts

    def _below_the_turn(self, watts: NDArray[np.float64]) -> NDArray[np.float64]:
        """Refuse powers beyond which more from the grid would give less to the battery."""
        with np.errstate(divide="ignore"):
            turn = (self._rated - np.asarray(self.linear)) / (2.0 * np.asarray(self.quadratic)) * self._rated
        beyond = watts > turn
        allowed = f"up to {np.min(np.asarray(turn)):.0f} W"
        check = "the power against the rated power of the charger"
        refuse_where(
            beyond, "ac_power", np.broadcast_to(watts, beyond.shape), "W", allowed=allowed, check=check
        )
        return watts


@dataclass(frozen=True, eq=False)
class MeasuredEfficiency:
    """A table of measured points, power from the grid against efficiency.

    Parameters
    ----------
    ac_power : array_like
        Powers from the grid [W], shape (n,), above 0 and rising.
    efficiency : array_like
        Efficiency measured at each, a fraction above 0, up to 1, shape (n,).

    Raises
    ------
    ValueError
        If the rows do not have one shape, the powers do not rise, or more power from the grid would
        give no more to the battery.

    Notes
    -----
    Between two points the power behind the charger is taken as a straight line, so that both ways
    of reading agree. Below the first point the loss in watts stays as it is there; above the last
    point nothing was measured, and nothing is answered.

    Examples
    --------
    Invented points:

    >>> charger = MeasuredEfficiency([1_400, 3_700, 11_000], [0.80, 0.90, 0.92])
    >>> round(charger.battery_power(3_700), 6), round(charger.grid_power(3_330), 6)
    (3330.0, 3700.0)
    """

    ac_power: ArrayLike
    efficiency: ArrayLike

    def __post_init__(self) -> None:
        """Check the points and add the one at which nothing reaches the battery."""
        watts = np.atleast_1d(positive("ac_power", self.ac_power, "W"))
        shares = np.atleast_1d(fraction("efficiency", self.efficiency, above_zero=True))
        if watts.ndim > 1 or watts.shape != shares.shape:
            given = f"shape {watts.shape} of the power with {shares.shape} of the efficiency"
            raise refusal("measured points", given, "two rows of one length", "that no value is missing")
        passed = watts * shares
        for quantity, row in (("ac_power", watts), ("ac_power * efficiency", passed)):
            falls = np.append(False, np.diff(row) <= 0.0)
            allowed = "above the point before it"
            refuse_where(falls, quantity, row, "W", allowed=allowed, check="the order of the points")
        _keep(self, ac_power=watts, efficiency=shares)
        first_loss = watts[0] - passed[0]
        object.__setattr__(self, "_grid", np.append(first_loss, watts))
        object.__setattr__(self, "_passed", np.append(0.0, passed))

    def battery_power(self, ac_power: ArrayLike) -> Numbers:
        """Return the DC power that leaves the charger.

        Parameters
        ----------
        ac_power : array_like
            Power from the grid [W], 0 or more.

        Returns
        -------
        float or ndarray
            DC power [W], shape of the power.

        Raises
        ------
        ValueError
            If the power is negative or beyond the last measured point.

        Examples
        --------
        >>> MeasuredEfficiency([1_000, 3_000], [0.8, 0.9]).battery_power(2_000)
        1750.0
        """
        return self._read("ac_power", ac_power, "_grid", "_passed")

    def grid_power(self, battery_power: ArrayLike) -> Numbers:
        """Return the power from the grid that a power behind the charger needs.

        Parameters
        ----------
        battery_power : array_like
            Power that leaves the charger [W], 0 or more.

        Returns
        -------
        float or ndarray
            Power from the grid [W], shape of the power.

        Raises
        ------
        ValueError
            If the power is negative or beyond the last measured point.

        Examples
        --------
        >>> MeasuredEfficiency([1_000, 3_000], [0.8, 0.9]).grid_power(1_750)
        2000.0
        """
        return self._read("battery_power", battery_power, "_passed", "_grid")

    def at(self, ac_power: ArrayLike) -> Numbers:
        """Return the efficiency at a power from the grid.

        Parameters
        ----------
        ac_power : array_like
            Power from the grid [W], above 0.

        Returns
        -------
        float or ndarray
            Power behind the charger over power from the grid, a fraction, shape of the power.

        Raises
        ------
        ValueError
            If the power is not above 0, or is beyond the last measured point.

        Examples
        --------
        >>> MeasuredEfficiency([1_000, 3_000], [0.8, 0.9]).at(2_000)
        0.875
        """
        return answer(self.battery_power(ac_power) / positive("ac_power", ac_power, "W"))

    def _read(self, quantity: str, value: ArrayLike, source: str, target: str) -> Numbers:
        watts = magnitude(quantity, value, "W")
        points = getattr(self, source)
        allowed = f"up to {points[-1]:.12g} W, the last measured point"
        check = "the power, or measure the charger further up"
        refuse_where(watts > points[-1], quantity, watts, "W", allowed=allowed, check=check)
        return answer(np.interp(watts, points, getattr(self, target)))


ChargerEfficiency = FixedEfficiency | ChargerLosses | MeasuredEfficiency


def _keep(model: Any, **checked: NDArray[np.float64]) -> None:
    """Store the checked values in a record that is frozen."""
    for name, value in checked.items():
        object.__setattr__(model, name, answer(value))
