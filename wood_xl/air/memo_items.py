"""Emissions outside the accounts of the work: pollutants of engines, food, and burning the wood."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from wood_xl.air.energy import food_fossil_mj, food_kgco2e
from wood_xl.air.gases import KW_PER_HP, air_pollutants, biogenic_co2_kg, smoke_kg, stove_gases
from wood_xl.air.method import MethodEmissions
from wood_xl.data.load import SmallEngine, constant, engine_for, value
from wood_xl.data.trade import tool_kinds
from wood_xl.draws.ensemble import Number, nominal
from wood_xl.draws.figure import Figure, Row, not_given, with_draws
from wood_xl.draws.inputs import by_kind, by_range
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.sessions import waiting
from wood_xl.ids import Amount, EngineName, Gas, Input, Recorded
from wood_xl.money.cost_study import CostStudy
from wood_xl.reasons import Basis, Reason, Said, said
from wood_xl.records import Season
from wood_xl.warmth.cord import HeatStudy
from wood_xl.warmth.doubt import figure_of, range_draws
from wood_xl.warmth.use import for_cords


def pollutant_rows(rates: SeasonRates) -> Iterator[Row]:
    """Air pollutants of each method with an engine, for a cord."""
    for of_method in rates.emitted.values():
        if of_method.engine is None:
            continue
        engine = engine_for(tool_kinds()[of_method.engine].small_engine, _power_hp(of_method, rates.study))
        if engine is None:
            why = not_given(said(Reason.NO_FACTORS_OF_ENGINE, kind=of_method.engine))
            yield Row(method=of_method.totals.method.name, engine="", thc=why, co=why, nox=why, pm=why)
        else:
            yield _pollutant_row(of_method, engine, rates)


def _pollutant_row(of_method: MethodEmissions, engine: SmallEngine, rates: SeasonRates) -> Row:
    fuel = of_method.amounts.fuel
    burned_l, oil_l = nominal(fuel.engine_fuel_l + fuel.oil_l), nominal(fuel.oil_l)
    emitted = air_pollutants(fuel_l=burned_l, oil_l=oil_l, engine=engine)
    taken = rates.taken.relative(of_method.totals, Recorded.FUEL)

    def grams(gas: Gas, number: float, doubt: str, most: Number = math.inf) -> Figure:
        """Grams with the scatter of the fuel and the doubt of the factor, limited to ``most``."""
        plain = of_method.figure_from(("fuel",), number)
        if plain.value is None:
            return plain
        if taken.why is not None:
            return replace(plain, reason=taken.why)
        key = said(Input.GAS_OF_ENGINE, gas=gas, engine=engine.code)
        return with_draws(plain, np.minimum(number * taken.number * by_kind(key, doubt, rates.design), most))

    oil_g = emitted.oil_g * taken.number if emitted.oil_g > 0 else math.inf
    pm = grams(Gas.PARTICLES, emitted.pm_g, "doubt.pm", oil_g)
    nox = of_method.figure_from(("fuel",), emitted.nox_g)
    name = EngineName.BY_POWER if engine.used == "by power" else EngineName.POWER_NOT_WRITTEN
    return Row(
        method=of_method.totals.method.name,
        engine=said(name, title=engine.title, code=engine.code),
        thc=grams(Gas.HYDROCARBONS, emitted.thc_g, "doubt.co_and_hydrocarbons"),
        co=grams(Gas.CARBON_MONOXIDE, emitted.co_g, "doubt.co_and_hydrocarbons"),
        nox=nox if nox.value is None else replace(nox, reason=said(Reason.NO_RANGE_OF_NOX)),
        pm=replace(pm, basis=said(Basis.CAPPED_BY_OIL)) if emitted.is_pm_capped and pm.value is not None else pm,
    )


def _power_hp(of_method: MethodEmissions, study: CostStudy) -> float | None:
    """Rated power of the tool that burns the method's fuel; None if it is not written."""
    tools = (study.tools[name] for name in of_method.totals.method.tools)
    powers = [tool.rated_power_kw for tool in tools if tool.kind_row.burns and tool.rated_power_kw is not None]
    return max(powers) / KW_PER_HP if powers else None


FOOD_ITEMS = ("food_counted", "food_fossil_ratio")
CO2E = "food.co2e_per_kcal"


def food_rows(rates: SeasonRates) -> Iterator[Row]:
    """Food behind the work of each method, by the chosen ratio and by two published ones."""
    season = rates.study.season
    if season.food_counted == "off" and "food_counted" not in season.broken:
        return
    for totals in rates.study.totals:
        effort = _effort(totals, rates)
        yield Row(
            method=totals.method.name,
            counted=season.food_counted,
            effort=effort,
            chosen=_fossil(effort, season.food_fossil_ratio),
            production=_fossil(effort, value("food.ratio.production")),
            chain=_fossil(effort, value("food.ratio.chain")),
            co2e=_co2e(effort, rates),
        )


