"""Two methods: what a saved hour costs, from which volume the quicker one pays, and when it has paid for itself."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from wood_xl.arguments import require_finite, require_not_negative, require_positive, require_rate
from wood_xl.draws.ensemble import Number, nominal, plain
from wood_xl.draws.figure import Figure, as_things_stand, drawn, is_of_unknown_doubt, not_given
from wood_xl.draws.normal import Array
from wood_xl.reasons import Basis, Reason, said

STEPS_PER_FACTOR_10 = 20  # fine enough that two crossings in one step would lie within 12 % of each other
PARTS, PARTINGS = 100, 9  # cut a bracket into so many parts so often: down to the last digit
ROUNDS, STRAIGHT_ROUNDS = 60, 15
CLOSED = 1e-9  # money a cord; also the relative width of a bracket


def hour_saved_cost(*, extra_cash: Number, hours_saved: Number) -> Number:
    """Break-even value of an hour: the cost of each hour that the quicker method saves.

        w = (cash quick - cash slow) / (hours slow - hours quick)

    extra_cash, hours_saved: for the same wood, at some yearly volume.

    Returns money per hour; 0 or less if the quicker method costs no more; infinite if it saves no hour.

    It needs no value of time: readers compare it with what their own hour is worth.

    Source: cost_reference, break-even value of time.

    A maul at 12 a year and 0.50 a cord, a splitter at 250 a year and 4.00 a cord, 6 cords a year:

    >>> print(round(hour_saved_cost(extra_cash=(250 / 6 + 4.0) - (12 / 6 + 0.5), hours_saved=4.0 - 1.8), 6))
    19.621212
    """
    require_finite(extra_cash=extra_cash, hours_saved=hours_saved)
    saves = np.asarray(hours_saved) > 0
    return plain(np.where(saves, extra_cash / np.where(saves, hours_saved, 1.0), np.inf))


def price_of_saved(more: Figure, saved: Figure, *, none: Reason, maybe: Reason) -> Figure:
    """Price of one unit saved; without an upper end where perhaps nothing is saved.

        price = more / saved

    more: extra cost.
    saved: units saved on the same wood.
    none: reason where nothing is saved; the share of draws is added.
    maybe: reason where the saving is not told apart from nothing.

    Source: cost_reference, break-even value of time.

    >>> from wood_xl.reasons import Reason
    >>> reasons = {"none": Reason.SAVES_NO_HOUR, "maybe": Reason.MAY_SAVE_NO_HOUR}
    >>> price_of_saved(Figure(42.0), Figure(2.1), **reasons).value
    20.0
    """
    for one in (more, saved):
        if one.value is None:
            return not_given(one.why)
    price = hour_saved_cost(extra_cash=more.number, hours_saved=saved.number)
    unsure = next((one for one in (more, saved) if is_of_unknown_doubt(one)), None)
    if nominal(price) == math.inf:
        return not_given(as_things_stand(said(none), None if unsure else saved.number <= 0))
    if unsure is not None:
        return Figure(nominal(price), reason=unsure.reason)
    figure = drawn(price)
    if figure.high != math.inf:
        return figure
    low = None if figure.low == math.inf else figure.low
    return replace(figure, low=low, high=None, reason=said(maybe))


def price_of_hour(more: Figure, saved: Figure) -> Figure:
    """Cash for each hour saved, and whether cash is saved too.

        price = more cash / hours saved

    Source: cost_reference, break-even value of time.

    >>> price_of_hour(Figure(42.0), Figure(2.1)).value
    20.0
    """
    price = price_of_saved(more, saved, none=Reason.SAVES_NO_HOUR, maybe=Reason.MAY_SAVE_NO_HOUR)
    return replace(price, basis=said(Basis.SAVES_BOTH)) if (price.value or 0.0) < 0 else price


def break_even_volumes(difference: Callable[[Array], Array], *, least: float, most: float) -> list[float]:
    """Yearly volumes at which two methods cost the same, from the least to the most.

    difference: cost of one method less that of the other, at each of some yearly volumes.

    Returns in rising order; empty if one method is the cheaper everywhere.

    Two straight lines of cost cross at (F' - F) / (V - V'). Where a tool's life in hours is shorter than its life by
    age, the lines bend. So the search takes even steps of the logarithm and then narrows down each crossing.

    Source: fao_99, sections 1.3 and 1.4; cost_reference, break-even volume where life is limited by hours.

    >>> [round(v, 6) for v in break_even_volumes(lambda q: 250 + 22 * q - (12 + 40.5 * q), least=0.1, most=1000)]
    [12.864865]
    """
    require_positive(least=least, most=most)
    if least >= most:
        raise ValueError(f"least is {least}, not below most {most}")
    steps = math.ceil(math.log10(most / least) * STEPS_PER_FACTOR_10)
    volumes = least * (most / least) ** (np.arange(steps + 1) / steps)
    signs = _signs(difference, volumes)
    touched = [float(volumes[at]) for at in range(1, steps) if signs[at] == 0 != signs[at + 1]]
    crossed = [_root(difference, *volumes[at : at + 2]) for at in range(steps) if signs[at] * signs[at + 1] < 0]
    return sorted(touched + crossed)


def _signs(difference: Callable[[Array], Array], volumes: Array) -> Array:
    return np.sign(np.broadcast_to(difference(volumes), volumes.shape))


def _root(difference: Callable[[Array], Array], low: float, high: float) -> float:
    """The first crossing between two volumes of different sign; the bracket is cut into parts again and again."""
    for _ in range(PARTINGS):
        tried = np.linspace(low, high, PARTS + 1)
        signs = _signs(difference, tried)
        first = int(np.argmax(signs != signs[0]))
        low, high = float(tried[first - 1]), float(tried[first])
    return (low + high) / 2


def first_volumes(difference: Callable[[Number], Array], *, least: float, most: float) -> Array:
    """First yearly volume at which two methods cost the same, in each member.

    difference: cost of one method less that of the other in each member, at one yearly volume or one for each member.

    Returns infinite where the difference is above 0 throughout, 0 where it never is.

    Even steps of the logarithm find a bracket. False position with halved weights closes it, or
    halving where the cost has a step. It works on the cost of a year, which is nearly a straight line.

    Source: cost_reference, break-even volume where life is limited by hours.

    >>> slopes = np.array([22.0, 40.0, 41.0])
    >>> print(np.round(first_volumes(lambda q: (238 + (slopes - 40.5) * q) / q, least=0.1, most=1000), 4))
    [ 12.8649 476.          inf]
    """
    steps = math.ceil(math.log10(most / least) * STEPS_PER_FACTOR_10)
    before, at_before = least, difference(least)
    is_open = np.ones(at_before.shape, dtype=bool)
    low, at_low = np.full(at_before.shape, least), at_before.copy()
    high, at_high = low.copy(), at_low.copy()
    for step in range(1, steps + 1):
        volume = least * (most / least) ** (step / steps)
        at_volume = difference(volume)
        crosses = is_open & (at_before * at_volume < 0)
        low[crosses], at_low[crosses] = before, at_before[crosses]
        high[crosses], at_high[crosses] = volume, at_volume[crosses]
        is_open &= ~crosses
        before, at_before = volume, at_volume
        if not is_open.any():
            break
    root = _closed(difference, low, at_low, high, at_high) if not is_open.all() else low
    return np.where(is_open, np.where(at_low > 0, np.inf, 0.0), root)


def _closed(difference: Callable[[Number], Array], low: Array, at_low: Array, high: Array, at_high: Array) -> Array:
    """Root within each bracket; a bracket of no width has none."""
    in_low, in_high, is_between, middle = low * at_low, high * at_high, high > low, low
    moved_low, moved_high = np.zeros_like(is_between), np.zeros_like(is_between)
    for number in range(ROUNDS):
        width = in_high - in_low
        middle = np.where(width == 0, low, low - in_low * (high - low) / np.where(width == 0, 1.0, width))
        if number >= STRAIGHT_ROUNDS:  # only a step is left, as where one more day of rent begins
            middle = (low + high) / 2
        at_middle = difference(middle)
        if not (is_between & (np.abs(at_middle) > CLOSED) & (high - low > CLOSED * high)).any():
            break
        in_middle = middle * at_middle
        is_same = in_middle * in_low > 0
        # An end that stays a second time counts half, or it would hardly move.
        in_high = np.where(is_same, np.where(moved_low, in_high / 2, in_high), in_middle)
        in_low = np.where(is_same, in_middle, np.where(moved_high, in_low / 2, in_low))
        low, high = np.where(is_same, middle, low), np.where(is_same, high, middle)
        moved_low, moved_high = is_same, ~is_same
    return middle


def payback_years(*, outlay: Number, saved_per_year: Number, rate_frac: Number) -> Number:
    """Years until equal yearly savings have paid back an outlay, with interest.

        n = -ln(1 - I i / s) / ln(1 + i),   I / s at i = 0

    Returns years [years]; infinite if the savings never pay it back.

    The closed form; a straight line between whole years gives a slightly longer time. Payback ignores what comes
    after it, so methods are not ranked by it.

    Source: cost_reference, simple and discounted payback.

    >>> print(round(payback_years(outlay=1000, saved_per_year=220, rate_frac=0.05), 4))
    5.2844
    """
    require_not_negative(outlay=outlay)
    require_rate(rate_frac=rate_frac)
    saved = np.where(np.asarray(saved_per_year) > 0, saved_per_year, 1.0)
    share = outlay * rate_frac / saved
    is_paid = (np.asarray(saved_per_year) > 0) & (share < 1)
    growth = np.log1p(rate_frac)
    # The unused branch must not divide by 0 or take its log.
    discounted = -np.log1p(-np.where(is_paid, share, 0.0)) / np.where(growth == 0.0, 1.0, growth)
    years = np.where(growth == 0.0, outlay / saved, discounted)
    return plain(np.where(np.asarray(outlay) == 0, 0.0, np.where(is_paid, years, np.inf)))
