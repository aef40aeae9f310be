"""How often the intervals hold the truth, by a fixed recipe: log-normal days, sessions of unequal size.

Raw integers of PCG64 are the same everywhere for the same seed; everything else follows from them.
"""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest

from wood_xl.draws.compare import ratio_of_rates, steadied
from wood_xl.draws.moderated import Rate, rate_of_sessions

TRIALS = 6000
# Coverage computed with 100 000 trials each; the error of 6000 is about 0.003.
COVERAGE = {
    0.10: {1: 1.000, 2: 1.000, 3: 1.000, 5: 1.000},
    0.20: {1: 1.000, 2: 0.999, 3: 0.995, 5: 0.987},
    0.30: {1: 0.991, 2: 0.976, 3: 0.965, 5: 0.953},
    0.40: {1: 0.948, 2: 0.927, 3: 0.919, 5: 0.921},
}
DATA_ONLY = {2: 0.948, 3: 0.942, 5: 0.939}  # at a spread of 0.30
RATIOS = [(1, 1, 0.959), (1, 3, 0.969), (2, 2, 0.948), (3, 3, 0.946), (5, 5, 0.943)]  # at a spread of 0.30
SLACK = 0.012
SIZE_SPREAD = math.sqrt(math.log(1 + 0.5**2))


def normals(seed: int, count: int) -> list[float]:
    raw = np.random.PCG64(seed).random_raw(count)
    inverse = NormalDist().inv_cdf
    return [inverse((int(one >> np.uint64(11)) + 0.5) * 2.0**-53) for one in raw]


def trials(seed: int, n: int, spread: float) -> list[Rate]:
    """Rates of many methods whose expected amount for a unit of wood is 1."""
    z = iter(normals(seed, 2 * n * TRIALS))
    rates = []
    for _ in range(TRIALS):
        sizes = [math.exp(SIZE_SPREAD * next(z)) for _ in range(n)]
        amounts = [size * math.exp(spread * next(z) - spread**2 / 2) for size in sizes]
        rates.append(rate_of_sessions(amounts=amounts, quantities=sizes))
    return rates


def holds(interval: tuple[float, float] | None) -> bool:
    assert interval is not None
    return interval[0] <= 1.0 <= interval[1]


@pytest.mark.slow
@pytest.mark.parametrize("n", [1, 2, 3, 5])
@pytest.mark.parametrize("spread", COVERAGE)
def test_rate(spread: float, n: int) -> None:
    share = sum(holds(rate.interval) for rate in trials(round(1000 * spread) + n, n, spread)) / TRIALS
    assert share == pytest.approx(COVERAGE[spread][n], abs=SLACK)


@pytest.mark.slow
@pytest.mark.parametrize("n", DATA_ONLY)
def test_rate_from_the_sessions_alone(n: int) -> None:
    share = sum(holds(rate.data_interval) for rate in trials(7000 + n, n, 0.30)) / TRIALS
    assert share == pytest.approx(DATA_ONLY[n], abs=SLACK)


@pytest.mark.slow
@pytest.mark.parametrize(("first_n", "second_n", "coverage"), RATIOS)
def test_ratio(first_n: int, second_n: int, coverage: float) -> None:
    pairs = zip(trials(8000 + first_n, first_n, 0.30), trials(9000 + second_n, second_n, 0.30), strict=True)
    intervals = [ratio_of_rates(first=steadied(rate=a), second=steadied(rate=b)).interval(0.95) for a, b in pairs]
    assert sum(map(holds, intervals)) / TRIALS == pytest.approx(coverage, abs=SLACK)
