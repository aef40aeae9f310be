"""Records of a trial: the request and the plan, as ids and names."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from wood_xl.reasons import Said, texts


class TrialWanted(NamedTuple):
    """Request for a trial."""

    first_day: str  # as yyyy-mm-dd; nothing is planned before it
    days_n: int  # days in all, those already worked since ``first_day`` included
    weekdays: frozenset[int]  # that can be worked on, Monday is 0
    difference_frac: float  # smallest difference that matters
    longest_min: float  # longest session of one person
    seed: int  # all that varies depends on it alone
    # Session names in the notes. Once a session of an older plan was held, those of that plan are included: its paper
    # forms may still be around.
    taken: tuple[str, ...] = ()
    likely: Mapping[str, str] = MappingProxyType({})  # people by the sessions whose own cannot be read
    lost_days: tuple[str, ...] = ()  # on which a session was planned that was left out


class TrialSession(NamedTuple):
    """One session of a trial."""

    name: str
    date: str
    day: int  # of the plan, from 1
    turn: int  # of the day, from 1
    task: str
    method: str
    person: str
    pile: str
    minutes: float  # longest duration
    helpers: tuple[str, ...] = ()
    in_sight: str = ""  # who stands in sight; empty where nobody has to
    rests: bool = False  # whether the person worked the turn before and rests first
    makes_up: bool = False  # whether it makes up for one missing among the sessions held
    note: str = ""  # of the session of an older plan that it stands for

    @property
    def workers(self) -> tuple[str, ...]:
        """Everybody who does the method, the main person first."""
        return (self.person, *self.helpers)


class Chance(NamedTuple):
    """Chance that a trial settles which of two methods is quicker, and how much would be enough."""

    difference_frac: float | None  # assumed; None if sessions were held: then measured, and for what is to come
    chance: float | None  # None if there are too few pairs to tell
    pairs_n: int | None  # fewest pairs that make it likely; None if no feasible number does, 0 if it is settled
    days_n: int | None  # the same in days


class TrialOfTask(NamedTuple):
    """The part of a trial for one task."""

    task: str
    methods: tuple[str, ...]
    people: tuple[str, ...]
    saws: tuple[str, ...]  # powered saws among the methods, which come first
    minutes: float
    days_n: int
    pairs_n: int  # of the two methods with fewest: days on which one person does both, past ones included
    done_n: int  # how many of these are past
    chances: tuple[Chance, ...]
    unbalanced: tuple[str, ...]  # methods of which somebody begins with one at least twice more often
    uneven: tuple[str, ...]  # people who do one method at least two sessions more often than another
    longest_day_min: float  # rests included


class NotTried(NamedTuple):
    """Methods that a person (nobody, if empty) does not try; why, and the cell that would change it."""

    person: str
    methods: tuple[str, ...]
    why: Said
    cell: str = ""
    row: str = ""


class TrialPlan(NamedTuple):
    """Plan of a trial."""

    season: str
    is_invented: bool
    wanted: TrialWanted
    tasks: tuple[TrialOfTask, ...]
    sessions: tuple[TrialSession, ...]
    not_tried: tuple[NotTried, ...]
    nothing: tuple[str, ...]  # tasks with several methods of which nobody tries two
    kinds: Mapping[str, tuple[str | None, ...]]  # kinds of the tools of each method; None for an unknown tool
    minors: tuple[str, ...] = ()  # people not known to be adults, who may help to keep the forms


OnTrialPlan = texts("OnTrialPlan", __name__)  # texts of the sheet with the plan of a trial
OnTrialForm = texts("OnTrialForm", __name__)  # texts on a paper form of a trial that an empty form lacks
LeftOutOfTrial = texts("LeftOutOfTrial", __name__)  # other reasons than the rule of who may, not to try a method
ToFill = texts("ToFill", __name__)  # what to fill in before a trial
