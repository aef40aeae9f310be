"""Pasted heart traces: the session and person of each reading, and checks."""

from __future__ import annotations

import datetime as dt
from array import array
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
from wood_xl.notes.limits import range_text
from wood_xl.notes.problem import Problem, amount_text, number_text
from wood_xl.notes.relations import Notes, NotesRow
from wood_xl.notes.session_time import helper_minutes, session_minutes
from wood_xl.notes.typed import minutes_of_clock
from wood_xl.page_texts import InMessage
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
    """When a session was worked."""

    session: NotesRow
    day: dt.date | None
    start_s: float
    stop_s: float


def stamp_of(text: str) -> Stamp:
    """Date and time of day of a stamp in the document.

    >>> stamp_of("2026-03-01 9:05:30"), stamp_of("0:00")
    (Stamp(day=datetime.date(2026, 3, 1), seconds=32730.0), Stamp(day=None, seconds=0.0))
    """
    day, _, clock = text.rpartition(" ")
    return Stamp(dt.date.fromisoformat(day) if day else None, S_PER_MIN * minutes_of_clock(clock))


class TraceClock:
    """Finds the session and the time of each row of a season's heart traces."""

    def __init__(self, notes: Notes) -> None:
        self._notes = notes
        self._sessions_at: dict[tuple[dt.date | None, int], tuple[NotesRow, ...]] = {}
        self._first: dict[tuple[int, str], Stamp] = {}

    def session(self, row: NotesRow) -> NotesRow | None:
        """The session of a row: as written, else the only one at its stamp."""
        name = row.name("session")
        if name is not None:
            return self._notes.named("sessions", name)
        stamp = stamp_in(row) if row.is_empty("session") else None
        found = () if stamp is None else self.sessions_at(stamp)
        return found[0] if len(found) == 1 else None

    def elapsed_s(self, row: NotesRow, session: NotesRow) -> float | None:
        """Elapsed time of a row: as written, else since the first stamp of its session and person."""
        elapsed_s = row.number("elapsed", "s")
        if elapsed_s is not None:
            return elapsed_s
        stamp = stamp_in(row) if row.is_empty("elapsed") else None
        if stamp is None:
            return None
        return _seconds(self._first.setdefault((session.index, person_in(row, session)), stamp), stamp)

    def sessions_at(self, stamp: Stamp) -> tuple[NotesRow, ...]:
        """Sessions at a time, give or take a few minutes."""
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
        for session in self._notes.rows("sessions"):
            start, minutes = session["start"], session_minutes(session)
            if start is not None and minutes is not None:
                start_s = S_PER_MIN * minutes_of_clock(start)
                day = dt.date.fromisoformat(session["date"]) if session["date"] else None
                found.append(Window(session, day, start_s, start_s + S_PER_MIN * minutes))
        return tuple(found)

    def problems(self) -> Iterator[Problem]:
        """Rows whose session is not known, and stamps that contradict the elapsed time."""
        lost: dict[str, list[NotesRow]] = {"table-trace-no-session": [], "table-trace-several-sessions": []}
        apart: dict[tuple[int, str], list[NotesRow]] = {}
        began: dict[tuple[int, str], tuple[Stamp, float]] = {}
        agree = value("heart_trace.clock_and_elapsed_agree")
        for row in self._notes.each(SHEET, "clock"):
            stamp = stamp_in(row)
            if stamp is None:
                continue
            session, elapsed_s = self.session(row), row.number("elapsed", "s")
            if session is None:
                if row.is_empty("session"):
                    is_several = len(self.sessions_at(stamp)) > 1
                    lost["table-trace-several-sessions" if is_several else "table-trace-no-session"].append(row)
            elif elapsed_s is not None:
                whose = session.index, person_in(row, session)
                first, from_s = began.setdefault(whose, (stamp, elapsed_s))
                if abs(_seconds(first, stamp) - (elapsed_s - from_s)) > agree:  # both since the trace began
                    apart.setdefault(whose, []).append(row)
        for code, rows in lost.items():
            if rows:
                yield rows[0].problem(code, "clock", len(rows), found=rows[0].text("clock"))
        for (session_index, _), rows in apart.items():
            name = self._notes.row("sessions", session_index).text("session")
            facts = {"session": name, "found": rows[0].shown("elapsed"), "expected": number_text(agree)}
            yield rows[0].problem("table-trace-clock-against-elapsed", "elapsed", len(rows), **facts)


