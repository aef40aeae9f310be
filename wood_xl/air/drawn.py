"""The emissions and the energy of a method by all members: what it takes, its tools, and the factors in doubt.

A factor with a published range has that or the doubt of its kind, whichever is wider. Potentials are a choice.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property

from wood_xl.air.accounts import (
    Account,
    EmissionAccounts,
    EmissionChoices,
    Part,
    ToolPart,
    WorkAmounts,
    emission_accounts,
)
from wood_xl.air.factor_sets import grid_kg_per_kwh
from wood_xl.air.method import MethodEmissions, WornTool, choices, worn_by_a_cord
from wood_xl.data.load import constant, value
from wood_xl.data.trade import tool_kinds
from wood_xl.draws.ensemble import Design, Number
from wood_xl.draws.inputs import by_doubt, by_range, range_spread, spread_of_sd
from wood_xl.hours.equal_terms import recording
from wood_xl.hours.rates import Taken, TakenAmounts
from wood_xl.ids import Input, Recorded
from wood_xl.money.cost import drawn_tool
from wood_xl.money.cost_study import CostStudy
from wood_xl.money.inputs import GatheredTool, gathered_tool
from wood_xl.money.ranges import price_members
from wood_xl.reasons import Said, said

GRID = said(Input.GRID)


@dataclass(frozen=True)
class DrawnFactors:
    """Published factors by all members of a design, each drawn once; called with the id of a constant."""

    design: Design
    _drawn: dict[str, Number] = field(default_factory=dict)

    def __call__(self, constant_id: str) -> Number:
        """A factor by the id of its constant."""
        if constant_id not in self._drawn:
            factor = constant(constant_id)
            doubt = factor_doubt(constant_id)
            self._drawn[constant_id] = (
                factor.value if doubt is None else factor.value * by_doubt(constant_id, doubt, self.design)
            )
        return self._drawn[constant_id]


def factor_doubt(constant_id: str) -> float | None:
    """Relative standard uncertainty of a published factor; None if nothing is in doubt."""
    factor = constant(constant_id)
    if factor.doubt is None:
        return None
    sd = math.log(value(factor.doubt))
    if factor.low and factor.high:
        sd = max(sd, math.sqrt(math.log1p(range_spread(math.log(factor.high / factor.low)) ** 2)))
    return spread_of_sd(sd)


@dataclass(frozen=True, eq=False)
class DrawnEmissions:
    """Emissions of one method by all members."""

    of_method: MethodEmissions
    study: CostStudy
    taken: TakenAmounts

    def account(self, account: Account) -> Taken:
        """An account for a cord, or why nothing is known of the doubt of what it stands on."""
        return Taken(account.amount(self.accounts), self.why(account.needs))

    @cached_property
    def accounts(self) -> EmissionAccounts:
        """All accounts for a cord."""
        plain = self.of_method.amounts
        amounts = replace(
            plain,
            fuel=plain.fuel.times(self.taken.relative(self.of_method.totals, Recorded.FUEL).number),
            electricity_kwh=self.times(plain.electricity_kwh, Recorded.ELECTRICITY),
            tools=self.tools,
        )
        return self._accounts(amounts)

    def of_session(self, amounts: WorkAmounts, cords: float) -> EmissionAccounts:
        """All accounts of a session by its own fuel and electricity and its share of the tools."""
        return self._accounts(replace(amounts, tools=tuple(replace(t, share=t.share * cords) for t in self.tools)))

    @cached_property
    def of_trial(self) -> EmissionAccounts:
        """All accounts of the counted sessions together, as measured."""
        plain, totals = self.of_method.amounts, self.of_method.totals
        fuel, kwh = (
            totals.cords / self.study.equal.factor(totals, what) * self._of_unrecorded(what)
            for what in (Recorded.FUEL, Recorded.ELECTRICITY)
        )
        amounts = replace(plain, fuel=plain.fuel.times(fuel), electricity_kwh=plain.electricity_kwh * kwh)
        return self.of_session(amounts, totals.cords)

    def _of_unrecorded(self, what: Recorded) -> Number:
        """Sessions that did not record an amount are as unsure as the method."""
        totals = self.of_method.totals
        is_whole = len(recording(totals, what)) == len(totals.counted)
        return 1.0 if is_whole else self.taken.relative(totals, what).number

    def times(self, number: Number, what: Recorded) -> Number:
        """An amount for a cord by all members; what takes nothing stays the number."""
        return number * self.taken.relative(self.of_method.totals, what).number if number else number

    def why(self, parts: Iterable[Part]) -> Said | None:
        """Why nothing is known of the doubt of an amount behind some parts; None if all is known."""
        plain, totals, whys = self.of_method.amounts, self.of_method.totals, list[Said | None]()
        for part in parts:
            if part == "fuel" and plain.fuel.engine_fuel_l:
                whys.append(self.taken.relative(totals, Recorded.FUEL).why)
            elif part == "electricity" and plain.electricity_kwh:
                whys.append(self.taken.relative(totals, Recorded.ELECTRICITY).why)
            elif part == "tools":
                whys += [self._gathered(tool).unsure for tool in self.of_method.tools]
        return next((why for why in whys if why is not None), None)

    @cached_property
    def tools(self) -> tuple[ToolPart, ...]:
        """What a cord takes of each tool."""
        return tuple(self._tool(tool) for tool in self.of_method.tools)

    @cached_property
    def factors(self) -> DrawnFactors:
        """Factors of all accounts."""
        return DrawnFactors(self.taken.design)

    def _accounts(self, amounts: WorkAmounts) -> EmissionAccounts:
        return emission_accounts(amounts, self._choices, factor=self.factors)

    @cached_property
    def _choices(self) -> EmissionChoices:
        chosen = choices(self.study.season)
        grid = chosen.grid_kg_per_kwh
        kg = grid_kg_per_kwh(chosen.gwp_set) if grid is None else grid
        return replace(chosen, grid_kg_per_kwh=kg * by_doubt(GRID, grid_doubt(), self.taken.design))

    def _tool(self, tool: WornTool) -> ToolPart:
        price = None if tool.part.price_usd is None else self.price_usd(tool)
        return ToolPart(tool.part.kind, mass_members(tool, self.taken.design), price, self._share(tool))

    def price_usd(self, tool: WornTool) -> Number:
        """What a tool costs, wherever its price comes in."""
        name = said(Input.PRICE_OF_TOOL, tool=tool.tool.named)
        return price_members(name, tool.tool.price or 0.0, self.taken.design)

    def _share(self, tool: WornTool) -> Number:
        if not tool.part.share:
            return tool.part.share
        drawn = drawn_tool(self._gathered(tool), self.taken)
        share = worn_by_a_cord(tool.tool, drawn, self.study.yearly_cords or 0.0)
        return 0.0 if share is None else share

    def _gathered(self, tool: WornTool) -> GatheredTool:
        return gathered_tool(tool.tool, self.of_method.totals, self.study, self.taken)


def mass_members(tool: WornTool, design: Design) -> Number:
    """Mass of a tool: in doubt where a usual one stands in."""
    mass_kg = tool.part.mass_kg
    if tool.tool.mass_kg is not None:
        return mass_kg
    usual = constant(tool_kinds()[tool.tool.kind].usual_mass)
    low, high = usual.low or usual.value, usual.high or usual.value
    return by_range(said(Input.MASS_OF_TOOL, tool=tool.tool.named), usual.value, low, high, design)


def grid_doubt() -> float:
    """Relative standard uncertainty of the CO2e of a kWh."""
    return spread_of_sd(math.log(value("doubt.grid")))
