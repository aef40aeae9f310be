"""Deterministic draws by their own laws, and examples of uncertainty worked out with all digits."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import uncertainties

from wood_xl.draws.ensemble import WORLDS, Worlds, ends, shares
from wood_xl.draws.inputs import by_doubt, by_range, evenly

GUM: dict[str, Any] = json.loads((Path(__file__).parent / "gum_examples.json").read_text(encoding="utf-8"))
ROOT_3 = math.sqrt(3)
STRATA = 4096
# With 4096 strata two factors are correlated by up to a few hundredths: the error of a combined SD is of this size.
SD_ERROR, LIMIT_ERROR = 0.02, 0.05


def normal(key: str) -> Any:
    """Draws of a standard normal distribution, without the nominal member."""
    return WORLDS.scores(key)[1:]


def rectangular(key: str, low: float, high: float) -> Any:
    """Draws of a number that lies anywhere between two limits."""
    return evenly(key, (low + high) / 2, low, high)[1:]


def student(key: str, df: float) -> Any:
    """Draws of Student's t."""
    from scipy.special import stdtrit

    return stdtrit(df, shares(key))[1:]


def limits(draws: Any) -> tuple[float, float]:
    """Ends that 95 % of the draws lie between; a nominal member that is far away must not count."""
    return ends(np.append(1e9, draws), 0.95)


def test_margins_are_exact() -> None:
    from scipy.special import stdtrit

    flat = rectangular("any", -1.0, 3.0)
    assert (float(flat.mean()), float(flat.min()), float(flat.max())) == pytest.approx((1.0, -1.0, 3.0), abs=1e-3)
    assert float(np.sort(student("any", 3))[-1]) == pytest.approx(float(stdtrit(3, 1 - 0.5 / STRATA)))
    assert (normal("any").size, rectangular("any", 0.0, 1.0).size) == (STRATA, STRATA)


def test_other_factors_do_not_move_a_draw() -> None:
    before = normal("person:1/hr_equation").copy()
    for i in range(20):
        normal(f"another:{i}")
    assert np.array_equal(before, normal("person:1/hr_equation"))
    assert np.array_equal(before, Worlds(has_sessions=False).scores("person:1/hr_equation")[1:])
    assert abs(float(np.corrcoef(before, normal("another:1"))[0, 1])) < 0.05


def test_limits_follow_the_draws() -> None:
    assert limits(normal("x")) == pytest.approx((-1.95996, 1.95996), abs=1e-4)


def test_a_range_holds_95_percent_of_its_draws_with_as_many_beyond_either_end() -> None:
    members = by_range("life", 10.0, 5.0, 30.0)
    draws = members[1:]
    assert members[0] == 10.0
    assert (np.mean(draws < 5.0), np.mean(draws > 30.0)) == pytest.approx((0.025, 0.025), abs=1 / STRATA)
    assert float(np.median(draws)) == pytest.approx(10.0, rel=1e-3)


def test_a_doubt_is_the_relative_standard_uncertainty_of_its_factor() -> None:
    """The mean of a log-normal factor with median 1 is exp(s^2 / 2), its relative standard deviation u."""
    draws = by_doubt("factor", 0.3)[1:]
    assert float(draws.std() / draws.mean()) == pytest.approx(0.3, rel=0.01)
    assert float(draws.mean()) == pytest.approx(math.sqrt(1.09), rel=0.005)


def test_shared_factor_cancels_in_a_ratio_and_not_in_a_difference() -> None:
    shared, a, b = (normal(key) for key in ("shared", "a", "b"))
    first, second = (1 + 0.15 * shared) * (1 + 0.04 * a), (1 + 0.15 * shared) * (1 + 0.04 * b)
    other = (1 + 0.15 * normal("not shared")) * (1 + 0.04 * b)
    assert float(np.std(first / second)) == pytest.approx(0.0566, abs=0.001)
    assert float(np.std(first - other)) == pytest.approx(0.2195, rel=SD_ERROR)
    # A correlation found by 4096 draws has an error of (1 - r^2) / 64 = 0.002; three of them are let pass.
    assert float(np.corrcoef(first, second)[0, 1]) == pytest.approx(0.934, abs=0.006)
    difference, naive = 420 * first - 150 * second, 420 * first - 150 * other
    assert [float(np.std(d)) for d in (difference, naive)] == pytest.approx([44, 69], rel=SD_ERROR)
    x = uncertainties.ufloat(1, 0.15)
    parts = [x * uncertainties.ufloat(1, 0.04) for _ in range(2)]
    assert float(np.std(first / second)) == pytest.approx((parts[0] / parts[1]).s, rel=SD_ERROR)


