"""Days, turns and order of a trial: each person does all methods of a task on one day and one pile, in turns.

The order of the methods changes from day to day, so that each comes first equally often. A powered saw always comes
first on its day. Sessions that were held already count toward the balance.

Source: wood_xl_definitions, trials: schedule (constants ``trials.rest``, ``trials.longest_day``).
"""

from __future__ import annotations

import datetime as dt
import hashlib
import math
import string
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import count, zip_longest
from typing import NamedTuple

from wood_xl.data.load import value
from wood_xl.plan.calendar import whole_steps
from wood_xl.plan.who_may import Work, in_sight_of
from wood_xl.records import Person
from wood_xl.trial.who import TaskTrial
from wood_xl.trial_records import TrialSession, TrialWanted
from wood_xl.verdicts import LimitedBy


class Done(NamedTuple):
    """A session that was held; ``person`` handled the tool. What is not written is empty."""

    task: str
    method: str
    person: str
    date: str
    pile: str


class _Slot(NamedTuple):
    """One person at one method in one turn."""

    person: str
    way: Work
    helpers: tuple[str, ...] = ()
    makes_up: bool = False

    @property
    def workers(self) -> tuple[str, ...]:
        return self.person, *self.helpers


Turn = list[_Slot]
Together = set[tuple[str, Work, bool]]  # who did what with others on a day
Lists = Mapping[str, Sequence[_Slot]]  # methods of a day in order, by person


@dataclass
class _Progress:
    """Sessions held and planned so far; all but ``piles`` by task."""

    # number of sessions by person and method
    tried: dict[str, Counter[tuple[str, str]]] = field(default_factory=lambda: defaultdict(Counter))
    # how often a method came first among those whose order changes, by person and method
    firsts: dict[str, Counter[tuple[str, str]]] = field(default_factory=lambda: defaultdict(Counter))
    days: Counter[str] = field(default_factory=Counter)  # number of days with two methods
    piles: list[str] = field(default_factory=list)  # all piles, by first use
    used: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))  # piles of the task
    # methods by task, person and pile
    methods_on: dict[tuple[str, str, str], set[str]] = field(default_factory=lambda: defaultdict(set))

    def count(self, task: str, method: str, person: str, pile: str) -> None:
        """Count a session of a person."""
        self.tried[task][person, method] += 1
        if pile:
            self.piles += [] if pile in self.piles else [pile]
            self.used[task] += [] if pile in self.used[task] else [pile]
            self.methods_on[task, person, pile].add(method)

    def next_pile(self, task: str) -> str:
        """The first pile not used for the task; a new one if all were."""
        return next((pile for pile in self.piles if pile not in self.used[task]), "") or next(
            name for name in pile_names() if name not in self.piles
        )

    def pile_without(self, task: str, person: str, method: str) -> str:
        """The last pile on which a person did another method of the task, but not this one."""
        had = [
            pile
            for pile in self.used[task]
            if self.methods_on.get((task, person, pile), {method}).isdisjoint({method})
        ]
        return had[-1] if had else ""


def pile_names() -> Iterator[str]:
    """Endless names of piles: A to Z, then A2."""
    for number in count(1):
        for letter in string.ascii_uppercase:
            yield letter if number == 1 else f"{letter}{number}"


def pseudorandom(seed: int, key: str) -> int:
    """A whole number that depends only on the seed and the key."""
    return int.from_bytes(hashlib.shake_256(f"{seed}|{key}".encode()).digest(8), "big")


def days_of(wanted: TrialWanted, done: Sequence[Done]) -> list[str]:
    """Dates still to come: the wanted number less days worked since the first, after the last worked or lost."""
    worked = {one.date for one in done if one.date >= wanted.first_day}
    day = dt.date.fromisoformat(wanted.first_day)
    past = [one for one in (*worked, *wanted.lost_days) if one >= wanted.first_day]
    if past:
        day = dt.date.fromisoformat(max(past)) + dt.timedelta(days=1)
    left: list[str] = []
    while len(left) < wanted.days_n - len(worked):
        if day.weekday() in wanted.weekdays:
            left.append(day.isoformat())
        day += dt.timedelta(days=1)
    return left


