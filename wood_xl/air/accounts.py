"""All emission accounts of one method for one cord, as one function of amounts, choices and factors.

With other values behind the ids of the factors the same function gives another result, which is how doubt about
factors is carried through. An ``Account`` is one figure of the result.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from wood_xl.air.energy import MJ_PER_KWH, Made, fuel_energy_mj, made_by_mass, made_by_price_kg
from wood_xl.air.factor_sets import Factor, grid_kg_per_kwh
from wood_xl.air.gases import DirectCo2, EngineGases, direct_co2, engine_gases, upstream_kg
from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number, total
from wood_xl.hours.fuel import FuelParts
from wood_xl.ids import AccountName


@dataclass(frozen=True, eq=False, slots=True)
class ToolPart:
    """A tool's making, and the share of it that one cord takes."""

    kind: str
    mass_kg: Number
    price_usd: Number | None  # dollars of 2022; None if carbon goes by mass
    share: Number  # share of the whole tool that one cord wears off


@dataclass(frozen=True, eq=False, slots=True)
class WorkAmounts:
    """Fuel, electricity and tools that a method takes for one cord."""

    engine: str | None  # kind of the tool that burns the fuel
    fuel: FuelParts
    electricity_kwh: Number
    tools: tuple[ToolPart, ...]


@dataclass(frozen=True, eq=False, slots=True)
class EmissionChoices:
    """The season's choices of factors."""

    factor_set: str
    gwp_set: str
    grid_kg_per_kwh: Number | None  # CO2e of a kWh; None takes the mean of the United States


@dataclass(frozen=True, eq=False, slots=True)
class EmissionAccounts:
    """Emissions and energy of the work for one cord."""

    direct: DirectCo2  # CO2 of burning fuel; that of ethanol is a memo
    gases: EngineGases
    upstream_kg: Number  # CO2e of making fuel
    electricity_kg: Number  # CO2e
    tools_kg: Number  # CO2e of making tools
    # fuel_mj, electricity_mj, tools_mj: energy; fuel by gross heat, electricity at the socket
    fuel_mj: Number
    electricity_mj: Number
    tools_mj: Number

    @property
    def running_kg(self) -> Number:
        """CO2e of fuel and electricity [kg]."""
        return total((self.direct.fossil_kg, self.gases.beyond_kg, self.upstream_kg, self.electricity_kg))

    @property
    def work_kg(self) -> Number:
        """CO2e of the work: fuel, electricity and tools [kg]."""
        return total((self.running_kg, self.tools_kg))

    @property
    def bought_mj(self) -> Number:
        """Energy of fuel, electricity and tools [MJ]."""
        return total((self.fuel_mj, self.electricity_mj, self.tools_mj))


def emission_accounts(amounts: WorkAmounts, choices: EmissionChoices, *, factor: Factor = value) -> EmissionAccounts:
    """Every account of the work for one cord.

        work total = CO2 of fuel + CH4 and N2O of the engine + making the fuel + electricity + share of the tools

    Biogenic CO2, food and burning the wood are no part of the total.

    Source: epa_hub_2021, fuels and engines; uk_factors_2011, making fuel; egrid_2023, electricity; ice_v2, tools by
    mass; epa_supply_chain_v1_3, tools by price.

    A gallon of ethanol-free gasoline in a splitter, and nothing else:

    >>> amounts = WorkAmounts("gasoline four-stroke", FuelParts({"gasoline": 3.785411784}), 0.0, ())
    >>> accounts = emission_accounts(amounts, EmissionChoices("EPA hub", "AR5", None))
    >>> round(accounts.direct.fossil_kg, 2), round(accounts.gases.beyond_kg, 4), round(accounts.work_kg, 4)
    (8.78, 0.2112, 10.5716)
    """
    direct = direct_co2(amounts.fuel, factor_set=choices.factor_set, factor=factor)
    gases = EngineGases(0.0, 0.0, 0.0)
    if amounts.engine is not None:
        gases = engine_gases(
            kind=amounts.engine,
            engine_fuel_l=amounts.fuel.engine_fuel_l,
            factor_set=choices.factor_set,
            gwp_set=choices.gwp_set,
            factor=factor,
        )
    grid = choices.grid_kg_per_kwh
    if grid is None:
        grid = grid_kg_per_kwh(choices.gwp_set, factor)
    made = [(tool.share, tool_made(tool, factor)) for tool in amounts.tools]
    return EmissionAccounts(
        direct=direct,
        gases=gases,
        upstream_kg=upstream_kg(direct, factor=factor),
        electricity_kg=amounts.electricity_kwh * grid,
        tools_kg=total(share * tool.co2e_kg for share, tool in made),
        fuel_mj=fuel_energy_mj(amounts.fuel, factor=factor),
        electricity_mj=amounts.electricity_kwh * MJ_PER_KWH,
        tools_mj=total(share * tool.energy_mj for share, tool in made),
    )


