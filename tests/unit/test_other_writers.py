"""A season written by a library other than openpyxl is read as well."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
import xlsxwriter
from builders import raw_book, small_season

from wood_xl.io.reader import read_workbook
from wood_xl.notes.raw import Kind
from wood_xl.notes.season import check_season
from wood_xl.pipeline import score_file


def write(path: Path, *, constant_memory: bool) -> None:
    """The small season; one number is a formula with a stored result."""
    with xlsxwriter.Workbook(str(path), {"constant_memory": constant_memory}) as workbook:
        date_format = workbook.add_format({"num_format": "d mmm yyyy"})
        for sheet in raw_book(small_season()).sheets:
            page = workbook.add_worksheet(sheet.title)
            for (row, column), cell in sorted(sheet.cells.items()):
                if cell.kind is Kind.DATE:
                    page.write_datetime(row - 1, column - 1, dt.datetime.fromisoformat(str(cell.value)), date_format)
                elif cell.value == 25.5:
                    page.write_formula(row - 1, column - 1, "=51/2", None, 25.5)
                else:
                    page.write(row - 1, column - 1, cell.value)


@pytest.mark.parametrize("constant_memory", [False, True])  # texts in a table of their own, or in the cells
def test_season_of_another_library(constant_memory: bool, tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    write(path, constant_memory=constant_memory)
    ours = check_season(raw_book(small_season()))
    theirs = check_season(read_workbook(path))
    assert theirs.document.data == ours.document.data
    assert [found.line() for found in theirs.problems] == [found.line() for found in ours.problems]
    assert score_file(path, None).results is not None
