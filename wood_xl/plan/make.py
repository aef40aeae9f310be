"""Next season: how much of the wanted wood can be made, by which methods, by whom and when, within all limits."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from wood_xl.body.tables import StrainRow
from wood_xl.choice.combinations import CRITERIA, CombinationStudy
from wood_xl.data.load import value
from wood_xl.hours.methods import MethodTotals
from wood_xl.plan.calendar import Block, Rules, TrialDays, Visit, sessions
from wood_xl.plan.crews import Household, MethodCrew, household, method_crews
from wood_xl.plan.mix import Option, Relaxation, least_cost_mix, most_cords, relaxations
from wood_xl.plan.who_may import LeftOut
from wood_xl.reasons import Reason, Said, given, is_said, said
from wood_xl.records import NextSeason, Person, Tool
from wood_xl.remark import Facts
from wood_xl.verdicts import Limit, NotPlanned
from wood_xl.wood.geometry import cords

MIN_PER_H = 60.0
WEEK = 7
NEAR = 1e-6
DUST = NEAR / 4  # a share of the wood that is not worth going out for
WEEKDAYS = (5, 2, 0, 4, 1, 3, 6)  # in the order of preference, Monday is 0; the last ones are for rest
HOURS, CASH, CARBON, PEOPLE = (said(one) for one in (Limit.HOURS, Limit.CASH, Limit.CARBON, Limit.PEOPLE))
FIGURE_OF = {HOURS: "worker_hours", CASH: "cash", CARBON: "co2e"}
# of hours and days, for a mix that a calendar has room for
TIGHTER = (1.0, 0.98, 0.96, 0.94, 0.92, 0.9, 0.85, 0.8, 0.7, 0.6, 0.5)
HALVINGS = 12

Limits = dict[Said, float]
Remark = tuple[str, str, Facts]


@dataclass(frozen=True)
class Window:
    """First and last day of work, as day numbers."""

    first: int
    last: int

    @property
    def weeks_n(self) -> int:
        """Weeks that begin in it, counted from the first day."""
        return math.ceil((self.last - self.first + 1) / WEEK)

    @property
    def days_n(self) -> int:
        """Days in it that can be worked on."""
        return sum(day % WEEK in work_days() for day in range(self.first, self.last + 1))


def work_days() -> tuple[int, ...]:
    """Weekdays of work, in the order of preference."""
    return WEEKDAYS[: int(value("plan.work_days_a_week"))]


def day_number(day: str) -> int:
    """Number of a day as calendars count them: 0 modulo 7 is a Monday.

    >>> day_number("2026-02-16") % 7
    0
    """
    return dt.date.fromisoformat(day).toordinal() - 1


def day_text(number: int) -> str:
    """A day as yyyy-mm-dd."""
    return dt.date.fromordinal(number + 1).isoformat()


@dataclass(frozen=True)
class PlanTask:
    """What a plan starts from; ``barred`` says who may not be planned for what."""

    wanted: NextSeason
    combinations: CombinationStudy
    totals: Mapping[str, MethodTotals]
    tools: Mapping[str, Tool]
    crews: tuple[MethodCrew, ...]
    window: Window | None
    people_n: int
    barred: tuple[LeftOut, ...] = ()
    trials: tuple[TrialDays, ...] = ()

    @property
    def cords(self) -> float:
        """Cords wanted."""
        return cords(self.wanted.volume_wanted_m3 or 0.0)

    @property
    def methods(self) -> list[str]:
        """Methods that somebody may be planned for."""
        return list(dict.fromkeys(crew.method for crew in self.crews))

    def rate(self, method: str, figure: str) -> float | Said:
        """A figure of a method per cord, or why it is missing."""
        return self.combinations.methods[method].per_cord[figure]

    def hours(self, method: str) -> float:
        """Worker hours of a method per cord."""
        return given(self.rate(method, "worker_hours"))

    @property
    def tried_by(self) -> dict[tuple[str, tuple[str, ...]], float]:
        """Cords of each method and crew that the trial days make."""
        return {
            (method, people): trial.days_n * hours / self.hours(method)
            for trial in self.trials
            for method, people, hours in zip(trial.methods, trial.people, trial.worker_hours, strict=True)
        }

    @property
    def tried(self) -> dict[str, float]:
        """Cords of each method that the trial days make; a method is in one trial at most."""
        return {method: made for (method, _), made in self.tried_by.items()}


@dataclass(frozen=True)
class Plan:
    """A plan.

    cords, started: made to the end, all tasks done; and begun, which is more only while a plan is looked for.
    by_method: cords of each method.
    limits, used: the most of each limited thing, and what the plan takes of it.
    visits: none if there can be no calendar.
    binding: limits that end it, if the wanted cords are out of reach.
    ways: raises that would bring them within reach, the smallest first.
    """

    cords: float
    started: float
    by_method: dict[str, float]
    limits: Limits
    used: Limits
    visits: list[Visit] | None
    binding: tuple[Said, ...] = ()
    ways: list[Relaxation[Said]] = field(default_factory=list)


def plan_task(
    wanted: NextSeason,
    combinations: CombinationStudy,
    totals: Sequence[MethodTotals],
    strain: Sequence[StrainRow],
    tools: Mapping[str, Tool],
    people: Sequence[Person],
) -> PlanTask:
    """What a plan starts from."""
    by_name = {t.method.name: t for t in totals}
    everybody = everybody_of(wanted, totals, strain, tools, people)
    found = [method_crews(by_name[name], everybody, tools) for name in combinations.methods]
    crews = tuple(crew for of_method, _ in found for crew in of_method)
    barred = tuple(reason for _, reasons in found for reason in reasons)
    return PlanTask(wanted, combinations, by_name, tools, crews, _window(wanted), everybody.people_n, barred)


def everybody_of(
    wanted: NextSeason,
    totals: Sequence[MethodTotals],
    strain: Sequence[StrainRow],
    tools: Mapping[str, Tool],
    people: Sequence[Person],
) -> Household:
    """Everybody who may be planned for something; what is not written of sessions and people has its default."""
    people_n = wanted.people_n or int(value("plan.people"))
    longest_min = wanted.longest_session_min or value("plan.longest_session")
    return household(people, totals, strain, tools, longest_min=longest_min, people_n=people_n)


def _window(wanted: NextSeason) -> Window | None:
    if not wanted.start or not wanted.ready_by or wanted.ready_by < wanted.start:
        return None
    first = day_number(wanted.start)
    latest = first + int(value("plan.most_weeks")) * WEEK - 1
    return Window(first, min(day_number(wanted.ready_by), latest))


def plan(task: PlanTask) -> Plan:
    """The least-cost plan for the wanted cords, or for the most that the limits and the calendar allow."""
    options, limits = _options(task), _limits(task)
    reach = most_cords(options=options, limits=limits, cords=task.cords)
    ways = relaxations(options=options, limits=limits, cords=task.cords) if reach.binding else []
    found = None
    if reach.cords > NEAR * task.cords:
        found = _that_a_calendar_holds(task, options, limits, reach.cords)
    if found is None:
        return Plan(0.0, 0.0, {}, limits, dict.fromkeys(limits, 0.0), None, reach.binding, ways)
    return replace(found, binding=reach.binding, ways=ways)


def mix_only(task: PlanTask, wanted_cords: float) -> Plan:
    """The least-cost mix for another volume, without a calendar and without trials."""
    options, limits = _options(replace(task, trials=())), _limits(task)
    reach = most_cords(options=options, limits=limits, cords=wanted_cords)
    if reach.cords <= NEAR * wanted_cords:
        return Plan(0.0, 0.0, {}, limits, dict.fromkeys(limits, 0.0), None, reach.binding)
    found = _mixed(task, options, limits, reach.cords)
    return replace(found or Plan(0.0, 0.0, {}, limits, {}, None), binding=reach.binding)


def _that_a_calendar_holds(
    task: PlanTask, options: Sequence[Option[Said]], limits: Limits, reach: float
) -> Plan | None:
    """The first mix whose sessions can all be placed; else the one that brings most wood to the end, cut to that."""
    best: Plan | None = None
    for tighter in TIGHTER:
        narrowed = {
            name: most * tighter if name in (HOURS, PEOPLE) or is_said(name, Limit.DAYS_OF) else most
            for name, most in limits.items()
        }
        found = _mixed(task, options, narrowed, reach, limits)
        if found is None:
            break
        placed = _placed(task, found)
        if placed.visits is None or placed.cords >= reach * (1 - NEAR):
            return placed
        if best is None or placed.cords > best.cords:
            best = placed
    return None if best is None else _cut_to_what_is_finished(task, best)


def _cut_to_what_is_finished(task: PlanTask, plan: Plan) -> Plan | None:
    """The same mix for as much wood as comes to its end, found by halving; None if none does."""
    found: Plan | None = None
    least, most = max(_tried_of_task(task).values(), default=0.0), plan.started
    for _ in range(HALVINGS):
        middle = (least + most) / 2
        placed = _placed(task, _scaled(task, plan, middle))
        if placed.cords >= middle * (1 - NEAR):
            found, least = placed, middle
        else:
            most = middle
    return found


def _scaled(task: PlanTask, plan: Plan, cords: float) -> Plan:
    """The same mix for less wood; what trials make stays."""
    tried, of_task = task.tried, _tried_of_task(task)

    def made(name: str) -> float:
        fixed, in_task = tried.get(name, 0.0), of_task.get(task.combinations.methods[name].task, 0.0)
        return fixed + (plan.by_method[name] - fixed) * (cords - in_task) / (plan.started - in_task)

    by_method = {name: made(name) for name in plan.by_method}
    used = {
        name: math.fsum(given(task.rate(method, FIGURE_OF[name])) * made for method, made in by_method.items())
        if name in FIGURE_OF
        else taken * cords / plan.started
        for name, taken in plan.used.items()
    }
    return replace(plan, cords=cords, started=cords, by_method=by_method, used=used)


def _tried_of_task(task: PlanTask) -> dict[str, float]:
    """Cords that the trial days make, by task."""
    found: dict[str, float] = {}
    for name, made in task.tried.items():
        found[task.combinations.methods[name].task] = found.get(task.combinations.methods[name].task, 0.0) + made
    return found


def _mixed(
    task: PlanTask,
    options: Sequence[Option[Said]],
    limits: Limits,
    made: float,
    stated: Limits | None = None,
) -> Plan | None:
    mix = least_cost_mix(options=options, limits=limits, cords=made * (1 - NEAR / 10))
    if mix is None:
        return None
    by_method: dict[str, float] = {}
    for method_crew, of_option in zip(eligible(task), mix.cords, strict=True):
        if of_option > DUST * made:
            by_method[method_crew.method] = by_method.get(method_crew.method, 0.0) + of_option
    used = {
        name: math.fsum(n * option.takes.get(name, 0.0) for n, option in zip(mix.cords, options, strict=True))
        for name in limits
    }
    return Plan(made, made, by_method, dict(stated or limits), used, None)


def _placed(task: PlanTask, found: Plan) -> Plan:
    """The plan with its sessions, and the cords that come to their end."""
    week_h = task.wanted.hours_per_week
    if task.window is None or not week_h:
        return found
    order = {name: at for at, name in enumerate(task.combinations.tasks)}
    blocks = [
        Block(
            task=order[task.combinations.methods[name].task],
            method=name,
            cords=found.by_method[name],
            worker_hours_per_cord=task.hours(name),
            crews=tuple(c.crew for c in task.crews if c.method == name),
        )
        for name in task.combinations.methods
        if name in found.by_method
    ]
    blocks.sort(key=lambda block: block.task)
    rules = Rules(
        week_min=week_h * MIN_PER_H,
        people_n=task.people_n,
        weekdays=work_days(),
        shortest_min=value("plan.shortest_session"),
        step_min=value("plan.step"),
    )
    visits = sessions(
        blocks=blocks, first_day=task.window.first, last_day=task.window.last, rules=rules, trials=task.trials
    )
    last = max(block.task for block in blocks)
    finished = max((visit.task_cords for visit in visits if visit.block.task == last), default=0.0)
    used = dict(found.used)
    for name in used:
        if is_said(name, Limit.DAYS_OF):
            used[name] = float(len({visit.day for visit in visits if name["person"] in visit.people}))
    if PEOPLE in used:
        there = {(visit.day, person) for visit in visits for person in (*visit.people, visit.in_sight) if person}
        used[PEOPLE] = float(len(there))
    return replace(found, cords=min(finished, found.cords), visits=visits, used=used)


def only_tried(task: PlanTask, found: Plan) -> set[str]:
    """Methods of the plan of which it holds no more than the trial days."""
    return {name for name, made in task.tried.items() if found.by_method[name] <= made * (1 + NEAR)}


def left_out(task: PlanTask) -> list[LeftOut]:
    """Everything that is not planned: methods without a figure or above the cash limit, and who may not do what."""
    lacking = [LeftOut("", name, NotPlanned.NO_FIGURE, lacks) for name, lacks in without_figure(task).items()]
    dear = [LeftOut("", name, NotPlanned.OVER_CASH_LIMIT, cell="next_season.cash_limit") for name in too_dear(task)]
    return [*lacking, *dear, *task.barred]


def without_figure(task: PlanTask) -> dict[str, Said]:
    """Methods that cannot be planned for want of a figure, with what is missing and why."""
    found = {}
    checked = checked_limits(task)
    for name in task.methods:
        method = task.combinations.methods[name]
        lacks = task.combinations.lacks(method.per_cord)
        unchecked = [c for c in CRITERIA if c.figure in checked and isinstance(method.per_cord[c.figure], Said)]
        if lacks:
            found[name] = lacks[1]
        elif unchecked:
            lack, why = unchecked[0].missing, method.per_cord[unchecked[0].figure]
            found[name] = said(Reason.LACKS_FOR_LIMIT, lack=lack, why=why)
    return found


def checked_limits(task: PlanTask) -> tuple[str, ...]:
    """Figures whose limit can be kept: each task has a method with them, and with all that weighs."""
    written = {"cash": task.wanted.cash_limit, "co2e": task.wanted.carbon_limit_kg}
    rates = [
        task.combinations.methods[name] for name in task.methods if task.combinations.points_of(name) is not None
    ]
    found: tuple[str, ...] = ()
    for figure, limit in written.items():
        known = [r for r in rates if not any(isinstance(r.per_cord[key], Said) for key in (*found, figure))]
        if limit is not None and {r.task for r in known} == set(task.combinations.tasks):
            found = (*found, figure)
    return found


def too_dear(task: PlanTask) -> dict[str, float]:
    """Methods whose tools that are still to buy cost more than the cash limit, with what these cost.

    A method that is the only one of its task stays.
    """
    limit = task.wanted.cash_limit
    if limit is None:
        return {}
    without = without_figure(task)
    prices = {name: _price_to_pay(task, name) for name in task.methods if name not in without}
    within = {task.combinations.methods[name].task for name, price in prices.items() if price <= limit}
    return {
        name: price
        for name, price in prices.items()
        if price > limit and task.combinations.methods[name].task in within
    }


def _price_to_pay(task: PlanTask, method: str) -> float:
    tools = [task.tools[name] for name in task.totals[method].method.tools if name in task.tools]
    return math.fsum(tool.outlay or 0.0 for tool in tools)


def eligible(task: PlanTask) -> list[MethodCrew]:
    """Crews of methods that have all figures that are needed, and that the cash limit can pay for."""
    without = without_figure(task).keys() | too_dear(task).keys()
    return [c for c in task.crews if c.method not in without]


def tasks_not_planned(task: PlanTask) -> list[str]:
    """Tasks of which no method can be planned: without one of them there is no wood."""
    planned = {task.combinations.methods[crew.method].task for crew in eligible(task)}
    return [name for name in task.combinations.tasks if name not in planned]


def _options(task: PlanTask) -> list[Option[Said]]:
    checked = checked_limits(task)
    options = []
    tried = task.tried_by
    for at, method_crew in enumerate(eligible(task)):
        name, crew = method_crew.method, method_crew.crew
        hours = task.hours(name)
        days = hours * MIN_PER_H / len(crew.people) / crew.longest_min
        in_turns = {*crew.in_sight} & {c.crew.people[0] for c in task.crews if c.method == name}
        beside_n = 1 if crew.in_sight and not in_turns else 0  # who takes turns is there to work as well
        takes = {HOURS: hours, PEOPLE: days * (len(crew.people) + beside_n)}
        takes |= {_days_of(person): days for person in crew.people}
        if "cash" in checked:
            takes[CASH] = given(task.rate(name, "cash"))
        if "co2e" in checked:
            takes[CARBON] = given(task.rate(name, "co2e"))
        points = (task.combinations.points_of(name) or 0.0) * (1 + at * NEAR)  # the earlier of equals first
        least = tried.get((name, crew.people), 0.0)
        options.append(Option(name, task.combinations.methods[name].task, points, takes, least))
    return options


def _days_of(person: str) -> Said:
    return said(Limit.DAYS_OF, person=person)


def _limits(task: PlanTask) -> Limits:
    wanted, checked = task.wanted, checked_limits(task)
    limits: Limits = {}
    if task.window is not None and wanted.hours_per_week:
        limits[HOURS] = wanted.hours_per_week * task.window.weeks_n
    if wanted.cash_limit is not None and "cash" in checked:
        limits[CASH] = wanted.cash_limit
    if wanted.carbon_limit_kg is not None and "co2e" in checked:
        limits[CARBON] = wanted.carbon_limit_kg
    if task.window is not None:
        people = dict.fromkeys(person for crew in eligible(task) for person in crew.crew.people)
        limits |= {_days_of(person): float(task.window.days_n) for person in people}
        limits[PEOPLE] = float(task.window.days_n * task.people_n)
    return limits
