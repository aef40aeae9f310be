"""Who tries which methods of each task, by the rule of who may, and who is left out of what.

Source: wood_xl_definitions, trials: who takes part. Somebody who may do only one method cannot compare anything.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

from wood_xl.data.trade import tasks
from wood_xl.hours.methods import MethodTotals
from wood_xl.plan.crews import DayLimit, Household, day_limits
from wood_xl.plan.who_may import Work, in_sight_of, is_adult
from wood_xl.reasons import Said, said
from wood_xl.trial_records import LeftOutOfTrial, NotTried
from wood_xl.verdicts import NotPlanned


class TaskTrial(NamedTuple):
    """A task to try."""

    task: str
    ways: tuple[Work, ...]
    may: Mapping[str, tuple[Work, ...]]  # methods of each person who takes part, two or more
    # known limits on the minutes of a day, by person and method
    limits: Mapping[tuple[str, str], Sequence[DayLimit]] = MappingProxyType({})


Groups = Mapping[str, Sequence[MethodTotals]]


def groups_of(totals: Sequence[MethodTotals]) -> Groups:
    """Methods of each task that has two or more; tasks in the order of the work."""
    by_task = {task: [t for t in totals if t.method.task == task] for task in tasks()}
    return {task: group for task, group in by_task.items() if len(group) > 1}


def trials_of(groups: Groups, household: Household) -> tuple[list[TaskTrial], list[NotTried]]:
    """The trial of each task, and who is left out."""
    trials, left_out = [], list[NotTried]()
    for task, group in groups.items():
        trial, reasons = _trial(task, group, household)
        trials.append(trial)
        left_out += reasons
    return trials, _joined(left_out)


def _trial(task: str, group: Sequence[MethodTotals], household: Household) -> tuple[TaskTrial, list[NotTried]]:
    able, left_out = _able(group, household)
    ways, may, without_crew = _who_compares(able, household.people)
    left_out += without_crew
    why = said(LeftOutOfTrial.ONE_ALONE, task=tasks()[task].name)
    for name in household.people:
        own = tuple(way.method for way, names in able.items() if name in names)
        left_out += [NotTried(name, own, why)] if own and name not in may else []
    limits = {
        (name, t.method.name): day_limits(t, (name,), household)
        for t in group
        for name, own in may.items()
        if t.method.name in {way.method for way in own}
    }
    return TaskTrial(task, ways, may, limits), left_out


def _able(group: Sequence[MethodTotals], household: Household) -> tuple[dict[Work, list[str]], list[NotTried]]:
    """Who may do each method, and who is left out of what by a rule."""
    people = list(household.people.values())
    adults_n = sum(map(is_adult, people))
    able: dict[Work, list[str]] = {}
    left_out: list[NotTried] = []
    for t in group:
        way = household.work(t.method)
        reasons = [_why_not(person.name, t, household) for person in people]
        names = [person.name for person, reason in zip(people, reasons, strict=True) if reason is None]
        if way.is_watched and adults_n <= way.people_n:  # none is left to stand in sight
            why = said(NotPlanned.NO_ONE_IN_SIGHT)
            reasons += [NotTried(name, (way.method,), why, "people.age") for name in names]
            names = []
        left_out += [reason for reason in reasons if reason is not None]
        left_out += [] if names else [NotTried("", (way.method,), said(NotPlanned.NOBODY_MAY))]
        able |= {way: names} if names else {}
    return able, left_out


def _who_compares(
    able: Mapping[Work, Collection[str]], people: Collection[str]
) -> tuple[tuple[Work, ...], dict[str, tuple[Work, ...]], list[NotTried]]:
    """Methods with enough people who may do two or more, these people with theirs, and methods with too few."""
    ways, too_few = tuple(able), list[NotTried]()
    while True:
        of_person = {name: tuple(way for way in ways if name in able[way]) for name in people}
        may = {name: own for name, own in of_person.items() if len(own) > 1}
        short = [way for way in ways if sum(way in own for own in may.values()) < way.people_n]
        if not short:
            return ways, may, too_few
        for way in short:
            if way.people_n > 1:
                takes = said(LeftOutOfTrial.TOO_FEW, takes=way.people_n)
                too_few.append(NotTried("", (way.method,), takes, "methods.crew", way.method))
        ways = tuple(way for way in ways if way not in short)


def _why_not(person: str, totals: MethodTotals, household: Household) -> NotTried | None:
    method, left_out = totals.method, household.why_not(person, totals)
    if left_out is not None:
        return NotTried(person, (method.name,), left_out.why, left_out.cell, left_out.row)
    if household.work(method).is_watched and not in_sight_of(person, household.people.values()):
        return NotTried(person, (method.name,), said(NotPlanned.NO_ONE_IN_SIGHT), "people.age")
    return None


def _joined(left_out: Sequence[NotTried]) -> list[NotTried]:
    methods: dict[tuple[str, Said, str, str], list[str]] = {}
    for one in left_out:
        methods.setdefault((one.person, one.why, one.cell, one.row), []).extend(one.methods)
    return [NotTried(person, tuple(own), why, *cell) for (person, why, *cell), own in methods.items()]
