"""Tables stacked on one sheet: a title, a line of help, a header row, the rows, the lines under them.

A ``Block`` is made from a document, without a workbook. ``SheetWriter`` writes blocks one below the other, with
column widths that suit all of them, and sets every row height, so that nothing is cut off on screen or paper.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate, chain, count, islice, zip_longest
from tempfile import SpooledTemporaryFile
from typing import Any, NamedTuple

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break

from wood_xl.io import looks, measure
from wood_xl.io.limits import storable_text
from wood_xl.io.looks import Look
from wood_xl.io.rows import row_xml

Content = Callable[..., str]
RowLog = Callable[[int, Iterable[tuple[int, str | float]]], None]
_WrittenRow = tuple[Sequence[str | float], Sequence[str], float]  # values, XML of the cells, height

MAX_HEADER_LINES = 5
TEXT_WIDTH = 22.0  # widest text column if the schema gives no width
REASON_WIDTH = 13.5
NARROWEST = 7.0
WIDEST = 70.0
WIDEST_SHEET = 192.0  # digits; a wider sheet would be printed at less than two thirds of its size
TEXT_CAPS = (WIDEST, 42.0, 36.0, 30.0, 25.0)  # widest texts, tried in turn until the sheet is narrow enough
SPARE_DIGITS = 1.5  # beside a number
LINE_WIDTH = 130.0  # longest line of text, however wide the table
LONG_TEXT_LINES = 6
PREDICTABLE_PAGES = 3  # after this many full pages, how much of the last is used is too uncertain
ROWS_WITH_HEADER = 3  # rows on the page of the header
ROWS_WITH_NOTES = 3  # rows on the page of the notes
SHORT_ROWS = 30  # a table of so few rows is not split if it fits on a page
IN_MEMORY_BYTES = 1_000_000  # of one sheet; longer ones, such as heart traces, go to a temporary file
MAX_CACHED_TEXTS = 8192  # of a column: names and reasons repeat, ids do not
ONE_LINE = measure.row_height(1)
MEASURED_ROWS = 5000  # of a longer table only evenly spaced rows are measured; longer texts wrap


class Cell(NamedTuple):
    """One cell: a text, a number with its decimals (None: all of them), or the reason why there is no number."""

    value: str | float
    decimals: int | None = None
    is_reason: bool = False


class LazyRows(Sequence[list[Cell]]):
    """Rows whose cells are made on demand, since a table may be very long."""

    def __init__(self, rows_n: int, make: Callable[[int], list[Cell]]) -> None:
        self._rows_n, self._make = rows_n, make

    def __len__(self) -> int:
        return self._rows_n

    def __getitem__(self, index: Any) -> Any:
        if isinstance(index, slice):
            return [self._make(row) for row in range(*index.indices(self._rows_n))]
        return self._make(index)


@dataclass(frozen=True, slots=True)
class Head:
    """A column's header, the greatest width for its texts (0: the default), and whether it holds numbers."""

    text: str
    width: float = 0.0
    is_number: bool = False


@dataclass(frozen=True)
class Block:
    """A table with a title above and notes below."""

    title: str
    help: str
    heads: tuple[Head, ...]
    rows: Sequence[Sequence[Cell]]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _ColumnNeeds:
    """What decides the width of a column of one block.

    least: the width that its header, reasons and numbers need.
    text_cap: the greatest width for its texts.
    texts: for each text, the widths of its longest line and its longest word.
    """

    least: float
    text_cap: float
    texts: frozenset[tuple[float, float]]
    is_indented: bool

    def width(self, sheet_cap: float) -> float:
        """The width of the column if texts on this sheet may be that wide."""
        width, cap = self.least, min(sheet_cap, self.text_cap)
        for line, word in self.texts:
            width = max(width, min(line, max(cap, word)))
        return width + (measure.INDENT if self.is_indented else 0.0)


def column_widths(blocks: Iterable[Block]) -> list[float]:
    """Column widths that suit all blocks of a sheet; if it would be very wide, texts wrap to more lines."""
    needs = [_column_needs(block) for block in blocks]
    widths: list[float] = []
    for cap in TEXT_CAPS:
        by_block = [[column.width(cap) for column in columns] for columns in needs]
        widths = [max(column) for column in zip_longest(*by_block, fillvalue=0.0)]
        if sum(widths) <= WIDEST_SHEET:
            break
    return widths


