"""The course of charging sessions in time: what `acpower.battery.session` is built on.

A course has a part of constant power and, after it, a taper in which the power decays exponentially.
All values are arrays of the common shape of the sessions; times may carry more axes in front.
"""

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from acpower._checks import refusal, refuse_where
from acpower.efficiency import ChargerEfficiency, FixedEfficiency, MeasuredEfficiency
from acpower.tariff import Tariff

Array = NDArray[np.float64]

LONGEST_PRICED_H = 31 * 24.0
"""Longest session that is priced [h]; a longer one is a slip in a unit."""

# The power falls smoothly in the taper: twenty Gauss-Legendre points agree with a fine integration.
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(20)


@dataclass(frozen=True, eq=False)
class Course:
    """Sessions with everything worked out that does not depend on the time."""

    charger: ChargerEfficiency
    energy: Array  # usable, kWh
    auxiliary_kw: Array
    start_soc: Array
    end_soc: Array
    battery_kw: Array  # while it is constant
    grid_kw: Array  # while it is constant
    taper_soc: Array  # where the taper begins, 1 if it never does
    decay_h: Array  # time constant of the taper, 0 if there is none

    @cached_property
    def constant_h(self) -> Array:
        """Time at constant power."""
        rise = np.minimum(self.end_soc, self.taper_soc) - self.start_soc
        return np.asarray(self.energy * np.maximum(rise, 0.0) / self.battery_kw)

    @cached_property
    def end(self) -> Array:
        """Time of the whole session."""
        first, last = 1.0 - self._first_taper_soc, 1.0 - self.end_soc
        tapers = last < first
        ratio = np.divide(first, last, where=tapers, out=np.ones_like(first))
        return np.asarray(self.constant_h + self.decay_h * np.log(ratio))

    def soc(self, time: Array) -> Array:
        """State of charge at a time that lies within the session."""
        constant = np.minimum(time, self.constant_h)
        linear = self.start_soc + self.battery_kw * constant / self.energy
        falling = 1.0 - (1.0 - self._first_taper_soc) * self._decay(time - constant)
        return np.where(time > self.constant_h, falling, linear)

    def power(self, time: Array) -> Array:
        """Power into the battery at a time that lies within the session."""
        falling = self._first_taper_kw * self._decay(time - self.constant_h)
        return np.where(time > self.constant_h, falling, self.battery_kw)

    def grid_power(self, battery_kw: Array) -> Array:
        """Power from the grid for a power into the battery."""
        return np.asarray(self.charger.grid_power(1e3 * (battery_kw + self.auxiliary_kw))) / 1e3

    def grid_energy(self, time: Array) -> Array:
        """Energy from the grid up to a time that lies within the session."""
        constant = np.minimum(time, self.constant_h)
        return np.asarray(self.grid_kw * constant + self._taper_energy(time - constant))

    def cost(self, tariff: Tariff, start_h: Array) -> Array:
        """Price of the energy of each session that starts at an hour of the clock."""
        longest = float(np.max(self.end))
        if longest > LONGEST_PRICED_H:
            allowed = f"up to {LONGEST_PRICED_H:.0f} h with a tariff"
            raise refusal("time of the session", f"{longest:.4g} h", allowed, "the units of energy and power")
        cost = spent = np.zeros_like(self.end + start_h)
        for end_of_block, price in tariff.blocks(float(np.min(start_h)), float(np.max(start_h + self.end))):
            by_then = self.grid_energy(np.clip(end_of_block - start_h, 0.0, self.end))
            cost, spent = cost + price * (by_then - spent), by_then
        return cost

    def total_energy(self, start_h: Array, clock_h: Array) -> Array:
        """Energy from the grid of all sessions together, up to each hour of the clock.

        Only the few sessions that are in their taper at an hour are looked at one by one; the others
        are summed over once, sorted by the hour at which a part of them begins or ends.
        """
        shape = np.broadcast_shapes(start_h.shape, self.energy.shape)
        numbers = np.broadcast_to(np.arange(self.energy.size).reshape(self.energy.shape), shape)
        every, start = self._rows(numbers.ravel()), np.broadcast_to(start_h, shape).ravel()
        taper_from, end = start + every.constant_h, start + every.end
        constant = _ramps(start, every.grid_kw, clock_h) - _ramps(taper_from, every.grid_kw, clock_h)
        finished = _steps(end, every._taper_energy(every.end - every.constant_h), clock_h)
        total = np.asarray(constant + finished)
        first, last = (np.searchsorted(clock_h, hours, "right") for hours in (taper_from, end))
        count = last - first
        if not count.any():
            return total
        tapering = np.repeat(np.arange(count.size), count)
        hour = np.arange(tapering.size) - np.repeat(np.cumsum(count) - count - first, count)
        so_far = every._rows(tapering)._taper_energy(clock_h[hour] - taper_from[tapering])
        return total + np.bincount(hour, so_far, clock_h.size)

    @cached_property
    def _first_taper_soc(self) -> Array:
        """State of charge at which a session enters the taper, which may be its start."""
        return np.maximum(self.start_soc, self.taper_soc)

    @cached_property
    def _first_taper_kw(self) -> Array:
        rest = self.energy * (1.0 - self._first_taper_soc)
        return np.divide(rest, self.decay_h, where=self.decay_h > 0.0, out=np.zeros_like(rest))

    def _rows(self, index: Any) -> "Course":
        """Return some of the sessions, each as often as the index names it."""
        charger = self.charger
        if not isinstance(charger, MeasuredEfficiency):  # the points of a table belong to one charger
            charger = type(charger)(
                *(self._row(getattr(charger, each.name), index) for each in fields(charger))
            )
        rows = {each.name: self._row(getattr(self, each.name), index) for each in fields(self)[1:]}
        return replace(self, charger=charger, **rows)

    def _row(self, value: Any, index: Any) -> Array:
        return np.asarray(np.broadcast_to(value, self.energy.shape).ravel()[index])

    def _taper_energy(self, tapering_h: Array) -> Array:
        """Energy from the grid up to a time since the taper began."""
        if isinstance(self.charger, FixedEfficiency):
            stored = self.energy * (1.0 - self._first_taper_soc) * (1.0 - self._decay(tapering_h))
            # A fixed efficiency divides an energy as it divides a power.
            return np.asarray(self.charger.grid_power(stored + self.auxiliary_kw * tapering_h))
        total = np.zeros_like(tapering_h)
        if tapering_h.any():
            for point, weight in zip(0.5 * (_POINTS + 1.0), 0.5 * _WEIGHTS, strict=True):
                power = self._first_taper_kw * self._decay(point * tapering_h)
                total += weight * tapering_h * self.grid_power(power)
        return total

    def _decay(self, tapering_h: Array) -> Array:
        endless = np.where(self.decay_h > 0.0, self.decay_h, np.inf)
        return np.asarray(np.exp(-np.maximum(tapering_h, 0.0) / endless))


