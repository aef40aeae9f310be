"""Sessions merged into rows, and what the amounts of a task share."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest

from wood_xl.draws.doubt import equal_terms
from wood_xl.draws.rows import Observed, Session, TaskSessions, TimedCuts, cut_slope, observed
from wood_xl.draws.season import fit_season
from wood_xl.draws.verdicts import rates, ratios
from wood_xl.ids import Recorded

HOURS, FUEL = Recorded.WORKER_HOURS, Recorded.FUEL


def of(*sessions: Session, amount: Recorded = HOURS) -> Observed:
    return observed(TaskSessions(0, True, sessions), amount)


def test_one_method_and_crew_on_one_day_is_one_row() -> None:
    seen = of(
        Session(0, 0, 1.0, {HOURS: 2.0}, 5, {0: 2.0}, 0.10),
        Session(1, 0, 3.0, {HOURS: 4.0}, 5, {0: 4.0}, 0.20),
        Session(2, 0, 1.0, {HOURS: 3.0}, 5, {0: 1.0, 1: 2.0}, 0.20),
        Session(3, 0, 2.0, {HOURS: 3.0}, 5, {0: 2.0, 1: 1.0}, 0.20),
        Session(4, 1, 2.0, {HOURS: 3.0}, 5, {0: 3.0}, 0.20),
        Session(5, 0, 2.0, {HOURS: 3.0}, None, {0: 3.0}, 0.20),
        Session(6, 0, 2.0, {HOURS: 3.0}, None, {0: 3.0}, 0.20),
    )
    rows = sorted(seen.rows, key=lambda row: row.place)
    assert [(row.place, row.wood_m3, row.amount) for row in rows] == [
        (0, 4.0, 6.0),
        (2, 3.0, 6.0),
        (4, 2.0, 3.0),
        (5, 2.0, 3.0),
        (6, 2.0, 3.0),
    ]
    assert rows[0].log_diameter == pytest.approx(math.log((0.01 + 3 * 0.04) / 4) / 2)
    assert rows[1].shares == pytest.approx((0.5, 0.5))
    assert len({row.key for row in rows}) == 5


def test_sessions_without_an_amount_are_dropped_before_days_are_merged() -> None:
    seen = of(
        Session(0, 0, 1.0, {HOURS: 1.0, FUEL: 1.2}, 5),
        Session(1, 0, 1.0, {HOURS: 1.0}, 5),
        amount=FUEL,
    )
    assert [row.log_rate for row in seen.rows] == [pytest.approx(math.log(1.2))]
    assert seen.measured == {0: pytest.approx(1.2)}


def test_wood_of_a_tank_not_filled_goes_to_the_next_filling() -> None:
    amounts = (0.0, 1.2, 0.0, 1.3)
    seen = of(*(Session(i, 0, 1.0, {FUEL: amount}, i) for i, amount in enumerate(amounts)), amount=FUEL)
    assert [(row.day, row.wood_m3, row.amount) for row in seen.rows] == [(1, 2.0, 1.2), (3, 2.0, 1.3)]
    assert seen.measured == {0: pytest.approx(0.625)}
    assert seen.zero == ()
    rate = rates(fit_season([seen])[0])[0]
    assert rate.value == pytest.approx(0.625, rel=0.03)


def test_wood_after_the_last_filling_goes_to_it() -> None:
    sessions = (
        Session(0, 0, 1.0, {FUEL: 1.2}, 1, diameter_m=0.1),
        Session(1, 0, 3.0, {FUEL: 0.0}, 2, diameter_m=0.2),
        Session(2, 0, 0.0, {FUEL: 0.5}, 3),
    )
    (row,) = of(*sessions, amount=FUEL).rows
    assert (row.day, row.wood_m3, row.amount) == (1, 4.0, 1.2)
    assert row.log_diameter == pytest.approx(math.log((0.01 + 3 * 0.04) / 4) / 2)
    assert of(*sessions, amount=FUEL).measured == {0: pytest.approx(1.7 / 4)}


def test_a_method_that_takes_nothing_leaves_the_model() -> None:
    seen = of(
        *(Session(i, 0, 1.0, {FUEL: 0.0}, i) for i in range(3)),
        *(Session(3 + i, 1, 1.0, {FUEL: 1.0 + i / 10}, i) for i in range(3)),
        amount=FUEL,
    )
    assert seen.zero == (0,)
    assert {row.method for row in seen.rows} == {1}
    alone = of(*(Session(3 + i, 1, 1.0, {FUEL: 1.0 + i / 10}, i) for i in range(3)), amount=FUEL)
    assert rates(fit_season([seen])[0])[1] == rates(fit_season([alone])[0])[1]


def test_wood_of_zero_counts_as_measured_alone() -> None:
    seen = of(Session(0, 0, 2.0, {HOURS: 3.0}), Session(1, 0, 0.0, {HOURS: 1.0}))
    assert seen.measured == {0: pytest.approx(2.0)}
    assert len(seen.rows) == 1


def test_what_all_amounts_of_a_task_share() -> None:
    sessions = (
        Session(0, 0, 1.0, {HOURS: 2.0}, 1, {0: 2.0}, 0.10),
        Session(1, 0, 1.0, {HOURS: 2.2}, 2, {1: 2.2}, 0.30),
        Session(2, 1, 2.0, {HOURS: 1.0, FUEL: 1.0}, 3, {0: 1.0}, 0.20),
        Session(3, 1, 2.0, {HOURS: 1.2, FUEL: 1.1}, 4, {0: 1.2}, 0.20),
        Session(4, 1, 0.0, {HOURS: 1.2, FUEL: 1.1}, 4, {2: 1.2}),
    )
    fuel, hours = of(*sessions, amount=FUEL), of(*sessions)
    assert fuel.common == hours.common
    assert fuel.common.persons == (0, 1)
    assert fuel.common.hands == pytest.approx((5 / 6, 1 / 6))
    assert fuel.common.log_diameter == pytest.approx(math.log((0.01 + 0.09 + 4 * 0.04) / 6) / 2)
    alone = of(*sessions[2:], amount=FUEL)
    width = [_log_width(rates(fit_season([one])[0])[1].ends) for one in (fuel, alone)]
    assert width[0] > width[1]  # other hands may need more or less


def _log_width(ends: tuple[float, float] | None) -> float:
    assert ends
    return math.log(ends[1] / ends[0])


def test_a_missing_name_or_diameter_leaves_them_out() -> None:
    named = Session(0, 0, 1.0, {HOURS: 2.0}, 1, {0: 2.0}, 0.10), Session(1, 0, 1.0, {HOURS: 2.0}, 2, {1: 2.0}, 0.10)
    assert of(*named).common.persons == (0, 1)
    assert of(named[0], replace(named[1], hands=None)).common.persons == ()
    assert of(named[0], replace(named[1], hands={0: 1.0})).common.persons == ()
    assert of(named[0], replace(named[1], diameter_m=None)).common.log_diameter is None


def test_timed_cuts_need_numbers_and_sizes() -> None:
    areas = (0.01, 0.02, 0.03, 0.04, 0.05, 0.06)
    times = (30.0, 41.0, 49.0, 62.0, 69.0, 81.0)
    assert cut_slope(TimedCuts(0, areas, times), 0.04)
    assert cut_slope(TimedCuts(0, areas[1:], times[1:]), 0.04) is None
    assert cut_slope(TimedCuts(0, tuple(0.02 + area / 10 for area in areas), times), 0.04) is None
    assert cut_slope(TimedCuts(0, areas, tuple(-time for time in times)), 0.04) is None
    exact = cut_slope(TimedCuts(0, areas, tuple(20 + 1000 * area for area in areas)), 0.04)
    assert exact
    assert exact.se == 0.01


def test_timed_cuts_inform_hours_and_effort_alone() -> None:
    cuts = (TimedCuts(0, (0.01, 0.02, 0.03, 0.04, 0.05, 0.06), (30.0, 41.0, 49.0, 62.0, 69.0, 81.0)),)
    sessions = (Session(0, 0, 1.0, {HOURS: 2.0, FUEL: 1.0, Recorded.KCAL: 600.0}, diameter_m=0.2),)
    task = TaskSessions(0, True, sessions, cuts)
    assert [len(observed(task, amount).slopes) for amount in (HOURS, Recorded.KCAL, FUEL)] == [1, 1, 0]
    bare = TaskSessions(0, True, (replace(sessions[0], diameter_m=None),), cuts)
    assert observed(bare, HOURS).slopes == ()


def random_task(seed: int, methods_n: int) -> TaskSessions:
    chance = random.Random(seed)  # noqa: S311
    return TaskSessions(
        0,
        True,
        tuple(
            Session(
                i,
                i % methods_n,
                chance.lognormvariate(0, 0.4),
                {HOURS: chance.lognormvariate(0, 0.3)},
                chance.choice([None, 1, 2, 3]),
                chance.choice([{0: 1.0}, {1: 1.5}, {0: 1.0, 1: 2.0}]),
                chance.uniform(0.1, 0.3),
            )
            for i in range(5 * methods_n)
        ),
    )


@pytest.mark.parametrize("methods_n", [1, 2, 4])
def test_order_of_the_sheet_changes_nothing(methods_n: int) -> None:
    task = random_task(methods_n, methods_n)
    sessions = list(task.sessions)
    random.Random(3).shuffle(sessions)  # noqa: S311
    moved = tuple(replace(session, place=place) for place, session in enumerate(sessions))
    fits = [fit_season([observed(replace(task, sessions=order), HOURS)])[0] for order in (task.sessions, moved)]
    assert len({fit.design.y.size for fit in fits}) == 1
    one, other = (rates(fit) for fit in fits)
    for method, rate in one.items():
        assert rate.ends
        assert other[method].ends
        assert [rate.value, *rate.ends] == pytest.approx([other[method].value, *other[method].ends], rel=1e-12)
        values = [equal_terms(fit, method, rates(fit)[method]).value for fit in fits]
        assert values[0] == pytest.approx(values[1], rel=1e-12)
    for pair, ratio in ratios(fits[0], 0.1).items():
        again = ratios(fits[1], 0.1)[pair]
        assert ratio.order
        assert again.order
        assert ratio.order.more == pytest.approx(again.order.more, abs=1e-12)
