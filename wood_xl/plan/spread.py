"""Spreads the work over the available time, as a dated list of sessions."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache

from wood_xl.arguments import require_not_negative, require_positive
from wood_xl.plan.calendar import (
    TINY,
    WEEK,
    Block,
    Manner,
    Rules,
    State,
    TrialDays,
    Visit,
    steps_up,
    weeks,
    whole_steps,
)


def sessions(
    *,
    blocks: Sequence[Block],
    first_day: int,
    last_day: int,
    rules: Rules,
    trials: Sequence[TrialDays] = (),
    rent: Callable[[Sequence[Visit]], float] = lambda _: 0.0,
) -> list[Visit]:
    """Sessions from the first day to the last, with the blocks in order.

    No week holds more than it must for all the work to be done by the last day. Sessions of a week have similar
    lengths, if that adds no more to a week than the shortest session. Otherwise sessions are as long as possible;
    if that is not enough, wood goes on to its next task before more is started. If the time is still too short, the
    list that finishes most wood is kept, of full weeks or of half, a quarter and so on of their hours, so that more
    hours never make it worse. A rented tool is used on the fewest days: once all its wood is ready, in the longest
    sessions and fullest weeks, unless another list costs less rent. Days are filled by ``weeks``.

    trials: each of two methods that have a block. rent: cost of rented tools for the days of a list.

    Returns visits by day; what they leave undone is the shortfall.

    Source: wood_xl_definitions, calendar of sessions.

    >>> from wood_xl.plan.calendar import Crew
    >>> rules = Rules(week_min=240, people_n=1, weekdays=(5, 2), shortest_min=15, step_min=5)
    >>> saw = Block(0, "saw", cords=2, worker_hours_per_cord=3, crews=(Crew(("Mara",), 150),))
    >>> [(v.day, v.minutes, round(v.cords, 3)) for v in sessions(blocks=[saw], first_day=0, last_day=13, rules=rules)]
    [(2, 90, 0.5), (5, 90, 0.5), (9, 90, 0.5), (12, 90, 0.5)]
    """
    require_not_negative(week_min=rules.week_min)
    for block in blocks:
        require_positive(cords=block.cords, hours=block.worker_hours_per_cord)
        for crew in block.crews:
            require_positive(longest_min=crew.longest_min)
    missing = {name for trial in trials for name in trial.methods} - {block.method for block in blocks}
    if missing:
        raise ValueError(f"no block of {', '.join(sorted(missing))}")

    lists = map(list, _lists(tuple(blocks), first_day, last_day, rules, tuple(trials)))
    return min(lists, key=rent)


@lru_cache(maxsize=32)  # a search for a limit plans the same work many times
def _lists(
    blocks: tuple[Block, ...], first_day: int, last_day: int, rules: Rules, trials: tuple[TrialDays, ...]
) -> tuple[tuple[Visit, ...], ...]:
    """Lists to choose from by rent, of equals the earlier: all of the whole work, or one of what can be done."""

    def filled(manner: Manner) -> State:
        return weeks(blocks, trials, first_day, last_day, rules, manner)

    week_minutes = _week_minutes(blocks, first_day, last_day, rules)
    tried: list[State] = []

    def of_all_work(*, is_gathered: bool) -> State | None:
        even = _fitting(filled, [Manner(n, True, False, is_gathered) for n in week_minutes], rules.step_min, tried)
        if even is not None and even[0] <= week_minutes[0] + rules.shortest_min:
            return even[1]
        uneven = [
            _fitting(filled, [Manner(n, False, is_pulled, is_gathered) for n in week_minutes], rules.step_min, tried)
            for is_pulled in (False, True)
        ]
        least = min((one for one in uneven if one is not None), key=lambda one: one[0], default=even)
        is_even_enough = even is not None and least is not None and even[0] <= least[0] + rules.shortest_min
        best = even if is_even_enough else least
        return None if best is None else best[1]

    whole = [of_all_work(is_gathered=False)]
    if any(block.is_rented for block in blocks):
        fullest = [filled(Manner(rules.week_min, False, is_pulled, True)) for is_pulled in (False, True)]
        if whole[0] is not None or not all(state.left for state in fullest):
            whole = [of_all_work(is_gathered=True), *whole, *tried]  # of equals, the more even comes first
    lists = tuple(tuple(state.visits) for state in whole if state is not None and not state.left)
    if lists:
        return lists
    week_min = rules.week_min
    while week_min >= max(rules.shortest_min, TINY):
        tried += [filled(Manner(week_min, False, is_pulled, False)) for is_pulled in (False, True)]
        week_min /= 2
    last_task = max((block.task for block in blocks), default=0)
    best = max(tried, key=lambda state: round(state.done.get(last_task, 0.0) / TINY), default=State({}))
    return (tuple(best.visits),)


def _week_minutes(blocks: Sequence[Block], first_day: int, last_day: int, rules: Rules) -> list[float]:
    """Minutes of a week to try, from an even share of the work to the most, in growing steps."""
    weeks_n = max(math.ceil((last_day - first_day + 1) / WEEK), 1)
    even = math.fsum(block.worker_min for block in blocks if not block.is_rented) / weeks_n
    share = max(even, rules.least_week_min, rules.step_min)
    least = steps_up(share, rules.step_min)
    minutes, longer = [], 0.0
    while least + longer < rules.week_min:
        minutes.append(least + longer)
        longer = 2 * longer + rules.step_min
    return [*minutes, rules.week_min] if rules.week_min >= rules.step_min else []


def _fitting(
    filled: Callable[[Manner], State], manners: Sequence[Manner], step_min: float, tried: list[State]
) -> tuple[float, State] | None:
    """The least minutes of a week that fit the whole work, with the list; None if no week is long enough."""

    def of_all_work(manner: Manner) -> State | None:
        state = filled(manner)
        tried.append(state)
        return None if state.left else state

    too_few = 0.0
    for manner in manners:
        state, enough = of_all_work(manner), manner.week_min
        if state is None:
            too_few = enough
            continue
        while too_few and (middle := whole_steps((too_few + enough) / 2, step_min)) > too_few:
            better = of_all_work(manner._replace(week_min=middle))
            if better is None:
                too_few = middle
            else:
                state, enough = better, middle
        return enough, state
    return None
