"""The first sheet of a marked copy: what is to be mended or looked at, cell by cell, with links."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from copy import copy
from typing import Any, NamedTuple

from openpyxl import Workbook
from openpyxl.utils import get_column_letter, quote_sheetname
from openpyxl.worksheet.hyperlink import Hyperlink

from wood_xl.io import looks, measure
from wood_xl.io.limits import storable_text
from wood_xl.io.page import PAPER_CODES, Paper, set_up_page
from wood_xl.io.template_style import set_widths, text_cell, write_wrapped
from wood_xl.notes.problem import Level, Problem, column_number
from wood_xl.notes.raw import RawBook
from wood_xl.pages import InMarked
from wood_xl.schema.layout import HEADER_ROW, MARKS_TITLE
from wood_xl.schema.words import words

MOST_CELLS = 2000  # beyond this a marked copy helps nobody
LISTED = (Level.STOP, Level.FIX, Level.LOOK)
MARK_STARTS = tuple(f"{level.name}: " for level in (Level.FIX, Level.LOOK))
WIDTHS = (8.0, 15.0, 10.0, 24.0, 54.0, 54.0, 15.0)
CELL_COLUMN, FORMER_COLUMN = 3, len(WIDTHS)

_CELL = re.compile(r"([A-Z]+)(\d+)(?::[A-Z]+(\d+))?")

At = tuple[str, int, int]  # sheet, row, column
HEADERS = (
    *(InMarked.LEVEL, InMarked.SHEET, InMarked.CELL, InMarked.COLUMN),
    *(InMarked.FOUND, InMarked.MEND, InMarked.BEFORE),
)


class Mark(NamedTuple):
    """What one cell is marked with: the worst level that was found there, and a line for each problem."""

    is_fix: bool
    lines: tuple[str, ...]


class Listed(NamedTuple):
    """One row: its texts, and the cell that it speaks of; none for a whole file."""

    texts: tuple[str, ...]
    at: At | None

    @property
    def target(self) -> tuple[str, str]:
        """Sheet and cell to go to."""
        if self.at is None:
            return "", ""
        title, row, column = self.at
        return title, f"{get_column_letter(column)}{row}"


def listed(problems: Iterable[Problem]) -> list[Listed]:
    """A row for each problem that is more than a note, in the order of the report."""
    rows: list[Listed] = []
    for one in problems:
        if one.level in LISTED and len(rows) < MOST_CELLS:
            place = one.place
            texts = (one.level.name, place.sheet, one.cell, place.header, one.text, one.mend)
            at = (place.sheet, place.row or 1, place.column or 1) if place.sheet else None
            rows.append(Listed(tuple(map(storable_text, texts)), at))
    return rows


def marks_by_cell(problems: Iterable[Problem]) -> dict[At, Mark]:
    """What each cell that must be mended or looked at is marked with."""
    marks: dict[At, Mark] = {}
    for one in problems:
        if one.level not in (Level.FIX, Level.LOOK) or not one.place.sheet:
            continue
        for row in one.rows:
            key = (one.place.sheet, row, one.place.column or 1)
            if key in marks or len(marks) < MOST_CELLS:
                before = marks.get(key, Mark(False, ()))
                line = f"{one.level.name}: {one.text} {one.mend}"
                marks[key] = Mark(before.is_fix or one.level is Level.FIX, (*before.lines, line))
    return marks


def former_marks(book: RawBook) -> dict[At, int]:
    """Cells that a workbook, itself a marked copy, has marked, and the row of its list that has their former look."""
    places: dict[At, int] = {}
    for sheet in book.sheets:
        if sheet.title != MARKS_TITLE:
            continue
        for row in sorted({row for row, _ in sheet.cells if row > HEADER_ROW}):
            title, cell = (sheet.cells.get((row, column)) for column in (CELL_COLUMN - 1, CELL_COLUMN))
            match = _CELL.fullmatch(str(cell.value)) if cell is not None else None
            if title is None or match is None:
                continue
            first, last = int(match[2]), int(match[3] or match[2])
            for at in range(first, min(last, first + MOST_CELLS) + 1):
                places.setdefault((str(title.value), at, column_number(match[1])), row)
    return places


def kept_comment(text: str) -> str:
    """A comment without the lines that an earlier mark put before it."""
    return text.partition("\n\n")[2] if text.startswith(MARK_STARTS) else text


def row_height(texts: Sequence[str]) -> float:
    """Height that shows all of a row's texts, in points."""
    lines = (measure.line_count(text, width - 2, looks.TEXT.size) for text, width in zip(texts, WIDTHS, strict=False))
    return measure.row_height(max(lines))


def write_list(workbook: Workbook, rows: Sequence[Listed]) -> None:
    """Put the list first in a workbook, on its paper, and show it when the file is opened."""
    paper: Paper = "letter" if workbook.worksheets[0].page_setup.paperSize == PAPER_CODES["letter"] else "a4"
    for other in workbook.worksheets:
        other.sheet_view.tabSelected = False  # else what is typed goes into both sheets
    page = workbook.create_sheet(MARKS_TITLE, 0)
    workbook.active = 0
    set_up_page(page, paper, width=sum(WIDTHS), header_row=HEADER_ROW)
    page.sheet_view.showGridLines = False
    set_widths(page, WIDTHS)
    write_wrapped(page, 1, MARKS_TITLE, looks.SHEET_TITLE, widths=WIDTHS)
    write_wrapped(page, 2, words(InMarked.HELP), looks.HELP, widths=WIDTHS)
    for number, part in enumerate(HEADERS, start=1):
        text_cell(page, HEADER_ROW, number, words(part), looks.TEXT_HEADER)
    page.freeze_panes = page.cell(HEADER_ROW + 1, 1)
    for number, row in enumerate(rows, start=HEADER_ROW + 1):
        for column, text in enumerate(row.texts, start=1):
            text_cell(page, number, column, text, _look(row.texts[0], column))
        page.row_dimensions[number].height = row_height(row.texts)
        title, cell = row.target
        if row.at is not None and title in workbook.sheetnames:
            place = page.cell(number, CELL_COLUMN)
            place.hyperlink = Hyperlink(place.coordinate, location=f"{quote_sheetname(title)}!{cell}")
            if row.texts[CELL_COLUMN - 1]:
                copy_cell(workbook[title][cell], page.cell(number, FORMER_COLUMN))


def _look(level: str, column: int) -> looks.Look:
    bold = column == 1 and level != Level.LOOK.name
    return looks.varied(looks.TEXT, bold=bold, vertical="top")


def copy_cell(cell: Any, to: Any) -> None:
    """What stands in a cell, a formula apart, and its look."""
    if cell.data_type == "s":
        looks.set_text(to, str(cell.value))
    elif cell.data_type in ("n", "d", "b"):
        to.value = cell.value
    copy_look(cell, to)


def copy_look(cell: Any, to: Any) -> None:
    """The look of a cell, or of what is still to be typed in a column."""
    for part in ("font", "fill", "border", "alignment", "protection"):
        setattr(to, part, copy(getattr(cell, part)))
    to.number_format = cell.number_format
