"""How long sessions took: by Start and Stop, by elapsed time, and where the two do not go together."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from builders import Data, at, checked, raw_book, records, small_season, text_cell
from few import together

from wood_xl.notes.cell import decode
from wood_xl.notes.problem import Level, Problem
from wood_xl.notes.raw import Kind, RawBook, RawCell
from wood_xl.notes.season import check_season
from wood_xl.page_texts import HowToMend
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase, words

A = 0  # row of session A: elapsed 90 min, pauses 10 min
START, STOP, ELAPSED = "sessions.start", "sessions.stop", "sessions.elapsed_time"
MISSING = object()
ONE_OF_TWO = words(HowToMend.MEND_ONE_OF_TWO)


def season(row: int = A, **values: Any) -> Data:
    data = small_season()
    for key, value in values.items():
        if value is MISSING:
            data["sessions"][row].pop(key, None)
        else:
            data["sessions"][row][key] = value
    return data


def told(data: Data, *, new: bool = True) -> dict[str, Problem]:
    """Problems by their code, without those of the season as it was."""
    before = {(one.code, one.where) for one in checked(small_season()).problems} if new else set()
    return {one.code: one for one in checked(data).problems if (one.code, one.where) not in before}


def minutes(data: Data, name: str = "A") -> float | None:
    (session,) = (one for one in records(data).sessions if one.name == name)
    return session.elapsed_min


@together(
    ("cell", "clock"),
    [
        (RawCell(Kind.DURATION, 545.0, as_shown="9:05"), "9:05"),
        (RawCell(Kind.DURATION, 825.5, as_shown="13:45:30"), "13:45:30"),
        (text_cell("9:05"), "9:05"),
        (text_cell("09:05"), "9:05"),
        (text_cell(" 9:05 AM "), "9:05"),
        (text_cell("1:15pm"), "13:15"),
        (text_cell("12:30 a.m."), "0:30"),
        (text_cell("12 PM"), "12:00"),
    ],
)
def test_a_time_of_day_is_read(cell: RawCell, clock: str) -> None:
    decoded = decode(cell, season_definition().column(START), "")
    assert (decoded.value, decoded.code) == (clock, "")


@together(
    ("cell", "clock"),
    [
        (RawCell(Kind.NUMBER, 905.0), "9:05"),
        (RawCell(Kind.NUMBER, 1315.0), "13:15"),
        (RawCell(Kind.NUMBER, 0.0), "0:00"),
        (RawCell(Kind.NUMBER, 545 / 1440), "9:05"),
        (RawCell(Kind.NUMBER, 0.5), "12:00"),
        (RawCell(Kind.DURATION, 905 * 1440.0, as_shown="0:00"), "9:05"),
        (text_cell("905"), "9:05"),
        (RawCell(Kind.DATE, "2026-03-01T09:05:00", as_shown="2026-03-01 09:05"), "9:05"),
    ],
)
def test_a_number_is_read_as_a_time_of_day_and_said_so(cell: RawCell, clock: str) -> None:
    decoded = decode(cell, season_definition().column(START), "")
    assert (decoded.value, decoded.code) == (clock, "cell-clock-of-day")


@together(
    ("cell", "meant"),
    [
        (RawCell(Kind.NUMBER, 9.05), "9:05"),
        (RawCell(Kind.NUMBER, 9.35), "9:35"),
        (RawCell(Kind.NUMBER, 9.5), ""),
        (RawCell(Kind.NUMBER, 9.0), "9:00"),
        (RawCell(Kind.NUMBER, 975.0), ""),
        (RawCell(Kind.NUMBER, 2400.0), ""),
        (RawCell(Kind.NUMBER, -5.0), ""),
        (RawCell(Kind.DURATION, 1500.0, as_shown="25:00"), ""),
        (RawCell(Kind.DATE, "2026-03-01", as_shown="2026-03-01"), ""),
        (RawCell(Kind.BOOLEAN, True), ""),
        (text_cell("9.05"), "9:05"),
        (text_cell("9h05"), "9:05"),
        (text_cell("9,05"), "9:05"),
        (text_cell("9.05 pm"), "21:05"),
        (text_cell("13:15 AM"), ""),
        (text_cell("25:00"), ""),
        (text_cell("9:65"), ""),
        (text_cell("noonish"), ""),
    ],
)
def test_a_text_that_is_no_time_of_day_says_how_to_write_one(cell: RawCell, meant: str) -> None:
    column = season_definition().column(START)
    decoded = decode(cell, column, "")
    assert (decoded.value, decoded.code) == (None, "cell-not-a-clock")
    advice = (decoded.facts or {})["advice"]
    assert advice == column.mend if not meant else meant in advice
    offered = [word.strip(".,") for word in advice.split() if ":" in word]
    assert offered
    assert all(decode(text_cell(one), column, "").value for one in offered)


@together(
    ("values", "expected", "code"),
    [
        ({"start": "9:05", "stop": "10:40", "elapsed_time": MISSING}, 95, ""),
        ({"start": "9:05", "stop": "10:37"}, 92, ""),  # elapsed 90: two readings to the minute
        ({"start": "9:05", "stop": "10:45"}, 100, "row-elapsed-without-pauses"),
        ({"start": "9:05"}, 90, ""),  # the elapsed time is enough
        ({"stop": "9:05"}, 90, ""),
    ],
)
def test_minutes_of_a_session(values: Data, expected: float, code: str) -> None:
    data = season(**values)
    assert minutes(data) == expected
    assert [one for one in told(data) if one.startswith(("row-", "cell-"))] == ([code] if code else [])


@together(
    ("values", "code", "where", "advice"),
    [
        ({"start": "11:30", "stop": "1:15", "elapsed_time": MISSING}, "row-stop-before-start", STOP, "13:15"),
        ({"start": "9:05", "stop": "9:05", "elapsed_time": MISSING}, "row-stop-before-start", STOP, ONE_OF_TWO),
        ({"start": "23:30", "stop": "20:30", "elapsed_time": MISSING}, "row-stop-before-start", STOP, ONE_OF_TWO),
        ({"start": "1:15", "stop": "18:00", "elapsed_time": MISSING}, "row-clock-too-long", START, "13:15"),
        ({"start": "9:05", "elapsed_time": MISSING}, "row-half-a-clock", STOP, "elapsed time in minutes"),
        ({"stop": "9:05", "elapsed_time": MISSING}, "row-half-a-clock", START, "elapsed time in minutes"),
        ({"start": "9:05", "stop": "11:40"}, "row-elapsed-against-clock", ELAPSED, "Elapsed time"),
        ({"elapsed_time": MISSING}, "row-no-time", ELAPSED, "Write Start and Stop"),
    ],
)
def test_times_that_contradict_each_other_withhold_the_figure(
    values: Data, code: str, where: str, advice: str
) -> None:
    data = season(**values)
    found = told(data)[code]
    assert (found.level, found.where) == (Level.FIX, at(where, 4))
    assert advice in found.mend
    assert minutes(data) is None
    (session,) = (one for one in records(data).sessions if one.name == "A")
    assert session.broken["time"] == session.broken["effort"] == at(where, 4)
    typed = {key: value for key, value in values.items() if value is not MISSING}
    assert checked(data).document.rows("sessions")[A].items() >= typed.items()  # nothing is lost


@pytest.mark.parametrize(
    ("start", "stop", "advice"),
    [
        ("1:15", "14:00", phrase(HowToMend.IF_START_IN_AFTERNOON, clock="13:15")),
        ("9:05", "9:08", ONE_OF_TWO),
        ("8:00", "16:00", ""),
    ],
)
def test_an_unusual_time_by_the_clock_is_told_and_used(start: str, stop: str, advice: str) -> None:
    data = season(start=start, stop=stop, elapsed_time=MISSING, delay_time=MISSING)
    found = told(data).get("row-clock-unusual")
    assert (found is not None) == bool(advice)
    assert found is None or (found.level is Level.LOOK and found.where == at(START, 4) and advice in found.mend)
    assert minutes(data) is not None


def test_times_that_differ_wait_for_pauses_that_cannot_be_read() -> None:
    data = season(start="9:05", stop="11:40", delay_time="some")
    assert [one.where for one in told(data).values()] == [at("sessions.delay_time", 4)]
    assert minutes(data) is None


def test_the_line_names_all_three_cells() -> None:
    line = told(season(start="9:05", stop="11:40"))["row-elapsed-against-clock"].line()
    assert all(at(ref, 4).partition("!")[2] in line for ref in (START, STOP, ELAPSED))


@together(
    ("values", "mended"),
    [
        ({"start": "11:30", "stop": "1:15", "elapsed_time": MISSING}, {"stop": "13:15"}),
        ({"start": "1:15", "stop": "18:00", "elapsed_time": MISSING}, {"start": "13:15"}),
        ({"start": "9:05", "stop": "11:40"}, {"elapsed_time": MISSING}),
        ({"start": "9:05", "elapsed_time": MISSING}, {"stop": "10:40"}),
        ({"start": "9:05", "elapsed_time": MISSING}, {"elapsed_time": 95}),
        ({"elapsed_time": MISSING}, {"elapsed_time": 95}),
    ],
)
def test_a_time_is_mended_at_the_first_try(values: Data, mended: Data) -> None:
    codes = [code for code, found in told(season(**values)).items() if found.level is Level.FIX]
    assert codes
    assert [code for code, found in told(season(**values | mended)).items() if found.level is Level.FIX] == []


@pytest.mark.parametrize(
    ("values", "where"),
    [
        ({"delay_time": 60, "service_time": 40}, "sessions.delay_time"),
        ({"delay_time": 30, "service_time": 60}, "sessions.service_time"),
        ({"delay_time": 90}, "sessions.delay_time"),
    ],
)
def test_pauses_and_service_that_fill_a_session_are_reported_at_the_larger(values: Data, where: str) -> None:
    assert told(season(**values))["row-parts-over-whole"].where == at(where, 4)
    assert "row-parts-over-whole" not in told(season(delay_time=60, service_time=29))


def test_a_start_whose_column_is_gone_is_asked_for() -> None:
    """It called the cell of Stop empty, in each row, and gave what stands in it."""
    data = small_season()
    for row in data["sessions"]:
        row["stop"] = "11:40"
        del row["elapsed_time"]
    book = raw_book(data)
    (sheet,) = (one for one in book.sheets if one.title == "Sessions")
    number = season_definition().sheet("sessions").number_of("start", "metric")
    for row in list(sheet.cells.columns.get(number, {})):
        del sheet.cells[row, number]
    found = check_season(RawBook(book.sheets, book.sha256, book.template_version))
    fixes = [one for one in found.problems if one.level is Level.FIX]
    assert [(one.code, one.where) for one in fixes] == [
        ("row-clock-without-column", at(STOP, row)) for row in (4, 5, 6)
    ]
    assert len({one.text for one in fixes}) == 1  # so that they are one line


def test_rows_of_a_planned_session_that_was_deleted_hold_nothing_to_mend() -> None:
    """Each was asked for its height and its session, and withheld that of a like name."""
    data = small_season()
    data["stacks"].append({"session": "A1"})
    data["tally"] = [{"session": "A2"}]
    assert told(data) == {}
    data["stacks"][-1]["height"] = 1
    data["helpers"].append({"session": "A3", "person": "Bo"})  # who was there all the time
    found = [one.place.sheet for one in checked(data).problems if one.code == "table-unknown-reference"]
    assert found == ["Stacks", "Helpers"]


def test_a_session_left_out_needs_no_time_and_is_not_to_come() -> None:
    data = season(elapsed_time=MISSING, leave_out="lost the slip of paper")
    assert "row-no-time" not in told(data)
    data = planned(small_season())
    for row in data["sessions"][3:]:
        row["leave_out"] = "rained out"
    assert "season-sessions-planned" not in told(data)
    del data["sessions"][3]["leave_out"]
    assert told(data)["season-sessions-planned"].count == 1


def test_stacking_is_less_than_what_is_left() -> None:
    assert told(season(stacking_time=80))["row-stacking-over-rest"].where == at("sessions.stacking_time", 4)
    assert "row-stacking-over-rest" not in told(season(stacking_time=79))


def planned(data: Data) -> Data:
    data["sessions"] += [
        {"session": "P1", "date": "2026-03-08", "method": "By bow saw", "person": "Ada", "lot": "North"},
        {"session": "P2", "method": "By chain saw"},
    ]
    return data


def test_planned_sessions_are_left_alone_with_one_note() -> None:
    data = planned(small_season())
    data["stacks"].append({"session": "P1"})
    data["helpers"].append({"session": "P2", "person": "Ada"})
    found = told(data)
    assert list(found) == ["season-sessions-planned"]
    assert (found["season-sessions-planned"].where, found["season-sessions-planned"].count) == (
        at("sessions.session", 7),
        2,
    )
    assert [one.name for one in records(data).sessions] == ["A", "B", "C"]


def add(sheet_id: str, row: Data) -> Callable[[Data], None]:
    return lambda data: data[sheet_id].append(row)


@together(
    "change",
    [
        add("cuts", {"session": "P1", "diameter": 20}),
        add("stacks", {"session": "P1", "height": 1, "length": 1}),
        add("helpers", {"session": "P1", "person": "Bo", "time": 30}),
        lambda data: data["sessions"][3].update(mean_heart_rate=110),
        lambda data: data["sessions"][3].update(fuel_used=0),
        lambda data: data["sessions"][3].update(start="9:05"),
    ],
)
def test_a_session_with_anything_measured_lacks_its_time(change: Callable[[Data], None]) -> None:
    data = planned(small_season())
    change(data)
    found = told(data)
    (missing,) = [one for code, one in found.items() if code in ("row-no-time", "row-half-a-clock")]
    assert missing.where in (at(ELAPSED, 7), at(STOP, 7))
    assert found["season-sessions-planned"].count == 1
    assert "P1" in [one.name for one in records(data).sessions]


def test_an_unreadable_cell_counts_as_measured() -> None:
    data = planned(small_season())
    season = checked(
        data, edit=lambda cells: cells["cuts"].update({(7, 1): text_cell("P1"), (7, 2): text_cell("big")})
    )
    assert at(ELAPSED, 7) in [one.where for one in season.problems if one.code == "row-no-time"]


def test_a_season_that_is_only_planned_has_nothing_to_compute() -> None:
    data = small_season() | {"sessions": [], "cuts": [], "stacks": [], "helpers": []}
    codes = [one.code for one in checked(planned(data)).problems]
    assert {"season-no-sessions", "season-sessions-planned"} <= set(codes)


def test_a_helper_without_a_time_was_there_all_the_time() -> None:
    data = small_season()
    del data["helpers"][0]["time"]
    assert told(data) == {}
    (session,) = (one for one in records(data).sessions if one.name == "B")
    assert [worker.time_min for worker in session.workers] == [60, 60]


def test_a_workbook_without_any_column_of_times_says_so() -> None:
    book = raw_book(small_season())
    (sheet,) = (one for one in book.sheets if one.title == "Sessions")
    numbers = [
        number for number, column in enumerate(season_definition().sheet("sessions").columns, start=1)
        if column.ref in (START, STOP, ELAPSED)
    ]  # fmt: skip
    for number in numbers:
        for row in list(sheet.cells.columns.get(number, {})):
            del sheet.cells[row, number]
    found = check_season(RawBook(book.sheets, book.sha256, book.template_version))
    assert [one.code for one in found.problems if one.level is Level.FIX] == ["header-missing-column"]
    assert ("sessions", "elapsed_time") in found.unread
