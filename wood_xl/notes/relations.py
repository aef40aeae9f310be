"""Checks between cells of a row, between rows and between sheets."""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from wood_xl.body.effort_equations import max_heart_rate_bpm
from wood_xl.notes.document import SeasonDocument
from wood_xl.notes.names import list_text, names_in, nearest, plain
from wood_xl.notes.planned import Cell, planned_sessions
from wood_xl.notes.problem import Place, Problem, ProblemLines, number_text, problem, quoted
from wood_xl.pages import InMessage
from wood_xl.reasons import Listing
from wood_xl.remark import Slip
from wood_xl.schema.model import Definition, season_definition
from wood_xl.schema.words import phrase, words
from wood_xl.units import convert

TOOL_COLUMNS = ("tool_1", "tool_2", "tool_3")
PEOPLE = "people.person"
MOST_WAYS = 12  # methods of one task: each is compared with each, and no household tries as many
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
ANY_DAY = ["any", "day"]

NOT_LEFT_OUT = ("no", "ok", "0", "none", "-", "false")
NO_REASON = ("yes", "x", "1", "true")


@dataclass(frozen=True)
class Notes:
    """A season document read by name, with the cells that must not be used, and columns that could not be read."""

    document: SeasonDocument
    broken: frozenset[Cell]
    unread: frozenset[tuple[str, str]]

    def value(self, sheet_id: str, index: int, column_id: str) -> Any:
        """Value of a cell as typed; None if it is blank or broken."""
        if (sheet_id, index, column_id) in self.broken:
            return None
        return self.document.rows(sheet_id)[index].get(column_id)

    def waits(self, sheet_id: str, index: int | None, column_id: str) -> bool:
        """Whether a cell must not be used, or its column or item could not be read: a blank there says nothing."""
        return (sheet_id, index, column_id) in self.broken or (sheet_id, column_id) in self.unread

    def is_empty(self, sheet_id: str, index: int | None, column_id: str) -> bool:
        """Whether a cell, or an item if no index is given, holds nothing at all."""
        held = self.document.items(sheet_id) if index is None else self.document.rows(sheet_id)[index]
        return column_id not in held and not self.waits(sheet_id, index, column_id)

    def number(self, sheet_id: str, index: int, column_id: str, unit: str) -> float | None:
        """Value of a cell in the given unit; None if it is blank or broken."""
        value = self.value(sheet_id, index, column_id)
        if value is None:
            return None
        return convert(float(value), self.document.unit(sheet_id, column_id) or unit, unit)

    def name(self, sheet_id: str, index: int, column_id: str) -> str | None:
        """Value of a cell as names are compared; None if it is blank or broken."""
        value = self.value(sheet_id, index, column_id)
        return None if value is None else plain(value)

    def left_out(self, index: int) -> str | None:
        """Why a session is left out; None if it counts, also where no, 0 or a dash is all that is written."""
        typed = self.value("sessions", index, "leave_out")
        if typed is None or plain(str(typed)) in NOT_LEFT_OUT:
            return None
        return words(Slip.NO_REASON) if plain(str(typed)) in NO_REASON else str(typed)

    @cached_property
    def planned(self) -> frozenset[int]:
        """Rows of sessions that are only planned."""
        return planned_sessions(self.document, self.broken)

    @cached_property
    def index_of(self) -> dict[str, dict[str, int]]:
        """For each sheet with names, the first row of each."""
        keys = {"people": "person", "tools": "tool", "methods": "method", "sessions": "session", "woodshed": "stack"}
        rows_by_name: dict[str, dict[str, int]] = {}
        for sheet_id, column_id in keys.items():
            rows = rows_by_name.setdefault(sheet_id, {})
            for index in range(len(self.document.rows(sheet_id))):
                name = self.name(sheet_id, index, column_id)
                if name is not None:
                    rows.setdefault(name, index)
        return rows_by_name

    def tools_of(self, method_index: int) -> list[int]:
        """Rows of the tools that a method names and that are known."""
        names = (self.name("methods", method_index, column) for column in TOOL_COLUMNS)
        return [self.index_of["tools"][name] for name in names if name in self.index_of["tools"]]

    def kinds_of(self, method_index: int) -> list[str | None]:
        """Kind of each tool that a method names; None for one of which it cannot be told."""
        row = self.document.rows("methods")[method_index]
        rows = (self.index_of["tools"].get(plain(str(row[column]))) for column in TOOL_COLUMNS if column in row)
        kinds = [None if tool is None else self.value("tools", tool, "kind") for tool in rows]
        waiting = [c for c in TOOL_COLUMNS if c not in row and self.waits("methods", method_index, c)]
        return [*kinds, *(None for _ in waiting)]

    def may_use(self, index: int) -> tuple[str, ...] | None:
        """Tools that a person was trained at, as the sheet Tools names them; None if the template asked for none."""
        column = season_definition().column("people.may_use")
        is_asked = not column.is_newer_than(self.document.data["version"]) or ("people", "may_use") in self.unread
        if not is_asked and not any("may_use" in row for row in self.document.rows("people")):
            return None
        return self._listed(index, "may_use", "tools", "tool")

    def leaves(self, index: int) -> tuple[str, ...]:
        """Methods that a person leaves to others, as the sheet Methods names them."""
        return self._listed(index, "leaves", "methods", "method")

    def _listed(self, index: int, column_id: str, sheet_id: str, name_column: str) -> tuple[str, ...]:
        names = map(plain, names_in(self.value("people", index, column_id) or ""))
        rows = (self.index_of[sheet_id][name] for name in names if name in self.index_of[sheet_id])
        return tuple(str(self.value(sheet_id, row, name_column)) for row in dict.fromkeys(rows))

    def weekdays(self) -> tuple[int, ...]:
        """Days of the week that can be worked on, Monday is 0; empty if none is named."""
        found = {plain(word)[:3] for word in self.words_of_days()}
        return tuple(number for number, name in enumerate(WEEKDAYS) if name in found)

    def words_of_days(self) -> list[str]:
        """Words under the days one can work."""
        return [word for word in re.split(r"[\s,;+/]+", self.document.items("trial").get("work_days", "")) if word]

    def typed(self, sheet_id: str, index: int, column_id: str) -> str:
        """Value with its unit, for a message."""
        unit = self.document.unit(sheet_id, column_id)
        return number_text(float(self.value(sheet_id, index, column_id))) + (f" {unit}" if unit != "money" else "")


