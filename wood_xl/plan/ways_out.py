"""Ways out of limits that do not allow all the wood: the least change of each, found by planning again."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import NamedTuple

from wood_xl.data.load import value
from wood_xl.page_texts import Month
from wood_xl.plan.calendar import WEEK
from wood_xl.plan.inputs import CARBON, CASH, HOURS, NEAR, PEOPLE, WEEKDAYS, PlanInputs, day_number, day_text, window
from wood_xl.plan.plan import Plan, reaches
from wood_xl.reasons import Said, said
from wood_xl.records import NextSeason
from wood_xl.verdicts import Raise, Weekday

HALF_HOURS = 2.0  # per hour: a limit on hours changes in steps of half an hour
MOST_TIMES = 16.0  # a limit that has to grow by a larger factor is no way out
FIGURES = 2  # digits that an amount of money is rounded up to


class WayOut(NamedTuple):
    """The least change of one limit that allows all the wood."""

    limit: Said | None  # as in the table of limits; None if it has no row there
    raised_frac: float  # the raise, as a share of the limit
    sentence: Said


def ways_out(inputs: PlanInputs, plan: Plan) -> list[WayOut]:
    """The least change of each limit that allows all the wood by itself; none if all is planned already.

    Each change is tried by planning again: weekly hours by half an hour, the ready-by day by weeks, workdays and
    people one by one, money rounded up to two digits.
    """
    if plan.cords >= inputs.cords * (1 - NEAR):
        return []
    tries = (_hours, _ready_by, _work_days, _people, _cash, _carbon)
    return [way for one in tries for way in one(inputs)]


def _is_enough(inputs: PlanInputs, **changed: object) -> bool:
    wanted: NextSeason = replace(inputs.wanted, **changed)  # type: ignore[arg-type]
    people_n = wanted.people_n or inputs.people_n
    return reaches(replace(inputs, wanted=wanted, window=window(wanted), people_n=people_n, trials=()))


def _least(is_enough: Callable[[int], bool], most: int) -> int | None:
    """The least number from 1 to ``most`` that is enough, or None; if a number is enough, so is each larger one."""
    low, high = 0, 1
    while not is_enough(high):
        if high == most:
            return None
        low, high = high, min(2 * high, most)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if is_enough(middle) else (middle, high)
    return high


def _hours(inputs: PlanInputs) -> Iterator[WayOut]:
    hours = inputs.wanted.hours_per_week
    if hours is None or inputs.window is None:
        return
    begun = math.floor(hours * HALF_HOURS)
    most = math.ceil(max(hours, 1 / HALF_HOURS) * MOST_TIMES * HALF_HOURS) - begun
    more = _least(lambda n: _is_enough(inputs, hours_per_week=(begun + n) / HALF_HOURS), most)
    if more is not None:
        enough = (begun + more) / HALF_HOURS
        raised = enough / hours - 1 if hours else math.inf
        yield WayOut(HOURS, raised, said(Raise.HOURS, hours=enough, before=hours))


def _ready_by(inputs: PlanInputs) -> Iterator[WayOut]:
    if inputs.window is None or inputs.wanted.ready_by is None or not inputs.wanted.hours_per_week:
        return
    last = day_number(inputs.wanted.ready_by)
    most = (inputs.window.first + int(value("plan.most_weeks")) * WEEK - 1 - last) // WEEK
    if most < 1:
        return
    weeks_n = _least(lambda n: _is_enough(inputs, ready_by=day_text(last + n * WEEK)), most)
    if weeks_n is not None:
        year, month, day = map(int, day_text(last + weeks_n * WEEK).split("-"))
        when = {"month": [*Month][month - 1], "day": day, "year": str(year)}
        later = Raise.READY_BY if weeks_n > 1 else Raise.READY_BY_NEXT
        yield WayOut(None, weeks_n / inputs.window.weeks_n, said(later, weeks=weeks_n, **when))


def _work_days(inputs: PlanInputs) -> Iterator[WayOut]:
    if inputs.window is None:
        return
    days = inputs.window.weekdays
    others = [day for day in WEEKDAYS if day not in days][: max(int(value("plan.work_days_a_week")) - len(days), 0)]
    if not others:
        return
    added_n = _least(lambda n: _is_enough(inputs, weekdays=(*days, *others[:n])), len(others))
    if added_n is not None:
        added = tuple([*Weekday][day] for day in others[:added_n])
        yield WayOut(None, added_n / len(days), said(Raise.WORK_DAYS, days=added))


def _people(inputs: PlanInputs) -> Iterator[WayOut]:
    most = inputs.left_out_people_n
    if inputs.window is None or most < 1:
        return
    more = _least(lambda n: _is_enough(inputs, people_n=inputs.people_n + n), most)
    if more is not None:
        enough = inputs.people_n + more
        yield WayOut(PEOPLE, more / inputs.people_n, said(Raise.PEOPLE, n=enough, before=inputs.people_n))


def _cash(inputs: PlanInputs) -> Iterator[WayOut]:
    limit = inputs.wanted.cash_limit
    if limit is None or not _is_enough(inputs, cash_limit=None):
        return
    enough = _amount(limit, lambda amount: _is_enough(inputs, cash_limit=amount))
    if enough is not None:
        currency = next(iter(inputs.aims.values())).choice.currency
        sentence = said(Raise.CASH, cash=enough, before=limit, currency=currency)
        yield WayOut(CASH, enough / limit - 1 if limit else math.inf, sentence)


def _carbon(inputs: PlanInputs) -> Iterator[WayOut]:
    limit = inputs.wanted.carbon_limit_kg
    if not limit or not _is_enough(inputs, carbon_limit_kg=None):
        return
    percent = _least(lambda n: _is_enough(inputs, carbon_limit_kg=limit * (1 + n / 100)), int(100 * MOST_TIMES))
    if percent is not None:
        yield WayOut(CARBON, percent / 100, said(Raise.CARBON, percent=percent))


def _amount(limit: float, is_enough: Callable[[float], bool]) -> float | None:
    steps = [
        figure * 10.0**power
        for power in range(8)
        for figure in range(10 ** (FIGURES - 1), 10**FIGURES)
        if figure * 10.0**power > limit
    ]
    at = _least(lambda n: is_enough(steps[n - 1]), len(steps))
    return None if at is None else steps[at - 1]
