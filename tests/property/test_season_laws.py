"""Laws that hold for any season, from the cells to the figures."""

from __future__ import annotations

import copy
import math
import random
from collections.abc import Sequence
from typing import Any

import pytest
from builders import Data, checked, demo, raw_book, raw_sheet, season_cells, small_season, tables
from few import examples, few
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from wood_xl.demo import demo_names
from wood_xl.draws.figure import Figure
from wood_xl.notes.convert import season_records
from wood_xl.notes.document import SeasonDocument
from wood_xl.notes.limits import schema_problems
from wood_xl.notes.notes import TypedNotes
from wood_xl.notes.raw import Cells, RawBook, RawSheet
from wood_xl.notes.season import check_season
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.model import season_definition
from wood_xl.units import convert

diameters = st.floats(min_value=8, max_value=60).map(lambda d: round(d, 1))
tallies = st.integers(min_value=1, max_value=30)


@st.composite
def seasons(draw: st.DrawFn) -> Data:
    """The small season with other cuts, stacks, minutes and helpers."""
    data = small_season()
    data["cuts"] = [
        {"session": draw(st.sampled_from(["A", "B"])), "diameter": draw(diameters), "cuts": draw(tallies)}
        for _ in range(draw(st.integers(min_value=1, max_value=12)))
    ] + [{"session": "A", "diameter": 20}, {"session": "B", "diameter": 20}]
    data["stacks"] = [
        {"session": "C", "height": draw(st.floats(0.3, 2.0)), "length": draw(st.floats(0.3, 8.0))}
        for _ in range(draw(st.integers(min_value=1, max_value=3)))
    ]
    for session in data["sessions"]:
        session["elapsed_time"] = draw(st.integers(min_value=40, max_value=400))
    return data


def numbers(row: dict[str, Any]) -> dict[str, float | None]:
    return {key: value.value for key, value in row.items() if isinstance(value, Figure)}


def ends(rows: Sequence[Any]) -> list[float]:
    cells = (cell for row in rows for cell in row.values() if isinstance(cell, Figure))
    return [end for cell in cells for end in (cell.low, cell.high) if end is not None]


def assert_same(left: Sequence[Any], right: Sequence[Any], *, but: tuple[str, ...] = ()) -> None:
    assert len(left) == len(right)
    for one, other in zip(left, right, strict=True):
        for key, value in numbers(one).items():
            if key in but:
                continue
            twin = numbers(other)[key]
            if value is None or twin is None:
                assert value is twin
            else:
                assert math.isclose(value, twin, rel_tol=1e-9, abs_tol=1e-12), key


@given(seasons())
@settings(max_examples=examples(40), deadline=None)
def test_totals_are_sums_of_parts(data: Data) -> None:
    found = tables(data).tables
    for method in found["methods"]:
        own = [s for s in found["sessions"] if s["method"] == method["method"] and s["state"] == "yes"]
        assert method["sessions_n"] == len(own)
        for total, part in (
            ("cords", "cords"), ("solid_volume", "solid_volume"), ("stacked_volume", "stacked_volume"),
            ("sawn_area", "sawn_area"), ("clock_hours", "clock_hours"), ("worker_hours", "worker_hours"),
        ):  # fmt: skip
            if method[total].value is None:  # a session of it waits
                continue
            assert math.isclose(method[total].value, math.fsum(s[part].value for s in own), rel_tol=1e-12)
    for money in found["money_per_cord"]:
        parts = [money[part].value for part in ("ownership", "upkeep", "fuel", "bar_oil", "electricity")]
        if money["cash"].value is not None:
            assert math.isclose(money["cash"].value, math.fsum(parts), rel_tol=1e-12)
    if any(row["hours"].value is None for row in found["people"]):
        return
    people_hours = math.fsum(row["hours"].value for row in found["people"])
    session_hours = math.fsum(s["worker_hours"].value for s in found["sessions"] if s["state"] == "yes")
    assert math.isclose(people_hours, session_hours, rel_tol=1e-12)


@given(seasons())
@settings(max_examples=examples(20), deadline=None)
def test_rates_are_totals_over_quantities(data: Data) -> None:
    found = tables(data).tables
    for rate, total in zip(found["rates_per_cord"], found["methods"], strict=True):
        if rate["worker_hours"].value is None:  # a session of it waits
            continue
        worked = rate["worker_hours"].value * total["cords"].value
        assert math.isclose(worked, total["worker_hours"].value, rel_tol=1e-12)


@pytest.mark.slow
@pytest.mark.parametrize("name", few(demo_names(), "hill_farm_us"))
def test_both_unit_systems_give_the_same_season(name: str) -> None:
    data = demo(name)
    data["season"]["appliance_efficiency_basis"] = "gross"  # left empty, it is by the units
    other = copy.deepcopy(data)
    for sheet in season_definition().sheets:
        for column_id, unit in data["units"].get(sheet.id, {}).items():
            column = sheet.column(column_id)
            to = column.metric if unit == column.us else column.us
            if to == unit or column.unit_kept:
                continue
            other["units"][sheet.id][column_id] = to
            rows = [other[sheet.id]] if sheet.kind == "items" else other[sheet.id]
            for row in rows:
                if column_id in row:
                    row[column_id] = convert(row[column_id], unit, to)
    there, here = tables(data).tables, tables(other).tables
    for table in there:
        assert_same(there[table], here[table])


