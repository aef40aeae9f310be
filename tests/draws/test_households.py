"""One figure from several households."""

from __future__ import annotations

import math

import numpy as np
import pytest
from worked_cases import as_printed

from wood_xl.draws.households import Household, pooled
from wood_xl.verdicts import Agreement, Surety

LOGS, VARIANCES = (0.10, 0.35, 0.20), (0.02, 0.03, 0.015)
G = np.array([0.02, 0.05, 0.1, 0.2, 0.35, 0.6, 1.0, 1.6])
ROOM = np.array([0.03, 0.04, 0.075, 0.125, 0.2, 0.325, 0.5, 0.6])


def sharing(*shared_sd: float) -> list[Household]:
    return [Household(*one) for one in zip(LOGS, VARIANCES, shared_sd, strict=True)]


def test_worked_case() -> None:
    found = pooled(sharing(0.10, 0.10, 0.10))
    printed = [".207110", "-.189633", ".613790", "-.484399", ".911815", "-.146481", ".573431"]
    numbers = [found.log_value, *found.ends, *found.next_ends, *pooled(sharing(0.0, 0.0, 0.0)).ends]
    assert all(as_printed(number, text) for number, text in zip(numbers, printed, strict=True))


def test_against_a_dense_covariance() -> None:
    from scipy import stats

    y, v = np.array([0.1, 0.9, 0.2, 0.4]), np.array([0.02, 0.03, 0.015, 0.2])
    c = np.array([0.1, 0.3, 0.25, 0.0])
    found = pooled([Household(*one) for one in zip(y, v, c, strict=True)])
    # An unknown level: variance 1e6.
    covariances = [np.diag(v + g**2) + 1e6 for g in G]
    density = [math.exp(-((g / 0.55) ** 2) / 2) * room for g, room in zip(G, ROOM, strict=True)]
    weight = np.array(
        [p * stats.multivariate_normal(np.zeros(4), c).pdf(y) for p, c in zip(density, covariances, strict=True)]
    )
    weight /= weight.sum()
    mean = np.array([1e6 * np.ones(4) @ np.linalg.solve(c, y) for c in covariances])
    assert found.log_value == pytest.approx(weight @ mean, rel=1e-4)
    # The shared doubt moves all households at once, each to its own degree, and the mean with them.
    shared = np.array([1e6 * np.ones(4) @ np.linalg.solve(one, c) for one in covariances])
    own = np.array([1e6 - 1e12 * np.ones(4) @ np.linalg.solve(one, np.ones(4)) for one in covariances])
    for ends, more in ((found.ends, 0 * G), (found.next_ends, G)):
        sd = np.sqrt(own + shared**2 + more**2)
        for end, share in zip(ends, (0.025, 0.975), strict=True):
            assert weight @ stats.norm.cdf((end - mean) / sd) == pytest.approx(share, abs=1e-5)
    assert found.spread == pytest.approx(weight @ G, rel=1e-4)
    assert sum(found.shares) == pytest.approx(1)
    assert np.argsort(found.shares).tolist() == np.argsort(-v).tolist()


def test_one_household_keeps_what_is_assumed_of_others() -> None:
    from scipy import stats

    found = pooled([Household(4.0, 0.0055, 0.1)])
    weight = ROOM * np.exp(-((G / 0.55) ** 2) / 2)
    weight /= weight.sum()
    assert found.log_value == pytest.approx(4.0)
    for ends, variance in ((found.ends, 0.0055 + G**2 + 0.01), (found.next_ends, 0.0055 + 2 * G**2 + 0.01)):
        assert weight @ stats.norm.cdf((ends[1] - 4.0) / np.sqrt(variance)) == pytest.approx(0.975)
        assert ends[0] + ends[1] == pytest.approx(8.0)
    assert found.spread == pytest.approx(weight @ G)
    assert (found.shares, found.agreement) == (pytest.approx((1.0,)), Agreement.ONE_SEASON)


def test_two_households_leave_much_open() -> None:
    """Two that agree say little about a third: the prior keeps the ends apart."""
    found = pooled([Household(0.0, 0.005, 0.0), Household(0.0, 0.005, 0.0)])
    plain = 1.96 * math.sqrt(0.005 / 2)
    assert 2 * plain < found.ends[1] < 10 * plain
    assert found.next_ends[1] > 1.5 * found.ends[1]
    assert found.agreement is Agreement.OPEN
    assert found.surety is Surety.OPEN  # each of the two ways is as likely to take less


def test_shared_doubt_is_added_once_however_many_share_it() -> None:
    for n in (2, 10, 200):
        without, found = (pooled([Household(0.1 * (i % 3), 0.01, c) for i in range(n)]) for c in (0.0, 0.28))
        assert (found.log_value, found.shares) == (without.log_value, without.shares)
        half, more = without.ends[1] - without.log_value, found.ends[1] - found.log_value
        assert more == pytest.approx(math.hypot(half, 1.96 * 0.28), rel=0.05)


def test_words_follow_the_spread() -> None:
    def told(spread: float, n: int) -> Agreement:
        return pooled([Household(spread * (i - (n - 1) / 2), 0.002, 0.0) for i in range(n)]).agreement

    assert [told(0.0, 8), told(0.15, 3), told(0.5, 4)] == [Agreement.ALIKE, Agreement.OPEN, Agreement.DIFFER]


def test_a_further_household_lies_as_far_out_on_either_side() -> None:
    seen = [Household(0.0, 0.005, 0.1)] * 4
    below, same, above = (pooled(seen, Household(log, 0.005, 0.1)).beyond for log in (-0.8, 0.0, 0.8))
    assert (below, same) == pytest.approx((above, 1.0))
    assert below < 0.05


def test_order_of_households_changes_nothing() -> None:
    seen = sharing(0.1, 0.0, 0.3)
    found, again = pooled(seen), pooled(seen[::-1])
    assert (found.log_value, found.ends, found.next_ends) == (again.log_value, again.ends, again.next_ends)
    assert found.shares == again.shares[::-1]
