"""Finds the sheets, the header rows and the columns of a filled workbook by their words, wherever they stand."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from operator import itemgetter

from wood_xl.checks.names import list_text, nearest, plain
from wood_xl.checks.problem import Place, Problem, column_letters, problem
from wood_xl.checks.typed_units import typed_unit
from wood_xl.raw import Kind, RawBook, RawSheet
from wood_xl.schema.layout import (
    CHOICES_TITLE,
    HEADER_SEARCH_ROWS,
    ITEM_HEADER,
    START_TITLE,
    TALLY_TITLE,
    UNIT_HEADER,
    VALUE_HEADER,
)
from wood_xl.schema.model import Column, Definition, Sheet, season_definition

_UNIT_AT_END = re.compile(r"(?:\[([^\[\]]*)\]|\(([^()]*)\))$")
LONGEST_HEADER = 300  # no title comes near; a longer text is somebody's note
_CURRENCY_FIRST = re.compile(r"^([a-z]{3})(?: (.*))?$")
_UNIT_SIGNS = str.maketrans({"²": "2", "³": "3", "°": "deg", "µ": "u", "\u2033": "in", "\u2032": "ft"})


@dataclass(frozen=True)
class FoundColumn:
    """A known column in a table, or a known item with its value cell.

    Attributes
    ----------
    column : Column
        Its definition.
    number, row : int
        Column number; for an item the row as well, else 0.
    header : str
        Text of the header or item, with its unit, as the person sees it.
    unit : str or None
        Unit that its values are in; None if it cannot be told, so that no value can be read.
    unit_place : Place or None
        Cell in which an item's unit stands.
    currency : str
        Code in the header, in capitals; empty if there is none.
    """

    column: Column
    number: int
    header: str
    unit: str | None
    row: int = 0
    unit_place: Place | None = None
    currency: str = ""


@dataclass(frozen=True)
class FoundSheet:
    """A known sheet with its columns or items.

    Attributes
    ----------
    unread : dict
        Columns that the sheet should have but that could not be read, by id, with the problem that says why.
    """

    sheet: Sheet
    raw: RawSheet
    header_row: int
    columns: tuple[FoundColumn, ...]
    unread: dict[str, Problem]


def split_header(text: str) -> tuple[str, str | None]:
    """Title and unit of a header.

    Examples
    --------
    >>> split_header("Diameter [in]")
    ('Diameter', 'in')
    >>> split_header("Sound level [dB(A)]")
    ('Sound level', 'dB(A)')
    >>> split_header("Note")
    ('Note', None)
    """
    if len(text) > LONGEST_HEADER:
        return text, None
    words = " ".join(text.split())
    if words.endswith(("*", ":")):
        words = words[:-1].rstrip()
    match = _UNIT_AT_END.search(words)
    if match is None:
        return words, None
    return words[: match.start()].rstrip(), match[1] if match[2] is None else match[2]


def unit_of(column: Column, typed: str | None) -> tuple[str | None, str]:
    """The permitted unit that a typed one stands for, and the currency code before it.

    Parameters
    ----------
    column : Column
        Column or item.
    typed : str or None
        What stands in brackets, or in the unit cell; None or blank if nothing does.

    Returns
    -------
    tuple
        Unit, empty for a column without any, None if the typed one is not permitted or is needed and missing.
        Currency code in capitals, or empty.
    """
    words = plain((typed or "").translate(_UNIT_SIGNS))
    if not column.units:
        return "", ""
    if not words:
        return (column.units[0] if len(column.units) == 1 else None), ""
    known = {plain(unit): unit for unit in column.units}
    if words in known and not (column.is_money and words == "money"):
        return known[words], ""
    if column.is_money and (match := _CURRENCY_FIRST.match(words)):
        rest = match[2] or "money"
        if rest in known:
            return known[rest], match[1].upper()
    return typed_unit(words, column.units), ""


def find_sheets(book: RawBook, definition: Definition) -> tuple[list[FoundSheet], list[Problem]]:
    """Known sheets of a workbook, in the order of the definition, and what is wrong with sheets and headers.

    A compulsory sheet that is missing or has no header row is a STOP among the problems.
    """
    by_name: dict[str, RawSheet] = {}
    for raw in book.sheets:
        by_name.setdefault(plain(raw.title), raw)
    found: list[FoundSheet] = []
    problems: list[Problem] = []
    strangers = {
        name: raw
        for name, raw in by_name.items()
        if name not in {plain(title) for sheet in definition.sheets for title in sheet.titles}
        and name not in (plain(START_TITLE), plain(CHOICES_TITLE))
        and raw.cells
    }
    named = {sheet.id: its for sheet in definition.sheets if (its := _sheet_of_any_title(sheet, by_name))}
    missing = [sheet for sheet in definition.sheets if sheet.id not in named]
    problems += _strange_sheets(strangers, missing, definition)
    for sheet in definition.sheets:
        if sheet.id not in named:
            continue
        one, its_problems = _find_columns(sheet, named[sheet.id], definition)
        problems += its_problems
        if one is not None:
            found.append(one)
    return found, problems


def _sheet_of_any_title(sheet: Sheet, by_name: dict[str, RawSheet]) -> RawSheet | None:
    """A workbook's sheet by its title of today, else by one of older templates."""
    return next((by_name[plain(title)] for title in sheet.titles if plain(title) in by_name), None)


