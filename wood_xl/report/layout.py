"""A page as lines of cells on a grid of pixels, and how it is written to a sheet: heights, page breaks, print set-up.

A ``Page`` needs no workbook. It holds all that a reader sees, so that it can be compared with a file.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from openpyxl.drawing.spreadsheet_drawing import AnchorMarker, OneCellAnchor
from openpyxl.drawing.xdr import XDRPositiveSize2D
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.cell_range import CellRange
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.pagebreak import Break

from wood_xl.io import measure
from wood_xl.io.limits import storable_text
from wood_xl.io.looks import Look, dress, set_text, varied
from wood_xl.io.page import PAPER_CODES, Paper
from wood_xl.reasons import Said, Word
from wood_xl.report import styles
from wood_xl.report.styles import MEDIUM, THIN, edges
from wood_xl.results.figures import grouped
from wood_xl.schema.words import NO_BREAK, phrase, words

PX_PER_POINT = 96 / 72
DIGIT_PX = measure.DIGIT / 1000 * measure.DEFAULT_SIZE * PX_PER_POINT
CELL_PX, DIGIT_OF_WIDTH_PX = 5, 7  # margins within a column's width, and a digit of the default font
MOST_PX = 668  # of columns without their margins
SLACK, SLACK_PX = 0.98, 8
LINE_POINTS = 1.27  # for each point of size
PAGE_POINTS = 713.0  # fits both papers
SIDE_INCHES, TOP_INCHES, BOTTOM_INCHES, FOOTER_INCHES = 0.45, 0.5, 0.5, 0.25
FOOTER_SIZE = 8
EMU_PER_PX = 9525
PADS = {  # points above and below the text, by role, where they are not ``PAD``
    styles.TITLE: 5.0,
    styles.SECTION: 3.0,
    styles.BOX_TEXT: 6.0,
    styles.BOX_LABEL: 6.0,
    styles.CAUTION_TEXT: 1.0,
    styles.CAUTION_LABEL: 3.0,
    styles.ONE_CAUTION: 0.5,
}
PAD_OF_ROLE = {look.role: pad for look, pad in PADS.items()}
PAD = 3.0
SECTION_GAP = 5.0
HEADED = 4  # first lines of a long group kept together (gap, heading and two more), so that no heading ends a page
HIGHEST = measure.HIGHEST_ROW
RANGE = re.compile(r"\(\S*\d (?:to \S*\d|or more|or less)\)")


@dataclass(frozen=True)
class Span:
    """A cell over some columns of the grid; ``link`` is the place in the workbook that it points to."""

    text: str
    look: Look = styles.CELL
    columns: int = 1
    link: str = ""


CellText = Said | Word | str  # an id or a text
Cells = list[Span | CellText]  # a row of a table


@dataclass(frozen=True)
class Placed:
    """A chart with its distance from the left edge, its size, and what it shows in words."""

    chart: Any
    left_px: int
    width_px: int
    height_px: int
    text: str


@dataclass(frozen=True)
class Line:
    """One row of a sheet."""

    cells: tuple[Span, ...]
    height: float  # in points
    group: int  # lines with the same number stay on one page if it can hold them
    table: int = 0  # number of its table; 0 outside of tables
    is_head: bool = False
    charts: tuple[Placed, ...] = ()


def most_px(columns_n: int) -> int:
    """Pixels that so many columns may take together; some programs add no margins and draw wider digits."""
    return MOST_PX + CELL_PX * columns_n


class Page:
    """One reading sheet, filled from top to bottom."""

    def __init__(self, widths_px: Sequence[int], facts: Mapping[str, str]) -> None:
        self.widths = tuple(widths_px)
        self._facts = facts  # for the slots of ids that it is given as texts
        self._lines: list[Line] = []
        self._group = 0
        self._table = 0

    @property
    def columns(self) -> int:
        """How many columns the grid has."""
        return len(self.widths)

    def _words(self, text: CellText) -> str:
        return phrase(text, **self._facts) if isinstance(text, Word) else words(text)

    def title(self, title: CellText, subtitle: CellText, invented: str = "") -> None:
        """The sheet's title, a line below it, and the mark of invented figures."""
        spans = (Span(self._words(title), look, self.columns) for look in styles.TITLES)
        fitting = (span.look for span in spans if self._lines_in(0, span) == 1)
        look = next(fitting, styles.TITLES[-1])
        self.text(title, look)
        if subtitle:
            self.text(subtitle, styles.SUBTITLE)
        if invented:
            self.text(invented, styles.INVENTED)

    def section(self, title: CellText) -> None:
        """A heading; what follows stays with it on one page if it can."""
        self._group += 1
        if self._lines:
            self.gap(SECTION_GAP)
        self.text(title, styles.SECTION)

    def text(self, text: CellText, look: Look = styles.TEXT) -> None:
        """A paragraph over the whole width."""
        if text:
            self._add((Span(self._words(text), look, self.columns),))

    def gap(self, points: float) -> None:
        """An empty line of this height."""
        self._lines.append(Line((), points, self._group))

    def box(self, rows: Sequence[Sequence[tuple[str, Look]]], color: str, *, fill: str = "", rule: str = "") -> None:
        """A framed box with a text, or a label and a text, in each row, and a rule between rows."""
        for number, row in enumerate(rows):
            ends = [("t", MEDIUM, color)] * (number == 0)
            ends += [("b", MEDIUM, color)] if number == len(rows) - 1 else [("b", THIN, rule)] * bool(rule)
            placed = (("lr", self.columns),) if len(row) == 1 else (("l", 1), ("r", self.columns - 1))
            cells = [
                Span(text, varied(look, border=edges(*ends, (side, MEDIUM, color)), fill=fill), columns)
                for (text, look), (side, columns) in zip(row, placed, strict=True)
            ]
            self._add(tuple(cells))

    def cautions(self, label: CellText, texts: Iterable[str]) -> None:
        """The cautions in a frame, above everything else."""
        rows = [[(self._words(label), styles.CAUTION_LABEL)], *([(text, styles.CAUTION_TEXT)] for text in texts)]
        self.box(rows, styles.CAUTION)
        self.gap(3.0)

    def statement(self, label: CellText, text: str, look: Look = styles.TEXT) -> None:
        """A paragraph with its label at the left."""
        self._add((Span(self._words(label), styles.LABEL), Span(text, look, self.columns - 1)))

    def table(
        self, heads: Sequence[CellText], rows: Sequence[Sequence[Span | CellText]], spans: Sequence[int] = ()
    ) -> None:
        """A header, which is repeated on further pages, and rows that begin with their name.

        spans: how many columns each cell covers, if not one.
        A page may begin before each row that is a band, the first one excepted.
        """
        self._table += 1
        spans = spans or (1,) * self.columns
        if heads:
            head = tuple(Span(self._words(text), styles.HEAD, n) for text, n in zip(heads, spans, strict=False))
            self._add(head, is_head=True, table=self._table)
        looks = (styles.NAME, *[styles.CELL] * len(spans))
        for number, row in enumerate(rows):
            if number and isinstance(row[0], Span) and row[0].look is styles.BAND:
                self.new_group()
            cells = [
                cell if isinstance(cell, Span) else Span(self._words(cell), look, n)
                for cell, look, n in zip(row, looks, spans, strict=False)
            ]
            self._add(tuple(self._unbroken(first, cell) for first, cell in self.placed(cells)), table=self._table)

    def charts(self, *charts: Placed) -> None:
        """Charts side by side, in a row of their height."""
        self._lines.append(Line((), self._height_of(*charts), self._group, charts=charts))

    @staticmethod
    def _height_of(*charts: Placed) -> float:
        return min(HIGHEST, max(chart.height_px for chart in charts) / PX_PER_POINT + PAD)

    def redraw(self, drawn: Callable[[float], Placed]) -> None:
        """Draw the first chart again, which may be higher by so many pixels as its printed page has left."""
        for lines in self.pages():
            for line in lines:
                if line.charts:
                    chart = drawn((PAGE_POINTS - sum(one.height for one in lines)) * PX_PER_POINT)
                    number = next(at for at, one in enumerate(self._lines) if one is line)
                    self._lines[number] = replace(line, height=self._height_of(chart), charts=(chart,))
                    return

    def key(self, *parts: tuple[CellText, str, int]) -> None:
        """A key of colors: text, fill (empty for none) and number of columns of each part."""
        dark = (styles.POWER, styles.HEADING)
        looks = (varied(styles.KEY, fill=fill, ink="FFFFFF" if fill in dark else styles.INK) for _, fill, _ in parts)
        self._add(tuple(Span(self._words(text), look, n) for (text, _, n), look in zip(parts, looks, strict=True)))

    def new_group(self) -> None:
        """Allow a page break before what follows."""
        self._group += 1

    def _add(self, cells: tuple[Span, ...], *, table: int = 0, is_head: bool = False) -> None:
        self._lines.append(Line(cells, self._height(cells), self._group, table, is_head))

    def _height(self, cells: tuple[Span, ...]) -> float:
        heights = [measure.DEFAULT_SIZE * LINE_POINTS]
        for first, cell in self.placed(cells):
            lines = self._lines_in(first, cell)
            heights.append(lines * cell.look.size * LINE_POINTS + PAD_OF_ROLE.get(cell.look.role.split(",")[0], PAD))
        return min(HIGHEST, round(max(heights), 2))

    @staticmethod
    def placed(cells: Sequence[Span]) -> Iterator[tuple[int, Span]]:
        """Each cell with the number of its first column, from 0."""
        column = 0
        for cell in cells:
            yield column, cell
            column += cell.columns

    def _lines_in(self, first: int, cell: Span) -> int:
        return measure.lines_within(cell.text, self.room(first, cell), cell.look.size, bold=cell.look.bold)

    def _unbroken(self, first: int, cell: Span) -> Span:
        """The cell with ranges that no line breaks, if it has several lines, each range fits, and none is added."""
        ranges = RANGE.findall(cell.text)
        lines = self._lines_in(first, cell) if ranges else 1
        if lines == 1 or any(self._lines_in(first, replace(cell, text=one)) > 1 for one in ranges):
            return cell
        whole = replace(cell, text=RANGE.sub(lambda match: match[0].replace(" ", NO_BREAK), cell.text))
        return whole if lines >= self._lines_in(first, whole) else cell

    def room(self, first: int, cell: Span) -> float:
        """How many digits of the default size fit on one line of a cell."""
        width = sum(self.widths[first : first + cell.columns])
        indent = cell.look.indent * measure.INDENT * DIGIT_PX
        return max(1.0, (width * SLACK - SLACK_PX - indent) / DIGIT_PX)

    def pages(self) -> list[list[Line]]:
        """The lines by printed page, with groups kept whole where a page holds them and table headers repeated."""
        pages: list[list[Line]] = [[]]
        used = 0.0
        head: Line | None = None
        for group in grouped(self._lines, lambda line: line.group).values():
            height = sum(line.height for line in group)
            least = height if height <= PAGE_POINTS else sum(line.height for line in group[:HEADED])
            if used and used + least > PAGE_POINTS:
                goes_on = head is not None and group[0].table == head.table
                pages.append([head] if head and goes_on else [])
                used = head.height if head and goes_on else 0.0
            for line in group:
                before = head
                head = line if line.is_head else head if head and line.table == head.table else None
                if used + line.height > PAGE_POINTS and not line.is_head:
                    first = [head] if head else []
                    if before and not head and line.cells and pages[-1][-1].table:  # keep a note with its table
                        first = [before, pages[-1].pop()]
                    pages.append(first)
                    used = sum(one.height for one in first)
                if not pages[-1] and not line.cells and not line.charts:
                    continue  # no gap at the top of a page
                pages[-1].append(line)
                used += line.height
        return pages

    def rows(self) -> Iterator[tuple[int, list[tuple[int, str]]]]:
        """Each row of the sheet, from 1, with its texts by column, from 1."""
        for number, line in enumerate((line for page in self.pages() for line in page), start=1):
            yield number, [(first + 1, storable_text(cell.text)) for first, cell in self.placed(line.cells)]


