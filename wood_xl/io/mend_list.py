"""Writes the first sheet of a marked copy, which lists the problems cell by cell with links, in both formats."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import replace
from itertools import chain, groupby
from typing import Any, NamedTuple
from xml.sax.saxutils import escape, quoteattr

from openpyxl import Workbook
from openpyxl.utils import get_column_letter, quote_sheetname
from openpyxl.worksheet.hyperlink import Hyperlink

from wood_xl.io import looks
from wood_xl.io.limits import storable_text
from wood_xl.io.ods import OFFICE, STYLE, TABLE, TEXT
from wood_xl.io.page import PAPER_CODES, Paper, set_up_page, set_widths, text_cell, write_row, write_wrapped
from wood_xl.io.sheet_part import cell_range
from wood_xl.notes.problem import Level, Problem
from wood_xl.notes.raw import Kind, RawBook, RawCell
from wood_xl.page_texts import InMarked
from wood_xl.schema.layout import HEADER_ROW, MARKS_TITLE
from wood_xl.schema.words import words

MAX_MARKS = 2000  # more would help nobody
LISTED = (Level.STOP, Level.FIX, Level.LOOK)
MARK_PREFIXES = tuple(f"{level.name}: " for level in (Level.FIX, Level.LOOK))
WIDTHS = (8.0, 15.0, 10.0, 24.0, 54.0, 54.0, 15.0)
CELL_COLUMN, FORMER_COLUMN = 3, len(WIDTHS)

At = tuple[str, int, int]  # sheet, row, column
HEADERS = (
    *(InMarked.LEVEL, InMarked.SHEET, InMarked.CELL, InMarked.COLUMN),
    *(InMarked.FOUND, InMarked.MEND, InMarked.BEFORE),
)


class Mark(NamedTuple):
    """The mark of one cell: whether any of its problems is a FIX, and a line for each."""

    is_fix: bool
    lines: tuple[str, ...]


class ListRow(NamedTuple):
    """One row of the list: its texts, and the cell it is about; None for the whole file."""

    texts: tuple[str, ...]
    at: At | None

    @property
    def target(self) -> tuple[str, str]:
        """Sheet and cell that the row links to."""
        if self.at is None:
            return "", ""
        title, row, column = self.at
        return title, f"{get_column_letter(column)}{row}"


class MarkPlan(NamedTuple):
    """What goes into a marked copy, and the cells that lose the mark of an earlier one."""

    marks: Mapping[At, Mark]
    rows: Sequence[ListRow]
    former: Mapping[At, int]  # with the row of the earlier list that keeps their former style


def mark_plan(problems: Sequence[Problem], book: RawBook) -> MarkPlan:
    """The marks for a workbook's problems; ``book`` may be a marked copy itself."""
    return MarkPlan(_marks(problems), _listed(problems), _former_marks(book))


def _listed(problems: Iterable[Problem]) -> list[ListRow]:
    """A row for each problem that is more than a note, in the order of the report.

    A problem of cells that lie apart has a row for each run of them, as each row keeps the former style of its cells.
    """
    rows: list[ListRow] = []
    for problem in chain.from_iterable(map(_runs_of, problems)):
        if problem.level in LISTED and len(rows) < MAX_MARKS:
            place = problem.place
            texts = (problem.level.name, place.sheet, place.cell, place.header, problem.text, problem.mend)
            at = (place.sheet, place.row or 1, place.column or 1) if place.sheet else None
            rows.append(ListRow(tuple(map(storable_text, texts)), at))
    return rows


def _runs_of(problem: Problem) -> Iterator[Problem]:
    """The problem, once for each run of adjacent rows."""
    if not problem.also_rows:
        yield problem
        return
    for _, run in groupby(enumerate(problem.rows), key=lambda pair: pair[1] - pair[0]):
        rows = [row for _, row in run]
        yield replace(problem, place=problem.place._replace(row=rows[0], last_row=rows[-1]), also_rows=())


def _marks(problems: Iterable[Problem]) -> dict[At, Mark]:
    marks: dict[At, Mark] = {}
    for problem in problems:
        if problem.level not in (Level.FIX, Level.LOOK) or not problem.place.sheet:
            continue
        for row in problem.rows:
            key = (problem.place.sheet, row, problem.place.column or 1)
            if key in marks or len(marks) < MAX_MARKS:
                before = marks.get(key, Mark(False, ()))
                line = f"{problem.level.name}: {problem.text} {problem.mend}"
                marks[key] = Mark(before.is_fix or problem.level is Level.FIX, (*before.lines, line))
    return marks