def relation_problems(notes: Notes, definition: Definition) -> list[Problem]:
    """Everything that does not go together."""
    rules: tuple[Callable[[Notes, Definition], Iterator[Problem]], ...] = (
        _duplicates,
        _references,
        _may_use,
        _leave_out,
        _leaves,
        _ways_of_a_task,
        _work_days,
        _prices,
        _stack_lengths,
        _heart_limits,
        _heart_rates,
    )
    lines = ProblemLines()
    for rule in rules:
        for fault in rule(notes, definition):
            lines.add(fault)
    return lines.told()


def _duplicates(notes: Notes, definition: Definition) -> Iterator[Problem]:
    for sheet in definition.sheets:
        if not sheet.key:
            continue
        rows: dict[tuple[str, ...], list[int]] = defaultdict(list)
        for index in range(len(notes.document.rows(sheet.id))):
            names = [notes.name(sheet.id, index, column_id) for column_id in sheet.key]
            if None not in names:
                rows[tuple(name for name in names if name is not None)].append(index)
        for indexes in rows.values():
            if len(indexes) == 1:
                continue
            numbers = list_text(str(notes.document.places[sheet.id].rows[index]) for index in indexes)
            for index in indexes:
                names_typed = tuple(quoted(str(notes.value(sheet.id, index, column_id))) for column_id in sheet.key)
                place = notes.document.place(sheet.id, index, sheet.key[-1])
                found = phrase(Listing.WITH, parts=names_typed)
                yield problem("table-duplicate-key", place, found=found, rows=numbers)


def _references(notes: Notes, definition: Definition) -> Iterator[Problem]:
    for sheet in definition.sheets:
        for column in sheet.columns:
            if not column.refers_to:
                continue
            target = definition.column(column.refers_to)
            if (target.sheet, target.id) in notes.unread:
                continue  # no name can be on it before that is mended
            named_rows = notes.index_of[target.sheet]
            if column.refers_to == PEOPLE and not named_rows:
                continue  # names without body data are welcome: the activity table stands in for all
            names = [str(row[target.id]) for row in notes.document.rows(target.sheet) if target.id in row]
            hints: dict[str, str | None] = {}  # a heart trace may hold one wrong name half a million times
            for index in range(len(notes.document.rows(sheet.id))):
                name = notes.name(sheet.id, index, column.id)
                if name is None or name in named_rows:
                    continue
                if name not in hints:
                    hints[name] = nearest(name, names)
                near = hints[name]
                place = notes.document.place(sheet.id, index, column.id)
                facts = {
                    "found": quoted(str(notes.value(sheet.id, index, column.id))),
                    "sheet": definition.sheet(target.sheet).title,
                }
                if column.refers_to == PEOPLE and near is None:
                    yield problem("table-person-without-data", place, **facts)
                else:
                    hint = phrase(InMessage.NEARLY, name=quoted(near)) if near else ""
                    yield problem("table-unknown-reference", place, near=hint, **facts)


def _may_use(notes: Notes, definition: Definition) -> Iterator[Problem]:
    """Tools that somebody was trained at and that are on no list."""
    for place, unknown, tools in _on_no_list(notes, "may_use", "tools.tool"):
        there = phrase(InMessage.TOOLS, tools=tools) if tools else phrase(InMessage.NO_TOOL)
        facts = {"found": unknown, "sheet": definition.sheet("tools").title, "expected": there}
        yield problem("row-unknown-tools", place, **facts)


def _leaves(notes: Notes, definition: Definition) -> Iterator[Problem]:
    """Methods that somebody leaves to others and that are on no list."""
    for place, unknown, methods in _on_no_list(notes, "leaves", "methods.method"):
        facts = {"found": unknown, "sheet": definition.sheet("methods").title, "expected": methods}
        yield problem("row-unknown-methods", place, **facts)


