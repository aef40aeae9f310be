"""What is advised for a season, task by task in order, and the ways of the whole job that matter."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from wood_xl.air.accounts import BOUGHT_ENERGY
from wood_xl.air.tables import heat_for_energy
from wood_xl.body.strain import worst_strain
from wood_xl.choice.edge import FIGURES, Step, exchange_row, stated_values
from wood_xl.choice.verdicts import TaskChoice, Verdict
from wood_xl.choice.winners import FIGURE_OF, WHOLE_JOB, conflict, winner_rows
from wood_xl.data.trade import tasks
from wood_xl.draws.figure import Figure, Row, not_given, of_method, sum_of
from wood_xl.hours.methods import MethodTotals, by_task
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import Phrase, Strain
from wood_xl.reasons import Listing, Reason, Said, said, several
from wood_xl.verdicts import BestFor, Measure


def verdict_row(choice: TaskChoice, verdict: Verdict) -> Row:
    """Row of a task."""
    buying = [] if verdict.choice is None else choice.buying(verdict.choice)
    step = choice.main_step
    return Row(
        task=choice.task,
        choice="" if verdict.choice is None else verdict.choice.name,
        kind=verdict.kind,
        surety=verdict.surety,
        flip=not_given(said(Reason.NO_FLIP)) if step is None else step.flip,
        head=verdict.head,
        sentence=said(Listing.SENTENCES, parts=(*verdict.parts, *buying)),
        conflict=conflict(choice.judged, choice.rates.study.tools) if len(choice.ways) > 1 else None,
    )


class Advices(NamedTuple):
    """Rows of three tables; ``choices`` stand behind the verdicts and ``steps`` behind the exchange rows."""

    choices: list[tuple[TaskChoice, Verdict]]
    verdicts: list[Row]
    winners: list[Row]
    exchange: list[Row]
    steps: list[Step]


def advices(rates: SeasonRates, compared: Iterable[Row], barred: Mapping[str, Said]) -> Advices:
    """What is advised for each task of a season."""
    values = stated_values(rates.study.season)
    pairs = {(row["figure"], frozenset((row["more"], row["less"]))): row for row in compared}
    tried = [t for t in rates.study.totals if t.counted or t.waiting_cells]
    of_task = {task: [t for t in tried if t.method.task == task] for task in task_order(first_days(tried))}
    choices = [
        TaskChoice(
            task=task,
            tried=[t for t in methods if t.counted],
            waiting=[cell for t in methods for cell in t.waiting_cells],
            rates=rates,
            values=values,
            compared=pairs,
            barred=barred,
        )
        for task, methods in of_task.items()
    ]
    decided = [(choice, choice.verdict()) for choice in choices]
    steps = [step for choice in choices for step in choice.steps]
    return Advices(
        choices=decided,
        verdicts=[verdict_row(choice, verdict) for choice, verdict in decided],
        winners=winner_rows({choice.task: choice.judged for choice in choices if choice.judged}),
        exchange=[exchange_row(step) for step in steps],
        steps=steps,
    )


def task_order(first_days: Mapping[str, str | None]) -> tuple[str, ...]:
    """Order in which the tasks of a season are done.

    Felling, limbing, bucking, splitting, stacking. Hauling goes after the last task that began before it, or first if
    it has no date.

    first_days: each task of the season with its first day as yyyy-mm-dd, or None.

    Source: wood_xl_definitions, order of the tasks.

    >>> task_order({"split": "2025-04-01", "haul": "2025-03-09", "buck": "2025-03-08"})
    ('buck', 'haul', 'split')
    """
    tried = [task for task in tasks().values() if task.id in first_days]
    order = [task.id for task in tried if task.is_placed]
    for task in tried:
        if task.is_placed:
            continue
        day = first_days[task.id]
        before = [at for at, other in enumerate(order) if day is not None and (first_days[other] or day) < day]
        order.insert(max(before, default=-1) + 1, task.id)
    return tuple(order)


def first_days(tried: Sequence[MethodTotals]) -> dict[str, str | None]:
    """First day of each task; None without a date."""
    days: dict[str, list[str]] = {}
    for t in tried:
        days.setdefault(t.method.task, []).extend(s.session.date for s in t.counted if s.session.date)
    return {task: min(dates, default=None) for task, dates in days.items()}


LEAST = {
    Measure.TIME: BestFor.TIME,
    Measure.MONEY: BestFor.MONEY,
    Measure.EFFORT: BestFor.EFFORT,
    Measure.AIR: BestFor.AIR,
}
IN_CASH_AND_HOURS = (BestFor.SUGGESTED, BestFor.TIME, BestFor.MONEY, BestFor.ONLY)  # compared with a bought cord

Job = tuple[str, ...] | Said  # the methods of a way of the whole job, or why it has none
ENERGY = BOUGHT_ENERGY.id


def whole_jobs(advised: Advices, rates: Sequence[Row], totals: Sequence[MethodTotals]) -> dict[BestFor, Job]:
    """Ways of doing the whole job, with one method for each task that was tried.

    If each task has one method, there is only one way. Else five are always told: as advised, and the least of each
    measure.
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
    """Why no method is known to take the least: the first one without the figure."""
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
    jobs: Iterable[Row], rates: SeasonRates, delivered: Figure, flags: Mapping[str, Strain | Phrase]
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
