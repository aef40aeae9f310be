"""Cash of each method: by part, with own time and hours, in other ways of counting, and tool by tool."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from wood_xl.draws.figure import Figure, not_given
from wood_xl.hours.figure_parts import AT_WORK, CLOCK_HOURS, WOOD
from wood_xl.hours.part_rates import part_figure
from wood_xl.hours.season_rates import MONEY, SeasonRates
from wood_xl.hours.sessions import needs
from wood_xl.ids import Recorded, Told
from wood_xl.money.doubt import tool_year_parts
from wood_xl.money.inputs import CASH_PARTS, Gathered, GatheredTool, still_to_buy
from wood_xl.money.method import MethodInputs, MethodMoney, ToolMoney, method_money, present_value
from wood_xl.money.owning import present_value_factor
from wood_xl.money.per_method import MethodCost
from wood_xl.reasons import Basis, Reason, Said, said
from wood_xl.records import Season, Tool
from wood_xl.remark import Facts, Remark, RowCell

Row = dict[str, Any]


def part_rows(known: SeasonRates) -> list[Row]:
    """Where the money goes: methods of a task beside each other, those of a group too."""
    costs = list(known.costs.values())
    tasks = list(dict.fromkeys(cost.totals.method.task for cost in costs))
    groups = list(dict.fromkeys(cost.totals.method.cost_group for cost in costs))
    costs.sort(key=lambda c: (tasks.index(c.totals.method.task), groups.index(c.totals.method.cost_group)))
    return [
        {
            "method": cost.totals.method.name,
            "task": cost.totals.method.task,
            "cost_group": cost.totals.method.cost_group or "",
            **{part: _with_ends(known, cost, part, cost.part(part)) for part in CASH_PARTS},
            "cash": known.figure(cost.totals, "cash"),
        }
        for cost in costs
    ]


def total_rows(known: SeasonRates) -> list[Row]:
    """Three totals that are never mixed (cash, cash with own time, hours), and the cash per hour and per year."""
    return [
        {
            "method": cost.totals.method.name,
            **{figure_id: known.figure(cost.totals, figure_id) for figure_id in ("worker_hours", *MONEY)},
            "cash_per_workplace_hour": _per_hour(
                known, cost, CLOCK_HOURS, lambda inputs: inputs.clock_h_per_cord, Reason.NO_HOURS
            ),
            "cash_per_working_hour": _per_hour(
                known, cost, AT_WORK, lambda inputs: inputs.working_h_per_cord, Reason.NO_WORKING_TIME
            ),
            "cash_per_year": _with_ends(known, cost, "cash", cost.cash_by(_per_year)),
            "present_value": _with_ends(known, cost, "present_value", _over_horizon(cost, known.study.season)),
        }
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


def view_rows(known: SeasonRates) -> list[Row]:
    """The same cash per cord counted in other ways, each beside the others and never added."""
    return [
        {
            "method": cost.totals.method.name,
            "cash": known.figure(cost.totals, "cash"),
            **{
                view: _with_ends(known, cost, view, plain) for view, plain in _views(cost, known.study.season).items()
            },
        }
        for cost in known.costs.values()
    ]


def _views(cost: MethodCost, season: Season) -> dict[str, Figure]:
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

    return {
        "avoidable": cost.cash_by(lambda _, money: money.running + money.avoidable_ownership, _owned(cost)),
        "machine_rate": cost.cash_by(lambda _, money: money.running + money.machine_rate_ownership),
        "over_horizon": over_horizon(),
        "half_volume": at_volume(0.5),
        "double_volume": at_volume(2.0),
    }


def _owned(cost: MethodCost) -> Said | None:
    tools = () if cost.gathered is None else cost.gathered.tools
    owned = [tool.inputs for tool in tools if tool.inputs.is_owned]
    if not owned:
        return said(Basis.NO_TOOL_BOUGHT)
    unknown = [tool.name for tool in owned if tool.worth_today is None and tool.price]
    if not unknown:
        return None
    return said(Basis.NO_WORTH_TODAY, tools=tuple(unknown))


def tool_rows(known: SeasonRates) -> list[Row]:
    """What owning each tool of each method comes to in a year made with it."""
    return [
        _tool_row(cost.gathered, tool, year, known.study.season)
        for cost in known.costs.values()
        if cost.gathered is not None and cost.money is not None
        for tool, year in zip(cost.gathered.tools, cost.money.tools, strict=True)
    ]


def _tool_row(found: Gathered, tool: GatheredTool, year: ToolMoney, season: Season) -> Row:
    def owned(amount: float, basis: Said | None = None) -> Figure:
        return tool.why if tool.why is not None else Figure(amount, basis)

    hours = Figure(year.hours_per_year, tool.hours_basis) if tool.hours_why is None else not_given(tool.hours_why)
    life = (
        not_given(said(Reason.NONE_NEEDED)) if year.life_years is None else Figure(year.life_years, tool.life_basis)
    )
    in_doubt = {
        "hours_per_year": hours,
        "life_years": tool.why if tool.why is not None else life,
        "yearly_cost": owned(year.yearly_cost, None if tool.inputs.price else said(Basis.FREE)),
        "avoidable": owned(year.avoidable, _all_of_it(tool.tool)),
        "machine_rate": owned(year.machine_rate),
    }
    return {
        "tool": tool.tool.name,
        "method": found.totals.method.name,
        "price": tool.price,
        "resale": tool.resale,
        "share": Figure(100 * year.share_frac) if tool.hours_why is None else not_given(tool.hours_why),
        **{
            figure_id: plain
            if plain.value is None
            else part_figure(plain, found.totals, tool_year_parts(tool, found, figure_id), season)
            for figure_id, plain in in_doubt.items()
        },
    }


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
