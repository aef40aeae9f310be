"""What a method's money goes with: recorded amounts, and prices, lives and interest that all sessions share.

Ranges are those of the sheet Sensitivity; each is taken to hold 95 %. Fuel, oil and electricity are amount times
price, and their powers are exact. What a tool costs goes with its life, hours and interest by no power: its are mean
slopes by logs from end to end of the range. The yearly volume and the value of an hour are choices, and hours of
other tasks that share a tool are second-order: all three are held. In what a tool is used, lasts and costs in a year,
all its hours are as unsure as those of its method.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from wood_xl.data.load import constant
from wood_xl.data.trade import Fuel
from wood_xl.hours.figure_parts import (
    AT_WORK,
    BAR_OIL,
    ELECTRICITY,
    FUEL,
    RUNNING_HOURS,
    WORKER_HOURS,
    FigurePart,
    FigureParts,
    figure_parts,
    range_spread,
    recorded_rate,
)
from wood_xl.hours.methods import MethodTotals
from wood_xl.ids import Input, Recorded
from wood_xl.money.inputs import Gathered, GatheredTool, Part
from wood_xl.money.method import MethodInputs, ToolInputs, method_money, present_value
from wood_xl.money.owning import present_value_factor
from wood_xl.money.per_method import MethodCost
from wood_xl.money.sensitivity import INTEREST, PRICE_RANGE, MoneyTrial, interest_trial, kept_trials, tool_trials
from wood_xl.reasons import Key, Named, Reason, Said, said
from wood_xl.records import Season

Amount = Callable[[MethodInputs], float]
BRINGS_IN = said(Reason.BRINGS_IN)


@dataclass(frozen=True, slots=True)
class MadeOf:
    """What a figure of a method's money is a sum of, for a cord.

    tools: of each tool: the amount of a method that has it alone and buys nothing.
    bought: parts that are an amount times a price.
    has_own_time: whether the hours at their stated value are in it.
    times: how often what is bought for a cord counts; once if None.
    volume: yearly volume as a share of the season's.
    """

    tools: tuple[Amount, ...] = ()
    bought: tuple[Part, ...] = ()
    has_own_time: bool = False
    times: Amount | None = None
    volume: float = 1.0


def _ownership(inputs: MethodInputs) -> float:
    return method_money(inputs).ownership


def _avoidable_ownership(inputs: MethodInputs) -> float:
    return method_money(inputs).avoidable_ownership


def _machine_rate_ownership(inputs: MethodInputs) -> float:
    return method_money(inputs).machine_rate_ownership


def _upkeep(inputs: MethodInputs) -> float:
    return method_money(inputs).upkeep


BOUGHT: tuple[Part, ...] = ("fuel", "bar_oil", "electricity")
CASH = MadeOf((_ownership, _upkeep), BOUGHT)
MADE_OF = {
    "ownership": MadeOf((_ownership,)),
    "upkeep": MadeOf((_upkeep,)),
    "fuel": MadeOf(bought=("fuel",)),
    "bar_oil": MadeOf(bought=("bar_oil",)),
    "electricity": MadeOf(bought=("electricity",)),
    "cash": CASH,
    "own_time": MadeOf(has_own_time=True),
    "cash_and_time": replace(CASH, has_own_time=True),
    "avoidable": MadeOf((_avoidable_ownership, _upkeep), BOUGHT),
    "machine_rate": MadeOf((_machine_rate_ownership, _upkeep), BOUGHT),
    "half_volume": replace(CASH, volume=0.5),
    "double_volume": replace(CASH, volume=2.0),
}


def _made_of(figure_id: str, horizon_years: float) -> MadeOf:
    def owning(inputs: MethodInputs) -> float:
        tools = tuple(replace(tool, repair_frac=0.0, upkeep=()) for tool in inputs.tools)
        return present_value(replace(inputs, tools=tools), horizon_years=horizon_years)

    def times(inputs: MethodInputs) -> float:
        return inputs.cords_per_year * present_value_factor(rate_frac=inputs.rate_frac, years=horizon_years)

    if figure_id == "present_value":
        return MadeOf((owning, lambda i: _upkeep(i) * times(i)), BOUGHT, times=times)
    if figure_id == "over_horizon":
        return MadeOf((lambda i: owning(i) / times(i), _upkeep), BOUGHT)
    return MADE_OF[figure_id]


def money_parts(cost: MethodCost, season: Season, figure_id: str) -> FigureParts | Said:
    """Parts of a figure of a method's money, for a cord or a multiple of it; or why they cannot be told.

    At an interest below 0 a tool that keeps its worth costs less than nothing, and no part can have a log then.
    """
    found = cost.gathered
    if found is None:
        return said(Reason.NOT_KNOWN)
    made = _made_of(figure_id, season.horizon_years)
    inputs = replace(found.inputs, cords_per_year=made.volume * found.inputs.cords_per_year)
    spreads: dict[Key, float] = {}
    parts: list[FigurePart] = []
    for tool in found.tools if made.tools else ():
        alone = _alone(inputs, tool.inputs)
        for amount in made.tools:
            if amount(alone) < 0:
                return BRINGS_IN
            parts += _tool_parts(tool, alone, found.totals, amount, spreads)
    parts += _bought_parts(found, inputs, season, made, spreads)
    if made.has_own_time:
        own = inputs.worker_h_per_cord * inputs.value_of_time_per_h
        parts.append(FigurePart(own, {WORKER_HOURS: 1.0}, {}))
    return figure_parts(parts, spreads)


def tool_year_parts(tool: GatheredTool, found: Gathered, figure_id: str) -> FigureParts | Said:
    """Parts of what a tool is used, lasts or costs in a year made with its method, or why they cannot be told."""
    hours = tool.inputs.hours_per_cord + tool.inputs.other_hours_per_cord
    alone = _alone(found.inputs, replace(tool.inputs, hours_per_cord=hours, other_hours_per_cord=0.0))
    if figure_id == "hours_per_year":
        return figure_parts([FigurePart(hours * alone.cords_per_year, {tool_clock(tool): 1.0}, {})], {})

    def amount(inputs: MethodInputs) -> float:
        return float(getattr(method_money(inputs).tools[0], figure_id))

    if amount(alone) < 0:
        return BRINGS_IN
    spreads: dict[Key, float] = {}
    return figure_parts(_tool_parts(tool, alone, found.totals, amount, spreads), spreads)


def tool_clock(tool: GatheredTool) -> Recorded:
    """Recorded amount that is a tool's clock."""
    return AT_WORK if not tool.tool.kind_row.is_powered or tool.is_upper_bound else RUNNING_HOURS


