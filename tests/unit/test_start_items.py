"""Items that stand on Start or on Season, and those that version 1 had elsewhere."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from few import few
from jsonschema import Draft202012Validator
from openpyxl import Workbook

from wood_xl.io.fill import filled_workbook
from wood_xl.io.item_sheets import item_places
from wood_xl.io.reader import read_workbook
from wood_xl.notes.convert import season_records
from wood_xl.notes.notes import version_2
from wood_xl.notes.season import CheckedSeason, check_season
from wood_xl.schema.model import season_definition

PLACES = item_places()
VERSIONS = Path(__file__).parents[1] / "versions"
DATA: dict[str, Any] = {
    "units": {"season": {"stick_length": "in", "practical_margin": "%"}, "trial": {"longest_session": "min"}},
    "season": {"season_name": "Autumn", "currency": "USD", "stick_length": 16, "practical_margin": 5},
    "trial": {"first_day": "2027-03-06", "days": 4, "work_days": "Sat Sun", "longest_session": 75},
    "methods": [{"method": "bow saw", "task": "buck", "crew": 2}],
    "people": [{"person": "Ada", "leaves": "bow saw"}],
    "sessions": [{"session": "S1", "method": "bow saw", "elapsed_time": 60}],
    "cuts": [{"session": "S1", "diameter": 10}],
    "tally": [{"session": "S1", "classes": [{"class": "12 in", "cuts": 4}]}],
}


def book() -> Workbook:
    return filled_workbook(DATA, system="us", currency="USD", paper="letter")


def checked(workbook: Workbook, folder: Path) -> CheckedSeason:
    path = folder / "season.xlsx"
    workbook.save(path)
    return check_season(read_workbook(path))


def fixes(season: CheckedSeason) -> list[tuple[str, str]]:
    return [(one.code, one.where) for one in season.problems if one.level.name in ("FIX", "STOP")]


def put(workbook: Workbook, title: str, row: int, item: str, value: Any, unit: str | None = None) -> None:
    for column, text in enumerate((item, value, unit), start=1):
        workbook[title].cell(row, column).value = text


def take(workbook: Workbook, ref: str) -> list[Any]:
    title, row = PLACES[ref]
    cells = [workbook[title].cell(row, column) for column in (1, 2, 3)]
    values = [cell.value for cell in cells]
    for cell in cells:
        cell.value = None
    return values


def test_items_on_start_are_read(tmp_path: Path) -> None:
    season = checked(book(), tmp_path)
    assert fixes(season) == []
    data = season.document.data
    assert data["season"] == DATA["season"]
    assert data["trial"] == DATA["trial"]
    assert (data["methods"][0]["crew"], data["people"][0]["leaves"]) == (2, "bow saw")
    assert data["version"] == season_definition().version
    assert season_records(season)[0].next_season.longest_session_min == 75


@pytest.mark.parametrize("ref", few(["season.season_name", "season.stick_length", "season.practical_margin"]))
def test_an_item_of_the_season_may_stand_on_either_sheet(tmp_path: Path, ref: str) -> None:
    workbook = book()
    put(workbook, "Season", 60, *take(workbook, ref))
    season = checked(workbook, tmp_path)
    assert fixes(season) == []
    assert season.document.data["season"] == DATA["season"]
    assert season.document.place("season", None, ref.partition(".")[2]).where == "Season!B60"


def test_a_price_may_stand_on_start(tmp_path: Path) -> None:
    workbook = book()
    row = workbook["Start"].max_row + 2
    put(workbook, "Start", row, "Price of gasoline", 3.5, "USD per gal")
    season = checked(workbook, tmp_path)
    assert fixes(season) == []
    assert season.document.items("season")["gasoline_price"] == 3.5


@pytest.mark.parametrize("title", ["Start", "Season", "Tally"])
def test_a_sheet_of_another_name_is_known_though_items_of_the_season_stand_on_two(tmp_path: Path, title: str) -> None:
    """What is compulsory may stand on the other sheet, and most headers of Tally are sizes."""
    workbook = book()
    workbook["Season"].cell(PLACES["season.gasoline_price"][1], 2).value = 3.5
    workbook[title].title = "Page 7"
    season = checked(workbook, tmp_path)
    assert fixes(season) == [("header-near-sheet", "Page 7")]
    assert f'"{title}"' in season.problems[0].mend


def test_items_that_were_sorted_above_their_head_are_read(tmp_path: Path) -> None:
    workbook = book()
    _, row = PLACES["season.gasoline_price"]
    workbook["Season"].cell(row, 2).value = 3.5
    moved = [[cell.value for cell in workbook["Season"][at]] for at in (3, row)]
    for at, values in zip((row, 3), moved, strict=True):
        for column, value in enumerate(values, start=1):
            workbook["Season"].cell(at, column).value = value
    season = checked(workbook, tmp_path)
    assert fixes(season) == []
    assert season.document.items("season")["gasoline_price"] == 3.5
    assert season.document.place("season", None, "gasoline_price").where == "Season!B3"


def test_a_number_in_the_unit_of_an_item_above_the_head_is_told(tmp_path: Path) -> None:
    workbook = book()
    _, row = PLACES["season.gasoline_price"]
    for column in range(1, 5):
        head, item = (workbook["Season"].cell(at, column) for at in (3, row))
        head.value, item.value = item.value, head.value
    workbook["Season"]["C3"].value = 3.5
    assert fixes(checked(workbook, tmp_path)) == [("item-in-other-column", "Season!C3")]


def test_an_equal_item_on_both_sheets_is_no_fault(tmp_path: Path) -> None:
    workbook = book()
    put(workbook, "Season", 60, "Stick length", 16, "in")
    season = checked(workbook, tmp_path)
    assert fixes(season) == []
    assert season.document.items("season")["stick_length"] == 16


def test_two_values_are_a_fault_at_both_cells_and_neither_is_used(tmp_path: Path) -> None:
    workbook = book()
    put(workbook, "Season", 60, "Stick length", 40, "cm")
    title, row = PLACES["season.stick_length"]
    season = checked(workbook, tmp_path)
    assert fixes(season) == [("item-two-sheets", f"{title}!B{row}"), ("item-two-sheets", "Season!B60")]
    texts = [one.text for one in season.problems if one.code == "item-two-sheets"]
    assert "16 in" in texts[0]
    assert "Season!B60" in texts[0]
    records = season_records(season)[0]
    assert records.stick_length_m is None
    assert records.broken["stick_length"] in (f"{title}!B{row}", "Season!B60")


def test_a_fault_on_start_names_its_cell_and_withholds_the_item(tmp_path: Path) -> None:
    workbook = book()
    title, row = PLACES["trial.longest_session"]
    workbook[title].cell(row, 2).value = "long"
    season = checked(workbook, tmp_path)
    assert fixes(season) == [("cell-not-a-number", f"{title}!B{row}")]
    assert season_records(season)[0].next_season.broken == {"longest_session": f"{title}!B{row}"}


def test_days_of_a_trial_that_cannot_be_withhold_nothing_of_the_year(tmp_path: Path) -> None:
    workbook = book()
    title, row = PLACES["trial.days"]
    workbook[title].cell(row, 2).value = 0
    season = checked(workbook, tmp_path)
    assert fixes(season) == [("cell-out-of-range", f"{title}!B{row}")]
    assert season_records(season)[0].next_season.broken == {}


def test_an_item_of_version_1_is_read_on_its_old_sheet(tmp_path: Path) -> None:
    workbook = book()
    take(workbook, "trial.longest_session")
    put(workbook, "Next season", 60, "Longest session", 1.5, "h")
    season = checked(workbook, tmp_path)
    assert fixes(season) == []
    assert season.document.items("trial")["longest_session"] == 1.5
    assert season.document.unit("trial", "longest_session") == "h"
    assert season.document.items("next_season") == {}
    assert season.document.place("trial", None, "longest_session").where == "Next season!B60"


def test_an_item_on_its_old_and_its_new_sheet_is_a_fault_at_both(tmp_path: Path) -> None:
    workbook = book()
    put(workbook, "Next season", 60, "Longest session", 120, "min")
    title, row = PLACES["trial.longest_session"]
    found = fixes(checked(workbook, tmp_path))
    assert sorted(found) == [("item-two-sheets", "Next season!B60"), ("item-two-sheets", f"{title}!B{row}")]


def test_start_without_its_header_row_says_so(tmp_path: Path) -> None:
    workbook = book()
    workbook["Start"].cell(4, 1).value = workbook["Start"].cell(4, 2).value = None
    season = checked(workbook, tmp_path)
    assert ("header-missing-row-optional", "Start") in fixes(season)


@pytest.mark.parametrize("version", ["1.0", "1.1", "1.2"])
def test_documents_of_version_1_become_those_of_version_2(version: str) -> None:
    then = json.loads((VERSIONS / f"{version}.json").read_text(encoding="utf-8"))
    before = json.dumps(then)
    now = version_2(then)
    assert json.dumps(then) == before, "what goes in stays as it is"
    assert version_2(now) == now
    assert now["trial"] == {"longest_session": then["next_season"]["longest_session"]}
    assert now["units"]["trial"] == {"longest_session": then["units"]["next_season"]["longest_session"]}
    assert "longest_session" not in now["next_season"]
    assert all("bought_already" not in tool for tool in now["tools"])
    assert list(Draft202012Validator(season_definition().schema).iter_errors(now)) == []


@pytest.mark.parametrize(("said", "held"), [("yes", "own"), ("no", "to buy"), (None, None)])
def test_bought_already_is_own_or_to_buy(said: str | None, held: str | None) -> None:
    tool = {"tool": "saw", "kind": "hand"} | ({"bought_already": said} if said else {})
    (now,) = version_2({"units": {}, "tools": [tool]})["tools"]
    assert now.get("held") == held


@pytest.mark.parametrize("text", few(["Sat Sun", "mon, wed, fri", "Saturday; Sunday", "any day", "Sat+Sun"]))
def test_days_of_the_week_are_known(tmp_path: Path, text: str) -> None:
    workbook = book()
    title, row = PLACES["trial.work_days"]
    workbook[title].cell(row, 2).value = text
    assert fixes(checked(workbook, tmp_path)) == []


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("Mon-Fri", (0, 1, 2, 3, 4)),
        ("Sat - Sun", (5, 6)),
        ("Friday through Monday", (0, 4, 5, 6)),
        ("Sat & Sun", (5, 6)),
        ("Wed, Saturday and Sunday", (2, 5, 6)),
        ("Mon-Wed-Fri", (0, 2, 4)),
        ("weekends", (5, 6)),
        ("Weekdays; Sat", (0, 1, 2, 3, 4, 5)),
        ("Mon\u2011Fri", (0, 1, 2, 3, 4)),
        ("Mon\u2212Wed", (0, 1, 2)),
        ("Mon..Fri", (0, 1, 2, 3, 4)),
        ("Thurs.-Sat.", (3, 4, 5)),
        ("Mon.Wed.Fri.", (0, 2, 4)),
    ],
)
def test_days_from_one_to_another_are_all_of_them(tmp_path: Path, text: str, days: tuple[int, ...]) -> None:
    """They were the first one alone, without a word."""
    workbook = book()
    title, row = PLACES["trial.work_days"]
    workbook[title].cell(row, 2).value = text
    season = checked(workbook, tmp_path)
    assert fixes(season) == []
    assert season_records(season)[0].next_season.weekdays == days


@pytest.mark.parametrize("text", ["SatSun", "Sat|Sun", "Sat_Sun", "Sat:Sun", "Mon~Fri"])
def test_days_joined_by_an_unknown_mark_are_reported(tmp_path: Path, text: str) -> None:
    """They were the first one alone, without a word."""
    workbook = book()
    title, row = PLACES["trial.work_days"]
    workbook[title].cell(row, 2).value = text
    assert fixes(checked(workbook, tmp_path)) == [("item-no-weekday", f"{title}!B{row}")]


def test_a_word_that_is_no_day_and_a_method_on_no_list_are_named(tmp_path: Path) -> None:
    workbook = book()
    title, row = PLACES["trial.work_days"]
    workbook[title].cell(row, 2).value = "Sat Sonntag"
    people = workbook["People"]
    leaves = next(cell.column_letter for cell in people[3] if cell.value == "Leaves to others")
    people[f"{leaves}4"] = "bow saw; axe work"
    season = checked(workbook, tmp_path)
    assert sorted(fixes(season)) == [
        ("item-no-weekday", f"{title}!B{row}"),
        ("row-unknown-methods", f"People!{leaves}4"),
    ]
    texts = {one.code: one.text for one in season.problems}
    assert '"Sonntag"' in texts["item-no-weekday"]
    assert '"axe work"' in texts["row-unknown-methods"]
    assert '"bow saw"' not in texts["row-unknown-methods"]
