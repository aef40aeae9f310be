"""What limits a comparison: who did what on which logs and days, and the one thing that would improve it.

Also what each session that was left out would change.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import chain, combinations

from wood_xl.data.load import value
from wood_xl.draws.doubt import difference, doubt
from wood_xl.draws.figure import Figure, Row, not_given
from wood_xl.draws.normal import agreed
from wood_xl.hours.comparisons import comparison_rows
from wood_xl.hours.equal_terms import EqualSeason
from wood_xl.hours.how_sure import FIGURES
from wood_xl.hours.log_sizes import diameter_m
from wood_xl.hours.methods import MethodTotals, by_task
from wood_xl.hours.rates import RECORDED, measured_rate
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.sessions import SessionFigures
from wood_xl.ids import Phrase, Recorded, State
from wood_xl.page_texts import Did
from wood_xl.reasons import Reason, Remark, Said, said
from wood_xl.verdicts import Apart, Mend, Source, Surety

MOST_LEFT_OUT = 12  # reported: each runs the whole model again, and nobody reads more
TELLS_APART = (Surety.SETTLED, Surety.LIKELY, Surety.LEANS)
MENDS = {
    Source.PERSONS: Mend.PERSONS,
    Source.LOGS: Mend.LOGS,
    Source.PRIOR: Mend.PRIOR,
    Source.DAYS: Mend.DAYS,
    Source.SESSIONS: Mend.SESSIONS,
}
CONFOUNDED = {  # problems that a better trial mends at once
    Source.PERSONS: "season-persons-go-with-methods",
    Source.LOGS: "season-logs-go-with-methods",
    Source.DAYS: "season-days-go-with-methods",
}


def equal_terms_rows(totals: Sequence[MethodTotals], rates: SeasonRates) -> Iterator[Row]:
    """A row for each method and each figure that sessions record."""
    for t in totals:
        for figure_id in FIGURES if t.counted else ():
            yield _equal_terms(t, figure_id, rates)


def _equal_terms(totals: MethodTotals, figure_id: str, rates: SeasonRates) -> Row:
    equal, what = rates.study.equal, RECORDED[figure_id]
    measured, figure = measured_rate(totals, figure_id), rates.figure(totals, figure_id)
    terms, fit = equal.terms(totals, what), equal.fit(totals.method.task, what)
    none = not_given(measured.why)
    row = Row(
        method=totals.method.name,
        task=totals.method.task,
        figure=figure_id,
        measured=replace(measured, basis=None),
        by_logs=none,
        by_hands=none,
        by_days=none,
        on_equal_terms=figure,
        apart=Apart.NOT_TOLD,
    )
    if measured.value is None or terms is None or fit is None:
        return row
    apart, margin = difference(fit, equal.number(totals), math.log(terms.value)), rates.study.margin_frac
    if isinstance(margin, Said):
        named = Apart.NOT_TOLD
    else:
        named = (apart.named or Apart.NOT_TOLD) if abs(apart.total) > math.log1p(margin) else Apart.ALIKE
    logs, hands, days = (Figure(one) for one in (terms.factors.logs, terms.factors.hands, terms.factors.days))
    return Row(row, by_logs=logs, by_hands=hands, by_days=days, apart=named)


def comparison_limits(totals: Sequence[MethodTotals], rates: SeasonRates) -> Iterator[Row]:
    """A row for each pair of methods of a task."""
    for methods in by_task(totals):
        for one, other in combinations(methods, 2):
            yield _limit(one, other, rates.study.equal)


def _limit(one: MethodTotals, other: MethodTotals, equal: EqualSeason) -> Row:
    fit = equal.fit(one.method.task, Recorded.WORKER_HOURS)
    if fit is None:
        raise ValueError(f"{one.method.task} has counted sessions and no worker hours")
    shares = doubt(fit, equal.number(one), equal.number(other))
    named = [source for source in CONFOUNDED if shares[source] >= value("model.source_named")]
    source = named[0] if named else max(shares, key=lambda source: shares[source])
    return Row(
        task=one.method.task,
        one=one.method.name,
        other=other.method.name,
        source=source,
        share=Figure(100 * agreed(shares[source])),
        persons_of_one=_persons(one.counted),
        persons_of_other=_persons(other.counted),
        logs_of_one=_logs(one.counted),
        logs_of_other=_logs(other.counted),
        days_of_both_n=len(_days(one.counted) & _days(other.counted)),
        mend=said(MENDS[source]),
    )


def _persons(sessions: Sequence[SessionFigures]) -> Said:
    crews = (dict.fromkeys(worker.person or Phrase.NOT_NAMED for worker in s.session.workers) for s in sessions)
    counts = Counter(chain.from_iterable(crews))
    parts = tuple(said(Did.PERSON, person=name, n=n) for name, n in counts.items())
    return said(Did.PERSONS, parts=parts)


def _logs(sessions: Sequence[SessionFigures]) -> Figure:
    """Diameter of a log with the mean area of all cuts [cm]."""
    cuts = tuple(cut for session in sessions for cut in session.session.cuts)
    if not all(session.session.cuts for session in sessions):
        return not_given(said(Reason.NO_CUTS))
    return Figure(100 * diameter_m(cuts))


def _days(sessions: Sequence[SessionFigures]) -> set[str]:
    return {session.session.date for session in sessions if session.session.date}


def confounded_remarks(rows: Sequence[Row]) -> list[Remark]:
    """Pairs of methods confounded with who did them, on which logs, or on which days."""
    return [
        (CONFOUNDED[row["source"]], "", {"found": row["one"], "expected": row["other"]})
        for row in rows
        if row["source"] in CONFOUNDED and (row["share"].value or 0.0) >= 100 * value("model.source_named")
    ]


def left_out_rows(rates: SeasonRates, compared: Sequence[Row]) -> Iterator[Row]:
    """The first sessions that were left out, each with its method's time and effort without and with it.

    compared: rows of comparisons without them.
    """
    left_out = [
        (totals, session)
        for totals in rates.study.totals
        for session in totals.not_counted
        if session.state.id is State.LEFT_OUT and session.time is not None and session.quantity is not None
    ]
    places = sorted(session.place for _, session in left_out)[:MOST_LEFT_OUT]
    for totals, session in left_out:
        if session.place in places:
            yield from _left_out(totals, session, rates, compared)


def _left_out(
    totals: MethodTotals, session: SessionFigures, rates: SeasonRates, compared: Sequence[Row]
) -> Iterator[Row]:
    in_model = tuple(sorted([*totals.in_model, session], key=lambda one: one.place))
    others = tuple(one for one in totals.not_counted if one is not session)
    changed = replace(totals, counted=in_model, not_counted=others)
    if totals.waiting_cells:
        changed = replace(changed, counted=(), held_back=in_model)
    all_changed = [changed if t is totals else t for t in rates.study.totals]
    of_task = [t for t in all_changed if t.method.task == totals.method.task]
    rates_with_it = SeasonRates(replace(rates.study, equal=EqualSeason(all_changed)), {}, {})
    compared_with_it = comparison_rows(of_task, rates_with_it, FIGURES)
    for figure_id in FIGURES:
        yield Row(
            session=session.session.name,
            method=totals.method.name,
            task=totals.method.task,
            why=session.session.leave_out or "",
            figure=figure_id,
            without_it=rates.figure(totals, figure_id),
            with_it=rates_with_it.figure(changed, figure_id),
            verdict=_verdicts(totals, figure_id, compared),
            verdict_with_it=_verdicts(totals, figure_id, compared_with_it),
        )


def _verdicts(totals: MethodTotals, figure_id: str, compared: Sequence[Row]) -> Said | None:
    """How a method compares with each other one of its task; None if there is no other."""
    parts = tuple(
        said(
            Did.LESS if row["surety"] in TELLS_APART else Did.BOTH,
            **{key: row[key] for key in ("less", "more", "surety")},
        )
        for row in compared
        if row["figure"] == figure_id and totals.method.name in (row["more"], row["less"])
    )
    return said(Did.VERDICTS, parts=parts) if parts else None
