"""The chart says what it shows, and its axis holds all of it."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook
from openpyxl.chart import BarChart
from openpyxl.xml.functions import tostring

from wood_xl.io.charts import TALLEST_CM, axis_end, dot_chart, height_cm

NAMES = ["Hill farm", "Lake cabin"]
LENGTHS = [[7.5, 0.16, 1.5, 2.62], None]


def chart_of(names: list[str] = NAMES, *, high: float = 10.2, width_cm: float = 18.4) -> BarChart:
    sheet = Workbook().active
    sheet.title = "Pictures"
    where = {"first_row": 9, "first_column": 4}
    words = {"title": "Hours", "value_title": "Hours [h]"}
    return dot_chart(sheet, names, LENGTHS, [high, None], **where, **words, width_cm=width_cm)  # type: ignore[arg-type]


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


def test_title_and_axis_title_are_written() -> None:
    assert re.findall(r"<t>([^<]*)</t>", xml_of(chart_of())) == ["Hours", "Hours [h]"]


def test_values_and_names_come_from_cells_and_are_stored_beside() -> None:
    text = xml_of(chart_of())
    cells = {found.rpartition("$")[0].partition("!")[2] for found in re.findall(r"<f>([^<]*)</f>", text)}
    assert cells == {"$A$9:$A", "$D$9:$D", "$E$9:$E", "$F$9:$F", "$G$9:$G"}
    stored = re.findall(r"<v>([^<]*)</v>", text)
    assert {"Hill farm", "Lake cabin", "7.5", "0.16", "1.5", "2.62"} <= set(stored)


def test_a_name_that_xml_cannot_carry_is_stored_as_the_cell_is() -> None:
    assert "<v>bell[character 7]</v>" in xml_of(chart_of(["bell\x07", "Lake cabin"]))


def test_the_axis_begins_at_zero_and_holds_the_intervals() -> None:
    chart = chart_of()
    assert (chart.y_axis.scaling.min, chart.y_axis.scaling.max, chart.y_axis.majorUnit) == (0.0, 12.0, 2.0)
    assert not chart.y_axis.delete
    assert not chart.x_axis.delete


def test_the_interval_hangs_on_the_part_that_is_not_drawn() -> None:
    hidden, mark = chart_of().series
    assert hidden.graphicalProperties.noFill
    assert (hidden.errBars.plus.numRef.f, hidden.errBars.minus.numRef.f) == (
        "'Pictures'!$G$9:$G$10",
        "'Pictures'!$F$9:$F$10",
    )
    assert mark.errBars is None


def test_a_chart_grows_with_its_bars_up_to_a_page() -> None:
    heights = [height_cm(n) for n in (1, 4, 12, 20, 200)]
    assert heights == sorted(heights)
    assert heights[0] > 3
    assert heights[-1] == TALLEST_CM


@pytest.mark.parametrize(("width", "expected"), [(5.0, 14), (18.4, 18), (60.0, 22)])
def test_a_chart_fills_the_sheet_within_what_suits_a_page(width: float, expected: int) -> None:
    assert chart_of(width_cm=width).width == expected
