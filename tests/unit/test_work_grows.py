"""Work grows with what is written and not with its square: calls are counted, since time hangs on the machine."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from builders import checked, demo, reading_pages, records, results_of, small_season, tables
from openpyxl.worksheet.cell_range import CellRange

from wood_xl.draws.rows import Session, TaskSessions, observed
from wood_xl.ids import Recorded
from wood_xl.notes import names
from wood_xl.notes.convert import season_records
from wood_xl.notes.relations import NotesRow
from wood_xl.plan import calendar
from wood_xl.plan import plan as planning
from wood_xl.report import body, compare
from wood_xl.report.book import results_bytes
from wood_xl.schema.words import words
from wood_xl.shed import stacks

MANY = 120


def counted(place: Any, name: str, monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """First arguments of all calls of a function."""
    calls: list[Any] = []
    function: Callable[..., Any] = getattr(place, name)

    def call(*arguments: Any, **options: Any) -> Any:
        calls.append(arguments[0])
        return function(*arguments, **options)

    monkeypatch.setattr(place, name, call)
    return calls


def test_each_name_on_no_list_is_looked_for_once_and_not_without_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(names, "MOST_COMPARED", 3 * MANY)  # of three sessions
    data = small_season()
    wrong = [f"nobody's {number}" for number in range(2 * MANY)]
    data["cuts"] += [{"session": name, "diameter": 20} for name in [*wrong, *wrong]]
    calls = counted(names, "nearest", monkeypatch)
    found = checked(data)
    of_cuts = [name for name in calls if name in wrong]
    assert len(set(of_cuts)) == MANY
    assert len(of_cuts) == 2 * MANY  # by what does not go together, and by what has no output
    assert sum(one.count for one in found.problems if one.code == "table-unknown-reference") == 4 * MANY


def test_a_near_name_is_offered_for_as_long_as_it_is_looked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(names, "MOST_COMPARED", 5)
    near = names.Nearest(["Sessions", "Stacks"])
    texts = ["Sesions", "Stack", "Sesions", "Sessionz", "Stackz"]
    assert [near(text) for text in texts] == ["Sessions", "Stacks", "Sessions", "Sessions", None]


def test_upkeep_is_scanned_once_for_all_tools(monkeypatch: pytest.MonkeyPatch) -> None:
    data = small_season()
    data["tools"] += [{"tool": f"Axe {number}", "kind": "hand", "price": 30} for number in range(MANY)]
    data["upkeep"] += [{"tool": f"Axe {number}", "item": "Oil", "price": 1} for number in range(MANY)]
    season = checked(data)
    calls = counted(NotesRow, "name", monkeypatch)
    season_records(season)
    assert len(calls) < 20 * MANY


def test_a_cell_to_mend_in_a_row_of_upkeep_keeps_back_its_own_tool_and_without_a_tool_all() -> None:
    data = small_season()
    data["upkeep"] += [{"tool": "Bow saw", "item": "Blade", "price": "dear", "every": 30, "per": "hours"}]
    assert {tool.name: "money" in tool.broken for tool in records(data).tools} == {
        "Bow saw": True,
        "Chain saw": False,
    }
    del data["upkeep"][-1]["tool"]
    assert all("money" in tool.broken for tool in records(data).tools)


def test_stacks_of_the_woodshed_are_scanned_once_for_all_names(monkeypatch: pytest.MonkeyPatch) -> None:
    data = small_season()
    data["stacks"] = [
        {"session": "C", "height": 0.5, "length": 1.0, "stack": f"Stack {number}"} for number in range(MANY)
    ]
    calls = counted(stacks, "name_key", monkeypatch)
    found = tables(data).tables["stock"]
    assert len(found) == MANY
    assert len(calls) < 20 * MANY


def test_very_many_persons_are_not_told_apart() -> None:
    """Helpers' names are on no list that ends: two thousand of them took two minutes and more than a gibibyte."""

    def persons(count: int) -> tuple[int, ...]:
        sessions = tuple(
            Session(number, 0, 1.0, {Recorded.CLOCK_HOURS: 1.0}, day=number, hands={number: 1.0})
            for number in range(count)
        )
        return observed(TaskSessions(0, True, sessions), Recorded.CLOCK_HOURS).common.persons

    assert persons(60) == tuple(range(60))
    assert persons(61) == ()


