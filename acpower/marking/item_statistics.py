"""Statistics of questions: facility, discrimination, agreement with the rest, reliability.

The marks of a class are a table: one row for each apprentice whose worksheet was marked, one column
for each question. A worksheet that was not handed in or could not be marked is left out of the
table; a question left blank counts 0 in it. Every number comes with its interval (95 %) and with n,
the number of apprentices behind it. Where there can be no number, :class:`NotGiven` says why.

The formulas are those of classical test theory as handbooks of measurement give them. The intervals
are named after Wilson (a share), Newcombe (a difference of shares), Fisher (a correlation) and Feldt
(alpha); quantiles and correlations come from scipy.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from acpower._checks import fraction
from acpower.worksheets.scheme import counted

ENOUGH = 30
"""Apprentices from which on a coefficient says something; below it carries a warning."""
FEWEST = 4
"""Apprentices without which no coefficient is worked out: Fisher's interval needs n − 3 > 0."""
_TOO_FEW = f"it needs {FEWEST} apprentices or more"
_EXACTLY = 1 - 1e-12  # a coefficient of 1 has an interval of no width, which says more than a class can know
CONFIDENCE = 0.95
TIE_RULE = (
    "Upper and lower third go by the total mark. Where several apprentices have the total at the edge of a third, "
    "they share its last places evenly, so the order of the class list makes no difference."
)
MISSING_RULE = (
    "Worksheets that were not handed in or could not be marked are left out. A question left blank counts 0."
)


@dataclass(frozen=True)
class Estimate:
    """A number with the ends of its 95 % interval and the number of apprentices behind it."""

    value: float
    low: float
    high: float
    n: int

    def __str__(self) -> str:
        """Write it for a person: value, interval, n."""
        return f"{_two(self.value)} ({_two(self.low)} to {_two(self.high)}; n = {self.n})"


@dataclass(frozen=True)
class NotGiven:
    """In place of a number that cannot be worked out or would mislead: the reason, and n."""

    why: str
    n: int

    def __str__(self) -> str:
        """Write it for a person."""
        return f"not given: {self.why} (n = {self.n})"


Statistic = Estimate | NotGiven


@dataclass(frozen=True)
class Reliability:
    """Alpha of a worksheet, and what it means in marks.

    ``standard_error`` is the standard deviation of the totals (divisor n − 1) times √(1 − alpha).
    """

    alpha: Statistic
    standard_error: float | None


def warning(n: int) -> str:
    """Return what must stand beside coefficients of a class of ``n``; nothing from 30 on.

    >>> warning(30)
    ''
    >>> warning(12)
    'Only 12 apprentices: below 30 a coefficient can be far off by chance. Read its interval, not its value.'
    """
    if n >= ENOUGH:
        return ""
    return (
        f"Only {counted(n, 'apprentice')}: below {ENOUGH} a coefficient can be far off by chance. "
        "Read its interval, not its value."
    )


def facility(shares: Sequence[float]) -> Statistic:
    """Return the mean share of the marks that was earned, with Wilson's interval.

    Parameters
    ----------
    shares
        For each apprentice the marks earned divided by the marks of the question, from 0 to 1.

    Returns
    -------
    Estimate or NotGiven
        With part marks in between, the interval is wider than it need be: shares between 0 and 1
        vary less than noughts and ones of the same mean do.

    Raises
    ------
    ValueError
        A share is not from 0 to 1.

    Examples
    --------
    >>> print(facility([1, 1, 1, 0, 0, 1, 0, 1]))
    0.62 (0.31 to 0.86; n = 8)
    """
    if not len(shares):
        return NotGiven("nobody's worksheet was marked", 0)
    value = float(np.mean(fraction("share of the marks", shares)))
    return Estimate(value, *_wilson(value, len(shares)), len(shares))


def discrimination(marks: Sequence[Sequence[float]], place: int, out_of: float) -> Statistic:
    """Return the facility in the upper third of the class less that in the lower third.

    Parameters
    ----------
    marks
        One row for each apprentice, one column for each question.
    place
        The column of the question, from 0.
    out_of
        The marks of the question.

    Returns
    -------
    Estimate or NotGiven
        From 30 apprentices on; :data:`TIE_RULE` says who is in a third. Newcombe's interval takes
        the thirds as given.

    Examples
    --------
    >>> print(discrimination([[1, 1], [0, 1], [0, 0]] * 10, 0, out_of=1))
    1.00 (0.61 to 1.00; n = 30)
    >>> print(discrimination([[1, 1], [0, 1], [0, 0]], 0, out_of=1))
    not given: it is shown from 30 apprentices on (n = 3)
    """
    table = _table(marks)
    n = len(table)
    if n < ENOUGH:
        return NotGiven(f"it is shown from {ENOUGH} apprentices on", n)
    totals, shares = table.sum(axis=1), table[:, place] / out_of
    size = n // 3
    upper = float(_weights_of_the_highest(totals, size) @ shares / size)
    lower = float(_weights_of_the_highest(-totals, size) @ shares / size)
    (low_up, high_up), (low_down, high_down) = _wilson(upper, size), _wilson(lower, size)
    difference = upper - lower
    low = difference - sqrt((upper - low_up) ** 2 + (high_down - lower) ** 2)
    high = difference + sqrt((high_up - upper) ** 2 + (lower - low_down) ** 2)
    return Estimate(difference, low, high, n)


