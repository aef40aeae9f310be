"""The mix of methods, against vertices worked by hand and against every point of a grid."""

from __future__ import annotations

import itertools

import pytest

from wood_xl.plan.mix import Option, least_cost_mix, most_cords, pieces_to_have

HAND = Option("hand", "split", 1.0, {"hours": 8.0, "cash": 2.0})
MACHINE = Option("machine", "split", 3.0, {"hours": 2.0, "cash": 20.0})
BOW = Option("bow", "buck", 1.5, {"hours": 6.0, "cash": 5.0})
CHAIN = Option("chain", "buck", 2.0, {"hours": 2.0, "cash": 25.0})
ALL = (BOW, CHAIN, HAND, MACHINE)


def test_without_a_tight_limit_the_cheapest_of_each_task_makes_all() -> None:
    mix = least_cost_mix(options=ALL, limits={"hours": 1000, "cash": 1000}, cords=5)
    assert mix is not None
    assert mix.cords == pytest.approx((5, 0, 5, 0))
    assert mix.cost == pytest.approx(12.5)


def test_hours_go_where_a_point_saves_most_of_them() -> None:
    # By hand 70 h. Chain for bow saves 4 h a cord for 0.5 points (8 h a point), machine for hand 6 h for 2 (3 h a
    # point). 60 h need 10 h less: 2.5 cords by chain.
    mix = least_cost_mix(options=ALL, limits={"hours": 60}, cords=5)
    assert mix is not None
    assert mix.cords == pytest.approx((2.5, 2.5, 5, 0))
    # 38 h need 32 h less: 20 by all five cords with the chain, 12 by two cords with the machine.
    mix = least_cost_mix(options=ALL, limits={"hours": 38}, cords=5)
    assert mix is not None
    assert mix.cords == pytest.approx((0, 5, 3, 2))


@pytest.mark.parametrize("limits", [{"hours": 38}, {"hours": 45, "cash": 160}, {"hours": 50, "cash": 120}])
def test_no_point_of_a_grid_is_better(limits: dict[str, float]) -> None:
    cords, steps = 5.0, 100
    mix = least_cost_mix(options=ALL, limits=limits, cords=cords)
    grid = []
    for bow, hand in itertools.product(range(steps + 1), repeat=2):
        made = [
            bow * cords / steps,
            (steps - bow) * cords / steps,
            hand * cords / steps,
            (steps - hand) * cords / steps,
        ]
        takes = {key: sum(n * o.takes[key] for n, o in zip(made, ALL, strict=True)) for key in limits}
        if all(takes[key] <= limit + 1e-9 for key, limit in limits.items()):
            grid.append(sum(n * o.cost for n, o in zip(made, ALL, strict=True)))
    assert grid
    assert mix is not None
    assert mix.cost <= min(grid) + 1e-9
    assert mix.cost == pytest.approx(min(grid), rel=0.02)  # the grid is that coarse


def test_out_of_reach_says_how_far_it_goes_and_what_ends_it() -> None:
    assert least_cost_mix(options=(BOW, HAND), limits={"hours": 28, "cash": 1000}, cords=5) is None
    found = most_cords(options=(BOW, HAND), limits={"hours": 28, "cash": 1000}, cords=5)
    assert found.cords == pytest.approx(2.0)  # 14 h a cord
    assert found.binding == ("hours",)


def test_limits_that_suffice_bind_nothing() -> None:
    found = most_cords(options=ALL, limits={"hours": 60, "cash": 1000}, cords=5)
    assert (found.cords, found.binding) == (5, ())


@pytest.mark.parametrize(("limits", "cords"), [({"hours": -1}, 5), ({"hours": 1}, 0)])
def test_impossible_numbers_are_refused(limits: dict[str, float], cords: float) -> None:
    with pytest.raises(ValueError, match="is "):
        least_cost_mix(options=ALL, limits=limits, cords=cords)


def test_pieces_are_bought_whole() -> None:
    assert [pieces_to_have(worn=n) for n in (0, 1e-12, 0.01, 1, 1.5)] == [0, 0, 1, 1, 2]


def test_solving_prints_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    hand = Option("hand", "split", 1, {"h": 8})
    assert least_cost_mix(options=[hand], limits={"h": 20}, cords=2) is not None
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize("cash", [0, 39, 55, 80, 109, 130, 200])
def test_no_number_of_days_of_rent_is_better(cash: float) -> None:
    """Five cords by hand or with what is rented for whole days, of which each is enough for two cords and a half."""
    hand, machine = (
        Option("hand", "split", 1.0, {"hours": 8.0}),
        Option("machine", "split", 0.0, {"day": 0.4, "cash": 5}),
    )
    day = Option("day", "", 0.1, {"cash": 40.0, "day": -1.0}, is_whole=True)
    limits = {"hours": 24.0, "cash": cash, "day": 0.0}
    tried = [(n, min(2.5 * n, (cash - 40 * n) / 5)) for n in range(6) if 40 * n <= cash]
    most = max(min(5, 3 + by_machine) for _, by_machine in tried)
    assert most_cords(options=(hand, machine, day), limits=limits, cords=5).cords == pytest.approx(most)
    mix = least_cost_mix(options=(hand, machine, day), limits=limits, cords=most * (1 - 1e-9))
    assert mix is not None
    assert mix.cords[2] == round(mix.cords[2])
    costs = [most - min(most, by) + 0.1 * n for n, by in tried if most - by <= 3 + 1e-9]
    assert mix.cost == pytest.approx(min(costs))
