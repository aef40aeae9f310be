"""How far published factors may be off, and how a figure goes with each: the whole chain again with the factor moved.

A factor with a published range has that or the doubt of its kind, whichever is wider. Potentials are a choice.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from wood_xl.air.factor_sets import Factor
from wood_xl.data.load import constant, value
from wood_xl.hours.figure_parts import range_spread, spread_of_sd
from wood_xl.reasons import Key


def asked(compute: Callable[[Factor], object]) -> list[str]:
    """Ids of the constants that a computation asks for."""
    ids: dict[str, None] = {}

    def asking(constant_id: str) -> float:
        ids[constant_id] = None
        return value(constant_id)

    compute(asking)
    return list(ids)


def doubted(compute: Callable[[Factor], object]) -> list[tuple[str, float]]:
    """Factors in doubt that a computation asks for, with the standard deviation of the log of each."""
    found = []
    for constant_id in asked(compute):
        factor = constant(constant_id)
        if factor.doubt is None:
            continue
        sd = math.log(value(factor.doubt))
        if factor.low and factor.high:
            sd = max(sd, math.sqrt(math.log1p(range_spread(math.log(factor.high / factor.low)) ** 2)))
        found.append((constant_id, sd))
    return found


def moved(constant_id: str, log: float) -> Factor:
    """All factors as published but one, times the exponential of a number."""
    return lambda asked_for: value(asked_for) * (math.exp(log) if asked_for == constant_id else 1.0)


def factor_powers(compute: Callable[[Factor], float], spreads: dict[Key, float]) -> dict[Key, float]:
    """Powers with which a figure goes with the factors in doubt, whose doubt is noted."""
    powers: dict[Key, float] = {}
    for key, sd in doubted(compute):
        powers[key] = math.log(compute(moved(key, sd)) / compute(moved(key, -sd))) / (2 * sd)
        spreads[key] = spread_of_sd(sd)
    return powers