def four(draw: Any, widths: tuple[float, ...]) -> Any:
    return sum(draw(f"x{i}", width) for i, width in enumerate(widths))


@pytest.mark.parametrize(
    ("case_id", "widths", "end"),
    [("add_rectangular", (1, 1, 1, 1), "interval95_exact"), ("add_unequal", (1, 1, 1, 10), "interval95_exact")],
)
def test_sums_of_rectangular_inputs(case_id: str, widths: tuple[float, ...], end: str) -> None:
    total = four(lambda key, w: rectangular(key, -w * ROOT_3, w * ROOT_3), widths)
    case = GUM["JCGM101"][case_id]
    assert float(total.std()) == pytest.approx(case["u"], rel=SD_ERROR)
    assert limits(total) == pytest.approx((-case[end], case[end]), rel=LIMIT_ERROR)


def test_sum_of_normal_inputs() -> None:
    case, total = GUM["JCGM101"]["add_normal"], four(lambda key, w: w * normal(key), (1, 1, 1, 1))
    assert float(total.std()) == pytest.approx(case["u"], rel=SD_ERROR)
    assert limits(total) == pytest.approx((-case["interval95"], case["interval95"]), rel=LIMIT_ERROR)


@pytest.mark.parametrize("row", GUM["JCGM101"]["comparison_loss"]["rows"], ids=lambda row: f"x1={row['x1']}")
def test_comparison_loss(row: dict[str, float]) -> None:
    loss = (row["x1"] + 0.005 * normal("x1")) ** 2 + (0.005 * normal("x2")) ** 2
    assert float(loss.mean()) == pytest.approx(row["mean"], rel=0.01)
    assert float(loss.std()) == pytest.approx(row["u"], rel=SD_ERROR)


def test_logarithm_of_a_rectangular_input() -> None:
    case = GUM["JCGM101"]["npl_log"]
    draws = np.log(rectangular("x", 0.1, 1.1))
    assert float(draws.mean()) == pytest.approx(case["mean_exact"], abs=1e-4)
    assert float(draws.std()) == pytest.approx(case["u"], rel=1e-3)


def test_tape() -> None:
    """Reading errors of ten logs average out; the scale of the tape does not."""
    case = json.loads((Path(__file__).parent / "field_cases.json").read_text(encoding="utf-8"))["tape_budget"]
    scale = 1 + 0.005 * normal("tape_scale")
    logs = []
    for i, d in enumerate(case["diameter_cm"]):
        reading = d / 100 + rectangular(f"reading {i}", -0.005, 0.005)
        out_of_round = 1 + 0.03 * normal(f"round {i}")
        logs.append(math.pi / 4 * (reading * out_of_round * scale) ** 2)
    areas = sum(logs)
    assert float(np.median(areas)) == pytest.approx(case["sum_area_m2"], rel=0.002)
    assert float(np.std(areas)) == pytest.approx(case["combined"], rel=LIMIT_ERROR)


def test_gauge_block_with_assigned_distributions() -> None:
    """JCGM 101, 9.5: the same block as in GUM H.1, with t and arcsine distributions and limits known inexactly."""

    def inexact(key: str, half: float, d: float) -> Any:
        width = rectangular(f"{key} limit", half - d, half + d)
        return width * rectangular(key, -1, 1)

    ls = 50000623 + 25 * student("ls", 18)
    d = 215 + 9.681941953967705 * student("d", 25)
    alpha = 1.15e-5 + rectangular("alpha", -2e-6, 2e-6)
    swing = 0.5 * np.sin(rectangular("swing", -math.pi / 2, math.pi / 2))
    theta = -0.1 + 0.2 * normal("theta") + swing
    d_alpha = inexact("d_alpha", 1e-6, 0.1e-6)
    d_theta = inexact("d_theta", 0.05, 0.025)
    length = ls + d - ls * (d_alpha * theta + alpha * d_theta) - 50000000
    assert float(length.mean()) == pytest.approx(GUM["JCGM101"]["gauge_block"]["mean"], abs=0.5)
    assert float(length.std()) == pytest.approx(GUM["JCGM101"]["gauge_block"]["u_recomputed"], rel=SD_ERROR)
