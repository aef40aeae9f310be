"""A template with a season's notes typed in, as a person would have typed them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from wood_xl.io import measure
from wood_xl.io.item_sheets import ITEM_COLUMNS, UNIT, VALUE, item_places
from wood_xl.io.looks import dress, set_text
from wood_xl.io.page import Paper
from wood_xl.io.template import (
    FIRST_ROW,
    print_down_to,
    template_workbook,
    unfold,
)
from wood_xl.io.template_style import INDENT_WIDTH, entry_look, is_text
from wood_xl.notes.tally import flat, size_m, sizes_in
from wood_xl.notes.version_2 import version_2
from wood_xl.schema.layout import HEADER_ROW, VALUE_HEADER
from wood_xl.schema.model import Column, Sheet, System, season_definition

MOST_PER_LETTER = 2.0  # digits that a letter can be wide


def filled_workbook(
    data: dict[str, Any], *, system: System, currency: str, paper: Paper, unfolded: bool = False
) -> Workbook:
    """The template with a season document's data in it, of whatever version.

    Where the data name another unit than the template, its header or Unit cell is changed. Columns that hold
    something are not folded.
    """
    workbook = template_workbook(system, currency, paper, unfolded=unfolded)
    now, definition = version_2(data), season_definition()
    places = item_places(definition)
    for sheet in definition.sheets:
        content, units = now.get(sheet.id), now["units"].get(sheet.id, {})
        if sheet.kind == "items":
            for column in sheet.asked:
                title, row = places[column.ref]
                unit = column.label(units[column.id], currency) if column.id in units else None
                _type_item(workbook[title], row, column, (content or {}).get(column.id), unit)
        else:
            rows = [flat(row) for row in content or []]
            columns = columns_for(sheet, content or [], system)
            _name_columns(workbook[sheet.title], columns, units, currency)
            _type_rows(workbook[sheet.title], columns, rows)
    return workbook


def _type_item(page: Any, row: int, column: Column, value: Any, unit: str | None) -> None:
    if unit is not None:
        set_text(page.cell(row, UNIT), unit)
    if value is not None:
        type_into(page.cell(row, VALUE), column, value)
    if isinstance(value, str):
        lines = measure.line_count(value, ITEM_COLUMNS[VALUE_HEADER])
        page.row_dimensions[row].height = max(page.row_dimensions[row].height, measure.row_height(lines))


def _name_columns(page: Any, columns: Sequence[Column], units: dict[str, str], currency: str) -> None:
    """Headers with the sizes and the units of the data."""
    for number, column in enumerate(columns, start=1):
        if column.id in units or not column.units:  # more sizes than the template's move what is after them
            set_text(page.cell(HEADER_ROW, number), column.header(units.get(column.id, ""), currency))


def columns_for(sheet: Sheet, rows: list[dict[str, Any]], system: System) -> tuple[Column, ...]:
    """Columns of the template, with sizes of a tally's own where the template has not all of them."""
    columns, sizes = sheet.columns_in(system), sizes_in(rows)
    if sheet.classes is None or {column.id for column in columns}.issuperset(sizes):
        return columns
    usual = sheet.classes.in_template(system)
    own = [*sizes, *(size for size in usual if size not in sizes)][: max(len(sizes), len(usual))]
    return *sheet.columns[:1], *map(sheet.classes.of, sorted(own, key=size_m)), *sheet.columns[1:]


def _type_rows(page: Any, columns: Sequence[Column], rows: list[dict[str, Any]]) -> None:
    places = {
        column.id: (number, column, page.column_dimensions[get_column_letter(number)].width, entry_look(column))
        for number, column in enumerate(columns, start=1)
    }
    unfold(page, [number for key, (number, *_) in places.items() if any(key in row for row in rows)])
    print_down_to(page, HEADER_ROW + len(rows))
    for at, row in enumerate(rows, start=FIRST_ROW):
        lines = 1
        for column_id, value in row.items():
            number, column, width, look = places[column_id]
            cell = page.cell(at, number)
            dress(cell, look)
            type_into(cell, column, value)
            if is_text(column) and len(value) * MOST_PER_LETTER > width:
                lines = max(lines, measure.line_count(value, width - INDENT_WIDTH))
        if lines > 1:  # some programs leave the height of a row as it is until it is typed in
            page.row_dimensions[at].height = measure.row_height(lines)


def type_into(cell: Any, column: Column, value: Any) -> None:
    """Put a value of a season document into its cell."""
    if column.is_date:
        cell.value = date.fromisoformat(value)
    elif column.is_clock:
        day, _, clock = value.rpartition(" ")
        hours, minutes, seconds = (*map(int, clock.split(":")), 0)[:3]
        of_day = time(hours, minutes, seconds)
        cell.value = datetime.combine(date.fromisoformat(day), of_day) if day else of_day
    elif isinstance(value, str):
        set_text(cell, value)
    else:
        cell.value = value
