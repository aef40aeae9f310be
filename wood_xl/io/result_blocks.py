"""Turns tables of the results document into blocks, with titles, units and decimals from the schema."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial
from typing import Any

from wood_xl.io.blocks import Block, Cell, Head, LazyRows
from wood_xl.page_texts import Beside
from wood_xl.schema.layout import HELP_HEADER, ITEM_HEADER, NO_ROWS, UNIT_HEADER, VALUE_HEADER
from wood_xl.schema.model import Column, Sheet, System
from wood_xl.schema.words import key_words, phrase, words

ENDS = ("low", "high")
MAX_NOTES = 12
MAX_NAMES = 3
MAX_PADDED_DECIMALS = 5  # a plain number with more decimals is shown as it is, without trailing zeros
ITEM_WIDTHS = {ITEM_HEADER: 30.0, VALUE_HEADER: 42.0, UNIT_HEADER: 12.0, HELP_HEADER: 60.0}

Row = Mapping[str, Any]


@dataclass(frozen=True)
class Units:
    """The unit system and the currency code that figures are shown in."""

    system: System
    currency: str


def table_block(sheet: Sheet, rows: Sequence[Row], units: Units) -> Block:
    """A table of the results, with notes on the bases of its figures."""
    with_ends = [column.id for column in sheet.columns if _has_ends(column, rows)]
    figures = [column for column in sheet.columns if column.type == "figure"]
    notes = _interval_notes([c for c in figures if c.id not in with_ends], rows, others=bool(with_ends))
    notes += _basis_notes(figures, rows, named=sheet.columns[0])
    if not rows:
        notes = [f"{NO_ROWS}: {sheet.empty}" if sheet.empty else NO_ROWS]
    heads = (head for column in sheet.columns for head in _heads(column, column.id in with_ends, units))
    makers = [(column.id, _maker(column, column.id in with_ends)) for column in sheet.columns]

    def cells(index: int) -> list[Cell]:
        return [cell for column_id, make in makers for cell in make(rows[index][column_id])]

    return Block(sheet.title, sheet.help, tuple(heads), LazyRows(len(rows), cells), tuple(notes))


def items_block(sheet: Sheet, values: Row, units: Units) -> Block:
    """A list of result items, a row each, with unit and help."""
    with_ends = any(_has_ends(column, [values]) for column in sheet.columns)
    titles = [ITEM_HEADER, VALUE_HEADER, *(ENDS if with_ends else ()), UNIT_HEADER, HELP_HEADER]
    figures = [column for column in sheet.columns if column.type == "figure"]
    rows = []
    for column in sheet.columns:
        value = values[column.id]
        shows_ends = with_ends and column.type == "figure" and value["value"] is not None and not _is_bare(value)
        cells = _cells(column, value, shows_ends)
        if with_ends and not shows_ends:
            cells += [Cell("")] * len(ENDS)
        unit = column.label(column.unit_in(units.system), units.currency)
        rows.append([Cell(column.title), *cells, Cell(unit), Cell(column.help)])
    notes = [] if with_ends else _interval_notes(figures, [values], others=False)
    notes += _basis_notes(figures, [values], named=None)
    heads = tuple(Head(title, ITEM_WIDTHS.get(title, 0.0), is_number=title in ENDS) for title in titles)
    return Block(sheet.title, sheet.help, heads, rows, tuple(notes))


def _number_decimals(column: Column) -> int | None:
    if column.type == "number" and (column.decimals is None or column.decimals > MAX_PADDED_DECIMALS):
        return None
    return column.decimals if column.decimals is not None else 0


def _decimals_of(number: float | None, significant: int) -> int:
    if not number:
        return 0
    return max(0, significant - 1 - math.floor(math.log10(abs(number))))


def _has_ends(column: Column, rows: Sequence[Row]) -> bool:
    """Whether a figure gets columns for its ends: some row has one, or the schema always wants them."""
    is_figure = column.type == "figure"
    return column.keeps_ends or (is_figure and any(row[column.id][end] is not None for row in rows for end in ENDS))


def _is_bare(figure: Mapping[str, Any]) -> bool:
    """Whether a figure has neither ends nor a reason for their absence."""
    return figure["value"] is not None and not figure["reason"] and all(figure[end] is None for end in ENDS)


def _heads(column: Column, with_ends: bool, units: Units) -> Iterator[Head]:
    is_number = column.type != "string"
    yield Head(column.header(column.unit_in(units.system), units.currency), float(column.width or 0), is_number)
    if with_ends:
        label = column.label(column.unit_in(units.system), units.currency)
        unit = f" [{label}]" if label else ""
        yield from (Head(f"{column.title}, {end}{unit}", is_number=True) for end in ENDS)


def _maker(column: Column, with_ends: bool) -> Callable[[Any], list[Cell]]:
    """The function that makes the cells of a column and its ends; equal texts share one cell."""
    make = partial(_cells, column, with_ends=with_ends)
    return cache(make) if column.type == "string" else make


def _cells(column: Column, value: Any, with_ends: bool) -> list[Cell]:
    if column.type == "string":
        return [Cell(_text(column, value))]
    if column.type != "figure":
        return [Cell("" if value is None else value, _number_decimals(column))]
    decimals = _decimals_of(value["value"], column.significant) if column.significant else _number_decimals(column)
    # A bare figure gets a reason too: without one it would look exact.
    reason = value["reason"] or words(Beside.NO_ENDS if _is_bare(value) else Beside.NOT_GIVEN)
    if value["value"] is None:
        ends = [Cell(words(Beside.NOT_GIVEN), is_reason=True)] * len(ENDS)
        return [Cell(reason, is_reason=True), *(ends if with_ends else [])]
    cells = [Cell(value["value"], decimals)]
    if with_ends:
        numbers = [value[end] for end in ENDS]
        cells += [Cell(reason, is_reason=True) if end is None else Cell(end, decimals) for end in numbers]
    return cells


def _text(column: Column, value: Any) -> Any:
    return key_words(column.words_of, value) if column.words_of else value


def _interval_notes(columns: Sequence[Column], rows: Sequence[Row], *, others: bool) -> list[str]:
    """A note why figures have no low and high end; by column if other columns have them."""
    without: dict[str, dict[str, None]] = {}  # titles by reason, each once
    for column in columns:
        for row in rows:
            figure = row[column.id]
            if figure["value"] is not None and figure["reason"]:
                without.setdefault(figure["reason"], {})[column.title] = None
    if not without:
        return []
    if len(without) == 1 and not others:
        return [phrase(Beside.NO_ENDS_BECAUSE, why=next(iter(without)))]
    parts = tuple(phrase(Beside.FOR, titles=tuple(titles), why=why) for why, titles in without.items())
    return [phrase(Beside.NO_ENDS_FOR, parts=parts)]


def _basis_notes(columns: Sequence[Column], rows: Sequence[Row], *, named: Column | None) -> list[str]:
    """Numbered notes on how the figures came about: each basis once, with its columns and, if not all, its rows."""
    titles: dict[str, dict[str, None]] = {}  # each once
    holders: dict[str, dict[int, str]] = {}
    for column in columns:
        for index, row in enumerate(rows):
            if basis := row[column.id]["basis"]:
                titles.setdefault(basis, {})[column.title] = None
                holders.setdefault(basis, {})[index] = _text(named, row[named.id]) if named else ""
    notes = [f"{', '.join(titles[basis])}: {basis}{_holders(holders[basis], len(rows))}." for basis in titles]
    if len(notes) > MAX_NOTES:
        more = len(notes) - MAX_NOTES + 1
        notes = [*notes[: MAX_NOTES - 1], phrase(Beside.MORE_NOTES, n=more)]
    return [f"{number}. {note}" for number, note in enumerate(notes, start=1)]


def _holders(names: Mapping[int, str], rows_n: int) -> str:
    if len(names) == rows_n:
        return ""
    distinct = list(dict.fromkeys(names.values()))
    more = len(distinct) - MAX_NAMES
    shown = tuple(distinct[:MAX_NAMES])
    return phrase(Beside.HOLDERS_AND_MORE if more > 0 else Beside.HOLDERS, names=shown, n=more)
