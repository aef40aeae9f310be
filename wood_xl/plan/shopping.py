"""What to have at hand for a plan: fuel, oils, electricity, wear parts, and tools that are not bought yet."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from wood_xl.choice.draws import figure_draws
from wood_xl.data.load import value
from wood_xl.data.trade import tool_kinds
from wood_xl.draws.figure import Figure, not_given
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
from wood_xl.reasons import Key, Reason, Said, SaidOrText, said
from wood_xl.records import Season, Session, UpkeepItem

Row = dict[str, Any]
BY_PIECE = not_given("by the piece")
LIQUID = not_given("by volume")
PLUG = not_given("from the plug")
AS_PRICED = "at the price written"
BORROWED = "if it is borrowed"


@dataclass(frozen=True)
class Good:
    """One line of the list.

    draws: its cost by the draws of what makes it unsure; None where it has no interval.
    """

    row: Row
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

    def good(self, item: str, amount: float, price: float | None, key: Key) -> Good:
        """A line of the list for the amount or a part of it; a price has the same key wherever it comes in."""
        is_electric = self.what == ELECTRICITY
        liquid = PLUG if is_electric else part_figure(Figure(amount), self.totals, self._parts({}), self.season)
        pieces, words = (PLUG, f"{amount:.1f} kWh") if is_electric else (LIQUID, "")
        cost, draws = not_given("no price"), None
        if price is not None:
            found = part_rate(self.totals, amount * price, self._parts({key: price_spread()}), self.season)
            cost = with_ends(Figure(amount * price), found)
            draws = None if isinstance(found, Said) else found.draws
        return Good(_row(item, self.totals.method.name, liquid, pieces, cost, words), draws)

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
        item, cost = good.row["item"], good.row["cost"]
        if cost.value is None:
            return not_given(said(Reason.OF_ITEM, item=item, why=cost.reason))
        total += cost.value
        if good.draws is not None:
            drawn.append(figure_draws(figure=cost.value, low=cost.low, high=cost.high, doubt=good.draws))
        elif cost.value and cost.reason != AS_PRICED:
            open_ends = said(Reason.OF_ITEM, item=item, why=cost.reason)
    if open_ends or not drawn:
        return Figure(total, reason=open_ends or AS_PRICED)
    fixed = total - math.fsum(good.row["cost"].value for good in goods if good.draws is not None)
    unsure: Draws = np.sum(drawn, axis=0)
    low, high = limits_of_draws(draws=fixed + unsure, level_frac=value("interval.level") / 100)
    return Figure(total, "", low, high)


def _row(item: str, purpose: str, liquid: Figure, pieces: Figure, cost: Figure, words: SaidOrText = "") -> Row:
    return {"item": item, "purpose": purpose, "liquid": liquid, "pieces": pieces, "cost": cost, "words": words}


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
        yield Good(_row("fuel", totals.method.name, not_given(used), LIQUID, not_given(used)))
        return
    row, litres, what = tool_kinds()[kind], [used.amount], ""
    if row.oil is not None:
        litres, what = list(split_mix_l(mix_l=used.amount, mix_ratio=season.two_stroke_mix_ratio)), ", for the mix"
    for fuel, amount in zip(row.bought, litres, strict=True):
        price = season.fuel_prices_per_l.get(fuel.id)
        yield used.good(fuel.name + ("" if fuel.is_oil else what), amount, price, price_of(fuel))


def _other_goods(totals: MethodTotals, made: float, study: CostStudy) -> Iterator[Good]:
    season = study.season
    oil = _used(totals, BAR_OIL, lambda s: s.bar_oil_l, made, study)
    if isinstance(oil, Used) and oil.amount > 0:
        yield oil.good("bar oil", oil.amount, season.bar_oil_price_per_l, said(Input.PRICE_OF_BAR_OIL))
    if is_electric(totals.method, study.tools):
        kwh = _used(totals, ELECTRICITY, lambda s: s.electricity_kwh, made, study)
        if isinstance(kwh, Said):
            yield Good(_row("electricity", totals.method.name, PLUG, PLUG, not_given(kwh)))
        else:
            yield kwh.good(
                "electricity", kwh.amount, season.electricity_price_per_kwh, said(Input.PRICE_OF_ELECTRICITY)
            )


def _wear(by_method: Mapping[str, float], study: CostStudy) -> Iterator[Row]:
    for item in study.season.upkeep:
        worn = _worn(item, by_method, study)
        if worn is None:
            continue
        pieces = pieces_to_have(worn=worn)
        words, cost = f"the plan wears {worn:.2f}", Figure(pieces * item.price, reason=AS_PRICED)
        yield _row(item.item, item.tool, BY_PIECE, Figure(float(pieces)), cost, words)


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


def _tools_to_buy(by_method: Mapping[str, float], study: CostStudy, only_tried: Collection[str]) -> Iterator[Row]:
    planned = [t.method for t in study.totals if by_method.get(t.method.name)]
    needed = {tool for method in planned if method.name not in only_tried for tool in method.tools}
    for name in dict.fromkeys(tool for method in planned for tool in method.tools):
        tool = study.tools.get(name)
        if tool is not None and not tool.is_owned:
            cost = not_given("no price") if tool.price is None else Figure(tool.price, reason=AS_PRICED)
            words = still_to_buy(tool.bought_already)
            if name not in needed:
                cost, words = Figure(0.0, reason=BORROWED), said(Phrase.FOR_TRIALS, why=words)
            yield _row(name, "tool", BY_PIECE, Figure(1.0), cost, words)
