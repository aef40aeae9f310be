"""Records of wood, stove, next winter and woodshed, from the season document."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, Protocol

from wood_xl.ids import Told
from wood_xl.notes.problem import Problem, problem
from wood_xl.notes.relations import Notes, NotesRow
from wood_xl.notes.season import CheckedSeason
from wood_xl.notes.wood import rows_of_stacks
from wood_xl.reasons import said
from wood_xl.records import Broken, Burned, HeatBasis, Heating, Reading, ShedStack, Winter, WoodKind
from wood_xl.schema.model import Column, season_definition
from wood_xl.schema.words import words
from wood_xl.wood.moisture import wet_from_dry_frac


class Items(Protocol):
    """Item sheets, read cell by cell; None for a blank or a broken one."""

    def item(self, column_id: str, sheet_id: str = "season") -> Any:
        """Value as typed."""

    def item_number(self, column_id: str, unit: str, sheet_id: str = "season") -> float | None:
        """Value in the given unit."""


def heating(items: Items, notes: Notes, defaults: list[Problem]) -> Heating:
    """The stove, and the heating that wood stands in for; notes a default that stepped in."""
    other = items.item("displaced_fuel")
    basis: HeatBasis | None = items.item("appliance_efficiency_basis")
    if basis is None:
        # A rating is read off the stove or its papers, and those of the two unit systems mean different heat.
        is_us = notes.document.system == "us"
        basis = "gross" if is_us else "net"
        if items.item("appliance_efficiency") is not None and notes.document.rows("wood"):
            column = season_definition().column("season.appliance_efficiency_basis")
            rating = Told.US_RATINGS if is_us else Told.EUROPEAN_RATINGS
            defaults += default_used(notes, column, basis, words(said(rating)))
    return Heating(
        appliance=items.item("appliance"),
        efficiency_frac=hundredth(items.item_number("appliance_efficiency", "%")),
        efficiency_basis=basis,
        other=None if other == "none" else other,
        other_efficiency_frac=hundredth(items.item_number("displaced_efficiency", "%")),
        fuel_price=items.item("displaced_fuel_price"),
        fuel_price_unit=_unit_of_bill(notes.document.unit("season", "displaced_fuel_price")),
    )


def default_used(notes: Notes, column: Column, shown: str, source: str) -> Iterator[Problem]:
    """A note that a default stands in for an item of the Season sheet, unless that item is one to mend."""
    if not notes.waits("season", None, column.id):
        place = replace(notes.document.place("season", None, column.id), header="")
        yield problem("season-default-used", place, title=column.title, value=shown, source=source)


def winter(items: Items, notes: Notes) -> Winter:
    """What is known of the heat that the next winter takes."""

    def number(column_id: str, unit: str) -> float | None:
        return items.item_number(column_id, unit, "next_season")

    return Winter(
        last_winter_volume_m3=number("last_winter_volume", "stacked m3"),
        last_winter_fuel=items.item("last_winter_fuel", "next_season"),
        last_winter_fuel_unit=_unit_of_bill(notes.document.unit("next_season", "last_winter_fuel")),
        heat_loss_w_per_k=number("heat_loss", "W/K"),
        degree_days_next_k=number("degree_days_next", "K day"),
        degree_days_last_k=number("degree_days_last", "K day"),
        degree_day_base_c=number("degree_day_base", "degC"),
    )


def wood_kinds(notes: Notes, broken_of: Callable[[str, list[int]], Broken]) -> tuple[WoodKind, ...]:
    """Every kind of wood, as it stands on its sheet."""
    return tuple(
        WoodKind(
            name=str(row["species"] or f"row {row.index + 1}"),
            share_frac=hundredth(row.number("share", "%")),
            moisture_wet_frac=moisture_wet_frac(row),
            basic_density_kg_per_m3=row.number("basic_density", "kg/m3"),
            broken=broken_of("wood", [row.index]),
        )
        for row in notes.rows("wood")
    )


def wood_not_read(checked: CheckedSeason) -> Broken:
    """Under ``wood`` what to mend if the kinds of wood could not be read at all; else nothing."""
    where = checked.unread.get(("wood", "species"))
    return {} if where is None else {"wood": where}


def moisture_wet_frac(row: NotesRow) -> float | None:
    """Moisture on the wet basis; without a basis it is taken to be on it, and said so by the checks."""
    moisture = hundredth(row.number("moisture", "%"))
    if moisture is None or row["moisture_basis"] != "dry":
        return moisture
    return wet_from_dry_frac(moisture_dry_frac=moisture)


def _unit_of_bill(unit: str) -> Any:
    """Unit of a quantity of fuel, from the unit of the quantity or of its price."""
    return unit.removeprefix("per ") or None


def hundredth(percent: float | None) -> float | None:
    """A share from its percent."""
    return None if percent is None else percent / 100


def woodshed(notes: Notes, broken_of: Callable[[str, list[int]], Broken]) -> tuple[ShedStack, ...]:
    """Every stack of the sheet; one that has a cell to mend says so, and so does a row whose stack cannot be told."""
    stacks = [
        _stack([NotesRow(notes, "woodshed", index) for index in rows], broken_of("woodshed", rows))
        for rows in rows_of_stacks(notes).values()
    ]
    waiting: dict[str, Broken] = {}
    for row in notes.rows("woodshed"):
        if row.name("stack") is None:
            broken = broken_of("woodshed", [row.index])
            waiting |= dict.fromkeys(broken.values(), broken)
    return (*stacks, *(ShedStack(where, broken=broken) for where, broken in waiting.items()))


def _stack(rows: list[NotesRow], broken: Broken) -> ShedStack:
    readings, burned = [], []
    for row in rows:
        moisture = moisture_wet_frac(row)
        if row["reading_date"] is not None and moisture is not None:
            readings.append(Reading(row.text("reading_date"), moisture))
        if row["burned_up_on"] is not None:
            burned.append(Burned(row.text("burned_up_on"), row.number("burned", "stacked m3")))
    row = rows[0]
    return ShedStack(
        name=row.text("stack"),
        stacked_on=row["stacked_on"],
        kind=row["kind"],
        volume_m3=row.number("volume", "stacked m3"),
        readings=tuple(sorted(readings, key=lambda reading: reading.day)),
        burned=tuple(sorted(burned, key=lambda one: (one.day, one.volume_m3 is None))),
        broken=broken,
    )
