"""What a plan for next season starts from: the aims of its tasks, who may do them, and what cannot be planned."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number, nominal, total
from wood_xl.draws.figure import Figure, Row, of_method, sum_of
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.money.cost_study import spells_begun
from wood_xl.money.inputs import RENTED_DAYS, spells
from wood_xl.plan.aims import Aim
from wood_xl.plan.calendar import MIN_PER_H, WEEK, TrialDays, Visit
from wood_xl.plan.crews import MethodCrew, everybody_of, method_crews
from wood_xl.plan.who_may import LeftOut
from wood_xl.reasons import Reason, Said, given, said
from wood_xl.records import NextSeason, Tool
from wood_xl.verdicts import NotPlanned
from wood_xl.wood.geometry import cords

NEAR = 1e-6
WEEKDAYS = (5, 2, 0, 4, 1, 3, 6)  # in the order of preference, Monday is 0; the last ones are for rest
# of a plan: what is paid already for tools that are owned is in no cash of the coming year
RATES = {"worker_hours": "worker_hours", "cash": "avoidable", "kcal_net": "kcal_net", "co2e": "co2e"}
LACKS_FOR = {"cash": Reason.NO_CASH, "co2e": Reason.NO_CO2E}


@dataclass(frozen=True)
class Window:
    """First and last day of work, as day numbers, and the days of the week between that can be worked on."""

    first: int
    last: int
    weekdays: tuple[int, ...]

    @property
    def weeks_n(self) -> int:
        """Weeks that begin in it, counted from the first day."""
        return math.ceil((self.last - self.first + 1) / WEEK)

    @property
    def days_n(self) -> int:
        """Days in it that can be worked on."""
        return len(self._days)

    @property
    def hard_days_n(self) -> int:
        """The most of these on which one person can do hard work, with a day of rest after each."""
        found = [-WEEK]
        for day in self._days:
            if day > found[-1] + 1:
                found.append(day)
        return len(found) - 1

    @property
    def _days(self) -> list[int]:
        return [day for day in range(self.first, self.last + 1) if day % WEEK in self.weekdays]


def work_days(wanted: NextSeason) -> tuple[int, ...]:
    """Weekdays of work, in the order of preference; one day a week is for rest."""
    days = tuple(day for day in WEEKDAYS if not wanted.weekdays or day in wanted.weekdays)
    return days[: int(value("plan.work_days_a_week"))]


def day_number(day: str) -> int:
    """Number of a day as calendars count them: 0 modulo 7 is a Monday.

    >>> day_number("2026-02-16") % 7
    0
    """
    return dt.date.fromisoformat(day).toordinal() - 1


def day_text(number: int) -> str:
    """A day as yyyy-mm-dd."""
    return dt.date.fromordinal(number + 1).isoformat()


@dataclass(frozen=True, eq=False)
class Rent:
    """A tool that is rented by the day or week: what a spell costs, and what a cord by each method takes of it."""

    price: Number
    days_n: int
    per_cord: Mapping[str, Number]

    def more(self, by_method: Mapping[str, float], days: Mapping[str, Collection[int]] | None) -> dict[str, Number]:
        """What its spells on the days of a plan cost more than so many cords take by the rates of the sessions.

        By method, each of which bears as much as it takes by those rates. Without days those tell its whole spells.
        """
        own = {name: made * self.per_cord[name] for name, made in by_method.items() if name in self.per_cord}
        taken = total(own.values())
        if not nominal(taken):
            return {}
        if days is None:
            cost: Number = self.price * np.maximum(1.0, np.ceil(taken / self.price - value("cost.rent_over")))
        else:
            cost = self.price * spells((day_text(day) for name in own for day in days.get(name, ())), self.days_n)
        return {name: cost * nominal(part) / nominal(taken) - part for name, part in own.items()}

    def hours_of_spells(self, visits: Sequence[Visit]) -> list[float]:
        """Hours of work in each of its spells."""
        own = [visit for visit in visits if visit.block.method in self.per_cord]
        begun = spells_begun((day_text(visit.day) for visit in own), self.days_n)
        hours = dict.fromkeys(begun.values(), 0.0)
        for visit in own:
            hours[begun[day_text(visit.day)]] += visit.minutes * len(visit.people) / MIN_PER_H
        return list(hours.values())


@dataclass(frozen=True)
class PlanInputs:
    """What a plan starts from."""

    wanted: NextSeason
    aims: Mapping[str, Aim]
    waiting: tuple[Aim, ...]  # of those that are not, since a cell is to mend first
    figures: Mapping[str, Mapping[str, Figure]]  # for a cord, by figure and method
    totals: Mapping[str, MethodTotals]
    tools: Mapping[str, Tool]
    crews: tuple[MethodCrew, ...]
    window: Window | None
    people_n: int
    barred: tuple[LeftOut, ...] = ()
    people: tuple[str, ...] = ()
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
        """Methods of its tasks, in the order of the notes."""
        return [name for name, t in self.totals.items() if t.counted and t.method.task in self.aims]

    def task_of(self, method: str) -> str:
        """The task of a method."""
        return self.totals[method].method.task

    def rate(self, method: str, figure: str) -> float | Said:
        """A figure of a method per cord, or why it is missing."""
        found = self.figures[figure][method]
        return found.why if found.value is None else found.value

    def is_rented(self, method: str) -> bool:
        """Whether a tool of a method is rented."""
        tools = (self.tools.get(name) for name in self.totals[method].method.tools)
        return any(tool is not None and tool.held == "rented" for tool in tools)

    @cached_property
    def rented(self) -> set[str]:
        """Methods with a tool that is rented by the day or week."""
        return {name for rent in self.rents for name in rent.per_cord}

    def hours(self, method: str) -> float:
        """Worker hours of a method per cord."""
        return given(self.rate(method, "worker_hours"))

    def sum_figure(self, by_method: Mapping[str, float], figure: str) -> Figure:
        """A figure of so many cords by each method, below 0 of one that is taken off."""
        return sum_of(self.figures[figure], by_method, of_method)

    def rent_more(
        self, by_method: Mapping[str, float], visits: Sequence[Visit] | None, of: Collection[str] | None = None
    ) -> Number:
        """What is rented costs on the days of a plan more than its cash by the cord has; of all methods or some."""
        days: dict[str, set[int]] = defaultdict(set)
        for visit in visits or ():
            days[visit.block.method].add(visit.day)
        known = None if visits is None else days
        parts = [part for rent in self.rents for part in rent.more(by_method, known).items()]
        return total(more for name, more in parts if of is None or name in of)

    @cached_property
    def tried_by(self) -> dict[tuple[str, tuple[str, ...]], float]:
        """Cords of each method and crew that the trial days make."""
        return {
            (method, people): trial.days_n * hours / self.hours(method)
            for trial in self.trials
            for method, people, hours in zip(trial.methods, trial.people, trial.worker_hours, strict=True)
        }

    @cached_property
    def tried(self) -> dict[str, float]:
        """Cords of each method that the trial days make; a method is in one trial at most."""
        return {method: made for (method, _), made in self.tried_by.items()}

    def only_tried(self, by_method: Mapping[str, float]) -> set[str]:
        """Methods of a mix of which it holds no more than the trial days."""
        return {name for name, made in self.tried.items() if by_method[name] <= made * (1 + NEAR)}

    @cached_property
    def checked_limits(self) -> tuple[str, ...]:
        """Figures whose limit can be kept: each task has a method with hours and with all of them."""
        written = {"cash": self.wanted.cash_limit, "co2e": self.wanted.carbon_limit_kg}
        found: tuple[str, ...] = ()
        for figure, limit in written.items():
            asked = ("worker_hours", *found, figure)
            known = [n for n in self.methods if not any(isinstance(self.rate(n, key), Said) for key in asked)]
            if limit is not None and {self.task_of(name) for name in known} == set(self.aims):
                found = (*found, figure)
        return found

    @cached_property
    def without_figure(self) -> dict[str, Said]:
        """Methods that cannot be planned for want of a figure, with what is missing and why."""
        found = {}
        for name in self.methods:
            hours = self.rate(name, "worker_hours")
            unchecked = [figure for figure in self.checked_limits if isinstance(self.rate(name, figure), Said)]
            if isinstance(hours, Said):
                found[name] = said(Reason.LACKS, lack=Reason.NO_HOURS, why=hours)
            elif unchecked:
                lack, why = LACKS_FOR[unchecked[0]], self.rate(name, unchecked[0])
                found[name] = said(Reason.LACKS_FOR_LIMIT, lack=lack, why=why)
        return found

    @cached_property
    def too_dear(self) -> dict[str, float]:
        """Methods whose tools that are still to buy cost more than the cash limit, with what these cost.

        The least dear of a task stays, or there would be no wood.
        """
        limit = self.wanted.cash_limit
        if limit is None:
            return {}
        prices = {name: self._price_to_pay(name) for name in self.methods if name not in self.without_figure}
        least: dict[str, float] = {}
        for name, price in prices.items():
            least[self.task_of(name)] = min(price, least.get(self.task_of(name), price))
        return {name: price for name, price in prices.items() if price > max(limit, least[self.task_of(name)])}

    def _price_to_pay(self, method: str) -> float:
        tools = [self.tools[name] for name in self.totals[method].method.tools if name in self.tools]
        return math.fsum(tool.outlay or 0.0 for tool in tools)

    @cached_property
    def eligible(self) -> list[MethodCrew]:
        """Crews of methods that have all figures that are needed, and that the cash limit can pay for."""
        return [c for c in self.crews if c.method not in self.without_figure and c.method not in self.too_dear]

    @property
    def tasks_not_planned(self) -> list[str]:
        """Tasks of which no method can be planned: without one of them there is no wood."""
        planned = {self.task_of(crew.method) for crew in self.eligible}
        return [name for name in self.aims if name not in planned]

    @property
    def left_out_people_n(self) -> int:
        """How many more there are who could be there than may be at the same time."""
        able = {person for crew in self.eligible for person in (*crew.crew.people, *crew.crew.in_sight)}
        return len(able) - self.people_n

    def left_out(self) -> list[LeftOut]:
        """Everything that is not planned: what waits, lacks a figure or is above the cash limit, and who may not."""
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
        """Those who have nothing to do in a plan with these methods, with the reason, unless one is told already.

        Where nothing is planned at all, a limit forbids it: whoever tried a way is not in want of a trial or of need.
        """
        done = methods or {crew.method for crew in self.crews}
        able = {person for crew in self.crews if crew.method in done for person in crew.crew.people}
        told = {one.person for one in self.barred}
        found = []
        for person in self.people:
            if methods and person in able and person not in busy:
                found.append(LeftOut(person, "", NotPlanned.NO_NEED))
            elif person not in able and person not in told:
                found.append(LeftOut(person, "", NotPlanned.NOT_TRIED))
        return found


def plan_inputs(wanted: NextSeason, aims: Sequence[Aim], rates: SeasonRates, strain: Sequence[Row]) -> PlanInputs:
    """What a plan starts from."""
    study = rates.study
    by_name = {t.method.name: t for t in study.totals}
    everybody = everybody_of(study.season, study.totals, strain)
    planned = {aim.task: aim for aim in aims if not aim.cells and aim.choice.ways}
    tried = [t for t in study.totals if t.counted and t.method.task in planned]
    found = [method_crews(t, everybody, study.tools) for t in tried]
    figures = {own: {t.method.name: rates.figure(t, figure) for t in tried} for own, figure in RATES.items()}
    return PlanInputs(
        wanted=wanted,
        aims=planned,
        waiting=tuple(aim for aim in aims if aim.cells),
        figures=figures,
        totals=by_name,
        tools=study.tools,
        crews=tuple(crew for of_method, _ in found for crew in of_method),
        window=window(wanted),
        people_n=everybody.people_n,
        barred=tuple(reason for _, reasons in found for reason in reasons),
        people=tuple(everybody.people),
        rents=tuple(
            _rents([t.method.name for t in tried if figures["cash"][t.method.name].value is not None], rates)
        ),
    )


def _rents(methods: Sequence[str], rates: SeasonRates) -> Iterator[Rent]:
    """What is rented by the day or week; of what is rented by the hour a plan takes as much as the sessions did."""
    prices: dict[str, Number] = {}
    per_cord: dict[str, dict[str, Number]] = defaultdict(dict)
    for name in methods:
        money = rates.money(name).money
        for year in money.tools:
            if year.tool.rent is not None and rates.study.tools[year.tool.name].rent_per in RENTED_DAYS:
                prices[year.tool.name] = year.tool.rent.price
                per_cord[year.tool.name][name] = year.rent * year.share_frac / money.cords_per_year
    for tool, price in prices.items():
        if nominal(price):  # else it costs nothing
            yield Rent(price, RENTED_DAYS[rates.study.tools[tool].rent_per], per_cord[tool])


def window(wanted: NextSeason) -> Window | None:
    """Days between start and ready-by day; None if there are none, or one of the two is not written."""
    if not wanted.start or not wanted.ready_by or wanted.ready_by < wanted.start:
        return None
    first = day_number(wanted.start)
    latest = first + int(value("plan.most_weeks")) * WEEK - 1
    return Window(first, min(day_number(wanted.ready_by), latest), work_days(wanted))
