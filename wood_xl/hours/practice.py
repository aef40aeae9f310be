"""Practice from session to session and fatigue within one, beyond effects of logs, hands and days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from wood_xl.data.load import value
from wood_xl.draws.doubt import Trend, trend
from wood_xl.draws.figure import Figure, Row, not_given
from wood_xl.draws.normal import agreed
from wood_xl.hours.equal_terms import EqualSeason
from wood_xl.hours.fatigue import LogEstimate, TimedSession, second_half_factor
from wood_xl.hours.log_sizes import timed_cuts
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.rates import measured_rate
from wood_xl.hours.sessions import SessionFigures
from wood_xl.ids import Recorded
from wood_xl.reasons import Reason, Remark, Said, said
from wood_xl.verdicts import Practised

FIGURE = "worker_hours"
TO_FIT = 3  # fewest rows with scatter about a trend


@dataclass(frozen=True)
class Practice:
    """Trends of a method over its sessions and within them.

    trend: of worker hours for a cord, or why there is none.
    later_hours: worker hours for a cord in the last half of the sessions; not given unless there is a trend.
    second_half: time of the later cuts over the earlier; None without timed cuts in enough sessions.
    """

    totals: MethodTotals
    trend: Trend | Said
    words: Practised
    later_hours: Figure
    second_half: LogEstimate | None
    halves_n: int


def practices(totals: Sequence[MethodTotals], equal: EqualSeason) -> list[Practice]:
    """Practice of each method with a counted session.

    Source: how_sure_defaults, learning and fatigue.
    """
    return [_practice(t, equal) for t in totals if t.counted]


def practice_remarks(of_methods: list[Practice]) -> list[Remark]:
    """Remarks on trends and fatigue: figures of a beginner and of a practiced hand do not compare."""
    remarks: list[Remark] = []
    for practice in of_methods:
        name = practice.totals.method.name
        if practice.later_hours.value is not None:
            remarks.append(("season-trend-shown", "", {"found": name, "what": said(practice.words)}))
        if practice.second_half is not None and practice.second_half.interval()[0] > 1:
            more = f"{100 * (practice.second_half.value - 1):.0f}%"
            remarks.append(("season-tired", "", {"found": name, "value": more}))
    return remarks


def _practice(totals: MethodTotals, equal: EqualSeason) -> Practice:
    in_order = _in_order(totals.counted)
    change, rows_n = _trend(totals, in_order, equal)
    words, later = Practised.TOO_FEW, not_given(said(Reason.NO_TREND))
    if rows_n >= value("learning.sessions"):
        words = Practised.NO_TREND
        if isinstance(change, Trend) and change.by_chance_frac < value("learning.level"):
            words = Practised.QUICKER if change.per_doubling < 1 else Practised.SLOWER
            later = measured_rate(replace(totals, counted=tuple(in_order[len(in_order) // 2 :])), FIGURE)
    timed = [timed_cuts([session]) for session in totals.counted]
    timed = [cuts for cuts in timed if len(cuts) >= value("fatigue.cuts")]
    second_half = None
    if len(timed) >= value("fatigue.sessions"):
        second_half = second_half_factor([TimedSession(*zip(*cuts, strict=True)) for cuts in timed])
    return Practice(totals, change, words, later, second_half, len(timed))


def _in_order(counted: Sequence[SessionFigures]) -> list[SessionFigures]:
    """Sessions by date; an undated one stays after the one before it in the notes."""
    dated, last = [], ""
    for session in counted:
        last = session.session.date or last
        dated.append((last, session))
    return [session for _, session in sorted(dated, key=lambda pair: pair[0])]


def _trend(totals: MethodTotals, in_order: Sequence[SessionFigures], equal: EqualSeason) -> tuple[Trend | Said, int]:
    """Trend or why there is none, and the number of rows behind it: the work of one crew on one day is one."""
    fit = equal.fit(totals.method.task, Recorded.WORKER_HOURS)
    rows = [] if fit is None else fit.design.observed.rows
    turn = {session.place: i for i, session in enumerate(in_order)}
    own = [i for i, row in enumerate(rows) if row.method == equal.number(totals)]
    own.sort(key=lambda i: turn[equal.ordered[rows[i].place].place])
    odd = equal.odd_session(totals, Recorded.WORKER_HOURS)
    if fit is None or len(own) < TO_FIT:
        return said(Reason.TOO_FEW_SESSIONS), len(own)
    if odd is not None:
        return said(Reason.SESSIONS_UNLIKE, session=odd), len(own)
    return trend(fit, own), len(own)


def practice_row(practice: Practice) -> Row:
    """Row of a method."""
    change, half = practice.trend, practice.second_half
    untimed = not_given(said(Reason.NEEDS_TIMED_CUTS))
    return Row(
        method=practice.totals.method.name,
        task=practice.totals.method.task,
        words=practice.words,
        sessions_n=len(practice.totals.counted),
        per_doubling=not_given(change) if isinstance(change, Said) else _percent(change.per_doubling, change.ends),
        by_chance=not_given(change) if isinstance(change, Said) else Figure(100 * agreed(change.by_chance_frac)),
        later_hours=practice.later_hours,
        timed_sessions_n=practice.halves_n,
        second_half=untimed if half is None else _percent(half.value, half.interval()),
    )


def _percent(factor: float, ends: tuple[float, float]) -> Figure:
    low, high = ends
    return Figure(100 * agreed(factor), None, 100 * low, 100 * high)