def rest_correlation(marks: Sequence[Sequence[float]], place: int) -> Statistic:
    """Return the correlation of a question with the total of the other questions, with Fisher's interval.

    It is the corrected item-total correlation: a question is not compared with itself.

    Examples
    --------
    >>> print(rest_correlation([[1, 2], [0, 1], [1, 1], [0, 0], [1, 2]], 0))
    0.76 (−0.36 to 0.98; n = 5)
    """
    table = _table(marks)
    n = len(table)
    if n < FEWEST:
        return NotGiven(_TOO_FEW, n)
    if table.shape[1] < 2:
        return NotGiven("there is no other question", n)
    own = table[:, place]
    rest = table.sum(axis=1) - own
    if np.ptp(own) == 0:
        return NotGiven("everybody has the same mark in this question", n)
    if np.ptp(rest) == 0:
        return NotGiven("everybody has the same total in the other questions", n)
    found = stats.pearsonr(own, rest)
    value = float(found.statistic)
    if abs(value) > _EXACTLY:
        return NotGiven("the marks lie on one line with those of the other questions", n)
    interval = found.confidence_interval(CONFIDENCE)
    return Estimate(value, float(interval.low), float(interval.high), n)


def reliability(marks: Sequence[Sequence[float]]) -> Reliability:
    """Return alpha with Feldt's interval, and the standard error of measurement [marks].

    For questions of one mark each alpha is the same as Kuder and Richardson's formula 20. One
    divisor serves for the variances of the questions and of the totals; mixing n and n − 1 gives a
    value that is too high.

    Examples
    --------
    >>> found = reliability([[4, 5, 4], [3, 4, 3], [5, 5, 5], [2, 3, 2]])
    >>> print(found.alpha)
    0.98 (0.87 to 1.00; n = 4)
    >>> round(found.standard_error, 2)
    0.5
    """
    table = _table(marks)
    n, count = table.shape
    if n < FEWEST:
        return Reliability(NotGiven(_TOO_FEW, n), None)
    if count < 2:
        return Reliability(NotGiven("it needs two questions or more", n), None)
    of_totals = float(np.var(table.sum(axis=1), ddof=1))
    if of_totals == 0:
        return Reliability(NotGiven("everybody has the same total", n), None)
    of_questions = float(np.var(table, axis=0, ddof=1).sum())
    alpha = count / (count - 1) * (1 - of_questions / of_totals)
    if alpha > _EXACTLY:
        return Reliability(NotGiven("the marks of all questions rise and fall exactly together", n), None)
    low_f, high_f = stats.f.ppf([(1 - CONFIDENCE) / 2, (1 + CONFIDENCE) / 2], n - 1, (n - 1) * (count - 1))
    estimate = Estimate(alpha, float(1 - (1 - alpha) * high_f), float(1 - (1 - alpha) * low_f), n)
    return Reliability(estimate, sqrt(of_totals * (1 - alpha)))


def _table(marks: Sequence[Sequence[float]]) -> NDArray[np.float64]:
    table = np.asarray(marks, dtype=float)
    if table.ndim != 2:
        return np.empty((0, 0))
    return table


def _weights_of_the_highest(totals: NDArray[np.float64], size: int) -> NDArray[np.float64]:
    """Return how far each one belongs to the ``size`` highest: wholly, not at all, or in part at a tie."""
    edge = np.sort(totals)[-size]
    above, at_edge = totals > edge, totals == edge
    share = (size - np.count_nonzero(above)) / np.count_nonzero(at_edge)
    return np.where(above, 1.0, np.where(at_edge, share, 0.0))


def _wilson(share: float, n: int) -> tuple[float, float]:
    """Return Wilson's interval; scipy has it for whole counts only, and part marks make none."""
    z = float(stats.norm.ppf((1 + CONFIDENCE) / 2))
    middle = share + z**2 / (2 * n)
    half = z * sqrt(max(0.0, share * (1 - share)) / n + (z / (2 * n)) ** 2)
    low, high = (middle - half) / (1 + z**2 / n), (middle + half) / (1 + z**2 / n)
    return max(0.0, low), min(1.0, high)


def _two(number: float) -> str:
    return f"{number:z.2f}".replace("-", "−")