def test_cells_of_pages_are_merged_without_going_through_all_others(monkeypatch: pytest.MonkeyPatch) -> None:
    results = results_of(demo("hill_farm_us"))
    calls = counted(CellRange, "__le__", monkeypatch)
    results_bytes(results, paper="letter")
    assert len(calls) < 2 * MANY


def test_no_week_is_filled_where_nobodys_day_is_as_long_as_a_session(monkeypatch: pytest.MonkeyPatch) -> None:
    block = calendar.Block(0, "saw", cords=2, worker_hours_per_cord=3, crews=(calendar.Crew(("Mara",), 3.0),))
    rules = calendar.Rules(week_min=600, people_n=1, weekdays=(5, 2, 0), shortest_min=15, step_min=5)
    calls = counted(calendar, "_week", monkeypatch)
    found = calendar.weeks([block], (), 0, 280, rules, calendar.Manner(600, False, False, False))
    assert found.left == {0: 2}
    assert calls == []


def test_a_plan_for_very_many_people_uses_fewer_halvings(monkeypatch: pytest.MonkeyPatch) -> None:
    data = demo("hill_farm_us")
    data["next_season"] |= {"volume_wanted": 100, "hours_per_week": 60, "longest_session": 20}
    calls = counted(planning, "_scaled", monkeypatch)
    assert "not every amount" not in words(tables(data).plan["ways"])
    assert len(calls) == planning.HALVINGS
    monkeypatch.setattr(planning, "FULL_WORK", 1)
    data["season"]["season_name"] = "The same for very many"
    ways = words(tables(data).plan["ways"])
    assert len(calls) == planning.HALVINGS + planning.LEAST_HALVINGS
    assert re.search(r"not every amount was tried\. Up to [0-9.]+ (cords|stacked m³) more may be possible", ways)


def test_of_very_many_pairs_those_with_the_chosen_method_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    results = results_of(demo("lake_cabin_metric"))

    def told() -> list[str]:
        page = reading_pages(results)[0]["Compare"]
        return [text for _, cells in page.rows() for _, text in cells]

    assert not [text for text in told() if "too many to read" in text]
    whole = len(told())
    monkeypatch.setattr(compare, "MOST_PAIRS", 0)
    assert len(told()) < whole
    bands = [text for text in told() if " against " in text]
    chosen = [row["choice"].rpartition(" ")[0] for row in results["verdicts"]]
    assert len(bands) == 3
    assert all(any(name in text for name in chosen) for text in bands)
    assert "4 pairs of methods are too many to read. Here are the 3" in " ".join(told())


def test_of_very_many_marks_each_person_s_lowest_and_highest_are_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    results = results_of(demo("hill_farm_us"))

    def drawn() -> tuple[int, bool]:
        pages, data = reading_pages(results)
        marks = sum(
            chart.startswith("Share of the heart-rate") and bool(point.label) for chart, _, point in data.rows
        )
        said = any(
            "It shows the lowest and the highest" in text for _, cells in pages["Body"].rows() for _, text in cells
        )
        return marks, said

    whole, is_said = drawn()
    assert not is_said
    monkeypatch.setattr(body, "MOST_MARKS", 3)
    fewer, is_said = drawn()
    assert is_said
    shares = [row for row in results["strain"] if row["reserve_share"]["value"] is not None]
    method_of = {row["session"]: row["method"] for row in results["sessions"]}
    kinds = {(row["person"], method_of[row["session"]]) for row in shares}
    assert whole - fewer == len(shares) - sum(
        min(2, sum((row["person"], method_of[row["session"]]) == kind for row in shares)) for kind in kinds
    )
    assert fewer < whole
