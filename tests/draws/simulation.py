"""Simulated seasons with a known truth, and how often the model's intervals and verdicts are right."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from wood_xl.draws.households import Household, pooled
from wood_xl.draws.rows import Session, TaskSessions, TimedCuts, observed
from wood_xl.draws.season import Fit, fit_season
from wood_xl.draws.verdicts import further, rates, ratios
from wood_xl.ids import Recorded
from wood_xl.verdicts import Surety

HOURS = Recorded.WORKER_HOURS
MARGIN = 0.1
WOOD_CV = 0.4


@dataclass(frozen=True)
class Trial:
    """Truth of a season; each method has ``sessions`` of its own.

    Attributes
    ----------
    ratio : float
        True rate of the first method over that of each other one.
    of_day : float
        Share of the variance that is the day's, where the methods share days.
    logs_cm : pair of pairs
        Range of diameters of each method.
    person_effect : float
        Log of what the second person takes over the first.
    persons : tuple of tuple
        Person of each session of each method.
    person_by_method : float
        Log of what the second person takes more with the first method alone.
    """

    s: tuple[float, ...] = (0.3, 0.3)
    sessions: tuple[int, ...] = (3, 3)
    ratio: float = 1.0
    of_day: float = 0.7
    same_days: bool = False
    sessions_a_day: int = 1
    within_day: float = 0.0
    tasks: int = 1
    logs_cm: tuple[tuple[float, float], ...] = ()
    slope: float = -0.7
    person_effect: float = 0.0
    person_by_method: float = 0.0
    persons: tuple[tuple[int, ...], ...] = ()
    sawn: bool = True
    amount: str = "worker_hours"
    timed_cuts: int = 0
    lot_sd: float = 0.0
    lots: int = 1

    @property
    def truths(self) -> list[float]:
        """Log of the long run of each method with average hands, less what logs and hands do to all methods alike."""
        both = [person for own in self.persons for person in own]
        with_first = math.log(self.ratio) + self.person_by_method * sum(both) / max(len(both), 1)
        return [(with_first if m == 0 else 0.0) + s**2 / 2 for m, s in enumerate(self.s)]


@dataclass
class Season:
    """Sessions of each task, in the order they were done."""

    tasks: list[list[Session]] = field(default_factory=list)
    cuts: tuple[TimedCuts, ...] = ()


def season(trial: Trial, chance: np.random.Generator) -> Season:
    """One season."""
    made = Season()
    for _ in range(trial.tasks):
        days = chance.normal(size=1 + max(trial.sessions))
        lots = chance.normal(size=trial.lots) * trial.lot_sd
        sessions: list[tuple[int, Session]] = []
        for m, n in enumerate(trial.sessions):
            for i in range(n):
                of_day = days[i] if trial.same_days else chance.normal()
                for part in range(trial.sessions_a_day):
                    one = _session(trial, chance, (m, i), of_day, lots[i * trial.lots // max(n, 1)])
                    # Work of one day stands together, methods in turn.
                    place = (i * len(trial.sessions) + m) * trial.sessions_a_day + part
                    sessions.append((place, replace(one, place=place)))
        made.tasks.append([session for _, session in sorted(sessions, key=lambda pair: pair[0])])
    if trial.timed_cuts:
        made.cuts = tuple(_timed(trial, chance, m) for m in range(len(trial.sessions)))
    return made


def _session(trial: Trial, chance: np.random.Generator, at: tuple[int, int], of_day: float, lot: float) -> Session:
    m, i = at
    s, share = trial.s[m], trial.of_day if trial.same_days else 0.0
    log_rate = (math.log(trial.ratio) if m == 0 else 0.0) + lot
    if trial.sessions_a_day > 1:
        log_rate += s * of_day + trial.within_day * chance.normal()
    else:
        log_rate += s * (math.sqrt(share) * of_day + math.sqrt(1 - share) * chance.normal())
    diameter_m = None
    if trial.logs_cm:
        diameter_m = chance.uniform(*trial.logs_cm[m]) / 100
        log_rate += trial.slope * math.log(diameter_m)
    person = trial.persons[m][i] if trial.persons else 0
    log_rate += person * (trial.person_effect + (trial.person_by_method if m == 0 else 0.0))
    wood = float(np.exp(chance.normal() * math.sqrt(math.log(1 + WOOD_CV**2))))
    day = i if trial.same_days else i * len(trial.sessions) + m
    return Session(
        0, m, wood, {Recorded[trial.amount.upper()]: wood * math.exp(log_rate)}, day, {person: 1.0}, diameter_m
    )


def _timed(trial: Trial, chance: np.random.Generator, m: int) -> TimedCuts:
    """Cuts whose time follows the true slope at 20 cm: p + q A with -2 p / (p + q A) = slope."""
    d = chance.uniform(0.10, 0.36, size=trial.timed_cuts)
    d[:2] = 0.11, 0.35
    share = -trial.slope / 2
    times = 40 * (share + (1 - share) * (d / 0.2) ** 2) * np.exp(0.15 * chance.normal(size=d.size))
    return TimedCuts(m, tuple(math.pi * d**2 / 4), tuple(times))


def fitted(trial: Trial, made: Season, first_n: int | None = None) -> tuple[Fit, ...]:
    """The model of all tasks, or of the first sessions alone."""
    return fit_season(
        [
            observed(TaskSessions(i, trial.sawn, tuple(task[:first_n]), made.cuts), Recorded[trial.amount.upper()])
            for i, task in enumerate(made.tasks)
        ]
    )


def covered(ends: tuple[float, float], log_truth: float) -> float:
    return float(math.log(ends[0]) <= log_truth <= math.log(ends[1]))


def rate_cover(trial: Trial, chance: np.random.Generator) -> dict[str, float]:
    """Coverage of the first method's interval, and the log of its high end over its low end; None without ends."""
    ends = rates(fitted(trial, season(trial, chance))[0])[0].ends
    if ends is None:
        return {}
    return {"cover": covered(ends, trial.truths[0]), "log_width": math.log(ends[1] / ends[0])}


