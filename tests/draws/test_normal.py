"""Normal distributions and mixtures of them, against another program."""

from __future__ import annotations

import numpy as np
import pytest
from few import together

from wood_xl.data.load import constants
from wood_xl.draws.normal import Mixture, normal_cdf, student_quantile


def test_shares_of_the_normal_distribution() -> None:
    from scipy import stats

    z = np.linspace(-9.9, 9.9, 100_003)
    exact = stats.norm.cdf(z)
    assert np.abs(normal_cdf(z) - exact).max() < 4e-15
    assert np.abs(normal_cdf(z[z < 0]) / exact[z < 0] - 1).max() < 1e-9
    assert normal_cdf(np.array([-40.0, 40.0])) == pytest.approx([0.0, 1.0], abs=1e-20)


@together("df", [1, 2, 3, 4, 7, 30, 101])
def test_quantiles_of_student(df: int) -> None:
    from scipy import stats

    for share in (0.6, 0.975, 0.995, 0.9975):
        assert student_quantile(share, df) == pytest.approx(stats.t.ppf(share, df), rel=1e-9)


def test_without_a_degree_of_freedom_there_is_no_quantile() -> None:
    with pytest.raises(ValueError, match="0 degrees of freedom"):
        student_quantile(0.975, 0)


def test_quantiles_of_a_mixture() -> None:
    from scipy import stats

    mean = np.array([[0.0, 0.1, 100.0], [1.0, -3.0, 0.5]])
    sd = np.array([[1e-6, 1.0, 2.0], [0.1, 0.1, 3.0]])
    mixture = Mixture(mean, sd, np.array([0.2, 0.3, 0.5]))
    for share in (0.001, 0.025, 0.4, 0.5000001, 0.975):
        for i, x in enumerate(mixture.quantile(share)[0]):
            assert mixture.weight @ stats.norm.cdf((x - mean[i]) / sd[i]) == pytest.approx(share, abs=1e-9)
            assert mixture.share_below(x)[i] == pytest.approx(share, abs=1e-9)
            assert mixture.share_above(x)[i] == pytest.approx(1 - share, abs=1e-9)
    middle = mean @ mixture.weight
    assert mixture.variance() == pytest.approx((sd**2 + mean**2) @ mixture.weight - middle**2)


def test_weights_of_the_grid_sum_to_one() -> None:
    for name in ("day_share", "person_sd"):
        weights = [
            one.value
            for key, one in constants().items()
            if key.startswith(f"model.{name}.") and key.endswith("weight")
        ]
        assert sum(weights) == pytest.approx(1, abs=1e-15)
