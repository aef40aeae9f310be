"""Checks of pasted heart traces: whose they are, how they were recorded, and what in them cannot be."""

from __future__ import annotations

from array import array
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from wood_xl.body.effort_equations import max_heart_rate_bpm
from wood_xl.body.heart_cleaning import CleanTrace, clean_recordings
from wood_xl.body.heart_recording import OddReadings, gap_limit_s, not_heart_rates, recordings, spikes
from wood_xl.data.load import value
from wood_xl.notes.problem import Problem, number_text, problem
from wood_xl.notes.relations import Notes
from wood_xl.notes.session_time import helper_minutes, session_minutes
from wood_xl.notes.trace_clock import SHEET, TraceClock
from wood_xl.pages import InMessage
from wood_xl.reasons import Listing
from wood_xl.schema.words import phrase
from wood_xl.units import convert

WORKERS = {("sessions", "person"), ("helpers", "session"), ("helpers", "person")}  # who was in a session
S_PER_MIN = 60.0


@dataclass(frozen=True)
class PastedTrace:
    """Rows of one person in one session, in the order in which they stand; broken ones are left out.

    session: row of the session in the document.
    person: name as names are compared; empty if neither the rows nor the session name anybody.
    rows: rows in the document.
    """

    session: int
    person: str
    rows: array[int]
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
                yield _not_in_session(notes, trace)
            continue
        cleaned = clean_recordings(trace.elapsed_s, trace.heart_rate_bpm)
        yield from _how_recorded(notes, trace, cleaned)
        yield from _odd_readings(notes, trace)
        yield from _above_highest(notes, trace)
        yield from _longer(notes, trace, cleaned, minutes[trace.session][trace.person])


def _minutes_of_workers(notes: Notes) -> dict[int, dict[str, float | None]]:
    """For each session the time of each of its people by name."""
    minutes: dict[int, dict[str, float | None]] = defaultdict(dict)
    for index in range(len(notes.document.rows("sessions"))):
        main = notes.name("sessions", index, "person") or ""
        minutes[index][main] = session_minutes(notes, index)
    for index in range(len(notes.document.rows("helpers"))):
        session = notes.index_of["sessions"].get(notes.name("helpers", index, "session") or "")
        person = notes.name("helpers", index, "person")
        if session is not None and person is not None:
            minutes[session].setdefault(person, helper_minutes(notes, index, session))
    return minutes


def _at(notes: Notes, trace: PastedTrace, code: str, row: int, column: str, **facts: str) -> Problem:
    """A problem at one row of a trace, which counts from 0 within it."""
    session = str(notes.value("sessions", trace.session, "session"))
    if column == "elapsed" and notes.is_empty(SHEET, trace.rows[row], column):
        column = "clock"
    return problem(code, notes.document.place(SHEET, trace.rows[row], column), session=session, **facts)


def _not_in_session(notes: Notes, trace: PastedTrace) -> Problem:
    person = str(notes.value(SHEET, trace.rows[0], "person"))
    told = _at(notes, trace, "table-trace-of-nobody", 0, "person", person=person)
    return replace(told, count=len(trace.rows))


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
        yield replace(_at(notes, trace, "table-trace-starts-again", at, "elapsed", **facts), count=len(parted.falls))


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
    person = notes.index_of["people"].get(trace.person)
    if person is None:
        return
    highest = notes.number("people", person, "max_heart_rate", "beats/min")
    age = notes.number("people", person, "age", "years")
    code = "table-trace-above-max"
    if highest is None:
        if age is None:
            return
        code = "table-trace-above-usual"
        highest = max_heart_rate_bpm(age) + value("heart_trace.above_usual")
    most = value("heart_trace.highest")
    places = [place for place, rate in enumerate(trace.heart_rate_bpm) if highest < rate <= most]
    if places:
        facts = {"expected": number_text(round(highest)), "person": str(notes.value("people", person, "person"))}
        yield _of_readings(notes, trace, code, OddReadings(places[0], len(places)), **facts)


def _of_readings(notes: Notes, trace: PastedTrace, code: str, odd: OddReadings, **facts: str) -> Problem:
    first = number_text(trace.heart_rate_bpm[odd.first])
    readings = phrase(InMessage.READINGS if odd.readings_n > 1 else InMessage.READING, n=odd.readings_n)
    told = _at(notes, trace, code, odd.first, "heart_rate", found=first, readings=readings, **facts)
    return replace(told, count=odd.readings_n)


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
    """People whose heart rate is used though the equation was made from people unlike them."""
    with_rate = _people_with_heart_rate(notes, traces)
    for index in range(len(notes.document.rows("people"))):
        limited = notes.value("people", index, "rate_limiting_medicine") == "yes"
        if limited or notes.name("people", index, "person") not in with_rate:
            continue
        for column_id, unit in (("age", "years"), ("mass", "kg")):
            number = notes.number("people", index, column_id, unit)
            ends = value(f"keytel.lowest_{column_id}"), value(f"keytel.highest_{column_id}")
            if number is None or ends[0] <= number <= ends[1]:
                continue
            typed = notes.document.unit("people", column_id) or unit
            ends_typed = tuple(f"{convert(end, unit, typed):.3g}" for end in ends)
            yield problem(
                "row-outside-equation",
                notes.document.place("people", index, column_id),
                found=notes.typed("people", index, column_id),
                expected=f"{phrase(Listing.UP_TO, parts=ends_typed)} {typed}",
                person=str(notes.value("people", index, "person")),
                also=phrase(InMessage.AS_IS_MODELED_TIME) if column_id == "age" else "",
            )


def _people_with_heart_rate(notes: Notes, traces: Sequence[PastedTrace]) -> set[str | None]:
    """Names of everybody whose heart rate is written or recorded anywhere."""
    names = {
        notes.name(sheet_id, index, "person")
        for sheet_id in ("sessions", "helpers")
        for index in range(len(notes.document.rows(sheet_id)))
        if notes.value(sheet_id, index, "mean_heart_rate") is not None
    }
    return names | {trace.person for trace in traces}
