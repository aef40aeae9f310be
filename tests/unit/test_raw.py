"""Cells by column, seen as cells by row and column."""

from __future__ import annotations

import pytest

from wood_xl.notes.raw import Cells, Kind, RawCell

ONE, TWO = RawCell(Kind.NUMBER, 1.0), RawCell(Kind.NUMBER, 2.0)


def test_cells_are_found_by_row_and_column() -> None:
    cells = Cells({(1, 2): ONE, (3, 2): TWO, (3, 1): ONE})
    assert dict(cells) == {(1, 2): ONE, (3, 2): TWO, (3, 1): ONE}
    assert len(cells) == 3
    assert cells.columns == {2: {1: ONE, 3: TWO}, 1: {3: ONE}}
    assert (1, 1) not in cells
    with pytest.raises(KeyError):
        cells[9, 9]


def test_a_column_without_cells_is_dropped() -> None:
    cells = Cells({(1, 2): ONE, (3, 1): TWO})
    del cells[1, 2]
    assert cells.columns == {1: {3: TWO}}
    cells[3, 1] = ONE
    assert cells == Cells({(3, 1): ONE})
