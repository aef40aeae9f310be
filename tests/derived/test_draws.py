"""Deterministic draws by their own laws, and examples of uncertainty worked out with all digits."""

from __future__ import annotations

import hashlib
import json
import math
import statistics
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import uncertainties
from scipy.special import stdtrit

from wood_xl.draws.compare import satterthwaite_df
from wood_xl.draws.least_squares import least_squares
from wood_xl.draws.moderated import linearised_se, ratio_of_totals
from wood_xl.draws.strata import (
    limits_of_draws,
    normal_draws,
    normal_strata,
    strata_order,
    t_draws,
)

GUM: dict[str, Any] = json.loads((Path(__file__).parent / "gum_examples.json").read_text(encoding="utf-8"))
TABLE_SHA256 = "037e91c719becff983d3d68003992adabebc3e6e13662087508199b4d952a07d"
ROOT_3 = math.sqrt(3)
STRATA = 4096
# With 4096 strata two factors are correlated by up to a few hundredths: the error of a combined SD is of this size.
SD_ERROR, LIMIT_ERROR = 0.02, 0.05


def rectangular_draws(*, key: str, low: float, high: float) -> Any:
    """Middles of the strata between two limits, in the order of the key."""
    return low + (high - low) * (np.array(strata_order(key=key, strata_n=STRATA)) + 0.5) / STRATA


def test_normal_table_is_the_same_on_every_platform() -> None:
    text = ",".join(z.hex() for z in normal_strata(strata_n=4096))
    assert hashlib.sha256(text.encode()).hexdigest() == TABLE_SHA256


@pytest.mark.parametrize(
    ("key", "order"),
    [("diameter_tape_scale", (4, 2, 1, 7, 6, 3, 5, 0)), ("hr_equation", (3, 5, 6, 2, 7, 0, 4, 1))],
)
def test_order_follows_from_the_key_alone(key: str, order: tuple[int, ...]) -> None:
    assert strata_order(key=key, strata_n=8) == order


def test_margins_are_exact() -> None:
    assert np.sort(normal_draws(key="any")) == pytest.approx(np.array(normal_strata(strata_n=4096)), abs=0)
    flat = rectangular_draws(key="any", low=-1.0, high=3.0)
    assert (float(flat.mean()), float(flat.min()), float(flat.max())) == pytest.approx((1.0, -1.0, 3.0), abs=1e-3)
    assert float(np.sort(t_draws(key="any", df=3))[-1]) == pytest.approx(float(stdtrit(3, 1 - 0.5 / 4096)))


def test_other_factors_do_not_move_a_draw() -> None:
    before = normal_draws(key="person:1/hr_equation")
    for i in range(20):
        normal_draws(key=f"another:{i}")
    assert np.array_equal(before, normal_draws(key="person:1/hr_equation"))
    assert abs(float(np.corrcoef(before, normal_draws(key="another:1"))[0, 1])) < 0.05


def test_limits_follow_the_strata() -> None:
    assert limits_of_draws(draws=normal_draws(key="x"), level_frac=0.95) == pytest.approx(
        (-1.95996, 1.95996), abs=1e-4
    )


def test_shared_factor_cancels_in_a_ratio_and_not_in_a_difference() -> None:
    shared, a, b = (normal_draws(key=key) for key in ("shared", "a", "b"))
    first, second = (1 + 0.15 * shared) * (1 + 0.04 * a), (1 + 0.15 * shared) * (1 + 0.04 * b)
    other = (1 + 0.15 * normal_draws(key="not shared")) * (1 + 0.04 * b)
    assert float(np.std(first / second)) == pytest.approx(0.0566, abs=0.001)
    assert float(np.std(first - other)) == pytest.approx(0.2195, rel=SD_ERROR)
    assert float(np.corrcoef(first, second)[0, 1]) == pytest.approx(0.934, abs=0.003)
    difference, naive = 420 * first - 150 * second, 420 * first - 150 * other
    assert [float(np.std(d)) for d in (difference, naive)] == pytest.approx([44, 69], rel=SD_ERROR)
    x = uncertainties.ufloat(1, 0.15)
    parts = [x * uncertainties.ufloat(1, 0.04) for _ in range(2)]
    assert float(np.std(first / second)) == pytest.approx((parts[0] / parts[1]).s, rel=SD_ERROR)


