"""The model in edge cases, and the factors from measured to equal terms."""

from __future__ import annotations

import math
import random
import time
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from worked_cases import CASES, MARGIN, fit_of, observed_of, task_of

from wood_xl.draws.doubt import EqualTerms, Factors, doubt, equal_terms, factors
from wood_xl.draws.rows import Session, TaskSessions, observed
from wood_xl.draws.season import Fit, fit_season, settings, solved
from wood_xl.draws.sessions import design, enumeration
from wood_xl.draws.verdicts import further, next_day, rates, ratios, settled_share, surety
from wood_xl.ids import Recorded
from wood_xl.verdicts import Surety

HOURS = Recorded.WORKER_HOURS


def plain(amounts: list[float], methods: list[int], **more: list[object]) -> TaskSessions:
    sessions = [Session(i, methods[i], 1.0, {HOURS: amount}) for i, amount in enumerate(amounts)]
    for name, column in more.items():
        sessions = [replace(one, **{name: cell}) for one, cell in zip(sessions, column, strict=True)]
    return TaskSessions(0, True, tuple(sessions))


def fit_one(task: TaskSessions) -> Fit:
    return fit_season([observed(task, HOURS)])[0]


def equal_terms_of(fit: Fit) -> EqualTerms:
    return equal_terms(fit, 0, rates(fit)[0])


def test_one_session() -> None:
    fit = fit_of("1")
    assert ratios(fit, MARGIN) == {}
    assert equal_terms_of(fit).value == pytest.approx(62 / 1.10)
    assert doubt(fit, 0)


def test_no_scatter_at_all() -> None:
    fit = fit_one(plain([50.0] * 5 + [25.0] * 5, [0] * 5 + [1] * 5))
    assert fit.odd_row is None
    rate, ratio = rates(fit)[0], ratios(fit, MARGIN)[0, 1]
    assert rate.value == pytest.approx(50, rel=0.001)
    assert rate.ends == pytest.approx((50 / 1.013, 50 * 1.013), rel=0.005)
    assert ratio.value == pytest.approx(2, rel=0.001)
    assert ratio.order
    assert ratio.order.surety is Surety.SETTLED
    same = ratios(fit_one(plain([50.0] * 10, [0] * 5 + [1] * 5)), MARGIN)[0, 1]
    assert same.order
    assert same.order.surety is Surety.SAME


@pytest.mark.parametrize("scale", [1e-17, 1e6])
def test_units_do_not_matter(scale: float) -> None:
    task = task_of("8b")
    scaled = tuple(
        replace(one, wood_m3=one.wood_m3 / 1e3, amounts={HOURS: one.amounts[HOURS] * scale}) for one in task.sessions
    )
    found = rates(fit_one(replace(task, sessions=scaled)))
    for method, rate in rates(fit_of("8b")).items():
        assert found[method].value == pytest.approx(rate.value * scale * 1e3, rel=1e-8)


def test_sessions_that_differ_more_than_sessions_do() -> None:
    fit = fit_one(plain([1.0, 1000.0, 1e6], [0, 0, 0]))
    assert fit.odd_row is not None
    assert fit.odd_row.amount in {1.0, 1e6}
    assert rates(fit)[0].ends is None
    assert next_day(fit, 0) is None
    two = fit_one(plain([1.0, 1.1, 0.9, 1e6, 2.0, 2.1], [0, 0, 0, 0, 1, 1]))
    assert two.odd_row is not None
    assert two.odd_row.amount == 1e6
    assert ratios(two, MARGIN)[0, 1].ends is None
    assert ratios(two, MARGIN)[0, 1].order is None
    assert fit_one(plain([40.0, 44.0, 400.0, 42.0], [0] * 4)).odd_row is None


def test_a_lone_task_takes_no_step_over_the_season() -> None:
    alone = rates(fit_of("1"))[0]
    assert alone.ends == pytest.approx((27.4107, 214.576), rel=1e-5)
    steady = observed(replace(plain([50.0, 50.5, 49.5, 50.2] * 2, [0] * 8), number=1), HOURS)
    lent = rates(fit_season([observed_of("1"), steady])[0])[0]
    assert lent.ends
    assert alone.ends
    assert lent.ends[1] < alone.ends[1] / 1.5


