"""Energy and time of a charge, in the trade's kilowatts, kilowatt-hours and hours."""

from numpy.typing import ArrayLike

from acpower._checks import Numbers, answer, fraction, magnitude, positive, together

__all__ = ["charge_time"]


def charge_time(energy_kwh: ArrayLike, power_kw: ArrayLike, efficiency: ArrayLike = 1.0) -> Numbers:
    """Return the time that a charge at constant power takes.

    Parameters
    ----------
    energy_kwh : array_like
        Energy into the battery [kWh], 0 or more: usable capacity times the rise of the state of
        charge.
    power_kw : array_like
        Power from the grid [kW], above 0.
    efficiency : array_like, optional
        Energy into the battery over energy from the grid, a fraction above 0, up to 1.

    Returns
    -------
    float or ndarray
        Time in decimal hours [h], broadcast shape of the inputs. 0.4 h are 24 minutes.

    Raises
    ------
    ValueError
        If the energy is negative, power or efficiency is not above 0, or the efficiency looks
        like a percentage.

    Notes
    -----
    Holds while the power is constant, without the taper near full charge; a real charge to 100 %
    takes longer. Energy balance; no source is needed for it.

    Examples
    --------
    >>> charge_time(33, 11)
    3.0
    >>> charge_time(36, 10, efficiency=0.9)
    4.0
    """
    energy = magnitude("energy_kwh", energy_kwh, "kWh")
    power = positive("power_kw", power_kw, "kW")
    share = fraction("efficiency", efficiency, above_zero=True)
    together(energy_kwh=energy, power_kw=power, efficiency=share)
    return answer(energy / (power * share))