def tool_made(tool: ToolPart, factor: Factor = value) -> Made:
    """Carbon and energy of making a whole tool: carbon by price if one is given, energy always by mass.

        by mass, or carbon = price * factor of the industry

    Source: ice_v2, cradle to gate; epa_supply_chain_v1_3, with margins.

    >>> made = tool_made(ToolPart("hand", mass_kg=2.0, price_usd=60.0, share=0.01))
    >>> round(made.co2e_kg, 2), round(made.energy_mj, 1)
    (13.38, 50.6)
    """
    by_mass = made_by_mass(kind=tool.kind, mass_kg=tool.mass_kg, factor=factor)
    if tool.price_usd is None:
        return by_mass
    return Made(made_by_price_kg(kind=tool.kind, price_usd=tool.price_usd, factor=factor), by_mass.energy_mj)


Part = Literal["fuel", "electricity", "tools"]
FUEL: tuple[Part, ...] = ("fuel",)
ELECTRICITY: tuple[Part, ...] = ("electricity",)
RUNNING_PARTS: tuple[Part, ...] = (*FUEL, *ELECTRICITY)
PARTS: tuple[Part, ...] = (*RUNNING_PARTS, "tools")


@dataclass(frozen=True)
class Account:
    """One figure of the work for a cord."""

    id: str
    needs: tuple[Part, ...]
    amount: Callable[[EmissionAccounts], Number]
    title: AccountName | None = None  # of its row in the table of accounts


DIRECT_CO2 = Account("direct_co2", FUEL, lambda a: a.direct.fossil_kg, AccountName.BURNING)
ENGINE_GASES = Account("engine_gases", FUEL, lambda a: a.gases.beyond_kg, AccountName.ENGINE_GASES)
UPSTREAM = Account("upstream", FUEL, lambda a: a.upstream_kg, AccountName.MAKING_FUEL)
ELECTRICITY_CO2E = Account("electricity_co2e", ELECTRICITY, lambda a: a.electricity_kg, AccountName.ELECTRICITY)
TOOLS = Account("tools_co2e", ("tools",), lambda a: a.tools_kg, AccountName.MAKING_TOOLS)
ACCOUNTS = (DIRECT_CO2, ENGINE_GASES, UPSTREAM, ELECTRICITY_CO2E, TOOLS)
RUNNING = Account("co2e_running", RUNNING_PARTS, lambda a: a.running_kg)
WORK = Account("co2e", PARTS, lambda a: a.work_kg, AccountName.WORK)
ETHANOL = Account("ethanol_co2", FUEL, lambda a: a.direct.biogenic_kg, AccountName.ETHANOL)
METHANE = Account("ch4", FUEL, lambda a: a.gases.ch4_g)
NITROUS_OXIDE = Account("n2o", FUEL, lambda a: a.gases.n2o_g)
FUEL_ENERGY = Account("fuel_mj", FUEL, lambda a: a.fuel_mj)
ELECTRIC_ENERGY = Account("electricity_mj", ELECTRICITY, lambda a: a.electricity_mj)
TOOL_ENERGY = Account("tools_mj", ("tools",), lambda a: a.tools_mj)
RUNNING_ENERGY = Account("running_mj", RUNNING_PARTS, lambda a: a.fuel_mj + a.electricity_mj)
BOUGHT_ENERGY = Account("bought_mj", PARTS, lambda a: a.bought_mj)
ALL_ACCOUNTS = (
    *(*ACCOUNTS, RUNNING, WORK, ETHANOL, METHANE, NITROUS_OXIDE),
    *(FUEL_ENERGY, ELECTRIC_ENERGY, TOOL_ENERGY, RUNNING_ENERGY, BOUGHT_ENERGY),
)
