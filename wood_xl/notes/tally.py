"""The sheet Tally: cuts counted by size classes, which stand in the headers as a number with a unit of length."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import Enum, auto
from itertools import groupby, pairwise
from typing import Any

from wood_xl.notes.document import SeasonDocument
from wood_xl.notes.names import list_text
from wood_xl.notes.problem import Problem, number_text
from wood_xl.notes.relations import Notes, NotesRow
from wood_xl.notes.typed import typed_unit
from wood_xl.records import Cut
from wood_xl.schema.model import Classes, Column, Sheet, season_definition
from wood_xl.units import convert

FRACTIONS = {"\u00bc": 0.25, "\u00bd": 0.5, "\u00be": 0.75}
LONGEST = 40  # letters; no size class comes near
_SIZE = re.compile(r"(\d+(?:\.\d+)?)?\s*([\u00bc\u00bd\u00be])?\s*([^\d\s.,\[\]()][^\d\[\]()]*)")
_BRACKETED = re.compile(r"(.*?)\s*[\[(]([^\[\]()]*)[\])]")


class Beside(Enum):
    """What stands on Cuts for a session that has a row on Tally."""

    NOTHING = auto()
    SAME = auto()  # as many cuts of every class
    MORE = auto()  # only cuts of classes that are empty in the row
    OTHER = auto()


CODES = {Beside.SAME: "tally-same-on-cuts", Beside.MORE: "tally-more-on-cuts", Beside.OTHER: "tally-and-cuts"}


def size_of(header: str, classes: Classes) -> str | None:
    """The size class that a header names, as the document writes it; None if it names none.

    >>> size_of('7\u00bd"', season_definition().sheet("tally").classes), size_of("Age", ...)
    ('7.5 in', None)
    """
    text = header.strip()
    if not text or len(text) > LONGEST or not (text[0].isdecimal() or text[0] in FRACTIONS):
        return None
    bracketed = _BRACKETED.fullmatch(text)
    match = _SIZE.fullmatch(f"{bracketed[1]} {bracketed[2]}" if bracketed else text)
    unit = typed_unit(match[3].strip(), classes.units) if match else None
    if match is None or unit is None:
        return None
    number = float(match[1] or 0) + FRACTIONS.get(match[2] or "", 0.0)
    return f"{number_text(number)} {unit}" if number > 0 else None


def size_m(size: str) -> float:
    """A size class as a diameter.

    >>> size_m("10 in")
    0.254
    """
    number, _, unit = size.rpartition(" ")
    return convert(float(number), unit, "m")


def borders_m(sizes: Iterable[str]) -> dict[str, tuple[float, float]]:
    """For each size class its lower and upper border: half-way to its neighbours.

    Where it has none on one side, the border is half a step of the template's classes in its unit away.
    """
    ordered = sorted(set(sizes), key=size_m)
    at = [size_m(size) for size in ordered]
    middles = [(low + high) / 2 for low, high in pairwise(at)]
    lower = [at[0] - _half_step_m(ordered[0]), *middles] if at else []
    upper = [*middles, at[-1] + _half_step_m(ordered[-1])] if at else []
    return dict(zip(ordered, zip(lower, upper, strict=True), strict=True))


def _half_step_m(size: str) -> float:
    unit = size.rpartition(" ")[2]
    classes = season_definition().sheet("tally").classes
    if classes is None:
        raise KeyError("tally.classes")
    step_unit, _, _, step = classes.templates["us" if unit == "in" else "metric"]
    return convert(float(step), step_unit, "m") / 2


def flat(row: Mapping[str, Any]) -> dict[str, Any]:
    """A row of a table with every size class as a column of its own."""
    if "classes" not in row:
        return dict(row)
    return {
        **{key: value for key, value in row.items() if key != "classes"},
        **{one["class"]: one["cuts"] for one in row["classes"]},
    }


def sizes_in(rows: Iterable[Mapping[str, Any]]) -> list[str]:
    """Size classes of a tally's rows, the smallest first."""
    return sorted({one["class"] for row in rows for one in row.get("classes", ())}, key=size_m)


def columns_of(sheet: Sheet, document: SeasonDocument) -> tuple[Column, ...]:
    """Columns of a sheet, those of its size classes with them."""
    if sheet.classes is None:
        return sheet.columns
    places = document.places.get(sheet.id)
    sizes = [*sizes_in(document.rows(sheet.id)), *(places.columns if places else ())]
    known = {column.id for column in sheet.columns}
    return *sheet.columns, *(sheet.classes.of(size) for size in dict.fromkeys(sizes) if size not in known)


def counts(row: Mapping[str, Any]) -> dict[str, int]:
    """How many cuts a row has of each size class; none of those that are empty."""
    return {one["class"]: one["cuts"] for one in row.get("classes", ()) if one["cuts"]}


