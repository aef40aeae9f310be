"""Energy and oxygen from heart rate for a person whose highest oxygen uptake is known."""

from __future__ import annotations

import math
from typing import NamedTuple

from wood_xl.arguments import require_fraction, require_positive
from wood_xl.body.strain import heart_rate_reserve_frac
from wood_xl.data.load import value
from wood_xl.records import Sex

ML_PER_L = 1000.0


class UptakeByAge(NamedTuple):
    """Highest oxygen uptake of people of an age, and its standard uncertainty for one of them."""

    vo2max_ml_kg_min: float
    u_ml_kg_min: float


def vo2max_by_age(*, age_years: float, sex: Sex | None) -> UptakeByAge | None:
    """Highest oxygen uptake of healthy people by age and sex.

        VO2max = mean of the youngest group - 0.35 * (age - 25),   no more than that mean

    sex: whose mean; None gives the mean of both, and half their difference as a rectangle in the uncertainty.

    Returns uptake and its uncertainty; None outside the ages that were tested.

    From 3816 healthy people in Norway on a treadmill, who are fit: with less training the uptake is lower, by an
    amount that the source does not give.

    Source: loe_2013, youngest group and fall with age (constants ``vo2max.male``, ``vo2max.female``,
    ``vo2max.age``, ``vo2max.lowest_age``, ``vo2max.highest_age``). wood_xl_definitions, middle of the youngest group
    and scatter between people (constants ``vo2max.youngest``, ``vo2max.u``).

    >>> uptake = vo2max_by_age(age_years=45, sex="male")
    >>> round(uptake.vo2max_ml_kg_min, 1), uptake.u_ml_kg_min
    (47.4, 8.0)
    """
    require_positive(age_years=age_years)
    if not value("vo2max.lowest_age") <= age_years <= value("vo2max.highest_age"):
        return None
    male, female = value("vo2max.male"), value("vo2max.female")
    youngest = {"male": male, "female": female, None: (male + female) / 2}[sex]
    older_by = max(0.0, age_years - value("vo2max.youngest"))
    u_of_sex = (male - female) / 2 / math.sqrt(3) if sex is None else 0.0
    return UptakeByAge(youngest + value("vo2max.age") * older_by, math.hypot(value("vo2max.u"), u_of_sex))


def keytel_with_vo2max_kcal_per_min(
    *, heart_rate_bpm: float, vo2max_ml_kg_min: float, mass_kg: float, age_years: float, sex: Sex | None
) -> float:
    """Energy from heart rate, gross, by the equation with the highest oxygen uptake.

        kJ/min = intercept + a * heart rate + v * VO2max + b * mass + c * age,   coefficients for each sex

    From the same people as the equation without oxygen uptake (r = 0.913). It corrects for training, which the other
    one assumes.

    Source: keytel_2005, equation with VO2max. unit_definitions, thermochemical calorie (constant ``unit.kcal``).

    >>> man = {"heart_rate_bpm": 120, "vo2max_ml_kg_min": 35, "mass_kg": 80, "age_years": 45}
    >>> round(keytel_with_vo2max_kcal_per_min(**man, sex="male"), 4)
    9.1208
    """
    require_positive(
        heart_rate_bpm=heart_rate_bpm, vo2max_ml_kg_min=vo2max_ml_kg_min, mass_kg=mass_kg, age_years=age_years
    )
    numbers = {"heart_rate": heart_rate_bpm, "vo2max": vo2max_ml_kg_min, "mass": mass_kg, "age": age_years}
    sexes: tuple[Sex, ...] = ("male", "female") if sex is None else (sex,)
    kj_per_min = [
        math.fsum(
            (
                value(f"keytel_vo2max.{one}.intercept"),
                *(value(f"keytel_vo2max.{one}.{name}") * number for name, number in numbers.items()),
            )
        )
        for one in sexes
    ]
    return math.fsum(kj_per_min) / len(kj_per_min) * 1000 / value("unit.kcal")


def reserve_uptake_ml_kg_min(*, reserve_frac: float, vo2max_ml_kg_min: float) -> float:
    """Oxygen uptake at a share of the reserve between rest and the highest uptake.

        VO2 = VO2rest + share * (VO2max - VO2rest)

    Source: swain_1997, share of heart-rate reserve equals share of oxygen reserve (constant
    ``oxygen.resting_uptake``).

    >>> round(reserve_uptake_ml_kg_min(reserve_frac=0.7, vo2max_ml_kg_min=50), 2)
    36.05
    """
    rest_ml_kg_min = value("oxygen.resting_uptake")
    require_fraction(reserve_frac=reserve_frac)
    require_positive(oxygen_reserve=vo2max_ml_kg_min - rest_ml_kg_min)
    return rest_ml_kg_min + reserve_frac * (vo2max_ml_kg_min - rest_ml_kg_min)


def reserve_kcal_per_min(
    *, heart_rate_bpm: float, resting_bpm: float, max_bpm: float, vo2max_ml_kg_min: float, mass_kg: float
) -> float:
    """Energy from the share of the heart-rate reserve, taken as the share of the reserve in oxygen uptake.

        kcal/min = VO2 at the share of the reserve * mass * energy of oxygen

    Found for leg exercise. Gripping and arm work raise the heart rate more than the oxygen uptake.

    Source: swain_1997, share of heart-rate reserve equals share of oxygen reserve. weir_1949, energy of oxygen
    (constant ``oxygen.kcal_per_l``).

    >>> man = {"resting_bpm": 65, "max_bpm": 176.5, "vo2max_ml_kg_min": 35, "mass_kg": 80}
    >>> round(reserve_kcal_per_min(heart_rate_bpm=120, **man), 4)
    7.4325
    """
    require_positive(mass_kg=mass_kg)
    share = heart_rate_reserve_frac(heart_rate_bpm=heart_rate_bpm, resting_bpm=resting_bpm, max_bpm=max_bpm)
    uptake_ml_kg_min = reserve_uptake_ml_kg_min(reserve_frac=share, vo2max_ml_kg_min=vo2max_ml_kg_min)
    return uptake_ml_kg_min * mass_kg / ML_PER_L * value("oxygen.kcal_per_l")
