"""Ways of the whole job: what each is best for, the sums of its methods, and the order of its tasks."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from builders import Data, demo, records, season_cells
from few import few

from wood_xl.choice.advised import task_order
from wood_xl.choice.edge import FIGURES
from wood_xl.choice.winners import WHOLE_JOB
from wood_xl.draws.shared_factors import least_shares
from wood_xl.reasons import Reason, is_said
from wood_xl.verdicts import BestFor, Measure

Tables = dict[str, list[dict[str, Any]]]
HILL = "hill_farm_us"
BOW, CHAIN, MAUL, SPLITTER = "bow saw bucking", "chain saw bucking", "maul splitting", "electric splitting"
LEAST = {
    BestFor.TIME: (Measure.TIME, "worker_hours"),
    BestFor.MONEY: (Measure.MONEY, "cash"),
    BestFor.EFFORT: (Measure.EFFORT, "kcal_net"),
    BestFor.AIR: (Measure.AIR, "co2e"),
}


def season(hour: float | None = 18.0, **changes: Any) -> Data:
    data = demo(HILL)
    data["season"].pop("value_of_time", None)
    data["season"].update(changes if hour is None else {**changes, "value_of_time": hour})
    return data


def found(data: Data) -> Tables:
    return season_cells(records(data))


def by_what(tables: Tables) -> dict[BestFor, dict[str, Any]]:
    return {row["best_for"]: row for row in tables["combinations"]}


@pytest.mark.parametrize(
    ("hour", "bucking", "splitting"), few([(1.0, BOW, MAUL), (18.0, CHAIN, MAUL), (60.0, CHAIN, SPLITTER)])
)
def test_the_way_that_is_advised_follows_the_verdicts(hour: float, bucking: str, splitting: str) -> None:
    tables = found(season(hour))
    ways = by_what(tables)
    assert ways[BestFor.SUGGESTED]["methods"] == (bucking, splitting, "hand stacking")
    assert ways[BestFor.SUGGESTED]["methods"] == tuple(row["choice"] for row in tables["verdicts"])


def test_the_least_of_each_measure_is_that_of_the_winners_and_no_other_way_has_less() -> None:
    tables = found(season())
    ways = by_what(tables)
    assert list(ways) == [BestFor.SUGGESTED, *LEAST]
    whole = {row["measure"]: row["method"] for row in tables["winners"] if row["task"] == WHOLE_JOB}
    rates = {row["method"]: row for row in tables["rates_per_cord"]}
    others = [(saw, split, "hand stacking") for saw in (BOW, CHAIN) for split in (MAUL, SPLITTER)]
    for best_for, (measure, key) in LEAST.items():
        assert ways[best_for]["methods"] == whole[measure]
        sums = [math.fsum(rates[method][key].value for method in methods) for methods in others]
        assert ways[best_for][key].value == pytest.approx(min(sums))


def test_without_a_value_of_an_hour_nothing_is_advised_yet_and_the_tasks_are_named() -> None:
    tables = found(season(None))
    advised = by_what(tables)[BestFor.SUGGESTED]
    assert advised["methods"] == ()
    for key in FIGURES:
        assert advised[key].value is None
        assert is_said(advised[key].reason, Reason.NOT_ADVISED)
        assert advised[key].reason["tasks"] == ("bucking", "splitting")
    year = tables["combinations_year"][0]
    assert (year["best_for"], year["methods"], year["strain"]) == (BestFor.SUGGESTED, (), None)
    assert is_said(year["bought"].reason, Reason.NOT_ADVISED)
    assert is_said(year["energy_return"].reason, Reason.NOT_ADVISED)


def test_what_lacks_a_figure_is_no_winner_and_the_method_that_lacks_it_is_named() -> None:
    data = season()
    del data["tools"][2]["price"]
    money = by_what(found(data))[BestFor.MONEY]
    assert money["methods"] == ()
    assert (money["cash"].reason["method"], money["cash"].reason["why"].id) == (CHAIN, Reason.NO_PRICE_OF)


def test_where_each_task_has_one_method_there_is_one_way() -> None:
    data = season()
    for sheet in ("methods", "sessions"):
        data[sheet] = [row for row in data[sheet] if row["method"] not in (BOW, SPLITTER)]
    names = {row["session"] for row in data["sessions"]}
    for sheet in ("helpers", "cuts", "tally", "stacks", "heart_trace"):
        data[sheet] = [row for row in data[sheet] if row["session"] in names]
    tables = found(data)
    (only,) = tables["combinations"]
    assert (only["best_for"], only["methods"]) == (BestFor.ONLY, (CHAIN, MAUL, "hand stacking"))
    assert len(tables["combinations_year"]) == 1
    del data["tools"][2]["price"]
    (only,) = found(data)["combinations"]
    assert only["methods"] == (CHAIN, MAUL, "hand stacking")
    assert only["cash"].value is None
    assert only["worker_hours"].value is not None


@pytest.mark.slow
@pytest.mark.parametrize("heart_rates", [True, False])
def test_there_are_as_many_rows_with_body_data_as_without(heart_rates: bool) -> None:
    data = season(bought_cord_price=300)
    data["units"]["season"]["bought_cord_price"] = "per cord"
    if not heart_rates:
        data["people"], data["heart_trace"] = [], []
        for row in (*data["sessions"], *data["helpers"]):
            row.pop("mean_heart_rate", None)
    tables = found(data)
    sizes = [len(tables[table]) for table in ("combinations", "combinations_year", "bought_wood", "winners")]
    assert sizes == [5, 5, 3, 16]


def test_a_share_counts_the_draws_alone() -> None:
    # the nominal member is no draw
    assert least_shares([np.array([0.0, -5.0, -5.0]), np.array([-99.0, -5.0, 3.0])]) == [0.75, 0.25]
    draws = np.arange(4097.0)
    assert math.fsum(least_shares([draws, draws[::-1], np.full(draws.size, 99.0)])) == pytest.approx(1)


@pytest.mark.parametrize(
    ("first_days", "expected"),
    [
        ({"haul": "2025-03-01", "buck": "2025-03-08"}, ("haul", "buck")),
        ({"haul": "2025-03-08", "buck": "2025-03-08", "split": "2025-03-07"}, ("buck", "split", "haul")),
        ({"haul": "2025-05-08", "buck": "2025-03-08", "stack": "2025-05-01"}, ("buck", "stack", "haul")),
        ({"split": None, "haul": "2025-05-08", "buck": None, "fell": None}, ("haul", "fell", "buck", "split")),
    ],
)
def test_hauling_stands_where_the_season_put_it(first_days: dict[str, str | None], expected: tuple[str, ...]) -> None:
    assert task_order(first_days) == expected
