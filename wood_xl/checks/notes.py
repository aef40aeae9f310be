"""Puts the cells of a workbook together as the season document, with a problem for every cell that gives no value."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from wood_xl.checks.cell import Decoded, decode
from wood_xl.checks.header import FoundColumn, FoundSheet
from wood_xl.checks.problem import Place, Problem, column_letters, problem
from wood_xl.document import SeasonDocument, SheetPlaces, empty_data
from wood_xl.raw import RawCell, RawSheet
from wood_xl.schema.model import Definition


@dataclass
class Gathered:
    """A season document with what was found while it was put together.

    Attributes
    ----------
    unreadable : set
        (sheet id, row index or None for an item, column id) of cells that are filled and gave no value.
    unread : dict
        (sheet id, column id) of whole columns and items that were not read.
    """

    document: SeasonDocument
    problems: list[Problem] = field(default_factory=list)
    unreadable: set[tuple[str, int | None, str]] = field(default_factory=set)
    unread: dict[tuple[str, str], Problem] = field(default_factory=dict)


def gather(sheets: list[FoundSheet], definition: Definition) -> Gathered:
    """The season document of the sheets that were found."""
    gathered = Gathered(SeasonDocument(empty_data(definition), {}))
    for found in sheets:
        if found.sheet.kind == "table":
            _gather_table(found, gathered)
        else:
            _gather_items(found, gathered)
        for column_id, why in found.unread.items():
            gathered.unread[found.sheet.id, column_id] = why
        filled = _filled_columns(found, gathered.document)  # units of empty columns would make equal notes differ
        units = {c.column.id: c.unit for c in found.columns if c.unit and c.column.id in filled}
        if units:
            gathered.document.data["units"][found.sheet.id] = units
    gathered.problems += _currency_problems(sheets, gathered.document)
    return gathered


def _gather_table(found: FoundSheet, gathered: Gathered) -> None:
    sheet_id = found.sheet.id
    columns = {c.number: c for c in found.columns if c.column.id not in found.unread}
    known = {c.number for c in found.columns}
    by_row: dict[int, dict[int, RawCell]] = {}
    for (row, number), cell in found.raw.cells.items():
        if row > found.header_row and number in known:
            by_row.setdefault(row, {})[number] = cell
    rows: list[dict[str, Any]] = []
    numbers: list[int] = []
    notes: dict[int, list[tuple[int, Decoded]]] = {}
    for row in sorted(by_row):
        values: dict[str, Any] = {}
        is_filled = False
        for number, cell in sorted(by_row[row].items()):
            column = columns.get(number)
            if column is None:
                is_filled = True
                continue
            decoded = decode(cell, column.column, column.unit or "")
            if decoded.value is not None:
                values[column.column.id] = decoded.value
            elif decoded.code:
                gathered.unreadable.add((sheet_id, len(rows), column.column.id))
            if decoded.code == "cell-clock-read":
                notes.setdefault(number, []).append((row, decoded))
            elif decoded.code:
                place = Place(found.raw.title, row, number, column.header)
                gathered.problems.append(problem(decoded.code, place, **(decoded.facts or {})))
            is_filled = is_filled or decoded.value is not None or bool(decoded.code)
        if is_filled:
            values = {c.column.id: values[c.column.id] for c in columns.values() if c.column.id in values}
            rows.append(values)
            numbers.append(row)
    gathered.document.data[sheet_id] = rows
    gathered.document.places[sheet_id] = SheetPlaces(
        title=found.raw.title,
        columns={c.column.id: c.number for c in found.columns},
        rows=tuple(numbers),
        headers={c.column.id: c.header for c in found.columns},
    )
    gathered.problems += _clock_notes(found, columns, notes)
    gathered.problems += _merged(found, gathered, numbers)
    gathered.problems += _hidden(found, numbers)
    if found.raw.rows_beyond_limit:
        facts = {"found": str(found.raw.rows_beyond_limit), "limit": str(found.sheet.row_limit)}
        gathered.problems.append(problem("sheet-too-many-rows", Place(found.raw.title), **facts))


def _gather_items(found: FoundSheet, gathered: Gathered) -> None:
    sheet_id = found.sheet.id
    values: dict[str, Any] = {}
    for item in found.columns:
        cell = found.raw.cells.get((item.row, item.number))
        if cell is None or item.column.id in found.unread:
            continue
        decoded = decode(cell, item.column, item.unit or "")
        if decoded.value is not None:
            values[item.column.id] = decoded.value
        if decoded.code:
            if decoded.value is None:
                gathered.unreadable.add((sheet_id, None, item.column.id))
            place = Place(found.raw.title, item.row, item.number, item.header)
            gathered.problems.append(problem(decoded.code, place, **(decoded.facts or {})))
    order = [column.id for column in found.sheet.columns]
    gathered.document.data[sheet_id] = {key: values[key] for key in order if key in values}
    gathered.document.places[sheet_id] = SheetPlaces(
        title=found.raw.title,
        columns={item.column.id: item.number for item in found.columns},
        item_rows={item.column.id: item.row for item in found.columns},
        headers={item.column.id: item.header for item in found.columns},
    )
    gathered.problems += _hidden(found, [item.row for item in found.columns if item.column.id in values])


def _clock_notes(
    found: FoundSheet, columns: dict[int, FoundColumn], notes: dict[int, list[tuple[int, Decoded]]]
) -> Iterator[Problem]:
    """One note for a whole column of clock times, with the first as the example."""
    for number, entries in notes.items():
        row, decoded = entries[0]
        place = Place(found.raw.title, row, number, columns[number].header)
        yield replace(problem("cell-clock-read", place, **(decoded.facts or {})), count=len(entries))


def _merged(found: FoundSheet, gathered: Gathered, numbers: list[int]) -> Iterator[Problem]:
    index_of = {row: index for index, row in enumerate(numbers)}
    for first_row, first_column, last_row, last_column in found.raw.merged:
        covered = [c for c in found.columns if first_column <= c.number <= last_column]
        rows = [row for row in range(max(first_row, found.header_row + 1), last_row + 1) if row in index_of]
        if not covered or not rows or (first_row == last_row and len(covered) == 1):
            continue
        for row in rows:
            for column in covered:
                gathered.unreadable.add((found.sheet.id, index_of[row], column.column.id))
        name = f"{column_letters(first_column)}{first_row}:{column_letters(last_column)}{last_row}"
        place = Place(found.raw.title, first_row, first_column, covered[0].header)
        yield problem("cell-merged", place, found=name)


def _hidden(found: FoundSheet, filled_rows: list[int]) -> Iterator[Problem]:
    raw: RawSheet = found.raw
    if not filled_rows:
        return
    if raw.hidden:
        yield problem("sheet-hidden", Place(raw.title))
    hidden_rows = [row for row in filled_rows if row in raw.hidden_rows]
    if hidden_rows:
        yield problem("sheet-hidden-rows", Place(raw.title, hidden_rows[0]), found=str(len(hidden_rows)))
    rows = set(filled_rows)
    for column in found.columns:
        if column.number in raw.hidden_columns and any((row, column.number) in raw.cells for row in rows):
            yield problem("sheet-hidden-column", Place(raw.title, found.header_row, column.number, column.header))


def _currency_problems(sheets: list[FoundSheet], document: SeasonDocument) -> Iterator[Problem]:
    currency = document.items("season").get("currency")
    if not currency:
        return
    for found in sheets:
        filled = _filled_columns(found, document)
        for column in found.columns:
            if column.currency and column.currency != currency and column.column.id in filled:
                place = column.unit_place or Place(found.raw.title, found.header_row, column.number, column.header)
                yield problem("header-other-currency", place, found=column.currency, expected=currency)


def _filled_columns(found: FoundSheet, document: SeasonDocument) -> set[str]:
    if found.sheet.kind == "items":
        return set(document.items(found.sheet.id))
    return set().union(*document.rows(found.sheet.id))
