"""Cash of each method: by part, with own time and hours, in other ways of counting, and tool by tool."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from wood_xl.calc.cost import present_value_factor
from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.method_money import MethodMoney, ToolMoney, method_money, present_value
from wood_xl.records import Season
from wood_xl.study.cost import CostStudy
from wood_xl.study.method_inputs import CASH_PARTS, Gathered, GatheredTool, Part, gather
from wood_xl.study.methods import MethodTotals
from wood_xl.study.sessions import needs

Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class MethodCost:
    """Money of one method.

    Attributes
    ----------
    why : Figure or None
        Why nothing can be given; None if anything can.
    gathered, money : or None
        Plain numbers and what follows from them; None if nothing can be given.
    """

    totals: MethodTotals
    why: Figure | None
    gathered: Gathered | None
    money: MethodMoney | None

    def part(self, part: Part) -> Figure:
        """One part per cord."""
        return self._of(lambda money: float(getattr(money, part)), (part,), part)

    @property
    def cash(self) -> Figure:
        """All parts but own time, per cord; withheld if one is missing, for half a cost would flatter its method."""
        return self._of(lambda money: money.cash, CASH_PARTS)

    @property
    def own_time(self) -> Figure:
        """Hours of everybody at the stated value, per cord."""
        return self.part("own_time")

    @property
    def cash_and_time(self) -> Figure:
        """All parts, per cord."""
        return self._of(lambda money: money.cash_and_time, (*CASH_PARTS, "own_time"))

    def cash_by(self, count: Callable[[Gathered, MethodMoney], float], basis: str = "") -> Figure:
        """Anything that follows from the whole cash; withheld if a part of it is missing."""
        if self.gathered is None or self.money is None:
            return self.cash
        why = self.gathered.why_no_cash
        return why if why is not None else Figure(count(self.gathered, self.money), basis)

    def _of(self, amount: Callable[[MethodMoney], float], parts: Sequence[Part], said: Part | None = None) -> Figure:
        if self.gathered is None or self.money is None:
            return self.why or not_given("not known")
        for part in parts:
            if part in self.gathered.missing:
                return self.gathered.missing[part]
        return Figure(amount(self.money), self.gathered.words.get(said, "") if said else "")


def method_cost(totals: MethodTotals, study: CostStudy) -> MethodCost:
    """Money of one method at the season's yearly volume."""
    gathered = gather(totals, study)
    if isinstance(gathered, Figure):
        return MethodCost(totals, gathered, None, None)
    return MethodCost(totals, None, gathered, method_money(gathered.inputs))


def part_rows(costs: Iterable[MethodCost]) -> list[Row]:
    """Where the money goes: methods of a task beside each other, those of a group too."""
    costs = list(costs)
    tasks = list(dict.fromkeys(cost.totals.method.task for cost in costs))
    groups = list(dict.fromkeys(cost.totals.method.cost_group for cost in costs))
    costs.sort(key=lambda c: (tasks.index(c.totals.method.task), groups.index(c.totals.method.cost_group)))
    return [
        {
            "method": cost.totals.method.name,
            "task": cost.totals.method.task,
            "cost_group": cost.totals.method.cost_group or "",
            **{part: cost.part(part) for part in CASH_PARTS},
            "cash": cost.cash,
        }
        for cost in costs
    ]


def total_rows(costs: Iterable[MethodCost], season: Season) -> list[Row]:
    """Three totals that are never mixed (cash, cash with own time, hours), and the cash per hour and per year."""
    return [
        {
            "method": cost.totals.method.name,
            "worker_hours": _hours(cost.totals),
            "cash": cost.cash,
            "own_time": cost.own_time,
            "cash_and_time": cost.cash_and_time,
            "cash_per_workplace_hour": _per_hour(cost, lambda inputs: inputs.clock_h_per_cord, "no hours"),
            "cash_per_working_hour": _per_hour(
                cost, lambda inputs: inputs.working_h_per_cord, "no working time left"
            ),
            "cash_per_year": cost.cash_by(lambda found, money: money.cash * found.inputs.cords_per_year),
            "present_value": _over_horizon(cost, season),
        }
        for cost in costs
    ]


def _hours(totals: MethodTotals) -> Figure:
    hours = totals.worker_hours_per_cord
    return not_given("no session counts") if hours is None else Figure(hours)


def _per_hour(cost: MethodCost, hours: Callable[[Any], float], why: str) -> Figure:
    if cost.gathered is not None and hours(cost.gathered.inputs) == 0:
        return not_given(why)
    return cost.cash_by(lambda found, money: money.cash / hours(found.inputs))


