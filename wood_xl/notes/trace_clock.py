"""Rows of heart traces by the clock: which session each belongs to, and the time since the trace began."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from wood_xl.data.load import value
from wood_xl.notes.clock_times import minutes_of_clock
from wood_xl.notes.problem import Problem, number_text, problem
from wood_xl.notes.relations import Notes
from wood_xl.notes.session_time import session_minutes

SHEET = "heart_trace"
S_PER_MIN, S_PER_DAY = 60.0, 86_400.0


@dataclass(frozen=True)
class Stamp:
    """A time of day in seconds since midnight, and its date if one is written."""

    day: dt.date | None
    seconds: float


@dataclass(frozen=True)
class Window:
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
                "found": self._notes.typed(SHEET, rows[0], "elapsed"),
                "expected": number_text(value("heart_trace.clock_and_elapsed_agree")),
            }
            yield self._told("table-trace-clock-against-elapsed", rows, "elapsed", **facts)

    def _told(self, code: str, rows: list[int], column: str, **facts: str) -> Problem:
        return replace(problem(code, self._notes.document.place(SHEET, rows[0], column), **facts), count=len(rows))

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
