"""Dates of sessions that cannot be right: day and month swapped, years off, or out of order."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left
from collections.abc import Iterator, Sequence

from wood_xl.data.load import value
from wood_xl.notes.problem import Problem, problem
from wood_xl.notes.relations import Notes
from wood_xl.notes.session_time import session_minutes

LEAST = 3  # dates from which one can be told from the others


def date_problems(notes: Notes, saved: str | None) -> Iterator[Problem]:
    """What is odd about the dates of sessions that were timed, one line for each date.

    saved: day on which the file was saved last; the clock of a file that was saved before all of them tells nothing.
    """
    days = {
        index: dt.date.fromisoformat(day).toordinal()
        for index in range(len(notes.document.rows("sessions")))
        if (day := notes.value("sessions", index, "date")) and session_minutes(notes, index) is not None
    }
    if len(days) < LEAST:
        return
    ordered = sorted(days.values())
    told = saved if saved is not None and saved >= dt.date.fromordinal(ordered[0]).isoformat() else None
    middle = ordered[len(ordered) // 2]
    out_of_order = _out_of_order(list(days), days)
    for index, day in days.items():
        place = notes.document.place("sessions", index, "date")
        found = dt.date.fromordinal(day)
        gap = _gap(ordered, day, day)
        turned = _turned(found)
        facts = {"found": found.isoformat(), "days": str(gap)}
        if turned and gap > value("gross.date_far") and _gap(ordered, day, turned) <= value("gross.date_swapped"):
            yield problem("season-date-swapped", place, value=dt.date.fromordinal(turned).isoformat(), **facts)
        elif abs(day - middle) > value("gross.date_years_off") or gap > value("gross.date_alone"):
            expected = dt.date.fromordinal(middle).isoformat()
            yield problem("season-date-far-off", place, found=facts["found"], expected=expected)
        elif told is not None and found.isoformat() > told:
            yield problem("season-date-to-come", place, found=found.isoformat(), expected=told)
        elif index in out_of_order:
            yield problem("season-date-out-of-order", place, found=facts["found"])


def _turned(day: dt.date) -> int | None:
    """The date with day and month swapped; None if there is none, or it is the same."""
    return day.replace(month=day.day, day=day.month).toordinal() if day.day <= 12 and day.day != day.month else None


def _gap(ordered: Sequence[int], own: int, day: int) -> int:
    """Days from a date to the nearest of the others."""
    place, at = bisect_left(ordered, own), bisect_left(ordered, day)
    near = (other for other in range(at - 2, at + 2) if 0 <= other < len(ordered) and other != place)
    return min(abs(ordered[other] - day) for other in near)


def _out_of_order(rows: Sequence[int], days: dict[int, int]) -> set[int]:
    """Rows whose date lies far before or far after both its neighbors on the sheet, where those are in order."""
    far = value("gross.date_out_of_order")
    found = set()
    for before, row, after in zip(rows, rows[1:], rows[2:], strict=False):
        from_before, from_after = days[row] - days[before], days[row] - days[after]
        is_between = days[before] <= days[after]
        if is_between and min(abs(from_before), abs(from_after)) > far and (from_before > 0) is (from_after > 0):
            found.add(row)
    return found
