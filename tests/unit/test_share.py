"""Shared results hold nothing private, and every figure of the methods."""

from __future__ import annotations

import copy
import json
import re
import zipfile
from io import BytesIO
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import pytest
from builders import checked, demo_results, demo_shared, reading_pages, results_of, small_season, trial_season
from few import few
from jsonschema import Draft202012Validator

from wood_xl.demo import demo_data, demo_names
from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.notes.problem import Level, catalogue
from wood_xl.pipeline import score_file
from wood_xl.report.book import results_bytes
from wood_xl.results.share import shared
from wood_xl.results.verify_study import verify_file
from wood_xl.results.without_names import PEOPLE
from wood_xl.schema.model import results_definition, season_definition


@pytest.mark.parametrize("name", few(demo_names(), "hill_farm_us"))
def test_shared_results_hold_nothing_private(name: str, tmp_path: Path) -> None:
    results, given = demo_results(name), demo_shared(name)
    text = json.dumps(given, ensure_ascii=False)
    data = demo_data(name)
    for person in data["people"]:
        assert person["person"] in json.dumps(results)
        assert person["person"] not in text
    assert data["season"]["place"] not in text
    for session in data["sessions"]:
        assert session.get("note", "\0") not in text
    for table in ("efforts", "people", "strain"):
        assert results[table]
        assert given[table] == []
    for table in ("shift_rest", "traces"):
        assert not [row for row in given["figures"] if row["id"].startswith(f"{table}.")]
    assert "energy by heart rate" in json.dumps(results["how_sure"])
    assert "energy by heart rate" not in json.dumps(given["how_sure"])
    assert "against other bases" not in json.dumps(given["how_sure"])
    assert [row["common_factors"] for row in given["how_sure"] if row["figure"] == "Cash"] == [
        row["common_factors"] for row in results["how_sure"] if row["figure"] == "Cash"
    ]
    assert given["inputs"]["people"] == given["inputs"]["heart_trace"] == []
    assert not [row for row in given["inputs"]["sessions"] if "mean_heart_rate" in row]
    rows = [*given["inputs"]["sessions"], *given["inputs"]["helpers"]]
    assert all(row.get("person", "Person ").startswith("Person ") for row in rows)
    for table in ("methods", "money_per_cord", "emissions_per_cord"):
        assert given[table] == results[table]
    for mine, theirs in zip(results["rates_per_cord"], given["rates_per_cord"], strict=True):
        for key in ("worker_hours", "cash", "co2e"):
            assert theirs[key] == mine[key]
        for key in ("kcal_net", "kcal_gross"):  # the basis tells whose heart was measured
            assert theirs[key] == {**mine[key], "basis": ""}
    assert list(Draft202012Validator(results_definition().schema).iter_errors(given)) == []
    assert results["provenance"]["left_out"] == "nothing"


def test_what_moves_a_flip_is_shared_unless_effort_has_a_value() -> None:
    """Then whose heart was measured, and how well, is among what moves it."""
    data = small_season()
    found = []
    for worth in ({}, {"value_of_effort": 5}):
        data["season"].update(worth)
        results = results_of(data)
        found.append((results["flip_moves"], shared(results)["flip_moves"]))
    (plain, given), (with_effort, without) = found
    assert plain
    assert given == plain
    assert with_effort
    assert without == []


@pytest.mark.slow
@pytest.mark.parametrize("name", few(demo_names(), "hill_farm_us"))
def test_no_part_of_a_shared_file_holds_anything_private(name: str, tmp_path: Path) -> None:
    results = demo_results(name)
    data = demo_data(name)
    private = [person["person"] for person in data["people"]] + [data["season"]["place"]]
    private += [session["note"] for session in data["sessions"] if "note" in session]

    def found_in(document: dict[str, Any]) -> set[str]:
        with zipfile.ZipFile(BytesIO(results_bytes(document, paper="a4"))) as archive:
            parts = [archive.read(part) for part in archive.namelist()]
        assert len(parts) > 20
        texts = {text: escape(text).encode() for text in private}
        return {text for text, sought in texts.items() if any(holds(part, sought) for part in parts)}

    assert found_in(results) == set(private)
    given = shared(results)
    assert found_in(given) == set()
    assert results["plan"]["sessions"]
    assert results["plan"]["left_out"]
    assert given["plan"]["sessions"] == given["plan"]["left_out"] == given["plan_left_out"] == []
    assert not [key for row in given["inputs"]["people"] for key in row if key in ("may_use", "doctor_word")]


