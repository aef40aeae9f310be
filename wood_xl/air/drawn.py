"""Emissions and energy of a method by all members: amounts, tools and factors in doubt.

A factor with a published range varies by that range or by the doubt of its kind, whichever is wider. Warming
potentials are a choice and do not vary.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

from wood_xl.air.accounts import PARTS, EmissionAccounts, Part, ToolPart, WorkAmounts
from wood_xl.air.factor_sets import Factor, grid_kg_per_kwh
from wood_xl.air.method import MethodEmissions, WornTool, worn_by_a_cord
from wood_xl.data.load import constant, value
from wood_xl.draws.ensemble import Design, Number, last_score
from wood_xl.draws.inputs import by_doubt, by_range, spread_of_sd
from wood_xl.hours.equal_terms import recording
from wood_xl.hours.rates import Taken, TakenAmounts
from wood_xl.ids import Input, Recorded
from wood_xl.money.cost import drawn_tool
from wood_xl.money.cost_study import CostStudy
from wood_xl.money.inputs import ToolNumbers, tool_numbers
from wood_xl.money.ranges import price_members
from wood_xl.reasons import Said, said

GRID = said(Input.GRID)


def drawn_factors(design: Design) -> Factor:
    """Published factors by all members of a design, each drawn once."""

    @cache
    def drawn(constant_id: str) -> Number:
        factor, doubt = constant(constant_id).value, factor_doubt(constant_id)
        return factor if doubt is None else factor * by_doubt(constant_id, doubt, design)

    return drawn


def factor_doubt(constant_id: str) -> float | None:
    """Relative standard uncertainty of a published factor; None if it is exact."""
    factor = constant(constant_id)
    if factor.doubt is None:
        return None
    sd = math.log(value(factor.doubt))
    if factor.low and factor.high:
        sd = max(sd, math.log(factor.high / factor.low) / (2 * last_score()))
    return spread_of_sd(sd)


def drawn_emissions(plain: MethodEmissions, study: CostStudy, taken: TakenAmounts) -> MethodEmissions:
    """Emissions of a method by all members of its recorded amounts, its tools and the factors in doubt."""
    tools = [tool_numbers(worn.tool, plain.totals, study, taken) for worn in plain.tools]
    kwh, is_given = plain.amounts.electricity_kwh, len(plain.missing) < len(PARTS)
    # An amount that is not used stays a plain number, and nothing is drawn if all parts are missing.
    fuel = taken.relative(plain.totals, Recorded.FUEL) if is_given else Taken(1.0)
    electricity = taken.relative(plain.totals, Recorded.ELECTRICITY) if kwh else Taken(1.0)
    grid = plain.choices.grid_kg_per_kwh
    kg = grid_kg_per_kwh(plain.choices.gwp_set) if grid is None else grid
    whys: dict[Part, Said | None] = {
        "fuel": fuel.why if plain.amounts.fuel.engine_fuel_l else None,
        "electricity": electricity.why if kwh else None,
        "tools": next((tool.unsure for tool in tools if tool.unsure is not None), None),
    }

    def part(worn: WornTool, tool: ToolNumbers) -> ToolPart:
        price = None if worn.part.price_usd is None else price_usd(worn, taken.design)
        share: Number | None = worn.part.share
        if share:
            share = worn_by_a_cord(worn.tool, drawn_tool(tool, taken), study.yearly_cords or 0.0)
        return ToolPart(worn.part.kind, mass_members(worn, taken.design), price, 0.0 if share is None else share)

    amounts = replace(
        plain.amounts,
        fuel=plain.amounts.fuel.times(fuel.number),
        electricity_kwh=kwh * electricity.number,
        tools=tuple(map(part, plain.tools, tools)),
    )
    return replace(
        plain,
        amounts=amounts,
        choices=replace(plain.choices, grid_kg_per_kwh=kg * by_doubt(GRID, grid_doubt(), taken.design)),
        factor=drawn_factors(taken.design),
        unsure={part: why for part, why in whys.items() if why is not None},
    )


def of_session(drawn: MethodEmissions, amounts: WorkAmounts, cords: float) -> EmissionAccounts:
    """All accounts of a session: its own fuel and electricity, and its share of the tools."""
    tools = tuple(replace(tool, share=tool.share * cords) for tool in drawn.amounts.tools)
    return drawn.accounts_of(replace(amounts, tools=tools))


def of_trial(
    plain: MethodEmissions, drawn: MethodEmissions, study: CostStudy, taken: TakenAmounts
) -> EmissionAccounts:
    """All accounts of the counted sessions together, as measured.

    If a session did not record an amount, the sum is as unsure as the method's rate.
    """
    totals = plain.totals

    def cords_as_measured(what: Recorded) -> Number:
        all_recorded = len(recording(totals, what)) == len(totals.counted)
        doubt = 1.0 if all_recorded else taken.relative(totals, what).number
        return totals.cords / study.equal.factor(totals, what) * doubt

    amounts = replace(
        plain.amounts,
        fuel=plain.amounts.fuel.times(cords_as_measured(Recorded.FUEL)),
        electricity_kwh=plain.amounts.electricity_kwh * cords_as_measured(Recorded.ELECTRICITY),
    )
    return of_session(drawn, amounts, totals.cords)


def price_usd(tool: WornTool, design: Design) -> Number:
    """Price of a tool by all members, the same as in the tables of money."""
    return price_members(said(Input.PRICE_OF_TOOL, tool=tool.tool.named), tool.tool.price or 0.0, design)


def mass_members(tool: WornTool, design: Design) -> Number:
    """Mass of a tool by all members; only a usual mass is in doubt."""
    if tool.tool.mass_kg is not None:
        return tool.tool.mass_kg
    usual = constant(tool.tool.kind_row.usual_mass)
    low, high = usual.low or usual.value, usual.high or usual.value
    return by_range(said(Input.MASS_OF_TOOL, tool=tool.tool.named), usual.value, low, high, design)


def grid_doubt() -> float:
    """Relative standard uncertainty of the CO2e of a kWh."""
    return spread_of_sd(math.log(value("doubt.grid")))