def _column_needs(block: Block) -> list[_ColumnNeeds]:
    rows = block.rows[:: max(1, len(block.rows) // MEASURED_ROWS)]
    needs = []
    for index, head in enumerate(block.heads):
        cells = [row[index] for row in rows]
        texts = frozenset(cell.value for cell in cells if isinstance(cell.value, str) and not cell.is_reason)
        reasons = {cell.value for cell in cells if isinstance(cell.value, str) and cell.is_reason}
        widest = max((measure.text_width(reason, looks.REASON.size) for reason in reasons), default=0.0)
        header = measure.header_width(head.text, least=NARROWEST, most_lines=MAX_HEADER_LINES)
        reason = min(measure.column_width(widest), REASON_WIDTH)
        least = max(header, reason, _most_digits(cells) + SPARE_DIGITS)
        widths = frozenset(map(_line_and_word_width, texts))
        needs.append(_ColumnNeeds(least, head.width or TEXT_WIDTH, widths, bool(index) or head.is_number))
    return needs


def _line_and_word_width(text: str) -> tuple[float, float]:
    """Column widths that fit the longest line of a text and its longest word."""
    line = max(map(measure.text_width, text.split("\n")))
    return measure.column_width(line), min(WIDEST, measure.column_width(measure.longest_word(text)))


def number_format(decimals: int | None) -> str:
    """A number format with separators for thousands and fixed decimals; None shows all digits of the number."""
    if decimals is None:
        return looks.GENERAL
    return "#,##0" + ("." + "0" * decimals if decimals else "")


def _most_digits(cells: Sequence[Cell]) -> int:
    by_decimals: dict[int | None, list[float]] = {}
    for cell in cells:
        if not isinstance(cell.value, str):
            by_decimals.setdefault(cell.decimals, []).append(cell.value)
    most = 0
    for decimals, numbers in by_decimals.items():
        shown_as = ".10g" if decimals is None else f",.{decimals}f"
        longest = numbers if decimals is None else (min(numbers), max(numbers))
        most = max(most, *(len(format(number, shown_as)) for number in longest))
    return most


class SheetWriter:
    """Writes blocks and lines one below the other on one sheet.

    content: writes the XML of a cell after its address.
    page_points: how much row height fits on a printed page, for each kind of program.
    log: called with the number of each row, and pairs of column and value.

    ``row`` is the next row; ``is_parted`` says whether a page ended after the header of the last block.
    """

    def __init__(
        self, sheet: Any, content: Content, widths: list[float], page_points: Sequence[float], log: RowLog
    ) -> None:
        self.text = SpooledTemporaryFile(IN_MEMORY_BYTES)  # noqa: SIM115 - the book closes it once it is packed
        self.row = 1
        self.is_parted = False
        self.sheet = sheet
        self.widths = widths
        self._log = log
        self._content = content
        self._page_points = page_points
        self._used_points = [0.0] * len(page_points)
        self._pages_filled = 0
        self._line_columns = columns_within(widths, LINE_WIDTH)
        for index, width in enumerate(widths, start=1):
            sheet.column_dimensions[get_column_letter(index)].width = width

    def gap(self) -> None:
        """Leave a row empty."""
        self._append([], [], ONE_LINE)

    def line(self, text: str, look: Look) -> None:
        """Write a text across the first columns, wrapped."""
        self._append_line(self._written_line(text, look))

    def block(self, block: Block) -> int:
        """Write a block and return the row of its first cells. A short block is not split between pages."""
        top = [self._written_line(block.title, looks.TITLE)]
        top += [self._written_line(block.help, looks.HELP)] if block.help else []
        heads = self._heads(block.heads)
        columns = [_Column(self._content, *head) for head in zip(count(), block.heads, self.widths, strict=False)]
        rows = (_written_row(cells, columns) for cells in block.rows)
        first_rows = [*islice(rows, SHORT_ROWS)]
        notes = [self._written_line(note, looks.NOTE) for note in block.notes]
        whole = _height(*top, heads, *first_rows, *notes)
        fits = len(block.rows) <= SHORT_ROWS and whole <= min(self._page_points)
        self.keep_together(whole if fits else _height(*top, heads, *first_rows[:ROWS_WITH_HEADER]))
        for line in top:
            self._append_line(line)
        self._append(*heads)
        first, self.is_parted = self.row, False
        all_rows = chain(first_rows, rows)
        for row in islice(all_rows, max(ROWS_WITH_HEADER, len(block.rows) - ROWS_WITH_NOTES)):
            self._append(*row)
        last_rows = [*all_rows]
        if last_rows and notes and self._pages_filled < PREDICTABLE_PAGES:
            self.keep_together(_height(*last_rows, *notes))
        for row in last_rows:
            self._append(*row)
        for note in notes:
            self._append_line(note)
        return first

    def keep_together(self, points: float) -> None:
        """Start a new page unless rows of that height fit on this one in every program."""
        pages = zip(self._used_points, self._page_points, strict=True)
        is_split = any(used and used + points > page for used, page in pages)
        if is_split or self._pages_filled >= PREDICTABLE_PAGES:
            self.sheet.row_breaks.append(Break(id=self.row - 1))
            self.is_parted = True
            self._used_points = [0.0] * len(self._page_points)
            self._pages_filled = 0

    def _written_line(self, text: str, look: Look) -> _WrittenRow:
        width = sum(self.widths[: self._line_columns])
        height = measure.row_height(measure.line_count(text, width, look.size, look.bold), look.size)
        stored = storable_text(text)
        return [stored], [self._content(stored, look)], height

    def _heads(self, heads: tuple[Head, ...]) -> _WrittenRow:
        values, contents, lines = [], [], 1
        for column, (head, width) in enumerate(zip(heads, self.widths, strict=False)):
            look = looks.TEXT_HEADER if column else looks.EDGE_TEXT_HEADER
            look = looks.NUMBER_HEADER if head.is_number else look
            values.append(storable_text(head.text))
            contents.append(self._content(values[-1], look))
            room = width - measure.INDENT * look.indent
            lines = max(lines, measure.line_count(head.text, room, look.size, look.bold))
        return values, contents, measure.row_height(lines)

    def _append_line(self, line: _WrittenRow) -> None:
        last = self._line_columns
        if last > 1:
            self.sheet.merged_cells.add(f"A{self.row}:{get_column_letter(last)}{self.row}")
        self._append(*line)

    def _append(self, values: Sequence[str | float], contents: Sequence[str], height: float) -> None:
        self._log(self.row, enumerate(values, start=1))
        self.text.write(row_xml(self.row, contents, height))
        self.row += 1
        for kind, page in enumerate(self._page_points):
            used = self._used_points[kind]
            if used + height <= page:
                self._used_points[kind] = used + height
                continue
            self._used_points[kind] = height
            self.is_parted |= height < used
            self._pages_filled += height < used and not kind


class _Column:
    """Writes the cells of one column of a block, and measures their height; equal texts are cached."""

    def __init__(self, content: Content, number: int, head: Head, width: float) -> None:
        self._content, self._width = content, width
        self._number = looks.NUMBER if head.is_number else looks.NUMBER_AMONG_TEXTS
        self._reason = looks.REASON if head.is_number else looks.REASON_AMONG_TEXTS
        self._text = looks.TEXT if number else looks.EDGE_TEXT
        self.cached: dict[Cell, tuple[str, str, float]] = {}  # texts only: 0.0 and -0.0 are one key

    def written(self, cell: Cell) -> tuple[str | float, str, float]:
        """A cell's value and XML, and its height."""
        value, decimals, _ = cell
        if not isinstance(value, str):
            return value, self._content(value, self._number, number_format(decimals)), ONE_LINE
        look = self._reason if cell.is_reason else self._text
        lines = measure.line_count(value, self._width - measure.INDENT * look.indent, look.size) if value else 1
        if lines > LONG_TEXT_LINES:
            look = looks.varied(look, vertical="top")  # it may have more lines than fit in the highest row
        height = measure.row_height(lines, look.size) if lines > 1 else ONE_LINE
        stored = storable_text(value)
        written = stored, self._content(stored, look), height
        if len(self.cached) < MAX_CACHED_TEXTS:
            self.cached[cell] = written
        return written


def _written_row(cells: Sequence[Cell], columns: Sequence[_Column]) -> _WrittenRow:
    written = [column.cached.get(cell) or column.written(cell) for column, cell in zip(columns, cells, strict=False)]
    values, contents, heights = zip(*written, strict=True) if written else ((), (), ())
    return values, contents, max(heights, default=ONE_LINE)


def _height(*rows: _WrittenRow) -> float:
    return sum(height for _, _, height in rows)


def columns_within(widths: Sequence[float], limit: float) -> int:
    """How many of the first columns fit within a width; at least one."""
    return max(1, sum(total <= limit for total in accumulate(widths)))


def heads_row(block: Block) -> int:
    """Row of a block's header, counted from the block's first row as 1."""
    return 2 + bool(block.help)
