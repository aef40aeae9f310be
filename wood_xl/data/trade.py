"""Tables of the trade: kinds of tools, fuels, factor sets, warming potentials, tasks and unsure inputs.

A row has everything that the program asks about its kind. No cell is empty: ``none`` says that something does not
apply or that no source has it. ``tests/unit/test_trade.py`` holds that the tables agree.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, fields
from functools import cache
from types import MappingProxyType
from typing import Any, Literal, TypeVar

from wood_xl.data.load import Activity, activities, as_read, table_rows
from wood_xl.errors import DefinitionFault

Drive = Literal["hand", "engine", "motor"]
Size = Literal["hand", "held", "machine"]
Per = Literal["gal", "L", "TJ"]
Gas = Literal["ch4", "n2o"]
Origin = Literal["fossil", "wood"]
ConstantId = str
KINDS, FUELS, SETS = "tool_kinds.csv", "fuels.csv", "factor_sets.csv"
BY_HAND: Drive = "hand"
NONE = "none"
PREFIX = re.compile(r"^(?:is|has)_")  # fields that say yes or no have it, their columns do not

RowT = TypeVar("RowT")


@dataclass(frozen=True, slots=True)
class ToolKind:
    """A kind of tool; ids of constants stand in for what is not written of a tool."""

    id: str
    drive: Drive
    fuel: str | None
    mixed_with: str | None
    engine: str | None  # class of its engine in the ids of methane and nitrous oxide
    small_engine: str | None  # its engine in ``small_engines.csv``; None if that source has none
    has_chain: bool  # whether it saws with a bar and a chain, which take oil
    has_battery: bool  # whether it runs on a pack, which wears out before the tool
    size: Size  # names its limits of price and mass
    life_h: ConstantId | None
    life_years: ConstantId | None
    repairs: ConstantId | None
    resale: ConstantId
    usual_mass: ConstantId
    price_carbon: ConstantId
    # means, perhaps: words that people type for it, surely and perhaps
    means: tuple[str, ...]
    perhaps: tuple[str, ...]

    @property
    def is_powered(self) -> bool:
        """Whether an engine or motor drives it."""
        return self.drive != BY_HAND

    @property
    def burns(self) -> bool:
        """Whether it has an engine."""
        return self.drive == "engine"

    @property
    def is_electric(self) -> bool:
        """Whether it draws electricity."""
        return self.drive == "motor"

    @property
    def engine_class(self) -> str:
        """Class of its engine; a fault if it has none."""
        return _needed(KINDS, self.id, "engine", self.engine)

    @property
    def tank(self) -> Fuel:
        """Fuel of its engine; a fault if it has none."""
        return fuels()[_needed(KINDS, self.id, "fuel", self.fuel)]

    @property
    def oil(self) -> Fuel | None:
        """Oil that is mixed into its fuel."""
        return None if self.mixed_with is None else fuels()[self.mixed_with]

    @property
    def bought(self) -> tuple[Fuel, ...]:
        """Fuel and oil that are bought for its engine; each has an item with its price."""
        if not self.burns:
            return ()
        return (self.tank,) if self.oil is None else (self.tank, self.oil)


@dataclass(frozen=True, slots=True)
class Fuel:
    """A fuel or oil of engines; ``blended_with`` is in it at the season's share of ethanol."""

    id: str
    name: str
    price_item: str | None
    blended_with: str | None
    is_fossil: bool
    is_oil: bool
    gross_heat: ConstantId
    net_heat: ConstantId | None
    density: ConstantId | None
    upstream: ConstantId | None
    carrier: str

    def needed(self, column: Literal["price_item", "net_heat", "density"]) -> str:
        """An id that not every fuel has; a fault if this one lacks it."""
        cell: str | None = getattr(self, column)
        return _needed(FUELS, self.id, column, cell)


@dataclass(frozen=True, slots=True)
class FactorSet:
    """Emission factors that belong together."""

    id: str
    words: str
    source: str
    fuels: tuple[str, ...]  # fuels with a factor; for others ``other_fuels`` names the set that stands in
    # fuel_factor, gases, held: patterns of constants' ids: for a fuel, for a gas of an engine, and for the part of a
    # gas that the factor of a fuel includes
    fuel_factor: str
    fuel_per: Per
    other_fuels: str | None
    gases: str
    gases_per: Per
    gases_words: str
    gases_source: str
    held: str | None
    held_undivided: tuple[str, ...]  # fuels whose factor includes all gases in one number
    potentials: str | None  # warming potentials in its factors; None if they are CO2 alone
    means: tuple[str, ...]
    perhaps: tuple[str, ...]

    def set_of(self, fuel: str) -> FactorSet:
        """The set with the factor of a fuel: this one, or the one that stands in."""
        if fuel in self.fuels:
            return self
        return factor_sets()[_needed(SETS, self.id, "other_fuels", self.other_fuels)].set_of(fuel)

    def of_fuel(self, fuel: str) -> str:
        """Constant for burning a fuel of this set."""
        return self.fuel_factor.format(fuel=fuel)

    def of_gas(self, gas: Gas, engine: str) -> str:
        """Constant for a gas that a class of engine emits."""
        return self.gases.format(gas=gas, engine=engine)

    def held_gas(self, gas: Gas, fuel: str) -> str:
        """Constant for the part of a gas that the factor of a fuel includes."""
        return _needed(SETS, self.id, "held", self.held).format(gas=gas, fuel=fuel)


