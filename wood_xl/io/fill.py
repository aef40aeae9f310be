"""Fills a template, from a season document or from another filled workbook.

Whatever a filled workbook holds that the new template has no place for is kept: the user's own columns and items at
the end of their sheet, the user's own sheets as they are, and stray cells in a list on a last sheet.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from itertools import chain, count
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.cell_range import CellRange

from wood_xl.io import measure
from wood_xl.io.cell_kinds import MINUTES_PER_DAY
from wood_xl.io.entry_rules import entry_look, is_text
from wood_xl.io.item_sheets import CURRENCY, ITEM, ITEM_COLUMNS, UNIT, VALUE, item_places
from wood_xl.io.looks import AS_DATE, AS_DATE_AND_TIME, dress, set_text
from wood_xl.io.page import INDENT_WIDTH, Paper
from wood_xl.io.template import FIRST_ROW, higher_rows, print_down_to, template_workbook, unfold
from wood_xl.notes.header import FoundColumn, FoundSheet, heads_of_items
from wood_xl.notes.names import plain
from wood_xl.notes.notes import typed_notes, version_2
from wood_xl.notes.problem import Place
from wood_xl.notes.raw import Kind, RawBook, RawCell, RawSheet
from wood_xl.notes.sheets import PAPER, UNREAD, sheets_and_faults
from wood_xl.notes.tally import flat, size_m, sizes_in
from wood_xl.notes.typed import split_header
from wood_xl.page_texts import InTemplate
from wood_xl.schema import layout
from wood_xl.schema.model import Column, Sheet, System, season_definition
from wood_xl.schema.words import phrase, words

WIDEST_LETTER = 2.0  # in digit widths
MAX_STYLED_ROWS = 5000  # longer columns, such as heart traces, keep plain cells


def filled_workbook(
    data: dict[str, Any], *, system: System, currency: str, paper: Paper, unfolded: bool = False
) -> Workbook:
    """The template filled with a season document of any version.

    Headers and Unit cells change where the data use another unit. Columns that hold data are unfolded.
    """
    workbook = template_workbook(system, currency, paper, unfolded=unfolded)
    now, definition = version_2(data), season_definition()
    places = item_places()
    for sheet in definition.sheets:
        content, units = now.get(sheet.id), now["units"].get(sheet.id, {})
        if sheet.kind == "items":
            for column in sheet.asked:
                title, row = places[column.ref]
                unit = column.label(units[column.id], currency) if column.id in units else None
                _type_item(workbook[title], row, column, (content or {}).get(column.id), unit)
        else:
            rows = [flat(row) for row in content or []]
            columns = columns_for(sheet, content or [], system)
            page: Any = workbook[sheet.title]
            for number, column in enumerate(columns, start=1):
                if column.id in units or not column.units:  # extra sizes shift the columns after them
                    header = column.header(units.get(column.id, ""), currency)
                    set_text(page.cell(layout.HEADER_ROW, number), header)
            type_rows(page, columns, rows, first_row=FIRST_ROW)
    return workbook


def _type_item(page: Any, row: int, column: Column, value: Any, unit: str | None) -> None:
    if unit is not None:
        set_text(page.cell(row, UNIT), unit)
    if value is not None:
        _type_into(page.cell(row, VALUE), column, value)
    _make_room(page, row, value, ITEM_COLUMNS[layout.VALUE_HEADER])


def _make_room(page: Any, row: int, value: Any, width: float) -> None:
    """Raise a row to fit a text: some programs do not adjust the height until somebody types in the row."""
    is_long = isinstance(value, str) and len(value) * WIDEST_LETTER > width
    lines = measure.line_count(value, width - INDENT_WIDTH) if is_long else 1
    if lines > 1:
        page.row_dimensions[row].height = max(page.row_dimensions[row].height or 0.0, measure.row_height(lines))


def _text_of(cell: RawCell) -> str | None:
    """A cell's text; None for a date or number, which takes one line however it is stored."""
    return str(cell.value) if cell.kind is Kind.TEXT else None


