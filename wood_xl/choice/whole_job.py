"""The ways of the whole job that matter, advised or least of something, for a cord and over a usual year."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from wood_xl.air.accounts import BOUGHT_ENERGY
from wood_xl.air.tables import heat_for_energy
from wood_xl.body.strain import worst_strain
from wood_xl.choice.advised import Advices
from wood_xl.choice.edge import FIGURES
from wood_xl.choice.winners import FIGURE_OF, WHOLE_JOB
from wood_xl.data.trade import tasks
from wood_xl.draws.figure import Figure, Row, not_given, of_method, sum_of
from wood_xl.hours.methods import MethodTotals, by_task
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import Phrase, Strain
from wood_xl.reasons import Reason, Said, said, several
from wood_xl.verdicts import BestFor, Measure
from wood_xl.warmth.doubt import Unsure

LEAST = {
    Measure.TIME: BestFor.TIME,
    Measure.MONEY: BestFor.MONEY,
    Measure.EFFORT: BestFor.EFFORT,
    Measure.AIR: BestFor.AIR,
}
IN_CASH_AND_HOURS = (BestFor.SUGGESTED, BestFor.TIME, BestFor.MONEY, BestFor.ONLY)  # what a bought cord stands beside

Job = tuple[str, ...] | Said  # the methods of a way of the whole job, or why it has none
ENERGY = BOUGHT_ENERGY.id


def whole_jobs(advised: Advices, rates: Sequence[Row], totals: Sequence[MethodTotals]) -> dict[BestFor, Job]:
    """What is best for what: one method for each task that was tried.

    Where each task has one method it is the only way, else it is what is advised, and what takes the least of each
    measure; these five always, whatever the figures.
    """
    tried = by_task(totals)
    if not tried:
        return {}
    if all(len(methods) == 1 for methods in tried):
        only = {t.method.task: t.method.name for (t,) in tried}
        return {BestFor.ONLY: tuple(only[row["task"]] for row in advised.verdicts if row["task"] in only)}
    open_ones = tuple(tasks()[row["task"]].name for row in advised.verdicts if not row["choice"])
    suggested = tuple(row["choice"] for row in advised.verdicts)
    by_name = {row["method"]: row for row in rates}
    of_tried = [by_name[t.method.name] for methods in tried for t in methods]
    of_job = {row["measure"]: row["method"] for row in advised.winners if row["task"] == WHOLE_JOB}
    return {
        BestFor.SUGGESTED: said(Reason.NOT_ADVISED, tasks=open_ones) if open_ones else suggested,
        **{best: of_job[measure] or _lacking(of_tried, measure) for measure, best in LEAST.items()},
    }


def _lacking(rates: Sequence[Row], measure: Measure) -> Said:
    """Why nothing is known to take the least: the first method without its figure."""
    figures = ((row["method"], row[FIGURE_OF[measure]]) for row in rates)
    return next(of_method(name, one) for name, one in figures if one.value is None)


def whole_job_rows(jobs: Mapping[BestFor, Job], rates: Sequence[Row]) -> list[Row]:
    """One row for each way."""
    figures = {key: {row["method"]: row[key] for row in rates} for key in FIGURES}
    return [
        Row(
            best_for=best_for,
            methods=() if isinstance(job, Said) else job,
            **{key: _sum_of_job(figures[key], job) for key in FIGURES},
        )
        for best_for, job in jobs.items()
    ]


def _sum_of_job(figures: Mapping[str, Figure], job: Job) -> Figure:
    return not_given(job) if isinstance(job, Said) else sum_of(figures, dict.fromkeys(job, 1.0), of_method)


def whole_job_year_rows(
    jobs: Iterable[Row], rates: SeasonRates, delivered: Unsure, flags: Mapping[str, Strain | Phrase]
) -> Iterator[Row]:
    """One row for each way."""
    totals = {t.method.name: t for t in rates.study.totals}
    energies = {name: rates.figure(t, ENERGY) for name, t in totals.items()}
    cords = rates.study.yearly_cords
    for job in jobs:
        names, without = job["methods"], not_given(job["worker_hours"].reason)
        bought = _sum_of_job(energies, names) if names else without
        methods = [totals[name] for name in names]
        yield Row(
            best_for=job["best_for"],
            methods=names,
            **{key: _in_a_year(job[key], cords) for key in FIGURES},
            bought=_in_a_year(bought, cords),
            energy_return=heat_for_energy(delivered, methods, BOUGHT_ENERGY, rates) if methods else without,
            strain=several([said(Phrase.STRAIN_SEEN, method=name, strain=flags[name]) for name in names]),
        )


def strain_flags(strain: Iterable[Row], totals: Iterable[MethodTotals]) -> dict[str, Strain | Phrase]:
    """The worst strain in all sessions of each method, counted or not."""
    seen: dict[str, list[Strain]] = {}
    for row in strain:
        seen.setdefault(row["session"], []).append(row["strain"])
    return {
        t.method.name: worst_strain(one for f in t.every for one in seen.get(f.session.name, [Strain.NOT_KNOWN]))
        for t in totals
    }


def _in_a_year(figure: Figure, cords: float | None) -> Figure:
    if figure.value is None:
        return figure
    return not_given(said(Reason.NO_YEARLY_VOLUME)) if cords is None else figure.times(cords)
