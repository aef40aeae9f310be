"""The money of a method as a function of plain numbers.

Everything that a method's cash per cord hangs on stands in one frozen ``MethodInputs``. What is asked later (another
yearly volume, another price, a draw from a range) is the same function of changed inputs, so that lives in years,
shares by hours and fuel follow by themselves.

Each tool has its own clock: an engine or motor counts the hours that it runs, a hand tool those that it is at work.
Its life and its upkeep by hours are on that clock. Workplace and working hours of the method stand apart from it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wood_xl.arguments import require_not_negative, require_positive
from wood_xl.money.owning import (
    annual_capital_cost,
    life_years,
    machine_rate_per_year,
    present_value_factor,
    present_value_of_owning,
    straight_line_per_year,
)
from wood_xl.money.spending import Per, upkeep_per_cord


@dataclass(frozen=True, slots=True)
class UpkeepInputs:
    """Something that a tool needs again and again: its price, and how much use lies between two purchases."""

    price: float
    every: float
    per: Per


@dataclass(frozen=True, slots=True)
class ToolInputs:
    """One tool in one method.

    price: of a new one.
    resale_frac: what it brings at the end of its life, as a share of the price, so that both move together.
    hours_per_cord: by this method, on the tool's clock.
    other_hours_per_cord: by the other tasks that it serves, on the same clock.
    life_h, age_limit_years: life on the tool's clock, and by age.
    repair_frac: repairs as a share of straight-line depreciation, where no upkeep is written.
    is_owned: whether it was bought already.
    worth_today, years_left: for a tool that is owned: what it would bring now, and how long it will serve.
    """

    name: str
    price: float
    resale_frac: float
    hours_per_cord: float
    other_hours_per_cord: float = 0.0
    life_h: float | None = None
    age_limit_years: float | None = None
    repair_frac: float = 0.0
    upkeep: tuple[UpkeepInputs, ...] = ()
    is_owned: bool = False
    worth_today: float | None = None
    years_left: float | None = None

    @property
    def resale(self) -> float:
        """What it brings at the end of its life."""
        return self.price * self.resale_frac


@dataclass(frozen=True, slots=True)
class MethodInputs:
    """All that the money of one method hangs on.

    cords_per_year: wood made in a year, all of it by this method.
    rate_frac: real interest rate.
    clock_h_per_cord, working_h_per_cord, worker_h_per_cord: workplace time by the clock; the same without delays and
        service; time of everybody together.
    value_of_time_per_h: of an hour of a worker; 0 where none is stated.
    """

    tools: tuple[ToolInputs, ...]
    cords_per_year: float
    rate_frac: float
    clock_h_per_cord: float
    working_h_per_cord: float
    worker_h_per_cord: float
    fuel_l_per_cord: float = 0.0
    fuel_price_per_l: float = 0.0
    bar_oil_l_per_cord: float = 0.0
    bar_oil_price_per_l: float = 0.0
    electricity_kwh_per_cord: float = 0.0
    electricity_price_per_kwh: float = 0.0
    value_of_time_per_h: float = 0.0


@dataclass(frozen=True, slots=True)
class ToolMoney:
    """One tool in a year made with one method.

    hours_per_year: on the tool's clock, for all tasks.
    share_frac: share of this method in them.
    life_years: none for a tool that costs nothing and has no life given.
    yearly_cost, avoidable, machine_rate: money a year: as an annuity for the long run; with the price that was paid
        long ago left out; and as the straight-line machine rate.
    repairs: money a year.
    """

    hours_per_year: float
    share_frac: float
    life_years: float | None
    yearly_cost: float
    avoidable: float
    machine_rate: float
    repairs: float


@dataclass(frozen=True, slots=True)
class MethodMoney:
    """Money per cord of one method, by part."""

    tools: tuple[ToolMoney, ...]
    ownership: float
    avoidable_ownership: float
    machine_rate_ownership: float
    upkeep: float
    fuel: float
    bar_oil: float
    electricity: float
    own_time: float

    @property
    def running(self) -> float:
        """Cash that is spent by use: all parts but ownership."""
        return math.fsum((self.upkeep, self.fuel, self.bar_oil, self.electricity))

    @property
    def cash(self) -> float:
        """All parts but own time."""
        return math.fsum((self.ownership, self.upkeep, self.fuel, self.bar_oil, self.electricity))

    @property
    def cash_and_time(self) -> float:
        """All parts."""
        return self.cash + self.own_time


def method_money(inputs: MethodInputs) -> MethodMoney:
    """Money per cord of a method, by part.

        ownership = sum over tools of yearly cost * share by hours / cords a year

    inputs: plain numbers.

    Returns per cord.

    Errors: ValueError if a number is out of its range, or a tool with a price has no life.
    Source: cost_reference, cost tree, with tools shared by hours.

    A saw of 450 that lasts 8 years, for 28.8 cords a year at 1.25 running hours a cord:

    >>> saw = ToolInputs("saw", price=450, resale_frac=0.1, hours_per_cord=1.25, age_limit_years=8)
    >>> inputs = MethodInputs(
    ...     (saw,), cords_per_year=28.8, rate_frac=0.05,
    ...     clock_h_per_cord=2.0, working_h_per_cord=1.25, worker_h_per_cord=2.0, value_of_time_per_h=15.0,
    ... )
    >>> money = method_money(inputs)
    >>> round(money.ownership * 28.8, 6), money.own_time
    (64.912335, 30.0)
    """
    require_positive(cords_per_year=inputs.cords_per_year)
    require_not_negative(
        worker_h_per_cord=inputs.worker_h_per_cord,
        value_of_time_per_h=inputs.value_of_time_per_h,
        fuel=inputs.fuel_l_per_cord * inputs.fuel_price_per_l,
        bar_oil=inputs.bar_oil_l_per_cord * inputs.bar_oil_price_per_l,
        electricity=inputs.electricity_kwh_per_cord * inputs.electricity_price_per_kwh,
    )
    years = tuple(_tool_money(tool, inputs) for tool in inputs.tools)
    cords = inputs.cords_per_year
    return MethodMoney(
        tools=years,
        ownership=math.fsum(year.yearly_cost * year.share_frac / cords for year in years),
        avoidable_ownership=math.fsum(year.avoidable * year.share_frac / cords for year in years),
        machine_rate_ownership=math.fsum(year.machine_rate * year.share_frac / cords for year in years),
        upkeep=math.fsum(_upkeep(tool, year, cords) for tool, year in zip(inputs.tools, years, strict=True)),
        fuel=inputs.fuel_l_per_cord * inputs.fuel_price_per_l,
        bar_oil=inputs.bar_oil_l_per_cord * inputs.bar_oil_price_per_l,
        electricity=inputs.electricity_kwh_per_cord * inputs.electricity_price_per_kwh,
        own_time=inputs.worker_h_per_cord * inputs.value_of_time_per_h,
    )


def present_value(inputs: MethodInputs, *, horizon_years: float) -> float:
    """Value today of a method's cash over a number of years of the same yearly volume.

        value = sum over tools of owning * share + running cash a year * present value factor

    inputs: plain numbers.

    Errors: ValueError if a number is out of its range.
    Source: cost_reference, life-cycle cost with replacements and straight-line residual.

    >>> saw = ToolInputs("saw", price=900, resale_frac=0.0, hours_per_cord=1.0, age_limit_years=12,
    ...                  upkeep=(UpkeepInputs(price=2.5, every=1, per="cords"),))
    >>> inputs = MethodInputs((saw,), cords_per_year=10, rate_frac=0.03,
    ...                       clock_h_per_cord=1.0, working_h_per_cord=1.0, worker_h_per_cord=1.0)
    >>> round(present_value(inputs, horizon_years=10), 4)
    1001.641
    """
    money = method_money(inputs)
    owning = [
        year.share_frac
        * present_value_of_owning(
            price=tool.price,
            resale=tool.resale,
            rate_frac=inputs.rate_frac,
            years=year.life_years,
            horizon_years=horizon_years,
        )
        for tool, year in zip(inputs.tools, money.tools, strict=True)
        if year.life_years is not None
    ]
    factor = present_value_factor(rate_frac=inputs.rate_frac, years=horizon_years)
    return math.fsum((*owning, money.running * inputs.cords_per_year * factor))


def _tool_money(tool: ToolInputs, inputs: MethodInputs) -> ToolMoney:
    require_not_negative(
        price=tool.price,
        resale_frac=tool.resale_frac,
        hours_per_cord=tool.hours_per_cord,
        other_hours_per_cord=tool.other_hours_per_cord,
        repair_frac=tool.repair_frac,
    )
    all_h_per_cord = tool.hours_per_cord + tool.other_hours_per_cord
    hours_per_year = inputs.cords_per_year * all_h_per_cord
    share = tool.hours_per_cord / all_h_per_cord if all_h_per_cord > 0 else 1.0
    years = life_years(life_h=tool.life_h, hours_per_year=hours_per_year, age_limit_years=tool.age_limit_years)
    if years is None:
        if tool.price:
            raise ValueError(f"{tool.name} has a price and no life")
        return ToolMoney(hours_per_year, share, None, 0.0, 0.0, 0.0, 0.0)
    rate = inputs.rate_frac
    yearly = annual_capital_cost(price=tool.price, resale=tool.resale, rate_frac=rate, years=years)
    repairs = tool.repair_frac * straight_line_per_year(price=tool.price, resale=tool.resale, years=years)
    machine_rate = machine_rate_per_year(price=tool.price, resale=tool.resale, rate_frac=rate, years=years)
    avoidable = _avoidable(tool, rate, years) if tool.is_owned else yearly
    return ToolMoney(hours_per_year, share, years, yearly, avoidable, machine_rate, repairs)


def _avoidable(tool: ToolInputs, rate_frac: float, years: float) -> float:
    """Yearly cost of keeping a tool: what it would bring now is given up; what was paid for it is gone."""
    worth = tool.resale if tool.worth_today is None else tool.worth_today
    left = years if tool.years_left is None else tool.years_left
    return annual_capital_cost(price=worth, resale=min(tool.resale, worth), rate_frac=rate_frac, years=left)


def _upkeep(tool: ToolInputs, year: ToolMoney, cords_per_year: float) -> float:
    """Upkeep of a tool per cord; what falls due by the calendar is shared like ownership."""
    costs = [year.repairs * year.share_frac / cords_per_year]
    for item in tool.upkeep:
        cost = upkeep_per_cord(
            price=item.price,
            every=item.every,
            per=item.per,
            hours_per_cord=tool.hours_per_cord,
            cords_per_year=cords_per_year,
        )
        costs.append(cost * year.share_frac if item.per == "years" else cost)
    return math.fsum(costs)