def columns_for(sheet: Sheet, rows: list[dict[str, Any]], system: System) -> tuple[Column, ...]:
    """The template's columns, with the sizes of a tally where the template lacks some of them."""
    columns, sizes = sheet.columns_in(system), sizes_in(rows)
    if sheet.classes is None or {column.id for column in columns}.issuperset(sizes):
        return columns
    usual = sheet.classes.in_template(system)
    own = [*sizes, *(size for size in usual if size not in sizes)][: max(len(sizes), len(usual))]
    return *sheet.columns[:1], *map(sheet.classes.of, sorted(own, key=size_m)), *sheet.columns[1:]


def type_rows(page: Any, columns: Sequence[Column], rows: Sequence[Mapping[str, Any]], *, first_row: int) -> None:
    """Type rows into a table, from its first free row on."""
    places = {
        column.id: (number, column, page.column_dimensions[get_column_letter(number)].width, entry_look(column))
        for number, column in enumerate(columns, start=1)
    }
    unfold(page, [number for key, (number, *_) in places.items() if any(key in row for row in rows)])
    higher_before = higher_rows(page)
    for at, row in enumerate(rows, start=first_row):
        for column_id, value in row.items():
            number, column, width, look = places[column_id]
            cell = page.cell(at, number)
            dress(cell, look)
            _type_into(cell, column, value)
            if is_text(column):
                _make_room(page, at, value, width)
    print_down_to(page, first_row + len(rows) - 1, higher=higher_rows(page) - higher_before)


def _type_into(cell: Any, column: Column, value: Any) -> None:
    """Write a season document's value into its cell."""
    if column.is_date:
        cell.value = date.fromisoformat(value)
    elif column.is_clock:
        day, _, clock = value.rpartition(" ")
        hours, minutes, seconds = (*map(int, clock.split(":")), 0)[:3]
        of_day = time(hours, minutes, seconds)
        cell.value = datetime.combine(date.fromisoformat(day), of_day) if day else of_day
    elif isinstance(value, str):
        set_text(cell, value)
    else:
        cell.value = value


@dataclass
class _Copy:
    """A filled workbook on its way into today's template."""

    workbook: Workbook
    system: System
    left_over: list[tuple[str, RawCell]] = field(default_factory=list)
    last_rows: dict[str, int] = field(default_factory=dict)  # of item lists, by sheet title
    filled_items: set[str] = field(default_factory=set)

    def set_aside(self, raw: RawSheet, row: int, column: int) -> None:
        self.left_over.append((Place(raw.title, row, column).where, raw.cells[row, column]))


def units_and_currency(book: RawBook) -> tuple[System, str]:
    """The unit system that most headers use, and the currency; an empty currency if it cannot be read."""
    pages, _ = sheets_and_faults(book, season_definition())
    headers = [header for page in pages for header in page.columns if header.column.us != header.column.metric]
    us_n = sum(header.unit == header.column.us for header in headers)
    currency = typed_notes(pages, season_definition()).document.items("season").get("currency", "")
    return "us" if 2 * us_n > len(headers) else "metric", str(currency)


def carried_workbook(
    book: RawBook, *, system: System, currency: str, paper: Paper, unfolded: bool = False
) -> Workbook:
    """Today's template with everything that was typed into a filled workbook of any version."""
    copy = _Copy(template_workbook(system, currency, paper, unfolded=unfolded), system)
    pages, _ = sheets_and_faults(book, season_definition())
    copied_titles = {page.raw.title for page in pages if page.columns}
    for page in (page for page in pages if page.columns):
        copy_page = _copy_table if page.sheet.kind == "table" else _copy_items
        copy_page(page, copy)
    if CURRENCY not in copy.filled_items:
        title, row = item_places()[CURRENCY]
        copy.workbook[title].cell(row, VALUE).value = None
    for page in pages:  # a renamed sheet replaces the blank one; Start stays, as it holds the version
        is_renamed = not page.columns and plain(page.raw.title) not in map(plain, page.sheet.titles)
        if is_renamed and page.sheet.id != layout.START_ID:
            del copy.workbook[page.sheet.title]
    for raw in book.sheets:
        if raw.title not in copied_titles:
            _copy_other_sheet(raw, copy)
    if copy.left_over:
        page = copy.workbook.create_sheet(_free_title(copy.workbook, words(InTemplate.LEFT_OVER)))
        for row, (where, cell) in enumerate(copy.left_over, start=1):
            set_text(page.cell(row, 1), where)
            write_raw(page.cell(row, 2), cell)
    return copy.workbook


