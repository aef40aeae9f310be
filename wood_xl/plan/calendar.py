"""Fills weeks with sessions: who does what on which day, within weekly hours, longest sessions and rest days.

A day is a whole number and its weekday the number modulo 7, 0 for Monday (``datetime.date.toordinal() - 1``).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, field, fields
from typing import NamedTuple

MIN_PER_H = 60.0
WEEK = 7
TINY = 1e-6  # share of the cords of a block that counts as none


class Crew(NamedTuple):
    """People who do a method together."""

    people: tuple[str, ...]
    longest_min: float  # most of it in a day, by the longest session and the limits on strain and exposure
    in_sight: tuple[str, ...] = ()  # one of them has to be there and do nothing else; empty if nobody has to
    hard: frozenset[str] = frozenset()  # people for whom it is hard work: they do no hard work on the day after


class Block(NamedTuple):
    """Work of one method, for any of its crews; with a rented tool it is packed into the fewest days."""

    task: int
    method: str
    cords: float
    worker_hours_per_cord: float
    crews: tuple[Crew, ...]
    is_rented: bool = False

    @property
    def worker_min(self) -> float:
        """Total minutes of work of all workers."""
        return self.cords * self.worker_hours_per_cord * MIN_PER_H


class Visit(NamedTuple):
    """One session of the plan."""

    day: int
    block: Block
    people: tuple[str, ...]
    minutes: float
    cords: float
    task_cords: float  # of the task so far, this session included
    turn: int = 0  # 1 or 2 for the first or second method of a trial day, else 0
    in_sight: str = ""  # who stands in sight; empty if nobody has to
    hard: frozenset[str] = frozenset()  # people for whom it is a hard day


class TrialDays(NamedTuple):
    """Days on which two methods of a task are done one after the other, before any other work of that task."""

    methods: tuple[str, str]
    crews: tuple[Crew, Crew]
    minutes: float  # of each of the two, whatever the longest of its crew
    days_n: int
    is_in_order: bool = False  # whether the first always begins; else they take turns from day to day
    is_enough: bool = False  # whether they are likely to settle the comparison

    @property
    def people(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """People of each of the two methods."""
        return self.crews[0].people, self.crews[1].people

    @property
    def worker_hours(self) -> tuple[float, float]:
        """Worker hours of each of the two methods on one day."""
        first, second = (self.minutes * len(people) / MIN_PER_H for people in self.people)
        return first, second


class Rules(NamedTuple):
    """Limits that every week keeps."""

    week_min: float  # most minutes of work in a week
    people_n: int
    weekdays: tuple[int, ...]  # by preference; a week uses only as many as its hours need
    shortest_min: float  # shortest session
    step_min: float  # sessions last whole steps
    least_week_min: float = 0.0  # least work of a week that is worth spreading to


class Manner(NamedTuple):
    """How a calendar is filled, within the rules."""

    week_min: float  # most minutes of work in a week, rented tools aside
    is_even: bool  # sessions of a week have similar length; else each is as long as possible
    is_pulled: bool  # wood goes on to its next task before more is started
    is_gathered: bool  # work with a rented tool waits until all its wood is ready


@dataclass
class State:
    """How far the work has come."""

    left: dict[int, float]  # cords of each block
    done: dict[int, float] = field(default_factory=dict)  # cords of each task
    worked: dict[str, float] = field(default_factory=dict)  # minutes of each person
    visits: list[Visit] = field(default_factory=list)
    tried: dict[TrialDays, int] = field(default_factory=dict)  # days held of each trial
    hard_on: dict[str, int] = field(default_factory=dict)  # last hard day of each person

    def copy(self) -> State:
        """An independent copy."""
        return State(*(copy(getattr(self, part.name)) for part in fields(self)))

    def is_rested(self, crew: Crew, day: int) -> bool:
        """Whether nobody for whom this work is hard did hard work the day before."""
        return all(self.hard_on.get(person) != day - 1 for person in crew.hard)

    def add(self, at: int, visit: Visit) -> None:
        """Record a session of a block."""
        self.visits.append(visit)
        self.hard_on |= dict.fromkeys(visit.hard, visit.day)
        self.done[visit.block.task] = visit.task_cords
        for person in visit.people:
            self.worked[person] = self.worked.get(person, 0.0) + visit.minutes
        left = self.left.pop(at, 0.0) - visit.cords
        if left > TINY * visit.block.cords:
            self.left[at] = left

    def used_min(self, before: State) -> float:
        """Minutes of work since an earlier state."""
        return math.fsum(v.minutes * len(v.people) for v in self.visits[len(before.visits) :])


class _Work(NamedTuple):
    """The work to place, and how to place it."""

    blocks: Sequence[Block]
    trials: Sequence[TrialDays]
    rules: Rules
    manner: Manner


def weeks(
    blocks: Sequence[Block], trials: Sequence[TrialDays], first_day: int, last_day: int, rules: Rules, manner: Manner
) -> State:
    """Fill weeks one after the other.

    Each person has at most one session a day, from the first block with wood ready: what the task before finished
    by the day before. Nobody does hard work on the day after hard work. Whoever has worked least comes first. A
    session lasts whole steps, within the block, the longest session, the week and the wood; only the end of a block
    may be shorter than the shortest session. A week uses as few weekdays as its work needs, and all of its limit
    once the wood for a rented tool is gathered.

    Whoever stands in sight does nothing else that day, except to take turns with those who share the tool. Trial
    days come as soon as there is wood for them, at most one a person a day; their hours and wood count, and their
    two sessions are a day's work. No other session of a task comes before the day after its last trial.

    Source: wood_xl_definitions, calendar of sessions.

    >>> rules = Rules(week_min=60, people_n=1, weekdays=(5,), shortest_min=15, step_min=5)
    >>> saw = Block(0, "saw", cords=2, worker_hours_per_cord=3, crews=(Crew(("Mara",), 150),))
    >>> weeks([saw], (), 0, 13, rules, Manner(60, True, False, False)).done
    {0: 0.6666666666666666}
    """
    state, work = State({at: block.cords for at, block in enumerate(blocks)}), _Work(blocks, trials, rules, manner)
    longest = max((crew.longest_min for block in blocks for crew in block.crews), default=0.0)
    if not trials and longest < rules.step_min * (1 - 2 * TINY):
        return state  # no session is long enough, as where hours were written for minutes
    for week_start in range(first_day, last_day + 1, WEEK):
        if not state.left or not manner.week_min:
            break
        days = range(week_start, min(week_start + WEEK, last_day + 1))
        tries = []
        for n in range(1, len(rules.weekdays) + 1):
            week = [day for day in days if day % WEEK in rules.weekdays[:n]]
            tries.append(_week(work, state.copy(), week))
            most_min = rules.week_min if _has_gathered_wood(work, tries[-1]) else manner.week_min
            if not tries[-1].left or most_min - tries[-1].used_min(state) < rules.step_min:
                break
        used = [one.used_min(state) for one in tries]
        state = tries[next(at for at, minutes in enumerate(used) if minutes >= max(used) * (1 - TINY))]
    return state


def _has_gathered_wood(work: _Work, state: State) -> bool:
    """Whether all wood for a rented tool is ready, so that its work can go on the next day."""
    rented = [(at, block) for at, block in enumerate(work.blocks) if block.is_rented and work.manner.is_gathered]
    day = _Day(work, state, 0, 0.0, work.rules.week_min) if rented else None
    return day is not None and any(not day.waits(at, block) for at, block in rented)


def _week(work: _Work, state: State, days: Sequence[int]) -> State:
    left_min, most_min = work.manner.week_min, work.rules.week_min
    order = list(enumerate(work.blocks))
    if work.manner.is_pulled:
        order.sort(key=lambda one: -one[1].task)
    for number in days:
        day = _Day(work, state, number, left_min, most_min)
        untried = day.hold_trials()
        for at, block in order:
            if block.task not in untried and not day.waits(at, block):
                day.hold_sessions(at, block)
        left_min, most_min = day.left_min, day.most_min
    return state


@dataclass
class _Day:
    """One day that is being filled."""

    work: _Work
    state: State
    day: int
    left_min: float  # left in the week of its planned minutes
    most_min: float  # left in the week of its limit
    ready: dict[int, float] = field(init=False)  # cords ready for each task but the first, as of the day before
    there: set[str] = field(default_factory=set)  # everybody, those in sight included
    at_block: dict[int, set[str]] = field(default_factory=dict)  # the same by block, where somebody is in sight
    worked: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        tasks, done = sorted({block.task for block in self.work.blocks}), self.state.done
        self.ready = {
            task: max(done.get(before, 0.0) - done.get(task, 0.0), 0.0) for before, task in itertools.pairwise(tasks)
        }

    def wood(self, block: Block) -> float:
        """Cords ready for a block."""
        return self.ready.get(block.task, math.inf)

    def room_min(self, block: Block) -> float:
        """Minutes of work left in the week for a block."""
        return self.most_min if block.is_rented else self.left_min

    def waits(self, at: int, block: Block) -> bool:
        """Whether nothing of a block can be done today: it is done, or lacks time or wood."""
        is_short = self.room_min(block) < self.work.rules.step_min * (1 - 2 * TINY)
        if at not in self.state.left or self.wood(block) <= 0.0 or is_short:
            return True
        is_gathered = block.is_rented and self.work.manner.is_gathered
        return is_gathered and self.wood(block) < self.state.left[at] - TINY * block.cords

    def hold_sessions(self, at: int, block: Block) -> None:
        """Hold a session of each crew that can begin one; whoever has worked least comes first."""
        crews = block.crews
        if len(crews) > 1:  # most blocks have a single crew: skip the sort
            crews = tuple(sorted(crews, key=lambda crew: max([self.state.worked.get(p, 0.0) for p in crew.people])))
        too_short = set[tuple[int, float]]()  # crew sizes and longest sessions that can begin none
        for crew in crews:
            if at not in self.state.left:
                break
            kind = len(crew.people), crew.longest_min
            if kind in too_short or not self.state.is_rested(crew, self.day):
                continue
            in_sight = self.in_sight(at, crew)
            if in_sight is None:
                continue
            made = self.minutes_and_cords(at, block, crew)
            if made is None:
                too_short.add(kind)
                continue
            too_short.clear()
            if in_sight:
                self.at_block.setdefault(at, set()).update({*crew.people, in_sight})
            self.add(at, Visit(self.day, block, crew.people, *made, 0.0, in_sight=in_sight, hard=crew.hard))

    def add(self, at: int, visit: Visit) -> None:
        """Record a session: it takes people, time of the week and ready wood."""
        worker_min = visit.minutes * len(visit.people)
        self.left_min, self.most_min = self.left_min - worker_min, self.most_min - worker_min
        self.worked.update(visit.people)
        self.there.update(visit.people)
        if visit.in_sight:
            self.there.add(visit.in_sight)
        task = visit.block.task
        if task in self.ready:
            self.ready[task] -= visit.cords
        self.state.add(at, visit._replace(task_cords=self.state.done.get(task, 0.0) + visit.cords))

    def in_sight(self, at: int, crew: Crew) -> str | None:
        """Who stands in sight of a crew, empty if nobody has to; None if the crew cannot work today.

        People at one block share its tool and take turns: whoever worked there may stand by, and the reverse.
        """
        here = self.at_block.get(at, set())
        busy = self.there - here | self.worked if here else self.there
        return self._beside(crew, here) if busy.isdisjoint(crew.people) else None

    def _beside(self, crew: Crew, near: set[str]) -> str | None:
        """Who stands in sight of a crew: somebody near, else whoever has worked least; None if too many are there."""
        beside, there = "", self.there.union(crew.people)
        if crew.in_sight:
            free = [p for p in crew.in_sight if p not in crew.people and (p in near or p not in self.there)]
            if not free:
                return None
            beside = min(free, key=lambda person: (person not in near, self.state.worked.get(person, 0.0)))
            there.add(beside)
        return beside if len(there) <= self.work.rules.people_n else None

    def hold_trials(self) -> set[int]:
        """Hold the trials that fit; returns the tasks that still had one to come."""
        blocks = self.work.blocks
        to_come = [trial for trial in self.work.trials if self.state.tried.get(trial, 0) < trial.days_n]
        for trial in to_come:
            in_sight = self._in_sight_of_trial(trial)
            has_time = math.fsum(trial.worker_hours) * MIN_PER_H <= self.most_min + TINY
            if in_sight is not None and has_time:
                self._hold_trial(trial, in_sight)
        return {block.task for block in blocks for trial in to_come if block.method in trial.methods}

    def _in_sight_of_trial(self, trial: TrialDays) -> tuple[str, str] | None:
        """Who stands in sight of each method, as ``in_sight``; None if the trial cannot be held today."""
        both = {person for crew in trial.people for person in crew}
        if both & self.there or not all(self.state.is_rested(crew, self.day) for crew in trial.crews):
            return None
        first, second = (self._beside(crew, both) for crew in trial.crews)
        return None if first is None or second is None else (first, second)

    def _hold_trial(self, trial: TrialDays, in_sight: tuple[str, str]) -> None:
        """Both methods one after the other, if there is wood for them, and who is busy with them."""
        blocks, state = self.work.blocks, self.state
        of_method = {block.method: at for at, block in enumerate(blocks)}
        order = [of_method[name] for name in trial.methods]
        amounts = [
            min(hours / blocks[at].worker_hours_per_cord, state.left.get(at, 0.0))
            for at, hours in zip(order, trial.worker_hours, strict=True)
        ]
        if math.fsum(amounts) > self.wood(blocks[order[0]]):
            return
        turns = list(zip(order, trial.crews, amounts, in_sight, strict=True))
        tried = state.tried.get(trial, 0)
        is_turned = tried % 2 == 1 and not trial.is_in_order
        hard = frozenset(person for one in trial.crews for person in one.hard)
        for turn, (at, crew, cords, beside) in enumerate(reversed(turns) if is_turned else turns, start=1):
            self.add(at, Visit(self.day, blocks[at], crew.people, trial.minutes, cords, 0.0, turn, beside, hard))
        state.tried[trial] = tried + 1

    def minutes_and_cords(self, at: int, block: Block, crew: Crew) -> tuple[float, float] | None:
        """Length and output of a crew's session; None if it would not be worth going out for."""
        rules, people_n = self.work.rules, len(crew.people)
        cords = min(self.state.left[at], self.wood(block))
        is_rest = self.state.left[at] - cords <= TINY * block.cords
        whole = cords * block.worker_hours_per_cord * MIN_PER_H / people_n
        room = self.room_min(block) / people_n
        most = whole_steps(min(crew.longest_min, room), rules.step_min)
        shortest = min(rules.shortest_min, crew.longest_min, rules.week_min / people_n)
        if is_rest and most > 0:  # finish a scrap with the rest, if the limit of the week has room
            with_scrap = whole_steps(min(room + shortest, self.most_min / people_n, crew.longest_min), rules.step_min)
            if whole <= with_scrap:
                return min(steps_up(whole, rules.step_min), with_scrap), cords
        if self.work.manner.is_even and not block.is_rented and most > 0:
            share = room / math.ceil(room / most - TINY)  # as long as the other sessions of the week
            most = min(steps_up(share, rules.step_min), most)
        if whole <= most and is_rest:
            return min(steps_up(whole, rules.step_min), most), cords
        if is_rest and most >= 2 * shortest > 2 * (whole - most):  # leave no scrap for another day
            most -= shortest
        minutes = whole_steps(min(whole, most), rules.step_min)
        if minutes < rules.step_min or minutes < whole_steps(shortest, rules.step_min):
            return None
        return minutes, min(cords, minutes * people_n / MIN_PER_H / block.worker_hours_per_cord)


def whole_steps(minutes: float, step_min: float) -> float:
    """Minutes rounded down to whole steps.

    Source: wood_xl_definitions, calendar of sessions.

    >>> whole_steps(14, 5)
    10
    """
    return math.floor(minutes / step_min + TINY) * step_min


def steps_up(minutes: float, step_min: float) -> float:
    """Minutes rounded up to whole steps.

    Source: wood_xl_definitions, calendar of sessions.

    >>> steps_up(14, 5)
    15
    """
    return math.ceil(minutes / step_min - TINY) * step_min