def _on_no_list(notes: Notes, column_id: str, ref: str) -> Iterator[tuple[Place, str, str]]:
    """Names beside a person that a sheet does not have, with all that it has; none if its names could not be read."""
    sheet_id, _, name_column = ref.partition(".")
    if (sheet_id, name_column) in notes.unread:
        return
    known = notes.index_of[sheet_id]
    listed = list_text(str(row[name_column]) for row in notes.document.rows(sheet_id) if name_column in row)
    for index in range(len(notes.document.rows("people"))):
        names = names_in(notes.value("people", index, column_id) or "")
        unknown = list_text(quoted(name) for name in names if plain(name) not in known)
        if unknown:
            yield notes.document.place("people", index, column_id), unknown, listed


def _ways_of_a_task(notes: Notes, _: Definition) -> Iterator[Problem]:
    """Methods of one task beyond as many as are compared: each is compared with each."""
    ways: Counter[str] = Counter()
    for index in range(len(notes.document.rows("methods"))):
        task = notes.value("methods", index, "task")
        ways[task] += 1
        if task is not None and ways[task] > MOST_WAYS:
            place = notes.document.place("methods", index, "task")
            yield problem("row-too-many-ways", place, expected=str(MOST_WAYS))


def _work_days(notes: Notes, _: Definition) -> Iterator[Problem]:
    """Words among the days one can work that begin like no day of the week."""
    words_typed = notes.words_of_days()
    unknown = list_text(quoted(word) for word in words_typed if plain(word)[:3] not in WEEKDAYS)
    if unknown and [*map(plain, words_typed)] != ANY_DAY:
        yield problem("item-no-weekday", notes.document.place("trial", None, "work_days"), found=unknown)


def _leave_out(notes: Notes, _: Definition) -> Iterator[Problem]:
    """Words under Leave out that are no reason."""
    for index in range(len(notes.document.rows("sessions"))):
        typed = notes.value("sessions", index, "leave_out")
        if typed is None:
            continue
        place, found = notes.document.place("sessions", index, "leave_out"), quoted(str(typed))
        if notes.left_out(index) is None:
            yield problem("row-not-left-out", place, found=found)
        elif plain(str(typed)) in NO_REASON:
            yield problem("row-left-out-no-reason", place, found=found)


def _prices(notes: Notes, _: Definition) -> Iterator[Problem]:
    for index in range(len(notes.document.rows("tools"))):
        price, resale = notes.value("tools", index, "price"), notes.value("tools", index, "resale")
        if price is not None and resale is not None and resale > price:
            place = notes.document.place("tools", index, "resale")
            yield problem("row-resale-over-price", place, found=number_text(resale), expected=number_text(price))


def _stack_lengths(notes: Notes, _: Definition) -> Iterator[Problem]:
    for index in range(len(notes.document.rows("stacks"))):
        top = notes.number("stacks", index, "top_length", "m")
        bottom = notes.number("stacks", index, "length", "m")
        if top is not None and bottom is not None and top > bottom:
            yield problem(
                "row-top-over-bottom",
                notes.document.place("stacks", index, "top_length"),
                found=notes.typed("stacks", index, "top_length"),
                expected=notes.typed("stacks", index, "length"),
            )


def _heart_limits(notes: Notes, _: Definition) -> Iterator[Problem]:
    for index in range(len(notes.document.rows("people"))):
        rest = notes.value("people", index, "resting_heart_rate")
        highest = notes.value("people", index, "max_heart_rate")
        if rest is not None and highest is not None and rest >= highest:
            place = notes.document.place("people", index, "resting_heart_rate")
            yield problem("row-rest-over-max", place, found=number_text(rest), expected=number_text(highest))


def _heart_rates(notes: Notes, definition: Definition) -> Iterator[Problem]:
    for sheet_id in ("sessions", "helpers"):
        _, usual = definition.column(f"{sheet_id}.mean_heart_rate").plausible or (0.0, math.inf)
        for index in range(len(notes.document.rows(sheet_id))):
            rate = notes.value(sheet_id, index, "mean_heart_rate")
            person_index = notes.index_of["people"].get(notes.name(sheet_id, index, "person") or "")
            if rate is None or person_index is None:
                continue
            rest = notes.value("people", person_index, "resting_heart_rate")
            highest = notes.value("people", person_index, "max_heart_rate")
            facts = {"found": number_text(rate), "person": str(notes.value("people", person_index, "person"))}
            place = notes.document.place(sheet_id, index, "mean_heart_rate")
            age = notes.value("people", person_index, "age")
            if rest is not None and rate <= rest:
                yield problem("table-heart-rate-below-rest", place, expected=number_text(rest), **facts)
            elif highest is not None and rate > highest:
                yield problem("table-heart-rate-above-max", place, expected=number_text(highest), **facts)
            elif highest is None and age is not None and max_heart_rate_bpm(age) < rate <= usual:
                expected = number_text(round(max_heart_rate_bpm(age)))
                yield problem("table-heart-rate-above-usual", place, expected=expected, **facts)
