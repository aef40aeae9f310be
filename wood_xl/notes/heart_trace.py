"""Pasted heart traces: which session and person each reading is of, and checks of them."""

from __future__ import annotations

import datetime as dt
from array import array
from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import NamedTuple

from wood_xl.body.effort_equations import max_heart_rate_bpm
from wood_xl.body.heart_cleaning import (
    CleanTrace,
    OddReadings,
    clean_recordings,
    gap_limit_s,
    not_heart_rates,
    recordings,
    spikes,
)
from wood_xl.data.load import value
from wood_xl.notes.problem import Problem, number_text, problem
from wood_xl.notes.relations import Notes, NotesRow
from wood_xl.notes.session_time import helper_minutes, session_minutes
from wood_xl.notes.typed import minutes_of_clock
from wood_xl.pages import InMessage
from wood_xl.reasons import Listing
from wood_xl.schema.words import phrase
from wood_xl.units import convert

SHEET = "heart_trace"
S_PER_MIN, S_PER_DAY = 60.0, 86_400.0


class Stamp(NamedTuple):
    """A time of day in seconds since midnight, and its date if one is written."""

    day: dt.date | None
    seconds: float


class Window(NamedTuple):
    """When a session was worked, with its row."""

    session: int
    day: dt.date | None
    start_s: float
    stop_s: float


def stamp_of(text: str) -> Stamp:
    """Date and time of day of a stamp as the document keeps it.

    >>> stamp_of("2026-03-01 9:05:30"), stamp_of("0:00")
    (Stamp(day=datetime.date(2026, 3, 1), seconds=32730.0), Stamp(day=None, seconds=0.0))
    """
    day, _, clock = text.rpartition(" ")
    return Stamp(dt.date.fromisoformat(day) if day else None, S_PER_MIN * minutes_of_clock(clock))


