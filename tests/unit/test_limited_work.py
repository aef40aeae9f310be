"""Work on one file ends after a while, whatever in the file no limit foresaw, and says so in one line."""

from __future__ import annotations

import signal
import time
from pathlib import Path

import pytest
from builders import metric_workbook, small_season

from wood_xl import error_handling, pipeline
from wood_xl.error_handling import guarded
from wood_xl.notes.problem import Level
from wood_xl.scoring import NOTHING_WRITTEN, Order, Places, score_order


def spin(seconds: float = 30.0) -> None:
    until = time.process_time() + seconds
    while time.process_time() < until:
        pass


@pytest.fixture(autouse=True)
def little_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(error_handling, "MOST_SECONDS", 0.2)


def test_work_without_end_is_given_up(tmp_path: Path) -> None:
    path = tmp_path / "two\nlines.xlsx"
    path.write_bytes(b"x")
    start = time.process_time()
    made, fault = guarded(path, spin, is_limited=True)
    assert time.process_time() - start < 5
    assert (made, fault is not None and fault.code) == (None, "file-too-much-work")
    assert fault is not None
    assert fault.level is Level.STOP
    assert "\n" not in fault.line()
    assert signal.getitimer(signal.ITIMER_PROF) == (0.0, 0.0)


@pytest.mark.slow
def test_other_work_and_short_work_are_not() -> None:
    assert guarded(Path("x"), lambda: spin(0.4)) == (None, None)
    assert guarded(Path("x"), lambda: 7, is_limited=True) == (7, None)
    spin(0.4)  # nothing is left that ends what comes later


def test_a_part_of_limited_work_gets_no_time_of_its_own(tmp_path: Path) -> None:
    def outer() -> None:
        for _ in range(100):
            guarded(tmp_path, lambda: spin(0.1), is_limited=True)

    start = time.process_time()
    guarded(tmp_path, outer, is_limited=True)
    assert time.process_time() - start < 5


def test_a_larger_file_has_more_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(error_handling, "SECONDS_A_FURTHER_MB", 40.0)
    path = tmp_path / "large.xlsx"
    path.write_bytes(bytes(2_000_000))
    assert guarded(path, lambda: spin(0.6), is_limited=True) == (None, None)


def test_a_score_that_goes_on_too_long_writes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(metric_workbook(small_season()))
    monkeypatch.setattr(pipeline, "score_file", lambda *_: spin())
    outcome = score_order(Order(path, Places(tmp_path / "season-results.xlsx")))
    assert outcome.code == NOTHING_WRITTEN
    assert "season.xlsx" in outcome.errors[0]
    assert sorted(one.name for one in tmp_path.iterdir()) == ["season.xlsx"]
