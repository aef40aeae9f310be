"""Charts that stand below their table on the sheets of the results, drawn from its cells."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from wood_xl.io import looks
from wood_xl.io.blocks import Block, SheetWriter, number_format
from wood_xl.io.charts import PART_FILLS, Bars, Part, bar_chart, height_cm, stacked_chart, stacked_height_cm
from wood_xl.io.result_blocks import number_decimals
from wood_xl.schema.model import Column, Sheet

MOST_BARS = 12  # of a sorted chart; the table goes on
SUM = "cash"

Row = Mapping[str, Any]
Picture = Callable[[SheetWriter, Block, int, Sheet, Sequence[Row], str], None]


def _header(column: Column, currency: str) -> str:
    return column.header(column.unit, currency)


def _place(block: Block, header: str) -> int:
    return 1 + [head.text for head in block.heads].index(header)


def _values(rows: Sequence[Row], column: Column) -> list[float | None]:
    return [row[column.id]["value"] for row in rows]


def cash_by_part(
    writer: SheetWriter, block: Block, first_row: int, sheet: Sheet, rows: Sequence[Row], currency: str
) -> None:
    """Cash of each method as a bar of its parts."""
    total = sheet.column(SUM)
    parts = [column for column in sheet.columns if column.type == "figure" and column.id != SUM][: len(PART_FILLS)]
    if not any(row[column.id]["value"] for row in rows for column in parts):
        writer.line("No picture: no part of the cash is known, or all of it is 0.", looks.NOTE)
        return
    bars = Bars(
        names=[row["method"] for row in rows],
        values=_values(rows, total),
        high=[None] * len(rows),
        name_column=1,
        value_column=_place(block, _header(total, currency)),
        first_row=first_row,
        number_format=number_format(number_decimals(total)),
    )
    chart = stacked_chart(
        writer.sheet,
        bars,
        [Part(c.title, _values(rows, c), _place(block, _header(c, currency))) for c in parts],
        title=sheet.title,
        name_title="Method",
        value_title=_header(total, currency),
        width_cm=writer.width_cm(),
    )
    writer.gap()
    writer.sheet.add_chart(chart, writer.space(stacked_height_cm(len(rows))))
    if any(row[SUM]["value"] is None for row in rows):
        writer.line("Where the cash is not given, the bar lacks the part that is not known.", looks.NOTE)


def widest_swings(
    writer: SheetWriter, block: Block, first_row: int, sheet: Sheet, rows: Sequence[Row], currency: str
) -> None:
    """The inputs that move the cost most, widest first, as the table has them."""
    shown = rows[:MOST_BARS]
    if not shown:
        return
    column = sheet.column("swing")
    bars = Bars(
        names=[row["input"] for row in shown],
        values=_values(shown, column),
        high=[None] * len(shown),
        name_column=1,
        value_column=_place(block, _header(column, currency)),
        first_row=first_row,
        number_format=number_format(number_decimals(column)),
    )
    chart = bar_chart(
        writer.sheet,
        bars,
        title=f"{sheet.title}: the first {len(shown)}" if len(rows) > len(shown) else sheet.title,
        name_title="Input and method",
        value_title=f"{_header(column, currency)} per cord",
        width_cm=writer.width_cm(),
    )
    writer.gap()
    writer.sheet.add_chart(chart, writer.space(height_cm(len(shown))))


PICTURES: dict[str, Picture] = {"money_per_cord": cash_by_part, "sensitivity": widest_swings}
