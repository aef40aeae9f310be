"""Writes texts into cells, and sets sheets up for paper."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Any, Literal

from openpyxl.cell import Cell
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break

from wood_xl.data.cautions import Caution
from wood_xl.io import measure
from wood_xl.io.looks import AS_TEXT, PLAIN, Look, dress, set_text, varied
from wood_xl.page_texts import InResults, OnPaper
from wood_xl.schema.words import phrase, words

Paper = Literal["letter", "a4"]
PAPERS: dict[str, Paper] = {"us": "letter", "metric": "a4"}  # usual ones, by units
PAPER_CODES = {"letter": 1, "a4": 9}  # of the file format
SIDE_INCHES, FOOT_INCHES, FOOTER_INCHES = 0.5, 0.75, 0.3
WIDEST_UPRIGHT = 112.0  # in digits; a wider sheet is printed landscape
FOOTER_POINTS = 8
POINTS_PER_INCH = 72.0
GREEN_TAB, GREY_TAB = "5E8C4A", "8C8C8C"
TEXT_INDENT = 1  # keeps text apart from a number to its left
INDENT_WIDTH = 1.6  # width of that indent, in digits
PAGE_POINTS = {"letter": (612.0, 792.0), "a4": (595.3, 841.9)}


def text_cell(
    sheet: Any, row: int, column: int, text: str, look: Look = PLAIN, *, boxed: bool = False, indent: int = 0
) -> Cell:
    """Write a text into a cell with a look of its own."""
    cell: Cell = sheet.cell(row, column)
    dress(cell, cell_look(look, AS_TEXT, boxed=boxed, indent=indent))
    set_text(cell, text)
    return cell


def join(sheet: Any, row: int, first: int, span: int) -> None:
    """Merge cells of a row. The library's own method is slow, as it draws their borders anew."""
    if span > 1:
        last = get_column_letter(first + span - 1)
        sheet.merged_cells.add(f"{get_column_letter(first)}{row}:{last}{row}")


def set_widths(sheet: Any, widths: Iterable[float]) -> None:
    """Set the widths of the first columns, in digits."""
    for number, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(number)].width = width


def write_wrapped(sheet: Any, row: int, text: str, look: Look, *, widths: Sequence[float]) -> None:
    """Write a text across all columns, wrapped, and make the row high enough for it."""
    text_cell(sheet, row, 1, text, look)
    join(sheet, row, 1, len(widths))
    lines = measure.line_count(text, sum(widths), look.size, look.bold)
    sheet.row_dimensions[row].height = measure.row_height(lines, look.size)


def write_row(sheet: Any, row: int, texts: Iterable[tuple[str, Look]], widths: Sequence[float]) -> None:
    """Write a text into each of the first columns, wrapped, and make the row high enough for all of them."""
    heights = []
    for number, ((text, look), width) in enumerate(zip(texts, widths, strict=False), start=1):
        text_cell(sheet, row, number, text, look)
        heights.append(measure.row_height(measure.line_count(text, width, look.size), look.size))
    sheet.row_dimensions[row].height = max(heights)


def write_over(sheet: Any, row: int, text: str, look: Look) -> None:
    """Write a text on one line that runs over the empty cells to its right.

    The cells are not merged: merged cells hinder sorting, filtering and a frozen first column.
    """
    text_cell(sheet, row, 1, text, varied(look, wraps=False))
    sheet.row_dimensions[row].height = measure.row_height(1, look.size)


def caution_text(caution: Caution) -> str:
    """A caution in full, after its title."""
    return phrase(OnPaper.SAFETY, title=caution.title, text=caution.text)


def cell_look(look: Look, number_format: str, *, boxed: bool, indent: int = 0) -> Look:
    """A look with a number format, and with a box and an indent if asked for."""
    border = "box" if boxed else look.border
    return varied(look, number_format=number_format, border=border, indent=indent or look.indent)


def set_up_page(
    sheet: Any,
    paper: Paper,
    widths: Sequence[float],
    *,
    down_to: int = 0,
    header_row: int = 0,
    one_page: bool = False,
    upright: bool = False,
    grid: bool = False,
) -> None:
    """Fit a sheet with columns of these widths to the width of the paper.

    down_to: the last row to print; if 0, all that is filled.
    header_row: stays in view on the screen, and is repeated on every page.
    one_page: fits the height as well.
    upright: portrait, even if the sheet is wide.
    grid: shows lines between the cells on the screen.
    """
    if not grid:
        sheet.sheet_view.showGridLines = False
    if down_to:
        sheet.print_area = f"A1:{get_column_letter(len(widths))}{down_to}"
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 1 if one_page else 0
    sheet.page_setup.paperSize = PAPER_CODES[paper]
    sheet.page_setup.orientation = "portrait" if upright or sum(widths) <= WIDEST_UPRIGHT else "landscape"
    margins = sheet.page_margins
    margins.left = margins.right = margins.top = SIDE_INCHES
    margins.bottom, margins.header, margins.footer = FOOT_INCHES, FOOTER_INCHES, FOOTER_INCHES
    sheet.oddFooter.left.text, sheet.oddFooter.right.text = "&A", words(InResults.FOOTER)
    for part in (sheet.oddFooter.left, sheet.oddFooter.right):
        part.size = FOOTER_POINTS  # no font: some programs print its name
    if header_row:
        sheet.freeze_panes = f"A{header_row + 1}"
        sheet.print_title_rows = f"{header_row}:{header_row}"


def page_points(sheet: Any, paper: Paper, widths: Sequence[float]) -> list[float]:
    """Height of a sheet that fits on a page once its width does, by the way that programs measure widths."""
    short, long = PAGE_POINTS[paper]
    width, height = (short, long) if sheet.page_setup.orientation == "portrait" else (long, short)
    room = width - 2 * POINTS_PER_INCH * SIDE_INCHES
    scales = [min(1.0, room / (sum(widths) * points)) for points in measure.POINTS_PER_WIDTH]
    whole_percent = [math.floor(100 * scale) / 100 for scale in scales]
    return [(height - POINTS_PER_INCH * (SIDE_INCHES + FOOT_INCHES)) / scale for scale in whole_percent]


def keep_whole(sheet: Any, paper: Paper, widths: Sequence[float], firsts: Iterable[int], repeated: float = 0) -> None:
    """Start a new page before each part of a sheet that has no room below the part before it.

    firsts: first row of each part; all rows have heights.
    repeated: height of the header that each page repeats.
    """
    room, used = min(page_points(sheet, paper, widths)), 0.0
    for first, following in pairwise([*firsts, sheet.max_row + 1]):
        height = sum(sheet.row_dimensions[row].height for row in range(first, following))
        if used and used + height > room:
            sheet.row_breaks.append(Break(id=first - 1))
            used = repeated
        used = (used + height) % room  # a part higher than a page runs on
