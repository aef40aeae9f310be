"""Ends of the money tables: the same figure everywhere, ends by hand, and shared doubt that cancels."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from builders import Data, checked, season_rates, sessions_half, tables
from test_cost_doubt import HAND, SAW, season, width

from wood_xl.draws.ensemble import OneByOne
from wood_xl.draws.figure import Figure
from wood_xl.ids import Input, Recorded
from wood_xl.reasons import Said
from wood_xl.schema.words import words

# An end read from 4096 draws of several inputs strays: sqrt(0.025 * 0.975 / 4096) of the draws, 2 % of its distance.
DRAWS_ERROR = 0.04
CORD_M3 = 128 * 0.3048**3
CORDS = math.pi / 4 * 0.20**2 * 10 * 0.40 / 0.6 / CORD_M3  # of a session, at the solid fraction that is written
PRICE = math.log(1.25 / 0.75) / 2  # half width of the log of a price's range
LIFE = math.log(2 / 0.5) / 2


def rows(data: Data, table: str, method: str) -> list[dict[str, Any]]:
    return [row for row in tables(data).tables[table] if row["method"] == method]


def row(data: Data, table: str, method: str = SAW) -> dict[str, Any]:
    return rows(data, table, method)[0]


def ends(figure: Figure) -> tuple[float, float]:
    assert figure.low is not None, words(figure.reason)
    assert figure.high is not None
    return figure.low, figure.high


def half(figure: Figure) -> float:
    return width(figure) / 2


def hand_tool(sessions_n: int = 3, **tool: Any) -> Data:
    """The bow saw as written, at a written solid fraction and without a chain saw's money in the way."""
    data = season(sessions_n, solid_fraction=0.6, real_interest_rate=3)
    data["tools"][0] |= tool
    data["units"]["tools"] |= {"life_hours": "h", "resale": "money", "worth_today": "money", "years_left": "years"}
    return data


def all_bought(**items: Any) -> Data:
    """A chain saw that is free and needs no upkeep: all its cash is fuel and bar oil."""
    data = season(solid_fraction=0.6, bar_oil_price=40, real_interest_rate=3, **items)
    data["tools"][1]["price"] = 0
    data["upkeep"].clear()
    data["units"]["season"]["bar_oil_price"] = "per L"
    data["units"]["sessions"]["bar_oil_used"] = "L"
    for session in data["sessions"]:
        if session["method"] == SAW:
            session["bar_oil_used"] = 0.5 * session["fuel_used"]
    return data


@pytest.mark.parametrize(("column", "volume"), [("half_volume", 5), ("double_volume", 20)])
def test_cash_at_another_volume_has_the_ends_of_a_season_with_that_volume(column: str, volume: float) -> None:
    there = row(season(yearly_volume=volume), "money_views")["cash"]
    assert ends(row(season(yearly_volume=10), "money_views")[column]) == pytest.approx(ends(there))


def test_bar_oil_has_the_doubt_of_its_price_its_wood_and_its_sessions() -> None:
    """Litres times price: the sessions, the tape and the price, by squares of the half widths."""
    scatter = sessions_half(all_bought(), SAW, Recorded.BAR_OIL)
    tape = 1.96 * 3 * 0.005
    oil = row(all_bought(), "money_per_cord")["bar_oil"]
    assert oil.value == pytest.approx(40 * (0.26 + 0.24 + 0.26) / 3 / CORDS)
    assert half(oil) == pytest.approx(math.hypot(scatter, tape, PRICE), rel=0.04)


def test_a_sum_is_surer_than_its_parts_at_their_ends_together() -> None:
    parts = row(all_bought(), "money_per_cord")
    bought = [ends(parts[part]) for part in ("fuel", "bar_oil")]
    low, high = ends(parts["cash"])
    assert math.fsum(part[0] for part in bought) < low
    assert high < math.fsum(part[1] for part in bought)
    assert width(parts["cash"]) > 0.5 * min(width(parts[part]) for part in ("fuel", "bar_oil"))


def test_what_a_method_does_not_take_has_no_ends() -> None:
    parts = row(all_bought(), "money_per_cord")
    assert words(parts["ownership"].reason) == words(parts["electricity"].reason) == "it takes none"


def annuity(worth: float, years: float, percent: float) -> float:
    rate = percent / 100
    return worth * rate / (1 - (1 + rate) ** -years) if rate else worth / years


def machine_rate(price: float, years: float, percent: float) -> float:
    return price / years + percent / 100 * price * (years + 1) / (2 * years)


