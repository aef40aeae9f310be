"""How cells of the results look: letters, fills, rules; and the one place where a value becomes a styled cell.

Two fills, told apart by role and by lightness in grey print: results' headers, and the mark of an invented example.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

from wood_xl.io.limits import storable_text
from wood_xl.io.row_sheet import RowSheet, number_content, text_content

FONT = "Arial"
INK = "1F1F1F"
GREY_INK = "595959"
RESULT_FILL = "DCE6EE"
EXAMPLE_FILL = "F2D98C"
RULE = "BFBFBF"
GENERAL = "General"
AFTER_NUMBER = "_)"
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "'")


@dataclass(frozen=True, slots=True)
class Look:
    """Letters, fill and place of a cell.

    Attributes
    ----------
    size : float
        Of the letters. [points]
    ruled : bool
        Whether a thin line stands under the cell.
    indent : int
        Steps in from the side that ``horizontal`` names.
    """

    size: float = 10.0
    bold: bool = False
    italic: bool = False
    ink: str = INK
    fill: str = ""
    horizontal: str = "left"
    vertical: str = "top"
    ruled: bool = False
    indent: int = 0
    wraps: bool = True


SHEET_TITLE = Look(size=15.0, bold=True, vertical="center")
TITLE = Look(size=12.0, bold=True, vertical="center")
HELP = Look(size=9.0, ink=GREY_INK)
NOTE = Look(size=8.5, ink=GREY_INK)
SENTENCE = Look(size=10.5)
CAUTION = Look(size=9.5)
EXAMPLE = Look(size=11.0, bold=True, fill=EXAMPLE_FILL, vertical="center")
# Steps in keep the columns apart. Numbers have a blank of a bracket's width in their format instead: their step would
# be drawn in some rows and not in others.
TEXT_HEADER = Look(bold=True, fill=RESULT_FILL, vertical="bottom", ruled=True, indent=1)
NUMBER_HEADER = replace(TEXT_HEADER, horizontal="right")
TEXT = Look(vertical="center", ruled=True, indent=1)
EDGE_TEXT_HEADER, EDGE_TEXT = replace(TEXT_HEADER, indent=0), replace(TEXT, indent=0)  # under the title
NUMBER = Look(horizontal="right", vertical="center", ruled=True, wraps=False)
NUMBER_AMONG_TEXTS = replace(TEXT, wraps=False)
REASON_AMONG_TEXTS = replace(TEXT, size=8.0, italic=True, ink=GREY_INK)
REASON = replace(REASON_AMONG_TEXTS, horizontal="right")


class Looks:
    """Gives the contents of cells in one workbook, with each look's style set up once.

    Parameters
    ----------
    workbook : Workbook
        Write-only.
    """

    def __init__(self, workbook: Any) -> None:
        self._model = RowSheet(workbook, "model")  # cells are styled through a sheet; this one is not in the workbook
        self._styles: dict[tuple[Look, str, bool], int] = {}
        self._texts: dict[tuple[Look, str], str] = {}

    def text(self, text: str, look: Look = TEXT) -> str:
        """Content of a cell that holds a text and stays one, whatever its first character."""
        content = self._texts.get((look, text))
        if content is None:
            stored = storable_text(text)
            content = text_content(stored, self._style(look, GENERAL, stored.startswith(FORMULA_STARTS)))
            self._texts[look, text] = content
        return content

    def number(self, value: float, number_format: str, look: Look = NUMBER) -> str:
        """Content of a cell that holds a number."""
        return number_content(value, self._style(look, number_format, False))

    def _style(self, look: Look, number_format: str, quoted: bool) -> int:
        key = (look, number_format, quoted)
        if key not in self._styles:
            self._styles[key] = self._new_style(look, number_format, quoted)
        return self._styles[key]

    def _new_style(self, look: Look, number_format: str, quoted: bool) -> int:
        cell: Any = WriteOnlyCell(self._model)
        cell.font = Font(name=FONT, size=look.size, bold=look.bold, italic=look.italic, color=look.ink, family=2)
        cell.alignment = Alignment(
            horizontal=look.horizontal, vertical=look.vertical, indent=look.indent, wrap_text=look.wraps
        )
        cell.fill = PatternFill("solid", fgColor=look.fill) if look.fill else PatternFill()
        cell.border = Border(bottom=Side(style="thin", color=RULE)) if look.ruled else Border()
        cell.number_format = number_format + (AFTER_NUMBER if look.horizontal == "right" else "")
        cell.quotePrefix = quoted
        number: int = cell.style_id
        return number


def plain_font(size: float = 10.0) -> Font:
    """The font of a workbook's unstyled cells, by which column widths are counted."""
    return Font(name=FONT, size=size, family=2)
