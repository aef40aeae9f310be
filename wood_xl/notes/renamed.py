"""What a column or item that is not known may have been called: people write their own words over a header."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from wood_xl.notes.cell import decode
from wood_xl.notes.header_words import unit_of
from wood_xl.notes.raw import RawCell
from wood_xl.schema.model import Column, Sheet

CELLS_TRIED = 100  # cells of a column are enough to tell what it holds


@dataclass(frozen=True)
class Stranger:
    """A column or item that is not known.

    at: number of the column, or row of the item.
    text: its header, or the text of the item; empty if there is none.
    typed: unit that is written for it.
    cells: what stands in it, by row; empty if nothing does.
    """

    at: int
    text: str
    typed: str | None
    cells: Mapping[int, RawCell]


@dataclass(frozen=True)
class Guess:
    """What a stranger is: most likely one column or item, else perhaps one of several, else its writer's own."""

    stranger: Stranger
    likely: Column | None
    perhaps: list[Column]


def guesses(sheet: Sheet, found_at: Mapping[str, int], strangers: Sequence[Stranger]) -> Iterator[Guess]:
    """What each stranger may be of what is not found between its neighbours, by what stands in it.

    It is most likely the column that the template has just there, if figures hang on it; or one without which nothing
    can be computed.
    """
    taken: set[str] = set()
    for stranger in strangers:
        perhaps = {
            column.id: (column, is_there)
            for column, is_there in _between_its_neighbours(sheet, found_at, stranger.at)
            if column.id not in taken and _fits(stranger, column, is_there=is_there)
        }
        likely = [column for column, is_there in perhaps.values() if column.required or (is_there and column.feeds)]
        taken |= {column.id for column in likely[:1]}
        yield Guess(stranger, likely[0] if likely else None, [column for column, _ in perhaps.values()])


def _between_its_neighbours(sheet: Sheet, found_at: Mapping[str, int], at: int) -> Iterator[tuple[Column, bool]]:
    """Columns that the template has between the known neighbours of a place, and whether it has them just there."""
    order = [(found_at[column.id], number) for number, column in enumerate(sheet.columns) if column.id in found_at]
    left = max((place for place in order if place[0] < at), default=None)
    right = min((place for place in order if place[0] > at), default=None)
    neighbours = [place for place in (left, right) if place is not None]
    first = 0 if left is None else left[1] + 1
    last = len(sheet.columns) if right is None else right[1]
    absent = [number for number, column in enumerate(sheet.columns) if column.id not in found_at]
    between = [number for number in absent if first <= number < last]
    if not between and len(absent) == 1:  # older templates had their columns in another order
        yield sheet.columns[absent[0]], True
    for number in between:
        is_there = bool(neighbours) and all(at - where == number - known for where, known in neighbours)
        yield sheet.columns[number], is_there


def _fits(stranger: Stranger, column: Column, *, is_there: bool) -> bool:
    unit, _ = unit_of(column, stranger.typed)
    if unit is None and (stranger.typed or not is_there):
        return False
    tried = [*islice(stranger.cells.values(), CELLS_TRIED)]
    read_n = sum(decode(cell, column, column.units[0] if unit is None else unit).value is not None for cell in tried)
    return 2 * read_n > len(tried)
