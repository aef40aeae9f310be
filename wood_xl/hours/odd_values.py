"""Outliers and rounded readings. They are pointed out and never left out."""

from __future__ import annotations

import math
import statistics
from bisect import bisect_left
from collections.abc import Sequence

from wood_xl.data.load import value

ROUND_MIN = 5  # minutes to which people round


def beyond_fences(*, values: Sequence[float]) -> list[int]:
    """Values beyond the outer fences of a box plot.

        below Q1 - 3 (Q3 - Q1), or above Q3 + 3 (Q3 - Q1)

    Quartiles by linear interpolation between neighbors (type 7). Returns places from 0.

    Source: nist_handbook_fences, outer fences.

    >>> beyond_fences(values=[48.0, 52.0, 55.0, 57.0, 60.0, 62.0, 95.0])
    [6]
    """
    lower, _, upper = statistics.quantiles(values, n=4, method="inclusive")
    reach = value("outlier.fence") * (upper - lower)
    return [i for i, one in enumerate(values) if not lower - reach <= one <= upper + reach]


def middle_of_others(*, ordered: Sequence[float], own: float) -> float:
    """Median of some values without one of them.

    ordered: at least two, the least first; ``own`` is one of them.

    Source: wood_xl_definitions, gross errors.

    >>> middle_of_others(ordered=[1.0, 2.0, 3.0, 30.0], own=30.0)
    2.0
    """
    place, others_n = bisect_left(ordered, own), len(ordered) - 1
    ends = ((others_n - 1) // 2, others_n // 2)
    return math.fsum(ordered[at if at < place else at + 1] for at in ends) / 2


def rounded_by_chance(*, minutes: Sequence[float]) -> float:
    """Probability that at least so many whole minutes end in 0 or 5 by chance.

        P(X >= k) = sum of n! / (j! (n - j)!) p^j (1 - p)^(n - j) over j from k to n,   p = 0.2

    By logs, since factorials of thousands of readings are too large for a float.

    Source: how_sure_defaults, heaping of minutes.

    >>> round(rounded_by_chance(minutes=[45.0, 60.0, 90.0, 30.0, 75.0, 120.0, 47.0, 52.0, 61.0, 38.0]), 4)
    0.0064
    """
    whole = [one for one in minutes if one == int(one)]
    whole_n, rounded_n = len(whole), sum(one % ROUND_MIN == 0 for one in whole)
    share = value("heaping.share")
    logs = (
        math.lgamma(whole_n + 1)
        - math.lgamma(hits + 1)
        - math.lgamma(whole_n - hits + 1)
        + hits * math.log(share)
        + (whole_n - hits) * math.log1p(-share)
        for hits in range(rounded_n, whole_n + 1)
    )
    return min(math.fsum(math.exp(one) for one in logs), 1.0)


def pooled_delay_frac(*, delays_min: Sequence[float], elapsed_min: Sequence[float]) -> float:
    """Share of delays in the working time of all sessions together, since delays are rare in single ones.

        sum of delays / sum of (elapsed - delay)

    Source: how_sure_defaults, delay share of all sessions pooled.

    >>> round(pooled_delay_frac(delays_min=[0.0, 0.0, 15.0], elapsed_min=[60.0, 60.0, 75.0]), 4)
    0.0833
    """
    worked = math.fsum(t - d for t, d in zip(elapsed_min, delays_min, strict=True))
    return math.fsum(delays_min) / worked
