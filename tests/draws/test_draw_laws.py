"""Laws of the draws that hold for every figure of both demos and of the odd seasons.

A warning of numpy is an error here as in all tests: a division by 0 in a branch that is not taken would be one.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from unittest import mock

import numpy as np
import pytest
from season_draws import DEMOS, SEASONS, Drawn, computed, member, method_figures, money_figures, table_figures

from wood_xl.air import method as air_method
from wood_xl.air.accounts import ALL_ACCOUNTS, emission_accounts
from wood_xl.data.load import value
from wood_xl.draws.ensemble import WORLDS, Number, ends
from wood_xl.draws.figure import Figure, sum_of
from wood_xl.money.between import pairs
from wood_xl.money.cost import MONEY_FIGURES, MethodCost
from wood_xl.verdicts import BestFor

SAME = 1e-12
ALL = WORLDS.shape[0]


def chosen(members: np.ndarray) -> list[int]:
    """Some members, and those where the figure is least and greatest."""
    return [0, 1, 2, 777, 2048, ALL - 1, int(members.argmin()), int(members.argmax())]


def of_member(factors: Callable[[str], Number], k: int) -> Callable[[str], float]:
    return lambda constant_id: float(member(factors(constant_id), k))


def broadcast(number: object) -> np.ndarray:
    return np.broadcast_to(np.asarray(number, dtype=np.float64), WORLDS.shape)


def assert_ends(place: str, figure: Figure) -> None:
    """Value, ends and reason of a figure agree with its members."""
    if figure.value is None:
        assert (figure.low, figure.high, figure.members) == (None, None, None), place
        return
    has_both = figure.low is not None and figure.high is not None
    assert has_both or figure.reason is not None or figure.members is None, place
    assert figure.low is None or figure.low <= figure.value, (place, figure)
    assert figure.high is None or figure.value <= figure.high, (place, figure)
    if figure.members is not None:
        assert figure.members.shape == WORLDS.shape, place
        assert math.isclose(figure.members[0], figure.value, rel_tol=SAME), place
        low, high = ends(figure.members)
        for told, read in ((figure.low, low), (figure.high, high)):
            assert told is None or math.isclose(told, read, rel_tol=SAME), place


@pytest.mark.parametrize("name", SEASONS)
def test_every_figure_of_a_method_is_its_nominal_member_between_the_ends_of_the_others(name: str) -> None:
    known = computed(name).known
    for method, figure_id, figure in method_figures(known):
        assert_ends(f"{figure_id} of {method}", figure)
        if figure.value is not None:  # ends, or a reason for none
            assert (figure.low is not None and figure.high is not None) != (figure.reason is not None)


@pytest.mark.parametrize("name", SEASONS)
def test_every_figure_of_every_table_lies_between_the_ends_of_its_members(name: str) -> None:
    found = list(table_figures(computed(name).tables))
    assert found
    for place, figure in found:
        assert_ends(place, figure)


@pytest.mark.parametrize("name", SEASONS)
def test_money_of_each_member_is_what_plain_floats_give(name: str) -> None:
    known = computed(name).known
    for totals in known.study.totals:
        money = known.money(totals.method.name)
        if money.numbers.why is not None:
            continue
        for k in chosen(broadcast(money.money.cash)):
            alone = MethodCost(replace(money.numbers, inputs=member(money.inputs, k)), money.horizon_years)
            for figure_id in money_figures(known, totals):
                asked = MONEY_FIGURES[figure_id]
                there, here = broadcast(asked.amount(money))[k], asked.amount(alone)
                assert np.ndim(here) == 0
                assert math.isclose(there, here, rel_tol=SAME, abs_tol=SAME), (totals.method.name, figure_id, k)


@pytest.mark.parametrize("name", SEASONS)
def test_emissions_of_each_member_are_what_plain_floats_give(name: str) -> None:
    known = computed(name).known
    for totals in known.study.totals:
        emitted = known.emissions(totals.method.name)
        with mock.patch.object(air_method, "emission_accounts", wraps=emission_accounts) as asked:
            accounts = replace(emitted).accounts
        (amounts, choices), factors = asked.call_args.args, asked.call_args.kwargs["factor"]
        for k in chosen(broadcast(accounts.work_kg)):
            alone = emission_accounts(member(amounts, k), member(choices, k), factor=of_member(factors, k))
            for account in ALL_ACCOUNTS:
                there, here = broadcast(account.amount(accounts))[k], account.amount(alone)
                assert np.ndim(here) == 0
                assert math.isclose(there, here, rel_tol=SAME, abs_tol=SAME), (totals.method.name, account.id, k)


def test_the_demos_draw_what_the_laws_are_about() -> None:
    """Or the laws above would be vacuous."""
    figures = [figure for name in DEMOS for _, _, figure in method_figures(computed(name).known)]
    assert sum(figure.members is not None for figure in figures) > 150
    assert sum(len(list(pairs(computed(name).known))) for name in DEMOS) >= 5


def rows_by_pair(drawn: Drawn, table: str) -> dict[tuple[str, str], object]:
    return {(row["quicker"], row["slower"]): row for row in drawn.tables.tables[table]}


@pytest.mark.parametrize("name", SEASONS)
def test_differences_of_two_methods_are_differences_of_their_members(name: str) -> None:
    drawn = computed(name)
    rates = {row["method"]: row for row in drawn.tables.tables["rates_per_cord"]}
    for row in drawn.tables.tables["break_even"]:
        quick, slow = rates[row["quicker"]], rates[row["slower"]]
        if row["hours_saved"].members is not None:
            saved = slow["worker_hours"].number - quick["worker_hours"].number
            np.testing.assert_allclose(row["hours_saved"].members, saved, rtol=SAME, atol=SAME)
        if row["extra_cash"].members is not None:
            assert np.array_equal(row["extra_cash"].members, quick["cash"].number - slow["cash"].number)
        if row["hour_saved_cost"].members is not None:
            cost, hours = row["hour_saved_cost"].members, broadcast(row["hours_saved"].number)
            saves = hours > 0
            assert np.array_equal(saves, np.isfinite(cost))
            extra = broadcast(row["extra_cash"].number)
            np.testing.assert_allclose(cost[saves] * hours[saves], extra[saves], rtol=SAME, atol=SAME)


@pytest.mark.parametrize("name", DEMOS)
def test_at_the_volume_of_each_member_both_methods_cost_the_same(name: str) -> None:
    drawn, met_n = computed(name), 0
    rows = rows_by_pair(drawn, "break_even")
    for pair in pairs(drawn.known):
        row = rows[pair.quick.method.name, pair.slow.method.name]
        for figure, worth in ((row["volume_cash"], 0.0), (row["volume_time"], pair.hours_saved * pair.worth)):
            if figure.members is None:
                continue
            cords = figure.members / value("cord.volume_m3")
            meet = (cords > 0) & np.isfinite(cords)
            at = np.where(meet, cords, 1.0)
            quick, slow = (side.drawn.at_cords(at).cash for side in (pair.quick, pair.slow))
            assert np.abs((quick - slow - worth)[meet]).max(initial=0.0) < 1e-6
            met_n += int(meet.sum())
    assert met_n > ALL


@pytest.mark.parametrize("name", DEMOS)
def test_a_way_of_the_whole_job_is_the_sum_of_its_methods_in_every_member(name: str) -> None:
    tables = computed(name).tables.tables
    rates = {row["method"]: row for row in tables["rates_per_cord"]}
    for row in tables["combinations"]:
        for key in ("clock_hours", "worker_hours", "kcal_net", "cash", "cash_and_time", "co2e"):
            figure = row[key]
            if figure.members is None:
                continue
            parts = [rates[method][key] for method in row["methods"]]
            assert math.isclose(figure.value, math.fsum(part.value for part in parts), rel_tol=SAME)
            sums = sum(broadcast(part.number) for part in parts)
            np.testing.assert_allclose(figure.members, sums, rtol=SAME, atol=SAME)


@pytest.mark.parametrize("name", DEMOS)
def test_shared_doubt_cancels_in_the_difference_of_two_ways(name: str) -> None:
    tables = computed(name).tables.tables
    cash = {row["method"]: row["cash"] for row in tables["rates_per_cord"]}
    ways = {row["best_for"]: row for row in tables["combinations"]}
    wide, narrow = ways[BestFor.TIME], ways[BestFor.MONEY]
    one, other = wide["methods"], narrow["methods"]
    assert set(one) & set(other)
    apart = {method: 1.0 for method in one if method not in other}
    apart |= {method: -1.0 for method in other if method not in one}
    between = sum_of(cash, apart)
    whole = broadcast(wide["cash"].number) - broadcast(narrow["cash"].number)
    np.testing.assert_allclose(broadcast(between.number), whole, rtol=1e-9, atol=1e-9)
    widths = [way["cash"].high - way["cash"].low for way in (wide, narrow)]
    assert between.high - between.low < sum(widths)
