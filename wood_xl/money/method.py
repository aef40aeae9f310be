"""Money of a method as a function of numbers.

One frozen ``MethodInputs`` holds everything that a method's cash for a cord depends on. Another yearly volume,
another price or a draw from a range is the same function of changed inputs: lives in years, shares by hours and fuel
follow.

Each tool has its own clock, for its life and its upkeep by hours: running hours of an engine or motor, hours at work
of a hand tool. Workplace and working hours of the method are other figures.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number, plain, total
from wood_xl.money.owning import (
    annual_capital_cost,
    life_years,
    machine_rate_per_year,
    present_value_factor,
    present_value_of_owning,
    straight_line_per_year,
)
from wood_xl.money.spending import Per, upkeep_per_cord


@dataclass(frozen=True, eq=False, slots=True)
class UpkeepInputs:
    """Something a tool needs again and again: its price, and the use between two purchases."""

    price: Number
    every: float
    per: Per


@dataclass(frozen=True, eq=False, slots=True)
class RentInputs:
    """Rent of a tool: the price of each unit begun, and how many units a cord takes."""

    price: Number
    units_per_cord: Number
    other_units_per_cord: Number = 0.0


@dataclass(frozen=True, eq=False, slots=True)
class ToolInputs:
    """One tool in one method.

    resale_frac: resale value at the end of its life as a share of the price, so that both move together.
    hours_per_cord: by this method, on the tool's clock.
    other_hours_per_cord: by its other tasks, on the same clock.
    repair_frac: repairs as a share of straight-line depreciation, where no upkeep is written.
    is_owned: whether nothing is left to pay: it was bought already, or is somebody else's.
    worth_today, years_left: of a tool bought already: what it would bring now, and how long it will still serve.
    part_frac: one's part of the price, resale and use of a shared tool, above 0.
    rent: of a rented tool, whose price is 0; None for any other.
    """

    name: str
    price: Number
    resale_frac: Number
    hours_per_cord: Number
    other_hours_per_cord: Number = 0.0
    life_h: Number | None = None
    age_limit_years: Number | None = None
    repair_frac: Number = 0.0
    upkeep: tuple[UpkeepInputs, ...] = ()
    is_owned: bool = False
    worth_today: Number | None = None
    years_left: Number | None = None
    part_frac: float = 1.0
    rent: RentInputs | None = None

    @property
    def own_price(self) -> Number:
        """One's part of the price."""
        return self.price * self.part_frac

    @property
    def resale(self) -> Number:
        """One's part of the resale value."""
        return self.own_price * self.resale_frac


@dataclass(frozen=True, eq=False, slots=True)
class MethodInputs:
    """Everything that the money of one method depends on.

    cords_per_year: wood made in a year, all of it by this method.
    clock_h_per_cord, working_h_per_cord, worker_h_per_cord: workplace time by the clock; the same without delays and
        service; time of all workers together.
    value_of_time_per_h: of a worker's hour; 0 if none is stated.
    """

    tools: tuple[ToolInputs, ...]
    cords_per_year: Number
    rate_frac: Number
    clock_h_per_cord: Number
    working_h_per_cord: Number
    worker_h_per_cord: Number
    fuel_l_per_cord: Number = 0.0
    fuel_price_per_l: Number = 0.0
    bar_oil_l_per_cord: Number = 0.0
    bar_oil_price_per_l: Number = 0.0
    electricity_kwh_per_cord: Number = 0.0
    electricity_price_per_kwh: Number = 0.0
    value_of_time_per_h: Number = 0.0


@dataclass(frozen=True, eq=False)
class ToolMoney:
    """One tool in a year of work by one method.

    hours_per_year: on the tool's clock, for all tasks.
    share_frac: share of this method in those hours.
    life_years: None for a tool that costs nothing and has no life.
    rented_units: hours, days or weeks of rent begun in a year; 0 for a tool without rent.
    """

    tool: ToolInputs
    rate_frac: Number
    hours_per_year: Number
    share_frac: Number
    life_years: Number | None
    rented_units: Number = 0.0

    @property
    def rent(self) -> Number:
        """Rent a year."""
        return 0.0 if self.tool.rent is None else self.tool.rent.price * self.rented_units

    @cached_property
    def yearly_cost(self) -> Number:
        """Yearly cost of owning in the long run, as an annuity."""
        return self._yearly(annual_capital_cost)

    @cached_property
    def machine_rate(self) -> Number:
        """Yearly cost of owning by the straight-line machine rate."""
        return self._yearly(machine_rate_per_year)

    @cached_property
    def avoidable(self) -> Number:
        """Yearly cost of owning that can still be avoided.

        Keeping a tool gives up what it would bring now; the price paid for it is gone.
        """
        tool = self.tool
        if not tool.is_owned or self.life_years is None:
            return self.yearly_cost
        worth = tool.resale if tool.worth_today is None else tool.worth_today
        left = self.life_years if tool.years_left is None else tool.years_left
        resale = np.minimum(tool.resale, worth)
        return annual_capital_cost(price=worth, resale=resale, rate_frac=self.rate_frac, years=left)

    @cached_property
    def repairs(self) -> Number:
        """Repairs a year."""
        if self.life_years is None:
            return 0.0
        tool = self.tool
        yearly = straight_line_per_year(price=tool.own_price, resale=tool.resale, years=self.life_years)
        return tool.repair_frac * yearly

    def _yearly(self, cost: Callable[..., Number]) -> Number:
        if self.life_years is None:
            return 0.0
        tool = self.tool
        return cost(price=tool.own_price, resale=tool.resale, rate_frac=self.rate_frac, years=self.life_years)


