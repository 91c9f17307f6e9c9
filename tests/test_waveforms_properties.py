"""Waveforms, samples at uneven steps and harmonics: integrals, closed forms, identities, refusals."""

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import integrate, signal
from test_formulas_properties import NO_NUMBERS

from acpower.harmonics import harmonic_phasors, harmonics
from acpower.rms import (
    combined_rms,
    crest_factor,
    form_factor,
    mean,
    pulse_rms,
    rectified_mean,
    rms,
    total_harmonic_distortion,
)
from acpower.waveforms import SHAPES, two_level, waveform

DUTY = 0.3
# Written down a second time, with scipy where it knows the shape. Each with the places of its jumps and bends.
SECOND_ROUTE: dict[str, tuple[Callable[[float], float], tuple[float, ...]]] = {
    "sine": (lambda t: np.imag(np.exp(2j * np.pi * t)), (0.5,)),
    "full-wave rectified sine": (lambda t: abs(np.imag(np.exp(2j * np.pi * t))), (0.5,)),
    "half-wave rectified sine": (lambda t: max(np.imag(np.exp(2j * np.pi * t)), 0.0), (0.5,)),
    "square": (lambda t: float(signal.square(2 * np.pi * t)), (0.5,)),
    "triangle": (lambda t: float(signal.sawtooth(2 * np.pi * (t + 0.25), 0.5)), (0.25, 0.75)),
    "pulse": (lambda t: float(t < DUTY), (DUTY,)),
}
each_shape = pytest.mark.parametrize("shape", SHAPES)

levels = st.floats(-1000, 1000)
duties = st.floats(0, 1)
steps = st.floats(1e-3, 1.0)
# Curves of straight lines at uneven steps: (values, stamps)
curves = st.lists(st.tuples(levels, steps), min_size=2, max_size=12).map(
    lambda rows: (
        np.array([value for value, _ in rows]),
        np.cumsum([step for _, step in rows]),
    )
)
live_curves = curves.filter(lambda curve: np.max(np.abs(curve[0])) > 1e-3)


def integral(
    function: Callable[[float], float], stamps: np.ndarray, bends: list[float] | None = None
) -> float:
    """Return the mean of a function between the first and the last stamp, piece by piece."""
    edges = np.unique([*stamps, *(bends or [])])
    pieces = [integrate.fixed_quad(np.vectorize(function), a, b, n=4)[0] for a, b in pairwise(edges)]
    return float(np.sum(pieces) / (stamps[-1] - stamps[0]))


# ---- Waveforms


def test_the_shapes_are_these() -> None:
    assert tuple(SECOND_ROUTE) == SHAPES


@each_shape
def test_waveform_agrees_with_its_second_route(shape: str) -> None:
    wave, _ = SECOND_ROUTE[shape]
    turns = np.linspace(0.001, 0.999, 777)
    expected = [wave(turn) for turn in turns]
    assert waveform(shape, turns, DUTY) == pytest.approx(expected, abs=1e-12)


@each_shape
def test_waveform_repeats_with_every_turn_and_has_a_peak_of_one(shape: str) -> None:
    turns = np.arange(400) / 400
    once = waveform(shape, turns, DUTY)
    assert np.max(np.abs(once)) == pytest.approx(1.0, abs=1e-12)
    for whole in (-3, -1, 1, 7):
        # moved off the edges, where the last digit of a turn decides
        assert waveform(shape, turns + 1e-4 + whole, DUTY) == pytest.approx(
            waveform(shape, turns + 1e-4, DUTY), abs=1e-9
        )


@pytest.mark.parametrize(
    ("shape", "turn", "value"),
    [
        ("square", 0.0, 1.0), ("square", 0.4999, 1.0), ("square", 0.5, -1.0), ("square", 1.0, 1.0),
        ("pulse", 0.0, 1.0), ("pulse", 0.2999, 1.0), ("pulse", 0.3, 0.0), ("pulse", 0.9999, 0.0),
        ("sine", 0.25, 1.0), ("sine", 0.75, -1.0), ("triangle", 0.0, 0.0), ("triangle", 0.25, 1.0),
        ("full-wave rectified sine", 0.75, 1.0), ("half-wave rectified sine", 0.75, 0.0),
    ],
)  # fmt: skip
def test_waveform_at_its_edges_and_crests(shape: str, turn: float, value: float) -> None:
    result = waveform(shape, turn, DUTY)
    assert type(result) is float
    assert result == pytest.approx(value, abs=1e-12)


def test_half_of_the_period_is_the_usual_duty() -> None:
    assert waveform("pulse", [0.49, 0.5]).tolist() == [1.0, 0.0]


