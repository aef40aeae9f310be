"""Routes: one method for each task that turns logs into stacked firewood, and what a cord costs along each."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

TASKS = ("fell", "limb", "buck", "split", "stack")  # in the order that the wood goes through them
HAUL = "haul"


class MethodRates(NamedTuple):
    """What a cord takes with one method; a text in place of a figure says why it is missing."""

    name: str
    task: str
    per_cord: Mapping[str, float | str]


class Route(NamedTuple):
    """Methods in the order of their tasks, and what a cord takes along the whole route."""

    methods: tuple[str, ...]
    per_cord: dict[str, float | str]


class RouteSet(NamedTuple):
    """Routes, and the methods left out of them because another method of the task beats each in everything."""

    routes: list[Route]
    left_out: list[str]


def task_order(first_days: Mapping[str, str | None]) -> tuple[str, ...]:
    """Order in which the tasks of a season are done.

    Felling, limbing, bucking, splitting, stacking. Hauling goes where the season put it: after the last task that was
    begun before it; first if no date tells.

    Parameters
    ----------
    first_days : mapping
        Each task of the season, with the first day that it was done as yyyy-mm-dd, or None.

    Returns
    -------
    tuple of str
        The same tasks in order.

    References
    ----------
    wood_xl_definitions, order of the tasks.

    Examples
    --------
    >>> task_order({"split": "2025-04-01", "haul": "2025-03-09", "buck": "2025-03-08"})
    ('buck', 'haul', 'split')
    >>> task_order({"haul": None, "buck": None})
    ('haul', 'buck')
    """
    order = [task for task in TASKS if task in first_days]
    if HAUL not in first_days:
        return tuple(order)
    hauled = first_days[HAUL]
    before = [at for at, task in enumerate(order) if hauled is not None and (first_days[task] or hauled) < hauled]
    order.insert(max(before, default=-1) + 1, HAUL)
    return tuple(order)


def routes(*, methods: Sequence[MethodRates], tasks: Sequence[str], figures: Sequence[str], most: int) -> RouteSet:
    """All routes through the tasks, one method for each.

        figure of a route = sum over its tasks of the method's figure per cord

    Parameters
    ----------
    methods : sequence of MethodRates
        Methods that were tried.
    tasks : sequence of str
        Tasks that a cord needs, in order; each has a method.
    figures : sequence of str
        Figures that are added up.
    most : int
        If there were more routes than this, a method that another method of its task beats in every figure is left
        out; no route with it can be best.

    Returns
    -------
    RouteSet
        In the order of the methods; a figure that one of the methods lacks is the text that says so.

    Raises
    ------
    ValueError
        If a task has no method.

    References
    ----------
    wood_xl_definitions, route.

    Examples
    --------
    >>> saw = MethodRates("saw", "buck", {"hours": 3.0, "cash": 10.0})
    >>> axe = MethodRates("axe", "split", {"hours": 4.0, "cash": "no price of axe"})
    >>> routes(methods=[saw, axe], tasks=["buck", "split"], figures=["hours", "cash"], most=9).routes
    [Route(methods=('saw', 'axe'), per_cord={'hours': 7.0, 'cash': 'axe: no price of axe'})]
    """
    by_task = [[method for method in methods if method.task == task] for task in tasks]
    if not all(by_task):
        raise ValueError(
            f"no method for {', '.join(t for t, found in zip(tasks, by_task, strict=True) if not found)}"
        )
    left_out: list[str] = []
    if math.prod(map(len, by_task)) > most:
        kept = [_unbeaten(of_task, figures) for of_task in by_task]
        left_out = [m.name for all_of, some in zip(by_task, kept, strict=True) for m in all_of if m not in some]
        by_task = kept
    return RouteSet([_route(chosen, figures) for chosen in itertools.product(*by_task)], left_out)


def _route(methods: Sequence[MethodRates], figures: Iterable[str]) -> Route:
    per_cord: dict[str, float | str] = {}
    for figure in figures:
        known = []
        for method in methods:
            number = method.per_cord[figure]
            if isinstance(number, str):
                per_cord[figure] = f"{method.name}: {number}"
                break
            known.append(number)
        else:
            per_cord[figure] = math.fsum(known)
    return Route(tuple(method.name for method in methods), per_cord)


def _unbeaten(methods: Sequence[MethodRates], figures: Sequence[str]) -> list[MethodRates]:
    return [m for m in methods if not any(_beats(other, m, figures) for other in methods)]


def _beats(one: MethodRates, other: MethodRates, figures: Sequence[str]) -> bool:
    pairs = [(one.per_cord[figure], other.per_cord[figure]) for figure in figures]
    if any(isinstance(a, str) or isinstance(b, str) for a, b in pairs):
        return False
    return all(a < b for a, b in pairs)  # type: ignore[operator]
