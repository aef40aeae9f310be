"""A template with notes typed in: those of a document, or every cell of a filled workbook as it was typed.

What of a filled workbook has no place in the new template goes along: columns and items of one's own at the end of
their sheet, sheets of one's own as they are, and single cells beside them to a list on a last sheet.
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
from wood_xl.pages import InTemplate
from wood_xl.schema import layout
from wood_xl.schema.model import Column, Sheet, System, season_definition
from wood_xl.schema.words import phrase, words

MOST_PER_LETTER = 2.0  # digits that a letter can be wide


def filled_workbook(
    data: dict[str, Any], *, system: System, currency: str, paper: Paper, unfolded: bool = False
) -> Workbook:
    """The template with a season document's data in it, of whatever version.

    Where the data name another unit than the template, its header or Unit cell is changed. Columns that hold
    something are not folded.
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
                if column.id in units or not column.units:  # more sizes than the template's move what is after them
                    header = column.header(units.get(column.id, ""), currency)
                    set_text(page.cell(layout.HEADER_ROW, number), header)
            _type_rows(page, columns, rows)
    return workbook


def _type_item(page: Any, row: int, column: Column, value: Any, unit: str | None) -> None:
    if unit is not None:
        set_text(page.cell(row, UNIT), unit)
    if value is not None:
        type_into(page.cell(row, VALUE), column, value)
    make_room(page, row, value, ITEM_COLUMNS[layout.VALUE_HEADER])


def make_room(page: Any, row: int, value: Any, width: float) -> None:
    """Let a row be as high as a text in it: some programs leave the height as it is until it is typed in."""
    is_long = isinstance(value, str) and len(value) * MOST_PER_LETTER > width
    lines = measure.line_count(value, width - INDENT_WIDTH) if is_long else 1
    if lines > 1:
        page.row_dimensions[row].height = max(page.row_dimensions[row].height or 0.0, measure.row_height(lines))


def _text_of(cell: RawCell) -> str | None:
    """The text of a cell as it is shown: that of a date is another than it is kept by, and takes one line."""
    return str(cell.value) if cell.kind is Kind.TEXT else None


def columns_for(sheet: Sheet, rows: list[dict[str, Any]], system: System) -> tuple[Column, ...]:
    """Columns of the template, with sizes of a tally's own where the template has not all of them."""
    columns, sizes = sheet.columns_in(system), sizes_in(rows)
    if sheet.classes is None or {column.id for column in columns}.issuperset(sizes):
        return columns
    usual = sheet.classes.in_template(system)
    own = [*sizes, *(size for size in usual if size not in sizes)][: max(len(sizes), len(usual))]
    return *sheet.columns[:1], *map(sheet.classes.of, sorted(own, key=size_m)), *sheet.columns[1:]


def _type_rows(page: Any, columns: Sequence[Column], rows: list[dict[str, Any]]) -> None:
    places = {
        column.id: (number, column, page.column_dimensions[get_column_letter(number)].width, entry_look(column))
        for number, column in enumerate(columns, start=1)
    }
    unfold(page, [number for key, (number, *_) in places.items() if any(key in row for row in rows)])
    for at, row in enumerate(rows, start=FIRST_ROW):
        for column_id, value in row.items():
            number, column, width, look = places[column_id]
            cell = page.cell(at, number)
            dress(cell, look)
            type_into(cell, column, value)
            if is_text(column):
                make_room(page, at, value, width)
    print_down_to(page, layout.HEADER_ROW + len(rows), higher=higher_rows(page))


def type_into(cell: Any, column: Column, value: Any) -> None:
    """Put a value of a season document into its cell."""
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


MOST_DRESSED = 5000  # rows of a table that get the look of what is typed; a heart trace may have very many


@dataclass
class _Carried:
    workbook: Workbook
    system: System
    left_over: list[tuple[str, RawCell]] = field(default_factory=list)
    last_rows: dict[str, int] = field(default_factory=dict)  # of lists of items, by their title
    taken: set[str] = field(default_factory=set)  # items that hold a value

    def leave(self, raw: RawSheet, row: int, column: int) -> None:
        self.left_over.append((Place(raw.title, row, column).where, raw.cells[row, column]))


def units_and_currency(book: RawBook) -> tuple[System, str]:
    """The units that most headers of a filled workbook name, and its currency; no currency if that cannot be read."""
    pages, _ = sheets_and_faults(book, season_definition())
    told = [one.unit == one.column.us for page in pages for one in page.columns if one.column.us != one.column.metric]
    currency = typed_notes(pages, season_definition()).document.items("season").get("currency", "")
    return "us" if 2 * sum(told) > len(told) else "metric", str(currency)


