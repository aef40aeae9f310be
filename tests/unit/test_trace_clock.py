"""Heart traces by the clock: which session a row belongs to, and the time since the trace began."""

from __future__ import annotations

from typing import Any

import pytest
from builders import Data, at, checked, records, small_season, text_cell
from few import together

from wood_xl.notes.cell import decode
from wood_xl.notes.problem import Level, Problem
from wood_xl.notes.raw import Kind, RawCell
from wood_xl.schema.model import season_definition

CLOCK = "heart_trace.clock"


def traced(*rows: Data, start: str | None = "9:00", stop: str | None = "10:30", **session: Any) -> Data:
    """The small season with rows of a trace; session A is worked from Start to Stop on 2026-03-01."""
    data = small_season()
    data["units"]["heart_trace"] = {"elapsed": "s", "heart_rate": "beats/min"}
    del data["sessions"][0]["elapsed_time"], data["sessions"][0]["mean_heart_rate"]
    data["sessions"][0] |= {key: clock for key, clock in (("start", start), ("stop", stop)) if clock} | session
    data["heart_trace"] = [{"heart_rate": 110 + number, **row} for number, row in enumerate(rows)]
    return data


def trace(data: Data, name: str = "A") -> tuple[list[float], list[float]] | None:
    (session,) = [one for one in records(data).sessions if one.name == name]
    found = session.workers[0].trace
    return None if found is None else (list(found.elapsed_s), list(found.heart_rate_bpm))


def faults(data: Data) -> list[Problem]:
    return [one for one in checked(data).problems if one.level is Level.FIX]


@together(
    ("cell", "stamp"),
    [
        (text_cell("9:05:30"), "9:05:30"),
        (text_cell("2026-03-01 09:05:30"), "2026-03-01 9:05:30"),
        (text_cell("2026-03-01T09:05:30.250"), "2026-03-01 9:05:30"),
        (RawCell(Kind.DURATION, 545.5, as_shown="9:05:30"), "9:05:30"),
        (RawCell(Kind.DATE, "2026-03-01T09:05:30", as_shown="2026-03-01 09:05"), "2026-03-01 9:05:30"),
        (RawCell(Kind.DATE, "2026-03-01", as_shown="2026-03-01"), "2026-03-01 0:00"),
        (RawCell(Kind.NUMBER, 46082.25), "2026-03-01 6:00"),
        (RawCell(Kind.NUMBER, 0.0), "0:00"),
        (text_cell("2026-03-01T09:05:30Z"), None),
        (text_cell("03/01/2026 09:05"), None),
        (text_cell("2026-02-30 09:05"), None),
    ],
)
def test_a_stamp_is_read(cell: RawCell, stamp: str | None) -> None:
    assert decode(cell, season_definition().column(CLOCK), "").value == stamp


@pytest.mark.parametrize("day", ["", "2026-03-01 "])
def test_rows_without_a_session_go_to_the_one_that_was_worked_then(day: str) -> None:
    data = traced({"clock": f"{day}8:55"}, {"clock": f"{day}9:00:30"}, {"clock": f"{day}10:39"})
    assert faults(data) == []
    assert trace(data) == ([0, 330, 6240], [110, 111, 112])


def test_the_first_stamp_is_the_beginning_where_no_start_is_written() -> None:
    rows = [{"session": "A", "clock": clock} for clock in ("9:05", "9:06", "9:06:30")]
    data = traced(*rows, start=None, stop=None, elapsed_time=90)
    assert faults(data) == []
    assert trace(data) == ([0, 60, 90], [110, 111, 112])


def test_a_stamp_before_the_first_is_the_beginning_and_told() -> None:
    data = traced(*({"session": "A", "clock": clock} for clock in ("9:05", "9:06", "9:01")))
    assert trace(data) == ([240, 300, 0], [110, 111, 112])
    assert "table-trace-starts-again" in [one.code for one in checked(data).problems]


def test_stamps_with_dates_run_on_over_midnight() -> None:
    rows = [{"session": "A", "clock": clock} for clock in ("2026-03-01 23:59", "2026-03-02 0:01")]
    assert trace(traced(*rows)) == ([0, 120], [110, 111])


@pytest.mark.parametrize(
    ("clock", "code"),
    [
        ("8:49", "table-trace-no-session"),
        ("10:41", "table-trace-no-session"),
        ("2026-03-09 9:30", "table-trace-no-session"),
        ("9:30", "table-trace-several-sessions"),
    ],
)
def test_rows_without_exactly_one_session_are_reported_once(clock: str, code: str) -> None:
    data = traced({"clock": clock}, {"clock": clock})
    if code == "table-trace-several-sessions":
        del data["sessions"][1]["elapsed_time"]
        data["sessions"][1] |= {"start": "9:15", "stop": "10:15"}  # session B, the day after
    (found,) = faults(data)
    assert (found.code, found.where, found.count) == (code, at(CLOCK, 4), 2)
    mended = traced({"clock": clock, "session": "A"}, {"clock": clock, "session": "A"})
    assert faults(mended) == []


def test_a_date_tells_which_of_two_sessions_it_was() -> None:
    data = traced({"clock": "2026-03-02 9:30"})
    del data["sessions"][1]["elapsed_time"]
    data["sessions"][1] |= {"start": "9:15", "stop": "10:15"}
    assert faults(data) == []
    assert (trace(data, "A"), trace(data, "B")) == (None, ([0], [110]))


@pytest.mark.parametrize(("elapsed", "is_told"), [(60, False), (119, False), (121, True)])
def test_clock_and_elapsed_time_are_compared(elapsed: float, is_told: bool) -> None:
    data = traced(
        {"session": "A", "clock": "9:00", "elapsed": 600},
        {"session": "A", "clock": "9:01", "elapsed": 600 + elapsed},
        {"session": "A", "clock": "9:02", "elapsed": 660 + elapsed},
    )
    told = [(one.code, one.where, one.count) for one in faults(data)]
    assert told == ([("table-trace-clock-against-elapsed", at("heart_trace.elapsed", 5), 2)] if is_told else [])


def test_a_row_needs_clock_or_session_and_elapsed() -> None:
    for row, missing in (
        ({}, {"session", "elapsed"}),
        ({"session": "A"}, {"elapsed"}),
        ({"elapsed": 5}, {"session"}),
    ):
        broken = {column for sheet, _, column in checked(traced(row)).broken if sheet == "heart_trace"}
        assert broken == missing


def test_a_cell_to_mend_in_a_row_told_by_the_clock_withholds_its_session() -> None:
    data = traced({"clock": "9:30"}, {"clock": "9:31", "heart_rate": 999})
    (session,) = [one for one in records(data).sessions if one.name == "A"]
    assert session.broken["effort"] == at("heart_trace.heart_rate", 5)
