"""Money of a method, its parts and sums: nominal, or by all members of a design.

The yearly volume and the value of an hour are choices, so they are in no doubt.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from wood_xl.draws.ensemble import Number, kept, nominal
from wood_xl.draws.figure import Figure
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.rates import TakenAmounts
from wood_xl.money.cost_study import CostStudy, hours_a_day
from wood_xl.money.inputs import CASH_PARTS, RENTED_DAYS, MethodNumbers, Part, ToolNumbers, method_numbers
from wood_xl.money.method import MethodInputs, MethodMoney, ToolInputs, method_money, present_value
from wood_xl.money.owning import present_value_factor
from wood_xl.money.ranges import method_ranges, tool_ranges
from wood_xl.reasons import Said

Amount = Callable[["MethodCost"], Number]


@dataclass(frozen=True, eq=False)
class MoneyFigure:
    """A figure of a method's money: its amount, and the parts that it depends on."""

    amount: Amount
    parts: tuple[Part, ...] = CASH_PARTS


@dataclass(frozen=True, eq=False)
class MethodCost:
    """Money of one method, nominal or by all members."""

    numbers: MethodNumbers
    horizon_years: float

    @property
    def totals(self) -> MethodTotals:
        """Totals of the method's sessions."""
        return self.numbers.totals

    @property
    def inputs(self) -> MethodInputs:
        """Everything that the money depends on."""
        return self.numbers.inputs

    @property
    def money(self) -> MethodMoney:
        """Money at the season's yearly volume."""
        return self.at(1.0)

    @kept
    def at(self, volume: float) -> MethodMoney:
        """Money at a multiple of the season's yearly volume."""
        return self.at_cords(volume * self.inputs.cords_per_year)

    def at_cords(self, cords_per_year: Number) -> MethodMoney:
        """Money at another yearly volume."""
        return method_money(replace(self.inputs, cords_per_year=cords_per_year))

    @cached_property
    def present_value(self) -> Number:
        """Present value of the cash over the horizon."""
        return present_value(self.inputs, horizon_years=self.horizon_years)

    @property
    def over_horizon(self) -> Number:
        """Cash over the horizon as a level cost of a cord."""
        factor = present_value_factor(rate_frac=self.inputs.rate_frac, years=self.horizon_years)
        return self.present_value / factor / self.inputs.cords_per_year

    def why_unsure(self, parts: Sequence[Part]) -> Said | None:
        """Why the doubt of some parts is unknown; None if it is known."""
        return next((self.numbers.unsure[part] for part in parts if part in self.numbers.unsure), None)

    def figure(self, figure_id: str) -> Figure:
        """A figure without its ends; withheld if one of its parts is missing: half a cost would flatter."""
        asked = MONEY_FIGURES[figure_id]
        for part in asked.parts:
            if part in self.numbers.missing:
                return self.numbers.missing[part]
        only = asked.parts[0] if len(asked.parts) == 1 else None
        return Figure(nominal(asked.amount(self)), self.numbers.bases.get(only) if only else None)


MONEY_FIGURES: dict[str, MoneyFigure] = {
    "ownership": MoneyFigure(lambda m: m.money.ownership + m.money.rent, ("ownership",)),
    "upkeep": MoneyFigure(lambda m: m.money.upkeep, ("upkeep",)),
    "fuel": MoneyFigure(lambda m: m.money.fuel, ("fuel",)),
    "bar_oil": MoneyFigure(lambda m: m.money.bar_oil, ("bar_oil",)),
    "electricity": MoneyFigure(lambda m: m.money.electricity, ("electricity",)),
    "cash": MoneyFigure(lambda m: m.money.cash),
    "own_time": MoneyFigure(lambda m: m.money.own_time, ("own_time",)),
    "cash_and_time": MoneyFigure(lambda m: m.money.cash_and_time, (*CASH_PARTS, "own_time")),
    "avoidable": MoneyFigure(lambda m: m.money.avoidable_ownership + m.money.running),
    "machine_rate": MoneyFigure(lambda m: m.money.machine_rate_ownership + m.money.running),
    "half_volume": MoneyFigure(lambda m: m.at(0.5).cash),
    "double_volume": MoneyFigure(lambda m: m.at(2.0).cash),
    "cash_per_workplace_hour": MoneyFigure(lambda m: m.money.cash / m.inputs.clock_h_per_cord),
    "cash_per_working_hour": MoneyFigure(lambda m: m.money.cash / m.inputs.working_h_per_cord),
    "cash_per_year": MoneyFigure(lambda m: m.money.cash * m.inputs.cords_per_year),
    "present_value": MoneyFigure(lambda m: m.present_value),
    "over_horizon": MoneyFigure(lambda m: m.over_horizon),
}


def method_cost(totals: MethodTotals, study: CostStudy, taken: TakenAmounts | None = None) -> MethodCost:
    """Money of a method: nominal, or by all members of recorded amounts and of inputs with a range."""
    numbers = method_numbers(totals, study, taken)
    if taken is not None and numbers.why is None:
        inputs = replace(numbers.inputs, tools=tuple(drawn_tool(tool, taken) for tool in numbers.tools))
        for ranged in method_ranges(numbers, study.season):
            inputs = ranged.put(inputs, ranged.members(taken.design))
        numbers = replace(numbers, inputs=inputs)
    return MethodCost(numbers, study.season.horizon_years)


def drawn_tool(tool: ToolNumbers, taken: TakenAmounts) -> ToolInputs:
    """A tool with its price, lives and other ranges by all members."""
    inputs = tool.inputs
    for ranged in tool_ranges(tool):
        inputs = ranged.put(inputs, ranged.members(taken.design))
    return inputs


def spared_by_longer_days(cost: MethodCost, study: CostStudy, day_h: float) -> Number:
    """How much less the rent of a cord would be on days of so many hours, if the sessions' days were shorter."""
    tools = list(cost.inputs.tools)
    if not any(tool.rent for tool in tools):
        return 0.0
    for at, one in enumerate(cost.numbers.tools):
        rent, times = tools[at].rent, hours_a_day(one.tool, study) / day_h
        if rent is not None and one.tool.rent_per in RENTED_DAYS and times < 1:
            units, others = times * rent.units_per_cord, times * rent.other_units_per_cord
            rent = replace(rent, units_per_cord=units, other_units_per_cord=others)
            tools[at] = replace(tools[at], rent=rent)
    return cost.money.rent - method_money(replace(cost.inputs, tools=tuple(tools))).rent
