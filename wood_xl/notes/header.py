"""Finds the header row and the columns of a sheet by their titles, and guesses what unknown ones may be."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from functools import cache
from itertools import islice
from typing import NamedTuple

from wood_xl.notes.cell import decode
from wood_xl.notes.names import nearest, plain
from wood_xl.notes.problem import Place, Problem, column_letters, number_text, problem, quoted
from wood_xl.notes.raw import Kind, RawCell, RawSheet
from wood_xl.notes.tally import size_of
from wood_xl.notes.typed import header_to_write, split_header, unit_of
from wood_xl.page_texts import HowToMend, InMessage
from wood_xl.schema.layout import HEADER_SEARCH_ROWS, ITEM_HEADER, UNIT_HEADER, VALUE_HEADER
from wood_xl.schema.model import Classes, Column, Sheet, season_definition
from wood_xl.schema.words import phrase

LEAST_SORTED = 2  # headers: one alone may be an entry
CELLS_TRIED = 100  # so many cells of a column show what it holds


class Entry(NamedTuple):
    """A column or an item with its cells, whether it is known or not."""

    at: int  # number of the column, or row of the item
    text: str  # header of the column, or text of the item; empty if there is none
    typed: str | None  # unit as typed
    cells: Mapping[int, RawCell]  # filled cells: of a column by row, of an item at 0
    place: Place  # cell of its text
    number: int  # column of its values
    unit_place: Place  # cell of its unit


Guess = tuple[Entry, Column | None, list[Column]]


def _guesses(sheet: Sheet, found_at: Mapping[str, int], strangers: Sequence[Entry]) -> Iterator[Guess]:
    """Each unknown entry, the column that it most likely is, and all that it may be by its place and its cells.

    Most likely is the column that the template has in just that place, if figures depend on it, or a compulsory one.
    """
    assigned: set[str] = set()
    for stranger in strangers:
        perhaps = {
            column.id: (column, is_in_place)
            for column, is_in_place in _missing_at(sheet, found_at, stranger.at)
            if column.id not in assigned and _fits(stranger, column, is_in_place=is_in_place)
        }
        likely = [column for column, in_place in perhaps.values() if column.required or (in_place and column.feeds)]
        assigned |= {column.id for column in likely[:1]}
        yield stranger, likely[0] if likely else None, [column for column, _ in perhaps.values()]


def _missing_at(sheet: Sheet, found_at: Mapping[str, int], at: int) -> Iterator[tuple[Column, bool]]:
    """Missing columns between the known neighbors of a place, and whether the template has them there."""
    neighbors, between = absent_at(sheet, found_at, at)
    absent = [column for column in sheet.columns if column.id not in found_at]
    if not between and len(absent) == 1:  # older templates had their columns in another order
        yield absent[0], True
    for number in between:
        is_in_place = bool(neighbors) and all(at - where == number - known for where, known in neighbors)
        yield sheet.columns[number], is_in_place


def absent_at(sheet: Sheet, found_at: Mapping[str, int], at: int) -> tuple[list[tuple[int, int]], list[int]]:
    """Known neighbors of a place with their numbers among the sheet's columns, and numbers missing between them."""
    order = [(found_at[column.id], number) for number, column in enumerate(sheet.columns) if column.id in found_at]
    left = max((place for place in order if place[0] < at), default=None)
    right = min((place for place in order if place[0] > at), default=None)
    between = range(0 if left is None else left[1] + 1, len(sheet.columns) if right is None else right[1])
    absent = [number for number in between if sheet.columns[number].id not in found_at]
    return [place for place in (left, right) if place is not None], absent


def _fits(stranger: Entry, column: Column, *, is_in_place: bool) -> bool:
    """Whether the unit and more than half of the cells of an unknown entry can be read as a column."""
    unit, _ = unit_of(column, stranger.typed)
    if unit is None and (stranger.typed or not is_in_place):
        return False
    tried = [*islice(stranger.cells.values(), CELLS_TRIED)]
    read_n = sum(decode(cell, column, column.units[0] if unit is None else unit).value is not None for cell in tried)
    return 2 * read_n > len(tried)