def write_raw(cell: Any, raw: RawCell) -> None:
    """Write a cell so that it reads back as ``raw``."""
    if raw.kind is Kind.NUMBER and isinstance(raw.value, float):
        cell.value = int(raw.value) if raw.value.is_integer() else raw.value
        if raw.percent:
            cell.number_format = "0.##%"
        elif raw.as_shown:
            cell.number_format = f"#,##0.00\\ [${raw.as_shown}]"
    elif raw.kind is Kind.DURATION and isinstance(raw.value, float):
        cell.value, cell.number_format = raw.value / MINUTES_PER_DAY, "[h]:mm:ss"
    elif raw.kind is Kind.DATE:
        when = datetime.fromisoformat(str(raw.value))
        has_time = len(str(raw.value)) > len("2026-10-04")
        cell.value = when if has_time else when.date()
        cell.number_format = AS_DATE_AND_TIME if has_time else AS_DATE
    elif raw.kind in (Kind.BOOLEAN, Kind.ERROR):
        cell.value = raw.value
    else:
        set_text(cell, str(raw.value))


def _copy_table(page: FoundSheet, copy: _Copy) -> None:
    raw = page.raw
    new: Any = copy.workbook[page.sheet.title]
    columns = page.sheet.columns_in(copy.system)
    places = {column.id: number for number, column in enumerate(columns, start=1)}
    if page.sheet.classes is not None:
        places = _tally_places(page, new, len(columns))
    headers = {header.number: header for header in page.columns}
    next_free = max(len(columns), *places.values()) + 1
    misnamed = {place.column: column_id for column_id, place in _misnamed(page).items() if column_id in places}
    targets: dict[int, int] = {}
    filled: list[int] = []
    for number, cells in sorted(raw.cells.columns.items()):
        below = {row: cell for row, cell in cells.items() if row >= page.header_row}
        for row in sorted(cells.keys() - below.keys()):
            if not _is_template_text(raw, row, number, page.header_row):
                copy.set_aside(raw, row, number)
        header = headers.get(number)
        if header is not None and header.id in places:
            target = places[header.id]
            set_text(new.cell(layout.HEADER_ROW, target), _header_text(header))
            below.pop(page.header_row, None)
            filled += [target] if below else []
        elif below and number in misnamed:  # the wrong header goes along, so that the user is asked to correct it
            target = places[misnamed[number]]
            new.cell(layout.HEADER_ROW, target).value = None
            filled.append(target)
        elif below:
            target, next_free = next_free, next_free + 1
        else:
            continue
        targets[number] = target
        look = entry_look(header.column) if header is not None and len(below) <= MAX_STYLED_ROWS else None
        width = new.column_dimensions[get_column_letter(target)].width
        for row, cell in below.items():
            new_cell: Any = new.cell(row - page.header_row + layout.HEADER_ROW, target)
            if look is not None and row > page.header_row:
                dress(new_cell, look)
                _make_room(new, new_cell.row, _text_of(cell), width)
            write_raw(new_cell, cell)
    _copy_merged(page, new, targets)
    unfold(new, filled)
    print_down_to(new, new.max_row, higher=higher_rows(new))


def _copy_merged(page: FoundSheet, new: Any, targets: Mapping[int, int]) -> None:
    """Merge the same cells where their columns are still side by side."""
    for top, left, bottom, right in page.raw.merged:
        columns = [targets[number] for number in range(left, right + 1) if number in targets]
        if bottom > page.header_row and columns and columns[-1] - columns[0] == right - left:
            first, last = (max(row - page.header_row, 0) + layout.HEADER_ROW for row in (top, bottom))
            new.merged_cells.add(CellRange(None, columns[0], first, columns[-1], last).coord)


def _misnamed(page: FoundSheet) -> dict[str, Place]:
    """Columns and items that most likely stand there under another name, by id."""
    read_ids = {header.column.id for header in page.columns}
    return {column_id: fault.place for column_id, fault in page.unread.items() if column_id not in read_ids}


def _is_template_text(raw: RawSheet, row: int, number: int, header_row: int) -> bool:
    """Whether a cell above a table's header is the template's own: title, help, or the line about folded columns."""
    text = str(raw.cells[row, number].value)
    folded = phrase(InTemplate.FOLDED, what="").partition(" ")[0]
    return text.startswith(folded) or (number == 1 and row >= header_row - 2)


