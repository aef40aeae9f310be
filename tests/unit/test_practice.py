"""Practice from session to session and tiredness within one, from notes to tables."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from builders import Data, small_season, tables

from wood_xl.data.load import value
from wood_xl.hours.fatigue import TimedSession, second_half_factor
from wood_xl.wood.log_slope import usual_times

HAND = "By bow saw"
RUNS_N = int(os.environ.get("WOOD_XL_SIMULATION_RUNS", "40"))
SCATTER = (1.03, 0.97, 1.02, 0.96, 1.04, 0.98)


def season(minutes: Sequence[float], cuts: Sequence[Sequence[Data]] | None = None) -> Data:
    """Sessions of the bow saw on days of their own, with ten cuts of 20 cm each unless others are given."""
    data = small_season() | {"helpers": [], "stacks": []}
    data["methods"] = data["methods"][:1]
    data["sessions"] = [
        {"session": f"b{i}", "method": HAND, "elapsed_time": time, "date": f"2026-03-{i + 1:02}"}
        for i, time in enumerate(minutes)
    ]
    each = cuts or [[{"diameter": 20.0, "cuts": 10}]] * len(minutes)
    data["cuts"] = [{"session": f"b{i}"} | cut for i, own in enumerate(each) for cut in own]
    data["units"]["cuts"]["cut_time"] = "s"
    return data


def practice(data: Data) -> tuple[dict[str, Any], dict[str, dict[str, Any]]]:
    """Row of the only method, and its problems by code."""
    found = tables(data)
    (row,) = found.tables["practice"]
    return row, {code: facts for code, _, facts in found.remarks if code in ("season-trend-shown", "season-tired")}


def test_practice_is_shown_and_told() -> None:
    data = season([70, 63, 60, 57, 56, 54])
    row, told = practice(data)
    assert row["words"] == "less time as it went on"
    assert row["per_doubling"].low < row["per_doubling"].value < row["per_doubling"].high < 100
    assert row["per_doubling"].value == pytest.approx(90.6, abs=0.1)
    assert row["by_chance"].value < 5
    cords = tables(data).tables["methods"][0]["cords"].value
    assert row["later_hours"].value == pytest.approx((57 + 56 + 54) / 60 / (cords / 2))
    assert told == {"season-trend-shown": {"found": HAND, "what": "less time as it went on"}}


def test_order_of_days_and_not_of_rows_makes_a_trend() -> None:
    data = season([54, 70, 56, 63, 57, 60])
    for session, day in zip(data["sessions"], (16, 11, 15, 12, 14, 13), strict=True):
        session["date"] = f"2026-03-{day}"
    assert practice(data)[0]["words"] == "less time as it went on"


def test_undated_sessions_keep_the_order_of_the_notes() -> None:
    data = season([70, 63, 60, 57, 56, 54])
    expected, _ = practice(data)
    for i in (1, 2, 4):
        del data["sessions"][i]["date"]
    found, _ = practice(data)
    assert found["words"] == "less time as it went on"
    assert found["per_doubling"].value == pytest.approx(expected["per_doubling"].value)
    assert found["later_hours"].value == pytest.approx(expected["later_hours"].value)


def test_four_sessions_are_too_few_for_a_trend() -> None:
    row, told = practice(season([70, 60, 50, 40]))
    assert row["words"] == "too few sessions to tell"
    assert row["per_doubling"].value < 90
    assert told == {}


def test_what_was_done_on_one_day_counts_once() -> None:
    data = season([70, 63, 60, 57, 56, 54])
    for session in data["sessions"][1:]:
        session["date"] = "2026-03-02"
    assert practice(data)[0]["words"] == "too few sessions to tell"


def test_ever_thinner_logs_are_no_trend() -> None:
    """A cord of thin logs takes more cuts, and so more time."""
    sizes = (34, 30, 26, 22, 18, 15)
    cuts = [[{"diameter": float(d), "cuts": 20}] for d in sizes]
    minutes = [0.07 * d * d * (d / 20) ** -0.7 * own for d, own in zip(sizes, SCATTER, strict=True)]
    row, told = practice(season(minutes, cuts))
    assert (row["words"], told) == ("no trend shown", {})
    assert row["per_doubling"].low < 100 < row["per_doubling"].high
    same_size = [[{"diameter": 20.0, "cuts": 20}]] * 6
    slower = [28 * (d / 20) ** -0.7 * own for d, own in zip(sizes, SCATTER, strict=True)]
    assert practice(season(slower, same_size))[0]["words"] == "more time as it went on"


def timed(times: Sequence[Sequence[float]], diameters: Sequence[float] = (20.0,) * 20) -> Data:
    cuts = [[{"diameter": d, "cut_time": time} for time, d in zip(own, diameters, strict=False)] for own in times]
    return season([30.0 + i for i in range(len(times))], cuts)


def test_later_cuts_that_take_longer_are_told() -> None:
    row, told = practice(timed([[30, 31, 29, 39, 40, 38], [30, 30, 31, 41, 40, 39], [29, 30, 30, 38, 40, 39]]))
    assert row["timed_sessions_n"] == 3
    assert row["second_half"].low > 125
    assert told == {"season-tired": {"found": HAND, "value": "31%"}}
    assert practice(timed([[30, 31, 29, 31, 30, 30], [31, 30, 30, 29, 31, 29], [30, 29, 30, 30, 30, 31]]))[1] == {}


def test_two_timed_sessions_are_too_few_for_tiredness() -> None:
    row, told = practice(timed([[30, 31, 29, 39, 40, 38], [30, 30, 31, 41, 40, 39]]))
    assert (row["second_half"].value, row["timed_sessions_n"], told) == (None, 2, {})


THICK_FIRST = (30.0, 27.0, 24.0, 22.0, 20.0, 17.0, 15.0, 13.0)
ERRORS = ((0.1, -0.05, 0, 0.05, -0.1, 0.1, -0.05, 0.02), (-0.1, 0.1, 0.05, -0.02, 0.05, -0.1, 0.06, -0.04))


def thick_first(slowing: float, sessions_n: int = 6) -> list[list[float]]:
    """Ten seconds for a cut and four for a square decimeter; the later half slower."""
    return [
        [
            (10 + 4 * d * d / 127) * math.exp(ERRORS[i % 2][(j + i) % 8]) * (slowing if j > 3 else 1)
            for j, d in enumerate(THICK_FIRST)
        ]
        for i in range(sessions_n)
    ]


def test_thick_logs_first_are_no_tiredness_and_hide_none() -> None:
    row, told = practice(timed(thick_first(1.0), THICK_FIRST))
    assert row["second_half"].low < 100 < row["second_half"].high
    assert told == {}
    slower, told = practice(timed(thick_first(1.5), THICK_FIRST))
    assert slower["second_half"].value == pytest.approx(1.5 * row["second_half"].value, rel=0.05)
    assert list(told) == ["season-tired"]


def test_cuts_that_are_all_alike_have_no_tiredness() -> None:
    alike = TimedSession((0.03,) * 6, (25.0,) * 6)
    found = second_half_factor([alike] * 3)
    assert (found.value, *found.interval()) == pytest.approx((1, 1, 1))


def test_the_slope_of_thick_logs_is_as_unsure_as_least_squares_have_it() -> None:
    """Equal sessions do not scatter: all doubt is that of the slope and its prior."""
    from statsmodels.api import OLS

    one = TimedSession((0.06, 0.05, 0.04, 0.03, 0.02, 0.01), (50.0, 43.0, 34.0, 25.0, 19.0, 11.0))
    u = np.log(usual_times(areas_m2=one.areas_m2 * 3, times_s=one.times_s * 3))
    halves = np.kron(np.eye(6), np.ones((3, 1)))
    slope_sd = OLS(np.log(one.times_s * 3) - u, np.column_stack((u, halves))).fit().bse[0]
    thinner = u[3:6].mean() - u[:3].mean()
    expected = thinner**2 / (slope_sd**-2 + value("fatigue.slope_sd") ** -2)
    assert second_half_factor([one] * 3).variance == pytest.approx(expected)


def test_halves_of_one_size_each_tell_next_to_nothing() -> None:
    """The later cuts were all thin, the earlier all thick: size and fatigue are confounded."""
    sessions = [TimedSession((0.06,) * 3 + (0.02,) * 3, (50.0, 51.0, 49.0 + i, 24.0, 25.0, 24.5)) for i in range(4)]
    low, high = second_half_factor(sessions).interval()
    assert low < 0.5
    assert high > 2


def made_up(chance: np.random.Generator, slowing: float, order: str, sessions_n: int) -> list[TimedSession]:
    """Twelve cuts a session; handling is a third of the time of an average cut; sessions differ too."""
    made = []
    for _ in range(sessions_n):
        diameters = chance.uniform(0.10, 0.32, size=12)
        if order == "thick first":
            diameters = np.sort(diameters)[::-1]
        areas = math.pi * diameters**2 / 4
        times = (14 + 26 * areas / 0.0314) * np.exp(0.15 * chance.normal() + 0.15 * chance.normal(size=12))
        times[6:] *= slowing
        made.append(TimedSession(tuple(areas.tolist()), tuple(times.tolist())))
    return made


@pytest.mark.simulation
@pytest.mark.parametrize(
    ("order", "sessions_n", "slowing", "least", "most"),
    [
        ("any", 3, 1.0, 0.0, 0.025),
        ("any", 8, 1.0, 0.0, 0.025),
        ("thick first", 3, 1.0, 0.0, 0.025),
        ("thick first", 8, 1.0, 0.0, 0.025),
        ("any", 5, 1.25, 0.95, 1.0),
        ("thick first", 8, 1.25, 0.90, 1.0),
    ],
)
def test_tiredness_is_seen_where_it_is(
    order: str, sessions_n: int, slowing: float, least: float, most: float
) -> None:
    seen = sum(
        second_half_factor(made_up(np.random.default_rng([23, run]), slowing, order, sessions_n)).interval()[0] > 1
        for run in range(RUNS_N)
    )
    error = math.sqrt(0.05 / RUNS_N)
    assert least - 3 * error <= seen / RUNS_N <= most + 3 * error
