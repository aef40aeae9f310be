"""The money of a method, its parts and sums, by all members of a design: its inputs with members where unsure.

The yearly volume and the value of an hour are choices: they are in no doubt.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from wood_xl.draws.ensemble import Number, nominal, total
from wood_xl.draws.figure import Figure, not_given
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.rates import Taken, TakenAmounts
from wood_xl.ids import Recorded
from wood_xl.money.cost_study import CostStudy
from wood_xl.money.inputs import (
    CASH_PARTS,
    Gathered,
    GatheredTool,
    Part,
    gather,
    rented_units_per_cord,
    serving_others,
    tool_hours_per_cord,
)
from wood_xl.money.method import MethodInputs, MethodMoney, RentInputs, ToolInputs, method_money, present_value
from wood_xl.money.owning import present_value_factor
from wood_xl.money.ranges import method_ranges, tool_ranges
from wood_xl.reasons import Reason, Said, said

Amount = Callable[["DrawnMoney"], Number]


@dataclass(frozen=True, eq=False)
class MoneyFigure:
    """A figure of a method's money: what it is, and which parts of the cash stand behind it."""

    amount: Amount
    parts: tuple[Part, ...] = CASH_PARTS


@dataclass(frozen=True, eq=False)
class DrawnMoney:
    """Money of one method by all members.

    unsure: part of the money to why nothing is known of the doubt of an amount in it.
    """

    inputs: MethodInputs
    unsure: dict[Part, Said]
    horizon_years: float
    _at: dict[float, MethodMoney] = field(default_factory=dict)

    @property
    def money(self) -> MethodMoney:
        """At the season's yearly volume."""
        return self.at(1.0)

    def at(self, volume: float) -> MethodMoney:
        """At a multiple of the season's yearly volume."""
        if volume not in self._at:
            self._at[volume] = method_money(self.with_volume(volume * self.inputs.cords_per_year))
        return self._at[volume]

    def with_volume(self, cords_per_year: Number) -> MethodInputs:
        """The inputs at another yearly volume."""
        return replace(self.inputs, cords_per_year=cords_per_year)

    @cached_property
    def present_value(self) -> Number:
        """Cash over the horizon, as its value today."""
        return present_value(self.inputs, horizon_years=self.horizon_years)

    @property
    def over_horizon(self) -> Number:
        """The same for a cord."""
        factor = present_value_factor(rate_frac=self.inputs.rate_frac, years=self.horizon_years)
        return self.present_value / factor / self.inputs.cords_per_year

    def why(self, parts: Sequence[Part]) -> Said | None:
        """Why nothing is known of the doubt of an amount behind some parts; None if all is known."""
        return next((self.unsure[part] for part in parts if part in self.unsure), None)


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


def drawn_money(gathered: Gathered, study: CostStudy, taken: TakenAmounts) -> DrawnMoney:
    """Inputs of a method by all members: what sessions recorded, and what goes with its range."""
    totals, unsure = gathered.totals, dict[Part, Said]()

    def times(number: Number, what: Recorded, *parts: Part) -> Number:
        if number == 0:
            return number
        relative = taken.relative(totals, what)
        if relative.why is not None:
            unsure.update(dict.fromkeys(parts, relative.why))
        return number * relative.number

    plain = gathered.inputs
    for tool in gathered.tools:
        why = why_unsure_hours(tool, totals, study, taken)
        if why is not None:
            unsure.update({"ownership": why, "upkeep": why})
    tools = tuple(drawn_tool(tool, totals, study, taken) for tool in gathered.tools)
    inputs = replace(
        plain,
        tools=tools,
        clock_h_per_cord=times(plain.clock_h_per_cord, Recorded.CLOCK_HOURS),
        working_h_per_cord=times(plain.working_h_per_cord, Recorded.AT_WORK),
        worker_h_per_cord=times(plain.worker_h_per_cord, Recorded.WORKER_HOURS, "own_time"),
        fuel_l_per_cord=times(plain.fuel_l_per_cord, Recorded.FUEL, "fuel"),
        bar_oil_l_per_cord=times(plain.bar_oil_l_per_cord, Recorded.BAR_OIL, "bar_oil"),
        electricity_kwh_per_cord=times(plain.electricity_kwh_per_cord, Recorded.ELECTRICITY, "electricity"),
    )
    for ranged in method_ranges(gathered, study.season):
        inputs = ranged.put(inputs, ranged.members(taken.design))
    return DrawnMoney(inputs, unsure, study.season.horizon_years)


def drawn_tool(tool: GatheredTool, totals: MethodTotals, study: CostStudy, taken: TakenAmounts) -> ToolInputs:
    """A tool of a method by all members: its hours by its own clock, its price and its lives."""
    hours = tool.inputs.hours_per_cord
    inputs = replace(
        tool.inputs,
        hours_per_cord=hours * taken.relative(totals, tool_clock(tool)).number if hours else 0.0,
        other_hours_per_cord=other_hours(tool, totals, study, taken).number,
        rent=_drawn_rent(tool, totals, study, taken),
    )
    for ranged in tool_ranges(tool):
        inputs = ranged.put(inputs, ranged.members(taken.design))
    return inputs