class FoundColumn(NamedTuple):
    """A known column in a table, or a known item with its value cell."""

    column: Column  # its definition
    # number, row: column number; for an item the row as well, else 0
    number: int
    header: str  # text of the header or item, with its unit, as the person sees it
    unit: str | None  # unit of its values; None if it is not known, so that no value can be read
    unit_place: Place  # cell of that unit
    row: int = 0
    currency: str = ""  # code in the header, in capitals; empty if there is none
    is_size: bool = False  # whether it counts one size class of a tally

    @property
    def id(self) -> str:
        """Its key in the document."""
        return self.column.id

    def place(self, raw: RawSheet, row: int) -> Place:
        """Its cell in a row of its sheet."""
        return Place(raw.title, row, self.number, self.header, self.column.ref)


@dataclass(frozen=True)
class FoundSheet:
    """A known sheet with its columns or items."""

    sheet: Sheet
    raw: RawSheet
    header_row: int
    columns: tuple[FoundColumn, ...]
    # columns that could not be read, by id, with the problem that says why
    unread: dict[str, Problem]

    def cells_of(self, column: FoundColumn) -> Iterator[tuple[int, RawCell]]:
        """Cells of a column below its header, or the cell of an item, each with its row."""
        cells, first = self.raw.cells.columns.get(column.number, {}), self.header_row + 1
        if column.row:
            return ((row, cells[row]) for row in (column.row,) if row in cells)
        return ((row, cell) for row, cell in cells.items() if row >= first)

    @classmethod
    def not_read(cls, sheet: Sheet, raw: RawSheet, why: Problem) -> FoundSheet:
        """A sheet of which nothing can be read: every column waits for the mend."""
        return cls(sheet, raw, 0, (), {column.id: why for column in sheet.columns})


def columns_and_faults(
    sheet: Sheet, raw: RawSheet, *, is_compulsory: bool, version: str | None, guests: frozenset[str]
) -> tuple[FoundSheet | None, list[Problem]]:
    """Columns or items of a known sheet, and problems of its headers; no sheet if it is empty.

    guests: ``sheet.column`` of items that may stand here and need not. They are read where they are found, but not
    missed; nor is what the template did not have in that version.
    """
    header_row = header_row_of(sheet, raw)
    if header_row is None and sheet.kind == "table":
        header_row = _sorted_header_row(sheet, raw)
    if header_row is not None:
        texts = texts_in(raw, header_row) if sheet.kind == "table" else _item_texts(raw, header_row)
        titles = {title_of(text) for text in texts.values()}
        looked_for = tuple(
            c
            for c in sheet.columns
            if not (c.retired or c.ref in guests or c.is_newer_than(version))
            or not titles.isdisjoint(map(plain, (c.title, *c.formerly)))
        )
        find = _table_columns if sheet.kind == "table" else _items
        return find(replace(sheet, columns=looked_for), raw, header_row)
    if not raw.cells and not is_compulsory:
        return None, []
    code = "header-missing-row" if is_compulsory else "header-missing-row-optional"
    why = problem(code, Place(raw.title, about=sheet.id), rows=str(HEADER_SEARCH_ROWS))
    return FoundSheet.not_read(sheet, raw, why), [why]


def known_titles(sheet: Sheet) -> dict[str, str]:
    """Ids of a sheet's columns or items by their titles as titles are compared, former titles included."""
    former = {plain(title): column.id for column in sheet.columns for title in column.formerly}
    return former | {plain(column.title): column.id for column in sheet.columns}


def texts_in(raw: RawSheet, row: int) -> dict[int, str]:
    """Texts of a row by the number of their column."""
    return {
        number: str(cell.value)
        for number, cells in raw.cells.columns.items()
        if (cell := cells.get(row)) is not None and cell.kind is Kind.TEXT and str(cell.value).strip()
    }


def header_row_of(sheet: Sheet, raw: RawSheet) -> int | None:
    """The row that has most of a sheet's headers, or the words over its items; None if there is none."""
    is_table = sheet.kind == "table"
    titles = set(known_titles(sheet)) if is_table else {plain(ITEM_HEADER), plain(VALUE_HEADER)}
    scores: dict[int, int] = {}
    for row in range(1, HEADER_SEARCH_ROWS + 1):
        known = [title for text in texts_in(raw, row).values() if (title := title_of(text)) in titles]
        if known and (is_table or titles <= {*known}):
            scores[row] = len(known)
    return max(scores, key=lambda row: (scores[row], -row), default=None)


