"""Statistics of questions against published data, scipy's documented example, and other routes.

Sources:
"The Kuder-Richardson 20, worked data" (KR20.txt), issued by core.ecu.edu: ten students, ten
questions, with p, pq and the variance of the totals printed. Alpha, correlations and standard
errors of these data are own calculations from the published marks.
scipy's documentation of `pointbiserialr`, example: r and p as printed there.
Four persons, three questions: a small published example of alpha of which the inputs are used; alpha
is an own calculation.
Newcombe, Statistics in Medicine 17 (1998) 873-890, 56 of 70 against 48 of 80: from memory.
"""

import itertools
import random

import numpy as np
import pandas as pd
import pytest
from published import half_of_last_digit
from scipy import stats

from acpower.marking.item_statistics import (
    Estimate,
    NotGiven,
    discrimination,
    facility,
    reliability,
    rest_correlation,
    warning,
)

# fmt: off
KR20 = [[int(mark) for mark in row] for row in (
    "1111110110", "1011011101", "1111011001", "0010001000", "0000010010",
    "1110111111", "1101110111", "1111111101", "0101111101", "1101101110",
)]
# fmt: on
# Own calculation: eight invented apprentices with part marks.
PART_MARKS = [
    [4, 3, 6, 2, 4],
    [4, 4, 5, 2, 3],
    [3, 3, 4, 2, 2],
    [2, 1, 3, 1, 2],
    [4, 2, 4, 2, 0],
    [1, 0, 2, 1, 1],
    [0, 1, 1, 0, 0],
    [3, 2, 5, 2, 3],
]  # fmt: skip
PART_OUT_OF = [4, 4, 6, 2, 4]
FOUR_PERSONS = [[4, 5, 4], [3, 4, 3], [5, 5, 5], [2, 3, 2]]


def shares(marks: list[list[int]], place: int, out_of: float = 1) -> list[float]:
    return [row[place] / out_of for row in marks]


def as_printed(printed: str) -> object:
    return pytest.approx(float(printed), rel=1e-9, abs=half_of_last_digit(printed))


# ---- Published data


@pytest.mark.parametrize(
    ("place", "printed"),
    list(enumerate([".7", ".7", ".6", ".7", ".6", ".8", ".7", ".7", ".5", ".6"])),
    ids=lambda value: f"KR20 worked data, p of question {value + 1}" if isinstance(value, int) else value,
)
def test_facility_of_the_published_data(place, printed):
    assert facility(shares(KR20, place)).value == as_printed(printed)


def test_the_published_variance_of_the_totals_is_reproduced():
    totals = [sum(row) for row in KR20]
    assert totals == [8, 7, 7, 2, 2, 9, 8, 9, 7, 7]
    assert np.var(totals) == as_printed("5.84")  # printed with divisor n


def test_alpha_of_the_published_data():
    """KR-20 by its own formula from the printed p and variance: 10/9 · (1 − 2.18 / 5.84)."""
    found = reliability(KR20)
    assert found.alpha.value == pytest.approx(10 / 9 * (1 - 2.18 / 5.84), abs=1e-12)
    assert found.alpha.value == as_printed("0.696347")
    # Own calculation with another statistics library, Feldt's interval.
    assert (found.alpha.low, found.alpha.high, found.alpha.n) == (
        as_printed("0.309"),
        as_printed("0.911"),
        10,
    )
    assert found.standard_error == as_printed("1.40370")


def test_mixed_divisors_are_not_used():
    """pq has divisor n; over the variance with n − 1 it gives 0.737823, which is wrong."""
    pq = sum(np.var(np.array(KR20), axis=0))
    mixed = 10 / 9 * (1 - pq / np.var([sum(row) for row in KR20], ddof=1))
    assert mixed == as_printed("0.737823")
    assert abs(reliability(KR20).alpha.value - mixed) > 0.04
    # The standard deviation of the totals has divisor n − 1; with n it would be 1.33167.
    assert abs(reliability(KR20).standard_error - 1.33167) > 0.07


