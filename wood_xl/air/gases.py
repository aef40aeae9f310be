"""Emissions of engines and stoves: carbon dioxide, methane and nitrous oxide, pollutants, smoke."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from wood_xl.air.factor_sets import (
    G_PER_KG,
    KG_PER_TJ_TO_KG_PER_MJ,
    Factor,
    co2e_kg,
    fuel_factor_kg_per_l,
    net_heat_mj_per_l,
)
from wood_xl.data.load import SmallEngine, value
from wood_xl.data.trade import Gas, factor_sets, fuels, tool_kinds
from wood_xl.draws.ensemble import Number, total
from wood_xl.hours.fuel import FuelParts

GASES: tuple[Gas, ...] = ("ch4", "n2o")
KW_PER_HP = 0.7456998715822702
_SMOKE = {
    "open fireplace": "smoke.open_fireplace",
    "older stove": "smoke.older_stove",
    "certified stove": "smoke.certified_stove",
    "catalytic or hybrid stove": "smoke.catalytic_stove",
}


@dataclass(frozen=True, eq=False, slots=True)
class DirectCo2:
    """CO2 of burning a fuel, by the ids of its parts."""

    kg: Mapping[str, Number]

    @property
    def fossil_kg(self) -> Number:
        """Fossil CO2 of all parts [kg]."""
        return total(kg for fuel, kg in self.kg.items() if fuels()[fuel].is_fossil)

    @property
    def biogenic_kg(self) -> Number:
        """Biogenic CO2 of ethanol: a memo outside ``fossil_kg`` [kg]."""
        return total(kg for fuel, kg in self.kg.items() if not fuels()[fuel].is_fossil)


@dataclass(frozen=True, eq=False, slots=True)
class EngineGases:
    """Methane and nitrous oxide of an engine."""

    ch4_g: Number
    n2o_g: Number
    beyond_kg: Number  # CO2e of both that the fuel's own factor does not already include


def direct_co2(parts: FuelParts, *, factor_set: str, factor: Factor = value) -> DirectCo2:
    """Carbon dioxide of burning a tool's fuel.

        liters * factor of each part; fossil CO2 = gasoline + oil + diesel, biogenic CO2 = ethanol

    The United Kingdom's factors are CO2e: they include a road vehicle's methane and nitrous oxide. All carbon counts
    as CO2, even if it leaves as carbon monoxide or hydrocarbons. Oil in the mix is burned; bar oil is not.

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
    """Methane and nitrous oxide of an engine, by its kind and fuel.

        by volume: fuel / gallon * factor;   by net heat: fuel * net heat * factor
        beyond the CO2 = CO2e of both, less what the United Kingdom's factor of gasoline already includes

    The United Kingdom's factor of diesel is not split in print, so nothing is added to it. What its factor of
    gasoline includes is that of a road vehicle in the edition of 2011, by the potentials of AR4.

    Source: epa_hub_2021, Table 5; ipcc_2006_off_road, Table 3.3.1; uk_factors_2011, petrol.

    >>> gases = engine_gases(
    ...     kind="gasoline two-stroke", engine_fuel_l=3.785411784, factor_set="EPA hub", gwp_set="AR5"
    ... )
    >>> round(gases.ch4_g, 2), round(gases.n2o_g, 2), round(gases.beyond_kg, 4)
    (15.57, 0.06, 0.4519)
    """
    row = tool_kinds()[kind]
    fuel = row.tank.id
    chosen = factor_sets()[factor_set].set_of(fuel)
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
    """Emissions of making fuel, from well to tank.

        sum of (share * CO2 of burning a fuel)

    Without mix oil and ethanol, for which the source has no share.

    Source: uk_factors_2011, direct and indirect.

    >>> upstream_kg(DirectCo2({"gasoline": 100.0, "diesel": 100.0}))
    37.0
    """
    shares = {fuel: fuels()[fuel].upstream for fuel in direct.kg}
    return total(direct.kg[fuel] * factor(share) for fuel, share in shares.items() if share is not None)


@dataclass(frozen=True, slots=True)
class AirPollutants:
    """Grams of each pollutant; no part of any CO2e."""

    thc_g: float  # hydrocarbons
    co_g: float  # carbon monoxide
    nox_g: float  # nitrogen oxides
    pm_g: float  # particles
    oil_g: float  # oil in the fuel, the origin of nearly all particles of a two-stroke; 0 for a four-stroke
    is_pm_capped: bool  # whether particles were limited to the oil in the mix


