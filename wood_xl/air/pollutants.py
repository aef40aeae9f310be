"""Air pollutants of each method with an engine."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from wood_xl.air.method import MethodEmissions
from wood_xl.air.pollutant_masses import KW_PER_HP, air_pollutants
from wood_xl.data.load import value
from wood_xl.data.small_engines import SmallEngine, engine_for
from wood_xl.data.trade import tool_kinds
from wood_xl.draws.ensemble import Number, nominal
from wood_xl.draws.figure import Figure, Row, not_given, with_draws
from wood_xl.draws.inputs import by_doubt, spread_of_sd
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import EngineName, Gas, Input, Recorded
from wood_xl.money.cost_study import CostStudy
from wood_xl.reasons import Basis, Reason, said


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
            yield _row(of_method, engine, rates)


def _row(of_method: MethodEmissions, engine: SmallEngine, rates: SeasonRates) -> Row:
    fuel = of_method.amounts.fuel
    emitted = air_pollutants(
        fuel_l=nominal(fuel.engine_fuel_l + fuel.oil_l),
        oil_l=nominal(fuel.oil_l),
        fuel_lb_per_hp_h=engine.fuel_lb_per_hp_h,
        thc_g_per_hp_h=engine.thc_g_per_hp_h,
        co_g_per_hp_h=engine.co_g_per_hp_h,
        nox_g_per_hp_h=engine.nox_g_per_hp_h,
        pm_g_per_hp_h=engine.pm_g_per_hp_h,
    )

    taken = rates.taken.relative(of_method.totals, Recorded.FUEL)

    def grams(gas: Gas, number: float, doubt: str, most: Number = math.inf) -> Figure:
        """With the scatter of the fuel and the doubt of the factor; never more than there is."""
        plain = of_method.of(("fuel",), number)
        if plain.value is None or taken.why is not None:
            return replace(plain, reason=taken.why) if plain.value is not None else plain
        key = said(Input.GAS_OF_ENGINE, gas=gas, engine=engine.code)
        factor = by_doubt(key, spread_of_sd(math.log(value(doubt))), rates.design)
        return with_draws(plain, np.minimum(number * taken.number * factor, most))

    oil_g = emitted.oil_g * taken.number if emitted.oil_g > 0 else math.inf
    pm = grams(Gas.PARTICLES, emitted.pm_g, "doubt.pm", oil_g)
    nox = of_method.of(("fuel",), emitted.nox_g)
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
    """Rated power of the tool that burns the method's fuel; None if it is not written, or nothing is burnt."""
    if of_method.engine is None:  # or the kind of one of its tools is not known
        return None
    tools = (study.tools[name] for name in of_method.totals.method.tools)
    powers = [tool.rated_power_kw for tool in tools if tool.kind_row.burns and tool.rated_power_kw is not None]
    return max(powers) / KW_PER_HP if powers else None
