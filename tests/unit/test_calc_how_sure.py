"""Refusals, edges and words of the statistics; their numbers are tested against other libraries elsewhere."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import combinations
from math import comb
from time import process_time

import pytest
from scipy.stats import kendalltau

from wood_xl.data.load import value
from wood_xl.draws.compare import (
    LogEstimate,
    Outcome,
    comparison_levels,
    mean_of_logs,
    probability_above,
    satterthwaite_df,
    surety,
    verdict,
)
from wood_xl.draws.further_sessions import Trial, further_sessions
from wood_xl.draws.least_squares import condition_of_two, least_squares, nested_test
from wood_xl.draws.moderated import jackknife_se_log, quality, rate_of_sessions, ratio_of_totals
from wood_xl.draws.student import binomial_upper
from wood_xl.hours.learning import second_half_factor, trend_of_rates
from wood_xl.hours.odd_values import beyond_fences, farthest_value, pooled_delay_frac, rounded_by_chance
from wood_xl.reasons import Refused
from wood_xl.results.doubt_words import rounded_texts
from wood_xl.schema.words import words
from wood_xl.wood.log_slope import (
    ratio_at_one_diameter,
    time_of_session_totals,
    time_of_single_cuts,
    to_common_logs,
)


def known(ratio: float, se_log: float, df: float = 20) -> LogEstimate:
    return LogEstimate(math.log(ratio), se_log**2, df)


def test_a_rate_needs_wood_and_an_amount_in_every_session() -> None:
    with pytest.raises(ValueError, match="amount is 0"):
        rate_of_sessions(amounts=[1.0, 0.0], quantities=[1.0, 1.0])
    with pytest.raises(ValueError, match="quantity is 0"):
        ratio_of_totals(amounts=[1.0], quantities=[0.0])


def test_each_session_takes_weight_from_the_assumed_spread() -> None:
    spreads = [rate_of_sessions(amounts=[2.0] * n, quantities=[1.0] * n).spread for n in range(1, 9)]
    assert spreads[0] == 0.25
    assert spreads == sorted(spreads, reverse=True)


def test_unit_of_wood_or_time_changes_no_relative_width() -> None:
    a = rate_of_sessions(amounts=[1.0, 2.5, 2.0], quantities=[1.0, 2.0, 1.0])
    b = rate_of_sessions(amounts=[60.0, 150.0, 120.0], quantities=[3.0, 6.0, 3.0])
    assert b.value == pytest.approx(20 * a.value)
    assert [end / b.value for end in b.interval] == pytest.approx([end / a.value for end in a.interval])


@pytest.mark.parametrize(
    ("ratio", "expected"),
    [
        (known(0.7, 0.05), Outcome.FIRST_LOWER),
        (known(1.4, 0.05), Outcome.SECOND_LOWER),
        (known(1.02, 0.03), Outcome.ALIKE),
        (known(1.05, 0.005), Outcome.ALIKE),  # beyond doubt, and too small to matter
        (known(1.2, 0.2), Outcome.OPEN),
    ],
)
def test_verdicts(ratio: LogEstimate, expected: Outcome) -> None:
    assert verdict(ratio=ratio, margin_factor=1.10, pairs_n=1) is expected


def test_several_pairs_make_a_claim_harder() -> None:
    near_the_edge = known(0.9, 0.048)
    assert verdict(ratio=near_the_edge, margin_factor=1.01, pairs_n=1) is Outcome.FIRST_LOWER
    assert verdict(ratio=near_the_edge, margin_factor=1.01, pairs_n=6) is Outcome.OPEN
    assert comparison_levels(pairs_n=6)[0] == pytest.approx(1 - 0.05 / 6)


def test_no_margin_is_never_the_same() -> None:
    assert verdict(ratio=known(1.0, 1e-9), margin_factor=1.0, pairs_n=1) is Outcome.OPEN


def test_probabilities_are_never_certain() -> None:
    assert probability_above(ratio=known(9.0, 0.01), factor=1.0) == 0.999
    assert probability_above(ratio=known(0.1, 0.01), factor=1.0) == pytest.approx(0.001)
    assert probability_above(ratio=LogEstimate(0.0, 0.0, 3), factor=1.0) == 0.5
    assert probability_above(ratio=LogEstimate(0.1, 0.0, 3), factor=1.0) == 0.999
    with pytest.raises(ValueError, match="factor is 0"):
        probability_above(ratio=known(1.0, 0.1), factor=0.0)


def test_parts_without_scatter_have_the_fewest_degrees_of_freedom() -> None:
    assert satterthwaite_df(variances=[0.0, 0.0], dfs=[3, 2]) == 2


def test_one_day_is_no_comparison_by_day() -> None:
    with pytest.raises(ValueError, match="1 ratios have no scatter"):
        mean_of_logs(values=[2.0])
    with pytest.raises(ValueError, match="ratio is 0"):
        mean_of_logs(values=[2.0, 0.0])


@pytest.mark.parametrize(("n", "word"), [(1, "single try"), (2, "hint"), (3, "fair"), (7, "good"), (15, "solid")])
def test_quality(n: int, word: str) -> None:
    assert words(quality(sessions_n=n)) == word


@pytest.mark.parametrize(
    ("p", "word"), [(0.95, "clearly"), (0.94, "probably"), (0.79, "perhaps"), (0.59, "cannot tell")]
)
def test_surety(p: float, word: str) -> None:
    assert words(surety(probability_frac=p)) == word


def test_fits_that_cannot_be() -> None:
    with pytest.raises(Refused, match="not_told_apart"):
        least_squares(columns=([1.0], [2.0]), values=[1.0])
    with pytest.raises(Refused, match="column_follows"):
        least_squares(columns=([1.0, 1.0, 1.0], [2.0, 2.0, 2.0]), values=[1.0, 2.0, 3.0])
    exact = least_squares(columns=([1.0, 1.0], [1.0, 2.0]), values=[3.0, 5.0])
    assert (exact.coefficients, exact.residual_sd, exact.df) == ((1.0, 2.0), 0.0, 0)
    with pytest.raises(ValueError, match="no test with 0 columns more"):
        nested_test(smaller=exact, larger=exact)
    assert condition_of_two(first=[1.0, 2.0], second=[2.0, 4.0]) == math.inf


def test_a_column_that_starts_with_nothing_is_fitted() -> None:
    fit = least_squares(columns=([0.0, 0.0, 1.0], [1.0, 1.0, 0.0]), values=[2.0, 4.0, 7.0])
    assert fit.coefficients == (7.0, 3.0)


def test_single_cuts_must_be_enough_and_of_different_size() -> None:
    with pytest.raises(Refused, match="cuts_too_few"):
        time_of_single_cuts(areas_m2=[0.01] * 5, times_s=[1.0] * 5)
    with pytest.raises(Refused, match="cuts_alike"):
        time_of_single_cuts(areas_m2=[0.01, 0.012, 0.02, 0.03, 0.035, 0.039], times_s=[1.0] * 6)


def test_session_totals_must_differ_in_log_size() -> None:
    with pytest.raises(Refused, match="sessions_too_few"):
        time_of_session_totals(cuts_n=[1, 2, 3], areas_m2=[1.0, 2.0, 3.0], times_s=[1.0, 2.0, 3.0])
    with pytest.raises(Refused, match="logs_alike"):
        time_of_session_totals(
            cuts_n=[10, 20, 30, 40], areas_m2=[1.0, 2.0, 3.0, 4.1], times_s=[9.0, 19.0, 30.0, 39.0]
        )


def test_a_common_log_list_undoes_unequal_logs() -> None:
    """Times without scatter: 20 s + 2600 s/m2 by hand on 12 cm, 14 s + 560 s/m2 by saw on 32 cm (invented)."""
    thin, thick = (math.pi * d * d / 4 for d in (0.12, 0.32))
    areas = [math.pi * d * d / 4 for d in (0.10, 0.15, 0.20, 0.25, 0.30, 0.35)]
    common = [math.pi * d * d / 4 for d in (0.15, 0.20, 0.25, 0.30)]
    hand = time_of_single_cuts(areas_m2=areas, times_s=[20 + 2600 * a for a in areas])
    saw = time_of_single_cuts(areas_m2=areas, times_s=[14 + 560 * a for a in areas])
    raw = (20 / thin + 2600) / (14 / thick + 560)
    lists = {"common_cuts_n": 4, "common_area_m2": sum(common)}
    by_hand = to_common_logs(cut=hand, own_cuts_n=1, own_area_m2=thin, **lists)
    by_saw = to_common_logs(cut=saw, own_cuts_n=1, own_area_m2=thick, **lists)
    assert raw == pytest.approx(5.95, abs=0.005)
    assert raw * by_hand.value / by_saw.value == pytest.approx(3.45, abs=0.005)
    assert by_hand.variance == pytest.approx(0.0, abs=1e-20)


def test_common_logs_need_times_that_grow() -> None:
    falling = time_of_single_cuts(areas_m2=[1, 2, 3, 4, 5, 6], times_s=[6.0, 5.0, 4.0, 3.0, 2.0, 1.0])
    with pytest.raises(Refused, match="times_do_not_grow"):
        to_common_logs(cut=falling, own_cuts_n=1, own_area_m2=1.0, common_cuts_n=1, common_area_m2=9.0)


def test_logs_that_do_not_overlap_are_not_adjusted() -> None:
    rates = {"hand": [61.0, 55.0, 50.0], "saw": [15.0, 14.0, 13.0]}
    with pytest.raises(Refused, match="no_overlap"):
        ratio_at_one_diameter(rates=rates, diameters_m={"hand": [0.10, 0.12, 0.14], "saw": [0.2, 0.3, 0.4]})
    with pytest.raises(Refused, match="too_few_for_log_size"):
        ratio_at_one_diameter(
            rates={"hand": [61.0, 55.0], "saw": [15.0, 14.0]}, diameters_m={"hand": [0.1, 0.3], "saw": [0.2, 0.4]}
        )


def test_slopes_of_a_single_session_are_not_tested() -> None:
    found = ratio_at_one_diameter(
        rates={"hand": [61.0], "saw": [15.0, 14.0, 13.5, 12.0]},
        diameters_m={"hand": [0.25], "saw": [0.2, 0.25, 0.3, 0.4]},
    )
    assert found.parallel_frac is None
    assert found.ratio.df == 2


def test_three_sessions_in_order_prove_nothing() -> None:
    assert trend_of_rates(rates=[3.0, 2.0, 1.0]).by_chance_frac == pytest.approx(1 / 3)
    assert trend_of_rates(rates=[2.0, 2.0, 2.0, 2.0]).by_chance_frac == 1.0


def test_the_trend_of_a_thousand_sessions_is_told_at_once_and_like_the_exact_one_near_the_change() -> None:
    downward = [100.0 - 0.1 * i + 7.0 * (i % 13) for i in range(1000)]
    started = process_time()
    trend = trend_of_rates(rates=downward)
    assert process_time() - started < 1.0
    pairs = combinations(downward, 2)
    assert trend.concordance == sum((later > earlier) - (later < earlier) for earlier, later in pairs)
    assert trend.by_chance_frac < 1e-6
    most = int(value("learning.exact_sessions"))
    for n in (most, most + 1):
        rates = [100.0 + 37 * i % 61 - 0.2 * i for i in range(n)]
        exact = kendalltau(range(n), rates, method="exact").pvalue
        assert trend_of_rates(rates=rates).by_chance_frac == pytest.approx(exact, rel=1e-9 if n == most else 0.02)


def test_halves_of_an_odd_number_of_cuts() -> None:
    assert second_half_factor(areas_m2=[0.01, 0.02, 0.01], times_s=[10.0, 30.0, 15.0]) == pytest.approx(1.5)


def test_leaving_out_the_one_session_that_is_nearly_all_keeps_the_digits_of_the_rest() -> None:
    amounts, quantities = [1e17, 3.0, 2.0], [1e17, 1.0, 1.0]
    left_out = [math.log(5 / 2), math.log((1e17 + 2) / (1e17 + 1)), math.log((1e17 + 3) / (1e17 + 1))]
    mean = sum(left_out) / 3
    expected = math.sqrt(2 / 3 * sum((one - mean) ** 2 for one in left_out))
    assert jackknife_se_log(amounts=amounts, quantities=quantities) == pytest.approx(expected, rel=1e-9)


def test_outliers() -> None:
    far = farthest_value(values=[1.0, 1.1, 0.9, 1.0, 1.05, 3.0])
    assert (far.place, far.is_far) == (5, True)
    assert not farthest_value(values=[1.0, 1.0, 1.0]).is_far
    with pytest.raises(ValueError, match="2 values have no outlier"):
        farthest_value(values=[1.0, 2.0])
    assert beyond_fences(values=[float(i) for i in range(12)]) == []


def test_rounded_minutes() -> None:
    assert rounded_by_chance(minutes=[47.5, 33.3]) == 1.0
    assert rounded_by_chance(minutes=[10.0] * 10) < 0.01
    many = rounded_by_chance(minutes=[10.0] * 1040 + [7.0] * 3960)  # more than a float has binomial coefficients for
    exact = sum(Fraction(comb(5000, k) * 4 ** (5000 - k), 5**5000) for k in range(1040, 5001))
    assert many == pytest.approx(float(exact), rel=1e-9)
    with pytest.raises(ValueError, match="3 hits in 2 tries"):
        binomial_upper(least=3, tries_n=2, share_frac=0.2)
    assert pooled_delay_frac(delays_min=[10.0, 0.0], elapsed_min=[60.0, 50.0]) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("numbers", "texts"),
    [
        ((3.69768, 2.63505, 5.18883, 7), ("3.7", "2.6", "5.2")),
        ((2345.6, 1800.0, 3000.0, 3), ("2,300", "1,800", "3,000")),
        ((2345.6, 2210.0, 2490.0, 2), ("2,300", "2,200", "2,500")),
        ((2345.6, 2291.0, 2411.0, 3), ("2,350", "2,290", "2,420")),
        ((0.0123, 0.0100, 0.0150, 5), ("0.012", "0.010", "0.015")),
        ((12.37, 5.58, 27.41, 1), ("12", "5.5", "28")),
        ((1.1, 0.27, 3.2, 2), ("1.1", "0.27", "3.2")),
        ((145.3, 56.0, 378.0, 2), ("150", "56", "380")),
        ((8.0, 0.9, 9.96, 2), ("8.0", "0.90", "10")),
        ((0.5, 0.0, 1.04, 2), ("0.50", "0", "1.1")),
        ((2.5, -10.4, 10.0, 1), ("2.5", "-11", "10")),
        ((145.2, 144.8, 145.7, 1), ("145", "144", "146")),
        ((145.2, 145.1, 145.7, 1), ("145.2", "145.1", "145.7")),
        ((7.0, 7.0, 9.0, 4), ("7.0", "7.0", "9.0")),
    ],
)
def test_digits_that_doubt_leaves(numbers: tuple[float, float, float, int], texts: tuple[str, str, str]) -> None:
    middle, low, high, n = numbers
    assert rounded_texts(middle=middle, low=low, high=high, sessions_n=n) == texts


def test_ties_go_to_even_in_decimal() -> None:
    # 2.675 is held in binary as a little less: the decimal string decides
    assert rounded_texts(middle=0.675, low=0.625, high=0.725, sessions_n=1) == ("0.68", "0.62", "0.73")
    assert rounded_texts(middle=2.675, low=2.625, high=2.725, sessions_n=5) == ("2.68", "2.62", "2.73")


def test_a_ratio_that_is_clear_of_one_is_printed_so() -> None:
    assert rounded_texts(middle=1.42, low=1.04, high=1.94, sessions_n=4)[1] == "1.0"
    assert rounded_texts(middle=1.42, low=1.04, high=1.94, sessions_n=4, clear_of=1.0)[1] == "1.04"
    assert rounded_texts(middle=0.8, low=0.65, high=0.996, sessions_n=4, clear_of=1.0)[2] == "0.996"
    assert rounded_texts(middle=1.42, low=0.96, high=2.11, sessions_n=4, clear_of=1.0) == ("1.4", "0.96", "2.2")


def test_further_sessions_of_one_method_alone() -> None:
    alone = Trial(n=1, spread=0.25, df=3)
    assert further_sessions(first=alone, second=None, factor=1.25) == (6, 0)
    assert further_sessions(first=alone, second=None, factor=9.0) == (0, 0)
    assert further_sessions(first=alone, second=None, factor=1.01) is None
