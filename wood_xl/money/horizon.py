"""What owning a tool costs over a number of years: bought, replaced when worn out, sold at the end."""

from __future__ import annotations

import math

from wood_xl.arguments import require_not_negative, require_positive, require_rate

TOLERANCE = 1e-9  # a life that ends with the horizon, but for rounding, is not replaced there


def present_value_of_owning(
    *, price: float, resale: float, rate_frac: float, years: float, horizon_years: float
) -> float:
    """Value today of buying a tool, replacing it whenever its life ends, and selling it at the horizon.

        value = sum of price * v^(k L) - sum of resale * v^(k L) - residual * v^H
        v = 1 / (1 + i),   k L < H,   residual = resale + (price - resale) * years left / L

    price: price of the tool, each time. 0 or more.
    resale: what it brings each time that its life ends. 0 or more.

    The last tool's residual is its straight-line book value.

    Errors: ValueError if an argument is out of its range.
    Source: cost_reference, replacement dates and straight-line residual.

    A tool of 300 that lasts 4 years, bought at 0, 4 and 8 of 10 years, with 2 years of life left:

    >>> 10 * round(present_value_of_owning(price=300, resale=0, rate_frac=0.0, years=4, horizon_years=10), 9)
    7500.0
    """
    require_not_negative(price=price, resale=resale)
    require_rate(rate_frac=rate_frac)
    require_positive(years=years, horizon_years=horizon_years)
    bought_n = max(1, math.ceil(horizon_years / years - TOLERANCE))
    growth = math.log1p(rate_frac)
    discounts = _sum_of_powers(growth * years, bought_n)
    left_years = min(years, max(0.0, bought_n * years - horizon_years))
    residual = resale + (price - resale) * left_years / years
    end = math.exp(-growth * horizon_years)
    return math.fsum((price * discounts, -resale * (discounts - 1), -residual * end))


def _sum_of_powers(exponent: float, terms_n: int) -> float:
    """Sum of exp(-exponent * k) for k from 0 to terms_n - 1."""
    if exponent == 0.0 or terms_n == 1:
        return float(terms_n)
    return math.expm1(-exponent * terms_n) / math.expm1(-exponent)