def _tally_places(page: FoundSheet, new: Any, last: int) -> dict[str, int]:
    """Columns of a tally in the new sheet, with its own sizes in place of the template's."""
    sizes = [header.id for header in page.columns if header.is_size]
    last = max(last, len(sizes) + len(page.sheet.columns))
    first, *others = page.sheet.columns
    ids = [first.id, *sizes, *[""] * (last - len(sizes) - 1 - len(others)), *(column.id for column in others)]
    for number in range(2, last + 1 - len(others)):
        new.cell(layout.HEADER_ROW, number).value = None
    return {column_id: number for number, column_id in enumerate(ids, start=1) if column_id}


def _header_text(header: FoundColumn) -> str:
    if header.is_size:
        return header.header
    unit = split_header(header.header)[1]
    return f"{header.column.title} [{unit}]" if unit else header.column.title


def _copy_items(page: FoundSheet, copy: _Copy) -> None:
    raw, last_rows, filled_items = page.raw, copy.last_rows, copy.filled_items
    heads = heads_of_items(raw, page.header_row)
    item_column, value_column = heads[plain(layout.ITEM_HEADER)], heads[plain(layout.VALUE_HEADER)]
    unit_column, help_column = heads.get(plain(layout.UNIT_HEADER), 0), heads.get(plain(layout.HELP_HEADER), 0)
    places = item_places()
    items = {item.row: item for item in page.columns}
    misnamed = {place.row: page.sheet.column(column_id).ref for column_id, place in _misnamed(page).items()}
    rows = {row for row, _ in raw.cells if row > page.header_row or row in items}  # sorting may move some above it
    own_title = season_definition().sheet(page.sheet.id).title
    last_rows.setdefault(own_title, copy.workbook[own_title].max_row + 1)  # below the instructions on Start
    for row in sorted(rows):
        item, value = items.get(row), raw.cells.get((row, value_column))
        if item is not None and item.column.ref in places.keys() - filled_items:
            title, new_row = places[item.column.ref]
            _write_unit(copy.workbook[title].cell(new_row, UNIT), item, raw.cells.get((row, unit_column)))
            if value is not None:
                filled_items.add(item.column.ref)
                write_raw(copy.workbook[title].cell(new_row, VALUE), value)
                _make_room(copy.workbook[title], new_row, _text_of(value), ITEM_COLUMNS[layout.VALUE_HEADER])
        elif value is not None:
            if misnamed.get(row, "") in places.keys() - filled_items:  # the wrong name goes along, to be corrected
                filled_items.add(misnamed[row])
                title, new_row = places[misnamed[row]]
                copy.workbook[title].cell(new_row, ITEM).value = None
            else:
                last_rows[own_title] += 1
                title, new_row = own_title, last_rows[own_title]
            for number, target in ((item_column, ITEM), (value_column, VALUE), (unit_column, UNIT)):
                if (row, number) in raw.cells:
                    write_raw(copy.workbook[title].cell(new_row, target), raw.cells[row, number])
        for number, cells in raw.cells.columns.items():
            cell = None if number in (item_column, value_column, unit_column) else cells.get(row)
            if cell is not None and not (number == help_column and cell.kind is Kind.TEXT):
                copy.set_aside(raw, row, number)


def _write_unit(cell: Any, item: FoundColumn, typed: RawCell | None) -> None:
    if typed is not None:
        write_raw(cell, typed)
    elif item.unit:
        set_text(cell, item.column.label(item.unit, item.currency))


def _copy_other_sheet(raw: RawSheet, copy: _Copy) -> None:
    """Copy a sheet that was not read as notes; of a sheet that the template prints, only what is not text."""
    titles = {plain(title) for sheet in season_definition().sheets for title in sheet.titles}
    if plain(raw.title) in PAPER | UNREAD | titles:
        for row, number in sorted(raw.cells):
            if raw.cells[row, number].kind is not Kind.TEXT:
                copy.set_aside(raw, row, number)
        return
    if raw.cells:
        page = copy.workbook.create_sheet(_free_title(copy.workbook, raw.title))
        for (row, number), cell in raw.cells.items():
            write_raw(page.cell(row, number), cell)


def _free_title(workbook: Workbook, title: str) -> str:
    titles = chain([title], (f"{title} {number}" for number in count(2)))
    return next(free for free in titles if plain(free) not in map(plain, workbook.sheetnames))
