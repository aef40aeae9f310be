"""Intervals by Student's t, and binomial probabilities."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from wood_xl.arguments import require_fraction, require_positive
from wood_xl.data.load import value
from wood_xl.draws.normal import student_quantile


def binomial_upper(*, least: int, tries_n: int, share_frac: float) -> float:
    """Probability of so many hits or more, if each try hits with the same chance.

        P(X >= k) = sum of n! / (j! (n - j)!) p^j (1 - p)^(n - j) over j from k to n

    It uses logs, since factorials of thousands of tries are too large for a float.

    Source: how_sure_defaults, heaping of minutes.

    >>> round(binomial_upper(least=6, tries_n=10, share_frac=0.2), 4)
    0.0064
    """
    require_fraction(share_frac=share_frac)
    if not 0 <= least <= tries_n:
        raise ValueError(f"{least} hits in {tries_n} tries")
    if least == 0 or share_frac == 1:
        return 1.0
    if share_frac == 0:
        return 0.0
    log_share, log_rest, log_all = math.log(share_frac), math.log1p(-share_frac), math.lgamma(tries_n + 1)
    logs = (
        log_all
        - math.lgamma(hits + 1)
        - math.lgamma(tries_n - hits + 1)
        + hits * log_share
        + (tries_n - hits) * log_rest
        for hits in range(least, tries_n + 1)
    )
    return min(math.fsum(math.exp(one) for one in logs), 1.0)


@dataclass(frozen=True, slots=True)
class LogEstimate:
    """An estimate by its log, such as a rate or a ratio."""

    log_value: float
    variance: float
    df: int

    @property
    def value(self) -> float:
        """The estimate itself."""
        return math.exp(self.log_value)

    def interval(self) -> tuple[float, float]:
        """Interval of equal ratio on both sides, never reaching 0: value * exp(-/+ t * se)."""
        level = value("interval.level") / 100
        factor = math.exp(student_quantile((1 + level) / 2, self.df) * math.sqrt(self.variance))
        return self.value / factor, self.value * factor


def mean_of_logs(*, values: Sequence[float]) -> LogEstimate:
    """Mean of the logs of several ratios.

    values: ratios, above 0; at least two.

    Returns the log of their geometric mean, with one degree of freedom less than ratios.

    Source: how_sure_defaults, learning and fatigue.

    >>> hand, saw = (58.0, 52.0, 63.0, 49.0, 60.0), (16.1, 13.9, 18.3, 13.0, 15.6)
    >>> days = mean_of_logs(values=[h / s for h, s in zip(hand, saw)])
    >>> round(days.value, 5), [round(end, 4) for end in days.interval()]
    (3.67749, [3.4826, 3.8833])
    """
    for one in values:
        require_positive(ratio=one)
    if len(values) < 2:
        raise ValueError(f"{len(values)} ratios have no scatter")
    logs = [math.log(one) for one in values]
    return LogEstimate(statistics.fmean(logs), statistics.variance(logs) / len(logs), len(logs) - 1)
