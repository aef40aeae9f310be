"""How long sessions took, by the clock or as written, and checks of times and dates."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from wood_xl.data.load import value
from wood_xl.notes.document import PLANS
from wood_xl.notes.limits import range_text
from wood_xl.notes.problem import Problem, amount_text
from wood_xl.notes.relations import Notes, NotesRow, why_left_out
from wood_xl.notes.typed import clock_text, minutes_of_clock
from wood_xl.notes.wood import DAYS_OF_A_STACK
from wood_xl.page_texts import HowToMend
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase

SHEET = "sessions"
START, STOP, ELAPSED, PAUSES, SERVICE = "start", "stop", "elapsed_time", "delay_time", "service_time"
TIMES = (START, STOP, ELAPSED)
HALF_A_DAY_MIN = 720.0
HAIR = 1 + 1e-9


class SessionTime(NamedTuple):
    """Minutes of a session from start to finish, pauses included, with what is wrong or how they were read."""

    minutes: float | None  # None if they are not known
    problem: Problem | None = None


def session_minutes(session: NotesRow) -> float | None:
    """Minutes of a session from start to finish, pauses included; None if they are not known."""
    return session_time(session).minutes


def helper_minutes(helper: NotesRow, session: NotesRow) -> float | None:
    """Minutes of a helper: the whole session's where the row has none."""
    return session_minutes(session) if helper.is_empty("time") else helper.number("time", "min")


def session_time(row: NotesRow) -> SessionTime:
    """Minutes of a session by its Start and Stop, else by its elapsed time.

    Where both are written the clock counts, and they must agree: to the minute, or without the pauses.
    """
    if any(map(row.waits, TIMES)) or row.index in row.notes.planned:
        return SessionTime(None)
    elapsed = row.number(ELAPSED, "min")
    if row[START] is not None and row[STOP] is not None:
        return _by_clock(row, elapsed)
    return SessionTime(elapsed, _no_time(row) if elapsed is None else None)


def _by_clock(row: NotesRow, elapsed: float | None) -> SessionTime:
    start, stop = row[START], row[STOP]
    minutes = minutes_of_clock(stop) - minutes_of_clock(start)
    if minutes <= 0:
        return SessionTime(None, _stop_before_start(row))
    column = season_definition().column(f"{SHEET}.{ELAPSED}")
    if column.maximum is not None and minutes > column.maximum:
        return SessionTime(None, _long(row, "row-clock-too-long", (column.maximum,)))
    near = value("session.clock_and_elapsed_agree")
    if elapsed is None or abs(minutes - elapsed) <= near:
        return SessionTime(minutes)
    if row.waits(PAUSES):
        return SessionTime(None)
    pauses = row.number(PAUSES, "min") or 0.0
    facts = {"found": row.shown(ELAPSED), "expected": amount_text(minutes, "min")}
    if abs(minutes - pauses - elapsed) <= near:
        return SessionTime(minutes, row.problem("row-elapsed-without-pauses", ELAPSED, **facts))
    facts |= {"start": start, "stop": stop, "start_cell": row.place(START).cell, "stop_cell": row.place(STOP).cell}
    return SessionTime(None, row.problem("row-elapsed-against-clock", ELAPSED, **facts))


def _no_time(row: NotesRow) -> Problem | None:
    start, stop = row[START], row[STOP]
    if start is not None or stop is not None:
        empty, other = (STOP, START) if stop is None else (START, STOP)
        title = season_definition().column(f"{SHEET}.{other}").title
        if empty not in row.notes.document.places[SHEET].cells:
            absent = season_definition().column(f"{SHEET}.{empty}").title
            return row.problem("row-clock-without-column", other, filled=title, expected=absent)
        facts = {"filled": title, "found": str(start or stop), "cell": row.place(other).cell}
        return row.problem("row-half-a-clock", empty, **facts)
    filled = row.typed.keys()
    if why_left_out(row) or (not {"session", "method"} <= filled and filled <= PLANS):
        return None  # it counts nowhere; or a missing name has its own line, or the row is a remark
    return row.problem("row-no-time", _present(row, ELAPSED, START))


