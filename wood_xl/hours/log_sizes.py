"""Log size of each method's sessions, and the time of a cut by its area."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from wood_xl.data.trade import tasks
from wood_xl.draws.figure import Figure, Row, not_given
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.sessions import SessionFigures
from wood_xl.reasons import Reason, Refused, Said, said, several
from wood_xl.records import Cut
from wood_xl.verdicts import FittedTo
from wood_xl.wood.geometry import area_of_cut_m2
from wood_xl.wood.log_slope import CutTime, quadratic_mean_diameter_m, time_of_session_totals, time_of_single_cuts

S_PER_MIN, S_PER_H = 60.0, 3600.0
NOT_FITTED = said(Reason.NOT_FITTED)


def log_size_rows(totals: Sequence[MethodTotals]) -> list[Row]:
    """Log size of each bucking method whose counted sessions all have cuts."""
    return [
        _row(t)
        for t in totals
        if tasks()[t.method.task].cuts_to_length and t.counted and all(s.session.cuts for s in t.counted)
    ]


def timed_cuts(sessions: Sequence[SessionFigures]) -> list[tuple[float, float]]:
    """Area [m2] and time [s] of each timed cut, in order."""
    return [
        (area_of_cut_m2(cut), cut.cut_time_s)
        for session in sessions
        for cut in session.session.cuts
        if cut.cut_time_s is not None
    ]


def _tally(cuts: Sequence[Cut]) -> tuple[float, float]:
    return float(sum(cut.cuts_n for cut in cuts)), math.fsum(cut.cuts_n * area_of_cut_m2(cut) for cut in cuts)


@lru_cache(maxsize=1024)  # each session that was left out asks again
def diameter_m(cuts: tuple[Cut, ...]) -> float:
    """Diameter of a log with the mean area of the cuts; two diameters of a cut count as a circle of equal area."""
    diameters = [math.sqrt(4 * area_of_cut_m2(cut) / math.pi) for cut in cuts]
    return quadratic_mean_diameter_m(diameters_m=diameters, counts_n=[cut.cuts_n for cut in cuts])


def _cut_time(sessions: Sequence[SessionFigures]) -> tuple[CutTime | Said, Said | None]:
    """Time of a cut by timed single cuts; without them, by the totals of the sessions if they suffice."""
    timed = timed_cuts(sessions)
    try:
        fit = time_of_single_cuts(areas_m2=[area for area, _ in timed], times_s=[time for _, time in timed])
    except Refused as refused:
        whys = [refused.why] if timed else []
    else:
        return fit, said(FittedTo.CUTS, n=len(timed), scatter_s=fit.fit.residual_sd)
    tallies = [_tally(s.session.cuts) for s in sessions]
    seconds = [s.time.worker_h * S_PER_H for s in sessions if s.time is not None]
    try:
        fit = time_of_session_totals(
            cuts_n=[n for n, _ in tallies], areas_m2=[a for _, a in tallies], times_s=seconds
        )
    except Refused as refused:
        whys.append(refused.why)
        return several(whys) or NOT_FITTED, None
    return fit, said(FittedTo.SESSIONS, n=len(sessions), scatter_min=fit.fit.residual_sd / S_PER_MIN)


def _row(totals: MethodTotals) -> Row:
    cuts_n, area_m2 = _tally([cut for session in totals.counted for cut in session.session.cuts])
    diameters_m = [diameter_m(session.session.cuts) for session in totals.counted]
    cut, fitted_to = _cut_time(totals.counted)
    return Row(
        method=totals.method.name,
        task=totals.method.task,
        fitted_to=said(FittedTo.NOTHING, why=cut) if isinstance(cut, Said) else fitted_to,
        cuts_n=round(cuts_n),
        mean_diameter=Figure(100 * math.sqrt(4 * area_m2 / (math.pi * cuts_n))),
        smallest=Figure(100 * min(diameters_m)),
        largest=Figure(100 * max(diameters_m)),
        per_cut=_coefficient(cut, 0),
        per_m2=_coefficient(cut, 1),
    )


def _coefficient(cut: CutTime | Said, part: int) -> Figure:
    if isinstance(cut, Said):
        return not_given(NOT_FITTED)
    low, high = cut.fit.interval((1.0, 0.0) if part == 0 else (0.0, 1.0))
    return Figure(cut.fit.coefficients[part], None, low, high)