def test_end_gauge() -> None:
    """GUM H.1: length of a block against a standard, with a product of two factors that are nearly 0."""
    case = GUM["H1"]["full_precision"]
    d_parts, theta = [(5.8, 24), (3.9, 5), (6.7, 8)], 0.406201920231798
    u_d = math.sqrt(math.fsum(u * u for u, _ in d_parts))
    assert u_d == pytest.approx(case["u_d"])
    assert satterthwaite_df(variances=[u * u for u, _ in d_parts], dfs=[df for _, df in d_parts]) == pytest.approx(
        case["nu_d"]
    )
    ls = 50000623
    parts = [25.0, u_d, ls * 0.1 * 1e-6 / ROOT_3, ls * 1.15e-5 * 0.05 / ROOT_3]
    dfs = [18, case["nu_d"], 50, 2]
    assert math.sqrt(math.fsum(u * u for u in parts)) == pytest.approx(case["u_c"], rel=1e-6)
    assert satterthwaite_df(variances=[u * u for u in parts], dfs=dfs) == pytest.approx(case["nu_eff"], rel=1e-6)
    alpha = 1.15e-5 + rectangular_draws(key="alpha", low=-2e-6, high=2e-6)
    d_alpha = rectangular_draws(key="d_alpha", low=-1e-6, high=1e-6)
    d_theta = rectangular_draws(key="d_theta", low=-0.05, high=0.05)
    standard = ls + 25 * normal_draws(key="ls")
    length = standard + 215 + u_d * normal_draws(key="d")
    length = length - standard * (d_alpha * (-0.1 + theta * normal_draws(key="theta")) + alpha * d_theta)
    assert float(length.std()) == pytest.approx(case["u_c_second_order_H1_7"], rel=SD_ERROR)


def test_thermometer_line() -> None:
    """GUM H.3: a straight line, the correlation of its coefficients, and a prediction."""
    case = GUM["H3"]
    fit = least_squares(columns=([1.0] * 11, [t - case["t0"] for t in case["t"]]), values=case["b"])
    full = case["full_precision"]
    assert fit.coefficients == pytest.approx((full["y1"], full["y2"]), rel=1e-9)
    errors = [fit.combined(one)[1] for one in ((1.0, 0.0), (0.0, 1.0))]
    assert errors == pytest.approx([full["s_y1"], full["s_y2"]], rel=1e-5)
    assert fit.covariance[0][1] / errors[0] / errors[1] == pytest.approx(full["r"], rel=1e-9)
    assert fit.combined((1.0, 10.0)) == pytest.approx((full["b30"], full["u_b30"]), rel=1e-9)


def test_ratio_of_correlated_counts() -> None:
    """GUM H.4: the ratio of two means to first order is the ratio of totals with its linear error."""
    case, rates = GUM["H4"], {}
    for name in ("x", "s"):
        readings = zip(case[f"C{name}"], case["Cb"], case[f"t{name}"], strict=True)
        rates[name] = [(c - b) / case["T0_min"] * math.exp(case["lambda_per_min"] * t) for c, b, t in readings]
        assert statistics.fmean(rates[name]) == pytest.approx(case["full_precision"][f"R{name}"], rel=1e-9)
    both = {"amounts": rates["x"], "quantities": rates["s"]}
    assert ratio_of_totals(**both) == pytest.approx(case["full_precision"]["ratio_of_means"], rel=1e-9)
    assert linearised_se(**both) == pytest.approx(case["full_precision"]["u_ratio_of_means"], rel=1e-9)


def four(draw: Any, widths: tuple[float, ...]) -> Any:
    return sum(draw(f"x{i}", width) for i, width in enumerate(widths))


@pytest.mark.parametrize(
    ("case_id", "widths", "end"),
    [("add_rectangular", (1, 1, 1, 1), "interval95_exact"), ("add_unequal", (1, 1, 1, 10), "interval95_exact")],
)
def test_sums_of_rectangular_inputs(case_id: str, widths: tuple[float, ...], end: str) -> None:
    total = four(lambda key, w: rectangular_draws(key=key, low=-w * ROOT_3, high=w * ROOT_3), widths)
    case = GUM["JCGM101"][case_id]
    assert float(total.std()) == pytest.approx(case["u"], rel=SD_ERROR)
    limits = limits_of_draws(draws=total, level_frac=0.95)
    assert limits == pytest.approx((-case[end], case[end]), rel=LIMIT_ERROR)


