"""Published equations for the energy of a worker: from heart rate, at rest, and from an activity table."""

from __future__ import annotations

import math
from typing import NamedTuple

from wood_xl.arguments import require_not_negative, require_positive
from wood_xl.body.oxygen import keytel_with_vo2max_kcal_per_min
from wood_xl.data.load import value
from wood_xl.ids import EffortBasis
from wood_xl.reasons import Said, said
from wood_xl.records import Sex

MIN_PER_H = 60.0
MIN_PER_DAY = 24 * MIN_PER_H


class Resting(NamedTuple):
    """Energy at rest and how it was come by."""

    kcal_per_min: float
    basis: Said


class ActivityEnergy(NamedTuple):
    """Energy from an activity table."""

    gross_kcal: float
    net_kcal: float


def keytel_kcal_per_min(*, heart_rate_bpm: float, mass_kg: float, age_years: float, sex: Sex | None) -> float:
    """Energy from heart rate, gross, by the equation without oxygen uptake.

        kJ/min = intercept + a * heart rate + b * mass + c * age,   one set of coefficients for each sex

    sex: which equation; None gives the mean of both.

    Made from steady work of 115 regularly active people of 18 to 45 years and 47 to 120 kg at 57 to 90 % of the
    highest heart rate (r = 0.857 without oxygen uptake).

    Errors: ValueError if a number is not above 0.
    Source: keytel_2005, equation without VO2max (constants ``keytel.male.intercept``, ``keytel.male.heart_rate``,
    ``keytel.male.mass``, ``keytel.male.age``, ``keytel.female.intercept``, ``keytel.female.heart_rate``,
    ``keytel.female.mass``, ``keytel.female.age``). unit_definitions, thermochemical calorie (constant ``unit.kcal``).

    >>> round(keytel_kcal_per_min(heart_rate_bpm=120, mass_kg=80, age_years=45, sex="male"), 4)
    10.8967
    """
    require_positive(heart_rate_bpm=heart_rate_bpm, mass_kg=mass_kg, age_years=age_years)
    if sex is None:
        male = keytel_kcal_per_min(heart_rate_bpm=heart_rate_bpm, mass_kg=mass_kg, age_years=age_years, sex="male")
        female = keytel_kcal_per_min(
            heart_rate_bpm=heart_rate_bpm, mass_kg=mass_kg, age_years=age_years, sex="female"
        )
        return (male + female) / 2
    kj_per_min = math.fsum(
        (
            value(f"keytel.{sex}.intercept"),
            value(f"keytel.{sex}.heart_rate") * heart_rate_bpm,
            value(f"keytel.{sex}.mass") * mass_kg,
            value(f"keytel.{sex}.age") * age_years,
        )
    )
    return kj_per_min * 1000 / value("unit.kcal")


def max_heart_rate_bpm(age_years: float) -> float:
    """Highest heart rate by age.

        highest = 208 - 0.7 * age

    One person's own highest rate may differ by 10 beats/min (standard deviation); a measured one is better.

    Errors: ValueError if the age is not above 0.
    Source: tanaka_2001, equation (constants ``max_heart_rate.tanaka.intercept``, ``max_heart_rate.tanaka.slope``).

    >>> max_heart_rate_bpm(45)
    176.5
    """
    require_positive(age_years=age_years)
    return value("max_heart_rate.tanaka.intercept") + value("max_heart_rate.tanaka.slope") * age_years


def resting_mifflin_kcal_per_min(*, mass_kg: float, height_cm: float, age_years: float, sex: Sex | None) -> float:
    """Energy at rest from mass, height, age and sex.

        kcal/day = 10 * mass + 6.25 * height - 5 * age + 5 (men) or - 161 (women)

    sex: which constant; None gives the mean of both.

    From 498 people of 19 to 78 years, R2 = 0.71.

    Errors: ValueError if a number is not above 0.
    Source: mifflin_1990, rounded equation (constants ``mifflin.mass``, ``mifflin.height``, ``mifflin.age``,
    ``mifflin.male``, ``mifflin.female``).

    >>> round(resting_mifflin_kcal_per_min(mass_kg=80, height_cm=178, age_years=45, sex="male") * 1440, 6)
    1692.5
    """
    require_positive(mass_kg=mass_kg, height_cm=height_cm, age_years=age_years)
    last = (value("mifflin.male") + value("mifflin.female")) / 2 if sex is None else value(f"mifflin.{sex}")
    kcal_per_day = math.fsum(
        (
            value("mifflin.mass") * mass_kg,
            value("mifflin.height") * height_cm,
            value("mifflin.age") * age_years,
            last,
        )
    )
    return kcal_per_day / MIN_PER_DAY


