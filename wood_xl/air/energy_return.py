"""Heat that a cord brings to the house for the energy bought to do the work, by one method or by several in turn."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from wood_xl.air.accounts import BOUGHT_ENERGY, RUNNING_ENERGY, Account
from wood_xl.air.return_ratio import energy_return
from wood_xl.draws.compare import LogEstimate, satterthwaite_df, steadied
from wood_xl.draws.figure import Figure, TableRow, not_given
from wood_xl.draws.shared_factors import log_variance, widened
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.rates import MethodRate
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.reasons import Reason, Refused, Said, said
from wood_xl.warmth.cord import HeatStudy
from wood_xl.warmth.doubt import Unsure


@dataclass(frozen=True, eq=False)
class EnergyReturnRow(TableRow):
    """Energy bought for a cord by a method, and the heat that the cord gives for it."""

    table: ClassVar[str] = "energy_return"
    method: str
    task: str
    delivered_heat: Figure
    running: Figure
    bought: Figure
    return_running: Figure
    return_bought: Figure


def energy_return_rows(known: SeasonRates, heat: HeatStudy) -> Iterator[EnergyReturnRow]:
    """Energy bought for a cord by each method, and the heat that the cord gives for it."""
    delivered = heat.from_a_cord()
    for totals in known.study.totals:
        yield EnergyReturnRow(
            method=totals.method.name,
            task=totals.method.task,
            delivered_heat=delivered.shown(),
            running=known.figure(totals, RUNNING_ENERGY.id),
            bought=known.figure(totals, BOUGHT_ENERGY.id),
            return_running=heat_for_energy(delivered, [totals], RUNNING_ENERGY, known),
            return_bought=heat_for_energy(delivered, [totals], BOUGHT_ENERGY, known),
        )


def heat_for_energy(
    delivered: Unsure, methods: Sequence[MethodTotals], account: Account, known: SeasonRates
) -> Figure:
    """How many times the energy that goes in comes out as heat; what both stand on cancels."""
    if delivered.figure.value is None:
        return delivered.figure
    energies = []
    for totals in methods:
        energy = known.figure(totals, account.id)
        if energy.value is None:
            return energy
        if energy.value > 0:
            energies.append((totals, energy.value))
    if not energies:
        return not_given(said(Reason.NO_ENERGY_BOUGHT))
    total = math.fsum(energy for _, energy in energies)
    plain = Figure(energy_return(heat_mj=delivered.figure.value, energy_in_mj=total))
    rates = []
    for totals, _ in energies:
        rate = known.rate(totals, account.id)
        if isinstance(rate, Said):
            return replace(plain, reason=rate)
        rates.append(rate)
    return _with_ends(plain, rates, delivered)


def _with_ends(plain: Figure, rates: Sequence[MethodRate], delivered: Unsure) -> Figure:
    """Sessions of different methods scatter each for themselves; the rest is followed along one set of draws."""
    total = math.fsum(rate.rate.value for rate in rates)
    own = [steadied(rate=rate.rate) for rate in rates]
    variances = [(one.value / total) ** 2 * one.variance for one in own]
    df = satterthwaite_df(variances=variances, dfs=[one.df for one in own])
    draws = sum((rate.common.draws for rate in rates), start=0 * delivered.relative)
    try:
        variance = log_variance(draws=delivered.relative / draws)
    except Refused as refused:
        return replace(plain, reason=refused.why)
    sessions = LogEstimate(math.log(plain.value or 1.0), math.fsum(variances), df)
    low, high = widened(estimate=sessions, common_variance=variance).interval()
    return replace(plain, low=low, high=high)
