"""A dated list of sessions: who does what on which day, within hours a week, longest sessions and rest days.

Days are whole numbers that count up by one a day, and a weekday is the number modulo 7, so that no clock and no
calendar is needed here; 0 is a Monday if the numbers are those of the proleptic Gregorian calendar less one.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from wood_xl.calc.arguments import require_not_negative, require_positive

MIN_PER_H = 60.0
WEEK = 7
TINY = 1e-6  # of the cords of a block: as good as none


class Crew(NamedTuple):
    """People who do a method together.

    ``longest_min`` is the most of it in a day, by the longest session and the limits on strain and exposure.
    """

    people: tuple[str, ...]
    longest_min: float


class Block(NamedTuple):
    """Work of one method, which any of its crews can do."""

    task: int
    method: str
    cords: float
    worker_hours_per_cord: float
    crews: tuple[Crew, ...]


class Visit(NamedTuple):
    """One session of the plan.

    ``task_cords`` counts all cords of the task so far, with this session's. ``turn`` is 1 or 2 for the first and the
    second method of a trial day, else 0.
    """

    day: int
    block: Block
    people: tuple[str, ...]
    minutes: float
    cords: float
    task_cords: float
    turn: int = 0


class TrialDays(NamedTuple):
    """Days on which two methods of a task are done one after the other, before any other work of that task.

    ``people`` do each of the two, and each takes ``minutes``; the method that begins changes from day to day.
    """

    methods: tuple[str, str]
    people: tuple[tuple[str, ...], tuple[str, ...]]
    minutes: float
    days_n: int

    @property
    def worker_hours(self) -> tuple[float, float]:
        """Of each of the two methods, on one day."""
        first, second = (self.minutes * len(people) / MIN_PER_H for people in self.people)
        return first, second


class Rules(NamedTuple):
    """What every week keeps to.

    ``weekdays`` are those that can be worked on, in the order of preference: no more of them are used in a week than
    its hours need.
    """

    week_min: float
    people_n: int
    weekdays: tuple[int, ...]
    shortest_min: float
    step_min: float


@dataclass
class _State:
    """How far the work is: cords left of each block and done of each task, minutes of each person, trials held."""

    left: dict[int, float]
    done: dict[int, float] = field(default_factory=dict)
    worked: dict[str, float] = field(default_factory=dict)
    visits: list[Visit] = field(default_factory=list)
    tried: dict[TrialDays, int] = field(default_factory=dict)

    def copy(self) -> _State:
        return _State(dict(self.left), dict(self.done), dict(self.worked), list(self.visits), dict(self.tried))


def sessions(
    *, blocks: Sequence[Block], first_day: int, last_day: int, rules: Rules, trials: Sequence[TrialDays] = ()
) -> list[Visit]:
    """Sessions from the first day on, the blocks in their order, each wood through its tasks in order.

    Each week uses as few of its weekdays as its hours need. On a day each person has one session at most, of the
    first block that has wood ready: what the task before had done by the day before. Who has worked least so far
    comes first. A session lasts as many whole steps as the block, the longest session, the week and the wood allow;
    only the end of a block may be shorter than the shortest session. If the time is too short for all blocks, weeks
    of a half, a quarter and so on of the hours are tried too, since days with a task each can bring more wood to the
    end than days full of the first task; the list that brings most is kept, and more hours never make it worse.

    Trial days come as early as there is wood for them, one for a person in a day, and their hours and wood count. No
    other session of a task is held before the day after its last trial.

    Parameters
    ----------
    blocks : sequence of Block
        In order of preference.
    first_day : int
        Can be worked on; weeks begin with it.
    last_day : int
        Can be worked on.
    rules : Rules
        What every week keeps to.
    trials : sequence of TrialDays
        Each of two methods that have a block.

    Returns
    -------
    list of Visit
        By day; what they leave undone is the shortfall.

    Raises
    ------
    ValueError
        If the hours of a week are below zero, a block is of no size, or a trial has a method without a block.

    References
    ----------
    wood_xl_definitions, calendar of sessions.

    Examples
    --------
    >>> rules = Rules(week_min=240, people_n=1, weekdays=(5, 2), shortest_min=15, step_min=5)
    >>> saw = Block(0, "saw", cords=2, worker_hours_per_cord=3, crews=(Crew(("Mara",), 150),))
    >>> [(v.day, v.minutes, round(v.cords, 3)) for v in sessions(blocks=[saw], first_day=0, last_day=13, rules=rules)]
    [(2, 150, 0.833), (5, 90, 0.5), (12, 120, 0.667)]
    """
    require_not_negative(week_min=rules.week_min)
    for block in blocks:
        require_positive(cords=block.cords, hours=block.worker_hours_per_cord)
        for crew in block.crews:
            require_positive(longest_min=crew.longest_min)
    missing = {name for trial in trials for name in trial.methods} - {block.method for block in blocks}
    if missing:
        raise ValueError(f"no block of {', '.join(sorted(missing))}")
    last_task = max((block.task for block in blocks), default=0)
    found: list[Visit] = []
    finished = -1.0
    week_min = rules.week_min
    while True:
        state = _weeks(blocks, trials, first_day, last_day, rules._replace(week_min=week_min))
        cords = state.done.get(last_task, 0.0)
        if cords > finished * (1 + TINY):
            found, finished = state.visits, cords
        week_min /= 2
        if not state.left or week_min < max(rules.shortest_min, TINY):
            return found


def _weeks(
    blocks: Sequence[Block], trials: Sequence[TrialDays], first_day: int, last_day: int, rules: Rules
) -> _State:
    state = _State({at: block.cords for at, block in enumerate(blocks)})
    for week_start in range(first_day, last_day + 1, WEEK):
        if not state.left or not rules.week_min:
            break
        days = range(week_start, min(week_start + WEEK, last_day + 1))
        tries = [
            _week(blocks, trials, state.copy(), [d for d in days if d % WEEK in rules.weekdays[:n]], rules)
            for n in range(1, len(rules.weekdays) + 1)
        ]
        used = [math.fsum(v.minutes * len(v.people) for v in t.visits) for t in tries]
        state = tries[next(at for at, minutes in enumerate(used) if minutes >= max(used) * (1 - TINY))]
    return state


def _week(
    blocks: Sequence[Block], trials: Sequence[TrialDays], state: _State, days: Sequence[int], rules: Rules
) -> _State:
    left_min = rules.week_min
    for day in days:
        ready = _ready(blocks, state)
        open_trials = [trial for trial in trials if state.tried.get(trial, 0) < trial.days_n]
        untried = {block.task for block in blocks for trial in open_trials if block.method in trial.methods}
        busy, taken_min = _trials_of_day(blocks, open_trials, state, day, ready, left_min, rules)
        left_min -= taken_min
        if left_min < rules.step_min:  # no session is as short
            continue
        for at, block in enumerate(blocks):
            if block.task in untried:
                continue
            for crew in sorted(block.crews, key=lambda c: max(state.worked.get(p, 0.0) for p in c.people)):
                if at not in state.left:
                    break
                if busy & set(crew.people) or len(busy) + len(crew.people) > rules.people_n:
                    continue
                cords = min(state.left[at], ready.get(block.task, math.inf))
                is_rest = state.left[at] - cords <= TINY * block.cords
                made = _minutes_and_cords(block, crew, cords, left_min, rules, is_rest=is_rest)
                if made is None:
                    continue
                busy |= set(crew.people)
                left_min -= made[0] * len(crew.people)
                if block.task in ready:
                    ready[block.task] -= made[1]
                _add(state, at, Visit(day, block, crew.people, *made, state.done.get(block.task, 0.0) + made[1]))
    return state


def _trials_of_day(
    blocks: Sequence[Block],
    trials: Sequence[TrialDays],
    state: _State,
    day: int,
    ready: dict[int, float],
    left_min: float,
    rules: Rules,
) -> tuple[set[str], float]:
    """Hold the trials that a day has room for; who is busy with them, and their minutes."""
    busy: set[str] = set()
    taken_min = 0.0
    for trial in trials:
        people = {person for crew in trial.people for person in crew}
        at_once = max(map(len, trial.people))
        minutes = math.fsum(trial.worker_hours) * MIN_PER_H
        if busy & people or len(busy) + at_once > rules.people_n or minutes > left_min - taken_min + TINY:
            continue
        if _tried(blocks, trial, state, day, ready):
            busy |= people
            taken_min += minutes
    return busy, taken_min


def _tried(blocks: Sequence[Block], trial: TrialDays, state: _State, day: int, ready: dict[int, float]) -> bool:
    """Hold a trial day, if there is wood ready for it."""
    of_method = {block.method: at for at, block in enumerate(blocks)}
    turns = list(zip((of_method[name] for name in trial.methods), trial.people, trial.worker_hours, strict=True))
    amounts = {at: min(hours / blocks[at].worker_hours_per_cord, state.left.get(at, 0.0)) for at, _, hours in turns}
    task = blocks[turns[0][0]].task
    if math.fsum(amounts.values()) > ready.get(task, math.inf):
        return False
    tried = state.tried.get(trial, 0)
    for turn, (at, people, _) in enumerate(turns if tried % 2 == 0 else reversed(turns), start=1):
        so_far = state.done.get(task, 0.0) + amounts[at]
        _add(state, at, Visit(day, blocks[at], people, trial.minutes, amounts[at], so_far, turn))
    if task in ready:
        ready[task] -= math.fsum(amounts.values())
    state.tried[trial] = tried + 1
    return True


def _add(state: _State, at: int, visit: Visit) -> None:
    state.visits.append(visit)
    state.done[visit.block.task] = visit.task_cords
    for person in visit.people:
        state.worked[person] = state.worked.get(person, 0.0) + visit.minutes
    left = state.left.pop(at, 0.0) - visit.cords
    if left > TINY * visit.block.cords:
        state.left[at] = left


def _ready(blocks: Sequence[Block], state: _State) -> dict[int, float]:
    """Cords that each task but the first finds ready: those the task before has done, less its own."""
    tasks = sorted({block.task for block in blocks})
    return {
        task: max(state.done.get(before, 0.0) - state.done.get(task, 0.0), 0.0)
        for before, task in itertools.pairwise(tasks)
    }


def _minutes_and_cords(
    block: Block, crew: Crew, cords: float, week_left_min: float, rules: Rules, *, is_rest: bool
) -> tuple[float, float] | None:
    """Length and output of the next session of a block; None if it would not be worth going out for."""
    people_n = len(crew.people)
    whole = cords * block.worker_hours_per_cord * MIN_PER_H / people_n
    most = _whole_steps(min(crew.longest_min, week_left_min / people_n), rules.step_min)
    if whole <= most and is_rest:
        return min(math.ceil(whole / rules.step_min - TINY) * rules.step_min, most), cords
    shortest = min(rules.shortest_min, crew.longest_min, rules.week_min / people_n)
    if is_rest and most >= 2 * shortest > 2 * (whole - most):  # leave no scrap for another day
        most -= shortest
    minutes = _whole_steps(min(whole, most), rules.step_min)
    if minutes < rules.step_min or minutes < _whole_steps(shortest, rules.step_min):
        return None
    return minutes, min(cords, minutes * people_n / MIN_PER_H / block.worker_hours_per_cord)


def _whole_steps(minutes: float, step_min: float) -> float:
    return math.floor(minutes / step_min + TINY) * step_min
