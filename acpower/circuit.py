"""The circuit that feeds a charging point: conductors, voltage drop, losses, size of the breaker.

Volts, amperes and ohms, effective values; lengths in metres from the board to the charging point,
one way. Scalars and arrays may be mixed and broadcast; a scalar result is a Python float.

This is arithmetic. It approves no installation: local codes and a licensed electrician decide.
Before anybody touches a circuit it is isolated, secured and proved dead.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower import tables
from acpower._checks import (
    DUST,
    Numbers,
    answer,
    choice,
    fraction,
    magnitude,
    positive,
    real,
    refuse_where,
    together,
)
from acpower.conductors import conductor_resistance
from acpower.power import single_phase_current, three_phase_current

__all__ = [
    "BREAKER_SERIES",
    "cable_loss",
    "conductor_resistance",
    "design_current",
    "next_breaker",
    "voltage_drop",
    "voltage_drop_limit",
    "voltage_drop_percent",
]

_LIMITS = {
    (row["use"], row["supply"]): float(row["limit_percent"])
    for row in tables.rows("voltage_drop_limits")
    if row["rule"] == "IEC 60364-5-52 Table G.52.1"
}
_BRANCH_CIRCUIT_LIMIT = next(
    float(row["limit_percent"])
    for row in tables.rows("voltage_drop_limits")
    if row["use"] == "branch circuit"
)
_SIZES: dict[str, list[float]] = {}
for _row in tables.rows("breaker_sizes"):
    _SIZES.setdefault(_row["series"], []).append(float(_row["rating_a"]))

BREAKER_SERIES = tuple(_SIZES)

# What a continuous load is multiplied with before a breaker is chosen.
_CONTINUOUS_LOAD = {"nec": 1.25, "iec": 1.0}


def voltage_drop(
    current: ArrayLike,
    length_m: ArrayLike,
    area_mm2: ArrayLike,
    phases: ArrayLike,
    power_factor: ArrayLike = 1.0,
    temperature_c: ArrayLike = 20.0,
    conductor_class: int = 2,
    reactance_per_m: ArrayLike = 0.08e-3,
) -> Numbers:
    """Return the voltage that is lost along the cable of a circuit.

    Parameters
    ----------
    current : array_like
        Current in each loaded conductor [A], 0 or more.
    length_m : array_like
        Length of the cable, one way [m], 0 or more.
    area_mm2 : array_like
        Nominal cross-section, one of those of `conductor_resistance` [mm2].
    phases : array_like
        1 for a single-phase circuit, 3 for a balanced three-phase one. A three-phase circuit that is
        loaded on one phase only counts as 1; so does a load between two legs of a split phase.
    power_factor : array_like, optional
        cos phi of the load, lagging, a fraction from 0 to 1. Annex G takes 0.8 where it is unknown.
    temperature_c, conductor_class : optional
        As for `conductor_resistance`.
    reactance_per_m : array_like, optional
        Reactance of one conductor [ohm/m], 0 or more.

    Returns
    -------
    float or ndarray
        Voltage drop [V], broadcast shape of the inputs. Single-phase: across both conductors.
        Three-phase: of each phase to neutral; between two lines it is sqrt 3 times as much.

    Raises
    ------
    ValueError
        If a value lies outside its range, or the area is none of the table.

    Notes
    -----
    u = b (R cos phi + X sin phi) I with b = 2 for single-phase and 1 for three-phase:
    IEC 60364-5-52:2009 annex G, as shown on public pages. Annex G takes R = rho_1 L / S with
    rho_1 = 1.25 rho_20 = 0.0225 ohm mm2/m for copper; here R comes from the table of IEC 60228,
    whose temperature rule reaches the factor 1.25 at 82.5 degC. The default reactance, 0.08
    milliohm per metre, comes from memory. The formula leaves out what is at right angles to the load
    voltage. With power factor 1 and no reactance it is exact; with a power factor of 0.8 or more and
    a drop below 4 % it falls short by less than 0.05 % of the voltage.

    Examples
    --------
    >>> round(voltage_drop(16, 20, 4, phases=1), 3)
    2.95
    >>> round(voltage_drop(16, 20, 4, phases=3), 3)
    1.475
    """
    amperes = magnitude("current", current, "A")
    both_ways = np.where(_phases(phases) == 1, 2.0, 1.0)
    factor = fraction("power_factor", power_factor)
    per_metre = magnitude("reactance_per_m", reactance_per_m, "ohm/m")
    metres = magnitude("length_m", length_m, "m")
    resistance = np.asarray(conductor_resistance(area_mm2, metres, temperature_c, conductor_class))
    together(
        current=amperes,
        phases=both_ways,
        power_factor=factor,
        reactance_per_m=per_metre,
        length_m=metres,
        resistance=resistance,
    )
    along = resistance * factor + per_metre * metres * np.sqrt(1.0 - factor**2)
    return answer(both_ways * along * amperes)


def voltage_drop_percent(drop: ArrayLike, voltage: ArrayLike) -> Numbers:
    """Return a voltage drop in percent of the nominal voltage.

    Parameters
    ----------
    drop : array_like
        Voltage drop [V], 0 or more.
    voltage : array_like
        Nominal voltage [V], above 0, between the same two points as the drop: across a single-phase
        load; from line to neutral for the three-phase result of `voltage_drop`.

    Returns
    -------
    float or ndarray
        Voltage drop [%], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If the drop is negative, the voltage is not above 0, or one is not finite.

    Notes
    -----
    Drop and voltage both grow by sqrt 3 from line-to-neutral to line-to-line, so that the percentage
    is the same. Taking the phase drop as a share of the line voltage is the usual slip. IEC
    60364-5-52:2009 annex G takes the nominal voltage as 100 %.

    Examples
    --------
    >>> round(voltage_drop_percent(3.68, 230), 2)
    1.6
    """
    volts = magnitude("drop", drop, "V")
    nominal = positive("voltage", voltage, "V")
    together(drop=volts, voltage=nominal)
    return answer(100.0 * (volts / nominal))


def voltage_drop_limit(
    length_m: ArrayLike, use: str = "other", supply: str = "public", rule: str = "iec"
) -> Numbers:
    """Return the largest voltage drop that is advised between the origin and the load.

    Parameters
    ----------
    length_m : array_like
        Length of the wiring from the origin of the installation [m], 0 or more.
    use : {"other", "lighting"}, optional
        A charging point is "other".
    supply : {"public", "private"}, optional
        Low-voltage network of the public, or a supply of one's own.
    rule : {"iec", "nec"}, optional
        "nec" is the advice of North America for one branch circuit, whatever its length, use and supply.

    Returns
    -------
    float or ndarray
        Largest voltage drop [%], shape of the length.

    Raises
    ------
    ValueError
        If the length is negative or not a finite real number, or a word is unknown.

    Notes
    -----
    IEC 60364-5-52:2009 Table G.52.1 (informative), as shown on public pages: 3 and 5 % from the
    public network, 6 and 8 % from a supply of one's own, plus 0.005 % for each metre beyond 100 m,
    at most 0.5 % more. North America advises 3 % for feeder or branch circuit and 5 % for both: public
    pages on advice that is no requirement. All rows stand in the table ``voltage_drop_limits``. Local
    codes prevail.

    Examples
    --------
    >>> voltage_drop_limit([30, 140, 500])
    array([5. , 5.2, 5.5])
    >>> voltage_drop_limit(140, rule="nec")
    3.0
    """
    metres = magnitude("length_m", length_m, "m")
    uses = dict.fromkeys(use for use, _ in _LIMITS)
    supplies = dict.fromkeys(supply for _, supply in _LIMITS)
    limit = _LIMITS[choice("use", use, uses), choice("supply", supply, supplies)]
    if choice("rule", rule, BREAKER_SERIES) == "nec":
        return answer(np.full_like(metres, _BRANCH_CIRCUIT_LIMIT))
    return answer(limit + np.clip(0.005 * (metres - 100.0), 0.0, 0.5))


def cable_loss(
    current: ArrayLike,
    length_m: ArrayLike,
    area_mm2: ArrayLike,
    phases: ArrayLike,
    temperature_c: ArrayLike = 20.0,
    conductor_class: int = 2,
) -> Numbers:
    """Return the power that heats the cable of a circuit.

    Parameters
    ----------
    current : array_like
        Current in each loaded conductor [A], 0 or more.
    length_m, area_mm2, phases, temperature_c, conductor_class
        As for `voltage_drop`.

    Returns
    -------
    float or ndarray
        Power lost in all loaded conductors together [W], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If a value lies outside its range, or the area is none of the table.

    Notes
    -----
    P = 2 R I^2 for single-phase, 3 R I^2 for a balanced three-phase circuit, whose neutral carries
    nothing. The same current thus carries three times the power for one and a half times the loss.
    Lessons In Electric Circuits, volume II, chapter 10.

    Examples
    --------
    >>> round(cable_loss(16, 20, 4, phases=1), 1), round(cable_loss(16, 20, 4, phases=3), 1)
    (47.2, 70.8)
    """
    amperes = magnitude("current", current, "A")
    loaded = np.where(_phases(phases) == 1, 2.0, 3.0)
    resistance = np.asarray(conductor_resistance(area_mm2, length_m, temperature_c, conductor_class))
    together(current=amperes, phases=loaded, resistance=resistance)
    return answer(loaded * resistance * amperes**2)


def design_current(
    power: ArrayLike,
    voltage: ArrayLike,
    phases: ArrayLike = 1,
    power_factor: ArrayLike = 1.0,
    rule: str = "nec",
) -> Numbers:
    """Return the current for which the circuit of a charging point is laid out.

    Parameters
    ----------
    power : array_like
        Largest active power of the charging point [W], 0 or more.
    voltage : array_like
        Voltage [V], above 0: across the load for 1 phase, between two lines for 3 phases.
    phases : array_like, optional
        1 or 3.
    power_factor : array_like, optional
        Active over apparent power, a fraction above 0, up to 1.
    rule : {"nec", "iec"}, optional
        "nec" takes 125 % of the current of the load, "iec" the current itself.

    Returns
    -------
    float or ndarray
        Current [A], broadcast shape of the inputs. The breaker is the next size: `next_breaker`.

    Raises
    ------
    ValueError
        If the power is negative, voltage or power factor is not above 0, or rule or phases are
        unknown.

    Notes
    -----
    Charging runs for hours: a continuous load. North America: 125 % (NEC article 625, as a public
    summary gives it; NEC 2023 625.42 calls charging a continuous load). Elsewhere a breaker of equal
    rating is common practice, for which there is no source here. One station maker asks for one size
    more. All three stand side by side in the table ``station_breakers``.

    Examples
    --------
    >>> design_current(7680, 240)
    40.0
    >>> round(design_current(11_085, 400, 3, rule="iec"), 1)
    16.0
    """
    count = _phases(phases)
    factor = _CONTINUOUS_LOAD[choice("rule", rule, _CONTINUOUS_LOAD)]
    one = np.asarray(single_phase_current(power, voltage, power_factor))
    together(power=one, phases=count)
    three = np.asarray(three_phase_current(power, voltage, power_factor))
    return answer(factor * np.where(count == 1, one, three))


def next_breaker(current: ArrayLike, series: str = "nec") -> Numbers:
    """Return the smallest standard breaker whose rating is not below a current.

    Parameters
    ----------
    current : array_like
        Design current [A], 0 or more.
    series : {"nec", "iec"}, optional
        Which list of ratings, one of ``BREAKER_SERIES``.

    Returns
    -------
    float or ndarray
        Rating [A], shape of the input.

    Raises
    ------
    ValueError
        If the current is negative or beyond the last rating, or the series is unknown.

    Notes
    -----
    "nec": NEC 240.6(A), 15 to 6000 A, three public lists that agree. There is no 55 A and no 65 A in
    it, but there is 110 A. "iec": 6 to 125 A, from memory. Both are in the table ``breaker_sizes``.
    A current that exceeds a rating by no more than a billionth of it counts as that rating. The
    breaker also has to protect the cable: `acpower.protection.check_overload`.

    Examples
    --------
    >>> next_breaker(1.25 * 32)
    40.0
    >>> next_breaker([52, 61, 107]), next_breaker(17, series="iec")
    (array([ 60.,  70., 110.]), 20.0)
    """
    sizes = np.array(_SIZES[choice("series", series, BREAKER_SERIES)])
    amperes = real(
        "current",
        current,
        "A",
        low=0.0,
        high=sizes[-1] * (1.0 + DUST),
        allowed=f"0 to {sizes[-1]:g} A",
        check="the unit, the voltage and the number of phases, or another series",
    )
    return answer(sizes[np.searchsorted(sizes * (1.0 + DUST), amperes)])


def _phases(phases: ArrayLike) -> NDArray[np.float64]:
    check = "the load: one phase loaded counts as 1, balanced three-phase as 3"
    count = real("phases", phases, allowed="1 or 3", check=check)
    refuse_where((count != 1) & (count != 3), "phases", count, "", allowed="1 or 3", check=check)
    return count
