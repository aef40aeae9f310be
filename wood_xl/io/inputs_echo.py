"""Copies the notes into the results, so that anybody can compute the results again.

Each sheet of the filled workbook that held something is one block: its title, a header row with the units that were
typed, and its rows, each with its row number first. An item sheet is a block of items with value and unit, from the
second column on. A last block lists the units of empty columns and items, so that the whole season document can be
read back. Only titles, and the word over the row numbers, are text in the first column; an empty row ends a block.
Numbers are as they were read.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from openpyxl.utils import get_column_letter

from wood_xl.io.blocks import Block, Cell, Head, LazyRows, heads_row
from wood_xl.notes.tally import flat, sizes_in
from wood_xl.notes.typed import split_header
from wood_xl.schema import layout
from wood_xl.schema.model import Sheet, season_definition

TRACE_SHEET = "heart_trace"
ITEM_WIDTHS = {layout.ITEM_HEADER: 22.0, layout.VALUE_HEADER: 20.0, layout.COLUMN_HEADER: 20.0}

Inputs = Mapping[str, Any]
_NOTHING = Cell("")


def echo_blocks(inputs: Inputs, input_rows: Mapping[str, Sequence[int]]) -> tuple[list[Block], list[Block]]:
    """The blocks of the notes, and separately those of the heart trace, which may be very long.

    input_rows: for each table, the rows of the filled workbook where its rows were.
    """
    currency = inputs.get("season", {}).get("currency", "")
    blocks: list[Block] = []
    trace: list[Block] = []
    for sheet in season_definition().sheets:
        content = inputs.get(sheet.id)
        if not content:
            continue
        units = inputs["units"].get(sheet.id, {})
        if sheet.kind == "items":
            blocks.append(_items(sheet, content, units, currency))
        else:
            rows = _table(sheet, content, units, currency, input_rows.get(sheet.id, range(len(content))))
            (trace if sheet.id == TRACE_SHEET else blocks).append(rows)
    return [*blocks, *_empty_units(inputs, currency)], trace


def cell_of_note(inputs: Inputs, sheet_id: str, index: int, column_id: str) -> tuple[str, str]:
    """The results sheet and cell that hold a note."""
    blocks, trace = echo_blocks(inputs, {})
    sheet = season_definition().sheet(sheet_id)
    is_trace = sheet_id == TRACE_SHEET
    row = 0 if is_trace else 2 + bool(sheets_without_entries(inputs))
    for block in trace if is_trace else blocks:
        row += 0 if is_trace else 1  # the gap above
        if block.title == sheet.title:
            title = layout.TRACE_TITLE if is_trace else layout.INPUTS_TITLE
            return title, _cell_in(block, row, sheet, inputs, index, column_id)
        row += heads_row(block) + len(block.rows)
    raise LookupError(f"{sheet_id}.{column_id}")


def _cell_in(block: Block, row: int, sheet: Sheet, inputs: Inputs, index: int, column_id: str) -> str:
    first = row + heads_row(block) + 1
    if sheet.kind == "items":
        filled = [column.id for column in sheet.columns if column.id in inputs[sheet.id]]
        return f"{get_column_letter(3)}{first + filled.index(column_id)}"
    title = sheet.column(column_id).title
    titles = [split_header(head.text)[0] for head in block.heads]
    if title not in titles:
        raise LookupError(f"{sheet.id}.{column_id}")
    return f"{get_column_letter(titles.index(title) + 1)}{first + index}"


def sheets_without_entries(inputs: Inputs) -> list[str]:
    """Titles of the sheets that were empty."""
    return [sheet.title for sheet in season_definition().sheets if not inputs.get(sheet.id)]


def _table(
    sheet: Sheet, rows: list[dict[str, Any]], units: Mapping[str, str], currency: str, numbers: Sequence[int]
) -> Block:
    if sheet.classes is not None:
        columns = [*sheet.columns[:1], *map(sheet.classes.of, sizes_in(rows)), *sheet.columns[1:]]
        rows = [flat(row) for row in rows]
    else:
        columns = list(sheet.columns)
    filled = set().union(*rows)
    columns = [column for column in columns if column.id in filled]
    heads = [Head(layout.ROW_HEADER, is_number=True)]
    heads += [
        Head(column.header(units.get(column.id, ""), currency), float(column.width or 0), column.is_number)
        for column in columns
    ]
    if len(rows) != len(numbers):
        raise ValueError(f"{len(rows)} rows of notes with {len(numbers)} row numbers")
    ids = [column.id for column in columns]

    def cells(index: int) -> list[Cell]:
        row = rows[index]
        return [Cell(numbers[index]), *(Cell(row[key]) if key in row else _NOTHING for key in ids)]

    return Block(sheet.title, "", tuple(heads), LazyRows(len(rows), cells))


def _items(sheet: Sheet, values: Mapping[str, Any], units: Mapping[str, str], currency: str) -> Block:
    rows = [
        [_NOTHING, Cell(item.title), Cell(values[item.id]), Cell(item.label(units.get(item.id, ""), currency))]
        for item in sheet.columns
        if item.id in values
    ]
    return _list(sheet.title, ("", layout.ITEM_HEADER, layout.VALUE_HEADER, layout.UNIT_HEADER), rows)


def _list(title: str, headers: Sequence[str], rows: Sequence[Sequence[Cell]]) -> Block:
    return Block(title, "", tuple(Head(header, ITEM_WIDTHS.get(header, 0.0)) for header in headers), rows)


def _empty_units(inputs: Inputs, currency: str) -> list[Block]:
    rows = []
    for sheet in season_definition().sheets:
        content = inputs.get(sheet.id) or {}
        filled = set(content) if sheet.kind == "items" else set().union(*content)
        units = inputs["units"].get(sheet.id, {})
        rows += [
            [_NOTHING, Cell(sheet.title), Cell(column.title), Cell(column.label(units[column.id], currency))]
            for column in sheet.columns
            if column.id in units and column.id not in filled
        ]
    headers = ("", layout.SHEET_HEADER, layout.COLUMN_HEADER, layout.UNIT_HEADER)
    return [_list(layout.EMPTY_UNITS_TITLE, headers, rows)] if rows else []
