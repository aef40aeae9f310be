"""The chart says what it shows, and its axis holds all of it."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook
from openpyxl.chart import BarChart
from openpyxl.xml.functions import tostring

from wood_xl.io.charts import (
    PART_FILLS,
    TALLEST_CM,
    Bars,
    Part,
    Whiskers,
    axis_end,
    bar_chart,
    height_cm,
    stacked_chart,
    tornado_chart,
)

BARS = Bars(
    names=["Bow saw", "Chain saw"],
    values=[7.58, 1.92],
    high=[10.2, None],
    name_column=1,
    value_column=5,
    first_row=9,
    number_format="#,##0.00",
)
WHISKERS = Whiskers(down=[1.5, 0.0], up=[2.62, 0.0], down_column=4, up_column=5, first_row=30)


def chart_of(bars: Bars) -> BarChart:
    sheet = Workbook().active
    sheet.title = "Answer"
    return bar_chart(sheet, bars, title="Hours", name_title="Method", value_title="Hours [h]", width_cm=18.4)


def xml_of(chart: BarChart) -> str:
    text = tostring(chart._write()).decode()
    return re.sub(r"(</?)\w+:", r"\1", text)


@given(st.floats(min_value=1e-8, max_value=1e9))
def test_an_axis_holds_the_largest_value_in_few_even_steps(largest: float) -> None:
    end, step = axis_end(largest)
    assert end >= largest * (1 - 1e-9)
    assert end - step < largest
    assert 1 <= round(end / step) <= 6
    assert end / step == pytest.approx(round(end / step))


def test_an_axis_of_nothing_is_still_an_axis() -> None:
    assert axis_end(0.0) == axis_end(9e-9) == (1.0, 0.2)
    tiny = chart_of(replace(BARS, values=[3e-11, 1e-12], high=[4e-11, None]))
    assert (tiny.y_axis.scaling.min, tiny.y_axis.scaling.max) == (0.0, 0.2)


def test_title_and_axis_titles_are_written() -> None:
    assert re.findall(r"<t>([^<]*)</t>", xml_of(chart_of(BARS))) == ["Hours", "Method", "Hours [h]"]


def test_values_and_names_come_from_cells_and_are_stored_beside() -> None:
    text = xml_of(chart_of(BARS))
    assert re.findall(r"<f>([^<]*)</f>", text) == ["'Answer'!$A$9:$A$10", "'Answer'!$E$9:$E$10"]
    assert re.findall(r"<v>([^<]*)</v>", text) == ["Bow saw", "Chain saw", "7.58", "1.92"]


def test_a_name_that_xml_cannot_carry_is_stored_as_the_cell_is() -> None:
    text = xml_of(chart_of(replace(BARS, names=["bell\x07", "Chain saw"])))
    assert "<v>bell[character 7]</v>" in text


def test_the_axis_begins_at_zero_and_holds_the_whiskers() -> None:
    chart = chart_of(BARS)
    assert (chart.y_axis.scaling.min, chart.y_axis.scaling.max, chart.y_axis.majorUnit) == (0.0, 12.0, 2.0)
    assert not chart.y_axis.delete
    assert not chart.x_axis.delete


def test_whiskers_come_from_cells_and_take_the_place_of_the_numbers() -> None:
    plain, whiskered = chart_of(BARS), chart_of(replace(BARS, whiskers=WHISKERS))
    assert plain.series[0].errBars is None
    bars = whiskered.series[0].errBars
    assert (bars.plus.numRef.f, bars.minus.numRef.f) == ("'Answer'!$E$30:$E$31", "'Answer'!$D$30:$D$31")
    assert plain.series[0].dLbls.position == "outEnd"
    assert whiskered.series[0].dLbls is None


def test_small_values_show_the_decimals_of_their_steps() -> None:
    chart = chart_of(replace(BARS, values=[0.12, 0.05], high=[None, None]))
    assert (chart.y_axis.scaling.max, chart.y_axis.number_format.formatCode) == (0.12, "0.00")


def test_a_chart_grows_with_its_bars_up_to_a_page() -> None:
    heights = [height_cm(n) for n in (1, 4, 12, 20, 200)]
    assert heights == sorted(heights)
    assert heights[0] > 3
    assert heights[-1] == TALLEST_CM


def test_a_stacked_chart_has_a_series_for_each_part_and_an_axis_for_their_sum() -> None:
    parts = [Part("Ownership", [4.0, 1.0], 2, 9), Part("Fuel", [3.6, None], 3, 19)]
    sheet = Workbook().active
    sheet.title = "Money"
    words = {"title": "Cash", "name_title": "Method", "value_title": "Cash [USD]"}
    chart = stacked_chart(sheet, BARS, parts, **words, width_cm=18.4)
    text = xml_of(chart)
    assert (chart.grouping, chart.overlap, chart.legend.position) == ("stacked", 100, "b")
    assert (chart.y_axis.scaling.min, chart.y_axis.scaling.max) == (0.0, 8.0)
    assert re.findall(r"<f>([^<]*)</f>", text) == [
        "'Money'!$A$9:$A$10", "'Money'!$B$9:$B$10", "'Money'!$A$19:$A$20", "'Money'!$C$19:$C$20",
    ]  # fmt: skip
    assert re.findall(r"<v>([^<]*)</v>", text) == [
        "Ownership", "Bow saw", "Chain saw", "4", "1", "Fuel", "Bow saw", "Chain saw", "3.6",
    ]  # fmt: skip


def tornado(lows: list[float], highs: list[float], stands: float) -> BarChart:
    sheet = Workbook().active
    sheet.title = "Combinations"
    ends = [Part("Lead at its low end", lows, 3, 9), Part("Lead at its high end", highs, 4, 9)]
    words = {"title": "Swings", "name_title": "Input", "value_title": "Lead"}
    return tornado_chart(sheet, BARS, ends, stands=stands, **words, width_cm=18.4)


def test_a_tornado_begins_where_the_result_stands_and_draws_both_ends_from_their_cells() -> None:
    chart = tornado([-3.7, 4.3], [14.9, 9.6], 6.6)
    assert (chart.grouping, chart.overlap, chart.x_axis.crossesAt, chart.x_axis.crosses) == (
        "clustered",
        100,
        6.6,
        None,
    )
    assert chart.x_axis.tickLblPos == "low"  # the names beside the picture, not in its middle
    assert [series.val.numRef.f for series in chart.series] == [
        "'Combinations'!$C$9:$C$10",
        "'Combinations'!$D$9:$D$10",
    ]
    assert (chart.y_axis.scaling.min, chart.y_axis.scaling.max) == (-5.0, 15.0)
    fills = [series.graphicalProperties.solidFill.srgbClr for series in chart.series]
    assert fills == [PART_FILLS[3], PART_FILLS[0]]


def test_a_tornado_shows_zero_even_where_no_input_comes_near_it() -> None:
    chart = tornado([20.0, 21.0], [24.0, 23.0], 22.0)
    assert (chart.y_axis.scaling.min, chart.y_axis.scaling.max) == (0.0, 25.0)
    chart = tornado([-20.0, -21.0], [-24.0, -23.0], -22.0)
    assert (chart.y_axis.scaling.min, chart.y_axis.scaling.max) == (-25.0, 5.0)


def test_parts_differ_in_lightness_by_steps_that_grey_print_keeps() -> None:
    def lightness(fill: str) -> float:
        red, green, blue = (int(fill[i : i + 2], 16) for i in (0, 2, 4))
        return (0.299 * red + 0.587 * green + 0.114 * blue) / 255

    steps = [lightness(fill) for fill in PART_FILLS]
    assert all(after - before > 0.08 for before, after in pairwise(steps))


@pytest.mark.parametrize(("width", "expected"), [(5.0, 14), (18.4, 18), (60.0, 22)])
def test_a_chart_fills_the_sheet_within_what_suits_a_page(width: float, expected: int) -> None:
    chart = bar_chart(Workbook().active, BARS, title="", name_title="", value_title="", width_cm=width)
    assert chart.width == expected
