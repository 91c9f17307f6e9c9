"""The feeder against the unbalanced power flow of pandapower, against closed forms, and by itself."""

from typing import Any

import numpy as np
import pandapower as pp
import pytest
from hypothesis import given
from hypothesis import strategies as st

from acpower.feeder import FeederEnd, feeder_end, voltage_unbalance

SOURCE = 400 / np.sqrt(3)
KM = 0.040  # length of the feeders below
TURN = np.exp(-2j * np.pi / 3)
STAR = np.array([1, TURN, TURN**2])


def power_flow(powers: list[complex], line: complex, neutral: complex) -> tuple[Any, Any]:
    """Return pandapower's results for the end of the feeder and for its line, impedances in ohm."""
    net = pp.create_empty_network()
    start, end = pp.create_buses(net, 2, vn_kv=0.4)
    # stiff: the source has a short-circuit power of 1e14 VA
    pp.create_ext_grid(net, start, s_sc_max_mva=1e8, rx_max=0.1, r0x0_max=0.1, x0x_max=1.0)
    zero_sequence = line + 3 * neutral
    pp.create_line_from_parameters(
        net, start, end, KM,
        r_ohm_per_km=line.real / KM, x_ohm_per_km=line.imag / KM, c_nf_per_km=0.0, max_i_ka=1.0,
        r0_ohm_per_km=zero_sequence.real / KM, x0_ohm_per_km=zero_sequence.imag / KM, c0_nf_per_km=0.0,
    )  # fmt: skip
    parts = {
        f"{letter}_{name}": size / 1e6
        for name, power in zip("abc", map(complex, powers), strict=True)
        for letter, size in [("p", power.real), ("q", power.imag)]
    }
    pp.create_asymmetric_load(
        net, end, **{f"{k}_{'mw' if k[0] == 'p' else 'mvar'}": v for k, v in parts.items()}
    )
    pp.runpp_3ph(net, numba=False, tolerance_mva=1e-12)
    return net.res_bus_3ph.loc[end], net.res_line_3ph.loc[0]


COPPER_4 = 4.61 * KM  # IEC 60228, class 2, 4 mm2 at 20 degC
SMALL = 1e-6j  # pandapower wants a reactance in each line
CASES = {
    "one charger, 4.6 kW": ([4600, 0, 0], COPPER_4 + SMALL, COPPER_4 + SMALL),
    "one charger on L3": ([0, 0, 7360], COPPER_4 + SMALL, COPPER_4 + SMALL),
    "one charger with lagging current": ([4600 + 1500j, 0, 0], COPPER_4 + 0.0032j, COPPER_4 + 0.0032j),
    "two phases of a vehicle": ([3680, 3680, 0], COPPER_4 + 0.0032j, COPPER_4 + 0.0032j),
    "three unequal loads": ([7000 + 900j, 2300, 1200 - 400j], 0.1 + 0.01j, 0.1 + 0.01j),
    "balanced": ([5000 + 1000j] * 3, 0.12 + 0.02j, 0.12 + 0.02j),
    "thin neutral": ([5000, 1000 + 300j, 0], 0.08 + 0.01j, 0.25 + 0.03j),
    "feeding back on one phase": ([-4000, 3000, 500j], 0.15 + 0.02j, 0.15 + 0.02j),
}


@pytest.mark.parametrize(("powers", "line", "neutral"), CASES.values(), ids=CASES)
def test_feeder_against_unbalanced_power_flow(powers: list[complex], line: complex, neutral: complex) -> None:
    end = feeder_end(SOURCE, powers, line, neutral)
    bus, branch = power_flow(powers, line, neutral)
    assert abs(end.phase_voltages) / SOURCE == pytest.approx(
        bus[["vm_a_pu", "vm_b_pu", "vm_c_pu"]].to_numpy(), abs=1e-6
    )
    assert np.degrees(np.angle(end.phase_voltages)) == pytest.approx(
        bus[["va_a_degree", "va_b_degree", "va_c_degree"]].to_numpy(), abs=1e-4
    )
    assert abs(end.line_currents) == pytest.approx(
        1000 * branch[["i_a_ka", "i_b_ka", "i_c_ka"]].to_numpy(), rel=1e-5, abs=1e-4
    )
    assert end.neutral_current == pytest.approx(1000 * branch["i_n_ka"], rel=1e-5, abs=1e-4)
    assert 100 * end.unbalance == pytest.approx(bus["unbalance_percent"], abs=1e-4)


