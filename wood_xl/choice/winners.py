"""Which way takes the least time, money, effort and CO2e, for each task and the whole job, and how sure that is."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from wood_xl.choice.edge import Edge, Way
from wood_xl.draws.ensemble import Number
from wood_xl.draws.figure import Row, is_of_unknown_doubt
from wood_xl.draws.normal import Array
from wood_xl.draws.shared_factors import is_least, least_shares, table_of_draws
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
    is_least: Array | None = None  # 1 in each draw where it is the least, a share where it ties


def winners_of(
    ways: Sequence[Way], figure_id: str, compared: Mapping[tuple[str, frozenset[str]], Row], margin: float | None
) -> Judged:
    """The way of a task with the least of a figure.

    Its surety: of two ways, that of their comparison; of more, by the share of draws in which it is the least.
    """
    figures = [way.figure(figure_id) for way in ways]
    if any(figure.value is None for figure in figures):
        return Judged(None, Surety.NOT_KNOWN, len(ways))
    place = min(range(len(ways)), key=lambda at: figures[at].value or 0.0)
    if len(ways) == 1:
        return Judged(ways[0], Surety.ONLY_ONE, 1)
    if any(map(is_of_unknown_doubt, figures)):
        return Judged(ways[place], Surety.NOT_KNOWN, len(ways))
    numbers = [figure.number for figure in figures]
    table = table_of_draws(numbers)
    least = is_least(table)[place]
    row = compared.get((figure_id, frozenset(way.name for way in ways)))
    if len(ways) == 2 and row is not None:
        return Judged(ways[place], row["surety"], 2, least)
    others = np.delete(table, place, axis=0).min(axis=0)
    within = 0.0 if margin is None else share_within(table[place], others, margin)
    return Judged(ways[place], surety(least_shares(numbers)[place], within, len(ways)), len(ways), least)


def share_within(one: Array, other: Array, margin_frac: float) -> float:
    """Share of the draws in which two amounts lie within the margin of each other."""
    low, high = np.minimum(one, other), np.maximum(one, other)
    return float(np.mean((low > 0) & (high <= low * (1 + margin_frac)) | (low == high)))


def is_alike(one: Number, other: Number, margin_frac: float) -> bool:
    """Whether two amounts are the same within the margin."""
    first, second = table_of_draws((one, other))
    return surety(1.0, share_within(first, second, margin_frac), 2) is Surety.SAME


def surety_of_least(edge: Edge, way: Way, hour: float | None, spared: Sequence[Number]) -> Surety:
    """How sure it is that a way has the least sum; if an hour has no value, both the least hours and the least rest.

    spared: how much less each way may cost.
    """
    if edge.is_of_unknown_doubt:
        return Surety.NOT_KNOWN
    place, ways = edge.ways.index(way), edge.ways
    if hour is None:
        hours = [one.hours.number for one in ways]
        rest = [edge.rest(one).number - less for one, less in zip(ways, spared, strict=True)]
        none_less = is_none_less(hours, place) & is_none_less(rest, place)
    else:
        none_less = is_none_less([edge.sum(one, hour) - less for one, less in zip(ways, spared, strict=True)], place)
    return surety(float(np.mean(none_less)), 0.0, len(ways))


def is_none_less(numbers: Sequence[Number], place: int) -> npt.NDArray[np.bool_]:
    """For each draw, whether none of several numbers is less than the one at a place."""
    draws = table_of_draws(numbers)
    none_less: npt.NDArray[np.bool_] = draws[place] <= draws.min(axis=0)
    return none_less


def whole_job(of_tasks: Sequence[Judged]) -> Surety:
    """How sure it is that the winners of all tasks together have the least: never surer than the least sure task.

    It goes by the share of draws in which each is the least of its task. Tasks with one way, or with ways that are
    the same, add no doubt.
    """
    if all(one.surety is Surety.ONLY_ONE for one in of_tasks):
        return Surety.ONLY_ONE
    open_ones = [one for one in of_tasks if one.surety not in (Surety.ONLY_ONE, Surety.SAME)]
    if not open_ones:
        return Surety.SAME
    least = [one.is_least for one in open_ones if one.is_least is not None]
    if len(least) < len(open_ones) or any(one.surety is Surety.NOT_KNOWN for one in open_ones):
        return Surety.NOT_KNOWN
    share = float(np.mean(np.prod(np.vstack(np.broadcast_arrays(*least)), axis=0)))
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
    """Which way of a task wins on which measure, as far as settled; None if nothing is."""
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
