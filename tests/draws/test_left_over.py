"""Trends and outliers in the residuals of the model: by another route, and how often they are right."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from simulation import HOURS, Season, Trial, fitted, season

from wood_xl.draws.doubt import Trend, far_rows, predicted, trend
from wood_xl.draws.rows import Session, TaskSessions, observed
from wood_xl.draws.season import Fit, fit_season

RUNS_N = 300  # as many as the shares were measured with
EVERYTHING = Trial(
    s=(0.25, 0.25),
    sessions=(5, 5),
    same_days=True,
    logs_cm=((14, 22), (17, 30)),
    persons=((0, 1, 0, 1, 1), (1, 0, 0, 1, 0)),
    person_effect=0.2,
)
Array = np.ndarray


def chance(*seed: int) -> np.random.Generator:
    return np.random.default_rng(seed)


def covariance(x: Array, days: Sequence[int | None], own: Array, fit: Fit, point: int) -> Array:
    """Covariance of the log rates of rows, with all unknowns; all days are given."""
    rho, variance = fit.day_share[point], fit.s[point] ** 2
    same_day = np.equal.outer(days, days)
    return x @ np.diag(1 / fit.precision[point]) @ x.T + variance * (rho * same_day + (1 - rho) * np.diag(own))


def in_order(fit: Fit, method: int) -> list[int]:
    rows = fit.design.observed.rows
    return sorted((i for i, row in enumerate(rows) if row.method == method), key=lambda i: rows[i].day or 0)


def test_a_trend_is_that_of_generalized_least_squares() -> None:
    from scipy import stats

    (fit,) = fitted(EVERYTHING, season(EVERYTHING, chance(1)))
    design, order = fit.design, in_order(fit, 0)
    number = np.zeros(design.y.size)
    number[order] = np.log2([1, 2, 3, 4, 5])
    left = design.y - design.x @ design.beta_0
    days = [row.day for row in design.observed.rows]
    slopes, variances = np.zeros(fit.s.size), np.zeros(fit.s.size)
    for point in range(fit.s.size):
        own = fit.k[point, design.method_of] ** 2 * design.factor
        both = np.linalg.solve(covariance(design.x, days, own, fit, point), np.column_stack([number, left]))
        variances[point] = 1 / (number @ both[:, 0])
        slopes[point] = number @ both[:, 1] * variances[point]
    sds = np.sqrt(variances)
    weight = fit.weight * sds * np.exp(slopes**2 / variances / 2)
    weight /= weight.sum()
    below = weight @ stats.norm.cdf(-slopes / sds)
    found = trend(fit, order)
    assert math.log(found.per_doubling) == pytest.approx(weight @ slopes, rel=1e-9)
    assert found.by_chance_frac == pytest.approx(2 * min(below, 1 - below), rel=1e-6)
    assert weight @ stats.norm.cdf((math.log(found.ends[0]) - slopes) / sds) == pytest.approx(0.025, rel=1e-6)


def test_a_row_is_predicted_as_by_the_whole_covariance() -> None:
    from scipy import stats

    (fit,) = fitted(EVERYTHING, season(EVERYTHING, chance(2)))
    row = fit.design.observed.rows[3]
    rows = [one for one in fit.design.observed.rows if one is not row]
    (without,) = fit_season([replace(fit.design.observed, rows=tuple(rows))])
    x = np.vstack([without.design.x, fit.design.x[3]])
    days = [one.day for one in [*rows, row]]
    left = without.design.y - without.design.x @ without.design.beta_0
    below = 0.0
    for point in range(without.s.size):
        k = without.k[point, np.append(without.design.method_of, fit.design.method_of[3])]
        own = k**2 * np.append(without.design.factor, fit.design.factor[3])
        whole = covariance(x, days, own, without, point)
        weights = np.linalg.solve(whole[:-1, :-1], whole[:-1, -1])
        middle = without.design.mean_y + x[-1] @ without.design.beta_0 + weights @ left
        sd = math.sqrt(whole[-1, -1] - weights @ whole[:-1, -1])
        below += without.weight[point] * stats.norm.cdf((row.log_rate - middle) / sd)
    assert predicted(fit, 3).by_chance_frac == pytest.approx(2 * min(below, 1 - below), rel=1e-6)


def alone(log_rates: Sequence[float], **more: Sequence[object]) -> Fit:
    """One method, on consecutive days, with wood of 1 each."""
    sessions = [Session(i, 0, 1.0, {HOURS: math.exp(y)}, i) for i, y in enumerate(log_rates)]
    for name, column in more.items():
        sessions = [replace(one, **{name: cell}) for one, cell in zip(sessions, column, strict=True)]
    return fit_season([observed(TaskSessions(0, True, tuple(sessions)), HOURS)])[0]


def trend_of(fit: Fit) -> Trend:
    return trend(fit, in_order(fit, 0))


def test_what_logs_or_another_person_explain_is_no_trend() -> None:
    scatter = np.array([0.03, -0.04, 0.02, -0.03, 0.04, -0.02])
    diameters = [0.32, 0.28, 0.25, 0.22, 0.19, 0.16]
    dearer = scatter - 0.7 * np.log(diameters)
    assert trend_of(alone(dearer)).by_chance_frac < 0.05
    assert trend_of(alone(dearer, diameter_m=diameters)).by_chance_frac > 0.3
    slower = scatter + 0.6 * np.array([0, 0, 0, 1, 1, 1])
    hands = [{0: 1.0}] * 3 + [{1: 1.0}] * 3
    assert trend_of(alone(slower)).by_chance_frac < 0.05
    assert trend_of(alone(slower, hands=hands)).by_chance_frac > 0.2


def test_practice_beyond_the_logs_is_a_trend() -> None:
    scatter = np.array([0.03, -0.04, 0.02, -0.03, 0.04, -0.02])
    diameters = [0.22, 0.28, 0.19, 0.32, 0.16, 0.25]
    practised = scatter - 0.7 * np.log(diameters) + math.log(0.8) * np.log2([1, 2, 3, 4, 5, 6])
    found = trend_of(alone(practised, diameter_m=diameters))
    assert found.ends[0] < 0.8 < found.ends[1] < 1
    assert found.by_chance_frac < 0.01


def places(fits: Sequence[Fit]) -> list[int]:
    return [found.row.place for found in far_rows(fits)]


def test_one_of_three_typed_tenfold_is_far_and_of_two_neither() -> None:
    for factor in (10, 0.1):
        steady = [0.05, -0.1, 0.08 + math.log(factor)]
        (found,) = far_rows([alone(steady)])
        assert (found.row.place, found.times) == (2, pytest.approx(factor, rel=0.2))
        assert far_rows([alone(steady[1:])]) == []
    assert far_rows([alone([0.05, -0.1, 0.08])]) == []


def test_thin_logs_make_no_far_session() -> None:
    log_rates = [0.03, -0.02, 0.01, -0.03, 0.02 + 0.7 * math.log(3)]
    assert places([alone(log_rates)]) == [4]
    assert places([alone(log_rates, diameter_m=[0.27, 0.28, 0.3, 0.29, 0.095])]) == []


def test_a_bad_day_of_all_methods_makes_no_far_session() -> None:
    rates = [0.02, -0.03, 0.01, 0.03, -0.02]
    sessions = [Session(5 * m + i, m, 1.0, {HOURS: math.exp(y + m)}, i) for m in (0, 1) for i, y in enumerate(rates)]

    def far(slow: dict[int, float]) -> list[int]:
        changed = [replace(one, amounts={HOURS: one.amounts[HOURS] * slow.get(one.place, 1)}) for one in sessions]
        return places(fit_season([observed(TaskSessions(0, True, tuple(changed)), HOURS)]))

    assert far({4: 2.0}) == [4]
    assert far({4: 2.0, 9: 2.0}) == []


def typed(made: Season, times: float) -> tuple[Season, int]:
    """The first session of the first method with its time multiplied by a typing error."""
    at = next(i for i, one in enumerate(made.tasks[0]) if one.method == 0)
    first = list(made.tasks[0])
    first[at] = replace(first[at], amounts={HOURS: first[at].amounts[HOURS] * times})
    return replace(made, tasks=[first, *made.tasks[1:]]), first[at].place


# Share of seasons with a false alarm, measured with 300 runs: the most of s .1, .2, .3, .4 is .04 at 8 sessions each.
EQUAL = [(0.1, (3,)), (0.4, (3,)), (0.2, (5, 5)), (0.4, (5, 5)), (0.4, (8, 8)), (0.4, (3, 3, 3))]
# Share of seasons in which a session typed so many times is named.
TYPED = [(10, 0.1, (3, 3), 1.0), (10, 0.2, (3, 3), 0.93), (10, 0.4, (5, 5), 0.68), (3, 0.1, (5, 5), 0.98)]


def allowed(share: float) -> float:
    return 3 * math.sqrt(max(share * (1 - share), 0.02) / RUNS_N)


@pytest.mark.simulation
@pytest.mark.parametrize(("s", "sessions"), EQUAL)
def test_equal_sessions_rarely_make_one_far(s: float, sessions: tuple[int, ...]) -> None:
    trial = Trial(s=(s,) * len(sessions), sessions=sessions)
    false = [bool(far_rows(fitted(trial, season(trial, chance(17, run))))) for run in range(RUNS_N)]
    assert sum(false) / RUNS_N <= 0.05 + allowed(0.05)


@pytest.mark.simulation
@pytest.mark.parametrize(("times", "s", "sessions", "share"), TYPED)
def test_a_session_typed_wrong_is_named(times: float, s: float, sessions: tuple[int, ...], share: float) -> None:
    trial, named = Trial(s=(s,) * len(sessions), sessions=sessions), 0
    for run in range(RUNS_N):
        made, place = typed(season(trial, chance(18, run)), times)
        named += places(fitted(trial, made)) == [place]
    assert named / RUNS_N >= share - allowed(share)


@pytest.mark.simulation
@pytest.mark.parametrize("slope", [-0.7, -1.2])
def test_big_logs_first_rarely_make_a_trend(slope: float) -> None:
    shown = 0
    for run in range(RUNS_N):
        made = chance(19, run)
        diameters = np.sort(made.uniform(0.14, 0.30, size=8))[::-1]
        fit = alone(slope * np.log(diameters) + 0.15 * made.normal(size=8), diameter_m=[float(d) for d in diameters])
        shown += trend_of(fit).by_chance_frac < 0.05
    assert shown / RUNS_N <= 0.06 + allowed(0.06)
