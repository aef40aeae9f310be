"""Arrays of draws: ordered by their keys, in agreement with printed ends, and independent of one another."""

from __future__ import annotations

import hashlib
import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from few import together
from worked_cases import CASES, MARGIN, fit_of, task_of

from wood_xl.draws.doubt import equal_terms
from wood_xl.draws.ensemble import ends, order, scores
from wood_xl.draws.normal import Array
from wood_xl.draws.rows import Session, TaskSessions, observed
from wood_xl.draws.season import Fit, fit_season
from wood_xl.draws.verdicts import correlation, long_run, rates, ratios
from wood_xl.draws.verdicts import joint_draws as joint_draws_of
from wood_xl.ids import Recorded

HOURS, KCAL, FUEL = Recorded.WORKER_HOURS, Recorded.KCAL, Recorded.FUEL
KCAL_OF_HOUR = (310.0, 330.0, 285.0, 340.0, 350.0, 300.0, 345.0)


def with_kcal(name: str) -> TaskSessions:
    task = task_of(name)
    return replace(
        task,
        sessions=tuple(
            replace(one, amounts={**one.amounts, KCAL: one.amounts[HOURS] * KCAL_OF_HOUR[i % 7]})
            for i, one in enumerate(task.sessions)
        ),
    )


def fits_of(task: TaskSessions, *amounts: Recorded) -> dict[Recorded, Fit]:
    return {amount: fit_season([observed(task, amount)])[0] for amount in amounts}


def joint_draws(fits: dict[Recorded, Fit]) -> dict[tuple[int, Recorded], Array | float]:
    nominal = {
        (method, amount): equal_terms(fit, method, rate).value
        for amount, fit in fits.items()
        for method, rate in rates(fit).items()
    }
    return {
        (method, what): members
        for what, fit in fits.items()
        for method, members in joint_draws_of(
            fit, fits.get(HOURS), {method: number for (method, amount), number in nominal.items() if amount is what}
        ).items()
    }


def array(found: Array | float) -> Array:
    assert isinstance(found, np.ndarray)
    return found


def test_order_by_one_digest() -> None:
    digest = hashlib.shake_256(b"0|spread|3").digest(8 * 4096)
    words = [int.from_bytes(digest[i : i + 8], "big") for i in range(0, len(digest), 8)]
    place = {word: i for i, word in enumerate(sorted(words))}
    assert list(order("spread|3")) == [place[word] for word in words]
    assert sorted(order("a")) == list(range(4096))
    assert scores("a")[7] == NormalDist().inv_cdf((order("a")[7] + 0.5) / 4096)
    assert abs(np.corrcoef(scores("a"), scores("b"))[0, 1]) < 4 / math.sqrt(4096)


def test_ends() -> None:
    members = np.array([100.0, 5.0, 1.0, 2.0, 4.0])
    assert [ends(members, share) for share in (1.0, 0.75, 0.5, 0.0)] == [
        (1.0, 5.0),
        (1.0, 5.0),
        (1.5, 4.5),
        (3.0, 3.0),
    ]
    assert ends(np.array([0.0, 1.0, 2.0, math.inf, math.inf]), 0.4) == pytest.approx((1.7, math.inf))
    assert ends(np.array([3.0, 3.0]), 0.2) == (3.0, 3.0)


@together("name", list(CASES))
def test_printed_intervals_and_draws_agree(name: str) -> None:
    fit = fit_of(name)
    draws = {method: array(found) for (method, _), found in joint_draws({HOURS: fit}).items()}
    for method, rate in rates(fit).items():
        assert draws[method].shape == (4097,)
        assert draws[method][0] == equal_terms(fit, method, rate).value
        assert rate.ends
        assert ends(draws[method]) == pytest.approx(rate.ends, rel=1e-5)
    for (a, b), ratio in ratios(fit, MARGIN).items():
        quotient = draws[a] / draws[b]
        assert ratio.ends
        assert ratio.order
        half_width = math.log(ratio.ends[1] / ratio.ends[0]) / 2
        for end, drawn in zip(ratio.ends, ends(quotient), strict=True):
            assert abs(math.log(drawn / end)) < 0.09 * half_width
        assert (quotient[1:] > 1).mean() == pytest.approx(ratio.order.more, abs=0.01)


