"""How a front end is stepped until it repeats itself, and the mains period that comes out.

A model hands in a function that steps half a period; what is common to all models stands here.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from acpower._checks import Numbers, answer, refuse_where
from acpower.harmonics import harmonics
from acpower.rms import rms, total_harmonic_distortion

Array = NDArray[np.float64]
State = tuple[Array, ...]

STEPS = 500
"""Steps in half a mains period; the tests hold the error of every derived value below 0.5 %."""

_MOST_HALF_PERIODS = 200
_SETTLED = 1e-6  # of the largest sample


@dataclass(frozen=True, eq=False)
class FrontEndPeriod:
    """One settled mains period at the front end of a charger.

    The mains voltage is that of a stiff source, ahead of every impedance, and a pure sine. Derived
    values come from the samples; each is a float for a single working point, otherwise an array of
    shape (...).

    Attributes
    ----------
    time_s : ndarray
        Times of the samples [s], evenly spaced from 0; the period ends one step after the last.
    mains_voltage : ndarray
        Source voltage [V], from a rising zero crossing on, shape (..., n).
    mains_current : ndarray
        Current from the source [A], positive while it flows out of it, shape (..., n).
    dc_link_voltage : ndarray
        Voltage of the smoothing capacitor [V], shape (..., n).
    """

    time_s: Array
    mains_voltage: Array
    mains_current: Array
    dc_link_voltage: Array

    @property
    def rms_current(self) -> Numbers:
        """Effective value of the mains current [A]."""
        return rms(self.mains_current)

    @property
    def active_power(self) -> Numbers:
        """Mean of voltage times current [W]."""
        return answer(np.mean(self.mains_voltage * self.mains_current, axis=-1))

    @property
    def power_factor(self) -> Numbers:
        """True power factor, a fraction: active power over effective voltage times effective current."""
        return answer(self.active_power / (rms(self.mains_voltage) * self.rms_current))

    @property
    def displacement_factor(self) -> Numbers:
        """Cosine of the angle of the fundamental current, a fraction.

        In a clean voltage the fundamental alone carries power.
        """
        return answer(self.active_power / (rms(self.mains_voltage) * self.harmonic_currents[..., 0]))

    @property
    def distortion(self) -> Numbers:
        """Total harmonic distortion of the current up to the 40th harmonic, a fraction of its fundamental."""
        currents = self.harmonic_currents
        return total_harmonic_distortion(currents[..., 0], currents[..., 1:])

    @property
    def harmonic_currents(self) -> Array:
        """Effective values of the 1st to 40th harmonic of the current [A], shape (..., 40)."""
        return harmonics(self.mains_current, highest=40)

    @property
    def ripple(self) -> Numbers:
        """Highest less lowest DC-link voltage [V]: the ripple from peak to peak."""
        return answer(np.ptp(self.dc_link_voltage, axis=-1))


def half_sine() -> Array:
    """Return the positive half of a sine with peak 1, one sample at the start of each step."""
    return np.asarray(np.sin(np.pi * np.arange(STEPS) / STEPS))


def settle(
    half_period: Callable[[State], tuple[Array, Array, State]], state: State, load: tuple[str, Array, str]
) -> tuple[Array, Array]:
    """Step half periods until no sample differs from the half period before, or refuse the load.

    ``half_period`` takes the state of the circuit and returns currents and DC-link voltages, samples
    on the first axis, and the state at its end, turned round for the next half. ``load`` has name,
    values and unit of what to blame where a case does not settle.
    """
    currents_before = links_before = np.asarray(np.nan)
    with np.errstate(all="ignore"):  # what runs away or falls to nought is refused below
        for _ in range(_MOST_HALF_PERIODS):
            currents, links, state = half_period(state)
            bad = np.asarray(~(links > 0.0).all(axis=0))
            if bad.any():
                break
            bad = np.asarray(~(_repeats(currents, currents_before) & _repeats(links, links_before)))
            if not bad.any():
                break
            currents_before, links_before = currents, links
    name, values, unit = load
    allowed = "a load under which each half period becomes like the one before"
    check = "the load, the capacitor and the mains impedance: the capacitor empties, or the circuit swings"
    refuse_where(bad, name, np.broadcast_to(values, bad.shape), unit, allowed=allowed, check=check)
    return currents, links


def _repeats(samples: Array, before: Array) -> NDArray[np.bool_]:
    return np.asarray(np.abs(samples - before).max(axis=0) < _SETTLED * np.abs(samples).max(axis=0))


def whole_period(hertz: Array, peak: Array, currents: Array, links: Array) -> FrontEndPeriod:
    """Join a half period and its mirror image, samples on the last axis."""
    turn = np.arange(2 * STEPS) / (2 * STEPS)
    voltage = np.multiply.outer(peak, np.sin(2.0 * np.pi * turn))
    current = np.moveaxis(np.concatenate([currents, -currents]), 0, -1)
    return FrontEndPeriod(
        time_s=turn / hertz[..., np.newaxis],
        mains_voltage=np.broadcast_to(voltage, current.shape).copy(),
        mains_current=current,
        dc_link_voltage=np.moveaxis(np.concatenate([links, links]), 0, -1),
    )
