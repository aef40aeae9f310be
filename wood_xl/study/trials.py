"""Trials that would settle an open choice: both methods on one day and one pile, in turns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from wood_xl.calc.figure import exact
from wood_xl.calc.further_sessions import Trial, further_sessions
from wood_xl.calc.rates import rate_of_sessions
from wood_xl.data.load import value
from wood_xl.study.methods import MethodTotals
from wood_xl.study.plan import WEEK, PlanTask, Window, day_text, work_days
from wood_xl.study.route_surety import RouteSurety
from wood_xl.study.routes import RouteStudy, letter

HALF = 0.5
MIN_PER_H = 60.0

Row = dict[str, Any]


@dataclass(frozen=True)
class TrialPair:
    """Two methods of a task to be tried on the same days."""

    task: str
    first: str
    second: str
    days_n: int
    is_out_of_reach: bool


def is_open(surety: RouteSurety) -> bool:
    """Whether the route that is best by the weights is less than probably so."""
    return len(surety.best) > 1 and surety.is_drawn and surety.best[0] < value("compare.probably")


def rival(surety: RouteSurety) -> int:
    """The route that is most often the best in place of the first."""
    return max(range(1, len(surety.best)), key=lambda at: (surety.best[at], -at))


def trial_pairs(routes: RouteStudy, surety: RouteSurety, totals: Mapping[str, MethodTotals]) -> list[TrialPair]:
    """For each task in which the first two routes differ, the days with both methods; none if nothing is open."""
    if not is_open(surety):
        return []
    best, other = routes.routes[0].methods, routes.routes[rival(surety)].methods
    return [
        _pair(task, one, two, totals) for task, one, two in zip(routes.tasks, best, other, strict=True) if one != two
    ]


def _pair(task: str, one: str, two: str, totals: Mapping[str, MethodTotals]) -> TrialPair:
    first, second = (_trial(totals[name]) for name in (one, two))
    least, most = int(value("trials.least_days")), int(value("trials.most_days"))
    further = further_sessions(first=first, second=second, factor=value("plan.half_width"))
    days_n = most if further is None else min(max(least, *further), most)
    return TrialPair(task, one, two, days_n, further is None or max(further) > most)


def _trial(totals: MethodTotals) -> Trial:
    """Where a method stands by its worker hours per cord."""
    parts = [(s.time.worker_h, s.quantity.cords) for s in totals.counted if s.time and s.quantity]
    rate = rate_of_sessions(amounts=[h for h, _ in parts], quantities=[cords for _, cords in parts])
    return Trial(n=rate.n, spread=rate.spread, df=rate.df)


def trial_minutes(task: PlanTask, pairs: Sequence[TrialPair]) -> float:
    """Length of each session of a trial: half of the longest, and no more than a week's hours leave for all pairs."""
    minutes = task.longest_min * HALF
    if task.wanted.hours_per_week:
        minutes = min(minutes, task.wanted.hours_per_week * MIN_PER_H / (2 * len(pairs)))
    step = value("plan.step")
    return max(step, minutes // step * step)


def weeks_of(pairs: Sequence[TrialPair]) -> int:
    """Weeks that the trials take, one day for each pair in a week."""
    return max((pair.days_n for pair in pairs), default=0)


def trial_rows(task: PlanTask, pairs: Sequence[TrialPair], words: Mapping[str, str]) -> list[Row]:
    """One row for each day and pair; the order of the two methods turns from day to day.

    Parameters
    ----------
    task : PlanTask
        What the plan starts from.
    pairs : sequence of TrialPair
        To be tried.
    words : mapping
        Tasks in words.
    """
    minutes = trial_minutes(task, pairs) if pairs else 0.0
    rows = []
    for week in range(weeks_of(pairs)):
        for at, pair in enumerate(pairs):
            if week >= pair.days_n:
                continue
            one, two = (pair.first, pair.second) if week % 2 == 0 else (pair.second, pair.first)
            rows.append(
                {
                    "day": _day(task.window, week, at),
                    "task": words[pair.task],
                    "first": one,
                    "then": two,
                    "who": _who(task, pair),
                    "minutes": exact(minutes),
                    "why": _brings(pair),
                }
            )
    return rows


def _brings(pair: TrialPair) -> str:
    """What the days bring."""
    factor = f"within a factor of {value('plan.half_width'):g}"
    if pair.is_out_of_reach:
        return f"narrows it; more days are needed to come {factor}"
    return f"{factor}, if days stay alike"


def _day(window: Window | None, week: int, at: int) -> str:
    """The day of that week that suits best; each pair has a weekday of its own as long as there are some."""
    if window is None:
        return f"day {week + 1}"
    start = window.first + week * WEEK
    weekday = work_days()[at % len(work_days())]
    return day_text(start + (weekday - start) % WEEK)


def _who(task: PlanTask, pair: TrialPair) -> str:
    """Who has done both methods; the same person does both."""
    crews = [{c.crew.people for c in task.crews if c.method == name} for name in (pair.first, pair.second)]
    singles = [c.crew.people[0] for c in task.crews if c.method == pair.first and c.crew.people in crews[1]]
    return singles[0] if singles else "the same person"


def trial_words(routes: RouteStudy, surety: RouteSurety, pairs: Sequence[TrialPair]) -> str:
    """Whether the choice is open, in words."""
    if len(surety.best) < 2:
        is_only = len(routes.routes) == 1
        return "there is nothing to choose between" if is_only else "not told: fewer than two routes can be compared"
    if not surety.is_drawn:
        return "how sure the choice is cannot be told: no figure has an interval"
    sure = f"{100 * min(surety.best[0], value('compare.shown_end')):.3g} %"
    if not pairs:
        return f"settled enough: route A is the best with a probability of {sure}"
    return (
        f"open: route A is the best with {sure} only, route {letter(rival(surety))} comes next; first the trial days"
    )