@pytest.mark.parametrize("turn", [-1e-20, 0.0, 0.7, 1 - 1e-16, 1e100, -1e100])
def test_duty_of_one_is_always_high_and_of_zero_never(turn: float) -> None:
    assert (waveform("pulse", turn, 1.0), waveform("pulse", turn, 0.0)) == (1.0, 0.0)
    assert (two_level(turn, 9, 1.0, -12), two_level(turn, 9, 0.0, -12)) == (9.0, -12.0)


@given(levels, st.integers(0, 40), levels)
def test_two_levels_have_the_rms_value_of_their_formula(high: float, count: int, low: float) -> None:
    turns = (np.arange(40) + 0.5) / 40
    assert rms(two_level(turns, high, count / 40, low)) == pytest.approx(pulse_rms(high, count / 40, low))


@given(st.floats(-5, 5), duties)
def test_pulse_and_square_are_signals_of_two_levels(turn: float, duty: float) -> None:
    assert waveform("pulse", turn, duty) == two_level(turn, 1, duty)
    assert waveform("square", turn) == two_level(turn, 1, 0.5, -1)


def test_waveforms_broadcast() -> None:
    turns, shares = np.array([0.1, 0.4, 0.6, 0.9]), np.array([[0.25], [0.5], [0.75]])
    for shape in SHAPES:
        table = waveform(shape, turns, shares)
        assert table.shape == (3, 4)
        assert table[2, 1] == waveform(shape, 0.4, 0.75)
        table[0, 0] = 5.0  # the result belongs to the caller
    assert two_level(turns, 9, shares, [[-12], [-6], [-3]]).tolist() == [
        [9, -12, -12, -12], [9, 9, -6, -6], [9, 9, 9, -3],
    ]  # fmt: skip


@pytest.mark.parametrize("bad", ["Sine", "", None, 1, ["sine"]])
def test_unknown_shape_lists_the_shapes(bad: object) -> None:
    with pytest.raises(ValueError, match=r"^shape: .* was given; allowed is one of 'sine', .*'pulse'\."):
        waveform(bad, 0.0)


@pytest.mark.parametrize("bad", NO_NUMBERS.values(), ids=NO_NUMBERS)
def test_what_is_no_number_is_refused_by_name(bad: object) -> None:
    calls: dict[str, Callable[[Any], Any]] = {
        "turn": lambda value: waveform("sine", value),
        "duty": lambda value: waveform("pulse", 0.1, value),
        "turn ": lambda value: two_level(value, 9, 0.5),
        "high": lambda value: two_level(0.1, value, 0.5),
        "duty ": lambda value: two_level(0.1, 9, value),
        "low": lambda value: two_level(0.1, 9, 0.5, value),
        "samples": mean,
        "samples ": rectified_mean,
        "samples  ": harmonics,
        "times": lambda value: rms([1, 2, 3], value),
    }
    for name, call in calls.items():
        if bad is None and name == "times":
            continue  # None stands for even steps
        with pytest.raises(
            ValueError, match=rf"^{name.strip()}(\[[\d, ]+\])?: .+ was given; allowed is .+\. Check "
        ):
            call(bad)


@pytest.mark.parametrize("call", [lambda d: waveform("sine", 0.1, d), lambda d: two_level(0.1, 9, d)])
@pytest.mark.parametrize("bad", [-0.01, 1.01, 25])
def test_duty_outside_zero_to_one_is_refused(call: Callable[[float], Any], bad: float) -> None:
    with pytest.raises(ValueError, match=rf"^duty: {bad:g} was given; allowed is 0 to 1"):
        call(bad)


def test_shapes_of_turn_and_duty_must_broadcast() -> None:
    with pytest.raises(ValueError, match=r"^turn and duty: shape \(2,\) with \(3,\)"):
        waveform("pulse", [0, 1], [0.1, 0.2, 0.3])
    with pytest.raises(ValueError, match=r"^turn and low: shape \(2,\) with \(3,\)"):
        two_level([0, 1], 9, 0.5, [1, 2, 3])


# ---- Effective values at uneven steps


