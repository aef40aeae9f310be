"""Fuel and electricity of sessions: as measured, else by full tanks or battery charges and their size."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wood_xl.data.load import constant, sources, value
from wood_xl.data.trade import ToolKind, tool_kinds
from wood_xl.notes.problem import Problem, number_text, problem, quoted
from wood_xl.notes.relations import Notes
from wood_xl.reasons import Listing
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase

FUEL, ELECTRICITY, REFILLS = "fuel_used", "electricity_used", "refills"
SIZE_OF = {FUEL: "tools.tank", ELECTRICITY: "tools.battery"}
EFFICIENCY = "battery.charging_efficiency"
PER_CENT = 100.0


def amount_used(notes: Notes, index: int, column_id: str, unit: str) -> float | None:
    """What a session took of fuel, bar oil or electricity; None if it cannot be told.

    What was measured counts; where nothing was, tanks or charges times their size.
    """
    if notes.is_empty("sessions", index, column_id):
        return by_refills(notes, index, column_id, unit)
    return notes.number("sessions", index, column_id, unit)


def by_refills(notes: Notes, index: int, column_id: str, unit: str) -> float | None:
    """What tanks or charges come to; None without them, or where not one tool alone has a size.

    electricity = charges x size of the battery / charging efficiency
    """
    refills = notes.value("sessions", index, REFILLS)
    sizes = _sizes(notes, index)
    if refills is None or len(sizes) != 1 or sizes[0][0] != column_id:
        return None
    size = notes.number("tools", sizes[0][1], _size_of(column_id), unit)
    if size is None:
        return None
    return float(refills * size / (value(EFFICIENCY) if column_id == ELECTRICITY else 1.0))


def _sizes(notes: Notes, index: int) -> list[tuple[str, int]]:
    """What the session's tools take that have a size, with the tool's row."""
    return [
        (column_id, tool)
        for tool in _tools(notes, index)
        for column_id in SIZE_OF
        if notes.value("tools", tool, _size_of(column_id)) is not None and _takes(notes, tool, column_id)
    ]


def _size_of(column_id: str) -> str:
    """Column of the sheet Tools with the size of what is refilled."""
    return season_definition().column(SIZE_OF[column_id]).id


def _tools(notes: Notes, index: int) -> list[int]:
    method = notes.index_of["methods"].get(notes.name("sessions", index, "method") or "")
    return [] if method is None else [*dict.fromkeys(notes.tools_of(method))]


def _takes(notes: Notes, tool: int, column_id: str) -> bool:
    kind: ToolKind | None = tool_kinds().get(notes.value("tools", tool, "kind") or "")
    return kind is not None and (kind.burns if column_id == FUEL else kind.has_battery)


def _size_waits(notes: Notes, index: int) -> bool:
    return any(notes.waits("tools", tool, _size_of(one)) for tool in _tools(notes, index) for one in SIZE_OF)


def refill_problems(notes: Notes) -> Iterator[Problem]:
    """Tanks or charges that cannot be counted, that go against what was measured, or that a default stands behind."""
    charged: list[int] = []
    for index in range(len(notes.document.rows("sessions"))):
        refills = notes.value("sessions", index, REFILLS)
        if refills is None:
            continue
        place = notes.document.place("sessions", index, REFILLS)
        sizes = _sizes(notes, index)
        if len(sizes) == 1:
            column_id = sizes[0][0]
            yield from _against_amount(notes, index, column_id)
            if column_id == ELECTRICITY and refills and notes.is_empty("sessions", index, column_id):
                charged.append(index)
        elif refills and not _size_waits(notes, index):
            facts = {"found": number_text(refills), "sizes": str(len(sizes))}
            method = quoted(str(notes.value("sessions", index, "method") or ""))
            yield problem("row-refills-not-counted", place, method=method, **facts)
    if charged:
        published = constant(EFFICIENCY)
        ends = phrase(Listing.UP_TO, parts=(number_text(published.low or 0.0), number_text(published.high or 0.0)))
        source = f" ({sources()[published.source].title}, {published.known})"
        facts = {"value": number_text(published.value), "source": source, "expected": ends}
        place = notes.document.place("sessions", charged[0], REFILLS)
        yield replace(problem("row-charges-by-default", place, **facts), count=len(charged))


def _against_amount(notes: Notes, index: int, column_id: str) -> Iterator[Problem]:
    """Tanks or charges that are far from what was measured, which counts."""
    unit = notes.document.unit("sessions", column_id) or season_definition().column(f"sessions.{column_id}").unit
    measured, refilled = notes.number("sessions", index, column_id, unit), by_refills(notes, index, column_id, unit)
    if measured is None or refilled is None:
        return
    if abs(measured - refilled) > value("session.refills_agree") / PER_CENT * measured:
        facts = {
            "found": f"{number_text(float(f'{refilled:.3g}'))} {unit}",
            "expected": notes.typed("sessions", index, column_id),
            "cell": notes.document.place("sessions", index, column_id).cell,
        }
        yield problem("row-refills-against-amount", notes.document.place("sessions", index, REFILLS), **facts)
