"""The grid side of an on-board charger in the time domain: bridge with capacitor, and power factor stage.

Both models step the circuit through half a mains period again and again until it repeats itself,
and return one mains period. Arguments are single working points or arrays that broadcast: the
steps run over time, for all cases at once, and samples lie on a last axis of their own.

Every half period is taken to be the one before with the current turned round, as it is for a clean
mains voltage and a symmetrical bridge; even harmonics are therefore zero.

Models for teaching. The DC link of a real charger carries a deadly voltage, also for a while after it
has been switched off.
"""

import numpy as np
from numpy.typing import ArrayLike

from acpower._checks import magnitude, positive, refusal, refuse_where, together
from acpower._settled_period import STEPS, Array, FrontEndPeriod, State, half_sine, settle, whole_period
from acpower.rms import rms_to_peak

__all__ = ["FrontEndPeriod", "bridge_with_capacitor", "power_factor_corrected"]


def bridge_with_capacitor(
    voltage: ArrayLike,
    frequency: ArrayLike,
    capacitance: ArrayLike,
    source_resistance: ArrayLike,
    source_inductance: ArrayLike = 0.0,
    diode_drop: ArrayLike = 1.0,
    *,
    load_power: ArrayLike | None = None,
    load_resistance: ArrayLike | None = None,
) -> FrontEndPeriod:
    """Return one settled mains period of a plain bridge rectifier with a smoothing capacitor.

    Parameters
    ----------
    voltage : array_like
        Effective mains voltage [V], above 0.
    frequency : array_like
        Mains frequency [Hz], above 0.
    capacitance : array_like
        Smoothing capacitor [F], above 0.
    source_resistance : array_like
        Resistance between the stiff source and the bridge [ohm], 0 or more.
    source_inductance : array_like, optional
        Inductance between the stiff source and the bridge [H], 0 or more.
    diode_drop : array_like, optional
        Voltage across one conducting diode [V], 0 or more; two of them lie in the path. The default
        is invented.
    load_power : array_like
        Power that a DC/DC stage draws from the capacitor whatever its voltage [W], above 0.
    load_resistance : array_like
        Resistance across the capacitor [ohm], above 0; give it or the power, not both.

    Returns
    -------
    FrontEndPeriod
        1000 samples of one period; arrays of cases have the broadcast shape of the inputs in front.

    Raises
    ------
    ValueError
        If a value lies outside its range, not exactly one load is given, two diode drops reach the
        peak of the voltage, the capacitor empties below the load, or within 200 half periods no one
        repeats the one before to a millionth of the largest current and voltage.

    Notes
    -----
    Mains impedance, four diodes of constant drop, capacitor and load, stepped with second-order
    backward differences (BDF2). Each step solves for current and voltage together, so the diodes
    need no switching rule: current flows where the drive exceeds the capacitor voltage. Left out:
    EMI filter, inrush, forward resistance and recovery of the diodes, losses of the capacitor.

    Holds for a mains impedance well damped by the load; a large inductance that rings with the
    capacitor never settles and is refused. A textbook circuit, no charger: already at 1 kW its third
    harmonic passes the limit of class A, see `acpower.harmonic_limits`.

    Examples
    --------
    An invented 1 kW supply on an invented mains impedance:

    >>> period = bridge_with_capacitor(230, 50, 1e-3, 0.4, 0.8e-3, load_power=1000)
    >>> round(period.power_factor, 2), round(period.distortion, 2)
    (0.61, 1.27)
    """
    volts = positive("voltage", voltage, "V")
    hertz = positive("frequency", frequency, "Hz")
    farads = positive("capacitance", capacitance, "F")
    ohms = magnitude("source_resistance", source_resistance, "ohm")
    henries = magnitude("source_inductance", source_inductance, "H")
    drops = 2.0 * magnitude("diode_drop", diode_drop, "V")
    if load_power is not None and load_resistance is None:
        name, unit, load = "load_power", "W", positive("load_power", load_power, "W")
        power, conductance = load[()], np.zeros(())  # [()]: a single one as a plain number, stepped faster
    elif load_resistance is not None and load_power is None:
        name, unit, load = "load_resistance", "ohm", positive("load_resistance", load_resistance, "ohm")
        power, conductance = np.zeros(()), np.asarray(1.0 / load)
    else:
        given = "none" if load_power is None else "both"
        allowed = "exactly one of the two"
        raise refusal("load_power or load_resistance", given, allowed, "how the load is described")
    together(
        voltage=volts, frequency=hertz, capacitance=farads, source_resistance=ohms,
        source_inductance=henries, diode_drop=drops, **{name: load},
    )  # fmt: skip
    peak = np.asarray(rms_to_peak(volts))
    room, half_drop = np.broadcast_arrays(peak - drops, 0.5 * drops)
    allowed = "less than half the peak of the mains voltage"
    refuse_where(room <= 0.0, "diode_drop", half_drop, "V", allowed=allowed, check="the unit")

    two_steps = 1.0 / (hertz * STEPS)
    inductor, capacitor = henries / two_steps, farads / two_steps
    impedance, admittance = 3.0 * inductor + ohms, 3.0 * capacitor + conductance
    with np.errstate(over="ignore"):  # beyond any circuit: no current flows and the load is refused
        weight = impedance * admittance + 1.0
    source = np.multiply.outer(half_sine(), peak)

    def half_period(state: State) -> tuple[Array, Array, State]:
        current, current_before, link, link_before = state
        currents, links = [], []
        for mains in source:
            drive = mains + inductor * (4.0 * current - current_before)
            stored = capacitor * (4.0 * link - link_before) - power / (2.0 * link - link_before)
            spare = (abs(drive) - drops) * admittance - stored
            taken = 0.5 * (spare + abs(spare)) / weight  # nought where it is negative
            link, link_before = (stored + taken) / admittance, link
            current, current_before = np.copysign(taken, drive), current
            currents.append(current)
            links.append(link)
        return np.array(currents), np.array(links), (-current, -current_before, link, link_before)

    shape = np.broadcast_shapes(*(array.shape for array in (weight, peak, drops, power)))
    full, empty = np.broadcast_to(room, shape), np.zeros(shape)
    currents, links = settle(half_period, (empty, empty, full, full), (name, load, unit))
    return whole_period(hertz, peak, currents, links)


