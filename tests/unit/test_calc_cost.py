"""Money and fuel: the branches and what is refused. Values stand under tests/published and tests/derived."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from few import together

from wood_xl.money import break_even
from wood_xl.money import method as method_money
from wood_xl.money import owning as cost
from wood_xl.money import spending as running_cost

PRICES: dict[str, float | None] = {"gasoline": 1.0, "diesel": 1.4, "lubricant": 11.2}


def test_factor_below_one_year_pays_back_at_once() -> None:
    # 1.03^-0.5 = 1/1.014889157, so 0.03/(1 - 0.985329278)
    assert cost.capital_recovery_factor(rate_frac=0.03, years=0.5) == pytest.approx(
        0.03 / (1 - 0.985329278), rel=1e-6
    )


def test_free_money_costs_the_depreciation() -> None:
    assert cost.annual_capital_cost(price=400, resale=40, rate_frac=0, years=9) == pytest.approx(40.0)


def test_tool_that_loses_nothing_costs_its_interest() -> None:
    assert cost.annual_capital_cost(price=400, resale=400, rate_frac=0.05, years=9) == pytest.approx(20.0)


@together(
    ("life_h", "hours_per_year", "age_limit_years", "expected"),
    [
        (300, 60, 10, 5.0),
        (300, 10, 10, 10),
        (300, 0, 10, 10),
        (None, 60, 10, 10),
        (300, 60, None, 5.0),
        (300, 0, None, None),
        (None, 60, None, None),
        (None, None, None, None),
    ],
)
def test_life_is_the_shorter_of_what_is_known(
    life_h: float | None, hours_per_year: float, age_limit_years: float | None, expected: float | None
) -> None:
    life = cost.life_years(life_h=life_h, hours_per_year=hours_per_year, age_limit_years=age_limit_years)
    assert life == expected


@pytest.mark.parametrize(
    ("per", "expected"),
    [
        ("hours", 5.0),  # 40/20 x 2.5
        ("cords", 2.0),
        ("stacked m3", 2 * 3.624556363776),
        ("years", 0.25),
    ],
)
def test_upkeep_by_what_it_is_counted(per: running_cost.Per, expected: float) -> None:
    given = running_cost.upkeep_per_cord(price=40, every=20, per=per, hours_per_cord=2.5, cords_per_year=8)
    assert given == pytest.approx(expected)


def test_machine_rate_of_a_tool_worn_out_within_a_year_takes_its_interest_for_one() -> None:
    # 100 a year and a half of it: 180 of depreciation, interest on the whole price
    given = cost.machine_rate_per_year(price=100, resale=10, rate_frac=0.05, years=0.5)
    assert given == pytest.approx(180 + 0.05 * 100)


def saw(**changes: Any) -> method_money.ToolInputs:
    return replace(method_money.ToolInputs("saw", 400, 0.0, 1.0, age_limit_years=10), **changes)


def method(*tools: method_money.ToolInputs, **changes: Any) -> method_money.MethodInputs:
    return replace(method_money.MethodInputs(tools, 10.0, 0.0, 2.0, 1.0, 3.0), **changes)


def test_free_tool_without_a_life_costs_nothing() -> None:
    money = method_money.method_money(method(saw(price=0, age_limit_years=None)))
    assert (money.cash, money.tools[0].life_years) == (0.0, None)
    assert method_money.present_value(method(saw(price=0, age_limit_years=None)), horizon_years=5) == 0.0


def test_a_tool_that_never_works_is_owned_all_the_same() -> None:
    money = method_money.method_money(method(saw(hours_per_cord=0.0, life_h=300)))
    assert money.ownership == pytest.approx(4.0)


def test_a_tool_worth_less_today_than_its_resale_brings_no_more_than_that() -> None:
    owned = saw(resale_frac=0.5, is_owned=True, worth_today=100)
    money = method_money.method_money(method(owned, rate_frac=0.05))
    assert money.avoidable_ownership == pytest.approx(100 * 0.05 / 10)


def test_repairs_follow_the_depreciation() -> None:
    money = method_money.method_money(method(saw(repair_frac=0.75)))
    assert money.upkeep == pytest.approx(0.75 * money.ownership)


def test_horizon_shorter_than_a_life_gives_the_rest_back() -> None:
    value = cost.present_value_of_owning(price=1000, resale=100, rate_frac=0.0, years=10, horizon_years=3)
    assert value == pytest.approx(270)


def test_nothing_is_bought_at_the_horizon_itself() -> None:
    third = 1 / 3
    value = cost.present_value_of_owning(price=100, resale=0, rate_frac=0.0, years=third, horizon_years=2)
    assert value == pytest.approx(600)


@together(
    ("kind", "expected"),
    [
        ("gasoline two-stroke", 1.2),  # (50 x 1.0 + 11.2)/51
        ("gasoline four-stroke", 1.0),
        ("diesel", 1.4),
        ("hand", None),
        ("battery", None),
        ("mains", None),
    ],
)
def test_price_of_what_is_in_the_tank(kind: str, expected: float | None) -> None:
    given = running_cost.fuel_price_per_l(kind=kind, prices_per_l=PRICES, mix_ratio=50)
    assert given == (None if expected is None else pytest.approx(expected))


@pytest.mark.parametrize("missing", ["gasoline", "lubricant"])
def test_mix_needs_both_prices(missing: str) -> None:
    prices = PRICES | {missing: None}
    assert running_cost.fuel_price_per_l(kind="gasoline two-stroke", prices_per_l=prices, mix_ratio=50) is None


@together(
    ("call", "words"),
    [
        (lambda: method_money.method_money(method(saw(age_limit_years=None))), "saw has a price and no life"),
        (
            lambda: break_even.hour_saved_cost(extra_cash=math.nan, hours_saved=1),
            "extra_cash is nan",
        ),
        (lambda: break_even.break_even_volumes(lambda q: q, least=0, most=1), "least is 0"),
        (lambda: break_even.break_even_volumes(lambda q: q, least=2, most=1), "least is 2, not below most 1"),
        (lambda: break_even.payback_years(outlay=-1, saved_per_year=1, rate_frac=0), "outlay is -1"),
    ],
)
def test_impossible_number_is_named(call: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()