@pytest.mark.parametrize("name", ["1", "6", "11", "15"])
def test_quantiles_are_those_of_the_mixture(name: str) -> None:
    fit = fit_of(name)
    mixture = long_run(fit)
    for method, (_, found) in enumerate(joint_draws({HOURS: fit}).items()):
        ordered = np.sort(array(found)[1:])
        for place in (0, 40, 1024, 2500, 4055, 4095):
            exact = mixture.quantile((place + 0.5) / 4096)[0][method]
            assert ordered[place] == pytest.approx(math.exp(exact), rel=1e-6)


def test_another_amount_changes_no_array() -> None:
    task = with_kcal("4")
    alone, both = joint_draws(fits_of(task, HOURS)), joint_draws(fits_of(task, HOURS, KCAL))
    assert set(both) == {(method, amount) for method in (0, 1) for amount in (HOURS, KCAL)}
    for key, found in alone.items():
        assert np.array_equal(array(found), array(both[key]))
    again = joint_draws(fits_of(task, KCAL, HOURS))
    assert all(np.array_equal(array(found), array(again[key])) for key, found in both.items())


def test_other_tasks_have_other_draws() -> None:
    one = array(joint_draws({HOURS: fit_of("2")})[0, HOURS])
    other = array(joint_draws(fits_of(replace(task_of("2"), number=1), HOURS))[0, HOURS])
    assert one[0] == other[0]
    assert np.sort(one) == pytest.approx(np.sort(other), rel=1e-12)
    assert abs(np.corrcoef(one[1:], other[1:])[0, 1]) < 0.07


def test_amounts_correlate_as_their_rows_do() -> None:
    fits = fits_of(with_kcal("3"), HOURS, KCAL)
    deviations = []
    for fit in (fits[HOURS], fits[KCAL]):
        y, method_of = fit.design.y, fit.design.method_of
        means = np.array([y[method_of == method].mean() for method in range(2)])
        deviations.append(y - means[method_of])
    seen = np.corrcoef(deviations)[0, 1]
    shared = correlation(fits[HOURS], fits[KCAL])
    assert shared == pytest.approx((4 * 0.9 + 5 * seen) / 9)
    draws = joint_draws(fits)
    found = np.corrcoef(np.log(array(draws[0, HOURS])[1:]), np.log(array(draws[0, KCAL])[1:]))[0, 1]
    assert 0.6 < found < shared
    without = {KCAL: fits[KCAL]}
    assert correlation(None, fits[KCAL]) == 0.9
    assert set(joint_draws(without)) == {(0, KCAL), (1, KCAL)}


def test_hours_of_one_pair_of_hands_are_the_same_hours() -> None:
    task = task_of("3")
    clock = Recorded.CLOCK_HOURS
    task = replace(
        task,
        sessions=tuple(
            replace(one, amounts={HOURS: t, clock: t}) for one in task.sessions for t in one.amounts.values()
        ),
    )
    draws = joint_draws(fits_of(task, HOURS, clock))
    for method in (0, 1):
        assert array(draws[method, HOURS]) == pytest.approx(array(draws[method, clock]), rel=1e-12)


def test_correlation_without_rows_is_the_assumed_one() -> None:
    sessions = tuple(Session(i, i % 2, 1.0, {HOURS: 2.0 + i, FUEL: 1.0}, i) for i in range(4))
    fits = fits_of(TaskSessions(0, True, sessions), HOURS, FUEL)
    assert correlation(fits[HOURS], fits[FUEL]) == 0.7  # all took the same fuel
    few = fits_of(TaskSessions(0, True, sessions[:2]), HOURS, FUEL)
    assert correlation(few[HOURS], few[FUEL]) == 0.7
    assert correlation(fits[HOURS], fits[HOURS]) == 1.0


def test_what_takes_nothing_stays_a_number() -> None:
    sessions = tuple(Session(i, i % 2, 1.0, {FUEL: float(i % 2) + i * (i % 2) / 10}, i) for i in range(6))
    draws = joint_draws(fits_of(TaskSessions(0, True, sessions), FUEL))
    assert draws[0, FUEL] == 0.0
    assert not isinstance(draws[0, FUEL], np.ndarray)
    assert array(draws[1, FUEL]).min() > 0


def test_cached_draws_are_read_only() -> None:
    with pytest.raises(ValueError, match="read-only"):
        order("a")[0] = 1
