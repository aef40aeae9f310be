"""Rates, comparisons and adjustments of invented field data, against values worked out by other libraries."""

from __future__ import annotations

import json
import math
import statistics
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats
from statsmodels.stats.weightstats import ttost_ind

from wood_xl.draws.compare import (
    LogEstimate,
    Outcome,
    mean_of_logs,
    probability_above,
    probability_within,
    ratio_of_rates,
    satterthwaite_df,
    steadied,
    verdict,
)
from wood_xl.draws.further_sessions import Trial, further_sessions, half_width_factor
from wood_xl.draws.moderated import (
    dominating_session,
    effective_sessions,
    linearised_se,
    log_interval,
    rate_of_sessions,
)
from wood_xl.draws.student import chi2_quantile
from wood_xl.hours.learning import trend_of_rates
from wood_xl.wood.log_slope import ratio_at_one_diameter, time_of_session_totals, time_of_single_cuts

CASES: dict[str, Any] = json.loads((Path(__file__).parent / "field_cases.json").read_text(encoding="utf-8"))
F1 = CASES["F1_data"]


def near(expected: Any) -> Any:
    return pytest.approx(expected, rel=1e-9)


def quantities(of: str) -> dict[str, list[float]]:
    return {"amounts": F1[of]["minutes"], "quantities": F1[of]["area_m2"]}


def data_only(of: str) -> LogEstimate:
    rate = rate_of_sessions(**quantities(of))
    assert rate.data_se_log is not None
    return LogEstimate(math.log(rate.value), rate.data_se_log**2, rate.n - 1)


def log_rates(of: str) -> LogEstimate:
    return mean_of_logs(values=[t / q for t, q in zip(F1[of]["minutes"], F1[of]["area_m2"], strict=True)])


def require_comparison(ratio: LogEstimate, case: dict[str, Any]) -> None:
    assert ratio.value == near(case["ratio"])
    assert math.sqrt(ratio.variance) == near(case["se_log"])
    assert ratio.df == near(case["df"])
    assert ratio.interval(0.95) == near(tuple(case["interval95"]))
    assert ratio.interval(0.90) == near(tuple(case["interval90"]))
    for factor, expected in case["prob_ratio_above"].items():
        shown = probability_above(ratio=ratio, factor=float(factor))
        assert shown == near(min(max(expected, 0.001), 0.999))


@pytest.mark.parametrize(("of", "case_id"), [("hand_saw", "F1_rate_hand"), ("chainsaw", "F1_rate_chain")])
def test_rate_of_one_method(of: str, case_id: str) -> None:
    case, rate = CASES[case_id], rate_of_sessions(**quantities(of))
    assert (rate.n, rate.value) == (case["n"], near(case["ratio_of_totals"]))
    assert linearised_se(**quantities(of)) == near(case["se_linearised"])
    assert rate.data_se_log == near(case["jackknife"]["se_of_log"])
    assert rate.data_interval == near(tuple(case["interval95"]["log_jackknife_t"]))
    assert rate.n_eff == near(case["n_effective"])
    assert (rate.df, rate.spread) == (case["moderated"]["df"], near(case["moderated"]["s"]))
    assert rate.se_log == near(case["moderated"]["se_log"])
    assert rate.interval == near(tuple(case["moderated"]["interval95"]))
    assert rate.next_session == near(tuple(case["moderated"]["next_session95"]))
    assert log_rates(of).interval(0.95) == near(tuple(case["geometric_interval95"]))


def test_rate_of_one_session() -> None:
    case = CASES["n1_rate"]
    rate = rate_of_sessions(amounts=[case["minutes"]], quantities=[case["area_m2"]])
    assert (rate.value, rate.df, rate.interval) == (near(case["rate"]), 3, near(tuple(case["interval95"])))
    assert rate.data_interval is None


def test_ratio_with_the_assumed_spread() -> None:
    first, second = (steadied(rate=rate_of_sessions(**quantities(of))) for of in ("hand_saw", "chainsaw"))
    require_comparison(ratio_of_rates(first=first, second=second), CASES["F1_compare_moderated_headline"])


def test_ratio_from_the_sessions_alone() -> None:
    ratio = ratio_of_rates(first=data_only("hand_saw"), second=data_only("chainsaw"))
    require_comparison(ratio, CASES["F1_compare_jackknife_data_only"])