def _sorted_header_row(sheet: Sheet, raw: RawSheet) -> int | None:
    """The row anywhere with at least half of a table's headers, as where they were sorted along with its rows."""
    titles = set(known_titles(sheet))
    is_title = cache(lambda text: title_of(text) in titles)  # long tables repeat their texts
    rows = Counter(
        row
        for cells in raw.cells.columns.values()
        for row, cell in cells.items()
        if cell.kind is Kind.TEXT and is_title(str(cell.value))
    )
    least = max(LEAST_SORTED, len([column for column in sheet.columns if not column.retired]) / 2)
    return max((row for row in rows if rows[row] >= least), key=lambda row: (rows[row], -row), default=None)


def _table_columns(sheet: Sheet, raw: RawSheet, header_row: int) -> tuple[FoundSheet, list[Problem]]:
    entries = _columns(sheet, raw, header_row)
    by_id, same, unread, unknown = _known(sheet, entries)
    without_unit = [] if sheet.classes is None else [*_sizes_not_read(sheet.classes, by_id.values(), unknown)]
    if without_unit:
        unread["classes"] = without_unit[0]
    assigned = {fault.place.column or 0 for fault in [*without_unit, *unread.values()]}
    strangers = [entry for entry in unknown if entry.at not in assigned]
    found_at = {column_id: column.number for column_id, column in by_id.items()}
    others = _strangers(sheet, found_at, strangers, unread)
    for column in _missing(sheet, by_id.keys() | unread.keys()) if any(entry.cells for entry in entries) else ():
        place = Place(raw.title, header_row, about=column.ref)
        unread[column.id] = problem("header-missing-column", place, expected=column.title)
    columns = tuple(sorted(by_id.values(), key=lambda column: column.number))
    problems = [*same, *without_unit[1:], *others, *unread.values()]
    return FoundSheet(sheet, raw, header_row, columns, unread), problems


def _columns(sheet: Sheet, raw: RawSheet, header_row: int) -> list[Entry]:
    """Every column that has a header or anything below it."""
    texts = {number: text.strip() for number, text in texts_in(raw, header_row).items()}
    entries = []
    for number in sorted(raw.cells.columns):
        text, column = texts.get(number, ""), raw.cells.columns[number]
        cells = {row: column[row] for row in sorted(column) if row > header_row}
        head = column.get(header_row) if sheet.classes and not text else None
        if head is not None and (cells or (head.kind is Kind.NUMBER and float(head.value) >= 0)):
            text = shown_cell(head)  # most likely a size without its unit
        if text or cells:
            place = Place(raw.title, header_row, number, text, sheet.id)
            entries.append(Entry(number, text, split_header(text)[1], cells, place, number, place))
    return entries


def _known(
    sheet: Sheet, entries: Sequence[Entry]
) -> tuple[dict[str, FoundColumn], list[Problem], dict[str, Problem], list[Entry]]:
    """Known columns or items, the first filled one of several; notes on equal ones; what cannot be read; others."""
    by_id: dict[str, FoundColumn] = {}
    same: list[Problem] = []
    unread: dict[str, Problem] = {}
    is_items = sheet.kind == "items"
    titled: dict[str, list[Entry]] = defaultdict(list)
    titles = known_titles(sheet)
    for entry in entries:
        size = size_of(entry.text, sheet.classes) if sheet.classes else None
        titled[titles.get(title_of(entry.text)) or size or ""].append(entry)
    unknown = titled.pop("", [])
    for column_id, alike in titled.items():
        column, filled = sheet.column(column_id), [entry for entry in alike if entry.cells]
        is_size = column not in sheet.columns
        first = (filled or alike)[0]
        unit, currency = unit_of(column, first.typed)
        unit_place = first.unit_place._replace(about=column.ref, header=column.title if is_items else first.text)
        row = first.at if is_items else 0
        by_id[column_id] = FoundColumn(column, first.number, first.text, unit, unit_place, row, currency, is_size)
        if len(filled) > 1:
            place = filled[1].place._replace(column=filled[1].number, about=column.ref)
            numbers = ", ".join(str(entry.at) if is_items else column_letters(entry.at) for entry in filled)
            if _hold_the_same(column, filled) and not is_size:  # equal counts may be of two sizes
                found = phrase(InMessage.ROWS if is_items else InMessage.COLUMNS, numbers=numbers)
                same.append(problem("header-double-same", place, found=found))
            elif is_items:
                unread[column_id] = problem("item-double", place, found=column.title, rows=numbers)
            else:
                unread[column_id] = problem("header-double-column", place, found=numbers)
        if unit is None and filled:
            unread.setdefault(column_id, _unit_problem(column, first.typed, unit_place))
    return by_id, same, unread, unknown


