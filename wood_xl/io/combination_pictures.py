"""Combinations as points: what they take of hours against what they take of something else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from openpyxl.chart import ScatterChart

from wood_xl.io import looks
from wood_xl.io.blocks import Block, SheetWriter, number_format
from wood_xl.io.result_blocks import number_decimals
from wood_xl.io.scatter import HEIGHT_CM, Points, scatter_chart
from wood_xl.schema.model import Column, Sheet

ACROSS, UPWARDS = "worker_hours", ("cash", "co2e")

Row = Mapping[str, Any]


def combinations_against_each_other(
    writer: SheetWriter, block: Block, first_row: int, sheet: Sheet, rows: Sequence[Row], currency: str
) -> None:
    """Hours against cash and hours against CO2, a point for each combination that has both; a sentence if none has.

    They stand below the part of the table that holds these figures.
    """
    if not rows or _header(sheet.column(ACROSS), rows, currency) not in [head.text for head in block.heads]:
        return
    for upwards in UPWARDS:
        chart, drawn_n = _chart(block, first_row, sheet, rows, currency, upwards, writer.width_cm())
        writer.gap()
        if chart is None:
            writer.line(f"No picture of {_title(sheet, upwards)}: no combination has both figures.", looks.NOTE)
            continue
        writer.sheet.add_chart(chart, writer.space(HEIGHT_CM))
        if drawn_n < len(rows):
            writer.line("A combination without a point lacks one of the two figures; the table says why.", looks.NOTE)


def hours_and_cash(
    block: Block, first_row: int, sheet: Sheet, rows: Sequence[Row], currency: str
) -> ScatterChart | None:
    """The first of these pictures, for another sheet than that of the table; None if none has both figures."""
    return _chart(block, first_row, sheet, rows, currency, UPWARDS[0], 0.0)[0]


def _title(sheet: Sheet, upwards: str) -> str:
    return f"{sheet.column(ACROSS).title} against {sheet.column(upwards).title}, by combination"


def _chart(
    block: Block, first_row: int, sheet: Sheet, rows: Sequence[Row], currency: str, upwards: str, width_cm: float
) -> tuple[ScatterChart | None, int]:
    """The picture, and how many points it has."""
    x, y = sheet.column(ACROSS), sheet.column(upwards)
    headers = _header(x, rows, currency), _header(y, rows, currency)
    points = _points(block, first_row, rows, sheet.columns[0], (x, headers[0]), (y, headers[1]))
    if not points.drawn:
        return None, 0
    chart = scatter_chart(
        sheet.result_sheet,
        points,
        title=_title(sheet, upwards),
        x_title=headers[0],
        y_title=headers[1],
        width_cm=width_cm,
    )
    return chart, len(points.drawn)


def _header(column: Column, rows: Sequence[Row], currency: str) -> str:
    unit = column.unit if column.is_money else rows[0][column.id]["unit"]
    return column.header(unit, currency)


def _points(
    block: Block, first_row: int, rows: Sequence[Row], name: Column, x: tuple[Column, str], y: tuple[Column, str]
) -> Points:
    heads = [head.text for head in block.heads]
    return Points(
        names=[row[name.id] for row in rows],
        x=[row[x[0].id]["value"] for row in rows],
        y=[row[y[0].id]["value"] for row in rows],
        name_column=1,
        x_column=1 + heads.index(x[1]),
        y_column=1 + heads.index(y[1]),
        first_row=first_row,
        x_format=number_format(number_decimals(x[0])),
        y_format=number_format(number_decimals(y[0])),
    )