def _former_marks(book: RawBook) -> dict[At, int]:
    """Cells that are marked already, with the row of the list that keeps their former style."""
    places: dict[At, int] = {}
    for sheet in book.sheets:
        if sheet.title != MARKS_TITLE:
            continue
        for row in sorted({row for row, _ in sheet.cells if row > HEADER_ROW}):
            title, cell = (sheet.cells.get((row, column)) for column in (CELL_COLUMN - 1, CELL_COLUMN))
            area = None if title is None or cell is None else cell_range(str(cell.value))
            if title is None or area is None:
                continue
            first, column, last, _ = area
            for marked_row in range(first, min(last, first + MAX_MARKS) + 1):
                places.setdefault((str(title.value), marked_row, column), row)
    return places


def write_list(workbook: Workbook, rows: Sequence[ListRow]) -> None:
    """Add the list as first sheet, on the workbook's paper, and open the workbook on it."""
    paper: Paper = "letter" if workbook.worksheets[0].page_setup.paperSize == PAPER_CODES["letter"] else "a4"
    for other in workbook.worksheets:
        other.sheet_view.tabSelected = False  # else the user types into both sheets at once
    page = workbook.create_sheet(MARKS_TITLE, 0)
    workbook.active = 0
    set_up_page(page, paper, WIDTHS, header_row=HEADER_ROW)
    set_widths(page, WIDTHS)
    write_wrapped(page, 1, MARKS_TITLE, looks.SHEET_TITLE, widths=WIDTHS)
    write_wrapped(page, 2, words(InMarked.HELP), looks.HELP, widths=WIDTHS)
    for number, part in enumerate(HEADERS, start=1):
        text_cell(page, HEADER_ROW, number, words(part), looks.TEXT_HEADER)
    plain, bold = (looks.varied(looks.TEXT, bold=bold, vertical="top") for bold in (False, True))
    for number, row in enumerate(rows, start=HEADER_ROW + 1):
        first, *others = row.texts
        texts = [(first, plain if first == Level.LOOK.name else bold), *((text, plain) for text in others)]
        write_row(page, number, texts, [width - 2 for width in WIDTHS])
        title, cell = row.target
        if row.at is not None and title in workbook.sheetnames:
            link = page.cell(number, CELL_COLUMN)
            link.hyperlink = Hyperlink(link.coordinate, location=f"{quote_sheetname(title)}!{cell}")
            if row.texts[CELL_COLUMN - 1]:
                _copy_cell(workbook[title][cell], page.cell(number, FORMER_COLUMN))


def _copy_cell(source: Any, target: Any) -> None:
    """Copy a cell's style, and its value unless that is a formula or an error."""
    if source.data_type == "s":
        looks.set_text(target, str(source.value))
    elif source.data_type in ("n", "d", "b"):
        target.value = source.value
    copy_look(source, target)


def copy_look(source: Any, target: Any) -> None:
    """Copy the style of a cell, or of a column's empty cells, to a cell."""
    for part in ("font", "fill", "border", "alignment", "protection"):
        setattr(target, part, copy(getattr(source, part)))
    target.number_format = source.number_format


FORMAT = "urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0 "
LINKS = "http://www.w3.org/1999/xlink"
CM_PER_WIDTH = 0.2