@dataclass(frozen=True, eq=False)
class MethodMoney:
    """Money of one method for a cord, by part."""

    tools: tuple[ToolMoney, ...]
    cords_per_year: Number
    upkeep: Number
    fuel: Number
    bar_oil: Number
    electricity: Number
    own_time: Number

    @cached_property
    def rent(self) -> Number:
        """Rent of all tools."""
        return total(tool.rent * tool.share_frac / self.cords_per_year for tool in self.tools)

    @cached_property
    def ownership(self) -> Number:
        """Cost of owning all tools in the long run."""
        return total(tool.yearly_cost * tool.share_frac / self.cords_per_year for tool in self.tools)

    @cached_property
    def avoidable_ownership(self) -> Number:
        """Cost of owning all tools that can still be avoided."""
        return total(tool.avoidable * tool.share_frac / self.cords_per_year for tool in self.tools)

    @cached_property
    def machine_rate_ownership(self) -> Number:
        """Cost of owning all tools by the straight-line machine rate."""
        return total(tool.machine_rate * tool.share_frac / self.cords_per_year for tool in self.tools)

    @property
    def running(self) -> Number:
        """Cash spent by use: all parts but ownership."""
        return self.upkeep + self.fuel + self.bar_oil + self.electricity + self.rent

    @property
    def cash(self) -> Number:
        """Cash: all parts but own time."""
        return self.ownership + self.running

    @property
    def cash_and_time(self) -> Number:
        """Cash and own time."""
        return self.cash + self.own_time


def method_money(inputs: MethodInputs) -> MethodMoney:
    """Money of a method for a cord, by part.

        ownership = sum over tools of yearly cost * share by hours / cords a year
        rent = sum over tools of rent of a unit * units begun in a year * share by hours / cords a year

    Source: cost_reference, cost tree, with tools shared by hours.

    >>> saw = ToolInputs("saw", price=450, resale_frac=0.1, hours_per_cord=1.25, age_limit_years=8)
    >>> inputs = MethodInputs(
    ...     (saw,), cords_per_year=28.8, rate_frac=0.05,
    ...     clock_h_per_cord=2.0, working_h_per_cord=1.25, worker_h_per_cord=2.0, value_of_time_per_h=15.0,
    ... )
    >>> money = method_money(inputs)
    >>> round(money.ownership * 28.8, 6), money.own_time
    (64.912335, 30.0)
    """
    years = tuple(_tool_money(tool, inputs) for tool in inputs.tools)
    cords = inputs.cords_per_year
    return MethodMoney(
        tools=years,
        cords_per_year=cords,
        upkeep=total(_upkeep(tool, year, cords) for tool, year in zip(inputs.tools, years, strict=True)),
        fuel=inputs.fuel_l_per_cord * inputs.fuel_price_per_l,
        bar_oil=inputs.bar_oil_l_per_cord * inputs.bar_oil_price_per_l,
        electricity=inputs.electricity_kwh_per_cord * inputs.electricity_price_per_kwh,
        own_time=inputs.worker_h_per_cord * inputs.value_of_time_per_h,
    )


def present_value(inputs: MethodInputs, *, horizon_years: float) -> Number:
    """Present value of a method's cash over several years of the same yearly volume.

        value = sum over tools of owning * share + running cash a year * present value factor

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
            price=tool.own_price,
            resale=tool.resale,
            rate_frac=inputs.rate_frac,
            years=year.life_years,
            horizon_years=horizon_years,
        )
        for tool, year in zip(inputs.tools, money.tools, strict=True)
        if year.life_years is not None
    ]
    factor = present_value_factor(rate_frac=inputs.rate_frac, years=horizon_years)
    return total((*owning, money.running * inputs.cords_per_year * factor))


def _tool_money(tool: ToolInputs, inputs: MethodInputs) -> ToolMoney:
    all_h_per_cord = tool.hours_per_cord + tool.other_hours_per_cord
    hours_per_year = inputs.cords_per_year * all_h_per_cord
    share = tool.hours_per_cord / all_h_per_cord if np.all(all_h_per_cord > 0) else 1.0
    years = life_years(
        life_h=tool.life_h,
        hours_per_year=hours_per_year / tool.part_frac,  # all who share a tool wear it, by their parts
        age_limit_years=tool.age_limit_years,
    )
    if years is None and np.any(tool.price):
        raise ValueError(f"{tool.name} has a price and no life")
    return ToolMoney(tool, inputs.rate_frac, hours_per_year, share, years, _rented_units(tool, inputs.cords_per_year))


def _rented_units(tool: ToolInputs, cords_per_year: Number) -> Number:
    if tool.rent is None:
        return 0.0
    units = cords_per_year * (tool.rent.units_per_cord + tool.rent.other_units_per_cord)
    return plain(np.where(units > 0, np.maximum(1.0, np.ceil(units - value("cost.rent_over"))), 0.0))


def _upkeep(tool: ToolInputs, year: ToolMoney, cords_per_year: Number) -> Number:
    """Upkeep of a tool for a cord; upkeep by the calendar is shared like ownership, and by one's part."""
    costs = [year.repairs * year.share_frac / cords_per_year]
    for item in tool.upkeep:
        cost = upkeep_per_cord(
            price=item.price,
            every=item.every,
            per=item.per,
            hours_per_cord=tool.hours_per_cord,
            cords_per_year=cords_per_year,
        )
        costs.append(tool.part_frac * cost * year.share_frac if item.per == "years" else cost)
    return total(costs)
