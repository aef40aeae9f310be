"""What every account of a method goes with: what its sessions recorded, and factors that all of them share.

The whole chain is computed again with each factor moved by its doubt, so that no list of what hangs on what can grow
old.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property

from wood_xl.air.accounts import Account
from wood_xl.air.factor_doubt import doubted, moved
from wood_xl.air.factor_sets import Factor
from wood_xl.air.method import MethodEmissions, WornTool, choices
from wood_xl.air.method_accounts import EmissionAccounts, emission_accounts
from wood_xl.air.tool_doubt import making, worn_part, worn_share
from wood_xl.data.load import value
from wood_xl.hours.figure_parts import ELECTRICITY, FUEL, FigurePart, FigureParts, figure_parts, spread_of_sd
from wood_xl.ids import Input
from wood_xl.money.cost_study import CostStudy
from wood_xl.reasons import Key, said

GRID = said(Input.GRID)


@dataclass(frozen=True)
class EmissionDoubt:
    """Parts of every account of a method; each factor is moved once for all of them.

    spreads: doubt of each common factor that was met.
    """

    found: MethodEmissions
    study: CostStudy
    spreads: dict[Key, float] = field(default_factory=dict)
    _known: dict[str, tuple[FigurePart, ...]] = field(default_factory=dict)

    def parts(self, account: Account) -> FigureParts:
        """Parts of an account for a cord."""
        return figure_parts((part for one in _alone(account) for part in self._parts(one)), self.spreads)

    def session_parts(self, account: Account, accounts: EmissionAccounts, cords: float) -> FigureParts:
        """The same for a session, by its own accounts and its share of the tools."""
        parts = (
            replace(part, value=one.amount(accounts) if one.made is None else cords * part.value)
            for one in _alone(account)
            for part in self._parts(one)
        )
        return figure_parts(parts, self.spreads)

    def share(self, tool: WornTool) -> FigurePart:
        """Part of a tool that a cord wears off."""
        return self._shares[tool.tool.name]

    @cached_property
    def _shares(self) -> dict[str, FigurePart]:
        found = self.found
        worn = (tool for tool in found.tools if tool.part.share > 0)
        return {tool.tool.name: worn_share(tool, found.totals, self.study, self.spreads) for tool in worn}

    def _parts(self, account: Account) -> tuple[FigurePart, ...]:
        """Parts of an account that is no sum."""
        if account.id not in self._known:
            self._known[account.id] = tuple(self._found(account))
        return self._known[account.id]

    def _found(self, account: Account) -> Iterator[FigurePart]:
        if account.made is not None:
            for tool in self.found.tools:
                whole = making(tool, account.made, self.spreads)
                if tool.part.share * whole.value > 0:
                    yield worn_part(self.share(tool), whole)
            return
        worth = account.amount(self.found.accounts)
        if "fuel" in account.needs:
            yield FigurePart(worth, {FUEL: 1.0}, self._fuel_powers(account))
        elif worth > 0:
            self.spreads[GRID] = grid_spread()
            yield FigurePart(worth, {ELECTRICITY: 1.0}, {GRID: 1.0} if account.is_by_grid else {})

    def _fuel_powers(self, account: Account) -> dict[Key, float]:
        powers: dict[Key, float] = {}
        for key, sd, up, down in self._moved:
            high, low = account.amount(up), account.amount(down)
            if low > 0 and high != low:
                powers[key] = math.log(high / low) / (2 * sd)
                self.spreads[key] = spread_of_sd(sd)
        return powers

    @cached_property
    def _moved(self) -> list[tuple[str, float, EmissionAccounts, EmissionAccounts]]:
        """The accounts with each factor of the fuel moved up and down by its doubt."""
        amounts = replace(self.found.amounts, tools=())

        def accounts(factor: Factor) -> EmissionAccounts:
            return emission_accounts(amounts, choices(self.study.season), factor=factor)

        return [(key, sd, accounts(moved(key, sd)), accounts(moved(key, -sd))) for key, sd in doubted(accounts)]


def grid_spread() -> float:
    """Relative standard uncertainty of the CO2e of a kWh."""
    return spread_of_sd(math.log(value("doubt.grid")))


def _alone(account: Account) -> tuple[Account, ...]:
    return account.sums or (account,)
