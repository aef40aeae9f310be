"""What of results to be shared rests on body data: it cannot be computed again from the notes in them.

Numbers of it stand among the figures, texts of it in a table of their own. Whoever computes such results again takes
both from the file, and computes and compares all else, and the reading sheets that are made of both.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from wood_xl.ids import Kept
from wood_xl.reasons import sentences
from wood_xl.results.figures import FIGURES, Place, figure_column, figure_places, rows_in
from wood_xl.schema.model import Column, results_definition, season_definition
from wood_xl.schema.words import words

Row = dict[str, Any]

TEXTS = "of_bodies"  # the table of texts
REASON = "reason"  # a part of a figure; its place has the column and this
NUMBERS = ("value", "low", "high")
SAID = ("id", "method", "task", "reason", "basis")  # of a figure: without bodies its row may be of other methods
_WORD = re.compile(r"[^\W\d_]+")


def is_shared(provenance: Mapping[str, Any]) -> bool:
    """Whether results say of themselves that they have lost what is private."""
    return bool(provenance["left_out"] == words(Kept.SHARED))


def is_private(ref: str) -> bool:
    """Whether a sheet or column of the notes is left out of copies to be shared."""
    return season_definition().is_private(ref)


def needs_bodies(column: Column) -> bool:
    """Whether a figure rests on something that is left out of copies to be shared."""
    return any(map(is_private, column.needs))


def rows_about_bodies(results: Row) -> set[tuple[str, int]]:
    """Table and row of each row that is about a figure that rests on bodies."""
    places = zip(figure_places(results[FIGURES]), results[FIGURES], strict=True)
    named = ((table, row, figure["figure"]) for (table, row, _), figure in places if figure["figure"])
    return {(table, row) for table, row, column_id in named if needs_bodies(figure_column(column_id))}


def body_figures(results: Row, about: set[tuple[str, int]]) -> Iterator[Place]:
    """Each figure that needs something that a copy to be shared leaves out; ``about``: rows about such figures."""
    for table, row, column_id in figure_places(results[FIGURES]):
        sheet = results_definition().sheet(table)
        is_there = sheet.figures_only or (sheet.kind == "table" and bool(results[table]))
        if is_there and ((table, row) in about or needs_bodies(sheet.column(column_id))):
            yield table, row, column_id


def texts_of_bodies(results: Row) -> list[Row]:
    """Rows of the table of texts, which are all that are not empty."""
    found = ((place, _holder(results, place)) for place in _text_places(results))
    return [
        {"table": table, "row": row, "column": column, "text": holder[key]}
        for (table, row, column), (holder, key) in found
        if holder[key]
    ]


def with_parts_of_bodies(
    results: Row, figures: Sequence[Mapping[str, Any]], texts: Sequence[Mapping[str, Any]]
) -> tuple[Row, int]:
    """Results computed without bodies, with what rests on bodies as a file has it; and how much that is.

    What no results can hold there is not taken, so that it differs from what is written again.
    """
    known, parts_n = _words_of(results) | _words_of(sentences()), 0
    given: Row = copy.deepcopy(results)
    told = {(str(row["table"]), row["row"], str(row["column"])): str(row["text"]) for row in texts}
    for place in _text_places(results):
        holder, key = _holder(given, place)
        text = told.get(place, "")
        if _words_of(text) <= known:
            holder[key] = text
            parts_n += bool(text)
    rests = set(_figures_of_bodies(results)) if len(figures) == len(results[FIGURES]) else set()
    for at, (place, figure) in enumerate(zip(figure_places(results[FIGURES]), figures, strict=False)):
        numbers = {key: None if figure[key] == "" else figure[key] for key in NUMBERS}
        if place not in rests or any(isinstance(number, str) for number in numbers.values()):
            continue
        table, row, column = place
        if not results_definition().sheet(table).figures_only:
            rows_in(given, table)[row][column] |= numbers
        said = {key: str(figure[key]) for key in SAID if _words_of(str(figure[key])) <= known}
        given[FIGURES][at] |= numbers | said
        parts_n += sum(number is not None for number in numbers.values())
    given[TEXTS] = texts_of_bodies(given)
    return given, parts_n


def _text_places(results: Row) -> Iterator[Place]:
    """Each text that rests on bodies: of a verdict, of a row about effort, and why a figure is not given."""
    about = rows_about_bodies(results)
    for table, row, column in _cells(results, "string"):
        sheet = results_definition().sheet(table)
        is_name = column.names_figure or column.ids or (sheet.by_effort and column.id in sheet.key)
        if not is_name and (sheet.by_effort or (table, row) in about):
            yield table, row, column.id
    for table, row, column_id in _figures_of_bodies(results):
        if not results_definition().sheet(table).figures_only:
            yield table, row, f"{column_id}.{REASON}"


def _figures_of_bodies(results: Row) -> Iterator[Place]:
    """Figures that need bodies, and those of tables that rest on effort as a whole."""
    yield from body_figures(results, rows_about_bodies(results))
    for table, row, column in _cells(results, "figure"):
        if results_definition().sheet(table).by_effort:
            yield table, row, column.id


def _cells(results: Row, kind: str) -> Iterator[tuple[str, int, Column]]:
    for sheet in results_definition().sheets:
        if sheet.kind == "table":
            columns = [column for column in sheet.columns if column.type == kind]
            for row, _ in enumerate(results.get(sheet.id, ())):
                yield from ((sheet.id, row, column) for column in columns)


def _holder(results: Row, place: Place) -> tuple[Row, str]:
    table, row, column = place
    column_id, _, part = column.partition(".")
    cells = results[table][row]
    return (cells[column_id], part) if part else (cells, column_id)


def _words_of(what: Any) -> set[str]:
    if isinstance(what, str):
        return set(_WORD.findall(what.casefold()))
    parts = (*what, *what.values()) if isinstance(what, Mapping) else what if isinstance(what, list) else ()
    return set().union(*map(_words_of, parts))
