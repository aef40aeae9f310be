"""Heat that a cord brings to the house for the energy bought to do the work, by one method or by several in turn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from wood_xl.air.accounts import BOUGHT_ENERGY, RUNNING_ENERGY, Account
from wood_xl.air.return_ratio import energy_return
from wood_xl.draws.ensemble import nominal, total
from wood_xl.draws.figure import Figure, TableRow, not_given, with_draws
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.reasons import Reason, said
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


def energy_return_rows(rates: SeasonRates, heat: HeatStudy) -> Iterator[EnergyReturnRow]:
    """Energy bought for a cord by each method, and the heat that the cord gives for it."""
    delivered = heat.from_a_cord()
    for totals in rates.study.totals:
        yield EnergyReturnRow(
            method=totals.method.name,
            task=totals.method.task,
            delivered_heat=delivered.shown(),
            running=rates.figure(totals, RUNNING_ENERGY.id),
            bought=rates.figure(totals, BOUGHT_ENERGY.id),
            return_running=heat_for_energy(delivered, [totals], RUNNING_ENERGY, rates),
            return_bought=heat_for_energy(delivered, [totals], BOUGHT_ENERGY, rates),
        )


def heat_for_energy(
    delivered: Unsure, methods: Sequence[MethodTotals], account: Account, rates: SeasonRates
) -> Figure:
    """How many times the energy that goes in comes out as heat; what both stand on cancels."""
    if delivered.figure.value is None:
        return delivered.figure
    energies = [rates.figure(totals, account.id) for totals in methods]
    missing = next((energy for energy in energies if energy.value is None), None)
    if missing is not None:
        return missing
    taken = [energy for energy in energies if energy.value]
    if not taken:
        return not_given(said(Reason.NO_ENERGY_BOUGHT))
    energy_mj = total(energy.number for energy in taken)
    plain = Figure(energy_return(heat_mj=delivered.figure.value, energy_in_mj=nominal(energy_mj)))
    unsure = next((energy.reason for energy in taken if energy.members is None and energy.reason), None)
    if unsure is not None:
        return replace(plain, reason=unsure)
    return with_draws(plain, delivered.figure.value * delivered.relative / energy_mj)
