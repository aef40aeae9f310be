"""Worked examples of the money of a whole method, by the same function that a season goes through.

The household saw, its inputs one at a time, the maul against the splitter and the two tools over ten years were
worked out once with all digits (cost_reference).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest

from wood_xl.draws.ensemble import Number, OneByOne, nominal
from wood_xl.ids import Input
from wood_xl.money.break_even import break_even_volumes, hour_saved_cost
from wood_xl.money.method import MethodInputs, ToolInputs, UpkeepInputs, method_money, present_value
from wood_xl.money.owning import capital_recovery_factor
from wood_xl.money.ranges import Ranged
from wood_xl.money.spending import premix_price_per_l
from wood_xl.reasons import said

PREMIX = premix_price_per_l(gasoline_price_per_l=1.10, oil_price_per_l=12.00, mix_ratio=50)
SIX = 1e-6


def household_saw() -> MethodInputs:
    """36 running hours in 60 hours at the workplace, 0.8 cord a running hour."""
    wear = ((25, 25), (45, 100), (18, 100), (3, 10))  # chain, bar, sprocket, file: price, hours
    saw = ToolInputs(
        "saw", price=450, resale_frac=0.1, hours_per_cord=1 / 0.8, age_limit_years=8, repair_frac=1.0,
        upkeep=tuple(UpkeepInputs(price, every, "hours") for price, every in wear),
    )  # fmt: skip
    return MethodInputs(
        tools=(saw,), cords_per_year=28.8, rate_frac=0.05,
        clock_h_per_cord=1 / (0.8 * 0.6), working_h_per_cord=1 / 0.8, worker_h_per_cord=1 / (0.8 * 0.6),
        fuel_l_per_cord=0.90 / 0.8, fuel_price_per_l=PREMIX,
        bar_oil_l_per_cord=0.36 / 0.8, bar_oil_price_per_l=5.00, value_of_time_per_h=15.0,
    )  # fmt: skip


def test_household_saw_by_part() -> None:
    inputs = household_saw()
    money = method_money(inputs)
    tool = money.tools[0]
    assert inputs.cords_per_year * inputs.clock_h_per_cord == pytest.approx(60)
    assert tool.hours_per_year == pytest.approx(36)
    assert tool.yearly_cost == pytest.approx(64.912335, abs=SIX)
    assert tool.machine_rate == pytest.approx(50.625 + 13.640625, abs=SIX)
    per_running_hour = {
        "fuel": 1.182352941,
        "bar_oil": 1.80,
        "upkeep": 1.40625 + 1.00 + 0.45 + 0.18 + 0.30,
    }
    for part, expected in per_running_hour.items():
        assert getattr(money, part) * 0.8 == pytest.approx(expected, abs=SIX), part
    assert money.running * 0.8 == pytest.approx(6.318602941, abs=SIX)
    assert money.own_time == pytest.approx(15.0 / (0.8 * 0.6))


def test_household_saw_by_the_machine_rate_with_insurance() -> None:
    """The sums hold 1 % of the average investment for insurance beside 5 % interest: one rate of 6 %."""
    inputs = replace(household_saw(), rate_frac=0.06)
    money = method_money(inputs)
    fixed = money.machine_rate_ownership
    assert fixed * inputs.cords_per_year == pytest.approx(66.99375, abs=SIX)
    assert fixed / inputs.clock_h_per_cord == pytest.approx(1.1165625, abs=SIX)
    assert fixed / inputs.working_h_per_cord == pytest.approx(1.8609375, abs=SIX)
    cash = fixed + money.running
    assert cash == pytest.approx(10.224425552, abs=SIX)
    assert cash / inputs.clock_h_per_cord == pytest.approx(4.907724265, abs=SIX)
    assert cash / inputs.working_h_per_cord == pytest.approx(8.179540441, abs=SIX)
    assert cash + money.own_time == pytest.approx(41.474425551, abs=SIX)
    assert (cash + money.own_time) / inputs.clock_h_per_cord == pytest.approx(19.907724265, abs=SIX)


@dataclass(frozen=True)
class Saw:
    """The inputs of the example that moves one at a time, by the names of its symbols."""

    w: Number = 10.0
    prod: Number = 0.8
    U: Number = 0.6
    L: Number = 300.0
    P: Number = 450.0
    cons: Number = 1.93
    mr: Number = 1.0
    i: Number = 0.05
    q: Number = 0.9

    def cost_per_cord(self) -> Number:
        """36 running hours a year; bar oil held at 1.8 an hour."""
        saw = ToolInputs(
            "saw", price=self.P, resale_frac=0.1, hours_per_cord=1 / self.prod, life_h=self.L, repair_frac=self.mr,
            upkeep=(UpkeepInputs(self.cons, 1, "hours"),),
        )  # fmt: skip
        inputs = MethodInputs(
            tools=(saw,), cords_per_year=36 * self.prod, rate_frac=self.i,
            clock_h_per_cord=1 / (self.prod * self.U), working_h_per_cord=1 / self.prod,
            worker_h_per_cord=1 / (self.prod * self.U),
            fuel_l_per_cord=self.q / self.prod, fuel_price_per_l=PREMIX,
            bar_oil_l_per_cord=0.36 / self.prod, bar_oil_price_per_l=5.0, value_of_time_per_h=self.w,
        )  # fmt: skip
        return method_money(inputs).cash_and_time


RANGES = (
    ("w", 0, 20, 10.0107, 51.6774, 41.6667),
    ("prod", 0.6, 1.0, 41.1254, 24.6753, 16.4502),
    ("U", 0.45, 0.75, 37.7885, 26.6774, 11.1111),
    ("L", 125, 600, 35.6138, 29.1590, 6.4548),
    ("P", 300, 600, 29.5540, 32.1342, 2.5802),
    ("cons", 1.2, 3.0, 29.9316, 32.1816, 2.2500),
    ("mr", 0.5, 1.5, 30.0003, 31.6878, 1.6875),
    ("i", 0, 0.10, 30.3488, 31.3833, 1.0345),
    ("q", 0.7, 1.2, 30.5156, 31.3367, 0.8211),
)


def ranged(name: str, low: float, high: float) -> Ranged[Saw]:
    """What may be 0 has no range by logs: an hour of one's own is chosen, and what grows by interest is money."""
    return Ranged(
        said(Input.UPKEEP, tool=name), "", getattr(Saw(), name), low, high, "",
        lambda saw, number: replace(saw, **{name: number}),
        is_choice=name == "w", above=1.0 if name == "i" else 0.0,
    )  # fmt: skip


