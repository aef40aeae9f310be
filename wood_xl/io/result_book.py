"""A workbook of results: its paper, its sheets of tables, and its seal."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from typing import Any, cast

from openpyxl import Workbook
from openpyxl.utils.indexed_list import IndexedList

from wood_xl.io import looks, measure
from wood_xl.io.blocks import POINTS_PER_INCH, Block, Cell, Head, SheetWriter, column_widths, heads_row
from wood_xl.io.looks import Looks
from wood_xl.io.page import FOOT_INCHES, SIDE_INCHES, Paper, set_up_page
from wood_xl.io.row_sheet import RowSheet
from wood_xl.io.seal import Seal
from wood_xl.schema.layout import ITEM_HEADER, SEAL_TITLE, VALUE_HEADER

SheetRowLog = Callable[[str, int, Iterable[tuple[int, str | float]]], None]
Draw = Callable[[SheetWriter, int, Block, int], None]

PAGE_POINTS = {"letter": (612.0, 792.0), "a4": (595.3, 841.9)}
SEAL_HELP = (
    "A hash of every cell above it and of the other sheets. The command verify tells whether one was changed since "
    "the file was written, and computes every figure again."
)
SEAL_ITEM = "SHA-256 of all cells"
SAME_NOTES = "Notes: the same as under {title}."
LONG_TABLE_ROWS = 20  # a first table longer than this keeps its header in view, though others follow


class ResultBook:
    """A write-only workbook with its looks and paper."""

    def __init__(self, paper: Paper, log: SheetRowLog) -> None:
        self.paper = paper
        self.log = log
        self.workbook = cast(Any, Workbook(write_only=True))  # Any: what is set here has no public name
        # Column widths count digits of the font of unstyled cells: it has to be the one that is measured.
        self.workbook._fonts = IndexedList([looks.plain_font()])
        self.workbook._named_styles["Normal"].font = looks.plain_font()
        self.looks = Looks(self.workbook)

    def close(self) -> None:
        """End the sheets of a workbook that will not be saved: each has a file open."""
        for sheet in self.workbook.worksheets:
            sheet.close()

    def writer(self, title: str, widths: list[float], *, frozen: int, upright: bool = False) -> SheetWriter:
        """A new sheet, set up for screen and paper.

        Parameters
        ----------
        title : str
            Of the sheet.
        widths : list of float
            Of its columns.
        frozen : int
            Rows that stay in view.
        upright : bool
            Whether the page stands upright however wide the sheet is.
        """
        sheet: Any = RowSheet(self.workbook, title)
        self.workbook._add_sheet(sheet)
        sheet.sheet_view.showGridLines = False
        sheet.freeze_panes = f"A{frozen + 1}"
        sheet.sheet_format.defaultRowHeight = measure.row_height(1)
        sheet.sheet_format.customHeight = True
        set_up_page(sheet, self.paper, width=sum(widths))
        if upright:
            sheet.page_setup.orientation = "portrait"
        return SheetWriter(sheet, self.looks, widths, self._page_points(sheet, widths), partial(self.log, title))

    def _page_points(self, sheet: Any, widths: Sequence[float]) -> list[float]:
        """Height that a page takes of a sheet which is made to fit its width, as each kind of program has it."""
        short, long = PAGE_POINTS[self.paper]
        width, height = (short, long) if sheet.page_setup.orientation == "portrait" else (long, short)
        room = width - 2 * POINTS_PER_INCH * SIDE_INCHES
        scales = [min(1.0, room / (sum(widths) * points)) for points in measure.POINTS_PER_WIDTH]
        return [(height - POINTS_PER_INCH * (SIDE_INCHES + FOOT_INCHES)) / _whole_percent(scale) for scale in scales]


def _whole_percent(scale: float) -> float:
    return math.floor(100 * scale) / 100


def table_sheet(book: ResultBook, title: str, blocks: Sequence[Block], draw: Draw | None = None) -> SheetWriter:
    """A sheet of tables; the header of the first stays in view if it is meant for most of what is seen."""
    shown = [_without_double_notes(block, blocks[:number]) for number, block in enumerate(blocks)]
    header = heads_row(blocks[0])
    kept = len(blocks) == 1 or len(blocks[0].rows) > LONG_TABLE_ROWS
    writer = book.writer(title, column_widths(blocks), frozen=header if kept else 1)
    longest = max(range(len(blocks)), key=lambda number: len(blocks[number].rows))
    repeated = 0  # row that stands on each printed page
    for number, block in enumerate(shown):
        if number:
            writer.gap()
        first = writer.block(block)
        is_parted = writer.is_parted
        if is_parted:  # rows of another table must not stand under the header of the first
            repeated = 0 if number or not kept else header
        if draw is not None:
            draw(writer, number, block, first)
        if number == longest == len(shown) - 1:  # all pages that come after its header are its own
            only_pictures = writer.sheet._charts and not is_parted  # a header above them would say nothing
            repeated = 0 if only_pictures else first - 1
    if repeated:
        writer.sheet.print_title_rows = f"{repeated}:{repeated}"
    return writer


def _without_double_notes(block: Block, before: Sequence[Block]) -> Block:
    """A block that points to one before it instead of saying the same notes again."""
    same = next((other.title for other in before if block.notes and other.notes == block.notes), "")
    return replace(block, notes=(SAME_NOTES.format(title=same),)) if len(block.notes) > 1 and same else block


def write_seal(writer: SheetWriter, seal: Seal) -> None:
    """The seal of everything told so far, below what stands on the last sheet."""
    writer.gap()
    text = seal.text()  # before the block tells its own rows
    writer.block(
        Block(SEAL_TITLE, SEAL_HELP, (Head(ITEM_HEADER), Head(VALUE_HEADER)), [[Cell(SEAL_ITEM), Cell(text)]])
    )
