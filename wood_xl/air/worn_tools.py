"""Making of each tool by mass and by price, and what a cord takes of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from wood_xl.air.method import MethodEmissions, WornTool
from wood_xl.air.method_accounts import tool_made
from wood_xl.draws.ensemble import nominal
from wood_xl.draws.figure import TAKES_NONE, Figure, TableRow, drawn, not_given, with_draws
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import MadeBy
from wood_xl.warmth.doubt import AS_WRITTEN


@dataclass(frozen=True, eq=False)
class WornToolsRow(TableRow):
    """Making of a tool by mass and by price, and what a cord takes of it."""

    table: ClassVar[str] = "worn_tools"
    tool: str
    method: str
    mass: Figure
    by_mass: Figure
    by_price: Figure
    used: MadeBy
    cords: Figure
    per_cord: Figure


def worn_tool_rows(rates: SeasonRates) -> Iterator[WornToolsRow]:
    """One row for each tool of each method."""
    for of_method in rates.emitted.values():
        for tool in of_method.tools:
            yield _row(tool, of_method, rates)


def _row(tool: WornTool, of_method: MethodEmissions, rates: SeasonRates) -> WornToolsRow:
    emissions = rates.emissions(of_method.totals.method.name)
    part = next(p for p, t in zip(emissions.tools, of_method.tools, strict=True) if t is tool)
    by_mass = tool_made(replace(part, price_usd=None), emissions.factors).co2e_kg
    by_price = tool.by_price
    if by_price.value is not None:
        priced = replace(part, price_usd=emissions.price_usd(tool))
        by_price = with_draws(by_price, tool_made(priced, emissions.factors).co2e_kg)
    cords = per_cord = not_given(tool.why)
    if tool.why is None and not tool.part.share:  # it never ran, and another task wears it
        cords, per_cord = not_given(TAKES_NONE), Figure(0.0, reason=TAKES_NONE)
    elif tool.why is None:
        unsure = emissions.why(("tools",))
        cords, per_cord = (
            drawn(number) if unsure is None else Figure(nominal(number), reason=unsure)
            for number in (1 / part.share, part.share * tool_made(part, emissions.factors).co2e_kg)
        )
    mass = replace(tool.mass, reason=AS_WRITTEN) if tool.tool.mass_kg is not None else tool.mass
    return WornToolsRow(
        tool=tool.tool.name,
        method=of_method.totals.method.name,
        mass=with_draws(mass, part.mass_kg),
        by_mass=with_draws(tool.by_mass, by_mass),
        by_price=by_price,
        used=tool.used,
        cords=cords,
        per_cord=per_cord,
    )