@pytest.mark.parametrize(
    ("column", "cost", "years"),
    [("yearly_cost", annuity, 10), ("machine_rate", machine_rate, 10), ("avoidable", annuity, 4)],
)
def test_a_hand_tool_has_the_doubt_of_its_price_life_and_interest(
    column: str, cost: Callable[[float, float, float], float], years: float
) -> None:
    """By age alone, independent of sessions; the cost of keeping it follows from its worth today."""
    tool = row(hand_tool(held="own", worth_today=200, years_left=4), "tool_costs", HAND)[column]
    worth = 200 if column == "avoidable" else 400
    assert tool.value == pytest.approx(cost(worth, years, 3))
    by_life = math.log(cost(worth, years / 2, 3) / cost(worth, years * 2, 3)) / 2
    by_interest = math.log(cost(worth, years, 7) / cost(worth, years, 0)) / 2
    assert half(tool) == pytest.approx(math.hypot(PRICE, by_life, by_interest), rel=0.02)


def test_the_price_that_was_paid_moves_the_cash_and_nothing_that_can_be_avoided() -> None:
    known = season_rates(hand_tool(held="own", worth_today=200, years_left=4))
    totals = known.costs[HAND].totals
    asking = OneByOne()
    known.by(asking).number(totals, "cash")
    keys = {key.id: key for key in asking.asked if isinstance(key, Said)}
    moved = OneByOne(keys.values())
    for figure_id, what, moves in (
        ("cash", Input.PRICE_OF_TOOL, True),
        ("avoidable", Input.PRICE_OF_TOOL, False),
        ("cash", Input.WORTH_TODAY, False),
        ("avoidable", Input.WORTH_TODAY, True),
    ):
        low, high = moved.at_ends(known.by(moved).number(totals, figure_id), keys[what])
        assert (high > low) is moves, (figure_id, what)


def test_a_tool_that_is_kept_for_its_resale_alone_has_ends_though_interest_may_be_0() -> None:
    tool = row(hand_tool(held="own", resale=100), "tool_costs", HAND)["avoidable"]
    low, high = ends(tool)
    assert tool.value == pytest.approx(3)
    assert low < 1.5
    assert high > 7


def test_a_method_that_owns_no_tool_can_avoid_as_surely_as_it_spends() -> None:
    views = row(season(), "money_views")
    assert ends(views["avoidable"]) == ends(views["cash"])


def test_life_by_age_has_the_range_that_is_tried() -> None:
    life = row(hand_tool(), "tool_costs", HAND)["life_years"]
    assert ends(life) == pytest.approx((5, 20))


def test_hours_of_a_year_are_as_unsure_as_those_of_a_cord_and_a_life_in_hours_more() -> None:
    data = hand_tool(life_hours=50)
    del data["tools"][0]["life_years"]
    hours, tool = row(data, "rates_per_cord", HAND)["worker_hours"], row(data, "tool_costs", HAND)
    assert width(tool["hours_per_year"]) == pytest.approx(width(hours), rel=0.02)
    assert half(tool["life_years"]) == pytest.approx(math.hypot(half(hours), LIFE), rel=DRAWS_ERROR)


def test_hours_of_other_tasks_scatter_by_themselves() -> None:
    data = hand_tool()
    data["methods"].append({"method": "Felling", "task": "fell", "tool_1": "Bow saw"})
    for session in [s for s in data["sessions"] if s["method"] == HAND]:
        name = f"Felling {session['session']}"
        data["sessions"].append({**session, "session": name, "method": "Felling"})
        data["cuts"].append({"session": name, "diameter": 20, "cuts": 10})
    alone, shared = (row(d, "tool_costs", HAND)["hours_per_year"] for d in (hand_tool(), data))
    assert shared.value == pytest.approx(2 * alone.value)
    # Two sums of equal hours on independent days: the half width of either over the root of 2.
    assert half(shared) == pytest.approx(half(alone) / math.sqrt(2), rel=0.1)


def worn_by_hours(elapsed: list[int], **items: Any) -> Data:
    """A hand saw that dies by its hours, without interest: a cord costs its hours times price over life."""
    data = hand_tool(len(elapsed), life_hours=50)
    del data["tools"][0]["life_years"]
    data["season"] |= {"real_interest_rate": 0, **items}
    for session, minutes in zip(data["sessions"], elapsed, strict=False):
        session["elapsed_time"] = minutes
    return data


def test_an_hour_of_a_tool_that_dies_by_its_hours_is_sure_of_the_sessions_and_of_the_wood() -> None:
    steady, scattered = worn_by_hours([60, 60, 60]), worn_by_hours([30, 60, 110])
    wood_unsure = worn_by_hours([60, 60, 60])
    del wood_unsure["season"]["solid_fraction"]
    found = [row(data, "money_totals", HAND) for data in (steady, scattered, wood_unsure)]
    widths = [width(totals["cash_per_working_hour"]) for totals in found]
    assert widths == pytest.approx([widths[0]] * 3, rel=0.01)
    assert [totals["cash_per_working_hour"].value for totals in found] == pytest.approx([400 / 50] * 3)
    assert width(found[0]["cash"]) > 1.02 * widths[0]
    assert width(found[1]["cash"]) > 1.3 * widths[0]
    assert width(found[2]["cash"]) > width(found[0]["cash"])