def test_sum_of_normal_inputs() -> None:
    case, total = GUM["JCGM101"]["add_normal"], four(lambda key, w: w * normal_draws(key=key), (1, 1, 1, 1))
    assert float(total.std()) == pytest.approx(case["u"], rel=SD_ERROR)
    limits = limits_of_draws(draws=total, level_frac=0.95)
    assert limits == pytest.approx((-case["interval95"], case["interval95"]), rel=LIMIT_ERROR)


def test_mass_against_a_standard() -> None:
    m = 100000 + 0.05 * normal_draws(key="mRc") + 1.234 + 0.02 * normal_draws(key="dmRc")
    air = rectangular_draws(key="ra", low=1.1, high=1.3)
    weight = 1 / rectangular_draws(key="rw", low=7000, high=9000) - 1 / rectangular_draws(
        key="rr", low=7950, high=8050
    )
    result = m * (1 + (air - 1.2) * weight) - 100000
    case = GUM["JCGM101"]["mass"]
    assert float(result.mean()) == pytest.approx(case["mean"], abs=0.002)
    assert float(result.std()) == pytest.approx(case["u_exact"], rel=SD_ERROR)


@pytest.mark.parametrize("row", GUM["JCGM101"]["comparison_loss"]["rows"], ids=lambda row: f"x1={row['x1']}")
def test_comparison_loss(row: dict[str, float]) -> None:
    loss = (row["x1"] + 0.005 * normal_draws(key="x1")) ** 2 + (0.005 * normal_draws(key="x2")) ** 2
    assert float(loss.mean()) == pytest.approx(row["mean"], rel=0.01)
    assert float(loss.std()) == pytest.approx(row["u"], rel=SD_ERROR)


def test_logarithm_of_a_rectangular_input() -> None:
    case = GUM["JCGM101"]["npl_log"]
    draws = np.log(rectangular_draws(key="x", low=0.1, high=1.1))
    assert float(draws.mean()) == pytest.approx(case["mean_exact"], abs=1e-4)
    assert float(draws.std()) == pytest.approx(case["u"], rel=1e-3)


def test_tape() -> None:
    """Reading errors of ten logs average out; the scale of the tape does not."""
    case = json.loads((Path(__file__).parent / "field_cases.json").read_text(encoding="utf-8"))["tape_budget"]
    scale = 1 + 0.005 * normal_draws(key="tape_scale")
    logs = []
    for i, d in enumerate(case["diameter_cm"]):
        reading = d / 100 + rectangular_draws(key=f"reading {i}", low=-0.005, high=0.005)
        out_of_round = 1 + 0.03 * normal_draws(key=f"round {i}")
        logs.append(math.pi / 4 * (reading * out_of_round * scale) ** 2)
    areas = sum(logs)
    assert float(np.median(areas)) == pytest.approx(case["sum_area_m2"], rel=0.002)
    assert float(np.std(areas)) == pytest.approx(case["combined"], rel=LIMIT_ERROR)


def test_gauge_block_with_assigned_distributions() -> None:
    """JCGM 101, 9.5: the same block as in GUM H.1, with t and arcsine distributions and limits known inexactly."""

    def inexact(key: str, half: float, d: float) -> Any:
        width = rectangular_draws(key=f"{key} limit", low=half - d, high=half + d)
        return width * rectangular_draws(key=key, low=-1, high=1)

    ls = 50000623 + 25 * t_draws(key="ls", df=18)
    d = 215 + 9.681941953967705 * t_draws(key="d", df=25)
    alpha = 1.15e-5 + rectangular_draws(key="alpha", low=-2e-6, high=2e-6)
    swing = 0.5 * np.sin(rectangular_draws(key="swing", low=-math.pi / 2, high=math.pi / 2))
    theta = -0.1 + 0.2 * normal_draws(key="theta") + swing
    d_alpha = inexact("d_alpha", 1e-6, 0.1e-6)
    d_theta = inexact("d_theta", 0.05, 0.025)
    length = ls + d - ls * (d_alpha * theta + alpha * d_theta) - 50000000
    assert float(length.mean()) == pytest.approx(GUM["JCGM101"]["gauge_block"]["mean"], abs=0.5)
    assert float(length.std()) == pytest.approx(GUM["JCGM101"]["gauge_block"]["u_recomputed"], rel=SD_ERROR)
