"""Writes the rows of a results sheet as XML, which ``pack`` puts into the sheet.

openpyxl makes three objects for each cell. Writing the XML takes a third of the time, and keeps all digits of a
number, of which openpyxl writes sixteen. Everything else on the sheet, views, charts and styles, is left to openpyxl.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from xml.sax.saxutils import escape

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.utils import get_column_letter

from wood_xl.io.looks import AFTER_NUMBER, FORMULA_STARTS, Look, dress, varied


class CellXml:
    """Writes the XML of the cells of one workbook; each style is created once."""

    def __init__(self, workbook: Workbook) -> None:
        self._workbook = workbook
        self._styles: dict[tuple[Look, str, bool], int] = {}

    def content(self, value: str | float, look: Look, number_format: str = "") -> str:
        """The XML of a cell after its address."""
        if not isinstance(value, str):
            return number_content(value, self._style(look, number_format, quoted=False))
        # A quoted text does not become a formula when somebody edits the cell.
        return text_content(value, self._style(look, number_format, quoted=value.startswith(FORMULA_STARTS)))

    def _style(self, look: Look, number_format: str, *, quoted: bool) -> int:
        key = look, number_format, quoted
        number = self._styles.get(key)
        if number is None:
            after = AFTER_NUMBER if look.horizontal == "right" else ""
            cell = WriteOnlyCell(self._workbook.worksheets[0])  # any sheet: styles belong to the workbook
            dress(cell, varied(look, number_format=(number_format or look.number_format) + after))
            cell.quotePrefix = quoted
            number = self._styles[key] = cell.style_id
        return number


def row_xml(row: int, contents: Sequence[str], height: float) -> bytes:
    """The XML of a row, with its number, the contents of its cells and its height in points."""
    letters = _letters(len(contents))
    cells = "".join([f'<c r="{letter}{row}"{content}' for letter, content in zip(letters, contents, strict=True)])
    return f'<row r="{row}" ht="{height:g}" customHeight="1">{cells}</row>'.encode()


@lru_cache
def _letters(count: int) -> list[str]:
    return [get_column_letter(number) for number in range(1, count + 1)]


def text_content(text: str, style: int) -> str:
    """The XML of a text cell after its address; text stays text whatever its first character.

    >>> text_content("=1+1", 3)
    ' s="3" t="inlineStr"><is><t>=1+1</t></is></c>'
    """
    if not text:
        return f' s="{style}"/>'
    space = ' xml:space="preserve"' if text != text.strip() or "\n" in text or "  " in text else ""
    return f' s="{style}" t="inlineStr"><is><t{space}>{escape(text)}</t></is></c>'


def number_content(value: float, style: int) -> str:
    """The XML of a number cell after its address; raises ValueError for infinity or NaN.

    >>> number_content(0.1 + 0.2, 3)
    ' s="3"><v>0.30000000000000004</v></c>'
    """
    if not math.isfinite(value):
        raise ValueError(f"a cell cannot hold {value}")
    return f' s="{style}"><v>{repr(float(value)).removesuffix(".0")}</v></c>'
