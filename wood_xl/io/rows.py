"""The rows of a sheet of results, written as text that the pack step puts into the sheet.

The library makes objects for every cell three times over; written here, a cell takes a third of the time, and a
number keeps all its digits, of which the library writes sixteen. Everything else of a sheet, from its views to its
charts and the styles that its cells name, is the library's.
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

IN_MEMORY_BYTES = 1_000_000  # of one sheet; the rows of a longer one, as of a heart trace, wait on the disk
_ESCAPES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})


class StyleNumbers:
    """Numbers by which cells of one workbook name their styles, each style set up once."""

    def __init__(self) -> None:
        self._known: dict[tuple[Look, str, bool], int] = {}

    def of(self, sheet: Any, look: Look, number_format: str, *, quoted: bool) -> int:
        """The number of a look; ``quoted`` keeps a text from being taken for a formula when a person edits it."""
        key = look, number_format, quoted
        number = self._known.get(key)
        if number is None:
            after = AFTER_NUMBER if look.horizontal == "right" else ""
            cell = WriteOnlyCell(sheet)
            dress(cell, varied(look, number_format=(number_format or look.number_format) + after))
            cell.quotePrefix = quoted
            number = self._known[key] = cell.style_id
        return number


class SheetRows:
    """Takes the rows of one sheet, first row first."""

    def __init__(self, sheet: Any, styles: StyleNumbers) -> None:
        self.text = SpooledTemporaryFile(IN_MEMORY_BYTES)  # noqa: SIM115 - the book closes it once it is packed
        self._sheet = sheet
        self._styles = styles

    def append(self, row: int, contents: Sequence[str], height: float) -> None:
        """One row, with its number, the contents of its cells and its height in points."""
        letters = _letters(len(contents))
        filled = "".join([f'<c r="{letter}{row}"{one}' for letter, one in zip(letters, contents, strict=True)])
        self.text.write(f'<row r="{row}" ht="{height:g}" customHeight="1">{filled}</row>'.encode())

    def content(self, value: str | float, look: Look, number_format: str = "") -> str:
        """A cell after its name: a value as it is stored, with its look, and the number format of a number."""
        if isinstance(value, str):
            quoted = value.startswith(FORMULA_STARTS)
            return text_content(value, self._styles.of(self._sheet, look, number_format, quoted=quoted))
        return number_content(value, self._styles.of(self._sheet, look, number_format, quoted=False))


@lru_cache
def _letters(count: int) -> list[str]:
    """Names of the first columns."""
    return [get_column_letter(number) for number in range(1, count + 1)]


def text_content(text: str, style: int) -> str:
    """A cell's text and style, after its name; text stays text whatever its first character.

    >>> text_content("=1+1", 3)
    ' s="3" t="inlineStr"><is><t>=1+1</t></is></c>'
    """
    if not text:
        return f' s="{style}"/>'
    space = ' xml:space="preserve"' if text != text.strip() or "\n" in text or "  " in text else ""
    return f' s="{style}" t="inlineStr"><is><t{space}>{text.translate(_ESCAPES)}</t></is></c>'


def number_content(value: float, style: int) -> str:
    """A cell's number and style, after its name; raises ValueError for one that no cell can hold.

    >>> number_content(0.1 + 0.2, 3)
    ' s="3"><v>0.30000000000000004</v></c>'
    """
    if not math.isfinite(value):
        raise ValueError(f"a cell cannot hold {value}")
    return f' s="{style}"><v>{repr(float(value)).removesuffix(".0")}</v></c>'
