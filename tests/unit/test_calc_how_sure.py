"""Refusals, edges and words of the statistics; their numbers are tested against other libraries elsewhere."""

from __future__ import annotations

import math
from fractions import Fraction
from math import comb

import pytest
from few import together

from wood_xl.draws.least_squares import condition_of_two, least_squares
from wood_xl.hours.how_sure import quality
from wood_xl.hours.odd_values import beyond_fences, pooled_delay_frac, rounded_by_chance
from wood_xl.reasons import Refused
from wood_xl.schema.words import words
from wood_xl.wood.log_slope import (
    time_of_session_totals,
    time_of_single_cuts,
)


@together(("n", "word"), [(1, "single try"), (2, "hint"), (3, "fair"), (7, "good"), (15, "solid")])
def test_quality(n: int, word: str) -> None:
    assert words(quality(sessions_n=n)) == word


def test_fits_that_cannot_be() -> None:
    with pytest.raises(Refused, match="not_told_apart"):
        least_squares(columns=([1.0], [2.0]), values=[1.0])
    with pytest.raises(Refused, match="column_follows"):
        least_squares(columns=([1.0, 1.0, 1.0], [2.0, 2.0, 2.0]), values=[1.0, 2.0, 3.0])
    exact = least_squares(columns=([1.0, 1.0], [1.0, 2.0]), values=[3.0, 5.0])
    assert (exact.coefficients, exact.residual_sd, exact.df) == ((1.0, 2.0), 0.0, 0)
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

    assert beyond_fences(values=[float(i) for i in range(12)]) == []


@pytest.mark.slow
def test_rounded_minutes() -> None:
    assert rounded_by_chance(minutes=[47.5, 33.3]) == 1.0
    assert rounded_by_chance(minutes=[10.0] * 10) < 0.01
    many = rounded_by_chance(minutes=[10.0] * 1040 + [7.0] * 3960)  # more than a float has binomial coefficients for
    exact = sum(Fraction(comb(5000, k) * 4 ** (5000 - k), 5**5000) for k in range(1040, 5001))
    assert many == pytest.approx(float(exact), rel=1e-9)
    assert pooled_delay_frac(delays_min=[10.0, 0.0], elapsed_min=[60.0, 50.0]) == pytest.approx(0.1)


@pytest.mark.parametrize(("last", "odd"), [(9.0, []), (13.0, [5])])
def test_only_a_value_beyond_three_times_the_middle_half_is_odd(last: float, odd: list[int]) -> None:
    # quartiles 2.25 and 4.75: the fence is 4.75 + 3 x 2.5
    assert beyond_fences(values=[1.0, 2.0, 3.0, 4.0, 5.0, last]) == odd