def test_factors_of_one() -> None:
    assert factors(fit_of("3"), 0) == Factors(1.0, 1.0, 1.0)
    assert factors(fit_of("4"), 0).days != 1.0
    assert factors(fit_of("6"), 0).hands != 1.0
    assert factors(fit_of("8"), 0).logs != 1.0
    one_method = replace(task_of("8"), sessions=task_of("8").sessions[:4])
    assert factors(fit_one(one_method), 0).logs == pytest.approx(1.0, abs=1e-15)


def test_days_that_were_bad_for_all() -> None:
    """Both methods took half as long again on day 3, and only the first worked on it twice: by two crews."""
    task = plain(
        [40.0, 41.0, 62.0, 60.0, 20.0, 20.5, 31.0],
        [0, 0, 0, 0, 1, 1, 1],
        day=[1, 2, 3, 3, 1, 2, 3],
        hands=[{0: 1.0}, {0: 1.0}, {0: 1.0}, {0: 1.0, 1: 1.0}, {0: 1.0}, {0: 1.0}, {0: 1.0}],
    )
    fit = fit_one(task)
    found = factors(fit, 0).days, factors(fit, 1).days
    # By the dense formula: effect of a day = share s^2 1' V^-1 (y - X beta) over its rows.
    effects = np.zeros(fit.design.y.size)
    for point, weight in enumerate(fit.weight):
        s, share = fit.s[point], fit.day_share[point]
        own = (1 - share) * s**2 * fit.k[point][fit.design.method_of] ** 2 * fit.design.factor
        of_days = share * s**2 * fit.design.days.T @ fit.design.days
        left = fit.design.y - fit.design.x @ fit.beta[point]
        effects += weight * of_days @ np.linalg.solve(of_days + np.diag(own), left)
    for method, days in enumerate(found):
        assert days == pytest.approx(math.exp(-effects[fit.design.method_of == method].mean()), abs=1e-8)
    assert found[0] < found[1] < 1.2
    assert equal_terms_of(fit).value < equal_terms_of(fit).measured


def test_a_value_outside_its_ends_gives_way_to_the_model() -> None:
    """A day of much wood at another rate dominates the plain sum, but counts as one day."""
    task = TaskSessions(
        0, True, tuple(Session(i, 0, wood, {HOURS: wood * rate}) for i, (wood, rate) in enumerate(LOPSIDED))
    )
    fit = fit_one(task)
    found, rate = equal_terms_of(fit), rates(fit)[0]
    assert rate.ends
    assert found.measured > rate.ends[1]
    assert found.is_by_model
    assert found.value == pytest.approx(rate.value, rel=1e-7)
    assert not equal_terms_of(fit_of("3")).is_by_model


LOPSIDED = [*((1.0, 10.0 + i / 10) for i in range(12)), (300.0, 14.0)]


def test_verdicts_in_their_order() -> None:
    assert settled_share(1) == settled_share(2) == 0.995
    assert settled_share(4) == 0.9975
    assert surety(0.995, 0.5, 2) is Surety.SETTLED
    assert surety(0.995, 0.5, 3) is Surety.LIKELY
    assert surety(0.9499, 0.1, 2) is Surety.LEANS
    assert surety(0.7999, 0.7999, 2) is Surety.OPEN
    assert surety(0.9999, 0.80, 2) is Surety.SAME


@pytest.mark.parametrize("name", ["7", "9", "14"])
def test_chance_of_a_verdict_against_simulated_days(name: str) -> None:
    """One more day and four, drawn at each point from a dense prediction of what they would show."""
    from scipy import stats

    fit, draws = fit_of(name), 400
    a, b = fit.design.targets
    contrast = a - b
    chance = np.random.default_rng(1)
    for k in (1, 4):
        new = np.array([a, b] * k)
        df = 3 + fit.design.y.size + 2 * k - 2
        hits = 0.0
        for point in np.argsort(-fit.weight)[:150]:
            s, share, ks = fit.s[point], fit.day_share[point], fit.k[point]
            cov = fit.covariance[point]
            noise = np.kron(np.eye(k), s**2 * (share + (1 - share) * np.diag(ks**2)))
            gain = cov @ new.T @ np.linalg.inv(new @ cov @ new.T + noise)
            left = contrast @ (cov - gain @ new @ cov) @ contrast
            taught = contrast @ gain @ np.linalg.cholesky(new @ cov @ new.T + noise)
            middle = contrast @ fit.beta[point] + fit.half_variance[point, 0] - fit.half_variance[point, 1]
            mean = middle + chance.normal(size=(draws, 2 * k)) @ taught
            z = stats.t.ppf(0.995, df)
            margin, sd = math.log(1.1), math.sqrt(left)
            within = stats.norm.cdf((margin - mean) / sd) - stats.norm.cdf((-margin - mean) / sd)
            hits += fit.weight[point] * ((np.abs(mean) >= z * sd) | (within >= 0.8)).mean()
        assert further(fit, 0, 1, MARGIN).chances[k - 1] == pytest.approx(hits, abs=0.015)


