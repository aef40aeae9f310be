"""The parts of shared results that rest on body data: they cannot be computed again from the notes in the file.

Their numbers are among the figures, their texts in a table of their own. When shared results are verified, both are
taken from the file. All else is computed and compared, and so are the reading sheets made from both.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from wood_xl.ids import Kept
from wood_xl.reasons import sentences
from wood_xl.results.figures import FIGURES, Place, figure_column, placed_figures, rows_in
from wood_xl.schema.model import Column, Sheet, results_definition, season_definition
from wood_xl.schema.words import words

Row = dict[str, Any]

TEXTS = "of_bodies"  # the table of texts
REASON = "reason"  # the part of a figure that is a text
NUMBERS = ("value", "low", "high")
FIGURE_TEXTS = ("id", "method", "task", "reason", "basis")  # without bodies a figure may be of other methods
_WORD = re.compile(r"[^\W\d_]+")


def is_shared(provenance: Mapping[str, Any]) -> bool:
    """Whether results say that private parts were left out of them."""
    return bool(provenance["left_out"] == words(Kept.SHARED))


def is_private(ref: str) -> bool:
    """Whether a sheet or column of the notes is left out of shared copies."""
    return season_definition().is_private(ref)


def needs_bodies(column: Column) -> bool:
    """Whether a figure rests on notes that are left out of shared copies."""
    return any(map(is_private, column.needs))


def rows_about_bodies(results: Row) -> set[tuple[str, int]]:
    """Table and row of each row about a figure that rests on bodies."""
    named = ((place, figure["figure"]) for place, figure in placed_figures(results) if figure["figure"])
    return {place[:2] for place, column_id in named if needs_bodies(figure_column(column_id))}


def body_figures(results: Row, about: set[tuple[str, int]]) -> Iterator[Place]:
    """Each figure that needs notes which shared copies leave out.

    about: rows about such figures.
    """
    for (table, row, column_id), _ in placed_figures(results):
        sheet = results_definition().sheet(table)
        is_there = sheet.figures_only or (sheet.kind == "table" and bool(results[table]))
        if is_there and ((table, row) in about or needs_bodies(sheet.column(column_id))):
            yield table, row, column_id


def texts_of_bodies(results: Row) -> list[Row]:
    """Rows of the table of texts, one for each text that is not empty."""
    holders = ((place, _holder(results, place)) for place in _text_places(results))
    return [
        {"table": table, "row": row, "column": column, "text": holder[key]}
        for (table, row, column), (holder, key) in holders
        if holder[key]
    ]


def with_parts_of_bodies(
    results: Row, figures: Sequence[Mapping[str, Any]], texts: Sequence[Mapping[str, Any]]
) -> tuple[Row, int]:
    """Results computed without bodies, completed by the file's numbers and texts on bodies; and how many these are.

    A text with words that no results can hold is not taken, so that the comparison finds it.
    """
    known_words, parts_n = _words_of(results) | _words_of(sentences()), 0
    completed: Row = copy.deepcopy(results)
    in_file = {(str(row["table"]), row["row"], str(row["column"])): str(row["text"]) for row in texts}
    for place in _text_places(results):
        holder, key = _holder(completed, place)
        text = in_file.get(place, "")
        if _words_of(text) <= known_words:
            holder[key] = text
            parts_n += bool(text)
    rests = set(_figures_of_bodies(results)) if len(figures) == len(results[FIGURES]) else set()
    for at, ((place, _), figure) in enumerate(zip(placed_figures(results), figures, strict=False)):
        numbers = {key: None if figure[key] == "" else figure[key] for key in NUMBERS}
        if place not in rests or any(isinstance(number, str) for number in numbers.values()):
            continue
        table, row, column = place
        if not results_definition().sheet(table).figures_only:
            rows_in(completed, table)[row][column] |= numbers
        own_texts = {key: str(figure[key]) for key in FIGURE_TEXTS if _words_of(str(figure[key])) <= known_words}
        completed[FIGURES][at] |= numbers | own_texts
        parts_n += sum(number is not None for number in numbers.values())
    completed[TEXTS] = texts_of_bodies(completed)
    return completed, parts_n


def _text_places(results: Row) -> Iterator[Place]:
    """Each text that rests on bodies: of a verdict or of a row about effort, or why a figure is not given."""
    about = rows_about_bodies(results)
    for sheet, column, row in table_cells(results):
        is_name = column.names_figure or column.ids or (sheet.by_effort and column.id in sheet.key)
        if column.type == "string" and not is_name and (sheet.by_effort or (sheet.id, row) in about):
            yield sheet.id, row, column.id
    for table, row, column_id in _figures_of_bodies(results):
        if not results_definition().sheet(table).figures_only:
            yield table, row, f"{column_id}.{REASON}"


def _figures_of_bodies(results: Row) -> Iterator[Place]:
    """Figures that need bodies, and all figures of tables that rest on effort."""
    yield from body_figures(results, rows_about_bodies(results))
    for sheet, column, row in table_cells(results):
        if column.type == "figure" and sheet.by_effort:
            yield sheet.id, row, column.id


def table_cells(results: Row) -> Iterator[tuple[Sheet, Column, int]]:
    """Table, column and row of each cell of the tables, row by row."""
    for sheet in results_definition().sheets:
        if sheet.kind == "table":
            for row, _ in enumerate(results.get(sheet.id, ())):
                yield from ((sheet, column, row) for column in sheet.columns)


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
