"""Native charts of dots whose every setting is written out, so that spreadsheet programs draw them alike.

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

INK = "404040"
GRID = "D9D9D9"
FONT = "Arial"
NARROWEST_CM, WIDEST_CM = 14, 22
FRAME_CM, BAR_CM, TALLEST_CM = 2.6, 0.85, 22.0  # titles and axes, each bar, and the most that a page holds
TICKS = 6
LEAST_DRAWN = 1e-8  # an axis has no more decimals; what is less is drawn as nothing
DOT_GAP_PERCENT = 320  # gap between bars, in per cent of a bar


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
    """One bar for each row of a table: names, values (None where the cell holds words), and the cells of both."""

    names: Sequence[str]
    values: Sequence[float | None]
    name_column: int
    value_column: int
    first_row: int
    number_format: str
    whiskers: Whiskers | None = None


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
    bars = Bars(names, to_dot, 1, first_column, first_row, "0.00", whiskers)
    chart = BarChart()
    chart.type, chart.grouping, chart.overlap, chart.gapWidth = "bar", "stacked", 100, DOT_GAP_PERCENT
    chart.legend = None
    chart.roundedCorners = False
    chart.width, chart.height = max(NARROWEST_CM, min(WIDEST_CM, int(width_cm))), height_cm(len(names))
    chart.graphical_properties = GraphicalProperties(noFill=True, ln=LineProperties(noFill=True))
    chart.title = _title(title, size=1100, bold=True)
    hidden = _bar_series(sheet, bars)
    hidden.graphicalProperties = GraphicalProperties(noFill=True, ln=LineProperties(noFill=True))
    mark = _bar_series(sheet, replace(bars, values=dot, value_column=first_column + 1, whiskers=None))
    mark.graphicalProperties = GraphicalProperties(solidFill=INK, ln=LineProperties(solidFill=INK))
    chart.series += [hidden, mark]
    _name_axis(chart)
    _value_axis(chart, value_title, [n for n in (*to_dot, *high) if n is not None])
    return chart


def height_cm(bars_n: int) -> float:
    """Height of a chart of so many bars."""
    return min(TALLEST_CM, FRAME_CM + BAR_CM * bars_n)


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
    series.dLbls = None
    if bars.whiskers is not None:
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


def _name_axis(chart: BarChart) -> None:
    """Names at the side, the first at the top."""
    axis = chart.x_axis
    _axis(axis, "")
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
    axis.txPr = _plain_words(size=900)
    axis.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill=INK))


def _whole_steps(end: float, step: float) -> float:
    """End of an axis in whole steps, away from zero."""
    return math.copysign(round(math.ceil(abs(end) / step * (1 - 1e-12)) * step, 10), end) + 0.0


def _characters(*, size: int, bold: bool) -> CharacterProperties:
    return CharacterProperties(sz=size, b=bold, solidFill=INK, latin=Font(typeface=FONT))


def _plain_words(*, size: int) -> RichText:
    """Look of labels, in hundredths of a point."""
    properties = ParagraphProperties(defRPr=_characters(size=size, bold=False))
    return RichText(bodyPr=RichTextProperties(), p=[Paragraph(pPr=properties, endParaRPr=CharacterProperties())])


def _title(text: str, *, size: int, bold: bool) -> Title:
    """A title of a chart or an axis; its size in hundredths of a point."""
    characters = _characters(size=size, bold=bold)
    paragraph = Paragraph(pPr=ParagraphProperties(defRPr=characters), r=[RegularTextRun(rPr=characters, t=text)])
    return Title(tx=Text(rich=RichText(bodyPr=RichTextProperties(), p=[paragraph])), overlay=False)
