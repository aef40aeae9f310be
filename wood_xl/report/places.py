"""Where in the workbook a figure, a note or a published figure stands: what the links of steps lead to."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Any

from openpyxl.utils import get_column_letter

from wood_xl.io.blocks import heads_row
from wood_xl.io.inputs_echo import cell_of_note
from wood_xl.io.result_blocks import Units, table_block
from wood_xl.schema.model import results_definition

FIGURES, FACTORS, INPUTS = "figures", "factors", "inputs"
VALUE = "value"


class Places:
    """Cells of a results document in its workbook."""

    def __init__(self, document: Mapping[str, Any]) -> None:
        self._document = document

    def cell(self, link: str) -> tuple[str, str]:
        """Sheet and cell that a link of a step leads to.

        Errors: KeyError or LookupError if there is no such figure or note.
        """
        kind, _, rest = link.partition("/")
        if kind == INPUTS:
            sheet_id, index, column_id = rest.split("/")
            return cell_of_note(self._document["inputs"], sheet_id, int(index), column_id)
        sheet = results_definition().sheet(FACTORS if kind == FACTORS else FIGURES)
        column = [one.id for one in sheet.columns].index(VALUE) + 1
        return sheet.result_sheet, f"{get_column_letter(column)}{self._rows[sheet.id][rest]}"

    @cached_property
    def _rows(self) -> dict[str, dict[str, int]]:
        """Row of each id of the two tables, which begin their sheets."""
        units = Units(self._document["provenance"]["display_units"], self._document["season"]["currency"])
        found = {}
        for table in (FIGURES, FACTORS):
            first = heads_row(table_block(results_definition().sheet(table), [], units)) + 1
            found[table] = {row["id"]: first + number for number, row in enumerate(self._document[table])}
        return found
