"""The list of cells that figures wait for, as it stands in the results, and back again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import groupby
from typing import Any

from wood_xl.notes.document import SeasonDocument
from wood_xl.notes.planned import Cell
from wood_xl.notes.problem import Problem
from wood_xl.notes.season import CheckedSeason
from wood_xl.schema.model import Sheet, season_definition

CELL, WHOLE_COLUMN = "cell", "whole column"
DOWN_TO = " to "

Row = dict[str, str]


def waiting_rows(checked: CheckedSeason) -> list[Row]:
    """Every cell, item and column of a checked season that must not be used, with the cell that a reason names.

    Sorted, so that the same season has the same list.
    """
    sheets, document = season_definition().sheets, checked.document
    order = {sheet.id: number for number, sheet in enumerate(sheets)}

    def key(cell: Cell) -> tuple[int, str, int]:
        return order[cell[0]], cell[2], -1 if cell[1] is None else cell[1]

    def run(cell: Cell) -> tuple[str, str, str]:
        return cell[0], cell[2], checked.cell_problems.get(cell, "")

    rows = []
    for (sheet_id, column_id, where), cells in groupby(sorted(checked.broken, key=key), key=run):
        numbers = [document.places[sheet_id].rows[index] for _, index, _ in cells if index is not None]
        ends = dict.fromkeys((*numbers[:1], *numbers[-1:]))
        rows.append(_row(sheet_id, DOWN_TO.join(map(str, ends)), column_id, CELL, where))
    for (sheet_id, column_id), where in sorted(checked.unread.items(), key=lambda c: (order[c[0][0]], c[0][1])):
        rows.append(_row(sheet_id, "", column_id, WHOLE_COLUMN, where))
    return rows


def _row(sheet_id: str, number: str, column_id: str, extent: str, where: str) -> Row:
    sheet = season_definition().sheet(sheet_id)
    title = sheet.column(column_id).title
    return {"sheet": sheet.title, "row": number, "column": title, "extent": extent, "cell": where}


def waiting_sheet(row: Mapping[str, Any]) -> Sheet:
    """The sheet of the template that a row of the list is about.

    Errors: KeyError if there is no such sheet.
    """
    return {sheet.title: sheet for sheet in season_definition().sheets}[row["sheet"]]


def checked_again(
    document: SeasonDocument, problems: list[Problem], waiting: Iterable[Mapping[str, Any]]
) -> CheckedSeason:
    """A checked season from what its results hold.

    Errors: KeyError if a row names a sheet, row or column that is not there.
    """
    index_of = {
        (sheet_id, str(row)): index
        for sheet_id, places in document.places.items()
        for index, row in enumerate(places.rows)
    }
    cells: dict[tuple[str, int | None, str], str] = {}
    unread: dict[tuple[str, str], str] = {}
    for row in waiting:
        sheet = waiting_sheet(row)
        ids = {column.title: column.id for column in sheet.columns}
        column_id = ids[row["column"]] if sheet.classes is None else ids.get(row["column"], row["column"])
        if row["extent"] == WHOLE_COLUMN:
            unread[sheet.id, column_id] = row["cell"]
        else:
            first, _, last = row["row"].partition(DOWN_TO)
            down = range(index_of[sheet.id, first], index_of[sheet.id, last or first] + 1) if first else (None,)
            cells |= dict.fromkeys(((sheet.id, index, column_id) for index in down), row["cell"])
    named = {cell: where for cell, where in cells.items() if where}
    return CheckedSeason(document, problems, frozenset(cells), unread, named)
