"""Energy and time of a charge, in the trade's kilowatts, kilowatt-hours and hours.

`charge_time` is the arithmetic of constant power; `session` follows a whole charge, with the taper
near full charge, the losses of the charger and the price of the energy.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import (
    Numbers,
    answer,
    fraction,
    magnitude,
    positive,
    real,
    refusal,
    refuse_where,
    shorten,
    together,
    whole,
)
from acpower._course import Course, plan
from acpower.efficiency import ChargerEfficiency, ChargerLosses, FixedEfficiency, MeasuredEfficiency
from acpower.tariff import Tariff

__all__ = [
    "Session",
    "SessionSeries",
    "c_rate",
    "charge_time",
    "session",
    "temperature_limit",
    "usable_energy",
]

Array = NDArray[np.float64]


def charge_time(energy_kwh: ArrayLike, power_kw: ArrayLike, efficiency: ArrayLike = 1.0) -> Numbers:
    """Return the time that a charge at constant power takes.

    Parameters
    ----------
    energy_kwh : array_like
        Energy into the battery [kWh], 0 or more: usable energy times the rise of the state of
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
    takes longer, see `session`. Energy balance; no source is needed for it.

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


def usable_energy(gross_kwh: ArrayLike, usable_share: ArrayLike) -> Numbers:
    """Return the energy that a vehicle lets its driver use.

    Parameters
    ----------
    gross_kwh : array_like
        Energy that the cells can hold [kWh], above 0.
    usable_share : array_like
        Usable over gross energy, a fraction above 0, up to 1; 0.90 to 0.95 is typical of the
        published pairs, small batteries may hide more than 0.10.

    Returns
    -------
    float or ndarray
        Usable energy [kWh], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If the energy is not above 0, or the share is not above 0 and up to 1.

    Notes
    -----
    The state of charge that a driver reads runs from 0 to 100 % of the usable energy. Public articles
    on battery size, with two pairs of gross and usable energy.

    Examples
    --------
    >>> round(usable_energy(82, 0.939))
    77
    """
    gross = positive("gross_kwh", gross_kwh, "kWh")
    share = fraction("usable_share", usable_share, above_zero=True)
    together(gross_kwh=gross, usable_share=share)
    return answer(gross * share)


def c_rate(power_kw: ArrayLike, usable_kwh: ArrayLike) -> Numbers:
    """Return the power as a multiple of the energy of the battery.

    Parameters
    ----------
    power_kw : array_like
        Power into the battery [kW], 0 or more.
    usable_kwh : array_like
        Usable energy of the battery [kWh], above 0.

    Returns
    -------
    float or ndarray
        C-rate [1/h], broadcast shape of the inputs: at 1/h a battery is full after one hour.

    Raises
    ------
    ValueError
        If the power is negative or the energy is not above 0.

    Notes
    -----
    On AC it is 0.1 to 0.4 at most, which is why the taper begins far later than at a DC station. The
    trade gives the rate of current; at constant voltage that of power is the same.

    Examples
    --------
    >>> c_rate(11, 55)
    0.2
    """
    power = magnitude("power_kw", power_kw, "kW")
    energy = positive("usable_kwh", usable_kwh, "kWh")
    together(power_kw=power, usable_kwh=energy)
    return answer(power / energy)


