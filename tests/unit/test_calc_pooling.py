"""Random-effects pooling against a well-known example and against statsmodels."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.meta_analysis import combine_effects

from wood_xl.draws.pooling import agreement, pooled, without_each
from wood_xl.verdicts import Agreement

# Thirteen trials of a vaccine: Colditz and others, JAMA 271 (1994), 698-702. Table and results from memory, as many
# textbooks print them. Cases and others among the vaccinated, cases and others among the rest.
TRIALS = [
    (4, 119, 11, 128), (6, 300, 29, 274), (3, 228, 11, 209), (62, 13536, 248, 12619), (33, 5036, 47, 5761),
    (180, 1361, 372, 1079), (8, 2537, 10, 619), (505, 87886, 499, 87892), (29, 7470, 45, 7232),
    (17, 1699, 65, 1600), (186, 50448, 141, 27197), (5, 2493, 3, 2338), (27, 16886, 29, 17825),
]  # fmt: skip


def log_risk_ratios() -> tuple[list[float], list[float]]:
    logs, variances = [], []
    for a, b, c, d in TRIALS:
        logs.append(math.log(a / (a + b)) - math.log(c / (c + d)))
        variances.append(1 / a - 1 / (a + b) + 1 / c - 1 / (c + d))
    return logs, variances


def test_textbook_example() -> None:
    logs, variances = log_risk_ratios()
    found = pooled(logs=logs, variances=variances)
    assert round(found.log_mean, 4) == -0.7141
    assert round(found.tau2, 4) == 0.3088
    assert round(found.q, 2) == 152.23
    assert round(100 * found.i2_frac, 2) == 92.12
    plain = math.sqrt(1 / math.fsum(1 / (v + found.tau2) for v in variances))
    assert round(plain, 4) == 0.1787


numbers = st.lists(st.tuples(st.floats(-2, 2), st.floats(0.001, 1)), min_size=2, max_size=9)


@pytest.mark.filterwarnings("ignore::RuntimeWarning")  # theirs divides by 0 where nothing lies between the seasons
@given(numbers)
def test_statsmodels_agrees(pairs: list[tuple[float, float]]) -> None:
    logs, variances = [y for y, _ in pairs], [v for _, v in pairs]
    found = pooled(logs=logs, variances=variances)
    theirs = combine_effects(np.array(logs), np.array(variances), method_re="dl", use_t=True)
    assert math.isclose(found.tau2, max(0.0, theirs.tau2), rel_tol=1e-9, abs_tol=1e-12)
    assert math.isclose(found.q, theirs.q, rel_tol=1e-9, abs_tol=1e-9)
    if theirs.tau2 > 0:  # a negative estimate is cut to 0 here and kept there
        assert math.isclose(found.log_mean, theirs.mean_effect_re, rel_tol=1e-9, abs_tol=1e-9)
        expected = max(theirs.sd_eff_w_re_hksj, theirs.sd_eff_w_re)
        assert math.isclose(found.se, expected, rel_tol=1e-9)


@given(numbers)
def test_laws(pairs: list[tuple[float, float]]) -> None:
    logs, variances = [y for y, _ in pairs], [v for _, v in pairs]
    found = pooled(logs=logs, variances=variances)
    assert min(logs) - 1e-9 <= found.log_mean <= max(logs) + 1e-9
    assert math.isclose(math.fsum(found.weights_frac), 1)
    moved = pooled(logs=[y + 1 for y in logs], variances=variances)
    assert math.isclose(moved.log_mean, found.log_mean + 1, abs_tol=1e-9)
    assert math.isclose(moved.se, found.se, rel_tol=1e-6, abs_tol=1e-9)
    assert found.interval is not None
    low, high = found.interval
    assert low < math.exp(found.log_mean) < high
    assert (found.next_season is None) is (len(pairs) < 3)
    assert [one.n for one in without_each(logs=logs, variances=variances)] == [len(pairs) - 1] * len(pairs)


def test_one_season_is_itself() -> None:
    found = pooled(logs=[0.3], variances=[0.04])
    assert (found.log_mean, found.tau2, found.interval, found.next_season) == (0.3, 0.0, None, None)
    assert math.isclose(found.se, 0.2)


def test_equal_seasons_keep_the_plain_error() -> None:
    found = pooled(logs=[0.3] * 4, variances=[0.04] * 4)
    assert math.isclose(found.se, 0.1)
    assert found.i2_frac == 0


def test_words() -> None:
    shares = (0.0, 0.49, 0.5, 0.75)
    assert len({agreement(seasons_n=3, i2_frac=share) for share in shares}) == 3
    assert agreement(seasons_n=1, i2_frac=0.0) is Agreement.ONE_SEASON
    assert agreement(seasons_n=2, i2_frac=0.9) is Agreement.TOO_FEW


@pytest.mark.parametrize("variances", [[0.1], [0.1, 0.0], [0.1, math.nan]])
def test_what_cannot_be_pooled_is_refused(variances: list[float]) -> None:
    with pytest.raises(ValueError, match=r"variance|longer|shorter"):
        pooled(logs=[0.1, 0.2], variances=variances)
    with pytest.raises(ValueError, match="no season"):
        pooled(logs=[], variances=[])
