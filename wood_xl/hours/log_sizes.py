"""Log size of each method's sessions, and what one cut and its area take."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

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


@dataclass(frozen=True)
class LogSize:
    """Logs of one method.

    cuts_n, area_m2: of all counted sessions.
    session_diameters_m: quadratic mean diameter of each counted session.
    cut_time: in seconds, or why it cannot be told.
    fitted_to: what the time was fitted to; None if it was not.
    """

    method: str
    task: str
    cuts_n: float
    area_m2: float
    session_diameters_m: tuple[float, ...]
    cut_time: CutTime | Said
    fitted_to: Said | None

    @property
    def mean_diameter_m(self) -> float:
        """Quadratic mean diameter of all cuts."""
        return math.sqrt(4 * self.area_m2 / (math.pi * self.cuts_n))


def log_sizes(totals: Sequence[MethodTotals]) -> dict[str, LogSize]:
    """Log size of every bucking method whose counted sessions all have cuts, by name.

    Source: how_sure_defaults, log size.
    """
    return {
        t.method.name: _log_size(t)
        for t in totals
        if tasks()[t.method.task].cuts_to_length and t.counted and all(s.session.cuts for s in t.counted)
    }


def log_size_rows(sizes: dict[str, LogSize]) -> list[Row]:
    """One row for each method whose logs are known."""
    return [_row(size) for size in sizes.values()]


def timed_cuts(sessions: Sequence[SessionFigures]) -> list[tuple[float, float]]:
    """Area [m2] and time [s] of every cut that was timed, in order."""
    return [
        (area_of_cut_m2(cut), cut.cut_time_s)
        for session in sessions
        for cut in session.session.cuts
        if cut.cut_time_s is not None
    ]


def _tally(cuts: Sequence[Cut]) -> tuple[float, float]:
    return float(sum(cut.cuts_n for cut in cuts)), math.fsum(cut.cuts_n * area_of_cut_m2(cut) for cut in cuts)


def diameter_m(cuts: Sequence[Cut]) -> float:
    """Diameter of the cut of mean area; of the circle of the same area where two diameters were taken."""
    diameters = [math.sqrt(4 * area_of_cut_m2(cut) / math.pi) for cut in cuts]
    return quadratic_mean_diameter_m(diameters_m=diameters, counts_n=[cut.cuts_n for cut in cuts])


def _log_size(totals: MethodTotals) -> LogSize:
    cuts_n, area_m2 = _tally([cut for session in totals.counted for cut in session.session.cuts])
    cut_time, fitted_to = _cut_time(totals.counted)
    diameters = tuple(diameter_m(s.session.cuts) for s in totals.counted)
    return LogSize(totals.method.name, totals.method.task, cuts_n, area_m2, diameters, cut_time, fitted_to)


def _cut_time(sessions: Sequence[SessionFigures]) -> tuple[CutTime | Said, Said | None]:
    """Timed single cuts tell best; without them the totals of the sessions may."""
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


def _row(size: LogSize) -> Row:
    cut = size.cut_time
    return Row(
        method=size.method,
        task=size.task,
        fitted_to=said(FittedTo.NOTHING, why=cut) if isinstance(cut, Said) else size.fitted_to,
        cuts_n=round(size.cuts_n),
        mean_diameter=Figure(100 * size.mean_diameter_m),
        smallest=Figure(100 * min(size.session_diameters_m)),
        largest=Figure(100 * max(size.session_diameters_m)),
        per_cut=_coefficient(cut, 0),
        per_m2=_coefficient(cut, 1),
    )


def _coefficient(cut: CutTime | Said, part: int) -> Figure:
    if isinstance(cut, Said):
        return not_given(NOT_FITTED)
    low, high = cut.fit.interval((1.0, 0.0) if part == 0 else (0.0, 1.0))
    return Figure(cut.fit.coefficients[part], None, low, high)
