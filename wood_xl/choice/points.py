"""The choice among combinations: what each is best for, what no weights make best, what an hour saved costs.

A combination is a row of figures, one for each criterion; less is better in all of them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from wood_xl.arguments import require_not_negative

TOLERANCE = 1e-9  # of a criterion's mean over the combinations: closer than this is alike


class WeightRange(NamedTuple):
    """Between which weights of one criterion the best combination stays best, all other weights held.

    ``low_combination`` and ``high_combination`` are the rows that win beyond the ends, None where nothing changes
    before the scale of weights ends.
    """

    low: float
    high: float
    low_combination: int | None
    high_combination: int | None


class HourPrice(NamedTuple):
    """Two neighbours on the frontier of hours and cash, from the slower and cheaper to the faster and dearer."""

    slow: int
    fast: int
    hours_saved: float
    cash_more: float
    per_hour: float


def best_rows(*, figures: Sequence[float]) -> list[int]:
    """Rows with the least figure; more than one if they tie.

    figures: figure of each combination by one criterion.

    Returns in order.

    Source: wood_xl_definitions, best by one criterion.

    >>> best_rows(figures=[3.0, 2.0, 2.0])
    [1, 2]
    """
    least = min(figures)
    return [row for row, figure in enumerate(figures) if figure - least <= TOLERANCE * max(abs(least), abs(figure))]


def beaten_by(*, rows: Sequence[Sequence[float]]) -> list[int | None]:
    """For each combination another one that is nowhere worse and somewhere better (dominance).

    rows: combinations by criteria.

    Returns row of the first combination that beats it and is itself unbeaten; None if none does.

    Source: wood_xl_definitions, dominated.

    >>> beaten_by(rows=[(3, 1), (2, 2), (3, 2), (4, 4)])
    [None, None, 0, 0]
    """
    beats = [[_beats(one, other) for one in rows] for other in rows]
    unbeaten = [not any(better) for better in beats]
    return [
        next((row for row, is_better in enumerate(better) if is_better and unbeaten[row]), None) for better in beats
    ]


def _beats(one: Sequence[float], other: Sequence[float]) -> bool:
    scale = [TOLERANCE * max(abs(a), abs(b)) for a, b in zip(one, other, strict=True)]
    no_worse = all(a <= b + near for a, b, near in zip(one, other, scale, strict=True))
    return no_worse and any(a < b - near for a, b, near in zip(one, other, scale, strict=True))


def can_be_best(*, rows: Sequence[Sequence[float]]) -> list[bool]:
    """Whether some weights, all above zero, make a combination best: a linear program for each combination.

        most e  with  weights >= e, sum of weights = 1, and for every other one: weights * (other - this) >= 0

    A combination can be best if e is above zero. Between two others that are both better than it in something, it can
    still be worse than every blend of the two; then no weights make it best.

    rows: combinations by criteria; each criterion is divided by its mean first, which changes no answer.

    Returns for each combination.

    Source: wood_xl_definitions, combination that can be best.

    >>> can_be_best(rows=[(1.0, 9.0), (6.0, 6.0), (9.0, 1.0), (4.0, 4.0), (9.0, 9.0)])
    [True, False, True, True, False]
    """
    from scipy.optimize import linprog  # noqa: PLC0415 - a heavy library, for a season with combinations only

    scaled = _by_mean(rows)
    beaten = beaten_by(rows=scaled)
    criteria_n = len(scaled[0])
    possible = []
    for row, this in enumerate(scaled):
        if beaten[row] is not None:
            possible.append(False)
            continue
        others = [[-(b - a) for a, b in zip(this, other, strict=True)] + [0.0] for other in scaled if other != this]
        above = [
            [-1.0 if column == criterion else 0.0 for column in range(criteria_n)] + [1.0]
            for criterion in range(criteria_n)
        ]
        outcome = linprog(
            c=[0.0] * criteria_n + [-1.0],
            A_ub=others + above,
            b_ub=[0.0] * (len(others) + criteria_n),
            A_eq=[[1.0] * criteria_n + [0.0]],
            b_eq=[1.0],
            bounds=[(0.0, 1.0)] * criteria_n + [(0.0, 1.0)],
            method="highs",
        )
        possible.append(bool(outcome.status == 0 and -outcome.fun > TOLERANCE))
    return possible


def criterion_means(*, rows: Sequence[Sequence[float]]) -> tuple[float, ...]:
    """Mean of each criterion over the combinations, without signs: what costs less than nothing keeps its place so.

        mean = sum of |figure| / combinations

    rows: combinations by criteria.

    Returns for each criterion; empty if there is no combination.

    Source: wood_xl_definitions, points by weights.

    >>> criterion_means(rows=[(2.0, 30.0), (6.0, 10.0)])
    (4.0, 20.0)
    """
    return tuple(math.fsum(map(abs, column)) / len(rows) for column in zip(*rows, strict=True))


def weighted_points(
    *, rows: Sequence[Sequence[float]], weights: Sequence[float], means: Sequence[float]
) -> list[float]:
    """Points by the weights; less is better, and 100 is the mean combination.

        points = 100 * sum(weight * figure / mean figure of the combinations) / sum(weights)

    So a hundredth of the mean hours counts as much as a hundredth of the mean cash if their weights are equal. A
    criterion that is zero for every combination tells nothing and is left out. Points add up: those of a combination
    are the sum of those of its methods.

    rows: combinations, or methods, by criteria.
    weights: weight of each criterion, 0 or more; at least one above zero.
    means: mean of each criterion over the combinations, 0 or more.

    Returns for each row. 0 for all if no criterion with a weight tells anything.

    Errors: ValueError if a weight is below zero or none is above.
    Source: wood_xl_definitions, points by weights.

    >>> weighted_points(rows=[(2.0, 30.0), (6.0, 10.0)], weights=[3, 1], means=[4.0, 20.0])
    [75.0, 125.0]
    """
    for weight in weights:
        require_not_negative(weight=weight)
    if not any(weights):
        raise ValueError("no weight is above 0")
    telling = [c for c, mean in enumerate(means) if mean]
    total = math.fsum(weights[c] for c in telling)
    if not total:
        return [0.0] * len(rows)
    return [100 * math.fsum(weights[c] * row[c] / means[c] for c in telling) / total for row in rows]


def _by_mean(rows: Sequence[Sequence[float]]) -> list[tuple[float, ...]]:
    means = criterion_means(rows=rows)
    return [tuple(n / mean if mean else 0.0 for n, mean in zip(row, means, strict=True)) for row in rows]


def weight_ranges(
    *, rows: Sequence[Sequence[float]], weights: Sequence[float], best: int, heaviest: float
) -> list[WeightRange]:
    """How far each weight can move, the others held, before another combination is best.

    The points of two combinations differ by a straight line in each weight; the nearest crossings on either side are
    the ends.

    rows: combinations by criteria.
    weights: weight of each criterion.
    best: row that is best by these weights.
    heaviest: end of the scale of weights; it begins at 0.

    Returns for each criterion.

    Source: wood_xl_definitions, range of a weight.

    >>> weight_ranges(rows=[(2.0, 30.0), (6.0, 10.0)], weights=[3, 1], best=0, heaviest=10)[0]
    WeightRange(low=1.0, high=10, low_combination=1, high_combination=None)
    """
    scaled = _by_mean(rows)
    this = scaled[best]
    ranges = []
    for criterion, weight in enumerate(weights):
        low, high, below, above = 0.0, heaviest, None, None
        for row, other in enumerate(scaled):
            slope = other[criterion] - this[criterion]
            lead = math.fsum(w * (b - a) for w, a, b in zip(weights, this, other, strict=True))
            if abs(slope) <= TOLERANCE or other == this:
                continue
            crossing = min(max(weight - max(lead, 0.0) / slope, 0.0), heaviest)
            if slope > 0 and crossing > low:
                low, below = crossing, row
            if slope < 0 and crossing < high:
                high, above = crossing, row
        ranges.append(WeightRange(low, high, below, above))
    return ranges


def hour_prices(*, hours: Sequence[float], cash: Sequence[float]) -> list[HourPrice]:
    """What an hour saved costs between neighbours on the frontier of hours and cash.

        price = (cash of the faster - cash of the slower) / (hours of the slower - hours of the faster)

    The frontier holds the combinations that are cheapest at some value of an hour; along it the prices rise, and each
    is the value of an hour from which on the next faster one pays.

    hours: worker hours per cord of each combination.
    cash: cash per cord of each combination.

    Returns from the cheapest combination to the fastest; empty if one combination is both.

    Source: cost_reference, break-even value of time.

    >>> [price.per_hour for price in hour_prices(hours=[10, 6, 5, 7], cash=[20, 40, 60, 50])]
    [5.0, 20.0]
    """
    order = sorted(range(len(hours)), key=lambda row: (cash[row], hours[row], row))
    prices: list[HourPrice] = []
    at = order[0]
    while True:
        faster = [row for row in order if hours[at] - hours[row] > TOLERANCE * hours[at]]
        if not faster:
            return prices
        steps = [_hour_price(at, row, hours, cash) for row in faster]
        prices.append(min(steps, key=lambda price: (price.per_hour, -price.hours_saved)))
        at = prices[-1].fast


def _hour_price(slow: int, fast: int, hours: Sequence[float], cash: Sequence[float]) -> HourPrice:
    saved, more = hours[slow] - hours[fast], cash[fast] - cash[slow]
    return HourPrice(slow, fast, saved, more, more / saved)
