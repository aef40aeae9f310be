"""Many workbooks at once: in order, on all core_count, without doing anything twice."""

from __future__ import annotations

import hashlib
import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import forging
import pytest
from builders import metric_workbook, small_season
from click.testing import CliRunner, Result
from openpyxl import load_workbook

from wood_xl import batch
from wood_xl.batch import RECORD_NAME, Record, WorkerLost, parallel_map, score_many, scored_or_known
from wood_xl.cli import main
from wood_xl.notes.problem import problem
from wood_xl.scoring import NOTHING_WRITTEN, Order, Outcome, Places

# What is started in the background may have been told to ignore interrupts, and would hand that on.
INTERRUPTIBLE = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)
from wood_xl.cli import main
main()
"""
NAMES = ("ash", "birch", "cherry")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for number, name in enumerate(NAMES):
        (tmp_path / f"{name}.xlsx").write_bytes(workbook(90 + number))
    return tmp_path


@cache
def workbook(minutes: int) -> bytes:
    """A small season whose first session took so long."""
    data = small_season()
    data["sessions"][0]["elapsed_time"] = minutes
    return metric_workbook(data)


@pytest.fixture(autouse=True)
def _one_core(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each further process imports all anew; that more of them give the same is shown once."""
    monkeypatch.setattr(batch, "core_count", lambda: 1)


def run(*arguments: object) -> Result:
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def run_outside(*arguments: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "wood_xl", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)


def known(record: Path, order: Order) -> Outcome | None:
    """What a record knows of an order that is unchanged; of others nothing, and they are scored."""
    outcome, _, is_known = scored_or_known((order, Record(record).line(order)))
    return outcome if is_known else None


def orders(folder: Path) -> list[Order]:
    places = (Places(folder / f"{name}-results.xlsx", may_replace=True) for name in NAMES)
    return [Order(folder / f"{name}.xlsx", place) for name, place in zip(NAMES, places, strict=True)]


@pytest.mark.slow
def test_folder_is_scored_in_order_and_the_same_on_any_number_of_cores(folder: Path) -> None:
    alone = list(score_many(orders(folder), Record(folder / "one"), cores=1))
    first = {path.name: path.read_bytes() for path in folder.glob("*-results.xlsx")}
    both = list(score_many(orders(folder), Record(folder / "two"), cores=2))
    assert alone == both
    assert [Path(outcome.path).stem for outcome, _ in both] == list(NAMES)
    assert {path.name: path.read_bytes() for path in folder.glob("*-results.xlsx")} == first
    assert len(first) == len(NAMES)


@pytest.mark.slow
def test_a_second_run_skips_unchanged_workbooks(folder: Path) -> None:
    assert run("score", folder).exit_code == 0
    before = {path: path.stat().st_mtime_ns for path in folder.glob("*-results.xlsx")}
    (folder / "birch.xlsx").write_bytes(workbook(200))
    (folder / "cherry-results.xlsx").unlink()
    again = run("score", folder, "--replace")
    assert again.exit_code == 0
    assert "1 of 3 workbooks are unchanged" in again.output
    changed = {path.name for path, stamp in before.items() if path.stat().st_mtime_ns != stamp}
    assert changed == {"all-results.xlsx", "birch-results.xlsx", "cherry-results.xlsx"}
    third = run("score", folder)
    assert "3 of 3 workbooks are unchanged" in third.output


@pytest.mark.slow
def test_the_current_folder_has_the_same_record_as_its_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "wood").mkdir()
    for name in ("ash", "birch"):
        (tmp_path / "wood" / f"{name}.xlsx").write_bytes(workbook(100))
    monkeypatch.chdir(tmp_path)
    assert run("score", "wood").exit_code == 0
    monkeypatch.chdir(tmp_path / "wood")
    again = run("score", ".")
    assert "2 of 2 workbooks are unchanged" in again.output
    assert "Their workbook is gone" not in again.output
    (tmp_path / "wood" / "ash.xlsx").write_bytes(workbook(120))
    assert "Wrote ash-results.xlsx" in run("score", ".").output


@pytest.mark.slow
def test_changed_results_are_written_over_only_when_asked(folder: Path) -> None:
    run("score", folder)
    (folder / "ash-results.xlsx").write_bytes(b"mine")
    refused = run("score", folder)
    assert refused.exit_code == 3
    assert "ash-results.xlsx already exists" in refused.output
    assert (folder / "ash-results.xlsx").read_bytes() == b"mine"


def test_one_bad_file_never_stops_the_rest(folder: Path) -> None:
    (folder / "birch.xlsx").write_bytes(b"PK not a workbook")
    result = run("score", folder)
    assert result.exit_code == 3
    assert "birch.xlsx" in result.output
    assert len(list(folder.glob("*-results.xlsx"))) == len(NAMES)  # one is the summary
    again = run("score", folder)
    assert (again.exit_code, "2 of 3 workbooks are unchanged" in again.output) == (3, True)
    assert "birch.xlsx" in again.output


