"""What meters show: the table of waveforms, the control pilot, and integrals as the second route."""

from dataclasses import FrozenInstanceError, astuple, fields

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from published import half_of_last_digit
from scipy import integrate
from test_formulas_properties import NO_NUMBERS

from acpower import tables
from acpower.figures import read_waveform
from acpower.meters import AVERAGE_RESPONDING_FACTOR, MeterReadings, meter_readings
from acpower.rms import mean, pulse_rms, rms
from acpower.waveforms import SHAPES, two_level, waveform

# Ten thousand places of one period, none of them on an edge of a shape.
TURNS = (np.arange(10_000) + 0.5) / 10_000
levels = st.floats(-1000, 1000)


def of_row(name: str) -> np.ndarray:
    """Return the samples of a row of the table of waveforms."""
    shape, _, percent = name.removesuffix(" %").partition("pulse ")
    return waveform(shape or "pulse", TURNS, int(percent or 50) / 100)


@pytest.mark.parametrize("row", tables.rows("waveforms"), ids=lambda row: row["waveform"])
def test_meters_agree_with_the_table_of_waveforms(row: dict[str, str]) -> None:
    """Lessons In Electric Circuits, volume II, chapter 1; tutorial on the form factor; own calculation."""
    shown = meter_readings(of_row(row["waveform"]))
    assert shown.true_rms_ac_dc == pytest.approx(float(row["rms"]), abs=half_of_last_digit(row["rms"]))
    by_mean = shown.average_responding_ac_dc / AVERAGE_RESPONDING_FACTOR
    assert by_mean == pytest.approx(
        float(row["rectified_mean"]), abs=half_of_last_digit(row["rectified_mean"])
    )


def test_built_in_factor_is_the_published_form_factor_of_a_sine() -> None:
    """Lessons In Electric Circuits, volume II, chapter 1: 1.1107."""
    assert pytest.approx(1.1107, abs=half_of_last_digit("1.1107")) == AVERAGE_RESPONDING_FACTOR


# Calculated for this package from the two levels; the tests below repeat it by integrals.
PILOT = [
    ("B", 9, 10, "11.735", "-9.900"), ("B", 9, 50, "10.607", "-1.500"), ("B", 9, 85, "9.511", "5.850"),
    ("C", 6, 10, "11.541", "-10.200"), ("C", 6, 50, "9.487", "-3.000"), ("C", 6, 85, "7.225", "3.300"),
]  # fmt: skip
each_pilot = pytest.mark.parametrize(
    ("high", "duty_percent", "effective", "plain"),
    [row[1:] for row in PILOT],
    ids=[f"state {state}, {duty} %" for state, _, duty, _, _ in PILOT],
)


@each_pilot
def test_meters_on_the_control_pilot(high: int, duty_percent: int, effective: str, plain: str) -> None:
    shown = meter_readings(two_level(TURNS, high, duty_percent / 100, -12))
    assert shown.true_rms_ac_dc == pytest.approx(float(effective), abs=half_of_last_digit(effective))
    assert shown.dc == pytest.approx(float(plain), abs=half_of_last_digit(plain))
    assert shown.true_rms_ac_dc == pytest.approx(pulse_rms(high, duty_percent / 100, -12))


@each_pilot
def test_meters_on_the_control_pilot_against_integrals(
    high: int, duty_percent: int, effective: str, plain: str
) -> None:
    duty = duty_percent / 100

    def over_a_period(function: object) -> float:
        wave = lambda t: function(high if t < duty else -12)  # noqa: E731
        return sum(integrate.quad(wave, *ends)[0] for ends in ((0, duty), (duty, 1)))

    dc = over_a_period(lambda v: v)
    factor = 1 / (integrate.quad(lambda t: abs(np.sin(2 * np.pi * t)), 0, 1)[0] * 2**0.5)
    shown = meter_readings(two_level(TURNS, high, duty, -12))
    assert shown.dc == pytest.approx(dc)
    assert shown.true_rms_ac_dc == pytest.approx(over_a_period(lambda v: v**2) ** 0.5)
    assert shown.true_rms_ac == pytest.approx(over_a_period(lambda v: (v - dc) ** 2) ** 0.5)
    assert shown.average_responding_ac_dc == pytest.approx(factor * over_a_period(abs))
    assert shown.average_responding_ac == pytest.approx(factor * over_a_period(lambda v: abs(v - dc)))


def test_no_reading_tells_state_and_current_of_the_pilot() -> None:
    """Whatever a meter shows in state C at 41 % of duty, it shows in state B at some other duty."""
    for reading in ("true_rms_ac_dc", "dc"):
        in_c = getattr(meter_readings(two_level(TURNS, 6, 0.41, -12)), reading)
        in_b = [getattr(meter_readings(two_level(TURNS, 9, d / 20, -12)), reading) for d in range(21)]
        assert min(in_b) < in_c < max(in_b)


