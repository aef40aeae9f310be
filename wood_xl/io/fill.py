"""A template with a season's notes typed in, as a person would have typed them."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from wood_xl.io import measure
from wood_xl.io.looks import dress, set_text
from wood_xl.io.page import Paper
from wood_xl.io.template import (
    FIRST_ROW,
    UNIT,
    VALUE,
    column_number,
    item_row,
    template_workbook,
)
from wood_xl.io.template_style import INDENT_WIDTH, entry_look, is_text
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.model import Column, Sheet, System, season_definition

MOST_PER_LETTER = 2.0  # digits that a letter can be wide


def filled_workbook(data: dict[str, Any], *, system: System, currency: str, paper: Paper) -> Workbook:
    """The template with a season document's data in it.

    Where the data name another unit than the template, its header or Unit cell is changed.
    """
    workbook = template_workbook(system, currency, paper)
    for sheet in season_definition().sheets:
        page, units = workbook[sheet.title], data["units"].get(sheet.id, {})
        if sheet.kind == "items":
            _type_items(page, sheet, data.get(sheet.id, {}), units, currency)
        else:
            _name_units(page, sheet, units, currency)
            _type_rows(page, sheet, data.get(sheet.id, []))
    return workbook


def _name_units(page: Any, sheet: Sheet, units: dict[str, str], currency: str) -> None:
    for column_id, unit in units.items():
        header = sheet.column(column_id).header(unit, currency)
        set_text(page.cell(HEADER_ROW, column_number(sheet, column_id)), header)


def _type_items(page: Any, sheet: Sheet, items: dict[str, Any], units: dict[str, str], currency: str) -> None:
    for column_id, unit in units.items():
        set_text(page.cell(item_row(sheet, column_id), UNIT), sheet.column(column_id).label(unit, currency))
    for column in sheet.asked:
        if column.id in items:
            _type(page.cell(item_row(sheet, column.id), VALUE), column, items[column.id])


def _type_rows(page: Any, sheet: Sheet, rows: list[dict[str, Any]]) -> None:
    places = {
        column.id: (number, column, page.column_dimensions[get_column_letter(number)].width, entry_look(column))
        for number, column in enumerate(sheet.asked, start=1)
    }
    for at, row in enumerate(rows, start=FIRST_ROW):
        lines = 1
        for column_id, value in row.items():
            number, column, width, look = places[column_id]
            cell = page.cell(at, number)
            dress(cell, look)
            _type(cell, column, value)
            if is_text(column) and len(value) * MOST_PER_LETTER > width:
                lines = max(lines, measure.line_count(value, width - INDENT_WIDTH))
        if lines > 1:  # some programs leave the height of a row as it is until it is typed in
            page.row_dimensions[at].height = measure.row_height(lines)


def _type(cell: Any, column: Column, value: Any) -> None:
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
