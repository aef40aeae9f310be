"""What to have at hand for a plan: fuel, oils, electricity, wear parts, and tools that are not bought yet."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from wood_xl.calc.figure import Figure, exact, not_given
from wood_xl.calc.shopping import mix_parts, pieces_to_have
from wood_xl.data.load import value
from wood_xl.records import Session, UpkeepItem
from wood_xl.study.cost import CostStudy, recorded
from wood_xl.study.methods import MethodTotals
from wood_xl.study.sessions import burning_kind, is_electric

Row = dict[str, Any]
BY_PIECE = not_given("by the piece")
LIQUID = not_given("by volume")


def shopping_rows(by_method: Mapping[str, float], study: CostStudy) -> list[Row]:
    """What the plan uses up or still lacks; equal goods of several methods stay apart, each with its method.

    Parameters
    ----------
    by_method : mapping
        Cords of each method of the plan.
    study : CostStudy
        Of the season that the plan is made from.
    """
    rows: list[Row] = []
    for totals in study.totals:
        made = by_method.get(totals.method.name)
        if made:
            rows += [*_fuel(totals, made, study), *_other_goods(totals, made, study)]
    rows += _wear(by_method, study)
    rows += _tools_to_buy(by_method, study)
    return rows


def sum_of_costs(rows: list[Row]) -> Figure:
    """Cost of the whole list; the reason if one of its costs is not known."""
    costs = []
    for row in rows:
        if row["cost"].value is None:
            return not_given(f"{row['item']}: {row['cost'].reason}")
        costs.append(row["cost"].value)
    return exact(math.fsum(costs))


def _row(item: str, purpose: str, liquid: Figure, pieces: Figure, cost: Figure, words: str = "") -> Row:
    return {"item": item, "purpose": purpose, "liquid": liquid, "pieces": pieces, "cost": cost, "words": words}


def _amount(totals: MethodTotals, made: float, of: Callable[[Session], float | None]) -> float | str:
    """Amount that so many cords take, by the sessions that recorded it."""
    found = recorded(totals, of)
    if isinstance(found, str):
        return found
    amount, cords, sessions_n = found
    return amount / cords * made if sessions_n else "no session records it"


def _cost(amount: float, price: float | None) -> Figure:
    return not_given("no price") if price is None else exact(amount * price)


def _fuel(totals: MethodTotals, made: float, study: CostStudy) -> Iterator[Row]:
    kind, season, name = burning_kind(totals.method, study.tools), study.season, totals.method.name
    if kind is None:
        return
    litres = _amount(totals, made, lambda s: s.fuel_l)
    if isinstance(litres, str):
        yield _row("fuel", name, not_given(litres), LIQUID, not_given(litres))
    elif kind == "gasoline two-stroke":
        parts = mix_parts(mix_l=litres, mix_ratio=season.two_stroke_mix_ratio)
        cost = _cost(parts.gasoline_l, season.gasoline_price_per_l)
        yield _row("gasoline, for the mix", name, exact(parts.gasoline_l), LIQUID, cost)
        cost = _cost(parts.oil_l, season.two_stroke_oil_price_per_l)
        yield _row("two-stroke oil", name, exact(parts.oil_l), LIQUID, cost)
    else:
        is_diesel = kind == "diesel"
        price = season.diesel_price_per_l if is_diesel else season.gasoline_price_per_l
        yield _row("diesel" if is_diesel else "gasoline", name, exact(litres), LIQUID, _cost(litres, price))


def _other_goods(totals: MethodTotals, made: float, study: CostStudy) -> Iterator[Row]:
    name = totals.method.name
    litres = _amount(totals, made, lambda s: s.bar_oil_l)
    if not isinstance(litres, str) and litres > 0:
        yield _row("bar oil", name, exact(litres), LIQUID, _cost(litres, study.season.bar_oil_price_per_l))
    if is_electric(totals.method, study.tools):
        kwh = _amount(totals, made, lambda s: s.electricity_kwh)
        plug = not_given("from the plug")
        if isinstance(kwh, str):
            yield _row("electricity", name, plug, plug, not_given(kwh))
        else:
            cost = _cost(kwh, study.season.electricity_price_per_kwh)
            yield _row("electricity", name, plug, plug, cost, f"{kwh:.1f} kWh")


def _wear(by_method: Mapping[str, float], study: CostStudy) -> Iterator[Row]:
    for item in study.season.upkeep:
        worn = _worn(item, by_method, study)
        if worn is None:
            continue
        pieces = pieces_to_have(worn=worn)
        words = f"the plan wears {worn:.2f}"
        yield _row(item.item, item.tool, BY_PIECE, exact(float(pieces)), exact(pieces * item.price), words)


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


def _tools_to_buy(by_method: Mapping[str, float], study: CostStudy) -> Iterator[Row]:
    used = dict.fromkeys(tool for t in study.totals if by_method.get(t.method.name) for tool in t.method.tools)
    for name in used:
        tool = study.tools.get(name)
        if tool is not None and tool.bought_already is False:
            cost = not_given("no price") if tool.price is None else exact(tool.price)
            yield _row(name, "tool", BY_PIECE, exact(1.0), cost, "not bought yet, as the Tools sheet says")