def test_half_wave_rectified_sine_by_closed_forms() -> None:
    """RMS 1/2 and mean 1/pi; the rectified mean without DC by the area above the mean."""
    shown = meter_readings(waveform("half-wave rectified sine", TURNS))
    assert shown.true_rms_ac_dc == pytest.approx(0.5)
    assert shown.dc == pytest.approx(1 / np.pi)
    assert shown.true_rms_ac == pytest.approx((1 / 4 - 1 / np.pi**2) ** 0.5)
    lies_above = [np.arcsin(1 / np.pi), np.pi - np.arcsin(1 / np.pi)]
    positive, _ = integrate.quad(lambda angle: np.sin(angle) - 1 / np.pi, *lies_above)
    # what lies above the mean is as large as what lies below it
    assert shown.average_responding_ac == pytest.approx(
        AVERAGE_RESPONDING_FACTOR * 2 * positive / (2 * np.pi), rel=1e-6
    )


def test_the_meters_differ_on_everything_but_a_sine() -> None:
    sine = meter_readings(325 * waveform("sine", TURNS))
    ac = [value for field, value in zip(fields(sine), astuple(sine), strict=True) if field.name != "dc"]
    assert ac == pytest.approx([325 / 2**0.5] * 4)
    assert sine.dc == pytest.approx(0, abs=1e-9)
    square = meter_readings(waveform("square", TURNS))
    assert square.average_responding_ac / square.true_rms_ac == pytest.approx(np.pi / 8**0.5)


@given(st.lists(levels, min_size=1, max_size=20), levels)
def test_dc_moves_the_dc_range_and_no_ac_range(samples: list[float], offset: float) -> None:
    before, after = meter_readings(samples), meter_readings(np.array(samples) + offset)
    close = {"rel": 1e-6, "abs": 1e-6}
    assert after.dc == pytest.approx(before.dc + offset, **close)
    assert after.true_rms_ac == pytest.approx(before.true_rms_ac, **close)
    assert after.average_responding_ac == pytest.approx(before.average_responding_ac, **close)
    assert after.true_rms_ac_dc == pytest.approx(np.hypot(after.true_rms_ac, after.dc), **close)
    assert after.true_rms_ac_dc == pytest.approx(rms(np.array(samples) + offset), **close)
    assert after.dc == pytest.approx(mean(np.array(samples) + offset), **close)


@pytest.mark.parametrize("shape", SHAPES)
def test_uneven_steps_show_the_same(shape: str) -> None:
    stamps = np.linspace(0, 1, 20_001) ** 1.5
    even, uneven = meter_readings(waveform(shape, TURNS)), meter_readings(waveform(shape, stamps), stamps)
    assert astuple(uneven) == pytest.approx(astuple(even), abs=3e-4)


def test_straight_lines_are_taken_exactly() -> None:
    """One triangle from -1 to 3: mean 1, so that the AC part is a triangle of 2."""
    shown = meter_readings([-1, 3, -1], times=[0, 0.004, 0.020])
    assert shown.dc == pytest.approx(1)
    assert shown.true_rms_ac_dc == pytest.approx((7 / 3) ** 0.5)
    assert shown.true_rms_ac == pytest.approx(2 / 3**0.5)
    assert shown.average_responding_ac == pytest.approx(AVERAGE_RESPONDING_FACTOR)
    assert shown.average_responding_ac_dc == pytest.approx(1.25 * AVERAGE_RESPONDING_FACTOR)


@pytest.mark.parametrize("shape", SHAPES)
def test_figures_show_these_readings_in_their_range_for_ac_and_dc(shape: str) -> None:
    figure, samples = read_waveform(shape, 100.0, 0.3), 100 * waveform(shape, np.arange(1000) / 1000, 0.3)
    shown = meter_readings(samples)
    assert figure.true_rms_meter == figure.rms == shown.true_rms_ac_dc
    assert figure.average_responding_meter == shown.average_responding_ac_dc


def test_rows_of_samples_give_rows_of_readings() -> None:
    samples = np.array([[[9.0, -12.0, 3.0]], [[6.0, -12.0, 1.0]]])
    many = meter_readings(samples)
    for field in fields(MeterReadings):
        column = getattr(many, field.name)
        assert column.shape == (2, 1)
        assert column[1, 0] == pytest.approx(getattr(meter_readings(samples[1, 0]), field.name))
        assert type(getattr(meter_readings(samples[1, 0]), field.name)) is float


def test_nothing_shows_nothing_and_very_small_and_large_values_are_shown() -> None:
    assert astuple(meter_readings([0, 0])) == (0.0,) * 5
    for size in (1e-200, 1e100):
        shown = meter_readings([size, 0])
        assert shown.true_rms_ac_dc / size == pytest.approx(0.5**0.5)
        assert shown.true_rms_ac / size == pytest.approx(0.5)


def test_readings_cannot_be_changed() -> None:
    with pytest.raises(FrozenInstanceError):
        meter_readings([1, 2]).dc = 0.0


@pytest.mark.parametrize("bad", NO_NUMBERS.values(), ids=NO_NUMBERS)
def test_what_is_no_number_is_refused_by_name(bad: object) -> None:
    with pytest.raises(ValueError, match=r"^samples(\[[\d, ]+\])?: .+ was given; allowed is .+\. Check "):
        meter_readings(bad)
    if bad is not None:
        with pytest.raises(ValueError, match=r"^times(\[[\d, ]+\])?: .+ was given; allowed is .+\. Check "):
            meter_readings([1, 2], bad)


def test_stamps_must_rise() -> None:
    with pytest.raises(ValueError, match=r"^times\[1\]: 0 s was given; allowed is two stamps or more"):
        meter_readings([1, 2], [0, 0])