def _missing(sheet: Sheet, there: Set[str]) -> list[Column]:
    """Missing columns without which a table cannot be read; of sets of which one is needed, the plainest."""
    needed = [column for column in sheet.columns if column.required and column.id not in there]
    there |= {column.id for column in needed}
    if sheet.one_of and not any(there >= set(group) for group in sheet.one_of):
        needed += [sheet.column(column_id) for column_id in set(sheet.one_of[-1]) - there]
    return needed


def title_of(text: str) -> str:
    """Title of a header or an item as titles are compared, without its unit."""
    return plain(split_header(text)[0])


def _sizes_not_read(classes: Classes, columns: Iterable[FoundColumn], unknown: Iterable[Entry]) -> Iterator[Problem]:
    """Headers that are most likely sizes: numbers, and others among the sizes with counts below."""
    sized = {column.number: column.id for column in columns if column.is_size}
    unit = next(iter(sized.values()), f" {classes.units[0]}").rpartition(" ")[2]  # as the other sizes have it
    for entry in unknown:
        header, number = entry.text, entry.at
        is_number = header.replace(".", "", 1).isdecimal()
        is_among = header[:1].isdecimal() or min(sized, default=number) < number < max(sized, default=number)
        counts = (cell for cell in entry.cells.values() if cell.kind is Kind.NUMBER)
        if is_number or (is_among and any(counts)):
            facts = {"found": quoted(header), "example": quoted(f"{header if is_number else 8} {unit}")}
            yield problem("tally-class-without-unit", entry.place._replace(about=classes.column.ref), **facts)


def _hold_the_same(column: Column, doubles: Sequence[Entry]) -> bool:
    """Whether all of one title have the unit of the first, and no cell that differs from its."""
    first, units = doubles[0].cells, {unit_of(column, entry.typed) for entry in doubles}
    return len(units) == 1 and all(first.get(at) == cell for entry in doubles for at, cell in entry.cells.items())


def _strangers(
    sheet: Sheet, found_at: Mapping[str, int], strangers: Iterable[Entry], unread: dict[str, Problem]
) -> list[Problem]:
    """Problems of unknown columns or items; those that are most likely known ones go to ``unread``."""
    others: list[Problem] = []
    at, unlike = dict(found_at), []
    is_items = sheet.kind == "items"
    for stranger in strangers:
        absent = {column.title: column for column in sheet.columns if column.id not in at}
        near = absent.get(nearest(split_header(stranger.text)[0], absent) or "")
        if near is None or not (stranger.cells or near.required):
            unlike.append(stranger)
            continue
        at[near.id] = stranger.at
        code = "item-near" if is_items else "header-near-column"
        unread[near.id] = _instead(code, sheet, near, stranger, stranger.text)
    for stranger, likely, perhaps in _guesses(sheet, at, unlike):
        named = phrase(InMessage.NO_HEADER)
        if stranger.text:
            named = phrase(InMessage.ITEM if is_items else InMessage.COLUMN, title=stranger.text)
        if likely is not None:
            unread[likely.id] = _instead("header-renamed", sheet, likely, stranger, named)
        elif not stranger.text:
            others.append(_without_title(stranger))
        elif perhaps:
            titles = ", ".join(f'"{column.title}"' for column in perhaps)
            others.append(problem("header-perhaps", stranger.place, found=named, expected=titles))
        else:
            code = "item-unknown" if is_items else "header-unknown-column"
            others.append(problem(code, stranger.place, found=stranger.text))
    return others


