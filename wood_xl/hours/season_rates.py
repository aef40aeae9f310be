"""Every figure of a method for a cord, with its doubt: time, effort, cash, CO2e and energy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from wood_xl.air.accounts import ALL_ACCOUNTS, RUNNING, WORK
from wood_xl.air.doubt import EmissionDoubt
from wood_xl.air.method import MethodEmissions
from wood_xl.draws.figure import Figure, TableRow
from wood_xl.draws.strata import Draws
from wood_xl.hours.figure_parts import FigureParts
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.part_rates import part_rate
from wood_xl.hours.rates import AMOUNTS, MethodRate, method_rate, plain_rate, with_ends
from wood_xl.money.cost_study import CostStudy
from wood_xl.money.doubt import money_parts
from wood_xl.money.per_method import MethodCost
from wood_xl.reasons import Said

MONEY = ("cash", "own_time", "cash_and_time")
EMISSIONS = {account.id: account for account in ALL_ACCOUNTS}


@dataclass(frozen=True, eq=False)
class RateRow(TableRow):
    """All figures of a method for a cord."""

    table: ClassVar[str] = "rates_per_cord"
    method: str
    task: str
    sessions_n: int
    clock_hours: Figure
    worker_hours: Figure
    delay_free_worker_hours: Figure
    kcal_net: Figure
    kcal_gross: Figure
    cash: Figure
    own_time: Figure
    cash_and_time: Figure
    co2e: Figure
    co2e_running: Figure


@dataclass(frozen=True)
class SeasonRates:
    """Rates of all methods of a season, each put together once.

    costs, emitted: money and emissions of each method by its name.
    """

    study: CostStudy
    costs: Mapping[str, MethodCost]
    emitted: Mapping[str, MethodEmissions]
    _rates: dict[tuple[str, str], MethodRate | Said] = field(default_factory=dict)
    _parts: dict[tuple[str, str], FigureParts | Said] = field(default_factory=dict)
    _doubts: dict[str, EmissionDoubt] = field(default_factory=dict)

    def rate(self, totals: MethodTotals, figure_id: str) -> MethodRate | Said:
        """A figure of a method with its doubt, or why there is none."""
        key = totals.method.name, figure_id
        if key not in self._rates:
            if figure_id in AMOUNTS:
                self._rates[key] = method_rate(totals, figure_id, self.study.season)
            else:
                self._rates[key] = self._of_parts(totals, figure_id)
        return self._rates[key]

    def figure(self, totals: MethodTotals, figure_id: str) -> Figure:
        """The same as a figure; its value stands also where no interval can be given."""
        plain = self._plain(totals, figure_id)
        return plain if plain.value is None else with_ends(plain, self.rate(totals, figure_id))

    def of(self, method: str, figure_id: str) -> MethodRate | Said:
        """A figure per cord of a method by its name, or why it has no doubt."""
        return self.rate(next(t for t in self.study.totals if t.method.name == method), figure_id)

    def draws(self, method: str, figure_id: str) -> Draws:
        """A figure per cord by draws of its common factors and its method's sessions, which all its figures share."""
        found = self.of(method, figure_id)
        if isinstance(found, Said):
            raise ValueError(f"{figure_id} of {method} has no interval: {found!r}")
        return found.draws

    def parts(self, totals: MethodTotals, figure_id: str) -> FigureParts | Said:
        """What a figure of money, emissions or energy of a method is made of, or why that cannot be told."""
        key = totals.method.name, figure_id
        if key not in self._parts:
            name = totals.method.name
            if figure_id in EMISSIONS:
                self._parts[key] = self.doubt(name).parts(EMISSIONS[figure_id])
            else:
                self._parts[key] = money_parts(self.costs[name], self.study.season, figure_id)
        return self._parts[key]

    def row(self, totals: MethodTotals) -> RateRow:
        """All figures of a method."""
        figures = (*AMOUNTS, *MONEY, WORK.id, RUNNING.id)
        return RateRow(
            method=totals.method.name,
            task=totals.method.task,
            sessions_n=len(totals.counted),
            **{figure_id: self.figure(totals, figure_id) for figure_id in figures},
        )

    def _plain(self, totals: MethodTotals, figure_id: str) -> Figure:
        """A figure without its interval."""
        if figure_id in AMOUNTS:
            return plain_rate(totals, figure_id)
        name = totals.method.name
        if figure_id in MONEY:
            found: Figure = getattr(self.costs[name], figure_id)
            return found
        return self.emitted[name].figure(EMISSIONS[figure_id])

    def _of_parts(self, totals: MethodTotals, figure_id: str) -> MethodRate | Said:
        plain = self._plain(totals, figure_id)
        if plain.value is None:
            return plain.why
        return part_rate(totals, plain.value, self.parts(totals, figure_id), self.study.season)

    def doubt(self, method: str) -> EmissionDoubt:
        """What the emissions and the energy of a method go with."""
        if method not in self._doubts:
            self._doubts[method] = EmissionDoubt(self.emitted[method], self.study)
        return self._doubts[method]
