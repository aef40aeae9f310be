"""The blank workbook for a season's notes, made from the definition: every title, unit, list, limit and help text.

Columns are styled, not blank cells, so that the file stays small and no empty row looks filled; rules reach down to
the last row that is read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Border
from openpyxl.utils import get_column_letter, quote_sheetname

from wood_xl.io import entry_words, looks, measure
from wood_xl.io.choices_sheet import Choices, unit_labels, words_of
from wood_xl.io.entry_rules import entry_rule, unit_rule
from wood_xl.io.limits import MOST_ROWS
from wood_xl.io.looks import FRAME_HEADER, ITEM_CELL, ITEM_HELP, NEEDED_ITEM, dress, dress_column
from wood_xl.io.pack import packed
from wood_xl.io.page import WIDEST_UPRIGHT, Paper, set_up_page
from wood_xl.io.start_sheet import write_cautions, write_start
from wood_xl.io.tally import write_tally
from wood_xl.io.template_style import (
    TEXT_INDENT,
    column_width,
    comment,
    entry_look,
    header_cell,
    text_cell,
    write_over,
)
from wood_xl.schema.layout import (
    CAUTIONS_TITLE,
    CHOICES_TITLE,
    HEADER_ROW,
    HELP_HEADER,
    ITEM_HEADER,
    START_TITLE,
    TALLY_TITLE,
    UNIT_HEADER,
    VALUE_HEADER,
)
from wood_xl.schema.model import Column, Definition, Sheet, System, season_definition

FIRST_ROW = HEADER_ROW + 1
ITEM_COLUMNS = {ITEM_HEADER: 36.0, VALUE_HEADER: 38.0, UNIT_HEADER: 16.0, HELP_HEADER: 80.0}
ITEM, VALUE, UNIT, HELP = range(1, len(ITEM_COLUMNS) + 1)
CURRENCY = "season.currency"


@dataclass(frozen=True)
class _Plan:
    """What all sheets of one template share."""

    definition: Definition
    system: System
    currency: str
    paper: Paper
    choices: Choices


def template_workbook(system: System, currency: str, paper: Paper) -> Workbook:
    """The blank workbook, with the units of a system in its headers and a currency by its three letters."""
    definition = season_definition()
    plan = _Plan(definition, system, currency, paper, Choices(definition, currency))
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    write_start(workbook, workbook.create_sheet(START_TITLE), definition, paper)
    for sheet in definition.sheets:
        page = workbook.create_sheet(sheet.title)
        if sheet.kind == "items":
            _write_items(page, sheet, plan)
        else:
            _write_table(page, sheet, plan)
    write_tally(workbook.create_sheet(TALLY_TITLE), definition, system, currency, paper)
    write_cautions(workbook.create_sheet(CAUTIONS_TITLE), paper)
    plan.choices.write(workbook.create_sheet(CHOICES_TITLE), paper)
    return workbook


def template_bytes(system: System, currency: str, paper: Paper) -> bytes:
    """The blank workbook as the bytes of an .xlsx file."""
    return packed(template_workbook(system, currency, paper))


def column_number(sheet: Sheet, column_id: str) -> int:
    """Column in which a table's column stands in a fresh template."""
    return [column.id for column in sheet.asked].index(column_id) + 1


def item_row(sheet: Sheet, column_id: str) -> int:
    """Row in which an item stands in a fresh template."""
    return FIRST_ROW + [column.id for column in sheet.asked].index(column_id)


def _write_table(page: Any, sheet: Sheet, plan: _Plan) -> None:
    widths = []
    lines = 1
    for number, column in enumerate(sheet.asked, start=1):
        unit = column.unit_in(plan.system)
        header = column.header(unit, plan.currency)
        widths.append(column_width(column, header))
        lines = max(lines, measure.line_count(header, widths[-1], bold=True))
        _style_column(page, number, column, widths[-1])
        header_cell(page, HEADER_ROW, number, column, header).comment = comment(_comment_text(column, unit, plan))
        rule = entry_rule(column, unit, plan.currency, source=_list_range(column, plan))
        letter = get_column_letter(number)
        rule.add(f"{letter}{FIRST_ROW}:{letter}{min(MOST_ROWS, HEADER_ROW + sheet.row_limit)}")
        page.add_data_validation(rule)
    page.row_dimensions[HEADER_ROW].height = measure.row_height(lines)
    _frame(page, sheet, plan, widths)


