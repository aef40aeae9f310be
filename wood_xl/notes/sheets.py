"""Finds the sheets of a filled workbook, renamed ones too, and filled cells that are not read.

Such cells stand above a header, beside or below items, or in rows of sums.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from operator import itemgetter

from wood_xl.data.load import value
from wood_xl.notes.cell import decode
from wood_xl.notes.header import (
    FoundColumn,
    FoundSheet,
    absent_at,
    columns_and_faults,
    header_row_of,
    heads_of_items,
    item_titles,
    known_titles,
    shown_cell,
    texts_in,
    title_of,
)
from wood_xl.notes.names import nearest, plain
from wood_xl.notes.problem import Place, Problem, amount_text, number_text, problem, quoted
from wood_xl.notes.raw import Cells, Kind, RawBook, RawCell, RawSheet
from wood_xl.notes.tally import size_of
from wood_xl.page_texts import InMessage
from wood_xl.reasons import Word
from wood_xl.schema import layout
from wood_xl.schema.layout import HELP_HEADER, ITEM_HEADER, UNIT_HEADER, VALUE_HEADER
from wood_xl.schema.model import Column, Definition, Sheet
from wood_xl.schema.words import capital, phrase, words

PAPER = set(map(plain, (*layout.PAPER_TITLES, *layout.FORMER_PAPER_TITLES)))
TRIAL_TITLES = (layout.TRIAL_PLAN_TITLE, layout.TRIAL_DAYS_TITLE)
UNREAD = set(map(plain, (layout.CAUTIONS_TITLE, layout.CHOICES_TITLE, layout.MARKS_TITLE, *TRIAL_TITLES)))
START, SEASON = layout.START_ID, "season"
Renamed = tuple[RawSheet, Word]  # a sheet that is most likely a known one, and what shows it
LEAST_TITLES = 2  # one known header proves nothing: many lists have a column of persons


def sheets_and_faults(book: RawBook, definition: Definition) -> tuple[list[FoundSheet], list[Problem]]:
    """Known sheets of a workbook in the order of the definition, and problems of sheets and headers.

    A sheet that is most likely a known one under another name is found without columns, since none of it is read. A
    compulsory sheet that is missing or has no header row is a STOP.
    """
    by_name: dict[str, RawSheet] = {}
    for raw in book.sheets:
        by_name.setdefault(plain(raw.title), raw)
    known = [(sheet.id, by_name.get(plain(title))) for sheet in definition.sheets for title in reversed(sheet.titles)]
    named = {sheet_id: raw for sheet_id, raw in known if raw is not None}  # by its own title before a former one
    strangers = _strangers(by_name, definition)
    version = book.template_version
    missing = [sheet for sheet in definition.sheets if sheet.id not in named and not sheet.is_newer_than(version)]
    renamed = _renamed(strangers, missing)
    renamed_titles = {plain(raw.title) for raw, _ in renamed.values()}
    others = (raw for name, raw in strangers.items() if name not in renamed_titles)
    problems = [*_of_no_use(others, definition.sheets)]
    pages: list[FoundSheet] = []
    if START in named and not _has_items(named[START], definition.sheet(START), version):
        del named[START]  # up to version 1 it had texts alone
    titles = {sheet_id: item_titles(named[sheet_id]) for sheet_id in (START, SEASON) if sheet_id in named}
    needed = {plain(column.title) for column in definition.sheet(SEASON).columns if column.required}
    has_needed = needed <= titles.get(START, frozenset())
    for sheet in definition.sheets:
        is_compulsory = sheet.id in compulsory_sheets(definition) and not (sheet.id == SEASON and has_needed)
        page, guests = _page(sheet, definition, titles)
        if sheet.id in named:
            raw = named[sheet.id]
            found, faults = columns_and_faults(page, raw, is_compulsory=is_compulsory, version=version, guests=guests)
            problems += faults
            if found is not None:
                pages.append(found)
        elif is_compulsory:
            problems.append(_missing(sheet, renamed.get(sheet.id)))  # a STOP, so that nothing waits for its columns
        elif sheet.id in renamed:
            raw, likeness = renamed[sheet.id]
            facts = {"found": raw.title, "likeness": capital(words(likeness)), "expected": sheet.title}
            problems.append(problem("header-near-sheet", Place(raw.title, about=sheet.id), **facts))
            waiting = (
                c for c in page.columns if c.sheet == sheet.id or plain(c.title) not in titles.get(c.sheet, ())
            )
            pages.append(FoundSheet.not_read(replace(page, columns=tuple(waiting)), raw, problems[-1]))
    return pages, problems


def _has_items(raw: RawSheet, sheet: Sheet, version: str | None) -> bool:
    """Whether a sheet called Start is the one that is filled in."""
    return header_row_of(sheet, raw) is not None or (version is not None and not sheet.is_newer_than(version))


def _page(sheet: Sheet, definition: Definition, titles: Mapping[str, frozenset[str]]) -> tuple[Sheet, frozenset[str]]:
    """A sheet with every item that may stand on it, and ``sheet.column`` of those that need not."""
    columns = tuple(definition.column(column.moved_to) if column.moved_to else column for column in sheet.columns)
    if sheet.id == START:
        columns = (*definition.items_on(START), *definition.items_on(SEASON))
    elsewhere = titles.get({START: SEASON, SEASON: START}.get(sheet.id, ""), frozenset())
    guests = {
        column.ref
        for column in columns
        if column.sheet not in (sheet.id, SEASON)
        or not elsewhere.isdisjoint(map(plain, (column.title, *column.formerly)))
    }
    return replace(sheet, columns=columns), frozenset(guests)


def compulsory_sheets(definition: Definition) -> list[str]:
    """Ids of the sheets without which nothing can be computed."""
    return [sheet.id for sheet in definition.sheets if sheet.id in definition.schema["required"]]


def _strangers(by_name: dict[str, RawSheet], definition: Definition) -> dict[str, RawSheet]:
    titles = UNREAD.union(plain(title) for sheet in definition.sheets for title in sheet.titles)
    return {name: raw for name, raw in by_name.items() if name not in titles and raw.cells}


def _renamed(strangers: dict[str, RawSheet], missing: list[Sheet]) -> dict[str, Renamed]:
    """For each missing sheet the unknown one that is most likely it, by its columns or else by its name."""
    renamed: dict[str, Renamed] = {}
    others: list[RawSheet] = []
    for raw in (raw for name, raw in strangers.items() if name not in PAPER):
        sheet = _sheet_of_columns(raw, missing)
        if sheet is None or sheet.id in renamed:
            others.append(raw)
        else:
            renamed[sheet.id] = raw, InMessage.ITS_COLUMNS
    for raw in others:
        titles = {sheet.title: sheet.id for sheet in missing if sheet.id not in renamed}
        near = nearest(raw.title, titles)
        if near is not None:
            renamed[titles[near]] = raw, InMessage.ITS_NAME
    return renamed


def _sheet_of_columns(raw: RawSheet, sheets: Iterable[Sheet]) -> Sheet | None:
    """The sheet whose columns or items an unknown sheet has: all that are compulsory, and few others."""
    known = [(known_n, sheet) for sheet in sheets if (known_n := _known_n(raw, sheet)) >= LEAST_TITLES]
    return max(known, key=itemgetter(0), default=(0, None))[1]


def _known_n(raw: RawSheet, sheet: Sheet) -> int:
    """How many of a sheet's titles an unknown sheet has; 0 if it cannot be that sheet."""
    header_row = header_row_of(sheet, raw)
    if header_row is None or not any(row > header_row for row, _ in raw.cells):
        return 0
    if sheet.kind == "items":
        texts = [str(cell.value) for cell in raw.cells.values() if cell.kind is Kind.TEXT]
    else:
        texts = list(texts_in(raw, header_row).values())
    titles = known_titles(sheet)
    ids = {titles[title] for word in texts if (title := title_of(word)) in titles}
    if sheet.kind == "items":
        return len(ids)  # compulsory items may stand on another sheet
    sizes_n = sum(sheet.classes is not None and size_of(word, sheet.classes) is not None for word in texts)
    has_all = all(column.id in ids for column in sheet.columns if column.required)
    return len(ids) + sizes_n if has_all and 2 * (len(ids) + sizes_n) >= len(texts) else 0


