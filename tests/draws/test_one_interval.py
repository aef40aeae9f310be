"""No figure has two values or two intervals: wherever it stands in the results, it is the same."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pytest
from few import together
from figures import rows_of
from season_draws import DEMOS, SEASONS, computed

from wood_xl.air.accounts import DIRECT_CO2, ELECTRICITY_CO2E, ENGINE_GASES, TOOLS, UPSTREAM, WORK
from wood_xl.data.load import value
from wood_xl.draws.ensemble import ends
from wood_xl.hours.how_sure import FOLLOWING
from wood_xl.schema.model import results_definition
from wood_xl.units import convert

ENDS_TOLD = 1e-4  # half a unit in the fifth digit of each
NEAR = 1e-9  # the document has 10 digits, so a product of two numbers may differ in the tenth
PLANNED = 1e-6  # tolerance of the solver
NUMBERS = ("value", "low", "high")
SUMMED = ("worker_hours", "kcal_net", "cash", "co2e")
SAME = {  # column of the rates to where else it stands, of the same method for a cord
    "worker_hours": ("money_totals",),
    "cash": ("money_per_cord", "money_totals", "money_views"),
    "own_time": ("money_totals",),
    "cash_and_time": ("money_totals",),
    "co2e": ("emissions_per_cord",),
}
ACCOUNT_COLUMNS = {
    DIRECT_CO2: "direct_co2",
    ENGINE_GASES: "engine_gases",
    UPSTREAM: "upstream",
    ELECTRICITY_CO2E: "electricity",
    TOOLS: "tools",
    WORK: "co2e",
}

Figure = Mapping[str, Any]
Row = Mapping[str, Any]


def by(rows: Sequence[Row], *columns: str) -> dict[tuple[str, ...], Row]:
    return {tuple(row[column] for column in columns): row for row in rows}


def assert_same(place: str, one: Figure, other: Figure, times: float = 1.0, near: float = NEAR) -> None:
    """The second figure is so many times the first, with its ends."""
    assert (one["value"] is None) == (other["value"] is None), place
    for key in NUMBERS:
        if one[key] is None or other[key] is None:
            assert one[key] is None, (place, key)
            assert other[key] is None, (place, key)
        else:
            # A printed end has 5 digits; a multiple of it may round to the neighbor.
            apart = near if key == "value" or times == 1.0 else max(near, ENDS_TOLD)
            assert math.isclose(times * one[key], other[key], rel_tol=apart, abs_tol=near), (place, key)


def yearly(name: str) -> float | None:
    return computed(name).known.study.yearly_cords


@together("name", SEASONS)
def test_figure_of_a_method_is_the_same_in_every_table(name: str) -> None:
    results = computed(name).results
    rates = by(results["rates_per_cord"], "method")
    assert rates
    for column, tables in SAME.items():
        for table in tables:
            for method, row in by(results.get(table) or rows_of(results, table), "method").items():
                assert_same(f"{column} of {method} in {table}", rates[method][column], row[column])
    titles = {column.title: column.id for column in results_definition().sheet("rates_per_cord").columns}
    for row in results["how_sure"]:
        column = titles[row["figure"]]
        assert_same(f"{column} of {row['method']}, how sure", rates[row["method"],][column], row["rate"])


@together("name", SEASONS)
def test_account_of_a_method_is_the_same_for_a_cord_and_for_a_year(name: str) -> None:
    results, cords = computed(name).results, yearly(name)
    columns = {account.title.key: column for account, column in ACCOUNT_COLUMNS.items()}
    per_cord = by(results["emissions_per_cord"], "method")
    for row in rows_of(results, "emissions"):
        column = columns.get(row["what"])
        if column is not None:
            place = f"{row['what']} of {row['method']}"
            assert_same(place, per_cord[row["method"],][column], row["per_cord"])
        if cords is not None:
            assert_same(f"{row['what']} of {row['method']} in a year", row["per_cord"], row["year"], cords)


@together("name", SEASONS)
def test_money_of_a_year_is_that_of_a_cord_so_many_times(name: str) -> None:
    results, cords = computed(name).results, yearly(name)
    for row in rows_of(results, "money_totals"):
        if cords is not None:
            assert_same(f"cash a year of {row['method']}", row["cash"], row["cash_per_year"], cords)


@together("name", SEASONS)
def test_combination_in_a_year_is_that_of_a_cord_so_many_times(name: str) -> None:
    results, cords = computed(name).results, yearly(name)
    in_a_year = by(results["combinations_year"], "best_for")
    for row in results["combinations"]:
        for column in ("clock_hours", "worker_hours", "kcal_net", "cash", "cash_and_time", "co2e"):
            if cords is not None:
                place = f"{column} of {row['best_for']} in a year"
                assert_same(place, row[column], in_a_year[row["best_for"],][column], cords)


@together("name", SEASONS)
def test_combination_of_one_method_has_the_figures_of_the_method(name: str) -> None:
    results = computed(name).results
    rates = by(results["rates_per_cord"], "method")
    for row in results["combinations"]:
        if (row["methods"],) in rates:
            for column in ("clock_hours", "worker_hours", "kcal_net", "cash", "cash_and_time", "co2e"):
                place = f"{column} of {row['best_for']}"
                assert_same(place, rates[row["methods"],][column], row[column])


@together("name", SEASONS)
def test_hours_saved_in_a_year_are_those_of_a_cord_so_many_times(name: str) -> None:
    results, cords = computed(name).results, yearly(name)
    paid = by(results["payback"], "quicker", "slower")
    for row in results["break_even"]:
        pair = row["quicker"], row["slower"]
        if cords is not None:
            assert_same(f"hours saved by {pair}", row["hours_saved"], paid[pair]["hours_saved_per_year"], cords)


@together("name", SEASONS)
def test_values_between_two_methods_are_the_differences_of_their_own(name: str) -> None:
    results = computed(name).results
    rates = by(results["rates_per_cord"], "method")
    for row in results["break_even"]:
        quick, slow = rates[row["quicker"],], rates[row["slower"],]
        hours = slow["worker_hours"]["value"] - quick["worker_hours"]["value"]
        assert row["hours_saved"]["value"] == pytest.approx(hours, rel=NEAR, abs=NEAR)
        extra = row["extra_cash"]
        if extra["value"] is not None:
            cash = quick["cash"]["value"] - slow["cash"]["value"]
            assert extra["value"] == pytest.approx(cash, abs=NEAR * (quick["cash"]["value"] + slow["cash"]["value"]))
        if extra["low"] is not None and quick["cash"]["low"] is not None and slow["cash"]["low"] is not None:
            # What is rare for one alone is no more frequent for both: no end lies where both cannot be.
            assert extra["low"] > quick["cash"]["low"] - slow["cash"]["high"]
            assert extra["high"] < quick["cash"]["high"] - slow["cash"]["low"]


@together("name", SEASONS)
def test_between_two_ways_is_the_difference_of_their_own_in_every_draw(name: str) -> None:
    tables = computed(name).tables.tables
    rates = {row["method"]: row for row in tables["rates_per_cord"]}
    for row in tables["exchange"]:
        quick, cheap = rates[row["method"]], rates[row["instead_of"]]
        differences = (
            (row["hours_saved"], cheap["worker_hours"], quick["worker_hours"]),
            (row["kcal_saved"], cheap["kcal_net"], quick["kcal_net"]),
            (row["cash_more"], quick["cash"], cheap["cash"]),
            (row["co2e_more"], quick["co2e"], cheap["co2e"]),
        )
        for between, more, less in differences:
            if between.value is not None:
                apart = np.asarray(more.number) - np.asarray(less.number)
                np.testing.assert_allclose(np.asarray(between.number), apart, rtol=NEAR, atol=NEAR)
                if between.members is not None:
                    assert (between.low, between.high) == pytest.approx(ends(between.members))


@pytest.mark.parametrize("name", DEMOS)
def test_the_cost_of_a_saved_hour_is_the_same_in_every_table(name: str) -> None:
    results = computed(name).results
    pairs = by(results["break_even"], "quicker", "slower")
    told = by(results["exchange"], "method", "instead_of")
    assert told
    for both, row in told.items():
        assert_same(f"hours saved by {both}", pairs[both]["hours_saved"], row["hours_saved"])
        assert_same(f"cash more of {both}", pairs[both]["extra_cash"], row["cash_more"])
        assert_same(f"price of an hour of {both}", pairs[both]["hour_saved_cost"], row["hour"])
    for verdict in results["verdicts"]:
        flips = [row["flip"] for row in told.values() if row["task"] == verdict["task"]]
        assert verdict["flip"]["value"] is None or verdict["flip"] in flips


@pytest.mark.parametrize("name", DEMOS)
def test_method_in_the_plan_is_that_of_a_cord_so_many_times(name: str) -> None:
    results = computed(name).results
    rates, views = (by(results[table], "method") for table in ("rates_per_cord", "money_views"))
    sums: dict[str, list[float]] = defaultdict(list)
    for row in results["plan_mix"]:
        volume = row["volume"]
        cords = convert(volume["value"], volume["unit"], "cord")
        for column in SUMMED:
            one = rates[row["method"],][column]
            if column == "cash":  # of next season, without the price paid for owned tools
                one = views[row["method"],]["avoidable"]
            assert_same(f"{column} of {row['method']}", one, row[column], cords)
            sums[column].append(row[column]["value"])
    for column, parts in sums.items():
        assert results["plan"][column]["value"] == pytest.approx(math.fsum(parts), rel=NEAR)


@pytest.mark.parametrize("name", DEMOS)
def test_mix_of_a_volume_that_is_planned_is_that_of_the_plan(name: str) -> None:
    results = computed(name).results
    assert results["plan"]["departures"].startswith("It follows the verdict of every task.")
    made = {row["what"]: row for row in rows_of(results, "plan_volumes")}
    for what, times in (("all", 1.0), ("half", 0.5)):
        for column in SUMMED:
            assert_same(f"{column} {what}", results["plan"][column], made[what][column], times, near=PLANNED)


@together("name", SEASONS)
def test_energy_that_is_bought_is_the_same_in_every_unit(name: str) -> None:
    results = computed(name).results
    energy = by(rows_of(results, "bought_energy"), "method")
    for row in rows_of(results, "energy_return"):
        bought = energy[row["method"],]["bought"]
        in_unit = convert(1.0, bought["unit"], row["bought"]["unit"])
        assert_same(f"energy of {row['method']}", bought, row["bought"], in_unit)
        in_kcal = convert(1.0, bought["unit"], "MJ") * 1e6 / value("unit.kcal")
        assert_same(f"kcal of {row['method']}", bought, energy[row["method"],]["bought_kcal"], in_kcal)


@together("name", SEASONS)
def test_electricity_is_the_same_in_kwh_and_in_energy(name: str) -> None:
    results = computed(name).results
    carriers, energy = by(rows_of(results, "carriers"), "method"), by(rows_of(results, "bought_energy"), "method")
    for method, row in carriers.items():
        kwh, mj = row["electricity"], energy[method]["electricity"]
        assert_same(f"electricity of {method}", kwh, mj, convert(1.0, kwh["unit"], mj["unit"]))


@pytest.mark.parametrize("name", DEMOS)
def test_what_a_plan_buys_is_what_a_cord_takes_so_many_times(name: str) -> None:
    """The list has gasoline and oil of a mix on a line each; the money of a cord has them together."""
    tables = computed(name).tables.tables
    money = {row["method"]: row for row in tables["money_per_cord"]}
    asked = 0
    for planned in tables["plan_mix"]:
        cords = planned["volume"].value / value("cord.volume_m3")
        lines = [row for row in tables["shopping"] if row["purpose"] == planned["method"]]
        if not lines:
            continue
        row = money[planned["method"]]
        spent = cords * sum(np.asarray(part.number) for part in (row["fuel"], row["bar_oil"], row["electricity"]))
        bought = sum(np.asarray(line["cost"].number) for line in lines)
        assert bought[0] == pytest.approx(spent[0], rel=PLANNED)
        np.testing.assert_allclose(bought, spent, rtol=PLANNED)
        asked += 1
    assert asked


@together("name", SEASONS)
def test_ratio_of_two_methods_is_that_of_their_figures_in_every_draw(name: str) -> None:
    tables = computed(name).tables.tables
    rates = {row["method"]: row for row in tables["rates_per_cord"]}
    least = {(row["method"], row["figure"]): row["least"].value for row in tables["how_sure"]}
    tried_n = Counter(row["task"] for row in tables["rates_per_cord"] if row["sessions_n"])
    for row in tables["comparisons"]:
        if row["ratio"].low is None or row["ratio"].high is None:
            continue
        more, less = (rates[method][row["figure"]] for method in (row["more"], row["less"]))
        low, high = ends(np.asarray(more.number) / np.asarray(less.number))
        assert row["ratio"].value == pytest.approx(more.value / less.value, rel=NEAR)
        by_draws = row["figure"] in FOLLOWING
        # Of one amount the ends are the model's own: draws of two methods agree as far as tails tell.
        near = NEAR * row["ratio"].value if by_draws else 0.2 * (row["ratio"].high - row["ratio"].low)
        assert (row["ratio"].low, row["ratio"].high) == (pytest.approx(low, abs=near), pytest.approx(high, abs=near))
        if tried_n[row["task"]] == 2:
            chance = 1e-6 if by_draws else 1.5
            assert row["takes_less"].value == pytest.approx(least[row["less"], row["figure"]], abs=chance)


@together("name", SEASONS)
def test_no_id_of_a_figure_stands_twice(name: str) -> None:
    ids = [row["id"] for row in computed(name).results["figures"]]
    assert ids
    assert len(ids) == len(set(ids))
