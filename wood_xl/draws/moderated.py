"""Rate of one method over its sessions, and how sure it is.

The session is what is repeated: many cuts on one day say nothing of other days.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from wood_xl.arguments import require_positive
from wood_xl.data.load import value
from wood_xl.draws.student import t_quantile
from wood_xl.verdicts import Quality

QUALITIES = (
    (Quality.SOLID, "sessions.solid"),
    (Quality.GOOD, "sessions.good"),
    (Quality.FAIR, "sessions.fair"),
    (Quality.HINT, "sessions.hint"),
)


@dataclass(frozen=True, slots=True)
class Rate:
    """Ratio of totals with what its interval is made of.

    n: sessions.
    value: sum of amounts over sum of quantities.
    n_eff: sessions of equal size that would tell as much.
    spread: SD of the log rate from session to session, the assumed spread mixed in.
    se_log, df: standard error of the log of the value, and its degrees of freedom.
    data_se_log: standard error of the log from the sessions alone; None with one session.
    linear_se_frac: standard error from the sessions alone, of the value itself and as a share of it; None with one
        session.
    """

    n: int
    value: float
    n_eff: float
    spread: float
    se_log: float
    df: float
    data_se_log: float | None
    linear_se_frac: float | None

    @property
    def interval(self) -> tuple[float, float]:
        """Interval with the assumed day-to-day spread mixed in."""
        return log_interval(middle=self.value, se_log=self.se_log, df=self.df)

    @property
    def data_interval(self) -> tuple[float, float] | None:
        """Interval from the sessions alone; None with one session."""
        if self.data_se_log is None:
            return None
        return log_interval(middle=self.value, se_log=self.data_se_log, df=self.n - 1)

    @property
    def next_session(self) -> tuple[float, float]:
        """Between what one more session is likely to lie."""
        return log_interval(middle=self.value, se_log=math.hypot(self.spread, self.se_log), df=self.df)


def ratio_of_totals(*, amounts: Sequence[float], quantities: Sequence[float]) -> float:
    """Sum over sum, so that budgets add up and a short session weighs little.

    amounts: hours, kcal or money of each session.
    quantities: wood of each session; their sum above 0.

    Errors: ValueError if there is no wood.
    Source: cochran_1977, ratio estimator.

    >>> round(ratio_of_totals(amounts=[62.0, 48.0, 75.0, 55.0], quantities=[1.10, 0.95, 1.38, 0.90]), 5)
    55.42725
    """
    total = math.fsum(quantities)
    require_positive(quantity=total)
    return math.fsum(amounts) / total


def linearised_se(*, amounts: Sequence[float], quantities: Sequence[float]) -> float:
    """Standard error of the ratio of totals by its linear form.

        e = amount - R * quantity        se = sqrt(sum e^2 / ((n - 1) n)) / mean quantity

    amounts: of each session; at least two.
    quantities: wood of each session.

    Source: cochran_1977, variance of the ratio estimator, without finite population correction; lohr_1999, Example
    3.2.

    >>> round(linearised_se(amounts=[62.0, 48.0, 75.0, 55.0], quantities=[1.10, 0.95, 1.38, 0.90]), 5)
    1.90677
    """
    n = len(amounts)
    ratio = ratio_of_totals(amounts=amounts, quantities=quantities)
    squares = math.fsum((a - ratio * q) ** 2 for a, q in zip(amounts, quantities, strict=True))
    return math.sqrt(squares / ((n - 1) * n)) / (math.fsum(quantities) / n)


def jackknife_se_log(*, amounts: Sequence[float], quantities: Sequence[float]) -> float:
    """Standard error of the log of the ratio of totals, by leaving out one session at a time.

        L(-i) = ln((sum of amounts - amount i) / (sum of quantities - quantity i))
        se = sqrt((n - 1) / n * sum of (L(-i) - mean L)^2)

    amounts: of each session, above 0; at least two.
    quantities: wood of each session, above 0.

    Source: quenouille_tukey, delete-one jackknife.

    >>> round(jackknife_se_log(amounts=[62.0, 48.0, 75.0, 55.0], quantities=[1.10, 0.95, 1.38, 0.90]), 7)
    0.0331139
    """
    n = len(amounts)
    rests = zip(_sums_of_the_others(amounts), _sums_of_the_others(quantities), strict=True)
    logs = [math.log(amount / quantity) for amount, quantity in rests]
    return (n - 1) / math.sqrt(n) * statistics.stdev(logs)


def _sums_of_the_others(numbers: Sequence[float]) -> list[float]:
    """Sum of all but one, for each one; by taking it off the whole, unless it is most of that: digits would go."""
    total = math.fsum(numbers)
    return [
        total - one if one < total / 2 else math.fsum(n for at, n in enumerate(numbers) if at != place)
        for place, one in enumerate(numbers)
    ]


def effective_sessions(*, quantities: Sequence[float]) -> float:
    """Sessions of equal size that would tell as much as these.

        n_eff = (sum Q)^2 / sum Q^2

    quantities: wood of each session, above 0.

    Source: how_sure_defaults, effective number of sessions.

    >>> round(effective_sessions(quantities=[1.10, 0.95, 1.38, 0.90]), 4)
    3.8843
    """
    return math.fsum(quantities) ** 2 / math.fsum(q * q for q in quantities)


def dominating_session(*, quantities: Sequence[float]) -> int | None:
    """Session that alone weighs so much that the others tell little.

    quantities: wood of each session, above 0.

    Returns its place from 0; None where none dominates.

    Source: how_sure_defaults, ``sessions.dominated``.

    >>> dominating_session(quantities=[1.0, 1.1, 9.0])
    2
    """
    if effective_sessions(quantities=quantities) >= value("sessions.dominated") * len(quantities):
        return None
    return max(range(len(quantities)), key=lambda i: quantities[i])


def rate_of_sessions(*, amounts: Sequence[float], quantities: Sequence[float]) -> Rate:
    """Rate of one method, its interval steadied by an assumed day-to-day spread.

        s^2 = (d0 s0^2 + (n - 1) s_own^2) / (d0 + n - 1)        se = s / sqrt(n_eff)        df = d0 + n - 1

    It exists from the first session on, and every session of the method's own takes weight from what is assumed.

    amounts: hours, kcal or litres of each session, above 0.
    quantities: wood of each session, above 0.

    Returns with both intervals.

    Errors: ValueError if there is no session, or a number is not above 0: a log needs that.
    Source: smyth_2004, moderated variance; how_sure_defaults, ``spread.prior``, ``spread.prior_df``.

    >>> rate = rate_of_sessions(amounts=[62.0, 48.0, 75.0, 55.0], quantities=[1.10, 0.95, 1.38, 0.90])
    >>> [round(end, 3) for end in rate.interval]
    [44.03, 69.775]
    """
    return _rate(tuple(amounts), tuple(quantities))


@lru_cache(maxsize=1024)  # the parts of many figures go with the same sessions
def _rate(amounts: tuple[float, ...], quantities: tuple[float, ...]) -> Rate:
    for amount, quantity in zip(amounts, quantities, strict=True):
        require_positive(amount=amount, quantity=quantity)
    n = len(amounts)
    own = statistics.variance([math.log(a / q) for a, q in zip(amounts, quantities, strict=True)]) if n > 1 else 0.0
    assumed, assumed_df = value("spread.prior"), value("spread.prior_df")
    df = assumed_df + n - 1
    spread = math.sqrt((assumed_df * assumed**2 + (n - 1) * own) / df)
    n_eff = effective_sessions(quantities=quantities)
    ratio = ratio_of_totals(amounts=amounts, quantities=quantities)
    return Rate(
        n=n,
        value=ratio,
        n_eff=n_eff,
        spread=spread,
        se_log=spread / math.sqrt(n_eff),
        df=df,
        data_se_log=jackknife_se_log(amounts=amounts, quantities=quantities) if n > 1 else None,
        linear_se_frac=linearised_se(amounts=amounts, quantities=quantities) / ratio if n > 1 else None,
    )


def log_interval(*, middle: float, se_log: float, df: float, level_frac: float | None = None) -> tuple[float, float]:
    """Interval that is as wide by ratio on both sides, and never reaches 0.

        middle * exp(-/+ t * se)

    middle: value. Above 0.
    se_log: standard error of its log. 0 or more.
    df: degrees of freedom. Above 0.

    Returns lower and upper end.

    Source: how_sure_defaults, ``interval.level``.

    >>> [round(end, 3) for end in log_interval(middle=55.42725, se_log=0.0940774, df=6)]
    [44.03, 69.775]
    """
    level = value("interval.level") / 100 if level_frac is None else level_frac
    factor = math.exp(t_quantile(probability_frac=(1 + level) / 2, df=df) * se_log)
    return middle / factor, middle * factor


def quality(*, sessions_n: int) -> Quality:
    """What a figure is worth by the number of sessions behind it.

    Returns from a single try to solid.

    Source: how_sure_defaults, ``sessions.hint``, ``sessions.fair``, ``sessions.good``, ``sessions.solid``.

    >>> [quality(sessions_n=n).name for n in (1, 2, 4, 5, 8)]
    ['SINGLE_TRY', 'HINT', 'FAIR', 'GOOD', 'SOLID']
    """
    return next((one for one, least in QUALITIES if sessions_n >= value(least)), Quality.SINGLE_TRY)