def is_waiting(notes: Notes, index: int) -> bool:
    """Whether a size class of a row waits for a mend."""
    ids = [column.id for column in season_definition().sheet("tally").columns]
    broken = (key for sheet_id, at, key in notes.broken if sheet_id == "tally" and at == index)
    unread = (key for sheet_id, key in notes.unread if sheet_id == "tally")
    return any(key not in ids for key in (*broken, *unread))


def rows_that_count(notes: Notes) -> list[int]:
    """Rows of the tally that are counted as cuts: not those whose cuts stand one by one on Cuts as well."""
    rows, first = notes.document.rows("tally"), sorted(indexes[0] for indexes in _rows_of(notes, "tally").values())
    return [index for index in first if counts(rows[index]) and beside(notes, index) is not Beside.SAME]


def tallied_cuts(notes: Notes) -> dict[str, tuple[Cut, ...]]:
    """Cuts of the tally by the names of their sessions: one of each size class, with its count and its width."""
    rows = notes.document.rows("tally")
    borders = borders_m(sizes_in(rows))
    cuts: dict[str, tuple[Cut, ...]] = {}
    for index in rows_that_count(notes):
        cuts[notes.name("tally", index, "session") or ""] = tuple(
            Cut(size_m(size), cuts_n=cuts_n, class_width_m=borders[size][1] - borders[size][0])
            for size, cuts_n in counts(rows[index]).items()
        )
    return cuts


def beside(notes: Notes, index: int) -> Beside:
    """What stands on Cuts for the session of a row of the tally."""
    session = notes.name("tally", index, "session")
    rows = _rows_of(notes, "cuts").get(session or "", [])
    if not rows:
        return Beside.NOTHING
    tallied = counts(notes.document.rows("tally")[index])
    cut = Counter[str | None]()
    for row in rows:
        diameter = _diameter_m(notes, row)
        if diameter is None:
            return Beside.MORE  # the session waits for that cell anyway
        cut[_class_at(diameter, notes.document.rows("tally"))] += notes.value("cuts", row, "cuts") or 1
    if cut == Counter[str | None](tallied):
        return Beside.SAME
    return Beside.MORE if cut.keys().isdisjoint(tallied) else Beside.OTHER


def _diameter_m(notes: Notes, row: int) -> float | None:
    first, second = (notes.number("cuts", row, column, "m") for column in ("diameter", "second_diameter"))
    if first is None:
        return None
    return first if second is None else math.sqrt(first * second)


def _class_at(diameter_m: float, rows: Sequence[Mapping[str, Any]]) -> str | None:
    borders = borders_m(sizes_in(rows))
    held = [size for size, (low, high) in borders.items() if low - 1e-9 <= diameter_m <= high + 1e-9]
    if len(held) < 2:
        return held[0] if held else None
    step = size_m(held[1]) - size_m(held[0])
    return held[0] if round(size_m(held[0]) / step) % 2 == 0 else held[1]


def _rows_of(notes: Notes, sheet_id: str) -> dict[str, list[int]]:
    rows: dict[str, list[int]] = {}
    for index in range(len(notes.document.rows(sheet_id))):
        if (name := notes.name(sheet_id, index, "session")) is not None:
            rows.setdefault(name, []).append(index)
    return rows


def tally_problems(notes: Notes) -> Iterator[Problem]:
    """Rows of one session, totals that differ, and cuts that stand on Tally and on Cuts."""
    rows = notes.rows("tally")
    for indexes in _rows_of(notes, "tally").values():
        first, *others = indexes
        for index in others:
            number = str(rows[first].place("session").row)
            yield rows[index].problem("tally-second-row", "session", found=rows[index].quoted("session"), row=number)
        yield from _beside_cuts(rows[first])
    for row in rows:
        total, sum_n = row["total"], sum(counts(notes.document.rows("tally")[row.index]).values())
        if total is not None and not is_waiting(notes, row.index) and total != sum_n:
            yield row.problem("tally-total", "total", found=str(total), expected=str(sum_n))


def _beside_cuts(row: NotesRow) -> Iterator[Problem]:
    notes = row.notes
    what = beside(notes, row.index) if counts(notes.document.rows("tally")[row.index]) else Beside.NOTHING
    if what is not Beside.NOTHING:
        at = notes.document.places["cuts"].rows
        rows = list_text(_runs([at[one] for one in _rows_of(notes, "cuts")[row.name("session") or ""]]))
        facts = {"found": row.quoted("session"), "sheet": season_definition().sheet("cuts").title, "rows": rows}
        yield row.problem(CODES[what], "session", **facts)


def _runs(rows: Sequence[int]) -> list[str]:
    """Row numbers as people name them: ``4 to 12``."""
    runs = groupby(enumerate(sorted(rows)), key=lambda one: one[1] - one[0])
    told = ([row for _, row in run] for _, run in runs)
    return [str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in told]