def _present(row: NotesRow, column_id: str, other: str) -> str:
    """A column, or another where the sheet lacks it."""
    return column_id if column_id in row.notes.document.places[SHEET].cells else other


def _stop_before_start(row: NotesRow) -> Problem:
    later = minutes_of_clock(row[STOP]) + HALF_A_DAY_MIN
    advice = phrase(HowToMend.MEND_ONE_OF_TWO)
    if _is_usual(later - minutes_of_clock(row[START])) and later < 2 * HALF_A_DAY_MIN:
        advice = phrase(HowToMend.IF_AFTERNOON, clock=clock_text(later))
    return row.problem("row-stop-before-start", STOP, found=row[STOP], expected=row[START], advice=advice)


def _usual() -> tuple[float, float]:
    return season_definition().column(f"{SHEET}.{ELAPSED}").plausible or (0.0, HALF_A_DAY_MIN)


def _is_usual(minutes: float) -> bool:
    least, most = _usual()
    return least <= minutes <= most


def _long(row: NotesRow, code: str, ends: tuple[float, ...]) -> Problem:
    """A time by the clock that is too long or unusual, with a Start in the afternoon offered where it fits."""
    begun = minutes_of_clock(row[START])
    minutes = minutes_of_clock(row[STOP]) - begun
    advice = phrase(HowToMend.MEND_ONE_OF_TWO)
    if _is_usual(minutes - HALF_A_DAY_MIN):
        advice = phrase(HowToMend.IF_START_IN_AFTERNOON, clock=clock_text(begun + HALF_A_DAY_MIN))
    facts = {"found": amount_text(minutes, "min"), "expected": f"{range_text(ends)} min", "advice": advice}
    return row.problem(code, START, start=row[START], stop=row[STOP], **facts)


def time_problems(notes: Notes) -> Iterator[Problem]:
    """Odd times of sessions and helpers."""
    rows = notes.rows(SHEET)
    problems = [fault for row in rows if (fault := session_time(row).problem) is not None]
    as_read = [fault for fault in problems if fault.code == "row-elapsed-without-pauses"]
    yield from (fault for fault in problems if fault not in as_read)
    if as_read:
        yield replace(as_read[0], count=len(as_read))
    to_come = [rows[index] for index in sorted(notes.planned) if not why_left_out(rows[index])]
    if to_come:
        n = len(to_come)
        yield to_come[0].problem("season-sessions-planned", "session", n, count=str(n))
    for row in rows:
        minutes = session_minutes(row)
        if minutes is None:
            continue
        # Written minutes are judged with all numbers, in ``limits``.
        if row[START] is not None and row[STOP] is not None and not _is_usual(minutes):
            yield _long(row, "row-clock-unusual", _usual())
        yield from _parts(row, minutes)
    yield from _helpers(notes)


def _parts(row: NotesRow, minutes: float) -> Iterator[Problem]:
    parts = {column: row.number(column, "min") or 0.0 for column in (PAUSES, SERVICE)}
    rest, whole = minutes - sum(parts.values()), amount_text(minutes, "min")
    if rest <= 0:
        larger = max(parts, key=lambda column: parts[column])
        is_odd = row[ELAPSED] is not None and not _is_usual(minutes)  # most likely typed in hours
        found = amount_text(sum(parts.values()), "min")
        yield row.problem("row-parts-over-whole", ELAPSED if is_odd else larger, found=found, expected=whole)
    elif parts[PAUSES] > value("gross.pauses") * minutes and why_left_out(row) is None:
        yield row.problem("row-mostly-pauses", PAUSES, found=row.shown(PAUSES), expected=whole)
    running, stacking = row.number("running_time", "min"), row.number("stacking_time", "min")
    if running is not None and running > minutes * HAIR:
        yield row.problem("row-running-over-whole", "running_time", found=amount_text(running, "min"), expected=whole)
    if stacking and stacking >= rest > 0:
        facts = {"found": amount_text(stacking, "min"), "expected": amount_text(rest, "min")}
        yield row.problem("row-stacking-over-rest", "stacking_time", **facts)