@pytest.mark.parametrize(
    ("place", "printed"),
    list(
        enumerate(
            [".7059", ".7059", ".0000", ".4736", ".5839", ".2861", "-.0274", ".7059", "-.1236", ".4759"]
        )
    ),
)
def test_rest_correlation_of_the_published_data(place, printed):
    """Own calculation from the published marks."""
    assert rest_correlation(KR20, place).value == as_printed(printed)


def test_part_marks():
    """Own calculation."""
    facilities = [".6562", ".5000", ".6250", ".7500", ".4688"]
    correlations = [".8805", ".7936", ".9709", ".8806", ".6917"]
    for place in range(5):
        found = facility(shares(PART_MARKS, place, PART_OUT_OF[place]))
        assert found.value == pytest.approx(float(facilities[place]), abs=0.5001e-4)  # .65625 was cut
        assert rest_correlation(PART_MARKS, place).value == as_printed(correlations[place])
    whole = reliability(PART_MARKS)
    assert whole.alpha.value == as_printed("0.925881")
    assert (whole.alpha.low, whole.alpha.high) == (as_printed("0.794"), as_printed("0.983"))
    assert whole.standard_error == as_printed("1.64480")


def test_alpha_of_four_persons():
    """Own calculation from published inputs: variances 1.6667, 0.9167, 1.6667, of the totals 12.25."""
    found = reliability(FOUR_PERSONS)
    assert found.alpha.value == pytest.approx(1.5 * (1 - (1.6667 + 0.9167 + 1.6667) / 12.25), abs=1e-4)
    assert found.alpha.value == as_printed("0.979592")


def test_scipys_documented_example():
    """A question of 0 0 0 1 1 1 1 beside a rest of 0 to 6: r = 0.8660254, p = 0.011724811."""
    found = rest_correlation([[mark, rest] for rest, mark in enumerate([0, 0, 0, 1, 1, 1, 1])], 0)
    assert found.value == as_printed("0.8660254")
    t = found.value * np.sqrt(5 / (1 - found.value**2))
    assert 2 * stats.t.sf(t, 5) == as_printed("0.011724811")


# ---- Intervals


