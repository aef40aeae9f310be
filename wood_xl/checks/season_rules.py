"""Checks of the season as a whole."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from wood_xl.checks.names import list_text
from wood_xl.checks.problem import Problem, problem, quoted
from wood_xl.checks.relations import Notes
from wood_xl.schema.model import Definition

FAR_DAYS = 200  # a session further than this from every other one most likely has a slip in its date


def season_problems(notes: Notes, definition: Definition) -> list[Problem]:
    """What is odd about the season as a whole, and what was read but is not used."""
    if not notes.document.rows("sessions"):
        return [problem("season-no-sessions", notes.document.place("sessions"))]
    return [
        *_without_output(notes),
        *_far_dates(notes),
        *_unused_methods(notes),
        *_prices_and_lives(notes),
        *_not_used_yet(notes, definition),
    ]


def _without_output(notes: Notes) -> Iterator[Problem]:
    measured = {
        notes.name(sheet_id, index, "session")
        for sheet_id in ("cuts", "stacks")
        for index in range(len(notes.document.rows(sheet_id)))
    }
    for index in range(len(notes.document.rows("sessions"))):
        name = notes.name("sessions", index, "session")
        if name is None or name in measured or notes.value("sessions", index, "leave_out"):
            continue
        found = quoted(str(notes.value("sessions", index, "session")))
        place = notes.document.place("sessions", index, "session")
        yield problem("season-session-without-output", place, found=found)


def _far_dates(notes: Notes) -> Iterator[Problem]:
    dates = [
        (dt.date.fromisoformat(day), index)
        for index in range(len(notes.document.rows("sessions")))
        if (day := notes.value("sessions", index, "date"))
    ]
    if len(dates) < 3:
        return
    dates.sort()
    for at, (day, index) in enumerate(dates):
        gaps = [abs((day - dates[other][0]).days) for other in (at - 1, at + 1) if 0 <= other < len(dates)]
        if min(gaps) > FAR_DAYS:
            place = notes.document.place("sessions", index, "date")
            yield problem("season-date-far-off", place, found=day.isoformat(), days=str(min(gaps)))


def _unused_methods(notes: Notes) -> Iterator[Problem]:
    used = {notes.name("sessions", index, "method") for index in range(len(notes.document.rows("sessions")))}
    for index in range(len(notes.document.rows("methods"))):
        name = notes.name("methods", index, "method")
        if name is not None and name not in used:
            place = notes.document.place("methods", index, "method")
            yield problem("season-method-without-session", place, found=str(notes.value("methods", index, "method")))


def _prices_and_lives(notes: Notes) -> Iterator[Problem]:
    used_tools = {tool for index in range(len(notes.document.rows("methods"))) for tool in notes.tools_of(index)}
    for index in sorted(used_tools):
        if (("tools", index, "price")) in notes.broken:
            continue
        price = notes.value("tools", index, "price")
        if price is None:
            yield problem("row-no-price", notes.document.place("tools", index, "price"))
        elif price == 0:
            yield problem("row-price-zero", notes.document.place("tools", index, "price"))
        elif price > 0 and notes.value("tools", index, "kind") in ("hand", "battery", "mains"):
            lives = [column for column in ("life_hours", "life_years") if notes.value("tools", index, column)]
            if not lives and notes.value("tools", index, "kind") == "hand":
                yield problem("row-no-life", notes.document.place("tools", index, "life_years"))


def _not_used_yet(notes: Notes, definition: Definition) -> Iterator[Problem]:
    by_sheet: list[str] = []
    for sheet in definition.sheets:
        if sheet.kind == "items":
            filled = set(notes.document.items(sheet.id))
        else:
            filled = set().union(*notes.document.rows(sheet.id))
        titles = [column.title for column in sheet.columns if column.not_used_yet and column.id in filled]
        if titles:
            by_sheet.append(f"on {sheet.title} {list_text(titles)}")
    if by_sheet:
        yield problem("season-not-used-yet", found="; ".join(by_sheet))
    chosen = notes.document.items("season").get("emission_factor_set")
    default = definition.column("season.emission_factor_set").default
    if chosen is not None and chosen != default:
        place = notes.document.place("season", None, "emission_factor_set")
        yield problem("season-factor-set", place, found=quoted(str(chosen)))
