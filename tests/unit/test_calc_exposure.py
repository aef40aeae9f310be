"""Vibration and noise of a day: what adds, where the lines lie, what is refused."""

from __future__ import annotations

import math

import pytest
from few import together

from wood_xl.body.exposure import (
    VIBRATION_LINES,
    daily_noise_level_dba,
    daily_vibration_a8_m_s2,
    is_over_noise_ceiling,
    noise_band,
    noise_dose_frac,
    time_allowed_h,
    time_to_vibration_line_h,
    vibration_band,
    vibration_points,
)
from wood_xl.ids import NoiseBand, VibrationBand

FOREST_DAY = [(4.6, 2.0), (6.0, 1.0), (3.6, 2.0)]
HARD_DAY = [(101.0, 1.0), (85.0, 2.0), (75.0, 3.0)]


def test_points_and_daily_vibration_agree() -> None:
    points = vibration_points(vibration_m_s2_and_hours=FOREST_DAY)
    assert points == pytest.approx(84.64 + 72 + 51.84)
    assert daily_vibration_a8_m_s2(vibration_m_s2_and_hours=FOREST_DAY) == pytest.approx(
        2.5 * math.sqrt(points / 100)
    )


@together("vibration", [0.7, 2.5, 3.3, 6.0, 17.0])
def test_after_the_time_to_a_line_the_line_is_just_reached(vibration: float) -> None:
    for line in VIBRATION_LINES:
        time_h = time_to_vibration_line_h(vibration_m_s2=vibration, line=line)
        daily = daily_vibration_a8_m_s2(vibration_m_s2_and_hours=[(vibration, time_h)])
        assert vibration_band(daily_vibration_m_s2=daily) is VibrationBand.ACTION


@together(
    ("daily", "band"),
    [
        (0.0, VibrationBand.BELOW_ACTION),
        (2.49, VibrationBand.BELOW_ACTION),
        (2.5, VibrationBand.ACTION),
        (5.0, VibrationBand.ACTION),
        (5.01, VibrationBand.OVER_LIMIT),
    ],
)
def test_action_value_counts_when_reached_and_limit_value_when_passed(daily: float, band: VibrationBand) -> None:
    assert vibration_band(daily_vibration_m_s2=daily) is band


def test_levels_below_the_thresholds_do_not_count() -> None:
    assert noise_dose_frac(rule="niosh", level_dba_and_hours=[(79.9, 8)]) == 0.0
    assert noise_dose_frac(rule="niosh", level_dba_and_hours=[(80.0, 8)]) == pytest.approx(2 ** (-5 / 3))
    assert noise_dose_frac(rule="osha", level_dba_and_hours=[(89.9, 8)]) == 0.0
    assert noise_dose_frac(rule="osha", level_dba_and_hours=[(90.0, 8)]) == 1.0


def test_one_day_can_be_over_one_rule_and_under_the_other() -> None:
    dose = noise_dose_frac(rule="niosh", level_dba_and_hours=HARD_DAY)
    assert dose > 5
    assert noise_band(dose_3db_frac=dose) == NoiseBand.DOSE
    assert noise_dose_frac(rule="osha", level_dba_and_hours=HARD_DAY) < 0.6


def test_dose_and_daily_level_follow_the_same_energy() -> None:
    day = [(94.0, 1.5), (101.0, 0.4), (88.0, 3.0)]
    level = daily_noise_level_dba(level_dba_and_hours=day)
    assert 10 * math.log10(noise_dose_frac(rule="niosh", level_dba_and_hours=day)) + 85 == pytest.approx(
        level, abs=0.1
    )


def test_half_the_time_is_three_decibels_less() -> None:
    whole = daily_noise_level_dba(level_dba_and_hours=[(97.0, 4.0)])
    assert daily_noise_level_dba(level_dba_and_hours=[(97.0, 2.0)]) - whole == pytest.approx(-3.0103, abs=1e-4)


@pytest.mark.parametrize("level", [82.0, 92.3, 101.7])
def test_the_time_allowed_makes_the_whole_dose(level: float) -> None:
    dose = noise_dose_frac(rule="niosh", level_dba_and_hours=[(level, time_allowed_h(rule="niosh", level_dba=level))])
    assert noise_band(dose_3db_frac=dose) == NoiseBand.DOSE


@pytest.mark.parametrize("level", [90.0, 92.3, 101.7])
def test_the_time_allowed_by_the_5_db_rule_makes_the_whole_dose(level: float) -> None:
    day = [(level, time_allowed_h(rule="osha", level_dba=level))]
    assert noise_dose_frac(rule="osha", level_dba_and_hours=day) == pytest.approx(1.0)


def test_dose_just_short_of_the_whole_is_below() -> None:
    assert noise_band(dose_3db_frac=0.999) == NoiseBand.BELOW_DOSE
    assert noise_band(dose_3db_frac=0.0) == NoiseBand.BELOW_DOSE


def test_ceiling_is_passed_only_above_it() -> None:
    assert not is_over_noise_ceiling(level_dba=115.0)
    assert is_over_noise_ceiling(level_dba=115.1)


def test_a_day_with_nothing_given_is_not_zero() -> None:
    for formula in (
        lambda: daily_vibration_a8_m_s2(vibration_m_s2_and_hours=[]),
        lambda: vibration_points(vibration_m_s2_and_hours=[]),
        lambda: noise_dose_frac(level_dba_and_hours=[], rule="niosh"),
    ):
        with pytest.raises(ValueError, match="the day is not assessed"):
            formula()
