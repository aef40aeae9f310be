"""How a sheet is printed."""

from __future__ import annotations

from typing import Any, Literal

from wood_xl.io.looks import FONT

Paper = Literal["letter", "a4"]
PAPER_CODES = {"letter": 1, "a4": 9}  # of the format
SIDE_INCHES, FOOT_INCHES, FOOTER_INCHES = 0.5, 0.75, 0.3
WIDEST_UPRIGHT = 112.0  # digits; a wider sheet lies on its side
FOOTER_POINTS = 8


def set_up_page(sheet: Any, paper: Paper, *, width: float, header_row: int = 0, one_page: bool = False) -> None:
    """Paper, margins, footer, and the fit to one page's width.

    Parameters
    ----------
    sheet : Worksheet
        Of either kind.
    paper : {'letter', 'a4'}
        What it is printed on.
    width : float
        Sum of the column widths, in digits.
    header_row : int
        Row repeated on each page; 0 for none.
    one_page : bool
        Whether the whole sheet goes on one page.
    """
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 1 if one_page else 0
    sheet.page_setup.paperSize = PAPER_CODES[paper]
    sheet.page_setup.orientation = "portrait" if width <= WIDEST_UPRIGHT else "landscape"
    margins = sheet.page_margins
    margins.left = margins.right = margins.top = SIDE_INCHES
    margins.bottom, margins.header, margins.footer = FOOT_INCHES, FOOTER_INCHES, FOOTER_INCHES
    sheet.oddFooter.left.text, sheet.oddFooter.right.text = "&A", "Page &P of &N"
    for part in (sheet.oddFooter.left, sheet.oddFooter.right):
        part.font, part.size = f"{FONT},Regular", FOOTER_POINTS
    if header_row:
        sheet.print_title_rows = f"{header_row}:{header_row}"
