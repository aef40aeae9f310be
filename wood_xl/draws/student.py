"""Quantiles and probabilities of the distributions behind every interval.

The functions of scipy are fetched when first needed: a command that computes nothing does not wait for them.
"""

from __future__ import annotations

import numpy as np

from wood_xl.arguments import require_fraction, require_positive
from wood_xl.draws.normal import Array


def t_quantile(*, probability_frac: float, df: float) -> float:
    """Quantile of Student's t.

    df: degrees of freedom, whole or not. Above 0.

    Errors: ValueError if an argument is out of its range.
    Source: how_sure_defaults, table of Student's t.

    >>> round(t_quantile(probability_frac=0.975, df=3), 4)
    3.1824
    """
    from scipy.special import stdtrit

    require_fraction(probability_frac=probability_frac)
    require_positive(df=df)
    return float(stdtrit(df, probability_frac))


def t_quantiles(shares: Array, df: float) -> Array:
    """Quantiles of Student's t for many shares at once.

    Errors: ValueError if there are no degrees of freedom.
    Source: how_sure_defaults, table of Student's t.

    >>> print(np.round(t_quantiles(np.array([0.5, 0.975]), 3.0), 4))
    [0.     3.1824]
    """
    from scipy.special import stdtrit

    require_positive(df=df)
    return np.asarray(stdtrit(df, shares), dtype=np.float64)


def t_probability(*, t: float, df: float) -> float:
    """Share of Student's t below a value.

    t: value.
    df: degrees of freedom, whole or not. Above 0.

    Errors: ValueError if there are no degrees of freedom.
    Source: how_sure_defaults, table of Student's t.

    >>> round(t_probability(t=1.0, df=3.5), 10)
    0.8093313732
    """
    from scipy.special import stdtr

    require_positive(df=df)
    return float(stdtr(df, t))


def chi2_quantile(*, probability_frac: float, df: float) -> float:
    """Quantile of chi-square.

    df: degrees of freedom. Above 0.

    Errors: ValueError if an argument is out of its range.
    Source: how_sure_defaults, pessimistic spread.

    >>> round((5 / chi2_quantile(probability_frac=0.20, df=5)) ** 0.5, 2)
    1.46
    """
    from scipy.special import chdtri

    require_fraction(probability_frac=probability_frac)
    require_positive(df=df)
    return float(chdtri(df, 1.0 - probability_frac))


def f_upper_probability(*, f: float, df_1: float, df_2: float) -> float:
    """Probability that the F ratio of two equal variances is above a value.

    df_1: degrees of freedom above the line. Above 0.
    df_2: degrees of freedom below it. Above 0.

    Errors: ValueError if there are no degrees of freedom.
    Source: how_sure_defaults, test of parallel slopes.

    >>> round(f_upper_probability(f=2.4327658, df_1=1, df_2=4), 4)
    0.1938
    """
    from scipy.special import fdtrc

    require_positive(df_1=df_1, df_2=df_2)
    return float(fdtrc(df_1, df_2, f))


def binomial_upper(*, least: int, tries_n: int, share_frac: float) -> float:
    """Probability of so many hits or more, each try hitting with the same chance.

        P(X >= k) = I_p(k, n - k + 1)

    least: hits, k. From 0 to the number of tries.

    The incomplete beta function holds for thousands of tries, where binomial coefficients are too large for a float.

    Errors: ValueError if an argument is out of its range.
    Source: how_sure_defaults, heaping of minutes.

    >>> round(binomial_upper(least=6, tries_n=10, share_frac=0.2), 4)
    0.0064
    """
    from scipy.special import betainc

    require_fraction(share_frac=share_frac)
    if not 0 <= least <= tries_n:
        raise ValueError(f"{least} hits in {tries_n} tries")
    return 1.0 if least == 0 else float(betainc(least, tries_n - least + 1, share_frac))
