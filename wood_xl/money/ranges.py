"""Inputs of a method's money, each with its range from a source or an assumption of this tool."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any, Generic, TypeVar

import numpy as np

from wood_xl.data.load import constant
from wood_xl.data.trade import Fuel, unsure
from wood_xl.draws.ensemble import Design, Number
from wood_xl.draws.inputs import by_range
from wood_xl.ids import Input
from wood_xl.money.inputs import MethodNumbers, ToolNumbers
from wood_xl.money.method import MethodInputs, ToolInputs
from wood_xl.reasons import Key, Named, Said, said
from wood_xl.records import Season
from wood_xl.verdicts import Tried

InputsT = TypeVar("InputsT")
Put = Callable[[InputsT, Number], InputsT]
PERCENT, FOR_ONE_CORD = "%", "h/cord"


def _same(old: InputsT, _: Number) -> InputsT:
    return old


@dataclass(frozen=True, slots=True)
class Ranged(Generic[InputsT]):
    """One input with its range, which holds 95 % of it and contains the base.

    name: what it is, and the key of its draws.
    unit, source: of the range.
    put: returns the inputs with this one replaced.
    is_choice: whether it is in no doubt, and is moved only to see what depends on it.
    above: offset under which it is drawn: interest may be 0 or less, but 100 % plus the rate is above 0.
    """

    name: Key
    unit: Said | str
    base: float
    low: float
    high: float
    source: Said | str
    put: Put[InputsT] = _same
    is_choice: bool = False
    above: float = 0.0

    @property
    def as_said(self) -> Said:
        """The range, to be worded."""
        numbers = {"low": self.low, "high": self.high}
        if self.unit == PERCENT:
            return said(Tried.RANGE_IN_PERCENT, **numbers)
        if self.unit == FOR_ONE_CORD:
            return said(Tried.RANGE_FOR_ONE, **numbers)
        return said(Tried.RANGE_IN_UNIT, **numbers, unit=self.unit) if self.unit else said(Tried.RANGE, **numbers)

    def members(self, design: Design) -> Number:
        """The input by all members of a design."""
        if not self.is_choice:
            base, low, high = (self.above + number for number in (self.base, self.low, self.high))
            return by_range(self.name, base, low, high, design) - self.above
        if not design.moves_choices:
            return self.base
        z = design.scores(self.name)
        members: Number = np.where(z > 0, self.high, np.where(z < 0, self.low, self.base))
        return members


def method_ranges(numbers: MethodNumbers, season: Season) -> Iterator[Ranged[MethodInputs]]:
    """Inputs of a method, without those of its tools."""
    inputs = numbers.inputs
    yield interest_range(inputs)
    yield _times(said(Input.YEARLY_VOLUME), _times_as_much("cords_per_year"))
    yield from _fuel_prices(numbers, season)
    if inputs.bar_oil_price_per_l:
        yield _times(said(Input.PRICE_OF_BAR_OIL), _times_as_much("bar_oil_price_per_l"))
    if inputs.electricity_price_per_kwh:
        yield _times(said(Input.PRICE_OF_ELECTRICITY), _times_as_much("electricity_price_per_kwh"))
    if inputs.value_of_time_per_h:
        worth = _number(inputs.value_of_time_per_h)
        yield _written(said(Input.VALUE_OF_HOUR), season.currency, worth, _in_place_of("value_of_time_per_h"))


def interest_range(inputs: MethodInputs) -> Ranged[MethodInputs]:
    """Real interest rate over its published range, drawn as 100 % plus the rate."""
    span, base = constant("cost.real_interest_rate"), 100 * _number(inputs.rate_frac)
    ends = (span.low or 0.0, span.high or 0.0)

    def put(old: MethodInputs, percent: Number) -> MethodInputs:
        return replace(old, rate_frac=percent / 100)

    return _around(said(Input.INTEREST), PERCENT, base, ends, span.known, put, above=100.0)


def price_of(fuel: Fuel) -> Said:
    """Key of a fuel's price, the same wherever it is used."""
    return said(Input.PRICE_OF_FUEL, fuel=Named(fuel.id, fuel.name))


def price_members(name: Said, price: float, design: Design) -> Number:
    """Price of something bought, the same wherever it is used."""
    factor: Ranged[MethodInputs] = _times(name, _same)
    return factor.members(design) * price if price else 0.0


def _fuel_prices(numbers: MethodNumbers, season: Season) -> Iterator[Ranged[MethodInputs]]:
    """Prices of the fuels in the tank: two-stroke mix is gasoline and oil, each by its part of a litre."""
    kind = next((tool.tool.kind_row for tool in numbers.tools if tool.tool.kind_row.burns), None)
    price_per_l = numbers.inputs.fuel_price_per_l
    if kind is None or not price_per_l:
        return
    parts = {kind.tank: price_per_l}
    if kind.oil is not None:
        of_oil = (season.fuel_prices_per_l.get(kind.oil.id) or 0.0) / (season.two_stroke_mix_ratio + 1)
        parts = {kind.oil: of_oil, kind.tank: price_per_l - of_oil}
    for fuel, part in parts.items():
        if part:
            yield _part_of_price(price_of(fuel), _number(part))


