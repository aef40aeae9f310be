"""Writes result workbooks, of a season, a pool or many files: sheets of tables, and the seal."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import Any

from openpyxl import Workbook

from wood_xl.io import measure
from wood_xl.io.blocks import Block, Cell, Head, SheetWriter, column_widths, heads_row
from wood_xl.io.pack import packed
from wood_xl.io.page import Paper, page_points, set_up_page
from wood_xl.io.rows import CellXml
from wood_xl.io.seal import Seal
from wood_xl.page_texts import InResults
from wood_xl.schema.layout import ITEM_HEADER, SEAL_TITLE, VALUE_HEADER
from wood_xl.schema.words import words

SheetRowLog = Callable[[str, int, Iterable[tuple[int, str | float]]], None]

LONG_TABLE_ROWS = 20  # a longer first table keeps its header in view even if other tables follow


class ResultBook:
    """A results workbook that is being written; ``log`` is called with every row."""

    def __init__(self, paper: Paper, log: SheetRowLog) -> None:
        self.workbook = Workbook()
        self.workbook.remove(self.workbook.worksheets[0])
        self.paper = paper
        self.log = log
        self.chart_texts: list[list[str]] = []  # of the sheets with charts, in their order
        self._writers: list[SheetWriter | None] = []
        self._cells = CellXml(self.workbook)

    def packed(self) -> bytes:
        """The bytes of the .xlsx file."""
        rows = [None if writer is None else writer.text for writer in self._writers]
        return packed(self.workbook, rows, chart_texts=self.chart_texts)

    def close(self) -> None:
        """Discard the rows."""
        for writer in filter(None, self._writers):
            writer.text.close()

    def page_sheet(self, title: str) -> Any:
        """A new sheet that is written cell by cell."""
        self._writers.append(None)
        return self.workbook.create_sheet(title)

    def writer(self, title: str, widths: list[float], *, frozen: int) -> SheetWriter:
        """A writer for a new sheet, set up for screen and paper, with the first ``frozen`` rows always in view."""
        sheet: Any = self.workbook.create_sheet(title)
        sheet.freeze_panes = f"A{frozen + 1}"
        sheet.sheet_format.defaultRowHeight = measure.row_height(1)
        sheet.sheet_format.customHeight = True
        set_up_page(sheet, self.paper, widths)
        points = page_points(sheet, self.paper, widths)
        writer = SheetWriter(sheet, self._cells.content, widths, points, partial(self.log, title))
        self._writers.append(writer)
        return writer


def book_bytes(paper: Paper, write: Callable[[ResultBook], SheetWriter], *, is_sealed: bool = True) -> bytes:
    """The bytes of an .xlsx file with the sheets that ``write`` writes, and the seal below the last of them."""
    seal = Seal()
    book = ResultBook(paper, seal.row)
    try:
        last = write(book)
        if is_sealed:
            last.gap()
            seal_text = seal.text()  # before the seal's own rows are hashed
            heads, cells = (Head(ITEM_HEADER), Head(VALUE_HEADER)), [Cell(words(InResults.SEAL)), Cell(seal_text)]
            last.block(Block(SEAL_TITLE, words(InResults.SEAL_HELP), heads, [cells]))
        return book.packed()
    finally:
        book.close()


def table_sheet(book: ResultBook, title: str, blocks: Sequence[Block]) -> SheetWriter:
    """A sheet of tables; the header of the first stays in view if that table is the only one, or long."""
    header = heads_row(blocks[0])
    is_frozen = len(blocks) == 1 or len(blocks[0].rows) > LONG_TABLE_ROWS
    writer = book.writer(title, column_widths(blocks), frozen=header if is_frozen else 1)
    longest = max(range(len(blocks)), key=lambda number: len(blocks[number].rows))
    repeated = 0  # row to repeat on each printed page
    for number, block in enumerate(blocks):
        if number:
            writer.gap()
        first = writer.block(block)
        if writer.is_parted:  # rows of another table must not be printed under the header of the first
            repeated = 0 if number or not is_frozen else header
        if number == longest == len(blocks) - 1:  # only its own pages follow its header
            repeated = first - 1
    if repeated:
        writer.sheet.print_title_rows = f"{repeated}:{repeated}"
    return writer