def resting_kcal_per_min(
    *, mass_kg: float, height_cm: float | None, age_years: float | None, sex: Sex | None
) -> Resting:
    """Energy at rest: from mass, height and age where they are known, else from mass alone.

    sex: which equation; None gives the mean of both.

    Returns energy at rest and its basis.

    Errors: ValueError if a number is not above 0.
    Source: mifflin_1990, rounded equation; compendium_2024, MET convention (constant
    ``effort.resting_kcal_per_kg_h``).

    >>> rest = resting_kcal_per_min(mass_kg=60, height_cm=None, age_years=40, sex="female")
    >>> rest.kcal_per_min, rest.basis.id.name
    (1.0, 'REST_BY_MASS')
    """
    if height_cm is not None and age_years is not None:
        rest = resting_mifflin_kcal_per_min(mass_kg=mass_kg, height_cm=height_cm, age_years=age_years, sex=sex)
        if rest > 0.0:
            return Resting(rest, said(EffortBasis.REST_BY_BODY))
    require_positive(mass_kg=mass_kg)
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
    """Energy from heart rate, gross, with a straight bridge to rest where the equation does not hold.

        from 57 % of the highest rate up:  the equation
        below, down to the resting rate:   straight line from the equation at 57 % to energy at rest
        at the resting rate and below:     energy at rest

    sex: which equation; None gives the mean of both.
    vo2max_ml_kg_min: highest oxygen uptake. Above 0; None for the equation without it.

    Returns gross energy [kcal/min], never below rest; None below 57 % of the highest rate without a resting rate.

    The bridge is a convention of this tool. Without it the equation gives more than twice the energy at rest to a man
    who sits still.

    Errors: ValueError if a number is not above 0.
    Source: keytel_2005, protocol (constant ``keytel.lowest_fraction_of_max``); wood_xl_definitions, bridge to rest.

    >>> man = {"mass_kg": 80, "age_years": 45, "sex": "male", "max_bpm": 176.5, "resting_kcal_per_min": 1.1753}
    >>> round(heart_rate_kcal_per_min(heart_rate_bpm=80, resting_bpm=65, **man), 4)
    4.0387
    """
    require_positive(heart_rate_bpm=heart_rate_bpm, max_bpm=max_bpm, resting_kcal_per_min=resting_kcal_per_min)
    lowest_bpm = value("keytel.lowest_fraction_of_max") * max_bpm
    if resting_bpm is None and heart_rate_bpm < lowest_bpm:
        return None
    if resting_bpm is not None and heart_rate_bpm <= resting_bpm:
        return resting_kcal_per_min
    equation_bpm = max(heart_rate_bpm, lowest_bpm)
    body = {"heart_rate_bpm": equation_bpm, "mass_kg": mass_kg, "age_years": age_years}
    if vo2max_ml_kg_min is None:
        equation = keytel_kcal_per_min(**body, sex=sex)
    else:
        equation = keytel_with_vo2max_kcal_per_min(**body, vo2max_ml_kg_min=vo2max_ml_kg_min, sex=sex)
    equation = max(equation, resting_kcal_per_min)
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

    Returns gross and net energy.

    Net is taken by the tables' own convention for rest, not by an equation for resting energy. The tables compare
    groups of people; for one person the energy may be 25 to 30 % off.

    Errors: ValueError if a number is out of its range.
    Source: compendium_2024, MET values for active time (constant ``effort.resting_kcal_per_kg_h``).

    >>> activity_kcal(met=6.3, mass_kg=80, active_min=45, delay_min=0, standing_met=1.3)
    ActivityEnergy(gross_kcal=378.0, net_kcal=318.0)
    """
    require_positive(met=met, mass_kg=mass_kg, standing_met=standing_met)
    require_not_negative(active_min=active_min, delay_min=delay_min)
    rest_kcal_per_min = value("effort.resting_kcal_per_kg_h") * mass_kg / MIN_PER_H
    gross = rest_kcal_per_min * math.fsum((met * active_min, standing_met * delay_min))
    return ActivityEnergy(gross, gross - rest_kcal_per_min * math.fsum((active_min, delay_min)))