def stamp_in(row: NotesRow) -> Stamp | None:
    """Stamp of a row; None if it has none or a broken one."""
    text = row["clock"]
    return None if text is None else stamp_of(text)


def person_in(row: NotesRow, session: NotesRow) -> str:
    """Name of a row's person, as names are compared; empty if nobody is named."""
    return row.name("person") or session.name("person") or ""


def _seconds(first: Stamp, later: Stamp) -> float:
    days = 0 if first.day is None or later.day is None else (later.day - first.day).days
    return later.seconds - first.seconds + S_PER_DAY * days


WORKERS = {("sessions", "person"), ("helpers", "session"), ("helpers", "person")}  # columns that name workers


class PastedTrace(NamedTuple):
    """Readings of one person in one session, in the order of their rows, without broken ones."""

    session: NotesRow
    person: str  # as names are compared; empty if neither the rows nor the session name anybody
    rows: array[int]  # indexes of rows in the document
    elapsed_s: array[float]
    heart_rate_bpm: array[float]

    def problem(self, code: str, at: int, column: str, cells_n: int = 1, /, **facts: str) -> Problem:
        """A problem at one of its readings, counted from 0."""
        row = self.session.notes.row(SHEET, self.rows[at])
        column = "clock" if column == "elapsed" and row.is_empty(column) else column
        return row.problem(code, column, cells_n, session=self.session.text("session"), **facts)

    def of_readings(self, code: str, odd: OddReadings, **facts: str) -> Problem:
        """A problem of some readings, at the first one."""
        readings = phrase(InMessage.READINGS if odd.readings_n > 1 else InMessage.READING, n=odd.readings_n)
        facts |= {"found": number_text(self.heart_rate_bpm[odd.first]), "readings": readings}
        return self.problem(code, odd.first, "heart_rate", odd.readings_n, **facts)


def pasted_traces(notes: Notes) -> list[PastedTrace]:
    """Traces of known sessions; rows without a name are of the session's main person."""
    traces: dict[tuple[int, str], PastedTrace] = {}
    clock = TraceClock(notes)
    for row in notes.each(SHEET):
        session = clock.session(row)
        elapsed_s = None if session is None else clock.elapsed_s(row, session)
        rate = row.number("heart_rate", "beats/min")
        if session is None or elapsed_s is None or rate is None:
            continue
        person = person_in(row, session)
        trace = traces.get((session.index, person))
        if trace is None:
            trace = PastedTrace(session, person, array("q"), array("d"), array("d"))
            traces[session.index, person] = trace
        trace.rows.append(row.index)
        trace.elapsed_s.append(elapsed_s)
        trace.heart_rate_bpm.append(rate)
    for trace in traces.values():
        if (least := min(trace.elapsed_s)) < 0:  # a stamp below the first is from before it
            trace.elapsed_s[:] = array("d", (elapsed_s - least for elapsed_s in trace.elapsed_s))
    return list(traces.values())


def trace_problems(notes: Notes) -> Iterator[Problem]:
    """Odd heart traces: one line for each session, person and fault, at the first cell."""
    minutes, traces = _minutes_of_workers(notes), pasted_traces(notes)
    yield from TraceClock(notes).problems()
    yield from _outside_equation(notes, traces)
    for trace in traces:
        by_person = minutes[trace.session.index]
        if trace.person not in by_person:
            if notes.unread.isdisjoint(WORKERS):
                person = notes.row(SHEET, trace.rows[0]).text("person")
                yield trace.problem("table-trace-of-nobody", 0, "person", len(trace.rows), person=person)
            continue
        cleaned = clean_recordings(trace.elapsed_s, trace.heart_rate_bpm)
        yield from _how_recorded(trace, cleaned)
        yield from _odd_readings(trace)
        yield from _above_highest(trace)
        yield from _longer(trace, cleaned, by_person[trace.person])


