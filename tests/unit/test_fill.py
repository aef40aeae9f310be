"""A season that is filled into the template is read back unchanged."""

from __future__ import annotations

import io
from copy import deepcopy
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from builders import demo
from few import few
from openpyxl import load_workbook
from openpyxl.utils import range_boundaries
from openpyxl.workbook import Workbook

from wood_xl.io.fill import filled_workbook
from wood_xl.io.item_sheets import item_places
from wood_xl.io.pack import packed
from wood_xl.io.reader import read_workbook
from wood_xl.io.template import ROW_POINTS, template_workbook
from wood_xl.notes.notes import version_2
from wood_xl.notes.season import check_season
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.model import season_definition

DEFINITION = season_definition()
FIRST = HEADER_ROW + 1
Data = dict[str, Any]


def small_season() -> Data:
    return {
        "version": DEFINITION.version,
        "units": {
            "season": {"stick_length": "in", "gasoline_price": "per L"},
            "sessions": {"elapsed_time": "h", "fuel_used": "mL"},
            "cuts": {"diameter": "cm"},
        },
        "season": {"season_name": "=Ridge", "currency": "CAD", "stick_length": 16, "gasoline_price": 1.6},
        "methods": [{"method": "+saw", "task": "buck"}],
        "sessions": [
            {
                "session": "007",
                "date": "2026-10-04",
                "method": "+saw",
                "elapsed_time": 1.5,
                "fuel_used": 450,
                "note": "=1+1",
            },
            {"session": "1/2", "method": "+saw", "elapsed_time": 2, "note": "#N/A\nsecond line\x0b" + "long " * 40},
        ],
        "cuts": [{"session": "007", "diameter": 24, "cuts": 4}],
    }


def saved(data: Data, currency: str = "CAD") -> Workbook:
    filled = filled_workbook(data, system="us", currency=currency, paper="letter")
    return load_workbook(io.BytesIO(packed(filled)))


def sessions_cell(workbook: Workbook, column_id: str, row: int = FIRST) -> Any:
    return workbook["Sessions"].cell(row, DEFINITION.sheet("sessions").number_of(column_id, "metric"))


def item_cell(workbook: Workbook, item: str, column: int) -> Any:
    title, row = item_places()[f"season.{item}"]
    return workbook[title].cell(row, column)


def test_units_are_where_the_user_writes_them() -> None:
    workbook = saved(small_season())
    assert sessions_cell(workbook, "elapsed_time", HEADER_ROW).value == "Elapsed time [h]"
    assert sessions_cell(workbook, "fuel_used", HEADER_ROW).value == "Fuel used [mL]"
    assert sessions_cell(workbook, "bar_oil_used", HEADER_ROW).value == "Bar oil used [fl oz]"
    assert item_cell(workbook, "gasoline_price", 3).value == "CAD per L"
    assert item_cell(workbook, "diesel_price", 3).value == "CAD per gal"


def test_text_stays_text() -> None:
    workbook = saved(small_season())
    for cell, text in (
        (sessions_cell(workbook, "session"), "007"),
        (sessions_cell(workbook, "session", FIRST + 1), "1/2"),
        (sessions_cell(workbook, "note"), "=1+1"),
        (sessions_cell(workbook, "method"), "+saw"),
        (item_cell(workbook, "season_name", 2), "=Ridge"),
    ):
        assert (cell.value, cell.data_type, cell.number_format) == (text, "s", "@")
        assert bool(cell.quotePrefix) == text.startswith(("=", "+"))
    note = sessions_cell(workbook, "note", FIRST + 1)
    assert note.value.startswith("#N/A\nsecond line[character 11]long ")
    assert note.data_type == "s"
    assert not note.quotePrefix, "the mark on one cell must not spread over its column"


def test_dates_and_numbers_keep_their_type() -> None:
    workbook = saved(small_season())
    day = sessions_cell(workbook, "date")
    assert (day.value, day.is_date, day.number_format) == (datetime(2026, 10, 4), True, "yyyy-mm-dd")  # noqa: DTZ001
    number = sessions_cell(workbook, "elapsed_time")
    assert (number.value, number.data_type, number.number_format) == (1.5, "n", "General")


