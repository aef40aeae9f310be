"""Plans next season: how much of the wanted wood, by which methods, by whom and when, within all limits."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from wood_xl.data.load import value
from wood_xl.draws.ensemble import nominal
from wood_xl.plan.calendar import MIN_PER_H, Block, Rules, Visit
from wood_xl.plan.inputs import CASH, FIGURE_OF, HOURS, LIMIT_OF, NEAR, PEOPLE, Limits, PlanInputs, Rent
from wood_xl.plan.mix import Option, least_cost_mix, most_cords
from wood_xl.plan.spread import sessions
from wood_xl.reasons import Said, given, is_said, said
from wood_xl.verdicts import Limit

DUST = 1e-4  # share of the wood that is too little to go out or buy a chain for
DAYS = (Limit.DAYS_OF, Limit.HARD_DAYS_OF)
SPENT = said(Limit.CASH, by_spells=True)  # limit of the mix on cash that includes whole rental periods
# Fractions of the limits on hours and days to try, until the calendar has room for the mix.
TIGHTER = (1.0, 0.98, 0.96, 0.94, 0.92, 0.9, 0.85, 0.8, 0.7, 0.6, 0.5)
HALVINGS = 12
MOST_MIXES = 12  # rounds of mix and calendar to find how much work a rental period holds
# Up to this many people x methods x days (20 x 10 x 200), all halvings are made. Beyond it each takes seconds, so
# fewer are made, and the plan may fall up to a sixteenth short of the wood that could be finished.
FULL_WORK, LEAST_HALVINGS = 40_000, 4
MIX_DIGITS = 4  # digits of the shares by which two mixes are told apart


@dataclass(frozen=True)
class Plan:
    """How many cords by each method, what that takes of the limits, and the sessions."""

    cords: float  # finished: all tasks done
    started: float  # more than ``cords`` only during the search
    by_method: dict[str, float]
    used: Limits  # what the plan takes of each limit
    visits: list[Visit] | None  # None without a calendar
    tight: tuple[Said, ...] = ()  # limits that make the mix depart from the verdicts
    binding: tuple[Said, ...] = ()  # limits that keep the wanted cords out of reach
    coarse: float = 0.0  # cords by which a shortened search may have missed the best plan

    @property
    def is_whole(self) -> bool:
        """Whether everything started is finished."""
        return self.cords >= self.started * (1 - NEAR)

    def is_over_cash(self, inputs: PlanInputs) -> bool:
        """Whether it takes more than the limit on cash; only during the search."""
        return self.used.get(CASH, 0.0) > inputs.limits.get(CASH, math.inf) * (1 + NEAR) + NEAR


def reaches(inputs: PlanInputs) -> bool:
    """Whether all wanted cords can be made."""
    return not inputs.tasks_not_planned and plan(inputs, is_all=True).cords >= inputs.cords * (1 - NEAR)


def plan(inputs: PlanInputs, *, is_all: bool = False) -> Plan:
    """The least-cost plan for the wanted cords, or for the most that the limits and the calendar allow.

    Rent on its own days counts as cash. If the plan without the limit on cash exceeds it, the mix counts whole rental
    periods as unknowns. Their capacity comes from the calendar: if that needs more periods than the mix, the mix is
    solved again with the capacity of the fullest ones.

    is_all: plan all the wanted cords or nothing.
    """
    options, limits = _options(inputs), inputs.limits
    if CASH not in limits or not inputs.rents:
        return _finishable(inputs, _plan_within(inputs, options, limits, is_all=is_all))
    hours, most = [_period_capacity_h(inputs, rent) for rent in inputs.rents], math.inf
    free = {name: limit for name, limit in limits.items() if name != CASH}
    narrowed = free | {SPENT: limits[CASH]} | {_periods_of(at): 0.0 for at in range(len(inputs.rents))}
    if (
        is_all
        and most_cords(options=_by_periods(inputs, options, hours), limits=narrowed, cords=inputs.cords).binding
    ):
        return _no_plan(inputs)
    without = _finishable(inputs, _plan_within(inputs, options, free, is_all=is_all))
    if not without.is_over_cash(inputs):
        return without
    for _ in range(MOST_MIXES):
        within = _plan_within(inputs, _by_periods(inputs, options, hours), narrowed, is_all=is_all, most=most)
        if not within.is_over_cash(inputs):
            within = _finishable(inputs, within)
            most = within.cords
        before, hours = hours, _fullest_periods_h(inputs, within, hours)
        if hours == before:
            break
    else:
        within = _finishable(inputs, within, is_within=True)
    is_less = within.cords < without.cords * (1 - NEAR)
    binding = (*within.binding, CASH) if is_less else without.binding
    return replace(within, tight=_stated_limits((*within.tight, CASH)), binding=_stated_limits(binding))


def _periods_of(at: int) -> Said:
    """The limit of the mix on work within the periods of one rental."""
    return said(Limit.CASH, rent=at)


def _stated_limits(limits: Sequence[Said]) -> tuple[Said, ...]:
    """Limits under the names that a reader knows: rental periods count as cash."""
    return tuple(dict.fromkeys(CASH if is_said(name, Limit.CASH) else name for name in limits))


def _by_periods(inputs: PlanInputs, options: Sequence[Option[Said]], hours: Sequence[float]) -> list[Option[Said]]:
    """The options with rent paid per period, each of which holds so many hours of work, instead of per cord."""
    by_period = [one._replace(takes={**one.takes, SPENT: one.takes[CASH]}) for one in options]
    for at, (rent, most) in enumerate(zip(inputs.rents, hours, strict=True)):
        price = nominal(rent.price)
        for n, one in enumerate(by_period):
            if one.name in rent.per_cord:
                cash = nominal(rent.per_cord[one.name])
                spells = inputs.hours(one.name) / most if most else cash / price
                takes = {**one.takes, SPENT: one.takes[SPENT] - cash, _periods_of(at): spells}
                by_period[n] = one._replace(takes=takes)
        by_period.append(Option("", "", 0.0, {SPENT: price, _periods_of(at): -1.0}, is_whole=True))
    return by_period


def _period_capacity_h(inputs: PlanInputs, rent: Rent) -> float:
    """Upper bound on the hours of work in one rental period: by people's days and by the weeks that it can touch."""
    if inputs.window is None or not inputs.wanted.hours_per_week:
        return 0.0  # without a calendar a period is as full as in the sessions
    day_h = inputs.people_n * max(crew.crew.longest_min for crew in inputs.eligible) / MIN_PER_H
    return min(rent.days_n * day_h, min(rent.days_n, 2) * inputs.wanted.hours_per_week)