@pytest.mark.slow
def test_a_link_that_leads_to_itself_stops_no_other(folder: Path) -> None:
    for name, other in (("x.xlsx", "y.xlsx"), ("y.xlsx", "x.xlsx")):
        (folder / name).symlink_to(other)
    done = run("score", folder)
    assert done.exit_code == NOTHING_WRITTEN
    assert len(list(folder.glob("*-results.xlsx"))) == len(NAMES) + 1
    assert [line.split(":")[0] for line in done.stderr.splitlines()] == ["STOP  x.xlsx", "STOP  y.xlsx"]
    done = run("pool", folder, "--out", folder / "study.xlsx")
    assert "STOP" in done.output
    assert "Wrote" in done.output


def test_a_file_where_a_folder_should_be_is_one_line(folder: Path) -> None:
    plain = folder / "plain"
    plain.write_text("mine", encoding="utf-8")
    line = f"STOP  {problem('output-is-file', file=str(plain)).line()}\n"
    for given in (["score", folder], ["score", folder / "ash.xlsx"], ["demo"]):
        done = run(*given, *(["--out"] if len(given) > 1 else []), plain)
        assert (done.exit_code, done.stdout) == (NOTHING_WRITTEN, "")
        assert done.stderr.removeprefix(f"Not read: {plain}\n") == line
    assert (folder / "plain").read_text(encoding="utf-8") == "mine"


@pytest.mark.slow
def test_a_folder_may_have_a_dot_in_its_name(folder: Path) -> None:
    (folder / "results.2026").mkdir()
    done = run("score", folder, "--out", folder / "results.2026")
    assert done.exit_code == 0, done.output
    assert (folder / "results.2026" / "ash-results.xlsx").is_file()


@pytest.mark.slow
def test_a_record_that_cannot_be_written_is_one_line(folder: Path) -> None:
    (folder / RECORD_NAME).mkdir()
    done = run("score", folder)
    assert done.exit_code == NOTHING_WRITTEN
    assert "STOP  " in done.output
    assert (folder / "ash-results.xlsx").is_file()


@pytest.mark.slow
def test_an_outcome_recorded_by_another_build_is_computed_again(folder: Path) -> None:
    assert run("score", folder).exit_code == 0
    record = folder / RECORD_NAME
    entries = [json.loads(line) for line in record.read_text(encoding="utf-8").splitlines()]
    for entry in entries:
        entry["outcome"]["of another build"] = 1
    record.write_text("\n".join(map(json.dumps, entries)), encoding="utf-8")
    again = run("score", folder, "--replace")
    assert again.exit_code == 0, again.output
    assert "unchanged" not in again.output


@pytest.mark.slow
def test_two_workbooks_that_want_one_output_stop_only_themselves(folder: Path) -> None:
    (folder / "b").mkdir()
    (folder / "b" / "ash.xlsx").write_bytes((folder / "birch.xlsx").read_bytes())
    given = [folder / "ash.xlsx", folder / "b" / "ash.xlsx", folder / "cherry.xlsx"]
    result = run("score", *given, "--out", folder / "out")
    assert result.exit_code == NOTHING_WRITTEN
    for path in given[:2]:
        assert (
            f"{path}: Another workbook, or the summary, would write {folder / 'out' / 'ash-results.xlsx'} too"
            in result.output
        )
    assert sorted(path.name for path in (folder / "out").glob("*.xlsx")) == [
        "all-results.xlsx",
        "cherry-results.xlsx",
    ]


@pytest.mark.slow
def test_one_that_would_write_over_an_input_stops_only_itself(folder: Path) -> None:
    (folder / "ash-results.xlsx").symlink_to(folder / "birch.xlsx")
    before = (folder / "birch.xlsx").read_bytes()
    result = run("score", folder)
    assert result.exit_code == NOTHING_WRITTEN
    assert "ash-results.xlsx" in result.output
    assert (folder / "birch.xlsx").read_bytes() == before
    assert (folder / "birch-results.xlsx").is_file()


