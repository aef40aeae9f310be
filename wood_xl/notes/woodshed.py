"""Checks of the sheet Woodshed: what a stack lacks, dates before its stacking, readings and fires that cannot be."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator

from wood_xl.data.load import Drying, value
from wood_xl.data.trees import species_named
from wood_xl.notes.names import plain
from wood_xl.notes.problem import Problem, number_text, problem, quoted
from wood_xl.notes.relations import Notes
from wood_xl.notes.wood import moisture_problems, near_trees
from wood_xl.schema.model import Definition
from wood_xl.shed.dates import can_be, months_after
from wood_xl.units import convert
from wood_xl.wood.moisture import dry_from_wet_frac, seasoning_months

SLOWEST: Drying = "slow"
OF_THE_STACK = ("stacked_on", "kind", "volume")
PAIRS = (("moisture", "reading_date"), ("reading_date", "moisture"), ("burned", "burned_up_on"))
ROUNDING = 1e-6  # of a volume: parts of it that were typed in another unit


def woodshed_problems(notes: Notes, definition: Definition) -> Iterator[Problem]:
    """Everything on the sheet Woodshed that does not go together."""
    yield from moisture_problems(notes, definition, "woodshed")
    dates = _dates_of_stacking(notes)
    for name, rows in rows_of_stacks(notes).items():
        yield from _lacks(notes, rows[0], dates.get(name))
        yield from _kinds(notes, rows[0])
        for index in rows:
            yield from _halves(notes, index)
            yield from _far_off(notes, index)
        for index in rows[1:]:
            yield from _said_again(notes, rows[0], index)
        stacked_on = notes.value("woodshed", rows[0], "stacked_on") or max(dates.get(name, ()), default=None)
        if stacked_on and can_be(stacked_on):
            yield from _before(notes, rows, stacked_on)
            yield from _too_wet(notes, rows, stacked_on)
        yield from _burned(notes, rows)


def rows_of_stacks(notes: Notes) -> dict[str, list[int]]:
    """Rows of the sheet Woodshed by the name of their stack; the first of each is the stack itself."""
    rows: dict[str, list[int]] = defaultdict(list)
    for index in range(len(notes.document.rows("woodshed"))):
        name = notes.name("woodshed", index, "stack")
        if name is not None:
            rows[name].append(index)
    return dict(rows)


def _dates_of_stacking(notes: Notes) -> dict[str, list[str]]:
    """Dates of the sessions in which stacks of this season were made, by the name of the stack."""
    dates: dict[str, list[str]] = {}
    for index in range(len(notes.document.rows("stacks"))):
        name = notes.name("stacks", index, "stack")
        session = notes.index_of["sessions"].get(notes.name("stacks", index, "session") or "")
        if name is not None:
            day = None if session is None else notes.value("sessions", session, "date")
            dates.setdefault(name, []).extend([day] if day else [])
    return dates


def _lacks(notes: Notes, index: int, dates: list[str] | None) -> Iterator[Problem]:
    """What must be written of a stack that no session of this season made."""
    missing = [] if dates is not None else ["volume"]
    for column_id in ["stacked_on", *missing] if not dates else missing:
        if notes.is_empty("woodshed", index, column_id):
            name = quoted(str(notes.value("woodshed", index, "stack")))
            yield problem("row-stack-lacks", notes.document.place("woodshed", index, column_id), found=name)


def _kinds(notes: Notes, index: int) -> Iterator[Problem]:
    """A kind of wood of which nothing is known, or none where the season has several."""
    written = [str(row["species"]) for row in notes.document.rows("wood") if "species" in row]
    place = notes.document.place("woodshed", index, "kind")
    kind = notes.value("woodshed", index, "kind")
    if kind is None:
        is_told = len(written) == 1 or notes.waits("wood", None, "species")
        if notes.is_empty("woodshed", index, "kind") and not is_told:
            yield problem("row-stack-without-kind", place)
    elif species_named(str(kind)) is None and plain(str(kind)) not in map(plain, written):
        yield problem("row-stack-unknown-kind", place, found=quoted(str(kind)), near=near_trees(str(kind)))


def _halves(notes: Notes, index: int) -> Iterator[Problem]:
    """A reading without its date, a date without its reading, a part that was burned without its day."""
    for column_id, other in PAIRS:
        if notes.value("woodshed", index, column_id) is not None and notes.is_empty("woodshed", index, other):
            place = notes.document.place("woodshed", index, other)
            yield problem("row-stack-half", place, found=notes.document.place("woodshed", index, column_id).where)


def _far_off(notes: Notes, index: int) -> Iterator[Problem]:
    for column_id in ("stacked_on", "reading_date", "burned_up_on"):
        day = notes.value("woodshed", index, column_id)
        if day is not None and not can_be(day):
            place = notes.document.place("woodshed", index, column_id)
            yield problem("row-stack-far-off", place, found=day)


def _said_again(notes: Notes, first: int, index: int) -> Iterator[Problem]:
    """A further row of a stack that says another thing of it."""
    row = str(notes.document.places["woodshed"].rows[first])
    for column_id in OF_THE_STACK:
        typed = notes.value("woodshed", index, column_id)
        if typed is not None and typed != notes.value("woodshed", first, column_id):
            place = notes.document.place("woodshed", index, column_id)
            found = number_text(typed) if column_id == "volume" else quoted(str(typed))
            yield problem("row-stack-again", place, found=found, row=row)


def _before(notes: Notes, rows: list[int], stacked_on: str) -> Iterator[Problem]:
    for index in rows:
        for column_id in ("reading_date", "burned_up_on"):
            day = notes.value("woodshed", index, column_id)
            if day is not None and day < stacked_on:
                place = notes.document.place("woodshed", index, column_id)
                yield problem("row-stack-before", place, found=day, expected=stacked_on)


def _too_wet(notes: Notes, rows: list[int], stacked_on: str) -> Iterator[Problem]:
    """Readings of more water than wood at a stack that has stood for as long as its kind seasons."""
    kind = species_named(str(notes.value("woodshed", rows[0], "kind") or ""))
    seasoned_on = months_after(stacked_on, seasoning_months(SLOWEST if kind is None else kind.drying))
    most_pct = value("seasoning.reading_most")
    for index in rows:
        moisture, day = (
            notes.number("woodshed", index, "moisture", "%"),
            notes.value("woodshed", index, "reading_date"),
        )
        if moisture is None or day is None or day < seasoned_on:
            continue
        if notes.value("woodshed", index, "moisture_basis") != "dry":
            if moisture >= most_pct:
                continue  # told as a moisture that cannot be
            moisture = 100 * float(dry_from_wet_frac(moisture_wet_frac=moisture / 100))
        if moisture > most_pct:
            facts = {"found": f"{number_text(round(moisture))} %", "date": seasoned_on, "expected": f"{most_pct:g} %"}
            yield problem("row-stack-too-wet", notes.document.place("woodshed", index, "moisture"), **facts)


def _burned(notes: Notes, rows: list[int]) -> Iterator[Problem]:
    """A stack that is burned after it was burned up, or of which more is burned than it held."""
    held = notes.number("woodshed", rows[0], "volume", "stacked m3")
    fires = []
    for index in rows:
        day, part = (notes.value("woodshed", index, column) for column in ("burned_up_on", "burned"))
        if day is not None and not notes.waits("woodshed", index, "burned"):
            fires.append((day, part is None, index))
    burned, gone = 0.0, None
    for day, is_all, index in sorted(fires):
        if gone is not None:
            place = notes.document.place("woodshed", index, "burned_up_on")
            yield problem("row-stack-burned-twice", place, found=day, expected=gone)
        gone = gone or (day if is_all else None)
        if is_all or held is None:
            continue
        burned += notes.number("woodshed", index, "burned", "stacked m3") or 0.0
        if burned > held * (1 + ROUNDING):
            unit = notes.document.unit("woodshed", "burned")
            told = {
                "found": number_text(_rounded(convert(burned, "stacked m3", unit))),
                "expected": number_text(_rounded(convert(held, "stacked m3", unit))),
            }
            yield problem(
                "row-stack-burned-over", notes.document.place("woodshed", index, "burned"), unit=unit, **told
            )
            held = math.inf  # one line for each stack


def _rounded(number: float) -> float:
    return float(f"{number:.3g}")
