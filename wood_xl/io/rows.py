"""Writes the rows of a results sheet as XML, which ``pack`` puts into the sheet.

openpyxl makes three objects for each cell. Writing the XML takes a third of the time, and keeps all digits of a
number, of which openpyxl writes sixteen. Everything else on the sheet, views, charts and styles, is left to openpyxl.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from tempfile import SpooledTemporaryFile
from typing import Any

from openpyxl.cell import WriteOnlyCell
from openpyxl.utils import get_column_letter

from wood_xl.io.looks import AFTER_NUMBER, FORMULA_STARTS, Look, dress, varied

IN_MEMORY_BYTES = 1_000_000  # of one sheet; longer ones, such as heart traces, go to a temporary file
_ESCAPES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})


class StyleNumbers:
    """Style numbers of one workbook; each style is created once."""

    def __init__(self) -> None:
        self._numbers: dict[tuple[Look, str, bool], int] = {}

    def of(self, sheet: Any, look: Look, number_format: str, *, quoted: bool) -> int:
        """The number of a look; ``quoted`` keeps a text from becoming a formula when somebody edits the cell."""
        key = look, number_format, quoted
        number = self._numbers.get(key)
        if number is None:
            after = AFTER_NUMBER if look.horizontal == "right" else ""
            cell = WriteOnlyCell(sheet)
            dress(cell, varied(look, number_format=(number_format or look.number_format) + after))
            cell.quotePrefix = quoted
            number = self._numbers[key] = cell.style_id
        return number


class SheetRows:
    """Collects the rows of one sheet, in order."""

    def __init__(self, sheet: Any, styles: StyleNumbers) -> None:
        self.text = SpooledTemporaryFile(IN_MEMORY_BYTES)  # noqa: SIM115 - the book closes it once it is packed
        self._sheet = sheet
        self._styles = styles

    def append(self, row: int, contents: Sequence[str], height: float) -> None:
        """Write a row, with its number, the contents of its cells and its height in points."""
        letters = _letters(len(contents))
        cells = "".join([f'<c r="{letter}{row}"{content}' for letter, content in zip(letters, contents, strict=True)])
        self.text.write(f'<row r="{row}" ht="{height:g}" customHeight="1">{cells}</row>'.encode())

    def content(self, value: str | float, look: Look, number_format: str = "") -> str:
        """The XML of a cell after its address."""
        if isinstance(value, str):
            quoted = value.startswith(FORMULA_STARTS)
            return text_content(value, self._styles.of(self._sheet, look, number_format, quoted=quoted))
        return number_content(value, self._styles.of(self._sheet, look, number_format, quoted=False))


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
    return f' s="{style}" t="inlineStr"><is><t{space}>{text.translate(_ESCAPES)}</t></is></c>'


def number_content(value: float, style: int) -> str:
    """The XML of a number cell after its address; raises ValueError for infinity or NaN.

    >>> number_content(0.1 + 0.2, 3)
    ' s="3"><v>0.30000000000000004</v></c>'
    """
    if not math.isfinite(value):
        raise ValueError(f"a cell cannot hold {value}")
    return f' s="{style}"><v>{repr(float(value)).removesuffix(".0")}</v></c>'