@each_shape
def test_uneven_samples_of_a_waveform_against_integrals(shape: str) -> None:
    wave, bends = SECOND_ROUTE[shape]
    even = np.linspace(0, 1, 3001)
    edges = np.array([0.0, *bends, 1.0])
    # denser at the start than at the end, with a stamp on either side of each jump
    stamps = np.unique(np.concatenate([even**1.7, edges[1:] - 1e-9, edges[:-1] + 1e-9]))
    stamps = stamps[(stamps > 0) & (stamps < 1)]
    samples = np.array([wave(t) for t in stamps])
    square, _ = integrate.quad(lambda t: wave(t) ** 2, 0, 1, points=bends)
    plain, _ = integrate.quad(wave, 0, 1, points=bends)
    upright, _ = integrate.quad(lambda t: abs(wave(t)), 0, 1, points=bends)
    times = 0.02 * stamps
    assert rms(samples, times) == pytest.approx(square**0.5, rel=2e-6)
    assert mean(samples, times) == pytest.approx(plain, abs=2e-6)
    assert rectified_mean(samples, times) == pytest.approx(upright, rel=2e-6)
    assert form_factor(samples, times) == pytest.approx(square**0.5 / upright, rel=4e-6)
    assert crest_factor(samples, times) == pytest.approx(square**-0.5, rel=4e-6)
    # Counted as if they were even, the same samples are wrong for all but the flat shapes.
    if shape not in ("square",):
        assert rms(samples) != pytest.approx(square**0.5, rel=1e-3)


@given(curves)
@settings(max_examples=40)
def test_straight_lines_are_integrated_exactly(curve: tuple[np.ndarray, np.ndarray]) -> None:
    values, stamps = curve

    def line(t: float) -> float:
        return float(np.interp(t, stamps, values))

    crossings = [
        a + (b - a) * u / (u - v)
        for (a, b), (u, v) in zip(pairwise(stamps), pairwise(values), strict=True)
        if u * v < 0
    ]
    size = np.max(np.abs(values)) + 1e-12
    assert rms(values, stamps) ** 2 == pytest.approx(
        integral(lambda t: line(t) ** 2, stamps), rel=1e-9, abs=1e-9 * size**2
    )
    assert mean(values, stamps) == pytest.approx(integral(line, stamps), abs=1e-9 * size)
    assert rectified_mean(values, stamps) == pytest.approx(
        integral(lambda t: abs(line(t)), stamps, crossings), abs=1e-9 * size
    )


@pytest.mark.parametrize(
    ("samples", "effective", "plain", "upright"),
    [
        ([3, 3], 3, 3, 3),
        ([0, 3], 3**0.5, 1.5, 1.5),
        ([-3, 3], 3**0.5, 0, 1.5),
        ([-1, 3], (7 / 3) ** 0.5, 1, 1.25),  # triangles of 1/4 and 3/4 of the step, 1 and 3 high
        ([0, 0], 0, 0, 0),
    ],
)
def test_one_step(samples: list[float], effective: float, plain: float, upright: float) -> None:
    times = [0.010, 0.015]
    assert rms(samples, times) == pytest.approx(effective)
    assert mean(samples, times) == pytest.approx(plain)
    assert rectified_mean(samples, times) == pytest.approx(upright)


@given(live_curves, st.floats(1e-3, 1e3), st.floats(-100, 100), st.integers(0, 10), st.floats(0.1, 0.9))
def test_neither_clock_nor_a_sample_more_on_the_line_changes_anything(
    curve: tuple[np.ndarray, np.ndarray], pace: float, start: float, step: int, share: float
) -> None:
    values, stamps = curve
    step %= len(values) - 1
    between = stamps[step] + share * (stamps[step + 1] - stamps[step])
    more_stamps = np.insert(stamps, step + 1, between)
    more_values = np.insert(values, step + 1, np.interp(between, stamps, values))
    for function in (rms, mean, rectified_mean, crest_factor, form_factor):
        expected = pytest.approx(function(values, stamps), rel=1e-6, abs=1e-6)
        assert function(values, stamps * pace + start) == expected
        assert function(more_values, more_stamps) == expected


@given(live_curves, st.floats(-50, 50))
def test_factors_and_means_of_a_scaled_curve(curve: tuple[np.ndarray, np.ndarray], gain: float) -> None:
    assume(abs(gain) > 1e-3)
    values, stamps = curve
    assert rms(gain * values, stamps) == pytest.approx(abs(gain) * rms(values, stamps))
    assert rectified_mean(gain * values, stamps) == pytest.approx(abs(gain) * rectified_mean(values, stamps))
    assert mean(gain * values, stamps) == pytest.approx(gain * mean(values, stamps), rel=1e-6, abs=1e-6)
    assert crest_factor(gain * values, stamps) == pytest.approx(crest_factor(values, stamps))
    assert form_factor(gain * values, stamps) == pytest.approx(form_factor(values, stamps))


