"""Several seasons as one study: what is matched, what is said, and what never goes on."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import forging
import numpy as np
import pytest
from builders import Data, records, small_season
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from openpyxl import load_workbook

from wood_xl.cli import main
from wood_xl.demo import demo_data, demo_names, demo_workbook
from wood_xl.draws.ensemble import OneByOne
from wood_xl.draws.figure import Figure
from wood_xl.hours.rates import RECORDED
from wood_xl.ids import PooledMoney
from wood_xl.io.fill import filled_workbook
from wood_xl.io.marked_copy import marked_copy
from wood_xl.io.pack import packed
from wood_xl.io.pool_workbook import pool_bytes
from wood_xl.io.reader import read_workbook
from wood_xl.io.seal import seal_of, stored_seal
from wood_xl.io.summary_workbook import summary_bytes
from wood_xl.pipeline import check_file, input_files, score_file
from wood_xl.reasons import said
from wood_xl.report.book import results_bytes
from wood_xl.results.pool import pool_files
from wood_xl.results.pooling import (
    FIGURES,
    SOURCES,
    Contribution,
    SeasonOfPool,
    contribution_rows,
    figures_of_season,
    is_of_household,
    pooled_figures,
    pooled_rows,
    trend_rows,
)
from wood_xl.results.share import shared
from wood_xl.schema.model import pool_definition
from wood_xl.schema.words import words
from wood_xl.season import SeasonTables, season_tables
from wood_xl.verdicts import Agreement, Trend

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


def forged(data: bytes) -> bytes:
    """Results in which a figure was changed, and the hash of the season, under a seal that fits."""

    def attack(parts: forging.Parts) -> None:
        forging.on_number(lambda r, s, v: f'<c r="{r}" s="{s}"><v>{float(v) / 2}</v></c>')(parts)

    return forging.sealed_anew(forging.changed(data, attack))


def test_results_that_do_not_hold_are_left_out_unless_asked_for(tmp_path: Path) -> None:
    path, later = write(tmp_path / "a.xlsx", small_season()), small_season()
    later["sessions"][0]["elapsed_time"] = 100
    results = score_file(path, None).results
    assert results is not None
    given = tmp_path / "given.xlsx"
    given.write_bytes(forged(results_bytes(results, paper="a4")))
    other = write(tmp_path / "b.xlsx", later)
    found = pool_files([given, other], system=None, one_household=False)
    assert [name for _, name in found.names] == [other]
    assert [(name, fault.code) for name, fault in found.faults] == [(given, "pool-not-verified")]
    assert "The file says" in found.faults[0][1].text
    with_it = pool_files([given, other], system=None, one_household=False, with_unverified=True)
    assert [name for _, name in with_it.names] == [given, other]
    assert [(name, fault.code) for name, fault in with_it.faults] == [(given, "pool-unverified")]


def test_the_hash_of_a_season_is_computed_and_not_what_a_file_says(tmp_path: Path) -> None:
    path = write(tmp_path / "a.xlsx", small_season())
    results = score_file(path, None).results
    assert results is not None
    copies = [tmp_path / f"copy{n}.xlsx" for n in (1, 2)]
    copies[0].write_bytes(results_bytes(shared(results), paper="a4"))
    data = results_bytes(shared(results), paper="a4")
    old = results["provenance"]["season_sha256"]
    other = old[::-1]  # as wide, so that its row is as high
    parts = {name: text.replace(old, other) for name, text in forging.parts_of(data).items()}
    copies[1].write_bytes(forging.sealed_anew(forging.packed_parts(parts)))
    found = pool_files(copies, system=None, one_household=False)
    assert len(found.names) == 1
    assert [fault.code for _, fault in found.faults] == ["pool-same-notes"]
    assert found.document is not None
    assert found.document["seasons"][0]["season_sha256"] not in (other, old)


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


def tables_of(data: Data) -> SeasonTables:
    return season_tables(records(data))


@pytest.mark.parametrize("name", demo_names())
def test_parts_of_doubt_are_those_of_the_model_and_make_up_the_whole(name: str) -> None:
    rates = tables_of(demo_data(name)).rates
    of_kind = {(one.task, one.kind, one.figure): one for one in figures_of_season(rates, FIGURES)}
    seen = set()
    for totals in (t for t in rates.study.totals if t.counted):
        for figure_id in FIGURES:
            shown, rate = rates.figure(totals, figure_id), rates.study.equal.rate(totals, RECORDED.get(figure_id))
            alone = [
                one
                for (task, _, figure), one in of_kind.items()
                if (task, figure) == (totals.method.task, figure_id)
                and one.methods_n == 1
                and one.value.value == pytest.approx(shown.value, rel=1e-12)
            ]
            if shown.members is None or not alone:
                continue
            (one,) = alone
            assert (one.value.low, one.value.high) == pytest.approx((shown.low, shown.high))
            whole = float(np.var(np.log(shown.members[1:])))
            assert one.by_sessions + one.by_household + one.by_all == pytest.approx(whole, rel=0.1)
            if rate is not None:
                assert one.by_sessions == pytest.approx(rate.log_variance, rel=0.02)
            seen.add((figure_id, one.by_household > one.by_all))
    assert {figure for figure, _ in seen} == set(FIGURES)
    assert ("cash", True) in seen  # prices are the household's own
    assert ("kcal_net", True) not in seen  # equations are everybody's


def test_every_input_is_of_one_source() -> None:
    rates = tables_of(demo_data(demo_names()[0])).rates
    asking = OneByOne()
    for totals in (t for t in rates.study.totals if t.counted):
        for figure_id in FIGURES:
            if rates.figure(totals, figure_id).members is not None:
                rates.by(asking).number(totals, figure_id)
    keys = list(asking.asked)
    assert all(sum(bool(source.has_input(key)) for source in SOURCES if source.has_input) == 1 for key in keys)
    own = {key.id.key for key in keys if is_of_household(key) and not isinstance(key, str)}
    shared = {key if isinstance(key, str) else key.id.key for key in keys if not is_of_household(key)}
    assert {"tape", "price_of_tool", "price_of_fuel", "life_running"} <= own
    assert {"table", "reserve", "grid", "interest", "co2.gasoline"} <= shared
    assert not own & shared


def test_one_season_keeps_its_value_and_leaves_other_households_open(tmp_path: Path) -> None:
    path = write(tmp_path / "a.xlsx", small_season())
    results, document = score_file(path, None).results, pool_files([path], system=None, one_household=False).document
    assert results is not None
    assert document is not None
    (row,) = rows(document, "pooled", kind="hand", figure="Worker hours")
    (own,) = rows(document, "contributions", kind="hand", figure="Worker hours")
    printed = next(one for one in results["rates_per_cord"] if one["method"] == "By bow saw")["worker_hours"]
    assert [own["value"][key] for key in ("value", "low", "high")] == [
        printed[key] for key in ("value", "low", "high")
    ]
    assert row["value"]["value"] == printed["value"]
    wide = [math.log(one["high"] / one["low"]) for one in (printed, row["value"], row["next_season"])]
    assert wide == sorted(wide)
    assert wide[1] > 2  # of the average household one alone tells little
    assert (row["agreement"], row["spread"]["value"]) == ("one season alone", None)
    assert row["spread"]["reason"] == "one season alone"


def test_order_of_the_files_changes_no_pooled_figure(seasons: list[Path]) -> None:
    found, again = (
        pool_files(paths, system=None, one_household=False).document for paths in (seasons, seasons[::-1])
    )
    assert found is not None
    assert again is not None
    assert found["pooled"] == again["pooled"]


def test_more_seasons_make_hours_surer_but_never_the_equation_of_effort(tmp_path: Path) -> None:
    paths = []
    for number in range(6):
        data = small_season()
        for session in data["sessions"]:
            session["elapsed_time"] += number
        paths.append(write(tmp_path / f"{number}.xlsx", data))
    (part,) = [
        one
        for one in figures_of_season(tables_of(small_season()).rates, ["kcal_net"])
        if (one.task, one.kind) == ("buck", "hand")
    ]
    least = 1.96 * math.sqrt(part.by_all)

    def halves(paths: list[Path]) -> list[float]:
        document = pool_files(paths, system=None, one_household=False).document
        assert document is not None
        figures = ("Worker hours", "Effort, net of rest")
        values = [rows(document, "pooled", kind="hand", figure=figure)[0]["value"] for figure in figures]
        return [math.log(one["high"] / one["low"]) / 2 for one in values]

    hours, effort = zip(halves(paths[:2]), halves(paths), strict=True)
    assert hours[1] < 0.7 * hours[0]
    assert hours[1] < least < effort[1] < effort[0]


def test_methods_of_a_kind_are_one_and_do_not_shrink_what_they_share() -> None:
    data = small_season()
    alone = {one.figure: one for one in figures_of_season(tables_of(data).rates, FIGURES) if one.kind == "hand"}
    data["methods"].append(data["methods"][0] | {"method": "By frame saw"})
    hand = [session for session in data["sessions"] if session["method"] == "By bow saw"]
    hand[0]["method"] = "By frame saw"
    rates = tables_of(data).rates
    both = {one.figure: one for one in figures_of_season(rates, FIGURES) if one.kind == "hand"}
    for figure in ("worker_hours", "kcal_net"):
        one = both[figure]
        assert (one.methods_n, one.sessions_n) == (2, len(hand))
        of_each = [rates.figure(t, figure).value or 0.0 for t in rates.study.totals if "saw" in t.method.name]
        assert min(of_each) <= (one.value.value or 0.0) <= max(of_each)
        assert one.by_all == pytest.approx(alone[figure].by_all, rel=0.1)


def test_figures_without_an_interval_are_left_out() -> None:
    data = small_season()
    data["tools"][0]["price"] = 0  # the bow saw: cash is nothing, which has no log
    found = {(one.kind, one.figure) for one in figures_of_season(tables_of(data).rates, FIGURES)}
    assert ("hand", "cash") not in found
    assert {("hand", "worker_hours"), ("gasoline two-stroke", "cash")} <= found


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
    name: str, *figures: Contribution, currency: str = "NOK", year: int | None = None, price_year: int | None = 2024
) -> SeasonOfPool:
    return SeasonOfPool(name, year, currency, price_year, figures)


def figure(value: float, own: float, *, household: float = 0.0, shared: float = 0.0, of: str = "worker_hours") -> Any:
    return Contribution(
        "split", "hand", of, 1, 3, Figure(value, None, 0.5 * value, 2 * value), own, household, shared
    )


WORKED = [(math.exp(y), v) for y, v in zip((0.10, 0.35, 0.20), (0.02, 0.03, 0.015), strict=True)]


@pytest.mark.parametrize("one_household", [False, True])
def test_worked_case_of_three_seasons(one_household: bool) -> None:
    """Worked case 13: what all share stands with the published figures, or in one household with its own tape."""
    doubt = {"household": 0.01} if one_household else {"shared": 0.01}
    seasons = [season(str(n), figure(*one, **doubt)) for n, one in enumerate(WORKED)]
    for order in (seasons, seasons[::-1]):
        (one,) = pooled_figures(order, one_household=one_household)
        (row,) = pooled_rows([one])
        logs = [math.log(end) for end in (row["value"].value, row["value"].low, row["value"].high)]
        assert [f"{log:.6f}" for log in logs] == ["0.207110", "-0.189633", "0.613790"]
        logs = [math.log(end) for end in (row["next_season"].low, row["next_season"].high)]
        assert [f"{log:.6f}" for log in logs] == ["-0.484399", "0.911815"]
        assert row["agreement"] is Agreement.OPEN
        weights = [part["weight"].value for part in contribution_rows([one])]
        assert sum(weights) == pytest.approx(100)
        assert row["heaviest"].value == max(weights)


def test_what_is_a_households_own_counts_as_its_own() -> None:
    """The same worked case without what all share: a part of each season's variance is by its own tape and prices."""
    seasons = [season(str(n), figure(value, 0.6 * v, household=0.4 * v)) for n, (value, v) in enumerate(WORKED)]
    (row,) = pooled_rows(pooled_figures(seasons, one_household=False))
    assert [f"{math.log(end):.6f}" for end in (row["value"].low, row["value"].high)] == ["-0.146481", "0.573431"]


def test_cash_of_one_year_is_pooled_by_itself() -> None:
    seasons = [season(str(n), figure(4.0 + n, 0.1, of="cash"), price_year=2023 + n // 2) for n in range(4)]
    others = season("e", figure(9.0, 0.1, of="cash"), currency="SEK")
    found = pooled_figures([others, *seasons], one_household=False)
    assert [(words(one.about["money"]), len(one.parts)) for one in found] == [
        ("NOK, prices of 2023", 2),
        ("NOK, prices of 2024", 2),
        ("SEK, prices of 2024", 1),
    ]
    (undated,) = pooled_figures([season("f", figure(4.0, 0.1, of="cash"), price_year=None)], one_household=False)
    assert undated.about["money"] == said(PooledMoney.UNKNOWN_YEAR, currency="NOK", year=0)


def test_trend_needs_three_years() -> None:
    years = [season(str(year), figure(4.0 * 1.1**year, 0.25), year=2020 + year) for year in range(3)]
    assert list(trend_rows(pooled_figures(years[:2], one_household=True))) == []
    (row,) = trend_rows(pooled_figures(years, one_household=True))
    assert row["per_year"].value == pytest.approx(10.0)
    assert row["words"] is Trend.MORE
