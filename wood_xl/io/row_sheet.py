"""A sheet whose rows are written as text, one after the other, and leave memory as they are written.

The library's own rows make objects for every cell three times over; written here, a cell takes a tenth of the time
and a number keeps all its digits. Everything else of the sheet, from its views to its charts, is the library's.
"""

from __future__ import annotations

import math
from collections.abc import Generator, Iterable
from typing import Any

from openpyxl.utils import get_column_letter as _letters
from openpyxl.worksheet._write_only import WriteOnlyWorksheet

_ESCAPES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})


class RowSheet(WriteOnlyWorksheet):
    """A sheet of a write-only workbook; what stands before its rows cannot be changed once one is written."""

    _get_writer: Any
    _writer: Any
    _rows: Any

    def write_row(self, row: int, cells: Iterable[str], height: float) -> None:
        """One row.

        Parameters
        ----------
        row : int
            Its number, above that of the row before.
        cells : iterable of str
            What ``text_content`` and ``number_content`` give, first column first.
        height : float
            Of the row. [points]
        """
        if self._rows is None:
            self._get_writer()
            self._rows = self._write_rows()
            next(self._rows)
        filled = [f'<c r="{_letters(column)}{row}"{cell}' for column, cell in enumerate(cells, start=1)]
        self._rows.send(f'<row r="{row}" ht="{height:g}" customHeight="1">{"".join(filled)}</row>')

    def _write_rows(self) -> Generator[None, str, None]:
        stream = self._writer.xf.send(True)
        with stream.element("sheetData"):
            write = getattr(stream._file, "write", stream._file)  # a function or a file, by the version beneath
            try:
                while True:
                    write((yield))
            except GeneratorExit:
                pass
        self._writer.xf.send(None)


def text_content(text: str, style: int) -> str:
    """A cell's text and style, after its name; text stays text whatever its first character.

    Examples
    --------
    >>> text_content("=1+1", 3)
    ' s="3" t="inlineStr"><is><t>=1+1</t></is></c>'
    """
    if not text:
        return f' s="{style}"/>'
    space = ' xml:space="preserve"' if text != text.strip() or "\n" in text or "  " in text else ""
    return f' s="{style}" t="inlineStr"><is><t{space}>{text.translate(_ESCAPES)}</t></is></c>'


def number_content(value: float, style: int) -> str:
    """A cell's number and style, after its name.

    Raises
    ------
    ValueError
        If the number is not finite: no cell can hold it.

    Examples
    --------
    >>> number_content(0.1 + 0.2, 3)
    ' s="3"><v>0.30000000000000004</v></c>'
    >>> number_content(16.0, 3)
    ' s="3"><v>16</v></c>'
    """
    if not math.isfinite(value):
        raise ValueError(f"a cell cannot hold {value}")
    return f' s="{style}"><v>{repr(float(value)).removesuffix(".0")}</v></c>'