class OdsList:
    """Writes the list as an OpenDocument table.

    name: turns ``namespace local`` into a name with the file's own prefix.
    """

    def __init__(self, name: Callable[[str], str], style_prefix: str) -> None:
        self._name = name
        self._style_prefix = style_prefix

    def styles(self) -> bytes:
        """Style elements of the table's cells, columns and rows."""
        wraps = {FORMAT + "wrap-option": "wrap", STYLE + "vertical-align": "top"}
        filled = wraps | {FORMAT + "background-color": f"#{looks.RESULT_FILL}"}
        bold = {FORMAT + "font-weight": "bold"}
        title = bold | {FORMAT + "font-size": "15pt"}
        cells = {"text": (wraps, {}), "bold": (wraps, bold), "head": (filled, bold), "title": (wraps, title)}
        styles = [self._style(role, "table-cell", cell, letters) for role, (cell, letters) in cells.items()]
        for number, width in enumerate(WIDTHS):
            column_width = {STYLE + "column-width": f"{width * CM_PER_WIDTH:.2f}cm"}
            styles.append(self._style(f"column_{number}", "table-column", column_width))
        styles.append(self._style("row", "table-row", {STYLE + "use-optimal-row-height": "true"}))
        return "".join(styles).encode()

    def table(
        self, rows: Sequence[ListRow], page_style: str, former_styles: Mapping[At, str], values: Mapping[At, RawCell]
    ) -> bytes:
        """The table element, with the former style and value of each cell that a row is about."""
        columns = [self._element(TABLE + "table-column", self._look(f"column_{at}")) for at in range(len(WIDTHS))]
        wide = [self._wide(MARKS_TITLE, "title"), self._wide(words(InMarked.HELP), "text")]
        head = self._row([self._text(words(part), "head") for part in HEADERS])
        body = [self._listed(row, former_styles, values) for row in rows]
        inside = [*columns, *wide, self._element(TABLE + "table-header-rows", {}, head), *body]
        style = {TABLE + "style-name": page_style} if page_style else {}
        return self._element(TABLE + "table", {TABLE + "name": MARKS_TITLE, **style}, "".join(inside)).encode()

    def _listed(self, row: ListRow, former_styles: Mapping[At, str], values: Mapping[At, RawCell]) -> str:
        cells = [self._text(text, "text", row if at == CELL_COLUMN else None) for at, text in enumerate(row.texts, 1)]
        if row.texts[0] != Level.LOOK.name:
            cells[0] = self._text(row.texts[0], "bold")
        if row.at is not None:
            cells.append(self._former(former_styles.get(row.at, ""), values.get(row.at)))
        return self._row(cells)

    def _former(self, style: str, value: RawCell | None) -> str:
        look = {TABLE + "style-name": style} if style else {}
        if value is None or value.kind is Kind.NO_VALUE:
            return self._element(TABLE + "table-cell", look)
        kind = {OFFICE + "value-type": "string"}
        if value.kind is Kind.NUMBER:
            kind = {OFFICE + "value-type": "float", OFFICE + "value": repr(value.value)}
        return self._cell(look | kind, escape(value.as_shown or str(value.value)))

    def _wide(self, text: str, role: str) -> str:
        over = {TABLE + "number-columns-spanned": str(len(WIDTHS)), TABLE + "number-rows-spanned": "1"}
        covered = {TABLE + "number-columns-repeated": str(len(WIDTHS) - 1)}
        return self._row([self._text(text, role, over=over), self._element(TABLE + "covered-table-cell", covered)])

    def _text(self, text: str, role: str, link: ListRow | None = None, over: Mapping[str, str] | None = None) -> str:
        inside = escape(text)
        if link is not None and link.at is not None:
            title, cell = link.target
            title = title if title.isalnum() else "'" + title.replace("'", "''") + "'"
            anchor, target = self._name(TEXT + "a"), quoteattr(f"#${title}.{cell}")
            inside = f'<{anchor} xmlns:xlink="{LINKS}" xlink:type="simple" xlink:href={target}>{inside}</{anchor}>'
        return self._cell({OFFICE + "value-type": "string", **self._look(role), **(over or {})}, inside)

    def _cell(self, attributes: Mapping[str, str], inside: str) -> str:
        return self._element(TABLE + "table-cell", attributes, self._element(TEXT + "p", {}, inside))

    def _row(self, cells: Sequence[str]) -> str:
        return self._element(TABLE + "table-row", self._look("row"), "".join(cells))

    def _look(self, role: str) -> dict[str, str]:
        return {TABLE + "style-name": f"{self._style_prefix}_{role}"}

    def _style(self, role: str, family: str, own: Mapping[str, str], letters: Mapping[str, str] | None = None) -> str:
        properties = self._element(f"{STYLE}{family}-properties", own)
        properties += "" if letters is None else self._element(STYLE + "text-properties", letters)
        name = {STYLE + "name": f"{self._style_prefix}_{role}", STYLE + "family": family}
        return self._element(STYLE + "style", name, properties)

    def _element(self, name: str, attributes: Mapping[str, str], inside: str | None = None) -> str:
        tag = self._name(name)
        written = "".join(f" {self._name(key)}={quoteattr(value)}" for key, value in attributes.items())
        return f"<{tag}{written}/>" if inside is None else f"<{tag}{written}>{inside}</{tag}>"
