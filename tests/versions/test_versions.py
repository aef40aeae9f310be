"""A workbook made from an older template still scores: one example for each version, as it was written then."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from wood_xl.io.reader import read_workbook
from wood_xl.notes.notes import typed_notes, version_2
from wood_xl.notes.problem import Level
from wood_xl.notes.raw import Kind, RawCell
from wood_xl.notes.season import check_season
from wood_xl.notes.sheets import sheets_and_faults
from wood_xl.pipeline import score_file
from wood_xl.schema.model import definition_of, schema_document, season_definition

EXAMPLES = sorted(Path(__file__).parent.glob("*.xlsx"))
WORST = (Level.STOP, Level.FIX)


def noted(example: Path) -> dict[str, Any]:
    """The document that the workbook gave when it was new, by the ids and choices of today."""
    document: dict[str, Any] = json.loads(example.with_suffix(".json").read_text(encoding="utf-8"))
    del document["version"]
    return version_2(document)


def kept(now: Any, then: Any) -> Any:
    """Of a document as read today, the part that there was then."""
    if isinstance(then, dict):
        return {key: kept(now.get(key), value) for key, value in then.items()}
    if isinstance(then, list):
        return [kept(new, old) for new, old in zip(now, then, strict=True)]
    return now


def test_each_version_that_is_read_has_its_example() -> None:
    versions = season_definition().schema["properties"]["version"]["enum"]
    assert versions == [example.stem for example in EXAMPLES], "run: python tests/versions/write_example.py"


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_example_still_scores(example: Path) -> None:
    book = read_workbook(example)
    assert book.template_version == example.stem
    scored = score_file(example, None)
    assert [found.line() for found in scored.problems if found.level in WORST] == []
    codes = [found.code for found in scored.problems]
    assert codes.count("plan-weights-retired") == (example.stem < "2.0")  # the versions that had them
    assert "item-unknown" not in codes
    assert scored.results is not None
    assert kept(check_season(book).document.data, noted(example)) == noted(example)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_what_a_version_had_not_says_since_which_it_is_there(example: Path) -> None:
    """Else a column of somebody's own that stands in its place in an older workbook is taken for it."""
    parts = noted(example).items()
    there = {f"{sheet}.{key}" for sheet, rows in parts for key in (rows if isinstance(rows, dict) else rows[0])}
    columns = (column for sheet in season_definition().sheets for column in sheet.asked)
    missing = [one.ref for one in columns if not one.is_newer_than(example.stem) and one.ref not in there]
    assert missing == [], f"x-since is to be later than {example.stem}; add a version if that is the last"


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_example_fills_every_sheet(example: Path) -> None:
    then = noted(example)
    assert all(then.values())
    assert sum(len(rows[0]) for rows in then.values() if isinstance(rows, list)) > 60


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_a_column_that_got_another_name_is_found_though_its_neighbours_are_others_now(example: Path) -> None:
    book = read_workbook(example)
    (sessions,) = (sheet for sheet in book.sheets if sheet.title == "Sessions")
    title = season_definition().column("sessions.lot").title
    (place,) = (at for at, cell in sessions.cells.items() if cell.value in ("Lot", title))
    sessions.cells[place] = RawCell(Kind.TEXT, "Heap")
    assert [one.code for one in check_season(book).problems if one.level in WORST] == ["header-renamed"]


def renamed(**titles: str) -> dict[str, Any]:
    """The schema with other titles, the former ones noted; keys are ``sheet`` or ``sheet__column``."""
    document = schema_document("season.schema.json")
    for key, title in titles.items():
        sheet_id, _, column_id = key.partition("__")
        part = document["properties"][sheet_id]
        if column_id:
            part = part.get("items", part)["properties"][column_id]
        part["x-formerly"] = [part["title"]]
        part["title"] = title
    return document


def test_sheet_column_and_item_that_got_other_names_are_still_read() -> None:
    document = renamed(
        season="The season", season__place="Wood lot", cuts="Sawn ends", cuts__diameter="Width of the log"
    )
    Draft202012Validator(schema_document("keywords.schema.json")).validate(document)
    definition = definition_of(document)
    for example in EXAMPLES:
        book = read_workbook(example)
        sheets, problems = sheets_and_faults(book, definition)
        gathered = typed_notes(sheets, definition)
        assert [found.line() for found in [*problems, *gathered.problems] if found.level in WORST] == []
        assert kept(gathered.document.data, noted(example)) == noted(example)


def test_name_that_is_not_noted_says_what_to_do() -> None:
    document = renamed(cuts__diameter="Width of the log")
    del document["properties"]["cuts"]["items"]["properties"]["diameter"]["x-formerly"]
    for example in EXAMPLES:
        problems = sheets_and_faults(read_workbook(example), definition_of(document))[1]
        (found,) = [one for one in problems if one.level in WORST]
        assert found.code == "header-renamed"
        assert "Width of the log" in found.text
        assert found.mend
