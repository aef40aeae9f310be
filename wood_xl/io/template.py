"""The blank workbook for a season's notes. All titles, units, lists, limits and help come from the definition.

Whole columns are styled instead of blank cells: the file stays small, and no empty row counts as filled. Rules reach
down to the last row that is read.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate, groupby
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
from wood_xl.page_texts import InTemplate
from wood_xl.schema.layout import CAUTIONS_TITLE, CHOICES_TITLE, HEADER_ROW, START_ID
from wood_xl.schema.model import Column, Sheet, System, season_definition
from wood_xl.schema.words import phrase

FIRST_ROW = HEADER_ROW + 1
FIRST_TRIAL = (START_ID, "methods", "sessions", "tally", "stacks")  # what a first trial needs has green tabs
# The forms ask for helpers, wood takes a few rows at a table, and paper cannot hold a trace, blank or filled.
TRACE = "heart_trace"
NOT_PRINTED = ("helpers", "wood", TRACE)
ROW_POINTS = 17.0  # of a row to write in by hand
CLASS_WIDTH = 5.6
LEAST_WIDTHS = {"string": 11.0, "number": 9.0, "integer": 8.0}  # by the type of entry
DATE_WIDTH = 11.5
ARROW = 3.5  # width of a drop-down's arrow, in digits
MOST_HEADER_LINES = 3
COMMENT_WIDTH, COMMENT_LINE, COMMENT_LETTERS = 300, 17, 44  # pixels, pixels, letters in a line
LEAST_TABLE = 72.0
SPARE_WIDTH, SPARE_BEFORE_FOLDS = 2.0, 22.0  # the line about folds may begin as far to the right as its column
LAST_CELL = "XFD1"  # as a print area, it keeps a sheet off paper


def template_workbook(system: System, currency: str, paper: Paper, *, unfolded: bool = False) -> Workbook:
    """The blank workbook in one system of units and one currency.

    currency: its three letters.
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
        if sheet.id in FIRST_TRIAL:
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
            page.cell(row, number).border = Border()  # no lines behind title and help
        _header_cell(page, number, column, header).comment = _comment(column, kit)
        add_entry_rule(page, f"{letter}{FIRST_ROW}:{letter}{last}", column, kit)
    page.row_dimensions[HEADER_ROW].height = measure.row_height(lines)
    fold(page, folded)
    _frame(page, sheet, kit, widths, folded)


def _widths(sheet: Sheet, columns: Sequence[Column], headers: Sequence[str], folded: Sequence[int]) -> list[float]:
    """Widths that suit the entries, and together the lines above the table: paper would cut them off."""
    widths = [
        CLASS_WIDTH if column.title == column.id else _column_width(column, header)
        for column, header in zip(columns, headers, strict=True)
    ]
    in_view = sum(width for number, width in enumerate(widths, start=1) if number not in folded)
    title = measure.text_width(sheet.title, looks.SHEET_TITLE.size, bold=True)
    beside = measure.text_width(_folded_line(sheet), looks.HELP.size) if folded else 0.0
    help_width = measure.text_width(sheet.help, looks.HELP.size)
    needed = max(LEAST_TABLE, help_width + SPARE_WIDTH, title + beside + SPARE_BEFORE_FOLDS)
    if in_view >= needed:
        return widths
    return [
        width if number in folded else round(width * needed / in_view, 1)
        for number, width in enumerate(widths, start=1)
    ]


def _column_width(column: Column, header: str) -> float:
    """Width that shows the header in few lines, and a usual entry."""
    least = DATE_WIDTH if column.is_date else LEAST_WIDTHS[column.type]
    choices = max((round(measure.text_width(word) + ARROW, 1) for word in column.choices), default=0.0)
    inset = INDENT_WIDTH if is_text(column) else 0.0
    least = max(least, column.width or 0.0, choices + inset)
    return measure.header_width(header, least=least, most_lines=MOST_HEADER_LINES, inset=inset)


def _folded_line(sheet: Sheet) -> str:
    return phrase(InTemplate.FOLDED, what=sheet.folded)


def fold(page: Any, numbers: Sequence[int]) -> None:
    """Fold columns; a click on the sign above the next column unfolds them."""
    for number in numbers:
        dimension = page.column_dimensions[get_column_letter(number)]
        dimension.outlineLevel, dimension.hidden = 1, True
        if number + 1 not in numbers:
            following = page.column_dimensions[get_column_letter(number + 1)]
            following.collapsed = True
            following.width = following.width or measure.DEFAULT_WIDTH


