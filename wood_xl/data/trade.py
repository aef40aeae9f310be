"""Tables of the trade: kinds of tools, fuels, factor sets, warming potentials, tasks and unsure inputs.

A row has everything that the program asks about its kind. No cell is empty: ``none`` says that something does not
apply or that no source has it. A missing cell is a fault that names table, row and column.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, fields
from functools import cache
from types import MappingProxyType
from typing import Any, Literal, TypeVar

from wood_xl.data.load import Activity, activities, as_read, constants, require_source, table_rows
from wood_xl.errors import DefinitionFault

Drive = Literal["hand", "engine", "motor"]
Size = Literal["hand", "held", "machine"]
Per = Literal["gal", "L", "TJ"]
Gas = Literal["ch4", "n2o"]
Origin = Literal["fossil", "wood"]
ConstantId = str
KINDS, FUELS, SETS, POTENTIALS, TASKS, UNSURE = (
    f"{name}.csv" for name in ("tool_kinds", "fuels", "factor_sets", "warming_potentials", "tasks", "unsure")
)
BY_HAND: Drive = "hand"
NONE = "none"
PREFIX = re.compile(r"^(?:is|has)_")  # fields that say yes or no have it, their columns do not

RowT = TypeVar("RowT")
ChoiceT = TypeVar("ChoiceT", bound=str)


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
        if self.other_fuels is None:
            raise _fault(SETS, self.id, "fuels", f"has no factor of {fuel}, and no other set stands in")
        return factor_sets()[self.other_fuels].set_of(fuel)

    def of_fuel(self, fuel: str) -> str:
        """Constant for burning a fuel of this set."""
        return _known_constant(SETS, self.id, "fuel_factor", self.fuel_factor.format(fuel=fuel))

    def of_gas(self, gas: Gas, engine: str) -> str:
        """Constant for a gas that a class of engine emits."""
        return _known_constant(SETS, self.id, "gases", self.gases.format(gas=gas, engine=engine))

    def held_gas(self, gas: Gas, fuel: str) -> str:
        """Constant for the part of a gas that the factor of a fuel includes."""
        pattern = _needed(SETS, self.id, "held", self.held)
        return _known_constant(SETS, self.id, "held", pattern.format(gas=gas, fuel=fuel))


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


class Table(dict[str, RowT]):
    """Rows by id; a missing row is a fault."""

    def __init__(self, name: str, read: Callable[[_Cells], RowT]) -> None:
        super().__init__()
        self.name = name
        for cells in table_rows(name):
            if cells["id"] in self:
                raise _fault(name, cells["id"], "id", "stands more than once")
            self[cells["id"]] = read(_Cells(name, cells))

    def __missing__(self, key: str) -> RowT:
        raise DefinitionFault(f"{self.name} has no row {key!r}")


@cache
def tool_kinds() -> Mapping[str, ToolKind]:
    """Every kind of tool, in the order of the drop-down list."""
    return MappingProxyType(Table(KINDS, _tool_kind))


@cache
def fuels() -> Mapping[str, Fuel]:
    """Every fuel and oil."""
    return MappingProxyType(Table(FUELS, _fuel))


@cache
def factor_sets() -> Mapping[str, FactorSet]:
    """Every factor set, in the order of the drop-down list."""
    return MappingProxyType(Table(SETS, _factor_set))


@cache
def warming_potentials() -> Mapping[str, Potentials]:
    """Warming potentials of every report."""
    return MappingProxyType(Table(POTENTIALS, lambda cells: cells.read(Potentials)))


@cache
def tasks() -> Mapping[str, Task]:
    """Every task, in the order of the drop-down list."""
    return MappingProxyType(Table(TASKS, _task))


@cache
def unsure() -> Mapping[str, UnsureInput]:
    """Every written input with its range."""
    return MappingProxyType(Table(UNSURE, lambda cells: cells.read(UnsureInput)))


def needed_tasks() -> list[str]:
    """Ids of the tasks without which a log is no stacked firewood."""
    return [task.id for task in tasks().values() if task.is_needed]


CHOICES: dict[str, Callable[[], Mapping[str, object]]] = {
    "tool_kinds": tool_kinds,
    "tasks": tasks,
    "factor_sets": factor_sets,
    "warming_potentials": warming_potentials,
}


class _Cells:
    """Cells of one row; a cell that cannot be read is a fault that names table, row and column."""

    def __init__(self, table: str, cells: Mapping[str, str]) -> None:
        self.table, self._cells, self.id = table, cells, cells["id"]

    def fault(self, column: str, what: str) -> DefinitionFault:
        return _fault(self.table, self.id, column, what)

    def text(self, column: str) -> str:
        cell = self._cells[column]
        if not cell:
            raise self.fault(column, f"is empty; what there is none of says {NONE}")
        return cell

    def given(self, column: str) -> str | None:
        return None if self.text(column) == NONE else self.text(column)

    def needed(self, column: str) -> str:
        return _needed(self.table, self.id, column, self.given(column))

    def words(self, column: str) -> tuple[str, ...]:
        return tuple(filter(None, (self.given(column) or "").split("; ")))

    def one_of(self, column: str, choices: tuple[ChoiceT, ...]) -> ChoiceT:
        cell = self.text(column)
        for choice in choices:
            if choice == cell:
                return choice
        raise self.fault(column, f"is {cell!r}, not one of {choices}")

    def yes(self, column: str) -> bool:
        return self.one_of(column, ("yes", "no")) == "yes"

    def constant(self, column: str) -> str | None:
        constant_id = self.given(column)
        return None if constant_id is None else _known_constant(self.table, self.id, column, constant_id)

    def needed_constant(self, column: str) -> str:
        return _known_constant(self.table, self.id, column, self.needed(column))

    def row(self, column: str, table: Mapping[str, object]) -> str | None:
        row_id = self.given(column)
        if row_id is not None and row_id not in table:
            raise self.fault(column, f"names {row_id!r}, which has no row")
        return row_id

    def source(self, column: str) -> str:
        require_source(f"{self.table}, row {self.id}, column {column}", self.needed(column))
        return self.needed(column)

    def read(self, kind: type[RowT], **known: Any) -> RowT:
        """The row as a record: fields not ``known`` are read, as their types ask, from the columns of their names."""
        readers = {
            "str": self.needed,
            "str | None": self.given,
            "ConstantId": self.needed_constant,
            "ConstantId | None": self.constant,
            "tuple[str, ...]": self.words,
            "bool": self.yes,
        }
        for field in fields(kind):  # type: ignore[arg-type]
            if field.name not in known:
                known[field.name] = readers[str(field.type)](PREFIX.sub("", field.name))
        return kind(**known)


def _fault(table: str, row: str, column: str, what: str) -> DefinitionFault:
    return DefinitionFault(f"{table}, row {row}, column {column}: {what}")


def _needed(table: str, row: str, column: str, cell: str | None) -> str:
    if cell is None:
        raise _fault(table, row, column, f"says {NONE}, and is needed")
    return cell


def _known_constant(table: str, row: str, column: str, constant_id: str) -> str:
    if constant_id not in constants():
        raise _fault(table, row, column, f"no constant is called {constant_id!r}")
    return constant_id


def _tool_kind(cells: _Cells) -> ToolKind:
    kind = cells.read(
        ToolKind,
        drive=cells.one_of("drive", (BY_HAND, "engine", "motor")),
        fuel=cells.row("fuel", fuels()),
        mixed_with=cells.row("mixed_with", fuels()),
        has_chain=cells.yes("chain_saw"),
        size=cells.one_of("size", ("hand", "held", "machine")),
    )
    of_power = ("life_years", "repairs") if kind.is_powered else ()
    of_engine = ("fuel", "engine", "life_h") if kind.burns else ()
    for column in (*of_power, *of_engine):
        cells.needed(column)
    for column in () if kind.burns else ("fuel", "mixed_with", "engine", "small_engine"):
        if cells.given(column) is not None:
            raise cells.fault(column, f"is filled, but the drive is {kind.drive}")
    if kind.has_battery and not kind.is_electric:
        raise cells.fault("battery", f"is yes, but the drive is {kind.drive}")
    for fuel in kind.bought:
        fuel.needed("price_item")
    return kind


def _fuel(cells: _Cells) -> Fuel:
    return cells.read(
        Fuel,
        is_fossil=cells.one_of("carbon", ("fossil", "plants")) == "fossil",
        is_oil=cells.one_of("counts_as", ("fuel", "oil")) == "oil",
    )


def _factor_set(cells: _Cells) -> FactorSet:
    for fuel in (*cells.words("fuels"), *cells.words("held_undivided")):
        if fuel not in fuels():
            raise cells.fault("fuels", f"names {fuel!r}, which has no row in {FUELS}")
    return cells.read(
        FactorSet,
        source=cells.source("source"),
        fuel_per=cells.one_of("fuel_per", ("gal", "L", "TJ")),
        gases_per=cells.one_of("gases_per", ("gal", "TJ")),
        gases_source=cells.source("gases_source"),
        potentials=cells.row("potentials", warming_potentials()),
    )


def _task(cells: _Cells) -> Task:
    def activity(drive: str) -> Activity:
        code = cells.needed(f"{drive}_activity")
        if code not in activities():
            raise cells.fault(f"{drive}_activity", f"no activity has the code {code!r}")
        return activities()[code]._replace(note=cells.given(f"{drive}_note") or "")

    return cells.read(
        Task,
        is_placed=cells.one_of("place", ("fixed", "as done")) == "fixed",
        is_left_when_bought=cells.one_of("bought", ("done", "to do")) == "to do",
        by_hand=activity("hand"),
        by_power=activity("powered"),
    )
