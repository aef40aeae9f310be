"""Practice from session to session and fatigue within one, beyond effects of logs, hands and days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wood_xl.data.load import value
from wood_xl.draws.doubt import Trend, trend
from wood_xl.draws.figure import Figure, Row, not_given
from wood_xl.draws.normal import agreed
from wood_xl.hours.equal_terms import EqualSeason
from wood_xl.hours.fatigue import TimedSession, second_half_factor
from wood_xl.hours.log_sizes import timed_cuts
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.rates import measured_rate
from wood_xl.hours.sessions import SessionFigures
from wood_xl.ids import Recorded
from wood_xl.reasons import Reason, Remark, Said, said
from wood_xl.verdicts import Practised

TO_FIT = 3  # fewest rows with scatter about a trend


def practice_rows(totals: Sequence[MethodTotals], equal: EqualSeason) -> list[Row]:
    """Trend of each method with a counted session over its sessions, and of timed cuts within them."""
    return [_row(t, equal) for t in totals if t.counted]


def practice_remarks(rows: Sequence[Row]) -> list[Remark]:
    """Remarks on trends and fatigue: figures of a beginner and of a practiced hand do not compare."""
    remarks: list[Remark] = []
    for row in rows:
        if row["later_hours"].value is not None:
            remarks.append(("season-trend-shown", "", {"found": row["method"], "what": said(row["words"])}))
        if (row["second_half"].low or 0.0) > 100:
            more = f"{row['second_half'].value - 100:.0f}%"
            remarks.append(("season-tired", "", {"found": row["method"], "value": more}))
    return remarks


def _row(totals: MethodTotals, equal: EqualSeason) -> Row:
    in_order = _in_order(totals.counted)
    change, rows_n = _trend(totals, in_order, equal)
    words, later = Practised.TOO_FEW, not_given(said(Reason.NO_TREND))
    if rows_n >= value("learning.sessions"):
        words = Practised.NO_TREND
        if isinstance(change, Trend) and change.by_chance_frac < value("learning.level"):
            words = Practised.QUICKER if change.per_doubling < 1 else Practised.SLOWER
            later = measured_rate(replace(totals, counted=tuple(in_order[len(in_order) // 2 :])), "worker_hours")
    timed = [timed_cuts([session]) for session in totals.counted]
    timed = [cuts for cuts in timed if len(cuts) >= value("fatigue.cuts")]
    second_half = not_given(said(Reason.NEEDS_TIMED_CUTS))
    if len(timed) >= value("fatigue.sessions"):
        half = second_half_factor([TimedSession(*zip(*cuts, strict=True)) for cuts in timed])
        second_half = _percent(half.value, half.interval())
    return Row(
        method=totals.method.name,
        task=totals.method.task,
        words=words,
        sessions_n=len(totals.counted),
        per_doubling=not_given(change) if isinstance(change, Said) else _percent(change.per_doubling, change.ends),
        by_chance=not_given(change) if isinstance(change, Said) else Figure(100 * agreed(change.by_chance_frac)),
        later_hours=later,  # in the last half of the sessions; only where there is a trend
        timed_sessions_n=len(timed),
        second_half=second_half,
    )


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


def _percent(factor: float, ends: tuple[float, float]) -> Figure:
    low, high = ends
    return Figure(100 * agreed(factor), None, 100 * low, 100 * high)