def _effort(totals: MethodTotals, rates: SeasonRates) -> Figure:
    season = rates.study.season
    wait = waiting(season.broken, *FOOD_ITEMS)
    figure_id = "kcal_net" if season.food_counted == "net of rest" else "kcal_gross"
    return rates.figure(totals, figure_id) if wait is None else not_given(wait)


def _fossil(effort: Figure, ratio: float) -> Figure:
    if effort.value is None:
        return effort
    return replace(effort.times(food_fossil_mj(effort_kcal=1.0, ratio=ratio)), basis=said(Basis.RATIO, ratio=ratio))


def _co2e(effort: Figure, rates: SeasonRates) -> Figure:
    """CO2e with the doubt of the effort and of the emissions of a kcal of food [kg]."""
    if effort.value is None:
        return effort
    season, factor = rates.study.season, constant(CO2E)
    kg = food_kgco2e(effort_kcal=1.0, g_per_kcal=factor.value)
    plain = Figure(effort.value * kg, said(Basis.EFFORT_COUNTED, counted=season.food_counted), reason=effort.reason)
    low, high = factor.low or factor.value, factor.high or factor.value
    return with_draws(
        plain, effort.number * kg * (by_range(CO2E, factor.value, low, high, rates.design) / factor.value)
    )


EMITTED = ("ch4", "n2o", "co2e", "biogenic", "smoke")


def burning_rows(season: Season, heat: HeatStudy, yearly_cords: float | None) -> Iterator[Row]:
    """Emissions of burning a cord, the season's wood and a usual year's wood."""
    emitted = _of_a_cord(season, heat)
    chosen = said(Reason.VOLUME_AS_WRITTEN if season.yearly_volume_m3 is not None else Reason.OWN_VOLUME)
    no_volume = not_given(said(Reason.NO_YEARLY_VOLUME))
    for amount_id, amount in (
        (Amount.ONE_CORD, Figure(1.0, reason=said(Reason.EXACT))),
        (Amount.SEASON, heat.cords),
        (Amount.USUAL_YEAR, no_volume if yearly_cords is None else Figure(yearly_cords, reason=chosen)),
    ):
        yield Row(what=amount_id, cords=amount, **{key: for_cords(kg, amount) for key, kg in emitted.items()})


def _of_a_cord(season: Season, heat: HeatStudy) -> dict[str, Figure]:
    """Emissions of burning a cord [kg], with the doubt of its mass, its heat and the factors."""
    cord = heat.cord
    if isinstance(cord, Said):
        return dict.fromkeys(EMITTED, not_given(cord))
    carbon = value("wood.carbon_share")
    biogenic = biogenic_co2_kg(dry_kg=cord.oven_dry_kg, carbon_frac=carbon * range_draws("wood.carbon_share"))
    gases = stove_gases(net_heat_mj=cord.net_mj, gwp_set=season.gwp_set, factor=_stove_factor)
    wait, basis = waiting(season.broken, "gwp_set"), said(Basis.POTENTIALS, report=season.gwp_set)
    return {
        "ch4": figure_of(gases.ch4_kg),
        "n2o": figure_of(gases.n2o_kg),
        "co2e": figure_of(gases.co2e_kg, basis) if wait is None else not_given(wait),
        "biogenic": figure_of(biogenic, said(Basis.CARBON_SHARE, share=carbon)),
        "smoke": _smoke(cord.oven_dry_kg * by_kind("doubt.smoke", "doubt.smoke"), season),
    }


def _stove_factor(constant_id: str) -> Number:
    """Factors of the stove by all members; warming potentials as published."""
    if constant_id == "stove.ch4":
        return value(constant_id) * range_draws(constant_id)
    if constant_id == "stove.n2o":
        return value(constant_id) * by_kind(constant_id, "doubt.n2o")
    return value(constant_id)


def _smoke(dry_kg: Number, season: Season) -> Figure:
    wait, appliance = waiting(season.broken, "appliance"), season.heating.appliance
    if wait is not None or appliance is None:
        return not_given(wait or said(Reason.NO_STOVE))
    particles = smoke_kg(dry_kg=dry_kg, appliance=appliance)
    if particles is None:
        return not_given(said(Reason.NO_FIGURE_OF_STOVE, stove=appliance))
    return figure_of(particles, said(Basis.STOVE, stove=appliance))