def _minutes(trial: TaskTrial, wanted: TrialWanted, progress: _Progress) -> float:
    """Longest session, the same for everybody so that all are comparable, within the longest day and all limits."""
    most_n = max(len(own) + len(_missing(trial, name, progress)) for name, own in trial.may.items())
    rests = value("trials.rest") * (most_n - 1)
    step = value("plan.step")
    fits = whole_steps((value("trials.longest_day") - rests) / most_n, step)
    limit_min = min((_known_min(trial, name, progress) for name in trial.may), default=math.inf)
    minutes = max(min(wanted.longest_min, fits), value("plan.shortest_session"))
    return minutes if minutes <= limit_min else whole_steps(limit_min, step)


def _known_min(trial: TaskTrial, person: str, progress: _Progress) -> float:
    """Longest session of a person by the limits on strain and vibration."""
    missing, shaken, longest_min = _missing(trial, person, progress), 0.0, math.inf
    for way in trial.may[person]:
        sessions_n = 1 + (way.method in missing)
        for limit_min, by in trial.limits.get((person, way.method), ()):
            if by is LimitedBy.VIBRATION:  # vibration adds up over the methods of a day
                shaken += sessions_n / limit_min
            else:
                longest_min = min(longest_min, limit_min / sessions_n)
    return min(longest_min, 1 / shaken if shaken else math.inf)


def too_short(wanted: TrialWanted, trials: Sequence[TaskTrial], done: Sequence[Done]) -> list[TaskTrial]:
    """Trials whose sessions would be shorter than one step."""
    progress = _progress_so_far(trials, done)
    return [trial for trial in trials if _minutes(trial, wanted, progress) < value("plan.step")]


def _missing(trial: TaskTrial, person: str, progress: _Progress) -> set[str]:
    """Methods that a person did less often than another."""
    tried = progress.tried[trial.task]
    most = max(tried[person, way.method] for way in trial.may[person])
    return {way.method for way in trial.may[person] if tried[person, way.method] < most}


def schedule(
    wanted: TrialWanted, trials: Sequence[TaskTrial], people: Sequence[Person], done: Sequence[Done]
) -> list[TrialSession]:
    """The sessions still to come, day by day."""
    progress = _progress_so_far(trials, done)
    taken = [int(name[1:]) for name in wanted.taken if name[:1] in "Ss" and name[1:].isdecimal()]
    names = (f"S{n}" for n in count(max(taken, default=0) + 1))
    minutes = {trial.task: _minutes(trial, wanted, progress) for trial in trials}
    waiting: dict[str, list[tuple[str, Lists]]] = {trial.task: [] for trial in trials}
    watched: Counter[str] = Counter()
    sessions: list[TrialSession] = []
    for number, date in enumerate(days_of(wanted, done), start=1):
        trial = min(trials, key=lambda one: (not waiting[one.task], progress.days[one.task]), default=None)
        if trial is None:
            break
        if not waiting[trial.task]:
            pile = progress.next_pile(trial.task)
            waiting[trial.task] = [
                (pile, lists) for lists in _days(trial, _block(trial, progress, wanted), minutes[trial.task])
            ]
        pile, lists = waiting[trial.task].pop(0)
        progress.days[trial.task] += not waiting[trial.task]
        turns = _turns(lists, trial)
        for turn, slots in enumerate(turns, start=1):
            for slot in slots:
                own = progress.pile_without(trial.task, slot.person, slot.way.method) if slot.makes_up else ""
                in_sight = _in_sight(slot, people, trial, watched) if slot.way.is_watched else ""
                before = turns[turn - 2] if turn > 1 else []
                sessions.append(
                    TrialSession(
                        name=next(names),
                        date=date,
                        day=number,
                        turn=turn,
                        task=trial.task,
                        method=slot.way.method,
                        person=slot.person,
                        pile=own or pile,
                        minutes=minutes[trial.task],
                        helpers=slot.helpers,
                        in_sight=in_sight,
                        rests=any(set(slot.workers) & set(other.workers) for other in before),
                        makes_up=slot.makes_up,
                    )
                )
        of_day = ((name, one) for one in sessions if one.day == number for name in one.workers)
        tries = dict.fromkeys((name, one.method, one.pile, one.makes_up) for name, one in of_day)
        for name, method, pile, _ in tries:
            progress.count(trial.task, method, name, pile)
    return sessions


