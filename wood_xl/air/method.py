"""A method's amounts of fuel, electricity and tools for a cord, collected from the season for ``emission_accounts``.

An amount that is not known is 0 there, and ``missing`` gives the reason: every account and total that needs it is
withheld.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np

from wood_xl.air.accounts import (
    PARTS,
    Account,
    EmissionAccounts,
    EmissionChoices,
    Part,
    ToolPart,
    WorkAmounts,
    emission_accounts,
)
from wood_xl.air.energy import made_by_mass, made_by_price_kg
from wood_xl.air.factor_sets import Factor, grid_kg_per_kwh
from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number, nominal
from wood_xl.draws.figure import Figure, not_given
from wood_xl.hours.fuel import FuelParts, fuel_parts
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.sessions import burning_kind, is_electric, needs, waiting
from wood_xl.ids import MadeBy, Recorded
from wood_xl.money.cost_study import CostStudy
from wood_xl.money.inputs import tool_numbers
from wood_xl.money.method import ToolInputs
from wood_xl.money.owning import life_years
from wood_xl.reasons import Basis, Reason, Said, said, several
from wood_xl.records import Season, Tool

FUEL_ITEMS = ("two_stroke_mix", "ethanol_share", "emission_factor_set", "gwp_set")
GRID_ITEMS = ("grid_intensity", "gwp_set")
# season items that the amount needs, the basis if the method uses none, the reason if no session recorded it
USED: dict[Part, tuple[Recorded, tuple[str, ...], Basis, Reason]] = {
    "fuel": (Recorded.FUEL, FUEL_ITEMS, Basis.NO_ENGINE, Reason.NO_FUEL_RECORDED),
    "electricity": (Recorded.ELECTRICITY, GRID_ITEMS, Basis.NO_ELECTRIC_TOOL, Reason.NO_ELECTRICITY_RECORDED),
}
DOLLAR, FACTORS_OF = "USD", 2022  # currency and year of the prices that the factors are for


class WornTool(NamedTuple):
    """One tool of a method, and what a cord takes of it."""

    tool: Tool
    part: ToolPart  # with a share of 0 if it is not known
    mass: Figure
    # by_mass, by_price: CO2e of the whole tool in either way
    by_mass: Figure
    by_price: Figure
    used: MadeBy  # the way that the accounts use
    why: Said | None  # why the share is not known; None if it is known


@dataclass(frozen=True, eq=False)
class MethodEmissions:
    """Amounts of one method for a cord, plain or by all members, and the emissions and energy that follow.

    missing: why an amount is not known.
    bases: the basis of an amount, where it needs one.
    unsure: why the doubt of an amount is not known.
    """

    totals: MethodTotals
    engine: str | None
    amounts: WorkAmounts
    tools: tuple[WornTool, ...]
    missing: dict[Part, Said]
    bases: dict[Part, Said | None]
    choices: EmissionChoices
    factor: Factor = value
    unsure: dict[Part, Said] = field(default_factory=dict)

    @cached_property
    def accounts(self) -> EmissionAccounts:
        """All accounts for a cord."""
        return self.accounts_of(self.amounts)

    def accounts_of(self, amounts: WorkAmounts) -> EmissionAccounts:
        """All accounts of other amounts by the same choices and factors."""
        return emission_accounts(amounts, self.choices, factor=self.factor)

    def figure(self, account: Account) -> Figure:
        """An account for a cord, without an interval."""
        return self.figure_from(account.needs, account.amount(self.accounts))

    def figure_from(self, parts: tuple[Part, ...], number: Number) -> Figure:
        """A number that depends on some parts of the amounts; withheld if one of them is missing."""
        for part in parts:
            if part in self.missing:
                return not_given(self.missing[part])
        bases = [basis for part in parts if (basis := self.bases.get(part)) is not None]
        return Figure(nominal(number), several(bases))

    def has(self, account: Account) -> bool:
        """Whether an account is not simply 0, as fuel is for a hand saw."""
        return self.figure(account).value != 0

    def why_unsure(self, parts: tuple[Part, ...]) -> Said | None:
        """Why the doubt of one of some parts is not known; None if all are known."""
        return next((self.unsure[part] for part in parts if part in self.unsure), None)


def choices(season: Season) -> EmissionChoices:
    """The season's choices of emission factors."""
    return EmissionChoices(season.emission_factor_set, season.gwp_set, season.grid_kg_per_kwh)