def test_ratio_of_mean_log_rates_is_welch() -> None:
    ratio = ratio_of_rates(first=log_rates("hand_saw"), second=log_rates("chainsaw"))
    require_comparison(ratio, CASES["F1_compare_welch_log_rates"])
    rates = [np.log(np.divide(F1[of]["minutes"], F1[of]["area_m2"])) for of in ("hand_saw", "chainsaw")]
    oracle = stats.ttest_ind(*rates, equal_var=False)
    assert ratio.df == near(oracle.df)
    assert ratio.log_value / math.sqrt(ratio.variance) == near(oracle.statistic)


def test_welch_on_a_known_set_of_data() -> None:
    case = CASES["sleep_welch"]
    groups = [LogEstimate(statistics.fmean(y), statistics.variance(y) / len(y), len(y) - 1) for y in
              (case["group1"], case["group2"])]  # fmt: skip
    found = ratio_of_rates(first=groups[0], second=groups[1])
    oracle = stats.ttest_ind(case["group1"], case["group2"], equal_var=False)
    assert (found.log_value / math.sqrt(found.variance), found.df) == (near(oracle.statistic), near(oracle.df))
    ends = oracle.confidence_interval(0.95)
    assert [math.log(end) for end in found.interval(0.95)] == near([ends.low, ends.high])
    paired = mean_of_logs(values=[math.exp(a - b) for a, b in zip(case["group1"], case["group2"], strict=True)])
    assert [math.log(end) for end in paired.interval(0.95)] == near(case["paired_interval95"])


def test_fieller_agrees_in_the_middle_and_nearly_at_the_ends() -> None:
    """The ratio of mean rates by another road (fieller_1954): the log interval must agree with it to a hundredth."""
    case = CASES["F1_fieller"]
    theta, g, t = case["ratio"], case["g"], case["t"]
    root = math.sqrt(case["var_num"] + theta**2 * case["var_den"] - g * case["var_num"])
    ends = [(theta + sign * t / case["den"] * root) / (1 - g) for sign in (-1, 1)]
    assert ends == near(case["interval95"])
    ours = ratio_of_rates(first=log_rates("hand_saw"), second=log_rates("chainsaw"))
    assert ours.interval(0.95) == pytest.approx(ends, rel=0.01)


def test_equivalence() -> None:
    case = CASES["tost_practical_equivalence"]
    ratio = ratio_of_rates(first=mean_of_logs(values=case["rates_x"]), second=mean_of_logs(values=case["rates_y"]))
    require_comparison(ratio, case)
    for factor, expected in case["prob_within"].items():
        assert probability_within(ratio=ratio, factor=float(factor)) == pytest.approx(expected, abs=1.1e-3)
    assert probability_within(ratio=ratio, factor=1.1) == near(case["prob_within"]["1.1"])
    logs = [np.log(case["rates_x"]), np.log(case["rates_y"])]
    for margin in (1.02, 1.05, 1.08, 1.1, 1.25):
        p = ttost_ind(*logs, -math.log(margin), math.log(margin), usevar="unequal")[0]
        assert (verdict(ratio=ratio, margin_factor=margin, pairs_n=1) is Outcome.ALIKE) == (p < 0.05)


def test_pairs_of_the_same_day() -> None:
    case = CASES["paired_blocks"]
    days = mean_of_logs(values=[h / s for h, s in zip(case["hand"], case["saw"], strict=True)])
    assert (days.value, days.df) == (near(case["ratio"]), case["df"])
    assert math.sqrt(days.variance * len(case["hand"])) == near(case["sd_log_ratio"])
    assert days.interval(0.95) == near(tuple(case["interval95"]))
    apart = ratio_of_rates(first=mean_of_logs(values=case["hand"]), second=mean_of_logs(values=case["saw"]))
    require_comparison(apart, case["unpaired"])


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
    oracle = sm.OLS(case["seconds"], sm.add_constant(np.array(areas))).fit()
    assert np.array(cut.fit.covariance) == near(oracle.cov_params())


def test_totals_of_sessions() -> None:
    case = CASES["session_totals_regression"]
    cut = time_of_session_totals(cuts_n=case["cuts"], areas_m2=case["area_m2"], times_s=case["minutes"])
    assert (cut.per_cut, cut.per_m2) == (near(case["a"]), near(case["b"]))
    assert [cut.fit.combined(one)[1] for one in ((1.0, 0.0), (0.0, 1.0))] == near(case["se"])
    assert (cut.fit.df, cut.fit.residual_sd) == (case["df"], near(case["residual_sd"]))


