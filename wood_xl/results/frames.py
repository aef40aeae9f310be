"""Tables of the results as CSV text, for whoever goes on with them in another program."""

from __future__ import annotations

import re
from typing import Any

import pandas as pd

from wood_xl.schema.model import Column, Sheet, results_definition

FIGURE_PARTS = {"": "value", "_low": "low", "_high": "high", "_unit": "unit", "_reason": "reason", "_basis": "basis"}

Row = dict[str, Any]

# The wide forms are taken for the narrow ones where East Asian text is typed.
_FORMULA_START = re.compile(r"(^|[;\t\r\n])(\s*)(?=[=+\-@\uff1d\uff0b\uff0d\uff20])")


def field_parts(column: Column) -> dict[str, str]:
    """Columns of a CSV file that a column of the results becomes: name to part of the figure, or empty for itself."""
    if column.type != "figure":
        return {column.id: ""}
    return {f"{column.id}{ending}": part for ending, part in FIGURE_PARTS.items()}


def table_frame(results: Row, sheet: Sheet) -> pd.DataFrame:
    """One table as a frame: a figure becomes six columns, its value first."""
    rows = results[sheet.id]
    return pd.DataFrame(
        {
            name: [row[column.id][part] if part else row[column.id] for row in rows]
            for column in sheet.columns
            for name, part in field_parts(column).items()
        }
    )


def inert_text(value: Any) -> Any:
    """A text that no spreadsheet program takes for a formula when it opens the CSV file; any other value as it is.

    CSV cannot say that a cell is text. An apostrophe goes before whatever might start a formula, also behind the
    semicolons, tabs and line ends at which a program with other settings divides the cells.

    >>> inert_text("=1+1")
    "'=1+1"
    """
    return _FORMULA_START.sub(r"\1'\2", value) if isinstance(value, str) else value


def csv_files(results: Row) -> dict[str, str]:
    """Every table of the results: file name to CSV text."""
    return {
        f"{sheet.id}.csv": table_frame(results, sheet).map(inert_text).to_csv(index=False, lineterminator="\n")
        for sheet in results_definition().sheets
        if sheet.kind == "table"
    }
