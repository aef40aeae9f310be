"""Energy bought for the work, energy and carbon of making tools, emissions of food, and heat per unit of energy."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wood_xl.air.factor_sets import G_PER_KG, Factor
from wood_xl.data.load import value
from wood_xl.data.trade import fuels, tool_kinds
from wood_xl.draws.ensemble import Number, nominal, total
from wood_xl.hours.fuel import FuelParts

MJ_PER_KWH = 3.6
J_PER_MJ = 1e6


def gross_heat_mj_per_l(fuel: str, factor: Factor = value) -> Number:
    """Gross heat of a fuel.

        heat of a gallon / gallon

    Source: epa_hub_2021, Table 1; unit_definitions, Btu and gallon.

    >>> round(gross_heat_mj_per_l("gasoline"), 2), round(gross_heat_mj_per_l("diesel"), 2)
    (34.84, 38.46)
    """
    return _mj_per_l(fuels()[fuel].gross_heat, factor)


def _mj_per_l(heat_content: str, factor: Factor) -> Number:
    return factor(heat_content) * factor("unit.mmbtu") / factor("unit.us_gallon")


def fuel_energy_mj(parts: FuelParts, *, factor: Factor = value) -> Number:
    """Fossil energy of a fuel by its gross heat; ethanol is left out.

        sum of (liters * gross heat)

    Source: epa_hub_2021, Table 1.

    >>> round(fuel_energy_mj(FuelParts({"gasoline": 0.5 * 3.785411784})), 3)
    65.941
    """
    fossil = {fuel: litres for fuel, litres in parts.litres.items() if np.any(litres) and fuels()[fuel].is_fossil}
    return total(litres * gross_heat_mj_per_l(fuel, factor) for fuel, litres in fossil.items())


def gasoline_equivalent_l(*, energy_mj: Number) -> Number:
    """Gasoline with the same energy, by its gross heat.

        energy / gross heat

    Source: epa_hub_2021, Table 1.

    >>> round(gasoline_equivalent_l(energy_mj=22.594) / 3.785411784, 4)
    0.1713
    """
    return energy_mj / _mj_per_l("heat_content.gasoline", value)


def food_fossil_mj(*, effort_kcal: float, ratio: float) -> float:
    """Fossil energy behind the food for an effort, if all of it is eaten in addition.

        effort * ratio

    Ratios of 7 to 10 are averages: a whole food system over all that is eaten. One more meal can take anything from
    0 to about 10.

    Source: unit_definitions, kilocalorie.

    >>> round(food_fossil_mj(effort_kcal=1800, ratio=3), 3)
    22.594
    """
    return effort_kcal * ratio * value("unit.kcal") / J_PER_MJ


def food_kgco2e(*, effort_kcal: float, g_per_kcal: float) -> float:
    """Emissions behind the food for an effort, if all of it is eaten in addition.

        effort * factor

    Source: wood_xl_definitions, between published diets; scarborough_2014, diets.

    >>> food_kgco2e(effort_kcal=1800, g_per_kcal=2.3)
    4.14
    """
    return effort_kcal * g_per_kcal / G_PER_KG


def energy_return(*, heat_mj: float, energy_in_mj: float) -> float:
    """Heat gained for each unit of energy put in.

        return = heat / energy put in

    Published ratios differ mainly in their boundary: whether it includes tools, haulage, labor and the stove.

    Source: wood_heat_example, ratio of energy got to energy put in.

    >>> round(energy_return(heat_mj=24.0, energy_in_mj=0.943), 2)
    25.45
    """
    return heat_mj / energy_in_mj


MATERIALS = ("steel", "aluminium", "nylon")


@dataclass(frozen=True, eq=False, slots=True)
class Made:
    """Carbon and energy of making a tool."""

    co2e_kg: Number
    energy_mj: Number


def packs_made_kg(*, kind: str, with_first: bool, factor: Factor = value) -> Number:
    """Carbon of the battery packs that a tool uses up over its life; 0 for a kind without a battery.

        packs * capacity * factor of a kWh

    with_first: whether the pack that the tool came with counts too.

    Source: ivl_c_444, carbon of a kWh of capacity.

    >>> round(packs_made_kg(kind="battery", with_first=True), 2), packs_made_kg(kind="mains", with_first=True)
    (50.1, 0.0)
    """
    if not tool_kinds()[kind].has_battery:
        return 0.0
    packs_n = factor("embodied.battery.packs") - (0 if with_first else 1)
    return packs_n * (factor("embodied.battery.capacity") * factor("embodied.battery.co2e"))


def made_by_mass(*, kind: str, mass_kg: Number, factor: Factor = value) -> Made:
    """Carbon and energy of a tool's materials.

        mass * sum of (share of a material * its factor) + carbon of its packs

    A power tool light enough to be hand-held is metal and plastic; everything else counts as steel. Without shaping
    and assembly, and without the energy of packs.

    Source: ice_v2, cradle to gate.

    >>> made = made_by_mass(kind="gasoline two-stroke", mass_kg=5.5)
    >>> round(made.co2e_kg, 2), round(made.energy_mj, 1)
    (34.48, 500.7)
    """
    shares: dict[str, Number] = {"steel": 1.0}
    if tool_kinds()[kind].is_powered and nominal(mass_kg) <= nominal(factor("embodied.handheld_up_to")):
        shares = {material: factor(f"embodied.handheld.{material}") / 100 for material in MATERIALS}
    co2e, energy = (
        mass_kg * sum(share * factor(f"embodied.{quantity}.{material}") for material, share in shares.items())
        for quantity in ("co2e", "energy")
    )
    return Made(co2e + packs_made_kg(kind=kind, with_first=True, factor=factor), energy)


def made_by_price_kg(*, kind: str, price_usd: Number, factor: Factor = value) -> Number:
    """Carbon of a tool by its price, from the emissions of its industry and suppliers.

        price * factor of the industry + carbon of the packs after the first, which the price includes

    A mean over an industry: a cheap and a fine tool of the same mass get different figures.

    Source: epa_supply_chain_v1_3, with margins.

    >>> round(made_by_price_kg(kind="gasoline two-stroke", price_usd=400.0), 1)
    54.4
    """
    packs_kg = packs_made_kg(kind=kind, with_first=False, factor=factor)
    return price_usd * factor(tool_kinds()[kind].price_carbon) + packs_kg
