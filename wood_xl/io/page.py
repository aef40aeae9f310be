"""How a sheet is printed, and how much of it a page holds."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Literal

from openpyxl.utils import get_column_letter

from wood_xl.io import measure
from wood_xl.io.looks import FONT
from wood_xl.pages import InResults
from wood_xl.schema.words import words

Paper = Literal["letter", "a4"]
PAPER_CODES = {"letter": 1, "a4": 9}  # of the format
SIDE_INCHES, FOOT_INCHES, FOOTER_INCHES = 0.5, 0.75, 0.3
WIDEST_UPRIGHT = 112.0  # digits; a wider sheet lies on its side
FOOTER_POINTS = 8
POINTS_PER_INCH = 72.0
PAGE_POINTS = {"letter": (612.0, 792.0), "a4": (595.3, 841.9)}


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
    """Set up a sheet whose columns have these widths, for paper and with or without a grid on the screen.

    down_to: the last row to be printed; all that is filled if none is named.
    header_row: it stays in view, and is repeated on every page.
    upright: though it be wide; else a wide sheet lies on its side.
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
        part.font, part.size = f"{FONT},Regular", FOOTER_POINTS
    if header_row:
        sheet.freeze_panes = f"A{header_row + 1}"
        sheet.print_title_rows = f"{header_row}:{header_row}"


def page_points(sheet: Any, paper: Paper, widths: Sequence[float]) -> list[float]:
    """Height that a page takes of a sheet which is made to fit its width, as each kind of program has it."""
    short, long = PAGE_POINTS[paper]
    width, height = (short, long) if sheet.page_setup.orientation == "portrait" else (long, short)
    room = width - 2 * POINTS_PER_INCH * SIDE_INCHES
    scales = [min(1.0, room / (sum(widths) * points)) for points in measure.POINTS_PER_WIDTH]
    whole_percent = [math.floor(100 * scale) / 100 for scale in scales]
    return [(height - POINTS_PER_INCH * (SIDE_INCHES + FOOT_INCHES)) / scale for scale in whole_percent]
