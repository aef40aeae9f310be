"""Practice from session to session and fatigue within one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from wood_xl.data.load import value
from wood_xl.draws.compare import LogEstimate, mean_of_logs
from wood_xl.draws.figure import Figure, TableRow, not_given
from wood_xl.hours.learning import Trend, second_half_factor, trend_of_rates
from wood_xl.hours.log_sizes import timed_cuts
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.rates import method_rate, rate_figure
from wood_xl.hours.sessions import SessionFigures
from wood_xl.reasons import Reason, Said, said
from wood_xl.records import Season
from wood_xl.remark import Facts
from wood_xl.verdicts import Practised

Remark = tuple[str, str, Facts]

FIGURE = "worker_hours"
TO_FIT = 3  # sessions that a trend needs to have any scatter about it


@dataclass(frozen=True)
class Practice:
    """What the order of a method's sessions and of their cuts tells.

    trend: of worker hours per cord; None with too few sessions.
    later_hours: worker hours per cord of the last half of the sessions; not given unless a trend is shown.
    second_half: time of the second half of the cuts over the first; None without timed cuts in two sessions.
    halves_n: sessions with enough timed cuts.
    """

    totals: MethodTotals
    trend: Trend | None
    words: Practised
    later_hours: Figure
    second_half: LogEstimate | None
    halves_n: int


def practices(totals: list[MethodTotals], season: Season) -> list[Practice]:
    """Practice of every method with a counted session.

    Source: how_sure_defaults, learning and fatigue.
    """
    return [_practice(t, season) for t in totals if t.counted]


@dataclass(frozen=True, eq=False)
class PracticeRow(TableRow):
    """What the order of a method's sessions and of their cuts tells."""

    table: ClassVar[str] = "practice"
    method: str
    task: str
    words: Practised
    sessions_n: int
    per_doubling: Figure
    by_chance: Figure
    later_hours: Figure
    timed_sessions_n: int
    second_half: Figure


def practice_rows(found: list[Practice]) -> list[PracticeRow]:
    """One row for each method."""
    return [_row(practice) for practice in found]


def practice_remarks(found: list[Practice]) -> list[Remark]:
    """Trends that are shown: figures of a beginner and of a practised hand do not compare."""
    remarks: list[Remark] = []
    for practice in found:
        name = practice.totals.method.name
        if practice.later_hours.value is not None:
            remarks.append(("season-trend-shown", "", {"found": name, "what": said(practice.words)}))
        if practice.second_half is not None and practice.second_half.interval()[0] > 1:
            more = f"{100 * (practice.second_half.value - 1):.0f} %"
            remarks.append(("season-tired", "", {"found": name, "value": more}))
    return remarks


def _practice(totals: MethodTotals, season: Season) -> Practice:
    in_order = sorted(totals.counted, key=lambda s: s.session.date or "")  # a day keeps the order of the notes
    ordered = replace(totals, counted=tuple(in_order))
    found = method_rate(ordered, FIGURE, season)
    rates = [] if isinstance(found, Said) else found.by_session
    trend = trend_of_rates(rates=rates) if len(rates) >= TO_FIT else None
    words, later = Practised.TOO_FEW, not_given(said(Reason.NO_TREND))
    if trend is not None and len(rates) >= value("learning.sessions"):
        words = Practised.NO_TREND
        if trend.by_chance_frac < value("learning.level"):
            words = Practised.QUICKER if trend.concordance < 0 else Practised.SLOWER
            later = rate_figure(replace(totals, counted=tuple(in_order[len(rates) // 2 :])), FIGURE, season)
    factors = [factor for factor in map(_second_half, totals.counted) if factor is not None]
    second_half = mean_of_logs(values=factors) if len(factors) > 1 else None
    return Practice(totals, trend, words, later, second_half, len(factors))


def _second_half(session: SessionFigures) -> float | None:
    timed = timed_cuts([session])
    if len(timed) < value("fatigue.cuts"):
        return None
    return second_half_factor(areas_m2=[area for area, _ in timed], times_s=[time for _, time in timed])


def _row(practice: Practice) -> PracticeRow:
    trend, half = practice.trend, practice.second_half
    missing = not_given(said(Reason.TOO_FEW_SESSIONS))
    return PracticeRow(
        method=practice.totals.method.name,
        task=practice.totals.method.task,
        words=practice.words,
        sessions_n=len(practice.totals.counted),
        per_doubling=missing if trend is None else _percent(trend.per_doubling),
        by_chance=missing if trend is None else Figure(100 * trend.by_chance_frac),
        later_hours=practice.later_hours,
        timed_sessions_n=practice.halves_n,
        second_half=not_given(said(Reason.NEEDS_TIMED_CUTS)) if half is None else _percent(half),
    )


def _percent(factor: LogEstimate) -> Figure:
    low, high = factor.interval()
    return Figure(100 * factor.value, None, 100 * low, 100 * high)
