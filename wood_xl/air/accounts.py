"""Figures of the fuel, electricity and tools that a cord takes: the amounts that each stands on, and what it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from wood_xl.air.method_accounts import EmissionAccounts
from wood_xl.draws.ensemble import Number
from wood_xl.ids import AccountName

Part = Literal["fuel", "electricity", "tools"]
FUEL: tuple[Part, ...] = ("fuel",)
ELECTRICITY: tuple[Part, ...] = ("electricity",)
RUNNING_PARTS: tuple[Part, ...] = (*FUEL, *ELECTRICITY)
PARTS: tuple[Part, ...] = (*RUNNING_PARTS, "tools")


@dataclass(frozen=True)
class Account:
    """One figure of the work for a cord; ``title`` is that of its row in the table of accounts, if it has one."""

    id: str
    needs: tuple[Part, ...]
    amount: Callable[[EmissionAccounts], Number]
    title: AccountName | None = None


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
