"""Doubt of break-even and payback: ends against ranges set by hand, and against the money itself."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from builders import Data, season_rates, small_season, steady, tables

from wood_xl.draws.figure import Figure
from wood_xl.schema.words import words

CORD_M3 = 128 * 0.3048**3


def rows(data: Data) -> tuple[dict[str, Any], dict[str, Any]]:
    found = tables(data).tables
    return found["break_even"][0], found["payback"][0]


def ends(figure: Figure) -> tuple[float, float, float]:
    assert figure.low is not None, words(figure.reason)
    assert figure.value is not None
    assert figure.high is not None, words(figure.reason)
    return figure.low, figure.value, figure.high


def two_saws(worth: float = 100) -> Data:
    data = small_season()
    data["season"]["value_of_time"] = worth
    data["units"]["season"]["value_of_time"] = "per h"
    return data


def shared_saw() -> Data:
    """Both methods with the same chain saw and nothing else; the hand saw costs nothing and needs nothing."""
    data = two_saws()
    data["methods"][0]["tool_2"] = "Chain saw"
    data["sessions"][0]["fuel_used"] = data["sessions"][2]["fuel_used"] = 0
    return data


def test_outlay_has_the_range_of_each_price_by_itself() -> None:
    _, paid = rows(two_saws())
    low, middle, high = ends(paid["outlay"])
    assert middle == 4000 - 400
    # one of the prices is most of it, so that 4096 draws of both find the ends to 2 %
    assert high - middle == pytest.approx(math.hypot(0.25 * 4000, 0.25 * 400), rel=0.02)
    assert middle - low == pytest.approx(high - middle, rel=0.02)


def test_a_price_that_both_share_is_no_doubt_of_the_outlay() -> None:
    _, paid = rows(shared_saw())
    low, middle, high = ends(paid["outlay"])
    assert middle == -400
    assert (high - low) / 2 == pytest.approx(0.25 * 400)


def test_hours_saved_scatter_with_the_sessions_of_both() -> None:
    found, paid = rows(steady(two_saws()))
    saved = ends(found["hours_saved"])
    rates = {r["method"]: ends(r["worker_hours"]) for r in tables(steady(two_saws())).tables["rates_per_cord"]}
    slow, quick = rates["By bow saw"], rates["By chain saw"]
    assert saved[1] == pytest.approx(slow[1] - quick[1])
    assert saved[0] > slow[0] - quick[2]  # not both at their worst
    assert saved[2] - saved[1] > (slow[2] - slow[1]) * 0.9  # and not surer than the slower alone
    yearly = ends(paid["hours_saved_per_year"])
    assert yearly == pytest.approx(tuple(10 / CORD_M3 * hours for hours in saved))


def test_hour_saved_costs_more_if_fewer_are_saved() -> None:
    found, _ = rows(steady(two_saws()))
    extra, hours, cost = (ends(found[key]) for key in ("extra_cash", "hours_saved", "hour_saved_cost"))
    assert cost[1] == pytest.approx(extra[1] / hours[1])
    # wider than either moves it alone, and surer than both at their worst
    assert max(extra[2] / hours[1], extra[1] / hours[0]) < cost[2] < extra[2] / hours[0]
    assert extra[0] / hours[2] < cost[0] < min(extra[0] / hours[1], extra[1] / hours[2])


def test_hours_that_may_not_be_saved_leave_the_cost_of_one_without_an_upper_end() -> None:
    data = two_saws()
    data["sessions"][1]["elapsed_time"] = 95
    data["helpers"].clear()
    data["sessions"][0]["elapsed_time"], data["sessions"][2]["elapsed_time"] = 30, 12
    found, _ = rows(data)
    low, _, high = ends(found["hours_saved"])
    assert low < 0 < high
    assert words(found["hour_saved_cost"].reason) == "may save no hour"
    assert found["hour_saved_cost"].low is not None
    assert found["hour_saved_cost"].high is None


def with_blade(price: float) -> Data:
    """A hand saw whose blades make it the dearer one at a large volume."""
    data = small_season()
    data["upkeep"].append({"tool": "Bow saw", "item": "Blade", "price": price, "every": 1, "per": "cords"})
    return data


def test_at_the_ends_of_the_break_even_volume_the_cash_is_in_doubt_about_nothing() -> None:
    """Where 2.5 % of the draws have crossed, they have nothing left to pay."""
    data = steady(with_blade(600))
    found, _ = rows(data)
    low, volume, high = ends(found["volume_cash"])
    assert low < volume < high
    for place, end in ((low, 0), (high, 2)):
        data["season"]["yearly_volume"] = place
        at, _ = rows(data)
        near = ends(at["extra_cash"])
        assert abs(near[end]) < 0.01 * (near[2] - near[0])


def test_a_volume_that_may_never_pay_says_in_how_many_draws() -> None:
    data = with_blade(170)
    found, _ = rows(data)
    figure = found["volume_cash"]
    assert words(figure.basis) == "pays above it"
    assert figure.low is not None
    assert figure.high is None
    known = season_rates(data)
    largest = 1000 * CORD_M3 / 10  # times the volume of the season
    hand, saw = (known.money(name).at(largest).cash for name in known.costs)
    never = 100 * float(np.mean((saw - hand)[1:] > 0))
    told = words(figure.reason)
    assert told == f"never pays in {figure.reason['percent']:.0f} of 100 cases"
    # In a draw or two the saw pays for a while and is worn out by its hours at the largest volume.
    assert never - 2 < figure.reason["percent"] <= never
    assert never > 20


def test_payback_lies_between_its_ends_or_may_not_come() -> None:
    _, paid = rows(steady(two_saws(500)))
    low, years, high = ends(paid["time_simple"])
    assert 0 < low < years < high
    later = ends(paid["time_discounted"])
    assert later[1] > years
    _, slow = rows(two_saws(100))
    figure = slow["time_simple"]
    assert figure.value is not None
    assert (figure.high, words(figure.reason)) == (
        None,
        f"not paid back within its life in {figure.reason['percent']:.0f} of 100 cases",
    )