def _fullest_periods_h(inputs: PlanInputs, plan: Plan, hours: Sequence[float]) -> list[float]:
    """Capacity of a period of each rental: that of the fullest, where the calendar needs more than the mix."""
    fullest = []
    for rent, most in zip(inputs.rents, hours, strict=True):
        spells = sorted(rent.hours_by_period(plan.visits or ()))
        planned = math.fsum(
            made * inputs.hours(name) for name, made in plan.by_method.items() if name in rent.per_cord
        )
        n = max(1, math.ceil(planned / most - NEAR)) if most else len(spells)
        fullest.append(math.fsum(spells[-n:]) / n if len(spells) > n else most)
    return fullest


def _plan_within(
    inputs: PlanInputs, options: Sequence[Option[Said]], limits: Limits, *, is_all: bool, most: float = math.inf
) -> Plan:
    """The mix within limits, with its sessions. The limit on cash may differ from that of the inputs."""
    reach = most_cords(options=options, limits=limits, cords=inputs.cords)
    plan = None
    if reach.cords > NEAR * inputs.cords and not (is_all and reach.binding):
        plan = _fitting_calendar(inputs, options, limits, min(reach.cords, most))
    if plan is None or (is_all and not plan.is_whole):
        plan = _no_plan(inputs)
    return replace(plan, binding=_stated_limits(reach.binding))


def _no_plan(inputs: PlanInputs) -> Plan:
    return Plan(0.0, 0.0, {}, dict.fromkeys(inputs.limits, 0.0), None)