@pytest.mark.slow
def test_a_season_named_after_its_place_does_not_tell_it(tmp_path: Path) -> None:
    results = copy.deepcopy(demo_results(demo_names()[0]))
    place = results["season"]["place"]
    for part in (results["season"], results["inputs"]["season"]):
        part["season_name"] = f"Spring at {place.upper()}, wet"
    given = shared(results)
    assert given["season"]["season_name"] == given["inputs"]["season"]["season_name"] == "Spring at the place, wet"


def holds(part: bytes, sought: bytes) -> bool:
    """Whether a part holds a text as a whole: a short name may stand within a word."""
    return re.search(rb"(?<!\w)" + re.escape(sought) + rb"(?!\w)", part) is not None


def test_problems_that_tell_of_bodies_keep_only_their_title() -> None:
    told = {"level": "FIX", "sheet": "S", "cell": "D5", "column": "C", "count": 1, "text": "Found 900.", "mend": "M."}
    private = ["people.mass", "people", "sessions.note", "helpers.mean_heart_rate", "heart_trace.elapsed"]
    others = ["stacks.height", "sessions.elapsed_time", "sessions", ""]  # People has a column of that title too
    given = shared_problems([{**told, "code": "cell-out-of-range", "about": about} for about in [*private, *others]])
    assert [row["text"] for row in given] == ["A value that cannot be."] * len(private) + ["Found 900."] * len(others)
    assert [row["mend"] for row in given] == [""] * len(private) + ["M."] * len(others)


def test_words_that_could_not_be_read_are_not_shared() -> None:
    data = small_season()
    data["tools"][0]["kind"] = "Grandpa Olaf's saw"
    data["sessions"][0]["elapsed_time"] = "until Olaf came"
    results = results_of(data)
    assert "Olaf" in str(results["problems"])
    given = shared(results)
    assert "Olaf" not in str(given["problems"])
    told = {(row["sheet"], row["column"], row["cell"], row["text"]) for row in given["problems"]}
    assert ("Tools", "Kind", "B4", "Not one of the list.") in told


@pytest.mark.parametrize("code", ["plan-method-left-out", "plan-tool-over-limit", "header-no-title"])
def test_problems_of_the_plan_and_of_remarks_keep_only_their_title(code: str) -> None:
    told = {"level": "LOOK", "cell": "D5", "column": "C", "count": 1, "text": "Felt ill.", "mend": "M."}
    told |= {"sheet": "Sessions", "code": code, "about": "sessions"}
    (given,) = shared_problems([told])
    assert given == {**told, "text": catalogue()[code]["title"] + ".", "mend": ""}


def test_a_problem_keeps_its_sheet_only_where_it_has_a_title_of_the_template() -> None:
    told = {"level": "FIX", "cell": "D5", "column": "C", "count": 1, "text": "T.", "mend": "M."}
    told |= {"code": "cell-out-of-range", "about": "stacks.height"}
    titles = [title for sheet in season_definition().sheets for title in sheet.titles]
    given = shared_problems([{**told, "sheet": title} for title in [*titles, "Ann's stacks", ""]])
    assert [row["sheet"] for row in given] == [*titles, "", ""]


