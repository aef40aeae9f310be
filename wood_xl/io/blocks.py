"""Tables stacked on one sheet: a title, a line of help, a header row, the rows, the lines under them.

A ``Block`` is made from a document without a workbook; ``SheetWriter`` then writes downwards, with widths that suit
all blocks of the sheet, and sets every height itself, so that nothing is cut off on the screen or on paper.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate, zip_longest
from typing import Any, NamedTuple

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break

from wood_xl.io import looks, measure
from wood_xl.io.limits import storable_text
from wood_xl.io.looks import Look
from wood_xl.io.rows import SheetRows

RowLog = Callable[[int, Iterable[tuple[int, str | float]]], None]
_Shown = tuple[Sequence[str | float], Sequence[str], float]  # of a row: values, contents of its cells, height

MOST_HEADER_LINES = 5
TEXT_WIDTH = 22.0  # widest column of text whose definition names no width
REASON_WIDTH = 13.5
NARROWEST = 7.0
WIDEST = 70.0
WIDEST_SHEET = 192.0  # digits; on paper a wider one would be printed in less than two thirds of its size
TEXT_CAPS = (WIDEST, 42.0, 36.0, 30.0, 25.0)  # widest texts, tried in turn where a sheet would be too wide
SPARE_DIGITS = 1.5  # beside a number
LINE_WIDTH = 130.0  # lines of text are no longer than this, whatever the table's width
LONG_TEXT_LINES = 6
PAGES_FORESEEN = 3  # after so many full pages nobody knows how much of the last is used
ROWS_WITH_HEADER = 3  # a header is not left alone at the foot of a page
ROWS_WITH_NOTES = 3  # nor are notes at the head of one
SHORT_ROWS = 30  # a table of so few rows stays whole if a page has room for it
MOST_TEXTS_KNOWN = 8192  # of a column: names and reasons stand in many cells, ids in one
ONE_LINE = measure.row_height(1)
ROWS_MEASURED = 5000  # of a longer table, rows at equal steps stand for all; text further on wraps


class Cell(NamedTuple):
    """One cell of a block: a text, a number with its decimals (None: as many as it has), or a reason for none."""

    value: str | float
    decimals: int | None = None
    is_reason: bool = False


class MadeRows(Sequence[list[Cell]]):
    """Rows made into cells as they are asked for: a table may have very many."""

    def __init__(self, rows_n: int, made: Callable[[int], list[Cell]]) -> None:
        self._rows_n, self._made = rows_n, made

    def __len__(self) -> int:
        return self._rows_n

    def __getitem__(self, index: Any) -> Any:
        if isinstance(index, slice):
            return [self._made(at) for at in range(*index.indices(self._rows_n))]
        return self._made(index)


@dataclass(frozen=True, slots=True)
class Head:
    """Header of a column: its text, the widest its text may make it (0: no wish), and what stands under it."""

    text: str
    width: float = 0.0
    is_number: bool = False


@dataclass(frozen=True)
class Block:
    """One table with its title above it and notes below it."""

    title: str
    help: str
    heads: tuple[Head, ...]
    rows: Sequence[Sequence[Cell]]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Content:
    """What decides on the width of a column in one block: what its header, reasons and numbers need, and its texts.

    ``wish`` is the widest that its texts should make it; of each text ``texts`` has the widths that its longest line
    and its longest word ask for.
    """

    least: float
    wish: float
    texts: frozenset[tuple[float, float]]
    is_indented: bool

    def need(self, cap: float) -> float:
        """Width that the column needs if its texts may take so much."""
        need, widest = self.least, min(cap, self.wish)
        for line, word in self.texts:
            need = max(need, min(line, max(widest, word)))
        return need + (measure.INDENT if self.is_indented else 0.0)


def column_widths(blocks: Iterable[Block]) -> list[float]:
    """Widths that suit every block of a sheet, first column first; on a very wide sheet texts have more lines."""
    contents = [_contents(block) for block in blocks]
    widths: list[float] = []
    for cap in TEXT_CAPS:
        needs = [[content.need(cap) for content in columns] for columns in contents]
        widths = [max(column) for column in zip_longest(*needs, fillvalue=0.0)]
        if sum(widths) <= WIDEST_SHEET:
            break
    return widths


def _contents(block: Block) -> list[_Content]:
    rows = block.rows[:: max(1, len(block.rows) // ROWS_MEASURED)]
    contents = []
    for index, head in enumerate(block.heads):
        cells = [row[index] for row in rows]
        texts = frozenset(cell.value for cell in cells if isinstance(cell.value, str) and not cell.is_reason)
        reasons = {cell.value for cell in cells if isinstance(cell.value, str) and cell.is_reason}
        widest = max((measure.text_width(reason, looks.REASON.size) for reason in reasons), default=0.0)
        header = measure.header_width(head.text, least=NARROWEST, most_lines=MOST_HEADER_LINES)
        reason = min(measure.column_width(widest), REASON_WIDTH)
        least = max(header, reason, _most_digits(cells) + SPARE_DIGITS)
        widths = frozenset(map(_widths_of, texts))
        contents.append(_Content(least, head.width or TEXT_WIDTH, widths, bool(index) or head.is_number))
    return contents


def _widths_of(text: str) -> tuple[float, float]:
    """Widths of a column in which the longest line of a text, and its longest word, are not broken."""
    line = max(map(measure.text_width, text.split("\n")))
    return measure.column_width(line), min(WIDEST, measure.column_width(measure.longest_word(text)))


def number_format(decimals: int | None) -> str:
    """Number format with thousands apart and so many decimals; None shows the digits that the number has."""
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
        telling = numbers if decimals is None else (min(numbers), max(numbers))
        most = max(most, *(len(format(number, shown_as)) for number in telling))
    return most


class SheetWriter:
    """Writes downwards on one sheet.

    ``page_points`` are the heights of a printed page as each kind of program has it, counted in heights of the
    sheet's rows. ``log`` is told of each row: its number, and its cells as pairs of column and value.
    ``row`` is the next row to be written; ``is_parted`` says whether a page has ended since the header of the last
    block.
    """

    def __init__(
        self, sheet: Any, rows: SheetRows, widths: list[float], page_points: Sequence[float], log: RowLog
    ) -> None:
        self.row = 1
        self.is_parted = False
        self.sheet = sheet
        self.widths = widths
        self._log = log
        self._rows = rows
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
        """One text over the first columns, wrapped."""
        last = self._line_columns
        if last > 1:
            self.sheet.merged_cells.add(f"A{self.row}:{get_column_letter(last)}{self.row}")
        stored = storable_text(text)
        self._append([stored], [self._rows.content(stored, look)], self._line_height(text, look))

    def block(self, block: Block) -> int:
        """One block; returns the row of its first row of cells. A short one is not parted by a page's end."""
        notes_height = sum(self._line_height(note, looks.NOTE) for note in block.notes)
        whole = self._height_of_top(block, len(block.rows)) + notes_height if len(block.rows) <= SHORT_ROWS else 0.0
        fits = 0.0 < whole <= min(self._page_points)
        self.keep_together(whole if fits else self._height_of_top(block, ROWS_WITH_HEADER))
        self.line(block.title, looks.TITLE)
        if block.help:
            self.line(block.help, looks.HELP)
        self._append(*self._heads(block.heads))
        first, self.is_parted = self.row, False
        last = max(ROWS_WITH_HEADER, len(block.rows) - ROWS_WITH_NOTES)
        columns = self._columns(block.heads)
        for number, cells in enumerate(block.rows):
            if number == last and block.notes and self._pages_filled < PAGES_FORESEEN:
                rows_height = sum(_height(cells, columns) for cells in block.rows[number:])
                self.keep_together(rows_height + notes_height)  # notes are not left alone on a page
            self._append(*_shown_row(cells, columns))
        for note in block.notes:
            self.line(note, looks.NOTE)
        return first

    def keep_together(self, points: float) -> None:
        """Begin a new page unless what comes next, of that height, has room on this one in every program."""
        pages = zip(self._used_points, self._page_points, strict=True)
        is_torn = any(used and used + points > page for used, page in pages)
        if is_torn or self._pages_filled >= PAGES_FORESEEN:
            self.sheet.row_breaks.append(Break(id=self.row - 1))
            self.is_parted = True
            self._used_points = [0.0] * len(self._page_points)
            self._pages_filled = 0

    def _line_height(self, text: str, look: Look) -> float:
        width = sum(self.widths[: self._line_columns])
        return measure.row_height(measure.line_count(text, width, look.size, look.bold), look.size)

    def _height_of_top(self, block: Block, rows_n: int) -> float:
        height = self._line_height(block.title, looks.TITLE) + self._heads_height(block.heads)
        height += self._line_height(block.help, looks.HELP) if block.help else 0.0
        columns = self._columns(block.heads)
        return height + sum(_height(cells, columns) for cells in block.rows[:rows_n])

    def _heads(self, heads: tuple[Head, ...]) -> _Shown:
        looked = [(storable_text(head.text), _head_look(column, head)) for column, head in enumerate(heads)]
        values, contents = [text for text, _ in looked], [self._rows.content(*one) for one in looked]
        return values, contents, self._heads_height(heads)

    def _heads_height(self, heads: tuple[Head, ...]) -> float:
        lines = 1
        for column, (head, width) in enumerate(zip(heads, self.widths, strict=False)):
            look = _head_look(column, head)
            room = width - measure.INDENT * look.indent
            lines = max(lines, measure.line_count(head.text, room, look.size, look.bold))
        return measure.row_height(lines)

    def _columns(self, heads: tuple[Head, ...]) -> list[_Column]:
        each = enumerate(zip(heads, self.widths, strict=False))
        return [_Column(self._rows, number, head, width) for number, (head, width) in each]

    def _append(self, values: Sequence[str | float], contents: Sequence[str], height: float) -> None:
        self._log(self.row, enumerate(values, start=1))
        self._rows.append(self.row, contents, height)
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
    """One column of a block: how its cells are stored and what height they need, worked out once for equal texts."""

    def __init__(self, rows: SheetRows, number: int, head: Head, width: float) -> None:
        self._rows, self._width = rows, width
        self._number = looks.NUMBER if head.is_number else looks.NUMBER_AMONG_TEXTS
        self._reason = looks.REASON if head.is_number else looks.REASON_AMONG_TEXTS
        self._text = looks.TEXT if number else looks.EDGE_TEXT
        self.known: dict[Cell, tuple[str, str, float]] = {}  # of texts: a number's zero may have a sign

    def shown(self, cell: Cell) -> tuple[str | float, str, float]:
        """A cell's value and content as they are stored, and its height."""
        value, decimals, _ = cell
        if not isinstance(value, str):
            return value, self._rows.content(value, self._number, number_format(decimals)), ONE_LINE
        look, height = self._measured(cell)
        stored = storable_text(value)
        shown = stored, self._rows.content(stored, look), height
        if len(self.known) < MOST_TEXTS_KNOWN:
            self.known[cell] = shown
        return shown

    def height(self, cell: Cell) -> float:
        """The height that a cell needs."""
        return self._measured(cell)[1] if isinstance(cell.value, str) else ONE_LINE

    def _measured(self, cell: Cell) -> tuple[Look, float]:
        look, text = self._reason if cell.is_reason else self._text, str(cell.value)
        lines = measure.line_count(text, self._width - measure.INDENT * look.indent, look.size) if text else 1
        if lines > LONG_TEXT_LINES:
            look = looks.varied(look, vertical="top")  # it may have more lines than a row can show
        return look, measure.row_height(lines, look.size) if lines > 1 else ONE_LINE


def _shown_row(cells: Sequence[Cell], columns: Sequence[_Column]) -> _Shown:
    shown = [column.known.get(cell) or column.shown(cell) for column, cell in zip(columns, cells, strict=False)]
    values, contents, heights = zip(*shown, strict=True) if shown else ((), (), ())
    return values, contents, max(heights, default=ONE_LINE)


def _height(cells: Sequence[Cell], columns: Sequence[_Column]) -> float:
    return max((column.height(cell) for column, cell in zip(columns, cells, strict=False)), default=ONE_LINE)


def _head_look(column: int, head: Head) -> Look:
    if head.is_number:
        return looks.NUMBER_HEADER
    return looks.TEXT_HEADER if column else looks.EDGE_TEXT_HEADER


def columns_within(widths: Sequence[float], limit: float) -> int:
    """How many of the first columns fit into that width; at least one."""
    return max(1, sum(total <= limit for total in accumulate(widths)))


def heads_row(block: Block) -> int:
    """Row of a block's header, counted from the block's first row as 1."""
    return 2 + bool(block.help)
