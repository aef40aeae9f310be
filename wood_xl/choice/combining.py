"""The order in which the tasks of a season are done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from wood_xl.data.trade import tasks as all_tasks
from wood_xl.hours.methods import MethodTotals


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


def first_days(tried: Sequence[MethodTotals]) -> dict[str, str | None]:
    """First day of each task, of those that have one."""
    days: dict[str, str | None] = {}
    for t in tried:
        dates = [s.session.date for s in t.counted if s.session.date]
        first = min(dates, default=None)
        before = days.get(t.method.task)
        days[t.method.task] = min((day for day in (first, before) if day), default=None)
    return days
