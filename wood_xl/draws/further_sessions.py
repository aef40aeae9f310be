"""How many more sessions make a comparison as sure as one wants it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from wood_xl.data.load import value
from wood_xl.draws.compare import satterthwaite_df
from wood_xl.draws.student import chi2_quantile, t_quantile


@dataclass(frozen=True, slots=True)
class Trial:
    """Where one method stands.

    n: sessions so far.
    spread: SD of the log rate from session to session.
    df: degrees of freedom of that spread; each session adds one.
    """

    n: int
    spread: float
    df: float

    @property
    def variance(self) -> float:
        """Variance of the log of the method's rate, sessions taken as alike in size."""
        return self.spread**2 / self.n

    def after(self, more_n: int) -> Trial:
        """The same after more sessions."""
        return replace(self, n=self.n + more_n, df=self.df + more_n)

    @property
    def pessimistic(self) -> Trial:
        """The same with a spread that the true one hardly exceeds."""
        least = chi2_quantile(probability_frac=value("plan.pessimistic"), df=self.df)
        return replace(self, spread=self.spread * math.sqrt(self.df / least))


def half_width_factor(*, first: Trial, second: Trial | None) -> float:
    """Factor from a figure to the upper end of its interval.

        exp(t * sqrt(sum of spread^2 / n))

    first: a method.
    second: the method that it is compared with; None for the rate of the first alone.

    Source: how_sure_defaults, ``interval.level``, further sessions.

    >>> hand, saw = Trial(n=4, spread=0.1854126, df=6), Trial(n=3, spread=0.2016827, df=5)
    >>> round(half_width_factor(first=hand, second=saw), 2)
    1.39
    """
    trials = [trial for trial in (first, second) if trial is not None]
    variances = [trial.variance for trial in trials]
    df = satterthwaite_df(variances=variances, dfs=[trial.df for trial in trials])
    level = value("interval.level") / 100
    return math.exp(t_quantile(probability_frac=(1 + level) / 2, df=df) * math.sqrt(math.fsum(variances)))


def further_sessions(*, first: Trial, second: Trial | None, factor: float) -> tuple[int, int] | None:
    """Sessions to add, each where it narrows the interval most.

    The spread is taken to stay as it is; every added session makes it better known.

    first: a method.
    second: the method that it is compared with; None for the rate of the first alone.
    factor: half width to reach, above 1.

    Returns sessions of the first and of the second to add; None if it is out of reach.

    Source: how_sure_defaults, ``plan.most_sessions``, further sessions.

    >>> hand, saw = Trial(n=4, spread=0.1854126, df=6), Trial(n=3, spread=0.2016827, df=5)
    >>> further_sessions(first=hand, second=saw, factor=1.25)
    (3, 4)
    """
    most = value("plan.most_sessions")
    added = [0, 0]

    def width(more: tuple[int, int]) -> float:
        other = None if second is None else second.after(added[1] + more[1])
        return half_width_factor(first=first.after(added[0] + more[0]), second=other)

    while width((0, 0)) > factor:
        one_more = [(1, 0)] if second is None else [(1, 0), (0, 1)]
        best = min(one_more, key=width)
        added = [added[0] + best[0], added[1] + best[1]]
        if first.n + added[0] > most or (second is not None and second.n + added[1] > most):
            return None
    return added[0], added[1]