def _part_of_price(name: Said, part: float) -> Ranged[MethodInputs]:
    return _times(name, lambda old, k: replace(old, fuel_price_per_l=old.fuel_price_per_l + (k - 1) * part))


def tool_ranges(tool: ToolNumbers, currency: str = "") -> Iterator[Ranged[ToolInputs]]:
    """Price, lives, repairs and upkeep of a tool, with what an owned one would bring now and its years left.

    The last two move no long-run cash.
    """
    name, inputs = tool.tool.named, tool.inputs
    if inputs.price:
        yield _written(said(Input.PRICE_OF_TOOL, tool=name), currency, _number(inputs.price), _in_place_of("price"))
    if inputs.rent is not None and inputs.rent.price:
        yield _written(said(Input.RENT_OF_TOOL, tool=name), currency, _number(inputs.rent.price), _with_rent)
    yield from _life_ranges(tool)
    if tool.repair_default:
        span, base = constant(tool.repair_default), _number(inputs.repair_frac)
        ends = (span.low or 0.0, span.high or 0.0)
        yield _around(said(Input.REPAIRS, tool=name), "", base, ends, span.known, _in_place_of("repair_frac"))
    if inputs.upkeep:
        yield _times(said(Input.UPKEEP, tool=name), _with_dearer_upkeep)
    if inputs.is_owned and inputs.worth_today:
        worth = _number(inputs.worth_today)
        yield _written(said(Input.WORTH_TODAY, tool=name), currency, worth, _in_place_of("worth_today"))
    if inputs.is_owned and inputs.years_left:
        years = _number(inputs.years_left)
        yield _written(said(Input.YEARS_LEFT, tool=name), "years", years, _in_place_of("years_left"))


def _life_ranges(tool: ToolNumbers) -> Iterator[Ranged[ToolInputs]]:
    """Life in hours over the published range of its engine, by age over the default's range; else by a factor."""
    name, inputs, kind = tool.tool.named, tool.inputs, tool.tool.kind_row
    if inputs.life_h is not None:
        clock = Input.LIFE_RUNNING if kind.is_powered else Input.LIFE_AT_WORK
        yield _life(said(clock, tool=name), "h", _number(inputs.life_h), kind.life_h, "life_h")
    if inputs.age_limit_years is not None:
        years = _number(inputs.age_limit_years)
        yield _life(said(Input.LIFE_BY_AGE, tool=name), "years", years, kind.life_years, "age_limit_years")


def _life(name: Said, unit: str, base: float, default: str | None, field: str) -> Ranged[ToolInputs]:
    if default is None:
        return _written(name, unit, base, _in_place_of(field))
    span = constant(default)
    return _around(name, unit, base, (span.low or 0.0, span.high or 0.0), span.known, _in_place_of(field))


def _in_place_of(field: str) -> Put[Any]:
    return lambda old, new: replace(old, **{field: new})


def _times_as_much(field: str) -> Put[Any]:
    return lambda old, k: replace(old, **{field: k * getattr(old, field)})


def _times(name: Said, put: Put[InputsT]) -> Ranged[InputsT]:
    """A factor on an input."""
    return _written(name, said(Tried.TIMES_WRITTEN), 1.0, put)


def _written(name: Said, unit: Said | str, base: float, put: Put[InputsT]) -> Ranged[InputsT]:
    """An input whose range is a share and a multiple of the written value."""
    row = unsure()[name.id.key]
    span = constant(row.range)
    ends = ((span.low or 0.0) * base, (span.high or 0.0) * base)
    return replace(_around(name, unit, base, ends, span.known, put), is_choice=row.is_choice)


def _around(
    name: Said,
    unit: Said | str,
    base: float,
    ends: tuple[float, float],
    source: str,
    put: Put[InputsT],
    above: float = 0.0,
) -> Ranged[InputsT]:
    """An input whose range contains the base, even if the written value lies outside the published range."""
    return Ranged(name, unit, base, min(*ends, base), max(*ends, base), source, put, above=above)


def _with_rent(tool: ToolInputs, price: Number) -> ToolInputs:
    return tool if tool.rent is None else replace(tool, rent=replace(tool.rent, price=price))


def _with_dearer_upkeep(tool: ToolInputs, k: Number) -> ToolInputs:
    return replace(tool, upkeep=tuple(replace(item, price=k * item.price) for item in tool.upkeep))


def _number(plain: Number | None) -> float:
    return float(plain or 0.0)
