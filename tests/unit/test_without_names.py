"""Nobody is named in a shared copy, and no word of the program is taken for a name."""

from __future__ import annotations

import json
import unicodedata
from dataclasses import asdict
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from builders import Data, metric_workbook, scored, small_season
from few import examples, few, together
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from wood_xl.notes.document import worker_numbers
from wood_xl.pipeline import score_file
from wood_xl.report.book import results_bytes
from wood_xl.results.share import shared
from wood_xl.results.verify_study import verify_file
from wood_xl.results.without_names import renamer, without_names, without_place
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.scoring import Order, Places, score_order

NOBODY = ("Zebulon", "Quirina")
TOOLS = ("Bow saw", "Chain saw")
HASHES = ("input_sha256", "season_sha256", "figures_sha256")

Row = dict[str, Any]


def season_of(first: str, second: str, *, owned: bool = True) -> Data:
    """A season of two people, the first of whom owns the chain saw and the lot."""
    data = small_season()
    data["people"].append({"person": "Bo"})
    people = {"Ada": first, "Bo": second}
    owner = f"{first}'s " if owned else ""
    texts = {
        **people,
        "Chain saw": f"{owner}chain saw",
        "By chain saw": f"By {owner}chain saw",
        "North": f"{owner}lot",
    }
    texts |= {"A": "dawn", "B": "noon", "C": "dusk"}
    for sheet in ("people", "tools", "upkeep", "methods", "sessions", "helpers", "cuts", "stacks"):
        data[sheet] = [{key: texts.get(value, value) for key, value in row.items()} for row in data[sheet]]
    data["wood"] = [{"species": "red oak, northern"}]
    return data


def results_of(data: Data, folder: Path) -> Row:
    return scored(data, folder)


@pytest.fixture(scope="module")
def of_nobody(tmp_path_factory: pytest.TempPathFactory) -> Row:
    return shared(results_of(season_of(*NOBODY), tmp_path_factory.mktemp("nobody")))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("first", "second"),
    few([("A", "B"), ("Will", "Buck"), ("Hand", "Yes"), ("May", "Gas"), ("Oak", "No"), ("\u0130brahim", "ibrahim"),
     ("Person 2", "Person 1"), ("1", "N2O")]),
)  # fmt: skip
def test_a_copy_is_the_same_whatever_people_are_called(
    first: str, second: str, of_nobody: Row, tmp_path: Path
) -> None:
    given = shared(results_of(season_of(first, second), tmp_path))
    same = {key: part for key, part in of_nobody.items() if key not in ("problems", "provenance")}
    assert {key: given[key] for key in same} == same
    assert [row["code"] for row in given["problems"]] == [row["code"] for row in of_nobody["problems"]]
    hashes = {key: given["provenance"][key] for key in HASHES}
    assert given["provenance"] == of_nobody["provenance"] | hashes
    path = tmp_path / "season-results.xlsx"
    path.write_bytes(results_bytes(given, paper="a4"))
    found = verify_file(path)
    assert (found.differences, found.seal_holds) == ((), True)


def test_such_a_copy_names_nobody(of_nobody: Row) -> None:
    text = json.dumps(of_nobody, ensure_ascii=False)
    assert not [name for name in NOBODY if name.casefold() in text.casefold()]
    assert {row["tool"] for row in of_nobody["inputs"]["tools"]} == {"Bow saw", "Person 1's chain saw"}
    assert "Person 1's chain saw" in " ".join(row["sentence"] for row in of_nobody["verdicts"])


def test_figures_are_those_of_the_whole_results(tmp_path: Path) -> None:
    results = results_of(season_of("May", "Buck", owned=False), tmp_path)
    given = shared(results)
    for table in (
        "rates_per_cord",
        "comparisons",
        "how_sure",
        "money_per_cord",
        "emissions_per_cord",
    ):
        assert results[table]
        for mine, theirs in zip(results[table], given[table], strict=True):
            figures = [key for key, cell in mine.items() if isinstance(cell, dict)]
            assert {k: theirs[k] | {"basis": ""} for k in figures} == {k: mine[k] | {"basis": ""} for k in figures}
    assert "energy by heart rate for May" in " ".join(row["common_factors"] for row in results["how_sure"])


