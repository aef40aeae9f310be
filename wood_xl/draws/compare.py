"""Two methods side by side: their ratio, how sure it is, and what may be said of it."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto

import numpy as np

from wood_xl.arguments import require_positive
from wood_xl.data.load import value
from wood_xl.draws.ensemble import ends, nominal
from wood_xl.draws.moderated import Rate, log_interval
from wood_xl.draws.normal import Array
from wood_xl.draws.student import t_probability
from wood_xl.verdicts import Surety

SURE_FROM = (
    (Surety.CLEARLY, "compare.clearly"),
    (Surety.PROBABLY, "compare.probably"),
    (Surety.PERHAPS, "compare.leaning"),
)


class Outcome(Enum):
    """What may be said of the first of two methods over the second."""

    FIRST_LOWER = auto()
    SECOND_LOWER = auto()
    ALIKE = auto()
    OPEN = auto()


@dataclass(frozen=True, slots=True)
class LogEstimate:
    """Something known by its log: a rate or a ratio of two."""

    log_value: float
    variance: float
    df: float

    @property
    def value(self) -> float:
        """The thing itself."""
        return math.exp(self.log_value)

    def interval(self, level_frac: float | None = None) -> tuple[float, float]:
        """Interval at a level, by default that of all intervals."""
        return log_interval(middle=self.value, se_log=math.sqrt(self.variance), df=self.df, level_frac=level_frac)

    def share_above(self, factor: float) -> float:
        """Probability that it is above a factor."""
        ahead = self.log_value - math.log(factor)
        if self.variance > 0:
            return t_probability(t=ahead / math.sqrt(self.variance), df=self.df)
        return 0.5 + 0.5 * math.copysign(1.0, ahead) * (ahead != 0)


@dataclass(frozen=True, eq=False)
class DrawnRatio:
    """A ratio of two figures, member by member."""

    members: Array

    @property
    def value(self) -> float:
        """Of the nominal member."""
        return nominal(self.members)

    def interval(self, level_frac: float | None = None) -> tuple[float, float]:
        """Limits of the draws at a level, by default that of all intervals."""
        return ends(self.members, level_frac)

    def share_above(self, factor: float) -> float:
        """Share of the draws above a factor; those that are equal count half."""
        draws = self.members[1:]
        return float(np.mean(draws > factor)) + float(np.mean(draws == factor)) / 2


Ratio = LogEstimate | DrawnRatio


def steadied(*, rate: Rate) -> LogEstimate:
    """A rate with the assumed day-to-day spread mixed in, ready to be compared.

    rate: of one method.

    Returns log of the rate.

    Source: smyth_2004, moderated variance.

    >>> from wood_xl.draws.moderated import rate_of_sessions
    >>> round(steadied(rate=rate_of_sessions(amounts=[62.0], quantities=[1.1])).df)
    3
    """
    return LogEstimate(math.log(rate.value), rate.se_log**2, rate.df)


def satterthwaite_df(*, variances: Sequence[float], dfs: Sequence[float]) -> float:
    """Degrees of freedom of a sum of variances that are known with different surety.

        df = (sum v)^2 / sum (v^2 / df)

    Holds for independent parts: what two figures share must be left out, or be a part by itself.

    variances: of each part, 0 or more.
    dfs: degrees of freedom of each part, above 0; may be infinite.

    Source: jcgm_100, G.4 and example H.1.

    >>> round(satterthwaite_df(variances=[0.04**2, 0.04**2], dfs=[3, 2]), 4)
    4.8
    """
    below = math.fsum(v * v / df for v, df in zip(variances, dfs, strict=True))
    return math.fsum(variances) ** 2 / below if below else min(dfs)


def ratio_of_rates(*, first: LogEstimate, second: LogEstimate) -> LogEstimate:
    """Ratio of two methods that share no session.

        d = ln first - ln second        variance = v first + v second

    first: one rate.
    second: the rate below the line.

    Returns log of the ratio, with degrees of freedom by Welch and Satterthwaite.

    Source: jcgm_100, G.4, effective degrees of freedom; how_sure_defaults, ratio with an interval.

    >>> from wood_xl.draws.moderated import rate_of_sessions
    >>> hand = rate_of_sessions(amounts=[62.0, 48.0, 75.0, 55.0], quantities=[1.10, 0.95, 1.38, 0.90])
    >>> saw = rate_of_sessions(amounts=[21.0, 34.0, 18.0], quantities=[1.55, 2.10, 1.22])
    >>> ratio = ratio_of_rates(first=steadied(rate=hand), second=steadied(rate=saw))
    >>> round(ratio.value, 5), [round(end, 3) for end in ratio.interval(0.95)]
    (3.69768, [2.635, 5.189])
    """
    variances, dfs = (first.variance, second.variance), (first.df, second.df)
    return LogEstimate(
        first.log_value - second.log_value, math.fsum(variances), satterthwaite_df(variances=variances, dfs=dfs)
    )


def mean_of_logs(*, values: Sequence[float]) -> LogEstimate:
    """Mean of log ratios, one for each day: pairs of the same day, or halves of the same session.

    What a day has of its own, its wood, its weather and its worker, stands on both sides and cancels.

    values: ratios, above 0; at least two.

    Returns log of their geometric mean, with one degree of freedom less than ratios.

    Errors: ValueError if there are fewer than two, or one is not above 0.
    Source: how_sure_defaults, comparison on the same day and lot.

    >>> hand, saw = (58.0, 52.0, 63.0, 49.0, 60.0), (16.1, 13.9, 18.3, 13.0, 15.6)
    >>> days = mean_of_logs(values=[h / s for h, s in zip(hand, saw)])
    >>> round(days.value, 5), [round(end, 4) for end in days.interval(0.95)]
    (3.67749, [3.4826, 3.8833])
    """
    for one in values:
        require_positive(ratio=one)
    if len(values) < 2:
        raise ValueError(f"{len(values)} ratios have no scatter")
    logs = [math.log(one) for one in values]
    return LogEstimate(statistics.fmean(logs), statistics.variance(logs) / len(logs), len(logs) - 1)


def probability_above(*, ratio: Ratio, factor: float) -> float:
    """Probability that a ratio is above a factor, never shown as certain.

        P = F_t((ln ratio - ln factor) / se)

    ratio: ratio of two methods.
    factor: above 0.

    Errors: ValueError if the factor is not above 0.
    Source: how_sure_defaults, ``compare.shown_end``.

    >>> round(probability_above(ratio=LogEstimate(math.log(3.69768104), 0.151944397**2, 9.9459257), factor=3), 4)
    0.9005
    """
    require_positive(factor=factor)
    probability = ratio.share_above(factor)
    end = value("compare.shown_end")
    return min(max(probability, 1 - end), end)


def probability_within(*, ratio: Ratio, factor: float) -> float:
    """Probability that two methods differ by less than a factor, whichever way.

    ratio: ratio of two methods.
    factor: 1 or more.

    Source: how_sure_defaults, ``compare.shown_end``, practical equivalence.

    >>> alike = LogEstimate(math.log(0.987932658), 0.0393266312**2, 5.84145521)
    >>> round(probability_within(ratio=alike, factor=1.1), 5)
    0.94244
    """
    low, high = probability_above(ratio=ratio, factor=1 / factor), probability_above(ratio=ratio, factor=factor)
    return max(low - high, 1 - value("compare.shown_end"))


def comparison_levels(*, pairs_n: int) -> tuple[float, float]:
    """Levels of the intervals that a verdict rests on, widened when several pairs are judged at once.

        level = 1 - 0.05 / pairs        level of equivalence = 1 - 0.10 / pairs

    Returns level of the interval that must leave out 1, and of the one that must lie within the margin.

    Source: how_sure_defaults, ``interval.level``, several pairs by Bonferroni.

    >>> [round(level, 3) for level in comparison_levels(pairs_n=1)]
    [0.95, 0.9]
    """
    out = (1 - value("interval.level") / 100) / pairs_n
    return 1 - out, 1 - 2 * out


def verdict(*, ratio: Ratio, margin_factor: float, pairs_n: int) -> Outcome:
    """What may be said of two methods.

    Practically the same if the narrower interval lies within the margin on both sides, as by two one-sided tests,
    even where the small difference itself is beyond doubt. Else one is lower if the wider interval leaves out 1. Else
    one cannot tell, which is not the same as being the same.

    ratio: first method over second.
    margin_factor: 1 plus the difference that would not change a choice; 1 or more.

    Returns one of four.

    Source: schuirmann_1987, two one-sided tests; how_sure_defaults, four verdicts.

    >>> alike = LogEstimate(math.log(0.987932658), 0.0393266312**2, 5.84145521)
    >>> [verdict(ratio=alike, margin_factor=margin, pairs_n=1).name for margin in (1.25, 1.05)]
    ['ALIKE', 'OPEN']
    """
    level, narrower = comparison_levels(pairs_n=pairs_n)
    low, high = ratio.interval(narrower)
    if 1 / margin_factor < low and high < margin_factor:
        return Outcome.ALIKE
    low, high = ratio.interval(level)
    if high < 1:
        return Outcome.FIRST_LOWER
    return Outcome.SECOND_LOWER if low > 1 else Outcome.OPEN


def surety(*, probability_frac: float) -> Surety:
    """How sure a probability makes one.

    Returns one of four.

    Source: how_sure_defaults, ``compare.clearly``, ``compare.probably``, ``compare.leaning``.

    >>> [surety(probability_frac=p).name for p in (0.97, 0.9, 0.7, 0.55)]
    ['CLEARLY', 'PROBABLY', 'PERHAPS', 'CANNOT_TELL']
    """
    return next((one for one, least in SURE_FROM if probability_frac >= value(least)), Surety.CANNOT_TELL)
