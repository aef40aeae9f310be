"""Practice from session to session, and fatigue within one."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right, insort
from collections.abc import Sequence
from dataclasses import dataclass

from wood_xl.data.load import value
from wood_xl.draws.compare import LogEstimate
from wood_xl.draws.least_squares import least_squares


@dataclass(frozen=True, slots=True)
class Trend:
    """How a rate changes with practice.

    per_doubling: factor on the rate each time the number of sessions doubles.
    concordance: pairs of sessions in which the later took more, less those in which it took less.
    by_chance_frac: two-sided probability of so steady a trend where there is none; exact up to a number of sessions.
    """

    per_doubling: LogEstimate
    concordance: int
    by_chance_frac: float


def trend_of_rates(*, rates: Sequence[float]) -> Trend:
    """Power law of practice, with a test that needs no law.

        ln rate = a + b ln(number of the session)        per doubling = 2^b

    The test counts all orders of the sessions. Of more sessions than ``learning.exact_sessions`` it takes the
    normal distribution that their concordance S comes near, with the correction for its steps:

        P = erfc((|S| - 1) / sqrt(2 V)),   V = n (n - 1) (2 n + 5) / 18

    rates: of sessions in the order of their days, above 0; at least three.

    Returns below 1 per doubling if practice saves work.

    Source: how_sure_defaults, learning and fatigue (constant ``learning.exact_sessions``).

    >>> trend = trend_of_rates(rates=[70.0, 63.0, 60.0, 57.0, 56.0, 54.0])
    >>> round(trend.per_doubling.value, 6), trend.concordance, round(trend.by_chance_frac, 7)
    (0.906132, -15, 0.0027778)
    """
    logs = [math.log(rate) for rate in rates]
    numbers = [math.log(i) for i in range(1, len(rates) + 1)]
    fit = least_squares(columns=([1.0] * len(rates), numbers), values=logs)
    slope, error = fit.combined((0.0, math.log(2)))
    concordance = _concordance(rates)
    return Trend(LogEstimate(slope, error**2, fit.df), concordance, _by_chance(len(rates), concordance))


def _concordance(rates: Sequence[float]) -> int:
    """Pairs in which the later took more, less those in which it took less."""
    found = 0
    earlier: list[float] = []
    for seen_n, rate in enumerate(rates):
        found += bisect_left(earlier, rate) - (seen_n - bisect_right(earlier, rate))
        insort(earlier, rate)
    return found


def _by_chance(n: int, concordance: int) -> float:
    """Share of all orders of n unequal values whose concordance is as far from 0 (Mann and Kendall)."""
    if n > value("learning.exact_sessions"):
        return _by_chance_of_many(n, concordance)
    orders = [1]  # orders by their number of inversions
    for size in range(2, n + 1):
        pairs_n = size * (size - 1) // 2
        window, longer = 0, []
        for inversions in range(pairs_n + 1):  # the new one may stand before none of the others, or before all
            window += orders[inversions] if inversions < len(orders) else 0
            window -= orders[inversions - size] if inversions >= size else 0
            longer.append(window)
        orders = longer
    pairs_n = n * (n - 1) // 2
    least = abs(concordance)
    as_far = sum(count for inversions, count in enumerate(orders) if abs(pairs_n - 2 * inversions) >= least)
    return as_far / math.factorial(n)


def _by_chance_of_many(n: int, concordance: int) -> float:
    """The same by a normal distribution of that variance; the concordance goes in steps of 2, hence the 1."""
    deviation = math.sqrt(n * (n - 1) * (2 * n + 5) / 18)
    return math.erfc(max(abs(concordance) - 1, 0) / deviation / math.sqrt(2))


def second_half_factor(*, areas_m2: Sequence[float], times_s: Sequence[float]) -> float:
    """Time per area in the second half of a session over the first: above 1 as one tires.

    Source: how_sure_defaults, learning and fatigue.

    >>> second_half_factor(areas_m2=[0.02, 0.02, 0.02, 0.02], times_s=[20.0, 20.0, 24.0, 26.0])
    1.25
    """
    half = len(areas_m2) // 2
    first = math.fsum(times_s[:half]) / math.fsum(areas_m2[:half])
    return math.fsum(times_s[half:]) / math.fsum(areas_m2[half:]) / first
