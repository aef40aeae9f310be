"""How sure the money between two methods is: each input alone at the ends of its range, the differences put together.

The ranges are those of the sheet of what moves the money most. What both methods share (a tool, a price, the interest
rate) moves in both at once, so that it cancels as far as it should.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.strata import Draws, limits_of_draws, t_draws
from wood_xl.hours.rates import method_rate
from wood_xl.ids import Input
from wood_xl.money.inputs import Gathered
from wood_xl.money.method import MethodInputs, method_money
from wood_xl.money.per_method import MethodCost
from wood_xl.money.sensitivity import YOUR_SESSIONS, trials
from wood_xl.money.swings import ends_together
from wood_xl.reasons import Key, Said, said
from wood_xl.records import Season

NOT_MOVED = (
    said(Input.YEARLY_VOLUME),
    said(Input.VALUE_OF_HOUR),
)  # the one is looked for, the other is the reader's own
VOLUMES_PER_FACTOR_10 = 2  # between which the doubt of the cash is interpolated

Both = tuple[MethodInputs, MethodInputs]
Result = Callable[[MethodInputs, MethodInputs], float]


@dataclass(frozen=True)
class PairDoubt:
    """Two methods, quicker and slower, with what moves the money between them.

    base: of both.
    moved: both with one input at the low and at the high end of its range.
    hours: ends of the worker hours saved for a cord, or why there are none.
    """

    base: Both
    moved: tuple[tuple[Both, Both], ...]
    hours: tuple[float, float] | Said

    def ends(self, result: Result, *, others: tuple[tuple[float, float], ...] = ()) -> tuple[float, float]:
        """Ends of a result by all that moves the money, and by the results at the ends of something else."""
        swings = [(result(*low), result(*high)) for low, high in self.moved]
        return ends_together(base=result(*self.base), swings=(*swings, *others))

    def cash_beside(self, volumes: tuple[float, float]) -> Callable[[float], tuple[float, float]]:
        """How far below and above its value the extra cash for a cord may lie, at any yearly volume between two."""
        least, most = (math.log10(volume) for volume in volumes)
        steps = math.ceil((most - least) * VOLUMES_PER_FACTOR_10)
        places = [least + (most - least) * step / steps for step in range(steps + 1)]

        @cache
        def beside(index: int) -> tuple[float, float]:
            extra = extra_cash_at(10 ** places[index])
            low, high = self.ends(extra)
            base = extra(*self.base)
            return base - low, high - base

        def at(cords_per_year: float) -> tuple[float, float]:
            place = min(max(math.log10(cords_per_year), least), most)
            index = min(bisect_right(places, place), steps) - 1
            part = (place - places[index]) / (places[index + 1] - places[index])
            (down, up), (next_down, next_up) = beside(index), beside(index + 1)
            return down + part * (next_down - down), up + part * (next_up - up)

        return at


def pair_doubt(quick: MethodCost, slow: MethodCost, found: tuple[Gathered, Gathered], season: Season) -> PairDoubt:
    """What moves the money between two methods of one task."""
    base = (found[0].inputs, found[1].inputs)
    ends: dict[tuple[Key, int | None], tuple[Both, Both]] = {}
    for place, gathered in enumerate(found):
        for trial in trials(gathered, season.currency):
            if trial.name in NOT_MOVED:
                continue
            key = trial.name, place if trial.source == YOUR_SESSIONS else None
            low, high = ends.get(key, (base, base))
            ends[key] = (
                _put(low, place, trial.put(low[place], trial.low)),
                _put(high, place, trial.put(high[place], trial.high)),
            )
    return PairDoubt(base, tuple(ends.values()), _hours_saved(quick, slow, season))


def _put(both: Both, place: int, inputs: MethodInputs) -> Both:
    return (inputs, both[1]) if place == 0 else (both[0], inputs)


def extra_cash_at(cords_per_year: float) -> Result:
    """What the quicker method costs more for a cord, at a yearly volume, as a function of both."""

    @cache
    def cash(inputs: MethodInputs) -> float:  # most often one of the two stays as it is
        return method_money(replace(inputs, cords_per_year=cords_per_year)).cash

    return lambda quick, slow: cash(quick) - cash(slow)


def _hours_saved(quick: MethodCost, slow: MethodCost, season: Season) -> tuple[float, float] | Said:
    """Ends of the worker hours saved for a cord: sessions scatter each for itself, tape and stack are shared."""
    draws: list[Draws] = []
    for cost in (slow, quick):
        found = method_rate(cost.totals, "worker_hours", season)
        if isinstance(found, Said):
            return found
        spread = t_draws(key=found.sessions_key, df=found.rate.df)
        draws.append(found.common.draws * np.exp(found.rate.se_log * spread))
    return limits_of_draws(draws=draws[0] - draws[1], level_frac=value("interval.level") / 100)