def test_one_charger_lowers_its_phase_and_lifts_the_others_in_both_programs() -> None:
    """own-calculation: phase 1 at 96.71 % and the other two at 100.83 %."""
    bus, _ = power_flow([4600, 0, 0], COPPER_4 + SMALL, COPPER_4 + SMALL)
    assert 100 * bus["vm_a_pu"] == pytest.approx(96.71, abs=0.005)
    assert 100 * bus[["vm_b_pu", "vm_c_pu"]].to_numpy() == pytest.approx(100.83, abs=0.005)


# ---- Closed forms


def closed_form(power: float, ohms: float) -> float:
    """Return the voltage of a load of constant power behind a resistance: V^2 - E V + P R = 0."""
    return (SOURCE + np.sqrt(SOURCE**2 - 4 * power * ohms)) / 2


@pytest.mark.parametrize("share", [0, 0.1, 0.5, 0.9, 0.9998])
@pytest.mark.parametrize("phase", [0, 1, 2])
def test_one_load_against_the_quadratic_equation(share: float, phase: int) -> None:
    line, neutral = 0.2, 0.3
    power = share * SOURCE**2 / (4 * (line + neutral))
    end = feeder_end(SOURCE, power * np.eye(3)[phase], line, neutral)
    voltage = closed_form(power, line + neutral)
    current = power / voltage
    assert end.phase_voltages[phase] == pytest.approx(voltage * STAR[phase], rel=1e-9)
    assert end.neutral_current == pytest.approx(current, rel=1e-9)
    for other in {0, 1, 2} - {phase}:  # it sees the drop on the neutral only
        assert end.phase_voltages[other] == pytest.approx(
            SOURCE * STAR[other] - neutral * current * STAR[phase], rel=1e-9
        )


@pytest.mark.parametrize(("share", "neutral"), [(0.1, 0.2), (0.1, 1.5), (0.88, 0.2), (0.999, 0)])
def test_balanced_loads_against_the_quadratic_equation_without_neutral(share: float, neutral: float) -> None:
    power = share * SOURCE**2 / (4 * 0.2)
    end = feeder_end(SOURCE, [power] * 3, 0.2, neutral)
    assert end.phase_voltages == pytest.approx(closed_form(power, 0.2) * STAR, rel=1e-9)
    assert end.neutral_current == pytest.approx(0, abs=1e-6)
    assert end.unbalance == pytest.approx(0, abs=1e-9)


def test_balanced_loads_with_a_neutral_are_refused_from_a_drop_of_a_third_on() -> None:
    """R (R + 3 R) (P / V^2)^2 = 1, the gain of two steps, where V = 2/3 E and P = 8/9 of E^2 / 4 R."""
    for share in (0.885, 0.895):
        power = share * SOURCE**2 / (4 * 0.2)
        if share < 8 / 9:
            assert abs(feeder_end(SOURCE, [power] * 3, 0.2, 0.2).phase_voltages[0]) > 2 / 3 * SOURCE
        else:
            with pytest.raises(ValueError, match=r"^powers: [\d.]+ VA together was given"):
                feeder_end(SOURCE, [power + 1, power, power], 0.2, 0.2)


def test_one_phase_has_twice_the_drop_of_three_at_the_same_current() -> None:
    """Own calculation: with a neutral as thick as the lines; the balanced one leaves it idle."""
    ohms, current = 0.1, 16
    single = feeder_end(230, [(230 - 2 * ohms * current) * current, 0, 0], ohms, ohms)
    three = feeder_end(230, [(230 - ohms * current) * current] * 3, ohms, ohms)
    assert abs(single.line_currents[0]) == pytest.approx(abs(three.line_currents[0])) == pytest.approx(16)
    assert 230 - abs(single.phase_voltages[0]) == pytest.approx(2 * (230 - abs(three.phase_voltages[0])))


# ---- Identities and limits

powers = st.tuples(*[st.builds(complex, st.floats(-5000, 8000), st.floats(-2000, 2000))] * 3)
ohms = st.builds(complex, st.floats(0, 0.3), st.floats(-0.1, 0.1))


