"""Many workbooks at once: in order, on all cores, without doing anything twice."""

from __future__ import annotations

import hashlib
import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from builders import small_season
from openpyxl import load_workbook

from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.many import RECORD_NAME, Record, score_many
from wood_xl.scoring import NOTHING_WRITTEN, Order

# What is started in the background may have been told to ignore interrupts, and would hand that on.
INTERRUPTIBLE = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)
from wood_xl.cli import main
main()
"""
NAMES = ("ash", "birch", "cherry", "elm", "fir")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for number, name in enumerate(NAMES):
        data = small_season()
        data["sessions"][0]["elapsed_time"] = 90 + number
        write(tmp_path / f"{name}.xlsx", data)
    return tmp_path


def write(path: Path, data: dict) -> None:
    path.write_bytes(packed(filled_workbook(data, system="metric", currency="NOK", paper="a4")))


def run(*arguments: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "wood_xl", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)


def orders(folder: Path) -> list[Order]:
    return [Order(folder / f"{name}.xlsx", folder / f"{name}-results.xlsx", may_replace=True) for name in NAMES]


def test_folder_is_scored_in_order_and_the_same_on_any_number_of_cores(folder: Path) -> None:
    alone = list(score_many(orders(folder), Record(folder / "one"), cores=1))
    first = {path.name: path.read_bytes() for path in folder.glob("*-results.xlsx")}
    both = list(score_many(orders(folder), Record(folder / "two"), cores=2))
    assert alone == both
    assert [Path(outcome.path).stem for outcome, _ in both] == list(NAMES)
    assert {path.name: path.read_bytes() for path in folder.glob("*-results.xlsx")} == first
    assert len(first) == len(NAMES)


def test_second_run_leaves_what_is_unchanged(folder: Path) -> None:
    assert run("score", folder).returncode == 0
    before = {path: path.stat().st_mtime_ns for path in folder.glob("*-results.xlsx")}
    data = small_season()
    data["sessions"][0]["elapsed_time"] = 200
    write(folder / "cherry.xlsx", data)
    (folder / "elm-results.xlsx").unlink()
    again = run("score", folder, "--replace")
    assert again.returncode == 0
    assert "3 of 5 workbooks are unchanged" in again.stdout
    changed = {path.name for path, stamp in before.items() if path.stat().st_mtime_ns != stamp}
    assert changed == {"all-results.xlsx", "cherry-results.xlsx", "elm-results.xlsx"}
    third = run("score", folder)
    assert "5 of 5 workbooks are unchanged" in third.stdout
    assert "3 of 5" not in run("score", folder, "--units", "us", "--replace").stdout


def test_changed_results_are_written_over_only_when_asked(folder: Path) -> None:
    run("score", folder)
    (folder / "ash-results.xlsx").write_bytes(b"mine")
    refused = run("score", folder)
    assert refused.returncode == 3
    assert "ash-results.xlsx already exists" in refused.stderr
    assert (folder / "ash-results.xlsx").read_bytes() == b"mine"


def test_one_bad_file_never_stops_the_rest(folder: Path) -> None:
    (folder / "birch.xlsx").write_bytes(b"PK not a workbook")
    result = run("score", folder)
    assert result.returncode == 3
    assert "birch.xlsx" in result.stderr
    assert "Traceback" not in result.stderr
    assert len(list(folder.glob("*-results.xlsx"))) == len(NAMES)  # one is the summary
    again = run("score", folder)
    assert (again.returncode, "4 of 5 workbooks are unchanged" in again.stdout) == (3, True)
    assert "birch.xlsx" in again.stderr


def test_a_file_where_a_folder_should_be_is_one_line(folder: Path) -> None:
    (folder / "plain").write_text("mine", encoding="utf-8")
    for given in (folder, folder / "ash.xlsx"):
        done = run("score", given, "--out", folder / "plain")
        assert (done.returncode, done.stdout) == (NOTHING_WRITTEN, "")
        assert "STOP  " in done.stderr
        assert "Traceback" not in done.stderr
    assert (folder / "plain").read_text(encoding="utf-8") == "mine"


def test_a_folder_may_have_a_dot_in_its_name(folder: Path) -> None:
    (folder / "results.2026").mkdir()
    done = run("score", folder, "--out", folder / "results.2026")
    assert done.returncode == 0, done.stderr
    assert (folder / "results.2026" / "ash-results.xlsx").is_file()


def test_a_record_that_cannot_be_written_is_one_line(folder: Path) -> None:
    (folder / RECORD_NAME).mkdir()
    done = run("score", folder)
    assert done.returncode == NOTHING_WRITTEN
    assert "STOP  " in done.stderr
    assert "Traceback" not in done.stderr
    assert (folder / "ash-results.xlsx").is_file()


def test_an_outcome_that_another_build_kept_is_made_again(folder: Path) -> None:
    assert run("score", folder).returncode == 0
    record = folder / RECORD_NAME
    kept = json.loads(record.read_text(encoding="utf-8"))
    for entry in kept.values():
        entry["outcome"]["of another build"] = 1
    record.write_text(json.dumps(kept), encoding="utf-8")
    again = run("score", folder, "--replace")
    assert again.returncode == 0, again.stderr
    assert "unchanged" not in again.stdout


def test_two_workbooks_that_want_one_output_stop_only_themselves(folder: Path) -> None:
    (folder / "b").mkdir()
    (folder / "b" / "ash.xlsx").write_bytes((folder / "elm.xlsx").read_bytes())
    given = [folder / "ash.xlsx", folder / "b" / "ash.xlsx", folder / "fir.xlsx"]
    result = run("score", *given, "--out", folder / "out")
    assert result.returncode == NOTHING_WRITTEN
    for path in given[:2]:
        assert f"{path}: Another workbook would write {folder / 'out' / 'ash-results.xlsx'} too" in result.stderr
    assert sorted(path.name for path in (folder / "out").glob("*.xlsx")) == ["all-results.xlsx", "fir-results.xlsx"]


def test_one_that_would_write_over_an_input_stops_only_itself(folder: Path) -> None:
    (folder / "ash-results.xlsx").symlink_to(folder / "birch.xlsx")
    before = (folder / "birch.xlsx").read_bytes()
    result = run("score", folder)
    assert result.returncode == NOTHING_WRITTEN
    assert "ash-results.xlsx" in result.stderr
    assert (folder / "birch.xlsx").read_bytes() == before
    assert (folder / "birch-results.xlsx").is_file()


def test_results_of_an_edited_workbook_are_replaced_and_of_one_that_is_gone_named(folder: Path) -> None:
    assert run("score", folder).returncode == 0
    before = (folder / "cherry-results.xlsx").read_bytes()
    data = small_season()
    data["sessions"][0]["elapsed_time"] = 200
    write(folder / "cherry.xlsx", data)
    (folder / "elm.xlsx").unlink()
    (folder / "fir.xlsx").write_bytes(b"PK no more")
    again = run("score", folder)
    assert (folder / "cherry-results.xlsx").read_bytes() != before
    assert "already there" not in again.stderr
    stale = [line for line in again.stdout.splitlines() if "results of before" in line]
    assert [Path(line.split()[1].rstrip(":")).name for line in stale] == ["elm-results.xlsx", "fir-results.xlsx"]
    rows = list(load_workbook(folder / "all-results.xlsx")["Workbooks"].iter_rows(values_only=True))
    states = {row[0]: row[1] for row in rows if row[0]}
    assert states["fir.xlsx"] == "nothing written"
    assert {states[f"{name}-results.xlsx"] for name in ("elm", "fir")} == {
        "results of before: their workbook is gone, or could not be scored now"
    }


def test_whatever_else_a_folder_holds_is_told_and_has_a_line(folder: Path) -> None:
    (folder / "last year").mkdir()
    (folder / "notes.txt").write_text("mine", encoding="utf-8")
    result = run("score", folder)
    assert result.returncode == 0
    told = f"Not read: {folder / 'last year'} (a folder), {folder / 'notes.txt'}"
    assert told in result.stderr
    book = load_workbook(folder / "all-results.xlsx")
    states = {row[0]: row[1] for row in book["Workbooks"].iter_rows(values_only=True) if row[0]}
    assert states["last year"] == "a folder: not looked into"
    assert states["notes.txt"] == "not read: no .xlsx, .xlsm or .ods"
    header = next(row for row in book["Methods"].iter_rows(values_only=True) if row[0] == "Workbook")
    assert header[1] == "Currency"
    assert "Not read: " in run("pool", folder, "--out", folder / "study.xlsx").stderr


def test_another_build_scores_again(folder: Path) -> None:
    assert run("score", folder).returncode == 0
    record = folder / RECORD_NAME
    kept = json.loads(record.read_text(encoding="utf-8"))
    kept[str(folder / "ash.xlsx")]["asked"]["build"] = "0" * 64
    record.write_text(json.dumps(kept), encoding="utf-8")
    again = run("score", folder)
    assert again.returncode == 0, again.stderr
    assert "4 of 5 workbooks are unchanged" in again.stdout


@pytest.mark.parametrize("text", ["", "{", "[]", '{"x": 1}', '{"x": {"asked": {}}}', "[" * 200_000])
def test_a_record_that_cannot_be_read_counts_as_empty(text: str, folder: Path) -> None:
    (folder / RECORD_NAME).write_text(text, encoding="utf-8")
    assert Record(folder / RECORD_NAME).unchanged(orders(folder)[0]) is None
    assert run("score", folder).returncode == 0


def test_what_was_not_written_is_tried_again(folder: Path) -> None:
    record = Record(folder / "record")
    (folder / "ash.xlsx").write_bytes(b"")
    outcomes = dict(zip(NAMES, score_many(orders(folder), record, cores=1), strict=True))
    assert outcomes["ash"][0].code == NOTHING_WRITTEN
    assert record.unchanged(orders(folder)[0]) is None
    assert record.unchanged(orders(folder)[1]) == replace(outcomes["birch"][0], report=())


def test_the_record_holds_nothing_that_was_told(folder: Path) -> None:
    """Lines of the report name people and cells, also where the results are shared."""
    order = replace(orders(folder)[0], is_shared=True)
    list(score_many([order], Record(folder / "record"), cores=1))
    text = (folder / "record").read_text(encoding="utf-8")
    assert str(order.path) in text
    assert not [name for name in ("Ada", "People!") if name in text]


FORGED = {
    "other results": lambda entry: entry,
    "no outcome": lambda entry: {**entry, "outcome": {**entry["outcome"], "rates": [{"method": "x"}]}},
    "an outcome that is a list": lambda entry: {**entry, "outcome": [1, 2]},
    "another file": lambda entry: {**entry, "outcome": {**entry["outcome"], "path": "x"}},
    "another code": lambda entry: {**entry, "outcome": {**entry["outcome"], "code": 3}},
}


@pytest.mark.parametrize("kind", FORGED)
def test_a_forged_record_is_not_believed(kind: str, folder: Path) -> None:
    order, path = orders(folder)[0], folder / "record"
    list(score_many([order], Record(path), cores=1))
    assert Record(path).unchanged(order) is not None
    entries = json.loads(path.read_text(encoding="utf-8"))
    entry = FORGED[kind](entries[str(order.path)])
    if kind == "other results":  # a whole results workbook, but of another season, with its hash in the record
        list(score_many([orders(folder)[1]], Record(folder / "more"), cores=1))
        order.target.write_bytes(orders(folder)[1].target.read_bytes())
        entry = {**entry, "written": hashlib.sha256(order.target.read_bytes()).hexdigest()}
    path.write_text(json.dumps({str(order.path): entry}), encoding="utf-8")
    assert Record(path).unchanged(order) is None


def test_a_summary_is_replaced_for_what_it_is_and_not_on_the_record_s_word(folder: Path) -> None:
    only = [folder / f"{name}.xlsx" for name in NAMES[:2]]
    for path in folder.glob("*.xlsx"):
        if path not in only:
            path.unlink()
    assert run("score", folder).returncode == 0
    summary = folder / "all-results.xlsx"
    assert run("score", folder).returncode == 0  # its own
    summary.write_bytes(only[0].read_bytes())
    assert run("score", folder).returncode == 3
    assert summary.read_bytes() == only[0].read_bytes()


def test_summary_has_a_row_for_each_workbook_and_each_method(folder: Path) -> None:
    (folder / "birch.xlsx").write_bytes(b"PK not a workbook")
    assert "Wrote" in run("score", folder).stdout
    path = folder / "all-results.xlsx"
    book = load_workbook(path)
    files = [[cell.value for cell in row] for row in book["Workbooks"].iter_rows(min_row=4)]
    assert [row[:2] for row in files] == [
        [f"{name}.xlsx", "nothing written" if name == "birch" else "written"] for name in NAMES
    ]
    assert files[1][6] == 1
    assert "birch.xlsx" in files[1][8]
    rates = [[cell.value for cell in row] for row in book["Methods"].iter_rows(min_row=3) if cell_is_text(row)]
    heads, *rows = rates
    hours = heads.index("Worker hours [h/cord]")
    assert [row[0] for row in rows] == [f"{name}.xlsx" for name in NAMES if name != "birch" for _ in range(2)]
    assert rows[0][hours] < rows[2][hours] < rows[4][hours]
    before = path.read_bytes()
    assert run("score", folder).returncode == 3
    assert path.read_bytes() == before


def cell_is_text(row: tuple[Any, ...]) -> bool:
    return isinstance(row[0].value, str) and row[1].value is not None


def test_a_file_of_the_summary_s_name_is_not_written_over(folder: Path) -> None:
    (folder / "all-results.xlsx").write_bytes(b"mine")
    refused = run("score", folder)
    assert refused.returncode == 3
    assert "all-results.xlsx already exists" in refused.stderr
    assert (folder / "all-results.xlsx").read_bytes() == b"mine"


@pytest.mark.slow
def test_interrupt_leaves_only_whole_files(folder: Path) -> None:
    for number in range(60):
        (folder / f"x{number:02}.xlsx").write_bytes((folder / "ash.xlsx").read_bytes())
    command = [sys.executable, "-c", INTERRUPTIBLE, "score", str(folder)]
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    deadline = time.monotonic() + 60
    while len(list(folder.glob("*-results.xlsx"))) < 3 and time.monotonic() < deadline:
        time.sleep(0.05)
    os.killpg(process.pid, signal.SIGINT)
    _, errors = process.communicate(timeout=60)
    assert process.returncode == NOTHING_WRITTEN
    assert "the same command goes on from here" in errors
    assert "Traceback" not in errors
    assert not list(folder.glob("*.part"))
    done = sorted(folder.glob("*-results.xlsx"))
    assert folder / "all-results.xlsx" not in done
    assert 3 <= len(done) < 65
    again = run("score", folder, "--replace")
    assert again.returncode == 0
    assert "are unchanged" in again.stdout
    assert len(list(folder.glob("*-results.xlsx"))) == 66
