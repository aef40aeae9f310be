"""Trial days that would settle an open choice: both methods on one day and pile, before the other work."""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from wood_xl.data.load import value
from wood_xl.data.trade import tasks
from wood_xl.draws.figure import Figure, Row
from wood_xl.draws.verdicts import further
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import Recorded
from wood_xl.plan.aims import Aim
from wood_xl.plan.calendar import MIN_PER_H, Crew, TrialDays, Visit, whole_steps
from wood_xl.plan.inputs import CASH, NEAR, PlanInputs, day_text
from wood_xl.plan.plan import Plan, plan
from wood_xl.reasons import Said, said, several
from wood_xl.verdicts import TrialDay, TrialsFirst, Who

HALF = 0.5


class TrialPair(NamedTuple):
    """Two methods of a task to try on the same days."""

    methods: tuple[str, str]
    most_days: int
    needed_n: float = math.inf  # days that are likely to settle it; infinite if not known


@dataclass(frozen=True)
class PlanWithTrials:
    """A plan with its inputs and trials."""

    inputs: PlanInputs
    plan: Plan
    outcome: Said | None = None  # what the trials cost, or why there are none


def trial_pairs(inputs: PlanInputs, rates: SeasonRates) -> list[TrialPair]:
    """Trials of the two rival methods of each task whose verdict is open, if more days can help."""
    open_aims = [aim for aim in inputs.aims.values() if aim.is_open]
    pairs = [_pair(aim, aim.rivals, inputs, rates) for aim in open_aims if aim.rivals is not None]
    return [pair for pair in pairs if pair is not None]


def _pair(aim: Aim, two: tuple[str, str], inputs: PlanInputs, rates: SeasonRates) -> TrialPair | None:
    """The trial of a pair; None if no number of days is likely to tell which method is quicker."""
    equal = rates.study.equal
    least, most = int(value("trials.least_days")), int(value("trials.most_days"))
    fit, margin_frac = equal.fit(aim.task, Recorded.WORKER_HOURS), rates.study.margin_frac
    if fit is None or fit.odd_row is not None or isinstance(margin_frac, Said):
        return TrialPair(two, most)
    first, second = (equal.number(inputs.totals[name]) for name in two)
    needed_n = further(fit, first, second, margin_frac).days
    if needed_n is None:
        return None
    return TrialPair(two, min(max(least, needed_n), most), needed_n if aim.is_open_by_hours else math.inf)


def plan_with_trials(inputs: PlanInputs, pairs: Sequence[TrialPair]) -> PlanWithTrials:
    """The plan with as many trial days first as leave room for all its wood, or with none.

    If the limits do not allow all the wood anyway, trials may cost a little of it.
    """
    without = plan(inputs)
    if not pairs:
        return PlanWithTrials(inputs, without)
    why = _why_no_trial(inputs, pairs) if without.cords else said(TrialsFirst.NO_WOOD)
    crews = [] if why else [_crews(inputs, pair) for pair in pairs]
    most = max(pair.most_days for pair in pairs)
    is_whole = without.cords >= inputs.cords * (1 - NEAR)
    most_lost = NEAR if is_whole else value("trials.most_lost")
    shortest = value("plan.shortest_session")
    for days_n in [] if why else range(most, int(value("trials.least_days")) - 1, -1):
        days = tuple(_days(inputs, pair, own, days_n, without.cords) for pair, own in zip(pairs, crews, strict=True))
        if any(trial.minutes < shortest for trial in days):
            why = said(TrialsFirst.TOO_SHORT, minutes=shortest)
            continue
        with_trials = replace(inputs, trials=days)
        trial_plan = plan(with_trials)
        held_n = sum(visit.turn == 1 for visit in trial_plan.visits or ())
        are_all_held = trial_plan.visits is None or held_n == sum(trial.days_n for trial in days)
        lost = 1 - trial_plan.cords / without.cords if are_all_held else 1.0
        if lost <= most_lost:
            at_a_cost = said(TrialsFirst.BEGINS_AT_A_COST, percent=100 * lost)
            begins = at_a_cost if lost > HALF / 100 else said(TrialsFirst.BEGINS)
            return PlanWithTrials(with_trials, trial_plan, begins)
        is_rent = CASH in trial_plan.binding and CASH not in without.binding
        why = said(TrialsFirst.RENT) if is_rent else said(TrialsFirst.LOSES, percent=max(100 * lost, 1))
    return PlanWithTrials(inputs, without, why)


def _crews(inputs: PlanInputs, pair: TrialPair) -> tuple[Crew, Crew]:
    """Crews of the two methods: the same people if any did both, else crews that share somebody."""
    first, second = ([c.crew for c in inputs.crews if c.method == name] for name in pair.methods)
    return min(
        itertools.product(first, second),
        key=lambda two: (two[0].people != two[1].people, not set(two[0].people) & set(two[1].people)),
    )


