"""Between two methods of a task: what an hour saved costs, from which volume the quicker pays, when it paid back."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import combinations
from typing import ClassVar

from wood_xl.data.load import value
from wood_xl.draws.figure import Figure, TableRow, not_given
from wood_xl.money.between_doubt import PairDoubt, Result, extra_cash_at, pair_doubt
from wood_xl.money.break_even import break_even_volumes, hour_saved_cost, payback_years
from wood_xl.money.inputs import Gathered, still_to_buy
from wood_xl.money.method import MethodInputs, method_money
from wood_xl.money.per_method import MethodCost
from wood_xl.reasons import Basis, Reason, Said, Word, said
from wood_xl.records import Season
from wood_xl.verdicts import Pays

NOTHING_TO_BUY, UNMOVED = said(Reason.NOTHING_TO_BUY), said(Reason.UNMOVED)
PAYS: dict[Word, Pays] = {  # which side of the break-even volume pays, and what is said of both methods then
    Basis.PAYS_ABOVE: Pays.ABOVE,
    Basis.PAYS_BELOW: Pays.BELOW,
    Basis.PAYS_ABOVE_UNTIL: Pays.ABOVE_UNTIL,
    Basis.PAYS_BELOW_AND_AGAIN: Pays.BELOW_AND_AGAIN,
}
LEAST_CORDS, MOST_CORDS = 0.01, 1000.0  # from an armful to more than the season's item of yearly volume takes

Beside = Callable[[float], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Pair:
    """Two methods of one task, of which the first takes fewer worker hours per cord, with their numbers."""

    quick: MethodCost
    slow: MethodCost
    quick_found: Gathered
    slow_found: Gathered

    @property
    def hours_saved(self) -> float:
        """Worker hours per cord."""
        return self.slow_found.inputs.worker_h_per_cord - self.quick_found.inputs.worker_h_per_cord

    def doubt(self, season: Season) -> PairDoubt:
        """What moves the money between the two."""
        return pair_doubt(self.quick, self.slow, (self.quick_found, self.slow_found), season)

    @property
    def why_no_cash(self) -> Figure | None:
        """Why the two cannot be compared in cash."""
        return self.quick_found.why_no_cash or self.slow_found.why_no_cash

    @property
    def why_no_time(self) -> Figure | None:
        """Why the two cannot be compared in cash and time."""
        return self.why_no_cash or self.quick_found.missing.get("own_time")

    def extra_cash(self, cords_per_year: float) -> float:
        """What the quicker method costs more, per cord at a yearly volume."""
        quick, slow = (
            method_money(replace(found.inputs, cords_per_year=cords_per_year)).cash
            for found in (self.quick_found, self.slow_found)
        )
        return quick - slow

    @property
    def worth_of_hours_saved(self) -> float:
        """Per cord, at the stated value of an hour; it does not hang on the volume."""
        return self.hours_saved * self.quick_found.inputs.value_of_time_per_h


def pairs(costs: Iterable[MethodCost]) -> Iterator[Pair]:
    """Every two methods of one task that were tried."""
    for first, second in combinations(costs, 2):
        if first.totals.method.task != second.totals.method.task or not first.gathered or not second.gathered:
            continue
        one, other = first.gathered, second.gathered
        if other.inputs.worker_h_per_cord < one.inputs.worker_h_per_cord:
            yield Pair(second, first, other, one)
        else:
            yield Pair(first, second, one, other)


@dataclass(frozen=True, eq=False)
class BreakEvenRow(TableRow):
    """What the hours cost that the quicker of two methods saves, and from which volume on it pays."""

    table: ClassVar[str] = "break_even"
    quicker: str
    slower: str
    task: str
    hours_saved: Figure
    extra_cash: Figure
    hour_saved_cost: Figure
    volume_cash: Figure
    volume_time: Figure
    verdict: Said | Pays


def break_even_rows(found: Iterable[Pair], season: Season) -> list[BreakEvenRow]:
    """What the hours cost that the quicker method saves, and from which volume on it pays."""
    return [_break_even_row(pair, pair.doubt(season)) for pair in found]


def _break_even_row(pair: Pair, doubt: PairDoubt) -> BreakEvenRow:
    row = partial(
        BreakEvenRow,
        quicker=pair.quick.totals.method.name,
        slower=pair.slow.totals.method.name,
        task=pair.quick.totals.method.task,
        hours_saved=_hours(pair, doubt, 1.0),
    )
    why = pair.why_no_cash
    if why is not None:
        return row(extra_cash=why, hour_saved_cost=why, volume_cash=why, volume_time=why, verdict=Pays.NOT_KNOWN)
    extra_at = cache(pair.extra_cash)  # all searches ask at the same volumes
    cords = pair.quick_found.inputs.cords_per_year
    extra = extra_at(cords)
    beside = doubt.cash_beside((LEAST_CORDS, MOST_CORDS))
    volume = _volume(extra_at, beside)
    worth = pair.worth_of_hours_saved
    volume_time = pair.why_no_time or _volume(lambda at: extra_at(at) - worth, _with_hours(pair, doubt, beside))
    return row(
        extra_cash=_money(doubt, extra_cash_at(cords), UNMOVED),
        hour_saved_cost=_hour_saved(pair, doubt),
        volume_cash=volume,
        volume_time=volume_time,
        verdict=_verdict(pair, extra, volume),
    )


def _hours(pair: Pair, doubt: PairDoubt, cords: float) -> Figure:
    """Worker hours saved by an amount of wood."""
    if isinstance(doubt.hours, Said):
        return Figure(pair.hours_saved * cords, reason=doubt.hours)
    low, high = doubt.hours
    return Figure(pair.hours_saved * cords, None, low * cords, high * cords)


def _with_hours(pair: Pair, doubt: PairDoubt, beside: Beside) -> Beside:
    """Doubt of the extra cash together with that of the hours saved, at the stated value of an hour."""
    low, high = (pair.hours_saved, pair.hours_saved) if isinstance(doubt.hours, Said) else doubt.hours
    worth = pair.quick_found.inputs.value_of_time_per_h
    down, up = (high - pair.hours_saved) * worth, (pair.hours_saved - low) * worth

    def both(cords_per_year: float) -> tuple[float, float]:
        cash_down, cash_up = beside(cords_per_year)
        return math.hypot(cash_down, down), math.hypot(cash_up, up)

    return both


def _hour_saved(pair: Pair, doubt: PairDoubt) -> Figure:
    quick, slow = pair.quick_found.inputs, pair.slow_found.inputs
    cost = hour_saved_cost(
        slow_cash=method_money(slow).cash,
        slow_worker_h=slow.worker_h_per_cord,
        quick_cash=method_money(quick).cash,
        quick_worker_h=quick.worker_h_per_cord,
    )
    if cost is None:
        return not_given(said(Reason.SAVES_NO_HOUR))
    basis = said(Basis.SAVES_BOTH) if cost < 0 else None
    if isinstance(doubt.hours, Said):
        return Figure(cost, basis, reason=doubt.hours)
    if doubt.hours[0] <= 0:
        return Figure(cost, basis, reason=said(Reason.MAY_SAVE_NO_HOUR))
    extra = extra_cash_at(quick.cords_per_year)
    by_hours = (cost * pair.hours_saved / doubt.hours[0], cost * pair.hours_saved / doubt.hours[1])
    low, high = doubt.ends(lambda one, other: extra(one, other) / pair.hours_saved, others=(by_hours,))
    return Figure(cost, basis, low, high)


def _volume(extra: Callable[[float], float], beside: Beside) -> Figure:
    """Yearly volume at which the quicker method's extra cost is nothing, in stacked m3, with the side that pays."""
    volumes = break_even_volumes(extra, least=LEAST_CORDS, most=MOST_CORDS)
    at_least = extra(LEAST_CORDS)
    if not volumes:
        if at_least == 0:
            return not_given(said(Reason.SAME_AT_ANY_VOLUME))
        return not_given(said(Reason.PAYS_AT_ANY_VOLUME if at_least < 0 else Reason.NEVER_PAYS))
    side = said(Basis.PAYS_ABOVE if at_least > 0 else Basis.PAYS_BELOW)
    if len(volumes) > 1:
        turns = Basis.PAYS_ABOVE_UNTIL if at_least > 0 else Basis.PAYS_BELOW_AND_AGAIN
        side = said(turns, times=volumes[1] / volumes[0])
    dearer = _first(lambda cords: extra(cords) + beside(cords)[1])
    cheaper = _first(lambda cords: extra(cords) - beside(cords)[0])
    low, high = (cheaper, dearer) if at_least > 0 else (dearer, cheaper)
    why = None
    if not dearer:
        why = said(Reason.MAY_NEVER_PAY if cheaper else Reason.MAY_PAY_NEVER_OR_AT_ANY_VOLUME)
    elif not cheaper:
        why = said(Reason.MAY_PAY_AT_ANY_VOLUME)
    cord_m3 = value("cord.volume_m3")
    return Figure(volumes[0] * cord_m3, side, low and low * cord_m3, high and high * cord_m3, why)


