"""What the making of a tool goes with: its hours and life, which money shares, its mass or price, and factors."""

from __future__ import annotations

import math

from wood_xl.air import embodied
from wood_xl.air.accounts import Made
from wood_xl.air.factor_doubt import asked, factor_powers
from wood_xl.air.factor_sets import Factor
from wood_xl.air.method import WornTool
from wood_xl.data.load import constant, value
from wood_xl.hours.figure_parts import FigurePart, range_spread
from wood_xl.hours.methods import MethodTotals
from wood_xl.ids import Input
from wood_xl.money.cost_study import CostStudy
from wood_xl.money.doubt import price_spread, tool_powers
from wood_xl.money.inputs import gathered_tool
from wood_xl.money.method import MethodInputs
from wood_xl.money.sensitivity import life_trials
from wood_xl.reasons import Key, said

Spreads = dict[Key, float]


def worn_share(tool: WornTool, totals: MethodTotals, study: CostStudy, spreads: Spreads) -> FigurePart:
    """Part of the whole tool that a cord wears off."""
    gathered = gathered_tool(tool.tool, totals, study)
    alone = MethodInputs((gathered.inputs,), study.yearly_cords or 0.0, 0.0, 0.0, 0.0, 0.0)
    powers = tool_powers(gathered, alone, life_trials(0, gathered), totals, _share, spreads)
    return FigurePart(tool.part.share, *powers)


def _share(inputs: MethodInputs) -> float:
    tool = inputs.tools[0]
    share = embodied.worn_share_per_cord(
        hours_per_cord=tool.hours_per_cord,
        other_hours_per_cord=tool.other_hours_per_cord,
        cords_per_year=inputs.cords_per_year,
        life_h=tool.life_h,
        age_limit_years=tool.age_limit_years,
    )
    return share or 0.0


def mass_part(tool: WornTool, spreads: Spreads) -> FigurePart:
    """Mass of the tool: in doubt where a usual one stands in."""
    if tool.tool.mass_kg is not None:
        return FigurePart(tool.part.mass_kg, {}, {})
    key = said(Input.MASS_OF_TOOL, tool=tool.tool.named)
    usual = constant(asked(lambda factor: embodied.usual_mass_kg(tool.tool.kind, factor))[0])
    spreads[key] = range_spread(math.log((usual.high or 1.0) / (usual.low or 1.0)))
    return FigurePart(tool.part.mass_kg, {}, {key: 1.0})


def by_mass(tool: WornTool, what: Made, spreads: Spreads) -> FigurePart:
    """CO2e or energy of the whole tool by what it is made of."""
    mass = mass_part(tool, spreads)

    def made(factor: Factor) -> float:
        found = embodied.made_by_mass(kind=tool.part.kind, mass_kg=mass.value, factor=factor)
        return found.co2e_kg if what == "co2e" else found.energy_mj

    worth = made(value)
    packs_kg = embodied.packs_made_kg(kind=tool.part.kind, with_first=True) if what == "co2e" else 0.0
    of_mass = {key: power * (worth - packs_kg) / worth for key, power in mass.common.items()}
    return FigurePart(worth, {}, {**factor_powers(made, spreads), **of_mass})


def by_price(tool: WornTool, price_usd: float, spreads: Spreads) -> FigurePart:
    """CO2e of the whole tool by its price."""
    key = said(Input.PRICE_OF_TOOL, tool=tool.tool.named)

    def made(factor: Factor) -> float:
        return embodied.made_by_price_kg(kind=tool.part.kind, price_usd=price_usd, factor=factor)

    worth = made(value)
    if worth <= 0:
        return FigurePart(worth, {}, {})
    spreads[key] = price_spread()
    packs_kg = embodied.packs_made_kg(kind=tool.part.kind, with_first=False)
    return FigurePart(worth, {}, {**factor_powers(made, spreads), key: (worth - packs_kg) / worth})


def making(tool: WornTool, what: Made, spreads: Spreads) -> FigurePart:
    """The whole tool as it stands in the accounts: carbon by a price if no mass is written, energy by mass."""
    if what == "co2e" and tool.part.price_usd is not None:
        return by_price(tool, tool.part.price_usd, spreads)
    return by_mass(tool, what, spreads)


def worn_part(share: FigurePart, whole: FigurePart) -> FigurePart:
    """What a cord takes of the making of a tool."""
    return FigurePart(share.value * whole.value, share.recorded, {**share.common, **whole.common})


def lasting(share: FigurePart) -> FigurePart:
    """Cords over which a tool is worn out."""
    recorded = {what: -power for what, power in share.recorded.items()}
    return FigurePart(1 / share.value, recorded, {key: -power for key, power in share.common.items()})
