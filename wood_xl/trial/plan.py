"""Plans a trial: who tries what and when, and how likely it is to settle which method is quicker.

Source: wood_xl_definitions, trials. Chances come from the model of the sessions (how_sure_defaults).
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import combinations

from wood_xl.data.load import value
from wood_xl.draws.verdicts import before_any, further, ratios
from wood_xl.hours.equal_terms import EqualSeason
from wood_xl.hours.methods import MethodTotals
from wood_xl.ids import Recorded
from wood_xl.plan.crews import Household
from wood_xl.plan.who_may import is_adult, waits_for_doctor
from wood_xl.reasons import said
from wood_xl.records import Season
from wood_xl.trial.schedule import Done, day_minutes, first_methods, order_groups, schedule, too_short
from wood_xl.trial.who import TaskTrial, groups_of, trials_of
from wood_xl.trial_records import Chance, LeftOutOfTrial, NotTried, TrialOfTask, TrialPlan, TrialSession, TrialWanted
from wood_xl.verdicts import Surety

DIFFERENCES = (0.25, 0.5, 1.0)  # shown beside the wanted one

Pairs = dict[tuple[str, str], int]


def trial_plan(
    season: Season, totals: Sequence[MethodTotals], household: Household, wanted: TrialWanted
) -> TrialPlan:
    """A trial of all tasks with two methods or more; only the rest of it if sessions were held."""
    groups, tools = groups_of(totals), household.tools
    all_trials, not_tried = trials_of(groups, household)
    done = _done(groups.values(), wanted.likely)
    trials = [trial for trial in all_trials if trial.may]
    short = too_short(wanted, trials, done)
    trials = [trial for trial in trials if trial not in short]
    why = said(LeftOutOfTrial.TOO_SHORT, minutes=value("plan.step"))
    not_tried += [NotTried("", tuple(way.method for way in trial.ways), why) for trial in short]
    sessions = schedule(wanted, trials, season.people, done)
    equal = EqualSeason(totals)
    return TrialPlan(
        season=season.name,
        is_invented=season.is_invented,
        wanted=wanted,
        tasks=tuple(_of_task(trial, sessions, done, equal, wanted) for trial in trials),
        sessions=tuple(sessions),
        not_tried=tuple(not_tried),
        nothing=tuple(trial.task for trial in all_trials if trial not in trials),
        kinds={
            t.method.name: tuple(tools[name].kind if name in tools else None for name in t.method.tools)
            for t in totals
        },
        minors=tuple(
            person.name for person in season.people if not is_adult(person) and not waits_for_doctor(person)
        ),
    )


def _done(groups: Iterable[Sequence[MethodTotals]], likely: Mapping[str, str]) -> list[Done]:
    """Sessions that count, or will once a cell is mended, in the order in which they were held.

    likely: people by the sessions whose own cannot be read.
    """
    held = []
    for t in (t for group in groups for t in group):
        workers_n = t.method.people_n
        for figures in (*t.in_model, *t.waiting):
            session = figures.session
            one = (session.date or "", figures.place)
            main, *others = [name or "" for name in session.crew[:workers_n]] or [""]
            for name in (main or likely.get(session.name, ""), *others) if session.crew else ():
                pile = session.lot or ""
                held.append((one, Done(t.method.task, t.method.name, name, session.date or "", pile)))
    return [one for _, one in sorted(held, key=lambda dated: dated[0])]


def _of_task(
    trial: TaskTrial, sessions: Sequence[TrialSession], done: Sequence[Done], equal: EqualSeason, wanted: TrialWanted
) -> TrialOfTask:
    planned = [one for one in sessions if one.task == trial.task]
    done = [one for one in done if one.task == trial.task]
    days = {one.day for one in planned}
    methods_on: dict[tuple[str, str], set[str]] = defaultdict(set)  # by person and date
    for one in done:
        if one.date:
            methods_on[one.person, one.date].add(one.method)
    done_pairs = _pairs(trial, methods_on.values())
    for session in planned:
        for person in session.workers:
            methods_on[person, session.date].add(session.method)
    pairs = _pairs(trial, methods_on.values())
    pairs_a_day = _pairs(trial, [{way.method for way in ways} for ways in trial.may.values()])
    fewest = min(pairs, key=pairs.__getitem__)
    tries = Counter((one.person, one.method) for one in done)
    planned_tries = {(name, one.method, one.day, one.makes_up) for one in planned for name in one.workers}
    tries.update((name, method) for name, method, *_ in planned_tries)
    tries_of = {name: [tries[name, way.method] for way in ways] for name, ways in trial.may.items()}
    differences = sorted({wanted.difference_frac, *DIFFERENCES})
    by_priors = [_chance(len(trial.ways), one, pairs[fewest], pairs_a_day[fewest]) for one in differences]
    return TrialOfTask(
        task=trial.task,
        methods=tuple(way.method for way in trial.ways),
        people=tuple(trial.may),
        saws=tuple(way.method for way in trial.ways if way.is_powered_saw),
        minutes=max((one.minutes for one in planned), default=0.0),
        days_n=len(days),
        pairs_n=pairs[fewest],
        done_n=done_pairs[fewest],
        chances=_chances_so_far(trial, pairs, done_pairs, pairs_a_day, equal, wanted) or tuple(by_priors),
        unbalanced=tuple(_unbalanced(trial, planned, done)),
        uneven=tuple(name for name, counts in tries_of.items() if max(counts) - min(counts) > 1),
        longest_day_min=max((day_minutes([s for s in planned if s.day == day]) for day in days), default=0.0),
    )


def _unbalanced(trial: TaskTrial, planned: Sequence[TrialSession], done: Sequence[Done]) -> list[str]:
    """Methods of groups in which somebody began with one at least twice more often than with another."""
    to_come = [
        Done(trial.task, one.method, name, one.date, one.pile)
        for one in planned
        if not one.makes_up
        for name in one.workers  # helpers do the method too
    ]
    firsts = first_methods(trial, [*done, *to_come])
    unbalanced: list[str] = []
    for person, ways in trial.may.items():
        for group in order_groups(ways):
            counts = [firsts[person, way.method] for way in group]
            unbalanced += [way.method for way in group] if counts and max(counts) - min(counts) > 1 else []
    return unbalanced


def _pairs(trial: TaskTrial, methods_on: Collection[set[str]]) -> Pairs:
    """Number of times that one person did both of two methods on one day, for each pair that somebody may do."""
    both = [
        (one.method, other.method)
        for one, other in combinations(trial.ways, 2)
        if any(one in ways and other in ways for ways in trial.may.values())
    ]
    return {(one, other): sum({one, other} <= methods for methods in methods_on) for one, other in both}


def _chance(methods_n: int, difference_frac: float, pairs_n: int, pairs_a_day: int) -> Chance:
    """Chance by the priors of the model alone."""
    most_n = max(int(value("model.further_days")) * pairs_a_day, pairs_n)
    chances = before_any(methods_n, difference_frac, most_n)
    enough = next((k for k, one in enumerate(chances, start=1) if one >= value("model.further_chance")), None)
    days_n = None if enough is None else math.ceil(enough / pairs_a_day)
    has_enough = pairs_n >= value("trials.least_pairs")
    return Chance(difference_frac, chances[pairs_n - 1] if has_enough else None, enough, days_n)


def _chances_so_far(
    trial: TaskTrial, pairs: Pairs, done_pairs: Pairs, pairs_a_day: Pairs, equal: EqualSeason, wanted: TrialWanted
) -> tuple[Chance, ...]:
    """Chance of a verdict after the pairs to come, given what was measured, for the two methods furthest from one.

    A pair that is settled already needs no more. Empty if a method has no session yet, or a session is an outlier.
    """
    fit = equal.fit(trial.task, Recorded.WORKER_HOURS)
    numbers = {t.method.name: equal.number(t) for t in equal.totals}
    tried = {numbers[way.method] for way in trial.ways}
    if fit is None or fit.odd_row is not None or not tried <= set(fit.design.methods):
        return ()
    chances: list[Chance] = []
    ratio_of = ratios(fit, wanted.difference_frac)
    for two, pairs_n in pairs.items():
        first, second = sorted(numbers[name] for name in two)
        order = ratio_of[first, second].order
        if order is not None and order.surety in (Surety.SETTLED, Surety.SAME):
            chances.append(Chance(None, 1.0, 0, 0))
            continue
        more_n = min(pairs_n - done_pairs[two], int(value("model.further_days")))
        outlook = further(fit, first, second, wanted.difference_frac)
        days_n = None if outlook.days is None else math.ceil(outlook.days / pairs_a_day[two])
        chances.append(Chance(None, outlook.chances[more_n - 1] if more_n else None, outlook.days, days_n))
    return (min(chances, key=lambda one: (one.pairs_n == 0, one.chance or 0.0)),)  # a chance of 1 is not yet settled