def one_look(trial: Trial, chance: np.random.Generator) -> dict[str, float]:
    """The ratio and the verdicts of all pairs of the first task, scored once."""
    found = ratios(fitted(trial, season(trial, chance))[0], MARGIN)
    verdicts = [one.order.surety for one in found.values() if one.order]
    ends = found[0, 1].ends
    likely = (Surety.SETTLED, Surety.LIKELY)
    cover = {"cover": covered(ends, trial.truths[0] - trial.truths[1])} if ends else {}
    return cover | {
        "settled": float(Surety.SETTLED in verdicts),
        "likely": float(any(one in likely for one in verdicts)),
        "same": float(Surety.SAME in verdicts),
    }


def many_looks(trial: Trial, chance: np.random.Generator) -> dict[str, float]:
    """Whether any look after a session, once each method has one, found the order settled, or both the same."""
    made = season(trial, chance)
    found = set()
    for n in range(len(trial.sessions), len(made.tasks[0]) + 1):
        order = ratios(fitted(trial, made, n)[0], MARGIN)[0, 1].order
        if order:
            found.add(order.surety)
    return {"settled": float(Surety.SETTLED in found), "same": float(Surety.SAME in found)}


def further_days(trial: Trial, chance: np.random.Generator) -> dict[str, float]:
    """Whether the further days asked for led to a verdict; None if none were asked for."""
    longer = replace(trial, sessions=tuple(n + 12 for n in trial.sessions))
    made = season(longer, chance)
    now = sum(trial.sessions)
    fit = fitted(trial, made, now)[0]
    order = ratios(fit, MARGIN)[0, 1].order
    days = further(fit, 0, 1, MARGIN).days
    if order is None or order.surety in (Surety.SETTLED, Surety.SAME) or days is None:
        return {}
    later = ratios(fitted(trial, made, now + 2 * days)[0], MARGIN)[0, 1].order
    return {"reached": float(later is not None and later.surety in (Surety.SETTLED, Surety.SAME))}


def many_households(households_n: int, spread: float, common: float, chance: np.random.Generator) -> dict[str, float]:
    """Coverage of the average household's interval, if each has its own variance and all share one doubt."""
    variances = chance.uniform(0.005, 0.03, size=households_n)
    shared = common * chance.normal()
    seen = [shared + spread * chance.normal() + math.sqrt(v) * chance.normal() for v in variances]
    found = pooled([Household(*pair, common) for pair in zip(seen, variances, strict=True)])
    return {"cover": float(found.ends[0] <= 0 <= found.ends[1]), "log_width": found.ends[1] - found.ends[0]}


LOOKS: dict[str, Callable[[Trial, np.random.Generator], dict[str, float]]] = {
    "rate": rate_cover,
    "one look": one_look,
    "many looks": many_looks,
    "further days": further_days,
}


def outcomes(cell: dict[str, Any], runs_n: int) -> Iterator[dict[str, float]]:
    """Outcome of each run of a cell of the table; the runs are the same every time."""
    for run in range(runs_n):
        chance = np.random.default_rng([cell["seed"], run])
        if cell["look"] == "households":
            yield many_households(**cell["trial"], chance=chance)
        else:
            yield LOOKS[cell["look"]](Trial(**_tuples(cell["trial"])), chance)


def _tuples(given: Any) -> Any:
    if isinstance(given, dict):
        return {key: _tuples(one) for key, one in given.items()}
    return tuple(_tuples(one) for one in given) if isinstance(given, list) else given