def test_an_hour_of_a_tool_that_dies_by_age_is_as_unsure_as_the_hours_it_is_spread_over() -> None:
    data = hand_tool()
    totals = row(data, "money_totals", HAND)
    together = math.hypot(half(totals["cash"]), half(totals["worker_hours"]))
    assert half(totals["cash_per_workplace_hour"]) == pytest.approx(together, rel=0.01)


@pytest.mark.slow
def test_fuel_of_an_hour_goes_with_the_hours_of_the_same_days_and_has_none_of_the_wood() -> None:
    """Hours and litres of a method are correlated: what they share cancels in their quotient."""
    data = all_bought()
    for session in data["sessions"]:
        session.pop("bar_oil_used", None)
    data["season"]["two_stroke_oil_price"] = 0
    totals = row(data, "money_totals")
    hours, fuel = (sessions_half(data, SAW, what) for what in (Recorded.WORKER_HOURS, Recorded.FUEL))
    apart = math.hypot(hours, fuel, PRICE)
    assert PRICE < half(totals["cash_per_workplace_hour"]) < 0.97 * apart


def test_what_is_bought_alike_every_year_is_as_sure_over_the_horizon_but_for_the_interest() -> None:
    views, totals = row(all_bought(), "money_views"), row(all_bought(), "money_totals")
    assert ends(views["over_horizon"]) == pytest.approx(ends(views["cash"]))
    years = 10  # the default horizon
    by_interest = math.log(annuity(1, years, 7) / annuity(1, years, 0)) / 2
    together = math.hypot(half(views["cash"]), by_interest)
    assert half(totals["present_value"]) == pytest.approx(together, rel=DRAWS_ERROR)


def test_nothing_to_buy_and_nothing_saved_say_why_they_have_no_ends() -> None:
    """Two methods with one hand saw that wears by age: a year of it costs both the same, whatever it cost."""
    data = season(1, second=True)
    data["methods"][2]["tool_1"] = "Bow saw"
    for session in data["sessions"]:
        session.pop("fuel_used", None)
    found = tables(data).tables
    both = {HAND, "By big saw"}
    extra, paid = (
        next(r for r in found[t] if {r["quicker"], r["slower"]} == both) for t in ("break_even", "payback")
    )
    assert (paid["outlay"].value, words(paid["outlay"].reason)) == (0, "nothing more to buy")
    assert (extra["extra_cash"].value, words(extra["extra_cash"].reason)) == (0, "nothing that is tried moves it")
    assert words(paid["cash_saved_per_year"].reason) == "nothing that is tried moves it"


def test_two_methods_that_cost_the_same_by_chance_may_differ_either_way() -> None:
    """One saw for both: its price cancels, the fuel of each method's days does not."""
    data = season(1, second=True)
    data["methods"][2]["tool_1"] = "Chain saw"
    pair = {"quicker": SAW, "slower": "By big saw"}
    extra = next(r for r in tables(data).tables["break_even"] if pair.items() <= r.items())["extra_cash"]
    low, high = ends(extra)
    assert extra.value == 0
    assert low < 0 < high
    assert low == pytest.approx(-high, rel=0.15)


def test_a_real_rate_below_0_is_looked_at_and_used() -> None:
    data = hand_tool()
    plain = row(data, "tool_costs", HAND)["yearly_cost"]
    data["season"]["real_interest_rate"] = -1
    found = checked(data)
    assert [p.code for p in found.problems if "-1" in p.text] == ["cell-unusual"]
    dear = row(data, "tool_costs", HAND)["yearly_cost"]
    factor = 1 - 1.01 / 1.03  # of a tool of 400 that lasts 10 years and is sold for nothing
    assert dear.value == pytest.approx(400 * -0.01 / (1 - 0.99**-10))
    assert dear.value < plain.value * (1 - factor)
    low, high = ends(dear)
    assert low < dear.value < high


def test_a_tool_that_keeps_its_worth_while_money_does_not_costs_less_than_nothing() -> None:
    data = hand_tool(resale=396)
    data["season"]["real_interest_rate"] = -10
    tool = row(data, "tool_costs", HAND)["yearly_cost"]
    cash = row(data, "money_per_cord", HAND)["ownership"]
    assert tool.value == pytest.approx(4 * -0.1 / (1 - 0.9**-10) - 396 * 0.1)
    for figure in (tool, cash):
        low, high = ends(figure)
        assert low < figure.value < 0
        assert figure.value < high
    compared = [r for r in tables(data).tables["break_even"] if r["slower"] == HAND]
    assert all(r["extra_cash"].value > 0 for r in compared)