def season_grid(season: Season) -> Figure:
    """CO2e of a kWh at the socket [kg]."""
    wait = waiting(season.broken, *GRID_ITEMS)
    if wait is not None:
        return not_given(wait)
    if season.grid_kg_per_kwh is not None:
        return Figure(season.grid_kg_per_kwh, said(Basis.AS_WRITTEN))
    return Figure(nominal(grid_kg_per_kwh(season.gwp_set)), said(Basis.US_GRID))


def method_emissions(totals: MethodTotals, study: CostStudy) -> MethodEmissions:
    """Emissions of one method from the notes as they are, without draws."""
    engine = burning_kind(totals.method, study.tools) if "emissions" not in totals.method.broken else None
    why = waiting(totals.method.broken, "emissions") or (None if totals.counted else totals.why_none)
    if why is None and totals.method.lacks_tool:
        why = said(Reason.NO_TOOL)
    if why is not None:
        nothing = WorkAmounts(engine, FuelParts(), 0.0, ())
        return MethodEmissions(totals, engine, nothing, (), dict.fromkeys(PARTS, why), {}, choices(study.season))
    used: dict[Part, Figure] = {
        "fuel": _used("fuel", totals, study, has_use=engine is not None),
        "electricity": _used("electricity", totals, study, has_use=is_electric(totals.method, study.tools)),
    }
    missing = {part: figure.why for part, figure in used.items() if figure.value is None}
    bases = {part: figure.basis for part, figure in used.items()}
    tools = tuple(_worn(study.tools[name], totals, study) for name in totals.method.tools)
    bases["tools"] = _basis_of_tools(tools)
    for tool in tools:
        if tool.why is not None:
            missing.setdefault("tools", tool.why)
    fuel_l, kwh = (used[part].value or 0.0 for part in ("fuel", "electricity"))
    fuel = FuelParts() if engine is None or "fuel" in missing else _parts(engine, fuel_l, study.season)
    amounts = WorkAmounts(engine, fuel, kwh, tuple(tool.part for tool in tools))
    return MethodEmissions(totals, engine, amounts, tools, missing, bases, choices(study.season))


def session_amounts(of_method: MethodEmissions, index: int, season: Season) -> tuple[WorkAmounts, dict[Part, Said]]:
    """Fuel and electricity of one counted session, and why either is missing."""
    session, missing = of_method.totals.counted[index].session, dict(of_method.missing)
    fuel, kwh = FuelParts(), 0.0
    if of_method.engine is not None:
        if session.fuel_l is None:
            missing.setdefault("fuel", said(Reason.NO_FUEL_WRITTEN))
        else:
            fuel = _parts(of_method.engine, session.fuel_l, season)
    if of_method.amounts.electricity_kwh > 0:
        if session.electricity_kwh is None:
            missing.setdefault("electricity", said(Reason.NO_ELECTRICITY_WRITTEN))
        else:
            kwh = session.electricity_kwh
    return WorkAmounts(of_method.engine, fuel, kwh, ()), missing


def _used(part: Part, totals: MethodTotals, study: CostStudy, *, has_use: bool) -> Figure:
    """Fuel or electricity for a cord, without an interval; broken items of the season come first as the reason."""
    what, items, unused, unwritten = USED[part]
    if not has_use:
        return Figure(0.0, said(unused))
    wait = waiting(study.season.broken, *items)
    if wait is not None:
        return not_given(wait)
    return study.equal.recorded(totals, what, "emissions") or not_given(said(unwritten))


def _parts(kind: str, fuel_l: float, season: Season) -> FuelParts:
    return fuel_parts(
        kind=kind, fuel_l=fuel_l, mix_ratio=season.two_stroke_mix_ratio, ethanol_frac=season.ethanol_frac
    )


