"""Combinations: one method for each task that turns logs into stacked firewood, and what a cord costs by each."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from wood_xl.data.trade import tasks as all_tasks
from wood_xl.reasons import Reason, Said, said


class MethodRates(NamedTuple):
    """What a cord takes with one method, or why a figure is missing."""

    name: str
    task: str
    per_cord: Mapping[str, float | Said]


class Combination(NamedTuple):
    """Methods in the order of their tasks, and what a cord takes by all of them."""

    methods: tuple[str, ...]
    per_cord: dict[str, float | Said]


class CombinationSet(NamedTuple):
    """Combinations, and how many more there are that were left out."""

    combinations: list[Combination]
    left_out_n: int


def task_order(first_days: Mapping[str, str | None]) -> tuple[str, ...]:
    """Order in which the tasks of a season are done.

    Felling, limbing, bucking, splitting, stacking. Hauling goes where the season put it: after the last task that was
    begun before it; first if no date tells.

    first_days: each task of the season, with the first day that it was done as yyyy-mm-dd, or None.

    Returns the same tasks in order.

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


def combinations(
    *, methods: Sequence[MethodRates], tasks: Sequence[str], figures: Sequence[str], judged: Sequence[str], most: int
) -> CombinationSet:
    """All combinations of methods, one for each task.

        figure of a combination = sum over its tasks of the method's figure per cord

    If there are too many, those stay that are first in one of the judged figures or in the mean of all, each taken in
    its turn: the first of all by the first figure, by the second, and so on, then the second of all.

    methods: methods that were tried.
    tasks: tasks that a cord needs, in order; each has a method.
    figures: figures that are added up.
    judged: those of them that the choice hangs on.
    most: most combinations to keep.

    Returns in the order of the methods; a figure that one of the methods lacks is the reason.

    Errors: ValueError if a task has no method.
    Source: wood_xl_definitions, combination.

    >>> saw = MethodRates("saw", "buck", {"hours": 3.0, "cash": 10.0})
    >>> axe = MethodRates("axe", "split", {"hours": 4.0, "cash": said(Reason.NO_PRICE)})
    >>> keys = ("hours", "cash")
    >>> tasks = ["buck", "split"]
    >>> first = combinations(methods=[saw, axe], tasks=tasks, figures=keys, judged=keys, most=9).combinations[0]
    >>> first.methods, first.per_cord["hours"], first.per_cord["cash"]["method"]
    (('saw', 'axe'), 7.0, 'axe')
    """
    by_task = [[method for method in methods if method.task == task] for task in tasks]
    if not all(by_task):
        raise ValueError(
            f"no method for {', '.join(t for t, of_task in zip(tasks, by_task, strict=True) if not of_task)}"
        )
    means = {figure: _mean(figure, methods) for figure in judged}
    chosen: list[tuple[MethodRates, ...]] = [()]
    for of_task in by_task:
        longer = [(*before, method) for before in chosen for method in of_task]
        chosen = longer if len(longer) <= most else _first_by_turns(longer, means, most)
    left_out_n = math.prod(map(len, by_task)) - len(chosen)
    return CombinationSet([_combination(some, figures) for some in chosen], left_out_n)


def _mean(figure: str, methods: Sequence[MethodRates]) -> float:
    sizes = [abs(number) for m in methods if not isinstance(number := m.per_cord[figure], Said)]
    return math.fsum(sizes) / len(sizes) if sizes else 0.0


def _first_by_turns(
    candidates: Sequence[tuple[MethodRates, ...]], means: Mapping[str, float], most: int
) -> list[tuple[MethodRates, ...]]:
    """The first by each figure and by the sum of their shares of the mean, in turns; in their old order."""
    shares = [{figure: _share(chosen, figure, mean) for figure, mean in means.items()} for chosen in candidates]
    rows = range(len(candidates))
    orders = [sorted(rows, key=lambda row: (shares[row][figure], row)) for figure in means]
    orders.append(sorted(rows, key=lambda row: (math.fsum(shares[row].values()), row)))
    kept: dict[int, None] = {}
    for turn in zip(*orders, strict=True):
        for row in turn:
            if len(kept) < most:
                kept[row] = None
    return [candidates[row] for row in sorted(kept)]


def _share(methods: Sequence[MethodRates], figure: str, mean: float) -> float:
    numbers = [method.per_cord[figure] for method in methods]
    summands = [number for number in numbers if not isinstance(number, Said)]
    return math.fsum(summands) / (mean or 1.0) if len(summands) == len(numbers) else math.inf


def _combination(methods: Sequence[MethodRates], figures: Iterable[str]) -> Combination:
    per_cord: dict[str, float | Said] = {}
    for figure in figures:
        summands = []
        for method in methods:
            number = method.per_cord[figure]
            if isinstance(number, Said):
                per_cord[figure] = said(Reason.OF_METHOD, method=method.name, why=number)
                break
            summands.append(number)
        else:
            per_cord[figure] = math.fsum(summands)
    return Combination(tuple(method.name for method in methods), per_cord)
