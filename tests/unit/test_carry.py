"""A filled workbook copied into a new template has the same notes and the same faults, and nothing is lost."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from few import few
from openpyxl import Workbook, load_workbook

from wood_xl.cli import main
from wood_xl.io.fill import carried_workbook, filled_workbook, units_and_currency
from wood_xl.io.item_sheets import item_places
from wood_xl.io.pack import packed
from wood_xl.io.reader import read_workbook
from wood_xl.notes.season import CheckedSeason, check_season
from wood_xl.schema.model import season_definition

VERSIONS = sorted((Path(__file__).parents[1] / "versions").glob("1.*.xlsx"))
DEMOS = sorted((Path(__file__).parents[2] / "demo").glob("*[cu]?.xlsx"))
PLACES = item_places()


def carried(path: Path, folder: Path) -> tuple[CheckedSeason, CheckedSeason, Path]:
    """The season as read from the old workbook, and as read from the new one."""
    book = read_workbook(path)
    system, currency = units_and_currency(book)
    new = folder / "new.xlsx"
    new.write_bytes(packed(carried_workbook(book, system=system, currency=currency, paper="a4")))
    return check_season(book), check_season(read_workbook(new)), new


def notes(season: CheckedSeason) -> dict[str, Any]:
    """The typed notes; retired items are copied too, and only the version differs."""
    return {key: value for key, value in season.document.data.items() if key != "version"}


def faults(season: CheckedSeason) -> list[str]:
    return sorted(one.code for one in season.problems if one.level.name in ("FIX", "STOP"))


@pytest.mark.parametrize("path", few([*VERSIONS, *DEMOS], VERSIONS[0], DEMOS[0]), ids=lambda path: path.stem)
def test_the_same_notes_are_read_from_the_new_workbook(path: Path, tmp_path: Path) -> None:
    before, after, new = carried(path, tmp_path)
    assert notes(after) == notes(before)
    assert faults(after) == faults(before) == []
    assert read_workbook(new).template_version == season_definition().version


SMALL: dict[str, Any] = {
    "units": {"season": {"stick_length": "in"}, "sessions": {"elapsed_time": "min"}, "cuts": {"diameter": "in"}},
    "season": {"season_name": "Autumn", "currency": "CAD", "stick_length": 16},
    "methods": [{"method": "bow saw", "task": "buck"}],
    "sessions": [{"session": "S1", "date": "2026-10-04", "method": "bow saw", "elapsed_time": 60}],
    "tally": [{"session": "S1", "classes": [{"class": "10 in", "cuts": 4}, {"class": "26 in", "cuts": 2}]}],
}


def small() -> Workbook:
    return filled_workbook(SMALL, system="us", currency="CAD", paper="letter")


def test_a_long_name_is_not_cut_off_in_its_row(tmp_path: Path) -> None:
    pages = []
    for name in ("bow saw", "thirty-inch bow saw on the high sawbuck behind the barn"):
        book = small()
        book["Methods"].cell(4, 1).value = name
        pages.append(load_workbook(carried(saved(book, tmp_path), tmp_path)[2])["Methods"])
    short, long = ([page.row_dimensions[row].height for row in (4, 5)] for page in pages)
    assert (long[0] > 1.5 * short[0], long[1]) == (True, short[1])
    rows = [int(page.print_area.rpartition("$")[2]) for page in pages]
    assert rows[1] < rows[0]  # so that it prints on the same number of pages


def test_a_day_takes_one_line_in_its_row(tmp_path: Path) -> None:
    """A stored day has more letters than a shown one."""
    before = small()["Sessions"]
    after = load_workbook(carried(saved(small(), tmp_path), tmp_path)[2])["Sessions"]
    assert after.cell(4, 2).value.date().isoformat() == "2026-10-04"
    assert after.row_dimensions[4].height == before.row_dimensions[4].height


def saved(book: Workbook, folder: Path) -> Path:
    path = folder / "old.xlsx"
    book.save(path)
    return path


def test_wrong_entries_are_copied_as_typed(tmp_path: Path) -> None:
    book = small()
    book["Sessions"]["E4"] = "about an hour"
    book["Sessions"]["B4"] = "last week"
    title, row = PLACES["season.stick_length"]
    book[title].cell(row, 2).value = "sixteen"
    book[title].cell(row, 3).value = "hands"
    book["Tally"]["C4"] = -3
    before, after, new = carried(saved(book, tmp_path), tmp_path)
    assert notes(after) == notes(before)
    assert faults(after) == faults(before)
    assert len(faults(before)) >= 4
    there = load_workbook(new)
    assert there["Sessions"]["E4"].value == "about an hour"
    assert [there[title].cell(row, number).value for number in (2, 3)] == ["sixteen", "hands"]


def renamed_column(book: Workbook, title: str, text: str | None) -> None:
    (cell,) = [cell for cell in book["Sessions"][3] if str(cell.value).startswith(title)]
    cell.value = text


def gasoline(book: Workbook) -> Any:
    page = book["Season"]
    _, row = PLACES["season.gasoline_price"]
    page.cell(row, 2).value = 3.5
    return page


def renamed_item(book: Workbook) -> None:
    gasoline(book).cell(PLACES["season.gasoline_price"][1], 1).value = "Gasoline"


def sorted_items(book: Workbook) -> None:
    page, row = gasoline(book), PLACES["season.gasoline_price"][1]
    for column in range(1, 5):
        head, item = page.cell(3, column), page.cell(row, column)
        head.value, item.value = item.value, head.value


def merged_dates(book: Workbook) -> None:
    book["Sessions"].merge_cells("B4:B5")
    book["Sessions"]["A5"], book["Sessions"]["C5"] = "S2", "bow saw"


def renamed_sheet(book: Workbook) -> None:
    book["Tally"].title = "Counted"


@pytest.mark.parametrize(
    ("edit", "code"),
    [
        (lambda book: renamed_column(book, "Elapsed time", None), "header-renamed"),
        (lambda book: renamed_column(book, "Elapsed time", "Minutes"), "header-renamed"),
        (lambda book: renamed_column(book, "Date", "Dates"), "header-near-column"),
        (merged_dates, "cell-merged"),
        (renamed_sheet, "header-near-sheet"),
        (renamed_item, "header-renamed"),
        (sorted_items, ""),
    ],
)
def test_faults_of_the_sheets_are_copied_too(edit: Callable[[Workbook], None], code: str, tmp_path: Path) -> None:
    book = small()
    edit(book)
    before, after, _ = carried(saved(book, tmp_path), tmp_path)
    assert faults(after) == faults(before)
    assert (code in faults(before)) is bool(code)
    assert after.unread.keys() == before.unread.keys()
    assert notes(after) == notes(before)


def test_an_empty_currency_stays_empty(tmp_path: Path) -> None:
    book = small()
    title, row = PLACES["season.currency"]
    book[title].cell(row, 2).value = None
    before, after, _ = carried(saved(book, tmp_path), tmp_path)
    assert faults(after) == faults(before) == ["item-missing"]


@pytest.mark.slow
def test_the_users_own_columns_items_sheets_and_cells_are_copied(tmp_path: Path) -> None:
    book = small()
    sessions = book["Sessions"]
    column = sessions.max_column + 1
    sessions.cell(3, column).value, sessions.cell(4, column).value = "Mood", "good"
    book["Season"]["A60"], book["Season"]["B60"] = "Neighbor", "Bo"
    book["Season"]["G7"] = 12.5
    book["Sessions"]["D2"] = "rain all week"
    book["Bucking form"]["C20"] = 7
    book.create_sheet("Mine")["B2"] = "remember"
    _, after, new = carried(saved(book, tmp_path), tmp_path)
    there = load_workbook(new)
    texts = {cell.value for page in there.worksheets for row in page.iter_rows() for cell in row}
    assert {"Mood", "good", "Neighbor", "Bo", "remember", 12.5, 7} <= texts
    assert there["Mine"]["B2"].value == "remember"
    left = [[cell.value for cell in row] for row in there["Left over"].iter_rows()]
    assert left == [["Sessions!D2", "rain all week"], ["Season!G7", 12.5], ["Bucking form!C20", 7]]
    assert after.can_be_computed


def test_an_item_of_ones_own_on_start_covers_no_instruction(tmp_path: Path) -> None:
    book = small()
    page = book["Start"]
    page.cell(page.max_row + 2, 1).value, page.cell(page.max_row, 2).value = "Neighbor's dog", "Rex"
    before = [cell.value for cell in page["A"][: page.max_row - 2]]
    page = load_workbook(carried(saved(book, tmp_path), tmp_path)[2])["Start"]
    assert [cell.value for cell in page["A"][: len(before)]] == before
    assert [[cell.value for cell in row[:2]] for row in page.iter_rows() if row[1].value == "Rex"] == [
        ["Neighbor's dog", "Rex"]
    ]


def test_every_kind_of_cell_is_copied_unchanged(tmp_path: Path) -> None:
    book = small()
    sessions = book["Sessions"]
    elapsed = next(cell.column for cell in sessions[3] if str(cell.value).startswith("Elapsed"))
    sessions.cell(4, elapsed).value, sessions.cell(4, elapsed).number_format = dt.timedelta(minutes=95), "[h]:mm"
    note = next(cell.column for cell in sessions[3] if cell.value == "Note")
    for row, value in enumerate((True, dt.datetime.fromisoformat("2026-10-04T09:05"), "=1+", "7"), start=4):
        sessions.cell(row, note).value = value
        if isinstance(value, str):
            sessions.cell(row, note).data_type = "s"
    before, after, _ = carried(saved(book, tmp_path), tmp_path)
    assert before.document.rows("sessions")[0]["elapsed_time"] == 95
    assert notes(after) == notes(before)
    assert [one.line() for one in after.problems] == [one.line() for one in before.problems]


def test_a_price_in_another_currency_keeps_it(tmp_path: Path) -> None:
    book = small()
    tools = book["Tools"]
    column = {cell.value: cell.column for cell in tools[3]}
    tools.cell(4, column["Tool"]).value, tools.cell(4, column["Kind"]).value = "bow saw", "hand"
    price = tools.cell(4, column["Price [CAD]"])
    price.value, price.number_format = 30, r"#,##0.00\ [$€-407]"
    before, after, _ = carried(saved(book, tmp_path), tmp_path)
    assert faults(after) == faults(before)
    assert "cell-other-currency" in [one.code for one in after.problems]


@pytest.mark.slow
def test_command_keeps_units_and_currency_and_reports_the_file(tmp_path: Path) -> None:
    old, new = saved(small(), tmp_path), tmp_path / "next"
    ran = CliRunner().invoke(main, ["template", str(new), "--from", str(old)])
    assert ran.exit_code == 0, ran.output
    there = load_workbook(tmp_path / "next.xlsx")
    assert [there["Start"].cell(row, 2).value for _, row in (PLACES["season.currency"],)] == ["CAD"]
    assert there["Start"].page_setup.paperSize == 1
    assert there["Cuts"]["B3"].value == "Diameter [in]"
    again = CliRunner().invoke(main, ["template", str(old), "--from", str(old), "--replace"])
    assert again.exit_code != 0
    assert "Traceback" not in again.output