def _ramps(begin: Array, slope: Array, at: Array) -> Array:
    """Return the sum of straight lines that leave zero at ``begin``, at each point."""
    return at * _steps(begin, slope, at) - _steps(begin, slope * begin, at)


def _steps(begin: Array, height: Array, at: Array) -> Array:
    """Return the sum of steps that rise at ``begin``, at each point."""
    order = np.argsort(begin)
    sums = np.append(0.0, np.cumsum(height[order]))
    return np.asarray(sums[np.searchsorted(begin[order], at, "right")])


def plan(
    charger: ChargerEfficiency,
    *,
    usable_kwh: Array,
    grid_kw: Array,
    start_soc: Array,
    end_soc: Array,
    auxiliary_kw: Array,
    acceptance_kw: Array | None,
    knee: Array,
) -> Course:
    """Return the course of sessions from checked inputs, all of one shape, or refuse what never ends."""
    refuse_where(
        end_soc < start_soc, "end_soc", end_soc, "",
        allowed="start_soc or more", check="which of the two is the start",
    )  # fmt: skip
    refuse_where(
        (end_soc == 1.0) & (knee < 1.0), "end_soc", end_soc, "",
        allowed="below 1 where the battery has a knee",
        check="what counts as full: in the taper the last percent never comes, 0.99 does",
    )  # fmt: skip
    offered = np.asarray(charger.battery_power(1e3 * grid_kw)) / 1e3 - auxiliary_kw
    refuse_where(
        offered <= 0.0, "grid_kw", grid_kw, "kW",
        allowed="more than losses and auxiliaries take", check="the power: nothing of it reaches the battery",
    )  # fmt: skip
    accepted = offered if acceptance_kw is None else acceptance_kw
    battery_kw = np.minimum(offered, accepted)
    needed = np.asarray(charger.grid_power(1e3 * (battery_kw + auxiliary_kw))) / 1e3
    return Course(
        charger=charger,
        energy=usable_kwh,
        auxiliary_kw=auxiliary_kw,
        start_soc=start_soc,
        end_soc=end_soc,
        battery_kw=battery_kw,
        grid_kw=np.where(accepted < offered, needed, grid_kw),
        taper_soc=np.asarray(1.0 - (1.0 - knee) * battery_kw / accepted),
        decay_h=np.asarray(usable_kwh * (1.0 - knee) / accepted),
    )
