"""No figure has two values or two intervals: wherever it stands in the results, it is the same."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import pytest
from season_draws import DEMOS, SEASONS, computed

from wood_xl.air.accounts import DIRECT_CO2, ELECTRICITY_CO2E, ENGINE_GASES, TOOLS, UPSTREAM, WORK
from wood_xl.data.load import value
from wood_xl.draws.ensemble import ends
from wood_xl.hours.how_sure import FOLLOWING
from wood_xl.schema.model import results_definition
from wood_xl.schema.words import words
from wood_xl.units import convert

ENDS_TOLD = 1e-4  # half a unit in the fifth digit of each
NEAR = 1e-9  # the document tells 10 digits, so that a product of two of them may differ in the tenth
PLANNED = 1e-6  # what the solver leaves undecided
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
    """The second is so many times the first, with its ends."""
    assert (one["value"] is None) == (other["value"] is None), place
    for key in NUMBERS:
        if one[key] is None or other[key] is None:
            assert one[key] is None, (place, key)
            assert other[key] is None, (place, key)
        else:
            # An end that is told has 5 digits; the same quantity times a number may round to the neighbor.
            apart = near if key == "value" or times == 1.0 else max(near, ENDS_TOLD)
            assert math.isclose(times * one[key], other[key], rel_tol=apart, abs_tol=near), (place, key)


def yearly(name: str) -> float | None:
    return computed(name).known.study.yearly_cords


def letter_of(combination: str) -> str:
    return combination.partition(":")[0]


@pytest.mark.parametrize("name", SEASONS)
def test_figure_of_a_method_is_the_same_in_every_table(name: str) -> None:
    results = computed(name).results
    rates = by(results["rates_per_cord"], "method")
    assert rates
    for column, tables in SAME.items():
        for table in tables:
            for method, row in by(results[table], "method").items():
                assert_same(f"{column} of {method} in {table}", rates[method][column], row[column])
    titles = {column.title: column.id for column in results_definition().sheet("rates_per_cord").columns}
    for row in results["how_sure"]:
        column = titles[row["figure"]]
        assert_same(f"{column} of {row['method']}, how sure", rates[row["method"],][column], row["rate"])


@pytest.mark.parametrize("name", SEASONS)
def test_account_of_a_method_is_the_same_for_a_cord_and_for_a_year(name: str) -> None:
    results, cords = computed(name).results, yearly(name)
    columns = {words(account.title): column for account, column in ACCOUNT_COLUMNS.items()}
    per_cord = by(results["emissions_per_cord"], "method")
    for row in results["emissions"]:
        column = columns.get(row["account"])
        if column is not None:
            place = f"{row['account']} of {row['method']}"
            assert_same(place, per_cord[row["method"],][column], row["per_cord"])
        if cords is not None:
            assert_same(f"{row['account']} of {row['method']} in a year", row["per_cord"], row["year"], cords)


@pytest.mark.parametrize("name", SEASONS)
def test_money_of_a_year_is_that_of_a_cord_so_many_times(name: str) -> None:
    results, cords = computed(name).results, yearly(name)
    for row in results["money_totals"]:
        if cords is not None:
            assert_same(f"cash a year of {row['method']}", row["cash"], row["cash_per_year"], cords)


@pytest.mark.parametrize("name", SEASONS)
def test_combination_in_a_year_is_that_of_a_cord_so_many_times(name: str) -> None:
    results, cords = computed(name).results, yearly(name)
    in_a_year = by(results["combinations_year"], "combination")
    for row in results["combinations"]:
        for column in ("clock_hours", "worker_hours", "kcal_net", "cash", "cash_and_time", "co2e"):
            if cords is not None:
                place = f"{column} of {row['combination']} in a year"
                assert_same(place, row[column], in_a_year[row["combination"],][column], cords)


@pytest.mark.parametrize("name", SEASONS)
def test_combination_of_one_method_has_the_figures_of_the_method(name: str) -> None:
    results = computed(name).results
    rates = by(results["rates_per_cord"], "method")
    for row in results["combinations"]:
        if (row["methods"],) in rates:
            for column in ("clock_hours", "worker_hours", "kcal_net", "cash", "cash_and_time", "co2e"):
                place = f"{column} of {row['combination']}"
                assert_same(place, rates[row["methods"],][column], row[column])


@pytest.mark.parametrize("name", SEASONS)
def test_hours_saved_in_a_year_are_those_of_a_cord_so_many_times(name: str) -> None:
    results, cords = computed(name).results, yearly(name)
    paid = by(results["payback"], "quicker", "slower")
    for row in results["break_even"]:
        pair = row["quicker"], row["slower"]
        if cords is not None:
            assert_same(f"hours saved by {pair}", row["hours_saved"], paid[pair]["hours_saved_per_year"], cords)


@pytest.mark.parametrize("name", SEASONS)
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
            # What is seldom for one alone is no oftener for both: no end lies where both cannot be.
            assert extra["low"] > quick["cash"]["low"] - slow["cash"]["high"]
            assert extra["high"] < quick["cash"]["high"] - slow["cash"]["low"]


def steps(name: str) -> Iterator[tuple[Row, Row]]:
    """Each step of the frontier that changes the method of one task alone, with the row of these two methods."""
    results = computed(name).results
    combinations = by(results["combinations"], "combination")
    pairs = by(results["break_even"], "quicker", "slower")
    for row in results["hour_prices"]:
        slow, fast = (combinations[letter_of(row[side]),]["methods"].split(" + ") for side in ("slow", "fast"))
        others = [(one, other) for one, other in zip(fast, slow, strict=True) if one != other]
        if len(others) == 1:
            yield row, pairs[others[0]]


@pytest.mark.parametrize("name", DEMOS)
def test_price_of_an_hour_is_the_same_for_two_combinations_as_for_the_two_methods(name: str) -> None:
    found = list(steps(name))
    assert found
    for row, pair in found:
        place = f"step from {row['slow']} to {row['fast']}"
        assert_same(f"hours of the {place}", pair["hours_saved"], row["hours_saved"])
        assert_same(f"cash of the {place}", pair["extra_cash"], row["cash_more"])
        assert_same(f"price of the {place}", pair["hour_saved_cost"], row["per_hour"])


@pytest.mark.parametrize("name", DEMOS)
def test_method_in_the_plan_is_that_of_a_cord_so_many_times(name: str) -> None:
    results = computed(name).results
    rates = by(results["rates_per_cord"], "method")
    sums: dict[str, list[float]] = defaultdict(list)
    for row in results["plan_mix"]:
        volume = row["volume"]
        cords = convert(volume["value"], volume["unit"], "cord")
        for column in SUMMED:
            assert_same(f"{column} of {row['method']}", rates[row["method"],][column], row[column], cords)
            sums[column].append(row[column]["value"])
    for column, parts in sums.items():
        assert results["plan"][column]["value"] == pytest.approx(math.fsum(parts), rel=NEAR)


@pytest.mark.parametrize("name", DEMOS)
def test_plan_of_one_combination_is_the_combination_so_many_times(name: str) -> None:
    results, met_n = computed(name).results, 0
    combinations = {row["methods"].replace(" + ", ", "): row for row in results["combinations"]}
    for row in results["plan_volumes"]:
        if row["mix"] not in combinations:
            continue
        times = convert(row["made"]["value"], row["made"]["unit"], "cord")
        for column in SUMMED:
            place = f"{column} of {row['what']}"
            assert_same(place, combinations[row["mix"]][column], row[column], times, near=PLANNED)
            met_n += 1
    assert met_n


@pytest.mark.parametrize("name", SEASONS)
def test_energy_that_is_bought_is_the_same_in_every_unit(name: str) -> None:
    results = computed(name).results
    energy = by(results["bought_energy"], "method")
    for row in results["energy_return"]:
        bought = energy[row["method"],]["bought"]
        in_unit = convert(1.0, bought["unit"], row["bought"]["unit"])
        assert_same(f"energy of {row['method']}", bought, row["bought"], in_unit)
        in_kcal = convert(1.0, bought["unit"], "MJ") * 1e6 / value("unit.kcal")
        assert_same(f"kcal of {row['method']}", bought, energy[row["method"],]["bought_kcal"], in_kcal)


@pytest.mark.parametrize("name", SEASONS)
def test_electricity_is_the_same_in_kwh_and_in_energy(name: str) -> None:
    results = computed(name).results
    carriers, energy = by(results["carriers"], "method"), by(results["bought_energy"], "method")
    for method, row in carriers.items():
        kwh, mj = row["electricity"], energy[method]["electricity"]
        assert_same(f"electricity of {method}", kwh, mj, convert(1.0, kwh["unit"], mj["unit"]))


@pytest.mark.parametrize("name", DEMOS)
def test_what_a_plan_buys_is_what_a_cord_takes_so_many_times(name: str) -> None:
    """The list has gasoline and oil of a mix on a line each; the money of a cord has them together."""
    tables = computed(name).tables.tables
    money = {row.method: row for row in tables["money_per_cord"]}
    asked = 0
    for planned in tables["plan_mix"]:
        cords = planned.volume.value / value("cord.volume_m3")
        lines = [row for row in tables["shopping"] if row.purpose == planned.method]
        if not lines:
            continue
        row = money[planned.method]
        spent = cords * sum(np.asarray(part.number) for part in (row.fuel, row.bar_oil, row.electricity))
        bought = sum(np.asarray(line.cost.number) for line in lines)
        assert bought[0] == pytest.approx(spent[0], rel=PLANNED)
        np.testing.assert_allclose(bought, spent, rtol=PLANNED)
        asked += 1
    assert asked


@pytest.mark.parametrize("name", SEASONS)
def test_ratio_of_two_methods_is_that_of_their_figures_in_every_draw(name: str) -> None:
    tables = computed(name).tables.tables
    rates = {row.method: row for row in tables["rates_per_cord"]}
    least = {(row.method, row.figure): row.least.value for row in tables["how_sure"]}
    tried_n = Counter(row.task for row in tables["rates_per_cord"] if row.sessions_n)
    for row in tables["comparisons"]:
        if row.ratio.low is None or row.ratio.high is None:
            continue
        more, less = (rates[method].figure_of(row.figure) for method in (row.more, row.less))
        low, high = ends(np.asarray(more.number) / np.asarray(less.number))
        assert row.ratio.value == pytest.approx(more.value / less.value, rel=NEAR)
        by_draws = row.figure in FOLLOWING
        # Of one amount the ends are the model's own: draws of two methods agree as far as tails tell.
        near = NEAR * row.ratio.value if by_draws else 0.2 * (row.ratio.high - row.ratio.low)
        assert (row.ratio.low, row.ratio.high) == (pytest.approx(low, abs=near), pytest.approx(high, abs=near))
        if tried_n[row.task] == 2:
            chance = 1e-6 if by_draws else 1.5
            assert row.takes_less.value == pytest.approx(least[row.less, row.figure], abs=chance)


@pytest.mark.parametrize("name", DEMOS)
def test_lead_of_the_best_is_the_difference_of_the_points(name: str) -> None:
    tables = computed(name).tables.tables
    points = sorted(row.points.value for row in tables["combinations"] if row.points.value is not None)
    leads = {row.lead.value for row in tables["choice_swings"]}
    assert len(leads) == 1
    lead = leads.pop()
    assert any(lead == pytest.approx(other - points[0], rel=NEAR) for other in points[1:])
    for row in tables["choice_swings"]:
        assert row.lead_at_low.value <= lead <= row.lead_at_high.value or (
            row.lead_at_high.value <= lead <= row.lead_at_low.value
        )


@pytest.mark.parametrize("name", SEASONS)
def test_no_id_of_a_figure_stands_twice(name: str) -> None:
    ids = [row["id"] for row in computed(name).results["figures"]]
    assert ids
    assert len(ids) == len(set(ids))