def _basis_of_tools(tools: Sequence[WornTool]) -> Said | None:
    """What was assumed about the making of the tools; None if nothing was."""
    if not tools:
        return said(Basis.BARE_HANDS)
    usual = [tool.tool.name for tool in tools if tool.tool.mass_kg is None and tool.part.price_usd is None]
    packed = [tool.tool.name for tool in tools if tool.tool.kind_row.has_battery]
    assumed = [said(Basis.USUAL_MASS_OF, tools=tuple(usual))] if usual else []
    if packed:
        assumed.append(said(Basis.PACKS_ASSUMED_OF, tools=tuple(packed), **_packs()))
    return several(assumed)


def _packs(*, bought_with: int = 0) -> dict[str, float]:
    return {"packs": value("embodied.battery.packs") - bought_with, "capacity": value("embodied.battery.capacity")}


def _worn(tool: Tool, totals: MethodTotals, study: CostStudy) -> WornTool:
    mass_kg = value(tool.kind_row.usual_mass) if tool.mass_kg is None else tool.mass_kg
    by_price = _by_price(tool, study.season)
    price_usd = tool.price if tool.mass_kg is None and by_price.value is not None else None
    used = MadeBy.PRICE if price_usd is not None else MadeBy.USUAL_MASS if tool.mass_kg is None else MadeBy.MASS
    packs = said(Basis.PACKS_ASSUMED, **_packs()) if tool.kind_row.has_battery else None
    share = _share(tool, totals, study)
    why = share if isinstance(share, Said) else None
    return WornTool(
        tool=tool,
        part=ToolPart(tool.kind, mass_kg, price_usd, 0.0 if isinstance(share, Said) else share),
        mass=Figure(mass_kg, said(Basis.AS_WRITTEN if tool.mass_kg is not None else Basis.USUAL_MASS)),
        by_mass=Figure(nominal(made_by_mass(kind=tool.kind, mass_kg=mass_kg).co2e_kg), packs),
        by_price=by_price,
        used=used,
        why=why,
    )


def _by_price(tool: Tool, season: Season) -> Figure:
    if "money" in tool.broken:
        return not_given(needs(tool.broken["money"]))
    if tool.price is None:
        return not_given(said(Reason.NO_PRICE))
    if "currency" in season.broken or season.currency != DOLLAR:
        return not_given(said(Reason.USD_ONLY))
    if "price_year" in season.broken:
        return not_given(needs(season.broken["price_year"]))
    assumed = []
    if season.price_year is None:
        assumed.append(said(Basis.DOLLARS_OF_UNKNOWN_YEAR))
    elif season.price_year != FACTORS_OF:
        assumed.append(said(Basis.DOLLARS_OF, year=season.price_year))
    if tool.kind_row.has_battery:
        assumed.append(said(Basis.PACKS_ASSUMED_BY_PRICE, **_packs(bought_with=1)))
    return Figure(nominal(made_by_price_kg(kind=tool.kind, price_usd=tool.price)), several(assumed))


def _share(tool: Tool, totals: MethodTotals, study: CostStudy) -> float | Said:
    """Share of a tool that a cord wears off, or why it is not known."""
    wait = waiting(tool.broken, "emissions", "money")
    if wait is not None or not study.yearly_cords:
        return wait or said(Reason.NO_YEARLY_VOLUME)
    numbers = tool_numbers(tool, totals, study)
    if numbers.hours_why is not None:
        return numbers.hours_why
    share = worn_by_a_cord(tool, numbers.inputs, study.yearly_cords)
    return said(Reason.NO_LIFE_OF, tool=tool.name) if share is None else nominal(share)


def worn_by_a_cord(tool: Tool, inputs: ToolInputs, cords_per_year: float) -> Number | None:
    """Share of a tool that a cord wears off; None if no life is given.

        share of its hours in a year / (years that it lasts * cords in a year)

    A tool that others use too wears by everybody's hours. Without a life in hours it ends by age, and only one's own
    part of it counts.
    """
    if (tool.is_others or tool.held == "shared") and inputs.life_h is not None:
        return inputs.hours_per_cord / inputs.life_h
    all_hours = inputs.hours_per_cord + inputs.other_hours_per_cord
    hours_per_year = all_hours * cords_per_year
    years = life_years(life_h=inputs.life_h, hours_per_year=hours_per_year, age_limit_years=inputs.age_limit_years)
    if years is None:
        return None
    share = inputs.hours_per_cord / all_hours if np.all(all_hours > 0) else 1.0
    return share / (years * cords_per_year) * inputs.part_frac
