"""What a method's CO2e goes with: recorded fuel, electricity and hours, and factors that all sessions share.

The whole chain is computed again with each factor moved by its doubt, so that no list of what hangs on what can grow
old. A factor with a published range has that or the doubt of its kind, whichever is wider. Potentials are a choice.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from wood_xl.calc.embodied import usual_mass_kg, worn_share_per_cord
from wood_xl.calc.emission_accounts import EmissionAccounts, emission_accounts, tool_made
from wood_xl.calc.factor_sets import Factor
from wood_xl.calc.method_money import MethodInputs
from wood_xl.data.load import constant, value
from wood_xl.study.cost import CostStudy
from wood_xl.study.emissions import Account, MethodEmissions, WornTool, choices
from wood_xl.study.figure_parts import (
    ELECTRICITY,
    FUEL,
    FigurePart,
    FigureParts,
    figure_parts,
    range_spread,
    spread_of_sd,
)
from wood_xl.study.method_inputs import gathered_tool
from wood_xl.study.money_doubt import price_spread, tool_powers
from wood_xl.study.sensitivity import life_trials

DOUBTS = (
    ("co2.", "doubt.co2"),
    ("ipcc.co2.", "doubt.co2"),
    ("uk.co2e.", "doubt.co2"),
    ("ch4.", "doubt.ch4"),
    ("n2o.", "doubt.n2o"),
    ("upstream.", "doubt.upstream"),
    ("embodied.price.", "doubt.embodied_price"),
    ("embodied.co2e.", "doubt.embodied_mass"),
)
GRID = "CO2e of a kWh"
FUEL_AMOUNTS: tuple[Callable[[EmissionAccounts], float], ...] = (
    lambda a: a.direct.fossil_kg,
    lambda a: a.gases.beyond_kg,
    lambda a: a.upstream_kg,
)


def emission_parts(found: MethodEmissions, study: CostStudy, account: Account) -> FigureParts:
    """Parts of an account of the work."""
    spreads: dict[str, float] = {}
    parts = list(_fuel_parts(found, study, spreads))
    if found.accounts.electricity_kg > 0:
        spreads[GRID] = spread_of_sd(math.log(value("doubt.grid")))
        parts.append(FigurePart(found.accounts.electricity_kg, {ELECTRICITY: 1.0}, {GRID: 1.0}))
    if "tools" in account.needs:
        made = [tool for tool in found.tools if tool.part.share * tool_made(tool.part).co2e_kg > 0]
        parts += [_tool_part(tool, found, study, spreads) for tool in made]
    return figure_parts(parts, spreads)


def _fuel_parts(found: MethodEmissions, study: CostStudy, spreads: dict[str, float]) -> Iterator[FigurePart]:
    def accounts(factor: Factor) -> EmissionAccounts:
        return emission_accounts(found.amounts, choices(study.season), factor=factor)

    moved = [(key, sd, accounts(_moved(key, sd)), accounts(_moved(key, -sd))) for key, sd in _doubted(accounts)]
    for kg in FUEL_AMOUNTS:
        common = {}
        for key, sd, up, down in moved:
            if kg(down) > 0 and kg(up) != kg(down):
                common[key] = math.log(kg(up) / kg(down)) / (2 * sd)
                spreads[key] = spread_of_sd(sd)
        yield FigurePart(kg(found.accounts), {FUEL: 1.0}, common)


def _tool_part(tool: WornTool, found: MethodEmissions, study: CostStudy, spreads: dict[str, float]) -> FigurePart:
    """A tool's share by its hours and life, which money shares, and its making by price or by mass."""

    def made(factor: Factor) -> float:
        return tool_made(tool.part, factor).co2e_kg

    gathered = gathered_tool(tool.tool, found.totals, study)
    alone = MethodInputs((gathered.inputs,), study.yearly_cords or 0.0, 0.0, 0.0, 0.0, 0.0)
    recorded, common = tool_powers(gathered, alone, life_trials(0, gathered), found.totals, _share, spreads)
    for key, sd in _doubted(made):
        common[key] = math.log(made(_moved(key, sd)) / made(_moved(key, -sd))) / (2 * sd)
        spreads[key] = spread_of_sd(sd)
    if tool.part.price_usd is not None:
        key = f"price of {tool.tool.name}"
        common[key], spreads[key] = 1.0, price_spread()
    elif tool.tool.mass_kg is None:
        key = f"mass of {tool.tool.name}"
        usual = constant(next(iter(_asked(lambda factor: usual_mass_kg(tool.tool.kind, factor)))))
        common[key], spreads[key] = 1.0, range_spread(math.log((usual.high or 1.0) / (usual.low or 1.0)))
    return FigurePart(tool.part.share * made(value), recorded, common)


def _share(inputs: MethodInputs) -> float:
    tool = inputs.tools[0]
    share = worn_share_per_cord(
        hours_per_cord=tool.hours_per_cord,
        other_hours_per_cord=tool.other_hours_per_cord,
        cords_per_year=inputs.cords_per_year,
        life_h=tool.life_h,
        age_limit_years=tool.age_limit_years,
    )
    return share or 0.0


def _asked(compute: Callable[[Factor], object]) -> list[str]:
    """Ids of the constants that a computation asks for."""
    ids: dict[str, None] = {}

    def asking(constant_id: str) -> float:
        ids[constant_id] = None
        return value(constant_id)

    compute(asking)
    return list(ids)


def _doubted(compute: Callable[[Factor], object]) -> list[tuple[str, float]]:
    """Factors in doubt that a computation asks for, with the standard deviation of the log of each."""
    found = []
    for constant_id in _asked(compute):
        doubt = next((doubt for prefix, doubt in DOUBTS if constant_id.startswith(prefix)), None)
        if doubt is None:
            continue
        sd, known = math.log(value(doubt)), constant(constant_id)
        if known.low and known.high:
            sd = max(sd, math.sqrt(math.log1p(range_spread(math.log(known.high / known.low)) ** 2)))
        found.append((constant_id, sd))
    return found


def _moved(constant_id: str, log: float) -> Factor:
    """All factors as published but one, times the exponential of a number."""
    return lambda asked: value(asked) * (math.exp(log) if asked == constant_id else 1.0)