@given(powers, ohms, ohms)
def test_source_gives_what_loads_and_conductors_take(
    loads: tuple[complex, ...], line: complex, neutral: complex
) -> None:
    end = feeder_end(230, loads, line, neutral)
    assert end.phase_voltages * np.conj(end.line_currents) == pytest.approx(np.array(loads), abs=1e-6)
    given_out = np.sum(230 * STAR * np.conj(end.line_currents))
    lost = line * np.sum(abs(end.line_currents) ** 2) + neutral * end.neutral_current**2
    assert given_out == pytest.approx(sum(loads) + lost, abs=1e-5)
    assert end.unbalance == voltage_unbalance(end.phase_voltages)


def test_stiff_feeder_and_idle_feeder_keep_the_source_voltage() -> None:
    assert feeder_end(230, [7000, 100j, 0], 0, 0).phase_voltages == pytest.approx(230 * STAR)
    idle = feeder_end(230, [0, 0, 0], 1, 1)
    assert idle.phase_voltages == pytest.approx(230 * STAR)
    assert (idle.neutral_current, idle.unbalance) == (0.0, pytest.approx(0, abs=1e-12))


def test_line_and_neutral_are_told_apart() -> None:
    end = feeder_end(230, [3000, 0, 0], 0.4, 0)
    assert abs(end.phase_voltages[1:]) == pytest.approx(230)
    assert abs(feeder_end(230, [3000, 0, 0], 0, 0.4).phase_voltages[1:]) == pytest.approx(
        abs(230 * STAR[1:] - 0.4 * end.line_currents[0])
    )


def test_leading_axes_broadcast_and_equal_the_loop() -> None:
    voltages, loads = np.array([[230.0], [240.0]]), np.array([[4600, 0, 0], [1000, 2000j, 500], [0, 0, 9000]])
    lines, neutrals = np.array([0.1, 0.2, 0.3]), np.array([[0.1j], [0.2]])
    many = feeder_end(voltages, loads, lines, neutrals)
    assert many.phase_voltages.shape == many.line_currents.shape == (2, 3, 3)
    assert many.neutral_current.shape == many.unbalance.shape == (2, 3)
    for row in range(2):
        for column in range(3):
            one = feeder_end(voltages[row, 0], loads[column], lines[column], neutrals[row, 0])
            assert type(one.neutral_current) is type(one.unbalance) is float
            assert many.phase_voltages[row, column] == pytest.approx(one.phase_voltages, rel=1e-9)
            assert many.line_currents[row, column] == pytest.approx(one.line_currents, rel=1e-9, abs=1e-9)
            assert many.neutral_current[row, column] == pytest.approx(one.neutral_current, abs=1e-9)
            assert many.unbalance[row, column] == pytest.approx(one.unbalance, abs=1e-9)


# ---- Refusals


@pytest.mark.parametrize("excess", [0.99999, 1.001, 1.2, 2.0, 4.0, 1000.0])
def test_load_beyond_the_maximum_is_refused_with_the_maximum(excess: float) -> None:
    """E^2 / 4 R with 230 V and 0.4 + 0.1 ohm: 26 450 W; so near below it 1000 steps do not settle."""
    with pytest.raises(
        ValueError, match=r"^powers: [\d.]+ VA together .*one phase alone takes at most 26450 W "
    ):
        feeder_end(230, [excess * 26_450, 0, 0], 0.4, 0.1)


def test_maximum_of_an_impedance_is_told_for_power_factor_1() -> None:
    """Both sides of it: with 0.3 + 0.4j ohm the most is E^2 / 2 (0.5 + 0.3)."""
    most = 230**2 / (2 * (0.5 + 0.3))
    assert abs(feeder_end(230, [0.999 * most, 0, 0], 0.3 + 0.4j, 0).line_currents[0]) > 0
    with pytest.raises(ValueError, match=f"at most {most:.6g} W"):
        feeder_end(230, [1.001 * most, 0, 0], 0.3 + 0.4j, 0)


def test_refusal_points_to_the_case_that_is_too_much() -> None:
    loads = [[1000, 0, 0], [1000, 60_000j, 0], [50_000, 0, 0]]
    with pytest.raises(ValueError, match=r"^powers\[1\]: 61000 VA together .* at most 26450 W "):
        feeder_end([115, 230, 230], loads, [0.1, 0.5, 0.1], 0)


def test_lines_to_no_end_are_refused_as_loads_that_are_too_much() -> None:
    with pytest.raises(ValueError, match=r"^powers: 1e\+100 VA together was given"):
        feeder_end(1e-100, [1e100, 0, 0], 1e100, 1e100)


