"""Native charts of the reading sheets, drawn from rows of the sheet of chart data.

Some programs draw the first series on top, others the last, so each mark that must be seen is added twice, at both
ends. Programs differ in outlines of marks too, so a hollow mark is a light mark on a dark one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, NamedTuple

from openpyxl.chart import BarChart, ScatterChart
from openpyxl.chart.axis import ChartLines
from openpyxl.chart.data_source import AxDataSource, NumData, NumDataSource, NumRef, NumVal, StrData, StrRef, StrVal
from openpyxl.chart.error_bar import ErrorBars
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.marker import Marker
from openpyxl.chart.series import Series as BarSeries
from openpyxl.chart.series import SeriesLabel, XYSeries
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
from openpyxl.utils import quote_sheetname

from wood_xl.io import measure
from wood_xl.io.limits import storable_text
from wood_xl.io.looks import FONT
from wood_xl.report import styles
from wood_xl.report.layout import DIGIT_PX, Placed
from wood_xl.schema.words import NO_BREAK

ROOM = 1.02  # length of an axis over the largest value on it
CHART_PX = 676  # some programs make columns narrower than asked for
SMALL, TITLE = 900, 1000  # hundredths of a point
HEAD_ROWS = 3  # of the sheet Chart data
MARKS_SHARE = 0.66  # share of a row's height over which its marks are spread
EMU_PER_POINT = 12700
MARK = 9
RANGE_EMU = 9525  # line width of a range
END_DIGITS = 6
NO_NUMBER = ";;;"  # a format that shows nothing: the library cannot write an axis without labels
ONE_LINE: Literal["square"] = "square"  # a value that the library accepts; the pack step turns it into no wrapping
ROW_PX, AXIS_PX, TITLE_PX, AXIS_TITLE_PX = 22, 22, 22, 16
LABEL_PX, MOST_LABEL_SHARE, TITLE_SHARE, LABEL_GAP_PX, CUT_OFF = 110, 0.45, 0.78, 15, "\N{HORIZONTAL ELLIPSIS}"
MOST_BAR_LABEL_PX = 210  # some programs wrap longer names of bars and drop the next name
CLEAR_OF_MARKS = 2 * NO_BREAK  # after the name of a row: a mark at 0 extends left of the axis
SIDES = {"left": "l", "right": "r", "above": "t", "middle": "ctr"}


Dash = Literal["sysDash"]
Symbol = Literal["circle", "diamond", "square", "triangle"]


class Point(NamedTuple):
    """A point of a chart with the lengths of its range to either side, and its name."""

    x: float | None
    y: float | None = None
    down: float = 0.0
    up: float = 0.0
    label: str = ""

    @classmethod
    def of(cls, cell: Mapping[str, Any], y: float, label: str) -> Point:
        """The point of a known figure with its range."""
        x, low, high = (cell[key] for key in ("value", "low", "high"))
        return cls(x, y, 0.0 if low is None else x - low, 0.0 if high is None else high - x, label)


class ChartData:
    """Rows of the sheet Chart data: chart, series, and the name, x, y and range of a point."""

    def __init__(self, sheet_title: str) -> None:
        self.rows: list[tuple[str, str, Point]] = []
        self._sheet = quote_sheetname(sheet_title)

    def add(self, chart: str, series: str, points: Sequence[Point]) -> int:
        """Add the points of a series; returns the row of the first."""
        first = HEAD_ROWS + 1 + len(self.rows)
        self.rows += [(chart, series, _rounded(point)) for point in points]
        return first

    def numbers(self, column: str, first: int, numbers: Sequence[float | None]) -> NumRef:
        """Numbers of a series with the reference to their cells."""
        values = [NumVal(idx=at, v=repr(number)) for at, number in enumerate(numbers) if number is not None]
        cache = NumData(formatCode="General", ptCount=len(numbers), pt=values)
        return NumRef(f=self._cells(column, first, len(numbers)), numCache=cache)

    def texts(self, column: str, first: int, texts: Sequence[str]) -> StrRef:
        """Texts of a series with the reference to their cells."""
        values = [StrVal(idx=at, v=storable_text(text)) for at, text in enumerate(texts)]
        return StrRef(f=self._cells(column, first, len(texts)), strCache=StrData(ptCount=len(values), pt=values))

    def _cells(self, column: str, first: int, count: int) -> str:
        last = f":${column}${first + count - 1}" if count > 1 else ""
        return f"{self._sheet}!${column}${first}{last}"


def _rounded(point: Point) -> Point:
    def to_digits(number: float) -> float:
        return float(f"{number:.{END_DIGITS}g}")

    x, y = (None if number is None else to_digits(number) for number in (point.x, point.y))
    return Point(x, y, to_digits(point.down), to_digits(point.up), point.label)


@dataclass
class Scatter:
    """A chart of marks and lines over an axis that begins at 0, with a row for each name from the top down."""

    data: ChartData
    title: str
    text: str  # the chart in words
    rows: int  # empty ones too
    # end, step: of the axis
    end: float
    step: float
    width_px: int = CHART_PX
    label_px: int = LABEL_PX
    number_format: str = ""  # if empty, by the step
    axis_title: str = ""
    row_px: int = ROW_PX
    right_px: int = 14
    rows_below: int = 0  # further rows, for a key
    _top: list[Any] = field(default_factory=list)
    _low: list[Any] = field(default_factory=list)

    def y(self, row: float) -> float:
        """Height of the middle of a row, counted from 0 at the top."""
        return self.rows - row - 0.5

    def px(self, x: float) -> float:
        """Pixels from the axis to a number."""
        return x / self.end * (self.width_px - self.label_px - self.right_px)

    def at_px(self, px: float) -> float:
        """The number so many pixels right of the axis."""
        return px / self.px(1.0)

    def names(self, names: Sequence[str], *, most_share: float = MOST_LABEL_SHARE) -> None:
        """Add the names of the rows left of the axis, which moves to make room; a very long name is cut."""
        self.label_px, shown = room_for(names, self.label_px, round(most_share * self.width_px))
        for row, name in enumerate(shown):
            self.label(name + CLEAR_OF_MARKS, 0.0, self.y(row), "left")

    def label(
        self,
        text: str,
        x: float,
        y: float,
        side: str,
        *,
        size: int = SMALL,
        bold: bool = False,
        ink: str = styles.INK,
        is_on_top: bool = False,
    ) -> None:
        """Add a text at a point, on that side of it."""
        labels = DataLabelList(
            dLblPos=SIDES[side],
            txPr=_rich_text(size, bold=bold, ink=ink, is_one_line=True),
            showSerName=True,
            **dict.fromkeys(("showVal", "showCatName", "showLegendKey", "showPercent"), False),
        )
        point = Point(x, y, label=text)
        series = self._series(text, [point], marker=Marker(symbol="none"), spPr=_no_line(), dLbls=labels)
        (self._top if is_on_top else self._low).append(series)

    def line(self, name: str, points: Sequence[Point], color: str, width: float, *, dash: Dash | None = None) -> None:
        """Add a line through points; its width is in points of size."""
        line = LineProperties(solidFill=color, w=round(width * EMU_PER_POINT), cap="flat", prstDash=dash)
        series = self._series(name, points, marker=Marker(symbol="none"), spPr=GraphicalProperties(ln=line))
        (self._top if dash else self._low).append(series)

    def marks(
        self,
        name: str,
        points: Sequence[Point],
        symbol: Symbol,
        fill: str,
        *,
        size: int = MARK,
        has_range: bool = False,
    ) -> None:
        """Add marks with a dark edge, and the lines of their ranges."""
        first = self.data.add(self.title, name, points)
        for is_edge in (False, True):  # two marks, light on dark
            color = styles.INK if is_edge else fill
            look = GraphicalProperties(solidFill=color, ln=LineProperties(solidFill=color, w=6350))
            marker = Marker(symbol=symbol, size=size if is_edge else size - 2, spPr=look)
            ranges = self._ranges(points, first) if is_edge and has_range else None
            self._top.append(self._series(name, points, first, marker=marker, spPr=_no_line(), errBars=ranges))

    def placed(self, left_px: int = 0) -> Placed:
        """The finished chart with its place."""
        top = TITLE_PX if self.title else 3
        bottom = AXIS_PX + (AXIS_TITLE_PX if self.axis_title else 0)
        plot_px = (self.rows + self.rows_below) * self.row_px
        height = top + plot_px + bottom
        chart = ScatterChart(scatterStyle="lineMarker", varyColors=False)
        chart.style = None
        _frame(chart, self.title, self.width_px)
        room = (self.width_px - self.label_px - self.right_px) / self.width_px
        chart.layout = _plot(self.label_px / self.width_px, top / height, room, plot_px / height)
        chart.series = [*self._top, *self._low, *reversed(self._copies())]
        number_format = self.number_format or decimals_format(self.step)
        step = self.step
        while self.px(step) < text_px(f"{self.end:,.0f}") + TICK_GAP_PX:  # else programs rotate the numbers
            step *= 2
        _value_axis(chart.x_axis, self.end, step, number_format, self.axis_title)
        chart.x_axis.axPos = "b"
        if self.rows_below:  # they lie below 0
            chart.x_axis.crosses = "min"
        axis = _bare(chart.y_axis)
        axis.scaling.min, axis.scaling.max = 0.0 - self.rows_below, float(self.rows)  # never -0
        axis.majorUnit = float(self.rows + self.rows_below)
        axis.number_format = NO_NUMBER
        axis.minorTickMark = "none"
        axis.crosses = "min"
        for number, series in enumerate(chart.series):
            series.idx = series.order = number
        return Placed(chart, left_px, self.width_px, height, self.text)

    def _copies(self) -> list[Any]:
        """Copies of the top series, without labels and ranges, which would be drawn twice."""
        return [
            XYSeries(xVal=top.xVal, yVal=top.yVal, tx=top.tx, marker=top.marker, spPr=top.spPr, smooth=False)
            for top in self._top
            if top.dLbls is None
        ]

    def _series(self, name: str, points: Sequence[Point], first: int = 0, **parts: Any) -> Any:
        first = first or self.data.add(self.title, name, points)
        numbers = [_rounded(point) for point in points]
        return XYSeries(
            xVal=AxDataSource(numRef=self.data.numbers("D", first, [point.x for point in numbers])),
            yVal=NumDataSource(numRef=self.data.numbers("E", first, [point.y for point in numbers])),
            tx=SeriesLabel(strRef=self.data.texts("B", first, [name])),
            smooth=False,
            **parts,
        )

    def _ranges(self, points: Sequence[Point], first: int) -> ErrorBars:
        numbers = [_rounded(point) for point in points]
        return ErrorBars(
            errDir="x",
            errBarType="both",
            errValType="cust",
            noEndCap=False,
            minus=NumDataSource(numRef=self.data.numbers("F", first, [point.down for point in numbers])),
            plus=NumDataSource(numRef=self.data.numbers("G", first, [point.up for point in numbers])),
            spPr=GraphicalProperties(ln=LineProperties(solidFill=styles.INK, w=RANGE_EMU)),
        )


def room_for(names: Sequence[str], least_px: int, most_px: int) -> tuple[int, list[str]]:
    """Room for names beside an axis, and the names, cut to fit it."""
    widest = max(map(text_px, names), default=0.0)
    px = min(most_px, max(least_px, math.ceil(widest) + LABEL_GAP_PX))
    return px, [_cut_off(name, px - LABEL_GAP_PX) for name in names]


def offset(number: int, count: int) -> float:
    """Height of one of several marks above the middle of its row, as a share of the row's height.

    >>> [round(offset(number, 3), 2) for number in range(3)]
    [-0.22, 0.0, 0.22]
    """
    return MARKS_SHARE * ((number + 0.5) / count - 0.5)


def text_px(name: str, size: int = SMALL, *, bold: bool = False) -> float:
    """Width of a text in a chart."""
    return measure.text_width(name, size / 100, bold) * DIGIT_PX


def _cut_off(name: str, px: float, size: int = SMALL, *, bold: bool = False) -> str:
    """The text, cut with an ellipsis if it is wider than that."""
    if text_px(name, size, bold=bold) <= px:
        return name
    kept = name
    while kept and text_px(kept + CUT_OFF, size, bold=bold) > px:
        kept = kept[:-1]
    return kept.rstrip() + CUT_OFF


def stacked_bars(
    data: ChartData,
    title: str,
    text: str,
    names: Sequence[str],
    parts: Sequence[tuple[str, str, Sequence[float]]],
    *,
    number_format: str,
) -> Placed:
    """A bar for each name, stacked of parts that differ in lightness.

    parts: title, fill and numbers of each.
    """
    label_px, names = room_for(names, LABEL_PX, MOST_BAR_LABEL_PX)
    chart = BarChart(gapWidth=70, overlap=100, barDir="bar", grouping="stacked", varyColors=False)
    _frame(chart, title, CHART_PX)
    for number, (part, fill, values) in enumerate(parts):
        points = [Point(value, label=name) for name, value in zip(names, values, strict=True)]
        first = data.add(title, part, points)
        series: Any = BarSeries()
        rounded = [_rounded(point).x for point in points]
        series.val = NumDataSource(numRef=data.numbers("D", first, rounded))
        series.cat = AxDataSource(strRef=data.texts("C", first, names))
        series.tx = SeriesLabel(strRef=data.texts("B", first, [part]))
        edge = styles.HEADING if fill == styles.PART_FILLS[-1] else "FFFFFF"
        series.graphicalProperties = GraphicalProperties(solidFill=fill, ln=LineProperties(solidFill=edge, w=9525))
        series.invertIfNegative = False
        series.idx = series.order = number
        chart.series.append(series)
    plot_px = max(2, len(names)) * ROW_PX
    height = TITLE_PX + plot_px + AXIS_PX
    room = (CHART_PX - label_px - 20) / CHART_PX
    chart.layout = _plot(label_px / CHART_PX, TITLE_PX / height, room, plot_px / height)
    most = max((sum(values) for values in zip(*(part[2] for part in parts), strict=True)), default=0.0)
    end, step = axis_end(most * ROOM)
    _value_axis(chart.y_axis, end, step, number_format, "")
    chart.y_axis.crosses = "max"  # keeps the numbers at the bottom, as names run from the top down
    axis = _bare(chart.x_axis)
    axis.scaling.orientation = "maxMin"
    axis.tickLblPos = "nextTo"
    axis.tickLblSkip = 1  # show every name
    axis.txPr = _rich_text(SMALL)
    return Placed(chart, 0, CHART_PX, height, text)


def _frame(chart: Any, title: str, width_px: float) -> None:
    chart.legend = None
    chart.roundedCorners = False
    chart.graphical_properties = GraphicalProperties(noFill=True, ln=LineProperties(noFill=True))
    shown = _cut_off(title, TITLE_SHARE * width_px, TITLE, bold=True)  # a second line would cover marks
    chart.title = _title(shown, TITLE, bold=True) if title else None
    if title:
        chart.title.layout = Layout(manualLayout=ManualLayout(xMode="edge", yMode="edge", x=0.005, y=0.0))
    else:
        chart.auto_title_deleted = True


def _plot(*shares: float) -> Layout:
    """Layout of the plot within a chart by left, top, width and height as shares of it."""
    x, y, w, h = (round(share, 4) for share in shares)
    return Layout(manualLayout=ManualLayout(layoutTarget="inner", xMode="edge", yMode="edge", x=x, y=y, w=w, h=h))


def _no_line() -> GraphicalProperties:
    return GraphicalProperties(ln=LineProperties(noFill=True))


def _bare(axis: Any) -> Any:
    """The axis, reduced to a line."""
    axis.delete, axis.majorGridlines, axis.majorTickMark = False, None, "none"
    axis.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill=styles.RULE))
    return axis


def _value_axis(axis: Any, end: float, step: float, number_format: str, title: str) -> None:
    _bare(axis).tickLblPos = "nextTo"
    axis.scaling.min, axis.scaling.max = 0.0, end
    axis.majorUnit = step
    axis.number_format = number_format
    axis.txPr = _rich_text(SMALL, ink=styles.SOFT)
    axis.majorGridlines = ChartLines(spPr=GraphicalProperties(ln=LineProperties(solidFill=styles.GRID, w=6350)))
    if title:
        axis.title = _title(title, SMALL, bold=False)


def decimals_format(step: float) -> str:
    """Number format of an axis with this step.

    >>> decimals_format(0.5), decimals_format(20.0)
    ('0.0', '#,##0')
    """
    return "#,##0" if step >= 1 else "0." + "0" * len(f"{step:.10f}".rstrip("0").split(".")[1])


def _characters(size: int, *, bold: bool, ink: str) -> CharacterProperties:
    return CharacterProperties(sz=size, b=bold, solidFill=ink, latin=Font(typeface=FONT))


def _rich_text(size: int, *, bold: bool = False, ink: str = styles.INK, is_one_line: bool = False) -> RichText:
    body = RichTextProperties(wrap=ONE_LINE, lIns=0, rIns=0) if is_one_line else RichTextProperties()
    properties = ParagraphProperties(defRPr=_characters(size, bold=bold, ink=ink))
    return RichText(bodyPr=body, p=[Paragraph(pPr=properties, endParaRPr=_characters(size, bold=bold, ink=ink))])


def _title(text: str, size: int, *, bold: bool) -> Title:
    characters = _characters(size, bold=bold, ink=styles.HEADING if bold else styles.SOFT)
    paragraph = Paragraph(pPr=ParagraphProperties(defRPr=characters), r=[RegularTextRun(rPr=characters, t=text)])
    return Title(tx=Text(rich=RichText(bodyPr=RichTextProperties(), p=[paragraph])), overlay=False)


TICKS, TICK_GAP_PX = 6, 8
LEAST_DRAWN = 1e-8  # axes have no more decimals, so smaller values count as 0


def axis_end(largest: float) -> tuple[float, float]:
    """End and step of an axis from zero that holds the largest value; steps are 1, 2 or 5 times a power of ten.

    >>> axis_end(7.58)
    (8.0, 2.0)
    """
    if largest < LEAST_DRAWN:
        return 1.0, 0.2
    power = 10.0 ** math.floor(math.log10(largest / TICKS))
    step = next(s * power for s in (1, 2, 5, 10) if s * power * TICKS >= largest)
    count = math.ceil(largest / step * (1 - 1e-12))
    return round(count * step, 10), round(step, 10)
