"""Next season: how much of the wanted wood can be made, by which methods, by whom and when, within all limits."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from wood_xl.data.load import value
from wood_xl.draws.ensemble import nominal
from wood_xl.plan.calendar import MIN_PER_H, Block, Rules, Visit
from wood_xl.plan.inputs import NEAR, PlanInputs, Rent
from wood_xl.plan.mix import Option, least_cost_mix, most_cords
from wood_xl.plan.spread import sessions
from wood_xl.reasons import Said, given, is_said, said
from wood_xl.verdicts import Limit

DUST = 1e-4  # a share of the wood that is not worth going out for, nor buying a chain
HOURS, CASH, CARBON, PEOPLE = (said(one) for one in (Limit.HOURS, Limit.CASH, Limit.CARBON, Limit.PEOPLE))
DAYS = (Limit.DAYS_OF, Limit.HARD_DAYS_OF)
SPENT = said(Limit.CASH, by_spells=True)  # cash with the whole spells of what is rented, as a limit of the mix
FIGURE_OF = {HOURS: "worker_hours", CASH: "cash", CARBON: "co2e"}
# of hours and days, for a mix that a calendar has room for
TIGHTER = (1.0, 0.98, 0.96, 0.94, 0.92, 0.9, 0.85, 0.8, 0.7, 0.6, 0.5)
HALVINGS = 12
MOST_MIXES = 12  # whose calendars tell how much is done with a rented tool
# People x methods x days up to which all are taken: twenty people, ten methods and two hundred days. With more, each
# lasts seconds, and fewer are taken: the plan is then for up to a sixteenth less wood than could be finished.
FULL_WORK, LEAST_HALVINGS = 40_000, 4
MIX_DIGITS = 4  # of shares by which two mixes are told apart

Limits = dict[Said, float]


@dataclass(frozen=True)
class Plan:
    """A plan."""

    # cords, started: made to the end, all tasks done; and begun, which is more only while a plan is looked for
    cords: float
    started: float
    by_method: dict[str, float]
    # limits, used: the most of each limited thing, and what the plan takes of it
    limits: Limits
    used: Limits
    visits: list[Visit] | None  # none if there can be no calendar
    tight: tuple[Said, ...] = ()  # limits that make the mix another than the verdicts ask for
    binding: tuple[Said, ...] = ()  # limits that end it, if the wanted cords are out of reach
    coarse: float = 0.0  # cords by which it may fall short of what could be finished, where little was tried

    @property
    def over_cash(self) -> float:
        """Money by which it goes beyond the limit on cash; more than dust only while a plan is looked for."""
        most = self.limits.get(CASH, math.inf)
        return max(0.0, self.used.get(CASH, 0.0) - most * (1 + NEAR) - NEAR)

    @property
    def is_whole(self) -> bool:
        """Whether all that it begins comes to its end."""
        return self.cords >= self.started * (1 - NEAR)


def plan(inputs: PlanInputs) -> Plan:
    """The least-cost plan for the wanted cords, or for the most that the limits and the calendar allow."""
    return _within_cash(inputs, is_all=False)


def reaches(inputs: PlanInputs) -> bool:
    """Whether all the wanted cords can be made."""
    return not inputs.tasks_not_planned and _within_cash(inputs, is_all=True).cords >= inputs.cords * (1 - NEAR)


def _within_cash(inputs: PlanInputs, *, is_all: bool) -> Plan:
    """The plan that keeps the limit on cash with the rent of its own days.

    If the plan without that limit goes beyond it, whole spells of rent are unknowns of the mix. The calendar tells
    how much work one of them holds: if it takes more spells, the mix is made anew with no more in one than the
    fullest had.

    is_all: whether nothing is planned unless it is all the wanted cords.
    """
    options, limits = _options(inputs), _limits(inputs)
    if CASH not in limits or not inputs.rents:
        return _finished(inputs, _within(inputs, options, limits, limits, is_all=is_all))
    hours, most = [_most_hours(inputs, rent) for rent in inputs.rents], math.inf
    free = {name: limit for name, limit in limits.items() if name != CASH}
    narrowed = free | {SPENT: limits[CASH]} | {_spells_of(at): 0.0 for at in range(len(inputs.rents))}
    if is_all and most_cords(options=_by_spells(inputs, options, hours), limits=narrowed, cords=inputs.cords).binding:
        return _no_plan(limits)
    without = _finished(inputs, _within(inputs, options, free, limits, is_all=is_all))
    if not without.over_cash:
        return without
    for _ in range(MOST_MIXES):
        plan = _within(inputs, _by_spells(inputs, options, hours), narrowed, limits, is_all=is_all, most=most)
        if not plan.over_cash:
            plan = _finished(inputs, plan)
            most = plan.cords
        before, hours = hours, _fullest_hours(inputs, plan, hours)
        if hours == before:
            break
    if plan.over_cash and hours != before:
        plan = _cut_to_what_is_finished(inputs, plan, is_within=True)
    is_less = plan.cords < without.cords * (1 - NEAR)
    binding = (*plan.binding, CASH) if is_less else without.binding
    return replace(plan, tight=_named_once((*plan.tight, CASH)), binding=_named_once(binding))


def _spells_of(at: int) -> Said:
    """What spells of a rented tool have room for, as a limit of the mix."""
    return said(Limit.CASH, rent=at)


def _named_once(limits: Sequence[Said]) -> tuple[Said, ...]:
    """Limits as they are stated: what spells of rent hold back, the cash does."""
    return tuple(dict.fromkeys(CASH if is_said(name, Limit.CASH) else name for name in limits))


def _by_spells(inputs: PlanInputs, options: Sequence[Option[Said]], hours: Sequence[float]) -> list[Option[Said]]:
    """The options with what is rented by the spell, which holds so many hours of work, and not by the cord."""
    found = [one._replace(takes={**one.takes, SPENT: one.takes[CASH]}) for one in options]
    for at, (rent, most) in enumerate(zip(inputs.rents, hours, strict=True)):
        price = nominal(rent.price)
        for n, one in enumerate(found):
            if one.name in rent.per_cord:
                cash = nominal(rent.per_cord[one.name])
                spells = inputs.hours(one.name) / most if most else cash / price
                takes = {**one.takes, SPENT: one.takes[SPENT] - cash, _spells_of(at): spells}
                found[n] = one._replace(takes=takes)
        found.append(Option("", "", 0.0, {SPENT: price, _spells_of(at): -1.0}, is_whole=True))
    return found


def _most_hours(inputs: PlanInputs, rent: Rent) -> float:
    """Hours of work that no spell of rent has more of: by days of all people, and by the weeks it can touch."""
    if inputs.window is None or not inputs.wanted.hours_per_week:
        return 0.0  # without a calendar a spell is as full as in the sessions
    day_h = inputs.people_n * max(crew.crew.longest_min for crew in inputs.eligible) / MIN_PER_H
    return min(rent.days_n * day_h, min(rent.days_n, 2) * inputs.wanted.hours_per_week)


def _fullest_hours(inputs: PlanInputs, plan: Plan, hours: Sequence[float]) -> list[float]:
    """Hours in one of the fullest spells of a calendar, of each tool of which it takes more spells than the mix."""
    fullest = []
    for rent, most in zip(inputs.rents, hours, strict=True):
        spells = sorted(rent.hours_of_spells(plan.visits or ()))
        planned = math.fsum(
            made * inputs.hours(name) for name, made in plan.by_method.items() if name in rent.per_cord
        )
        n = max(1, math.ceil(planned / most - NEAR)) if most else len(spells)
        fullest.append(math.fsum(spells[-n:]) / n if len(spells) > n else most)
    return fullest


def _within(
    inputs: PlanInputs,
    options: Sequence[Option[Said]],
    limits: Limits,
    stated: Limits,
    *,
    is_all: bool,
    most: float = math.inf,
) -> Plan:
    """The mix within limits, of which the one on cash may be another than is stated, with its sessions."""
    reach = most_cords(options=options, limits=limits, cords=inputs.cords)
    plan = None
    if reach.cords > NEAR * inputs.cords and not (is_all and reach.binding):
        plan = _that_a_calendar_holds(inputs, options, limits, min(reach.cords, most), stated)
    if plan is None or (is_all and not plan.is_whole):
        plan = _no_plan(stated)
    return replace(plan, binding=_named_once(reach.binding))


def _finished(inputs: PlanInputs, plan: Plan) -> Plan:
    """The plan, of as much wood as comes to its end."""
    return plan if plan.is_whole else _cut_to_what_is_finished(inputs, plan)


def _no_plan(limits: Limits) -> Plan:
    return Plan(0.0, 0.0, {}, limits, dict.fromkeys(limits, 0.0), None)


def mix_only(inputs: PlanInputs, times: float) -> Plan:
    """The least-cost mix for so many times the wanted, without a calendar and without trials."""
    wanted = replace(inputs.wanted, volume_wanted_m3=(inputs.wanted.volume_wanted_m3 or 0.0) * times)
    inputs = replace(inputs, wanted=wanted, trials=())
    options, limits = _options(inputs), _limits(inputs)
    reach = most_cords(options=options, limits=limits, cords=inputs.cords)
    mixed = _mixed(inputs, options, limits, reach.cords, limits) if reach.cords > NEAR * inputs.cords else None
    return replace(mixed or _no_plan(limits), binding=reach.binding)


def _that_a_calendar_holds(
    inputs: PlanInputs, options: Sequence[Option[Said]], limits: Limits, reach: float, stated: Limits
) -> Plan | None:
    """The first mix whose sessions can all be placed; else the one that brings most wood to the end."""
    best: Plan | None = None
    tried = set[tuple[tuple[str, float], ...]]()
    for tighter in TIGHTER:
        narrowed = {
            name: most * tighter if name in (HOURS, PEOPLE) or is_said(name, *DAYS) else most
            for name, most in limits.items()
        }
        mixed = _mixed(inputs, options, narrowed, reach, stated)
        if mixed is None:
            break
        shares = tuple((name, round(n / reach, MIX_DIGITS)) for name, n in mixed.by_method.items())
        if shares in tried:
            continue
        tried.add(shares)
        placed = _placed(inputs, mixed)
        if placed.visits is None or placed.cords >= reach * (1 - NEAR):
            return placed
        if best is None or placed.cords > best.cords:
            best = placed
    return best


def _cut_to_what_is_finished(inputs: PlanInputs, plan: Plan, *, is_within: bool = False) -> Plan:
    """The same mix for as much wood as comes to its end, and within the cash if it has to; of none if none does."""
    found = replace(_no_plan(plan.limits), binding=plan.binding)
    least, most = max(_tried_of_task(inputs).values(), default=0.0), plan.started
    halvings = _halvings(inputs, plan)
    for _ in range(halvings):
        middle = (least + most) / 2
        placed = _placed(inputs, _scaled(inputs, plan, middle))
        if placed.is_whole and not (is_within and placed.over_cash):
            found, least = placed, middle
        else:
            most = middle
    return replace(found, coarse=most - least) if found.cords and halvings < HALVINGS else found


def _halvings(inputs: PlanInputs, plan: Plan) -> int:
    """How often to halve, the less the longer a plan takes."""
    days_n = 0 if inputs.window is None else inputs.window.last - inputs.window.first + 1
    work = max(1, inputs.people_n * len(plan.by_method) * days_n)
    return max(LEAST_HALVINGS, min(HALVINGS, HALVINGS * FULL_WORK // work))


def _scaled(inputs: PlanInputs, plan: Plan, cords: float) -> Plan:
    tried, of_task = inputs.tried, _tried_of_task(inputs)

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


def _tried_of_task(inputs: PlanInputs) -> dict[str, float]:
    found: dict[str, float] = {}
    for name, made in inputs.tried.items():
        found[inputs.task_of(name)] = found.get(inputs.task_of(name), 0.0) + made
    return found


def _mixed(
    inputs: PlanInputs, options: Sequence[Option[Said]], limits: Limits, cords: float, stated: Limits
) -> Plan | None:
    mix = least_cost_mix(options=options, limits=limits, cords=cords * (1 - NEAR / 10))
    if mix is None:
        return None
    by_method: dict[str, float] = {}
    for option, of_option in zip(options, mix.cords, strict=True):
        if of_option and not option.is_whole:
            by_method[option.name] = by_method.get(option.name, 0.0) + of_option
    _give_dust_to_main(inputs, by_method, cords)
    used = {
        name: math.fsum(n * option.takes.get(name, 0.0) for n, option in zip(mix.cords, options, strict=True))
        for name in stated
    }
    return Plan(cords, cords, by_method, dict(stated), used, None, _named_once(mix.binding))


def _give_dust_to_main(inputs: PlanInputs, by_method: dict[str, float], cords: float) -> None:
    """Give to the main method of a task what a limit leaves of another but dust: its tools would be bought for it."""
    for name in [one for one, n in by_method.items() if n < DUST * cords and one not in inputs.tried]:
        others = [one for one in by_method if one != name and inputs.task_of(one) == inputs.task_of(name)]
        if others:
            by_method[max(others, key=lambda one: by_method[one])] += by_method.pop(name)


def _placed(inputs: PlanInputs, plan: Plan) -> Plan:
    """The plan with its sessions, and the cords that come to their end."""
    week_h = inputs.wanted.hours_per_week
    if inputs.window is None or not week_h:
        return replace(plan, used=_with_rent(inputs, plan, None))
    order = {name: at for at, name in enumerate(inputs.aims)}
    blocks = [
        Block(
            task=order[inputs.task_of(name)],
            method=name,
            cords=plan.by_method[name],
            worker_hours_per_cord=inputs.hours(name),
            crews=tuple(c.crew for c in inputs.crews if c.method == name),
            is_rented=inputs.is_rented(name),
        )
        for name in inputs.tried_methods
        if name in plan.by_method
    ]
    blocks.sort(key=lambda block: block.task)
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
        if is_said(name, Limit.DAYS_OF):
            used[name] = float(len({visit.day for visit in visits if name["person"] in visit.people}))
        elif is_said(name, Limit.HARD_DAYS_OF):
            used[name] = float(len({visit.day for visit in visits if name["person"] in visit.hard}))
    if PEOPLE in used:
        there = {(visit.day, person) for visit in visits for person in (*visit.people, visit.in_sight) if person}
        used[PEOPLE] = float(len(there))
    return replace(plan, cords=min(finished, plan.cords), visits=visits, used=used)


def _with_rent(inputs: PlanInputs, plan: Plan, visits: list[Visit] | None) -> Limits:
    used = dict(plan.used)
    if CASH in used:
        used[CASH] += nominal(inputs.rent_more(plan.by_method, visits))
    return used


def _options(inputs: PlanInputs) -> list[Option[Said]]:
    checked = inputs.checked_limits
    options = []
    tried = inputs.tried_by
    size = max((aim.size for aim in inputs.aims.values()), default=0.0) or 1.0
    earlier_n: Counter[str] = Counter()  # crews of a method: the earlier of equals comes first
    for method_crew in inputs.eligible:
        name, crew = method_crew.method, method_crew.crew
        hours = inputs.hours(name)
        days = hours * MIN_PER_H / len(crew.people) / crew.longest_min
        in_turns = {*crew.in_sight} & {c.crew.people[0] for c in inputs.crews if c.method == name}
        beside_n = 1 if crew.in_sight and not in_turns else 0  # who takes turns is there to work as well
        takes = {HOURS: hours, PEOPLE: days * (len(crew.people) + beside_n)}
        takes |= {_days_of(person): days for person in crew.people}
        takes |= {_hard_days_of(person): days for person in sorted(crew.hard)}
        if "cash" in checked:
            takes[CASH] = given(inputs.rate(name, "cash"))
        if "co2e" in checked:
            takes[CARBON] = given(inputs.rate(name, "co2e"))
        order = inputs.task_of(name)
        cost = inputs.aims[order].costs[name] / size + earlier_n[name] * NEAR
        earlier_n[name] += 1
        options.append(Option(name, order, cost, takes, tried.get((name, crew.people), 0.0)))
    return options


def _days_of(person: str) -> Said:
    return said(Limit.DAYS_OF, person=person)


def _hard_days_of(person: str) -> Said:
    return said(Limit.HARD_DAYS_OF, person=person)


def _limits(inputs: PlanInputs) -> Limits:
    wanted, checked = inputs.wanted, inputs.checked_limits
    limits: Limits = {}
    if inputs.window is not None and wanted.hours_per_week:
        limits[HOURS] = wanted.hours_per_week * inputs.window.weeks_n
    if wanted.cash_limit is not None and "cash" in checked:
        limits[CASH] = wanted.cash_limit
    if wanted.carbon_limit_kg is not None and "co2e" in checked:
        limits[CARBON] = wanted.carbon_limit_kg
    if inputs.window is not None:
        people = dict.fromkeys(person for crew in inputs.eligible for person in crew.crew.people)
        limits |= {_days_of(person): float(inputs.window.days_n) for person in people}
        hard = {person for crew in inputs.eligible for person in crew.crew.hard}
        limits |= {_hard_days_of(person): float(inputs.window.hard_days_n) for person in people if person in hard}
        limits[PEOPLE] = float(inputs.window.days_n * inputs.people_n)
    return limits
