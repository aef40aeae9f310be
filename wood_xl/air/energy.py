"""Energy behind the work: bought as fuel, by its gross heat, and as electricity; of the food; and heat got for it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from wood_xl.air.factor_sets import Factor
from wood_xl.arguments import require_not_negative, require_positive
from wood_xl.data.load import value
from wood_xl.data.trade import fuels
from wood_xl.draws.ensemble import Number, total
from wood_xl.hours.fuel import FuelParts

MJ_PER_KWH = 3.6
J_PER_MJ = 1e6
G_PER_KG = 1000


def gross_heat_mj_per_l(fuel: str, factor: Factor = value) -> Number:
    """Gross heat of a fuel.

        heat of a gallon / gallon

    Source: epa_hub_2021, Table 1; unit_definitions, Btu and gallon.

    >>> round(gross_heat_mj_per_l("gasoline"), 2), round(gross_heat_mj_per_l("diesel"), 2)
    (34.84, 38.46)
    """
    return _mj_per_l(fuels()[fuel].gross_heat, factor)


def fuel_energy_mj(parts: FuelParts, *, factor: Factor = value) -> Number:
    """Fossil energy of a fuel by its gross heat; ethanol is left out.

        sum of (litres * gross heat)

    Source: epa_hub_2021, Table 1.

    >>> round(fuel_energy_mj(FuelParts({"gasoline": 0.5 * 3.785411784})), 3)
    65.941
    """
    fossil = {fuel: litres for fuel, litres in parts.litres.items() if np.any(litres) and fuels()[fuel].is_fossil}
    return total(litres * gross_heat_mj_per_l(fuel, factor) for fuel, litres in fossil.items())


def gasoline_equivalent_l(*, energy_mj: Number, factor: Factor = value) -> Number:
    """Gasoline that holds as much energy by its gross heat.

        energy / gross heat

    Source: epa_hub_2021, Table 1 (constant ``heat_content.gasoline``).

    >>> round(gasoline_equivalent_l(energy_mj=22.594) / 3.785411784, 4)
    0.1713
    """
    require_not_negative(energy_mj=energy_mj)
    return energy_mj / _mj_per_l("heat_content.gasoline", factor)


def _mj_per_l(heat_of_a_gallon: str, factor: Factor) -> Number:
    return factor(heat_of_a_gallon) * factor("unit.mmbtu") / factor("unit.us_gallon")


def food_fossil_mj(*, effort_kcal: float, ratio: float, factor: Callable[[str], float] = value) -> float:
    """Fossil energy behind the food of an effort, if all of it is eaten in addition.

        effort * ratio

    ratio: fossil energy for one unit of food energy. 0 or more.

    Ratios of 7 to 10 are a whole food system over what is eaten: an average, not what one more meal takes, which lies
    anywhere from 0 to about 10.

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

    Source: wood_xl_definitions, between published diets (constant ``food.co2e_per_kcal``); scarborough_2014, diets.

    >>> food_kgco2e(effort_kcal=1800, g_per_kcal=2.3)
    4.14
    """
    require_not_negative(effort_kcal=effort_kcal, g_per_kcal=g_per_kcal)
    return effort_kcal * g_per_kcal / G_PER_KG


def energy_return(*, heat_mj: float, energy_in_mj: float) -> float:
    """Heat got for each unit of energy put in.

        return = heat / energy put in

    Published ratios differ mainly by their boundary: whether tools, haulage, labour and the stove are in it.

    Source: wood_heat_example, ratio of energy got to energy put in.

    >>> round(energy_return(heat_mj=24.0, energy_in_mj=0.943), 2)
    25.45
    """
    require_not_negative(heat_mj=heat_mj)
    require_positive(energy_in_mj=energy_in_mj)
    return heat_mj / energy_in_mj