def unfold(page: Any, numbers: Sequence[int]) -> None:
    """Show the whole group of each of these columns that is folded."""
    dimensions = [page.column_dimensions[get_column_letter(number)] for number in range(1, page.max_column + 2)]
    for is_folded, columns in groupby(enumerate(dimensions, start=1), key=lambda column: bool(column[1].hidden)):
        group = dict(columns)
        if is_folded and not group.keys().isdisjoint(numbers):
            for dimension in group.values():
                dimension.hidden = False
            dimensions[max(group)].collapsed = False  # of the column after it


def higher_rows(page: Any) -> float:
    """Points by which the rows of a table are higher than blank ones, summed up."""
    heights = (rows.height or 0.0 for row, rows in page.row_dimensions.items() if row >= FIRST_ROW)
    return sum(max(0.0, height - ROW_POINTS) for height in heights)


def print_down_to(page: Any, last_row: int, *, higher: float) -> None:
    """Print a table down to a row; blank rows below it give way to the ``higher`` points of the others.

    A sheet that is not printed blank is printed if it has a row, a trace excepted.
    """
    if page.print_area:
        bounds: Any = range_boundaries(page.print_area.rpartition("!")[2].replace("$", ""))
        left, top, right, bottom = bounds
        if bottom > top:  # else the sheet is not printed
            bottom = max(bottom - math.ceil(higher / ROW_POINTS), last_row)
            page.print_area = f"{get_column_letter(left)}{top}:{get_column_letter(right)}{bottom}"
        elif last_row > HEADER_ROW and page.title != season_definition().sheet(TRACE).title:
            page.print_area = f"A1:{get_column_letter(page.max_column)}{last_row}"


def _frame(page: Any, sheet: Sheet, kit: Kit, widths: Sequence[float], folded: Sequence[int]) -> None:
    """Write the lines above a table, freeze its header, and set up its page with as many rows as there is room."""
    write_over(page, 1, sheet.title, looks.SHEET_TITLE)
    write_over(page, 2, sheet.help, looks.HELP)
    in_view = {number: width for number, width in enumerate(widths, start=1) if number not in folded}
    if folded:
        title_width = measure.text_width(sheet.title, looks.SHEET_TITLE.size, bold=True) + 1
        lefts = zip(in_view, accumulate(in_view.values(), initial=0.0), strict=False)
        beside_title = next(number for number, left in lefts if left >= title_width)
        look = looks.varied(looks.HELP, wraps=False, vertical="center")
        text_cell(page, 1, beside_title, _folded_line(sheet), look)
    is_wide = sum(widths) > WIDEST_UPRIGHT  # then the name of each row stays in view too
    set_up_page(page, kit.paper, [*in_view.values()], header_row=HEADER_ROW, grid=True)
    page.freeze_panes = f"{'B' if is_wide else 'A'}{FIRST_ROW}"
    if sheet.id in NOT_PRINTED:
        page.print_area = LAST_CELL
        return
    top = sum(page.row_dimensions[row].height for row in range(1, FIRST_ROW))
    rows = int((min(page_points(page, kit.paper, [*in_view.values()])) - top) / ROW_POINTS)
    for row in range(FIRST_ROW, FIRST_ROW + rows):  # a default height makes some programs write a million rows
        page.row_dimensions[row].height = ROW_POINTS
    page.print_area = f"A1:{get_column_letter(len(widths))}{HEADER_ROW + rows}"


def _header_cell(sheet: Any, number: int, column: Column, header: str) -> Cell:
    """A column's header, on the side of its values."""
    look = looks.NEEDED_HEADER if column.required else looks.OPTIONAL_HEADER
    if season_definition().sheet(column.sheet).has_in_one_of(column):
        look = looks.ONE_OF_HEADER
    if is_text(column):
        return text_cell(sheet, HEADER_ROW, number, header, look, boxed=True, indent=TEXT_INDENT)
    return text_cell(sheet, HEADER_ROW, number, header, varied(look, horizontal="right"), boxed=True)


def _comment(column: Column, kit: Kit) -> Comment:
    """All the help on a column, in a box large enough for it."""
    shown = kit.help_on(column)
    parts = (column.help, shown.must, shown.possible, shown.usual, shown.example, shown.default, shown.units)
    text = "\n".join(part for part in parts if part)
    lines = sum(1 + len(line) // COMMENT_LETTERS for line in text.split("\n"))
    return Comment(text, CREATOR, height=(lines + 1) * COMMENT_LINE, width=COMMENT_WIDTH)
