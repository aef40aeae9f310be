"""Shared results hold nothing private, and every figure of the methods."""

from __future__ import annotations

import json
import re
import zipfile
from io import BytesIO
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import pytest
from jsonschema import Draft202012Validator

from wood_xl.demo import demo_data, demo_names, demo_workbook
from wood_xl.io.results import results_bytes
from wood_xl.pipeline import score_file
from wood_xl.results.share import shared
from wood_xl.schema.model import results_definition


@pytest.mark.parametrize("name", demo_names())
def test_shared_results_hold_nothing_private(name: str, tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(demo_workbook(name))
    results = score_file(path, None).results
    assert results is not None
    given = shared(results)
    text = json.dumps(given, ensure_ascii=False)
    data = demo_data(name)
    for person in data["people"]:
        assert person["person"] in json.dumps(results)
        assert person["person"] not in text
    assert data["season"]["place"] not in text
    for session in data["sessions"]:
        assert session.get("note", "\0") not in text
    for table in ("efforts", "people", "strain", "shift_rest", "traces", "choice_swings"):
        assert results[table] or table in ("shift_rest", "traces")
        assert given[table] == []
    assert "heart-rate equation" in json.dumps(results["how_sure"])
    assert "heart-rate equation" not in json.dumps(given["how_sure"])
    assert [row["common_factors"] for row in given["how_sure"] if row["figure"] == "Cash"] == [
        row["common_factors"] for row in results["how_sure"] if row["figure"] == "Cash"
    ]
    assert given["inputs"]["people"] == given["inputs"]["heart_trace"] == []
    assert not [row for row in given["inputs"]["sessions"] if "mean_heart_rate" in row]
    rows = [*given["inputs"]["sessions"], *given["inputs"]["helpers"]]
    assert all(row.get("person", "worker ").startswith("worker ") for row in rows)
    for table in ("methods", "money_per_cord", "emissions"):
        assert given[table] == results[table]
    for mine, theirs in zip(results["rates_per_cord"], given["rates_per_cord"], strict=True):
        for key in ("worker_hours", "cash", "co2e"):
            assert theirs[key] == mine[key]
        for key in ("kcal_net", "kcal_gross"):  # the basis tells whose heart was measured
            assert theirs[key] == {**mine[key], "basis": ""}
    assert list(Draft202012Validator(results_definition().schema).iter_errors(given)) == []
    assert results["provenance"]["left_out"] == "nothing"


@pytest.mark.parametrize("name", demo_names())
def test_no_part_of_a_shared_file_holds_anything_private(name: str, tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(demo_workbook(name))
    results = score_file(path, None).results
    assert results is not None
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


def test_a_season_named_after_its_place_does_not_tell_it(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(demo_workbook(demo_names()[0]))
    results = score_file(path, None).results
    assert results is not None
    place = results["season"]["place"]
    for part in (results["season"], results["inputs"]["season"]):
        part["season_name"] = f"Spring at {place.upper()}, wet"
    given = shared(results)
    assert given["season"]["season_name"] == given["inputs"]["season"]["season_name"] == "Spring at the place, wet"


def holds(part: bytes, sought: bytes) -> bool:
    """Whether a part holds a text as a whole: a short name may stand within a word."""
    return re.search(rb"(?<!\w)" + re.escape(sought) + rb"(?!\w)", part) is not None


def test_problems_that_tell_of_bodies_keep_only_their_title(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(demo_workbook(demo_names()[0]))
    results = score_file(path, None).results
    assert results is not None
    private = {
        "level": "FIX", "sheet": "People", "cell": "D5", "column": "Body mass [lb]", "count": 1,
        "text": "Found 900 lb. Expected at most 551 lb.", "mend": "Check it.", "code": "cell-out-of-range",
    }  # fmt: skip
    given = shared({**results, "problems": [*results["problems"], private]})
    assert given["problems"][-1]["text"] == "A value that cannot be."
    assert "900" not in json.dumps(given["problems"])
