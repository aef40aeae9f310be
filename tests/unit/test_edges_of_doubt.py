"""Edge cases of the draws: figures that may be 0, unknown doubt, and verdicts that may reverse."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import Data, row, season_rates, small_season, tables

from wood_xl.draws.figure import TAKES_NONE
from wood_xl.reasons import Basis, Reason, is_said

HAND, SAW = "Bow saw", "Chain saw"


def season(**items: float) -> Data:
    data = small_season()
    data["units"]["tools"] |= {"resale": "money", "mass": "kg"}
    data["units"]["sessions"]["running_time"] = "min"
    data["units"]["season"] |= {"real_interest_rate": "%", "value_of_time": "per h"}
    data["season"] |= items
    return data


def test_cash_that_is_nothing_only_as_it_stands_is_no_cash_that_takes_none() -> None:
    data = season(real_interest_rate=0)
    data["tools"][0]["resale"] = data["tools"][0]["price"]
    cash = next(one for one in tables(data).tables["rates_per_cord"] if one["cash"].value == 0)["cash"]
    assert (cash.low, cash.reason) == (0.0, None)
    assert cash.high > 1  # interest from 0 to its published high end on the money that is bound
    compared = row(data, "comparisons", figure="cash")
    assert is_said(compared["ratio"].reason, Reason.TOO_UNSURE)
    assert compared["verdict"] == "cannot tell yet"


def test_a_ratio_is_of_more_over_less_whichever_stands_first() -> None:
    data = season()
    data["tools"][0]["resale"] = 0.9 * data["tools"][0]["price"]
    compared = row(data, "comparisons", figure="cash")
    cash = {one["method"]: one["cash"].value for one in tables(data).tables["rates_per_cord"]}
    assert compared["ratio"].value == pytest.approx(cash[compared["more"]] / cash[compared["less"]])
    assert compared["ratio"].value > 1


def test_a_tool_that_a_task_did_not_run_is_worn_by_the_other_alone() -> None:
    data = season()
    data["tools"][1]["mass"] = 5
    data["methods"].append({"method": "limbing", "task": "limb", "tool_1": data["tools"][1]["tool"]})
    data["sessions"][1]["running_time"] = 20
    data["sessions"].append(
        {
            "session": "D",
            "date": "2026-03-04",
            "method": "limbing",
            "elapsed_time": 40,
            "running_time": 0,
            "fuel_used": 0.1,
        }
    )
    data["stacks"].append({"session": "D", "height": 1, "length": 1})
    worn = row(data, "worn_tools", method="limbing")
    assert (worn["per_cord"].value, worn["cords"].value) == (0, None)
    assert worn["cords"].reason == TAKES_NONE


def test_oil_that_was_not_filled_up_each_time_counts_with_the_next_filling() -> None:
    data = season(bar_oil_price=5)
    data["units"]["season"]["bar_oil_price"] = "per L"
    data["units"]["sessions"]["bar_oil_used"] = "L"
    method = data["sessions"][1]["method"]
    own = [one for one in data["sessions"] if one["method"] == method]
    own.append({**own[0], "session": "again", "date": "2026-03-09"})
    data["sessions"].append(own[-1])
    data["cuts"].append({"session": "again", "diameter": 30, "cuts": 20})
    for number, one in enumerate(own):
        one["bar_oil_used"] = 0.2 * bool(number)
    found = tables(data).tables
    cash = next(one for one in found["rates_per_cord"] if one["method"] == method)["cash"]
    oil = next(one for one in found["money_per_cord"] if one["method"] == method)["bar_oil"]
    assert 0 < oil.low < oil.value < oil.high
    assert cash.low < cash.value < cash.high


@pytest.mark.parametrize(("worth", "reason"), [(8, Reason.AS_THINGS_STAND_IN), (20, Reason.MAY_NEVER_PAY)])
def test_what_never_pays_says_in_how_many_draws(worth: float, reason: Reason) -> None:
    """Held against both methods' cash in every draw, at volumes all along the search."""
    data = season(value_of_time=worth)
    told, known = tables(data).tables["break_even"][0], season_rates(data)
    quick, slow = (known.money(told[side]) for side in ("quicker", "slower"))
    assert quick.numbers.why is None
    assert slow.numbers.why is None
    saved = worth * (slow.inputs.worker_h_per_cord - quick.inputs.worker_h_per_cord)
    pays = [
        quick.at_cords(cords).cash - slow.at_cords(cords).cash - saved <= 0 for cords in np.geomspace(0.01, 1000, 101)
    ]
    never = 100 * float(np.mean(~np.any(pays, axis=0)[1:]))
    assert is_said(told["volume_time"].reason, reason)
    assert told["volume_time"].reason["percent"] == pytest.approx(never, abs=0.5)
    assert (told["volume_time"].value is None) == (reason is Reason.AS_THINGS_STAND_IN)
    assert 5 < never < 95


@pytest.mark.parametrize(("rent", "reason"), [(150, None), (300, Reason.MAY_NEVER_PAY)])
def test_a_volume_below_which_rent_pays_has_no_low_end_where_it_may_never_pay(rent: float, reason: Any) -> None:
    data = season(value_of_time=5)
    data["tools"] = [{**data["tools"][0], "price": 4000}, {"tool": SAW, "kind": "gasoline two-stroke"}]
    data["tools"][1] |= {"held": "rented", "rent": rent, "rent_per": "hour"}
    data["units"]["tools"]["rent"], data["upkeep"] = "money", []
    told = row(data, "break_even")["volume_cash"]
    assert told.basis.id is Basis.PAYS_BELOW
    assert getattr(told.reason, "id", None) is reason
    assert (told.low is None) == (reason is not None)
    assert (told.low or 0.0) < told.value < told.high < 10 * told.value


def test_a_value_lies_within_its_ends_where_every_life_leans_to_one_side() -> None:
    data = season(real_interest_rate=0)
    for tool in data["tools"]:
        tool["life_years"] = 40  # beyond all that is published of an engine
    data["units"]["tools"]["life_years"] = "years"
    for one in tables(data).tables["rates_per_cord"]:
        assert one["cash"].low <= one["cash"].value <= one["cash"].high


def test_a_tool_whose_hours_in_another_task_are_in_unknown_doubt_has_no_ends_in_any_row() -> None:
    data = season()
    data["tools"][1] |= {"life_hours": 500}
    data["units"]["tools"]["life_hours"] = "h"
    data["methods"].append({"method": "limbing", "task": "limb", "tool_1": data["tools"][1]["tool"]})
    for number, (minutes, length) in enumerate(((600, 0.1), (40, 1), (2, 60))):
        name = f"limb {number}"
        data["sessions"].append(
            {
                "session": name,
                "date": f"2026-03-1{number}",
                "method": "limbing",
                "elapsed_time": minutes,
                "running_time": minutes,
                "fuel_used": 0.1,
            }
        )
        data["stacks"].append({"session": name, "height": 1, "length": length})
    data["sessions"][1]["running_time"] = 20
    costs = [one for one in tables(data).tables["tool_costs"] if one["tool"] == data["tools"][1]["tool"]]
    assert len(costs) == 2
    limbing = costs[1]["share"].value / 100 * costs[1]["hours_per_year"].value
    assert limbing == pytest.approx(10 * (642 / 60) / (0.4 * 61.1))  # of 10 m3 a year, sticks of 0.4 m
    for one in costs:
        assert one["hours_per_year"].low is None
        assert is_said(one["hours_per_year"].reason, Reason.SESSIONS_UNLIKE)
        assert one["life_years"].low is None