def test_one_input_at_a_time() -> None:
    tried = {name: ranged(name, low, high) for name, low, high, *_ in RANGES}
    moved = OneByOne(one.name for one in tried.values())
    saw = Saw()
    for one in tried.values():
        saw = one.put(saw, one.members(moved))
    cost = saw.cost_per_cord()
    assert nominal(cost) == pytest.approx(30.844064, abs=SIX)
    for name, _, _, at_low, at_high, size in RANGES:
        low, high = moved.at_ends(cost, tried[name].name)
        assert (low, high, abs(high - low)) == pytest.approx((at_low, at_high, size), abs=1e-4), name


def maul_or_splitter(per_year: float, per_cord: float, hours: float, cords: float) -> MethodInputs:
    tool = ToolInputs(
        "tool", price=10 * per_year, resale_frac=0, hours_per_cord=hours, age_limit_years=10,
        upkeep=(UpkeepInputs(per_cord, 1, "cords"),),
    )  # fmt: skip
    return MethodInputs((tool,), cords, 0.0, hours, hours, hours, value_of_time_per_h=10.0)


def maul(cords: float) -> MethodInputs:
    return maul_or_splitter(12, 0.5, 4.0, cords)


def splitter(cords: float) -> MethodInputs:
    return maul_or_splitter(250, 4.0, 1.8, cords)


def test_break_even_volume_of_maul_and_splitter() -> None:
    def difference(cords: float) -> float:
        return method_money(splitter(cords)).cash_and_time - method_money(maul(cords)).cash_and_time

    (volume,) = break_even_volumes(difference, least=0.1, most=1000)
    assert volume == pytest.approx(12.864865, abs=SIX)
    for method in (maul, splitter):
        assert volume * method_money(method(volume)).cash_and_time == pytest.approx(533.027027, abs=SIX)


@pytest.mark.parametrize(("cords", "expected"), [(3, 37.651515), (6, 19.621212), (12, 10.606061), (24, 6.098485)])
def test_break_even_value_of_time_of_maul_and_splitter(cords: float, expected: float) -> None:
    slow, quick = maul(cords), splitter(cords)
    found = hour_saved_cost(
        extra_cash=method_money(quick).cash - method_money(slow).cash,
        hours_saved=slow.worker_h_per_cord - quick.worker_h_per_cord,
    )
    assert found == pytest.approx(expected, abs=SIX)


@pytest.mark.parametrize(
    ("price", "years", "running", "straight_line", "per_year", "chain"),
    [(300, 4, 40, 1032.9629, 121.0948, 120.7081), (900, 12, 25, 1001.6410, 117.4229, 115.4159)],
)
def test_two_tools_of_unequal_lives_over_ten_years(
    price: float, years: float, running: float, straight_line: float, per_year: float, chain: float
) -> None:
    tool = ToolInputs(
        "tool", price, 0.0, hours_per_cord=1.0, age_limit_years=years, upkeep=(UpkeepInputs(running, 1, "years"),)
    )
    inputs = MethodInputs((tool,), 5.0, 0.03, 1.0, 1.0, 1.0)
    value = present_value(inputs, horizon_years=10)
    assert value == pytest.approx(straight_line, abs=5e-5)
    assert value * capital_recovery_factor(rate_frac=0.03, years=10) == pytest.approx(per_year, abs=5e-5)
    assert method_money(inputs).cash * inputs.cords_per_year == pytest.approx(chain, abs=5e-5)


def test_unit_cost_of_felling_on_ground_that_takes_a_fifth_longer() -> None:
    """Saw and operator at 5.00 an hour, 16.8 minutes for 1.25 m3."""
    hours = 16.8 / 60 / 1.25
    inputs = MethodInputs((), 1.0, 0.0, hours, hours, hours, value_of_time_per_h=5.0)
    assert method_money(inputs).own_time == pytest.approx(1.12, abs=SIX)


def test_worth_today_of_a_tool_that_is_owned() -> None:
    """It would bring 200 now and 45 in 4 years, at 5 %."""
    tool = ToolInputs(
        "saw", price=450, resale_frac=0.1, hours_per_cord=1.0, age_limit_years=8,
        is_owned=True, worth_today=200, years_left=4,
    )  # fmt: skip
    money = method_money(MethodInputs((tool,), 1.0, 0.05, 1.0, 1.0, 1.0))
    assert money.avoidable_ownership == pytest.approx(45.961834, abs=SIX)
    assert money.ownership == pytest.approx(64.912335, abs=SIX)


def test_default_resale_moves_with_the_price() -> None:
    tool = ToolInputs("tractor", price=75_000, resale_frac=0.37, hours_per_cord=1.0, age_limit_years=10)
    assert tool.resale == pytest.approx(27_750)
    assert replace(tool, price=150_000).resale == pytest.approx(55_500)
