"""What a workbook holds, as every reader of a file format returns it. Rows and columns count from 1."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, MutableMapping
from dataclasses import dataclass, field
from enum import Enum
from typing import NamedTuple


class Kind(Enum):
    """What a cell holds."""

    NUMBER = "number"
    TEXT = "text"
    BOOLEAN = "boolean"
    DATE = "date"  # value: ISO text, date or date and time
    DURATION = "duration"  # value: minutes as float; a clock time counts from midnight
    ERROR = "error"  # value: the error's text, for example #DIV/0!
    NO_VALUE = "no_value"  # a formula without a stored value; value: the formula's text


class RawCell(NamedTuple):
    """One filled cell."""

    kind: Kind  # what the cell holds
    # see ``Kind``. Numbers are finite floats, text is as typed
    value: float | str | bool
    percent: bool = False  # the cell shows its number as a percentage (0.03 shown as 3 %)
    # for messages, of dates and durations: about the text that a spreadsheet program shows; of numbers: the currency
    # sign or code that the cell shows, empty if it shows none
    as_shown: str = ""
    rounded: str = ""  # the number that the cell shows, if it differs (12.4 shown as 12)


class Cells(MutableMapping[tuple[int, int], RawCell]):
    """Filled cells by (row, column).

    columns: cells of each column by row. A heart trace has millions: keys of two numbers would take too much memory.
    """

    __slots__ = ("columns",)

    def __init__(self, cells: Mapping[tuple[int, int], RawCell] | None = None) -> None:
        self.columns: dict[int, dict[int, RawCell]] = {}
        self.update(cells or {})

    def __getitem__(self, place: tuple[int, int]) -> RawCell:
        row, column = place
        return self.columns[column][row]

    def __setitem__(self, place: tuple[int, int], cell: RawCell) -> None:
        row, column = place
        self.columns.setdefault(column, {})[row] = cell

    def __delitem__(self, place: tuple[int, int]) -> None:
        row, column = place
        del self.columns[column][row]
        if not self.columns[column]:
            del self.columns[column]

    def __iter__(self) -> Iterator[tuple[int, int]]:
        for column, cells in self.columns.items():
            for row in cells:
                yield row, column

    def __len__(self) -> int:
        return sum(map(len, self.columns.values()))


@dataclass(frozen=True)
class RawSheet:
    """One sheet: its filled cells by (row, column)."""

    title: str
    cells: Cells
    merged: tuple[tuple[int, int, int, int], ...] = ()  # first row, first column, last row, last column
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    hidden: bool = False
    rows_beyond_limit: int = 0  # filled rows that were not read because the sheet's limit was reached


@dataclass(frozen=True)
class RawBook:
    """One workbook file; ``saved`` is the moment it was saved last, if the file says so."""

    sheets: tuple[RawSheet, ...]
    sha256: str
    template_version: str | None = None
    notes: tuple[str, ...] = field(default=())
    saved: str | None = None

    @property
    def saved_day(self) -> str | None:
        """The day on which it was saved last."""
        return self.saved and self.saved.partition("T")[0]

    @property
    def filled_n(self) -> int:
        """Filled cells of all sheets."""
        return sum(len(sheet.cells) for sheet in self.sheets)