def mix_only(inputs: PlanInputs, times: float) -> Plan:
    """The least-cost mix for a multiple of the wanted wood, without calendar or trials."""
    wanted = replace(inputs.wanted, volume_wanted_m3=(inputs.wanted.volume_wanted_m3 or 0.0) * times)
    inputs = replace(inputs, wanted=wanted, trials=())
    options = _options(inputs)
    reach = most_cords(options=options, limits=inputs.limits, cords=inputs.cords)
    mixed = _mix_plan(inputs, options, inputs.limits, reach.cords) if reach.cords > NEAR * inputs.cords else None
    return replace(mixed or _no_plan(inputs), binding=reach.binding)


def _fitting_calendar(
    inputs: PlanInputs, options: Sequence[Option[Said]], limits: Limits, reach: float
) -> Plan | None:
    """The first mix whose sessions all fit; else the one that finishes most wood."""
    best: Plan | None = None
    tried = set[tuple[tuple[str, float], ...]]()
    for tighter in TIGHTER:
        narrowed = {
            name: most * tighter if name in (HOURS, PEOPLE) or is_said(name, *DAYS) else most
            for name, most in limits.items()
        }
        mixed = _mix_plan(inputs, options, narrowed, reach)
        if mixed is None:
            break
        shares = tuple((name, round(n / reach, MIX_DIGITS)) for name, n in mixed.by_method.items())
        if shares in tried:
            continue
        tried.add(shares)
        placed = _with_calendar(inputs, mixed)
        if placed.visits is None or placed.cords >= reach * (1 - NEAR):
            return placed
        if best is None or placed.cords > best.cords:
            best = placed
    return best


def _finishable(inputs: PlanInputs, plan: Plan, *, is_within: bool = False) -> Plan:
    """The plan, scaled down to the wood that it can finish, and within the cash if ``is_within``."""

    def fits(placed: Plan) -> bool:
        return placed.is_whole and not (is_within and placed.is_over_cash(inputs))

    if fits(plan):
        return plan
    best = replace(_no_plan(inputs), binding=plan.binding)
    least, most = max(_tried_cords_by_task(inputs).values(), default=0.0), plan.started
    halvings = _halvings(inputs, plan)
    for _ in range(halvings):
        middle = (least + most) / 2
        placed = _with_calendar(inputs, _scaled(inputs, plan, middle))
        if fits(placed):
            best, least = placed, middle
        else:
            most = middle
    return replace(best, coarse=most - least) if best.cords and halvings < HALVINGS else best


