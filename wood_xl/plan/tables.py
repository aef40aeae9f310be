"""The plan for next season as tables of the results."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from wood_xl.choice.surety import CombinationSurety
from wood_xl.data.cautions import gear_for
from wood_xl.data.load import value
from wood_xl.data.trade import tasks
from wood_xl.draws.figure import Figure, not_given
from wood_xl.plan.calendar import Visit
from wood_xl.plan.crews import MethodCrew
from wood_xl.plan.make import CARBON, CASH, Plan, PlanTask, day_text, left_out, mix_only
from wood_xl.plan.mix import Relaxation
from wood_xl.plan.who_may import LeftOut, is_powered
from wood_xl.reasons import SaidOrText
from wood_xl.records import NextSeason

WEEKDAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
TOTALS = ("worker_hours", "cash", "kcal_net", "co2e")
VOLUMES = ((0.5, "half of it"), (1.0, "as wanted"), (2.0, "twice as much"))
NO_DATES, NO_HOURS, ZERO_HOURS = "no start and no ready-by day", "no hours a week are written", "0 hours a week"
TURNS = ("", "trial day: this first", "trial day: then this")
MOST_WAYS = 3

Row = dict[str, Any]


def stacked_m3(cords: float) -> float:
    """Stacked volume of so many cords."""
    return cords * value("cord.volume_m3")


def no_plan_items(wanted: NextSeason, why: SaidOrText, left_out: Sequence[LeftOut] = ()) -> Row:
    """Items of a plan that cannot be made."""
    none = not_given(why)
    volume = wanted.volume_wanted_m3
    return {
        "volume_wanted": none if volume is None else Figure(volume),
        "volume_planned": none,
        "shortfall": none,
        "start": wanted.start or "",
        "ready_by": wanted.ready_by or "",
        "last_session": why,
        "sessions_n": 0,
        **dict.fromkeys(TOTALS, none),
        "to_buy": none,
        "limits": why,
        "ways": "",
        "trials": "",
        "seasoned": "",
        "sessions": [],
        "left_out": [*left_out],
    }


def plan_items(task: PlanTask, plan: Plan, surety: CombinationSurety, to_buy: Figure, trials: str) -> Row:
    """The plan in short."""
    wanted = stacked_m3(task.cords)
    planned = min(stacked_m3(plan.cords), wanted)
    is_whole = planned >= wanted * (1 - 1e-6)
    return {
        "volume_wanted": Figure(wanted, task.wanted.volume_basis),
        "volume_planned": Figure(wanted if is_whole else planned),
        "shortfall": Figure(0.0 if is_whole else wanted - planned),
        "start": task.wanted.start or "",
        "ready_by": task.wanted.ready_by or "",
        "last_session": day_text(plan.visits[-1].day) if plan.visits else why_no_calendar(task),
        "sessions_n": len(plan.visits or ()),
        **{figure: surety.sum_figure(plan.by_method, figure) for figure in TOTALS},
        "to_buy": to_buy,
        "limits": _limit_words(plan, is_whole=is_whole),
        "ways": _way_words(plan),
        "trials": trials,
        "sessions": [row for visit in plan.visits or () for row in _rows_by_person(visit, task)],
        "left_out": left_out(task),
    }


def _rows_by_person(visit: Visit, task: PlanTask) -> list[Row]:
    """A session of the plan as the document lists it, for each person; who stands in sight is told beside."""
    return [
        {
            "date": day_text(visit.day),
            "person": person,
            "task": task.combinations.tasks[visit.block.task],
            "method": visit.block.method,
            "minutes": visit.minutes,
            "in_sight": visit.in_sight,
            "wear": gear(visit.block.method, task),
        }
        for person in visit.people
    ]


def gear(method: str, task: PlanTask) -> list[str]:
    """What to wear for a method, from head to feet."""
    tools = [task.tools.get(name) for name in task.totals[method].method.tools]
    worn = gear_for([tool.kind if tool else None for tool in tools], task.combinations.methods[method].task)
    return [one.text for one in worn]


def why_no_calendar(task: PlanTask) -> str:
    """Why there are no dated sessions; empty if there can be."""
    if task.window is None:
        return NO_DATES
    if task.wanted.hours_per_week is None:
        return NO_HOURS
    return ZERO_HOURS if not task.wanted.hours_per_week else "no time for any session"


def _limit_words(plan: Plan, *, is_whole: bool) -> str:
    if plan.binding:
        return f"not all of it can be made: {_joined(plan.binding)} would have to be more"
    if not is_whole:
        return "the sessions do not all find a day: begin earlier, or give more hours a week"
    return "all limits are kept" if plan.limits else "no limit is written"


def _way_words(plan: Plan) -> str:
    return "; or ".join(_way(plan, way) for way in plan.ways[:MOST_WAYS])


def _way(plan: Plan, way: Relaxation) -> str:
    parts = []
    for name, needed in way.needed.items():
        before = plan.limits[name]
        parts.append(f"{name} by {100 * (needed / before - 1):.0f} %" if before else f"{name} from none")
    return f"raise {_joined(parts)}"


def _joined(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def mix_rows(task: PlanTask, plan: Plan, surety: CombinationSurety) -> list[Row]:
    """One row for each method of the plan."""
    return [
        {
            "task": tasks()[task.combinations.methods[name].task].name,
            "method": name,
            "volume": Figure(stacked_m3(plan.by_method[name])),
            **{figure: surety.sum_figure({name: plan.by_method[name]}, figure) for figure in TOTALS},
            "who": "; ".join(_crew_words(crew) for crew in task.crews if crew.method == name),
            "wear": "; ".join(gear(name, task)),
        }
        for order in task.combinations.tasks
        for name in task.combinations.methods
        if name in plan.by_method and task.combinations.methods[name].task == order
    ]


def _crew_words(found: MethodCrew) -> str:
    not_known = f"; {_not_known(found)}" if found.rate_not_known else ""
    return f"{_joined(found.crew.people)}: {found.crew.longest_min:.0f} min ({found.limited_by}{not_known})"


def _not_known(found: MethodCrew) -> str:
    of = "" if len(found.crew.people) == 1 else f" of {_joined(found.rate_not_known)}"
    return f"heart rate{of} not known"


def session_rows(task: PlanTask, plan: Plan) -> list[Row]:
    """One row for each session, by day."""
    crews = {(crew.method, crew.crew.people): crew for crew in task.crews}
    return [_session_row(visit, crews[visit.block.method, visit.people], task) for visit in plan.visits or ()]


def _session_row(visit: Visit, crew: MethodCrew, task: PlanTask) -> Row:
    return {
        "date": day_text(visit.day),
        "weekday": WEEKDAY_NAMES[visit.day % len(WEEKDAY_NAMES)],
        "task": tasks()[task.combinations.tasks[visit.block.task]].name,
        "method": visit.block.method,
        "who": _joined(visit.people),
        "minutes": Figure(visit.minutes),
        "in_sight": f"{visit.in_sight}, does nothing else" if visit.in_sight else "",
        "volume": Figure(stacked_m3(visit.cords)),
        "task_volume": Figure(stacked_m3(visit.task_cords)),
        "mind": _mind(visit, crew, task),
    }


def _mind(visit: Visit, crew: MethodCrew, task: PlanTask) -> str:
    tools = [task.tools.get(name) for name in task.totals[visit.block.method].method.tools]
    words = [TURNS[visit.turn]] if visit.turn else []
    if any(tool and (tool.sound_level_dba or 0) >= value("noise.niosh.threshold") for tool in tools):
        words.append("ear protectors")
    unknown = [name for name in task.totals[visit.block.method].method.tools if name not in task.tools]
    if len(visit.people) == 1 and not visit.in_sight and (unknown or any(is_powered(tool) for tool in tools)):
        words.append("somebody within call")
    if crew.rate_not_known:
        words.append(_not_known(crew))
    return "; ".join(words)


def limit_use_rows(task: PlanTask, plan: Plan) -> list[Row]:
    """One row for each limit: what the plan takes of it, and how far it would have to be raised alone."""
    alone = {name: way for way in plan.ways for name in way.needed if len(way.needed) == 1}
    rows = [
        {
            "limit": name,
            "used": Figure(100 * plan.used.get(name, 0.0) / most) if most else not_given("the limit is 0"),
            "raise_alone": _raise(plan, name, alone.get(name)),
        }
        for name, most in plan.limits.items()
    ]
    for name, written, words in (
        (CASH, task.wanted.cash_limit, "cash"),
        (CARBON, task.wanted.carbon_limit_kg, "CO2e"),
    ):
        if written is not None and name not in plan.limits:
            why = not_given(f"not checked: no compared combination has its {words}")
            rows.append({"limit": name, "used": why, "raise_alone": why})
    return rows


def _raise(plan: Plan, name: str, way: Relaxation | None) -> Figure:
    if not plan.binding:
        return not_given("not needed")
    if way is None:
        return not_given("would not be enough alone")
    before = plan.limits[name]
    return Figure(100 * (way.needed[name] / before - 1)) if before else not_given("the limit is 0")


def volume_rows(task: PlanTask, surety: CombinationSurety) -> list[Row]:
    """The least-cost mix for half, all and twice of what is wanted."""
    rows = []
    for factor, words in VOLUMES:
        found = mix_only(task, task.cords * factor)
        made = Figure(stacked_m3(found.cords)) if found.cords else not_given("no limit allows any")
        totals = {f: surety.sum_figure(found.by_method, f) if found.cords else made for f in TOTALS}
        rows.append(
            {
                "what": words,
                "volume": Figure(stacked_m3(task.cords * factor)),
                "made": made,
                **totals,
                "mix": _mix_words(task, found.by_method, found.cords),
                "limits": f"held back by {_joined(found.binding)}" if found.binding else "within all limits",
            }
        )
    return rows


def _mix_words(task: PlanTask, by_method: Mapping[str, float], cords: float) -> str:
    parts = []
    for order in task.combinations.tasks:
        for name, made in by_method.items():
            percent = round(100 * made / cords)
            if task.combinations.methods[name].task == order and percent:
                parts.append(name if percent == 100 else f"{name} {percent} %")
    return ", ".join(parts) or "nothing"
