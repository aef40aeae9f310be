"""The traps of figures that are arrays, each by its rule.

Those of the last bits, of the root in every member and of names are laws of their own: ``test_draw_laws.py`` and
``test_draw_keys.py``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
import pytest
from builders import Data, records, small_season
from few import together
from season_draws import DEMOS, SEASONS, computed, method_figures, rates_of, table_figures, tried

from wood_xl.draws.ensemble import WORLDS, ends
from wood_xl.draws.figure import TAKES_NONE, Figure
from wood_xl.draws.inputs import by_range, evenly
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.money.between import LEAST_CORDS, MOST_CORDS, UNMOVED, break_even_row, pairs, payback_row
from wood_xl.money.break_even import break_even_volumes, first_volumes, hour_saved_cost
from wood_xl.money.inputs import CASH_PARTS
from wood_xl.reasons import Reason, Said
from wood_xl.results.document import END_DIGITS
from wood_xl.verdicts import BestFor

BEYOND = 0.025  # share of the draws beyond one end
LOUD = {"divide": "raise", "over": "raise", "invalid": "raise"}
OF_SESSIONS = ("sessions", "session_emissions", "efforts", "strain", "exposures", "traces")


def without_interest(data: Data) -> None:
    data["season"]["real_interest_rate"] = 0


def interest_below_0(data: Data) -> None:
    data["season"]["real_interest_rate"] = -2


def unused_tool(data: Data) -> None:
    data["tools"].append({"tool": "Wedge", "kind": "hand", "price": 150, "life_years": 20})


def tool_without_hours(data: Data) -> None:
    data["sessions"][1]["running_time"] = 0
    data["units"]["sessions"]["running_time"] = "min"


def free_tool(data: Data) -> None:
    data["tools"][1]["price"] = 0


def worth_nothing(data: Data) -> None:
    data["tools"][0].update(held="own", worth_today=0, years_left=3)
    data["units"]["tools"] |= {"worth_today": "money", "years_left": "years"}


EDGES = (without_interest, interest_below_0, unused_tool, tool_without_hours, free_tool, worth_nothing)


def all_rows(known: SeasonRates) -> Iterator[Figure]:
    yield from (figure for _, _, figure in method_figures(known))
    for row in (row_of(pair) for pair in pairs(known) for row_of in (break_even_row, payback_row)):
        yield from (cell for cell in row.values() if isinstance(cell, Figure))


@together("change", EDGES)
def test_trap_1_the_unused_branch_is_computed_too(change: Callable[[Data], None]) -> None:
    data = small_season()
    change(data)
    with np.errstate(**LOUD):  # type: ignore[arg-type]
        figures = list(all_rows(rates_of(records(data))))
    given = [figure for figure in figures if figure.value is not None]
    assert len(given) > 40
    for figure in given:
        assert not math.isnan(figure.value)
        assert figure.members is None or not np.isnan(figure.members).any()


def test_trap_2_records_of_arrays_compare_by_identity() -> None:
    known = computed(DEMOS[0]).known
    inputs = known.money(tried(known)[0].method.name).inputs
    for record in (inputs, inputs.tools[0]):
        twin = replace(record)
        assert twin != record  # comparing arrays would raise
        assert len({record, twin}) == 2


def test_trap_5_nothing_is_interpolated_toward_infinity() -> None:
    finite_n = WORLDS.shape[0] - 1
    for lacking in (
        0,
        1,
        101,
        103,
        104,
        finite_n,
    ):  # 102 are 2.49 %: the end lies between a draw and one that lacks it
        members = np.append(5.0, np.linspace(1.0, 2.0, finite_n))
        members[members.size - lacking :] = math.inf
        low, high = ends(members)
        assert high == math.inf or high <= 2.0
        assert (high == math.inf) == (lacking > BEYOND * finite_n)
        assert not math.isnan(low)
    assert ends(np.array([1.0, math.inf, math.inf, math.inf]), 0.0) == (math.inf, math.inf)
    assert ends(np.array([1.0, 0.0, 0.0, 3.0]), 0.0) == (0.0, 0.0)


def test_trap_5_roots_tell_never_from_always() -> None:
    slopes = np.array([1.0, 1.0, -1.0, 2.0])
    starts = np.array([-5.0, 3.0, -3.0, -8.0])
    found = first_volumes(lambda cords: starts + slopes * cords, least=0.1, most=1000.0)
    assert found[:3] == pytest.approx([5.0, math.inf, 0.0])
    assert found[3] == pytest.approx(4.0)


def test_trap_5_a_method_that_pays_between_two_near_volumes_does_so_in_the_draws() -> None:
    """Where a life in hours ends, or one more hour of rent begins, a way may pay for a short range of volumes."""
    asked = {"least": 0.01, "most": 1000.0}
    first, *_ = break_even_volumes(lambda cords: (cords - 10.4) * (cords - 12.4), **asked)
    assert first == pytest.approx(10.4)
    found = first_volumes(lambda cords: (cords - 10.4) * (cords - 12.4) * np.ones(3), **asked)
    assert found == pytest.approx([10.4] * 3)


def test_trap_5_shares_of_never_and_always_are_those_of_the_draws() -> None:
    """By trying many volumes, not by the search behind the figure."""
    assert sum(map(_met_n, DEMOS))


def _met_n(name: str) -> int:
    known, met_n = computed(name).known, 0
    rows = {(row["quicker"], row["slower"]): row for row in computed(name).tables.tables["break_even"]}
    for pair in pairs(known):
        figure = rows[pair.quick.method.name, pair.slow.method.name]["volume_cash"]
        if figure.value is None:
            continue
        volumes = np.geomspace(LEAST_CORDS, MOST_CORDS, 120)
        extra = np.array([pair.extra_cash_at(float(cords))[1:] for cords in volumes])
        never, always = 100 * np.mean((extra > 0).all(axis=0)), 100 * np.mean((extra <= 0).all(axis=0))
        told = dict(figure.reason.facts) if isinstance(figure.reason, Said) else {}
        for share, key in ((never, "never"), (always, "always")):
            shown = told.get(key, told.get("percent") if share > 100 * BEYOND else None)
            if shown is not None:
                assert shown == pytest.approx(share, abs=1.0)
                met_n += 1
    return met_n


def test_trap_6_a_ratio_over_0_has_no_ends_where_too_many_draws_save_nothing() -> None:
    seen = set()
    for name in SEASONS:
        for row in computed(name).tables.tables["break_even"]:
            saved, cost = row["hours_saved"].members, row["hour_saved_cost"]
            if saved is None or cost.value is None:
                continue
            lacks = bool(np.mean(saved[1:] <= 0) > BEYOND)
            if row["extra_cash"].members is not None:
                assert (cost.low is None or cost.high is None) == lacks, (name, row["quicker"])
                assert lacks == (cost.reason is not None and cost.reason.id is Reason.MAY_SAVE_NO_HOUR)
                seen.add(lacks)
    assert seen == {True, False}


def test_trap_6_the_draws_that_save_nothing_are_not_left_out() -> None:
    saved = np.array([2.0, 1.0, 0.0, -1.0, 4.0])
    cost = hour_saved_cost(extra_cash=np.full(5, 8.0), hours_saved=saved)
    assert cost.tolist() == [4.0, 8.0, math.inf, math.inf, 2.0]


def test_trap_7_the_least_of_several_is_followed_as_it_was_chosen() -> None:
    """Chosen anew in each draw, the least would seem smaller and surer than any method is."""
    tables = computed("lake_cabin_metric").tables.tables
    ways = [row for row in tables["combinations"] if row["methods"]]
    by_time = [row["worker_hours"] for row in ways]
    best = min(by_time, key=lambda figure: figure.value)
    anew = np.min([figure.members for figure in by_time], axis=0)
    assert anew[0] == pytest.approx(best.value, rel=1e-12)
    low, high = ends(anew)
    assert high < best.high
    assert low <= best.low
    (winner,) = (row for row in ways if row["best_for"] is BestFor.TIME)
    assert winner["worker_hours"] is best


@pytest.mark.parametrize("name", DEMOS)
def test_trap_8_the_nominal_is_no_median_and_nothing_is_centred(name: str) -> None:
    figures = [
        row["cash"] for row in computed(name).tables.tables["rates_per_cord"] if row["cash"].members is not None
    ]
    assert len(figures) > 3
    ranks = [float(np.mean(figure.members[1:] < figure.value)) for figure in figures]
    assert all(0.2 < rank < 0.5 for rank in ranks)
    assert min(ranks) < 0.45
    for figure in figures:  # more above than below
        assert figure.high - figure.value > figure.value - figure.low


@together("name", SEASONS)
def test_trap_9_parts_add_up_in_every_draw_and_their_ends_do_not(name: str) -> None:
    known = computed(name).known
    for totals in tried(known):
        parts = [known.figure(totals, part) for part in CASH_PARTS]
        cash = known.figure(totals, "cash")
        if cash.members is None:
            continue
        sums = sum(np.asarray(part.number) for part in parts)
        np.testing.assert_allclose(sums, cash.members, rtol=1e-12, atol=1e-12)
        unsure = [part for part in parts if part.members is not None]
        if len(unsure) > 1:
            lows, highs = (
                math.fsum(part.value if end is None else end for part, end in both)
                for both in ([(p, p.low) for p in parts], [(p, p.high) for p in parts])
            )
            assert lows < cash.low < cash.high < highs


@together("name", SEASONS)
def test_trap_10_an_amount_of_0_stays_a_number_with_a_reason(name: str) -> None:
    known = computed(name).known
    for method, figure_id, figure in method_figures(known):
        if figure.value == 0:
            assert (figure.low, figure.high, figure.members) == (None, None, None), (method, figure_id)
            assert figure.reason is not None, (method, figure_id)
        money = known.money(method)
        if money is not None and figure.value == 0 and figure_id in ("fuel", "bar_oil", "electricity"):
            assert np.ndim(getattr(money.money, figure_id)) == 0, (method, figure_id)
            assert figure.reason == TAKES_NONE


def free_tools() -> Data:
    data = small_season()
    data["upkeep"].clear()
    data["tools"] = [{"tool": name, "kind": "hand", "price": 0} for name in ("Bow saw", "Chain saw")]
    for session in data["sessions"]:
        session.pop("fuel_used", None)
    return data


def test_trap_10_a_difference_without_draws_has_no_ends_and_says_so() -> None:
    known = rates_of(records(free_tools()))
    for totals in tried(known):
        cash = known.figure(totals, "cash")
        assert (cash.value, cash.members, cash.reason) == (0.0, None, TAKES_NONE)
    (row,) = map(break_even_row, pairs(known))
    assert (row["extra_cash"].value, row["extra_cash"].low, row["extra_cash"].reason) == (0.0, None, UNMOVED)
    assert row["hours_saved"].members is not None


def test_trap_10_a_range_that_could_pass_the_bounds_is_refused() -> None:
    for low, base, high in ((0.0, 1.0, 2.0), (-1.0, 1.0, 2.0), (1.5, 1.0, 2.0), (0.5, 3.0, 2.0)):
        with pytest.raises(ValueError, match=r"above 0|lies outside"):
            by_range("a", base, low, high)
    with pytest.raises(ValueError, match="lies outside"):
        evenly("a", 3.0, 1.0, 2.0)
    assert by_range("a", 1.0, 0.5, 2.0).min() > 0


@pytest.mark.parametrize("name", DEMOS)
def test_trap_11_noise_of_the_last_bits_changes_no_printed_end(name: str) -> None:
    noise = 1 + 1e-13 * np.resize([1.0, -1.0, -1.0, 1.0, 0.0, -1.0, 1.0], WORLDS.shape)
    told_n = 0
    for place, figure in table_figures(computed(name).tables):
        if figure.members is None or figure.low is None or figure.high is None:
            continue
        moved = ends(figure.members * noise)
        for one, other in zip((figure.low, figure.high), moved, strict=True):
            assert f"{one:.{END_DIGITS}g}" == f"{other:.{END_DIGITS}g}", place
            told_n += 1
    assert told_n > 400


@pytest.mark.parametrize("share", [0.95, 0.6826, 0.0])
def test_trap_11_an_end_is_the_published_percentile_of_the_sorted_draws(share: float) -> None:
    members = np.append(1e9, 3.0 + np.sin(np.arange(1, WORLDS.shape[0]) ** 1.5))
    places = [(1 - share) / 2, (1 + share) / 2]
    assert ends(members, share) == pytest.approx(np.quantile(members[1:], places, method="hazen"), rel=1e-14)


@together("name", SEASONS)
def test_trap_12_no_share_of_the_draws_is_printed_as_certain(name: str) -> None:
    tables = computed(name).tables.tables
    columns = (
        ("how_sure", "least"), ("comparisons", "takes_less"),
        ("comparisons", "beyond_margin"), ("comparisons", "within_margin"),
    )  # fmt: skip
    shares = [row[column].value for table, column in columns for row in tables[table]]
    assert all(0.0999 < share < 99.9001 for share in shares if share is not None)
    if name in DEMOS:
        assert max(share for share in shares if share is not None) == pytest.approx(99.9)


@together("name", SEASONS)
def test_trap_13_rows_of_sessions_let_their_members_go(name: str) -> None:
    found = [(p, figure) for p, figure in table_figures(computed(name).tables) if p.split()[0] in OF_SESSIONS]
    assert found
    assert [place for place, figure in found if figure.members is not None] == []
    if name in DEMOS:
        assert any(figure.low is not None for _, figure in found)


def test_trap_13_a_figure_is_as_large_as_its_members() -> None:
    known = computed(DEMOS[0]).known
    figure = known.figure(tried(known)[0], "cash")
    assert figure.members.dtype == np.float64
    assert figure.members.nbytes == 8 * WORLDS.shape[0] < 33_000
    assert figure.let_go() == figure
    assert figure.let_go().members is None
