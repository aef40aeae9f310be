"""Unsure inputs as arrays, by a relative uncertainty or by a range."""

from __future__ import annotations

import math

import numpy as np

from wood_xl.arguments import require_not_negative, require_positive
from wood_xl.data.load import value
from wood_xl.data.trade import unsure
from wood_xl.draws.ensemble import WORLDS, Design, last_score, shares
from wood_xl.draws.normal import Array
from wood_xl.reasons import Key, Said


def by_doubt(key: Key, u_frac: float, design: Design = WORLDS) -> Array:
    """A factor around 1 by its relative standard uncertainty.

        factor = exp(s z),  s^2 = ln(1 + u^2)

    Source: jcgm_101, propagation of distributions; how_sure_defaults, shared factors.

    >>> print(round(float(np.log(by_doubt("price", 0.1)).std()), 4))
    0.0997
    """
    members: Array = np.exp(log_of_doubt(key, u_frac, design))
    return members


def by_kind(key: Key, kind: str, design: Design = WORLDS) -> Array:
    """A factor around 1 without a range of its own, by the doubt of its kind, which is a constant."""
    return by_doubt(key, spread_of_sd(math.log(value(kind))), design)


def log_of_doubt(key: Key, u_frac: float, design: Design) -> Array:
    """Log of that factor."""
    require_not_negative(u_frac=u_frac)
    return math.sqrt(math.log1p(u_frac**2)) * design.scores(key)


def by_range(key: Key, base: float, low: float, high: float, design: Design = WORLDS) -> Array:
    """A number above 0 by the range that holds 95 % of it, with its own width on each side.

        base * (high / base)^(z / 1.96) above the base, base * (base / low)^(z / 1.96) below it

    Source: how_sure_defaults, shared factors.

    >>> members = by_range("price", 100.0, 80.0, 125.0)
    >>> print(members[0], round(float(np.quantile(members, 0.975))))
    100.0 125
    """
    require_positive(low=low)
    if not low <= base <= high:
        raise ValueError(f"{base} lies outside its range from {low} to {high}")
    z = design.scores(key)
    log = np.where(z > 0, math.log(high / base), math.log(base / low)) * z / last_score()
    members: Array = base * np.exp(log)
    return members


def evenly(key: Key, middle: float, low: float, high: float) -> Array:
    """A number of known range, spread evenly on each side: as often below its value as above it.

        low + 2 p (middle - low) below p = 1/2, else middle + (2 p - 1) (high - middle)

    Source: jcgm_100, rectangular distribution; how_sure_defaults, shared factors.

    >>> draws = evenly("stove", 70.0, 62.0, 78.0)
    >>> print(round(float(draws[1:].std()), 2), round(8 / 3**0.5, 2))
    4.62 4.62
    """
    if not low <= middle <= high:
        raise ValueError(f"{middle} lies outside its range from {low} to {high}")
    place = 2 * shares(key) - 1
    return middle + np.where(place < 0, place * (middle - low), place * (high - middle))


def range_spread(width_log: float) -> float:
    """Relative standard uncertainty of a factor by the width of the log of its 95 % range."""
    return spread_of_sd(width_log / (2 * last_score()))


def spread_of_sd(sd_log: float) -> float:
    """Relative standard uncertainty of a factor by the standard deviation of its log."""
    return math.sqrt(math.expm1(sd_log**2))


def is_choice(key: Key) -> bool:
    """Whether a key is of a choice, which is in no doubt."""
    return isinstance(key, Said) and key.id.key in unsure() and unsure()[key.id.key].is_choice
