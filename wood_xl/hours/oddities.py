"""Remarks on odd sessions, cuts and times. Nothing is left out: whoever was there decides."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence, Set

from wood_xl.data.load import is_outside, value
from wood_xl.data.trade import tasks
from wood_xl.draws.doubt import Predicted, far_rows
from wood_xl.draws.figure import Figure, not_given
from wood_xl.hours.common import wood_of
from wood_xl.hours.equal_terms import EqualSeason
from wood_xl.hours.log_sizes import timed_cuts
from wood_xl.hours.methods import NO_SESSION, MethodTotals, why_no_session
from wood_xl.hours.odd_values import beyond_fences, middle_of_others, pooled_delay_frac, rounded_by_chance
from wood_xl.hours.sessions import SessionFigures
from wood_xl.ids import Recorded
from wood_xl.reasons import Facts, Reason, Remark, RowCell
from wood_xl.records import Tool
from wood_xl.wood.log_slope import usual_times


def odd_remarks(
    totals: Sequence[MethodTotals],
    sessions: Sequence[SessionFigures],
    equal: EqualSeason,
    tools: Mapping[str, Tool],
) -> list[Remark]:
    """Remarks on sessions and cuts far off, on a session that outweighs all others, and on rounded times."""
    remarks = _far_sessions(equal)
    named = {facts["session"] for _, _, facts in remarks}
    for t in totals:
        if t.counted:
            unlike = [*_unlike_sessions(t, named)]
            named |= {facts["session"] for _, _, facts in unlike}
            if not named & {s.session.name for s in t.counted}:
                unlike = [*_too_quick(t, tools)] or [*_too_little_fuel(t)]
            remarks += [*unlike, *_far_cuts(t), *_large_session(t)]
    return remarks + _rounded_times(sessions)


def pooled_delay_figure(totals: Sequence[MethodTotals], sessions: Sequence[SessionFigures]) -> Figure:
    """Delay for each hour of work over all counted sessions, in percent; not given while a session waits."""
    times = [s.time for t in totals for s in t.counted if s.time is not None]
    waiting = (s.state for s in sessions if s.state.id is Reason.NEEDS)
    why = next(waiting, why_no_session(totals))
    if why != NO_SESSION or not math.fsum(t.clock_h - t.delay_h for t in times):
        return not_given(why)
    share = pooled_delay_frac(delays_min=[60 * t.delay_h for t in times], elapsed_min=[60 * t.clock_h for t in times])
    return Figure(100 * share)


def _far_sessions(equal: EqualSeason) -> list[Remark]:
    fits = [fit for task in equal.tasks if (fit := equal.fit(task, Recorded.WORKER_HOURS)) is not None]
    return [_far_session(row, equal.ordered) for row in far_rows(fits)]


def _far_session(far: Predicted, sessions: Sequence[SessionFigures]) -> Remark:
    """Remark on the session farthest off of a row, which may have several of one crew and day."""
    first = sessions[far.row.place]
    of_row = [first]
    if first.session.date:
        of_row = [s for s in sessions if wood_of([s]) != [0] and _work_of(s) == _work_of(first)]
    session = (max if far.times > 1 else min)(of_row, key=_hours_per_cord).session
    times = f"{far.times:.1f}" if far.times > 1 else f"{far.times:.2g}"
    facts = {"session": session.name, "found": session.method, "value": times}
    return "season-session-far-off", RowCell("sessions.elapsed_time", session.name), facts


def _work_of(figures: SessionFigures) -> tuple[str, str | None, set[int | None]]:
    session = figures.session
    return session.method, session.date, {worker.number for worker in session.workers}


def _hours_per_cord(figures: SessionFigures) -> float:
    if figures.time is None or figures.quantity is None:
        raise ValueError(f"session {figures.session.name} counts without time or wood")
    return figures.time.worker_h / figures.quantity.cords


def _unlike_sessions(totals: MethodTotals, named: Set[object]) -> Iterator[Remark]:
    """Sessions whose wood took far more or less time than that of the method's others, if not named already."""
    times = [_hours_per_cord(session) for session in totals.counted]
    if len(times) < 2:
        return
    ordered, limits = sorted(times), "gross.time_of_two" if len(times) == 2 else "gross.time"
    for session, time in zip(totals.counted, times, strict=True):
        ratio = time / middle_of_others(ordered=ordered, own=time)
        if not is_outside(ratio, limits) or session.session.name in named:
            continue
        facts = {"session": session.session.name, "found": totals.method.name, "value": f"{float(f'{ratio:.2g}'):g}"}
        yield "season-session-unlike", RowCell("sessions.elapsed_time", session.session.name), facts


