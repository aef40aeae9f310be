"""What owning a tool costs in a year and over several: bought, replaced when worn out, sold at the end.

Money is in the season's currency at the prices of one year, so the interest rate is a real one.
"""

from __future__ import annotations

import numpy as np

from wood_xl.draws.ensemble import Number, plain

TOLERANCE = 1e-9  # of rounding: a tool whose life ends with the horizon is not replaced there


def capital_recovery_factor(*, rate_frac: Number, years: Number) -> Number:
    """Level yearly payment that pays back one unit of money with interest.

        factor = i / (1 - (1 + i)^-n),   1/n at i = 0

    Source: cost_reference, capital recovery; interest_table_8, printed factors.

    >>> round(capital_recovery_factor(rate_frac=0.08, years=10), 6)
    0.149029
    """
    growth = years * np.log1p(rate_frac)
    if np.all(growth > 0):  # the usual case
        return plain(rate_frac / -np.expm1(-growth))
    # The unused branch must not divide by 0.
    steep = -np.abs(np.where(growth == 0.0, 1.0, growth))
    # expm1 and log1p keep the digits that 1 - (1 + i)**-n loses at small rates. Multiplying numerator and denominator
    # by (1 + i)^n keeps a rate below 0 from overflowing over a long time.
    fall = np.expm1(steep)
    by_rate = np.where(growth > 0, rate_frac / -fall, rate_frac * np.exp(steep) / fall)
    return plain(np.where(growth == 0.0, 1 / years, by_rate))


def present_value_factor(*, rate_frac: Number, years: Number) -> Number:
    """Value today of one unit of money at the end of each year.

        factor = (1 - (1 + i)^-n) / i,   n at i = 0

    Source: cost_reference, uniform series; interest_table_8, printed factors.

    >>> round(present_value_factor(rate_frac=0.08, years=5), 4)
    3.9927
    """
    return 1 / capital_recovery_factor(rate_frac=rate_frac, years=years)


def annual_capital_cost(*, price: Number, resale: Number, rate_frac: Number, years: Number) -> Number:
    """Yearly cost of owning a tool: depreciation and interest as one annuity.

        cost = (price - resale) * capital recovery factor + resale * rate

    Source: iowa_state_a3_29, capital recovery: total depreciation times the factor, plus salvage times interest.

    >>> round(annual_capital_cost(price=15000, resale=5000, rate_frac=0.10, years=5), 4)
    3137.9748
    """
    return (price - resale) * capital_recovery_factor(rate_frac=rate_frac, years=years) + resale * rate_frac


def straight_line_per_year(*, price: Number, resale: Number, years: Number) -> Number:
    """Straight-line depreciation.

        depreciation = (price - resale) / life

    Source: miyata_1980, straight-line depreciation.

    >>> straight_line_per_year(price=12000, resale=2000, years=5)
    2000.0
    """
    return (price - resale) / years


def average_yearly_investment(*, price: Number, resale: Number, years: Number) -> Number:
    """Mean of the book values at the start of each year, on which the machine rate charges interest.

        average = (price - resale) * (n + 1) / (2 n) + resale,   n of at least 1

    Source: miyata_1980, average value of yearly investment.

    >>> average_yearly_investment(price=85000, resale=17000, years=5)
    57800.0
    """
    return (price - resale) * (years + 1) / (2 * years) + resale


def machine_rate_per_year(*, price: Number, resale: Number, rate_frac: Number, years: Number) -> Number:
    """Yearly cost of owning a tool as the forestry literature counts it: the straight-line machine rate.

        cost = depreciation + rate * average yearly investment

    Never added to ``annual_capital_cost``: both include the interest.

    Source: miyata_1980, depreciation and average value of yearly investment.

    >>> machine_rate_per_year(price=200_000, resale=40_000, rate_frac=0.18, years=5)
    56480.0
    """
    depreciation = straight_line_per_year(price=price, resale=resale, years=years)
    investment = average_yearly_investment(price=price, resale=resale, years=plain(np.maximum(1.0, years)))
    return depreciation + rate_frac * investment


def life_years(*, life_h: Number | None, hours_per_year: Number, age_limit_years: Number | None) -> Number | None:
    """Life of a tool at a given use: the shorter of its life in hours and its life by age.

        life = min(life in hours / hours a year, age limit)

    Returns None if neither limit is known.

    Source: cost_reference, life from hours and age; epa_40cfr1054, Table 1.

    >>> life_years(life_h=300, hours_per_year=36, age_limit_years=10)
    8.333333333333334
    """
    limits: list[Number] = []
    if life_h is not None and np.all(hours_per_year):
        limits.append(life_h / hours_per_year)
    if age_limit_years is not None:
        limits.append(age_limit_years)
    return plain(np.minimum(limits[0], limits[-1])) if limits else None


def present_value_of_owning(
    *, price: Number, resale: Number, rate_frac: Number, years: Number, horizon_years: Number
) -> Number:
    """Value today of buying a tool, replacing it whenever its life ends, and selling it at the horizon.

        value = sum of price * v^(k L) - sum of resale * v^(k L) - residual * v^H
        v = 1 / (1 + i),   k L < H,   residual = resale + (price - resale) * years left / L

    Source: cost_reference, replacement dates and straight-line residual.

    A tool of 300 that lasts 4 years, bought at 0, 4 and 8 of 10 years, with 2 years of life left:

    >>> 10 * round(present_value_of_owning(price=300, resale=0, rate_frac=0.0, years=4, horizon_years=10), 9)
    7500.0
    """
    bought_n = np.maximum(1, np.ceil(horizon_years / years - TOLERANCE))
    growth = np.log1p(rate_frac)
    discounts = _sum_of_powers(growth * years, bought_n)
    left_years = np.minimum(years, np.maximum(0.0, bought_n * years - horizon_years))
    residual = resale + (price - resale) * left_years / years
    return plain(price * discounts - resale * (discounts - 1) - residual * np.exp(-growth * horizon_years))


def _sum_of_powers(exponent: Number, terms_n: Number) -> Number:
    """Sum of exp(-exponent * k) for k from 0 to terms_n - 1."""
    steep = np.where(exponent == 0.0, 1.0, exponent)  # the unused branch must not divide by 0
    return plain(np.where(exponent == 0.0, terms_n, np.expm1(-steep * terms_n) / np.expm1(-steep)))
