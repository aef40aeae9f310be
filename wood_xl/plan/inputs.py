"""Inputs of the plan for next season: the aim of each task, who may do what, and what cannot be planned."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from wood_xl.choice.verdicts import LACKS
from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number, nominal, total
from wood_xl.draws.figure import Figure, of_method, sum_of
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.money.cost_study import spells_begun
from wood_xl.money.inputs import RENTED_DAYS, spells
from wood_xl.plan.aims import Aim
from wood_xl.plan.calendar import MIN_PER_H, WEEK, TrialDays, Visit
from wood_xl.plan.crews import Household, MethodCrew, method_crews
from wood_xl.plan.who_may import LeftOut, Work
from wood_xl.reasons import Reason, Said, given, said
from wood_xl.records import NextSeason, Tool
from wood_xl.verdicts import Limit, NotPlanned
from wood_xl.wood.geometry import cords

NEAR = 1e-6
WEEKDAYS = (5, 2, 0, 4, 1, 3, 6)  # by preference, Monday is 0; the last are left for rest
# Figures of a plan and their rates. Money already paid for owned tools is no cash of the coming year.
RATES = {"worker_hours": "worker_hours", "cash": "avoidable", "kcal_net": "kcal_net", "co2e": "co2e"}
NOT_CHECKED = {"cash": Reason.CASH_NOT_CHECKED, "co2e": Reason.CO2E_NOT_CHECKED}
HOURS, CASH, CARBON, PEOPLE = (said(one) for one in (Limit.HOURS, Limit.CASH, Limit.CARBON, Limit.PEOPLE))

FIGURE_OF = {HOURS: "worker_hours", CASH: "cash", CARBON: "co2e"}
LIMIT_OF = {figure: limit for limit, figure in FIGURE_OF.items()}

Limits = dict[Said, float]


@dataclass(frozen=True)
class Window:
    """First and last day number of the work, and the weekdays that can be worked on."""

    first: int
    last: int
    weekdays: tuple[int, ...]

    @property
    def weeks_n(self) -> int:
        """Number of weeks, the last one counted whole."""
        return math.ceil((self.last - self.first + 1) / WEEK)

    @property
    def days_n(self) -> int:
        """Number of days that can be worked on."""
        return len(self._days)

    @property
    def hard_days_n(self) -> int:
        """The most of these days on which one person can do hard work, with a day of rest after each."""
        hard_days = [-WEEK]
        for day in self._days:
            if day > hard_days[-1] + 1:
                hard_days.append(day)
        return len(hard_days) - 1

    @property
    def _days(self) -> list[int]:
        return [day for day in range(self.first, self.last + 1) if day % WEEK in self.weekdays]


def day_number(day: str) -> int:
    """Day number of a date as yyyy-mm-dd; a multiple of 7 is a Monday.

    >>> day_number("2026-02-16") % 7
    0
    """
    return dt.date.fromisoformat(day).toordinal() - 1


def day_text(number: int) -> str:
    """Date of a day number, as yyyy-mm-dd."""
    return dt.date.fromordinal(number + 1).isoformat()


@dataclass(frozen=True, eq=False)
class Rent:
    """A tool rented by the day or week: price of one period, its length, and rent per cord of each method."""

    price: Number
    days_n: int
    per_cord: Mapping[str, Number]

    def more(self, by_method: Mapping[str, float], days: Mapping[str, Collection[int]] | None) -> dict[str, Number]:
        """Rent on the days of a plan beyond the rent per cord of the sessions, by method.

        Methods share it in proportion to their rent per cord. Without days, that tells the number of whole periods.
        """
        rents = {name: made * self.per_cord[name] for name, made in by_method.items() if name in self.per_cord}
        taken = total(rents.values())
        if not nominal(taken):
            return {}
        if days is None:
            cost: Number = self.price * np.maximum(1.0, np.ceil(taken / self.price - value("cost.rent_over")))
        else:
            cost = self.price * spells((day_text(day) for name in rents for day in days.get(name, ())), self.days_n)
        return {name: cost * nominal(part) / nominal(taken) - part for name, part in rents.items()}

    def hours_by_period(self, visits: Sequence[Visit]) -> list[float]:
        """Hours of work in each rental period."""
        own_visits = [visit for visit in visits if visit.block.method in self.per_cord]
        begun = spells_begun((day_text(visit.day) for visit in own_visits), self.days_n)
        hours = dict.fromkeys(begun.values(), 0.0)
        for visit in own_visits:
            hours[begun[day_text(visit.day)]] += visit.minutes * len(visit.people) / MIN_PER_H
        return list(hours.values())


@dataclass(frozen=True)
class PlanInputs:
    """What a plan starts from; rates are per cord."""

    wanted: NextSeason
    aims: Mapping[str, Aim]
    waiting: tuple[Aim, ...]  # of tasks that are not planned until a cell is mended
    figures: Mapping[str, Mapping[str, Figure]]  # by figure and method
    totals: Mapping[str, MethodTotals]
    household: Household
    crews: tuple[MethodCrew, ...]
    window: Window | None
    people_n: int
    barred: tuple[LeftOut, ...] = ()
    trials: tuple[TrialDays, ...] = ()
    rents: tuple[Rent, ...] = ()

    @property
    def cords(self) -> float:
        """Cords wanted."""
        return cords(self.wanted.volume_wanted_m3 or 0.0)

    @cached_property
    def methods(self) -> list[str]:
        """Methods that somebody may be planned for."""
        return list(dict.fromkeys(crew.method for crew in self.crews))

    @cached_property
    def tried_methods(self) -> list[str]:
        """Methods with a counted session, in the order of the notes."""
        return [name for name, t in self.totals.items() if t.counted and t.method.task in self.aims]

    def task_of(self, method: str) -> str:
        """The task of a method."""
        return self.totals[method].method.task

    def work(self, method: str) -> Work:
        """What a method asks of whoever does it."""
        return self.household.work(self.totals[method].method)

    def tools_of(self, method: str) -> list[Tool | None]:
        """The tools of a method; None for an unknown one."""
        return [self.household.tools.get(name) for name in self.totals[method].method.tools]

    def rate(self, method: str, figure: str) -> float | Said:
        """A figure of a method, or why it is missing."""
        rate = self.figures[figure][method]
        return rate.why if rate.value is None else rate.value

    def is_rented(self, method: str) -> bool:
        """Whether a tool of a method is rented."""
        return any(tool is not None and tool.held == "rented" for tool in self.tools_of(method))

    @cached_property
    def rented(self) -> set[str]:
        """Methods with a tool rented by the day or week."""
        return {name for rent in self.rents for name in rent.per_cord}

    def hours(self, method: str) -> float:
        """Worker hours of a method."""
        return given(self.rate(method, "worker_hours"))

    def sum_figure(self, by_method: Mapping[str, float], figure: str) -> Figure:
        """A figure summed over cords by method; cords below 0 are subtracted."""
        return sum_of(self.figures[figure], by_method, of_method)

    def rent_more(
        self, by_method: Mapping[str, float], visits: Sequence[Visit] | None, of: Collection[str] | None = None
    ) -> Number:
        """Rent on the days of a plan beyond the rent in its cash per cord, of all methods or of some."""
        days: dict[str, set[int]] = defaultdict(set)
        for visit in visits or ():
            days[visit.block.method].add(visit.day)
        dated = None if visits is None else days
        parts = [part for rent in self.rents for part in rent.more(by_method, dated).items()]
        return total(more for name, more in parts if of is None or name in of)

    @cached_property
    def tried_by(self) -> dict[tuple[str, tuple[str, ...]], float]:
        """Cords that the trial days make, by method and crew."""
        return {
            (method, people): trial.days_n * hours / self.hours(method)
            for trial in self.trials
            for method, people, hours in zip(trial.methods, trial.people, trial.worker_hours, strict=True)
        }

    @cached_property
    def tried(self) -> dict[str, float]:
        """Cords that the trial days make, by method; a method is in one trial at most."""
        return {method: made for (method, _), made in self.tried_by.items()}

    def only_tried(self, by_method: Mapping[str, float]) -> set[str]:
        """Methods that a mix uses on its trial days alone."""
        return {name for name, made in self.tried.items() if by_method[name] <= made * (1 + NEAR)}

    @property
    def written_limits(self) -> dict[str, float]:
        """Limits on figures that are written."""
        limits = {"cash": self.wanted.cash_limit, "co2e": self.wanted.carbon_limit_kg}
        return {figure: limit for figure, limit in limits.items() if limit is not None}

    @cached_property
    def checked_limits(self) -> tuple[str, ...]:
        """Figures whose limit can be checked: each task has a method with hours and all of these figures."""
        checked: tuple[str, ...] = ()
        for figure in self.written_limits:
            asked = ("worker_hours", *checked, figure)
            complete = [n for n in self.methods if not any(isinstance(self.rate(n, key), Said) for key in asked)]
            if {self.task_of(name) for name in complete} == set(self.aims):
                checked = (*checked, figure)
        return checked

    @cached_property
    def limits(self) -> Limits:
        """The most that a plan may take of each limit that can be checked."""
        window = self.window
        limits: Limits = {}
        if window is not None and self.wanted.hours_per_week:
            limits[HOURS] = self.wanted.hours_per_week * window.weeks_n
        limits |= {LIMIT_OF[figure]: self.written_limits[figure] for figure in self.checked_limits}
        if window is not None:
            people = dict.fromkeys(person for crew in self.eligible for person in crew.crew.people)
            hard = {person for crew in self.eligible for person in crew.crew.hard}
            days_n, hard_days_n = float(window.days_n), float(window.hard_days_n)
            limits |= {said(Limit.DAYS_OF, person=person): days_n for person in people}
            limits |= {said(Limit.HARD_DAYS_OF, person=person): hard_days_n for person in people if person in hard}
            limits[PEOPLE] = float(window.days_n * self.people_n)
        return limits

    @cached_property
    def without_figure(self) -> dict[str, Said]:
        """Methods that cannot be planned because a figure is missing, with the reason."""
        reasons = {}
        for name in self.methods:
            hours = self.rate(name, "worker_hours")
            unchecked = [figure for figure in self.checked_limits if isinstance(self.rate(name, figure), Said)]
            if isinstance(hours, Said):
                reasons[name] = said(Reason.LACKS, lack=Reason.NO_HOURS, why=hours)
            elif unchecked:
                lack, why = LACKS[unchecked[0]], self.rate(name, unchecked[0])
                reasons[name] = said(Reason.LACKS_FOR_LIMIT, lack=lack, why=why)
        return reasons

    @cached_property
    def too_dear(self) -> dict[str, float]:
        """Methods whose tools still to buy cost more than the cash limit, with that cost.

        The cheapest of a task stays, or there would be no wood.
        """
        limit = self.wanted.cash_limit
        if limit is None:
            return {}
        prices = {
            name: math.fsum(tool.outlay or 0.0 for tool in self.tools_of(name) if tool)
            for name in self.methods
            if name not in self.without_figure
        }
        least: dict[str, float] = {}
        for name, price in prices.items():
            least[self.task_of(name)] = min(price, least.get(self.task_of(name), price))
        return {name: price for name, price in prices.items() if price > max(limit, least[self.task_of(name)])}

    @cached_property
    def eligible(self) -> list[MethodCrew]:
        """Crews of methods that have all needed figures and fit the cash limit."""
        return [c for c in self.crews if c.method not in self.without_figure and c.method not in self.too_dear]

    @property
    def tasks_not_planned(self) -> list[str]:
        """Tasks without a method that can be planned; one is enough for there to be no wood."""
        planned = {self.task_of(crew.method) for crew in self.eligible}
        return [name for name in self.aims if name not in planned]

    @property
    def left_out_people_n(self) -> int:
        """Number of able people beyond those who may be there at the same time."""
        able = {person for crew in self.eligible for person in (*crew.crew.people, *crew.crew.in_sight)}
        return len(able) - self.people_n

    def left_out(self) -> list[LeftOut]:
        """Everything not planned: what waits, lacks a figure or exceeds the cash limit, and who may not."""
        waiting = [
            LeftOut("", t.method.name, NotPlanned.CELL_WAITS, cell=aim.cells[0])
            for aim in self.waiting
            for t in self.totals.values()
            if t.method.task == aim.task and t.every
        ]
        lacking = [LeftOut("", name, NotPlanned.NO_FIGURE, lacks) for name, lacks in self.without_figure.items()]
        over = NotPlanned.OVER_CASH_LIMIT
        dear = [LeftOut("", name, over, cell="next_season.cash_limit") for name in self.too_dear]
        return [*waiting, *lacking, *dear, *self.barred]

    def idle(self, methods: Collection[str], busy: Collection[str]) -> list[LeftOut]:
        """People without work in a plan with these methods, and why, unless a reason is given already.

        If nothing is planned at all, a limit is the cause, so people who tried a method are not listed.
        """
        counted = methods or {crew.method for crew in self.crews}
        able = {person for crew in self.crews if crew.method in counted for person in crew.crew.people}
        explained = {one.person for one in self.barred}
        idle_people = []
        for person in self.household.people:
            if methods and person in able and person not in busy:
                idle_people.append(LeftOut(person, "", NotPlanned.NO_NEED))
            elif person not in able and person not in explained:
                idle_people.append(LeftOut(person, "", NotPlanned.NOT_TRIED))
        return idle_people


def plan_inputs(wanted: NextSeason, aims: Sequence[Aim], rates: SeasonRates, household: Household) -> PlanInputs:
    """Collect what a plan starts from."""
    study = rates.study
    by_name = {t.method.name: t for t in study.totals}
    planned = {aim.task: aim for aim in aims if not aim.cells and aim.choice.ways}
    tried = [t for t in study.totals if t.counted and t.method.task in planned]
    crews_and_left_out = [method_crews(t, household) for t in tried]
    figures = {own: {t.method.name: rates.figure(t, figure) for t in tried} for own, figure in RATES.items()}
    return PlanInputs(
        wanted=wanted,
        aims=planned,
        waiting=tuple(aim for aim in aims if aim.cells),
        figures=figures,
        totals=by_name,
        household=household,
        crews=tuple(crew for of_method, _ in crews_and_left_out for crew in of_method),
        window=window(wanted),
        people_n=household.people_n,
        barred=tuple(reason for _, reasons in crews_and_left_out for reason in reasons),
        rents=tuple(
            _rents([t.method.name for t in tried if figures["cash"][t.method.name].value is not None], rates)
        ),
    )


def _rents(methods: Sequence[str], rates: SeasonRates) -> Iterator[Rent]:
    """Tools rented by the day or week. Rent by the hour is in the cash per cord already."""
    prices: dict[str, Number] = {}
    per_cord: dict[str, dict[str, Number]] = defaultdict(dict)
    for name in methods:
        money = rates.money(name).money
        for year in money.tools:
            if year.tool.rent is not None and rates.study.tools[year.tool.name].rent_per in RENTED_DAYS:
                prices[year.tool.name] = year.tool.rent.price
                per_cord[year.tool.name][name] = year.rent * year.share_frac / money.cords_per_year
    for tool, price in prices.items():
        if nominal(price):
            yield Rent(price, RENTED_DAYS[rates.study.tools[tool].rent_per], per_cord[tool])


def window(wanted: NextSeason) -> Window | None:
    """Days from start to ready-by day; None if either is missing or they are reversed."""
    if not wanted.start or not wanted.ready_by or wanted.ready_by < wanted.start:
        return None
    first = day_number(wanted.start)
    latest = first + int(value("plan.most_weeks")) * WEEK - 1
    weekdays = tuple(day for day in WEEKDAYS if not wanted.weekdays or day in wanted.weekdays)
    most_n = int(value("plan.work_days_a_week"))  # one day a week is left for rest
    return Window(first, min(day_number(wanted.ready_by), latest), weekdays[:most_n])