def temperature_limit(temperature_c: ArrayLike, cold_c: ArrayLike = 0.0, warm_c: ArrayLike = 15.0) -> Numbers:
    """Return the share of its full power that a cold battery accepts.

    Parameters
    ----------
    temperature_c : array_like
        Temperature of the cells [degC], from -60 to 80.
    cold_c : array_like, optional
        Temperature at and below which the battery accepts nothing [degC].
    warm_c : array_like, optional
        Temperature from which it accepts everything [degC], above ``cold_c``.

    Returns
    -------
    float or ndarray
        Share of the accepted power, a fraction from 0 to 1, broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If a temperature lies outside its range, or ``warm_c`` is not above ``cold_c``.

    Notes
    -----
    A straight line between the two temperatures: a simple picture of what battery management does.
    That lithium-ion cells are not charged below freezing is common practice, no source; the default
    of 15 degC is invented. Heating the battery and the limit for hot cells are left out. Multiply
    ``acceptance_kw`` of `session` by the result.

    Examples
    --------
    >>> temperature_limit([-5, 3, 20])
    array([0. , 0.2, 1. ])
    """
    allowed, check = "-60 to 80 degC", "the unit: degrees Celsius"
    cells, cold, warm = (
        real(name, value, "degC", low=-60.0, high=80.0, allowed=allowed, check=check)
        for name, value in (("temperature_c", temperature_c), ("cold_c", cold_c), ("warm_c", warm_c))
    )
    together(temperature_c=cells, cold_c=cold, warm_c=warm)
    span = np.asarray(warm - cold)
    refuse_where(span <= 0.0, "warm_c - cold_c", span, "K", allowed="above 0 K", check="the order of the two")
    return answer(np.clip((cells - cold) / span, 0.0, 1.0))


@dataclass(frozen=True)
class SessionSeries:
    """The course of one or many sessions, each attribute of shape (..., n).

    Attributes
    ----------
    time_h : ndarray
        Time since the start [h].
    soc : ndarray
        State of charge, a fraction.
    battery_kw, grid_kw, loss_kw : ndarray
        Power into the battery, power from the grid and the difference of the two [kW].
    grid_energy_kwh : ndarray
        Energy taken from the grid so far [kWh].
    """

    time_h: Array
    soc: Array
    battery_kw: Array
    grid_kw: Array
    loss_kw: Array
    grid_energy_kwh: Array


@dataclass(frozen=True, eq=False)
class Session:
    """One charge or many, as returned by `session`; each attribute has their common shape (...).

    Attributes
    ----------
    time_h : float or ndarray
        Time of the whole charge [h].
    constant_h : float or ndarray
        Time at constant power [h]; the taper takes the rest.
    battery_kw, grid_kw : float or ndarray
        Power into the battery and from the grid while the power is constant [kW].
    taper_soc : float or ndarray
        State of charge at which the taper begins, a fraction; 1.0 if there is none.
    battery_energy_kwh, grid_energy_kwh, loss_kwh : float or ndarray
        Energy into the battery, energy from the grid and the difference of the two [kWh].
    cost : float, ndarray or None
        Price of the energy from the grid in the currency of the tariff; None without a tariff.
    """

    time_h: Numbers
    constant_h: Numbers
    battery_kw: Numbers
    grid_kw: Numbers
    taper_soc: Numbers
    battery_energy_kwh: Numbers
    grid_energy_kwh: Numbers
    loss_kwh: Numbers
    cost: Numbers | None
    _course: Course

    def at(self, time_h: ArrayLike) -> SessionSeries:
        """Return where the charge stands at given times since its start.

        Parameters
        ----------
        time_h : array_like
            Times since the start [h], shape (n,), or (..., n) with the shape of the sessions in
            front. Before the start and after the end no power flows.

        Returns
        -------
        SessionSeries
            Arrays of shape (..., n).

        Raises
        ------
        ValueError
            If a time is not a finite real number, or the shapes do not go together.

        Examples
        --------
        >>> session(40, 10, 0.1, 0.6).at([0, 1, 3]).soc
        array([0.1 , 0.35, 0.6 ])
        """
        times = np.atleast_1d(real("time_h", time_h, "h"))
        together(time_h=times, session=np.asarray(self.time_h)[..., np.newaxis])
        shape = np.broadcast_shapes(times.shape, (*np.shape(self.time_h), 1))
        time = np.moveaxis(np.broadcast_to(times, shape), -1, 0)
        end = np.asarray(self.time_h)
        within = np.clip(time, 0.0, end)
        charging = (time >= 0.0) & (time <= end)
        battery = np.where(charging, self._course.power(within), 0.0)
        grid = np.where(charging, self._course.grid_power(self._course.power(within)), 0.0)
        columns = (time, self._course.soc(within), battery, grid, grid - battery)
        energy = self._course.grid_energy(within)
        return SessionSeries(*(np.moveaxis(column, 0, -1) for column in (*columns, energy)))

    def series(self, points: int = 201) -> SessionSeries:
        """Return the course of each session at evenly spaced times.

        Parameters
        ----------
        points : int, optional
            How many times n, from the start to the end of each session.

        Returns
        -------
        SessionSeries
            Arrays of shape (..., n).

        Raises
        ------
        ValueError
            If the number is not whole, or below 1.

        Examples
        --------
        >>> session(40, 10, 0.1, 0.6).series(3).time_h
        array([0., 1., 2.])
        """
        return self.at(
            np.linspace(0.0, 1.0, whole("points", points)) * np.asarray(self.time_h)[..., np.newaxis]
        )

    def total_load(self, start_h: ArrayLike, clock_h: ArrayLike) -> Array:
        """Return the power that all sessions together take from the grid.

        Parameters
        ----------
        start_h : array_like
            Hour of the clock at which each session starts [h]; broadcasts with the sessions.
        clock_h : array_like
            Hours of the clock between which the mean power is wanted [h], shape (n + 1,), rising. They
            may run on beyond 24, for sessions that go on after midnight.

        Returns
        -------
        ndarray
            Mean power in each interval [kW], shape (n,).

        Raises
        ------
        ValueError
            If the hours of the clock do not rise or are fewer than two, or the starts do not go with the
            sessions.

        Examples
        --------
        Two vehicles with 10 kW each, from 8 and from 9 o'clock, for two hours:

        >>> session(40, [10, 10], 0.1, 0.6).total_load([8, 9], [8, 9, 10, 11, 12])
        array([10., 20., 10.,  0.])
        """
        clock = np.atleast_1d(real("clock_h", clock_h, "h"))
        steps = np.diff(clock)
        if clock.ndim > 1 or clock.size < 2 or (steps <= 0.0).any():
            allowed = "two or more hours that rise"
            raise refusal("clock_h", shorten(clock_h), allowed, "the order of the hours")
        start = real("start_h", start_h, "h")
        together(start_h=start, session=np.asarray(self.time_h))
        return np.diff(self._course.total_energy(start, clock)) / steps


