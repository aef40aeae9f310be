"""What to have at hand for a plan: fuel, oils, electricity, wear parts, and tools that are not bought yet."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from wood_xl.choice.draws import figure_draws
from wood_xl.data.load import value
from wood_xl.data.trade import tool_kinds
from wood_xl.draws.figure import Figure, TableRow, not_given
from wood_xl.draws.strata import Draws, limits_of_draws
from wood_xl.hours.figure_parts import BAR_OIL, ELECTRICITY, FUEL, FigurePart, FigureParts
from wood_xl.hours.fuel import split_mix_l
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.part_rates import part_figure, part_rate
from wood_xl.hours.rates import with_ends
from wood_xl.hours.sessions import burning_kind, is_electric
from wood_xl.ids import Input, Phrase, Recorded
from wood_xl.money.cost_study import CostStudy, recorded
from wood_xl.money.doubt import price_of, price_spread
from wood_xl.money.inputs import still_to_buy
from wood_xl.plan.pieces import pieces_to_have
from wood_xl.reasons import Key, Reason, Said, said
from wood_xl.records import Season, Session, UpkeepItem

BY_PIECE, LIQUID, PLUG = (
    not_given(said(why)) for why in (Reason.BY_THE_PIECE, Reason.BY_VOLUME, Reason.FROM_THE_PLUG)
)
NO_PRICE = not_given(said(Reason.NO_PRICE))
AS_PRICED = said(Reason.AT_PRICE_WRITTEN)

Item = str | Said | Recorded


@dataclass(frozen=True, eq=False)
class GoodRow(TableRow):
    """What to have at hand for a plan."""

    table: ClassVar[str] = "shopping"
    item: Item
    purpose: str | Phrase
    liquid: Figure
    pieces: Figure
    cost: Figure
    words: Said | None = None


@dataclass(frozen=True)
class Good:
    """One line of the list.

    draws: its cost by the draws of what makes it unsure; None where it has no interval.
    """

    row: GoodRow
    draws: Draws | None = None


@dataclass(frozen=True)
class Used:
    """What a method uses up in the plan, and how unsure that is.

    what: as sessions recorded it.
    amount: for the cords of the plan.
    """

    totals: MethodTotals
    what: Recorded
    amount: float
    season: Season

    def good(self, item: Item, amount: float, price: float | None, key: Key) -> Good:
        """A line of the list for the amount or a part of it; a price has the same key wherever it comes in."""
        is_electric = self.what == ELECTRICITY
        liquid = PLUG if is_electric else part_figure(Figure(amount), self.totals, self._parts({}), self.season)
        pieces, words = (PLUG, said(Phrase.KWH, kwh=amount)) if is_electric else (LIQUID, None)
        cost, draws = NO_PRICE, None
        if price is not None:
            found = part_rate(self.totals, amount * price, self._parts({key: price_spread()}), self.season)
            cost = with_ends(Figure(amount * price), found)
            draws = None if isinstance(found, Said) else found.draws
        return Good(
            GoodRow(item=item, purpose=self.totals.method.name, liquid=liquid, pieces=pieces, cost=cost, words=words),
            draws,
        )

    def _parts(self, spreads: Mapping[Key, float]) -> FigureParts:
        return FigureParts((FigurePart(1.0, {self.what: 1.0}, dict.fromkeys(spreads, 1.0)),), spreads)


def shopping_list(by_method: Mapping[str, float], study: CostStudy, only_tried: Collection[str] = ()) -> list[Good]:
    """What the plan uses up or still lacks; equal goods of several methods stay apart, each with its method."""
    goods: list[Good] = []
    for totals in study.totals:
        made = by_method.get(totals.method.name)
        if made:
            goods += [*_fuel(totals, made, study), *_other_goods(totals, made, study)]
    goods += map(Good, _wear(by_method, study))
    goods += map(Good, _tools_to_buy(by_method, study, only_tried))
    return goods


def sum_of_costs(goods: Sequence[Good]) -> Figure:
    """Cost of the whole list; the reason if one of its costs is not known, or is unsure in a way not known."""
    total, drawn = 0.0, []
    open_ends = None
    for good in goods:
        item, cost = good.row.item, good.row.cost
        if cost.value is None:
            return not_given(said(Reason.OF_ITEM, item=item, why=cost.reason))
        total += cost.value
        if good.draws is not None:
            drawn.append(figure_draws(figure=cost.value, low=cost.low, high=cost.high, doubt=good.draws))
        elif cost.value and cost.reason != AS_PRICED:
            open_ends = said(Reason.OF_ITEM, item=item, why=cost.reason)
    if open_ends or not drawn:
        return Figure(total, reason=open_ends or AS_PRICED)
    fixed = total - math.fsum(good.row.cost.value or 0.0 for good in goods if good.draws is not None)
    unsure: Draws = np.sum(drawn, axis=0)
    low, high = limits_of_draws(draws=fixed + unsure, level_frac=value("interval.level") / 100)
    return Figure(total, None, low, high)


def _used(
    totals: MethodTotals, what: Recorded, of: Callable[[Session], float | None], made: float, study: CostStudy
) -> Used | Said:
    """Amount that so many cords take, by the sessions that recorded it."""
    found = recorded(totals, of)
    if isinstance(found, Said):
        return found
    amount, cords, sessions_n = found
    return Used(totals, what, amount / cords * made, study.season) if sessions_n else said(Reason.NONE_RECORDED)


def _fuel(totals: MethodTotals, made: float, study: CostStudy) -> Iterator[Good]:
    kind, season = burning_kind(totals.method, study.tools), study.season
    if kind is None:
        return
    used = _used(totals, FUEL, lambda s: s.fuel_l, made, study)
    if isinstance(used, Said):
        yield Good(
            GoodRow(
                item=FUEL, purpose=totals.method.name, liquid=not_given(used), pieces=LIQUID, cost=not_given(used)
            )
        )
        return
    row, litres = tool_kinds()[kind], [used.amount]
    if row.oil is not None:
        litres = list(split_mix_l(mix_l=used.amount, mix_ratio=season.two_stroke_mix_ratio))
    for fuel, amount in zip(row.bought, litres, strict=True):
        price = season.fuel_prices_per_l.get(fuel.id)
        is_for_mix = row.oil is not None and not fuel.is_oil
        item = said(Phrase.FOR_MIX, fuel=fuel.name) if is_for_mix else fuel.name
        yield used.good(item, amount, price, price_of(fuel))


def _other_goods(totals: MethodTotals, made: float, study: CostStudy) -> Iterator[Good]:
    season = study.season
    oil = _used(totals, BAR_OIL, lambda s: s.bar_oil_l, made, study)
    if isinstance(oil, Used) and oil.amount > 0:
        yield oil.good(BAR_OIL, oil.amount, season.bar_oil_price_per_l, said(Input.PRICE_OF_BAR_OIL))
    if is_electric(totals.method, study.tools):
        kwh = _used(totals, ELECTRICITY, lambda s: s.electricity_kwh, made, study)
        if isinstance(kwh, Said):
            yield Good(
                GoodRow(item=ELECTRICITY, purpose=totals.method.name, liquid=PLUG, pieces=PLUG, cost=not_given(kwh))
            )
        else:
            price = season.electricity_price_per_kwh
            yield kwh.good(ELECTRICITY, kwh.amount, price, said(Input.PRICE_OF_ELECTRICITY))


def _wear(by_method: Mapping[str, float], study: CostStudy) -> Iterator[GoodRow]:
    for item in study.season.upkeep:
        worn = _worn(item, by_method, study)
        if worn is None:
            continue
        pieces = pieces_to_have(worn=worn)
        words, cost = said(Phrase.WEARS, pieces=worn), Figure(pieces * item.price, reason=AS_PRICED)
        yield GoodRow(
            item=item.item, purpose=item.tool, liquid=BY_PIECE, pieces=Figure(float(pieces)), cost=cost, words=words
        )


def _worn(item: UpkeepItem, by_method: Mapping[str, float], study: CostStudy) -> float | None:
    """Pieces that the plan wears; None if it does not use the tool. What wears by the year wears a year's share."""
    users = [t for t in study.totals if item.tool in t.method.tools and by_method.get(t.method.name)]
    if not users:
        return None
    if item.per == "years":
        return 1.0 / item.every
    if item.per == "cords":
        return math.fsum(by_method[t.method.name] for t in users) / item.every
    if item.per == "stacked m3":
        return math.fsum(by_method[t.method.name] for t in users) * value("cord.volume_m3") / item.every
    hours = math.fsum(by_method[t.method.name] * (t.machine_hours_per_cord or 0.0) for t in users)
    return hours / item.every


def _tools_to_buy(by_method: Mapping[str, float], study: CostStudy, only_tried: Collection[str]) -> Iterator[GoodRow]:
    planned = [t.method for t in study.totals if by_method.get(t.method.name)]
    needed = {tool for method in planned if method.name not in only_tried for tool in method.tools}
    for name in dict.fromkeys(tool for method in planned for tool in method.tools):
        tool = study.tools.get(name)
        if tool is not None and not tool.is_owned:
            cost = NO_PRICE if tool.price is None else Figure(tool.price, reason=AS_PRICED)
            words = still_to_buy(tool.bought_already)
            if name not in needed:
                cost, words = Figure(0.0, reason=said(Reason.IF_BORROWED)), said(Phrase.FOR_TRIALS, why=words)
            yield GoodRow(item=name, purpose=Phrase.TOOL, liquid=BY_PIECE, pieces=Figure(1.0), cost=cost, words=words)
