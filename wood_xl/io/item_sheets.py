"""Sheets that are lists of items, each with its value, its unit and its help."""

from __future__ import annotations

from typing import Any

from openpyxl.utils import get_column_letter

from wood_xl.io import entry_words, looks, measure
from wood_xl.io.choices_sheet import Choices, list_range, unit_labels
from wood_xl.io.entry_rules import entry_rule, unit_rule
from wood_xl.io.looks import FRAME_HEADER, ITEM_CELL, ITEM_HELP, NEEDED_ITEM, dress
from wood_xl.io.page import Paper, set_up_page
from wood_xl.io.template_style import TEXT_INDENT, entry_look, text_cell, write_over
from wood_xl.schema.layout import HEADER_ROW, HELP_HEADER, ITEM_HEADER, START_ID, UNIT_HEADER, VALUE_HEADER
from wood_xl.schema.model import Column, Definition, System

ITEM_COLUMNS = {ITEM_HEADER: 36.0, VALUE_HEADER: 24.0, UNIT_HEADER: 15.0, HELP_HEADER: 54.0}
ITEM, VALUE, UNIT, HELP = range(1, len(ITEM_COLUMNS) + 1)
CURRENCY = "season.currency"
START_HEADER_ROW = HEADER_ROW + 1  # a section's title stands above it
TRIAL_ROWS = 2  # on Start, between the items of the season and those of a trial: a title and a line of help
LEAST_POINTS = 16.0  # of a row that is filled in, by hand too


def item_places(definition: Definition) -> dict[str, tuple[str, int]]:
    """For each item that a template has, by ``sheet.column``, the title of its sheet and its row there."""
    places: dict[str, tuple[str, int]] = {}
    for sheet in definition.sheets:
        if sheet.kind != "items":
            continue
        row = START_HEADER_ROW if sheet.id == START_ID else HEADER_ROW
        for column in definition.items_on(sheet.id):
            row += (
                1
                + bool(column.heading)
                + (TRIAL_ROWS if column.heading == "" and _begins_trial(column, places) else 0)
            )
            places[column.ref] = (sheet.title, row)
    return places


def _begins_trial(column: Column, places: dict[str, tuple[str, int]]) -> bool:
    return column.sheet == START_ID and not any(ref.startswith(f"{START_ID}.") for ref in places)


def write_item_sheet(
    page: Any, sheet_id: str, definition: Definition, system: System, currency: str, paper: Paper, choices: Choices
) -> None:
    """A sheet of items with its title and help, on one page."""
    sheet = definition.sheet(sheet_id)
    write_over(page, 1, sheet.title, looks.SHEET_TITLE)
    write_over(page, 2, sheet.help, looks.HELP)
    last = write_items(page, sheet_id, definition, system, currency, choices)
    page.freeze_panes = f"A{HEADER_ROW + 1}"
    page.print_area = f"A1:{get_column_letter(HELP)}{last}"
    set_up_page(page, paper, width=sum(ITEM_COLUMNS.values()), one_page=True, upright=True)


def write_items(
    page: Any, sheet_id: str, definition: Definition, system: System, currency: str, choices: Choices
) -> int:
    """Header and items of a sheet; returns the last row."""
    header_row = START_HEADER_ROW if sheet_id == START_ID else HEADER_ROW
    for number, (header, width) in enumerate(ITEM_COLUMNS.items(), start=1):
        text_cell(page, header_row, number, header, FRAME_HEADER, boxed=True)
        page.column_dimensions[get_column_letter(number)].width = width
    places = item_places(definition)
    row = header_row
    for column in definition.items_on(sheet_id):
        row = places[column.ref][1]
        if column.heading:
            text_cell(page, row - 1, ITEM, column.heading, looks.varied(looks.SECTION, wraps=False))
            page.row_dimensions[row - 1].height = measure.row_height(1, looks.SECTION.size) + 4
        _write_item(page, row, column, system, currency, choices)
    return row


def _write_item(page: Any, row: int, column: Column, system: System, currency: str, choices: Choices) -> None:
    unit = column.unit_in(system)
    text_cell(page, row, ITEM, column.title, NEEDED_ITEM if column.required else ITEM_CELL, boxed=True)
    text_cell(page, row, UNIT, column.label(unit, currency), ITEM_CELL, boxed=True, indent=TEXT_INDENT)
    help_text = _item_help(column, unit, currency)
    text_cell(page, row, HELP, help_text, ITEM_HELP, boxed=True)
    value = text_cell(page, row, VALUE, currency if column.ref == CURRENCY else "", boxed=True)
    dress(value, entry_look(column, ITEM_CELL, boxed=True))
    rule = entry_rule(column, unit, currency, source=list_range(column, choices, system), unit_beside=True)
    rule.add(f"{get_column_letter(VALUE)}{row}")
    page.add_data_validation(rule)
    if len(column.units) > 1:
        rule = unit_rule(choices.range_of(unit_labels(column, currency)))
        rule.add(f"{get_column_letter(UNIT)}{row}")
        page.add_data_validation(rule)
    lines = measure.line_count(help_text, ITEM_COLUMNS[HELP_HEADER], looks.HELP.size)
    page.row_dimensions[row].height = max(LEAST_POINTS, measure.row_height(max(lines, 1), looks.HELP.size + 1))


def _item_help(column: Column, unit: str, currency: str) -> str:
    parts = (
        column.help,
        entry_words.usual_text(column, unit, currency)
        or ("" if column.is_money else entry_words.range_text(column, unit, currency)),
        entry_words.example_text(column, unit),
        entry_words.default_text(column),
    )
    return " ".join(part if part.endswith(".") else f"{part}." for part in parts if part)
