"""The food behind the work: fossil energy and emissions, shown beside the fuel and never added to it."""

from __future__ import annotations

from collections.abc import Callable

from wood_xl.arguments import require_not_negative
from wood_xl.data.load import value

J_PER_MJ = 1e6
G_PER_KG = 1000


def food_fossil_mj(*, effort_kcal: float, ratio: float, factor: Callable[[str], float] = value) -> float:
    """Fossil energy behind the food of an effort, if all of it is eaten in addition.

        effort * ratio

    ratio: fossil energy for one unit of food energy. 0 or more.
    factor: where factors are looked up by the id of their constant.

    Ratios of 7 to 10 are a whole food system over what is eaten: an average, not what one more meal takes, which lies
    anywhere from 0 to about 10.

    Errors: ValueError if an argument is out of its range.
    Source: unit_definitions, kilocalorie (constant ``unit.kcal``); heller_2018, production only (constant
    ``food.ratio.production``); fossil_food_rule, whole chain (constant ``food.ratio.chain``).

    >>> round(food_fossil_mj(effort_kcal=1800, ratio=3), 3)
    22.594
    """
    require_not_negative(effort_kcal=effort_kcal, ratio=ratio)
    return effort_kcal * ratio * factor("unit.kcal") / J_PER_MJ


def food_kgco2e(*, effort_kcal: float, g_per_kcal: float) -> float:
    """Emissions behind the food of an effort, if all of it is eaten in addition.

        effort * factor

    Errors: ValueError if an argument is out of its range.
    Source: wood_xl_definitions, between published diets (constant ``food.co2e_per_kcal``); scarborough_2014, diets.

    >>> food_kgco2e(effort_kcal=1800, g_per_kcal=2.3)
    4.14
    """
    require_not_negative(effort_kcal=effort_kcal, g_per_kcal=g_per_kcal)
    return effort_kcal * g_per_kcal / G_PER_KG
