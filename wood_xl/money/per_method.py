"""Money of each method: its parts, their sums, and why one of them cannot be given."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from wood_xl.draws.figure import Figure, not_given
from wood_xl.hours.methods import MethodTotals
from wood_xl.money.cost_study import CostStudy
from wood_xl.money.inputs import CASH_PARTS, Gathered, Part, gather
from wood_xl.money.method import MethodMoney, method_money
from wood_xl.reasons import Reason, Said, said


@dataclass(frozen=True, slots=True)
class MethodCost:
    """Money of one method.

    why: why nothing can be given; None if anything can.
    gathered, money: plain numbers and what follows from them; None if nothing can be given.
    """

    totals: MethodTotals
    why: Figure | None
    gathered: Gathered | None
    money: MethodMoney | None

    def part(self, part: Part) -> Figure:
        """One part per cord."""
        return self._of(lambda money: float(getattr(money, part)), (part,), part)

    @property
    def cash(self) -> Figure:
        """All parts but own time, per cord; withheld if one is missing, for half a cost would flatter its method."""
        return self._of(lambda money: money.cash, CASH_PARTS)

    @property
    def own_time(self) -> Figure:
        """Hours of everybody at the stated value, per cord."""
        return self.part("own_time")

    @property
    def cash_and_time(self) -> Figure:
        """All parts, per cord."""
        return self._of(lambda money: money.cash_and_time, (*CASH_PARTS, "own_time"))

    def cash_by(self, count: Callable[[Gathered, MethodMoney], float], basis: Said | None = None) -> Figure:
        """Anything that follows from the whole cash; withheld if a part of it is missing."""
        if self.gathered is None or self.money is None:
            return self.cash
        why = self.gathered.why_no_cash
        return why if why is not None else Figure(count(self.gathered, self.money), basis)

    def _of(self, amount: Callable[[MethodMoney], float], parts: Sequence[Part], of: Part | None = None) -> Figure:
        if self.gathered is None or self.money is None:
            return self.why or not_given(said(Reason.NOT_KNOWN))
        for part in parts:
            if part in self.gathered.missing:
                return self.gathered.missing[part]
        return Figure(amount(self.money), self.gathered.bases.get(of) if of else None)


def method_cost(totals: MethodTotals, study: CostStudy) -> MethodCost:
    """Money of one method at the season's yearly volume."""
    gathered = gather(totals, study)
    if isinstance(gathered, Figure):
        return MethodCost(totals, gathered, None, None)
    return MethodCost(totals, None, gathered, method_money(gathered.inputs))