def why_unsure_hours(tool: GatheredTool, totals: MethodTotals, study: CostStudy, taken: TakenAmounts) -> Said | None:
    """Why nothing is known of the doubt of a tool's hours; None if it is, or if what it costs hangs on none.

    It hangs on them by its life, by its upkeep, by its rent, and by its share in other tasks.
    """
    inputs = tool.inputs
    if inputs.rent is not None:
        why = _rented(tool, totals, study, taken).why or _other_rented(tool, totals, study, taken).why
        if why is not None:
            return why
    by_upkeep = any(item.per == "hours" for item in inputs.upkeep)
    if not inputs.hours_per_cord or not (inputs.life_h is not None or by_upkeep or inputs.other_hours_per_cord):
        return None
    return taken.relative(totals, tool_clock(tool)).why or other_hours(tool, totals, study, taken).why


def tool_clock(tool: GatheredTool) -> Recorded:
    """Recorded amount that is a tool's clock."""
    is_at_work = not tool.tool.kind_row.is_powered or tool.is_upper_bound
    return Recorded.AT_WORK if is_at_work else Recorded.RUNNING_HOURS


def other_hours(tool: GatheredTool, totals: MethodTotals, study: CostStudy, taken: TakenAmounts) -> Taken:
    """Hours of the other tasks that a tool serves: for each of them the mean over the methods using it."""
    return _of_other_tasks(tool, totals, study, lambda other: _tool_hours(tool, other, study, taken))


def _of_other_tasks(
    tool: GatheredTool, totals: MethodTotals, study: CostStudy, amount: Callable[[MethodTotals], Taken | None]
) -> Taken:
    means: list[Number] = []
    why = None
    for methods in serving_others(tool.tool, totals, study).values():
        numbers: list[Number] = []
        for found in map(amount, methods):
            if found is None:
                return Taken(0.0)
            why = why or found.why
            numbers.append(found.number)
        means.append(total(numbers) / len(numbers))
    return Taken(total(means), why)


def _tool_hours(tool: GatheredTool, other: MethodTotals, study: CostStudy, taken: TakenAmounts) -> Taken | None:
    hours_or_why = tool_hours_per_cord(tool.tool, other, study)
    if isinstance(hours_or_why, Said):
        return None
    hours, _, is_upper_bound = hours_or_why
    return _members(hours, other, tool_clock(replace(tool, is_upper_bound=is_upper_bound)), taken)


def _members(amount: float, totals: MethodTotals, what: Recorded, taken: TakenAmounts) -> Taken:
    relative = taken.relative(totals, what) if amount else Taken(1.0)
    return Taken(amount * relative.number, relative.why)


def _drawn_rent(tool: GatheredTool, totals: MethodTotals, study: CostStudy, taken: TakenAmounts) -> RentInputs | None:
    if tool.inputs.rent is None:
        return None
    return replace(
        tool.inputs.rent,
        units_per_cord=_rented(tool, totals, study, taken).number,
        other_units_per_cord=_other_rented(tool, totals, study, taken).number,
    )


def _rented(tool: GatheredTool, totals: MethodTotals, study: CostStudy, taken: TakenAmounts) -> Taken:
    """Hours, days or weeks of rent: hours by the tool's clock, days and weeks by the hours of the method."""
    if tool.tool.rent_per == "hour":
        return _tool_hours(tool, totals, study, taken) or Taken(0.0)
    units = rented_units_per_cord(tool.tool, totals, study)
    return Taken(0.0) if isinstance(units, Said) else _members(units, totals, Recorded.CLOCK_HOURS, taken)


def _other_rented(tool: GatheredTool, totals: MethodTotals, study: CostStudy, taken: TakenAmounts) -> Taken:
    return _of_other_tasks(tool, totals, study, lambda other: _rented(tool, other, study, taken))


@dataclass(frozen=True, slots=True)
class MethodCost:
    """Money of one method.

    why: why nothing can be given; None if anything can.
    gathered, money: plain numbers and what follows from them; None if nothing can be given.
    """

    totals: MethodTotals
    why: Figure | None
    gathered: Gathered | None
    money: DrawnMoney | None

    def figure(self, figure_id: str) -> Figure:
        """A figure without its ends; withheld if one of the parts behind it is missing: half a cost would flatter."""
        asked = MONEY_FIGURES[figure_id]
        if self.gathered is None or self.money is None:
            return self.why or not_given(said(Reason.NOT_KNOWN))
        for part in asked.parts:
            if part in self.gathered.missing:
                return self.gathered.missing[part]
        only = asked.parts[0] if len(asked.parts) == 1 else None
        return Figure(nominal(asked.amount(self.money)), self.gathered.bases.get(only) if only else None)


def method_cost(totals: MethodTotals, study: CostStudy) -> MethodCost:
    """Money of one method at the season's yearly volume."""
    gathered = gather(totals, study)
    if isinstance(gathered, Figure):
        return MethodCost(totals, gathered, None, None)
    return MethodCost(totals, None, gathered, DrawnMoney(gathered.inputs, {}, study.season.horizon_years))
