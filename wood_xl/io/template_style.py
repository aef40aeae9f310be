"""How text and rules of what is typed get into the template's cells, with the looks of their roles."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from openpyxl.cell import Cell
from openpyxl.comments import Comment
from openpyxl.utils import get_column_letter

from wood_xl.io import looks, measure
from wood_xl.io.looks import AS_DATE, AS_TEXT, GENERAL, PLAIN, Look, dress, set_text, varied
from wood_xl.io.pack import CREATOR
from wood_xl.schema.model import Column, season_definition

MOST_HEADER_LINES = 3
COLUMN_WIDTHS = {"string": 11.0, "number": 9.0, "integer": 8.0}  # at least, by what is typed
DATE_WIDTH = 11.5
GREEN_TAB, GREY_TAB = "5E8C4A", "8C8C8C"
TEXT_INDENT = 1  # keeps text apart from a number to its left
INDENT_WIDTH = 1.6  # of that, in digits
ARROW = 3.5  # of a drop-down, in digits
COMMENT_WIDTH, COMMENT_LINE, COMMENT_LETTERS = 300, 17, 44  # pixels, pixels, letters in a line


def text_cell(
    sheet: Any, row: int, column: int, text: str, look: Look = PLAIN, *, boxed: bool = False, indent: int = 0
) -> Cell:
    """A text in a cell of its own look."""
    cell: Cell = sheet.cell(row, column)
    dress(cell, _variety(look, AS_TEXT, boxed=boxed, indent=indent))
    set_text(cell, text)
    return cell


def join(sheet: Any, row: int, first: int, span: int) -> None:
    """Make cells of a row one. The library's own way of doing so is slow: it draws their borders anew."""
    if span > 1:
        last = get_column_letter(first + span - 1)
        sheet.merged_cells.add(f"{get_column_letter(first)}{row}:{last}{row}")


def set_widths(sheet: Any, widths: Iterable[float]) -> None:
    """Widths of the first columns, in digits."""
    for number, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(number)].width = width


def write_wrapped(sheet: Any, row: int, text: str, look: Look, *, widths: Sequence[float]) -> None:
    """A text over all columns, wrapped, with the row's height set to show it."""
    text_cell(sheet, row, 1, text, look)
    join(sheet, row, 1, len(widths))
    lines = measure.line_count(text, sum(widths), look.size, look.bold)
    sheet.row_dimensions[row].height = measure.row_height(lines, look.size)


def write_row(sheet: Any, row: int, texts: Iterable[tuple[str, Look]], widths: Sequence[float]) -> None:
    """A text in each of the first columns, wrapped to these widths, with the row's height set to show all of them."""
    heights = []
    for number, ((text, look), width) in enumerate(zip(texts, widths, strict=False), start=1):
        text_cell(sheet, row, number, text, look)
        heights.append(measure.row_height(measure.line_count(text, width, look.size), look.size))
    sheet.row_dimensions[row].height = max(heights)


def write_over(sheet: Any, row: int, text: str, look: Look) -> None:
    """A text on one line from the first column on, over the empty cells beside it.

    Cells are not joined: a sheet that is sorted or filtered, or whose first column is frozen, minds joined cells.
    """
    text_cell(sheet, row, 1, text, varied(look, wraps=False))
    sheet.row_dimensions[row].height = measure.row_height(1, look.size)


def comment(text: str) -> Comment:
    """A comment in a box that shows all of it."""
    lines = sum(1 + len(line) // COMMENT_LETTERS for line in text.split("\n"))
    return Comment(text, CREATOR, height=(lines + 1) * COMMENT_LINE, width=COMMENT_WIDTH)


def value_format(column: Column) -> str:
    """Number format for what is typed: a fixed one would turn a date or a clock time into a bare number."""
    if column.is_date:
        return AS_DATE
    return GENERAL if column.is_number or column.is_clock else AS_TEXT


def entry_look(column: Column, look: Look = looks.ENTRY, *, boxed: bool = False) -> Look:
    """The look of what is typed there.

    Numbers have no alignment of their own: where a program sets one to the left, it took it for text.
    """
    if is_text(column):
        return _variety(look, AS_TEXT, boxed=boxed, indent=TEXT_INDENT)
    return _variety(varied(look, horizontal=""), value_format(column), boxed=boxed)


def _variety(look: Look, number_format: str, *, boxed: bool, indent: int = 0) -> Look:
    return varied(look, number_format=number_format, border="box" if boxed else look.border, indent=indent)


def header_cell(sheet: Any, row: int, number: int, column: Column, header: str) -> Cell:
    """A column's header, to the side on which its values stand."""
    look = looks.NEEDED_HEADER if column.required else looks.OPTIONAL_HEADER
    if season_definition().sheet(column.sheet).has_in_one_of(column):
        look = looks.ONE_OF_HEADER
    if is_text(column):
        return text_cell(sheet, row, number, header, look, boxed=True, indent=TEXT_INDENT)
    return text_cell(sheet, row, number, header, varied(look, horizontal="right"), boxed=True)


def column_width(column: Column, header: str) -> float:
    """Width that shows the header in few lines, and what is usually typed."""
    least = DATE_WIDTH if column.is_date else COLUMN_WIDTHS[column.type]
    choices = max((round(measure.text_width(word) + ARROW, 1) for word in column.choices), default=0.0)
    inset = INDENT_WIDTH if is_text(column) else 0.0
    least = max(least, column.width or 0.0, choices + inset)
    return measure.header_width(header, least=least, most_lines=MOST_HEADER_LINES, inset=inset)


def is_text(column: Column) -> bool:
    """Whether what is typed there is text to the workbook."""
    return not (column.is_number or column.is_date or column.is_clock)