def test_analysis_of_covariance() -> None:
    case = CASES["ancova"]
    found = ratio_at_one_diameter(
        rates={name: case[name]["min_per_m2"] for name in ("hand", "saw")},
        diameters_m={name: [d / 100 for d in case[name]["mean_diameter_cm"]] for name in ("hand", "saw")},
    )
    assert (found.slope, found.ratio.value) == (near(case["beta"]), near(case["adjusted_ratio"]))
    assert (math.sqrt(found.ratio.variance), found.ratio.df) != (0, 0)
    assert found.ratio.interval(0.95) == near(tuple(case["interval95"]))
    assert found.parallel_frac == near(case["parallel_slopes_p"])


def test_learning() -> None:
    case = CASES["learning_trend"]
    trend = trend_of_rates(rates=case["rate"])
    assert math.log2(trend.per_doubling.value) == near(case["exponent"])
    assert trend.per_doubling.value == near(case["learning_rate_per_doubling"])
    assert trend.per_doubling.interval(0.95) == near(tuple(case["interval95"]))
    assert (trend.concordance, trend.by_chance_frac) == (case["mann_kendall_S"], near(case["mann_kendall_p_exact"]))


@pytest.mark.parametrize("rates", [[3.0, 1.0, 4.0, 1.5, 9.0], [2.0, 1.0, 3.0, 5.0, 4.0, 7.0, 6.0], [1.0, 3.0, 2.0]])
def test_trend_by_chance_is_kendall_exact(rates: list[float]) -> None:
    oracle = stats.kendalltau(range(len(rates)), rates, method="exact")
    assert trend_of_rates(rates=rates).by_chance_frac == near(oracle.pvalue)


def test_shared_part_cancels_and_own_parts_have_their_own_freedom() -> None:
    case = CASES["shared_factor_ratio"]
    own = [u**2 for u in case["u_own"]]
    df = satterthwaite_df(variances=own, dfs=[3, 2])
    assert df == near(case["satterthwaite_df_if_own_parts_have_3_and_2"])
    assert math.sqrt(math.fsum(own)) == near(case["relative_u_ratio"])


def test_effective_freedom_of_a_budget() -> None:
    parts = [0.0331**2, 0.0176145**2]
    df = satterthwaite_df(variances=parts, dfs=[3, math.inf])
    assert math.sqrt(math.fsum(parts)) == pytest.approx(0.0374951, abs=5e-8)
    assert df == pytest.approx(4.9398, abs=5e-5)


FURTHER = [(1.35, (0, 1)), (1.30, (1, 3)), (1.25, (3, 4)), (1.20, (6, 7)), (1.15, (11, 14))]


@pytest.mark.parametrize(("factor", "added"), FURTHER)
def test_further_sessions(factor: float, added: tuple[int, int]) -> None:
    trials = [Trial(n=r.n, spread=r.spread, df=r.df) for r in
              (rate_of_sessions(**quantities(of)) for of in ("hand_saw", "chainsaw"))]  # fmt: skip
    assert half_width_factor(first=trials[0], second=trials[1]) == pytest.approx(1.39, abs=0.005)
    assert further_sessions(first=trials[0], second=trials[1], factor=factor) == added
    hopeful = further_sessions(first=trials[0], second=trials[1], factor=1.3)
    careful = further_sessions(first=trials[0].pessimistic, second=trials[1].pessimistic, factor=1.3)
    assert hopeful is not None
    assert careful is None or sum(careful) > sum(hopeful)


@pytest.mark.parametrize(("df", "factor"), [(5, 1.46), (4, 1.56), (3, 1.73), (2, 2.12)])
def test_pessimistic_spread(df: int, factor: float) -> None:
    assert math.sqrt(df / chi2_quantile(probability_frac=0.20, df=df)) == pytest.approx(factor, abs=0.005)
    assert Trial(n=2, spread=0.1, df=df).pessimistic.spread == pytest.approx(0.1 * factor, abs=0.0005)


def test_two_sessions_leave_no_jump() -> None:
    """With two sessions the jackknife is the variance of the mean log rate itself."""
    rate = rate_of_sessions(amounts=[10.0, 15.0], quantities=[1.0, 1.0])
    assert rate.data_se_log == near(abs(math.log(1.5)) / 2)


def test_one_long_session_dominates() -> None:
    assert effective_sessions(quantities=[1, 1, 1]) == near(3)
    assert dominating_session(quantities=[1, 12, 1, 1]) == 1
    assert dominating_session(quantities=[1, 2, 1, 2]) is None
    assert log_interval(middle=2.0, se_log=0.0, df=3) == (2.0, 2.0)
