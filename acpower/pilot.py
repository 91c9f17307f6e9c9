"""What station, cable and vehicle tell one another: control pilot and proximity.

Currents are in amperes, resistances in ohms, voltages in volts, the duty cycle in percent.
Scalars or arrays; a scalar result is a Python float or text.

IEC 61851-1 was not opened for this module: its rules are taken from public documents that
reproduce them, named at each function and described in ``acpower/tables/sources.toml``.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower import tables
from acpower._checks import Numbers, answer, choice, magnitude, real, refuse_where

__all__ = [
    "CABLE_BANDS",
    "DUTY_RULES",
    "WINDOW_SETS",
    "cable_rating",
    "current_from_duty",
    "duty_from_current",
    "duty_meaning",
    "state_from_voltage",
]

DUTY_RULES = ("iec", "sae")

_CABLE_ROWS = tables.rows("cable_bands")
CABLE_BANDS = tuple(dict.fromkeys(row["band_set"] for row in _CABLE_ROWS))

_WINDOW_ROWS = tables.rows("pilot_windows")
WINDOW_SETS = tuple(dict.fromkeys(row["window_set"] for row in _WINDOW_ROWS))


def current_from_duty(duty_percent: ArrayLike, rule: str = "iec") -> Numbers:
    """Return the current that a vehicle may draw at a duty cycle of the control pilot.

    Parameters
    ----------
    duty_percent : array_like
        Duty cycle [%], from 0 to 100.
    rule : {"iec", "sae"}, optional
        Which reading of the pilot law; see the notes.

    Returns
    -------
    float or ndarray
        Largest current per phase [A], shape of the input. It is 0.0 where charging is not allowed
        and where digital communication has to set the current: `duty_meaning` tells the two apart.

    Raises
    ------
    ValueError
        If the duty cycle lies outside 0 to 100 % or the rule is unknown.

    Notes
    -----
    Rule "iec", IEC 61851-1 Annex A, vehicle side, as reproduced in the manual of a charging-station
    test adapter (Table 4) and the instructions of an in-line tester (page 12):

    ==================  =================================
    duty D              current
    ==================  =================================
    D < 3 %             charging not allowed
    3 % <= D <= 7 %     digital communication required
    7 % < D < 8 %       charging not allowed
    8 % <= D < 10 %     6 A
    10 % <= D <= 85 %   D times 0.6 A
    85 % < D <= 96 %    (D - 64) times 2.5 A
    96 % < D <= 97 %    80 A
    D > 97 %            charging not allowed
    ==================  =================================

    Rule "sae" follows a public page on SAE J1772; the standard itself was not opened. It has the
    same two slopes from 10 to 96 % and calls everything above 96 % an error. Below 10 % the rule is
    from memory: nothing is allowed except digital communication from 3 to 7 %. All ranges with their
    ends stand in the table ``duty_ranges``, beside the upper end of GB/T 18487.1-2015: 90 % and 63 A.

    The law jumps from 51 A at 85 % to 52.5 A just above it. A duty of 5 % is not 3 A.

    Examples
    --------
    >>> current_from_duty(50)
    30.0
    >>> current_from_duty([5, 16, 90, 100])
    array([ 0. ,  9.6, 65. ,  0. ])
    """
    duty = _duty(duty_percent)
    lower, upper = 0.6 * duty, 2.5 * (duty - 64.0)
    if choice("rule", rule, DUTY_RULES) == "iec":
        steps = [
            (duty < 8, 0.0),
            (duty < 10, 6.0),
            (duty <= 85, lower),
            (duty <= 96, upper),
            (duty <= 97, 80.0),
        ]
    else:
        steps = [(duty < 10, 0.0), (duty <= 85, lower), (duty <= 96, upper)]
    conditions, currents = zip(*steps, strict=True)
    return answer(np.select(conditions, currents, default=0.0))


def duty_meaning(duty_percent: ArrayLike, rule: str = "iec") -> str | NDArray[np.str_]:
    """Return in words what a duty cycle of the control pilot means.

    Parameters
    ----------
    duty_percent : array_like
        Duty cycle [%], from 0 to 100.
    rule : {"iec", "sae"}, optional
        As for `current_from_duty`, where the sources stand.

    Returns
    -------
    str or ndarray of str
        "charging allowed", "charging not allowed" or "digital communication required"; with the
        rule "sae" also "error". Shape of the input.

    Raises
    ------
    ValueError
        If the duty cycle lies outside 0 to 100 % or the rule is unknown.

    Notes
    -----
    Holds while the duty cycle stays; ranges and sources as for `current_from_duty`. What a digital
    communication agrees on is not told here.

    Examples
    --------
    >>> duty_meaning(5)
    'digital communication required'
    >>> duty_meaning(98)
    'charging not allowed'
    """
    allowed = np.asarray(current_from_duty(duty_percent, rule)) > 0
    duty = _duty(duty_percent)
    meanings = np.select(
        [(duty >= 3) & (duty <= 7), allowed, (duty > 96) & (rule == "sae")],
        ["digital communication required", "charging allowed", "error"],
        default="charging not allowed",
    )
    return _text(meanings)


def duty_from_current(current: ArrayLike) -> Numbers:
    """Return the duty cycle with which a station offers a current.

    Parameters
    ----------
    current : array_like
        Current per phase [A], 6 to 51 A or 52.5 to 80 A.

    Returns
    -------
    float or ndarray
        Duty cycle [%], shape of the input.

    Raises
    ------
    ValueError
        If the current lies below 6 A, above 80 A, or between 51 and 52.5 A, where no duty cycle
        stands for it.

    Notes
    -----
    IEC 61851-1 Annex A, station side, as reproduced in the manual of a charging-station test
    adapter: I / 0.6 up to 51 A, I / 2.5 + 64 from 52.5 A. At exactly 52.5 A the result is 85 %,
    which a vehicle reads with the lower slope as 51 A.

    Examples
    --------
    >>> duty_from_current(24)
    40.0
    >>> duty_from_current([6, 80])
    array([10., 96.])
    """
    allowed = "6 to 51 A, and 52.5 to 80 A"
    amperes = real(
        "current",
        current,
        "A",
        low=6.0,
        high=80.0,
        allowed=allowed,
        check="the offer: below 6 A the station pauses charging, above 80 A the pilot law ends",
    )
    jump = "the offer: the pilot law jumps here, and 52 A would be read by the vehicle as 50.88 A"
    refuse_where((amperes > 51.0) & (amperes < 52.5), "current", amperes, "A", allowed=allowed, check=jump)
    return answer(np.where(amperes <= 51.0, amperes / 0.6, amperes / 2.5 + 64.0))


def cable_rating(resistance: ArrayLike, bands: str = "accept") -> Numbers:
    """Return the current rating that the resistor in a detachable cable stands for.

    Parameters
    ----------
    resistance : array_like
        Resistance between proximity contact and protective conductor [ohm], 0 or more.
    bands : {"accept", "touching"}, optional
        Which published set of bands, one of ``CABLE_BANDS``; see the notes.

    Returns
    -------
    float or ndarray
        Rating of the cable [A], shape of the input: 13, 20, 32 or 63 A, and 0.0 where no charging
        is allowed. 63 A is the three-phase rating; for the same resistor some documents give 70 A
        with a single phase.

    Raises
    ------
    ValueError
        If the resistance is negative or not a finite real number, or the set is unknown. For an
        open contact enter a large resistance.

    Notes
    -----
    Coding of IEC 61851-1 Annex B with nominal 1500, 680, 220 and 100 ohm. The sources differ:

    - "accept" is what a station must accept, from a public bring-up guide for stations. A value in
      a gap between two bands takes the lower rating. Below 80 ohm and above 2460 ohm the result is
      0.0 A, also in the stretch before the error range that begins below 60 and above 4500 ohm.
    - "touching" is a set without gaps from the manual of a charge controller (Table 5-1). Where
      two bands meet, the lower rating is taken; below 75 ohm and above 2200 ohm it is 0.0 A.

    A dirty contact adds resistance and so errs to the safe side.

    Examples
    --------
    >>> cable_rating(220)
    32.0
    >>> cable_rating([145, 320]), cable_rating([145, 320], bands="touching")
    (array([32., 20.]), array([63., 32.]))
    """
    ohms = magnitude("resistance", resistance, "ohm")
    name = choice("bands", bands, CABLE_BANDS)
    rating = np.zeros_like(ohms)
    end_of_band = np.inf
    for row in reversed(_CABLE_ROWS):  # from the biggest cable, the lowest resistance, upwards
        if row["band_set"] == name:
            in_band = ohms >= float(row["low_ohm"])
            in_gap_before = ohms > end_of_band
            rating = np.where(in_band | in_gap_before, float(row["three_phase_a"]), rating)
            end_of_band = float(row["high_ohm"])
    return answer(np.where(ohms > end_of_band, 0.0, rating))


def state_from_voltage(positive_level: ArrayLike, windows: str = "detection") -> str | NDArray[np.str_]:
    """Return the state of the control pilot from its positive level.

    Parameters
    ----------
    positive_level : array_like
        Level of the positive plateau at the station [V], with its sign; the steady level where
        there is no pulse signal. Neither a mean nor an RMS reading of the pulse signal will do.
    windows : {"detection", "test", "component"}, optional
        Which published set of windows, one of ``WINDOW_SETS``; see the notes.

    Returns
    -------
    str or ndarray of str
        "A" to "F", shape of the input: A no vehicle, B connected, C ready, D ready with
        ventilation, E error, F station not available (steady -12 V).

    Raises
    ------
    ValueError
        If a level lies between the windows or beyond them, or the set is unknown.

    Notes
    -----
    Ends belong to a window. Three sets are published, for three purposes:

    - "detection", 1 V on either side of +12, +9, +6, +3, 0 and -12 V, from the public documentation
      of a station: the widest, and the one to judge a reading by.
    - "test", A to D only, from a public test of pilot logic, said there to be Table A.4 of IEC
      61851-1 (B 8.36 to 9.56 V).
    - "component", B to D only, what follows from the tolerances of the parts (B 8.37 to 9.59 V):
      `acpower.pilot_circuit.plateau_limits` works it out.

    Examples
    --------
    >>> state_from_voltage(6.1)
    'C'
    >>> state_from_voltage([12, 9, -12])
    array(['A', 'B', 'F'], dtype='<U1')
    >>> state_from_voltage(9.58, windows="component")
    'B'
    """
    check = "that the positive plateau was read, not mean or RMS, and the diode and resistors of the vehicle"
    volts = real("positive_level", positive_level, "V", check=check)
    name = choice("windows", windows, WINDOW_SETS)
    rows = [row for row in _WINDOW_ROWS if row["window_set"] == name]
    inside = [(volts >= float(row["low_v"])) & (volts <= float(row["high_v"])) for row in rows]
    allowed = ", ".join(f"{row['state']} {row['low_v']} to {row['high_v']} V" for row in rows)
    refuse_where(~np.any(inside, axis=0), "positive_level", volts, "V", allowed=allowed, check=check)
    return _text(np.select(inside, [row["state"] for row in rows], default=""))


def _duty(duty_percent: ArrayLike) -> NDArray[np.float64]:
    return real(
        "duty_percent",
        duty_percent,
        "%",
        low=0.0,
        high=100.0,
        allowed="0 to 100 %",
        check="the reading: the duty cycle is the time at the high level over the period, in percent",
    )


def _text(words: NDArray[np.str_]) -> str | NDArray[np.str_]:
    return str(words) if words.ndim == 0 else words
