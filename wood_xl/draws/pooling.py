"""One figure from several households or years, by a random-effects model.

Seasons differ by more than chance: other wood, other people, another way of counting. The model takes the seasons as
drawn from a population of seasons, so that the interval is for a season like these and not for these alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from wood_xl.arguments import require_positive
from wood_xl.data.load import value
from wood_xl.draws.moderated import log_interval
from wood_xl.verdicts import Agreement

LEAST_FOR_WORDS = 3  # two seasons have one degree of freedom: too few to say how far they differ


@dataclass(frozen=True, slots=True)
class Pooled:
    """Pooled log figure.

    n: seasons.
    log_mean, se: pooled mean of the logs, and its standard error.
    tau2: variance between seasons.
    q: weighted sum of squares around the mean of equal effects.
    weights_frac: share of each season in the mean.
    """

    n: int
    log_mean: float
    se: float
    tau2: float
    q: float
    weights_frac: tuple[float, ...]

    @property
    def i2_frac(self) -> float:
        """Share of the scatter between seasons that is more than chance."""
        return 0.0 if self.q <= 0 else max(0.0, (self.q - (self.n - 1)) / self.q)

    @property
    def interval(self) -> tuple[float, float] | None:
        """Interval of the pooled figure (not its log); None with one season."""
        return self._around(self.se, self.n - 1)

    @property
    def next_season(self) -> tuple[float, float] | None:
        """Between what one more season like these is likely to lie; None with fewer than three."""
        return self._around(math.sqrt(self.tau2 + self.se**2), self.n - 2)

    def _around(self, se: float, df: int) -> tuple[float, float] | None:
        return None if df < 1 else log_interval(middle=math.exp(self.log_mean), se_log=se, df=df)


def pooled(*, logs: Sequence[float], variances: Sequence[float]) -> Pooled:
    """Pool the logs of one figure over several seasons.

        w = 1 / v          Q = sum w (y - mean_w)^2
        tau2 = max(0, (Q - (k - 1)) / (sum w - sum w^2 / sum w))
        w* = 1 / (v + tau2)          mean = sum w* y / sum w*
        se^2 = max(1, sum w* (y - mean)^2 / (k - 1)) / sum w*

    The standard error is that of Hartung and Knapp, never below the plain one: with two or three seasons that happen
    to agree it would otherwise be far too small. With one season it is that season's own.

    logs: log of the figure of each season.
    variances: squared standard error of each log. Above 0.

    Returns pooled mean, its standard error, and what stands between the seasons.

    Errors: ValueError if there is no season, a variance is not above 0, or the two are not equally long.
    Source: dersimonian_laird_1986, random-effects model; hartung_knapp_2001, standard error.

    >>> round(pooled(logs=[0.0, 0.4], variances=[0.01, 0.01]).log_mean, 10)
    0.2
    """
    if not logs:
        raise ValueError("no season to pool")
    for variance in variances:
        require_positive(variance=variance)
    pairs = list(zip(logs, variances, strict=True))
    n = len(pairs)
    plain = [1 / variance for _, variance in pairs]
    q, tau2 = _between(logs, plain)
    weights = [1 / (variance + tau2) for _, variance in pairs]
    total = math.fsum(weights)
    mean = math.fsum(w * y for w, y in zip(weights, logs, strict=True)) / total
    scale = 1.0
    if n > 1:
        scale = max(1.0, math.fsum(w * (y - mean) ** 2 for w, y in zip(weights, logs, strict=True)) / (n - 1))
    return Pooled(n, mean, math.sqrt(scale / total), tau2, q, tuple(w / total for w in weights))


def _between(logs: Sequence[float], weights: Sequence[float]) -> tuple[float, float]:
    """Q and the variance between seasons, by the method of moments."""
    total = math.fsum(weights)
    mean = math.fsum(w * y for w, y in zip(weights, logs, strict=True)) / total
    q = math.fsum(w * (y - mean) ** 2 for w, y in zip(weights, logs, strict=True))
    divisor = total - math.fsum(w * w for w in weights) / total
    return q, max(0.0, (q - (len(logs) - 1)) / divisor) if divisor > 0 else 0.0


def without_each(*, logs: Sequence[float], variances: Sequence[float]) -> list[Pooled]:
    """Pool with each season left out in turn, so that one season that carries the result is seen.

    logs: as in ``pooled``; at least two.
    variances: as in ``pooled``.

    Returns in the order of the seasons left out.

    Errors: ValueError as ``pooled``.
    Source: dersimonian_laird_1986, random-effects model.

    >>> [round(one.log_mean, 3) for one in without_each(logs=[0.0, 0.4], variances=[0.01, 0.02])]
    [0.4, 0.0]
    """
    return [
        pooled(logs=[*logs[:i], *logs[i + 1 :]], variances=[*variances[:i], *variances[i + 1 :]])
        for i in range(len(logs))
    ]


def agreement(*, seasons_n: int, i2_frac: float) -> Agreement:
    """How far seasons agree.

    Returns one of five.

    Source: higgins_2003, low, moderate and high, ``pooling.i2.moderate``, ``pooling.i2.high``.

    >>> agreement(seasons_n=6, i2_frac=0.8).name
    'DIFFER_MUCH'
    """
    if seasons_n < 2:
        return Agreement.ONE_SEASON
    if seasons_n < LEAST_FOR_WORDS:
        return Agreement.TOO_FEW
    if i2_frac >= value("pooling.i2.high"):
        return Agreement.DIFFER_MUCH
    if i2_frac >= value("pooling.i2.moderate"):
        return Agreement.DIFFER
    return Agreement.BY_CHANCE
