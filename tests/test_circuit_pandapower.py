"""Voltage drop and losses of a cable against a power-flow calculation with pandapower.

The load there takes constant power, the formula takes a current: each test gives the formula the
current that the power flow has found.
"""

from dataclasses import dataclass

import numpy as np
import pandapower
import pytest

from acpower.circuit import cable_loss, conductor_resistance, voltage_drop

PHASE_VOLTAGE = 230.0


@dataclass(frozen=True)
class Flow:
    """What a power flow says about one cable: amperes, watts, volts to neutral at both ends."""

    current: float
    loss: float
    at_board: float
    at_load: float
    angle: float  # of the load voltage against the voltage at the board [rad]


def balanced_flow(watts: float, factor: float, ohms: float, reactance: float) -> Flow:
    """Solve a balanced three-phase cable with these ohms per conductor."""
    net = pandapower.create_empty_network(f_hz=50)
    nominal_kv = PHASE_VOLTAGE * np.sqrt(3) / 1000
    board, load = (pandapower.create_bus(net, vn_kv=nominal_kv) for _ in range(2))
    pandapower.create_ext_grid(net, board)
    pandapower.create_line_from_parameters(
        net, board, load, length_km=1.0, r_ohm_per_km=ohms, x_ohm_per_km=reactance, c_nf_per_km=0.0,
        max_i_ka=1.0,
    )  # fmt: skip
    lagging = watts * np.sqrt(1 / factor**2 - 1)
    pandapower.create_load(net, load, p_mw=watts / 1e6, q_mvar=lagging / 1e6)
    # A flat start: the usual one divides by the reactance.
    pandapower.runpp(net, tolerance_mva=1e-13, init="flat", numba=False)
    line, bus = net.res_line.iloc[0], net.res_bus.loc[load]
    return Flow(
        current=line.i_ka * 1000,
        loss=line.pl_mw * 1e6,
        at_board=PHASE_VOLTAGE,
        at_load=bus.vm_pu * PHASE_VOLTAGE,
        angle=np.radians(bus.va_degree),
    )


CABLES = [(2.5, 20, 1), (6, 35, 2), (10, 30, 5), (50, 120, 2), (95, 200, 5)]
cables = pytest.mark.parametrize(("area", "length", "number"), CABLES)


@cables
@pytest.mark.parametrize("temperature", [20, 70])
def test_three_phase_cable_at_power_factor_one(
    area: float, length: float, number: int, temperature: float
) -> None:
    ohms = conductor_resistance(area, length, temperature, number)
    flow = balanced_flow(11_000, 1.0, ohms, 0.0)
    drop = voltage_drop(flow.current, length, area, 3, 1.0, temperature, number, reactance_per_m=0.0)
    assert drop == pytest.approx(flow.at_board - flow.at_load, rel=1e-6)
    assert cable_loss(flow.current, length, area, 3, temperature, number) == pytest.approx(
        flow.loss, rel=1e-6
    )


@cables
@pytest.mark.parametrize("factor", [0.8, 0.95])
def test_three_phase_cable_with_reactance_up_to_the_part_at_right_angles(
    area: float, length: float, number: int, factor: float
) -> None:
    flow = balanced_flow(11_000, factor, conductor_resistance(area, length, 70, number), 0.08e-3 * length)
    drop = voltage_drop(flow.current, length, area, 3, factor, 70, number)
    # The part of the source voltage that lies along the load voltage is exact; annex G leaves out the rest.
    along = flow.at_board * np.cos(flow.angle)
    assert drop == pytest.approx(along - flow.at_load, rel=1e-6)
    assert 0 <= flow.at_board - flow.at_load - drop < 0.0005 * PHASE_VOLTAGE
    assert cable_loss(flow.current, length, area, 3, 70, number) == pytest.approx(flow.loss, rel=1e-6)


@cables
def test_single_phase_cable_is_a_loop_of_two_conductors(area: float, length: float, number: int) -> None:
    # One phase of a balanced calculation whose line holds both conductors of the loop.
    ohms = 2 * conductor_resistance(area, length, 70, number)
    flow = balanced_flow(3 * 3680, 0.9, ohms, 2 * 0.08e-3 * length)
    drop = voltage_drop(flow.current, length, area, 1, 0.9, 70, number)
    assert drop == pytest.approx(flow.at_board * np.cos(flow.angle) - flow.at_load, rel=1e-6)
    assert cable_loss(flow.current, length, area, 1, 70, number) == pytest.approx(flow.loss / 3, rel=1e-6)


def test_one_loaded_phase_of_a_four_wire_cable_counts_as_single_phase() -> None:
    """4.6 kW on L1 after 40 m of 4 mm2, 20 degC, four equal conductors, source of 400 V."""
    per_km = conductor_resistance(4, 1000)
    net = pandapower.create_empty_network(f_hz=50)
    board, load = (pandapower.create_bus(net, vn_kv=0.4) for _ in range(2))
    pandapower.create_ext_grid(net, board, s_sc_max_mva=1e9, rx_max=0.1, x0x_max=1.0, r0x0_max=0.1)
    pandapower.create_line_from_parameters(
        net, board, load, length_km=0.04, r_ohm_per_km=per_km, x_ohm_per_km=1e-9, c_nf_per_km=0.0,
        max_i_ka=1.0, r0_ohm_per_km=4 * per_km, x0_ohm_per_km=1e-9, c0_nf_per_km=0.0,
    )  # fmt: skip
    pandapower.create_asymmetric_load(net, load, p_a_mw=0.0046)
    pandapower.runpp_3ph(net, tolerance_mva=1e-12, numba=False)
    line, bus = net.res_line_3ph.iloc[0], net.res_bus_3ph.loc[load]
    star = 400 / np.sqrt(3)
    drop = voltage_drop(line.i_a_ka * 1000, 40, 4, phases=1)
    assert drop == pytest.approx(star * (1 - bus.vm_a_pu), rel=1e-5)
    # Own calculation as recorded: 96.71 % on the loaded phase, 100.83 % on the two others.
    assert bus.vm_a_pu == pytest.approx(0.9671, abs=0.00005)
    assert bus.vm_b_pu == pytest.approx(1.0083, abs=0.00005)
    # The neutral point of the load moves by half of the drop, which the idle phases see.
    neutral = drop / 2
    assert bus.vm_b_pu * star == pytest.approx(abs(star * np.exp(-2j * np.pi / 3) - neutral), rel=1e-5)
    assert cable_loss(line.i_a_ka * 1000, 40, 4, phases=1) == pytest.approx(line.pl_a_mw * 1e6, rel=1e-5)
