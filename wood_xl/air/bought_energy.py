"""Energy that was bought for the work: of fuel by its gross heat, of electricity, of making the tools."""

from __future__ import annotations

import numpy as np

from wood_xl.air.factor_sets import Factor
from wood_xl.arguments import require_not_negative
from wood_xl.data.load import value
from wood_xl.data.trade import fuels
from wood_xl.draws.ensemble import Number, total
from wood_xl.hours.fuel import FuelParts

MJ_PER_KWH = 3.6


def gross_heat_mj_per_l(fuel: str, factor: Factor = value) -> Number:
    """Gross heat of a fuel.

        heat of a gallon / gallon

    fuel: id of the fuel.
    factor: where factors are looked up by the id of their constant.

    Source: epa_hub_2021, Table 1 (constants ``heat_content.gasoline``, ``heat_content.diesel``,
    ``heat_content.lubricant``); unit_definitions, Btu and gallon (constants ``unit.mmbtu``, ``unit.us_gallon``).

    >>> round(gross_heat_mj_per_l("gasoline"), 2), round(gross_heat_mj_per_l("diesel"), 2)
    (34.84, 38.46)
    """
    return _mj_per_l(fuels()[fuel].gross_heat, factor)


def fuel_energy_mj(parts: FuelParts, *, factor: Factor = value) -> Number:
    """Fossil energy of a fuel by its gross heat; ethanol is left out.

        sum of (litres * gross heat)

    parts: litres of each part.
    factor: where factors are looked up by the id of their constant.

    Source: epa_hub_2021, Table 1 (constants ``heat_content.gasoline``, ``heat_content.diesel``,
    ``heat_content.lubricant``).

    >>> round(fuel_energy_mj(FuelParts({"gasoline": 0.5 * 3.785411784})), 3)
    65.941
    """
    fossil = {fuel: litres for fuel, litres in parts.litres.items() if np.any(litres) and fuels()[fuel].is_fossil}
    return total(litres * gross_heat_mj_per_l(fuel, factor) for fuel, litres in fossil.items())


def gasoline_equivalent_l(*, energy_mj: Number, factor: Factor = value) -> Number:
    """Gasoline that holds as much energy by its gross heat.

        energy / gross heat

    factor: where factors are looked up by the id of their constant.

    Errors: ValueError if an argument is out of its range.
    Source: epa_hub_2021, Table 1 (constant ``heat_content.gasoline``).

    >>> round(gasoline_equivalent_l(energy_mj=22.594) / 3.785411784, 4)
    0.1713
    """
    require_not_negative(energy_mj=energy_mj)
    return energy_mj / _mj_per_l("heat_content.gasoline", factor)


def _mj_per_l(heat_of_a_gallon: str, factor: Factor) -> Number:
    return factor(heat_of_a_gallon) * factor("unit.mmbtu") / factor("unit.us_gallon")
