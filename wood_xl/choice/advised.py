"""What is advised for a season, as tables of the results."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import ClassVar

from wood_xl.choice.combining import first_days, task_order
from wood_xl.choice.edge import ExchangeRow, exchange_row
from wood_xl.choice.flip_moves import FlipMoveRow, flip_move_rows
from wood_xl.choice.values import stated_values
from wood_xl.choice.verdicts import TaskChoice, Verdict
from wood_xl.choice.winners import WinnerRow, conflict, winner_rows
from wood_xl.draws.figure import Figure, TableRow
from wood_xl.hours.comparisons import ComparisonRow
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.reasons import Listing, Said, said
from wood_xl.verdicts import Kind, Surety


@dataclass(frozen=True, eq=False)
class VerdictRow(TableRow):
    """What is advised for a task."""

    table: ClassVar[str] = "verdicts"
    task: str
    choice: str
    kind: Kind
    surety: Surety
    flip: Figure
    head: Said
    sentence: Said
    conflict: Said | None


def verdict_row(choice: TaskChoice, verdict: Verdict) -> VerdictRow:
    """The row of a task."""
    buying = [] if verdict.choice is None else choice.buying(verdict.choice)
    return VerdictRow(
        task=choice.task,
        choice="" if verdict.choice is None else verdict.choice.name,
        kind=verdict.kind,
        surety=verdict.surety,
        flip=choice.flip,
        head=verdict.head,
        sentence=said(Listing.SENTENCES, parts=(*verdict.parts, *buying)),
        conflict=conflict(choice.judged, choice.rates.study.tools) if len(choice.ways) > 1 else None,
    )


@dataclass(frozen=True)
class Advices:
    """Rows of the four tables, and the choice and the verdict behind each row of the first."""

    choices: list[tuple[TaskChoice, Verdict]]
    verdicts: list[VerdictRow]
    winners: list[WinnerRow]
    exchange: list[ExchangeRow]
    moves: list[FlipMoveRow]


def advices(rates: SeasonRates, compared: Iterable[ComparisonRow], barred: Mapping[str, Said]) -> Advices:
    """What is advised for each task of a season.

    barred: methods that nobody here may be planned for, with the reason.
    """
    values = stated_values(rates.study.season)
    pairs = {(row.figure, frozenset((row.more, row.less))): row for row in compared}
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
        moves=[row for step in steps for row in flip_move_rows(step, rates)],
    )