def _days(inputs: PlanInputs, pair: TrialPair, crews: tuple[Crew, Crew], most_days: int, cords: float) -> TrialDays:
    """Trial days with half of a day's minutes for each method, within the hours of a week and the wood."""
    days_n = min(pair.most_days, most_days)
    minutes = min(crew.longest_min for crew in crews) * HALF
    workers_n = [len(crew.people) for crew in crews]
    if inputs.wanted.hours_per_week is not None:
        minutes = min(minutes, inputs.wanted.hours_per_week * MIN_PER_H / sum(workers_n))
    cords_per_hour = sum(n / inputs.hours(name) for n, name in zip(workers_n, pair.methods, strict=True))
    minutes = min(minutes, cords * value("trials.most_share") / days_n / cords_per_hour * MIN_PER_H)
    minutes = whole_steps(minutes, value("plan.step"))
    (first, second), saws = pair.methods, _powered_saws(inputs, pair.methods)
    days = TrialDays((first, second), crews, minutes, days_n, bool(saws), days_n >= pair.needed_n)
    if second in saws:  # a powered saw comes first, rested
        return days._replace(methods=(second, first), crews=(crews[1], crews[0]))
    return days


def _why_no_trial(inputs: PlanInputs, pairs: Sequence[TrialPair]) -> Said | None:
    crews = inputs.eligible
    planned = {c.method for c in crews}
    saws = _powered_saws(inputs, planned)
    out = [name for pair in pairs for name in pair.methods if name not in planned]
    if out:
        return said(TrialsFirst.LEFT_OUT, methods=tuple(out))
    both = next((pair.methods for pair in pairs if saws.issuperset(pair.methods)), None)
    return None if both is None else said(TrialsFirst.TWO_SAWS, first=both[0], second=both[1])


def _powered_saws(inputs: PlanInputs, methods: Collection[str]) -> set[str]:
    return {name for name in methods if inputs.work(name).is_powered_saw}


def trial_rows(with_trials: PlanWithTrials) -> list[Row]:
    """One row for each day and pair; the two methods take turns to begin, unless their order is fixed."""
    rows, inputs = [], with_trials.inputs
    for trial in inputs.trials:
        held = [v for v in with_trials.plan.visits or () if v.turn and v.block.method in trial.methods]
        for at in range(trial.days_n):
            turns = held[2 * at : 2 * at + 2]
            order = (0, 1) if at % 2 == 0 or trial.is_in_order else (1, 0)
            row = Row(
                day=day_text(turns[0].day) if turns else said(TrialDay.NUMBER, n=at + 1),
                task=tasks()[inputs.task_of(trial.methods[0])].name,
                first=trial.methods[order[0]],
                then=trial.methods[order[1]],
                who=_who([trial.people[turn] for turn in order]),
                in_sight=_in_sight(trial, order, turns),
                minutes=Figure(trial.minutes),
                why=_brings(trial),
            )
            rows.append((turns[0].day if turns else math.inf, at, row))
    return [row for *_, row in sorted(rows, key=lambda dated: dated[:2])]


def _who(people: Sequence[tuple[str, ...]]) -> Said:
    return said(Who.IN_TURNS, crews=tuple(dict.fromkeys(said(Who.CREW, people=crew) for crew in people)))


def _in_sight(trial: TrialDays, order: Sequence[int], turns: Sequence[Visit]) -> Said | None:
    """Who stands in sight at which method; on a day without a date, who may."""
    names = [trial.crews[turn].in_sight for turn in order]
    if turns:
        names = [(visit.in_sight,) if visit.in_sight else () for visit in turns]
    return several(
        [
            said(Who.IN_SIGHT_AT, people=who, method=trial.methods[turn])
            for turn, who in zip(order, names, strict=True)
            if who
        ]
    )


def _brings(trial: TrialDays) -> Said:
    """What a trial is likely to bring, and which way it leans if its order is fixed."""
    brings = said(TrialDay.NARROWS)
    if trial.is_enough:
        brings = said(TrialDay.ENOUGH, tenths=10 * value("model.further_chance"))
    first, second = trial.methods
    return said(TrialDay.LEANS, brings=brings, first=first, second=second) if trial.is_in_order else brings


def trials_first(with_trials: PlanWithTrials) -> Said:
    """Whether a verdict is open, and how the plan responds."""
    aims = list(with_trials.inputs.aims.values())
    if not any(len(aim.free) > 1 for aim in aims):
        return said(TrialsFirst.NOTHING_TO_CHOOSE)
    still_open = tuple(aim.choice.name for aim in aims if aim.is_open)
    if still_open:
        return said(TrialsFirst.OPEN, tasks=still_open, then=with_trials.outcome or TrialsFirst.OUT_OF_REACH)
    unknown = [aim for aim in aims if aim.edge is not None and aim.edge.is_of_unknown_doubt]
    return said(TrialsFirst.NO_INTERVAL if unknown else TrialsFirst.SETTLED)
