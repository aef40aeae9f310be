"""Between two methods of a task: what an hour saved costs, from which volume the quicker pays, when it paid back."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

from wood_xl.calc.break_even import break_even_volumes, hour_saved_cost, payback_years
from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.method_money import MethodInputs, MethodMoney, method_money
from wood_xl.data.load import value
from wood_xl.study.method_inputs import Gathered
from wood_xl.study.money import MethodCost

LEAST_CORDS, MOST_CORDS = 0.01, 1000.0  # from an armful to more than the season's item of yearly volume takes

Row = dict[str, Any]


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
        return self._at(self.quick_found, cords_per_year).cash - self._at(self.slow_found, cords_per_year).cash

    def extra_cash_and_time(self, cords_per_year: float) -> float:
        """The same with own time."""
        quick, slow = (self._at(found, cords_per_year) for found in (self.quick_found, self.slow_found))
        return quick.cash_and_time - slow.cash_and_time

    @staticmethod
    def _at(found: Gathered, cords_per_year: float) -> MethodMoney:
        return method_money(replace(found.inputs, cords_per_year=cords_per_year))


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


def break_even_rows(found: Iterable[Pair]) -> list[Row]:
    """What the hours cost that the quicker method saves, and from which volume on it pays."""
    return [_break_even_row(pair) for pair in found]


def _names(pair: Pair) -> Row:
    return {
        "quicker": pair.quick.totals.method.name,
        "slower": pair.slow.totals.method.name,
        "task": pair.quick.totals.method.task,
    }


def _break_even_row(pair: Pair) -> Row:
    hours = {"hours_saved": Figure(pair.hours_saved)}
    why = pair.why_no_cash
    if why is not None:
        columns = ("extra_cash", "hour_saved_cost", "volume_cash", "volume_time")
        return {**_names(pair), **hours, **dict.fromkeys(columns, why), "verdict": "not known"}
    extra = pair.extra_cash(pair.quick_found.inputs.cords_per_year)
    volume = _volume(pair.extra_cash)
    volume_time = pair.why_no_time or _volume(pair.extra_cash_and_time)
    return {
        **_names(pair),
        **hours,
        "extra_cash": Figure(extra),
        "hour_saved_cost": _hour_saved(pair),
        "volume_cash": volume,
        "volume_time": volume_time,
        "verdict": _verdict(pair, extra, volume),
    }


def _hour_saved(pair: Pair) -> Figure:
    cords = pair.quick_found.inputs.cords_per_year
    quick, slow = (replace(found.inputs, cords_per_year=cords) for found in (pair.quick_found, pair.slow_found))
    cost = hour_saved_cost(
        slow_cash=method_money(slow).cash,
        slow_worker_h=slow.worker_h_per_cord,
        quick_cash=method_money(quick).cash,
        quick_worker_h=quick.worker_h_per_cord,
    )
    if cost is None:
        return not_given("saves no hour")
    return Figure(cost, "below 0: it saves both hours and cash" if cost < 0 else "")


def _volume(extra: Callable[[float], float]) -> Figure:
    """Yearly volume at which the quicker method's extra cost is nothing, in stacked m3, with the side that pays."""
    volumes = break_even_volumes(extra, least=LEAST_CORDS, most=MOST_CORDS)
    at_least = extra(LEAST_CORDS)
    if not volumes:
        if at_least == 0:
            return not_given("costs the same at any volume")
        return not_given("pays at any volume" if at_least < 0 else "never pays")
    side = "pays above it" if at_least > 0 else "pays below it"
    if len(volumes) > 1:
        more = "no longer pays" if at_least > 0 else "pays again"
        side += f"; {more} above {volumes[1] / volumes[0]:.1f} times it"
    return Figure(volumes[0] * value("cord.volume_m3"), side)


def _verdict(pair: Pair, extra: float, volume: Figure) -> str:
    """Dominance in words; nothing is ranked by payback."""
    if pair.hours_saved <= 0:
        return "no hour is saved"
    if extra <= 0:
        return "saves hours and costs no more cash: better by both at this volume"
    if volume.value is None:
        return "costs more cash at any volume: pays only by the worth of the hours saved"
    return f"costs more cash at this volume; {volume.basis.replace('it', 'the break-even volume', 1)}"


def payback_rows(found: Iterable[Pair]) -> list[Row]:
    """When the tools that would have to be bought have paid themselves back."""
    return [_payback_row(pair) for pair in found]


def _payback_row(pair: Pair) -> Row:
    quick, slow = pair.quick_found.inputs, pair.slow_found.inputs
    cords = quick.cords_per_year
    hours = {"hours_saved_per_year": Figure(pair.hours_saved * cords)}
    why = pair.why_no_cash
    if why is not None:
        columns = (
            "outlay",
            "cash_saved_per_year",
            "cash_simple",
            "cash_discounted",
            "time_simple",
            "time_discounted",
        )
        return {**_names(pair), **hours, **dict.fromkeys(columns, why)}
    outlay = _to_buy(quick, slow) - _to_buy(slow, quick)
    saved = cords * (method_money(slow).running - method_money(quick).running)
    saved_with_time = saved + cords * pair.hours_saved * quick.value_of_time_per_h
    no_value = pair.why_no_time
    life = _life_of_bought(quick, slow)

    def payback(saved_per_year: float, rate_frac: float) -> Figure:
        return _payback(outlay, saved_per_year, rate_frac, life)

    return {
        **_names(pair),
        "outlay": Figure(outlay),
        "cash_saved_per_year": Figure(saved),
        **hours,
        "cash_simple": payback(saved, 0.0),
        "cash_discounted": payback(saved, quick.rate_frac),
        "time_simple": no_value or payback(saved_with_time, 0.0),
        "time_discounted": no_value or payback(saved_with_time, quick.rate_frac),
    }


def _bought(inputs: MethodInputs, other: MethodInputs) -> list[int]:
    """Which tools a method has and the other has not, unless they were bought already."""
    shared = {tool.name for tool in other.tools}
    return [i for i, tool in enumerate(inputs.tools) if tool.name not in shared and not tool.is_owned]


def _to_buy(inputs: MethodInputs, other: MethodInputs) -> float:
    return math.fsum(inputs.tools[i].price for i in _bought(inputs, other))


def _life_of_bought(inputs: MethodInputs, other: MethodInputs) -> float:
    """Longest life among the tools to buy: what is not paid back by then never is."""
    years = method_money(inputs).tools
    return max((years[i].life_years or 0.0 for i in _bought(inputs, other)), default=0.0)


def _payback(outlay: float, saved_per_year: float, rate_frac: float, life_years: float) -> Figure:
    if outlay <= 0:
        return not_given("nothing more to buy")
    years = payback_years(outlay=outlay, saved_per_year=saved_per_year, rate_frac=rate_frac)
    if years is None:
        return not_given("never")
    if years > life_years:
        return not_given(f"not within its life of {life_years:.1f} years")
    return Figure(years)