def _first(extra: Callable[[float], float]) -> float | None:
    return next(iter(break_even_volumes(extra, least=LEAST_CORDS, most=MOST_CORDS)), None)


def _verdict(pair: Pair, extra: float, volume: Figure) -> Said:
    """Dominance; nothing is ranked by payback."""
    if pair.hours_saved <= 0:
        return said(Pays.NO_HOUR_SAVED)
    if extra <= 0:
        return said(Pays.BETTER_BY_BOTH)
    if volume.value is None or not isinstance(volume.basis, Said):
        return said(Pays.BY_HOURS_ALONE)
    return said(PAYS[volume.basis.id], **dict(volume.basis.facts))


@dataclass(frozen=True, eq=False)
class PaybackRow(TableRow):
    """When the tools that one of two methods still has to buy have paid themselves back."""

    table: ClassVar[str] = "payback"
    quicker: str
    slower: str
    task: str
    hours_saved_per_year: Figure
    outlay: Figure
    cash_saved_per_year: Figure
    cash_simple: Figure
    cash_discounted: Figure
    time_simple: Figure
    time_discounted: Figure


def payback_rows(found: Iterable[Pair], season: Season) -> list[PaybackRow]:
    """When the tools that would have to be bought have paid themselves back."""
    return [_payback_row(pair, pair.doubt(season)) for pair in found]


