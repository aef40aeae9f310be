"""The list of cells that figures wait for, as it stands in the results, and back again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from wood_xl.checks.problem import Problem
from wood_xl.checks.season import CheckedSeason
from wood_xl.document import SeasonDocument
from wood_xl.schema.model import season_definition

CELL, WHOLE_COLUMN = "cell", "whole column"

Row = dict[str, str]


def waiting_rows(checked: CheckedSeason) -> list[Row]:
    """Every cell, item and column of a checked season that must not be used, with the cell that a reason names.

    Sorted, so that the same season has the same list.
    """
    sheets, document = season_definition().sheets, checked.document
    order = {sheet.id: number for number, sheet in enumerate(sheets)}
    rows = []
    for sheet_id, index, column_id in sorted(
        checked.broken, key=lambda c: (order[c[0]], -1 if c[1] is None else c[1], c[2])
    ):
        number = "" if index is None else str(document.places[sheet_id].rows[index])
        rows.append(
            _row(sheet_id, number, column_id, CELL, checked.cell_problems.get((sheet_id, index, column_id), ""))
        )
    for (sheet_id, column_id), where in sorted(checked.unread.items(), key=lambda c: (order[c[0][0]], c[0][1])):
        rows.append(_row(sheet_id, "", column_id, WHOLE_COLUMN, where))
    return rows


def _row(sheet_id: str, number: str, column_id: str, extent: str, where: str) -> Row:
    sheet = season_definition().sheet(sheet_id)
    title = sheet.column(column_id).title
    return {"sheet": sheet.title, "row": number, "column": title, "extent": extent, "cell": where}


def checked_again(
    document: SeasonDocument, problems: list[Problem], waiting: Iterable[Mapping[str, Any]]
) -> CheckedSeason:
    """A checked season from what its results hold.

    Parameters
    ----------
    document : SeasonDocument
        Notes, without the cells that could not be read.
    problems : list of Problem
        As they were found.
    waiting : iterable of dict
        As ``waiting_rows`` gives them.

    Raises
    ------
    KeyError
        If a row names a sheet, row or column that is not there.
    """
    sheets = {sheet.title: sheet for sheet in season_definition().sheets}
    index_of = {
        (sheet_id, str(row)): index
        for sheet_id, places in document.places.items()
        for index, row in enumerate(places.rows)
    }
    cells: dict[tuple[str, int | None, str], str] = {}
    unread: dict[tuple[str, str], str] = {}
    for row in waiting:
        sheet = sheets[row["sheet"]]
        column_id = {column.title: column.id for column in sheet.columns}[row["column"]]
        if row["extent"] == WHOLE_COLUMN:
            unread[sheet.id, column_id] = row["cell"]
        else:
            index = index_of[sheet.id, row["row"]] if row["row"] else None
            cells[sheet.id, index, column_id] = row["cell"]
    named = {cell: where for cell, where in cells.items() if where}
    return CheckedSeason(document, problems, frozenset(cells), unread, named)