@pytest.mark.parametrize(
    ("n", "low", "high"), [(8, ".22", ".78"), (12, ".25", ".75"), (20, ".30", ".70"), (30, ".33", ".67")]
)
def test_what_half_right_means_at_class_size(n, low, high):
    """Own calculation, Wilson."""
    found = facility([0, 1] * (n // 2))
    assert (found.value, found.low, found.high, found.n) == (0.5, as_printed(low), as_printed(high), n)


@pytest.mark.parametrize(("right", "n"), [(0, 5), (5, 5), (1, 1), (7, 22), (29, 30), (3, 200)])
def test_wilson_is_that_of_scipy(right, n):
    found = facility([1] * right + [0] * (n - right))
    expected = stats.binomtest(right, n).proportion_ci(method="wilson")
    assert (found.low, found.high) == pytest.approx((expected.low, expected.high), abs=1e-12)
    assert 0 <= found.low <= found.value <= found.high <= 1


def test_the_interval_of_part_marks_is_on_the_safe_side():
    """Shares in between vary less than noughts and ones: in 95 % of draws or more the mean lies inside."""
    draw = random.Random(5)
    levels, weights = [0, 0.5, 1], [0.2, 0.5, 0.3]
    inside = 0
    for _ in range(1000):
        found = facility(draw.choices(levels, weights, k=24))
        inside += found.low <= 0.55 <= found.high
    assert 0.95 <= inside / 1000 < 1.0


def test_newcombes_interval_of_a_difference():
    """56 of 70 less 48 of 80 is 0.2000, from 0.0524 to 0.3339; here with 70 in each third."""
    upper, lower = 56 / 70, 48 / 80
    both = [
        stats.binomtest(56, 70).proportion_ci(method="wilson"),
        stats.binomtest(48, 80).proportion_ci(method="wilson"),
    ]
    assert upper - lower - np.hypot(upper - both[0].low, both[1].high - lower) == as_printed("0.0524")
    assert upper - lower + np.hypot(both[0].high - upper, lower - both[1].low) == as_printed("0.3339")
    thirds = [[1, 9]] * 56 + [[0, 10]] * 14 + [[0, 5]] * 70 + [[1, 0]] * 42 + [[0, 1]] * 28
    found = discrimination(thirds, 0, out_of=1)
    low_up, high_up = stats.binomtest(56, 70).proportion_ci(method="wilson")
    low_down, high_down = stats.binomtest(42, 70).proportion_ci(method="wilson")
    assert found.value == pytest.approx(0.2)
    assert found.low == pytest.approx(0.2 - np.hypot(0.8 - low_up, high_down - 0.6))
    assert found.high == pytest.approx(0.2 + np.hypot(high_up - 0.8, 0.6 - low_down))


def test_fishers_interval_by_hand():
    found = rest_correlation(PART_MARKS, 1)
    z, half = np.arctanh(found.value), 1.959963985 / np.sqrt(8 - 3)
    assert (found.low, found.high) == pytest.approx((np.tanh(z - half), np.tanh(z + half)), abs=1e-8)


def test_feldts_interval_holds_its_promise():
    """Draws from a model in which alpha is known (own calculation): about 95 % of intervals hold it."""
    draw = np.random.default_rng(11)
    n, count, person = 25, 6, 0.8
    true_alpha = count * person**2 / (count * person**2 + 1)
    inside = 0
    for _ in range(600):
        found = reliability((draw.normal(0, person, (n, 1)) + draw.normal(0, 1, (n, count))).tolist()).alpha
        inside += found.low <= true_alpha <= found.high
    assert 0.92 <= inside / 600 <= 0.98


# ---- Other routes to the same numbers


@pytest.fixture(params=range(4), ids=lambda seed: f"class {seed}")
def table(request) -> pd.DataFrame:
    """Return an invented class of 34 with six questions of 1 to 3 marks."""
    draw = np.random.default_rng(request.param)
    able = draw.normal(0, 1, 34)
    out_of = [1, 1, 2, 3, 2, 1]
    right = 1 / (1 + np.exp(-(able[:, None] + draw.normal(0, 1, 6))))
    return pd.DataFrame(draw.binomial(out_of, right))


def test_rest_correlation_by_pandas_and_numpy(table):
    for place in table.columns:
        rest = table.drop(columns=place).sum(axis=1)
        found = rest_correlation(table.values.tolist(), place).value
        assert found == pytest.approx(table[place].corr(rest), abs=1e-12)
        total = table.sum(axis=1)
        r, own, of_total = np.corrcoef(table[place], total)[0, 1], table[place].std(), total.std()
        corrected = (r * of_total - own) / np.sqrt(of_total**2 + own**2 - 2 * r * of_total * own)
        assert found == pytest.approx(corrected, abs=1e-9)


def test_alpha_by_the_mean_covariance(table):
    """Alpha is k · mean covariance over (mean variance + (k − 1) · mean covariance)."""
    covariance = table.cov().values
    k = len(covariance)
    between = covariance[~np.eye(k, dtype=bool)].mean()
    expected = k * between / (np.diag(covariance).mean() + (k - 1) * between)
    assert reliability(table.values.tolist()).alpha.value == pytest.approx(expected, abs=1e-12)


def test_alpha_deviates_as_a_bootstrap_says(table):
    """The standard error from Feldt's interval and from 400 resampled classes agree within a factor of two."""
    draw = np.random.default_rng(3)
    again = [
        reliability(table.sample(len(table), replace=True, random_state=draw).values.tolist()).alpha.value
        for _ in range(400)
    ]
    found = reliability(table.values.tolist()).alpha
    assert 0.5 < np.std(again) / ((found.high - found.low) / 3.92) < 2
    low, high = np.quantile(again, [0.005, 0.995])
    assert low < found.value < high


def test_discrimination_is_the_mean_over_all_orders_of_the_class(table):
    """A third by sorting, with ties in the order of the list, averaged over shuffled lists."""
    draw = np.random.default_rng(9)
    place, out_of = 3, 3
    found = []
    for _ in range(3000):
        shuffled = table.iloc[draw.permutation(len(table))]
        order = shuffled.sum(axis=1).sort_values(kind="stable").index
        own = table.loc[order, place] / out_of
        found.append(own.iloc[-11:].mean() - own.iloc[:11].mean())
    assert discrimination(table.values.tolist(), place, out_of).value == pytest.approx(
        np.mean(found), abs=0.005
    )


def test_discrimination_of_the_published_data_three_times_over():
    """Question 3 by hand, thirds of ten: above, six rows with total 9 (all right) and four places for the
    six rows with 8 (half of them right); below, six rows with 2 (half right) and four places for the
    twelve rows with 7 (half right). 0.8 less 0.5."""
    found = discrimination(KR20 * 3, 2, out_of=1)
    assert (found.value, found.n) == (pytest.approx(0.8 - 0.5), 30)


def test_the_order_of_the_class_makes_no_difference():
    thrice = KR20 * 3
    for seed, place in itertools.product(range(3), range(10)):
        shuffled = random.Random(seed).sample(thrice, len(thrice))
        one, other = discrimination(thrice, place, 1), discrimination(shuffled, place, 1)
        assert (one.value, one.low, one.high) == pytest.approx((other.value, other.low, other.high))


# ---- What cannot be worked out is named


@pytest.mark.parametrize(
    ("found", "why", "n"),
    [
        (facility([]), "nobody's worksheet was marked", 0),
        (rest_correlation([], 0), "4 apprentices or more", 0),
        (rest_correlation(FOUR_PERSONS[:3], 0), "4 apprentices or more", 3),
        (rest_correlation([[1], [0], [1], [0]], 0), "no other question", 4),
        (rest_correlation([[1, 0], [1, 1], [1, 0], [1, 1]], 0), "everybody has the same mark in this question", 4),
        (rest_correlation([[1, 0], [1, 1], [1, 0], [1, 1]], 1), "the same total in the other questions", 4),
        (rest_correlation([[0, 0], [1, 2], [1, 2], [0, 0]], 0), "on one line", 4),
        (rest_correlation([[2, 0], [1, 2], [1, 2], [2, 0]], 0), "on one line", 4),
        (reliability([]).alpha, "4 apprentices or more", 0),
        (reliability(FOUR_PERSONS[:3]).alpha, "4 apprentices or more", 3),
        (reliability([[1], [0], [1], [0]]).alpha, "two questions or more", 4),
        (reliability([[1, 0], [0, 1], [1, 0], [0, 1]]).alpha, "everybody has the same total", 4),
        (reliability([[1, 1], [0, 0], [1, 1], [0, 0]]).alpha, "exactly together", 4),
        (discrimination([], 0, 1), "from 30 apprentices on", 0),
        (discrimination((KR20 * 3)[:29], 0, 1), "from 30 apprentices on", 29),
    ],
)  # fmt: skip
def test_words_stand_in_place_of_a_number(found, why, n):
    assert isinstance(found, NotGiven)
    assert why in found.why
    assert str(found) == f"not given: {found.why} (n = {n})"


def test_there_is_no_standard_error_without_alpha():
    for marks in (
        [],
        [[1], [0], [1], [0]],
        [[1, 0], [0, 1], [1, 0], [0, 1]],
        [[1, 1], [0, 0], [1, 1], [0, 0]],
    ):
        assert reliability(marks).standard_error is None


def test_four_apprentices_are_enough_and_a_negative_alpha_is_shown():
    assert isinstance(rest_correlation(FOUR_PERSONS, 1), Estimate)
    found = reliability([[1, 0, 1], [0, 1, 0], [1, 0, 0], [0, 1, 1]])
    assert found.alpha.value < -1
    assert str(found.alpha).startswith("−")


@pytest.mark.parametrize("share", [[1.2], [0.5, -0.1], [float("nan")], [70]])
def test_a_share_outside_0_to_1_is_refused(share):
    with pytest.raises(ValueError, match=r"share of the marks.* was given; allowed is"):
        facility(share)


def test_a_warning_stands_below_30_and_only_there():
    assert "Only 29 apprentices: below 30" in warning(29)
    assert warning(30) == ""
    assert isinstance(discrimination(KR20 * 3, 0, 1), Estimate)


def test_numbers_are_written_with_interval_and_n():
    assert str(Estimate(0.456, -0.0001, 0.9, 12)) == "0.46 (0.00 to 0.90; n = 12)"
    assert str(Estimate(-0.456, -0.8, 0.1, 40)) == "−0.46 (−0.80 to 0.10; n = 40)"
