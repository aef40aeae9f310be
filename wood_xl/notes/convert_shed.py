"""Records of the woodshed, from the season document."""

from __future__ import annotations

from collections.abc import Callable

from wood_xl.notes.convert_heat import moisture_wet_frac
from wood_xl.notes.relations import Notes
from wood_xl.notes.woodshed import rows_of_stacks
from wood_xl.records import Broken, Burned, Reading, ShedStack


def woodshed(notes: Notes, broken_of: Callable[[str, list[int]], Broken]) -> tuple[ShedStack, ...]:
    """Every stack of the sheet; one that has a cell to mend says so, and so does a row whose stack cannot be told."""
    stacks = [_stack(notes, rows, broken_of("woodshed", rows)) for rows in rows_of_stacks(notes).values()]
    waiting: dict[str, Broken] = {}
    for index in range(len(notes.document.rows("woodshed"))):
        if notes.name("woodshed", index, "stack") is None:
            broken = broken_of("woodshed", [index])
            waiting |= dict.fromkeys(broken.values(), broken)
    return (*stacks, *(ShedStack(where, broken=broken) for where, broken in waiting.items()))


def _stack(notes: Notes, rows: list[int], broken: Broken) -> ShedStack:
    readings, burned = [], []
    for index in rows:
        read_on, moisture = (
            notes.value("woodshed", index, "reading_date"),
            moisture_wet_frac(notes, "woodshed", index),
        )
        if read_on is not None and moisture is not None:
            readings.append(Reading(str(read_on), moisture))
        burned_on = notes.value("woodshed", index, "burned_up_on")
        if burned_on is not None:
            burned.append(Burned(str(burned_on), notes.number("woodshed", index, "burned", "stacked m3")))
    first = rows[0]
    return ShedStack(
        name=str(notes.value("woodshed", first, "stack")),
        stacked_on=notes.value("woodshed", first, "stacked_on"),
        kind=notes.value("woodshed", first, "kind"),
        volume_m3=notes.number("woodshed", first, "volume", "stacked m3"),
        readings=tuple(sorted(readings, key=lambda reading: reading.day)),
        burned=tuple(sorted(burned, key=lambda one: (one.day, one.volume_m3 is None))),
        broken=broken,
    )
