"""Native charts of bars and dots whose every setting is written out, so that spreadsheet programs draw them alike.

A chart repeats a table that stands beside it and is never the only place of a number. Values are also stored inside
the chart, for viewers that show a chart without reading the cells. Every function gets the sheet that holds the
cells, titles with their units, and the width to be filled, within what suits a page; none places its chart.
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
GAP_PERCENT, DOT_GAP_PERCENT = 60, 320  # gap between bars, in per cent of a bar
END_FILLS = (PART_FILLS[3], PART_FILLS[0])  # light for the low end, dark for the high one


@dataclass(frozen=True)
class Whiskers:
    """Lengths of the whiskers from the end of each bar, 0 where it has none, and the cells that hold them."""

    down: Sequence[float]
    up: Sequence[float]
    down_column: int
    up_column: int
    first_row: int


@dataclass(frozen=True)
class Bars:
    """One bar for each row of a table: names, values (None where the cell holds words), and the cells of both.

    ``high`` has the upper ends of the whiskers, by which the axis is drawn; None where a bar has none.
    """

    names: Sequence[str]
    values: Sequence[float | None]
    high: Sequence[float | None]
    name_column: int
    value_column: int
    first_row: int
    number_format: str
    whiskers: Whiskers | None = None


@dataclass(frozen=True)
class Part:
    """One part of every bar: a column of a table, which a wide table may have further down than another."""

    title: str
    values: Sequence[float | None]
    column: int
    first_row: int


def bar_chart(sheet: Any, bars: Bars, *, title: str, name_title: str, value_title: str, width_cm: float) -> BarChart:
    """Horizontal bars, the first row at the top."""
    chart = _new_chart(title, height_cm(len(bars.values)), width_cm)
    chart.overlap = 0
    chart.series.append(_bar_series(sheet, bars))
    _name_axis(chart, name_title)
    _value_axis(chart, value_title, [n for n in (*bars.values, *bars.high) if n is not None])
    return chart


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
    """Horizontal bars of parts that lie end to end, told apart by lightness so that grey print keeps them."""
    chart = _new_chart(title, stacked_height_cm(len(bars.names)), width_cm)
    chart.grouping = "stacked"
    chart.overlap = 100
    _add_parts(chart, sheet, bars, parts, PART_FILLS)
    _name_axis(chart, name_title)
    sums = [math.fsum(part.values[i] or 0.0 for part in parts) for i in range(len(bars.names))]
    _value_axis(chart, value_title, sums)
    return chart


def tornado_chart(
    sheet: Any,
    bars: Bars,
    ends: Sequence[Part],
    *,
    stands: float,
    title: str,
    name_title: str,
    value_title: str,
    width_cm: float,
) -> BarChart:
    """Bars from where a result stands to where it goes with an input at its low and at its high end.

    They begin where the axis of the names crosses that of the values, so that both ends are drawn straight from the
    cells of the table.
    """
    chart = _new_chart(title, stacked_height_cm(len(bars.names)), width_cm)
    chart.grouping = "clustered"
    chart.overlap = 100
    _add_parts(chart, sheet, bars, ends, END_FILLS)
    _name_axis(chart, name_title)
    chart.x_axis.tickLblPos = "low"
    chart.x_axis.crosses = None
    chart.x_axis.crossesAt = stands
    _value_axis(chart, value_title, [stands, *(n for end in ends for n in end.values if n is not None)])
    return chart


def dot_chart(
    sheet: Any,
    names: Sequence[str],
    lengths: Sequence[Sequence[float] | None],
    high: Sequence[float | None],
    *,
    first_row: int,
    first_column: int,
    title: str,
    value_title: str,
    width_cm: float,
) -> BarChart:
    """Dots with their intervals, from four columns of lengths: to the dot, the dot, down to low, up to high.

    A dot is the short end of a stacked bar whose first part is not drawn, and the interval is that part's whisker:
    every spreadsheet program draws these alike, with the names at the side.
    """
    to_dot, dot = ([None if row is None else row[part] for row in lengths] for part in (0, 1))
    down, up = ([0.0 if row is None else row[part] for row in lengths] for part in (2, 3))
    whiskers = Whiskers(down, up, first_column + 2, first_column + 3, first_row)
    bars = Bars(names, to_dot, high, 1, first_column, first_row, "0.00", whiskers)
    chart = bar_chart(sheet, bars, title=title, name_title="", value_title=value_title, width_cm=width_cm)
    chart.grouping = "stacked"
    chart.overlap = 100
    chart.gapWidth = DOT_GAP_PERCENT
    hidden = chart.series[0]
    hidden.graphicalProperties = GraphicalProperties(noFill=True, ln=LineProperties(noFill=True))
    hidden.dLbls = None
    mark = _bar_series(sheet, replace(bars, values=dot, value_column=first_column + 1, whiskers=None))
    mark.dLbls = None
    mark.graphicalProperties = GraphicalProperties(solidFill=INK, ln=LineProperties(solidFill=INK))
    chart.series.append(mark)
    return chart


def _add_parts(chart: BarChart, sheet: Any, bars: Bars, parts: Sequence[Part], fills: Sequence[str]) -> None:
    """A series for each part, outlined, with a legend below that names them."""
    chart.legend = Legend()
    chart.legend.position = "b"
    chart.legend.txPr = plain_words(size=900)
    for part, fill in zip(parts, fills, strict=False):
        cells = replace(bars, values=part.values, value_column=part.column, first_row=part.first_row)
        series = _bar_series(sheet, cells)
        series.tx = SeriesLabel(v=part.title)
        series.dLbls = None
        outline = LineProperties(solidFill=INK, w=6350)
        series.graphicalProperties = GraphicalProperties(solidFill=fill, ln=outline)
        chart.series.append(series)


def _new_chart(title: str, height: float, width_cm: float) -> BarChart:
    """Horizontal bars without any yet, within what suits a page."""
    chart = BarChart()
    chart.type = "bar"
    chart.gapWidth = GAP_PERCENT
    frame(chart, title, height, max(NARROWEST_CM, min(WIDEST_CM, int(width_cm))))
    return chart


def frame(chart: Any, title: str, height_cm: float, width_cm: float) -> None:
    """What every chart has: its size, its title, no legend, no border."""
    chart.legend = None
    chart.roundedCorners = False
    chart.width, chart.height = width_cm, height_cm
    chart.graphical_properties = GraphicalProperties(noFill=True, ln=LineProperties(noFill=True))
    chart.title = _title(title, size=1100, bold=True)


def height_cm(bars_n: int) -> float:
    """Height of a chart of so many bars."""
    return min(TALLEST_CM, FRAME_CM + BAR_CM * bars_n)


def stacked_height_cm(bars_n: int) -> float:
    """Height of a chart of so many stacked bars, with its legend."""
    return min(TALLEST_CM, height_cm(bars_n) + LEGEND_CM)


def axis_end(largest: float) -> tuple[float, float]:
    """End and step of an axis from zero that holds the largest value, in steps of 1, 2 or 5 times a power of ten.

    >>> axis_end(7.58)
    (8.0, 2.0)
    """
    if largest < LEAST_DRAWN:
        return 1.0, 0.2
    power = 10.0 ** math.floor(math.log10(largest / TICKS))
    step = next(s * power for s in (1, 2, 5, 10) if s * power * TICKS >= largest)
    count = math.ceil(largest / step * (1 - 1e-12))
    return round(count * step, 10), round(step, 10)


def _bar_series(sheet: Any, bars: Bars) -> Any:
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


def _name_axis(chart: BarChart, title: str) -> None:
    """Names at the side, the first at the top."""
    axis = chart.x_axis
    _axis(axis, title)
    axis.scaling.orientation = "maxMin"
    axis.majorGridlines = None
    axis.majorTickMark = "none"


def _value_axis(chart: BarChart, title: str, values: Sequence[float]) -> None:
    """Numbers below, with 0 among them, as far as the values go either way."""
    least, most = min(0.0, *values), max(0.0, *values)
    step = axis_end(max(most, -least))[1]
    number_axis(chart.y_axis, title, _whole_steps(least, step), _whole_steps(most, step) or step, step)
    chart.y_axis.crosses = "max"  # categories run downwards, so this axis would stand at the top without it


def number_axis(axis: Any, title: str, first: float, last: float, step: float) -> None:
    """An axis of numbers with its lines."""
    _axis(axis, title)
    axis.scaling.min, axis.scaling.max = first, last
    axis.majorUnit = step
    axis.number_format = "#,##0" if step >= 1 else "0." + "0" * math.ceil(-math.log10(step) - 1e-9)
    axis.majorGridlines = ChartLines(spPr=GraphicalProperties(ln=LineProperties(solidFill=GRID)))


def _axis(axis: Any, title: str) -> None:
    axis.delete = False
    if title:
        axis.title = _title(title, size=900, bold=False)
    axis.tickLblPos = "nextTo"
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


def _title(text: str, *, size: int, bold: bool) -> Title:
    """A title of a chart or an axis; its size in hundredths of a point."""
    characters = _characters(size=size, bold=bold)
    paragraph = Paragraph(pPr=ParagraphProperties(defRPr=characters), r=[RegularTextRun(rPr=characters, t=text)])
    return Title(tx=Text(rich=RichText(bodyPr=RichTextProperties(), p=[paragraph])), overlay=False)
