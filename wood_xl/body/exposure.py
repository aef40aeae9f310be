"""Hand-arm vibration and noise of one person over one day.

Exposure adds up within a day and is never averaged over days. Work without a vibration or level is not assessed and
never taken as zero, so an empty day is refused here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, get_args

from wood_xl.data.load import value
from wood_xl.ids import NoiseBand, VibrationBand

# Hours that just reach a line can give a value that misses it by the last digits of a float.
ON_THE_LINE = 1e-9

VibrationLine = Literal["action_value", "limit_value"]
VIBRATION_LINES: tuple[VibrationLine, ...] = get_args(VibrationLine)
# The recommended rule: 3 dB from 85 dB(A). The law of the United States for employers: 5 dB from 90 dB(A); it is far
# less strict and never shown alone.
NoiseRule = Literal["niosh", "osha"]
COUNTED_FROM: dict[NoiseRule, str] = {"niosh": "noise.niosh.threshold", "osha": "noise.osha.threshold_limit"}


def _require_assessed(parts: Sequence[Sequence[float]]) -> None:
    if not parts:
        raise ValueError("no tool has a figure, so the day is not assessed")


def daily_vibration_a8_m_s2(*, vibration_m_s2_and_hours: Sequence[Sequence[float]]) -> float:
    """Daily vibration exposure of one person over all the work of one day.

        A(8) = sqrt(sum of A_i(8)^2),   A_i(8) = vibration * sqrt(time / 8 h)

    Time with the tool at rest does not count. Single shocks (axe, maul, sledge on wedge) are outside the standard.

    Source: iso_5349_1, equations 2 and 3; iso_5349_2, partial exposures.

    >>> round(daily_vibration_a8_m_s2(vibration_m_s2_and_hours=[(4.6, 2), (6.0, 1), (3.6, 2)]), 3)
    3.61
    """
    _require_assessed(vibration_m_s2_and_hours)
    day_h = value("vibration.reference_time")
    return math.hypot(*(vibration * math.sqrt(time_h / day_h) for vibration, time_h in vibration_m_s2_and_hours))


def vibration_points(*, vibration_m_s2_and_hours: Sequence[Sequence[float]]) -> float:
    """Vibration points of one person over all the work of one day.

        points = sum of (vibration / 2.5)^2 * time / 8 * 100 = sum of 2 * vibration^2 * time

    The printed chart rounds each cell to 5; here nothing is rounded before adding.

    Source: hse_vibration_points, points system.

    >>> round(vibration_points(vibration_m_s2_and_hours=[(4.6, 2), (6.0, 1), (3.6, 2)]), 2)
    208.48
    """
    _require_assessed(vibration_m_s2_and_hours)
    action_dose = math.fsum(
        (vibration_m_s2 / value("vibration.action_value")) ** 2 * time_h / value("vibration.reference_time")
        for vibration_m_s2, time_h in vibration_m_s2_and_hours
    )
    return value("vibration.points_at_action_value") * action_dose


def time_to_vibration_line_h(*, vibration_m_s2: float, line: VibrationLine) -> float:
    """Time in a day after which one tool alone reaches the action value or the limit value.

        time = 8 h * (2.5 / vibration)^2 to the action value, 8 h * (5 / vibration)^2 to the limit value

    Source: directive_2002_44, article 3(1).

    >>> [round(60 * time_to_vibration_line_h(vibration_m_s2=6.0, line=line), 1) for line in VIBRATION_LINES]
    [83.3, 333.3]
    """
    return value("vibration.reference_time") * (value(f"vibration.{line}") / vibration_m_s2) ** 2


def vibration_band(*, daily_vibration_m_s2: float) -> VibrationBand:
    """Where a daily vibration lies between the action value and the limit value.

    At the action value the band is ``ACTION``; over the limit begins only above the limit value.

    Source: directive_2002_44, article 3(1); hse_tree_work, at or above the action value and above the limit value.

    >>> vibration_band(daily_vibration_m_s2=2.5)
    <VibrationBand.ACTION: 2>
    """
    if daily_vibration_m_s2 > value("vibration.limit_value") * (1 + ON_THE_LINE):
        return VibrationBand.OVER_LIMIT
    if daily_vibration_m_s2 >= value("vibration.action_value") * (1 - ON_THE_LINE):
        return VibrationBand.ACTION
    return VibrationBand.BELOW_ACTION


def time_allowed_h(*, level_dba: float, rule: NoiseRule) -> float:
    """Daily time at a level until the whole dose is reached.

        time = 8 h / 2^((level - 85) / 3), or 8 h / 2^((level - 90) / 5)

    The level is the one at the ear, not a maker's sound power level.

    Source: niosh_98_126, section 1.1; osha_1910_95, appendix A.

    >>> time_allowed_h(level_dba=94, rule="niosh"), time_allowed_h(level_dba=100, rule="osha")
    (1.0, 2.0)
    """
    above_dba = level_dba - value(f"noise.{rule}.criterion")
    return value("noise.reference_time") / math.exp2(above_dba / value(f"noise.{rule}.exchange"))


def noise_dose_frac(*, level_dba_and_hours: Sequence[Sequence[float]], rule: NoiseRule) -> float:
    """Noise dose of one person over all the work of one day, without hearing protection.

        dose = sum of time_i / time allowed at level_i,   levels below a threshold left out

    A dose from mean levels does not describe single blows of steel on steel. A day can stay under the dose of the law
    and be five times over the recommended one.

    Source: niosh_98_126, section 1.1; osha_1910_95, appendix A; osha_technical_manual, section III:5.

    >>> [round(noise_dose_frac(level_dba_and_hours=[(101, 1), (85, 2)], rule=rule), 4) for rule in COUNTED_FROM]
    [5.2897, 0.5743]
    """
    _require_assessed(level_dba_and_hours)
    return math.fsum(
        time_h / time_allowed_h(level_dba=level_dba, rule=rule)
        for level_dba, time_h in level_dba_and_hours
        if level_dba >= value(COUNTED_FROM[rule])
    )


def daily_noise_level_dba(*, level_dba_and_hours: Sequence[Sequence[float]]) -> float:
    """Steady level over 8 h with the sound energy of the day, which must have hours.

        L_EX,8h = 10 * log10(sum of time_i / 8 h * 10^(level_i / 10))

    Source: iso_9612, daily noise exposure level.

    >>> round(daily_noise_level_dba(level_dba_and_hours=[(101, 1), (85, 2), (75, 3)]), 2)
    92.21
    """
    energy = math.fsum(time_h * 10 ** (level_dba / 10) for level_dba, time_h in level_dba_and_hours)
    return 10 * math.log10(energy / value("noise.reference_time"))


def noise_band(*, dose_3db_frac: float) -> NoiseBand:
    """Where a noise dose lies against the recommended daily limit, which counts as reached at exactly 1.

    Source: niosh_98_126, section 1.1.

    >>> noise_band(dose_3db_frac=1.0)
    <NoiseBand.DOSE: 2>
    """
    return NoiseBand.DOSE if dose_3db_frac >= 1 - ON_THE_LINE else NoiseBand.BELOW_DOSE


def is_over_noise_ceiling(*, level_dba: float) -> bool:
    """Whether a level is above the ceiling and calls for a caution however short the time.

    Source: niosh_98_126, ceiling limit.

    >>> is_over_noise_ceiling(level_dba=115.7)
    True
    """
    return level_dba > value("noise.niosh.ceiling")
