"""Doubt of cash and CO2e: scatter of the sessions, and what all of them share."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from builders import Data, season_rates, small_season, tables

from wood_xl.air.accounts import emission_accounts
from wood_xl.air.drawn import factor_doubt
from wood_xl.air.method import choices
from wood_xl.data.load import constant, value
from wood_xl.draws.ensemble import COMMON_ALONE, OneByOne
from wood_xl.draws.figure import Figure
from wood_xl.draws.inputs import by_doubt, by_range
from wood_xl.draws.shared_factors import log_variance
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import Input
from wood_xl.money.inputs import CASH_PARTS
from wood_xl.money.method import method_money
from wood_xl.reasons import Basis, Named, Reason, Said, said, several
from wood_xl.schema.words import words

HAND, SAW = "By bow saw", "By chain saw"


def season(sessions_n: int = 3, *, fuel_n: int | None = None, second: bool = False, **items: Any) -> Data:
    """Sessions of a bow saw and of a chain saw; a second chain saw on request."""
    data = small_season() | {"helpers": [], "stacks": []}
    methods = [HAND, SAW]
    if second:
        data["tools"].append({"tool": "Big saw", "kind": "gasoline two-stroke", "price": 6000})
        data["upkeep"].append({"tool": "Big saw", "item": "Chain", "price": 300, "every": 30, "per": "hours"})
        data["methods"].append({"method": "By big saw", "task": "buck", "tool_1": "Big saw"})
        methods.append("By big saw")
    data["sessions"], data["cuts"] = [], []
    for method in methods:
        for i in range(sessions_n):
            name = f"{method} {i}"
            row = {
                "session": name,
                "method": method,
                "elapsed_time": 60 + 3 * (-1) ** i,
                "date": f"2026-03-{i + 1:02}",
            }
            if method != HAND and (fuel_n is None or i < fuel_n):
                row["fuel_used"] = 0.5 + 0.02 * (-1) ** i
            data["sessions"].append(row)
            data["cuts"].append({"session": name, "diameter": 20, "cuts": 10})
    data["season"] |= {"value_of_time": 100, **items}
    data["units"]["season"]["value_of_time"] = "per h"
    return data


def per_cord(data: Data, method: str) -> dict[str, Any]:
    return next(row for row in tables(data).tables["rates_per_cord"] if row["method"] == method)


def width(figure: Figure) -> float:
    assert figure.low is not None
    assert figure.high is not None
    return math.log(figure.high / figure.low)


def test_what_is_not_used_has_no_interval_and_says_so() -> None:
    none = several([said(Basis.NO_ENGINE), said(Basis.NO_ELECTRIC_TOOL)])
    assert per_cord(season(), HAND)["co2e_running"] == Figure(0.0, none, reason=said(Reason.TAKES_NONE))


def test_own_time_is_as_sure_as_the_hours() -> None:
    row = per_cord(season(), SAW)
    assert width(row["own_time"]) == pytest.approx(width(row["worker_hours"]))


@pytest.mark.parametrize("key", ["cash", "co2e", "co2e_running"])
def test_fewer_sessions_make_wider_intervals(key: str) -> None:
    assert width(per_cord(season(2), SAW)[key]) > width(per_cord(season(6), SAW)[key])


def test_fuel_counts_the_sessions_that_recorded_it() -> None:
    few, all_of_them = (per_cord(season(6, fuel_n=n), SAW) for n in (2, 6))
    assert width(few["co2e_running"]) > 1.3 * width(all_of_them["co2e_running"])
    assert width(few["worker_hours"]) == width(all_of_them["worker_hours"])


def test_a_cord_that_the_usual_solid_fraction_turns_is_less_sure() -> None:
    data = season()
    usual = per_cord(data, SAW)["co2e_running"]
    data["season"]["solid_fraction"] = 0.64
    assert width(usual) > 1.02 * width(per_cord(data, SAW)["co2e_running"])


def members(known: SeasonRates, method: str, figure_id: str) -> Any:
    """A figure of a method by all members."""
    return known.number(known.costs[method].totals, figure_id)


def spread(numbers: Any) -> float:
    """Standard deviation of the log of a figure over its draws."""
    return (log_variance(numbers) or 0.0) ** 0.5


def test_parts_of_the_cash_add_up_in_every_draw() -> None:
    known = season_rates(season(electricity_price=1.5))
    parts = sum(members(known, SAW, part) for part in CASH_PARTS)
    assert members(known, SAW, "cash") == pytest.approx(parts, rel=1e-12)
    both = members(known, SAW, "cash") + members(known, SAW, "own_time")
    assert members(known, SAW, "cash_and_time") == pytest.approx(both, rel=1e-12)
    assert both[0] == per_cord(season(electricity_price=1.5), SAW)["cash_and_time"].value


def test_what_a_method_takes_is_drawn_once_for_all_its_figures() -> None:
    """More hours raise own time and wear by hours in the same draws."""
    known = season_rates(season())
    hours, own_time = (members(known, SAW, key) for key in ("worker_hours", "own_time"))
    assert own_time == pytest.approx(100 * hours, rel=1e-12)


def test_common_factors_cancel_between_methods_that_share_them() -> None:
    known = season_rates(season(second=True)).by(COMMON_ALONE)
    for key in ("co2e_running", "fuel", "worker_hours"):
        one, other = (members(known, method, key) for method in (SAW, "By big saw"))
        assert spread(one) > 0.05
        assert one / other == pytest.approx(one[0] / other[0]), key


def test_dear_gasoline_that_both_burn_cancels_from_the_ratio_of_their_cash() -> None:
    """Each saw has a price and lives of its own; the rest is the same fuel and the same wood."""
    shares = []
    for price in (20, 2000):
        known = season_rates(season(second=True, gasoline_price=price)).by(COMMON_ALONE)
        one, other = (members(known, method, "cash") for method in (SAW, "By big saw"))
        shares.append(spread(one / other) ** 2 / (spread(one) ** 2 + spread(other) ** 2))
    assert shares[1] < 0.1 < shares[0]


def test_scatter_of_the_sessions_of_two_methods_does_not_cancel() -> None:
    data = season(second=True, solid_fraction=0.6)
    for session in data["sessions"]:
        session.pop("date", None)  # days that both share would cancel
    known = season_rates(data)
    one, other = (members(known, method, "worker_hours") for method in (SAW, "By big saw"))
    variances = [float(np.var(np.log(draws[1:]))) for draws in (one, other, one / other)]
    # Only the tape is shared.
    assert variances[2] == pytest.approx(variances[0] + variances[1] - 2 * (3 * 0.005) ** 2, rel=0.05)


def test_another_price_of_another_method_leaves_the_draws_of_the_others_as_they_are() -> None:
    seasons = [season(second=True) for _ in range(2)]
    next(tool for tool in seasons[1]["tools"] if tool["tool"] not in ("Bow saw", "Chain saw"))["price"] = 9999
    for method in (SAW, HAND):
        one, other = (members(season_rates(data), method, "cash") for data in seasons)
        assert (one == other).all()
    asking, known = OneByOne(), season_rates(season())
    known.by(asking).number(known.costs[SAW].totals, "cash")
    assert said(Input.PRICE_OF_FUEL, fuel=Named("gasoline", "gasoline")) in asking.asked


def tried(name: Said, base: float, constant_id: str, *, times: float = 1.0, above: float = 0.0) -> Any:
    """Draws of an input over the range of a constant, as a plain list."""
    known = constant(constant_id)
    low, high = (above + times * (end or 0.0) for end in (known.low, known.high))
    drawn = by_range(name, above + base, min(low, above + base), max(high, above + base))
    return (drawn - above).tolist()


SOME = range(0, 4097, 64)


@pytest.mark.parametrize("yearly_volume", [10, 1000])
def test_cash_agrees_with_the_chain_computed_again_for_one_draw_at_a_time(yearly_volume: float) -> None:
    """A life by age and a life by hours, with only shared doubt drawn."""
    known = season_rates(season(yearly_volume=yearly_volume, real_interest_rate=3))
    cost, common = known.costs[SAW], known.by(COMMON_ALONE)
    inputs, saw = cost.numbers.inputs, cost.numbers.tools[0]
    tool, name, kind = saw.inputs, saw.tool.named, saw.tool.kind_row
    gasoline, oil = (
        tried(said(Input.PRICE_OF_FUEL, fuel=Named(fuel, text)), 1.0, "cost.try.price")
        for fuel, text in (("gasoline", "gasoline"), ("lubricant", "two-stroke oil"))
    )
    price = tried(said(Input.PRICE_OF_TOOL, tool=name), 4000, "cost.try.price", times=4000)
    upkeep = tried(said(Input.UPKEEP, tool=name), 1.0, "cost.try.price")
    lives = tried(said(Input.LIFE_RUNNING, tool=name), tool.life_h, kind.life_h)
    ages = tried(said(Input.LIFE_BY_AGE, tool=name), tool.age_limit_years, kind.life_years)
    interest = tried(said(Input.INTEREST), 3, "cost.real_interest_rate", above=100)
    wood = common.taken.wood(cost.totals).tolist()
    cash = members(common, SAW, "cash")
    again = []
    for i in SOME:
        one = replace(
            tool,
            price=price[i],
            life_h=lives[i],
            age_limit_years=ages[i],
            hours_per_cord=tool.hours_per_cord * wood[i],
            upkeep=tuple(replace(item, price=item.price * upkeep[i]) for item in tool.upkeep),
        )
        again.append(
            method_money(
                replace(
                    inputs,
                    tools=(one,),
                    rate_frac=interest[i] / 100,
                    fuel_l_per_cord=inputs.fuel_l_per_cord * wood[i],
                    fuel_price_per_l=(50 * 20 * gasoline[i] + 100 * oil[i]) / 51,
                )
            ).cash
        )
    assert cash[list(SOME)] == pytest.approx(again, rel=1e-9)
    assert spread(cash) > 0.05


def test_emissions_agree_with_the_chain_computed_again_for_one_draw_at_a_time() -> None:
    known = season_rates(season())
    common, found = known.by(COMMON_ALONE), known.emitted[SAW]
    wood = common.taken.wood(known.costs[SAW].totals).tolist()
    running = members(common, SAW, "co2e_running")
    asked: set[str] = set()

    def kg(i: int) -> float:
        def factor(constant_id: str) -> float:
            asked.add(constant_id)
            doubt = factor_doubt(constant_id)
            return value(constant_id) * (1.0 if doubt is None else float(by_doubt(constant_id, doubt)[i]))

        amounts = replace(found.amounts, fuel=found.amounts.fuel.times(wood[i]))
        return emission_accounts(amounts, choices(known.study.season), factor=factor).running_kg

    assert running[list(SOME)] == pytest.approx([kg(i) for i in SOME], rel=1e-9)
    assert {"co2.gasoline", "ch4.epa_hub.two_stroke", "n2o.epa_hub.two_stroke", "upstream.gasoline"} <= asked


def compared(data: Data, figure: str) -> dict[str, Any]:
    return next(row for row in tables(data).tables["comparisons"] if row["figure"] == figure)


@pytest.mark.parametrize("figure", ["cash", "co2e"])
def test_methods_are_compared_by_cash_and_air(figure: str) -> None:
    row, found = compared(season(), figure), [per_cord(season(), method)[figure].value for method in (SAW, HAND)]
    assert (row["more"], row["less"]) == (SAW, HAND)
    assert row["ratio"].value == pytest.approx(found[0] / found[1])
    assert row["ratio"].low < row["ratio"].value < row["ratio"].high
    assert row["verdict"] == f"{HAND} takes less"
    assert row["takes_less"].value > 95
    assert words(row["days"].reason) == "not by sessions"


def test_a_ratio_of_cash_is_surer_than_prices_that_both_pay_would_make_it() -> None:
    found = tables(season(second=True, gasoline_price=200)).tables
    row = next(
        row for row in found["comparisons"] if row["figure"] == "cash" and HAND not in (row["more"], row["less"])
    )
    cash = {one["method"]: one["cash"] for one in found["rates_per_cord"]}
    naive = math.hypot(*(width(cash[method]) / 2 for method in (SAW, "By big saw")))
    assert width(row["ratio"]) / 2 < 0.95 * naive


def free(data: Data) -> Data:
    """The bow saw for nothing, so that its cash is 0."""
    data["tools"][0]["price"] = 0
    return data


def test_a_method_that_takes_none_has_no_ratio_and_a_clear_verdict() -> None:
    row = compared(free(season()), "cash")
    assert (row["more"], row["less"], row["surety"]) == (SAW, HAND, "settled")
    assert words(row["ratio"].reason) == f"{HAND} takes none, so the difference is all that the other takes"
    assert (row["verdict"], row["further"]) == (f"{HAND} takes less", "none needed")
    assert (row["takes_less"].value, row["beyond_margin"].value) == pytest.approx((99.9, 99.9))


def test_two_methods_that_take_none_are_alike() -> None:
    data = free(season())
    data["methods"][1]["tool_1"] = "Bow saw"
    for row in data["sessions"]:
        row.pop("fuel_used", None)
    row = compared(data, "cash")
    assert (words(row["ratio"].reason), row["verdict"]) == ("both take none", "the same for you")
    assert row["takes_less"].value is None


def test_what_is_not_known_of_one_is_not_compared() -> None:
    data = season()
    del data["tools"][1]["price"]
    row = compared(data, "cash")
    assert (words(row["ratio"].reason), row["verdict"]) == ("needs the price of Chain saw", "cannot tell yet")