def _helpers(notes: Notes) -> Iterator[Problem]:
    for row in notes.rows("helpers"):
        session = row.referred("session", SHEET)
        if session is None:
            continue
        name, person = session.text("session"), row.name("person")
        if person is not None and person == session.name("person"):
            yield row.problem("table-helper-is-main", "person", found=row.quoted("person"), session=name)
        time, minutes = helper_minutes(row, session), session_minutes(session)
        if time is not None and minutes is not None and time > minutes * HAIR:
            facts = {"found": amount_text(time, "min"), "expected": amount_text(minutes, "min")}
            yield row.problem("table-helper-too-long", "time", session=name, **facts)


LEAST_DATES = 3  # fewer show no order


def date_problems(notes: Notes, saved: str | None) -> Iterator[Problem]:
    """Odd dates of timed sessions, one line for each, and days of stacks that are still to come.

    saved: day on which the file was saved last; ignored if it is before all dates, since that clock was wrong.
    """
    timed = [
        (row, dt.date.fromisoformat(row["date"]))
        for row in notes.rows("sessions")
        if row["date"] and session_minutes(row) is not None
    ]
    if len(timed) < LEAST_DATES:
        return
    ordered = sorted(day for _, day in timed)
    today = saved if saved is not None and saved >= ordered[0].isoformat() else None
    middle = ordered[len(ordered) // 2]
    out_of_order = _out_of_order([day for _, day in timed])
    for at, (row, day) in enumerate(timed):
        found, gap, turned = day.isoformat(), _gap(ordered, day, day), _turned(day)
        if turned and gap > value("gross.date_far") and _gap(ordered, day, turned) <= value("gross.date_swapped"):
            yield row.problem("season-date-swapped", "date", value=turned.isoformat(), found=found, days=str(gap))
        elif abs(day - middle).days > value("gross.date_years_off") or gap > value("gross.date_alone"):
            yield row.problem("season-date-far-off", "date", found=found, expected=middle.isoformat())
        elif today is not None and found > today:
            yield row.problem("season-date-to-come", "date", found=found, expected=today)
        elif at in out_of_order:
            yield row.problem("season-date-out-of-order", "date", found=found)
    if today is not None:
        yield from _stacks_to_come(notes, today)


def _stacks_to_come(notes: Notes, today: str) -> Iterator[Problem]:
    for row in notes.rows("woodshed"):
        for column_id in DAYS_OF_A_STACK:
            if row[column_id] is not None and row[column_id] > today:
                yield row.problem("season-date-to-come", column_id, found=row[column_id], expected=today)


def _turned(day: dt.date) -> dt.date | None:
    return day.replace(month=day.day, day=day.month) if day.day <= 12 and day.day != day.month else None


def _gap(ordered: Sequence[dt.date], own: dt.date, day: dt.date) -> int:
    """Days from a day to the nearest date other than one's own."""
    place, at = bisect_left(ordered, own), bisect_left(ordered, day)
    near = (other for other in range(at - 2, at + 2) if 0 <= other < len(ordered) and other != place)
    return min(abs(ordered[other] - day).days for other in near)


def _out_of_order(days: Sequence[dt.date]) -> set[int]:
    """Places of dates far before or after both their neighbors on the sheet, where those are in order."""
    found = set()
    for at, (before, day, after) in enumerate(zip(days, days[1:], days[2:], strict=False), start=1):
        is_between = (day > before) is not (day > after)
        nearest = min(abs(day - before), abs(day - after)).days
        if before <= after and not is_between and nearest > value("gross.date_out_of_order"):
            found.add(at)
    return found
