"""Several seasons as one study: what is matched, what is said, and what never goes on."""

from __future__ import annotations

import json
import math
import shutil
from pathlib import Path
from typing import Any

import forging
import numpy as np
import pytest
from builders import Data, records, small_season, study_pages, trial_season
from click.testing import CliRunner
from few import few
from jsonschema import Draft202012Validator
from openpyxl import load_workbook

from wood_xl.cli import main
from wood_xl.demo import demo_data, demo_names, demo_workbook
from wood_xl.draws.ensemble import OneByOne
from wood_xl.draws.verdicts import long_run
from wood_xl.hours.rates import RECORDED
from wood_xl.io.fill import filled_workbook
from wood_xl.io.marked_copy import marked_copy
from wood_xl.io.pack import packed
from wood_xl.io.reader import read_workbook
from wood_xl.io.seal import seal_of, stored_seal
from wood_xl.io.summary_workbook import summary_bytes
from wood_xl.notes.problem import problem
from wood_xl.pipeline import check_file, input_files, score_file
from wood_xl.report.book import results_bytes
from wood_xl.report.layout import Page
from wood_xl.report.study_book import study_bytes
from wood_xl.results.parts import (
    CASH,
    FLIP,
    KCAL_NET,
    RATES,
    SOURCES,
    WORKER_HOURS,
    Part,
    is_of_household,
    parts_of_season,
)
from wood_xl.results.pooling import PooledFigure, in_study, pooled_figures, trend_rows
from wood_xl.results.share import shared
from wood_xl.results.study import study_of_files
from wood_xl.schema.model import study_definition
from wood_xl.season import SeasonTables, season_tables

Row = dict[str, Any]


def write(path: Path, data: Data) -> Path:
    path.write_bytes(packed(filled_workbook(data, system="metric", currency=data["season"]["currency"], paper="a4")))
    return path