def carried_workbook(
    book: RawBook, *, system: System, currency: str, paper: Paper, unfolded: bool = False
) -> Workbook:
    """The template of today with everything that is typed into a filled workbook of whatever version."""
    carried = _Carried(template_workbook(system, currency, paper, unfolded=unfolded), system)
    pages, _ = sheets_and_faults(book, season_definition())
    read = {page.raw.title for page in pages if page.columns}
    for page in (page for page in pages if page.columns):
        carry = _carry_table if page.sheet.kind == "table" else _carry_items
        carry(page, carried)
    if CURRENCY not in carried.taken:
        title, row = item_places()[CURRENCY]
        carried.workbook[title].cell(row, VALUE).value = None
    for page in pages:  # one that has another name stands for it as before; Start has the version
        is_renamed = not page.columns and plain(page.raw.title) not in map(plain, page.sheet.titles)
        if is_renamed and page.sheet.id != layout.START_ID:
            del carried.workbook[page.sheet.title]
    for raw in book.sheets:
        if raw.title not in read:
            _carry_sheet(raw, carried)
    if carried.left_over:
        page = carried.workbook.create_sheet(_free_title(carried.workbook, words(InTemplate.LEFT_OVER)))
        for row, (where, cell) in enumerate(carried.left_over, start=1):
            set_text(page.cell(row, 1), where)
            put(page.cell(row, 2), cell)
    return carried.workbook


def put(cell: Any, raw: RawCell) -> None:
    """Write a cell as it was read."""
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


def _carry_table(page: FoundSheet, carried: _Carried) -> None:
    raw, new = page.raw, carried.workbook[page.sheet.title]
    columns = page.sheet.columns_in(carried.system)
    places = {column.id: number for number, column in enumerate(columns, start=1)}
    if page.sheet.classes is not None:
        places = _places_of_sizes(page, new, len(columns))
    known = {found.number: found for found in page.columns}
    headers = raw.cells.columns
    free = max(len(columns), *places.values()) + 1
    waits = {place.column: column_id for column_id, place in _other_places(page).items() if column_id in places}
    targets: dict[int, int] = {}
    filled: list[int] = []
    for number in sorted(headers):
        below = {row: cell for row, cell in headers[number].items() if row >= page.header_row}
        for row in sorted(headers[number].keys() - below.keys()):
            if not _is_printed(raw, row, number, page.header_row):
                carried.leave(raw, row, number)
        found = known.get(number)
        if found is not None and found.id in places:
            target = places[found.id]
            header: Any = new.cell(layout.HEADER_ROW, target)
            set_text(header, _header(found))
            below.pop(page.header_row, None)
            filled += [target] if below else []
        elif below and number in waits:  # a column waits for its mend: it goes there with the header that is wrong
            target = places[waits[number]]
            new.cell(layout.HEADER_ROW, target).value = None
            filled.append(target)
        elif below:
            target, free = free, free + 1
        else:
            continue
        targets[number] = target
        look = entry_look(found.column) if found is not None and len(below) <= MOST_DRESSED else None
        for row, cell in below.items():
            to: Any = new.cell(row - page.header_row + layout.HEADER_ROW, target)
            if look is not None and row > page.header_row:
                dress(to, look)
                make_room(new, to.row, _text_of(cell), new.column_dimensions[get_column_letter(target)].width)
            put(to, cell)
    _carry_merged(page, new, targets)
    unfold(new, filled)
    print_down_to(new, new.max_row, higher=higher_rows(new))


def _carry_merged(page: FoundSheet, new: Any, targets: Mapping[int, int]) -> None:
    """Merged cells whose columns stay side by side."""
    for top, left, bottom, right in page.raw.merged:
        own = [targets[number] for number in range(left, right + 1) if number in targets]
        if bottom > page.header_row and own and own[-1] - own[0] == right - left:
            rows = (max(row - page.header_row, 0) + layout.HEADER_ROW for row in (top, bottom))
            new.merged_cells.add(CellRange(None, own[0], next(rows), own[-1], next(rows)).coord)


def _other_places(page: FoundSheet) -> dict[str, Place]:
    """Columns and items that most likely stand there under other words: they keep them, to be mended as before."""
    there = {found.column.id for found in page.columns}
    return {column_id: fault.place for column_id, fault in page.unread.items() if column_id not in there}


