"""A picture of one figure against another: a point for each row of a table, named beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from openpyxl.chart import ScatterChart
from openpyxl.chart.data_source import AxDataSource, NumData, NumDataSource, NumRef, NumVal, StrData, StrRef, StrVal
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.marker import Marker
from openpyxl.chart.series import SeriesLabel, XYSeries
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.utils import get_column_letter, quote_sheetname

from wood_xl.io.charts import INK, axis_end, frame, number_axis, plain_words
from wood_xl.io.limits import storable_text

HEIGHT_CM, NARROWEST_CM, WIDEST_CM = 8.5, 12, 17
POINT = "2F5F8A"
POINT_SIZE = 8
SIDES = ("t", "r", "b", "l")
NEAR = 0.12  # of an axis: closer than this two names above their points would run into each other


@dataclass(frozen=True)
class Points:
    """A point for each row of a table that has both of its values, and the cells of these and of its name."""

    names: Sequence[str]
    x: Sequence[float | None]
    y: Sequence[float | None]
    name_column: int
    x_column: int
    y_column: int
    first_row: int
    x_format: str
    y_format: str

    @property
    def drawn(self) -> list[tuple[int, float, float]]:
        """Place among the rows, and the two values, of each point that has both."""
        pairs = enumerate(zip(self.x, self.y, strict=True))
        return [(at, x, y) for at, (x, y) in pairs if x is not None and y is not None]


def scatter_chart(
    sheet_title: str, points: Points, *, title: str, x_title: str, y_title: str, width_cm: float
) -> ScatterChart:
    """Points with their names beside them, from the cells of any sheet; both axes begin at zero."""
    chart = ScatterChart()
    chart.style = None
    chart.scatterStyle = "lineMarker"
    chart.varyColors = False
    frame(chart, title, HEIGHT_CM, max(NARROWEST_CM, min(WIDEST_CM, int(width_cm))))
    for (at, x, y), side in zip(points.drawn, _sides(points.drawn), strict=True):
        chart.series.append(_series(sheet_title, points, at, x, y, side))
    _axis(chart.x_axis, x_title, max(x for _, x, _ in points.drawn))
    _axis(chart.y_axis, y_title, max(y for _, _, y in points.drawn))
    return chart


def _sides(drawn: Sequence[tuple[int, float, float]]) -> list[str]:
    """On which side of its point each name stands: above it, or elsewhere if a point before it is near."""
    across, upwards = (max(point[axis] for point in drawn) or 1.0 for axis in (1, 2))
    sides = []
    for at, (_, x, y) in enumerate(drawn):
        near_n = sum(abs(x - a) < NEAR * across and abs(y - b) < NEAR * upwards for _, a, b in drawn[:at])
        sides.append(SIDES[near_n % len(SIDES)])
    return sides


def _series(sheet: str, points: Points, at: int, x: float, y: float, side: str) -> Any:
    row = points.first_row + at
    series = XYSeries(
        xVal=AxDataSource(numRef=_number(sheet, points.x_column, row, x, points.x_format)),
        yVal=NumDataSource(numRef=_number(sheet, points.y_column, row, y, points.y_format)),
    )
    name = StrData(ptCount=1, pt=[StrVal(idx=0, v=storable_text(points.names[at]))])
    series.tx = SeriesLabel(strRef=StrRef(f=_cell(sheet, points.name_column, row), strCache=name))
    series.marker = Marker(symbol="circle", size=POINT_SIZE)
    series.marker.graphicalProperties = GraphicalProperties(solidFill=POINT, ln=LineProperties(solidFill=INK))
    series.graphicalProperties = GraphicalProperties(ln=LineProperties(noFill=True))
    series.smooth = False
    labels = DataLabelList()
    labels.showSerName = True
    labels.showVal = labels.showCatName = labels.showLegendKey = labels.showPercent = False
    labels.position = side
    labels.txPr = plain_words(size=1000)
    series.dLbls = labels
    return series


def _cell(sheet: str, column: int, row: int) -> str:
    return f"{quote_sheetname(sheet)}!${get_column_letter(column)}${row}"


def _number(sheet: str, column: int, row: int, number: float, number_format: str) -> NumRef:
    cache = NumData(formatCode=number_format, ptCount=1, pt=[NumVal(idx=0, v=repr(float(number)))])
    return NumRef(f=_cell(sheet, column, row), numCache=cache)


def _axis(axis: Any, title: str, largest: float) -> None:
    end, step = axis_end(largest)
    if end - largest < step / 4:  # room for the name above the highest point
        end = round(end + step, 10)
    number_axis(axis, title, 0.0, end, step)
    axis.majorTickMark = "out"
