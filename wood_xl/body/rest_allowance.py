"""A rule of rest for whole shifts. One person at a time."""

from __future__ import annotations

from wood_xl.arguments import require_not_negative, require_positive
from wood_xl.data.load import value
from wood_xl.records import Sex

ML_PER_L = 1000.0


def rest_standard_kcal_per_min(*, sex: Sex | None) -> float:
    """Energy, gross, above which the rule for shifts asks for more rest.

    sex: whose standard; None gives the lower of the two, which asks for more rest.

    Known from memory. A person's own standard by the highest oxygen uptake is better.

    Source: murrell_1965, standard (constants ``rest.standard.male``, ``rest.standard.female``). wood_xl_definitions,
    the lower one where it is not known which holds.

    >>> rest_standard_kcal_per_min(sex="male")
    5.0
    """
    male, female = value("rest.standard.male"), value("rest.standard.female")
    return {"male": male, "female": female, None: min(male, female)}[sex]


def rest_standard_by_vo2max_kcal_per_min(*, vo2max_ml_kg_min: float, mass_kg: float) -> float:
    """Energy, gross, above which the rule for shifts asks one person for more rest, by the highest oxygen uptake.

        standard = VO2max * mass * energy of oxygen / 3

    Source: freivalds_class_27, a third of capacity for 8 h (constant ``rest.share_of_capacity``). weir_1949, energy
    of oxygen (constant ``oxygen.kcal_per_l``).

    >>> round(rest_standard_by_vo2max_kcal_per_min(vo2max_ml_kg_min=35, mass_kg=80), 4)
    4.5547
    """
    require_positive(vo2max_ml_kg_min=vo2max_ml_kg_min, mass_kg=mass_kg)
    capacity_kcal_per_min = vo2max_ml_kg_min * mass_kg / ML_PER_L * value("oxygen.kcal_per_l")
    return capacity_kcal_per_min * value("rest.share_of_capacity")


def rest_in_total_min(
    *,
    total_min: float,
    work_kcal_per_min: float,
    standard_kcal_per_min: float,
    resting_kcal_per_min: float | None = None,
) -> float:
    """Rest within a total time, so that the mean energy of work and rest is the standard.

        rest = total * (work - standard) / (work - resting)   if work is above the standard, else 0

    resting_kcal_per_min: energy in the pauses. Above 0; None takes 1.5.

    A rule for shifts, known from memory; nothing for a short session, and never added to hours of work. The total is
    work plus rest. Many short pauses early do more than a long one late.

    Source: murrell_1965, rest in a total time (constant ``rest.resting``); freivalds_class_27, general form.

    >>> round(rest_in_total_min(total_min=60, work_kcal_per_min=8, standard_kcal_per_min=5), 2)
    27.69
    """
    resting = value("rest.resting") if resting_kcal_per_min is None else resting_kcal_per_min
    require_not_negative(total_min=total_min)
    require_positive(
        work_kcal_per_min=work_kcal_per_min,
        resting_kcal_per_min=resting,
        standard_above_rest_kcal_per_min=standard_kcal_per_min - resting,
    )
    if work_kcal_per_min <= standard_kcal_per_min:
        return 0.0
    return total_min * (work_kcal_per_min - standard_kcal_per_min) / (work_kcal_per_min - resting)
