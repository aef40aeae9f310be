"""The sheet Tally: cuts counted by size class; each class is a header of a number and a unit of length."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise
from typing import Any

from wood_xl.notes.document import SeasonDocument
from wood_xl.notes.problem import Problem, number_text, runs
from wood_xl.notes.relations import Notes, NotesRow
from wood_xl.notes.typed import number_and_word, split_header, typed_unit
from wood_xl.records import Cut
from wood_xl.schema.model import Classes, Column, Sheet, season_definition
from wood_xl.units import convert

LONGEST = 40  # letters; no size class comes near
# codes where Cuts has the same number in every class, and where it has only classes without a count on Tally
SAME, MORE = "tally-same-on-cuts", "tally-more-on-cuts"


def size_of(header: str, classes: Classes) -> str | None:
    """Size class of a header as the document writes it; None if the header is none.

    >>> size_of('7\u00bd"', season_definition().sheet("tally").classes), size_of("Age", ...)
    ('7.5 in', None)
    """
    text = header.strip()
    if len(text) > LONGEST or not text[:1].isnumeric():
        return None
    number, bracketed = split_header(text)
    size = number_and_word(text if bracketed is None else f"{number} {bracketed}")
    unit = typed_unit(size.word, classes.units) if size else None
    return f"{number_text(size.value)} {unit}" if size and unit and size.value > 0 else None


def size_m(size: str) -> float:
    """Diameter of a size class.

    >>> size_m("10 in")
    0.254
    """
    number, _, unit = size.rpartition(" ")
    return convert(float(number), unit, "m")


def borders_m(sizes: Iterable[str]) -> dict[str, tuple[float, float]]:
    """Lower and upper border of each size class: halfway to its neighbors.

    The outermost borders are half a step of the template's classes away.
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
    """A row with each of its size classes as a column."""
    if "classes" not in row:
        return dict(row)
    columns = {key: value for key, value in row.items() if key != "classes"}
    return columns | {size["class"]: size["cuts"] for size in row["classes"]}


def sizes_in(rows: Iterable[Mapping[str, Any]]) -> list[str]:
    """Size classes of a tally's rows, the smallest first."""
    return sorted({size["class"] for row in rows for size in row.get("classes", ())}, key=size_m)


def columns_of(sheet: Sheet, document: SeasonDocument) -> tuple[Column, ...]:
    """Columns of a sheet, with those of its size classes."""
    if sheet.classes is None:
        return sheet.columns
    places = document.places.get(sheet.id)
    sizes = [*sizes_in(document.rows(sheet.id)), *(places.cells if places else ())]
    known = {column.id for column in sheet.columns}
    return *sheet.columns, *(sheet.classes.of(size) for size in dict.fromkeys(sizes) if size not in known)


def counts(row: Mapping[str, Any]) -> dict[str, int]:
    """Number of cuts of each size class of a row that has any."""
    return {size["class"]: size["cuts"] for size in row.get("classes", ()) if size["cuts"]}


def is_waiting(row: NotesRow) -> bool:
    """Whether a size class of a row waits for a mend."""
    ids = [column.id for column in season_definition().sheet("tally").columns]
    broken = (key for sheet_id, at, key in row.notes.broken if sheet_id == "tally" and at == row.index)
    unread = (key for sheet_id, key in row.notes.unread if sheet_id == "tally")
    return any(key not in ids for key in (*broken, *unread))


def tallied_cuts(notes: Notes) -> dict[str, tuple[Cut, ...]]:
    """Cuts of the tally by session name: one for each size class, with its count and its width.

    A session whose cuts stand one by one on Cuts as well has none here.
    """
    borders = borders_m(sizes_in(notes.document.rows("tally")))
    return {
        name: tuple(
            Cut(size_m(size), cuts_n=cuts_n, class_width_m=borders[size][1] - borders[size][0])
            for size, cuts_n in counts(row.typed).items()
        )
        for name, (row, *_) in notes.by_name("tally").items()
        if counts(row.typed) and overlap_code(row) != SAME
    }


def overlap_code(row: NotesRow) -> str:
    """Code of the problem where Cuts has cuts of a row's session too; empty where it has none."""
    rows = row.notes.by_name("cuts").get(row.name("session") or "", ())
    if not rows:
        return ""
    tallied = counts(row.typed)
    borders = borders_m(sizes_in(row.notes.document.rows("tally")))
    cut = Counter[str | None]()
    for of_cuts in rows:
        diameter = _diameter_m(of_cuts)
        if diameter is None:
            return MORE  # the session waits for that cell anyway
        cut[_class_at(diameter, borders)] += of_cuts["cuts"] or 1
    if cut == Counter[str | None](tallied):
        return SAME
    return MORE if cut.keys().isdisjoint(tallied) else "tally-and-cuts"


def _diameter_m(cut: NotesRow) -> float | None:
    first, second = (cut.number(column, "m") for column in ("diameter", "second_diameter"))
    if first is None:
        return None
    return first if second is None else math.sqrt(first * second)


def _class_at(diameter_m: float, borders: Mapping[str, tuple[float, float]]) -> str | None:
    held = [size for size, (low, high) in borders.items() if low - 1e-9 <= diameter_m <= high + 1e-9]
    if len(held) < 2:
        return held[0] if held else None
    step = size_m(held[1]) - size_m(held[0])
    return held[0] if round(size_m(held[0]) / step) % 2 == 0 else held[1]


def tally_problems(notes: Notes) -> Iterator[Problem]:
    """Several rows for one session, totals that differ, and cuts on both Tally and Cuts."""
    for first, *others in notes.by_name("tally").values():
        for row in others:
            number = str(first.place("session").row)
            yield row.problem("tally-second-row", "session", found=row.quoted("session"), row=number)
        if counts(first.typed) and (code := overlap_code(first)):
            cuts, at = notes.by_name("cuts")[first.name("session") or ""], notes.document.places["cuts"].rows
            of_cuts = runs(at[row.index] for row in cuts)
            rows = ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 1 else str(run[0]) for run in of_cuts)
            facts = {"found": first.quoted("session"), "sheet": season_definition().sheet("cuts").title}
            yield first.problem(code, "session", rows=rows, **facts)
    for row in notes.rows("tally"):
        total, sum_n = row["total"], sum(counts(row.typed).values())
        if total is not None and not is_waiting(row) and total != sum_n:
            yield row.problem("tally-total", "total", found=str(total), expected=str(sum_n))