def shared_problems(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    results = results_of(small_season())
    before = shared(results)["problems"]
    found: list[dict[str, Any]] = shared({**results, "problems": [*results["problems"], *rows]})["problems"]
    assert found[: len(before)] == before
    return found[len(before) :]


@pytest.mark.parametrize("ref", ["people.mass", "sessions.mean_heart_rate", "stacks.height", "season.place"])
def test_a_problem_says_which_column_it_is_about(ref: str) -> None:
    sheet_id, _, column_id = ref.partition(".")
    data = small_season()
    rows = data[sheet_id]
    (rows if isinstance(rows, dict) else rows[0])[column_id] = "x" * 40_000 if ref == "season.place" else 1e6
    found = [one for one in checked(data).problems if one.level is Level.FIX]
    assert found
    assert {one.place.about for one in found} == {ref}


def test_tables_of_persons_are_private_or_number_them() -> None:
    tables = [sheet for sheet in results_definition().sheets if any(c.names == PEOPLE for c in sheet.columns)]
    assert {sheet.id for sheet in tables if not sheet.private} == {"exposures"}
    assert {sheet.id for sheet in season_definition().sheets if sheet.private} == {"people", "heart_trace"}


def test_figures_of_effort_rest_on_private_columns() -> None:
    topics = {
        column.topic: any(map(season_definition().is_private, column.needs))
        for column in results_definition().sheet("rates_per_cord").columns
        if column.type == "figure"
    }
    assert topics == {"": False, "money": False, "air": False, "body": True}


@pytest.mark.slow
def test_a_misspelt_person_in_the_heart_trace_takes_tables_away_and_no_more(tmp_path: Path) -> None:
    """Without bodies there are fewer figures than in the copy, and each still says how it was come by."""
    data = trial_season()
    data["heart_trace"] = [
        {"clock": f"9:{minute:02}", "session": "Bow 1", "person": "Adda", "heart_rate": 110} for minute in range(5, 9)
    ]
    path = tmp_path / "season.xlsx"
    path.write_bytes(packed(filled_workbook(data, system="metric", currency="NOK", paper="a4")))
    results = score_file(path, None).results
    assert results is not None
    assert results["waiting"]
    given = shared(results)
    assert given["waiting"] == []
    path.write_bytes(results_bytes(given, paper="a4"))
    assert verify_file(path).differences == ()


@pytest.mark.slow
def test_why_a_session_is_left_out_is_not_shared(tmp_path: Path) -> None:
    """It may tell of an illness; that the session does not count stays, and the copy still verifies."""
    data = small_season()
    data["sessions"][0]["leave_out"] = "Knee swollen after surgery"
    data["sessions"][1]["leave_out"] = "no"
    results = results_of(data)
    assert "Knee swollen" in str(results["sessions"])
    given = shared(results)
    assert "surgery" not in str(given)
    assert given["sessions"][0]["state"] == "left out: a reason that is not shared"
    assert [row["state"] for row in given["sessions"][1:]] == [row["state"] for row in results["sessions"][1:]]
    path = tmp_path / "shared.xlsx"
    path.write_bytes(results_bytes(given, paper="a4"))
    assert verify_file(path).differences == ()
    (too_long,) = shared_problems(
        [{"level": "FIX", "sheet": "Sessions", "cell": "Z5", "column": "Leave out, because", "count": 1,
          "code": "cell-out-of-range", "about": "sessions.leave_out", "text": "Found swollen.", "mend": "M."}]
    )  # fmt: skip
    assert "swollen" not in too_long["text"]


@pytest.mark.parametrize(
    ("about", "is_told"), [("people", False), ("people.mass", False), ("heart_trace", False), ("cuts", True)]
)
def test_sheets_of_bodies_are_private_with_all_their_columns(about: str, is_told: bool) -> None:
    assert season_definition().is_private(about) is not is_told


@pytest.mark.parametrize("name", demo_names())
def test_no_sentence_of_a_shared_copy_lacks_its_facts(name: str) -> None:
    pages, _ = reading_pages(demo_shared(name))
    texts = [cell.text for page in pages.values() for lines in page.pages() for line in lines for cell in line.cells]
    assert [text for text in texts if re.search(r": \.|\(\)|: ,", text)] == []
