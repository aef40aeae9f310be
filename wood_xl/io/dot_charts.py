"""Dots with their intervals, one row of a table each: what a ratio of two methods is, and how sure.

A dot is the short end of a stacked bar whose first part is not drawn, and the interval is that part's whisker:
every spreadsheet program draws these alike, with the names at the side. The lengths stand in a table of the sheet,
since programs draw them from cells only.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from openpyxl.chart import BarChart
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.drawing.line import LineProperties

from wood_xl.io.blocks import Block, Cell, Head, SheetWriter
from wood_xl.io.charts import (
    INK,
    Bars,
    Whiskers,
    axis_end,
    bar_chart,
    bar_series,
    height_cm,
)
from wood_xl.io.result_blocks import NOT_GIVEN

DOT_SHARE = 0.012  # length of a dot, as a share of the axis
DOT_GAP_PERCENT = 320
DECIMALS = 2
RATIO_AXIS = "Times as much; at 1 both take the same"
FIRST_NUMBER_COLUMN = 4
HEADS = ("to the dot", "dot", "down to low", "up to high")


@dataclass(frozen=True)
class Dots:
    """What one chart of dots shows.

    Attributes
    ----------
    title : str
        Of the chart.
    names : sequence of str
        One for each dot.
    figures : sequence of dict
        Their values with low and high ends; null where a dot cannot be given.
    axis : str
        Title of the axis.
    """

    title: str
    names: Sequence[str]
    figures: Sequence[Mapping[str, Any]]
    axis: str = RATIO_AXIS

    @property
    def height_cm(self) -> float:
        """Height of the chart."""
        return height_cm(len(self.names))

    @property
    def is_empty(self) -> bool:
        """Whether none of its dots can be given."""
        return all(figure["high"] is None for figure in self.figures)

    @property
    def lengths(self) -> list[list[float] | None]:
        """For each dot: from zero to the dot, the dot, and the interval down and up from where the dot begins."""
        dot = DOT_SHARE * axis_end(max((f["high"] for f in self.figures if f["high"] is not None), default=0.0))[0]
        rows: list[list[float] | None] = []
        for figure in self.figures:
            if figure["high"] is None:
                rows.append(None)
                continue
            wide = min(dot, 2 * figure["value"])  # the dot of a small figure would else reach far beyond it
            start = figure["value"] - wide / 2
            parts = (start, wide, max(0.0, start - figure["low"]), figure["high"] - start)
            rows.append([float(f"{length:.10g}") for length in parts])
        return rows


def ratio_pictures(writer: SheetWriter, rows: Sequence[Mapping[str, Any]]) -> None:
    """A picture for each figure: every pair of methods on the ground that counts, and what they are drawn from.

    Pairs without a ratio keep their row and a picture without any dot its room, so that what stands below stays in
    its place when figures are left out of a copy.
    """
    of_figure: dict[str, list[Mapping[str, Any]]] = {}
    for row in rows:
        if row["counts"] == "yes":
            of_figure.setdefault(row["figure"], []).append(row)
    pictures = [
        Dots(
            title=f"{figure}: times as much, with its 95 % interval",
            names=[f"{row['more']} against {row['less']}" for row in found],
            figures=[row["ratio"] for row in found],
        )
        for figure, found in of_figure.items()
    ]
    draw_dots(writer, pictures)


def draw_dots(writer: SheetWriter, pictures: Sequence[Dots]) -> None:
    """Charts of dots below each other, and the table that they are drawn from."""
    if not pictures:
        return
    writer.gap()
    corners = [writer.space(dots.height_cm) for dots in pictures]
    first = writer.block(_lengths_block(pictures))
    for corner, dots in zip(corners, pictures, strict=True):
        if not dots.is_empty:
            writer.sheet.add_chart(_dot_chart(writer, dots, first_row=first), corner)
        first += len(dots.names)


def _lengths_block(pictures: Sequence[Dots]) -> Block:
    """The lengths that the charts are drawn from, one chart after the other."""
    missing = [Cell(NOT_GIVEN, is_reason=True)] * len(HEADS)
    cells = [
        [Cell(name), Cell(""), Cell(""), *([Cell(n, DECIMALS) for n in lengths] if lengths else missing)]
        for dots in pictures
        for name, lengths in zip(dots.names, dots.lengths, strict=True)
    ]
    heads = (Head("Of"), Head(""), Head(""), *(Head(text, is_number=True) for text in HEADS))
    return Block("Lengths of the pictures", "Programs draw the dots from these cells.", heads, cells)


def _dot_chart(writer: SheetWriter, dots: Dots, *, first_row: int) -> BarChart:
    """One chart, drawn from the rows of the lengths' table that begin at ``first_row``."""
    rows = dots.lengths
    start, length = ([None if row is None else row[part] for row in rows] for part in (0, 1))
    down, up = ([0.0 if row is None else row[part] for row in rows] for part in (2, 3))
    place = FIRST_NUMBER_COLUMN
    bars = Bars(
        names=dots.names,
        values=start,
        high=[figure["high"] for figure in dots.figures],
        name_column=1,
        value_column=place,
        first_row=first_row,
        number_format="0.00",
        whiskers=Whiskers(down=down, up=up, down_column=place + 2, up_column=place + 3, first_row=first_row),
    )
    chart = bar_chart(
        writer.sheet,
        bars,
        title=dots.title,
        name_title="",
        value_title=dots.axis,
        width_cm=writer.width_cm(),
    )
    chart.grouping = "stacked"
    chart.overlap = 100
    chart.gapWidth = DOT_GAP_PERCENT
    hidden = chart.series[0]
    hidden.graphicalProperties = GraphicalProperties(noFill=True, ln=LineProperties(noFill=True))
    hidden.dLbls = None
    ends = Bars(dots.names, length, [None] * len(length), 1, place + 1, first_row, "0.00")
    mark = bar_series(writer.sheet, ends)
    mark.dLbls = None
    mark.graphicalProperties = GraphicalProperties(solidFill=INK, ln=LineProperties(solidFill=INK))
    chart.series.append(mark)
    return chart
