"""Between two methods: what an hour saved costs, from which volume a tool pays, and when it has paid itself back."""

from __future__ import annotations

import math
from collections.abc import Callable

from wood_xl.arguments import require_finite, require_not_negative, require_positive, require_rate

STEPS_PER_FACTOR_10 = 20  # fine enough that two crossings in one step would lie within 12 % of each other
HALVINGS = 60


def hour_saved_cost(
    *, slow_cash: float, slow_worker_h: float, quick_cash: float, quick_worker_h: float
) -> float | None:
    """Break-even value of an hour: what each hour costs that the quicker method saves.

        w = (cash quick - cash slow) / (hours slow - hours quick)

    slow_cash: cash of the slower method for some wood, at some yearly volume; below 0 if owning its tools brings some
        in.
    quick_cash: cash of the quicker method for the same wood, at the same volume.

    Returns money per hour; 0 or less if the quicker method costs no more; None if it is not quicker.

    It needs no value of time: the reader compares it with the worth of an own hour.

    Errors: ValueError if an argument is not finite, or hours are below 0.
    Source: cost_reference, break-even value of time.

    A maul at 12 a year and 0.50 a cord, a splitter at 250 a year and 4.00 a cord, 6 cords a year:

    >>> hour_saved_cost(slow_cash=12 / 6 + 0.5, slow_worker_h=4.0, quick_cash=250 / 6 + 4.0, quick_worker_h=1.8)
    19.621212121212118
    """
    require_finite(slow_cash=slow_cash, quick_cash=quick_cash)
    require_not_negative(slow_worker_h=slow_worker_h, quick_worker_h=quick_worker_h)
    if quick_worker_h >= slow_worker_h:
        return None
    return (quick_cash - slow_cash) / (slow_worker_h - quick_worker_h)


def break_even_volumes(difference: Callable[[float], float], *, least: float, most: float) -> list[float]:
    """Yearly volumes at which two methods cost the same, from the least to the most.

    difference: cost of one method less that of the other, at a yearly volume.
    least: smallest volume to look at. Above 0.
    most: largest volume to look at. Above the smallest.

    Returns in rising order; empty if one method is the cheaper everywhere.

    Two straight lines of cost cross at (F' - F) / (V - V'). Where a life in hours ends before a life by age, the
    lines are bent, so the volumes are searched in even steps of their logarithm, and each crossing is halved in.

    Errors: ValueError if the volumes are not above 0, or not in order.
    Source: fao_99, sections 1.3 and 1.4; cost_reference, break-even volume where life is limited by hours.

    >>> [round(v, 6) for v in break_even_volumes(lambda q: 250 + 22 * q - (12 + 40.5 * q), least=0.1, most=1000)]
    [12.864865]
    """
    require_positive(least=least, most=most)
    if least >= most:
        raise ValueError(f"least is {least}, not below most {most}")
    steps = math.ceil(math.log10(most / least) * STEPS_PER_FACTOR_10)
    ratio = (most / least) ** (1 / steps)
    found = []
    low, at_low = least, difference(least)
    for step in range(1, steps + 1):
        high = most if step == steps else least * ratio**step
        at_high = difference(high)
        if at_low == 0.0:
            if at_high != 0.0 and step > 1:
                found.append(low)
        elif at_low * at_high < 0:
            found.append(_root(difference, low, high, at_low))
        low, at_low = high, at_high
    return found


def _root(difference: Callable[[float], float], low: float, high: float, at_low: float) -> float:
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if (difference(middle) > 0) == (at_low > 0):
            low = middle
        else:
            high = middle
    return (low + high) / 2


def payback_years(*, outlay: float, saved_per_year: float, rate_frac: float) -> float | None:
    """Years until equal yearly savings have paid back an outlay, with interest.

        n = -ln(1 - I i / s) / ln(1 + i),   I / s at i = 0

    outlay: money spent today, I. 0 or more.

    Returns years [years]; None if the savings never pay it back.

    The closed form. Going between whole years in a straight line gives a slightly longer time. Payback does not see
    what comes after it, so methods are not ranked by it.

    Errors: ValueError if an argument is out of its range.
    Source: cost_reference, simple and discounted payback.

    >>> round(payback_years(outlay=1000, saved_per_year=220, rate_frac=0.05), 4)
    5.2844
    """
    require_not_negative(outlay=outlay)
    require_rate(rate_frac=rate_frac)
    if outlay == 0:
        return 0.0
    if saved_per_year <= 0 or outlay * rate_frac >= saved_per_year:
        return None
    growth = math.log1p(rate_frac)
    if growth == 0.0:
        return outlay / saved_per_year
    return -math.log1p(-outlay * rate_frac / saved_per_year) / growth