def session(
    usable_kwh: ArrayLike,
    grid_kw: ArrayLike,
    start_soc: ArrayLike,
    end_soc: ArrayLike,
    *,
    efficiency: ArrayLike | ChargerEfficiency = 1.0,
    auxiliary_kw: ArrayLike = 0.0,
    acceptance_kw: ArrayLike | None = None,
    knee: ArrayLike = 1.0,
    tariff: Tariff | None = None,
    start_h: ArrayLike = 0.0,
) -> Session:
    """Follow a charge from one state of charge to another.

    Parameters
    ----------
    usable_kwh : array_like
        Usable energy of the battery [kWh], above 0.
    grid_kw : array_like
        Largest power from the grid [kW], above 0, see `acpower.charger.charging_limit`.
    start_soc, end_soc : array_like
        State of charge at the start and at the end, fractions of the usable energy.
    efficiency : array_like or model, optional
        A fraction, or one of the models of `acpower.efficiency`.
    auxiliary_kw : array_like, optional
        What the vehicle takes for itself behind the charger while it is awake [kW], 0 or more.
    acceptance_kw : array_like, optional
        Power that the battery accepts below the knee [kW], above 0. Left out, it is what the charger
        gives.
    knee : array_like, optional
        State of charge from which the battery accepts less, a fraction above 0, up to 1. From there the
        accepted power falls in a straight line to 0 at 100 %; 1 means that there is no such fall.
    tariff : Tariff, optional
        Prices by the clock, for the cost.
    start_h : array_like, optional
        Hour of the clock at which charging starts [h], 0 or more, below 24; used with a tariff only.

    Returns
    -------
    Session
        Times [h], energies [kWh] and cost, each of the broadcast shape of the inputs; its methods
        ``series`` and ``at`` give the course.

    Raises
    ------
    ValueError
        If a value lies outside its range, the end lies below the start, nothing reaches the battery,
        or a charge with a knee is to end at 100 %, which it never reaches.

    Notes
    -----
    The battery takes the smaller of what the charger gives and what it accepts. So it charges with
    constant power P until its accepted power P_a * (1 - soc) / (1 - knee) has fallen to P, and from
    there the rest decays like a discharging capacitor, with the time constant E * (1 - knee) / P_a:

    - constant power: time = E * (rise of the state of charge) / P
    - taper: time = E * (1 - knee) / P_a * ln((1 - soc at its start) / (1 - end_soc))

    The two-stage battery of a public charging simulator is the case P_a = P. The lower the power against
    P_a, the later the taper begins: on AC, late. Where it begins in a real vehicle is from memory,
    unconfirmed. Temperature comes in through `temperature_limit`, and is constant. The energy from the
    grid is exact for a fixed efficiency and integrated by Gauss-Legendre quadrature for the others.

    Examples
    --------
    >>> charge = session(50, 10, 0.2, 0.8, efficiency=0.9)
    >>> round(charge.time_h, 3), round(charge.grid_energy_kwh, 2)
    (3.333, 33.33)
    >>> late = session(50, 11, 0.2, 0.95, efficiency=0.9, acceptance_kw=40, knee=0.7)
    >>> round(late.taper_soc, 3), round(late.time_h, 2)
    (0.926, 3.81)
    """
    given = {
        "usable_kwh": positive("usable_kwh", usable_kwh, "kWh"),
        "grid_kw": positive("grid_kw", grid_kw, "kW"),
        "start_soc": fraction("start_soc", start_soc),
        "end_soc": fraction("end_soc", end_soc),
        "auxiliary_kw": magnitude("auxiliary_kw", auxiliary_kw, "kW"),
        "knee": fraction("knee", knee, above_zero=True),
        "start_h": real(
            "start_h", start_h, "h", low=0.0, high=np.nextafter(24.0, 0.0),
            allowed="0 h or more, below 24 h", check="the hour of the clock: midnight is 0",
        ),
    }  # fmt: skip
    if acceptance_kw is not None:
        given["acceptance_kw"] = positive("acceptance_kw", acceptance_kw, "kW")
    if isinstance(efficiency, FixedEfficiency | ChargerLosses | MeasuredEfficiency):
        charger: ChargerEfficiency = efficiency
    else:
        charger = FixedEfficiency(efficiency)
    together(**given, **_shaped(charger))
    shape = np.broadcast_shapes(*(value.shape for value in (*given.values(), *_shaped(charger).values())))
    full = {name: np.broadcast_to(value, shape) for name, value in given.items()}
    course = plan(
        charger,
        usable_kwh=full["usable_kwh"],
        grid_kw=full["grid_kw"],
        start_soc=full["start_soc"],
        end_soc=full["end_soc"],
        auxiliary_kw=full["auxiliary_kw"],
        acceptance_kw=full.get("acceptance_kw"),
        knee=full["knee"],
    )
    time, constant = course.end, course.constant_h
    stored = course.energy * (course.end_soc - course.start_soc)
    drawn = course.grid_energy(time)
    return Session(
        time_h=answer(time),
        constant_h=answer(constant),
        battery_kw=answer(course.battery_kw),
        grid_kw=answer(course.grid_kw),
        taper_soc=answer(course.taper_soc),
        battery_energy_kwh=answer(stored),
        grid_energy_kwh=answer(drawn),
        loss_kwh=answer(drawn - stored),
        cost=None if tariff is None else answer(course.cost(tariff, full["start_h"])),
        _course=course,
    )


def _shaped(charger: ChargerEfficiency) -> dict[str, Array]:
    """Return the values of a charger that may differ from session to session."""
    if isinstance(charger, FixedEfficiency):
        return {"efficiency": np.asarray(charger.efficiency)}
    if isinstance(charger, ChargerLosses):
        names = ("rated_power", "fixed", "linear", "quadratic")
        return {name: np.asarray(getattr(charger, name)) for name in names}
    return {}
