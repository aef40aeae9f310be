"""Combinations and the choice among them, by hand-worked cases and by the slow, sure way."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
import pytest

from wood_xl.choice import points as choice
from wood_xl.choice.combining import MethodRates, combinations, task_order
from wood_xl.draws.shared_factors import least_shares
from wood_xl.reasons import Reason, Said, said

HOURS_AND_CASH = ("hours", "cash")


def points_by(rows: Sequence[tuple[float, ...]], weights: Sequence[float]) -> list[float]:
    return choice.weighted_points(rows=rows, weights=weights, means=choice.criterion_means(rows=rows))


NO_PRICE = said(Reason.NO_PRICE)


def method(name: str, task: str, hours: float | Said, cash: float | Said) -> MethodRates:
    return MethodRates(name, task, {"hours": hours, "cash": cash})


BOW, CHAIN = method("bow", "buck", 6.0, 5.0), method("chain", "buck", 2.0, 25.0)
MAUL, MACHINE = method("maul", "split", 4.0, 2.0), method("machine", "split", 3.0, 16.0)


def test_every_combination_has_the_sums_of_its_methods() -> None:
    found = combinations(
        methods=[BOW, MAUL, CHAIN, MACHINE],
        tasks=["buck", "split"],
        figures=HOURS_AND_CASH,
        judged=HOURS_AND_CASH,
        most=9,
    )
    assert [(r.methods, r.per_cord["hours"], r.per_cord["cash"]) for r in found.combinations] == [
        (("bow", "maul"), 10.0, 7.0),
        (("bow", "machine"), 9.0, 21.0),
        (("chain", "maul"), 6.0, 27.0),
        (("chain", "machine"), 5.0, 41.0),
    ]
    assert found.left_out_n == 0


def test_cash_below_nothing_keeps_the_order_of_points_and_shares() -> None:
    rows = [(6.0, -30.0), (6.0, 10.0), (6.0, 5.0)]
    points = points_by(rows, [1, 1])
    assert points[0] < points[2] < points[1]
    # the nominal member, in which the second is far ahead, is no draw
    shares = least_shares([np.array([0.0, -5.0, -5.0]), np.array([-99.0, -5.0, 3.0])])
    assert shares == [0.75, 0.25]


def test_a_missing_figure_says_of_which_method() -> None:
    unknown = method("wedge", "split", 9.0, NO_PRICE)
    found = combinations(
        methods=[BOW, unknown], tasks=["buck", "split"], figures=HOURS_AND_CASH, judged=HOURS_AND_CASH, most=9
    ).combinations
    assert found[0].per_cord == {"hours": 15.0, "cash": said(Reason.OF_METHOD, method="wedge", why=NO_PRICE)}


def test_of_too_many_combinations_those_stay_that_are_first_in_something() -> None:
    blunt = method("blunt bow", "buck", 7.0, 6.0)
    unknown = method("borrowed saw", "buck", 9.0, NO_PRICE)
    between = method("frame saw", "buck", 3.0, 7.0)
    found = combinations(
        methods=[BOW, blunt, unknown, CHAIN, between, MAUL],
        tasks=["buck", "split"],
        figures=HOURS_AND_CASH,
        judged=HOURS_AND_CASH,
        most=3,
    )
    # first in hours the chain saw, in cash the bow saw, in the mean of both the frame saw
    assert [combination.methods[0] for combination in found.combinations] == ["bow", "chain", "frame saw"]
    assert found.left_out_n == 2


def test_many_methods_do_not_make_endless_combinations() -> None:
    many = [
        method(f"{task} {n}", task, 10.0 - n * 0.1, 5.0 + n * n * 0.1)
        for task in ("fell", "limb", "haul", "buck", "split", "stack")
        for n in range(40)
    ]
    tasks = ("fell", "limb", "haul", "buck", "split", "stack")
    found = combinations(methods=many, tasks=tasks, figures=HOURS_AND_CASH, judged=HOURS_AND_CASH, most=36)
    assert len(found.combinations) == 36
    assert found.left_out_n == 40**6 - 36
    least = min(found.combinations, key=lambda combination: combination.per_cord["hours"])
    assert least.methods == tuple(f"{task} 39" for task in tasks)


def test_a_task_without_a_method_is_refused() -> None:
    with pytest.raises(ValueError, match="no method for stack"):
        combinations(methods=[BOW], tasks=["buck", "stack"], figures=HOURS_AND_CASH, judged=HOURS_AND_CASH, most=9)


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


def test_a_combination_inside_the_hull_of_two_others_can_never_be_best() -> None:
    # (6, 6) lies above the line from (1, 9) to (9, 1), which passes (5, 5); (4.9, 4.9) lies below it.
    assert choice.can_be_best(rows=[(1, 9), (6, 6), (9, 1)]) == [True, False, True]
    assert choice.can_be_best(rows=[(1, 9), (4.9, 4.9), (9, 1)]) == [True, True, True]
    assert choice.beaten_by(rows=[(1, 9), (6, 6), (9, 1)]) == [None, None, None]


def test_a_tie_in_one_criterion_is_no_way_to_be_best() -> None:
    # With all weight on hours the second would tie, but weights are above zero.
    assert choice.can_be_best(rows=[(1, 2), (1, 3)]) == [True, False]


def test_combinations_that_can_be_best_are_those_that_some_weights_of_a_grid_find() -> None:
    rows = [
        (10.0, 7.0, 3.0),
        (9.0, 21.0, 3.1),
        (6.0, 27.0, 6.0),
        (5.0, 41.0, 2.9),
        (8.0, 26.0, 4.0),
        (5.5, 36.0, 5.0),
    ]
    grid = itertools.product(range(1, 40), repeat=3)
    winners = {
        min(range(len(rows)), key=lambda row: points_by(rows, weights)[row])
        for weights in itertools.islice(grid, 0, None, 7)
    }
    assert {row for row, can in enumerate(choice.can_be_best(rows=rows)) if can} == winners


def test_points_do_not_hang_on_units() -> None:
    rows = [(10.0, 7.0), (6.0, 27.0)]
    other = [(hours * 60, cash * 0.9) for hours, cash in rows]
    points = points_by(rows, [2, 5])
    assert points_by(other, [2, 5]) == pytest.approx(points, rel=1e-12)
    # means 8 and 17: 100 * (2 * 10/8 + 5 * 7/17) / 7
    assert points[0] == pytest.approx(100 * (2 * 1.25 + 5 * 7 / 17) / 7)


def test_a_criterion_that_is_zero_for_all_tells_nothing() -> None:
    assert points_by([(10.0, 0.0), (6.0, 0.0)], [1, 9]) == [125.0, 75.0]
    assert points_by([(10.0, 0.0), (6.0, 0.0)], [0, 9]) == [0.0, 0.0]


@pytest.mark.parametrize("weights", [[0, 0], [-1, 2]])
def test_weights_that_weigh_nothing_are_refused(weights: list[float]) -> None:
    with pytest.raises(ValueError, match="weight"):
        points_by([(1, 2)], weights)


def test_the_best_changes_just_beyond_the_end_of_a_weights_range() -> None:
    rows = [(10.0, 7.0, 50.0), (6.0, 27.0, 20.0), (5.0, 41.0, 25.0)]
    weights = [4.0, 5.0, 1.0]

    def best(weights: list[float]) -> int:
        points = points_by(rows, weights)
        return points.index(min(points))

    now = best(weights)
    ranges = choice.weight_ranges(rows=rows, weights=weights, best=now, heaviest=10)
    assert any(found.low_combination is not None or found.high_combination is not None for found in ranges)
    for at, found in enumerate(ranges):
        for end, combination, step in (
            (found.low, found.low_combination, -1e-6),
            (found.high, found.high_combination, 1e-6),
        ):
            inside, outside = list(weights), list(weights)
            inside[at], outside[at] = end - step, end + step
            if combination is None:
                assert end in (0.0, 10)
            else:
                assert best(outside) == combination
            assert best(inside) == now


def test_hours_are_bought_from_the_cheapest_seller_first() -> None:
    # (9, 21) lies above the line from (10, 7) to (6, 27): 5 an hour, not 14.
    prices = choice.hour_prices(hours=[10, 9, 6, 5], cash=[7, 21, 27, 41])
    assert [(p.slow, p.fast, p.hours_saved, p.cash_more, p.per_hour) for p in prices] == [
        (0, 2, 4, 20, 5.0),
        (2, 3, 1, 14, 14.0),
    ]
    assert choice.hour_prices(hours=[5, 9], cash=[1, 4]) == []


def test_best_rows_with_a_tie_and_with_zero() -> None:
    assert choice.best_rows(figures=[0.0, 0.0, 1.0]) == [0, 1]
    assert choice.best_rows(figures=[2.0, math.nextafter(1.0, 2), 1.0]) == [1, 2]
