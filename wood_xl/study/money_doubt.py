"""What a method's cash goes with: recorded amounts, and prices, lives and interest that all sessions share.

Ranges are those of the sheet Sensitivity; each is taken to hold 95 %. Fuel, oil and electricity are amount times
price, and their powers are exact. A tool's ownership and upkeep go with its life, hours and interest by no power:
theirs is the mean slope by logs from end to end of the range. The yearly volume and the value of an hour are choices,
and hours of other tasks that share a tool are second-order: all three are held.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from wood_xl.calc.method_money import MethodInputs, method_money
from wood_xl.data.load import constant
from wood_xl.records import Season
from wood_xl.study.figure_parts import (
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
from wood_xl.study.method_inputs import UPPER_BOUND, Gathered, GatheredTool
from wood_xl.study.methods import MethodTotals
from wood_xl.study.money import MethodCost
from wood_xl.study.sensitivity import PRICE_RANGE, MoneyTrial, interest_trial, tool_trials

Amount = Callable[[MethodInputs], float]
TOOL_AMOUNTS: tuple[Amount, ...] = (lambda i: method_money(i).ownership, lambda i: method_money(i).upkeep)


def money_parts(cost: MethodCost, season: Season, figure_id: str) -> FigureParts | str:
    """Parts of the cash, of the own time, or of both; or why they cannot be told."""
    found = cost.gathered
    if found is None:
        return "not known"
    spreads: dict[str, float] = {}
    parts: list[FigurePart] = []
    if figure_id != "own_time":
        for tool in found.tools:
            parts += _tool_parts(tool, found, spreads)
        parts += _bought_parts(found, season, spreads)
    if figure_id != "cash":
        own = found.inputs.worker_h_per_cord * found.inputs.value_of_time_per_h
        parts.append(FigurePart(own, {WORKER_HOURS: 1.0}, {}))
    return figure_parts(parts, spreads)


def tool_clock(tool: GatheredTool) -> str:
    """Recorded amount that is a tool's clock."""
    return AT_WORK if tool.tool.kind == "hand" or tool.hours_words == UPPER_BOUND else RUNNING_HOURS


def hours_error(tool: GatheredTool, totals: MethodTotals) -> float:
    """Standard error of the log of a tool's hours per cord; 0 where they have none."""
    rate = recorded_rate(totals, tool_clock(tool))
    return 0.0 if isinstance(rate, str) else rate.se_log


def tool_powers(
    tool: GatheredTool,
    inputs: MethodInputs,
    trials: Iterator[MoneyTrial],
    totals: MethodTotals,
    amount: Amount,
    spreads: dict[str, float],
) -> tuple[dict[str, float], dict[str, float]]:
    """Powers with which an amount of one tool goes with its hours and with common factors, whose doubt is noted.

    Parameters
    ----------
    inputs : MethodInputs
        With this tool alone.
    """
    common = {}
    for trial in trials:
        # Interest may be 0; what grows is money, by 100 % and the rate.
        base = 100.0 if trial.name == interest_trial(inputs).name else 0.0
        width = math.log((base + trial.high) / (base + trial.low))
        if width <= 0:
            continue
        power = _slope(amount, trial.put(inputs, trial.low), trial.put(inputs, trial.high)) / width
        if power:
            common[trial.name] = power
            spreads[trial.name] = range_spread(width)
    error = hours_error(tool, totals)
    if not error:
        return {}, common
    power = _slope(amount, _with_hours(inputs, math.exp(-error)), _with_hours(inputs, math.exp(error))) / (2 * error)
    return ({tool_clock(tool): power} if power else {}), common


def _slope(amount: Amount, low: MethodInputs, high: MethodInputs) -> float:
    return math.log(amount(high) / amount(low))


def _with_hours(inputs: MethodInputs, factor: float) -> MethodInputs:
    tools = tuple(replace(tool, hours_per_cord=factor * tool.hours_per_cord) for tool in inputs.tools)
    return replace(inputs, tools=tools)


def _tool_parts(tool: GatheredTool, found: Gathered, spreads: dict[str, float]) -> Iterator[FigurePart]:
    alone = replace(
        found.inputs,
        tools=(tool.inputs,),
        fuel_l_per_cord=0.0,
        bar_oil_l_per_cord=0.0,
        electricity_kwh_per_cord=0.0,
    )
    for amount in TOOL_AMOUNTS:
        worth = amount(alone)
        if worth > 0:
            trials = iter([*tool_trials(0, tool, ""), interest_trial(alone)])
            recorded, common = tool_powers(tool, alone, trials, found.totals, amount, spreads)
            yield FigurePart(worth, recorded, common)


def _bought_parts(found: Gathered, season: Season, spreads: dict[str, float]) -> Iterator[FigurePart]:
    """Fuel, oil and electricity; two-stroke mix is gasoline and oil, each with its price."""
    inputs, kinds = found.inputs, {tool.tool.kind for tool in found.tools}
    fuel = inputs.fuel_l_per_cord
    bought: list[tuple[float, str, str]]
    if "gasoline two-stroke" in kinds:
        oil = fuel / (season.two_stroke_mix_ratio + 1) * (season.two_stroke_oil_price_per_l or 0.0)
        gasoline = fuel * inputs.fuel_price_per_l - oil
        bought = [(gasoline, FUEL, "price of gasoline"), (oil, FUEL, "price of two-stroke oil")]
    else:
        name = "price of diesel" if "diesel" in kinds else "price of gasoline"
        bought = [(fuel * inputs.fuel_price_per_l, FUEL, name)]
    bought += [
        (inputs.bar_oil_l_per_cord * inputs.bar_oil_price_per_l, BAR_OIL, "price of bar oil"),
        (inputs.electricity_kwh_per_cord * inputs.electricity_price_per_kwh, ELECTRICITY, "price of electricity"),
    ]
    for worth, what, key in bought:
        if worth > 0:
            spreads[key] = price_spread()
            yield FigurePart(worth, {what: 1.0}, {key: 1.0})


def price_spread() -> float:
    """Relative standard uncertainty of a price."""
    known = constant(PRICE_RANGE)
    return range_spread(math.log((known.high or 1.0) / (known.low or 1.0)))
