"""The food behind the work: a memo that is added to nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wood_xl.air.energy import food_fossil_mj, food_kgco2e
from wood_xl.data.load import constant, value
from wood_xl.draws.figure import Figure, Row, not_given, with_draws
from wood_xl.draws.inputs import by_range
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.sessions import waiting
from wood_xl.reasons import Basis, said

FOOD_ITEMS = ("food_counted", "food_fossil_ratio")
CO2E = "food.co2e_per_kcal"


def food_rows(rates: SeasonRates) -> Iterator[Row]:
    """Food behind the work of each method, by the chosen ratio and by two others beside it."""
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
    """CO2e with the doubt of the effort and of what a kcal of food emits [kg]."""
    if effort.value is None:
        return effort
    season, factor = rates.study.season, constant(CO2E)
    kg = food_kgco2e(effort_kcal=1.0, g_per_kcal=factor.value)
    plain = Figure(effort.value * kg, said(Basis.EFFORT_COUNTED, counted=season.food_counted), reason=effort.reason)
    low, high = factor.low or factor.value, factor.high or factor.value
    return with_draws(
        plain, effort.number * kg * (by_range(CO2E, factor.value, low, high, rates.design) / factor.value)
    )
