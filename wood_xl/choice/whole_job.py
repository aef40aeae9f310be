"""The ways of the whole job that matter: the one that is advised, and those that take the least of something."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from wood_xl.choice.advised import Advices
from wood_xl.choice.drawn import FIGURES, DrawnFigures
from wood_xl.choice.winners import FIGURE_OF, WHOLE_JOB
from wood_xl.data.trade import tasks
from wood_xl.draws.figure import Figure, TableRow, not_given
from wood_xl.hours.methods import MethodTotals, by_task
from wood_xl.hours.season_rates import RateRow
from wood_xl.reasons import Reason, Said, said
from wood_xl.verdicts import BestFor, Measure

LEAST = {
    Measure.TIME: BestFor.TIME,
    Measure.MONEY: BestFor.MONEY,
    Measure.EFFORT: BestFor.EFFORT,
    Measure.AIR: BestFor.AIR,
}
IN_CASH_AND_HOURS = (BestFor.SUGGESTED, BestFor.TIME, BestFor.MONEY, BestFor.ONLY)  # what a bought cord stands beside

Job = tuple[str, ...] | Said  # the methods of a way of the whole job, or why it has none


@dataclass(frozen=True, eq=False)
class WholeJobRow(TableRow):
    """One way of the whole job, for a cord."""

    table: ClassVar[str] = "combinations"
    best_for: BestFor
    methods: tuple[str, ...]
    worker_hours: Figure
    cash: Figure
    co2e: Figure
    clock_hours: Figure
    kcal_net: Figure
    cash_and_time: Figure


def whole_jobs(advised: Advices, rates: Sequence[RateRow], totals: Sequence[MethodTotals]) -> dict[BestFor, Job]:
    """What is best for what: one method for each task that was tried.

    Where each task has one method it is the only way, else it is what is advised, and what takes the least of each
    measure; these five always, whatever the figures.
    """
    tried = by_task(totals)
    if not tried:
        return {}
    if all(len(methods) == 1 for methods in tried):
        only = {t.method.task: t.method.name for (t,) in tried}
        return {BestFor.ONLY: tuple(only[row.task] for row in advised.verdicts if row.task in only)}
    open_ones = tuple(tasks()[row.task].name for row in advised.verdicts if not row.choice)
    suggested = tuple(row.choice for row in advised.verdicts)
    by_name = {row.method: row for row in rates}
    of_tried = [by_name[t.method.name] for methods in tried for t in methods]
    return {
        BestFor.SUGGESTED: said(Reason.NOT_ADVISED, tasks=open_ones) if open_ones else suggested,
        **{best: _winner(advised, measure) or _lacking(of_tried, measure) for measure, best in LEAST.items()},
    }


def _winner(advised: Advices, measure: Measure) -> tuple[str, ...]:
    return next(row.method for row in advised.winners if (row.measure, row.task) == (measure, WHOLE_JOB))


def _lacking(rates: Sequence[RateRow], measure: Measure) -> Said:
    """Why nothing is known to take the least: the first method without its figure."""
    figures = ((row.method, row.figure_of(FIGURE_OF[measure])) for row in rates)
    return next(said(Reason.OF_METHOD, method=name, why=one.why) for name, one in figures if one.value is None)


def whole_job_rows(jobs: Mapping[BestFor, Job], rates: Sequence[RateRow]) -> list[WholeJobRow]:
    """One row for each way."""
    drawn = DrawnFigures({row.method: {key: row.figure_of(key) for key in FIGURES} for row in rates})
    return [
        WholeJobRow(
            best_for=best_for,
            methods=() if isinstance(job, Said) else job,
            **{
                key: not_given(job) if isinstance(job, Said) else drawn.sum_figure(dict.fromkeys(job, 1.0), key)
                for key in FIGURES
            },
        )
        for best_for, job in jobs.items()
    ]