@given(st.randoms(use_true_random=False))
@settings(max_examples=examples(15), deadline=None)
def test_order_of_sheets_columns_and_rows_does_not_matter(shuffler: random.Random) -> None:
    data = small_season()
    other = copy.deepcopy(data)
    for sheet_id in ("cuts", "stacks", "helpers", "tools", "upkeep", "people"):
        shuffler.shuffle(other[sheet_id])
    sheets = []
    for sheet in season_definition().sheets:
        order = [column.id for column in sheet.columns_in("metric")]
        shuffler.shuffle(order)
        sheets.append(raw_sheet(sheet, other, column_order=order))
    shuffler.shuffle(sheets)
    shuffled = check_season(RawBook(tuple(sheets), sha256="", template_version=season_definition().version))
    here = season_cells(season_records(shuffled)[0])
    there = tables(data).tables
    for table in ("rates_per_cord", "methods", "money_per_cord", "sessions", "emissions"):
        assert_same(there[table], here[table])
    for table in ("money_per_cord", "rates_per_cord"):  # draws go by first use, not by the place on the sheet
        assert ends(there[table]) == pytest.approx(ends(here[table]), rel=1e-9)


@given(seasons(), st.floats(min_value=0.2, max_value=0.8))
@settings(max_examples=examples(25), deadline=None)
def test_splitting_a_session_leaves_the_totals(data: Data, share: float) -> None:
    halves = copy.deepcopy(data)
    whole = halves["sessions"][0]
    second = {**whole, "session": "A2"}
    for key in ("elapsed_time", "delay_time"):
        whole[key], second[key] = data["sessions"][0][key] * share, data["sessions"][0][key] * (1 - share)
    halves["sessions"].append(second)
    cuts = [cut for cut in halves["cuts"] if cut["session"] == "A"]
    for cut in cuts[: max(1, len(cuts) // 2)]:
        cut["session"] = "A2"
    if len(cuts) == 1:
        halves["cuts"].append({**cuts[0], "session": "A"})
        data["cuts"].append({**cuts[0], "session": "A"})
    there, here = tables(data).tables, tables(halves).tables
    assert_same(there["methods"], here["methods"])
    assert_same(there["rates_per_cord"], here["rates_per_cord"])


@given(st.floats(min_value=0.6, max_value=1.6))
@settings(max_examples=examples(25), deadline=None)
def test_scaling_lengths_scales_areas_and_volumes(k: float) -> None:
    data = small_season()
    scaled = copy.deepcopy(data)
    scaled["season"]["stick_length"] *= k
    for cut in scaled["cuts"]:
        cut["diameter"] *= k
    for stack in scaled["stacks"]:
        stack["height"] *= k
        stack["length"] *= k
    for there, here in zip(tables(data).tables["sessions"], tables(scaled).tables["sessions"], strict=True):
        assert math.isclose(here["sawn_area"].value, there["sawn_area"].value * k**2, rel_tol=1e-9)
        for volume in ("solid_volume", "stacked_volume", "cords"):
            assert math.isclose(here[volume].value, there[volume].value * k**3, rel_tol=1e-9)
        assert here["clock_hours"].value == there["clock_hours"].value


@given(st.text(min_size=1, max_size=80).filter(lambda text: text.strip(" \t\r\n\u00a0\u200b")))
@settings(max_examples=examples(100), deadline=None)
def test_a_note_comes_back_as_typed(note: str) -> None:
    data = small_season()
    data["sessions"][0]["note"] = note
    assert checked(data).document.rows("sessions")[0]["note"] == note


def test_left_out_session_is_shown_and_changes_no_rate() -> None:
    data = small_season()
    more = copy.deepcopy(data)
    more["sessions"].append({"session": "D", "method": "By bow saw", "elapsed_time": 10, "leave_out": "rain"})
    more["cuts"].append({"session": "D", "diameter": 30})
    there, here = tables(data).tables, tables(more).tables
    assert here["sessions"][-1]["state"] == "left out: rain"
    assert_same(there["rates_per_cord"], here["rates_per_cord"])


@given(seasons(), st.sampled_from([0, -3, 250, 500.5, 12]))
@settings(max_examples=examples(25), deadline=None)
def test_validating_distinct_values_finds_what_validating_the_document_finds(data: Data, diameter: float) -> None:
    """The fast way through JSON Schema and the plain way agree on which cells are refused."""
    data["cuts"][0]["diameter"] = diameter
    gathered: TypedNotes = TypedNotes(SeasonDocument(data, checked(data).document.places))
    fast = schema_problems(gathered)[1]
    plain = {
        (error.absolute_path[0], error.absolute_path[1], error.absolute_path[2])
        for error in Draft202012Validator(season_definition().schema).iter_errors(data)
        if error.validator != "required" and error.absolute_path[0] == "cuts"
    }
    assert {cell for cell in fast if cell[0] == "cuts"} == plain


def test_hidden_and_empty_rows_between_do_not_matter() -> None:
    data = small_season()
    book = raw_book(data)
    spread = []
    for sheet in book.sheets:
        cells = {
            (row if row <= HEADER_ROW or sheet.title in ("Season", "Next season") else row * 3, column): cell
            for (row, column), cell in sheet.cells.items()
        }
        spread.append(RawSheet(sheet.title, Cells(cells), hidden_rows=frozenset({12})))
    found = check_season(RawBook(tuple(spread), sha256="", template_version=season_definition().version))
    assert found.document.data == check_season(book).document.data
    assert "sheet-hidden-rows" in [problem.code for problem in found.problems]
