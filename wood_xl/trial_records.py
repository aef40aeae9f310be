"""Records of a first trial: what is asked for it, and what comes of that, as ids and names."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from wood_xl.reasons import Said, Word, texts


class TrialWanted(NamedTuple):
    """What a trial is asked to be."""

    first_day: str  # as yyyy-mm-dd; nothing is planned before it
    days_n: int  # days that are given in all, those that were worked since ``first_day`` included
    weekdays: frozenset[int]  # days one can work, Monday is 0
    difference_frac: float  # smallest difference that matters
    longest_min: float  # longest session of one person
    seed: int  # what is drawn hangs on it alone
    # session names that the notes have, those of an older plan included once a session of it was held: its paper
    # forms may still lie about
    taken: tuple[str, ...] = ()


class TrialSession(NamedTuple):
    """One session of a trial."""

    name: str
    date: str
    day: int  # number of its day in the plan, from 1; ``turn`` that of its turn on this day
    turn: int
    task: str
    method: str
    person: str
    pile: str
    minutes: float  # longest that it lasts
    helpers: tuple[str, ...] = ()
    in_sight: str = ""  # who stands in sight; empty where nobody has to
    rests: bool = False  # whether the person worked the turn before and rests first
    makes_up: bool = False  # whether it makes up for one that is missing among the sessions done

    @property
    def workers(self) -> tuple[str, ...]:
        """Everybody who does the method in it, its person first."""
        return (self.person, *self.helpers)


class Chance(NamedTuple):
    """How likely a trial settles which of two methods is quicker, if one takes so much longer; and what would do."""

    # None where sessions are done: then it is by what is measured, of the pairs and days to come
    difference_frac: float | None
    chance: float | None  # None where the pairs are too few to tell
    # pairs_n, days_n: least pairs and days that make it likely; None if no number in reach does, 0 if it is settled
    pairs_n: int | None
    days_n: int | None


class TrialOfTask(NamedTuple):
    """What the trial holds of one task."""

    task: str
    methods: tuple[str, ...]
    people: tuple[str, ...]
    saws: tuple[str, ...]  # powered saws among its methods: they come first
    minutes: float
    days_n: int  # days of it in the plan
    pairs_n: int  # pairs of two methods by one person on one day, those done included; of the two that have fewest
    done_n: int  # how many of these are done
    chances: tuple[Chance, ...]
    # methods of which one came first more often than another by more than once, for somebody
    unbalanced: tuple[str, ...]
    uneven: tuple[str, ...]  # persons who came to one method more often than to another by more than one session
    longest_day_min: float  # longest day, rests included


class NotTried(NamedTuple):
    """Methods that somebody does not try, or nobody if ``person`` is empty; why, and the cell that says so."""

    person: str
    methods: tuple[str, ...]
    why: Said | Word
    cell: str = ""
    row: str = ""


class TrialPlan(NamedTuple):
    """A trial."""

    season: str
    is_invented: bool
    wanted: TrialWanted
    tasks: tuple[TrialOfTask, ...]
    sessions: tuple[TrialSession, ...]
    not_tried: tuple[NotTried, ...]
    nothing: tuple[str, ...]  # tasks with two methods or more of which nobody tries two
    # for each method the kinds of its tools; None for one that is not known
    kinds: Mapping[str, tuple[str | None, ...]]
    minors: tuple[str, ...] = ()  # those who are no adults by what is written, and may help to keep the forms


OnTrialPlan = texts("OnTrialPlan", __name__)  # what the sheet with the plan of a trial says
OnTrialForm = texts("OnTrialForm", __name__)  # what a paper form of a trial says beside an empty one
LeftOutOfTrial = texts("LeftOutOfTrial", __name__)  # why somebody does not try a method, beside the rules of who may
ToFill = texts("ToFill", __name__)  # what a trial needs to be filled in first
