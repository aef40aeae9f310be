"""Figures of the fuel, electricity and tools that a cord takes, by name: what each counts, and what it sums."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from wood_xl.air.method_accounts import EmissionAccounts
from wood_xl.draws.ensemble import Number
from wood_xl.ids import AccountName

Part = Literal["fuel", "electricity", "tools"]
Made = Literal["co2e", "energy"]
RUNNING_PARTS: tuple[Part, ...] = ("fuel", "electricity")
PARTS: tuple[Part, ...] = (*RUNNING_PARTS, "tools")


@dataclass(frozen=True)
class Account:
    """One figure of the work for a cord: its id and name, the amounts it stands on, and where it stands.

    sums: what it is the sum of; empty if it stands by itself, on one part of the amounts alone.
    made: what it counts of making the tools.
    is_by_grid: whether it goes with the CO2e of a kWh.
    """

    id: str
    title: AccountName
    needs: tuple[Part, ...]
    amount: Callable[[EmissionAccounts], Number]
    sums: tuple[Account, ...] = ()
    made: Made | None = None
    is_by_grid: bool = False


RUNNING_ACCOUNTS = (
    Account("direct_co2", AccountName.BURNING, ("fuel",), lambda a: a.direct.fossil_kg),
    Account("engine_gases", AccountName.ENGINE_GASES, ("fuel",), lambda a: a.gases.beyond_kg),
    Account("upstream", AccountName.MAKING_FUEL, ("fuel",), lambda a: a.upstream_kg),
    Account(
        "electricity_co2e", AccountName.ELECTRICITY, ("electricity",), lambda a: a.electricity_kg, is_by_grid=True
    ),
)
TOOLS = Account("tools_co2e", AccountName.MAKING_TOOLS, ("tools",), lambda a: a.tools_kg, made="co2e")
ACCOUNTS = (*RUNNING_ACCOUNTS, TOOLS)
DIRECT_CO2, ENGINE_GASES, UPSTREAM, ELECTRICITY_CO2E = RUNNING_ACCOUNTS
RUNNING = Account("co2e_running", AccountName.RUNNING, RUNNING_PARTS, lambda a: a.running_kg, sums=RUNNING_ACCOUNTS)
WORK = Account("co2e", AccountName.WORK, PARTS, lambda a: a.work_kg, sums=ACCOUNTS)
ETHANOL = Account("ethanol_co2", AccountName.ETHANOL, ("fuel",), lambda a: a.direct.biogenic_kg)
METHANE = Account("ch4", AccountName.METHANE, ("fuel",), lambda a: a.gases.ch4_g)
NITROUS_OXIDE = Account("n2o", AccountName.NITROUS_OXIDE, ("fuel",), lambda a: a.gases.n2o_g)
FUEL_ENERGY = Account("fuel_mj", AccountName.FUEL_ENERGY, ("fuel",), lambda a: a.fuel_mj)
ELECTRIC_ENERGY = Account("electricity_mj", AccountName.ELECTRIC_ENERGY, ("electricity",), lambda a: a.electricity_mj)
TOOL_ENERGY = Account("tools_mj", AccountName.TOOL_ENERGY, ("tools",), lambda a: a.tools_mj, made="energy")
RUNNING_ENERGY = Account(
    "running_mj",
    AccountName.RUNNING_ENERGY,
    RUNNING_PARTS,
    lambda a: a.fuel_mj + a.electricity_mj,
    sums=(FUEL_ENERGY, ELECTRIC_ENERGY),
)
BOUGHT_ENERGY = Account(
    "bought_mj",
    AccountName.BOUGHT_ENERGY,
    PARTS,
    lambda a: a.bought_mj,
    sums=(FUEL_ENERGY, ELECTRIC_ENERGY, TOOL_ENERGY),
)
ALL_ACCOUNTS = (
    *(*ACCOUNTS, RUNNING, WORK, ETHANOL, METHANE, NITROUS_OXIDE),
    *(FUEL_ENERGY, ELECTRIC_ENERGY, TOOL_ENERGY, RUNNING_ENERGY, BOUGHT_ENERGY),
)
