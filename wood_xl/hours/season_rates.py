"""Figures of a method for a cord by all members of a design: time, effort, cash, CO2e and energy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from wood_xl.air.accounts import ALL_ACCOUNTS, RUNNING, WORK
from wood_xl.air.drawn import drawn_emissions
from wood_xl.air.method import MethodEmissions
from wood_xl.draws.ensemble import WORLDS, Design, Number, kept
from wood_xl.draws.figure import Figure, Row, with_draws
from wood_xl.hours.common import Measure, amount_in, drawn_wood, effort_in_common, quantities_of
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.rates import EFFORTS, RECORDED, Taken, TakenAmounts, plain_rate
from wood_xl.money.cost import MONEY_FIGURES, MethodCost, method_cost
from wood_xl.money.cost_study import CostStudy

MONEY = ("cash", "own_time", "cash_and_time")
EMISSIONS = {account.id: account for account in ALL_ACCOUNTS}
MEASURES: dict[Measure, str] = {  # of wood beside the cord, with the table of each
    "stacked_m3": "per_stacked_m3",
    "solid_m3": "per_solid_m3",
    "sawn_area_m2": "per_sawn_m2",
}


@dataclass(frozen=True)
class SeasonRates:
    """Figures of all methods of a season by the members of a design, each computed once."""

    study: CostStudy
    costs: Mapping[str, MethodCost]
    emitted: Mapping[str, MethodEmissions]
    design: Design = WORLDS

    def by(self, design: Design) -> SeasonRates:
        """The figures by the members of another design."""
        return SeasonRates(self.study, self.costs, self.emitted, design)

    @cached_property
    def taken(self) -> TakenAmounts:
        """Recorded amounts of a cord by each method over their values."""
        return TakenAmounts(self.study.season, self.study.equal, self.design)

    @kept
    def figure(self, totals: MethodTotals, figure_id: str) -> Figure:
        """A figure of a method with its ends, or with the reason why it has none."""
        plain = self._plain(totals, figure_id)
        if plain.value is None or plain.reason:
            return plain
        members = self._drawn(totals, figure_id, plain.value)
        return replace(plain, reason=members.why) if members.why else with_draws(plain, members.number)

    def number(self, totals: MethodTotals, figure_id: str) -> Number:
        """Members of a figure of a method that is given."""
        return self._drawn(totals, figure_id, self._plain(totals, figure_id).value or 0.0).number

    def row(self, totals: MethodTotals) -> Row:
        """Row of all figures of a method."""
        figures = (*RECORDED, *MONEY, WORK.id, RUNNING.id)
        return Row(
            method=totals.method.name,
            task=totals.method.task,
            sessions_n=len(totals.counted),
            **{figure_id: self.figure(totals, figure_id) for figure_id in figures},
        )

    def per_measure(self, totals: MethodTotals, per: Measure) -> Row:
        """Figures of a method for a unit of another measure of its wood.

        They are those for a cord times its cords over that measure, by all members, so shared doubt cancels.
        """
        figures = ("clock_hours", "worker_hours", "cash", "co2e")
        per_one = {figure_id: self._per(totals, figure_id, per) for figure_id in figures}
        return Row(method=totals.method.name, **per_one)

    def _per(self, totals: MethodTotals, figure_id: str, per: Measure) -> Figure:
        for_a_cord = self.figure(totals, figure_id)
        if for_a_cord.value is None:
            return for_a_cord
        cords = amount_in(totals, "cords") / amount_in(totals, per)  # wood that counts has every measure
        plain = replace(for_a_cord, value=for_a_cord.value * cords, low=None, high=None, members=None)
        if for_a_cord.reason:
            return plain
        wood, season = quantities_of([totals]), self.study.season
        in_cords, in_measure = (drawn_wood(wood, season, one, design=self.design) for one in ("cords", per))
        return with_draws(plain, self.number(totals, figure_id) * (cords * in_cords / in_measure))

    @kept
    def money(self, method: str) -> MethodCost:
        """Money of a method by all members."""
        return method_cost(self.costs[method].totals, self.study, self.taken)

    @kept
    def emissions(self, method: str) -> MethodEmissions:
        """Emissions and energy of a method by all members."""
        return drawn_emissions(self.emitted[method], self.study, self.taken)

    def _plain(self, totals: MethodTotals, figure_id: str) -> Figure:
        if figure_id in RECORDED:
            return plain_rate(totals, figure_id, self.study.equal)
        name = totals.method.name
        if figure_id in MONEY_FIGURES:
            return self.costs[name].figure(figure_id)
        return self.emitted[name].figure(EMISSIONS[figure_id])

    def _drawn(self, totals: MethodTotals, figure_id: str, value: float) -> Taken:
        name = totals.method.name
        if figure_id in EFFORTS:
            own = self.taken.by_sessions(totals, RECORDED[figure_id])
            measured = effort_in_common(totals, self.study.season, is_net=figure_id == "kcal_net")
            on_equal_terms = measured.members(self.design) * self.study.equal.factor(totals, RECORDED[figure_id])
            return replace(own, number=on_equal_terms * own.number)
        if figure_id in RECORDED:
            relative = self.taken.relative(totals, RECORDED[figure_id])
            return replace(relative, number=value * relative.number)
        if figure_id in MONEY_FIGURES:
            asked, money = MONEY_FIGURES[figure_id], self.money(name)
            return Taken(asked.amount(money), money.why_unsure(asked.parts))
        account, emitted = EMISSIONS[figure_id], self.emissions(name)
        return Taken(account.amount(emitted.accounts), emitted.why_unsure(account.needs))
