"""Sessions that are only planned: a method and whose turn it is, and nothing measured yet."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from wood_xl.notes.document import SeasonDocument
from wood_xl.notes.names import plain

Cell = tuple[str, int | None, str]

PLANS = {"session", "date", "method", "person", "lot", "note", "leave_out"}  # what is known before the work
LABELS = {"session", "person"}  # what a row of another sheet may have before the work
OF_SESSIONS = ("helpers", "tally", "cuts", "stacks", "heart_trace")


def planned_sessions(document: SeasonDocument, unreadable: Collection[Cell]) -> frozenset[int]:
    """Rows of sessions with a method, no time and nothing measured on any sheet.

    What is filled and gave no value counts as measured.
    """
    odd = {(sheet_id, index) for sheet_id, index, column_id in unreadable if column_id not in PLANS | LABELS}
    planned = {
        index: plain(str(row["session"]))
        for index, row in enumerate(document.rows("sessions"))
        if {"session", "method"} <= row.keys() <= PLANS and ("sessions", index) not in odd
    }
    if not planned:
        return frozenset()
    measured = {
        plain(str(row["session"]))
        for sheet_id in OF_SESSIONS
        for index, row in enumerate(document.rows(sheet_id))
        if "session" in row and (_measured(row) or (sheet_id, index) in odd)
    }
    return frozenset(index for index, name in planned.items() if name not in measured)


def rows_of_planned(document: SeasonDocument, unreadable: Collection[Cell]) -> frozenset[tuple[str, int]]:
    """Rows of other sheets that only name a session that is planned: they wait to be filled."""
    sessions = document.rows("sessions")
    names = {plain(str(sessions[index]["session"])) for index in planned_sessions(document, unreadable)}
    if not names:
        return frozenset()
    return frozenset(
        (sheet_id, index)
        for sheet_id in OF_SESSIONS
        for index, row in enumerate(document.rows(sheet_id))
        if not _measured(row) and plain(str(row.get("session", ""))) in names
    )


def _measured(row: Mapping[str, Any]) -> set[str]:
    """Columns that hold more than a name; of a tally, classes without a cut hold nothing."""
    without_cuts = not any(one["cuts"] for one in row.get("classes", ()))
    return {key for key in row.keys() - LABELS if not (key == "classes" and without_cuts)}
