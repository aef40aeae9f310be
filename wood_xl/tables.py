"""Tables of the results as CSV text, for whoever goes on with them in another program."""

from __future__ import annotations

from typing import Any

import pandas as pd

from wood_xl.schema.model import Sheet, results_definition

Row = dict[str, Any]


def table_frame(results: Row, sheet: Sheet) -> pd.DataFrame:
    """One table as a frame: a figure becomes columns ``id``, ``id_low``, ``id_high``, ``id_unit`` and ``id_reason``.

    Parameters
    ----------
    results : dict
        Results document.
    sheet : Sheet
        A table of the results definition.
    """
    columns: dict[str, list[Any]] = {}
    rows = results[sheet.id]
    for column in sheet.columns:
        values = [row[column.id] for row in rows]
        if column.type != "figure":
            columns[column.id] = values
            continue
        columns[column.id] = [value["value"] for value in values]
        for part in ("low", "high", "unit", "reason"):
            columns[f"{column.id}_{part}"] = [value[part] for value in values]
    return pd.DataFrame(columns)


def csv_files(results: Row) -> dict[str, str]:
    """Every table of the results: file name to CSV text."""
    return {
        f"{sheet.id}.csv": table_frame(results, sheet).to_csv(index=False, lineterminator="\n")
        for sheet in results_definition().sheets
        if sheet.kind == "table"
    }
