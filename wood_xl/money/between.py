"""Between two methods of a task: what an hour saved costs, from which volume the quicker pays, when it paid back."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, partial
from itertools import combinations
from typing import ClassVar

import numpy as np
import numpy.typing as npt

from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number, ends, level, nominal, total
from wood_xl.draws.figure import Figure, TableRow, drawn, not_given
from wood_xl.draws.normal import Array
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.money.break_even import break_even_volumes, first_volumes, hour_saved_cost, payback_years
from wood_xl.money.drawn import DrawnMoney
from wood_xl.money.inputs import CASH_PARTS, Gathered, Part, still_to_buy
from wood_xl.money.method import MethodInputs, method_money
from wood_xl.money.per_method import MethodCost
from wood_xl.reasons import Basis, Reason, Said, Word, said, several
from wood_xl.verdicts import Pays

NOTHING_TO_BUY, UNMOVED = said(Reason.NOTHING_TO_BUY), said(Reason.UNMOVED)
PAYS: dict[Word, Pays] = {  # which side of the break-even volume pays, and what is said of both methods then
    Basis.PAYS_ABOVE: Pays.ABOVE,
    Basis.PAYS_BELOW: Pays.BELOW,
    Basis.PAYS_ABOVE_UNTIL: Pays.ABOVE_UNTIL,
    Basis.PAYS_BELOW_AND_AGAIN: Pays.BELOW_AND_AGAIN,
}
NEVER = 1e9  # years, above any life
LEAST_CORDS, MOST_CORDS = 0.01, 1000.0  # from an armful to more than the season's item of yearly volume takes


@dataclass(frozen=True, eq=False)
class Pair:
    """Two methods of one task, of which the first takes fewer worker hours per cord, with their money by all members.

    cash_at: cash of a method at a yearly volume; searches ask for it at the same volumes again.
    """

    quick: MethodCost
    slow: MethodCost
    quick_gathered: Gathered
    slow_gathered: Gathered
    quick_money: DrawnMoney
    slow_money: DrawnMoney
    cash_at: Callable[[str, Number], Array]
    _plain: dict[float, float] = field(default_factory=dict)

    @property
    def cords(self) -> float:
        """A year."""
        return nominal(self.quick_gathered.inputs.cords_per_year)

    @property
    def worth(self) -> float:
        """Of an hour, as stated."""
        return nominal(self.quick_gathered.inputs.value_of_time_per_h)

    @property
    def hours_saved(self) -> Number:
        """Worker hours per cord."""
        return self.slow_money.inputs.worker_h_per_cord - self.quick_money.inputs.worker_h_per_cord

    @property
    def extra_cash(self) -> Number:
        """What the quicker method costs more, per cord."""
        return self.quick_money.money.cash - self.slow_money.money.cash

    def extra_cash_at(self, cords_per_year: Number) -> Array:
        """The same at another yearly volume."""
        quick, slow = (cost.totals.method.name for cost in (self.quick, self.slow))
        return self.cash_at(quick, cords_per_year) - self.cash_at(slow, cords_per_year)

    def plain_extra_cash_at(self, cords_per_year: float) -> float:
        """The same by the numbers as they stand; searches ask for it at the same volumes again."""
        if cords_per_year not in self._plain:
            quick, slow = (
                method_money(replace(gathered.inputs, cords_per_year=cords_per_year)).cash
                for gathered in (self.quick_gathered, self.slow_gathered)
            )
            self._plain[cords_per_year] = nominal(quick - slow)
        return self._plain[cords_per_year]

    @property
    def why_no_cash(self) -> Figure | None:
        """Why the two cannot be compared in cash."""
        return self.quick_gathered.why_no_cash or self.slow_gathered.why_no_cash

    @property
    def why_no_time(self) -> Figure | None:
        """Why the two cannot be compared in cash and time."""
        return self.why_no_cash or self.quick_gathered.missing.get("own_time")

    def figure(self, number: Number, parts: Sequence[Part] = CASH_PARTS, *, exact: Said | None = UNMOVED) -> Figure:
        """Something between the two, with its ends where the doubt of all behind it is known."""
        why = self.quick_money.why(parts) or self.slow_money.why(parts)
        return drawn(number, exact=exact) if why is None else Figure(nominal(number), reason=why)


HOURS: tuple[Part, ...] = ("own_time",)


def pairs(rates: SeasonRates) -> Iterator[Pair]:
    """Every two methods of one task that were tried."""
    drawn_methods = {name: rates.money(name) for name in rates.costs}

    @cache
    def at(method: str, cords_per_year: float) -> Array:
        return searched(method, cords_per_year)

    def searched(method: str, cords_per_year: Number) -> Array:
        money = drawn_methods[method]
        if money is None:
            raise ValueError(f"{method} has no money")
        cash = method_money(money.with_volume(cords_per_year)).cash
        return np.broadcast_to(np.asarray(cash, dtype=np.float64), rates.design.shape)

    def cash_at(method: str, cords_per_year: Number) -> Array:
        return at(method, cords_per_year) if isinstance(cords_per_year, float) else searched(method, cords_per_year)

    for first, second in combinations(rates.costs.values(), 2):
        one, other = (drawn_methods[cost.totals.method.name] for cost in (first, second))
        if first.totals.method.task != second.totals.method.task or not first.gathered or not second.gathered:
            continue
        if one is None or other is None:
            continue
        hours = [nominal(gathered.inputs.worker_h_per_cord) for gathered in (first.gathered, second.gathered)]
        if hours[1] < hours[0]:
            yield Pair(second, first, second.gathered, first.gathered, other, one, cash_at)
        else:
            yield Pair(first, second, first.gathered, second.gathered, one, other, cash_at)


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


def break_even_rows(tried_pairs: Iterable[Pair]) -> list[BreakEvenRow]:
    """What the hours cost that the quicker method saves, and from which volume on it pays."""
    return [_break_even_row(pair) for pair in tried_pairs]


def _break_even_row(pair: Pair) -> BreakEvenRow:
    row = partial(
        BreakEvenRow,
        quicker=pair.quick.totals.method.name,
        slower=pair.slow.totals.method.name,
        task=pair.quick.totals.method.task,
        hours_saved=pair.figure(pair.hours_saved, HOURS, exact=None),
    )
    why = pair.why_no_cash
    if why is not None:
        return row(extra_cash=why, hour_saved_cost=why, volume_cash=why, volume_time=why, verdict=Pays.NOT_KNOWN)
    volume = _volume(pair, 0.0)
    return row(
        extra_cash=pair.figure(pair.extra_cash),
        hour_saved_cost=_hour_saved(pair),
        volume_cash=volume,
        volume_time=pair.why_no_time or _volume(pair, pair.hours_saved * pair.worth, (*CASH_PARTS, *HOURS)),
        verdict=_verdict(pair, volume),
    )


def _hour_saved(pair: Pair) -> Figure:
    """What an hour costs; without an upper end where it may be that none is saved."""
    cost = hour_saved_cost(extra_cash=pair.extra_cash, hours_saved=pair.hours_saved)
    if nominal(cost) == math.inf:
        return not_given(said(Reason.SAVES_NO_HOUR))
    price = pair.figure(cost, (*CASH_PARTS, *HOURS))
    basis = said(Basis.SAVES_BOTH) if nominal(cost) < 0 else None
    if price.high == math.inf:
        return replace(price, basis=basis, high=None, reason=said(Reason.MAY_SAVE_NO_HOUR))
    return replace(price, basis=basis)


def _volume(pair: Pair, worth: Number, parts: Sequence[Part] = CASH_PARTS) -> Figure:
    """Yearly volume at which the quicker method costs nothing more, in stacked m3, with the side that pays.

    worth: of the hours saved for a cord.
    """
    plain_worth = nominal(worth)

    def at(cords_per_year: float) -> float:
        return pair.plain_extra_cash_at(cords_per_year) - plain_worth

    volumes = break_even_volumes(at, least=LEAST_CORDS, most=MOST_CORDS)
    at_least = at(LEAST_CORDS)
    if not volumes:
        if at_least == 0:
            return not_given(said(Reason.SAME_AT_ANY_VOLUME))
        return not_given(_at_no_volume(pair, worth, pays=at_least < 0))
    pays_above = at_least > 0
    side = said(Basis.PAYS_ABOVE if pays_above else Basis.PAYS_BELOW)
    if len(volumes) > 1:
        turns = Basis.PAYS_ABOVE_UNTIL if pays_above else Basis.PAYS_BELOW_AND_AGAIN
        side = said(turns, times=volumes[1] / volumes[0])
    unsure = pair.figure(pair.extra_cash, parts).reason
    plain = Figure(volumes[0] * value("cord.volume_m3"), side, reason=unsure)
    if unsure not in (None, UNMOVED):
        return plain
    members = _first_volumes(pair, worth)
    begins_dearer = pair.extra_cash_at(LEAST_CORDS) - worth > 0
    turned = np.isfinite(members) & (members > 0) & (begins_dearer != pays_above)
    return _with_ends(plain, members, turned, pays_above)


def _first_volumes(pair: Pair, worth: Number) -> Array:
    return first_volumes(lambda cords: pair.extra_cash_at(cords) - worth, least=LEAST_CORDS, most=MOST_CORDS)


def _at_no_volume(pair: Pair, worth: Number, *, pays: bool) -> Said:
    """Why there is no break-even volume, and in how many draws it is so."""
    percent = _percent(_first_volumes(pair, worth) == (0.0 if pays else math.inf))
    if percent >= 100 * level():
        return said(Reason.PAYS_AT_ANY_VOLUME if pays else Reason.NEVER_PAYS)
    return said(Reason.PAYS_AT_ANY_VOLUME_IN if pays else Reason.NEVER_PAYS_IN, percent=percent)


def _percent(is_so: npt.NDArray[np.bool_]) -> float:
    """Share of the draws."""
    return 100 * float(np.mean(is_so[1:]))


def _with_ends(plain: Figure, volumes: Array, turned: npt.NDArray[np.bool_], pays_above: bool) -> Figure:
    """Ends of a volume, and in how many draws there is none.

    volumes: the volume in each member; infinite where the quicker method never pays, 0 where it always does.
    turned: where the other side of the volume pays.
    """
    never, always, other = (_percent(one) for one in (volumes == math.inf, volumes == 0.0, turned))
    if other > 100 * (1 - level()) / 2:
        return replace(plain, reason=said(Reason.MAY_PAY_ON_OTHER_SIDE, other=other, never=never, always=always))
    members = volumes
    if not pays_above:  # what always pays is never left, and what never pays is left at once
        members = np.where(volumes == math.inf, 0.0, np.where(volumes == 0.0, math.inf, volumes))
    low, high = ends(members)
    has_never, has_always = (high == math.inf, low == 0.0) if pays_above else (low == 0.0, high == math.inf)
    why = None
    if has_never and has_always:
        why = said(Reason.MAY_PAY_NEVER_OR_AT_ANY_VOLUME, never=never, always=always)
    elif has_never:
        why = said(Reason.MAY_NEVER_PAY, percent=never)
    elif has_always:
        why = said(Reason.MAY_PAY_AT_ANY_VOLUME, percent=always)
    cord_m3 = value("cord.volume_m3")
    return replace(
        plain,
        low=low * cord_m3 if low > 0 else None,
        high=high * cord_m3 if high < math.inf else None,
        reason=why,
        members=np.append(plain.value or 0.0, members[1:] * cord_m3),
    )


def _verdict(pair: Pair, volume: Figure) -> Said:
    """Dominance; nothing is ranked by payback."""
    if nominal(pair.hours_saved) <= 0:
        return said(Pays.NO_HOUR_SAVED)
    if nominal(pair.extra_cash) <= 0:
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


def payback_rows(tried_pairs: Iterable[Pair]) -> list[PaybackRow]:
    """When the tools that would have to be bought have paid themselves back."""
    return [_payback_row(pair) for pair in tried_pairs]


def _payback_row(pair: Pair) -> PaybackRow:
    quick, slow = pair.quick_money, pair.slow_money
    row = partial(
        PaybackRow,
        quicker=pair.quick.totals.method.name,
        slower=pair.slow.totals.method.name,
        task=pair.quick.totals.method.task,
        hours_saved_per_year=pair.figure(pair.hours_saved * pair.cords, HOURS, exact=None),
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
    no_value = pair.why_no_time
    outlay = _to_buy(quick.inputs, slow.inputs) - _to_buy(slow.inputs, quick.inputs)
    saved = pair.cords * (slow.money.running - quick.money.running)
    of_hours = pair.cords * pair.hours_saved * pair.worth
    life = _life_of_bought(pair)

    def payback(rate_frac: Number, saved_per_year: Number, parts: Sequence[Part] = CASH_PARTS) -> Figure:
        if nominal(outlay) <= 0:
            return not_given(NOTHING_TO_BUY)
        years = payback_years(outlay=np.maximum(0.0, outlay), saved_per_year=saved_per_year, rate_frac=rate_frac)
        return _payback(pair.figure(np.minimum(years, NEVER), parts), life)

    rate, with_hours = quick.inputs.rate_frac, (*CASH_PARTS, *HOURS)
    return row(
        outlay=replace(drawn(outlay, exact=NOTHING_TO_BUY), basis=_not_said(pair)),
        cash_saved_per_year=pair.figure(saved),
        cash_simple=payback(0.0, saved),
        cash_discounted=payback(rate, saved),
        time_simple=no_value or payback(0.0, saved + of_hours, with_hours),
        time_discounted=no_value or payback(rate, saved + of_hours, with_hours),
    )


def _bought(inputs: MethodInputs, other: MethodInputs) -> list[int]:
    """Which tools a method has and the other has not, unless there is nothing to pay for them."""
    shared = {tool.name for tool in other.tools}
    return [i for i, tool in enumerate(inputs.tools) if tool.name not in shared and not tool.is_owned]


def _to_buy(inputs: MethodInputs, other: MethodInputs) -> Number:
    return total(inputs.tools[i].own_price for i in _bought(inputs, other))


def _not_said(pair: Pair) -> Said | None:
    """Which tools of the outlay are in it because nothing is said, or by one's share of them."""
    sides = ((pair.quick_gathered, pair.slow_gathered), (pair.slow_gathered, pair.quick_gathered))
    tools = [gathered.tools[i].tool for gathered, other in sides for i in _bought(gathered.inputs, other.inputs)]
    names: dict[Said, list[str]] = {}
    for tool in tools:
        if tool.held != "to buy":
            names.setdefault(still_to_buy(tool), []).append(tool.name)
    return several([said(Basis.STILL_TO_BUY, why=why, tools=tuple(of)) for why, of in names.items()])


def _life_of_bought(pair: Pair) -> float:
    """Longest life among the tools to buy: what is not paid back by then never is."""
    years = pair.quick_money.money.tools
    bought = _bought(pair.quick_money.inputs, pair.slow_money.inputs)
    lives = [years[i].life_years for i in bought]
    return max((nominal(life) for life in lives if life is not None), default=0.0)


def _payback(years: Figure, life_years: float) -> Figure:
    """Years as far as the tools last."""
    if years.value == NEVER:
        return not_given(said(Reason.NEVER))
    if years.value is not None and years.value > life_years:
        return not_given(said(Reason.NOT_WITHIN_LIFE, years=life_years))
    if years.high is not None and years.high > life_years:
        return replace(years, high=None, reason=said(Reason.MAY_NOT_BE_PAID_BACK))
    return years