def _style_column(page: Any, number: int, column: Column, width: float) -> None:
    dimension = page.column_dimensions[get_column_letter(number)]
    dimension.width = width
    dress_column(dimension, entry_look(column))
    for row in range(1, HEADER_ROW):
        page.cell(row, number).border = Border()  # title and help stand on white


def _frame(page: Any, sheet: Sheet, plan: _Plan, widths: Sequence[float]) -> None:
    """Title, help, frozen header, paper."""
    write_over(page, 1, sheet.title, looks.SHEET_TITLE)
    write_over(page, 2, sheet.help, looks.HELP)
    wide = sheet.kind == "table" and sum(widths) > WIDEST_UPRIGHT  # then what the row is stays in view as well
    page.freeze_panes = f"{'B' if wide else 'A'}{FIRST_ROW}"
    set_up_page(page, plan.paper, width=sum(widths), header_row=HEADER_ROW)


def _write_items(page: Any, sheet: Sheet, plan: _Plan) -> None:
    for number, (header, width) in enumerate(ITEM_COLUMNS.items(), start=1):
        text_cell(page, HEADER_ROW, number, header, FRAME_HEADER, boxed=True)
        page.column_dimensions[get_column_letter(number)].width = width
    for row, column in enumerate(sheet.asked, start=FIRST_ROW):
        _write_item(page, row, column, plan)
    _frame(page, sheet, plan, list(ITEM_COLUMNS.values()))


def _write_item(page: Any, row: int, column: Column, plan: _Plan) -> None:
    unit = column.unit_in(plan.system)
    text_cell(page, row, ITEM, column.title, NEEDED_ITEM if column.required else ITEM_CELL, boxed=True)
    text_cell(page, row, UNIT, column.label(unit, plan.currency), ITEM_CELL, boxed=True, indent=TEXT_INDENT)
    help_text = _item_help(column, unit, plan)
    text_cell(page, row, HELP, help_text, ITEM_HELP, boxed=True)
    value = text_cell(page, row, VALUE, plan.currency if column.ref == CURRENCY else "", boxed=True)
    dress(value, entry_look(column, ITEM_CELL, boxed=True))
    rule = entry_rule(column, unit, plan.currency, source=_list_range(column, plan), unit_beside=True)
    rule.add(f"{get_column_letter(VALUE)}{row}")
    page.add_data_validation(rule)
    if len(column.units) > 1:
        rule = unit_rule(plan.choices.range_of(unit_labels(column, plan.currency)))
        rule.add(f"{get_column_letter(UNIT)}{row}")
        page.add_data_validation(rule)
    lines = measure.line_count(help_text, ITEM_COLUMNS[HELP_HEADER], looks.HELP.size)
    page.row_dimensions[row].height = measure.row_height(max(lines, 1), looks.HELP.size + 1)


def _list_range(column: Column, plan: _Plan) -> str:
    """Range with the drop-down list of a column: its own words, or the names typed on another sheet."""
    if column.refers_to:
        target = plan.definition.column(column.refers_to)
        sheet = plan.definition.sheet(target.sheet)
        letter = get_column_letter(column_number(sheet, target.id))
        return f"{quote_sheetname(sheet.title)}!${letter}${FIRST_ROW}:${letter}${HEADER_ROW + sheet.capacity}"
    choices = words_of(column)
    return plan.choices.range_of(choices) if choices else ""


def _comment_text(column: Column, unit: str, plan: _Plan) -> str:
    parts = (
        column.help,
        entry_words.must_text(column),
        entry_words.range_text(column, unit, plan.currency),
        entry_words.usual_text(column, unit, plan.currency),
        entry_words.example_text(column, unit),
        entry_words.default_text(column),
        entry_words.units_text(column, plan.currency),
    )
    return "\n".join(part for part in parts if part)


def _item_help(column: Column, unit: str, plan: _Plan) -> str:
    parts = (
        column.help,
        entry_words.usual_text(column, unit, plan.currency)
        or ("" if column.is_money else entry_words.range_text(column, unit, plan.currency)),
        entry_words.example_text(column, unit),
        entry_words.default_text(column),
    )
    return " ".join(part if part.endswith(".") else f"{part}." for part in parts if part)
