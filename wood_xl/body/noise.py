"""Noise of one person in one day: dose by two rules, daily level, and the time until a limit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from wood_xl.arguments import require_not_negative, require_positive
from wood_xl.body.exposure import ON_THE_LINE, require_parts
from wood_xl.data.load import value
from wood_xl.ids import NoiseBand

Counting = Literal["limit", "action"]


def time_allowed_3db_h(*, level_dba: float) -> float:
    """Daily time at a level until the recommended dose is reached, 3 dB rule.

        time = 8 h / 2^((level - 85) / 3)

    A maker's sound power level is not the level at the ear.

    Source: niosh_98_126, section 1.1 (constants ``noise.niosh.criterion``, ``noise.niosh.exchange``).

    >>> time_allowed_3db_h(level_dba=94)
    1.0
    """
    return _time_allowed_h(level_dba, value("noise.niosh.criterion"), value("noise.niosh.exchange"))


def time_allowed_5db_h(*, level_dba: float) -> float:
    """Daily time at a level until the whole dose is reached, 5 dB rule.

        time = 8 h / 2^((level - 90) / 5)

    United States law for employers. It is far less strict than the 3 dB rule and never stands alone.

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

    A dose of mean levels does not describe single blows of steel on steel.

    Source: osha_1910_95, appendix A; niosh_98_126, section 1.1.

    >>> dose = noise_dose_frac(
    ...     level_dba_and_hours=[(69.6, 8)], criterion_dba=85, exchange_db=3, counted_from_dba=0
    ... )
    >>> round(dose, 5)
    0.02849
    """
    require_parts(name="level_dba", parts=level_dba_and_hours)
    require_positive(criterion_dba=criterion_dba, exchange_db=exchange_db)
    require_not_negative(counted_from_dba=counted_from_dba)
    return math.fsum(
        time_h / _time_allowed_h(level_dba, criterion_dba, exchange_db)
        for level_dba, time_h in level_dba_and_hours
        if level_dba >= counted_from_dba
    )


def noise_dose_3db_frac(*, level_dba_and_hours: Sequence[Sequence[float]]) -> float:
    """Noise dose of one person over all the work of one day, 3 dB rule from 85 dB(A).

    Unprotected: what a hearing protector takes off is not in it.

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


def noise_dose_5db_frac(*, level_dba_and_hours: Sequence[Sequence[float]], counting: Counting) -> float:
    """Noise dose of one person over all the work of one day, 5 dB rule from 90 dB(A).

    counting: ``limit`` counts from 90 dB(A) and is held against a dose of 1; ``action`` counts from 80 dB(A) and is
        held against a dose of one half.

    United States law for employers. The same day can lie under it and five times over the 3 dB rule.

    Source: osha_1910_95, appendix A (constants ``noise.osha.criterion``, ``noise.osha.exchange``).
    osha_technical_manual, section III:5 (constants ``noise.osha.threshold_limit``, ``noise.osha.threshold_action``).

    >>> day = [(101, 1), (85, 2), (75, 3)]
    >>> round(noise_dose_5db_frac(level_dba_and_hours=day, counting="limit"), 4)
    0.5743
    """
    return noise_dose_frac(
        level_dba_and_hours=level_dba_and_hours,
        criterion_dba=value("noise.osha.criterion"),
        exchange_db=value("noise.osha.exchange"),
        counted_from_dba=value(f"noise.osha.threshold_{counting}"),
    )


def daily_noise_level_dba(*, level_dba_and_hours: Sequence[Sequence[float]]) -> float:
    """Level that, held for 8 h, has the sound energy of the day.

        L_EX,8h = 10 * log10(sum of time_i / 8 h * 10^(level_i / 10))

    Source: iso_9612, daily noise exposure level (constant ``noise.reference_time``).

    >>> round(daily_noise_level_dba(level_dba_and_hours=[(101, 1), (85, 2), (75, 3)]), 2)
    92.21
    """
    require_parts(name="level_dba", parts=level_dba_and_hours)
    require_positive(time_of_the_day_h=math.fsum(time_h for _, time_h in level_dba_and_hours))
    energy = math.fsum(time_h * 10 ** (level_dba / 10) for level_dba, time_h in level_dba_and_hours)
    return 10 * math.log10(energy / value("noise.reference_time"))


def noise_band(*, dose_3db_frac: float) -> NoiseBand:
    """Where a noise dose lies against the recommended one.

    The whole dose itself counts as reached.

    Source: niosh_98_126, section 1.1.

    >>> noise_band(dose_3db_frac=1.0)
    <NoiseBand.DOSE: 2>
    """
    require_not_negative(dose_3db_frac=dose_3db_frac)
    if dose_3db_frac >= 1 - ON_THE_LINE:
        return NoiseBand.DOSE
    return NoiseBand.BELOW_DOSE


def is_over_noise_ceiling(*, level_dba: float) -> bool:
    """Whether a level is one that calls for a caution, however short the time.

    Source: niosh_98_126, ceiling limit (constant ``noise.niosh.ceiling``).

    >>> is_over_noise_ceiling(level_dba=115.7)
    True
    """
    require_positive(level_dba=level_dba)
    return level_dba > value("noise.niosh.ceiling")


def _time_allowed_h(level_dba: float, criterion_dba: float, exchange_db: float) -> float:
    require_positive(level_dba=level_dba)
    return value("noise.reference_time") / math.exp2((level_dba - criterion_dba) / exchange_db)
