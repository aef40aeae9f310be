"""Charts that stand below their table on the sheets of the results, drawn from its cells."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

from wood_xl.io import looks
from wood_xl.io.blocks import Block, SheetWriter, number_format
from wood_xl.io.charts import PART_FILLS, Bars, Part, bar_chart, height_cm, stacked_chart, stacked_height_cm
from wood_xl.io.combination_pictures import combinations_against_each_other
from wood_xl.io.dot_charts import ratio_pictures
from wood_xl.io.result_blocks import number_decimals
from wood_xl.io.tornado import tornado_chart
from wood_xl.schema.model import Column, Sheet

MOST_BARS = 12  # of a sorted chart; the table goes on
MOST_SWINGS = 16

Row = Mapping[str, Any]
Placed = Sequence[tuple[Block, int]]  # the parts of a table so far, each with its first row of cells in the sheet
Picture = Callable[[SheetWriter, Placed, Sheet, Sequence[Row], str], None]


def _header(column: Column, rows: Sequence[Row], currency: str) -> str:
    return column.header(rows[0][column.id]["unit"], currency)


def _is_in(block: Block, header: str) -> bool:
    return any(head.text == header for head in block.heads)


def _place(placed: Placed, header: str) -> tuple[int, int]:
    """Column and first row of the cells below a header."""
    block, first_row = next((block, first_row) for block, first_row in placed if _is_in(block, header))
    return 1 + [head.text for head in block.heads].index(header), first_row


def _bars(name: str, rows: Sequence[Row], column: Column, value_column: int, first_row: int) -> Bars:
    """Bars of a column of figures, without whiskers, named by another column."""
    return Bars(
        names=[row[name] for row in rows],
        values=_values(rows, column),
        high=[None] * len(rows),
        name_column=1,
        value_column=value_column,
        first_row=first_row,
        number_format=number_format(number_decimals(column)),
    )


def _values(rows: Sequence[Row], column: Column) -> list[float | None]:
    return [row[column.id]["value"] for row in rows]


def bars_of_parts(
    writer: SheetWriter, placed: Placed, sheet: Sheet, rows: Sequence[Row], currency: str, *, total: str
) -> None:
    """Each method as a bar of its parts: the figures that stand before their sum in the table; below that sum."""
    whole = sheet.column(total)
    header = _header(whole, rows, currency) if rows else ""
    if rows and not _is_in(placed[-1][0], header):
        return
    figures = [column for column in sheet.columns if column.type == "figure"]
    parts = figures[: figures.index(whole)][: len(PART_FILLS)]
    if not any(row[column.id]["value"] for row in rows for column in parts):
        writer.line(f"No picture: no part of {whole.title} is known, or all of it is 0.", looks.NOTE)
        return
    value_column, first_row = _place(placed, header)
    bars = _bars("method", rows, whole, value_column, first_row)
    chart = stacked_chart(
        writer.sheet,
        bars,
        [Part(c.title, _values(rows, c), *_place(placed, _header(c, rows, currency))) for c in parts],
        title=sheet.title,
        name_title="Method",
        value_title=header,
        width_cm=writer.width_cm(),
    )
    writer.gap()
    writer.sheet.add_chart(chart, writer.space(stacked_height_cm(len(rows))))
    if any(row[total]["value"] is None for row in rows):
        writer.line(f"Where {whole.title} is not given, the bar lacks the part that is not known.", looks.NOTE)


def widest_swings(writer: SheetWriter, placed: Placed, sheet: Sheet, rows: Sequence[Row], currency: str) -> None:
    """The inputs that move the cost most, widest first, as the table has them."""
    shown = rows[:MOST_BARS]
    if not shown:
        return
    column = sheet.column("swing")
    value_column, first_row = _place(placed, _header(column, shown, currency))
    bars = _bars("input", shown, column, value_column, first_row)
    chart = bar_chart(
        writer.sheet,
        bars,
        title=f"{sheet.title}: the first {len(shown)}" if len(rows) > len(shown) else sheet.title,
        name_title="Input and method",
        value_title=f"{_header(column, shown, currency)} per cord",
        width_cm=writer.width_cm(),
    )
    writer.gap()
    writer.sheet.add_chart(chart, writer.space(height_cm(len(shown))))


def swings_of_the_lead(
    writer: SheetWriter, placed: Placed, sheet: Sheet, rows: Sequence[Row], _currency: str
) -> None:
    """How far each input moves the lead of the best combination, from where it stands to either side."""
    shown = rows[:MOST_SWINGS]
    if not shown:
        return
    lead, ends = sheet.column("lead"), [sheet.column(key) for key in ("lead_at_low", "lead_at_high")]
    column, first_row = _place(placed, lead.title)
    bars = _bars("input", shown, lead, column, first_row)
    chart = tornado_chart(
        writer.sheet,
        bars,
        [Part(c.title, _values(shown, c), *_place(placed, c.title)) for c in ends],
        stands=shown[0][lead.id]["value"],
        title=f"{sheet.title}: the first {len(shown)}" if len(rows) > len(shown) else sheet.title,
        name_title=sheet.columns[0].title,
        value_title=f"{lead.help} Below 0 the other is better",
        width_cm=writer.width_cm(),
    )
    writer.gap()
    writer.sheet.add_chart(chart, writer.space(stacked_height_cm(len(shown))))


def heat_by_kind(writer: SheetWriter, placed: Placed, sheet: Sheet, rows: Sequence[Row], currency: str) -> None:
    """Net heat of a cord of each kind of wood, and of their mix, below the part of the table that holds it."""
    column = sheet.column("net_heat")
    header = _header(column, rows, currency) if rows else ""
    if not rows or not _is_in(placed[-1][0], header):
        return
    value_column, first_row = _place(placed, header)
    bars = _bars("species", rows, column, value_column, first_row)
    chart = bar_chart(
        writer.sheet,
        bars,
        title=column.title,
        name_title=sheet.columns[0].title,
        value_title=header,
        width_cm=writer.width_cm(),
    )
    writer.gap()
    writer.sheet.add_chart(chart, writer.space(height_cm(len(rows))))


PICTURES: dict[str, Picture] = {
    "comparisons": lambda writer, _placed, _sheet, rows, _currency: ratio_pictures(writer, rows),
    "combinations": lambda writer, placed, *table: combinations_against_each_other(writer, *placed[-1], *table),
    "choice_swings": swings_of_the_lead,
    "money_per_cord": partial(bars_of_parts, total="cash"),
    "sensitivity": widest_swings,
    "emissions_per_cord": partial(bars_of_parts, total="co2e"),
    "heat": heat_by_kind,
}
WHOLE = frozenset({"comparisons", "sensitivity"})  # never parted, since their pictures show all of them
