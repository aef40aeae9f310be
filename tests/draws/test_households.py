"""One figure from several households."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats
from worked_cases import as_printed

from wood_xl.draws.households import Household, pooled

SEEN = [Household(0.10, 0.02), Household(0.35, 0.03), Household(0.20, 0.015)]
G = np.array([0.02, 0.05, 0.1, 0.2, 0.35, 0.6, 1.0, 1.6])
ROOM = np.array([0.03, 0.04, 0.075, 0.125, 0.2, 0.325, 0.5, 0.6])


def test_worked_case() -> None:
    found = pooled(SEEN, 0.10)
    printed = [".207110", "-.189633", ".613790", "-.484399", ".911815", "-.146481", ".573431"]
    numbers = [found.log_value, *found.ends, *found.next_ends, *found.ends_without_common]
    assert all(as_printed(number, text) for number, text in zip(numbers, printed, strict=True))


def test_against_a_dense_covariance() -> None:
    y, v = np.array([0.1, 0.9, 0.2, 0.4]), np.array([0.02, 0.03, 0.015, 0.2])
    found = pooled([Household(*pair) for pair in zip(y, v, strict=True)], 0.2)
    # A level that nothing is known of: variance 1e6.
    covariances = [np.diag(v + g**2) + 1e6 for g in G]
    density = [math.exp(-((g / 0.55) ** 2) / 2) * room for g, room in zip(G, ROOM, strict=True)]
    weight = np.array(
        [p * stats.multivariate_normal(np.zeros(4), c).pdf(y) for p, c in zip(density, covariances, strict=True)]
    )
    weight /= weight.sum()
    mean = np.array([1e6 * np.ones(4) @ np.linalg.solve(c, y) for c in covariances])
    assert found.log_value == pytest.approx(weight @ mean, rel=1e-4)
    variance = np.array([1 / (1 / (v + g**2)).sum() for g in G])
    for end, share in zip(found.next_ends, (0.025, 0.975), strict=True):
        assert weight @ stats.norm.cdf((end - mean) / np.sqrt(variance + 0.04 + G**2)) == pytest.approx(
            share, abs=1e-5
        )


def test_one_household_keeps_what_is_assumed_of_others() -> None:
    found = pooled([Household(4.0, 0.0055)], 0.1)
    weight = ROOM * np.exp(-((G / 0.55) ** 2) / 2)
    weight /= weight.sum()
    assert found.log_value == pytest.approx(4.0)
    for ends, variance in ((found.ends, 0.0055 + G**2 + 0.01), (found.next_ends, 0.0055 + 2 * G**2 + 0.01)):
        assert weight @ stats.norm.cdf((ends[1] - 4.0) / np.sqrt(variance)) == pytest.approx(0.975)
        assert ends[0] + ends[1] == pytest.approx(8.0)


def test_order_of_households_changes_nothing() -> None:
    found, again = pooled(SEEN, 0.1), pooled(SEEN[::-1], 0.1)
    assert found.log_value == pytest.approx(again.log_value, rel=1e-14)
    assert found.ends == pytest.approx(again.ends, rel=1e-13)
