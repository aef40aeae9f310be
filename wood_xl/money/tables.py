"""Cash of each method: by part, with own time and hours, in other ways of counting, and tool by tool."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import ClassVar

from wood_xl.draws.ensemble import Number, nominal
from wood_xl.draws.figure import Figure, TableRow, drawn, not_given
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.sessions import needs
from wood_xl.ids import Told
from wood_xl.money.drawn import other_hours, tool_clock
from wood_xl.money.inputs import CASH_PARTS, Gathered, GatheredTool, still_to_buy, way_of_having
from wood_xl.money.method import MethodInputs, ToolMoney
from wood_xl.money.per_method import MethodCost
from wood_xl.reasons import Basis, Reason, Said, said
from wood_xl.records import Tool
from wood_xl.remark import Facts, Remark, RowCell


@dataclass(frozen=True, eq=False)
class MoneyPerCordRow(TableRow):
    """Cash of a method for a cord by its parts."""

    table: ClassVar[str] = "money_per_cord"
    method: str
    task: str
    cost_group: str
    ownership: Figure
    upkeep: Figure
    fuel: Figure
    bar_oil: Figure
    electricity: Figure
    cash: Figure


def part_rows(rates: SeasonRates) -> list[MoneyPerCordRow]:
    """Where the money goes: methods of a task beside each other, those of a group too."""
    costs = list(rates.costs.values())
    tasks = list(dict.fromkeys(cost.totals.method.task for cost in costs))
    groups = list(dict.fromkeys(cost.totals.method.cost_group for cost in costs))
    costs.sort(key=lambda c: (tasks.index(c.totals.method.task), groups.index(c.totals.method.cost_group)))
    return [_part_row(rates, cost) for cost in costs]


def _part_row(rates: SeasonRates, cost: MethodCost) -> MoneyPerCordRow:
    method = cost.totals.method
    return MoneyPerCordRow(
        method=method.name,
        task=method.task,
        cost_group=method.cost_group or "",
        **{part: rates.figure(cost.totals, part) for part in (*CASH_PARTS, "cash")},
    )


@dataclass(frozen=True, eq=False)
class MoneyTotalsRow(TableRow):
    """Three totals of a method that are never mixed, and its cash per hour and per year."""

    table: ClassVar[str] = "money_totals"
    method: str
    worker_hours: Figure
    cash: Figure
    own_time: Figure
    cash_and_time: Figure
    cash_per_workplace_hour: Figure
    cash_per_working_hour: Figure
    cash_per_year: Figure
    present_value: Figure


def total_rows(rates: SeasonRates) -> list[MoneyTotalsRow]:
    """Three totals that are never mixed (cash, cash with own time, hours), and the cash per hour and per year."""
    return [
        MoneyTotalsRow(
            method=cost.totals.method.name,
            worker_hours=rates.figure(cost.totals, "worker_hours"),
            cash=rates.figure(cost.totals, "cash"),
            own_time=rates.figure(cost.totals, "own_time"),
            cash_and_time=rates.figure(cost.totals, "cash_and_time"),
            cash_per_workplace_hour=_per_hour(
                rates, cost, "cash_per_workplace_hour", lambda inputs: inputs.clock_h_per_cord, Reason.NO_HOURS
            ),
            cash_per_working_hour=_per_hour(
                rates, cost, "cash_per_working_hour", lambda inputs: inputs.working_h_per_cord, Reason.NO_WORKING_TIME
            ),
            cash_per_year=rates.figure(cost.totals, "cash_per_year"),
            present_value=_over_horizon(rates, cost, "present_value", said(Basis.OVER_YEARS, years=_horizon(rates))),
        )
        for cost in rates.costs.values()
    ]


def _horizon(rates: SeasonRates) -> float:
    return rates.study.season.horizon_years


def _per_hour(
    rates: SeasonRates, cost: MethodCost, figure_id: str, hours: Callable[[MethodInputs], Number], why: Reason
) -> Figure:
    if cost.gathered is not None and hours(cost.gathered.inputs) == 0:
        return not_given(said(why))
    return rates.figure(cost.totals, figure_id)


def _over_horizon(rates: SeasonRates, cost: MethodCost, figure_id: str, basis: Said | None = None) -> Figure:
    broken = rates.study.season.broken
    if "horizon_years" in broken:
        return not_given(needs(broken["horizon_years"]))
    return replace(rates.figure(cost.totals, figure_id), basis=basis)


@dataclass(frozen=True, eq=False)
class MoneyViewsRow(TableRow):
    """Cash of a method for a cord, counted in other ways."""

    table: ClassVar[str] = "money_views"
    method: str
    cash: Figure
    avoidable: Figure
    machine_rate: Figure
    over_horizon: Figure
    half_volume: Figure
    double_volume: Figure


def view_rows(rates: SeasonRates) -> list[MoneyViewsRow]:
    """The same cash per cord counted in other ways, each beside the others and never added."""
    return [_view_row(rates, cost) for cost in rates.costs.values()]


def _view_row(rates: SeasonRates, cost: MethodCost) -> MoneyViewsRow:
    def view(figure_id: str) -> Figure:
        return rates.figure(cost.totals, figure_id)

    avoidable = view("avoidable")
    return MoneyViewsRow(
        method=cost.totals.method.name,
        cash=view("cash"),
        avoidable=avoidable if avoidable.value is None else replace(avoidable, basis=_owned(cost)),
        machine_rate=view("machine_rate"),
        over_horizon=_over_horizon(rates, cost, "over_horizon"),
        half_volume=view("half_volume"),
        double_volume=view("double_volume"),
    )


def _owned(cost: MethodCost) -> Said | None:
    tools = () if cost.gathered is None else cost.gathered.tools
    owned = [tool.inputs for tool in tools if tool.tool.is_owned]
    if not owned:
        return said(Basis.NO_TOOL_BOUGHT)
    unknown = [tool.name for tool in owned if tool.worth_today is None and tool.price]
    if not unknown:
        return None
    return said(Basis.NO_WORTH_TODAY, tools=tuple(unknown))


@dataclass(frozen=True, eq=False)
class ToolCostsRow(TableRow):
    """What owning a tool comes to in a year of one method."""

    table: ClassVar[str] = "tool_costs"
    tool: str
    method: str
    price: Figure
    resale: Figure
    share: Figure
    hours_per_year: Figure
    life_years: Figure
    yearly_cost: Figure
    avoidable: Figure
    machine_rate: Figure


def tool_rows(rates: SeasonRates) -> list[ToolCostsRow]:
    """What owning each tool of each method comes to in a year made with it."""
    rows = []
    for name, cost in rates.costs.items():
        spent = rates.money(name)
        if cost.gathered is not None and spent is not None:
            years = zip(cost.gathered.tools, spent.money.tools, strict=True)
            rows += [_tool_row(rates, cost.gathered, spent.why(("ownership",)), tool, year) for tool, year in years]
    return rows


def _tool_row(
    rates: SeasonRates, gathered: Gathered, unsure: Said | None, tool: GatheredTool, year: ToolMoney
) -> ToolCostsRow:
    def in_doubt(number: Number, basis: Said | None = None) -> Figure:
        return drawn(number, basis) if unsure is None else Figure(nominal(number), basis, reason=unsure)

    def owned(amount: Number, basis: Said | None = None) -> Figure:
        return tool.why if tool.why is not None else in_doubt(amount, basis)

    hours = drawn(year.hours_per_year, tool.hours_basis)
    if tool.inputs.hours_per_cord:
        others = other_hours(tool, gathered.totals, rates.study, rates.taken)
        why = rates.taken.relative(gathered.totals, tool_clock(tool)).why or others.why
        hours = hours if why is None else Figure(hours.value, hours.basis, reason=why)
    if tool.hours_why is not None:
        hours = not_given(tool.hours_why)
    life = not_given(said(Reason.NONE_NEEDED)) if year.life_years is None else owned(year.life_years, tool.life_basis)
    return ToolCostsRow(
        tool=tool.tool.name,
        method=gathered.totals.method.name,
        price=tool.price,
        resale=tool.resale,
        share=hours if tool.hours_why is not None else Figure(100 * nominal(year.share_frac)),
        hours_per_year=hours,
        life_years=tool.why if tool.why is not None else life,
        yearly_cost=owned(year.yearly_cost + year.rent, _how_had(tool, year)),
        avoidable=owned(year.avoidable + year.rent, _all_of_it(tool.tool)),
        machine_rate=owned(year.machine_rate + year.rent),
    )


def _how_had(tool: GatheredTool, year: ToolMoney) -> Said | None:
    if tool.inputs.rent is not None:
        return said(Basis.RENTED, units=nominal(year.rented_units), per=tool.tool.rent_per)
    return way_of_having(tool.tool) or (None if tool.inputs.price else said(Basis.FREE))


def _all_of_it(tool: Tool) -> Said | None:
    return said(Basis.ALL_OF_IT, why=still_to_buy(tool)) if tool.is_to_pay else None


def money_remarks(costs: Iterable[MethodCost]) -> list[Remark]:
    """Tools that do not last a year, repairs in place of unwritten upkeep, and tools not said how one has them."""
    remarks: dict[tuple[str, str], Remark] = {}
    not_said: dict[str, None] = {}
    for cost in costs:
        if cost.gathered is None or cost.money is None:
            continue
        for tool, year in zip(cost.gathered.tools, cost.money.money.tools, strict=True):
            name = tool.tool.name
            if tool.inputs.price and year.life_years is not None and nominal(year.life_years) < 1:
                facts: Facts = {
                    "found": name,
                    "value": f"{nominal(year.life_years):.2g}",
                    "method": cost.totals.method.name,
                }
                by_age = tool.inputs.age_limit_years is not None and bool(
                    tool.inputs.age_limit_years <= year.life_years
                )
                life = RowCell("tools.life_years" if by_age else "tools.life_hours", name)
                remarks.setdefault((name, "life"), ("season-tool-worn-out", life, facts))
            if tool.inputs.price and tool.repair_default:
                facts = {
                    "title": said(Told.UPKEEP_OF, tool=name),
                    "value": said(Told.REPAIRS, share=tool.inputs.repair_frac),
                    "source": said(Told.BY_KIND),
                }
                remarks.setdefault((name, "repairs"), ("season-default-used", "", facts))
            if tool.inputs.price and tool.tool.held is None:
                not_said[name] = None
    if not_said:
        facts = {
            "title": said(Told.HELD_OF, tools=tuple(not_said)),
            "value": said(Told.TO_BUY),
            "source": "",
        }
        return [*remarks.values(), ("season-default-used", "", facts)]
    return list(remarks.values())