def write_page(sheet: Any, page: Page, paper: Paper, footer: tuple[str, str]) -> list[str]:
    """Write a page to a new sheet with the left and right text of its footer; returns what its charts show."""
    _set_up(sheet, paper, footer)
    for index, width in enumerate(page.widths, start=1):
        sheet.column_dimensions[get_column_letter(index)].width = round((width - CELL_PX) / DIGIT_OF_WIDTH_PX, 3)
    row, texts = 1, []
    for lines in page.pages():
        if row > 1:
            sheet.row_breaks.append(Break(id=row - 1))
        for line in lines:
            sheet.row_dimensions[row].height = line.height
            for first, cell in page.placed(line.cells):
                _write_cell(sheet, row, first + 1, cell)
            for placed in line.charts:
                _place(sheet, placed, page.widths, row)
                texts.append(placed.text)
            row += 1
    last = get_column_letter(page.columns)
    sheet.print_area = f"A1:{last}{row - 1}"  # a chart beyond narrowed columns must not start another page
    return texts


def _write_cell(sheet: Any, row: int, column: int, cell: Span) -> None:
    written = sheet.cell(row=row, column=column)
    set_text(written, cell.text)
    if cell.link:
        written.hyperlink = Hyperlink(ref=written.coordinate, location=cell.link)
    last = column + cell.columns - 1
    dress(written, _part_of(cell.look, is_first=True, is_last=last == column))
    if last > column:
        area = CellRange(min_col=column, min_row=row, max_col=last, max_row=row)
        sheet.merged_cells.ranges.add(area)  # the library's own way compares each area with all others
        for other in range(column + 1, last + 1 if cell.look.border else column + 1):
            dress(sheet.cell(row=row, column=other), _part_of(cell.look, is_first=False, is_last=other == last))


