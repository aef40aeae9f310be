"""Money of each method: its parts, their sums, and why one of them cannot be given."""

from __future__ import annotations

from dataclasses import dataclass

from wood_xl.draws.ensemble import nominal
from wood_xl.draws.figure import Figure, not_given
from wood_xl.hours.methods import MethodTotals
from wood_xl.money.cost_study import CostStudy
from wood_xl.money.drawn import MONEY_FIGURES, DrawnMoney
from wood_xl.money.inputs import Gathered, gather
from wood_xl.reasons import Reason, said


@dataclass(frozen=True, slots=True)
class MethodCost:
    """Money of one method.

    why: why nothing can be given; None if anything can.
    gathered, money: plain numbers and what follows from them; None if nothing can be given.
    """

    totals: MethodTotals
    why: Figure | None
    gathered: Gathered | None
    money: DrawnMoney | None

    def figure(self, figure_id: str) -> Figure:
        """A figure without its ends; withheld if one of the parts behind it is missing: half a cost would flatter."""
        asked = MONEY_FIGURES[figure_id]
        if self.gathered is None or self.money is None:
            return self.why or not_given(said(Reason.NOT_KNOWN))
        for part in asked.parts:
            if part in self.gathered.missing:
                return self.gathered.missing[part]
        only = asked.parts[0] if len(asked.parts) == 1 else None
        return Figure(nominal(asked.amount(self.money)), self.gathered.bases.get(only) if only else None)


def method_cost(totals: MethodTotals, study: CostStudy) -> MethodCost:
    """Money of one method at the season's yearly volume."""
    gathered = gather(totals, study)
    if isinstance(gathered, Figure):
        return MethodCost(totals, gathered, None, None)
    return MethodCost(totals, None, gathered, DrawnMoney(gathered.inputs, {}, study.season.horizon_years))
