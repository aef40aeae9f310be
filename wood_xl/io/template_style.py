"""How the cells of the template look, and the one place where its text is put into a cell.

One fill only: it says that something must be typed here. Compulsory headers are bold as well, so that grey print and
colour-blind eyes lose nothing.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.utils.indexed_list import IndexedList

from wood_xl.io import looks, measure
from wood_xl.io.limits import storable_text
from wood_xl.io.looks import GENERAL, Look
from wood_xl.io.pack import CREATOR
from wood_xl.schema.model import Column

INPUT_FILL = "B4D0A6"
AS_TEXT = "@"
AS_DATE = "yyyy-mm-dd"
NEEDED_HEADER = Look(bold=True, fill=INPUT_FILL, vertical="bottom")
OPTIONAL_HEADER = Look(vertical="bottom")
PLAIN = Look()
FRAME_HEADER = Look(bold=True, vertical="bottom")
NEEDED_ITEM = replace(NEEDED_HEADER, vertical="center")
ITEM_CELL = Look(vertical="center")
ITEM_HELP = replace(looks.HELP, vertical="center")
SMALL = Look(size=8.0, ink=looks.GREY_INK, vertical="bottom")
MOST_HEADER_LINES = 3
WIDEST_HEADER = 15.0
COLUMN_WIDTHS = {"string": 11.0, "number": 9.0, "integer": 8.0}  # at least, by what is typed
DATE_WIDTH = 11.5
TEXT_INDENT = 1  # keeps text apart from a number to its left
INDENT_WIDTH = 1.6  # of that, in digits
ARROW = 3.5  # of a drop-down, in digits
COMMENT_WIDTH, COMMENT_LINE, COMMENT_LETTERS = 300, 17, 44  # pixels, pixels, letters in a line

_EDGE = Side(style="thin", color="8C8C8C")
BOX = Border(left=_EDGE, right=_EDGE, top=_EDGE, bottom=_EDGE)
_LINE = Side(style="thin", color=looks.RULE)
LINES = Border(left=_LINE, right=_LINE, top=_LINE, bottom=_LINE)  # of rows that are filled in, on paper


def new_workbook() -> Workbook:
    """An empty workbook without a sheet, whose unstyled cells have the font that widths are measured in."""
    workbook: Any = Workbook()  # two settings below have no public name
    workbook.remove(workbook.active)
    workbook._fonts = IndexedList([looks.plain_font()])
    workbook._named_styles["Normal"].font = looks.plain_font()
    typed: Workbook = workbook
    return typed


def set_text(cell: Cell, text: str) -> None:
    """Store a text in a cell, whatever its first character."""
    cell.value = storable_text(text) or None
    if cell.value is not None:
        cell.data_type = "s"  # after the value: setting that guesses formulas and errors


def put(
    sheet: Any, row: int, column: int, text: str, look: Look = PLAIN, *, boxed: bool = False, indent: int = 0
) -> Cell:
    """A text in a cell of its own look."""
    cell: Cell = sheet.cell(row, column)
    set_text(cell, text)
    dress(cell, look, boxed=boxed, indent=indent, number_format=AS_TEXT)
    return cell


def dress(cell: Any, look: Look, *, boxed: bool = False, indent: int = 0, number_format: str = GENERAL) -> None:
    """Give a cell, or a column, its look."""
    cell.font = _font(look)
    cell.alignment = _alignment(look, indent)
    if look.fill:
        cell.fill = PatternFill("solid", fgColor=look.fill)
    if boxed:
        cell.border = BOX
    cell.number_format = number_format


@cache
def _font(look: Look) -> Font:
    return Font(name=looks.FONT, size=look.size, bold=look.bold, italic=look.italic, color=look.ink, family=2)


@cache
def _alignment(look: Look, indent: int) -> Alignment:
    return Alignment(horizontal=look.horizontal or None, vertical=look.vertical, wrap_text=True, indent=indent)


def join(sheet: Any, row: int, first: int, span: int) -> None:
    """Make cells of a row one. The library's own way of doing so is slow: it draws their borders anew."""
    if span > 1:
        last = get_column_letter(first + span - 1)
        sheet.merged_cells.add(f"{get_column_letter(first)}{row}:{last}{row}")


def put_line(sheet: Any, row: int, text: str, look: Look, *, widths: list[float], first: int = 1) -> None:
    """A text over all columns from the first, wrapped, with the row's height set to show it."""
    put(sheet, row, first, text, look)
    join(sheet, row, first, len(widths))
    lines = measure.line_count(text, sum(widths), look.size, look.bold)
    sheet.row_dimensions[row].height = measure.row_height(lines, look.size)


def put_over(sheet: Any, row: int, text: str, look: Look) -> None:
    """A text on one line from the first column on, over the empty cells beside it.

    Cells are not joined: a sheet that is sorted or filtered, or whose first column is frozen, minds joined cells.
    """
    cell = put(sheet, row, 1, text, look)
    cell.alignment = Alignment(horizontal="left", vertical=look.vertical, wrap_text=False)
    sheet.row_dimensions[row].height = measure.row_height(1, look.size)


def comment(text: str) -> Comment:
    """A comment in a box that shows all of it."""
    lines = sum(1 + len(line) // COMMENT_LETTERS for line in text.split("\n"))
    return Comment(text, CREATOR, height=(lines + 1) * COMMENT_LINE, width=COMMENT_WIDTH)


def value_format(column: Column) -> str:
    """Number format for what is typed: a fixed one would turn a date or a clock time into a bare number."""
    if column.is_date:
        return AS_DATE
    return GENERAL if column.is_number else AS_TEXT


def dress_value(cell: Any, column: Column, look: Look = PLAIN, *, boxed: bool = False) -> None:
    """Give a cell or column the look of what is typed there.

    Numbers have no alignment of their own: where a program sets one to the left, it took it for text.
    """
    look = look if is_text(column) else replace(look, horizontal="")
    indent = TEXT_INDENT if is_text(column) else 0
    dress(cell, look, boxed=boxed, indent=indent, number_format=value_format(column))


def put_header(sheet: Any, row: int, number: int, column: Column, header: str) -> Cell:
    """A column's header, to the side on which its values stand."""
    look = NEEDED_HEADER if column.required else OPTIONAL_HEADER
    if is_text(column):
        return put(sheet, row, number, header, look, boxed=True, indent=TEXT_INDENT)
    return put(sheet, row, number, header, replace(look, horizontal="right"), boxed=True)


def column_width(column: Column, header: str) -> float:
    """Width that shows the header in few lines, and what is usually typed."""
    least = DATE_WIDTH if column.is_date else COLUMN_WIDTHS[column.type]
    choices = max((round(measure.text_width(word) + ARROW, 1) for word in column.choices), default=0.0)
    inset = INDENT_WIDTH if is_text(column) else 0.0
    width = max(least, column.width or 0.0, widest_word(header) + inset, choices + inset)
    while width < WIDEST_HEADER and measure.line_count(header, width - inset, bold=True) > MOST_HEADER_LINES:
        width += 0.5
    return width


def is_text(column: Column) -> bool:
    """Whether what is typed there is text to the workbook."""
    return not column.is_number and not column.is_date


def widest_word(text: str) -> float:
    """Width of a column that breaks no word of the text."""
    return round(measure.longest_word(text, bold=True) / measure.SPARE + measure.PADDING + 0.1, 1)