@pytest.mark.slow
def test_long_notes_get_high_rows() -> None:
    heights = {row: saved(small_season())["Sessions"].row_dimensions[row].height for row in (FIRST, FIRST + 1)}
    assert heights[FIRST] == ROW_POINTS
    assert heights[FIRST + 1] > 60


@pytest.mark.slow
def test_empty_rows_are_not_styled() -> None:
    page = saved(small_season())["Sessions"]
    assert page.max_row == FIRST + 1
    assert sum(1 for row in page.iter_rows(min_row=FIRST) for cell in row if cell.has_style) == 10


def test_unknown_column_and_bad_date_raise() -> None:
    data = small_season()
    data["cuts"][0]["weight"] = 1
    with pytest.raises(KeyError, match="weight"):
        saved(data)
    data = small_season()
    data["sessions"][0]["date"] = "4/10/2026"
    with pytest.raises(ValueError, match="4/10/2026"):
        saved(data)


def test_the_input_data_are_not_changed() -> None:
    data = small_season()
    saved(data)
    assert data == small_season()


@pytest.mark.parametrize("name", ["hill_farm_us", "lake_cabin_metric"])
@pytest.mark.parametrize("system", few(["us", "metric"]))
def test_a_whole_season_is_read_back_unchanged(tmp_path: Path, name: str, system: Any) -> None:
    data = demo(name)
    before = version_2(deepcopy(data))
    currency = data["season"]["currency"]
    path = tmp_path / "season.xlsx"
    path.write_bytes(packed(filled_workbook(data, system=system, currency=currency, paper="a4")))
    book = read_workbook(path)
    assert book.template_version == DEFINITION.version
    found = check_season(book).document.data
    for row in (*found["tally"], *before["tally"]):
        row["classes"] = [one for one in row["classes"] if one["cuts"]]
    for sheet in DEFINITION.sheets:
        nothing: Any = {} if sheet.kind == "items" else []
        before.setdefault(sheet.id, nothing)
        assert found.get(sheet.id) == before[sheet.id], sheet.id
        filled = {key for row in ([before[sheet.id]] if sheet.kind == "items" else before[sheet.id]) for key in row}
        units = {key: unit for key, unit in before["units"].get(sheet.id, {}).items() if key in filled}
        read = {key: unit for key, unit in found["units"].get(sheet.id, {}).items() if key in filled}
        assert read == units, sheet.id


def test_what_is_printed_only_if_filled_is_printed_with_its_rows_a_trace_excepted() -> None:
    data = small_season()
    data["helpers"] = [{"session": "007", "person": "Bo", "time": 10}] * 2
    data["heart_trace"] = [{"session": "007", "person": "Ada", "elapsed": 0, "heart_rate": 90}]
    workbook = saved(data)
    areas = {title: workbook[title].print_area.rpartition("!")[2] for title in ("Helpers", "Wood", "Heart trace")}
    blank = template_workbook("metric", "NOK", "a4")["Wood"].print_area.rpartition("!")[2]
    assert areas == {"Helpers": f"$A$1:$E${HEADER_ROW + 2}", "Wood": blank, "Heart trace": blank}


def test_filled_columns_are_visible_and_printed() -> None:
    data = small_season()
    data["cuts"] = [{"session": "007", "diameter": 24}] * 80
    data["sessions"][0]["leave_out"] = "saw broke down"
    workbook = saved(data)
    cuts, sessions = workbook["Cuts"], workbook["Sessions"]
    assert range_boundaries(cuts.print_area.rpartition("!")[2].replace("$", ""))[3] == HEADER_ROW + 80
    header = {cell.value: cell.column_letter for cell in sessions[HEADER_ROW]}
    assert not sessions.column_dimensions[header["Leave out, because"]].hidden
    assert not sessions.column_dimensions[header["Fuel used [mL]"]].hidden
    assert workbook["People"].column_dimensions["H"].hidden
