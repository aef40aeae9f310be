"""What leaves the exhaust: carbon dioxide of the fuel, methane and nitrous oxide by the kind of engine."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from wood_xl.air.factor_sets import KG_PER_TJ_TO_KG_PER_MJ, Factor, co2e_kg, fuel_factor_kg_per_l, net_heat_mj_per_l
from wood_xl.arguments import require_not_negative
from wood_xl.data.load import value
from wood_xl.data.trade import Gas, factor_sets, fuels, tool_kinds
from wood_xl.draws.ensemble import Number, total
from wood_xl.hours.fuel import FuelParts

GASES: tuple[Gas, ...] = ("ch4", "n2o")


@dataclass(frozen=True, eq=False, slots=True)
class DirectCo2:
    """CO2 of burning each part of a fuel, by the id of the part."""

    kg: Mapping[str, Number]

    @property
    def fossil_kg(self) -> Number:
        """Fossil CO2 of all parts [kg]."""
        return total(kg for fuel, kg in self.kg.items() if fuels()[fuel].is_fossil)

    @property
    def biogenic_kg(self) -> Number:
        """Biogenic CO2, of ethanol: a memo, not in ``fossil_kg`` [kg]."""
        return total(kg for fuel, kg in self.kg.items() if not fuels()[fuel].is_fossil)


@dataclass(frozen=True, eq=False, slots=True)
class EngineGases:
    """Methane and nitrous oxide of an engine.

    ch4_g, n2o_g: all that leaves the engine, in grams.
    beyond_kg: CO2e of them that the factor of CO2 does not hold already.
    """

    ch4_g: Number
    n2o_g: Number
    beyond_kg: Number


def direct_co2(parts: FuelParts, *, factor_set: str, factor: Factor = value) -> DirectCo2:
    """Carbon dioxide of burning a tool's fuel.

        litres * factor of each part; fossil CO2 = gasoline + oil + diesel, biogenic CO2 = ethanol

    factor_set: whose factors. The United Kingdom's are CO2e: they hold a road vehicle's methane and nitrous oxide.

    All carbon is counted as CO2, also what leaves as carbon monoxide and hydrocarbons: nothing may be added for it.
    Oil in the mix is burnt; bar oil is not.

    Source: epa_hub_2021, Tables 1 and 2; epa_vehicles_2011, gasoline and diesel; ipcc_2006_off_road, Table 3.3.1;
    uk_factors_2024, fuels.

    >>> parts = FuelParts({"gasoline": 0.9 * 3.785411784, "ethanol": 0.1 * 3.785411784})
    >>> co2 = direct_co2(parts, factor_set="EPA hub")
    >>> round(co2.fossil_kg, 3), round(co2.biogenic_kg, 3)
    (7.902, 0.575)
    """
    return DirectCo2(
        {fuel: litres * fuel_factor_kg_per_l(fuel, factor_set, factor) for fuel, litres in parts.litres.items()}
    )


def engine_gases(
    *, kind: str, engine_fuel_l: Number, factor_set: str, gwp_set: str, factor: Factor = value
) -> EngineGases:
    """Methane and nitrous oxide of an engine by its kind and fuel.

        by volume: fuel / gallon * factor;   by net heat: fuel * net heat * factor
        beyond the CO2 = CO2e of both, less what the United Kingdom's factor of petrol holds already

    kind: kind of the tool. Two-strokes lose unburnt fuel and leave three times the methane of four-strokes.
    factor_set: the sets that have no factors of small engines take the hub's.

    Returns grams of each, and the CO2e to be added to that of the fuel.

    The factor of diesel in the United Kingdom's set is not divided in print: nothing is added to it. What petrol
    holds is that of a road vehicle and of the edition of 2011, by the potentials of AR4.

    Source: epa_hub_2021, Table 5; ipcc_2006_off_road, Table 3.3.1; uk_factors_2011, petrol; unit_definitions, gallon
    (constant ``unit.us_gallon``).

    >>> gases = engine_gases(
    ...     kind="gasoline two-stroke", engine_fuel_l=3.785411784, factor_set="EPA hub", gwp_set="AR5"
    ... )
    >>> round(gases.ch4_g, 2), round(gases.n2o_g, 2), round(gases.beyond_kg, 4)
    (15.57, 0.06, 0.4519)
    """
    require_not_negative(engine_fuel_l=engine_fuel_l)
    row, chosen = tool_kinds()[kind], factor_sets()[factor_set]
    fuel = row.tank.id
    ch4, n2o = (factor(chosen.of_gas(gas, row.engine_class)) for gas in GASES)
    if chosen.gases_per == "TJ":
        grams = 1000 * engine_fuel_l * net_heat_mj_per_l(fuel, factor)
        ch4_g, n2o_g = (grams * kg_per_tj * KG_PER_TJ_TO_KG_PER_MJ for kg_per_tj in (ch4, n2o))
    else:
        gallons = engine_fuel_l / factor("unit.us_gallon")
        ch4_g, n2o_g = gallons * ch4, gallons * n2o
    beyond_kg = co2e_kg(ch4_g=ch4_g, n2o_g=n2o_g, gwp_set=gwp_set, factor=factor)
    if fuel in chosen.held_undivided:
        beyond_kg = 0.0
    elif chosen.held is not None:
        held_ch4, held_n2o = (factor(chosen.held_gas(gas, fuel)) for gas in GASES)
        beyond_kg = np.maximum(0.0, beyond_kg - engine_fuel_l * (held_ch4 + held_n2o))
    return EngineGases(ch4_g, n2o_g, beyond_kg)


def upstream_kg(direct: DirectCo2, *, factor: Factor = value) -> Number:
    """Emissions of making fuel, from the well to the tank.

        sum of (share * CO2 of burning a fuel)

    Making the oil of the mix and the ethanol is left out: the source has no share for them.

    Source: uk_factors_2011, direct and indirect (constants ``upstream.gasoline``, ``upstream.diesel``).

    >>> upstream_kg(DirectCo2({"gasoline": 100.0, "diesel": 100.0}))
    37.0
    """
    shares = {fuel: fuels()[fuel].upstream for fuel in direct.kg}
    return total(direct.kg[fuel] * factor(share) for fuel, share in shares.items() if share is not None)
