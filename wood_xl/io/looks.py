"""How cells of the results look: letters, fills, rules; and the one place where a value becomes a styled cell.

Two fills, told apart by role and by lightness in grey print: results' headers, and the mark of an invented example.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

from wood_xl.io.limits import storable_text

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
EXAMPLE = Look(size=11.0, bold=True, fill=EXAMPLE_FILL, vertical="center")
TEXT_HEADER = Look(bold=True, fill=RESULT_FILL, vertical="bottom", ruled=True)
# An indent, and for numbers a blank of a bracket's width in their format, keep them off the text in the next column.
# (An indent of numbers is drawn in some rows and not in others.)
NUMBER_HEADER = Look(bold=True, fill=RESULT_FILL, horizontal="right", vertical="bottom", ruled=True, indent=1)
TEXT = Look(vertical="center", ruled=True)
NUMBER = Look(horizontal="right", vertical="center", ruled=True, wraps=False)
NUMBER_AMONG_TEXTS = Look(vertical="center", ruled=True, wraps=False)
REASON = Look(size=8.0, italic=True, ink=GREY_INK, horizontal="right", vertical="center", ruled=True, indent=1)
REASON_AMONG_TEXTS = Look(size=8.0, italic=True, ink=GREY_INK, vertical="center", ruled=True)


class Looks:
    """Makes the cells of one workbook, with each look's style set up once."""

    def __init__(self) -> None:
        self._styles: dict[tuple[Look, str, bool], Any] = {}

    def text(self, sheet: Any, text: str, look: Look = TEXT) -> Any:
        """A cell that holds a text and stays one, whatever its first character."""
        stored = storable_text(text)
        cell: Any = WriteOnlyCell(sheet, stored or None)
        if stored:
            cell.data_type = "s"  # after the value: setting that guesses formulas and errors
        cell._style = self._style(sheet, look, GENERAL, stored.startswith(FORMULA_STARTS))
        return cell

    def number(self, sheet: Any, value: float, number_format: str, look: Look = NUMBER) -> Any:
        """A cell that holds a number."""
        number_format += AFTER_NUMBER if look.horizontal == "right" else ""
        cell: Any = WriteOnlyCell(sheet, value)
        cell._style = self._style(sheet, look, number_format, False)
        return cell

    def _style(self, sheet: Any, look: Look, number_format: str, quoted: bool) -> Any:
        key = (look, number_format, quoted)
        if key not in self._styles:
            self._styles[key] = _new_style(sheet, look, number_format, quoted)
        return self._styles[key]


def plain_font(size: float = 10.0) -> Font:
    """The font of a workbook's unstyled cells, by which column widths are counted."""
    return Font(name=FONT, size=size, family=2)


def _new_style(sheet: Any, look: Look, number_format: str, quoted: bool) -> Any:
    cell: Any = WriteOnlyCell(sheet)
    cell.font = Font(name=FONT, size=look.size, bold=look.bold, italic=look.italic, color=look.ink, family=2)
    cell.alignment = Alignment(
        horizontal=look.horizontal, vertical=look.vertical, indent=look.indent, wrap_text=look.wraps
    )
    if look.fill:
        cell.fill = PatternFill("solid", fgColor=look.fill)
    if look.ruled:
        cell.border = Border(bottom=Side(style="thin", color=RULE))
    cell.number_format = number_format
    if quoted:
        cell.quotePrefix = True
    return cell._style