def _of_no_use(strangers: Iterable[RawSheet], sheets: Iterable[Sheet]) -> Iterator[Problem]:
    for raw in strangers:
        place = Place(sheet=raw.title)
        if plain(raw.title) in PAPER:
            filled_n = sum(cell.kind is not Kind.TEXT for cell in raw.cells.values())
            if filled_n:
                yield problem("header-tally-filled", place, found=str(filled_n))
        elif sheet := _sheet_of_columns(raw, sheets):
            place = place._replace(about=sheet.id)
            yield problem("header-second-sheet", place, found=raw.title, expected=sheet.title)
        else:
            yield problem("header-unknown-sheet", place, found=raw.title)


def _missing(sheet: Sheet, renamed: Renamed | None) -> Problem:
    if renamed is None:
        return problem("header-missing-sheet", Place(sheet.title, about=sheet.id), sheet=sheet.title, near="")
    raw, likeness = renamed
    near = phrase(InMessage.MAY_BE_IT, found=raw.title, likeness=likeness, sheet=sheet.title)
    return problem("header-missing-sheet", Place(raw.title, about=sheet.id), sheet=sheet.title, near=near)


SUMMARIES = {"sum", "total", "totals", "average", "averages", "mean", "avg", "avg.", "median", "minimum", "maximum"}
TYPED_NUMBERS = (Kind.NUMBER, Kind.DATE, Kind.DURATION)
LEAST_FITTING = 2  # cells of a row above the header that fit its columns: one may be a remark


