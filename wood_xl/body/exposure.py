"""Hand-arm vibration and noise of one person over one day.

Exposure adds up within a day and is never averaged over days. Work without a vibration or level is not assessed and
never taken as zero, so an empty day is refused here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, get_args

from wood_xl.arguments import require_not_negative, require_positive
from wood_xl.data.load import value
from wood_xl.ids import NoiseBand, VibrationBand

# Hours that just reach a line can give a value that misses it by the last digits of a float.
ON_THE_LINE = 1e-9

VibrationLine = Literal["action_value", "limit_value"]
VIBRATION_LINES: tuple[VibrationLine, ...] = get_args(VibrationLine)


def _require_parts(*, name: str, parts: Sequence[Sequence[float]]) -> None:
    """Refuse a day without parts, since what is not assessed is not zero, and a part out of range."""
    if not parts:
        raise ValueError(f"no {name} is given, so the day is not assessed")
    for strength, time_h in parts:
        require_positive(**{name: strength})
        require_not_negative(time_h=time_h)


def partial_vibration_m_s2(*, vibration_m_s2: float, time_h: float) -> float:
    """Contribution of one piece of work to the daily vibration.

        A_i(8) = vibration * sqrt(time / 8 h)

    vibration_m_s2: frequency-weighted vibration total value of the tool at the worse hand.

    Time with the tool at rest does not count. Single shocks (axe, maul, sledge on wedge) are outside the standard.

    Source: iso_5349_1, equation 2 (constant ``vibration.reference_time``).

    >>> round(partial_vibration_m_s2(vibration_m_s2=7.4, time_h=2.5), 3)
    4.137
    """
    require_positive(vibration_m_s2=vibration_m_s2)
    require_not_negative(time_h=time_h)
    return vibration_m_s2 * math.sqrt(time_h / value("vibration.reference_time"))


def daily_vibration_a8_m_s2(*, vibration_m_s2_and_hours: Sequence[Sequence[float]]) -> float:
    """Daily vibration exposure of one person over all the work of one day.

        A(8) = sqrt(sum of A_i(8)^2)

    Source: iso_5349_1, equation 3; iso_5349_2, partial exposures.

    >>> round(daily_vibration_a8_m_s2(vibration_m_s2_and_hours=[(4.6, 2), (6.0, 1), (3.6, 2)]), 3)
    3.61
    """
    _require_parts(name="vibration_m_s2", parts=vibration_m_s2_and_hours)
    return math.hypot(
        *(
            partial_vibration_m_s2(vibration_m_s2=vibration_m_s2, time_h=time_h)
            for vibration_m_s2, time_h in vibration_m_s2_and_hours
        )
    )


def vibration_points(*, vibration_m_s2_and_hours: Sequence[Sequence[float]]) -> float:
    """Vibration points of one person over all the work of one day.

        points = sum of (vibration / 2.5)^2 * time / 8 * 100 = sum of 2 * vibration^2 * time

    Points of several tools add. The printed chart rounds each cell to 5; here nothing is rounded before adding.

    Source: hse_vibration_points, points system (constants ``vibration.action_value``,
    ``vibration.points_at_action_value``, ``vibration.reference_time``).

    >>> round(vibration_points(vibration_m_s2_and_hours=[(4.6, 2), (6.0, 1), (3.6, 2)]), 2)
    208.48
    """
    _require_parts(name="vibration_m_s2", parts=vibration_m_s2_and_hours)
    action_dose = math.fsum(
        (vibration_m_s2 / value("vibration.action_value")) ** 2 * time_h / value("vibration.reference_time")
        for vibration_m_s2, time_h in vibration_m_s2_and_hours
    )
    return value("vibration.points_at_action_value") * action_dose


def time_to_vibration_line_h(*, vibration_m_s2: float, line: VibrationLine) -> float:
    """Time in a day after which one tool alone reaches the action value or the limit value.

        time = 8 h * (2.5 / vibration)^2 to the action value, 8 h * (5 / vibration)^2 to the limit value

    Source: directive_2002_44, article 3(1) (constants ``vibration.action_value``, ``vibration.limit_value``).
    iso_5349_1, equation 2 (constant ``vibration.reference_time``).

    >>> [round(60 * time_to_vibration_line_h(vibration_m_s2=6.0, line=line), 1) for line in VIBRATION_LINES]
    [83.3, 333.3]
    """
    require_positive(vibration_m_s2=vibration_m_s2)
    return value("vibration.reference_time") * (value(f"vibration.{line}") / vibration_m_s2) ** 2


def vibration_band(*, daily_vibration_m_s2: float) -> VibrationBand:
    """Where a daily vibration lies between the action value and the limit value.

    At the action value the band is ``ACTION``; over the limit begins only above the limit value.

    Source: directive_2002_44, article 3(1) (constants ``vibration.action_value``, ``vibration.limit_value``).
    hse_tree_work, at or above the action value and above the limit value.

    >>> vibration_band(daily_vibration_m_s2=2.5)
    <VibrationBand.ACTION: 2>
    """
    require_not_negative(daily_vibration_m_s2=daily_vibration_m_s2)
    if daily_vibration_m_s2 > value("vibration.limit_value") * (1 + ON_THE_LINE):
        return VibrationBand.OVER_LIMIT
    if daily_vibration_m_s2 >= value("vibration.action_value") * (1 - ON_THE_LINE):
        return VibrationBand.ACTION
    return VibrationBand.BELOW_ACTION


def time_allowed_3db_h(*, level_dba: float) -> float:
    """Daily time at a level until the recommended dose is reached, by the 3 dB rule.

        time = 8 h / 2^((level - 85) / 3)

    The level is the one at the ear, not a maker's sound power level.

    Source: niosh_98_126, section 1.1 (constants ``noise.niosh.criterion``, ``noise.niosh.exchange``).

    >>> time_allowed_3db_h(level_dba=94)
    1.0
    """
    return _time_allowed_h(level_dba, value("noise.niosh.criterion"), value("noise.niosh.exchange"))


def time_allowed_5db_h(*, level_dba: float) -> float:
    """Daily time at a level until the whole dose is reached, by the 5 dB rule.

        time = 8 h / 2^((level - 90) / 5)

    United States law for employers. It is far less strict than the 3 dB rule and is never shown alone.

    Source: osha_1910_95, appendix A (constants ``noise.osha.criterion``, ``noise.osha.exchange``).

    >>> time_allowed_5db_h(level_dba=100)
    2.0
    """
    return _time_allowed_h(level_dba, value("noise.osha.criterion"), value("noise.osha.exchange"))


def noise_dose_frac(
    *,
    level_dba_and_hours: Sequence[Sequence[float]],
    criterion_dba: float,
    exchange_db: float,
    counted_from_dba: float,
) -> float:
    """Noise dose of one person over all the work of one day, by any rule.

        dose = sum of time_i / (8 h / 2^((level_i - criterion) / exchange)),   levels below a threshold left out

    A dose from mean levels does not describe single blows of steel on steel.

    Source: osha_1910_95, appendix A; niosh_98_126, section 1.1.

    >>> dose = noise_dose_frac(
    ...     level_dba_and_hours=[(69.6, 8)], criterion_dba=85, exchange_db=3, counted_from_dba=0
    ... )
    >>> round(dose, 5)
    0.02849
    """
    _require_parts(name="level_dba", parts=level_dba_and_hours)
    require_positive(criterion_dba=criterion_dba, exchange_db=exchange_db)
    require_not_negative(counted_from_dba=counted_from_dba)
    return math.fsum(
        time_h / _time_allowed_h(level_dba, criterion_dba, exchange_db)
        for level_dba, time_h in level_dba_and_hours
        if level_dba >= counted_from_dba
    )


def noise_dose_3db_frac(*, level_dba_and_hours: Sequence[Sequence[float]]) -> float:
    """Noise dose of one person over all the work of one day, by the 3 dB rule from 85 dB(A).

    The dose without hearing protection.

    Source: niosh_98_126, section 1.1 (constants ``noise.niosh.criterion``, ``noise.niosh.exchange``,
    ``noise.niosh.threshold``).

    >>> round(noise_dose_3db_frac(level_dba_and_hours=[(101, 1), (85, 2), (75, 3)]), 4)
    5.2897
    """
    return noise_dose_frac(
        level_dba_and_hours=level_dba_and_hours,
        criterion_dba=value("noise.niosh.criterion"),
        exchange_db=value("noise.niosh.exchange"),
        counted_from_dba=value("noise.niosh.threshold"),
    )


def noise_dose_5db_frac(*, level_dba_and_hours: Sequence[Sequence[float]]) -> float:
    """Noise dose of one person over all the work of one day, by the 5 dB rule from 90 dB(A).

    United States law for employers. A day can stay under it and be five times over the 3 dB rule.

    Source: osha_1910_95, appendix A (constants ``noise.osha.criterion``, ``noise.osha.exchange``).
    osha_technical_manual, section III:5 (constant ``noise.osha.threshold_limit``).

    >>> round(noise_dose_5db_frac(level_dba_and_hours=[(101, 1), (85, 2), (75, 3)]), 4)
    0.5743
    """
    return noise_dose_frac(
        level_dba_and_hours=level_dba_and_hours,
        criterion_dba=value("noise.osha.criterion"),
        exchange_db=value("noise.osha.exchange"),
        counted_from_dba=value("noise.osha.threshold_limit"),
    )


def daily_noise_level_dba(*, level_dba_and_hours: Sequence[Sequence[float]]) -> float:
    """Steady level over 8 h with the sound energy of the day.

        L_EX,8h = 10 * log10(sum of time_i / 8 h * 10^(level_i / 10))

    Source: iso_9612, daily noise exposure level (constant ``noise.reference_time``).

    >>> round(daily_noise_level_dba(level_dba_and_hours=[(101, 1), (85, 2), (75, 3)]), 2)
    92.21
    """
    _require_parts(name="level_dba", parts=level_dba_and_hours)
    require_positive(time_of_the_day_h=math.fsum(time_h for _, time_h in level_dba_and_hours))
    energy = math.fsum(time_h * 10 ** (level_dba / 10) for level_dba, time_h in level_dba_and_hours)
    return 10 * math.log10(energy / value("noise.reference_time"))


def noise_band(*, dose_3db_frac: float) -> NoiseBand:
    """Where a noise dose lies against the recommended daily limit, which counts as reached at exactly 1.

    Source: niosh_98_126, section 1.1.

    >>> noise_band(dose_3db_frac=1.0)
    <NoiseBand.DOSE: 2>
    """
    require_not_negative(dose_3db_frac=dose_3db_frac)
    if dose_3db_frac >= 1 - ON_THE_LINE:
        return NoiseBand.DOSE
    return NoiseBand.BELOW_DOSE


def is_over_noise_ceiling(*, level_dba: float) -> bool:
    """Whether a level is above the ceiling and calls for a caution however short the time.

    Source: niosh_98_126, ceiling limit (constant ``noise.niosh.ceiling``).

    >>> is_over_noise_ceiling(level_dba=115.7)
    True
    """
    require_positive(level_dba=level_dba)
    return level_dba > value("noise.niosh.ceiling")


def _time_allowed_h(level_dba: float, criterion_dba: float, exchange_db: float) -> float:
    require_positive(level_dba=level_dba)
    return value("noise.reference_time") / math.exp2((level_dba - criterion_dba) / exchange_db)