@pytest.mark.slow
def test_results_of_an_edited_workbook_are_replaced_and_of_one_that_is_gone_named(folder: Path) -> None:
    assert run("score", folder).exit_code == 0
    before = (folder / "ash-results.xlsx").read_bytes()
    (folder / "ash.xlsx").write_bytes(workbook(200))
    (folder / "birch.xlsx").unlink()
    (folder / "cherry.xlsx").write_bytes(b"PK no more")
    again = run("score", folder)
    assert (folder / "ash-results.xlsx").read_bytes() != before
    assert "already there" not in again.output
    stale = [line for line in again.output.splitlines() if "results of before" in line]
    assert [Path(line.split()[1].rstrip(":")).name for line in stale] == ["birch-results.xlsx", "cherry-results.xlsx"]
    rows = list(load_workbook(folder / "all-results.xlsx")["Workbooks"].iter_rows(values_only=True))
    states = {row[0]: row[1] for row in rows if row[0]}
    assert states["cherry.xlsx"] == "nothing written"
    assert {states[f"{name}-results.xlsx"] for name in ("birch", "cherry")} == {
        "old results: their workbook is gone, or could not be scored this time"
    }


@pytest.mark.slow
def test_other_files_of_a_folder_are_listed(folder: Path) -> None:
    (folder / "last year").mkdir()
    (folder / "notes.txt").write_text("mine", encoding="utf-8")
    result = run("score", folder)
    assert result.exit_code == 0
    told = f"Not read: {folder / 'last year'} (a folder), {folder / 'notes.txt'}"
    assert told in result.output
    book = load_workbook(folder / "all-results.xlsx")
    states = {row[0]: row[1] for row in book["Workbooks"].iter_rows(values_only=True) if row[0]}
    assert states["last year"] == "a folder: not looked into"
    assert states["notes.txt"] == "not read: no .xlsx, .xlsm or .ods"
    header = next(row for row in book["Methods"].iter_rows(values_only=True) if row[0] == "Workbook")
    assert header[1] == "Currency"
    assert "Not read: " in run("pool", folder, "--out", folder / "study.xlsx").output


@pytest.mark.slow
def test_another_build_scores_again(folder: Path) -> None:
    assert run("score", folder).exit_code == 0
    record = folder / RECORD_NAME
    entries = [json.loads(line) for line in record.read_text(encoding="utf-8").splitlines()]
    assert entries[0]["outcome"]["path"] == str(folder / "ash.xlsx")
    entries[0]["asked"]["build"] = "0" * 64
    record.write_text("\n".join(map(json.dumps, entries)), encoding="utf-8")
    again = run("score", folder)
    assert again.exit_code == 0, again.output
    assert "2 of 3 workbooks are unchanged" in again.output
    assert "of 3 workbooks are unchanged" not in run("score", folder, "--units", "us", "--replace").output


@pytest.mark.slow
def test_a_record_that_cannot_be_read_counts_as_empty(folder: Path) -> None:
    for text in ("", "{", "[]", '{"x": 1}', '{"x": {"asked": {}}}', "[" * 200_000):
        (folder / RECORD_NAME).write_text(text, encoding="utf-8")
        assert known(folder / RECORD_NAME, orders(folder)[0]) is None, text[:20]
    assert run("score", folder, "--replace").exit_code == 0  # nothing says that they are its own


@pytest.mark.slow
def test_a_workbook_without_results_is_tried_again(folder: Path) -> None:
    record = Record(folder / "record")
    (folder / "ash.xlsx").write_bytes(b"")
    outcomes = dict(zip(NAMES, score_many(orders(folder), record, cores=1), strict=True))
    assert outcomes["ash"][0].code == NOTHING_WRITTEN
    assert known(folder / "record", orders(folder)[0]) is None
    assert known(folder / "record", orders(folder)[1]) == replace(outcomes["birch"][0], report=())


def test_the_record_holds_no_printed_lines(folder: Path) -> None:
    """Lines of the report name people and cells, also where the results are shared."""
    order = replace(orders(folder)[0], is_shared=True)
    list(score_many([order], Record(folder / "record"), cores=1))
    text = (folder / "record").read_text(encoding="utf-8")
    assert str(order.path) in text
    assert not [name for name in ("Ada", "People!") if name in text]


def with_other_rate(entry: dict[str, Any]) -> dict[str, Any]:
    first, *others = entry["outcome"]["rates"]
    half = [cell / 2 if isinstance(cell, float) else cell for cell in first]
    return {**entry, "outcome": {**entry["outcome"], "rates": [half, *others]}}


FORGED = {
    "no outcome": lambda entry: {**entry, "outcome": {**entry["outcome"], "rates": [["x"]]}},
    "a rate that is a list": lambda entry: {
        **entry,
        "outcome": {**entry["outcome"], "rates": [[[]] * len(row) for row in entry["outcome"]["rates"]]},
    },
    "an outcome that is a list": lambda entry: {**entry, "outcome": [1, 2]},
    "another file": lambda entry: {**entry, "outcome": {**entry["outcome"], "path": "x"}},
    "another rate": with_other_rate,
    "another code": lambda entry: {**entry, "outcome": {**entry["outcome"], "code": 3}},
}