def _instead(code: str, sheet: Sheet, column: Column, stranger: Entry, found: str) -> Problem:
    """That a column or item stands under another title."""
    header = f'"{column.title}"' if sheet.kind == "items" else header_to_write(column, stranger.typed)
    place = stranger.place._replace(about=column.ref)
    return problem(code, place, found=found, expected=column.title, header=header)


def _without_title(stranger: Entry) -> Problem:
    row, cell = next(iter(stranger.cells.items()))
    more_n = len(stranger.cells) - 1
    more = phrase(InMessage.MORE_BELOW, n=more_n) if more_n else ""
    facts = {"found": shown_cell(cell), "more": more, "header": stranger.place.cell}
    return problem("header-no-title", stranger.place._replace(row=row, header=""), **facts)


def shown_cell(cell: RawCell) -> str:
    """Value of a cell, for a message."""
    if cell.kind is Kind.NUMBER:
        return number_text(float(cell.value))
    return quoted(cell.as_shown or str(cell.value))


def _unit_problem(column: Column, typed: str | None, place: Place) -> Problem:
    if season_definition().sheet(column.sheet).kind == "items":
        advice = phrase(HowToMend.UNIT_OF_ITEM)
    else:
        advice = phrase(HowToMend.AS_HEADER, header=header_to_write(column, None))
    expected = ", ".join(phrase(InMessage.CURRENCY) if unit == "money" else unit for unit in column.units)
    if not (typed or "").strip():
        return problem("header-missing-unit", place, expected=expected, advice=advice)
    return problem("header-unknown-unit", place, found=(typed or "").strip(), expected=expected, advice=advice)


def heads_of_items(raw: RawSheet, header_row: int) -> dict[str, int]:
    """Columns of a list of items by the words over them, as titles are compared; of equal ones the first."""
    return {title_of(text): number for number, text in sorted(texts_in(raw, header_row).items(), reverse=True)}


def _item_texts(raw: RawSheet, header_row: int) -> dict[int, str]:
    """Texts in the column of items by row, also above its head, which may have been sorted along with them."""
    items = sorted(raw.cells.columns.get(heads_of_items(raw, header_row)[plain(ITEM_HEADER)], {}).items())
    texts = {row: str(cell.value).strip() for row, cell in items if cell.kind is Kind.TEXT and row != header_row}
    return {row: text for row, text in texts.items() if text}


def item_titles(raw: RawSheet) -> frozenset[str]:
    """Titles of the items on a sheet, as titles are compared; none if it is no list of items."""
    sheet = next(sheet for sheet in season_definition().sheets if sheet.kind == "items")
    header_row = header_row_of(sheet, raw)
    return frozenset(() if header_row is None else map(title_of, _item_texts(raw, header_row).values()))


def _items(sheet: Sheet, raw: RawSheet, header_row: int) -> tuple[FoundSheet, list[Problem]]:
    heads = heads_of_items(raw, header_row)
    item_column, value_column = heads[plain(ITEM_HEADER)], heads[plain(VALUE_HEADER)]
    unit_column = heads.get(plain(UNIT_HEADER), 0)
    entries = []
    for row, text in _item_texts(raw, header_row).items():
        unit, value = (raw.cells.get((row, number)) for number in (unit_column, value_column))
        typed = split_header(text)[1] if unit is None else str(unit.value)
        place = Place(raw.title, row, item_column, text, sheet.id)
        unit_place = place._replace(column=unit_column or item_column)
        entries.append(Entry(row, text, typed, {} if value is None else {0: value}, place, value_column, unit_place))
    by_id, same, unread, unknown = _known(sheet, entries)
    strangers = [entry for entry in unknown if entry.cells]
    others = _strangers(sheet, {column_id: item.row for column_id, item in by_id.items()}, strangers, unread)
    untitled = (entry for entry in _columns(sheet, raw, header_row) if not entry.text and entry.cells)
    others += map(_without_title, untitled)
    return FoundSheet(sheet, raw, header_row, tuple(by_id.values()), unread), [*same, *others, *unread.values()]