def hours_error(tool: GatheredTool, totals: MethodTotals) -> float:
    """Standard error of the log of a tool's hours per cord; 0 where they have none."""
    rate = recorded_rate(totals, tool_clock(tool))
    return 0.0 if isinstance(rate, Said) else rate.se_log


def tool_powers(
    tool: GatheredTool,
    inputs: MethodInputs,
    trials: Iterable[MoneyTrial],
    totals: MethodTotals,
    amount: Amount,
    spreads: dict[Key, float],
) -> tuple[dict[Recorded, float], dict[Key, float]]:
    """Powers with which an amount of one tool goes with its hours and with common factors, whose doubt is noted."""
    common = _common_powers(inputs, trials, amount, spreads)
    error = hours_error(tool, totals)
    if not error:
        return {}, common

    def with_hours(log: float) -> float:
        return amount(_with_hours(inputs, math.exp(log)))

    (fewer, at_fewer), (more, at_more) = (_near_end(with_hours, 0.0, log) for log in (-error, error))
    power = math.log(at_more / at_fewer) / (more - fewer)
    return ({tool_clock(tool): power} if power else {}), common


def _common_powers(
    inputs: MethodInputs, trials: Iterable[MoneyTrial], amount: Amount, spreads: dict[Key, float]
) -> dict[Key, float]:
    """Powers with which an amount goes with what is tried, whose doubt is noted."""
    common: dict[Key, float] = {}
    for trial in trials:
        grown = _grown(trial)
        width = math.log((grown + trial.high) / (grown + trial.low))
        if width <= 0:
            continue
        power = _power(inputs, trial, amount)
        if power:
            common[trial.name] = power
            spreads[trial.name] = range_spread(width)
    return common


