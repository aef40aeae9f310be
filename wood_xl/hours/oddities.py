"""Values that do not look like the others. They are pointed out; whoever was there decides."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence

from wood_xl.data.load import value
from wood_xl.draws.figure import Figure, not_given
from wood_xl.draws.moderated import dominating_session, ratio_of_totals
from wood_xl.hours.log_sizes import timed_cuts
from wood_xl.hours.methods import NO_SESSION, MethodTotals
from wood_xl.hours.odd_values import beyond_fences, farthest_value, pooled_delay_frac, rounded_by_chance
from wood_xl.hours.rates import method_rate
from wood_xl.hours.sessions import SessionFigures
from wood_xl.reasons import Refused, Said
from wood_xl.records import Season
from wood_xl.remark import Remark, RowCell
from wood_xl.wood.log_slope import time_of_single_cuts


def odd_remarks(totals: Sequence[MethodTotals], sessions: Sequence[SessionFigures], season: Season) -> list[Remark]:
    """Sessions and cuts far off, sessions that outweigh all others, and times rounded to 5 minutes.

    Source: how_sure_defaults, nothing is left out by the program.
    """
    remarks: list[Remark] = []
    for t in totals:
        if t.counted:
            remarks += [*_far_session(t, season), *_far_cuts(t), *_large_session(t, season)]
    return remarks + _rounded_times(sessions)


def pooled_delay_figure(sessions: Sequence[SessionFigures]) -> Figure:
    """Delay for each hour of work, all counted sessions together, in per cent."""
    times = [s.time for s in sessions if s.is_counted and s.time is not None]
    if not math.fsum(t.clock_h - t.delay_h for t in times):
        return not_given(NO_SESSION)
    share = pooled_delay_frac(delays_min=[60 * t.delay_h for t in times], elapsed_min=[60 * t.clock_h for t in times])
    return Figure(100 * share)


def _far_session(totals: MethodTotals, season: Season) -> list[Remark]:
    found = method_rate(totals, "worker_hours", season)
    rates = [] if isinstance(found, Said) else found.by_session
    if len(rates) < value("outlier.grubbs_sessions"):
        return []
    far = farthest_value(values=[math.log(rate) for rate in rates])
    if not far.is_far:
        return []
    others = statistics.fmean(math.log(rate) for i, rate in enumerate(rates) if i != far.place)
    times = rates[far.place] / math.exp(others)
    session = totals.counted[far.place].session.name
    facts = {"session": session, "found": totals.method.name, "value": f"{times:.1f}"}
    return [("season-session-far-off", RowCell("sessions.elapsed_time", session), facts)]


def _far_cuts(totals: MethodTotals) -> list[Remark]:
    """Timed cuts far from what their area takes with this method."""
    timed = [(s.session.name, area, time) for s in totals.counted for area, time in timed_cuts([s])]
    if len(timed) < value("outlier.tukey_cuts"):
        return []
    areas, times = [area for _, area, _ in timed], [time for _, _, time in timed]
    usual = _usual_times(areas, times)
    logs = [math.log(time / expected) for time, expected in zip(times, usual, strict=True)]
    return [
        ("season-cut-far-off", "", {"session": timed[i][0], "found": f"{times[i]:.0f}", "value": f"{usual[i]:.0f}"})
        for i in beyond_fences(values=logs)
    ]


def _usual_times(areas: list[float], times: list[float]) -> list[float]:
    """By a fit to the cuts; where their sizes do not allow one, by the area alone."""
    try:
        cut = time_of_single_cuts(areas_m2=areas, times_s=times)
    except Refused:
        pass
    else:
        fitted = [cut.fit.combined((1.0, area))[0] for area in areas]
        if min(fitted) > 0:
            return fitted
    per_area = ratio_of_totals(amounts=times, quantities=areas)
    return [per_area * area for area in areas]


def _large_session(totals: MethodTotals, season: Season) -> list[Remark]:
    found = method_rate(totals, "worker_hours", season)
    place = None if isinstance(found, Said) else dominating_session(quantities=found.quantities)
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
