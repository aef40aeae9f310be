"""Records of wood, stove, next winter and woodshed, from the season document."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields
from functools import partial
from typing import Any

from wood_xl.ids import Told
from wood_xl.notes.problem import Problem, problem
from wood_xl.notes.relations import Notes, NotesRow
from wood_xl.reasons import said
from wood_xl.records import Broken, Burned, HeatBasis, Heating, Reading, ShedStack, Winter, WoodKind
from wood_xl.schema.model import Column, season_definition
from wood_xl.schema.words import words
from wood_xl.wood.moisture import wet_from_dry_frac


def as_noted(kind: type, read: Callable[[str, str | None], Any]) -> dict[str, Any]:
    """Fields of a record that the notes fill as they stand; ``read`` has the value of a column in a unit."""
    told = {one.name: one.metadata for one in fields(kind) if one.metadata}
    found = {name: (read(noted["column"], noted["unit"]), noted["unit"]) for name, noted in told.items()}
    return {name: value / 100 if unit == "%" else value for name, (value, unit) in found.items() if value is not None}


def heating(notes: Notes, defaults: list[Problem]) -> Heating:
    """The stove, and the heating that wood stands in for; notes a default that stepped in."""
    read = partial(notes.item, "season")
    other = read("displaced_fuel")
    basis: HeatBasis | None = read("appliance_efficiency_basis")
    if basis is None:
        # A rating is read off the stove or its papers, and those of the two unit systems mean different heat.
        is_us = notes.document.system == "us"
        basis = "gross" if is_us else "net"
        if read("appliance_efficiency") is not None and notes.document.rows("wood"):
            column = season_definition().column("season.appliance_efficiency_basis")
            rating = Told.US_RATINGS if is_us else Told.EUROPEAN_RATINGS
            defaults += default_used(notes, column, basis, words(said(rating)))
    return Heating(
        **as_noted(Heating, read),
        efficiency_basis=basis,
        other=None if other == "none" else other,
        fuel_price_unit=_unit_of_bill(notes.document.unit("season", "displaced_fuel_price")),
    )


def default_used(notes: Notes, column: Column, shown: str, source: str) -> Iterator[Problem]:
    """A note that a default stands in for an item of the Season sheet, unless that item is one to mend."""
    if not notes.waits("season", None, column.id):
        place = notes.document.place("season", None, column.id)._replace(header="")
        yield problem("season-default-used", place, title=column.title, value=shown, source=source)


def winter(notes: Notes) -> Winter:
    """What is known of the heat that the next winter takes."""
    return Winter(
        **as_noted(Winter, partial(notes.item, "next_season")),
        last_winter_fuel_unit=_unit_of_bill(notes.document.unit("next_season", "last_winter_fuel")),
    )


def wood_kinds(notes: Notes, broken_of: Callable[[str, list[int]], Broken]) -> tuple[WoodKind, ...]:
    """Every kind of wood, as it stands on its sheet."""
    return tuple(
        WoodKind(
            name=str(row["species"] or f"row {row.index + 1}"),
            moisture_wet_frac=moisture_wet_frac(row),
            **as_noted(WoodKind, row.read),
            broken=broken_of("wood", [row.index]),
        )
        for row in notes.rows("wood")
    )


def moisture_wet_frac(row: NotesRow) -> float | None:
    """Moisture on the wet basis; without a basis it is taken to be on it, and said so by the checks."""
    percent = row.number("moisture", "%")
    if percent is None or row["moisture_basis"] != "dry":
        return None if percent is None else percent / 100
    return wet_from_dry_frac(moisture_dry_frac=percent / 100)


def _unit_of_bill(unit: str) -> Any:
    return unit.removeprefix("per ") or None


def woodshed(notes: Notes, broken_of: Callable[[str, list[int]], Broken]) -> tuple[ShedStack, ...]:
    """Every stack of the sheet; one that has a cell to mend says so, and so does a row whose stack cannot be told."""
    stacks = [
        _stack(rows, broken_of("woodshed", [row.index for row in rows]))
        for rows in notes.by_name("woodshed").values()
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
        **as_noted(ShedStack, row.read),
        readings=tuple(sorted(readings, key=lambda reading: reading.day)),
        burned=tuple(sorted(burned, key=lambda one: (one.day, one.volume_m3 is None))),
        broken=broken,
    )