def _over_horizon(cost: MethodCost, season: Season) -> Figure:
    if "horizon_years" in season.broken:
        return not_given(needs(season.broken["horizon_years"]))
    years = season.horizon_years
    return cost.cash_by(lambda found, _: present_value(found.inputs, horizon_years=years), f"over {years:g} years")


def view_rows(costs: Iterable[MethodCost], season: Season) -> list[Row]:
    """The same cash per cord counted in other ways, each beside the others and never added."""

    def at_volume(cost: MethodCost, factor: float) -> Figure:
        def cash(found: Gathered, _: MethodMoney) -> float:
            return method_money(replace(found.inputs, cords_per_year=factor * found.inputs.cords_per_year)).cash

        return cost.cash_by(cash)

    def over_horizon(cost: MethodCost) -> Figure:
        value = _over_horizon(cost, season)
        if value.value is None or cost.gathered is None:
            return value
        inputs = cost.gathered.inputs
        factor = present_value_factor(rate_frac=inputs.rate_frac, years=season.horizon_years)
        return Figure(value.value / factor / inputs.cords_per_year)

    return [
        {
            "method": cost.totals.method.name,
            "cash": cost.cash,
            "avoidable": cost.cash_by(lambda _, money: money.running + money.avoidable_ownership, _owned_words(cost)),
            "machine_rate": cost.cash_by(lambda _, money: money.running + money.machine_rate_ownership),
            "over_horizon": over_horizon(cost),
            "half_volume": at_volume(cost, 0.5),
            "double_volume": at_volume(cost, 2.0),
        }
        for cost in costs
    ]


def _owned_words(cost: MethodCost) -> str:
    tools = () if cost.gathered is None else cost.gathered.tools
    owned = [tool.inputs for tool in tools if tool.inputs.is_owned]
    if not owned:
        return "no tool was bought already"
    unknown = [tool.name for tool in owned if tool.worth_today is None and tool.price]
    if not unknown:
        return ""
    return f"no worth today is written for {', '.join(unknown)}: the resale at the end stands in"


def tool_rows(cost: MethodCost) -> Iterable[Row]:
    """What owning each tool of a method comes to in a year made with it."""
    if cost.gathered is None or cost.money is None:
        return
    for tool, year in zip(cost.gathered.tools, cost.money.tools, strict=True):
        yield _tool_row(cost.totals.method.name, tool, year)


def _tool_row(method: str, tool: GatheredTool, year: ToolMoney) -> Row:
    def owned(amount: float, basis: str = "") -> Figure:
        return tool.why if tool.why is not None else Figure(amount, basis)

    hours = Figure(year.hours_per_year, tool.hours_words) if tool.hours_why is None else tool.hours_why
    life = not_given("none needed") if year.life_years is None else Figure(year.life_years, tool.life_words)
    return {
        "tool": tool.tool.name,
        "method": method,
        "price": tool.price,
        "resale": tool.resale,
        "hours_per_year": hours,
        "life_years": tool.why if tool.why is not None else life,
        "share": Figure(100 * year.share_frac) if tool.hours_why is None else tool.hours_why,
        "yearly_cost": owned(year.yearly_cost, "" if tool.inputs.price else "free"),
        "avoidable": owned(year.avoidable, "" if tool.inputs.is_owned else "not bought yet: all of it"),
        "machine_rate": owned(year.machine_rate),
    }


def money_remarks(costs: Iterable[MethodCost]) -> list[tuple[str, str, dict[str, str]]]:
    """Tools that do not last a year, and repairs that stand in where no upkeep is written: each once."""
    remarks: dict[tuple[str, str], tuple[str, str, dict[str, str]]] = {}
    for cost in costs:
        if cost.gathered is None or cost.money is None:
            continue
        for tool, year in zip(cost.gathered.tools, cost.money.tools, strict=True):
            name = tool.tool.name
            if tool.inputs.price and year.life_years is not None and year.life_years < 1:
                facts = {"found": name, "value": f"{year.life_years:.2g}", "method": cost.totals.method.name}
                remarks.setdefault((name, "life"), ("season-tool-worn-out", "", facts))
            if tool.inputs.price and tool.repair_default:
                words = f"repairs of {tool.inputs.repair_frac:.0%} of its depreciation"
                facts = {"title": f"Upkeep of {name}", "value": words, "source": ", a share by the kind of tool"}
                remarks.setdefault((name, "repairs"), ("season-default-used", "", facts))
    return list(remarks.values())