def _minutes_of_workers(notes: Notes) -> dict[int, dict[str, float | None]]:
    minutes = {row.index: {row.name("person") or "": session_minutes(row)} for row in notes.rows("sessions")}
    for row in notes.rows("helpers"):
        session, person = row.referred("session", "sessions"), row.name("person")
        if session is not None and person is not None:
            minutes[session.index].setdefault(person, helper_minutes(row, session))
    return minutes


def _how_recorded(trace: PastedTrace, cleaned: CleanTrace) -> Iterator[Problem]:
    cadence_s = cleaned.cadence_s
    if cadence_s is not None and cadence_s > value("heart_trace.longest_step"):
        limit = number_text(gap_limit_s(cadence_s=cadence_s))
        yield trace.problem("table-trace-slow", 0, "elapsed", found=number_text(cadence_s), expected=limit)
    falls = recordings(trace.elapsed_s, trace.heart_rate_bpm).falls
    if falls:
        before, found = map(number_text, trace.elapsed_s[falls[0] - 1 : falls[0] + 1])
        facts = {"before": before, "found": found, "done": _done(cleaned)}
        yield trace.problem("table-trace-starts-again", falls[0], "elapsed", len(falls), **facts)


def _done(cleaned: CleanTrace) -> str:
    if cleaned.recordings_n > 1:
        return phrase(InMessage.READ_AS_RECORDINGS, n=cleaned.recordings_n)
    if cleaned.dropped_duplicate_n:
        return phrase(InMessage.IN_ORDER_TWICE_ONCE, n=cleaned.dropped_duplicate_n)
    return phrase(InMessage.IN_ORDER)


def _odd_readings(trace: PastedTrace) -> Iterator[Problem]:
    outside = not_heart_rates(trace.heart_rate_bpm)
    if outside is not None:
        expected = range_text((value("heart_trace.lowest"), value("heart_trace.highest")))
        yield trace.of_readings("table-trace-no-heart-rate", outside, expected=expected)
    found = spikes(trace.elapsed_s, trace.heart_rate_bpm)
    if found is not None:
        yield trace.of_readings("table-trace-spikes", found, expected=number_text(value("heart_trace.spike")))


def _above_highest(trace: PastedTrace) -> Iterator[Problem]:
    person = trace.session.notes.named("people", trace.person)
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
        yield trace.of_readings(code, OddReadings(places[0], len(places)), **facts)


def _longer(trace: PastedTrace, cleaned: CleanTrace, minutes: float | None) -> Iterator[Problem]:
    trace_min = cleaned.last_s / S_PER_MIN
    if minutes is None or trace_min <= minutes + value("heart_trace.longer_by"):
        return
    latest = len(trace.rows) - 1
    if cleaned.recordings_n == 1:
        latest = max(range(len(trace.rows)), key=trace.elapsed_s.__getitem__)
    facts = {"found": f"{trace_min:.0f} min", "expected": amount_text(minutes, "min")}
    yield trace.problem("table-trace-longer", latest, "elapsed", **facts)


def _outside_equation(notes: Notes, traces: Sequence[PastedTrace]) -> Iterator[Problem]:
    """People whose heart rate cannot be used for effort, or who are outside the range of its equation."""
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
            continue  # neither effort nor modeled time uses the rate
        for column_id, unit in (("age", "years"), ("mass", "kg")):
            number = row.number(column_id, unit)
            ends = value(f"keytel.lowest_{column_id}"), value(f"keytel.highest_{column_id}")
            if number is None or ends[0] <= number <= ends[1]:
                continue
            typed = row.unit(column_id) or unit
            ends_typed = tuple(f"{convert(end, unit, typed):.3g}" for end in ends)
            also = phrase(InMessage.AS_IS_MODELED_TIME) if column_id == "age" else ""
            expected = f"{phrase(Listing.UP_TO, parts=ends_typed)} {typed}"
            facts = {"found": row.shown(column_id), "expected": expected, "person": row.text("person"), "also": also}
            yield row.problem("row-outside-equation", column_id, **facts)
