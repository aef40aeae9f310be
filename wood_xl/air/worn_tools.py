"""Making of each tool by mass and by price, and what a cord takes of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from wood_xl.air import tool_doubt
from wood_xl.air.method import MethodEmissions, WornTool
from wood_xl.draws.figure import Figure, TableRow, not_given
from wood_xl.hours.figure_parts import FigurePart, figure_parts
from wood_xl.hours.part_rates import part_figure, recorded_figure
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


def worn_tool_rows(known: SeasonRates) -> Iterator[WornToolsRow]:
    """One row for each tool of each method."""
    for found in known.emitted.values():
        for tool in found.tools:
            yield _row(tool, found, known)


def _row(tool: WornTool, found: MethodEmissions, known: SeasonRates) -> WornToolsRow:
    doubt = known.doubt(found.totals.method.name)

    def whole(plain: Figure, part: FigurePart) -> Figure:
        return recorded_figure(plain, figure_parts([part], doubt.spreads))

    def worn(part: FigurePart) -> Figure:
        return part_figure(Figure(part.value), found.totals, figure_parts([part], doubt.spreads), known.study.season)

    cords = per_cord = not_given(tool.why)
    if tool.why is None:
        share, making = doubt.share(tool), tool_doubt.making(tool, "co2e", doubt.spreads)
        cords, per_cord = worn(tool_doubt.lasting(share)), worn(tool_doubt.worn_part(share, making))
    by_price = tool.by_price
    if by_price.value is not None:
        by_price = whole(by_price, tool_doubt.by_price(tool, tool.tool.price or 0.0, doubt.spreads))
    mass = replace(tool.mass, reason=AS_WRITTEN) if tool.tool.mass_kg is not None else tool.mass
    return WornToolsRow(
        tool=tool.tool.name,
        method=found.totals.method.name,
        mass=whole(mass, tool_doubt.mass_part(tool, doubt.spreads)),
        by_mass=whole(tool.by_mass, tool_doubt.by_mass(tool, "co2e", doubt.spreads)),
        by_price=by_price,
        used=tool.used,
        cords=cords,
        per_cord=per_cord,
    )
