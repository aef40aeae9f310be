"""Which way takes the least time, money, effort and CO2e, for each task and the whole job, and how sure that is."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from wood_xl.choice.edge import Way
from wood_xl.draws.ensemble import Number
from wood_xl.draws.figure import Row, is_of_unknown_doubt
from wood_xl.draws.normal import Array
from wood_xl.draws.shared_factors import least_shares
from wood_xl.draws.verdicts import surety
from wood_xl.reasons import Said, said
from wood_xl.records import Tool
from wood_xl.verdicts import Conflict, Measure, Surety

FIGURE_OF = {Measure.TIME: "worker_hours", Measure.MONEY: "cash", Measure.EFFORT: "kcal_net", Measure.AIR: "co2e"}
WHOLE_JOB = "all"  # in place of a task
FROM_LEAST_SURE = (Surety.NOT_KNOWN, Surety.OPEN, Surety.LEANS, Surety.LIKELY, Surety.SETTLED)


@dataclass(frozen=True, eq=False)
class Judged:
    """The way of a task with the least of a figure; None if a way lacks the figure."""

    way: Way | None
    surety: Surety
    ways_n: int
    is_least: Array | None = None  # of each draw whether it is the least, a share where it ties


def winners_of(
    ways: Sequence[Way], figure_id: str, compared: Mapping[tuple[str, frozenset[str]], Row], margin: float | None
) -> Judged:
    """The way of a task with the least of a figure.

    Of two ways the surety is that of their comparison; of more, the share of the draws in which it is the least.
    """
    figures = [way.figure(figure_id) for way in ways]
    if any(figure.value is None for figure in figures):
        return Judged(None, Surety.NOT_KNOWN, len(ways))
    place = min(range(len(ways)), key=lambda at: figures[at].value or 0.0)
    if len(ways) == 1:
        return Judged(ways[0], Surety.ONLY_ONE, 1)
    if any(map(is_of_unknown_doubt, figures)):
        return Judged(ways[place], Surety.NOT_KNOWN, len(ways))
    table = table_of_draws([figure.number for figure in figures])
    others = np.delete(table, place, axis=0).min(axis=0)
    ties = table == table.min(axis=0)
    is_least = ties[place] / ties.sum(axis=0)
    row = compared.get((figure_id, frozenset(way.name for way in ways)))
    if len(ways) == 2 and row is not None:
        return Judged(ways[place], row["surety"], 2, is_least)
    low, high = np.minimum(table[place], others), np.maximum(table[place], others)
    within = 0.0 if margin is None else float(np.mean(high <= low * (1 + margin)))
    share = least_shares([figure.number for figure in figures])[place]
    return Judged(ways[place], surety(share, within, len(ways)), len(ways), is_least)


def table_of_draws(numbers: Sequence[Number]) -> Array:
    """A row of draws for each of several, without the nominal member unless there is no other."""
    table: Array = np.vstack(np.broadcast_arrays(*numbers)).astype(np.float64)
    return table[:, 1:] if table.shape[1] > 1 else table


def whole_job(of_tasks: Sequence[Judged]) -> Surety:
    """How sure it is that the winners of all tasks together have the least: never surer than the least sure task.

    The share of the draws in which each of them is the least of its task; tasks with one way, or with ways that are
    the same, leave nothing to be unsure of.
    """
    if all(one.surety is Surety.ONLY_ONE for one in of_tasks):
        return Surety.ONLY_ONE
    open_ones = [one for one in of_tasks if one.surety not in (Surety.ONLY_ONE, Surety.SAME)]
    if not open_ones:
        return Surety.SAME
    drawn = [one.is_least for one in open_ones if one.is_least is not None]
    if len(drawn) < len(open_ones) or any(one.surety is Surety.NOT_KNOWN for one in open_ones):
        return Surety.NOT_KNOWN
    share = float(np.mean(np.prod(np.vstack(np.broadcast_arrays(*drawn)), axis=0)))
    together = surety(share, 0.0, math.prod(one.ways_n for one in open_ones))
    return min([together, *(one.surety for one in open_ones)], key=FROM_LEAST_SURE.index)


def winner_rows(by_task: Mapping[str, Mapping[str, Judged]]) -> list[Row]:
    """A row for each measure and task, and for each measure one of the whole job."""
    rows = []
    for measure, figure_id in FIGURE_OF.items():
        of_tasks = {task: judged[figure_id] for task, judged in by_task.items()}
        for task, one in of_tasks.items():
            method = () if one.way is None else (one.way.name,)
            rows.append(Row(measure=measure, task=task, method=method, surety=one.surety))
        if of_tasks:
            ways = [one.way for one in of_tasks.values()]
            names = tuple(way.name for way in ways if way is not None) if all(ways) else ()
            surest = whole_job(list(of_tasks.values()))
            rows.append(Row(measure=measure, task=WHOLE_JOB, method=names, surety=surest))
    return rows


def conflict(judged: Mapping[str, Judged], tools: Mapping[str, Tool]) -> Said | None:
    """Which way of a task wins on what, as far as that is settled; None if nothing is."""
    won: dict[str, list[Measure]] = {}
    way_of: dict[str, Way] = {}
    for measure, figure_id in FIGURE_OF.items():
        way = judged[figure_id].way
        if way is not None and judged[figure_id].surety is Surety.SETTLED:
            won.setdefault(way.name, []).append(measure)
            way_of[way.name] = way
    is_whole = sum(map(len, won.values())) == len(FIGURE_OF)
    if is_whole and len(won) == 1:
        return said(Conflict.ALL, method=next(iter(won)))
    of_power = [name for name in won if is_powered(way_of[name], tools)]
    if is_whole and len(won) == 2 and len(of_power) == 1 and won[of_power[0]] == [Measure.TIME, Measure.EFFORT]:
        return said(Conflict.POWER_AND_HAND)
    parts = tuple(said(Conflict.WINS, method=name, measures=tuple(measures)) for name, measures in won.items())
    return said(Conflict.SPLIT, parts=parts) if parts else None


def is_powered(way: Way, tools: Mapping[str, Tool]) -> bool:
    """Whether a tool of a way has an engine or a motor."""
    return any(tools[name].kind_row.is_powered for name in way.totals.method.tools if name in tools)
