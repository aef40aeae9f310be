"""Heat that a house needs in a winter: by its loss and degree days, or from what a past winter took."""

from __future__ import annotations

from wood_xl.arguments import require_fraction, require_not_negative, require_positive
from wood_xl.data.load import value

S_PER_DAY = 86400.0
J_PER_MJ = 1e6


def internal_gains_frac(*, base_c: float | None) -> float:
    """Share of the loss by degree days that heating has to give.

    base_c: base of the degree days, in degC; None if it is not known, which is taken for the conventional one.

    Source: ashrae_fundamentals, modified degree-day method (constants ``heat_need.internal_gains``,
    ``heat_need.conventional_base``, ``heat_need.base_slack``).

    >>> internal_gains_frac(base_c=18.0), internal_gains_frac(base_c=15.5)
    (0.7, 1.0)
    """
    slack = value("heat_need.base_slack")
    if base_c is None or abs(base_c - value("heat_need.conventional_base")) <= slack:
        return value("heat_need.internal_gains")
    return 1.0


def need_by_degree_days_mj(*, heat_loss_w_per_k: float, degree_days_k: float, gains_frac: float) -> float:
    """Heat that a house needs by its loss and the winter's degree days.

        Q = 24 h * loss * degree days * share

    Source: ashrae_fundamentals, degree-day method.

    >>> round(need_by_degree_days_mj(heat_loss_w_per_k=263.764, degree_days_k=3611.11, gains_frac=1.0))
    82294
    """
    require_positive(heat_loss_w_per_k=heat_loss_w_per_k)
    require_not_negative(degree_days_k=degree_days_k)
    require_fraction(gains_frac=gains_frac)
    return heat_loss_w_per_k * degree_days_k * gains_frac * S_PER_DAY / J_PER_MJ


def to_next_winter(amount: float, *, degree_days_last_k: float | None, degree_days_next_k: float | None) -> float:
    """What a past winter took, taken to another by its degree days.

        next = last * degree days next / degree days last

    Holds if hearth, wood and habits stay the same.

    Source: wood_and_heat_defaults, calibration from a past season.

    >>> to_next_winter(12.0, degree_days_last_k=4000.0, degree_days_next_k=4200.0)
    12.6
    """
    require_not_negative(amount=amount)
    if degree_days_last_k is None or degree_days_next_k is None:
        return amount
    require_positive(degree_days_last_k=degree_days_last_k, degree_days_next_k=degree_days_next_k)
    return amount * degree_days_next_k / degree_days_last_k


def heat_loss_w_per_k(*, delivered_mj: float, degree_days_k: float, gains_frac: float) -> float:
    """Loss of a house that a winter's heat and degree days imply.

        loss = Q / (24 h * degree days * share)

    Source: wood_and_heat_defaults, calibration from a past season.

    >>> round(heat_loss_w_per_k(delivered_mj=82294.0, degree_days_k=3611.11, gains_frac=1.0), 1)
    263.8
    """
    require_not_negative(delivered_mj=delivered_mj)
    require_positive(degree_days_k=degree_days_k, gains_frac=gains_frac)
    require_fraction(gains_frac=gains_frac)
    return delivered_mj * J_PER_MJ / (S_PER_DAY * degree_days_k * gains_frac)


def cords_for_heat(*, need_mj: float, delivered_mj_per_cord: float) -> float:
    """Cords that deliver a heat.

        cords = heat needed / heat delivered by a cord

    Source: ashrae_fundamentals, degree-day method.

    >>> cords_for_heat(need_mj=82000.0, delivered_mj_per_cord=16400.0)
    5.0
    """
    require_not_negative(need_mj=need_mj)
    require_positive(delivered_mj_per_cord=delivered_mj_per_cord)
    return need_mj / delivered_mj_per_cord
