"""Several seasons as one study: what is matched, what is said, and what never goes on."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from builders import Data, small_season
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from openpyxl import load_workbook

from wood_xl import season as season_module
from wood_xl.cli import main
from wood_xl.demo import demo_data, demo_names, demo_workbook
from wood_xl.draws.figure import Figure
from wood_xl.hours.how_sure import FIGURES as FIGURES_OF_SESSIONS
from wood_xl.hours.rates import MethodRate
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import PooledMoney
from wood_xl.io.fill import filled_workbook
from wood_xl.io.marked_copy import marked_copy
from wood_xl.io.pack import packed
from wood_xl.io.reader import read_workbook
from wood_xl.io.results import pool_bytes, results_bytes
from wood_xl.io.seal import seal_of, stored_seal
from wood_xl.io.summary_workbook import summary_bytes
from wood_xl.notes.convert import season_records
from wood_xl.notes.season import check_season
from wood_xl.pipeline import check_file, input_files, score_file
from wood_xl.reasons import said
from wood_xl.results.pool import pool_files
from wood_xl.results.pooling import (
    FIGURES,
    KnownRate,
    MethodOfSeason,
    SeasonOfPool,
    contribution_rows,
    methods_of_season,
    pooled_figures,
    pooled_rows,
    trend_rows,
)
from wood_xl.results.share import shared
from wood_xl.schema.model import pool_definition
from wood_xl.schema.words import words
from wood_xl.season import season_tables
from wood_xl.verdicts import Trend

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
    from_notes = pool_files([path], system=None, one_household=False).document
    from_results = pool_files([whole], system=None, one_household=False).document
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
    moneys = {row["season"]: row["money"] for row in rows(document, "contributions", figure="Cash")}
    assert moneys.keys() == {"season 1", "season 2"}
    assert {row["seasons_n"] for row in rows(document, "pooled", figure="Cash")} == {1}  # each in its own currency


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


def test_a_study_with_an_invented_season_says_so_on_every_sheet_page_and_picture(
    seasons: list[Path], tmp_path: Path
) -> None:
    invented = tmp_path / "invented.xlsx"
    data = small_season()
    data["season"]["season_name"] = "Invented example: a farm"
    for session in data["sessions"]:
        session["elapsed_time"] += 1
    write(invented, data)
    for number, paths in enumerate((seasons, [*seasons, invented])):
        document = pool_files(paths, system=None, one_household=False).document
        assert document is not None
        text = "Invented: nobody measured the figures of season 5." if number else ""
        assert document["provenance"]["invented"] == text
        assert [bool(row["invented"]) for row in document["seasons"]] == [False] * 4 + [True] * number
        path = tmp_path / f"study{number}.xlsx"
        path.write_bytes(pool_bytes(document, paper="a4"))
        book = load_workbook(path)
        first = [cell for row in book.worksheets[0].iter_rows(values_only=True, max_row=3) for cell in row if cell]
        assert any(text and text in str(cell) for cell in first) == bool(number)
        titles = [sheet["A1"].value for sheet in book] + [_words(c.title) for sheet in book for c in sheet._charts]
        assert len(titles) > 5
        assert all(title.endswith("(with invented figures)") == bool(number) for title in titles)
        assert all(("invented" in sheet.oddFooter.left.text) == bool(number) for sheet in book)


def _words(title: Any) -> str:
    return "".join(run.t for paragraph in title.tx.rich.p for run in paragraph.r)


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


def test_a_season_counts_once_in_whatever_files_it_stands(tmp_path: Path) -> None:
    path, later = write(tmp_path / "a.xlsx", small_season()), small_season()
    later["sessions"][0]["elapsed_time"] = 100
    results = score_file(path, None).results
    assert results is not None
    whole, given, marked = (tmp_path / f"a-{name}.xlsx" for name in ("results", "shared", "marked"))
    whole.write_bytes(results_bytes(results, paper="a4"))
    given.write_bytes(results_bytes(shared(results), paper="a4"))
    marked.write_bytes(marked_copy(path, check_file(path).problems).data)
    other = write(tmp_path / "b.xlsx", later)
    found = pool_files([given, marked, path, whole, other, given], system=None, one_household=False)
    assert found.names == [("season 1", marked), ("season 2", other)]
    assert [(name, fault.code) for name, fault in found.faults] == [
        (name, "pool-same-notes") for name in (given, path, whole, given)
    ]
    assert all(str(marked) in fault.text and name.name in fault.text for name, fault in found.faults)
    assert found.document is not None
    assert {row["seasons_n"] for row in found.document["pooled"]} == {2}
    hashes = [row["season_sha256"] for row in found.document["seasons"]]
    assert hashes[0] == results["provenance"]["season_sha256"] != hashes[1]


def test_what_this_program_wrote_of_many_is_no_season(seasons: list[Path], tmp_path: Path) -> None:
    found = pool_files(seasons[:1], system=None, one_household=False)
    assert found.document is not None
    study, summary = tmp_path / "study.xlsx", tmp_path / "all.xlsx"
    study.write_bytes(pool_bytes(found.document, paper="a4"))
    summary.write_bytes(summary_bytes([], paper="a4"))
    again = pool_files([study, summary], system=None, one_household=False)
    assert again.document is None
    assert [fault.code for _, fault in again.faults] == ["pool-no-season"] * 2
    assert ["pooled study" in again.faults[0][1].text, "summary" in again.faults[1][1].text] == [True, True]


def test_money_of_other_years_or_currencies_is_never_mixed(tmp_path: Path) -> None:
    paths = []
    for number, (currency, price_year) in enumerate([("NOK", 2021), ("NOK", 2024), ("NOK", None), ("SEK", 2024)]):
        data = small_season()
        data["season"] |= {"currency": currency} | ({} if price_year is None else {"price_year": price_year})
        for session in data["sessions"]:
            session["date"] = f"{2021 + number}{session['date'][4:]}".replace("2023", "2024")
        paths.append(write(tmp_path / f"{number}.xlsx", data))
    document = pool_files(paths, system=None, one_household=True).document
    assert document is not None
    cash = rows(document, "pooled", kind="hand", figure="Cash")
    assert [(row["money"], row["unit"], row["seasons_n"]) for row in cash] == [
        ("NOK, prices of 2021", "NOK/cord", 1),
        ("NOK, prices of 2024", "NOK/cord", 2),  # the year of the sessions where none is written
        ("SEK, prices of 2024", "SEK/cord", 1),
    ]
    (hours,) = rows(document, "pooled", kind="hand", figure="Worker hours")
    assert (hours["money"], hours["seasons_n"]) == ("", 4)
    assert rows(document, "trends", figure="Worker hours")
    assert rows(document, "trends", figure="Cash") == []  # no three years in money of one


@pytest.mark.parametrize("name", demo_names())
def test_errors_are_those_that_the_intervals_were_made_of(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[SeasonRates] = []

    def catching(*args: Any) -> SeasonRates:
        made.append(SeasonRates(*args))
        return made[-1]

    monkeypatch.setattr(season_module, "SeasonRates", catching)
    path = tmp_path / "season.xlsx"
    path.write_bytes(demo_workbook(name))
    records, _ = season_records(check_season(read_workbook(path)))
    methods = methods_of_season(season_tables(records).tables, records, FIGURES)
    seen = 0
    for totals, one in zip([t for t in made[0].study.totals if t.counted], methods, strict=True):
        for figure, found in one.rates.items():
            shown = made[0].figure(totals, figure)
            assert None not in (shown.low, shown.high)
            half = math.log(shown.high / shown.low) / 2
            (alone,) = contribution_rows(pooled_figures([season("a", replace(one, rates={figure: found}))]))
            again = alone["value"]
            assert again.low * again.high == pytest.approx(shown.value**2)
            # a year's doubt is taken as even by ratio: by the ends of skew draws, and by two thirds of what is common
            assert math.log(again.high / again.low) / 2 == pytest.approx(half, rel=0.08)
            if figure in FIGURES_OF_SESSIONS:
                rate = made[0].rate(totals, figure)
                assert isinstance(rate, MethodRate)
                assert found.common_variance == pytest.approx(rate.common_variance)
                # 4096 draws find the whole half width to 4 %, and what the sessions alone give is what is left of it
                assert found.own_variance == pytest.approx(rate.rate.se_log**2, abs=0.08 * found.variance)
            seen += 1
    assert seen > 20


def test_few_sessions_and_much_common_doubt_keep_their_error() -> None:
    """Own error 0.25 with 3 degrees of freedom, common 0.27: the interval alone would read 0.30 for 0.368."""
    half = math.hypot(3.182446 * 0.25, 1.959964 * 0.27)
    row = SimpleNamespace(
        method="saw", figure="cash", sessions_n=1, common_doubt=Figure(27.0),
        rate=Figure(20.0, "", 20 * math.exp(-half), 20 * math.exp(half), ""),
    )  # fmt: skip
    records: Any = SimpleNamespace(methods=[SimpleNamespace(name="saw", tools=())], tools=[])
    tables = {"how_sure": [row], "rates_per_cord": [SimpleNamespace(method="saw", task="buck", sessions_n=4)]}
    (one,) = methods_of_season(tables, records, ["cash"])
    assert one.rates["cash"].variance == pytest.approx(0.25**2 + 0.27**2, rel=1e-6)


def test_a_study_in_the_folder_itself_can_be_made_again(seasons: list[Path]) -> None:
    folder = seasons[0].parent
    out = folder / "study.xlsx"
    for flags in ([], ["--replace"]):
        done = CliRunner().invoke(main, ["pool", str(folder), "--out", str(out), *flags])
        assert (done.exit_code, "study.xlsx" in done.output, "season 5" in done.output) == (0, True, False)
    named = CliRunner().invoke(main, ["pool", *map(str, seasons), str(out), "--out", str(out), "--replace"])
    assert named.exit_code == 3


def test_files_of_a_folder_are_numbered_alike_on_every_system(tmp_path: Path) -> None:
    for name in ("b.xlsx", "A.ods", "a-2.xlsx", "B-results.xlsx", "C.XLSX", "~$b.xlsx", "note.txt"):
        (tmp_path / name).touch()
    assert [path.name for path in input_files([tmp_path])] == ["a-2.xlsx", "A.ods", "b.xlsx", "C.XLSX"]


def season(
    name: str, *methods: MethodOfSeason, currency: str = "NOK", year: int | None = None, price_year: int = 2024
) -> SeasonOfPool:
    return SeasonOfPool(name, year, currency, price_year, methods)


def method(middle: float, own: float, *, common: float = 0.0, figure: str = "worker_hours") -> MethodOfSeason:
    return MethodOfSeason("split", "hand", 3, {figure: KnownRate(middle, own**2, common**2, 2.57 * own)})


def test_two_methods_of_a_kind_are_one_contribution() -> None:
    both = season("a", method(4.0, 0.3), method(9.0, 0.3))
    (one,) = pooled_figures([both])
    (row,) = pooled_rows([one])
    assert row["value"].value == pytest.approx(6.0)
    assert one.parts[0].methods_n == 2
    assert row["value"].low is None


def test_what_methods_have_in_common_does_not_shrink_with_their_number() -> None:
    (one,) = pooled_figures([season("a", method(4.0, 0.3, common=0.2), method(9.0, 0.3, common=0.2))])
    (part,) = one.parts
    assert part.variance == pytest.approx(0.3**2 / 2 + 0.2**2)
    assert part.half == pytest.approx(math.hypot(2.57 * 0.3 / math.sqrt(2), 1.959964 * 0.2))


def test_figures_without_an_interval_are_left_out() -> None:
    assert pooled_figures([season("a", MethodOfSeason("split", "hand", 3, {}))]) == []


def test_cash_of_one_year_is_pooled_by_itself() -> None:
    seasons = [season(str(n), method(4.0 + n, 0.3, figure="cash"), price_year=2023 + n // 2) for n in range(4)]
    found = pooled_figures([*seasons, season("e", method(9.0, 0.3, figure="cash"), currency="SEK")])
    assert [(words(one.about["money"]), len(one.parts)) for one in found] == [
        ("NOK, prices of 2023", 2),
        ("NOK, prices of 2024", 2),
        ("SEK, prices of 2024", 1),
    ]
    undated = SeasonOfPool("f", None, "NOK", None, (method(4.0, 0.3, figure="cash"),))
    assert pooled_figures([undated])[0].about["money"] == said(PooledMoney.UNKNOWN_YEAR, currency="NOK", year=0)


def test_trend_needs_three_years() -> None:
    years = [season(str(year), method(4.0 * 1.1**year, 0.5), year=2020 + year) for year in range(3)]
    assert list(trend_rows(pooled_figures(years[:2]))) == []
    (row,) = trend_rows(pooled_figures(years))
    assert row["per_year"].value == pytest.approx(10.0)
    assert row["words"] is Trend.MORE