def compulsory_sheets(definition: Definition) -> list[str]:
    """Ids of the sheets without which nothing can be computed."""
    return [sheet.id for sheet in definition.sheets if sheet.id in definition.schema["required"]]


def _strange_sheets(
    strangers: dict[str, RawSheet], missing: list[Sheet], definition: Definition
) -> Iterator[Problem]:
    offered: dict[str, str] = {}
    titles = [sheet.title for sheet in missing]
    for name, raw in strangers.items():
        place = Place(sheet=raw.title)
        if name == plain(TALLY_TITLE):
            filled = [c for c in raw.cells.values() if c.kind is not Kind.TEXT]
            if filled:
                yield problem("header-tally-filled", place, found=str(len(filled)))
            continue
        near = nearest(raw.title, titles)
        if near is None:
            yield problem("header-unknown-sheet", place, found=raw.title)
        elif near not in offered:
            offered[near] = raw.title
            yield problem("header-near-sheet", place, found=raw.title, expected=near)
    for sheet in missing:
        if sheet.id in compulsory_sheets(definition):
            near_text = f' The sheet "{offered[sheet.title]}" may be it.' if sheet.title in offered else ""
            yield problem("header-missing-sheet", Place(sheet=sheet.title), sheet=sheet.title, near=near_text)


def _find_columns(sheet: Sheet, raw: RawSheet, definition: Definition) -> tuple[FoundSheet | None, list[Problem]]:
    titles = _known_titles(sheet) if sheet.kind == "table" else {plain(ITEM_HEADER): "", plain(VALUE_HEADER): ""}
    header_row = _header_row(raw, titles, least=1 if sheet.kind == "table" else 2)
    if header_row is None:
        if sheet.id in compulsory_sheets(definition):
            code = "header-missing-row"
        elif raw.cells:
            code = "header-missing-row-optional"
        else:
            return None, []
        return None, [problem(code, Place(sheet=raw.title), rows=str(HEADER_SEARCH_ROWS))]
    if sheet.kind == "table":
        return _table_columns(sheet, raw, header_row, titles)
    return _items(sheet, raw, header_row)


def _known_titles(sheet: Sheet) -> dict[str, str]:
    former = {plain(title): column.id for column in sheet.columns for title in column.formerly}
    return former | {plain(column.title): column.id for column in sheet.columns}


def _texts(raw: RawSheet, row: int) -> dict[int, str]:
    return {
        number: str(cell.value)
        for number, cells in raw.cells.columns.items()
        if (cell := cells.get(row)) is not None and cell.kind is Kind.TEXT and str(cell.value).strip()
    }


def _header_row(raw: RawSheet, titles: dict[str, str], *, least: int) -> int | None:
    scores: dict[int, int] = {}
    for row in range(1, HEADER_SEARCH_ROWS + 1):
        titles_n = sum(plain(split_header(text)[0]) in titles for text in _texts(raw, row).values())
        if titles_n:
            scores[row] = titles_n
    best = max(scores, key=lambda row: (scores[row], -row), default=None)
    return best if best is not None and scores[best] >= least else None


def _table_columns(
    sheet: Sheet, raw: RawSheet, header_row: int, titles: dict[str, str]
) -> tuple[FoundSheet, list[Problem]]:
    problems: list[Problem] = []
    unread: dict[str, Problem] = {}
    found: dict[str, FoundColumn] = {}
    doubles: dict[str, list[int]] = {}
    unknown: dict[int, str] = {}
    holding = {number for number, cells in raw.cells.columns.items() if any(row > header_row for row in cells)}
    texts = _texts(raw, header_row)
    for number in sorted(texts):
        title, typed = split_header(texts[number])
        column_id = titles.get(plain(title))
        if column_id is None:
            unknown[number] = texts[number].strip()
        elif column_id in found:
            if number in holding:
                doubles.setdefault(column_id, []).append(number)
        else:
            column = sheet.column(column_id)
            unit, currency = unit_of(column, typed)
            found[column_id] = FoundColumn(column, number, texts[number].strip(), unit, currency=currency)
            if unit is None and number in holding:
                place = Place(raw.title, header_row, number, texts[number].strip())
                unread[column_id] = _unit_problem(column, typed, place)
    for column_id, numbers in doubles.items():
        letters = list_text(column_letters(n) for n in (found[column_id].number, *numbers))
        place = Place(raw.title, header_row, numbers[0], found[column_id].header)
        unread[column_id] = problem("header-double-column", place, found=letters)
    absent = [column for column in sheet.columns if column.id not in found]
    for number, text in unknown.items():
        place = Place(raw.title, header_row, number, text)
        near = nearest(split_header(text)[0], [column.title for column in absent])
        if near is None:
            problems.append(problem("header-unknown-column", place, found=text))
        else:
            column = next(column for column in absent if column.title == near)
            unread.setdefault(column.id, problem("header-near-column", place, found=text, expected=near))
    for column in absent:
        if column.required and column.id not in unread and holding:
            place = Place(raw.title, header_row)
            unread[column.id] = problem("header-missing-column", place, expected=column.title)
    problems += _without_title(raw, header_row, holding - texts.keys())
    columns = tuple(sorted(found.values(), key=lambda c: c.number))
    return FoundSheet(sheet, raw, header_row, columns, unread), [*problems, *unread.values()]