def _grown(trial: MoneyTrial) -> float:
    """What an input stands on: interest may be 0 or less, and what grows is money, by 100 % and the rate."""
    return 100.0 if trial.name == INTEREST else 0.0


def _power(inputs: MethodInputs, trial: MoneyTrial, amount: Amount) -> float:
    """Mean slope by logs of an amount from end to end of a range."""

    def tried(number: float) -> float:
        return amount(trial.put(inputs, number))

    (low, at_low), (high, at_high) = (_near_end(tried, trial.base, end) for end in (trial.low, trial.high))
    return math.log(at_high / at_low) / math.log((_grown(trial) + high) / (_grown(trial) + low))


def _near_end(worth_at: Callable[[float], float], base: float, end: float) -> tuple[float, float]:
    """An end of a range and the amount there; half of the way to it, and so on, while that has no log."""
    while (worth := worth_at(end)) <= 0 and end != base:
        end = (base + end) / 2
    return end, worth


def _with_hours(inputs: MethodInputs, factor: float) -> MethodInputs:
    tools = tuple(replace(tool, hours_per_cord=factor * tool.hours_per_cord) for tool in inputs.tools)
    return replace(inputs, tools=tools)


def _alone(inputs: MethodInputs, tool: ToolInputs) -> MethodInputs:
    """A method with one tool and nothing bought."""
    return replace(inputs, tools=(tool,), fuel_l_per_cord=0.0, bar_oil_l_per_cord=0.0, electricity_kwh_per_cord=0.0)


def _tool_parts(
    tool: GatheredTool, alone: MethodInputs, totals: MethodTotals, amount: Amount, spreads: dict[Key, float]
) -> Iterator[FigurePart]:
    worth = amount(alone)
    if worth > 0:
        tried = [*tool_trials(0, tool, ""), *kept_trials(0, tool, ""), interest_trial(alone)]
        recorded, common = tool_powers(tool, alone, tried, totals, amount, spreads)
        yield FigurePart(worth, recorded, common)


def _bought_parts(
    found: Gathered, inputs: MethodInputs, season: Season, made: MadeOf, spreads: dict[Key, float]
) -> Iterator[FigurePart]:
    times = made.times(inputs) if made.times else 1.0
    interest = _common_powers(inputs, [interest_trial(inputs)], made.times, spreads) if made.times else {}
    for part, worth, what, key in _purchases(found, season):
        if part in made.bought and worth > 0:
            spreads[key] = price_spread()
            yield FigurePart(times * worth, {what: 1.0}, {**interest, key: 1.0})


def price_of(fuel: Fuel) -> Said:
    """What the price of a fuel goes by, wherever it comes in."""
    return said(Input.PRICE_OF_FUEL, fuel=Named(fuel.id, fuel.name))


def _purchases(found: Gathered, season: Season) -> Iterator[tuple[Part, float, Recorded, Key]]:
    """Part, money for a cord, recorded amount and key of the price; two-stroke mix is gasoline and oil."""
    inputs, kinds = found.inputs, (tool.tool.kind_row for tool in found.tools)
    kind = next((kind for kind in kinds if kind.burns), None)
    if kind is not None:
        fuel, oil = inputs.fuel_l_per_cord, 0.0
        if kind.oil is not None:
            oil = fuel / (season.two_stroke_mix_ratio + 1) * (season.fuel_prices_per_l.get(kind.oil.id) or 0.0)
        yield "fuel", fuel * inputs.fuel_price_per_l - oil, FUEL, price_of(kind.tank)
        if kind.oil is not None:
            yield "fuel", oil, FUEL, price_of(kind.oil)
    bar_oil = inputs.bar_oil_l_per_cord * inputs.bar_oil_price_per_l
    yield "bar_oil", bar_oil, BAR_OIL, said(Input.PRICE_OF_BAR_OIL)
    electricity = inputs.electricity_kwh_per_cord * inputs.electricity_price_per_kwh
    yield "electricity", electricity, ELECTRICITY, said(Input.PRICE_OF_ELECTRICITY)


def price_spread() -> float:
    """Relative standard uncertainty of a price."""
    known = constant(PRICE_RANGE)
    return range_spread(math.log((known.high or 1.0) / (known.low or 1.0)))