def power_factor_corrected(
    voltage: ArrayLike,
    frequency: ArrayLike,
    load_power: ArrayLike,
    dc_link_voltage: ArrayLike,
    dc_link_capacitance: ArrayLike,
    inductance: ArrayLike = 4e-4,
    current_bandwidth: ArrayLike = 5000.0,
    voltage_bandwidth: ArrayLike = 10.0,
) -> FrontEndPeriod:
    """Return one settled mains period of a rectifier with an active power factor stage.

    Parameters
    ----------
    voltage : array_like
        Effective mains voltage [V], above 0.
    frequency : array_like
        Mains frequency [Hz], above 0.
    load_power : array_like
        Power that the DC/DC stage draws from the DC link [W], above 0.
    dc_link_voltage : array_like
        Set value of the DC-link voltage [V], above the peak of the mains voltage.
    dc_link_capacitance : array_like
        Capacitor of the DC link [F], above 0.
    inductance : array_like, optional
        Inductor of the boost stage [H], above 0. The default is invented.
    current_bandwidth : array_like, optional
        Bandwidth of the current loop [Hz], above 0. The default is invented.
    voltage_bandwidth : array_like, optional
        Bandwidth of the voltage loop [Hz], above 0, up to the mains frequency. The default is invented.

    Returns
    -------
    FrontEndPeriod
        1000 samples of one period; arrays of cases have the broadcast shape of the inputs in front.

    Raises
    ------
    ValueError
        If a value lies outside its range, or no settled period is found, as in `bridge_with_capacitor`:
        the DC link is then too small for the load.

    Notes
    -----
    A boost stage averaged over its switching period, without losses, on a mains without impedance.
    The current follows the rectified mains voltage with the lag of its loop, within what the
    inductor voltage allows: it cannot rise faster than |v| / L after a zero crossing. The voltage
    loop asks for the load power and for a share of the difference to the set value; its integral
    part is left out, so the mean voltage lies a little below the set value. Left out: switching
    ripple, EMI filter, discontinuous current.

    The DC link carries a ripple at twice the mains frequency with the amplitude P / (2 omega C U),
    peak to peak twice that: the difference between the steady load and the pulsating mains power.
    Through the voltage loop it puts a third harmonic of about voltage_bandwidth / (4 frequency)
    on the current, which is why that loop is slow. Both follow from the power balance of the
    capacitor for a small ripple; no source beyond it.

    Examples
    --------
    >>> period = power_factor_corrected(230, 50, 3600, 400, 1e-3)
    >>> round(period.power_factor, 2), round(period.distortion, 2), round(period.ripple)
    (1.0, 0.05, 29)
    """
    volts = positive("voltage", voltage, "V")
    hertz = positive("frequency", frequency, "Hz")
    watts = positive("load_power", load_power, "W")
    set_volts = positive("dc_link_voltage", dc_link_voltage, "V")
    farads = positive("dc_link_capacitance", dc_link_capacitance, "F")
    henries = positive("inductance", inductance, "H")
    current_loop = 2.0 * np.pi * positive("current_bandwidth", current_bandwidth, "Hz")
    voltage_hertz = positive("voltage_bandwidth", voltage_bandwidth, "Hz")
    together(
        voltage=volts, frequency=hertz, load_power=watts, dc_link_voltage=set_volts,
        dc_link_capacitance=farads, inductance=henries, current_bandwidth=current_loop,
        voltage_bandwidth=voltage_hertz,
    )  # fmt: skip
    peak = np.asarray(rms_to_peak(volts))
    given, least = np.broadcast_arrays(set_volts, peak)
    allowed = "more than the peak of the mains voltage"
    check = "the mains voltage: a boost stage only steps up"
    refuse_where(given <= least, "dc_link_voltage", given, "V", allowed=allowed, check=check)
    given, most = np.broadcast_arrays(voltage_hertz, hertz)
    allowed = "above 0 Hz, up to the mains frequency"
    check = "that it is not the bandwidth of the current loop"
    refuse_where(given > most, "voltage_bandwidth", given, "Hz", allowed=allowed, check=check)

    # A single working point is stepped as plain numbers: numpy is slow with arrays that have no axis.
    volts, watts, set_volts, farads, henries = (
        each[()] for each in (volts, watts, set_volts, farads, henries)
    )
    two_steps = 1.0 / (hertz * STEPS)
    rectified = np.multiply.outer(half_sine(), peak)
    gain = 2.0 * np.pi * voltage_hertz * farads * set_volts
    lag = two_steps * current_loop
    # What the slow voltage loop leaves of a deviation after half a period: known, so it is stepped over.
    left = np.exp(-np.pi * voltage_hertz / hertz)

    def half_period(state: State) -> tuple[Array, Array, State]:
        current, current_before, energy, energy_before = start = state
        currents, energies = [], []
        for mains in rectified:
            link = np.sqrt((4.0 * energy - 2.0 * energy_before) / farads)
            asked = (watts + gain * (set_volts - link)) * mains / volts**2
            history = 4.0 * current - current_before
            wanted = (history + lag * asked) / (3.0 + lag)
            fastest_fall = (history + two_steps * (mains - link) / henries) / 3.0
            fastest_rise = (history + two_steps * mains / henries) / 3.0
            taken = np.minimum(np.maximum(wanted, fastest_fall), fastest_rise)
            inductor = henries * (3.0 * taken - history) / two_steps
            surplus = (mains - inductor) * taken - watts
            history = 4.0 * energy - energy_before
            energy, energy_before = (history + two_steps * surplus) / 3.0, energy
            current, current_before = taken, current
            currents.append(current)
            energies.append(energy)
        ahead = (energy - start[2]) * left / (1.0 - left)
        links = np.sqrt(2.0 * np.array(energies) / farads)
        return np.array(currents), links, (current, current_before, energy + ahead, energy_before + ahead)

    shape = np.broadcast_shapes(gain.shape, lag.shape, peak.shape, watts.shape, henries.shape)
    empty = np.zeros(shape)
    full = np.broadcast_to(0.5 * farads * set_volts**2, shape)
    currents, links = settle(half_period, (empty, empty, full, full), ("load_power", watts, "W"))
    return whole_period(hertz, peak, currents, links)