@pytest.mark.slow
def test_a_forged_record_is_not_believed(folder: Path) -> None:
    order, other = orders(folder)[:2]
    path, alone = folder / "record", folder / "more"
    list(score_many([order], Record(path), cores=1))
    list(score_many([other], Record(alone), cores=1))
    assert known(path, order) is not None
    entry = json.loads(path.read_text(encoding="utf-8"))
    for kind, forge in FORGED.items():
        path.write_text(json.dumps(forge(entry)), encoding="utf-8")
        assert known(path, order) is None, kind
    # a whole results workbook, but of another season, with its hash in the record
    order.target.write_bytes(other.target.read_bytes())
    asked = entry["asked"] | {"written_ns": order.target.stat().st_ctime_ns}
    entry = {**entry, "asked": asked, "written": hashlib.sha256(order.target.read_bytes()).hexdigest()}
    path.write_text(json.dumps(entry), encoding="utf-8")
    assert known(path, order) is None


def test_a_record_that_came_with_its_folder_is_not_believed(folder: Path) -> None:
    """Whoever sends both can forge results, seal them and put their hash into the record."""
    order, path = orders(folder)[0], folder / "record"
    list(score_many([order], Record(path), cores=1))
    assert known(path, order) is not None
    sound = order.target.read_bytes()

    def attack(parts: forging.Parts) -> None:
        cell = forging.text_cell(parts[forging.ANSWER])
        parts[forging.ANSWER] = parts[forging.ANSWER].replace(cell[3], "Half the hours", 1)

    order.target.write_bytes(forging.sealed_anew(forging.changed(sound, attack)))
    entry = json.loads(path.read_text(encoding="utf-8"))
    entry["written"] = hashlib.sha256(order.target.read_bytes()).hexdigest()
    path.write_text(json.dumps(entry), encoding="utf-8")
    assert known(path, replace(order, places=order.places._replace(may_replace=False))) is None
    assert order.target.read_bytes() == sound


def test_a_record_that_is_a_pipe_or_without_end_counts_as_empty(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    order, path = orders(folder)[0], folder / "record"
    list(score_many([order], Record(path), cores=1))
    monkeypatch.setattr(batch, "MAX_FILE_BYTES", path.stat().st_size - 1)
    assert known(path, order) is None
    path.unlink()
    os.mkfifo(path)
    assert known(path, order) is None


@pytest.mark.slow
def test_a_summary_is_replaced_for_what_it_is_and_not_on_the_record_s_word(folder: Path) -> None:
    only = [folder / f"{name}.xlsx" for name in NAMES[:2]]
    for path in folder.glob("*.xlsx"):
        if path not in only:
            path.unlink()
    assert run("score", folder).exit_code == 0
    summary = folder / "all-results.xlsx"
    assert run("score", folder).exit_code == 0  # its own
    for other in (only[0].read_bytes(), b"mine"):
        summary.write_bytes(other)
        refused = run("score", folder)
        assert (refused.exit_code, "all-results.xlsx already exists" in refused.output) == (3, True)
        assert summary.read_bytes() == other


@pytest.mark.slow
def test_summary_has_a_row_for_each_workbook_and_each_method(folder: Path) -> None:
    (folder / "birch.xlsx").write_bytes(b"PK not a workbook")
    assert "Wrote" in run("score", folder).output
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
    assert rows[0][hours] < rows[2][hours]
    before = path.read_bytes()
    assert run("score", folder).exit_code == 3
    assert path.read_bytes() == before


def cell_is_text(row: tuple[Any, ...]) -> bool:
    return isinstance(row[0].value, str) and row[1].value is not None


KILLED = """
import os, signal
from wood_xl.batch import parallel_map
with parallel_map(2) as each:
    print(sum(each(abs, [1, 2, 3])), flush=True)
    os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
def test_workers_end_when_their_parent_is_killed() -> None:
    command = [sys.executable, "-c", KILLED]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=30)  # until none has the pipe
    assert done.returncode == -signal.SIGKILL
    assert done.stdout == "6\n"


def end_itself(number: int) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
@pytest.mark.slow
def test_a_lost_worker_is_no_fault_of_this_program() -> None:
    with pytest.raises(WorkerLost) as lost, parallel_map(2) as each:
        list(each(end_itself, range(3)))
    assert lost.value.code == "run-worker-lost"
    assert "written is whole" in problem(lost.value.code, None).line()


@pytest.mark.slow
def test_interrupt_leaves_only_whole_files(folder: Path) -> None:
    for number in range(24):
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
    assert 3 <= len(done) < 27
    again = run_outside("score", folder, "--replace")
    assert again.returncode == 0
    assert "are unchanged" in again.stdout
    assert len(list(folder.glob("*-results.xlsx"))) == 28
