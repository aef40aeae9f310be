"""Every figure of the tables stands once more as one tidy row, under an id of its own."""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Iterator
from functools import cache
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from builders import checked, scored, small_season
from few import few
from openpyxl import load_workbook

from wood_xl.demo import demo_data, demo_names
from wood_xl.pipeline import computed_again
from wood_xl.reasons import sentences
from wood_xl.report.book import results_bytes
from wood_xl.results import figures
from wood_xl.results.csv_package import csv_package
from wood_xl.results.share import shared
from wood_xl.results.verify_study import verify_file
from wood_xl.schema.model import results_definition

SEASONS = (*demo_names(), "small")
TOLD = {"display_units": "us", "input_sha256": "0" * 64, "template_version": "1"}
NO_IDS = {"", "by_column", "text"}


@cache
def results_of(season: str) -> dict[str, Any]:
    data = small_season() if season == "small" else demo_data(season)
    results = computed_again(checked(data), TOLD)
    assert results is not None
    return results


def table_of(figure: dict[str, Any]) -> str:
    return str(figure["id"]).partition(".")[0]


def of_table(figure: dict[str, Any], table: str) -> bool:
    return bool(figure["id"].startswith(f"{table}."))


def cells_of(results: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Table, column and cell of each figure of the tables that the document has."""
    for sheet in results_definition().sheets:
        content = results.get(sheet.id, [])
        for row in content if isinstance(content, list) else [content]:
            yield from ((sheet.id, c.id, row[c.id]) for c in sheet.columns if c.type == "figure")


@pytest.mark.parametrize("season", few(SEASONS, "small"))
@pytest.mark.parametrize("is_shared", [False, True])
def test_every_figure_of_the_tables_stands_among_the_figures(season: str, is_shared: bool) -> None:
    results = results_of(season)
    results = shared(results) if is_shared else results
    alone = {sheet.id for sheet in results_definition().sheets if sheet.figures_only}
    assert not alone & results.keys()
    told, beside = list(cells_of(results)), [row for row in results["figures"] if table_of(row) not in alone]
    assert 300 < len(told) == len(beside) < len(results["figures"])
    for (table, column, cell), figure in zip(told, beside, strict=True):
        place = figure["id"]
        assert figure["id"].split(" ")[0] == f"{table}.{column}"
        assert figure["measure"] == column
        assert figure["value"] == cell["value"]
        assert bool(figure["reason"]) == bool(cell["reason"]), place
        assert bool(figure["basis"]) == bool(cell["basis"]), place
        for end in ("low", "high"):
            assert (figure[end] is None) == (cell[end] is None)
            assert figure[end] is None or math.isclose(figure[end], cell[end], rel_tol=5.1e-5)


@pytest.mark.parametrize("season", few(SEASONS, "small"))
def test_ids_are_unique_and_hold_no_name(season: str) -> None:
    results = results_of(season)
    ids = [figure["id"] for figure in results["figures"]]
    assert len(set(ids)) == len(ids)
    assert "rates_per_cord.worker_hours methods.2" in ids
    text = json.dumps(ids)
    for table, column in (("methods", "method"), ("people", "person"), ("tools", "tool")):
        names = [row[column] for row in results["inputs"][table]]
        assert names
        assert not [name for name in names if name in text]


@pytest.mark.parametrize("season", few(SEASONS, "small"))
def test_topics_reasons_and_bases_are_ids(season: str) -> None:
    known = {key for texts in sentences().values() for key in texts} | NO_IDS
    topics = results_definition().column("figures.topic").choices
    for figure in results_of(season)["figures"]:
        assert figure["topic"] in topics
        assert set(figure["reason"].split(";")) <= known
        assert set(figure["basis"].split(";")) <= known


def test_names_stand_as_typed() -> None:
    results = results_of("small")
    methods = {row["method"] for row in results["inputs"]["methods"]}
    rates = [figure for figure in results["figures"] if of_table(figure, "rates_per_cord")]
    assert {figure["method"] for figure in rates} == {row["method"] for row in results["rates_per_cord"]} <= methods
    assert {figure["task"] for figure in rates} == {row["task"] for row in results["rates_per_cord"]}
    pair = next(figure for figure in results["figures"] if of_table(figure, "comparisons"))
    first = results["comparisons"][0]
    assert pair["method"] == f"{first['more']}; {first['less']}"
    assert next(f["unit"] for f in rates if f["measure"] == "cash") == f"{results['season']['currency']}/cord"


def test_a_figure_of_a_session_tells_its_method_and_task_though_its_row_does_not() -> None:
    results = results_of("hill_farm_us")
    notes = {row["session"]: row["method"] for row in results["sessions"]}  # stacking within apart
    tasks = {row["method"]: row["task"] for row in results["inputs"]["methods"]}
    strain = [figure for figure in results["figures"] if of_table(figure, "strain")]
    assert "method" not in results["strain"][0]
    assert len({figure["method"] for figure in strain}) > 3
    for figure in strain:
        assert figure["method"] == notes[figure["session"]]
        assert figure["task"] == tasks[figure["method"]]


@pytest.mark.slow
@pytest.mark.parametrize("season", few(demo_names(), "hill_farm_us"))
def test_a_shared_copy_leaves_persons_and_what_was_planned_out(season: str) -> None:
    results = results_of(season)
    figures = shared(results)["figures"]
    text = json.dumps(figures)
    assert not [row["person"] for row in results["inputs"]["people"] if row["person"] in text]
    assert {figure["person"] for figure in figures} - {""} <= {f"Person {n}" for n in range(1, 10)}
    tables = [sheet.id for sheet in results_definition().sheets if sheet.private and sheet.kind == "table"]
    assert {"efforts", "strain", "traces", "plan_sessions"} < set(tables)
    for table in tables:
        assert not [figure for figure in figures if of_table(figure, table)]
    assert {figure["reason"] for figure in figures if of_table(figure, "plan")} == {"not_shared"}


def test_the_csv_file_holds_them() -> None:
    results = results_of("small")
    rows = list(csv.DictReader(StringIO(csv_package(results)["figures.csv"].decode())))
    assert [row["id"] for row in rows] == [figure["id"] for figure in results["figures"]]
    assert [float(row["value"]) if row["value"] else None for row in rows] == [
        figure["value"] for figure in results["figures"]
    ]


@pytest.mark.parametrize("is_shared", [False, True])
def test_of_more_rows_by_person_than_anybody_reads_the_sums_are_listed(
    is_shared: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(figures, "MOST_BY_PERSON", 2)
    results = scored(small_season(), tmp_path)
    assert len(results["efforts"]) == len(results["strain"]) == 4
    results = shared(results) if is_shared else results
    assert len(results["exposures"]) == 4
    listed = {table_of(row) for row in results["figures"]}
    assert not {"efforts", "strain", "exposures"} & listed
    assert "sessions" in listed
    assert ("people" in listed) is not is_shared
    path = tmp_path / "season-results.xlsx"
    path.write_bytes(results_bytes(results, paper="a4"))
    said = load_workbook(path)["Figures"]["A2"].value
    assert "each has more than 2 rows" in said
    assert "Vibration and noise by person and day" in said
    assert said.endswith("Every row is in the JSON form of these results.")
    described = json.loads(csv_package(results)["datapackage.json"])["description"]
    assert "each has more than 2 rows" in described
    assert verify_file(path).differences == ()


def test_what_a_class_does_is_listed_whole() -> None:
    data = small_season()
    sessions = [{**data["sessions"][0], "session": f"S{day}", "date": f"2026-03-{day:02}"} for day in range(1, 16)]
    data["sessions"] = sessions
    data["helpers"] = [
        {"session": one["session"], "person": f"Student {number}", "time": 60}
        for one in sessions
        for number in range(19)
    ]
    data["cuts"] = [{"session": one["session"], "diameter": 20, "cuts": 10} for one in sessions]
    data["stacks"] = []
    results = computed_again(checked(data), TOLD)
    assert results is not None
    assert len(results["efforts"]) == 300 < figures.MOST_BY_PERSON
    assert sum(of_table(row, "efforts") for row in results["figures"]) == 3300