@given(live_curves)
def test_means_keep_their_order(curve: tuple[np.ndarray, np.ndarray]) -> None:
    for arguments in (curve, curve[:1]):
        small, middle, large = abs(mean(*arguments)), rectified_mean(*arguments), rms(*arguments)
        assert small <= middle * (1 + 1e-9) + 1e-9
        assert middle <= large * (1 + 1e-9)
        assert form_factor(*arguments) == pytest.approx(large / middle)
        assert crest_factor(*arguments) == pytest.approx(np.max(np.abs(curve[0])) / large)


@given(st.lists(levels, min_size=2, max_size=20))
def test_closed_period_at_even_steps_has_the_same_mean_either_way(samples: list[float]) -> None:
    closed = [*samples, samples[0]]
    assert mean(closed, np.arange(len(closed))) == pytest.approx(mean(samples), abs=1e-9)


@given(st.lists(levels, min_size=1, max_size=20))
def test_even_means_are_the_plain_ones(samples: list[float]) -> None:
    assert mean(samples) == pytest.approx(sum(samples) / len(samples), abs=1e-9)
    assert rectified_mean(samples) == pytest.approx(sum(map(abs, samples)) / len(samples), abs=1e-9)


def test_sine_joined_by_straight_lines_is_low_by_the_stated_share() -> None:
    for count in (50, 100, 400):
        turns = np.arange(count + 1) / count
        short = 1 - rms(waveform("sine", turns), turns) * 2**0.5
        assert short == pytest.approx((np.pi / count) ** 2 / 3, rel=0.01)


FUNCTIONS = [rms, mean, rectified_mean, crest_factor, form_factor]
each_function = pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.__name__)


@each_function
def test_rows_of_samples_share_the_stamps_or_have_their_own(function: Callable[..., Any]) -> None:
    samples = np.array([[1.0, -2.0, 3.0, 0.5], [0.0, 5.0, -1.0, 2.0]])
    stamps = np.array([[0.0, 0.1, 0.5, 0.6], [0.0, 0.4, 0.5, 1.0]])
    assert type(function(samples[0], stamps[0])) is float
    shared = function(samples, stamps[1])
    assert shared.shape == (2,)
    assert shared == pytest.approx([function(row, stamps[1]) for row in samples])
    own = function(samples, stamps)
    assert own == pytest.approx([function(row, times) for row, times in zip(samples, stamps, strict=True)])
    one_curve = function(samples[0], stamps)
    assert one_curve == pytest.approx([function(samples[0], times) for times in stamps])


