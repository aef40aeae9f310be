"""Tables of cash: by part, with own time and hours, counted in other ways, by tool, and against bought wood."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from wood_xl.data.trade import tasks
from wood_xl.draws.ensemble import Number, nominal
from wood_xl.draws.figure import (
    Figure,
    Row,
    as_things_stand,
    drawn,
    is_of_unknown_doubt,
    less,
    not_given,
    of_method,
    sum_of,
)
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.sessions import needs
from wood_xl.ids import Input, Told
from wood_xl.money.break_even import price_of_hour
from wood_xl.money.cost import MethodCost
from wood_xl.money.inputs import CASH_PARTS, ToolNumbers, still_to_buy, way_of_having
from wood_xl.money.method import MethodInputs, ToolMoney
from wood_xl.money.ranges import price_members
from wood_xl.reasons import Basis, Facts, Reason, Remark, RowCell, Said, Word, said
from wood_xl.records import Method, Tool
from wood_xl.verdicts import HourWorth

PRICE_ITEM = "bought_cord_price"
TOTALS = ("worker_hours", "cash", "own_time", "cash_and_time", "cash_per_year")
VIEWS = ("cash", "machine_rate", "half_volume", "double_volume")


def part_rows(rates: SeasonRates) -> list[Row]:
    """Cash by part, with methods of a task together and those of a group next to each other."""
    costs = list(rates.costs.values())
    tasks = list(dict.fromkeys(cost.totals.method.task for cost in costs))
    groups = list(dict.fromkeys(cost.totals.method.cost_group for cost in costs))
    costs.sort(key=lambda c: (tasks.index(c.totals.method.task), groups.index(c.totals.method.cost_group)))
    return [
        Row(
            method=cost.totals.method.name,
            task=cost.totals.method.task,
            cost_group=cost.totals.method.cost_group or "",
            **{part: rates.figure(cost.totals, part) for part in (*CASH_PARTS, "cash")},
        )
        for cost in costs
    ]


def total_rows(rates: SeasonRates) -> list[Row]:
    """Three totals that are never mixed (cash, cash with own time, hours), and cash by hour and by year."""
    years = said(Basis.OVER_YEARS, years=rates.study.season.horizon_years)
    return [
        Row(
            method=cost.totals.method.name,
            **{figure_id: rates.figure(cost.totals, figure_id) for figure_id in TOTALS},
            cash_per_workplace_hour=_per_hour(
                rates, cost, "cash_per_workplace_hour", lambda inputs: inputs.clock_h_per_cord, Reason.NO_HOURS
            ),
            cash_per_working_hour=_per_hour(
                rates, cost, "cash_per_working_hour", lambda inputs: inputs.working_h_per_cord, Reason.NO_WORKING_TIME
            ),
            present_value=_over_horizon(rates, cost, "present_value", years),
        )
        for cost in rates.costs.values()
    ]


def _per_hour(
    rates: SeasonRates, cost: MethodCost, figure_id: str, hours: Callable[[MethodInputs], Number], why: Reason
) -> Figure:
    if cost.numbers.why is None and hours(cost.inputs) == 0:
        return not_given(said(why))
    return rates.figure(cost.totals, figure_id)


def _over_horizon(rates: SeasonRates, cost: MethodCost, figure_id: str, basis: Said | None = None) -> Figure:
    broken = rates.study.season.broken
    if "horizon_years" in broken:
        return not_given(needs(broken["horizon_years"]))
    return replace(rates.figure(cost.totals, figure_id), basis=basis)


def view_rows(rates: SeasonRates) -> list[Row]:
    """Cash for a cord counted in other ways, which are never added."""
    return [_view_row(rates, cost) for cost in rates.costs.values()]


def _view_row(rates: SeasonRates, cost: MethodCost) -> Row:
    avoidable = rates.figure(cost.totals, "avoidable")
    return Row(
        method=cost.totals.method.name,
        **{figure_id: rates.figure(cost.totals, figure_id) for figure_id in VIEWS},
        avoidable=avoidable if avoidable.value is None else replace(avoidable, basis=_owned(cost)),
        over_horizon=_over_horizon(rates, cost, "over_horizon"),
    )


def _owned(cost: MethodCost) -> Said | None:
    owned = [tool.inputs for tool in cost.numbers.tools if tool.tool.is_owned]
    if not owned:
        return said(Basis.NO_TOOL_BOUGHT)
    unknown = [tool.name for tool in owned if tool.worth_today is None and tool.price]
    if not unknown:
        return None
    return said(Basis.NO_WORTH_TODAY, tools=tuple(unknown))


def tool_rows(rates: SeasonRates) -> list[Row]:
    """Yearly cost of owning each tool of each method."""
    rows = []
    for name, cost in rates.costs.items():
        spent = rates.money(name)
        years = zip(spent.numbers.tools, spent.money.tools, strict=True)
        rows += [_tool_row(cost.totals.method, spent.why_unsure(("ownership",)), tool, year) for tool, year in years]
    return rows


def _tool_row(method: Method, unsure: Said | None, tool: ToolNumbers, year: ToolMoney) -> Row:
    def in_doubt(number: Number, basis: Said | None = None) -> Figure:
        return drawn(number, basis) if unsure is None else Figure(nominal(number), basis, reason=unsure)

    def owned(amount: Number, basis: Said | None = None) -> Figure:
        return tool.why if tool.why is not None else in_doubt(amount, basis)

    hours = drawn(year.hours_per_year, tool.hours_basis)
    if tool.hours_unsure is not None:
        hours = Figure(hours.value, hours.basis, reason=tool.hours_unsure)
    if tool.hours_why is not None:
        hours = not_given(tool.hours_why)
    life = not_given(said(Reason.NONE_NEEDED)) if year.life_years is None else owned(year.life_years, tool.life_basis)
    return Row(
        tool=tool.tool.name,
        method=method.name,
        price=tool.price,
        resale=tool.resale,
        share=hours if tool.hours_why is not None else Figure(100 * nominal(year.share_frac)),
        hours_per_year=hours,
        life_years=tool.why if tool.why is not None else life,
        yearly_cost=owned(year.yearly_cost + year.rent, _how_had(tool, year)),
        avoidable=owned(year.avoidable + year.rent, _all_of_it(tool.tool)),
        machine_rate=owned(year.machine_rate + year.rent),
    )


def _how_had(tool: ToolNumbers, year: ToolMoney) -> Said | None:
    if tool.inputs.rent is not None:
        return said(Basis.RENTED, units=nominal(year.rented_units), per=tool.tool.rent_per)
    return way_of_having(tool.tool) or (None if tool.inputs.price else said(Basis.FREE))


def _all_of_it(tool: Tool) -> Said | None:
    return said(Basis.ALL_OF_IT, why=still_to_buy(tool)) if tool.is_to_pay else None


def money_remarks(costs: Iterable[MethodCost]) -> list[Remark]:
    """Remarks on tools that last less than a year, on assumed repairs, and on tools not said how one has them."""
    remarks: dict[tuple[str, str], Remark] = {}
    not_said: dict[str, None] = {}
    for cost in costs:
        for tool, year in zip(cost.numbers.tools, cost.money.tools, strict=True):
            name, years = tool.tool.name, year.life_years
            if not tool.inputs.price:
                continue
            if years is not None and nominal(years) < 1:
                by_age = tool.inputs.age_limit_years is not None and bool(tool.inputs.age_limit_years <= years)
                life = RowCell("tools.life_years" if by_age else "tools.life_hours", name)
                facts: Facts = {
                    "found": name,
                    "value": f"{nominal(years):.2g}",
                    "method": cost.totals.method.name,
                }
                remarks.setdefault((name, "life"), ("season-tool-worn-out", life, facts))
            if tool.repair_default:
                facts = {
                    "title": said(Told.UPKEEP_OF, tool=name),
                    "value": said(Told.REPAIRS, share=tool.inputs.repair_frac),
                    "source": said(Told.BY_KIND),
                }
                remarks.setdefault((name, "repairs"), ("season-default-used", "", facts))
            if tool.tool.held is None:
                not_said[name] = None
    if not_said:
        facts = {"title": said(Told.HELD_OF, tools=tuple(not_said)), "value": said(Told.TO_BUY), "source": ""}
        return [*remarks.values(), ("season-default-used", "", facts)]
    return list(remarks.values())


def bought_wood_rows(rates: SeasonRates, jobs: Mapping[Word, tuple[str, ...] | Said]) -> list[Row]:
    """A row for each way of doing the whole job; none if bought wood has no price."""
    season = rates.study.season
    price = season.bought_cord_price_per_cord
    if PRICE_ITEM in season.broken:
        bought = not_given(needs(season.broken[PRICE_ITEM]))
    elif price is None:
        return []
    else:
        bought = drawn(price_members(said(Input.PRICE_OF_BOUGHT_CORD), price, rates.design))
    return [_row(rates, best_for, job, bought) for best_for, job in jobs.items()]


def _row(rates: SeasonRates, best_for: Word, job: tuple[str, ...] | Said, bought: Figure) -> Row:
    hours_left, hours_saved, own_cash = _left_and_saved(rates, job)
    cash_more = less(bought, own_cash)
    per_hour = price_of_hour(cash_more, hours_saved)
    not_known = not_given(said(Reason.NOT_KNOWN_OF_BOUGHT))
    return Row(
        best_for=best_for,
        methods=() if isinstance(job, Said) else job,
        cash=bought,
        hours_left=hours_left,
        hours_saved=hours_saved,
        cash_more=cash_more,
        per_hour=per_hour,
        kcal_net=not_known,
        co2e=not_known,
        words=_worth(per_hour, rates.study.season.value_of_time_per_h),
    )


def _left_and_saved(rates: SeasonRates, job: tuple[str, ...] | Said) -> tuple[Figure, Figure, Figure]:
    if isinstance(job, Said):
        return not_given(job), not_given(job), not_given(job)
    left = {totals.method.name for totals in rates.study.totals if tasks()[totals.method.task].is_left_when_bought}
    to_do, saved = [name for name in job if name in left], [name for name in job if name not in left]
    hours_left = _sum_of(rates, to_do, "worker_hours") if to_do else Figure(0.0, said(Basis.NOTHING_LEFT_TIMED))
    return hours_left, _sum_of(rates, saved, "worker_hours"), _sum_of(rates, saved, "cash")


def _sum_of(rates: SeasonRates, methods: Sequence[str], figure_id: str) -> Figure:
    totals = {one.method.name: one for one in rates.study.totals}
    figures = {name: rates.figure(totals[name], figure_id) for name in methods}
    return sum_of(figures, dict.fromkeys(methods, 1.0), of_method)


def _worth(per_hour: Figure, value_of_time: float | None) -> Said | None:
    if per_hour.value is None:
        return None
    if value_of_time is None:
        return said(HourWorth.IF_WORTH_MORE)
    pays = per_hour.value < value_of_time
    agrees = (np.asarray(per_hour.number) < value_of_time) == pays
    what = said(HourWorth.PAYS if pays else HourWorth.DOES_NOT_PAY)
    return as_things_stand(what, None if is_of_unknown_doubt(per_hour) else agrees)
