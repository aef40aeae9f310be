"""Routes as points: what they take of hours against what they take of something else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from wood_xl.io import looks
from wood_xl.io.blocks import Block, SheetWriter, number_format
from wood_xl.io.result_blocks import number_decimals
from wood_xl.io.scatter import HEIGHT_CM, Points, scatter_chart
from wood_xl.schema.model import Column, Sheet

ACROSS, UPWARDS = "worker_hours", ("cash", "co2")

Row = Mapping[str, Any]


def routes_against_each_other(
    writer: SheetWriter, block: Block, first_row: int, sheet: Sheet, rows: Sequence[Row], currency: str
) -> None:
    """Hours against cash and hours against CO2, a point for each route that has both; a sentence if none has."""
    x = sheet.column(ACROSS)
    for y in map(sheet.column, UPWARDS if rows else ()):
        title = f"{x.title} against {y.title}, by route"
        headers = _header(x, rows, currency), _header(y, rows, currency)
        points = _points(block, first_row, rows, sheet.columns[0], (x, headers[0]), (y, headers[1]))
        writer.gap()
        if not points.drawn:
            writer.line(f"No picture of {title}: no route has both figures.", looks.NOTE)
            continue
        corner = writer.space(HEIGHT_CM)
        width_cm = writer.width_cm()
        chart = scatter_chart(
            writer.sheet, points, title=title, x_title=headers[0], y_title=headers[1], width_cm=width_cm
        )
        writer.sheet.add_chart(chart, corner)
        if len(points.drawn) < len(rows):
            writer.line("A route without a point lacks one of the two figures; the table says why.", looks.NOTE)


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
