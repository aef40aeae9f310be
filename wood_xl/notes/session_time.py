"""How long sessions took, by the clock or as written: worked out here and nowhere else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from wood_xl.data.load import value
from wood_xl.notes.clock_times import clock_text, minutes_of_clock
from wood_xl.notes.other_unit import range_text
from wood_xl.notes.planned import PLANS
from wood_xl.notes.problem import Place, Problem, number_text, problem, quoted
from wood_xl.notes.relations import Notes
from wood_xl.pages import HowToMend
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase

SHEET = "sessions"
START, STOP, ELAPSED, PAUSES, SERVICE = "start", "stop", "elapsed_time", "delay_time", "service_time"
TIMES = (START, STOP, ELAPSED)
HALF_A_DAY_MIN = 720.0
HAIR = 1 + 1e-9


@dataclass(frozen=True)
class SessionTime:
    """Minutes of a session from start to finish, pauses included; None if they cannot be told.

    found: what is wrong with them, or how they were told.
    """

    minutes: float | None
    found: Problem | None = None


def session_minutes(notes: Notes, index: int) -> float | None:
    """Minutes of a session from start to finish, pauses included; None if they cannot be told."""
    return session_time(notes, index).minutes


def helper_minutes(notes: Notes, row: int, session: int | None) -> float | None:
    """Minutes that a helper's row tells of: the whole session's where it says nothing."""
    if session is not None and notes.is_empty("helpers", row, "time"):
        return session_minutes(notes, session)
    return notes.number("helpers", row, "time", "min")


def session_time(notes: Notes, index: int) -> SessionTime:
    """Minutes of a session by its Start and Stop, else by its elapsed time.

    Where both are there the clock counts, if they agree: to the two readings of a clock, or but for the pauses.
    """
    if any(notes.waits(SHEET, index, column_id) for column_id in TIMES) or index in notes.planned:
        return SessionTime(None)
    start, stop = (notes.value(SHEET, index, column_id) for column_id in (START, STOP))
    elapsed = notes.number(SHEET, index, ELAPSED, "min")
    if start is not None and stop is not None:
        return _by_clock(notes, index, start, stop, elapsed)
    return SessionTime(elapsed, _no_time(notes, index, start, stop) if elapsed is None else None)


def _by_clock(notes: Notes, index: int, start: str, stop: str, elapsed: float | None) -> SessionTime:
    minutes = minutes_of_clock(stop) - minutes_of_clock(start)
    if minutes <= 0:
        return SessionTime(None, _stop_before_start(notes, index, start, stop))
    column = season_definition().column(f"{SHEET}.{ELAPSED}")
    if column.maximum is not None and minutes > column.maximum:
        return SessionTime(None, _long(notes, index, start, stop, "row-clock-too-long", (column.maximum,)))
    near = value("session.clock_and_elapsed_agree")
    if elapsed is None or abs(minutes - elapsed) <= near:
        return SessionTime(minutes)
    if notes.waits(SHEET, index, PAUSES):
        return SessionTime(None)
    pauses = notes.number(SHEET, index, PAUSES, "min") or 0.0
    place = notes.document.place(SHEET, index, ELAPSED)
    facts = {"found": notes.typed(SHEET, index, ELAPSED), "expected": f"{number_text(minutes)} min"}
    if abs(minutes - pauses - elapsed) <= near:
        return SessionTime(minutes, problem("row-elapsed-without-pauses", place, **facts))
    cells = {
        "start": start,
        "stop": stop,
        "start_cell": _at(notes, index, START),
        "stop_cell": _at(notes, index, STOP),
    }
    return SessionTime(None, problem("row-elapsed-against-clock", place, **facts, **cells))


def _at(notes: Notes, index: int, column_id: str) -> str:
    return notes.document.place(SHEET, index, column_id).cell


def _no_time(notes: Notes, index: int, start: str | None, stop: str | None) -> Problem | None:
    if start is not None or stop is not None:
        empty, other = (STOP, START) if stop is None else (START, STOP)
        title = season_definition().column(f"{SHEET}.{other}").title
        facts = {"filled": title, "found": str(start or stop), "cell": _at(notes, index, other)}
        return problem("row-half-a-clock", _there(notes, index, empty, other), **facts)
    filled = notes.document.rows(SHEET)[index].keys()
    if not {"session", "method"} <= filled and filled <= PLANS:
        return None  # what is missing is told of, or the row is a remark
    return problem("row-no-time", _there(notes, index, ELAPSED, START))


def _there(notes: Notes, index: int, column_id: str, other: str) -> Place:
    """The cell of a column, or of another one where the sheet has no such column."""
    columns = notes.document.places[SHEET].columns
    return notes.document.place(SHEET, index, column_id if column_id in columns else other)


def _stop_before_start(notes: Notes, index: int, start: str, stop: str) -> Problem:
    later = minutes_of_clock(stop) + HALF_A_DAY_MIN
    advice = phrase(HowToMend.MEND_ONE_OF_TWO)
    if _is_usual(later - minutes_of_clock(start)) and later < 2 * HALF_A_DAY_MIN:
        advice = phrase(HowToMend.IF_AFTERNOON, clock=clock_text(later))
    place = notes.document.place(SHEET, index, STOP)
    return problem("row-stop-before-start", place, found=stop, expected=start, advice=advice)


def _usual() -> tuple[float, float]:
    return season_definition().column(f"{SHEET}.{ELAPSED}").plausible or (0.0, HALF_A_DAY_MIN)


def _is_usual(minutes: float) -> bool:
    least, most = _usual()
    return least <= minutes <= most


def _long(notes: Notes, index: int, start: str, stop: str, code: str, ends: tuple[float, ...]) -> Problem:
    """A time by the clock that is too long or unusual; a Start in the afternoon may be meant."""
    begun = minutes_of_clock(start)
    minutes = minutes_of_clock(stop) - begun
    advice = phrase(HowToMend.MEND_ONE_OF_TWO)
    if _is_usual(minutes - HALF_A_DAY_MIN):
        advice = phrase(HowToMend.IF_START_IN_AFTERNOON, clock=clock_text(begun + HALF_A_DAY_MIN))
    facts = {
        "start": start,
        "stop": stop,
        "found": f"{number_text(minutes)} min",
        "expected": f"{range_text(ends)} min",
    }
    return problem(code, notes.document.place(SHEET, index, START), advice=advice, **facts)


def _unusual(notes: Notes, index: int) -> Iterator[Problem]:
    """A time by the clock that can be but seldom is; one that is written as minutes is told of with all numbers."""
    minutes = session_minutes(notes, index)
    start, stop = (notes.value(SHEET, index, column_id) for column_id in (START, STOP))
    if minutes is not None and start is not None and stop is not None and not _is_usual(minutes):
        yield _long(notes, index, start, stop, "row-clock-unusual", _usual())


def time_problems(notes: Notes) -> Iterator[Problem]:
    """What is odd about the times of sessions and helpers."""
    rows = range(len(notes.document.rows(SHEET)))
    told = [one for index in rows if (one := session_time(notes, index).found) is not None]
    as_read = [one for one in told if one.code == "row-elapsed-without-pauses"]
    yield from (one for one in told if one not in as_read)
    if as_read:
        yield replace(as_read[0], count=len(as_read))
    if notes.planned:
        first = notes.document.place(SHEET, min(notes.planned), "session")
        yield replace(
            problem("season-sessions-planned", first, count=str(len(notes.planned))), count=len(notes.planned)
        )
    for index in rows:
        yield from _unusual(notes, index)
        yield from _parts(notes, index)
    yield from _helpers(notes)


def _parts(notes: Notes, index: int) -> Iterator[Problem]:
    """Parts of a session's time that are longer than it."""
    minutes = session_minutes(notes, index)
    if minutes is None:
        return
    parts = {column: notes.number(SHEET, index, column, "min") or 0.0 for column in (PAUSES, SERVICE)}
    rest, whole = minutes - sum(parts.values()), f"{number_text(minutes)} min"
    if rest <= 0:
        larger = max(parts, key=lambda column: parts[column])
        is_odd = notes.value(SHEET, index, ELAPSED) is not None and not _is_usual(minutes)  # most likely hours
        place = notes.document.place(SHEET, index, ELAPSED if is_odd else larger)
        yield problem("row-parts-over-whole", place, found=f"{number_text(sum(parts.values()))} min", expected=whole)
    running = notes.number(SHEET, index, "running_time", "min")
    if running is not None and running > minutes * HAIR:
        place = notes.document.place(SHEET, index, "running_time")
        yield problem("row-running-over-whole", place, found=f"{number_text(running)} min", expected=whole)
    stacking = notes.number(SHEET, index, "stacking_time", "min")
    if stacking and stacking >= rest > 0:
        place = notes.document.place(SHEET, index, "stacking_time")
        left = f"{number_text(rest)} min"
        yield problem("row-stacking-over-rest", place, found=f"{number_text(stacking)} min", expected=left)


def _helpers(notes: Notes) -> Iterator[Problem]:
    for index in range(len(notes.document.rows("helpers"))):
        session_index = notes.index_of[SHEET].get(notes.name("helpers", index, "session") or "")
        if session_index is None:
            continue
        session = str(notes.value(SHEET, session_index, "session"))
        person = notes.name("helpers", index, "person")
        if person is not None and person == notes.name(SHEET, session_index, "person"):
            place = notes.document.place("helpers", index, "person")
            helper = quoted(str(notes.value("helpers", index, "person")))
            yield problem("table-helper-is-main", place, found=helper, session=session)
        time, minutes = helper_minutes(notes, index, session_index), session_minutes(notes, session_index)
        if time is not None and minutes is not None and time > minutes * HAIR:
            yield problem(
                "table-helper-too-long",
                notes.document.place("helpers", index, "time"),
                found=f"{number_text(time)} min",
                expected=f"{number_text(minutes)} min",
                session=session,
            )