@pytest.mark.slow
def test_a_problem_that_names_somebody_keeps_only_its_title(tmp_path: Path) -> None:
    data = season_of(*NOBODY)
    data["helpers"].append({"session": "dusk", "person": "Quirinia", "time": 5})
    results = results_of(data, tmp_path)
    order = Order(tmp_path / "season.xlsx", Places(tmp_path / "season-results.xlsx"), is_shared=True)
    outcome = score_order(order)  # the report is for the person alone, the rest goes on into a summary
    assert NOBODY[1] in " ".join(outcome.report)
    assert NOBODY[1] not in json.dumps(asdict(outcome.without_lines()))
    naming = [row for row in results["problems"] if any(name in row["text"] for name in NOBODY)]
    assert {row["level"] for row in naming} >= {"FIX", "NOTE"}
    given = shared(results)["problems"]
    assert [(row["level"], row["cell"]) for row in given] == [
        (row["level"], row["cell"]) for row in results["problems"]
    ]
    assert not [row for row in given if any(name in row["text"] + row["mend"] for name in NOBODY)]


def renamed(text: str, *names: str) -> str:
    return renamer({"sessions": [{"session": "S", "person": name} for name in names]})(text)


@together(
    ("text", "expected"),
    [("ADA's saw", "Person 1's saw"), ("saw_ada", "saw_Person 1"), ("Ada2", "Person 1 2"), ("Adam", "Adam"),
     ("bo berg and Ada", "Person 2 and Person 1"), ("Bo  Berg", "Person 2"), ("Bo", "Bo"), ("L10", "L10")],
)  # fmt: skip
def test_names_give_way_as_words(text: str, expected: str) -> None:
    assert renamed(text, "Ada", "Bo Berg", "1") == expected


LETTERS = "aiI\u0131\u0130s\u017f\u00dfe\u0301\u00c9\u00e92\u00b2\u2167 ._-"


@settings(max_examples=examples(2_000), deadline=None)
@given(st.lists(st.text(LETTERS, min_size=1, max_size=5), min_size=1, max_size=6), st.text(LETTERS, max_size=20))
def test_a_name_that_is_not_sought_is_not_there(names: list[str], text: str) -> None:
    with patch("wood_xl.results.without_names._parts", return_value=set()):  # every name is sought in every text
        expected = renamed(text, *names)
    assert renamed(text, *names) == expected


def test_letters_may_be_composed_in_any_way() -> None:
    name = "Jos\u00e9"
    assert renamed(unicodedata.normalize("NFD", f"{name}'s saw"), name) == "Person 1's saw"
    assert renamed("GROSS' saw", "Gro\u00df") == "Person 1' saw"
    assert renamed("ibrahim's lot", "\u0130brahim") == "Person 1's lot"


def test_a_tree_and_what_a_list_offers_keep_their_names() -> None:
    notes = {"people": [{"person": "Hand"}, {"person": "White"}], "tools": [{"tool": "hand axe", "kind": "hand"}],
             "wood": [{"species": "white oak"}, {"species": "white hand"}]}  # fmt: skip
    found = without_names(notes)
    assert found["wood"] == [{"species": "white oak"}, {"species": "Person 2 Person 1"}]
    assert found["tools"] == [{"tool": "Person 1 axe", "kind": "hand"}]


def test_nobody_gets_a_name_that_is_taken() -> None:
    notes = {"sessions": [{"session": "S1", "person": "Ada", "lot": "Person 1's pile"}], "people": [{"person": "Bo"}]}
    found = without_names(notes)
    assert found["sessions"] == [{"session": "S1", "person": "Person 2", "lot": "Person 1's pile"}]
    assert found["people"] == [{"person": "Person 3"}]
    assert without_names(found) == found