@pytest.mark.parametrize(
    ("name", "bad", "allowed"),
    [
        ("phase_voltage", 0, "above 0 V"),
        ("phase_voltage", -230, "above 0 V"),
        ("phase_voltage", 230 + 0j, "above 0 V"),
        ("powers", [1, 2], "three complex numbers in VA"),
        ("powers", [1, 2, np.nan], "three complex numbers in VA"),
        ("powers", None, "three complex numbers in VA"),
        ("line_impedance", -0.1, "a resistance of 0 ohm or more"),
        ("line_impedance", [0.1, -0.1 + 1j], "a resistance of 0 ohm or more"),
        ("line_impedance", True, "complex numbers in ohm"),
        ("line_impedance", [], "complex numbers in ohm"),
        ("neutral_impedance", -1e-9, "a resistance of 0 ohm or more"),
        ("neutral_impedance", np.inf, "complex numbers in ohm"),
        ("neutral_impedance", "0.1", "complex numbers in ohm"),
        ("neutral_impedance", 1e101j, "complex numbers in ohm"),
    ],
)
def test_bad_value_is_refused_by_name(name: str, bad: object, allowed: str) -> None:
    good = {"phase_voltage": 230, "powers": [1000, 0, 0], "line_impedance": 0.1, "neutral_impedance": 0.1}
    with pytest.raises(ValueError, match=rf"^{name}(\[\d\])?: .+ was given; allowed is {allowed}"):
        feeder_end(**good | {name: bad})


def test_shapes_that_do_not_broadcast_are_refused() -> None:
    with pytest.raises(ValueError, match=r"phase_voltage and .*line_impedance.*shape .* broadcast"):
        feeder_end([230, 230], [1000, 0, 0], [0.1, 0.1, 0.1], 0.1)


# ---- Unbalance


@given(st.floats(0.1, 400), st.floats(0, 1), st.floats(-np.pi, np.pi), st.floats(0, 50))
def test_unbalance_is_the_share_that_turns_backwards(
    forward: float, share: float, angle: float, shift: float
) -> None:
    backward = forward * share * np.exp(1j * angle)
    volts = forward * STAR + backward * np.conj(STAR) + shift
    assert voltage_unbalance(volts) == pytest.approx(share, abs=1e-9 * (1 + shift / forward))
    assert voltage_unbalance(volts[[1, 2, 0]]) == pytest.approx(share, abs=1e-9 * (1 + shift / forward))
    lines = volts - np.roll(volts, -1)
    assert voltage_unbalance(lines) == pytest.approx(share, abs=1e-9 * (1 + shift / forward))


def test_unbalance_of_one_low_phase() -> None:
    """Own calculation by hand: (V - d, V, V) has d/3 backwards and V - d/3 forwards."""
    assert voltage_unbalance([220, 230 * TURN, 230 / TURN]) == pytest.approx((10 / 3) / (230 - 10 / 3))
    many = voltage_unbalance([[220, 230 * TURN, 230 / TURN], 230 * STAR])
    assert many == pytest.approx([10 / 680, 0], abs=1e-12)


@pytest.mark.parametrize("phasors", [[0, 0, 0], [230, 230, 230], [230, 230 / TURN, 230 * TURN]])
def test_voltages_without_positive_sequence_are_refused(phasors: list[complex]) -> None:
    with pytest.raises(
        ValueError, match=r"^positive sequence of phasors: .* V was given; allowed is above 0 V\."
    ):
        voltage_unbalance(phasors)
    with pytest.raises(ValueError, match=r"^positive sequence of phasors\[1\]: .* V was given"):
        voltage_unbalance([230 * STAR, phasors])


def test_very_small_positive_sequence_still_counts() -> None:
    assert voltage_unbalance(230 * np.conj(STAR) + 230e-6 * STAR) == pytest.approx(1e6, rel=1e-6)
    with pytest.raises(ValueError, match=r"^positive sequence of phasors: "):
        voltage_unbalance(230 * np.conj(STAR) + 230e-10 * STAR)


def test_unbalance_needs_three_phasors() -> None:
    with pytest.raises(
        ValueError, match=r"^phasors: shape \(2,\) was given; allowed is three complex numbers in V"
    ):
        voltage_unbalance([230, 230])


def test_record_cannot_be_changed() -> None:
    end = feeder_end(230, [1000, 0, 0], 0.1, 0.1)
    assert isinstance(end, FeederEnd)
    with pytest.raises(AttributeError):
        end.unbalance = 0.0