def _progress_so_far(trials: Sequence[TaskTrial], done: Sequence[Done]) -> _Progress:
    progress = _Progress()
    for one in done:
        progress.count(one.task, one.method, one.person, one.pile)
    for trial in trials:
        tried = _by_day(trial, done)
        progress.days[trial.task] = len({date for (_, date), own in tried.items() if len(own) > 1})
        progress.firsts[trial.task] = first_methods(trial, done)
    return progress


def _by_day(trial: TaskTrial, done: Sequence[Done]) -> dict[tuple[str, str], list[str]]:
    """Methods by person and date, in order, each once."""
    tried: dict[tuple[str, str], list[str]] = defaultdict(list)
    for one in done:
        if one.task == trial.task and one.date and one.method not in tried[one.person, one.date]:
            tried[one.person, one.date].append(one.method)
    return tried


def first_methods(trial: TaskTrial, done: Sequence[Done]) -> Counter[tuple[str, str]]:
    """How often each method came first, by person and method, on days with two or more whose order changes."""
    firsts: Counter[tuple[str, str]] = Counter()
    for (person, _), own in _by_day(trial, done).items():
        for group in order_groups(trial.may.get(person, ())):
            turned = [name for name in own if name in {way.method for way in group}]
            firsts[person, turned[0] if turned else ""] += len(turned) > 1
    return firsts


def order_groups(ways: Sequence[Work]) -> tuple[list[Work], list[Work]]:
    """Powered saws, which come first, and the rest; within each group the order changes from day to day."""
    return [way for way in ways if way.is_powered_saw], [way for way in ways if not way.is_powered_saw]


def _block(trial: TaskTrial, progress: _Progress, wanted: TrialWanted) -> dict[str, list[_Slot]]:
    """What each person does on the next pile, in order; people are in the order in which they begin."""
    draw, number = pseudorandom(wanted.seed, trial.task), progress.days[trial.task]
    names = list(trial.may)
    start = (draw + number) % max(len(names), 1)
    lists: dict[str, list[_Slot]] = {}
    for place in [*range(start, len(names)), *range(start)]:
        name = names[place]
        missing = _missing(trial, name, progress)
        own: list[_Slot] = []
        for group in order_groups(trial.may[name]):
            own_place = 0 if any(way.people_n > 1 for way in group) else place  # a crew keeps its order
            ordered = _ordered(group, name, progress.firsts[trial.task], own_place + number + draw)
            own += [_Slot(name, way) for way in ordered]
            own += [_Slot(name, way, makes_up=True) for way in ordered if way.method in missing]
        lists[name] = own
    return lists


def _ordered(group: Sequence[Work], person: str, firsts: Counter[tuple[str, str]], offset: int) -> list[Work]:
    """Methods in rotation, started by the one that came first least often; counts it as first."""
    if len(group) < 2:
        return [*group]
    many = len(group)
    start = min(range(many), key=lambda at: (firsts[person, group[at].method], (at - offset) % many))
    firsts[person, group[start].method] += 1
    return [*group[start:], *group[:start]]


def _days(trial: TaskTrial, lists: Lists, minutes: float) -> list[Lists]:
    """People of a pile on the fewest days that hold them; each person compares within one day."""
    days: list[dict[str, Sequence[_Slot]]] = [{}]
    for name, own in lists.items():
        longer = {**days[-1], name: own}
        workers = [[worker for slot in turn for worker in slot.workers] for turn in _turns(longer, trial)]
        if days[-1] and _length(workers, minutes) > value("trials.longest_day"):
            days.append({name: own})
        else:
            days[-1] = longer
    return list(days)


