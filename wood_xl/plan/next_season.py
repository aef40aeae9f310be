"""Items and tables of the plan for next season, with remarks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from wood_xl.choice.verdicts import TaskChoice, Verdict
from wood_xl.data.trade import needed_tasks, tasks
from wood_xl.draws.figure import Figure, Row
from wood_xl.hours.methods import why_no_session
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.sessions import needs
from wood_xl.money.cost_study import CostStudy
from wood_xl.plan.aims import Aim
from wood_xl.plan.crews import Household
from wood_xl.plan.departures import departures
from wood_xl.plan.inputs import PlanInputs, day_number, plan_inputs
from wood_xl.plan.need import need_remarks, seasoned, too_late, volume_by_need
from wood_xl.plan.plan import Plan
from wood_xl.plan.shopping import shopping_list, sum_of_costs
from wood_xl.plan.tables import (
    Items,
    last_session,
    limit_use_rows,
    mix_rows,
    no_plan_items,
    plan_items,
    session_rows,
    volume_rows,
)
from wood_xl.plan.trials import plan_with_trials, trial_pairs, trial_rows, trials_first
from wood_xl.plan.ways_out import ways_out
from wood_xl.reasons import Reason, Remark, Said, said
from wood_xl.records import NextSeason, Season

DAYS_IN_YEAR = 366
TABLES = ("plan_mix", "plan_limits", "plan_volumes", "trials", "plan_sessions", "shopping")


@dataclass(frozen=True)
class NextSeasonTables:
    """Items and tables of the plan, with remarks."""

    items: Items
    tables: Mapping[str, Sequence[Any]]
    remarks: list[Remark] = field(default_factory=list)


def next_season(
    rates: SeasonRates,
    choices: Sequence[tuple[TaskChoice, Verdict]],
    household: Household,
    winter: Sequence[Row],
    drying: Sequence[Row],
) -> NextSeasonTables:
    """Plan next season by the verdicts on its tasks; if there is no plan, the items say why."""
    study = rates.study
    wanted = volume_by_need(study.season.next_season, winter)
    aims = [Aim(choice, verdict) for choice, verdict in choices]
    why, remarks = _why_no_plan(wanted, aims, rates, winter)
    if why:
        return NextSeasonTables(no_plan_items(wanted, why), {table: [] for table in TABLES}, remarks)
    inputs = plan_inputs(wanted, aims, rates, household)
    nobody = [tasks()[name].name for name in inputs.tasks_not_planned]
    if nobody:
        items = no_plan_items(wanted, said(Reason.NO_METHOD_OF, tasks=tuple(nobody)), inputs.left_out())
        remark = ("plan-task-not-planned", "next_season.volume_wanted", {"found": ", ".join(nobody)})
        all_remarks = [*_settings_remarks(wanted, study.season), remark, *_task_remarks(inputs, study)]
        return NextSeasonTables(items, {table: [] for table in TABLES}, all_remarks)
    return _planned(rates, inputs, winter, drying)


def _planned(
    rates: SeasonRates, inputs: PlanInputs, winter: Sequence[Row], drying: Sequence[Row]
) -> NextSeasonTables:
    with_trials = plan_with_trials(inputs, trial_pairs(inputs, rates))
    inputs, plan = with_trials.inputs, with_trials.plan
    goods = shopping_list(plan.by_method, rates, inputs.only_tried(plan.by_method))
    to_buy = sum_of_costs(goods)
    ways = ways_out(inputs, plan)
    tables: dict[str, Sequence[Row]] = {
        "plan_mix": mix_rows(inputs, plan),
        "plan_limits": limit_use_rows(inputs, plan, ways),
        "plan_volumes": volume_rows(inputs, plan),
        "trials": trial_rows(with_trials),
        "plan_sessions": session_rows(inputs, plan),
        "shopping": goods,
    }
    season = rates.study.season
    remarks = [
        *_settings_remarks(inputs.wanted, season),
        *_task_remarks(inputs, rates.study),
        *_outlay_remarks(inputs, plan, to_buy, season.currency),
        *need_remarks(season.next_season, winter),
    ]
    last = last_session(inputs, plan)
    items = plan_items(inputs, plan, ways) | {
        "to_buy": to_buy,
        "departures": departures(inputs, plan, _absent(inputs, rates.study)),
        "trials": trials_first(with_trials),
        "seasoned": seasoned(last, drying),
        "late": too_late(last, drying),
    }
    return NextSeasonTables(items, tables, remarks)


def _why_no_plan(
    wanted: NextSeason, aims: Sequence[Aim], rates: SeasonRates, winter: Sequence[Row]
) -> tuple[Said | None, list[Remark]]:
    if wanted.broken:
        return needs(next(iter(wanted.broken.values()))), []
    if not wanted.filled_n:
        return said(Reason.NOTHING_WANTED), []
    if not wanted.volume_wanted_m3:
        return _no_volume(wanted, winter)
    if not any(aim.choice.ways for aim in aims):
        return why_no_session(rates.study.totals), []
    waits = next((aim.choice.values.waits for aim in aims if aim.choice.values.waits), "")
    waiting = [aim.cells[0] for aim in aims if aim.cells]
    if waits or len(waiting) == len(aims):
        return needs(waits or waiting[0]), []
    return None, []


def _no_volume(wanted: NextSeason, winter: Sequence[Row]) -> tuple[Said, list[Remark]]:
    if wanted.volume_wanted_m3 is not None:
        return said(Reason.STOCK_IS_ENOUGH), []
    unknown = (row["cords"].why for row in winter if row["cords"].value is None)
    lacks: Said = next(unknown, said(Reason.NO_VOLUME_WANTED))
    return lacks, [("plan-no-volume", "next_season.volume_wanted", {"found": lacks})]


def _settings_remarks(wanted: NextSeason, season: Season) -> list[Remark]:
    remarks: list[Remark] = []
    last = max((session.date or "" for session in season.sessions), default="")
    if wanted.start and wanted.ready_by and wanted.ready_by < wanted.start:
        facts = {"found": wanted.ready_by, "expected": wanted.start}
        remarks.append(("plan-dates-reversed", "next_season.ready_by_date", facts))
    elif not wanted.start or not wanted.ready_by:
        missing = "start_date" if not wanted.start else "ready_by_date"
        remarks.append(("plan-no-dates", f"next_season.{missing}", {}))
    elif wanted.ready_by < last:
        remarks.append(("plan-dates-past", "next_season.ready_by_date", {"found": wanted.ready_by, "expected": last}))
    if wanted.start and last and day_number(wanted.start) < day_number(last) - DAYS_IN_YEAR:
        facts = {"found": wanted.start, "expected": last}
        remarks.append(("plan-start-long-past", "next_season.start_date", facts))
    if wanted.hours_per_week is None:
        remarks.append(("plan-no-hours", "next_season.hours_per_week", {}))
    elif wanted.hours_per_week == 0:
        remarks.append(("plan-zero-hours", "next_season.hours_per_week", {}))
    return remarks


def _task_remarks(inputs: PlanInputs, study: CostStudy) -> list[Remark]:
    remarks: list[Remark] = []
    absent = _absent(inputs, study)
    if absent:
        remarks.append(("plan-task-without-method", "", {"found": ", ".join(absent)}))
    # Somebody may count as trained at a tool of the plan by sessions alone.
    without_list = {person.name for person in study.season.people if person.may_use is None}
    if any(without_list & {*crew.crew.people} for crew in inputs.crews if inputs.work(crew.method).powered):
        remarks.append(("plan-trained-by-sessions", "people.may_use", {}))
    for method, lacks in inputs.without_figure.items():
        remarks.append(("plan-method-left-out", "", {"found": method, "what": lacks}))
    for method, price in inputs.too_dear.items():
        amount, limit = (_amount(one, study.season.currency) for one in (price, inputs.wanted.cash_limit or 0.0))
        facts = {"found": method, "value": amount, "expected": limit}
        remarks.append(("plan-tool-over-limit", "next_season.cash_limit", facts))
    return remarks


def _absent(inputs: PlanInputs, study: CostStudy) -> list[str]:
    """Needed tasks that no counted session covers."""
    covered = {*inputs.aims, *(aim.task for aim in inputs.waiting), *_waiting_tasks(study)}
    return [tasks()[name].name for name in needed_tasks() if name not in covered]


def _waiting_tasks(study: CostStudy) -> set[str]:
    """Tasks with a session that waits for a cell; the cell has its own message."""
    tasks = {method.name: method.task for method in study.season.methods}
    waiting = [s for s in study.season.sessions if not s.leave_out and not {"time", "quantity"}.isdisjoint(s.broken)]
    return {tasks[session.method] for session in waiting if session.method in tasks}


def _outlay_remarks(inputs: PlanInputs, plan: Plan, to_buy: Figure, currency: str) -> list[Remark]:
    limit = inputs.wanted.cash_limit
    if limit is None or to_buy.value is None or to_buy.value <= limit or not plan.by_method:
        return []
    facts = {"found": _amount(to_buy.value, currency), "expected": _amount(limit, currency)}
    return [("plan-outlay-over-limit", "next_season.cash_limit", facts)]


def _amount(number: float, currency: str) -> str:
    return f"{number:.0f} {currency}".rstrip()
