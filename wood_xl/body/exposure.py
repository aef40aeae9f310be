"""Hand-arm vibration of one person in one day, and what holds for every exposure.

Exposure adds up within a day and is never averaged over days. What has no vibration or level is not assessed; it is
never taken as zero, so that an empty day is refused here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from wood_xl.arguments import require_not_negative, require_positive
from wood_xl.data.load import value
from wood_xl.ids import VibrationBand

# What is worked out from hours that just reach a line may miss it by the last digits of a float.
ON_THE_LINE = 1e-9


def require_parts(*, name: str, parts: Sequence[Sequence[float]]) -> None:
    """Refuse a day of which nothing is given, or a part of it that is out of range.

    name: what the first number of each part is, for the message.
    parts: for each piece of work a vibration or a level, above 0, and the time, h, 0 or more.

    Source: wood_xl_definitions, what is not assessed is never zero.

    >>> require_parts(name="level_dba", parts=[(101, 0.5)])
    """
    if not parts:
        raise ValueError(f"no {name} is given, so the day is not assessed")
    for strength, time_h in parts:
        require_positive(**{name: strength})
        require_not_negative(time_h=time_h)


def partial_vibration_m_s2(*, vibration_m_s2: float, time_h: float) -> float:
    """Share of one piece of work in the daily vibration.

        A_i(8) = vibration * sqrt(time / 8 h)

    vibration_m_s2: vibration total value of the tool at the worse hand, frequency-weighted, m/s2. Above 0.

    Time with the tool at rest does not count. Single shocks (axe, maul, sledge on wedge) are outside the standard.

    Source: iso_5349_1, equation 2 (constant ``vibration.reference_time``).

    >>> round(partial_vibration_m_s2(vibration_m_s2=7.4, time_h=2.5), 3)
    4.137
    """
    require_positive(vibration_m_s2=vibration_m_s2)
    require_not_negative(time_h=time_h)
    return vibration_m_s2 * math.sqrt(time_h / value("vibration.reference_time"))


def daily_vibration_a8_m_s2(*, vibration_m_s2_and_hours: Sequence[Sequence[float]]) -> float:
    """Daily vibration of one person over all the work of one day.

        A(8) = sqrt(sum of A_i(8)^2)

    Source: iso_5349_1, equation 3; iso_5349_2, partial exposures.

    >>> round(daily_vibration_a8_m_s2(vibration_m_s2_and_hours=[(4.6, 2), (6.0, 1), (3.6, 2)]), 3)
    3.61
    """
    require_parts(name="vibration_m_s2", parts=vibration_m_s2_and_hours)
    return math.hypot(
        *(
            partial_vibration_m_s2(vibration_m_s2=vibration_m_s2, time_h=time_h)
            for vibration_m_s2, time_h in vibration_m_s2_and_hours
        )
    )


def vibration_points(*, vibration_m_s2_and_hours: Sequence[Sequence[float]]) -> float:
    """Vibration points of one person over all the work of one day.

        points = sum of (vibration / 2.5)^2 * time / 8 * 100 = sum of 2 * vibration^2 * time

    Points of several tools add. The printed chart rounds each cell to 5; that is never done before adding.

    Source: hse_vibration_points, points system (constants ``vibration.action_value``,
    ``vibration.points_at_action_value``, ``vibration.reference_time``).

    >>> round(vibration_points(vibration_m_s2_and_hours=[(4.6, 2), (6.0, 1), (3.6, 2)]), 2)
    208.48
    """
    require_parts(name="vibration_m_s2", parts=vibration_m_s2_and_hours)
    action_dose = math.fsum(
        (vibration_m_s2 / value("vibration.action_value")) ** 2 * time_h / value("vibration.reference_time")
        for vibration_m_s2, time_h in vibration_m_s2_and_hours
    )
    return value("vibration.points_at_action_value") * action_dose


def time_to_vibration_action_value_h(*, vibration_m_s2: float) -> float:
    """Time in a day after which one tool alone reaches the action value.

        time = 8 h * (2.5 / vibration)^2

    Source: directive_2002_44, article 3(1)(b) (constant ``vibration.action_value``). iso_5349_1, equation 2 (constant
    ``vibration.reference_time``).

    >>> round(time_to_vibration_action_value_h(vibration_m_s2=6.0) * 60, 1)
    83.3
    """
    require_positive(vibration_m_s2=vibration_m_s2)
    return value("vibration.reference_time") * (value("vibration.action_value") / vibration_m_s2) ** 2


def time_to_vibration_limit_value_h(*, vibration_m_s2: float) -> float:
    """Time in a day after which one tool alone reaches the limit value.

        time = 8 h * (5 / vibration)^2

    Source: directive_2002_44, article 3(1)(a) (constant ``vibration.limit_value``). iso_5349_1, equation 2 (constant
    ``vibration.reference_time``).

    >>> round(time_to_vibration_limit_value_h(vibration_m_s2=6.0) * 60, 1)
    333.3
    """
    require_positive(vibration_m_s2=vibration_m_s2)
    return value("vibration.reference_time") * (value("vibration.limit_value") / vibration_m_s2) ** 2


def vibration_band(*, daily_vibration_m_s2: float) -> VibrationBand:
    """Where a daily vibration lies between the action value and the limit value.

    The action value itself counts as reached, the limit value itself not as passed.

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
