"""A template with a season's notes typed in, as a person would have typed them."""

from __future__ import annotations

from copy import copy
from datetime import date
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from wood_xl.io import measure
from wood_xl.io.looks import FORMULA_STARTS
from wood_xl.io.page import Paper
from wood_xl.io.template import (
    FIRST_ROW,
    UNIT,
    VALUE,
    column_number,
    item_row,
    template_workbook,
)
from wood_xl.io.template_style import INDENT_WIDTH, is_text, set_text
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.model import Column, Sheet, System, season_definition

MOST_PER_LETTER = 2.0  # digits that a letter can be wide


def filled_workbook(data: dict[str, Any], *, system: System, currency: str, paper: Paper) -> Workbook:
    """The template with a season document's data in it.

    Parameters
    ----------
    data : dict
        As ``schema/season.schema.json`` describes it. Where ``data["units"]`` names another unit than the template,
        the header or the Unit cell is changed.
    system, currency, paper
        Of the template; see ``template_workbook``.

    Raises
    ------
    KeyError
        If the data have a column that the definition has not.
    ValueError
        If a date is not in the form year-month-day.
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
    for column_id, value in items.items():
        _type(page.cell(item_row(sheet, column_id), VALUE), sheet.column(column_id), value)


def _type_rows(page: Any, sheet: Sheet, rows: list[dict[str, Any]]) -> None:
    places = {
        column.id: (number, column, page.column_dimensions[get_column_letter(number)])
        for number, column in enumerate(sheet.columns, start=1)
    }
    for at, row in enumerate(rows, start=FIRST_ROW):
        lines = 1
        for column_id, value in row.items():
            number, column, dimension = places[column_id]
            cell = page.cell(at, number)
            cell._style = dimension._style  # shared: a copy of each would cost more than the rest of the cell
            _type(cell, column, value)
            if is_text(column) and len(value) * MOST_PER_LETTER > dimension.width:
                lines = max(lines, measure.line_count(value, dimension.width - INDENT_WIDTH))
        if lines > 1:  # some programs leave the height of a row as it is until it is typed in
            page.row_dimensions[at].height = measure.row_height(lines)


def _type(cell: Any, column: Column, value: Any) -> None:
    if column.is_date:
        cell.value = date.fromisoformat(value)
    elif isinstance(value, str):
        set_text(cell, value)
        if value.startswith(FORMULA_STARTS):
            cell._style = copy(cell._style)
            cell.quotePrefix = True
    else:
        cell.value = value
