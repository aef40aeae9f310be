"""The blank workbook for a season's notes, made from the definition: every title, unit, list, limit and help text.

Columns are styled, not blank cells, so that the file stays small and no empty row looks filled; rules reach down to
the last row that is read.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.comments import Comment
from openpyxl.styles import Border
from openpyxl.utils import get_column_letter, range_boundaries

from wood_xl.io import looks, measure
from wood_xl.io.entry_rules import Kit, add_entry_rule, entry_look, is_text
from wood_xl.io.forms import WRITERS
from wood_xl.io.item_sheets import write_cautions, write_item_sheet, write_start
from wood_xl.io.limits import MAX_ROW
from wood_xl.io.looks import dress_column, varied
from wood_xl.io.pack import CREATOR, packed
from wood_xl.io.page import (
    GREEN_TAB,
    GREY_TAB,
    INDENT_WIDTH,
    TEXT_INDENT,
    WIDEST_UPRIGHT,
    Paper,
    page_points,
    set_up_page,
    text_cell,
    write_over,
)
from wood_xl.pages import InTemplate
from wood_xl.schema.layout import CAUTIONS_TITLE, CHOICES_TITLE, HEADER_ROW, START_ID
from wood_xl.schema.model import Column, Sheet, System, season_definition
from wood_xl.schema.words import phrase

FIRST_ROW = HEADER_ROW + 1
SCORED = (START_ID, "methods", "sessions", "tally", "stacks")  # what a first trial needs has green tabs
NOT_PRINTED = ("helpers", "wood", "heart_trace")  # forms ask for helpers; a few rows; more than paper holds
ROW_POINTS = 17.0  # of a row that is written by hand
CLASS_WIDTH = 5.6
COLUMN_WIDTHS = {"string": 11.0, "number": 9.0, "integer": 8.0}  # at least, by what is typed
DATE_WIDTH = 11.5
ARROW = 3.5  # of a drop-down, in digits
MOST_HEADER_LINES = 3
COMMENT_WIDTH, COMMENT_LINE, COMMENT_LETTERS = 300, 17, 44  # pixels, pixels, letters in a line
LEAST_TABLE, SPARE_WIDTH, FURTHER_RIGHT = 72.0, 2.0, 22.0  # the line about folds begins where a column does
LAST_CELL = "XFD1"  # a page of it alone is empty, and not printed


def template_workbook(system: System, currency: str, paper: Paper, *, unfolded: bool = False) -> Workbook:
    """The blank workbook, with the units of a system in its headers and a currency by its three letters.

    unfolded: all columns in view, for programs that cannot fold.
    """
    kit = Kit(system, currency, paper, unfolded)
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    for sheet in season_definition().sheets:
        page = workbook.create_sheet(sheet.title)
        if sheet.id == START_ID:
            write_start(workbook, page, kit)
        elif sheet.kind == "items":
            write_item_sheet(page, sheet, kit)
        else:
            _write_table(page, sheet, kit)
        if sheet.id in SCORED:
            page.sheet_properties.tabColor = GREEN_TAB
    for title, write in WRITERS.items():
        write(workbook.create_sheet(title), kit)
    write_cautions(workbook.create_sheet(CAUTIONS_TITLE), paper)
    workbook[CAUTIONS_TITLE].sheet_properties.tabColor = GREY_TAB
    hidden = workbook.create_sheet(CHOICES_TITLE)
    kit.choices.write(hidden, paper)
    hidden.sheet_state, hidden.print_area = "hidden", LAST_CELL
    return workbook


def template_bytes(system: System, currency: str, paper: Paper, *, unfolded: bool = False) -> bytes:
    """The blank workbook as the bytes of an .xlsx file."""
    return packed(template_workbook(system, currency, paper, unfolded=unfolded))


def _write_table(page: Any, sheet: Sheet, kit: Kit) -> None:
    columns = sheet.columns_in(kit.system)
    headers = [column.header(column.unit_in(kit.system), kit.currency) for column in columns]
    folded = () if kit.unfolded else tuple(n for n, column in enumerate(columns, start=1) if column.folded)
    widths = _widths(sheet, columns, headers, folded)
    lines, last = 1, min(MAX_ROW, HEADER_ROW + sheet.row_limit)
    for number, (column, header) in enumerate(zip(columns, headers, strict=True), start=1):
        lines = max(lines, measure.line_count(header, widths[number - 1], bold=True))
        letter = get_column_letter(number)
        page.column_dimensions[letter].width = widths[number - 1]
        dress_column(page.column_dimensions[letter], entry_look(column))
        for row in range(1, HEADER_ROW):
            page.cell(row, number).border = Border()  # title and help stand on white
        _header_cell(page, number, column, header).comment = _comment(column, kit)
        add_entry_rule(page, f"{letter}{FIRST_ROW}:{letter}{last}", column, kit)
    page.row_dimensions[HEADER_ROW].height = measure.row_height(lines)
    fold(page, folded)
    _frame(page, sheet, kit, widths, folded)


def _widths(sheet: Sheet, columns: Sequence[Column], headers: Sequence[str], folded: Sequence[int]) -> list[float]:
    """Widths that suit what is typed, and together the lines above the table, which else were cut off on paper."""
    widths = [
        CLASS_WIDTH if column.title == column.id else _column_width(column, header)
        for column, header in zip(columns, headers, strict=True)
    ]
    in_view = sum(width for number, width in enumerate(widths, start=1) if number not in folded)
    title = measure.text_width(sheet.title, looks.SHEET_TITLE.size, bold=True)
    beside = measure.text_width(_folded_line(sheet), looks.HELP.size) if folded else 0.0
    help_width = measure.text_width(sheet.help, looks.HELP.size)
    needed = max(LEAST_TABLE, help_width + SPARE_WIDTH, title + beside + FURTHER_RIGHT)
    if in_view >= needed:
        return widths
    return [
        width if number in folded else round(width * needed / in_view, 1)
        for number, width in enumerate(widths, start=1)
    ]


def _column_width(column: Column, header: str) -> float:
    """Width that shows the header in few lines, and what is usually typed."""
    least = DATE_WIDTH if column.is_date else COLUMN_WIDTHS[column.type]
    choices = max((round(measure.text_width(word) + ARROW, 1) for word in column.choices), default=0.0)
    inset = INDENT_WIDTH if is_text(column) else 0.0
    least = max(least, column.width or 0.0, choices + inset)
    return measure.header_width(header, least=least, most_lines=MOST_HEADER_LINES, inset=inset)


def _folded_line(sheet: Sheet) -> str:
    return phrase(InTemplate.FOLDED, what=sheet.folded)


def fold(page: Any, numbers: Sequence[int]) -> None:
    """Fold columns away, so that a click on the sign above the column behind them unfolds them."""
    for number in numbers:
        dimension = page.column_dimensions[get_column_letter(number)]
        dimension.outlineLevel, dimension.hidden = 1, True
        if number + 1 not in numbers:
            behind = page.column_dimensions[get_column_letter(number + 1)]
            behind.collapsed = True
            behind.width = behind.width or measure.DEFAULT_WIDTH


def unfold(page: Any, numbers: Sequence[int]) -> None:
    """Show the whole group of each folded column that is named."""
    dimensions = {
        number: page.column_dimensions[get_column_letter(number)] for number in range(1, page.max_column + 2)
    }
    for number in numbers:
        if not dimensions[number].hidden:
            continue
        first = last = number
        while first > 1 and dimensions[first - 1].outlineLevel:
            first -= 1
        while dimensions[last + 1].outlineLevel:
            last += 1
        for one in range(first, last + 1):
            dimensions[one].hidden = False
        dimensions[last + 1].collapsed = False


def higher_rows(page: Any) -> float:
    """Points by which rows of a table are higher than blank ones, all together."""
    heights = (one.height or 0.0 for row, one in page.row_dimensions.items() if row >= FIRST_ROW)
    return sum(max(0.0, height - ROW_POINTS) for height in heights)


def print_down_to(page: Any, last_row: int, *, higher: float) -> None:
    """Let what is printed of a table reach down to a row; blank rows make room for ``higher`` points of others."""
    if page.print_area:
        bounds: Any = range_boundaries(page.print_area.rpartition("!")[2].replace("$", ""))
        left, top, right, bottom = bounds
        if bottom > top:  # more than the one cell of a sheet that is not printed
            bottom = max(bottom - math.ceil(higher / ROW_POINTS), last_row)
            page.print_area = f"{get_column_letter(left)}{top}:{get_column_letter(right)}{bottom}"


def _frame(page: Any, sheet: Sheet, kit: Kit, widths: Sequence[float], folded: Sequence[int]) -> None:
    write_over(page, 1, sheet.title, looks.SHEET_TITLE)
    write_over(page, 2, sheet.help, looks.HELP)
    if folded:
        place, used = 1, 0.0
        while used < measure.text_width(sheet.title, looks.SHEET_TITLE.size, bold=True) + 1 or place in folded:
            used += 0.0 if place in folded else widths[place - 1]
            place += 1
        look = looks.varied(looks.HELP, wraps=False, vertical="center")
        text_cell(page, 1, place, _folded_line(sheet), look)
    in_view = [width for number, width in enumerate(widths, start=1) if number not in folded]
    wide = sum(widths) > WIDEST_UPRIGHT  # then what the row is stays in view as well
    set_up_page(page, kit.paper, in_view, header_row=HEADER_ROW, grid=True)
    page.freeze_panes = f"{'B' if wide else 'A'}{FIRST_ROW}"
    if sheet.id in NOT_PRINTED:
        page.print_area = LAST_CELL
        return
    top = sum(page.row_dimensions[row].height for row in range(1, FIRST_ROW))
    rows = int((min(page_points(page, kit.paper, in_view)) - top) / ROW_POINTS)
    for row in range(FIRST_ROW, FIRST_ROW + rows):  # one for all rows some programs write out a million times
        page.row_dimensions[row].height = ROW_POINTS
    page.print_area = f"A1:{get_column_letter(len(widths))}{HEADER_ROW + rows}"


def _header_cell(sheet: Any, number: int, column: Column, header: str) -> Cell:
    """A column's header, to the side on which its values stand."""
    look = looks.NEEDED_HEADER if column.required else looks.OPTIONAL_HEADER
    if season_definition().sheet(column.sheet).has_in_one_of(column):
        look = looks.ONE_OF_HEADER
    if is_text(column):
        return text_cell(sheet, HEADER_ROW, number, header, look, boxed=True, indent=TEXT_INDENT)
    return text_cell(sheet, HEADER_ROW, number, header, varied(look, horizontal="right"), boxed=True)


def _comment(column: Column, kit: Kit) -> Comment:
    """What the template tells of a column, in a box that shows all of it."""
    told = kit.told(column)
    parts = (column.help, told.must, told.possible, told.usual, told.example, told.default, told.units)
    text = "\n".join(part for part in parts if part)
    lines = sum(1 + len(line) // COMMENT_LETTERS for line in text.split("\n"))
    return Comment(text, CREATOR, height=(lines + 1) * COMMENT_LINE, width=COMMENT_WIDTH)
