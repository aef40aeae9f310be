"""Computes one hash over all cells of a results workbook, so that a changed digit anywhere shows.

It covers only the values, sheet by sheet and row by row, so that saving in another spreadsheet program keeps it. It
does not prove who wrote the file: whoever changes a cell can compute a new seal.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Iterator, Sequence

from wood_xl.notes.raw import RawBook, RawSheet
from wood_xl.schema.layout import SEAL_TITLE

Value = str | float

SEAL_BELOW_TITLE = 3  # rows below its title: help, header, seal
STORED_DIGITS = 15  # as spreadsheet programs keep


class Seal:
    """Hashes the cells of a workbook, in the order of its sheets and rows."""

    def __init__(self) -> None:
        self._digest = hashlib.sha256()

    def row(self, title: str, row: int, values: Iterable[tuple[int, Value]]) -> None:
        """Add one row: its values, each with its column."""
        cells = "\x1f".join([f"{column}={canonical(value)}" for column, value in values if value != ""])
        if cells:
            self._digest.update(f"{title}\x1f{row}\x1f{cells}\n".encode())

    def text(self) -> str:
        """The hash so far."""
        return self._digest.hexdigest()


def canonical(value: Value) -> str:
    """A value as the seal hashes it: a text with plain line ends, a number to 15 significant digits."""
    if isinstance(value, str):
        return value.replace("\r\n", "\n").replace("\r", "\n") if "\r" in value else value
    number = repr(value + 0.0)
    if len(number) <= STORED_DIGITS:  # short enough to be stored in full
        return number
    return repr(float(f"{value:.{STORED_DIGITS}g}") + 0.0)


def seal_of(book: RawBook) -> str:
    """The seal that a results workbook should have, from all cells but the seal's own."""
    seal = Seal()
    place = seal_place(book)
    for sheet in book.sheets:
        end = math.inf if place is None or sheet.title != place[0] else place[1] - SEAL_BELOW_TITLE
        for row, values in _rows(sheet):
            if row < end:
                seal.row(sheet.title, row, values)
    return seal.text()


def stored_seal(book: RawBook) -> str:
    """The seal in a results workbook; empty if it has none."""
    place = seal_place(book)
    return "" if place is None else str(book.sheets[-1].cells[place[1:]].value)


def seal_place(book: RawBook) -> tuple[str, int, int] | None:
    """Sheet, row and column of the seal, in the last row of the last sheet; None if it is not there."""
    sheet = book.sheets[-1]
    last = max((row for cells in sheet.cells.columns.values() for row in cells), default=0)
    title = sheet.cells.get((last - SEAL_BELOW_TITLE, 1))
    is_seal = title is not None and title.value == SEAL_TITLE and (last, 2) in sheet.cells
    return (sheet.title, last, 2) if is_seal else None


def _rows(sheet: RawSheet) -> Iterator[tuple[int, Sequence[tuple[int, Value]]]]:
    """The rows, one at a time: a copied heart trace has millions of cells."""
    columns = sorted(sheet.cells.columns.items())
    for row in sorted(set().union(*(cells for _, cells in columns))):
        yield row, [(column, cells[row].value) for column, cells in columns if row in cells]