def without_unread_cells(pages: list[FoundSheet]) -> tuple[list[FoundSheet], list[Problem]]:
    """The sheets without rows of sums, and a problem for each cell that is not read; what may miss it waits."""
    kept: list[FoundSheet] = []
    problems: list[Problem] = []
    for page in pages:
        find = _of_table if page.sheet.kind == "table" else _of_items
        found, faults = find(page) if page.columns else (page, [])
        kept.append(found)
        problems += faults
        problems += _shown_otherwise(found)
    return kept, problems


def _shown_otherwise(page: FoundSheet) -> Iterator[Problem]:
    """The first cell of each column that shows another number than it holds, with the number of such cells."""
    for column in (column for column in page.columns if column.column.is_number):
        odd = {row: cell for row, cell in page.cells_of(column) if _is_odd(cell, column.unit)}
        if odd:
            cell, place = odd[min(odd)], column.place(page.raw, min(odd))
            held = float(cell.value)
            shown = amount_text(100 * held, "%") if cell.percent else cell.rounded
            yield problem("cell-shown-otherwise", place, len(odd), found=shown, value=number_text(held))


def _is_odd(cell: RawCell, unit: str | None) -> bool:
    if cell.percent:
        return unit != "%"
    held = cell.value
    if not cell.rounded or not isinstance(held, float):
        return False
    return abs(float(cell.rounded.replace(",", ".")) - held) > value("gross.shown_otherwise") * abs(held)


def _of_table(page: FoundSheet) -> tuple[FoundSheet, list[Problem]]:
    above = _above_header(page)
    summaries, raw = _summary_rows(page), page.raw
    problems = [*dict.fromkeys(above.values())] or [*_numbers_above(page, ())]
    for row, cell in summaries.items():
        place = page.columns[0].place(raw, row)
        problems.append(problem("row-summary", place, found=quoted(str(cell.value))))
    if summaries:
        cells = Cells()
        for number, column in raw.cells.columns.items():
            if kept := {row: cell for row, cell in column.items() if row not in summaries}:
                cells.columns[number] = kept
        raw = replace(raw, cells=cells)
    return replace(page, raw=raw, unread=above | page.unread), problems


def _above_header(page: FoundSheet) -> dict[str, Problem]:
    """Columns with fitting cells above the header, as where the header was sorted with its rows."""
    rows: dict[int, list[tuple[FoundColumn, RawCell]]] = {}
    for row in range(1, page.header_row):
        cells = ((column, page.raw.cells.get((row, column.number))) for column in page.columns)
        fitting = [(column, cell) for column, cell in cells if cell is not None and _fits(cell, column.column)]
        if len(fitting) >= LEAST_FITTING and not all(_is_free(column.column) for column, _ in fitting):
            rows[row] = fitting
    if not rows:
        return {}
    column, cell = rows[min(rows)][0]
    facts = {"found": shown_cell(cell), "row": str(page.header_row)}
    found = problem("row-above-header", column.place(page.raw, min(rows)), len(rows), **facts)
    return {column.column.id: found for fitting in rows.values() for column, _ in fitting}