@cache
def _part_of(look: Look, *, is_first: bool, is_last: bool) -> Look:
    """The look of one of the cells that a wide cell covers: it has the border only at the edges of the whole."""
    inner = "l" * (not is_first) + "r" * (not is_last)
    sides = [part.split() for part in look.border.split(", ")] if look.border else []
    kept = [("".join(letter for letter in letters if letter not in inner), *rest) for letters, *rest in sides]
    return varied(look, border=", ".join(" ".join(part) for part in kept if part[0]))


def _place(sheet: Any, placed: Placed, widths: Sequence[int], row: int) -> None:
    column, left = 0, placed.left_px
    while column < len(widths) - 1 and left >= widths[column]:
        left -= widths[column]
        column += 1
    corner = AnchorMarker(col=column, colOff=left * EMU_PER_PX, row=row - 1, rowOff=0)
    size = XDRPositiveSize2D(placed.width_px * EMU_PER_PX, placed.height_px * EMU_PER_PX)
    placed.chart.anchor = OneCellAnchor(_from=corner, ext=size)
    sheet.add_chart(placed.chart)


def _set_up(sheet: Any, paper: Paper, footer: tuple[str, str]) -> None:
    sheet.sheet_view.showGridLines = False
    sheet.page_setup.paperSize = PAPER_CODES[paper]
    sheet.page_setup.orientation = "portrait"
    sheet.page_setup.scale = 100
    sheet.print_options.horizontalCentered = True
    margins = sheet.page_margins
    margins.left = margins.right = SIDE_INCHES
    margins.top, margins.bottom = TOP_INCHES, BOTTOM_INCHES
    margins.header = margins.footer = FOOTER_INCHES
    for part, text in zip((sheet.oddFooter.left, sheet.oddFooter.right), footer, strict=True):
        part.text, part.size = text, FOOTER_SIZE  # no font: some programs print its name