def _without_title(raw: RawSheet, header_row: int, numbers: set[int]) -> Iterator[Problem]:
    for number in sorted(numbers):
        cells_n = sum(row > header_row for row in raw.cells.columns[number])
        yield problem("header-no-title", Place(raw.title, header_row, number), found=str(cells_n))


def _unit_problem(column: Column, typed: str | None, place: Place) -> Problem:
    if column.sheet in _item_sheets():
        advice = f"Write into this cell the unit that your number is in, for example {column.units[0]}."
    else:
        advice = f'Write the header as "{column.title} [{column.units[0]}]", with the unit your numbers are in.'
    expected = list_text(column.units)
    if not (typed or "").strip():
        return problem("header-missing-unit", place, expected=expected, advice=advice)
    return problem("header-unknown-unit", place, found=(typed or "").strip(), expected=expected, advice=advice)


@cache
def _item_sheets() -> frozenset[str]:
    return frozenset(sheet.id for sheet in season_definition().sheets if sheet.kind == "items")


def _items(sheet: Sheet, raw: RawSheet, header_row: int) -> tuple[FoundSheet, list[Problem]]:
    heads = {plain(text): number for number, text in sorted(_texts(raw, header_row).items(), reverse=True)}
    item_column, value_column = heads[plain(ITEM_HEADER)], heads[plain(VALUE_HEADER)]
    unit_column = heads.get(plain(UNIT_HEADER))
    rows, unknown = _item_rows(sheet, raw, header_row, item_column)
    found: dict[str, FoundColumn] = {}
    unread: dict[str, Problem] = {}
    for column_id, at in rows.items():
        column = sheet.column(column_id)
        filled = [row for row in at if (row, value_column) in raw.cells]
        row = filled[0] if filled else at[0]
        text = str(raw.cells[row, item_column].value).strip()
        unit_cell = raw.cells.get((row, unit_column)) if unit_column else None
        typed = str(unit_cell.value) if unit_cell is not None else split_header(text)[1]
        unit, currency = unit_of(column, typed)
        unit_place = Place(raw.title, row, unit_column or item_column, column.title)
        found[column_id] = FoundColumn(column, value_column, text, unit, row, unit_place, currency)
        if len(filled) > 1:
            place = Place(raw.title, filled[1], value_column, text)
            unread[column_id] = problem("item-double", place, found=column.title, rows=list_text(map(str, filled)))
        elif unit is None and filled:
            unread[column_id] = _unit_problem(column, typed, unit_place)
    problems: list[Problem] = []
    absent = [column for column in sheet.columns if column.id not in found]
    for row, text in unknown:
        if (row, value_column) not in raw.cells:
            continue
        place = Place(raw.title, row, item_column, text)
        near = nearest(split_header(text)[0], [column.title for column in absent])
        if near is None:
            problems.append(problem("item-unknown", place, found=text))
        else:
            column = next(column for column in absent if column.title == near)
            unread.setdefault(column.id, problem("item-near", place, found=text, expected=near))
    return FoundSheet(sheet, raw, header_row, tuple(found.values()), unread), [*problems, *unread.values()]


def _item_rows(
    sheet: Sheet, raw: RawSheet, header_row: int, item_column: int
) -> tuple[dict[str, list[int]], list[tuple[int, str]]]:
    """Rows of each known item, and the rows of texts that are none."""
    titles = _known_titles(sheet)
    rows: dict[str, list[int]] = {}
    unknown: list[tuple[int, str]] = []
    for row, cell in sorted(raw.cells.columns[item_column].items(), key=itemgetter(0)):
        text = str(cell.value).strip()
        if row <= header_row or cell.kind is not Kind.TEXT or not text:
            continue
        column_id = titles.get(plain(split_header(text)[0]))
        if column_id is None:
            unknown.append((row, text))
        else:
            rows.setdefault(column_id, []).append(row)
    return rows, unknown