def _numbers_above(page: FoundSheet, items: Collection[int]) -> Iterator[Problem]:
    """The first number of each row above the header, where the template has words alone.

    items: rows of items.
    """
    rows: dict[int, list[tuple[int, RawCell]]] = {}
    for number, cells in sorted(page.raw.cells.columns.items()):
        for row in cells.keys() & set(range(1, page.header_row)) - set(items):
            if cells[row].kind in TYPED_NUMBERS:
                rows.setdefault(row, []).append((number, cells[row]))
    for row, found in sorted(rows.items()):
        number, cell = found[0]
        facts = {"found": shown_cell(cell), "row": str(page.header_row)}
        yield problem("cell-above-header", Place(page.raw.title, row, number, "", page.sheet.id), len(found), **facts)


def _fits(cell: RawCell, column: Column) -> bool:
    decoded = decode(cell, column, column.units[0] if column.units else column.unit)
    return decoded.value is not None and not (cell.kind is Kind.TEXT and len(str(cell.value)) > 60)


def _is_free(column: Column) -> bool:
    return not (column.is_number or column.is_date or column.choices)


def _summary_rows(page: FoundSheet) -> dict[int, RawCell]:
    """Rows that have a word for a sum or mean in a column of names."""
    found: dict[int, RawCell] = {}
    for column in page.columns:
        for row, cell in page.cells_of(column) if column.column.id in (*page.sheet.key, "session") else ():
            if cell.kind is Kind.TEXT and plain(str(cell.value)).rstrip(":") in SUMMARIES:
                found.setdefault(row, cell)
    return dict(sorted(found.items()))


def _of_items(page: FoundSheet) -> tuple[FoundSheet, list[Problem]]:
    raw, heads = page.raw, heads_of_items(page.raw, page.header_row)
    items, values = (raw.cells.columns.get(heads[plain(head)], {}) for head in (ITEM_HEADER, VALUE_HEADER))
    by_row = {column.row: column for column in page.columns}
    problems = [*_numbers_above(page, items)]
    unread: dict[str, Problem] = {}
    for head in (UNIT_HEADER, HELP_HEADER):
        number = heads.get(plain(head), 0)
        for row, cell in sorted(raw.cells.columns.get(number, {}).items()):
            item, is_filled = by_row.get(row), row in values
            is_above = row <= page.header_row and item is None
            if is_above or not (cell.kind in TYPED_NUMBERS or _is_number_as_text(cell, item)):
                continue
            if is_filled and head == UNIT_HEADER and item is not None and item.unit is None:
                continue  # that unit has its own line
            title = item.column.title if item else shown_cell(items[row]) if row in items else ""
            facts = {"found": shown_cell(cell), "column": head, "item": title, "value": VALUE_HEADER}
            place = Place(raw.title, row, number, head, item.column.ref if item else page.sheet.id)
            problems.append(problem("item-number-beside" if is_filled else "item-in-other-column", place, **facts))
            if item is not None and not is_filled:
                unread[item.column.id] = problems[-1]
    for row in sorted(values):
        if row <= page.header_row or (row in items and str(items[row].value).strip()):
            continue
        place = Place(raw.title, row, heads[plain(VALUE_HEADER)], "", page.sheet.id)
        facts = {"found": shown_cell(values[row]), "item": ITEM_HEADER}
        if absent := _absent_at(page, row):
            unread[absent.id] = problem("item-label-gone", place, title=absent.title, **facts)
            problems.append(unread[absent.id])
        else:
            problems.append(problem("item-stray-value", place, **facts))
    return replace(page, unread=unread | page.unread), problems


def _is_number_as_text(cell: RawCell, item: FoundColumn | None) -> bool:
    return item is not None and item.column.is_number and cell.kind is Kind.TEXT and _fits(cell, item.column)


def _absent_at(page: FoundSheet, row: int) -> Column | None:
    """The only item that is missing at a row between others or right below the last one."""
    found_at = {column.column.id: column.row for column in page.columns}
    neighbors, absent = absent_at(page.sheet, found_at, row)
    is_among_items = neighbors[-1][0] >= row - 1
    return page.sheet.columns[absent[0]] if len(absent) == 1 and is_among_items else None
