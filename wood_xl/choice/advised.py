"""What is advised for a season, as tables of the results, task by task in the order in which they are done."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from wood_xl.choice.edge import Step, exchange_row, stated_values
from wood_xl.choice.verdicts import TaskChoice, Verdict
from wood_xl.choice.winners import conflict, winner_rows
from wood_xl.data.trade import tasks as all_tasks
from wood_xl.draws.figure import Row
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.reasons import Listing, Said, said


def verdict_row(choice: TaskChoice, verdict: Verdict) -> Row:
    """The row of a task."""
    buying = [] if verdict.choice is None else choice.buying(verdict.choice)
    return Row(
        task=choice.task,
        choice="" if verdict.choice is None else verdict.choice.name,
        kind=verdict.kind,
        surety=verdict.surety,
        flip=choice.flip,
        head=verdict.head,
        sentence=said(Listing.SENTENCES, parts=(*verdict.parts, *buying)),
        conflict=conflict(choice.judged, choice.rates.study.tools) if len(choice.ways) > 1 else None,
    )


class Advices(NamedTuple):
    """Rows of the three tables, what is behind each row of the first, and the steps behind those of the third."""

    choices: list[tuple[TaskChoice, Verdict]]
    verdicts: list[Row]
    winners: list[Row]
    exchange: list[Row]
    steps: list[Step]


def advices(rates: SeasonRates, compared: Iterable[Row], barred: Mapping[str, Said]) -> Advices:
    """What is advised for each task of a season."""
    values = stated_values(rates.study.season)
    pairs = {(row["figure"], frozenset((row["more"], row["less"]))): row for row in compared}
    told = [t for t in rates.study.totals if t.counted or t.waiting_cells]
    of_task = {task: [t for t in told if t.method.task == task] for task in task_order(first_days(told))}
    choices = [
        TaskChoice(
            task=task,
            tried=[t for t in of_task[task] if t.counted],
            waiting=[cell for t in of_task[task] for cell in t.waiting_cells],
            rates=rates,
            values=values,
            compared=pairs,
            barred=barred,
        )
        for task in of_task
    ]
    judged = [(choice, choice.verdict()) for choice in choices]
    told_of = [choice for choice in choices if not choice.waiting and not values.waits]
    steps = [step for choice in told_of if choice.edge is not None for step in choice.edge.told]
    return Advices(
        choices=judged,
        verdicts=[verdict_row(choice, verdict) for choice, verdict in judged],
        winners=winner_rows({choice.task: choice.judged for choice in choices if choice.judged}),
        exchange=[exchange_row(step) for step in steps],
        steps=steps,
    )


def task_order(first_days: Mapping[str, str | None]) -> tuple[str, ...]:
    """Order in which the tasks of a season are done.

    Felling, limbing, bucking, splitting, stacking. Hauling goes where the season put it: after the last task that was
    begun before it; first if no date tells.

    first_days: each task of the season, with the first day that it was done as yyyy-mm-dd, or None.

    Source: wood_xl_definitions, order of the tasks.

    >>> task_order({"split": "2025-04-01", "haul": "2025-03-09", "buck": "2025-03-08"})
    ('buck', 'haul', 'split')
    """
    tried = [task for task in all_tasks().values() if task.id in first_days]
    order = [task.id for task in tried if task.is_placed]
    for task in tried:
        if task.is_placed:
            continue
        day = first_days[task.id]
        before = [at for at, other in enumerate(order) if day is not None and (first_days[other] or day) < day]
        order.insert(max(before, default=-1) + 1, task.id)
    return tuple(order)


def first_days(tried: Sequence[MethodTotals]) -> dict[str, str | None]:
    """First day of each task, of those that have one."""
    days: dict[str, str | None] = {}
    for t in tried:
        dates = [s.session.date for s in t.counted if s.session.date]
        first = min(dates, default=None)
        before = days.get(t.method.task)
        days[t.method.task] = min((day for day in (first, before) if day), default=None)
    return days
