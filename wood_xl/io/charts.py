"""Native charts whose every setting is written out, so that spreadsheet programs draw them alike.

A chart repeats a table that stands beside it and is never the only place of a number. Values are also stored inside
the chart, for viewers that show a chart without reading the cells.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from openpyxl.chart import BarChart, Reference, Series
from openpyxl.chart.axis import ChartLines
from openpyxl.chart.data_source import (
    AxDataSource,
    NumData,
    NumDataSource,
    NumRef,
    NumVal,
    StrData,
    StrRef,
    StrVal,
)
from openpyxl.chart.error_bar import ErrorBars
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.legend import Legend
from openpyxl.chart.series import SeriesLabel
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText, Text
from openpyxl.chart.title import Title
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import (
    CharacterProperties,
    Font,
    Paragraph,
    ParagraphProperties,
    RegularTextRun,
    RichTextProperties,
)

from wood_xl.io.limits import storable_text

PART_FILLS = ("2F4A66", "6488AC", "9DB8D2", "CFDDEA", "FFFFFF")  # five steps of lightness, outlined
BAR = "7FA3C7"  # mid tones: a dark whisker stays to be seen on the bar, on paper without colour too
INK = "404040"
GRID = "D9D9D9"
FONT = "Arial"
NARROWEST_CM, WIDEST_CM = 14, 22
FRAME_CM, BAR_CM, TALLEST_CM = 2.6, 0.85, 22.0  # titles and axes, each bar, and the most that a page holds
LEGEND_CM = 0.8
TICKS = 6
LEAST_DRAWN = 1e-8  # an axis has no more decimals; what is less is drawn as nothing
GAP_PERCENT = 60  # gap between bars, in per cent of a bar


@dataclass(frozen=True)
class Whiskers:
    """Lengths of the whiskers from the end of each bar: 0 where it has none.

    Spreadsheet programs draw them from cells only, so they stand in the sheet, in the order of the bars.
    """

    down: Sequence[float]
    up: Sequence[float]
    down_column: int
    up_column: int
    first_row: int


@dataclass(frozen=True)
class Bars:
    """What a bar chart shows: one bar for each row of a table.

    Attributes
    ----------
    names, values : sequence
        As they stand in the cells, in order; a value of None where the cell holds words.
    high : sequence of float or None
        Upper ends of the whiskers, by which the axis is drawn; None where a bar has none.
    name_column, value_column, first_row : int
        Where names and values stand in the sheet; rows follow each other.
    number_format : str
        Of the values.
    whiskers : Whiskers or None
        Lengths of the whiskers; None for bars without.
    """

    names: Sequence[str]
    values: Sequence[float | None]
    high: Sequence[float | None]
    name_column: int
    value_column: int
    first_row: int
    number_format: str
    whiskers: Whiskers | None = None


def bar_chart(sheet: Any, bars: Bars, *, title: str, name_title: str, value_title: str, width_cm: float) -> BarChart:
    """Horizontal bars, the first row at the top.

    Parameters
    ----------
    sheet : Worksheet
        Sheet that holds the cells; the chart is not placed on it.
    bars : Bars
        At least one bar.
    title, name_title, value_title : str
        Titles of the chart and of its axes, the last with its unit.
    width_cm : float
        Width to be filled, within what suits a page.
    """
    chart = new_chart(title, height_cm(len(bars.values)), width_cm)
    chart.overlap = 0
    chart.series.append(bar_series(sheet, bars))
    name_axis(chart, name_title)
    value_axis(chart, value_title, [n for n in (*bars.values, *bars.high) if n is not None])
    return chart


@dataclass(frozen=True)
class Part:
    """One part of every stacked bar: a column of a table.

    Attributes
    ----------
    title : str
        For the legend.
    values : sequence of float or None
        As they stand in the cells; None where the cell holds words, which is drawn as nothing.
    column, first_row : int
        Where they stand in the sheet; a wide table stands in parts, one below the other.
    """

    title: str
    values: Sequence[float | None]
    column: int
    first_row: int


def stacked_chart(
    sheet: Any,
    bars: Bars,
    parts: Sequence[Part],
    *,
    title: str,
    name_title: str,
    value_title: str,
    width_cm: float,
) -> BarChart:
    """Horizontal bars made of parts that lie end to end, told apart by lightness so that grey print keeps them.

    Parameters
    ----------
    sheet : Worksheet
        Sheet that holds the cells; the chart is not placed on it.
    bars : Bars
        Names and the sums, which set the length of the axis.
    parts : sequence of Part
        At most as many as there are steps of lightness.
    title, name_title, value_title : str
        Titles of the chart and of its axes, the last with its unit.
    width_cm : float
        Width to be filled, within what suits a page.
    """
    chart = new_chart(title, stacked_height_cm(len(bars.names)), width_cm)
    chart.grouping = "stacked"
    chart.overlap = 100
    add_parts(chart, sheet, bars, parts, PART_FILLS)
    name_axis(chart, name_title)
    sums = [math.fsum(part.values[i] or 0.0 for part in parts) for i in range(len(bars.names))]
    value_axis(chart, value_title, sums)
    return chart


def add_parts(chart: BarChart, sheet: Any, bars: Bars, parts: Sequence[Part], fills: Sequence[str]) -> None:
    """A series for each part, outlined, with a legend below that names them."""
    chart.legend = Legend()
    chart.legend.position = "b"
    chart.legend.txPr = plain_words(size=900)
    for part, fill in zip(parts, fills, strict=False):
        cells = replace(bars, values=part.values, value_column=part.column, first_row=part.first_row)
        series = bar_series(sheet, cells)
        series.tx = SeriesLabel(v=part.title)
        series.dLbls = None
        outline = LineProperties(solidFill=INK, w=6350)
        series.graphicalProperties = GraphicalProperties(solidFill=fill, ln=outline)
        chart.series.append(series)


def new_chart(title: str, height: float, width_cm: float) -> BarChart:
    """Horizontal bars without any yet, within what suits a page."""
    chart = BarChart()
    chart.type = "bar"
    chart.gapWidth = GAP_PERCENT
    chart.legend = None
    chart.roundedCorners = False
    chart.width = max(NARROWEST_CM, min(WIDEST_CM, int(width_cm)))
    chart.height = height
    chart.graphical_properties = GraphicalProperties(noFill=True, ln=LineProperties(noFill=True))
    chart.title = chart_title(title, size=1100, bold=True)
    return chart


def height_cm(bars_n: int) -> float:
    """Height of a chart of so many bars."""
    return min(TALLEST_CM, FRAME_CM + BAR_CM * bars_n)


def stacked_height_cm(bars_n: int) -> float:
    """Height of a chart of so many stacked bars, with its legend."""
    return min(TALLEST_CM, height_cm(bars_n) + LEGEND_CM)


def axis_end(largest: float) -> tuple[float, float]:
    """End and step of an axis from zero that holds the largest value, in steps of 1, 2 or 5 times a power of ten.

    Examples
    --------
    >>> axis_end(7.58)
    (8.0, 2.0)
    >>> axis_end(0.0)
    (1.0, 0.2)
    """
    if largest < LEAST_DRAWN:
        return 1.0, 0.2
    power = 10.0 ** math.floor(math.log10(largest / TICKS))
    step = next(s * power for s in (1, 2, 5, 10) if s * power * TICKS >= largest)
    count = math.ceil(largest / step * (1 - 1e-12))
    return round(count * step, 10), round(step, 10)


def bar_series(sheet: Any, bars: Bars) -> Any:
    """One series of bars, with its values stored inside the chart too."""
    names = _column(sheet, bars.name_column, bars.first_row, len(bars.names))
    values = _column(sheet, bars.value_column, bars.first_row, len(bars.values))
    series: Any = Series(values, title=None)
    series.val = NumDataSource(numRef=NumRef(f=str(values), numCache=_numbers(bars.values, bars.number_format)))
    texts = [StrVal(idx=i, v=storable_text(name)) for i, name in enumerate(bars.names)]
    series.cat = AxDataSource(strRef=StrRef(f=str(names), strCache=StrData(ptCount=len(texts), pt=texts)))
    series.invertIfNegative = False
    series.graphicalProperties = GraphicalProperties(solidFill=BAR, ln=LineProperties(noFill=True))
    if bars.whiskers is None:
        series.dLbls = _labels(bars)
    else:  # a whisker would run through the number of a short bar; the table beside it tells the numbers
        series.dLbls = None
        series.errBars = _whiskers(sheet, bars.whiskers, bars.number_format)
    return series


def _column(sheet: Any, column: int, first_row: int, count: int) -> Reference:
    return Reference(sheet, min_col=column, min_row=first_row, max_row=first_row + count - 1)


def _numbers(values: Sequence[float | None], number_format: str) -> NumData:
    points = [NumVal(idx=i, v=repr(float(value))) for i, value in enumerate(values) if value is not None]
    return NumData(formatCode=number_format, ptCount=len(values), pt=points)


def _whiskers(sheet: Any, whiskers: Whiskers, number_format: str) -> ErrorBars:
    def source(lengths: Sequence[float], column: int) -> NumDataSource:
        cells = _column(sheet, column, whiskers.first_row, len(lengths))
        return NumDataSource(numRef=NumRef(f=str(cells), numCache=_numbers(lengths, number_format)))

    return ErrorBars(
        errBarType="both",
        errValType="cust",
        noEndCap=False,
        plus=source(whiskers.up, whiskers.up_column),
        minus=source(whiskers.down, whiskers.down_column),
        spPr=GraphicalProperties(ln=LineProperties(solidFill=INK, w=12700)),
    )


def _labels(bars: Bars) -> DataLabelList:
    labels = DataLabelList()
    labels.showVal = True
    labels.showSerName = labels.showCatName = labels.showLegendKey = labels.showPercent = False
    labels.numFmt = bars.number_format
    labels.position = "outEnd"
    labels.txPr = plain_words(size=900)
    return labels


def name_axis(chart: BarChart, title: str) -> None:
    """Names at the side, the first at the top."""
    axis = chart.x_axis
    axis.delete = False
    if title:
        axis.title = chart_title(title, size=900, bold=False)
    axis.scaling.orientation = "maxMin"
    axis.majorGridlines = None
    axis.majorTickMark = "none"
    axis.tickLblPos = "nextTo"
    axis.txPr = plain_words(size=900)
    axis.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill=INK))


def value_axis(chart: BarChart, title: str, values: Sequence[float]) -> None:
    """Numbers below, with 0 among them, as far as the values go either way."""
    axis = chart.y_axis
    axis.delete = False
    axis.title = chart_title(title, size=900, bold=False)
    least, most = min(0.0, *values), max(0.0, *values)
    step = axis_end(max(most, -least))[1]
    axis.scaling.min = _whole_steps(least, step)
    axis.scaling.max = _whole_steps(most, step) or step
    axis.majorUnit = step
    axis.number_format = "#,##0" if step >= 1 else "0." + "0" * math.ceil(-math.log10(step) - 1e-9)
    axis.crosses = "max"  # categories run downwards, so the values' axis would stand at the top without this
    axis.tickLblPos = "nextTo"
    axis.majorGridlines = ChartLines(spPr=GraphicalProperties(ln=LineProperties(solidFill=GRID)))
    axis.txPr = plain_words(size=900)
    axis.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill=INK))


def _whole_steps(end: float, step: float) -> float:
    """End of an axis in whole steps, away from zero."""
    return math.copysign(round(math.ceil(abs(end) / step * (1 - 1e-12)) * step, 10), end) + 0.0


def _characters(*, size: int, bold: bool) -> CharacterProperties:
    return CharacterProperties(sz=size, b=bold, solidFill=INK, latin=Font(typeface=FONT))


def plain_words(*, size: int) -> RichText:
    """Look of labels, in hundredths of a point."""
    properties = ParagraphProperties(defRPr=_characters(size=size, bold=False))
    return RichText(bodyPr=RichTextProperties(), p=[Paragraph(pPr=properties, endParaRPr=CharacterProperties())])


def chart_title(text: str, *, size: int, bold: bool) -> Title:
    """A title of a chart or an axis; its size in hundredths of a point."""
    characters = _characters(size=size, bold=bold)
    paragraph = Paragraph(pPr=ParagraphProperties(defRPr=characters), r=[RegularTextRun(rPr=characters, t=text)])
    return Title(tx=Text(rich=RichText(bodyPr=RichTextProperties(), p=[paragraph])), overlay=False)