def air_pollutants(*, fuel_l: float, oil_l: float, engine: SmallEngine) -> AirPollutants:
    """Air pollutants of a small engine, by the fuel it burned.

        fuel * mass of a gallon / gallon / (fuel per horsepower-hour) * (pollutant per horsepower-hour)
        particles of a two-stroke: no more than the oil in its mix

    For a new engine; a worn one emits more. The model gives all two-strokes the same particles although newer ones
    burn less fuel, so theirs would exceed the oil in the mix.

    Source: epa_nonroad_2008, emission files and SOURCE/clcems.f.

    A liter of 50:1 mix in a saw of 3 horsepower or more:

    >>> from wood_xl.data.load import small_engines
    >>> grams = air_pollutants(fuel_l=1.0, oil_l=1 / 51, engine=small_engines()["G2H52"])
    >>> round(grams.thc_g), round(grams.co_g), round(grams.nox_g, 2), round(grams.pm_g, 2), grams.is_pm_capped
    (130, 768, 2.47, 17.06, True)
    """
    horsepower_hours = fuel_l * value("nonroad.gasoline_mass") / value("unit.us_gallon") / engine.fuel_lb_per_hp_h
    oil_g = G_PER_KG * oil_l * value("fuel.two_stroke_oil_density")
    pm_g = horsepower_hours * engine.pm_g_per_hp_h
    is_capped = oil_l > 0 and pm_g > oil_g
    return AirPollutants(
        thc_g=horsepower_hours * engine.thc_g_per_hp_h,
        co_g=horsepower_hours * engine.co_g_per_hp_h,
        nox_g=horsepower_hours * engine.nox_g_per_hp_h,
        pm_g=oil_g if is_capped else pm_g,
        oil_g=oil_g,
        is_pm_capped=is_capped,
    )


def engine_fuel_l_per_h(*, power_kw: float, load_frac: float, fuel_lb_per_hp_h: float) -> float:
    """Fuel that an engine burns per hour at a share of its rated power.

        power * load * fuel per horsepower-hour / mass of a gallon

    Source: epa_nonroad_2008, SOURCE/clcems.f.

    >>> power_kw = 3.916 * 0.7456998715822702
    >>> round(engine_fuel_l_per_h(power_kw=power_kw, load_frac=0.70, fuel_lb_per_hp_h=0.608), 4)
    1.0115
    """
    gallons = power_kw / KW_PER_HP * load_frac * fuel_lb_per_hp_h / value("nonroad.gasoline_mass")
    return gallons * value("unit.us_gallon")


@dataclass(frozen=True, eq=False, slots=True)
class StoveGases:
    """Methane and nitrous oxide of a stove, with the CO2e of both."""

    ch4_kg: Number
    n2o_kg: Number
    co2e_kg: Number


def stove_gases(*, net_heat_mj: Number, gwp_set: str, factor: Factor = value) -> StoveGases:
    """Methane and nitrous oxide of burning wood in a stove.

        net heat of the wood burned * factor by net heat

    One default for all stoves; methane varies by a factor of three either way with stove and moisture. Factors for
    industrial boilers are 40 times lower and do not apply to a stove.

    Source: ipcc_2006_stationary, residential wood.

    >>> gases = stove_gases(net_heat_mj=23400, gwp_set="AR5")
    >>> round(gases.ch4_kg, 3), round(gases.n2o_kg, 4), round(gases.co2e_kg, 2)
    (7.02, 0.0936, 221.36)
    """
    ch4_kg, n2o_kg = (net_heat_mj * factor(f"stove.{gas}") * KG_PER_TJ_TO_KG_PER_MJ for gas in ("ch4", "n2o"))
    both = co2e_kg(ch4_g=G_PER_KG * ch4_kg, n2o_g=G_PER_KG * n2o_kg, gwp_set=gwp_set, origin="wood", factor=factor)
    return StoveGases(ch4_kg, n2o_kg, both)


def biogenic_co2_kg(*, dry_kg: Number, carbon_frac: Number) -> Number:
    """Carbon dioxide of burning wood: a memo, part of no total and never called neutral.

        dry mass * carbon * 44/12

    Source: carbon_balance_2024, carbon in dry wood.

    >>> round(biogenic_co2_kg(dry_kg=1500, carbon_frac=0.50))
    2750
    """
    return dry_kg * carbon_frac * value("co2.per_carbon")


def smoke_kg(*, dry_kg: Number, appliance: str) -> Number | None:
    """Particles in the smoke, by kind of appliance; None for an appliance that the source does not list.

        dry mass * factor

    From memory, by class. In the field, one stove emits a small part or several times as much as another.

    Source: ap42_1_10, Table 1.10-1.

    >>> smoke_kg(dry_kg=1000, appliance="certified stove")
    9.8
    """
    if appliance not in _SMOKE:
        return None
    return dry_kg * value(_SMOKE[appliance]) / G_PER_KG
