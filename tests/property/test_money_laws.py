"""Laws that the money of a method keeps for all inputs."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy_financial
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wood_xl.data.load import value
from wood_xl.money.break_even import break_even_volumes, hour_saved_cost, payback_years
from wood_xl.money.method import MethodInputs, RentInputs, ToolInputs, UpkeepInputs, method_money, present_value
from wood_xl.money.owning import (
    annual_capital_cost,
    machine_rate_per_year,
    present_value_factor,
    present_value_of_owning,
)


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_subnormal=False)


MONEY, SHARE, RATE, HOURS = between(0, 1e4), between(0, 1), between(0, 0.4), between(0.01, 50)
UPKEEP = st.builds(
    UpkeepInputs, price=MONEY, every=between(0.1, 1e3), per=st.sampled_from(("hours", "cords", "stacked m3", "years"))
)
TOOL = st.builds(
    ToolInputs,
    name=st.just("tool"),
    price=MONEY,
    resale_frac=SHARE,
    hours_per_cord=HOURS,
    other_hours_per_cord=between(0, 50),
    life_h=st.none() | between(1, 1e4),
    age_limit_years=between(0.5, 40),
    repair_frac=SHARE,
    upkeep=st.lists(UPKEEP, max_size=3).map(tuple),
    is_owned=st.booleans(),
    worth_today=st.none() | MONEY,
    years_left=st.none() | between(0.5, 20),
    part_frac=between(0.05, 1),
)
METHOD = st.builds(
    MethodInputs,
    tools=st.lists(TOOL, max_size=3).map(tuple),
    cords_per_year=between(0.1, 200),
    rate_frac=RATE,
    clock_h_per_cord=HOURS,
    working_h_per_cord=HOURS,
    worker_h_per_cord=HOURS,
    fuel_l_per_cord=between(0, 20),
    fuel_price_per_l=between(0, 20),
    bar_oil_l_per_cord=between(0, 20),
    bar_oil_price_per_l=between(0, 20),
    electricity_kwh_per_cord=between(0, 20),
    electricity_price_per_kwh=between(0, 20),
    value_of_time_per_h=between(0, 100),
)


@given(METHOD)
def test_cost_per_hour_over_output_per_hour_is_the_same_by_either_clock(inputs: MethodInputs) -> None:
    """Workplace hours (SMH) and working hours (PMH): the two ways to a cord must meet."""
    per_cord = method_money(inputs).cash_and_time
    cords = inputs.cords_per_year
    workplace_h, working_h = cords * inputs.clock_h_per_cord, cords * inputs.working_h_per_cord
    per_year = per_cord * cords
    by_workplace = (per_year / workplace_h) / (cords / workplace_h)
    by_working = (per_year / working_h) / (cords / working_h)
    assert by_workplace == pytest.approx(by_working, rel=1e-12)
    assert by_workplace == pytest.approx(per_cord, rel=1e-12)
    utilisation = working_h / workplace_h
    assert per_year / working_h == pytest.approx((per_year / workplace_h) / utilisation, rel=1e-12)


@given(METHOD, between(0.1, 10))
def test_another_currency_changes_nothing_but_the_unit(inputs: MethodInputs, exchange: float) -> None:
    def exchanged(tool: ToolInputs) -> ToolInputs:
        worth = None if tool.worth_today is None else tool.worth_today * exchange
        upkeep = tuple(replace(item, price=item.price * exchange) for item in tool.upkeep)
        return replace(tool, price=tool.price * exchange, worth_today=worth, upkeep=upkeep)

    other = replace(
        inputs,
        tools=tuple(exchanged(tool) for tool in inputs.tools),
        fuel_price_per_l=inputs.fuel_price_per_l * exchange,
        bar_oil_price_per_l=inputs.bar_oil_price_per_l * exchange,
        electricity_price_per_kwh=inputs.electricity_price_per_kwh * exchange,
        value_of_time_per_h=inputs.value_of_time_per_h * exchange,
    )
    here, there = method_money(inputs), method_money(other)
    for part in ("cash", "cash_and_time", "avoidable_ownership", "machine_rate_ownership"):
        assert getattr(there, part) == pytest.approx(exchange * getattr(here, part), rel=1e-9, abs=1e-9)
    assert present_value(other, horizon_years=10) == pytest.approx(
        exchange * present_value(inputs, horizon_years=10), rel=1e-9, abs=1e-6
    )


@given(TOOL, METHOD, between(0.01, 0.99))
def test_tasks_that_share_a_tool_pay_for_it_once(tool: ToolInputs, inputs: MethodInputs, part: float) -> None:
    alone = replace(tool, other_hours_per_cord=0.0, upkeep=())
    first = replace(alone, hours_per_cord=part * tool.hours_per_cord,
                    other_hours_per_cord=(1 - part) * tool.hours_per_cord)  # fmt: skip
    second = replace(alone, hours_per_cord=first.other_hours_per_cord, other_hours_per_cord=first.hours_per_cord)
    whole, one, other = (method_money(replace(inputs, tools=(each,))) for each in (alone, first, second))
    for owned in ("ownership", "avoidable_ownership", "machine_rate_ownership", "upkeep"):
        together = getattr(one, owned) + getattr(other, owned)
        assert together == pytest.approx(getattr(whole, owned), rel=1e-9, abs=1e-9)


@given(METHOD, between(0.1, 500), between(0, 3), between(0, 3), between(0.01, 0.99))
def test_tasks_that_share_a_rented_tool_pay_whole_units_once(
    inputs: MethodInputs, price: float, units: float, other_units: float, part: float
) -> None:
    def rent(hours: float, own: float, other: float) -> float:
        tool = ToolInputs("tool", 0.0, 0.0, hours, 1 - hours, rent=RentInputs(price, own, other))
        money = method_money(replace(inputs, tools=(tool,)))
        assert money.cash == pytest.approx(money.running)
        return float(money.rent * inputs.cords_per_year)

    together = rent(part, units, other_units) + rent(1 - part, other_units, units)
    needed = inputs.cords_per_year * (units + other_units)
    begun = together / price
    assert begun == pytest.approx(round(begun), abs=1e-6)
    assert needed - value("cost.rent_over") - 1e-6 <= begun < needed + 1 + 1e-6


@given(TOOL, METHOD)
def test_a_larger_volume_never_makes_a_cord_dearer_while_age_ends_the_tool(
    tool: ToolInputs, inputs: MethodInputs
) -> None:
    aged = replace(inputs, tools=(replace(tool, life_h=None),))
    twice = replace(aged, cords_per_year=2 * aged.cords_per_year)
    assert method_money(twice).cash <= method_money(aged).cash * (1 + 1e-12)


@given(METHOD, between(0.1, 10))
def test_life_on_the_tools_clock_is_never_overdrawn(inputs: MethodInputs, scale: float) -> None:
    for volume in (inputs.cords_per_year, scale * inputs.cords_per_year):
        money = method_money(replace(inputs, cords_per_year=volume))
        for tool, year in zip(inputs.tools, money.tools, strict=True):
            assert year.life_years is not None
            assert year.life_years <= (tool.age_limit_years or math.inf)
            if tool.life_h is not None:
                assert year.life_years * year.hours_per_year <= tool.life_h * (1 + 1e-9)


@given(MONEY, SHARE, RATE, between(0.2, 30), st.integers(1, 8))
def test_a_horizon_of_whole_lives_agrees_with_the_endless_chain(
    price: float, share: float, rate: float, years: float, lives_n: int
) -> None:
    horizon = lives_n * years
    value = present_value_of_owning(
        price=price, resale=price * share, rate_frac=rate, years=years, horizon_years=horizon
    )
    yearly = annual_capital_cost(price=price, resale=price * share, rate_frac=rate, years=years)
    factor = present_value_factor(rate_frac=rate, years=horizon)
    assert value == pytest.approx(yearly * factor, rel=1e-7, abs=1e-6)


@given(MONEY, SHARE, between(-0.1, 0.4), st.integers(1, 20), st.integers(1, 40))
def test_horizon_agrees_with_flows_of_another_library(
    price: float, share: float, rate: float, years: int, horizon: int
) -> None:
    resale = price * share
    flows = [0.0] * (horizon + 1)
    for start in range(0, horizon, years):
        flows[start] += price - (resale if start else 0.0)
        last = start
    flows[horizon] -= resale + (price - resale) * (last + years - horizon) / years
    ours = present_value_of_owning(price=price, resale=resale, rate_frac=rate, years=years, horizon_years=horizon)
    assert ours == pytest.approx(float(numpy_financial.npv(rate, flows)), rel=1e-9, abs=1e-7)


@given(MONEY, SHARE, RATE, between(1, 40))
def test_machine_rate_lies_under_the_annuity_by_little(price: float, share: float, rate: float, years: float) -> None:
    """The average investment leaves interest on interest out; without interest the two are one."""
    exact = annual_capital_cost(price=price, resale=price * share, rate_frac=rate, years=years)
    literature = machine_rate_per_year(price=price, resale=price * share, rate_frac=rate, years=years)
    assert literature <= exact * (1 + 1e-9) + 1e-9
    free = machine_rate_per_year(price=price, resale=price * share, rate_frac=0, years=years)
    assert free == pytest.approx(annual_capital_cost(price=price, resale=price * share, rate_frac=0, years=years))


@given(between(1, 1e4), between(0.1, 1e4), between(1e-4, 0.4) | between(-0.1, -1e-3))
def test_payback_agrees_with_another_library(outlay: float, saved: float, rate: float) -> None:
    ours = payback_years(outlay=outlay, saved_per_year=saved, rate_frac=rate)
    if outlay * rate >= saved:
        assert ours == math.inf
    elif outlay * rate < 0.999 * saved:
        assert ours == pytest.approx(float(numpy_financial.nper(rate, -saved, outlay)), rel=1e-6)
        simple = payback_years(outlay=outlay, saved_per_year=saved, rate_frac=0)
        assert max(simple, ours) < math.inf
        sooner, later = (simple, ours) if rate > 0 else (ours, simple)
        assert later >= sooner * (1 - 1e-12)


@given(between(0, 500), between(0.1, 50), between(0, 500), between(0.1, 50))
def test_at_the_value_of_the_hour_saved_both_methods_cost_the_same(
    cash: float, hours: float, other_cash: float, other_hours: float
) -> None:
    worth = hour_saved_cost(extra_cash=other_cash - cash, hours_saved=hours - other_hours)
    if worth == math.inf:
        assert other_hours >= hours
    else:
        assert cash + worth * hours == pytest.approx(other_cash + worth * other_hours, rel=1e-6, abs=1e-6)


@given(between(0, 500), between(0, 500), between(0, 50), between(0, 50))
def test_straight_lines_cross_where_algebra_says(
    fixed: float, other_fixed: float, each: float, other_each: float
) -> None:
    found = break_even_volumes(
        lambda cords: (fixed + each * cords) - (other_fixed + other_each * cords), least=0.01, most=1000
    )
    slope = each - other_each
    crossing = (other_fixed - fixed) / slope if abs(slope) > 1e-6 else math.nan
    if 0.011 < crossing < 999:
        assert found == [pytest.approx(crossing, rel=1e-6)]
    elif not 0.009 < crossing < 1001 and abs(slope) > 1e-6:
        assert found == []


def test_a_difference_that_bends_may_be_crossed_twice_and_one_that_is_nothing_never() -> None:
    found = break_even_volumes(lambda q: (q - 2) * (q - 30), least=0.01, most=1000)
    assert found == [pytest.approx(2), pytest.approx(30)]
    assert break_even_volumes(lambda _: 0.0, least=0.01, most=1000) == []