def _halvings(inputs: PlanInputs, plan: Plan) -> int:
    """Number of halvings: fewer where each calendar takes long."""
    days_n = 0 if inputs.window is None else inputs.window.last - inputs.window.first + 1
    work = max(1, inputs.people_n * len(plan.by_method) * days_n)
    return max(LEAST_HALVINGS, min(HALVINGS, HALVINGS * FULL_WORK // work))


def _scaled(inputs: PlanInputs, plan: Plan, cords: float) -> Plan:
    tried, of_task = inputs.tried, _tried_cords_by_task(inputs)

    def made(name: str) -> float:
        fixed, in_task = tried.get(name, 0.0), of_task.get(inputs.task_of(name), 0.0)
        return fixed + (plan.by_method[name] - fixed) * (cords - in_task) / (plan.started - in_task)

    by_method = {name: made(name) for name in plan.by_method}
    used = {
        name: math.fsum(given(inputs.rate(method, FIGURE_OF[name])) * made for method, made in by_method.items())
        if name in FIGURE_OF
        else taken * cords / plan.started
        for name, taken in plan.used.items()
    }
    return replace(plan, cords=cords, started=cords, by_method=by_method, used=used)


def _tried_cords_by_task(inputs: PlanInputs) -> dict[str, float]:
    cords: dict[str, float] = defaultdict(float)
    for name, made in inputs.tried.items():
        cords[inputs.task_of(name)] += made
    return cords


def _mix_plan(inputs: PlanInputs, options: Sequence[Option[Said]], limits: Limits, cords: float) -> Plan | None:
    mix = least_cost_mix(options=options, limits=limits, cords=cords * (1 - NEAR / 10))
    if mix is None:
        return None
    by_method: dict[str, float] = {}
    for option, of_option in zip(options, mix.cords, strict=True):
        if of_option and not option.is_whole:
            by_method[option.name] = by_method.get(option.name, 0.0) + of_option
    _move_dust_to_main_method(inputs, by_method, cords)
    used = {
        name: math.fsum(n * option.takes.get(name, 0.0) for n, option in zip(mix.cords, options, strict=True))
        for name in inputs.limits
    }
    return Plan(cords, cords, by_method, used, None, _stated_limits(mix.binding))


def _move_dust_to_main_method(inputs: PlanInputs, by_method: dict[str, float], cords: float) -> None:
    """Move dust to the main method of its task, so that no tool is bought for it."""
    for name in [one for one, n in by_method.items() if n < DUST * cords and one not in inputs.tried]:
        others = [one for one in by_method if one != name and inputs.task_of(one) == inputs.task_of(name)]
        if others:
            by_method[max(others, key=lambda one: by_method[one])] += by_method.pop(name)


def _with_calendar(inputs: PlanInputs, plan: Plan) -> Plan:
    """The plan with its sessions, and the cords that they finish."""
    week_h = inputs.wanted.hours_per_week
    if inputs.window is None or not week_h:
        return replace(plan, used=_with_rent(inputs, plan, None))
    blocks = [
        Block(
            task=at,
            method=name,
            cords=plan.by_method[name],
            worker_hours_per_cord=inputs.hours(name),
            crews=tuple(c.crew for c in inputs.crews if c.method == name),
            is_rented=inputs.is_rented(name),
        )
        for at, task in enumerate(inputs.aims)
        for name in inputs.tried_methods
        if name in plan.by_method and inputs.task_of(name) == task
    ]
    rules = Rules(
        week_min=week_h * MIN_PER_H,
        people_n=inputs.people_n,
        weekdays=inputs.window.weekdays,
        shortest_min=value("plan.shortest_session"),
        step_min=value("plan.step"),
        least_week_min=value("plan.least_week"),
    )
    visits = sessions(
        blocks=blocks,
        first_day=inputs.window.first,
        last_day=inputs.window.last,
        rules=rules,
        trials=inputs.trials,
        rent=lambda days: nominal(inputs.rent_more(plan.by_method, days)),
    )
    last = max(block.task for block in blocks)
    finished = max((visit.task_cords for visit in visits if visit.block.task == last), default=0.0)
    used = _with_rent(inputs, plan, visits)
    for name in used:
        if is_said(name, *DAYS):
            is_hard = is_said(name, Limit.HARD_DAYS_OF)
            days = {visit.day for visit in visits if name["person"] in (visit.hard if is_hard else visit.people)}
            used[name] = float(len(days))
    there = {(visit.day, person) for visit in visits for person in (*visit.people, visit.in_sight) if person}
    used[PEOPLE] = float(len(there))
    return replace(plan, cords=min(finished, plan.cords), visits=visits, used=used)


def _with_rent(inputs: PlanInputs, plan: Plan, visits: list[Visit] | None) -> Limits:
    used = dict(plan.used)
    if CASH in used:
        used[CASH] += nominal(inputs.rent_more(plan.by_method, visits))
    return used


def _options(inputs: PlanInputs) -> list[Option[Said]]:
    options = []
    tried = inputs.tried_by
    size = max((aim.size for aim in inputs.aims.values()), default=0.0) or 1.0
    earlier_n: Counter[str] = Counter()  # crews of each method so far: of equals, the earlier comes first
    for method_crew in inputs.eligible:
        name, crew = method_crew.method, method_crew.crew
        hours = inputs.hours(name)
        days = hours * MIN_PER_H / len(crew.people) / crew.longest_min
        in_turns = {*crew.in_sight} & {c.crew.people[0] for c in inputs.crews if c.method == name}
        beside_n = 1 if crew.in_sight and not in_turns else 0  # someone who takes turns is there to work as well
        takes = {HOURS: hours, PEOPLE: days * (len(crew.people) + beside_n)}
        takes |= {said(Limit.DAYS_OF, person=person): days for person in crew.people}
        takes |= {said(Limit.HARD_DAYS_OF, person=person): days for person in sorted(crew.hard)}
        takes |= {LIMIT_OF[figure]: given(inputs.rate(name, figure)) for figure in inputs.checked_limits}
        order = inputs.task_of(name)
        cost = inputs.aims[order].costs[name] / size + earlier_n[name] * NEAR
        earlier_n[name] += 1
        options.append(Option(name, order, cost, takes, tried.get((name, crew.people), 0.0)))
    return options