@each_function
@pytest.mark.parametrize(
    ("times", "message"),
    [
        ([0, 1, 1], r"^times\[2\]: 1 s was given; allowed is two stamps or more, each later than the one"),
        ([0, 2, 1], r"^times\[2\]: 1 s was given"),
        ([1, 0, 2], r"^times\[1\]: 0 s was given"),
        ([0, 1e-101, 1], r"^times\[1\]: 1e-101 s was given"),
        ([[0, 1, 2], [0, 1, 0.5]], r"^times\[1, 2\]: 0\.5 s was given"),
        ([0.5], r"^times: one stamp was given; allowed is two stamps or more"),
        (0.5, r"^times: one stamp was given"),
        ([0, 1], r"^times: 2 stamps for 3 samples was given; allowed is one stamp for each sample"),
        ([0, 1, 2, 3], r"^times: 4 stamps for 3 samples was given"),
    ],
)
def test_stamps_that_do_not_fit_are_refused(
    function: Callable[..., Any], times: object, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        function([1.0, 2.0, 4.0], times)


def test_rows_of_samples_and_stamps_must_broadcast() -> None:
    with pytest.raises(ValueError, match=r"^samples and times: shape \(3, 2\) with \(2, 2\)"):
        rms(np.ones((3, 2)), [[0, 1], [0, 1]])


def test_stamps_as_close_as_allowed_and_values_of_any_size_give_finite_results() -> None:
    for size in (1e-200, 1e-160, 1.0, 1e100):
        for stamps in ([0, 1e-100, 1e100], [-1e100, 1e-100, 1e100], [0, 1, 2]):
            values = np.array([size, -0.5 * size, 0.25 * size])
            for function in FUNCTIONS:
                assert np.isfinite(function(values, stamps))
    # straight lines through zero keep their triangles however small they are
    assert rectified_mean([-1e-170, 1e-170], [0, 1]) == pytest.approx(0.5e-170)


@pytest.mark.parametrize("factor", [crest_factor, form_factor])
def test_factors_of_silence_are_refused_at_uneven_steps(factor: Callable[..., Any]) -> None:
    with pytest.raises(ValueError, match=r"^samples: only 0 was given"):
        factor([0, 0, 0], [0, 1, 3])


# ---- Harmonics


@each_shape
def test_harmonics_against_fourier_integrals(shape: str) -> None:
    wave, bends = SECOND_ROUTE[shape]
    count = 20_000
    samples = waveform(shape, (np.arange(count) + 0.5) / count, DUTY)
    found = harmonics(samples, highest=9)
    assert found.shape == (9,)
    for order in range(1, 10):
        parts = [
            2 * integrate.quad(wave, a, b, weight=kind, wvar=2 * np.pi * order)[0]
            for kind in ("cos", "sin")
            for a, b in zip((0.0, *bends), (*bends, 1.0), strict=True)
        ]
        cosine, sine = sum(parts[: len(bends) + 1]), sum(parts[len(bends) + 1 :])
        assert found[order - 1] == pytest.approx(np.hypot(cosine, sine) / 2**0.5, abs=1e-5)


@pytest.mark.parametrize("periods", [1, 2, 5])
def test_harmonics_of_a_known_sum(periods: int) -> None:
    """DC is in none of them; the fundamental stands first; several periods are one spectrum."""
    turn = periods * np.arange(200 * periods) / (200 * periods)
    parts = {1: (10.0, 0.3), 2: (1.5, -1.0), 3: (4.0, 2.0), 40: (0.5, 0.7)}
    samples = 3.0 + sum(
        2**0.5 * size * np.cos(2 * np.pi * order * turn + angle) for order, (size, angle) in parts.items()
    )
    found = harmonics(samples, periods)
    assert found.shape == (40,)
    expected = np.zeros(40)
    expected[[order - 1 for order in parts]] = [size for size, _ in parts.values()]
    assert found == pytest.approx(expected, abs=1e-12)
    phasors = harmonic_phasors(samples, periods)
    for order, (size, angle) in parts.items():
        assert phasors[order - 1] == pytest.approx(size * np.exp(1j * angle), abs=1e-12)
    assert combined_rms([mean(samples), *found]) == pytest.approx(rms(samples))
    assert total_harmonic_distortion(found[0], found[1:]) == pytest.approx(np.sqrt(1.5**2 + 16 + 0.25) / 10)


def test_sine_lies_ninety_degrees_behind_the_cosine() -> None:
    samples = waveform("sine", np.arange(100) / 100)
    assert harmonic_phasors(samples, highest=1) == pytest.approx([-1j / 2**0.5])


def test_square_wave_has_odd_harmonics_that_fall_with_their_order() -> None:
    """4 / (pi k) of the peak for odd k: the series of every textbook, from memory."""
    found = harmonics(waveform("square", (np.arange(40_000) + 0.5) / 40_000), highest=7)
    assert found == pytest.approx([4 / np.pi / k / 2**0.5 if k % 2 else 0 for k in range(1, 8)], abs=1e-6)


def test_harmonics_work_over_the_last_axis() -> None:
    turn = np.arange(90) / 90
    samples = np.array([[np.sin(2 * np.pi * turn), np.sin(4 * np.pi * turn)]] * 3)
    found = harmonics(samples, highest=2)
    assert found.shape == (3, 2, 2)
    assert found[1] == pytest.approx(np.eye(2) / 2**0.5, abs=1e-12)


def test_more_than_two_samples_per_period_and_order_are_needed() -> None:
    for periods, highest in ((1, 40), (3, 2), (2, 1)):
        enough = 2 * highest * periods + 1
        assert harmonics(np.ones(enough), periods, highest).shape == (highest,)
        message = (
            rf"^samples: {enough - 1} of them for {periods} periods was given; "
            rf"allowed is more than {2 * highest} per period for {highest} harmonics"
        )
        with pytest.raises(ValueError, match=message):
            harmonics(np.ones(enough - 1), periods, highest)


@pytest.mark.parametrize("name", ["periods", "highest"])
@pytest.mark.parametrize("bad", [0, -1, 1.0, True, np.True_, "1", None, [1], np.array([1])])
def test_counts_must_be_whole_numbers_of_one_or_more(name: str, bad: object) -> None:
    with pytest.raises(ValueError, match=rf"^{name}: .+ was given; allowed is a whole number of 1 or more"):
        harmonics(np.ones(200), **{name: bad})


def test_counts_may_be_numpy_integers() -> None:
    assert harmonics(np.ones(200), np.int64(2), np.int32(3)).shape == (3,)


def test_forty_orders_are_given_unless_others_are_asked_for() -> None:
    assert harmonics(np.ones(200)).shape == harmonic_phasors(np.ones(200)).shape == (40,)
