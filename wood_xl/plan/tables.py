"""The plan for next season as tables of the results."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from wood_xl.data.cautions import gear_for
from wood_xl.data.load import value
from wood_xl.data.trade import tasks
from wood_xl.draws.figure import Figure, Row, not_given, with_more
from wood_xl.plan.calendar import Visit
from wood_xl.plan.crews import MethodCrew
from wood_xl.plan.departures import by_the_quickest
from wood_xl.plan.inputs import LIMIT_OF, NEAR, NOT_CHECKED, PlanInputs, day_text
from wood_xl.plan.plan import Plan, mix_only
from wood_xl.plan.ways_out import WayOut
from wood_xl.plan.who_may import LeftOut
from wood_xl.reasons import Listing, Reason, Said, said, several
from wood_xl.records import NextSeason
from wood_xl.verdicts import HowMuch, Limit, LimitsKept, Mind, MixOf, NoCalendar, Raise, Weekday, Who

WEEKDAYS = tuple(Weekday)
TOTALS = ("worker_hours", "cash", "kcal_net", "co2e")
VOLUMES = ((0.5, HowMuch.HALF), (1.0, HowMuch.ALL), (2.0, HowMuch.TWICE))
TURNS = {1: Mind.TRIAL_FIRST, 2: Mind.TRIAL_THEN}

Items = dict[str, Any]


def stacked_m3(cords: float) -> float:
    """Stacked volume of cords."""
    return cords * value("cord.volume_m3")


def no_plan_items(wanted: NextSeason, why: Said, left_out: Sequence[LeftOut] = ()) -> Items:
    """Items of a plan that cannot be made."""
    none = not_given(why)
    volume = wanted.volume_wanted_m3
    return {
        "volume_wanted": none if volume is None else Figure(volume),
        "start": wanted.start or "",
        "ready_by": wanted.ready_by or "",
        "last_session": why,
        "sessions_n": 0,
        **dict.fromkeys((*TOTALS, "volume_planned", "shortfall", "to_buy"), none),
        "limits": why,
        **dict.fromkeys(("departures", "quickest", "ways", "trials", "seasoned", "late")),
        "sessions": [],
        "left_out": [*left_out],
    }


def plan_items(inputs: PlanInputs, plan: Plan, ways: Sequence[WayOut]) -> Items:
    """The plan in short."""
    wanted = stacked_m3(inputs.cords)
    planned = min(stacked_m3(plan.cords), wanted)
    is_whole = planned >= wanted * (1 - 1e-6)
    return {
        "volume_wanted": Figure(wanted, inputs.wanted.volume_basis),
        "volume_planned": Figure(wanted if is_whole else planned),
        "shortfall": Figure(0.0 if is_whole else wanted - planned),
        "start": inputs.wanted.start or "",
        "ready_by": inputs.wanted.ready_by or "",
        "last_session": last_session(inputs, plan),
        "sessions_n": len(plan.visits or ()),
        **_totals(inputs, plan),
        "quickest": by_the_quickest(inputs),
        "limits": _limits_kept(inputs, plan, is_whole=is_whole),
        "ways": None if is_whole else _ways(inputs, plan, ways),
        "sessions": [
            row for visit, mind in _visits_with_notes(inputs, plan) for row in _items_of(visit, mind, inputs)
        ],
        "left_out": [*inputs.left_out(), *_idle(inputs, plan)],
    }


def _totals(inputs: PlanInputs, plan: Plan, of: Collection[str] | None = None) -> dict[str, Figure]:
    """Totals of all methods of a plan or of some; cash includes rent on its own days."""
    made = {name: cords for name, cords in plan.by_method.items() if of is None or name in of}
    totals = {figure: inputs.sum_figure(made, figure) for figure in TOTALS}
    rent = inputs.rent_more(plan.by_method, plan.visits, of)
    return totals | {"cash": with_more(totals["cash"], rent)}


def last_session(inputs: PlanInputs, plan: Plan) -> str | Said:
    """Date of the last session, or why no session has a date."""
    if plan.visits:
        return day_text(plan.visits[-1].day)
    if inputs.window is None:
        return _no_days(inputs.wanted)
    if inputs.wanted.hours_per_week is None:
        return said(NoCalendar.NO_HOURS)
    return said(NoCalendar.NO_TIME if inputs.wanted.hours_per_week else NoCalendar.ZERO_HOURS)


def _items_of(visit: Visit, mind: Said | None, inputs: PlanInputs) -> list[Items]:
    """Items of a session for each of its people."""
    return [
        {
            "date": day_text(visit.day),
            "person": person,
            "task": [*inputs.aims][visit.block.task],
            "method": visit.block.method,
            "minutes": visit.minutes,
            "in_sight": visit.in_sight,
            "mind": mind,
            "wear": gear(visit.block.method, inputs),
        }
        for person in visit.people
    ]


def gear(method: str, inputs: PlanInputs) -> list[str]:
    """Gear for a method, from head to feet."""
    worn = gear_for([tool.kind if tool else None for tool in inputs.tools_of(method)], inputs.task_of(method))
    return [one.text for one in worn]


def _limits_kept(inputs: PlanInputs, plan: Plan, *, is_whole: bool) -> Said:
    if plan.binding:
        return said(LimitsKept.TOO_TIGHT, limits=plan.binding)
    if not is_whole:
        return said(LimitsKept.NO_DAY)
    unchecked = tuple(_unchecked(inputs))
    if unchecked:
        return said(LimitsKept.KEPT_BUT if inputs.limits else LimitsKept.UNCHECKED, limits=unchecked)
    return said(LimitsKept.KEPT if inputs.limits else LimitsKept.NONE_WRITTEN)


def _unchecked(inputs: PlanInputs) -> dict[Said, Said]:
    figures = [figure for figure in inputs.written_limits if figure not in inputs.checked_limits]
    unchecked = {LIMIT_OF[figure]: said(NOT_CHECKED[figure]) for figure in figures}
    if inputs.window is None and inputs.wanted.hours_per_week is not None:  # no weeks to count
        unchecked[said(Limit.HOURS_A_WEEK)] = _no_days(inputs.wanted)
    return unchecked


def _no_days(wanted: NextSeason) -> Said:
    return said(NoCalendar.REVERSED if wanted.start and wanted.ready_by else NoCalendar.NO_DATES)


def _idle(inputs: PlanInputs, plan: Plan) -> list[LeftOut]:
    busy = {person for visit in plan.visits or () for person in visit.people}
    if plan.visits is None:
        busy = {person for crew in inputs.crews if crew.method in plan.by_method for person in crew.crew.people}
    return inputs.idle(plan.by_method, busy)


def _ways(inputs: PlanInputs, plan: Plan, ways: Sequence[WayOut]) -> Said:
    """The ways out, smallest change first, and what can be made without any."""
    sentences = tuple(way.sentence for way in sorted(ways, key=lambda way: way.raised_frac))
    parts = [said(Raise.ONE_OF, ways=sentences) if sentences else said(Raise.NONE_ALONE)]
    if len(sentences) == 1:
        parts = [said(Raise.THIS_ALONE, ways=sentences[0])]
    if plan.cords:
        parts.append(said(Raise.FEWER, cords=plan.cords, wanted=inputs.cords))
    if plan.coarse:
        parts.append(said(Raise.COARSE, cords=plan.coarse))
    return said(Listing.SENTENCES, parts=tuple(parts))


def mix_rows(inputs: PlanInputs, plan: Plan) -> list[Row]:
    """One row for each method of the plan."""
    return [
        Row(
            task=tasks()[order].name,
            method=name,
            volume=Figure(stacked_m3(plan.by_method[name])),
            who=several([_who_and_how_long(crew) for crew in inputs.crews if crew.method == name]),
            wear=said(Listing.SEMICOLONS, parts=tuple(gear(name, inputs))),
            **_totals(inputs, plan, (name,)),
        )
        for order in inputs.aims
        for name in inputs.tried_methods
        if name in plan.by_method and inputs.task_of(name) == order
    ]


def _who_and_how_long(found: MethodCrew) -> Said:
    people, minutes = found.crew.people, found.crew.longest_min
    facts: dict[str, Any] = {"people": people, "minutes": minutes, "limited_by": found.limited_by}
    if not found.rate_not_known:
        return said(Who.SO_LONG, **facts)
    return said(Who.SO_LONG_WITHOUT_RATE, **facts, not_known=_not_known(found))


def _not_known(found: MethodCrew) -> Said:
    if len(found.crew.people) == 1:
        return said(Mind.RATE_NOT_KNOWN)
    return said(Mind.RATE_OF_NOT_KNOWN, people=found.rate_not_known)


def session_rows(inputs: PlanInputs, plan: Plan) -> list[Row]:
    """One row for each session, by day."""
    return [_session_row(visit, mind, inputs) for visit, mind in _visits_with_notes(inputs, plan)]


def _session_row(visit: Visit, mind: Said | None, inputs: PlanInputs) -> Row:
    return Row(
        date=day_text(visit.day),
        who=said(Who.TOGETHER, people=visit.people),
        weekday=WEEKDAYS[visit.day % len(WEEKDAYS)],
        task=tasks()[[*inputs.aims][visit.block.task]].name,
        method=visit.block.method,
        minutes=Figure(visit.minutes),
        in_sight=said(Who.IN_SIGHT, person=visit.in_sight) if visit.in_sight else None,
        volume=Figure(stacked_m3(visit.cords)),
        task_volume=Figure(stacked_m3(visit.task_cords)),
        mind=mind,
    )


def _visits_with_notes(inputs: PlanInputs, plan: Plan) -> list[tuple[Visit, Said | None]]:
    """Sessions by day, each with what to mind."""
    crews = {(crew.method, crew.crew.people): crew for crew in inputs.crews}
    there: dict[int, set[str]] = {}
    for visit in plan.visits or ():
        there.setdefault(visit.day, set()).update(visit.people, filter(None, [visit.in_sight]))
    return [
        (visit, _mind(visit, crews[visit.block.method, visit.people], len(there[visit.day]) == 1, inputs))
        for visit in plan.visits or ()
    ]


def _mind(visit: Visit, crew: MethodCrew, is_alone: bool, inputs: PlanInputs) -> Said | None:
    work, tools = inputs.work(visit.block.method), inputs.tools_of(visit.block.method)
    parts = [said(TURNS[visit.turn])] if visit.turn else []
    if any(tool and (tool.sound_level_dba or 0) >= value("noise.niosh.threshold") for tool in tools):
        parts.append(said(Mind.EAR_PROTECTORS))
    if tasks()[work.task].is_swung and not work.is_powered:
        parts.append(said(Mind.OUT_OF_THE_SWING))
    if is_alone or (len(visit.people) == 1 and not visit.in_sight and work.is_powered):
        parts.append(said(Mind.WITHIN_CALL))
    if crew.under_age:
        parts.append(said(Mind.ADULT_NEAR))
    if crew.rate_not_known:
        parts.append(_not_known(crew))
    return several(parts)


def limit_use_rows(inputs: PlanInputs, plan: Plan, ways: Sequence[WayOut]) -> list[Row]:
    """One row for each limit: the share used, and the raise that would be enough by itself."""
    alone = {way.limit: way for way in ways if way.limit is not None}
    is_whole = plan.cords >= inputs.cords * (1 - NEAR)
    zero = not_given(said(Reason.LIMIT_IS_ZERO))
    rows = [
        Row(
            limit=limit,
            used=Figure(100 * plan.used.get(limit, 0.0) / most) if most else zero,
            raise_alone=_raise(alone.get(limit), is_whole=is_whole),
        )
        for limit, most in inputs.limits.items()
    ]
    unchecked = _unchecked(inputs).items()
    return rows + [Row(limit=limit, used=not_given(why), raise_alone=not_given(why)) for limit, why in unchecked]


def _raise(way: WayOut | None, *, is_whole: bool) -> Figure:
    if is_whole:
        return not_given(said(Reason.NOT_NEEDED))
    if way is None:
        return not_given(said(Reason.NOT_ENOUGH_ALONE))
    is_finite = math.isfinite(way.raised_frac)
    return Figure(100 * way.raised_frac) if is_finite else not_given(said(Reason.LIMIT_IS_ZERO))


def volume_rows(inputs: PlanInputs, plan: Plan) -> list[Row]:
    """The least-cost mix for half, all and twice the wanted wood; rented days are as full as in the plan."""
    rows, within = [], LimitsKept.WITHIN_CHECKED if _unchecked(inputs) else LimitsKept.WITHIN
    for factor, what in VOLUMES:
        is_plan = factor == 1.0 and bool(inputs.rents and plan.visits) and not inputs.trials
        mixed = plan if is_plan else mix_only(inputs, factor)
        wanted = inputs.cords * factor
        is_whole = mixed.cords >= wanted * (1 - NEAR)
        made = not_given(said(Reason.NO_LIMIT_ALLOWS))
        if mixed.cords:
            made = Figure(stacked_m3(wanted if is_whole else mixed.cords))
        totals = _totals(inputs, mixed) if mixed.cords else dict.fromkeys(TOTALS, made)
        if mixed is not plan and mixed.cords and (rented := _rented(inputs, plan)) and plan.visits:
            more = inputs.rent_more(plan.by_method, plan.visits) * (_rented(inputs, mixed) / rented)
            totals["cash"] = with_more(inputs.sum_figure(mixed.by_method, "cash"), more)
        kept = said(within if is_whole else LimitsKept.NO_DAY)
        rows.append(
            Row(
                what=what,
                volume=Figure(stacked_m3(wanted)),
                made=made,
                mix=_mix(inputs, mixed.by_method, mixed.cords),
                **totals,
                limits=said(LimitsKept.HELD_BACK, limits=mixed.binding) if mixed.binding else kept,
            )
        )
    return rows


def _rented(inputs: PlanInputs, plan: Plan) -> float:
    """Cords that a plan makes with rented tools."""
    return math.fsum(made for name, made in plan.by_method.items() if name in inputs.rented)


def _mix(inputs: PlanInputs, by_method: Mapping[str, float], cords: float) -> Said:
    parts: list[str | Said] = []
    for order in inputs.aims:
        for name, made in by_method.items():
            percent = round(100 * made / cords)
            if inputs.task_of(name) == order and percent:
                parts.append(name if percent == 100 else said(MixOf.PART, method=name, percent=percent))
    return said(MixOf.PARTS, parts=tuple(parts)) if parts else said(MixOf.NOTHING)
