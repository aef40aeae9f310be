"""Problems of pasted heart traces, each with its cell and what was done."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest
from builders import Data, checked, small_season, tables

from wood_xl.notes.echo import checked_again, waiting_rows
from wood_xl.notes.problem import Problem, in_report_order
from wood_xl.page_texts import InMessage
from wood_xl.schema.words import phrase, words

Readings = Iterable[tuple[float, float]]


def with_trace(readings: Readings, **columns: Any) -> Data:
    """The small season with a trace of session A, whose 90 minutes Ada worked alone."""
    data = small_season()
    data["units"]["heart_trace"] = {"elapsed": "s", "heart_rate": "beats/min"}
    data["heart_trace"] = [
        {"session": "A", "elapsed": elapsed, "heart_rate": rate, **columns} for elapsed, rate in readings
    ]
    return data


def lines(data: Data) -> list[str]:
    """Lines on the sheet as they are reported, neighbours drawn together."""
    return [one.line() for one in told(data)]


def told(data: Data) -> list[Problem]:
    found = in_report_order(checked(data).problems, [])
    return [one for one in found if one.place.sheet == "Heart trace"]


def said(data: Data, code: str, where: str, *facts: str) -> bool:
    """Whether one thing alone is told, at its cell, with its facts."""
    (one,) = told(data)
    return (one.code, one.place.where) == (code, where) and all(fact in one.text for fact in facts)


def steady(seconds: Iterable[float], rate: float = 120) -> list[tuple[float, float]]:
    return [(second, rate) for second in seconds]


@pytest.mark.parametrize("step", [1, 5, 10])
def test_a_sound_trace_has_no_line(step: int) -> None:
    assert lines(with_trace(steady(range(0, 5401, step)))) == []


@pytest.mark.parametrize(("step", "limit"), [(15, 45), (60, 180)])
def test_a_slow_monitor_is_reported_with_how_it_was_read(step: int, limit: int) -> None:
    data = with_trace(steady(range(0, 5401, step)))
    assert said(data, "table-trace-slow", "Heart trace!C4", f" {step} s", f" {limit} s")


def test_a_slow_monitor_in_minutes_is_reported_in_seconds() -> None:
    data = with_trace([(minute / 2, 120) for minute in range(120)])
    data["units"]["heart_trace"]["elapsed"] = "min"
    assert said(data, "table-trace-slow", "Heart trace!C4", " 30 s", " 90 s")


def test_two_recordings_are_reported_with_the_row_of_the_second() -> None:
    data = with_trace([*steady(range(0, 1801, 5)), *steady(range(0, 901, 5), 130)])
    done = phrase(InMessage.READ_AS_RECORDINGS, n=2)
    assert said(data, "table-trace-starts-again", "Heart trace!C365", "from 1800 s to 0 s", done)


def test_rows_pasted_twice_are_reported_and_count_once() -> None:
    once = steady(range(0, 1801, 5))
    (line,) = lines(with_trace(once * 2))
    assert phrase(InMessage.IN_ORDER_TWICE_ONCE, n=361) in line
    found = [
        table[0]
        for table in (tables(with_trace(once)).tables["traces"], tables(with_trace(once * 2)).tables["traces"])
    ]
    assert found[0] | {"set_right": ""} == found[1] | {"set_right": ""}


def test_a_later_part_pasted_first_is_put_in_order() -> None:
    data = with_trace([*steady(range(1800, 3600, 5)), *steady(range(0, 1800, 5))])
    done = words(InMessage.IN_ORDER)
    assert said(data, "table-trace-starts-again", "Heart trace!C364", "from 3595 s to 0 s", done)


def test_readings_that_are_no_heart_rate_are_one_line() -> None:
    readings = steady(range(0, 1800, 5))
    for place, rate in ((20, 12), (30, 235), (31, 7)):
        readings[place] = (readings[place][0], rate)
    facts = ("3 readings", "40 to 220", " 12")
    assert said(with_trace(readings), "table-trace-no-heart-rate", "Heart trace!A24", *facts)


def test_spikes_are_one_line_and_kept() -> None:
    readings = steady(range(0, 1800, 5))
    readings[20] = (readings[20][0], 165)
    data = with_trace(readings)
    assert said(data, "table-trace-spikes", "Heart trace!A24", "1 reading", "30 beats/min")
    assert tables(data).tables["traces"][0]["highest"].value == 165


def test_readings_above_the_highest_rate_are_reported() -> None:
    data = with_trace([(second, 150 if second < 60 else 172) for second in range(0, 600, 5)])
    data["people"][0]["max_heart_rate"] = 170
    facts = ("108 readings", "170 beats/min", " 172")
    assert said(data, "table-trace-above-max", "Heart trace!A16", *facts)


def test_readings_far_above_the_usual_at_an_age_are_reported() -> None:
    assert lines(with_trace(steady(range(0, 600, 5), 200))) == []  # 208 - 0.7 x 40 is 180
    data = with_trace(steady(range(0, 600, 5), 201))
    assert said(data, "table-trace-above-usual", "Heart trace!A4", "120 readings", "200 beats/min", "Ada")


def test_a_trace_longer_than_its_session_is_reported_at_its_last_row() -> None:
    readings = steady(range(0, 5701, 5))
    assert said(with_trace(readings), "table-trace-longer", "Heart trace!C1144", "95 min", "90 min")
    assert lines(with_trace(steady(range(0, 5461, 5)))) == []  # session times are whole minutes


def test_a_helpers_trace_is_compared_with_her_own_time() -> None:
    data = with_trace(steady(range(0, 2101, 5)), session="B", person="Bo")  # 30 of the 60 minutes
    (named, line) = lines(data)
    assert named.startswith('Heart trace!E4:E424 Person (421 cells): "Bo" is not on the sheet People')
    assert all(fact in line for fact in ("Session B", "35 min", "30 min"))
    data["helpers"][0]["time"] = 35
    assert len(lines(data)) == 1


def test_a_trace_of_somebody_who_was_not_there_is_not_used() -> None:
    data = with_trace(steady(range(0, 5401, 5)), person="Cy")
    data["people"].append({"person": "Cy", "age": 30})
    assert said(data, "table-trace-of-nobody", "Heart trace!E4", "Session A", "Cy")
    assert tables(data).tables["traces"] == []


def test_a_trace_of_no_session_is_one_line() -> None:
    (line,) = lines(with_trace(steady(range(0, 600, 5)), session="Z"))
    assert line.startswith('Heart trace!D4:D123 Session (120 cells): "Z" is not on the sheet Sessions')


def test_a_reading_that_no_column_can_hold_is_a_fix_at_its_cell() -> None:
    readings = steady(range(0, 600, 5))
    readings[3] = (15, 251)
    (line,) = lines(with_trace(readings))
    assert line.startswith("Heart trace!A7 Heart rate [beats/min]: Found 251 beats/min. Expected at least 0")


def test_a_column_full_of_faults_is_one_line_and_every_row_waits() -> None:
    data = with_trace(steady(range(0, 600, 5)))
    for row in data["heart_trace"]:
        row["elapsed"] = f"about {row['elapsed']}"
    assert said(data, "cell-not-a-number", "Heart trace!C4", '"about 0"')
    assert set(checked(data).cell_problems.values()) == {"Heart trace!C4:C123"}
    assert len(checked(data).cell_problems) == 120
    assert [row["row"] for row in waiting_rows(checked(data))] == ["4 to 123"]
    again = checked_again(checked(data).document, [], waiting_rows(checked(data)))
    assert (again.broken, again.cell_problems) == (checked(data).broken, checked(data).cell_problems)
    assert words(tables(data).tables["efforts"][0]["kcal_gross"].reason) == "needs Heart trace!C4:C123"


def test_rows_without_a_reading_are_one_line_and_every_row_waits() -> None:
    data = with_trace(steady(range(0, 600, 5)))
    for row in data["heart_trace"][5:]:
        del row["heart_rate"]
    (line,) = lines(data)
    assert line.startswith("Heart trace!A9:A123 Heart rate [beats/min] (115 cells): ")
    assert len(checked(data).cell_problems) == 115


def test_faults_below_each_other_are_one_line_and_a_few_apart_a_line_each() -> None:
    data = with_trace(steady(range(0, 1010, 5)))
    for row in data["heart_trace"]:
        row["heart_rate"] = 251
    (line,) = lines(data)
    assert line.startswith("Heart trace!A4:A205 Heart rate [beats/min] (202 cells): Found 251 beats/min.")
    for row in data["heart_trace"][::2]:
        row["heart_rate"] = 100
    (line,) = lines(data)
    assert line.startswith(
        "Heart trace!A5 Heart rate [beats/min] (101 cells, in rows 5, 7, 9, 11, 13, 15, 17, 19, 21,"
    )
    assert len(checked(data).cell_problems) == 101
    data["heart_trace"][1]["heart_rate"] = 100
    (line,) = lines(data)
    assert line.startswith("Heart trace!A7 Heart rate [beats/min] (100 cells, in rows 7, 9, 11,")
    for row in data["heart_trace"][21:]:
        row["heart_rate"] = 100
    assert len(lines(data)) == 9


def test_every_row_of_an_unknown_session_waits() -> None:
    data = with_trace(steady(range(0, 600, 5)), session="Z")
    assert set(checked(data).cell_problems.values()) == {"Heart trace!D4:D123"}


def test_one_wrong_reading_does_not_make_the_strain() -> None:
    readings = steady(range(0, 5401, 5))
    readings[20] = (readings[20][0], 190)
    assert tables(with_trace(readings)).tables["strain"][0]["strain"] != "very high"
    readings[21] = (readings[21][0], 190)
    assert tables(with_trace(readings)).tables["strain"][0]["strain"] == "very high"
