"""From the season document, in the units typed, to season records in one unit each.

A cell with a FIX gives no value, and every topic that its column feeds is marked as broken in the record that it
belongs to, with the cell to mend, so that no figure is computed from half of the notes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from functools import cached_property, partial
from operator import attrgetter
from typing import Any

from wood_xl.data.trade import fuels
from wood_xl.notes.convert_wood import as_noted, default_used, heating, winter, wood_kinds, wood_not_read, woodshed
from wood_xl.notes.document import OF_SESSIONS, default_of, worker_numbers
from wood_xl.notes.fuel import amount_used
from wood_xl.notes.heart_trace import TraceClock, pasted_traces
from wood_xl.notes.names import plain
from wood_xl.notes.of_session import SessionWaits, stacking_apart
from wood_xl.notes.problem import Problem, number_text, problem
from wood_xl.notes.relations import TOOL_COLUMNS, NotesRow
from wood_xl.notes.season import CheckedSeason
from wood_xl.notes.session_time import helper_minutes, session_minutes
from wood_xl.notes.tally import columns_of, tallied_cuts
from wood_xl.records import (
    Broken,
    Cut,
    Method,
    NextSeason,
    Person,
    Season,
    Session,
    Stack,
    Tool,
    Trace,
    UpkeepItem,
    Worker,
)
from wood_xl.schema.model import Column, season_definition
from wood_xl.units import convert

INVENTED_NAME = "Invented example"  # a name that begins so is the mark of a season that nobody measured

Rows = dict[str, list[int]]
PLAN_ITEMS = ("longest_session", "work_days")  # of the sheet Start


def season_records(checked: CheckedSeason) -> tuple[Season, list[Problem]]:
    """Records of a checked season, and a note for each default that stepped in."""
    reader = _Reader(checked)
    sessions, methods, told = stacking_apart(reader.sessions(), reader.methods(), reader.notes)
    tools = reader.tools()
    reader.defaults += told
    kinds, cost = [tool.kind_row for tool in tools], any(tool.price for tool in tools)
    burns = any(kind.burns for kind in kinds)
    food_counted = reader.word_or_default("food_counted", is_needed=False)
    name = str(reader.read("season_name") or "")
    season = Season(
        name=name,
        is_invented=name.startswith(INVENTED_NAME),
        currency=str(reader.read("currency") or ""),
        stick_length_m=reader.read("stick_length", "m"),
        stack_form=reader.word_or_default("stack_form", is_needed=True),
        horizon_years=reader.item_or_default("horizon_years", "years", is_needed=cost),
        real_interest_rate_frac=reader.item_or_default("real_interest_rate", "%", is_needed=cost) / 100,
        two_stroke_mix_ratio=reader.item_or_default("two_stroke_mix", "", is_needed=any(kind.oil for kind in kinds)),
        ethanol_frac=reader.item_or_default(
            "ethanol_share", "%", is_needed=any(kind.burns and kind.tank.blended_with for kind in kinds)
        )
        / 100,
        emission_factor_set=reader.word_or_default("emission_factor_set", is_needed=burns),
        gwp_set=reader.word_or_default("gwp_set", is_needed=any(kind.is_powered for kind in kinds)),
        food_counted=food_counted,
        food_fossil_ratio=reader.item_or_default("food_fossil_ratio", "", is_needed=food_counted != "off"),
        practical_margin_frac=reader.item_or_default(
            "practical_margin", "%", is_needed=len(methods) > len({method.task for method in methods})
        )
        / 100,
        fuel_prices_per_l={
            fuel.id: reader.read(fuel.price_item, "per L") for fuel in fuels().values() if fuel.price_item
        },
        heating=heating(reader, reader.notes, reader.defaults),
        wood=wood_kinds(reader.notes, reader.broken),
        woodshed=woodshed(reader.notes, reader.broken),
        people=reader.people(),
        tools=tools,
        upkeep=reader.upkeep(),
        methods=methods,
        sessions=sessions,
        next_season=reader.next_season(),
        broken=reader.broken_items("season") | wood_not_read(checked),
        **as_noted(Season, reader.read),
    )
    return season, reader.defaults


class _Reader:
    def __init__(self, checked: CheckedSeason) -> None:
        self.defaults: list[Problem] = []  # a note for each default that stepped in
        self._checked = checked
        self._document = checked.document
        self._definition = season_definition()
        self.notes = checked.notes
        self._of_session = {sheet_id: self._rows_by_session(sheet_id) for sheet_id in OF_SESSIONS}
        self._traces: dict[int, dict[str, Trace]] = defaultdict(dict)
        for pasted in pasted_traces(self.notes):
            self._traces[pasted.session][pasted.person] = Trace(pasted.elapsed_s, pasted.heart_rate_bpm)
        self._broken_columns: dict[str, Broken] = defaultdict(dict)
        for (sheet_id, column_id), where in checked.unread.items():
            for topic in self._definition.sheet(sheet_id).column(column_id).feeds:
                self._broken_columns[sheet_id].setdefault(topic, where)
        self._tallied = tallied_cuts(self.notes)
        self._numbers = worker_numbers(checked.document.data)
        self._names_not_read = checked.names_not_read
        self._waits = SessionWaits(self.notes, checked.cell_problems)

    def read(self, column_id: str, unit: str | None = None, sheet_id: str = "season") -> Any:
        """Value of an item in the given unit, or as typed; None for a blank or a broken one."""
        blank = (sheet_id, None, column_id) in self._checked.broken
        value = None if blank else self._document.items(sheet_id).get(column_id)
        if value is None or unit is None:
            return value
        return convert(float(value), self._document.unit(sheet_id, column_id) or unit, unit)

    def item_or_default(self, column_id: str, unit: str, *, is_needed: bool) -> float:
        value = self.read(column_id, unit)
        return float(self._default(column_id, is_needed=is_needed)) if value is None else value

    def word_or_default(self, column_id: str, *, is_needed: bool) -> Any:
        return self.read(column_id) or self._default(column_id, is_needed=is_needed)

    def _default(self, column_id: str, *, is_needed: bool) -> Any:
        """Default of an item, noted if anything depends on it."""
        column = self._definition.column(f"season.{column_id}")
        value, source = default_of(column)
        if is_needed:
            shown = number_text(value) if isinstance(value, float) else str(value)
            unit = f" {column.unit}" if column.unit else ""
            self.defaults += default_used(self.notes, column, shown + unit, source)
        return value

    def people(self) -> tuple[Person, ...]:
        return tuple(
            Person(
                name=row.text("person"),
                heart_rate_limited=row["rate_limiting_medicine"] == "yes",
                may_use=self.notes.may_use(row.index),
                leaves=self.notes.leaves(row.index),
                broken=self.broken("people", [row.index]),
                **as_noted(Person, row.read),
            )
            for row in self._named("people")
        ) + tuple(Person(name, broken=broken) for name, broken in self._waits.people_not_known().items())

    def tools(self) -> tuple[Tool, ...]:
        return tuple(
            Tool(
                name=row.text("tool"),
                kind=kind,
                number=row.index + 1,
                broken=self._tool_broken(row),
                **as_noted(Tool, row.read),
            )
            for row in self._named("tools")
            if (kind := row["kind"]) is not None
        )

    def upkeep(self) -> tuple[UpkeepItem, ...]:
        items = []
        for row in self.notes.rows("upkeep"):
            item, price, every, per = (row[key] for key in ("item", "price", "every", "per"))
            tool = self._canonical("tools", "tool", row.name("tool"))
            if tool is not None and None not in (item, price, every, per):
                items.append(UpkeepItem(tool, str(item), float(price), float(every), per))
        return tuple(items)

    def methods(self) -> tuple[Method, ...]:
        methods = []
        for row in self._named("methods"):
            if row["task"] is None:
                continue
            tools = (self._canonical("tools", "tool", row.name(column)) for column in TOOL_COLUMNS)
            broken = self.broken("methods", [row.index])
            self._add_unknown_kinds(row.index, broken)
            used = tuple(dict.fromkeys(tool for tool in tools if tool is not None))
            group, people_n = row["cost_group"], int(row["crew"] or 1)
            methods.append(Method(row.text("method"), row["task"], used, group, broken, row.index + 1, people_n))
        return tuple(methods)

    def sessions(self) -> list[tuple[int, Session]]:
        rows = self.notes.rows("sessions")
        return [(row.index, self._session(row)) for row in rows if row.index not in self.notes.planned]

    def next_season(self) -> NextSeason:
        people_n, items = self.read("people_available", "", "next_season"), self._document.items("next_season")
        return NextSeason(
            **as_noted(NextSeason, partial(self.read, sheet_id="next_season")),
            longest_session_min=self.read("longest_session", "min", "trial"),
            people_n=None if people_n is None else int(people_n),
            weekdays=self.notes.weekdays(),
            winter=winter(self, self.notes),
            filled_n=sum(c.id in items for c in self._definition.sheet("next_season").asked),
            broken={key: cell for key, cell in self.broken_items("trial").items() if key in PLAN_ITEMS}
            | self.broken_items("next_season"),
        )

    def broken_items(self, sheet_id: str) -> Broken:
        """Items of an item sheet that cannot be used, with the cell to mend."""
        sheet = self._definition.sheet(sheet_id)
        broken: Broken = {}
        for column in sheet.asked:
            cell = self._checked.cell_problems.get((sheet_id, None, column.id))
            where = cell or self._checked.unread.get((sheet_id, column.id))
            if where:
                broken[column.id] = where
            elif column.required and column.id not in self._document.items(sheet_id):
                place = self._document.place(sheet_id, None, column.id)
                broken[column.id] = problem("item-missing", place, title="", mend_hint="").where
        return broken

    def _session(self, row: NotesRow) -> Session:
        index = row.index
        name = row.name("session")
        broken = self.broken("sessions", [index])
        for sheet_id, rows in self._of_session.items():
            for topic, where in self.broken(sheet_id, rows.get(name or "", [])).items():
                broken.setdefault(topic, where)
            if (sheet_id, "session") in self._checked.unread:  # no row of that sheet can be told to be this session's
                for topic, where in self._broken_columns[sheet_id].items():
                    broken.setdefault(topic, where)
        broken = self._waits.of(index) | broken

        def rows_of(sheet_id: str) -> list[NotesRow]:
            return [NotesRow(self.notes, sheet_id, one) for one in self._of_session[sheet_id].get(name or "", [])]

        crew = [row, *rows_of("helpers")]
        method = self._canonical("methods", "method", row.name("method"))
        place = self._document.place("sessions", index, "method")
        of_method = self.notes.named("methods", row.name("method"))
        if of_method is None or of_method["task"] is None:
            cell = self._checked.cell_problems.get(("sessions", index, "method")) or self._of_method(of_method)
            for topic in ("time", "quantity"):
                broken.setdefault(topic, cell or f"{place.sheet} row {place.row}")
        return Session(
            name=str(row["session"] or f"row {place.row}"),
            method=method or self._waits.likely_method(index),
            elapsed_min=session_minutes(self.notes, index),
            workers=tuple(
                self._worker(row, time_min, self._traces.get(index, {}))
                for row in crew
                if (time_min := self._minutes(row, index)) is not None
            ),
            crew=tuple(self._person(row) for row in crew),
            fuel_l=amount_used(self.notes, index, "fuel_used", "L"),
            electricity_kwh=amount_used(self.notes, index, "electricity_used", "kWh"),
            lot_row=f"{place.sheet} row {place.row}",  # columns of echoed notes have other letters
            leave_out=self.notes.left_out(index),
            cuts=_cuts(rows_of("cuts")) + self._tallied.get(name or "", ()),
            stacks=_stacks(rows_of("stacks")),
            has_cuts=name is None or any(name in self._of_session[sheet_id] for sheet_id in ("cuts", "tally")),
            has_stacks=name is None or name in self._of_session["stacks"],
            broken=broken,
            **as_noted(Session, row.read),
        )

    def _minutes(self, row: NotesRow, session: int) -> float | None:
        if row.sheet_id == "sessions":
            return session_minutes(self.notes, session)
        return helper_minutes(self.notes, row.index, session)

    def _person(self, row: NotesRow) -> str | None:
        return self._canonical("people", "person", row.name("person")) or row["person"]

    def _worker(self, row: NotesRow, time_min: float, traces: dict[str, Trace]) -> Worker:
        person = self._person(row)
        return Worker(
            person=person,
            time_min=time_min,
            number=self._numbers.get(plain(person or "")),
            is_helper=row.sheet_id == "helpers",
            trace=traces.get(row.name("person") or ""),
            **as_noted(Worker, row.read),
        )

    def _named(self, sheet_id: str) -> list[NotesRow]:
        return [NotesRow(self.notes, sheet_id, index) for index in self.notes.index_of[sheet_id].values()]

    def _canonical(self, sheet_id: str, column_id: str, name: str | None) -> str | None:
        index = self.notes.index_of[sheet_id].get(name or "")
        return None if index is None else str(self.notes.value(sheet_id, index, column_id))

    def _rows_by_session(self, sheet_id: str) -> Rows:
        rows: Rows = defaultdict(list)
        clock = TraceClock(self.notes)
        for index, row in enumerate(self._document.rows(sheet_id)):
            if "session" in row:
                rows[plain(str(row["session"]))].append(index)
            elif sheet_id == "heart_trace" and (session := clock.session(index)) is not None:
                rows[self.notes.name("sessions", session, "session") or ""].append(index)
        return rows

    @cached_property
    def _columns(self) -> dict[str, list[Column]]:
        """Columns of each sheet by their ids."""
        by_id = attrgetter("id")
        return {sheet.id: sorted(columns_of(sheet, self._document), key=by_id) for sheet in self._definition.sheets}

    @cached_property
    def _rows_to_mend(self) -> dict[str, set[int]]:
        """Rows of each sheet that have a cell to mend: most have none."""
        rows: dict[str, set[int]] = defaultdict(set)
        for sheet_id, index, _ in self._checked.cell_problems:
            if index is not None:
                rows[sheet_id].add(index)
        return rows

    def broken(self, sheet_id: str, indexes: Sequence[int]) -> Broken:
        """Topics that rows of a table feed with a cell that cannot be used."""
        broken = dict(self._broken_columns.get(sheet_id, {})) if indexes else {}
        columns, to_mend = self._columns[sheet_id], self._rows_to_mend.get(sheet_id, ())
        has_names_not_read = any(column.ref in self._names_not_read for column in columns)
        for index in (index for index in indexes if has_names_not_read or index in to_mend):
            for column in columns:
                cell = self._checked.cell_problems.get((sheet_id, index, column.id))
                if cell is None and column.id in self._document.rows(sheet_id)[index]:
                    cell = self._names_not_read.get(column.ref)
                if cell is not None:
                    broken |= {topic: broken.get(topic, cell) for topic in column.feeds}
        return broken

    @cached_property
    def _upkeep_broken(self) -> dict[str | None, Broken]:
        rows: dict[str | None, list[int]] = defaultdict(list)
        for row in self.notes.rows("upkeep"):
            rows[row.name("tool")].append(row.index)
        return {name: self.broken("upkeep", indexes) for name, indexes in rows.items()}

    def _tool_broken(self, tool: NotesRow) -> Broken:
        """A tool's cost hangs on its upkeep rows too."""
        broken = self.broken("tools", [tool.index])
        for name in (tool.name("tool"), None):  # a row that names no tool may be of any
            for topic, where in self._upkeep_broken.get(name, {}).items():
                broken.setdefault(topic, where)
        if ("upkeep", "tool") in self._checked.unread:  # no row of that sheet can be told to be this tool's
            broken = self._broken_columns["upkeep"] | broken
        return broken

    def _add_unknown_kinds(self, index: int, broken: Broken) -> None:
        """Whether a tool is driven decides on effort, fuel and cost; without its kind none of them can be told."""
        for tool in self.notes.tools_of(index):
            if self.notes.value("tools", tool, "kind") is None:
                where = self._checked.cell_problems.get(("tools", tool, "kind"))
                for topic in self._definition.column("tools.kind").feeds:
                    broken.setdefault(topic, where or self._document.place("tools", tool, "kind").sheet)

    def _of_method(self, method: NotesRow | None) -> str | None:
        """The cell of a method's row that its sessions wait for."""
        problems = self._checked.cell_problems
        keys = [] if method is None else [("methods", method.index, column) for column in ("task", "method")]
        return next((problems[key] for key in keys if key in problems), None)


def _cuts(rows: Iterable[NotesRow]) -> tuple[Cut, ...]:
    return tuple(
        Cut(diameter, row.number("second_diameter", "m"), int(_or_one(row["cuts"])), row.number("cut_time", "s"))
        for row in rows
        if (diameter := row.number("diameter", "m")) is not None
    )


def _stacks(rows: Iterable[NotesRow]) -> tuple[Stack, ...]:
    stacks = []
    for row in rows:
        height, length, top, depth = (
            row.number(column, "m") for column in ("height", "length", "top_length", "depth")
        )
        if height is not None and length is not None:
            stacks.append(Stack(height, length, top, depth, int(_or_one(row["rows"])), row["form"], row["stack"]))
    return tuple(stacks)


def _or_one(number: float | None) -> float:
    return 1 if number is None else number