@dataclass(frozen=True, slots=True)
class Potentials:
    """Constants of warming over 100 years."""

    id: str
    ch4_fossil: ConstantId
    ch4_wood: ConstantId
    n2o: ConstantId

    def ch4(self, origin: Origin) -> str:
        """Constant for methane from fuel or from wood."""
        return self.ch4_fossil if origin == "fossil" else self.ch4_wood


@dataclass(frozen=True, slots=True)
class Task:
    """A task: ``is_sawn`` by a saw, ``is_swung`` by an axe or maul, and what of the wood's way it does."""

    id: str
    name: str
    is_placed: bool
    is_sawn: bool
    is_swung: bool
    needs_tool: bool
    is_needed: bool
    cuts_to_length: bool
    is_left_when_bought: bool
    stacked_as: str | None
    by_hand: Activity
    by_power: Activity
    most_by_hand: ConstantId | None  # sawn area in an hour of a sawn task, else stacked wood
    most_by_power: ConstantId | None
    means: tuple[str, ...]
    perhaps: tuple[str, ...]

    def activity(self, *, powered: bool) -> Activity:
        """The activity whose energy stands for it."""
        return as_read(self.by_power if powered else self.by_hand)

    def short(self, method: str, methods: Collection[str]) -> str:
        """A method's name without that of the task, where all of its several methods end with it."""
        end = f" {self.name}"
        return (
            method.removesuffix(end) if len(methods) > 1 and all(name.endswith(end) for name in methods) else method
        )


@dataclass(frozen=True, slots=True)
class UnsureInput:
    """A written input with the constant for its range, in multiples; a choice is in no doubt."""

    id: str
    range: ConstantId
    is_choice: bool


@cache
def tool_kinds() -> Mapping[str, ToolKind]:
    """Every kind of tool, in the order of the drop-down list."""
    return _table(KINDS, ToolKind, lambda cells: {"has_chain": cells["chain_saw"] == "yes"})


@cache
def fuels() -> Mapping[str, Fuel]:
    """Every fuel and oil."""
    return _table(
        FUELS, Fuel, lambda cells: {"is_fossil": cells["carbon"] == "fossil", "is_oil": cells["counts_as"] == "oil"}
    )


@cache
def factor_sets() -> Mapping[str, FactorSet]:
    """Every factor set, in the order of the drop-down list."""
    return _table(SETS, FactorSet)


@cache
def warming_potentials() -> Mapping[str, Potentials]:
    """Warming potentials of every report."""
    return _table("warming_potentials.csv", Potentials)


@cache
def tasks() -> Mapping[str, Task]:
    """Every task, in the order of the drop-down list."""
    return _table("tasks.csv", Task, _of_task)


@cache
def unsure() -> Mapping[str, UnsureInput]:
    """Every written input with its range."""
    return _table("unsure.csv", UnsureInput)


def needed_tasks() -> list[str]:
    """Ids of the tasks without which a log is no stacked firewood."""
    return [task.id for task in tasks().values() if task.is_needed]


CHOICES: dict[str, Callable[[], Mapping[str, object]]] = {
    "tool_kinds": tool_kinds,
    "tasks": tasks,
    "factor_sets": factor_sets,
    "warming_potentials": warming_potentials,
}


def _table(
    name: str, kind: type[RowT], more: Callable[[dict[str, str]], dict[str, Any]] = lambda _: {}
) -> Mapping[str, RowT]:
    """Rows by id: each field of ``kind`` from the column of its name, or what ``more`` makes of the cells."""

    def read(cells: dict[str, str]) -> RowT:
        own = more(cells)
        others = (field for field in fields(kind) if field.name not in own)  # type: ignore[arg-type]
        return kind(**own, **{field.name: _cell(cells[PREFIX.sub("", field.name)], field.type) for field in others})

    return MappingProxyType({cells["id"]: read(cells) for cells in table_rows(name)})


def _cell(text: str, kind: object) -> str | bool | tuple[str, ...] | None:
    if kind == "bool":
        return text == "yes"
    if kind == "tuple[str, ...]":
        return () if text == NONE else tuple(text.split("; "))
    return None if text == NONE else text


def _of_task(cells: dict[str, str]) -> dict[str, Any]:
    def activity(drive: str) -> Activity:
        note = cells[f"{drive}_note"]
        return activities()[cells[f"{drive}_activity"]]._replace(note="" if note == NONE else note)

    return {
        "is_placed": cells["place"] == "fixed",
        "is_left_when_bought": cells["bought"] == "to do",
        "by_hand": activity("hand"),
        "by_power": activity("powered"),
    }


def _needed(table: str, row: str, column: str, cell: str | None) -> str:
    if cell is None:
        raise DefinitionFault(f"{table}, row {row}, column {column}: says {NONE}, and is needed")
    return cell
