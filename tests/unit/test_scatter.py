"""The picture of one figure against another: a named point for each row that has both."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO

import pytest
from openpyxl import load_workbook
from openpyxl.chart import ScatterChart
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.xml.functions import tostring
from sample_results import sample_results

from wood_xl.io.results import results_bytes
from wood_xl.io.scatter import Points, scatter_chart

POINTS = Points(
    names=["A", "B", "C"],
    x=[3.9, 12.9, None],
    y=[46.2, 9.1, 5.0],
    name_column=1,
    x_column=4,
    y_column=6,
    first_row=4,
    x_format="0.00",
    y_format="#,##0.00",
)


def xml_of(chart: ScatterChart) -> str:
    return re.sub(r"(</?)\w+:", r"\1", tostring(chart._write()).decode())


def drawn(points: Points) -> ScatterChart:
    return scatter_chart("Combinations", points, title="Hours against cash", x_title="h", y_title="USD", width_cm=15)


def test_each_row_with_both_figures_is_a_named_point_from_its_cells() -> None:
    text = xml_of(drawn(POINTS))
    assert re.findall(r"<f>([^<]*)</f>", text) == [
        f"'Combinations'!${column}${row}" for row in (4, 5) for column in ("A", "D", "F")
    ]
    assert re.findall(r"<v>([^<]*)</v>", text) == ["A", "3.9", "46.2", "B", "12.9", "9.1"]
    assert text.count('<showSerName val="1"') == 2


def test_both_axes_begin_at_zero_and_hold_every_point() -> None:
    chart = drawn(POINTS)
    for axis, largest in ((chart.x_axis, 12.9), (chart.y_axis, 46.2)):
        assert axis.scaling.min == 0
        assert axis.scaling.max > largest
        assert not axis.delete


def test_a_point_at_the_end_of_the_axis_leaves_room_for_its_name() -> None:
    assert drawn(POINTS).y_axis.scaling.max == 50
    assert drawn(replace(POINTS, y=[49.0, 9.1, 5.0])).y_axis.scaling.max == 60


def pictures(sheet: Worksheet) -> list[ScatterChart]:
    return [chart for chart in sheet._charts if isinstance(chart, ScatterChart)]


def test_the_results_hold_a_picture_for_each_that_the_definition_asks_for() -> None:
    sheet = load_workbook(BytesIO(results_bytes(sample_results("us"), paper="letter")))["Combinations"]
    assert [len(chart.series) for chart in pictures(sheet)] == [4, 5]  # that with the least CO2e has no cash


def test_without_any_point_a_sentence_stands_in() -> None:
    document = sample_results("us")
    for row in document["combinations"]:
        row["co2e"] = {**row["co2e"], "value": None, "reason": "no fuel written"}
    sheet = load_workbook(BytesIO(results_bytes(document, paper="letter")))["Combinations"]
    assert len(pictures(sheet)) == 1
    texts = [str(row[0].value) for row in sheet.iter_rows()]
    assert "No picture of Worker hours against CO2e of the work: no way has both figures." in texts


@pytest.mark.parametrize(("width", "expected"), [(5.0, 12), (15.2, 15), (60.0, 17)])
def test_width_is_within_what_suits_a_page(width: float, expected: int) -> None:
    chart = scatter_chart("Combinations", POINTS, title="", x_title="", y_title="", width_cm=width)
    assert chart.width == expected