@together(
    ("text", "expected"),
    [("Anna's saw", "Person 1's saw"), ("berg farm", "a person farm"), ("by Lise Berg", "by Person 2"),
     ("Dr. Lise", "Dr. Person 2"), ("Annas", "Annas")],
)  # fmt: skip
def test_each_word_of_a_name_gives_way(text: str, expected: str) -> None:
    assert renamed(text, "Anna Berg", "Lise Berg") == expected


def test_each_part_of_a_double_name_gives_way() -> None:
    assert renamed("Zwick hurt a thumb", "Bo Hagedorn-Zwick") == "Person 1 hurt a thumb"


def test_texts_that_differ_stay_different() -> None:
    notes = {"people": [{"person": "Anna Berg"}], "tools": [{"tool": "Anna's saw"}, {"tool": "Berg's saw"}],
             "methods": [{"method": "M", "tool_1": "Berg's saw"}, {"method": "N", "tool_1": "anna's saw"}],
             }  # fmt: skip
    found = without_names(notes)
    assert found["tools"] == [{"tool": "Person 1's saw"}, {"tool": "Person 1's saw (2)"}]
    assert [row["tool_1"] for row in found["methods"]] == ["Person 1's saw (2)", "Person 1's saw"]
    assert without_names(found) == found


def test_who_stands_in_the_heart_trace_alone_has_a_number() -> None:
    notes = {"sessions": [{"session": "S1", "person": "Ada"}], "heart_trace": [{"person": "Adda"}, {"person": "ada"}]}
    found = without_names(notes)
    assert found["heart_trace"] == [{"person": "Person 2"}, {"person": "Person 1"}]


@pytest.mark.parametrize("names", ["b a d e c", "a b c d e", "worker-10 worker-9 worker-1 and A"])
def test_numbers_go_by_first_use_and_do_not_hang_on_names(names: str) -> None:
    first, second, third, fourth, last = names.split()
    sessions = [{"session": "S1", "person": first}, {"session": "S2", "person": second}]
    helpers = [{"session": "S2", "person": third}, {"session": "S2", "person": fourth}]
    people = [{"person": name} for name in (last, second, f"{first} ")]
    found = worker_numbers({"sessions": sessions, "helpers": helpers, "people": people})
    assert list(found.values()) == [1, 2, 3, 4, 5]
    assert list(found) == [name.casefold() for name in (first, second, third, fourth, last)]


def test_the_season_is_not_called_after_its_place() -> None:
    season = {"season_name": "Ridge lot, autumn", "place": "ridge lot"}
    assert without_place({"season": season})["season"]["season_name"] == "the place, autumn"
    assert without_place({"season": {"season_name": "Ridge"}}) == {"season": {"season_name": "Ridge"}}


def test_each_word_of_the_place_gives_way_wherever_somebody_wrote_it() -> None:
    notes = {"season": {"season_name": "Trial at zorkvalley", "place": "Quirin Ridge, Zorkvalley"},
             "sessions": [{"session": "quirin ridge 1", "lot": "the oak of Zorkvalley"}, {"session": "Quirin 1"}],
             "wood": [{"species": "white oak"}]}  # fmt: skip
    found = without_place(notes)
    assert found["season"]["season_name"] == "Trial at the place"
    assert found["sessions"] == [
        {"session": "the place 1", "lot": "the oak of the place"}, {"session": "the place 1 (2)"},
    ]  # fmt: skip
    assert found["wood"] == notes["wood"]


def test_added_sheets_and_columns_are_not_named_in_a_copy(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(metric_workbook(small_season()))
    book = load_workbook(path)
    book.create_sheet("Zorkvalley notes")["A1"] = "x"
    sheet = book["Stacks"]
    sheet.cell(HEADER_ROW, sheet.max_column + 1).value = "Zork says"
    book.save(path)
    results = score_file(path, None).results
    assert results is not None
    assert {"header-unknown-sheet", "header-unknown-column"} <= {row["code"] for row in results["problems"]}
    assert "zork" in json.dumps(results).casefold()
    assert "zork" not in json.dumps(shared(results)).casefold()
