"""What stands on a sheet where nothing is read: above its header, beside or below its items, in rows of sums."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wood_xl.data.load import value
from wood_xl.notes.cell import decode
from wood_xl.notes.header import FoundSheet, shown_cell, texts_in
from wood_xl.notes.names import plain
from wood_xl.notes.problem import Place, Problem, number_text, problem, quoted
from wood_xl.notes.raw import Cells, Kind, RawCell
from wood_xl.schema.layout import HELP_HEADER, ITEM_HEADER, UNIT_HEADER, VALUE_HEADER
from wood_xl.schema.model import Column

SUMMARIES = {"sum", "total", "totals", "average", "averages", "mean", "avg", "avg.", "median", "minimum", "maximum"}
LEAST_FITTING = 2  # cells of a row above the header that fit its columns: one may be a remark


def with_all_told(pages: list[FoundSheet]) -> tuple[list[FoundSheet], list[Problem]]:
    """The sheets without rows of sums, with columns and items that wait for what is not read; and all that is not."""
    told: list[FoundSheet] = []
    problems: list[Problem] = []
    for page in pages:
        find = _of_table if page.sheet.kind == "table" else _of_items
        one, found = find(page) if page.columns else (page, [])
        told.append(one)
        problems += found
        problems += _shown_otherwise(one)
    return told, problems


def _shown_otherwise(page: FoundSheet) -> Iterator[Problem]:
    """The first cell of each column that shows another number than it holds, with the count of all."""
    for column in page.columns:
        if not column.column.is_number:
            continue
        cells = page.raw.cells.columns.get(column.number, {})
        rows = (column.row,) if page.sheet.kind == "items" else cells
        odd = [row for row in rows if row > page.header_row and row in cells and _is_odd(cells[row], column.unit)]
        if odd:
            cell = cells[min(odd)]
            held = float(cell.value)
            shown = f"{number_text(100 * held)} %" if cell.percent else cell.rounded
            place = column.place(page.raw, min(odd))
            yield problem("cell-shown-otherwise", place, len(odd), found=shown, value=number_text(held))


def _is_odd(cell: RawCell, unit: str | None) -> bool:
    if cell.percent:
        return unit != "%"
    held = cell.value
    if not cell.rounded or not isinstance(held, float):
        return False
    return abs(float(cell.rounded.replace(",", ".")) - held) > value("gross.shown_otherwise") * abs(held)


def _of_table(page: FoundSheet) -> tuple[FoundSheet, list[Problem]]:
    above = {} if not page.header_row else dict(_above_header(page))
    summaries = _summary_rows(page)
    problems = [*dict.fromkeys(above.values())]
    key = page.columns[0]
    for row, cell in summaries.items():
        place = key.place(page.raw, row)
        problems.append(problem("row-summary", place, found=quoted(str(cell.value))))
    raw = page.raw
    if summaries:
        kept = {
            number: {r: c for r, c in own.items() if r not in summaries} for number, own in raw.cells.columns.items()
        }
        cells = Cells()
        cells.columns = {number: own for number, own in kept.items() if own}
        raw = replace(raw, cells=cells)
    return replace(page, raw=raw, unread=above | page.unread), problems


def _above_header(page: FoundSheet) -> Iterator[tuple[str, Problem]]:
    """Columns that have cells above the header which fit them, as where the header was sorted with its rows."""
    for row in range(1, page.header_row):
        fitting = [
            (column, cell)
            for column in page.columns
            if (cell := page.raw.cells.columns.get(column.number, {}).get(row)) is not None
            and _fits(cell, column.column)
        ]
        if len(fitting) < LEAST_FITTING or all(_is_free(column.column) for column, _ in fitting):
            continue
        first, cell = fitting[0]
        found = problem(
            "row-above-header", first.place(page.raw, row), found=shown_cell(cell), row=str(page.header_row)
        )
        for column, _ in fitting:
            yield column.column.id, found


def _fits(cell: RawCell, column: Column) -> bool:
    decoded = decode(cell, column, column.units[0] if column.units else column.unit)
    return decoded.value is not None and not (cell.kind is Kind.TEXT and len(str(cell.value)) > 60)


def _is_free(column: Column) -> bool:
    return not (column.is_number or column.is_date or column.choices)


def _summary_rows(page: FoundSheet) -> dict[int, RawCell]:
    """Rows whose first filled cell of a name says that they sum up the others."""
    found: dict[int, RawCell] = {}
    for column in page.columns:
        if column.column.id not in (*page.sheet.key, "session"):
            continue
        for row, cell in page.raw.cells.columns.get(column.number, {}).items():
            if row > page.header_row and cell.kind is Kind.TEXT and plain(str(cell.value)).rstrip(":") in SUMMARIES:
                found.setdefault(row, cell)
    return dict(sorted(found.items()))


def _of_items(page: FoundSheet) -> tuple[FoundSheet, list[Problem]]:
    raw, heads = page.raw, {plain(text): number for number, text in texts_in(page.raw, page.header_row).items()}
    item_column, value_column = heads[plain(ITEM_HEADER)], heads[plain(VALUE_HEADER)]
    items = raw.cells.columns.get(item_column, {})
    values = raw.cells.columns.get(value_column, {})
    by_row = {column.row: column for column in page.columns}
    problems: list[Problem] = []
    unread: dict[str, Problem] = {}
    for head in (UNIT_HEADER, HELP_HEADER):
        number = heads.get(plain(head))
        for row, cell in sorted(raw.cells.columns.get(number or 0, {}).items()):
            item = by_row.get(row)
            if row <= page.header_row or cell.kind not in (Kind.NUMBER, Kind.DATE, Kind.DURATION):
                continue
            is_filled = row in values
            if is_filled and head == UNIT_HEADER and item is not None and item.unit is None:
                continue  # told as a unit that cannot be read
            place = Place(raw.title, row, number, head, item.column.ref if item else page.sheet.id)
            facts = {
                "found": shown_cell(cell),
                "column": head,
                "item": item.column.title if item else shown_cell(items[row]) if row in items else "",
            }
            code = "item-number-beside" if is_filled else "item-in-other-column"
            problems.append(problem(code, place, value=VALUE_HEADER, **facts))
            if item is not None and not is_filled:
                unread[item.column.id] = problems[-1]
    for row in sorted(values):
        if row <= page.header_row or (row in items and str(items[row].value).strip()):
            continue
        absent = _absent_at(page, row)
        place = Place(raw.title, row, value_column, "", page.sheet.id)
        if absent is None:
            problems.append(problem("item-stray-value", place, found=shown_cell(values[row]), item=ITEM_HEADER))
            continue
        why = problem("item-label-gone", place, found=shown_cell(values[row]), title=absent.title, item=ITEM_HEADER)
        problems.append(why)
        unread[absent.id] = why
    return replace(page, unread=unread | page.unread), problems


def _absent_at(page: FoundSheet, row: int) -> Column | None:
    order = {column.id: number for number, column in enumerate(page.sheet.columns)}
    before = max((c for c in page.columns if c.row < row), key=lambda c: c.row, default=None)
    after = min((c for c in page.columns if c.row > row), key=lambda c: c.row, default=None)
    if before is None and after is None:
        return None
    first = 0 if before is None else order[before.column.id] + 1
    last = len(order) if after is None else order[after.column.id]
    found = {column.column.id for column in page.columns}
    missing = [c for c in page.sheet.columns[first:last] if c.id not in found]
    return (
        missing[0] if len(missing) == 1 and (after is not None or before is None or row == before.row + 1) else None
    )
