"""A bought cord beside one's own: its price, the hours left to do, and what each hour costs that it saves."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from builders import Data, season_rates, small_season, tables, value

from wood_xl.money.tables import bought_wood_rows
from wood_xl.schema.words import words
from wood_xl.verdicts import BestFor

CORD_M3 = 128 * 0.3048**3
HAND, CHAIN = "By bow saw", "By chain saw"


def season(price: float | None = 9000, *, with_stacking: bool = True, **items: Any) -> Data:
    """Two ways of bucking, and stacking that 30 min of one person took for a stack of 2 m3."""
    data = small_season()
    data["sessions"] = data["sessions"][:2]
    data["cuts"] = [{"session": "A", "diameter": 20, "cuts": 10}, {"session": "B", "diameter": 30, "cuts": 20}]
    data["stacks"] = []
    if with_stacking:
        data["methods"].append({"method": "Pile up", "task": "stack"})
        data["sessions"].append(
            {"session": "P", "date": "2026-03-04", "method": "Pile up", "person": "Ada", "elapsed_time": 30}
        )
        data["stacks"].append({"session": "P", "height": 1.0, "length": 5.0})  # sticks of 40 cm: 2 stacked m3
    if price is not None:
        data["season"]["bought_cord_price"] = price
        data["units"]["season"]["bought_cord_price"] = "per cord"
    data["season"].update(items)
    data["units"]["season"]["value_of_time"] = "per h"
    return data


def with_two_adults(data: Data) -> Data:
    """Let the chain saw be planned for."""
    data["people"][0]["may_use"] = "Chain saw"
    data["people"].append({"person": "Bo", "age": 30})
    data["next_season"]["people_available"] = 2
    return data


def rows(data: Data) -> list[Data]:
    """A row for each way that has methods."""
    return [row for row in tables(data).tables["bought_wood"] if row["methods"]]


def test_without_a_price_nothing_is_said() -> None:
    assert rows(season(None)) == []


def test_it_stands_beside_the_way_that_is_advised_the_quickest_and_the_cheapest() -> None:
    data = season(value_of_time=1e5)  # nobody is trained at the chain saw
    hand, chain = f"{HAND} + Pile up", f"{CHAIN} + Pile up"
    found = [(one["best_for"], one["methods"]) for one in tables(data).tables["bought_wood"]]
    assert found == [("suggested", hand), ("time", chain), ("money", hand)]


def test_where_nothing_is_advised_yet_it_says_so_and_still_tells_its_price() -> None:
    first = tables(with_two_adults(season())).tables["bought_wood"][0]
    assert (first["best_for"], first["methods"], value(first["cash"])) == ("suggested", "", 9000)
    told = {words(first[key].reason) for key in ("hours_left", "hours_saved", "per_hour")}
    assert told == {"no single way of bucking is advised"}
    assert words(first["cash_more"].reason) == "no single way of bucking is advised"


def test_a_bought_cord_leaves_the_stacking_and_saves_the_rest() -> None:
    data = season()
    rates = {one["method"]: one for one in tables(data).tables["rates_per_cord"]}
    own_cash = {one["method"]: one["cash"] for one in tables(data).tables["money_per_cord"]}
    for row, method in zip(rows(data), (HAND, CHAIN, HAND), strict=True):
        assert value(row["cash"]) == 9000
        # 30 min for 2 stacked m3, and no other stacking to set it right by
        assert value(row["hours_left"]) == pytest.approx(0.5 * CORD_M3 / 2)
        saved, more = value(rates[method]["worker_hours"]), 9000 - value(own_cash[method])
        assert value(row["hours_saved"]) == pytest.approx(saved)
        assert value(row["cash_more"]) == pytest.approx(more)
        assert value(row["per_hour"]) == pytest.approx(more / saved)
        assert words(row["kcal_net"].reason) == words(row["co2e"].reason) == "not known of wood that others made"


def test_by_hand() -> None:
    # Bow saw: 90 min for 10 ends of 20 cm. The wood: 10 x pi/4 x 0.2^2 x 0.4 m = 0.12566 m3 solid, /0.64 stacked.
    # Its cash: 400 over 10 years at 3 % is 46.892 a year (factor 0.1172305), 10 stacked m3 a year.
    data = season(with_stacking=False)
    data["methods"].pop()  # with one method nothing is set on equal terms
    data["sessions"].pop()
    data["cuts"].pop()
    data["helpers"] = []
    (row,) = rows(data)
    made_cords = math.pi / 4 * 10 * 0.04 * 0.4 / 0.64 / CORD_M3
    hours, cash = 1.5 / made_cords, 400 * 0.1172305 / (10 / CORD_M3)
    assert row["methods"] == HAND
    assert value(row["hours_saved"]) == pytest.approx(hours)
    assert value(row["per_hour"]) == pytest.approx((9000 - cash) / hours, rel=1e-6)
    assert (value(row["hours_left"]), words(row["hours_left"].basis)) == (
        0,
        "no stacking was timed: both ways need it on top",
    )


def test_ends_are_those_of_the_same_draws() -> None:
    data = season()
    rates = season_rates(data)
    found = bought_wood_rows(rates, {BestFor.ONLY: (HAND, "Pile up")})[0]
    totals = next(one for one in rates.study.totals if one.method.name == HAND)
    own = rates.figure(totals, "cash").number
    assert np.allclose(found["cash_more"].number, found["cash"].number - np.asarray(own))
    saved = rates.figure(totals, "worker_hours").number
    assert np.allclose(found["per_hour"].number, np.asarray(found["cash_more"].number) / np.asarray(saved))
    for figure in (found["cash"], found["hours_left"], found["hours_saved"], found["cash_more"], found["per_hour"]):
        assert figure.low is not None
        assert figure.high is not None
        assert figure.low < value(figure) < figure.high
    assert (found["cash"].low, found["cash"].high) == pytest.approx((6750, 11250), rel=0.01)  # give or take a quarter


@pytest.mark.parametrize(
    ("worth", "expected"),
    [
        (None, "pays if an hour is worth more than that to you"),
        (1e5, "pays at your value of an hour"),
        (1, "does not pay at your value of an hour (as things stand, and in more than 99 of 100 cases)"),
    ],
)
def test_the_price_of_an_hour_stands_beside_what_an_hour_is_worth(worth: float | None, expected: str) -> None:
    data = season() if worth is None else season(value_of_time=worth)
    assert {one["words"] for one in rows(data)} == {expected}


def test_what_an_hour_is_worth_within_the_range_of_its_price_says_in_how_many_draws_it_pays() -> None:
    prices = [one["per_hour"] for one in rows(season(value_of_time=1))]
    worth = 1.1 * value(prices[0])
    told = rows(season(value_of_time=worth))[0]
    share = 100 * np.mean(told["per_hour"].number[1:] < worth)
    assert 50 < share < 99
    assert told["words"] == f"pays at your value of an hour (as things stand, and in {share:.0f} of 100 cases)"


def test_wood_that_is_bought_for_less_saves_both() -> None:
    row = rows(season(1))[0]
    assert value(row["cash_more"]) < 0
    assert words(row["per_hour"].basis) == "below 0: it saves both hours and cash"


def test_a_way_without_cash_says_why() -> None:
    data = season()
    del data["tools"][0]["price"]
    job = {BestFor.MONEY: (HAND, "Pile up")}
    (found,) = bought_wood_rows(season_rates(data), job)
    assert words(found["cash_more"].reason) == "By bow saw: needs the price of Bow saw"
    assert words(found["per_hour"].reason) == "By bow saw: needs the price of Bow saw"
    assert found["words"] is None
    assert value(found["hours_saved"]) > 0
    last = tables(data).tables["bought_wood"][-1]  # which way costs least cannot be told
    assert (last["best_for"], last["methods"]) == ("money", "")
    assert words(last["per_hour"].reason) == "By bow saw: needs the price of Bow saw"


def test_a_price_to_mend_keeps_back_what_hangs_on_it() -> None:
    found = rows(season(-5))
    assert [words(one["cash"].reason) for one in found] == ["needs Season!B11"] * 3
    assert [words(one["per_hour"].reason) for one in found] == ["needs Season!B11"] * 3
    assert value(found[0]["hours_saved"]) > 0


def test_a_job_of_stacking_alone_saves_no_hour() -> None:
    data = season()
    data["methods"] = data["methods"][2:]
    data["sessions"], data["cuts"] = data["sessions"][2:], []
    data["helpers"] = []
    (row,) = rows(data)
    assert words(row["per_hour"].reason) == "saves no hour"