def _payback_row(pair: Pair, doubt: PairDoubt) -> PaybackRow:
    quick, slow = pair.quick_found.inputs, pair.slow_found.inputs
    cords = quick.cords_per_year
    row = partial(
        PaybackRow,
        quicker=pair.quick.totals.method.name,
        slower=pair.slow.totals.method.name,
        task=pair.quick.totals.method.task,
        hours_saved_per_year=_hours(pair, doubt, cords),
    )
    why = pair.why_no_cash
    if why is not None:
        return row(
            outlay=why,
            cash_saved_per_year=why,
            cash_simple=why,
            cash_discounted=why,
            time_simple=why,
            time_discounted=why,
        )
    worth = quick.value_of_time_per_h
    no_value = pair.why_no_time
    life = _life_of_bought(quick, slow)

    def saved(one: MethodInputs, other: MethodInputs) -> float:
        return cords * (method_money(other).running - method_money(one).running)

    def payback(rate_frac: float | None, worth_per_h: float = 0.0) -> Figure:
        def years_of(one: MethodInputs, other: MethodInputs, hours: float = pair.hours_saved) -> float | None:
            rate = one.rate_frac if rate_frac is None else rate_frac
            saving = saved(one, other) + cords * hours * worth_per_h
            return payback_years(outlay=max(0.0, _outlay(one, other)), saved_per_year=saving, rate_frac=rate)

        hours = () if isinstance(doubt.hours, Said) or not worth_per_h else doubt.hours
        return _payback(_outlay(quick, slow), doubt, years_of, hours, life)

    return row(
        outlay=replace(_money(doubt, _outlay, NOTHING_TO_BUY), basis=_not_said(pair)),
        cash_saved_per_year=_money(doubt, saved, UNMOVED),
        cash_simple=payback(0.0),
        cash_discounted=payback(None),
        time_simple=no_value or payback(0.0, worth),
        time_discounted=no_value or payback(None, worth),
    )


def _money(doubt: PairDoubt, result: Result, why_no_doubt: Said) -> Figure:
    low, high = doubt.ends(result)
    base = result(*doubt.base)
    return Figure(base, None, low, high) if low < high else Figure(base, reason=why_no_doubt)


def _outlay(quick: MethodInputs, slow: MethodInputs) -> float:
    return _to_buy(quick, slow) - _to_buy(slow, quick)


def _bought(inputs: MethodInputs, other: MethodInputs) -> list[int]:
    """Which tools a method has and the other has not, unless they were bought already."""
    shared = {tool.name for tool in other.tools}
    return [i for i, tool in enumerate(inputs.tools) if tool.name not in shared and not tool.is_owned]


def _to_buy(inputs: MethodInputs, other: MethodInputs) -> float:
    return math.fsum(inputs.tools[i].price for i in _bought(inputs, other))


def _not_said(pair: Pair) -> Said | None:
    """Which tools of the outlay are in it because nothing is said."""
    sides = ((pair.quick_found, pair.slow_found), (pair.slow_found, pair.quick_found))
    tools = [found.tools[i].tool for found, other in sides for i in _bought(found.inputs, other.inputs)]
    names = [tool.name for tool in tools if tool.bought_already is None]
    return said(Basis.STILL_TO_BUY, why=still_to_buy(None), tools=tuple(names)) if names else None


def _life_of_bought(inputs: MethodInputs, other: MethodInputs) -> float:
    """Longest life among the tools to buy: what is not paid back by then never is."""
    years = method_money(inputs).tools
    return max((years[i].life_years or 0.0 for i in _bought(inputs, other)), default=0.0)


def _payback(
    outlay: float,
    doubt: PairDoubt,
    years_of: Callable[..., float | None],
    hours: tuple[float, ...],
    life_years: float,
) -> Figure:
    """Years, with ends by their inverse: a saving that may be nothing is an inverse of 0, which is never."""
    if outlay <= 0:
        return not_given(NOTHING_TO_BUY)
    years = years_of(*doubt.base)
    if years is None:
        return not_given(said(Reason.NEVER))
    if years > life_years:
        return not_given(said(Reason.NOT_WITHIN_LIFE, years=life_years))

    def inverse(quick: MethodInputs, slow: MethodInputs, *saved_h: float) -> float:
        found = years_of(quick, slow, *saved_h)
        return 0.0 if found is None else 1 / found if found else math.inf

    by_hours = tuple(inverse(*doubt.base, saved_h) for saved_h in hours)
    slowest, fastest = doubt.ends(inverse, others=((min(by_hours), max(by_hours)),) if by_hours else ())
    if slowest * life_years < 1:
        return Figure(years, low=1 / fastest, reason=said(Reason.MAY_NOT_BE_PAID_BACK))
    return Figure(years, None, 1 / fastest, 1 / slowest)
