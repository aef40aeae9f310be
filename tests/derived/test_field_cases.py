"""Fits and means of invented field data, against values worked out by other libraries."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from wood_xl.hours.fatigue import LogEstimate, mean_of_logs
from wood_xl.hours.oddities import dominating_session
from wood_xl.wood.log_slope import time_of_session_totals, time_of_single_cuts

CASES: dict[str, Any] = json.loads((Path(__file__).parent / "field_cases.json").read_text(encoding="utf-8"))


def near(expected: Any) -> Any:
    return pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("of", ["hand_saw", "chainsaw"])
def test_mean_of_log_rates(of: str) -> None:
    data, case = CASES["F1_data"][of], CASES["F1_log_rates"][of]
    rates = mean_of_logs(values=np.divide(data["minutes"], data["area_m2"]).tolist())
    assert rates.value == near(case["geometric_mean"])
    assert rates.interval() == near(tuple(case["interval95"]))


def test_mean_of_differences_on_a_known_set_of_data() -> None:
    case = CASES["sleep"]
    paired = mean_of_logs(values=[math.exp(a - b) for a, b in zip(case["group1"], case["group2"], strict=True)])
    assert [math.log(end) for end in paired.interval()] == near(case["paired_interval95"])


def test_mean_of_log_ratios() -> None:
    case = CASES["paired_blocks"]
    days = mean_of_logs(values=[h / s for h, s in zip(case["hand"], case["saw"], strict=True)])
    assert (days.value, days.df) == (near(case["ratio"]), case["df"])
    assert math.sqrt(days.variance * len(case["hand"])) == near(case["sd_log_ratio"])
    assert days.interval() == near(tuple(case["interval95"]))


def test_times_of_single_cuts() -> None:
    case = CASES["cut_time_regression"]
    areas = [math.pi * (d / 200) ** 2 for d in case["diameter_cm"]]
    cut = time_of_single_cuts(areas_m2=areas, times_s=case["seconds"])
    assert (cut.per_cut, cut.per_m2) == (near(case["a"]), near(case["b"]))
    assert cut.fit.combined((1.0, 0.0))[1] == near(case["se_a"])
    assert cut.fit.combined((0.0, 1.0))[1] == near(case["se_b"])
    assert cut.fit.residual_sd == near(case["residual_sd"])
    at_24 = cut.fit.combined((1.0, math.pi * 0.12**2))
    assert at_24 == (near(case["at_24_cm"]["mean"]), near(case["at_24_cm"]["mean_se"]))
    import statsmodels.api as sm

    oracle = sm.OLS(case["seconds"], sm.add_constant(np.array(areas))).fit()
    assert np.array(cut.fit.covariance) == near(oracle.cov_params())


def test_totals_of_sessions() -> None:
    case = CASES["session_totals_regression"]
    cut = time_of_session_totals(cuts_n=case["cuts"], areas_m2=case["area_m2"], times_s=case["minutes"])
    assert (cut.per_cut, cut.per_m2) == (near(case["a"]), near(case["b"]))
    assert [cut.fit.combined(one)[1] for one in ((1.0, 0.0), (0.0, 1.0))] == near(case["se"])
    assert (cut.fit.df, cut.fit.residual_sd) == (case["df"], near(case["residual_sd"]))


def test_one_long_session_dominates() -> None:
    assert dominating_session(quantities=[1, 12, 1, 1]) == 1
    assert dominating_session(quantities=[1, 2, 1, 2]) is None


def test_an_interval_without_error_is_its_middle() -> None:
    assert LogEstimate(math.log(2.0), variance=0.0, df=3).interval() == (2.0, 2.0)
