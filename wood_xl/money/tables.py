"""Cash of each method: by part, with own time and hours, in other ways of counting, and tool by tool."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import ClassVar

from wood_xl.draws.figure import Figure, TableRow, not_given
from wood_xl.hours.figure_parts import AT_WORK, CLOCK_HOURS, WOOD
from wood_xl.hours.part_rates import part_figure
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.sessions import needs
from wood_xl.ids import Recorded, Told
from wood_xl.money.doubt import tool_year_parts
from wood_xl.money.inputs import Gathered, GatheredTool, Part, still_to_buy
from wood_xl.money.method import MethodInputs, MethodMoney, ToolMoney, method_money, present_value
from wood_xl.money.owning import present_value_factor
from wood_xl.money.per_method import MethodCost
from wood_xl.reasons import Basis, Reason, Said, said
from wood_xl.records import Season, Tool
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


def part_rows(known: SeasonRates) -> list[MoneyPerCordRow]:
    """Where the money goes: methods of a task beside each other, those of a group too."""
    costs = list(known.costs.values())
    tasks = list(dict.fromkeys(cost.totals.method.task for cost in costs))
    groups = list(dict.fromkeys(cost.totals.method.cost_group for cost in costs))
    costs.sort(key=lambda c: (tasks.index(c.totals.method.task), groups.index(c.totals.method.cost_group)))
    return [_part_row(known, cost) for cost in costs]


def _part_row(known: SeasonRates, cost: MethodCost) -> MoneyPerCordRow:
    def part(name: Part) -> Figure:
        return _with_ends(known, cost, name, cost.part(name))

    method = cost.totals.method
    return MoneyPerCordRow(
        method=method.name,
        task=method.task,
        cost_group=method.cost_group or "",
        ownership=part("ownership"),
        upkeep=part("upkeep"),
        fuel=part("fuel"),
        bar_oil=part("bar_oil"),
        electricity=part("electricity"),
        cash=known.figure(cost.totals, "cash"),
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


def total_rows(known: SeasonRates) -> list[MoneyTotalsRow]:
    """Three totals that are never mixed (cash, cash with own time, hours), and the cash per hour and per year."""
    return [
        MoneyTotalsRow(
            method=cost.totals.method.name,
            worker_hours=known.figure(cost.totals, "worker_hours"),
            cash=known.figure(cost.totals, "cash"),
            own_time=known.figure(cost.totals, "own_time"),
            cash_and_time=known.figure(cost.totals, "cash_and_time"),
            cash_per_workplace_hour=_per_hour(
                known, cost, CLOCK_HOURS, lambda inputs: inputs.clock_h_per_cord, Reason.NO_HOURS
            ),
            cash_per_working_hour=_per_hour(
                known, cost, AT_WORK, lambda inputs: inputs.working_h_per_cord, Reason.NO_WORKING_TIME
            ),
            cash_per_year=_with_ends(known, cost, "cash", cost.cash_by(_per_year)),
            present_value=_with_ends(known, cost, "present_value", _over_horizon(cost, known.study.season)),
        )
        for cost in known.costs.values()
    ]


def _with_ends(known: SeasonRates, cost: MethodCost, figure_id: str, plain: Figure, unit: Recorded = WOOD) -> Figure:
    """A figure with the ends that its parts give it: its own, or those of what it is a multiple of."""
    if plain.value is None:
        return plain
    parts = known.parts(cost.totals, figure_id)
    if not isinstance(parts, Said):
        parts = replace(parts, unit=unit)
    return part_figure(plain, cost.totals, parts, known.study.season)


def _per_year(found: Gathered, money: MethodMoney) -> float:
    return money.cash * found.inputs.cords_per_year


def _per_hour(
    known: SeasonRates, cost: MethodCost, unit: Recorded, hours: Callable[[MethodInputs], float], why: Reason
) -> Figure:
    if cost.gathered is not None and hours(cost.gathered.inputs) == 0:
        return not_given(said(why))
    plain = cost.cash_by(lambda found, money: money.cash / hours(found.inputs))
    return _with_ends(known, cost, "cash", plain, unit)


def _over_horizon(cost: MethodCost, season: Season) -> Figure:
    if "horizon_years" in season.broken:
        return not_given(needs(season.broken["horizon_years"]))
    years = season.horizon_years
    return cost.cash_by(
        lambda found, _: present_value(found.inputs, horizon_years=years), said(Basis.OVER_YEARS, years=years)
    )


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


def view_rows(known: SeasonRates) -> list[MoneyViewsRow]:
    """The same cash per cord counted in other ways, each beside the others and never added."""
    return [_view_row(known, cost) for cost in known.costs.values()]


def _view_row(known: SeasonRates, cost: MethodCost) -> MoneyViewsRow:
    season = known.study.season

    def view(figure_id: str, plain: Figure) -> Figure:
        return _with_ends(known, cost, figure_id, plain)

    def at_volume(factor: float) -> Figure:
        def cash(found: Gathered, _: MethodMoney) -> float:
            return method_money(replace(found.inputs, cords_per_year=factor * found.inputs.cords_per_year)).cash

        return cost.cash_by(cash)

    def over_horizon() -> Figure:
        value = _over_horizon(cost, season)
        if value.value is None or cost.gathered is None:
            return value
        inputs = cost.gathered.inputs
        factor = present_value_factor(rate_frac=inputs.rate_frac, years=season.horizon_years)
        return Figure(value.value / factor / inputs.cords_per_year)

    avoidable = cost.cash_by(lambda _, money: money.running + money.avoidable_ownership, _owned(cost))
    machine_rate = cost.cash_by(lambda _, money: money.running + money.machine_rate_ownership)
    return MoneyViewsRow(
        method=cost.totals.method.name,
        cash=known.figure(cost.totals, "cash"),
        avoidable=view("avoidable", avoidable),
        machine_rate=view("machine_rate", machine_rate),
        over_horizon=view("over_horizon", over_horizon()),
        half_volume=view("half_volume", at_volume(0.5)),
        double_volume=view("double_volume", at_volume(2.0)),
    )


def _owned(cost: MethodCost) -> Said | None:
    tools = () if cost.gathered is None else cost.gathered.tools
    owned = [tool.inputs for tool in tools if tool.inputs.is_owned]
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


def tool_rows(known: SeasonRates) -> list[ToolCostsRow]:
    """What owning each tool of each method comes to in a year made with it."""
    return [
        _tool_row(cost.gathered, tool, year, known.study.season)
        for cost in known.costs.values()
        if cost.gathered is not None and cost.money is not None
        for tool, year in zip(cost.gathered.tools, cost.money.tools, strict=True)
    ]


def _tool_row(found: Gathered, tool: GatheredTool, year: ToolMoney, season: Season) -> ToolCostsRow:
    def in_doubt(figure_id: str, plain: Figure) -> Figure:
        if plain.value is None:
            return plain
        return part_figure(plain, found.totals, tool_year_parts(tool, found, figure_id), season)

    def owned(figure_id: str, amount: float, basis: Said | None = None) -> Figure:
        return tool.why if tool.why is not None else in_doubt(figure_id, Figure(amount, basis))

    hours = Figure(year.hours_per_year, tool.hours_basis) if tool.hours_why is None else not_given(tool.hours_why)
    life = (
        not_given(said(Reason.NONE_NEEDED)) if year.life_years is None else Figure(year.life_years, tool.life_basis)
    )
    return ToolCostsRow(
        tool=tool.tool.name,
        method=found.totals.method.name,
        price=tool.price,
        resale=tool.resale,
        share=Figure(100 * year.share_frac) if tool.hours_why is None else not_given(tool.hours_why),
        hours_per_year=in_doubt("hours_per_year", hours),
        life_years=tool.why if tool.why is not None else in_doubt("life_years", life),
        yearly_cost=owned("yearly_cost", year.yearly_cost, None if tool.inputs.price else said(Basis.FREE)),
        avoidable=owned("avoidable", year.avoidable, _all_of_it(tool.tool)),
        machine_rate=owned("machine_rate", year.machine_rate),
    )


def _all_of_it(tool: Tool) -> Said | None:
    return None if tool.is_owned else said(Basis.ALL_OF_IT, why=still_to_buy(tool.bought_already))


def money_remarks(costs: Iterable[MethodCost]) -> list[Remark]:
    """Tools that do not last a year, repairs that stand in for unwritten upkeep, and tools not said to be bought."""
    remarks: dict[tuple[str, str], Remark] = {}
    not_said: dict[str, None] = {}
    for cost in costs:
        if cost.gathered is None or cost.money is None:
            continue
        for tool, year in zip(cost.gathered.tools, cost.money.tools, strict=True):
            name = tool.tool.name
            if tool.inputs.price and year.life_years is not None and year.life_years < 1:
                facts: Facts = {"found": name, "value": f"{year.life_years:.2g}", "method": cost.totals.method.name}
                by_age = tool.inputs.age_limit_years is not None and tool.inputs.age_limit_years <= year.life_years
                life = RowCell("tools.life_years" if by_age else "tools.life_hours", name)
                remarks.setdefault((name, "life"), ("season-tool-worn-out", life, facts))
            if tool.inputs.price and tool.repair_default:
                facts = {
                    "title": said(Told.UPKEEP_OF, tool=name),
                    "value": said(Told.REPAIRS, share=tool.inputs.repair_frac),
                    "source": said(Told.BY_KIND),
                }
                remarks.setdefault((name, "repairs"), ("season-default-used", "", facts))
            if tool.inputs.price and tool.tool.bought_already is None:
                not_said[name] = None
    if not_said:
        facts = {
            "title": said(Told.BOUGHT_ALREADY, tools=tuple(not_said)),
            "value": said(Told.NO),
            "source": said(Told.STILL_TO_BUY),
        }
        return [*remarks.values(), ("season-default-used", "", facts)]
    return list(remarks.values())
