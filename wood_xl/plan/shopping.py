"""Shopping list of a plan: fuel, oils, electricity, wear parts, and tools still to buy."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import NamedTuple

from wood_xl.data.load import value
from wood_xl.data.trade import tool_kinds
from wood_xl.draws.ensemble import nominal
from wood_xl.draws.figure import AS_RECORDED, TAKES_NONE, Figure, Row, not_given, sum_of, with_draws
from wood_xl.hours.fuel import split_mix_l
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.rates import Taken
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.sessions import burning_kind, is_electric
from wood_xl.ids import Input, Phrase, Recorded
from wood_xl.money.cost_study import CostStudy
from wood_xl.money.inputs import still_to_buy, tool_hours
from wood_xl.money.ranges import price_members, price_of
from wood_xl.plan.mix import pieces_to_have
from wood_xl.reasons import Reason, Said, said, several
from wood_xl.records import UpkeepItem

BY_PIECE, LIQUID, PLUG = (
    not_given(said(why)) for why in (Reason.BY_THE_PIECE, Reason.BY_VOLUME, Reason.FROM_THE_PLUG)
)
NO_PRICE = not_given(said(Reason.NO_PRICE))
AS_PRICED = said(Reason.AT_PRICE_WRITTEN)

Item = str | Said | Recorded


class Good(NamedTuple):
    """Fuel, oil or electricity that a method uses up for the cords of a plan."""

    what: Recorded
    item: Item
    amount: float | Said  # or why it is not known
    price: float | None = None
    key: Said | None = None  # of the price


def shopping_list(by_method: Mapping[str, float], rates: SeasonRates, only_tried: Collection[str]) -> list[Row]:
    """What the plan uses up or still lacks; the same item for several methods stays in separate rows."""
    goods: list[Row] = []
    for totals in rates.study.totals:
        made = by_method.get(totals.method.name)
        if made:
            goods += [_row(good, totals, rates) for good in _goods(totals, made, rates)]
    goods += _wear(by_method, rates.study)
    goods += _tools_to_buy(by_method, rates.study, only_tried)
    return goods


def sum_of_costs(goods: Sequence[Row]) -> Figure:
    """Cost of the whole list, or the reason why it or its range is not known."""

    def why(at: str, cost: Figure) -> Said:
        return said(Reason.OF_ITEM, item=goods[int(at)]["item"], why=cost.reason)

    costs = {str(at): good["cost"] for at, good in enumerate(goods)}
    total = sum_of(costs, dict.fromkeys(costs, 1.0), why, exact=(TAKES_NONE, AS_PRICED))
    return replace(total, reason=AS_PRICED) if total.members is None and total.reason == AS_RECORDED else total


def _goods(totals: MethodTotals, made: float, rates: SeasonRates) -> Iterator[Good]:
    season, tools = rates.study.season, rates.study.tools

    def used(what: Recorded) -> float | Said:
        use = rates.study.equal.recorded(totals, what)
        if use is None:
            return said(Reason.NONE_RECORDED)
        return use.why if use.value is None else use.value * made

    kind = burning_kind(totals.method, tools)
    if kind is not None:
        row, mix = tool_kinds()[kind], used(Recorded.FUEL)
        if isinstance(mix, Said):
            yield Good(Recorded.FUEL, Recorded.FUEL, mix)
        else:
            liters = [mix]
            if row.oil is not None:
                liters = list(split_mix_l(mix_l=mix, mix_ratio=season.two_stroke_mix_ratio))
            for fuel, amount in zip(row.bought, liters, strict=True):
                is_for_mix = row.oil is not None and not fuel.is_oil
                item = said(Phrase.FOR_MIX, fuel=fuel.name) if is_for_mix else fuel.name
                yield Good(Recorded.FUEL, item, amount, season.fuel_prices_per_l.get(fuel.id), price_of(fuel))
    oil = used(Recorded.BAR_OIL)
    if not isinstance(oil, Said) and oil > 0:
        price, key = season.bar_oil_price_per_l, said(Input.PRICE_OF_BAR_OIL)
        yield Good(Recorded.BAR_OIL, Recorded.BAR_OIL, oil, price, key)
    if is_electric(totals.method, tools):
        price, key = season.electricity_price_per_kwh, said(Input.PRICE_OF_ELECTRICITY)
        yield Good(Recorded.ELECTRICITY, Recorded.ELECTRICITY, used(Recorded.ELECTRICITY), price, key)


def _row(good: Good, totals: MethodTotals, rates: SeasonRates) -> Row:
    """Amount and cost of a good, by all members."""
    by_plug, amount, cost = good.what == Recorded.ELECTRICITY, good.amount, NO_PRICE
    row = partial(Row, item=good.item, purpose=totals.method.name, pieces=PLUG if by_plug else LIQUID)
    if isinstance(amount, Said):
        return row(liquid=PLUG if by_plug else not_given(amount), cost=not_given(amount))
    taken = rates.taken.relative(totals, good.what) if amount else Taken(1.0)
    if good.price is not None and good.key is not None:
        prices = price_members(good.key, good.price, rates.design)
        cost = with_draws(Figure(amount * good.price, reason=taken.why), amount * taken.number * prices)
    if by_plug:
        return row(liquid=PLUG, cost=cost, words=said(Phrase.KWH, kwh=amount))
    return row(liquid=with_draws(Figure(amount, reason=taken.why), amount * taken.number), cost=cost, words=None)


def _wear(by_method: Mapping[str, float], study: CostStudy) -> Iterator[Row]:
    for item in study.season.upkeep:
        worn = _worn(item, by_method, study)
        if worn is None:
            continue
        row = partial(Row, item=item.item, purpose=item.tool, liquid=BY_PIECE)
        if isinstance(worn, Said):
            yield row(pieces=not_given(worn), cost=not_given(worn))
            continue
        pieces = pieces_to_have(worn=worn)
        words, tool, part = [said(Phrase.WEARS, pieces=worn)], study.tools[item.tool], 1.0
        if item.per == "years" and tool.held == "shared":  # each owner pays a part
            words, part = [*words, still_to_buy(tool)], tool.part_frac
        cost = Figure(part * pieces * item.price, reason=AS_PRICED)
        yield row(pieces=Figure(float(pieces)), cost=cost, words=several(words))


def _worn(item: UpkeepItem, by_method: Mapping[str, float], study: CostStudy) -> float | Said | None:
    """Pieces that the plan wears out, or what they wait for; None if it does not use the tool.

    Wear by the year counts one year.
    """
    users = [t for t in study.totals if item.tool in t.method.tools and by_method.get(t.method.name)]
    if not users:
        return None
    if item.per == "years":
        return 1.0 / item.every
    if item.per == "cords":
        return math.fsum(by_method[t.method.name] for t in users) / item.every
    if item.per == "stacked m3":
        return math.fsum(by_method[t.method.name] for t in users) * value("cord.volume_m3") / item.every
    hours = 0.0
    for t in users:
        running = tool_hours(study.tools[item.tool], t, study)
        if isinstance(running, Said):
            return running
        hours += by_method[t.method.name] * nominal(running.number)
    return hours / item.every


def _tools_to_buy(by_method: Mapping[str, float], study: CostStudy, only_tried: Collection[str]) -> Iterator[Row]:
    planned = [t.method for t in study.totals if by_method.get(t.method.name)]
    needed = {tool for method in planned if method.name not in only_tried for tool in method.tools}
    for name in dict.fromkeys(tool for method in planned for tool in method.tools):
        tool = study.tools.get(name)
        if tool is not None and tool.is_to_pay:
            cost = NO_PRICE if tool.outlay is None else Figure(tool.outlay, reason=AS_PRICED)
            words = still_to_buy(tool)
            if name not in needed:
                cost, words = Figure(0.0, reason=said(Reason.IF_BORROWED)), said(Phrase.FOR_TRIALS, why=words)
            yield Row(item=name, purpose=Phrase.TOOL, liquid=BY_PIECE, pieces=Figure(1.0), cost=cost, words=words)
