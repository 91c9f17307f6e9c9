"""Means over sampled curves: what `acpower.rms`, `acpower.meters` and `acpower.recording` are built on.

A curve is a row of straight steps. Samples with time stamps are joined by straight lines; samples at
even steps stand for a level each, all equally long. Every mean is the exact integral of these steps
over their length. All functions work over the last axis.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import SMALLEST, real, refusal, refuse_where, signed_samples, together

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Curve:
    """The value at the start and at the end of each step, and how long the step is in any unit."""

    start: Array
    end: Array
    length: Array

    def mean(self) -> Array:
        """Return the mean."""
        return self._over_length((self.start + self.end) / 2.0)

    def mean_square(self) -> Array:
        """Return the mean of the squares."""
        return self._over_length((self.start**2 + self.start * self.end + self.end**2) / 3.0)

    def mean_product(self, other: "Curve") -> Array:
        """Return the mean of the product with another curve over the same steps."""
        straight = self.start * other.start + self.end * other.end
        crossed = self.start * other.end + self.end * other.start
        return self._over_length((2.0 * straight + crossed) / 6.0)

    def mean_magnitude(self) -> Array:
        """Return the mean of the magnitude; a step through zero counts as its two triangles."""
        twice = np.abs(self.start) + np.abs(self.end)
        through_zero = self.start * self.end < 0.0
        np.divide(self.start**2 + self.end**2, twice, out=twice, where=through_zero)
        return self._over_length(twice / 2.0)

    def normalised(self) -> tuple["Curve", Array]:
        """Return the curve divided by its peak, so that no square overflows or vanishes, and the peak."""
        peak = np.max(np.maximum(np.abs(self.start), np.abs(self.end)), axis=-1)
        divisor = np.where(peak > 0.0, peak, 1.0)[..., np.newaxis]
        return Curve(self.start / divisor, self.end / divisor, self.length), peak

    def without_mean(self) -> "Curve":
        """Return the curve as a coupling capacitor passes it on."""
        mean = self.mean()[..., np.newaxis]
        return Curve(self.start - mean, self.end - mean, self.length)

    def _over_length(self, of_each_step: Array) -> Array:
        whole = np.sum(self.length, axis=-1)
        return np.asarray(np.sum(of_each_step * self.length, axis=-1) / whole)


def curve(samples: ArrayLike, times: ArrayLike | None = None) -> Curve:
    """Return the curve of samples, which lie at even steps unless they have time stamps [s]."""
    values = signed_samples("samples", samples)
    if times is None:
        return Curve(values, values, np.ones(values.shape[-1]))
    stamps = rising_times("times", times)
    if stamps.shape[-1] != values.shape[-1]:
        raise refusal(
            "times",
            f"{stamps.shape[-1]} stamps for {values.shape[-1]} samples",
            "one stamp for each sample",
            "that both come from the same rows",
        )
    together(samples=values, times=stamps)
    return Curve(values[..., :-1], values[..., 1:], np.diff(stamps, axis=-1))


def rising_times(quantity: str, times: ArrayLike) -> Array:
    """Return time stamps [s], two or more on the last axis, each later than the one before."""
    stamps = np.atleast_1d(real(quantity, times, "s"))
    allowed = "two stamps or more, each later than the one before"
    if stamps.shape[-1] < 2:
        raise refusal(quantity, "one stamp", allowed, "that the whole recording is there")
    not_later = np.zeros(stamps.shape, dtype=np.bool_)
    not_later[..., 1:] = np.diff(stamps, axis=-1) < SMALLEST
    check = "the order of the rows, and that the stamps have enough digits to differ"
    refuse_where(not_later, quantity, stamps, "s", allowed=allowed, check=check)
    return stamps
