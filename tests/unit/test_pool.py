"""Several seasons as one study: what is matched, what is said, and what never goes on."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from builders import Data, small_season
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from openpyxl import load_workbook

from wood_xl.calc.figure import Figure
from wood_xl.cli import main
from wood_xl.demo import demo_data, demo_names, demo_workbook
from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.io.pool_workbook import pool_bytes
from wood_xl.io.reader import read_workbook
from wood_xl.io.results import results_bytes
from wood_xl.io.seal import seal_of, stored_seal
from wood_xl.pipeline import score_file
from wood_xl.pool import pool_files
from wood_xl.schema.model import pool_definition
from wood_xl.share import shared
from wood_xl.study.pooling import MethodOfSeason, SeasonOfPool, pooled_figures, pooled_rows, trend_rows

Row = dict[str, Any]


def write(path: Path, data: Data) -> Path:
    path.write_bytes(packed(filled_workbook(data, system="metric", currency=data["season"]["currency"], paper="a4")))
    return path


@pytest.fixture
def seasons(tmp_path: Path) -> list[Path]:
    """Four years of one household, each quicker than the last."""
    paths = []
    for number in range(4):
        data = small_season()
        for session in data["sessions"]:
            session["elapsed_time"] = round(session["elapsed_time"] * 0.9**number)
            session["date"] = session["date"].replace("2026", str(2023 + number))
        paths.append(write(tmp_path / f"year{number}.xlsx", data))
    return paths


def rows(document: Row, table: str, **about: str) -> list[Row]:
    return [row for row in document[table] if all(row[key] == text for key, text in about.items())]


def test_document_follows_its_definition(seasons: list[Path]) -> None:
    found = pool_files(seasons, system=None, one_household=True)
    assert found.document is not None
    assert list(Draft202012Validator(pool_definition().schema).iter_errors(found.document)) == []
    (hand,) = rows(found.document, "pooled", task="buck", kind="hand", figure="Worker hours")
    assert hand["seasons_n"] == 4
    values = [
        row["value"]["value"] for row in rows(found.document, "contributions", kind="hand", figure="Worker hours")
    ]
    assert min(values) < hand["value"]["value"] < max(values)
    assert hand["value"]["low"] < hand["value"]["value"] < hand["value"]["high"]
    assert hand["next_season"]["low"] < hand["value"]["low"]
    left_out = rows(found.document, "without", kind="hand", figure="Worker hours")
    assert [row["season"] for row in left_out] == [f"season {n}" for n in range(1, 5)]
    assert left_out[0]["change"]["value"] < 0 < left_out[3]["change"]["value"]
    weights = [
        row["weight"]["value"] for row in rows(found.document, "contributions", kind="hand", figure="Worker hours")
    ]
    assert math.isclose(sum(weights), 100)


def test_trend_is_shown_for_one_household_only(seasons: list[Path]) -> None:
    alone = pool_files(seasons, system=None, one_household=True).document
    assert alone is not None
    (trend,) = rows(alone, "trends", kind="hand", figure="Worker hours")
    assert trend["years"] == "2023 to 2026"
    assert -12 < trend["per_year"]["value"] < -8
    assert trend["words"] == "less from year to year"
    strangers = pool_files(seasons, system=None, one_household=False).document
    assert strangers is not None
    assert strangers["trends"] == []


def test_methods_match_by_task_and_kind_of_tool_whatever_their_names(tmp_path: Path) -> None:
    data = small_season()
    data["methods"][0]["method"] = "with the old frame saw"
    for session in data["sessions"]:
        session["method"] = session["method"].replace("By bow saw", "with the old frame saw")
    paths = [write(tmp_path / "a.xlsx", small_season()), write(tmp_path / "b.xlsx", data)]
    document = pool_files(paths, system=None, one_household=False).document
    assert document is not None
    assert {row["kind"]: row["seasons_n"] for row in rows(document, "pooled", figure="Worker hours")} == {
        "hand": 2,
        "gasoline two-stroke": 2,
    }


def test_shared_results_are_pooled_without_effort(tmp_path: Path) -> None:
    path = write(tmp_path / "a.xlsx", small_season())
    results = score_file(path, None).results
    assert results is not None
    whole, given = tmp_path / "whole-results.xlsx", tmp_path / "given-results.xlsx"
    whole.write_bytes(results_bytes(results, paper="a4"))
    given.write_bytes(results_bytes(shared(results), paper="a4"))
    from_notes = pool_files([path, path], system=None, one_household=False).document
    from_results = pool_files([whole, path], system=None, one_household=False).document
    assert from_notes == from_results
    document = pool_files([given], system=None, one_household=False).document
    assert document is not None
    assert rows(document, "pooled", figure="Effort, net of rest") == []
    assert rows(document, "pooled", figure="Worker hours")
    assert "without body data" in document["seasons"][0]["state"]


def test_nobody_is_named_and_no_body_is_told(tmp_path: Path) -> None:
    paths = []
    for name in demo_names():
        paths.append(tmp_path / f"{name}.xlsx")
        paths[-1].write_bytes(demo_workbook(name))
    document = pool_files(paths, system="metric", one_household=False).document
    assert document is not None
    text = json.dumps(document, ensure_ascii=False)
    for name in demo_names():
        data = demo_data(name)
        assert not [person["person"] for person in data["people"] if person["person"] in text]
        assert data["season"]["season_name"] not in text
        assert data["season"].get("place", "\0") not in text
    assert document["provenance"]["currency"] == "USD"
    assert {row["season"] for row in rows(document, "contributions", figure="Cash")} <= {"season 1"}


def test_order_of_units_changes_no_figure(seasons: list[Path]) -> None:
    us = pool_files(seasons, system="us", one_household=False).document
    metric = pool_files(seasons, system="metric", one_household=False).document
    assert us is not None
    assert metric is not None
    pairs = zip(us["pooled"], metric["pooled"], strict=True)
    assert all(
        math.isclose(
            a["value"]["value"], b["value"]["value"] * (2.2046226218 if "CO2e" in a["figure"] else 1), rel_tol=1e-9
        )
        for a, b in pairs
    )


def test_workbook_is_sealed_and_the_same_each_time(seasons: list[Path], tmp_path: Path) -> None:
    document = pool_files(seasons, system=None, one_household=True).document
    assert document is not None
    data = pool_bytes(document, paper="a4")
    assert data == pool_bytes(document, paper="a4")
    path = tmp_path / "pooled.xlsx"
    path.write_bytes(data)
    assert load_workbook(path).sheetnames == ["Pooled", "Seasons", "Left out in turn", "Pictures", "Provenance"]
    book = read_workbook(path)
    assert stored_seal(book) == seal_of(book)


def test_command_goes_on_past_a_bad_file(seasons: list[Path], tmp_path: Path) -> None:
    bad = tmp_path / "bad.xlsx"
    bad.write_bytes(b"PK")
    out = tmp_path / "study.xlsx"
    done = CliRunner().invoke(main, ["pool", *map(str, seasons), str(bad), "--out", str(out)])
    assert done.exit_code == 1
    assert "season 4: " in done.output
    assert "bad.xlsx" in done.output
    assert out.exists()
    alone = CliRunner().invoke(main, ["pool", str(bad), "--out", str(tmp_path / "none.xlsx")])
    assert alone.exit_code == 3
    assert not (tmp_path / "none.xlsx").exists()


def season(name: str, *methods: MethodOfSeason, currency: str = "NOK", year: int | None = None) -> SeasonOfPool:
    return SeasonOfPool(name, year, currency, methods)


def method(middle: float, low: float, high: float, *, n: int = 3, figure: str = "worker_hours") -> MethodOfSeason:
    return MethodOfSeason("split", "hand", n, {figure: Figure(middle, "", low, high, "")})


def test_two_methods_of_a_kind_are_one_contribution() -> None:
    both = season("a", method(4.0, 2.0, 8.0), method(9.0, 4.5, 18.0))
    (one,) = pooled_figures([both], "NOK")
    (row,) = pooled_rows([one])
    assert row["value"].value == pytest.approx(6.0)
    assert one.parts[0].methods_n == 2
    assert row["value"].low is None


def test_figures_without_an_interval_or_in_another_currency_are_left_out() -> None:
    bare = MethodOfSeason("split", "hand", 3, {"worker_hours": Figure(4.0)})
    assert pooled_figures([season("a", bare)], "NOK") == []
    foreign = season("a", method(4.0, 2.0, 8.0, figure="cash"), currency="SEK")
    assert pooled_figures([foreign], "NOK") == []
    assert len(pooled_figures([foreign], "SEK")) == 1


def test_trend_needs_three_years() -> None:
    years = [season(str(year), method(4.0 * 1.1**year, 2.0, 40.0), year=2020 + year) for year in range(3)]
    assert list(trend_rows(pooled_figures(years[:2], "NOK"))) == []
    (row,) = trend_rows(pooled_figures(years, "NOK"))
    assert row["per_year"].value == pytest.approx(10.0)
    assert row["words"] == "more from year to year"
