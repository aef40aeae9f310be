"""Makes the season document of a workbook's cells, with a problem for each cell that gives no value."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from wood_xl.notes.cell import BLANK, Decoded, decode
from wood_xl.notes.document import SeasonDocument, SheetPlaces, empty_data
from wood_xl.notes.header import FoundColumn, FoundSheet
from wood_xl.notes.problem import (
    MOST_LINES,
    Place,
    Problem,
    ProblemLines,
    amount_text,
    column_letters,
    problem,
    quoted,
)
from wood_xl.notes.raw import Kind, RawCell
from wood_xl.notes.tally import size_m
from wood_xl.notes.typed import is_other_currency
from wood_xl.page_texts import InMessage
from wood_xl.schema.model import Column, Definition, season_definition
from wood_xl.schema.words import phrase

KEPT_CELLS = 50_000  # decoded cells kept for each column; most columns repeat a few


@dataclass
class TypedNotes:
    """A season document with the problems that were found while it was made."""

    document: SeasonDocument
    problems: list[Problem] = field(default_factory=list)
    # (sheet id, row index or None for an item, column id) of filled cells that gave no value
    unreadable: set[tuple[str, int | None, str]] = field(default_factory=set)
    # (sheet id, column id) of whole columns and items that were not read
    unread: dict[tuple[str, str], Problem] = field(default_factory=dict)


def typed_notes(sheets: list[FoundSheet], definition: Definition) -> TypedNotes:
    """The season document of the sheets that were found."""
    typed = TypedNotes(SeasonDocument(empty_data(), {}))
    for page in sheets:
        if page.sheet.kind == "table":
            _add_table(page, typed)
        else:
            _add_items(page, typed)
        for column_id, why in page.unread.items():
            typed.unread[page.sheet.column(column_id).sheet, column_id] = why
        filled = _filled_columns(page, typed.document)  # units of empty columns would make equal notes differ
        units = {c.column.id: c.unit for c in page.columns if c.unit and c.column.id in filled}
        if units and page.sheet.kind == "table":
            typed.document.data["units"][page.sheet.id] = units
    for sheet in definition.sheets:
        if sheet.kind == "items":
            items = typed.document.items(sheet.id)
            typed.document.data[sheet.id] = {c.id: items[c.id] for c in sheet.columns if c.id in items}
    units_of = typed.document.data["units"]
    typed.document.data["units"] = {sheet_id: units for sheet_id, units in units_of.items() if units}
    typed.problems += _currency_problems(sheets, typed.document)
    return typed


def _add_table(page: FoundSheet, typed: TypedNotes) -> None:
    sheet_id = page.sheet.id
    rows: list[dict[str, Any]] = []
    numbers: list[int] = []
    as_read: dict[tuple[int, str, str], Problem] = {}  # the first note of each kind of reading in a column
    read_n: Counter[tuple[int, str, str]] = Counter()
    faults = ProblemLines(MOST_LINES)
    columns = [
        (column, page.raw.cells.columns.get(column.number, {}), _decoder(column, page)) for column in page.columns
    ]
    filled = set().union(*(cells for _, cells, _ in columns))
    sizes = sorted((c.id for c in page.columns if c.is_size and c.id not in page.unread), key=size_m)
    for row in sorted(row for row in filled if row > page.header_row):
        values: dict[str, Any] = {}
        is_filled = False
        for column, cells, decoder in columns:
            if (cell := cells.get(row)) is None or (decoded := decoder(cell)) is BLANK:
                continue
            is_filled = True
            if decoded.value is not None:
                values[column.id] = decoded.value
            if decoded.code and decoded.value is None:
                typed.unreadable.add((sheet_id, len(rows), column.id))
                faults.add(_problem_of(decoded, column, page, row))
            elif decoded.code:
                alike = column.number, decoded.code, decoded.alike  # all times and sums together, each word by itself
                read_n[alike] += 1
                if alike not in as_read:
                    as_read[alike] = _problem_of(decoded, column, page, row)
        if is_filled:
            if sizes:
                counted = [size for size in sizes if (sheet_id, len(rows), size) not in typed.unreadable]
                classes = [{"class": size, "cuts": values.pop(size, 0)} for size in counted]
                values |= {"classes": classes} if classes else {}
            rows.append(values)
            numbers.append(row)
    typed.document.data[sheet_id] = rows
    typed.document.places[sheet_id] = SheetPlaces(
        title=page.raw.title,
        cells={c.id: Place(page.raw.title, None, c.number, c.header, f"{sheet_id}.{c.id}") for c in page.columns},
        rows=tuple(numbers),
    )
    typed.problems += faults.merged()
    typed.problems += (replace(first, count=read_n[alike]) for alike, first in as_read.items())
    typed.problems += _merged(page, typed, numbers)
    typed.problems += _hidden(page, numbers)
    if page.raw.rows_beyond_limit:
        facts = {"found": str(page.raw.rows_beyond_limit), "limit": str(page.sheet.row_limit)}
        typed.problems.append(problem("sheet-too-many-rows", Place(page.raw.title, about=sheet_id), **facts))


def _problem_of(decoded: Decoded, column: FoundColumn, page: FoundSheet, row: int) -> Problem:
    return problem(decoded.code, column.place(page.raw, row), **(decoded.facts or {}))


def _add_items(page: FoundSheet, typed: TypedNotes) -> None:
    for item in page.columns:
        sheet_id, column_id = item.column.sheet, item.column.id
        places = typed.document.places.setdefault(sheet_id, SheetPlaces(page.raw.title))
        cell = page.raw.cells.get((item.row, item.number))
        is_first = column_id not in places.cells
        if is_first or (cell is not None and column_id not in typed.document.items(sheet_id)):
            places.cells[column_id] = item.place(page.raw, item.row)
        if cell is None or column_id in page.unread:
            continue
        decoded = decode(cell, item.column, item.unit or "")
        if decoded.code and not item.column.retired:
            if decoded.value is None:
                typed.unreadable.add((sheet_id, None, column_id))
            typed.problems.append(_problem_of(decoded, item, page, item.row))
        if decoded.value is not None:
            _keep_item(item, decoded.value, page, typed)
    ids = _filled_columns(page, typed.document)
    typed.problems += _hidden(page, [item.row for item in page.columns if item.column.id in ids])


def _keep_item(item: FoundColumn, value: Any, page: FoundSheet, typed: TypedNotes) -> None:
    """Keep the value of an item; different values on two sheets are a fault at both."""
    sheet_id, column_id = item.column.sheet, item.column.id
    items, units = typed.document.data[sheet_id], typed.document.data["units"].setdefault(sheet_id, {})
    here = (value, item.unit or "")
    if column_id not in items:
        items[column_id] = value
        if item.unit:
            units[column_id] = item.unit
    elif here != (there := (items[column_id], units.get(column_id, ""))):
        first, second = typed.document.place(sheet_id, None, column_id), item.place(page.raw, item.row)
        typed.unreadable.add((sheet_id, None, column_id))
        for place, other, found, elsewhere in ((first, second, there, here), (second, first, here, there)):
            facts = {"found": _shown(found), "where": other.where, "other": _shown(elsewhere)}
            typed.problems.append(problem("item-two-sheets", place, **facts))


def _shown(value_and_unit: tuple[Any, str]) -> str:
    value, unit = value_and_unit
    return quoted(value) if isinstance(value, str) else amount_text(value, unit)


UNREAD = Decoded()  # of a cell in a column that is not read


def _decoder(column: FoundColumn, page: FoundSheet) -> Callable[[RawCell], Decoded]:
    """Decodes the cells of a column; one object that the reader shares between equal cells is decoded once."""
    decoded_by_id: dict[int, Decoded] = {}  # ids stay unique: all cells live while their sheet is read

    def decoded(cell: RawCell) -> Decoded:
        result = decoded_by_id.get(id(cell))
        if result is None:
            result = decode(cell, column.column, column.unit or "")
            if len(decoded_by_id) < KEPT_CELLS:
                decoded_by_id[id(cell)] = result
        return result

    return decoded if column.id not in page.unread else lambda _: UNREAD


def _merged(page: FoundSheet, typed: TypedNotes, numbers: list[int]) -> Iterator[Problem]:
    index_of = {row: index for index, row in enumerate(numbers)} if page.raw.merged else {}
    for first_row, first_column, last_row, last_column in page.raw.merged:
        covered = [c for c in page.columns if first_column <= c.number <= last_column]
        rows = [row for row in range(max(first_row, page.header_row + 1), last_row + 1) if row in index_of]
        if not covered or not rows or (first_row == last_row and len(covered) == 1):
            continue
        typed.unreadable |= {(page.sheet.id, index_of[row], column.id) for row in rows for column in covered}
        name = f"{column_letters(first_column)}{first_row}:{column_letters(last_column)}{last_row}"
        place = Place(page.raw.title, first_row, first_column, covered[0].header, covered[0].column.ref)
        yield problem("cell-merged", place, found=name)


def _hidden(page: FoundSheet, filled_rows: list[int]) -> Iterator[Problem]:
    raw, whole = page.raw, Place(page.raw.title, about=page.sheet.id)
    if raw.hidden and filled_rows:
        yield problem("sheet-hidden", whole)
    hidden_rows = [row for row in filled_rows if row in raw.hidden_rows]
    if hidden_rows:
        yield problem("sheet-hidden-rows", whole._replace(row=hidden_rows[0]), found=str(len(hidden_rows)))
    rows = set(filled_rows)
    for column in page.columns:
        cells = raw.cells.columns.get(column.number, {})
        if column.number in raw.hidden_columns and not column.column.folded and not rows.isdisjoint(cells):
            yield problem("sheet-hidden-column", column.place(raw, page.header_row))


def _currency_problems(sheets: list[FoundSheet], document: SeasonDocument) -> Iterator[Problem]:
    currency = document.items("season").get("currency")
    if not currency:
        return
    others: dict[str, list[Place]] = {}  # one line for each currency: one item on Start would mend all headers
    for page in sheets:
        filled = _filled_columns(page, document)
        yield from _cells_in_other_currency(page, currency)
        for column in page.columns:
            if column.currency and column.currency != currency and column.column.id in filled:
                others.setdefault(column.currency, []).append(column.unit_place)
    for found, places in others.items():
        more = phrase(InMessage.OTHER_HEADERS, n=len(places) - 1) if len(places) > 1 else ""
        yield problem("header-other-currency", places[0], found=found + more, expected=currency)


def _cells_in_other_currency(page: FoundSheet, currency: str) -> Iterator[Problem]:
    for column in page.columns:
        is_read = column.column.is_money and column.column.id not in page.unread
        for row, cell in page.cells_of(column) if is_read else ():
            if cell.kind is Kind.NUMBER and is_other_currency(cell.as_shown, currency):
                place = column.place(page.raw, row)
                yield problem("cell-other-currency", place, found=cell.as_shown, expected=currency)


def _filled_columns(page: FoundSheet, document: SeasonDocument) -> set[str]:
    if page.sheet.kind == "items":
        return {c.column.id for c in page.columns if c.column.id in document.items(c.column.sheet)}
    return set().union(*document.rows(page.sheet.id))


WAYS_OF_HAVING = {"yes": "own", "no": "to buy"}  # what "Bought already" said up to version 1.1


def version_2(data: dict[str, Any]) -> dict[str, Any]:
    """The data of a season document of any version in the form of version 2.

    >>> version_2({"units": {}, "next_season": {"longest_session": 60}})["trial"]
    {'longest_session': 60}
    """
    new = {**data, "units": dict(data["units"])}
    for column in (column for sheet in season_definition().sheets for column in sheet.columns if column.moved_to):
        if column.id in new.get(column.sheet, {}):
            _move(new, column)
            _move(new["units"], column)
    if "tools" in new:
        new["tools"] = [_with_way_of_having(tool) for tool in new["tools"]]
    return new


def _move(sheets: dict[str, Any], column: Column) -> None:
    """Move an item to its sheet of today, unless that has it already."""
    if column.id in sheets.get(column.sheet, {}):
        here = dict(sheets[column.sheet])
        value = here.pop(column.id)
        to_sheet, _, to_item = column.moved_to.partition(".")
        sheets |= {column.sheet: here, to_sheet: {to_item: value, **sheets.get(to_sheet, {})}}


def _with_way_of_having(tool: dict[str, Any]) -> dict[str, Any]:
    if "bought_already" not in tool:
        return tool
    others, bought = {key: value for key, value in tool.items() if key != "bought_already"}, tool["bought_already"]
    return others | {"held": WAYS_OF_HAVING.get(bought, bought)}