def many_methods(methods_n: int, persons_n: int, days_n: int, sessions_n: int, seed: int = 1) -> TaskSessions:
    chance = random.Random(seed)  # noqa: S311
    sessions = []
    for i in range(sessions_n):
        method, person, diameter = i % methods_n, chance.randrange(persons_n), chance.uniform(0.12, 0.3)
        log_rate = 4 - 0.3 * method - 0.7 * math.log(diameter / 0.2) + 0.1 * person + chance.gauss(0, 0.2)
        wood = chance.lognormvariate(0, 0.4)
        amounts = {HOURS: wood * math.exp(log_rate)}
        sessions.append(Session(i, method, wood, amounts, chance.randrange(days_n), {person: 1.0}, diameter))
    return TaskSessions(0, True, tuple(sessions))


@pytest.mark.parametrize(("methods_n", "sessions_n"), [(4, 12), (4, 5), pytest.param(5, 25, marks=pytest.mark.slow)])
def test_chosen_settings_come_near_every_combination(methods_n: int, sessions_n: int) -> None:
    one = design(observed(many_methods(methods_n, 2, 5, sessions_n), HOURS))
    nothing = np.zeros(one.grid.s.size)
    chosen, every = solved(one, settings(one), nothing), solved(one, enumeration(one), nothing)
    for method, rate in rates(every).items():
        other = rates(chosen)[method]
        assert rate.ends
        assert other.ends
        half_width = math.log(rate.ends[1] / rate.ends[0]) / 2
        assert other.value == pytest.approx(rate.value, rel=0.005)
        assert np.log(other.ends) == pytest.approx(np.log(rate.ends), abs=0.04 * half_width)
    for pair in combinations(range(methods_n), 2):
        found, exact = ratios(chosen, MARGIN)[pair].order, ratios(every, MARGIN)[pair].order
        assert found
        assert exact
        assert found.more == pytest.approx(exact.more, abs=0.005)


def test_the_start_of_the_search_for_spreads_hardly_moves_the_rates() -> None:
    one = design(observed(many_methods(5, 2, 5, 25), HOURS))
    nothing = np.zeros(one.grid.s.size)
    usual = rates(solved(one, settings(one), nothing))
    for start in (0, 2, np.array([0, 2, 1, 2, 0])):
        other = rates(solved(one, settings(one, start), nothing))
        assert [rate.value for rate in other.values()] == pytest.approx(
            [rate.value for rate in usual.values()], rel=5e-4
        )


@pytest.mark.parametrize("methods_n", [9, 40])
def test_very_many_methods_share_the_spread_of_their_task_and_are_done_in_time(methods_n: int) -> None:
    began = time.process_time()
    fit = fit_one(many_methods(methods_n, 3, 20, 3 * methods_n))
    assert len(rates(fit)) == methods_n
    assert ratios(fit, MARGIN)
    assert time.process_time() - began < 5
    assert (fit.k == 1).all()
    assert fit.weight.sum() == pytest.approx(1)


@pytest.mark.slow
def test_time_of_a_large_task() -> None:
    seen = observed(many_methods(5, 5, 20, 60), HOURS)
    spent = []
    for _ in range(7):
        began = time.process_time()
        fit = fit_season([seen])[0]
        rates(fit)
        ratios(fit, MARGIN)
        spent.append(time.process_time() - began)
    assert min(spent) < 0.15


def test_every_case_has_a_doubt_that_adds_up() -> None:
    for name in CASES:
        fit = fit_of(name)
        for pair in [(m, None) for m in fit.design.methods] + list(combinations(fit.design.methods, 2)):
            assert math.fsum(doubt(fit, *pair).values()) == pytest.approx(1, abs=1e-10)
