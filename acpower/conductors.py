"""Resistance of wires and of the conductors of a cable, at any temperature that a cable meets.

Resistances are in ohms, lengths in metres, cross-sections in square millimetres. Scalars and arrays
may be mixed and broadcast; a scalar result is a Python float.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower import tables
from acpower._checks import (
    Numbers,
    answer,
    magnitude,
    positive,
    real,
    refusal,
    refuse_where,
    single,
    together,
)

__all__ = ["conductor_resistance", "resistance_at_temperature", "wire_resistance"]

_OHM_PER_KM = {
    number: {
        float(row["area_square_mm"]): float(row["max_ohm_per_km"])
        for row in tables.rows("conductors")
        if row["conductor_class"] == str(number)
    }
    for number in (1, 2, 5)
}


def wire_resistance(resistivity: ArrayLike, length_m: ArrayLike, area_mm2: ArrayLike) -> Numbers:
    """Return the resistance of one wire from its resistivity, length and cross-section.

    Parameters
    ----------
    resistivity : array_like
        Resistivity at the temperature of the wire [ohm mm2/m], 0 or more.
    length_m : array_like
        Length of the wire [m], 0 or more.
    area_mm2 : array_like
        Cross-section of the metal [mm2], above 0; a gauge number has to be turned into mm2 first.

    Returns
    -------
    float or ndarray
        Resistance of this one wire [ohm], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If a value is negative or not a finite real number, or the area is not above 0.

    Notes
    -----
    R = rho L / S with copper of 0.0168 ohm mm2/m at 20 degC: University Physics, volume 2. For
    wires that have no row in the table of IEC 60228, such as American gauges and aluminium. For the
    nominal areas of that table use `conductor_resistance`: a conductor of 50 mm2 does not hold 50
    mm2 of copper, so rho L / S with the value of pure copper gives too little.

    Examples
    --------
    >>> round(wire_resistance(0.0168, 20, 3.31), 3)
    0.102
    """
    rho = magnitude("resistivity", resistivity, "ohm mm2/m")
    metres = magnitude("length_m", length_m, "m")
    area = positive("area_mm2", area_mm2, "mm2")
    together(resistivity=rho, length_m=metres, area_mm2=area)
    return answer(rho * (metres / area))


def resistance_at_temperature(
    resistance_20: ArrayLike, temperature_c: ArrayLike, coefficient: ArrayLike = 0.004
) -> Numbers:
    """Return a resistance at another temperature than 20 degC.

    Parameters
    ----------
    resistance_20 : array_like
        Resistance at 20 degC [ohm], 0 or more.
    temperature_c : array_like
        Temperature of the conductor [degC], -50 to 250.
    coefficient : array_like, optional
        Temperature coefficient at 20 degC [1/K], 0 to 0.01.

    Returns
    -------
    float or ndarray
        Resistance at that temperature [ohm], broadcast shape of the inputs.

    Raises
    ------
    ValueError
        If the resistance is negative, or temperature or coefficient lie outside their range.

    Notes
    -----
    R = R_20 (1 + alpha (theta - 20)): University Physics, volume 2. The default of 0.004 makes it
    R_20 (230 + theta) / 250, which the correction table of IEC 60228 follows (as reproduced by a
    cable maker, 5 to 90 degC).
    Documents on copper also give 0.0039, 0.00393 and 0.004041; at 70 degC that is 1.195 to 1.202
    instead of 1.2. All stand in the table ``temperature_coefficients``. The ends of the range are a
    choice of this package: what a cable meets, where a straight line is good enough.

    Examples
    --------
    >>> round(resistance_at_temperature(4.61, 70), 3)
    5.532
    """
    ohms = magnitude("resistance_20", resistance_20, "ohm")
    celsius = _temperature(temperature_c)
    per_kelvin = real(
        "coefficient",
        coefficient,
        "1/K",
        low=0.0,
        high=0.01,
        allowed="0 to 0.01 1/K",
        check="that it is a share per kelvin and no percentage: 0.004, not 0.4",
    )
    together(resistance_20=ohms, temperature_c=celsius, coefficient=per_kelvin)
    return answer(ohms * (1.0 + per_kelvin * (celsius - 20.0)))


def conductor_resistance(
    area_mm2: ArrayLike, length_m: ArrayLike, temperature_c: ArrayLike = 20.0, conductor_class: int = 2
) -> Numbers:
    """Return the largest resistance that one copper conductor of a cable may have.

    Parameters
    ----------
    area_mm2 : array_like
        Nominal cross-section [mm2]: 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70 or 95.
    length_m : array_like
        Length of the conductor, one way [m], 0 or more.
    temperature_c : array_like, optional
        Temperature of the conductor [degC], -50 to 250. In service it is well above 20: a PVC cable
        may reach 70 degC.
    conductor_class : {1, 2, 5}, optional
        Solid, stranded or flexible.

    Returns
    -------
    float or ndarray
        Resistance of one conductor [ohm], broadcast shape of the inputs. The current of a
        single-phase circuit passes two of them.

    Raises
    ------
    ValueError
        If the area is none of the table (the message lists them), the class is unknown, the length
        is negative or the temperature lies outside its range.

    Notes
    -----
    Plain copper, largest resistance at 20 degC of IEC 60228, in the table ``conductors`` as
    reproduced by cable makers; the standard was not opened. Temperature as in
    `resistance_at_temperature` with 0.004 per kelvin. Direct current: the skin effect, not contained
    here, is small at 50 and 60 Hz in these sizes.

    Examples
    --------
    >>> round(conductor_resistance(4, 20), 4)
    0.0922
    >>> conductor_resistance([2.5, 6], 20, 70).round(4)
    array([0.1778, 0.0739])
    """
    number = single(
        "conductor_class",
        real("conductor_class", conductor_class, allowed="1, 2 or 5", check="solid, stranded or flexible"),
    )
    if number not in _OHM_PER_KM:
        raise refusal(
            "conductor_class", f"{number:.12g}", "1, 2 or 5", "the cable: 1 solid, 2 stranded, 5 flexible"
        )
    table = _OHM_PER_KM[int(number)]
    areas = np.array(list(table))
    listed = ", ".join(f"{area:g}" for area in areas) + " mm2"
    check = "the printing on the cable: only nominal areas stand in the table"
    area = real("area_mm2", area_mm2, "mm2", allowed=f"one of {listed}", check=check)
    refuse_where(~np.isin(area, areas), "area_mm2", area, "mm2", allowed=f"one of {listed}", check=check)
    metres = magnitude("length_m", length_m, "m")
    celsius = _temperature(temperature_c)
    together(area_mm2=area, length_m=metres, temperature_c=celsius)
    per_km = np.array(list(table.values()))[np.searchsorted(areas, area)]
    return resistance_at_temperature(per_km * metres / 1000.0, celsius)


def _temperature(temperature_c: ArrayLike) -> NDArray[np.float64]:
    return real(
        "temperature_c",
        temperature_c,
        "degC",
        low=-50.0,
        high=250.0,
        allowed="-50 to 250 degC",
        check="that it is the temperature of the conductor in degrees Celsius",
    )