def _turns(lists: Lists, trial: TaskTrial) -> list[Turn]:
    """Who does what at the same time. Watched work has a turn of its own; no tool is used twice in a turn."""
    rest = {name: [slot for slot in own if not slot.way.is_watched] for name, own in lists.items()}
    together: Together = set()
    turns: list[Turn] = []
    for is_powered in (True, False):
        alone = [
            [slot for slot in own if slot.way.is_watched and slot.way.is_powered_saw is is_powered]
            for own in lists.values()
        ]
        for slots in zip_longest(*alone):
            with_helpers = [_with_helpers(slot, trial, set(), lists) for slot in slots if slot is not None]
            turns += [[slot] for slot in with_helpers if slot is not None and _take_up(slot, together)]
    while any(rest.values()):
        turn = _turn(rest, trial, together) or _turn(rest, trial, together, in_order=False)
        turns += [turn] if turn else []
    return turns


def _turn(rest: Mapping[str, list[_Slot]], trial: TaskTrial, together: Together, *, in_order: bool = True) -> Turn:
    """The next turn, removed from the rest. ``in_order``: people help only at a method that is their own next one."""
    turn: Turn = []
    for name, own in rest.items():
        busy = {one for slot in turn for one in slot.workers}
        in_hand = frozenset[str]().union(*(slot.way.tools for slot in turn))
        if not own or name in busy:
            continue
        ways = {other: [slot.way for slot in slots] for other, slots in rest.items() if in_order}
        elsewhere = {other for other, left in ways.items() if own[0].way in left[1:] and left[0] != own[0].way}
        slot = _with_helpers(own[0], trial, busy | elsewhere, rest)
        if slot is None or not in_hand.isdisjoint(slot.way.tools):
            continue
        own.pop(0)
        turn += [slot] if _take_up(slot, together) else []
    return turn


def _take_up(slot: _Slot, together: Together) -> bool:
    """Record work done together; False if the person already did it with others on this day."""
    if (slot.person, slot.way, slot.makes_up) in together:
        return False
    together |= {(name, slot.way, slot.makes_up) for name in slot.workers if slot.way.people_n > 1}
    return True


def _with_helpers(slot: _Slot, trial: TaskTrial, busy: set[str], lists: Lists) -> _Slot | None:
    """The slot with the helpers that its method needs, next in rotation; None if they are busy."""
    able = [name for name, ways in trial.may.items() if slot.way in ways]
    after = able.index(slot.person) + 1
    others = [name for name in (*able[after:], *able[: after - 1]) if name not in busy]
    others.sort(key=lambda name: name not in lists)
    if len(others) < slot.way.people_n - 1:
        return None
    return _Slot(slot.person, slot.way, tuple(others[: slot.way.people_n - 1]), slot.makes_up)


def _in_sight(slot: _Slot, people: Sequence[Person], trial: TaskTrial, watched: Counter[str]) -> str:
    """An adult free in that turn: one who takes no part in the trial, else whoever stood there least often."""
    adults = [name for name in in_sight_of(slot.person, people) if name not in slot.helpers]
    chosen = min(adults, key=lambda name: (name in trial.may, watched[name], adults.index(name)))
    watched[chosen] += 1
    return chosen


def day_minutes(sessions: Sequence[TrialSession]) -> float:
    """Length of a day, with rests between successive turns of one person."""
    turns: dict[int, list[tuple[str, ...]]] = defaultdict(list)
    for one in sessions:
        turns[one.turn].append(one.workers)
    return _length([[name for own in turns[at] for name in own] for at in sorted(turns)], sessions[0].minutes)


def _length(turns: Sequence[Sequence[str]], minutes: float) -> float:
    ends: dict[str, float] = {}
    end = 0.0
    for workers in turns:
        rested = max((ends[name] + value("trials.rest") for name in workers if name in ends), default=0.0)
        end = max(end, rested) + minutes
        ends |= dict.fromkeys(workers, end)
    return end