class TraceClock:
    """Sessions and times of the rows of the heart traces of one season."""

    def __init__(self, notes: Notes) -> None:
        self._notes = notes
        self._sessions_at: dict[tuple[dt.date | None, int], tuple[int, ...]] = {}
        self._first: dict[tuple[int, str], Stamp] = {}
        self._began: dict[tuple[int, str], tuple[Stamp, float]] = {}

    def stamp(self, row: int) -> Stamp | None:
        """Stamp of a row; None if it has none that can be used."""
        text = self._notes.value(SHEET, row, "clock")
        return None if text is None else stamp_of(text)

    def session(self, row: int) -> int | None:
        """Row of the session that a row of a trace belongs to: as written, else the only one that its stamp is in."""
        name = self._notes.name(SHEET, row, "session")
        if name is not None:
            return self._notes.index_of["sessions"].get(name)
        stamp = self.stamp(row) if self._notes.is_empty(SHEET, row, "session") else None
        found = () if stamp is None else self.sessions_at(stamp)
        return found[0] if len(found) == 1 else None

    def person(self, row: int, session: int) -> str:
        """Whose heart it was, as names are compared; empty if nobody is named."""
        return self._notes.name(SHEET, row, "person") or self._notes.name("sessions", session, "person") or ""

    def elapsed_s(self, row: int, session: int) -> float | None:
        """Seconds of a row: as written, else from the first stamp of its session and person."""
        elapsed_s = self._notes.number(SHEET, row, "elapsed", "s")
        if elapsed_s is not None:
            return elapsed_s
        stamp = self.stamp(row) if self._notes.is_empty(SHEET, row, "elapsed") else None
        if stamp is None:
            return None
        first = self._first.setdefault((session, self.person(row, session)), stamp)
        return stamp.seconds - first.seconds + S_PER_DAY * _days(first, stamp)

    def sessions_at(self, stamp: Stamp) -> tuple[int, ...]:
        """Rows of the sessions that were worked at a time, a few minutes either way."""
        at = stamp.day, int(stamp.seconds // S_PER_MIN)
        if at not in self._sessions_at:
            margin_s = S_PER_MIN * value("heart_trace.around_session")
            self._sessions_at[at] = tuple(
                window.session
                for window in self._windows
                if None in (stamp.day, window.day) or stamp.day == window.day
                if window.start_s - margin_s <= S_PER_MIN * at[1] <= window.stop_s + margin_s
            )
        return self._sessions_at[at]

    @cached_property
    def _windows(self) -> tuple[Window, ...]:
        found = []
        for index, row in enumerate(self._notes.document.rows("sessions")):
            start, minutes = self._notes.value("sessions", index, "start"), session_minutes(self._notes, index)
            if start is not None and minutes is not None:
                start_s = S_PER_MIN * minutes_of_clock(start)
                day = row.get("date") if self._notes.value("sessions", index, "date") else None
                date = dt.date.fromisoformat(day) if day else None
                found.append(Window(index, date, start_s, start_s + S_PER_MIN * minutes))
        return tuple(found)

    def problems(self) -> Iterator[Problem]:
        """Rows that no session can be told for, and stamps that go against the elapsed time."""
        lost: dict[bool, list[int]] = {False: [], True: []}
        apart: dict[tuple[int, str], list[int]] = {}
        for row, typed in enumerate(self._notes.document.rows(SHEET)):
            stamp = self.stamp(row) if "clock" in typed else None
            if stamp is None:
                continue
            session = self.session(row)
            if session is None:
                if self._notes.is_empty(SHEET, row, "session"):
                    lost[len(self.sessions_at(stamp)) > 1].append(row)
            elif self._is_apart(row, session, stamp):
                apart.setdefault((session, self.person(row, session)), []).append(row)
        for is_several, rows in lost.items():
            if rows:
                code = "table-trace-several-sessions" if is_several else "table-trace-no-session"
                yield self._told(code, rows, "clock", found=str(self._notes.value(SHEET, rows[0], "clock")))
        for (session, _), rows in apart.items():
            facts = {
                "session": str(self._notes.value("sessions", session, "session")),
                "found": NotesRow(self._notes, SHEET, rows[0]).typed("elapsed"),
                "expected": number_text(value("heart_trace.clock_and_elapsed_agree")),
            }
            yield self._told("table-trace-clock-against-elapsed", rows, "elapsed", **facts)

    def _told(self, code: str, rows: list[int], column: str, **facts: str) -> Problem:
        return problem(code, self._notes.document.place(SHEET, rows[0], column), len(rows), **facts)

    def _is_apart(self, row: int, session: int, stamp: Stamp) -> bool:
        """Whether a row's elapsed time is far from its stamp, both taken from where the trace begins."""
        elapsed_s = self._notes.number(SHEET, row, "elapsed", "s")
        if elapsed_s is None:
            return False
        began = self._began.setdefault((session, self.person(row, session)), (stamp, elapsed_s))
        by_clock = stamp.seconds - began[0].seconds + S_PER_DAY * _days(began[0], stamp)
        return abs(by_clock - (elapsed_s - began[1])) > value("heart_trace.clock_and_elapsed_agree")


def _days(first: Stamp, later: Stamp) -> int:
    return 0 if first.day is None or later.day is None else (later.day - first.day).days


WORKERS = {("sessions", "person"), ("helpers", "session"), ("helpers", "person")}  # who was in a session


class PastedTrace(NamedTuple):
    """Rows of one person in one session, in the order in which they stand; broken ones are left out."""

    session: int  # row of the session in the document
    person: str  # name as names are compared; empty if neither the rows nor the session name anybody
    rows: array[int]  # rows in the document
    elapsed_s: array[float]
    heart_rate_bpm: array[float]


def pasted_traces(notes: Notes) -> list[PastedTrace]:
    """Traces of sessions that are known; rows without a name belong to the session's main person."""
    traces: dict[tuple[int, str], PastedTrace] = {}
    clock = TraceClock(notes)
    for row in range(len(notes.document.rows(SHEET))):
        session = clock.session(row)
        elapsed_s = None if session is None else clock.elapsed_s(row, session)
        rate = notes.number(SHEET, row, "heart_rate", "beats/min")
        if session is None or elapsed_s is None or rate is None:
            continue
        person = clock.person(row, session)
        trace = traces.get((session, person))
        if trace is None:
            trace = traces[session, person] = PastedTrace(session, person, array("q"), array("d"), array("d"))
        trace.rows.append(row)
        trace.elapsed_s.append(elapsed_s)
        trace.heart_rate_bpm.append(rate)
    return list(traces.values())


def trace_problems(notes: Notes) -> Iterator[Problem]:
    """What is odd about heart traces: one line for each session, person and fault, at the first cell."""
    minutes, traces = _minutes_of_workers(notes), pasted_traces(notes)
    yield from TraceClock(notes).problems()
    yield from _outside_equation(notes, traces)
    for trace in traces:
        if trace.person not in minutes[trace.session]:
            if notes.unread.isdisjoint(WORKERS):
                person = str(notes.value(SHEET, trace.rows[0], "person"))
                yield _at(notes, trace, "table-trace-of-nobody", 0, "person", len(trace.rows), person=person)
            continue
        cleaned = clean_recordings(trace.elapsed_s, trace.heart_rate_bpm)
        yield from _how_recorded(notes, trace, cleaned)
        yield from _odd_readings(notes, trace)
        yield from _above_highest(notes, trace)
        yield from _longer(notes, trace, cleaned, minutes[trace.session][trace.person])


def _minutes_of_workers(notes: Notes) -> dict[int, dict[str, float | None]]:
    minutes: dict[int, dict[str, float | None]] = defaultdict(dict)
    for row in notes.rows("sessions"):
        minutes[row.index][row.name("person") or ""] = session_minutes(notes, row.index)
    for row in notes.rows("helpers"):
        session, person = notes.named("sessions", row.name("session")), row.name("person")
        if session is not None and person is not None:
            minutes[session.index].setdefault(person, helper_minutes(notes, row.index, session.index))
    return minutes


def _at(
    notes: Notes, trace: PastedTrace, code: str, row: int, column: str, cells_n: int = 1, /, **facts: str
) -> Problem:
    """A problem at one row of a trace, which counts from 0 within it."""
    session = str(notes.value("sessions", trace.session, "session"))
    if column == "elapsed" and notes.is_empty(SHEET, trace.rows[row], column):
        column = "clock"
    return problem(code, notes.document.place(SHEET, trace.rows[row], column), cells_n, session=session, **facts)


def _how_recorded(notes: Notes, trace: PastedTrace, cleaned: CleanTrace) -> Iterator[Problem]:
    cadence_s = cleaned.cadence_s
    if cadence_s is not None and cadence_s > value("heart_trace.longest_step"):
        limit = number_text(gap_limit_s(cadence_s=cadence_s))
        yield _at(notes, trace, "table-trace-slow", 0, "elapsed", found=number_text(cadence_s), expected=limit)
    parted = recordings(trace.elapsed_s, trace.heart_rate_bpm)
    if parted.falls:
        at = parted.falls[0]
        facts = {
            "before": number_text(trace.elapsed_s[at - 1]),
            "found": number_text(trace.elapsed_s[at]),
            "done": _done(cleaned),
        }
        yield _at(notes, trace, "table-trace-starts-again", at, "elapsed", len(parted.falls), **facts)


def _done(cleaned: CleanTrace) -> str:
    if cleaned.recordings_n > 1:
        return phrase(InMessage.READ_AS_RECORDINGS, n=cleaned.recordings_n)
    if cleaned.dropped_duplicate_n:
        return phrase(InMessage.IN_ORDER_TWICE_ONCE, n=cleaned.dropped_duplicate_n)
    return phrase(InMessage.IN_ORDER)


def _odd_readings(notes: Notes, trace: PastedTrace) -> Iterator[Problem]:
    outside = not_heart_rates(trace.heart_rate_bpm)
    if outside is not None:
        ends = (value("heart_trace.lowest"), value("heart_trace.highest"))
        expected = phrase(Listing.UP_TO, parts=tuple(map(number_text, ends)))
        yield _of_readings(notes, trace, "table-trace-no-heart-rate", outside, expected=expected)
    found = spikes(trace.elapsed_s, trace.heart_rate_bpm)
    if found is not None:
        least = number_text(value("heart_trace.spike"))
        yield _of_readings(notes, trace, "table-trace-spikes", found, expected=least)


def _above_highest(notes: Notes, trace: PastedTrace) -> Iterator[Problem]:
    person = notes.named("people", trace.person)
    if person is None:
        return
    highest, age = person.number("max_heart_rate", "beats/min"), person.number("age", "years")
    code = "table-trace-above-max"
    if highest is None:
        if age is None:
            return
        code = "table-trace-above-usual"
        highest = max_heart_rate_bpm(age) + value("heart_trace.above_usual")
    most = value("heart_trace.highest")
    places = [place for place, rate in enumerate(trace.heart_rate_bpm) if highest < rate <= most]
    if places:
        facts = {"expected": number_text(round(highest)), "person": person.text("person")}
        yield _of_readings(notes, trace, code, OddReadings(places[0], len(places)), **facts)


def _of_readings(notes: Notes, trace: PastedTrace, code: str, odd: OddReadings, **facts: str) -> Problem:
    first = number_text(trace.heart_rate_bpm[odd.first])
    readings = phrase(InMessage.READINGS if odd.readings_n > 1 else InMessage.READING, n=odd.readings_n)
    told = {"found": first, "readings": readings, **facts}
    return _at(notes, trace, code, odd.first, "heart_rate", odd.readings_n, **told)


def _longer(notes: Notes, trace: PastedTrace, cleaned: CleanTrace, minutes: float | None) -> Iterator[Problem]:
    trace_min = cleaned.last_s / S_PER_MIN
    if minutes is None or trace_min <= minutes + value("heart_trace.longer_by"):
        return
    latest = len(trace.rows) - 1
    if cleaned.recordings_n == 1:
        latest = max(range(len(trace.rows)), key=trace.elapsed_s.__getitem__)
    facts = {"found": f"{trace_min:.0f} min", "expected": f"{number_text(minutes)} min"}
    yield _at(notes, trace, "table-trace-longer", latest, "elapsed", **facts)


def _outside_equation(notes: Notes, traces: Sequence[PastedTrace]) -> Iterator[Problem]:
    """People whose heart rate tells no effort, or by an equation that was made from people unlike them."""
    at_work = [*notes.rows("sessions"), *notes.rows("helpers")]
    with_rate = {row.name("person") for row in at_work if row["mean_heart_rate"] is not None}
    with_rate |= {trace.person for trace in traces}
    for row in notes.rows("people"):
        if row["rate_limiting_medicine"] == "yes" or row.name("person") not in with_rate:
            continue
        empty = [column_id for column_id in ("age", "mass") if row.is_empty(column_id)]
        for column_id in empty:
            yield row.problem("row-heart-rate-not-used", column_id, person=row.text("person"))
        if empty and row.is_empty("resting_heart_rate"):
            continue  # neither an effort nor a modeled time goes by the rate
        for column_id, unit in (("age", "years"), ("mass", "kg")):
            number = row.number(column_id, unit)
            ends = value(f"keytel.lowest_{column_id}"), value(f"keytel.highest_{column_id}")
            if number is None or ends[0] <= number <= ends[1]:
                continue
            typed = notes.document.unit("people", column_id) or unit
            ends_typed = tuple(f"{convert(end, unit, typed):.3g}" for end in ends)
            also = phrase(InMessage.AS_IS_MODELED_TIME) if column_id == "age" else ""
            expected = f"{phrase(Listing.UP_TO, parts=ends_typed)} {typed}"
            facts = {"found": row.typed(column_id), "expected": expected, "person": row.text("person"), "also": also}
            yield row.problem("row-outside-equation", column_id, **facts)
