"""Published equations for a worker's energy and oxygen uptake, and how uncertain they are."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from wood_xl.body.strain import MIN_PER_H, ML_PER_L, heart_rate_reserve_frac
from wood_xl.data.load import value
from wood_xl.ids import EffortBasis
from wood_xl.reasons import Said, said
from wood_xl.records import Sex

MIN_PER_DAY = 24 * MIN_PER_H


class UptakeByAge(NamedTuple):
    """Highest oxygen uptake at an age, and its standard uncertainty for one person."""

    vo2max_ml_kg_min: float
    u_ml_kg_min: float


def vo2max_by_age(*, age_years: float, sex: Sex | None) -> UptakeByAge | None:
    """Highest oxygen uptake of healthy people by age and sex.

        VO2max = mean of the youngest group - 0.35 * (age - 25),   no more than that mean

    sex: None takes the mean of both, with half their difference as a rectangle in the uncertainty.

    Returns None outside the ages that were tested. From 3816 healthy, fit people in Norway on a treadmill.

    Source: loe_2013, youngest group and fall with age.

    >>> uptake = vo2max_by_age(age_years=45, sex="male")
    >>> round(uptake.vo2max_ml_kg_min, 1), uptake.u_ml_kg_min
    (47.4, 8.0)
    """
    if not value("vo2max.lowest_age") <= age_years <= value("vo2max.highest_age"):
        return None
    male, female = value("vo2max.male"), value("vo2max.female")
    youngest = {"male": male, "female": female, None: (male + female) / 2}[sex]
    older_by = max(0.0, age_years - value("vo2max.youngest"))
    u_of_sex = (male - female) / 2 / math.sqrt(3) if sex is None else 0.0
    return UptakeByAge(youngest + value("vo2max.age") * older_by, math.hypot(value("vo2max.u"), u_of_sex))


def reserve_uptake_ml_kg_min(*, reserve_frac: float, vo2max_ml_kg_min: float) -> float:
    """Oxygen uptake at a share of the reserve between rest and the highest uptake.

        VO2 = VO2rest + share * (VO2max - VO2rest)

    Source: swain_1997, share of heart-rate reserve equals share of oxygen reserve.

    >>> round(reserve_uptake_ml_kg_min(reserve_frac=0.7, vo2max_ml_kg_min=50), 2)
    36.05
    """
    rest_ml_kg_min = value("oxygen.resting_uptake")
    return rest_ml_kg_min + reserve_frac * (vo2max_ml_kg_min - rest_ml_kg_min)


def reserve_kcal_per_min(
    *, heart_rate_bpm: float, resting_bpm: float, max_bpm: float, vo2max_ml_kg_min: float, mass_kg: float
) -> float:
    """Energy from the share of the heart-rate reserve, taken as the share of the reserve in oxygen uptake.

        kcal/min = VO2 at the share of the reserve * mass * energy of oxygen

    Measured on leg exercise; arm work raises the heart rate more than the oxygen uptake.

    Source: swain_1997, share of heart-rate reserve equals share of oxygen reserve.

    >>> man = {"resting_bpm": 65, "max_bpm": 176.5, "vo2max_ml_kg_min": 35, "mass_kg": 80}
    >>> round(reserve_kcal_per_min(heart_rate_bpm=120, **man), 4)
    7.4325
    """
    share = heart_rate_reserve_frac(heart_rate_bpm=heart_rate_bpm, resting_bpm=resting_bpm, max_bpm=max_bpm)
    uptake_ml_kg_min = reserve_uptake_ml_kg_min(reserve_frac=share, vo2max_ml_kg_min=vo2max_ml_kg_min)
    return uptake_ml_kg_min * mass_kg / ML_PER_L * value("oxygen.kcal_per_l")


class Resting(NamedTuple):
    """Energy at rest, and the basis of it."""

    kcal_per_min: float
    basis: Said


class ActivityEnergy(NamedTuple):
    """Energy from an activity table."""

    gross_kcal: float
    net_kcal: float


def keytel_kcal_per_min(
    *, heart_rate_bpm: float, mass_kg: float, age_years: float, sex: Sex | None, vo2max_ml_kg_min: float | None = None
) -> float:
    """Gross energy from heart rate, with or without the highest oxygen uptake.

        kJ/min = intercept + a * heart rate + v * VO2max + b * mass + c * age,   coefficients for each sex
        without the uptake: other coefficients, and no v

    The equation without the uptake assumes a trained person. Fitted to steady work of 115 regularly active people at
    57 to 90 % of the highest heart rate (r = 0.913 with oxygen uptake, 0.857 without).

    Source: keytel_2005, equations with and without VO2max.

    >>> man = {"heart_rate_bpm": 120, "mass_kg": 80, "age_years": 45, "sex": "male"}
    >>> round(keytel_kcal_per_min(**man), 4), round(keytel_kcal_per_min(**man, vo2max_ml_kg_min=35), 4)
    (10.8967, 9.1208)
    """
    equation, numbers = "keytel", {"heart_rate": heart_rate_bpm, "mass": mass_kg, "age": age_years}
    if vo2max_ml_kg_min is not None:
        equation, numbers = "keytel_vo2max", {**numbers, "vo2max": vo2max_ml_kg_min}
    sexes: tuple[Sex, ...] = ("male", "female") if sex is None else (sex,)
    kj_per_min = [
        math.fsum(
            (
                value(f"{equation}.{either}.intercept"),
                *(value(f"{equation}.{either}.{name}") * number for name, number in numbers.items()),
            )
        )
        for either in sexes
    ]
    return math.fsum(kj_per_min) / len(kj_per_min) * 1000 / value("unit.kcal")


def max_heart_rate_bpm(age_years: float) -> float:
    """Highest heart rate by age.

        highest = 208 - 0.7 * age

    A person's own highest rate may differ by 10 beats/min (standard deviation); a measured one is better.

    Source: tanaka_2001, equation.

    >>> max_heart_rate_bpm(45)
    176.5
    """
    return value("max_heart_rate.tanaka.intercept") + value("max_heart_rate.tanaka.slope") * age_years


def resting_mifflin_kcal_per_min(*, mass_kg: float, height_cm: float, age_years: float, sex: Sex | None) -> float:
    """Energy at rest from mass, height, age and sex.

        kcal/day = 10 * mass + 6.25 * height - 5 * age + 5 (men) or - 161 (women)

    From 498 people of 19 to 78 years, R2 = 0.71.

    Source: mifflin_1990, rounded equation.

    >>> round(resting_mifflin_kcal_per_min(mass_kg=80, height_cm=178, age_years=45, sex="male") * 1440, 6)
    1692.5
    """
    last = (value("mifflin.male") + value("mifflin.female")) / 2 if sex is None else value(f"mifflin.{sex}")
    kcal_per_day = math.fsum(
        (value("mifflin.mass") * mass_kg, value("mifflin.height") * height_cm, value("mifflin.age") * age_years, last)
    )
    return kcal_per_day / MIN_PER_DAY


def resting_kcal_per_min(
    *, mass_kg: float, height_cm: float | None, age_years: float | None, sex: Sex | None
) -> Resting:
    """Energy at rest: from mass, height and age if they are known, else from mass alone.

    Source: mifflin_1990, rounded equation.

    >>> rest = resting_kcal_per_min(mass_kg=60, height_cm=None, age_years=40, sex="female")
    >>> rest.kcal_per_min, rest.basis.id.name
    (1.0, 'REST_BY_MASS')
    """
    if height_cm is not None and age_years is not None:
        rest = resting_mifflin_kcal_per_min(mass_kg=mass_kg, height_cm=height_cm, age_years=age_years, sex=sex)
        if rest > 0.0:
            return Resting(rest, said(EffortBasis.REST_BY_BODY))
    per_kg_h = value("effort.resting_kcal_per_kg_h")
    return Resting(per_kg_h * mass_kg / MIN_PER_H, said(EffortBasis.REST_BY_MASS, kcal_per_kg_h=per_kg_h))


def heart_rate_kcal_per_min(
    *,
    heart_rate_bpm: float,
    resting_bpm: float | None,
    max_bpm: float,
    mass_kg: float,
    age_years: float,
    sex: Sex | None,
    resting_kcal_per_min: float,
    vo2max_ml_kg_min: float | None = None,
) -> float | None:
    """Gross energy from heart rate, with a straight bridge to rest where the equation does not hold.

        from 57 % of the highest rate up:  the equation
        below, down to the resting rate:   straight line from the equation at 57 % to energy at rest
        at the resting rate and below:     energy at rest

    Returns at least the energy at rest; None below 57 % of the highest rate if the resting rate is not known. The
    bridge is a convention of this tool: without it the equation gives a man who sits still more than twice his energy
    at rest.

    Source: keytel_2005, protocol; wood_xl_definitions, bridge to rest.

    >>> man = {"mass_kg": 80, "age_years": 45, "sex": "male", "max_bpm": 176.5, "resting_kcal_per_min": 1.1753}
    >>> round(heart_rate_kcal_per_min(heart_rate_bpm=80, resting_bpm=65, **man), 4)
    4.0387
    """
    lowest_bpm = value("keytel.lowest_fraction_of_max") * max_bpm
    if resting_bpm is None and heart_rate_bpm < lowest_bpm:
        return None
    if resting_bpm is not None and heart_rate_bpm <= resting_bpm:
        return resting_kcal_per_min
    by_equation = keytel_kcal_per_min(
        heart_rate_bpm=max(heart_rate_bpm, lowest_bpm),
        mass_kg=mass_kg,
        age_years=age_years,
        sex=sex,
        vo2max_ml_kg_min=vo2max_ml_kg_min,
    )
    equation = max(by_equation, resting_kcal_per_min)
    if resting_bpm is None or heart_rate_bpm >= lowest_bpm:
        return equation
    share = (heart_rate_bpm - resting_bpm) / (lowest_bpm - resting_bpm)
    return resting_kcal_per_min + share * (equation - resting_kcal_per_min)


def activity_kcal(
    *, met: float, mass_kg: float, active_min: float, delay_min: float, standing_met: float
) -> ActivityEnergy:
    """Energy from an activity table.

        gross = rest per kg and hour * mass * (MET * active time + standing MET * delay)
        net   = the same with 1 taken off each MET

    Net uses the tables' own convention for rest. For one person the energy may be 25 to 30 % off.

    Source: compendium_2024, MET values for active time.

    >>> activity_kcal(met=6.3, mass_kg=80, active_min=45, delay_min=0, standing_met=1.3)
    ActivityEnergy(gross_kcal=378.0, net_kcal=318.0)
    """
    rest_kcal_per_min = value("effort.resting_kcal_per_kg_h") * mass_kg / MIN_PER_H
    gross = rest_kcal_per_min * math.fsum((met * active_min, standing_met * delay_min))
    return ActivityEnergy(gross, gross - rest_kcal_per_min * math.fsum((active_min, delay_min)))


def u_of_device_bpm(device: str | None) -> float:
    """Standard uncertainty of a heart rate by the device that measured it.

    device: ``chest strap``, ``arm band``, ``wrist`` or ``finger count``; None counts as the wrist, the least exact.

    Source: wood_xl_definitions, devices.

    >>> u_of_device_bpm("chest strap"), u_of_device_bpm(None)
    (2.0, 8.0)
    """
    return value(f"effort.u_heart_rate.{(device or 'wrist').replace(' ', '_')}")


def u_of_disagreement_frac(*, headline_kcal: float, others_kcal: Iterable[float]) -> float:
    """Relative standard uncertainty of an energy from how far other bases for the same work lie from it.

        u = 0.577 * |ln(other / headline)| of the farthest,   0 if there is no other

    The log of the energy may be off by as much as the farthest basis, to either side: a rectangular distribution.

    Source: how_sure_defaults, disagreement of bases.

    >>> round(u_of_disagreement_frac(headline_kcal=400, others_kcal=[440, 300]), 4)
    0.166
    """
    others = tuple(others_kcal)
    farthest = max((abs(math.log(other / headline_kcal)) for other in others), default=0.0)
    return value("effort.u.disagreement") * farthest
