"""An axis holds all that is drawn on it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wood_xl.report.body import key_of_people
from wood_xl.report.charts import ChartData, Scatter, axis_end, stacked_bars, text_px


@given(st.floats(min_value=1e-8, max_value=1e9))
def test_an_axis_holds_the_largest_value_in_few_even_steps(largest: float) -> None:
    end, step = axis_end(largest)
    assert end >= largest * (1 - 1e-9)
    assert end - step < largest
    assert 1 <= round(end / step) <= 6
    assert end / step == pytest.approx(round(end / step))


def test_an_axis_without_values_has_an_end_and_a_step() -> None:
    assert axis_end(0.0) == axis_end(9e-9) == (1.0, 0.2)


def test_every_bar_has_its_name_on_one_line_however_long() -> None:
    names = [
        f"{how} with the old thirty-inch saw of my grandfather from the barn" for how in ("bucking", "splitting")
    ]
    placed = stacked_bars(
        ChartData("Chart data"), "Cash", "", names, [("all", "4A3524", [1.0, 2.0])], number_format="0"
    )
    shown = [point.v for point in placed.chart.series[0].cat.strRef.strCache.pt]
    assert [name[:7] for name in shown] == [name[:7] for name in names]
    assert all(text_px(name) <= 0.8 * 0.45 * placed.width_px for name in shown), "programs break longer ones"
    assert placed.chart.x_axis.tickLblSkip == 1


def test_the_name_of_a_row_ends_left_of_a_mark_at_zero() -> None:
    """A mark is 9 points wide, so half of it reaches over the axis to where names end."""
    chart = Scatter(ChartData("Chart data"), "Air", "", rows=1, end=1.0, step=0.5)
    chart.names(["bow saw bucking"])
    (label,) = [one.tx.strRef.strCache.pt[0].v for one in chart.placed().chart.series if one.dLbls is not None]
    assert label.rstrip() == "bow saw bucking"
    assert text_px(label) - text_px(label.rstrip()) >= 9 / 2 * 96 / 72


def test_a_key_of_many_people_takes_a_second_row_before_it_cuts_a_name() -> None:
    people = ["Bartholomew", "Clementine", "Maximiliana", "Theodore", "Wilhelmina", "Archibald"]
    chart = Scatter(ChartData("Chart data"), "Hours", "", rows=3, end=8.0, step=2.0)
    view: Any = SimpleNamespace(short_name=str)
    key_of_people(chart, people, view, 2, ("crew", "diamond", "CDB28C"), ("left out", "square", "FFFFFF"))
    placed = chart.placed()
    labels = [one for one in placed.chart.series if one.dLbls is not None]
    assert [one.tx.strRef.strCache.pt[0].v for one in labels] == [*people, "crew", "left out"]
    heights = [float(one.yVal.numRef.numCache.pt[0].v) for one in labels]
    assert sorted(set(heights)) == [-0.5, 0.5]
    assert placed.chart.y_axis.scaling.min == -1.0
    assert placed.chart.x_axis.crosses == "min"  # else the axis would cross between the rows


def test_a_chart_of_nobody_has_no_key() -> None:
    chart = Scatter(ChartData("Chart data"), "Hours", "", rows=2, end=8.0, step=2.0)
    view: Any = SimpleNamespace(short_name=str)
    key_of_people(chart, [], view, 1)
    assert list(chart.placed().chart.series) == []
    assert str(chart.placed().chart.y_axis.scaling.min) == "0.0"  # at -0.0 a program changes the other axis
