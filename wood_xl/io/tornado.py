"""Bars to both sides of what stands: how far each input moves a result, the widest at the top.

Bars begin where the axis of the names crosses that of the values, so that both ends are drawn straight from the
cells of the table.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from openpyxl.chart import BarChart

from wood_xl.io.charts import (
    PART_FILLS,
    Bars,
    Part,
    add_parts,
    name_axis,
    new_chart,
    stacked_height_cm,
    value_axis,
)

FILLS = (PART_FILLS[3], PART_FILLS[0])  # light for the low end, dark for the high one


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
    """Bars from where the result stands to where it goes with an input at its low and at its high end.

    Parameters
    ----------
    sheet : Worksheet
        Sheet that holds the cells; the chart is not placed on it.
    bars : Bars
        Names, and where they stand.
    ends : sequence of Part
        Results at the low end and at the high end of each input.
    stands : float
        The result as all inputs stand.
    title, name_title, value_title : str
        Titles of the chart and of its axes, the last with its unit.
    width_cm : float
        Width to be filled, within what suits a page.
    """
    chart = new_chart(title, stacked_height_cm(len(bars.names)), width_cm)
    chart.grouping = "clustered"
    chart.overlap = 100
    add_parts(chart, sheet, bars, ends, FILLS)
    name_axis(chart, name_title)
    chart.x_axis.tickLblPos = "low"
    chart.x_axis.crosses = None
    chart.x_axis.crossesAt = stands
    value_axis(chart, value_title, [stands, *(n for end in ends for n in end.values if n is not None)])
    return chart
