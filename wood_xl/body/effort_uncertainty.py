"""How far off an energy may be: the device, the equation, an unknown sex, and what other bases give."""

from __future__ import annotations

import math
from collections.abc import Iterable

from wood_xl.arguments import require_not_negative, require_positive
from wood_xl.data.load import value


def u_of_unknown_sex_kcal_per_min(*, male_kcal_per_min: float, female_kcal_per_min: float) -> float:
    """Standard uncertainty of the mean of both equations when it is not known which one holds.

        u = |difference of the two| / 2 / sqrt(3)

    Source: wood_xl_definitions, half-difference as a rectangle.

    >>> round(u_of_unknown_sex_kcal_per_min(male_kcal_per_min=10.5165, female_kcal_per_min=6.5722), 4)
    1.1386
    """
    return abs(male_kcal_per_min - female_kcal_per_min) / 2 / math.sqrt(3)


def u_of_device_bpm(device: str | None) -> float:
    """Standard uncertainty of a heart rate by what it was measured with.

    device: ``chest strap``, ``arm band``, ``wrist`` or ``finger count``; None is taken as the wrist, the least exact.

    Source: wood_xl_definitions, devices (constants ``effort.u_heart_rate.chest_strap``,
    ``effort.u_heart_rate.arm_band``, ``effort.u_heart_rate.wrist``, ``effort.u_heart_rate.finger_count``).

    >>> u_of_device_bpm("chest strap"), u_of_device_bpm(None)
    (2.0, 8.0)
    """
    return value(f"effort.u_heart_rate.{(device or 'wrist').replace(' ', '_')}")


def u_of_heart_rate_energy_kcal_per_min(
    *, kcal_per_min: float, slope_kcal_per_beat: float, u_heart_rate_bpm: float, u_model_frac: float
) -> float:
    """Standard uncertainty of an energy from heart rate.

        u = sqrt((u of the model * energy)^2 + (slope * u of the heart rate)^2)

    The part of the equation is the same in all sessions of one person and does not shrink with their number.

    Errors: ValueError if a number is below 0.
    Source: wood_xl_definitions, relative variances add.

    >>> u = u_of_heart_rate_energy_kcal_per_min(
    ...     kcal_per_min=10.8967, slope_kcal_per_beat=0.15079, u_heart_rate_bpm=5, u_model_frac=0.20
    ... )
    >>> round(u, 3)
    2.306
    """
    require_not_negative(kcal_per_min=kcal_per_min, u_heart_rate_bpm=u_heart_rate_bpm, u_model_frac=u_model_frac)
    return math.hypot(u_model_frac * kcal_per_min, slope_kcal_per_beat * u_heart_rate_bpm)


def u_of_disagreement_frac(*, headline_kcal: float, others_kcal: Iterable[float]) -> float:
    """Relative standard uncertainty of an energy by how far other bases for the same work lie from it.

        u = 0.577 * |ln(other / headline)| of the farthest,   0 if there is no other

    The log of the energy may lie as far off as the farthest basis, on either side and anywhere between: a rectangle.

    Errors: ValueError if an energy is not above 0.
    Source: how_sure_defaults, disagreement of bases (constant ``effort.u.disagreement``).

    >>> round(u_of_disagreement_frac(headline_kcal=400, others_kcal=[440, 300]), 4)
    0.166
    """
    others = tuple(others_kcal)
    require_positive(headline_kcal=headline_kcal, other_kcal=min(others, default=1.0))
    farthest = max((abs(math.log(other / headline_kcal)) for other in others), default=0.0)
    return value("effort.u.disagreement") * farthest
