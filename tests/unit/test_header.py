"""Sheets, headers and units are found by their words, wherever they stand."""

from __future__ import annotations

import pytest
from builders import Cells, checked, raw_book, small_season, text_cell

from wood_xl.checks.header import find_sheets, split_header, unit_of
from wood_xl.checks.season import check_season
from wood_xl.raw import RawBook, RawSheet
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.model import season_definition


def codes(book: RawBook) -> list[str]:
    return [found.code for found in check_season(book).problems]


@pytest.mark.parametrize(
    ("ref", "typed", "unit", "currency"),
    [
        ("cuts.diameter", "IN", "in", ""),
        ("cuts.diameter", " cm ", "cm", ""),
        ("cuts.diameter", "furlong", None, ""),
        ("cuts.diameter", None, None, ""),
        ("sessions.mean_heart_rate", None, "beats/min", ""),
        ("season.gasoline_price", "NOK per L", "per L", "NOK"),
        ("season.gasoline_price", "per gal", "per gal", ""),
        ("season.gasoline_price", "NOK", None, ""),
        ("tools.price", "usd", "money", "USD"),
        ("tools.price", None, "money", ""),
        ("tools.vibration", "m/s\u00b2", "m/s2", ""),
        ("sessions.air_temperature", "\u00b0C", "degC", ""),
        ("sessions.note", "anything", "", ""),
    ],
)
def test_unit_of_header(ref: str, typed: str | None, unit: str | None, currency: str) -> None:
    assert unit_of(season_definition().column(ref), typed) == (unit, currency)


def test_every_header_of_the_definition_is_read_back() -> None:
    for sheet in season_definition().sheets:
        for column in sheet.columns:
            for unit in column.units or ("",):
                title, typed = split_header(column.header(unit, "CHF"))
                assert title == column.title
                assert unit_of(column, typed)[0] == unit


def test_sheets_and_columns_may_move() -> None:
    book = raw_book(small_season())
    moved = []
    for sheet in reversed(book.sheets):
        cells = {(row + 4, 30 - column): cell for (row, column), cell in sheet.cells.items()}
        moved.append(RawSheet(f" {sheet.title.upper()} ", Cells(cells)))
    there = check_season(book)
    again = check_season(RawBook(tuple(moved), sha256="", template_version="1.0"))
    assert again.document.data == there.document.data
    assert [found.code for found in again.problems] == [found.code for found in there.problems]


def test_missing_compulsory_sheet_stops_and_names_a_near_one() -> None:
    book = raw_book(small_season())
    sheets = tuple(RawSheet("Sesions", sheet.cells) if sheet.title == "Sessions" else sheet for sheet in book.sheets)
    problems = find_sheets(RawBook(sheets, sha256=""), season_definition())[1]
    assert {found.code for found in problems} == {"header-near-sheet", "header-missing-sheet"}
    assert '"Sesions" may be it' in next(f.text for f in problems if f.code == "header-missing-sheet")


@pytest.mark.parametrize(
    ("sheet_id", "title", "header", "code"),
    [
        ("cuts", "Diameter", "Diameter", "header-missing-unit"),
        ("cuts", "Diameter", "Diameter [hands]", "header-unknown-unit"),
        ("cuts", "Diameter", "Diametre [cm]", "header-near-column"),
        ("cuts", "Diameter", "Girth [cm]", "header-missing-column"),
        ("cuts", "Cuts alike", "Diameter [cm]", "header-double-column"),
    ],
)
def test_header_faults_are_found(sheet_id: str, title: str, header: str, code: str) -> None:
    def edit(cells: dict[str, Cells]) -> None:
        for (row, column), cell in list(cells[sheet_id].items()):
            if row == HEADER_ROW and split_header(str(cell.value))[0] == title:
                cells[sheet_id][row, column] = text_cell(header)

    found = [problem.code for problem in checked(small_season(), edit=edit).problems]
    assert code in found
    assert "row-missing-value" not in found  # one fault in a header is not told again for every row


def test_units_written_out_are_understood_and_a_wrong_one_is_mended_where_it_stands() -> None:
    def edit(cells: dict[str, Cells]) -> None:
        for sheet_id, old, new in (
            ("cuts", "Diameter [cm]", "Diameter [inches]"),
            ("season", "stacked m3", "armfuls"),
        ):
            key = next(key for key, cell in cells[sheet_id].items() if cell.value == old)
            cells[sheet_id][key] = text_cell(new)

    found = checked(small_season(), edit=edit)
    assert found.document.unit("cuts", "diameter") == "in"
    wrong = [problem for problem in found.problems if problem.code == "header-unknown-unit"]
    assert [problem.place.sheet for problem in wrong] == ["Season"]
    assert "Write into this cell the unit" in wrong[0].mend


def test_unknown_columns_and_loose_entries_are_told() -> None:
    def edit(cells: dict[str, Cells]) -> None:
        cells["cuts"][HEADER_ROW, 20] = text_cell("Mood")
        cells["cuts"][HEADER_ROW + 1, 20] = text_cell("good")
        cells["cuts"][HEADER_ROW + 1, 22] = text_cell("stray")

    found = [problem.code for problem in checked(small_season(), edit=edit).problems]
    assert "header-unknown-column" in found
    assert "header-no-title" in found


def test_other_currency_in_a_header_is_told() -> None:
    def edit(cells: dict[str, Cells]) -> None:
        for key, cell in list(cells["tools"].items()):
            if cell.value == "Price [NOK]":
                cells["tools"][key] = text_cell("Price [SEK]")

    assert "header-other-currency" in [problem.code for problem in checked(small_season(), edit=edit).problems]


def test_older_and_newer_templates() -> None:
    book = raw_book(small_season())
    assert "header-older-template" in codes(RawBook(book.sheets, "", template_version="0.9"))
    assert not check_season(RawBook(book.sheets, "", template_version="9.0")).can_be_computed