def _is_printed(raw: RawSheet, row: int, number: int, header_row: int) -> bool:
    """Whether a cell above a table's header holds words of the template: title, help, or the line about folds."""
    text = str(raw.cells[row, number].value)
    folded = phrase(InTemplate.FOLDED, what="").partition(" ")[0]
    return text.startswith(folded) or (number == 1 and row >= header_row - 2)


def _places_of_sizes(page: FoundSheet, new: Any, last: int) -> dict[str, int]:
    """Columns of a tally in the new sheet: the sizes that it has, in place of those of the template."""
    sizes = [found.id for found in page.columns if found.size]
    last = max(last, len(sizes) + len(page.sheet.columns))
    first, *others = page.sheet.columns
    ids = [first.id, *sizes, *[""] * (last - len(sizes) - 1 - len(others)), *(column.id for column in others)]
    for number in range(2, last + 1 - len(others)):
        new.cell(layout.HEADER_ROW, number).value = None
    return {column_id: number for number, column_id in enumerate(ids, start=1) if column_id}


def _header(found: FoundColumn) -> str:
    if found.size:
        return found.header
    typed = split_header(found.header)[1]
    return f"{found.column.title} [{typed}]" if typed else found.column.title


def _carry_items(page: FoundSheet, carried: _Carried) -> None:
    raw, last_rows, taken = page.raw, carried.last_rows, carried.taken
    heads = heads_of_items(raw, page.header_row)
    item_column, value_column = heads[plain(layout.ITEM_HEADER)], heads[plain(layout.VALUE_HEADER)]
    unit_column, help_column = heads.get(plain(layout.UNIT_HEADER), 0), heads.get(plain(layout.HELP_HEADER), 0)
    places = item_places()
    by_row = {found.row: found for found in page.columns}
    waits = {place.row: page.sheet.column(column_id).ref for column_id, place in _other_places(page).items()}
    rows = {row for row, _ in raw.cells if row > page.header_row or row in by_row}  # some may be sorted above it
    own = season_definition().sheet(page.sheet.id).title
    last_rows.setdefault(own, max(row for title, row in places.values() if title == own) + 1)
    for row in sorted(rows):
        found = by_row.get(row)
        value = raw.cells.get((row, value_column))
        ref = found.column.ref if found is not None else ""
        if found is not None and ref in places and ref not in taken:
            title, at = places[ref]
            _put_unit(carried.workbook[title].cell(at, UNIT), found, raw.cells.get((row, unit_column)))
            if value is not None:
                taken.add(ref)
                put(carried.workbook[title].cell(at, VALUE), value)
                make_room(carried.workbook[title], at, _text_of(value), ITEM_COLUMNS[layout.VALUE_HEADER])
        elif value is not None:
            if waits.get(row, "") in places.keys() - taken:  # as it was, to be mended there
                taken.add(waits[row])
                title, at = places[waits[row]]
                carried.workbook[title].cell(at, ITEM).value = None
            else:
                last_rows[own] += 1
                title, at = own, last_rows[own]
            for number, to in ((item_column, ITEM), (value_column, VALUE), (unit_column, UNIT)):
                if (row, number) in raw.cells:
                    put(carried.workbook[title].cell(at, to), raw.cells[row, number])
        for number in raw.cells.columns:
            cell = raw.cells.get((row, number))
            is_told = number in (item_column, value_column, unit_column)
            if cell is not None and not is_told and not (number == help_column and cell.kind is Kind.TEXT):
                carried.leave(raw, row, number)


def _put_unit(cell: Any, found: FoundColumn, typed: RawCell | None) -> None:
    if typed is not None:
        put(cell, typed)
    elif found.unit:
        set_text(cell, found.column.label(found.unit, found.currency))


def _carry_sheet(raw: RawSheet, carried: _Carried) -> None:
    """A sheet that is none of the template's: as it is; of what is printed only what is not text."""
    titles = {plain(title) for sheet in season_definition().sheets for title in sheet.titles}
    if plain(raw.title) in PAPER | UNREAD | titles:
        for row, number in sorted(raw.cells):
            if raw.cells[row, number].kind is not Kind.TEXT:
                carried.leave(raw, row, number)
        return
    if raw.cells:
        page = carried.workbook.create_sheet(_free_title(carried.workbook, raw.title))
        for (row, number), cell in raw.cells.items():
            put(page.cell(row, number), cell)


def _free_title(workbook: Workbook, title: str) -> str:
    titles = chain([title], (f"{title} {number}" for number in count(2)))
    return next(free for free in titles if plain(free) not in map(plain, workbook.sheetnames))
