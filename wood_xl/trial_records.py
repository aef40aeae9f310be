"""Records of a first trial: what is asked for it, and what comes of that, as ids and names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wood_xl.reasons import Said, Word


@dataclass(frozen=True)
class TrialWanted:
    """What a trial is asked to be.

    first_day: as yyyy-mm-dd; nothing is planned before it.
    days_n: days that are given in all, those that were worked since ``first_day`` included.
    weekdays: days one can work, Monday is 0.
    difference_frac: smallest difference that matters.
    longest_min: longest session of one person.
    seed: what is drawn hangs on it alone.
    taken: session names that the notes have, those of an older plan included once a session of it was held: its paper
        forms may still lie about.
    """

    first_day: str
    days_n: int
    weekdays: frozenset[int]
    difference_frac: float
    longest_min: float
    seed: int
    taken: tuple[str, ...] = ()


@dataclass(frozen=True)
class TrialSession:
    """One session of a trial.

    day: number of its day in the plan, from 1; ``turn`` that of its turn on this day.
    minutes: longest that it lasts.
    in_sight: who stands in sight of a powered saw; empty elsewhere.
    rests: whether the person worked the turn before and rests first.
    makes_up: whether it makes up for one that is missing among the sessions done.
    """

    name: str
    date: str
    day: int
    turn: int
    task: str
    method: str
    person: str
    pile: str
    minutes: float
    helpers: tuple[str, ...] = ()
    in_sight: str = ""
    rests: bool = False
    makes_up: bool = False


@dataclass(frozen=True)
class Chance:
    """How likely a trial settles which of two methods is quicker, if one takes so much longer; and what would do.

    difference_frac: None where sessions are done: then it is by what is measured, of the pairs and days to come.
    chance: None where the pairs are too few to tell.
    pairs_n, days_n: least pairs and days that make it likely; None if no number in reach does.
    """

    difference_frac: float | None
    chance: float | None
    pairs_n: int | None
    days_n: int | None


@dataclass(frozen=True)
class TrialOfTask:
    """What the trial holds of one task.

    saws: powered saws among its methods: they come first.
    days_n: days of it in the plan.
    pairs_n: pairs of two methods by one person on one day, those done included; of the two that have fewest.
    done_n: how many of these are done.
    unbalanced: methods of which one came first more often than another by more than once, for somebody.
    uneven: persons who came to one method more often than to another by more than one session.
    longest_day_min: longest day, rests included.
    """

    task: str
    methods: tuple[str, ...]
    people: tuple[str, ...]
    saws: tuple[str, ...]
    minutes: float
    days_n: int
    pairs_n: int
    done_n: int
    chances: tuple[Chance, ...]
    unbalanced: tuple[str, ...]
    uneven: tuple[str, ...]
    longest_day_min: float


@dataclass(frozen=True)
class NotTried:
    """Methods that somebody does not try, or nobody if ``person`` is empty; why, and the cell that says so."""

    person: str
    methods: tuple[str, ...]
    why: Said | Word
    cell: str = ""
    row: str = ""


@dataclass(frozen=True)
class TrialPlan:
    """A trial.

    kinds: for each method the kinds of its tools; None for one that is not known.
    nothing: tasks with two methods or more of which nobody tries two.
    minors: those who are no adults by what is written, and may help to keep the forms.
    """

    season: str
    is_invented: bool
    wanted: TrialWanted
    tasks: tuple[TrialOfTask, ...]
    sessions: tuple[TrialSession, ...]
    not_tried: tuple[NotTried, ...]
    nothing: tuple[str, ...]
    kinds: Mapping[str, tuple[str | None, ...]]
    minors: tuple[str, ...] = ()