@pytest.fixture(scope="module")
def seasons(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Four years of one household, each quicker than the last."""
    folder, paths = tmp_path_factory.mktemp("seasons"), []
    for number in range(4):
        data = small_season()
        for session in data["sessions"]:
            session["elapsed_time"] = round(session["elapsed_time"] * 0.9**number)
            session["date"] = session["date"].replace("2026", str(2023 + number))
        paths.append(write(folder / f"year{number}.xlsx", data))
    return paths


@pytest.fixture(scope="module")
def alone(seasons: list[Path]) -> Row:
    """Their study, as one household's."""
    return study(seasons, one_household=True)


def study(paths: list[Path], *, system: Any = None, one_household: bool = False, both: bool = False) -> Row:
    document = study_of_files(paths, system=system, one_household=one_household, both=both).document
    assert document is not None
    return document


def text_of(pages: dict[str, Page]) -> dict[str, str]:
    """All texts of each page."""
    return {title: "\n".join(text for _, row in page.rows() for _, text in row) for title, page in pages.items()}


def rows(document: Row, table: str, **about: str) -> list[Row]:
    return [row for row in document[table] if all(row[key] == text for key, text in about.items())]


def test_document_follows_its_definition(alone: Row) -> None:
    document = alone
    assert list(Draft202012Validator(study_definition().schema).iter_errors(document)) == []
    (hand,) = rows(document, "figures", task="buck", kind="hand", measure="worker_hours")
    assert hand["households_n"] == 4
    own = rows(document, "contributions", kind="hand", other="", measure="worker_hours")
    values = [row["value"] for row in own]
    assert min(values) < hand["value"]["value"] < max(values)
    assert hand["value"]["low"] < hand["value"]["value"] < hand["value"]["high"]
    assert hand["next_household"]["low"] < hand["value"]["low"]
    assert [row["household"] for row in own] == [f"season {n}" for n in range(1, 5)]
    assert own[0]["without"] < hand["value"]["value"] < own[3]["without"]
    assert math.isclose(sum(row["weight"] for row in own), 100, rel_tol=1e-4)
    moved = {row["household"]: abs(math.log(row["without"] / hand["value"]["value"])) for row in own}
    assert moved[hand["left_out"]] == max(moved.values())


def test_trend_is_shown_for_one_household_only(alone: Row, seasons: list[Path]) -> None:
    (trend,) = rows(alone, "trends", kind="hand", measure="worker_hours")
    assert (trend["first_year"], trend["last_year"]) == ("2023", "2026")
    assert -12 < trend["per_year"]["value"] < -8
    assert trend["trend"] == "no_change"  # each season alone is less sure than that
    pages = text_of(study_pages(alone)[0])
    assert "which leaves room for no change" in pages["Over the years"]
    falling = {**trend, "trend": "less", "per_year": {**trend["per_year"], "low": -12.0, "high": -8.0}}
    others = [row for row in alone["trends"] if row is not trend]
    assert "hours fall by" in text_of(study_pages({**alone, "trends": [falling, *others]})[0])["Over the years"]
    assert "4 seasons of one household" in pages["Answer"]
    strangers = study(seasons[:2])
    assert strangers["trends"] == []
    assert "Over the years" not in study_pages(strangers)[0]


@pytest.mark.slow
def test_methods_match_by_task_and_kind_of_tool_whatever_their_names(tmp_path: Path) -> None:
    data = small_season()
    data["methods"][0]["method"] = "with the old frame saw"
    for session in data["sessions"]:
        session["method"] = session["method"].replace("By bow saw", "with the old frame saw")
    paths = [write(tmp_path / "a.xlsx", small_season()), write(tmp_path / "b.xlsx", data)]
    document = study(paths, both=True)
    assert {row["kind"]: row["households_n"] for row in rows(document, "figures", measure="worker_hours")} == {
        "hand": 2,
        "gasoline two-stroke": 2,
    }
    shown = text_of(study_pages(document)[0])["Households"]
    assert "By bow saw (1); with the old frame saw (2)" in shown
    assert "By chain saw (1, 2)" in shown


@pytest.mark.slow
def test_shared_results_are_pooled_without_effort(tmp_path: Path) -> None:
    path = write(tmp_path / "a.xlsx", small_season())
    results = score_file(path, None).results
    assert results is not None
    whole, given = tmp_path / "whole-results.xlsx", tmp_path / "given-results.xlsx"
    whole.write_bytes(results_bytes(results, paper="a4"))
    given.write_bytes(results_bytes(shared(results), paper="a4"))
    assert study([path]) == study([whole])
    document = study([given])
    assert rows(document, "figures", measure="kcal_net") == []
    assert rows(document, "figures", measure="worker_hours")
    assert document["households"][0]["state"] == "without_effort"
    out = {row["reason"] for row in document["left_out"] if row["measure"] == "kcal_net"}
    assert out == {"its copy holds no body data"}


@pytest.mark.slow
def test_nobody_is_named_and_no_body_is_told(tmp_path: Path) -> None:
    paths = []
    for name in demo_names():
        paths.append(tmp_path / f"{name}.xlsx")
        paths[-1].write_bytes(demo_workbook(name))
    document = study(paths, system="metric")
    text = json.dumps(document, ensure_ascii=False)
    for name in demo_names():
        data = demo_data(name)
        assert not [person["person"] for person in data["people"] if f'"{person["person"]}"' in text]
        assert data["season"].get("place", "\0") not in text
        assert data["season"]["season_name"] not in text
    for one in document["notes"]:
        assert not one["inputs"]["people"]
        assert not any("mean_heart_rate" in row or "note" in row for row in one["inputs"]["sessions"])
    moneys = {row["household"]: row["money"] for row in rows(document, "contributions", measure="cash", other="")}
    assert moneys.keys() == {"household 1", "household 2"}
    assert {row["households_n"] for row in rows(document, "figures", measure="cash")} == {1}  # each in its currency
    assert {row["money"] for row in rows(document, "pairs", measure="flip")} == {
        f"{demo_data(name)['season']['currency']}, prices of 2025" for name in demo_names()
    }


@pytest.mark.slow
def test_why_a_session_was_left_out_goes_no_further(tmp_path: Path) -> None:
    """Neither from notes nor from results into a study, whoever is named in the reason."""
    data = small_season()
    data["sessions"].append(
        data["sessions"][0] | {"session": "D", "date": "2026-03-05", "leave_out": "Bo broke Ida's leg"}
    )
    data["sessions"][1]["leave_out"] = "Knee sprained"
    filled = write(tmp_path / "a.xlsx", data)
    results = score_file(filled, None).results
    assert results is not None
    whole, given = tmp_path / "whole-results.xlsx", tmp_path / "given-results.xlsx"
    whole.write_bytes(results_bytes(results, paper="a4"))
    given.write_bytes(results_bytes(shared(results), paper="a4"))
    secrets = ("Knee", "sprained", "Ida", "broke")
    told = {path: "".join(forging.parts_of(path.read_bytes()).values()) for path in (whole, given)}
    assert all(word in told[whole] for word in secrets)
    assert not [word for word in secrets if word in told[given]]
    for path in (filled, whole, given):
        document = study([path])
        text = json.dumps(document) + "".join(forging.parts_of(study_bytes(document, paper="a4")).values())
        assert not [word for word in secrets if word in text], path
        assert document["households"][0]["not_counted_n"] == 2


@pytest.mark.slow
def test_order_of_units_changes_no_figure(seasons: list[Path]) -> None:
    us, metric = study(seasons, system="us"), study(seasons, system="metric")
    for a, b in zip(us["figures"], metric["figures"], strict=True):
        times = 2.2046226218 if a["measure"] == "co2e" else 1
        assert math.isclose(a["value"]["value"], b["value"]["value"] * times, rel_tol=1e-8)
    assert us["pairs"] == metric["pairs"]


def test_workbook_is_sealed_and_the_same_each_time(alone: Row, tmp_path: Path) -> None:
    data = study_bytes(alone, paper="a4")
    assert data == study_bytes(alone, paper="a4")
    path = tmp_path / "study.xlsx"
    path.write_bytes(data)
    titles = ["Answer", "Compare", "Households", "Over the years", "How we know", "Figures", "By household", "Checks"]
    titles += [*(f"Notes, season {n}" for n in range(1, 5)), "Chart data", "Origin"]
    assert load_workbook(path).sheetnames == titles
    book = read_workbook(path)
    assert stored_seal(book) == seal_of(book)


@pytest.mark.slow
def test_a_study_with_an_invented_season_says_so_on_every_sheet_and_page(seasons: list[Path], tmp_path: Path) -> None:
    data = small_season()
    data["season"]["season_name"] = "Invented example: a farm"
    for session in data["sessions"]:
        session["elapsed_time"] += 1
    invented = write(tmp_path / "invented.xlsx", data)
    text = "Invented: nobody measured the figures of household 5."
    for number, paths in enumerate((seasons, [*seasons, invented])):
        document = study(paths)
        assert document["provenance"]["invented"] == text * number
        assert [bool(row["invented"]) for row in document["households"]] == [False] * 4 + [True] * number
        path = tmp_path / f"study{number}.xlsx"
        path.write_bytes(study_bytes(document, paper="a4"))
        for sheet in load_workbook(path):
            first = [str(cell) for row in sheet.iter_rows(values_only=True, max_row=4) for cell in row if cell]
            is_data = sheet.title == "Chart data"
            assert (any(text in cell for cell in first) or is_data) == bool(number or is_data), sheet.title
            assert (text in sheet.oddFooter.left.text) == bool(number)


@pytest.mark.slow
def test_command_goes_on_past_a_bad_file(seasons: list[Path], tmp_path: Path) -> None:
    bad = tmp_path / "bad.xlsx"
    bad.write_bytes(b"PK")
    out = tmp_path / "study.xlsx"
    done = CliRunner().invoke(main, ["pool", *map(str, seasons), str(bad), "--out", str(out)])
    assert done.exit_code == 1
    assert "household 4: " in done.output
    assert "bad.xlsx" in done.output
    assert out.exists()
    alone = CliRunner().invoke(main, ["pool", str(bad), "--out", str(tmp_path / "none.xlsx")])
    assert alone.exit_code == 3
    assert not (tmp_path / "none.xlsx").exists()


@pytest.mark.slow
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
    found = study_of_files([given, marked, path, whole, other, given], system=None, one_household=False)
    assert found.names == [("household 1", marked), ("household 2", other)]
    assert [(name, fault.code) for name, fault in found.faults] == [
        (name, "pool-same-notes") for name in (given, path, whole, given)
    ]
    assert all(str(marked) in fault.text and name.name in fault.text for name, fault in found.faults)
    assert found.document is not None
    assert {row["households_n"] for row in found.document["figures"]} == {2}
    assert [(row["who"], row["reason"]) for row in found.document["left_out"] if not row["measure"]] == [
        (f"workbook {n}", "It holds the same notes as household 1. A season counts once.") for n in (1, 3, 4, 6)
    ]
    hashes = [row["season_sha256"] for row in found.document["households"]]
    assert hashes[0] == results["provenance"]["season_sha256"] != hashes[1]
    assert len(study([given, marked, path, whole, other], both=True)["households"]) == 5


def forged(data: bytes) -> bytes:
    """Results in which a figure was changed, and the hash of the season, under a seal that fits."""

    def attack(parts: forging.Parts) -> None:
        forging.on_number(lambda r, s, v: f'<c r="{r}" s="{s}"><v>{float(v) / 2}</v></c>')(parts)

    return forging.sealed_anew(forging.changed(data, attack))


@pytest.mark.slow
def test_results_that_do_not_hold_are_left_out_unless_asked_for(tmp_path: Path) -> None:
    path, later = write(tmp_path / "a.xlsx", small_season()), small_season()
    later["sessions"][0]["elapsed_time"] = 100
    results = score_file(path, None).results
    assert results is not None
    given = tmp_path / "given.xlsx"
    given.write_bytes(forged(results_bytes(results, paper="a4")))
    other = write(tmp_path / "b.xlsx", later)
    found = study_of_files([given, other], system=None, one_household=False)
    assert [name for _, name in found.names] == [other]
    assert [(name, fault.code) for name, fault in found.faults] == [(given, "pool-not-verified")]
    assert "The file says" in found.faults[0][1].text
    with_it = study_of_files([given, other], system=None, one_household=False, with_unverified=True)
    assert [name for _, name in with_it.names] == [given, other]
    assert [(name, fault.code) for name, fault in with_it.faults] == [(given, "pool-unverified")]


def test_a_workbook_that_cannot_be_computed_is_named_and_left_out(tmp_path: Path) -> None:
    data = small_season()
    data["sessions"] = []
    blank, good = write(tmp_path / "a.xlsx", data), write(tmp_path / "b.xlsx", small_season())
    found = study_of_files([blank, good], system=None, one_household=False)
    assert [name for _, name in found.names] == [good]
    assert found.faults == [(blank, problem("pool-cannot-be-computed", file="a.xlsx"))]


@pytest.mark.slow
def test_the_hash_of_a_season_is_computed_and_not_what_a_file_says(tmp_path: Path) -> None:
    path = write(tmp_path / "a.xlsx", small_season())
    results = score_file(path, None).results
    assert results is not None
    copies = [tmp_path / f"copy{n}.xlsx" for n in (1, 2)]
    given = shared(results)
    old = given["provenance"]["season_sha256"]
    other = old[::-1]
    forged = {**given, "provenance": {**given["provenance"], "season_sha256": other}}
    for copy, document in zip(copies, (given, forged), strict=True):
        copy.write_bytes(results_bytes(document, paper="a4"))
    found = study_of_files(copies, system=None, one_household=False)
    assert len(found.names) == 1
    assert [fault.code for _, fault in found.faults] == ["pool-same-notes"]
    assert found.document is not None
    assert found.document["households"][0]["season_sha256"] not in (other, old)


def test_what_this_program_wrote_of_many_is_no_season(seasons: list[Path], tmp_path: Path) -> None:
    found = study_of_files(seasons[:1], system=None, one_household=False)
    assert found.document is not None
    study, summary = tmp_path / "study.xlsx", tmp_path / "all.xlsx"
    study.write_bytes(study_bytes(found.document, paper="a4"))
    summary.write_bytes(summary_bytes([], paper="a4"))
    again = study_of_files([study, summary], system=None, one_household=False)
    assert again.document is None
    assert [fault.code for _, fault in again.faults] == ["header-of-many"] * 2
    assert ["is a study" in again.faults[0][1].text, "summary" in again.faults[1][1].text] == [True, True]
    for path in (study, summary):  # nobody is to name its sheets as those of a template
        assert [one.code for one in check_file(path).problems] == ["header-of-many"]
        carried = CliRunner().invoke(main, ["template", str(tmp_path / "new.xlsx"), "--from", str(path)])
        assert (carried.exit_code, (tmp_path / "new.xlsx").exists()) == (3, False)
        assert "not the workbook of one season" in carried.output
        begun = CliRunner().invoke(main, ["template", str(tmp_path / "new.xlsx"), "--next-year-from", str(path)])
        assert (begun.exit_code, (tmp_path / "new.xlsx").exists()) == (3, False)
        assert "not the workbook of one season" in begun.output  # what stops it is told, not that something does
    asked = CliRunner().invoke(main, ["explain", "--of", str(study), "season.delay_share"])
    assert "is a study" in asked.output


def test_a_way_of_one_season_has_the_year_of_its_prices_where_others_have_another(tmp_path: Path) -> None:
    paths = []
    for number, price_year in enumerate([2021, 2024]):
        data = small_season()
        data["season"]["price_year"] = price_year
        if number:
            data["methods"] = [one for one in data["methods"] if one["method"] != "By bow saw"]
            data["sessions"] = [one for one in data["sessions"] if one["method"] != "By bow saw"]
            data["helpers"] = []
            for session in data["sessions"]:
                session["elapsed_time"] += 5
        held = {session["session"] for session in data["sessions"]}
        for sheet in ("cuts", "stacks"):
            data[sheet] = [one for one in data[sheet] if one["session"] in held]
        paths.append(write(tmp_path / f"{number}.xlsx", data))
    document = study(paths, one_household=True)
    assert {row["money"][-4:] for row in rows(document, "figures", measure="cash")} == {"2021", "2024"}
    page = study_pages(document)[0]["Compare"]
    told = [[cell.text for _, cell in page.placed(line.cells)] for lines in page.pages() for line in lines]
    (by_hand,) = (row for row in told if row[:1] == ["Bucking, by hand"] and len(row) > 3)
    assert by_hand[-1].endswith("prices of 2021")


@pytest.mark.slow
def test_money_of_other_years_or_currencies_is_never_mixed(tmp_path: Path) -> None:
    paths = []
    for number, (currency, price_year) in enumerate([("NOK", 2021), ("NOK", 2024), ("NOK", None), ("SEK", 2024)]):
        data = small_season()
        data["season"] |= {"currency": currency} | ({} if price_year is None else {"price_year": price_year})
        for session in data["sessions"]:
            session["date"] = f"{2021 + number}{session['date'][4:]}".replace("2023", "2024")
            session["elapsed_time"] += number  # two of one year are not one season
        paths.append(write(tmp_path / f"{number}.xlsx", data))
    document = study(paths, one_household=True)
    cash = rows(document, "figures", kind="hand", measure="cash")
    assert [(row["money"], row["unit"], row["households_n"]) for row in cash] == [
        ("NOK, prices of 2021", "NOK/cord", 1),
        ("NOK, prices of 2024", "NOK/cord", 2),  # the year of the sessions where none is written
        ("SEK, prices of 2024", "SEK/cord", 1),
    ]
    (hours,) = rows(document, "figures", kind="hand", measure="worker_hours")
    assert (hours["money"], hours["households_n"]) == ("", 4)
    ratios = rows(document, "pairs", measure="cash")  # how many times as much hangs on the year far less
    assert [(row["money"], row["unit"], row["households_n"]) for row in ratios] == [("NOK", "", 3), ("SEK", "", 1)]
    assert rows(document, "trends", measure="worker_hours")
    assert rows(document, "trends", measure="cash") == []  # no three years in money of one


def tables_of(data: Data) -> SeasonTables:
    return season_tables(records(data))


@pytest.mark.slow
@pytest.mark.parametrize("name", few(demo_names(), "hill_farm_us"))
def test_parts_of_doubt_are_those_of_the_model_and_make_up_the_whole(name: str) -> None:
    data = demo_data(name)
    for tool in data["tools"]:
        if tool["held"] == "rented":  # days that are begun count whole: in so large steps parts do not add up
            tool["rent_per"] = "hour"
    rates = tables_of(data).rates
    given = parts_of_season(rates)
    of_kind = {one[:4]: one for one in given.parts}
    seen = set()
    for matched in given.matched:
        for measure in RATES:
            one = of_kind.get((matched.task, matched.kind, "", measure))
            if one is None or len(matched.methods) > 1:
                continue
            (totals,) = (t for t in rates.study.totals if t.method.name == matched.methods[0])
            shown = rates.figure(totals, measure)
            equal = rates.study.equal
            fit = equal.fit(matched.task, RECORDED[measure]) if measure in RECORDED else None
            assert (one.value, one.low, one.high) == pytest.approx((shown.value, shown.low, shown.high))
            assert shown.members is not None
            whole = float(np.var(np.log(shown.members[1:])))
            assert one.by_sessions + one.by_household + one.by_all == pytest.approx(whole, rel=0.1)
            if fit is not None:
                variance = long_run(fit).variance()[fit.design.methods.index(equal.number(totals))]
                assert one.by_sessions == pytest.approx(variance, rel=0.02)
            seen.add((measure, one.by_household > one.by_all))
    assert {measure for measure, _ in seen} == set(RATES)
    assert (CASH, True) in seen  # prices are the household's own
    assert (KCAL_NET, True) not in seen  # equations are everybody's


def test_every_input_is_of_one_source() -> None:
    rates = tables_of(demo_data(demo_names()[0])).rates
    asking = OneByOne()
    for totals in (t for t in rates.study.totals if t.counted):
        for measure in RATES:
            if rates.figure(totals, measure).members is not None:
                rates.by(asking).number(totals, measure)
    keys = list(asking.asked)
    assert all(sum(bool(source.has_input(key)) for source in SOURCES if source.has_input) == 1 for key in keys)
    own = {key.id.key for key in keys if is_of_household(key) and not isinstance(key, str)}
    common = {key if isinstance(key, str) else key.id.key for key in keys if not is_of_household(key)}
    assert {"tape", "price_of_tool", "price_of_fuel", "life_running"} <= own
    assert {"table", "reserve", "grid", "interest", "co2.gasoline"} <= common
    assert not own & common


def test_one_season_keeps_its_value_and_leaves_other_households_open(tmp_path: Path) -> None:
    path = write(tmp_path / "a.xlsx", small_season())
    results, document = score_file(path, None).results, study([path])
    assert results is not None
    (row,) = rows(document, "figures", kind="hand", measure="worker_hours")
    (own,) = rows(document, "contributions", kind="hand", other="", measure="worker_hours")
    printed = next(one for one in results["rates_per_cord"] if one["method"] == "By bow saw")["worker_hours"]
    assert [own[key] for key in ("value", "low", "high")] == [printed[key] for key in ("value", "low", "high")]
    assert row["value"]["value"] == printed["value"]
    wide = [math.log(one["high"] / one["low"]) for one in (printed, row["value"], row["next_household"])]
    assert wide == sorted(wide)
    assert wide[1] > 2  # of the average household one alone tells little
    assert (row["agreement"], row["spread"]["value"]) == ("one_season", None)
    assert row["spread"]["reason"] == "one season alone"


@pytest.mark.slow
def test_order_of_the_files_changes_no_pooled_figure(seasons: list[Path]) -> None:
    found, again = (study(paths) for paths in (seasons, seasons[::-1]))
    for table in ("figures", "pairs"):
        for one, other in zip(found[table], again[table], strict=True):
            moves = ("left_out", "without", "surety_without")  # two households may move it as much
            assert all(one[key] == other[key] for key in one if key not in moves)


@pytest.mark.slow
def test_more_seasons_make_hours_surer_but_never_the_equation_of_effort(tmp_path: Path) -> None:
    paths = []
    for number in range(6):
        data = small_season()
        for session in data["sessions"]:
            session["elapsed_time"] += number
        paths.append(write(tmp_path / f"{number}.xlsx", data))
    given = {one[:4]: one for one in parts_of_season(tables_of(small_season()).rates).parts}
    least = 1.96 * math.sqrt(given["buck", "hand", "", KCAL_NET].by_all)

    def halves(paths: list[Path]) -> list[float]:
        document = study(paths)
        measures = ("worker_hours", "kcal_net")
        values = [rows(document, "figures", kind="hand", measure=measure)[0]["value"] for measure in measures]
        return [math.log(one["high"] / one["low"]) / 2 for one in values]

    hours, effort = zip(halves(paths[:2]), halves(paths), strict=True)
    assert hours[1] < 0.7 * hours[0]
    assert hours[1] < least < effort[1] < effort[0]


def test_methods_of_a_kind_are_one_and_do_not_shrink_what_they_share() -> None:
    data = small_season()
    alone = {one[:4]: one for one in parts_of_season(tables_of(data).rates).parts}
    data["methods"].append(data["methods"][0] | {"method": "By frame saw"})
    hand = [session for session in data["sessions"] if session["method"] == "By bow saw"]
    hand[0]["method"] = "By frame saw"
    rates = tables_of(data).rates
    given = parts_of_season(rates)
    both = {one[:4]: one for one in given.parts}
    assert [one.methods for one in given.matched if one.kind == "hand"] == [("By bow saw", "By frame saw")]
    for measure in (WORKER_HOURS, KCAL_NET):
        place = ("buck", "hand", "", measure)
        assert both[place].sessions_n == len(hand)
        of_each = [
            rates.figure(t, measure).value or 0.0 for t in rates.study.totals if t.method.name != "By chain saw"
        ]
        assert min(of_each) <= both[place].value <= max(of_each)
        assert both[place].by_all == pytest.approx(alone[place].by_all, rel=0.1)


def test_figures_without_an_interval_are_left_out() -> None:
    data = small_season()
    data["tools"][0]["price"] = 0  # the bow saw: cash is nothing, which has no log
    given = parts_of_season(tables_of(data).rates)
    found = {(one.kind, one.other, one.measure) for one in given.parts}
    assert ("hand", "", CASH) not in found
    assert ("hand", "gasoline two-stroke", CASH) not in found
    assert {("hand", "", WORKER_HOURS), ("gasoline two-stroke", "", CASH)} <= found
    assert [(one.kind, one.measure, one.reason) for one in given.not_given if one.measure == CASH] == [
        ("hand", CASH, "it takes none")
    ]


def test_a_ratio_is_of_one_season_alone_and_what_both_ways_share_cancels_in_it() -> None:
    given = {one[:4]: one for one in parts_of_season(tables_of(trial_season()).rates).parts}
    hand, saw = (given["buck", kind, "", WORKER_HOURS] for kind in ("hand", "gasoline two-stroke"))
    ratio = given["buck", "hand", "gasoline two-stroke", WORKER_HOURS]
    assert ratio.value == pytest.approx(hand.value / saw.value)
    assert ratio.by_household < 0.2 * (hand.by_household + saw.by_household)  # one tape
    cash = [given["buck", kind, "", CASH].value for kind in ("hand", "gasoline two-stroke")]
    flip = given["buck", "hand", "gasoline two-stroke", FLIP]
    assert flip.value == pytest.approx((cash[1] - cash[0]) / (hand.value - saw.value))
    assert 0 < flip.low < flip.value < flip.high


@pytest.mark.slow
def test_a_study_in_the_folder_itself_can_be_made_again(seasons: list[Path], tmp_path: Path) -> None:
    folder, seasons = tmp_path, [Path(shutil.copy(path, tmp_path)) for path in seasons]
    out = folder / "study.xlsx"
    for flags in ([], ["--replace"]):
        done = CliRunner().invoke(main, ["pool", str(folder), "--out", str(folder / "study"), *flags])
        assert (done.exit_code, "study.xlsx" in done.output, "season 5" in done.output) == (0, True, False)
    named = CliRunner().invoke(main, ["pool", *map(str, seasons), str(out), "--out", str(out), "--replace"])
    assert named.exit_code == 0  # as *.xlsx names them


def test_files_of_a_folder_are_numbered_alike_on_every_system(tmp_path: Path) -> None:
    for name in ("b.xlsx", "A.ods", "a-2.xlsx", "B-results.xlsx", "C.XLSX", "~$b.xlsx", "._b.xlsx", "note.txt"):
        (tmp_path / name).touch()
    assert [path.name for path in input_files([tmp_path])] == ["a-2.xlsx", "A.ods", "b.xlsx", "C.XLSX"]


def of(name: str, part: Part, *, year: int | str = "", currency: str = "NOK", price_year: int | str = 2024) -> Part:
    row = {"household": name, "year": str(year), "currency": currency, "price_year": str(price_year)}
    return in_study(part, row, "metric")


def part(value: float, own: float, *, household: float = 0.0, shared: float = 0.0, of: str = WORKER_HOURS) -> Part:
    return Part("split", "hand", "", of, 3, value, 0.5 * value, 2 * value, own, household, shared)


WORKED = [(math.exp(y), v) for y, v in zip((0.10, 0.35, 0.20), (0.02, 0.03, 0.015), strict=True)]


def logs(cell: Row) -> list[str]:
    return [f"{math.log(cell[key]):.4f}" for key in ("value", "low", "high")]


@pytest.mark.parametrize("one_household", [False, True])
def test_worked_case_of_three_seasons(one_household: bool) -> None:
    """Worked case 13: what all share stands with the published figures, or in one household with its own tape."""
    doubt = {"household": 0.01} if one_household else {"shared": 0.01}
    seasons = [of(str(n), part(*one, **doubt)) for n, one in enumerate(WORKED)]
    for order in (seasons, seasons[::-1]):
        (one,) = pooled_figures(order, one_household=one_household)
        row = one.row()
        assert logs(row["value"]) == ["0.2071", "-0.1896", "0.6138"]
        assert logs(row["next_household"])[1:] == ["-0.4844", "0.9118"]
        assert row["agreement"] == "open"
        assert sum(part["weight"] for part in one.contributions()) == pytest.approx(100, rel=1e-4)


def test_what_is_a_households_own_counts_as_its_own() -> None:
    """The same worked case without what all share: a part of each season's variance is by its own tape and prices."""
    seasons = [of(str(n), part(value, 0.6 * v, household=0.4 * v)) for n, (value, v) in enumerate(WORKED)]
    (one,) = pooled_figures(seasons, one_household=False)
    assert logs(one.row()["value"])[1:] == ["-0.1465", "0.5734"]


def test_one_who_stands_apart_is_named_and_what_leaving_it_out_would_change() -> None:
    def figure(*values: float) -> PooledFigure:
        (one,) = pooled_figures([of(f"h{n}", part(v, 0.004)) for n, v in enumerate(values)], one_household=False)
        return one

    like = figure(2.0, 2.1, 1.9, 2.2, 2.0, 2.1, 1.95)
    assert (like.row()["apart"], like.row()["surety"]) == ("", "settled")
    with_one = figure(2.0, 2.1, 1.9, 2.2, 2.0, 2.1, 12.0)
    row = with_one.row()
    assert (row["apart"], row["left_out"]) == ("h6", "h6")
    assert row["without"]["value"] == pytest.approx(figure(2.0, 2.1, 1.9, 2.2, 2.0, 2.1).row()["value"]["value"])
    assert row["without"]["value"] < row["value"]["value"]
    assert figure(2.0, 12.0).row()["apart"] == ""  # of two nobody knows which


def test_cash_of_one_year_is_pooled_by_itself() -> None:
    cash = {"of": CASH}
    seasons = [of(str(n), part(4.0 + n, 0.1, **cash), price_year=2023 + n // 2) for n in range(4)]
    others = of("e", part(9.0, 0.1, **cash), currency="SEK")
    found = pooled_figures([others, *seasons], one_household=False)
    assert [(one.about["money"], len(one.parts)) for one in found] == [
        ("NOK, prices of 2023", 2),
        ("NOK, prices of 2024", 2),
        ("SEK, prices of 2024", 1),
    ]
    assert of("f", part(4.0, 0.1, **cash), price_year="").money == "NOK, prices of an unknown year"


def test_trend_needs_three_years() -> None:
    years = [of(str(year), part(4.0 * 1.1**year, 1e-4), year=2020 + year) for year in range(3)]
    assert list(trend_rows(pooled_figures(years[:2], one_household=True))) == []
    (row,) = trend_rows(pooled_figures(years, one_household=True))
    assert row["per_year"]["value"] == pytest.approx(10.0)
    assert row["trend"] == "more"


def test_seasons_on_a_line_by_chance_are_no_surer_of_it_than_each_of_itself() -> None:
    years = [of(str(year), part(4.0 * 1.1**year, 0.25), year=2020 + year) for year in range(3)]
    (row,) = trend_rows(pooled_figures(years, one_household=True))
    half = 1.959964 * 0.5 * math.sqrt((1 + 0 + 1) / 4)  # weights of the years in the slope: -1/2, 0, 1/2
    ends = [100 * (1.1 * math.exp(sign * half) - 1) for sign in (-1, 1)]
    assert [row["per_year"]["low"], row["per_year"]["high"]] == pytest.approx(ends, rel=1e-4)
    assert row["trend"] == "no_change"


def test_seasons_far_from_a_line_are_less_sure_of_it_than_each_of_itself() -> None:
    years = [of(str(n), part(hours, 1e-6), year=2020 + n) for n, hours in enumerate((4.0, 6.0, 5.0))]
    (row,) = trend_rows(pooled_figures(years, one_household=True))
    assert row["per_year"]["low"] < -80
    assert row["per_year"]["high"] > 300


def test_results_in_a_folder_are_pooled_where_their_workbook_is_not_there(tmp_path: Path) -> None:
    for name in ("a.xlsx", "a-results.xlsx", "all-results.xlsx", "b-results.xlsx", "c.xlsx", "d-marked.xlsx"):
        (tmp_path / name).touch()
    found = [path.name for path in input_files([tmp_path], with_results=True)]
    assert found == ["a.xlsx", "b-results.xlsx", "c.xlsx"]


def test_of_two_methods_of_a_kind_the_surer_counts_more() -> None:
    data = small_season()
    data["methods"].append(data["methods"][0] | {"method": "By frame saw"})
    frame, _, bow = data["sessions"]
    frame["method"] = "By frame saw"
    for name in ("D", "E"):  # three sessions by bow saw, one by frame saw
        data["sessions"].append(bow | {"session": name})
        data["stacks"].append(data["stacks"][0] | {"session": name})
    rates = tables_of(data).rates
    place = ("buck", "hand", "", WORKER_HOURS)
    (both,) = [one.value for one in parts_of_season(rates).parts if one[:4] == place]
    surer, other = (
        next(rates.figure(t, "worker_hours").value for t in rates.study.totals if t.method.name == name)
        for name in ("By bow saw", "By frame saw")
    )
    assert surer is not None
    assert other is not None
    assert surer < both < math.sqrt(surer * other)