def _too_quick(totals: MethodTotals, tools: Mapping[str, Tool]) -> Iterator[Remark]:
    """A method that made more wood than anybody is likely to: lengths or times may be in another unit."""
    task, name = tasks()[totals.method.task], totals.counted[0].session.name
    kinds = [tools[tool].kind_row for tool in totals.method.tools if tool in tools]
    limit = task.most_by_power if any(kind.is_powered for kind in kinds) else task.most_by_hand
    is_built_for_much = task.is_sawn and any(kind.size == "machine" for kind in kinds)
    if limit is None or "effort" in totals.method.broken or is_built_for_much:
        return  # its tools wait for a mend, or a machine saws as much as it is built for
    made = totals.quantity(lambda q: q.sawn_area_m2 if task.is_sawn else q.stacked_m3)
    times = made / totals.time(lambda t: t.worker_h) / value(limit)
    if times > 1:
        facts: Facts = {"found": totals.method.name, "value": f"{float(f'{times:.2g}'):g}"}
        yield "season-work-too-quick", RowCell("sessions.elapsed_time", name), facts


DRIVEN_BY = (  # attribute of a session, the least that a saw takes for a square meter, and column
    ("fuel_l", "gross.least_fuel_of_area", "sessions.fuel_used"),
    ("electricity_kwh", "gross.least_electricity_of_area", "sessions.electricity_used"),
)


def _too_little_fuel(totals: MethodTotals) -> Iterator[Remark]:
    """A saw that sawed more than its fuel or electricity allows; sums, as a tank may last several sessions."""
    for attribute, least, column in DRIVEN_BY if tasks()[totals.method.task].cuts_to_length else ():
        noted = [
            (s.session.name, amount, s.quantity.sawn_area_m2)
            for s in totals.counted
            if (amount := getattr(s.session, attribute)) is not None and s.quantity is not None
        ]
        used = math.fsum(amount for _, amount, _ in noted)
        needed = math.fsum(area_m2 for *_, area_m2 in noted) * value(least)
        if 0 < used < needed:
            facts: Facts = {"found": totals.method.name, "value": f"{float(f'{needed / used:.2g}'):g}"}
            yield "season-fuel-too-little", RowCell(column, noted[0][0]), facts


def _far_cuts(totals: MethodTotals) -> list[Remark]:
    timed = [(s.session.name, area, time) for s in totals.counted for area, time in timed_cuts([s])]
    if len(timed) < value("outlier.tukey_cuts"):
        return []
    areas, times = [area for _, area, _ in timed], [time for _, _, time in timed]
    usual = usual_times(areas_m2=areas, times_s=times)
    logs = [math.log(time / expected) for time, expected in zip(times, usual, strict=True)]
    return [
        ("season-cut-far-off", "", {"session": timed[i][0], "found": f"{times[i]:.0f}", "value": f"{usual[i]:.0f}"})
        for i in beyond_fences(values=logs)
    ]


def _large_session(totals: MethodTotals) -> list[Remark]:
    place = dominating_session(quantities=wood_of(totals.counted))
    if place is None:
        return []
    session = totals.counted[place].session.name
    facts = {"session": session, "found": totals.method.name}
    return [("season-session-dominates", RowCell("sessions.session", session), facts)]


def _rounded_times(sessions: Sequence[SessionFigures]) -> list[Remark]:
    minutes = [s.session.elapsed_min for s in sessions if s.is_counted and s.session.elapsed_min is not None]
    if len(minutes) < value("heaping.sessions") or rounded_by_chance(minutes=minutes) >= value("heaping.chance"):
        return []
    return [
        ("season-times-rounded", "", {"found": str(sum(m % 5 == 0 for m in minutes)), "value": str(len(minutes))})
    ]


def dominating_session(*, quantities: Sequence[float]) -> int | None:
    """Place of the session with so much of the wood that the others matter little; None if none dominates.

        sessions of equal size that would tell as much = (sum Q)^2 / sum Q^2

    Source: how_sure_defaults, effective number of sessions.

    >>> dominating_session(quantities=[1.0, 1.1, 9.0])
    2
    """
    effective_n = math.fsum(quantities) ** 2 / math.fsum(q * q for q in quantities)
    if effective_n >= value("sessions.dominated") * len(quantities):
        return None
    return max(range(len(quantities)), key=lambda i: quantities[i])
